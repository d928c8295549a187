package load

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	yes     = moistheat.Yes
	no      = moistheat.No
	unknown = moistheat.NotRecorded

	met          = moistheat.Met
	broken       = moistheat.Broken
	undetermined = moistheat.Undetermined
	notAsked     = moistheat.NotApplicable
	notInForce   = moistheat.NotInForce
)

func instant(s string) time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return t
}

func length(s string) units.Length      { return units.MustParse[units.LengthUnit](s) }
func mass(s string) units.Mass          { return units.MustParse[units.MassUnit](s) }
func duration(s string) units.Duration  { return units.MustParse[units.DurationUnit](s) }
func celsius(n int64) units.Temperature { return units.New(n, 0, units.Celsius) }
func day(y, m, d int) moistheat.Date    { return moistheat.NewDate(y, time.Month(m), d) }
func policy(t testing.TB, n string) *Policy {
	p, err := PolicyFor(n)
	require.NoError(t, err)
	return p
}

// goodPack is a pouch against which no rule has anything.
func goodPack(id string) Pack {
	return Pack{
		Pack: packaging.Pack{
			ID: id, Barrier: packaging.PaperFilmPouch, Layers: 1, SteamFit: yes, Reused: no,
			Expires: day(2028, 1, 31), Mass: mass("0.5 kg"), Fill: units.New(50, 0, units.Percent), FreeSpace: length("40 mm"),
			Seal:  &packaging.Seal{Method: packaging.HeatSeal, Width: length("8 mm"), Intact: yes, Pierced: no},
			Label: &packaging.Label{Sterilizer: "S1", Load: "7", Date: day(2026, 3, 9), Contents: "forceps", Packer: "AB"},
			Indicators: []packaging.Indicator{
				{Place: packaging.External, Type: 1, Lot: "x", Expires: day(2027, 1, 1), Result: packaging.Reached},
				{Place: packaging.Internal, Type: 5, Lot: "y", Expires: day(2027, 1, 1), Visible: yes, Result: packaging.Reached},
			},
			Items: []packaging.Item{{
				Name: "forceps", Count: 1, Class: packaging.Critical, Traits: []packaging.Trait{packaging.Hinged}, Open: yes,
				Materials:   []packaging.Material{packaging.StainlessSteel},
				Preparation: packaging.Preparation{Cleaned: yes, Method: packaging.WasherDisinfector, Dry: yes, Inspected: yes},
			}},
		},
		Placement: Placement{Position: OnEdge, FilmSide: FilmToPaper, Gap: length("10 mm"), TouchesWall: no},
		Condition: PackCondition{Dry: yes, Intact: yes, Dropped: no},
	}
}

// good is a record of printed readings against which no rule in force has anything
// but what a trace alone can show.
func good() *Record {
	return &Record{
		Format: Format, ID: "r1",
		Load:       Identity{Number: "7", Date: day(2026, 3, 9), PreparedBy: "AB"},
		Site:       Site{Barometer: units.MustParse[units.AbsolutePressureUnit]("1013.25 hPa")},
		Sterilizer: Sterilizer{ID: "S1", OnlyOne: no},
		Packs:      []Pack{goodPack("P1"), goodPack("P2")},
		Cycle: &Cycle{
			Number: "7", Sterilizer: "S1", Purpose: ForLoad, Type: TypeB,
			Evidence: cycle.Evidence{
				Started: instant("2026-03-09T09:00:00+01:00"), Ended: instant("2026-03-09T09:50:00+01:00"),
				Settings: cycle.Settings{AirRemoval: moistheat.DynamicAirRemoval, Temperature: celsius(134), Hold: duration("300 s"), Drying: duration("20 min")},
				Printed: cycle.Printed{
					HoldTime: duration("310 s"), MinimumTemperature: units.MustParse[units.TemperatureUnit]("134.3 Cel"),
					MaximumTemperature: units.MustParse[units.TemperatureUnit]("135.4 Cel"),
					AbsolutePressure:   units.MustParse[units.AbsolutePressureUnit]("310 kPa"), DryingTime: duration("20 min"),
				},
				Aborted: no,
			},
		},
		Monitors: Monitors{
			LastValidBiological: instant("2026-03-06T12:00:00+01:00"),
			Tests: []Test{
				{Kind: AirRemovalTest, Time: instant("2026-03-09T07:30:00+01:00"), Passed: yes},
				{Kind: LeakTest, Time: instant("2026-03-07T07:30:00+01:00"), Passed: yes, LeakRate: units.MustParse[units.PressureRateUnit]("0.13 kPa/min")},
			},
		},
		Unloading: Unloading{Time: instant("2026-03-09T09:55:00+01:00"), By: "AB"},
		Release:   &Release{Time: instant("2026-03-09T10:05:00+01:00"), By: "CD", Authorised: yes, Decision: moistheat.Release},
	}
}

// spores is a valid, negative biological test.
func spores() Biological {
	return Biological{
		Lot: "L1", Expires: day(2026, 12, 31), Temperature: celsius(57), Incubated: duration("24 h"), Readout: duration("24 h"),
		Result: Negative, Suited: yes, Control: &Control{Lot: "L1", Result: Positive},
	}
}

// outcome returns the outcome of a rule at a pointer, or, where the report keeps no
// finding, not applicable or not in force as the tally says.
func outcome(r *Report, rule, pointer string) moistheat.Outcome {
	for _, f := range r.Findings {
		if f.Rule == rule && f.Pointer == pointer {
			return f.Outcome
		}
	}
	for _, t := range r.Counts {
		if t.Rule == rule {
			switch {
			case t.NotInForce > 0:
				return notInForce
			case t.NotApplicable > 0:
				return notAsked
			}
		}
	}
	return 0
}

func TestGoodRecordIsReleased(t *testing.T) {
	for _, name := range Policies() {
		t.Run(name, func(t *testing.T) {
			rec := good()
			if name == "switzerland" { // 18 min are the pair there
				rec.Cycle.Settings.Hold, rec.Cycle.Printed.HoldTime = duration("18 min"), duration("1083 s")
				rec.Cycle.Ended = rec.Cycle.Ended.Add(13 * time.Minute)
				rec.Unloading.Time = rec.Unloading.Time.Add(13 * time.Minute)
				rec.Release.Time = rec.Release.Time.Add(13 * time.Minute)
			}
			r := ExplainKnowing(rec, policy(t, name), known())
			for _, f := range r.Findings {
				if f.Open() && f.Effect != (moistheat.Effect{}) {
					t.Errorf("%s at %q: %s", f.Rule, f.Pointer, r.Message(f))
				}
			}
			assert.True(t, r.Released())
			assert.Equal(t, moistheat.InService, r.Verdict.Sterilizer)
			assert.True(t, r.Rows[17].Triggered, "row 18: nothing stands against a release")
		})
	}
}

// change is one way to alter the good record and what one rule must then say.
type change struct {
	name    string
	rule    string
	pointer string
	want    moistheat.Outcome
	policy  string // "" is us-cdc-2003
	edit    func(*Record)
}

func (c change) run(t *testing.T) {
	t.Run(c.rule+"/"+c.name, func(t *testing.T) {
		r := good()
		c.edit(r)
		name := c.policy
		if name == "" {
			name = "us-cdc-2003"
		}
		report := Explain(r, named(t, name, c.rule))
		if !assert.Equal(t, c.want, outcome(report, c.rule, c.pointer)) {
			for _, f := range report.Findings {
				if f.Rule == c.rule {
					t.Logf("%s %q %s", f.Rule, f.Pointer, f.Outcome)
				}
			}
		}
		assertSound(t, r, report)
	})
}

// named returns a built-in policy; for a rule that none of them has in force, or a
// limit that none of them has, a facility's.
func named(t *testing.T, name, rule string) *Policy {
	switch {
	case slices.Contains(ownFigures, rule):
		return withOwnFigures(t, name)
	case rule == "load.textile.unconfirmed":
		return facility(t, name, `{"id": "`+rule+`", "inForce": true}`)
	case name == "hours of use": // Florida's older text
		p, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"us-cdc-2003",` + decided + `,
			"schedule":[{"test":"biological","cadence":"hours of use","every":"P30D","hoursOfUse":{"value":40,"unit":"h"},
			"source":{"document":"Florida rule 59Q-25.003","edition":"older text","locator":"(9)","basis":"published"}}]}`))
		require.NoError(t, err)
		return p
	case name == "thirty percent": // a German trade guide (quoted)
		p, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"germany",` + decided + `,"limits":{
			"overlap":{"value":{"value":30,"unit":"%"},"source":{"document":"German trade guide on loading","basis":"quoted"}}}}`))
		require.NoError(t, err)
		return p
	}
	return policy(t, name)
}

// assertSound asks what must hold of every report.
func assertSound(t *testing.T, rec *Record, r *Report) {
	t.Helper()
	data, err := json.Marshal(rec)
	require.NoError(t, err)
	var tree any
	require.NoError(t, json.Unmarshal(data, &tree))
	for _, f := range r.Findings {
		assert.True(t, resolves(tree, f.Pointer), "pointer %q of %s leads nowhere", f.Pointer, f.Rule)
		assert.NotZero(t, f.Sources.Len(), f.Rule)
		assert.NotContains(t, r.Message(f), "{", f.Rule)
		assert.NotEqual(t, moistheat.Internal, f.Outcome, r.Message(f))
	}
	assert.True(t, slices.IsSortedFunc(r.Findings, moistheat.Finding.Compare))
	for _, line := range strings.Split(r.Text(), "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 80, line)
	}
	for _, p := range r.Packs {
		assert.GreaterOrEqual(t, p.Disposition, r.Verdict.Load, "a pack never softens the load's verdict")
	}
}

