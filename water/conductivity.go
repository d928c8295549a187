package water

import (
	"cmp"
	"errors"
	"fmt"
	"math"

	"example.com/moistheat/units"
)

// maxCelsius ends the range, from 0 °C, in which conductivity is carried from one
// temperature to another: that of the table of ISO 7888.
const maxCelsius = 35.9

// places is the quantum of a carried conductivity: 0.0001 µS/cm.
const places = 4

// Compensation is a rule that says what conductivity water would have at another
// temperature. Published rules differ by more than a per cent over 5 °C, so a result
// is only as good as the reason for the rule. The zero Compensation is invalid.
type Compensation struct {
	percent   float64 // per kelvin of the value at the reference
	reference float64 // °C
	table     bool
}

// Linear returns the rule κ(ref) = κ(T) / (1 + α (T − ref)). Usual meters have α of
// 2.0 % per kelvin at 25 °C (meter manuals); Standard Methods 2510B has 1.91 %. The
// same α at 20 °C is another rule. It returns the invalid zero Compensation for an α
// that is not above 0 and at most 10 and for a reference outside 0 to 100 °C.
func Linear(percentPerKelvin float64, reference units.Temperature) Compensation {
	c := reference.Float64(units.Celsius)
	if !(percentPerKelvin > 0 && percentPerKelvin <= 10) || !(c >= 0 && c <= 100) {
		return Compensation{}
	}
	return Compensation{percent: percentPerKelvin, reference: c}
}

// ISO7888 returns the rule of ISO 7888 for natural waters, which is not linear. It
// is recommended for 60 to 1000 µS/cm; the water of sterilizers lies below that.
// Ask [Compensation.Covers].
func ISO7888() Compensation { return Compensation{table: true} }

// Covers reports whether the rule is recommended for water of conductivity k: for
// ISO 7888 60 to 1000 µS/cm (a meter manual), for a linear rule 1 µS/cm and more, as
// purer water changes more and not in a straight line.
func (c Compensation) Covers(k units.Conductivity) bool {
	low, high := int64(1), int64(math.MaxInt32)
	if c.table {
		low, high = 60, 1000
	}
	return k.Compare(units.New(low, 0, units.MicrosiemensPerCentimetre)) >= 0 &&
		k.Compare(units.New(high, 0, units.MicrosiemensPerCentimetre)) <= 0
}

// Convert returns what water of conductivity k at one temperature has at another,
// rounded to 0.0001 µS/cm. It returns an error for an invalid argument, outside 0 to
// 35.9 °C (cool the sample and measure again), and where the straight line of a
// linear rule has come down to 0, as that of 10 % at 25 °C has at 15 °C.
func (c Compensation) Convert(k units.Conductivity, from, to units.Temperature) (units.Conductivity, error) {
	if !k.IsValid() || c == (Compensation{}) {
		return units.Conductivity{}, errors.New("water: no conductivity or no rule to carry it with")
	}
	a, unfit := celsius(from)
	b, err := celsius(to)
	if err = cmp.Or(unfit, err); err != nil {
		return units.Conductivity{}, err
	}
	f := c.factor(a, b)
	if math.IsNaN(f) {
		return units.Conductivity{}, fmt.Errorf(
			"water: from %s to %s the straight line of the rule comes down to 0", from, to)
	}
	q := units.FromFloat64(k.Float64(units.MicrosiemensPerCentimetre)*f, places, units.MicrosiemensPerCentimetre)
	if !q.IsValid() {
		return q, fmt.Errorf("water: %s is too large to carry", k)
	}
	return q, nil
}

// celsius returns t in °C. An invalid t, which nobody recorded, is an error and
// never 25 °C.
func celsius(t units.Temperature) (float64, error) {
	if !t.IsValid() {
		return 0, errors.New("water: the temperature is not recorded")
	}
	c := t.Float64(units.Celsius)
	if !(c >= 0 && c <= maxCelsius) {
		return 0, fmt.Errorf("water: %s is outside 0 to %g °C; cool the sample and measure again", t, maxCelsius)
	}
	return c, nil
}

