package load

import (
	"math/big"
	"strconv"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/check"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// arrangement judges how one pack lay in the chamber.
func (c *checker) arrangement(i int) {
	p := &c.r.Packs[i]
	pl := p.Placement
	at := section(pl != Placement{}, "/placement")
	c.stacked(p, at)
	switch {
	case p.Barrier != packaging.PaperFilmPouch || pl.Position == OnEdge:
		c.Skip(&arrangementFilm, "")
	case pl.Position == Flat && (pl.FilmSide == FilmUp || pl.FilmSide == FilmDown):
		c.Add(&arrangementFilm, check.If(pl.FilmSide == FilmDown), moistheat.Choice, at)
	default:
		c.Add(&arrangementFilm, moistheat.Undetermined, moistheat.Missing, at)
	}
	if p.Inside != "" {
		c.Skip(&arrangementWall, "")
		c.Skip(&wallClose, "")
		c.Skip(&arrangementGap, "")
	} else {
		c.wall(i, at)
		c.gap(i, at)
	}
	switch hw := p.Has(packaging.Hollowware); {
	case hw != moistheat.Yes:
		c.Skip(&arrangementOpening, "")
	case pl.OpenSide == 0:
		c.Add(&arrangementOpening, moistheat.Undetermined, moistheat.Missing, at)
	default:
		c.Add(&arrangementOpening, check.If(pl.OpenSide == OpenUp), moistheat.Choice, at)
	}
	if p.Packed() || !c.wrapped {
		c.Skip(&arrangementDripping, "")
	} else {
		over := c.lay.over(c.r, i, func(p *Pack) bool { return p.Packed() })
		c.Answer(&arrangementDripping, either(pl.AboveWrapped, over), moistheat.No, at)
	}
	c.facing(p, at)
	c.overlap(i, at)
	c.heavy(i, at)
	c.onTray(i, at)
	c.slot(i, at)
	if p.Has(packaging.Textile) == moistheat.Yes {
		c.Answer(&drapeFlat, pl.Upright, moistheat.Yes, at)
	} else {
		c.Skip(&drapeFlat, "")
	}
	for j := range p.Items {
		it := &p.Items[j]
		gravity := c.r.Cycle != nil && c.r.Cycle.Settings.AirRemoval == moistheat.GravityDisplacement
		if it.Has(packaging.Tubing) == moistheat.Yes && gravity {
			check.With(c.Answer(&tubingDry, it.Moist, moistheat.Yes, "/items/"+strconv.Itoa(j)), "item", it.Name)
		} else {
			c.Skip(&tubingDry, "")
		}
	}
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

func (c *checker) wall(i int, at string) {
	pl := &c.r.Packs[i].Placement
	lim := c.p.doc.wallGap()
	mm, touches, closer, ok := c.lay.toWall(i, lim.Value)
	seen, gap := pl.TouchesWall, units.Length{}
	if pl.WallGap.IsValid() {
		gap = pl.WallGap
		seen = either(seen, answer(gap.Compare(nowhere()) <= 0))
	}
	if !ok {
		f := c.Answer(&arrangementWall, seen, moistheat.No, at)
		f.Measured = gap.Value()
	} else {
		f := c.Answer(&arrangementWall, either(seen, answer(touches)), moistheat.No, at)
		if seen != moistheat.Yes || touches {
			f.Kind, f.Measured = moistheat.Limit, rounded(mm).Value()
		}
	}

	var f *moistheat.Finding
	short := gap.IsValid() && gap.Compare(lim.Value) < 0
	switch {
	case ok && (closer || !gap.IsValid()):
		f = c.Add(&wallClose, check.If(closer), moistheat.Limit, at+"/spot")
		f.Measured = rounded(max(0, mm)).Value()
	case gap.IsValid():
		f = c.Add(&wallClose, check.If(short), moistheat.Limit, at+"/wallGap")
		f.Measured = gap.Value()
	case pl.TouchesWall == moistheat.Yes:
		f = c.Add(&wallClose, moistheat.Broken, moistheat.Choice, at+"/touchesWall")
		f.Measured = nowhere().Value()
	default:
		f = c.Add(&wallClose, moistheat.Undetermined, moistheat.Missing, at)
	}
	f.Limit, f.Sources = lim.Value.Value(), []moistheat.Source{lim.Source}
}

func (c *checker) facing(p *Pack, at string) {
	switch side := p.Placement.FilmSide; {
	case p.Barrier != packaging.PaperFilmPouch || p.Placement.Position != OnEdge || len(c.r.Packs) < 2:
		c.Skip(&arrangementFacing, "")
	case side == FilmToPaper || side == FilmToFilm:
		c.Add(&arrangementFacing, check.If(side == FilmToFilm), moistheat.Choice, at)
	default:
		c.Add(&arrangementFacing, moistheat.Undetermined, moistheat.Missing, at)
	}
}

// overlap asks whether packs cover each other: by the share that somebody saw, and
// by their places.
func (c *checker) overlap(i int, at string) {
	p, b := &c.r.Packs[i], c.lay.placed[i]
	lim := c.p.doc.overlap()
	if c.standing < 2 || !p.Packed() || p.Inside != "" {
		c.Skip(&arrangementOverlap, "")
		return
	}
	other, share, over := -1, 0.0, false
	if b != nil {
		other, share, over = c.lay.covered(i, lim.Value.Rat())
	}
	seen := p.Placement.Overlap
	more := seen.IsValid() && seen.Compare(lim.Value) > 0
	var f *moistheat.Finding
	switch {
	case over:
		f = c.Add(&arrangementOverlap, moistheat.Broken, moistheat.Limit, at+"/spot")
		f.Measured = percentUp(share).Value()
		check.With(f, "other", c.r.Packs[other].ID)
		_, mm, _ := c.lay.nearest(i)
		check.With(f, "move", " Move them "+roundedUp(-mm).String()+" apart.")
	case more || seen.IsValid() && b == nil:
		f = c.Add(&arrangementOverlap, check.If(more), moistheat.Limit, at+"/overlap")
		f.Measured = seen.Value()
		check.With(check.With(f, "other", "its neighbour"), "move", "")
	case b != nil && c.lay.whole:
		f = c.Add(&arrangementOverlap, moistheat.Met, moistheat.Limit, at+"/spot")
		f.Measured = percentUp(share).Value()
	case seen.IsValid():
		f = c.Add(&arrangementOverlap, moistheat.Met, moistheat.Limit, at+"/overlap")
		f.Measured = seen.Value()
	default:
		f = c.Add(&arrangementOverlap, moistheat.Undetermined, moistheat.Missing, at)
	}
	f.Limit, f.Sources = lim.Value.Value(), []moistheat.Source{lim.Source}
}

// heavy reports whether a pack is metal that sheds water.
func heavy(p *Pack) bool {
	return p.Has(packaging.Textile) != moistheat.Yes &&
		(p.Has(packaging.Hollowware) == moistheat.Yes || p.Barrier == packaging.RigidContainer || p.Barrier == packaging.WrapSheet || p.Barrier == packaging.Unwrapped)
}

func (c *checker) heavy(i int, at string) {
	p := &c.r.Packs[i]
	cloth := func(p *Pack) bool { return p.Has(packaging.Textile) == moistheat.Yes }
	any := false
	for j := range c.r.Packs {
		any = any || cloth(&c.r.Packs[j])
	}
	if !any || !heavy(p) || p.Inside != "" {
		c.Skip(&arrangementHeavy, "")
		return
	}
	c.Answer(&arrangementHeavy, either(p.Placement.AboveTextile, c.lay.over(c.r, i, cloth)), moistheat.No, at)
}

// onTray asks what must hold of a pack on its tray.
func (c *checker) onTray(i int, at string) {
	p, b := &c.r.Packs[i], c.lay.placed[i]
	pl := &p.Placement
	if p.Packed() {
		c.Skip(&trayTouching, "")
		c.Skip(&trayBare, "")
	} else {
		c.Answer(&trayTouching, pl.ItemsApart, moistheat.Yes, at)
		lined := moistheat.NotRecorded
		if t, ok := c.lay.trays[pl.Tray]; ok {
			lined = c.lay.arranged.Trays[t].Lined
		}
		c.Answer(&trayBare, lined, moistheat.Yes, at)
	}
	if pl.Spot == nil {
		c.Skip(&trayOverhang, "")
		if pl.GapAbove.IsValid() {
			f := c.Add(&trayAbove, check.If(pl.GapAbove.Compare(nowhere()) <= 0), moistheat.Limit, at+"/gapAbove")
			f.Measured = pl.GapAbove.Value()
			check.With(f, "how", "touches the tray")
		} else {
			c.Skip(&trayAbove, "")
		}
		return
	}
	at += "/spot"
	var width, depth *big.Rat
	ok := false
	if b != nil {
		t := &c.lay.arranged.Trays[b.tray]
		w, ok1 := rational(t.Width, 1)
		d, ok2 := rational(t.Depth, 1)
		width, depth, ok = w, d, ok1 && ok2
	}
	if ok {
		over := b.outside(width, depth)
		f := c.Add(&trayOverhang, check.If(over.Sign() > 0), moistheat.Limit, at)
		f.Measured = roundedUp(max(0, millimetres(over))).Value()
		check.With(f, "tray", pl.Tray)
	} else {
		check.With(c.Add(&trayOverhang, moistheat.Undetermined, moistheat.Missing, at), "tray", pl.Tray)
	}

	if b == nil || b.height == nil {
		c.Add(&trayAbove, moistheat.Undetermined, moistheat.Missing, at)
		return
	}
	other, rise, known := c.lay.above(b.tray)
	touched := pl.GapAbove.IsValid() && pl.GapAbove.Compare(nowhere()) <= 0
	switch {
	case rise != nil && b.height.Cmp(rise) >= 0:
		f := c.Add(&trayAbove, moistheat.Broken, moistheat.Limit, at)
		f.Measured = roundedUp(millimetres(new(big.Rat).Sub(b.height, rise))).Value()
		check.With(f, "how", "reaches "+f.Measured.Text()+" into tray "+c.lay.arranged.Trays[other].ID)
	case touched:
		f := c.Add(&trayAbove, moistheat.Broken, moistheat.Limit, at)
		f.Measured = pl.GapAbove.Value()
		check.With(f, "how", "touches the tray")
	case !known:
		c.Add(&trayAbove, moistheat.Undetermined, moistheat.Missing, at)
	default:
		f := c.Add(&trayAbove, moistheat.Met, moistheat.Limit, at)
		if rise != nil {
			f.Measured = rounded(millimetres(rise.Sub(rise, b.height))).Value()
		}
	}
}

func (c *checker) slot(i int, at string) {
	p := &c.r.Packs[i]
	if p.Placement.Slot == "" {
		c.Skip(&rackShared, "")
		return
	}
	for j := range i {
		q := &c.r.Packs[j]
		if q.Placement.Slot == p.Placement.Slot && q.Placement.Tray == p.Placement.Tray {
			f := check.With(c.Add(&rackShared, moistheat.Broken, moistheat.Consistency, at+"/slot"), "slot", p.Placement.Slot)
			check.With(f, "other", q.ID)
			return
		}
	}
	c.Add(&rackShared, moistheat.Met, moistheat.Consistency, at+"/slot")
}

// filled judges how the chamber was filled as a whole.
func (c *checker) filled() {
	a := c.lay.arranged
	at := section(c.r.Arrangement != nil, "/arrangement")
	lim := c.p.doc.chamberFill()
	var f *moistheat.Finding
	if a.Fill.IsValid() {
		f = c.Add(&chamberFull, check.If(a.Fill.Compare(lim.Value) > 0), moistheat.Limit, at+"/fill")
		f.Measured, f.Limit, f.Sources = a.Fill.Value(), lim.Value.Value(), []moistheat.Source{lim.Source}
	} else {
		f = c.Add(&chamberFull, moistheat.Undetermined, moistheat.Missing, at)
		f.Limit, f.Sources = lim.Value.Value(), []moistheat.Source{lim.Source}
	}
	c.Answer(&patternNew, a.Validated, moistheat.Yes, at)
	c.drying(at)
	if ch := c.r.Monitors.Challenge; ch != nil {
		c.Answer(&challengePlace, ch.Hardest, moistheat.Yes, "/monitors/challenge")
	} else {
		c.Skip(&challengePlace, "")
	}
	switch cy := c.r.Cycle; {
	case cy == nil || !c.wrapped:
		c.Skip(&purposePacked, "")
	case cy.Purpose == 0:
		c.Add(&purposePacked, moistheat.Undetermined, moistheat.Missing, "/cycle")
	default:
		c.Add(&purposePacked, check.If(cy.Purpose == ForUnwrappedGoods), moistheat.Choice, "/cycle/purpose")
	}
	c.traysOf(a)
}

func (c *checker) traysOf(a *Arrangement) {
	if len(a.Trays) == 0 {
		c.Add(&traySolid, moistheat.Undetermined, moistheat.Missing, section(c.r.Arrangement != nil, "/arrangement"))
		c.Skip(&trayForeign, "")
		c.Skip(&trayGap, "")
		return
	}
	lim := c.p.doc.trayGap()
	for i := range a.Trays {
		t := &a.Trays[i]
		at := "/arrangement/trays/" + strconv.Itoa(i)
		check.With(c.Answer(&traySolid, t.Perforated, moistheat.Yes, at), "tray", t.ID)
		check.With(c.Answer(&trayForeign, t.Fitting, moistheat.Yes, at), "tray", t.ID)
		if len(a.Trays) < 2 {
			c.Skip(&trayGap, "")
			continue
		}
		other, rise, known := c.lay.above(i)
		rim, ok := rational(t.Rim, 0)
		var f *moistheat.Finding
		switch {
		case rise == nil && known:
			c.Skip(&trayGap, "")
			continue
		case rise != nil && ok && rise.Sub(rise, rim).Cmp(lim.Value.Rat()) < 0:
			f = c.Add(&trayGap, moistheat.Broken, moistheat.Limit, at)
			f.Measured = rounded(millimetres(rise)).Value()
		case !known || !ok:
			f = c.Add(&trayGap, moistheat.Undetermined, moistheat.Missing, at)
		default:
			f = c.Add(&trayGap, moistheat.Met, moistheat.Limit, at)
			f.Measured = rounded(millimetres(rise)).Value()
		}
		f.Limit, f.Sources = lim.Value.Value(), []moistheat.Source{lim.Source}
		check.With(f, "tray", t.ID)
		if other >= 0 {
			check.With(f, "other", a.Trays[other].ID)
		}
	}
}

func (c *checker) stacked(p *Pack, at string) {
	below, ok := c.index[p.Placement.On]
	if ok && p.Placement.On != "" && p.Barrier == packaging.RigidContainer && c.r.Packs[below].Barrier == packaging.RigidContainer {
		allowed := c.r.Packs[below].Placement.Stackable
		check.With(c.Answer(&containerStacked, allowed, moistheat.Yes, at+"/on"), "on", p.Placement.On)
		c.Skip(&arrangementStacked, "")
		return
	}
	c.Skip(&containerStacked, "")
	switch {
	case !p.Packed():
		c.Skip(&arrangementStacked, "")
	case p.Placement.On != "" && p.Placement.On != p.Inside:
		check.With(c.Add(&arrangementStacked, moistheat.Broken, moistheat.Choice, at+"/on"), "on", p.Placement.On)
	case p.Placement.Position == 0 && p.Inside == "":
		c.Add(&arrangementStacked, moistheat.Undetermined, moistheat.Missing, at)
	default:
		c.Add(&arrangementStacked, moistheat.Met, moistheat.Choice, at)
	}
}

// gap asks how far away the nearest pack is: as somebody measured it, and as the
// places say. The smaller counts. Places prove a gap only where all are known.
func (c *checker) gap(i int, at string) {
	p, b := &c.r.Packs[i], c.lay.placed[i]
	if c.standing < 2 || !p.Packed() {
		c.Skip(&arrangementGap, "")
		return
	}
	lim := c.p.doc.packGap()
	var f *moistheat.Finding
	other, mm, found := -1, 0.0, false
	if b != nil {
		other, mm, found = c.lay.nearest(i)
	}
	if found && b.closer(&c.lay.placed[other].footprint, lim.Value.Rat()) {
		f = c.Add(&arrangementGap, moistheat.Broken, moistheat.Limit, at+"/spot")
		f.Measured = rounded(max(0, mm)).Value()
		check.With(f, "other", c.r.Packs[other].ID)
	} else if !p.Placement.Gap.IsValid() && b != nil && c.lay.whole {
		f = c.Add(&arrangementGap, moistheat.Met, moistheat.Limit, at+"/spot")
		if found {
			f.Measured = rounded(mm).Value()
		}
	} else if gap := p.Placement.Gap; gap.IsValid() {
		f = c.Add(&arrangementGap, check.If(gap.Compare(lim.Value) < 0), moistheat.Limit, at+"/gap")
		f.Measured = gap.Value()
	} else {
		f = c.Add(&arrangementGap, moistheat.Undetermined, moistheat.Missing, at)
	}
	f.Limit, f.Sources = lim.Value.Value(), []moistheat.Source{lim.Source}
}

// capacity weighs the load against the rows of the capacity table that apply: for
// each authority the smallest mass.
func (c *checker) capacity() {
	c.filled()
	c.weigh(&capacityOver, ByManufacturer)
	c.weigh(&validationOver, ByValidation)
}

// rows calls f for each row of the capacity table that applies, or may apply because
// the setting of the cycle is not recorded.
func (c *checker) rows(f func(row *Capacity, pointer string, sure bool)) {
	holds := c.holds()
	var set cycle.Settings
	if c.r.Cycle != nil {
		set = c.r.Cycle.Settings
	}
	for i := range c.r.Sterilizer.Capacity {
		row := &c.r.Sterilizer.Capacity[i]
		otherAir := row.AirRemoval != 0 && set.AirRemoval != 0 && row.AirRemoval != set.AirRemoval
		otherHeat := row.Temperature.IsValid() && set.Temperature.IsValid() && row.Temperature.Compare(set.Temperature) != 0
		otherHolds := row.Holds != 0 && (int(row.Holds) >= len(holds) || !holds[row.Holds])
		otherAccessory := row.Accessory != "" && row.Accessory != c.r.Sterilizer.Accessory
		if otherAccessory || otherHolds || otherAir || otherHeat {
			continue
		}
		f(row, "/sterilizer/capacity/"+strconv.Itoa(i),
			(row.AirRemoval == 0 || set.AirRemoval != 0) && (!row.Temperature.IsValid() || set.Temperature.IsValid()))
	}
}

func (c *checker) weigh(r *moistheat.Rule, by CapacitySource) {
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
		c.Skip(r, "")
		return
	}
	masses, lacks := c.masses()
	if lacks != "" {
		lacks = "the mass of " + lacks
	}
	sum, ok := units.Sum(masses)
	over := func(l units.Mass) bool { return ok && l.IsValid() && sum.Compare(l) > 0 }
	var f *moistheat.Finding
	switch {
	case over(lim): // what is not weighed can only add to it
		f = c.Add(r, moistheat.Broken, moistheat.Limit, at)
	case over(perhaps):
		f = check.With(c.Add(r, moistheat.Undetermined, moistheat.Missing, or), "what", "the setting of the cycle")
		lim = perhaps
	case lacks != "" || !ok:
		if !lim.IsValid() {
			lim, at = perhaps, or
		}
		f = check.With(c.Add(r, moistheat.Undetermined, moistheat.Missing, at), "what", lacks)
	default:
		if !lim.IsValid() {
			lim, at = perhaps, or
		}
		f = c.Add(r, moistheat.Met, moistheat.Limit, at)
	}
	f.Measured, f.Limit = sum.Value(), lim.Value()
}

// tableDrying returns the longest drying that the capacity table asks for.
func (c *checker) tableDrying() (d Demand) {
	c.rows(func(row *Capacity, pointer string, _ bool) {
		if row.Drying.Compare(d.Least) > 0 {
			d = Demand{Least: row.Drying, Pointer: pointer,
				Source: moistheat.Source{Document: "capacity table of the sterilizer", Locator: row.Accessory, Basis: moistheat.Facility}}
		}
	})
	return d
}

// racks names what is in use that asks for longer drying than usual, or "".
func (a *Arrangement) racks() string {
	switch {
	case a == nil:
		return ""
	case a.CassetteRack == moistheat.Yes:
		return "a cassette rack is in use"
	case a.PouchRacks > 2:
		return strconv.Itoa(a.PouchRacks) + " pouch racks are in use"
	}
	return ""
}

// drying asks whether drying was as long as the capacity table asks, or longer than
// usual where racks ask for that and nobody says how long.
func (c *checker) drying(at string) {
	need, racks := c.tableDrying(), c.r.Arrangement.racks()
	switch {
	case need.Least.IsValid() && c.r.Cycle != nil:
		had := c.r.Cycle.Printed.DryingTime
		if !had.IsValid() {
			had = c.r.Cycle.Settings.Drying
		}
		o, kind := check.If(had.Compare(need.Least) < 0), moistheat.Limit
		if !had.IsValid() {
			o, kind = moistheat.Undetermined, moistheat.Missing
		}
		f := c.Add(&dryingShort, o, kind, need.Pointer)
		f.Measured, f.Limit, f.Sources = had.Value(), need.Least.Value(), []moistheat.Source{need.Source}
		check.With(f, "what", "The cycle dried for "+had.String()+"; the sterilizer's table asks for at least "+need.Least.String())
		check.With(f, "open", "how long the cycle dried; the sterilizer's table asks for at least "+need.Least.String())
	case racks != "":
		f := c.Answer(&dryingShort, c.r.Arrangement.LongerDrying, moistheat.Yes, at)
		check.With(check.With(f, "what", capital(racks)+" and drying was not set longer"), "open", "whether drying was set longer; "+racks)
	case c.lay.arranged.CassetteRack == moistheat.NotRecorded && c.lay.arranged.LongerDrying != moistheat.Yes:
		open := "whether a cassette rack was in use"
		if c.lay.arranged.PouchRacks == 0 {
			open = "whether a cassette rack or more than two pouch racks were in use"
		}
		if c.lay.arranged.LongerDrying == moistheat.NotRecorded {
			open += ", nor whether drying was set longer"
		}
		check.With(c.Add(&dryingShort, moistheat.Undetermined, moistheat.Missing, at), "open", open)
	default:
		c.Skip(&dryingShort, "")
	}
}

// holds says which contents of a capacity table are in the load.
func (c *checker) holds() [Textiles + 1]bool {
	var has [Textiles + 1]bool
	for i := range c.r.Packs {
		switch p := &c.r.Packs[i].Pack; {
		case p.Has(packaging.Textile) == moistheat.Yes:
			has[Textiles] = true
		case p.Packed():
			has[WrappedMetal] = true
		default:
			has[UnwrappedMetal] = true
		}
	}
	return has
}

// masses returns the recorded masses of the packs and names the first that lacks
// one, or all where none is listed. A pack inside another is weighed with it.
func (c *checker) masses() (masses []units.Mass, lacks string) {
	for i := range c.r.Packs {
		switch p := &c.r.Packs[i]; {
		case p.Mass.IsValid() && p.Inside == "":
			masses = append(masses, p.Mass)
		case p.Inside == "" && lacks == "":
			lacks = "pack " + p.ID
		}
	}
	if masses == nil && lacks == "" {
		lacks = "the packs"
	}
	return masses, lacks
}
