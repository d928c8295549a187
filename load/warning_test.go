package load

import (
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle/equipment"
	"example.com/moistheat/internal/ask"
	wordlist "example.com/moistheat/internal/words"
)

// hazardsAt are the hazards of what a rule's remedy makes a person do, written down from the
// work itself and not from the rules.
var hazardsAt = []struct {
	work, rules string
	hazards     []moistheat.Hazard
}{
	{"live steam is let out", "water.sample.flushed", []moistheat.Hazard{"burn"}},
	{"a chamber that may be hot and under pressure is opened", "load.door.early cycle.aborted",
		[]moistheat.Hazard{"burn", "pressure"}},
	{"a load may be of liquids", "load.purpose.unsuited", []moistheat.Hazard{"burn", "boiling liquid"}},
	{"a hot load is unloaded", "load.cooling.handled load.cooling.short", []moistheat.Hazard{"burn"}},
	{"a chamber is opened at the end of a cycle", "load.cooling.inside", []moistheat.Hazard{"burn", "pressure"}},
	{"a tank of hot water is drained", "water.reservoir.toppedup", []moistheat.Hazard{"burn"}},
	{"a tank is drained and cleaned", "water.reservoir.overnight water.reservoir.stale water.reservoir.uncleaned " +
		"water.bacteria.over water.endotoxin.over water.kind.unfit", []moistheat.Hazard{"burn", "chemical"}},
	{"a pack is opened and what is in it cleaned or taken apart", "packaging.item.uncleaned packaging.item.uninspected " +
		"packaging.item.wet packaging.hinge.closed packaging.assembly.closed load.pack.damaged load.pack.wet " +
		"load.pack.repacked load.fit.narrow load.fit.wide", []moistheat.Hazard{"sharp", "biological"}},
	{"a set is counted by hand", "load.set.differs packaging.loan.unproven", []moistheat.Hazard{"sharp"}},
	{"bare instruments are packed", "packaging.immediate.convenience packaging.immediate.implant " +
		"packaging.immediate.unfounded packaging.implant.unwrapped packaging.powered.unpacked " +
		"packaging.unwrapped.stored", []moistheat.Hazard{"sharp"}},
	{"what was run is unpacked, packed and run again", "cycle.equilibration.long cycle.hold.margin " +
		"cycle.sensor.stuck load.arrangement.opening load.arrangement.stacked load.challenge.missing " +
		"load.code.mismatch load.fit.nonporous load.implant.unintegrated load.implant.untested load.implant.void " +
		"load.pattern.unvalidated load.pouch.enclosed load.purpose.packed load.purpose.unsuited " +
		"load.sterilizer.limited load.sterilizer.outofservice load.sterilizer.suspect load.tray.solid " +
		"load.tray.touching packaging.immediate.uncovered packaging.immediate.unindicated",
		[]moistheat.Hazard{"sharp"}},
	{"holes of points are searched", "packaging.sharp.exposed packaging.guard.unvented", []moistheat.Hazard{"sharp"}},
	{"live spores are grown", "load.biological.positive load.biological.void load.biological.early load.history.void " +
		"load.positive.late load.positive.repeat load.recall.positive", []moistheat.Hazard{"biological"}},
	{"used items are discarded", "packaging.item.singleuse packaging.patient.other load.storage.laidout",
		[]moistheat.Hazard{"sharp", "biological"}},
	{"patients are found", "load.history.outofuse load.storage.unread load.storage.unreleased load.recall.implant " +
		"load.recall.leak load.recall.penetration load.recall.positive load.recall.released load.recall.setting " +
		"load.recall.unbounded load.recall.unlabelled load.recall.untraced", []moistheat.Hazard{"biological"}},
	{"the sterilizer is worked on", "cycle.sensor.spike cycle.sensor.stuck load.test.uncorrected " +
		"load.test.contradicted load.recall.sensor", []moistheat.Hazard{"electrical"}},
	{"a sterilizer that may be hot is worked on", "equipment.leak.rate", []moistheat.Hazard{"burn", "electrical"}},
	{"steam pipes are worked on", "equipment.steam.gas equipment.steam.superheated equipment.steam.wet",
		[]moistheat.Hazard{"burn", "pressure", "electrical"}},
	{"what is heavy is lifted", "packaging.mass.high packaging.mass.over", []moistheat.Hazard{"lifting"}},
	{"what carries prions is handled", "load.prion.suspected load.prion.shared load.prion.prepared " +
		"load.recall.prion",
		[]moistheat.Hazard{"biological", "prion"}},
	{"caustic is heated", "cycle.table.prion", []moistheat.Hazard{"chemical", "prion"}},
}

