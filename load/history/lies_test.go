package history

import (
	"maps"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
)

// lay is the result of an indicator that lay in a load, entered as an event: it says neither the
// kind of cycle nor more of the load than how to find it.
func lay(at string, result load.Growth, edit ...func(*Event)) *Event {
	return runWithSpores(at, result, append([]func(*Event){func(e *Event) {
		e.Settings, e.Chamber = cycle.Settings{}, ""
	}}, edit...)...)
}

func cycleOf(n string) func(*Event) { return func(e *Event) { e.Number = n } }

// An indicator that lay in a load and was positive takes that load back, as it does where the
// record says so (CDC 2003, F.9: the items of the load of the positive test are recalled), whether the
// event is found by the number of its cycle or by its time. Its cycle is one, not two.
func TestATestThatLayInALoad(t *testing.T) {
	week := func(more ...any) *History {
		all := []any{ran("1", "2026-03-05 09:00", bio(load.Negative)), ran("2", "2026-03-06 09:00"),
			ran("3", "2026-03-06 11:00"), ran("4", "2026-03-06 14:00")}
		return history(t, "us-cdc-2003", append(all, more...)...)
	}
	want := actions(week(ran("3", "2026-03-06 11:00", bio(load.Positive))))
	require.Equal(t, map[string]RecallAction{"2": Trace, "3": Recall, "4": Trace}, want)
	for name, e := range map[string]*Event{
		"by number":             lay("2026-03-06 11:50", load.Positive, cycleOf("3")),
		"by number, any time":   lay("2026-03-06 12:30", load.Positive, cycleOf("3")),
		"by time":               lay("2026-03-06 11:50", load.Positive),
		"by time, in the cycle": lay("2026-03-06 11:20", load.Positive),
	} {
		for _, order := range []bool{false, true} {
			h := week(e)
			if order { // the result is there before the record
				h = history(t, "us-cdc-2003", e, ran("4", "2026-03-06 14:00"), ran("3", "2026-03-06 11:00"),
					ran("2", "2026-03-06 09:00"), ran("1", "2026-03-05 09:00", bio(load.Negative)))
			}
			assert.Equal(t, want, actions(h), name)
			assert.Empty(t, h.Summary().Numbers(), name)
			p := h.Procedures()
			require.Len(t, p, 1, name)
			assert.Equal(t, settingOf(ran("3", "2026-03-06 11:00")), p[0].kind,
				"%s: its kind of cycle is that of the record", name)
			assert.NotEqual(t, moistheat.Release, h.Check(ran("3", "2026-03-06 11:00")).Verdict.Load, name)
		}
	}
	both := week(ran("3", "2026-03-06 11:00", bio(load.Positive)), lay("2026-03-06 11:50", load.Positive, cycleOf("3")))
	assert.Equal(t, want, actions(both), "said twice, it is one positive test")
	for name, e := range map[string]*Event{
		"another day":        lay("2026-03-12 11:50", load.Positive, cycleOf("3")),
		"before the cycle":   lay("2026-03-06 10:30", load.Positive),
		"another sterilizer": lay("2026-03-06 11:50", load.Positive, func(e *Event) { e.Sterilizer = "S2" }),
	} {
		assert.NotEqual(t, Recall, actions(week(e))["3"], name)
	}
}

