package history

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
)

// Summary keeps, for each sterilizer and day, what the calendar of tests needs: its
// memory grows with days, kinds of cycle and gaps in the numbers, not with loads.
// Records and events may come in any order and in parts: summaries of the parts,
// merged in any order, equal the summary of the whole. Each record goes in once.
//
// What needs single loads (overlaps, recalls, procedures, drift) is for [History], and so
// is a control that serves, or voids, the tests of other loads: a Summary takes each test
// with its own control alone. [History.Summary] gives one that knows.
type Summary struct {
	policy      *load.Policy
	sterilizers map[string]*unitDays
}

type unitDays struct {
	days    map[moistheat.Date]*dayUse
	numbers map[string]*ranges // cycle numbers by series
	loads   int
	bad     int
	undated int
}

// dayUse is what one sterilizer did on one day of its own calendar.
type dayUse struct {
	loads, tests span // any; of the tests their number only
	use          time.Duration
	dynamic      span // loads with dynamic air removal
	hollow       span // ... and hollow items
	kinds        map[CycleSetting]*kindUse
	good         [calendar.CalibrationEvent + 1]span // tests that count and were passed
	failed       [calendar.CalibrationEvent + 1]span
	waiting      span // biological tests that are not read yet, up to when they should be
	detector     moistheat.Answer
	patients     moistheat.Answer
}

type kindUse struct{ loads, good, failed, waiting span }

// span is the first start and the last end of a number of things.
type span struct {
	n           int
	first, last time.Time // start of the first, end of the last
}

func (s *span) add(start, end time.Time) { s.join(span{1, start, end}) }

func (s *span) join(o span) {
	s.n += o.n
	s.first, s.last = earlier(s.first, o.first), later(s.last, o.last)
}

// rules returns the policy of the summary.
func (s *Summary) rules() *load.Policy {
	if s == nil || s.policy == nil {
		return &load.Policy{}
	}
	return s.policy
}

// NewSummary returns an empty summary.
func NewSummary(p *load.Policy) *Summary {
	return &Summary{policy: p, sterilizers: map[string]*unitDays{}}
}

// Add takes in a load and what [load.Check] said of it. A nil record is not taken in,
// nor one without a report.
func (s *Summary) Add(r *load.Record, report *load.Report) {
	if s == nil || r == nil || report == nil {
		return
	}
	s.add(r.Sterilizer.ID, ofRecord(r, report))
	for i := range r.Monitors.Tests {
		if e := ofTest(r, i); e.kind != 0 { // a kind that does not exist is no test
			e.limit(s.rules())
			s.add(r.Sterilizer.ID, e)
		}
	}
}

// AddEvent takes in an event.
func (s *Summary) AddEvent(e *Event) {
	if s != nil && e != nil && e.Kind != 0 {
		for _, o := range ofEvent(e) {
			o.limit(s.rules())
			s.add(e.Sterilizer, o)
		}
	}
}

// Merge takes in another summary under the same policy, which stays as it is; of a nil
// one there is nothing to take in.
func (s *Summary) Merge(o *Summary) error {
	if s == nil || o == nil {
		return nil
	}
	if s.rules().Name() != o.rules().Name() || s.rules().Digest() != o.rules().Digest() {
		return otherPolicy()
	}
	for id, u := range o.sterilizers {
		s.unit(id).join(u)
	}
	return nil
}

func otherPolicy() error {
	return fmt.Errorf("load: the two were made under different policies: %w", moistheat.ErrInvalid)
}

func (s *Summary) unit(id string) *unitDays {
	if s.sterilizers == nil {
		s.sterilizers = map[string]*unitDays{}
	}
	u := s.sterilizers[id]
	if u == nil {
		u = &unitDays{days: map[moistheat.Date]*dayUse{}, numbers: map[string]*ranges{}}
		s.sterilizers[id] = u
	}
	return u
}

func (s *Summary) add(sterilizer string, h *occurrence) {
	u := s.unit(sterilizer)
	for _, number := range h.cycleNumbers() {
		series, n, ok := cycleNumber(number)
		if !ok {
			continue
		}
		r := u.numbers[series]
		if r == nil {
			r = &ranges{}
			u.numbers[series] = r
		}
		r.add(n)
	}
	if h.kind == 0 {
		u.loads++
		if h.state == loadBad {
			u.bad++
		}
	}
	day := h.day()
	if !day.IsValid() {
		u.undated++
		return
	}
	d := u.days[day]
	if d == nil {
		d = &dayUse{}
		u.days[day] = d
	}
	d.add(h)
}

