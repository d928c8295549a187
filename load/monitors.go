package load

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"example.com/moistheat"
	"example.com/moistheat/cycle/equipment"
	"example.com/moistheat/cycle/indicator"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// packIndicators judges the chemical indicators of one pack. That they are there
// is judged by package packaging.
func (c *checker) packIndicators(p *Pack) {
	c.rated(p)
	for i := range p.Indicators {
		ind, at := &p.Indicators[i], "/indicators/"+strconv.Itoa(i)
		rule := indicatorExternal
		if ind.Place == packaging.Internal {
			// An indicator that can only be seen by opening the pack is read at use.
			if ind.Result == "" && ind.Visible == moistheat.No {
				continue
			}
			rule = indicatorInternal
		}
		reached(c.Ask(rule, at), ind.Result)
	}
}

// reached answers by an indicator: the rule is met where it reached its end point.
func reached(q ask.Question, r packaging.IndicatorResult) {
	q.OpenWhen(r == "", moistheat.Unrecorded).BrokenIf(r != packaging.Reached)
}

// indicators judges the load's chemical indicators together, and its wet packs.
func (c *checker) indicators() {
	read, unchanged, failed, wet := 0, 0, 0, 0
	for i := range c.r.Packs {
		p := &c.r.Packs[i]
		if p.Condition.Dry == moistheat.No {
			wet++
		}
		bad := false
		for j := range p.Indicators {
			switch ind := &p.Indicators[j]; {
			case ind.Place == packaging.External && ind.Result != "":
				read++
				if ind.Result == packaging.NotReached {
					unchanged++
				}
			case ind.Place == packaging.Internal && ind.Result == packaging.NotReached:
				bad = true
			}
		}
		if bad {
			failed++
		}
	}
	c.Ask(indicatorNoneexternal, "/packs").When(read > 0).BrokenIf(unchanged == read)
	c.Ask(indicatorManyinternal, "/packs").With("count", strconv.Itoa(failed)).BrokenIf(failed > 1)
	c.Ask(packWetload, "/packs").With("count", strconv.Itoa(wet)).BrokenIf(wet > 1)
	ch := c.r.Monitors.Challenge
	c.Ask(challengeMissing, section(ch != nil, "/monitors/challenge")).When(c.hollowCritical()).
		Known(ch != nil && ch.IndicatorType > int(indicator.Process))
	if ch != nil {
		reached(c.Ask(challengeFailed, "/monitors/challenge"), ch.Result)
	}
}

// hollowCritical reports whether the load has a critical item with a lumen, as far as is
// known.
func (c *checker) hollowCritical() bool {
	for i := range c.r.Packs {
		for _, it := range c.r.Packs[i].Items {
			one := packaging.Pack{Items: []packaging.Item{it}}
			if it.Class != packaging.Semicritical && it.Class != packaging.Noncritical && one.MayBeHollow() {
				return true
			}
		}
	}
	return false
}

func (c *checker) biologicals() {
	valid, pending := false, false
	for i := range c.r.Monitors.Biologicals {
		b, at := &c.r.Monitors.Biologicals[i], "/monitors/biologicals/"+strconv.Itoa(i)
		waiting := b.Result == Pending
		c.Ask(biologicalPositive, at).When(!waiting).OpenWhen(b.Result == "", moistheat.Unrecorded).BrokenIf(b.Result == Positive)
		c.Ask(biologicalPending, at).OpenWhen(waiting, moistheat.NotYet).Known(b.Result != "")
		counts, why := c.counts(b)
		// While it is incubated there is no result yet to be void.
		c.Ask(biologicalVoid, at).When(!waiting || counts != moistheat.NotRecorded).Say("why", why).Yes(counts)
		c.incubator(b, at)
		c.early(b, at)
		c.Ask(biologicalBare, at).When(c.wrapped).Yes(b.Enclosed)
		c.Ask(biologicalPartload, at).Yes(b.FullLoad)
		valid = valid || counts == moistheat.Yes && b.Result == Negative
		pending = pending || waiting && counts != moistheat.No
	}
	c.disputed()
	c.overdue(valid, pending)
}