// However the number is written, and whatever else has that number, the load of a positive test is
// found; what may be that load, is (CDC 2003, F.9: its items are recalled).
func TestTheLoadOfAPositiveTestIsFound(t *testing.T) {
	week := func(more ...any) *History {
		all := []any{ran("1", "2026-03-05 09:00", bio(load.Negative)), ran("2", "2026-03-06 09:00"),
			ran("3", "2026-03-06 11:00"), ran("4", "2026-03-06 14:00")}
		return history(t, "us-cdc-2003", append(all, more...)...)
	}
	called := func(id, at, loadNo, cycleNo string) *load.Record {
		return ran(id, at, func(r *load.Record) { r.Load.Number, r.Cycle.Number = loadNo, cycleNo })
	}
	undated := ran("u", "2026-03-01 10:00", func(r *load.Record) {
		r.Load.Number, r.Cycle.Number, r.Load.Date = "3", "3", moistheat.Date{}
		r.Cycle.Started, r.Cycle.Ended = time.Time{}, time.Time{}
		r.Unloading.Time, r.Release.Time = time.Time{}, time.Time{}
		for i := range r.Packs {
			r.Packs[i].Label = nil
		}
	})
	three := lay("2026-03-06 11:50", load.Positive, cycleOf("3"))
	all := func(h *History) (out []string) {
		for e := range maps.Values(h.units()["S1"].all) {
			for _, l := range e.lies() {
				out = append(out, l.id)
			}
		}
		slices.Sort(out)
		return out
	}
	late := func(n string) *Event { return lay("2026-03-06 12:00", load.Positive, cycleOf(n)) }
	for name, tt := range map[string]struct {
		h    *History
		want []string
	}{
		"leading zero":     {week(late("03")), []string{"3"}},
		"space":            {week(late(" 3")), []string{"3"}},
		"number sign":      {week(late("#3")), []string{"3"}},
		"case":             {week(called("c", "2026-03-06 07:00", "c", "S1-9"), late("s1-9")), []string{"c"}},
		"matches nothing":  {week(lay("2026-03-06 11:50", load.Positive, cycleOf("33"))), []string{"3"}},
		"taken out after":  {week(lay("2026-03-06 12:05", load.Positive)), []string{"3"}},
		"much later":       {week(lay("2026-03-06 13:30", load.Positive)), nil},
		"next cycle began": {week(ran("n", "2026-03-06 11:55"), lay("2026-03-06 12:00", load.Positive)), []string{"n"}},
		"own cycle": {week(lay("2026-03-06 12:10", load.Positive, func(e *Event) {
			e.Started = local("2026-03-06 11:51")
		})), nil},
		"load number of another": {week(called("r", "2026-03-06 12:10", "3", "3b"), three), []string{"3"}},
		"cycle number first":     {week(called("r", "2026-03-06 10:00", "3", "77"), late("77")), []string{"r"}},
		"cycle that contains the time": {week(called("r", "2026-03-06 16:00", "8", "3"), three),
			[]string{"3"}},
		"which of two":   {week(called("r", "2026-03-06 07:00", "8", "3"), late("3")), []string{"3", "r"}},
		"ran afterwards": {week(called("r", "2026-03-06 16:00", "8", "3"), late("3")), []string{"3"}},
		"undated too":    {week(undated, three), []string{"3"}},
		"undated, or of the time": {history(t, "us-cdc-2003", ran("1", "2026-03-05 09:00", bio(load.Negative)), undated,
			called("t", "2026-03-06 11:00", "30", "30"), three), []string{"t", "u"}},
		"midnight": {week(ran("9", "2026-03-06 23:30"), lay("2026-03-06 23:55", load.Positive, cycleOf("9"))),
			[]string{"9"}},
		"not good": {week(called("r", "2026-03-06 07:00", "8", "3"),
			lay("2026-03-06 12:00", load.Negative, cycleOf("3"))), nil},
	} {
		assert.Equal(t, tt.want, all(tt.h), name)
		for _, id := range tt.want {
			assert.True(t, slices.ContainsFunc(tt.h.Recall(), func(s SuspectLoad) bool {
				return s.Record == id && s.Action == Recall
			}), "%s: %s", name, id)
		}
	}
}

