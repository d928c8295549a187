// Package plane measures outlines of things that lie in a plane.
//
// It is exact: lengths are rational numbers of metres as recorded, and
// distances are compared by their squares. Floating point decides only where two
// numbers are further apart than its rounding can matter. A direction is a rational
// point of the unit circle: exact where run and rise make a right triangle with a
// rational long side (3 and 4, say, and of course 0), and otherwise within a
// billionth of a radian, which is a nanometre in a metre.
package plane

import (
	"math"
	"math/big"

	"example.com/moistheat/units"
)

// Point is a place in a plane, in metres.
type Point struct{ X, Y *big.Rat }

// Outline is the convex outline of a pack or tray seen from above, its corners
// counter-clockwise, with a float64 copy in millimetres.
type Outline struct {
	Corner [4]Point
	MM     [4][2]float64
}

// Metres returns a length in metres; ok is false for one that is not recorded, is shorter
// than least, in nanometres, or is longer than any chamber, 10 m.
func Metres(l units.Length, least int64) (*big.Rat, bool) {
	if !l.IsValid() {
		return nil, false
	}
	r := l.Rat()
	return r, r.Cmp(big.NewRat(least, 1_000_000_000)) >= 0 && r.Cmp(big.NewRat(10, 1)) <= 0
}

// Rectangle returns the outline of length by width whose first corner is at x, y
// and whose length runs in the direction of cos and sin.
func Rectangle(x, y, length, width, cos, sin *big.Rat) Outline {
	mul := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
	lx, ly := mul(length, cos), mul(length, sin)
	wx, wy := mul(width, new(big.Rat).Neg(sin)), mul(width, cos)
	add := func(a ...*big.Rat) *big.Rat {
		s := new(big.Rat)
		for _, v := range a {
			s.Add(s, v)
		}
		return s
	}
	f := Outline{Corner: [4]Point{{x, y}, {add(x, lx), add(y, ly)}, {add(x, lx, wx), add(y, ly, wy)}, {add(x, wx), add(y, wy)}}}
	for i, p := range f.Corner {
		f.MM[i] = [2]float64{Millimetres(p.X), Millimetres(p.Y)}
	}
	return f
}

// Millimetres returns a number of metres in millimetres.
func Millimetres(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f * 1000
}

// Direction returns cosine and sine of the direction that runs so far across and
// back. ok is false for no direction at all.
func Direction(run, rise units.Length) (cos, sin *big.Rat, ok bool) {
	if !run.IsValid() && !rise.IsValid() {
		return big.NewRat(1, 1), new(big.Rat), true
	}
	x, y := run.Rat(), rise.Rat()
	fx, _ := x.Float64()
	fy, _ := y.Float64()
	long := math.Hypot(fx, fy)
	if long == 0 || math.IsInf(long, 0) || math.IsNaN(long) {
		return nil, nil, false
	}
	// With t the tangent of half the angle, cosine and sine are (1-t²)/(1+t²) and
	// 2t/(1+t²). Above the axis of symmetry t is at most 1; the other directions are
	// mirror images.
	ax, ay := math.Abs(fx), math.Abs(fy)
	t := big.NewRat(int64(math.RoundToEven(ay/(ax+long)*1e9)), 1_000_000_000)
	// Exact where the long side is rational.
	square := new(big.Rat).Add(new(big.Rat).Mul(x, x), new(big.Rat).Mul(y, y))
	if root, exact := sqrt(square); exact {
		t = new(big.Rat).Abs(y)
		t.Quo(t, root.Add(root, new(big.Rat).Abs(x)))
	}
	tt := new(big.Rat).Mul(t, t)
	one := big.NewRat(1, 1)
	den := new(big.Rat).Add(one, tt)
	cos = new(big.Rat).Quo(new(big.Rat).Sub(one, tt), den)
	sin = new(big.Rat).Quo(new(big.Rat).Add(t, t), den)
	if x.Sign() < 0 {
		cos.Neg(cos)
	}
	if y.Sign() < 0 {
		sin.Neg(sin)
	}
	return cos, sin, true
}

// sqrt returns the square root of a rational number if that is rational.
func sqrt(r *big.Rat) (*big.Rat, bool) {
	n, d := new(big.Int).Sqrt(r.Num()), new(big.Int).Sqrt(r.Denom())
	root := new(big.Rat).SetFrac(n, d)
	return root, new(big.Rat).Mul(root, root).Cmp(r) == 0
}

