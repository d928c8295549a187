package plane

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestMain(m *testing.M) { testrun.Main(m) }

func length(s string) units.Length { return units.MustParse[units.LengthUnit](s) }

func metres(s string) *big.Rat { return length(s).Rat() }

// at returns a rectangle, its direction given by run and rise.
func at(t testing.TB, x, y, long, wide, run, rise string) *Outline {
	t.Helper()
	cos, sin, ok := Direction(length(run), length(rise))
	require.True(t, ok)
	f := Rectangle(metres(x), metres(y), metres(long), metres(wide), cos, sin)
	return &f
}

// Distances that follow from triangles with whole sides.
func TestCloser(t *testing.T) {
	plain := at(t, "0 mm", "0 mm", "50 mm", "10 mm", "1 mm", "0 mm")
	slant := at(t, "0 mm", "0 mm", "50 mm", "10 mm", "4 mm", "3 mm")
	for _, tt := range []struct {
		name string
		f, g *Outline
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
			for _, p := range [][2]*Outline{{tt.f, tt.g}, {tt.g, tt.f}} {
				assert.False(t, p[0].Closer(p[1], gap), "at the limit")
				assert.True(t, p[0].Closer(p[1], new(big.Rat).Add(gap, hair)), "just inside")
				if gap.Sign() > 0 {
					assert.False(t, p[0].Closer(p[1], new(big.Rat).Sub(gap, hair)), "just outside")
				}
				assert.InDelta(t, Millimetres(gap), p[0].Distance(p[1]), 1e-9)
			}
		})
	}
	assert.True(t, plain.Closer(at(t, "49.9999999999 mm", "0 mm", "50 mm", "10 mm", "1 mm", "0 mm"), new(big.Rat)), "covers by a hair")
	assert.InDelta(t, -5, plain.Distance(at(t, "45 mm", "0 mm", "50 mm", "10 mm", "1 mm", "0 mm")), 1e-9)
}

func TestDirection(t *testing.T) {
	for _, tt := range []struct{ run, rise, cos, sin string }{
		{"1 mm", "0 mm", "1", "0"}, {"0 mm", "7 mm", "0", "1"}, {"-2 m", "0 mm", "-1", "0"}, {"0 mm", "-1 [in_i]", "0", "-1"},
		{"3 mm", "4 mm", "3/5", "4/5"}, {"-3 mm", "4 mm", "-3/5", "4/5"}, {"5 [in_i]", "-12 [in_i]", "5/13", "-12/13"},
	} {
		cos, sin, ok := Direction(length(tt.run), length(tt.rise))
		require.True(t, ok)
		assert.Equal(t, tt.cos, cos.RatString(), tt)
		assert.Equal(t, tt.sin, sin.RatString(), tt)
	}
	cos, sin, ok := Direction(length("1 mm"), length("1 mm"))
	require.True(t, ok)
	c, _ := cos.Float64()
	s, _ := sin.Float64()
	assert.InDelta(t, math.Pi/4, math.Atan2(s, c), 1e-9)
	one := new(big.Rat).Add(new(big.Rat).Mul(cos, cos), new(big.Rat).Mul(sin, sin))
	assert.Equal(t, "1", one.RatString(), "on the unit circle all the same")
	_, _, ok = Direction(length("0 mm"), length("0 mm"))
	assert.False(t, ok)
	cos, _, ok = Direction(units.Length{}, units.Length{})
	require.True(t, ok)
	assert.Equal(t, "1", cos.RatString())
}

// The exact answer and the one in floating point agree wherever the latter can tell,
// and the exact one is symmetric.
func TestExactAgreesWithFloat(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	mm := func(n int) *big.Rat { return big.NewRat(int64(random.IntN(n)+1), 1000) }
	for range 2000 {
		var f [2]Outline
		for i := range f {
			cos, sin, ok := Direction(units.New(int64(random.IntN(9))-4, 0, units.Millimetre), units.New(int64(random.IntN(9))+1, 0, units.Millimetre))
			require.True(t, ok)
			f[i] = Rectangle(mm(200), mm(200), mm(100), mm(40), cos, sin)
		}
		d := f[0].Distance(&f[1])
		assert.InDelta(t, d, f[1].Distance(&f[0]), 1e-9)
		if d < Slack {
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
	assert.Equal(t, metres("6 mm").RatString(), at(t, "0 mm", "0 mm", "50 mm", "10 mm", "4 mm", "3 mm").Outside(w, d).RatString())
	assert.Zero(t, at(t, "6 mm", "0 mm", "50 mm", "10 mm", "4 mm", "3 mm").Outside(w, d).Sign())
	assert.Negative(t, at(t, "7 mm", "1 mm", "50 mm", "10 mm", "4 mm", "3 mm").Outside(w, d).Sign())
}

func TestMetres(t *testing.T) {
	for _, tt := range []struct {
		length string
		least  int64 // nanometres
		want   bool
	}{
		{"10 m", 0, true}, {"10.000000001 m", 0, false}, {"0 mm", 0, true}, {"-1e-9 m", 0, false},
		{"1e-9 m", 1, true}, {"0.9e-9 m", 1, false}, {"0 mm", 1, false},
		{"-10 m", -10_000_000_000, true}, {"-10.1 m", -10_000_000_000, false},
	} {
		_, ok := Metres(length(tt.length), tt.least)
		assert.Equal(t, tt.want, ok, "%s, at least %d nm", tt.length, tt.least)
	}
	_, ok := Metres(units.Length{}, 0)
	assert.False(t, ok, "not recorded")
}

// What two packs have in common where one is turned by the triangle of 3, 4 and 5. The
// first is the rectangle from (0, 0) to (100, 50). The second starts at (50, 0); its
// length runs along the line 3x - 4y = 150, which leaves the first at (100, 37.5), and
// its width along 4x + 3y = 200 to (20, 40). From there its far side, on the line
// 3x - 4y = -100, leaves the first at (100/3, 50). The common part has the corners
// (50, 0), (100, 37.5), (100, 50), (100/3, 50) and (20, 40), in mm. The first less that
// part: below the length a triangle of 50 by 37.5 halved, 937.5; left of the width and
// the far side the outline (0, 0), (50, 0), (20, 40), (100/3, 50), (0, 50): by the
// shoelace 2000/2 + (1000 - 4000/3)/2 + (5000/3)/2 = 5000/3. Left: 7187.5/3 mm².
func TestCommonArea(t *testing.T) {
	f := at(t, "0 mm", "0 mm", "100 mm", "50 mm", "1 mm", "0 mm")
	g := at(t, "50 mm", "0 mm", "100 mm", "50 mm", "4 mm", "3 mm")
	want := big.NewRat(71875, 30_000_000) // m²
	assert.Zero(t, want.Cmp(f.Cut(g)), f.Cut(g))
	assert.Zero(t, want.Cmp(g.Cut(f)), g.Cut(f))
	assert.InDelta(t, 7187.5/3, area(clip(f.MM[:], g.MM[:], new([2][8][2]float64))), 1e-9)
	assert.Zero(t, big.NewRat(5, 1000).Cmp(f.Area()))
	apart := at(t, "200 mm", "0 mm", "100 mm", "50 mm", "4 mm", "3 mm")
	assert.InDelta(t, 7187.5/3/5000, f.Share(g), 1e-9)
	assert.Zero(t, f.Cut(apart).Sign())
	assert.Empty(t, clip(f.MM[:], apart.MM[:], new([2][8][2]float64)))
}
