package load

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// stranger is what a person said whom the list of the staff does not know on that day.
type stranger struct {
	stated   string // who said something of all packs; "" where the list knows him
	unsigned []int  // practices
}

// difference is a member of the record that the catalogue contradicts.
type difference struct{ at, stated, known string }

// employs reports whether a person is on the list of the staff on a day, or there is no list.
func (f *Facts) employs(who string, day moistheat.Date) bool {
	return len(f.c.Staff) == 0 || f.find("staff", who, day, func(i int) Entry { return f.c.Staff[i].Entry }) >= 0
}

// strange notes what a stranger said of all packs. It is said of each all the same: what speaks
// against a pack counts whoever says it.
func (w *writer) strange() {
	if a := w.r.AllPacks; a != nil && !w.f.employs(a.By, w.day) {
		w.stated = a.By
	}
}

func (w *writer) differs(at, stated, known string) {
	w.differ = append(w.differ, difference{at, stated, known})
}

// earlier lets nothing be used longer than the catalogue allows.
func (w *writer) earlier(own *moistheat.Date, known moistheat.Date, at string) {
	if !own.IsValid() || !known.IsValid() || own.Compare(known) == 0 {
		return
	}
	w.differs(at, own.String(), known.String())
	if own.Compare(known) > 0 {
		*own = known
	}
}

// capacity adds the rows of the catalogue to those of a record that has some of its own, so
// that the smallest mass counts.
func (w *writer) capacity(own *Sterilizer, e *SterilizerEntry) {
	if len(own.Capacity) == 0 {
		return // it is filled in
	}
	rows := slices.Clone(own.Capacity)
	for _, known := range e.Capacity {
		alike := func(r Capacity) bool {
			return r.Authority == known.Authority && r.Accessory == known.Accessory && r.For == known.For &&
				r.AirRemoval == known.AirRemoval && r.Temperature.Compare(known.Temperature) == 0
		}
		i := slices.IndexFunc(own.Capacity, alike)
		if i >= 0 && own.Capacity[i].Mass.Compare(known.Mass) != 0 {
			w.differs("/sterilizer/capacity", own.Capacity[i].Mass.String(), known.Mass.String())
		}
		if !slices.Contains(own.Capacity, known) {
			rows = append(rows, known)
		}
	}
	own.Capacity = rows
}

// heavier sets a mass to what was added up, unless it was weighed as that or more. What differs
// by no more than half of the last digit that was written does not contradict it.
func (w *writer) heavier(own *units.Mass, sum units.Mass, at string) {
	if own.IsValid() {
		apart := new(big.Rat).Sub(own.Rat(), sum.Rat())
		if apart.Abs(apart).Cmp(half(*own)) > 0 {
			w.differs(at, own.String(), sum.String())
		}
		if own.Compare(sum) >= 0 {
			return
		}
	}
	*own = sum
}

// most lets a limit of the catalogue count that asks for more: a greater value where sign is
// 1, a smaller one where it is -1.
func most[U units.Unit](w *writer, own *units.Quantity[U], known units.Quantity[U], sign int, at string) {
	if !own.IsValid() || !known.IsValid() || own.Compare(known) == 0 {
		return
	}
	w.differs(at, own.String(), known.String())
	if known.Compare(*own) == sign {
		*own = known
	}
}

// fewest lets the lower of two numbers count, of which 0 is none.
func (w *writer) fewest(own *int, known int, at string) {
	if *own <= 0 || known <= 0 || *own == known {
		return
	}
	w.differs(at, strconv.Itoa(*own), strconv.Itoa(known))
	*own = min(*own, known)
}

// strict lets an answer of the catalogue count that is the worse one.
func (w *writer) strict(own *moistheat.Answer, known, worse moistheat.Answer, at string) {
	if *own == moistheat.NotRecorded || known == moistheat.NotRecorded || *own == known {
		return
	}
	w.differs(at, own.String(), known.String())
	*own = worse
}

// narrow lets of what may be used only that count which both allow, and where they share
// nothing what the catalogue allows.
func narrow[T ~string | ~uint8](w *writer, own *[]T, known []T, at string) {
	both := slices.DeleteFunc(slices.Clone(*own), func(v T) bool { return !slices.Contains(known, v) })
	if len(known) == 0 || len(both) == len(*own) {
		return
	}
	w.differs(at, listOf(*own), listOf(known))
	if *own = both; len(both) == 0 {
		*own = slices.Clone(known)
	}
}

func listOf[T any](list []T) string {
	out := make([]string, len(list))
	for i, v := range list {
		out[i] = fmt.Sprint(v)
	}
	return strings.Join(out, ", ")
}

