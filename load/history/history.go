package history

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/units"
)

// History is a site's sterilizers through time: what is due, which loads are
// suspect, what a positive test asks for next, and whether something drifts.
//
// Records and events may come in any order, in parts and more than once: a history
// is a set, merging is associative and commutative, and every answer depends only
// on what is in it. Of two versions of one record both count, and where they differ
// the worse: evidence that arrives later reopens a load and never hides an earlier
// failure. What was entered wrongly is taken back by an [Amendment].
//
// A history keeps a small trace of each version (about a kilobyte, without time
// series). Where only the calendar is asked, [Summary] does with less.
//
// Reading a history from many goroutines is safe while nobody adds to it. The zero
// History is empty, under the zero policy; a nil one is too, and takes nothing in. A History
// that was used is not to be copied by assignment; [History.Merge] copies one.
type History struct {
	policy      *load.Policy
	facts       *load.Facts // that records are resolved with; nil: none
	sterilizers map[string]*unitHistory
	shelf       map[packKey]*shelvedPack
	amended     *amendments                           // nil: none
	devices     *History                              // other machines, in the place of sterilizers; nil: none
	batches     map[string]map[digest]*cleaning.Batch // of cleaning, by ID and line
	listed      map[string][]load.DeviceEntry         // machines of catalogues, by ID

	settling sync.Mutex      // of those who read
	unread   bool            // something was taken in since the last answer
	named    map[digest]bool // lines that amendments have named since

	deliveries map[packKey]*delivery // of packs, since
}

type unitHistory struct {
	all     map[occurrenceKey]*occurrence
	gone    map[occurrenceKey]*occurrence // of which all that was said was taken back
	open    map[occurrenceKey]bool        // of which something was, and no line says yet what is right
	lots    map[lotDay]*lotTests          // the tests of a lot and a day
	news    map[occurrenceKey]*incoming   // of which more was said than is in the others
	amended *amendments                   // the history's
}

// New returns an empty history under a policy.
func New(p *load.Policy) *History {
	return &History{policy: p, sterilizers: map[string]*unitHistory{}, shelf: map[packKey]*shelvedPack{}}
}

// UseCatalogue lets h resolve the records that it is given from then on with a catalogue, as
// [load.Facts.Resolve] does under the policy of h; nil is none. Use it before the first record:
// one that refers to a catalogue and comes without is quarantined. A record that was resolved
// already stays as it is. Duties of the machines of the catalogue run from the day on which they were
// commissioned, whatever is on record of them, and a machine that it does not have is said. None
// of it is saved with the history.
func (h *History) UseCatalogue(f *load.Facts) {
	if h != nil {
		h.facts = f
		h.list(f.Machines()...)
	}
}

// resolved returns a record as the catalogue of h completes it.
func (h *History) resolved(r *load.Record) *load.Record {
	if h == nil || h.facts == nil || r == nil || r.Unresolved() != r {
		return r
	}
	return h.facts.Resolve(r, h.Policy())
}

// Add checks a record by itself, takes it in, with the tests that it mentions, and
// returns the report, which does not know the history: to decide on a release ask
// [History.Check]. A nil record is not taken in.
func (h *History) Add(r *load.Record) *load.Report {
	r = h.resolved(r)
	report := load.Check(r, h.Policy())
	if r != nil && h != nil {
		h.add(r, report)
	}
	return report
}

func (h *History) add(r *load.Record, report *load.Report) {
	u := h.unit(r.Sterilizer.ID)
	o := ofRecord(r, report)
	line := digestOf(r.Unresolved(), func() string { return fmt.Sprintf("%+v", *o) })
	u.put(o.as(line, 0))
	for i := range r.Monitors.Tests {
		if e := ofTest(r, i); e.kind != 0 { // a kind that does not exist is no test
			e.limit(h.Policy())
			u.put(e.as(line, i+1))
		}
	}
}

// AddReport takes in a record and the report that [load.Check] or [load.Explain] made of
// it under the policy of the history; of another one it is an error, and nothing is taken
// in.
func (h *History) AddReport(r *load.Record, report *load.Report) error {
	switch {
	case h == nil || r == nil || report == nil:
		return nil
	case report.Policy.Digest != h.Policy().Digest() || report.Record != r.ID ||
		!judges(report, h.Policy().On(r.Load.Date)):
		return fmt.Errorf("history: the report is of another record or policy, or its findings do something else: %w",
			moistheat.ErrInvalid)
	}
	h.add(h.resolved(r), report)
	return nil
}

// judges reports whether the findings of a report do what the policy lets them do, which
// one that was read from a file need not say.
func judges(report *load.Report, p *load.Policy) bool {
	for _, f := range report.Findings {
		said := f.Effect
		if p.Apply(&f); f.Effect != said {
			return false
		}
	}
	return true
}

// AddEvent takes in an event, and returns what [Event.Validate] says of it: an event that no
// document could hold is taken in as far as it can be read, a result that is no word of ours as
// growth. One of no kind cannot be taken in. One that carries the result of another kind of test
// stands for that test, too.
func (h *History) AddEvent(e *Event) error {
	h.addEvent(e)
	return e.Validate()
}

