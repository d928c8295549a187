package history

import (
	"cmp"
	"slices"
	"sort"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
)

// Outage is a time in which a sterilizer is out of service: no patient load may be run
// in it. It begins when a result was known, when something failed, or when a person took
// the sterilizer out, and ends with evidence, which the policy names. It is not the time
// in which loads are suspect, which reaches back from a failure to the last good test
// and is for [History.Recall].
//
// It has no published form: programs read it here, and documents have its times and cause in
// [load.KnownOutage] and what ends it in [Status].
type Outage struct {
	Sterilizer string
	From, To   time.Time // To is zero while it lasts
	Cause      calendar.Cause
	Event      string // what began it, as findings point to it
	By, Note   string // cause taken out: who did, and why
	Loads      int    // patient loads begun in it

	of   *occurrence
	next moistheat.Detail
	in   moistheat.Language
}

// Next says what is to be done to end it; it is empty for one that has ended.
func (o Outage) Next() string { return o.in.Detail(o.next) }

// OutOfService returns the times out of service, by sterilizer, beginning and cause.
// They follow from tests, failed cycles, installations and repairs without anybody
// entering them; those that people entered stand among them. Times of one sterilizer
// with different causes may overlap.
func (h *History) OutOfService() []Outage {
	var out []Outage
	for _, id := range h.Sterilizers() {
		u, first := h.units()[id], len(out)
		line := u.timeline()
		all := u.chambers("")
		for _, ch := range all {
			var starts []time.Time // of patient loads
			for _, e := range line {
				if e.kind == 0 && e.forPatients() && ch.may(e) {
					starts = append(starts, e.start)
				}
			}
			from := func(t time.Time) int {
				return sort.Search(len(starts), func(i int) bool { return !starts[i].Before(t) })
			}
			for _, o := range u.outages(ch.line, h.course()) {
				o.Sterilizer, o.Loads = id, len(starts)-from(o.From)
				if !o.To.IsZero() {
					o.Loads = from(o.To) - from(o.From)
				}
				out = append(out, o)
			}
		}
		if len(all) > 1 {
			sortOutages(out[first:])
			n := len(slices.CompactFunc(out[first:], func(a, b Outage) bool { // of both chambers
				return a.From.Equal(b.From) && a.To.Equal(b.To) && a.Cause == b.Cause && a.Event == b.Event
			}))
			out = out[:first+n]
		}
	}
	return out
}

func sortOutages(all []Outage) {
	slices.SortStableFunc(all, func(a, b Outage) int {
		return cmp.Or(a.From.Compare(b.From), cmp.Compare(a.Cause, b.Cause), cmp.Compare(a.Event, b.Event),
			before(a.of, b.of))
	})
}

// outages derives the times out of service from a timeline, by beginning.
func (u *unitHistory) outages(line []*occurrence, c course) []Outage {
	var out []Outage
	for _, p := range u.fold(line, c) {
		if o := p.outage(); !o.From.IsZero() {
			out = append(out, o)
		}
	}
	f := outageFold{course: c, open: map[stopper]int{}, until: map[stopper]time.Time{},
		row: map[calendar.EventKind]int{}, out: out}
	for _, e := range line {
		f.take(e)
	}
	out = slices.DeleteFunc(f.out, func(o Outage) bool { return !o.To.IsZero() && !o.To.After(o.From) })
	sortOutages(out)
	zone := zoneOf(line)
	for i := range out {
		out[i].From, out[i].To = in(out[i].From, zone), in(out[i].To, zone)
	}
	return out
}

// outage returns the time for which a procedure keeps the sterilizer out.
func (p *Procedure) outage() Outage {
	o := Outage{From: p.out, Cause: p.cause, Event: p.pointer, of: p.first}
	if p.State == Finished {
		o.To = later(p.Closed, p.sure)
	} else {
		o.next = p.next()
	}
	return o
}

// stopper is what keeps a sterilizer out: a cause, and for a failed test its kind.
type stopper struct {
	cause calendar.Cause
	test  calendar.EventKind
}

// outageFold follows what keeps a sterilizer out beside its procedures: one time for
// each stopper, from the first failure to the evidence that ends it.
type outageFold struct {
	course course
	out    []Outage
	open   map[stopper]int       // the one that lasts, by its place in out
	until  map[stopper]time.Time // when the newest failure was over, by any version of it
	row    map[calendar.EventKind]int
	stages stages
}

