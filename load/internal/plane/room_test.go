package plane

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat/units"
)

// A square fits into one that is as large; a needle fits across the diagonal of a square of
// side 1, which is √2 long, and one of 1.4 by 0.01 does while one of 1.41 by 0.01 does not, as
// (1.4 + 0.01)/√2 is 0.997 and (1.41 + 0.01)/√2 is 1.004.
func TestFits(t *testing.T) {
	m := func(s string) units.Length {
		if s == "" {
			return units.Length{}
		}
		return units.MustParse[units.LengthUnit](s + " m")
	}
	for _, tt := range []struct {
		p, q, a, b string
		fits, ok   bool
	}{
		{"1", "1", "1", "1", true, true},
		{"1.001", "1", "1", "1", false, true},
		{"1", "0.5", "0.5", "1", true, true},
		{"1.4", "0.01", "1", "1", true, true},
		{"1.41", "0.01", "1", "1", false, true},
		{"0.01", "1.4", "1", "1", true, true},
		{"1.4", "1.01", "1", "1", false, true},
		{"1", "1", "", "1", false, false},
		{"1", "0", "1", "1", false, false},
	} {
		fits, ok := Fits(m(tt.p), m(tt.q), m(tt.a), m(tt.b))
		assert.Equal(t, tt.fits, fits, tt)
		assert.Equal(t, tt.ok, ok, tt)
	}
}