func (h *History) addEvent(e *Event) {
	if h == nil || e == nil || e.Kind == 0 {
		return
	}
	all := ofEvent(e)
	line := digestOf(e, func() string { return fmt.Sprintf("%+v", *all[0]) })
	to, id := h, e.Sterilizer
	if e.Device != "" {
		to, id = h.machines(), e.Device
	}
	for _, o := range all {
		o.limit(h.Policy())
		to.unit(id).put(o.as(line, 0))
	}
}

// AddEntry takes in whatever a line of a stream holds; see [Entries].
func (h *History) AddEntry(e Entry) {
	if e.Record != nil {
		h.Add(e.Record)
	}
	h.addEvent(e.Event)
	h.addStored(e.Stored)
	h.addCleaning(e.Cleaning)
	if e.Amendment != nil && h != nil {
		h.amend(e.Amendment)
	}
}

// Merge takes in another history under the same policy, which stays as it is; of a nil
// one there is nothing to take in.
func (h *History) Merge(o *History) error {
	if h == nil || o == nil {
		return nil
	}
	if h.Policy().Name() != o.Policy().Name() || h.Policy().Digest() != o.Policy().Digest() {
		return otherPolicy()
	}
	if h == o {
		return nil
	}
	if o.amended != nil {
		h.amend(slices.Collect(maps.Values(o.amended.all))...)
	}
	for _, all := range o.listed {
		h.list(all...)
	}
	if o.devices != nil {
		_ = h.machines().Merge(o.devices) // under the same policy
	}
	for id, u := range o.units() {
		own := h.unit(id)
		for _, e := range u.all {
			own.put(e)
		}
		for _, e := range u.gone {
			own.put(e)
		}
	}
	for _, s := range o.stored() {
		for _, v := range s.said {
			h.putStored(v)
		}
	}
	for line, b := range o.everyBatch {
		h.putBatch(line, b)
	}
	return nil
}

// Policy returns the policy of the history.
func (h *History) Policy() *load.Policy {
	if h == nil || h.policy == nil {
		return &load.Policy{}
	}
	return h.policy
}

// Sterilizers returns the names of the sterilizers, sorted.
func (h *History) Sterilizers() []string {
	return slices.Sorted(maps.Keys(cmp.Or(h, &History{}).sterilizers))
}

// units returns the sterilizers, when what was taken in of each is worked out. Everything
// that reads one goes through it; several may at once.
func (h *History) units() map[string]*unitHistory {
	h.settle()
	return h.sterilizers
}

// stored returns the packs, likewise.
func (h *History) stored() map[packKey]*shelvedPack {
	h.settle()
	return h.shelf
}

func (h *History) settle() {
	h.settling.Lock()
	defer h.settling.Unlock()
	if !h.unread {
		return
	}
	for _, u := range h.sterilizers {
		u.settle(h.named)
		u.lie()
	}
	for k, t := range h.deliveries {
		h.shelf[k] = h.shelve(t.sorted())
	}
	if len(h.named) > 0 {
		for k, s := range h.shelf {
			named := func(v storedVersion) bool { return h.named[v.line] }
			if h.deliveries[k] == nil && slices.ContainsFunc(s.said, named) {
				h.shelf[k] = h.shelve(s.said)
			}
		}
	}
	h.unread, h.named, h.deliveries = false, nil, nil
}

// unit returns a sterilizer to take something in about it.
func (h *History) unit(id string) *unitHistory {
	h.unread = true
	if h.sterilizers == nil {
		h.sterilizers = map[string]*unitHistory{}
	}
	u := h.sterilizers[id]
	if u == nil {
		u = &unitHistory{all: map[occurrenceKey]*occurrence{}, amended: h.amended}
		h.sterilizers[id] = u
	}
	return u
}

// timeline returns what happened at a known time, in order.
func (u *unitHistory) timeline() []*occurrence {
	var out []*occurrence
	for _, e := range u.all {
		if !e.start.IsZero() {
			out = append(out, e)
		}
	}
	slices.SortFunc(out, before)
	return out
}

// undated returns the loads whose time is not on record, by id.
func (u *unitHistory) undated() []*occurrence {
	var out []*occurrence
	for _, e := range u.all {
		if e.start.IsZero() && e.kind == 0 {
			out = append(out, e)
		}
	}
	slices.SortFunc(out, before)
	return out
}

// Summary returns the summary of the history by days.
func (h *History) Summary() *Summary {
	h = cmp.Or(h, &History{})
	s := NewSummary(h.Policy())
	for id, u := range h.units() {
		s.unit(id) // of which amendments may have taken back all that was said
		for _, e := range u.all {
			s.add(id, e)
		}
	}
	return s
}

// Due says where every duty of the policy stands at an instant, on the calendar of
// its zone. Sterilizers that were given up by then are left out. None is done while its
// sterilizer is out of service or a procedure is open: it says the next step.
func (h *History) Due(at time.Time) []Due {
	out, _ := h.due(at)
	return out
}

