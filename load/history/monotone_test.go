package history

import (
	"fmt"
	"iter"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/require"
)

// runs is how many random histories the tests of this file make: MOISTHEAT_RUNS, or
// what a run of all tests, or a short one, can afford.
func runs(t testing.TB) int {
	if n := env(t, "MOISTHEAT_RUNS"); n > 0 {
		return n
	}
	if testrun.Full() {
		return 400
	}
	return 90
}

// seeds are those of n random histories, from MOISTHEAT_FROM on.
func seeds(t testing.TB, n int) iter.Seq[uint64] {
	from := uint64(env(t, "MOISTHEAT_FROM"))
	return func(yield func(uint64) bool) {
		for i := range uint64(n) {
			if i > 0 && i%5000 == 0 {
				t.Logf("%d of %d", i, n)
			}
			if !yield(from + i) {
				return
			}
		}
	}
}

func env(t testing.TB, name string) int {
	s := os.Getenv(name)
	if s == "" {
		return 0
	}
	n, err := strconv.Atoi(s)
	require.NoError(t, err)
	return n
}

// A small world, so that lines meet: a few records, instants, packs and patients.
type world struct {
	*rand.Rand
	what []any // so far; amendments name some of them

	plain bool // without batches and devices
}

func (w *world) pick(p float64) bool { return w.Float64() < p }

func one[T any](w *world, of ...T) T { return of[w.IntN(len(of))] }

func (w *world) at() string {
	return fmt.Sprintf("2026-03-%02d %02d:00", 2+w.IntN(6), 8+w.IntN(10))
}

// record is a version of one of a few records: number, times and settings may be
// others than those of another version.
func (w *world) record() *load.Record {
	id := 1 + w.IntN(8)
	number := fmt.Sprint(id)
	r := ran(number, fmt.Sprintf("2026-03-%02d %02d:00", 2+id*5/8, 8+id))
	if w.pick(0.15) {
		r = ran(number, w.at())
	}
	w.settings(r)
	switch {
	case w.pick(0.25):
		bio(load.Negative)(r)
	case w.pick(0.2):
		bio(load.Positive)(r)
	case w.pick(0.1):
		deadControl(r)
	case w.pick(0.1):
		bio(load.Pending)(r)
	case w.pick(0.2):
		test(func(b *load.Biological) { b.Control = nil })(r)
	}
	if w.pick(0.15) {
		implant(r)
	}
	switch {
	case w.pick(0.1):
		r.Packs[1].ID = r.Packs[0].ID
	case w.pick(0.05):
		r.Packs = nil
	case w.pick(0.1):
		r.Packs = r.Packs[1:]
	}
	if w.pick(0.1) {
		r.Packs = append(r.Packs, goodPack("a\x00b"))
	}
	if w.pick(0.2) {
		r.Release = nil
	}
	if w.pick(0.1) {
		r.Cycle.Aborted = yes
	}
	if w.pick(0.1) {
		r.Cycle.Printed.HoldTime = units.Duration{}
	}
	if w.pick(0.15) {
		r.Monitors.Tests = []load.Test{{Kind: one(w, load.AirRemovalTest, load.LeakTest), Time: local(w.at()),
			Passed: one(w, yes, no, unknown)}}
	}
	if w.pick(0.05) {
		r.Cycle, r.Unloading = nil, load.Unloading{}
		if w.pick(0.5) {
			r.Load.Date = moistheat.Date{}
		}
	}
	if w.pick(0.1) {
		r.Sterilizer.ID = "S2"
	}
	if w.pick(0.2) {
		r.Site.Name = one(w, "mill", "mill", "bridge")
	}
	if len(r.Packs) > 0 && !w.plain {
		w.contents(&r.Packs[0])
	}
	if w.pick(0.1) && len(r.Packs) > 0 {
		r.Packs[0].Decision = one(w, moistheat.Release, moistheat.Quarantine, moistheat.Reject)
	}
	return r
}

// contents are of what a batch, a device and another pack may tell something.
func (w *world) contents(p *load.Pack) {
	p.Items = slices.Clone(p.Items)
	it := &p.Items[0]
	if w.pick(0.5) {
		it.ID = one(w, "I-1", "I-2")
	}
	if w.pick(0.4) {
		it.Preparation.WasherLoad = one(w, "W-1", "W-2", "M-1")
	}
	if w.pick(0.2) {
		it.Preparation.Device = one(w, "WD", "US")
	}
	if w.pick(0.1) {
		p.Replaces = []string{fmt.Sprintf("%d-1", 1+w.IntN(8))}
	}
	if w.pick(0.1) {
		p.Loan = &packaging.Loan{}
	}
}

