package loadtest_test

import (
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// incident is a story with the verdict that the documents give it, written before the
// library was asked. corpus/README.md describes the format.
type incident struct {
	Format    string             `json:"format"`
	ID        string             `json:"id"`
	Side      string             `json:"side"` // unsafe or good
	Title     string             `json:"title"`
	Place     string             `json:"place"`
	Act       string             `json:"act"`
	Wrong     string             `json:"wrong"`
	Documents []moistheat.Source `json:"documents"`
	Base      string             `json:"base,omitzero"`
	At        time.Time          `json:"at,omitzero"` // of a history, where it is not that of the base
	Patch     []loadtest.Op      `json:"patch,omitzero"`
	Record    json.RawMessage    `json:"record,omitzero"` // where no base is patched
	Expect    []expectation      `json:"expect"`
}

// expectation is the verdict of some policies. What is absent the documents leave open.
type expectation struct {
	Policies   []string                `json:"policies"`
	Load       moistheat.Disposition   `json:"load,omitzero"`
	Packs      []moistheat.Disposition `json:"packs,omitzero"`
	Sterilizer moistheat.Service       `json:"sterilizer,omitzero"`
	Recall     moistheat.Answer        `json:"recall,omitzero"`
	Rule       string                  `json:"rule"` // the one that decides
	Outcome    moistheat.Outcome       `json:"outcome"`
	Why        string                  `json:"why"`
}

// differences says in what a judgement is not as expected.
func (e *expectation) differences(j *loadtest.Judgement) (out []string) {
	differ := func(what string, want, got any) {
		out = append(out, fmt.Sprintf("%s: want %v, got %v", what, want, got))
	}
	n := map[moistheat.Outcome]int{}
	for _, f := range j.Findings {
		if f.Rule == e.Rule {
			n[f.Outcome]++
		}
	}
	if r := j.Report; r != nil {
		if e.Load != 0 && e.Load != r.Verdict.Load {
			differ("load", e.Load, r.Verdict.Load)
		}
		if e.Sterilizer != 0 && e.Sterilizer != r.Verdict.Sterilizer {
			differ("sterilizer", e.Sterilizer, r.Verdict.Sterilizer)
		}
		if e.Recall != moistheat.NotRecorded && (e.Recall == moistheat.Yes) != r.Verdict.Recall {
			differ("recall", e.Recall, r.Verdict.Recall)
		}
		var packs []moistheat.Disposition
		for _, p := range r.Packs {
			packs = append(packs, p.Disposition)
		}
		if e.Packs != nil && !slices.Equal(e.Packs, packs) {
			differ("packs", e.Packs, packs)
		}
		if i := slices.IndexFunc(r.Counts, func(t load.Tally) bool { return t.Rule == e.Rule }); i >= 0 {
			n[moistheat.NotApplicable], n[moistheat.NotInForce] = r.Counts[i].NotApplicable, r.Counts[i].NotInForce
		}
	}
	if _, ok := load.Rule(e.Rule); !ok {
		return append(out, "there is no rule "+e.Rule)
	}
	open := n[moistheat.Broken] + n[moistheat.Undetermined] + n[moistheat.Internal]
	silent := e.Outcome == moistheat.NotApplicable || e.Outcome == moistheat.NotInForce
	if e.Outcome == moistheat.Met && open > 0 || silent && open+n[moistheat.Met] > 0 || !silent && n[e.Outcome] == 0 {
		differ(e.Rule, e.Outcome, n)
	}
	return out
}

// pendingIncidents lists incidents that the library does not judge as written yet, a line
// each: id, a space, policy. It is exact: one that is judged as written fails the test, too.
const pendingIncidents = "testdata/incidents-pending.txt"

func TestIncidents(t *testing.T) {
	t.Parallel()
	pending := map[string]bool{}
	data, err := os.ReadFile(pendingIncidents)
	require.NoError(t, err)
	for line := range strings.Lines(string(data)) {
		pending[strings.TrimSpace(line)] = true
	}
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	files, err := filepath.Glob("corpus/incidents/*.json")
	require.NoError(t, err)
	bases := map[string]*loadtest.Base{}
	for _, b := range c.Bases() {
		bases[b.Name] = b
	}
	deciding, sides, pairs := map[string]string{}, map[string]int{}, map[string]bool{}
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		in, err := strictjson.Read[incident](data, strictjson.Default(), "moistheat.incident/1")
		require.NoError(t, err, file)
		require.Equal(t, filepath.Base(file), in.ID+".json")
		sides[in.Side]++
		for _, text := range []string{in.Title, in.Place, in.Act, in.Wrong} {
			assert.NotEmpty(t, text, in.ID)
		}
		require.NotEmpty(t, in.Documents, in.ID)
		doc, asks := []byte(in.Record), &loadtest.Vector{Subject: loadtest.SubjectRecord}
		if in.Base != "" {
			require.Contains(t, bases, in.Base, in.ID)
			doc, err = bases[in.Base].Document(in.Patch...)
			require.NoError(t, err, in.ID)
			b := bases[in.Base]
			asks = &loadtest.Vector{Subject: b.Subject, At: cmp.Or(in.At, b.At), On: b.On}
		}
		decides := map[string]bool{}
		for _, e := range in.Expect {
			assert.NotEmpty(t, e.Why, in.ID)
			decides[e.Rule+" "+in.Side] = true
			for _, name := range e.Policies {
				id := in.ID + " " + name
				pairs[id] = true
				p, err := load.PolicyFor(name)
				if err != nil {
					assert.True(t, pending[id], "%s: %v", id, err)
					continue
				}
				j, err := asks.Judge(doc, p)
				require.NoError(t, err, id)
				differences := e.differences(j)
				if (differences != nil) != pending[id] {
					t.Errorf("%s: pending is %t, and:\n\t%s", id, pending[id], strings.Join(differences, "\n\t"))
				}
			}
		}
		for d := range decides {
			assert.Empty(t, deciding[d], "%s and %s have the same deciding rule and side: %s", in.ID, deciding[d], d)
			deciding[d] = in.ID
		}
	}
	for id := range pending {
		assert.True(t, pairs[id], "no such incident is pending: %s", id)
	}
	t.Log(len(files), "stories,", sides, len(pairs), "with their policies,", len(pending), "pending")
}
