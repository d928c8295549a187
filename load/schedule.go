package load

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle/equipment"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

// Schedule returns the tests that the policy asks for again and again.
func (p *Policy) Schedule() []calendar.Duty {
	return slices.DeleteFunc(slices.Clone(cmp.Or(p, &noPolicy).doc.Schedule), ofUpkeep)
}

// Upkeep returns the duties of a policy that are of other machines than sterilizers, or of
// the upkeep of sterilizers: no release waits for them, but for what their lapse asks.
func (p *Policy) Upkeep() []calendar.Duty {
	return slices.DeleteFunc(slices.Clone(cmp.Or(p, &noPolicy).doc.Schedule),
		func(d calendar.Duty) bool { return !ofUpkeep(d) })
}

func ofUpkeep(d calendar.Duty) bool { return d.Device != "" || calendar.IsUpkeep(d.Test) }

// Retention returns how long the policy keeps records.
func (p *Policy) Retention() []calendar.Retention {
	return slices.Clone(cmp.Or(p, &noPolicy).doc.Retention)
}

// Positive returns the policy's procedure after a positive biological test, and
// whether it has one.
func (p *Policy) Positive() (calendar.PositiveTestPolicy, bool) {
	if p == nil || p.doc.Positive == nil {
		return calendar.PositiveTestPolicy{}, false
	}
	out := *p.doc.Positive
	out.Sources = slices.Clone(out.Sources)
	return out, true
}

// Returns says what ends a time out of service, beside the tests of [Policy.Positive].
func (p *Policy) Returns() []calendar.Return { return slices.Clone(cmp.Or(p, &noPolicy).doc.Returns) }

// ShelfLife returns the policy's limits for stored packs. None means that only
// events end the life of a pack.
func (p *Policy) ShelfLife() []calendar.ShelfLife {
	return slices.Clone(cmp.Or(p, &noPolicy).doc.ShelfLife)
}

// Climate returns what the policy asks of a sterile store, and whether it asks.
func (p *Policy) Climate() (calendar.Climate, bool) {
	if p == nil || p.doc.Climate == nil {
		return calendar.Climate{}, false
	}
	return *p.doc.Climate, true
}

// many is the largest number of tests that a policy may ask for in a row.
const many = 20

// calendar checks the members about time.
func (d *policyDoc) calendar() error {
	within := func(n, least, most int) bool { return least <= n && n <= most }
	for i, s := range d.Schedule {
		if at, problem := misfit(s); problem != "" {
			return strictjson.Invalid(fmt.Sprintf("/schedule/%d/%s", i, at), "%s", problem)
		}
	}
	for i, r := range d.Returns {
		if !within(r.Tests, 0, many) || r.Tests > 0 && r.After != calendar.FailedTest || r.After == calendar.TakenOut {
			return strictjson.Invalid(fmt.Sprintf("/returns/%d", i),
				"tests belong to a failed test, to %d, and what a person took out a person returns", many)
		}
	}
	for i, k := range d.Retention {
		given := count(k.Keep.IsValid(), k.CalendarYears != 0, k.AfterEquipment.IsValid())
		if given != 1 || !within(k.CalendarYears, 0, 200) {
			return strictjson.Invalid(fmt.Sprintf("/retention/%d", i),
				"want one of keep, calendarYears (1 to 200) and afterEquipment")
		}
	}
	if p := d.Positive; p != nil && !(p.Repeats >= 1 && within(p.AfterRepair, p.Repeats, many) &&
		within(p.AirRemovalTests, 0, many) && within(p.OutOfServiceAfter, 1, 2) && within(p.RecallAfter, 1, 2)) {
		return strictjson.Invalid("/positive", "want repeats from 1, afterRepair from repeats to %[1]d, "+
			"airRemovalTests to %[1]d, outOfServiceAfter and recallAfter of 1 or 2", many)
	}
	return nil
}

// count returns how many are true.
func count(all ...bool) (n int) {
	for _, b := range all {
		if b {
			n++
		}
	}
	return n
}

