package units

import (
	"cmp"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"example.com/moistheat/internal/guard"
	"github.com/shopspring/decimal"
)

// IsValid reports whether v holds a value.
func (v Value) IsValid() bool { return v.unit != 0 }

// IsZero reports whether v is the invalid zero Value, for the omitzero option.
func (v Value) IsZero() bool { return v == Value{} }

// Dimension returns what sort of quantity v is.
func (v Value) Dimension() Dimension { return v.dim }

// Sign returns -1, 0 or +1 as the number of v is negative, zero or positive. It says
// nothing of the unit: -1 °C is negative and far above absolute zero.
func (v Value) Sign() int { return cmp.Compare(v.coef, 0) }

// Species returns what a concentration is expressed as, or the zero Species.
func (v Value) Species() Species { return v.species }

// Code returns the UCUM code of v's unit, or "".
func (v Value) Code() string {
	code := v.dim.info(v.unit).code
	if v.species != 0 {
		code += "{" + v.species.String() + "}"
	}
	return code
}

// Decimal returns the number of v in its own unit, digits kept.
func (v Value) Decimal() decimal.Decimal { return decimal.New(v.coef, int32(v.exp)) }

// AppendNumber appends the number of v as JSON writes it, digits kept.
func (v Value) AppendNumber(b []byte) []byte {
	if v.exp > 0 {
		b = strconv.AppendInt(b, v.coef, 10)
		b = append(b, 'e')
		return strconv.AppendInt(b, int64(v.exp), 10)
	}
	start := len(b)
	b = strconv.AppendInt(b, v.coef, 10)
	if v.exp == 0 {
		return b
	}
	if v.coef < 0 {
		start++
	}
	places := int(-v.exp)
	if short := places + 1 - (len(b) - start); short > 0 {
		digits := string(b[start:])
		b = append(append(b[:start], strings.Repeat("0", short)...), digits...)
	}
	point := len(b) - places
	b = append(b, 0)
	copy(b[point+1:], b[point:])
	b[point] = '.'
	return b
}

// Text returns number, space and UCUM code, followed by the word absolute or gauge
// for a pressure: the form that [Parse] reads back.
func (v Value) Text() string {
	if !v.IsValid() {
		return ""
	}
	s := string(v.AppendNumber(nil)) + " " + v.Code()
	if w := v.dim.word(); w != "" {
		s += " " + w
	}
	return s
}

// String returns v as a person reads it, with the everyday symbol of its unit:
// "134.0 °C", "9 lb", "203 kPa gauge", "3 min 30 s". It is for reading only; for
// exchange use [Value.Text] or JSON.
func (v Value) String() string {
	if !v.IsValid() {
		return "invalid"
	}
	u := v.dim.info(v.unit)
	if v.dim == DimDuration && u.code == "s" && v.exp <= 0 {
		if s, ok := v.clock(); ok {
			return s
		}
	}
	symbol := u.display
	if symbol == "" {
		symbol = u.code
	}
	number := string(v.AppendNumber(nil))
	switch {
	case v.dim == DimRatio && symbol == "1":
		return number
	case v.dim == DimPH:
		return "pH " + number
	case v.species != 0:
		symbol += " as " + v.species.String()
	}
	if w := v.dim.word(); w != "" {
		symbol += " " + w
	}
	return number + " " + symbol
}

// clock writes a number of seconds of a minute or more as minutes and seconds.
func (v Value) clock() (string, bool) {
	minutes := v
	scale := int64(60)
	for range -v.exp {
		if scale > 1<<55 {
			return "", false
		}
		scale *= 10
	}
	if v.coef < scale {
		return "", false
	}
	minutes.coef, minutes.exp = v.coef/scale, 0
	s := string(minutes.AppendNumber(nil)) + " min"
	if rest := v.coef % scale; rest != 0 {
		v.coef = rest
		number := string(v.AppendNumber(nil))
		if strings.Contains(number, ".") {
			number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
		}
		s += " " + number + " s"
	}
	return s, true
}

// Compare returns -1, 0 or +1 as v is smaller than, equal to or greater than w,
// exactly. ok is false if they are not two valid values of one dimension and species.
func (v Value) Compare(w Value) (c int, ok bool) {
	if !v.IsValid() || !w.IsValid() || v.dim != w.dim || v.species != w.species {
		return 0, false
	}
	return compare(v, w), true
}

// MarshalJSON writes {"value":4.082,"unit":"kg"}, digits kept. Where a unit serves two
// dimensions, a third member says which: {"value":203,"unit":"kPa","dimension":"gauge
// pressure"}. It is written for both pressures, for a temperature difference and for a
// hardness; a temperature has none. A [Quantity] has no such member, since its place says it.
func (v Value) MarshalJSON() ([]byte, error) {
	b, err := v.appendJSON()
	if err != nil {
		return nil, err
	}
	if v.dim.said() {
		b = append(b, `,"dimension":"`...)
		b = append(append(b, v.dim.String()...), '"')
	}
	return append(b, '}'), nil
}

