package load

import (
	"cmp"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle/equipment"
	"example.com/moistheat/cycle/indicator"
	"example.com/moistheat/internal/ask"
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
	if got == "" || number == "" {
		return cmp.Or(number, log.Number), moistheat.NotRecorded
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
		q.With("reason", "a date is not recorded").Open(moistheat.Unrecorded)
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
	ran := moistheat.DateOf(cy.Started)
	if !local && (day == ran.AddDays(1) || day == ran.AddDays(-1)) {
		q.With("reason", "all times are in UTC, and that is a day apart").Open(moistheat.Unrecorded)
		return
	}
	q.With("load", day.String()).With("cycle", ran.String()).Broken()
}

// releasedUnread asks whether an implant was released before its biological indicator was read,
// other than in a documented emergency.
func (c *checker) releasedUnread() {
	r, cy, packs := c.r.Release, c.r.Cycle, c.withImplants()
	for i := range c.r.Monitors.Biologicals {
		b := &c.r.Monitors.Biologicals[i]
		q := c.Ask(implantEarly, "/monitors/biologicals/"+strconv.Itoa(i)).
			When(packs != nil && r.Decision == moistheat.Release && b.Result == Negative && c.emergency(packs) == nil)
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

// rated asks whether an indicator that reached its end point could do so in this cycle. One
// whose stated values are not recorded is judged where its type has none of its own: type 6
// stands for the one cycle that it states.
func (c *checker) rated(ind *packaging.Indicator, at string) {
	stated := ind.Temperature.IsValid() && ind.Hold.IsValid()
	typ := indicator.Type(ind.Type)
	q := c.Ask(indicatorRating, at).
		When(c.r.Cycle != nil && ind.Result == packaging.Reached && (typ == indicator.Emulating || stated && typ >= indicator.MultiVariable))
	if q.Answered() {
		return
	}
	hottest, held := c.hottest(), c.held()
	if !held.IsValid() {
		held = c.r.Cycle.Printed.HoldTime
	}
	rating := indicator.Rating{Type: typ}
	if stated {
		rating.Stated = []indicator.Stated{{Temperature: ind.Temperature, Time: ind.Hold}}
	}
	q.With("rated", ind.Temperature.String()+" and "+ind.Hold.String()).With("hottest", hottest.String()).With("held", held.String())
	switch tells, err := rating.Tells(hottest, held); {
	case !stated:
		q.Open(moistheat.Unrecorded).Detail("reason", "what it is rated for is not recorded")
	case err != nil:
		q.Open(moistheat.NotMeasurable).Detail("reason", "no indicator is rated so")
	case !hottest.IsValid() || !held.IsValid():
		q.Open(moistheat.Unrecorded).Detail("reason", "how hot and how long the cycle was is not recorded")
	case tells == moistheat.NotRecorded:
		q.Open(moistheat.BetweenLimits).Detail("reason", "the cycle ran otherwise than it is rated for")
	default:
		q.Yes(tells)
	}
}

// hottest returns the highest temperature that the physical record shows of the hold.
func (c *checker) hottest() units.Temperature {
	recorded, printed := c.analysis.Hottest.Temperature, c.r.Cycle.Printed.MaximumTemperature
	if !recorded.IsValid() || printed.IsValid() && printed.Compare(recorded) > 0 {
		return printed
	}
	return recorded
}

// ticks asks whether the leak tests that were entered as passed have a rate that is one.
func (c *checker) ticks() {
	limit := equipment.DefaultFigures().LeakRate
	for i := range c.r.Monitors.Tests {
		t := &c.r.Monitors.Tests[i]
		q := c.Ask(testContradicted, "/monitors/tests/"+strconv.Itoa(i)).
			When(t.Kind == LeakTest && t.Passed == moistheat.Yes && t.LeakRate.IsValid())
		ask.AtMost(q, t.LeakRate, limit.Value)
	}
}
