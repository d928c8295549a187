package history

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"example.com/moistheat/cycle"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// runLength computes the mean number of values until an alarm for normal values
// with known centre and scale, moved by so many scales: the chart as a Markov chain
// of m states (Brook and Evans 1972), independent of the code under test.
func runLength(shift float64, m int) float64 {
	phi := func(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }
	cut := func(x float64) float64 { // distribution of the cut value
		switch {
		case x < -3:
			return 0
		case x >= 3:
			return 1
		}
		return phi(x - shift)
	}
	const weight = 0.2
	const h = 1.75
	w := 2 * h / float64(m)
	// (I-Q) a = 1, by elimination.
	a := make([][]float64, m)
	for i := range a {
		a[i] = make([]float64, m+1)
		z := -h + (float64(i)+0.5)*w
		for j := range m {
			c := -h + (float64(j)+0.5)*w
			a[i][j] = -(cut((c+w/2-(1-weight)*z)/weight) - cut((c-w/2-(1-weight)*z)/weight))
		}
		a[i][i]++
		a[i][m] = 1
	}
	for i := range m {
		for k := i + 1; k < m; k++ {
			f := a[k][i] / a[i][i]
			for j := i; j <= m; j++ {
				a[k][j] -= f * a[i][j]
			}
		}
	}
	x := make([]float64, m)
	for i := m - 1; i >= 0; i-- {
		x[i] = a[i][m]
		for j := i + 1; j < m; j++ {
			x[i] -= a[i][j] * x[j]
		}
		x[i] /= a[i][i]
	}
	return x[m/2]
}

// known is a chart whose baseline is over, with centre 0 and scale 1.
func knownChart() chart { return chart{n: DriftBaseline, scale: 1} }

// until returns after how many values the chart raises an alarm.
func until(c chart, next func() float64, most int) int {
	for n := 1; n <= most; n++ {
		if c.add(next(), 0, time.Time{}); c.alarm {
			return n
		}
	}
	return most + 1
}

// The false-alarm rate and the speed that the text of the chart states.
func TestDriftRates(t *testing.T) {
	// Known centre and scale: the chain against a simulation of the code.
	assert.Greater(t, runLength(0, 201), 1e7)
	rng := rand.New(rand.NewPCG(1, 1))
	const reps = 4000
	for _, tt := range []struct{ shift, about float64 }{{1, 227}, {2, 10.4}, {3, 5.6}} {
		want := runLength(tt.shift, 201)
		assert.InEpsilon(t, tt.about, want, 0.02, "shift %v", tt.shift)
		sum := 0
		for range reps {
			sum += until(knownChart(), func() float64 { return rng.NormFloat64() + tt.shift }, 100_000)
		}
		assert.InEpsilon(t, want, float64(sum)/reps, 0.06, "shift %v", tt.shift)
	}
	// Centre and scale from the baseline.
	for _, tt := range []struct{ shift, low, high, mean float64 }{
		{0, 0.002, 0.02, 0}, {1, 0.55, 0.7, 0}, {2, 0.98, 1, 14}, {3, 0.999, 1, 5.7},
	} {
		alarms, sum := 0, 0
		for range reps {
			var c chart
			for range DriftBaseline {
				c.add(rng.NormFloat64(), 0, time.Time{})
			}
			n := until(c, func() float64 { return rng.NormFloat64() + tt.shift }, 250)
			if n <= 250 {
				alarms++
			}
			sum += n
		}
		rate := float64(alarms) / reps
		assert.GreaterOrEqual(t, rate, tt.low, "shift %v", tt.shift)
		assert.LessOrEqual(t, rate, tt.high, "shift %v", tt.shift)
		if tt.mean > 0 {
			assert.InEpsilon(t, tt.mean, float64(sum)/reps, 0.15, "shift %v", tt.shift)
		}
	}
}

// One wild reading raises no alarm, and equal readings are no infinitely fine scale.
func TestDriftIsRobust(t *testing.T) {
	var c chart
	for range DriftBaseline {
		c.add(120, 1, time.Time{})
	}
	assert.Equal(t, 1.0, c.scale)
	c.add(1e9, 1, time.Time{})
	assert.False(t, c.alarm, "a single reading is cut at three scales: 0.2*3 < 1.75")
	for range 20 {
		c.add(120, 1, time.Time{})
	}
	assert.False(t, c.alarm)
	for range 10 {
		c.add(124, 1, time.Time{})
	}
	assert.True(t, c.alarm, "four scales off")
}

