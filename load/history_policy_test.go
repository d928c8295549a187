package load

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPeriod(t *testing.T) {
	for _, tt := range []struct{ text, from, want string }{
		{"PT48H", "2026-03-09 08:00", "2026-03-11 08:00"},
		{"P7D", "2026-02-25 08:00", "2026-03-04 08:00"},
		{"P1M", "2026-01-31 08:00", "2026-02-28 08:00"},
		{"P6M", "2025-08-31 08:00", "2026-02-28 08:00"},
		{"P1Y", "2028-02-29 08:00", "2029-02-28 08:00"},
		{"P5Y", "2026-03-09 08:00", "2031-03-09 08:00"},
	} {
		p, err := ParsePeriod(tt.text)
		require.NoError(t, err)
		assert.Equal(t, tt.text, p.String())
		assert.Equal(t, local(tt.want), p.After(local(tt.from)), tt.text)
	}
	for _, bad := range []string{"", "P", "PT", "7D", "P7", "P07D", "P0D", "P-1D", "P+1D", "P1W", "PT1M", "P1H", "P10000D", "P1Y2M", "p1y", "P1.5D", "P 1D"} {
		_, err := ParsePeriod(bad)
		assert.Error(t, err, "%q", bad)
	}
	_, err := Period{}.MarshalText()
	assert.Error(t, err)
	assert.Equal(t, "7 days", mustPeriod("P7D").Words())
	assert.Equal(t, "1 year", mustPeriod("P1Y").Words())
}

func mustPeriod(s string) Period {
	p, err := ParsePeriod(s)
	if err != nil {
		panic(err)
	}
	return p
}

func FuzzPeriod(f *testing.F) {
	for _, s := range []string{"P7D", "PT48H", "P9999Y", "PT", "P0D"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := ParsePeriod(s)
		if err == nil && p.String() != s {
			t.Errorf("%q is read as %s", s, p)
		}
	})
}