// Counts says whether a biological test of a load of that day counts as a test, and if not or if that is
// unknown, why. Of a nil test nothing is recorded.
func (b *Biological) Counts(day moistheat.Date) (moistheat.Answer, moistheat.Detail) {
	return cmp.Or(b, &Biological{}).counts(day, moistheat.NotRecorded)
}

// counts is [Biological.Counts] where the controls of its lot and day that others carry are known: whether one
// that serves it grew, or one did not.
func (b *Biological) counts(day moistheat.Date, grew moistheat.Answer) (moistheat.Answer, moistheat.Detail) {
	var void, open []moistheat.Detail
	bad := func(why moistheat.Detail) { void = append(void, why) }
	ask := func(why moistheat.Detail) { open = append(open, why) }
	read := b.Result == Negative || b.Result == Positive
	switch ctl := b.Control; {
	case grew == moistheat.No:
		bad(lang.Say("control-of-lot-negative: a control of its lot and day is negative"))
	case ctl == nil && grew == moistheat.Yes:
	case ctl == nil:
		bad(lang.Say("no-control: no control was incubated"))
	default:
		switch {
		case ctl.Result == Negative:
			bad(lang.Say("control-negative: its control is negative"))
		case ctl.Result != Positive:
			ask(lang.Say("control-unread: the control's result is not recorded"))
		}
		switch {
		case b.Lot == "" || ctl.Lot == "":
			ask(lang.Say("lots-unrecorded: the lot of the indicator or of its control is not recorded"))
		case oneLot(b.Lot, ctl.Lot):
			ask(lang.Say("lots-alike: the lots {1} and {2} differ in letter case or spaces only, and whether they "+
				"are one is not recorded", ctl.Lot, b.Lot))
		case b.Lot != ctl.Lot:
			bad(lang.Say("lots-differ: the control is of lot {1}, the indicator of lot {2}", ctl.Lot, b.Lot))
		}
	}
	switch {
	case !b.Expires.IsValid() || !day.IsValid():
		ask(lang.Say("expiry-unrecorded: the indicator's expiry or the load's date is not recorded"))
	case day.Compare(b.Expires) > 0:
		bad(lang.Say("indicator-expired: the indicator expired on {1:date}", b.Expires.String()))
	}
	switch low, high := b.growsAt(); {
	case !b.Temperature.IsValid():
		ask(lang.Say("incubator-unrecorded: the incubator's temperature is not recorded"))
	case b.Temperature.Compare(low) < 0 || b.Temperature.Compare(high) > 0:
		bad(lang.Say("incubated-outside: it was incubated at {1:number}, and its spores are to be kept at "+
			"{2:number} to {3:number}",
			b.Temperature.String(), low.String(), high.String()))
	case !grows(b.Temperature):
		ask(lang.Say("incubated-unpublished: it was incubated at {1:number}, outside all published ranges; stated: "+
			"{2:number} to {3:number}",
			b.Temperature.String(), low.String(), high.String()))
	}
	switch b.Suited {
	case moistheat.NotRecorded:
		ask(lang.Say("suited-unrecorded: whether it is made for this process, and was read as its manufacturer " +
			"says, is not recorded"))
	case moistheat.No:
		bad(lang.Say("not-suited: it is not made for this process or was not read as its manufacturer says"))
	}
	if read {
		switch {
		case !b.Incubated.IsValid() || !b.Readout.IsValid():
			ask(lang.Say("incubation-unrecorded: the incubation or the manufacturer's reading time is not recorded"))
		case b.Result == Negative && b.Readout.Rat().Sign() == 0:
			bad(lang.Say("no-reading-time: a reading time of {1:number} is none", b.Readout.String()))
		case b.Result == Negative && b.Incubated.Compare(b.Readout) < 0:
			bad(lang.Say("read-early: it was read after {1:number} and not after {2:number}", prose.Measured(b.Incubated.Value(),
				b.Readout.Value()), b.Readout.String()))
		}
	}
	switch {
	case len(void) > 0:
		return moistheat.No, lang.Join("; ", void...)
	case b.Result == Pending:
		return moistheat.NotRecorded, lang.Say("still-incubating: it is still incubating")
	case !read:
		return moistheat.NotRecorded, lang.Say("result-unrecorded: its result is not recorded")
	case len(open) > 0:
		return moistheat.NotRecorded, lang.Join("; ", open...)
	}
	return moistheat.Yes, moistheat.Detail{}
}

