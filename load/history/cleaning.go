package history

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"example.com/moistheat/internal/guard"
	"example.com/moistheat/load"
	"example.com/moistheat/load/cleaning"
)

// AddCleaning takes in a batch of cleaning, for the checks of whatever names it. Of several of
// one ID each counts. An [Amendment] takes back the whole line, where another one of its ID
// stands in its place. One without an ID is not taken in.
func (h *History) AddCleaning(b *cleaning.Batch) {
	if h == nil || b == nil || b.ID == "" {
		return
	}
	own := *b
	own.Format = cleaning.Format
	h.putBatch(digestOf(own, func() string { return fmt.Sprintf("%+v", own) }), &own)
}

func (h *History) putBatch(line digest, b *cleaning.Batch) {
	if h.batches == nil {
		h.batches = map[string]map[digest]*cleaning.Batch{}
	}
	if h.batches[b.ID] == nil {
		h.batches[b.ID] = map[digest]*cleaning.Batch{}
	}
	h.batches[b.ID][line] = b
}

// everyBatch yields the batches by ID and digest, those that were taken back too.
func (h *History) everyBatch(yield func(digest, *cleaning.Batch) bool) {
	if h == nil {
		return
	}
	for _, id := range slices.Sorted(maps.Keys(h.batches)) {
		for _, line := range sortedLines(h.batches[id]) {
			if !yield(line, h.batches[id][line]) {
				return
			}
		}
	}
}

func sortedLines(all map[digest]*cleaning.Batch) []digest {
	return slices.SortedFunc(maps.Keys(all), func(a, b digest) int { return slices.Compare(a[:], b[:]) })
}

// batchFates says of the batches of one ID what becomes of what amendments take back.
func (h *History) batchFates(id string) (out []taking) {
	if h.amended.none() {
		return nil
	}
	all := h.batches[id]
	whole := func(d digest) bool {
		return slices.Contains(h.amended.all[d].Takes, "")
	}
	stands := func(line digest) bool { return !slices.ContainsFunc(h.amended.of[line], whole) }
	other := slices.ContainsFunc(sortedLines(all), stands)
	for _, line := range sortedLines(all) {
		for _, d := range h.amended.of[line] {
			t := taking{by: d, line: said{line: line}}
			switch signed := h.amended.all[d].Time; {
			case slices.ContainsFunc(h.amended.all[d].Takes, func(p string) bool { return p != "" }):
				t.fate = foreign
			case signed.Before(all[line].Started) || signed.Before(all[line].Ended):
				t.fate = early
			case !other:
				t.fate = unanswered
			}
			out = append(out, t)
		}
	}
	return out
}

// batchesOf returns the batches of an ID that count. One that was taken back counts still where
// nothing stands in its place.
func (h *History) batchesOf(id string) (out []*cleaning.Batch) {
	gone := map[digest]bool{}
	for _, t := range h.batchFates(id) {
		gone[t.line.line] = gone[t.line.line] || t.fate == answered
	}
	for _, line := range sortedLines(h.batches[id]) {
		if !gone[line] {
			out = append(out, h.batches[id][line])
		}
	}
	return out
}

// knownBatches returns the batches that items of a load name.
func (h *History) knownBatches(own *occurrence) (out []load.KnownBatch) {
	if len(h.batches) == 0 {
		return nil
	}
	seen, items := map[string]bool{}, map[string][]*occurrence{}
	for i := range own.packs {
		for _, m := range own.packs[i].marks {
			switch {
			case m.what == markedItem:
				items[m.id] = nil
			case m.what == markedWash && !seen[m.id]:
				seen[m.id] = true
				for _, b := range h.batchesOf(m.id) {
					out = append(out, load.KnownBatch{Batch: *b})
				}
			}
		}
	}
	if len(out) == 0 || len(items) == 0 || own.start.IsZero() {
		return out
	}
	h.loadsOfItems(own, items)
	for i := range out {
		k := &out[i]
		if k.Batch.Ended.IsZero() {
			continue
		}
		for _, c := range k.Batch.Carried {
			if slices.ContainsFunc(items[c.ID], func(e *occurrence) bool { return e.start.After(k.Batch.Ended) }) {
				k.Sterilized = append(k.Sterilized, c.ID)
			}
		}
		slices.Sort(k.Sterilized)
		k.Sterilized = slices.Compact(k.Sterilized)
	}
	slices.SortStableFunc(out, func(a, b load.KnownBatch) int {
		return cmp.Or(strings.Compare(a.Batch.ID, b.Batch.ID), a.Batch.Ended.Compare(b.Batch.Ended))
	})
	return out
}

// loadsOfItems finds the earlier loads that items, by their marks, were in.
func (h *History) loadsOfItems(own *occurrence, items map[string][]*occurrence) {
	for _, u := range h.units() {
		for _, e := range u.all {
			if e.kind != 0 || e.id == own.id || e.start.IsZero() || !e.start.Before(own.start) ||
				e.site != "" && own.site != "" && e.site != own.site {
				continue
			}
			for i := range e.packs {
				for _, m := range e.packs[i].marks {
					if of, asked := items[m.id]; asked && m.what == markedItem {
						items[m.id] = append(of, e)
					}
				}
			}
		}
	}
}

// batchLines enters where lines about batches are pointed at, and what amendments take of them.
func (h *History) batchLines(where map[digest]string, took func(pointer string, takings []taking)) {
	for line, b := range h.everyBatch {
		where[line] = "/cleaning/" + guard.Escape(b.ID)
	}
	for id := range h.batches {
		took("/cleaning/"+guard.Escape(id), h.batchFates(id))
	}
}
