package load

import (
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func percent(n int64, exp int) units.Ratio { return units.New(n, exp, units.Percent) }

func size(l, w, h string) packaging.Size {
	return packaging.Size{Length: length(l), Width: length(w), Height: length(h)}
}

// laid is the good record with its two pouches flat on the lower of two trays, each
// 100 mm by 50 mm by 20 mm, side by side and 10 mm apart, all as measured.
func laid() *Record {
	r := good()
	r.Arrangement = &Arrangement{
		Chamber: &Chamber{Shape: Square, Width: length("320 mm"), Height: length("250 mm"), Depth: length("400 mm")},
		Trays: []Tray{
			{ID: "low", Across: length("10 mm"), Back: length("10 mm"), Up: length("30 mm"), Width: length("300 mm"), Depth: length("200 mm"), Rim: length("20 mm"), Perforated: yes, Lined: yes, MadeForChamber: yes},
			{ID: "high", Across: length("10 mm"), Back: length("10 mm"), Up: length("130 mm"), Width: length("300 mm"), Depth: length("200 mm"), Rim: length("20 mm"), Perforated: yes, Lined: yes, MadeForChamber: yes},
		},
		Fill: percent(60, 0), Validated: yes,
	}
	for i, across := range []string{"10 mm", "120 mm"} {
		p := &r.Packs[i]
		p.Size = size("100 mm", "50 mm", "20 mm")
		p.Placement = Placement{Position: Flat, FilmSide: FilmUp, Tray: "low", Spot: &Spot{X: length(across), Y: length("10 mm")}}
	}
	return r
}

func lay(edit func(*Record)) func(*Record) {
	return func(r *Record) { *r = *laid(); edit(r) }
}

func first(edit func(*Pack)) func(*Record) { return lay(func(r *Record) { edit(&r.Packs[0]) }) }

// across moves the second pouch.
func across(s string) func(*Record) {
	return lay(func(r *Record) { r.Packs[1].Placement.Spot.X = length(s) })
}

func arranged(edit func(*Arrangement)) func(*Record) {
	return lay(func(r *Record) { edit(r.Arrangement) })
}

func same(*Record) {}

func tubing(moist moistheat.Answer) func(*Record) {
	return func(r *Record) {
		gravity(r)
		r.Packs[0].Items[0].Traits, r.Packs[0].Items[0].Moist = []packaging.Trait{packaging.Tubing}, moist
	}
}

func unwrapFirst(edit func(*Record)) func(*Record) {
	return lay(func(r *Record) { r.Packs[0].Barrier = packaging.Unwrapped; edit(r) })
}

func cloth(edit func(*Record)) func(*Record) {
	return lay(func(r *Record) { r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Textile}; edit(r) })
}

func container(on string, stackable moistheat.Answer) func(*Record) {
	return func(r *Record) {
		for i := range r.Packs {
			r.Packs[i].Barrier = packaging.RigidContainer
		}
		r.Packs[0].Placement.StackedOn, r.Packs[1].Placement.Stackable = on, stackable
	}
}

func wallGap(s string, touches moistheat.Answer) func(*Record) {
	return func(r *Record) {
		r.Packs[0].Placement.WallGap, r.Packs[0].Placement.TouchesWall = length(s), touches
	}
}

// inwards moves the first pouch away from the door and the left wall, so that it is so
// far and 10 mm from both.
func inwards(s string) func(*Record) {
	return first(func(p *Pack) { p.Placement.Spot.X, p.Placement.Spot.Y = length(s), length(s) })
}

// dries gives the sterilizer a table that asks for so much drying with a rack. The
// record dried for 20 minutes.
func dries(least string, air moistheat.AirRemoval) func(*Record) {
	return func(r *Record) {
		r.Sterilizer.Accessory = "rack"
		r.Sterilizer.Capacity = []Capacity{{Accessory: "rack", AirRemoval: air, Mass: mass("5 kg"), Drying: duration(least), Authority: ByManufacturer}}
	}
}

