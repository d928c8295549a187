package history

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/spelling"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

// berth is where the indicator of a test lay.
type berth struct {
	test  *occurrence   // as it was entered
	loads []*occurrence // several: one of them
}

// lies returns the loads in one of which the indicator of a test lay.
func (h *occurrence) lies() []*occurrence {
	if h.lay == nil {
		return nil
	}
	return h.lay.loads
}

// entered returns a test as it was entered.
func (h *occurrence) entered() *occurrence {
	if h.lay == nil {
		return h
	}
	return h.lay.test
}

// berths are what a sterilizer ran, by which the load of a test is found.
type berths struct {
	cycles          []*occurrence // loads, and tests that say when their cycle began; sorted
	byCycle, byLoad map[string][]*occurrence
}

// lie finds the loads in which the indicators of biological tests lay that were entered as events.
// Such a test is of the kind of cycle that the record of its load says, and shows nothing to be good
// where that record failed.
func (u *unitHistory) lie() {
	b := berths{byCycle: map[string][]*occurrence{}, byLoad: map[string][]*occurrence{}}
	for _, e := range u.all {
		own := e.entered()
		if own.kind == 0 || own.end.After(own.start) {
			b.cycles = append(b.cycles, own)
		}
	}
	slices.SortFunc(b.cycles, before)
	for _, e := range b.cycles {
		if e.kind != 0 {
			continue
		}
		called := map[string]bool{} // by its cycle number
		for _, n := range e.cycleNumbers() {
			if n = foldNumber(n); n != "" && !called[n] {
				b.byCycle[n], called[n] = append(b.byCycle[n], e), true
			}
		}
		for _, n := range e.numbers() {
			if n = foldNumber(n); n != "" && !called[n] {
				b.byLoad[n], called[n] = append(b.byLoad[n], e), true
			}
		}
	}
	for k, e := range u.all {
		if k.kind == calendar.BiologicalTestEvent {
			own := e.entered()
			u.all[k] = own.in(own.liesIn(b))
		}
	}
}

// foldNumber returns a number of a cycle or load without what people write now so and now so.
func foldNumber(n string) string {
	n = strings.TrimLeft(spelling.Fold(n), "#")
	if short := strings.TrimLeft(n, "0"); short != "" {
		return short
	}
	return n
}

// numbered reports whether a number is that of a test's cycle.
func (h *occurrence) numbered(n string) bool {
	return h.number != "" && foldNumber(n) == foldNumber(h.number)
}

// liesIn returns the loads in one of which the indicator of a test lay: those that have the number of
// its cycle, on its day; or that number as the load's own, if nothing else speaks against it; or those
// during which it was run. The last is asked of a test that gives a number only where it was
// positive. Where several are left, a positive test is one of all of them, another of none.
func (h *occurrence) liesIn(b berths) []*occurrence {
	grew := h.bio == bioPositive
	var out, undated []*occurrence
	number := foldNumber(h.number)
	take := func(loads []*occurrence, fits func(e *occurrence) bool) {
		for _, e := range loads {
			switch {
			case !(chamber{site: h.site}).may(e):
			case e.end.IsZero() && !e.date.IsValid():
				undated = append(undated, e)
			case fits(e):
				out = append(out, e)
			}
		}
	}
	if number != "" {
		take(b.byCycle[number], h.sameDay)
		if len(out) == 0 {
			take(b.byLoad[number], func(e *occurrence) bool {
				return h.sameDay(e) && !h.contradicts(e) && (!e.end.After(e.start) || h.during(e) || h.soonAfter(e))
			})
		}
		out = prefer(out, h.during)
		out = prefer(out, func(e *occurrence) bool { return !e.start.After(h.end) })
		out = prefer(out, func(e *occurrence) bool { return slices.Contains(e.numbers(), h.number) })
	}
	if len(out) == 0 && (number == "" || grew) {
		out = h.runIn(b.cycles, grew)
	}
	if !slices.ContainsFunc(out, func(e *occurrence) bool { return slices.ContainsFunc(e.numbers(), h.numbered) }) {
		out = append(out, undated...)
	}
	if len(out) > 1 && !grew {
		return nil
	}
	return out
}

// prefer returns those of which something is true, or all where it is true of none.
func prefer(loads []*occurrence, is func(e *occurrence) bool) []*occurrence {
	if i := slices.IndexFunc(loads, is); i < 0 {
		return loads
	}
	return slices.DeleteFunc(loads, func(e *occurrence) bool { return !is(e) })
}