// oneLot reports whether two lots that are written differently may be one: they differ in the
// case of letters or in spaces. Whether they are one is not said.
func oneLot(a, b string) bool {
	if a == b {
		return false
	}
	for {
		a, b = strings.TrimLeftFunc(a, unicode.IsSpace), strings.TrimLeftFunc(b, unicode.IsSpace)
		if a == "" || b == "" {
			return a == b
		}
		_, n := utf8.DecodeRuneInString(a)
		_, m := utf8.DecodeRuneInString(b)
		if !strings.EqualFold(a[:n], b[:m]) {
			return false
		}
		a, b = a[n:], b[m:]
	}
}

// counts says whether a biological test of the load counts, with the controls that are
// known and those of the tests beside it.
func (c *checker) counts(b *Biological) (moistheat.Answer, moistheat.Detail) {
	grew, day, nameless, doubt := moistheat.NotRecorded, c.r.Load.Date, false, ""
	for _, k := range c.controls() {
		switch {
		case k.of == b: // it is judged with the test itself
		case k.Result == Negative && k.Lot == "":
			nameless = true
		case k.Result == Negative && b.Lot != "" && oneLot(k.Lot, b.Lot):
			doubt = k.Lot
		case b.Lot == "" || k.Lot != b.Lot:
		case k.Result == Negative: // the lot or the incubator is dead, whatever grew beside it
			return b.counts(day, moistheat.No)
		case k.Result == Positive && b.Temperature.IsValid() && k.Temperature.IsValid() &&
			b.Temperature.Compare(k.Temperature) == 0:
			grew = moistheat.Yes
		}
	}
	counts, why := b.counts(day, grew)
	if nameless && counts == moistheat.Yes {
		return moistheat.NotRecorded, lang.Say("control-of-no-lot: a control of the day is negative, and its lot is not recorded")
	}
	if doubt != "" && counts == moistheat.Yes {
		return moistheat.NotRecorded, lang.Say(
			"control-lot-alike: a control of lot {1} is negative, and whether that is lot {2} is not recorded",
			doubt, b.Lot)
	}
	return counts, why
}

// besideControl is a control and the test of the load that it belongs to, or nil.
type besideControl struct {
	KnownControl
	of *Biological
}

// controls returns the controls of the day that are known and those of the load's tests. One that
// grew speaks for its own lot where its test is of that, too; one
// that did not grow speaks against each lot that is recorded of the two.
func (c *checker) controls() []besideControl {
	if c.dayControls != nil {
		return c.dayControls
	}
	day, out := c.r.Load.Date, []besideControl{}
	for _, k := range c.known.Controls {
		if k.Date == day {
			out = append(out, besideControl{k, nil})
		}
	}
	for i := range c.r.Monitors.Biologicals {
		o := &c.r.Monitors.Biologicals[i]
		if o.Control == nil {
			continue
		}
		k := KnownControl{o.Control.Lot, day, o.Temperature, o.Control.Result}
		if k.Result == Negative && k.Lot != o.Lot && o.Lot != "" {
			if out = append(out, besideControl{KnownControl{o.Lot, day, o.Temperature, k.Result}, o}); k.Lot == "" {
				continue
			}
		}
		if k.Result == Negative || k.Lot == o.Lot {
			out = append(out, besideControl{k, o})
		}
	}
	c.dayControls = out
	return out
}

// disputed asks whether the controls of one lot agree.
func (c *checker) disputed() {
	all := c.controls()
	grew := func(k besideControl) bool { return k.Result == Positive }
	dead := func(k besideControl) bool { return k.Result == Negative }
	q := c.Ask(biologicalDisputed, "/monitors/biologicals").When(len(c.r.Monitors.Biologicals) > 0 && len(all) > 1)
	both, open := slices.ContainsFunc(all, grew), false
	for _, k := range all {
		if !dead(k) {
			continue
		}
		if k.Lot != "" && slices.ContainsFunc(all, func(o besideControl) bool { return grew(o) && o.Lot == k.Lot }) {
			q.With("lot", k.Lot).Broken()
			return
		}
		open = open || k.Lot == "" && both ||
			slices.ContainsFunc(all, func(o besideControl) bool { return grew(o) && oneLot(o.Lot, k.Lot) })
	}
	q.OpenWhen(open, moistheat.Unrecorded).Met()
}