// batch is one of a few, good or not, with or without its times.
func (w *world) batch() *cleaning.Batch {
	return batch(one(w, "W-1", "W-2", "M-1"), local(w.at()), func(b *cleaning.Batch) {
		b.Kind = one(w, packaging.WasherDisinfector, packaging.Manual)
		b.Device, b.Number = one(w, "", "WD"), one(w, "", "1", "2")
		b.Rinsed, b.Aborted = one(w, yes, no, unknown), one(w, yes, no, no, unknown)
		b.Carried[0].ID = one(w, "I-1", "I-2")
		if w.pick(0.3) {
			b.Trace = logOf(one(w, 80., 93), 5)
		}
		if w.pick(0.2) {
			b.Started, b.Ended = time.Time{}, time.Time{}
		}
		if w.pick(0.2) {
			b.TakenOut = []cleaning.TakenOut{{Item: one(w, "I-1", "I-2"), Reason: cleaning.RetainedSoil}}
		}
	})
}

// upkeep is a test of a washer or a bath.
func (w *world) upkeep() *Event {
	e := event(one(w, calendar.SoilEvent, calendar.ProteinEvent, calendar.ActivityEvent), w.at())
	e.ID, e.Sterilizer, e.Device = fmt.Sprint("u", w.IntN(30)), "", one(w, "WD", "US")
	e.Passed = one(w, yes, no, no, unknown)
	return e
}

func (w *world) settings(r *load.Record) {
	s := &r.Cycle.Settings
	if w.pick(0.15) {
		at121(r)
	}
	if w.pick(0.15) {
		s.AirRemoval = one(w, moistheat.GravityDisplacement, "")
	}
	if w.pick(0.1) {
		s.Hold = one(w, duration("3 min"), duration("18 min"), units.Duration{})
	}
	if w.pick(0.05) {
		s.Temperature = units.Temperature{}
	}
	if w.pick(0.1) {
		r.Cycle.Number = one(w, "12", "", "A-3")
	}
	if w.pick(0.05) {
		r.Load.Number = "12"
	}
	if w.pick(0.05) {
		r.Cycle.Ended = time.Time{}
	}
}

// event is of any kind, with the result of any other.
func (w *world) event() *Event {
	kind := calendar.EventKind(1 + w.IntN(int(calendar.ExplainedEvent)))
	if w.pick(0.4) {
		kind = one(w, calendar.BiologicalTestEvent, calendar.AirRemovalEvent, calendar.LeakEvent)
	}
	if w.pick(0.15) {
		kind = one(w, stageKinds[:]...)
	}
	e := event(kind, w.at())
	e.ID = fmt.Sprint("e", w.IntN(30))
	e.Passed, e.Physical, e.Chemical = one(w, yes, yes, no, unknown), one(w, yes, yes, no, unknown), one(w, yes, yes,
		unknown)
	if kind == calendar.BiologicalTestEvent && w.pick(0.9) || w.pick(0.1) {
		b := spores()
		b.Result = one(w, load.Negative, load.Negative, load.Positive, load.Pending, "")
		switch {
		case w.pick(0.2):
			b.Control = nil
		case w.pick(0.1):
			b.Control = &load.Control{Lot: b.Lot, Result: load.Negative}
		}
		e.Biological = &b
	}
	if kind == calendar.LeakEvent || w.pick(0.1) {
		e.LeakRate = units.MustParse[units.PressureRateUnit](one(w, "0.1 kPa/min", "0.2 kPa/min"))
	}
	if w.pick(0.5) {
		e.Settings.AirRemoval = one(w, moistheat.DynamicAirRemoval, moistheat.DynamicAirRemoval,
			moistheat.GravityDisplacement)
		e.Settings.Temperature = one(w, celsius(134), celsius(134), celsius(121))
		e.Settings.Hold = one(w, units.Duration{}, duration("3 min"), duration("300 s"))
	}
	if w.pick(0.1) {
		e.Started = e.Time.Add(-time.Duration(w.IntN(90)) * time.Minute)
	}
	if w.pick(0.2) {
		e.Number = one(w, "1", "12", "A-3")
	}
	if w.pick(0.5) {
		e.By, e.Note = "J. Doe", "found"
	}
	e.Chamber = one(w, "", calendar.EmptyChamber, calendar.EmptyChamber, calendar.FullChamber)
	e.Patients = one(w, unknown, yes, no)
	if w.pick(0.1) {
		e.Sterilizer = "S2"
	}
	if w.pick(0.1) {
		e.Site = one(w, "mill", "mill", "bridge")
	}
	return e
}

