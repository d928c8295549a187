package history

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// findings returns the findings of a rule at an instant, "broken /loads/1", with the
// values of some parameters behind them.
func findings(h *History, rule, at string, params ...string) []string {
	out := []string{}
	for _, f := range h.Findings(local(at)) {
		if f.Rule != rule {
			continue
		}
		words := []string{f.Outcome.String() + " " + f.Pointer}
		for _, p := range params {
			words = append(words, f.Param(p))
		}
		out = append(out, strings.Join(words, "|"))
	}
	return out
}

// sourcesOf returns the sources of the only finding of a rule.
func sourcesOf(t *testing.T, h *History, rule, at string) moistheat.Sources {
	var out []moistheat.Sources
	for _, f := range h.Findings(local(at)) {
		if f.Rule == rule {
			out = append(out, f.Sources)
		}
	}
	require.Len(t, out, 1)
	return out[0]
}

// Of two versions of one pack the one that was used counts, then the one used first,
// then the one that says more, in whatever order they come.
func TestWhichVersionOfAPackCounts(t *testing.T) {
	version := func(edit func(*StoredPack)) *StoredPack {
		s := &StoredPack{Format: StoredFormat, Pack: "A", Record: "1"}
		edit(s)
		return s
	}
	used := func(at time.Time, patient, by string) *StoredPack {
		return version(func(s *StoredPack) { s.Use = &Use{Time: at, Patient: patient, By: by} })
	}
	nine, ten := local("2026-03-11 09:00"), local("2026-03-11 10:00")
	for _, tt := range []struct {
		name        string
		counts, not *StoredPack
	}{
		{"used", used(nine, "", ""), version(func(s *StoredPack) { s.Contents, s.Category = "forceps", "set of the second theatre" })},
		{"used first", used(nine, "p1", ""), used(ten, "p2", "")},
		{"used first, and says less", used(nine, "", ""), used(ten, "p2", "a nurse")},
		{"the time of use known", used(ten, "p2", ""), used(time.Time{}, "", "a nurse")},
		{"the patient known", used(nine, "p1", ""), used(nine, "", "a nurse of the second theatre")},
		{"the patient known, another zone", used(nine, "p1", ""), used(nine.UTC(), "", "a nurse of the second theatre")},
		{"contents known", version(func(s *StoredPack) { s.Contents = "forceps" }), version(func(s *StoredPack) {})},
		{"contents and day known", version(func(s *StoredPack) { s.Contents, s.Sterilized = "forceps", day(2026, 3, 9) }), version(func(s *StoredPack) { s.Contents = "forceps" })},
	} {
		for _, h := range []*History{history(t, "us-cdc-2003", tt.counts, tt.not), history(t, "us-cdc-2003", tt.not,
			tt.counts)} {
			require.Len(t, h.stored(), 1, tt.name)
			for _, s := range h.stored() {
				assert.Equal(t, tt.counts, s.StoredPack, tt.name)
			}
		}
	}
	// Where both say as much, the same one counts whichever came first.
	a, b := version(func(s *StoredPack) { s.Contents = "forceps" }), version(func(s *StoredPack) { s.Contents = "mirrors" })
	assert.Equal(t, history(t, "us-cdc-2003", a, b).shelf, history(t, "us-cdc-2003", b, a).shelf)
}

// Histories under different policies are not merged, and nothing is taken over.
func TestMergeUnderOnePolicy(t *testing.T) {
	one, two := ran("1", "2026-03-09 09:00"), ran("2", "2026-03-09 11:00")
	h := history(t, "us-or", one)
	require.NoError(t, h.Merge(history(t, "us-or", two)))
	assert.Equal(t, answers(history(t, "us-or", one, two)), answers(h))
	h = history(t, "us-or", one)
	require.ErrorIs(t, h.Merge(history(t, "us-ca", two)), moistheat.ErrInvalid)
	assert.Equal(t, answers(history(t, "us-or", one)), answers(h))
	p := policy(t, "us-or")
	stricter := p.Accepting(moistheat.Published)
	require.Equal(t, p.Name(), stricter.Name())
	require.ErrorIs(t, h.Merge(New(stricter)), moistheat.ErrInvalid, "one name, two policies")
}

