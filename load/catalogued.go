package load

import (
	"fmt"
	"maps"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load/internal/plane"
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

func (w *writer) differs(at where, stated, known string) {
	w.differ = append(w.differ, difference{at.String(), stated, known})
}

// earlier lets nothing be used longer than the catalogue allows.
func (w *writer) earlier(own *moistheat.Date, known moistheat.Date, at where, name string) {
	if !own.IsValid() || !known.IsValid() || own.Compare(known) == 0 {
		return
	}
	w.differs(at.of(name), own.String(), known.String())
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
			w.differs(where{part: "/sterilizer/capacity"}, own.Capacity[i].Mass.String(), known.Mass.String())
		}
		if !slices.Contains(own.Capacity, known) {
			rows = append(rows, known)
		}
	}
	own.Capacity = rows
}

// heavier sets a mass to what was added up, unless it was weighed as that or more. What differs
// by no more than half of the last digit that was written does not contradict it.
func (w *writer) heavier(own *units.Mass, sum units.Mass, at where, name string) {
	if own.IsValid() {
		apart := new(big.Rat).Sub(own.Rat(), sum.Rat())
		if apart.Abs(apart).Cmp(half(*own)) > 0 {
			w.differs(at.of(name), own.String(), sum.String())
		}
		if own.Compare(sum) >= 0 {
			return
		}
	}
	*own = sum
}

// most lets a limit of the catalogue count that asks for more: a greater value where sign is
// 1, a smaller one where it is -1.
func most[U units.Unit](w *writer, own *units.Quantity[U], known units.Quantity[U], sign int, at where, name string) {
	if !own.IsValid() || !known.IsValid() || own.Compare(known) == 0 {
		return
	}
	w.differs(at.of(name), own.String(), known.String())
	if known.Compare(*own) == sign {
		*own = known
	}
}

// fewest lets the lower of two numbers count, of which 0 is none.
func (w *writer) fewest(own *int, known int, at where, name string) {
	if *own <= 0 || known <= 0 || *own == known {
		return
	}
	w.differs(at.of(name), strconv.Itoa(*own), strconv.Itoa(known))
	*own = min(*own, known)
}

// layers lets the higher of two numbers of pouches around each other count: the steam has to pass
// them all.
func (w *writer) layers(p *Pack, e *PackType, at where) {
	if own := p.Layers; own > 0 && e.Layers > 0 && own != e.Layers {
		w.differs(at.of("/layers"), strconv.Itoa(own), strconv.Itoa(e.Layers))
		p.Layers = max(own, e.Layers)
	}
}

// strict lets an answer of the catalogue count that is the worse one.
func (w *writer) strict(own *moistheat.Answer, known, worse moistheat.Answer, at where, name string) {
	if *own == moistheat.NotRecorded || known == moistheat.NotRecorded || *own == known {
		return
	}
	w.differs(at.of(name), own.String(), known.String())
	*own = worse
}