func (w *world) stored() *StoredPack {
	id := 1 + w.IntN(8)
	s := &StoredPack{Format: StoredFormat, Pack: one(w, fmt.Sprintf("%d-1", id), fmt.Sprintf("%d-2", id), "Q", "a\x00b")}
	switch w.IntN(4) {
	case 0:
		s.Sterilizer, s.Load = one(w, "S1", "S1", ""), one(w, fmt.Sprint(id), "12")
	case 1:
		s.Record, s.Sterilizer = fmt.Sprint(id), one(w, "", "S1", "\x00S1")
	default:
		s.Record = fmt.Sprint(id)
	}
	if w.pick(0.3) {
		s.Sterilized = day(2026, 3, 2+w.IntN(6))
	}
	s.Implant = one(w, unknown, unknown, unknown, no, yes)
	s.Contents = one(w, "", "forceps", "probes")
	if w.pick(0.5) {
		s.Use = &Use{Patient: one(w, "", "p1", "p2")}
		if w.pick(0.9) {
			s.Use.Time = local(w.at())
		}
	}
	return s
}

// line is one more line: new, or said before.
func (w *world) line() any {
	switch {
	case len(w.what) > 0 && w.pick(0.05):
		return one(w, w.what...)
	case len(w.what) > 0 && w.pick(0.08):
		return w.amendment()
	case len(w.what) > 0 && w.pick(0.08):
		return w.correction()
	case w.pick(0.45):
		return w.record()
	case !w.plain && w.pick(0.2):
		return w.batch()
	case !w.plain && w.pick(0.1):
		return w.upkeep()
	case w.pick(0.6):
		return w.event()
	}
	return w.stored()
}

// amendment takes something back from one or two of the lines so far.
func (w *world) amendment() *Amendment {
	a := &Amendment{Format: AmendmentFormat, Time: local(w.at()), By: one(w, "Dr Y", "AB"), Why: one(w, "mistyped",
		"wrong load.")}
	for range 1 + w.IntN(2) {
		a.Lines = append(a.Lines, entryOf(one(w, w.what...)).Digest())
	}
	for range 1 + w.IntN(2) {
		a.Takes = append(a.Takes, one(w, "", "/cycle/started", "/cycle/settings", "/cycle/settings/hold", "/cycle/number",
			"/cycle/ended", "/cycle",
			"/monitors/biologicals/0", "/monitors/biologicals/0/result", "/monitors/biologicals/0/control",
			"/monitors/tests/0/passed", "/packs/0",
			"/packs/0/items", "/packs", "/release", "/load/number", "/load/date", "/biological", "/biological/result",
			"/passed", "/leakRate",
			"/settings/airRemoval", "/physical", "/started", "/use", "/use/patient", "/implant", "/sterilized", "/contents"))
	}
	return a
}

// correction says again what a line is about, and something else of it: of an event also at
// another time.
func (w *world) correction() any {
	switch l := one(w, w.what...).(type) {
	case *cleaning.Batch:
		return w.batch()
	case *Event:
		if l.Device != "" {
			return w.upkeep()
		}
		e := w.event()
		e.ID, e.Kind, e.Sterilizer = l.ID, l.Kind, l.Sterilizer
		if w.pick(0.8) {
			e.Time = l.Time
		}
		return e
	case *load.Record:
		r := w.record()
		r.ID, r.Sterilizer.ID = l.ID, l.Sterilizer.ID
		return r
	}
	return w.stored()
}

func entryOf(line any) Entry {
	switch l := line.(type) {
	case *load.Record:
		return Entry{Record: l}
	case *Event:
		return Entry{Event: l}
	case *StoredPack:
		return Entry{Stored: l}
	case *Amendment:
		return Entry{Amendment: l}
	case *cleaning.Batch:
		return Entry{Cleaning: l}
	}
	return Entry{}
}

// about is the thing that a line is about.
func about(line any) string {
	switch l := line.(type) {
	case *load.Record:
		return fmt.Sprintf("load %q %q", l.Sterilizer.ID, l.ID)
	case *Event:
		return fmt.Sprintf("event %q %s", l.Sterilizer, l.Time)
	case *cleaning.Batch:
		return fmt.Sprintf("batch %q", l.ID)
	case *StoredPack:
		return fmt.Sprintf("pack %q %q %q %q", l.Record, l.Sterilizer, l.Load, l.Pack)
	}
	return ""
}

