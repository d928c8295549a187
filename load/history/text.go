package history

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
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
var bioWords = [...]lang.Text{"bio-none: no biological indicator test",
	"bio-unread: biological indicator test not read yet",
	"bio-unproven: biological indicator test not shown to be valid",
	"bio-negative: biological indicator test negative",
	"bio-invalid: biological indicator test invalid",
	"bio-positive: biological indicator test positive"}

func (b bioState) words() moistheat.Detail { return lang.Say(bioWords[b]) }

func (l loadState) words() moistheat.Detail {
	switch l {
	case loadGood:
		return lang.Say("load-state: {1:state}", lang.Term("state: released"))
	case loadBad:
		return lang.Say("load-state: {1:state}", lang.Term("state: rejected"))
	}
	return lang.Say("in-quarantine: in quarantine")
}

// words returns the kind for a person.
func (k CycleSetting) words() moistheat.Detail {
	air := lang.Say("setting-air-unknown: air removal unknown")
	if k.AirRemoval != "" {
		air = ask.AirRemoval(k.AirRemoval)
	}
	temperature := lang.Say("setting-temperature-unknown: temperature unknown")
	if k.Temperature.IsValid() {
		temperature = lang.Say("setting-temperature: {1:number}", k.Temperature.String())
	}
	return lang.Join(", ", air, temperature)
}

// words say why a test was not passed or does not count; there are none for one that was
// passed.
func (r result) words() moistheat.Detail {
	if r.void {
		return lang.With("test-invalid: it is invalid: {1:text}", r.why())
	}
	return r.why()
}

func (r result) why() moistheat.Detail {
	switch r.cause {
	case noCause:
		return moistheat.Detail{}
	case positive:
		return lang.Say("test-positive: it is positive")
	case noBiological:
		return lang.Say("test-no-result: no result is recorded")
	case notRead:
		return lang.Say("test-unread: it has not been read yet")
	case unproven:
		return r.detail
	case leaking:
		return lang.Say("test-leaking: leak rate {1:number}; limit {2:number}", r.got.String(), r.max.String())
	case markedFailed:
		return lang.Say("test-marked-failed: it is recorded as failed")
	case notEmpty:
		return lang.Say("test-not-empty: the chamber was not empty")
	case tooLong:
		return lang.Say("test-too-long: exposure time {1:number}; limit {2:number}", prose.Measured(r.got, r.max),
			r.max.String())
	case withDrying:
		return lang.Say("test-with-drying: it was run with drying")
	case withoutAirRemoval:
		return lang.Say("test-without-air-removal: it was run in a cycle without dynamic air removal")
	}
	return lang.Say("result-unrecorded: its result is not recorded")
}