// misfit names the member of a duty that does not go with the others, and says why; the
// problem is "" where all do.
func misfit(s calendar.Duty) (member, problem string) {
	byUse := s.Cadence == calendar.ByHoursOfUse
	switch {
	case !calendar.IsTest(s.Test) && !calendar.IsUpkeep(s.Test):
		return "test", s.Test.String() + " is not a test"
	case calendar.DeviceOf(s.Test) != "" && s.Device != calendar.DeviceOf(s.Test):
		return "device", "the test is one of a " + string(calendar.DeviceOf(s.Test))
	case s.Lapse != "" && !ofUpkeep(s):
		return "lapse", "it belongs to duties of devices and of upkeep; a release waits for the tests of a sterilizer"
	case ofUpkeep(s) && (byUse || s.PerCycleKind != moistheat.NotRecorded || s.EvenIfIdle != moistheat.NotRecorded ||
		s.When != "" || s.Cadence == calendar.ByCalendarWeekWithPatients):
		return "cadence", "hours of use, kinds of cycle, patients and conditions are for the tests of sterilizers"
	case s.Cadence != calendar.ByManufacturer && (s.Cadence == calendar.ByInterval || byUse) != s.Every.IsValid():
		return "every",
			"a period belongs to the cadences interval, hours of use and manufacturer's schedule, and is needed for the first two"
	case s.Exposure.Value.IsValid() &&
		(s.Test != calendar.AirRemovalEvent || s.Exposure.Value.Float64(units.Second) <= 0):
		return "exposure", "want more than nothing, of an air removal test"
	case byUse != s.HoursOfUse.IsValid():
		return "hoursOfUse", "a time of use belongs to the cadence hours of use, and only there"
	case s.HoursOfUse.IsValid() && s.HoursOfUse.Float64(units.Second) <= 0:
		return "hoursOfUse", "want more than nothing"
	case s.Weekly() != (s.Week.Begins != ""):
		return "week", "the day on which a week begins belongs to the cadences by calendar week, and only there"
	}
	return "", ""
}

// inheritCalendar takes over what the base says about time. A built-in policy's own
// lines replace those of its base about the same thing; a facility's come on top,
// unless it records a decision.
func (d *policyDoc) inheritCalendar(b *policyDoc, builtIn bool, undecided func(pointer, what string) error) error {
	replace := builtIn || d.Decision != nil
	d.Schedule = merge(d.Schedule, b.Schedule, replace, func(x, y calendar.Duty) bool {
		return x.Test == y.Test && x.Device == y.Device
	})
	d.Returns = merge(d.Returns, b.Returns, replace, func(x, y calendar.Return) bool { return x.After == y.After })
	d.Retention = merge(d.Retention, b.Retention, replace, func(x, y calendar.Retention) bool { return x.Records == y.Records })
	d.ShelfLife = merge(d.ShelfLife, b.ShelfLife, replace, func(x, y calendar.ShelfLife) bool { return true })
	if d.Climate == nil {
		d.Climate = b.Climate
	} else if b.Climate != nil && !builtIn && widerClimate(d.Climate, b.Climate) {
		if err := undecided("/climate", "is wider than that of "+b.Name); err != nil {
			return err
		}
	}
	if d.Positive == nil {
		d.Positive = b.Positive
	} else if b.Positive != nil && !builtIn && asksLess(d.Positive, b.Positive) {
		return undecided("/positive", "asks less than "+b.Name)
	}
	return nil
}

// asksLess reports whether a procedure after a positive test asks less than another.
func asksLess(own, base *calendar.PositiveTestPolicy) bool {
	return own.Repeats < base.Repeats || own.AfterRepair < base.AfterRepair ||
		own.AirRemovalTests < base.AirRemovalTests ||
		own.OutOfServiceAfter > base.OutOfServiceAfter || own.RecallAfter > base.RecallAfter ||
		base.PerCycleKind == moistheat.Yes && own.PerCycleKind != moistheat.Yes ||
		base.Chamber != "" && own.Chamber != base.Chamber
}

// widerClimate reports whether a climate leaves more room than another.
func widerClimate(own, base *calendar.Climate) bool {
	return wider(own.Low, base.Low, -1) || wider(own.High, base.High, 1) ||
		wider(own.Dry, base.Dry, -1) || wider(own.Damp, base.Damp, 1) ||
		base.Keep.IsValid() && (!own.Keep.IsValid() || base.Keep.Compare(own.Keep) < 0)
}

// wider reports whether a limit leaves more room than that of the base: it is missing
// where the base has one, or lies away from it, downwards (-1) or upwards (1).
func wider[U units.Unit](own, base units.Quantity[U], away int) bool {
	return base.IsValid() && (!own.IsValid() || own.Compare(base) == away)
}

func merge[T any](own, base []T, replace bool, same func(x, y T) bool) []T {
	out := slices.Clone(own)
	for _, b := range base {
		if !replace || !slices.ContainsFunc(own, func(o T) bool { return same(o, b) }) {
			out = append(out, b)
		}
	}
	return out
}

