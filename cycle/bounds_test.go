package cycle

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle/steam"
	"example.com/moistheat/units"
)

// Bounds: what is exactly at a limit, and of two that are equal which one counts.

// at returns a trace of thermometers in the drain, by name in order, at given times.
func at(times []float64, values ...[]float64) *Trace {
	tr := &Trace{Time: TimeBase{units.Second, times}}
	for i, v := range values {
		tr.Temperatures = append(tr.Temperatures, channel(fmt.Sprintf("T%d", i+1), Drain, v))
	}
	return tr
}

// level returns n times the same value.
func level(n int, value float64) []float64 {
	return slices.Repeat([]float64{value}, n)
}

func TestTimeBounds(t *testing.T) {
	// Two samples are enough to be read.
	a := Analyze(at([]float64{0, 1}, level(2, 135)), req134)
	assert.Empty(t, a.Problems)
	assert.Equal(t, duration("1.000 s"), a.Hold)
	// Intervals of 1 s and 2 s, then of 1 s, 3 s and 2 s: of an even number the
	// median is the mean of the two in the middle.
	assert.Equal(t, duration("1.500 s"), Analyze(at([]float64{0, 1, 3}, level(3, 135)), req134).SampleInterval)
	assert.Equal(t, duration("2.000 s"), Analyze(at([]float64{0, 1, 4, 6}, level(4, 135)), req134).SampleInterval)
	// 5 s are no gap, 6 s are: there is one, and it is before sample 501 - 4.
	a = Analyze(thin(good(), func(i int) bool { return (i <= 100 || i >= 105) && (i <= 500 || i >= 506) }), req134)
	require.Len(t, a.Problems, 1)
	assert.Equal(t, "/time/values/497", a.Problems[0].Pointer)
	assert.True(t, strings.HasPrefix(a.Problems[0].Detail.String(), "1 gap "), a.Problems[0].Detail)
	// Eight hours are not too long.
	assert.Empty(t, Analyze(at(every(481, 60), level(481, 135)), req134).Problems)
	a = Analyze(at(every(482, 60), level(482, 135)), req134)
	assert.Equal(t, []ProblemKind{Implausible}, kinds(&a))
	// A channel without values is no thermometer.
	a = Analyze(at([]float64{0, 1}, nil), req134)
	assert.Equal(t, []ProblemKind{LengthsDiffer, NoTemperature}, kinds(&a))
}

func TestTemperatureBounds(t *testing.T) {
	for _, c := range []struct {
		unit   units.TemperatureUnit
		lo, hi float64
		want   string // of the detail; "" for no problem
	}{
		{units.Celsius, -20, 160, ""},
		{units.Celsius, -20.1, 135, "outside"},
		{units.Celsius, 20, 160.1, "outside"},
		// Marked °F these begin at -29 °C; in °C they are a cycle just so.
		{units.Fahrenheit, -20, 100, "fit °C"},
		{units.Fahrenheit, -20, 160, "fit °C"},
		{units.Fahrenheit, -20, 99.9, "outside"},
		{units.Fahrenheit, -20, 160.1, "outside"},
		{units.Fahrenheit, -20.1, 135, "outside"},
		// In °F plausible and never hot. In °C they come to within 1 K below and
		// 10 K above 134 °C.
		{units.Fahrenheit, 20, 133, "fit °C"},
		{units.Fahrenheit, 20, 132.9, ""},
		{units.Fahrenheit, 20, 144, "fit °C"},
		{units.Fahrenheit, 20, 144.1, ""},
	} {
		times := every(601, 1)
		tr := at(times, curve(times, point{0, c.lo}, point{300, c.hi}, point{600, c.lo}))
		tr.Temperatures[0].Unit = c.unit
		a := Analyze(tr, req134)
		if c.want == "" {
			assert.Empty(t, a.Problems, "%+v", c)
		} else if assert.Len(t, a.Problems, 1, "%+v", c) {
			assert.Contains(t, a.Problems[0].Detail.String(), c.want, "%+v", c)
		}
	}
}

