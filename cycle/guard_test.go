package cycle

import (
	"encoding/json"
	"testing"

	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func accurate(tr *Trace, accuracy string) *Trace {
	for i := range tr.Temperatures {
		tr.Temperatures[i].Accuracy = kelvins(accuracy)
	}
	return tr
}

// The trace rises to a level of 135 °C that lasts for 240 s, so the accuracy of the
// sensor moves both ends by known amounts: 115 K in 400 s up, 55 K in 360 s down.
func TestGuardHold(t *testing.T) {
	for _, c := range []struct {
		accuracy string
		want     float64
	}{
		{"0.5 K", goodFall - 0.5*360/55 - goodRise - 0.5*400/115},
		{"1 K", 240},
		{"1.001 K", 0}, // 135 °C is all there is
	} {
		a := Analyze(accurate(good(), c.accuracy), req134)
		require.True(t, a.GuardBand.Hold.IsValid(), c.accuracy)
		assert.InDelta(t, c.want, secs(a.GuardBand.Hold), 6e-4, c.accuracy)
		assert.InDelta(t, goodFall-goodRise, secs(a.Hold), 6e-4, "the hold itself is as read")
		assert.LessOrEqual(t, a.GuardBand.Hold.Compare(a.Hold), 0)
	}
}

// The probability that a normal error exceeds so many standard deviations, from
// any table of the normal distribution: 2: 2.2750 %, 4: 0.003167 %, 1: 15.8655 %.
func TestGuardFalseAcceptance(t *testing.T) {
	for _, c := range []struct {
		accuracy string // two standard deviations; the level is 1 K above the limit
		want     float64
	}{
		{"1 K", 2.2750},
		{"0.5 K", 0.0032},
		{"2 K", 15.8655},
		{"0.1 K", 0.0001}, // rounded up, never to nothing
	} {
		a := Analyze(accurate(good(), c.accuracy), pair("134 Cel", "4 min"))
		assert.InDelta(t, c.want, a.GuardBand.FalseAcceptance.Float64(units.Percent), 1.01e-4, c.accuracy)
	}
	// It bounds the probability from above: 2 standard deviations are 2.275013 %, 1 is 15.865525 %.
	for accuracy, least := range map[string]float64{"1 K": 2.275013, "2 K": 15.865525} {
		a := Analyze(accurate(good(), accuracy), pair("134 Cel", "4 min"))
		assert.GreaterOrEqual(t, a.GuardBand.FalseAcceptance.Float64(units.Percent), least, accuracy)
	}
	// A second channel doubles the bound.
	tr := good()
	tr.Temperatures = append(tr.Temperatures, channel("T2", InLoad, tr.Temperatures[0].Values))
	a := Analyze(accurate(tr, "1 K"), pair("134 Cel", "4 min"))
	assert.InDelta(t, 2*2.2750, a.GuardBand.FalseAcceptance.Float64(units.Percent), 1.01e-4)

	// The hold that the readings do not show has none.
	a = Analyze(accurate(good(), "1 K"), pair("134 Cel", "5 min"))
	assert.False(t, a.GuardBand.FalseAcceptance.IsValid())
	// At the very edge it is a toss-up.
	a = Analyze(accurate(good(), "1 K"), pair("135 Cel", "240 s"))
	assert.InDelta(t, 50, a.GuardBand.FalseAcceptance.Float64(units.Percent), 1e-9)
}

func TestGuardUnits(t *testing.T) {
	c := Analyze(accurate(good(), "0.5 K"), req134)
	f := good()
	f.Temperatures[0].Unit = units.Fahrenheit
	f.Temperatures[0].Values = each(f.Temperatures[0].Values, func(c float64) float64 { return c*1.8 + 32 })
	a := Analyze(accurate(f, "0.9 5.K/9"), req134)
	assert.InDelta(t, secs(c.GuardBand.Hold), secs(a.GuardBand.Hold), 2e-3)
	assert.Equal(t, c.GuardBand.FalseAcceptance, a.GuardBand.FalseAcceptance)
}

func TestGuardIsHonest(t *testing.T) {
	a := Analyze(good(), req134)
	assert.False(t, a.GuardBand.Hold.IsValid())
	assert.Contains(t, a.GuardBand.Detail.String(), "T1")
	a = Analyze(accurate(good(), "0 K"), req134)
	assert.False(t, a.GuardBand.Hold.IsValid(), "no sensor is perfect")
	a = Analyze(accurate(good(), "0.5 K"), Requirement{})
	assert.False(t, a.GuardBand.Hold.IsValid())
	_, err := json.Marshal(a)
	assert.NoError(t, err)
	// A better sensor never leaves less.
	before, chance := -1.0, 101.0
	for _, accuracy := range []string{"1.5 K", "1 K", "0.7 K", "0.5 K", "0.3 K", "0.1 K"} {
		a := Analyze(accurate(good(), accuracy), req134)
		assert.GreaterOrEqual(t, secs(a.GuardBand.Hold), before)
		assert.LessOrEqual(t, a.GuardBand.FalseAcceptance.Float64(units.Percent), chance)
		before, chance = secs(a.GuardBand.Hold), a.GuardBand.FalseAcceptance.Float64(units.Percent)
	}
	// A trace in the wrong unit has no guarded hold either.
	wrong := accurate(good(), "0.5 K")
	wrong.Temperatures[0].Values = each(wrong.Temperatures[0].Values, func(c float64) float64 { return c*1.8 + 32 })
	a = Analyze(wrong, req134)
	assert.True(t, a.Has(Implausible))
	assert.False(t, a.GuardBand.Hold.IsValid())
}

func TestFluctuation(t *testing.T) {
	// From 134 °C at the ends of the hold to 135 °C; the samples next to the
	// crossings are at 397 s (134.1375 °C) and 646 s (134.0833 °C).
	a := Analyze(good(), req134)
	assert.InDelta(t, 135-134.0833, a.Fluctuation.Float64(units.KelvinDifference), 0.006)
}
