package history

import (
	"cmp"
	"slices"
	"strconv"
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
	stamp    = "2 January 2006, 15:04"
	dayStamp = "2 January 2006"
)

// bioWords say what a biological test came to.
var bioWords = [...]lang.Text{"no biological indicator test", "biological indicator test not read yet",
	"biological indicator test not shown to be valid", "biological indicator test negative",
	"biological indicator test invalid", "biological indicator test positive"}

func (b bioState) String() string { return string(bioWords[b]) }

func (l loadState) String() string {
	switch l {
	case loadGood:
		return lang.Term("state: released")
	case loadBad:
		return lang.Term("state: rejected")
	}
	return lang.Phrase("in quarantine")
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
		return lang.Phrase("no line gives the right value, so evidence against a load or the sterilizer stays")
	case early:
		return lang.Phrase("it was signed before that had happened")
	case contradicted:
		return lang.Phrase("another amendment takes back the contrary, so neither has effect")
	case foreign:
		return lang.Phrase("the line has no such member")
	case crowded:
		return lang.Sprint("more than {1:number} values are taken back from one line, so none has effect",
			strconv.Itoa(mostTakings))
	}
	return lang.Phrase("it has effect")
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
const unsigned lang.Text = "not recorded: who ran it"

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
	case h.kind == calendar.RepairedEvent:
		return lang.Sprint("repair of {1:date}", at)
	case h.kind == calendar.InstalledEvent:
		return lang.Sprint("installation of {1:date}", at)
	case h.kind == calendar.ReturnedEvent:
		return lang.Sprint("return to service of {1:date}", at)
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
	if e.hold.IsValid() {
		return lang.Sprint("{1:text}, exposure time {2:number}", e.cycle.String(), e.hold.String())
	}
	return e.cycle.String()
}

// count returns the text for one thing, or that for n things in {1}.
func count(n int, one, more lang.Text) string {
	if n == 1 {
		return string(one)
	}
	return lang.Sprint(more, strconv.Itoa(n))
}

// String returns the line for a person.
func (s SuspectLoad) String() string {
	text := lang.Text("{machine}, load {number}: {action:history.RecallAction}: {why}")
	if s.Implants == moistheat.Yes {
		text = "{machine}, load {number}: {action:history.RecallAction}, IMPLANTS: {why}"
	}
	return moistheat.Visible(say(s.in, text, "machine", prose.Name(s.Sterilizer), "number", prose.Name(s.Number),
		"action", s.Action.String(), "why", strings.Join(append(slices.Clone(s.Because), s.Amended...), " ")))
}

// Next says what is to be done now.
func (p *Procedure) Next() string {
	if p == nil {
		return ""
	}
	return sentence(p.in, p.next())
}

func (p *Procedure) next() string {
	if p.State != LeftOpen && p.State != Finished && p.unnamed() {
		return lang.Sprint("record in which kind of cycle the test was positive; then {1:text}", p.then())
	}
	return p.then()
}

func (p *Procedure) then() string {
	switch p.State {
	case Repeating:
		return lang.Sprint("repeat the biological indicator test now, in the same kind of cycle ({1:text}), correctly loaded, "+
			"with its control and chemical indicators.", p.kind.String())
	case AwaitingRepair:
		return lang.Phrase("have the sterilizer inspected; find and correct the cause.")
	case Requalifying:
		s := lang.Sprint("run biological indicator tests in consecutive cycles; {1:number} of {2:number} negative so far.",
			strconv.Itoa(p.Good), strconv.Itoa(p.Needed))
		if p.AirNeeded > 0 {
			s += " " + lang.Sprint("Run consecutive air removal tests, too; {1:number} of {2:number} passed so far.",
				strconv.Itoa(p.AirGood), strconv.Itoa(p.AirNeeded))
		}
		return s
	case LeftOpen:
		return lang.Phrase("the policy states no follow-up; ask the person responsible and the local authority.")
	}
	return lang.Phrase("nothing.")
}

// Ends says what would end the procedure.
func (p *Procedure) Ends() string {
	if p == nil {
		return ""
	}
	return sentence(p.in, p.ends())
}

