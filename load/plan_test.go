package load

import (
	"fmt"
	"slices"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// choicesOf writes choices as air removal, type, temperature, hold and drying, and
// then which rule stands against it where.
func choicesOf(t *testing.T, r *Record, policyName string) []string {
	t.Helper()
	var out []string
	for _, c := range CycleOptions(r, policy(t, policyName)) {
		s := string(c.AirRemoval)
		if c.Type != "" {
			s += " " + string(c.Type)
		}
		s += fmt.Sprintf(" %s: hold %s", c.Temperature, c.Hold.MinTime)
		if c.Drying.MinTime.IsValid() {
			s += fmt.Sprintf(", drying %s", c.Drying.MinTime)
		}
		for _, f := range c.Objections {
			s += fmt.Sprintf("; %s %s at %s", f.Rule, f.Outcome, f.Pointer)
		}
		out = append(out, s)
	}
	return out
}

// CDC 2008, table 7 (published): wrapped instruments, gravity 30 min at 121 °C and
// 15 min at 132 °C, drying 15 to 30 min both; dynamic air removal 4 min at 132 °C
// with 20 to 30 min drying, and no such cycle at 121 °C.
func TestCycleOptions(t *testing.T) {
	r := good()
	r.Cycle = nil
	assert.Equal(t, []string{
		"gravity-displacement 121 °C: hold 30 min, drying 15 min",
		"gravity-displacement 132 °C: hold 15 min, drying 15 min",
		// unwrapped only, in table 8
		"steam-flush-pressure-pulse 132 °C: hold invalid; cycle.requirement.none undetermined at /packs",
		"dynamic-air-removal 121 °C: hold invalid; cycle.requirement.none undetermined at /packs",
		"dynamic-air-removal 132 °C: hold 4 min, drying 20 min",
	}, choicesOf(t, r, "us-cdc-2003"))

	// A handpiece with a water line of 100 mm by 0.8 mm, open at both ends, is hollow A
	// and rules every gravity cycle out; the other pack keeps its say.
	lumen(r, packaging.Lumen{Length: length("100 mm"), Bore: length("0.8 mm"), OpenEnds: 2})
	for _, c := range CycleOptions(r, policy(t, "us-cdc-2003")) {
		narrow := slices.ContainsFunc(c.Objections, func(f moistheat.Finding) bool {
			return f.Rule == "load.fit.narrow" && f.Outcome == broken && f.Pointer == "/packs/0/items/0"
		})
		assert.Equal(t, c.AirRemoval == moistheat.GravityDisplacement, narrow, c.Temperature)
	}

	// An item that stands 125 °C leaves only 121 °C, and with the handpiece nothing.
	r.Packs[1].Items[0].Instructions = &packaging.Instructions{MaxTemperature: celsius(125)}
	for _, c := range CycleOptions(r, policy(t, "us-cdc-2003")) {
		hot := slices.ContainsFunc(c.Objections, func(f moistheat.Finding) bool {
			return f.Rule == "load.fit.instructions" && f.Pointer == "/packs/1/items/0/instructions"
		})
		assert.Equal(t, c.Temperature.Compare(celsius(125)) > 0, hot, c.Temperature)
		assert.Equal(t, celsius(125), c.MaxTemperature)
	}

	// What an item asks for beyond the tables counts, with the item named.
	r = good()
	r.Packs[1].Items[0].Instructions = &packaging.Instructions{
		AirRemoval: []moistheat.AirRemoval{moistheat.DynamicAirRemoval}, MinTemperature: celsius(134), Hold: duration("18 min"), Drying: duration("1 h"),
	}
	var takes []string
	for _, c := range CycleOptions(r, policy(t, "us-cdc-2003")) {
		if c.Suits() {
			assert.Equal(t, "/packs/1/items/0/instructions", c.Hold.Pointer)
			assert.Equal(t, "/packs/1/items/0/instructions", c.Drying.Pointer)
			takes = append(takes, fmt.Sprintf("%s %s %s %s", c.AirRemoval, c.Temperature, c.Hold.MinTime, c.Drying.MinTime))
		}
	}
	assert.Equal(t, []string{"dynamic-air-removal 134 °C 18 min 1 h"}, takes)
	assert.Nil(t, CycleOptions(nil, policy(t, "us-cdc-2003")))
}

// EN 13060 (quoted): type N carries unwrapped solid items, type S those and what is
// declared, type B everything.
func TestCycleOptionsByType(t *testing.T) {
	r := good()
	takes := func() (types string) {
		for _, c := range CycleOptions(r, policy(t, "en-13060")) {
			if c.Suits() && c.Temperature == celsius(134) {
				types += string(c.Type)
				assert.Equal(t, duration("3 min"), c.Hold.MinTime, "EN 13060: 3 min at 134 °C")
			}
		}
		return types
	}
	assert.Equal(t, "B", takes())
	r.Sterilizer.DeclaredFor = []DeclaredLoad{DeclaredSingleWrapped}
	assert.Equal(t, "SSSB", takes(), "type S with each air removal, and type B")
	for i := range r.Packs {
		r.Packs[i].Barrier = packaging.Unwrapped
	}
	assert.Equal(t, "NSSSB", takes())
	lumen(r, packaging.Lumen{Length: length("40 mm"), Bore: length("5 mm"), OpenEnds: 2}) // hollow B
	assert.Equal(t, "B", takes(), "not declared for hollow B")
	r.Sterilizer.DeclaredFor = []DeclaredLoad{DeclaredHollowB}
	assert.Equal(t, "SSSB", takes())
}

func TestCycleObjections(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	set := cycle.Settings{AirRemoval: moistheat.DynamicAirRemoval, Temperature: celsius(132), Hold: duration("4 min"), Drying: duration("20 min")}
	rules := func(r *Record, set cycle.Settings) (out []string) {
		for _, f := range CycleObjections(r, p, set, "") {
			rule, _ := p.Rule(f.Rule)
			assert.NotContains(t, rule.Message(f), "{", f.Rule)
			out = append(out, f.Rule+" "+f.Outcome.String())
		}
		return out
	}
	assert.Empty(t, rules(good(), set), "at both limits of CDC 2008, table 7")
	short := set
	short.Hold = duration("239 s")
	assert.Equal(t, []string{"cycle.hold.short broken"}, rules(good(), short))
	short = set
	short.Drying = duration("1199 s")
	assert.Equal(t, []string{"cycle.drying.short broken"}, rules(good(), short))
	short = set
	short.Hold = units.Duration{}
	assert.Equal(t, []string{"cycle.hold.short undetermined"}, rules(good(), short), "a hold that is not set is not long enough")
	short = set
	short.Temperature = units.MustParse[units.TemperatureUnit]("115 Cel")
	assert.Equal(t, []string{"cycle.requirement.none undetermined"}, rules(good(), short))
	short = set
	short.AirRemoval = moistheat.GravityDisplacement
	assert.Contains(t, rules(good(), short), "cycle.hold.short broken")
	empty := good()
	empty.Packs = nil
	assert.Contains(t, rules(empty, set), "load.contents.missing broken")
	for _, f := range append(CycleObjections(nil, p, set, ""), CycleObjections(good(), nil, set, "")...) {
		assert.Equal(t, moistheat.Internal, f.Outcome)
	}
	r := good()
	before := *r.Cycle
	CycleObjections(r, p, set, "")
	assert.Equal(t, before, *r.Cycle, "the record is left as it is")
}

// Against what a choice suits CycleObjections has nothing, and a run of exactly that cycle
// breaks no rule of fit.
func TestCycleOptionsAgreeWithCheck(t *testing.T) {
	for _, name := range Policies() {
		for _, edit := range []func(*Record){
			func(*Record) {},
			func(r *Record) {
				lumen(r, packaging.Lumen{Length: length("100 mm"), Bore: length("0.8 mm"), OpenEnds: 2})
			},
			func(r *Record) { r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Textile} },
			func(r *Record) { r.Packs[0].Barrier = packaging.RigidContainer },
			func(r *Record) {
				r.Packs[0].Items[0].Instructions = &packaging.Instructions{MaxTemperature: celsius(125)}
			},
		} {
			for _, c := range CycleOptions(func() *Record { r := good(); edit(r); return r }(), policy(t, name)) {
				r := good()
				edit(r)
				r.Cycle.Type = c.Type
				r.Cycle.Settings = cycle.Settings{AirRemoval: c.AirRemoval, Temperature: c.Temperature, Hold: c.Hold.MinTime, Drying: c.Drying.MinTime}
				r.Cycle.Printed.HoldTime, r.Cycle.Printed.DryingTime = c.Hold.MinTime, c.Drying.MinTime
				r.Cycle.Printed.MinimumTemperature, r.Cycle.Printed.MaximumTemperature = c.Temperature, c.Temperature
				bad := false
				for _, f := range Explain(r, policy(t, name)).Findings {
					if f.Outcome >= undetermined && (len(f.Rule) > 9 && f.Rule[:9] == "load.fit." || f.Rule == "cycle.hold.short" || f.Rule == "cycle.requirement.none") {
						bad = true
					}
				}
				assert.Equal(t, !bad, c.Suits(), "%s: %s %s %s", name, c.AirRemoval, c.Type, c.Temperature)
			}
		}
	}
}

