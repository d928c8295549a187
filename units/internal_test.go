package units

import (
	"math/big"
	"math/bits"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bitsOf returns the length of a whole number.
func bitsOf(n int64) int { return bits.Len64(uint64(max(n, -n))) }

// The widest number that a comparison can meet, for every two units of a dimension,
// fits a wide.
func TestWideIsWideEnough(t *testing.T) {
	widest := 0
	for d := range dimensions {
		for _, a := range dimensions[d].units[min(1, len(dimensions[d].units)):] {
			for _, b := range dimensions[d].units[1:] {
				// |coefficient × 10^(exp-low) + offset × 10^(offExp-low)| × num × den × 10^scale
				low, high := minExp, maxExp
				number := new(big.Int).Mul(big.NewInt(maxCoef), bigPow10(0))
				scale := high + int(a.exp) - low - int(b.exp)
				if a.offset != 0 || b.offset != 0 {
					// Lows lie between minExp and the offsets' own power or maxExp.
					number.Mul(number, bigPow10(high-int(min(a.offExp, b.offExp))))
					number.Add(number, new(big.Int).Mul(big.NewInt(max(a.offset, b.offset)), bigPow10(-minExp)))
					scale = max(0, maxExp-minExp)
					if a.offset != 0 && b.offset != 0 {
						scale = -minExp
					}
				}
				number.Mul(number, big.NewInt(a.num))
				number.Mul(number, big.NewInt(b.den))
				number.Mul(number, bigPow10(max(scale, 0)))
				widest = max(widest, number.BitLen())
			}
		}
	}
	assert.LessOrEqual(t, widest, 512)
}

// The table of units holds together: codes of printable ASCII without space, once
// in their dimension; positive factors, base unit first and offsets not negative.
func TestDimensionTable(t *testing.T) {
	for d := range dimensions {
		if d == 0 {
			assert.Empty(t, dimensions[d].units)
			continue
		}
		require.Greater(t, len(dimensions[d].units), 1)
		assert.Equal(t, info{}, dimensions[d].units[0], "the zero unit is invalid")
		base := dimensions[d].units[1]
		assert.Equal(t, [4]int64{1, 1, 0, 0}, [4]int64{base.num, base.den, int64(base.exp), base.offset}, "base unit of %s", dimensions[d].name)
		seen := map[string]bool{}
		for _, u := range dimensions[d].units[1:] {
			assert.False(t, seen[u.code], "%s twice", u.code)
			seen[u.code] = true
			assert.False(t, strings.ContainsFunc(u.code, func(r rune) bool { return r <= ' ' || r > '~' }), "UCUM codes are printable ASCII: %q", u.code)
			assert.Positive(t, u.num)
			assert.Positive(t, u.den)
			assert.GreaterOrEqual(t, u.offset, int64(0))
			assert.LessOrEqual(t, u.offExp, int8(0))
			assert.LessOrEqual(t, bitsOf(u.num), 63)
		}
	}
}

// A suggestion is a code of the dimension, and never accepted itself.
func TestSpellings(t *testing.T) {
	answered := map[int]bool{}
	for d := range dimensions {
		for i, s := range spellings {
			use := Dimension(d).suggest(s.written)
			if use == "" {
				continue
			}
			_, err := parseCode(Dimension(d), use)
			assert.NoError(t, err)
			if use == s.code {
				answered[i] = true
			}
		}
	}
	for i, s := range spellings {
		assert.True(t, answered[i], "%q never leads to %q", s.written, s.code)
	}
}

// The molar masses in the units of hardness are those of HardnessWeights.
func TestHardnessConstants(t *testing.T) {
	for s, want := range map[Species]int64{AsCaCO3: caCO3, AsCaO: caO} {
		m, err := HardnessWeights.molar(s)
		require.NoError(t, err)
		assert.Equal(t, 10*want, m)
	}
	assert.Equal(t, int64(231*16387064), int64(usGallon), "a US gallon is 231 in3")
}
