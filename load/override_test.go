package load_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// The program's settings and the lumens of an item type count where the record asks for less or
// says otherwise, and the contradiction is said.
func TestLaxerSettingsAndLumens(t *testing.T) {
	const settings = "/cycle/settings"
	celsius := func(n int64) units.Temperature { return units.New(n, 0, units.Celsius) }
	lumen := func(bore, length int64) packaging.Lumen {
		return packaging.Lumen{Bore: mm(bore, 0), Length: mm(length, 0), OpenEnds: 1}
	}
	for _, tt := range []struct {
		name   string
		change func(*load.Catalogue, *load.Record)
		at     []string
		check  func(t *testing.T, r *load.Record)
	}{
		{"nothing is said", func(*load.Catalogue, *load.Record) {}, nil, nil},
		{"the same is said", func(c *load.Catalogue, r *load.Record) {
			r.Cycle.Settings = c.Sterilizers[0].Programs[0].Settings
		}, nil, nil},
		{"a shorter time, at a lower temperature, with less drying", func(_ *load.Catalogue, r *load.Record) {
			r.Cycle.Settings.Hold, r.Cycle.Settings.Drying = minutes(3), minutes(10)
			r.Cycle.Settings.Temperature = celsius(132)
		}, []string{settings + "/drying", settings + "/hold", settings + "/temperature"}, func(t *testing.T, r *load.Record) {
			s := r.Cycle.Settings // which the printout must have reached
			assert.Equal(t, []units.Duration{minutes(4), minutes(20)}, []units.Duration{s.Hold, s.Drying})
			assert.Equal(t, celsius(134), s.Temperature)
		}},
		{"less drying, which nothing was printed of", func(_ *load.Catalogue, r *load.Record) {
			r.Cycle.Settings.Drying, r.Cycle.Printed.DryingTime = minutes(10), units.Duration{}
		}, []string{settings + "/drying"}, func(t *testing.T, r *load.Record) {
			assert.Equal(t, minutes(10), r.Cycle.Settings.Drying, "all that is known of it")
		}},
		{"more drying, which nothing was printed of", func(_ *load.Catalogue, r *load.Record) {
			r.Cycle.Settings.Drying, r.Cycle.Printed.DryingTime = minutes(30), units.Duration{}
		}, []string{settings + "/drying"}, func(t *testing.T, r *load.Record) {
			assert.Equal(t, minutes(20), r.Cycle.Settings.Drying)
		}},
		{"a longer time", func(_ *load.Catalogue, r *load.Record) { r.Cycle.Settings.Hold = minutes(5) },
			[]string{settings + "/hold"}, func(t *testing.T, r *load.Record) {
				assert.Equal(t, minutes(5), r.Cycle.Settings.Hold)
			}},
		{"air that is removed in another way", func(_ *load.Catalogue, r *load.Record) {
			r.Cycle.Settings.AirRemoval = moistheat.GravityDisplacement
		}, []string{settings + "/airRemoval"}, func(t *testing.T, r *load.Record) {
			assert.Equal(t, moistheat.GravityDisplacement, r.Cycle.Settings.AirRemoval, "the less that it removes")
		}},
		{"a stronger way than the program has", func(c *load.Catalogue, r *load.Record) {
			c.Sterilizers[0].Programs[0].Settings.AirRemoval = moistheat.GravityDisplacement
			r.Cycle.Settings.AirRemoval = moistheat.DynamicAirRemoval
		}, []string{settings + "/airRemoval"}, func(t *testing.T, r *load.Record) {
			assert.Equal(t, moistheat.GravityDisplacement, r.Cycle.Settings.AirRemoval)
		}},
		{"a type that carries more", func(c *load.Catalogue, r *load.Record) {
			c.Sterilizers[0].Programs[0].Type, r.Cycle.Type = load.TypeN, load.TypeB
		}, []string{"/cycle/type"}, func(t *testing.T, r *load.Record) { assert.Equal(t, load.TypeN, r.Cycle.Type) }},
		{"another purpose", func(_ *load.Catalogue, r *load.Record) { r.Cycle.Purpose = load.ForAirRemovalTest },
			[]string{"/cycle/purpose"}, func(t *testing.T, r *load.Record) {
				assert.Equal(t, load.ForAirRemovalTest, r.Cycle.Purpose, "no load")
			}},
		{"a program for something else", func(c *load.Catalogue, r *load.Record) {
			c.Sterilizers[0].Programs[0].Purpose, r.Cycle.Purpose = load.ForLeakTest, load.ForLoad
		}, []string{"/cycle/purpose"}, func(t *testing.T, r *load.Record) {
			assert.Equal(t, load.ForLeakTest, r.Cycle.Purpose, "no load")
		}},
		{"a shorter lumen than the type has", func(c *load.Catalogue, r *load.Record) {
			c.Items[0].HasLumens, c.Items[0].Lumens = 0, []packaging.Lumen{lumen(2, 1500)}
			listed(r, func(it *packaging.Item) { it.Lumens = []packaging.Lumen{lumen(2, 20)} })
		}, []string{"/packs/0/items/0/lumens"}, func(t *testing.T, r *load.Record) {
			assert.Equal(t, []packaging.Lumen{lumen(2, 20), lumen(2, 1500)}, r.Packs[0].Items[0].Lumens, "both count")
		}},
		{"the lumen of the type", func(c *load.Catalogue, r *load.Record) {
			c.Items[0].HasLumens, c.Items[0].Lumens = 0, []packaging.Lumen{lumen(2, 1500)}
			listed(r, func(it *packaging.Item) { it.Lumens = []packaging.Lumen{lumen(2, 1500)} })
		}, nil, func(t *testing.T, r *load.Record) { assert.Len(t, r.Packs[0].Items[0].Lumens, 1) }},
		{"none, where the type has some", func(c *load.Catalogue, r *load.Record) {
			c.Items[0].HasLumens = moistheat.Yes
			listed(r, func(it *packaging.Item) { it.HasLumens = moistheat.No })
		}, []string{"/packs/0/items/0/hasLumens"}, nil},
		{"some, where the type has none", func(_ *load.Catalogue, r *load.Record) {
			listed(r, func(it *packaging.Item) { it.Lumens = []packaging.Lumen{lumen(2, 1500)} })
		}, []string{"/packs/0/items/0/lumens"}, func(t *testing.T, r *load.Record) {
			assert.Len(t, r.Packs[0].Items[0].Lumens, 1, "the more counts")
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, r := clinic(t)
			tt.change(c, r)
			p := named(t, "en-13060")
			resolved := facts(t, c).Resolve(r, p)
			assert.Equal(t, tt.at, found(load.Check(resolved, p), contradicted))
			if tt.check != nil {
				tt.check(t, resolved)
			}
		})
	}
}