// resolves follows a JSON Pointer.
func resolves(v any, pointer string) bool {
	for _, s := range strings.Split(pointer, "/")[1:] {
		switch x := v.(type) {
		case map[string]any:
			next, ok := x[s]
			if !ok {
				return false
			}
			v = next
		case []any:
			i := 0
			for _, c := range s {
				i = i*10 + int(c-'0')
			}
			if i >= len(x) {
				return false
			}
			v = x[i]
		default:
			return false
		}
	}
	return true
}

// on moves the record to a day and runs it in a unit that offers some types of cycle,
// with the first of them.
func on(y, m, d int, offers []CycleType) func(*Record) {
	return func(r *Record) {
		r.Load.Date, r.Sterilizer.CycleTypes = day(y, m, d), offers
		if len(offers) > 0 {
			r.Cycle.Type = offers[0]
		}
	}
}

func coded(code CycleCode) func(*Record) { return func(r *Record) { r.Cycle.Code = code } }

func bare(edit func(*Record)) func(*Record) {
	return func(r *Record) {
		edit(r)
		for i := range r.Packs {
			r.Packs[i].Barrier = packaging.Unwrapped
		}
	}
}

// drape makes the first item a textile whose manufacturer names ways to remove the air.
func drape(air ...moistheat.AirRemoval) func(*Record) {
	return func(r *Record) {
		it := &r.Packs[0].Items[0]
		it.Traits, it.Instructions = []packaging.Trait{packaging.Textile}, &packaging.Instructions{AirRemoval: air}
	}
}

func gravity(r *Record) {
	r.Cycle.Type = ""
	r.Cycle.Settings.AirRemoval = moistheat.GravityDisplacement
}

func lumen(r *Record, l ...packaging.Lumen) {
	it := &r.Packs[0].Items[0]
	it.Traits = []packaging.Trait{packaging.Hollow}
	it.Lumens = l
}

func implant(r *Record) {
	r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Implant}
}

func test(edit func(*Biological)) func(*Record) {
	return func(r *Record) {
		b := spores()
		edit(&b)
		r.Monitors.Biologicals = []Biological{b}
	}
}

func TestIdentity(t *testing.T) {
	for _, c := range []change{
		{"complete", "load.identity.incomplete", "/load", met, "", func(r *Record) {}},
		{"no date", "load.identity.incomplete", "/load", broken, "", func(r *Record) { r.Load.Date = moistheat.Date{} }},
		{"no number", "load.identity.incomplete", "/load", broken, "", func(r *Record) { r.Load.Number = "" }},
		{"one of several sterilizers, unnamed", "load.identity.incomplete", "/load", broken, "", func(r *Record) { r.Sterilizer.ID = "" }},
		{"the only sterilizer, unnamed", "load.identity.incomplete", "/load", met, "", func(r *Record) { r.Sterilizer = Sterilizer{OnlyOne: yes} }},
		{"unnamed, number of sterilizers unknown", "load.identity.incomplete", "/sterilizer", undetermined, "", func(r *Record) { r.Sterilizer = Sterilizer{} }},
		{"ids differ", "load.identity.duplicate", "/packs", met, "", func(r *Record) {}},
		{"an id twice", "load.identity.duplicate", "/packs/1/id", broken, "", func(r *Record) { r.Packs[1].ID = "P1" }},
		{"packs", "load.contents.missing", "/packs", met, "", func(r *Record) {}},
		{"no packs", "load.contents.missing", "/packs", broken, "", func(r *Record) { r.Packs = []Pack{} }},
		{"named", "load.preparer.missing", "/load", met, "", func(r *Record) {}},
		{"unnamed", "load.preparer.missing", "/load", undetermined, "", func(r *Record) { r.Load.PreparedBy = "" }},
		{"printed", "load.physical.missing", "/cycle", met, "", func(r *Record) {}},
		{"no cycle", "load.physical.missing", "", broken, "", func(r *Record) { r.Cycle = nil }},
		{"settings only", "load.physical.missing", "/cycle", broken, "", func(r *Record) { r.Cycle.Printed = cycle.Printed{} }},
		{"same", "load.physical.mismatch", "/cycle", met, "", func(r *Record) {}},
		{"other number", "load.physical.mismatch", "/cycle/number", broken, "", func(r *Record) {
			r.Load.Cycle, r.Cycle.Number = "7", "8"
		}},
		{"other number on the labels", "load.physical.mismatch", "/cycle/number", broken, "", func(r *Record) {
			r.Packs[0].Label.Cycle, r.Cycle.Number = "7", "8"
		}},
		{"a number of its own", "load.physical.mismatch", "/cycle", met, "", func(r *Record) {
			r.Load.Cycle, r.Cycle.Number = "S1-4711", "S1-04711"
		}},
		{"its number on a label", "load.physical.mismatch", "/cycle", met, "", func(r *Record) {
			r.Packs[1].Label.Cycle, r.Cycle.Number = "8", "8"
		}},
		{"zeros before the number", "load.physical.mismatch", "/cycle", met, "", func(r *Record) {
			r.Cycle.Number = "00007"
		}},
		{"the log may count loads", "load.physical.mismatch", "/cycle", undetermined, "", func(r *Record) {
			r.Cycle.Number = "8"
		}},
		{"other sterilizer", "load.physical.mismatch", "/cycle/sterilizer", broken, "", func(r *Record) { r.Cycle.Sterilizer = "S2" }},
		{"no number", "load.physical.mismatch", "/cycle", undetermined, "", func(r *Record) { r.Cycle.Number = "" }},
		{"no cycle", "load.physical.mismatch", "", notAsked, "", func(r *Record) { r.Cycle = nil }},
		{"in order", "load.time.order", "/cycle/ended", met, "", func(r *Record) {}},
		{"at once", "load.time.order", "/cycle/ended", met, "", func(r *Record) { r.Cycle.Ended = r.Cycle.Started }},
		{"ends before it starts", "load.time.order", "/cycle/ended", broken, "", func(r *Record) { r.Cycle.Ended = r.Cycle.Started.Add(-1) }},
		{"unloaded before the end", "load.time.order", "/unloading/time", broken, "", func(r *Record) { r.Unloading.Time = r.Cycle.Ended.Add(-time.Second) }},
		{"no end", "load.time.order", "/cycle", undetermined, "", func(r *Record) { r.Cycle.Ended = time.Time{} }},
		{"load", "load.purpose.unsuited", "/cycle/purpose", met, "", func(r *Record) {}},
		{"leak test", "load.purpose.unsuited", "/cycle/purpose", broken, "", func(r *Record) { r.Cycle.Purpose = ForLeakTest }},
		{"liquids", "load.purpose.unsuited", "/cycle/purpose", broken, "", func(r *Record) { r.Cycle.Purpose = ForLiquids }},
		{"unknown", "load.purpose.unsuited", "/cycle", undetermined, "", func(r *Record) { r.Cycle.Purpose = "" }},
	} {
		c.run(t)
	}
}

func TestDaily(t *testing.T) {
	tests := func(edit func(air, leak *Test)) func(*Record) {
		return func(r *Record) { edit(&r.Monitors.Tests[0], &r.Monitors.Tests[1]) }
	}
	for _, c := range []change{
		{"passed", "load.daily.penetration", "/monitors/tests/0", met, "", func(r *Record) {}},
		{"failed", "load.daily.penetration", "/monitors/tests/0", broken, "", tests(func(air, _ *Test) { air.Passed = no })},
		{"result unknown", "load.daily.penetration", "/monitors/tests/0", undetermined, "", tests(func(air, _ *Test) { air.Passed = unknown })},
		{"the day before", "load.daily.penetration", "/cycle", undetermined, "", tests(func(air, _ *Test) { air.Time = air.Time.AddDate(0, 0, -1) })},
		{"after the load", "load.daily.penetration", "/cycle", undetermined, "", tests(func(air, _ *Test) { air.Time = air.Time.Add(4 * time.Hour) })},
		{"gravity", "load.daily.penetration", "", notAsked, "", gravity},
		{"passed, at the limit", "load.daily.leak", "/monitors/tests/1", met, "", func(r *Record) {}},
		{"1.3 mbar/min is 0.13 kPa/min", "load.daily.leak", "/monitors/tests/1", met, "", tests(func(_, leak *Test) { leak.LeakRate = units.MustParse[units.PressureRateUnit]("1.3 mbar/min") })},
		{"just over", "load.daily.leak", "/monitors/tests/1", broken, "", tests(func(_, leak *Test) { leak.LeakRate = units.MustParse[units.PressureRateUnit]("0.131 kPa/min") })},
		{"failed", "load.daily.leak", "/monitors/tests/1", broken, "", tests(func(_, leak *Test) { leak.Passed = no })},
		{"seven days old", "load.daily.leak", "/monitors/tests/1", met, "", tests(func(_, leak *Test) { leak.Time = instant("2026-03-02T09:00:00+01:00") })},
		{"seven days old, by the day", "load.daily.leak", "/monitors/tests/1", met, "en-13060",
			tests(func(_, leak *Test) { leak.Time = instant("2026-03-02T00:00:00+01:00") })},
		{"older", "load.daily.leak", "/cycle", undetermined, "en-13060",
			tests(func(_, leak *Test) { leak.Time = instant("2026-03-01T23:59:59+01:00") })},
		{"older, and nobody asks", "load.daily.leak", "/monitors/tests/1", met, "",
			tests(func(_, leak *Test) { leak.Time = instant("2026-03-01T23:59:59+01:00") })},
		{"none, and nobody asks", "load.daily.leak", "/cycle", undetermined, "",
			func(r *Record) { r.Monitors.Tests = r.Monitors.Tests[:1] }},
		{"failed long ago", "load.daily.leak", "/monitors/tests/1", broken, "en-13060",
			tests(func(_, leak *Test) { leak.Time, leak.Passed = instant("2026-01-02T08:00:00+01:00"), no })},
		{"failed the day before", "load.daily.penetration", "/monitors/tests/0", broken, "",
			tests(func(air, _ *Test) { air.Time, air.Passed = air.Time.AddDate(0, 0, -1), no })},
		// RACGP: a leak test on each day of use, weekly where an air detector is fitted; an
		// air removal test where hollow items are reprocessed.
		{"two days old, no air detector", "load.daily.leak", "/cycle", undetermined, "australia",
			func(r *Record) { r.Sterilizer.AirDetector = no }},
		{"two days old, air detector", "load.daily.leak", "/monitors/tests/1", met, "australia",
			func(r *Record) { r.Sterilizer.AirDetector = yes }},
		{"two days old, perhaps an air detector", "load.daily.leak", "/cycle", undetermined, "australia", func(r *Record) {}},
		{"nothing hollow", "load.daily.penetration", "", notAsked, "australia",
			tests(func(air, _ *Test) { air.Time = air.Time.AddDate(0, 0, -1) })},
		{"nothing hollow, but it failed", "load.daily.penetration", "/monitors/tests/0", broken, "australia",
			tests(func(air, _ *Test) { air.Passed = no })},
		{"gravity", "load.daily.leak", "", notAsked, "", gravity},
	} {
		c.run(t)
	}
}