func TestPlaces(t *testing.T) {
	const at, spot, row = "/packs/0/placement", "/packs/0/placement/spot", "/arrangement/trays/0"
	edge := func(side FilmSide) func(*Record) {
		return func(r *Record) { r.Packs[0].Placement.FilmSide = side }
	}
	for _, c := range []change{
		// A quarter of an inch, 6.35 mm (practice of the trade). The first pouch ends at
		// 110 mm.
		{"10 mm by place", "load.arrangement.gap", spot, met, "", lay(same)},
		{"a quarter of an inch by place", "load.arrangement.gap", spot, met, "", across("116.35 mm")},
		{"a hair less by place", "load.arrangement.gap", spot, broken, "", across("116.3499999 mm")},
		{"a hair more by place", "load.arrangement.gap", spot, met, "", across("116.3500001 mm")},
		{"places closer than somebody measured", "load.arrangement.gap", spot, broken, "", lay(func(r *Record) {
			r.Packs[1].Placement.Spot.X, r.Packs[0].Placement.Gap = length("112 mm"), length("10 mm")
		})},
		{"measured closer than places", "load.arrangement.gap", at + "/gap", broken, "", first(func(p *Pack) { p.Placement.Gap = length("5 mm") })},
		{"one place unknown proves nothing", "load.arrangement.gap", at, undetermined, "", lay(func(r *Record) { r.Packs[1].Placement.Spot = nil })},

		{"apart", "load.arrangement.overlap", spot, met, "", lay(same)},
		{"touching", "load.arrangement.overlap", spot, met, "", across("110 mm")},
		{"a hair over", "load.arrangement.overlap", spot, broken, "", across("109.9999 mm")},
		{"nothing seen", "load.arrangement.overlap", at + "/overlap", met, "", func(r *Record) { r.Packs[0].Placement.Overlap = percent(0, 0) }},
		{"a tenth of a percent seen", "load.arrangement.overlap", at + "/overlap", broken, "", func(r *Record) { r.Packs[0].Placement.Overlap = percent(1, -1) }},
		{"thirty percent, as a German trade guide allows", "load.arrangement.overlap", at + "/overlap", broken, "", func(r *Record) { r.Packs[0].Placement.Overlap = percent(30, 0) }},
		{"unknown", "load.arrangement.overlap", at, undetermined, "", func(r *Record) {}},
		// ... and a facility that follows it decided: 30 of the 100 mm are 30 %.
		{"thirty percent seen", "load.arrangement.overlap", at + "/overlap", met, "thirty percent", func(r *Record) { r.Packs[0].Placement.Overlap = percent(30, 0) }},
		{"a tenth of a percent more seen", "load.arrangement.overlap", at + "/overlap", broken, "thirty percent", func(r *Record) { r.Packs[0].Placement.Overlap = percent(301, -1) }},
		{"thirty percent by place", "load.arrangement.overlap", spot, met, "thirty percent", across("80 mm")},
		{"a hair more by place", "load.arrangement.overlap", spot, broken, "thirty percent", across("79.99999999 mm")},
		{"a hair less by place", "load.arrangement.overlap", spot, met, "thirty percent", across("80.00000001 mm")},
		{"seen less than by place", "load.arrangement.overlap", spot, broken, "thirty percent", lay(func(r *Record) {
			r.Packs[1].Placement.Spot.X, r.Packs[0].Placement.Overlap = length("70 mm"), percent(10, 0)
		})},
		{"seen more than by place", "load.arrangement.overlap", at + "/overlap", broken, "thirty percent", lay(func(r *Record) {
			r.Packs[1].Placement.Spot.X, r.Packs[0].Placement.Overlap = length("90 mm"), percent(31, 0)
		})},
		{"unknown", "load.arrangement.overlap", at, undetermined, "thirty percent", func(r *Record) {}},
		{"the only pack", "load.arrangement.overlap", "", notAsked, "", func(r *Record) { r.Packs = r.Packs[:1] }},

		// The chamber is 320 mm wide; the pouch lies 20 mm from its left wall.
		{"free by place", "load.arrangement.wall", at, met, "", lay(same)},
		{"at the wall by place", "load.arrangement.wall", at, broken, "", first(func(p *Pack) { p.Placement.Spot.X = length("-10 mm") })},
		{"a hair from the wall", "load.arrangement.wall", at, met, "", first(func(p *Pack) { p.Placement.Spot.X = length("-9.9999 mm") })},
		{"somebody saw it touch", "load.arrangement.wall", at, broken, "", first(func(p *Pack) { p.Placement.TouchesWall = yes })},
		{"no chamber measured", "load.arrangement.wall", at, undetermined, "", arranged(func(a *Arrangement) { a.Chamber = nil })},
		{"measured at the wall", "load.arrangement.wall", at, broken, "", wallGap("0 mm", unknown)},
		{"measured a hair from the wall", "load.arrangement.wall", at, met, "", wallGap("0.1 mm", unknown)},
		{"inside another pack", "load.arrangement.wall", "", notAsked, "", func(r *Record) { r.Packs[1].Inside, r.Packs[0].Inside = "P1", "P2" }},

		// An inch (an equipment manufacturer's guide, quoted: one to two). The first pouch is
		// 20 mm from the left wall and the door until it is moved.
		{"an inch", "load.wall.close", at + "/wallGap", met, "", wallGap("1 [in_i]", unknown)},
		{"a hair less", "load.wall.close", at + "/wallGap", broken, "", wallGap("25.39 mm", unknown)},
		{"an inch by place", "load.wall.close", spot, met, "", inwards("15.4 mm")},
		{"a hair less by place", "load.wall.close", spot, broken, "", inwards("15.3999999 mm")},
		{"measured less than by place", "load.wall.close", at + "/wallGap", broken, "", func(r *Record) {
			inwards("30 mm")(r)
			r.Packs[0].Placement.WallGap = length("20 mm")
		}},
		{"seen to touch", "load.wall.close", at + "/touchesWall", broken, "", func(r *Record) { r.Packs[0].Placement.TouchesWall = yes }},
		{"not seen to touch, not measured", "load.wall.close", at, undetermined, "", func(r *Record) {}},
		{"inside another pack", "load.wall.close", "", notAsked, "", func(r *Record) { r.Packs[1].Inside, r.Packs[0].Inside = "P1", "P2" }},

		{"inside the rim", "load.tray.overhang", spot, met, "", lay(same)},
		{"at the rim", "load.tray.overhang", spot, met, "", first(func(p *Pack) { p.Placement.Spot.Y = length("150 mm") })},
		{"a hair over the rim", "load.tray.overhang", spot, broken, "", first(func(p *Pack) { p.Placement.Spot.Y = length("150.0001 mm") })},
		{"in front of the rim", "load.tray.overhang", spot, broken, "", first(func(p *Pack) { p.Placement.Spot.Y = length("-1 mm") })},
		{"tray not measured", "load.tray.overhang", spot, undetermined, "", arranged(func(a *Arrangement) { a.Trays[0].Width = units.Length{} })},
		{"unknown tray", "load.tray.overhang", spot, undetermined, "", first(func(p *Pack) { p.Placement.Tray = "other" })},
		{"no place", "load.tray.overhang", "", notAsked, "", func(r *Record) {}},

		// The tray above is 100 mm higher.
		{"below the tray above", "load.tray.above", spot, met, "", lay(same)},
		{"a hair below", "load.tray.above", spot, met, "", first(func(p *Pack) { p.Size.Height = length("99.999 mm") })},
		{"against the tray above", "load.tray.above", spot, broken, "", first(func(p *Pack) { p.Size.Height = length("100 mm") })},
		{"on edge its width stands up", "load.tray.above", spot, broken, "", first(func(p *Pack) { p.Placement.Position, p.Size.Width = OnEdge, length("101 mm") })},
		{"measured a hair below", "load.tray.above", at + "/gapAbove", met, "", func(r *Record) { r.Packs[0].Placement.GapAbove = length("0.1 mm") }},
		{"measured against it", "load.tray.above", at + "/gapAbove", broken, "", func(r *Record) { r.Packs[0].Placement.GapAbove = length("0 mm") }},
		{"measured against it, whatever the places say", "load.tray.above", spot, broken, "", first(func(p *Pack) { p.Placement.GapAbove = length("0 mm") })},
		{"height of a tray unknown", "load.tray.above", spot, undetermined, "", arranged(func(a *Arrangement) { a.Trays[1].Up = units.Length{} })},
		{"no place", "load.tray.above", "", notAsked, "", func(r *Record) {}},

		// About an inch, 25 mm, between rim and tray above (equipment manufacturers, quoted).
		{"80 mm", "load.tray.gap", row, met, "", lay(same)},
		{"25 mm", "load.tray.gap", row, met, "", arranged(func(a *Arrangement) { a.Trays[0].Rim = length("75 mm") })},
		{"24.9 mm", "load.tray.gap", row, broken, "", arranged(func(a *Arrangement) { a.Trays[0].Rim = length("75.1 mm") })},
		{"rim not measured", "load.tray.gap", row, undetermined, "", arranged(func(a *Arrangement) { a.Trays[0].Rim = units.Length{} })},
		{"one tray", "load.tray.gap", "", notAsked, "", arranged(func(a *Arrangement) { a.Trays = a.Trays[:1] })},
		{"side by side", "load.tray.gap", "", notAsked, "", arranged(func(a *Arrangement) { a.Trays[1].Across, a.Trays[1].Rim = length("310 mm"), length("1 mm") })},

		{"perforated", "load.tray.solid", row, met, "", lay(same)},
		{"solid", "load.tray.solid", row, broken, "", arranged(func(a *Arrangement) { a.Trays[0].Perforated = no })},
		{"unknown", "load.tray.solid", row, undetermined, "", arranged(func(a *Arrangement) { a.Trays[0].Perforated = unknown })},
		{"no trays recorded", "load.tray.solid", "", undetermined, "", func(r *Record) {}},
		{"fitting", "load.tray.foreign", row, met, "", lay(same)},
		{"of another chamber", "load.tray.foreign", row, broken, "", arranged(func(a *Arrangement) { a.Trays[0].MadeForChamber = no })},
		{"unknown", "load.tray.foreign", row, undetermined, "", arranged(func(a *Arrangement) { a.Trays[0].MadeForChamber = unknown })},
		{"no trays recorded", "load.tray.foreign", "", notAsked, "", func(r *Record) {}},
		{"lined", "load.tray.bare", at, met, "", unwrapFirst(same)},
		{"bare", "load.tray.bare", at, broken, "", unwrapFirst(func(r *Record) { r.Arrangement.Trays[0].Lined = no })},
		{"unknown", "load.tray.bare", at, undetermined, "", unwrapFirst(func(r *Record) { r.Packs[0].Placement.Tray = "" })},
		{"packed", "load.tray.bare", "", notAsked, "", lay(same)},
		{"apart", "load.tray.touching", at, met, "", unwrapFirst(func(r *Record) { r.Packs[0].Placement.ItemsApart = yes })},
		{"touching", "load.tray.touching", at, broken, "", unwrapFirst(func(r *Record) { r.Packs[0].Placement.ItemsApart = no })},
		{"unknown", "load.tray.touching", at, undetermined, "", unwrapFirst(same)},
		{"packed", "load.tray.touching", "", notAsked, "", lay(same)},

		{"film to paper", "load.arrangement.facing", at, met, "", edge(FilmToPaper)},
		{"film to film", "load.arrangement.facing", at, broken, "", edge(FilmToFilm)},
		{"unknown", "load.arrangement.facing", at, undetermined, "", edge("")},
		{"flat", "load.arrangement.facing", "", notAsked, "", lay(same)},

		{"same tray", "load.arrangement.heavy", "/packs/1/placement", met, "", cloth(func(r *Record) { r.Packs[1].Barrier = packaging.WrapSheet })},
		{"tray above", "load.arrangement.heavy", "/packs/1/placement", broken, "", cloth(func(r *Record) { r.Packs[1].Barrier, r.Packs[1].Placement.Tray = packaging.WrapSheet, "high" })},
		{"somebody saw it", "load.arrangement.heavy", "/packs/1/placement", broken, "", cloth(func(r *Record) { r.Packs[1].Barrier, r.Packs[1].Placement.AboveTextile = packaging.WrapSheet, yes })},
		{"height unknown", "load.arrangement.heavy", "/packs/1/placement", undetermined, "", cloth(func(r *Record) {
			r.Packs[1].Barrier, r.Arrangement.Trays[0].Up = packaging.WrapSheet, units.Length{}
		})},
		{"no cloth", "load.arrangement.heavy", "", notAsked, "", lay(same)},
		{"unwrapped above wrapped by place", "load.arrangement.dripping", "/packs/1/placement", broken, "",
			unwrapFirst(func(r *Record) { r.Packs[0].Placement.Tray, r.Packs[1].Condition.Dry = "high", moistheat.NotRecorded })},
		{"unwrapped below wrapped by place", "load.arrangement.dripping", "/packs/1/placement", met, "",
			unwrapFirst(func(r *Record) { r.Packs[1].Placement.Tray, r.Packs[1].Condition.Dry = "high", moistheat.NotRecorded })},
		{"upright", "load.drape.flat", at, met, "", cloth(func(r *Record) { r.Packs[0].Placement.Upright = yes })},
		{"flat", "load.drape.flat", at, broken, "", cloth(func(r *Record) { r.Packs[0].Placement.Upright = no })},
		{"unknown", "load.drape.flat", at, undetermined, "", cloth(same)},
		{"no cloth", "load.drape.flat", "", notAsked, "", lay(same)},

		{"allowed", "load.container.stacked", at + "/stackedOn", met, "", container("P2", yes)},
		{"not allowed", "load.container.stacked", at + "/stackedOn", broken, "", container("P2", no)},
		{"unknown", "load.container.stacked", at + "/stackedOn", undetermined, "", container("P2", unknown)},
		{"side by side", "load.container.stacked", "", notAsked, "", container("", unknown)},
		{"own slot", "load.rack.shared", "/packs/1/placement/slot", met, "", lay(func(r *Record) { r.Packs[0].Placement.Slot, r.Packs[1].Placement.Slot = "1", "2" })},
		{"one slot", "load.rack.shared", "/packs/1/placement/slot", broken, "", lay(func(r *Record) { r.Packs[0].Placement.Slot, r.Packs[1].Placement.Slot = "1", "1" })},
		{"no rack", "load.rack.shared", "", notAsked, "", lay(same)},

		// Rule of thumb of an equipment manufacturer (quoted): 75 to 80 %.
		{"80 %", "load.chamber.full", "/arrangement/fill", met, "", arranged(func(a *Arrangement) { a.Fill = percent(80, 0) })},
		{"79.9 %", "load.chamber.full", "/arrangement/fill", met, "", arranged(func(a *Arrangement) { a.Fill = percent(799, -1) })},
		{"80.1 %", "load.chamber.full", "/arrangement/fill", broken, "", arranged(func(a *Arrangement) { a.Fill = percent(801, -1) })},
		{"unknown", "load.chamber.full", "/arrangement", undetermined, "", arranged(func(a *Arrangement) { a.Fill = units.Ratio{} })},
		{"no arrangement recorded", "load.chamber.full", "", undetermined, "", func(r *Record) {}},
		// With a table of the manufacturer the time counts, not what is said of it.
		{"as long as the table asks", "load.drying.short", "/sterilizer/capacity/0", met, "", dries("20 min", "")},
		{"a second less", "load.drying.short", "/sterilizer/capacity/0", broken, "", dries("1201 s", "")},
		{"in another cycle", "load.drying.short", "", notAsked, "", dries("1201 s", moistheat.GravityDisplacement)},
		{"drying not recorded", "load.drying.short", "/sterilizer/capacity/0", undetermined, "", func(r *Record) {
			dries("20 min", "")(r)
			r.Cycle.Printed.DryingTime, r.Cycle.Settings.Drying = units.Duration{}, units.Duration{}
		}},
		{"validated", "load.pattern.unvalidated", "/arrangement", met, "", lay(same)},
		{"new", "load.pattern.unvalidated", "/arrangement", broken, "", arranged(func(a *Arrangement) { a.Validated = no })},
		{"unknown", "load.pattern.unvalidated", "/arrangement", undetermined, "", arranged(func(a *Arrangement) { a.Validated = unknown })},
		{"no arrangement recorded", "load.pattern.unvalidated", "", undetermined, "", func(r *Record) {}},
		{"wet", "load.tubing.dry", "/packs/0/items/0", met, "", tubing(yes)},
		{"dry", "load.tubing.dry", "/packs/0/items/0", broken, "", tubing(no)},
		{"unknown", "load.tubing.dry", "/packs/0/items/0", undetermined, "", tubing(unknown)},
		{"dry, vacuum", "load.tubing.dry", "", notAsked, "", func(r *Record) { r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Tubing} }},
		{"hardest place", "load.challenge.place", "/monitors/challenge", met, "", func(r *Record) { r.Monitors.Challenge = &Challenge{Result: packaging.Reached, Hardest: yes} }},
		{"easy place", "load.challenge.place", "/monitors/challenge", broken, "", func(r *Record) { r.Monitors.Challenge = &Challenge{Result: packaging.Reached, Hardest: no} }},
		{"unknown", "load.challenge.place", "/monitors/challenge", undetermined, "", func(r *Record) { r.Monitors.Challenge = &Challenge{Result: packaging.Reached} }},
		{"none", "load.challenge.place", "", notAsked, "", func(r *Record) {}},
		{"load", "load.purpose.packed", "/cycle/purpose", met, "", func(r *Record) {}},
		{"bare", "load.purpose.packed", "/cycle/purpose", broken, "", func(r *Record) { r.Cycle.Purpose = ForUnwrappedLoad }},
		{"unknown", "load.purpose.packed", "/cycle", undetermined, "", func(r *Record) { r.Cycle.Purpose = "" }},
		{"nothing packed", "load.purpose.packed", "", notAsked, "", func(r *Record) {
			r.Cycle.Purpose = ForUnwrappedLoad
			for i := range r.Packs {
				r.Packs[i].Barrier = packaging.Unwrapped
			}
		}},
		{"bare", "load.purpose.unsuited", "/cycle/purpose", met, "", func(r *Record) { r.Cycle.Purpose = ForUnwrappedLoad }},
	} {
		c.run(t)
	}
}

