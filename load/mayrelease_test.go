package load

import (
	"testing"

	"example.com/moistheat"
	"github.com/stretchr/testify/assert"
)

// Whoever kept a pack back, by itself or with its load, is heard whatever the evidence
// says; nobody who releases one makes it better.
func TestMayReleaseHearsDecisions(t *testing.T) {
	for _, c := range []struct {
		load, pack  moistheat.Disposition
		want, other bool // of the pack, and of the one beside it
	}{
		{moistheat.Release, 0, true, true},
		{moistheat.Release, moistheat.Reject, false, true},
		{moistheat.Release, moistheat.Quarantine, false, true},
		{moistheat.Reject, 0, false, false},
		{moistheat.Quarantine, 0, false, false},
		{moistheat.Quarantine, moistheat.Release, true, false},
		{moistheat.Reject, moistheat.Release, false, false},
	} {
		r := good()
		r.Release.Decision, r.Packs[0].Decision = c.load, c.pack
		rep := Check(r, policy(t, "us-cdc-2003"))
		assert.Equal(t, c.want, rep.Packs[0].MayRelease, c)
		assert.Equal(t, c.other, rep.Packs[1].MayRelease, c)
		assert.Equal(t, c.want && c.other, rep.Verdict.MayRelease, c)
		assert.Equal(t, rep.Verdict.MayRelease, rep.Released(), c)
		assert.Equal(t, moistheat.Release, rep.Verdict.Load, "by the evidence")
		if !rep.Released() {
			assert.Contains(t, rep.Text(), "kept back")
		}
	}
	r := good()
	r.Release.Decision = moistheat.Quarantine
	all := Check(r, policy(t, "us-cdc-2003")).Text()
	assert.Contains(t, all, "Verdict: KEPT BACK")
	assert.NotContains(t, all, "\n  release ", "in no row either")
	r.Packs[0].Condition.Dry = no
	assert.Contains(t, Check(r, policy(t, "us-cdc-2003")).Text(), "Verdict: KEPT BACK")
	r.Release.Decision, r.Packs[1].Decision = moistheat.Release, moistheat.Quarantine
	r.Packs[0].Condition.Dry = yes
	assert.Contains(t, Check(r, policy(t, "us-cdc-2003")).Text(),
		"Verdict: RELEASE, except 1 pack that a person kept back")
	r = good()
	r.Packs[0].Condition.Dry, r.Packs[0].Decision = no, moistheat.Release
	assert.False(t, Check(r, policy(t, "us-cdc-2003")).Packs[0].MayRelease)
}
