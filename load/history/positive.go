package history

import (
	"slices"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
)

// ProcedureState is where a procedure after a positive test or a repair stands. The
// zero value is invalid.
type ProcedureState string

// The states.
const (
	Repeating      ProcedureState = "repeating the test"                            // repeat tests decide
	AwaitingRepair ProcedureState = "waiting for the cause to be found and removed" // until the cause is found and removed
	Requalifying   ProcedureState = "testing after repair"                          // tests after the repair decide
	LeftOpen       ProcedureState = "left open by the policy"                       // the policy has no procedure
	Finished       ProcedureState = "finished"                                      // back in use
)

// Procedure is the way from a positive biological test, an installation or a
// repair back to use. The documents take out the sterilizer, not one of its cycles:
// there is one procedure a sterilizer at a time, in which a positive test in another
// kind of cycle is a further positive one. Only the repeats that decide without a
// repair must be in the kind of cycle that failed. Where the policy asks for air
// removal tests after a repair, they may come before, between or after the
// biological ones: documents differ in the order.
type Procedure struct {
	Sterilizer string         `json:"sterilizer"`
	Cause      string         `json:"cause"` // what opened it
	Opened     time.Time      `json:"opened"`
	State      ProcedureState `json:"state"`
	Positives  int            `json:"positives,omitempty"` // positive tests so far
	OutOfUse   bool           `json:"outOfUse,omitempty"`  // no patient load until it is finished
	Good       int            `json:"good,omitempty"`      // good tests in a row so far, in all the kinds of cycle that are asked for
	Needed     int            `json:"needed,omitempty"`    // good tests in a row that end it
	AirGood    int            `json:"airGood,omitempty"`   // good air removal tests in a row so far
	AirNeeded  int            `json:"airNeeded,omitempty"` // those that it needs beside the biological ones
	Steps      []Step         `json:"steps,omitempty"`
	Closed     time.Time      `json:"closed,omitzero"` // zero while it is not finished

	zone      *time.Location // of all its times and sentences
	cause     calendar.Cause
	first     *occurrence // that opened it
	out       time.Time   // since when it is out of service; zero: it is not
	sure      time.Time   // when the tests that count so far were read
	until     time.Time   // when the newest positive test was over, by any version of it
	kind      CycleSetting
	kinds     []CycleSetting       // in use, where each is to be tested
	failed    []CycleSetting       // of positive tests, each once
	counts    map[CycleSetting]int // good tests in a row so far, by the kind of cycle
	notice    time.Time            // when somebody acted on the positive test
	repeated  time.Time            // start of the first test after that
	pointer   string
	positives []*occurrence
	unsound   bool // a positive test's physical record or indicators were not shown to be good
	faults    []stepFault
	opener    moistheat.Detail // which Cause says in the language
	in        moistheat.Language
}

// Step is one event in a procedure, and what it came to.
type Step struct {
	Time time.Time `json:"time"`
	What string    `json:"what"`
	Then string    `json:"then,omitempty"`

	what, then moistheat.Detail // which What and Then say in the language of the procedure
}

type stepFault struct {
	of    *occurrence
	rule  ask.ID
	why   moistheat.Detail
	state moistheat.Outcome
}

// Procedures returns every procedure, finished ones too, by sterilizer and time.
func (h *History) Procedures() []Procedure {
	var out []Procedure
	for _, id := range h.Sterilizers() {
		for _, p := range h.units()[id].procedures(h.course()) {
			p.Sterilizer = id
			out = append(out, *p)
		}
	}
	return out
}

// course is what a policy says about the way back to service.
type course struct {
	positive *calendar.PositiveTestPolicy // nil: the policy has no procedure
	returns  map[calendar.Cause]calendar.Return
}