// What is broken by place is said with by how much.
func TestByHowMuch(t *testing.T) {
	for _, tt := range []struct {
		name, rule string
		edit       func(*Record)
		want       string
	}{
		{"gap of 2 mm", "load.arrangement.gap", across("112 mm"), "2.00 mm"},
		{"gap just short of a quarter inch", "load.arrangement.gap", across("116.3499999 mm"), "6.34 mm"},
		{"5 mm into each other", "load.arrangement.overlap", across("105 mm"), "5.00 %"},
		{"5 mm from the wall", "load.wall.close", first(func(p *Pack) { p.Placement.Spot.X = length("-5 mm") }), "5.00 mm"},
		{"just short of 5 mm from it", "load.wall.close", first(func(p *Pack) {
			p.Placement.Spot.X = length("-5.0001 mm")
		}), "4.99 mm"},
		{"20.3 mm over the rim", "load.tray.overhang", first(func(p *Pack) { p.Placement.Spot.Y = length("170.3 mm") }), "20.30 mm"},
		{"1 mm into the tray above", "load.tray.above", first(func(p *Pack) { p.Size.Height = length("101 mm") }), "1.00 mm"},
		{"12.5 mm between trays", "load.tray.gap", arranged(func(a *Arrangement) { a.Trays[0].Rim = length("87.5 mm") }), "12.50 mm"},
		{"10 mm through the wall", "load.arrangement.wall", first(func(p *Pack) { p.Placement.Spot.X = length("-20 mm") }), "-10.00 mm"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := good()
			tt.edit(r)
			for _, f := range Explain(r, withOwnFigures(t, "us-cdc-2003")).Findings {
				if f.Rule == tt.rule && f.Outcome == broken {
					assert.Equal(t, tt.want, f.Measured.String())
					return
				}
			}
			t.Errorf("%s is not broken", tt.rule)
		})
	}
}