// due is [History.Due], and by its places the tests that are not shown to be valid, as sentences.
func (h *History) due(at time.Time) (out []Due, doubts map[int]moistheat.Detail) {
	h, _ = h.asOf(at)
	doubts = map[int]moistheat.Detail{}
	var steps []moistheat.Detail
	retired := false
	var doubtful negatives
	all := h.Summary().Due(at)
	for i, d := range all {
		if i == 0 || d.Sterilizer != all[i-1].Sterilizer {
			u := h.units()[d.Sterilizer]
			steps, retired = u.steps(h.course(), at), u.retired(at)
			doubtful = goodTests(u.timeline(), (*occurrence).unproven)
		}
		if retired {
			continue
		}
		if e := doubtful.before(at); e != nil && d.State != NotDue && d.Duty.Test == calendar.BiologicalTestEvent &&
			e.end.After(d.Last) && !e.cycle.differs(d.Kind) {
			doubts[len(out)] = e.notCounted(at.Location())
			d.why = lang.Join(". ", d.why, doubts[len(out)])
			d.Why = strings.TrimSuffix(d.why.String(), ".")
		}
		if len(steps) > 0 {
			switch next := lang.Join(" ", steps...); {
			case d.State == NotDue:
				d.State, d.By, d.why = Stopped, time.Time{}, next
			case doubts[len(out)].IsValid():
				d.why = together(d.why, next)
			default:
				d.why = lang.Join(". ", d.why, next)
			}
			d.Why = d.why.String()
		}
		out = append(out, d)
	}
	return append(out, h.upkeepDue(at)...), doubts
}

// retired reports whether the sterilizer was given up by an instant.
func (u *unitHistory) retired(at time.Time) bool {
	for _, e := range u.all {
		if e.kind == calendar.RetiredEvent && !e.end.After(at) {
			return true
		}
	}
	return false
}

// Findings returns what every rule about a sterilizer through time comes to, met or open: it
// judges the calendar up to an instant, with the amendments that were signed by
// then, and log, recalls, procedures and drift by all the evidence. Pointers are
// /sterilizers/NAME, /loads/ID, /events/ID and /packs/ID. Sorted by pointer and rule.
func (h *History) Findings(at time.Time) []moistheat.Finding {
	h, later := h.asOf(at)
	h = cmp.Or(h, &History{})
	c := rules.Book.List(nil)
	s := h.Summary()
	for _, id := range h.Sterilizers() {
		u := h.units()[id]
		name := "/sterilizers/" + guard.Escape(id)
		s.sterilizers[id].overdue(&c, h.Policy(), name, at)
		u.tests(&c, name)
		u.log(&c, h.course(), name)
		numbers(&c, s, id, name)
		u.calibration(&c, h.Policy(), name, at)
		u.discarded(&c, h.Policy(), name)
		u.owed(&c, name, at)
		u.qualification(&c)
	}
	h.upkeepFindings(&c, at)
	h.recalls(&c)
	h.prions(&c)
	h.chains(&c)
	h.procedures(&c, at)
	h.shelves(&c)
	h.rotation(&c)
	h.contradictions(&c)
	h.amendedFindings(&c, at, later)
	h.drifts(&c)
	h.beside(&c, at)
	out := h.inForce(c.Findings, at)
	slices.SortStableFunc(out, moistheat.Finding.Compare)
	return out
}

// beside asks the rules of others that a policy has about sterilizers.
func (h *History) beside(c *ask.List, at time.Time) {
	c.Findings = append(c.Findings, load.CheckSterilizers(h.Policy(), func(yield func(load.Known) bool) {
		for _, id := range h.Sterilizers() {
			now := &load.Record{Cycle: &load.Cycle{}}
			now.Sterilizer.ID, now.Cycle.Started = id, at
			k := h.Known(now)
			if k.Format, k.Sterilizer, k.At = load.KnownFormat, id, at; !yield(k) {
				return
			}
		}
	})...)
}

// Message renders a finding of a history for a person.
func (h *History) Message(f moistheat.Finding) string {
	rule, _ := h.Policy().Rule(f.Rule)
	if rule.ID == "" {
		return f.Rule
	}
	return rule.Message(f)
}

// overdue judges every occasion of every duty up to an instant. Missed occasions
// that follow one another make one finding.
func (u *unitDays) overdue(c *ask.List, p *load.Policy, at string, until time.Time) {
	all := u.sorted()
	for _, duty := range p.Schedule() {
		own := u.daysOf(duty, all)
		for _, kind := range u.asked(duty) {
			n, days := len(c.Findings), own[kind]
			switch duty.Cadence {
			case calendar.ByDayOfUse:
				u.missed(c, at, duty, kind, days,
					func(d moistheat.Date) moistheat.Outcome { return u.days[d].onDay(duty, kind) }, until)
			case calendar.ByCalendarWeek, calendar.ByCalendarWeekWithPatients:
				u.missed(c, at, duty, kind, weeks(duty.Week.Begins, days), func(d moistheat.Date) moistheat.Outcome {
					o, _ := u.week(duty, kind, d)
					return o
				}, until)
			case calendar.ByInterval, calendar.ByHoursOfUse:
				u.missed(c, at, duty, kind, days, u.late(duty, kind), until)
			case calendar.ByManufacturer:
				if duty.Every.IsValid() {
					u.missed(c, at, duty, kind, days, u.late(duty, kind), until)
					continue
				}
				// the policy does not say when, so nobody can say that it was in time
				u.missed(c, at, duty, kind, days, func(d moistheat.Date) moistheat.Outcome {
					if u.days[d].uses(duty, kind).n == 0 {
						return moistheat.NotApplicable
					}
					return moistheat.Undetermined
				}, until)
			}
			if len(c.Findings) == n {
				c.Ask(ruleOf(duty), at).When(false).By(duty.Source)
			}
		}
	}
	if len(p.Schedule()) == 0 {
		c.Ask(rules.HistoryOverdue, at).When(false)
	}
	if !slices.ContainsFunc(p.Schedule(), func(d calendar.Duty) bool { return ruleOf(d) == rules.HistorySchedule }) {
		c.Ask(rules.HistorySchedule, at).When(false)
	}
}

