package units

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"

	"example.com/moistheat/internal/guard"
	"github.com/shopspring/decimal"
)

// Quantity is a decimal number with a unit. Its zero value is invalid: it has no
// unit and equals nothing that was recorded.
//
// A Quantity is 16 bytes and comparable; == asks for the same digits and the same
// unit, so 1.5 kg, 1.50 kg and 1500 g differ under == and are equal under
// [Quantity.Compare].
type Quantity[U Unit] struct {
	coef int64
	exp  int8
	unit U
}

// Value is a quantity whose dimension is known only when the program runs: what
// reports carry. Its zero value is invalid.
type Value struct {
	coef    int64
	exp     int8
	unit    uint8
	dim     Dimension
	species Species // only with DimSpeciesConcentration
}

// The range of the power of ten of a quantity. Numbers as they are parsed always
// fit.
const (
	minExp = -48
	maxExp = 36
)

const maxCoef = 999_999_999_999_999_999 // 18 digits

// fault is an error of which no more is to say. Its values are constants.
type fault string

func (f fault) Error() string { return string(f) }

const (
	// ErrAtmosphere says that a gauge pressure cannot become absolute because the
	// pressure of the air around it is not known.
	ErrAtmosphere fault = "units: gauge to absolute needs the atmospheric pressure of the site"

	errRange fault = "units: more than 18 digits, or too large or small; write it in a fitting unit"
	errUnit  fault = "units: no unit given"
)

// UnitError says that a unit code is not one of a dimension.
type UnitError struct {
	Code      string    // as it was written
	Dimension Dimension // what a unit was wanted for
	Use       string    // the code to write instead, where it is clear
}

func (e *UnitError) Error() string {
	e = cmp.Or(e, &UnitError{})
	if e.Use != "" {
		return fmt.Sprintf("%.20q is not a UCUM code for %s; write %q", e.Code, e.Dimension, e.Use)
	}
	if e.Dimension == DimMass && e.Code == "gr" { // which people write for both
		return fmt.Sprintf(`%q is not a UCUM code for %s; write "g" for gram, or "[gr]" for grain`, e.Code, e.Dimension)
	}
	codes, species := e.Dimension.Codes(), ""
	if e.Dimension == DimSpeciesConcentration {
		codes, species = DimMassConcentration.Codes(), ", followed by the species, as in {CaCO3}"
	}
	return fmt.Sprintf("%.20q is not a unit of %s; use one of %s%s", e.Code, e.Dimension, strings.Join(codes, ", "), species)
}

// New returns coef × 10^exp of unit u, or the invalid zero Quantity if u is
// invalid or the number has more than 18 digits.
func New[U Unit](coef int64, exp int, u U) Quantity[U] {
	if u.dimension().info(uint8(u)).code == "" || exp < minExp || exp > maxExp || coef > maxCoef || coef < -maxCoef {
		return Quantity[U]{}
	}
	return Quantity[U]{coef, int8(exp), u}
}

// FromFloat64 rounds x once, ties to even, to the given number of decimal places
// of unit u. It returns the invalid zero Quantity for NaN, infinities and numbers
// out of range.
func FromFloat64[U Unit](x float64, places int, u U) Quantity[U] {
	if math.IsNaN(x) || math.IsInf(x, 0) || places < 0 || places > 15 {
		return Quantity[U]{}
	}
	n, exp, ok := guard.ParseNumber(strconv.AppendFloat(nil, x, 'f', places, 64))
	if !ok {
		return Quantity[U]{}
	}
	return New(n, exp, u)
}

// FromDecimal returns d of unit u, keeping its digits.
func FromDecimal[U Unit](d decimal.Decimal, u U) (Quantity[U], error) {
	c := d.Coefficient()
	if !c.IsInt64() {
		return Quantity[U]{}, errRange
	}
	q := New(c.Int64(), int(d.Exponent()), u)
	if !q.IsValid() {
		return q, errRange
	}
	return q, nil
}

// Parse reads a number and a UCUM code separated by one space, as in
// "9 [lb_av]". A pressure may be followed by the word absolute or gauge, which
// must be right.
func Parse[U Unit](s string) (Quantity[U], error) {
	var zero U
	v, err := parse(zero.dimension(), s)
	if err != nil {
		return Quantity[U]{}, err
	}
	return Quantity[U]{v.coef, v.exp, U(v.unit)}, nil
}

// ParseNumber reads a number of unit u, for columns and printouts whose heading
// names the unit.
func ParseNumber[U Unit](number string, u U) (Quantity[U], error) {
	if u.dimension().info(uint8(u)).code == "" {
		return Quantity[U]{}, errUnit
	}
	coef, exp, ok := guard.ParseNumber(number)
	if !ok {
		return Quantity[U]{}, numberError(number)
	}
	return Quantity[U]{coef, int8(exp), u}, nil
}