// KeepUntil returns the last day on which a record of this kind must still be
// there, and the line of the policy that says so. retired is the day on which the
// sterilizer was given up, or the zero Date while it stands; a rule that keeps
// records as long as the sterilizer then gives the zero Date and true. Without a
// line for the kind the result is false: the policy leaves it open.
func (p *Policy) KeepUntil(kind calendar.RecordKind, made, retired moistheat.Date) (moistheat.Date, calendar.Retention, bool) {
	var last moistheat.Date
	var by calendar.Retention
	found, forever := false, false
	for _, k := range cmp.Or(p, &noPolicy).doc.Retention {
		if k.Records != kind && k.Records != calendar.AllRecords {
			continue
		}
		var until moistheat.Date
		switch y, _, _ := made.Date(); {
		case !made.IsValid():
		case k.CalendarYears > 0:
			until = moistheat.NewDate(y+k.CalendarYears, time.December, 31)
		case k.AfterEquipment.IsValid():
			if !retired.IsValid() {
				forever, by = true, k
			} else {
				until = k.AfterEquipment.AfterDate(retired)
			}
		default:
			until = k.Keep.AfterDate(made)
		}
		if !found || !forever && until.Compare(last) > 0 {
			by = k
		}
		if until.Compare(last) > 0 {
			last = until
		}
		found = true
	}
	if forever {
		last = moistheat.Date{}
	}
	return last, by, found
}

// The duties of a policy's schedule, asked of one load: the same lines as those of the
// calendar in package history.

// asks reports whether a duty is asked of the load: it is unless the record shows that
// its condition is not given.
func (c *checker) asks(duty *calendar.Duty) bool {
	dynamic := c.r.Cycle == nil || c.r.Cycle.Settings.AirRemoval == "" ||
		c.r.Cycle.Settings.AirRemoval == moistheat.DynamicAirRemoval
	switch duty.When {
	case "":
		return true
	case calendar.WhenDynamicHollow:
		return dynamic && (len(c.r.Packs) == 0 || slices.ContainsFunc(c.r.Packs,
			func(p Pack) bool { return p.MayBeHollow() }))
	case calendar.WhenNoAirDetector:
		return dynamic && c.r.Sterilizer.AirDetector != moistheat.Yes
	case calendar.WhenAirDetector:
		return dynamic && c.r.Sterilizer.AirDetector != moistheat.No
	}
	return dynamic
}

// began returns when the cycle started, whose day is that of the load, or where that is
// not recorded, ended, or the zero time.
func (c *checker) began() time.Time {
	if t := c.started(); !t.IsZero() || c.r.Cycle == nil {
		return t
	}
	return c.r.Cycle.Ended
}

// knownTests returns those of some known tests that count for a duty, in the kind of
// cycle of this load where the duty asks for each, at or before an instant.
func (c *checker) knownTests(tests []KnownTest, duty *calendar.Duty, before time.Time) (out []*KnownTest) {
	for i := range tests {
		if t := &tests[i]; t.Test == duty.Test && !t.Time.After(before) &&
			(duty.PerCycleKind != moistheat.Yes || c.sameKind(t)) {
			out = append(out, t)
		}
	}
	return out
}

// sameKind reports whether a test was run in a kind of cycle that is shown to be that of
// this load.
func (c *checker) sameKind(t *KnownTest) bool {
	if c.r.Cycle == nil {
		return false
	}
	set := &c.r.Cycle.Settings
	if set.AirRemoval == "" || set.AirRemoval != t.AirRemoval || !set.Temperature.IsValid() || !t.Temperature.IsValid() {
		return false
	}
	whole := func(t units.Temperature) units.Temperature { return t.Convert(units.Celsius, 1, units.TiesToEven) }
	return whole(set.Temperature).Compare(whole(t.Temperature)) == 0 // 270 °F is printed as 132.2 °C
}

// inTime says whether a test that counts is in time for a load by a duty. What the time
// between the two does not show, what is known of the sterilizer may: the last day of use,
// and how long it ran since the test.
func (c *checker) inTime(duty *calendar.Duty, test, load time.Time, ran units.Duration) moistheat.Answer {
	a := duty.Covers(test, load)
	if a != moistheat.NotRecorded || test.IsZero() || load.IsZero() || test.After(load) {
		return a
	}
	switch used := c.known.LastUse; {
	case c.known.At.Before(c.started()): // of what was run between nothing is known
	case duty.Cadence == calendar.ByHoursOfUse && ran.IsValid():
		return ask.AnswerOf(ran.Compare(duty.HoursOfUse) < 0)
	case duty.Cadence != calendar.ByDayOfUse || duty.Test != calendar.BiologicalTestEvent || !used.IsValid() ||
		used.Compare(moistheat.DateOf(load)) >= 0:
	case moistheat.DateOf(test.In(load.Location())).Compare(used) >= 0:
		return moistheat.Yes // the day of this load is not over yet
	case duty.PerCycleKind != moistheat.Yes: // the cycles of that day may all have been of another kind
		return moistheat.No
	}
	return a
}

