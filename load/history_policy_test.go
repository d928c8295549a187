package load

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
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
	assert.Equal(t, "P9999D", mustPeriod("P9999D").String())
	assert.True(t, Period{}.IsZero())
	assert.False(t, mustPeriod("P1D").IsZero())
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
		made, retired moistheat.Date
		want          moistheat.Date
		found         bool
	}{
		// Oregon: the current and two preceding calendar years (OAR 818-012-0040).
		{"us-or", BiologicalRecords, day(2026, 1, 1), moistheat.Date{}, day(2028, 12, 31), true},
		{"us-or", BiologicalRecords, day(2026, 12, 31), moistheat.Date{}, day(2028, 12, 31), true},
		{"us-or", BiologicalRecords, day(2027, 1, 1), moistheat.Date{}, day(2029, 12, 31), true},
		{"us-or", CycleRecords, day(2026, 1, 1), moistheat.Date{}, moistheat.Date{}, false},
		{"us-ca", BiologicalRecords, day(2026, 3, 9), moistheat.Date{}, day(2027, 3, 9), true},   // 12 months
		{"us-oh", BiologicalRecords, day(2026, 3, 9), moistheat.Date{}, day(2028, 3, 9), true},   // 2 years
		{"us-wa", BiologicalRecords, day(2026, 3, 9), moistheat.Date{}, day(2031, 3, 9), true},   // 5 years
		{"us-fl", BiologicalRecords, day(2026, 3, 9), moistheat.Date{}, moistheat.Date{}, false}, // none stated
		{"us-ar", BiologicalRecords, day(2026, 3, 9), moistheat.Date{}, day(2029, 3, 9), true},   // 3 years
		{"us-cdc-2003", BiologicalRecords, day(2026, 3, 9), moistheat.Date{}, moistheat.Date{}, false},
		{"england", CycleRecords, day(2026, 3, 9), moistheat.Date{}, day(2028, 3, 9), true},   // 2 years
		{"australia", CycleRecords, day(2026, 3, 9), moistheat.Date{}, day(2033, 3, 9), true}, // 7 years
		{"austria", CycleRecords, day(2026, 3, 9), moistheat.Date{}, day(2033, 3, 9), true},   // 7 years
		{"germany", CycleRecords, day(2026, 3, 9), moistheat.Date{}, day(2031, 3, 9), true},   // 5 years
		{"ontario", CycleRecords, day(2026, 3, 9), moistheat.Date{}, day(2036, 3, 9), true},   // 10 years
		// Scotland: the life of the equipment and 25 years.
		{"scotland", EquipmentRecords, day(2026, 3, 9), moistheat.Date{}, moistheat.Date{}, true},
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
	last, _, _ := p.KeepUntil(BiologicalRecords, day(2026, 3, 9), moistheat.Date{})
	assert.Equal(t, day(2029, 3, 9), last)
	// A shorter line does not loosen it without a decision.
	p, err = ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-ca",
		"retention":[{"records":"biological tests","keep":"P3M","source":{"document":"instruction 4","basis":"facility"}}]}`))
	require.NoError(t, err)
	last, _, _ = p.KeepUntil(BiologicalRecords, day(2026, 3, 9), moistheat.Date{})
	assert.Equal(t, day(2027, 3, 9), last)
}

// Of several lines about a record the one that keeps it longest counts, in whatever
// order they stand; "as long as the sterilizer" is longer than any.
func TestKeepUntilLongest(t *testing.T) {
	const source = `"source":{"document":"instruction 4","basis":"facility"}}`
	short, long := `{"records":"biological tests","keep":"P1Y",`+source, `{"records":"biological tests","keep":"P3Y",`+source
	all, other := `{"records":"all","keep":"P2Y",`+source, `{"records":"cycles","keep":"P9Y",`+source
	standing := `{"records":"biological tests","afterEquipment":"P1Y",` + source
	for _, tt := range []struct {
		name    string
		lines   []string
		retired moistheat.Date
		want    moistheat.Date
		by      string
	}{
		{"one", []string{short}, moistheat.Date{}, day(2027, 3, 9), "P1Y"},
		{"the longer first", []string{long, short}, moistheat.Date{}, day(2029, 3, 9), "P3Y"},
		{"the longer last", []string{short, long}, moistheat.Date{}, day(2029, 3, 9), "P3Y"},
		{"that of all records", []string{all, short}, moistheat.Date{}, day(2028, 3, 9), "P2Y"},
		{"that of others is none", []string{short, other}, moistheat.Date{}, day(2027, 3, 9), "P1Y"},
		{"as long as the sterilizer, first", []string{standing, long}, moistheat.Date{}, moistheat.Date{}, ""},
		{"as long as the sterilizer, last", []string{long, standing}, moistheat.Date{}, moistheat.Date{}, ""},
		{"a year after the sterilizer", []string{standing, short}, day(2026, 6, 1), day(2027, 6, 1), ""},
		{"a year after the sterilizer is less", []string{standing, long}, day(2026, 6, 1), day(2029, 3, 9), "P3Y"},
	} {
		p, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-cdc-2003","retention":[` + strings.Join(tt.lines, ",") + `]}`))
		require.NoError(t, err)
		last, by, found := p.KeepUntil(BiologicalRecords, day(2026, 3, 9), tt.retired)
		assert.True(t, found, tt.name)
		assert.Equal(t, tt.want, last, tt.name)
		if tt.by == "" {
			assert.Equal(t, mustPeriod("P1Y"), by.AfterEquipment, tt.name)
		} else {
			assert.Equal(t, mustPeriod(tt.by), by.Keep, tt.name)
		}
	}
	// Of two lines of one length the first is named.
	first := strings.Replace(short, "instruction 4", "instruction 3", 1)
	p, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-cdc-2003","retention":[` + first + `,` + short + `]}`))
	require.NoError(t, err)
	_, by, _ := p.KeepUntil(BiologicalRecords, day(2026, 3, 9), moistheat.Date{})
	assert.Equal(t, "instruction 3", by.Source.Document)
	// With a decision a line takes the place of the base's about the same records only.
	p, err = ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-ca","retention":[` + other + `],
		"decision":{"by":"hygiene officer","date":"2026-01-12","reason":"own instruction"}}`))
	require.NoError(t, err)
	last, _, found := p.KeepUntil(BiologicalRecords, day(2026, 3, 9), moistheat.Date{})
	assert.True(t, found)
	assert.Equal(t, day(2027, 3, 9), last, "California: 12 months")
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
	for text, narrower := range map[string]bool{
		`"low":{"value":10,"unit":"Cel"},"high":{"value":24,"unit":"Cel"},"damp":{"value":60,"unit":"%"}`: true, // a limit more
		`"high":{"value":24,"unit":"Cel"},"damp":{"value":60,"unit":"%"},"keep":"P3M"`:                    true,
		`"high":{"value":24,"unit":"Cel"},"damp":{"value":61,"unit":"%"}`:                                 false,
		`"high":{"value":24,"unit":"Cel"}`:                                                                false, // a limit less
		`"damp":{"value":60,"unit":"%"}`:                                                                  false,
	} {
		err := own(`"climate":{` + text + `,` + source + `}`)
		assert.Equal(t, narrower, err == nil, "%s: %v", text, err)
	}
	// Queensland: 18 to 22 °C, 35 to 68 %, and three months outside them.
	for text, narrower := range map[string]bool{
		`"low":{"value":18,"unit":"Cel"},"high":{"value":22,"unit":"Cel"},"dry":{"value":35,"unit":"%"},"damp":{"value":68,"unit":"%"},"keep":"P3M"`:  true,
		`"low":{"value":19,"unit":"Cel"},"high":{"value":21,"unit":"Cel"},"dry":{"value":36,"unit":"%"},"damp":{"value":67,"unit":"%"},"keep":"P83D"`: true,
		`"low":{"value":17,"unit":"Cel"},"high":{"value":22,"unit":"Cel"},"dry":{"value":35,"unit":"%"},"damp":{"value":68,"unit":"%"},"keep":"P3M"`:  false,
		`"high":{"value":22,"unit":"Cel"},"dry":{"value":35,"unit":"%"},"damp":{"value":68,"unit":"%"},"keep":"P3M"`:                                  false,
		`"low":{"value":18,"unit":"Cel"},"high":{"value":22,"unit":"Cel"},"dry":{"value":34,"unit":"%"},"damp":{"value":68,"unit":"%"},"keep":"P3M"`:  false,
		`"low":{"value":18,"unit":"Cel"},"high":{"value":22,"unit":"Cel"},"dry":{"value":35,"unit":"%"},"damp":{"value":68,"unit":"%"},"keep":"P4M"`:  false,
		`"low":{"value":18,"unit":"Cel"},"high":{"value":22,"unit":"Cel"},"dry":{"value":35,"unit":"%"},"damp":{"value":68,"unit":"%"}`:               false,
	} {
		_, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"queensland","climate":{` + text + `,` + source + `}}`))
		assert.Equal(t, narrower, err == nil, "%s: %v", text, err)
	}
	// Where the base leaves the procedure open, a facility's own is none that asks less.
	_, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"england",` + positive(1, 2, 2, 1, "full") + `}`))
	assert.NoError(t, err)
	for _, most := range []string{
		positive(3, 1, 2, 20, "empty"),
		`"positive":{"repeats":3,"outAt":1,"recallAt":2,"afterRepair":3,"airRemovalTests":20,"chamber":"empty","sources":[]}`,
		`"retention":[{"records":"all","calendarYears":200,` + source + `}]`,
	} {
		assert.NoError(t, own(most), most)
	}
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
		assert.Error(t, own(bad+decision), "%s, whoever decided it", bad)
	}
	// Air removal tests after a repair: ST79 asks for three.
	_, err = ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-st79",` +
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
	seen := map[string]bool{}
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
			"ontario": "1, out at 1", "denmark": "1, out at 1",
		}},
		{"Z3 wrapped goods in a gravity cycle", func(p *Policy) string {
			_, in := p.Rule("load.fit.packed")
			return fmt.Sprint(in)
		}, map[string]string{"us-cdc-2008": "false", "en-13060": "true", "england": "true"}},
		{"Z7 chamber of the tests after repair", func(p *Policy) string {
			pos, _ := p.Positive()
			if pos.Chamber == "" {
				return "open"
			}
			return string(pos.Chamber)
		}, map[string]string{"us-cdc-2003": "empty", "us-cdc-2008": "empty", "ontario": "open", "us-st79": "full"}},
		{"Z8 dropped pack", func(p *Policy) string {
			r, _ := p.Rule("load.pack.dropped")
			return r.Broken.Pack.String()
		}, map[string]string{"australia": "reject", "us-cdc-2008": "quarantine"}},
		{"Z9 shelf life", shelf, map[string]string{
			"australia": "", "us-cdc-2003": "", // by event
			"germany": "48 hours, 48 hours, 6 months, 5 years", "england": "365 days, 1 day, 7 days, 7 days", "austria": "6 months", "wales": "1 year, 1 month", "scotland": "60 days",
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
			"wales": "each day of use (dynamic air removal)", "denmark": "each day of use (dynamic air removal)", "us-st79": "each day of use (dynamic air removal)",
			"australia": "each day of use (dynamic air removal, hollow items)", "scotland": "as the maker's schedule says (dynamic air removal)",
		}},
		{"Z15 retention", func(p *Policy) string {
			last, by, ok := p.KeepUntil(BiologicalRecords, day(2026, 3, 9), moistheat.Date{})
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
			_, by, _ := p.KeepUntil(EquipmentRecords, day(2026, 3, 9), moistheat.Date{})
			return by.AfterEquipment.String()
		}, map[string]string{"scotland": "P25Y"}},
		// Paper down in general, paper up in one maker's instructions: these override,
		// which a facility records as a decision (see below).
		{"Z4 flat pouch with its film down", func(p *Policy) string {
			r := good()
			r.Packs[0].Placement.Position, r.Packs[0].Placement.FilmSide = Flat, FilmDown
			return outcome(Explain(r, p), "load.arrangement.film", "/packs/0/placement").String()
		}, map[string]string{"us-cdc": "broken", "en-13060": "broken"}},
		{"Z5 mass of a set", func(p *Policy) string {
			var out []string
			for _, f := range p.packs.All() {
				if f.Mass.IsValid() && f.Limit != packaging.GreatestMuslinMass {
					out = append(out, string(f.Limit)+" "+f.Mass.String())
				}
			}
			return strings.Join(out, ", ")
		}, map[string]string{
			"us-st79": "greatest set mass with packaging 25 lb", "us-cdc-2008": "", // no limit stated
			"germany": "greatest rigid container mass 10 kg", "en-13060": "",
		}},
		{"Z6 where packs cool", func(p *Policy) string {
			var out []string
			for _, id := range []string{"load.cooling.handled", "load.cooling.inside", "load.cooling.short"} {
				if _, in := p.Rule(id); in {
					out = append(out, strings.TrimPrefix(id, "load.cooling."))
				}
			}
			return strings.Join(out, ", ")
		}, map[string]string{
			"us-cdc-2003": "handled",        // cool and dry before they are touched, in the chamber
			"australia":   "inside",         // never in the chamber
			"us-st79":     "handled, short", // 30 minutes at least on the cart
			"england":     "",
		}},
		// Biological tests first or air removal tests first: either is accepted.
		{"Z14 order of the tests after a repair", func(p *Policy) string {
			var out []string
			for _, series := range [][]EventKind{{BiologicalTestEvent, AirRemovalEvent}, {AirRemovalEvent, BiologicalTestEvent}} {
				h := NewHistory(p)
				h.AddEvent(event(RepairedEvent, "2026-03-09 07:00"))
				for i, kind := range series {
					for j := range 3 {
						at := fmt.Sprintf("2026-03-09 %02d:00", 8+3*i+j)
						if kind == AirRemovalEvent {
							h.AddEvent(event(kind, at, passed(yes)))
						} else {
							h.AddEvent(runWithSpores(at, NoGrowth))
						}
					}
				}
				out = append(out, string(h.Procedures()[0].State))
			}
			return strings.Join(out, ", ")
		}, map[string]string{"us-st79": "finished, finished", "us-cdc-2008": "finished, finished"}},
		// 25 lb are 11.33980925 kg; a study guide prints 11.4 kg. Pounds are stored.
		{"Z16 25 lb in kilograms", func(p *Policy) string {
			limit := p.packs.All()[slices.IndexFunc(p.packs.All(), func(f packaging.Figure) bool { return f.Limit == packaging.GreatestSetMass })].Mass
			return fmt.Sprint(limit.Compare(mass("11.33980925 kg")), limit.Compare(mass("11.339809251 kg")), limit.Compare(mass("11.4 kg")))
		}, map[string]string{"us-st79": "0 -1 -1"}},
		// One expert lets handpieces run in type S; another, and measurements, want a
		// vacuum. Type S carries hollow load A only if it is declared for it.
		{"Z17 handpiece in a cycle of type S", func(p *Policy) string {
			r := good()
			lumen(r, packaging.Lumen{Length: length("100 mm"), Bore: length("0.8 mm"), OpenEnds: 2})
			r.Cycle.Type, r.Sterilizer.DeclaredFor = TypeS, []Carries{CarriesSingleWrapped}
			undeclared := Explain(r, p).Packs[0].Disposition
			r.Sterilizer.DeclaredFor = []Carries{CarriesSingleWrapped, CarriesHollowA}
			return undeclared.String() + ", declared " + Explain(r, p).Packs[0].Disposition.String()
		}, map[string]string{"en-13060": "reject, declared release", "england": "reject, declared release"}},
		{"Z19 room under a sprinkler", func(p *Policy) string {
			s := kept()
			s.UnderSprinkler = length("457 mm") // 18 in are 457.2 mm
			for _, f := range CheckStored(s, p, day(2026, 3, 10)) {
				if f.Rule == "load.storage.sprinkler" {
					return f.Outcome.String()
				}
			}
			return "not asked"
		}, map[string]string{"us-cdc": "broken", "australia": "broken"}},
		{"Z20 pouches that cover each other", func(p *Policy) string {
			r := good()
			for i := range r.Packs {
				r.Packs[i].Placement.Position, r.Packs[i].Placement.FilmSide = Flat, FilmUp
			}
			r.Packs[0].Placement.Overlap = units.New(1, 0, units.Percent)
			return outcome(Explain(r, p), "load.arrangement.overlap", "/packs/0/placement/overlap").String()
		}, map[string]string{"germany": "broken", "us-cdc": "broken"}},
	} {
		seen[strings.Fields(z.topic)[0]] = true
		for name, want := range z.want {
			assert.Equal(t, want, z.says(policy(t, name)), "%s: %s", z.topic, name)
		}
	}
	// What a policy names and does not decide.
	for _, z := range []struct{ topic, policy, says string }{
		{"Z1 interval by batches", "germany", "every 400 batches"},
		{"Z1 interval by use in a quarter", "denmark", "200 to 400 cycles a quarter"},
		{"Z4 pouch by the sterilizer's instructions", "en-13060", "the sterilizer's own instructions come first"},
		{"Z5 mass of other lists", "germany", "25 lb of ST77"},
		{"Z5 mass in the guideline of 2008", "us-cdc-2008", "mass of an instrument set"},
		{"Z6 cooling", "england", "How packs cool"},
		{"Z7 chamber after a repair", "ontario", "Full load or empty chamber"},
		{"Z9 30 days and nine months", "us-cdc-2008", "30 days for double muslin"},
		{"Z14 order of tests after a repair", "us-st79", "The order of the tests after a repair"},
		{"Z15 retention", "us-cdc-2003", "How long records are kept"},
		{"Z17 handpieces in type S", "en-13060", "type S that is not declared for hollow load A"},
		{"Z18 the figures of 2009", "england", "60 days for packs from vacuum cycles and 21 days for others (one text: 30 and 21)"},
		{"Z19 ceiling without sprinkler", "us-cdc", "5 in"},
		{"Z19 ceiling", "australia", "400 mm and 440 mm"},
		{"Z20 overlap in the trade", "germany", "up to 30 %"},
	} {
		seen[strings.Fields(z.topic)[0]] = true
		assert.Contains(t, strings.Join(policy(t, z.policy).LeavesOpen(), " "), z.says, "%s: %s", z.topic, z.policy)
	}
	for n := range 20 {
		assert.True(t, seen[fmt.Sprint("Z", n+1)], "conflict %d is not in the table", n+1)
	}
	// Z4: a sterilizer whose maker wants the paper up.
	own := `{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-cdc","rules":[{"id":"load.arrangement.film","inForce":false%s}]}`
	_, err := ParsePolicy([]byte(fmt.Sprintf(own, "")))
	assert.ErrorContains(t, err, "record who decided")
	p, err := ParsePolicy([]byte(fmt.Sprintf(own, `,"decision":{"by":"lead nurse","date":"2026-01-12","reason":"instructions of the sterilizer, page 12"}`)))
	require.NoError(t, err)
	_, in := p.Rule("load.arrangement.film")
	assert.False(t, in)
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
	for _, s := range []fmt.Stringer{Action(9), TakeBack + 1, Measure(99)} {
		assert.Contains(t, s.String(), "invalid")
	}
	assert.Equal(t, "recall", TakeBack.String())
	_, err := DecodeEvent([]byte(`{"format":"moistheat.load/1","id":"1","sterilizer":"S1","kind":"leak","time":"2026-03-09T07:00:00+01:00"}`))
	assert.ErrorIs(t, err, moistheat.ErrShape)
	_, err = DecodeEvent([]byte(`{"format":"moistheat.test/1","id":"1","sterilizer":"S1","kind":"leak","time":"2026-03-09T07:00:00+01:00","pass":true}`))
	assert.ErrorIs(t, err, moistheat.ErrShape)
	_, err = DecodeStored([]byte(`{"format":"moistheat.test/1","pack":"1"}`))
	assert.ErrorIs(t, err, moistheat.ErrShape)
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
			got = append(got, fmt.Sprint("line ", err.(*moistheat.DocumentError).Line))
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