func (p *Procedure) ends() string {
	good, air := max(p.Needed-p.Good, 0), max(p.AirNeeded-p.AirGood, 0)
	switch p.State {
	case Repeating:
		return lang.Sprint("{1:text}, with physical record and chemical indicators passed; another positive test means repair.",
			goodSeries(good, 0, true))
	case AwaitingRepair:
		return lang.Sprint("the cause corrected, then {1:text}.", goodSeries(p.Needed, p.AirNeeded, false))
	case Requalifying:
		return goodSeries(good, air, true) + "."
	case LeftOpen:
		return lang.Phrase("the policy leaves it open.")
	}
	return lang.Phrase("it has ended.")
}

// goodSeries names so many good tests, of both kinds where air removal tests are asked for, and
// says of several that nothing stands between them; more: some were run already.
func goodSeries(biological, air int, more bool) string {
	var out []string
	switch {
	case biological == 0 && air > 0:
	case more:
		out = append(out, count(biological, "1 more negative biological indicator test",
			"{1:number} more negative biological indicator tests"))
	default:
		out = append(out, count(biological, "1 negative biological indicator test",
			"{1:number} negative biological indicator tests"))
	}
	switch {
	case air == 0:
	case more:
		out = append(out, count(air, "1 more passed air removal test", "{1:number} more passed air removal tests"))
	default:
		out = append(out, count(air, "1 passed air removal test", "{1:number} passed air removal tests"))
	}
	all := strings.Join(out, " and ")
	if max(biological, air) > 1 {
		return lang.Sprint("{1:text} in a row", all)
	}
	return all
}

// wayBack says what ends a time out of service beside the tests of a procedure.
func wayBack(cause calendar.Cause, e *occurrence, r calendar.Return) string {
	first := ""
	switch {
	case cause == calendar.TakenOut:
		return lang.Phrase("record the return to service, once nothing else prevents it.")
	case r.Tests > 0 && isStage(e.kind):
		return lang.Sprint("find and correct the cause, then have the {1:calendar.EventKind} repeated, and record "+
			"by whom.", e.kind.String())
	case r.Tests == 1 && e.kind != calendar.RequalificationEvent:
		first = lang.Sprint("find and correct the cause, then pass 1 {1:calendar.EventKind} test", e.kind.String())
	case r.Tests > 0 && e.kind != calendar.RequalificationEvent:
		first = lang.Sprint("find and correct the cause, then pass {1:calendar.EventKind} tests in a row: {2:number}",
			e.kind.String(), strconv.Itoa(r.Tests))
	case r.Explained == moistheat.Yes:
		first = lang.Phrase("find out why, and record the cause and who found it")
	}
	switch {
	case first != "" && r.Requalified == moistheat.Yes:
		return lang.Sprint("{1:text}, or have it requalified, and record by whom.", first)
	case first != "":
		return first + "."
	case r.Requalified == moistheat.Yes:
		return lang.Phrase("have it requalified, and record by whom.")
	}
	return lang.Phrase("the policy does not state what ends it; ask the person responsible and the local authority.")
}

// why says why the sterilizer is out of service, without a full stop.
func (o Outage) why() string {
	switch o.Cause {
	case calendar.FailedTest:
		return lang.Sprint("the {1:text} failed ({2:text})", o.of.name(o.From.Location()), o.of.result().why())
	case calendar.FailedCycle:
		return lang.Sprint("{1:text} failed; cause not recorded", o.of.name(o.From.Location()))
	case calendar.PositiveTest:
		return lang.Sprint("positive {1:text}", o.of.tested(o.From.Location()))
	case calendar.TakenOut:
		return lang.Phrase("it was taken out of service")
	}
	return o.of.name(o.From.Location())
}

// String returns the line for a person.
func (o Outage) String() string {
	text := lang.Text("{machine} out of service since {from:date}")
	if !o.To.IsZero() {
		text = "{machine} out of service {from-to:period}"
	}
	s := say(o.in, text, "machine", prose.Name(o.Sterilizer), "from", o.From.Format(stamp), "to", o.To.Format(stamp))
	if o.of != nil {
		s += ": " + sentence(o.in, o.why())
	}
	if o.next != "" {
		s += "; " + o.next
	}
	return moistheat.Visible(s)
}
