package microbe

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/units"
)

var mins = units.MustParse[units.DurationUnit]

func in(d units.Duration) float64 { return d.Float64(units.Minute) }

// USP 35 monographs (published): survival D (lg P − 2), kill D (lg P + 4). Numbers
// by that formula.
func TestWindows(t *testing.T) {
	for _, c := range []struct {
		population     float64
		d              string
		survival, kill float64
	}{
		{1e5, "1.5 min", 4.5, 13.5}, {1e6, "1.5 min", 6, 15}, {2.3e6, "1.9 min", 8.287, 19.687}, {1e5, "90 s", 4.5, 13.5},
		{1e12, "1 min", 10, 16}, {1e6, "10000 min", 40000, 100000}, // the largest
	} {
		s, k, err := SurvivalKill(c.population, mins(c.d))
		require.NoError(t, err)
		assert.InDelta(t, c.survival, in(s), 5e-4)
		assert.InDelta(t, c.kill, in(k), 5e-4)
	}
	for _, c := range []struct {
		population float64
		d          units.Duration
	}{{0, mins("1 min")}, {100, mins("1 min")}, {-5, mins("1 min")}, {math.NaN(), mins("1 min")}, {math.Inf(1), mins("1 min")}, {1e6, units.Duration{}}, {1e6, mins("0 min")}, {1e6, mins("-1 min")}, {1.001e12, mins("1 min")}, {1e6, mins("10000.001 min")}} {
		_, _, err := SurvivalKill(c.population, c.d)
		assert.Error(t, err, "%v", c)
	}
}

// Teaching article on F0 (published): D 1.8 min and 12 logs are 21.6 min, 30 min are
// 16.7 logs. A biological indicator's document: D 1.5 min and 12 logs are 18 min, 6
// are 9 min. ISO 11140-1 (published): (5 + 6) × 1.5 = 16.5 min, 7 × 1.5 = 10.5 min.
func TestLogs(t *testing.T) {
	for _, c := range []struct {
		logs float64
		d    string
		want string
	}{{12, "1.8 min", "21.6 min"}, {12, "1.5 min", "18 min"}, {6, "1.5 min", "9 min"}, {11, "1.5 min", "16.5 min"}, {7, "1.5 min", "10.5 min"}, {0, "1.5 min", "0 min"}, {100, "1.5 min", "150 min"}} {
		got, err := TimeFor(c.logs, mins(c.d))
		require.NoError(t, err)
		assert.Equal(t, 0, got.Compare(mins(c.want)), "%v", c)
		back, err := LogReduction(mins(c.want), mins(c.d))
		require.NoError(t, err)
		assert.InDelta(t, c.logs, back, 1e-12)
	}
	logs, err := LogReduction(mins("30 min"), mins("1.8 min"))
	require.NoError(t, err)
	assert.InDelta(t, 16.7, logs, 0.05)
	// One in a million: 1e6 spores, 12 logs.
	lg, err := SurvivorsLog10(1e6, mins("21.6 min"), mins("1.8 min"))
	require.NoError(t, err)
	assert.InDelta(t, -6, lg, 1e-12)
	for _, f := range []func() error{
		func() error { _, err := TimeFor(-1, mins("1 min")); return err },
		func() error { _, err := TimeFor(100.01, mins("1 min")); return err },
		func() error { _, err := TimeFor(math.NaN(), mins("1 min")); return err },
		func() error { _, err := TimeFor(12, units.Duration{}); return err },
		func() error { _, err := LogReduction(units.Duration{}, mins("1 min")); return err },
		func() error { _, err := LogReduction(mins("-0.001 min"), mins("1 min")); return err },
		func() error { _, err := LogReduction(mins("1 min"), units.Duration{}); return err },
		func() error { _, err := SurvivorsLog10(0, mins("1 min"), mins("1 min")); return err },
		func() error { _, err := SurvivorsLog10(1e6, units.Duration{}, mins("1 min")); return err },
	} {
		assert.Error(t, f())
	}
}