// UnmarshalJSON reads what MarshalJSON writes.
func (v *Value) UnmarshalJSON(data []byte) error {
	if v == nil {
		return errNil
	}
	number, code, word, err := guard.Value(data, guard.Default(), "dimension")
	if e, ok := err.(*guard.Error); ok {
		return &JSONError{e.Pointer, e.Offset, e.Problem}
	}
	coef, exp, err := numberOf(number)
	if err != nil {
		return err
	}
	for d := Dimension(1); int(d) < len(dimensions); d++ {
		if word != nil && d.String() != string(word) || word == nil && d.said() {
			continue
		}
		var u uint8
		var species Species
		if d == DimSpeciesConcentration {
			var of MassConcentrationUnit
			of, species, err = parseSpeciesCode(code)
			u = uint8(of)
		} else {
			u, err = parseCode(d, code)
		}
		if err == nil {
			*v = Value{coef, exp, u, d, species}
			return nil
		}
	}
	return &JSONError{Pointer: "/unit", Problem: fmt.Sprintf("%.40q is no unit that is known here", code)}
}

// said reports whether the JSON form of a value says its dimension.
func (d Dimension) said() bool {
	switch d {
	case DimAbsolutePressure, DimGaugePressure, DimTemperatureDifference, DimHardness:
		return true
	}
	return false
}

// appendJSON writes v without the closing brace.
func (v Value) appendJSON() ([]byte, error) {
	if !v.IsValid() {
		return nil, errors.New("units: an invalid value has no JSON form; leave the field out")
	}
	b := append(make([]byte, 0, 80), `{"value":`...)
	b = v.AppendNumber(b)
	b = append(b, `,"unit":`...)
	return strconv.AppendQuote(b, v.Code()), nil
}

// String returns q as [Value.String] does, for reading.
func (q Quantity[U]) String() string { return q.Value().String() }

// IsZero reports whether q is the invalid zero Quantity, for the omitzero option.
func (q Quantity[U]) IsZero() bool { return !q.IsValid() }

// MarshalText writes the form that [Parse] reads.
func (q Quantity[U]) MarshalText() ([]byte, error) {
	if !q.IsValid() {
		return nil, errors.New("units: an invalid quantity has no text form")
	}
	return []byte(q.Value().Text()), nil
}

// errNil is the answer of a nil pointer that is to be read into.
var errNil = errors.New("units: nothing to read into: the pointer is nil")

// UnmarshalText is [Parse].
func (q *Quantity[U]) UnmarshalText(text []byte) error {
	r, err := Parse[U](string(text))
	if q == nil {
		return errNil
	}
	if err == nil {
		*q = r
	}
	return err
}

// Scan reads a quantity from a database: text in the form that [Parse] reads. NULL is the
// invalid zero Quantity. A number is refused, as it has no unit.
func (q *Quantity[U]) Scan(src any) error {
	switch v := src.(type) {
	case nil:
		if q == nil {
			return errNil
		}
		*q = Quantity[U]{}
		return nil
	case string:
		return q.UnmarshalText([]byte(v))
	case []byte:
		return q.UnmarshalText(v)
	}
	return fmt.Errorf("units: a %T is no quantity; want text with a unit, such as 2.5 kg, or NULL", src)
}

// MarshalJSON writes {"value":4.082,"unit":"kg"}, digits kept.
func (q Quantity[U]) MarshalJSON() ([]byte, error) {
	b, err := q.Value().appendJSON()
	if err != nil {
		return nil, err
	}
	return append(b, '}'), nil
}

// UnmarshalJSON reads an object with exactly the members "value", a number, and
// "unit", a UCUM code of the dimension. Null, numbers in quotes and other members
// are refused.
func (q *Quantity[U]) UnmarshalJSON(data []byte) error {
	if q == nil {
		return errNil
	}
	coef, exp, unit, err := readJSON(data)
	if err != nil {
		return err
	}
	var zero U
	u, err := parseCode(zero.dimension(), unit)
	if err != nil {
		return &JSONError{Pointer: "/unit", Problem: err.Error()}
	}
	*q = Quantity[U]{coef, exp, U(u)}
	return nil
}

// JSONError says why a quantity could not be read from JSON, and where.
type JSONError struct {
	Pointer string // RFC 6901 pointer into the quantity; "" is the whole of it
	Offset  int64  // of the first byte that cannot be accepted
	Problem string // what is wrong and what to write instead
}

func (e *JSONError) Error() string {
	e = cmp.Or(e, &JSONError{})
	where := guard.Visible(e.Pointer)
	if where == "" {
		where = "the quantity"
	}
	return "units: " + where + ": " + guard.Visible(e.Problem)
}

// readJSON reads the two members of a quantity. Its limits are those of the document
// around it, so that white space and escapes are no matter here if they are none there.
func readJSON(data []byte) (coef int64, exp int8, code []byte, err error) {
	number, code, err := guard.Quantity(data, guard.Default())
	if e, ok := err.(*guard.Error); ok {
		return 0, 0, nil, &JSONError{e.Pointer, e.Offset, e.Problem}
	}
	coef, exp, err = numberOf(number)
	return coef, exp, code, err
}

func numberOf(number []byte) (coef int64, exp int8, err error) {
	c, e, ok := guard.ParseNumber(number)
	if !ok {
		return 0, 0, &JSONError{Pointer: "/value",
			Problem: fmt.Sprintf("%.40q is not a number of at most 18 digits", number)}
	}
	return c, int8(e), nil
}
