package cycle

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestMain(m *testing.M) { testrun.Main(m) }

// pair returns a requirement of one printed temperature.
func pair(celsius, hold string) Requirement {
	return Requirement{
		Table: "test", Row: "pair", Temperature: temp(celsius),
		Stated: Stated{Hold: duration(hold), Source: moistheat.Source{Document: "Test", Basis: moistheat.Facility}},
	}
}

// sited returns a requirement at a site whose atmosphere is known.
func sited(req Requirement, atmosphere units.AbsolutePressure) Requirement {
	req.Atmosphere = atmosphere
	return req
}

var req134 = pair("134 Cel", "3 min")

// point is a corner of a curve: a value at a time in seconds.
type point struct{ at, value float64 }

// curve samples straight lines between corners at the given times.
func curve(times []float64, corners ...point) []float64 {
	out := make([]float64, len(times))
	for i, t := range times {
		j := 1
		for j < len(corners)-1 && t > corners[j].at {
			j++
		}
		a, b := corners[j-1], corners[j]
		f := min(max((t-a.at)/(b.at-a.at), 0), 1)
		out[i] = a.value + (b.value-a.value)*f
	}
	return out
}

// saturated returns the absolute pressure of saturated steam in kPa along a curve
// in °C, by Wagner and Pruss 1993 (not the formula of package steam).
func saturated(celsius []float64) []float64 {
	const tc, pc = 647.096, 22064.0
	out := make([]float64, len(celsius))
	for i, c := range celsius {
		k := c + 273.15
		tau := 1 - k/tc
		out[i] = pc * math.Exp(tc/k*(-7.85951783*tau+1.84408259*math.Pow(tau, 1.5)-11.7866497*math.Pow(tau, 3)+
			22.6807411*math.Pow(tau, 3.5)-15.9618719*math.Pow(tau, 4)+1.80122502*math.Pow(tau, 7.5)))
	}
	return out
}

func channel(id string, place Place, values []float64) TemperatureChannel {
	return TemperatureChannel{ID: id, Place: place, Unit: units.Celsius, Values: values}
}

func each(values []float64, f func(float64) float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = f(v)
	}
	return out
}

// good is a cycle of 20 minutes: up from 20 °C at 0 s to 135 °C at 400 s, level to
// 640 s, down to 80 °C at 1000 s. It crosses 134 °C after 400·114/115 s and
// 640 + 360/55 s.
var goodCorners = []point{{0, 20}, {400, 135}, {640, 135}, {1000, 80}, {1200, 80}}

const (
	goodRise = 400 * 114.0 / 115
	goodFall = 640 + 360.0/55
)

func good() *Trace {
	times := every(1201, 1)
	t := curve(times, goodCorners...)
	return &Trace{
		Time:              TimeBase{units.Second, times},
		Temperatures:      []TemperatureChannel{channel("T1", Drain, t)},
		AbsolutePressures: []AbsolutePressureChannel{{ID: "P1", Place: Chamber, Unit: units.Kilopascal, Values: saturated(t)}},
	}
}

func secs(d units.Duration) float64 { return d.Float64(units.Second) }

func TestAnalyzeGood(t *testing.T) {
	a := Analyze(good(), req134)
	assert.Empty(t, a.Problems)
	assert.InDelta(t, goodFall-goodRise, secs(a.Hold), 6e-4) // rounded to 1 ms
	assert.Equal(t, a.Hold, a.Interpolated)
	assert.Equal(t, a.Hold, a.Possible)
	assert.InDelta(t, goodRise, secs(a.HoldStart), 6e-4)
	assert.InDelta(t, goodFall, secs(a.HoldEnd), 6e-4)
	assert.Equal(t, duration("249.000 s"), a.Guaranteed) // samples at 397 to 646 s
	assert.Equal(t, 1, a.Intervals)
	assert.Equal(t, 1201, a.Samples)
	assert.Equal(t, duration("1.000 s"), a.SampleInterval)
	assert.False(t, a.Coarse)
	assert.Equal(t, "T1", a.LastToArrive)
	assert.Equal(t, "T1", a.FirstToLeave)
	assert.False(t, a.Equilibration.IsValid(), "no reference point")
	assert.Equal(t, Extreme{"T1", duration("400.000 s"), temp("135.00 Cel")}, a.Hottest)
	assert.Equal(t, "T1", a.Coldest.Channel)
	assert.InDelta(t, 134.08, a.Coldest.Temperature.Float64(units.Celsius), 0.06)
	assert.False(t, a.Spread.IsValid(), "one point has no spread")
	// Wagner-Pruss against IF97: within 3 mK here.
	require.True(t, a.Saturation.Difference.IsValid())
	assert.LessOrEqual(t, a.Saturation.Difference.Float64(units.KelvinDifference), 0.01)
	assert.Equal(t, "T1", a.Saturation.Temperature)
	assert.Equal(t, "P1", a.Saturation.Pressure)

	// Lethality of straight lines in closed form; the trapezoid at 1 s is within
	// 0.02 % of it.
	line := func(minutes, a, b float64) float64 {
		return minutes * (math.Pow(10, (b-121.1)/10) - math.Pow(10, (a-121.1)/10)) * 10 / (math.Ln10 * (b - a))
	}
	want := line(400.0/60, 20, 135) + 4*math.Pow(10, 1.39) + line(6, 135, 80) + 200.0/60*math.Pow(10, -4.11)
	assert.InEpsilon(t, want, a.Lethality.Minutes.Float64(units.Minute), 5e-4)
	assert.Equal(t, Lethality{a.Lethality.Minutes, a.Lethality.Least, a.Lethality.Greatest, "T1", temp("121.1 Cel"), kelvins("10 K"), Trapezoid}, a.Lethality)
	// A rise and a fall of the rate to 10^1.39, each over 1 s: the bounds are 2/60
	// of that apart, less the rate at 80 °C.
	assert.InDelta(t, 2*math.Pow(10, 1.39)/60, a.Lethality.Greatest.Float64(units.Minute)-a.Lethality.Least.Float64(units.Minute), 2e-3)
	assert.LessOrEqual(t, a.Lethality.Least.Float64(units.Minute), want)
	assert.GreaterOrEqual(t, a.Lethality.Greatest.Float64(units.Minute), want)

	_, err := json.Marshal(a)
	assert.NoError(t, err)
}

