package load

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func metres(s string) *big.Rat { return length(s).Rat() }

// at returns a rectangle, its direction given by run and rise.
func at(t testing.TB, x, y, long, wide, run, rise string) *footprint {
	t.Helper()
	cos, sin, ok := direction(length(run), length(rise))
	require.True(t, ok)
	f := rectangle(metres(x), metres(y), metres(long), metres(wide), cos, sin)
	return &f
}

// Distances that follow from triangles with whole sides.
func TestCloser(t *testing.T) {
	plain := at(t, "0 mm", "0 mm", "50 mm", "10 mm", "1 mm", "0 mm")
	slant := at(t, "0 mm", "0 mm", "50 mm", "10 mm", "4 mm", "3 mm")
	for _, tt := range []struct {
		name string
		f, g *footprint
		mm   string // the exact distance
	}{
		{"side by side", plain, at(t, "0 mm", "16.35 mm", "50 mm", "10 mm", "1 mm", "0 mm"), "6.35 mm"},
		// From the corner at 50, 10 go 3 across and 4 back.
		{"corner to corner", plain, at(t, "53 mm", "14 mm", "50 mm", "10 mm", "1 mm", "0 mm"), "5 mm"},
		// The lowest corner of a slanted pack is 6.35 mm above the edge.
		{"corner to edge", plain, at(t, "20 mm", "16.35 mm", "30 mm", "10 mm", "4 mm", "3 mm"), "6.35 mm"},
		// Two slanted packs, moved along the normal (-3/5, 4/5) by 10 + 6.35 mm. Their
		// bounding boxes cover each other.
		{"slanted side by side", slant, at(t, "-9.81 mm", "13.08 mm", "50 mm", "10 mm", "4 mm", "3 mm"), "6.35 mm"},
		// The same, turned by half a circle: the second pack starts at its other end.
		{"slanted, the other way round", slant, at(t, "24.19 mm", "51.08 mm", "50 mm", "10 mm", "-4 mm", "-3 mm"), "6.35 mm"},
		{"touching", plain, at(t, "50 mm", "0 mm", "50 mm", "10 mm", "1 mm", "0 mm"), "0 mm"},
		{"a corner on an edge", plain, at(t, "20 mm", "10 mm", "30 mm", "10 mm", "4 mm", "3 mm"), "0 mm"},
		{"touching at a corner", plain, at(t, "50 mm", "10 mm", "30 mm", "10 mm", "4 mm", "3 mm"), "0 mm"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			gap := metres(tt.mm)
			// A ten-billionth of a millimetre, far below what float64 can tell apart.
			hair := big.NewRat(1, 10_000_000_000_000)
			for _, p := range [][2]*footprint{{tt.f, tt.g}, {tt.g, tt.f}} {
				assert.False(t, p[0].closer(p[1], gap), "at the limit")
				assert.True(t, p[0].closer(p[1], new(big.Rat).Add(gap, hair)), "just inside")
				if gap.Sign() > 0 {
					assert.False(t, p[0].closer(p[1], new(big.Rat).Sub(gap, hair)), "just outside")
				}
				assert.InDelta(t, millimetres(gap), p[0].distance(p[1]), 1e-9)
			}
		})
	}
	assert.True(t, plain.closer(at(t, "49.9999999999 mm", "0 mm", "50 mm", "10 mm", "1 mm", "0 mm"), new(big.Rat)), "covers by a hair")
	assert.InDelta(t, -5, plain.distance(at(t, "45 mm", "0 mm", "50 mm", "10 mm", "1 mm", "0 mm")), 1e-9)
}

func TestDirection(t *testing.T) {
	for _, tt := range []struct{ run, rise, cos, sin string }{
		{"1 mm", "0 mm", "1", "0"}, {"0 mm", "7 mm", "0", "1"}, {"-2 m", "0 mm", "-1", "0"}, {"0 mm", "-1 [in_i]", "0", "-1"},
		{"3 mm", "4 mm", "3/5", "4/5"}, {"-3 mm", "4 mm", "-3/5", "4/5"}, {"5 [in_i]", "-12 [in_i]", "5/13", "-12/13"},
	} {
		cos, sin, ok := direction(length(tt.run), length(tt.rise))
		require.True(t, ok)
		assert.Equal(t, tt.cos, cos.RatString(), tt)
		assert.Equal(t, tt.sin, sin.RatString(), tt)
	}
	cos, sin, ok := direction(length("1 mm"), length("1 mm"))
	require.True(t, ok)
	c, _ := cos.Float64()
	s, _ := sin.Float64()
	assert.InDelta(t, math.Pi/4, math.Atan2(s, c), 1e-9)
	one := new(big.Rat).Add(new(big.Rat).Mul(cos, cos), new(big.Rat).Mul(sin, sin))
	assert.Equal(t, "1", one.RatString(), "on the unit circle all the same")
	_, _, ok = direction(length("0 mm"), length("0 mm"))
	assert.False(t, ok)
	cos, _, ok = direction(units.Length{}, units.Length{})
	require.True(t, ok)
	assert.Equal(t, "1", cos.RatString())
}

// The exact answer and the one in floating point agree wherever the latter can tell,
// and the exact one is symmetric.
func TestExactAgreesWithFloat(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	mm := func(n int) *big.Rat { return big.NewRat(int64(random.IntN(n)+1), 1000) }
	for range 2000 {
		var f [2]footprint
		for i := range f {
			cos, sin, ok := direction(units.New(int64(random.IntN(9))-4, 0, units.Millimetre), units.New(int64(random.IntN(9))+1, 0, units.Millimetre))
			require.True(t, ok)
			f[i] = rectangle(mm(200), mm(200), mm(100), mm(40), cos, sin)
		}
		d := f[0].distance(&f[1])
		assert.InDelta(t, d, f[1].distance(&f[0]), 1e-9)
		if d < slack {
			continue
		}
		require.True(t, f[0].free(&f[1]) || f[1].free(&f[0]))
		square, _ := f[0].square(&f[1]).Float64()
		assert.InDelta(t, d, math.Sqrt(square)*1000, 1e-9)
	}
}

