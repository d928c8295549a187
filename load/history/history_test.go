package history

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ran is a good load of sterilizer S1 that starts at a time of its own zone,
// "2026-03-09 09:00", and takes 50 minutes. Its id is its number.
func ran(number, at string, edit ...func(*load.Record)) *load.Record {
	start := local(at)
	r := good()
	r.ID, r.Load.Number, r.Cycle.Number = number, number, number
	r.Load.Date = moistheat.DateOf(start)
	r.Cycle.Started, r.Cycle.Ended = start, start.Add(50*time.Minute)
	r.Unloading.Time, r.Release.Time = start.Add(55*time.Minute), start.Add(time.Hour)
	r.Monitors.LastValidBiological = start.Add(-time.Hour)
	r.Monitors.Tests = nil
	for i := range r.Packs {
		r.Packs[i].ID = fmt.Sprintf("%s-%d", number, i+1)
		r.Packs[i].Label.Load, r.Packs[i].Label.Date = number, r.Load.Date
	}
	for _, e := range edit {
		e(r)
	}
	return r
}

var cet = time.FixedZone("", 3600)

func local(s string) time.Time {
	t, err := time.ParseInLocation("2006-01-02 15:04", s, cet)
	if err != nil {
		panic(err)
	}
	return t
}

func bio(result load.Growth) func(*load.Record) {
	return test(func(b *load.Biological) { b.Result = result })
}

func deadControl(r *load.Record) {
	test(func(b *load.Biological) { b.Control.Result = load.Negative })(r)
}

func at121(r *load.Record) {
	r.Cycle.Settings.Temperature = celsius(121)
	r.Cycle.Settings.Hold = duration("30 min")
	r.Cycle.Printed = cycle.Printed{
		HoldTime: duration("1810 s"), MinimumTemperature: celsius(121), MaximumTemperature: celsius(122),
		AbsolutePressure: units.MustParse[units.AbsolutePressureUnit]("206 kPa"), DryingTime: duration("30 min"),
	}
}

// event is an event of sterilizer S1.
func event(kind calendar.EventKind, at string, edit ...func(*Event)) *Event {
	e := &Event{Format: EventFormat, ID: kind.String() + " " + at, Sterilizer: "S1", Kind: kind, Time: local(at)}
	if calendar.IsTest(kind) && kind != calendar.RequalificationEvent {
		e.By = "J. Doe"
	}
	for _, f := range edit {
		f(e)
	}
	return e
}

// explained is the cause of a failed cycle, with the name of who found it.
func explained(at string) *Event {
	return event(calendar.ExplainedEvent, at, func(e *Event) { e.By, e.Note = "J. Doe, technician", "the mains failed" })
}

func passed(a moistheat.Answer) func(*Event) { return func(e *Event) { e.Passed = a } }

// runWithSpores is a biological indicator test run without items.
func runWithSpores(at string, result load.Growth, edit ...func(*Event)) *Event {
	b := spores()
	b.Result = result
	return event(calendar.BiologicalTestEvent, at, append([]func(*Event){func(e *Event) {
		e.Biological, e.Physical, e.Chemical, e.Chamber = &b, yes, yes, calendar.EmptyChamber
		e.Settings.AirRemoval, e.Settings.Temperature = moistheat.DynamicAirRemoval, celsius(134)
	}}, edit...)...)
}

func history(t testing.TB, policyName string, what ...any) *History {
	h := New(policy(t, policyName))
	for _, w := range what {
		put(h, w)
	}
	return h
}

func put(h *History, w any) {
	switch w := w.(type) {
	case *load.Record:
		h.Add(w)
	case *Event:
		h.AddEvent(w)
	case *StoredPack:
		h.AddStored(w)
	case *Amendment:
		h.AddAmendment(w)
	case *cleaning.Batch:
		h.AddCleaning(w)
	default:
		panic(w)
	}
}

// says returns the worst outcome of a rule in a history's findings.
func says(h *History, rule, at string) moistheat.Outcome {
	out := moistheat.Outcome(0)
	for _, f := range h.Findings(local(at)) {
		if f.Rule == rule {
			out = max(out, f.Outcome)
		}
	}
	return out
}

func dueOf(t testing.TB, h *History, test calendar.EventKind, at string) Due {
	for _, d := range h.Due(local(at)) {
		if d.Duty.Test == test {
			return d
		}
	}
	require.Fail(t, "no such duty")
	return Due{}
}

