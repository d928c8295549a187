package load

import (
	"maps"
	"slices"
	"strconv"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle/equipment"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

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
		q.With("why", lang.Phrase("the result of the newest is not recorded"))
	}
	q.With("when", t.Time.Format(time.RFC3339)).Yes(t.Passed)
}

// leak asks for the leak test by the duties of the policy.
func (c *checker) leak(before time.Time) {
	q, t := c.askTest(dailyLeak, LeakTest, before, calendar.LeakEvent)
	if q.Answered() {
		return
	}
	how, over := lang.Phrase("failed"), leaks(t)
	if t.LeakRate.IsValid() {
		rate := equipment.DefaultFigures().LeakRate
		ask.Limit(q, rate).Got(t.LeakRate.Value())
		if over {
			how = lang.Sprint("leaked {1:number}, more than {2:number}", t.LeakRate.String(), rate.Value.String())
		}
	}
	if fell(t) && t.Passed != moistheat.No {
		q.With("why", lang.Phrase(
			"the rate of the newest is so far below zero that nothing was measured")).Open(moistheat.Contradictory)
	}
	if t.Passed == moistheat.NotRecorded {
		q.With("why", lang.Phrase("the result of the newest is not recorded"))
	}
	q.With("how", how).With("when", t.Time.Format("2 January 2006")).BrokenWhen(over).Yes(t.Passed)
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
		why := moistheat.Unrecorded
		if d.Cadence == calendar.ByManufacturer {
			why = moistheat.NoLimit
		}
		if q.At(c.cycleAt()).With("why", lang.Sprint("asked for: {1:text}", d.String())).Open(why); scheduled {
			q.By(d.Source)
		}
		break
	}
	if t == nil && !q.Answered() {
		q.At(c.cycleAt()).With("why", lang.Phrase(
			"there is none here, and the policy leaves open how often it is due")).Open(moistheat.NoLimit)
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
