package cycle

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/units"
)

func kinds(a *Analysis) (out []ProblemKind) {
	for _, p := range a.Problems {
		out = append(out, p.Kind)
	}
	return out
}

func TestSpikes(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Trace)
		want   []ProblemKind
	}{
		{"none", func(*Trace) {}, nil},
		{"a little", func(tr *Trace) { tr.Temperatures[1].Values[500] -= 9.9 }, nil},
		{"a jump away and back", func(tr *Trace) { tr.Temperatures[1].Values[500] -= 10.1 }, []ProblemKind{Spike}},
		{"upwards", func(tr *Trace) { tr.Temperatures[1].Values[100] += 10.5 }, []ProblemKind{Spike}},
		{"a step is no spike", func(tr *Trace) {
			for i := 500; i < 1601; i++ {
				tr.Temperatures[1].Values[i] -= 30
			}
		}, nil},
		{"two in a row are no spike", func(tr *Trace) {
			tr.Temperatures[1].Values[500] -= 30
			tr.Temperatures[1].Values[501] -= 30
		}, nil},
		{"many in one channel are one problem", func(tr *Trace) {
			for i := 450; i < 600; i += 10 {
				tr.Temperatures[1].Values[i] -= 30
			}
		}, []ProblemKind{Spike}},
		{"pressure, a little", func(tr *Trace) { tr.AbsolutePressures[0].Values[500] += 39 }, nil},
		{"pressure", func(tr *Trace) { tr.AbsolutePressures[0].Values[500] += 41 }, []ProblemKind{Spike}},
	} {
		tr := pulsed()
		c.change(tr)
		a := Analyze(tr, req134)
		assert.Equal(t, c.want, kinds(&a), c.name)
	}
	// In Fahrenheit the same jump is 1.8 times the number.
	tr := pulsed()
	tr.Temperatures[1].Unit = units.Fahrenheit
	tr.Temperatures[1].Values = each(tr.Temperatures[1].Values, func(c float64) float64 { return c*1.8 + 32 })
	tr.Temperatures[1].Values[500] -= 17.8
	a := Analyze(tr, req134)
	assert.Empty(t, kinds(&a))
	tr.Temperatures[1].Values[500] -= 0.4
	a = Analyze(tr, req134)
	assert.Equal(t, []ProblemKind{Spike}, kinds(&a))
}

// A spike in the hold leaves the hold open: as read it is the longer part, possible
// is the whole.
func TestSpikeInTheHold(t *testing.T) {
	whole := Analyze(pulsed(), req134)
	tr := pulsed()
	tr.Temperatures[1].Values[600] = 0
	a := Analyze(tr, req134)
	assert.Equal(t, 2, a.Intervals)
	assert.InDelta(t, 600-410, secs(a.Hold), 1)
	assert.Equal(t, whole.Possible, a.Possible)
	// A reading that jumps up in a cold trace makes no hold of it.
	cold := pulsed()
	cold.Temperatures[1].Values = each(cold.Temperatures[1].Values, func(c float64) float64 { return c - 5 })
	cold.Temperatures[1].Values[600] = 141
	a = Analyze(cold, req134)
	assert.Less(t, secs(a.Possible), 2.0)
	f, _ := Check(&Evidence{Trace: cold}, Limits{Requirement: req134})
	assert.Equal(t, []outcome{{"cycle.hold.short", bad, "/trace"}}, outcomes(f, "cycle.hold.short"))
}

// In a record of one sample a minute, two equal readings of a load that holds its
// heat are not stuck.
func TestStuckCoarse(t *testing.T) {
	tr := thin(pulsed(), func(i int) bool { return i%60 == 0 })
	warm := tr.Temperatures[1].Values
	warm[12] = warm[11] // at 720 s as at 660 s, when the reference point has fallen by 12 K
	a := Analyze(tr, req134)
	assert.False(t, a.Has(Stuck))
	warm[13], warm[14] = warm[11], warm[11]
	a = Analyze(tr, req134)
	assert.True(t, a.Has(Stuck))
}