// 2026-03-09 is a Monday.
func TestDue(t *testing.T) {
	monday := ran("1", "2026-03-09 09:00", bio(load.Negative))
	dead := ran("1", "2026-03-09 09:00", deadControl)
	run := func(at string) *load.Record { return ran("9", at) }
	air := event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(yes))
	for _, tt := range []struct {
		name, policy string
		test         calendar.EventKind
		at           string
		want         DueState
		what         []any
	}{
		// CDC 2003 F.6: at least weekly, by day: in time until the seventh ends. The test
		// ended on Monday at 09:50.
		{"a week later to the minute", "us-cdc-2003", calendar.BiologicalTestEvent, "2026-03-16 09:50", DueNow, []any{monday}},
		{"a day before that", "us-cdc-2003", calendar.BiologicalTestEvent, "2026-03-15 09:50", NotDue, []any{monday}},
		{"the last minute of the day", "us-cdc-2003", calendar.BiologicalTestEvent, "2026-03-16 23:59", DueNow, []any{monday, run("2026-03-16 17:00")}},
		{"a day later, not used", "us-cdc-2003", calendar.BiologicalTestEvent, "2026-03-17 09:51", DueNow, []any{monday}},
		{"a day later, used since", "us-cdc-2003", calendar.BiologicalTestEvent, "2026-03-17 12:00", Overdue, []any{monday, run("2026-03-17 09:01")}},
		{"used up to the end of the week only", "us-cdc-2003", calendar.BiologicalTestEvent, "2026-03-17 12:00", DueNow, []any{monday, run("2026-03-16 23:00")}},
		{"never", "us-cdc-2003", calendar.BiologicalTestEvent, "2026-03-10 12:00", Overdue, []any{run("2026-03-09 09:00")}},
		// A dead control voids the test (CDC 2003 F.6): the clock is not reset.
		{"a void test", "us-cdc-2003", calendar.BiologicalTestEvent, "2026-03-09 12:00", Overdue, []any{dead}},
		// A test that runs is pending, until it should have been read.
		{"still incubating", "us-cdc-2003", calendar.BiologicalTestEvent, "2026-03-09 12:00", Pending, []any{ran("1", "2026-03-09 09:00", bio(load.Pending))}},
		{"to be read", "us-cdc-2003", calendar.BiologicalTestEvent, "2026-03-10 09:50", Pending, []any{ran("1", "2026-03-09 09:00", bio(load.Pending))}},
		{"never read", "us-cdc-2003", calendar.BiologicalTestEvent, "2026-03-10 09:51", Overdue, []any{ran("1", "2026-03-09 09:00", bio(load.Pending))}},
		{"done, and another incubating", "us-cdc-2003", calendar.BiologicalTestEvent, "2026-03-11 12:00", NotDue, []any{monday, ran("2", "2026-03-11 09:00", bio(load.Pending))}},
		// California: backup units too, used or not (16 CCR 1005(b)(17)).
		// 16 CCR 1005, as a newsletter quotes it: weekly when patients are treated.
		{"a backup unit that is not used", "us-ca", calendar.BiologicalTestEvent, "2026-03-17 00:00", DueNow, []any{monday}},
		{"no backup unit elsewhere", "us-wa", calendar.BiologicalTestEvent, "2026-03-17 00:00", DueNow, []any{monday}},
		// Oregon: each calendar week with scheduled patients (OAR 818-012-0040).
		{"tested this week", "us-or", calendar.BiologicalTestEvent, "2026-03-15 23:00", NotDue, []any{monday}},
		{"next week", "us-or", calendar.BiologicalTestEvent, "2026-03-16 00:00", DueNow, []any{monday}},
		{"a week with patients went by", "us-or", calendar.BiologicalTestEvent, "2026-03-23 08:00", Overdue,
			[]any{monday, event(calendar.PatientsEvent, "2026-03-18 00:00", func(e *Event) { e.Patients = yes })}},
		{"a week without patients went by", "us-or", calendar.BiologicalTestEvent, "2026-03-23 08:00", DueNow,
			[]any{monday, event(calendar.PatientsEvent, "2026-03-18 00:00", func(e *Event) { e.Patients = no })}},
		// Florida, older text: 40 hours of use or 30 days (59Q-25.003(9)). Each
		// load of hours(n) runs ten hours.
		{"39 h of use", hoursOfUse, calendar.BiologicalTestEvent, "2026-03-20 08:00", NotDue, append([]any{monday}, hours(9, 10, 10, 10)...)},
		{"40 h of use", hoursOfUse, calendar.BiologicalTestEvent, "2026-03-20 08:00", Overdue, append([]any{monday}, hours(10, 10, 10, 10)...)},
		{"30 days, a minute short", hoursOfUse, calendar.BiologicalTestEvent, "2026-04-08 23:59", NotDue, []any{monday}},
		{"30 days", hoursOfUse, calendar.BiologicalTestEvent, "2026-04-09 00:00", Overdue, []any{monday}},
		// Arkansas and Denmark, as quoted: monthly, every three months.
		{"a month later to the minute", "us-ar", calendar.BiologicalTestEvent, "2026-04-09 12:00", DueNow, []any{monday, run("2026-04-09 09:00")}},
		{"later than a month", "us-ar", calendar.BiologicalTestEvent, "2026-04-10 12:00", Overdue, []any{monday, run("2026-04-10 09:01")}},
		{"three months", "denmark", calendar.BiologicalTestEvent, "2026-06-09 12:00", DueNow, []any{monday, run("2026-06-09 09:00")}},
		{"later than three months", "denmark", calendar.BiologicalTestEvent, "2026-06-10 12:00", Overdue, []any{monday, run("2026-06-10 09:01")}},
		// ST79: each kind of cycle (a trade journal after it).
		{"one kind tested", "us-st79", calendar.BiologicalTestEvent, "2026-03-09 18:00", Overdue, []any{monday, ran("2", "2026-03-09 11:00", at121)}},
		// Ontario: every day of use, every kind of cycle.
		{"another kind of cycle", "ontario", calendar.BiologicalTestEvent, "2026-03-09 18:00", DueNow, []any{monday, ran("2", "2026-03-09 11:00", at121)}},
		// England: air removal test each day of use, before the first load.
		{"no load yet", "england", calendar.AirRemovalEvent, "2026-03-10 07:00", DueNow, []any{run("2026-03-09 09:00")}},
		{"before the first load", "england", calendar.AirRemovalEvent, "2026-03-09 12:00", NotDue, []any{air, run("2026-03-09 09:00")}},
		{"after the first load", "england", calendar.AirRemovalEvent, "2026-03-09 12:00", Overdue, []any{air, run("2026-03-09 07:00")}},
		{"on no day", "england", calendar.AirRemovalEvent, "2026-03-09 12:00", Overdue, []any{run("2026-03-09 07:00")}},
		{"failed", "england", calendar.AirRemovalEvent, "2026-03-09 12:00", Failed, []any{event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(no)), run("2026-03-09 09:00")}},
		{"gravity", "england", calendar.AirRemovalEvent, "2026-03-09 12:00", NotDue, []any{ran("1", "2026-03-09 07:00", func(r *load.Record) {
			r.Cycle.Settings.AirRemoval = moistheat.GravityDisplacement
		})}},
		// Scotland: the manufacturer's schedule.
		{"manufacturer's schedule", "scotland", calendar.AirRemovalEvent, "2026-03-09 12:00", DueOpen,
			[]any{run("2026-03-09 07:00")}},
		// Scotland: automatic control test weekly, by day.
		{"weekly control test", "scotland", calendar.AutomaticControlTestEvent, "2026-03-13 12:00", NotDue, []any{run("2026-03-09 09:00"), event(calendar.AutomaticControlTestEvent, "2026-03-11 08:00", passed(yes))}},
		{"none last week", "scotland", calendar.AutomaticControlTestEvent, "2026-03-16 12:00", Overdue, []any{run("2026-03-09 09:00")}},
		// Australia: leak test each day of use, weekly with an air detector (RACGP).
		{"air detector not recorded", "australia", calendar.LeakEvent, "2026-03-09 12:00", DueOpen, []any{run("2026-03-09 09:00")}},
		{"no air detector", "australia", calendar.LeakEvent, "2026-03-09 12:00", Overdue, []any{ran("1", "2026-03-09 09:00", detector(no))}},
		{"an air detector", "australia", calendar.LeakEvent, "2026-03-09 12:00", NotDue, []any{ran("1", "2026-03-09 09:00", detector(yes))}},
		// Australia: daily steam penetration test for hollow items.
		{"no hollow items", "australia", calendar.AirRemovalEvent, "2026-03-09 12:00", NotDue, []any{run("2026-03-09 09:00")}},
		{"hollow items", "australia", calendar.AirRemovalEvent, "2026-03-09 12:00", Overdue, []any{ran("1", "2026-03-09 09:00", hollowItem)}},
		{"not recorded", "australia", calendar.AirRemovalEvent, "2026-03-09 12:00", Overdue, []any{ran("1", "2026-03-09 09:00", func(r *load.Record) { r.Packs[0].Items[0].Traits = nil })}},
	} {
		t.Run(tt.policy+"/"+tt.name, func(t *testing.T) {
			d := dueOf(t, history(t, tt.policy, tt.what...), tt.test, tt.at)
			assert.Equal(t, tt.want, d.State, d.String())
			assert.NotEmpty(t, d.Why)
		})
	}
}

