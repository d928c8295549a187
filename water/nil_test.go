package water

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat"
	"example.com/moistheat/units"
)

// Nothing recorded is never a pass, and what is absent is not asked about.
func TestNil(t *testing.T) {
	assert.Empty(t, Check(Use{}))
	for _, f := range Check(Use{Sample: &Sample{}, Reservoir: &Reservoir{}}, nil, &Limits{}, limitsFor(t, "en-13060")) {
		assert.NotEqual(t, moistheat.Met, f.Outcome, f.Rule)
	}
	var l *Limits
	assert.Zero(t, l.Info())
	assert.Empty(t, l.Rows())
	assert.False(t, l.InForce(moistheat.Date{}))
}

// Why a reading decides nothing, as the words of the root package have it.
func TestReasons(t *testing.T) {
	const feed = `"point":"treated feed","treatment":"distilled"`
	for _, tt := range []struct {
		name, sample, limits, rule string
		want                       moistheat.Reason
	}{
		{"not measured", feed, "en-13060", "water.iron.over", moistheat.Unrecorded},
		{"a pen", feed + `,"residue":{"value":{"value":2,"unit":"mg/L"},"method":"conductivity pen"}`, "en-13060", "water.residue.over", moistheat.NotMeasurable},
		{"EN 285 leaves the temperature open", feed + `,"conductivity":{"value":{"value":5.2,"unit":"uS/cm"},"compensated":true,"reference":{"value":25,"unit":"Cel"}}`, "en-285", "water.conductivity.over", moistheat.BetweenLimits},
		{"8 mS/cm of distilled water", feed + `,"conductivity":{"value":{"value":8,"unit":"mS/cm"},"compensated":true,"reference":{"value":20,"unit":"Cel"}}`, "en-13060", "water.conductivity.over", moistheat.Contradictory},
		{"above stage 1", feed + `,"conductivity":{"value":{"value":1.9,"unit":"uS/cm"},"compensated":false,"temperature":{"value":25,"unit":"Cel"}}`, "usp-645", "water.conductivity.over", moistheat.NotYet},
		{"a row without a figure", `"point":"condensate"`, "htm-2031-1997", "water.sulphate.over", moistheat.NoLimit},
		{"a treatment that nobody names", `"point":"reservoir","treatment":"other"`, "en-13060", "water.kind.unfit", moistheat.NoLimit},
		{"one bottle for germs and chemistry", feed + `,"bacteria":{"value":{"value":5,"unit":"[CFU]/mL"}},"ph":{"value":{"value":6,"unit":"[pH]"}}`, "en-13060", "water.sample.rinsed", moistheat.Contradictory},
	} {
		f := findingOf(check(decode(t, tt.sample), limitsFor(t, tt.limits)), tt.rule)
		assert.Equal(t, moistheat.Undetermined, f.Outcome, tt.name)
		assert.Equal(t, tt.want, f.Reason, tt.name)
	}
}

// What cannot be carried or estimated is an error and never a figure.
func TestExtremes(t *testing.T) {
	_, err := Compensation{}.Convert(uS("1"), cel("25"), cel("20"))
	assert.Error(t, err)
	_, err = EstimateResidue(units.Conductivity{}, 0.5)
	assert.Error(t, err)
	assert.Equal(t, Compensation{}, Linear(2, units.Temperature{}))
}
