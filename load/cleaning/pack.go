package cleaning

import (
	"slices"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/spelling"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// Batches are those that the items of a load may name. They keep what each came to, so that
// one is judged once for all items of a class; they are not for several goroutines at a time.
type Batches struct {
	limits   Limits
	named    map[string][]*run
	carried  map[string][]*run // by item or set
	takenOut map[string][]*run // by item
	ran      map[string][]*run // by [Batch.RunKeys]
	kinds    map[packaging.CleaningMethod]bool
}

// run is a batch that items may name.
type run struct {
	b        *Batch
	carried  map[string][]int
	takenOut map[string][]int
	found    map[packaging.Class][]moistheat.Finding // of the run alone
}

// NewBatches makes the batches that items may name, each held against the limits.
func NewBatches(l Limits, batches ...*Batch) *Batches {
	s := &Batches{l, map[string][]*run{}, map[string][]*run{}, map[string][]*run{}, map[string][]*run{},
		map[packaging.CleaningMethod]bool{}}
	for _, b := range batches {
		if b == nil {
			continue
		}
		r := &run{b, map[string][]int{}, map[string][]int{}, map[packaging.Class][]moistheat.Finding{}}
		for i, c := range b.Carried {
			id := spelling.Same(c.ID)
			if r.carried[id] = append(r.carried[id], i); len(r.carried[id]) == 1 {
				s.carried[id] = append(s.carried[id], r)
			}
		}
		for i, o := range b.TakenOut {
			id := spelling.Same(o.Item)
			if r.takenOut[id] = append(r.takenOut[id], i); len(r.takenOut[id]) == 1 {
				s.takenOut[id] = append(s.takenOut[id], r)
			}
		}
		for _, key := range b.RunKeys() {
			s.ran[key] = append(s.ran[key], r)
		}
		s.named[spelling.Same(b.ID)], s.kinds[b.Kind] = append(s.named[spelling.Same(b.ID)], r), true
	}
	return s
}

// Keep says of which kinds batches are on record, whether or not one of these is of them.
func (s *Batches) Keep(kinds ...packaging.CleaningMethod) {
	if s == nil {
		return
	}
	if s.kinds == nil {
		s.kinds = map[packaging.CleaningMethod]bool{}
	}
	for _, kind := range kinds {
		s.kinds[kind] = true
	}
}

// Check asks of an item, in a pack of a set, what the batch came to that its preparation names
// as washerLoad: everything that [Check] asks of the run, held against the item's own class,
// and whether the batch ended before the load began, was of the recorded method and carried the
// item or its set. Of several batches of one ID each is asked, so that the worse counts. An
// item that names no batch is asked for it where one carried it or cleans by its method. Of other
// batches it asks whether one took the item out since, and whether one claims the same run of a
// machine. Findings are appended; their pointers are relative to the item.
func (s *Batches) Check(findings []moistheat.Finding, it *packaging.Item, set string,
	began time.Time) []moistheat.Finding {
	if s == nil || it == nil {
		return findings
	}
	k := checker{List: book.List(findings), l: s.limits, item: it.Class}
	key := it.Preparation.WasherLoad
	runs := s.named[spelling.Same(key)]
	if key == "" {
		runs = nil
	}
	meant := key != "" || it.ID != "" && s.carried[spelling.Same(it.ID)] != nil || set != "" && s.carried[spelling.Same(set)] != nil ||
		s.kinds[it.Preparation.Method] && it.Preparation.Method != ""
	batch := lang.Data(key)
	if key == "" {
		batch = lang.Say("batch-unnamed: none is named")
	}
	k.Ask(batchMissing, "/preparation").When(meant).Say("batch", batch).With("item", it.Name).Known(len(runs) > 0)
	k.elsewhere(s, it, runs, began)
	for _, r := range runs {
		k.b = r.b
		from := len(k.Findings)
		k.shared(s, r)
		k.of(it, began)
		k.within(r, it, set)
		class := r.class(it, set)
		if r.found[class] == nil {
			own := checker{List: book.List(nil), b: r.b, l: s.limits, item: class}
			own.ran()
			r.found[class] = slices.Clip(own.Findings)
		}
		k.Findings = append(k.Findings, r.found[class]...)
		for i := range k.Findings[from:] {
			k.Findings[from+i].Pointer = "/preparation/washerLoad"
		}
	}
	return k.Findings
}

// of asks whether a batch can be the one that cleaned an item.
func (k *checker) of(it *packaging.Item, began time.Time) {
	b := k.b
	k.Ask(batchLate, "").With("batch", b.ID).Given(!b.Ended.IsZero() && !began.IsZero()).BrokenIf(b.Ended.After(began))
	waited := units.Duration{}
	if !b.Ended.IsZero() && !began.Before(b.Ended) {
		waited = units.New(int64(began.Sub(b.Ended)/time.Second), 0, units.Second).Rounded(units.Minute)
	}
	limit := k.l.ToSterilizing
	q := k.Ask(batchOld, "").When(limit.Value.IsValid()).With("batch", b.ID)
	ask.AtMost(ask.Limit(q, limit), waited, limit.Value)
	m := it.Preparation.Method
	k.Ask(batchMethod, "").When(m != "").With("batch", b.ID).With("method", string(m)).
		With("kind", string(b.Kind)).BrokenIf(m != b.Kind)
}

// class returns the strictest class that an item and what the batch says of it have; "" where
// neither says one.
func (r *run) class(it *packaging.Item, set string) packaging.Class {
	var all []packaging.Class
	for _, c := range append([]packaging.Class{it.Class}, r.classes(it, set)...) {
		if c != "" {
			all = append(all, c)
		}
	}
	if all == nil {
		return ""
	}
	return strictest(all)
}

func (r *run) classes(it *packaging.Item, set string) (out []packaging.Class) {
	for _, i := range r.meant(it, set) {
		out = append(out, r.b.Carried[i].Class)
	}
	return out
}

// meant returns the places of an item, by itself or in its set, among what the batch carried.
func (r *run) meant(it *packaging.Item, set string) []int {
	return entries(r.carried, it.ID, set)
}

// within asks whether a batch carried an item, by itself or in its set, how it was cared for
// until then, and whether it passed the inspection.
func (k *checker) within(r *run, it *packaging.Item, set string) {
	at := r.meant(it, set)
	k.Ask(batchWithout, "").With("batch", r.b.ID).With("item", it.Name).MetWhen(len(at) > 0).
		Given(len(r.carried) > 0 && (it.ID != "" || set != "")).Broken()
	for _, i := range at {
		k.carried(i, "")
	}
	out := entries(r.takenOut, it.ID, set, it.Name) // however it was entered
	for _, i := range out {
		k.Ask(itemTaken, "").With("item", it.Name).With("reason", string(r.b.TakenOut[i].Reason)).Broken()
		k.takenOut(i, "")
	}
	if len(out) == 0 {
		k.Ask(itemTaken, "").When(len(r.takenOut) > 0).With("item", it.Name).Known(it.ID != "")
	}
}

// entries returns the places of what goes by one of the names, each once.
func entries(list map[string][]int, names ...string) (at []int) {
	for _, name := range names {
		if name != "" {
			at = append(at, list[spelling.Same(name)]...)
		}
	}
	slices.Sort(at)
	return slices.Compact(at)
}