func TestOutside(t *testing.T) {
	w, d := metres("300 mm"), metres("200 mm")
	// A slanted pack from 0, 0: its far left corner is at -10·3/5.
	assert.Equal(t, metres("6 mm").RatString(), at(t, "0 mm", "0 mm", "50 mm", "10 mm", "4 mm", "3 mm").outside(w, d).RatString())
	assert.Zero(t, at(t, "6 mm", "0 mm", "50 mm", "10 mm", "4 mm", "3 mm").outside(w, d).Sign())
	assert.Negative(t, at(t, "7 mm", "1 mm", "50 mm", "10 mm", "4 mm", "3 mm").outside(w, d).Sign())
}

// Whatever the numbers, a place is judged or left open, and never fails.
func TestOddPlaces(t *testing.T) {
	odd := []units.Length{
		{}, length("0 mm"), length("-5 mm"), length("1e-18 mm"), length("999999999999999999e18 m"), length("-999999999999999999e18 m"),
		length("0.333333333333333333 [in_i]"), length("10 m"), length("10.1 m"),
	}
	random := rand.New(rand.NewPCG(3, 4))
	pick := func() units.Length { return odd[random.IntN(len(odd))] }
	p := policy(t, "us-cdc")
	for range 300 {
		r := laid()
		for i := range r.Packs {
			k := &r.Packs[i]
			k.Size.Length, k.Size.Width, k.Size.Height = pick(), pick(), pick()
			*k.Placement.Spot = Spot{X: pick(), Y: pick(), DX: pick(), DY: pick()}
		}
		tray := &r.Arrangement.Trays[random.IntN(2)]
		tray.Across, tray.Back, tray.Up, tray.Width, tray.Depth, tray.Rim = pick(), pick(), pick(), pick(), pick(), pick()
		c := r.Arrangement.Chamber
		c.Shape, c.Width, c.Height, c.Depth = []ChamberShape{Round, Square}[random.IntN(2)], pick(), pick(), pick()
		for _, f := range Check(r, p).Findings {
			require.NotEqual(t, moistheat.Internal, f.Outcome, f.Params)
		}
	}
}

// A record with many packs in places is judged in a moment, whatever they do to each
// other.
func BenchmarkManyPlaces(b *testing.B) {
	r := laid()
	p := r.Packs[0]
	r.Packs = nil
	for range 1000 {
		r.Packs = append(r.Packs, p)
	}
	pol := policy(b, "us-cdc")
	for b.Loop() {
		Check(r, pol)
	}
}

func TestRational(t *testing.T) {
	for _, tt := range []struct {
		length string
		least  int64 // nanometres
		want   bool
	}{
		{"10 m", 0, true}, {"10.000000001 m", 0, false}, {"0 mm", 0, true}, {"-1e-9 m", 0, false},
		{"1e-9 m", 1, true}, {"0.9e-9 m", 1, false}, {"0 mm", 1, false},
		{"-10 m", -10_000_000_000, true}, {"-10.1 m", -10_000_000_000, false},
	} {
		_, ok := rational(length(tt.length), tt.least)
		assert.Equal(t, tt.want, ok, "%s, at least %d nm", tt.length, tt.least)
	}
	_, ok := rational(units.Length{}, 0)
	assert.False(t, ok, "not recorded")
}

// The nearest pack is the one that comparing all pairs finds, and the first of those
// that are equally near.
func TestNearest(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	mm := func(n int) units.Length { return units.New(int64(10*random.IntN(n)+10), 0, units.Millimetre) }
	for range 200 {
		r := laid()
		r.Packs = nil
		for i := range 12 {
			p := goodPack("P")
			p.Size = packaging.Size{Length: mm(6), Width: mm(3), Height: mm(2)}
			p.Placement = Placement{Position: Flat, Tray: []string{"low", "high"}[i%2], Spot: &Spot{X: mm(60), Y: mm(60)}}
			r.Packs = append(r.Packs, p)
		}
		l := newLayout(r)
		for i := range r.Packs {
			near, least := -1, math.Inf(1)
			for j := range r.Packs {
				if d := l.placed[max(i, j)].distance(&l.placed[min(i, j)].footprint); i != j && i%2 == j%2 && d < least {
					near, least = j, d
				}
			}
			other, d, ok := l.nearest(i)
			require.True(t, ok)
			require.Equal(t, near, other)
			require.Equal(t, least, d)
		}
	}
}

func TestAbove(t *testing.T) {
	l := newLayout(&Record{Arrangement: &Arrangement{Trays: []Tray{
		{ID: "a", Up: length("30 mm")}, {ID: "b", Up: length("200 mm")}, {ID: "c", Up: length("100 mm")}, {ID: "d", Up: length("100 mm")},
	}}})
	other, rise, known := l.above(0)
	assert.True(t, known)
	assert.Equal(t, 2, other, "the lowest above, and the first of two")
	assert.Zero(t, rise.Cmp(metres("70 mm")))
	other, rise, known = l.above(1)
	assert.True(t, known)
	assert.Equal(t, -1, other)
	assert.Nil(t, rise)
	other, _, _ = l.above(2)
	assert.Equal(t, 1, other, "a tray of the same height is not above")
}