// course returns that of the policy. Where several lines are about one cause the
// evidence must satisfy each of them.
func (h *History) course() course {
	c := course{h.positive(), map[calendar.Cause]calendar.Return{}}
	for _, r := range h.Policy().Returns() {
		if old, ok := c.returns[r.After]; ok {
			r.Tests = max(r.Tests, old.Tests) * min(r.Tests, old.Tests, 1) // none where one of them takes none
			r.Explained, r.Requalified = both(r.Explained, old.Explained), both(r.Requalified, old.Requalified)
		}
		c.returns[r.After] = r
	}
	return c
}

func both(a, b moistheat.Answer) moistheat.Answer {
	return ask.AnswerOf(a == moistheat.Yes && b == moistheat.Yes)
}

// procedures folds the timeline of one sterilizer.
func (u *unitHistory) procedures(c course) []*Procedure {
	var out []*Procedure
	for _, ch := range u.chambers("") {
		out = append(out, u.fold(ch.line, c)...)
	}
	slices.SortStableFunc(out, func(a, b *Procedure) int { return a.Opened.Compare(b.Opened) })
	return out
}

func (u *unitHistory) fold(line []*occurrence, c course) []*Procedure {
	zone := zoneOf(line)
	var all []*Procedure
	var open *Procedure
	air := 0 // air removal tests that a repair asks for
	if c.positive != nil && u.mayBeDynamic() {
		air = c.positive.AirRemovalTests
	}
	var kinds []CycleSetting // in use so far
	seen := map[CycleSetting]bool{}
	others := otherwise(line)
	var past stages
	for _, e := range line {
		done := past.take(e)
		for ; len(others) > 0 && others[0].start.Before(e.start); others = others[1:] {
			if open != nil {
				open.interrupt(others[0], lang.Say("load-placed-here: a load that another line places at this time"),
					c.positive)
			}
		}
		if c.positive != nil && c.positive.PerCycleKind == moistheat.Yes && e.kind == 0 && !seen[e.cycle] {
			seen[e.cycle] = true
			kinds = append(kinds, e.cycle)
		}
		if e.bio == bioPositive && e.saidTwice() {
			continue // with the record
		}
		if open != nil {
			open.uses(kinds, c.positive)
			open.take(e, c, air, done)
			if open.State == Finished {
				open = nil
			}
			continue
		}
		switch {
		case e.bio == bioPositive:
			open = openPositive(e, c.positive, zone)
			open.uses(kinds, c.positive)
		case e.kind == calendar.InstalledEvent || e.kind == calendar.RepairedEvent:
			open = &Procedure{opener: e.name(zone), Cause: e.name(zone).String(), Opened: in(e.end, zone), zone: zone,
				State: LeftOpen, OutOfUse: true, cause: changed(e), first: e, out: e.end, kind: e.cycle, pointer: e.pointer()}
			open.uses(kinds, c.positive)
			open.requalify(e, c.positive, air)
		default:
			continue
		}
		all = append(all, open)
	}
	return all
}

// otherwise returns the versions of loads by which they were run at another time than where
// they stand, in order. A load may have come between good tests at any of these times.
func otherwise(line []*occurrence) []*occurrence {
	var out []*occurrence
	for _, e := range line {
		if e.kind != 0 || e.bio == bioPending {
			continue
		}
		for _, v := range e.left {
			if !v.start.IsZero() && !v.start.Equal(e.start) {
				out = append(out, v)
			}
		}
	}
	slices.SortFunc(out, before)
	return out
}

// changed returns what an installation or a repair is as a cause.
func changed(e *occurrence) calendar.Cause {
	if e.kind == calendar.InstalledEvent {
		return calendar.Installed
	}
	return calendar.Repaired
}