func exposures(times []float64, n int, negative ...int) (out []Exposure) {
	for i, r := range negative {
		out = append(out, Exposure{units.FromFloat64(times[i], 3, units.Minute), n, r})
	}
	return out
}

// A constructed example, worked by hand from the formulas: 1e6 spores, 20 units at
// 8, 10, 12, 14 and 16 min with 0, 4, 11, 18 and 20 without growth.
var example = exposures([]float64{8, 10, 12, 14, 16}, 20, 0, 4, 11, 18, 20)

func TestFractionNegative(t *testing.T) {
	l, err := LimitedSpearmanKarber(1e6, example)
	require.NoError(t, err)
	assert.InDelta(t, 11.7, in(l.Mean), 1e-9)
	assert.InDelta(t, 1.87179, in(l.D), 6e-6)
	assert.InDelta(t, 1.77031, in(l.Low), 6e-6)
	assert.InDelta(t, 1.97327, in(l.High), 6e-6)
	assert.Equal(t, []string{"1 exposures without growth, 2 are asked"}, l.Lacks)

	g, err := SpearmanKarber(1e6, example)
	require.NoError(t, err)
	assert.InDelta(t, 11.7, in(g.Mean), 1e-9)
	assert.Equal(t, l.D, g.D)
	assert.False(t, g.Low.IsValid())

	s, err := StumboMurphyCochran(1e6, example)
	require.NoError(t, err)
	assert.InDelta(t, 1.88694, in(s.D), 6e-6)
	assert.Empty(t, s.Lacks)
	for i, want := range map[int]float64{1: 1.72612, 2: 1.92820, 3: 2.00650} {
		one, err := StumboMurphyCochran(1e6, []Exposure{example[0], example[i]})
		require.NoError(t, err)
		assert.InDelta(t, want, in(one.D), 6e-6)
		assert.NotEmpty(t, one.Lacks)
	}

	// A further exposure without growth changes nothing but completes the data.
	more, err := LimitedSpearmanKarber(1e6, append(append([]Exposure{}, example...), Exposure{mins("18 min"), 20, 20}))
	require.NoError(t, err)
	assert.Equal(t, l.D, more.D)
	assert.Empty(t, more.Lacks)
}

// If every spore dies by chance at one rate, both methods find that rate: the share
// without growth after t is exp(−P 10^(−t/D)).
func TestFractionNegativeFindsTheRate(t *testing.T) {
	const population, d, n = 1e6, 1.7, 100000
	var e []Exposure
	for m := 4.0; m <= 24; m += 0.5 {
		share := math.Exp(-population * math.Pow(10, -m/d))
		e = append(e, Exposure{units.FromFloat64(m, 3, units.Minute), n, int(math.Round(n * share))})
	}
	for name, f := range map[string]func(float64, []Exposure) (Estimate, error){"limited": LimitedSpearmanKarber, "general": SpearmanKarber, "most probable": StumboMurphyCochran} {
		est, err := f(population, e)
		require.NoError(t, err)
		assert.InDelta(t, d, in(est.D), 0.003, name)
	}
}

