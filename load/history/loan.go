package history

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
)

// openLoans returns the packs of loan sets that a load had before an instant and of which nothing
// says that they went back, were thrown away or were packed again, by ID.
func (h *History) openLoans(at time.Time) []string {
	x, open := h.chainIndex(), map[string]bool{}
	for id, packs := range x.listed {
		lent := slices.ContainsFunc(packs, func(p packOf) bool { return p.has(markedLoan) && !p.e.start.After(at) })
		again := slices.ContainsFunc(x.followers[id], func(p packOf) bool { return p.id != id })
		gone := slices.ContainsFunc(x.stored[id], func(s *shelvedPack) bool {
			return slices.ContainsFunc(s.left, func(v storedVersion) bool { return v.Fate != "" })
		})
		if lent && !again && !gone {
			open[id] = true
		}
	}
	return slices.Sorted(maps.Keys(open))
}

// lent returns what is to be sent back.
func (h *History) lent(at time.Time) []Task {
	const most = 10
	var names []string
	open := h.openLoans(at)
	for _, id := range open[:min(most, len(open))] {
		names = append(names, prose.Name(id))
	}
	if names == nil {
		return nil
	}
	what := lang.Data(strings.Join(names, ", "))
	if n := len(open) - most; n > 0 {
		what = lang.Join(", ", what, lang.Say("more-others: {1:number} others", strconv.Itoa(n)))
	}
	return []Task{{Part: Today, State: DueNow,
		what:    lang.With("loan-send-back: send back the loan sets that are not in use: {1:text}", what),
		why:     lang.Say("loan-why: each is counted out and decontaminated before it goes back, with the proof of it"),
		Hazards: []moistheat.Hazard{moistheat.SharpHazard, moistheat.BiologicalHazard},
		Source:  practice("loan sets on their return")}}
}
