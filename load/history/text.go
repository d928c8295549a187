package history

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load/calendar"
)

// The sentences of this package, made from facts and codes: between its functions no
// words travel.

const (
	stamp    = "2 January 2006 15:04"
	dayStamp = "2 January 2006"
)

// bioWords say what a biological test came to.
var bioWords = [...]string{"", "not read yet", "not shown to be valid", "negative", "invalid", "positive"}

func (b bioState) String() string {
	if b == bioNone {
		return "no biological indicator test"
	}
	return "biological indicator test " + bioWords[b]
}

func (l loadState) String() string {
	switch l {
	case loadGood:
		return "released"
	case loadBad:
		return "rejected"
	}
	return "in quarantine"
}

// String says why a test was not passed or does not count; it is empty for one that was
// passed.
func (r result) String() string {
	if r.void {
		return lang.Sprint("it is invalid: {1:text}", r.why())
	}
	return r.why()
}

func (r result) why() string {
	switch r.cause {
	case noCause:
		return ""
	case positive:
		return lang.Phrase("it is positive")
	case noBiological:
		return lang.Phrase("no result is recorded")
	case notRead:
		return lang.Phrase("it has not been read yet")
	case unproven:
		return moistheat.Visible(r.detail)
	case leaking:
		return lang.Sprint("leak rate {1:number}; limit {2:number}", r.got.String(), r.max.String())
	case markedFailed:
		return lang.Phrase("it is recorded as failed")
	case notEmpty:
		return lang.Phrase("the chamber was not empty")
	case tooLong:
		return lang.Sprint("exposure time {1:number}; limit {2:number}", prose.Measured(r.got, r.max), r.max.String())
	case withDrying:
		return lang.Phrase("it was run with drying")
	case withoutAirRemoval:
		return lang.Phrase("it was run in a cycle without dynamic air removal")
	}
	return lang.Phrase("its result is not recorded")
}

// String says what becomes of what an amendment takes back.
func (f fate) String() string {
	switch f {
	case unanswered:
		return "no line gives the right value, so evidence against a load or the sterilizer stays"
	case early:
		return "it was signed before that had happened"
	case contradicted:
		return "another amendment takes back the contrary, so neither has effect"
	case foreign:
		return "the line has no such member"
	case crowded:
		return fmt.Sprintf("more than %d values are taken back from one line, so none has effect", mostTakings)
	}
	return "it has effect"
}

// in returns an instant in a zone; nil: its own.
func in(t time.Time, z *time.Location) time.Time {
	if z == nil || t.IsZero() {
		return t
	}
	return t.In(z)
}

// zoneOf returns the zone in which one sterilizer's answers give times: that of its newest
// load, else of the newest thing in its log, so that no answer mixes two.
func zoneOf(line []*occurrence) *time.Location {
	for i := len(line) - 1; i >= 0; i-- {
		if line[i].kind == 0 {
			return line[i].start.Location()
		}
	}
	if n := len(line); n > 0 {
		return line[n-1].end.Location()
	}
	return nil
}

// unsigned says why a test does not end an installation or a repair.
const unsigned = "not recorded: who ran it"

// label returns what a load is known by, as it came in; texts show its [prose.Name].
func (h *occurrence) label() string { return cmp.Or(h.number, h.load, h.id) }

// name returns what a person calls the happening, with its time in a zone; nil: its own.
func (h *occurrence) name(z *time.Location) string {
	kind, at := h.kind.String(), in(h.end, z).Format(stamp)
	switch {
	case h.kind == 0:
		return lang.Sprint("load {1}", prose.Name(h.label()))
	case h.kind == calendar.BiologicalTestEvent && h.id != "":
		return lang.Sprint("biological indicator test {1} of {2:date}", prose.Name(h.id), at)
	case h.kind == calendar.BiologicalTestEvent:
		return lang.Sprint("biological indicator test of {1:date}", at)
	case calendar.IsTest(h.kind) && prose.Test(kind) != kind:
		return lang.Sprint("{1:calendar.EventKind} test of {2:date}", kind, at)
	}
	return lang.Sprint("{1:calendar.EventKind} of {2:date}", kind, at)
}

// tested names what a test or a load was a test of.
func (h *occurrence) tested(z *time.Location) string {
	if h.kind == 0 {
		return lang.Sprint("biological indicator test of load {1}", prose.Name(h.label()))
	}
	return h.name(z)
}

// when returns the name with its time.
func (h *occurrence) when(z *time.Location) string {
	if h.kind != 0 {
		return h.name(z)
	}
	return lang.Sprint("load {1}, {2:date}", prose.Name(h.label()), in(h.end, z).Format(stamp))
}

// whenTested returns what it was a test of, with its time.
func (h *occurrence) whenTested(z *time.Location) string {
	if h.kind == 0 {
		return lang.Sprint("biological indicator test of load {1}, {2:date}", prose.Name(h.label()),
			in(h.end, z).Format(stamp))
	}
	return h.when(z)
}

