package history

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// actions returns what the recall list asks of each load, by number.
func actions(h *History) map[string]RecallAction {
	out := map[string]RecallAction{}
	for _, s := range h.Recall() {
		out[s.Number] = s.Action
	}
	return out
}

func loadsOf(h *History, a RecallAction) (out []string) {
	for _, s := range h.Recall() {
		if s.Action == a {
			out = append(out, s.Number)
		}
	}
	return out
}

// The size of the suspect set with a biological indicator test in the first load of each week
// or day, the second one positive: weekly with 4 loads a day on 5 days 20 loads, 6 a
// day 30, 8 a day on 6 days 48; daily 4, 6 and 8. Arithmetic of the definition in
// CDC 2003 F.9 and CDC 2008 table 12: after the last negative, the positive load
// included.
func TestRecallWindowSizes(t *testing.T) {
	for _, tt := range []struct {
		perDay, days int
		daily        bool
		want         int
	}{{4, 5, false, 20}, {6, 5, false, 30}, {8, 6, false, 48}, {4, 5, true, 4}, {6, 5, true, 6}, {8, 6, true, 8}} {
		h := history(t, "us-cdc-2003")
		n, positive := 0, 0
		for day := range 8 {
			if day%7 >= tt.days {
				continue
			}
			for i := range tt.perDay {
				n++
				var edit []func(*load.Record)
				first := i == 0 && (day == 0 || tt.daily && day == 1 || !tt.daily && day == 7)
				if day > 0 && tt.daily && (day > 1 || i > 0) || day == 7 && i > 0 {
					continue // nothing more after the positive load
				}
				if first && positive == 0 && day == 0 {
					edit = append(edit, bio(load.Negative))
				} else if first {
					edit, positive = append(edit, bio(load.Positive)), n
				}
				put(h, ran(fmt.Sprint(n), fmt.Sprintf("2026-03-%02d %02d:00", 9+day, 8+i), edit...))
			}
		}
		require.NotZero(t, positive)
		assert.Len(t, h.Recall(), tt.want, "%+v", tt)
	}
}

// The loads of a worked scenario: the last negative test in load 1, seventeen loads
// without one, load 19 positive; load 7 held two implants.
func scenario(t testing.TB, policyName string, more ...any) *History {
	h := history(t, policyName, ran("1", "2026-03-05 09:00", bio(load.Negative)))
	n := 1
	for _, day := range []int{6, 9, 10, 11} {
		for hour := 8; hour < 13 && n < 18; hour++ {
			n++
			var edit []func(*load.Record)
			if n == 7 {
				edit = append(edit, implant, func(r *load.Record) { implants2(r) })
			}
			put(h, ran(fmt.Sprint(n), fmt.Sprintf("2026-03-%02d %02d:00", day, hour), edit...))
		}
	}
	put(h, ran("19", "2026-03-12 08:00", bio(load.Positive)))
	for _, w := range more {
		put(h, w)
	}
	return h
}

func implants2(r *load.Record) { r.Packs[1].Items[0].Traits = r.Packs[0].Items[0].Traits }