// begin takes in a failure: where a time lasts already it began with the earlier of the two,
// and ends only after both.
func (f *outageFold) begin(s stopper, e *occurrence) {
	from, until := e.over()
	o := Outage{From: from, Cause: s.cause, Event: e.pointer(), of: e, next: f.next(s, e)}
	if s.cause == calendar.TakenOut {
		o.By, o.Note = e.by, e.note
	}
	f.until[s] = later(f.until[s], until)
	if i, lasts := f.open[s]; !lasts {
		f.open[s], f.out = len(f.out), append(f.out, o)
	} else if from.Before(f.out[i].From) {
		f.out[i] = o
	}
}

// end ends a time, where the evidence is newer than what may have failed last.
func (f *outageFold) end(s stopper, e *occurrence, at time.Time) {
	if i, lasts := f.open[s]; lasts && !e.start.Before(f.until[s]) {
		f.out[i].To, f.out[i].next = at, moistheat.Detail{}
		delete(f.open, s)
	}
}

func (f *outageFold) take(e *occurrence) {
	switch e.kind {
	case 0:
		if e.stops {
			f.begin(stopper{cause: calendar.FailedCycle}, e)
		}
	case calendar.OutOfUseEvent:
		f.begin(stopper{cause: calendar.TakenOut}, e)
	case calendar.ReturnedEvent:
		_, back := e.ended()
		f.end(stopper{cause: calendar.TakenOut}, e, back)
	case calendar.ExplainedEvent, calendar.RepairedEvent:
		if e.named && e.noted && e.proves() && f.course.returns[calendar.FailedCycle].Explained == moistheat.Yes {
			f.end(stopper{cause: calendar.FailedCycle}, e, e.end)
		}
	case calendar.AirRemovalEvent, calendar.LeakEvent, calendar.AutomaticControlTestEvent,
		calendar.RequalificationEvent, calendar.InstallationQualifiedEvent, calendar.OperationalQualifiedEvent,
		calendar.PerformanceQualificationEvent:
		f.test(e)
	}
	if f.stages.take(e) || e.requalifies() {
		for s := range f.open {
			if isStage(s.test) && e.kind == calendar.RequalificationEvent {
				continue // the stage itself is to be passed
			}
			if f.course.returns[s.cause].Requalified == moistheat.Yes {
				f.end(s, e, e.end)
			}
		}
	}
}

// test takes a test of the equipment.
func (f *outageFold) test(e *occurrence) {
	s := stopper{calendar.FailedTest, e.kind}
	switch passed := e.result().passed; {
	case passed == moistheat.No:
		f.row[e.kind] = 0
		f.begin(s, e)
	case passed == moistheat.Yes && e.proves() && e.start.Before(f.until[s]): // begun before the failure was over
	case passed == moistheat.Yes && e.proves() && (e.named || !isStage(e.kind)):
		f.row[e.kind]++
		most := f.course.returns[calendar.FailedTest].Tests
		if e.kind != calendar.RequalificationEvent && most > 0 && f.row[e.kind] >= most {
			f.end(s, e, e.end)
		}
	default:
		f.row[e.kind] = 0
	}
}

// next says what ends a time out of service.
func (f *outageFold) next(s stopper, e *occurrence) moistheat.Detail {
	return wayBack(s.cause, e, f.course.returns[s.cause])
}

// closure is the time out of service of a sterilizer as one: where several overlap the
// one that began first stands for them.
type closure struct {
	Outage
	to time.Time // zero: it lasts
}

// closures are in order, and apart.
type closures []closure

// joined joins times out of service that overlap or touch.
func joined(all []Outage) closures {
	var out closures
	for _, o := range all {
		if n := len(out) - 1; n >= 0 && (out[n].to.IsZero() || !out[n].to.Before(o.From)) {
			if o.To.IsZero() || !out[n].to.IsZero() {
				out[n].to = laterOrNever(out[n].to, o.To)
			}
			continue
		}
		out = append(out, closure{o, o.To})
	}
	return out
}

func laterOrNever(a, b time.Time) time.Time {
	if a.IsZero() || b.IsZero() {
		return time.Time{}
	}
	return later(a, b)
}

// run returns the closure in which any version of a load has it begin, or nil. What takes
// the sterilizer out is not run in the time that it begins.
func (all closures) run(e *occurrence) *closure {
	first, last, _ := e.started()
	i := sort.Search(len(all), func(i int) bool { return all[i].to.IsZero() || all[i].to.After(first) })
	if i == len(all) || all[i].From.After(last) || all[i].of.key() == e.key() && e.exact() {
		return nil
	}
	return &all[i]
}