// growsAt returns the temperatures at which the indicator's own instructions let it grow,
// and in place of those that are not recorded the widest that any indicator states.
func (b *Biological) growsAt() (low, high units.Temperature) {
	low, high = b.MinTemperature, b.MaxTemperature
	if !low.IsValid() {
		low = figures().IncubatorLowest.Value
	}
	if !high.IsValid() {
		high = figures().IncubatorHighest.Value
	}
	return low, high
}

// grows reports whether a temperature is one at which the instructions of any indicator for
// steam let it grow. A stated range is not believed beyond that.
func grows(t units.Temperature) bool {
	return t.Compare(figures().IncubatorLowest.Value) >= 0 && t.Compare(figures().IncubatorHighest.Value) <= 0
}

// incubator compares the temperature of the incubator with the general range, where the
// indicator's own is not recorded or not believed.
func (c *checker) incubator(b *Biological, at string) {
	low, high := figures().IncubatorLow, figures().IncubatorHigh
	own := b.MinTemperature.IsValid() && b.MaxTemperature.IsValid() && grows(b.Temperature)
	q := c.Ask(biologicalIncubator, at).When(b.Temperature.IsValid() && !own)
	if b.Temperature.Compare(low.Value) < 0 {
		q = ask.Limit(q, low)
	} else {
		q = ask.Limit(q, high)
	}
	q.Got(b.Temperature.Value()).BrokenIf(b.Temperature.Compare(low.Value) < 0 || b.Temperature.Compare(high.Value) > 0)
}

func (c *checker) early(b *Biological, at string) {
	timed := b.Incubated.IsValid() && b.Readout.IsValid()
	q := c.Ask(biologicalEarly, at).When(b.Result == Negative)
	if timed {
		ask.AtLeast(q, b.Incubated, b.Readout)
	}
	q.Open(moistheat.Unrecorded)
}

// overdue asks whether the last valid biological test is in time for this load by every
// duty of the policy; the worst answer counts. A valid negative test in this load is in
// time, and so is one that still runs in it, which is judged as pending; one that runs
// elsewhere is no result yet.
func (c *checker) overdue(valid, pending bool) {
	var worst *standing
	for i := range c.p.doc.Schedule {
		duty := &c.p.doc.Schedule[i]
		if duty.Test != calendar.BiologicalTestEvent || !c.asks(duty) {
			continue
		}
		if s := c.biologicalBy(duty, valid, pending); worst == nil || s.outcome > worst.outcome {
			worst = s
		}
	}
	if worst == nil {
		return
	}
	q := c.Ask(biologicalOverdue, worst.at).By(worst.duty.Source).Say("duty", worst.duty.Words()).Got(worst.age.Value())
	if worst.outcome == moistheat.Undetermined {
		q.Say("why", worst.why).Open(worst.reason)
		return
	}
	q.Is(worst.outcome)
}

// standing is where a duty stands when a load is run.
type standing struct {
	duty    *calendar.Duty
	outcome moistheat.Outcome
	reason  moistheat.Reason
	why     moistheat.Detail
	at      string
	age     units.Duration // of the test, in days of the calendar
}