// A calendar week is a matter of reading: Oregon's rule names no first day. A test on
// Monday 9 March and the next on Sunday 22 March keep both weeks from Monday (9 to 15
// and 16 to 22); from Sunday, the week of 15 to 21 March goes by without one.
func TestCalendarWeekByBothReadings(t *testing.T) {
	what := []any{
		ran("1", "2026-03-09 09:00", bio(load.Negative)), ran("2", "2026-03-18 09:00"), ran("3", "2026-03-22 09:00", bio(load.Negative)),
		event(calendar.PatientsEvent, "2026-03-09 00:00", func(e *Event) { e.Patients = yes }), event(calendar.PatientsEvent, "2026-03-18 00:00", func(e *Event) { e.Patients = yes }),
	}
	assert.Equal(t, met, says(history(t, "us-or", what...), "load.history.overdue", "2026-03-23 08:00"))
	both, err := load.ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-or","schedule":[{
		"test":"biological","cadence":"calendar week with patients","evenIfIdle":true,
		"week":{"begins":"sunday","source":{"document":"instruction 4","basis":"facility"}},"source":{"document":"instruction 4","basis":"facility"}}]}`))
	require.NoError(t, err)
	h := New(both)
	for _, w := range what {
		put(h, w)
	}
	var got []string
	for _, f := range h.Findings(local("2026-03-23 08:00")) {
		if f.Rule == "load.history.overdue" && f.Outcome == broken {
			got = append(got, f.Param("first")+": "+f.Param("duty"))
		}
	}
	assert.Equal(t, []string{"2026-03-15: biological indicator test, each calendar week with patients, from Sunday"}, got)
	// Saturday the 21st is the last day of that week, Sunday the first of the next.
	for _, d := range both.Schedule() {
		start := d.Week.Begins.Start(local("2026-03-22 12:00"))
		assert.Equal(t, map[calendar.WeekBeginning]time.Time{calendar.FromMonday: local("2026-03-16 00:00"), calendar.FromSunday: local("2026-03-22 00:00")}[d.Week.Begins], start)
	}
}

// Florida, older text: 40 hours of use or 30 days. Six cycles of 45 minutes a day on
// five days a week are 22.5 hours a week: after the first week 22.5, by Wednesday of
// the second 36, on its Thursday (day 10 of the calendar after the test on day 0) the
// sixth cycle passes 40. Two cycles of 35 minutes on three days are 3.5 hours a week:
// the 30 days rule.
func TestHoursOfUseOrDays(t *testing.T) {
	use := func(perDay, days, minutes, weeks int) *History {
		h := history(t, hoursOfUse, runWithSpores("2026-03-08 12:00", load.Negative)) // a Sunday
		n := 0
		for day := range 7 * weeks {
			if day%7 >= days {
				continue
			}
			for i := range perDay {
				n++
				put(h, ran(fmt.Sprint(n), local("2026-03-09 08:00").AddDate(0, 0, day).Add(time.Duration(i)*time.Hour).Format("2006-01-02 15:04"), func(r *load.Record) {
					r.Cycle.Ended = r.Cycle.Started.Add(time.Duration(minutes) * time.Minute)
				}))
			}
		}
		return h
	}
	busy := func(loads int) DueState { // after so many loads of the second Thursday
		h := history(t, hoursOfUse)
		all := use(6, 5, 45, 2)
		for _, e := range all.units()["S1"].all {
			if e.start.Before(local("2026-03-19 08:00").Add(time.Duration(loads) * time.Hour)) {
				h.unit("S1").put(e)
			}
		}
		return dueOf(t, h, calendar.BiologicalTestEvent, "2026-03-19 18:00").State
	}
	assert.Equal(t, NotDue, busy(5), "39.75 h")
	assert.Equal(t, Overdue, busy(6), "40.5 h")
	quiet := use(2, 3, 35, 5)
	assert.Equal(t, NotDue, dueOf(t, quiet, calendar.BiologicalTestEvent, "2026-04-07 23:59").State)
	assert.Equal(t, Overdue, dueOf(t, quiet, calendar.BiologicalTestEvent, "2026-04-08 00:00").State)
}

// hours are loads on the days from 10 March on that run so many hours.
func hours(each ...int) []any {
	var out []any
	for i, n := range each {
		out = append(out, ran(fmt.Sprint(100+i), fmt.Sprintf("2026-03-%d 08:00", 10+i), func(r *load.Record) {
			r.Cycle.Ended = r.Cycle.Started.Add(time.Duration(n) * time.Hour)
		}))
	}
	return out
}

func detector(a moistheat.Answer) func(*load.Record) {
	return func(r *load.Record) { r.Sterilizer.AirDetector = a }
}

func hollowItem(r *load.Record) {
	r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Hollow}
}

func TestRetiredSterilizerIsNotAsked(t *testing.T) {
	h := history(t, "us-cdc-2003", ran("1", "2026-03-09 09:00"), event(calendar.RetiredEvent, "2026-03-20 12:00"))
	assert.NotEmpty(t, h.Due(local("2026-03-20 11:59")))
	assert.Empty(t, h.Due(local("2026-03-20 12:00")))
}

func TestOverdueFindings(t *testing.T) {
	const rule = "load.history.overdue"
	week := func(edit ...func(*load.Record)) []any { // loads on Monday to Friday of two weeks
		var out []any
		for i, day := range []int{9, 10, 11, 12, 13, 16, 17, 18, 19, 20} {
			out = append(out, ran(fmt.Sprint(i+1), fmt.Sprintf("2026-03-%02d 09:00", day), edit...))
		}
		return out
	}
	find := func(h *History, test string) (out []string) {
		for _, f := range h.Findings(local("2026-03-22 12:00")) {
			if f.Rule == rule && f.Outcome > met && strings.HasPrefix(f.Param("test"), test) {
				out = append(out, f.Outcome.String()+" "+f.Param("count")+" "+f.Param("first")+" "+f.Param("last"))
			}
		}
		return out
	}
	// Tested on Monday 9 March at 09:50: the load of the 16th at 09:00 to 09:50 is in
	// time, those from the 17th to the 20th are not.
	h := history(t, "us-cdc-2003", append(week(), ran("1", "2026-03-09 09:00", bio(load.Negative)))...)
	assert.Equal(t, []string{"broken 4 2026-03-17 2026-03-20"}, find(h, "biological"))
	assert.Equal(t, broken, says(h, rule, "2026-03-22 12:00"))
	// Tested in every load.
	h = history(t, "us-cdc-2003", week(bio(load.Negative))...)
	assert.Equal(t, met, says(h, rule, "2026-03-22 12:00"))
	// Oregon: nobody said whether patients came in the second week.
	h = history(t, "us-or", append(week(), ran("1", "2026-03-09 09:00", bio(load.Negative)))...)
	assert.Empty(t, find(h, "biological"), "the week is not over on Sunday")
	assert.Equal(t, undetermined, says(h, rule, "2026-03-23 12:00"))
	h.AddEvent(event(calendar.PatientsEvent, "2026-03-17 00:00", func(e *Event) { e.Patients = yes }))
	assert.Equal(t, broken, says(h, rule, "2026-03-23 12:00"))
	// J03: a week without patients is accepted.
	h = history(t, "us-or", ran("1", "2026-03-09 09:00", bio(load.Negative)), event(calendar.PatientsEvent, "2026-03-17 00:00", func(e *Event) { e.Patients = no }))
	assert.Equal(t, met, says(h, rule, "2026-03-23 12:00"))
	// England, daily air removal test, missing on the 12th and 13th.
	tested := []any{}
	for _, day := range []int{9, 10, 11, 16, 17, 18, 19, 20} {
		tested = append(tested, event(calendar.AirRemovalEvent, fmt.Sprintf("2026-03-%02d 07:30", day), passed(yes)))
	}
	h = history(t, "england", append(tested, week()...)...)
	assert.Equal(t, []string{"broken 2 2026-03-12 2026-03-13"}, find(h, "air removal"))
	// Austria: the calendar asks for the tests that the check of a load asks for.
	h = history(t, "austria", append(tested, week()...)...)
	assert.Equal(t, []string{"broken 2 2026-03-12 2026-03-13"}, find(h, "air removal"))
}

// Every rule about a history can come out each way that it can.
func TestHistoryRules(t *testing.T) {
	const end = "2026-04-30 12:00"
	one := ran("1", "2026-03-09 09:00", bio(load.Negative))
	positive := ran("3", "2026-03-10 09:00", bio(load.Positive))
	implants := ran("2", "2026-03-09 13:00", implant)
	noPacks := ran("2", "2026-03-09 13:00", func(r *load.Record) { r.Packs = nil })
	out := event(calendar.OutOfUseEvent, "2026-03-11 09:00")
	repeat := runWithSpores("2026-03-11 12:00", load.Negative)
	repair := event(calendar.RepairedEvent, "2026-03-12 12:00")
	stored := func(where func(*StoredPack)) *StoredPack {
		s := &StoredPack{Format: StoredFormat, Pack: "3-1", Record: "3"}
		where(s)
		return s
	}
	used := func(s *StoredPack) { s.Use = &Use{Time: local("2026-03-12 09:00"), Patient: "p7"} }
	other := func(s *StoredPack) { s.Pack = "3-2" }
	series := []any{repair, runWithSpores("2026-03-12 13:00", load.Negative), runWithSpores("2026-03-12 14:00", load.Negative), runWithSpores("2026-03-12 15:00", load.Negative),
		event(calendar.AirRemovalEvent, "2026-03-12 16:00", passed(yes)), event(calendar.AirRemovalEvent, "2026-03-12 16:30", passed(yes)), event(calendar.AirRemovalEvent, "2026-03-12 17:00", passed(yes))}
	for _, tt := range []struct {
		rule string
		want moistheat.Outcome
		what []any
	}{
		{"load.history.void", met, []any{one}},
		{"load.history.void", broken, []any{ran("1", "2026-03-09 09:00", deadControl)}},
		{"load.history.void", undetermined, []any{ran("1", "2026-03-09 09:00", bio(load.Pending))}},
		{"load.history.void", notAsked, []any{implants}},
		// K06 and K08: items in the chamber; exposure over 4 min; drying.
		{"load.history.void", broken, []any{event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(yes), func(e *Event) { e.Chamber = calendar.FullChamber })}},
		{"load.history.void", broken, []any{event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(yes), func(e *Event) { e.Settings.Hold = duration("241 s") })}},
		{"load.history.void", met, []any{event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(yes), func(e *Event) { e.Settings.Hold = duration("240 s") })}},
		{"load.history.void", broken, []any{event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(yes), func(e *Event) { e.Settings.Drying = duration("1 s") })}},
		{"load.history.void", met, []any{event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(yes), func(e *Event) { e.Settings.Drying = duration("0 s") })}},
		{"load.history.gap", met, []any{one, implants, positive}},
		{"load.history.gap", broken, []any{one, positive}},
		// A12: a logged test fills the gap.
		{"load.history.gap", met, []any{one, positive, event(calendar.LeakEvent, "2026-03-10 07:00", passed(yes), func(e *Event) { e.Number = "2" })}},
		{"load.history.gap", notAsked, []any{event(calendar.LeakEvent, "2026-03-10 07:00", passed(yes))}},
		{"load.history.repeat", met, []any{one}},
		{"load.history.repeat", broken, []any{one, ran("1b", "2026-03-09 13:00", func(r *load.Record) { r.Cycle.Number = "1" })}},
		{"load.history.repeat", notAsked, []any{event(calendar.LeakEvent, "2026-03-10 07:00", passed(yes))}},
		{"load.history.decrease", met, []any{one, implants}},
		{"load.history.decrease", broken, []any{one, ran("0", "2026-03-09 13:00")}},
		{"load.history.decrease", notAsked, []any{event(calendar.LeakEvent, "2026-03-10 07:00", passed(yes))}},
		{"load.history.overlap", met, []any{one, ran("2", "2026-03-09 09:50")}},
		{"load.history.overlap", broken, []any{one, ran("2", "2026-03-09 09:49")}},
		{"load.history.overlap", notAsked, []any{event(calendar.LeakEvent, "2026-03-10 07:00", passed(yes))}},
		{"load.history.undated", met, []any{one}},
		{"load.history.undated", undetermined, []any{ran("1", "2026-03-09 09:00", func(r *load.Record) { r.Cycle, r.Unloading = nil, load.Unloading{} })}},
		{"load.history.outofuse", broken, []any{out, ran("4", "2026-03-11 09:01")}},
		{"load.history.outofuse", notAsked, []any{event(calendar.OutOfUseEvent, "2026-03-11 09:01"), ran("4", "2026-03-11 09:00")}},
		{"load.history.outofuse", notAsked, []any{out, event(calendar.ReturnedEvent, "2026-03-11 10:00"), ran("4", "2026-03-11 10:01")}},
		{"load.history.outofuse", met, []any{out, ran("4", "2026-03-11 09:01", bio(load.Negative), func(r *load.Record) { r.Release = nil })}},
		{"load.history.outofuse", notAsked, []any{one}},

		{"load.recall.positive", broken, []any{one, positive}},
		{"load.recall.positive", notAsked, []any{one}},
		{"load.recall.penetration", broken, []any{one, event(calendar.AirRemovalEvent, "2026-03-10 07:30", passed(no))}},
		{"load.recall.penetration", notAsked, []any{one, event(calendar.AirRemovalEvent, "2026-03-10 07:30", passed(yes))}},
		{"load.recall.leak", broken, []any{one, event(calendar.LeakEvent, "2026-03-10 07:30", passed(no))}},
		// 0.13 kPa/min is the limit, inclusive (HTM 2010; EN 285; EN 13060).
		{"load.recall.leak", broken, []any{one, event(calendar.LeakEvent, "2026-03-10 07:30", passed(yes), leaked("0.131 kPa/min"))}},
		{"load.recall.leak", notAsked, []any{one, event(calendar.LeakEvent, "2026-03-10 07:30", passed(yes), leaked("0.13 kPa/min"))}},
		{"load.recall.setting", broken, []any{one, event(calendar.WrongSettingEvent, "2026-03-10 07:30")}},
		{"load.recall.setting", notAsked, []any{one}},
		{"load.recall.released", broken, []any{ran("1", "2026-03-09 09:00", func(r *load.Record) { r.Cycle.Aborted = yes })}},
		{"load.recall.released", notAsked, []any{one}},
		{"load.recall.implant", broken, []any{one, implants, positive}},
		{"load.recall.implant", undetermined, []any{one, noPacks, positive}},
		{"load.recall.implant", notAsked, []any{implants, ran("4", "2026-03-09 15:00", bio(load.Negative)), positive}},
		{"load.recall.unbounded", met, []any{one, positive}},
		{"load.recall.unbounded", broken, []any{ran("1", "2026-03-09 09:00", deadControl), positive}},
		{"load.recall.unbounded", notAsked, []any{one}},
		{"load.recall.untraced", broken, []any{one, positive}},
		{"load.recall.untraced", broken, []any{one, positive, stored(used), stored(func(s *StoredPack) { other(s); used(s); s.Use.Patient = "" })}},
		{"load.recall.untraced", met, []any{one, positive, stored(used), stored(other)}},
		{"load.recall.untraced", undetermined, []any{one, ran("3", "2026-03-10 09:00", bio(load.Positive), func(r *load.Record) { r.Packs = nil })}},
		{"load.recall.untraced", notAsked, []any{one}},
		{"load.positive.open", broken, []any{one, positive}},
		{"load.positive.open", met, []any{one, positive, repeat}},
		{"load.positive.open", notAsked, []any{one}},
		{"load.positive.repeat", broken, []any{one, positive, runWithSpores("2026-03-11 12:00", load.Negative, func(e *Event) { e.Settings.Temperature = celsius(121) })}},
		{"load.positive.repeat", met, []any{one, positive, repeat}},
		{"load.positive.repeat", notAsked, []any{one, positive}},
		{"load.positive.chamber", met, append([]any{one, positive}, series...)},
		{"load.positive.chamber", broken, []any{one, repair, runWithSpores("2026-03-12 13:00", load.Negative, func(e *Event) { e.Chamber = calendar.FullChamber })}},
		{"load.positive.chamber", undetermined, []any{one, repair, runWithSpores("2026-03-12 13:00", load.Negative, func(e *Event) { e.Chamber = "" })}},
		{"load.positive.chamber", notAsked, []any{one}},
		{"load.positive.requalify", broken, []any{one, repair}},
		{"load.positive.requalify", met, append([]any{one}, series...)},
		{"load.positive.requalify", notAsked, []any{one, event(calendar.UpkeepEvent, "2026-03-12 12:00")}}, // K13: a gasket only
		{"load.storage.unreleased", broken, []any{one, positive, stored(used)}},
		{"load.storage.unreleased", undetermined, []any{one, stored(used)}},
		// A pack may be rejected or held while its load is released.
		{"load.storage.unreleased", broken, []any{ran("3", "2026-03-10 09:00", func(r *load.Record) { r.Packs[0].Condition.Dry = no }), stored(used)}},
		{"load.storage.unreleased", broken, []any{ran("3", "2026-03-10 09:00", func(r *load.Record) { r.Packs[0].Condition.Dry = unknown }), stored(used)}},
		{"load.storage.unreleased", met, []any{ran("3", "2026-03-10 09:00", func(r *load.Record) { r.Packs[1].Condition.Dry = no }), stored(used)}},
		// What was not recorded at first may be recorded later; what was broken stays.
		{"load.storage.unreleased", met, []any{ran("3", "2026-03-10 09:00", func(r *load.Record) { r.Packs[0].Condition.Dry = unknown }), ran("3", "2026-03-10 09:00"), stored(used)}},
		{"load.storage.unreleased", broken, []any{ran("3", "2026-03-10 09:00", func(r *load.Record) { r.Packs[0].Condition.Dry = no }), ran("3", "2026-03-10 09:00"), stored(used)}},
		{"load.storage.unreleased", met, []any{ran("3", "2026-03-10 09:00"), stored(used)}},
		{"load.storage.unreleased", notAsked, []any{one}},
		// O15: others repeat a positive test within two days on average.
		{"load.positive.late", met, []any{one, positive, out, runWithSpores("2026-03-13 09:00", load.Negative)}},
		{"load.positive.late", broken, []any{one, positive, out, runWithSpores("2026-03-13 09:01", load.Negative)}},
		{"load.positive.late", broken, []any{one, positive, out}}, // never
		{"load.positive.late", undetermined, []any{one, positive, repeat}},
		{"load.positive.late", notAsked, []any{one, out}},
		// O13: a pack in store that names no load while loads are recalled.
		{"load.recall.unlabelled", met, []any{one, positive, stored(other)}},
		{"load.recall.unlabelled", broken, []any{one, positive, stored(func(s *StoredPack) { s.Pack, s.Record = "?", "" })}},
		{"load.recall.unlabelled", broken, []any{one, positive, stored(func(s *StoredPack) { s.Pack, s.Record, s.Sterilizer = "?", "", "S1" })}},
		{"load.recall.unlabelled", notAsked, []any{one, positive, stored(func(s *StoredPack) { s.Pack, s.Record, s.Sterilizer = "?", "", "S2" })}},
		{"load.recall.unlabelled", notAsked, []any{one, stored(func(s *StoredPack) { s.Pack, s.Record = "?", "" })}},
		// H12: the result that an emergency did not wait for; it takes a day.
		{"load.implant.owed", met, []any{urgent(load.Negative)}},
		{"load.implant.owed", met, []any{urgent(load.Positive)}},
		{"load.implant.owed", broken, []any{urgent(load.Pending)}},
		{"load.implant.owed", broken, []any{urgent(load.Negative, func(b *load.Biological) { b.Control.Result = load.Negative })}},
		{"load.implant.owed", undetermined, []any{urgent(load.Negative, func(b *load.Biological) { b.Control.Lot = "" })}},
		{"load.implant.owed", notAsked, []any{ran("1", "2026-03-09 09:00", implant, bio(load.Pending))}},
		// K07: an air removal test in a cycle without any.
		{"load.history.void", broken, []any{event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(yes), func(e *Event) { e.Settings.AirRemoval = moistheat.GravityDisplacement })}},
		{"load.history.void", met, []any{event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(yes), func(e *Event) { e.Settings.AirRemoval = moistheat.DynamicAirRemoval })}},
		// M06: evidence that comes later, in a version without a decision, reopens a
		// load that was released.
		{"load.recall.released", broken, []any{ran("1", "2026-03-09 09:00"), ran("1", "2026-03-09 09:00", bio(load.Positive), func(r *load.Record) { r.Release = nil })}},
		{"load.recall.released", broken, []any{ran("1", "2026-03-09 09:00", bio(load.Positive), func(r *load.Record) { r.Release = nil }), ran("1", "2026-03-09 09:00")}},
		{"load.recall.released", notAsked, []any{ran("1", "2026-03-09 09:00", func(r *load.Record) { r.Release = nil }), ran("1", "2026-03-09 09:00", bio(load.Negative))}},
		{"load.drift.moved", undetermined, []any{one}},
		{"load.drift.moved", notAsked, []any{repeat}},
	} {
		h := history(t, "us-cdc-2003", tt.what...)
		assert.Equal(t, tt.want, says(h, tt.rule, end), "%s", tt.rule)
		for _, f := range h.Findings(local(end)) {
			if f.Outcome > met {
				assert.NotContains(t, h.Message(f), "{", "%s is not filled in", f.Rule)
			}
			assert.NotZero(t, f.Sources.Len())
		}
	}
}

// urgent is a load with an implant that was released in an emergency, with a passed
// integrating indicator; its spores take a day.
func urgent(result load.Growth, edit ...func(*load.Biological)) *load.Record {
	return ran("1", "2026-03-09 09:00", implant, test(func(b *load.Biological) {
		b.Result = result
		for _, e := range edit {
			e(b)
		}
	}), func(r *load.Record) { r.Release.Emergency = &load.Emergency{Reason: "fracture", ApprovedBy: "Dr. N"} })
}

// The obligation of an emergency release: the load ends at 09:50, its spores take 24
// hours; where their time is not recorded, the 7 days of ISO 11138-1 (quoted).
func TestEmergencyObligation(t *testing.T) {
	const rule = "load.implant.owed"
	h := history(t, "us-cdc-2003", urgent(load.Pending))
	assert.Equal(t, undetermined, says(h, rule, "2026-03-10 09:50"), "still owed")
	assert.Equal(t, broken, says(h, rule, "2026-03-10 09:51"))
	put(h, urgent(load.Negative)) // the record again, with the result
	assert.Equal(t, met, says(h, rule, "2026-03-10 09:51"))
	h = history(t, "us-cdc-2003", urgent(load.Pending, func(b *load.Biological) { b.Readout = units.Duration{} }))
	assert.Equal(t, undetermined, says(h, rule, "2026-03-16 09:50"))
	assert.Equal(t, broken, says(h, rule, "2026-03-16 09:51"))
}

// K17: calibration within the period of validation: Australia a year (RACGP),
// Germany 24 months. A policy without such a period does not ask.
func TestCalibration(t *testing.T) {
	calibrated := event(calendar.CalibrationEvent, "2026-03-09 08:00", passed(yes))
	run := func(at string) *load.Record { return ran("1", at) }
	for _, tt := range []struct {
		policy string
		want   moistheat.Outcome
		what   []any
	}{
		{"australia", met, []any{calibrated, run("2027-03-09 08:00")}},
		{"australia", broken, []any{calibrated, run("2027-03-09 08:01")}},
		{"germany", met, []any{calibrated, run("2028-03-09 08:00")}},
		{"germany", broken, []any{calibrated, run("2028-03-09 08:01")}},
		{"australia", undetermined, []any{run("2027-03-09 08:00")}},
		{"australia", undetermined, []any{event(calendar.CalibrationEvent, "2026-03-09 08:00", passed(no)), run("2027-03-09 08:00")}},
		{"australia", notAsked, []any{calibrated}},
		{"us-cdc-2003", notAsked, []any{calibrated, run("2030-03-09 08:01")}},
	} {
		const rule = "load.history.calibration"
		assert.Equal(t, tt.want, says(history(t, tt.policy, tt.what...), rule, "2031-01-01 12:00"), "%s %v", tt.policy, tt.want)
	}
}

// P01 to P03: records discarded before their time.
func TestDiscarded(t *testing.T) {
	const rule = "load.history.discarded"
	thrown := func(at string, kind calendar.RecordKind, newest moistheat.Date) *Event {
		return event(calendar.DiscardedEvent, at, func(e *Event) { e.Records, e.Newest = kind, newest })
	}
	given := event(calendar.RetiredEvent, "2030-06-01 12:00")
	for _, tt := range []struct {
		policy string
		want   moistheat.Outcome
		what   []any
	}{
		// Oregon: the current and two preceding calendar years.
		{"us-or", broken, []any{thrown("2028-12-31 12:00", calendar.BiologicalRecords, day(2026, 1, 1))}},
		{"us-or", met, []any{thrown("2029-01-01 12:00", calendar.BiologicalRecords, day(2026, 1, 1))}},
		{"us-or", undetermined, []any{thrown("2029-01-01 12:00", calendar.CycleRecords, day(2026, 1, 1))}}, // left open
		{"us-or", broken, []any{thrown("2028-12-31 12:00", calendar.AllRecords, day(2026, 1, 1))}},
		{"us-or", undetermined, []any{thrown("2029-01-01 12:00", calendar.AllRecords, day(2026, 1, 1))}}, // of the other kinds it does not speak
		// California: 12 months.
		{"us-ca", broken, []any{thrown("2027-03-09 12:00", calendar.BiologicalRecords, day(2026, 3, 9))}},
		{"us-ca", met, []any{thrown("2027-03-10 12:00", calendar.BiologicalRecords, day(2026, 3, 9))}},
		// Australia: 7 years, every record.
		{"australia", met, []any{thrown("2033-03-10 12:00", calendar.AllRecords, day(2026, 3, 9))}},
		{"australia", broken, []any{thrown("2033-03-09 12:00", calendar.AllRecords, day(2026, 3, 9))}},
		// Scotland: the life of the equipment and 25 years.
		{"scotland", broken, []any{thrown("2050-01-01 12:00", calendar.EquipmentRecords, day(2026, 3, 9))}},
		{"scotland", broken, []any{given, thrown("2055-06-01 12:00", calendar.EquipmentRecords, day(2026, 3, 9))}},
		{"scotland", met, []any{given, thrown("2055-06-02 12:00", calendar.EquipmentRecords, day(2026, 3, 9))}},
		{"us-ca", undetermined, []any{thrown("2030-03-10 12:00", calendar.BiologicalRecords, moistheat.Date{})}},
		{"us-ca", undetermined, []any{thrown("2030-03-10 12:00", "", day(2026, 3, 9))}},
		{"us-ca", notAsked, []any{given}},
	} {
		h := history(t, tt.policy, tt.what...)
		assert.Equal(t, tt.want, says(h, rule, "2060-01-01 12:00"), "%s %v", tt.policy, tt.what[len(tt.what)-1])
		for _, f := range h.Findings(local("2060-01-01 12:00")) {
			if f.Rule == rule && f.Outcome > met {
				assert.NotContains(t, h.Message(f), "{")
			}
		}
	}
}

// N12: the oldest first.
func TestRotation(t *testing.T) {
	const rule = "load.storage.rotation"
	pack := func(id string, made moistheat.Date, used string) *StoredPack {
		s := &StoredPack{Format: StoredFormat, Pack: id, Record: id, Contents: "forceps", Sterilized: made}
		if used != "" {
			s.Use = &Use{Time: local(used)}
		}
		return s
	}
	for name, tt := range map[string]struct {
		want moistheat.Outcome
		what []any
	}{
		"older left":            {broken, []any{pack("A", day(2026, 3, 9), ""), pack("B", day(2026, 3, 10), "2026-03-11 09:00")}},
		"older used later":      {broken, []any{pack("A", day(2026, 3, 9), "2026-03-11 09:01"), pack("B", day(2026, 3, 10), "2026-03-11 09:00")}},
		"older used before":     {met, []any{pack("A", day(2026, 3, 9), "2026-03-11 08:59"), pack("B", day(2026, 3, 10), "2026-03-11 09:00")}},
		"of the same day":       {met, []any{pack("A", day(2026, 3, 10), ""), pack("B", day(2026, 3, 10), "2026-03-11 09:00")}},
		"only newer":            {met, []any{pack("A", day(2026, 3, 11), ""), pack("B", day(2026, 3, 10), "2026-03-11 09:00")}},
		"one of three left":     {broken, []any{pack("A", day(2026, 3, 8), "2026-03-09 09:00"), pack("C", day(2026, 3, 9), ""), pack("B", day(2026, 3, 10), "2026-03-11 09:00")}},
		"other contents":        {met, []any{func() *StoredPack { s := pack("A", day(2026, 3, 9), ""); s.Contents = "probes"; return s }(), pack("B", day(2026, 3, 10), "2026-03-11 09:00")}},
		"contents not recorded": {undetermined, []any{func() *StoredPack { s := pack("B", day(2026, 3, 9), "2026-03-11 09:00"); s.Contents = ""; return s }()}},
		"nothing used":          {notAsked, []any{pack("A", day(2026, 3, 9), "")}},
	} {
		assert.Equal(t, tt.want, says(history(t, "queensland", tt.what...), rule, "2026-04-01 12:00"), name)
	}
	assert.Equal(t, notInForce, says(history(t, "us-cdc-2003", pack("A", day(2026, 3, 9), ""), pack("B", day(2026, 3, 10), "2026-03-11 09:00")), rule, "2026-04-01 12:00"))
}

// Of two versions of one pack in store the same one counts, whichever came first.
func TestTwoVersionsOfAPack(t *testing.T) {
	a := &StoredPack{Format: StoredFormat, Pack: "A", Record: "1", Contents: "forceps", Sterilized: day(2026, 3, 9)}
	b := &StoredPack{Format: StoredFormat, Pack: "A", Record: "1", Contents: "probes", Sterilized: day(2026, 3, 9)}
	used := &StoredPack{Format: StoredFormat, Pack: "B", Record: "2", Contents: "forceps", Sterilized: day(2026, 3, 10), Use: &Use{Time: local("2026-03-11 09:00")}}
	assert.Equal(t, answers(history(t, "australia", a, b, used)), answers(history(t, "australia", b, a, used)))
}

func TestOutages(t *testing.T) {
	h := history(t, "us-cdc-2003",
		event(calendar.OutOfUseEvent, "2026-03-09 08:00", func(e *Event) { e.By, e.Note = "AB", "leak" }), event(calendar.OutOfUseEvent, "2026-03-09 09:00"),
		ran("1", "2026-03-09 10:00"), runWithSpores("2026-03-09 12:00", load.Negative), ran("2", "2026-03-09 13:00", bio(load.Negative), func(r *load.Record) { r.Release = nil }),
		event(calendar.ReturnedEvent, "2026-03-10 08:00"), event(calendar.ReturnedEvent, "2026-03-10 09:00"), ran("3", "2026-03-10 10:00"),
		event(calendar.OutOfUseEvent, "2026-03-11 08:00"))
	at := eventID(h, calendar.OutOfUseEvent)
	want := []Outage{
		{Sterilizer: "S1", From: local("2026-03-09 08:00"), To: local("2026-03-10 08:00"), Cause: calendar.TakenOut, Event: at[0], By: "AB", Note: "leak", Loads: 1},
		{Sterilizer: "S1", From: local("2026-03-11 08:00"), Cause: calendar.TakenOut, Event: at[2]},
	}
	assert.Empty(t, cmp.Diff(want, h.OutOfService(), cmpopts.IgnoreUnexported(Outage{})))
	assert.Equal(t, "S1 out of service from 9 March 2026, 08:00 to 10 March 2026, 08:00: it was taken out of service",
		h.OutOfService()[0].String())
	failed := history(t, "us-cdc-2003", event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(no))).OutOfService()
	require.Len(t, failed, 1)
	assert.Contains(t, failed[0].String(), "S1 out of service since 9 March 2026, 07:30: the air removal test ")
	assert.Empty(t, history(t, "us-cdc-2003", ran("1", "2026-03-09 10:00")).OutOfService())
}

// A test that is due each week whether the sterilizer is used or not is overdue unless the
// log says of each seven days that no patients were seen.
func TestDueWhereTheClinicIsShut(t *testing.T) {
	p, err := load.ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours",
		"base":"us-cdc-2003","schedule":[{"test":"biological","cadence":"interval","every":"P7D","evenIfIdle":true,
		"source":{"document":"instruction 4","basis":"facility"}}]}`))
	require.NoError(t, err)
	noPatients := func(at string) *Event {
		return event(calendar.PatientsEvent, at, func(e *Event) { e.Patients = no })
	}
	for _, tt := range []struct {
		name string
		want DueState
		what []any
	}{
		{"nothing noted", Overdue, nil},
		{"the first week noted", Overdue, []any{noPatients("2026-03-12 00:00")}},
		{"the second week noted", Overdue, []any{noPatients("2026-03-19 00:00")}},
		{"both weeks noted", DueNow, []any{noPatients("2026-03-12 00:00"), noPatients("2026-03-19 00:00")}},
	} {
		h := New(p)
		for _, w := range append(tt.what, ran("1", "2026-03-09 09:00", bio(load.Negative))) {
			put(h, w)
		}
		asked := 0
		for _, d := range h.Due(local("2026-03-24 12:00")) { // two weeks and a day after the test
			if d.Duty.EvenIfIdle == yes {
				asked++
				assert.Equal(t, tt.want, d.State, "%s: %s", tt.name, d)
			}
		}
		assert.Equal(t, 1, asked, tt.name)
	}
}