// words say what becomes of what an amendment takes back.
func (f fate) words() moistheat.Detail {
	switch f {
	case unanswered:
		return lang.Say("amendment-unanswered: no line gives the right value, so evidence against a load or the " +
			"sterilizer stays")
	case early:
		return lang.Say("amendment-early: it was signed before that had happened")
	case contradicted:
		return lang.Say("amendment-contradicted: another amendment takes back the contrary, so neither has effect")
	case foreign:
		return lang.Say("amendment-foreign: the line has no such member")
	case crowded:
		return lang.Say("amendment-crowded: more than {1:number} values are taken back from one line, so none has effect",
			strconv.Itoa(mostTakings))
	}
	return lang.Say("amendment-effective: it has effect")
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
const unsigned lang.Text = "test-unsigned: not recorded: who ran it"

// label returns what a load is known by, as it came in; texts show its [prose.Name].
func (h *occurrence) label() string { return cmp.Or(h.number, h.load, h.id) }

// name returns what a person calls the happening, with its time in a zone; nil: its own.
func (h *occurrence) name(z *time.Location) moistheat.Detail {
	kind, at := h.kind.String(), in(h.end, z).Format(stamp)
	switch {
	case h.kind == 0:
		return lang.Say("the-load: load {1}", prose.Name(h.label()))
	case h.kind == calendar.BiologicalTestEvent && h.id != "":
		return lang.Say("biological-named: biological indicator test {1} of {2:date}", prose.Name(h.id), at)
	case h.kind == calendar.BiologicalTestEvent:
		return lang.Say("biological-of: biological indicator test of {1:date}", at)
	case h.kind == calendar.RepairedEvent:
		return lang.Say("repair-of: repair of {1:date}", at)
	case h.kind == calendar.InstalledEvent:
		return lang.Say("installation-of: installation of {1:date}", at)
	case h.kind == calendar.ReturnedEvent:
		return lang.Say("return-of: return to service of {1:date}", at)
	case calendar.IsTest(h.kind) && prose.Test(kind) != kind:
		return lang.Say("test-of: {1:calendar.EventKind} test of {2:date}", kind, at)
	}
	return lang.Say("event-of: {1:calendar.EventKind} of {2:date}", kind, at)
}

// testName returns what a test of a kind is called, of biological ones by the indicator.
func testName(kind calendar.EventKind) moistheat.Detail {
	switch name := kind.String(); {
	case kind == calendar.BiologicalTestEvent:
		return lang.Say("test-biological: biological indicator test")
	case prose.Test(name) != name:
		return lang.Say("test-kind: {1:calendar.EventKind} test", name)
	default:
		return lang.Say("event-kind: {1:calendar.EventKind}", name)
	}
}

// tested names what a test or a load was a test of.
func (h *occurrence) tested(z *time.Location) moistheat.Detail {
	if h.kind == 0 {
		return lang.Say("biological-of-load: biological indicator test of load {1}", prose.Name(h.label()))
	}
	return h.name(z)
}

// when returns the name with its time.
func (h *occurrence) when(z *time.Location) moistheat.Detail {
	if h.kind != 0 {
		return h.name(z)
	}
	return lang.Say("load-when: load {1}, {2:date}", prose.Name(h.label()), in(h.end, z).Format(stamp))
}

// whenTested returns what it was a test of, with its time.
func (h *occurrence) whenTested(z *time.Location) moistheat.Detail {
	if h.kind == 0 {
		return lang.Say("biological-of-load-when: biological indicator test of load {1}, {2:date}",
			prose.Name(h.label()), in(h.end, z).Format(stamp))
	}
	return h.when(z)
}

func setting(e *occurrence) moistheat.Detail {
	if e.hold.IsValid() {
		return lang.With("setting-with-exposure: {1:text}, exposure time {2:number}", e.cycle.words(),
			lang.Data(e.hold.String()))
	}
	return e.cycle.words()
}

// count returns the text for one thing, or that for n things in {1}.
func count(n int, one, more lang.Text) moistheat.Detail {
	if n == 1 {
		return lang.Say(one)
	}
	return lang.Say(more, strconv.Itoa(n))
}

// stopped returns a detail with a full stop.
func stopped(d moistheat.Detail) moistheat.Detail { return lang.Join("", d, lang.Data(".")) }

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
	return p.in.Detail(p.next())
}

func (p *Procedure) next() moistheat.Detail {
	if p.State != LeftOpen && p.State != Finished && p.unnamed() {
		return lang.With("next-name-cycle: record in which kind of cycle the test was positive; then {1:text}", p.then())
	}
	return p.then()
}

func (p *Procedure) then() moistheat.Detail {
	switch p.State {
	case Repeating:
		return lang.With("next-repeat: repeat the biological indicator test now, in the same kind of cycle ({1:text}), "+
			"correctly loaded, with its control and chemical indicators.", p.kind.words())
	case AwaitingRepair:
		return lang.Say("next-repair: have the sterilizer inspected; find and correct the cause.")
	case Requalifying:
		s := lang.Say("next-series: run biological indicator tests in consecutive cycles; {1:number} of {2:number} "+
			"negative so far.", strconv.Itoa(p.Good), strconv.Itoa(p.Needed))
		if p.AirNeeded > 0 {
			s = lang.Join(" ", s, lang.Say("next-air-series: Run consecutive air removal tests, too; {1:number} of "+
				"{2:number} passed so far.", strconv.Itoa(p.AirGood), strconv.Itoa(p.AirNeeded)))
		}
		return s
	case LeftOpen:
		return lang.Say("next-ask: the policy states no follow-up; ask the person responsible and the local authority.")
	}
	return lang.Say("next-nothing: nothing.")
}

// Ends says what would end the procedure.
func (p *Procedure) Ends() string {
	if p == nil {
		return ""
	}
	return p.in.Detail(p.ends())
}