// The same corner against a gap: 100 mm less an inch leaves 74.6 mm. A corner 44.76 mm
// to the side and 59.68 mm above is 74.6 mm away (3, 4 and 5 again).
func TestRoundWallGap(t *testing.T) {
	for across, want := range map[string]moistheat.Outcome{"44.76 mm": met, "44.7600001 mm": broken} {
		r := laid()
		r.Packs = r.Packs[:1]
		r.Arrangement = &Arrangement{
			Chamber: &Chamber{Shape: Round, Width: length("200 mm"), Height: length("200 mm"), Depth: length("400 mm")},
			Trays:   []Tray{{ID: "low", Across: length("50 mm"), Back: length("100 mm"), Up: length("100 mm")}},
		}
		r.Packs[0].Size = size("50 mm", "50 mm", "59.68 mm")
		r.Packs[0].Placement.Spot.X = length(across)
		p := withOwnFigures(t, "us-cdc-2003")
		assert.Equal(t, want, outcome(Explain(r, p), "load.wall.close", "/packs/0/placement/spot"), across)
	}
}

// A round chamber 200 mm wide: a corner 60 mm to the side of its middle and 80 mm
// above it is 100 mm away, exactly at the wall (the triangle of 3, 4 and 5).
func TestRoundChamber(t *testing.T) {
	for _, tt := range []struct {
		across string
		want   moistheat.Outcome
		shows  string // 100 mm less the root of the squares
	}{
		{"60 mm", broken, "0.00 mm"},
		{"59.9999 mm", met, "0.00 mm"},
		{"60.0001 mm", broken, "-0.01 mm"},
		{"59 mm", met, "0.59 mm"}, // 100 - 99.4032
	} {
		t.Run(tt.across, func(t *testing.T) {
			r := laid()
			r.Packs = r.Packs[:1]
			r.Arrangement = &Arrangement{
				Chamber: &Chamber{Shape: Round, Width: length("200 mm"), Height: length("200 mm"), Depth: length("400 mm")},
				Trays:   []Tray{{ID: "low", Across: length("50 mm"), Back: length("100 mm"), Up: length("100 mm")}},
			}
			r.Packs[0].Size = size("50 mm", "50 mm", "80 mm")
			r.Packs[0].Placement.Spot.X = length(tt.across)
			report := Explain(r, policy(t, "us-cdc-2003"))
			for _, f := range report.Findings {
				if f.Rule == "load.arrangement.wall" {
					assert.Equal(t, tt.want, f.Outcome)
					assert.Equal(t, tt.shows, f.Measured.String())
				}
			}
			assert.Equal(t, tt.want, outcome(report, "load.arrangement.wall", "/packs/0/placement"))
		})
	}
}

