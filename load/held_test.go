package load_test

import (
	"encoding/json"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
)

func printed(t *testing.T, policy string) (*load.Record, *load.Policy) {
	t.Helper()
	data, err := os.ReadFile("../examples/printed/" + policy + ".json")
	require.NoError(t, err)
	r, err := load.Decode(data)
	require.NoError(t, err)
	p, err := load.PolicyFor(policy)
	require.NoError(t, err)
	return r, p
}

// A pack that is held says by what, also where so many are that not all findings are listed: then
// by the one that says how many more there are.
func TestEachHeldPackSaysWhy(t *testing.T) {
	r, p := printed(t, "us-cdc-2003")
	pack := r.Packs[0]
	pack.Condition.Dry = moistheat.No
	r.Packs = nil
	for i := range 155 {
		pack.ID = "P" + strconv.Itoa(i)
		r.Packs = append(r.Packs, pack)
	}
	report := load.Check(r, p)
	require.NotZero(t, report.Omitted)
	for _, v := range report.Packs {
		require.Equal(t, moistheat.Reject, v.Disposition)
		if assert.NotEmpty(t, v.DecidedBy, v.ID) {
			f := report.Findings[v.DecidedBy[0]]
			assert.Equal(t, "load.pack.wet", f.Rule)
			assert.True(t, f.Pack == v.ID || f.More > 0, v.ID)
		}
	}
}

// Before what is to be found out stands what protects whoever does it.
func TestWarnsBeforeFindingOut(t *testing.T) {
	r, p := printed(t, "us-cdc-2003")
	r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Implant}
	r.Packs[0].Items[0].HasTraits = moistheat.NotRecorded
	r.Monitors.Biologicals = []load.Biological{{Result: load.Pending}}
	report := load.Check(r, p)
	for name, text := range map[string]string{"report": report.Text(), "answer": p.Text(report.Findings)} {
		warning := strings.Index(text, "WARNING: biological. ")
		act := strings.Index(text, "- Read the biological indicator test")
		assert.Positive(t, warning, name)
		assert.Greater(t, act, warning, name)
		assert.Contains(t, text, "- biological: ", name) // on what it rests
	}
	at := slices.IndexFunc(report.Questions(), func(q load.Question) bool { return q.Act == "read the biological test" })
	require.GreaterOrEqual(t, at, 0)
	assert.Equal(t, []moistheat.Hazard{moistheat.BiologicalHazard}, report.Questions()[at].Hazards)
	of := func(w load.Warning) bool { return w.Hazard == moistheat.BiologicalHazard }
	assert.True(t, slices.ContainsFunc(report.Warnings, of))
}

// What is done in one go has the hazards of each of its parts.
func TestHazardsOfActs(t *testing.T) {
	data, err := os.ReadFile("data/acts.json")
	require.NoError(t, err)
	var doc struct {
		Acts []struct {
			ID, Of  string
			Hazards []string
		}
	}
	require.NoError(t, json.Unmarshal(data, &doc))
	of := map[string][]string{}
	for _, a := range doc.Acts {
		of[a.ID] = a.Hazards
	}
	n := 0
	for _, a := range doc.Acts {
		for _, h := range a.Hazards {
			n++
			if a.Of != "" {
				assert.Contains(t, of[a.Of], h, a.Of)
			}
		}
	}
	assert.NotZero(t, n)
}

// The number in a heading is that of the entries below it, and each entry about what is not met
// says why and what to do.
func TestSectionsCountWhatTheyList(t *testing.T) {
	r, p := printed(t, "us-cdc-2003")
	r.Packs = append(r.Packs, r.Packs[0])
	r.Packs[1].ID = "P2"
	for i := range r.Packs {
		r.Packs[i].Condition.Dry, r.Packs[i].Condition.Intact = moistheat.No, moistheat.NotRecorded
	}
	r.Cycle.Aborted = moistheat.Yes
	report := load.Check(r, p)
	for name, text := range map[string]string{"report": report.Text(), "answer": p.Text(report.Findings)} {
		sections := 0
		for _, s := range strings.Split(text, "\n\n") {
			head, list, _ := strings.Cut(s, "\n")
			from, to := strings.IndexByte(head, '('), strings.IndexByte(head, ')')
			if !strings.HasPrefix(head, "Requirements not met (") && !strings.HasPrefix(head, "What is not recorded (") {
				continue
			}
			sections++
			assert.Equal(t, head[from+1:to], strconv.Itoa(strings.Count("\n"+list, "\n- ")), "%s: %s", name, s)
			if strings.HasPrefix(head, "Requirements") {
				assert.Equal(t, head[from+1:to], strconv.Itoa(strings.Count(list, "    Why: ")), "%s: %s", name, s)
			}
		}
		assert.NotZero(t, sections, name)
	}
}