func TestPressureBounds(t *testing.T) {
	for _, c := range []struct {
		lo, hi, kPa float64
		gauge       bool
		want        string // "" for no problem
	}{
		{0, 600, 1, false, ""},
		{-0.1, 600, 1, false, "outside"},
		{0, 600.1, 1, false, "outside"},
		{-108.5, 600, 1, true, ""},
		{-108.6, 600, 1, true, "outside"},
		{0, 6, 100, false, ""}, // bar
		// A cycle is under more pressure than 100 kPa, so that 100,000 of something is
		// none in pascals either, and 100,001 may be one.
		{0, 100_000, 1, false, "outside"},
		{0, 100_001, 1, false, "fit Pa absolute"},
	} {
		got := rangeProblem(c.lo, c.hi, c.kPa, c.gauge).String()
		if c.want == "" {
			assert.Empty(t, got, "%+v", c)
		} else {
			assert.Contains(t, got, c.want, "%+v", c)
		}
	}
}

// A reading of up to 5 K from saturation stands as it is; what is further away is
// held against other units and conventions, from 100 °C on.
func TestBetterReadingBounds(t *testing.T) {
	none := math.NaN()
	// 14.6959 psi are 101.325 kPa, where steam has 100 °C.
	assert.Equal(t, "psi absolute", betterReading(14.6959, 1, false, none, 100))
	assert.Empty(t, betterReading(14.6959, 1, false, none, 99.9))
	// 200 kPa absolute (120.2 °C) as gauge with 34 kPa of air would be 125.2 °C; 170 kPa
	// gauge with 30 kPa of air is 120.2 °C, and as absolute 115.2 °C.
	steam := steam.SaturationTemperatureCelsius(200)
	assert.InDelta(t, 120.2, steam, 0.05)
	assert.Empty(t, betterReading(200, 1, false, 34, steam+5))
	assert.Equal(t, "kPa gauge", betterReading(200, 1, false, 34, math.Nextafter(steam+5, 200)))
	assert.Empty(t, betterReading(170, 1, true, 30, steam-5))
	assert.Equal(t, "kPa absolute", betterReading(170, 1, true, 30, math.Nextafter(steam-5, 0)))
}

// Where the temperature was not reached, pressures are compared at the hottest
// moment.
func TestPressuresOfColdTrace(t *testing.T) {
	tr := good() // 135 °C, 313 kPa or 45 psi
	psiMarkedKPa(&Evidence{Trace: tr}, nil)
	a := Analyze(tr, pair("140 Cel", "3 min"))
	assert.Zero(t, a.Intervals)
	require.Equal(t, []ProblemKind{Implausible}, kinds(&a))
	assert.Contains(t, a.Problems[0].Detail.String(), "fit psi absolute")
}

func TestHoldBounds(t *testing.T) {
	times := every(301, 1)
	hot := func(from, to float64) []float64 { // 134 °C half a second outside
		return each(times, func(s float64) float64 {
			if s >= from && s <= to {
				return 135
			}
			return 133
		})
	}
	// Of two holds of one length the first counts.
	twice := hot(20, 119)
	for i, v := range hot(150, 249) {
		twice[i] = max(twice[i], v)
	}
	a := Analyze(at(times, twice), req134)
	assert.Equal(t, 2, a.Intervals)
	assert.Equal(t, duration("100.000 s"), a.Hold)
	assert.Equal(t, duration("19.500 s"), a.HoldStart)

	// A clock that does not begin at zero adds nothing.
	a = Analyze(at(each(times, func(s float64) float64 { return s + 5000 }), level(301, 120)), req134)
	assert.Equal(t, duration("0.000 s"), a.Hold)
	assert.Equal(t, duration("0.000 s"), a.Possible)
	assert.Empty(t, a.LastToArrive)
	assert.False(t, a.HoldStart.IsValid())

	// Within one interval, 100 s to 101 s, one channel passes 134 °C after 0.2 s and
	// another after 0.8 s; from 200 s on one leaves it after 0.2 s, another after 0.8 s.
	early := curve(times, point{0, 100}, point{100, 133}, point{101, 138}, point{200, 138}, point{201, 133}, point{300, 100})
	late := curve(times, point{0, 100}, point{100, 130}, point{101, 135}, point{200, 135}, point{201, 130}, point{300, 100})
	for _, tr := range []*Trace{at(times, early, late), at(times, late, early)} {
		a = Analyze(tr, req134)
		assert.Equal(t, duration("100.800 s"), a.HoldStart)
		assert.Equal(t, duration("200.200 s"), a.HoldEnd)
		slow := tr.Temperatures[slices.IndexFunc(tr.Temperatures, func(c TemperatureChannel) bool { return c.Values[100] == 130 })].ID
		assert.Equal(t, slow, a.LastToArrive)
		assert.Equal(t, slow, a.FirstToLeave)
	}
	// Of two channels that agree the first one is named.
	a = Analyze(at(times, late, slices.Clone(late)), req134)
	assert.Equal(t, "T1", a.LastToArrive)
	assert.Equal(t, "T1", a.FirstToLeave)
	assert.Equal(t, "T1", a.Coldest.Channel)
	assert.Equal(t, "T1", a.Hottest.Channel)
	assert.Equal(t, "T1", a.Lethality.Channel)

	// A channel that stays at 134 °C does not leave it when another one does.
	a = Analyze(at(times, level(301, 134), late), req134)
	assert.Equal(t, duration("200.200 s"), a.HoldEnd)
	assert.Equal(t, "T2", a.FirstToLeave)
}