// Rules of one country are out of force in the built-in policies, and a facility can
// put them in force.
func TestRulesOfOneCountry(t *testing.T) {
	own, err := ParsePolicy([]byte(`{"format": "moistheat.policy/1", "name": "own", "title": "own", "base": "us-cdc-2003", "rules": [
		{"id": "packaging.indicator.implant", "inForce": true}, {"id": "packaging.powered.unpacked", "inForce": true}]}`))
	require.NoError(t, err)
	r := good()
	implant(r)
	test(func(*Biological) {})(r)
	r.Packs[0].Indicators[1].Type = 4
	r.Release.Time = r.Release.Time.Add(48 * time.Hour) // once the spores were read
	const rule, at = "packaging.indicator.implant", "/packs/0/indicators"
	assert.Equal(t, notInForce, outcome(Explain(r, policy(t, "us-cdc-2003")), rule, at))
	assert.Equal(t, moistheat.Release, Explain(r, policy(t, "us-cdc-2003")).Packs[0].Disposition)
	assert.Equal(t, broken, outcome(Explain(r, own), rule, at))
	assert.Equal(t, moistheat.Quarantine, Explain(r, own).Packs[0].Disposition)
}

// A container has no neighbour in what lies inside it.
func TestNeighbourIsNotWhatLiesInside(t *testing.T) {
	for _, test := range []struct {
		name, inside string
		want         moistheat.Outcome
	}{
		{"a tray beside the container", "", moistheat.Undetermined},
		{"a tray in the container", "P1", moistheat.NotApplicable},
		{"a tray in a container that is not of the load", "P9", moistheat.Undetermined},
	} {
		t.Run(test.name, func(t *testing.T) {
			r := good()
			r.Packs[0].Barrier, r.Packs[0].Placement.Gap, r.Packs[0].Placement.Overlap = packaging.RigidContainer, units.Length{}, units.Ratio{}
			r.Packs[1].Barrier, r.Packs[1].Inside = packaging.Unwrapped, test.inside
			p := withOwnFigures(t, "us-cdc-2003")
			for _, id := range []string{"load.arrangement.gap", "load.arrangement.overlap"} {
				got := moistheat.NotApplicable
				for _, f := range Explain(r, p).Findings {
					if f.Rule == id {
						got = f.Outcome
					}
				}
				assert.Equal(t, test.want, got, id)
			}
		})
	}
}