// biologicalBy says where a duty of biological tests stands when this load begins.
func (c *checker) biologicalBy(duty *calendar.Duty, valid, pending bool) *standing {
	s := &standing{duty: duty, outcome: moistheat.Met, at: "/monitors/biologicals"}
	if valid || pending { // it is judged by whether it is read
		return s
	}
	now, last := c.began(), c.r.Monitors.LastValidBiological
	s.at = section(!last.IsZero(), "/monitors/lastValidBiological")
	if last.After(now) {
		last = time.Time{}
	}
	stands := c.inTime(duty, last, now, units.Duration{})
	for _, t := range c.knownTests(c.known.Tests, duty, now) {
		// One that is shown to be in time is enough; else the newest says what is missing.
		a := c.inTime(duty, t.Time, now, t.Ran)
		if a == moistheat.Yes || stands != moistheat.Yes && t.Time.After(last) {
			stands = a
		}
		if t.Time.After(last) {
			last, s.at = t.Time, ""
		}
	}
	if !last.IsZero() {
		days := int64(moistheat.DateOf(now).Time().Sub(moistheat.DateOf(last.In(now.Location())).Time()) / (24 * time.Hour))
		s.age = units.New(days, 0, units.Day)
	}
	switch stands {
	case moistheat.Yes:
		return s
	case moistheat.No:
		s.outcome = moistheat.Broken
	default:
		s.outcome, s.reason, s.why = moistheat.Undetermined, moistheat.Unrecorded,
			lang.Say("run-since-unrecorded: what was run since the last valid one is not recorded")
		switch {
		case last.IsZero():
			s.why = lang.Say("last-valid-unrecorded: the last valid one is not recorded")
			for _, t := range c.knownTests(c.known.Doubtful, duty, now) {
				if t.Why.IsValid() {
					s.why = lang.With("newest-doubtful: the one of {1:date} is not shown to be valid: {2:text}",
						lang.Data(t.Time.Format(time.RFC3339)), t.Why)
				}
			}
		case now.IsZero():
			s.why = lang.Say("load-time-unrecorded: the time of the load is not recorded")
		}
		if c.known.nothing() {
			s.why = lang.Join("; ", s.why, lang.Say("history-may-show: the history of the sterilizer may show it"))
		}
		if duty.Cadence == calendar.ByManufacturer {
			s.reason = moistheat.NoLimit
			s.why = lang.Say("schedule-elsewhere: the schedule is in the sterilizer's instructions")
		}
	}
	if len(c.knownTests(c.known.Pending, duty, now)) > 0 {
		s.outcome, s.reason = moistheat.Undetermined, moistheat.NotYet
		s.why = lang.Say("due-incubating: the one that is due is still incubating")
	}
	return s
}

// implants asks for the biological test that every implant waits for, and what it came
// to.
func (c *checker) implants() {
	packs, tests := c.withImplants(), c.r.Monitors.Biologicals
	for _, i := range packs {
		c.Ask(implantUntested, packAt(i)).Known(len(tests) > 0) // one that ran may not be entered
	}
	if packs == nil {
		c.Ask(implantUntested, "/packs").When(false)
	}
	c.integrating(packs != nil)
	e := ask.Some(c.r.Release).Emergency
	c.Ask(emergencyUnstated, section(e != nil, "/release/emergency")).When(e != nil && packs != nil).
		Known(e != nil && e.stated())
	if packs == nil || len(tests) == 0 {
		return
	}
	const at = "/monitors/biologicals"
	grew, read, waits, counts, why := false, false, false, moistheat.No, moistheat.Unrecorded
	for i := range tests {
		switch tests[i].Result {
		case Positive:
			grew = true
		case Pending: // whichever test it is, the implant waits for it
			waits, why = true, moistheat.NotYet
		case Negative:
			read = true
			// One test that counts is enough; one that may count is better than none.
			if ok, _ := c.counts(&tests[i]); ok == moistheat.Yes || ok == moistheat.NotRecorded && counts == moistheat.No {
				counts = ok
			}
		}
	}
	q := c.Ask(implantPending, at).OpenWhen(!grew && (waits || !read), why).BrokenIf(grew)
	if !grew && (waits || !read) {
		if w := c.emergency(packs); w != nil {
			c.excuse(q, w)
		}
	}
	c.Ask(implantVoid, at).When(read).Yes(counts)
}