func TestAnalyzeNeverReached(t *testing.T) {
	tr := good()
	a := Analyze(tr, pair("135.001 Cel", "3 min"))
	assert.Empty(t, a.Problems)
	assert.Equal(t, duration("0.000 s"), a.Hold)
	assert.Equal(t, duration("0.000 s"), a.Possible)
	assert.Zero(t, a.Intervals)
	assert.False(t, a.Hottest.Temperature.IsValid())
	assert.NotEmpty(t, a.Saturation.Detail.String())
	// Just at the temperature counts.
	assert.Equal(t, duration("240.000 s"), Analyze(tr, pair("135 Cel", "3 min")).Hold)
	// Nothing to look for.
	a = Analyze(tr, Requirement{})
	assert.False(t, a.Hold.IsValid())
}

// The hold runs from the last channel to arrive to the first to leave, and the
// equilibration from the reference point to the last channel.
func TestAnalyzeColdestPoint(t *testing.T) {
	times := every(601, 1)
	tr := &Trace{
		Time: TimeBase{units.Second, times},
		Temperatures: []TemperatureChannel{
			channel("ref", ReferencePoint, curve(times, point{0, 100.5}, point{35.5, 136}, point{400, 136}, point{450, 100}, point{600, 100})),
			// 134 °C at 50 s exactly; leaves 134 °C at 380.5 s: between two samples.
			channel("pack", InLoad, curve(times, point{0, 84}, point{50, 134}, point{51, 135}, point{380, 134.5}, point{381, 133.5}, point{600, 90})),
			channel("lumen", InLumen, curve(times, point{0, 90}, point{44, 134}, point{46, 136}, point{390, 136}, point{420, 100}, point{600, 90})),
			channel("jacket", Jacket, curve(times, point{0, 120}, point{600, 120})),
		},
	}
	a := Analyze(tr, req134)
	assert.Empty(t, a.Problems)
	assert.Equal(t, duration("330.500 s"), a.Hold)
	assert.Equal(t, duration("50.000 s"), a.HoldStart)
	assert.Equal(t, duration("380.500 s"), a.HoldEnd)
	assert.Equal(t, "pack", a.LastToArrive)
	assert.Equal(t, "pack", a.FirstToLeave)
	assert.Equal(t, duration("16.500 s"), a.Equilibration) // 33.5 s to 50 s
	assert.Equal(t, "pack", a.Coldest.Channel)
	assert.Equal(t, temp("134.00 Cel"), a.Coldest.Temperature)
	assert.Equal(t, kelvins("2.00 K"), a.Spread) // 136 against 134 at 50 s
	assert.Equal(t, "no chamber pressure is recorded", a.Saturation.Detail.String())
	// The worth is least where it was coldest.
	assert.Equal(t, "pack", a.Lethality.Channel)

	// Of two reference points the first to arrive counts: this one at 40 s.
	two := *tr
	two.Temperatures = append(slices.Clone(tr.Temperatures), channel("ref2", ReferencePoint,
		curve(times, point{0, 94}, point{40, 134}, point{42, 136}, point{600, 136})))
	assert.Equal(t, duration("16.500 s"), Analyze(&two, req134).Equilibration)
	slices.Reverse(two.Temperatures)
	assert.Equal(t, duration("16.500 s"), Analyze(&two, req134).Equilibration)

	// Only the jacket: nothing can be shown.
	tr.Temperatures = tr.Temperatures[3:]
	a = Analyze(tr, req134)
	assert.True(t, a.Has(NoTemperature))
	assert.False(t, a.Hold.IsValid())
}

func TestAnalyzeIntervals(t *testing.T) {
	// 100 s, a dip, 200 s, a dip, 50 s. Each edge is one second from 133 to 135 °C.
	times := every(501, 1)
	tr := good()
	tr.AbsolutePressures = nil
	tr.Time.Values = times
	tr.Temperatures[0].Values = each(times, func(s float64) float64 {
		if s >= 20 && s <= 119 || s >= 150 && s <= 349 || s >= 400 && s <= 449 {
			return 135
		}
		return 133
	})
	a := Analyze(tr, req134)
	assert.Equal(t, 3, a.Intervals)
	assert.Equal(t, duration("200.000 s"), a.Hold)
	assert.Equal(t, duration("199.000 s"), a.Guaranteed)
	assert.Equal(t, duration("149.500 s"), a.HoldStart)
}