// corrects reports whether an amendment took something back from a line about the same
// thing, so that a line may fill it in.
func corrects(what []any, line any) bool {
	amended := map[string]bool{}
	for _, l := range what {
		if a, ok := l.(*Amendment); ok {
			for _, d := range a.Lines {
				amended[d] = true
			}
		}
	}
	things := map[string]bool{}
	for _, l := range what {
		if amended[entryOf(l).Digest()] {
			things[about(l)] = true
			if r, ok := l.(*load.Record); ok {
				for _, t := range r.Monitors.Tests {
					things[fmt.Sprintf("event %q %s", r.Sterilizer.ID, t.Time)] = true
				}
			}
		}
	}
	if r, ok := line.(*load.Record); ok && slices.ContainsFunc(r.Monitors.Tests, func(t load.Test) bool {
		return things[fmt.Sprintf("event %q %s", r.Sterilizer.ID, t.Time)]
	}) {
		return true
	}
	return things[about(line)]
}

// lonely reports whether no line may say what is right in place of what an amendment
// takes back.
func lonely(what []any, a *Amendment) bool {
	id := func(line any) string {
		if e, ok := line.(*Event); ok {
			return fmt.Sprintf("%q %s %q", e.Sterilizer, e.Kind, e.ID)
		}
		return ""
	}
	for _, l := range what {
		if !slices.Contains(a.Lines, entryOf(l).Digest()) {
			continue
		}
		for _, o := range what {
			if entryOf(o).Digest() != entryOf(l).Digest() && (about(o) == about(l) || id(l) != "" && id(o) == id(l)) {
				return false
			}
		}
		if r, ok := l.(*load.Record); ok && len(r.Monitors.Tests) > 0 {
			return false // events may be about them
		}
	}
	return true
}

func (w *world) lines(n int) []any {
	for range n {
		w.what = append(w.what, w.line())
	}
	return w.what
}

// testifies reports whether a line is evidence that may end a suspicion: a biological
// test with no growth, another test or a stage of qualification that was passed, the cause of a failed cycle on record,
// or the return of what a person took out of use.
func testifies(line any) bool {
	switch l := line.(type) {
	case *cleaning.Batch: // which may be the one that cleaned an item again
		return l.Rinsed != no || l.Kind != packaging.Manual
	case *load.Record:
		for i := range l.Monitors.Biologicals {
			if l.Monitors.Biologicals[i].Result == load.Negative {
				return true
			}
		}
		for _, t := range l.Monitors.Tests {
			if t.Passed == yes {
				return true
			}
		}
	case *Event:
		found := (l.Kind == calendar.ExplainedEvent || l.Kind == calendar.RepairedEvent) && l.By != "" && l.Note != ""
		passed := l.Passed == yes && (l.Device != "" || calendar.IsTest(l.Kind) || isStage(l.Kind))
		return found || passed || l.Kind == calendar.ReturnedEvent ||
			l.Biological != nil && l.Biological.Result == load.Negative
	}
	return false
}

// softer says what of a recall is gone or milder in a later one.
func softer(before, after []SuspectLoad) []string {
	var out []string
	now := map[string]SuspectLoad{}
	for _, s := range after {
		now[s.Sterilizer+"/"+s.Record] = s
	}
	for _, s := range before {
		if s.Action == Lifted { // as it was entered, and not suspect
			continue
		}
		n, ok := now[s.Sterilizer+"/"+s.Record]
		switch {
		case !ok:
			out = append(out, "gone: "+s.String())
			continue
		case n.Action < s.Action:
			out = append(out, "milder: "+s.String()+" -> "+n.String())
		case s.Implants == yes && n.Implants != yes:
			out = append(out, "implants gone: "+s.String())
		}
		for _, p := range s.Packs {
			if !stillThere(p, n.Packs) {
				out = append(out, fmt.Sprintf("pack gone: %s: %+v -> %+v", s, p, n.Packs))
			}
		}
	}
	return out
}