func FuzzEvent(f *testing.F) {
	data, err := json.Marshal(runWithSpores("2026-03-09 08:00", NoGrowth))
	require.NoError(f, err)
	f.Add(data)
	f.Add([]byte(`{"format":"moistheat.test/1","id":"1","sterilizer":"S1","kind":"leak","time":"2026-03-09T07:00:00+01:00","leakRate":{"value":0.13,"unit":"kPa/min"}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		e, err := DecodeEvent(data)
		if err != nil {
			return
		}
		h := NewHistory(policy(t, "us-cdc-2003"))
		h.AddEvent(e)
		at := e.Time.AddDate(0, 0, 9)
		h.Due(at)
		h.Findings(at)
		h.Recall()
	})
}

// Retention, by document. Dates are the last day on which the record must be there.
func TestKeepUntil(t *testing.T) {
	for _, tt := range []struct {
		policy        string
		kind          RecordKind
		made, retired packaging.Date
		want          packaging.Date
		found         bool
	}{
		// Oregon: the current and two preceding calendar years (OAR 818-012-0040).
		{"us-or", BiologicalRecords, day(2026, 1, 1), packaging.Date{}, day(2028, 12, 31), true},
		{"us-or", BiologicalRecords, day(2026, 12, 31), packaging.Date{}, day(2028, 12, 31), true},
		{"us-or", BiologicalRecords, day(2027, 1, 1), packaging.Date{}, day(2029, 12, 31), true},
		{"us-or", CycleRecords, day(2026, 1, 1), packaging.Date{}, packaging.Date{}, false},
		{"us-ca", BiologicalRecords, day(2026, 3, 9), packaging.Date{}, day(2027, 3, 9), true},   // 12 months
		{"us-oh", BiologicalRecords, day(2026, 3, 9), packaging.Date{}, day(2028, 3, 9), true},   // 2 years
		{"us-wa", BiologicalRecords, day(2026, 3, 9), packaging.Date{}, day(2031, 3, 9), true},   // 5 years
		{"us-fl", BiologicalRecords, day(2026, 3, 9), packaging.Date{}, packaging.Date{}, false}, // none stated
		{"us-ar", BiologicalRecords, day(2026, 3, 9), packaging.Date{}, day(2029, 3, 9), true},   // 3 years
		{"us-cdc-2003", BiologicalRecords, day(2026, 3, 9), packaging.Date{}, packaging.Date{}, false},
		{"england", CycleRecords, day(2026, 3, 9), packaging.Date{}, day(2028, 3, 9), true},   // 2 years
		{"australia", CycleRecords, day(2026, 3, 9), packaging.Date{}, day(2033, 3, 9), true}, // 7 years
		{"austria", CycleRecords, day(2026, 3, 9), packaging.Date{}, day(2033, 3, 9), true},   // 7 years
		{"germany", CycleRecords, day(2026, 3, 9), packaging.Date{}, day(2031, 3, 9), true},   // 5 years
		{"ontario", CycleRecords, day(2026, 3, 9), packaging.Date{}, day(2036, 3, 9), true},   // 10 years
		// Scotland: the life of the equipment and 25 years.
		{"scotland", EquipmentRecords, day(2026, 3, 9), packaging.Date{}, packaging.Date{}, true},
		{"scotland", EquipmentRecords, day(2026, 3, 9), day(2030, 6, 1), day(2055, 6, 1), true},
	} {
		last, by, found := policy(t, tt.policy).KeepUntil(tt.kind, tt.made, tt.retired)
		assert.Equal(t, tt.found, found, "%s %s", tt.policy, tt.kind)
		assert.Equal(t, tt.want, last, "%s %s", tt.policy, tt.kind)
		assert.Equal(t, found, by.Source.Document != "", "%s: no source", tt.policy)
	}
	// A facility keeps longer without a word: the longer line counts.
	p, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-ca",
		"retention":[{"records":"biological tests","keep":"P3Y","source":{"document":"instruction 4","basis":"facility"}}]}`))
	require.NoError(t, err)
	last, _, _ := p.KeepUntil(BiologicalRecords, day(2026, 3, 9), packaging.Date{})
	assert.Equal(t, day(2029, 3, 9), last)
	// A shorter line does not loosen it without a decision.
	p, err = ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-ca",
		"retention":[{"records":"biological tests","keep":"P3M","source":{"document":"instruction 4","basis":"facility"}}]}`))
	require.NoError(t, err)
	last, _, _ = p.KeepUntil(BiologicalRecords, day(2026, 3, 9), packaging.Date{})
	assert.Equal(t, day(2027, 3, 9), last)
}

// A facility may ask for more without a word and for less only with a decision.
func TestFacilityCalendar(t *testing.T) {
	own := func(body string) error {
		_, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-cdc-2008",` + body + `}`))
		return err
	}
	source := `"source":{"document":"instruction 4","basis":"facility"}`
	decision := `,"decision":{"by":"hygiene officer","date":"2026-01-12","reason":"tested by the hospital next door"}`
	positive := func(repeats, out, recall, after int, chamber string) string {
		return fmt.Sprintf(`"positive":{"repeats":%d,"outAt":%d,"recallAt":%d,"afterRepair":%d,"chamber":%q,"sources":[]}`, repeats, out, recall, after, chamber)
	}
	climate := func(high int) string {
		return fmt.Sprintf(`"climate":{"high":{"value":%d,"unit":"Cel"},"damp":{"value":60,"unit":"%%"},%s}`, high, source)
	}
	assert.NoError(t, own(positive(3, 1, 2, 3, "empty")))
	assert.NoError(t, own(positive(4, 1, 1, 5, "empty")))
	for _, softer := range []string{positive(2, 1, 2, 3, "empty"), positive(3, 2, 2, 3, "empty"), positive(3, 1, 2, 3, "full"), climate(25)} {
		assert.ErrorContains(t, own(softer), "record who decided", softer)
		assert.NoError(t, own(softer+decision), softer)
	}
	assert.NoError(t, own(climate(24)))
	assert.NoError(t, own(climate(20)))
	for _, bad := range []string{
		positive(3, 3, 2, 3, "empty"), positive(3, 1, 0, 3, "empty"), positive(0, 1, 2, 3, "empty"), positive(3, 1, 2, 2, "empty"), positive(3, 1, 2, 21, "empty"),
		`"schedule":[{"test":"repaired","cadence":"interval","every":"P1D",` + source + `}]`,
		`"schedule":[{"test":"leak","cadence":"interval",` + source + `}]`,
		`"schedule":[{"test":"leak","cadence":"day of use","every":"P1D",` + source + `}]`,
		`"schedule":[{"test":"leak","cadence":"hours of use","every":"P1D",` + source + `}]`,
		`"schedule":[{"test":"leak","cadence":"calendar week",` + source + `}]`,
		`"schedule":[{"test":"leak","cadence":"day of use","week":{"begins":"monday",` + source + `},` + source + `}]`,
		`"schedule":[{"test":"leak","cadence":"calendar week","week":{"begins":"tuesday",` + source + `},` + source + `}]`,
		`"positive":{"repeats":3,"outAt":1,"recallAt":2,"afterRepair":3,"airRemovalTests":-1,"sources":[]}`,
		`"positive":{"repeats":3,"outAt":1,"recallAt":2,"afterRepair":3,"airRemovalTests":21,"sources":[]}`,
		`"schedule":[{"test":"leak","cadence":"hours of use","every":"P1D","use":{"value":0,"unit":"h"},` + source + `}]`,
		`"retention":[{"records":"all",` + source + `}]`,
		`"retention":[{"records":"all","keep":"P1Y","calendarYears":1,` + source + `}]`,
		`"retention":[{"records":"all","calendarYears":201,` + source + `}]`,
	} {
		assert.Error(t, own(bad), bad)
	}
	// Air removal tests after a repair: ST79 asks for three.
	_, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-st79",` +
		`"positive":{"repeats":3,"outAt":1,"recallAt":2,"afterRepair":3,"airRemovalTests":2,"chamber":"full","sources":[]}}`))
	assert.ErrorContains(t, err, "record who decided")
	// Lines come on top of the base's, or with a decision in their place.
	daily := `"schedule":[{"test":"biological","cadence":"day of use",` + source + `}]`
	for _, tt := range []struct {
		extra string
		want  int
	}{{"", 2}, {decision, 1}} {
		p, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-cdc-2008",` + daily + tt.extra + `}`))
		require.NoError(t, err)
		assert.Len(t, p.Schedule(), tt.want)
	}
}