// narrow lets of what may be used only that count which both allow, and where they share
// nothing what the catalogue allows.
func narrow[T ~string | ~uint8](w *writer, own *[]T, known []T, at where, name string) {
	both := slices.DeleteFunc(slices.Clone(*own), func(v T) bool { return !slices.Contains(known, v) })
	if len(known) == 0 || len(both) == len(*own) {
		return
	}
	w.differs(at.of(name), listOf(*own), listOf(known))
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
func (w *writer) stricter(it *packaging.Item, kind *ItemType, at where) {
	classes := []packaging.Class{packaging.Noncritical, packaging.Semicritical, packaging.Critical}
	own, known := slices.Index(classes, it.Class), slices.Index(classes, kind.Class)
	if own >= 0 && known >= 0 && own != known {
		w.differs(at.of("/class"), string(it.Class), string(kind.Class))
		it.Class = classes[max(own, known)]
	}
	w.strict(&it.HeatTolerant, kind.HeatTolerant, moistheat.No, at, "/heatTolerant")
	w.strict(&it.GuardVented, kind.GuardVented, moistheat.No, at, "/guardVented")
	var traits []packaging.Trait
	for _, t := range kind.Traits {
		if len(it.Traits) > 0 && !slices.Contains(it.Traits, t) {
			traits = append(traits, t)
		}
	}
	if traits != nil {
		w.differs(at.of("/traits"), listOf(it.Traits), listOf(kind.Traits))
		it.Traits = slices.Concat(it.Traits, traits)
	}
	w.lumens(it, kind, at.of("/lumens"))
	if it.Instructions == nil || kind.Instructions == nil {
		return
	}
	in, asks := *it.Instructions, kind.Instructions
	narrow(w, &in.AirRemoval, asks.AirRemoval, at, "/instructions/airRemoval")
	most(w, &in.MinTemperature, asks.MinTemperature, 1, at, "/instructions/minTemperature")
	most(w, &in.MaxTemperature, asks.MaxTemperature, -1, at, "/instructions/maxTemperature")
	most(w, &in.Drying, asks.Drying, 1, at, "/instructions/drying")
	most(w, &in.Hold, asks.Hold, 1, at, "/instructions/hold")
	w.strict(&in.Lubrication, asks.Lubrication, moistheat.Yes, at, "/instructions/lubrication")
	w.strict(&in.HandCleaning, asks.HandCleaning, moistheat.Yes, at, "/instructions/handCleaning")
	w.fewest(&in.MaxCycles, asks.MaxCycles, at, "/instructions/maxCycles")
	it.Instructions = &in
}

// lumens lets those of the type count beside those of the record that are others.
func (w *writer) lumens(it *packaging.Item, kind *ItemType, at where) {
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
	at := where{part: "/cycle/settings"}
	set, known := &own.Settings, &p.Settings
	most(w, &set.Temperature, known.Temperature, 1, at, "/temperature")
	most(w, &set.Hold, known.Hold, 1, at, "/hold")
	sign := -1
	if own.Printed.DryingTime.IsValid() {
		sign = 1
	}
	most(w, &set.Drying, known.Drying, sign, at, "/drying")
	lesser(w, &set.AirRemoval, known.AirRemoval, at, "/airRemoval",
		moistheat.GravityDisplacement, moistheat.SteamFlushPressurePulse, moistheat.DynamicAirRemoval)
	lesser(w, &own.Type, p.Type, where{part: "/cycle"}, "/type", TypeN, TypeS, TypeB)
	lesser(w, &own.Purpose, p.Purpose, where{part: "/cycle"}, "/purpose",
		ForLiquids, ForAirRemovalTest, ForLeakTest, ForUnwrappedLoad, ForLoad)
}

// lesser lets of two words the earlier of an order count.
func lesser[T ~string](w *writer, own *T, known T, at where, name string, order ...T) {
	if *own == "" || known == "" || *own == known {
		return
	}
	w.differs(at.of(name), string(*own), string(known))
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
		c.Ask(practiceUnsigned, "").With("id", prose.Name(p.ID)).With("habit", string(p.Habit)).
			With("by", prose.Name(p.By)).Broken()
	}
	c.Ask(practiceUnsigned, "").When(s.unsigned == nil).Met()
	a := ask.Some(s.raw.AllPacks)
	c.Ask(statementUnknown, "/allPacks/by").When(a.By != "").With("by", prose.Name(a.By)).BrokenIf(s.stated != "")
}

// setList asks whether what was packed is what the list of its set says, where the record
// gives both.
func (c *checker) setList(i int) {
	q := c.Ask(setDiffers, "/items")
	s := c.r.source
	if s == nil || i >= len(s.raw.Packs) || s.raw.Packs[i].Set == "" || len(s.raw.Packs[i].Items) == 0 {
		q.When(false)
		return
	}
	raw := &s.raw.Packs[i]
	w := &writer{f: s.facts, day: s.raw.Load.Date}
	list := w.contents(raw.Set, where{})
	if list == nil { // which the rule about references says
		q.When(false)
		return
	}
	left, known := map[string]int{}, true
	for _, it := range list {
		left[it.Type] += it.Count
	}
	for _, it := range raw.Items {
		known = known && it.Type != "" && (it.Count > 0 || it.ID != "")
		left[it.Type] -= max(it.Count, 1)
	}
	var missing, foreign []string
	for _, kind := range slices.Sorted(maps.Keys(left)) {
		switch n := left[kind]; {
		case n > 0:
			missing = append(missing, strconv.Itoa(n)+" "+prose.Name(kind))
		case n < 0:
			foreign = append(foreign, strconv.Itoa(-n)+" "+prose.Name(kind))
		}
	}
	if q.Given(known); q.Answered() {
		return
	}
	none := func(names []string) string {
		if names == nil {
			return "0"
		}
		return strings.Join(names, ", ")
	}
	q.With("set", prose.Name(raw.Set)).With("missing", none(missing)).With("foreign", none(foreign)).
		BrokenIf(missing != nil || foreign != nil)
}