// integrating asks for a biological indicator and one of type 5 together in the challenge
// device of a load with an implant.
func (c *checker) integrating(implant bool) {
	ch, enclosed := c.r.Monitors.Challenge, moistheat.No
	typ := ask.Some(ch).IndicatorType
	for i := range c.r.Monitors.Biologicals {
		if a := c.r.Monitors.Biologicals[i].Enclosed; a == moistheat.Yes || enclosed == moistheat.No {
			enclosed = a
		}
	}
	at := under(section(ch != nil, "/monitors/challenge"), "/indicatorType", typ != 0)
	q := c.Ask(implantUnintegrated, at).When(implant)
	switch {
	case typ > 0 && typ < 5:
		q.Broken().Explain("why", lang.Say("indicator-of-type: its indicator is of type {1}", strconv.Itoa(typ)))
	case len(c.r.Monitors.Biologicals) > 0 && enclosed == moistheat.No:
		q.At("/monitors/biologicals").Broken().Explain("why", lang.Say("biological-bare: the biological indicator "+
			"lay bare"))
	case typ == 6:
		q.Open(moistheat.NoLimit).Explain("why", lang.Say("indicator-of-type-6: its indicator is of type 6, and the "+
			"text names type 5"))
	case typ == 0:
		q.Open(moistheat.Unrecorded).Explain("why", lang.Say("device-type-unrecorded: the type of its indicator is "+
			"not recorded"))
	case enclosed != moistheat.Yes:
		q.At("/monitors/biologicals").Open(moistheat.Unrecorded).
			Explain("why", lang.Say("biological-place-unrecorded: where the biological indicator lay is not recorded"))
	}
	q.Met()
}

// excuse waives the waiting of an implant. It cites the document of the policy that
// provides for that, or says that there is none.
func (c *checker) excuse(q ask.Question, w *moistheat.Waiver) {
	routes := figures().Emergency
	if i := slices.IndexFunc(routes, c.p.follows); i >= 0 {
		q.By(routes[i])
	} else {
		w.Reason += " (no document of the policy provides for that)"
	}
	q.Waive(w)
}

// says reports whether a text says anything: a dash or a single letter in a field is no answer.
func says(s string) bool {
	n := 0
	for _, r := range s {
		if unicode.IsLetter(r) {
			n++
		}
	}
	return n > 1
}

// stated reports whether it is recorded what the emergency was and who approved the release.
func (e *Emergency) stated() bool { return says(e.Reason) && strings.TrimSpace(e.ApprovedBy) != "" }

// emergency returns the documented early release of an implant, if there is one:
// reason and name recorded, and an integrating indicator (type 5) or a stricter one
// at its end point in the challenge device or in every pack with an implant.
func (c *checker) emergency(packs []int) *moistheat.Waiver {
	if c.r.Release == nil || c.r.Release.Emergency == nil {
		return nil
	}
	e := c.r.Release.Emergency
	if !e.stated() {
		return nil
	}
	ch := c.r.Monitors.Challenge
	passed := ch != nil && ch.IndicatorType >= 5 && ch.Result == packaging.Reached
	if !passed {
		passed = true
		for _, i := range packs {
			in := false
			for j := range c.r.Packs[i].Indicators {
				ind := &c.r.Packs[i].Indicators[j]
				in = in || ind.Place == packaging.Internal && ind.Type >= 5 && ind.Result == packaging.Reached
			}
			passed = passed && in
		}
	}
	if !passed {
		return nil
	}
	return &moistheat.Waiver{
		Rule: book.Name(implantPending), Author: e.ApprovedBy,
		Reason: "documented emergency, the biological result must still be entered: " + e.Reason,
	}
}

// sameNumber reports whether two numbers of loads or cycles are one: "00012" and "12" are, and
// so are "S1-007" and "S1-7". A number that is not recorded is not the same as any.
func sameNumber(a, b string) bool {
	x, m := series(a)
	y, n := series(b)
	return a != "" && b != "" && x == y && m == n
}

// series splits a number into what stands before its count, and the count without the zeros
// that counters print before it.
func series(s string) (before, count string) {
	s = strings.TrimSpace(s)
	before = strings.TrimRight(s, "0123456789")
	if count = strings.TrimLeft(s[len(before):], "0"); count == "" && before != s {
		count = "0"
	}
	return before, count
}