func TestStuck(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Trace)
		want   []ProblemKind
	}{
		{"a level plateau is not stuck", func(*Trace) {}, nil},
		{"a load that lags behind a level plateau", func(tr *Trace) {
			tr.Temperatures[1].Values = curve(tr.Time.Values, point{0, 25}, point{350, 60}, point{520, 134.5}, point{700, 134.5}, point{760, 100}, point{1600, 75})
		}, nil},
		{"from the hold on", func(tr *Trace) { freeze(tr.Temperatures[1].Values, 500, 1601) }, []ProblemKind{Stuck}},
		{"the other one", func(tr *Trace) { freeze(tr.Temperatures[0].Values, 500, 1601) }, []ProblemKind{Stuck}},
		// T1 is 10 K below 134.6 °C from 717 s on. The pressure falls by 208.7 kPa in
		// 60 s after 700 s, to 229.5 kPa or 124.6 °C at 723.1 s: from the sample at
		// 724 s on, all others are away.
		{"for 30 s", func(tr *Trace) { freeze(tr.Temperatures[1].Values, 500, 755) }, []ProblemKind{Stuck}},
		{"for less than 30 s", func(tr *Trace) { freeze(tr.Temperatures[1].Values, 500, 754) }, nil},
		{"hot from the beginning", func(tr *Trace) {
			tr.Temperatures[1].Values[0] = 134.5
			freeze(tr.Temperatures[1].Values, 0, 1601)
		}, []ProblemKind{Stuck}},
		{"hot until the hold", func(tr *Trace) {
			tr.Temperatures[1].Values[0] = 134.5
			freeze(tr.Temperatures[1].Values, 0, 500)
		}, []ProblemKind{Stuck}},
		{"cold until the others come", func(tr *Trace) {
			tr.Temperatures[1].Values[0] = 104
			freeze(tr.Temperatures[1].Values, 0, 460)
		}, nil},
		{"cold from the beginning", func(tr *Trace) {
			tr.Temperatures[1].Values[0] = 29
			freeze(tr.Temperatures[1].Values, 0, 1601)
		}, []ProblemKind{Stuck}},
		{"the pressure from the hold on", func(tr *Trace) { freeze(tr.AbsolutePressures[0].Values, 500, 1601) }, []ProblemKind{Stuck}},
		{"one thermometer and a pressure", func(tr *Trace) {
			tr.Temperatures = tr.Temperatures[:1]
			freeze(tr.Temperatures[0].Values, 500, 1601)
		}, []ProblemKind{Stuck}},
		{"one thermometer alone cannot be compared", func(tr *Trace) {
			tr.Temperatures, tr.AbsolutePressures = tr.Temperatures[:1], nil
			freeze(tr.Temperatures[0].Values, 500, 1601)
		}, nil},
		{"at rest in the open at the end", func(tr *Trace) {
			tr.Temperatures[1].Values = curve(tr.Time.Values, point{0, 25}, point{250, 60}, point{410, 134}, point{411, 134.6}, point{699, 134.6}, point{700, 134}, point{760, 101}, point{1300, 60}, point{1600, 60})
		}, nil},
	} {
		tr := pulsed()
		c.change(tr)
		a := Analyze(tr, req134)
		assert.Equal(t, c.want, kinds(&a), c.name)
		if stuck := a.Has(Stuck); stuck && !slices.Contains([]string{"the pressure from the hold on"}, c.name) {
			assert.False(t, a.Hold.IsValid(), c.name)
			assert.False(t, a.GuardBand.Hold.IsValid(), c.name)
		}
	}
	a := Analyze(func() *Trace { tr := pulsed(); freeze(tr.AbsolutePressures[0].Values, 500, 1601); return tr }(), req134)
	assert.True(t, a.Hold.IsValid(), "the thermometers show the hold")
	assert.False(t, a.Saturation.Difference.IsValid())
	assert.Contains(t, a.Saturation.Detail.String(), "stuck")
}

// What takes evidence away, or makes it colder, never turns a broken hold into one
// that is met; what only writes it differently changes nothing.
func TestCheckMetamorphic(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	limits := Limits{Requirement: pair("134 Cel", "20 s"), Spread: twoKelvin, Saturation: twoKelvin, Band: band3}
	hold := func(tr *Trace) moistheat.Outcome {
		f, _ := Check(&Evidence{Trace: tr, Aborted: moistheat.No}, limits)
		o := outcomes(f, "cycle.hold.short")
		require.Len(t, o, 1)
		return o[0].o
	}
	seen := map[moistheat.Outcome]int{}
	rounds := 400
	if testing.Short() {
		rounds = 50
	}
	for range rounds {
		tr := random(rng, 200)
		before := hold(tr)
		seen[before]++

		shifted := thin(tr, func(int) bool { return true })
		shifted.Time.Values = each(shifted.Time.Values, func(s float64) float64 { return s + 4096 })
		assert.Equal(t, before, hold(shifted), "another clock")

		minutes := thin(tr, func(int) bool { return true })
		minutes.Time.Unit = units.Millisecond
		minutes.Time.Values = each(minutes.Time.Values, func(s float64) float64 { return s * 1000 })
		assert.Equal(t, before, hold(minutes), "another unit of time")

		colder := thin(tr, func(int) bool { return true })
		drop := 3 * rng.Float64()
		colder.Temperatures = append(colder.Temperatures, channel("cold", InLoad, each(tr.Temperatures[0].Values, func(c float64) float64 { return c - drop })))
		fewer := thin(tr, func(int) bool { return rng.IntN(3) > 0 })
		if before == bad {
			assert.NotEqual(t, met, hold(colder), "a colder place")
			assert.NotEqual(t, met, hold(fewer), "fewer samples")
		}
	}
	assert.Positive(t, seen[met])
	assert.Positive(t, seen[bad])
}