// A record is judged in the unit that it was recorded in: 250 °F meets a row that
// prints 121 °C and 250 °F, although it is 121.11 °C and so would 121 °C.
func TestAnalyzeUnits(t *testing.T) {
	cdc, ok := table(t, "cdc-2008-table-7").Find(gravity, WrappedInstruments, temp("121 Cel"))
	require.True(t, ok)
	flat := func(u units.TemperatureUnit, value float64) *Trace {
		times := every(2001, 1)
		return &Trace{Time: TimeBase{units.Second, times}, Temperatures: []TemperatureChannel{{
			ID: "T", Place: Drain, Unit: u,
			Values: curve(times, point{0, value - 50}, point{100, value}, point{1900, value}, point{2000, value - 50}),
		}}}
	}
	for _, c := range []struct {
		req   Requirement
		u     units.TemperatureUnit
		value float64
		hold  string
	}{
		{cdc, units.Celsius, 121, "1800.000 s"},
		{cdc, units.Celsius, 120.99, "0.000 s"},
		{cdc, units.Fahrenheit, 250, "1800.000 s"},
		{cdc, units.Fahrenheit, 249.9, "0.000 s"}, // 121.06 °C
		{cdc, units.Kelvin, 394.15, "1800.000 s"},
		{req134, units.Fahrenheit, 273.2, "1800.000 s"},
		{req134, units.Fahrenheit, 273, "0.000 s"},
	} {
		a := Analyze(flat(c.u, c.value), c.req)
		assert.Empty(t, a.Problems, "%+v", c)
		assert.Equal(t, duration(c.hold), a.Hold, "%v %g", c.u, c.value)
	}

	// The same cycle with its time in minutes or milliseconds.
	want := Analyze(good(), req134)
	for u, perUnit := range map[units.DurationUnit]float64{units.Minute: 60, units.Millisecond: 0.001} {
		tr := good()
		tr.Time.Unit = u
		tr.Time.Values = each(tr.Time.Values, func(s float64) float64 { return s / perUnit })
		got := Analyze(tr, req134)
		assert.Empty(t, got.Problems)
		assert.Equal(t, want.Hold, got.Hold)
		assert.Equal(t, want.Lethality, got.Lethality)
	}
}

// thin keeps every nth sample.
func thin(tr *Trace, keep func(i int) bool) *Trace {
	out := *tr
	pick := func(values []float64) (kept []float64) {
		for i, v := range values {
			if keep(i) {
				kept = append(kept, v)
			}
		}
		return kept
	}
	out.Time.Values = pick(tr.Time.Values)
	out.Temperatures = slices.Clone(tr.Temperatures)
	for i := range out.Temperatures {
		out.Temperatures[i].Values = pick(tr.Temperatures[i].Values)
	}
	out.AbsolutePressures = slices.Clone(tr.AbsolutePressures)
	for i := range out.AbsolutePressures {
		out.AbsolutePressures[i].Values = pick(tr.AbsolutePressures[i].Values)
	}
	return &out
}

func TestAnalyzeCoarse(t *testing.T) {
	// Every 2.5 s is fine, every 3 s is not.
	tr := good()
	tr.Time.Values = each(tr.Time.Values, func(s float64) float64 { return s * 2.5 })
	a := Analyze(tr, req134)
	assert.False(t, a.Coarse)
	assert.Equal(t, a.Interpolated, a.Hold)

	a = Analyze(thin(good(), func(i int) bool { return i%3 == 0 }), req134)
	assert.True(t, a.Coarse)
	// 399 s is the first multiple of 3 after the rise at 396.5 s, 645 s the last
	// before the fall at 646.5 s; 396 s and 648 s are the samples outside.
	assert.Equal(t, duration("246.000 s"), a.Hold)
	assert.Equal(t, a.Guaranteed, a.Hold)
	assert.Equal(t, duration("252.000 s"), a.Possible)
	assert.Equal(t, duration("399.000 s"), a.HoldStart)
	assert.InDelta(t, goodFall-goodRise, secs(a.Interpolated), 0.1)

	// Once a minute: certain from 420 to 600 s, possible from 360 to 660 s.
	a = Analyze(thin(good(), func(i int) bool { return i%60 == 0 }), req134)
	assert.Equal(t, duration("180.000 s"), a.Hold)
	assert.Equal(t, duration("300.000 s"), a.Possible)

	// One long interval at the rise only: nothing is read into it.
	a = Analyze(thin(good(), func(i int) bool { return i < 394 || i > 397 }), req134)
	assert.False(t, a.Coarse)
	assert.Empty(t, a.Problems)
	assert.Equal(t, duration("398.000 s"), a.HoldStart)
	assert.InDelta(t, goodFall-398, secs(a.Hold), 6e-4)
	assert.InDelta(t, goodFall-393, secs(a.Possible), 6e-4)
}