func TestFit(t *testing.T) {
	tube := packaging.Lumen{Length: length("100 mm"), Bore: length("0.8 mm"), OpenEnds: 2} // hollow A
	bowl := packaging.Lumen{Length: length("120 mm"), Bore: length("60 mm"), OpenEnds: 1}  // hollow B
	long := packaging.Lumen{Length: length("1501 mm"), Bore: length("3 mm"), OpenEnds: 1}  // beyond
	const item = "/packs/0/items/0"
	for _, c := range []change{
		{"type recorded", "load.fit.undeclared", "/cycle", met, "en-13060", func(r *Record) {}},
		{"type unknown", "load.fit.undeclared", "/cycle", undetermined, "en-13060", func(r *Record) { r.Cycle.Type = "" }},
		{"a term of EN 13060", "load.fit.undeclared", "/cycle", notInForce, "", func(r *Record) {}},

		{"type B", "load.fit.packed", "/packs/0", met, "en-13060", func(r *Record) {}},
		{"type N", "load.fit.packed", "/packs/0", broken, "en-13060", func(r *Record) { r.Cycle.Type = TypeN }},
		{"type S, declared", "load.fit.packed", "/packs/0", met, "en-13060", func(r *Record) {
			r.Cycle.Type, r.Sterilizer.DeclaredFor = TypeS, []DeclaredLoad{DeclaredSingleWrapped}
		}},
		{"type S, declared for another", "load.fit.packed", "/packs/0", broken, "en-13060", func(r *Record) {
			r.Cycle.Type, r.Sterilizer.DeclaredFor = TypeS, []DeclaredLoad{DeclaredHollowB}
		}},
		{"double in type S for single", "load.fit.packed", "/packs/0", broken, "en-13060", func(r *Record) {
			r.Cycle.Type, r.Sterilizer.DeclaredFor, r.Packs[0].Layers = TypeS, []DeclaredLoad{DeclaredSingleWrapped}, 2
		}},
		{"described as double in type S for single", "load.fit.packed", "/packs/0", broken, "en-13060", func(r *Record) {
			r.Cycle.Type, r.Sterilizer.DeclaredFor, r.Packs[0].Layers, r.Packs[0].Double = TypeS, []DeclaredLoad{DeclaredSingleWrapped}, 0, &packaging.Double{}
		}},
		{"layers not recorded in type S for single", "load.fit.packed", "/packs/0", undetermined, "en-13060", func(r *Record) {
			r.Cycle.Type, r.Sterilizer.DeclaredFor, r.Packs[0].Layers = TypeS, []DeclaredLoad{DeclaredSingleWrapped}, 0
		}},
		{"layers not recorded in type S for double", "load.fit.packed", "/packs/0", undetermined, "en-13060", func(r *Record) {
			r.Cycle.Type, r.Sterilizer.DeclaredFor, r.Packs[0].Layers = TypeS, []DeclaredLoad{DeclaredDoubleWrapped}, 0
		}},
		{"layers not recorded in type S for both", "load.fit.packed", "/packs/0", met, "en-13060", func(r *Record) {
			r.Cycle.Type, r.Sterilizer.DeclaredFor, r.Packs[0].Layers = TypeS, []DeclaredLoad{DeclaredDoubleWrapped, DeclaredSingleWrapped}, 0
		}},
		{"layers not recorded in type S for neither", "load.fit.packed", "/packs/0", broken, "en-13060", func(r *Record) {
			r.Cycle.Type, r.Sterilizer.DeclaredFor, r.Packs[0].Layers = TypeS, []DeclaredLoad{DeclaredHollowB}, 0
		}},
		{"container in type S for single", "load.fit.packed", "/packs/0", met, "en-13060", func(r *Record) {
			r.Cycle.Type, r.Sterilizer.DeclaredFor, r.Packs[0].Layers, r.Packs[0].Barrier = TypeS, []DeclaredLoad{DeclaredSingleWrapped}, 0, packaging.RigidContainer
		}},
		{"type S, declaration unknown", "load.fit.packed", "/packs/0", undetermined, "en-13060", func(r *Record) { r.Cycle.Type = TypeS }},
		{"unwrapped", "load.fit.packed", "/packs/0", notAsked, "en-13060", func(r *Record) {
			for i := range r.Packs {
				r.Packs[i].Barrier = packaging.Unwrapped
			}
		}},
		{"wrapped items in a gravity cycle", "load.fit.packed", "/packs/0", notInForce, "", gravity},

		{"solid", "load.fit.narrow", item, notAsked, "", func(r *Record) {}},
		{"tube in vacuum", "load.fit.narrow", item, met, "", func(r *Record) { lumen(r, tube) }},
		{"tube in gravity", "load.fit.narrow", item, broken, "", func(r *Record) { gravity(r); lumen(r, tube) }},
		{"tube in type N", "load.fit.narrow", item, broken, "en-13060", func(r *Record) { r.Cycle.Type = TypeN; lumen(r, tube) }},
		{"unmeasured in gravity", "load.fit.narrow", item, broken, "", func(r *Record) { gravity(r); lumen(r, packaging.Lumen{}) }},
		{"powered, undescribed, in gravity", "load.fit.narrow", item, broken, "", func(r *Record) {
			gravity(r)
			r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Powered}
		}},
		{"undescribed item in gravity", "load.fit.narrow", item, undetermined, "", func(r *Record) {
			gravity(r)
			r.Packs[0].Items[0].Traits = nil
		}},
		{"undescribed item in vacuum", "load.fit.narrow", item, notAsked, "", func(r *Record) { r.Packs[0].Items[0].Traits = nil }},
		{"tube, pulses above atmosphere", "load.fit.narrow", item, undetermined, "", func(r *Record) {
			lumen(r, tube)
			r.Cycle.Type, r.Cycle.Settings.AirRemoval = "", moistheat.SteamFlushPressurePulse
		}},
		{"tube, pulses above atmosphere, named by its manufacturer", "load.fit.narrow", item, met, "", func(r *Record) {
			lumen(r, tube)
			r.Packs[0].Items[0].Instructions = &packaging.Instructions{AirRemoval: []moistheat.AirRemoval{moistheat.SteamFlushPressurePulse}}
			r.Cycle.Type, r.Cycle.Settings.AirRemoval = "", moistheat.SteamFlushPressurePulse
		}},

		{"bowl in type B", "load.fit.wide", item, met, "en-13060", func(r *Record) { lumen(r, bowl) }},
		{"bowl in type N", "load.fit.wide", item, broken, "en-13060", func(r *Record) { r.Cycle.Type = TypeN; lumen(r, bowl) }},
		{"bowl in type S", "load.fit.wide", item, undetermined, "en-13060", func(r *Record) { r.Cycle.Type = TypeS; lumen(r, bowl) }},
		{"solid", "load.fit.wide", item, notAsked, "en-13060", func(r *Record) {}},

		{"beyond", "load.fit.beyond", item, broken, "", func(r *Record) { lumen(r, long) }},
		{"beyond, named by its manufacturer", "load.fit.beyond", item, met, "", func(r *Record) {
			lumen(r, long)
			r.Packs[0].Items[0].Instructions = &packaging.Instructions{AirRemoval: []moistheat.AirRemoval{moistheat.DynamicAirRemoval}}
		}},
		{"within", "load.fit.beyond", item, notAsked, "", func(r *Record) { lumen(r, tube) }},

		{"drape in type B", "load.fit.porous", item, met, "en-13060", func(r *Record) { r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Textile} }},
		{"drape in type N", "load.fit.porous", item, broken, "en-13060", func(r *Record) {
			r.Cycle.Type = TypeN
			r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Textile}
		}},
		{"drape in type S", "load.fit.porous", item, undetermined, "en-13060", func(r *Record) {
			r.Cycle.Type = TypeS
			r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Porous}
		}},
		{"solid", "load.fit.porous", item, notAsked, "en-13060", func(r *Record) {}},

		{"container in vacuum", "load.fit.container", "/packs/0", met, "", func(r *Record) { r.Packs[0].Barrier = packaging.RigidContainer }},
		{"container in gravity", "load.fit.container", "/packs/0", broken, "", func(r *Record) { gravity(r); r.Packs[0].Barrier = packaging.RigidContainer }},
		{"container, air removal unknown", "load.fit.container", "/packs/0", undetermined, "", func(r *Record) {
			r.Cycle.Settings.AirRemoval = ""
			r.Packs[0].Barrier = packaging.RigidContainer
		}},
		{"pouch", "load.fit.container", "/packs/0", notAsked, "", func(r *Record) {}},
		{"container whose manufacturer names gravity", "load.fit.container", "/packs/0", met, "", func(r *Record) {
			gravity(r)
			r.Packs[0].Barrier, r.Packs[0].AirRemoval = packaging.RigidContainer, []moistheat.AirRemoval{moistheat.GravityDisplacement}
		}},
		{"container whose manufacturer names another", "load.fit.container", "/packs/0", broken, "", func(r *Record) {
			r.Packs[0].Barrier, r.Packs[0].AirRemoval = packaging.RigidContainer, []moistheat.AirRemoval{moistheat.SteamFlushPressurePulse}
		}},
		{"with pulses, its IFU unknown", "load.fit.container", "/packs/0", undetermined, "", func(r *Record) {
			r.Packs[0].Barrier, r.Cycle.Settings.AirRemoval = packaging.RigidContainer, moistheat.SteamFlushPressurePulse
		}},

		{"all fits", "load.fit.nothing", "/packs", met, "", func(r *Record) {}},
		{"one pack does not fit", "load.fit.nothing", "/packs", met, "en-13060", func(r *Record) {
			r.Cycle.Type, r.Packs[0].Barrier = TypeN, packaging.Unwrapped
		}},
		{"no pack fits", "load.fit.nothing", "/packs", broken, "en-13060", func(r *Record) { r.Cycle.Type = TypeN }},
		{"what does not fit is not in force", "load.fit.nothing", "/packs", met, "us-cdc-2003", func(r *Record) { r.Cycle.Type = TypeN }},
		{"not known of any", "load.fit.nothing", "/packs", undetermined, "en-13060", func(r *Record) { r.Cycle.Type = TypeS }},
		{"one does not fit, of the other it is not known", "load.fit.nothing", "/packs", undetermined, "us-cdc-2003", func(r *Record) {
			r.Cycle.Type, r.Cycle.Settings.AirRemoval = "", moistheat.SteamFlushPressurePulse
			r.Packs[0].Barrier, r.Packs[0].AirRemoval = packaging.RigidContainer, []moistheat.AirRemoval{moistheat.DynamicAirRemoval}
			r.Packs[1].Barrier = packaging.RigidContainer
		}},
		{"one item that asks for another cycle is not the load", "load.fit.nothing", "/packs", met, "en-13060", func(r *Record) {
			r.Packs = r.Packs[:1]
			r.Packs[0].Items[0].Instructions = &packaging.Instructions{MinTemperature: celsius(135)}
		}},
		{"waived for one", "load.fit.nothing", "/packs", met, "en-13060", func(r *Record) {
			r.Cycle.Type = TypeN
			r.Waivers = []moistheat.Waiver{{Rule: "load.fit.packed", Pack: r.Packs[0].ID, Reason: "x", Author: "Dr Y", Expires: instant("2027-01-01T00:00:00Z")}}
		}},
		{"no cycle", "load.fit.nothing", "/packs", notAsked, "", func(r *Record) { r.Cycle = nil }},

		// Austria (quoted): type B once the transition to May 2028 has ended.
		{"type B ran", "load.sterilizer.limited", "/cycle/type", met, "austria", on(2028, 6, 1, nil)},
		{"type S ran in a unit with type B", "load.sterilizer.limited", "/sterilizer/cycleTypes", met, "austria", on(2028, 6, 1, []CycleType{TypeS, TypeB})},
		{"type S ran in a unit without", "load.sterilizer.limited", "/sterilizer/cycleTypes", broken, "austria", on(2028, 6, 1, []CycleType{TypeN, TypeS})},
		{"in the last days of the transition", "load.sterilizer.limited", "/sterilizer/cycleTypes", notInForce, "austria", on(2028, 5, 31, []CycleType{TypeN, TypeS})},
		{"type S ran, the unit is not known", "load.sterilizer.limited", "/sterilizer", undetermined, "austria", func(r *Record) {
			on(2028, 6, 1, nil)(r)
			r.Cycle.Type = TypeS
		}},
		{"date not recorded", "load.sterilizer.limited", "/sterilizer/cycleTypes", broken, "austria", func(r *Record) {
			on(2028, 5, 31, []CycleType{TypeN})(r)
			r.Load.Date = moistheat.Date{}
		}},
		{"an Austrian rule", "load.sterilizer.limited", "/sterilizer/cycleTypes", notInForce, "en-13060", on(2028, 6, 1, []CycleType{TypeN})},

		// HL7 version 2, table 0702 (published). Where its comments contradict the
		// physics, as of GRV, WFP and SFP, nothing follows from a code.
		{"express, packed", "load.code.mismatch", "/cycle/code", met, "", coded(CodeEXP)},
		{"express, without packs", "load.code.mismatch", "/cycle/code", broken, "", bare(coded(CodeEXP))},
		{"flash, packed", "load.code.mismatch", "/cycle/code", broken, "", coded(CodeFLS)},
		{"flash, without packs", "load.code.mismatch", "/cycle/code", met, "", bare(coded(CodeFLS))},
		{"flash, barrier not recorded", "load.code.mismatch", "/packs", undetermined, "", func(r *Record) {
			coded(CodeFLS)(r)
			r.Packs[0].Barrier, r.Packs[1].Barrier = "", ""
		}},
		{"gravity", "load.code.mismatch", "/cycle/code", met, "", coded(CodeGRV)},
		{"pulses for wrapped items, without packs", "load.code.mismatch", "/cycle/code", met, "", bare(coded(CodeWFP))},
		{"pulses, packed", "load.code.mismatch", "/cycle/code", met, "", coded(CodeSFP)},
		{"no code", "load.code.mismatch", "", notAsked, "", func(r *Record) {}},
		{"coded as a Bowie-Dick test", "load.purpose.unsuited", "/cycle/code", broken, "", coded(CodeBWD)},
		{"coded as a leak test, purpose not recorded", "load.purpose.unsuited", "/cycle/code", broken, "", func(r *Record) {
			coded(CodeLKT)(r)
			r.Cycle.Purpose = ""
		}},
		{"coded as liquids", "load.purpose.unsuited", "/cycle/code", broken, "", coded(CodeLQD)},
		{"coded as prevacuum, purpose not recorded", "load.purpose.unsuited", "/cycle", undetermined, "", func(r *Record) {
			coded(CodePRV)(r)
			r.Cycle.Purpose = ""
		}},

		// Textiles only when their manufacturer confirms the cycle (practice of the trade).
		{"confirmed", "load.textile.unconfirmed", item + "/instructions/airRemoval", met, "", drape(moistheat.DynamicAirRemoval)},
		{"another cycle confirmed", "load.textile.unconfirmed", item + "/instructions/airRemoval", broken, "", drape(moistheat.GravityDisplacement)},
		{"no word of the manufacturer", "load.textile.unconfirmed", item, undetermined, "", drape()},
		{"no textile", "load.textile.unconfirmed", item, notAsked, "", func(r *Record) {}},

		{"pouch in a container", "load.pouch.enclosed", "/packs/0/inside", broken, "", func(r *Record) {
			r.Packs[0].Inside, r.Packs[1].Barrier = "P2", packaging.RigidContainer
		}},
		{"pouch in a wrap", "load.pouch.enclosed", "/packs/0/inside", met, "", func(r *Record) {
			r.Packs[0].Inside, r.Packs[1].Barrier = "P2", packaging.WrapSheet
		}},
		{"pouch in a pack that is not in the record", "load.pouch.enclosed", "/packs/0/inside", undetermined, "", func(r *Record) { r.Packs[0].Inside = "P9" }},
		{"pouch alone", "load.pouch.enclosed", "/packs/0", notAsked, "", func(r *Record) {}},
	} {
		c.run(t)
	}
}

