package load

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle/equipment"
	"example.com/moistheat/cycle/indicator"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

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
		q.With("reason", lang.Phrase("a date is not recorded")).Open(moistheat.Unrecorded)
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
		q.With("reason", lang.Phrase("all times are in UTC, and that is a day apart")).Open(moistheat.Unrecorded)
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
			OpenWhen(d.tells == moistheat.NotRecorded, d.reason).Detail("reason", d.why).Broken().
			With("rated", ind.Temperature.String()+lang.Phrase(" and ")+ind.Hold.String()).
			With("hottest", c.hottest().String()).With("held", c.exposed().String())
	}
}

// doubted is an indicator of a pack whose end point may not be one of the cycle, and why
// that is not known.
type doubted struct {
	at     int
	tells  moistheat.Answer
	reason moistheat.Reason
	why    string
}

// doubt says whether the end point of an indicator can be one of this cycle.
func (c *checker) doubt(ind *packaging.Indicator) doubted {
	typ := indicator.Type(ind.Type)
	if !ind.Temperature.IsValid() || !ind.Hold.IsValid() {
		if typ != indicator.Emulating {
			return doubted{tells: moistheat.Yes}
		}
		return doubted{reason: moistheat.Unrecorded, why: lang.Phrase("what it is rated for is not recorded")}
	}
	hottest, held := c.hottest(), c.exposed()
	if !hottest.IsValid() || !held.IsValid() {
		return doubted{reason: moistheat.Unrecorded, why: lang.Phrase("how hot and how long the cycle was is not recorded")}
	}
	rating := indicator.Rating{Type: typ, Stated: []indicator.Stated{{Temperature: ind.Temperature, Time: ind.Hold}}}
	tells, err := rating.Tells(hottest, held)
	switch {
	case err != nil:
		return doubted{reason: moistheat.Contradictory, why: lang.Phrase("no indicator for steam is rated so")}
	case typ == indicator.Integrating && tells == moistheat.NotRecorded && hottest.Compare(ind.Temperature) <= 0:
		tells = moistheat.Yes // it has other stated values, too, at cooler temperatures
	}
	return doubted{tells: tells, reason: moistheat.BetweenLimits,
		why: lang.Phrase("the cycle ran otherwise than it is rated for")}
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