// openPositive begins the procedure that a positive test asks for.
func openPositive(e *occurrence, pol *calendar.PositiveTestPolicy, zone *time.Location) *Procedure {
	p := &Procedure{
		opener: lang.With("positive-of: positive {1:text}", e.tested(zone)),
		Opened: in(e.end, zone), zone: zone, State: LeftOpen, OutOfUse: true, Positives: 1,
		cause: calendar.PositiveTest, first: e, out: e.known(),
		kind: e.cycle, failed: []CycleSetting{e.cycle}, pointer: e.pointer(),
		positives: []*occurrence{e}, unsound: e.sound() != moistheat.Yes,
	}
	p.Cause = p.opener.String()
	_, p.until = e.over()
	then := lang.Say("no-follow-up: the policy states no follow-up")
	if pol != nil {
		p.State, p.Needed, p.OutOfUse = Repeating, pol.Repeats, pol.OutOfServiceAfter == 1
		then = lang.With("repeat-at-once: repeat at once; required: {1:text}", goodSeries(pol.Repeats, 0, false))
		if p.OutOfUse {
			then = lang.With("out-and-then: out of service; {1:text}", then)
		} else {
			p.out = time.Time{}
		}
	}
	p.step(e, stepOf(lang.Term("step: positive")), then)
	return p
}

// known returns when the result of a failure was known.
func (h *occurrence) known() time.Time {
	if h.bio == bioPositive && !h.grew.IsZero() {
		return h.grew
	}
	return h.end
}

// surely returns when the result of a failure was known by every version of it.
func (h *occurrence) surely() time.Time {
	out := h.known()
	for _, v := range h.left {
		if v.bio == bioPositive {
			out = later(out, v.known())
		}
	}
	return out
}

// uses takes in the kinds of cycle that are in use, where the tests after a repair are
// asked for in each. One that is not recorded in full may be any that it does not differ
// from.
func (p *Procedure) uses(kinds []CycleSetting, pol *calendar.PositiveTestPolicy) {
	if len(kinds) == len(p.kinds) { // and without a policy there are none
		return
	}
	p.kinds = slices.Clip(kinds)
	if p.State == Requalifying || p.State == AwaitingRepair {
		p.recount(pol)
	}
}

// recount says how many good tests in a row there are, and how many are needed.
func (p *Procedure) recount(pol *calendar.PositiveTestPolicy) {
	each := pol.AfterRepair
	var kinds []CycleSetting
	if p.State == Repeating {
		each = pol.Repeats
	} else {
		kinds = slices.Clone(p.kinds)
		for _, k := range p.failed {
			if k.known() && !slices.Contains(kinds, k) {
				kinds = append(kinds, k)
			}
		}
	}
	ran := map[CycleSetting]int{}
	for k, n := range p.counts {
		for _, part := range k.parts() {
			ran[part] += n
		}
	}
	covered := map[CycleSetting]bool{}
	for _, k := range kinds {
		if k.known() {
			for _, part := range k.parts() {
				covered[part] = true
			}
		}
	}
	p.Good, p.Needed = 0, 0
	for _, k := range kinds {
		if k.known() || !covered[k] {
			p.Good, p.Needed = p.Good+min(ran[k], each), p.Needed+each
		}
	}
	if p.Needed == 0 {
		p.Good, p.Needed = min(ran[CycleSetting{}], each), each
	}
	if p.State != Repeating && p.unnamed() { // no test is in a kind that nobody knows
		p.Needed += each
	}
}

// unnamed reports whether it is not recorded in full in which kind of cycle a test was
// positive.
func (p *Procedure) unnamed() bool {
	return slices.ContainsFunc(p.failed, func(k CycleSetting) bool { return !k.known() })
}

// parts returns the kinds that say the same as k, or less, each once.
func (k CycleSetting) parts() []CycleSetting {
	var out []CycleSetting
	for _, part := range [...]CycleSetting{k, {AirRemoval: k.AirRemoval}, {Temperature: k.Temperature}, {}} {
		if !slices.Contains(out, part) {
			out = append(out, part)
		}
	}
	return out
}

// again begins the counting anew: of all good tests, or of those in one kind of cycle
// where each is counted for itself.
func (p *Procedure) again(k CycleSetting) {
	if p.State == Requalifying && len(p.kinds) > 0 && k.known() {
		delete(p.counts, k)
		return
	}
	p.counts = nil
}