// Derived, at 0.50 kJ/(kg.K): 26 g/kg from 20 to 134 °C, about 299 g for 25 lb, and
// about 174 g for 15 lb from 70 to 270 °F.
func TestCondensate(t *testing.T) {
	temperature := func(s string) units.Temperature { return units.MustParse[units.TemperatureUnit](s) }
	for _, tt := range []struct{ steel, from, to, want string }{
		{"1 kg", "20 Cel", "134 Cel", "26 g"},
		{"25 [lb_av]", "20 Cel", "134 Cel", "299 g"},
		{"15 [lb_av]", "70 [degF]", "270 [degF]", "174 g"},
		// The ends of the table of latent heat: 0.5 kJ/(kg K) over 80 K and 130 K are 40
		// and 65 kJ/kg, of 2256.4 and 2113.7 kJ/kg 17.7 and 30.8 g.
		{"1 kg", "20 Cel", "100 Cel", "18 g"},
		{"1 kg", "20 Cel", "150 Cel", "31 g"},
		{"1000 kg", "20 Cel", "150 Cel", "30752 g"},
	} {
		got, err := Condensate(mass(tt.steel), temperature(tt.from), temperature(tt.to))
		require.NoError(t, err)
		assert.Equal(t, tt.want, got.String(), tt.steel)
	}
	for _, tt := range []struct{ steel, from, to string }{
		{"0 kg", "20 Cel", "134 Cel"}, {"-1 kg", "20 Cel", "134 Cel"}, {"1 kg", "134 Cel", "134 Cel"},
		{"1 kg", "20 Cel", "99.9 Cel"}, {"1 kg", "20 Cel", "150.1 Cel"},
	} {
		_, err := Condensate(mass(tt.steel), temperature(tt.from), temperature(tt.to))
		assert.Error(t, err, tt)
	}
	_, err := Condensate(units.Mass{}, celsius(20), celsius(134))
	assert.Error(t, err)
	_, err = Condensate(mass("1 kg"), units.Temperature{}, celsius(134))
	assert.Error(t, err)
}