// ruleOf returns the rule that a duty is judged by.
func ruleOf(duty calendar.Duty) ask.ID {
	if duty.Cadence == calendar.ByManufacturer && duty.Every.IsValid() {
		return rules.HistorySchedule
	}
	return rules.HistoryOverdue
}

// daysOf returns the days that a duty of each kind of cycle is judged on, in order.
func (u *unitDays) daysOf(duty calendar.Duty, all []moistheat.Date) map[CycleSetting][]moistheat.Date {
	out := map[CycleSetting][]moistheat.Date{}
	if duty.PerCycleKind != moistheat.Yes {
		out[CycleSetting{}] = all
		return out
	}
	for _, day := range all {
		for k := range u.days[day].kinds {
			out[k] = append(out[k], day)
		}
	}
	if duty.EvenIfIdle == moistheat.Yes || duty.Cadence == calendar.ByHoursOfUse ||
		duty.Cadence == calendar.ByCalendarWeekWithPatients {
		for k := range out {
			out[k] = all
		}
	}
	return out
}

// awaited reports whether a test of an occasion, which begins on a day, is not read yet.
func (u *unitDays) awaited(duty calendar.Duty, kind CycleSetting, day moistheat.Date, at time.Time) bool {
	n := 1
	if duty.Weekly() {
		n = 7
	}
	for i := range n {
		if d := u.days[day.AddDays(i)]; d != nil && d.waits(duty, kind, at) {
			return true
		}
	}
	return false
}

// weeks returns the first days of the weeks of some days, each once.
func weeks(w calendar.WeekBeginning, days []moistheat.Date) []moistheat.Date {
	var out []moistheat.Date
	for _, d := range days {
		out = append(out, w.Of(d))
	}
	return slices.Compact(out)
}

// late says of each day of use, in order, whether it was too late for the next
// test: its first load began too late, or its last one where the day has no test.
func (u *unitDays) late(duty calendar.Duty, kind CycleSetting) func(moistheat.Date) moistheat.Outcome {
	var last time.Time // newest test before the day
	var used time.Duration
	return func(day moistheat.Date) moistheat.Outcome {
		d := u.days[day]
		use, done := d.uses(duty, kind), d.done(duty, kind)
		out := moistheat.NotApplicable
		if use.n > 0 {
			tooLate := func(t time.Time, ran time.Duration) bool {
				over := last.IsZero() || !t.Before(duty.Every.Deadline(last))
				if !last.IsZero() && duty.Every.OfDays() { // the loads of a day began on it
					over = day.Compare(duty.Every.AfterDate(moistheat.DateOf(last))) > 0
				}
				return over || duty.Cadence == calendar.ByHoursOfUse && ran >= seconds(duty.HoursOfUse)
			}
			testFirst := done.n > 0 && !done.first.After(use.first) // the first load is the test, or comes after it
			out = moistheat.Met
			if !testFirst && tooLate(use.first, used) || done.n == 0 && tooLate(use.last, used+d.use) {
				out = moistheat.Broken
			}
		}
		used += d.use
		if done.n > 0 {
			last, used = done.last, 0
			if use.last.After(done.last) {
				used = d.use
			}
		}
		return out
	}
}

// missed adds findings for runs of missed occasions, and one that is met where
// there is none. Occasions that are not over at the instant are left out.
func (u *unitDays) missed(c *ask.List, at string, duty calendar.Duty, kind CycleSetting, on []moistheat.Date,
	judge func(moistheat.Date) moistheat.Outcome, until time.Time) {
	today := moistheat.DateOf(until)
	if duty.Weekly() {
		today = duty.Week.Begins.Of(today)
	}
	var first, last moistheat.Date
	n, met, before := 0, 0, len(c.Findings)
	var run moistheat.Outcome
	waiting := false // for the result of a test in each occasion of the run
	flush := func() {
		if n == 0 {
			return
		}
		what := testName(duty.Test)
		if kind != (CycleSetting{}) {
			what = lang.With("test-in-cycles: {1:text} in cycles with {2:text}", what, kind.words())
		}
		q := c.Ask(ruleOf(duty), at).By(duty.Source).Say("test", what).With("count", strconv.Itoa(n)).
			With("first", first.String()).With("last", last.String()).Say("duty", duty.Words()).
			BrokenWhen(run == moistheat.Broken)
		switch {
		case q.Answered():
		case waiting:
			q.Say("missing", lang.Say("duty-test-unread: a test is not read yet")).Open(moistheat.NotYet)
		case duty.Cadence == calendar.ByManufacturer:
			q.Say("missing", lang.Say("schedule-elsewhere: the schedule is in the sterilizer's instructions")).
				Open(moistheat.NoLimit)
		case duty.Cadence == calendar.ByCalendarWeekWithPatients:
			q.Say("missing", lang.Say("duty-patients-unrecorded: not recorded: whether patients were scheduled")).
				Open(moistheat.Unrecorded)
		default:
			q.Say("missing", lang.Say("duty-detector-unrecorded: not recorded: whether the sterilizer has an air detector")).
				Open(moistheat.Unrecorded)
		}
		n = 0
	}
	for _, d := range on {
		o, wait := judge(d), false
		if o == moistheat.Broken && u.awaited(duty, kind, d, until) {
			o, wait = moistheat.Undetermined, true
		}
		if d.Compare(today) >= 0 && (duty.Cadence != calendar.ByInterval && duty.Cadence != calendar.ByHoursOfUse && !beforeUse(duty.Test) || d.Compare(today) > 0) {
			continue // there is still time
		}
		switch o {
		case moistheat.Met:
			met++
			flush()
		case moistheat.Broken, moistheat.Undetermined:
			if o != run || wait != waiting {
				flush()
			}
			if n == 0 {
				first, run, waiting = d, o, wait
			}
			last = d
			n++
		}
	}
	flush()
	if len(c.Findings) == before && met > 0 {
		c.Ask(ruleOf(duty), at).By(duty.Source).Say("duty", duty.Words()).Met()
	}
}

