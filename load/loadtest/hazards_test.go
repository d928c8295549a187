package loadtest_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load/loadtest"
)

// dangerous are rules whose remedy makes a person do what can injure, with a hazard of it:
// one at least of every sort of work of which the corpus has a record, a history, a stored
// pack or a plan.
var dangerous = map[string]moistheat.Hazard{
	"water.sample.flushed":      moistheat.BurnHazard,
	"load.door.early":           moistheat.PressureHazard,
	"cycle.aborted":             moistheat.PressureHazard,
	"load.purpose.unsuited":     moistheat.BoilingLiquidHazard,
	"load.cooling.handled":      moistheat.BurnHazard,
	"load.cooling.short":        moistheat.BurnHazard,
	"load.cooling.inside":       moistheat.BurnHazard,
	"water.reservoir.stale":     moistheat.ChemicalHazard,
	"water.bacteria.over":       moistheat.ChemicalHazard,
	"water.endotoxin.over":      moistheat.ChemicalHazard,
	"water.kind.unfit":          moistheat.ChemicalHazard,
	"packaging.item.uncleaned":  moistheat.BiologicalHazard,
	"packaging.hinge.closed":    moistheat.SharpHazard,
	"packaging.assembly.closed": moistheat.SharpHazard,
	"load.pack.damaged":         moistheat.SharpHazard,
	"packaging.sharp.exposed":   moistheat.SharpHazard,
	"packaging.guard.unvented":  moistheat.SharpHazard,
	"load.biological.positive":  moistheat.BiologicalHazard,
	"load.biological.void":      moistheat.BiologicalHazard,
	"load.biological.early":     moistheat.BiologicalHazard,
	"load.history.void":         moistheat.BiologicalHazard,
	"packaging.item.singleuse":  moistheat.SharpHazard,
	"packaging.patient.other":   moistheat.BiologicalHazard,
	"load.storage.laidout":      moistheat.SharpHazard,
	"load.storage.unread":       moistheat.BiologicalHazard,
	"load.history.outofuse":     moistheat.BiologicalHazard,
	"load.recall.positive":      moistheat.BiologicalHazard,
	"load.recall.implant":       moistheat.BiologicalHazard,
	"cycle.sensor.spike":        moistheat.ElectricalHazard,
	"cycle.sensor.stuck":        moistheat.ElectricalHazard,
	"packaging.mass.high":       moistheat.LiftingHazard,
	"packaging.mass.over":       moistheat.LiftingHazard,
	"load.prion.suspected":      moistheat.PrionHazard,
	"load.prion.shared":         moistheat.PrionHazard,
}

// Where what was found makes a person do what can injure, the text warns before it says what
// to do.
func TestWarningsOfCorpus(t *testing.T) {
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	shown := map[string]bool{}
	for _, v := range c.Vectors() {
		hazard, asked := dangerous[v.Rule]
		if !asked || v.Expect.Outcome != moistheat.Broken || !full() && shown[v.Rule] {
			continue
		}
		shown[v.Rule] = true
		doc, err := v.Document()
		require.NoError(t, err, v.ID)
		j, err := v.Judge(doc, nil)
		require.NoError(t, err, v.ID)
		text := ""
		if j.Report != nil {
			text = j.Report.Text()
		} else {
			text = j.Policy.Text(j.Findings)
		}
		text = strings.Join(strings.Fields(text), " ")
		rule, _ := j.Policy.Rule(v.Rule)
		remedy, _, _ := strings.Cut(rule.Remedy, "{")
		end := strings.Index(text, remedy+" "+v.Rule+" [")
		if remedy != rule.Remedy {
			end = strings.Index(text, remedy)
		}
		require.Positive(t, end, "%s: %s", v.ID, text)
		before := text[:end]
		warnings := before[max(strings.LastIndex(before, "] "), strings.LastIndex(before, " - ")):]
		assert.Regexp(t, "WARNING: [a-z, ]*"+string(hazard)+`[.,]`, warnings, v.ID)
		full := strings.Index(text, "WARNING: "+string(hazard)+". ")
		assert.True(t, full >= 0 && full < end, "%s: what protects is not said before %q", v.ID, remedy)
	}
	for rule := range dangerous {
		assert.True(t, shown[rule], "no vector breaks %s", rule)
	}
}