// A finding is said in the words of its rule; of a rule that the policy does not have
// the name is all that can be said.
func TestMessageOfAHistory(t *testing.T) {
	h := history(t, "us-cdc-2003")
	assert.Equal(t, "The load was run while the sterilizer was out of service since noon: the mains failed.",
		h.Message(moistheat.Finding{Rule: "load.history.outofuse", Outcome: broken, Params: []moistheat.Param{moistheat.ParamOf("since", "noon"), moistheat.ParamOf("why", "the mains failed")}}))
	assert.Equal(t, "load.history.nothing", h.Message(moistheat.Finding{Rule: "load.history.nothing", Outcome: broken}))
}

// What is said of a duty: each run of missed occasions, or that it was kept, or that
// nothing asked for it; never two of these. 2026-03-09 is a Monday.
func TestOverdueIsSaidOnce(t *testing.T) {
	const rule, pointer = "load.history.overdue", " /sterilizers/S1"
	patients := func(at string) *Event { return event(calendar.PatientsEvent, at, func(e *Event) { e.Patients = yes }) }
	tested, run := ran("1", "2026-03-09 09:00", bio(load.Negative)), ran("2", "2026-03-09 13:00")
	air := "broken" + pointer + "|air removal test|1|2026-03-09|2026-03-09|" // Ontario, too
	for _, tt := range []struct {
		name, policy string
		what         []any
		want         []string
	}{
		{"no load", "us-cdc-2003", []any{event(calendar.LeakEvent, "2026-03-09 07:30", passed(yes))}, []string{"not applicable" + pointer + "|||||"}},
		{"kept", "us-cdc-2003", []any{tested, run}, []string{"met" + pointer + "|||||"}},
		{"missed", "us-cdc-2003", []any{run}, []string{"broken" + pointer +
			"|biological indicator test|1|2026-03-09|2026-03-09|"}},
		{"the tests of the day", "austria", []any{run}, []string{
			"broken" + pointer + "|air removal test|1|2026-03-09|2026-03-09|", "broken" + pointer + "|leak test|1|2026-03-09|2026-03-09|"}},
		// Tested on the 9th: the loads of the 17th and 18th are more than 7 days later;
		// the test of the 19th keeps those of that day, and the 27th is late again.
		{"two runs", "us-cdc-2003", []any{tested, ran("3", "2026-03-17 09:00"), ran("4", "2026-03-18 09:00"), ran("5", "2026-03-19 09:00", bio(load.Negative)), ran("6", "2026-03-27 09:00")},
			[]string{"broken" + pointer + "|biological indicator test|2|2026-03-17|2026-03-18|", "broken" + pointer +
				"|biological indicator test|1|2026-03-27|2026-03-27|"}},
		// Ontario: every kind of cycle on each day of use. One kind missed says nothing
		// of the other.
		{"one kind missed", "ontario", []any{tested, ran("2", "2026-03-09 11:00", at121)},
			[]string{"broken" + pointer + "|biological indicator test in cycles with dynamic air removal, 121 °C|1|2026-03-09|2026-03-09|",
				"met" + pointer + "|||||", air}},
		{"the other kind missed", "ontario", []any{ran("1", "2026-03-09 09:00"), ran("2", "2026-03-09 11:00", at121, bio(load.Negative))},
			[]string{"broken" + pointer + "|biological indicator test in cycles with dynamic air removal, 134 °C|1|2026-03-09|2026-03-09|",
				"met" + pointer + "|||||", air}},
		// Oregon: a test in the first week only, patients on record in the third of
		// five. What is missed and what cannot be said are told apart.
		{"runs of two outcomes", "us-or", []any{tested, ran("3", "2026-03-16 09:00"), ran("4", "2026-03-23 09:00"), patients("2026-03-23 00:00"), ran("5", "2026-03-30 09:00"), ran("6", "2026-04-06 09:00")},
			[]string{
				"undetermined" + pointer +
					"|biological indicator test|1|2026-03-16|2026-03-16|not recorded: whether patients were scheduled",
				"broken" + pointer + "|biological indicator test|1|2026-03-23|2026-03-23|",
				"undetermined" + pointer +
					"|biological indicator test|2|2026-03-30|2026-04-06|not recorded: whether patients were scheduled",
			}},
	} {
		assert.ElementsMatch(t, tt.want, findings(history(t, tt.policy, tt.what...), rule, "2026-04-20 12:00", "test", "count", "first", "last", "missing"), tt.name)
	}
	// The duty's own source is named, also where nothing asked for it.
	for _, what := range [][]any{{run}, {tested}, {event(calendar.LeakEvent, "2026-03-09 07:30", passed(yes))}} {
		h := history(t, "us-cdc-2003", what...)
		assert.Equal(t, moistheat.SourcesOf(h.Policy().Schedule()[0].Source), sourcesOf(t, h, rule, "2026-03-10 12:00"))
	}
	// Australia: whether the leak test is asked for each day depends on the air detector.
	var missing []string
	for _, f := range history(t, "australia", run).Findings(local("2026-03-10 12:00")) {
		if f.Rule == rule && f.Outcome == undetermined {
			missing = append(missing, f.Param("missing"))
		}
	}
	assert.Equal(t, []string{"not recorded: whether the sterilizer has an air detector"}, missing)
}