func setting(e *occurrence) string {
	s := e.cycle.String()
	if e.hold.IsValid() {
		s += ", exposure time " + e.hold.String()
	}
	return s
}

// String returns the line for a person.
func (s SuspectLoad) String() string {
	out := fmt.Sprintf("%s load %s: %s", prose.Name(s.Sterilizer), prose.Name(s.Number), s.Action)
	if s.Implants == moistheat.Yes {
		out += ", IMPLANTS"
	}
	return out + ": " + strings.Join(append(slices.Clone(s.Because), s.Amended...), " ")
}

// Next says what is to be done now.
func (p *Procedure) Next() string {
	if p == nil {
		return ""
	}
	if p.State != LeftOpen && p.State != Finished && p.unnamed() {
		return "record in which kind of cycle the test was positive; then " + p.then()
	}
	return p.then()
}

func (p *Procedure) then() string {
	switch p.State {
	case Repeating:
		return fmt.Sprintf(
			"repeat the biological indicator test now, in the same kind of cycle (%s), correctly loaded, with its control and chemical indicators.", p.kind)
	case AwaitingRepair:
		return "have the sterilizer inspected; find and correct the cause."
	case Requalifying:
		s := fmt.Sprintf("run biological indicator tests in consecutive cycles; %d of %d negative so far.", p.Good, p.Needed)
		if p.AirNeeded > 0 {
			s += fmt.Sprintf(" Run consecutive air removal tests, too; %d of %d passed so far.", p.AirGood, p.AirNeeded)
		}
		return s
	case LeftOpen:
		return "the policy states no follow-up; ask the person responsible and the local authority."
	}
	return "nothing."
}

// inARow says of several tests that nothing stands between them.
func inARow(n int) string {
	if n > 1 {
		return " in a row"
	}
	return ""
}

// Ends says what would end the procedure.
func (p *Procedure) Ends() string {
	if p == nil {
		return ""
	}
	switch p.State {
	case Repeating:
		return prose.Plural(p.Needed-p.Good, "more negative biological indicator test") + inARow(p.Needed-p.Good) +
			", with physical record and chemical indicators passed; another positive test means repair."
	case AwaitingRepair:
		return fmt.Sprintf("the cause corrected, then %s%s.",
			p.series(p.Needed, p.AirNeeded, ""), inARow(max(p.Needed, p.AirNeeded)))
	case Requalifying:
		good, air := max(p.Needed-p.Good, 0), max(p.AirNeeded-p.AirGood, 0)
		return p.series(good, air, "more ") + inARow(max(good, air)) + "."
	case LeftOpen:
		return "the policy leaves it open."
	}
	return "it has ended."
}

// series names so many good tests, of both kinds where air removal tests are asked for;
// more is "more " where some were run already.
func (p *Procedure) series(biological, air int, more string) string {
	if p.AirNeeded == 0 {
		return prose.Plural(biological, more+"negative biological indicator test")
	}
	biologicals := prose.Plural(biological, more+"negative biological indicator test")
	airs := prose.Plural(air, more+"passed air removal test")
	switch {
	case air == 0:
		return biologicals
	case biological == 0:
		return airs
	}
	return biologicals + " and " + airs
}

// wayBack says what ends a time out of service beside the tests of a procedure.
func wayBack(cause calendar.Cause, e *occurrence, r calendar.Return) string {
	var ways []string
	switch {
	case cause == calendar.TakenOut:
		return "record the return to service, once nothing else prevents it."
	case r.Tests > 0 && e.kind != calendar.RequalificationEvent:
		tests := prose.Plural(r.Tests, prose.Test(e.kind.String()))
		ways = append(ways, "find and correct the cause, then pass "+tests+inARow(r.Tests))
	case r.Explained == moistheat.Yes:
		ways = append(ways, "find out why, and record the cause and who found it")
	}
	if r.Requalified == moistheat.Yes {
		ways = append(ways, "have it requalified, and record by whom")
	}
	if len(ways) == 0 {
		return "the policy does not state what ends it; ask the person responsible and the local authority."
	}
	return strings.Join(ways, ", or ") + "."
}

// why says why the sterilizer is out of service, without a full stop.
func (o Outage) why() string {
	switch o.Cause {
	case calendar.FailedTest:
		return "the " + o.of.name(o.From.Location()) + " failed (" + o.of.result().why() + ")"
	case calendar.FailedCycle:
		return o.of.name(o.From.Location()) + " failed; cause not recorded"
	case calendar.PositiveTest:
		return "positive " + o.of.tested(o.From.Location())
	case calendar.TakenOut:
		return "it was taken out of service"
	}
	return o.of.name(o.From.Location())
}

// String returns the line for a person.
func (o Outage) String() string {
	s := prose.Name(o.Sterilizer) + " out of service from " + o.From.Format(stamp)
	if !o.To.IsZero() {
		s += " to " + o.To.Format(stamp)
	}
	if o.of != nil {
		s += ": " + o.why()
	}
	if o.next != "" {
		s += "; " + o.next
	}
	return s
}