func TestEquilibrationBounds(t *testing.T) {
	times := every(301, 1)
	reference := func(values []float64, others ...[]float64) *Trace {
		tr := at(times, append([][]float64{values}, others...)...)
		tr.Temperatures[0].Place = ReferencePoint
		return tr
	}
	// At 134 °C from 30 s on and no hotter; the other point arrives at 50 s, a third
	// one had arrived at 20 s.
	ref := curve(times, point{0, 104}, point{30, 134}, point{300, 134})
	last := curve(times, point{0, 84}, point{50, 134}, point{60, 136}, point{300, 136})
	first := curve(times, point{0, 114}, point{20, 134}, point{30, 136}, point{300, 136})
	a := Analyze(reference(ref, last, first), req134)
	assert.Equal(t, duration("20.000 s"), a.Equilibration)
	// The reference point itself is the last: nothing lags behind it.
	a = Analyze(reference(ref, first), req134)
	assert.Equal(t, duration("0.000 s"), a.Equilibration)
}

func TestExtremeBounds(t *testing.T) {
	// Hot from the first sample on. The coldest is there at once, and again later.
	values := level(101, 136)
	values[0], values[50] = 135, 135
	values[60], values[70] = 137, 137
	a := Analyze(at(every(101, 1), values), req134)
	assert.Equal(t, Extreme{"T1", duration("0.000 s"), temp("135.00 Cel")}, a.Coldest)
	assert.Equal(t, Extreme{"T1", duration("60.000 s"), temp("137.00 Cel")}, a.Hottest)
}

func TestSaturationBounds(t *testing.T) {
	steam := steam.SaturationTemperatureCelsius(310)
	tr := at(every(101, 1), level(101, steam), level(101, steam))
	tr.AbsolutePressures = []AbsolutePressureChannel{{ID: "P", Place: Chamber, Unit: units.Kilopascal, Values: level(101, 310)}}
	// A gauge whose site is not known says nothing and takes nothing away.
	tr.GaugePressures = []GaugePressureChannel{{ID: "G", Place: Chamber, Unit: units.KilopascalGauge, Values: level(101, 209)}}
	a := Analyze(tr, req134)
	assert.Equal(t, SaturationCheck{Difference: kelvins("0.00 K"), Temperature: "T1", Pressure: "P"}, a.Saturation)
}

func TestLethalityAcrossTheGapBound(t *testing.T) {
	// An interval of 5 s on the level plateau is no gap and loses nothing.
	whole := Analyze(good(), req134).Lethality
	a := Analyze(thin(good(), func(i int) bool { return i <= 500 || i >= 505 }), req134).Lethality
	assert.Equal(t, whole, a)
}

