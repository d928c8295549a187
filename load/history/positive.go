package history

import (
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/prose"
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
	Sterilizer string
	Cause      string // what opened it
	Opened     time.Time
	State      ProcedureState
	Positives  int  // positive tests so far
	OutOfUse   bool // no patient load until it is finished
	Good       int  // good tests in a row so far
	Needed     int  // good tests in a row that end it
	AirGood    int  // good air removal tests in a row so far
	AirNeeded  int  // those that it needs beside the biological ones
	Steps      []Step
	Closed     time.Time // zero while it is not finished

	kind      CycleSetting
	notice    time.Time // when somebody acted on the positive test
	repeated  time.Time // start of the first test after that
	pointer   string
	positives []*occurrence
	unsound   bool // a positive test's physical record or indicators were not shown to be good
	faults    []stepFault
}

// Step is one event in a procedure, and what it came to.
type Step struct {
	Time time.Time
	What string
	Then string
}

type stepFault struct {
	of    *occurrence
	rule  ask.ID
	why   string
	state moistheat.Outcome
}

// Procedures returns every procedure, finished ones too, by sterilizer and time.
func (h *History) Procedures() []Procedure {
	var out []Procedure
	for _, id := range h.Sterilizers() {
		for _, p := range h.sterilizers[id].procedures(h.positive()) {
			p.Sterilizer = id
			out = append(out, *p)
		}
	}
	return out
}

// procedures folds the timeline of one sterilizer. pol is nil where the policy has
// no procedure.
func (u *unitHistory) procedures(pol *calendar.PositiveTestPolicy) []*Procedure {
	var all []*Procedure
	var open *Procedure
	air := 0 // air removal tests that a repair asks for
	if pol != nil && u.mayBeDynamic() {
		air = pol.AirRemovalTests
	}
	for _, e := range u.timeline() {
		if open != nil {
			open.take(e, pol, air)
			if open.State == Finished {
				open = nil
			}
			continue
		}
		switch {
		case e.bio == bioPositive:
			open = openPositive(e, pol)
		case e.kind == calendar.InstalledEvent || e.kind == calendar.RepairedEvent:
			open = &Procedure{Cause: e.name(), Opened: e.end, State: LeftOpen, OutOfUse: true, kind: e.cycle, pointer: e.pointer()}
			open.requalify(e, pol, air)
		default:
			continue
		}
		all = append(all, open)
	}
	return all
}

// openPositive begins the procedure that a positive test asks for.
func openPositive(e *occurrence, pol *calendar.PositiveTestPolicy) *Procedure {
	p := &Procedure{
		Cause: "positive biological test of " + e.name(), Opened: e.end, State: LeftOpen, OutOfUse: true, Positives: 1,
		kind: e.cycle, pointer: e.pointer(), positives: []*occurrence{e}, unsound: e.sound() != moistheat.Yes,
	}
	then := "the policy names no procedure"
	if pol != nil {
		p.State, p.Needed, p.OutOfUse = Repeating, pol.Repeats, pol.OutOfServiceAfter == 1
		then = "repeat at once; " + prose.Plural(pol.Repeats, "good test") + " in a row end it"
		if p.OutOfUse {
			then = "out of use; " + then
		}
	}
	p.step(e, "positive", then)
	return p
}

// requalify begins the tests after an installation or a repair, as far as the policy
// asks for any.
func (p *Procedure) requalify(e *occurrence, pol *calendar.PositiveTestPolicy, air int) {
	if pol != nil {
		p.State, p.Good, p.Needed, p.AirGood, p.AirNeeded = Requalifying, 0, pol.AfterRepair, 0, air
	}
	p.step(e, e.kind.String(), p.series(p.Needed, p.AirNeeded, "")+" in a row needed")
}

// take takes what happened next into a procedure that is not finished.
func (p *Procedure) take(e *occurrence, pol *calendar.PositiveTestPolicy, air int) {
	switch {
	case e.kind == calendar.OutOfUseEvent:
		p.notice = earlier(p.notice, e.end)
	case e.kind == calendar.ReturnedEvent && p.State == LeftOpen:
		p.finish(e, "returned to use by "+orSomebody(e.by))
	case e.kind == calendar.ReturnedEvent:
		p.step(e, "returned to use", "the procedure is not finished")
	case e.kind == calendar.RepairedEvent || e.kind == calendar.InstalledEvent:
		if p.State != LeftOpen {
			p.requalify(e, pol, air)
		}
	case e.kind == calendar.AirRemovalEvent && p.State == Requalifying && p.AirNeeded > 0:
		p.airTest(e)
	case e.bio != bioNone:
		p.test(e, pol)
	case e.kind == 0 && p.Good+p.AirGood > 0 && p.State != LeftOpen:
		p.step(e, "a load without a biological test", "the good tests are not in a row any more: counting starts again")
		p.Good, p.AirGood = 0, 0
	}
}