// counted returns the number of the load's cycle as log and labels have it, and whether it
// is that of the physical record. A load and a cycle are counted each on its own; where
// the log has one number, it may be either, and the labels can say which.
func (c *checker) counted() (number string, ours moistheat.Answer) {
	got, log := c.r.Cycle.Number, c.r.Load
	switch {
	case got == "":
		return cmp.Or(log.Cycle, log.Number), moistheat.NotRecorded
	case log.Cycle != "":
		number = log.Cycle
	case sameNumber(got, log.Number):
		number = log.Number
	default:
		for i := range c.r.Packs {
			if l := c.r.Packs[i].Label; l != nil && l.Cycle != "" && (number == "" || sameNumber(got, l.Cycle)) {
				number = l.Cycle
			}
		}
	}
	if number == "" {
		return log.Number, moistheat.NotRecorded
	}
	return number, ask.AnswerOf(sameNumber(got, number))
}

// day asks whether the load has the date of its cycle: the day on which that began, or
// ended where it ran over midnight, in the local time of any stamp of the record. A
// machine may keep UTC; where all stamps do, the local day is not known.
func (c *checker) day(cy *Cycle) {
	day := c.r.Load.Date
	q := c.Ask(dateApart, under("/cycle", "/started", !cy.Started.IsZero()))
	if !day.IsValid() || cy.Started.IsZero() {
		q.Say("reason", lang.Say("date-unrecorded: a date is not recorded")).Open(moistheat.Unrecorded)
		return
	}
	ran := moistheat.DateOf(cy.Started)
	if cy.Ended.Sub(cy.Started) > 24*time.Hour { // no cycle takes a day: start and end are of two
		q.With("load", day.String()).With("cycle", ran.String()).Broken()
		return
	}
	stamps := []time.Time{cy.Started, cy.Ended, c.r.Unloading.Time}
	if c.r.Release != nil {
		stamps = append(stamps, c.r.Release.Time)
	}
	local := false
	for _, s := range stamps {
		if s.IsZero() {
			continue
		}
		_, offset := s.Zone()
		local = local || offset != 0
		for _, t := range stamps[:2] {
			if !t.IsZero() && moistheat.DateOf(t.In(s.Location())) == day {
				q.Met()
				return
			}
		}
	}
	if !local && (day == ran.AddDays(1) || day == ran.AddDays(-1)) {
		q.Say("reason", lang.Say("times-in-utc: all times are in UTC, and that is a day apart")).
			Open(moistheat.Unrecorded)
		return
	}
	q.With("load", day.String()).With("cycle", ran.String()).Broken()
}

// releasedUnread asks whether an implant was released before its biological indicator was read,
// other than in a documented emergency.
func (c *checker) releasedUnread() {
	r, cy, packs := c.r.Release, c.r.Cycle, c.withImplants()
	anyRead := slices.ContainsFunc(c.r.Monitors.Biologicals, func(b Biological) bool { return b.Result == Negative })
	for i := range c.r.Monitors.Biologicals {
		b := &c.r.Monitors.Biologicals[i]
		q := c.Ask(implantEarly, "/monitors/biologicals/"+strconv.Itoa(i)).
			When(packs != nil && r.Decision == moistheat.Release && (b.Result == Negative || b.Result != Positive && !anyRead) &&
				c.emergency(packs) == nil).
			BrokenWhen(b.Result != Negative)
		read := b.Incubated
		if !read.IsValid() {
			read = b.Readout
		}
		if r.Time.IsZero() || cy == nil || cy.Ended.IsZero() || !read.IsValid() {
			q.Open(moistheat.Unrecorded)
			continue
		}
		ask.AtLeast(q, units.New(int64(r.Time.Sub(cy.Ended)/time.Second), 0, units.Second), read)
	}
}

// withImplants returns the packs that hold an implant.
func (c *checker) withImplants() (packs []int) {
	for i := range c.r.Packs {
		if c.r.Packs[i].Has(packaging.Implant) == moistheat.Yes {
			packs = append(packs, i)
		}
	}
	return packs
}