// worn asks whether an item was sterilized more often than its instructions allow, this load
// included.
func (c *checker) worn(it *packaging.Item) {
	limit := 0
	if it.Instructions != nil {
		limit = it.Instructions.MaxCycles
	}
	q := c.Ask(itemWorn, "/instructions/maxCycles").When(limit > 0).Given(it.ID != "" && !c.known.nothing())
	if q.Answered() {
		return
	}
	n := 1
	for _, k := range c.known.Items {
		if k.ID == it.ID {
			n = max(n, k.Cycles+1)
		}
	}
	q.With("item", it.Name).With("id", prose.Name(it.ID)).With("count", strconv.Itoa(n)).
		With("allowed", strconv.Itoa(limit)).
		BrokenIf(n > limit)
}

// What need not be typed, as it follows from sizes, heights, shelf lives and masses that a
// catalogue or the record has.

// arrangement fills in the chamber, and the trays where the record says how the chamber was
// filled or a pack stands on one of them.
func (w *writer) arrangement(e *SterilizerEntry, source string) {
	own, known := Arrangement{}, SterilizerEntry{Chamber: e.Chamber, Trays: e.Trays}
	if w.r.Arrangement != nil {
		own = *w.r.Arrangement
	} else if !slices.ContainsFunc(w.r.Packs, func(p Pack) bool {
		return slices.ContainsFunc(e.Trays, func(t Tray) bool { return t.ID == p.Placement.Tray })
	}) {
		known.Trays = nil
	}
	if own.Chamber == nil && known.Chamber != nil {
		w.chamber = source + "/chamber"
	}
	if w.r.Arrangement == nil && known.Chamber == nil && known.Trays == nil {
		return
	}
	w.fill(&own, &known, where{part: "/arrangement"}, source)
	w.r.Arrangement = &own
}

// computed notes that a member of the record was computed from others and from what stands
// at a place of the catalogue, or else of the record itself.
func (w *writer) computed(at where, source, own string, others ...string) {
	if w.from == nil {
		return
	}
	o := moistheat.Origin{Format: CatalogueFormat, ID: w.f.c.ID, Pointer: source, Computed: strings.Join(others, " ")}
	if source == "" {
		o.Format, o.ID, o.Pointer = Format, w.r.ID, own
	}
	w.from[at.String()] = o
}

// filling computes which share of the chamber the packs take up, by their outer sizes. That is
// the least that a person can have seen: where the record states less, it does not count.
func (w *writer) filling() {
	at := where{part: "/arrangement/fill"}
	if w.r.Arrangement == nil || w.r.Arrangement.Chamber == nil {
		return
	}
	own := *w.r.Arrangement
	room, ok := own.Chamber.volume()
	if !ok {
		return
	}
	ids := map[string]bool{}
	for i := range w.r.Packs {
		ids[w.r.Packs[i].ID] = true
	}
	sum, all := new(big.Rat), len(w.r.Packs) > 0
	for i := range w.r.Packs {
		p := &w.r.Packs[i]
		if p.Inside != "" && ids[p.Inside] {
			continue
		}
		v, known := product(p.Size.Length, p.Size.Width, p.Size.Height)
		if all = all && known; known {
			sum.Add(sum, v)
		}
	}
	share := hundredthsUp(sum.Quo(sum, room))
	switch {
	case !share.IsValid() || !own.Fill.IsValid() && !all || own.Fill.IsValid() && share.Compare(own.Fill) <= 0:
		return
	case own.Fill.IsValid() && new(big.Rat).Sub(share.Rat(), own.Fill.Rat()).Cmp(half(own.Fill)) > 0:
		w.differs(at, own.Fill.String(), share.String())
	}
	own.Fill = share
	w.computed(at, w.chamber, "/arrangement/chamber", "/packs/-/size", "/arrangement/chamber")
	w.r.Arrangement = &own
}

// volume returns the usable space of a chamber in cubic metres; of a round one a little less,
// as π is.
func (c *Chamber) volume() (*big.Rat, bool) {
	v, ok := product(c.Width, c.Height, c.Depth)
	if ok && c.Shape == Round {
		v.Mul(v, plane.QuarterPi())
	}
	return v, ok && v.Sign() > 0
}

// product multiplies lengths that are all known, in metres.
func product(lengths ...units.Length) (*big.Rat, bool) {
	v, all := big.NewRat(1, 1), true
	for _, l := range lengths {
		m, ok := plane.Metres(l, 1)
		if all = all && ok; all {
			v.Mul(v, m)
		}
	}
	return v, all
}

// hundredthsUp returns a share in percent, to a hundredth towards the larger.
func hundredthsUp(share *big.Rat) units.Ratio {
	n := new(big.Rat).Mul(share, big.NewRat(10_000, 1))
	up := new(big.Int).Add(n.Num(), new(big.Int).Sub(n.Denom(), big.NewInt(1)))
	if up.Quo(up, n.Denom()); !up.IsInt64() {
		return units.Ratio{}
	}
	return units.FromFloat64(float64(up.Int64())/100, 2, units.Percent)
}