func TestCheckPacking(t *testing.T) {
	r := laid()
	r.Packs[1].Placement.Spot.X = length("112 mm")
	r.Cycle, r.Monitors, r.Release = nil, Monitors{}, nil
	var bad []string
	rest := map[string]bool{}
	for _, f := range CheckPacking(r, withOwnFigures(t, "us-cdc-2003")) {
		rest[f.Rule] = true
		if f.Outcome == broken && f.Severity > moistheat.Note {
			bad = append(bad, f.Rule+" "+f.Pointer)
		}
	}
	assert.Equal(t, []string{"load.arrangement.gap /packs/0/placement/spot", "load.arrangement.gap /packs/1/placement/spot"}, bad)
	assert.True(t, rest["packaging.hinge.closed"])
	for rule := range rest {
		assert.NotContains(t, rule, "cycle.", "nothing of the run")
		assert.NotContains(t, rule, "load.pack.")
	}
	assert.Equal(t, moistheat.Internal, CheckPacking(nil, policy(t, "us-cdc-2003"))[0].Outcome)
}

// Before the run, too, only figures on accepted bases carry a pass, and what is broken
// stays broken.
func TestCheckPackingAccepting(t *testing.T) {
	count := func(p *Policy) (met, bad int) {
		r := laid()
		r.Packs[1].Placement.Spot.X = length("112 mm")
		for _, f := range CheckPacking(r, p) {
			if f.Rule == "load.arrangement.gap" {
				switch f.Outcome {
				case moistheat.Met:
					met++
				case moistheat.Broken:
					bad++
				}
			}
		}
		return met, bad
	}
	p := withOwnFigures(t, "us-cdc-2003")
	met, bad := count(p)
	assert.Equal(t, 2, bad)
	_, strict := count(p.Accepting(moistheat.Published))
	assert.Equal(t, bad, strict)
	closed := func(p *Policy) moistheat.Outcome {
		for _, f := range CheckPacking(laid(), p) {
			if f.Rule == "load.arrangement.gap" {
				return f.Outcome
			}
		}
		return 0
	}
	assert.Zero(t, met)
	assert.Equal(t, moistheat.Met, closed(p))
	assert.Equal(t, moistheat.Met, closed(p.Accepting(moistheat.Facility)))
	assert.Equal(t, moistheat.Undetermined, closed(p.Accepting(moistheat.Quoted, moistheat.CommonPractice, moistheat.Published, moistheat.Recalled)))
}