// eventID returns where findings about the events of a kind point to, in order.
func eventID(h *History, k calendar.EventKind) (out []string) {
	for _, e := range h.units()["S1"].timeline() {
		if e.kind == k {
			out = append(out, e.pointer())
		}
	}
	return out
}

func leaked(rate string) func(*Event) {
	return func(e *Event) { e.LeakRate = units.MustParse[units.PressureRateUnit](rate) }
}

func TestNumbers(t *testing.T) {
	s := NewSummary(policy(t, "us-cdc-2003"))
	for _, n := range []string{"S-7", "S-3", "S-4", "S-4", "S-9", "x", "12"} {
		s.AddEvent(event(calendar.LeakEvent, "2026-03-09 07:00", func(e *Event) { e.Number = n }))
	}
	var got []string
	for _, g := range s.Numbers() {
		got = append(got, fmt.Sprint(g, " ", g.Used))
	}
	assert.Equal(t, []string{"S-5 to S-6 0", "S-8 0", "S-4 2"}, got)
}

// random makes records and events of a few weeks, failures among them.
func random(rng *rand.Rand) []any {
	var out []any
	pick := func(p float64) bool { return rng.Float64() < p }
	for i := range 25 {
		at := fmt.Sprintf("2026-03-%02d %02d:%02d", 1+rng.IntN(28), 8+rng.IntN(9), rng.IntN(60))
		var edit []func(*load.Record)
		switch {
		case pick(0.2):
			edit = append(edit, bio(load.Negative))
		case pick(0.08):
			edit = append(edit, bio(load.Positive))
		case pick(0.1):
			edit = append(edit, deadControl)
		case pick(0.1):
			edit = append(edit, bio(load.Pending))
		}
		if pick(0.2) {
			edit = append(edit, at121)
		}
		if pick(0.1) {
			edit = append(edit, implant)
			if pick(0.5) {
				edit = append(edit, func(r *load.Record) { r.Release.Emergency = &load.Emergency{Reason: "fracture", ApprovedBy: "Dr. N"} })
			}
		}
		if pick(0.1) {
			edit = append(edit, func(r *load.Record) { r.Release = nil })
		}
		if pick(0.1) {
			edit = append(edit, func(r *load.Record) { r.Cycle.Aborted = yes })
		}
		if pick(0.3) {
			edit = append(edit, func(r *load.Record) { r.Sterilizer.ID, r.Cycle.Sterilizer = "S2", "S2" })
		}
		if pick(0.05) {
			edit = append(edit, func(r *load.Record) { r.Cycle, r.Unloading = nil, load.Unloading{} })
		}
		if pick(0.4) {
			edit = append(edit, detector([]moistheat.Answer{yes, no}[rng.IntN(2)]))
		}
		out = append(out, ran(fmt.Sprint(i+1), at, edit...))
		if pick(0.1) { // a second version that knows nothing of what the first says
			out = append(out, ran(fmt.Sprint(i+1), at))
		}
		if pick(0.15) { // a second version of the record
			out = append(out, ran(fmt.Sprint(i+1), at, append(edit, bio([]load.Growth{load.Negative, load.Positive, load.Pending}[rng.IntN(3)]))...))
		}
		at = fmt.Sprintf("2026-03-%02d %02d:%02d", 1+rng.IntN(28), 7+rng.IntN(11), rng.IntN(60))
		switch rng.IntN(10) {
		case 0:
			out = append(out, event(calendar.AirRemovalEvent, at, passed([]moistheat.Answer{yes, yes, yes, no, unknown}[rng.IntN(5)])))
		case 1:
			out = append(out, event(calendar.LeakEvent, at, passed(yes), leaked([]string{"0.1 kPa/min", "0.2 kPa/min"}[rng.IntN(2)])))
		case 2:
			out = append(out, runWithSpores(at, []load.Growth{load.Negative, load.Negative, load.Negative, load.Positive}[rng.IntN(4)]))
		case 3:
			out = append(out, event([]calendar.EventKind{calendar.OutOfUseEvent, calendar.ReturnedEvent, calendar.RepairedEvent, calendar.UpkeepEvent, calendar.WrongSettingEvent}[rng.IntN(5)], at))
		case 4:
			out = append(out, event(calendar.PatientsEvent, at, func(e *Event) { e.Patients = []moistheat.Answer{yes, no}[rng.IntN(2)] }))
		case 6:
			out = append(out, event(calendar.CalibrationEvent, at, passed(yes)))
		case 7:
			out = append(out, event(calendar.DiscardedEvent, at, func(e *Event) {
				records := [...]calendar.RecordKind{"", calendar.AllRecords, calendar.BiologicalRecords, calendar.CycleRecords, calendar.EquipmentRecords}
				e.Records, e.Newest = records[rng.IntN(5)], day(2024, 3, 1+rng.IntN(28))
			}))
		case 5:
			n := rng.IntN(8) + 1
			s := &StoredPack{Format: StoredFormat, Pack: fmt.Sprintf("%d-1", n), Record: fmt.Sprint(n)}
			s.Contents, s.Sterilized = []string{"forceps", "probes", ""}[rng.IntN(3)], day(2026, 3, 1+rng.IntN(28))
			if pick(0.2) {
				s.Record = ""
			}
			if pick(0.5) {
				s.Use = &Use{Time: local(at), Patient: fmt.Sprint("p", n)}
			}
			out = append(out, s)
		}
	}
	return out
}

