package plane

import (
	"math"
	"math/big"

	"example.com/moistheat/units"
)

// QuarterPi returns a number that is less than a quarter of π by no more than a millionth.
func QuarterPi() *big.Rat { return big.NewRat(785_398, 1_000_000) }

// Fits reports whether a rectangle of length by width can lie within one of across by depth,
// turned in any way. ok is false if a side is not known.
func Fits(length, width, across, depth units.Length) (fits, ok bool) {
	sides := make([]*big.Rat, 0, 4)
	for _, l := range [...]units.Length{length, width, across, depth} {
		m, known := Metres(l, 1)
		if !known {
			return false, false
		}
		sides = append(sides, m)
	}
	p, q, a, b := sides[0], sides[1], sides[2], sides[3]
	if p.Cmp(q) < 0 {
		p, q = q, p
	}
	if a.Cmp(b) < 0 {
		a, b = b, a
	}
	if p.Cmp(a) <= 0 || q.Cmp(b) > 0 {
		return q.Cmp(b) <= 0, true
	}
	// It is longer than the other one: only turned does it fit (W. B. Carver, American
	// Mathematical Monthly, 1957): ((a+b)/(p+q))² + ((a-b)/(p-q))² is 2 or more.
	square := func(x, y *big.Rat) *big.Rat { x.Quo(x, y); return x.Mul(x, x) }
	sum := square(new(big.Rat).Add(a, b), new(big.Rat).Add(p, q))
	sum.Add(sum, square(new(big.Rat).Sub(a, b), new(big.Rat).Sub(p, q)))
	return sum.Cmp(big.NewRat(2, 1)) >= 0, true
}

// Footprint is what rectangles together take up of a plane, wherever they are.
type Footprint struct {
	n           int
	area, sides *big.Rat // sum of the areas; sum of half the outlines
}

// Add adds a rectangle, unless a side of it is not known.
func (f *Footprint) Add(length, width units.Length) {
	l, ok1 := Metres(length, 1)
	w, ok2 := Metres(width, 1)
	if !ok1 || !ok2 {
		return
	}
	if f.n == 0 {
		f.area, f.sides = new(big.Rat), new(big.Rat)
	}
	f.n++
	f.area.Add(f.area, new(big.Rat).Mul(l, w))
	f.sides.Add(f.sides, l.Add(l, w))
}

// excess returns, for rectangles within one of across by depth, the numbers a, b and c by
// which a·g² + b·g + c is how much more area than there is they take up with a distance of g
// between them: what is nearer than g/2 to one is nearer to no other, and nearer than g/2 to
// the one around them.
func (f *Footprint) excess(across, depth units.Length) (a, b, c *big.Rat, ok bool) {
	w, ok1 := Metres(across, 1)
	d, ok2 := Metres(depth, 1)
	if !ok1 || !ok2 || f.n < 2 {
		return nil, nil, nil, false
	}
	a = QuarterPi()
	a.Mul(a, big.NewRat(int64(f.n-1), 1))
	c = new(big.Rat).Sub(f.area, new(big.Rat).Mul(w, d))
	return a, new(big.Rat).Sub(f.sides, w.Add(w, d)), c, true
}

// Crowded reports whether rectangles within one of across by depth cannot all be as far
// apart as a gap. It does not where they can, and where that is not known.
func (f *Footprint) Crowded(across, depth, gap units.Length) bool {
	a, b, c, ok := f.excess(across, depth)
	g, known := Metres(gap, 0)
	if !ok || !known {
		return false
	}
	// At some smaller distance they may take up too much already: the area grows from then on.
	sum := a.Mul(a, g)
	sum.Add(sum, b)
	return c.Sign() > 0 || sum.Mul(sum, g).Add(sum, c).Sign() > 0
}

// Apart returns, in millimetres, how far apart rectangles that are crowded can be at most.
func (f *Footprint) Apart(across, depth units.Length) float64 {
	a, b, c, ok := f.excess(across, depth)
	if !ok || c.Sign() >= 0 {
		return 0
	}
	x, _ := a.Float64()
	y, _ := b.Float64()
	z, _ := c.Float64()
	return 1000 * (math.Sqrt(y*y-4*x*z) - y) / (2 * x)
}