func (d *dayUse) add(h *occurrence) {
	if h.kind == calendar.PatientsEvent {
		d.patients = anyYes(d.patients, h.patients)
		return
	}
	switch {
	case h.kind == 0:
		d.loads.add(h.start, h.end)
		if h.end.After(h.start) {
			d.use += h.end.Sub(h.start)
		}
		d.detector = max(d.detector, h.detector)
		if h.dynamic() || h.cycle.AirRemoval == "" { // what is not recorded may be dynamic
			d.dynamic.add(h.start, h.end)
			if h.hollow != moistheat.No {
				d.hollow.add(h.start, h.end)
			}
		}
		d.kind(h.cycle).loads.add(h.start, h.end)
		d.test(calendar.BiologicalTestEvent, h)
	case calendar.IsTest(h.kind):
		d.tests.n++
		d.test(h.kind, h)
	case h.kind == calendar.PerformanceQualificationEvent: // what a requalification does again
		d.test(calendar.RequalificationEvent, h)
	}
}

// test takes in what a test of a kind came to.
func (d *dayUse) test(kind calendar.EventKind, h *occurrence) {
	came := h.result()
	each := &kindUse{} // equipment tests are of no kind of cycle
	if kind == calendar.BiologicalTestEvent {
		each = d.kind(h.cycle)
	}
	switch {
	case came.passed == moistheat.Yes:
		d.good[kind].add(h.start, h.end)
		each.good.add(h.start, h.end)
	case came.passed == moistheat.No:
		d.failed[kind].add(h.start, h.end)
		each.failed.add(h.start, h.end)
	case h.bio == bioPending:
		d.waiting.add(h.start, h.read)
		each.waiting.add(h.start, h.read)
	}
}

func (d *dayUse) kind(c CycleSetting) *kindUse {
	if d.kinds == nil {
		d.kinds = map[CycleSetting]*kindUse{}
	}
	k := d.kinds[c]
	if k == nil {
		k = &kindUse{}
		d.kinds[c] = k
	}
	return k
}

func (u *unitDays) join(o *unitDays) {
	u.loads, u.bad, u.undated = u.loads+o.loads, u.bad+o.bad, u.undated+o.undated
	for series, r := range o.numbers {
		own := u.numbers[series]
		if own == nil {
			own = &ranges{}
			u.numbers[series] = own
		}
		own.join(r)
	}
	for day, d := range o.days {
		own := u.days[day]
		if own == nil {
			own = &dayUse{}
			u.days[day] = own
		}
		own.loads.join(d.loads)
		own.tests.join(d.tests)
		own.use += d.use
		own.dynamic.join(d.dynamic)
		own.hollow.join(d.hollow)
		for i := range d.good {
			own.good[i].join(d.good[i])
			own.failed[i].join(d.failed[i])
		}
		own.waiting.join(d.waiting)
		own.detector, own.patients = max(own.detector, d.detector), anyYes(own.patients, d.patients)
		for k, v := range d.kinds {
			kind := own.kind(k)
			kind.loads.join(v.loads)
			kind.good.join(v.good)
			kind.failed.join(v.failed)
			kind.waiting.join(v.waiting)
		}
	}
}

// Sterilizers returns the names of the sterilizers, sorted.
func (s *Summary) Sterilizers() []string {
	return slices.Sorted(maps.Keys(cmp.Or(s, &Summary{}).sterilizers))
}

// Usage is what a summary counts of one sterilizer.
type Usage struct {
	Sterilizer string
	Loads      int           // all
	Rejected   int           // by [load.Check]
	Undated    int           // loads and tests that no day could be found for
	Days       int           // with a load
	Running    time.Duration // of cycles with start and end
	First      moistheat.Date
	Last       moistheat.Date
}

