package load

import (
	"cmp"
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// fit judges whether the cycle that ran can sterilize what is in a pack. Where there is
// no record of a cycle, that alone rejects the load.
func (c *checker) fit(p *Pack) {
	c.enclosed(p)
	if c.r.Cycle == nil {
		return
	}
	if p.Packed() {
		c.Ask(fitPacked, "").Yes(c.carriesPack(p))
	}
	c.container(p)
	c.bare = c.bareTime(p)
}

// bareTime is the row by which a load of bare items ran.
type bareTime struct {
	row, mixed cycle.Requirement // as the items count for nonporous, and as they would for mixed ones
	bare       bool
	short      bool // the time held is below what mixed items need
	covers     bool // the time held is that of a row for mixed items
}

// bareTime returns the row by which a bare pack ran, and whether its time counts for
// nonporous items only: where it is less than its table asks for mixed ones.
func (c *checker) bareTime(p *Pack) (t bareTime) {
	if t.bare = !p.Packed(); !t.bare {
		return t
	}
	set := c.r.Cycle.Settings
	t.row = c.p.lookup(set, cycle.UnwrappedNonporous)
	set.Hold = units.New(1, 0, units.Day) // what the row asks, not whether the time set is enough
	t.mixed = c.p.lookup(set, cycle.UnwrappedMixed)
	apart := t.row.Table != "" && t.row.String() != t.mixed.String()
	enough := t.mixed.Hold.IsValid() && c.held().Compare(t.mixed.Hold) >= 0
	t.short, t.covers = apart && !enough && classOf(&p.Pack) == cycle.UnwrappedNonporous, apart && enough
	return t
}

// fitItem judges whether the cycle that ran can sterilize an item of the pack that fit
// judged last.
func (c *checker) fitItem(it *packaging.Item) {
	if c.r.Cycle == nil {
		return
	}
	c.nonporous(it)
	c.lumens(it)
	porous := it.Has(packaging.Porous) == moistheat.Yes || it.Has(packaging.Textile) == moistheat.Yes ||
		ofCloth(*it) || slices.Contains(it.Materials, packaging.Paper)
	may := c.carries(DeclaredPorous)
	q := c.Ask(fitPorous, "").When(porous || may == moistheat.No && c.elastic(it)).With("item", it.Name)
	if !porous {
		q.At(under("", "/materials", len(it.Materials) > 0)).Open(moistheat.Unrecorded)
	}
	q.Yes(may)
	c.instructions(it)
}

// elastic reports whether an item ran bare that is of rubber, or may be, by a row and
// instructions that say nothing of that.
func (c *checker) elastic(it *packaging.Item) bool {
	may := len(it.Materials) == 0 || slices.Contains(it.Materials, packaging.OtherMaterial) ||
		slices.Contains(it.Materials, packaging.Rubber)
	return may && c.bare.bare && !c.bare.short && !c.bare.covers && !names(it.Instructions, c.r.Cycle.Settings)
}

// nonporous asks what a bare item is made of that ran by a time for nonporous ones.
func (c *checker) nonporous(it *packaging.Item) {
	q := c.Ask(fitNonporous, "/materials").When(c.bare.short).With("item", it.Name)
	if q.Answered() {
		return
	}
	soft, known := porousMaterial(it)
	q.Table(c.bare.row.String()).By(c.bare.row.Source).BrokenWhen(soft != "").Known(known).
		Detail("material", soft).Explain("needs", cmp.Or(lang.Data(c.bare.mixed.Hold.String()),
		lang.Say("needs-another-cycle: another cycle")))
}

// porousMaterial names what an item is made of that is not nonporous, as tables of bare
// items mean it, and says whether all of its materials are known.
func porousMaterial(it *packaging.Item) (soft string, known bool) {
	known = len(it.Materials) > 0
	for _, m := range it.Materials {
		switch m {
		case packaging.Plastic, packaging.Rubber, packaging.Cloth, packaging.Paper:
			return string(m), true
		case packaging.OtherMaterial:
			known = false
		}
	}
	return "", known
}

// textile asks for the word of a textile's manufacturer: cloth that was never made for steam
// holds air and water.
func (c *checker) textile(it *packaging.Item) {
	q := c.Ask(textileUnconfirmed, "").When(c.r.Cycle != nil && it.Has(packaging.Textile) == moistheat.Yes).With("item",
		it.Name)
	if q.Answered() {
		return
	}
	air := c.r.Cycle.Settings.AirRemoval
	if it.Instructions == nil || len(it.Instructions.AirRemoval) == 0 || air == "" {
		q.Open(moistheat.Unrecorded)
		return
	}
	q.At("/instructions/airRemoval").BrokenIf(!slices.Contains(it.Instructions.AirRemoval, air))
}

// suitability says whether the cycle is one for packs of this sort: the worst outcome of the
// rules of fit that are in force and not waived, among the findings since the last fold,
// which are relative to base. What one item's manufacturer asks for says nothing about the load.
func (c *checker) suitability(base string) moistheat.Outcome {
	worst := moistheat.Met
	for i := c.kept; i < len(c.Findings); i++ {
		f := &c.Findings[i]
		if f.Outcome <= worst {
			continue
		}
		id, _ := book.ID(f.Rule)
		if _, inForce := c.p.Rule(f.Rule); inForce && slices.Contains(ofSort[:], id) && c.out.waivers.of(f, base) == nil {
			worst = f.Outcome
		}
	}
	return worst
}

// ofSort are the rules of fit that are about a sort of pack.
var ofSort = [...]ask.ID{fitPacked, fitNarrow, fitWide, fitPorous, fitContainer}

// sterilizerTypes judges the sterilizer by the cycles that it offers, and what a message
// between programs calls the cycle.
func (c *checker) sterilizerTypes() {
	cy, offers := c.r.Cycle, c.r.Sterilizer.CycleTypes
	if cy != nil && cy.Type == TypeB {
		c.Ask(sterilizerLimited, "/cycle/type").Met()
	} else {
		c.Ask(sterilizerLimited, under("/sterilizer", "/cycleTypes", len(offers) > 0)).
			OpenWhen(len(offers) == 0, moistheat.Unrecorded).BrokenIf(!slices.Contains(offers, TypeB))
	}
	if cy == nil || cy.Code == "" || len(c.r.Packs) == 0 {
		return
	}
	doubt := slices.ContainsFunc(c.r.Packs, func(p Pack) bool { return p.Barrier == "" && p.Inside == "" })
	contents := lang.Say("unpacked-items: unpacked items")
	if c.wrapped {
		contents = lang.Say("packed-items: packed items")
	}
	q := c.Ask(codeMismatch, "/cycle/code").With("code", string(cy.Code)).Say("contents", contents)
	if doubt && !c.wrapped && (cy.Code == CodeEXP || cy.Code == CodeFLS) {
		q.At("/packs").Open(moistheat.Unrecorded)
		return
	}
	q.BrokenIf(cy.Code == CodeEXP && !c.wrapped || cy.Code == CodeFLS && c.wrapped)
}

// purpose returns what a code says that the cycle is meant for, 0 where that is for
// items.
func (c CycleCode) purpose() Purpose {
	switch c {
	case CodeLQD:
		return ForLiquids
	case CodeDRT, CodeDRW, CodeBWD:
		return ForAirRemovalTest
	case CodeLKT:
		return ForLeakTest
	}
	return ""
}

// carries says whether the cycle that ran may carry a kind of load: by its type
// where that is recorded, else by how it removed the air.
func (c *checker) carries(k DeclaredLoad) moistheat.Answer {
	cy, declared := c.r.Cycle, c.r.Sterilizer.DeclaredFor
	switch {
	case cy.sinks():
		return moistheat.NotRecorded
	case cy.Type == TypeB && cy.Settings.AirRemoval == "" && k.airy() && !c.drewAir():
		return moistheat.NotRecorded // a letter on a form draws no air out of a tube
	case cy.Type == TypeB:
		return moistheat.Yes
	case cy.Type == TypeN:
		return moistheat.No
	case cy.Type == "" && cy.Settings.AirRemoval == moistheat.GravityDisplacement:
		return moistheat.No
	case cy.Type == "" && cy.Settings.AirRemoval == moistheat.DynamicAirRemoval && len(declared) == 0:
		return moistheat.Yes
	case len(declared) == 0:
		return moistheat.NotRecorded
	case slices.Contains(declared, k):
		return moistheat.Yes
	}
	return moistheat.No
}

// airy reports whether items of this kind hold air that must be drawn out.
func (k DeclaredLoad) airy() bool {
	return k == DeclaredHollowA || k == DeclaredHollowB || k == DeclaredPorous || k == DeclaredSmallPorous
}

// drewAir reports whether the recording shows that air was drawn out before the exposure.
func (c *checker) drewAir() bool {
	return slices.ContainsFunc(c.analysis.Profile.Pulses, func(p cycle.Pulse) bool { return p.Vacuum })
}

// sinks reports whether the air was left to sink out in a cycle that is called one of type
// B, which draws it out: what the cycle is, is then not known.
func (cy *Cycle) sinks() bool {
	return cy.Type == TypeB && cy.Settings.AirRemoval == moistheat.GravityDisplacement
}

// carriesPack says whether the cycle that ran may carry a packed pack. One of which
// nobody recorded whether it is single or double is known to suit only a cycle for
// both.
func (c *checker) carriesPack(p *Pack) moistheat.Answer {
	single, double := c.carries(DeclaredSingleWrapped), c.carries(DeclaredDoubleWrapped)
	switch {
	case p.Layers > 1 || p.Double != nil:
		return double
	case p.Layers == 1 || single == double || p.Barrier == packaging.RigidContainer || p.Barrier == packaging.Unwrapped:
		return single
	}
	return moistheat.NotRecorded
}

// runs names the cycle for a message.
func (c *checker) runs() moistheat.Detail {
	cy := c.r.Cycle
	how := lang.Say("air-unrecorded: air removal that is not recorded")
	if cy.Settings.AirRemoval != "" {
		how = ask.AirRemoval(cy.Settings.AirRemoval)
	}
	if cy.Type != "" {
		how = lang.With("air-of-type: {1:text} of type {2}", how, lang.Data(string(cy.Type)))
	}
	return how
}

func (c *checker) container(p *Pack) {
	air, own := c.r.Cycle.Settings.AirRemoval, p.AirRemoval
	q := c.Ask(fitContainer, "").When(p.Barrier == packaging.RigidContainer).Say("cycle", c.runs())
	if len(own) == 0 { // every container lets steam in where the air is pumped out
		q.OpenWhen(air == "" || air == moistheat.SteamFlushPressurePulse, moistheat.Unrecorded).
			BrokenIf(air == moistheat.GravityDisplacement)
		return
	}
	q.OpenWhen(air == "", moistheat.Unrecorded).BrokenIf(!slices.Contains(own, air))
}

func (c *checker) enclosed(p *Pack) {
	i, known := c.index[p.Inside]
	c.Ask(pouchEnclosed, "/inside").When(p.Barrier == packaging.PaperFilmPouch && p.Inside != "").With("container",
		p.Inside).
		OpenWhen(!known, moistheat.Unrecorded).BrokenIf(known && c.r.Packs[i].Barrier == packaging.RigidContainer)
}

// lumens judges the hardest lumen of one item. A lumen whose size nobody measured
// counts as long and narrow, and so does a powered item without a described lumen.
func (c *checker) lumens(it *packaging.Item) {
	class, known := it.HardestLumen()
	hollow := len(it.Lumens) > 0 || it.Has(packaging.Hollow) == moistheat.Yes || it.Has(packaging.Powered) == moistheat.Yes
	described := hollow || it.Has(packaging.Hollow) == moistheat.No
	set := c.r.Cycle.Settings
	byName := it.Instructions != nil && slices.Contains(it.Instructions.AirRemoval, set.AirRemoval)
	size := lang.Data(class.String())
	if !known {
		size = lang.Say("lumen-unmeasured: {1:packaging.LumenClass}, size not recorded", class.String())
	}
	narrow, may := class == packaging.HollowA, c.carries(DeclaredHollowA)
	q := c.Ask(fitNarrow, "").When(narrow && (described || may != moistheat.Yes)).With("item", it.Name)
	if !described {
		q.Say("why", lang.Say("lumen-unrecorded: it is not recorded whether it has a lumen, and this cycle may not "+
			"reach one")).Open(moistheat.Unrecorded)
	} else if !q.Answered() {
		// The manufacturer's word for this item and process comes first.
		word := c.r.Cycle.Type == "" && names(it.Instructions, set) // a type says itself what it is declared for
		c.Ask(fitStudy, "").When(word).With("item", it.Name).Say("class", size).Say("cycle", c.runs()).Yes(may)
		if may == moistheat.NotRecorded && byName || word {
			may = moistheat.Yes
		}
		q.Say("class", size).Say("cycle", c.runs()).
			Say("why", lang.With("lumen-reach-unrecorded: it is not recorded whether the cycle can reach its lumen "+
				"({1:packaging.LumenClass})", size)).Yes(may)
	}
	if class == packaging.HollowB {
		c.Ask(fitWide, "").With("item", it.Name).Say("class", size).Say("cycle", c.runs()).
			Yes(c.carries(DeclaredHollowB))
	} else {
		c.Ask(fitWide, "").When(false)
	}
	c.Ask(fitBeyond, "").When(class == packaging.BeyondHollowA).With("item", it.Name).BrokenIf(!byName)
}

// demanded is one thing that an item's manufacturer asks of a cycle, in words, and what the
// record shows of it.
type demanded struct {
	asked, had    moistheat.Detail
	known, broken bool
}

// atLeast is a demand for no less than a limit, in the words of its kind.
func atLeast[U units.Unit](kind lang.Text, asked, had units.Quantity[U]) demanded {
	return demanded{lang.Say(kind, asked.String()), lang.Data(had.String()), had.IsValid(), had.IsValid() &&
		had.Compare(asked) < 0}
}

// instructions compares the cycle with what an item's manufacturer asks for. What is broken
// counts before what the record does not show.
func (c *checker) instructions(it *packaging.Item) {
	in := it.Instructions
	q := c.Ask(fitInstructions, "/instructions").When(in != nil)
	if in == nil {
		return
	}
	q.With("item", it.Name)
	var open []moistheat.Detail
	for _, d := range c.demanded(in) {
		if d.broken {
			q.Say("asked", d.asked).Say("had", d.had).Broken()
			return
		}
		if !d.known {
			open = append(open, d.asked)
		}
	}
	q.Say("asked", lang.Join(", ", open...)).Known(open == nil)
}

// demanded lists what instructions ask of the cycle.
func (c *checker) demanded(in *packaging.Instructions) (out []demanded) {
	set, printed := c.r.Cycle.Settings, c.r.Cycle.Printed
	if len(in.AirRemoval) > 0 {
		names := ask.AirRemoval(in.AirRemoval[0])
		for _, a := range in.AirRemoval[1:] {
			names = lang.With("either-of: {1:text} or {2:text}", names, ask.AirRemoval(a))
		}
		out = append(out, demanded{names, ask.AirRemoval(set.AirRemoval), set.AirRemoval != "",
			set.AirRemoval != "" && !slices.Contains(in.AirRemoval, set.AirRemoval)})
	}
	if in.MinTemperature.IsValid() {
		out = append(out, atLeast("asks-at-least: at least {1:number}", in.MinTemperature, set.Temperature))
	}
	if in.MaxTemperature.IsValid() {
		hottest, seen := set.Temperature, false // what was set does not show what the items met
		for _, t := range [...]units.Temperature{c.analysis.Hottest.Temperature, printed.MaximumTemperature} {
			seen = seen || t.IsValid()
			if t.Compare(hottest) > 0 {
				hottest = t
			}
		}
		out = append(out, demanded{lang.Say("asks-at-most: at most {1:number}", in.MaxTemperature.String()),
			lang.Data(hottest.String()), seen, hottest.IsValid() && hottest.Compare(in.MaxTemperature) > 0})
	}
	if in.Hold.IsValid() {
		out = append(out, atLeast("asks-holding-time: a holding time of at least {1:number}", in.Hold, c.held()))
	}
	if in.Drying.IsValid() {
		dried := printed.DryingTime
		if !dried.IsValid() {
			dried = set.Drying
		}
		out = append(out, atLeast("asks-drying-time: a drying time of at least {1:number}", in.Drying, dried))
	}
	return out
}

// held returns the hold that the physical record shows: from the trace, else as
// printed.
func (c *checker) held() units.Duration {
	if c.r.Cycle.Trace != nil {
		return c.analysis.Hold
	}
	return c.r.Cycle.Printed.HoldTime
}

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