// Every work that can injure is marked so at its rules.
func TestHazards(t *testing.T) {
	all := append(Rules(), equipment.Rules()...)
	for _, want := range hazardsAt {
		for id := range strings.FieldsSeq(want.rules) {
			at := slices.IndexFunc(all, func(r moistheat.Rule) bool { return r.ID == id })
			require.GreaterOrEqual(t, at, 0, id)
			rule := all[at]
			for _, h := range want.hazards {
				assert.Contains(t, slices.Collect(rule.Hazards.All()), h, "%s: %s", id, want.work)
			}
		}
	}
}

// A rule whose remedy names work of some sort names the hazards of that work, and every rule
// names words of the list, each once and in its order.
func TestHazardsOfRemedies(t *testing.T) {
	work := map[string][]moistheat.Hazard{
		`(?i)open the pack|open it,|repack|split the set`:                          {"sharp"},
		`(?i)clean (the item|\{item\})|clean and repack|(^|[^t] )reprocess`:        {"sharp", "biological"},
		`(?i)(sterilize|run) (the|it|instruments)\b[^.]* again|repeat it in`:       {"sharp"},
		`(?i)\bpack (and|the (item|implant)\b)[^.]*sterilize|count the set`:        {"sharp"},
		`(?i)\bdrain(ed)?\b.*\btank|tank.*\bdrained`:                               {"burn"},
		`(?i)clean.* tank|tank, clean`:                                             {"burn", "chemical"},
		`(?i)the door\b`:                                                           {"burn"},
		`(?i)indicator is read|read the indicators?\b|BI test`:                     {"biological"},
		`(?i)\brecall (the|every|and|those|back)`:                                  {"biological"},
		`(?i)technician (inspect|has inspected)|call service|service visit|wiring`: {"electrical"},
		`(?i)sterilizer inspected|sensor (adjusted|inspected|replaced)|leak found`: {"electrical"},
		`(?i)take the load out`:                                                    {"burn", "pressure"},
		`(?i)infection control`:                                                    {"biological", "prion"},
		`(?i)liquids`:                                                              {"burn", "boiling liquid"},
	}
	all := append(Rules(), equipment.Rules()...)
	list := wordlist.Of(reflect.TypeFor[moistheat.Hazard]())
	for pattern, hazards := range work {
		matched := 0
		for _, r := range all {
			if !regexp.MustCompile(pattern).MatchString(r.Remedy) {
				continue
			}
			matched++
			for _, h := range hazards {
				assert.Contains(t, slices.Collect(r.Hazards.All()), h, "%s: %s", r.ID, r.Remedy)
			}
		}
		assert.NotZero(t, matched, pattern)
	}
	for _, r := range all {
		last := -1
		for h := range r.Hazards.All() {
			at := slices.Index(list, string(h))
			assert.Greater(t, at, last, "%s: %s", r.ID, h)
			last = at
		}
	}
}