func TestAnalyzeGap(t *testing.T) {
	// 5 s between samples is no gap, 6 s is one.
	a := Analyze(thin(good(), func(i int) bool { return i <= 500 || i >= 505 }), req134)
	assert.Empty(t, a.Problems)
	assert.InDelta(t, goodFall-goodRise, secs(a.Hold), 6e-4)

	a = Analyze(thin(good(), func(i int) bool { return i <= 500 || i >= 506 }), req134)
	require.Len(t, a.Problems, 1)
	assert.Equal(t, Gap, a.Problems[0].Kind)
	assert.Equal(t, "/time/values/501", a.Problems[0].Pointer)
	assert.Equal(t, 2, a.Intervals)
	assert.InDelta(t, goodFall-506, secs(a.Hold), 6e-4)
	assert.False(t, a.Possible.IsValid(), "it may have been longer")
	assert.Equal(t, "", a.LastToArrive)
	assert.Equal(t, "T1", a.FirstToLeave)

	// A gap outside the plateau costs nothing.
	a = Analyze(thin(good(), func(i int) bool { return i < 800 || i > 900 }), req134)
	assert.True(t, a.Has(Gap))
	assert.InDelta(t, goodFall-goodRise, secs(a.Hold), 6e-4)
	assert.True(t, a.Possible.IsValid())

	// The whole plateau in a gap: nothing is shown, much is possible.
	a = Analyze(thin(good(), func(i int) bool { return i < 390 || i > 660 }), req134)
	assert.Equal(t, duration("0.000 s"), a.Hold)
	assert.Equal(t, duration("272.000 s"), a.Possible)

	// A gap that the plateau runs into and that ends after it.
	a = Analyze(thin(good(), func(i int) bool { return i <= 500 || i > 700 }), req134)
	assert.InDelta(t, 500-goodRise, secs(a.Hold), 6e-4)
	assert.False(t, a.Possible.IsValid())

	// Nothing is worth anything in a gap: 60 s less at 135 °C is 60 s less.
	whole := Analyze(good(), req134).Lethality.Minutes.Float64(units.Minute)
	a = Analyze(thin(good(), func(i int) bool { return i <= 450 || i >= 510 }), req134)
	assert.InDelta(t, whole-math.Pow(10, 1.39), a.Lethality.Minutes.Float64(units.Minute), 0.0011)

	// Cut off during the hold.
	a = Analyze(thin(good(), func(i int) bool { return i <= 500 }), req134)
	assert.InDelta(t, 500-goodRise, secs(a.Hold), 6e-4)
	assert.False(t, a.Possible.IsValid())
	assert.Equal(t, "", a.FirstToLeave)
}