// A leak that grows is seen in leak tests that all pass (0.13 kPa/min is the limit).
func TestDriftOfLeakTests(t *testing.T) {
	h := history(t, "england")
	start := local("2026-01-05 07:00")
	rng := rand.New(rand.NewPCG(5, 5))
	for i := range 70 {
		rate := 60 + rng.IntN(5) // thousandths of kPa/min
		if i >= 50 {
			rate += 2 * (i - 50)
		}
		at := start.AddDate(0, 0, i)
		h.AddEvent(&Event{
			Format: EventFormat, ID: fmt.Sprint(i), Sterilizer: "S1", Kind: calendar.LeakEvent, Time: at, Passed: yes,
			LeakRate: units.New(int64(rate), -3, units.KilopascalPerMinute),
		})
	}
	d := h.Drift()
	require.Len(t, d, 1)
	assert.Equal(t, LeakRateMeasure, d[0].Measure)
	assert.True(t, d[0].Alarm, d[0].String())
	assert.True(t, d[0].Since.After(start.AddDate(0, 0, 50)))
	assert.Equal(t, broken, says(h, "load.drift.moved", "2026-04-30 12:00"))
	assert.Equal(t, notAsked, says(h, "load.recall.leak", "2026-04-30 12:00"), "no test failed")
	// The same tests without growth.
	h = history(t, "england")
	for i := range 70 {
		h.AddEvent(event(calendar.LeakEvent, start.AddDate(0, 0, i).Format("2006-01-02 15:04"), passed(yes), leaked(fmt.Sprintf("0.0%d kPa/min", 60+rng.IntN(5)))))
	}
	assert.Equal(t, met, says(h, "load.drift.moved", "2026-04-30 12:00"))
}

// What is measured of a load: from the printed readings, or from its trace.
func TestMetrics(t *testing.T) {
	r := ran("1", "2026-03-09 09:00")
	m := metricsOf(r, load.Check(r, policy(t, "us-cdc-2003")))
	for k, want := range map[Measure]float64{HoldOffset: 0.3, HoldSpread: 1.1, DryingTime: 1200} {
		got, ok := m.get(k)
		assert.True(t, ok, k.String())
		assert.InDelta(t, want, got, 1e-9, k.String())
	}
	_, ok := m.get(TimeToTemperature)
	assert.False(t, ok)
	r = recorded(t)
	m = metricsOf(r, load.Check(r, policy(t, "us-cdc-2003")))
	for _, k := range []Measure{TimeToTemperature, EquilibrationTime, HoldOffset, HoldSpread, LowestPressure} {
		_, ok := m.get(k)
		assert.True(t, ok, k.String())
	}
	offset, _ := m.get(HoldOffset)
	assert.InDelta(t, 1.5, offset, 1.5, "released, so within the 3 K above what is set")
	low, _ := m.get(LowestPressure)
	lowest := math.Inf(1)
	for _, v := range r.Cycle.Trace.AbsolutePressures[0].Values {
		lowest = min(lowest, v)
	}
	assert.LessOrEqual(t, low, 101.4)
	assert.GreaterOrEqual(t, low, lowest*units.New(1, 0, r.Cycle.Trace.AbsolutePressures[0].Unit).Float64(units.Kilopascal)-1e-9)
	r.Cycle.Trace.Time.Values[900] = 3
	assert.Zero(t, metricsOf(r, load.Check(r, policy(t, "us-cdc-2003"))).has&^(1<<(DryingTime-1)), "a trace that cannot be read measures nothing")
}

// A measure that cannot be computed is none; of two values the larger stays.
func TestMetricsSetAndJoin(t *testing.T) {
	for k := Measure(1); int(k) <= measures; k++ {
		var none, one, two metrics
		none.set(k, math.NaN())
		none.set(k, math.Inf(1))
		none.set(k, math.Inf(-1))
		assert.Equal(t, metrics{}, none, k.String())
		one.set(k, -2)
		two.set(k, -1)
		for _, tt := range []struct {
			a, b metrics
			want float64
			has  bool
		}{{none, none, 0, false}, {none, one, -2, true}, {one, none, -2, true}, {one, two, -1, true}, {two, one, -1, true}} {
			got, has := tt.a.join(tt.b).get(k)
			assert.Equal(t, tt.has, has, k.String())
			assert.Equal(t, tt.want, got, k.String())
		}
	}
	assert.Equal(t, "leak rate, kPa/min", LeakRateMeasure.String())
	assert.Contains(t, (LeakRateMeasure + 1).String(), "invalid")
}