// Usage returns the counts of each sterilizer, sorted by name.
func (s *Summary) Usage() []Usage {
	var out []Usage
	for _, id := range s.Sterilizers() {
		u := s.sterilizers[id]
		n := Usage{Sterilizer: id, Loads: u.loads, Rejected: u.bad, Undated: u.undated}
		for day, d := range u.days {
			if d.loads.n == 0 {
				continue
			}
			n.Days++
			n.Running += d.use
			if !n.First.IsValid() || day.Compare(n.First) < 0 {
				n.First = day
			}
			if day.Compare(n.Last) > 0 {
				n.Last = day
			}
		}
		out = append(out, n)
	}
	return out
}

// NumberAnomaly is a run of cycle numbers that no load and no test accounts for, or a
// number that was used more than once.
type NumberAnomaly struct {
	Sterilizer string
	Series     string // what stands before the digits
	From, To   int64  // first and last number
	Used       int    // how often: 0 for a gap
}

// String returns the numbers, such as "412 to 415".
func (g NumberAnomaly) String() string { return g.words().String() }

// words are the numbers in any language.
func (g NumberAnomaly) words() moistheat.Detail {
	if g.From == g.To {
		return lang.Data(prose.Name(fmt.Sprint(g.Series, g.From)))
	}
	first, last := fmt.Sprint(g.Series, g.From), fmt.Sprint(g.Series, g.To)
	return lang.Say("cycle-numbers: {1} to {2}", prose.Name(first), prose.Name(last))
}

// Numbers returns gaps and repeats of the cycle numbers, by sterilizer and number.
func (s *Summary) Numbers() []NumberAnomaly {
	var out []NumberAnomaly
	for _, id := range s.Sterilizers() {
		out = append(out, s.sterilizers[id].anomalies(id)...)
	}
	return out
}

func (u *unitDays) anomalies(id string) []NumberAnomaly {
	var out []NumberAnomaly
	for _, series := range slices.Sorted(maps.Keys(u.numbers)) {
		r := u.numbers[series].settled()
		for i := 1; i < len(r.runs); i++ {
			out = append(out, NumberAnomaly{id, series, r.runs[i-1].last + 1, r.runs[i].first - 1, 0})
		}
		for _, n := range slices.Sorted(maps.Keys(r.again)) {
			out = append(out, NumberAnomaly{id, series, n, n, 1 + r.again[n]})
		}
	}
	return out
}

// ranges is a set of numbers, and how often one was there already. Its memory grows
// with gaps and repeats. Numbers may come in any order: they are put together when as many
// came as runs were, so that each costs little however many gaps there are.
type ranges struct {
	runs  []run // sorted, apart
	again map[int64]int
	more  []run // that came since
}

type run struct{ first, last int64 }

func (r *ranges) add(n int64) { r.put(run{n, n}) }

func (r *ranges) join(o *ranges) {
	for _, x := range slices.Concat(o.runs, o.more) {
		r.put(x)
	}
	for n, times := range o.again {
		r.repeat(n, times)
	}
}

func (r *ranges) repeat(n int64, times int) {
	if r.again == nil {
		r.again = map[int64]int{}
	}
	r.again[n] += times
}

func (r *ranges) put(x run) {
	if r.more = append(r.more, x); len(r.more) > 16+len(r.runs) {
		*r = *r.settled()
	}
}

// settled returns the same with all numbers put together. It leaves r as it is, which others
// may be reading.
func (r *ranges) settled() *ranges {
	if len(r.more) == 0 {
		return r
	}
	all := slices.Concat(r.runs, r.more)
	slices.SortFunc(all, func(a, b run) int { return cmp.Compare(a.first, b.first) })
	out := &ranges{runs: all[:1], again: maps.Clone(r.again)}
	for _, x := range all[1:] {
		last := &out.runs[len(out.runs)-1]
		if x.first > last.last+1 {
			out.runs = append(out.runs, x)
			continue
		}
		for n := x.first; n <= min(x.last, last.last); n++ {
			out.repeat(n, 1)
		}
		last.last = max(last.last, x.last)
	}
	return out
}

// DueState is where a duty stands. The zero value is invalid.
type DueState string

// The states.
const (
	NotDue  DueState = "done"    // done; the next one is at By
	DueNow  DueState = "due"     // to be done before the next load, or by By
	Overdue DueState = "overdue" // should have been done
	DueOpen DueState = "open"    // cannot be said; Why says what is missing
	// NeverRecorded: none is on record, nor is so much time that one must have been due.
	NeverRecorded DueState = "never recorded"
	Pending       DueState = "pending" // a test was run that is not read yet, by By
	Failed        DueState = "failed"  // the newest test failed
	Stopped       DueState = "stopped" // the sterilizer is out of service; Why says the next step
)