// factor returns κ(to)/κ(from); NaN where a straight line has come down to 0, as no
// water conducts less than nothing.
func (c Compensation) factor(from, to float64) float64 {
	if from == to {
		return 1
	}
	if c.table {
		return factor25(from) / factor25(to)
	}
	a := c.percent / 100
	x, y := 1+a*(from-c.reference), 1+a*(to-c.reference)
	if !(x > 0 && y > 0) {
		return math.NaN()
	}
	return y / x
}

// factor25 returns the factor f25 of ISO 7888, with κ(25 °C) = f25·κ(T), rounded to 3
// decimals as its table is.
//
// It is computed from the closed form with the constants of published program code
// that cites ISO 7888:1985, normalised to 1 at 25 °C. At 1.5 °C printed tables have
// 1.829 where the closed form gives 1.828.
func factor25(c float64) float64 { return math.Round(1000*viscosityForm(c)/viscosityForm(25)) / 1000 }

// viscosityForm is the uncompensated closed form of ISO 7888: the factor as a
// function of the viscosity of water relative to 20 °C.
func viscosityForm(c float64) float64 {
	const a, n = 0.962144, 0.965078
	viscosity := -0.198058 + math.Exp(-1.992186+231.17628/(c+86.39123))
	return (1 - a) + a*math.Pow(viscosity, n)
}

// The rules in use between which a verdict must not depend: the usual linear one
// referred to 25 °C and to 20 °C, that of Standard Methods 2510B, and ISO 7888.
var usualRules = [...]Compensation{
	{percent: 2, reference: 25}, {percent: 2, reference: 20}, {percent: 1.91, reference: 25}, {table: true},
}

// pureWater is the conductivity of pure water in µS/cm: 0.055 at 25 °C quoted, the
// others recalled from the IAPWS guideline of 1990 and Light et al. 2005.
var pureWater = [...][2]float64{{0, 0.0115}, {10, 0.0231}, {20, 0.0420}, {25, 0.055}, {50, 0.173}}

// pureWaterAt interpolates between the points of the table, which goes beyond
// maxCelsius.
func pureWaterAt(c float64) float64 {
	i := 1
	for pureWater[i][0] < c {
		i++
	}
	a, b := pureWater[i-1], pureWater[i]
	return a[1] * math.Pow(b[1]/a[1], (c-a[0])/(b[0]-a[0]))
}

// bracket returns the smallest and the largest factor that the rules in use give.
// For water below 1 µS/cm, which nears pure water, they include that of pure water.
func bracket(microsiemensPerCentimetre, from, to float64) (low, high float64) {
	low, high = math.Inf(1), 0
	for _, c := range usualRules {
		f := c.factor(from, to)
		low, high = min(low, f), max(high, f)
	}
	if microsiemensPerCentimetre < 1 {
		f := pureWaterAt(to) / pureWaterAt(from)
		low, high = min(low, f), max(high, f)
	}
	return low, high
}

// EstimateResidue returns what would stay of water when evaporated, from its
// conductivity and a factor in mg/L for each µS/cm, rounded to 0.1 mg/L. Factors in
// use run from 0.45 (sodium chloride) to 0.88 (a mixture of salts, at high
// conductivity); there is no right one without knowing the salts, so there is no
// default. The estimate leaves out what does not conduct, such as silica. It returns
// an error for a factor outside 0.4 to 1.
func EstimateResidue(k units.Conductivity, factor float64) (units.MassConcentration, error) {
	if !k.IsValid() || !(factor >= 0.4 && factor <= 1) {
		return units.MassConcentration{}, fmt.Errorf(
			"water: a residue is estimated from a conductivity and a stated factor of 0.4 to 1, not %g", factor)
	}
	q := units.FromFloat64(k.Float64(units.MicrosiemensPerCentimetre)*factor, 1, units.MilligramPerLitre)
	if !q.IsValid() {
		return q, fmt.Errorf("water: %s is too large", k)
	}
	return q, nil
}
