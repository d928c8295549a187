package history

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
)

const whileOut = "load.sterilizer.outofservice"

// CDC 2003, F.8 and F.9: from the time when the positive result is known the sterilizer is
// out of service; one negative repeat in the same kind of cycle ends it. The spores of the
// run on Monday at 8:00 were incubated for 24 hours.
func TestCheckOutOfService(t *testing.T) {
	grew := ran("1", "2026-03-09 08:00", bio(load.Positive)) // ends 8:50, read on Tuesday at 8:50
	repeat := runWithSpores("2026-03-10 12:00", load.Negative)
	for _, tt := range []struct {
		name, at string
		what     []any
		want     moistheat.Outcome
	}{
		{"before the result was known", "2026-03-09 15:00", []any{grew}, met},
		{"in the last minute", "2026-03-10 08:49", []any{grew}, met},
		{"when it was known", "2026-03-10 08:50", []any{grew}, broken},
		{"days later", "2026-03-13 08:00", []any{grew}, broken},
		{"before the repeat was read", "2026-03-11 11:59", []any{grew, repeat}, broken},
		{"after the repeat was read", "2026-03-11 12:00", []any{grew, repeat}, met},
		{"of another sterilizer", "2026-03-10 15:00", []any{ran("1", "2026-03-09 08:00", bio(load.Positive),
			func(r *load.Record) { r.Sterilizer.ID = "S2" })}, met},
		{"by a failed leak test", "2026-03-10 15:00", []any{event(calendar.LeakEvent, "2026-03-10 07:00", passed(no))},
			broken},
		{"after it was passed", "2026-03-10 15:00", []any{event(calendar.LeakEvent, "2026-03-10 07:00", passed(no)),
			event(calendar.LeakEvent, "2026-03-10 11:00", passed(yes))}, met},
		{"by an aborted cycle", "2026-03-10 15:00", []any{ran("1", "2026-03-10 08:00",
			func(r *load.Record) { r.Cycle.Aborted = yes })}, broken},
		{"returned without evidence", "2026-03-10 15:00", []any{grew, event(calendar.ReturnedEvent, "2026-03-10 10:00")},
			broken},
	} {
		h := history(t, "us-cdc-2003", tt.what...)
		r := ran("9", tt.at)
		for _, in := range []string{"not in the history", "in the history"} {
			report := h.Check(r)
			got := outcome(report, whileOut, "/cycle/started")
			if tt.want == met {
				assert.NotEqual(t, broken, got, "%s, %s", tt.name, in)
				assert.True(t, report.Released(), "%s, %s:\n%s", tt.name, in, report)
			} else {
				assert.Equal(t, broken, got, "%s, %s", tt.name, in)
				assert.Equal(t, moistheat.Quarantine, report.Verdict.Load, "%s, %s", tt.name, in)
			}
			h.Add(r)
		}
	}
}

// No load is out of service by its own result, and not by what came after it.
func TestCheckItself(t *testing.T) {
	for _, edit := range []func(*load.Record){
		bio(load.Positive), func(r *load.Record) { r.Cycle.Aborted = yes }, func(r *load.Record) {},
	} {
		r := ran("1", "2026-03-09 08:00", edit)
		h := history(t, "us-cdc-2003", r, event(calendar.LeakEvent, "2026-03-09 12:00", passed(no)))
		report := h.Check(r)
		assert.NotEqual(t, broken, outcome(report, whileOut, "/cycle/started"))
		assert.Equal(t, load.Check(r, policy(t, "us-cdc-2003")).Verdict, report.Verdict)
		assert.Equal(t, r.Cycle.Started, h.Known(r).At)
	}
}

