package history

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
)

const whileOut, whileSuspect = "load.sterilizer.outofservice", "load.sterilizer.suspect"

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
		{"ended a minute before", "2026-03-10 07:59", []any{grew}, met},
		{"a minute after it began", "2026-03-10 08:49", []any{grew}, broken}, // it was in the chamber
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
				suspect := outcome(report, whileSuspect, "/cycle/started") == broken
				assert.Equal(t, !suspect, report.Released(), "%s, %s:\n%s", tt.name, in, report)
				assert.Equal(t, strings.HasPrefix(tt.at, "2026-03-09") || tt.at == "2026-03-10 07:59", suspect, tt.name)
			} else {
				assert.Equal(t, broken, got, "%s, %s", tt.name, in)
				assert.Equal(t, moistheat.Quarantine, report.Verdict.Load, "%s, %s", tt.name, in)
			}
			h.Add(r)
		}
	}
}

// A load on which a later failure casts doubt is kept back while it is suspect, which is no
// violation: CDC 2003, F.9, recalls what was processed since the last negative test, but after
// one positive test with good records implants only, once the repeat is negative. What is known
// may be sent elsewhere and says the same there.
func TestCheckSuspect(t *testing.T) {
	good, grew := ran("0", "2026-03-07 08:00", bio(load.Negative)), ran("1", "2026-03-09 08:00", bio(load.Positive))
	again, repeat := ran("2", "2026-03-10 12:00", bio(load.Positive)), runWithSpores("2026-03-10 12:00", load.Negative)
	air := func(at string, a moistheat.Answer) *Event { return event(calendar.AirRemovalEvent, at, passed(a)) }
	gravity := func(r *load.Record) { r.Cycle.Settings.AirRemoval = moistheat.GravityDisplacement }
	setting := event(calendar.WrongSettingEvent, "2026-03-11 08:00",
		func(e *Event) { e.Settings.Hold = duration("300 s") })
	for _, tt := range []struct {
		name, at string
		edit     func(*load.Record)
		what     []any
		suspect  bool
	}{
		{"before the positive run", "2026-03-08 15:00", nil, []any{good, grew}, true},
		{"after it, and nobody knew", "2026-03-09 15:00", nil, []any{good, grew}, true},
		{"before the last good test", "2026-03-06 15:00", nil, []any{good, grew}, false},
		{"the repeat is negative", "2026-03-09 15:00", nil, []any{good, grew, repeat}, false},
		{"an implant, and the repeat is negative", "2026-03-09 15:00", implant, []any{good, grew, repeat}, true},
		{"the repeat is positive", "2026-03-09 15:00", nil, []any{good, grew, again}, true},
		{"a failed air removal test", "2026-03-09 15:00", nil, []any{air("2026-03-10 07:30", no)}, true},
		{"it was passed later", "2026-03-09 15:00", nil, []any{air("2026-03-10 07:30", no), air("2026-03-11 07:30",
			yes)}, true},
		{"run before a pass", "2026-03-09 15:00", nil, []any{air("2026-03-10 07:30", no), air("2026-03-09 15:50",
			yes)}, false},
		{"run after the last pass before it", "2026-03-09 15:00", nil, []any{air("2026-03-10 07:30", no),
			air("2026-03-09 07:30", yes)}, true},
		{"run before the last pass", "2026-03-08 15:00", nil, []any{air("2026-03-10 07:30", no),
			air("2026-03-09 07:30", yes)}, false},
		{"no air is drawn out", "2026-03-09 15:00", gravity, []any{air("2026-03-10 07:30", no)}, false},
		{"a wrong setting", "2026-03-09 15:00", nil, []any{setting}, true},
		{"taken back, and nothing in its place", "2026-03-09 15:00", nil, []any{good, grew,
			signed("2026-03-11 09:00", []any{grew}, "/monitors/biologicals/0/result")}, true},
		{"taken back, with the right result", "2026-03-09 15:00", nil, []any{good, grew, ran("1", "2026-03-09 08:00",
			bio(load.Negative)),
			signed("2026-03-11 09:00", []any{grew}, "/monitors/biologicals/0/result")}, false},
	} {
		r := ran("9", tt.at)
		if tt.edit != nil {
			tt.edit(r)
		}
		h := history(t, "us-cdc-2003", append(tt.what, event(calendar.PatientsEvent, "2026-03-02 07:00"))...)
		for _, in := range []string{"not in the history", "in the history"} {
			report := h.Check(r)
			assert.NotEqual(t, broken, outcome(report, whileOut, "/cycle/started"), "%s, %s", tt.name, in)
			assert.Equal(t, tt.suspect, outcome(report, whileSuspect, "/cycle/started") == broken, "%s, %s", tt.name,
				in)
			if tt.suspect {
				assert.Equal(t, moistheat.Quarantine, report.Verdict.Load, "%s, %s", tt.name, in)
				assert.Equal(t, moistheat.InService, report.Verdict.Sterilizer, "%s, %s", tt.name, in)
				assert.Contains(t, report.Text(), "The load is suspect after a ", tt.name)
			}
			data, err := json.Marshal(h.Known(r))
			require.NoError(t, err)
			sent, err := load.DecodeKnown(data)
			require.NoError(t, err)
			assert.Equal(t, report.Verdict, load.CheckKnowing(r, h.Policy(), sent).Verdict, "%s, %s", tt.name, in)
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
		h := history(t, "us-cdc-2003", r, event(calendar.OutOfUseEvent, "2026-03-09 12:00"),
			event(calendar.PatientsEvent, "2026-03-09 07:00"))
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
		// A manufacturer's schedule is in no policy: Scotland leaves the day of the test open. Switzerland asks for 18 min.
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

// What a record alone cannot show under a policy, its history can: a load that was used is
// then no suspect, and the report on the record alone says what to ask.
func TestHistoryShowsWhatARecordCannot(t *testing.T) {
	bare := ran("9", "2026-03-10 09:00", func(r *load.Record) { r.Monitors = load.Monitors{} })
	used := &StoredPack{Format: StoredFormat, Pack: "9-1", Record: "9", Use: &Use{Time: local("2026-03-10 11:00"),
		Patient: "p"}}
	day := []any{
		ran("1", "2026-03-09 08:00", bio(load.Negative)),
		event(calendar.AirRemovalEvent, "2026-03-10 07:30", passed(yes),
			func(e *Event) { e.Chamber = calendar.EmptyChamber }),
		event(calendar.LeakEvent, "2026-03-10 07:45", passed(yes)),
	}
	for _, name := range []string{"alberta", "ontario", "us-fl"} {
		alone := load.Check(bare, policy(t, name))
		assert.Equal(t, moistheat.Quarantine, alone.Verdict.Load, name)
		assert.Contains(t, strings.Join(strings.Fields(alone.Text()), " "),
			"the history of the sterilizer may show it", name)
		h := history(t, name, append(day, used, bare)...)
		assert.True(t, h.Check(bare).Released(), "%s:\n%s", name, h.Check(bare))
		assert.Empty(t, h.Recall(), name)
		assert.Equal(t, met, says(h, "load.storage.unreleased", "2026-03-11 09:00"), name)
		again, _ := loaded(t, saved(t, h), h.Policy())
		assert.Equal(t, answers(h), answers(again), name)
		for i := range day[:2] { // without one of the tests it was used on hold
			if name == "us-fl" && i == 1 {
				continue // asks for no air removal test of its own
			}
			less := append([]any{bare, used}, day[1-i], day[2])
			assert.Equal(t, Recall, actions(history(t, name, less...))["9"], "%s without %d", name, i)
		}
	}
}

// Two practices may call their sterilizers alike: a test of one says nothing good about the
// other's, and one of which nobody says whose it was about neither's. CDC 2003, F.8: the
// sterilizer that failed is taken out.
func TestSitesAreApart(t *testing.T) {
	at := func(site string) func(*load.Record) { return func(r *load.Record) { r.Site.Name = site } }
	of := func(site string) func(*Event) { return func(e *Event) { e.Site = site } }
	grew := ran("1", "2026-03-09 08:00", bio(load.Positive), at("mill"))
	for _, tt := range []struct {
		repeat, other string
		in            bool
	}{
		{"mill", "bridge", true}, {"bridge", "bridge", false}, {"", "bridge", false}, {"", "mill", true}, {"", "",
			true},
	} {
		h := history(t, "us-cdc-2003", grew, runWithSpores("2026-03-10 12:00", load.Negative, of(tt.repeat)),
			ran("2", "2026-03-08 08:00", at(tt.other)))
		assert.Equal(t, tt.in, h.Status()[0].Service == moistheat.InService, "%+v", tt)
		later := h.Check(ran("9", "2026-03-12 08:00", at("mill")))
		assert.Equal(t, !tt.in, outcome(later, whileOut, "/cycle/started") == broken, "%+v", tt)
		elsewhere := h.Check(ran("9", "2026-03-12 08:00", at("bridge")))
		assert.NotEqual(t, broken, outcome(elsewhere, whileOut, "/cycle/started"), "%+v", tt)
		assert.Equal(t, tt.other == "bridge" || tt.repeat == "bridge", slices.Contains(
			findings(h, "load.history.contradictory", "2026-03-13 08:00",
				"what"), "broken /sterilizers/S1|site"), "%+v", tt)
	}
	// What nobody says of which it is speaks against both.
	h := history(t, "us-cdc-2003", ran("1", "2026-03-08 08:00", at("mill")), ran("2", "2026-03-08 08:00", at("bridge")),
		runWithSpores("2026-03-09 08:00", load.Positive))
	assert.Len(t, actions(h), 2)
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
				if f.Rule == "load.history.overdue" && f.Param("test") == "biological indicator test" {
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
	for _, name := range []string{"S1", "S2"} { // an empty history vouches for nothing, nor one of another sterilizer
		h := history(t, "us-cdc-2003", event(calendar.PatientsEvent, "2026-03-09 07:00",
			func(e *Event) { e.Sterilizer = "S3" }))
		report := h.Check(ran("1", "2026-03-09 08:00", func(r *load.Record) { r.Sterilizer.ID = name }))
		assert.True(t, report.Known.Alone)
		assert.Contains(t, report.Text(), "on this record alone")
		asks := New(facility(t, "us-cdc-2003", `{"id": "load.known.missing", "inForce": true}`))
		assert.Equal(t, undetermined, outcome(asks.Check(ran("1", "2026-03-09 08:00")), "load.known.missing", ""))
	}
	r := ran("1", "2026-03-09 08:00")
	r.Cycle, r.Unloading.Time = nil, time.Time{}
	report := New(policy(t, "us-cdc-2003")).Check(r)
	assert.True(t, report.Known.Alone)
	assert.Equal(t, moistheat.Reject, report.Verdict.Load, fmt.Sprint(report))
}

// The last day of use is the last one with a load before the day of the load at hand.
func TestLastDayOfUse(t *testing.T) {
	h := history(t, "us-cdc-2003", ran("1", "2026-03-09 10:00"), ran("2", "2026-03-10 10:00"),
		ran("3", "2026-03-11 08:00"))
	assert.Equal(t, day(2026, 3, 10), h.Known(ran("4", "2026-03-11 10:00")).LastUse)
	assert.Equal(t, day(2026, 3, 11), h.Known(ran("4", "2026-03-13 10:00")).LastUse)
	assert.Zero(t, h.Known(ran("4", "2026-03-09 12:00")).LastUse)
}

// Of more sites than are told apart each line speaks against all and none for one.
func TestSitesBeyondNumberSpeakAgainstEachOther(t *testing.T) {
	of := func(n int) *History {
		h := New(policy(t, "us-cdc-2003"))
		for i := range n {
			h.AddEvent(runWithSpores("2026-03-02 08:00", load.Negative, func(e *Event) {
				e.ID, e.Site, e.Time = fmt.Sprint(i), fmt.Sprint("mill ", i), e.Time.Add(time.Duration(i)*time.Second)
			}))
		}
		put(h, runWithSpores("2026-03-03 08:00", load.Positive, func(e *Event) { e.Site = "mill 0" }))
		put(h, ran("1", "2026-03-04 09:00", implant, func(r *load.Record) { r.Site.Name = "mill 1" }))
		return h
	}
	few, many := of(mostSites), of(mostSites+1)
	assert.NotContains(t, actions(few), "1", "the positive test is of another practice's sterilizer")
	assert.Contains(t, actions(many), "1")
	for _, tt := range []struct {
		h    *History
		want string
	}{{few, "site"}, {many, "site, of which there are more than 64, so that no line shows anything to be good"}} {
		var said []string
		for _, f := range tt.h.Findings(local("2026-03-05 09:00")) {
			if f.Rule == "load.history.contradictory" && f.Pointer == "/sterilizers/S1" {
				said = append(said, f.Params[0].Value.String())
			}
		}
		assert.Equal(t, []string{tt.want}, said)
	}
}

// Of no history, and of no record, nothing is known.
func TestKnownOfNothing(t *testing.T) {
	assert.Zero(t, (*History)(nil).Known(ran("1", "2026-03-02 09:00")))
	assert.Zero(t, New(policy(t, "us-cdc-2003")).Known(nil))
}
