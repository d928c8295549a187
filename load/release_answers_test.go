package load_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// A record without a release is asked for all of it at once.
func TestAReleaseIsAskedForAtOnce(t *testing.T) {
	policy, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	r := loadtest.Pouches()
	r.Release = nil
	found := false
	for _, q := range load.Check(r, policy).Questions() {
		if q.Act == "decide on the release" {
			found = true
			assert.Subset(t, q.Answers, []string{
				"/release/decision", "/release/by", "/release/time", "/release/authorised"})
		}
	}
	assert.True(t, found)
}
