package cleaning

import (
	"math"

	"example.com/moistheat/cycle"
	"example.com/moistheat/units"
)

// A0 counts seconds at 80 °C with z of 10 K, from 65 °C (ISO 15883-1: quoted).
const (
	referenceCelsius = 80
	zKelvin          = 10
	lowestCelsius    = 65
)

// A0 returns the equivalent time at 80 °C of a temperature log, at the coldest recorded point
// of each moment and without what is below 65 °C. It reports false for a log that cannot be
// read as a whole, such as one with a gap.
func A0(t *cycle.Trace) (a0 units.Ratio, ok bool) {
	s, ok := sum(t, 0)
	return s.shown(), ok
}

// seconds are the least and the greatest A0 that a log leaves open, that of straight lines, and
// the most that one interval of more than a minute gives alone: of the time within it nothing is
// known.
type seconds struct{ least, straight, greatest, widest float64 }

func (s seconds) shown() units.Ratio { return units.FromFloat64(s.straight, 1, units.One) }

// reaches reports whether a sum in floating point is at least a limit.
func reaches(sum float64, limit units.Ratio) bool {
	return sum >= limit.Float64(units.One)*(1-1e-9)
}

// sum sums a log with each sensor's accuracy taken off so many times.
func sum(t *cycle.Trace, accuracies float64) (out seconds, ok bool) {
	analysis := cycle.Analyze(t, cycle.Requirement{})
	for _, p := range analysis.Problems {
		switch p.Kind {
		case cycle.Gap, cycle.ClockStepBack, cycle.LengthsDiffer, cycle.TooFewSamples, cycle.NoTemperature,
			cycle.Implausible:
			return out, false
		}
	}
	times := make([]float64, len(t.Time.Values))
	for i, x := range t.Time.Values {
		times[i] = x * units.New(1, 0, t.Time.Unit).Float64(units.Second)
	}
	coldest := coldest(t, accuracies)
	for i := 0; i < len(times); i++ {
		first := i
		for i < len(times) && coldest[i] >= lowestCelsius {
			i++
		}
		if i == first {
			continue
		}
		least, straight, _ := minutes(coldest[first:i], times[first:i])
		before, after := max(first-1, 0), min(i+1, len(times))
		_, _, greatest := minutes(coldest[before:after], times[before:after])
		out.least, out.straight, out.greatest = out.least+60*least, out.straight+60*straight, out.greatest+60*greatest
		for j := first + 1; j < i; j++ {
			if times[j]-times[j-1] > 60 {
				alone, _, _ := minutes(coldest[j-1:j+1], times[j-1:j+1])
				out.widest = max(out.widest, 60*alone)
			}
		}
	}
	return out, true
}

// minutes sums one run of samples. A single one lasts no time.
func minutes(celsius, times []float64) (least, straight, greatest float64) {
	if len(times) < 2 {
		return 0, 0, 0
	}
	reference, z := units.New(referenceCelsius, 0, units.Celsius), units.New(zKelvin, 0, units.KelvinDifference)
	straight, err := cycle.LethalMinutes(celsius, times, reference, z, cycle.Exponential)
	if err != nil {
		return 0, 0, math.Inf(1)
	}
	least, greatest, _ = cycle.LethalBounds(celsius, times, reference, z)
	return least, straight, greatest
}

// coldest returns the lowest temperature of each moment.
func coldest(t *cycle.Trace, accuracies float64) []float64 {
	out := make([]float64, len(t.Time.Values))
	for k, c := range t.Temperatures {
		off := 0.0
		if c.Accuracy.IsValid() {
			off = accuracies * c.Accuracy.Float64(units.KelvinDifference)
		}
		for i, v := range c.Values {
			v = toCelsius(v, c.Unit) - off
			if k == 0 || v < out[i] {
				out[i] = v
			}
		}
	}
	return out
}

func toCelsius(v float64, u units.TemperatureUnit) float64 {
	switch u {
	case units.Fahrenheit:
		return (v - 32) / 1.8
	case units.Kelvin:
		return v - 273.15
	}
	return v
}