// stricter lets what the type of an item asks for count where the record asks for less.
func (w *writer) stricter(it *packaging.Item, kind *ItemType, at func(member string) string) {
	classes := []packaging.Class{packaging.Noncritical, packaging.Semicritical, packaging.Critical}
	own, known := slices.Index(classes, it.Class), slices.Index(classes, kind.Class)
	if own >= 0 && known >= 0 && own != known {
		w.differs(at("/class"), string(it.Class), string(kind.Class))
		it.Class = classes[max(own, known)]
	}
	w.strict(&it.HeatTolerant, kind.HeatTolerant, moistheat.No, at("/heatTolerant"))
	w.strict(&it.GuardVented, kind.GuardVented, moistheat.No, at("/guardVented"))
	var traits []packaging.Trait
	for _, t := range kind.Traits {
		if len(it.Traits) > 0 && !slices.Contains(it.Traits, t) {
			traits = append(traits, t)
		}
	}
	if traits != nil {
		w.differs(at("/traits"), listOf(it.Traits), listOf(kind.Traits))
		it.Traits = slices.Concat(it.Traits, traits)
	}
	w.lumens(it, kind, at("/lumens"))
	if it.Instructions == nil || kind.Instructions == nil {
		return
	}
	in, asks := *it.Instructions, kind.Instructions
	narrow(w, &in.AirRemoval, asks.AirRemoval, at("/instructions/airRemoval"))
	most(w, &in.MinTemperature, asks.MinTemperature, 1, at("/instructions/minTemperature"))
	most(w, &in.MaxTemperature, asks.MaxTemperature, -1, at("/instructions/maxTemperature"))
	most(w, &in.Drying, asks.Drying, 1, at("/instructions/drying"))
	most(w, &in.Hold, asks.Hold, 1, at("/instructions/hold"))
	w.strict(&in.Lubrication, asks.Lubrication, moistheat.Yes, at("/instructions/lubrication"))
	w.strict(&in.HandCleaning, asks.HandCleaning, moistheat.Yes, at("/instructions/handCleaning"))
	w.fewest(&in.MaxCycles, asks.MaxCycles, at("/instructions/maxCycles"))
	it.Instructions = &in
}

// lumens lets those of the type count beside those of the record that are others.
func (w *writer) lumens(it *packaging.Item, kind *ItemType, at string) {
	if len(it.Lumens) == 0 {
		return
	}
	var more []packaging.Lumen
	for _, l := range kind.Lumens {
		if !slices.ContainsFunc(it.Lumens, func(own packaging.Lumen) bool {
			return own.Length.Compare(l.Length) == 0 && own.Bore.Compare(l.Bore) == 0 && own.OpenEnds == l.OpenEnds
		}) {
			more = append(more, l)
		}
	}
	if more == nil && kind.HasLumens != moistheat.No {
		return
	}
	w.differs(at, strconv.Itoa(len(it.Lumens)), strconv.Itoa(len(kind.Lumens)))
	it.Lumens = slices.Concat(it.Lumens, more)
}

// program lets what a program does less of count, where it is said what the cycle was able to
// do, and the more where the physical record must show it. Drying of which nothing was printed
// is what was set, and of that the less is sure.
func (w *writer) program(own *Cycle, p *Program) {
	const at = "/cycle/settings"
	set, known := &own.Settings, &p.Settings
	most(w, &set.Temperature, known.Temperature, 1, at+"/temperature")
	most(w, &set.Hold, known.Hold, 1, at+"/hold")
	sign := -1
	if own.Printed.DryingTime.IsValid() {
		sign = 1
	}
	most(w, &set.Drying, known.Drying, sign, at+"/drying")
	lesser(w, &set.AirRemoval, known.AirRemoval, at+"/airRemoval",
		moistheat.GravityDisplacement, moistheat.SteamFlushPressurePulse, moistheat.DynamicAirRemoval)
	lesser(w, &own.Type, p.Type, "/cycle/type", TypeN, TypeS, TypeB)
	lesser(w, &own.Purpose, p.Purpose, "/cycle/purpose",
		ForLiquids, ForAirRemovalTest, ForLeakTest, ForUnwrappedLoad, ForLoad)
}

// lesser lets of two words the earlier of an order count.
func lesser[T ~string](w *writer, own *T, known T, at string, order ...T) {
	if *own == "" || known == "" || *own == known {
		return
	}
	w.differs(at, string(*own), string(known))
	if i, j := slices.Index(order, *own), slices.Index(order, known); i >= 0 && j >= 0 && j < i {
		*own = known
	}
}

// half returns half of the last digit of a quantity, in the unit of its Rat.
func half[U units.Unit](q units.Quantity[U]) *big.Rat {
	last := units.New(1, int(q.Decimal().Exponent()), q.Unit()).Rat()
	return last.Quo(last, big.NewRat(2, 1))
}

// agree asks whether the record agrees with the catalogue, and with what was computed from it.
func (c *checker) agree() {
	s := c.r.source
	if s == nil {
		c.Ask(catalogueContradicted, "").When(false)
		return
	}
	all := slices.Concat(s.differ, c.differ)
	for _, d := range all {
		c.Ask(catalogueContradicted, d.at).With("stated", d.stated).With("known", d.known).Broken()
	}
	c.Ask(catalogueContradicted, "").When(len(all) == 0).Met()
}

// strangers asks whether the list of the staff knows whoever the record and the catalogue
// rest on.
func (c *checker) strangers() {
	s := c.r.source
	if s == nil {
		c.Ask(practiceUnsigned, "").When(false)
		c.Ask(statementUnknown, "").When(false)
		return
	}
	for _, i := range s.unsigned {
		p := &s.facts.c.Practices[i]
		c.Ask(practiceUnsigned, "").With("id", prose.Name(p.ID)).With("by", prose.Name(p.By)).Broken()
	}
	c.Ask(practiceUnsigned, "").When(s.unsigned == nil).Met()
	a := ask.Some(s.raw.AllPacks)
	c.Ask(statementUnknown, "/allPacks/by").When(a.By != "").With("by", prose.Name(a.By)).BrokenIf(s.stated != "")
}