// answers is everything that a history says, as text.
func answers(h *History) string {
	var b strings.Builder
	for _, day := range []string{"2026-03-11 12:00", "2026-03-31 18:00"} {
		for _, d := range h.Due(local(day)) {
			fmt.Fprintln(&b, d)
		}
		for _, f := range h.Findings(local(day)) {
			fmt.Fprintln(&b, f.Pointer, f.Rule, f.Outcome, h.Message(f))
		}
	}
	for _, s := range h.Recall() {
		fmt.Fprintln(&b, s, s.Packs)
	}
	for _, p := range h.Procedures() {
		fmt.Fprintln(&b, p.Cause, p.State, p.Good, p.Next(), p.Ends(), p.Steps)
	}
	for _, d := range h.Drift() {
		fmt.Fprintln(&b, d)
	}
	for _, c := range h.Chains(local("2026-03-31 18:00")) {
		fmt.Fprintln(&b, c)
	}
	for _, pack := range []string{"1-1", "4-2", "Q"} {
		fmt.Fprintln(&b, h.MayOpen(pack, local("2026-03-11 12:00")).Text())
	}
	fmt.Fprintln(&b, h.Status(), h.OutOfService())
	fmt.Fprintln(&b, h.Summary().Usage(), h.Summary().Numbers())
	return b.String()
}