func TestSpikeBounds(t *testing.T) {
	for _, c := range []struct {
		name                 string
		before, spike, after float64
		want                 int
	}{
		{"10 K down", 135, 125, 135, 0},
		{"more than 10 K down", 135, 124.5, 135, 1},
		{"10 K on one side", 135, 125, 135.5, 0},
		{"10 K on the other side", 135.5, 125, 135, 0},
		{"less than 10 K on one side", 135, 124.5, 134, 0},
		{"less than 10 K on the other side", 134, 124.5, 135, 0},
		{"the neighbours 5 K apart", 135, 110, 130, 1},
		{"the neighbours more than 5 K apart", 135, 110, 129.5, 0},
	} {
		s := &series{second: 1, trace: &Trace{Time: TimeBase{Values: []float64{0, 2.5, 5}}}}
		first, n := s.spikesOf([]float64{c.before, c.spike, c.after}, 10, func(int) {})
		assert.Equal(t, c.want, n, c.name)
		assert.Equal(t, c.want, first, c.name) // the second sample, or none
	}
	// Neighbours more than 5 s apart leave room for anything.
	s := &series{second: 1, trace: &Trace{Time: TimeBase{Values: []float64{0, 2.5, 5.1}}}}
	_, n := s.spikesOf([]float64{135, 20, 135}, 10, func(int) {})
	assert.Zero(t, n)
	// The first of several is the one that is pointed to.
	s = &series{second: 1, trace: &Trace{Time: TimeBase{Values: every(6, 1)}}}
	first, n := s.spikesOf([]float64{135, 20, 135, 135, 20, 135}, 10, func(int) {})
	assert.Equal(t, []int{1, 2}, []int{first, n})
}

// The analysis mends a copy, whatever it finds.
func TestAnalyzeLeavesTheTraceAlone(t *testing.T) {
	tr := pulsed()
	tr.Temperatures[0].Values[500], tr.Temperatures[1].Values[600], tr.Temperatures[1].Values[620] = 20, 20, 20
	before := thin(tr, func(int) bool { return true })
	Analyze(tr, req134)
	assert.Equal(t, before, tr)
}

// A reading that jumps up in a cold trace: from 129.6 °C to 141 °C and back, above
// 134 °C for 2 · 7/11.4 s. Mended it is never hot, but what was read stays possible.
func TestSpikeUpwards(t *testing.T) {
	times := every(101, 1)
	cold := level(101, 129.6)
	cold[50] = 141
	a := Analyze(at(times, cold), req134)
	assert.Equal(t, []ProblemKind{Spike}, kinds(&a))
	assert.InDelta(t, 2*7/11.4, secs(a.Possible), 6e-4)
}

func TestStuckBounds(t *testing.T) {
	// The other thermometer is at one level for 50 s and at another one from 51 s on.
	step := func(from, to float64) []float64 {
		return each(every(401, 1), func(s float64) float64 {
			if s <= 50 {
				return from
			}
			return to
		})
	}
	for _, c := range []struct {
		name           string
		from, to, held float64
		want           bool
	}{
		{"5 K apart is near", 135, 110, 130, true},
		{"more than 5 K apart is not", 135.1, 110, 130, false},
		{"10 K is not away", 130, 120, 130, false},
		{"more than 10 K is away", 130, 119.9, 130, true},
	} {
		a := Analyze(at(every(401, 1), step(c.from, c.to), level(401, c.held)), req134)
		assert.Equal(t, c.want, a.Has(Stuck), c.name)
	}
	// At 105 °C steam is under pressure, and 30 s are enough; below, 300 s are.
	for _, c := range []struct {
		celsius float64
		until   int // samples
		want    bool
	}{{105, 81, false}, {105, 82, true}, {104.9, 82, false}, {104.9, 351, false}, {104.9, 352, true}} {
		tr := at(every(401, 1), step(c.celsius, 90), level(401, c.celsius))
		for i := c.until; i < 401; i++ {
			tr.Temperatures[1].Values[i] = c.celsius - 1 - float64(i%2)
		}
		a := Analyze(tr, req134)
		assert.Equal(t, c.want, a.Has(Stuck), "%+v", c)
	}
	// The second of the equal readings counts already: near at 120 s, away at 180 s.
	a := Analyze(at(every(8, 60), []float64{133, 133.5, 134, 120, 110, 101, 100, 99}, []float64{132, 134, 134, 134, 134, 101, 100, 99}), req134)
	assert.True(t, a.Has(Stuck))
	// It is said from when to when it reads the same: T2 is level from 411 s on,
	// and 1000 s are 16 min 40 s.
	tr := pulsed()
	freeze(tr.Temperatures[1].Values, 500, 1001)
	a = Analyze(tr, req134)
	require.Equal(t, []ProblemKind{Stuck}, kinds(&a))
	assert.Contains(t, a.Problems[0].Detail.String(), "from 6 min 51 s to 16 min 40 s")
}

