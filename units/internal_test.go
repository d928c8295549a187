package units

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

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