func TestFractionNegativeRefuses(t *testing.T) {
	times := []float64{8, 10, 12, 14, 16}
	for name, e := range map[string][]Exposure{
		"nothing":           nil,
		"one":               example[:1],
		"no growth at once": exposures(times, 20, 20, 20, 20, 20, 20),
		"part at first":     exposures(times, 20, 1, 4, 11, 18, 20),
		"never dead":        exposures(times, 20, 0, 4, 11, 18, 19),
		"back to life":      exposures(times, 20, 0, 4, 20, 18, 20),
		"more than all":     exposures(times, 20, 0, 4, 21, 18, 20),
		"less than none":    exposures(times, 20, 0, 4, -1, 18, 20),
		"one unit":          exposures(times, 1, 0, 0, 1, 1, 1),
		"times that fall":   exposures([]float64{8, 10, 9, 14, 16}, 20, 0, 4, 11, 18, 20),
	} {
		_, err := LimitedSpearmanKarber(1e6, e)
		assert.Error(t, err, name)
		_, err = SpearmanKarber(1e6, e)
		assert.Error(t, err, name)
	}
	uneven := exposures([]float64{8, 10, 12, 14, 17}, 20, 0, 4, 11, 18, 20)
	_, err := LimitedSpearmanKarber(1e6, uneven)
	assert.ErrorContains(t, err, "equal steps")
	_, err = SpearmanKarber(1e6, uneven)
	assert.NoError(t, err)
	unequal := append([]Exposure{}, example...)
	unequal[2] = Exposure{mins("12 min"), 40, 22}
	_, err = LimitedSpearmanKarber(1e6, unequal)
	assert.ErrorContains(t, err, "equal numbers")
	g, err := SpearmanKarber(1e6, unequal)
	require.NoError(t, err)
	assert.InDelta(t, 11.7, in(g.Mean), 1e-9, "the shares are the same")
	for _, p := range []float64{0, 1, -1, math.NaN(), math.Inf(1)} {
		for _, f := range []func(float64, []Exposure) (Estimate, error){LimitedSpearmanKarber, SpearmanKarber, StumboMurphyCochran} {
			_, err := f(p, example)
			assert.Error(t, err)
		}
	}
	_, err = StumboMurphyCochran(1e6, exposures(times, 20, 0, 0, 0, 20, 20))
	assert.Error(t, err)
	_, err = StumboMurphyCochran(2, exposures(times, 1000, 0, 1, 1, 20, 20))
	assert.Error(t, err, "more alive than there were")
}

// sudden returns n exposures, a minute apart from time zero on, that show growth
// everywhere until the last, which shows none: the mean is half a minute before it.
func sudden(n, exposed int) []Exposure {
	out := make([]Exposure, n)
	for i := range out {
		out[i] = Exposure{Time: units.New(int64(i), 0, units.Minute), Units: exposed}
	}
	out[n-1].Negative = exposed
	return out
}

func TestFractionNegativeLimits(t *testing.T) {
	late := sudden(3, 20)
	for i := range late {
		late[i].Time = units.New(int64(i-1), 0, units.Minute)
	}
	for _, c := range []struct {
		name       string
		population float64
		e          []Exposure
		mean, d    float64 // by hand: D is the mean over lg P + 0.2507
		want       string  // of the error, if there is one
	}{
		{"the largest population", 1e12, example, 11.7, 0.95505, ""},
		{"too large a population", 1.001e12, example, 0, 0, "a population of"},
		{"a single exposure", 1e6, sudden(1, 20), 0, 0, "1 exposures are not within"},
		{"two exposures", 1e6, sudden(2, 20), 0.5, 0.07999, ""},
		{"a thousand exposures", 1e6, sudden(1000, 20), 998.5, 159.74211, ""},
		{"more than a thousand exposures", 1e6, sudden(1001, 20), 0, 0, "1001 exposures are not within"},
		{"before time zero", 1e6, late, 0, 0, "exposure 0: the times must be known and increase"},
		{"one time twice", 1e6, exposures([]float64{8, 10, 10, 12}, 20, 0, 4, 11, 20), 0, 0, "exposure 2: the times must be known and increase"},
		{"one unit", 1e6, sudden(2, 1), 0, 0, "1 units are not within"},
		{"two units", 1e6, sudden(2, 2), 0.5, 0.07999, ""},
		{"a million units", 1e6, sudden(2, 1e6), 0.5, 0.07999, ""},
		{"more than a million units", 1e6, sudden(2, 1e6+1), 0, 0, "1000001 units are not within"},
	} {
		for _, f := range []func(float64, []Exposure) (Estimate, error){LimitedSpearmanKarber, SpearmanKarber} {
			est, err := f(c.population, c.e)
			if c.want != "" {
				assert.ErrorContains(t, err, c.want, c.name)
				continue
			}
			require.NoError(t, err, c.name)
			assert.InDelta(t, c.mean, in(est.Mean), 1e-9, c.name)
			assert.InDelta(t, c.d, in(est.D), 6e-6, c.name)
		}
	}
}