// Distance is how far two outlines are apart, in millimetres: below zero by how far
// one must be moved to come free.
func (f *Outline) Distance(g *Outline) float64 {
	deepest := math.Inf(-1) // the widest gap along the normal of an edge
	for _, pair := range [2][2]*Outline{{f, g}, {g, f}} {
		for i := range 4 {
			p, q := pair[0].MM[i], pair[0].MM[(i+1)%4]
			nx, ny := q[1]-p[1], p[0]-q[0] // outwards
			n := math.Hypot(nx, ny)
			nearest := math.Inf(1)
			for _, c := range pair[1].MM {
				nearest = min(nearest, ((c[0]-p[0])*nx+(c[1]-p[1])*ny)/n)
			}
			deepest = max(deepest, nearest)
		}
	}
	if deepest <= 0 {
		return deepest
	}
	closest := math.Inf(1)
	for _, pair := range [2][2]*Outline{{f, g}, {g, f}} {
		for i := range 4 {
			p, q := pair[0].MM[i], pair[0].MM[(i+1)%4]
			dx, dy := q[0]-p[0], q[1]-p[1]
			for _, c := range pair[1].MM {
				t := min(1, max(0, ((c[0]-p[0])*dx+(c[1]-p[1])*dy)/(dx*dx+dy*dy)))
				closest = min(closest, math.Hypot(c[0]-p[0]-t*dx, c[1]-p[1]-t*dy))
			}
		}
	}
	return closest
}

// Slack is what floating point may be wrong by, in millimetres, with room to spare:
// coordinates reach 10 m, of which a float64 holds a picometre or two.
const Slack = 1e-6

// Closer reports exactly whether two outlines are less than gap apart; a gap of zero
// asks whether they cover each other, and outlines that touch do not.
func (f *Outline) Closer(g *Outline, gap *big.Rat) bool {
	switch d := f.Distance(g) - Millimetres(gap); {
	case d > Slack:
		return false
	case d < -Slack:
		return true
	}
	apart := new(big.Rat) // square of the exact distance, 0 where they touch or cover
	if f.free(g) || g.free(f) {
		apart = f.square(g)
	} else if gap.Sign() == 0 {
		return !f.touches(g) && !g.touches(f)
	}
	return apart.Cmp(new(big.Rat).Mul(gap, gap)) < 0
}

// side returns the sign of the place of c against the edge from p to q: above zero
// outside of the outline.
func side(p, q, c Point) int {
	a := new(big.Rat).Mul(new(big.Rat).Sub(c.X, p.X), new(big.Rat).Sub(q.Y, p.Y))
	b := new(big.Rat).Mul(new(big.Rat).Sub(c.Y, p.Y), new(big.Rat).Sub(q.X, p.X))
	return a.Cmp(b)
}

// beyond reports whether all of g is beyond one edge of f by at least the sign.
func (f *Outline) beyond(g *Outline, sign int) bool {
	for i := range 4 {
		all := true
		for _, c := range g.Corner {
			all = all && side(f.Corner[i], f.Corner[(i+1)%4], c) >= sign
		}
		if all {
			return true
		}
	}
	return false
}

func (f *Outline) free(g *Outline) bool    { return f.beyond(g, 1) }
func (f *Outline) touches(g *Outline) bool { return f.beyond(g, 0) }

// square returns the square of the distance between two outlines that are apart:
// the smallest between a corner of one and an edge of the other.
func (f *Outline) square(g *Outline) *big.Rat {
	var least *big.Rat
	for _, pair := range [2][2]*Outline{{f, g}, {g, f}} {
		for i := range 4 {
			for _, c := range pair[1].Corner {
				if d := toEdge(pair[0].Corner[i], pair[0].Corner[(i+1)%4], c); least == nil || d.Cmp(least) < 0 {
					least = d
				}
			}
		}
	}
	return least
}

// toEdge returns the square of the distance from c to the edge from p to q.
func toEdge(p, q, c Point) *big.Rat {
	sub := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
	dot := func(ax, ay, bx, by *big.Rat) *big.Rat {
		return new(big.Rat).Add(new(big.Rat).Mul(ax, bx), new(big.Rat).Mul(ay, by))
	}
	dx, dy := sub(q.X, p.X), sub(q.Y, p.Y)
	cx, cy := sub(c.X, p.X), sub(c.Y, p.Y)
	long := dot(dx, dy, dx, dy)
	t := dot(cx, cy, dx, dy)
	switch {
	case t.Sign() <= 0:
	case t.Cmp(long) >= 0:
		cx, cy = sub(c.X, q.X), sub(c.Y, q.Y)
	default:
		cross := sub(new(big.Rat).Mul(cx, dy), new(big.Rat).Mul(cy, dx))
		return cross.Quo(cross.Mul(cross, cross), long)
	}
	return dot(cx, cy, cx, cy)
}

