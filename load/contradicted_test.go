package load_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// found returns where a rule is broken.
func found(r *load.Report, rule string) (at []string) {
	for _, f := range r.Findings {
		if f.Rule == rule && f.Outcome == moistheat.Broken {
			at = append(at, f.Pointer)
		}
	}
	return at
}

// A person whom the list of the staff does not know that day vouches for nothing; what
// speaks against a pack counts whoever says it.
func TestStatementOfAStranger(t *testing.T) {
	const rule = "load.statement.unknown"
	for _, name := range mainPolicies {
		p := named(t, name)
		c, r := clinic(t)
		assert.Empty(t, found(load.Check(facts(t, c).Resolve(r, p), p), rule))
		r.AllPacks.By = "a visitor"
		report := load.Check(facts(t, c).Resolve(r, p), p)
		assert.Equal(t, []string{"/allPacks/by"}, found(report, rule), name)
		assert.Equal(t, moistheat.Quarantine, report.Verdict.Load, name)
		r.AllPacks.Condition.Dry = moistheat.No
		assert.Equal(t, moistheat.Reject, load.Check(facts(t, c).Resolve(r, p), p).Packs[0].Disposition, name)
		c.Staff = nil
		r.AllPacks.Condition.Dry = moistheat.Yes
		assert.Empty(t, found(load.Check(facts(t, c).Resolve(r, p), p), rule), "there is no list")

		c, r = clinic(t)
		c.Staff[0].Until = r.Load.Date
		assert.False(t, load.Check(facts(t, c).Resolve(r, p), p).Released(), "gone since that day")
	}
}

// A practice that a person signed whom the list of the staff does not know that day is none.
func TestPracticeOfAStranger(t *testing.T) {
	const rule = "load.practice.unsigned"
	for _, name := range mainPolicies {
		p := named(t, name)
		c, r := clinic(t)
		assert.Empty(t, found(load.Check(facts(t, c).Resolve(r, p), p), rule))
		for i := range c.Practices {
			c.Practices[i].By = "a visitor"
		}
		report := load.Check(facts(t, c).Resolve(r, p), p)
		assert.NotEmpty(t, found(report, rule), name)
		assert.Zero(t, report.Catalogue.Members, name)
		without := *c
		without.Practices = nil
		assert.Equal(t, load.Check(facts(t, &without).Resolve(r, p), p).Verdict.Load, report.Verdict.Load, name)
	}
}

