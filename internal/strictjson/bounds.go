package strictjson

import (
	"fmt"
	"reflect"
	"strconv"

	"example.com/moistheat/units"
)

// MaxWhole is the largest whole number of a document; the smallest is 0. The
// published schemas state both.
const MaxWhole = 1_000_000_000

// Bounds say which of the values that its type can hold a field takes. The tags of
// the field set them, the decoder and [Validate] ask for them, and a test holds the
// published schemas to them:
//
//	min:"1"        the smallest whole number
//	max:"6"        the largest whole number
//	minLength:"1"  the fewest characters of a text
//	is:"text"      the only text that is taken
//	maxItems:"64"  the most elements of a list, where that is not [MaxItems]
//	sign:"any"     a quantity that may be negative though its dimension is not
//	sign:"none"    a quantity or a column of numbers of which none is negative
//
// A quantity without a tag is negative only if [units.Dimension.Signed] says that it
// may be.
type Bounds struct {
	Min, Max  int64
	MinLength int
	Is        string // "": any text
	MaxItems  int
	Sign      string
}

var defaultBounds = Bounds{Max: MaxWhole, MaxItems: MaxItems}

// BoundsOf returns the bounds of a struct field. It panics if a tag does not read.
func BoundsOf(f reflect.StructField) Bounds {
	b := defaultBounds
	number := func(key string, otherwise int64) int64 {
		tag, has := f.Tag.Lookup(key)
		if !has {
			return otherwise
		}
		n, err := strconv.ParseInt(tag, 10, 64)
		if err != nil {
			panic("strictjson: the tag " + key + " of " + f.Name + " is no number")
		}
		return n
	}
	b.Min, b.Max = number("min", b.Min), number("max", b.Max)
	b.MinLength = int(number("minLength", 0))
	b.Is = f.Tag.Get("is")
	b.MaxItems = int(number("maxItems", MaxItems))
	b.Sign = f.Tag.Get("sign")
	return b
}

// Negative reports whether a quantity of a dimension may be negative.
func (b Bounds) Negative(d units.Dimension) bool {
	return b.Sign == "any" || b.Sign == "" && d.Signed()
}

// takes reports whether a quantity is within the bounds.
func (b Bounds) takes(v units.Value) bool { return v.Sign() >= 0 || b.Negative(v.Dimension()) }

// refusal says what values of a kind the bounds take.
func (b Bounds) refusal(k kind) string {
	switch k {
	case intKind:
		return fmt.Sprintf("want a whole number from %d to %d", b.Min, b.Max)
	case sliceKind:
		return fmt.Sprintf("more than %d elements in an array; the document must have no more", b.MaxItems)
	case stringKind:
		if b.Is != "" {
			return fmt.Sprintf("want %q", b.Is)
		}
		if b.MinLength == 1 {
			return "want text that is not empty"
		}
		return fmt.Sprintf("want text of at least %d characters", b.MinLength)
	}
	return "want a number that is not negative"
}