// When a load comes too late for the next test. Tests end on Monday 9 March at 09:50.
func TestLateForTheNextTest(t *testing.T) {
	monday := ran("1", "2026-03-09 09:00", bio(load.Negative))
	run := func(at string, edit ...func(*load.Record)) *load.Record { return ran("9", at, edit...) }
	for _, tt := range []struct {
		name, policy string
		want         moistheat.Outcome
		what         []any
	}{
		// Florida, older text: 40 hours of use or 30 days, whichever is first. Sums of
		// the days' hours, and 30 days after 9 March are the 8th of April.
		{"39 h of use", hoursOfUse, met, append([]any{monday}, hours(9, 10, 10, 10)...)},
		{"40 h of use", hoursOfUse, broken, append([]any{monday}, hours(10, 10, 10, 10)...)},
		{"41 h of use", hoursOfUse, broken, append([]any{monday}, hours(11, 10, 10, 10)...)},
		{"40 h of use, tested on the last day", hoursOfUse, met, append([]any{monday, runWithSpores("2026-03-13 18:30", load.Negative)}, hours(10, 10, 10, 10)...)},
		{"40 h of use, tested the day after", hoursOfUse, broken, append([]any{monday, runWithSpores("2026-03-14 08:00", load.Negative)}, hours(10, 10, 10, 10)...)},
		{"40 h of use before the day of the test", hoursOfUse, broken, append([]any{monday, runWithSpores("2026-03-14 18:30", load.Negative)}, hours(10, 10, 10, 10, 1)...)},
		{"30 days, a minute short", hoursOfUse, met, []any{monday, run("2026-04-08 23:59")}},
		{"30 days", hoursOfUse, broken, []any{monday, run("2026-04-09 00:00")}},
		{"never", hoursOfUse, broken, []any{run("2026-03-09 09:00")}},
		// CDC 2003: 7 days, and in time until the last of them ends.
		{"begun in time, tested after", "us-cdc-2003", met, []any{monday, run("2026-03-16 23:59"), runWithSpores("2026-03-17 12:00", load.Negative)}},
		{"begun a minute late, tested after", "us-cdc-2003", broken, []any{monday, run("2026-03-17 00:00"), runWithSpores("2026-03-17 12:00", load.Negative)}},
		{"begun late, tested before", "us-cdc-2003", met, []any{monday, runWithSpores("2026-03-17 09:50", load.Negative), run("2026-03-17 09:51")}},
		{"the late load is the test", "us-cdc-2003", met, []any{monday, run("2026-03-17 09:51", bio(load.Negative))}},
		// An end that was entered before its start does not make the start earlier.
		{"begun late, wrong end", "us-cdc-2003", broken, []any{monday, run("2026-03-17 09:51", func(r *load.Record) { r.Cycle.Ended = local("2026-03-17 09:40") })}},
	} {
		assert.Equal(t, tt.want, says(history(t, tt.policy, tt.what...), "load.history.overdue", "2026-05-01 12:00"), "%s/%s", tt.policy, tt.name)
	}
}

