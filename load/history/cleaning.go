package history

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/internal/spelling"
	"example.com/moistheat/load"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/packaging"
)

// AddCleaning takes in a batch of cleaning, for the checks of whatever names it, and returns what
// [cleaning.Batch.Validate] says of it: one that no document could hold is taken in as it is. Of several of
// one ID each counts. An [Amendment] takes back the whole line, where another one of its ID
// stands in its place. One without an ID cannot be taken in.
func (h *History) AddCleaning(b *cleaning.Batch) error {
	h.addCleaning(b)
	return b.Validate()
}

func (h *History) addCleaning(b *cleaning.Batch) {
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

// cleanings finds the batches that count, and the loads that items were in, by their names. It is
// for one answer.
type cleanings struct {
	named, carried, taken, ran map[string][]*cleaning.Batch
	loads                      map[string][]*occurrence // by the mark of an item
	// Of each kind the end of the first batch; zero: that of one is not recorded.
	first map[packaging.CleaningMethod]time.Time
}

// cleanings takes a pass over all batches and loads; nil: no batch is on record.
func (h *History) cleanings() *cleanings {
	if h == nil || len(h.batches) == 0 {
		return nil
	}
	x := &cleanings{named: map[string][]*cleaning.Batch{}, carried: map[string][]*cleaning.Batch{},
		taken: map[string][]*cleaning.Batch{}, ran: map[string][]*cleaning.Batch{}, loads: map[string][]*occurrence{},
		first: map[packaging.CleaningMethod]time.Time{}}
	add := func(to map[string][]*cleaning.Batch, id string, b *cleaning.Batch) {
		if all := to[spelling.Same(id)]; len(all) == 0 || all[len(all)-1] != b {
			to[spelling.Same(id)] = append(all, b)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(h.batches)) {
		for _, b := range h.batchesOf(id) {
			if first, kept := x.first[b.Kind]; !kept || b.Ended.Before(first) {
				x.first[b.Kind] = b.Ended
			}
			add(x.named, b.ID, b)
			for _, c := range b.Carried {
				add(x.carried, c.ID, b)
			}
			for _, o := range b.TakenOut {
				add(x.taken, o.Item, b)
			}
			for _, key := range b.RunKeys() {
				add(x.ran, key, b)
			}
		}
	}
	for _, all := range x.carried {
		slices.SortStableFunc(all, func(a, b *cleaning.Batch) int { return b.Ended.Compare(a.Ended) })
	}
	for _, u := range h.units() {
		for _, e := range u.all {
			for i := range e.packs {
				for _, m := range e.packs[i].marks {
					if m.what == markedItem && e.kind == 0 && !e.start.IsZero() {
						id := spelling.Same(m.id)
						x.loads[id] = append(x.loads[id], e)
					}
				}
			}
		}
	}
	return x
}

// kept returns the kinds of batches that were on record before a load.
func (x *cleanings) kept(own *occurrence) (out []packaging.CleaningMethod) {
	if x == nil {
		return nil
	}
	for _, kind := range slices.Sorted(maps.Keys(x.first)) {
		if own.start.IsZero() || !x.first[kind].After(own.start) {
			out = append(out, kind)
		}
	}
	return out
}

// newest returns the batches that last carried something before a load, versions of one among
// them, and those of which it is not known when they ended.
func (x *cleanings) newest(id string, own *occurrence) (out []*cleaning.Batch) {
	last := ""
	for _, b := range x.carried[spelling.Same(id)] {
		switch {
		case b.Ended.IsZero():
			out = append(out, b)
		case !own.start.IsZero() && b.Ended.After(own.start):
		case last == "" || last == spelling.Same(b.ID):
			last = spelling.Same(b.ID)
			out = append(out, b)
		}
	}
	return out
}

// batches returns the batches that a load is asked about: those that its items name, that took
// one out before it, that carried one that names none, or that claim the run of one of these.
func (x *cleanings) batches(own *occurrence) (out []*cleaning.Batch) {
	seen := map[*cleaning.Batch]bool{}
	add := func(all ...*cleaning.Batch) {
		for _, b := range all {
			if !seen[b] {
				seen[b] = true
				out = append(out, b)
			}
		}
	}
	for i := range own.packs {
		p := &own.packs[i]
		named := map[string]bool{}
		for _, m := range p.marks {
			if m.what == markedWash {
				named[m.of()] = true
				add(x.named[spelling.Same(m.id)]...)
			}
		}
		for _, m := range p.marks {
			if m.what != markedItem {
				continue
			}
			for _, b := range x.taken[spelling.Same(m.id)] {
				if b.Ended.IsZero() || own.start.IsZero() || !b.Ended.After(own.start) {
					add(b)
				}
			}
			if !named[m.of()] {
				add(x.newest(m.id, own)...)
			}
		}
	}
	for _, b := range slices.Clone(out) {
		for _, key := range b.RunKeys() {
			add(x.ran[key]...)
		}
	}
	slices.SortStableFunc(out, func(a, b *cleaning.Batch) int {
		return cmp.Or(strings.Compare(a.ID, b.ID), a.Ended.Compare(b.Ended))
	})
	return out
}

// known returns the batches that a load is asked about, with what was sterilized since each.
func (x *cleanings) known(own *occurrence) (out []load.KnownBatch) {
	if x == nil {
		return nil
	}
	items := map[string]bool{}
	for i := range own.packs {
		for _, m := range own.packs[i].marks {
			if m.what == markedItem {
				items[spelling.Same(m.id)] = true
			}
		}
	}
	for _, b := range x.batches(own) {
		k := load.KnownBatch{Batch: *b}
		for _, c := range b.Carried {
			if items[spelling.Same(c.ID)] && !b.Ended.IsZero() && !own.start.IsZero() && x.between(c.ID, b.Ended, own) {
				k.Sterilized = append(k.Sterilized, c.ID)
			}
		}
		slices.Sort(k.Sterilized)
		k.Sterilized = slices.Compact(k.Sterilized)
		out = append(out, k)
	}
	return out
}

// between reports whether an item was in another load that began after an instant and before one.
func (x *cleanings) between(item string, from time.Time, own *occurrence) bool {
	return slices.ContainsFunc(x.loads[spelling.Same(item)], func(e *occurrence) bool {
		return e.id != own.id && e.start.After(from) && e.start.Before(own.start) &&
			(e.site == "" || own.site == "" || e.site == own.site)
	})
}

// doubtsOfBatches are those that failed batches of cleaning cast on the packs with their items.
type doubtsOfBatches struct {
	p       *load.Policy
	x       *cleanings
	reached map[string]map[*occurrence]bool // loads, by the ID of the batch
}

func (h *History) batchDoubts() *doubtsOfBatches {
	return &doubtsOfBatches{h.Policy(), h.cleanings(), map[string]map[*occurrence]bool{}}
}

// packs returns what the batches of its items ask of each pack of a load, and why: a pack is
// recalled where a batch that it names failed, and kept apart where it names none and the newest
// that carried an item failed. What is not recorded of a batch asks nothing.
func (d *doubtsOfBatches) packs(e *occurrence) (packs map[string]RecallAction, because []moistheat.Detail) {
	if d.x == nil || e.kind != 0 {
		return nil, nil
	}
	all := d.x.batches(e)
	if len(all) == 0 {
		return nil, nil
	}
	s, in := cleaning.NewBatches(d.p.Cleaning(), all...), reach{d, e, d.p.On(e.date), map[string]RecallAction{}, nil}
	for i := range e.packs {
		p := e.packs[i].marked()
		for j := range p.Items {
			it := p.Items[j]
			key := it.Preparation.WasherLoad
			if key != "" || it.ID == "" {
				in.take(p.ID, key, Recall, s.Check(nil, &it, p.Set, e.start))
				continue
			}
			in.take(p.ID, "", Quarantine, s.Check(nil, &it, p.Set, e.start))
			for _, b := range d.x.newest(it.ID, e) {
				it.Preparation.WasherLoad = b.ID
				in.take(p.ID, b.ID, Quarantine, s.Check(nil, &it, p.Set, e.start))
			}
		}
	}
	return in.packs, in.because
}

// reach is what batches come to for the packs of one load, under the policy of its day.
type reach struct {
	d       *doubtsOfBatches
	e       *occurrence
	policy  *load.Policy
	packs   map[string]RecallAction
	because []moistheat.Detail
}

// take enters what findings about a batch ask of a pack, up to an action.
func (r *reach) take(pack, batch string, most RecallAction, findings []moistheat.Finding) {
	for _, f := range findings {
		if f.Outcome != moistheat.Broken {
			continue
		}
		r.policy.Apply(&f)
		action := Quarantine
		switch f.Effect.Pack {
		case moistheat.Reject:
			action = most
		case moistheat.Quarantine:
		default:
			continue
		}
		r.packs[pack] = max(r.packs[pack], action)
		of := batch
		for _, p := range f.Params { // which may be of another one
			if p.Name == "batch" {
				of, _ = p.Value.Data()
			}
		}
		if r.d.reached[of] == nil {
			r.d.reached[of] = map[*occurrence]bool{}
		}
		r.d.reached[of][r.e] = true
		why := lang.With("batch-not-met: Cleaning batch {1:name} does not meet a requirement: {2:text}",
			lang.Data(prose.Name(of)), lang.Told(titles()[f.Rule]))
		if !slices.Contains(r.because, why) && len(r.because) < mostReasons {
			r.because = append(r.because, why)
		}
	}
}

var titles = sync.OnceValue(func() map[string]string {
	out := map[string]string{}
	for _, r := range cleaning.Rules() {
		out[r.ID] = r.Title
	}
	return out
})

// recalled asks of each batch that failed how many loads it reached.
func (d *doubtsOfBatches) recalled(c *ask.List) {
	from := len(c.Findings)
	for _, id := range slices.Sorted(maps.Keys(d.reached)) {
		c.Ask(rules.RecallCleaning, "/cleaning/"+guard.Escape(id)).With("batch", id).
			With("count", strconv.Itoa(len(d.reached[id]))).Broken()
	}
	rest(c, from, "", false, rules.RecallCleaning)
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
