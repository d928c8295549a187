package cycle_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat/cycle"
	"example.com/moistheat/units"
)

// A copy of a trace is known by its readings, whatever it is called; any other reading,
// time, unit or place makes another trace.
func TestDigest(t *testing.T) {
	made := func(change func(*cycle.Trace)) string {
		tr := &cycle.Trace{
			Start: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC),
			Time:  cycle.TimeBase{Unit: units.Second, Values: []float64{0, 1, 2}},
			Temperatures: []cycle.TemperatureChannel{
				{ID: "T1", Place: cycle.Drain, Unit: units.Celsius, Values: []float64{20, 21, 22}},
				{ID: "T2", Place: cycle.Chamber, Unit: units.Celsius, Values: []float64{30, 31, 32}},
			},
			AbsolutePressures: []cycle.AbsolutePressureChannel{{ID: "P1", Place: cycle.Chamber, Unit: units.Kilopascal,
				Values: []float64{100, 99, 98}}},
		}
		change(tr)
		return tr.Digest()
	}
	first := made(func(*cycle.Trace) {})
	assert.Len(t, first, 64)
	for name, change := range map[string]func(*cycle.Trace){
		"another start":         func(tr *cycle.Trace) { tr.Start = tr.Start.AddDate(0, 0, 1) },
		"another sensor's name": func(tr *cycle.Trace) { tr.Temperatures[0].ID = "probe 7" },
		"channels turned round": func(tr *cycle.Trace) { slices.Reverse(tr.Temperatures) },
		"an accuracy, recorded": func(tr *cycle.Trace) {
			tr.Temperatures[0].Accuracy = units.MustParse[units.TemperatureDifferenceUnit]("0.5 K")
		},
	} {
		assert.Equal(t, first, made(change), name)
	}
	for name, change := range map[string]func(*cycle.Trace){
		"a reading":      func(tr *cycle.Trace) { tr.Temperatures[0].Values[1] = 21.1 },
		"a time":         func(tr *cycle.Trace) { tr.Time.Values[2] = 2.5 },
		"a place":        func(tr *cycle.Trace) { tr.Temperatures[0].Place = cycle.Chamber },
		"a unit":         func(tr *cycle.Trace) { tr.Temperatures[0].Unit = units.Fahrenheit },
		"a channel less": func(tr *cycle.Trace) { tr.AbsolutePressures = nil },
		"a sample less":  func(tr *cycle.Trace) { tr.Time.Values = tr.Time.Values[:2] },
		"readings exchanged": func(tr *cycle.Trace) {
			tr.Temperatures[0].Values, tr.Temperatures[1].Values = tr.Temperatures[1].Values, tr.Temperatures[0].Values
		},
		"a gauge for a meter": func(tr *cycle.Trace) {
			tr.AbsolutePressures = nil
			tr.GaugePressures = []cycle.GaugePressureChannel{{ID: "P1", Place: cycle.Chamber, Unit: units.KilopascalGauge,
				Values: []float64{100, 99, 98}}}
		},
	} {
		assert.NotEqual(t, first, made(change), name)
	}
	assert.Empty(t, (*cycle.Trace)(nil).Digest())
	assert.Empty(t, (&cycle.Trace{}).Digest())
}
