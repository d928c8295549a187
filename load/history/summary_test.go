package history

import (
	"slices"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// summary returns one of records and events under a policy.
func summary(p *load.Policy, what ...any) *Summary {
	s := NewSummary(p)
	for _, w := range what {
		switch w := w.(type) {
		case *load.Record:
			s.Add(w, load.Check(w, p))
		case *Event:
			s.AddEvent(w)
		}
	}
	return s
}

// dutyOf returns a facility's policy whose only duty is this one.
func dutyOf(t testing.TB, duty string) *load.Policy {
	p, err := load.ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"en-13060",` + decided +
		`,"schedule":[{` + duty + `,"source":{"document":"instruction 4","basis":"facility"}}]}`))
	require.NoError(t, err)
	return p
}

// own returns what is due by the duty of [dutyOf], without those of its base.
func own(all []Due) []Due {
	return slices.DeleteFunc(all, func(d Due) bool { return d.Duty.Source.Document != "instruction 4" })
}

func TestUsage(t *testing.T) {
	wet := func(r *load.Record) { r.Cycle.Printed.HoldTime = duration("100 s") }
	what := []any{
		event(calendar.LeakEvent, "2026-03-08 07:00", passed(yes)),
		ran("2", "2026-03-11 09:00"), ran("1", "2026-03-09 09:00", wet), ran("3", "2026-03-11 11:00"), ran("4", "2026-03-10 09:00"),
		ran("5", "2026-03-12 09:00", func(r *load.Record) { r.Cycle, r.Unloading, r.Load.Date = nil, load.Unloading{}, moistheat.Date{} }),
		event(calendar.LeakEvent, "2026-03-13 07:00", passed(yes)),
	}
	// Rejected: load 1, whose hold is short, and load 5, which has no physical record.
	want := []Usage{{
		Sterilizer: "S1", Loads: 5, Rejected: 2, Undated: 1, Days: 3, Running: 4 * 50 * time.Minute,
		First: moistheat.NewDate(2026, 3, 9), Last: moistheat.NewDate(2026, 3, 11),
	}}
	p := policy(t, "us-cdc-2003")
	assert.Equal(t, want, summary(p, what...).Usage())
	// The same in two parts that share a day, and by a series of numbers that only
	// one of them has.
	for cut := range what {
		whole := summary(p, what[:cut]...)
		require.NoError(t, whole.Merge(summary(p, what[cut:]...)))
		assert.Equal(t, want, whole.Usage(), cut)
		assert.Empty(t, cmp.Diff(summary(p, what...).Numbers(), whole.Numbers()), cut)
	}
	assert.NoError(t, NewSummary(p).Merge(NewSummary(policy(t, "us-cdc-2003"))))
	assert.ErrorIs(t, NewSummary(p).Merge(NewSummary(policy(t, "us-fl"))), moistheat.ErrInvalid)
	// Two policies of one name that judge differently are two.
	ours := NewSummary(facility(t, "us-cdc-2003", ""))
	assert.NoError(t, ours.Merge(NewSummary(facility(t, "us-cdc-2003", ""))))
	assert.ErrorIs(t, ours.Merge(NewSummary(facility(t, "us-cdc-2008", ""))), moistheat.ErrInvalid)
}

func TestDueStrings(t *testing.T) {
	d := Due{Sterilizer: "S1", Duty: calendar.Duty{Test: calendar.BiologicalTestEvent}, State: DueNow, Why: "once in this calendar week"}
	assert.Equal(t, "S1: biological indicator test, due: once in this calendar week", d.String())
	d.Kind = CycleSetting{moistheat.DynamicAirRemoval, celsius(134)}
	assert.Equal(t, "S1: biological indicator test, due (dynamic air removal, 134 °C): once in this calendar week",
		d.String())
}

// What lies after the instant that is asked has not happened yet.
func TestDueBeforeItHappened(t *testing.T) {
	p := dutyOf(t, `"test":"leak","cadence":"interval","every":"P7D"`)
	s := summary(p, ran("1", "2026-03-09 09:00"), event(calendar.LeakEvent, "2026-03-10 07:00", passed(yes)), ran("2", "2026-03-20 09:00"))
	for _, tt := range []struct {
		at    string
		state DueState
		last  time.Time
		why   string
	}{
		{"2026-03-09 08:00", NotDue, time.Time{}, "no load that requires it has been run; no valid test is recorded"},
		{"2026-03-09 10:00", Overdue, time.Time{}, "no valid test is recorded"},
		{"2026-03-10 06:59", Overdue, time.Time{}, "no valid test is recorded"},
		{"2026-03-10 07:00", NotDue, local("2026-03-10 07:00"),
			"next by the end of 17 March 2026; last valid test 10 March 2026, 07:00"},
		{"2026-03-18 07:00", DueNow, local("2026-03-10 07:00"), "before the next load; last valid test 10 March 2026, 07:00"},
		{"2026-03-20 09:00", Overdue, local("2026-03-10 07:00"),
			"was due by the end of 17 March 2026; last valid test 10 March 2026, 07:00"},
	} {
		d := own(s.Due(local(tt.at)))
		require.Len(t, d, 1)
		assert.Equal(t, tt.state, d[0].State, tt.at)
		assert.Equal(t, tt.last, d[0].Last, tt.at)
		assert.Equal(t, tt.why, d[0].Why, tt.at)
	}
}

// On each day of use: before the first load for a test of the sterilizer, at some
// time of the day for spores. A load later that day changes nothing before it.
func TestDueOnTheDay(t *testing.T) {
	for _, tt := range []struct {
		duty, at string
		state    DueState
		by       string // "": before the next load
		why      string
	}{
		{`"test":"air removal","cadence":"day of use"`, "2026-03-09 08:00", DueNow, "", "before the first load of the day"},
		{`"test":"air removal","cadence":"day of use"`, "2026-03-09 10:00", Overdue, "2026-03-10 00:00",
			"the first load of the day was run without it"},
		{`"test":"biological","cadence":"day of use"`, "2026-03-09 08:00", DueNow, "2026-03-10 00:00",
			"on each day with a load"},
		{`"test":"biological","cadence":"day of use"`, "2026-03-09 10:00", DueNow, "2026-03-10 00:00",
			"there was a load today and no test yet"},
		{`"test":"air removal","cadence":"day of use","when":"dynamic air removal, no air detector"`, "2026-03-09 08:00",
			DueNow, "", "before the first load of the day"},
		{`"test":"air removal","cadence":"day of use","when":"dynamic air removal, no air detector"`, "2026-03-09 10:00",
			DueOpen, "2026-03-10 00:00", "not recorded: whether the sterilizer has an air detector"},
	} {
		unsaid := func(r *load.Record) { r.Sterilizer.AirDetector = unknown }
		s := summary(dutyOf(t, tt.duty), ran("1", "2026-03-06 09:00", unsaid), ran("2", "2026-03-09 09:00", unsaid))
		d := own(s.Due(local(tt.at)))
		require.Len(t, d, 1)
		assert.Equal(t, tt.state, d[0].State, tt.duty+" "+tt.at)
		by := time.Time{}
		if tt.by != "" {
			by = local(tt.by)
		}
		assert.Equal(t, by, d[0].By, tt.duty+" "+tt.at)
		assert.Equal(t, tt.why+"; no valid test is recorded", d[0].Why, tt.duty+" "+tt.at)
	}
}

// What is to be done before the first load of the day was not, where a load came before it.
func TestDueByTheFirstLoad(t *testing.T) {
	duty := dutyOf(t, `"test":"air removal","cadence":"day of use"`)
	early, test, late := ran("1", "2026-03-09 09:00"), event(calendar.AirRemovalEvent, "2026-03-09 11:00", passed(yes)),
		ran("2", "2026-03-09 13:00")
	for _, what := range [][]any{{early, test, late}, {late, test, early}} {
		assert.Equal(t, Overdue, own(summary(duty, what...).Due(local("2026-03-09 14:00")))[0].State)
	}
	assert.Equal(t, NotDue, own(summary(duty, test, late).Due(local("2026-03-09 14:00")))[0].State)
}

// Some documents ask sterilizers with an air detector for less (RACGP): what nobody
// recorded may be either.
func TestDueByAirDetector(t *testing.T) {
	for _, tt := range []struct {
		when     string
		detector moistheat.Answer
		asked    bool
	}{
		{"dynamic air removal, air detector", yes, true}, {"dynamic air removal, air detector", no, false}, {"dynamic air removal, air detector", unknown, true},
		{"dynamic air removal, no air detector", yes, false}, {"dynamic air removal, no air detector", no, true}, {"dynamic air removal, no air detector", unknown, true},
	} {
		p := dutyOf(t, `"test":"leak","cadence":"interval","every":"P7D","when":"`+tt.when+`"`)
		s := summary(p, ran("1", "2026-03-09 09:00", func(r *load.Record) { r.Sterilizer.AirDetector = tt.detector }))
		d := own(s.Due(local("2026-03-10 09:00")))
		require.Len(t, d, 1)
		assert.Equal(t, tt.asked, d[0].State == Overdue, "%s, %s: %s", tt.when, tt.detector, d[0])
	}
}

// Where each kind of cycle is asked for, a test counts for its own; a kind without
// loads is not asked, and what is no biological indicator test counts for none.
func TestDueForEachKind(t *testing.T) {
	p := dutyOf(t, `"test":"biological","cadence":"interval","every":"P7D","perCycleKind":true`)
	spores := func(at string, celsius134 bool) *Event {
		return runWithSpores(at, load.Negative, func(e *Event) {
			if !celsius134 {
				e.Settings.Temperature = celsius(121)
			}
		})
	}
	leak := event(calendar.LeakEvent, "2026-03-09 07:00", passed(yes), func(e *Event) {
		e.Settings.AirRemoval, e.Settings.Temperature = moistheat.DynamicAirRemoval, celsius(134)
	})
	states := func(what ...any) map[string]DueState {
		out := map[string]DueState{}
		for _, d := range own(summary(p, what...).Due(local("2026-03-10 09:00"))) {
			out[d.Kind.Temperature.String()] = d.State
		}
		return out
	}
	hot, cool := ran("1", "2026-03-09 09:00", func(r *load.Record) { r.Cycle.Settings.Temperature = celsius(134) }), ran("2", "2026-03-09 11:00", at121)
	assert.Equal(t, map[string]DueState{"134 °C": Overdue, "121 °C": Overdue}, states(hot, cool))
	assert.Equal(t, map[string]DueState{"134 °C": NotDue, "121 °C": Overdue}, states(hot, cool, spores("2026-03-09 13:00", true)))
	assert.Equal(t, map[string]DueState{"134 °C": Overdue, "121 °C": NotDue}, states(hot, cool, spores("2026-03-09 13:00", false)))
	assert.Equal(t, map[string]DueState{"134 °C": Overdue}, states(hot, spores("2026-03-09 13:00", false)), "no load at 121 °C")
	assert.Equal(t, map[string]DueState{"134 °C": Overdue}, states(hot, leak))
}

// After so many hours of use: those of the day of the test count if a load ended
// after it, and those of later days.
func TestDueByHoursOfUse(t *testing.T) {
	p := dutyOf(t, `"test":"leak","cadence":"hours of use","every":"P1M","hoursOfUse":{"value":100,"unit":"min"}`)
	test := event(calendar.LeakEvent, "2026-03-10 08:00", passed(yes))
	day := func(d string, hours ...string) (out []any) {
		for _, h := range hours {
			out = append(out, ran(d+h, "2026-03-"+d+" "+h))
		}
		return out
	}
	for _, tt := range []struct {
		name  string
		loads []any
		want  string
		state DueState
	}{
		{"the day before", day("09", "09:00", "11:00"), "0 h", NotDue},
		{"that day, before it", day("10", "06:00", "07:00"), "0 h", NotDue},
		{"that day, after it", day("10", "09:00"), "0.8 h", NotDue},
		{"that day, on both sides of it", day("10", "06:00", "09:00"), "1.7 h", Overdue}, // 100 min
		{"the day after", day("11", "06:00"), "0.8 h", NotDue},
		{"so many minutes", day("11", "06:00", "09:00"), "1.7 h", Overdue},
	} {
		d := own(summary(p, append(tt.loads, test)...).Due(local("2026-03-12 08:00")))
		require.Len(t, d, 1)
		assert.Contains(t, d[0].Why, tt.want+" of use since the last", tt.name)
		assert.Equal(t, tt.state, d[0].State, tt.name)
	}
}

// Nothing is done while its sterilizer is out of service or a procedure is open: every
// entry says the next step, and the one of the test that failed that it failed.
func TestDueIsNeverDoneDuringAFailure(t *testing.T) {
	tested := ran("1", "2026-03-09 09:00", bio(load.Negative))
	air := event(calendar.AirRemovalEvent, "2026-03-09 07:00", passed(yes))
	for _, tt := range []struct {
		name, at string
		next     string // empty: nothing stands against it
		states   []DueState
		what     []any
	}{
		{"good", "2026-03-10 12:00", "", []DueState{NotDue, DueNow, NotDue}, nil},
		{"positive, not read", "2026-03-11 09:49", "", []DueState{Failed, DueNow, NotDue}, []any{ran("2", "2026-03-10 09:00", bio(load.Positive))}},
		{"positive", "2026-03-11 09:50", "Next: repeat the biological indicator test now", []DueState{Failed, DueNow,
			Stopped}, []any{ran("2", "2026-03-10 09:00", bio(load.Positive))}},
		{"repeat not read", "2026-03-11 12:00", "Next: repeat the biological indicator test now", []DueState{Failed, DueNow,
			Stopped},
			[]any{ran("2", "2026-03-10 09:00", bio(load.Positive)), runWithSpores("2026-03-11 11:00", load.Pending)}},
		{"aborted", "2026-03-10 12:00", "Next: find out why", []DueState{Stopped, Overdue, Stopped}, []any{ran("2", "2026-03-10 09:00", func(r *load.Record) { r.Cycle.Aborted = yes })}},
		{"aborted and explained", "2026-03-10 12:00", "", []DueState{NotDue, Overdue, NotDue},
			[]any{ran("2", "2026-03-10 09:00", func(r *load.Record) { r.Cycle.Aborted = yes }), explained("2026-03-10 11:00")}},
		{"explained later", "2026-03-10 12:00", "Next: find out why", []DueState{Stopped, Overdue, Stopped},
			[]any{ran("2", "2026-03-10 09:00", func(r *load.Record) { r.Cycle.Aborted = yes }), explained("2026-03-10 12:01")}},
		{"repaired", "2026-03-10 12:00", "Next: run biological indicator tests", []DueState{Stopped, DueNow, Stopped},
			[]any{event(calendar.RepairedEvent, "2026-03-10 08:00")}},
		{"a failed leak test", "2026-03-10 12:00", "pass 1 leak test", []DueState{Stopped, DueNow, Failed},
			[]any{event(calendar.LeakEvent, "2026-03-10 08:00", passed(no))}},
		{"a failed air removal test", "2026-03-10 12:00", "pass 1 air removal test", []DueState{Stopped, Failed, Stopped},
			[]any{event(calendar.AirRemovalEvent, "2026-03-10 08:00", passed(no))}},
		{"taken out", "2026-03-10 12:00", "Next: record the return", []DueState{Stopped, DueNow, Stopped},
			[]any{event(calendar.OutOfUseEvent, "2026-03-10 08:00")}},
		{"a gasket", "2026-03-10 12:00", "", []DueState{NotDue, DueNow, NotDue}, []any{event(calendar.UpkeepEvent, "2026-03-10 08:00")}},
	} {
		leak := event(calendar.LeakEvent, "2026-03-09 06:30", passed(yes))
		var states []DueState
		for _, d := range history(t, "us-st79", append(tt.what, tested, air, leak)...).Due(local(tt.at)) {
			states = append(states, d.State)
			if tt.next == "" {
				assert.NotContains(t, d.Why, "Next: ", tt.name)
			} else {
				assert.Contains(t, d.Why, tt.next, tt.name)
			}
		}
		assert.Equal(t, tt.states, states, tt.name)
	}
}

// A test that is not read yet makes an occasion undetermined, one that was never read
// missed.
func TestPendingIsNotOverdue(t *testing.T) {
	h := history(t, "us-cdc-2003", ran("1", "2026-03-02 09:00", bio(load.Negative)), ran("2", "2026-03-10 09:00", bio(load.Pending)))
	assert.Equal(t, undetermined, says(h, "load.history.overdue", "2026-03-10 12:00"))
	assert.Equal(t, broken, says(h, "load.history.overdue", "2026-03-12 12:00"))
	put(h, ran("2", "2026-03-10 09:00", bio(load.Negative)))
	assert.Equal(t, met, says(h, "load.history.overdue", "2026-03-12 12:00"))
}

// Oregon reads weeks by the calendar; the answer says how long ago the last test was.
func TestCalendarWeekSaysTheDays(t *testing.T) {
	h := history(t, "us-or", ran("1", "2026-03-09 09:00", bio(load.Negative)))
	assert.Contains(t, dueOf(t, h, calendar.BiologicalTestEvent, "2026-03-21 08:00").Why, "12 days ago")
}

// Every second number, the newest first, and each again: they are put together a few times,
// not at each number, and say the same in any order and in parts.
func TestNumbersInAnyOrder(t *testing.T) {
	const n = 4000
	var back, parts ranges
	settled := 0
	for i := n; i > 0; i-- {
		before := len(back.runs)
		if back.add(int64(2 * i)); len(back.runs) != before {
			settled++
		}
	}
	assert.Less(t, settled, 20)
	for k := range 2 {
		var part ranges
		for i := range n {
			part.add(int64(2 * (i*1009%n + 1)))
		}
		part.add(int64(2*k + 1))
		parts.join(&part)
	}
	gaps := func(r *ranges) []NumberAnomaly {
		return (&unitDays{numbers: map[string]*ranges{"": r}}).anomalies("S")
	}
	all := gaps(&back)
	require.Len(t, all, n-1)
	assert.Equal(t, NumberAnomaly{"S", "", 3, 3, 0}, all[0])
	assert.Equal(t, NumberAnomaly{"S", "", 2*n - 1, 2*n - 1, 0}, all[n-2])
	all = gaps(&parts)
	require.Len(t, all, n-2+n)
	assert.Equal(t, NumberAnomaly{"S", "", 5, 5, 0}, all[0], "1 and 3 came")
	for i, g := range all[n-2:] {
		require.Equal(t, NumberAnomaly{"S", "", int64(2*i + 2), int64(2*i + 2), 2}, g)
	}
}