// What a history says depends neither on the order of arrival nor on the parts it
// came in: merging is associative and commutative, and saying a thing twice changes
// nothing.
func TestOrderAndPartsDoNotMatter(t *testing.T) {
	for seed := range uint64(testrun.Sample(20, 4)) {
		rng := rand.New(rand.NewPCG(seed, 1))
		what := random(rng)
		name := []string{"us-cdc-2003", "us-cdc-2008", "us-or", "england", "ontario", "us-st79", "queensland"}[seed%7]
		want := answers(history(t, name, what...))
		shuffled := append([]any{}, what...)
		rng.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		require.Empty(t, cmp.Diff(want, answers(history(t, name, shuffled...))), "seed %d: order", seed)

		i, j := len(what)/3, 2*len(what)/3
		parts := func() (a, b, c *History) {
			return history(t, name, shuffled[:i]...), history(t, name, shuffled[i:j]...), history(t, name, shuffled[j:]...)
		}
		a, b, c := parts()
		require.NoError(t, a.Merge(b))
		require.NoError(t, a.Merge(c))
		require.Empty(t, cmp.Diff(want, answers(a)), "seed %d: (a+b)+c", seed)
		a, b, c = parts()
		require.NoError(t, c.Merge(b))
		require.NoError(t, c.Merge(a))
		require.NoError(t, c.Merge(a))
		require.Empty(t, cmp.Diff(want, answers(c)), "seed %d: c+b+a+a", seed)
		a, b, c = parts()
		require.NoError(t, b.Merge(c))
		require.NoError(t, a.Merge(b))
		require.Empty(t, cmp.Diff(want, answers(a)), "seed %d: a+(b+c)", seed)
	}
	h := New(policy(t, "us-or"))
	assert.Error(t, h.Merge(New(policy(t, "us-ca"))))
	assert.Error(t, NewSummary(policy(t, "us-or")).Merge(NewSummary(policy(t, "us-ca"))))
}