func TestScenarioPositive(t *testing.T) {
	out := event(calendar.OutOfUseEvent, "2026-03-12 11:00")
	h := scenario(t, "us-cdc-2003", out)
	list := h.Recall()
	require.Len(t, list, 18, "18 loads since the last negative")
	assert.Equal(t, "7", list[0].Number, "implants first")
	assert.Equal(t, Recall, list[0].Action)
	// CDC 2003: no recall yet of the others; the positive load itself is rejected.
	assert.Equal(t, []string{"7", "19"}, loadsOf(h, Recall))
	assert.Len(t, loadsOf(h, Trace), 16)
	require.NotEmpty(t, list[0].Because)
	assert.Contains(t, list[0].Because[0], "after the last negative biological indicator test (load 1, ")
	assert.Contains(t, list[0].Because[0], "up to the newest (no later test has ended the failure)")
	p := h.Procedures()
	require.Len(t, p, 1)
	assert.Equal(t, Repeating, p[0].State)
	assert.True(t, p[0].OutOfUse)
	assert.Contains(t, p[0].Next(), "same kind of cycle")
	report := load.Check(ran("19", "2026-03-12 08:00", bio(load.Positive)), policy(t, "us-cdc-2003"))
	assert.Equal(t, moistheat.Reject, report.Verdict.Load)
	assert.Equal(t, moistheat.OutOfService, report.Verdict.Sterilizer)

	// A conservative facility recalls after the first.
	strict, err := load.ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-cdc-2003",
		"positive":{"repeats":1,"outOfServiceAfter":1,"recallAfter":1,"afterRepair":3,"airRemovalTests":3,"perCycleKind":true,"chamber":"empty","sources":[{"document":"instruction 4","basis":"facility"}]}}`))
	require.NoError(t, err)
	own := New(strict)
	for _, u := range h.units() {
		for _, e := range u.all {
			own.unit("S1").put(e)
		}
	}
	assert.Len(t, loadsOf(own, Recall), 18)

	// The repeat is negative, its control grew, everything else is good.
	good := runWithSpores("2026-03-12 12:00", load.Negative)
	h = scenario(t, "us-cdc-2003", out, good)
	assert.Equal(t, Finished, h.Procedures()[0].State, "CDC 2003: back in service")
	h = scenario(t, "us-cdc-2008", out, good)
	p = h.Procedures()
	assert.Equal(t, Repeating, p[0].State, "CDC 2008: still out")
	assert.Equal(t, 2, p[0].Needed-p[0].Good, "two more negatives in a row")
	assert.Contains(t, p[0].Ends(), "2 more negative biological indicator tests in a row")

	// The repeat is positive: out until inspected, recall everything; after the
	// repair three in a row in the empty chamber.
	bad := runWithSpores("2026-03-12 12:00", load.Positive)
	h = scenario(t, "us-cdc-2003", out, bad)
	assert.Len(t, loadsOf(h, Recall), 18)
	p = h.Procedures()
	assert.Equal(t, AwaitingRepair, p[0].State)
	assert.True(t, p[0].OutOfUse)
	h = scenario(t, "us-cdc-2003", out, bad, event(calendar.RepairedEvent, "2026-03-13 09:00"),
		runWithSpores("2026-03-13 10:00", load.Negative), runWithSpores("2026-03-13 11:00", load.Negative))
	p = h.Procedures()
	assert.Equal(t, Requalifying, p[0].State)
	assert.Equal(t, "run biological indicator tests in consecutive cycles; 2 of 3 negative so far. Run consecutive air removal tests, too; 0 of 3 passed so far.", p[0].Next())
	put(h, runWithSpores("2026-03-13 12:00", load.Negative))
	for _, at := range []string{"2026-03-13 13:00", "2026-03-13 14:00", "2026-03-13 15:00"} {
		assert.Equal(t, Requalifying, h.Procedures()[0].State)
		put(h, event(calendar.AirRemovalEvent, at, passed(yes)))
	}
	assert.Equal(t, Finished, h.Procedures()[0].State)
	assert.Len(t, loadsOf(h, Recall), 18, "the recall stays")
}

// A negative test whose control did not grow is void: the clock is not reset and
// the last valid negative stays the bound.
func TestScenarioDeadControl(t *testing.T) {
	h := history(t, "us-cdc-2003", ran("1", "2026-03-02 09:00", bio(load.Negative)), ran("2", "2026-03-05 09:00"),
		ran("3", "2026-03-09 12:00", deadControl), ran("4", "2026-03-10 09:00"))
	d := dueOf(t, h, calendar.BiologicalTestEvent, "2026-03-10 12:00")
	assert.Equal(t, Overdue, d.State)
	assert.Equal(t, local("2026-03-02 09:50"), d.Last)
	put(h, ran("5", "2026-03-11 09:00", bio(load.Positive)))
	assert.Len(t, h.Recall(), 4)
	assert.NotContains(t, actions(h), "1")
}

func TestRecallBounds(t *testing.T) {
	good := ran("1", "2026-03-09 08:00", bio(load.Negative)) // ends 08:50
	grew := ran("9", "2026-03-10 08:00", bio(load.Positive))
	for _, tt := range []struct {
		name string
		what []any
		want []string
	}{
		{"the good load is left out, the positive one is in", []any{good, grew}, []string{"9"}},
		{"started as the good one ended", []any{good, grew, ran("2", "2026-03-09 08:50")}, []string{"9"}},
		{"started a minute later", []any{good, grew, ran("2", "2026-03-09 08:51")}, []string{"2", "9"}},
		{"out of use and returned, with no good test", []any{good, grew, event(calendar.OutOfUseEvent, "2026-03-11 10:00"), event(calendar.ReturnedEvent, "2026-03-11 10:00"), ran("2", "2026-03-11 10:00"), ran("3", "2026-03-11 10:01")}, []string{"2", "3", "9"}},
		{"up to the end of the good test, and out of service until it is read", []any{good, grew, runWithSpores("2026-03-11 10:00", load.Negative), ran("2", "2026-03-12 09:59"), ran("3", "2026-03-12 10:00")}, []string{"2", "9"}},
		{"never taken out", []any{good, grew, ran("2", "2026-03-30 10:00")}, []string{"2", "9"}},
		{"only returned", []any{good, grew, event(calendar.ReturnedEvent, "2026-03-12 10:00"), ran("2",
			"2026-03-30 10:00")}, []string{"2", "9"}},
		{"no good test: from the first load", []any{grew, ran("2", "2026-01-02 10:00")}, []string{"2", "9"}},
		{"a void test is no bound", []any{grew, ran("2", "2026-01-02 10:00"), ran("3", "2026-03-09 08:00", deadControl)}, []string{"2", "3", "9"}},
		{"an empty one is one", []any{grew, ran("2", "2026-01-02 10:00"), runWithSpores("2026-03-09 08:00", load.Negative)},
			[]string{"9"}},
		{"a load without a time is suspect", []any{good, grew, ran("2", "2026-01-02 10:00", func(r *load.Record) { r.Cycle, r.Unloading = nil, load.Unloading{} })}, []string{"2", "9"}},
		{"another sterilizer", []any{good, grew, ran("2", "2026-03-09 10:00", func(r *load.Record) { r.Sterilizer.ID = "S2" })}, []string{"9"}},
		{"another kind of cycle on it", []any{good, grew, ran("2", "2026-03-09 10:00", at121)}, []string{"2", "9"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var got []string
			for _, s := range history(t, "us-cdc-2003", tt.what...).Recall() {
				if len(s.Because) > 1 || !strings.Contains(s.Because[0],
					"what is on record now does not support that") {
					got = append(got, s.Number)
				}
			}
			assert.ElementsMatch(t, tt.want, got)
		})
	}
}

// Of two loads for which the same is to be done the sterilizer comes first, then the time.
func TestOrderOfARecall(t *testing.T) {
	on := func(s string) func(*load.Record) { return func(r *load.Record) { r.Sterilizer.ID = s } }
	var got []string
	for _, s := range history(t, "us-cdc-2003", ran("1", "2026-03-09 11:00", on("S2"), bio(load.Positive)),
		ran("2", "2026-03-09 13:00", on("S1"), bio(load.Positive)),
		ran("3", "2026-03-09 15:00", on("S1"), bio(load.Positive)),
		ran("4", "2026-03-09 09:00", on("S2"), bio(load.Positive))).Recall() {
		got = append(got, s.Sterilizer+" "+s.Number)
	}
	assert.Equal(t, []string{"S1 2", "S1 3", "S2 4", "S2 1"}, got)
}

// A first positive test whose physical record or indicators are not good is no
// spore test's accident: everything is recalled (CDC 2003, text).
func TestRecallWhenThePositiveRunWasUnsound(t *testing.T) {
	base := []any{ran("1", "2026-03-09 08:00", bio(load.Negative)), ran("2", "2026-03-09 10:00")}
	for _, tt := range []struct {
		name string
		edit func(*load.Record)
		want RecallAction
	}{
		{"all good", func(*load.Record) {}, Trace},
		{"hold too short", func(r *load.Record) { r.Cycle.Printed.HoldTime = duration("100 s") }, Recall},
		{"indicator outside unchanged", func(r *load.Record) { r.Packs[0].Indicators[0].Result = packaging.NotReached }, Recall},
		{"indicator outside not read", func(r *load.Record) { r.Packs[0].Indicators[0].Result = "" }, Recall},
		{"no physical record", func(r *load.Record) { r.Cycle.Printed.HoldTime = duration("100 s") }, Recall},
	} {
		h := history(t, "us-cdc-2003", append(base, ran("9", "2026-03-10 08:00", bio(load.Positive), tt.edit))...)
		assert.Equal(t, tt.want, actions(h)["2"], tt.name)
	}
	// A policy that leaves it open recalls.
	h := history(t, "england", append(base, ran("9", "2026-03-10 08:00", bio(load.Positive)))...)
	assert.Equal(t, Recall, actions(h)["2"])
	assert.Equal(t, LeftOpen, h.Procedures()[0].State)
}

func TestRecallAfterEquipmentTests(t *testing.T) {
	gravity := func(r *load.Record) {
		r.Cycle.Settings.AirRemoval = moistheat.GravityDisplacement
		r.Cycle.Settings.Hold, r.Cycle.Printed.HoldTime = duration("30 min"), duration("1801 s")
	}
	base := []any{
		ran("1", "2026-03-09 09:00"), event(calendar.AirRemovalEvent, "2026-03-10 07:30", passed(yes)), event(calendar.LeakEvent, "2026-03-10 07:00", passed(yes), leaked("0.05 kPa/min")),
		ran("2", "2026-03-10 09:00"), ran("3", "2026-03-10 11:00", gravity), ran("4", "2026-03-11 09:00"),
	}
	holds := func(more ...any) map[string]bool {
		out := map[string]bool{}
		for _, s := range history(t, "ireland", append(base, more...)...).Recall() {
			for _, b := range s.Because {
				if strings.Contains(b, " failed (") {
					assert.GreaterOrEqual(t, s.Action, Quarantine)
					out[s.Number] = true
				}
			}
		}
		return out
	}
	assert.Empty(t, holds())
	// Hold the loads since the last pass (Irish code 2015); gravity cycles do not
	// depend on the test.
	failed := event(calendar.AirRemovalEvent, "2026-03-12 07:30", passed(no))
	assert.Equal(t, map[string]bool{"2": true, "4": true}, holds(failed))
	assert.Equal(t, map[string]bool{"2": true, "4": true, "5": true}, holds(failed, ran("5", "2026-03-12 09:00")))
	assert.Equal(t, map[string]bool{"2": true, "4": true}, holds(failed, event(calendar.AirRemovalEvent, "2026-03-12 08:30", passed(yes)), ran("5", "2026-03-12 09:00")))
	assert.Equal(t, map[string]bool{"2": true, "4": true}, holds(event(calendar.LeakEvent, "2026-03-12 07:00", leaked("0.14 kPa/min"))))
	// Without a pass, from the first; what is run after a failed test is run out of
	// service, a gravity cycle too.
	assert.Equal(t, map[string]bool{"1": true, "2": true, "3": true, "4": true},
		holds(failed, event(calendar.AirRemovalEvent, "2026-03-10 07:30", passed(no))))
	// What another kind of test says does not end it, and a test without a result is no pass.
	assert.Equal(t, map[string]bool{"2": true, "4": true, "5": true},
		holds(failed, event(calendar.LeakEvent, "2026-03-12 08:30", passed(yes), leaked("0.05 kPa/min")), ran("5", "2026-03-12 09:00")))
	assert.Equal(t, map[string]bool{"2": true, "4": true},
		holds(failed, event(calendar.AirRemovalEvent, "2026-03-10 12:30")))
}

// Wrong settings recall every load run with them, whatever the spore test says (CDC
// 2008 table 12).
func TestRecallAfterWrongSetting(t *testing.T) {
	h := history(t, "us-cdc-2008", ran("1", "2026-03-09 09:00"), ran("2", "2026-03-09 11:00", at121, bio(load.Negative)), ran("3", "2026-03-09 13:00", at121),
		event(calendar.WrongSettingEvent, "2026-03-10 09:00", func(e *Event) { e.Settings.Temperature = celsius(121) }))
	assert.ElementsMatch(t, []string{"2", "3"}, loadsOf(h, Recall))
	put(h, event(calendar.WrongSettingEvent, "2026-03-10 10:00", func(e *Event) { e.Settings.Temperature, e.Settings.Hold = celsius(134), duration("301 s") }))
	assert.ElementsMatch(t, []string{"2", "3"}, loadsOf(h, Recall), "load 1 held 300 s")
	put(h, event(calendar.WrongSettingEvent, "2026-03-10 11:00", func(e *Event) { e.Settings.Temperature, e.Settings.Hold = celsius(134), duration("300 s") }))
	assert.ElementsMatch(t, []string{"1", "2", "3"}, loadsOf(h, Recall))
}

// What neither the event nor the load records may be the same.
func TestRecallAfterWrongSettingOfWhatIsNotRecorded(t *testing.T) {
	run := func(number string, edit func(*load.Record)) *load.Record {
		return ran(number, "2026-03-09 09:00", edit)
	}
	loads := []any{
		run("full", func(r *load.Record) { r.Cycle.Settings.Hold = duration("300 s") }),
		run("gravity", func(r *load.Record) { r.Cycle.Settings.AirRemoval = moistheat.GravityDisplacement }),
		run("no air removal", func(r *load.Record) { r.Cycle.Settings.AirRemoval = "" }),
		run("121", func(r *load.Record) { r.Cycle.Settings.Temperature = celsius(121) }),
		run("no temperature", func(r *load.Record) { r.Cycle.Settings.Temperature = units.Temperature{} }),
		run("301", func(r *load.Record) { r.Cycle.Settings.Hold = duration("301 s") }),
		run("no hold", func(r *load.Record) { r.Cycle.Settings.Hold = units.Duration{} }),
	}
	for _, tt := range []struct {
		name string
		edit func(*Event)
		not  []string // all but these come back
	}{
		{"nothing recorded", func(*Event) {}, nil},
		{"air removal", func(e *Event) { e.Settings.AirRemoval = moistheat.DynamicAirRemoval }, []string{"gravity"}},
		{"the other air removal", func(e *Event) { e.Settings.AirRemoval = moistheat.GravityDisplacement }, []string{"full", "121", "no temperature", "301", "no hold"}},
		{"temperature", func(e *Event) { e.Settings.Temperature = celsius(134) }, []string{"121"}},
		{"the other temperature", func(e *Event) { e.Settings.Temperature = celsius(121) }, []string{"full", "gravity", "no air removal", "301", "no hold"}},
		{"hold", func(e *Event) { e.Settings.Hold = duration("5 min") }, []string{"301"}},
		{"all", func(e *Event) {
			e.Settings.AirRemoval, e.Settings.Temperature, e.Settings.Hold = moistheat.DynamicAirRemoval, celsius(134), duration("300 s")
		}, []string{"gravity", "121", "301"}},
	} {
		var want []string
		for _, l := range loads {
			if number := l.(*load.Record).Load.Number; !slices.Contains(tt.not, number) {
				want = append(want, number)
			}
		}
		var got []string
		for _, s := range history(t, "us-cdc-2008", append(loads, event(calendar.WrongSettingEvent, "2026-03-10 09:00", tt.edit))...).Recall() {
			for _, b := range s.Because {
				if strings.HasPrefix(b, "A wrong setting") {
					got = append(got, s.Number)
				}
			}
		}
		assert.ElementsMatch(t, want, got, tt.name)
	}
}

// The sentence says where the window ends: at the test that ended the failure, whatever
// was done meanwhile.
func TestRecallSaysUntilWhen(t *testing.T) {
	out, back := event(calendar.OutOfUseEvent, "2026-03-09 11:00"), event(calendar.ReturnedEvent, "2026-03-09 12:00")
	newest := "up to the newest (no later test has ended the failure)"
	for _, tt := range []struct {
		name string
		what []any
		want string
	}{
		{"nothing", nil, newest},
		{"out of use", []any{out, ran("2", "2026-03-09 13:00")}, newest},
		{"returned", []any{out, back, ran("2", "2026-03-09 13:00")}, newest},
		{"returned later", []any{event(calendar.ReturnedEvent, "2026-03-11 09:00")}, newest},
		{"repeated well", []any{runWithSpores("2026-03-10 12:00", load.Negative), ran("3", "2026-03-10 14:00")},
			"up to the test that ended the failure (biological indicator test \"biological 2026-03-10 12:00\" of 10 March 2026, 12:00)"},
		{"repeated badly", []any{runWithSpores("2026-03-10 12:00", load.Negative, func(e *Event) { e.Physical = no }), ran("3", "2026-03-10 14:00")}, newest},
	} {
		h := history(t, "us-cdc-2003", append(tt.what, ran("1", "2026-03-09 08:00", bio(load.Negative)), ran("9", "2026-03-10 08:00", bio(load.Positive)))...)
		var got string
		for _, s := range h.Recall() {
			if s.Number == "9" {
				got = strings.Join(s.Because, " ")
			}
		}
		assert.Contains(t, got,
			"this load was run after the last negative biological indicator test (load 1, 9 March 2026, 08:50) and "+tt.want+".", tt.name)
	}
}

// Why all loads are recalled is said with the reason that the policy counts.
func TestRecallSaysWhyAll(t *testing.T) {
	first := func(a moistheat.Answer) *Event {
		return runWithSpores("2026-03-10 08:00", load.Positive, func(e *Event) { e.Physical = a })
	}
	second := func(a moistheat.Answer) *Event {
		return runWithSpores("2026-03-11 08:00", load.Positive, func(e *Event) { e.Chemical = a })
	}
	unsound := "Physical record or chemical indicators of a positive test failed or are not recorded."
	for _, tt := range []struct {
		name, policy, want string
		what               []any
	}{
		{"one", "us-cdc-2003",
			"After a first positive test, with physical record and indicators passed, the policy requires the recall of implants and of the load itself only.", []any{first(yes)}},
		{"two", "us-cdc-2003", "Positive tests so far: 2; the policy requires a recall after 2.",
			[]any{first(yes), second(yes)}},
		{"one, physical record failed", "us-cdc-2003", unsound, []any{first(no)}},
		{"one, physical record not recorded", "us-cdc-2003", unsound, []any{first(unknown)}},
		{"the first unsound", "us-cdc-2003", unsound, []any{first(no), second(yes)}},
		{"the second unsound", "us-cdc-2003", unsound, []any{first(yes), second(no)}},
		{"the second not recorded", "us-cdc-2003", unsound, []any{first(yes), second(unknown)}},
		{"no policy", "england", "The policy does not state when a recall is required, so the load is recalled.",
			[]any{first(yes)}},
		{"no policy and unsound", "england", "The policy does not state when a recall is required, so the load is recalled.",
			[]any{first(no)}},
	} {
		h := history(t, tt.policy, append(tt.what, ran("1", "2026-03-09 08:00"))...)
		n := 0
		for _, b := range h.Recall()[0].Because {
			if strings.HasPrefix(b, "The biological indicator test") {
				assert.True(t, strings.HasSuffix(b, ". "+tt.want), "%s: %s", tt.name, b)
				n++
			}
		}
		assert.NotZero(t, n, tt.name)
	}
}

func TestSuspectString(t *testing.T) {
	s := SuspectLoad{Sterilizer: "S1", Number: "7", Action: Recall, Because: []string{"One.", "Two."}}
	for _, tt := range []struct {
		implants moistheat.Answer
		want     string
	}{
		{no, "S1, load 7: recall: One. Two."},
		{unknown, "S1, load 7: recall: One. Two."},
		{yes, "S1, load 7: recall, IMPLANTS: One. Two."},
	} {
		s.Implants = tt.implants
		assert.Equal(t, tt.want, s.String())
	}
}

// The findings of a recall name the test as a person does, and only a biological one
// is asked for one before it.
func TestRecallFindingsNameTheTest(t *testing.T) {
	one := func(h *History, rule string) (out []string) {
		for _, f := range h.Findings(local("2026-03-20 12:00")) {
			if f.Rule == rule && f.Outcome == broken {
				for _, p := range f.Params {
					if p.Name == "what" {
						out = append(out, p.Value.String())
					}
				}
			}
		}
		return out
	}
	h := history(t, "us-cdc-2003", ran("1", "2026-03-09 08:00", bio(load.Positive)))
	assert.Equal(t, []string{"biological indicator test of load 1"}, one(h, "load.recall.positive"))
	h = history(t, "us-cdc-2003", runWithSpores("2026-03-09 08:00", load.Positive))
	assert.Equal(t, []string{`biological indicator test "biological 2026-03-09 08:00" of 9 March 2026, 08:00`}, one(h,
		"load.recall.positive"))
	h = history(t, "us-cdc-2003", ran("1", "2026-03-09 09:00"), event(calendar.AirRemovalEvent, "2026-03-10 07:30", passed(no)))
	assert.Equal(t, []string{"air removal test of 10 March 2026, 07:30"}, one(h, "load.recall.penetration"))
	assert.Equal(t, notAsked, says(h, "load.recall.unbounded", "2026-03-20 12:00"), "no biological indicator test failed")
}

// A good test that begins at the minute in which the positive run ends ends the failure,
// and of tests that overlap the one that ends first does.
func TestWhichGoodTestEndsAFailure(t *testing.T) {
	line := func(what ...any) []*occurrence {
		return history(t, "us-cdc-2003", what...).units()["S1"].timeline()
	}
	all := line(ran("9", "2026-03-10 08:00", bio(load.Positive)), ran("10", "2026-03-10 08:50", bio(load.Negative)))
	f := failuresOf(all, nil)
	require.Len(t, f, 1)
	assert.Same(t, all[1], f[0].end)
	until := func(at string) func(*Event) {
		return func(e *Event) { e.Started, e.Time, e.Passed = e.Time, local(at), yes }
	}
	all = line(event(calendar.LeakEvent, "2026-03-10 07:00", passed(no)),
		event(calendar.LeakEvent, "2026-03-10 09:00", until("2026-03-10 11:00")),
		event(calendar.LeakEvent, "2026-03-10 09:30", until("2026-03-10 10:00")))
	leak := ofAir(all, calendar.LeakEvent, rules.RecallLeak)
	require.Len(t, leak, 1)
	assert.Same(t, all[2], leak[0].end)
}

// Only loads count as run while the sterilizer was out of use.
func TestOutageCountsLoads(t *testing.T) {
	out := event(calendar.OutOfUseEvent, "2026-03-09 08:00")
	tests := []any{event(calendar.AirRemovalEvent, "2026-03-09 09:00", passed(yes)), event(calendar.LeakEvent, "2026-03-09 10:00", passed(yes)), runWithSpores("2026-03-09 11:00", load.Negative)}
	for n := range 2 {
		h := history(t, "us-cdc-2003", append(tests, out)...)
		for i := range n {
			put(h, ran(fmt.Sprint(i), fmt.Sprintf("2026-03-09 %d:00", 12+i)))
		}
		require.Len(t, h.OutOfService(), 1)
		assert.Equal(t, n, h.OutOfService()[0].Loads)
	}
}

// M06: a load that was released later gets failing evidence.
func TestLateEvidenceReopensALoad(t *testing.T) {
	r := ran("1", "2026-03-09 09:00", bio(load.Pending))
	h := history(t, "us-cdc-2003", r)
	assert.Empty(t, h.Recall())
	put(h, ran("1", "2026-03-09 09:00", bio(load.Positive)))
	assert.Equal(t, []string{"1"}, loadsOf(h, Recall))
	assert.Equal(t, broken, says(h, "load.recall.released", "2026-03-10 12:00"))
	put(h, r) // the older version arrives once more
	assert.Equal(t, []string{"1"}, loadsOf(h, Recall))
}

func TestWhereabouts(t *testing.T) {
	h := history(t, "us-cdc-2003", ran("1", "2026-03-09 09:00", bio(load.Positive)),
		&StoredPack{Format: StoredFormat, Pack: "1-1", Sterilizer: "S1", Load: "1", Use: &Use{Time: local("2026-03-10 09:00"), Patient: "p7"}},
		&StoredPack{Format: StoredFormat, Pack: "1-1", Sterilizer: "S1", Load: "1"})
	packs := h.Recall()[0].Packs
	assert.Equal(t, []SuspectPack{{ID: "1-1", Implant: no, Where: Used, Patient: "p7", Used: local("2026-03-10 09:00")}, {ID: "1-2", Implant: no}}, packs)
}

func TestStatus(t *testing.T) {
	one := ran("1", "2026-03-09 09:00", bio(load.Negative))
	bad := event(calendar.AirRemovalEvent, "2026-03-10 07:30", passed(no))
	out := event(calendar.OutOfUseEvent, "2026-03-10 08:00")
	grew := ran("2", "2026-03-10 09:00", bio(load.Positive))
	aborted := ran("2", "2026-03-10 09:00", func(r *load.Record) { r.Cycle.Aborted = yes })
	found := func(e *Event) { e.By, e.Note = "J. Doe, technician", "the mains failed" }
	for _, tt := range []struct {
		name string
		want moistheat.Service
		what []any
	}{
		{"nothing against it", moistheat.InService, []any{one}},
		{"a failed test", moistheat.OutOfService, []any{one, bad}},
		{"and a good one after it", moistheat.InService, []any{one, bad, event(calendar.AirRemovalEvent, "2026-03-10 08:30", passed(yes))}},
		{"a good one before it", moistheat.OutOfService, []any{one, bad, event(calendar.AirRemovalEvent, "2026-03-10 07:00", passed(yes))}},
		{"a void one after it", moistheat.OutOfService, []any{one, bad, event(calendar.AirRemovalEvent, "2026-03-10 08:30", passed(yes), func(e *Event) { e.Chamber = calendar.FullChamber })}},
		{"a good one of another kind", moistheat.OutOfService, []any{one, bad, event(calendar.LeakEvent, "2026-03-10 08:30", passed(yes))}},
		{"taken out", moistheat.OutOfService, []any{one, out}},
		{"returned", moistheat.InService, []any{one, out, event(calendar.ReturnedEvent, "2026-03-11 08:00")}},
		{"positive", moistheat.OutOfService, []any{one, grew}},
		{"positive and repeated", moistheat.InService, []any{one, grew, runWithSpores("2026-03-11 10:00", load.Negative)}},
		{"repeated before it was read", moistheat.OutOfService, []any{one, grew, runWithSpores("2026-03-11 09:00", load.Negative)}},
		{"repaired", moistheat.OutOfService, []any{one, event(calendar.RepairedEvent, "2026-03-11 08:00")}},
		// CDC 2003 F.5: out until it is explained.
		{"aborted", moistheat.OutOfService, []any{one, ran("2", "2026-03-10 09:00", func(r *load.Record) { r.Cycle.Aborted = yes }), ran("3", "2026-03-10 11:00")}},
		// An entry without evidence ends nothing, nor does upkeep.
		{"aborted and returned", moistheat.OutOfService, []any{one, ran("2", "2026-03-10 09:00", func(r *load.Record) { r.Cycle.Aborted = yes }), event(calendar.ReturnedEvent, "2026-03-11 08:00")}},
		{"aborted and a part changed", moistheat.OutOfService, []any{one, ran("2", "2026-03-10 09:00", func(r *load.Record) { r.Cycle.Aborted = yes }), event(calendar.UpkeepEvent, "2026-03-11 08:00")}},
		{"aborted and explained", moistheat.InService, []any{one, aborted, event(calendar.ExplainedEvent, "2026-03-11 08:00", found)}},
		{"explained by nobody", moistheat.OutOfService, []any{one, aborted, event(calendar.ExplainedEvent, "2026-03-11 08:00", found, func(e *Event) { e.By = "" })}},
		{"explained by nothing", moistheat.OutOfService, []any{one, aborted, event(calendar.ExplainedEvent, "2026-03-11 08:00", found, func(e *Event) { e.Note = "" })}},
		{"explained before it", moistheat.OutOfService, []any{one, aborted, event(calendar.ExplainedEvent, "2026-03-10 08:00", found)}},
		{"aborted, then spores", moistheat.OutOfService, []any{one, aborted, runWithSpores("2026-03-11 08:00", load.Negative)}},
		{"aborted and requalified", moistheat.InService, []any{one, aborted, event(calendar.RequalificationEvent, "2026-03-11 08:00", passed(yes), found)}},
		{"requalified by nobody", moistheat.OutOfService, []any{one, aborted, event(calendar.RequalificationEvent, "2026-03-11 08:00", passed(yes))}},
		{"repaired and requalified", moistheat.InService, []any{one, event(calendar.RepairedEvent, "2026-03-11 08:00"), event(calendar.RequalificationEvent, "2026-03-11 09:00", passed(yes), found)}},
		{"repaired and returned", moistheat.OutOfService, []any{one, event(calendar.RepairedEvent, "2026-03-11 08:00"), event(calendar.ReturnedEvent, "2026-03-11 09:00", found)}},
		{"positive and requalified", moistheat.OutOfService, []any{one, grew, event(calendar.RequalificationEvent, "2026-03-12 09:00", passed(yes), found)}},
		{"returned before it", moistheat.OutOfService, []any{one, event(calendar.ReturnedEvent, "2026-03-10 08:00"), ran("2", "2026-03-10 09:00", func(r *load.Record) { r.Cycle.Aborted = yes })}},
		{"one wet pack", moistheat.InService, []any{one, ran("2", "2026-03-10 09:00", func(r *load.Record) { r.Packs[0].Condition.Dry = no })}},
		{"given up", moistheat.OutOfService, []any{one, event(calendar.RetiredEvent, "2026-03-11 08:00")}},
	} {
		s := history(t, "us-cdc-2003", tt.what...).Status()
		require.Len(t, s, 1)
		assert.Equal(t, tt.want, s[0].Service, "%s: %v", tt.name, s[0].Because)
		assert.Equal(t, tt.want == moistheat.OutOfService, len(s[0].Because) > 0, tt.name)
	}
	// Ohio: a rule in two steps does not lift CDC 2003, F.8a.
	assert.Equal(t, moistheat.OutOfService, history(t, "us-oh", one, grew).Status()[0].Service)
}

// O01: what is run while the sterilizer is out of use comes back.
func TestRecallOfLoadsRunOutOfUse(t *testing.T) {
	out := event(calendar.OutOfUseEvent, "2026-03-10 08:00")
	h := history(t, "us-cdc-2003", ran("1", "2026-03-09 09:00", bio(load.Negative)), out,
		ran("2", "2026-03-10 09:00"), event(calendar.ReturnedEvent, "2026-03-11 08:00"), ran("3", "2026-03-11 09:00"))
	assert.Equal(t, []string{"2"}, loadsOf(h, Recall))
	// That it was returned after a repeat test that is positive shows nothing to be good.
	h = scenario(t, "us-cdc-2003", event(calendar.OutOfUseEvent, "2026-03-12 11:00"), runWithSpores("2026-03-12 12:00", load.Positive),
		event(calendar.ReturnedEvent, "2026-03-13 09:00"), ran("20", "2026-03-13 10:00"))
	assert.Len(t, loadsOf(h, Recall), 19)
	assert.Contains(t, actions(h), "20")
}

// A pack whose label or record id names a suspect load is looked for, too, where the
// load's record does not list it; of a load that is suspect for a used pack only, no
// other pack is.
func TestRecallOfPacksThatARecordDoesNotList(t *testing.T) {
	packs := func(what ...any) map[string]PackLocation {
		out := map[string]PackLocation{}
		for _, s := range history(t, "us-cdc-2003", what...).Recall() {
			if s.Number == "1" {
				for _, p := range s.Packs {
					out[p.ID] = p.Where
				}
			}
		}
		return out
	}
	stored := func(pack string) *StoredPack { return &StoredPack{Format: StoredFormat, Pack: pack, Record: "1"} }
	used := stored("Q")
	used.Use = &Use{Time: local("2026-03-10 09:00"), Patient: "p7"}
	grew := ran("1", "2026-03-09 09:00", bio(load.Positive))
	assert.Equal(t, map[string]PackLocation{"1-1": "", "1-2": ""}, packs(grew))
	assert.Equal(t, map[string]PackLocation{"1-1": InStore, "1-2": "", "Q": InStore}, packs(grew, stored("1-1"), stored("Q")))
	assert.Equal(t, map[string]PackLocation{"1-1": "", "1-2": "", "Q": Used}, packs(grew, used))
	held := ran("1", "2026-03-09 09:00", func(r *load.Record) {
		r.Cycle.Printed.HoldTime, r.Release = duration("100 s"), nil
	})
	assert.Equal(t, map[string]PackLocation{"Q": Used}, packs(held, used, stored("R"), stored("1-1")))
}

// A pack in store that holds an implant makes its load one with an implant, whatever
// the load's record lists; of one that the record does not list nobody knows.
func TestRecallByWhatTheStoreKnowsOfImplants(t *testing.T) {
	pack := func(id string, implant moistheat.Answer) *StoredPack {
		return &StoredPack{Format: StoredFormat, Pack: id, Record: "2", Implant: implant}
	}
	for _, tt := range []struct {
		name     string
		stored   *StoredPack
		action   RecallAction
		implants moistheat.Answer
	}{
		{"a pack of the record, nothing said", pack("2-1", unknown), Trace, no},
		{"a pack of the record, none", pack("2-1", no), Trace, no},
		{"a pack of the record, an implant", pack("2-1", yes), Recall, yes},
		{"another pack, none", pack("Q", no), Trace, no},
		{"another pack, nothing said", pack("Q", unknown), Quarantine, unknown},
		{"another pack, an implant", pack("Q", yes), Recall, yes},
	} {
		h := history(t, "us-cdc-2003", ran("1", "2026-03-09 08:00", bio(load.Negative)), ran("2", "2026-03-09 10:00"),
			ran("3", "2026-03-10 08:00", bio(load.Positive)), tt.stored)
		var found bool
		for _, s := range h.Recall() {
			if s.Number == "2" {
				found = true
				assert.Equal(t, tt.action, s.Action, tt.name)
				assert.Equal(t, tt.implants, s.Implants, tt.name)
				for _, p := range s.Packs {
					if p.ID == tt.stored.Pack {
						assert.Equal(t, anyYes(tt.stored.Implant, map[string]moistheat.Answer{"2-1": no}[p.ID]), p.Implant, tt.name)
					}
				}
			}
		}
		require.True(t, found, tt.name)
		want := map[moistheat.Answer]moistheat.Outcome{yes: broken, unknown: undetermined, no: 0}[tt.implants]
		worst := moistheat.Outcome(0)
		for _, f := range h.Findings(local("2026-03-20 12:00")) {
			if f.Rule == "load.recall.implant" && f.Pointer == "/loads/2" {
				worst = max(worst, f.Outcome)
			}
		}
		assert.Equal(t, want, worst, tt.name)
	}
}

// A pack that a person decided to keep back and that was used is found, though the
// evidence speaks for it.
func TestUsedAgainstADecision(t *testing.T) {
	for decision, want := range map[moistheat.Disposition]moistheat.Outcome{
		moistheat.Release: met, moistheat.Quarantine: broken, moistheat.Reject: broken,
	} {
		h := New(policy(t, "us-cdc-2003"))
		h.Add(ran("1", "2026-03-09 09:00", func(r *load.Record) { r.Release.Decision = decision }))
		h.AddStored(&StoredPack{Format: StoredFormat, Pack: "1-1", Record: "1",
			Use: &Use{Time: local("2026-03-10 10:00"), Patient: "p-1", IndicatorRead: yes}})
		found := moistheat.Outcome(0)
		for _, f := range h.Findings(local("2026-03-11 10:00")) {
			if f.Rule == "load.storage.unreleased" {
				found = max(found, f.Outcome)
			}
		}
		assert.Equal(t, want, found, decision)
	}
}

// A decision about a single pack is heard as one about the load is, and counts before it,
// after a file and of two versions.
func TestPackUsedAgainstADecision(t *testing.T) {
	const release, quarantine, reject = moistheat.Release, moistheat.Quarantine, moistheat.Reject
	for _, tt := range []struct {
		load, pack moistheat.Disposition
		want       moistheat.Outcome
	}{
		{release, release, met}, {release, quarantine, broken}, {release, reject, broken}, {release, 0, met},
		{quarantine, 0, broken}, {quarantine, release, met}, {0, quarantine, broken}, {0, release, broken},
	} {
		r := ran("1", "2026-03-09 09:00", func(r *load.Record) {
			r.Release.Decision, r.Packs[0].Decision = tt.load, tt.pack
			if tt.load == 0 {
				r.Release = nil
			}
		})
		used := func(pack string) *StoredPack {
			return &StoredPack{Format: StoredFormat, Pack: pack, Record: "1",
				Use: &Use{Time: local("2026-03-10 10:00"), Patient: "p-1", IndicatorRead: yes}}
		}
		h := history(t, "us-cdc-2003", r, used("1-1"))
		again, _ := loaded(t, saved(t, h), h.Policy())
		for _, h := range []*History{h, again} {
			assert.Equal(t, tt.want, says(h, "load.storage.unreleased", "2026-03-11 10:00"), "%v", tt)
			assert.Equal(t, tt.want == broken, actions(h)["1"] == Recall, "%v", tt)
		}
		other := says(history(t, "us-cdc-2003", r, used("1-2")), "load.storage.unreleased", "2026-03-11 10:00")
		assert.Equal(t, tt.load != release, other == broken, "the other pack: %v", tt)
	}
	kept := ran("1", "2026-03-09 09:00", func(r *load.Record) {
		r.Packs[1].ID, r.Packs[0].Decision, r.Packs[1].Decision = r.Packs[0].ID, release, reject
	})
	assert.Equal(t, no, ofRecord(kept, load.Check(kept, policy(t, "us-cdc-2003"))).packs[0].released, "one id twice")
}

// One answer gives all times in one zone, that of the newest load, whatever zones lines come
// in: Friday 23:30 UTC is Saturday in Berlin.
func TestOneZoneAnAnswer(t *testing.T) {
	utc := func(r any) any {
		switch r := r.(type) {
		case *load.Record:
			r.Cycle.Started, r.Cycle.Ended, r.Unloading.Time = r.Cycle.Started.UTC(), r.Cycle.Ended.UTC(), r.Unloading.Time.UTC()
		case *Event:
			r.Started, r.Time = in(r.Started, time.UTC), r.Time.UTC()
		}
		return r
	}
	what := []any{
		utc(ran("1", "2026-03-07 00:30", bio(load.Negative))), utc(ran("2", "2026-03-08 00:10", bio(load.Positive))),
		utc(event(calendar.LeakEvent, "2026-03-09 00:20", passed(no))), utc(runWithSpores("2026-03-09 00:40",
			load.Negative)),
		utc(event(calendar.OutOfUseEvent, "2026-03-10 00:20")), ran("3", "2026-03-10 09:00"),
	}
	h := history(t, "us-cdc-2003", what...)
	var said []string
	for _, s := range h.Recall() {
		said = append(said, s.String())
	}
	for _, o := range h.OutOfService() {
		said = append(said, o.String())
		_, offset := o.From.Zone()
		assert.Equal(t, 3600, offset)
	}
	for _, s := range h.Status() {
		said = append(said, s.Because...)
	}
	for _, p := range h.Procedures() {
		said = append(said, p.Cause)
		for _, s := range p.Steps {
			said = append(said, s.What)
		}
	}
	all := strings.Join(said, "\n")
	assert.NotContains(t, all, " 23:", "in UTC")
	assert.NotContains(t, all, " 22:", "in UTC")
	assert.Contains(t, all, "7 March 2026, 01:20")
	assert.Contains(t, all, "9 March 2026, 00:40")
}

// A load under several failures of one series is told of the first and of how many there were.
func TestFailuresOfOneSeriesAreCounted(t *testing.T) {
	first := event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(no))
	loads := []any{ran("1", "2026-03-09 09:00"), first}
	because := func(h *History) string {
		all := h.Recall()
		require.NotEmpty(t, all)
		return strings.Join(all[0].Because, " ")
	}
	assert.NotContains(t, because(history(t, "us-cdc-2003", loads...)), "the first of")
	loads = append(loads, event(calendar.AirRemovalEvent, "2026-03-10 07:30", passed(no)))
	assert.Contains(t, because(history(t, "us-cdc-2003", loads...)), " First of 2 consecutive failures.")
}

// Of one load ten failures of a kind are told and the others counted: here it may have been
// run on any of twelve days, each with a failed test and a good one after it.
func TestReasonsAreCounted(t *testing.T) {
	what := []any{ran("1", "2026-03-01 06:00"), ran("1", "2026-03-20 12:00")}
	for d := range 12 {
		on := fmt.Sprintf("2026-03-%02d ", d+2)
		what = append(what, event(calendar.AirRemovalEvent, on+"08:00", passed(no)),
			event(calendar.AirRemovalEvent, on+"12:00", passed(yes)))
	}
	told, counted := 0, 0
	for _, s := range history(t, "us-cdc-2003", what...).Recall()[0].Because {
		if strings.HasPrefix(s, "The air removal test of ") {
			told++
		}
		if s == "And 2 more failures." {
			counted++
		}
	}
	assert.Equal(t, []int{10, 1}, []int{told, counted})
}