// requalify begins the tests after an installation or a repair, as far as the policy
// asks for any.
func (p *Procedure) requalify(e *occurrence, pol *calendar.PositiveTestPolicy, air int) {
	if pol != nil {
		p.State, p.counts, p.AirGood, p.AirNeeded, p.sure = Requalifying, nil, 0, air, time.Time{}
		p.recount(pol)
	}
	p.OutOfUse, p.out = true, earlier(p.out, e.end)
	p.step(e, lang.Say("event-kind: {1:calendar.EventKind}", e.kind.String()),
		required(goodSeries(p.Needed, p.AirNeeded, false)))
}

// take takes what happened next into a procedure that is not finished.
func (p *Procedure) take(e *occurrence, c course, air int, qualified bool) {
	pol := c.positive
	switch {
	case e.kind == calendar.OutOfUseEvent:
		if !e.end.Before(p.until) {
			p.notice = earlier(p.notice, e.end)
		}
		if !p.out.IsZero() {
			p.out = earlier(p.out, e.end) // who takes it out knows
		}
	case e.kind == calendar.ReturnedEvent:
		p.step(e, lang.Say("returned-to-service: returned to service"),
			lang.Say("follow-up-incomplete: the follow-up is not complete: tests end it, an entry does not"))
	case (qualified || e.requalifies()) && !e.end.Before(p.until) && c.returns[p.cause].Requalified == moistheat.Yes:
		p.sure = later(p.sure, e.end)
		p.finish(e, stepOf(lang.Term("step: requalified")))
	case e.kind == calendar.RepairedEvent || e.kind == calendar.InstalledEvent:
		if p.State != LeftOpen {
			p.requalify(e, pol, air)
			if e.end.Before(p.until) { // the test may have been positive after that
				p.State = AwaitingRepair
			}
		} else {
			p.out = earlier(p.out, e.end)
		}
	case e.kind == calendar.AirRemovalEvent && p.State == Requalifying && p.AirNeeded > 0:
		p.airTest(e)
	case e.bio != bioNone:
		p.test(e, pol)
	case e.kind == 0:
		p.interrupt(e, lang.Say("load-without-biological: a load without a biological indicator test"), pol)
	}
}

// interrupt takes in a load that comes, or may come, between the good tests.
func (p *Procedure) interrupt(e *occurrence, what moistheat.Detail, pol *calendar.PositiveTestPolicy) {
	if p.Good+p.AirGood > 0 && p.State != LeftOpen {
		p.step(e, what, lang.Say("series-interrupted: the series is interrupted: counting starts again"))
		p.counts, p.AirGood, p.sure = nil, 0, time.Time{}
		p.recount(pol)
	}
}

// requalifies reports whether a passed requalification by a person who is named was
// entered.
func (h *occurrence) requalifies() bool {
	return h.kind == calendar.RequalificationEvent && h.result().passed == moistheat.Yes && h.named && h.proves()
}

// required says of tests that they are.
func required(tests moistheat.Detail) moistheat.Detail {
	return lang.With("tests-required: {1:text} required", tests)
}

// stepOf returns a word of the list of steps.
func stepOf(word string) moistheat.Detail { return lang.Say("step-taken: {1:step}", word) }

func (p *Procedure) step(e *occurrence, what, then moistheat.Detail) {
	p.Steps = append(p.Steps, Step{in(e.end, p.zone), what.String(), then.String(), what, then})
}

func (p *Procedure) finish(e *occurrence, what moistheat.Detail) {
	p.State, p.Closed, p.OutOfUse = Finished, in(e.end, p.zone), false
	p.step(e, what, lang.Say("back-in-service: back in service"))
}

// mayBeDynamic reports whether a sterilizer draws the air out in any cycle on
// record; where no cycle says how the air is removed, it may.
func (u *unitHistory) mayBeDynamic() bool {
	known := false
	for _, e := range u.all {
		switch {
		case e.dynamic():
			return true
		case e.cycle.AirRemoval != "":
			known = true
		}
	}
	return !known
}