// rest answers each of some rules that none of the findings from one on is of: it is
// met where it applies.
func rest(c *ask.List, from int, at string, applies bool, ids ...ask.ID) {
	asked := map[string]bool{}
	for _, f := range c.Findings[from:] {
		asked[f.Rule] = true
	}
	for _, id := range ids {
		if !asked[rules.Book.Name(id)] {
			c.Ask(id, at).When(applies).Met()
		}
	}
}

// tests says of every test whether it counts.
func (u *unitHistory) tests(c *ask.List, at string) {
	from := len(c.Findings)
	for _, e := range u.timeline() {
		if e.kind == 0 && e.bio == bioNone || e.kind != 0 && !calendar.IsTest(e.kind) {
			continue
		}
		where := e.pointer()
		if e.kind != 0 && e.id == "" {
			where = at
		}
		if e.kind == calendar.AirRemovalEvent {
			most := e.mostExposure()
			ask.AtMost(c.Ask(rules.PenetrationExposure, where).When(e.hold.IsValid()).By(most.Source), e.hold, most.Value)
		}
		came := e.result()
		c.Ask(rules.HistoryVoid, where).Say("what", e.tested(nil)).Say("why", came.why()).
			BrokenWhen(came.void).OpenWhen(came.cause == notRead, moistheat.NotYet).Known(came.passed != moistheat.NotRecorded)
	}
	rest(c, from, at, false, rules.HistoryVoid, rules.PenetrationExposure)
}

// log judges times and counters of single loads.
func (u *unitHistory) log(c *ask.List, way course, at string) {
	from := len(c.Findings)
	line, undated := u.timeline(), u.undated()
	var running *occurrence // the cycle that ends last so far
	closed := u.closed(way)
	highest, counted := map[string]*occurrence{}, false
	idle := false // there are loads that were run while it was out of use
	for _, e := range line {
		if e.kind == calendar.RepairedEvent {
			clear(highest) // a new controller counts from 1 again
		}
		if in := closed(e); e.kind == 0 && in != nil {
			idle = true
			if e.forPatients() {
				c.Ask(rules.HistoryOutofuse, e.pointer()).With("since", in.From.Format(stamp)).
					Say("why", in.why()).Broken()
			}
		}
		if series, n, ok := cycleNumber(e.number); ok {
			if top := highest[series]; top != nil {
				if _, m, _ := cycleNumber(top.number); n < m {
					c.Ask(rules.HistoryDecrease, e.pointer()).With("number", e.number).With("before", top.number).Broken()
				}
			}
			highest[series], counted = e, true
		}
		if e.end.After(e.start) && e.lay == nil { // a cycle, of a load or a test
			if running != nil && e.start.Before(running.end) {
				c.Ask(rules.HistoryOverlap, e.pointer()).Say("other", running.name(e.start.Location())).Broken()
			}
			if running == nil || e.end.After(running.end) {
				running = e
			}
		}
	}
	for _, e := range undated {
		c.Ask(rules.HistoryUndated, e.pointer()).Open(moistheat.Unrecorded)
	}
	rest(c, from, at, running != nil, rules.HistoryOverlap)
	rest(c, from, at, counted, rules.HistoryDecrease)
	rest(c, from, at, idle, rules.HistoryOutofuse)
	rest(c, from, at, len(line)+len(undated) > 0, rules.HistoryUndated)
}

// closed returns the time out of service in which a load was run, of any chamber that it
// may have been run in, or nil.
func (u *unitHistory) closed(way course) func(*occurrence) *closure {
	all := u.chambers("")
	closed := make([]closures, len(all))
	for i, c := range all {
		closed[i] = joined(u.outages(c.line, way))
	}
	return func(e *occurrence) *closure {
		for i, c := range all {
			if c.may(e) {
				if in := closed[i].run(e); in != nil {
					return in
				}
			}
		}
		return nil
	}
}

// forPatients reports whether a load run while the sterilizer is out of use cannot
// be taken for a repeat test: it has no biological indicator, or was released.
func (h *occurrence) forPatients() bool {
	return h.released == moistheat.Yes || h.some(ofBiological, func(v *occurrence) bool { return v.bio == bioNone })
}

