package cycle

import (
	"errors"
	"math"

	"example.com/moistheat/units"
)

// LethalityRule says how lethal rates are summed over time. The zero LethalityRule
// is invalid.
type LethalityRule string

const (
	// Trapezoid: the mean of two neighbouring rates times the time between them.
	Trapezoid LethalityRule = "trapezoid"
	// Rectangle: each rate times the time to the next sample; the last sample
	// counts for as long as the one before it.
	Rectangle LethalityRule = "rectangle"
	// Exponential: the exact integral of a temperature that runs straight from one
	// sample to the next. The trapezoid lies above it: by a fifth on a steep ramp
	// that is logged once a minute, by 0.006 % if it is logged once a second.
	Exponential LethalityRule = "exponential"
)

// The reference that [Analyze] uses: 121.1 °C and 10 K, the usual F0. Other texts
// take 121.0 °C, which gives 2.33 % more, or 250 °F.
const (
	referenceTenths = 1211
	zKelvin         = 10
)

// LethalRate returns how many minutes at the reference temperature one minute at a
// temperature in degrees Celsius is worth: 10^((T − reference)/z). It returns NaN
// if the reference is invalid or z is not positive.
func LethalRate(celsius float64, reference units.Temperature, z units.TemperatureDifference) float64 {
	ref, k, ok := lethalConstants(reference, z)
	if !ok {
		return math.NaN()
	}
	return math.Exp(k * (celsius - ref))
}

// LethalMinutes sums lethal rates over samples of temperature, in degrees Celsius,
// at times in seconds, and returns equivalent minutes at the reference temperature.
// The rules differ by some percent on coarse records, so the rule is the caller's.
//
// The sum is a report. The published time-temperature pairs are worth from 7 to 58
// minutes, so no sum can stand in for a hold.
func LethalMinutes(celsius, seconds []float64, reference units.Temperature, z units.TemperatureDifference,
	rule LethalityRule) (float64, error) {
	ref, k, ok := lethalConstants(reference, z)
	switch {
	case !ok:
		return 0, errors.New("cycle: lethality needs a reference temperature and a positive z")
	case rule != Trapezoid && rule != Rectangle && rule != Exponential:
		return 0, errors.New("cycle: lethality needs a rule: trapezoid, rectangle or exponential")
	case len(celsius) != len(seconds):
		return 0, errors.New("cycle: as many temperatures as times are needed")
	case len(celsius) < 2:
		return 0, errors.New("cycle: at least two samples are needed")
	}
	for i := range seconds {
		if i > 0 && !(seconds[i] > seconds[i-1]) || math.IsNaN(celsius[i]) {
			return 0, errors.New("cycle: times must increase and temperatures be numbers")
		}
	}
	return lethal(celsius, seconds, scale{1, 0}, 1, math.Inf(1), ref, k, rule), nil
}

func lethalConstants(reference units.Temperature, z units.TemperatureDifference) (ref, k float64, ok bool) {
	if !reference.IsValid() || !(z.Float64(units.KelvinDifference) > 0) {
		return 0, 0, false
	}
	return reference.Float64(units.Celsius), math.Ln10 / z.Float64(units.KelvinDifference), true
}

// lethal sums in minutes. Nothing is counted across an interval of more than gap
// seconds.
func lethal(values, times []float64, celsius scale, second, gap, ref, k float64, rule LethalityRule) float64 {
	sum, last := 0.0, 0.0
	rate := math.Exp(k * (celsius.of(values[0]) - ref))
	for i := 1; i < len(values); i++ {
		next := math.Exp(k * (celsius.of(values[i]) - ref))
		if dt := (times[i] - times[i-1]) * second; dt <= gap {
			last = dt
			switch rule {
			case Trapezoid:
				sum += (rate + next) / 2 * dt
			case Rectangle:
				sum += rate * dt
			default:
				sum += straight(rate, next, k*(celsius.of(values[i])-celsius.of(values[i-1]))) * dt
			}
		}
		rate = next
	}
	if rule == Rectangle {
		sum += rate * last
	}
	return sum / 60
}

// straight returns the mean rate along a straight line of temperature whose rates at
// the ends are given and whose logarithm rises by rise.
func straight(from, to, rise float64) float64 {
	if math.Abs(rise) < 1e-4 { // the quotient would lose its digits
		return (from + to) / 2
	}
	return (to - from) / rise
}

// LethalBounds returns what the samples leave open of a sum of lethal rates: the
// least and the greatest number of minutes that any temperature gives which passes
// through the samples and turns only at them. The true value lies between, whatever
// the rule; the wider, the more coarsely the record was sampled for what it shows.
// The errors are those of [LethalMinutes].
func LethalBounds(celsius, seconds []float64, reference units.Temperature, z units.TemperatureDifference) (
	least, greatest float64, err error,
) {
	if _, err := LethalMinutes(celsius, seconds, reference, z, Trapezoid); err != nil {
		return 0, 0, err
	}
	ref, k, _ := lethalConstants(reference, z)
	least, greatest = lethalBounds(celsius, seconds, scale{1, 0}, 1, math.Inf(1), ref, k)
	return least, greatest, nil
}

func lethalBounds(values, times []float64, celsius scale, second, gap, ref, k float64) (least, greatest float64) {
	rate := math.Exp(k * (celsius.of(values[0]) - ref))
	for i := 1; i < len(values); i++ {
		next := math.Exp(k * (celsius.of(values[i]) - ref))
		if dt := (times[i] - times[i-1]) * second; dt <= gap {
			least += min(rate, next) * dt
			greatest += max(rate, next) * dt
		}
		rate = next
	}
	return least / 60, greatest / 60
}

// scale takes a number in a unit to the unit that the physics is done in.
type scale struct{ factor, offset float64 }

func (s scale) of(x float64) float64 { return (x - s.offset) * s.factor }

// celsiusFrom returns the scale from a unit to degrees Celsius.
func celsiusFrom(u units.TemperatureUnit) scale {
	switch u {
	case units.Celsius:
		return scale{1, 0}
	case units.Fahrenheit:
		return scale{5.0 / 9, 32}
	case units.Kelvin:
		return scale{1, 273.15}
	}
	return scale{math.NaN(), 0}
}

// kPaFrom returns how many kilopascals one of a pressure unit is.
func kPaFrom[U units.AbsolutePressureUnit | units.GaugePressureUnit](u U) float64 {
	switch u := any(u).(type) {
	case units.AbsolutePressureUnit:
		return units.New(1, 0, u).Float64(units.Kilopascal)
	case units.GaugePressureUnit:
		return units.New(1, 0, u).Float64(units.KilopascalGauge)
	}
	return math.NaN()
}