// MustParse is [Parse] for constants in programs and tests; it panics on an error.
func MustParse[U Unit](s string) Quantity[U] {
	q, err := Parse[U](s)
	if err != nil {
		panic(err)
	}
	return q
}

func parse(d Dimension, s string) (Value, error) {
	number, rest, ok := strings.Cut(s, " ")
	if !ok {
		return Value{}, fmt.Errorf("units: %.40q: want a number, a space and a unit", s)
	}
	code, word, qualified := strings.Cut(rest, " ")
	if qualified && (word == "" || word != d.word()) {
		return Value{}, fmt.Errorf("units: %.40q is not %s", s, d)
	}
	coef, exp, ok := guard.ParseNumber(number)
	if !ok {
		return Value{}, numberError(number)
	}
	u, err := parseCode(d, code)
	if err != nil {
		return Value{}, err
	}
	return Value{coef: coef, exp: int8(exp), unit: u, dim: d}, nil
}

func numberError(number string) error {
	return fmt.Errorf("units: %.40q is not a number of at most 18 digits", number)
}

// word tells the two pressures apart in text.
func (d Dimension) word() string {
	switch d {
	case DimAbsolutePressure:
		return "absolute"
	case DimGaugePressure:
		return "gauge"
	}
	return ""
}

// IsValid reports whether q holds a quantity.
func (q Quantity[U]) IsValid() bool { return q.unit != 0 }

// Unit returns the unit that q is written in.
func (q Quantity[U]) Unit() U { return q.unit }

// Value returns q with its dimension erased.
func (q Quantity[U]) Value() Value {
	if !q.IsValid() {
		return Value{}
	}
	return Value{coef: q.coef, exp: q.exp, unit: uint8(q.unit), dim: q.unit.dimension()}
}

// Of returns v as a quantity of the unit type U; ok is false if v is of another
// dimension.
func Of[U Unit](v Value) (q Quantity[U], ok bool) {
	var zero U
	if !v.IsValid() || v.dim != zero.dimension() {
		return Quantity[U]{}, false
	}
	return Quantity[U]{v.coef, v.exp, U(v.unit)}, true
}

// Compare returns -1, 0 or +1 as q is smaller than, equal to or greater than r,
// exactly, whatever their units. An invalid quantity is smaller than every valid
// one.
func (q Quantity[U]) Compare(r Quantity[U]) int {
	if q.unit != r.unit {
		return compare(q.Value(), r.Value())
	}
	if q.exp != r.exp {
		return compareDecimal(q.coef, q.exp, r.coef, r.exp)
	}
	return cmp.Compare(q.coef, r.coef) // two invalid ones included
}

// compare orders two values of one dimension and species.
func compare(a, b Value) int {
	switch {
	case a.unit == b.unit:
		return compareDecimal(a.coef, a.exp, b.coef, b.exp)
	case !a.IsValid():
		return -1
	case !b.IsValid():
		return 1
	}
	// Floating point decides where the two are so far apart that its rounding cannot
	// matter.
	x, xSize := a.approximate()
	y, ySize := b.approximate()
	if d := x - y; math.Abs(d) > 1e-12*(xSize+ySize) {
		return cmp.Compare(d, 0)
	}
	return a.base().Cmp(b.base())
}

// approximate returns v in base units, and the size of what was added up for it, of
// which the error is a 1e-14th at most.
func (v Value) approximate() (x, size float64) {
	u := v.dim.info(v.unit)
	n, offset := float64(v.coef)*math.Pow10(int(v.exp)), float64(u.offset)*math.Pow10(int(u.offExp))
	factor := float64(u.num) / float64(u.den) * math.Pow10(int(u.exp))
	return (n + offset) * factor, (math.Abs(n) + offset) * factor
}

// compareDecimal orders a×10^ae and b×10^be.
func compareDecimal(a int64, ae int8, b int64, be int8) int {
	if ae < be {
		return -compareDecimal(b, be, a, ae)
	}
	d := int(ae) - int(be)
	if d < len(pow10) {
		if m := int64(pow10[18-d]); a < m && a > -m { // a×10^d is a coefficient
			return cmp.Compare(a*int64(pow10[d]), b)
		}
	} else if a == 0 {
		return cmp.Compare(0, b)
	}
	return cmp.Compare(a, 0) // beyond every coefficient
}

var pow10 = [...]uint64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10,
	1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18}

func bigPow10(n int) *big.Int {
	if n < len(pow10) {
		return new(big.Int).SetUint64(pow10[n])
	}
	return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil)
}

func ratPow10(n int) *big.Rat { return ratOf(1, 1, n) }

