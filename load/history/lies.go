package history

import (
	"cmp"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/load/calendar"
)

// lie finds the loads in which the indicators of biological tests lay that were entered as events.
// Such a test is of the kind of cycle that the record of its load says, and shows nothing to be good
// where that record failed.
func (u *unitHistory) lie() {
	var loads []*occurrence
	for _, e := range u.all {
		if e.kind == 0 {
			loads = append(loads, e)
		}
	}
	slices.SortFunc(loads, before)
	byNumber := map[string][]*occurrence{}
	for _, e := range loads {
		for _, n := range e.numbers() {
			byNumber[n] = append(byNumber[n], e)
		}
	}
	for k, e := range u.all {
		if k.kind == calendar.BiologicalTestEvent {
			own := cmp.Or(e.entered, e)
			u.all[k] = own.in(own.liesIn(loads, byNumber))
		}
	}
}

// liesIn returns the load in which the indicator of a test lay: the one that has the number of its
// cycle, on its day, or where it gives none the one during which it was run. Of several
// it is none.
func (h *occurrence) liesIn(loads []*occurrence, byNumber map[string][]*occurrence) *occurrence {
	fits := func(e *occurrence) bool {
		return e.end.After(e.start) && h.end.After(e.start) && !h.end.After(e.end)
	}
	if h.number != "" {
		loads = byNumber[h.number]
		fits = func(e *occurrence) bool {
			day := e.date
			if !e.end.IsZero() {
				day = moistheat.DateOf(e.end.In(h.end.Location()))
			}
			return !day.IsValid() || day == moistheat.DateOf(h.end)
		}
	} else if i, _ := slices.BinarySearchFunc(loads, h, func(e, h *occurrence) int {
		return cmp.Or(e.start.Compare(h.end), -1)
	}); i > mostOverlap {
		loads = loads[i-mostOverlap : i]
	} else {
		loads = loads[:i]
	}
	var out *occurrence
	for _, e := range loads {
		if (chamber{site: h.site}).may(e) && fits(e) {
			if out != nil {
				return nil
			}
			out = e
		}
	}
	return out
}

// mostOverlap is how many loads before a test are asked whether it was run during them. Cycles
// of one sterilizer follow one another.
const mostOverlap = 64

// in returns a test whose indicator lay in a load; nil: in none.
func (h *occurrence) in(load *occurrence) *occurrence {
	if load == nil {
		return h
	}
	own := *h
	own.entered, own.lies = h, load
	own.cycle.AirRemoval = cmp.Or(own.cycle.AirRemoval, load.cycle.AirRemoval)
	if !own.cycle.Temperature.IsValid() {
		own.cycle.Temperature = load.cycle.Temperature
	}
	own.physical, own.chemical = shownBy(own.physical, load.physical), shownBy(own.chemical, load.chemical)
	return &own
}

// shownBy returns what a test says of its cycle, where the record of its load does not say worse.
func shownBy(test, record moistheat.Answer) moistheat.Answer {
	if test == moistheat.NotRecorded || record == moistheat.No {
		return record
	}
	return test
}

// layIn reports whether the indicator of a test lay in a load.
func (h *occurrence) layIn(e *occurrence) bool {
	return h.lies != nil && e != nil && e.kind == 0 && h.lies.key() == e.key()
}

// saidTwice reports whether a positive test is one that the record of its load says too.
func (h *occurrence) saidTwice() bool { return h.lies != nil && h.lies.bio == bioPositive }