func duties(p *Policy, test EventKind) string {
	var out []string
	for _, d := range p.Schedule() {
		if d.Test == test {
			out = append(out, strings.TrimPrefix(d.String(), test.String()+" test, "))
		}
	}
	return strings.Join(out, "; ")
}

func shelf(p *Policy) string {
	var out []string
	for _, l := range p.ShelfLife() {
		out = append(out, l.Keep.Words())
	}
	return strings.Join(out, ", ")
}

// Where the documents disagree, and which policy says what. The numbers are those
// of the list of conflicts that this library keeps apart; both values stand, none
// is averaged.
func TestDisagreements(t *testing.T) {
	procedure := func(p *Policy) string {
		pos, ok := p.Positive()
		if !ok {
			return "open"
		}
		return fmt.Sprintf("%d, out at %d", pos.Repeats, pos.OutAt)
	}
	for _, z := range []struct {
		topic string
		says  func(*Policy) string
		want  map[string]string
	}{
		{"Z1 interval of the biological test", func(p *Policy) string { return duties(p, BiologicalTestEvent) }, map[string]string{
			"us-cdc-2003":   "at least every 7 days",                            // CDC 2003 F.6
			"us-or":         "each calendar week with patients, from Monday",    // OAR 818-012-0040(2)
			"us-ca-clinics": "at least every 1 month",                           // 22 CCR 75064
			"us-fl":         "every 40 h of use or 30 days, whichever is first", // 59Q-25.003(9)
			"alberta":       "each day of use",                                  // daily since 2011
			"ontario":       "each day of use, in every kind of cycle used",
			"england":       "", "germany": "", "ireland": "", // none routine in Europe
		}},
		{"Z2 repeats after a positive test", procedure, map[string]string{
			"us-cdc-2003": "1, out at 1", "us-cdc-2008": "3, out at 1", "us-cdc": "3, out at 1", "us-oh": "1, out at 2", "england": "open",
		}},
		{"Z3 wrapped goods in a gravity cycle", func(p *Policy) string {
			_, in := p.Rule("load.fit.packed")
			return fmt.Sprint(in)
		}, map[string]string{"us-cdc-2008": "false", "en-13060": "true", "england": "true"}},
		{"Z7 chamber of the tests after repair", func(p *Policy) string {
			pos, _ := p.Positive()
			if pos.Chamber == 0 {
				return "open"
			}
			return pos.Chamber.String()
		}, map[string]string{"us-cdc-2003": "empty", "us-cdc-2008": "empty", "ontario": "open"}},
		{"Z8 dropped pack", func(p *Policy) string {
			r, _ := p.Rule("load.pack.dropped")
			return r.Broken.Pack.String()
		}, map[string]string{"australia": "reject", "us-cdc-2008": "hold"}},
		{"Z9 shelf life", shelf, map[string]string{
			"australia": "", "us-cdc-2003": "", // by event
			"germany": "48 hours, 48 hours, 6 months, 5 years", "england": "365 days, 1 day, 7 days, 7 days", "austria": "6 months",
		}},
		{"Z10 humidity of the store", func(p *Policy) string {
			c, ok := p.Climate()
			if !ok {
				return "open"
			}
			return c.Damp.String()
		}, map[string]string{"us-cdc": "60 %", "queensland": "68 %", "germany": "open"}},
		{"Z11 automatic control test", func(p *Policy) string { return duties(p, AutomaticControlTestEvent) }, map[string]string{
			"england": "each day of use", "scotland": "each calendar week, from Monday", "ireland": "at least every 7 days",
		}},
		{"Z12 leak test", func(p *Policy) string { return duties(p, LeakEvent) }, map[string]string{
			"australia": "each day of use (dynamic air removal, no air detector); at least every 7 days (dynamic air removal, air detector)",
			"england":   "at least every 7 days (dynamic air removal)", "ireland": "at least every 7 days (dynamic air removal)",
		}},
		{"Z13 air removal test", func(p *Policy) string { return duties(p, AirRemovalEvent) }, map[string]string{
			"alberta": "each day of use (dynamic air removal)", "england": "each day of use (dynamic air removal)", "ireland": "each day of use (dynamic air removal)",
			"australia": "each day of use (dynamic air removal, hollow items)", "scotland": "as the maker's schedule says (dynamic air removal)",
		}},
		{"Z15 retention", func(p *Policy) string {
			last, by, ok := p.KeepUntil(BiologicalRecords, day(2026, 3, 9), packaging.Date{})
			switch {
			case !ok:
				return "open"
			case !last.IsValid():
				return by.AfterEquipment.Words() + " after the equipment"
			}
			return last.String()
		}, map[string]string{
			"us-ca": "2027-03-09", "australia": "2033-03-09", "austria": "2033-03-09", "us-or": "2028-12-31", "us-cdc-2003": "open",
		}},
		{"Z15 retention of equipment records", func(p *Policy) string {
			_, by, _ := p.KeepUntil(EquipmentRecords, day(2026, 3, 9), packaging.Date{})
			return by.AfterEquipment.String()
		}, map[string]string{"scotland": "P25Y"}},
	} {
		for name, want := range z.want {
			assert.Equal(t, want, z.says(policy(t, name)), "%s: %s", z.topic, name)
		}
	}
	// Z18: the figures of 2009 are named, not asked.
	assert.Contains(t, strings.Join(policy(t, "england").LeavesOpen(), " "), "60 days")
}

