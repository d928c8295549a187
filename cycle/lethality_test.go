package cycle

import (
	"math"
	"testing"

	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	ref1211 = temp("121.1 Cel")
	ref121  = temp("121 Cel")
	z10     = kelvins("10 K")
)

func TestLethalRate(t *testing.T) {
	// FAO Fisheries Technical Paper 285 uses 0.776 for 120 °C, reference 121.1 °C.
	assert.InDelta(t, 0.776, LethalRate(120, ref1211, z10), 5e-4)
	// A teaching article on F0 prints these seven.
	for celsius, rate := range map[float64]float64{112: 0.123, 116: 0.309, 119: 0.617, 121: 0.977, 122: 1.230, 118: 0.490, 114: 0.195} {
		assert.InDelta(t, rate, LethalRate(celsius, ref1211, z10), 5e-4, "%g °C", celsius)
	}
	// 250 °F with a z of 18 °F is the same scale as 121.11 °C with 10 K.
	assert.InDelta(t, 1, LethalRate(1090.0/9, temp("250 [degF]"), units.MustParse[units.TemperatureDifferenceUnit]("18 5.K/9")), 1e-12)
	assert.True(t, math.IsNaN(LethalRate(121, units.Temperature{}, z10)))
	assert.True(t, math.IsNaN(LethalRate(121, ref121, kelvins("0 K"))))
	assert.True(t, math.IsNaN(LethalRate(121, ref121, units.TemperatureDifference{})))
}

// every returns n times at a fixed step.
func every(n int, step float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = float64(i) * step
	}
	return out
}

// ramp returns n+1 values from a to b.
func ramp(a, b float64, n int) []float64 {
	out := make([]float64, n+1)
	for i := range out {
		out[i] = a + (b-a)*float64(i)/float64(n)
	}
	return out
}

func TestLethalMinutes(t *testing.T) {
	sum := func(celsius []float64, step float64, ref units.Temperature, rule LethalityRule) float64 {
		f, err := LethalMinutes(celsius, every(len(celsius), step), ref, z10, rule)
		require.NoError(t, err)
		return f
	}
	// Teaching article on F0: ten readings a minute apart sum to about 6.87; the
	// trapezoid over the same readings is 6.7136 by hand.
	series := []float64{112, 116, 119, 121, 122, 121, 121, 121, 118, 114}
	assert.InDelta(t, 6.8726, sum(series, 60, ref1211, Rectangle), 5e-5)
	assert.InDelta(t, 6.7136, sum(series, 60, ref1211, Trapezoid), 5e-5)

	// FAO Fisheries Technical Paper 285, table 3, 5-minute steps: rates that sum to
	// 2.925 are worth 14.6 min; with the ends 0 and 0.776 halved the rates sum to
	// 1.730 and are worth 8.65 min. The single rates are not printed, so these are
	// any that sum to the printed figures.
	celsius := func(rates ...float64) (out []float64) {
		for _, l := range rates {
			out = append(out, 121.1+10*math.Log10(l))
		}
		return out
	}
	const none = 1e-9
	assert.InDelta(t, 14.625, sum(celsius(none, 0.5, 0.9, 0.9, 0.6, 0.025, none), 300, ref1211, Rectangle), 1e-5)
	assert.InDelta(t, 14.625, sum(celsius(none, 0.5, 0.9, 0.9, 0.6, 0.025, none), 300, ref1211, Trapezoid), 1e-5)
	assert.InDelta(t, 8.65, sum(celsius(none, 0.1, 0.5, 0.742, 0.776), 300, ref1211, Trapezoid), 1e-5)

	// Technical note "Fo value": 15 min at 111 °C are 1.5 and at 121 °C are 15.
	assert.InDelta(t, 1.5, sum([]float64{111, 111}, 900, ref121, Trapezoid), 1e-12)
	assert.InDelta(t, 15, sum([]float64{121, 121}, 900, ref121, Trapezoid), 1e-12)

	// The published pairs as square waves: t × 10^((T − reference)/10).
	for _, c := range []struct{ celsius, minutes, f1211, f121 float64 }{
		{134, 3, 58.50, 59.86}, {121, 15, 14.66, 15.00}, {132, 4, 49.21, 50.36},
	} {
		flat := []float64{c.celsius, c.celsius, c.celsius}
		assert.InDelta(t, c.f1211, sum(flat, c.minutes*30, ref1211, Trapezoid), 0.005)
		assert.InDelta(t, c.f121, sum(flat, c.minutes*30, ref121, Trapezoid), 0.005)
	}

	// A linear ramp a→b in m minutes is worth m (10^((b−r)/z) − 10^((a−r)/z)) z /
	// (ln 10 (b−a)) exactly: 12.44808 for 100→134 °C in 5 min. The trapezoid comes
	// from above.
	up := 5 * (math.Pow(10, 1.29) - math.Pow(10, -2.11)) * 10 / (math.Ln10 * 34)
	assert.InDelta(t, 12.44808, up, 5e-6)
	for n, want := range map[int]float64{5: 14.8930, 10: 13.0775, 60: 12.4657, 300: 12.4488} {
		assert.InDelta(t, want, sum(ramp(100, 134, n), 300/float64(n), ref1211, Trapezoid), 6e-5, "%d intervals", n)
	}
	// Ramp of 5 min, hold of 3 min, cooling in 2 min: 75.9227.
	whole := append(ramp(100, 134, 30000), ramp(134, 134, 18000)[1:]...)
	whole = append(whole, ramp(134, 100, 12000)[1:]...)
	assert.InDelta(t, 75.92265, sum(whole, 0.01, ref1211, Trapezoid), 1e-5)

	// Uneven times, and the last rectangle as long as the one before.
	f, err := LethalMinutes([]float64{121, 121, 121}, []float64{0, 60, 180}, ref121, z10, Rectangle)
	require.NoError(t, err)
	assert.InDelta(t, 1+2+2, f, 1e-12)
}

