package cycle

import (
	"math"
	"slices"
	"testing"

	"example.com/moistheat/units"
	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pulsed is a cycle whose every corner is known: three vacua to 10 kPa between
// fills to 120 kPa, 310 kPa during the hold, ten minutes of drying at 8 kPa. The
// reference point is at 134 °C after 400 s, the load after 410 s; both leave it
// at 700 s.
func pulsed() *Trace {
	times := every(1601, 1)
	return &Trace{
		Time: TimeBase{units.Second, times},
		Temperatures: []TemperatureChannel{
			channel("T1", ReferencePoint, curve(times, point{0, 30}, point{240, 60}, point{400, 134}, point{401, 134.8}, point{699, 134.8}, point{700, 134}, point{760, 100}, point{1600, 70})),
			channel("T2", InLoad, curve(times, point{0, 25}, point{250, 60}, point{410, 134}, point{411, 134.6}, point{699, 134.6}, point{700, 134}, point{760, 101}, point{1600, 75})),
		},
		AbsolutePressures: []AbsolutePressureChannel{{ID: "P1", Place: Chamber, Unit: units.Kilopascal, Values: curve(times, pulsedPressure...)}},
	}
}

var pulsedPressure = []point{
	{0, 101.3}, {10, 101.3}, {60, 10}, {100, 120}, {140, 10}, {180, 120}, {220, 10}, {400, 310},
	{700, 310}, {760, 101.3}, {860, 8}, {1460, 8}, {1480, 101.3}, {1600, 101.3},
}

// phase is a phase in whole seconds.
type phase struct {
	Kind       PhaseKind
	Start, End float64
}

func phases(c *Profile) (out []phase) {
	for _, p := range c.Phases {
		out = append(out, phase{p.Kind, secs(p.Start), secs(p.End)})
	}
	return out
}

func TestCourse(t *testing.T) {
	a := Analyze(pulsed(), req134)
	require.Empty(t, a.Problems)
	c := &a.Profile
	assert.Empty(t, c.Detail.String())
	assert.True(t, c.FromRest)
	// The corners of the curves. The pressure passes 106.3 kPa, 5 above the start,
	// between 758 s and 759 s, and 96.3 kPa between 765 s and 766 s; it rises out of
	// 13 kPa between 1461 s and 1462 s, and passes 96.3 kPa between 1478 s and 1479 s.
	want := []phase{
		{AirRemoval, 0, 220}, {Heating, 220, 400}, {Equilibrating, 400, 410}, {Holding, 410, 700},
		{Exhaust, 700, 759}, {Drying, 766, 1461}, {AirAdmission, 1461, 1479},
	}
	assert.Empty(t, cmp.Diff(want, phases(c)))
	assert.Equal(t, "10.000 s", c.Phases[2].Length().String())
	assert.Equal(t, 3, c.vacuums())
	want3 := []Pulse{
		{duration("60.000 s"), absolute("10.00 kPa"), absolute("120.00 kPa"), true},
		{duration("140.000 s"), absolute("10.00 kPa"), absolute("120.00 kPa"), true},
		{duration("220.000 s"), absolute("10.00 kPa"), absolute("310.00 kPa"), true},
	}
	assert.Empty(t, cmp.Diff(want3, c.Pulses, cmp.Comparer(func(a, b units.Duration) bool { return a == b }),
		cmp.Comparer(func(a, b units.AbsolutePressure) bool { return a == b })))
	// Well-mixed dilution: 10/120 · 10/120 · 10/310.
	assert.InDelta(t, 100*10.0/120*10/120*10/310, c.ResidualAir.Float64(units.Percent), 1e-6)
	assert.Equal(t, absolute("8.00 kPa"), c.DryingVacuum)
	assert.False(t, c.DryingCut)
	p, ok := c.Phase(Drying)
	assert.True(t, ok)
	assert.InDelta(t, 695, secs(p.Length()), 1e-9)
}

func TestCourseVariants(t *testing.T) {
	kinds := func(c *Profile) (out []PhaseKind) {
		for _, p := range c.Phases {
			out = append(out, p.Kind)
		}
		return out
	}
	pressed := func(tr *Trace, corners ...point) *Trace {
		tr.AbsolutePressures[0].Values = curve(tr.Time.Values, corners...)
		return tr
	}
	t.Run("gravity has no pulses and no vacuum", func(t *testing.T) {
		a := Analyze(pressed(pulsed(), point{0, 101.3}, point{240, 101.3}, point{400, 310}, point{700, 310}, point{760, 101.3}, point{1600, 101.3}), req134)
		assert.Equal(t, []PhaseKind{Heating, Equilibrating, Holding, Exhaust}, kinds(&a.Profile))
		assert.Empty(t, a.Profile.Pulses)
		assert.False(t, a.Profile.ResidualAir.IsValid())
		assert.False(t, a.Profile.DryingVacuum.IsValid())
		assert.True(t, a.Profile.FromRest)
	})
	t.Run("pulses above the atmosphere", func(t *testing.T) {
		a := Analyze(pressed(pulsed(), point{0, 101.3}, point{60, 170}, point{90, 110}, point{130, 170}, point{160, 110}, point{400, 310}, point{700, 310}, point{760, 101.3}, point{1600, 101.3}), req134)
		assert.Len(t, a.Profile.Pulses, 2)
		assert.Zero(t, a.Profile.vacuums())
		assert.InDelta(t, 100*101.3/170*110/170*110/310, a.Profile.ResidualAir.Float64(units.Percent), 1e-6)
	})
	t.Run("drying by pulses of air is one drying", func(t *testing.T) {
		a := Analyze(pressed(pulsed(), append(slices.Clone(pulsedPressure[:11]), point{1000, 8}, point{1020, 60}, point{1060, 6}, point{1460, 6}, point{1480, 101.3}, point{1600, 101.3})...), req134)
		p, ok := a.Profile.Phase(Drying)
		require.True(t, ok)
		assert.InDelta(t, 1461, secs(p.End), 1e-9)
		assert.Equal(t, absolute("6.00 kPa"), a.Profile.DryingVacuum)
	})
	t.Run("cut off while drying", func(t *testing.T) {
		tr := thin(pulsed(), func(i int) bool { return i < 1200 })
		a := Analyze(tr, req134)
		assert.True(t, a.Profile.DryingCut)
		p, _ := a.Profile.Phase(Drying)
		assert.InDelta(t, 1199, secs(p.End), 1e-9)
		_, ok := a.Profile.Phase(AirAdmission)
		assert.False(t, ok)
	})
	t.Run("begun under way", func(t *testing.T) {
		a := Analyze(thin(pulsed(), func(i int) bool { return i >= 150 }), req134)
		assert.False(t, a.Profile.FromRest)
	})
	t.Run("the control at work is no pulse", func(t *testing.T) {
		a := Analyze(pressed(pulsed(), point{0, 101.3}, point{240, 101.3}, point{380, 310}, point{385, 300}, point{400, 310}, point{700, 310}, point{760, 101.3}, point{1600, 101.3}), req134)
		assert.Empty(t, a.Profile.Pulses)
	})
	t.Run("no pressure", func(t *testing.T) {
		tr := pulsed()
		tr.AbsolutePressures = nil
		a := Analyze(tr, req134)
		assert.Equal(t, []PhaseKind{Heating, Equilibrating, Holding}, kinds(&a.Profile))
		assert.Contains(t, a.Profile.Detail.String(), "no chamber pressure")
	})
	gaugeOf := func() *Trace {
		tr := pulsed()
		tr.GaugePressures = []GaugePressureChannel{{ID: "G", Place: Chamber, Unit: units.KilopascalGauge, Values: each(tr.AbsolutePressures[0].Values, func(p float64) float64 { return p - 101.3 })}}
		tr.AbsolutePressures = nil
		return tr
	}
	t.Run("gauge", func(t *testing.T) {
		a := Analyze(gaugeOf(), sited(req134, absolute("101.3 kPa")))
		b := Analyze(pulsed(), req134)
		assert.Equal(t, b.Profile.Phases, a.Profile.Phases)
		assert.Equal(t, b.Profile.ResidualAir, a.Profile.ResidualAir)
		a = Analyze(gaugeOf(), req134)
		assert.Contains(t, a.Profile.Detail.String(), "gauge")
		assert.Empty(t, a.Profile.Pulses)
	})
	t.Run("the air outside is not known", func(t *testing.T) {
		a := Analyze(thin(pulsed(), func(i int) bool { return i >= 65 }), req134) // it begins at 24 kPa
		assert.Contains(t, a.Profile.Detail.String(), "air outside")
		_, ok := a.Profile.Phase(Exhaust)
		assert.False(t, ok)
		a = Analyze(thin(pulsed(), func(i int) bool { return i >= 65 }), sited(req134, absolute("101.3 kPa")))
		assert.Empty(t, a.Profile.Detail.String())
		_, ok = a.Profile.Phase(Drying)
		assert.True(t, ok)
	})
	t.Run("never hot", func(t *testing.T) {
		a := Analyze(pulsed(), pair("140 Cel", "3 min"))
		assert.Empty(t, a.Profile.Phases)
		assert.Contains(t, a.Profile.Detail.String(), "not reached")
	})
}

// Shifting the clock and changing the unit of the pressure leave the course as it
// is.
func TestCourseMetamorphic(t *testing.T) {
	want := Analyze(pulsed(), req134).Profile
	tr := pulsed()
	tr.AbsolutePressures[0].Unit = units.Bar
	tr.AbsolutePressures[0].Values = each(tr.AbsolutePressures[0].Values, func(p float64) float64 { return p / 100 })
	assert.Equal(t, want, Analyze(tr, req134).Profile)
	tr = pulsed()
	tr.Time.Values = each(tr.Time.Values, func(s float64) float64 { return s + 5000 })
	got := Analyze(tr, req134).Profile
	require.Len(t, got.Phases, len(want.Phases))
	for i, p := range got.Phases {
		assert.InDelta(t, secs(want.Phases[i].Start)+5000, secs(p.Start), 1e-9)
		assert.InDelta(t, secs(want.Phases[i].Length()), secs(p.Length()), 1e-9)
	}
	assert.Equal(t, want.ResidualAir, got.ResidualAir)
}

// Phases never overlap and never leave the trace, whatever the numbers are.
func TestCourseOrder(t *testing.T) {
	times := every(400, 1)
	for seed := range 300 {
		p := make([]float64, len(times))
		temp := make([]float64, len(times))
		for i := range times {
			x := float64(i*(seed%7+1)) / 23
			p[i] = 160 + 150*math.Sin(x) + float64(seed%11)
			temp[i] = 130 + 8*math.Sin(x+float64(seed%5))
		}
		tr := &Trace{Time: TimeBase{units.Second, times}, Temperatures: []TemperatureChannel{channel("T", ReferencePoint, temp)},
			AbsolutePressures: []AbsolutePressureChannel{{ID: "P", Place: Chamber, Unit: units.Kilopascal, Values: p}}}
		a := Analyze(tr, sited(req134, absolute("101.3 kPa")))
		last := 0.0
		for _, ph := range a.Profile.Phases {
			assert.GreaterOrEqual(t, secs(ph.Start), last-1e-9)
			assert.Greater(t, secs(ph.End), secs(ph.Start))
			last = secs(ph.End)
		}
		assert.LessOrEqual(t, last, 399.0)
	}
}