// Every line of every policy carries a source and a basis.
func TestPoliciesCarrySources(t *testing.T) {
	check := func(name string, s moistheat.Source) {
		assert.NotEmpty(t, s.Document, name)
		assert.NotZero(t, s.Basis, name)
	}
	for _, name := range Policies() {
		p := policy(t, name)
		for _, d := range p.Schedule() {
			check(name, d.Source)
		}
		for _, k := range p.Retention() {
			check(name, k.Source)
		}
		for _, l := range p.ShelfLife() {
			check(name, l.Source)
		}
		if c, ok := p.Climate(); ok {
			check(name, c.Source)
		}
		if pos, ok := p.Positive(); ok {
			require.NotEmpty(t, pos.Sources, name)
			for _, s := range pos.Sources {
				check(name, s)
			}
		}
	}
	fig := historyFigures()
	for _, s := range []moistheat.Source{fig.AirRemovalExposure.Source, fig.Floor.Source, fig.Sprinkler.Source, fig.Incubation.Source, fig.Repeat.Source, fig.Laminate.Source} {
		check("figures", s)
	}
}

func TestHistoryWords(t *testing.T) {
	type word interface {
		MarshalText() ([]byte, error)
		String() string
	}
	for _, words := range [][]word{
		{BiologicalTestEvent, AirRemovalEvent, LeakEvent, AutomaticControlTestEvent, RequalificationEvent, CalibrationEvent, PatientsEvent, OutOfUseEvent, ReturnedEvent, RepairedEvent, UpkeepEvent, InstalledEvent, WrongSettingEvent, RetiredEvent, DiscardedEvent},
		{FromMonday, FromSunday},
		{ByInterval, ByDayOfUse, ByCalendarWeek, ByCalendarWeekWithPatients, ByHoursOfUse, ByMaker},
		{WhenDynamic, WhenDynamicHollow, WhenNoAirDetector, WhenAirDetector},
		{AllRecords, BiologicalRecords, CycleRecords, EquipmentRecords},
		{EmptyChamber, FullChamber, PartLoad},
		{ProtectedPlace, UnprotectedPlace, ClinicalArea},
	} {
		seen := map[string]bool{}
		for _, w := range words {
			text, err := w.MarshalText()
			require.NoError(t, err)
			assert.Equal(t, w.String(), string(text))
			assert.False(t, seen[w.String()])
			seen[w.String()] = true
		}
	}
	for _, s := range []fmt.Stringer{DueState(9), ProcedureState(9), Action(9), Whereabouts(9), Measure(99)} {
		assert.Contains(t, s.String(), "invalid")
	}
	_, err := DecodeEvent([]byte(`{"format":"moistheat.load/1","id":"1","sterilizer":"S1","kind":"leak","time":"2026-03-09T07:00:00+01:00"}`))
	assert.ErrorIs(t, err, ErrShape)
	_, err = DecodeEvent([]byte(`{"format":"moistheat.test/1","id":"1","sterilizer":"S1","kind":"leak","time":"2026-03-09T07:00:00+01:00","pass":true}`))
	assert.ErrorIs(t, err, ErrShape)
	_, err = DecodeStored([]byte(`{"format":"moistheat.test/1","pack":"1"}`))
	assert.ErrorIs(t, err, ErrShape)
}

func TestEntries(t *testing.T) {
	line := func(v any) string {
		data, err := json.Marshal(v)
		require.NoError(t, err)
		return string(data)
	}
	stream := strings.Join([]string{
		line(ran("1", "2026-03-09 09:00")), "", `{"format": 7}`,
		line(event(LeakEvent, "2026-03-09 07:00")), line(Stored{Format: StoredFormat, Pack: "1-1"}),
		`{"id":"x","format" : "moistheat.test/1","sterilizer":"S1","kind":"leak","time":"2026-03-09T07:00:00+01:00"}`,
	}, "\n")
	var got []string
	for e, err := range Entries(strings.NewReader(stream)) {
		switch {
		case err != nil:
			got = append(got, fmt.Sprint("line ", err.(*DecodeError).Line))
		case e.Record != nil:
			got = append(got, "record")
		case e.Event != nil:
			got = append(got, "event")
		case e.Stored != nil:
			got = append(got, "stored")
		}
	}
	assert.Equal(t, []string{"record", "line 3", "event", "stored", "event"}, got)
}