// daily asks for the tests of the sterilizer before the load, which are for sterilizers
// with a vacuum pump.
func (c *checker) daily() {
	c.failedTests()
	c.uncorrected()
	cy := c.r.Cycle
	if cy == nil || cy.Settings.AirRemoval != "" && cy.Settings.AirRemoval != moistheat.DynamicAirRemoval {
		return
	}
	before := cy.Started
	if before.IsZero() {
		before = c.r.Unloading.Time
	}
	c.penetration(before)
	c.leak(before)
}

// failedTests asks whether the newest test of each kind passed: of those before the load that
// no other rule asks for, and of those since, which were known before the release or after it.
func (c *checker) failedTests() {
	newest := map[TestKind]int{}
	for i, t := range c.r.Monitors.Tests {
		if old, found := newest[t.Kind]; !found || later(&t, &c.r.Monitors.Tests[old]) {
			newest[t.Kind] = i
		}
	}
	asked := false
	for _, kind := range slices.Sorted(maps.Keys(newest)) {
		i := newest[kind]
		t := &c.r.Monitors.Tests[i]
		if (kind == AirRemovalTest || kind == LeakTest) && !t.Time.After(c.began()) {
			continue
		}
		asked = true
		c.Ask(testFailed, "/monitors/tests/"+strconv.Itoa(i)).With("kind", string(kind)).With("when",
			t.Time.Format(time.RFC3339)).
			BrokenWhen(kind == LeakTest && leaks(t)).Yes(t.Passed)
	}
	if !asked {
		c.Ask(testFailed, "/monitors/tests").When(false)
	}
}

// uncorrected asks what was found or done about the tests that failed, or of which no result is
// recorded, and that were run again.
func (c *checker) uncorrected() {
	asked := false
	for i := range c.r.Monitors.Tests {
		t := &c.r.Monitors.Tests[i]
		if t.Passed == moistheat.Yes && !leaks(t) || !c.repeated(t) {
			continue
		}
		asked = true
		failed := t.Passed != moistheat.NotRecorded || leaks(t)
		c.Ask(testUncorrected, "/monitors/tests/"+strconv.Itoa(i)).
			With("kind", string(t.Kind)).With("when", t.Time.Format(time.RFC3339)).
			Known(failed && says(ask.Some(c.r.Release).Corrective))
	}
	if !asked {
		c.Ask(testUncorrected, "/monitors/tests").When(false)
	}
}

// repeated reports whether a test of the same kind came after a test, in the record or as is
// known of the sterilizer.
func (c *checker) repeated(t *Test) bool {
	event := map[TestKind]calendar.EventKind{AirRemovalTest: calendar.AirRemovalEvent, LeakTest: calendar.LeakEvent,
		AutomaticControlTest: calendar.AutomaticControlTestEvent}[t.Kind]
	return slices.ContainsFunc(c.r.Monitors.Tests, func(o Test) bool { return o.Kind == t.Kind && later(&o, t) }) ||
		slices.ContainsFunc(c.known.Tests, func(k KnownTest) bool { return k.Test == event && k.Time.After(t.Time) })
}

// penetration asks for the air removal test, on each day of use where no duty of the
// policy says otherwise.
func (c *checker) penetration(before time.Time) {
	daily := calendar.Duty{Test: calendar.AirRemovalEvent, Cadence: calendar.ByDayOfUse}
	q, t := c.askTest(dailyPenetration, AirRemovalTest, before, calendar.AirRemovalEvent, daily)
	if q.Answered() {
		return
	}
	if t.Passed == moistheat.NotRecorded {
		q.Say("why", lang.Say("newest-unrecorded: the result of the newest is not recorded"))
	}
	q.With("when", t.Time.Format(time.RFC3339)).Yes(t.Passed)
}