// Due says where one duty of one sterilizer stands.
type Due struct {
	Sterilizer string        `json:"sterilizer"`
	Device     string        `json:"device,omitzero"` // instead
	Duty       calendar.Duty `json:"duty"`
	Kind       CycleSetting  `json:"kind,omitzero"` // where the duty is for each kind of cycle
	State      DueState      `json:"state"`
	Last       time.Time     `json:"last,omitzero"` // newest test that counts; zero: none on record
	By         time.Time     `json:"by,omitzero"`   // the next is in time before it; zero: before the next load
	Why        string        `json:"why"`

	why moistheat.Detail // which Why says in the language
	in  moistheat.Language
}

// String returns the line for a person.
func (d Due) String() string {
	text := lang.Text("{machine}: {test}, {state:history.DueState}: {why}")
	if d.Kind != (CycleSetting{}) {
		text = "{machine}: {test}, {state:history.DueState} ({kind}): {why}"
	}
	return moistheat.Visible(say(d.in, text, "machine", prose.Name(cmp.Or(d.Device, d.Sterilizer)),
		"test", d.in.Detail(testName(d.Duty.Test)), "state", string(d.State), "kind", d.in.Detail(d.Kind.words()),
		"why", d.Why))
}

// Due says where every duty of the policy stands at an instant, on the calendar of
// its zone: sterilizers by name, duties in the policy's order. A sterilizer given
// up is not asked, and it is not known what one that is out of service waits for; see
// [History.Due].
func (s *Summary) Due(at time.Time) []Due {
	var out []Due
	for _, id := range s.Sterilizers() {
		u := s.sterilizers[id]
		for _, duty := range s.rules().Schedule() {
			stands := u.standing(duty, at)
			kinds := slices.SortedFunc(maps.Keys(stands), compareKinds)
			if duty.PerCycleKind != moistheat.Yes {
				kinds = []CycleSetting{{}}
			}
			for _, kind := range kinds {
				if st := stands[kind]; duty.PerCycleKind != moistheat.Yes || st.asked {
					d := u.due(duty, kind, *st, at)
					d.Sterilizer, d.Duty, d.Kind = id, duty, kind
					out = append(out, d)
				}
			}
		}
	}
	return out
}

func compareKinds(a, b CycleSetting) int { return strings.Compare(a.String(), b.String()) }

// standing is what is known of a duty by an instant.
type standing struct {
	asked       bool      // in a kind of cycle that loads are run in
	last        time.Time // end of the newest test that counts
	failed      time.Time // end of the newest that failed
	read        time.Time // when one that waits is read; zero: none does
	used, today span      // newest use that asks for it, and that of the day
}

// standing returns it for each kind of cycle that a duty is asked for, in one pass; the
// zero kind stands for all of them together.
func (u *unitDays) standing(duty calendar.Duty, at time.Time) map[CycleSetting]*standing {
	out := map[CycleSetting]*standing{}
	today := moistheat.DateOf(at)
	take := func(day moistheat.Date, d *dayUse, kind CycleSetting) {
		st := out[kind]
		if st == nil {
			st = &standing{}
			out[kind] = st
		}
		st.last = later(st.last, d.done(duty, kind).by(at))
		st.failed = later(st.failed, d.bad(duty, kind).by(at))
		if w := d.awaits(duty, kind); w.n > 0 && !w.first.After(at) && !w.last.Before(at) {
			st.read = later(st.read, w.last)
		}
		use := d.uses(duty, kind)
		st.asked = st.asked || use.n > 0
		if use.n == 0 || use.first.After(at) {
			return
		}
		if st.used.n == 0 || use.last.After(st.used.last) {
			st.used = use
		}
		if day == today {
			st.today = use
		}
	}
	if duty.PerCycleKind != moistheat.Yes {
		out[CycleSetting{}] = &standing{}
	}
	for day, d := range u.days {
		if duty.PerCycleKind != moistheat.Yes {
			take(day, d, CycleSetting{})
			continue
		}
		for kind := range d.kinds {
			take(day, d, kind)
		}
	}
	return out
}

