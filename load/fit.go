package load

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// fit judges whether the cycle that ran can sterilize what is in a pack.
func (c *checker) fit(p *Pack) {
	cy := c.r.Cycle
	if cy == nil { // the missing record rejects the load already
		for _, r := range []ask.ID{fitPacked, fitNarrow, fitWide, fitBeyond, fitPorous, fitContainer, fitInstructions} {
			c.Skip(r, "")
		}
		c.enclosed(p)
		return
	}
	if p.Packed() {
		c.Answer(fitPacked, c.carriesPack(p), moistheat.Yes, "")
	} else {
		c.Skip(fitPacked, "")
	}
	c.container(p)
	c.enclosed(p)
	for i := range p.Items {
		it := &p.Items[i]
		at := "/items/" + strconv.Itoa(i)
		c.lumens(it, at)
		c.porous(it, at)
		c.instructions(it, at)
	}
}

// textiles asks for the word of the maker of each textile: cloth that was never made
// for steam holds air and water.
func (c *checker) textiles(p *Pack) {
	for i := range p.Items {
		c.textile(&p.Items[i], "/items/"+strconv.Itoa(i))
	}
}

func (c *checker) textile(it *packaging.Item, at string) {
	if c.r.Cycle == nil || it.Has(packaging.Textile) != moistheat.Yes {
		c.Skip(textileUnconfirmed, at)
		return
	}
	switch air := c.r.Cycle.Settings.AirRemoval; {
	case it.Instructions == nil || it.Instructions.AirRemoval == nil || air == "":
		ask.With(c.Add(textileUnconfirmed, moistheat.Undetermined, at), "item", it.Name)
	default:
		ask.With(c.Add(textileUnconfirmed, ask.If(!slices.Contains(it.Instructions.AirRemoval, air)), at+"/instructions/airRemoval"), "item", it.Name)
	}
}

// suits says whether the cycle is one for packs of this sort: the worst outcome of the
// rules of fit that are in force and not waived, among findings relative to the pack.
// What one item's maker asks for says nothing about the load.
func (c *checker) suits(findings []moistheat.Finding, base string) moistheat.Outcome {
	worst := moistheat.Met
	for i := range findings {
		f := findings[i]
		switch f.Rule {
		case book.Name(fitPacked), book.Name(fitNarrow), book.Name(fitWide), book.Name(fitPorous), book.Name(fitContainer):
		default:
			continue
		}
		if _, inForce := c.p.Rule(f.Rule); !inForce || f.Outcome <= worst {
			continue
		}
		f.Pointer = base + f.Pointer
		if waiver(c.r, &f) == nil {
			worst = f.Outcome
		}
	}
	return worst
}

// unit judges the sterilizer by the cycles that it offers, and what a message between
// programs calls the cycle.
func (c *checker) unit() {
	cy, offers := c.r.Cycle, c.r.Sterilizer.Offers
	switch {
	case cy != nil && cy.Type == TypeB:
		c.Add(sterilizerLimited, moistheat.Met, "/cycle/type")
	case offers != nil:
		c.Add(sterilizerLimited, ask.If(!slices.Contains(offers, TypeB)), "/sterilizer/offers")
	default:
		c.Add(sterilizerLimited, moistheat.Undetermined, "/sterilizer")
	}
	if cy == nil || cy.Code == "" || len(c.r.Packs) == 0 {
		c.Skip(codeMismatch, "")
		return
	}
	doubt := slices.ContainsFunc(c.r.Packs, func(p Pack) bool { return p.Barrier == "" && p.Inside == "" })
	goods := "goods without a pack"
	if c.wrapped {
		goods = "packed goods"
	}
	var f *moistheat.Finding
	switch {
	case doubt && !c.wrapped && (cy.Code == CodeEXP || cy.Code == CodeFLS):
		f = c.Add(codeMismatch, moistheat.Undetermined, "/packs")
	default:
		f = c.Add(codeMismatch, ask.If(cy.Code == CodeEXP && !c.wrapped || cy.Code == CodeFLS && c.wrapped), "/cycle/code")
	}
	ask.With(ask.With(f, "code", string(cy.Code)), "goods", goods)
}