// Of several items the one that stands the least heat decides.
func TestCycleOptionsMaxTemperature(t *testing.T) {
	for _, tt := range []struct {
		most []units.Temperature
		want units.Temperature
	}{
		{nil, units.Temperature{}},
		{[]units.Temperature{celsius(135)}, celsius(135)},
		{[]units.Temperature{celsius(135), celsius(125)}, celsius(125)},
		{[]units.Temperature{celsius(125), celsius(135)}, celsius(125)},
		{[]units.Temperature{celsius(125), {}}, celsius(125)},
	} {
		r := good()
		it := r.Packs[0].Items[0]
		r.Packs[0].Items = nil
		for _, m := range tt.most {
			it.Instructions = &packaging.Instructions{MaxTemperature: m}
			r.Packs[0].Items = append(r.Packs[0].Items, it)
		}
		r.Packs = r.Packs[:1]
		c := CycleOptions(r, policy(t, "us-cdc-2003"))
		require.NotEmpty(t, c)
		assert.Equal(t, tt.want, c[0].MaxTemperature, tt.most)
	}
}

// choiceAt returns the choice of an air removal and a temperature.
func choiceAt(t *testing.T, r *Record, air moistheat.AirRemoval, at units.Temperature) CycleOption {
	t.Helper()
	for _, c := range CycleOptions(r, policy(t, "us-cdc-2003")) {
		if c.AirRemoval == air && c.Temperature == at {
			return c
		}
	}
	t.Fatalf("no choice of %s at %s", air, at)
	return CycleOption{}
}

// CDC 2008, table 7 (published): wrapped instruments dry for at least 20 min after
// dynamic air removal at 132 °C, and 15 min after gravity displacement. The longest
// of what a table, the sterilizer's own table and an item's manufacturer ask for decides;
// where two ask for the same, the table is named.
func TestCycleOptionsDrying(t *testing.T) {
	const vacuum, gravity = moistheat.DynamicAirRemoval, moistheat.GravityDisplacement
	asks := func(drying string) func(*Record) {
		return func(r *Record) { r.Packs[1].Items[0].Instructions = &packaging.Instructions{Drying: duration(drying)} }
	}
	both := func(row, item string) func(*Record) {
		return func(r *Record) { dries(row, vacuum)(r); asks(item)(r) }
	}
	const item, row = "/packs/1/items/0/instructions", "/sterilizer/capacity/0"
	for _, tt := range []struct {
		name          string
		air           moistheat.AirRemoval
		edit          func(*Record)
		least, at, by string
	}{
		{"the table", vacuum, func(*Record) {}, "20 min", "", "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities"},
		{"the table, by gravity", gravity, func(*Record) {}, "15 min", "", "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities"},
		{"an item, a second less", vacuum, asks("1199 s"), "20 min", "", "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities"},
		{"an item, the same", vacuum, asks("1200 s"), "20 min", "", "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities"},
		{"an item, a second more", vacuum, asks("1201 s"), "1201 s", item, "instructions for forceps"},
		{"an item, by gravity", gravity, asks("1199 s"), "1199 s", item, "instructions for forceps"},
		{"the sterilizer's table, a second less", vacuum, dries("1199 s", ""), "20 min", "", "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities"},
		{"the sterilizer's table, the same", vacuum, dries("1200 s", ""), "20 min", "", "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities"},
		{"the sterilizer's table, a second more", vacuum, dries("1201 s", ""), "1201 s", row, "capacity table of the sterilizer"},
		{"the sterilizer's table for another cycle", gravity, dries("1201 s", vacuum), "15 min", "", "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities"},
		{"an item after the sterilizer's table, the same", vacuum, both("30 min", "30 min"), "30 min", row, "capacity table of the sterilizer"},
		{"an item after the sterilizer's table, a second more", vacuum, both("30 min", "1801 s"), "1801 s", item, "instructions for forceps"},
		{"an item after the sterilizer's table, a second less", vacuum, both("30 min", "1799 s"), "30 min", row, "capacity table of the sterilizer"},
	} {
		r := good()
		tt.edit(r)
		d := choiceAt(t, r, tt.air, celsius(132)).Drying
		assert.Equal(t, duration(tt.least), d.MinTime, tt.name)
		assert.Equal(t, tt.at, d.Pointer, tt.name)
		assert.Equal(t, tt.by, d.Source.Document, tt.name)
		assert.Equal(t, tt.at == "", d.Table != "", "%s: a row is named where one decides", tt.name)
	}
	assert.False(t, choiceAt(t, good(), vacuum, celsius(121)).Drying.MinTime.IsValid(), "there is no such cycle in table 7")
	for hold, at := range map[string]string{"239 s": "", "4 min": "", "241 s": item} { // table 7: 4 min
		r := good()
		r.Packs[1].Items[0].Instructions = &packaging.Instructions{Hold: duration(hold)}
		assert.Equal(t, at, choiceAt(t, r, vacuum, celsius(132)).Hold.Pointer, hold)
	}
}