func TestWeighNothing(t *testing.T) {
	r := good()
	r.Packs = []Pack{}
	r.Sterilizer.Capacity = []Capacity{{Mass: mass("1 kg"), Authority: ByManufacturer}}
	rep := Explain(r, policy(t, "us-cdc-2003"))
	for _, f := range rep.Findings {
		if f.Rule == "load.capacity.over" {
			assert.Equal(t, undetermined, f.Outcome)
			assert.Equal(t, "Not recorded: the mass of the packs. Limit of the instructions for the mass of the load: 1 kg.", rep.Message(f))
			return
		}
	}
	t.Error("nobody asked what the load weighs")
}

// Messages name what they speak of.
func TestWordsOfPlacesAndFit(t *testing.T) {
	narrow := func(edit func(*Record)) func(*Record) {
		return func(r *Record) {
			it := &r.Packs[0].Items[0]
			it.Traits, it.Lumens = []packaging.Trait{packaging.Hollow}, []packaging.Lumen{{Length: length("90 mm"), Bore: length("1 mm"), OpenEnds: 2}}
			r.Cycle.Type = TypeN
			edit(r)
		}
	}
	for _, tt := range []struct {
		name, rule string
		edit       func(*Record)
		want       string
	}{
		{"trays, the upper one first", "load.tray.gap", arranged(func(a *Arrangement) {
			a.Trays[0].Up, a.Trays[1].Up = length("70 mm"), length("30 mm")
		}), "Between tray high and tray low above it: 20 mm; minimum 25 mm."},
		{"lumen", "load.fit.narrow", narrow(same), "forceps has a long or narrow lumen (hollow A); a cycle with dynamic air removal of type N does not reliably remove the air from it."},
		{"lumen of unknown size", "load.fit.narrow", narrow(func(r *Record) { r.Packs[0].Items[0].Lumens = nil }), "forceps has a long or narrow lumen (hollow A, size not recorded); a cycle with dynamic air removal of type N does not reliably remove the air from it."},
		{"cycle of which little is known", "load.fit.narrow", narrow(func(r *Record) {
			r.Cycle.Settings.AirRemoval, r.Cycle.Type, r.Sterilizer.DeclaredFor = "", "", []DeclaredLoad{DeclaredPorous}
		}), "forceps has a long or narrow lumen (hollow A); a cycle with air removal that is not recorded does not reliably remove the air from it."},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := good()
			tt.edit(r)
			rep := Explain(r, withOwnFigures(t, "us-cdc-2003"))
			for _, f := range rep.Findings {
				if f.Rule == tt.rule && f.Outcome == broken {
					assert.Equal(t, tt.want, rep.Message(f))
					return
				}
			}
			t.Errorf("%s is not broken", tt.rule)
		})
	}
}