// The number of an event is that of its cycle. The number that a clinic gives a load finds it only where
// nothing else says that the test was run in another cycle.
func TestALoadNumberDoesNotMakeATestThatOfTheLoad(t *testing.T) {
	const day = "2026-03-11 "
	failed := func(edit ...func(*load.Record)) *load.Record {
		return ran("x", day+"12:00", func(r *load.Record) {
			r.Load.Number, r.Cycle.Number, r.Cycle.Printed.HoldTime = "3", "1203", duration("60 s")
			for _, e := range edit {
				e(r)
			}
		})
	}
	untimed := func(r *load.Record) {
		r.Cycle.Started, r.Cycle.Ended, r.Unloading.Time, r.Release.Time = time.Time{}, time.Time{}, time.Time{}, time.Time{}
	}
	empty := func(e *Event) { e.Chamber = calendar.EmptyChamber }
	other := func(e *Event) { e.Settings.Temperature = celsius(121) }
	for _, result := range []load.Growth{load.Negative, load.Positive} {
		for name, tt := range map[string]struct {
			r    *load.Record
			e    *Event
			lies bool
		}{
			"in the cycle":             {failed(), lay(day+"12:50", result, cycleOf("3")), true},
			"taken out after":          {failed(), lay(day+"13:05", result, cycleOf("3")), true},
			"no times":                 {failed(untimed), lay(day+"18:00", result, cycleOf("3")), true},
			"outside":                  {failed(), lay(day+"18:00", result, cycleOf("3")), false},
			"empty chamber":            {failed(), lay(day+"12:50", result, cycleOf("3"), empty), false},
			"empty, no times":          {failed(untimed), lay(day+"18:00", result, cycleOf("3"), empty), false},
			"another kind of cycle":    {failed(), lay(day+"12:50", result, cycleOf("3"), other), false},
			"number of the cycle":      {failed(), lay(day+"18:00", result, cycleOf("1203")), true},
			"after, empty, unnumbered": {failed(), lay(day+"13:05", result, empty), false},
		} {
			h := history(t, "us-cdc-2003", tt.r, tt.e)
			lies := false
			for _, e := range h.units()["S1"].all {
				lies = lies || len(e.lies()) > 0
			}
			assert.Equal(t, tt.lies, lies, "%s %s", name, result)
		}
	}
	pos := runWithSpores("2026-03-09 07:00", load.Positive)
	h := history(t, "us-cdc-2003", pos, failed(at121), runWithSpores(day+"18:00", load.Negative, cycleOf("3")))
	require.Len(t, h.OutOfService(), 1)
	assert.False(t, h.OutOfService()[0].To.IsZero(), "the good repeat ends it")
}

// After the good repeats that end the failure the load of the positive test stays suspect.
func TestTheLoadOfAPositiveTestStaysSuspect(t *testing.T) {
	three := ran("3", "2026-03-06 11:00")
	h := history(t, "us-cdc-2003", ran("1", "2026-03-05 09:00", bio(load.Negative)), three,
		lay("2026-03-06 11:50", load.Positive, cycleOf("3")),
		runWithSpores("2026-03-10 09:00", load.Negative), runWithSpores("2026-03-10 10:00", load.Negative),
		runWithSpores("2026-03-10 11:00", load.Negative))
	assert.Equal(t, Recall, actions(h)["3"])
	assert.True(t, slices.ContainsFunc(h.Check(three).Findings, func(f moistheat.Finding) bool {
		return f.Rule == "load.sterilizer.suspect" && f.Outcome == moistheat.Broken
	}))
}

// A negative indicator that lay in a load is the test of its kind of cycle, and shows nothing where
// the record of that load failed.
func TestANegativeTestThatLayInALoad(t *testing.T) {
	bad := func(r *load.Record) { r.Cycle.Printed.HoldTime = duration("60 s") }
	for _, want := range []DueState{NotDue, DueNow} {
		three := ran("3", "2026-03-06 11:00")
		if want == DueNow {
			three = ran("3", "2026-03-06 11:00", bad)
		}
		h := history(t, "us-cdc-2003", three, lay("2026-03-06 11:50", load.Negative, cycleOf("3")))
		u := h.units()["S1"]
		found := false
		for _, e := range u.timeline() {
			if e.kind != 0 && e.bio == bioGood {
				found = true
				assert.Equal(t, settingOf(three), e.cycle)
				assert.Equal(t, want == NotDue, e.result().passed == moistheat.Yes)
			}
		}
		assert.True(t, found)
	}
}

func settingOf(r *load.Record) CycleSetting {
	return CycleSetting{r.Cycle.Settings.AirRemoval, r.Cycle.Settings.Temperature}.normal()
}