func TestMetricsOfWhatIsRecorded(t *testing.T) {
	all := uint8(1<<(HoldOffset-1) | 1<<(HoldSpread-1) | 1<<(DryingTime-1))
	for _, tt := range []struct {
		name string
		edit func(*load.Record)
		want uint8
	}{
		{"all", func(*load.Record) {}, all},
		{"no drying time", func(r *load.Record) { r.Cycle.Printed.DryingTime = units.Duration{} }, all &^ (1 << (DryingTime - 1))},
		{"no setting", func(r *load.Record) { r.Cycle.Settings.Temperature = units.Temperature{} }, all &^ (1 << (HoldOffset - 1))},
		{"no lowest temperature", func(r *load.Record) { r.Cycle.Printed.MinimumTemperature = units.Temperature{} }, 1 << (DryingTime - 1)},
		{"no highest temperature", func(r *load.Record) { r.Cycle.Printed.MaximumTemperature = units.Temperature{} }, all &^ (1 << (HoldSpread - 1))},
	} {
		r := ran("1", "2026-03-09 09:00", tt.edit)
		assert.Equal(t, tt.want, metricsOf(r, load.Check(r, policy(t, "us-cdc-2003"))).has, tt.name)
	}
	// A trace that never reaches the temperature measures nothing but the drying time.
	r := recorded(t)
	for i := range r.Cycle.Trace.Temperatures {
		v := r.Cycle.Trace.Temperatures[i].Values
		for j := range v {
			v[j] = min(v[j], 131)
		}
	}
	assert.Zero(t, metricsOf(r, load.Check(r, policy(t, "us-cdc-2003"))).has&^(1<<(DryingTime-1)))
}

// Channels longer or shorter than the times, which only Go values can have, measure
// nothing and end nothing.
func TestMetricsOfUnevenChannels(t *testing.T) {
	for _, edit := range []func(*cycle.Trace){
		func(tr *cycle.Trace) {
			tr.AbsolutePressures[0].Values = append(tr.AbsolutePressures[0].Values, 1, 2, 3)
		},
		func(tr *cycle.Trace) { tr.AbsolutePressures[0].Values = tr.AbsolutePressures[0].Values[:3] },
		func(tr *cycle.Trace) { tr.Temperatures[0].Values = append(tr.Temperatures[0].Values, 1) },
		func(tr *cycle.Trace) { tr.Time.Values = tr.Time.Values[:10] },
		func(tr *cycle.Trace) { tr.Time.Values = nil },
	} {
		r := recorded(t)
		edit(r.Cycle.Trace)
		assert.Zero(t, metricsOf(r, load.Check(r, policy(t, "us-cdc-2003"))).has&^(1<<(DryingTime-1)))
	}
}

// The lowest pressure counts before the hold begins, and not at it.
func TestDeepest(t *testing.T) {
	trace := &cycle.Trace{
		Time: cycle.TimeBase{Unit: units.Minute, Values: []float64{0, 1, 2, 3}},
		AbsolutePressures: []cycle.AbsolutePressureChannel{
			{ID: "P1", Unit: units.MustParse[units.AbsolutePressureUnit]("1 kPa").Unit(), Values: []float64{101, 30, 20, 10}},
			{ID: "P2", Unit: units.MustParse[units.AbsolutePressureUnit]("1 mbar").Unit(), Values: []float64{1010, 310, 190, 90}},
		},
	}
	for before, want := range map[float64]float64{60: 101, 60.1: 30, 120: 30, 120.1: 19, 180: 19, 181: 9} {
		got, ok := deepest(trace, before)
		assert.True(t, ok)
		assert.InDelta(t, want, got, 1e-9, before)
	}
	_, ok := deepest(trace, 0)
	assert.False(t, ok)
}

// The baseline is set once, an alarm lies beyond the limit, and its day is that on
// which it was raised.
func TestChart(t *testing.T) {
	var c chart
	for i := range DriftBaseline {
		c.add(float64(i), 0.5, time.Time{})
	}
	assert.Equal(t, 19.5, c.centre, "median of 0 to 39")
	assert.InDelta(t, 14.826, c.scale, 1e-9, "1.4826 times the median distance of 10")
	day := func(n int) time.Time { return time.Date(2026, 3, n, 0, 0, 0, 0, time.UTC) }
	c = knownChart()
	for n, v := range []float64{3, 3, 3, 3, 3, 0, 0, 3, 3} { // z: 0.6 1.08 1.464 1.771 2.017 1.614 1.291 1.633 1.906
		c.add(v, 0, day(n+1))
		want := map[int]time.Time{3: day(4), 4: day(4), 5: day(4), 6: day(4), 7: day(4), 8: day(9)}[n]
		assert.Equal(t, want, c.since, n)
		assert.Equal(t, n == 3 || n == 4 || n == 8, c.alarm, n)
	}
	c = knownChart()
	c.z = 2.25
	c.add(-0.25, 0, day(1)) // 1.8 less 0.05
	assert.Equal(t, DriftLimit, c.z)
	assert.False(t, c.alarm, "at the limit")
	few := Drift{Sterilizer: "S1", Measure: DryingTime, Values: 7, Centre: 5}
	assert.Contains(t, few.String(), "values so far: 7; needed: 41")
	few.Enough = true
	assert.Contains(t, few.String(), "steady at about 5")
}