// A turn goes back by more than 5 kPa.
func TestTurns(t *testing.T) {
	for _, c := range []struct {
		name   string
		values []float64
		want   []turn
	}{
		{"a rise of 5 kPa", []float64{100, 105}, nil},
		{"a rise of more", []float64{100, 105.1}, []turn{{0, 100, false, true}}},
		{"a fall of 5 kPa", []float64{100, 95, 100.1}, []turn{{1, 95, false, true}}}, // nothing fell to it
		{"a fall of more, to which nothing had risen", []float64{100, 94.9}, nil},
		{"a fall of more, and back", []float64{100, 94.9, 100}, []turn{{1, 94.9, false, false}}},
		{"a peak, by 5 kPa", []float64{100, 110, 105}, []turn{{0, 100, false, true}}},
		{"a peak, by more", []float64{100, 110, 104.9}, []turn{{0, 100, false, true}, {1, 110, true, false}}},
		{"a trough, by 5 kPa", []float64{100, 110, 100, 105}, []turn{{0, 100, false, true}, {1, 110, true, false}}},
		{"a level peak is dated at its beginning", []float64{100, 110, 110, 104.9}, []turn{{0, 100, false, true}, {1, 110, true, false}}},
		{"a level trough is dated at its beginning", []float64{100, 90, 90, 90, 96}, []turn{{1, 90, false, false}}},
	} {
		var s turns
		var got []turn
		for i, v := range c.values {
			if found, ok := s.add(i, v); ok {
				got = append(got, found)
			}
		}
		assert.Equal(t, c.want, got, c.name)
	}
}

func TestCourseBounds(t *testing.T) {
	pressed := func(corners ...point) *Trace {
		tr := pulsed()
		tr.AbsolutePressures[0].Values = curve(tr.Time.Values, corners...)
		return tr
	}
	outside := absolute("100 kPa")
	// Every bound met exactly at a sample: 105 kPa is at rest, 95 kPa no vacuum, and
	// 13 kPa, 5 above the bottom, still drying.
	before := []point{{0, 100}, {10, 100}, {60, 10}, {100, 120}, {140, 10}, {180, 120}, {220, 10}, {400, 310}}
	after := []point{{700, 310}, {741, 105}, {746, 100}, {751, 95}, {760, 95}, {765, 90}, {860, 8}, {1460, 8}, {1461, 13}, {1462, 50}, {1471, 95}, {1480, 95}, {1481, 100}, {1600, 100}}
	a := Analyze(pressed(slices.Concat(before, after)...), sited(req134, outside))
	want := []phase{
		{AirRemoval, 0, 220}, {Heating, 220, 400}, {Equilibrating, 400, 410}, {Holding, 410, 700},
		{Exhaust, 700, 741}, {Drying, 761, 1461}, {AirAdmission, 1461, 1471},
	}
	assert.Equal(t, want, phases(&a.Profile))

	// A trace that ends while the air comes in: at 1469 s.
	a = Analyze(thin(pulsed(), func(i int) bool { return i < 1470 }), req134)
	p, ok := a.Profile.Phase(AirAdmission)
	assert.True(t, ok)
	assert.Equal(t, 1469.0, secs(p.End))
	assert.False(t, a.Profile.DryingCut)
	// One that ends after a pulse of air, under vacuum again.
	tr := pressed(slices.Concat(pulsedPressure[:11], []point{{1000, 8}, {1020, 60}, {1060, 6}, {1600, 6}})...)
	a = Analyze(thin(tr, func(i int) bool { return i < 1200 }), req134)
	assert.True(t, a.Profile.DryingCut)
	p, _ = a.Profile.Phase(Drying)
	assert.Equal(t, 1199.0, secs(p.End))

	// At rest within 5 kPa of the atmosphere; the atmosphere that is given counts, not
	// the first pressure.
	for first, rest := range map[float64]bool{105: true, 105.1: false, 95: true, 94.9: false} {
		a = Analyze(pressed(append([]point{{0, first}, {10, first}}, pulsedPressure[2:]...)...), sited(req134, outside))
		assert.Equal(t, rest, a.Profile.FromRest, "%g kPa", first)
	}
	late := thin(pulsed(), func(i int) bool { return i >= 65 }) // it begins at 24 kPa
	a = Analyze(late, sited(req134, absolute("101.3 kPa")))
	assert.False(t, a.Profile.FromRest)
	p, _ = a.Profile.Phase(Drying)
	assert.Equal(t, 766.0, secs(p.Start))
	// Without one, the first pressure counts from 53 kPa to 108.5 kPa.
	for first, known := range map[float64]bool{53: true, 52.9: false, 108.5: true, 108.6: false} {
		a = Analyze(pressed(append([]point{{0, first}, {10, first}}, pulsedPressure[2:]...)...), req134)
		assert.Equal(t, known, !a.Profile.Detail.IsValid(), "%g kPa", first)
	}

	// A vacuum is more than 5 kPa below the atmosphere.
	for trough, vacuums := range map[float64]int{95: 0, 94.9: 1} {
		a = Analyze(pressed(append([]point{{0, 120}, {10, 120}, {60, trough}, {400, 310}}, after...)...), sited(req134, outside))
		require.Len(t, a.Profile.Pulses, 1)
		assert.Equal(t, vacuums, a.Profile.vacuums(), "%g kPa", trough)
	}
	// A pulse turns at no more than two thirds of the pressure of the hold.
	for trough, pulses := range map[float64]int{200: 1, 200.1: 0} {
		a = Analyze(pressed(append([]point{{0, 100}, {10, 100}, {60, 220}, {100, trough}, {400, 300}}, point{700, 300}, point{760, 100}, point{1600, 100})...), sited(req134, outside))
		assert.Len(t, a.Profile.Pulses, pulses, "%g kPa", trough)
	}
	// The control at work after the pulses takes no air away.
	a = Analyze(pressed(slices.Concat(before[:7], []point{{380, 310}, {385, 300}, {400, 310}}, after)...), sited(req134, outside))
	assert.Len(t, a.Profile.Pulses, 3)
	assert.InDelta(t, 100*10.0/120*10/120*10/310, a.Profile.ResidualAir.Float64(units.Percent), 1e-6)
	// A perfect vacuum leaves no air.
	a = Analyze(pressed(append([]point{{0, 100}, {10, 100}, {60, 0}, {100, 120}, {140, 10}, {400, 310}}, after...)...), sited(req134, outside))
	assert.Len(t, a.Profile.Pulses, 2)
	assert.Zero(t, a.Profile.ResidualAir.Float64(units.Percent))
	// A trough that only the first sample of the hold shows to be one.
	tr = at(every(6, 60), []float64{20, 60, 60, 135, 135, 100})
	tr.AbsolutePressures = []AbsolutePressureChannel{{ID: "P", Place: Chamber, Unit: units.Kilopascal, Values: []float64{100, 100, 10, 310, 310, 100}}}
	a = Analyze(tr, req134)
	require.Len(t, a.Profile.Pulses, 1)
	assert.Equal(t, Pulse{duration("120.000 s"), absolute("10.00 kPa"), absolute("310.00 kPa"), true}, a.Profile.Pulses[0])
}