func TestAnalyzeProblems(t *testing.T) {
	fahrenheit := func(c float64) float64 { return c*9/5 + 32 }
	perPSI := func(kPa float64) float64 { return kPa / 6.894757293168 }
	for _, c := range []struct {
		name    string
		change  func(*Trace)
		kind    ProblemKind
		pointer string
		detail  string
	}{
		{"no samples", func(t *Trace) { t.Time.Values = nil }, TooFewSamples, "/time/values", ""},
		{"one sample", func(t *Trace) { *t = *thin(t, func(i int) bool { return i == 0 }) }, TooFewSamples, "/time/values", ""},
		{"a clock that steps back", func(t *Trace) { t.Time.Values[500] = 400 }, ClockStepBack, "/time/values/500", ""},
		{"a clock that stands", func(t *Trace) { t.Time.Values[1] = 0 }, ClockStepBack, "/time/values/1", ""},
		{"a time that is no number", func(t *Trace) { t.Time.Values[7] = math.NaN() }, ClockStepBack, "/time/values/7", "2 times"},
		{"a short channel", func(t *Trace) { t.Temperatures[0].Values = t.Temperatures[0].Values[1:] }, LengthsDiffer, "/temperatures/0", "1200 values for 1201 times"},
		{"an empty channel", func(t *Trace) { t.AbsolutePressures[0].Values = nil }, LengthsDiffer, "/absolutePressures/0", ""},
		{"more temperatures than a document has", func(t *Trace) {
			t.Temperatures = slices.Repeat(t.Temperatures[:1], 65)
		}, Implausible, "/temperatures", "65 channels; at most 64 are read"},
		{"more pressures than a document has", func(t *Trace) {
			t.AbsolutePressures = slices.Repeat(t.AbsolutePressures[:1], 65)
		}, Implausible, "/absolutePressures", "65 channels"},
		{"more gauge pressures than a document has", func(t *Trace) {
			t.GaugePressures = slices.Repeat([]GaugePressureChannel{{ID: "P"}}, 65)
		}, Implausible, "/gaugePressures", "65 channels"},
		{"no channel", func(t *Trace) { t.Temperatures = nil }, NoTemperature, "/temperatures", ""},
		{"a time without a unit", func(t *Trace) { t.Time.Unit = 0 }, Implausible, "/time/unit", ""},
		{"a temperature without a unit", func(t *Trace) { t.Temperatures[0].Unit = 0 }, Implausible, "/temperatures/0", ""},
		{"a pressure without a unit", func(t *Trace) { t.AbsolutePressures[0].Unit = 0 }, Implausible, "/absolutePressures/0", ""},
		{"milliseconds marked seconds", func(t *Trace) {
			t.Time.Values = each(t.Time.Values, func(s float64) float64 { return s * 1000 })
		}, Implausible, "/time", ""},
		{"seconds marked minutes", func(t *Trace) { t.Time.Unit = units.Minute }, Implausible, "/time", ""},
		{"°F marked °C", func(t *Trace) { t.Temperatures[0].Values = each(t.Temperatures[0].Values, fahrenheit) }, Implausible, "/temperatures/0", "fit °F"},
		{"K marked °C", func(t *Trace) {
			t.Temperatures[0].Values = each(t.Temperatures[0].Values, func(c float64) float64 { return c + 273.15 })
		}, Implausible, "/temperatures/0", "fit K"},
		{"°C marked °F", func(t *Trace) { t.Temperatures[0].Unit = units.Fahrenheit }, Implausible, "/temperatures/0", "fit °C"},
		{"°C marked K", func(t *Trace) { t.Temperatures[0].Unit = units.Kelvin }, Implausible, "/temperatures/0", "fit °C"},
		{"a broken sensor", func(t *Trace) { t.Temperatures[0].Values[3] = -200 }, Implausible, "/temperatures/0", "outside"},
		{"no number", func(t *Trace) { t.Temperatures[0].Values[3] = math.NaN() }, Implausible, "/temperatures/0", ""},
		{"infinity", func(t *Trace) { t.Temperatures[0].Values[3] = math.Inf(1) }, Implausible, "/temperatures/0", ""},
		{"below vacuum", func(t *Trace) { t.AbsolutePressures[0].Values[3] = -0.5 }, Implausible, "/absolutePressures/0", "outside"},
		{"kPa marked psi", func(t *Trace) { t.AbsolutePressures[0].Unit = units.PoundPerSquareInch }, Implausible, "/absolutePressures/0", "fit kPa absolute"},
		{"kPa marked bar", func(t *Trace) { t.AbsolutePressures[0].Unit = units.Bar }, Implausible, "/absolutePressures/0", "fit kPa absolute"},
		{"psi marked kPa", func(t *Trace) { t.AbsolutePressures[0].Values = each(t.AbsolutePressures[0].Values, perPSI) }, Implausible, "/absolutePressures/0", "fit psi absolute"},
		{"bar marked kPa", func(t *Trace) {
			t.AbsolutePressures[0].Values = each(t.AbsolutePressures[0].Values, func(p float64) float64 { return p / 100 })
		}, Implausible, "/absolutePressures/0", "fit bar absolute"},
		{"gauge marked absolute", func(t *Trace) {
			t.AbsolutePressures[0].Values = each(t.AbsolutePressures[0].Values, func(p float64) float64 { return max(p-101.3, 0) })
		}, Implausible, "/absolutePressures/0", "fit kPa gauge"},
		{"absolute marked gauge", func(t *Trace) {
			t.GaugePressures = []GaugePressureChannel{{ID: "P", Place: Chamber, Unit: units.KilopascalGauge, Values: t.AbsolutePressures[0].Values}}
			t.AbsolutePressures = nil
		}, Implausible, "/gaugePressures/0", "fit kPa absolute"},
		{"psi gauge marked kPa gauge", func(t *Trace) {
			t.GaugePressures = []GaugePressureChannel{{ID: "P", Place: Chamber, Unit: units.KilopascalGauge,
				Values: each(t.AbsolutePressures[0].Values, func(p float64) float64 { return perPSI(p - 101.3) })}}
			t.AbsolutePressures = nil
		}, Implausible, "/gaugePressures/0", "fit psi gauge"},
	} {
		t.Run(c.name, func(t *testing.T) {
			tr := good()
			c.change(tr)
			for _, atmosphere := range []units.AbsolutePressure{{}, absolute("101.325 kPa")} {
				a := Analyze(tr, sited(req134, atmosphere))
				require.NotEmpty(t, a.Problems)
				p := a.Problems[0]
				assert.Equal(t, c.kind, p.Kind, "%+v", a.Problems)
				assert.Equal(t, c.pointer, p.Pointer)
				assert.Contains(t, p.Detail.String(), c.detail)
				assert.False(t, a.Hold.IsValid(), "what cannot be believed has no hold")
				_, err := json.Marshal(a)
				assert.NoError(t, err)
			}
		})
	}
	a := Analyze(nil, req134)
	assert.True(t, a.Has(TooFewSamples))
	assert.False(t, a.Hold.IsValid())
}

// As many channels are read as a document may have, of each kind.
func TestAnalyzeReadsWhatADocumentHolds(t *testing.T) {
	for _, list := range []string{"Temperatures", "AbsolutePressures", "GaugePressures"} {
		f, _ := reflect.TypeFor[Trace]().FieldByName(list)
		assert.Equal(t, mostChannels, strictjson.BoundsOf(f).MaxItems, list)
	}
	tr := good()
	for len(tr.Temperatures) < mostChannels {
		tr.Temperatures = append(tr.Temperatures, tr.Temperatures[0])
	}
	assert.Equal(t, Analyze(good(), req134).Hold, Analyze(tr, req134).Hold)
}