// airTest takes an air removal test into a procedure that asks for a series.
func (p *Procedure) airTest(e *occurrence) {
	what := e.name(p.zone)
	why := e.result().words()
	if !why.IsValid() && !e.named {
		why = lang.Say(unsigned)
	}
	if why.IsValid() {
		p.AirGood = 0
		p.step(e, what, lang.With("not-valid-starts-again: not valid: {1:text}; counting starts again", why))
		return
	}
	p.AirGood++
	p.sure = later(p.sure, e.end)
	p.passed(e, lang.With("passed-of: {1:text}: passed", what))
}

// passed ends the procedure after a good test where nothing more is needed.
func (p *Procedure) passed(e *occurrence, what moistheat.Detail) {
	if p.Good >= p.Needed && p.AirGood >= p.AirNeeded {
		p.finish(e, what)
		return
	}
	p.step(e, what, required(goodSeries(max(p.Needed-p.Good, 0), max(p.AirNeeded-p.AirGood, 0), true)))
}

// test takes a biological test into the procedure.
func (p *Procedure) test(e *occurrence, pol *calendar.PositiveTestPolicy) {
	what := e.tested(p.zone)
	p.repeated = earlier(p.repeated, e.start)
	if e.bio == bioPositive {
		p.positive(e, pol)
		p.step(e, lang.With("found-positive: {1:text}: positive", what),
			lang.Say("out-until-corrected: out of service until the cause is found and corrected"))
		return
	}
	refuse := func(o moistheat.Outcome, why moistheat.Detail) {
		p.faults = append(p.faults, stepFault{e, rules.PositiveRepeat, why, o})
		p.again(e.cycle)
		p.recount(pol)
		p.step(e, what, lang.With("not-valid: not valid: {1:text}", why))
	}
	switch {
	case p.State == LeftOpen:
		p.step(e, lang.With("test-came-to: {1:text} ({2:text})", what, e.bio.words()),
			lang.Say("end-unstated: the policy does not state what it ends"))
		return
	case p.State == AwaitingRepair:
		p.step(e, what, lang.Say("not-valid-before: not valid before the cause is corrected"))
		return
	case e.bio == bioPending:
		p.step(e, what, lang.Say("not-read-yet: not read yet"))
		return
	case p.Positives > 0 && e.start.Before(later(earlier(p.first.surely(), p.notice), p.until)):
		p.step(e, what, lang.Say("not-valid-too-soon: not valid: it was begun before the positive result was known"))
		return
	case e.bio == bioVoid:
		refuse(moistheat.Broken, e.result().words())
		return
	case !e.proves():
		refuse(moistheat.Undetermined, lang.Say("test-lines-disagree: lines disagree about when it was run, "+
			"or whether it is valid"))
		return
	case p.State == Repeating && e.cycle.differs(p.kind):
		refuse(moistheat.Broken, lang.With("other-kind-of-cycle: it was run in another kind of cycle ({1:text})",
			e.cycle.words()))
		return
	case e.sound() == moistheat.No:
		refuse(moistheat.Broken, lang.Say("test-record-failed: physical record or chemical indicators failed"))
		return
	case e.bio != bioGood:
		refuse(moistheat.Undetermined, e.result().words())
		return
	case p.State == Repeating && (e.cycle != p.kind || !e.cycle.known()):
		refuse(moistheat.Undetermined, lang.With("kinds-not-in-full: not recorded in full: the kinds of cycle ({1:text}; "+
			"{2:text})", p.kind.words(), e.cycle.words()))
		return
	case e.sound() != moistheat.Yes:
		refuse(moistheat.Undetermined, lang.Say("test-record-unrecorded: not recorded: that physical record and chemical "+
			"indicators passed"))
		return
	}
	if p.State == Requalifying && !e.named {
		refuse(moistheat.Undetermined, lang.Say(unsigned))
		return
	}
	if p.State == Requalifying && pol.Chamber != "" {
		o := moistheat.Met
		switch {
		case e.chamber == "":
			o = moistheat.Undetermined
		case e.chamber != pol.Chamber:
			o = moistheat.Broken
		}
		p.faults = append(p.faults, stepFault{e, rules.PositiveChamber, lang.Data(string(pol.Chamber)), o})
	}
	if p.counts == nil {
		p.counts = map[CycleSetting]int{}
	}
	p.counts[e.cycle]++
	p.sure = later(p.sure, later(e.end, e.read))
	p.recount(pol)
	p.passed(e, lang.With("found-negative: {1:text}: negative", what))
}