// Derived: what steam leaves on steel is m cp (T - 20 °C) / r. cp of steel is
// 0.50 kJ/(kg K); r, the heat of evaporation, is 2202.1, 2173.7 and 2144.3 kJ/kg at
// 120, 130 and 140 °C (steam tables after IAPWS-IF97), between them on a straight
// line: 2199.3 at 121 °C, 2167.8 at 132 °C.
//
//	132 °C: 0.50 x 112 / 2167.82 = 25.832 g for each kilogram
//	121 °C: 0.50 x 101 / 2199.26 = 22.962 g for each kilogram
func TestCycleOptionsCondensate(t *testing.T) {
	second := func(s string) func(*Record) { return func(r *Record) { r.Packs[1].Mass = mass(s) } }
	traits := func(traits ...packaging.Trait) func(*Record) {
		return func(r *Record) { r.Packs[1].Items[0].Traits = traits }
	}
	for _, tt := range []struct {
		name     string
		edit     func(*Record) // of two packs of 0.5 kg
		hot, low string        // at 132 and at 121 °C; "": not known
	}{
		{"1 kg", func(*Record) {}, "26 g", "23 g"},
		{"1.993 kg", second("1.493 kg"), "51 g", "46 g"},                                            // 51.48 and 45.76
		{"1.994 kg", second("1.494 kg"), "52 g", "46 g"},                                            // 51.51 and 45.79
		{"1.023 kg", second("523 g"), "26 g", "23 g"},                                               // 26.43 and 23.49
		{"1.024 kg", second("524 g"), "26 g", "24 g"},                                               // 26.45 and 23.51
		{"one pack inside the other", func(r *Record) { r.Packs[1].Inside = "P1" }, "13 g", "11 g"}, // its mass is that of the outer one: 12.92 and 11.48
		{"a mass is not recorded", func(r *Record) { r.Packs[1].Mass = units.Mass{} }, "", ""},
		{"the mass of the inner pack is not recorded", func(r *Record) { r.Packs[1].Inside, r.Packs[1].Mass = "P1", units.Mass{} }, "13 g", "11 g"},
		{"no packs", func(r *Record) { r.Packs = nil }, "", ""},
		{"cloth", traits(packaging.Textile), "", ""},
		{"a porous item", traits(packaging.Porous), "", ""},
		{"an item that nobody described", traits(), "", ""},
	} {
		r := good()
		tt.edit(r)
		for _, c := range CycleOptions(r, policy(t, "us-cdc-2003")) {
			want := tt.hot
			if c.Temperature == celsius(121) {
				want = tt.low
			}
			if want == "" {
				assert.False(t, c.Condensate.IsValid(), tt.name)
				continue
			}
			assert.Equal(t, want, c.Condensate.String(), "%s at %s", tt.name, c.Temperature)
		}
	}
}
