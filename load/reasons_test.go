package load_test

import (
	"encoding/json"
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// What a report in JSON may take at most, as a mean over the findings and rules of it.
const (
	mostFindingBytes = 300
	mostRuleBytes    = 1000
)

// judged calls f with the report of each vector and incident of the corpus that judges a
// record, under its policy.
func judged(t *testing.T, f func(name string, r *load.Report)) {
	t.Helper()
	corpus, err := loadtest.Conformance()
	require.NoError(t, err)
	n := 0
	for i, v := range corpus.Vectors() {
		if testing.Short() && i%20 != 0 || v.Subject != loadtest.SubjectRecord {
			continue
		}
		doc, err := v.Document()
		require.NoError(t, err)
		r, err := load.Decode(doc)
		require.NoError(t, err)
		name := "us-cdc-2003"
		_ = json.Unmarshal(v.Policy, &name) // a policy that stands in the vector is left
		p, err := load.PolicyFor(name)
		if err != nil {
			continue
		}
		f(v.ID, load.Check(r, p))
		n++
	}
	require.Greater(t, n, 100)
}

func TestReportsAreSmall(t *testing.T) {
	var findings, findingBytes, rules, ruleBytes, largestF, largestR int
	judged(t, func(name string, r *load.Report) {
		data, err := json.Marshal(r)
		require.NoError(t, err)
		var parts struct {
			Findings []json.RawMessage `json:"findings"`
			Rules    []json.RawMessage `json:"rules"`
		}
		require.NoError(t, json.Unmarshal(data, &parts))
		for _, f := range parts.Findings {
			findings++
			findingBytes += len(f)
			if len(f) > largestF {
				largestF = len(f)
				t.Log(string(f))
			}
		}
		assert.Empty(t, cmp.Diff(*r, back(t, r), exact))
		for _, f := range parts.Rules {
			rules++
			ruleBytes += len(f)
			if len(f) > largestR {
				largestR = len(f)
				t.Log(string(f))
			}
		}
	})
	t.Log(findings, findingBytes/findings, largestF, rules, ruleBytes/rules, largestR)
}

var exact = cmp.Exporter(func(reflect.Type) bool { return true })

func back(t *testing.T, r *load.Report) (out load.Report) {
	data, err := json.Marshal(*r)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, &out))
	require.Equal(t, r.Text(), out.Text())
	return out
}