// Where a finding on a test points to, and what it calls the test.
func TestWhichTestCounts(t *testing.T) {
	h := history(t, "us-cdc-2003",
		ran("1", "2026-03-09 09:00", deadControl, func(r *load.Record) {
			b := &r.Monitors.Biologicals[0]
			b.Lot, b.Control.Lot = "L2", "L2" // of L1 it would void the test below, too
			r.Monitors.Tests = []load.Test{{Kind: load.LeakTest, Time: local("2026-03-09 08:00"), Passed: yes}}
		}),
		ran("2", "2026-03-09 10:00"),
		event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(yes), func(e *Event) { e.ID = "a/1" }),
		runWithSpores("2026-03-09 12:00", load.Negative, func(e *Event) { e.ID = "b1" }),
		event(calendar.CalibrationEvent, "2026-03-09 13:00", func(e *Event) { e.ID = "c1" }),
		event(calendar.PatientsEvent, "2026-03-09 14:00", func(e *Event) { e.Patients = yes }))
	assert.ElementsMatch(t, []string{
		"broken /loads/1|biological indicator test of load 1",
		"met /sterilizers/S1|leak test of 9 March 2026, 08:00", // of the load's record: it has no id
		"met /events/a~11|air removal test of 9 March 2026, 07:30",
		"met /events/b1|biological indicator test b1 of 9 March 2026, 12:00",
		"undetermined /events/c1|calibration of 9 March 2026, 13:00",
	}, findings(h, "load.history.void", "2026-03-10 12:00", "what"))
}

// The first six kinds of event are tests.
func TestKindsThatAreTests(t *testing.T) {
	tests := []calendar.EventKind{calendar.BiologicalTestEvent, calendar.AirRemovalEvent, calendar.LeakEvent, calendar.AutomaticControlTestEvent, calendar.RequalificationEvent, calendar.CalibrationEvent}
	for _, k := range tests {
		assert.True(t, calendar.IsTest(k), k.String())
	}
	for _, k := range []calendar.EventKind{0, calendar.PatientsEvent, calendar.OutOfUseEvent, calendar.DiscardedEvent, calendar.DiscardedEvent + 1} {
		assert.False(t, calendar.IsTest(k), k.String())
	}
}

// Loads without a time: each is asked for. Where there is neither a load nor anything
// else with a time the rule has nothing to say.
func TestUndated(t *testing.T) {
	const rule, end = "load.history.undated", "2026-04-01 12:00"
	undated := ran("1", "2026-03-09 09:00", func(r *load.Record) { r.Cycle, r.Unloading = nil, load.Unloading{} })
	noTime := event(calendar.LeakEvent, "2026-03-09 07:30", func(e *Event) { e.Time = time.Time{} })
	assert.Equal(t, []string{"undetermined /loads/1"}, findings(history(t, "us-cdc-2003", undated), rule, end))
	assert.Equal(t, []string{"undetermined /loads/1"}, findings(history(t, "us-cdc-2003", undated, ran("2", "2026-03-09 09:00")), rule, end))
	assert.Equal(t, []string{"met /sterilizers/S1"}, findings(history(t, "us-cdc-2003", ran("2", "2026-03-09 09:00")), rule, end))
	assert.Equal(t, []string{"not applicable /sterilizers/S1"}, findings(history(t, "us-cdc-2003", noTime), rule, end))
}

