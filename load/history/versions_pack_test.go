package history

import (
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
)

// What another record of a load says against one of its packs counts in the check of this one, and
// so does a record of another name of the same cycle: one chamber runs one cycle at once.
func TestCheckOfAnotherRecord(t *testing.T) {
	const start = "2026-03-09 09:00"
	p := policy(t, "us-cdc-2003")
	for name, edit := range map[string]func(*load.Record){
		"wet":       func(r *load.Record) { r.Packs[0].Condition.Dry = moistheat.No },
		"indicator": func(r *load.Record) { r.Packs[0].Indicators[1].Result = packaging.NotReached },
		"rejected":  func(r *load.Record) { r.Release.Decision = moistheat.Reject },
		"rejected, not said when": func(r *load.Record) {
			r.Release.Decision, r.Release.Time = moistheat.Reject, time.Time{}
		},
		"pack kept back": func(r *load.Record) { r.Packs[0].Decision = moistheat.Quarantine },
		"another record id": func(r *load.Record) {
			r.ID, r.Cycle.Printed.HoldTime = "5-second", units.New(60, 0, units.Second)
		},
		"wet, another id": func(r *load.Record) {
			r.ID = "5-second"
			for i := range r.Packs {
				r.Packs[i].Condition.Dry = moistheat.No
			}
		},
	} {
		h := New(p)
		other := ran("5", start)
		edit(other)
		h.Add(ran("5", start))
		h.Add(other)
		got := h.Check(ran("5", start))
		assert.False(t, got.Released(), name)
		assert.NotEqual(t, true, got.Packs[0].MayRelease, name)
	}
	h := New(p)
	less := ran("5", start)
	less.Packs[0].Condition.Dry = moistheat.NotRecorded
	h.Add(less)
	assert.True(t, h.Check(ran("5", start)).Released(), "said less, and nothing against it")
	h = New(p)
	early := ran("5", start)
	early.Release.Decision, early.Release.Time = moistheat.Quarantine, early.Release.Time.Add(-time.Minute)
	h.Add(early)
	assert.True(t, h.Check(ran("5", start)).Released(), "kept back until the later decision")
}
