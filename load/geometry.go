package load

import (
	"math"
	"math/big"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/load/internal/plane"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

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