// A record that is laxer than the catalogue is said to be, and the worse of the two counts.
func TestLaxerThanTheCatalogue(t *testing.T) {
	const rule = "load.catalogue.contradicted"
	p := named(t, "en-13060")
	check := func(c *load.Catalogue, r *load.Record) (with, written *load.Report) {
		resolved := facts(t, c).Resolve(r, p)
		data, err := json.Marshal(resolved)
		require.NoError(t, err)
		bare, err := load.Decode(data)
		require.NoError(t, err)
		return load.Check(resolved, p), load.Check(bare, p)
	}
	for _, tt := range []struct {
		name   string
		change func(*load.Catalogue, *load.Record)
		at     []string
		broken string // the rule by which the catalogue's value counts
	}{
		{"nothing is", func(*load.Catalogue, *load.Record) {}, nil, ""},
		{"a lot that expired, of a later date in the record", func(c *load.Catalogue, r *load.Record) {
			c.Lots[0].Expires = moistheat.NewDate(2026, 1, 31)
			r.Packs[0].Indicators = []packaging.Indicator{{Place: packaging.Internal, Lot: c.Lots[0].ID,
				Expires: moistheat.NewDate(2027, 1, 31)}}
		}, []string{"/packs/0/indicators/0/expires"}, "packaging.indicator.void"},
		{"a capacity that carries more", func(c *load.Catalogue, r *load.Record) {
			r.Packs[0].Mass, r.Packs[1].Mass, r.Packs[2].Mass = kg(9), kg(9), kg(9)
			r.Sterilizer.Capacity = []load.Capacity{{Mass: kg(100), Authority: load.ByManufacturer}}
		}, []string{"/packs/0/mass", "/packs/1/mass", "/packs/2/mass", "/sterilizer/capacity"}, "load.capacity.over"},
		{"a pack that weighs less than what is in it", func(c *load.Catalogue, r *load.Record) {
			for i := range c.Items {
				c.Items[i].Mass = kg(9)
			}
			for i := range c.Packs {
				c.Packs[i].Tare = kg(1)
			}
			r.Packs[0].Mass = kg(1)
		}, []string{"/packs/0/mass"}, "load.capacity.over"},
		{"instructions that ask for less", func(c *load.Catalogue, r *load.Record) {
			listed(r, func(it *packaging.Item) {
				it.Instructions = &packaging.Instructions{Hold: minutes(1), Drying: minutes(1)}
			})
			c.Items[0].Instructions.Hold = minutes(18)
		}, []string{"/packs/0/items/0/instructions/drying", "/packs/0/items/0/instructions/hold"}, "load.fit.instructions"},
		{"an item that stands no steam", func(c *load.Catalogue, r *load.Record) {
			listed(r, func(it *packaging.Item) { it.HeatTolerant = moistheat.Yes })
			c.Items[0].HeatTolerant = moistheat.No
		}, []string{"/packs/0/items/0/heatTolerant"}, "packaging.heat.intolerant"},
		{"a single-use item", func(c *load.Catalogue, r *load.Record) {
			listed(r, func(it *packaging.Item) { it.Traits = []packaging.Trait{packaging.Sharp} })
			c.Items[0].Traits = []packaging.Trait{packaging.Sharp, packaging.SingleUse}
		}, []string{"/packs/0/items/0/traits"}, "packaging.item.singleuse"},
		{"a class that asks for less", func(c *load.Catalogue, r *load.Record) {
			listed(r, func(it *packaging.Item) { it.Class = packaging.Noncritical })
		}, []string{"/packs/0/items/0/class"}, ""},
		{"packaging that lets no steam in", func(c *load.Catalogue, r *load.Record) {
			c.Packs[0].SteamFit = moistheat.No
			r.Packs[0].SteamFit = moistheat.Yes
		}, []string{"/packs/0/steamFit"}, "packaging.barrier.unfit"},
		{"a cycle that the sterilizer does not have", func(c *load.Catalogue, r *load.Record) {
			c.Sterilizers[0].CycleTypes = []load.CycleType{load.TypeN}
			r.Sterilizer.CycleTypes = []load.CycleType{load.TypeB, load.TypeN}
		}, []string{"/sterilizer/cycleTypes"}, ""},
		{"a seal wider and stronger than the sealer's", func(c *load.Catalogue, r *load.Record) {
			c.Sealers[0].Width, c.Sealers[0].Strength = units.New(4, 0, units.Millimetre), newton(5)
			r.Packs[0].Seal = &packaging.Seal{Sealer: c.Sealers[0].ID, Width: units.New(9, 0, units.Millimetre), Strength: newton(24)}
		}, []string{"/packs/0/seal/strength", "/packs/0/seal/width"}, "packaging.seal.narrow"},
		{"fewer pouches around each other than packs of the type have", func(c *load.Catalogue, r *load.Record) {
			c.Packs[0].Barrier = packaging.PaperFilmPouch
			c.Packs[0].Layers, r.Packs[0].Layers = 3, 1
		}, []string{"/packs/0/layers"}, ""},
		{"a guard that lets no steam in", func(c *load.Catalogue, r *load.Record) {
			listed(r, func(it *packaging.Item) { it.Guarded, it.GuardVented = moistheat.Yes, moistheat.Yes })
			c.Items[0].GuardVented = moistheat.No
		}, []string{"/packs/0/items/0/guardVented"}, "packaging.guard.unvented"},
		{"a lot of another type", func(c *load.Catalogue, r *load.Record) {
			c.Lots[0].Type = 1
			r.Packs[0].Indicators = []packaging.Indicator{{Place: packaging.Internal, Lot: c.Lots[0].ID, Type: 5}}
		}, []string{"/packs/0/indicators/0/type"}, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, r := clinic(t)
			tt.change(c, r)
			with, written := check(c, r)
			assert.Equal(t, tt.at, found(with, rule))
			if tt.broken != "" {
				assert.NotEmpty(t, found(with, tt.broken), "the worse counts")
			}
			assert.Equal(t, with.Verdict.Load, written.Verdict.Load)
			for i := range with.Packs {
				assert.Equal(t, with.Packs[i].Disposition, written.Packs[i].Disposition)
			}
		})
	}
}

// listed lets the first pack list one item of the first type instead of its set.
func listed(r *load.Record, edit func(*packaging.Item)) {
	it := packaging.Item{Name: "nipper", Type: "nipper", Count: 1}
	edit(&it)
	r.Packs[0].Set, r.Packs[0].Items = "", []packaging.Item{it}
}

// newton returns a strength in tenths of a newton for 15 mm.
func newton(tenths int64) units.ForcePerWidth {
	return units.New(tenths, -1, units.NewtonPer15Millimetres)
}

func minutes(n int64) units.Duration { return units.New(n, 0, units.Minute) }

// Whoever is not on the list of the staff that day releases nothing by the word of the record.
func TestReleaseByAStranger(t *testing.T) {
	for _, name := range mainPolicies {
		for _, by := range []string{"a visitor", "c. dorn", "C. Dorn "} {
			p := named(t, name)
			c, r := clinic(t)
			r.Release.By, r.Release.Authorised = by, moistheat.Yes
			assert.False(t, load.Check(facts(t, c).Resolve(r, p), p).Released(), "%s by %q", name, by)
			r.Release.By = c.Staff[0].ID
			assert.True(t, load.Check(facts(t, c).Resolve(r, p), p).Released(), name)
		}
	}
}

func kg(n int64) units.Mass { return units.New(n, 0, units.Kilogram) }

// A load is planned by what is said of all its packs as by what is said of each.
func TestPlanOfAllPacks(t *testing.T) {
	_, r := clinic(t)
	p := named(t, "us-cdc-2003")
	r.AllPacks.Seal.Pierced = moistheat.Yes
	for i := range r.Packs {
		r.Packs[i].Barrier = packaging.PaperFilmPouch
	}
	n := 0
	for _, f := range load.CheckPacking(r, p) {
		if f.Rule == "packaging.closure.pierced" {
			assert.Equal(t, moistheat.Broken, f.Outcome)
			n++
		}
	}
	assert.Equal(t, len(r.Packs), n)
}
