package loadtest_test

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load/loadtest"
)

var rewrite = flag.Bool("outcomes", false, "write down the outcomes of the corpus under a version that ends in -dev")

const outcomesFile = "testdata/outcomes.json"

// One version of the library gives one outcome. The file holds a digest of the outcomes
// of each file of vectors, by version. A version that ends in -dev is not out yet: after
// a deliberate change,
//
//	go test ./load/loadtest -run TestOutcomesOfVersion -outcomes
//
// writes its outcomes down again. Those of a version that is out never change.
func TestOutcomesOfVersion(t *testing.T) {
	if testing.Short() {
		t.Skip("judges the whole corpus once more")
	}
	data, err := os.ReadFile(outcomesFile)
	require.NoError(t, err)
	versions := map[string]map[string]string{}
	require.NoError(t, json.Unmarshal(data, &versions))
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	_, outcomes := judged()
	now := map[string]string{}
	for name, f := range c.Files() {
		h := sha256.New()
		for _, v := range f.Vectors {
			require.NotEmpty(t, outcomes[v.ID], v.ID)
			fmt.Fprint(h, outcomes[v.ID])
		}
		now[name] = hex.EncodeToString(h.Sum(nil))
	}
	dev := strings.HasSuffix(moistheat.Version, "-dev")
	if *rewrite && dev {
		versions[moistheat.Version] = now
		data, err := json.MarshalIndent(versions, "", "  ")
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(outcomesFile, append(data, '\n'), 0o644))
		return
	}
	var changed []string
	for name := range now {
		if now[name] != versions[moistheat.Version][name] {
			changed = append(changed, name)
		}
	}
	slices.Sort(changed)
	switch {
	case changed == nil && len(now) == len(versions[moistheat.Version]):
	case dev:
		t.Errorf("outcomes of the corpus changed in %v; if that is meant, run this test with -outcomes", changed)
	default:
		t.Errorf("outcomes of the corpus changed under version %s in %v; raise the version", moistheat.Version, changed)
	}
}

// outcome is what a judgement of a vector came to, as text.
func outcome(v *loadtest.Vector, j *loadtest.Judgement) string {
	var lines []string
	for _, f := range j.Findings {
		lines = append(lines, fmt.Sprintln(foundIn(f), f.Waiver != nil, f.Measured, f.Limit, f.Table))
	}
	slices.Sort(lines)
	text := fmt.Sprintln(v.ID, lines)
	if j.Report != nil {
		text += fmt.Sprintln(j.Report.Verdict, j.Report.Packs)
	}
	return text
}
