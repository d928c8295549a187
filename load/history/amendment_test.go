package history

import (
	"slices"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// signed is an amendment of some lines at an instant.
func signed(at string, lines []any, pointers ...string) *Amendment {
	a := &Amendment{Format: AmendmentFormat, Time: local(at), By: "Dr Y", Why: "mistyped", Takes: pointers}
	for _, l := range lines {
		a.Lines = append(a.Lines, entryOf(l).Digest())
	}
	return a
}

// What an amendment takes back speaks on against a load and a sterilizer until a line says
// what is right: CDC 2003, F.8, takes it out at a positive test, and nobody showed that
// there was none. What was taken back speaks for nothing from then on.
func TestAmendmentWaitsForTheRightLine(t *testing.T) {
	cut := func(r *load.Record) { r.Cycle.Aborted = yes }
	air := func(a moistheat.Answer) *Event {
		return event(calendar.AirRemovalEvent, "2026-03-09 07:30", passed(a))
	}
	install := event(calendar.InstalledEvent, "2026-03-09 07:30")
	for _, tt := range []struct {
		name, takes  string
		wrong, right any
		in           moistheat.Service // once the right line is there
	}{
		{"positive test, its result", "/biological/result", runWithSpores("2026-03-09 08:00", load.Positive),
			runWithSpores("2026-03-09 08:00", load.Negative), moistheat.InService},
		{"positive test, the whole line", "", runWithSpores("2026-03-09 08:00", load.Positive),
			runWithSpores("2026-03-09 08:00", load.Negative), moistheat.InService},
		{"positive test at another time, under its id", "", runWithSpores("2026-03-09 08:00", load.Positive),
			runWithSpores("2026-03-09 08:10", load.Negative,
				func(e *Event) { e.ID = "biological 2026-03-09 08:00" }), moistheat.InService},
		{"positive test, and another thing is entered", "/biological/result", runWithSpores("2026-03-09 08:00",
			load.Positive),
			runWithSpores("2026-03-08 08:00", load.Negative), moistheat.OutOfService},
		{"positive test, and the test is entered without a result", "/biological/result",
			runWithSpores("2026-03-09 08:00", load.Positive), runWithSpores("2026-03-09 08:00", load.Pending),
			moistheat.OutOfService},
		{"failed air removal test", "/passed", air(no), air(yes), moistheat.InService},
		{"aborted load", "/cycle/aborted", ran("1", "2026-03-09 08:00", cut), ran("1", "2026-03-09 08:00"),
			moistheat.InService},
		{"aborted load, the whole line", "", ran("1", "2026-03-09 08:00", cut), ran("1", "2026-03-09 08:00"),
			moistheat.InService},
		{"installation", "", install, event(calendar.InstalledEvent, "2026-03-01 07:30"), moistheat.OutOfService},
	} {
		after := ran("2", "2026-03-09 11:00")
		a := signed("2026-03-10 09:00", []any{tt.wrong}, tt.takes)
		was, alone := history(t, "us-cdc-2003", after, tt.wrong), history(t, "us-cdc-2003", after, tt.wrong, a)
		require.Equal(t, moistheat.OutOfService, was.Status()[0].Service, tt.name)
		require.Contains(t, actions(was), "2", tt.name)
		assert.Equal(t, moistheat.OutOfService, alone.Status()[0].Service, "%s: nothing in its place", tt.name)
		assert.Empty(t, softer(was.Recall(), alone.Recall()), "%s: nothing in its place", tt.name)
		assert.Equal(t, undetermined, says(alone, "load.history.amended", "2026-03-11 09:00"), tt.name)
		put(alone, tt.right)
		assert.Equal(t, tt.in, alone.Status()[0].Service, "%s: %s", tt.name, alone.Status())
		answered := history(t, "us-cdc-2003", tt.right, a, tt.wrong, after)
		assert.Equal(t, answers(alone), answers(answered), "%s: in any order", tt.name)
		if tt.in == moistheat.InService {
			assert.Equal(t, met, says(alone, "load.history.amended", "2026-03-11 09:00"), tt.name)
		}
	}
	// What was good evidence is none from the instant at which it is taken back.
	good := runWithSpores("2026-03-10 12:00", load.Negative)
	grew := ran("1", "2026-03-09 08:00", bio(load.Positive))
	h := history(t, "us-cdc-2003", grew, good)
	require.Equal(t, moistheat.InService, h.Status()[0].Service)
	for _, takes := range []string{"", "/biological", "/biological/result", "/biological/lot", "/physical"} {
		h := history(t, "us-cdc-2003", grew, good, signed("2026-03-11 09:00", []any{good}, takes))
		assert.Equal(t, moistheat.OutOfService, h.Status()[0].Service, takes)
	}
	// Who found the cause is taken back: nobody has found it.
	why := explained("2026-03-09 12:00")
	failed := ran("1", "2026-03-09 08:00", cut)
	require.Equal(t, moistheat.InService, history(t, "us-cdc-2003", failed, why).Status()[0].Service)
	for _, takes := range []string{"", "/by", "/note"} {
		h := history(t, "us-cdc-2003", failed, why, signed("2026-03-10 09:00", []any{why}, takes))
		assert.Equal(t, moistheat.OutOfService, h.Status()[0].Service, takes)
	}
}

// A patient in a recall stays there while no other use is entered in place of the one that
// was taken back, and an implant while no line says that there was none.
func TestAmendedPackStays(t *testing.T) {
	grew := ran("1", "2026-03-09 11:00", bio(load.Positive))
	used := &StoredPack{Format: StoredFormat, Pack: "1-1", Record: "1", Implant: yes,
		Use: &Use{Time: local("2026-03-12 09:00"), Patient: "p7"}}
	for _, takes := range []string{"", "/use", "/use/patient", "/use/time", "/implant"} {
		a := signed("2026-03-13 09:00", []any{used}, takes)
		before := history(t, "us-cdc-2003", grew, used)
		h := history(t, "us-cdc-2003", grew, used, a)
		assert.Empty(t, softer(before.Recall(), h.Recall()), takes)
		assert.Equal(t, undetermined, says(h, "load.history.amended", "2026-03-14 09:00"), takes)
	}
	other := &StoredPack{Format: StoredFormat, Pack: "1-1", Record: "1",
		Use: &Use{Time: local("2026-03-12 09:00"), Patient: "p8"}}
	h := history(t, "us-cdc-2003", grew, used, other, signed("2026-03-13 09:00", []any{used}, "/use/patient"))
	assert.Equal(t, "p8", h.Recall()[0].Packs[0].Patient)
	assert.Len(t, h.Recall()[0].Packs, 2, "the other pack of the load")
}

// An amendment that was signed before what it takes back had happened does not count, nor
// one that was signed after the instant that is asked; both are said.
func TestAmendmentsHaveTheirTime(t *testing.T) {
	wrong, right := ran("2", "2026-03-09 11:00", bio(load.Positive)), ran("2", "2026-03-09 11:00", bio(load.Negative))
	for at, counts := range map[string]bool{
		"2026-03-09 10:00": false, "2026-03-09 11:49": false, "2026-03-09 11:50": true, "2026-03-09 12:00": true,
	} {
		h := history(t, "us-cdc-2003", wrong, right, signed(at, []any{wrong}, "/monitors/biologicals/0/result"))
		assert.Equal(t, counts, h.Status()[0].Service == moistheat.InService, at)
		want := broken
		if counts {
			want = met
		}
		assert.Equal(t, want, says(h, "load.history.amended", "2026-03-20 09:00"), at)
		assert.Equal(t, []string{want.String() + " /loads/2"}, findings(h, "load.history.amended", "2026-03-20 09:00"))
	}
	used := &StoredPack{Format: StoredFormat, Pack: "2-1", Record: "2", Use: &Use{Time: local("2026-03-12 09:00")}}
	h := history(t, "us-cdc-2003", wrong, used, signed("2026-03-12 08:59", []any{used}, "/use"))
	assert.Equal(t, broken, says(h, "load.history.amended", "2026-03-20 09:00"))

	h = history(t, "us-cdc-2003", wrong, right, signed("2026-03-10 09:00", []any{wrong},
		"/monitors/biologicals/0/result"))
	assert.Equal(t, broken, says(h, "load.positive.open", "2026-03-10 08:59"))
	assert.Equal(t, undetermined, says(h, "load.history.amended", "2026-03-10 08:59"))
	assert.NotEqual(t, broken, says(h, "load.positive.open", "2026-03-10 09:00"))
	assert.Equal(t, met, says(h, "load.history.amended", "2026-03-10 09:00"))
	assert.NotEqual(t, NotDue, dueOf(t, h, calendar.BiologicalTestEvent, "2026-03-10 08:59").State)
	assert.Equal(t, NotDue, dueOf(t, h, calendar.BiologicalTestEvent, "2026-03-10 09:00").State)
}

// Of two amendments that take back the contrary neither counts, and a finding says so.
func TestContradictionOfAmendmentsIsSaid(t *testing.T) {
	grew, not := ran("1", "2026-03-09 11:00", bio(load.Positive)), ran("1", "2026-03-09 11:00", bio(load.Negative))
	a := signed("2026-03-10 09:00", []any{grew}, "/monitors/biologicals")
	b := signed("2026-03-10 10:00", []any{not}, "/monitors/biologicals/0")
	h := history(t, "us-cdc-2003", grew, not, a, b)
	assert.Equal(t, Recall, actions(h)["1"])
	assert.Equal(t, broken, says(h, "load.history.amended", "2026-03-20 09:00"))
	// One that does not count for its date takes nothing away from the other.
	b.Time = local("2026-03-09 10:00")
	assert.Equal(t, Lifted, actions(history(t, "us-cdc-2003", grew, not, a, b))["1"])
}

// A pointer to nothing is an error, and where a stream brings one it is said.
func TestAmendmentOfNothing(t *testing.T) {
	grew := runWithSpores("2026-03-09 08:00", load.Positive)
	for _, takes := range []string{"/biological/reslt", "/monitors/biologicals/x", "/monitors/biologicals/00",
		"/monitors/tests/-1",
		"/cycle/settings/hold/value", "/cycle/started/", "/load/number/0", "/biologicals"} {
		h := history(t, "us-cdc-2003", grew)
		want := answers(h)
		assert.Error(t, h.AddAmendment(amend(grew, takes)), takes)
		assert.Equal(t, want, answers(h), takes)
	}
	h := history(t, "us-cdc-2003", grew)
	assert.NoError(t, h.AddAmendment(amend(grew, "/biological/result", "/note")))
	assert.ErrorIs(t, h.AddAmendment(&Amendment{}), moistheat.ErrShape)
	assert.NoError(t, h.AddAmendment(nil))
	assert.NoError(t, (*History)(nil).AddAmendment(amend(grew, "")))
	h = history(t, "us-cdc-2003", grew)
	h.AddEntry(Entry{Amendment: amend(grew, "/cycle/settings")})
	assert.Equal(t, broken, says(h, "load.history.amended", "2026-03-21 09:00"), "an event has no cycle")
}

// What counts is no open question: it is shown.
func TestAmendmentIsShown(t *testing.T) {
	wrong, right := ran("2", "2026-03-09 11:00", bio(load.Positive)), ran("2", "2026-03-09 11:00", bio(load.Negative))
	a := signed("2026-03-10 09:00", []any{wrong}, "/monitors/biologicals/0/result")
	h := history(t, "us-cdc-2003", wrong, right, a)
	i := slices.IndexFunc(h.Findings(local("2026-03-20 09:00")), func(f moistheat.Finding) bool {
		return f.Rule == "load.history.amended" && f.Open()
	})
	assert.Negative(t, i)
	assert.Equal(t, []string{a.String()}, h.Status()[0].Amended)
	assert.Equal(t, []string{a.String()}, h.Recall()[0].Amended)
	assert.Equal(t, []string{"met /loads/2|" + a.String()}, findings(h, "load.history.amended", "2026-03-21 12:00",
		"amendment"))
}

// Whatever instant it is asked for, and whatever was signed, an answer needs no clock.
func TestAmendmentOfEveryTime(t *testing.T) {
	grew := ran("1", "2026-03-09 11:00", bio(load.Positive))
	h := history(t, "us-cdc-2003", grew, signed("2026-03-10 09:00", []any{grew}, ""))
	for _, at := range []time.Time{{}, local("2026-03-09 11:00"), local("9999-12-31 23:59")} {
		assert.NotEmpty(t, h.Findings(at))
	}
}

// Every line is listed with the digest that an amendment names, also of a file.
func TestLines(t *testing.T) {
	grew := ran("2", "2026-03-09 11:00", bio(load.Positive))
	out := event(calendar.OutOfUseEvent, "2026-03-09 13:00", leaked("0.5 kPa/min"))
	used := &StoredPack{Format: StoredFormat, Pack: "2-1", Record: "2", Use: &Use{Time: local("2026-03-12 09:00"),
		Patient: "p7"}}
	h := history(t, "us-cdc-2003", used, out, grew, amend(grew, ""))
	want := []Line{
		{Digest: entryOf(grew).Digest(), Pointer: "/loads/2", Sterilizer: "S1", Time: local("2026-03-09 11:50"),
			What: "load 2"},
		{Digest: entryOf(out).Digest(), Pointer: "/events/out of use 2026-03-09 13:00", Sterilizer: "S1",
			Time: local("2026-03-09 13:00"), What: "leak test of 9 March 2026 13:00"},
		{Digest: entryOf(used).Digest(), Pointer: "/packs/2-1", Time: local("2026-03-12 09:00"), What: "pack 2-1, used"},
	}
	again, _ := loaded(t, saved(t, h), h.Policy())
	for _, h := range []*History{h, again} {
		lines := h.Lines()
		require.Len(t, lines, len(want))
		for i, l := range lines {
			assert.True(t, want[i].Time.Equal(l.Time))
			l.Time, l.what = want[i].Time, moistheat.Detail{}
			assert.Equal(t, want[i], l)
		}
	}
	assert.Empty(t, (*History)(nil).Lines())
}

// Of an event an amendment takes back what it names and nothing else.
func TestTakenBackOfAnEvent(t *testing.T) {
	e := runWithSpores("2026-03-09 09:00", load.Positive, func(e *Event) {
		e.Started, e.Physical, e.Chemical, e.Chamber = local("2026-03-09 08:10"), yes, yes, calendar.EmptyChamber
		e.Settings.Drying, e.Patients, e.By, e.Note = duration("10 min"), no, "J. Doe", "found"
		e.Records, e.Newest = calendar.CycleRecords, day(2026, 3, 1)
	})
	parts := map[string]func(*occurrence) []any{
		"/physical":        func(h *occurrence) []any { return []any{h.physical} },
		"/chemical":        func(h *occurrence) []any { return []any{h.chemical} },
		"/chamber":         func(h *occurrence) []any { return []any{h.chamber} },
		"/settings/drying": func(h *occurrence) []any { return []any{h.drying} },
		"/patients":        func(h *occurrence) []any { return []any{h.patients} },
		"/by":              func(h *occurrence) []any { return []any{h.by, h.named} },
		"/note":            func(h *occurrence) []any { return []any{h.note, h.noted} },
		"/records":         func(h *occurrence) []any { return []any{h.records} },
		"/newest":          func(h *occurrence) []any { return []any{h.newest} },
	}
	whole := ofEvent(e)[0]
	require.False(t, whole.unsound, "physical record and indicators are good")
	for take := range parts {
		own := *whole
		own.amendEvent(func(p string) bool { return p == take }, []string{take})
		for member, of := range parts {
			for i, v := range of(&own) {
				if member == take {
					assert.Zero(t, v, take)
				} else {
					assert.Equal(t, of(whole)[i], v, "%s of %s", member, take)
				}
			}
		}
		assert.Equal(t, whole.start, own.start, take)
		assert.Equal(t, take == "/physical" || take == "/chemical", own.unsound,
			"positive, and not shown to be sound: %s", take)
	}
	own := *whole
	own.amendEvent(func(p string) bool { return p == "/started" }, []string{"/started"})
	assert.Equal(t, []any{own.end, ofStart, members(0)}, []any{own.start, own.guessed & ofStart, own.taken & ofStart},
		"the time of the event says when it was")
	good := *ofEvent(runWithSpores("2026-03-09 09:00", load.Negative))[0]
	good.amendEvent(func(p string) bool { return p == "/physical" }, []string{"/physical"})
	assert.False(t, good.unsound, "only a positive test is")
}