// positive takes a further positive test.
func (p *Procedure) positive(e *occurrence, pol *calendar.PositiveTestPolicy) {
	p.Positives++
	p.cause = calendar.PositiveTest
	if !slices.Contains(p.failed, e.cycle) {
		p.failed = append(p.failed, e.cycle)
	}
	p.positives = append(p.positives, e)
	_, last := e.over()
	p.until = later(p.until, last)
	p.unsound = p.unsound || e.sound() != moistheat.Yes
	if p.State == LeftOpen {
		return
	}
	p.State, p.counts, p.AirGood, p.sure = AwaitingRepair, nil, 0, time.Time{}
	if p.Positives < pol.OutOfServiceAfter {
		p.State = Repeating
	} else {
		p.out, p.OutOfUse = earlier(p.out, e.known()), true
	}
	p.recount(pol)
}

// late compares the time until the repeat with what others take.
func (p *Procedure) late(c *ask.List, at time.Time) {
	most := historyFigures().Repeat
	by := p.notice.Add(seconds(most.Value))
	q := c.Ask(rules.PositiveLate, p.pointer)
	switch {
	case p.notice.IsZero():
		q.Open(moistheat.Unrecorded)
	case !p.repeated.IsZero():
		ask.Limit(q, most).BrokenIf(p.repeated.After(by))
	case at.After(by):
		ask.Limit(q, most).Broken()
	default:
		q.Open(moistheat.NotYet)
	}
}

// procedures adds findings about procedures and their steps.
func (h *History) procedures(c *ask.List, at time.Time) {
	from := len(c.Findings)
	for _, id := range h.Sterilizers() {
		for _, p := range h.units()[id].procedures(h.course()) {
			p.ask(c, h.positive(), at)
		}
	}
	rest(c, from, "", false, rules.PositiveOpen, rules.PositiveRequalify, rules.PositiveRepeat,
		rules.PositiveChamber, rules.PositiveLate)
}

// ask adds findings about one procedure, as it stands at an instant.
func (p *Procedure) ask(c *ask.List, pol *calendar.PositiveTestPolicy, at time.Time) {
	rule := rules.PositiveRequalify
	if len(p.positives) > 0 {
		rule = rules.PositiveOpen
	}
	q := c.Ask(rule, p.pointer).Say("what", p.opener).Say("next", p.next()).BrokenIf(p.State != Finished)
	if pol != nil {
		q.By(pol.Sources...)
	}
	if len(p.positives) > 0 {
		p.late(c, at)
	}
	if p.Positives > 0 && p.State == Finished {
		c.Ask(rules.PositiveRepeat, p.pointer).Met()
	}
	for _, s := range p.faults {
		q := c.Ask(s.rule, s.of.pointer()).Say("what", s.of.tested(p.zone)).Say("why", s.why)
		if s.rule == rules.PositiveChamber {
			q.With("chamber", string(s.of.chamber)).Say("wanted", s.why)
		}
		q.Is(s.state)
	}
}

// positive returns the policy's procedure after a positive test, or nil.
func (h *History) positive() *calendar.PositiveTestPolicy {
	if p, ok := h.Policy().Positive(); ok {
		return &p
	}
	return nil
}