func orSomebody(by string) string {
	if by == "" {
		return "somebody not named"
	}
	return by
}

func (p *Procedure) step(e *occurrence, what, then string) {
	p.Steps = append(p.Steps, Step{e.end, what, then})
}

func (p *Procedure) finish(e *occurrence, what string) {
	p.State, p.Closed, p.OutOfUse = Finished, e.end, false
	p.step(e, what, "back in use")
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
	what := prose.Capital(e.name())
	if r := e.result(); r.passed != moistheat.Yes {
		p.AirGood = 0
		p.step(e, what, "does not count: "+r.String()+"; counting starts again")
		return
	}
	p.AirGood++
	p.passed(e, what+": passed")
}

// passed ends the procedure after a good test where nothing more is needed.
func (p *Procedure) passed(e *occurrence, what string) {
	if p.Good >= p.Needed && p.AirGood >= p.AirNeeded {
		p.finish(e, what)
		return
	}
	p.step(e, what, p.series(max(p.Needed-p.Good, 0), max(p.AirNeeded-p.AirGood, 0), "more ")+" in a row needed")
}

// test takes a biological test into the procedure.
func (p *Procedure) test(e *occurrence, pol *calendar.PositiveTestPolicy) {
	what := "biological test of " + e.name()
	p.repeated = earlier(p.repeated, e.start)
	if e.bio == bioPositive {
		p.Positives++
		p.positives = append(p.positives, e)
		p.unsound = p.unsound || e.sound() != moistheat.Yes
		if p.State != LeftOpen {
			p.State, p.Good, p.Needed, p.AirGood, p.OutOfUse = AwaitingRepair, 0, pol.AfterRepair, 0, true
			if p.Positives < pol.OutOfServiceAfter {
				p.State, p.OutOfUse = Repeating, false
			}
		}
		p.step(e, what+": positive", "out of use until the cause is found and removed")
		return
	}
	refuse := func(o moistheat.Outcome, why string) {
		p.faults = append(p.faults, stepFault{e, rules.PositiveRepeat, why, o})
		p.Good = 0
		p.step(e, what, "does not count: "+why)
	}
	switch {
	case p.State == LeftOpen:
		p.step(e, what+": "+bioWords[e.bio], "the policy does not say what it ends")
		return
	case p.State == AwaitingRepair:
		p.step(e, what, "does not count before the cause is removed")
		return
	case e.bio == bioPending:
		p.step(e, what, "not read yet")
		return
	case e.bio == bioVoid:
		refuse(moistheat.Broken, e.result().String())
		return
	case p.State == Repeating && e.cycle.differs(p.kind):
		refuse(moistheat.Broken, "it was run in another kind of cycle ("+e.cycle.String()+")")
		return
	case e.sound() == moistheat.No:
		refuse(moistheat.Broken, "physical record or chemical indicators failed")
		return
	case e.bio != bioGood:
		refuse(moistheat.Undetermined, e.result().String())
		return
	case p.State == Repeating && (e.cycle != p.kind || !e.cycle.known()):
		refuse(moistheat.Undetermined, "it is not recorded in full in which kind of cycle they were run ("+p.kind.String()+"; "+e.cycle.String()+")")
		return
	case e.sound() != moistheat.Yes:
		refuse(moistheat.Undetermined, "it is not recorded that physical record and chemical indicators were good")
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
		p.faults = append(p.faults, stepFault{e, rules.PositiveChamber, string(pol.Chamber), o})
	}
	p.Good++
	p.passed(e, what+": negative")
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
		for _, p := range h.sterilizers[id].procedures(h.positive()) {
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
	q := c.Ask(rule, p.pointer).With("what", p.Cause).With("next", p.Next()).BrokenIf(p.State != Finished)
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
		q := c.Ask(s.rule, s.of.pointer()).With("what", "biological test of "+s.of.name()).With("why", s.why)
		if s.rule == rules.PositiveChamber {
			q.With("chamber", string(s.of.chamber)).With("wanted", s.why)
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
