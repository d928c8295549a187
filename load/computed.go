package load

import (
	"math"
	"math/big"
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load/internal/plane"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// What nobody has to type, as it follows from sizes, heights, shelf lives and masses that a
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
	w.fill(&own, &known, "/arrangement", source)
	w.r.Arrangement = &own
}

// computed notes that a member of the record was computed from others and from what stands
// at a place of the catalogue, or else of the record itself.
func (w *writer) computed(at, source, own string, others ...string) {
	if w.from == nil {
		return
	}
	o := moistheat.Origin{Format: CatalogueFormat, ID: w.f.c.ID, Pointer: source, Computed: strings.Join(others, " ")}
	if source == "" {
		o.Format, o.ID, o.Pointer = Format, w.r.ID, own
	}
	w.from[at] = o
}

// filling computes which share of the chamber the packs take up, by their outer sizes. That is
// the least that a person can have seen: where the record states less, it does not count.
func (w *writer) filling() {
	const at = "/arrangement/fill"
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
func (w *writer) lasts(l *packaging.Label, kind *LabelType, at, source string) {
	if !kind.Keep.IsValid() || !w.day.IsValid() {
		return
	}
	last := kind.Keep.AfterDate(w.day)
	if !l.Expires.IsValid() {
		l.Expires = last
		w.computed(at, source, "", "/load/date")
	}
	w.earlier(&l.Expires, last, at)
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
	c.Ask(trayOverhang, at+"/tray").With("tray", p.Placement.Tray).With("by", lang.Phrase(", wherever it lies on it")).
		When(!known || !fits).BrokenWhen(known).Open(moistheat.Unrecorded)
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
		BrokenWhen(water.Rat().Cmp(removed) > 0).Known(lacks == "" && !porous)
}
