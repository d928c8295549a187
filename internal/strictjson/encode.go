package strictjson

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/moistheat/internal/guard"
)

// Column writes numbers as Decoder reads them: an array, empty if there are none, of
// numbers within the limits. The encoding of the standard library writes null for no
// numbers, and large and small ones with more digits or a wider exponent than a
// reader takes.
type Column []float64

// MarshalJSON implements [encoding/json.Marshaler].
func (c Column) MarshalJSON() ([]byte, error) {
	b := append(make([]byte, 0, 2+8*len(c)), '[')
	for i, f := range c {
		if i > 0 {
			b = append(b, ',')
		}
		var ok bool
		if b, ok = AppendFloat(b, f); !ok {
			return nil, fmt.Errorf("%v at index %d has no form that a document can hold", f, i)
		}
	}
	return append(b, ']'), nil
}

// AppendFloat appends f as a number within the limits of [Default] that reads back as
// f. It reports false if there is none, as for NaN and 1e300.
func AppendFloat(b []byte, f float64) ([]byte, bool) {
	a := math.Abs(f)
	if a == 0 || a >= 1e-6 && a < 1e17 {
		return strconv.AppendFloat(b, f, 'f', -1, 64), true
	}
	if !(a < 1e37 && a > 1e-50) {
		return b, false
	}
	if f < 0 {
		b = append(b, '-')
	}
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(a, 'e', -1, 64), "e")
	digits := strings.Replace(mantissa, ".", "", 1)
	e, _ := strconv.Atoi(exponent)
	e -= len(digits) - 1
	lim := Default()
	if zeros := e - lim.Exponent; zeros > 0 {
		if digits == "1" && e == 36 { // a digit too long, and the nearest float64 of the largest number there is
			return append(b, "999999999999999999e18"...), true
		}
		digits, e = digits+strings.Repeat("0", zeros), lim.Exponent
	}
	if places := -lim.Exponent - e; places > 0 {
		if short := places + 1 - len(digits); short > 0 {
			digits = strings.Repeat("0", short) + digits
		}
		digits, e = digits[:len(digits)-places]+"."+digits[len(digits)-places:], -lim.Exponent
	}
	number := digits + "e" + strconv.Itoa(e)
	if _, _, ok := guard.ParseNumber(number); !ok || f < 0 && len(number) == lim.Number {
		return b, false
	}
	return append(b, number...), true
}