// Steps count as equal if they differ by no more than 1e-9 of the time: at 1e9 min
// that is a minute.
func TestLimitedEqualSteps(t *testing.T) {
	for middle, equal := range map[string]bool{
		"499999999 min": false, "499999999.49 min": false, "499999999.5 min": true, "500000000.5 min": true, "500000000.51 min": false,
	} {
		_, err := LimitedSpearmanKarber(1e6, []Exposure{{mins("0 min"), 20, 0}, {mins(middle), 20, 0}, {mins("1000000000 min"), 20, 20}})
		assert.Equal(t, equal, err == nil, "%s: %v", middle, err)
	}
}

// With 1 of 20 units without growth ln(20/1), or 3.0, spores a unit are alive. If that
// is the population, none has died, and there is no D-value.
func TestMostProbableNoneDead(t *testing.T) {
	e := exposures([]float64{8, 10}, 20, 0, 1)
	_, err := StumboMurphyCochran(math.Log(20), e)
	assert.ErrorContains(t, err, "exposure 1: more would be alive")
	// From thirty times as many, 10 min leave a thirtieth: D is 10 min over lg 30.
	est, err := StumboMurphyCochran(30*math.Log(20), e)
	require.NoError(t, err)
	assert.InDelta(t, 10/math.Log10(30), in(est.D), 6e-6)
}

// lg N 6.00, 4.95, 4.02, 2.97 and 2.00 at 0 to 8 min: by least squares the slope is
// −0.499, the intercept 5.984, r² 0.99969.
func TestSurvivorCurve(t *testing.T) {
	var points []Count
	for i, lg := range []float64{6, 4.95, 4.02, 2.97, 2} {
		points = append(points, Count{units.New(int64(2*i), 0, units.Minute), math.Pow(10, lg)})
	}
	l, err := SurvivorCurve(points)
	require.NoError(t, err)
	assert.InDelta(t, 2.00401, in(l.D), 6e-6)
	assert.InDelta(t, 5.984, l.InterceptLog10, 1e-9)
	assert.InDelta(t, 0.99969, l.R2, 5e-6)
	assert.Empty(t, l.Lacks)
	l, err = SurvivorCurve(points[1:4])
	require.NoError(t, err)
	assert.Len(t, l.Lacks, 3)
	for name, bad := range map[string][]Count{
		"two":       points[:2],
		"growing":   {points[2], {mins("5 min"), 1e6}, {mins("6 min"), 1e7}},
		"none":      {points[0], points[1], {mins("8 min"), 0}},
		"no time":   {points[0], points[1], {units.Duration{}, 10}},
		"at once":   {points[0], points[0], points[0]},
		"no number": {points[0], points[1], {mins("8 min"), math.NaN()}},
	} {
		_, err := SurvivorCurve(bad)
		assert.Error(t, err, name)
	}
}

