package load

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// Of two tests of a kind at one instant the worse counts, in whatever order they stand.
func TestTestsOfOneInstant(t *testing.T) {
	for _, swapped := range []bool{false, true} {
		r := good()
		at := r.Cycle.Started.Add(-time.Hour)
		tests := []Test{{Kind: AirRemovalTest, Time: at, Passed: yes}, {Kind: AirRemovalTest, Time: at, Passed: no}}
		if swapped {
			tests[0], tests[1] = tests[1], tests[0]
		}
		r.Monitors.Tests = append(r.Monitors.Tests, tests...)
		rep := Check(r, policy(t, "us-cdc-2003"))
		assert.NotEqual(t, moistheat.Release, rep.Verdict.Load, "swapped: %v", swapped)
	}
}

// A type 5 indicator must not reach its end point in 63.6 % of a stated time
// (ISO 11140-1): of 18 min 11 min 27 s, and 10 K hotter 106 s, as the least values of the type
// fall from 16.5 min at 121 °C to 1.2 min at 135 °C.
func TestIntegratingIndicatorTooSoon(t *testing.T) {
	for _, c := range []struct {
		stated, hottest, held string
		want                  moistheat.Answer
	}{
		{"134 Cel", "134.4 Cel", "4 min", unknown},
		{"134 Cel", "134.4 Cel", "12 min", yes},
		{"124 Cel", "134 Cel", "105 s", unknown},
		{"124 Cel", "134 Cel", "106 s", yes},
	} {
		r := good()
		r.Cycle.Trace = nil
		r.Cycle.Printed = cycle.Printed{HoldTime: units.MustParse[units.DurationUnit](c.held),
			MaximumTemperature: units.MustParse[units.TemperatureUnit](c.hottest)}
		ch := newChecker(r, policy(t, "us-cdc-2003"))
		d := ch.doubt(&packaging.Indicator{Type: 5, Temperature: units.MustParse[units.TemperatureUnit](c.stated),
			Hold: units.MustParse[units.DurationUnit]("18 min")})
		assert.Equal(t, c.want, d.tells, c)
	}
}

// Cloth is porous and a textile whatever the traits of its item say.
func TestClothByItsMaterial(t *testing.T) {
	cloth := packaging.Item{Name: "cloth", HasTraits: no, HasLumens: no, Materials: []packaging.Material{packaging.Cloth}}
	p := packaging.Pack{Barrier: packaging.PaperFilmPouch, Items: []packaging.Item{cloth}}
	assert.Equal(t, cycle.TextilePacks, classOf(&p))
	p.Items[0].Materials = nil
	assert.Equal(t, cycle.WrappedInstruments, classOf(&p))
}