// leak asks for the leak test by the duties of the policy.
func (c *checker) leak(before time.Time) {
	q, t := c.askTest(dailyLeak, LeakTest, before, calendar.LeakEvent)
	if q.Answered() {
		return
	}
	how, over := lang.Data(lang.Term("test: failed")), leaks(t)
	if t.LeakRate.IsValid() {
		rate := equipment.DefaultFigures().LeakRate
		ask.Limit(q, rate).Got(t.LeakRate.Value())
		if over {
			how = lang.Say("test-leaked: leaked {1:number}, more than {2:number}", t.LeakRate.String(), rate.Value.String())
		}
	}
	if fell(t) && t.Passed != moistheat.No {
		q.Say("why", lang.Say("newest-unmeasured: the rate of the newest is so far below zero that nothing was "+
			"measured")).Open(moistheat.Contradictory)
	}
	if t.Passed == moistheat.NotRecorded {
		q.Say("why", lang.Say("newest-unrecorded: the result of the newest is not recorded"))
	}
	q.Say("how", how).With("when", t.Time.Format("2 January 2006")).BrokenWhen(over).Yes(t.Passed)
}

// leaks reports whether a leak test shows more than the limit.
func leaks(t *Test) bool {
	return t.LeakRate.IsValid() && t.LeakRate.Compare(equipment.DefaultFigures().LeakRate.Value) > 0
}

// fell reports whether the pressure fell in a leak test by more than a chamber that cools
// explains.
func fell(t *Test) bool {
	return t.LeakRate.IsValid() && t.LeakRate.Compare(equipment.DefaultFigures().LeakLowest.Value) < 0
}

// askTest begins to ask a rule about the newest test of a kind before the load. It leaves
// the answer to the test where that failed, however old, and where it keeps the duties of
// the policy, or those given where the policy has none; the question is answered
// otherwise.
func (c *checker) askTest(rule ask.ID, kind TestKind, before time.Time, event calendar.EventKind,
	otherwise ...calendar.Duty) (ask.Question, *Test) {
	duties := slices.DeleteFunc(c.p.Schedule(), func(d calendar.Duty) bool { return d.Test != event })
	scheduled := len(duties) > 0
	if !scheduled {
		duties = otherwise
	}
	duties = slices.DeleteFunc(duties, func(d calendar.Duty) bool { return !c.asks(&d) })
	t, at := c.newest(kind, before)
	any := calendar.Duty{Test: event}
	for _, d := range duties {
		any.PerCycleKind = max(any.PerCycleKind, d.PerCycleKind)
	}
	for _, k := range c.knownTests(c.known.Tests, &any, before) {
		if t == nil || k.Time.After(t.Time) {
			t, at = &Test{Kind: kind, Time: k.Time, Passed: moistheat.Yes}, c.cycleAt()
		}
	}
	q := c.Ask(rule, at)
	if t != nil && (t.Passed == moistheat.No || leaks(t)) {
		return q, t
	}
	q.When(!scheduled || len(duties) > 0)
	for _, d := range duties {
		if t != nil && c.inTime(&d, t.Time, before, units.Duration{}) == moistheat.Yes {
			continue
		}
		why, what := moistheat.Unrecorded,
			lang.With("test-not-done: not recorded as done; required: {1:text}", d.Words())
		if d.Cadence == calendar.ByManufacturer {
			why, what = moistheat.NoLimit, lang.With(
				"test-by-manufacturer: only the manufacturer says how often; required: {1:text}", d.Words())
		}
		if q.At(c.cycleAt()).Say("why", what).Open(why); scheduled {
			q.By(d.Source)
		}
		break
	}
	if t == nil && !q.Answered() {
		q.At(c.cycleAt()).Say("why", lang.Say("test-none-no-cadence: there is none here, and the policy leaves open "+
			"how often it is due")).Open(moistheat.NoLimit)
	}
	return q, t
}

// later reports whether a test comes after another of its kind; of two at one instant, the
// one that is worse.
func later(t, other *Test) bool {
	if !t.Time.Equal(other.Time) {
		return t.Time.After(other.Time)
	}
	worse := func(t *Test) int {
		switch {
		case t.Passed == moistheat.No || leaks(t):
			return 2
		case t.Passed == moistheat.NotRecorded:
			return 1
		}
		return 0
	}
	return worse(t) > worse(other)
}

// newest returns the newest test of a kind at or before an instant.
func (c *checker) newest(k TestKind, before time.Time) (*Test, string) {
	var found *Test
	at := ""
	for i := range c.r.Monitors.Tests {
		t := &c.r.Monitors.Tests[i]
		if t.Kind == k && !t.Time.After(before) && (found == nil || later(t, found)) {
			found, at = t, "/monitors/tests/"+strconv.Itoa(i)
		}
	}
	return found, at
}