// What was discarded is named, with the line of the policy that says how long it is
// kept, and the rule's own source where no line does.
func TestDiscardedNamesTheLine(t *testing.T) {
	const rule, end = "load.history.discarded", "2060-01-01 12:00"
	for _, tt := range []struct {
		kind calendar.RecordKind
		want string
		line bool
	}{
		{calendar.BiologicalRecords, "broken|records of biological tests|2028-12-31", true}, // Oregon: two calendar years
		{calendar.AllRecords, "broken|records of all kinds|2028-12-31", true},
		{calendar.CycleRecords, "undetermined|records of cycles|", false}, // left open
		{"", "undetermined|records of all kinds|", false},
	} {
		h := history(t, "us-or", event(calendar.DiscardedEvent, "2028-12-31 12:00", func(e *Event) { e.ID, e.Records, e.Newest = "d", tt.kind, day(2026, 1, 1) }))
		assert.Equal(t, []string{strings.Replace(tt.want, "|", " /events/d|", 1)}, findings(h, rule, end, "what", "until"))
		want := rules.Book.Rule(rules.HistoryDiscarded).Sources
		if tt.line {
			want = moistheat.SourcesOf(h.Policy().Retention()[0].Source)
		}
		assert.Equal(t, want, sourcesOf(t, h, rule, end), "%s", tt.kind)
	}
}

// Whether the oldest was used first cannot be said while a pack with the same
// contents may be older and may have lain longer.
func TestRotationInDoubt(t *testing.T) {
	pack := func(id string, made moistheat.Date, edit ...func(*StoredPack)) *StoredPack {
		s := &StoredPack{Format: StoredFormat, Pack: id, Record: id, Contents: "forceps", Sterilized: made}
		for _, e := range edit {
			e(s)
		}
		return s
	}
	used := func(s *StoredPack) { s.Use = &Use{Time: local("2026-03-11 09:00")} }
	sometime := func(s *StoredPack) { s.Use = &Use{} }
	b := pack("B", day(2026, 3, 10), used)
	for name, tt := range map[string]struct {
		more *StoredPack
		want []string
	}{
		"nothing else":     {nil, []string{"met /packs/B"}},
		"newer in store":   {pack("A", day(2026, 3, 11)), []string{"met /packs/B"}},
		"older in store":   {pack("A", day(2026, 3, 9)), []string{"broken /packs/B"}},
		"no day, in store": {pack("A", moistheat.Date{}), []string{"undetermined /packs/B"}},
		"no day, in store, other items": {pack("A", moistheat.Date{}, func(s *StoredPack) { s.Contents = "probes" }),
			[]string{"met /packs/B"}},
		"no day, used":                   {pack("A", moistheat.Date{}, used), []string{"undetermined /packs/A", "undetermined /packs/B"}},
		"older, used nobody knows when":  {pack("A", day(2026, 3, 9), sometime), []string{"undetermined /packs/A", "undetermined /packs/B"}},
		"as old, used nobody knows when": {pack("A", day(2026, 3, 10), sometime), []string{"undetermined /packs/A", "met /packs/B"}},
		"newer, used nobody knows when":  {pack("A", day(2026, 3, 11), sometime), []string{"undetermined /packs/A", "met /packs/B"}},
		"used, nobody knows what":        {pack("A", day(2026, 3, 11), used, func(s *StoredPack) { s.Contents = "" }), []string{"undetermined /packs/A", "met /packs/B"}},
	} {
		assert.Equal(t, tt.want, findings(history(t, "queensland", b, tt.more), "load.storage.rotation", "2026-04-01 12:00"), name)
	}
	// A pack shown to be left stays a finding whatever else is in doubt.
	assert.Equal(t, []string{"broken /packs/B|A"}, findings(history(t, "queensland", b, pack("A", day(2026, 3, 9)), pack("C", moistheat.Date{})), "load.storage.rotation", "2026-04-01 12:00", "older"))
	for _, only := range []*StoredPack{pack("A", day(2026, 3, 9)), pack("A", moistheat.Date{})} {
		assert.Equal(t, []string{"not applicable "}, findings(history(t, "queensland", only), "load.storage.rotation", "2026-04-01 12:00"))
	}
}