// Nothing that the history knows is typed again: a record that mentions no test is
// released by those in the history.
func TestCheckKnowsTests(t *testing.T) {
	bare := ran("9", "2026-03-10 09:00", func(r *load.Record) { r.Monitors = load.Monitors{} })
	tests := []any{
		ran("1", "2026-03-09 08:00", bio(load.Negative)),
		event(calendar.AirRemovalEvent, "2026-03-10 07:30", passed(yes),
			func(e *Event) { e.Chamber = calendar.EmptyChamber }),
		event(calendar.LeakEvent, "2026-03-10 07:45", passed(yes)),
	}
	for _, name := range load.Policies() {
		assert.False(t, load.Check(bare, policy(t, name)).Released(), name)
		h := history(t, name, tests...)
		for _, f := range h.Check(bare).Findings {
			if f.Rule == "load.biological.overdue" || f.Rule == "load.daily.penetration" || f.Rule == "load.daily.leak" {
				assert.Less(t, f.Outcome, moistheat.Broken, "%s: %s", name, h.Check(bare).Message(f))
			}
		}
		// A maker's schedule is in no policy: Scotland leaves the day of the test open. Switzerland asks for 18 min.
		assert.Equal(t, name != "switzerland", h.Check(bare).Released(), "%s:\n%s", name, h.Check(bare))
	}
	k := history(t, "us-cdc-2003", tests...).Known(bare)
	require.NoError(t, k.Validate())
	assert.Equal(t, moistheat.NewDate(2026, 3, 9), k.LastUse)
	assert.Len(t, k.Tests, 3)
	for _, test := range k.Tests {
		if test.Test == calendar.BiologicalTestEvent {
			assert.Equal(t, "0 s", test.Ran.String(), "nothing was run since")
			assert.Equal(t, local("2026-03-09 08:50"), test.Time)
		}
	}
	assert.Equal(t, k.Digest(), history(t, "us-cdc-2003", tests[2], tests[0], tests[1], tests[0]).Known(bare).Digest(),
		"in any order")
	waiting := history(t, "us-cdc-2003", ran("1", "2026-03-09 08:00", bio(load.Pending))).Known(bare)
	assert.Len(t, waiting.Pending, 1)
	assert.Empty(t, waiting.Tests)
}

// One trace on two loads is no record of either.
func TestCheckFindsReusedTraces(t *testing.T) {
	first, second := recorded(t), recorded(t)
	second.ID = "other"
	h := New(policy(t, "us-cdc-2003"))
	h.Add(first)
	h.Add(first)
	assert.Equal(t, met, outcome(explain(h, first), "load.trace.reused", "/cycle/trace"))
	h.Add(second)
	for _, r := range []*load.Record{first, second} {
		report := h.Check(r)
		assert.Equal(t, broken, outcome(report, "load.trace.reused", "/cycle/trace"))
		assert.GreaterOrEqual(t, report.Verdict.Load, moistheat.Quarantine)
	}
	second.Sterilizer.ID = "S9"
	elsewhere := history(t, "us-cdc-2003", first)
	assert.Equal(t, broken, outcome(elsewhere.Check(second), "load.trace.reused", "/cycle/trace"), "on another sterilizer")
}

func explain(h *History, r *load.Record) *load.Report {
	return load.ExplainKnowing(r, h.Policy(), h.Known(r))
}

// The check of a load and the calendar go by one duty: about the same load they never
// disagree, hour by hour over the end of every interval.
func TestCheckAndCalendarAgree(t *testing.T) {
	last := local("2026-03-02 09:00")
	for name, days := range map[string][2]int{"us-cdc-2003": {6, 9}, "us-ar": {30, 33}, "denmark": {91, 94},
		"us-or": {5, 16}} {
		verdicts := map[moistheat.Outcome]int{}
		for at := last.AddDate(0, 0, days[0]); at.Before(last.AddDate(0, 0, days[1])); at = at.Add(5 * time.Hour) {
			r := ran("9", at.Format("2006-01-02 15:04"), func(r *load.Record) { r.Monitors.LastValidBiological = last.Add(50 * time.Minute) })
			h := history(t, name, ran("1", last.Format("2006-01-02 15:04"), bio(load.Negative)))
			alone := outcome(load.Explain(r, h.Policy()), "load.biological.overdue", "/monitors/lastValidBiological")
			knowing := outcome(explain(h, r), "load.biological.overdue", "/monitors/lastValidBiological")
			assert.Equal(t, alone, knowing, "%s at %s", name, at)
			h.Add(r)
			asked := met
			for _, f := range h.Findings(at.Add(time.Hour)) {
				if f.Rule == "load.history.overdue" && f.Param("test") == "biological test" {
					asked = max(asked, f.Outcome)
				}
			}
			assert.Equal(t, asked == broken, alone == broken, "%s at %s: the calendar says %s", name, at, asked)
			assert.False(t, alone == met && asked != met, "%s at %s: the calendar says %s", name, at, asked)
			verdicts[alone]++
		}
		assert.Len(t, verdicts, 2, "%s: %v", name, verdicts)
	}
}

// What nothing is known of is said to be so, and nothing panics.
func TestCheckNothing(t *testing.T) {
	assert.True(t, (*History)(nil).Check(nil).Known.Alone)
	assert.True(t, New(policy(t, "us-cdc-2003")).Check(ran("1",
		"2026-03-09 08:00")).Known.At.Equal(local("2026-03-09 08:00")))
	r := ran("1", "2026-03-09 08:00")
	r.Cycle, r.Unloading.Time = nil, time.Time{}
	report := New(policy(t, "us-cdc-2003")).Check(r)
	assert.True(t, report.Known.Alone)
	assert.Equal(t, moistheat.Reject, report.Verdict.Load, fmt.Sprint(report))
}
