package history

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func FuzzEvent(f *testing.F) {
	data, err := json.Marshal(runWithSpores("2026-03-09 08:00", load.Negative))
	require.NoError(f, err)
	f.Add(data)
	f.Add([]byte(`{"format":"moistheat.event/1","id":"1","sterilizer":"S1","kind":"leak","time":"2026-03-09T07:00:00+01:00","leakRate":{"value":0.13,"unit":"kPa/min"}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		e, err := DecodeEvent(data)
		if err != nil {
			return
		}
		h := New(policy(t, "us-cdc-2003"))
		h.AddEvent(e)
		at := e.Time.AddDate(0, 0, 9)
		h.Due(at)
		h.Findings(at)
		h.Recall()
	})
}

func duties(p *load.Policy, test calendar.EventKind) string {
	var out []string
	for _, d := range p.Schedule() {
		if d.Test == test {
			out = append(out, strings.TrimPrefix(d.String(), prose.Test(test.String())+", "))
		}
	}
	return strings.Join(out, "; ")
}

func shelf(p *load.Policy) string {
	var out []string
	for _, l := range p.ShelfLife() {
		out = append(out, l.Keep.Words().String())
	}
	return strings.Join(out, ", ")
}

// Where the documents disagree, and which policy says what. The numbers are those
// of the list of conflicts that this library keeps apart; both values stand, none
// is averaged.
func TestDisagreements(t *testing.T) {
	seen := map[string]bool{}
	procedure := func(p *load.Policy) string {
		pos, ok := p.Positive()
		if !ok {
			return "open"
		}
		return fmt.Sprintf("%d, out at %d", pos.Repeats, pos.OutOfServiceAfter)
	}
	for _, z := range []struct {
		topic string
		says  func(*load.Policy) string
		want  map[string]string
	}{
		{"Z1 interval of the biological test", func(p *load.Policy) string { return duties(p, calendar.BiologicalTestEvent) }, map[string]string{
			"us-cdc-2003":   "at least every 7 days",                         // CDC 2003 F.6
			"us-or":         "each calendar week with patients, from Monday", // OAR 818-012-0040(2)
			"us-ca-clinics": "at least every 1 month",                        // 22 CCR 75064
			"us-fl":         "at least every 7 days",                         // 64B5-25.002 names CDC 2008
			"alberta":       "each day of use",                               // daily since 2011
			"ontario":       "each day of use, in every kind of cycle used",
			"england":       "", "germany": "", "ireland": "", // none routine in Europe
		}},
		{"Z2 repeats after a positive test", procedure, map[string]string{
			"us-cdc-2003": "1, out at 1", "us-cdc-2008": "3, out at 1", "us-oh": "1, out at 1", "england": "open",
			"ontario": "1, out at 1", "denmark": "1, out at 1",
		}},
		{"Z3 wrapped items in a gravity cycle", func(p *load.Policy) string {
			_, in := p.Rule("load.fit.packed")
			return fmt.Sprint(in)
		}, map[string]string{"us-cdc-2008": "false", "en-13060": "true", "england": "true"}},
		{"Z7 chamber of the tests after repair", func(p *load.Policy) string {
			pos, _ := p.Positive()
			if pos.Chamber == "" {
				return "open"
			}
			return string(pos.Chamber)
		}, map[string]string{"us-cdc-2003": "empty", "us-cdc-2008": "empty", "ontario": "open", "us-st79": "full"}},
		{"Z8 dropped pack", func(p *load.Policy) string {
			r, _ := p.Rule("load.pack.dropped")
			return r.Broken.Pack.String()
		}, map[string]string{"australia": "reject", "us-cdc-2003": "quarantine", "us-cdc-2008": moistheat.Disposition(0).String()}},
		{"Z9 shelf life", shelf, map[string]string{
			"australia": "", "us-cdc-2003": "", // by event
			"germany": "48 hours, 48 hours, 6 months, 5 years", "england": "365 days, 1 day, 7 days, 7 days", "austria": "6 months", "wales": "1 year, 1 month", "scotland": "60 days",
		}},
		{"Z10 humidity of the store", func(p *load.Policy) string {
			c, ok := p.Climate()
			if !ok {
				return "open"
			}
			return c.Damp.String()
		}, map[string]string{"us-cdc-2003": "60 %", "queensland": "68 %", "germany": "open"}},
		{"Z11 automatic control test", func(p *load.Policy) string { return duties(p, calendar.AutomaticControlTestEvent) }, map[string]string{
			"england": "each day of use", "scotland": "at least every 7 days", "ireland": "at least every 7 days",
		}},
		{"Z12 leak test", func(p *load.Policy) string { return duties(p, calendar.LeakEvent) }, map[string]string{
			"australia": "each day of use (dynamic air removal, no air detector); at least every 7 days (dynamic air removal, air detector)",
			"england":   "at least every 7 days (dynamic air removal)", "ireland": "at least every 7 days (dynamic air removal)",
		}},
		{"Z13 air removal test", func(p *load.Policy) string { return duties(p, calendar.AirRemovalEvent) }, map[string]string{
			"alberta": "each day of use (dynamic air removal)", "england": "each day of use (dynamic air removal)", "ireland": "each day of use (dynamic air removal)",
			"wales": "each day of use (dynamic air removal)", "denmark": "each day of use (dynamic air removal)", "us-st79": "each day of use (dynamic air removal)",
			"australia": "each day of use (dynamic air removal, hollow items)", "scotland": "as the manufacturer's schedule says (dynamic air removal)",
		}},
		{"Z15 retention", func(p *load.Policy) string {
			last, by, ok := p.KeepUntil(calendar.BiologicalRecords, day(2026, 3, 9), moistheat.Date{})
			switch {
			case !ok:
				return "open"
			case !last.IsValid():
				return by.AfterEquipment.Words().String() + " after the equipment"
			}
			return last.String()
		}, map[string]string{
			"us-ca": "2027-03-09", "australia": "2033-03-09", "austria": "2033-03-09", "us-or": "2028-12-31", "us-cdc-2003": "open",
		}},
		{"Z15 retention of equipment records", func(p *load.Policy) string {
			_, by, _ := p.KeepUntil(calendar.EquipmentRecords, day(2026, 3, 9), moistheat.Date{})
			return by.AfterEquipment.String()
		}, map[string]string{"scotland": "P25Y"}},
		// Paper down in general, paper up in one manufacturer's instructions: these override,
		// which a facility records as a decision (see below).
		{"Z4 flat pouch with its film down", func(p *load.Policy) string {
			r := good()
			r.Packs[0].Placement.Position, r.Packs[0].Placement.FilmSide = load.Flat, load.FilmDown
			return outcome(load.Explain(r, p), "load.arrangement.film", "/packs/0/placement").String()
		}, map[string]string{"us-cdc-2003": "not in force", "en-13060": "not in force"}},
		{"Z5 mass of a set", func(p *load.Policy) string {
			var out []string
			for _, f := range p.Figures().All() {
				if f.Mass.IsValid() && f.Limit != packaging.GreatestMuslinMass {
					out = append(out, string(f.Limit)+" "+f.Mass.String())
				}
			}
			return strings.Join(out, ", ")
		}, map[string]string{
			"us-st79": "greatest set mass with packaging 25 lb", "us-cdc-2008": "", // no limit stated
			"germany": "greatest rigid container mass 10 kg", "en-13060": "",
		}},
		{"Z6 where packs cool", func(p *load.Policy) string {
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
		{"Z14 order of the tests after a repair", func(p *load.Policy) string {
			var out []string
			for _, series := range [][]calendar.EventKind{{calendar.BiologicalTestEvent, calendar.AirRemovalEvent}, {calendar.AirRemovalEvent, calendar.BiologicalTestEvent}} {
				h := New(p)
				h.AddEvent(event(calendar.RepairedEvent, "2026-03-09 07:00"))
				for i, kind := range series {
					for j := range 3 {
						at := fmt.Sprintf("2026-03-09 %02d:00", 8+3*i+j)
						if kind == calendar.AirRemovalEvent {
							h.AddEvent(event(kind, at, passed(yes)))
						} else {
							h.AddEvent(runWithSpores(at, load.Negative))
						}
					}
				}
				out = append(out, string(h.Procedures()[0].State))
			}
			return strings.Join(out, ", ")
		}, map[string]string{"us-st79": "finished, finished", "us-cdc-2008": "finished, finished"}},
		// 25 lb are 11.33980925 kg; a study guide prints 11.4 kg. Pounds are stored.
		{"Z16 25 lb in kilograms", func(p *load.Policy) string {
			limit := p.Figures().All()[slices.IndexFunc(p.Figures().All(), func(f packaging.Figure) bool { return f.Limit == packaging.GreatestSetMass })].Mass
			return fmt.Sprint(limit.Compare(mass("11.33980925 kg")), limit.Compare(mass("11.339809251 kg")), limit.Compare(mass("11.4 kg")))
		}, map[string]string{"us-st79": "0 -1 -1"}},
		// One expert lets handpieces run in type S; another, and measurements, want a
		// vacuum. Type S carries hollow load A only if it is declared for it.
		{"Z17 handpiece in a cycle of type S", func(p *load.Policy) string {
			r := good()
			lumen(r, packaging.Lumen{Length: length("100 mm"), Bore: length("0.8 mm"), OpenEnds: 2})
			r.Cycle.Type, r.Sterilizer.DeclaredFor = load.TypeS, []load.DeclaredLoad{load.DeclaredSingleWrapped}
			undeclared := load.Explain(r, p).Packs[0].Disposition
			r.Sterilizer.DeclaredFor = []load.DeclaredLoad{load.DeclaredSingleWrapped, load.DeclaredHollowA}
			return undeclared.String() + ", declared " + load.Explain(r, p).Packs[0].Disposition.String()
		}, map[string]string{"en-13060": "reject, declared release", "england": "reject, declared release"}},
		{"Z19 room under a sprinkler", func(p *load.Policy) string {
			s := kept()
			s.UnderSprinkler = length("457 mm") // 18 in are 457.2 mm
			for _, f := range CheckStored(s, p, day(2026, 3, 10)) {
				if f.Rule == "load.storage.sprinkler" {
					return f.Outcome.String()
				}
			}
			return "not asked"
		}, map[string]string{"us-cdc-2003": "broken", "australia": "broken"}},
		{"Z20 pouches that cover each other", func(p *load.Policy) string {
			r := good()
			for i := range r.Packs {
				r.Packs[i].Placement.Position, r.Packs[i].Placement.FilmSide = load.Flat, load.FilmUp
			}
			r.Packs[0].Placement.Overlap = units.New(1, 0, units.Percent)
			return outcome(load.Explain(r, p), "load.arrangement.overlap", "/packs/0/placement/overlap").String()
		}, map[string]string{"germany": "broken", "us-cdc-2003": "broken"}},
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
		{"Z4 pouch by the sterilizer's instructions", "en-13060", "Which way a pouch lies"},
		{"Z5 mass of other lists", "germany", "25 lb of ST77"},
		{"Z5 mass in the guideline of 2008", "us-cdc-2008", "mass of an instrument set"},
		{"Z6 cooling", "england", "How packs cool"},
		{"Z7 chamber after a repair", "ontario", "Full load or empty chamber"},
		{"Z9 30 days and nine months", "us-cdc-2008", "30 days for double muslin"},
		{"Z14 order of tests after a repair", "us-st79", "The order of the tests after a repair"},
		{"Z15 retention", "us-cdc-2003", "How long records are kept"},
		{"Z17 handpieces in type S", "en-13060", "type S that is not declared for hollow load A"},
		{"Z18 the figures of 2009", "england", "60 days for packs from vacuum cycles and 21 days for others (one text: 30 and 21)"},
		{"Z19 ceiling without sprinkler", "us-cdc-2003", "5 in"},
		{"Z19 ceiling", "australia", "400 mm and 440 mm"},
		{"Z20 overlap in the trade", "germany", "up to 30 %"},
	} {
		seen[strings.Fields(z.topic)[0]] = true
		assert.Contains(t, strings.Join(policy(t, z.policy).LeavesOpen(), " "), z.says, "%s: %s", z.topic, z.policy)
	}
	for n := range 20 {
		assert.True(t, seen[fmt.Sprint("Z", n+1)], "conflict %d is not in the table", n+1)
	}
	// Z4: a sterilizer whose manufacturer wants the paper up.
	own := `{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-cdc-2003","rules":[{"id":"load.tray.solid","inForce":false%s}]}`
	_, err := load.ParsePolicy([]byte(fmt.Sprintf(own, "")))
	assert.ErrorContains(t, err, "record who decided")
	p, err := load.ParsePolicy([]byte(fmt.Sprintf(own, `,"decision":{"by":"lead nurse","date":"2026-01-12","reason":"instructions of the sterilizer, page 12"}`)))
	require.NoError(t, err)
	_, in := p.Rule("load.tray.solid")
	assert.False(t, in)
}

// Every line of every policy carries a source and a basis.
func TestPoliciesCarrySources(t *testing.T) {
	check := func(name string, s moistheat.Source) {
		assert.NotEmpty(t, s.Document, name)
		assert.NotZero(t, s.Basis, name)
	}
	for _, name := range load.Policies() {
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
		{calendar.BiologicalTestEvent, calendar.AirRemovalEvent, calendar.LeakEvent, calendar.AutomaticControlTestEvent, calendar.RequalificationEvent, calendar.CalibrationEvent, calendar.PatientsEvent, calendar.OutOfUseEvent, calendar.ReturnedEvent, calendar.RepairedEvent, calendar.UpkeepEvent, calendar.InstalledEvent, calendar.WrongSettingEvent, calendar.RetiredEvent, calendar.DiscardedEvent},
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
	for _, s := range []fmt.Stringer{RecallAction(9), Recall + 1, Measure(99)} {
		assert.Contains(t, s.String(), "invalid")
	}
	assert.Equal(t, "recall", Recall.String())
	_, err := DecodeEvent([]byte(`{"format":"moistheat.load/1","id":"1","sterilizer":"S1","kind":"leak","time":"2026-03-09T07:00:00+01:00"}`))
	assert.ErrorIs(t, err, moistheat.ErrShape)
	_, err = DecodeEvent([]byte(`{"format":"moistheat.event/1","id":"1","sterilizer":"S1","kind":"leak","time":"2026-03-09T07:00:00+01:00","pass":true}`))
	assert.ErrorIs(t, err, moistheat.ErrShape)
	_, err = DecodeStoredPack([]byte(`{"format":"moistheat.event/1","pack":"1"}`))
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
		line(event(calendar.LeakEvent, "2026-03-09 07:00")), line(StoredPack{Format: StoredFormat, Pack: "1-1"}),
		`{"id":"x","format" : "moistheat.event/1","sterilizer":"S1","kind":"leak","time":"2026-03-09T07:00:00+01:00"}`,
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

// The calendar asks for the tests of the day that the check of a load asks for: under
// every policy in which a load without an air removal test on its day is held, the
// calendar finds the day overdue.
func TestCalendarAsksWhatTheCheckAsks(t *testing.T) {
	for _, name := range load.Policies() {
		h := history(t, name)
		report := h.Add(ran("1", "2026-03-09 09:00", hollowItem, detector(no), func(r *load.Record) { r.Monitors.Tests = nil }))
		held := slices.ContainsFunc(report.Findings, func(f moistheat.Finding) bool {
			return f.Rule == "load.daily.penetration" && f.Effect.Load >= moistheat.Quarantine
		})
		asked := slices.ContainsFunc(h.Policy().Schedule(), func(d calendar.Duty) bool { return d.Test == calendar.AirRemovalEvent })
		if held {
			require.True(t, asked, name)
			if d := dueOf(t, h, calendar.AirRemovalEvent, "2026-03-09 12:00"); d.Duty.Cadence == calendar.ByDayOfUse {
				assert.Equal(t, Overdue, d.State, name)
			}
		}
	}
}
