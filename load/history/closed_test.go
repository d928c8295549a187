package history

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
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

// The zero values take everything in and answer, and nil ones take nothing in; what nobody
// gave a policy for is an internal fault.
func TestZeroTakesIn(t *testing.T) {
	at := time.Date(2026, 3, 9, 12, 0, 0, 0, time.UTC)
	for _, h := range []*History{{}, nil} {
		r := ran("1", "2026-03-09 09:00")
		h.AddStored(&StoredPack{Format: StoredFormat, Pack: "1-1", Record: "1"})
		h.AddStored(nil)
		h.AddEvent(event(calendar.LeakEvent, "2026-03-09 08:00", passed(yes)))
		h.AddEvent(nil)
		h.Add(r)
		h.Add(nil)
		require.NoError(t, h.AddReport(r, nil))
		require.NoError(t, h.Merge(nil))
		for _, f := range h.Findings(at) {
			require.NotEqual(t, moistheat.Met, f.Outcome, f.Rule)
		}
		assert.Len(t, h.Sterilizers(), map[bool]int{true: 0, false: 1}[h == nil])
	}
	for _, s := range []*Summary{{}, nil} {
		r := ran("1", "2026-03-09 09:00")
		s.AddEvent(nil)
		s.AddEvent(event(calendar.LeakEvent, "2026-03-09 08:00", passed(yes)))
		s.Add(r, nil)
		s.Add(r, load.Check(r, nil))
		s.Add(r, load.Check(ran("2", "2026-03-10 09:00"), policy(t, "us-cdc-2003")))
		require.NoError(t, s.Merge(nil))
		assert.Len(t, s.Sterilizers(), map[bool]int{true: 0, false: 1}[s == nil])
	}
	for _, s := range []*StoredPack{nil, kept()} {
		found := CheckStored(s, nil, moistheat.NewDate(2026, 3, 9))
		require.Len(t, found, 1)
		assert.Equal(t, moistheat.Internal, found[0].Outcome)
	}
}