// ratOf returns num/den × 10^exp.
func ratOf(num, den int64, exp int) *big.Rat {
	n, d := big.NewInt(num), big.NewInt(den)
	if exp < 0 {
		d.Mul(d, bigPow10(-exp))
	} else {
		n.Mul(n, bigPow10(exp))
	}
	return new(big.Rat).SetFrac(n, d)
}

// base returns v in base units, exactly.
func (v Value) base() *big.Rat {
	u := v.dim.info(v.unit)
	r := ratOf(v.coef, 1, int(v.exp))
	if u.offset != 0 {
		r.Add(r, ratOf(u.offset, 1, int(u.offExp)))
	}
	return r.Mul(r, u.factor())
}

// Rat returns q in the base unit of its dimension (the first in its list of
// units), exactly.
func (q Quantity[U]) Rat() *big.Rat {
	if !q.IsValid() {
		return new(big.Rat)
	}
	return q.Value().base()
}

// Rounding says which way a conversion rounds.
type Rounding uint8

const (
	// TiesToEven rounds to the nearest, and a tie to the even digit.
	TiesToEven Rounding = iota
	// Down rounds towards the smaller value: use it for an upper limit, which a
	// conversion must not loosen.
	Down
	// Up rounds towards the larger value: use it for a lower limit.
	Up
)

// Convert returns q in unit u, rounded once to the given number of decimal places.
// It returns the invalid zero Quantity if q is invalid or the result needs more
// than 18 digits.
func (q Quantity[U]) Convert(u U, places int, r Rounding) Quantity[U] {
	x, ok := q.in(u)
	if !ok || places < 0 || places > 18 {
		return Quantity[U]{}
	}
	return round(x, u, places, r)
}

// Rounded returns q in unit u with as few digits as keep its precision, by NIST
// SP 811, B.7.2: the rounding error of the result, for its size, is not larger than
// that of q. So 36 ft is 11.0 m, and 2 bar is 2e5 Pa. On a scale of temperature,
// whose zero is arbitrary, the steps of the last digits are compared. It rounds once,
// ties to even, and is for showing readings; limits go through [Quantity.Convert],
// inwards. It returns the invalid zero Quantity if q is invalid or the result needs more than 18
// digits.
func (q Quantity[U]) Rounded(u U) Quantity[U] {
	x, ok := q.in(u)
	if !ok {
		return Quantity[U]{}
	}
	// The step of q's last digit, in unit u. The largest power of ten that is not
	// larger gives the last digit of the result; its error can then not be larger
	// for its size either, since it has at least as many such steps as q has.
	step := q.unit.dimension().info(uint8(q.unit)).factor()
	step.Quo(step, u.dimension().info(uint8(u)).factor())
	step.Mul(step, ratPow10(int(q.exp)))
	places := 0
	for ratPow10(-places).Cmp(step) > 0 {
		places++
	}
	for ratPow10(1-places).Cmp(step) <= 0 {
		places--
	}
	return round(x, u, places, TiesToEven)
}

// round returns x of unit u, rounded to a number of decimal places, or the invalid
// zero Quantity if that needs more than 18 digits.
func round[U Unit](x *big.Rat, u U, places int, r Rounding) Quantity[U] {
	scaled := ratPow10(places)
	scaled.Mul(scaled, x)
	n, rem := new(big.Int).DivMod(scaled.Num(), scaled.Denom(), new(big.Int)) // floors
	up := false
	switch r {
	case Up:
		up = rem.Sign() > 0
	case TiesToEven:
		c := rem.Lsh(rem, 1).Cmp(scaled.Denom())
		up = c > 0 || c == 0 && n.Bit(0) == 1
	}
	if up {
		n.Add(n, big.NewInt(1))
	}
	if !n.IsInt64() {
		return Quantity[U]{}
	}
	return New(n.Int64(), -places, u)
}

// Exactly returns q in unit u with all its digits; ok is false if it has no finite
// decimal of at most 18 digits there.
func (q Quantity[U]) Exactly(u U) (r Quantity[U], ok bool) {
	if q.unit == u && q.IsValid() {
		return q, true
	}
	x, ok := q.in(u)
	if !ok {
		return Quantity[U]{}, false
	}
	places, finite := x.FloatPrec()
	if !finite {
		return Quantity[U]{}, false
	}
	n, exp, rem := x.Mul(x, ratPow10(places)).Num(), -places, new(big.Int)
	for ; !n.IsInt64(); exp++ {
		if n.QuoRem(n, big.NewInt(10), rem); rem.Sign() != 0 {
			return Quantity[U]{}, false
		}
	}
	r = New(n.Int64(), exp, u)
	return r, r.IsValid()
}

// in returns the number of q in unit u; ok is false if either is invalid.
func (q Quantity[U]) in(u U) (x *big.Rat, ok bool) {
	t := u.dimension().info(uint8(u))
	if !q.IsValid() || t.code == "" {
		return nil, false
	}
	x = q.Rat()
	x.Quo(x, t.factor())
	if t.offset != 0 {
		x.Sub(x, ratOf(t.offset, 1, int(t.offExp)))
	}
	return x, true
}

