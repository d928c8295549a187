package load

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever the numbers, a place is judged or left open, and never fails.
func TestOddPlaces(t *testing.T) {
	odd := []units.Length{
		{}, length("0 mm"), length("-5 mm"), length("1e-18 mm"), length("999999999999999999e18 m"), length("-999999999999999999e18 m"),
		length("0.333333333333333333 [in_i]"), length("10 m"), length("10.1 m"),
	}
	random := rand.New(rand.NewPCG(3, 4))
	pick := func() units.Length { return odd[random.IntN(len(odd))] }
	p := policy(t, "us-cdc-2003")
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
	pol := policy(b, "us-cdc-2003")
	for b.Loop() {
		Check(r, pol)
	}
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
				if d := l.placed[max(i, j)].Distance(&l.placed[min(i, j)].Outline); i != j && i%2 == j%2 && d < least {
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
	assert.Zero(t, rise.Cmp(length("70 mm").Rat()))
	other, rise, known = l.above(1)
	assert.True(t, known)
	assert.Equal(t, -1, other)
	assert.Nil(t, rise)
	other, _, _ = l.above(2)
	assert.Equal(t, 1, other, "a tray of the same height is not above")
}