func TestSurvivorCurveLimits(t *testing.T) {
	at := func(minutes int64, survivors float64) Count {
		return Count{units.New(minutes, 0, units.Minute), survivors}
	}
	// A tenth a minute less than 1e6 in n counts: D is 10 min.
	many := func(n int) (out []Count) {
		for i := range n {
			out = append(out, Count{units.New(int64(i), -1, units.Minute), math.Pow(10, 6-float64(i)/100)})
		}
		return out
	}
	// The sum of the times is 8 × 44711. By hand, about the means: Σxy = −4 and
	// Σx² = 4e9, so that lg N falls by 1e-9 a minute. Later than 45598 it falls more.
	flat := func(last int64) []Count {
		return []Count{at(0, 10), at(89420, 10), at(44610, 10), at(44810, 10), at(44242, 1), at(45182, 1), at(43826, 1), at(last, 1)}
	}
	const falls, needed = "the counts do not fall", "a time and a positive count are needed"
	for _, c := range []struct {
		name   string
		points []Count
		d      float64 // by hand
		want   string  // of the error, if there is one
	}{
		{"a thousand counts", many(1000), 10, ""},
		{"more than a thousand counts", many(1001), 0, "1001 counts are not within"},
		{"before time zero", []Count{at(-1, 1e6), at(1, 1e4), at(2, 1e3)}, 0, "count 0: " + needed},
		{"the longest time", []Count{at(0, 1e6), at(50000, 1e3), at(100000, 1)}, 1e5 / 6., ""},
		{"too long a time", []Count{at(0, 1e6), at(50000, 1e3), at(100001, 1)}, 0, "count 2: " + needed},
		{"the largest and the smallest count", []Count{at(0, 1e12), at(12, 1), at(24, 1e-12)}, 1, ""},
		{"too large a count", []Count{at(0, 1.001e12), at(12, 1), at(24, 1e-12)}, 0, "count 0: " + needed},
		{"too small a count", []Count{at(0, 1e12), at(12, 1), at(24, 0.999e-12)}, 0, "count 2: " + needed},
		{"not falling enough", flat(45597), 0, falls},
		{"just not falling enough", flat(45598), 0, falls},
	} {
		l, err := SurvivorCurve(c.points)
		if c.want != "" {
			assert.ErrorContains(t, err, c.want, c.name)
			continue
		}
		require.NoError(t, err, c.name)
		assert.InDelta(t, c.d, in(l.D), 6e-6, c.name)
	}
	_, err := SurvivorCurve(flat(45599))
	assert.NoError(t, err, "just falling enough")
}

// ISO 11138-1 asks for a count of 0.01 % or less of what there was (quoted).
func TestSurvivorCurveGoesFarEnough(t *testing.T) {
	const short = "no count down to 0.01 % of the first"
	at := func(minutes int64, survivors float64) Count {
		return Count{units.New(minutes, 0, units.Minute), survivors}
	}
	for _, c := range []struct {
		name   string
		points []Count
		lacks  bool
	}{
		{"farther", []Count{at(0, 1e4), at(2, 1e3), at(4, 100), at(6, 10), at(8, 0.9)}, false},
		{"just as far", []Count{at(0, 1e4), at(2, 1e3), at(4, 100), at(6, 10), at(8, 1)}, false},
		{"as far but for rounding", []Count{at(0, 1e4), at(2, 1e3), at(4, 100), at(6, 10), at(8, 1+1e-9)}, false},
		{"not as far", []Count{at(0, 1e4), at(2, 1e3), at(4, 100), at(6, 10), at(8, 1+2e-9)}, true},
		{"in any order", []Count{at(8, 1), at(6, 10), at(0, 1e4), at(4, 100), at(2, 1e3)}, false},
		{"far from a later count only", []Count{at(0, 1e4), at(2, 2e4), at(4, 100), at(6, 10), at(8, 2)}, true},
		{"far from one of two first counts only", []Count{at(0, 1e4), at(0, 2e4), at(2, 1e3), at(4, 100), at(6, 10), at(8, 2)}, true},
		{"far from the other only", []Count{at(0, 2e4), at(0, 1e4), at(2, 1e3), at(4, 100), at(6, 10), at(8, 2)}, true},
		{"far from both", []Count{at(0, 2e4), at(0, 1e4), at(2, 1e3), at(4, 100), at(6, 10), at(8, 1)}, false},
	} {
		l, err := SurvivorCurve(c.points)
		require.NoError(t, err, c.name)
		if c.lacks {
			assert.Equal(t, []string{short}, l.Lacks, c.name)
		} else {
			assert.Empty(t, l.Lacks, c.name)
		}
	}
	// Two counts at one time are one exposure.
	l, err := SurvivorCurve([]Count{at(0, 1e4), at(0, 1e4), at(2, 1e3), at(4, 100), at(8, 1)})
	require.NoError(t, err)
	assert.Equal(t, []string{"4 exposures, 5 are asked"}, l.Lacks)
}

func TestEulerShare(t *testing.T) {
	assert.InDelta(t, 0.5772156649/math.Ln10, eulerShare, 5e-5)
}
