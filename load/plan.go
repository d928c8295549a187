package load

import (
	"fmt"
	"math"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// CycleOption is a sort of cycle and what the load asks of it: every temperature from
// Temperature up to MaxTemperature, every hold from Hold and every drying from Drying up.
type CycleOption struct {
	AirRemoval     moistheat.AirRemoval `json:"airRemoval"`
	Type           CycleType            `json:"type,omitzero"` // only under a policy that asks for it
	Temperature    units.Temperature    `json:"temperature"`
	MaxTemperature units.Temperature    `json:"maxTemperature,omitzero"` // what the least heat-proof item stands; invalid: nobody states one

	Hold   Demand `json:"hold,omitzero"`
	Drying Demand `json:"drying,omitzero"`
	// Condensate is the water that drying must remove: what steam leaves on steel of
	// the load's mass that comes in at 20 °C. It is invalid where a mass is not
	// recorded, and for loads with cloth or other porous items, which take up more.
	Condensate units.Mass `json:"condensate,omitzero"`

	// Objections are the findings that rule the choice out or leave it open, each with
	// the pack or item that it is about. Without one, such a cycle can take the load.
	Objections []moistheat.Finding `json:"objections,omitempty"`
}

// Demand is the shortest time that something asks for, and what asks for it. It is
// invalid where nothing does.
type Demand struct {
	MinTime units.Duration   `json:"minTime"`
	Pointer string           `json:"pointer,omitempty"` // of an item's instructions; "" is the load as a whole
	Table   string           `json:"table,omitempty"`   // table and row, where one decides
	Source  moistheat.Source `json:"source,omitzero"`
}

// Suits reports whether such a cycle can take the load.
func (c *CycleOption) Suits() bool { return c != nil && len(c.Objections) == 0 }

// ways are the sorts of cycle that a load can be planned for.
var ways = [...]struct {
	air moistheat.AirRemoval
	typ CycleType
}{
	{moistheat.GravityDisplacement, TypeN},
	{moistheat.GravityDisplacement, TypeS},
	{moistheat.SteamFlushPressurePulse, TypeS},
	{moistheat.DynamicAirRemoval, TypeS},
	{moistheat.DynamicAirRemoval, TypeB},
}

// CycleOptions says which cycles can take a load under a policy, and what rules the
// others out, before one is chosen. It looks at every air removal and every
// temperature that the policy's tables state, and at the one that the item asks for which
// asks for the most, from easy to demanding and from cool to hot. Only the packs and the sterilizer's
// declaration count; a cycle in the record does not.
//
// Hold and drying are the longest that a table or an item's instructions ask for.
// A cycle overshoots the temperature it is set to, by as much as its band: MaxTemperature is
// for the hottest point and not for the setting.
func CycleOptions(r *Record, p *Policy) []CycleOption {
	if r == nil || p == nil {
		return nil
	}
	r, p = r.spread(), p.On(r.Load.Date)
	most := mostHeat(r)
	var out []CycleOption
	_, typed := p.Rule(book.Name(fitUndeclared))
	for i, w := range ways {
		if !typed {
			if i > 0 && ways[i-1].air == w.air {
				continue
			}
			w.typ = ""
		}
		for _, t := range temperatures(r, p, w.air) {
			c := CycleOption{AirRemoval: w.air, Type: w.typ, Temperature: t, MaxTemperature: most, Condensate: condensate(r, t)}
			set := cycle.Settings{AirRemoval: w.air, Temperature: t}
			c.Hold, c.Drying, _ = demands(r, p, set)
			set.Hold, set.Drying = c.Hold.MinTime, c.Drying.MinTime
			if all := CycleObjections(r, p, set, w.typ); len(all) > 0 {
				c.Objections = all
			}
			out = append(out, c)
		}
	}
	return out
}

// CycleObjections returns what stands against running a load in a cycle: each broken or
// undetermined rule of fit in force, with the pack or item that it is about. The
// settings are taken as if the cycle kept them exactly. Nothing returned means that
// such a cycle can take the load as it is packed. A nil record or policy gives a
// finding that nothing could be judged.
func CycleObjections(r *Record, p *Policy, set cycle.Settings, typ CycleType) []moistheat.Finding {
	if r == nil || p == nil || p.rules == nil {
		l := book.List(nil)
		l.Ask(internalFailure, "").Say("error", lang.Say("no-record-or-policy: there is no record or no policy"))
		return l.Findings
	}
	planned := *r.spread()
	planned.Cycle = &Cycle{Type: typ, Evidence: cycle.Evidence{
		Settings: set,
		Printed:  cycle.Printed{HoldTime: set.Hold, MaximumTemperature: set.Temperature, DryingTime: set.Drying},
	}}
	c := newChecker(&planned, p.On(r.Load.Date))
	c.least = moistheat.Undetermined
	c.invalid(r)
	c.Ask(contentsMissing, "/packs").BrokenIf(len(r.Packs) == 0)
	c.Ask(fitUndeclared, "").Known(typ != "")
	c.setTimes(set)
	if c.tableDrying().MinTime.IsValid() {
		c.drying()
	}
	c.keep("")
	for i := range planned.Packs {
		p := &planned.Packs[i]
		c.fit(p)
		c.keep(packAt(i))
		for j := range p.Items {
			c.fitItem(&p.Items[j])
			c.keep(itemAt(i, j))
		}
	}
	return c.sorted()
}

// keep applies the policy to the findings since the last keep, puts their pointers under
// base and keeps those in force, without a report.
func (c *checker) keep(base string) {
	for _, f := range c.Findings[c.kept:] {
		if c.p.apply(&f) != nil && f.Outcome >= c.least && c.cuts.keeps(&f) {
			f.Pointer = base + f.Pointer
			c.Findings[c.kept] = f
			c.kept++
		}
	}
	c.Findings = c.Findings[:c.kept]
}

// sorted returns the findings that were kept, by pointer and rule.
func (c *checker) sorted() []moistheat.Finding {
	slices.SortStableFunc(c.Findings, moistheat.Finding.Compare)
	c.cuts.state(c.Findings)
	for i := range c.Findings {
		c.r.name(&c.Findings[i])
	}
	return c.Findings
}

// setTimes judges hold and drying as set against what the tables ask for.
func (c *checker) setTimes(set cycle.Settings) {
	add := func(id string) ask.Question {
		rule, _ := c.p.Rule(id)
		return c.AskOther(rule, "/packs")
	}
	hold, drying, req, ok := c.p.demand(c.classes(), set)
	switch {
	case req.NotApplicable:
		add("cycle.requirement.none").Open(moistheat.NoLimit).
			Say("reason", lang.Say("no-such-cycle: the table says that there is no such cycle")).
			Table(req.Table + "#" + req.Row).By(req.Source)
		return
	case !ok:
		add("cycle.requirement.none").Open(moistheat.NoLimit).
			Say("reason", lang.Say("no-table-states-one: no table of the policy states one"))
		return
	}
	for _, d := range []struct {
		rule string
		need Demand
		had  units.Duration
	}{{"cycle.hold.short", hold, set.Hold}, {"cycle.drying.short", drying, set.Drying}} {
		if d.need.MinTime.IsValid() {
			ask.AtLeast(add(d.rule), d.had, d.need.MinTime).Say("what", lang.Say("holding-time: Holding time")).
				Say("reason", lang.Say("not-set: it is not set")).Table(d.need.Table).By(d.need.Source)
		}
	}
}

// demand returns what the policy's tables ask of a setting for classes of load: the
// longest hold and the longest drying of any. req is the row that decided the hold,
// or one that says that there is no such cycle.
func (p *Policy) demand(classes []cycle.LoadClass, set cycle.Settings) (hold, drying Demand, req cycle.Requirement, ok bool) {
	set.Hold = units.New(1, 0, units.Day) // asked is what the row needs, not whether the time set is enough
	for _, class := range classes {
		row := p.lookup(set, class)
		if row.Table == "" || row.NotApplicable {
			return Demand{}, Demand{}, row, false
		}
		at := Demand{Table: row.Table + "#" + row.Row, Source: row.Source}
		if row.Hold.Compare(hold.MinTime) > 0 {
			hold, req = at, row
			hold.MinTime = row.Hold
		}
		if row.DryingMin.Compare(drying.MinTime) > 0 {
			drying = at
			drying.MinTime = row.DryingMin
		}
	}
	return hold, drying, req, hold.MinTime.IsValid()
}

// demands returns what tables and items ask of a setting. own reports whether the
// sterilizer's own table says how long to dry, if less long than another.
func demands(r *Record, p *Policy, set cycle.Settings) (hold, drying Demand, own bool) {
	planned := *r.spread()
	planned.Cycle = &Cycle{Evidence: cycle.Evidence{Settings: set}}
	c := &checker{List: book.List(nil), r: &planned, p: p}
	hold, drying, _, _ = p.demand(c.classes(), set)
	d := c.tableDrying()
	if own = d.MinTime.IsValid(); d.MinTime.Compare(drying.MinTime) > 0 {
		drying = d
	}
	eachItem(r, func(it *packaging.Item, pointer func() string) {
		in := it.Instructions
		if in == nil {
			return
		}
		asked := func(d *Demand, t units.Duration) {
			if t.Compare(d.MinTime) > 0 {
				*d = Demand{MinTime: t, Pointer: pointer() + "/instructions",
					Source: moistheat.Source{Document: "instructions for " + it.Name, Basis: moistheat.Facility}}
			}
		}
		asked(&hold, in.Hold)
		asked(&drying, in.Drying)
	})
	return hold, drying, own
}

// condensate returns what steam of a temperature leaves on a load of steel.
func condensate(r *Record, t units.Temperature) units.Mass {
	for i := range r.Packs {
		if r.Packs[i].Porous() != moistheat.No {
			return units.Mass{}
		}
	}
	masses, lacks := (&checker{List: book.List(nil), r: r}).masses()
	sum, ok := units.Sum(masses)
	if lacks.IsValid() || !ok {
		return units.Mass{}
	}
	m, _ := Condensate(sum, units.New(20, 0, units.Celsius), t)
	return m
}

func eachItem(r *Record, f func(it *packaging.Item, pointer func() string)) {
	for i := range r.Packs {
		for j := range r.Packs[i].Items {
			f(&r.Packs[i].Items[j], func() string { return itemAt(i, j) })
		}
	}
}

// mostHeat returns the highest temperature that every item of the load stands, as
// far as instructions state one.
func mostHeat(r *Record) (most units.Temperature) {
	eachItem(r, func(it *packaging.Item, _ func() string) {
		if in := it.Instructions; in != nil && in.MaxTemperature.IsValid() && (!most.IsValid() || in.MaxTemperature.Compare(most) < 0) {
			most = in.MaxTemperature
		}
	})
	return most
}

// temperatures returns the temperatures to consider for an air removal, from cool to
// hot: those of the policy's tables and the hottest that an item asks for at least. What
// other items ask for at least is too cool for that one.
func temperatures(r *Record, p *Policy, air moistheat.AirRemoval) []units.Temperature {
	var out []units.Temperature
	for _, t := range p.tables {
		if !t.InForce(p.day) {
			continue
		}
		for _, row := range t.Rows() {
			if row.AirRemoval == "" || row.AirRemoval == air {
				out = append(out, row.Temperatures[0])
			}
		}
	}
	if len(out) == 0 { // the tables know no such cycle, at any temperature
		return nil
	}
	var hottest units.Temperature
	eachItem(r, func(it *packaging.Item, _ func() string) {
		if in := it.Instructions; in != nil && in.MinTemperature.Compare(hottest) > 0 {
			hottest = in.MinTemperature
		}
	})
	if hottest.IsValid() {
		out = append(out, hottest)
	}
	slices.SortStableFunc(out, units.Temperature.Compare)
	return slices.CompactFunc(out, func(a, b units.Temperature) bool { return a.Compare(b) == 0 })
}

// CheckPacking asks what can be asked before a cycle is run: how the packs are made
// and how they lie in the chamber, and whether they are too heavy. It returns the
// findings in force that are met, undetermined or broken, by pointer and rule. It is
// for the packing bench; [Check] asks all of it again.
func CheckPacking(r *Record, p *Policy) []moistheat.Finding {
	if r == nil || p == nil || p.rules == nil {
		return CycleObjections(r, p, cycle.Settings{}, "")
	}
	planned := *r.spread()
	planned.Cycle = nil
	c := newChecker(&planned, p.On(r.Load.Date))
	c.least, c.lay = moistheat.Met, newLayout(&planned)
	c.invalid(r)
	c.keep("")
	for i := range planned.Packs {
		pack := &planned.Packs[i]
		c.packing(i, c.keep)
		c.arrangement(i)
		c.enclosed(pack)
		c.keep(packAt(i))
		for j := range pack.Items {
			c.tubing(&pack.Items[j])
			c.keep(itemAt(i, j))
		}
	}
	c.Ask(contentsMissing, "/packs").BrokenIf(len(r.Packs) == 0)
	c.Ask(arrangementMixed, "/packs").BrokenIf(c.wrapped && c.unwrapped)
	c.capacity()
	c.keep("")
	return c.sorted()
}

const errCondensate = "load: condensate is for a positive mass of steel that steam of 100 to 150 °C warms: %w"

// Condensate returns the mass of water that steam leaves on steel which it warms:
// the heat that the steel takes up over the latent heat of saturated steam at the
// temperature reached. It is rounded to a gram. Steel at room temperature leaves
// about 26 g for each kilogram, all of which drying must remove again.
func Condensate(steel units.Mass, from, to units.Temperature) (units.Mass, error) {
	fig := figures().Condensate
	kg, low, high := steel.Float64(units.Kilogram), from.Float64(units.Celsius), to.Float64(units.Celsius)
	last := len(fig.LatentCelsius) - 1
	if !(kg > 0) || !(low < high) || high < fig.LatentCelsius[0] || high > fig.LatentCelsius[last] {
		return units.Mass{}, fmt.Errorf(errCondensate, moistheat.ErrRange)
	}
	i := min(last-1, int((high-fig.LatentCelsius[0])/(fig.LatentCelsius[1]-fig.LatentCelsius[0])))
	share := (high - fig.LatentCelsius[i]) / (fig.LatentCelsius[i+1] - fig.LatentCelsius[i])
	latent := fig.LatentKJPerKg[i] + share*(fig.LatentKJPerKg[i+1]-fig.LatentKJPerKg[i])
	grams := kg * fig.SteelKJPerKgKelvin[0] * (high - low) / latent * 1000
	m := units.FromFloat64(math.RoundToEven(grams), 0, units.Gram)
	if !m.IsValid() {
		return units.Mass{}, fmt.Errorf(errCondensate, moistheat.ErrRange)
	}
	return m, nil
}