// numbers judges gaps and repeats of the cycle numbers of one sterilizer.
func numbers(c *ask.List, s *Summary, id, at string) {
	from := len(c.Findings)
	for _, g := range s.sterilizers[id].anomalies(id) {
		switch {
		case g.Used == 0:
			c.Ask(rules.HistoryGap, at).Say("numbers", g.words()).Broken()
		default:
			c.Ask(rules.HistoryRepeat, at).Say("numbers", g.words()).With("count", strconv.Itoa(g.Used)).Broken()
		}
	}
	rest(c, from, at, len(s.sterilizers[id].numbers) > 0, rules.HistoryGap, rules.HistoryRepeat)
}

// shelves finds packs that were used from loads that may not be used.
func (h *History) shelves(c *ask.List) {
	find, shown := h.finder(), h.shown()
	for _, key := range h.packs() {
		s := h.stored()[key]
		if !s.used() {
			continue
		}
		loads := find.loadsOf(s)
		for _, e := range loads {
			stands := e.stands(s.Pack, shown[e])
			c.Ask(rules.StorageUnreleased, e.pointer()).With("pack", s.Pack).Say("state", stands.words()).
				BrokenIf(stands != loadGood)
		}
		if len(loads) == 0 {
			c.Ask(rules.StorageUnreleased, "/packs/"+guard.Escape(s.Pack)).With("pack", s.Pack).Open(moistheat.Unrecorded)
		}
	}
	if len(h.shelf) == 0 {
		c.Ask(rules.StorageUnreleased, "").When(false)
	}
}

// calibration asks whether the sensors were calibrated within the period after which
// the policy has the sterilizer validated again, before the newest load.
func (u *unitHistory) calibration(c *ask.List, p *load.Policy, at string, until time.Time) {
	i := slices.IndexFunc(p.Schedule(), func(d calendar.Duty) bool { return d.Test == calendar.RequalificationEvent && d.Every.IsValid() })
	var newest, last *occurrence
	for _, e := range u.timeline() {
		if e.start.After(until) {
			break
		}
		if e.kind == calendar.CalibrationEvent && e.result().passed == moistheat.Yes {
			last = e
		} else if e.kind == 0 {
			newest = e
		}
	}
	q := c.Ask(rules.HistoryCalibration, at).When(i >= 0 && newest != nil).Given(last != nil)
	if !q.Answered() {
		every := p.Schedule()[i].Every
		q.With("last", last.end.Format(dayStamp)).Say("period", every.Words()).
			BrokenIf(newest.start.After(every.After(last.end)))
	}
}

// discarded judges records that were thrown away.
func (u *unitHistory) discarded(c *ask.List, p *load.Policy, at string) {
	from := len(c.Findings)
	var retired moistheat.Date
	for _, e := range u.timeline() {
		switch e.kind {
		case calendar.RetiredEvent:
			retired = moistheat.DateOf(e.end)
		case calendar.DiscardedEvent:
			discard(c, p, e, retired)
		}
	}
	rest(c, from, at, false, rules.HistoryDiscarded)
}

// discard judges one time that records were thrown away; too soon for one of several
// kinds of record is too soon.
func discard(c *ask.List, p *load.Policy, e *occurrence, retired moistheat.Date) {
	kinds := []calendar.RecordKind{e.records}
	if e.records == calendar.AllRecords {
		kinds = []calendar.RecordKind{calendar.BiologicalRecords, calendar.CycleRecords, calendar.EquipmentRecords}
	}
	o, why := moistheat.Undetermined, lang.Say("discard-no-time: the policy sets no time for them")
	var until moistheat.Detail
	reason := moistheat.NoLimit
	silent := false // about one of several kinds
	var by []moistheat.Source
	for _, k := range kinds {
		last, line, found := p.KeepUntil(k, e.newest, retired)
		switch {
		case e.records == "":
			why, reason = lang.Say("discard-kind-unrecorded: not recorded: which records they were"), moistheat.Unrecorded
		case !e.newest.IsValid():
			why, reason = lang.Say("discard-newest-unrecorded: not recorded: the day of the newest"), moistheat.Unrecorded
		case !found:
			silent = true
		case !last.IsValid():
			o, by = moistheat.Broken, []moistheat.Source{line.Source}
			until = lang.With("discard-after-retired: {1:text} after the sterilizer is retired",
				line.AfterEquipment.Words())
		case moistheat.DateOf(e.end).Compare(last) <= 0:
			o, until, by = moistheat.Broken, lang.Data(last.String()), []moistheat.Source{line.Source}
		case o == moistheat.Undetermined:
			o, by = moistheat.Met, []moistheat.Source{line.Source}
		}
	}
	if silent && o == moistheat.Met {
		o, why = moistheat.Undetermined, lang.Say("discard-no-time-for-some: the policy sets no time for some of them")
	}
	what := lang.Say("records-of-all-kinds: records of all kinds")
	switch e.records {
	case calendar.BiologicalRecords:
		what = lang.Say("records-of-biologicals: records of biological tests")
	case calendar.CycleRecords:
		what = lang.Say("records-of-cycles: records of cycles")
	case calendar.EquipmentRecords:
		what = lang.Say("records-of-equipment: records of equipment")
	}
	c.Ask(rules.HistoryDiscarded, e.pointer()).By(by...).Say("what", what).Say("until", until).Say("why", why).
		OpenWhen(o == moistheat.Undetermined, reason).Is(o)
}

