package load_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

func mm(n int64, exp int) units.Length { return units.New(n, exp, units.Millimetre) }

// chamber has sides in tenths of a millimetre.
func chamber(shape load.ChamberShape, width, height, depth int64) *load.Chamber {
	return &load.Chamber{Shape: shape, Width: mm(width, -1), Height: mm(height, -1), Depth: mm(depth, -1)}
}

// ownFigures is a facility that fills its chamber to four fifths and keeps 6 mm between packs.
func ownFigures(t testing.TB) *load.Policy {
	t.Helper()
	const source = `,"source":{"document":"our own rules for loading","basis":"facility"}`
	p, err := load.ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"ours","base":"us-cdc-2003",
		"rules":[{"id":"load.tray.overhang","inForce":true}],
		"limits":{"chamberFill":{"value":{"value":80,"unit":"%"}` + source + `},
			"packGap":{"value":{"value":6,"unit":"mm"}` + source + `}}}`))
	require.NoError(t, err)
	return p
}

// outcomeOf returns the worst outcome of a rule, and the finding of it.
func outcomeOf(r *load.Report, rule string) (worst moistheat.Outcome, f moistheat.Finding) {
	for _, x := range r.Findings {
		if x.Rule == rule && x.Outcome > worst {
			worst, f = x.Outcome, x
		}
	}
	return worst, f
}

// bothWays checks the record as it refers and as it was written out, and compares them.
func bothWays(t *testing.T, c *load.Catalogue, r *load.Record, p *load.Policy, rule string) *load.Report {
	t.Helper()
	resolved := facts(t, c).Resolve(r, p)
	data, err := json.Marshal(resolved)
	require.NoError(t, err)
	bare, err := load.Decode(data)
	require.NoError(t, err)
	with, written := load.Explain(resolved, p), load.Explain(bare, p)
	a, _ := outcomeOf(with, rule)
	b, _ := outcomeOf(written, rule)
	assert.Equal(t, a, b, "written out")
	assert.Equal(t, with.Verdict.Load, written.Verdict.Load)
	return with
}

const contradicted = "load.catalogue.contradicted"

// Three pouches of 250 mm by 90 mm by 25 mm are 1687.5 cm³, four fifths of a chamber of 125 mm
// by 125 mm by 135 mm, 2109.375 cm³.
func TestFillIsComputed(t *testing.T) {
	const rule = "load.chamber.full"
	p := ownFigures(t)
	for _, tt := range []struct {
		name   string
		change func(*load.Catalogue, *load.Record)
		want   moistheat.Outcome
		got    string
		said   []string
	}{
		{"at the limit", func(*load.Catalogue, *load.Record) {}, moistheat.Met, "80.00 %", nil},
		{"inside", func(c *load.Catalogue, _ *load.Record) { c.Sterilizers[0].Chamber.Depth = mm(1351, -1) },
			moistheat.Met, "79.95 %", nil}, // 1687.5 / 2110.9375 is 79.941 %, rounded up
		{"outside", func(c *load.Catalogue, _ *load.Record) { c.Sterilizers[0].Chamber.Depth = mm(1349, -1) },
			moistheat.Broken, "80.06 %", nil}, // 1687.5 / 2107.8125 is 80.059 %
		{"a round chamber", func(c *load.Catalogue, _ *load.Record) {
			*c.Sterilizers[0].Chamber = *chamber(load.Round, 2000, 2000, 1000)
		}, moistheat.Met, "53.72 %", nil}, // of π times 1000 cm³, 3141.6 cm³: 53.715 %
		{"less was recorded", func(c *load.Catalogue, r *load.Record) {
			c.Sterilizers[0].Chamber.Depth = mm(1349, -1)
			r.Arrangement = &load.Arrangement{Fill: units.New(60, 0, units.Percent)}
		}, moistheat.Broken, "80.06 %", []string{"/arrangement/fill"}},
		{"more was recorded", func(_ *load.Catalogue, r *load.Record) {
			r.Arrangement = &load.Arrangement{Fill: units.New(95, 0, units.Percent)}
		}, moistheat.Broken, "95 %", nil}, // between packs there may be no more room
		{"the same was recorded", func(_ *load.Catalogue, r *load.Record) {
			r.Arrangement = &load.Arrangement{Fill: units.New(80, 0, units.Percent)}
		}, moistheat.Met, "80 %", nil},
		{"a size is not known", func(c *load.Catalogue, _ *load.Record) { c.Packs[0].Size.Height = units.Length{} },
			moistheat.Undetermined, "", nil},
		{"of one pack it is not known", func(c *load.Catalogue, r *load.Record) { r.Packs[2].Type, c.Sets[0].Pack = "", "" },
			moistheat.Undetermined, "", nil},
		{"of one pack it is not known, the others take more", func(c *load.Catalogue, r *load.Record) {
			r.Packs[2].Type, c.Sets[0].Pack = "", "" // two are 1125 cm³, 53.34 %
			r.Arrangement = &load.Arrangement{Fill: units.New(50, 0, units.Percent)}
		}, moistheat.Met, "53.34 %", []string{"/arrangement/fill"}},
		{"the chamber is not known", func(c *load.Catalogue, _ *load.Record) { c.Sterilizers[0].Chamber = nil },
			moistheat.Undetermined, "", nil},
		{"one lies in another", func(_ *load.Catalogue, r *load.Record) { r.Packs[2].Inside = "P1" },
			moistheat.Met, "53.34 %", nil},
		{"it lies in one that is not there", func(_ *load.Catalogue, r *load.Record) { r.Packs[2].Inside = "P9" },
			moistheat.Met, "80.00 %", nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, r := clinic(t)
			c.Sterilizers[0].Chamber = chamber(load.Square, 1250, 1250, 1350)
			tt.change(c, r)
			report := bothWays(t, c, r, p, rule)
			got, f := outcomeOf(report, rule)
			assert.Equal(t, tt.want, got)
			if tt.got != "" {
				assert.Equal(t, tt.got, f.Measured.String())
			}
			assert.Equal(t, tt.said, found(report, contradicted))
		})
	}
	c, r := clinic(t)
	c.Sterilizers[0].Chamber = chamber(load.Square, 1250, 1250, 1349)
	_, f := outcomeOf(load.Check(facts(t, c).Resolve(r, p), p), rule)
	assert.Equal(t, moistheat.Origin{Format: load.CatalogueFormat, ID: c.ID, Pointer: "/sterilizers/0/chamber",
		Computed: "/packs/-/size /arrangement/chamber"}, f.Origin)
}

// Six months after 9 March 2026 is 9 September 2026.
func TestExpiryIsComputed(t *testing.T) {
	day := moistheat.NewDate(2026, 9, 9)
	each := []string{"/packs/0/label/expires", "/packs/1/label/expires", "/packs/2/label/expires"}
	for _, tt := range []struct {
		name   string
		stated moistheat.Date
		want   moistheat.Date
		said   []string
	}{
		{"nothing is stated", moistheat.Date{}, day, nil},
		{"the same", day, day, nil},
		{"a day more", day.AddDays(1), day, each},
		{"a day less", day.AddDays(-1), day.AddDays(-1), each},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, r := clinic(t)
			p := named(t, "us-cdc-2003")
			keep, err := calendar.ParsePeriod("P6M")
			require.NoError(t, err)
			c.Packs[0].Label.Keep = keep
			r.AllPacks.Label.Expires = tt.stated
			resolved := facts(t, c).Resolve(r, p)
			assert.Equal(t, tt.want, resolved.Packs[1].Label.Expires)
			assert.Equal(t, tt.stated, r.AllPacks.Label.Expires, "the record is the caller's")
			assert.Equal(t, tt.said, found(load.Check(resolved, p), contradicted))
			if tt.said == nil && !tt.stated.IsValid() {
				assert.Equal(t, moistheat.Origin{Format: load.CatalogueFormat, ID: c.ID, Pointer: "/packs/0/label/keep",
					Computed: "/load/date"}, resolved.Origins()["/packs/1/label/expires"])
			}
			c.Packs[0].Label.Keep = calendar.Period{}
			assert.Equal(t, tt.stated, facts(t, c).Resolve(r, p).Packs[1].Label.Expires, "no shelf life, no day")
		})
	}
}

// onTray gives the sterilizer a tray of a size, and puts the packs on it.
func onTray(c *load.Catalogue, r *load.Record, width, depth int64, how load.Position) {
	c.Sterilizers[0].Trays = []load.Tray{{ID: "tray", Width: mm(width, 0), Depth: mm(depth, 0), Up: mm(50, 0)}}
	for i := range r.Packs {
		r.Packs[i].Placement = load.Placement{Tray: "tray", Position: how}
	}
}

// A pouch of 250 mm by 90 mm by 25 mm lies on a tray that is at least as large, or across it
// where the diagonal lets it; else it extends over the rim wherever it lies.
func TestOverhangIsComputed(t *testing.T) {
	const rule = "load.tray.overhang"
	p := ownFigures(t)
	for _, tt := range []struct {
		name         string
		width, depth int64
		how          load.Position
		want         moistheat.Outcome
	}{
		{"it just fits, and where it lay is not asked", 250, 90, load.Flat, 0},
		{"the other way round", 90, 250, load.Flat, 0},
		{"a millimetre too narrow", 250, 89, load.Flat, moistheat.Broken},
		{"a millimetre too short", 249, 90, load.Flat, moistheat.Broken},
		// Turned by θ it takes 250 cos θ + 90 sin θ by 250 sin θ + 90 cos θ: at 30°, 261.5 by 202.9; at
		// 45°, 240.4 by 240.4.
		{"across the diagonal", 241, 241, load.Flat, 0},
		{"too small for the diagonal", 240, 240, load.Flat, moistheat.Broken},
		{"on edge it is 25 mm wide", 250, 25, load.OnEdge, 0},
		{"on edge, too narrow", 250, 24, load.OnEdge, moistheat.Broken},
		{"how it lay is not known, it may have stood", 250, 30, "", 0},
		{"how it lay is not known, it is too long", 200, 24, "", moistheat.Broken},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, r := clinic(t)
			c.Practices = nil
			onTray(c, r, tt.width, tt.depth, tt.how)
			got, _ := outcomeOf(bothWays(t, c, r, p, rule), rule)
			assert.Equal(t, tt.want, got)
			for _, less := range []func(){
				func() { c.Packs[0].Size = packaging.Size{} },
				func() { c.Sterilizers[0].Trays[0].Width = units.Length{} },
			} {
				less()
				got, _ := outcomeOf(bothWays(t, c, r, p, rule), rule)
				assert.Equal(t, moistheat.Undetermined, got, "without a size")
			}
		})
	}
}

// Three pouches on edge, each 250 mm by 25 mm, on a tray 250 mm wide: 75 mm of it they take, and
// twice 6 mm must be between them. Whatever way they stand, their surroundings of 3 mm must
// have room in that of the tray: 3 · (250·25 + 275·6 + 9π) mm² in (250·d + (250+d)·6 + 9π) mm²,
// which is d of at least 86.94 mm.
func TestRoomOnATray(t *testing.T) {
	const rule = "load.arrangement.gap"
	p := ownFigures(t)
	for _, tt := range []struct {
		name   string
		depth  int64
		stated units.Length
		want   moistheat.Outcome
		said   []string
	}{
		{"there is room, and how they stood is not known", 87, units.Length{}, moistheat.Undetermined, nil},
		{"there is room, and it was measured", 87, mm(6, 0), moistheat.Met, nil},
		{"there is none", 86, units.Length{}, moistheat.Broken, nil},
		{"there is none, whatever was measured", 86, mm(6, 0), moistheat.Broken,
			[]string{"/packs/0/placement/gap", "/packs/1/placement/gap", "/packs/2/placement/gap"}},
		{"less was measured", 86, mm(5, 0), moistheat.Broken, nil},
		{"they cover each other", 70, units.Length{}, moistheat.Broken, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, r := clinic(t)
			c.Practices = nil
			onTray(c, r, 250, tt.depth, load.OnEdge)
			for i := range r.Packs {
				r.Packs[i].Placement.Gap = tt.stated
			}
			report := bothWays(t, c, r, p, rule)
			got, _ := outcomeOf(report, rule)
			assert.Equal(t, tt.want, got)
			assert.Equal(t, tt.said, found(report, contradicted))
			if !tt.stated.IsValid() {
				c.Packs[0].Size = packaging.Size{}
				got, _ = outcomeOf(bothWays(t, c, r, p, rule), rule)
				assert.Equal(t, moistheat.Undetermined, got, "without a size")
			}
		})
	}
}

// Who drips on whom follows from the heights of the trays, which the catalogue has: no word of
// the record that it was otherwise counts against them.
func TestDrippingIsComputed(t *testing.T) {
	const rule = "load.arrangement.dripping"
	p := named(t, "us-cdc-2003")
	for _, tt := range []struct {
		name      string
		bare, low string
		stated    moistheat.Answer
		want      moistheat.Outcome
		said      []string
	}{
		{"above", "high", "low", moistheat.NotRecorded, moistheat.Broken, nil},
		{"below", "low", "high", moistheat.NotRecorded, moistheat.Met, nil},
		{"on one tray", "low", "low", moistheat.NotRecorded, moistheat.Met, nil},
		{"above, and the record says it was not", "high", "low", moistheat.No, moistheat.Broken,
			[]string{"/packs/0/placement/aboveWrapped"}},
		{"below, and the record says it was above", "low", "high", moistheat.Yes, moistheat.Broken,
			[]string{"/packs/0/placement/aboveWrapped"}},
		{"a tray that the catalogue does not have", "other", "low", moistheat.NotRecorded, moistheat.Undetermined, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, r := clinic(t)
			c.Sterilizers[0].Trays = []load.Tray{{ID: "low", Up: mm(30, 0)}, {ID: "high", Up: mm(130, 0)}}
			r.AllPacks.Condition.Dry = moistheat.NotRecorded
			r.Packs[0].Type, r.Packs[0].Barrier = "", packaging.Unwrapped
			r.Packs[0].Placement = load.Placement{Tray: tt.bare, AboveWrapped: tt.stated}
			for i := 1; i < 3; i++ {
				r.Packs[i].Placement.Tray = tt.low
			}
			report := bothWays(t, c, r, p, rule)
			got, _ := outcomeOf(report, rule)
			assert.Equal(t, tt.want, got)
			assert.Equal(t, tt.said, found(report, contradicted))
			if tt.want != moistheat.Met && tt.stated == moistheat.NotRecorded {
				c.Sterilizers[0].Trays[1].Up = units.Length{}
				got, _ = outcomeOf(bothWays(t, c, r, p, rule), rule)
				assert.Equal(t, moistheat.Undetermined, got, "without a height")
			}
		})
	}
}

// The clinic's three sets weigh 3 · (10 + 120 + 2·60) g, 750 g: steam of 134 °C leaves 20 g of water on
// so much steel, and the cycle dried for 20 min.
func TestWetPacksAreExpected(t *testing.T) {
	const rule = "load.drying.condensate"
	for _, name := range mainPolicies {
		p := named(t, name)
		for _, tt := range []struct {
			name    string
			change  func(*load.Catalogue, *load.Record)
			want    moistheat.Outcome
			warning bool // nothing else is wrong
		}{
			{"as much as it dries", func(*load.Catalogue, *load.Record) {}, moistheat.Met, true},
			{"more", func(c *load.Catalogue, _ *load.Record) {
				c.Sterilizers[0].DriedPerMinute = units.New(999, -3, units.Gram) // 19.98 g
			}, moistheat.Broken, true},
			{"a shorter drying was printed", func(_ *load.Catalogue, r *load.Record) {
				r.Cycle.Printed.DryingTime = units.New(1199, 0, units.Second)
			}, moistheat.Broken, false}, // the instructions of its items ask for 20 min, too
			{"a mass is not known", func(c *load.Catalogue, _ *load.Record) { c.Items[1].Mass = units.Mass{} },
				moistheat.Undetermined, false},
			{"the program is not known", func(c *load.Catalogue, _ *load.Record) { c.Sterilizers[0].Programs = nil },
				moistheat.Undetermined, false},
			{"what it dries is not known", func(c *load.Catalogue, _ *load.Record) {
				c.Sterilizers[0].DriedPerMinute = units.Mass{}
			}, moistheat.NotApplicable, true},
		} {
			t.Run(name+", "+tt.name, func(t *testing.T) {
				c, r := clinic(t)
				c.Sterilizers[0].DriedPerMinute = units.New(1, 0, units.Gram)
				tt.change(c, r)
				report := bothWays(t, c, r, p, rule)
				got, _ := outcomeOf(report, rule)
				if tt.want == moistheat.NotApplicable {
					assert.Zero(t, got)
					return
				}
				assert.Equal(t, tt.want, got)
				if tt.warning {
					assert.True(t, report.Released(), "it only warns")
				}
			})
		}
	}
}
