package load

import (
	"math"
	"math/big"
	"slices"
	"strconv"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load/internal/plane"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// arrangement judges how one pack lay in the chamber.
func (c *checker) arrangement(i int) {
	p := &c.r.Packs[i]
	pl := p.Placement
	at := section(pl != Placement{}, "/placement")
	c.stacked(p, at)
	c.film(p, at)
	c.wall(i, at)
	c.gap(i, at)
	c.overlap(i, at)
	c.heavy(i, at)
	c.Ask(arrangementOpening, at).When(p.Has(packaging.Hollowware) == moistheat.Yes).
		OpenWhen(pl.OpenSide == "", moistheat.Unrecorded).BrokenIf(pl.OpenSide == OpenUp)
	c.dripping(i, at)
	if p.Inside == "" && !p.Packed() {
		c.differs(packAt(i)+"/placement/aboveWrapped", pl.AboveWrapped, c.lay.packed.under(c.lay.level(p)))
	}
	c.onTray(i, at)
	c.slot(i, at)
	c.Ask(drapeFlat, at).When(p.Has(packaging.Textile) == moistheat.Yes).Yes(pl.Upright)
}

// tubing judges an item that is a tube.
func (c *checker) tubing(it *packaging.Item) {
	gravity := c.r.Cycle != nil && c.r.Cycle.Settings.AirRemoval == moistheat.GravityDisplacement
	c.Ask(tubingDry, "").When(gravity && it.Has(packaging.Tubing) == moistheat.Yes).With("item", it.Name).Yes(it.Moist)
}

// dripping asks whether unwrapped items lay above a pack: by the heights of the trays,
// else by what was seen. A pack that was found dry afterwards was not wetted.
func (c *checker) dripping(i int, at string) {
	p := &c.r.Packs[i]
	q := c.Ask(arrangementDripping, at).When(p.Packed() && p.Inside == "" && c.unwrapped).MetWhen(p.Condition.Dry == moistheat.Yes)
	if q.Answered() {
		return
	}
	q.No(c.lay.wetted(c.lay.level(p)))
}

// film judges which way the film of a pouch looked: lying, at what is below or above;
// on edge, at its neighbour.
func (c *checker) film(p *Pack, at string) {
	pouch, pos, side := p.Barrier == packaging.PaperFilmPouch, p.Placement.Position, p.Placement.FilmSide
	lying, standing := side == FilmUp || side == FilmDown, side == FilmToPaper || side == FilmToFilm
	open := lang.Say("film-unrecorded: It is not recorded")
	if pos == Flat && standing || pos == OnEdge && lying {
		open = lang.Say("film-contradicted: The record contradicts itself about")
	}
	c.Ask(arrangementFilm, at).When(pouch && pos != OnEdge).OpenWhen(pos == Flat && standing, moistheat.Contradictory).
		OpenWhen(pos != Flat || !lying, moistheat.Unrecorded).BrokenIf(side == FilmDown).Say("open", open)
	c.Ask(arrangementFacing, at).When(pouch && pos == OnEdge && len(c.r.Packs) > 1).OpenWhen(lying, moistheat.Contradictory).
		OpenWhen(!standing, moistheat.Unrecorded).BrokenIf(side == FilmToFilm).Say("open", open)
}

// nowhere is no distance at all.
func nowhere() units.Length { return units.New(0, 0, units.Millimetre) }

// either joins what somebody saw with what the measures say: yes if either says so,
// and no only if nothing says yes and at least one says no.
func either(seen, measured moistheat.Answer) moistheat.Answer {
	switch {
	case seen == moistheat.Yes || measured == moistheat.Yes:
		return moistheat.Yes
	case seen == moistheat.No || measured == moistheat.No:
		return moistheat.No
	}
	return moistheat.NotRecorded
}

// wall asks whether a pack touched the wall of the chamber and whether it was too close
// to it: by what was seen and measured, and by its place.
func (c *checker) wall(i int, at string) {
	pl, stands := &c.r.Packs[i].Placement, c.r.Packs[i].Inside == ""
	lim := figureOf(c.p.doc.Limits.WallGap)
	touching, close := c.Ask(arrangementWall, at).When(stands), ask.Limit(c.Ask(wallClose, at).When(stands), lim)
	if !stands {
		return
	}
	mm, touches, closer, placed := c.lay.toWall(i, lim.Value)
	seen, gap := pl.TouchesWall, pl.WallGap
	if gap.IsValid() {
		seen = either(seen, ask.AnswerOf(gap.Compare(nowhere()) <= 0))
	}
	switch {
	case !placed:
		touching.Got(gap.Value()).No(seen)
	case seen == moistheat.Yes && !touches:
		touching.Broken()
	default:
		touching.Got(rounded(mm).Value()).BrokenIf(touches)
	}
	switch {
	case !lim.Value.IsValid():
		close.Open(moistheat.NoLimit)
	case placed && (closer || !gap.IsValid()):
		close.At(at + "/spot").Got(rounded(max(0, mm)).Value()).BrokenIf(closer)
	case gap.IsValid():
		ask.AtLeast(close.At(at+"/wallGap"), gap, lim.Value)
	case pl.TouchesWall == moistheat.Yes:
		close.At(at + "/touchesWall").Got(nowhere().Value()).Broken()
	default:
		close.Open(moistheat.Unrecorded)
	}
}

// overlap asks whether packs cover each other: by the share that somebody saw, and
// by their places.
func (c *checker) overlap(i int, at string) {
	p, b := &c.r.Packs[i], c.lay.placed[i]
	lim := c.p.doc.overlap()
	q := ask.Limit(c.Ask(arrangementOverlap, at).When(c.standing > 1 && p.Packed() && p.Inside == ""), *lim)
	if q.Answered() {
		return
	}
	other, share, over := -1, 0.0, false
	if b != nil {
		other, share, over = c.lay.covered(i, lim.Value.Rat())
	}
	seen := p.Placement.Overlap
	more := seen.IsValid() && seen.Compare(lim.Value) > 0
	switch {
	case over:
		_, mm, _ := c.lay.nearest(i)
		q.At(at+"/spot").Got(percentUp(share).Value()).With("other", c.r.Packs[other].ID).
			Say("move", lang.Say("overlap-move:  Move them {1:number} apart.", roundedUp(-mm).String())).Broken()
	case more || seen.IsValid() && b == nil:
		other := lang.Say("overlap-neighbour: The neighbouring pack")
		ask.AtMost(q.At(at+"/overlap").Say("other", other).With("move", ""), seen, lim.Value)
	case b != nil && c.lay.whole:
		q.At(at + "/spot").Got(percentUp(share).Value()).Met()
	case seen.IsValid():
		q.At(at + "/overlap").Got(seen.Value()).Met()
	default:
		q.Open(moistheat.Unrecorded)
	}
}

// heavy reports whether a pack is metal that sheds water.
func heavy(p *Pack) bool {
	return p.Has(packaging.Textile) != moistheat.Yes &&
		(p.Has(packaging.Hollowware) == moistheat.Yes || p.Barrier == packaging.RigidContainer || p.Barrier == packaging.WrapSheet || p.Barrier == packaging.Unwrapped)
}

func (c *checker) heavy(i int, at string) {
	p := &c.r.Packs[i]
	if q := c.Ask(arrangementHeavy, at).When(c.lay.textiles && heavy(p) && p.Inside == ""); !q.Answered() {
		q.No(either(p.Placement.AboveTextile, c.lay.cloth.under(c.lay.level(p))))
	}
}

// onTray asks what must hold of a pack on its tray.
func (c *checker) onTray(i int, at string) {
	p := &c.r.Packs[i]
	pl := &p.Placement
	lined := moistheat.NotRecorded
	if t, ok := c.lay.trays[pl.Tray]; ok {
		lined = c.lay.arranged.Trays[t].Lined
	}
	c.Ask(trayTouching, at).When(!p.Packed()).Yes(pl.ItemsApart)
	c.Ask(trayBare, at).When(!p.Packed()).Yes(lined)
	if pl.Spot != nil {
		c.overhang(i, at+"/spot")
		c.beneath(i, at+"/spot")
		return
	}
	c.oversize(i, at)
	touched := pl.GapAbove.IsValid() && pl.GapAbove.Compare(nowhere()) <= 0
	c.Ask(trayAbove, at+"/gapAbove").When(pl.GapAbove.IsValid()).Got(pl.GapAbove.Value()).
		Say("how", lang.Say("tray-touched: touches the tray")).BrokenIf(touched)
}

// overhang asks whether a pack in its place stands out over the rim of its tray.
func (c *checker) overhang(i int, at string) {
	q := c.Ask(trayOverhang, at).With("tray", c.r.Packs[i].Placement.Tray)
	if b := c.lay.placed[i]; b != nil {
		t := &c.lay.arranged.Trays[b.tray]
		width, ok1 := plane.Metres(t.Width, 1)
		depth, ok2 := plane.Metres(t.Depth, 1)
		if ok1 && ok2 {
			over := b.Outside(width, depth)
			by := roundedUp(max(0, plane.Millimetres(over))).Value()
			q.Got(by).Say("by", lang.Say("overhang-by:  by {1:number}", by.Text())).BrokenIf(over.Sign() > 0)
		}
	}
	q.Open(moistheat.Unrecorded)
}

// beneath asks whether a pack in its place reaches the tray above: by the heights, and
// by what was seen.
func (c *checker) beneath(i int, at string) {
	b, gap := c.lay.placed[i], c.r.Packs[i].Placement.GapAbove
	q := c.Ask(trayAbove, at)
	if b == nil || b.height == nil {
		q.Open(moistheat.Unrecorded)
		return
	}
	other, rise, known := c.lay.above(b.tray)
	switch {
	case rise != nil && b.height.Cmp(rise) >= 0:
		into := roundedUp(plane.Millimetres(new(big.Rat).Sub(b.height, rise))).Value()
		q.Got(into).Say("how", lang.Say("tray-entered: reaches {1:number} into tray {2}",
			into.Text(), c.lay.arranged.Trays[other].ID)).Broken()
	case gap.IsValid() && gap.Compare(nowhere()) <= 0:
		q.Got(gap.Value()).Say("how", lang.Say("tray-touched: touches the tray")).Broken()
	case known && rise != nil:
		q.Got(rounded(plane.Millimetres(rise.Sub(rise, b.height))).Value()).Met()
	default:
		q.Known(known)
	}
}

func (c *checker) slot(i int, at string) {
	own := &c.r.Packs[i].Placement
	q := c.Ask(rackShared, at+"/slot").When(own.Slot != "")
	if first := c.lay.slots[[2]string{own.Tray, own.Slot}]; first < i && !q.Answered() {
		q.With("slot", own.Slot).With("other", c.r.Packs[first].ID).Broken()
	}
	q.Met()
}

// filled judges how the chamber was filled as a whole.
func (c *checker) filled() {
	a := c.lay.arranged
	at := section(c.r.Arrangement != nil, "/arrangement")
	lim := figureOf(c.p.doc.Limits.ChamberFill)
	ask.AtMost(c.Ask(chamberFull, under(at, "/fill", a.Fill.IsValid())).By(lim.Source), a.Fill, lim.Value)
	c.Ask(patternUnvalidated, at).Yes(a.Validated)
	c.drying()
	c.condensate()
	if ch := c.r.Monitors.Challenge; ch != nil {
		c.Ask(challengePlace, "/monitors/challenge").Yes(ch.Hardest)
	}
	if cy := c.r.Cycle; cy != nil {
		c.Ask(purposePacked, under("/cycle", "/purpose", cy.Purpose != "")).When(c.wrapped).
			OpenWhen(cy.Purpose == "", moistheat.Unrecorded).BrokenIf(cy.Purpose == ForUnwrappedLoad)
	}
	if len(a.Trays) == 0 {
		c.Ask(traySolid, at).Open(moistheat.Unrecorded)
	}
	for i := range a.Trays {
		t, at := &a.Trays[i], "/arrangement/trays/"+strconv.Itoa(i)
		c.Ask(traySolid, at).With("tray", t.ID).Yes(t.Perforated)
		c.Ask(trayForeign, at).With("tray", t.ID).Yes(t.MadeForChamber)
		c.trayGap(i, at)
	}
}

// trayGap asks how much room there is between a tray's rim and the tray above it.
func (c *checker) trayGap(i int, at string) {
	trays, lim := c.lay.arranged.Trays, figureOf(c.p.doc.Limits.TrayGap)
	q := ask.Limit(c.Ask(trayGap, at).When(len(trays) > 1).OpenWhen(!lim.Value.IsValid(), moistheat.NoLimit), lim)
	if q.Answered() {
		return
	}
	other, rise, known := c.lay.above(i)
	if rise == nil && known { // it is the highest
		q.When(false)
		return
	}
	q.With("tray", trays[i].ID)
	if other >= 0 {
		q.With("other", trays[other].ID)
	}
	rim, ok := plane.Metres(trays[i].Rim, 0)
	if rise == nil || !ok {
		q.Open(moistheat.Unrecorded)
		return
	}
	room := rise.Sub(rise, rim)
	// Where another height is not recorded, a lower tray may be between: too little is
	// known, enough is not.
	if close := room.Cmp(lim.Value.Rat()) < 0; close || known {
		q.Got(rounded(plane.Millimetres(room)).Value()).BrokenIf(close)
	}
	q.Open(moistheat.Unrecorded)
}

// stacked asks whether a pack lay on another one: a container may, if the manufacturer of the
// lower one allows it.
func (c *checker) stacked(p *Pack, at string) {
	pl := &p.Placement
	on := under(at, "/stackedOn", pl.StackedOn != "")
	below, known := c.index[pl.StackedOn]
	both := known && pl.StackedOn != "" && p.Barrier == packaging.RigidContainer && c.r.Packs[below].Barrier == packaging.RigidContainer
	if q := c.Ask(containerStacked, on).When(both).With("on", pl.StackedOn); both {
		q.Yes(c.r.Packs[below].Placement.Stackable)
	}
	q := c.Ask(arrangementStacked, at).When(p.Packed() && !both)
	if !both && pl.StackedOn != "" && pl.StackedOn != p.Inside {
		q.At(on).With("on", pl.StackedOn).Broken()
	}
	q.Known(pl.Position != "" || p.Inside != "")
}

// gap asks how far away the nearest pack is: as somebody measured it, and as the
// places say. The smaller counts. Places prove a gap only where all are known.
func (c *checker) gap(i int, at string) {
	p, b := &c.r.Packs[i], c.lay.placed[i]
	lim := figureOf(c.p.doc.Limits.PackGap)
	q := ask.Limit(c.Ask(arrangementGap, at).When(c.standing > 1 && p.Packed() && p.Inside == "").
		OpenWhen(!lim.Value.IsValid(), moistheat.NoLimit), lim)
	if q.Answered() {
		return
	}
	gap := p.Placement.Gap
	room, crowded := c.lay.crowded(p, lim.Value)
	other, mm, found := -1, 0.0, false
	if b != nil {
		other, mm, found = c.lay.nearest(i)
	}
	switch {
	case found && b.Closer(&c.lay.placed[other].Outline, lim.Value.Rat()):
		q.At(at+"/spot").Got(rounded(max(0, mm)).Value()).With("other", c.r.Packs[other].ID).Broken()
	case gap.IsValid() && gap.Compare(lim.Value) < 0:
		ask.AtLeast(q.At(at+"/gap"), gap, lim.Value)
	case crowded:
		q.At(at + "/tray").Got(room.Value()).Broken()
		if gap.IsValid() {
			c.differ = append(c.differ, difference{packAt(i) + "/placement/gap", gap.String(), room.String()})
		}
	case gap.IsValid():
		ask.AtLeast(q.At(at+"/gap"), gap, lim.Value)
	case b != nil && c.lay.whole:
		if found {
			q.Got(rounded(mm).Value())
		}
		q.At(at + "/spot").Met()
	default:
		q.Open(moistheat.Unrecorded)
	}
}

// capacity weighs the load against the rows of the capacity table that apply: for
// each authority the smallest mass.
func (c *checker) capacity() {
	c.filled()
	c.weigh(capacityOver, ByManufacturer)
	c.weigh(validationOver, ByValidation)
}

// rows calls f for each row of the capacity table that applies, or may apply because
// the setting of the cycle or the accessory is not recorded.
func (c *checker) rows(f func(row *Capacity, pointer string, sure bool)) {
	holds, in := c.holds(), c.r.Sterilizer.Accessory
	var set cycle.Settings
	if c.r.Cycle != nil {
		set = c.r.Cycle.Settings
	}
	for i := range c.r.Sterilizer.Capacity {
		row := &c.r.Sterilizer.Capacity[i]
		otherAir := row.AirRemoval != "" && set.AirRemoval != "" && row.AirRemoval != set.AirRemoval
		otherHeat := row.Temperature.IsValid() && set.Temperature.IsValid() && row.Temperature.Compare(set.Temperature) != 0
		other := row.Accessory != "" && in != "" && row.Accessory != in
		if other || row.For != "" && !slices.Contains(holds, row.For) || otherAir || otherHeat {
			continue
		}
		f(row, "/sterilizer/capacity/"+strconv.Itoa(i), (row.AirRemoval == "" || set.AirRemoval != "") &&
			(!row.Temperature.IsValid() || set.Temperature.IsValid()) && (row.Accessory == "" || in != ""))
	}
}

func (c *checker) weigh(r ask.ID, by CapacitySource) {
	var lim, perhaps units.Mass
	at, or := "", ""
	c.rows(func(row *Capacity, pointer string, sure bool) {
		if row.Authority != by {
			return
		}
		if sure && (!lim.IsValid() || row.Mass.Compare(lim) < 0) {
			lim, at = row.Mass, pointer
		}
		if !sure && (!perhaps.IsValid() || row.Mass.Compare(perhaps) < 0) {
			perhaps, or = row.Mass, pointer
		}
	})
	if !lim.IsValid() && !perhaps.IsValid() {
		return
	}
	sum, ok, lacks := c.mass()
	over := func(l units.Mass) bool { return ok && l.IsValid() && sum.Compare(l) > 0 }
	unset := !over(lim) && over(perhaps) // the setting or the accessory decides whether it is too heavy
	if unset {
		lacks = lang.Say("capacity-setting: the setting of the cycle or the accessory in use")
	}
	if !lim.IsValid() || unset {
		lim, at = perhaps, or
	}
	// What is not weighed can only add to what is too heavy already.
	c.Ask(r, at).Of(sum.Value(), lim.Value()).Say("what", lacks).BrokenWhen(!unset && over(lim)).
		Known(!unset && !lacks.IsValid() && ok)
}

// mass returns what the load weighs, as far as it is known, and what that lacks.
func (c *checker) mass() (sum units.Mass, ok bool, lacks moistheat.Detail) {
	masses, lacks := c.masses()
	if lacks.IsValid() {
		lacks = lang.With("mass-of: the mass of {1:text}", lacks)
	}
	sum, ok = units.Sum(masses)
	if whole := ask.Some(c.r.Arrangement).Mass; whole.IsValid() && whole.Compare(sum) >= 0 {
		return whole, true, moistheat.Detail{} // less than what packs of it weigh is no mass of the whole
	}
	return sum, ok, lacks
}

// tableDrying returns the longest drying that the capacity table asks for.
func (c *checker) tableDrying() (d Demand) {
	c.rows(func(row *Capacity, pointer string, _ bool) {
		inUse := row.Accessory == "" || row.Accessory == c.r.Sterilizer.Accessory
		if inUse && row.Drying.Compare(d.MinTime) > 0 {
			d = Demand{MinTime: row.Drying, Pointer: pointer,
				Source: moistheat.Source{Document: "capacity table of the sterilizer", Locator: row.Accessory, Basis: moistheat.Facility}}
		}
	})
	return d
}

// drying asks whether drying was as long as the capacity table asks.
func (c *checker) drying() {
	need := c.tableDrying()
	if !need.MinTime.IsValid() || c.r.Cycle == nil {
		return
	}
	ask.AtLeast(c.Ask(dryingShort, need.Pointer).By(need.Source), c.dried(), need.MinTime)
}

// dried returns how long the cycle dried: as printed, else as set.
func (c *checker) dried() units.Duration {
	if had := c.r.Cycle.Printed.DryingTime; had.IsValid() {
		return had
	}
	return c.r.Cycle.Settings.Drying
}

// holds says which contents of a capacity table are in the load.
func (c *checker) holds() []CapacityClass {
	var out []CapacityClass
	for i := range c.r.Packs {
		what := UnwrappedMetal
		switch p := &c.r.Packs[i].Pack; {
		case p.Has(packaging.Textile) == moistheat.Yes:
			what = Textiles
		case p.Packed():
			what = WrappedMetal
		}
		if !slices.Contains(out, what) {
			out = append(out, what)
		}
	}
	return out
}

// masses returns the recorded masses of the packs and names the first that lacks
// one, or all where none is listed. A pack inside another is weighed with it.
func (c *checker) masses() (masses []units.Mass, lacks moistheat.Detail) {
	for i := range c.r.Packs {
		switch p := &c.r.Packs[i]; {
		case p.Mass.IsValid() && p.Inside == "":
			masses = append(masses, p.Mass)
		case p.Inside == "" && !lacks.IsValid():
			lacks = lang.Say("the-pack: pack {1}", p.ID)
		}
	}
	if masses == nil && !lacks.IsValid() {
		lacks = lang.Say("mass-lacks-all: the packs")
	}
	return masses, lacks
}

// layout is where the packs of a record lie, as far as it is recorded.
type layout struct {
	trays    map[string]int // by ID, the first of each
	levels   []*big.Rat     // height of each tray; nil where not recorded
	extents  []plane.Extent // of each tray
	rising   []int          // trays whose height is recorded, from low to high
	higher   []int          // by tray: the first of rising that is above it
	whole    bool           // every pack that stands by itself has a place
	placed   []*body        // by pack; nil where its place is not known
	on       map[int][]int  // packs in a place, by tray
	arranged *Arrangement

	slots         map[[2]string]int // by tray and slot, the first pack in it
	textiles      bool              // some pack has cloth
	packed, cloth heights           // of the trays of packs that lie in no other one
	footprints    []plane.Footprint // by tray, of packs whose place on it is not known
	bare          drops
}

// heights are those of the trays that hold packs of one kind.
type heights struct {
	lowest  *big.Rat // nil where none is recorded
	unknown bool     // of some pack the tray or its height is not recorded
}

// drops are the heights of unwrapped items, which drip, and what was seen of them.
type drops struct {
	highest   *big.Rat
	seen      [3]bool // by answer: said of some of them, whether they lay above packed items
	unplaced  [3]bool // the same of those whose height is not recorded
	elsewhere bool    // yes was said of some that the measures put over no packed items
}

// body is a pack in its place.
type body struct {
	plane.Outline                // on its tray
	tray          int            // index
	height        *big.Rat       // of the pack; nil where not recorded
	at            *plane.Outline // in the chamber; nil where the tray's place is not known

	middle [2]float64 // of the circle around it, in millimetres
	reach  float64    // its radius
	near   int        // the closest pack on the tray, or -1
	mm     float64    // how far that is
}

func newLayout(r *Record) *layout {
	l := &layout{arranged: r.Arrangement, placed: make([]*body, len(r.Packs)), whole: true}
	if l.arranged == nil {
		l.arranged = &Arrangement{}
	}
	l.trays = make(map[string]int, len(l.arranged.Trays))
	for i := range l.arranged.Trays {
		t := &l.arranged.Trays[i]
		if _, taken := l.trays[t.ID]; !taken {
			l.trays[t.ID] = i
		}
		up, ok := plane.Metres(t.Up, 0)
		if !ok {
			up = nil
		}
		l.levels = append(l.levels, up)
		l.extents = append(l.extents, plane.NewExtent(t.Across, t.Width, t.Back, t.Depth))
		if up != nil {
			l.rising = append(l.rising, i)
		}
	}
	slices.SortStableFunc(l.rising, func(i, j int) int { return l.levels[i].Cmp(l.levels[j]) })
	l.higher = make([]int, len(l.levels))
	for k := len(l.rising) - 1; k >= 0; k-- {
		l.higher[l.rising[k]] = k + 1
		if k+1 < len(l.rising) && l.levels[l.rising[k]].Cmp(l.levels[l.rising[k+1]]) == 0 {
			l.higher[l.rising[k]] = l.higher[l.rising[k+1]]
		}
	}
	for i := range r.Packs {
		p := &r.Packs[i]
		l.placed[i] = l.body(p)
		l.whole = l.whole && (l.placed[i] != nil || p.Inside != "")
	}
	l.meet()
	l.stack(r)
	return l
}

// stack notes how high packs of each kind lie.
func (l *layout) stack(r *Record) {
	l.slots = make(map[[2]string]int)
	l.footprints = make([]plane.Footprint, len(l.levels))
	for i := len(r.Packs) - 1; i >= 0; i-- {
		p := &r.Packs[i]
		if at := &p.Placement; at.Slot != "" {
			l.slots[[2]string{at.Tray, at.Slot}] = i
		}
		cloth := p.Has(packaging.Textile) == moistheat.Yes
		l.textiles = l.textiles || cloth
		if p.Inside != "" {
			continue
		}
		l.footprint(p)
		if cloth {
			l.cloth.add(l.level(p))
		}
		if p.Packed() {
			l.packed.add(l.level(p))
		}
	}
	for i := range r.Packs {
		p := &r.Packs[i]
		if p.Packed() || p.Inside != "" {
			continue
		}
		own, seen := l.level(p), p.Placement.AboveWrapped
		if seen > max(moistheat.Yes, moistheat.No) {
			seen = moistheat.NotRecorded // it is no answer
		}
		l.bare.seen[seen] = true
		if own == nil {
			l.bare.unplaced[seen] = true
		} else if l.bare.highest == nil || own.Cmp(l.bare.highest) > 0 {
			l.bare.highest = own
		}
		if seen == moistheat.Yes && l.packed.under(own) != moistheat.Yes {
			l.bare.elsewhere = true
		}
	}
}

// level returns the height of the tray that a pack lies on, or nil.
func (l *layout) level(p *Pack) *big.Rat {
	if t, ok := l.trays[p.Placement.Tray]; ok {
		return l.levels[t]
	}
	return nil
}

func (h *heights) add(level *big.Rat) {
	if level == nil {
		h.unknown = true
	} else if h.lowest == nil || level.Cmp(h.lowest) < 0 {
		h.lowest = level
	}
}

// under says whether a pack of the kind lies on a lower tray than one at a height: not
// recorded unless that height and every one of the kind is recorded.
func (h *heights) under(own *big.Rat) moistheat.Answer {
	switch {
	case own == nil:
		return moistheat.NotRecorded
	case h.lowest != nil && h.lowest.Cmp(own) < 0:
		return moistheat.Yes
	case h.unknown:
		return moistheat.NotRecorded
	}
	return moistheat.No
}

// wetted says whether unwrapped items lie above a packed pack on a tray of a height: by
// the heights, else, and where the measures say nothing of it, by what was seen.
func (l *layout) wetted(own *big.Rat) moistheat.Answer {
	b, seen := &l.bare, &l.bare.unplaced
	if own == nil {
		seen = &b.seen
	}
	switch {
	case b.elsewhere || seen[moistheat.Yes] || own != nil && b.highest != nil && own.Cmp(b.highest) < 0:
		return moistheat.Yes
	case seen[moistheat.NotRecorded]:
		return moistheat.NotRecorded
	}
	return moistheat.No
}

// body returns a pack in its place, or nil if anything that says so is missing.
func (l *layout) body(p *Pack) *body {
	s := p.Placement.Spot
	tray, known := l.trays[p.Placement.Tray]
	if s == nil || !known || p.Placement.Position == "" || p.Inside != "" {
		return nil
	}
	width, height := p.Size.Width, p.Size.Height
	if p.Placement.Position == OnEdge {
		width, height = height, width
	}
	x, okX := plane.Metres(s.X, -10_000_000_000)
	y, okY := plane.Metres(s.Y, -10_000_000_000)
	long, okL := plane.Metres(p.Size.Length, 1)
	wide, okW := plane.Metres(width, 1)
	cos, sin, okD := plane.Direction(s.DX, s.DY)
	if !okX || !okY || !okL || !okW || !okD {
		return nil
	}
	b := &body{Outline: plane.Rectangle(x, y, long, wide, cos, sin), tray: tray, near: -1, mm: math.Inf(1)}
	p0, p2 := b.Outline.MM[0], b.Outline.MM[2]
	b.middle, b.reach = [2]float64{(p0[0] + p2[0]) / 2, (p0[1] + p2[1]) / 2}, math.Hypot(p2[0]-p0[0], p2[1]-p0[1])/2
	if h, ok := plane.Metres(height, 1); ok {
		b.height = h
	}
	t := &l.arranged.Trays[tray]
	ax, okX := plane.Metres(t.Across, 0)
	ay, okY := plane.Metres(t.Back, 0)
	if okX && okY && l.arranged.Chamber != nil {
		f := plane.Rectangle(ax.Add(ax, x), ay.Add(ay, y), long, wide, cos, sin)
		b.at = &f
	}
	return b
}

// meet finds for every pack in a place the one that lies closest on the same tray.
func (l *layout) meet() {
	l.on = map[int][]int{}
	for i, b := range l.placed {
		if b == nil {
			continue
		}
		for _, j := range l.on[b.tray] {
			o := l.placed[j]
			if least := b.between(o); least >= b.mm && least >= o.mm {
				continue // too far away to be the closest to either
			}
			d := b.Distance(&o.Outline)
			if d < b.mm {
				b.near, b.mm = j, d
			}
			if d < o.mm {
				o.near, o.mm = i, d
			}
		}
		l.on[b.tray] = append(l.on[b.tray], i)
	}
}

// between returns a distance that two bodies are at least apart: that of the circles
// around them.
func (b *body) between(o *body) float64 {
	return math.Hypot(b.middle[0]-o.middle[0], b.middle[1]-o.middle[1]) - b.reach - o.reach - plane.Slack
}

// nearest returns the pack that lies closest to one on the same tray, and how far
// away in millimetres. ok is false if there is none in a known place.
func (l *layout) nearest(i int) (other int, mm float64, ok bool) {
	b := l.placed[i]
	return b.near, b.mm, b.near >= 0
}

// toWall returns how far a pack is from the wall of the chamber in millimetres, and
// exactly whether it touches the wall or is beyond it, and whether it is closer than a
// gap. ok is false if a place or a size is not recorded.
func (l *layout) toWall(i int, least units.Length) (mm float64, touches, closer, ok bool) {
	b, c := l.placed[i], l.arranged.Chamber
	if b == nil || b.at == nil || c == nil || b.height == nil || l.levels[b.tray] == nil {
		return 0, false, false, false
	}
	width, okW := plane.Metres(c.Width, 1)
	height, okH := plane.Metres(c.Height, 1)
	depth, okD := plane.Metres(c.Depth, 1)
	if !okW || !okH || !okD {
		return 0, false, false, false
	}
	gap := least.Rat()
	low := l.levels[b.tray]
	top := new(big.Rat).Add(low, b.height)
	sub := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
	mm = math.Inf(1)
	flat := func(d *big.Rat) {
		touches = touches || d.Sign() <= 0
		closer = closer || d.Cmp(gap) < 0
		mm = min(mm, plane.Millimetres(d))
	}
	for _, p := range b.at.Corner {
		flat(p.Y) // the door
		flat(sub(depth, p.Y))
		if c.Shape == Square {
			flat(p.X)
			flat(sub(width, p.X))
			continue
		}
		// The wall of a round chamber is a circle around the middle of its width and
		// half its diameter up.
		r := new(big.Rat).Quo(width, big.NewRat(2, 1))
		inner := sub(r, gap)
		for _, z := range [2]*big.Rat{low, top} {
			x, z := sub(p.X, r), sub(z, r)
			square := new(big.Rat).Add(x.Mul(x, x), z.Mul(z, z))
			touches = touches || square.Cmp(new(big.Rat).Mul(r, r)) >= 0
			closer = closer || inner.Sign() < 0 || square.Cmp(new(big.Rat).Mul(inner, inner)) > 0
			far, _ := square.Float64()
			mm = min(mm, plane.Millimetres(r)-1000*math.Sqrt(far))
		}
	}
	if c.Shape == Square {
		flat(sub(height, top)) // low is not below the lowest point
	}
	return mm, touches, closer, true
}

// mostShares is how many packs that cover one are compared for the one that covers most of
// it, once one is known to cover too much: the answer is the same, and a heap of packs in
// one place, which no chamber holds, costs no more than packs that lie apart.
const mostShares = 4

// covered returns which pack on the same tray covers most of one and how much of it,
// and exactly whether that is more than a limit. other is -1 where none covers any.
func (l *layout) covered(i int, most *big.Rat) (other int, share float64, over bool) {
	b := l.placed[i]
	other = -1
	if b.near < 0 || !b.Closer(&l.placed[b.near].Outline, new(big.Rat)) {
		return other, 0, false // the closest does not cover it
	}
	other = b.near
	limit, _ := most.Float64()
	looked := 0
	for _, j := range l.on[b.tray] {
		o := l.placed[j]
		if j == i || b.between(o) > 0 {
			continue
		}
		s := b.Share(&o.Outline)
		if s > share {
			other, share = j, s
		}
		if share > limit+1e-9 && s > 0 {
			if looked++; looked == mostShares {
				break
			}
		}
	}
	switch {
	case most.Sign() == 0 || share > limit+1e-9:
		return other, share, true
	case share < limit-1e-9:
		return other, share, false
	}
	exact := b.Cut(&l.placed[other].Outline)
	return other, share, exact.Cmp(most.Mul(most, b.Area())) > 0
}

// above returns the lowest tray over another whose place covers part of it, and the
// height between the two. known is false if a tray's height is not recorded. A tray
// whose place across and back is not recorded counts as covering.
func (l *layout) above(tray int) (other int, rise *big.Rat, known bool) {
	if l.levels[tray] == nil {
		return -1, nil, false
	}
	known = len(l.rising) == len(l.levels)
	for _, j := range l.rising[l.higher[tray]:] {
		if l.extents[tray].Meets(&l.extents[j]) {
			return j, new(big.Rat).Sub(l.levels[j], l.levels[tray]), known
		}
	}
	return -1, nil, known
}

// percentUp returns a share as a report states it: to a hundredth of a percent, towards
// the larger.
func percentUp(share float64) units.Ratio {
	return units.FromFloat64(math.Ceil(share*1e4-1e-7)/100, 2, units.Percent)
}

// rounded returns a distance in millimetres as a report states it: to a hundredth of
// a millimetre, towards the smaller.
func rounded(mm float64) units.Length {
	return units.FromFloat64(math.Floor(mm*100+1e-7)/100, 2, units.Millimetre)
}

// roundedUp is rounded for an overhang: towards the larger.
func roundedUp(mm float64) units.Length {
	return units.FromFloat64(math.Ceil(mm*100-1e-7)/100, 2, units.Millimetre)
}