// owed asks for the result of spores that an emergency did not wait for.
func (u *unitHistory) owed(c *ask.List, at string, now time.Time) {
	from := len(c.Findings)
	for _, e := range u.timeline() {
		if !e.urgent {
			continue
		}
		q := c.Ask(rules.ImplantOwed, e.pointer())
		switch by := e.readBy.Format(stamp); {
		case e.bio == bioGood || e.bio == bioPositive:
			q.With("why", "").Met()
		case e.bio == bioVoid:
			q.Say("why", lang.With("owed-test-invalid: the test is invalid: {1:text}", e.why)).Broken()
		case e.bio == bioOpen:
			q.Say("why", e.why).Open(moistheat.Unrecorded)
		case now.After(e.readBy):
			q.Say("why", lang.Say("owed-read-late: it was to be read by {1:date}", by)).Broken()
		default:
			q.Say("why", lang.Say("owed-unread: it is not read yet; due by {1:date}", by)).Open(moistheat.NotYet)
		}
	}
	rest(c, from, at, false, rules.ImplantOwed)
}

// rotation asks whether the oldest of packs with the same contents was used first.
func (h *History) rotation(c *ask.List) {
	groups := map[string][]*StoredPack{}
	doubtful := map[string]moistheat.Date{} // earliest day of packs of which day or time of use is not recorded
	used := false
	for _, key := range h.packs() {
		s := h.stored()[key].StoredPack
		known := s.Sterilized.IsValid() && (s.Use == nil || !s.Use.Time.IsZero())
		if s.Use != nil {
			used = true
			if s.Contents == "" || !known {
				c.Ask(rules.StorageRotation, "/packs/"+guard.Escape(s.Pack)).With("pack", s.Pack).Open(moistheat.Unrecorded)
			}
		}
		switch first, some := doubtful[s.Contents]; {
		case s.Contents == "":
		case known:
			groups[s.Contents] = append(groups[s.Contents], s)
		case !some || s.Sterilized.Compare(first) < 0: // a day that is not recorded may be any: it comes first
			doubtful[s.Contents] = s.Sterilized
		}
	}
	for _, name := range slices.Sorted(maps.Keys(groups)) {
		first, some := doubtful[name]
		rotate(c, groups[name], func(d moistheat.Date) bool { return some && first.Compare(d) < 0 })
	}
	if !used {
		c.Ask(rules.StorageRotation, "").When(false)
	}
}

// rotate asks it of one group, day by day; doubt says whether a pack whose place in the
// order is not known may be older than a day.
func rotate(c *ask.List, group []*StoredPack, doubt func(moistheat.Date) bool) {
	slices.SortStableFunc(group, func(a, b *StoredPack) int { return a.Sterilized.Compare(b.Sterilized) })
	var older *StoredPack // of those sterilized on an earlier day, the one that lay longest
	for len(group) > 0 {
		n := slices.IndexFunc(group, func(s *StoredPack) bool { return s.Sterilized != group[0].Sterilized })
		if n < 0 {
			n = len(group)
		}
		for _, s := range group[:n] {
			if s.Use == nil {
				continue
			}
			q := c.Ask(rules.StorageRotation, "/packs/"+guard.Escape(s.Pack)).With("pack", s.Pack)
			switch {
			case older != nil && (older.Use == nil || older.Use.Time.After(s.Use.Time)):
				q.With("older", older.Pack).Broken()
			case doubt(s.Sterilized):
				q.Open(moistheat.Unrecorded)
			default:
				q.Met()
			}
		}
		for _, s := range group[:n] {
			if older == nil || older.Use != nil && (s.Use == nil || s.Use.Time.After(older.Use.Time)) {
				older = s
			}
		}
		group = group[n:]
	}
}

// clue is what is known of the load of a stored pack: its record, or what a label says.
type clue struct {
	any                  bool // sterilizer
	sterilizer           string
	record, number, pack string
	day                  moistheat.Date // zero: any
	undated              bool           // a load that may have been run on any day
}

// clues returns those of which one must fit a load: the record, else sterilizer and number,
// else the pack's own id, and never another day than the label says.
func (s *shelvedPack) clues() []clue {
	c := clue{any: s.Sterilizer == "", sterilizer: s.Sterilizer}
	switch {
	case s.Record != "":
		c.record = s.Record
		return []clue{c}
	case s.Load == "":
		c.pack = s.Pack
	case c.any:
		c.number, c.pack = s.Load, s.Pack
	default:
		c.number = s.Load
	}
	days, open := s.sterilized()
	if open {
		return []clue{c}
	}
	undated := c
	undated.undated = true
	out := []clue{undated}
	for _, c.day = range days {
		out = append(out, c)
	}
	return out
}

// finder finds the loads of stored packs. It is made for one question and not kept:
// what is added later is not in it.
type finder map[clue][]*occurrence

func (h *History) finder() finder {
	f := finder{} // only what packs ask for
	labels := false
	for _, s := range h.stored() {
		for _, c := range s.clues() {
			f[c] = nil
			labels = labels || c.record == ""
		}
	}
	if len(f) == 0 {
		return f
	}
	for _, id := range h.Sterilizers() {
		for _, e := range h.units()[id].all {
			if e.kind == 0 {
				f.put(clue{sterilizer: id}, e, labels)
				f.put(clue{any: true}, e, labels)
			}
		}
	}
	for _, all := range f {
		slices.SortStableFunc(all, before)
	}
	return f
}