func (p *Procedure) ends() moistheat.Detail {
	good, air := max(p.Needed-p.Good, 0), max(p.AirNeeded-p.AirGood, 0)
	switch p.State {
	case Repeating:
		return lang.With("ends-repeated: {1:text}, with physical record and chemical indicators passed; another positive "+
			"test means repair.", goodSeries(good, 0, true))
	case AwaitingRepair:
		return lang.With("ends-repaired: the cause corrected, then {1:text}.", goodSeries(p.Needed, p.AirNeeded, false))
	case Requalifying:
		return stopped(goodSeries(good, air, true))
	case LeftOpen:
		return lang.Say("ends-left-open: the policy leaves it open.")
	}
	return lang.Say("ends-ended: it has ended.")
}

// goodSeries names so many good tests, of both kinds where air removal tests are asked for, and
// says of several that nothing stands between them; more: some were run already.
func goodSeries(biological, air int, more bool) moistheat.Detail {
	negative := count(biological, "negative-one: 1 negative biological indicator test",
		"negative-several: {1:number} negative biological indicator tests")
	passed := count(air, "air-passed-one: 1 passed air removal test",
		"air-passed-several: {1:number} passed air removal tests")
	if more {
		negative = count(biological, "negative-one-more: 1 more negative biological indicator test",
			"negative-several-more: {1:number} more negative biological indicator tests")
		passed = count(air, "air-passed-one-more: 1 more passed air removal test",
			"air-passed-several-more: {1:number} more passed air removal tests")
	}
	all := lang.With("both-of: {1:text} and {2:text}", negative, passed)
	switch {
	case air == 0:
		all = negative
	case biological == 0:
		all = passed
	}
	if max(biological, air) > 1 {
		return lang.With("in-a-row: {1:text} in a row", all)
	}
	return all
}

// wayBack says what ends a time out of service beside the tests of a procedure.
func wayBack(cause calendar.Cause, e *occurrence, r calendar.Return) moistheat.Detail {
	first := moistheat.Detail{}
	switch {
	case cause == calendar.TakenOut:
		return lang.Say("back-by-entry: record the return to service, once nothing else prevents it.")
	case r.Tests > 0 && isStage(e.kind):
		return lang.Say("back-by-stage: find and correct the cause, then have the {1:calendar.EventKind} repeated, and "+
			"record by whom.", e.kind.String())
	case r.Tests == 1 && e.kind != calendar.RequalificationEvent:
		first = lang.Say("back-by-test: find and correct the cause, then pass 1 {1:calendar.EventKind} test",
			e.kind.String())
	case r.Tests > 0 && e.kind != calendar.RequalificationEvent:
		first = lang.Say("back-by-tests: find and correct the cause, then pass {1:calendar.EventKind} tests in a row: "+
			"{2:number}", e.kind.String(), strconv.Itoa(r.Tests))
	case r.Explained == moistheat.Yes:
		first = lang.Say("back-by-cause: find out why, and record the cause and who found it")
	}
	switch {
	case first.IsValid() && r.Requalified == moistheat.Yes:
		return lang.With("back-or-requalified: {1:text}, or have it requalified, and record by whom.", first)
	case first.IsValid():
		return stopped(first)
	case r.Requalified == moistheat.Yes:
		return lang.Say("back-requalified: have it requalified, and record by whom.")
	}
	return lang.Say("back-unstated: the policy does not state what ends it; ask the person responsible and the local " +
		"authority.")
}

// why says why the sterilizer is out of service, without a full stop.
func (o Outage) why() moistheat.Detail {
	zone := o.From.Location()
	switch o.Cause {
	case calendar.FailedTest:
		return lang.With("out-failed-test: the {1:text} failed ({2:text})", o.of.name(zone), o.of.result().why())
	case calendar.FailedCycle:
		return lang.With("out-failed-cycle: {1:text} failed; cause not recorded", o.of.name(zone))
	case calendar.PositiveTest:
		return lang.With("positive-of: positive {1:text}", o.of.tested(zone))
	case calendar.TakenOut:
		return lang.Say("out-taken: it was taken out of service")
	}
	return o.of.name(zone)
}

// String returns the line for a person.
func (o Outage) String() string {
	text := lang.Text("{machine} out of service since {from:date}")
	if !o.To.IsZero() {
		text = "{machine} out of service {from-to:period}"
	}
	s := say(o.in, text, "machine", prose.Name(o.Sterilizer), "from", o.From.Format(stamp), "to", o.To.Format(stamp))
	if o.of != nil {
		s += ": " + o.in.Detail(o.why())
	}
	if next := o.Next(); next != "" {
		s += "; " + next
	}
	return moistheat.Visible(s)
}