// A summary of parts, merged in any order, equals the summary of the whole.
func TestSummaryMerges(t *testing.T) {
	text := func(s *Summary) string {
		var b strings.Builder
		for _, d := range s.Due(local("2026-03-31 18:00")) {
			fmt.Fprintln(&b, d)
		}
		fmt.Fprintln(&b, s.Usage(), s.Numbers())
		return b.String()
	}
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 2))
		p := policy(t, []string{"us-cdc-2003", "us-fl", "us-or", "england", "ontario", "australia"}[seed%6])
		what := random(rng)
		parts := [3]*Summary{NewSummary(p), NewSummary(p), NewSummary(p)}
		whole := NewSummary(p)
		for _, w := range what {
			part := parts[rng.IntN(3)]
			switch w := w.(type) {
			case *load.Record:
				report := load.Check(w, p)
				whole.Add(w, report)
				part.Add(w, report)
			case *Event:
				whole.AddEvent(w)
				part.AddEvent(w)
			}
		}
		want := text(whole)
		left := NewSummary(p)
		for _, i := range []int{0, 1, 2} {
			require.NoError(t, left.Merge(parts[i]))
		}
		require.Equal(t, want, text(left), "seed %d", seed)
		require.NoError(t, parts[2].Merge(parts[1]))
		require.NoError(t, parts[2].Merge(parts[0]))
		require.Equal(t, want, text(parts[2]), "seed %d", seed)
	}
}