func TestInstructions(t *testing.T) {
	asks := func(in packaging.Instructions) func(*Record) {
		return func(r *Record) { r.Packs[0].Items[0].Instructions = &in }
	}
	vacuum := []moistheat.AirRemoval{moistheat.DynamicAirRemoval}
	const at = "/packs/0/items/0/instructions"
	for _, c := range []change{
		{"none", "load.fit.instructions", at, notAsked, "", func(r *Record) {}},
		{"all satisfied", "load.fit.instructions", at, met, "", asks(packaging.Instructions{AirRemoval: vacuum, MinTemperature: celsius(134), MaxTemperature: celsius(137), Hold: duration("310 s"), Drying: duration("20 min")})},
		{"other air removal", "load.fit.instructions", at, broken, "", asks(packaging.Instructions{AirRemoval: []moistheat.AirRemoval{moistheat.GravityDisplacement}})},
		{"a degree more", "load.fit.instructions", at, broken, "", asks(packaging.Instructions{MinTemperature: celsius(135)})},
		{"273.2 [degF] is 134 Cel", "load.fit.instructions", at, met, "", asks(packaging.Instructions{MinTemperature: units.MustParse[units.TemperatureUnit]("273.2 [degF]")})},
		{"got too hot", "load.fit.instructions", at, broken, "", asks(packaging.Instructions{MaxTemperature: celsius(135)})},
		{"at its hottest", "load.fit.instructions", at, met, "", asks(packaging.Instructions{MaxTemperature: units.MustParse[units.TemperatureUnit]("135.4 Cel")})},
		{"a second more", "load.fit.instructions", at, broken, "", asks(packaging.Instructions{Hold: duration("311 s")})},
		{"longer drying", "load.fit.instructions", at, broken, "", asks(packaging.Instructions{Drying: duration("1201 s")})},
		{"hold not recorded", "load.fit.instructions", at, undetermined, "", func(r *Record) {
			asks(packaging.Instructions{Hold: duration("3 min")})(r)
			r.Cycle.Printed.HoldTime = units.Duration{}
		}},
		{"hottest not recorded", "load.fit.instructions", at, undetermined, "", func(r *Record) {
			asks(packaging.Instructions{MaxTemperature: celsius(138)})(r)
			r.Cycle.Printed.MaximumTemperature = units.Temperature{}
		}},
		{"set too hot", "load.fit.instructions", at, broken, "", func(r *Record) {
			asks(packaging.Instructions{MaxTemperature: celsius(133)})(r)
			r.Cycle.Printed.MaximumTemperature = units.Temperature{}
		}},
	} {
		c.run(t)
	}
}

