package cycle

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/moistheat/cycle/steam"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What the accuracy leaves of a hold is the hold of the same trace with every reading
// lowered by it, and the margin is the largest of all that leave the hold long enough,
// tried one by one over the whole trace.
func TestGuardAgainstLoweredReadings(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	need := pair("134 Cel", "20 s")
	lowered := func(tr *Trace, kelvin float64) units.Duration {
		low := *tr
		low.Temperatures = nil
		for _, c := range tr.Temperatures {
			c.Values = each(c.Values, func(v float64) float64 { return v - kelvin })
			low.Temperatures = append(low.Temperatures, c)
		}
		return Analyze(&low, need).Hold
	}
	held, margins := 0, 0
	for range 60 {
		tr := accurate(random(r, 150), "0.2 K")
		a := Analyze(tr, need)
		want := lowered(tr, 0.2)
		require.InDelta(t, secs(want), secs(a.GuardBand.Hold), 2e-3)
		if secs(want) > 0 {
			held++
		}
		if a.Hold.Compare(need.Hold) < 0 {
			continue
		}
		margins++
		steps := 0 // of a hundredth of the accuracy
		for steps+1 < int(mostWidth/widthStep) && lowered(tr, 0.2*float64(steps+1)*widthStep).Compare(need.Hold) >= 0 {
			steps++
		}
		chance := func(steps int) float64 {
			p := float64(len(tr.Temperatures)) * math.Erfc(float64(steps)*widthStep*coverage/math.Sqrt2) / 2
			return min(100, math.Ceil(p*1e6)/1e4)
		}
		got := a.GuardBand.FalseAcceptance.Float64(units.Percent)
		// Readings that are lowered and limits that are raised round differently, so that
		// the last step may differ.
		assert.True(t, got <= chance(steps-1) && got >= chance(steps+1), "%g %% for %d steps", got, steps)
	}
	assert.Greater(t, held, 20)
	assert.Greater(t, margins, 10)
}

// plainStuck says of one thermometer whether it is stuck, as it is defined: for any
// two samples between which it shows one number, and for every way of cutting them.
func plainStuck(tr *Trace, k int) bool {
	own, times := tr.Temperatures[k].Values, tr.Time.Values
	distance := func(i int) float64 {
		least := math.Inf(1)
		for j, c := range tr.Temperatures {
			if j != k {
				least = min(least, math.Abs(c.Values[i]-own[i]))
			}
		}
		for _, m := range tr.AbsolutePressures {
			least = min(least, math.Abs(steam.SaturationTemperatureCelsius(m.Values[i])-own[i]))
		}
		return least
	}
	wait := func(v float64) float64 {
		if v >= hotCelsius {
			return stuckHotSeconds
		}
		return stuckSeconds
	}
	for near := 1; near < len(own); near++ {
		if own[near] != own[near-1] || distance(near) > nearKelvin {
			continue
		}
		for away := near + 1; away < len(own) && own[away] == own[near]; away++ {
			for i := away; i < len(own) && own[i] == own[near] && distance(i) > awayKelvin; i++ {
				if times[i]-times[away] >= wait(own[near]) {
					return true
				}
			}
		}
		for away := near - 1; own[near] >= hotCelsius && away > 0 && own[away] == own[near]; away-- {
			if own[away-1] != own[near] {
				break // the second of the equal readings counts
			}
			for i := away; i > 0 && own[i] == own[near] && own[i-1] == own[near] && distance(i) > awayKelvin; i-- {
				if times[away]-times[i] >= wait(own[near]) {
					return true
				}
			}
		}
	}
	return false
}

func TestStuckAgainstThePlainForm(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	seen := map[bool]int{}
	for range testrun.Sample(150, 3) {
		tr := pulsed()
		k, from, length := r.IntN(2), 1+r.IntN(1400), 5+r.IntN(200)
		freeze(tr.Temperatures[k].Values, from, min(from+length, len(tr.Time.Values)))
		want := plainStuck(tr, 0) || plainStuck(tr, 1)
		a := Analyze(tr, req134)
		require.Equal(t, want, a.Has(Stuck), "sensor %d from %d for %d", k, from, length)
		seen[want]++
	}
	assert.Greater(t, seen[true], 1)
	assert.Greater(t, seen[false], 1)
}