// rated asks whether a pack has an indicator inside whose end point can be one of this
// cycle: one that cannot counts as missing. Without stated values on record, type 6 may be
// made for another cycle; type 5 is made for all with steam.
func (c *checker) rated(p *Pack) {
	if c.r.Cycle == nil {
		return
	}
	var doubts []doubted
	for i := range p.Indicators {
		ind := &p.Indicators[i]
		within := ind.Place == packaging.Internal || !p.Packed()
		if ind.Result != packaging.Reached || ind.Type < int(indicator.MultiVariable) || !within {
			continue
		}
		d := c.doubt(ind)
		if d.tells == moistheat.Yes {
			c.Ask(indicatorRating, "/indicators/"+strconv.Itoa(i)).Met()
			return
		}
		d.at = i
		doubts = append(doubts, d)
	}
	if doubts == nil {
		c.Ask(indicatorRating, "").When(false)
	}
	for _, d := range doubts {
		ind := &p.Indicators[d.at]
		c.Ask(indicatorRating, "/indicators/"+strconv.Itoa(d.at)).
			OpenWhen(d.tells == moistheat.NotRecorded, d.reason).Explain("reason", d.why).Broken().
			Say("rated", lang.Say("both-of: {1:text} and {2:text}", ind.Temperature.String(), ind.Hold.String())).
			With("hottest", c.hottest().String()).With("held", c.exposed().String())
	}
}

// doubted is an indicator of a pack whose end point may not be one of the cycle, and why
// that is not known.
type doubted struct {
	at     int
	tells  moistheat.Answer
	reason moistheat.Reason
	why    moistheat.Detail
}

// doubt says whether the end point of an indicator can be one of this cycle.
func (c *checker) doubt(ind *packaging.Indicator) doubted {
	typ := indicator.Type(ind.Type)
	if !ind.Temperature.IsValid() || !ind.Hold.IsValid() {
		if typ != indicator.Emulating {
			return doubted{tells: moistheat.Yes}
		}
		return doubted{reason: moistheat.Unrecorded, why: lang.Say("rating-unrecorded: what it is rated for is not " +
			"recorded")}
	}
	hottest, held := c.hottest(), c.exposed()
	if !hottest.IsValid() || !held.IsValid() {
		return doubted{reason: moistheat.Unrecorded, why: lang.Say("rating-run-unrecorded: how hot and how long the " +
			"cycle was is not recorded")}
	}
	rating := indicator.Rating{Type: typ, Stated: []indicator.Stated{{Temperature: ind.Temperature, Time: ind.Hold}}}
	tells, err := rating.Tells(hottest, held)
	switch {
	case err != nil:
		return doubted{reason: moistheat.Contradictory, why: lang.Say("rating-impossible: no indicator for steam is " +
			"rated so")}
	case typ == indicator.Integrating && tells == moistheat.NotRecorded && hottest.Compare(ind.Temperature) <= 0:
		tells = moistheat.Yes // it has other stated values, too, at cooler temperatures
	}
	return doubted{tells: tells, reason: moistheat.BetweenLimits,
		why: lang.Say("rating-of-another: the cycle ran otherwise than it is rated for")}
}

// exposed returns the hold that the physical record shows, as printed where the recording
// shows none.
func (c *checker) exposed() units.Duration {
	if held := c.held(); held.IsValid() {
		return held
	}
	return c.r.Cycle.Printed.HoldTime
}

// hottest returns the highest temperature that the physical record shows of the hold.
func (c *checker) hottest() units.Temperature {
	recorded, printed := c.analysis.Hottest.Temperature, c.r.Cycle.Printed.MaximumTemperature
	if !recorded.IsValid() || printed.IsValid() && printed.Compare(recorded) > 0 {
		return printed
	}
	return recorded
}

// ticks asks whether the leak tests that were entered as passed have a rate that is one, and
// whether that of the newest before the load can be meant.
func (c *checker) ticks() {
	limit := equipment.DefaultFigures().LeakRate
	for i := range c.r.Monitors.Tests {
		t := &c.r.Monitors.Tests[i]
		q := c.Ask(testContradicted, "/monitors/tests/"+strconv.Itoa(i)).
			When(t.Kind == LeakTest && t.Passed == moistheat.Yes && t.LeakRate.IsValid())
		ask.AtMost(q, t.LeakRate, limit.Value)
	}
	t, at := c.newest(LeakTest, c.began())
	q := c.Ask(testImplausible, at).When(t != nil && t.LeakRate.IsValid())
	if !q.Answered() {
		q.With("when", t.Time.Format(time.RFC3339)).Got(t.LeakRate.Value()).BrokenIf(fell(t))
	}
}