// runIn returns the loads of a sterilizer's cycles during which a test was run, and for a positive
// one else the load from which it was taken shortly afterwards.
func (h *occurrence) runIn(cycles []*occurrence, grew bool) (out []*occurrence) {
	i, _ := slices.BinarySearchFunc(cycles, h, func(e, h *occurrence) int {
		return cmp.Or(e.start.Compare(h.end), -1)
	})
	var last time.Time // beginning of a cycle
	var after []*occurrence
	for _, e := range cycles[max(0, i-mostOverlap):i] {
		if !(chamber{site: h.site}).may(e) {
			continue
		}
		last = later(last, e.start)
		switch {
		case e.kind != 0 || h.number != "" && h.contradicts(e):
		case h.during(e):
			out = append(out, e)
		case grew && h.soonAfter(e) && !h.contradicts(e):
			after = append(after, e)
		}
	}
	if len(out) > 0 {
		return out
	}
	return slices.DeleteFunc(after, func(e *occurrence) bool { return !last.Before(e.end) })
}

// during reports whether a test was run during the cycle of a load.
func (h *occurrence) during(e *occurrence) bool {
	return e.end.After(e.start) && h.end.After(e.start) && !h.end.After(e.end)
}

// soonAfter reports whether a test was entered with the time at which its indicator was taken out.
func (h *occurrence) soonAfter(e *occurrence) bool {
	return e.end.After(e.start) && h.end.After(e.end) && h.end.Sub(e.end) <= takenOut
}

// sameDay reports whether a test was run on a day of a load's cycle, or shortly after it.
func (h *occurrence) sameDay(e *occurrence) bool {
	first, last, day := e.date, e.date, moistheat.DateOf(h.end)
	if !e.end.IsZero() {
		zone := h.end.Location()
		first, last = moistheat.DateOf(e.start.In(zone)), moistheat.DateOf(e.end.In(zone))
	}
	return h.soonAfter(e) || first.Compare(day) <= 0 && day.Compare(last) <= 0
}

// contradicts reports whether a test says of its cycle what a load's cannot have been.
func (h *occurrence) contradicts(e *occurrence) bool {
	return h.chamber == calendar.EmptyChamber || h.cycle.differs(e.cycle)
}

// mostOverlap is how many cycles before a test are asked whether it was run during them. Cycles
// of one sterilizer follow one another.
const mostOverlap = 64

// takenOut is how long after the end of a cycle a time may still be the one at which an indicator of
// its load was taken out. Common practice, no document's figure: long enough to open and unload.
const takenOut = 30 * time.Minute

// in returns a test whose indicator lay in one of some loads; of none: the test as it is.
func (h *occurrence) in(loads []*occurrence) *occurrence {
	if len(loads) == 0 {
		return h
	}
	own := *h
	own.lay = &berth{h, loads}
	kind := loads[0].cycle
	physical, chemical := loads[0].physical, loads[0].chemical
	for _, e := range loads[1:] {
		if e.cycle.AirRemoval != kind.AirRemoval {
			kind.AirRemoval = ""
		}
		if e.cycle.Temperature != kind.Temperature {
			kind.Temperature = units.Temperature{}
		}
		physical, chemical = bothGood(physical, e.physical), bothGood(chemical, e.chemical)
	}
	own.cycle.AirRemoval = cmp.Or(own.cycle.AirRemoval, kind.AirRemoval)
	if !own.cycle.Temperature.IsValid() {
		own.cycle.Temperature = kind.Temperature
	}
	own.physical, own.chemical = shownBy(own.physical, physical), shownBy(own.chemical, chemical)
	return &own
}

// shownBy returns what a test says of its cycle, where the record of its load does not say worse.
func shownBy(test, record moistheat.Answer) moistheat.Answer {
	if test == moistheat.NotRecorded || record == moistheat.No {
		return record
	}
	return test
}

// bothGood returns what two records show together: good only what both show to be good.
func bothGood(a, b moistheat.Answer) moistheat.Answer {
	if a == moistheat.No || b == moistheat.No {
		return moistheat.No
	}
	return min(a, b)
}

// layIn reports whether the indicator of a test lay, or may have lain, in a load.
func (h *occurrence) layIn(e *occurrence) bool {
	return e != nil && e.kind == 0 && slices.ContainsFunc(h.lies(), func(l *occurrence) bool { return l.key() == e.key() })
}

// saidTwice reports whether a positive test is one that the record of its load says too.
func (h *occurrence) saidTwice() bool {
	return len(h.lies()) > 0 && !slices.ContainsFunc(h.lies(), func(l *occurrence) bool { return l.bio != bioPositive })
}