func TestTableBounds(t *testing.T) {
	with := func(members string) string {
		return strings.Replace(own, `"hold": {"value": 5`, members+`, "hold": {"value": 5`, 1)
	}
	temperatures := func(list string) string {
		return strings.Replace(own, `[{"value": 134, "unit": "Cel"}]`, list, 1)
	}
	hold := func(quantity string) string {
		return strings.Replace(own, `{"value": 5, "unit": "min"}`, quantity, 1)
	}
	named := func(id string) string { return strings.Replace(own, `"id": "own"`, `"id": "`+id+`"`, 1) }
	row := `{"id": "%d", "temperatures": [{"value": 134, "unit": "Cel"}], "hold": {"value": 210, "unit": "s"}, "source": {"document": "Manual", "basis": "facility"}}`
	rows := func(n int) string {
		var list []string
		for i := range n {
			list = append(list, fmt.Sprintf(row, i))
		}
		i, j := strings.Index(own, `"rows"`), strings.LastIndex(own, "}")
		return own[:i] + `"rows": [` + strings.Join(list, ",") + `]` + own[j:]
	}
	for _, c := range []struct{ name, table, pointer string }{ // "" if it reads
		{"64 characters", named(strings.Repeat("a", 64)), ""},
		{"the ends of the alphabet and of the digits", named("a-z09"), ""},
		{"before the digits", named("a/"), "/id"},
		{"after the digits", named("a:"), "/id"},
		{"before the letters", named("a`"), "/id"},
		{"after the letters", named("a{"), "/id"},
		{"1000 rows", rows(1000), ""},
		{"1001 rows", rows(1001), "/rows"},
		{"100 °C", temperatures(`[{"value": 100, "unit": "Cel"}]`), ""},
		{"below 100 °C", temperatures(`[{"value": 99.9, "unit": "Cel"}]`), "/rows/0/temperatures/0"},
		{"160 °C", temperatures(`[{"value": 160, "unit": "Cel"}]`), ""},
		{"above 160 °C", temperatures(`[{"value": 160.1, "unit": "Cel"}]`), "/rows/0/temperatures/0"},
		{"1 K up", temperatures(`[{"value": 134, "unit": "Cel"}, {"value": 408.15, "unit": "K"}]`), ""},
		{"more than 1 K up", temperatures(`[{"value": 134, "unit": "Cel"}, {"value": 408.16, "unit": "K"}]`), "/rows/0/temperatures/1"},
		{"1 K down", temperatures(`[{"value": 134, "unit": "Cel"}, {"value": 406.15, "unit": "K"}]`), ""},
		{"more than 1 K down", temperatures(`[{"value": 134, "unit": "Cel"}, {"value": 406.14, "unit": "K"}]`), "/rows/0/temperatures/1"},
		{"three", temperatures(`[{"value": 134, "unit": "Cel"}, {"value": 407.15, "unit": "K"}, {"value": 273.2, "unit": "[degF]"}]`), "/rows/0/temperatures"},
		{"30 s", hold(`{"value": 30, "unit": "s"}`), ""},
		{"less than 30 s", hold(`{"value": 29.9, "unit": "s"}`), "/rows/1/hold"},
		{"24 h", hold(`{"value": 24, "unit": "h"}`), ""},
		{"more than 24 h", hold(`{"value": 86401, "unit": "s"}`), "/rows/1/hold"},
		{"one drying time", with(`"dryingMin": {"value": 5, "unit": "min"}, "dryingMax": {"value": 5, "unit": "min"}`), ""},
		{"a band of 20 K", with(`"band": {"value": 20, "unit": "K"}`), ""},
		{"a band from nowhere", with(`"band": {"value": 3, "unit": "K"}, "bandSource": {"document": "", "basis": "recalled"}`), "/rows/1/bandSource/document"},
		{"a lag of 1 s", with(`"equilibration": {"value": 1, "unit": "s"}`), ""},
		{"a lag of less", with(`"equilibration": {"value": 0.9, "unit": "s"}`), "/rows/1/equilibration"},
		{"a lag of 5 min", with(`"equilibration": {"value": 5, "unit": "min"}`), ""},
		{"a lag of more", with(`"equilibration": {"value": 301, "unit": "s"}`), "/rows/1/equilibration"},
		{"one lag for all chambers", with(`"equilibration": {"value": 15, "unit": "s"}, "equilibrationMax": {"value": 15, "unit": "s"}`), ""},
		{"one pressure", with(`"gaugePressure": {"value": 2, "unit": "bar"}, "gaugePressureMax": {"value": 2, "unit": "bar"}`), ""},
	} {
		require.NotEqual(t, own, c.table, c.name)
		_, err := ParseTable([]byte(c.table))
		if c.pointer == "" {
			assert.NoError(t, err, c.name)
			continue
		}
		var e *moistheat.DocumentError
		require.ErrorAs(t, err, &e, c.name)
		assert.Equal(t, c.pointer, e.Pointer, c.name)
	}
}

