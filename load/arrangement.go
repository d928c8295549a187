package load

import (
	"strconv"

	"example.com/moistheat"
	"example.com/moistheat/internal/check"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// arrangement judges how one pack lay in the chamber.
func (c *checker) arrangement(p *Pack) {
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
		c.Skip(&arrangementGap, "")
	} else {
		c.Answer(&arrangementWall, pl.TouchesWall, moistheat.No, at)
		c.gap(p, at)
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
		c.Answer(&arrangementDripping, pl.AboveWrapped, moistheat.No, at)
	}
}

func (c *checker) stacked(p *Pack, at string) {
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

func (c *checker) gap(p *Pack, at string) {
	if len(c.r.Packs) < 2 || !p.Packed() {
		c.Skip(&arrangementGap, "")
		return
	}
	lim := figures().PackGap
	var f *moistheat.Finding
	if gap := p.Placement.Gap; gap.IsValid() {
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
	c.weigh(&capacityOver, ByManufacturer)
	c.weigh(&validationOver, ByValidation)
}

func (c *checker) weigh(r *moistheat.Rule, by CapacitySource) {
	holds := c.holds()
	var lim units.Mass
	at := ""
	for i, row := range c.r.Sterilizer.Capacity {
		if row.Authority != by || row.Accessory != "" && row.Accessory != c.r.Sterilizer.Accessory ||
			row.Holds != 0 && !holds[row.Holds] {
			continue
		}
		if !lim.IsValid() || row.Mass.Compare(lim) < 0 {
			lim, at = row.Mass, "/sterilizer/capacity/"+strconv.Itoa(i)
		}
	}
	if !lim.IsValid() {
		c.Skip(r, "")
		return
	}
	masses, lacks := c.masses()
	sum, ok := units.Sum(masses)
	var f *moistheat.Finding
	switch {
	case ok && sum.Compare(lim) > 0: // what is not weighed can only add to it
		f = c.Add(r, moistheat.Broken, moistheat.Limit, at)
	case lacks != "" || !ok:
		f = check.With(c.Add(r, moistheat.Undetermined, moistheat.Missing, at), "what", lacks)
	default:
		f = c.Add(r, moistheat.Met, moistheat.Limit, at)
	}
	f.Measured, f.Limit = sum.Value(), lim.Value()
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
// one. A pack inside another is weighed with it.
func (c *checker) masses() (masses []units.Mass, lacks string) {
	for i := range c.r.Packs {
		switch p := &c.r.Packs[i]; {
		case p.Mass.IsValid() && p.Inside == "":
			masses = append(masses, p.Mass)
		case p.Inside == "" && lacks == "":
			lacks = "pack " + p.ID
		}
	}
	return masses, lacks
}
