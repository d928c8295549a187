package load

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
)

// What is not listed is counted in the last that is, and every pack is judged by what is
// not listed too.
func TestUnlistedFindingsAreCounted(t *testing.T) {
	r := good()
	r.Packs = nil
	for i := range mostOpen + 900 {
		p := goodPack(fmt.Sprintf("Q%d", i))
		p.Condition.Dry = no
		r.Packs = append(r.Packs, p)
	}
	report := Check(r, policy(t, "us-cdc-2003"))
	listed, more := 0, 0
	for _, f := range report.Findings {
		if f.Rule == "load.pack.wet" {
			listed, more = listed+1, more+f.More
			if f.More > 0 {
				assert.Contains(t, report.Message(f), "… and 900 more findings of this rule are not listed.")
			}
		}
	}
	assert.Equal(t, mostOpen, listed)
	assert.Equal(t, 900, more)
	assert.Contains(t, strings.Join(strings.Fields(report.Text()), " "), "and 900 more findings of this rule are not listed.")
	data, err := report.JSON()
	require.NoError(t, err)
	assert.Contains(t, string(data), `"more": 900`)
	for _, p := range report.Packs {
		assert.NotEqual(t, moistheat.Release, p.Disposition, p.ID)
	}
}