// Which load a pack is of: by record, else by sterilizer and number, else by the
// pack's own id. Load a was released; load b was not, and its counter went on at 0512.
func TestLoadsOfAPack(t *testing.T) {
	run := func(id, at, number, cycle string, packs ...string) *load.Record {
		return ran(number, at, func(r *load.Record) {
			r.ID, r.Cycle.Number = id, cycle
			for i := range r.Packs {
				r.Packs[i].ID = fmt.Sprintf("%s-%d", id, i+1)
			}
			for i, p := range packs {
				r.Packs[i].ID = p
			}
		})
	}
	bad := func(r *load.Record) *load.Record { r.Cycle.Aborted = yes; return r }
	on := func(sterilizer string, r *load.Record) *load.Record {
		r.Sterilizer.ID, r.Cycle.Sterilizer = sterilizer, sterilizer
		for i := range r.Packs {
			r.Packs[i].Label.Sterilizer = sterilizer
		}
		return r
	}
	a, b := run("a", "2026-03-09 09:00", "12", "12", "P"), bad(run("b", "2026-03-10 09:00", "12", "0512", "P"))
	badFirst := []any{bad(run("a", "2026-03-09 09:00", "12", "12", "P")), run("b", "2026-03-10 09:00", "12", "12", "P")}
	a2 := on("S2", run("a", "2026-03-10 09:00", "12", "12", "P"))
	for _, tt := range []struct {
		name string
		pack StoredPack
		what []any
		want []string
	}{
		{"by its id", StoredPack{Pack: "P"}, []any{a}, []string{"met /loads/a"}},
		{"by its id, rejected", StoredPack{Pack: "P"}, []any{b}, []string{"broken /loads/b"}},
		{"by an id that no load lists", StoredPack{Pack: "Q"}, []any{a}, []string{"undetermined /packs/Q"}},
		{"by no id of the sterilizer", StoredPack{Pack: "Q", Sterilizer: "S1"}, []any{a}, []string{"undetermined /packs/Q"}},
		{"id and number of the load", StoredPack{Pack: "P", Load: "12"}, []any{a}, []string{"met /loads/a"}},
		{"id and number of the cycle", StoredPack{Pack: "P", Load: "0512"}, []any{b}, []string{"broken /loads/b"}},
		{"id and another number", StoredPack{Pack: "P", Load: "13"}, []any{a}, []string{"undetermined /packs/P"}},
		{"sterilizer and number of the load", StoredPack{Pack: "Q", Sterilizer: "S1", Load: "12"}, []any{b}, []string{"broken /loads/b"}},
		{"sterilizer and number of the cycle", StoredPack{Pack: "Q", Sterilizer: "S1", Load: "0512"}, []any{b}, []string{"broken /loads/b"}},
		{"sterilizer and another number", StoredPack{Pack: "P", Sterilizer: "S1", Load: "13"}, []any{b}, []string{"undetermined /packs/P"}},
		{"another sterilizer", StoredPack{Pack: "P", Sterilizer: "S2", Load: "12"}, []any{b}, []string{"undetermined /packs/P"}},
		{"a number without a sterilizer", StoredPack{Pack: "Q", Load: "12"}, []any{b}, []string{"undetermined /packs/Q"}},
		// A number that was used again: any, as a record may leave a pack out.
		{"used again, one lists it", StoredPack{Pack: "a-2", Sterilizer: "S1", Load: "12"}, []any{a, b},
			[]string{"met /loads/a", "broken /loads/b"}},
		{"used again, the other lists it", StoredPack{Pack: "b-2", Sterilizer: "S1", Load: "12"}, []any{a, b},
			[]string{"met /loads/a", "broken /loads/b"}},
		{"used again, none lists it", StoredPack{Pack: "Q", Sterilizer: "S1", Load: "12"}, []any{a, b}, []string{"met /loads/a", "broken /loads/b"}},
		{"used again, both list it", StoredPack{Pack: "P", Sterilizer: "S1", Load: "12"}, []any{a, b}, []string{"met /loads/a", "broken /loads/b"}},
		{"used again, the older one bad", StoredPack{Pack: "P", Sterilizer: "S1", Load: "12"}, badFirst, []string{"broken /loads/a", "met /loads/b"}},
		// The day on the label decides.
		{"the day of the first", StoredPack{Pack: "P", Load: "12", Sterilized: day(2026, 3, 9)}, []any{a, b}, []string{"met /loads/a"}},
		{"the day of the second", StoredPack{Pack: "P", Load: "12", Sterilized: day(2026, 3, 10)}, []any{a, b}, []string{"broken /loads/b"}},
		{"the day of neither", StoredPack{Pack: "P", Load: "12", Sterilized: day(2026, 3, 11)}, []any{a, b},
			[]string{"undetermined /packs/P"}},
		{"a load without a day", StoredPack{Pack: "P", Sterilized: day(2026, 3, 9)}, []any{a, ran("c", "2026-03-10 09:00", func(r *load.Record) {
			r.Cycle, r.Unloading, r.Load.Date, r.Packs[0].ID = nil, load.Unloading{}, moistheat.Date{}, "P"
		})}, []string{"met /loads/a", "broken /loads/c"}},
		{"a load without a day, a pack without one", StoredPack{Pack: "P"}, []any{a, ran("c", "2026-03-10 09:00", func(r *load.Record) {
			r.Cycle, r.Unloading, r.Load.Date, r.Packs[0].ID = nil, load.Unloading{}, moistheat.Date{}, "P"
		})}, []string{"met /loads/a", "broken /loads/c"}},
		// The record, where it is known.
		{"by record", StoredPack{Pack: "P", Record: "b"}, []any{a, b}, []string{"broken /loads/b"}},
		{"by a record that does not list it", StoredPack{Pack: "Q", Record: "a"}, []any{a, b}, []string{"met /loads/a"}},
		{"by a record that is not there", StoredPack{Pack: "P", Record: "c"}, []any{a, b}, []string{"undetermined /packs/P"}},
		{"two sterilizers with one id", StoredPack{Pack: "P", Record: "a"}, []any{bad(run("a", "2026-03-09 09:00", "12", "12", "P")), a2}, []string{"broken /loads/a", "met /loads/a"}},
		{"two sterilizers, one named", StoredPack{Pack: "P", Record: "a", Sterilizer: "S2"}, []any{bad(run("a", "2026-03-09 09:00", "12", "12", "P")), a2}, []string{"met /loads/a"}},
	} {
		s := tt.pack
		s.Format, s.Use = StoredFormat, &Use{Time: local("2026-03-12 09:00"), Patient: "p7"}
		h := history(t, "us-cdc-2003", append(tt.what, &s)...)
		assert.ElementsMatch(t, tt.want, findings(h, "load.storage.unreleased", "2026-04-01 12:00"), tt.name)
	}
}