// purpose returns what a code says that the cycle is meant for, 0 where that is for
// goods.
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
func (c *checker) carries(k Carries) moistheat.Answer {
	cy, declared := c.r.Cycle, c.r.Sterilizer.DeclaredFor
	switch cy.Type {
	case TypeB:
		return moistheat.Yes
	case TypeN:
		return moistheat.No
	}
	switch {
	case cy.Type == "" && cy.Settings.AirRemoval == moistheat.GravityDisplacement:
		return moistheat.No
	case cy.Type == "" && cy.Settings.AirRemoval == moistheat.DynamicAirRemoval && declared == nil:
		return moistheat.Yes
	case declared == nil:
		return moistheat.NotRecorded
	case slices.Contains(declared, k):
		return moistheat.Yes
	}
	return moistheat.No
}

// carriesPack says whether the cycle that ran may carry a packed pack. One of which
// nobody recorded whether it is single or double is known to suit only a cycle for
// both.
func (c *checker) carriesPack(p *Pack) moistheat.Answer {
	single, double := c.carries(CarriesSingleWrapped), c.carries(CarriesDoubleWrapped)
	switch {
	case p.Layers > 1 || p.Double != nil:
		return double
	case p.Layers == 1 || single == double || p.Barrier == packaging.RigidContainer || p.Barrier == packaging.Unwrapped:
		return single
	}
	return moistheat.NotRecorded
}

// runs names the cycle for a message.
func (c *checker) runs() string {
	cy := c.r.Cycle
	how := "air removal that is not recorded"
	if cy.Settings.AirRemoval != "" {
		how = strings.ReplaceAll(string(cy.Settings.AirRemoval), "-", " ")
	}
	if cy.Type != "" {
		how += " of type " + string(cy.Type)
	}
	return how
}

func (c *checker) container(p *Pack) {
	if p.Barrier != packaging.RigidContainer {
		c.Skip(fitContainer, "")
		return
	}
	air := c.r.Cycle.Settings.AirRemoval
	var f *moistheat.Finding
	switch {
	case air == "" || p.AirRemoval == nil && air == moistheat.SteamFlushPressurePulse:
		f = c.Add(fitContainer, moistheat.Undetermined, "")
	case p.AirRemoval != nil:
		f = c.Add(fitContainer, ask.If(!slices.Contains(p.AirRemoval, air)), "")
	default:
		f = c.Add(fitContainer, ask.If(air == moistheat.GravityDisplacement), "")
	}
	ask.With(f, "cycle", c.runs())
}

func (c *checker) enclosed(p *Pack) {
	if p.Barrier != packaging.PaperFilmPouch || p.Inside == "" {
		c.Skip(pouchEnclosed, "")
		return
	}
	var f *moistheat.Finding
	if i, ok := c.index[p.Inside]; ok {
		f = c.Add(pouchEnclosed, ask.If(c.r.Packs[i].Barrier == packaging.RigidContainer), "/inside")
	} else {
		f = c.Add(pouchEnclosed, moistheat.Undetermined, "/inside")
	}
	ask.With(f, "container", p.Inside)
}

// lumens judges the hardest lumen of one item. A lumen whose size nobody measured
// counts as long and narrow, and so does a powered item without a described lumen.
func (c *checker) lumens(it *packaging.Item, at string) {
	class, known := it.HardestLumen()
	hollow := len(it.Lumens) > 0 || it.Has(packaging.Hollow) == moistheat.Yes || it.Has(packaging.Powered) == moistheat.Yes
	described := hollow || it.Has(packaging.Hollow) == moistheat.No
	named := it.Instructions != nil && slices.Contains(it.Instructions.AirRemoval, c.r.Cycle.Settings.AirRemoval)
	size := class.String()
	if !known {
		size += ", size not recorded"
	}
	narrow, wide, beyond := class == packaging.HollowA, class == packaging.HollowB, class == packaging.BeyondHollowA
	may := c.carries(CarriesHollowA)
	switch {
	case !narrow || !described && may == moistheat.Yes:
		c.Skip(fitNarrow, at)
	case !described:
		f := ask.With(c.Add(fitNarrow, moistheat.Undetermined, at), "item", it.Name)
		ask.With(f, "why", "it is not recorded whether it has a lumen, and this cycle may not reach one")
	default:
		// The maker's word for this item decides where the cycle's type does not.
		if may == moistheat.NotRecorded && named {
			may = moistheat.Yes
		}
		f := ask.With(ask.With(c.Answer(fitNarrow, may, moistheat.Yes, at), "item", it.Name), "class", size)
		ask.With(ask.With(f, "cycle", c.runs()), "why", "it is not recorded whether the cycle can reach its lumen ("+size+")")
	}
	if wide {
		f := ask.With(c.Answer(fitWide, c.carries(CarriesHollowB), moistheat.Yes, at), "item", it.Name)
		ask.With(ask.With(f, "class", size), "cycle", c.runs())
	} else {
		c.Skip(fitWide, at)
	}
	if beyond {
		ask.With(c.Add(fitBeyond, ask.If(!named), at), "item", it.Name)
	} else {
		c.Skip(fitBeyond, at)
	}
}