// by returns the end of the newest by an instant. Within a day only the first start and
// the last end are known: what began by then counts as ended.
func (s span) by(at time.Time) time.Time {
	switch {
	case s.n == 0 || s.first.After(at):
		return time.Time{}
	case s.last.After(at):
		return s.first
	}
	return s.last
}

// asked returns the kinds of cycle that a duty is asked for; the zero kind stands
// for all of them together.
func (u *unitDays) asked(duty calendar.Duty) []CycleSetting {
	if duty.PerCycleKind != moistheat.Yes {
		return []CycleSetting{{}}
	}
	seen := map[CycleSetting]bool{}
	for _, d := range u.days {
		for k, v := range d.kinds {
			if v.loads.n > 0 {
				seen[k] = true
			}
		}
	}
	return slices.SortedFunc(maps.Keys(seen), compareKinds)
}

// uses returns the loads of a day that a duty is about.
func (d *dayUse) uses(duty calendar.Duty, kind CycleSetting) span {
	if duty.PerCycleKind == moistheat.Yes {
		if k := d.kinds[kind]; k != nil {
			return k.loads
		}
		return span{}
	}
	switch duty.When {
	case calendar.WhenDynamic:
		return d.dynamic
	case calendar.WhenDynamicHollow:
		return d.hollow
	case calendar.WhenNoAirDetector:
		if d.detector == moistheat.Yes {
			return span{}
		}
		return d.dynamic
	case calendar.WhenAirDetector:
		if d.detector == moistheat.No {
			return span{}
		}
		return d.dynamic
	}
	return d.loads
}

// done returns the tests of a day that count for a duty.
func (d *dayUse) done(duty calendar.Duty, kind CycleSetting) span {
	if duty.PerCycleKind == moistheat.Yes {
		if k := d.kinds[kind]; k != nil {
			return k.good
		}
		return span{}
	}
	return d.good[duty.Test]
}

// bad returns the tests of a day that failed.
func (d *dayUse) bad(duty calendar.Duty, kind CycleSetting) span {
	if duty.PerCycleKind == moistheat.Yes {
		if k := d.kinds[kind]; k != nil {
			return k.failed
		}
		return span{}
	}
	return d.failed[duty.Test]
}

// awaits returns the tests of a day for a duty that are not read yet.
func (d *dayUse) awaits(duty calendar.Duty, kind CycleSetting) span {
	switch {
	case duty.Test != calendar.BiologicalTestEvent:
		return span{}
	case duty.PerCycleKind == moistheat.Yes:
		if k := d.kinds[kind]; k != nil {
			return k.waiting
		}
		return span{}
	}
	return d.waiting
}

// waits reports whether a test of a day is still awaited at an instant.
func (d *dayUse) waits(duty calendar.Duty, kind CycleSetting, at time.Time) bool {
	w := d.awaits(duty, kind)
	return w.n > 0 && !w.last.Before(at)
}

// beforeUse reports whether a test must come before the first load of the day.
func beforeUse(k calendar.EventKind) bool {
	return k == calendar.AirRemovalEvent || k == calendar.LeakEvent || k == calendar.AutomaticControlTestEvent
}

// onDay says whether a day's duty was done: met, broken, undetermined, or not
// applicable where nothing was used.
func (d *dayUse) onDay(duty calendar.Duty, kind CycleSetting) moistheat.Outcome {
	used := d.uses(duty, kind)
	if used.n == 0 {
		return moistheat.NotApplicable
	}
	done := d.done(duty, kind)
	if done.n > 0 && (!beforeUse(duty.Test) || !done.first.After(used.first)) {
		return moistheat.Met
	}
	if duty.When == calendar.WhenNoAirDetector && d.detector == moistheat.NotRecorded {
		return moistheat.Undetermined
	}
	return moistheat.Broken
}

func (u *unitDays) sorted() []moistheat.Date {
	return slices.SortedFunc(maps.Keys(u.days), moistheat.Date.Compare)
}

func daysBetween(from, to moistheat.Date) int {
	return int(to.Time().Sub(from.Time()) / (24 * time.Hour)) // days of a calendar without zones
}