// The exponential rule is exact for straight lines, however coarse: 12.44808 for
// 100→134 °C in 5 min, 2.00494 for 100→121 °C in 10 min, 4.97923 for 134→100 °C in
// 2 min, 75.92265 for the first and the last with 3 min at 134 °C between (m
// (10^((b−r)/z) − 10^((a−r)/z)) z / (ln 10 (b−a)), worked by hand).
func TestLethalExponential(t *testing.T) {
	sum := func(celsius []float64, step float64, ref units.Temperature, rule LethalityRule) float64 {
		f, err := LethalMinutes(celsius, every(len(celsius), step), ref, z10, rule)
		require.NoError(t, err)
		return f
	}
	for _, n := range []int{1, 5, 60, 300} {
		assert.InDelta(t, 12.44808, sum(ramp(100, 134, n), 300/float64(n), ref1211, Exponential), 6e-6, "%d", n)
		assert.InDelta(t, 2.00494, sum(ramp(100, 121, n), 600/float64(n), ref1211, Exponential), 6e-6, "%d", n)
		assert.InDelta(t, 4.97923, sum(ramp(134, 100, n), 120/float64(n), ref1211, Exponential), 6e-6, "%d", n)
	}
	whole, err := LethalMinutes([]float64{100, 134, 134, 100}, []float64{0, 300, 480, 600}, ref1211, z10, Exponential)
	require.NoError(t, err)
	assert.InDelta(t, 75.92265, whole, 6e-6)
	// One-minute logging of the steep ramp over-reads it by about a fifth.
	assert.InDelta(t, 0.20, sum(ramp(100, 134, 5), 60, ref1211, Trapezoid)/12.44808-1, 0.01)
	// Nearly level, where the quotient alone would lose its digits.
	assert.InDelta(t, math.Pow(10, -0.01), sum([]float64{121, 121 + 1e-6}, 60, ref1211, Exponential), 2e-7)
	assert.InDelta(t, math.Pow(10, -0.01), sum([]float64{121, 121}, 60, ref1211, Exponential), 1e-12)
}

func TestLethalBounds(t *testing.T) {
	for _, n := range []int{1, 5, 60, 300} {
		celsius, at := ramp(100, 134, n), every(n+1, 300/float64(n))
		least, greatest, err := LethalBounds(celsius, at, ref1211, z10)
		require.NoError(t, err)
		assert.LessOrEqual(t, least, 12.44808)
		assert.GreaterOrEqual(t, greatest, 12.44808)
		// Of a rise, they differ by the last rate less the first, over one interval.
		assert.InDelta(t, (math.Pow(10, 1.29)-math.Pow(10, -2.11))*5/float64(n), greatest-least, 1e-9)
		for _, rule := range []LethalityRule{Trapezoid, Rectangle, Exponential} {
			f, err := LethalMinutes(celsius[:n+1], at, ref1211, z10, rule)
			require.NoError(t, err)
			if rule != Rectangle { // which counts the last sample once more
				assert.GreaterOrEqual(t, f, least)
				assert.LessOrEqual(t, f, greatest)
			}
		}
	}
	_, _, err := LethalBounds([]float64{1}, []float64{1}, ref1211, z10)
	assert.Error(t, err)
}

func TestLethalMinutesRefuses(t *testing.T) {
	two := []float64{0, 1}
	for name, f := range map[string]func() (float64, error){
		"no reference": func() (float64, error) { return LethalMinutes(two, two, units.Temperature{}, z10, Trapezoid) },
		"no z":         func() (float64, error) { return LethalMinutes(two, two, ref121, kelvins("-1 K"), Trapezoid) },
		"z of zero":    func() (float64, error) { return LethalMinutes(two, two, ref121, kelvins("0 K"), Trapezoid) },
		"no rule":      func() (float64, error) { return LethalMinutes(two, two, ref121, z10, "") },
		"lengths":      func() (float64, error) { return LethalMinutes(two, two[:1], ref121, z10, Trapezoid) },
		"one sample":   func() (float64, error) { return LethalMinutes(two[:1], two[:1], ref121, z10, Trapezoid) },
		"same time":    func() (float64, error) { return LethalMinutes(two, []float64{1, 1}, ref121, z10, Trapezoid) },
		"no time":      func() (float64, error) { return LethalMinutes(two, []float64{0, math.NaN()}, ref121, z10, Trapezoid) },
		"no number":    func() (float64, error) { return LethalMinutes([]float64{math.NaN(), 1}, two, ref121, z10, Trapezoid) },
	} {
		_, err := f()
		assert.Error(t, err, name)
	}
}

func BenchmarkLethalRate(b *testing.B) {
	times, celsius := every(1000, 1), ramp(100, 140, 999)
	var sink float64
	b.Run("exp", func(b *testing.B) {
		for b.Loop() {
			sink, _ = LethalMinutes(celsius, times, ref1211, z10, Trapezoid)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1000, "ns/sample")
	})
	b.Run("pow", func(b *testing.B) {
		for b.Loop() {
			sink = 0
			before := math.Pow(10, (celsius[0]-121.1)/10)
			for i := 1; i < len(celsius); i++ {
				rate := math.Pow(10, (celsius[i]-121.1)/10)
				sink += (before + rate) / 2 * (times[i] - times[i-1]) / 60
				before = rate
			}
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1000, "ns/sample")
	})
	_ = sink
}