// No habit says anything of what only this load can show: whether its packs are dry and intact,
// what its indicators and its cycle showed, which load it is, and who released it.
func TestHabitsSayNothingOfTheLoad(t *testing.T) {
	c, r := clinic(t)
	bare := *r
	bare.AllPacks, bare.Release, bare.Monitors, bare.Cycle = nil, nil, load.Monitors{}, nil
	for i := range bare.Packs { // what a pack and its label say at all has a place
		bare.Packs[i].Label = &packaging.Label{}
	}
	got := facts(t, c).Resolve(&bare, named(t, "us-cdc-2003"))
	assert.Nil(t, got.Cycle)
	assert.Nil(t, got.Release)
	assert.Equal(t, load.Monitors{}, got.Monitors)
	assert.Equal(t, bare.Load, got.Load)
	for i := range got.Packs {
		p := &got.Packs[i]
		assert.Equal(t, load.PackCondition{}, p.Condition)
		assert.Equal(t, moistheat.NotRecorded, p.Seal.Intact)
		for _, n := range p.Indicators {
			assert.Empty(t, n.Result)
		}
		assert.Equal(t, packaging.Label{On: "margin", FastInk: moistheat.Yes, Before: moistheat.Yes}, *p.Label)
	}
	// That packs cooled before they were touched, or stood on edge, is not that they are dry.
	p := named(t, "us-cdc-2003")
	wet := *r
	all := *r.AllPacks
	all.Condition = load.PackCondition{}
	wet.AllPacks = &all
	report := load.Check(facts(t, c).Resolve(&wet, p), p)
	assert.False(t, report.Released())
	for _, rule := range []string{"load.pack.wet", "load.pack.damaged", "load.pack.dropped"} {
		o, _ := outcomeOf(report, rule)
		assert.Equal(t, moistheat.Undetermined, o, rule)
	}
}