// A further failed test never makes the suspect set smaller or an action milder.
func TestFailedTestNeverShrinksTheRecall(t *testing.T) {
	for seed := range uint64(testrun.Sample(60, 6)) {
		rng := rand.New(rand.NewPCG(seed, 3))
		what := random(rng)
		name := []string{"us-cdc-2003", "us-cdc-2008", "us-oh", "england", "ontario", "us-st79"}[seed%6]
		before := history(t, name, what...).Recall()
		at := fmt.Sprintf("2026-03-%02d %02d:%02d", 1+rng.IntN(28), 7+rng.IntN(11), rng.IntN(60))
		failed := []any{
			ran("99", at, bio(load.Positive)),
			runWithSpores(at, load.Positive),
			event(calendar.AirRemovalEvent, at, passed(no)),
			event(calendar.LeakEvent, at, leaked("0.5 kPa/min")),
			event(calendar.WrongSettingEvent, at),
		}[rng.IntN(5)]
		after := map[string]RecallAction{}
		for _, s := range history(t, name, append(what, failed)...).Recall() {
			after[s.Sterilizer+"/"+s.Record] = s.Action
		}
		for _, s := range before {
			require.GreaterOrEqual(t, after[s.Sterilizer+"/"+s.Record], s.Action, "seed %d: load %s after %v", seed, s.Number, failed)
		}
	}
}

// A history that is not added to may be read from many goroutines, the first time, too, when
// what versions come to is worked out.
func TestHistoryIsSafeToRead(t *testing.T) {
	w := &world{Rand: rand.New(rand.NewPCG(9, 9))}
	what := w.lines(60)
	want := answers(history(t, "us-cdc-2003", what...))
	h := history(t, "us-cdc-2003", what...)
	require.True(t, h.unread)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() { assert.Equal(t, want, answers(h)) })
	}
	wg.Wait()
}

// Records and events with next to nothing in them are taken in and never give a
// pass.
func TestEmptyEntries(t *testing.T) {
	h := New(policy(t, "us-cdc-2003"))
	assert.NotNil(t, h.Add(nil))
	assert.Empty(t, h.Sterilizers())
	h.AddEvent(nil)
	h.AddStored(nil)
	h.Add(&load.Record{})
	h.AddEvent(&Event{})
	h.AddStored(&StoredPack{Use: &Use{}})
	require.Len(t, h.Due(local("2026-03-09 12:00")), 1)
	for _, f := range h.Findings(local("2026-03-09 12:00")) {
		if f.Rule == "load.history.undated" || f.Rule == "load.history.overdue" || f.Rule == "load.storage.unreleased" {
			assert.NotEqual(t, met, f.Outcome, f.Rule)
		}
	}
	h.Recall()
	h.Procedures()
	h.Status()
}