// Float64 returns q in unit u, rounded to the nearest float64, for physics. It
// returns NaN for an invalid q or u.
func (q Quantity[U]) Float64(u U) float64 {
	if q.unit == u && q.IsValid() && q.exp <= 0 && q.exp >= -18 && q.coef < 1<<53 && q.coef > -1<<53 {
		return float64(q.coef) / float64(pow10[-q.exp])
	}
	if f, ok := q.quotient(u); ok {
		return f
	}
	x, ok := q.in(u)
	if !ok {
		return math.NaN()
	}
	f, _ := x.Float64()
	return f
}

// quotient is Float64 where numerator and denominator are whole numbers that a
// float64 holds, so that the division rounds once.
func (q Quantity[U]) quotient(u U) (float64, bool) {
	dim := u.dimension()
	from, to := dim.info(uint8(q.unit)), dim.info(uint8(u))
	if !q.IsValid() || to.code == "" || from.offset != 0 || to.offset != 0 {
		return 0, false
	}
	num := float64(q.coef) * float64(from.num) * float64(to.den)
	den := float64(from.den) * float64(to.num)
	switch exp := int(q.exp) + int(from.exp) - int(to.exp); {
	case exp >= len(pow10) || -exp >= len(pow10):
		return 0, false
	case exp >= 0:
		num *= float64(pow10[exp])
	default:
		den *= float64(pow10[-exp])
	}
	// The factors are whole, so a product that is small enough had exact parts.
	return num / den, num < 1<<53 && num > -1<<53 && den < 1<<53
}

// Decimal returns the number of q in its own unit, digits kept.
func (q Quantity[U]) Decimal() decimal.Decimal { return q.Value().Decimal() }

// Sum adds quantities exactly. The result is in the unit of the first, or in the
// base unit where it has no finite decimal there. ok is false for an empty or
// invalid list, a result of more than 18 digits, and for temperatures and pH, whose
// sums mean nothing.
func Sum[U Unit](qs []Quantity[U]) (sum Quantity[U], ok bool) {
	if len(qs) == 0 || qs[0].unit.dimension() == DimTemperature || qs[0].unit.dimension() == DimPH {
		return Quantity[U]{}, false
	}
	if sum, ok := sumAlike(qs); ok {
		return sum, true
	}
	total := new(big.Rat)
	low := 0
	for _, q := range qs {
		if !q.IsValid() {
			return Quantity[U]{}, false
		}
		total.Add(total, q.Rat())
		low = min(low, int(q.exp))
	}
	for _, u := range []U{qs[0].unit, 1} {
		n := new(big.Rat).Quo(total, u.dimension().info(uint8(u)).factor())
		places, finite := n.FloatPrec()
		if places = max(places, -low); finite && places <= 18 {
			if q := round(n, u, places, TiesToEven); q.IsValid() {
				return q, true
			}
		}
	}
	return Quantity[U]{}, false
}

// sumAlike adds quantities of one unit, as the masses of packs are.
func sumAlike[U Unit](qs []Quantity[U]) (Quantity[U], bool) {
	if n, ok := sumSteps(qs); ok {
		return New(n, int(qs[0].exp), qs[0].unit), true
	}
	var sum decimal.Decimal
	for _, q := range qs {
		if q.unit != qs[0].unit {
			return Quantity[U]{}, false
		}
		sum = sum.Add(q.Decimal())
	}
	s, err := FromDecimal(sum, qs[0].unit)
	return s, err == nil
}

// sumSteps adds quantities of one unit with one number of decimal places, in steps of the last.
func sumSteps[U Unit](qs []Quantity[U]) (n int64, ok bool) {
	for _, q := range qs {
		if q.unit != qs[0].unit || q.exp != qs[0].exp || !q.IsValid() {
			return 0, false
		}
		if n += q.coef; n > maxCoef || n < -maxCoef {
			return 0, false
		}
	}
	return n, true
}

// Absolute returns the absolute pressure of a gauge reading under the given
// atmosphere, rounded once to a tenth of a pascal, ties to even.
func Absolute(g GaugePressure, atmosphere AbsolutePressure) (AbsolutePressure, error) {
	if !atmosphere.IsValid() {
		return AbsolutePressure{}, ErrAtmosphere
	}
	if !g.IsValid() {
		return AbsolutePressure{}, errors.New("units: no gauge pressure given")
	}
	sum := new(big.Rat).Add(g.Rat(), atmosphere.Rat())
	if sum.Sign() < 0 {
		return AbsolutePressure{}, errors.New("units: a gauge pressure below vacuum")
	}
	return fromRat(sum, Kilopascal, 4, TiesToEven)
}