// Outside returns by how much the outline stands out of the rectangle from 0, 0 to
// width, depth: the largest overhang, not above zero where there is none.
func (f *Outline) Outside(width, depth *big.Rat) *big.Rat {
	var most *big.Rat
	for _, c := range f.Corner {
		for _, over := range [4]*big.Rat{
			new(big.Rat).Neg(c.X), new(big.Rat).Neg(c.Y), new(big.Rat).Sub(c.X, width), new(big.Rat).Sub(c.Y, depth),
		} {
			if most == nil || over.Cmp(most) > 0 {
				most = over
			}
		}
	}
	return most
}

// Share returns which share of an outline another covers.
func (f *Outline) Share(g *Outline) float64 {
	var room [2][8][2]float64
	return area(clip(f.MM[:], g.MM[:], &room)) / area(f.MM[:])
}

// clip returns what two convex outlines have in common, in room that it may use.
func clip(f, g [][2]float64, room *[2][8][2]float64) [][2]float64 {
	out := f
	for i := range g {
		p, q := g[i], g[(i+1)%len(g)]
		side := func(c [2]float64) float64 { return (q[0]-p[0])*(c[1]-p[1]) - (q[1]-p[1])*(c[0]-p[0]) }
		in := out
		out = room[i%2][:0]
		for j := range in {
			a, b := in[j], in[(j+1)%len(in)]
			da, db := side(a), side(b)
			if da >= 0 {
				out = append(out, a)
			}
			if da*db < 0 { // on both sides
				t := da / (da - db)
				out = append(out, [2]float64{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])})
			}
		}
	}
	return out
}

// area returns the area inside an outline.
func area(f [][2]float64) (twice float64) {
	for i := range f {
		p, q := f[i], f[(i+1)%len(f)]
		twice += p[0]*q[1] - p[1]*q[0]
	}
	return twice / 2
}

// Cut returns the exact area that two outlines have in common, in square metres.
func (f *Outline) Cut(g *Outline) *big.Rat {
	sub := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
	mul := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
	out := f.Corner[:]
	for i := range g.Corner {
		p, q := g.Corner[i], g.Corner[(i+1)%4]
		dx, dy := sub(q.X, p.X), sub(q.Y, p.Y)
		side := func(c Point) *big.Rat { return sub(mul(dx, sub(c.Y, p.Y)), mul(dy, sub(c.X, p.X))) }
		in := out
		out = nil
		for j := range in {
			a, b := in[j], in[(j+1)%len(in)]
			da, db := side(a), side(b)
			if da.Sign() >= 0 {
				out = append(out, a)
			}
			if da.Sign()*db.Sign() < 0 {
				t := new(big.Rat).Quo(da, sub(da, db))
				x, y := mul(t, sub(b.X, a.X)), mul(t, sub(b.Y, a.Y))
				out = append(out, Point{x.Add(x, a.X), y.Add(y, a.Y)})
			}
		}
	}
	return polygon(out)
}

// Area returns the exact area inside the outline, in square metres.
func (f *Outline) Area() *big.Rat { return polygon(f.Corner[:]) }

func polygon(corners []Point) *big.Rat {
	twice := new(big.Rat)
	for i := range corners {
		p, q := corners[i], corners[(i+1)%len(corners)]
		twice.Add(twice, new(big.Rat).Mul(p.X, q.Y))
		twice.Sub(twice, new(big.Rat).Mul(p.Y, q.X))
	}
	return twice.Quo(twice, big.NewRat(2, 1))
}

// Extent is the ground that something covers, from and to across and back; nil where
// not recorded. With each its float64 copy in millimetres.
type Extent struct {
	at [4]*big.Rat
	mm [4]float64
}

// NewExtent returns the ground of what begins so far across and back and is so wide
// and deep.
func NewExtent(across, width, back, depth units.Length) (e Extent) {
	for i, side := range [2][2]units.Length{{across, width}, {back, depth}} {
		from, ok1 := Metres(side[0], 0)
		long, ok2 := Metres(side[1], 1)
		if ok1 && ok2 {
			e.at[2*i], e.at[2*i+1] = from, long.Add(long, from)
			e.mm[2*i], e.mm[2*i+1] = Millimetres(e.at[2*i]), Millimetres(e.at[2*i+1])
		}
	}
	return e
}

// Meets reports whether two things lie over each other, as far as is known.
func (e *Extent) Meets(o *Extent) bool {
	for i := 0; i < 4; i += 2 {
		if e.at[i] != nil && o.at[i] != nil && (e.ends(i+1, o, i) || o.ends(i+1, e, i)) {
			return false
		}
	}
	return true
}

// ends reports exactly whether one side of an extent is not beyond a side of another.
func (e *Extent) ends(i int, o *Extent, j int) bool {
	if d := e.mm[i] - o.mm[j]; d < -Slack || d > Slack {
		return d < 0
	}
	return e.at[i].Cmp(o.at[j]) <= 0
}