func TestArrangement(t *testing.T) {
	place := func(edit func(*Placement)) func(*Record) { return func(r *Record) { edit(&r.Packs[0].Placement) } }
	capacity := func(rows ...Capacity) func(*Record) {
		return func(r *Record) { r.Sterilizer.Accessory, r.Sterilizer.Capacity = "rack", rows }
	}
	rated := func(m string) Capacity { return Capacity{Mass: mass(m), Authority: ByManufacturer} }
	const at, row = "/packs/0/placement", "/sterilizer/capacity/0"
	for _, c := range []change{
		{"on edge", "load.arrangement.stacked", at, met, "", func(r *Record) {}},
		{"on another", "load.arrangement.stacked", at + "/stackedOn", broken, "", place(func(p *Placement) { p.StackedOn = "P2" })},
		{"unknown", "load.arrangement.stacked", "/packs/0", undetermined, "", place(func(p *Placement) { *p = Placement{} })},
		{"unwrapped", "load.arrangement.stacked", at, notAsked, "", func(r *Record) {
			r.Packs[0].Barrier, r.Packs[1].Barrier = packaging.Unwrapped, packaging.Unwrapped
		}},
		{"flat, film up", "load.arrangement.film", at, met, "", place(func(p *Placement) { p.Position, p.FilmSide = Flat, FilmUp })},
		{"flat, film down", "load.arrangement.film", at, broken, "", place(func(p *Placement) { p.Position, p.FilmSide = Flat, FilmDown })},
		{"flat, side unknown", "load.arrangement.film", at, undetermined, "", place(func(p *Placement) { p.Position, p.FilmSide = Flat, "" })},
		{"on edge", "load.arrangement.film", at, notAsked, "", func(r *Record) {}},
		{"free", "load.arrangement.wall", at, met, "", func(r *Record) {}},
		{"touching", "load.arrangement.wall", at, broken, "", place(func(p *Placement) { p.TouchesWall = yes })},
		{"unknown", "load.arrangement.wall", at, undetermined, "", place(func(p *Placement) { p.TouchesWall = unknown })},
		{"inside another", "load.arrangement.wall", at, notAsked, "", func(r *Record) {
			r.Packs[0].Inside, r.Packs[1].Inside = "P2", "P1"
		}},
		{"a quarter of an inch", "load.arrangement.gap", at + "/gap", met, "", place(func(p *Placement) { p.Gap = length("6.35 mm") })},
		{"a hair less", "load.arrangement.gap", at + "/gap", broken, "", place(func(p *Placement) { p.Gap = length("6.349 mm") })},
		{"in inches", "load.arrangement.gap", at + "/gap", met, "", place(func(p *Placement) { p.Gap = length("0.25 [in_i]") })},
		{"unknown", "load.arrangement.gap", at, undetermined, "", place(func(p *Placement) { p.Gap = units.Length{} })},
		{"the only pack", "load.arrangement.gap", at, notAsked, "", func(r *Record) { r.Packs = r.Packs[:1] }},
		{"bowl down", "load.arrangement.opening", at, met, "", func(r *Record) {
			r.Packs[0].Items[0].Traits, r.Packs[0].Placement.OpenSide = []packaging.Trait{packaging.Hollowware}, OpenDown
		}},
		{"bowl up", "load.arrangement.opening", at, broken, "", func(r *Record) {
			r.Packs[0].Items[0].Traits, r.Packs[0].Placement.OpenSide = []packaging.Trait{packaging.Hollowware}, OpenUp
		}},
		{"bowl, unknown", "load.arrangement.opening", at, undetermined, "", func(r *Record) {
			r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Hollowware}
		}},
		{"no bowl", "load.arrangement.opening", at, notAsked, "", func(r *Record) {}},
		{"tray below", "load.arrangement.dripping", at, met, "", func(r *Record) {
			r.Packs[1].Barrier, r.Packs[1].Placement.AboveWrapped = packaging.Unwrapped, no
			r.Packs[0].Condition.Dry = moistheat.NotRecorded
		}},
		{"tray above", "load.arrangement.dripping", at, broken, "", func(r *Record) {
			r.Packs[1].Barrier, r.Packs[1].Placement.AboveWrapped = packaging.Unwrapped, yes
			r.Packs[0].Condition.Dry = moistheat.NotRecorded
		}},
		{"tray above, found wet", "load.arrangement.dripping", at, broken, "", func(r *Record) {
			r.Packs[1].Barrier, r.Packs[1].Placement.AboveWrapped = packaging.Unwrapped, yes
			r.Packs[0].Condition.Dry = no
		}},
		{"tray above, found dry", "load.arrangement.dripping", at, met, "", func(r *Record) {
			r.Packs[1].Barrier, r.Packs[1].Placement.AboveWrapped = packaging.Unwrapped, yes
		}},
		{"tray, unknown", "load.arrangement.dripping", at, undetermined, "", func(r *Record) {
			r.Packs[1].Barrier, r.Packs[0].Condition.Dry = packaging.Unwrapped, moistheat.NotRecorded
		}},
		{"no tray", "load.arrangement.dripping", at, notAsked, "", func(r *Record) {}},
		{"all wrapped", "load.arrangement.mixed", "/packs", met, "", func(r *Record) {}},
		{"mixed", "load.arrangement.mixed", "/packs", broken, "", func(r *Record) { r.Packs[0].Barrier = packaging.Unwrapped }},
		{"no packs", "load.arrangement.mixed", "/packs", notAsked, "", func(r *Record) { r.Packs = []Pack{} }},

		{"at the limit", "load.capacity.over", row, met, "", capacity(rated("1 kg"))},
		{"a gram over", "load.capacity.over", row, broken, "", capacity(rated("0.999 kg"))},
		// 9 lb is 4.08233133 kg exactly (1959 agreement), so 4.082 kg is within and 4.0824 kg is not.
		{"4.082 kg under 9 lb", "load.capacity.over", row, met, "", func(r *Record) {
			r.Packs[0].Mass, r.Packs[1].Mass = mass("4 kg"), mass("82 g")
			capacity(rated("9 [lb_av]"))(r)
		}},
		{"4.0824 kg over 9 lb", "load.capacity.over", row, broken, "", func(r *Record) {
			r.Packs[0].Mass, r.Packs[1].Mass = mass("4 kg"), mass("82.4 g")
			capacity(rated("9 [lb_av]"))(r)
		}},
		{"a mass unknown", "load.capacity.over", row, undetermined, "", func(r *Record) {
			r.Packs[1].Mass = units.Mass{}
			capacity(rated("1 kg"))(r)
		}},
		{"too heavy without the unknown one", "load.capacity.over", row, broken, "", func(r *Record) {
			r.Packs[1].Mass = units.Mass{}
			capacity(rated("0.4 kg"))(r)
		}},
		{"row of this cycle", "load.capacity.over", row, broken, "", capacity(Capacity{AirRemoval: moistheat.DynamicAirRemoval, Temperature: celsius(134), Mass: mass("0.999 kg"), Authority: ByManufacturer})},
		{"row of another air removal", "load.capacity.over", "", notAsked, "", capacity(Capacity{AirRemoval: moistheat.GravityDisplacement, Mass: mass("1 g"), Authority: ByManufacturer})},
		{"row of another temperature", "load.capacity.over", "", notAsked, "", capacity(Capacity{Temperature: celsius(121), Mass: mass("1 g"), Authority: ByManufacturer})},
		{"row that may be of this cycle", "load.capacity.over", row, undetermined, "", func(r *Record) {
			capacity(Capacity{Temperature: celsius(121), Mass: mass("0.999 kg"), Authority: ByManufacturer})(r)
			r.Cycle.Settings.Temperature = units.Temperature{}
		}},
		{"row that may be of this cycle and would be kept", "load.capacity.over", row, met, "", func(r *Record) {
			capacity(Capacity{Temperature: celsius(121), Mass: mass("1 kg"), Authority: ByManufacturer})(r)
			r.Cycle.Settings.Temperature = units.Temperature{}
		}},
		{"row of an accessory that may be in use", "load.capacity.over", row, undetermined, "", func(r *Record) {
			capacity(Capacity{Accessory: "rack", Mass: mass("0.999 kg"), Authority: ByManufacturer})(r)
			r.Sterilizer.Accessory = ""
		}},
		{"row of an accessory that may be in use and would be kept", "load.capacity.over", row, met, "", func(r *Record) {
			capacity(Capacity{Accessory: "rack", Mass: mass("1 kg"), Authority: ByManufacturer})(r)
			r.Sterilizer.Accessory = ""
		}},
		{"row of another accessory", "load.capacity.over", "", notAsked, "", capacity(Capacity{Accessory: "tray", Mass: mass("1 g"), Authority: ByManufacturer})},
		{"the smaller of two", "load.capacity.over", "/sterilizer/capacity/1", broken, "", capacity(rated("2 kg"),
			rated("0.5 kg"))},
		{"within the validated load", "load.validation.over", row, met, "", capacity(Capacity{Mass: mass("1 kg"), Authority: ByValidation})},
		{"over the validated load", "load.validation.over", row, broken, "", capacity(Capacity{Mass: mass("0.9999 kg"), Authority: ByValidation})},
		{"nothing validated", "load.validation.over", "", notAsked, "", capacity(rated("1 kg"))},
		{"validated, a mass unknown", "load.validation.over", row, undetermined, "", func(r *Record) {
			r.Packs[0].Mass = units.Mass{}
			capacity(Capacity{Mass: mass("1 kg"), Authority: ByValidation})(r)
		}},
	} {
		c.run(t)
	}
}