// A cycle that simply fails to heat up is short, not implausible.
func TestAnalyzeFailedIsNotImplausible(t *testing.T) {
	for _, peak := range []float64{60, 99, 110, 125, 133.9} {
		times := every(601, 1)
		c := curve(times, point{0, 20}, point{200, peak}, point{500, peak}, point{600, 20})
		tr := &Trace{Time: TimeBase{units.Second, times}, Temperatures: []TemperatureChannel{channel("T", Drain, c)},
			AbsolutePressures: []AbsolutePressureChannel{{ID: "P", Place: Chamber, Unit: units.Kilopascal, Values: saturated(c)}}}
		a := Analyze(tr, req134)
		assert.Empty(t, a.Problems, "%g °C", peak)
		assert.Equal(t, duration("0.000 s"), a.Hold)
		// The same recorded in °F.
		tr.Temperatures[0].Unit = units.Fahrenheit
		tr.Temperatures[0].Values = each(c, func(c float64) float64 { return c*9/5 + 32 })
		a = Analyze(tr, req134)
		assert.Equal(t, peak == 60, a.Has(Implausible), "%g °C is %g °F", peak, peak*9/5+32) // 140 °F might as well be 140 °C
	}
	times := every(601, 1)
	c := curve(times, point{0, 68}, point{200, 150}, point{500, 150}, point{600, 68})
	tr := &Trace{Time: TimeBase{units.Second, times}, Temperatures: []TemperatureChannel{{ID: "T", Place: Drain, Unit: units.Fahrenheit, Values: c}}}
	assert.Empty(t, Analyze(tr, req134).Problems, "150 °F is no 134 °C cycle in any unit")
}

// Saturation at 134.0 °C is 304.2 kPa. At 320 kPa steam has 135.74 °C, so that a
// reading of 134.0 °C is 1.74 K below it; at 304.2 kPa 132.0 °C is 2.00 K below.
func TestAnalyzeSaturation(t *testing.T) {
	times := every(301, 1)
	flat := func(v float64) []float64 { return curve(times, point{0, v}, point{300, v}) }
	trace := func(celsius, kPa float64) *Trace {
		return &Trace{Time: TimeBase{units.Second, times},
			Temperatures:      []TemperatureChannel{channel("T", Chamber, flat(celsius))},
			AbsolutePressures: []AbsolutePressureChannel{{ID: "P", Place: Chamber, Unit: units.Kilopascal, Values: flat(kPa)}}}
	}
	a := Analyze(trace(134, 320), req134)
	assert.Equal(t, kelvins("1.74 K"), a.Saturation.Difference)
	assert.False(t, a.Saturation.Superheated)
	a = Analyze(trace(132, 304.2), pair("132 Cel", "4 min"))
	assert.Equal(t, kelvins("2.00 K"), a.Saturation.Difference)
	a = Analyze(trace(136, 304.2), req134)
	assert.Equal(t, kelvins("2.00 K"), a.Saturation.Difference)
	assert.True(t, a.Saturation.Superheated)

	// Steam of 150 kPa has 111.35 °C (handbook tables). That is far off 134 °C, and so
	// is 150 kPa gauge, 127.6 °C: a fault, and no slip of the unit.
	a = Analyze(trace(134, 150), sited(req134, absolute("101.325 kPa")))
	assert.Empty(t, a.Problems)
	assert.InDelta(t, 22.65, a.Saturation.Difference.Float64(units.KelvinDifference), 0.011)

	// By gauge at 2,250 m, where 134 °C needs 227.14 kPa: the site decides.
	tr := trace(134, 0)
	tr.AbsolutePressures = nil
	tr.GaugePressures = []GaugePressureChannel{{ID: "G", Place: Chamber, Unit: units.KilopascalGauge, Values: flat(227.14)}}
	a = Analyze(tr, sited(req134, absolute("77.058 kPa")))
	assert.Equal(t, kelvins("0.00 K"), a.Saturation.Difference)
	assert.Equal(t, "G", a.Saturation.Pressure)
	a = Analyze(tr, req134)
	assert.False(t, a.Saturation.Difference.IsValid())
	assert.Contains(t, a.Saturation.Detail.String(), "atmospheric pressure of the site")
	assert.True(t, a.Hold.IsValid(), "the temperature stands by itself")

	// A load sensor says nothing about the steam, nor does the jacket's pressure.
	tr = trace(134, 320)
	tr.Temperatures[0].Place = InLoad
	assert.Contains(t, Analyze(tr, req134).Saturation.Detail.String(), "reference point")
	tr = trace(134, 320)
	tr.AbsolutePressures[0].Place = Jacket
	assert.Contains(t, Analyze(tr, req134).Saturation.Detail.String(), "no chamber pressure")
	// A vacuum during the hold is no steam at all.
	tr = trace(134, 304.2)
	tr.AbsolutePressures[0].Values[100] = 0
	assert.Contains(t, Analyze(tr, req134).Saturation.Detail.String(), "not one of saturated steam")
}