// stillThere reports whether a pack of a recall is in a later one, with its patient and
// its implant: what was not known of it may be known by now.
func stillThere(p SuspectPack, packs []SuspectPack) bool {
	for _, q := range packs {
		if q.ID == p.ID && (p.Patient == "" || q.Patient == p.Patient) && (p.Used.IsZero() || q.Used.Equal(p.Used)) &&
			(p.Implant != yes || q.Implant == yes) && (p.Where == "" || q.Where == p.Where || q.Where == Used) {
			return true
		}
	}
	return false
}

// stillAsked leaves out the loads that are in a recall only because a pack of them was
// used before their evidence was complete, where a line completes it.
func stillAsked(recall []SuspectLoad, h *History, line any) []SuspectLoad {
	r, ok := line.(*load.Record)
	if !ok || load.Check(r, h.Policy()).Verdict.Load != moistheat.Release {
		return recall
	}
	var out []SuspectLoad
	for _, s := range recall {
		held := func(why string) bool {
			return strings.Contains(why, " was used; by what is on record now it is in quarantine.")
		}
		if s.Record == r.ID && slices.ContainsFunc(s.Because, held) {
			s.Action = Trace // at least, if for another reason it is suspect
			if !slices.ContainsFunc(s.Because, func(why string) bool { return !held(why) }) {
				continue
			}
		}
		out = append(out, s)
	}
	return out
}

// A load, pack or patient once in a recall stays there, and as urgent, whatever line
// comes that is no evidence, under every policy: amendments too, while no line says what is
// right.
func TestNoLineSoftensARecall(t *testing.T) {
	names := load.Policies()
	softened, kinds, added := 0, map[string]int{}, map[string]int{}
	for seed := range seeds(t, runs(t)) {
		w := &world{Rand: rand.New(rand.NewPCG(seed, 11))}
		name := names[seed%uint64(len(names))]
		what := w.lines(6 + w.IntN(12))
		more := w.line()
		for again := true; again; {
			a, amends := more.(*Amendment)
			if again = testifies(more) || corrects(what, more) || amends && !lonely(what, a); again {
				more = w.line()
			}
		}
		added[fmt.Sprintf("%T", more)]++
		if e, ok := more.(*Event); ok && e.Kind == calendar.ReturnedEvent { // it ends what was recorded as out of use
			what = slices.DeleteFunc(slices.Clone(what), func(l any) bool {
				e, ok := l.(*Event)
				return ok && e.Kind == calendar.OutOfUseEvent
			})
		}
		h := history(t, name, what...)
		before := h.Recall()
		put(h, more)
		if lost := softer(stillAsked(before, h, more), h.Recall()); len(lost) > 0 {
			softened++
			kinds[fmt.Sprintf("%T", more)]++
			if softened <= 8 {
				t.Errorf("seed %d, %s: after %s:\n%s", seed, name, describe(more), strings.Join(lost, "\n"))
			}
		}
	}
	require.Zero(t, softened, "of %d: %v", runs(t), kinds)
	require.Len(t, added, 5, "every sort of line: %v", added)
}

// What a history says depends neither on the order of its lines nor on the parts that
// they came in, and to say a thing again changes nothing: of any lines, under every
// policy.
func TestLinesAreASet(t *testing.T) {
	names := load.Policies()
	for seed := range seeds(t, runs(t)/4) {
		w := &world{Rand: rand.New(rand.NewPCG(seed, 12))}
		name := names[seed%uint64(len(names))]
		what := w.lines(6 + w.IntN(12))
		whole := history(t, name, what...)
		want := answers(whole)
		shuffled := slices.Clone(what)
		w.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		shuffled = append(shuffled, one(w, what...), one(w, what...))
		require.Equal(t, want, answers(history(t, name, shuffled...)), "seed %d: order and repeats", seed)
		i := w.IntN(len(shuffled))
		a, b := history(t, name, shuffled[:i]...), history(t, name, shuffled[i:]...)
		part := answers(b)
		require.NoError(t, a.Merge(b))
		require.Equal(t, want, answers(a), "seed %d: parts", seed)
		require.Equal(t, part, answers(b), "seed %d: what is merged stays as it was", seed)
		require.NoError(t, a.Merge(a))
		require.NoError(t, a.Merge(whole))
		require.Equal(t, want, answers(a), "seed %d: merged with itself", seed)
	}
}

func describe(line any) string {
	switch l := line.(type) {
	case *load.Record:
		return fmt.Sprintf("record %s %+v", l.ID, l.Cycle)
	case *Event:
		return fmt.Sprintf("event %+v", *l)
	case *StoredPack:
		return fmt.Sprintf("stored %+v", *l)
	}
	return fmt.Sprintf("%+v", line)
}