func TestIndicators(t *testing.T) {
	ind := func(pack, i int, res packaging.IndicatorResult) func(*Record) {
		return func(r *Record) { r.Packs[pack].Indicators[i].Result = res }
	}
	both := func(a, b func(*Record)) func(*Record) { return func(r *Record) { a(r); b(r) } }
	device := func(res packaging.IndicatorResult) func(*Record) {
		return func(r *Record) { r.Monitors.Challenge = &Challenge{Result: res} }
	}
	for _, c := range []change{
		{"changed", "load.indicator.external", "/packs/0/indicators/0", met, "", func(r *Record) {}},
		{"unchanged", "load.indicator.external", "/packs/0/indicators/0", broken, "", ind(0, 0, packaging.NotReached)},
		{"unread", "load.indicator.external", "/packs/0/indicators/0", undetermined, "", ind(0, 0, "")},
		{"none", "load.indicator.external", "", notAsked, "", func(r *Record) {
			r.Packs[0].Indicators, r.Packs[1].Indicators = nil, nil
		}},
		{"one unchanged", "load.indicator.noneexternal", "/packs", met, "", ind(0, 0, packaging.NotReached)},
		{"all unchanged", "load.indicator.noneexternal", "/packs", broken, "", both(ind(0, 0, packaging.NotReached), ind(1, 0, packaging.NotReached))},
		{"none read", "load.indicator.noneexternal", "/packs", notAsked, "", both(ind(0, 0, ""), ind(1, 0, ""))},
		{"reached", "load.indicator.internal", "/packs/0/indicators/1", met, "", func(r *Record) {}},
		{"short", "load.indicator.internal", "/packs/0/indicators/1", broken, "", ind(0, 1, packaging.NotReached)},
		{"visible and unread", "load.indicator.internal", "/packs/0/indicators/1", undetermined, "", ind(0, 1, "")},
		{"hidden and unread", "load.indicator.internal", "", notAsked, "", func(r *Record) {
			for i := range r.Packs {
				r.Packs[i].Indicators[1].Result, r.Packs[i].Indicators[1].Visible = "", no
			}
		}},
		{"one short", "load.indicator.manyinternal", "/packs", met, "", ind(0, 1, packaging.NotReached)},
		{"two short", "load.indicator.manyinternal", "/packs", broken, "", both(ind(0, 1, packaging.NotReached), ind(1, 1, packaging.NotReached))},
		{"reached", "load.challenge.failed", "/monitors/challenge", met, "", device(packaging.Reached)},
		{"short", "load.challenge.failed", "/monitors/challenge", broken, "", device(packaging.NotReached)},
		{"unread", "load.challenge.failed", "/monitors/challenge", undetermined, "", device("")},
		{"none", "load.challenge.failed", "", notAsked, "", func(r *Record) {}},
	} {
		c.run(t)
	}
}

func TestBiological(t *testing.T) {
	const at = "/monitors/biologicals/0"
	for _, c := range []change{
		{"no growth", "load.biological.positive", at, met, "", test(func(b *Biological) {})},
		{"growth", "load.biological.positive", at, broken, "", test(func(b *Biological) { b.Result = Positive })},
		{"growth beside a dead control", "load.biological.positive", at, broken, "", test(func(b *Biological) { b.Result, b.Control.Result = Positive, Negative })},
		{"result unknown", "load.biological.positive", at, undetermined, "", test(func(b *Biological) { b.Result = "" })},
		{"none", "load.biological.positive", "", notAsked, "", func(r *Record) {}},

		{"valid", "load.biological.void", at, met, "", test(func(b *Biological) {})},
		{"dead control", "load.biological.void", at, broken, "", test(func(b *Biological) { b.Control.Result = Negative })},
		{"no control", "load.biological.void", at, broken, "", test(func(b *Biological) { b.Control = nil })},
		{"another lot", "load.biological.void", at, broken, "", test(func(b *Biological) { b.Control.Lot = "L2" })},
		{"lot unknown", "load.biological.void", at, undetermined, "", test(func(b *Biological) { b.Control.Lot = "" })},
		{"control unread", "load.biological.void", at, undetermined, "", test(func(b *Biological) { b.Control.Result = "" })},
		{"last day", "load.biological.void", at, met, "", test(func(b *Biological) { b.Expires = day(2026, 3, 9) })},
		{"expired", "load.biological.void", at, broken, "", test(func(b *Biological) { b.Expires = day(2026, 3, 8) })},
		{"expiry unknown", "load.biological.void", at, undetermined, "", test(func(b *Biological) { b.Expires = moistheat.Date{} })},
		{"55 Cel", "load.biological.void", at, met, "", test(func(b *Biological) { b.Temperature = celsius(55) })},
		{"54.9 Cel", "load.biological.incubator", at, broken, "", test(func(b *Biological) { b.Temperature = units.New(549, -1, units.Celsius) })},
		{"60 Cel", "load.biological.void", at, met, "", test(func(b *Biological) { b.Temperature = celsius(60) })},
		{"60.1 Cel", "load.biological.incubator", at, broken, "", test(func(b *Biological) { b.Temperature = units.New(601, -1, units.Celsius) })},
		{"incubator unknown", "load.biological.void", at, undetermined, "", test(func(b *Biological) { b.Temperature = units.Temperature{} })},
		{"incubating", "load.biological.void", at, notAsked, "", test(func(b *Biological) { b.Result = Pending })},
		{"incubating beside another lot", "load.biological.void", at, broken, "", test(func(b *Biological) { b.Result, b.Control.Lot = Pending, "L2" })},
		{"none", "load.biological.void", "", notAsked, "", func(r *Record) {}},

		// For another process, or read wrongly (CDC 2008, table 12).
		{"suited", "load.biological.void", at, met, "", test(func(b *Biological) { b.Suited = yes })},
		{"suited unknown", "load.biological.void", at, undetermined, "", test(func(b *Biological) { b.Suited = unknown })},
		{"not suited", "load.biological.void", at, broken, "", test(func(b *Biological) { b.Suited = no })},

		// In a device or a pack, with a full load (Canadian Dental Association 2020).
		{"enclosed", "load.biological.bare", at, met, "", test(func(b *Biological) { b.Enclosed = yes })},
		{"bare", "load.biological.bare", at, broken, "", test(func(b *Biological) { b.Enclosed = no })},
		{"unknown", "load.biological.bare", at, undetermined, "", test(func(b *Biological) {})},
		{"bare, unwrapped items", "load.biological.bare", at, notAsked, "", func(r *Record) {
			r.Packs[0].Barrier, r.Packs[1].Barrier = packaging.Unwrapped, packaging.Unwrapped
			test(func(b *Biological) { b.Enclosed = no })(r)
		}},
		{"full", "load.biological.partload", at, met, "ontario", test(func(b *Biological) { b.FullLoad = yes })},
		{"not full", "load.biological.partload", at, broken, "alberta", test(func(b *Biological) { b.FullLoad = no })},
		{"unknown", "load.biological.partload", at, undetermined, "ontario", test(func(b *Biological) {})},
		{"none", "load.biological.partload", "", notAsked, "ontario", func(r *Record) {}},
		{"not full elsewhere", "load.biological.partload", at, notInForce, "", test(func(b *Biological) { b.FullLoad = no })},

		{"read", "load.biological.pending", at, met, "", test(func(b *Biological) {})},
		{"incubating", "load.biological.pending", at, undetermined, "", test(func(b *Biological) { b.Result = Pending })},
		{"none", "load.biological.pending", "", notAsked, "", func(r *Record) {}},

		{"on time", "load.biological.early", at, met, "", test(func(b *Biological) {})},
		{"an hour early", "load.biological.early", at, broken, "", test(func(b *Biological) { b.Incubated = duration("23 h") })},
		{"in other units", "load.biological.early", at, met, "", test(func(b *Biological) { b.Incubated = duration("1 d") })},
		{"unknown", "load.biological.early", at, undetermined, "", test(func(b *Biological) { b.Readout = units.Duration{} })},
		{"incubating", "load.biological.early", at, notAsked, "", test(func(b *Biological) { b.Result = Pending })},

		{"three days", "load.biological.overdue", "/monitors/lastValidBiological", met, "", func(r *Record) {}},
		{"seven days", "load.biological.overdue", "/monitors/lastValidBiological", met, "", func(r *Record) {
			r.Monitors.LastValidBiological = r.Cycle.Ended.Add(-7 * 24 * time.Hour)
		}},
		{"seven days and nine hours", "load.biological.overdue", "/monitors/lastValidBiological", met, "", func(r *Record) {
			r.Monitors.LastValidBiological = instant("2026-03-02T00:00:00+01:00")
		}},
		{"eight days", "load.biological.overdue", "/monitors/lastValidBiological", broken, "", func(r *Record) {
			r.Monitors.LastValidBiological = instant("2026-03-01T23:59:59+01:00")
		}},
		{"eight days, and one incubating in the load, which is pending", "load.biological.overdue",
			"/monitors/biologicals",
			met, "", func(r *Record) {
				r.Monitors.LastValidBiological = instant("2026-03-01T23:59:59+01:00")
				test(func(b *Biological) { b.Result, b.Control.Result = Pending, "" })(r)
			}},
		{"after the load", "load.biological.overdue", "/monitors/lastValidBiological", undetermined, "", func(r *Record) {
			r.Monitors.LastValidBiological = r.Cycle.Ended.Add(time.Second)
		}},
		// Oregon asks by the calendar week: on Monday the one of the week before is in time.
		{"last week's Monday", "load.biological.overdue", "/monitors/lastValidBiological", met, "us-or", func(r *Record) {
			r.Monitors.LastValidBiological = instant("2026-03-02T00:00:00+01:00")
		}},
		{"the week before last", "load.biological.overdue", "/monitors/lastValidBiological", undetermined, "us-or",
			func(r *Record) {
				r.Monitors.LastValidBiological = instant("2026-03-01T23:59:59+01:00")
			}},
		{"today", "load.biological.overdue", "/monitors/lastValidBiological", met, "alberta", func(r *Record) {
			r.Monitors.LastValidBiological = instant("2026-03-09T08:00:00+01:00")
		}},
		{"an earlier day, who knows which were of use", "load.biological.overdue", "/monitors/lastValidBiological",
			undetermined, "alberta", func(r *Record) {}},
		{"old, but tested with this load", "load.biological.overdue", "/monitors/biologicals", met, "", func(r *Record) {
			r.Monitors.LastValidBiological = r.Cycle.Ended.AddDate(0, 0, -8)
			test(func(b *Biological) {})(r)
		}},
		{"old, this load's test void", "load.biological.overdue", "/monitors/lastValidBiological", broken, "", func(r *Record) {
			r.Monitors.LastValidBiological = r.Cycle.Ended.AddDate(0, 0, -8)
			test(func(b *Biological) { b.Control.Result = Negative })(r)
		}},
		{"unknown", "load.biological.overdue", "", undetermined, "", func(r *Record) { r.Monitors.LastValidBiological = time.Time{} }},
		{"no routine interval", "load.biological.overdue", "", notInForce, "en-13060", func(r *Record) {}},
	} {
		c.run(t)
	}
}