// A distance to the wall is stated where the places decide, and not where somebody
// saw a touch that they do not show.
func TestWallByPlaceIsMeasured(t *testing.T) {
	for _, tt := range []struct {
		name     string
		across   string
		seen     moistheat.Answer
		want     moistheat.Outcome
		measured bool
	}{
		{"free by place", "10 mm", unknown, met, true},
		{"free by place and as seen", "10 mm", no, met, true},
		{"seen, against the places", "10 mm", yes, broken, false},
		{"by place and as seen", "-10 mm", yes, broken, true},
		{"by place, not seen", "-10 mm", no, broken, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := laid()
			pl := &r.Packs[0].Placement
			pl.Spot.X, pl.TouchesWall = length(tt.across), tt.seen
			for _, f := range Explain(r, policy(t, "us-cdc-2003")).Findings {
				if f.Rule == "load.arrangement.wall" && f.Pointer == "/packs/0/placement" {
					assert.Equal(t, tt.want, f.Outcome)
					assert.Equal(t, tt.measured, f.Measured.IsValid())
					return
				}
			}
			t.Error("nobody asked")
		})
	}
}

// An answer that is none, in a record that no document could be, is no answer.
func TestForeignAnswerOfPlacement(t *testing.T) {
	r := good()
	r.Packs = append(r.Packs, Pack{Placement: Placement{AboveWrapped: 255}})
	assert.NotPanics(t, func() { Check(r, policy(t, "us-cdc-2003")) })
}