// A pack that may be of a rejected load is found in its recall, with the patient,
// whichever of the two loads came later.
func TestPackOfOneOfTwoLoads(t *testing.T) {
	run := func(id, at string, edit ...func(*load.Record)) *load.Record {
		return ran("12", at, append(edit, func(r *load.Record) { r.ID, r.Packs[0].ID = id, "P" })...)
	}
	aborted := func(r *load.Record) { r.Cycle.Aborted = yes }
	used := &StoredPack{Format: StoredFormat, Pack: "P", Sterilizer: "S1", Load: "12", Use: &Use{Time: local("2026-03-12 09:00"), Patient: "p7"}}
	for name, what := range map[string][]any{
		"the older": {run("x", "2026-03-09 09:00", aborted), explained("2026-03-09 12:00"), run("y", "2026-03-10 09:00")},
		"the newer": {run("y", "2026-03-09 09:00"), run("x", "2026-03-10 09:00", aborted)},
	} {
		recall := history(t, "us-cdc-2003", append(what, used)...).Recall()
		require.Len(t, recall, 1, name)
		assert.Equal(t, "x", recall[0].Record, name)
		assert.Equal(t, Recall, recall[0].Action, name)
		assert.Contains(t, recall[0].Packs, SuspectPack{ID: "P", Implant: no, Where: Used, Patient: "p7", Used: local("2026-03-12 09:00")}, name)
	}
}