func TestImplant(t *testing.T) {
	const at = "/monitors/biologicals"
	with := func(edit func(*Biological)) func(*Record) {
		return func(r *Record) { implant(r); test(edit)(r) }
	}
	for _, c := range []change{
		{"tested", "load.implant.untested", "/packs/0", met, "", with(func(b *Biological) {})},
		{"untested", "load.implant.untested", "/packs/0", undetermined, "", implant},
		{"may be one", "load.implant.untested", "", notAsked, "", func(r *Record) {
			r.Packs[0].Items[0].Traits = nil
		}},
		{"none", "load.implant.untested", "", notAsked, "", func(r *Record) {}},
		{"read", "load.implant.pending", at, met, "", with(func(b *Biological) {})},
		{"incubating", "load.implant.pending", at, undetermined, "", with(func(b *Biological) { b.Result = Pending })},
		{"grew", "load.implant.pending", at, broken, "", with(func(b *Biological) { b.Result = Positive })},
		{"none", "load.implant.pending", "", notAsked, "", func(r *Record) {}},
		{"valid", "load.implant.void", at, met, "", with(func(b *Biological) {})},
		{"void", "load.implant.void", at, broken, "", with(func(b *Biological) { b.Control.Result = Negative })},
		{"unknown", "load.implant.void", at, undetermined, "", with(func(b *Biological) { b.Control.Lot = "" })},
		{"incubating", "load.implant.void", at, notAsked, "", with(func(b *Biological) { b.Result = Pending })},
	} {
		c.run(t)
	}
}

