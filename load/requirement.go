package load

import (
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// requirement chooses the time-temperature pair that everything in the load needs:
// for each class of load the first table of the policy with a matching row, else the
// instructions of all its items, and of those the longest. A class without a pair counts
// before any that has one. What is asked beside the pair are the limits of the policy.
func (c *checker) requirement() cycle.Limits {
	l, set, known := c.p.cycleLimits(), c.r.Cycle.Settings, true
	_, typed := c.p.Rule(book.Name(fitUndeclared)) // the type of the cycle says how the air is removed
	typed = typed && c.r.Cycle.Type != ""
	shorter := cycle.Requirement{} // where the time set is not on record: by the mildest table of each class
	for _, class := range c.classes() {
		req := c.p.lookup(set, class)
		if !set.Hold.IsValid() {
			if mild := c.p.mildest(set, class); mild.Hold.Compare(shorter.Hold) > 0 {
				shorter = mild
			}
		}
		if set.AirRemoval == "" && !typed { // a table that tells nothing of air removal has not left it open
			req = cycle.Requirement{}
		}
		if c.foreign(req, class) {
			req = cycle.Requirement{}
		}
		if req.Table == "" || req.NotApplicable {
			if own := c.supplied(class); own.Table != "" {
				req = own
			}
		}
		switch old := &l.Requirement; {
		case req.Table == "":
			known, l.Near = false, append(l.Near, c.p.near(set, class)...)
		case old.NotApplicable:
		case req.NotApplicable || old.Table == "" || req.Hold.Compare(old.Hold) > 0:
			*old = req
		}
	}
	if !known {
		l.Requirement = cycle.Requirement{}
	}
	if shorter.Hold.Compare(l.Requirement.Hold) < 0 {
		l.Shorter = shorter
	}
	return l
}

// foreign reports whether a row is one for packed instruments or utensils and the packs of that
// class hold porous items, which it does not describe: its table asks for a longer time of
// textiles, and the cycle was set to less.
func (c *checker) foreign(row cycle.Requirement, class cycle.LoadClass) bool {
	set := c.r.Cycle.Settings
	held := set.Hold
	set.Hold = units.New(1, 0, units.Day) // what the row asks, not whether the time set is enough
	cloth := c.p.lookup(set, cycle.TextilePacks)
	porous := func(p Pack) bool { return classOf(&p.Pack) == class && p.Porous() == moistheat.Yes }
	return (class == cycle.WrappedInstruments || class == cycle.WrappedUtensils) &&
		row.Hold.Compare(cloth.Hold) < 0 && held.Compare(cloth.Hold) < 0 && slices.ContainsFunc(c.r.Packs, porous)
}

// supplied returns the pair that the instructions of all items of a class name, where
// each names the air removal that ran, a temperature and a time that the cycle was set
// to at least: the longest time, the highest temperature and the longest drying of any.
func (c *checker) supplied(class cycle.LoadClass) (req cycle.Requirement) {
	set := c.r.Cycle.Settings
	var of []string // the items, each once
	named := map[string]bool{}
	for i := range c.r.Packs {
		p := &c.r.Packs[i].Pack
		if classOf(p) != class {
			continue
		}
		if len(p.Items) == 0 {
			return cycle.Requirement{}
		}
		for j := range p.Items {
			in := p.Items[j].Instructions
			if !names(in, set) {
				return cycle.Requirement{}
			}
			if in.MinTemperature.Compare(req.Temperature) > 0 {
				req.Temperature = in.MinTemperature
			}
			if in.Hold.Compare(req.Hold) > 0 {
				req.Hold = in.Hold
			}
			if in.Drying.Compare(req.DryingMin) > 0 {
				req.DryingMin = in.Drying
			}
			if n := p.Items[j].Name; !named[n] {
				if named[n] = true; len(of) < mostNamed {
					of = append(of, n)
				}
			}
		}
	}
	req.Table, req.Row, req.AirRemoval, req.Class = "instructions", "items", set.AirRemoval, class
	if more := len(named) - len(of); more > 0 {
		of = append(of, "and "+prose.Plural(more, "other"))
	}
	req.Source = moistheat.Source{Document: "instructions for use of " + strings.Join(of, ", "), Basis: moistheat.Facility}
	return req
}

// mostNamed is how many items a source names.
const mostNamed = 8

// names reports whether instructions name the process that a cycle was set to.
func names(in *packaging.Instructions, set cycle.Settings) bool {
	return in != nil && slices.Contains(in.AirRemoval, set.AirRemoval) &&
		in.MinTemperature.IsValid() && in.Hold.IsValid() && set.Temperature.IsValid() && set.Hold.IsValid() &&
		in.MinTemperature.Compare(set.Temperature) <= 0 && in.Hold.Compare(set.Hold) <= 0 &&
		(!in.MaxTemperature.IsValid() || set.Temperature.Compare(in.MaxTemperature) <= 0)
}

// classOf returns the class of load that a pack is of.
func classOf(p *packaging.Pack) cycle.LoadClass {
	switch {
	case p.Packed() && slices.ContainsFunc(p.Items, ofCloth):
		return cycle.TextilePacks
	case p.Has(packaging.Textile) == moistheat.Yes || p.Barrier == packaging.TextileWrap && p.Porous() == moistheat.Yes:
		return cycle.TextilePacks
	case p.Packed() && p.Has(packaging.Hollowware) == moistheat.Yes:
		return cycle.WrappedUtensils
	case p.Packed():
		return cycle.WrappedInstruments
	case p.Porous() != moistheat.No || p.MayBeHollow():
		return cycle.UnwrappedMixed
	}
	return cycle.UnwrappedNonporous
}

// ofCloth reports whether an item is made of cloth, whatever its traits say.
func ofCloth(it packaging.Item) bool { return slices.Contains(it.Materials, packaging.Cloth) }

// classes returns the classes of items in the load, each once, in a fixed order.
func (c *checker) classes() (out []cycle.LoadClass) {
	for _, class := range [...]cycle.LoadClass{cycle.UnwrappedNonporous, cycle.UnwrappedMixed, cycle.WrappedInstruments,
		cycle.WrappedUtensils, cycle.TextilePacks} {
		if slices.ContainsFunc(c.r.Packs, func(p Pack) bool { return classOf(&p.Pack) == class }) {
			out = append(out, class)
		}
	}
	return out
}