// Each hazard has one sentence and its sources; a file of rules with another is refused.
func TestWarnings(t *testing.T) {
	var have []string
	for _, w := range warnings() {
		have = append(have, string(w.Hazard))
		assert.Regexp(t, `^[A-Z][^.]*\.$`, w.Sentence, "one sentence")
		assert.LessOrEqual(t, len(strings.Fields(w.Sentence)), 35, w.Hazard)
		require.NotZero(t, w.Sources.Len(), w.Hazard)
		for s := range w.Sources.All() {
			assert.NotEmpty(t, s.Document)
			assert.NotZero(t, s.Basis)
		}
	}
	assert.Equal(t, wordlist.Of(reflect.TypeFor[moistheat.Hazard]()), have)

	_, err := ask.Parse([]byte(`{"format": "moistheat.rules/1", "rules": [{"id": "a.b", "hazards": ["burns"]}]}`))
	assert.ErrorContains(t, err, `did you mean "burn"?`)
}

// The warning stands before the action: in full where it comes first, by its name where it
// comes again, and with its source at the end.
func TestWarningInText(t *testing.T) {
	r := good()
	r.Packs[0].Condition.Dry, r.Packs[1].Condition.Intact = no, no
	r.Packs[0].Items[0].Preparation.Cleaned = no
	report := Check(r, policy(t, "us-cdc-2003"))
	text := strings.Join(strings.Fields(report.Text()), " ")
	for _, w := range report.Warnings { // some are for what is not recorded, where nothing is to be done yet
		if w.Hazard != moistheat.SharpHazard && w.Hazard != moistheat.BiologicalHazard {
			assert.NotContains(t, text, w.Sentence)
			continue
		}
		assert.Equal(t, 1, strings.Count(text, w.Sentence), w.Hazard)
		assert.Contains(t, text, "- "+string(w.Hazard)+": "+w.Sources.At(0).String())
	}
	first := strings.Index(text, "WARNING: sharp. ")
	again := strings.Index(text, "WARNING: sharp, biological, as above.")
	require.Positive(t, first)
	assert.Greater(t, again, first)
	for _, id := range []string{"load.pack.wet", "load.pack.damaged", "packaging.item.uncleaned"} {
		rule, _ := Rule(id)
		i := strings.Index(text, rule.Remedy+" "+id)
		require.Positive(t, i, id)
		assert.Greater(t, strings.LastIndex(text[:i], "WARNING: "), strings.LastIndex(text[:i], "- Pack"), id)
	}
	assert.Contains(t, text, "The safety instructions of the sterilizer come before the warnings")

	clean := Check(good(), policy(t, "us-cdc-2003"))
	assert.NotContains(t, clean.Text(), "WARNING")
	assert.NotContains(t, clean.Text(), "come before the warnings")
}

// The answer to another question than release says what to do, what protects, from where
// it comes, and the closing line.
func TestTextOfFindings(t *testing.T) {
	r := good()
	r.Packs[0].Items[0].Preparation.Cleaned = no
	p := policy(t, "us-cdc-2003")
	text := strings.Join(strings.Fields(p.Text(CheckPacking(r, p))), " ")
	rule, _ := Rule("packaging.item.uncleaned")
	before, after, found := strings.Cut(text, rule.Remedy)
	require.True(t, found, text)
	assert.Contains(t, before, "WARNING: sharp. ")
	assert.Contains(t, before, "Pack P1: ")
	assert.Contains(t, after, rule.Sources.At(0).Document)
	assert.True(t, strings.HasSuffix(after, moistheat.Disclaimer))

	// What is merely not recorded calls for no such work.
	r.Packs[0].Items[0].Preparation.Cleaned = unknown
	text = p.Text(slices.DeleteFunc(CheckPacking(r, p), func(f moistheat.Finding) bool { return f.Rule != rule.ID }))
	assert.Contains(t, text, "What is not recorded")
	assert.NotContains(t, text, "WARNING")

	none := (*Policy)(nil).Text(nil)
	assert.Contains(t, none, "Nothing is open.")
	assert.Contains(t, none, "decision")
}