func TestAfterAndRelease(t *testing.T) {
	after := func(edit func(*PackCondition)) func(*Record) { return func(r *Record) { edit(&r.Packs[0].Condition) } }
	unload := func(edit func(*Unloading)) func(*Record) { return func(r *Record) { edit(&r.Unloading) } }
	unwrapped := func(r *Record) { r.Packs[0].Barrier, r.Packs[1].Barrier = packaging.Unwrapped, packaging.Unwrapped }
	const at = "/packs/0/condition"
	for _, c := range []change{
		{"dry", "load.pack.wet", at, met, "", func(r *Record) {}},
		{"wet", "load.pack.wet", at, broken, "", after(func(a *PackCondition) { a.Dry = no })},
		{"unknown", "load.pack.wet", at, undetermined, "", after(func(a *PackCondition) { a.Dry = unknown })},
		{"unwrapped", "load.pack.wet", "", notAsked, "", unwrapped},
		{"whole", "load.pack.damaged", at, met, "", func(r *Record) {}},
		{"torn", "load.pack.damaged", at, broken, "", after(func(a *PackCondition) { a.Intact = no })},
		{"unknown", "load.pack.damaged", "/packs/0", undetermined, "", after(func(a *PackCondition) { *a = PackCondition{} })},
		{"unwrapped", "load.pack.damaged", "", notAsked, "", unwrapped},
		{"not dropped", "load.pack.dropped", at, met, "", func(r *Record) {}},
		{"dropped", "load.pack.dropped", at, broken, "", after(func(a *PackCondition) { a.Dropped = yes })},
		{"unknown", "load.pack.dropped", at, undetermined, "", after(func(a *PackCondition) { a.Dropped = unknown })},
		{"unwrapped", "load.pack.dropped", "", notAsked, "", unwrapped},
		{"reprocessed", "load.pack.repacked", at, met, "", after(func(a *PackCondition) { a.Dry, a.Repacked = no, no })},
		{"repacked", "load.pack.repacked", at, broken, "", after(func(a *PackCondition) { a.Dry, a.Repacked = no, yes })},
		{"unknown", "load.pack.repacked", at, undetermined, "", after(func(a *PackCondition) { a.Dry = no })},
		{"repacked, and dry since", "load.pack.repacked", at, broken, "", after(func(a *PackCondition) { a.Repacked = yes })},
		{"dry", "load.pack.repacked", "", notAsked, "", func(r *Record) {}},
		// The door, and how packs cool: the documents disagree.
		{"shut", "load.door.early", "/unloading", met, "", unload(func(u *Unloading) { u.DoorOpenedEarly = no })},
		{"opened early", "load.door.early", "/unloading", broken, "", unload(func(u *Unloading) { u.DoorOpenedEarly = yes })},
		{"unknown", "load.door.early", "/unloading", undetermined, "", func(r *Record) {}},
		{"cool", "load.cooling.handled", "/unloading", met, "", unload(func(u *Unloading) { u.HandledWarm = no })},
		{"hot", "load.cooling.handled", "/unloading", broken, "", unload(func(u *Unloading) { u.HandledWarm = yes })},
		{"unknown", "load.cooling.handled", "", undetermined, "", unload(func(u *Unloading) { *u = Unloading{} })},
		{"unwrapped", "load.cooling.handled", "", notAsked, "", unwrapped},
		{"hot elsewhere", "load.cooling.handled", "/unloading", notInForce, "en-13060", unload(func(u *Unloading) { u.HandledWarm = yes })},
		{"30 min", "load.cooling.short", "/unloading/cooled", met, "us-st79", unload(func(u *Unloading) { u.Cooled = duration("30 min") })},
		{"a second less", "load.cooling.short", "/unloading/cooled", broken, "us-st79", unload(func(u *Unloading) { u.Cooled = duration("1799 s") })},
		{"unknown", "load.cooling.short", "/unloading", undetermined, "us-st79", func(r *Record) {}},
		{"unwrapped", "load.cooling.short", "", notAsked, "us-st79", unwrapped},
		{"short elsewhere", "load.cooling.short", "/unloading/cooled", notInForce, "", unload(func(u *Unloading) { u.Cooled = duration("1 s") })},
		{"taken out", "load.cooling.inside", "/unloading", met, "australia", unload(func(u *Unloading) { u.CooledInChamber = no })},
		{"left inside", "load.cooling.inside", "/unloading", broken, "queensland", unload(func(u *Unloading) { u.CooledInChamber = yes })},
		{"unknown", "load.cooling.inside", "/unloading", undetermined, "australia", func(r *Record) {}},
		{"unwrapped", "load.cooling.inside", "", notAsked, "australia", unwrapped},
		{"left inside elsewhere", "load.cooling.inside", "/unloading", notInForce, "us-cdc-2003", unload(func(u *Unloading) { u.CooledInChamber = yes })},
		{"all read", "load.release.unread", "/release/decision", met, "", func(r *Record) {}},
		{"outside indicator not read", "load.release.unread", "/release/decision", broken, "", func(r *Record) { r.Packs[1].Indicators[0].Result = "" }},
		{"inside indicator in sight not read", "load.release.unread", "/release/decision", broken, "", func(r *Record) { r.Packs[1].Indicators[1].Result = "" }},
		{"inside indicator out of sight", "load.release.unread", "/release/decision", met, "", func(r *Record) {
			r.Packs[1].Indicators[1].Result, r.Packs[1].Indicators[1].Visible = "", no
		}},
		{"device not read", "load.release.unread", "/release/decision", broken, "", func(r *Record) { r.Monitors.Challenge = &Challenge{Kind: "helix"} }},
		{"undecided", "load.release.unread", "", notAsked, "", func(r *Record) { r.Release = nil }},
		{"held", "load.release.unread", "", notAsked, "", func(r *Record) {
			r.Release.Decision, r.Packs[1].Indicators[0].Result = moistheat.Quarantine, ""
		}},
		{"said", "load.corrective.missing", "/release", met, "australia", func(r *Record) {
			r.Packs[0].Condition.Dry, r.Release.Corrective = no, "repacked and sterilized in load 8; drying time checked"
		}},
		{"wet pack, nothing said", "load.corrective.missing", "/release", broken, "australia", after(func(a *PackCondition) { a.Dry = no })},
		{"aborted, nothing said", "load.corrective.missing", "/release", broken, "queensland", func(r *Record) { r.Cycle.Aborted = yes }},
		{"rejected by a person", "load.corrective.missing", "/release", broken, "australia", func(r *Record) { r.Release.Decision = moistheat.Reject }},
		{"undecided", "load.corrective.missing", "", undetermined, "australia", func(r *Record) { r.Cycle.Aborted, r.Release = yes, nil }},
		{"nothing failed", "load.corrective.missing", "", notAsked, "australia", func(r *Record) {}},
		{"elsewhere", "load.corrective.missing", "/release", notInForce, "england", func(r *Record) { r.Cycle.Aborted = yes }},
		{"one wet", "load.pack.wetload", "/packs", met, "", after(func(a *PackCondition) { a.Dry = no })},
		{"two wet", "load.pack.wetload", "/packs", broken, "", func(r *Record) { r.Packs[0].Condition.Dry, r.Packs[1].Condition.Dry = no, no }},
		{"same", "load.label.mismatch", "/packs/0/label", met, "", func(r *Record) {}},
		{"other date", "load.label.mismatch", "/packs/0/label/date", broken, "", func(r *Record) { r.Packs[0].Label.Date = day(2026, 3, 8) }},
		{"other load", "load.label.mismatch", "/packs/0/label/load", broken, "", func(r *Record) { r.Packs[0].Label.Load = "8" }},
		{"other sterilizer", "load.label.mismatch", "/packs/0/label/sterilizer", broken, "", func(r *Record) { r.Packs[0].Label.Sterilizer = "S2" }},
		{"none", "load.label.mismatch", "", notAsked, "", func(r *Record) { r.Packs[0].Label, r.Packs[1].Label = nil, nil }},
		{"same cycle", "load.cycle.number", "/packs/0/label/cycle", met, "", func(r *Record) {
			r.Packs[0].Label.Cycle = "007"
		}},
		{"other cycle", "load.cycle.number", "/packs/0/label/cycle", broken, "", func(r *Record) {
			r.Packs[0].Label.Cycle = "8"
		}},
		{"cycle of the log", "load.cycle.number", "/packs/0/label/cycle", broken, "", func(r *Record) {
			r.Load.Cycle, r.Cycle.Number, r.Packs[0].Label.Cycle = "40", "40", "41"
		}},
		{"no number of the cycle", "load.cycle.number", "/packs/0/label/cycle", undetermined, "", func(r *Record) {
			r.Cycle.Number, r.Packs[0].Label.Cycle = "", "8"
		}},
		{"no cycle on labels", "load.cycle.number", "", notAsked, "", func(r *Record) {}},
		{"named", "load.releaser.missing", "/release", met, "", func(r *Record) {}},
		{"unnamed", "load.releaser.missing", "/release", broken, "", func(r *Record) { r.Release.By = "" }},
		{"undecided", "load.releaser.missing", "", undetermined, "", func(r *Record) { r.Release = nil }},
		{"authorised", "load.releaser.unauthorised", "/release", met, "", func(r *Record) {}},
		{"not authorised", "load.releaser.unauthorised", "/release", broken, "", func(r *Record) { r.Release.Authorised = no }},
		{"unknown", "load.releaser.unauthorised", "/release", undetermined, "", func(r *Record) { r.Release.Authorised = unknown }},
		{"undecided", "load.releaser.unauthorised", "", notAsked, "", func(r *Record) { r.Release = nil }},
		{"after the end", "load.release.early", "/release/time", met, "", func(r *Record) {}},
		{"at unloading", "load.release.early", "/release/time", met, "", func(r *Record) {
			r.Release.Time = r.Unloading.Time
		}},
		{"before unloading", "load.release.early", "/release/time", broken, "", func(r *Record) {
			r.Release.Time = r.Unloading.Time.Add(-time.Second)
		}},
		{"unloading not recorded", "load.release.early", "/release", undetermined, "", func(r *Record) {
			r.Unloading.Time = time.Time{}
		}},
		{"before the end", "load.release.early", "/release/time", broken, "", func(r *Record) { r.Release.Time = r.Cycle.Ended.Add(-time.Second) }},
		{"unknown", "load.release.early", "/release", undetermined, "", func(r *Record) { r.Release.Time = time.Time{} }},
		{"undecided", "load.release.early", "", notAsked, "", func(r *Record) { r.Release = nil }},
		{"as the evidence says", "load.release.contradicted", "/release/decision", met, "", func(r *Record) {}},
		{"against the evidence", "load.release.contradicted", "/release/decision", broken, "", func(r *Record) { r.Cycle.Printed.HoldTime = duration("100 s") }},
		{"held, as it must be", "load.release.contradicted", "", notAsked, "", func(r *Record) {
			r.Cycle.Printed.HoldTime, r.Release.Decision = duration("100 s"), moistheat.Quarantine
		}},
	} {
		c.run(t)
	}
}

// Where every pack has an indicator of a place, the rule on it applies to every pack,
// and where the load has biological tests, the rules on them apply.
func TestMonitorsThatApply(t *testing.T) {
	p, err := PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	r := good()
	r.Monitors.Biologicals = []Biological{{Result: Negative}}
	for _, rule := range []string{"load.indicator.external", "load.indicator.internal", "load.biological.positive"} {
		for _, tally := range Explain(r, p).Counts {
			if tally.Rule == rule {
				assert.Zero(t, tally.NotApplicable, rule)
				assert.NotZero(t, tally.Met, rule)
			}
		}
	}
}

// What the sterilizer offers is compared with the type of the cycle, where both are written down.
func TestTypeOffered(t *testing.T) {
	offers := func(typ CycleType, offers ...CycleType) func(*Record) {
		return func(r *Record) { r.Cycle.Type, r.Sterilizer.CycleTypes = typ, offers }
	}
	const rule, at = "load.type.contradicted", "/cycle/type"
	for _, c := range []change{
		{"one that it offers", rule, at, met, "", offers(TypeB, TypeB)},
		{"another one", rule, at, broken, "", offers(TypeS, TypeB)},
		{"no type", rule, "", notAsked, "", offers("", TypeB)},
		{"nothing offered", rule, "", notAsked, "", offers(TypeS)},
	} {
		c.run(t)
	}
}

// Of what instructions ask for the longest drying is taken, in whatever order they come.
func TestLongestDryingOfInstructions(t *testing.T) {
	for _, minutes := range [][2]int64{{20, 30}, {30, 20}} {
		r := good()
		r.Packs = r.Packs[:1]
		set := &r.Cycle.Settings
		set.Drying = units.New(40, 0, units.Minute)
		items := slices.Repeat(r.Packs[0].Items[:1], 2)
		for i := range items {
			items[i].Instructions = &packaging.Instructions{
				AirRemoval: []moistheat.AirRemoval{set.AirRemoval}, MinTemperature: set.Temperature, Hold: set.Hold,
				Drying: units.New(minutes[i], 0, units.Minute),
			}
		}
		r.Packs[0].Items = items
		req := (&checker{r: r}).supplied(classOf(&r.Packs[0].Pack))
		assert.Equal(t, units.New(30, 0, units.Minute), req.DryingMin, "%v", minutes)
	}
}