// due says where a duty stands at an instant.
func (u *unitDays) due(duty calendar.Duty, kind CycleSetting, st standing, at time.Time) Due {
	out := Due{Last: st.last}
	switch {
	case st.used.n == 0 && duty.EvenIfIdle != moistheat.Yes && duty.Cadence != calendar.ByCalendarWeekWithPatients:
		out.State, out.why = NotDue, lang.Say("due-no-load: no load that requires it has been run")
	case duty.Cadence == calendar.ByManufacturer && !duty.Every.IsValid():
		out.State, out.why = DueOpen, lang.Say("schedule-elsewhere: the schedule is in the sterilizer's instructions")
	case duty.Cadence == calendar.ByDayOfUse:
		u.dueToday(&out, duty, kind, at, st.today.n > 0)
	case duty.Weekly():
		u.dueThisWeek(&out, duty, kind, at)
	case duty.Cadence == calendar.ByHoursOfUse:
		u.dueAfterUse(&out, duty, at)
	default:
		used := st.used.last
		if duty.Every.OfDays() { // the loads of a day began on it
			used = st.used.first
		}
		u.dueBy(&out, duty, used, at)
	}
	switch {
	case st.failed.After(out.Last):
		out.State, out.By = Failed, time.Time{}
		out.why = lang.Say("due-failed: the test of {1:date} failed: find the cause, and repeat it before the next load",
			st.failed.Format(stamp))
	case !st.read.IsZero() && out.State != NotDue:
		out.State, out.By = Pending, st.read
		out.why = lang.Say("due-unread: a test is not read yet; to be read by {1:date}", st.read.Format(stamp))
	}
	last := newest(out.Last, duty, at)
	if out.why.IsValid() {
		last = lang.Join("; ", out.why, last)
	}
	out.why, out.Why = last, last.String()
	return out
}

// newest says when the newest valid test was.
func newest(last time.Time, duty calendar.Duty, at time.Time) moistheat.Detail {
	if last.IsZero() {
		return lang.Say("due-no-valid: no valid test is recorded")
	}
	days := daysBetween(moistheat.DateOf(last.In(at.Location())), moistheat.DateOf(at))
	switch on := last.Format(stamp); {
	case !duty.Weekly():
		return lang.Say("due-last: last valid test {1:date}", on)
	case days == 1:
		return lang.Say("due-last-day: last valid test {1:date}, 1 day ago", on)
	default:
		return lang.Say("due-last-days: last valid test {1:date}, {2:number} days ago", on, strconv.Itoa(days))
	}
}

// dueToday says where a duty of each day with a load stands.
func (u *unitDays) dueToday(out *Due, duty calendar.Duty, kind CycleSetting, at time.Time, used bool) {
	y, m, d := at.Date()
	out.By = time.Date(y, m, d+1, 0, 0, 0, 0, at.Location())
	today := moistheat.DateOf(at)
	stands := moistheat.NotApplicable
	if used {
		stands = u.days[today].onDay(duty, kind)
	}
	switch first := beforeUse(duty.Test); {
	case stands == moistheat.Undetermined:
		out.State = DueOpen
		out.why = lang.Say("duty-detector-unrecorded: not recorded: whether the sterilizer has an air detector")
	case stands == moistheat.Broken && first:
		out.State, out.why = Overdue, lang.Say("due-first-run: the first load of the day was run without it")
	case stands == moistheat.Broken:
		out.State, out.why = DueNow, lang.Say("due-no-test-yet: there was a load today and no test yet")
	case moistheat.DateOf(out.Last) == today:
		out.State, out.why = NotDue, lang.Say("done-today: done today")
	case first:
		out.By = time.Time{}
		out.State, out.why = DueNow, lang.Say("due-before-first: before the first load of the day")
	default:
		out.State, out.why = DueNow, lang.Say("due-each-day: on each day with a load")
	}
}

// dueThisWeek says where a duty of each calendar week stands.
func (u *unitDays) dueThisWeek(out *Due, duty calendar.Duty, kind CycleSetting, at time.Time) {
	start := duty.Week.Begins.Start(at)
	out.By = start.AddDate(0, 0, 7)
	if !out.Last.Before(start) {
		out.State, out.why = NotDue, lang.Say("done-this-week: done this week")
		return
	}
	switch o, _ := u.week(duty, kind, moistheat.DateOf(start.AddDate(0, 0, -7))); o {
	case moistheat.Broken:
		out.State, out.why = Overdue, lang.Say("due-not-done: not done last week")
	case moistheat.Undetermined:
		out.State = DueNow
		out.why = lang.Say("due-not-done-open: not done last week; not recorded: whether patients were seen then")
	default:
		out.State, out.why = DueNow, lang.Say("due-this-week: once in this calendar week")
	}
}