// put enters a load under each clue that is asked for.
func (f finder) put(c clue, e *occurrence, labels bool) {
	add := func(c clue) {
		if all, asked := f[c]; asked && (len(all) == 0 || all[len(all)-1] != e) {
			f[c] = append(all, e)
		}
	}
	if e.id != "" {
		record := c
		record.record = e.id
		add(record)
	}
	if !labels {
		return
	}
	days, open := e.days()
	add1 := add
	add = func(c clue) {
		add1(c)
		if c.undated = open; open {
			add1(c)
		}
		for _, c.day = range days {
			c.undated = false
			add1(c)
		}
	}
	for _, n := range e.numbers() {
		switch c.number = n; {
		case n == "":
		case c.any:
			for _, p := range e.packs {
				c.pack = p.id
				add(c)
			}
			c.pack = ""
		default:
			add(c)
		}
	}
	c.number = ""
	for _, p := range e.packs {
		c.pack = p.id
		add(c)
	}
}

// loadsOf finds the loads that a stored pack may be of, in order of time. Where there are
// several any of them may be the one. Whether a load may be depends on no other load, so
// that a further record never takes a pack out of one.
func (f finder) loadsOf(s *shelvedPack) []*occurrence {
	clues := s.clues()
	if len(clues) == 1 {
		return f[clues[0]]
	}
	var out []*occurrence
	seen := map[*occurrence]bool{}
	for _, c := range clues {
		for _, e := range f[c] {
			if !seen[e] {
				seen[e] = true
				out = append(out, e)
			}
		}
	}
	slices.SortStableFunc(out, before)
	return out
}

// lists reports whether a record of the load lists a pack.
func (h *occurrence) lists(pack string) bool {
	_, found := h.listed(pack)
	return found
}

// listed finds a pack among those of the load, which are sorted by id, each once.
func (h *occurrence) listed(pack string) (int, bool) {
	return slices.BinarySearchFunc(h.packs, pack, func(p packTrace, id string) int { return cmp.Compare(p.id, id) })
}

// drifts says of each series whether it moved, and of those that are too short once a
// sterilizer.
func (h *History) drifts(c *ask.List) {
	all := h.Drift()
	short := map[string][]moistheat.Detail{}
	for _, d := range all {
		kind := lang.Say("drift-leak-tests: the leak tests") // which are of no kind of cycle
		if d.Kind != (CycleSetting{}) {
			kind = d.Kind.words()
		}
		if !d.Enough {
			short[d.Sterilizer] = append(short[d.Sterilizer],
				lang.With("drift-measure: {1:history.Measure} ({2:text})", lang.Data(d.Measure.String()), kind))
			continue
		}
		q := c.Ask(rules.DriftMoved, "/sterilizers/"+guard.Escape(d.Sterilizer)).
			With("measure", d.Measure.String()).Say("kind", kind)
		if d.Alarm {
			q.With("centre", fmt.Sprintf("%.4g", d.Centre)).With("now", fmt.Sprintf("%.4g", d.Centre+d.Smoothed*d.Scale)).
				With("since", d.Since.Format(dayStamp))
		}
		q.BrokenIf(d.Alarm)
	}
	for _, id := range slices.Sorted(maps.Keys(short)) {
		c.Ask(rules.DriftMoved, "/sterilizers/"+guard.Escape(id)).Say("what", lang.Join("; ", short[id]...)).
			Open(moistheat.NotMeasurable)
	}
	if len(all) == 0 {
		c.Ask(rules.DriftMoved, "").When(false)
	}
}

// days returns the day of each load and event by its pointer. Two of one pointer and
// different days have no day that is known.
func (h *History) days() map[string]moistheat.Date {
	out := map[string]moistheat.Date{}
	for u := range h.everyUnit {
		for _, e := range u.all {
			at, day := e.pointer(), e.day()
			if old, taken := out[at]; taken && old != day {
				day = moistheat.Date{}
			}
			out[at] = day
		}
	}
	return out
}

// inForce applies the policy to findings: as it stood on the day of the load or event
// that a finding is about, for others as it stands at the instant that is judged.
func (h *History) inForce(findings []moistheat.Finding, at time.Time) []moistheat.Finding {
	days := h.days()
	now := h.Policy().On(moistheat.DateOf(at))
	for i := range findings {
		p := now
		if day, ok := days[findings[i].Pointer]; ok {
			p = h.Policy().On(day)
		}
		p.Apply(&findings[i])
		if id, ok := strings.CutPrefix(findings[i].Pointer, "/packs/"); ok {
			findings[i].Pack = strings.NewReplacer("~1", "/", "~0", "~").Replace(id)
		}
	}
	return findings
}

// after returns the instant a time after another. A time that is no time, or that a
// clock does not reach, adds nothing or the 292 years that it holds, on every platform.
func after(t time.Time, d units.Duration) time.Time {
	if t.IsZero() {
		return t
	}
	if u := t.Add(seconds(d)); u.Year() <= 9999 { // as far as a document can say
		return u
	}
	return time.Date(9999, time.December, 31, 23, 59, 59, 0, t.Location())
}

func seconds(d units.Duration) time.Duration {
	const most = float64(math.MaxInt64 / time.Second)
	s := d.Float64(units.Second)
	if s != s { // no number
		return 0
	}
	return time.Duration(max(-most, min(s, most)) * float64(time.Second))
}