func TestLookupOfEquals(t *testing.T) {
	rows := func(members ...string) *Table {
		for i, m := range members {
			members[i] = fmt.Sprintf(`{"id": "%c", %s, "temperatures": [{"value": 134, "unit": "Cel"}], "source": {"document": "Manual", "basis": "facility"}}`, 'a'+i, m)
		}
		i, j := strings.Index(own, `"rows"`), strings.LastIndex(own, "}")
		tab, err := ParseTable([]byte(own[:i] + `"rows": [` + strings.Join(members, ",") + `]` + own[j:]))
		require.NoError(t, err)
		return tab
	}
	const three, none = `"hold": {"value": 3, "unit": "min"}`, `"notApplicable": true`
	for _, c := range []struct {
		tab  *Table
		want string
	}{
		{rows(three, three), "a"}, // the first of two that say the same
		{rows(none, three), "a"},  // that there is no such cycle outweighs any hold
		{rows(three, none), "b"},
		{rows(three, none, three), "b"},
		{rows(none, none), "a"},
		{rows(none, three+`, "airRemoval": "dynamic-air-removal"`), "b"}, // unless it names less
		{rows(three+`, "airRemoval": "dynamic-air-removal"`, none), "a"},
	} {
		r, ok := c.tab.Lookup(chosen(dynamic, "134 Cel"), "")
		require.True(t, ok)
		assert.Equal(t, c.want, r.Row)
	}
	// 1 °F is 0.5555... K: a band that has no finite decimal is rounded downwards.
	mrc, _ := table(t, "mrc").Find("", "", temp("134 Cel"))
	assert.Equal(t, 0, mrc.UpperIn(units.Celsius, kelvins("1 5.K/9")).Compare(temp("134.5555 Cel")))
}

