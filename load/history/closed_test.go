package history

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
)

// Under a policy that knows nothing no stored pack and no history passes.
func TestUnderNoPolicyNothingPasses(t *testing.T) {
	for _, f := range CheckStored(kept(), &load.Policy{}, moistheat.NewDate(2026, 3, 9)) {
		assert.NotEqual(t, moistheat.Met, f.Outcome, f.Rule)
	}
	h := &History{}
	for _, f := range h.Findings(time.Date(2026, 3, 9, 12, 0, 0, 0, time.UTC)) {
		assert.NotEqual(t, moistheat.Met, f.Outcome, f.Rule)
	}
}

// A word that no document may use hides no rule.
func TestInvalidStoredPackIsSaid(t *testing.T) {
	p, err := load.PolicyFor("germany")
	require.NoError(t, err)
	s := kept()
	s.Place = "Protected"
	found := CheckStored(s, p, moistheat.NewDate(2026, 3, 9))
	assert.Equal(t, "load.record.invalid", found[0].Rule)
	assert.Equal(t, moistheat.Broken, found[0].Outcome)
}

// An event of no kind is not taken for a load.
func TestEventOfNoKind(t *testing.T) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	h := New(p)
	h.AddEvent(&Event{ID: "1", Sterilizer: "S1", Time: time.Date(2026, 3, 9, 12, 0, 0, 0, time.UTC)})
	assert.Empty(t, h.Sterilizers())
}