// slowHold finds the longest joint hold another way: it cuts the time line at every
// crossing of every channel and joins the pieces in whose middle all are hot.
func slowHold(times []float64, channels [][]float64, limit float64) float64 {
	cuts := slices.Clone(times)
	for _, c := range channels {
		for i := 1; i < len(times); i++ {
			if (c[i] < limit) != (c[i-1] < limit) {
				cuts = append(cuts, times[i-1]+(limit-c[i-1])/(c[i]-c[i-1])*(times[i]-times[i-1]))
			}
		}
	}
	slices.Sort(cuts)
	value := func(c []float64, t float64) float64 {
		i := min(max(sortSearch(times, t), 1), len(times)-1)
		return c[i-1] + (c[i]-c[i-1])*(t-times[i-1])/(times[i]-times[i-1])
	}
	best, cur := 0.0, 0.0
	for i := 1; i < len(cuts); i++ {
		hot := true
		for _, c := range channels {
			hot = hot && value(c, (cuts[i]+cuts[i-1])/2) >= limit
		}
		if d := cuts[i] - cuts[i-1]; d < 1e-9 {
			continue
		} else if hot {
			cur += d
		} else {
			cur = 0
		}
		best = max(best, cur)
	}
	return best
}

func sortSearch(times []float64, t float64) int {
	i, _ := slices.BinarySearch(times, t)
	return i
}

// random returns a trace with one to four channels that wander about 134 °C.
func random(r *rand.Rand, n int) *Trace {
	tr := &Trace{Time: TimeBase{units.Second, make([]float64, n)}}
	now := 0.0
	for i := range n {
		now += 0.5 + r.Float64()
		tr.Time.Values[i] = now
	}
	for range 1 + r.IntN(4) {
		v, values := 133+2*r.Float64(), make([]float64, n)
		for i := range values {
			v += r.NormFloat64() * 0.3
			v += (134.5 - v) * 0.05
			values[i] = v
		}
		tr.Temperatures = append(tr.Temperatures, channel("T", Drain, values))
	}
	return tr
}

func TestAnalyzeAgainstSlow(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	compared := 0
	for range 300 {
		tr := random(r, 200)
		var channels [][]float64
		for _, c := range tr.Temperatures {
			channels = append(channels, c.Values)
		}
		want := slowHold(tr.Time.Values, channels, 134)
		a := Analyze(tr, req134)
		require.Empty(t, a.Problems)
		if want > 1.5 { // longer than any interval, so that it holds a sample
			compared++
			require.InDelta(t, want, secs(a.Hold), 6e-4)
		}
	}
	assert.Greater(t, compared, 150)
}

// A further channel can only shorten the hold.
func TestAnalyzeMoreChannelsNeverLonger(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		tr := random(r, 100)
		extra := random(r, 100).Temperatures[0]
		if r.IntN(4) == 0 {
			extra.Values = extra.Values[:50]
		}
		if r.IntN(4) == 0 {
			extra.Unit = units.Fahrenheit
		}
		before := Analyze(tr, req134)
		tr.Temperatures = append(tr.Temperatures, extra)
		after := Analyze(tr, req134)
		assert.LessOrEqual(t, after.Hold.Compare(before.Hold), 0)
		assert.LessOrEqual(t, after.Guaranteed.Compare(before.Guaranteed), 0)
	}
}

// Losing samples of one plateau never lengthens its hold: the curve is concave, so
// that a chord lies below it, and what is certain only shrinks.
func TestAnalyzeFewerSamplesNeverLonger(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	full := Analyze(good(), req134)
	rounds := 500
	if testing.Short() {
		rounds = 25
	}
	for range rounds {
		p := r.Float64()
		tr := thin(good(), func(int) bool { return r.Float64() >= p })
		a := Analyze(tr, req134)
		if !a.Hold.IsValid() {
			continue
		}
		assert.LessOrEqual(t, a.Hold.Compare(full.Hold), 0)
		assert.LessOrEqual(t, a.Guaranteed.Compare(full.Guaranteed), 0)
		if a.Possible.IsValid() {
			assert.GreaterOrEqual(t, a.Possible.Compare(a.Hold), 0)
		}
	}
}

func TestAnalyzeIsOrderless(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 50 {
		tr := random(r, 100)
		a := Analyze(tr, req134)
		slices.Reverse(tr.Temperatures)
		assert.Equal(t, a.Hold, Analyze(tr, req134).Hold)
	}
}

func TestTraceJSON(t *testing.T) {
	// The form that the documentation of Trace shows.
	const doc = `{"time":{"unit":"s","values":[0,1,2]},"temperatures":[{"id":"T1","place":"drain","unit":"Cel","accuracy":{"value":0.5,"unit":"K"},"values":[20.1,20.3,20.8]}],"absolutePressures":[{"id":"P1","place":"chamber","unit":"kPa","values":[100.9,96.2,90]}],"gaugePressures":[{"id":"G1","place":"reference point","unit":"[psi]","values":[0.1,-0.5,-1]}]}`
	var tr Trace
	require.NoError(t, json.Unmarshal([]byte(doc), &tr))
	out, err := json.Marshal(tr)
	require.NoError(t, err)
	assert.Equal(t, doc, string(out))
	// A unit of another quantity does not decode.
	assert.Error(t, json.Unmarshal([]byte(strings.Replace(doc, `"Cel"`, `"kPa"`, 1)), &tr))
	misspelt := []byte(strings.Replace(doc, `"drain"`, `"drian"`, 1))
	_, err = strictjson.NewDecoder[Trace]().Decode(misspelt, strictjson.Default())
	assert.ErrorContains(t, err, `did you mean "drain"?`)
}