// lasts computes the last day of use of a pack from the shelf life of its type.
func (w *writer) lasts(l *packaging.Label, kind *LabelType, at where, source string) {
	if !kind.Keep.IsValid() || !w.day.IsValid() {
		return
	}
	last := kind.Keep.AfterDate(w.day)
	if !l.Expires.IsValid() {
		l.Expires = last
		w.computed(at.of("/expires"), source, "", "/load/date")
	}
	w.earlier(&l.Expires, last, at, "/expires")
}

// differs notes an answer of the record that the measures contradict.
func (c *checker) differs(at string, stated, computed moistheat.Answer) {
	if stated != moistheat.NotRecorded && computed != moistheat.NotRecorded && stated != computed {
		c.differ = append(c.differ, difference{at, stated.String(), computed.String()})
	}
}

// oversize asks of a pack whose place on its tray is not known whether it can lie within the
// rim at all, if any size of the tray is known. That it did where it can is not asked.
func (c *checker) oversize(i int, at string) {
	p := &c.r.Packs[i]
	t, ok := c.lay.trays[p.Placement.Tray]
	if !ok || p.Inside != "" {
		return
	}
	tray := &c.lay.arranged.Trays[t]
	if !tray.Width.IsValid() && !tray.Depth.IsValid() {
		return
	}
	fits, known := false, true
	for _, across := range p.across() {
		in, ok := plane.Fits(p.Size.Length, across, tray.Width, tray.Depth)
		fits, known = fits || in, known && ok
	}
	c.Ask(trayOverhang, at+"/tray").With("tray", p.Placement.Tray).
		Say("by", lang.Say("overhang-anywhere: , wherever it lies on it")).When(!known || !fits).
		BrokenWhen(known).Open(moistheat.Unrecorded)
}

// across returns how wide a pack may be where it lies or stands.
func (p *Pack) across() []units.Length {
	switch p.Placement.Position {
	case Flat:
		return []units.Length{p.Size.Width}
	case OnEdge:
		return []units.Length{p.Size.Height}
	}
	return []units.Length{p.Size.Width, p.Size.Height}
}

// footprint adds what a pack takes up, at least, of the tray that it lies on somewhere.
func (l *layout) footprint(p *Pack) {
	t, ok := l.trays[p.Placement.Tray]
	if !ok || p.Placement.Spot != nil || p.Placement.StackedOn != "" {
		return
	}
	across := slices.MinFunc(p.across(), units.Length.Compare)
	if across.IsValid() {
		l.footprints[t].Add(p.Size.Length, across)
	}
}

// crowded reports whether a pack and the others on its tray cannot all be as far apart as a gap,
// wherever they are within the rim, and how far apart they can be at most.
func (l *layout) crowded(p *Pack, gap units.Length) (units.Length, bool) {
	t, ok := l.trays[p.Placement.Tray]
	if !ok || p.Placement.Spot != nil || p.Placement.StackedOn != "" {
		return units.Length{}, false
	}
	tray, f := &l.arranged.Trays[t], &l.footprints[t]
	if !f.Crowded(tray.Width, tray.Depth, gap) {
		return units.Length{}, false
	}
	return rounded(f.Apart(tray.Width, tray.Depth)), true
}

// condensate asks whether drying removed the water that steam leaves on steel of the load's
// mass which came in at 20 °C. Cloth and other porous items take up more.
func (c *checker) condensate() {
	rate := c.r.Sterilizer.DriedPerMinute
	if !rate.IsValid() || c.r.Cycle == nil {
		c.Ask(dryingCondensate, "").When(false)
		return
	}
	q := c.Ask(dryingCondensate, "/sterilizer/driedPerMinute")
	sum, ok, lacks := c.mass()
	dried := c.dried()
	water, err := Condensate(sum, units.New(20, 0, units.Celsius), c.r.Cycle.Settings.Temperature)
	if !ok || !dried.IsValid() || err != nil {
		q.Open(moistheat.Unrecorded)
		return
	}
	minutes := dried.Rat()
	removed := new(big.Rat).Mul(rate.Rat(), minutes.Quo(minutes, units.New(1, 0, units.Minute).Rat()))
	grams, _ := new(big.Rat).Quo(removed, units.New(1, 0, units.Gram).Rat()).Float64()
	porous := slices.ContainsFunc(c.r.Packs, func(p Pack) bool { return p.Porous() != moistheat.No })
	q.Of(water.Value(), units.FromFloat64(math.Floor(grams*1000)/1000, 3, units.Gram).Value()).
		BrokenWhen(water.Rat().Cmp(removed) > 0).Known(!lacks.IsValid() && !porous)
}