func TestCheckBounds(t *testing.T) {
	reading := func(change func(*Printed)) func(*Evidence) {
		return func(e *Evidence) { change(&e.Printed) }
	}
	coarse := func(e *Evidence) { // see TestAnalyzeCoarse: at 134.5 °C from 398.3 s to 643.3 s
		e.Trace = accurate(thin(e.Trace, func(i int) bool { return i%60 == 0 }), "0.5 K")
	}
	cut := func(e *Evidence) { // drying from 766 s to 999 s
		e.Trace = thin(e.Trace, func(i int) bool { return i < 1000 })
	}
	dried := func(least string) Requirement {
		r := pair("134 Cel", "4 min")
		r.DryingMin = duration(least)
		return r
	}
	for _, c := range []struct {
		name, rule string
		base       func() *Evidence
		change     func(*Evidence)
		req        Requirement
		want       outcome
	}{
		{"-20 °C", "cycle.trace.implausible", printed, reading(func(p *Printed) { p.MinimumTemperature = temp("-20 Cel") }), req134, outcome{"", met, ""}},
		{"less", "cycle.trace.implausible", printed, reading(func(p *Printed) { p.MinimumTemperature = temp("-20.1 Cel") }), req134, outcome{"", bad, "/printed/minimumTemperature"}},
		{"160 °C", "cycle.trace.implausible", printed, reading(func(p *Printed) { p.MaximumTemperature = temp("160 Cel") }), req134, outcome{"", met, ""}},
		{"more", "cycle.trace.implausible", printed, reading(func(p *Printed) { p.MaximumTemperature = temp("160.1 Cel") }), req134, outcome{"", bad, "/printed/maximumTemperature"}},
		{"the highest is the lowest", "cycle.trace.implausible", printed, reading(func(p *Printed) { p.MaximumTemperature = p.MinimumTemperature }), req134, outcome{"", met, ""}},
		{"no hold at all", "cycle.trace.implausible", printed, reading(func(p *Printed) { p.HoldTime = duration("0 s") }), req134, outcome{"", met, ""}},
		{"a hold of 8 h", "cycle.trace.implausible", printed, reading(func(p *Printed) { p.HoldTime = duration("8 h") }), req134, outcome{"", met, ""}},
		{"a longer one", "cycle.trace.implausible", printed, reading(func(p *Printed) { p.HoldTime = duration("28801 s") }), req134, outcome{"", bad, "/printed/holdTime"}},
		{"zero is zero in every unit", "cycle.trace.implausible", printed, reading(func(p *Printed) { p.GaugePressure = gauge("0 [psi]") }), req134, outcome{"", met, ""}},
		{"300 s may be reached", "cycle.hold.margin", traced, coarse, pair("134 Cel", "300 s"), outcome{"", open, "/trace"}},
		{"more than 300 s may not", "cycle.hold.margin", traced, coarse, pair("134 Cel", "300.001 s"), outcome{"", bad, "/trace"}},
		{"dried long enough before the end", "cycle.drying.short", recorded, cut, dried("233 s"), outcome{"", met, "/trace"}},
		{"not long enough before the end", "cycle.drying.short", recorded, cut, dried("233.001 s"), outcome{"", open, "/trace"}},
	} {
		e := c.base()
		c.change(e)
		findings, _ := Check(e, Limits{Requirement: c.req})
		c.want.rule = c.rule
		assert.Equal(t, []outcome{c.want}, outcomes(findings, c.rule), c.name)
	}
	// What is exactly possible may be reached.
	a := Analysis{Hold: duration("180 s"), Possible: duration("300 s")}
	assert.True(t, a.mayReach(duration("300 s")))
	assert.False(t, a.mayReach(duration("300.001 s")))
}