// A fuzzed trace: a byte for the number of channels, then float64 values.
func FuzzAnalyze(f *testing.F) {
	bytesOf := func(tr *Trace) []byte {
		b := []byte{byte(len(tr.Temperatures)), 0, byte(units.Second), byte(units.Celsius)}
		for i, t := range tr.Time.Values {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(t))
			for _, c := range tr.Temperatures {
				b = binary.LittleEndian.AppendUint64(b, math.Float64bits(c.Values[i]))
			}
		}
		return b
	}
	f.Add(bytesOf(thin(good(), func(i int) bool { return i%20 == 0 })))
	f.Add(bytesOf(random(rand.New(rand.NewPCG(1, 1)), 20)))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) < 4 {
			return
		}
		nt, np, tu, u := int(data[0]%5), int(data[1]%4), data[2]%7, data[3]%5
		tr := &Trace{Time: TimeBase{Unit: units.DurationUnit(tu)}}
		var columns []*[]float64
		columns = append(columns, &tr.Time.Values)
		places := [...]Place{"", ReferencePoint, Chamber, Drain, InLoad, InLumen, Jacket, Elsewhere, "attic"}
		for i := range nt {
			tr.Temperatures = append(tr.Temperatures, TemperatureChannel{
				ID: string(rune('a' + i)), Place: places[data[3]>>4%9], Unit: units.TemperatureUnit(u),
			})
		}
		for i := range np {
			tr.AbsolutePressures = append(tr.AbsolutePressures, AbsolutePressureChannel{ID: string(rune('p' + i)), Place: Chamber, Unit: units.AbsolutePressureUnit(data[2] >> 4 % 10)})
			tr.GaugePressures = append(tr.GaugePressures, GaugePressureChannel{ID: string(rune('q' + i)), Place: Chamber, Unit: units.GaugePressureUnit(data[2] >> 4 % 10)})
		}
		for i := range nt {
			columns = append(columns, &tr.Temperatures[i].Values)
		}
		for i := range np {
			columns = append(columns, &tr.AbsolutePressures[i].Values, &tr.GaugePressures[i].Values)
		}
		for i, rest := 0, data[4:]; len(rest) >= 8; i, rest = i+1, rest[8:] {
			c := columns[i%len(columns)]
			*c = append(*c, math.Float64frombits(binary.LittleEndian.Uint64(rest)))
		}
		for _, atmosphere := range []units.AbsolutePressure{{}, absolute("101.325 kPa")} {
			a := Analyze(tr, sited(req134, atmosphere))
			if a.Hold.IsValid() {
				span := (tr.Time.Values[len(tr.Time.Values)-1] - tr.Time.Values[0]) * units.New(1, 0, tr.Time.Unit).Float64(units.Second)
				if h := secs(a.Hold); h < 0 || h > span+0.001 {
					t.Fatalf("a hold of %g s in %g s", h, span)
				}
				if a.Has(Implausible) || a.Has(LengthsDiffer) || a.Has(ClockStepBack) {
					t.Fatalf("a hold in a trace that cannot be believed: %+v", a.Problems)
				}
			}
			if _, err := json.Marshal(a); err != nil {
				t.Fatal(err)
			}
			findings, _ := Check(&Evidence{Trace: tr, Atmosphere: atmosphere}, Limits{Requirement: req134})
			for _, f := range findings {
				if f.Rule == "cycle.hold.short" && f.Outcome == moistheat.Met && a.Hold.Compare(req134.Hold) < 0 {
					t.Fatal("met without a hold")
				}
			}
		}
	})
}

func big() *Trace {
	times := every(3600, 1)
	corners := []point{{0, 20}, {900, 135}, {2400, 135}, {3000, 80}, {3600, 80}}
	t := curve(times, corners...)
	tr := &Trace{Time: TimeBase{units.Second, times},
		AbsolutePressures: []AbsolutePressureChannel{{ID: "P", Place: Chamber, Unit: units.Kilopascal, Values: saturated(t)}}}
	for _, p := range []Place{ReferencePoint, Drain, InLoad, InLumen} {
		tr.Temperatures = append(tr.Temperatures, channel(string(p), p, t))
	}
	return tr
}

func TestAnalyzeAllocations(t *testing.T) {
	tr := big()
	half := thin(tr, func(i int) bool { return i%2 == 0 })
	few := testing.AllocsPerRun(10, func() { Analyze(half, req134) })
	many := testing.AllocsPerRun(10, func() { Analyze(tr, req134) })
	assert.Equal(t, few, many, "allocations must not grow with the samples")
	assert.Less(t, many, 60.0)
}

// Analyze beside the straightforward way to the hold and the lethality alone.
func BenchmarkAnalyze(b *testing.B) {
	tr := big()
	b.Run("3600x5", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			Analyze(tr, req134)
		}
	})
	b.Run("naive", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			var channels [][]float64
			for _, c := range tr.Temperatures {
				channels = append(channels, c.Values)
				sum := 0.0
				for i := 1; i < len(c.Values); i++ {
					sum += (math.Pow(10, (c.Values[i]-121.1)/10) + math.Pow(10, (c.Values[i-1]-121.1)/10)) / 2
				}
				_ = sum
			}
			slowHold(tr.Time.Values, channels, 134)
		}
	})
}
