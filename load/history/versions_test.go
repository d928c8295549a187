package history

import (
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every pair of kinds of event, each with growth: no panic, and both are positive tests.
func TestEveryKindMayCarryABiological(t *testing.T) {
	grew := spores()
	grew.Result = load.Positive
	r := ran("1", "2026-03-09 07:00")
	for i, name := range load.Policies() {
		p := policy(t, name)
		report := load.Check(r, p)
		for first := calendar.EventKind(1); first <= calendar.DiscardedEvent; first++ {
			for second := calendar.EventKind(1); second <= calendar.DiscardedEvent; second++ {
				if !testrun.Full() && (i+int(first)+int(second))%25 > 0 {
					continue
				}
				h := New(p)
				require.NoError(t, h.AddReport(r, report))
				h.AddEvent(event(first, "2026-03-09 08:00", func(e *Event) { e.Biological = &grew }))
				h.AddEvent(event(second, "2026-03-09 09:00", func(e *Event) { e.Biological = &grew }))
				positive := 0
				for _, f := range h.Findings(local("2026-03-15 12:00")) {
					if f.Rule == "load.recall.positive" && f.Outcome == broken {
						positive++
					}
				}
				require.Equal(t, 2, positive, "%s, %s, %s", name, first, second)
				require.Contains(t, h.Recall()[0].Because[0], " is positive")
			}
		}
	}
}

// A leak rate over the limit is a failed leak test, whatever the event is about.
func TestEveryKindMayCarryALeakRate(t *testing.T) {
	h := history(t, "us-cdc-2003", ran("1", "2026-03-09 07:00"), event(calendar.OutOfUseEvent, "2026-03-09 08:00",
		leaked("0.5 kPa/min")))
	require.NotEmpty(t, h.Recall())
	assert.Contains(t, strings.Join(h.Recall()[0].Because, " "),
		"leak test of 9 March 2026, 08:00 failed (leak rate 0.5 kPa/min")
}

// A line about a use that does not repeat the implant takes nothing back, and of two uses
// both patients are found, with a finding.
func TestUsesAndImplantsStay(t *testing.T) {
	stored := func(edit func(*StoredPack)) *StoredPack {
		s := &StoredPack{Format: StoredFormat, Pack: "1-1", Record: "1"}
		edit(s)
		return s
	}
	away := stored(func(s *StoredPack) { s.Implant = yes })
	at := func(hour, patient string) *StoredPack {
		return stored(func(s *StoredPack) { s.Use = &Use{Time: local("2026-03-10 " + hour), Patient: patient} })
	}
	h := history(t, "us-cdc-2003", ran("1", "2026-03-09 09:00"), runWithSpores("2026-03-11 09:00", load.Positive), away,
		at("15:00", "4711"), at("16:00", "0815"))
	list := h.Recall()
	require.Len(t, list, 1)
	assert.Equal(t, Recall, list[0].Action)
	assert.Equal(t, yes, list[0].Implants)
	assert.Equal(t, []SuspectPack{
		{ID: "1-1", Implant: yes, Where: Used, Patient: "4711", Used: local("2026-03-10 15:00")},
		{ID: "1-1", Implant: yes, Where: Used, Patient: "0815", Used: local("2026-03-10 16:00")},
		{ID: "1-2", Implant: no},
	}, list[0].Packs)
	assert.Equal(t, []string{"broken /packs/1-1|use"}, findings(h, "load.history.contradictory", "2026-03-15 12:00",
		"what"))
}

// A later version of a record hides no failure: the four that did.
func TestSecondVersionHidesNothing(t *testing.T) {
	first := func(edit ...func(*load.Record)) *load.Record { return ran("1", "2026-03-09 09:00", edit...) }
	gravity := func(r *load.Record) { r.Cycle.Settings.AirRemoval = moistheat.GravityDisplacement }
	hold := func(s string) func(*load.Record) { return func(r *load.Record) { r.Cycle.Settings.Hold = duration(s) } }
	label := &StoredPack{Format: StoredFormat, Pack: "Q", Sterilizer: "S1", Load: "12",
		Use: &Use{Time: local("2026-03-10 09:00"), Patient: "4711"}}
	numbered := func(n string) func(*load.Record) {
		return func(r *load.Record) { r.Cycle.Number, r.Load.Number = n, n }
	}
	for _, tt := range []struct {
		name, policy string
		what         []any
		second       *load.Record
		differ       string
	}{
		{"kind of cycle", "en-13060", []any{first(), event(calendar.AirRemovalEvent, "2026-03-09 12:00", passed(no))},
			first(gravity), "air removal"},
		{"earlier than the last good test", "us-cdc-2003", []any{first(), runWithSpores("2026-03-09 08:00",
			load.Negative),
			runWithSpores("2026-03-10 09:00", load.Positive)},
			ran("1", "2026-03-08 09:00"), "day, start, end"},
		{"setting", "us-cdc-2003", []any{first(hold("3 min")), event(calendar.WrongSettingEvent, "2026-03-10 09:00",
			func(e *Event) { e.Settings.Hold = duration("3 min") })}, first(hold("18 min")), "exposure time"},
		{"number", "us-cdc-2003", []any{first(numbered("12")), runWithSpores("2026-03-10 09:00", load.Positive), label},
			first(numbered("7")), "cycle number, load number"},
	} {
		h := history(t, tt.policy, tt.what...)
		before := h.Recall()
		require.NotEmpty(t, before, tt.name)
		put(h, tt.second)
		after := h.Recall()
		assert.Empty(t, softer(before, after), tt.name)
		for _, why := range before[0].Because { // the second version may add a reason, and take none away
			assert.Contains(t, after[0].Because, why, tt.name)
		}
		what := findings(h, "load.history.contradictory", "2026-03-15 12:00", "what")
		require.Len(t, what, 1, tt.name)
		assert.Contains(t, what[0], tt.differ, tt.name)
	}
}

// A line that says otherwise when a failure was, or that adds one, shortens no time out of
// service: the load 1, run in it, stays recalled.
func TestNoLineShortensAnOutage(t *testing.T) {
	leak := func(at string, a moistheat.Answer, started string) *Event {
		return event(calendar.LeakEvent, at, passed(a), func(e *Event) {
			if started != "" {
				e.Started = local(started)
			}
		})
	}
	aborted := func(r *load.Record) { r.Cycle.Aborted = yes }
	noEnd := func(r *load.Record) { r.Cycle.Ended = time.Time{} }
	outOfUse := func(recall []SuspectLoad) bool {
		return slices.ContainsFunc(recall, func(s SuspectLoad) bool {
			return s.Record == "1" && strings.Contains(strings.Join(s.Because, " "), "while the sterilizer was out of service")
		})
	}
	fit := event(calendar.RequalificationEvent, "2026-03-06 12:00", passed(yes), func(e *Event) { e.By = "J. Doe" })
	repaired := event(calendar.RepairedEvent, "2026-03-06 07:00", func(e *Event) { e.By, e.Note = "J. Doe", "new seal" })
	good := func(at string) *Event { return runWithSpores(at, load.Negative) }
	for _, tt := range []struct {
		name, policy string
		what         []any
		more         any
	}{
		{"a start after the end", "us-cdc-2003", []any{leak("2026-03-05 15:00", no, ""), leak("2026-03-02 16:00", no, ""),
			ran("1", "2026-03-03 09:00")}, leak("2026-03-02 16:00", no, "2026-03-06 08:44")},
		{"an end that was not given", "us-st79", []any{ran("8", "2026-03-05 16:00", aborted, noEnd),
			ran("1", "2026-03-06 09:00")}, ran("8", "2026-03-07 16:00")},
		{"a longer test", "us-cdc-2003", []any{leak("2026-03-05 09:00", no, "2026-03-05 08:30"), ran("1", "2026-03-05 09:10")},
			leak("2026-03-05 10:00", no, "2026-03-05 08:00")},
		{"a cycle before its cause was found", "us-cdc-2003", []any{explained("2026-03-06 12:00"),
			ran("8", "2026-03-07 09:00", aborted), ran("1", "2026-03-09 09:00")}, ran("8", "2026-03-05 09:00", aborted)},
		{"a test that began before a good one", "us-cdc-2003", []any{leak("2026-03-05 15:30", yes, ""),
			leak("2026-03-05 16:00", no, ""), ran("1", "2026-03-06 09:00")}, leak("2026-03-05 16:00", no, "2026-03-05 15:00")},
		{"a positive test before a requalification", "en-13060", []any{fit, ran("8", "2026-03-07 09:00", bio(load.Positive)),
			ran("1", "2026-03-09 09:00")}, ran("8", "2026-03-05 09:00", bio(load.Positive))},
		{"a positive test before its repeats", "us-cdc-2003", []any{good("2026-03-06 09:00"), good("2026-03-06 11:00"),
			good("2026-03-06 13:00"), ran("8", "2026-03-07 09:00", bio(load.Positive)), ran("1", "2026-03-09 09:00")},
			ran("8", "2026-03-05 09:00", bio(load.Positive))},
		{"positive tests before a repair", "us-cdc-2003", []any{ran("7", "2026-03-05 07:00", bio(load.Positive)), repaired,
			ran("8", "2026-03-07 09:00", bio(load.Positive)), good("2026-03-07 11:00"), good("2026-03-07 13:00"),
			good("2026-03-07 15:00"), ran("1", "2026-03-09 09:00")}, ran("8", "2026-03-05 09:00", bio(load.Positive))},
		{"a load between good tests", "us-cdc-2008", []any{ran("7", "2026-03-04 07:00", bio(load.Positive)),
			good("2026-03-06 09:00"), ran("8", "2026-03-07 09:00"), good("2026-03-07 11:00"), good("2026-03-07 13:00"),
			ran("1", "2026-03-09 09:00")}, ran("8", "2026-03-05 09:00")},
		{"a good test before another positive one", "us-cdc-2003", []any{ran("7", "2026-03-04 07:00", bio(load.Positive)),
			ran("8", "2026-03-07 09:00", bio(load.Positive)), ran("9", "2026-03-08 09:00", bio(load.Negative)),
			ran("1", "2026-03-09 09:00")}, ran("9", "2026-03-06 09:00")},
	} {
		for _, name := range load.Policies() {
			h := history(t, name, tt.what...)
			before := h.Recall()
			if name == tt.policy {
				require.True(t, outOfUse(before), "%s: %v", tt.name, before)
			}
			outside := outOfUse(before)
			put(h, tt.more)
			assert.Empty(t, softer(before, h.Recall()), "%s, %s", tt.name, name)
			assert.False(t, outside && !outOfUse(h.Recall()), "%s, %s", tt.name, name)
		}
	}
}

// A history keeps nothing of the caller's, and tells ids with a NUL apart.
func TestStoredPacksAreTheHistorys(t *testing.T) {
	use := &Use{Time: local("2026-03-10 09:00"), Patient: "first"}
	s := &StoredPack{Format: StoredFormat, Pack: "1-1", Record: "1", Use: use}
	h := history(t, "us-cdc-2003", ran("1", "2026-03-09 09:00", bio(load.Positive)), s)
	copied := New(h.Policy())
	require.NoError(t, copied.Merge(h))
	use.Patient, s.Use.Time = "next", time.Time{}
	assert.Equal(t, "first", h.Recall()[0].Packs[0].Patient)
	assert.Equal(t, "first", copied.Recall()[0].Packs[0].Patient)

	h = history(t, "us-cdc-2003", &StoredPack{Record: "a\x00b", Sterilizer: "c", Pack: "P", Use: use},
		&StoredPack{Record: "a", Sterilizer: "b\x00c", Pack: "P", Use: use})
	assert.Len(t, h.stored(), 2)
}

// amend takes back a member of a line.
func amend(line any, pointers ...string) *Amendment {
	return &Amendment{Format: AmendmentFormat, Time: local("2026-03-20 09:00"), By: "Dr Y", Why: "mistyped",
		Lines: []string{entryOf(line).Digest()}, Takes: pointers}
}

// A positive test that was mistyped is taken back: with a record of the right result the
// load leaves the recall, which shows by whom, and not before.
func TestMistypedPositive(t *testing.T) {
	wrong, right := ran("2", "2026-03-09 11:00", bio(load.Positive)), ran("2", "2026-03-09 11:00", bio(load.Negative))
	used := &StoredPack{Format: StoredFormat, Pack: "2-1", Record: "2", Use: &Use{Time: local("2026-03-12 09:00"),
		Patient: "p7"}}
	h := history(t, "us-cdc-2003", ran("1", "2026-03-09 09:00"), wrong, used)
	require.Equal(t, Recall, actions(h)["2"])
	require.Contains(t, actions(h), "1")
	require.Equal(t, moistheat.OutOfService, h.Status()[0].Service)

	put(h, amend(wrong, "/monitors/biologicals/0/result"))
	assert.Equal(t, map[string]RecallAction{"1": Trace, "2": Recall}, actions(h), "nothing shows that load 2 is good")
	put(h, right)
	assert.Equal(t, map[string]RecallAction{"1": Lifted, "2": Lifted}, actions(h))
	const said = "Dr Y took back /monitors/biologicals/0/result on 20 March 2026, 09:00: mistyped."
	for _, s := range h.Recall() {
		assert.Equal(t, []string{said}, s.Amended)
		assert.Contains(t, s.String(), said)
	}
	assert.Equal(t, moistheat.InService, h.Status()[0].Service)
	assert.Equal(t, []string{said}, h.Status()[0].Amended)
	assert.Equal(t, []string{"met /loads/2|" + said}, findings(h, "load.history.amended", "2026-03-21 12:00",
		"amendment"))
}

// Of two amendments that contradict each other neither counts; one that names both lines
// does, and none takes back a trace.
func TestContradictingAmendments(t *testing.T) {
	grew, not := ran("1", "2026-03-09 11:00", bio(load.Positive)), ran("1", "2026-03-09 11:00", bio(load.Negative))
	a, b := amend(grew, "/monitors/biologicals"), amend(not, "/monitors/biologicals/0")
	require.Equal(t, Lifted, actions(history(t, "us-cdc-2003", grew, not, a))["1"])
	assert.Equal(t, Recall, actions(history(t, "us-cdc-2003", grew, not, a, b))["1"], "the worse counts")
	a.Lines = append(a.Lines, b.Lines...)
	assert.Equal(t, Recall, actions(history(t, "us-cdc-2003", grew, not, a, b))["1"], "no line says what is right")
	right := ran("1", "2026-03-09 11:00", bio(load.Negative), func(r *load.Record) { r.Load.PreparedBy = "EF" })
	assert.Equal(t, Lifted, actions(history(t, "us-cdc-2003", grew, not, a, b, right))["1"])

	long := recorded(t)
	long.Release, long.Monitors.Biologicals = nil, nil
	bio(load.Positive)(long)
	for _, take := range []string{"", "/cycle"} {
		assert.Equal(t, actions(history(t, "us-cdc-2003", long)), actions(history(t, "us-cdc-2003", long, amend(long,
			take))), take)
	}
	assert.NotEmpty(t, actions(history(t, "us-cdc-2003", long)))
}

// Of one thing a thousand takings are weighed. With one more none counts, so that what was
// entered stands, and each amendment is said not to.
func TestMostTakings(t *testing.T) {
	wrong, right := ran("2", "2026-03-09 11:00", bio(load.Positive)), ran("2", "2026-03-09 11:00", bio(load.Negative))
	h := history(t, "us-cdc-2003", wrong, right)
	taken := func(i int) *Amendment {
		a := amend(wrong, "/monitors/biologicals/0/result")
		a.Why = strconv.Itoa(i)
		return a
	}
	for i := range 1000 {
		put(h, taken(i))
	}
	require.Equal(t, Lifted, actions(h)["2"])
	put(h, taken(1000))
	assert.Equal(t, Recall, actions(h)["2"])
	all := findings(h, "load.history.amended", "2026-03-21 12:00", "why")
	require.Len(t, all, 1001)
	for _, f := range all {
		require.Equal(t, "broken /loads/2|more than 1000 values are taken back from one line, so none has effect", f)
	}
}

// What nobody signed, or takes back what nobody may, is refused by the decoder and has no
// effect as a value.
func TestUnsignedAmendments(t *testing.T) {
	grew := ran("1", "2026-03-09 11:00", bio(load.Positive))
	want := answers(history(t, "us-cdc-2003", grew))
	for at, edit := range map[string]func(*Amendment){
		"/by": func(a *Amendment) { a.By = "" }, "/why": func(a *Amendment) { a.Why = "" },
		"/time":  func(a *Amendment) { a.Time = time.Time{} },
		"/lines": func(a *Amendment) { a.Lines = nil }, "/takes": func(a *Amendment) { a.Takes = nil },
		"/lines/0": func(a *Amendment) { a.Lines[0] = strings.ToUpper(a.Lines[0]) },
		"/takes/1": func(a *Amendment) { a.Takes = append(a.Takes, "/cycle/trace/time") },
		"/takes/0": func(a *Amendment) { a.Takes[0] = "/id" },
	} {
		a := amend(grew, "/monitors")
		require.NoError(t, a.Validate())
		require.NotEqual(t, want, answers(history(t, "us-cdc-2003", grew, a)))
		edit(a)
		assert.Error(t, a.Validate(), at)
		assert.Equal(t, want, answers(history(t, "us-cdc-2003", grew, a)), at)
	}
	for _, line := range []string{`{"format":"moistheat.amendment/1"}`, amendmentLine("", ""), amendmentLine("x", "/cycle/trace")} {
		_, err := DecodeAmendment([]byte(line))
		assert.Error(t, err, line)
	}
}

func amendmentLine(why, takes string) string {
	return `{"format":"moistheat.amendment/1","time":"2026-03-20T09:00:00Z","by":"Dr Y","why":"` + why +
		`","lines":["` + strings.Repeat("0", 64) + `"],"takes":["` + takes + `"]}`
}

func FuzzDecodeAmendment(f *testing.F) {
	f.Add([]byte(amendmentLine("x", "/note")))
	grew := ran("1", "2026-03-09 11:00", bio(load.Positive))
	f.Fuzz(func(t *testing.T, data []byte) {
		a, err := DecodeAmendment(data)
		if err != nil {
			return
		}
		require.NoError(t, a.Validate())
		a.Lines = append(slices.Clone(a.Lines), entryOf(grew).Digest())
		h := history(t, "us-cdc-2003", grew, a)
		answers(h)
	})
}