func (c *checker) porous(it *packaging.Item, at string) {
	if it.Has(packaging.Porous) != moistheat.Yes && it.Has(packaging.Textile) != moistheat.Yes {
		c.Skip(fitPorous, at)
		return
	}
	ask.With(c.Answer(fitPorous, c.carries(CarriesPorous), moistheat.Yes, at), "item", it.Name)
}

// instructions compares the cycle with what an item's maker asks for.
func (c *checker) instructions(it *packaging.Item, at string) {
	in := it.Instructions
	if in == nil {
		c.Skip(fitInstructions, at)
		return
	}
	at += "/instructions"
	set := c.r.Cycle.Settings
	broken := func(asked, had string) {
		f := c.Add(fitInstructions, moistheat.Broken, at)
		ask.With(ask.With(ask.With(f, "item", it.Name), "asked", asked), "had", had)
	}
	var open []string
	if in.AirRemoval != nil {
		var names []string
		for _, a := range in.AirRemoval {
			names = append(names, strings.ReplaceAll(string(a), "-", " "))
		}
		switch asked := strings.Join(names, " or "); {
		case set.AirRemoval == "":
			open = append(open, asked)
		case !slices.Contains(in.AirRemoval, set.AirRemoval):
			broken(asked, strings.ReplaceAll(string(set.AirRemoval), "-", " "))
			return
		}
	}
	if in.MinTemperature.IsValid() {
		switch asked := "at least " + in.MinTemperature.String(); {
		case !set.Temperature.IsValid():
			open = append(open, asked)
		case set.Temperature.Compare(in.MinTemperature) < 0:
			broken(asked, set.Temperature.String())
			return
		}
	}
	if in.MaxTemperature.IsValid() {
		hottest := set.Temperature
		if t := c.analysis.Hottest.Temperature; t.Compare(hottest) > 0 {
			hottest = t
		}
		if c.r.Cycle.Printed.MaximumTemperature.Compare(hottest) > 0 {
			hottest = c.r.Cycle.Printed.MaximumTemperature
		}
		switch asked := "at most " + in.MaxTemperature.String(); {
		case !hottest.IsValid():
			open = append(open, asked)
		case hottest.Compare(in.MaxTemperature) > 0:
			broken(asked, hottest.String())
			return
		}
	}
	for _, d := range []struct {
		what      string
		asked     units.Duration
		had, also units.Duration
	}{
		{"hold", in.Hold, c.held(), set.Hold},
		{"drying", in.Drying, c.r.Cycle.Printed.DryingTime, set.Drying},
	} {
		if !d.asked.IsValid() {
			continue
		}
		had := d.had
		if !had.IsValid() && d.what == "drying" {
			had = d.also
		}
		switch asked := fmt.Sprintf("%s of at least %s", d.what, d.asked); {
		case !had.IsValid():
			open = append(open, asked)
		case had.Compare(d.asked) < 0:
			broken(asked, had.String())
			return
		}
	}
	if len(open) > 0 {
		f := c.Add(fitInstructions, moistheat.Undetermined, at)
		ask.With(ask.With(f, "item", it.Name), "asked", strings.Join(open, ", "))
		return
	}
	c.Add(fitInstructions, moistheat.Met, at)
}

// held returns the hold that the physical record shows: from the trace, else as
// printed.
func (c *checker) held() units.Duration {
	if c.r.Cycle.Trace != nil {
		return c.analysis.Hold
	}
	return c.r.Cycle.Printed.HoldTime
}
