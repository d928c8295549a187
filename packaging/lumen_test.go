package packaging_test

import (
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func length(s string) units.Length {
	if s == "" {
		return units.Length{}
	}
	return units.MustParse[units.LengthUnit](s)
}

func lumen(l, d string, ends int) packaging.Lumen {
	return packaging.Lumen{Length: length(l), Bore: length(d), OpenEnds: ends}
}

func TestLumenClass(t *testing.T) {
	const (
		solid  = packaging.Solid
		a      = packaging.HollowA
		b      = packaging.HollowB
		beyond = packaging.BeyondHollowA
	)
	tests := []struct {
		length, bore string
		ends         int
		want         packaging.LumenClass
	}{
		// Derived from the definitions of hollow loads A and B in EN 13060:2004 (as
		// quoted in YY 0646-2008; B bore and B ratio for two ends recalled):
		// one end  A: 1 <= L/D <= 750,  L <= 1500 mm; B: 1 <= L/D <= 5,  D >= 5 mm
		// two ends A: 2 <= L/D <= 1500, L <= 3000 mm; B: 2 <= L/D <= 10, D >= 5 mm
		{"1500 mm", "2 mm", 1, a},        // 750, on the limit
		{"1500 mm", "1.9 mm", 1, beyond}, // 789.5
		{"1501 mm", "3 mm", 1, beyond},   // too long
		{"3000 mm", "2 mm", 2, a},        // 1500, on the limit
		{"3001 mm", "3 mm", 2, beyond},   // too long
		{"1200 mm", "0.8 mm", 2, a},      // 1500, on the limit
		{"1201 mm", "0.8 mm", 2, beyond}, // 1501.3
		{"100 mm", "0.8 mm", 2, a},
		{"100 mm", "2.3 mm", 2, a},
		{"20 mm", "5 mm", 1, b},
		{"25 mm", "5 mm", 1, b}, // 5, on the limit
		{"26 mm", "5 mm", 1, a},
		{"50 mm", "5 mm", 2, b}, // 10, on the limit
		{"51 mm", "5 mm", 2, a},
		{"40 mm", "4 mm", 2, a},   // narrower than 5 mm
		{"8 mm", "2 mm", 1, a},    // the ratio 4 alone would say B
		{"120 mm", "60 mm", 1, b}, // a deep bowl
		{"3 mm", "5 mm", 1, solid},
		{"9 mm", "5 mm", 2, solid},

		// The same definitions on their lower edge and in other units; 1 in is
		// 25.4 mm exactly.
		{"5 mm", "5 mm", 1, b},                                 // ratio 1
		{"4.999 mm", "5 mm", 1, solid},                         //
		{"10 mm", "5 mm", 2, b},                                // ratio 2
		{"9.999 mm", "5 mm", 2, solid},                         //
		{"20 mm", "4.999999 mm", 1, a},                         // bore just below 5 mm
		{"1.5 m", "0.2 cm", 1, a},                              // 750
		{"1500.0001 mm", "2.1 mm", 1, beyond},                  // too long by a tenth of a micrometre
		{"1499999 um", "1999 um", 1, beyond},                   // 750.37
		{"1 [in_i]", "0.2 [in_i]", 1, b},                       // 5; bore 5.08 mm
		{"1.0001 [in_i]", "0.2 [in_i]", 1, a},                  //
		{"1 [in_i]", "5.08 mm", 1, b},                          // 5 across units
		{"25.4 mm", "0.2 [in_i]", 1, b},                        //
		{"25.4001 mm", "0.2 [in_i]", 1, a},                     //
		{"59.05 [in_i]", "0.1 [in_i]", 1, a},                   // 1499.87 mm, 590.5
		{"59.06 [in_i]", "0.1 [in_i]", 1, beyond},              // 1500.124 mm
		{"4 [in_i]", "0.19 [in_i]", 2, a},                      // 21; bore 4.8 mm
		{"1499.9999999985 mm", "1.999999999998 mm", 1, a},      // 750 exactly, in many digits
		{"1499.9999999986 mm", "1.999999999998 mm", 1, beyond}, // a tenth of a picometre more
	}
	for _, tt := range tests {
		c, ok := lumen(tt.length, tt.bore, tt.ends).Class()
		assert.True(t, ok, "%s × %s", tt.length, tt.bore)
		assert.Equal(t, tt.want, c, "%s × %s, %d ends: got %s", tt.length, tt.bore, tt.ends, c)
	}
}

func TestLumenClassUnknown(t *testing.T) {
	for _, l := range []packaging.Lumen{
		{},
		lumen("", "2 mm", 1),
		lumen("100 mm", "", 1),
		lumen("100 mm", "2 mm", 0),
		lumen("100 mm", "2 mm", 3),
		lumen("100 mm", "2 mm", -1),
		lumen("100 mm", "0 mm", 1),
		lumen("0e5 mm", "2 mm", 1),
		lumen("-100 mm", "2 mm", 1),
	} {
		c, ok := l.Class()
		assert.False(t, ok, "%+v", l)
		assert.Zero(t, c)
	}
}

func TestHardestLumen(t *testing.T) {
	bowl, cannula, tube := lumen("120 mm", "60 mm", 1), lumen("100 mm", "0.8 mm", 2), lumen("4 m", "5 mm", 2)
	tests := []struct {
		name  string
		item  packaging.Item
		want  packaging.LumenClass
		known bool
	}{
		{"plain", packaging.Item{HasTraits: no}, packaging.Solid, true},
		{"an empty list", packaging.Item{Traits: []packaging.Trait{}}, packaging.HollowA, false},
		{"powered, without lumens", packaging.Item{Traits: traits(packaging.Powered), HasLumens: no}, packaging.Solid, true},
		{"not described", packaging.Item{}, packaging.HollowA, false},
		{"hollow, not measured", packaging.Item{Traits: []packaging.Trait{packaging.Hollow}}, packaging.HollowA, false},
		{"powered, no lumens recorded", packaging.Item{Traits: []packaging.Trait{packaging.Powered}}, packaging.HollowA, false},
		{"bowl", packaging.Item{Lumens: []packaging.Lumen{bowl}}, packaging.HollowB, true},
		{"bowl and cannula", packaging.Item{Lumens: []packaging.Lumen{cannula, bowl}}, packaging.HollowA, true},
		{"bowl and a lumen without sizes", packaging.Item{Lumens: []packaging.Lumen{bowl, {}}}, packaging.HollowA, false},
		{"long tube and a lumen without sizes", packaging.Item{Lumens: []packaging.Lumen{tube, {}}}, packaging.BeyondHollowA, false},
	}
	for _, tt := range tests {
		c, known := tt.item.HardestLumen()
		assert.Equal(t, tt.want, c, tt.name)
		assert.Equal(t, tt.known, known, tt.name)
	}
}

// The basis of each figure must be the one on which it is known: the B bore and the
// B ratio for two open ends are recalled, the rest is quoted.
func TestLumenFigures(t *testing.T) {
	figures := packaging.LumenFigures()
	require.Len(t, figures, 10)
	for _, f := range figures {
		want := moistheat.Quoted
		if f.Limit == packaging.LeastHollowBBore || f.Limit == packaging.GreatestHollowBRatio && f.OpenEnds == 2 {
			want = moistheat.Recalled
		}
		assert.Equal(t, want, f.Source.Basis, f.Row)
	}
	figures[0].Row = "changed"
	assert.NotEqual(t, "changed", packaging.LumenFigures()[0].Row)
}

// Length, bore and ends scaled together leave the class unless a fixed length
// decides; a longer or narrower lumen is never easier.
func TestLumenClassMonotone(t *testing.T) {
	for _, ends := range []int{1, 2} {
		for bore := int64(1); bore <= 80; bore++ {
			last := packaging.Solid
			for l := int64(1); l < 4_000; l += 7 {
				c, ok := packaging.Lumen{
					Length: units.New(l, 0, units.Millimetre), Bore: units.New(bore, -1, units.Millimetre), OpenEnds: ends,
				}.Class()
				require.True(t, ok)
				require.GreaterOrEqual(t, c, last, "%d mm × %d/10 mm", l, bore)
				last = c
			}
		}
	}
}

func BenchmarkLumenClass(b *testing.B) {
	l := lumen("100 mm", "0.8 mm", 2)
	b.ReportAllocs()
	for b.Loop() {
		l.Class()
	}
}
