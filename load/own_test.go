package load

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/packaging"
	"example.com/moistheat/water"
)

// wet has a pack that came out wet, which the CDC's dental pages and the RACGP both speak of.
func wet() *Record {
	r := good()
	r.Packs[0].Condition.Dry = moistheat.No
	return r
}

// The documents that the policy follows are those cited, of the rule's, and a finding
// without one is marked.
func TestOwnDocumentsAreCited(t *testing.T) {
	for name, document := range map[string]string{
		"us-cdc-2003": "CDC dental infection control questions and answers, packaging and storing",
		"australia":   "RACGP Infection Prevention and Control Guidelines",
		"en-13060":    "",
	} {
		report := Check(wet(), policy(t, name))
		f := finding(t, report, "load.pack.wet", "/packs/0/condition")
		assert.Equal(t, document != "", f.Own, name)
		text := report.Text()
		if document == "" {
			assert.Contains(t, text, "load.pack.wet [fault], general practice: ")
			assert.Contains(t, strings.Join(strings.Fields(text), " "), "it counts as other rules do.")
			continue
		}
		assert.Equal(t, document, f.Sources.At(0).Document, name)
		rule, _ := Rule("load.pack.wet")
		assert.Less(t, f.Sources.Len(), rule.Sources.Len(), name)
		for s := range f.Sources.All() {
			assert.True(t, policy(t, name).follows(s), "%s: %s", name, s)
		}
		assert.Contains(t, text, "load.pack.wet [fault]: "+document[:20], name)
	}
}

// What a built-in policy names among its tables is of one of its documents.
func TestTablesAreOfOwnDocuments(t *testing.T) {
	for _, name := range Policies() {
		p := policy(t, name)
		follows := func(s moistheat.Source) { assert.True(t, p.follows(s), "%s: %s", name, s) }
		for _, id := range p.doc.Cycles {
			table, err := cycle.TableFor(id)
			require.NoError(t, err)
			for _, row := range table.Rows() {
				follows(row.Source)
			}
		}
		for _, id := range p.doc.Packaging {
			figures, err := packaging.FiguresFor(id)
			require.NoError(t, err)
			for _, f := range figures.All() {
				follows(f.Source)
			}
		}
		for _, id := range p.doc.Water {
			limits, err := water.LimitsFor(id)
			require.NoError(t, err)
			follows(limits.Info().Source)
		}
	}
}

// A policy may let general practice advise, by a decision; what can reject is not softened so,
// nor what is missing of it.
func TestGeneralPracticeAdvises(t *testing.T) {
	const head = `{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"us-cdc-2003"`
	const advises = `,"generalPractice":{"quarantine":false,"why":"our instructions are complete"}`
	_, err := ParsePolicy([]byte(head + advises + `}`))
	require.ErrorIs(t, err, moistheat.ErrInvalid, "it asks less, and nobody decided it")
	p, err := ParsePolicy([]byte(head + advises + `,"decision":{"by":"R. Amsel","date":"2026-01-05","reason":"as trained"}}`))
	require.NoError(t, err)

	r := good()
	r.Packs[0].Condition.Dropped = moistheat.Yes // no sentence of CDC 2003
	base, ours := Check(r, policy(t, "us-cdc-2003")), Check(r, p)
	assert.False(t, finding(t, ours, "load.pack.dropped", "/packs/0/condition").Own)
	assert.Equal(t, moistheat.Quarantine, finding(t, base, "load.pack.dropped", "/packs/0/condition").Effect.Pack)
	assert.Zero(t, finding(t, ours, "load.pack.dropped", "/packs/0/condition").Effect)
	assert.Equal(t, "may quarantine", base.Policy.GeneralPractice)
	assert.Equal(t, "only advises", ours.Policy.GeneralPractice)
	assert.Contains(t, ours.Text(), "as trained (decided by R. Amsel on 2026-01-05)")

	closed := good()
	closed.Packs[0].Seal.Intact = moistheat.NotRecorded // RACGP: broken, it rejects
	for _, policy := range []*Policy{policy(t, "us-cdc-2003"), p} {
		report := Check(closed, policy)
		f := finding(t, report, "packaging.seal.damaged", "/packs/0/seal")
		assert.False(t, f.Own)
		assert.Equal(t, moistheat.Quarantine, f.Effect.Pack)
	}
}

// Where a policy asks less than the one it builds on, every report says so.
func TestAsksLessIsSaid(t *testing.T) {
	for name, says := range map[string]string{
		"us-ar":         "CDC requires weekly tests",
		"us-ca-clinics": "CDC requires weekly tests",
		"scotland":      "manufacturer's schedule",
	} {
		report := Check(good(), policy(t, name))
		require.NotEmpty(t, report.Policy.AsksLess, name)
		assert.Contains(t, report.Policy.AsksLess[0], says, name)
	}
	for _, name := range []string{"us-ar", "us-ca-clinics"} {
		assert.Contains(t, policy(t, name).Title(), "less often than the CDC")
	}
	assert.Empty(t, Check(good(), policy(t, "us-cdc-2003")).Policy.AsksLess)
}

// What only practice of the trade asks is out of force by default, and no figure of
// arrangement has one: the facility says so, or its manufacturers do.
func TestPracticeAloneIsOptional(t *testing.T) {
	for _, r := range Rules() {
		practice := true
		for s := range r.Sources.All() {
			practice = practice && s.Basis == moistheat.CommonPractice
		}
		assert.True(t, !practice || r.Optional, r.ID)
		for _, name := range Policies() {
			_, inForce := policy(t, name).Rule(r.ID)
			assert.False(t, practice && inForce, "%s under %s", r.ID, name)
		}
	}
}
