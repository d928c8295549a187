package loadtest_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
)

// dangerous is every sort of work of a remedy that can injure, with its rules and hazards,
// written down from the work. Rules of equipment tests have no vectors.
var dangerous = []struct {
	work, rules string
	hazards     []moistheat.Hazard
}{
	{"live steam is let out", "water.sample.flushed", []moistheat.Hazard{"burn"}},
	{"a chamber that may be under pressure is opened", "load.door.early cycle.aborted load.cooling.inside",
		[]moistheat.Hazard{"burn", "pressure"}},
	{"a load may be of liquids", "load.purpose.unsuited", []moistheat.Hazard{"burn", "boiling liquid"}},
	{"what is hot is moved or drained", "load.cooling.handled load.cooling.short water.reservoir.toppedup",
		[]moistheat.Hazard{"burn"}},
	{"a tank is drained and cleaned", "water.reservoir.overnight water.reservoir.stale water.reservoir.uncleaned " +
		"water.bacteria.over water.endotoxin.over water.kind.unfit", []moistheat.Hazard{"burn", "chemical"}},
	{"a pack is opened, and what is in it cleaned or taken apart",
		"packaging.item.uncleaned packaging.hinge.closed packaging.assembly.closed load.pack.damaged",
		[]moistheat.Hazard{"sharp", "biological"}},
	{"holes of points are searched", "packaging.sharp.exposed packaging.guard.unvented", []moistheat.Hazard{"sharp"}},
	{"live spores are grown", "load.biological.positive load.biological.void load.biological.early load.history.void",
		[]moistheat.Hazard{"biological"}},
	{"used items are discarded", "packaging.item.singleuse packaging.patient.other load.storage.laidout",
		[]moistheat.Hazard{"sharp", "biological"}},
	{"patients are found", "load.history.outofuse load.recall.positive load.recall.implant load.storage.unread",
		[]moistheat.Hazard{"biological"}},
	{"the sterilizer is worked on", "cycle.sensor.spike cycle.sensor.stuck", []moistheat.Hazard{"electrical"}},
	{"what is heavy is lifted", "packaging.mass.high packaging.mass.over", []moistheat.Hazard{"lifting"}},
	{"what may carry prions is found and kept apart",
		"load.prion.suspected load.prion.shared load.prion.prepared load.recall.prion",
		[]moistheat.Hazard{"biological", "prion"}},
	{"caustic is heated", "cycle.table.prion", []moistheat.Hazard{"chemical", "prion"}},
}

// Each sort of work has vectors that expect its hazards: one of each rule.
func TestHazardsOfVectors(t *testing.T) {
	expected := map[string][]moistheat.Hazard{}
	for _, v := range conformance(t).Vectors() {
		expected[v.Rule] = append(expected[v.Rule], v.Expect.Hazards...)
	}
	for _, d := range dangerous {
		for rule := range strings.FieldsSeq(d.rules) {
			assert.Subset(t, expected[rule], d.hazards, "%s: %s", rule, d.work)
		}
	}
}

// Where what was found makes a person do what can injure, the text warns before it says what
// to do.
func TestWarningsOfCorpus(t *testing.T) {
	shown := 0
	for _, v := range conformance(t).Vectors() {
		if v.Expect.Hazards == nil {
			continue
		}
		shown++
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
		for _, hazard := range v.Expect.Hazards {
			assert.Regexp(t, "WARNING: [a-z, ]*"+string(hazard)+`[.,]`, warnings, v.ID)
			full := strings.Index(text, "WARNING: "+string(hazard)+". ")
			assert.True(t, full >= 0 && full < end, "%s: what protects is not said before %q", v.ID, remedy)
		}
	}
	assert.Greater(t, shown, len(dangerous))
}