// dueAfterUse says where a duty after hours of use stands.
func (u *unitDays) dueAfterUse(out *Due, duty calendar.Duty, at time.Time) {
	ran := u.usedSince(out.Last)
	if !out.Last.IsZero() {
		out.By = duty.Every.Deadline(out.Last.In(at.Location()))
	}
	out.State = NotDue
	out.why = lang.Say("due-hours-of-use: {1:number} h of use since the last", fmt.Sprintf("%.1f", ran.Hours()))
	if out.Last.IsZero() || ran >= seconds(duty.HoursOfUse) || !at.Before(out.By) {
		out.State = Overdue
	}
}

// dueBy says where a duty stands that comes again after a time; used is when the
// sterilizer was last used so that it is asked. A test is in time until its last day ends.
func (u *unitDays) dueBy(out *Due, duty calendar.Duty, used, at time.Time) {
	if out.Last.IsZero() {
		out.State = Overdue // that there is none is said of the newest
		return
	}
	out.By = duty.Every.Deadline(out.Last.In(at.Location()))
	last := out.By.Add(-1)
	by := lang.Say("due-by: by {1:date}", last.Format(stamp))
	if duty.Every.OfDays() {
		by = lang.Say("due-by-end-of: by the end of {1:date}", last.Format(dayStamp))
	}
	switch {
	case at.Before(out.By) && moistheat.DateOf(last) == moistheat.DateOf(at):
		out.State, out.why = DueNow, by
	case at.Before(out.By):
		out.State, out.why = NotDue, lang.With("due-next: next {1:text}", by)
	case !used.Before(out.By) || duty.EvenIfIdle == moistheat.Yes && !u.shut(out.Last, at):
		out.State, out.why = Overdue, lang.With("due-was: was due {1:text}", by)
	default:
		out.By = time.Time{}
		out.State, out.why = DueNow, lang.Say("due-before-next: before the next load")
	}
}

// shut reports whether the log notes of each seven days from the last test on that no
// patients were seen, and no load was run in them.
func (u *unitDays) shut(last, at time.Time) bool {
	noted, n := false, 0
	for day := moistheat.DateOf(last.In(at.Location())).AddDays(1); day.Compare(moistheat.DateOf(at)) <= 0; day = day.AddDays(1) {
		if d := u.days[day]; d != nil {
			if d.loads.n > 0 || d.patients == moistheat.Yes {
				return false
			}
			noted = noted || d.patients == moistheat.No
		}
		if n++; n%7 == 0 {
			if !noted || n > 7*520 { // ten years are no holiday
				return false
			}
			noted = false
		}
	}
	return n >= 7
}

// usedSince returns how long the sterilizer ran after an instant. The whole use of
// that day counts, so that the test is never too late by this sum.
func (u *unitDays) usedSince(t time.Time) time.Duration {
	from := moistheat.DateOf(t)
	var sum time.Duration
	for day, d := range u.days {
		if day.Compare(from) > 0 || day == from && d.loads.last.After(t) {
			sum += d.use
		}
	}
	return sum
}

// week says whether the duty of the week that begins on a day was done, and how
// many loads asked for it.
func (u *unitDays) week(duty calendar.Duty, kind CycleSetting, start moistheat.Date) (moistheat.Outcome, int) {
	used := 0
	done := false
	patients := moistheat.NotRecorded
	for i := range 7 {
		d := u.days[start.AddDays(i)]
		if d == nil {
			continue
		}
		used += d.uses(duty, kind).n
		done = done || d.done(duty, kind).n > 0
		patients = anyYes(patients, d.patients)
	}
	withPatients := duty.Cadence == calendar.ByCalendarWeekWithPatients
	switch {
	case done:
		return moistheat.Met, used
	case withPatients && patients == moistheat.Yes:
		return moistheat.Broken, used
	case withPatients && patients == moistheat.No:
		return moistheat.NotApplicable, used // the week is on record as one without patients
	case used == 0 && duty.EvenIfIdle != moistheat.Yes:
		return moistheat.NotApplicable, used
	case withPatients:
		return moistheat.Undetermined, used
	}
	return moistheat.Broken, used
}