// Of a load that is suspect for nothing else only the pack that was used against its
// state is listed, once, in however many ways the store names it.
func TestPackUsedAgainstItsState(t *testing.T) {
	wet := ran("3", "2026-03-10 09:00", func(r *load.Record) { r.Packs[0].Condition.Dry = no })
	byRecord := StoredPack{Format: StoredFormat, Pack: "3-1", Record: "3"}
	byNumber := StoredPack{Format: StoredFormat, Pack: "3-1", Sterilizer: "S1", Load: "3"}
	assert.Empty(t, history(t, "us-cdc-2003", wet, &byRecord, &byNumber).Recall(), "in store")
	byRecord.Use = &Use{Time: local("2026-03-12 09:00"), Patient: "p7"}
	byNumber.Use = byRecord.Use
	recall := history(t, "us-cdc-2003", wet, &byRecord, &byNumber).Recall()
	require.Len(t, recall, 1)
	assert.Equal(t, []string{"Pack 3-1 was used; by what is on record now it is rejected."}, recall[0].Because)
	assert.Equal(t, []SuspectPack{{ID: "3-1", Implant: no, Where: Used, Patient: "p7", Used: local("2026-03-12 09:00")}}, recall[0].Packs)
}

// A used pack that names a rejected load is in its recall, with the patient, although
// the load's record does not list it.
func TestUsedPackThatItsLoadDoesNotList(t *testing.T) {
	aborted := ran("3", "2026-03-10 09:00", func(r *load.Record) { r.Cycle.Aborted = yes })
	issue := &Use{Time: local("2026-03-12 09:00"), Patient: "p7"}
	for _, s := range []StoredPack{{Pack: "Q", Record: "3"}, {Pack: "Q", Sterilizer: "S1", Load: "3"}} {
		s.Format, s.Use = StoredFormat, issue
		recall := history(t, "us-cdc-2003", aborted, &s).Recall()
		require.Len(t, recall, 1)
		assert.Equal(t, []SuspectPack{{ID: "3-1", Implant: no}, {ID: "3-2", Implant: no}, {ID: "Q", Where: Used, Patient: "p7", Used: issue.Time}}, recall[0].Packs)
	}
}

// A test whose schedule is the manufacturer's cannot be said to have been in time.
func TestMakersSchedule(t *testing.T) {
	gravity := func(r *load.Record) { r.Cycle.Settings.AirRemoval = moistheat.GravityDisplacement }
	air := func(h *History) (said []string) {
		for _, f := range h.Findings(local("2026-03-13 12:00")) {
			if f.Rule == "load.history.overdue" && strings.HasPrefix(f.Param("test"), "air removal") && f.Outcome != notAsked {
				said = append(said, f.Outcome.String()+": "+h.Message(f))
			}
		}
		return said
	}
	test := event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(yes))
	assert.Equal(t, []string{"undetermined: air removal test: unknown whether it was due from 9 March 2026 to 11 March 2026: the schedule is in the sterilizer's instructions."},
		air(history(t, "scotland", test, ran("1", "2026-03-09 09:00"), ran("2", "2026-03-11 09:00"))))
	assert.Empty(t, air(history(t, "scotland", test, ran("1", "2026-03-09 09:00", gravity))), "gravity cycles need none")
}