// outOfService returns a trigger for each load that may have been run for patients while
// the sterilizer was out of service.
func outOfService(line []*occurrence, ch chamber, closed closures) []trigger {
	var out []trigger
	for _, e := range line {
		if e.kind != 0 || !e.forPatients() || !ch.may(e) {
			continue
		}
		if in := closed.run(e); in != nil {
			out = append(out, ofItself(e, rules.HistoryOutofuse,
				lang.With("load-while-out: The load was run while the sterilizer was out of service since {1:date}: {2:text}.",
					lang.Data(in.From.Format(stamp)), in.why())))
		}
	}
	return out
}

// proves reports whether all that is said of a test or an entry agrees on when it was
// and that it counts, so that it may end something.
func (h *occurrence) proves() bool {
	return h.exact() && !slices.ContainsFunc(h.left, func(v *occurrence) bool { return v.result().void })
}

// steps says what is to be done about a sterilizer that is out of service at an instant,
// or about a procedure that is open, by what had been run by then.
func (u *unitHistory) steps(c course, at time.Time) []moistheat.Detail {
	var out []moistheat.Detail
	for _, ch := range u.chambers("") {
		for _, s := range u.stepsOf(ch.by(at), c, at) {
			if !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

func (u *unitHistory) stepsOf(ch chamber, c course, at time.Time) []moistheat.Detail {
	next := func(step moistheat.Detail) moistheat.Detail { return lang.With("next-step: Next: {1:text}", step) }
	var out []moistheat.Detail
	for _, o := range u.outages(ch.line, c) {
		switch {
		case o.From.After(at) || !o.To.IsZero() && !o.To.After(at):
		case o.To.IsZero():
			out = append(out, lang.Say("out-since: Out of service since {1:date}.", o.From.Format(stamp)), next(o.next))
		default:
			out = append(out, lang.With("out-until-read: Out of service since {1:date}: {2:text}, until a test is read on "+
				"{3:date}.", lang.Data(o.From.Format(stamp)), o.why(), lang.Data(o.To.Format(stamp))))
		}
	}
	for _, p := range u.fold(ch.line, c) {
		if p.State != Finished && p.out.IsZero() {
			out = append(out, lang.With("follow-up-open: Follow-up is open: {1:text}.", p.opener), next(p.next()))
		}
	}
	return out
}

// Status says whether a sterilizer may be used for patient loads.
type Status struct {
	Sterilizer string            `json:"sterilizer"`
	Service    moistheat.Service `json:"service"`
	Because    []string          `json:"because,omitempty"` // why it may not, a sentence each
	Amended    []string          `json:"amended,omitempty"` // the amendments, where the answer would be another without them

	because, amended []moistheat.Detail // which Because and Amended say in the language
	in               moistheat.Language
}

// Status returns the state of each sterilizer, by name, as all the evidence leaves it: out
// of service while one of [History.OutOfService] lasts or when it was given up. In service
// says that nothing here stands against its use; what is due before the next load is for
// [History.Due].
func (h *History) Status() []Status {
	out := h.status()
	if was := h.asEntered(); was != nil {
		entered, said := map[string][]moistheat.Detail{}, h.amendmentsOf(false)
		for _, s := range was.status() {
			entered[s.Sterilizer] = s.because
		}
		for i, s := range out {
			if because, known := entered[s.Sterilizer]; !known || !slices.Equal(because, s.because) {
				out[i].amended = said[s.Sterilizer]
				out[i].Amended = inEnglish(out[i].amended)
			}
		}
	}
	return out
}

func (h *History) status() []Status {
	var out []Status
	for _, id := range h.Sterilizers() {
		u := h.units()[id]
		s := Status{Sterilizer: id, Service: moistheat.InService}
		line := u.timeline()
		zone := zoneOf(line)
		for _, e := range line {
			if e.kind == calendar.RetiredEvent {
				s.because = []moistheat.Detail{lang.Say("retired-on: Retired on {1:date}.", in(e.end, zone).Format(stamp))}
			}
		}
		for _, ch := range u.chambers("") {
			for _, o := range u.outages(ch.line, h.course()) {
				why := lang.With("out-and-next: Since {1:date}: {2:text}. To be done: {3:text}",
					lang.Data(o.From.Format(stamp)), o.why(), o.next)
				if o.To.IsZero() && !slices.Contains(s.because, why) {
					s.because = append(s.because, why)
				}
			}
		}
		if s.Because = inEnglish(s.because); len(s.Because) > 0 {
			s.Service = moistheat.OutOfService
		}
		out = append(out, s)
	}
	return out
}
