package cleaning

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
)

// CheckPack asks of each item of a pack what the batch came to that its preparation names as
// washerLoad: whether it is among the batches, ended before the load of the pack began, was of
// the recorded method, carried the item or its set, and was in order. Of several versions of a
// batch each is asked, so that the worse counts. An item that names no batch is asked nothing.
// Pointers are relative to the pack.
func CheckPack(p *packaging.Pack, began time.Time, l Limits, batches ...*Batch) []moistheat.Finding {
	k := checker{List: book.List(nil)}
	if p == nil {
		return nil
	}
	type asked struct {
		b     *Batch
		class packaging.Class
	}
	faults := map[asked]verdict{}
	for i := range p.Items {
		it, at, found := &p.Items[i], "/items/"+strconv.Itoa(i), false
		key := it.Preparation.WasherLoad
		for _, b := range batches {
			if b == nil || b.ID != key || key == "" {
				continue
			}
			of := asked{b, it.Class}
			v, known := faults[of]
			if !known {
				v = judge(b, l, it.Class)
				faults[of] = v
			}
			k.of(it, p.Set, at, began, b, v)
			found = true
		}
		k.Ask(batchMissing, at+"/preparation").When(key != "").Known(found).With("batch", key)
	}
	return k.Findings
}

// of asks about an item and a batch that it names.
func (k *checker) of(it *packaging.Item, set, at string, began time.Time, b *Batch, v verdict) {
	k.Ask(batchFailed, at).With("batch", b.ID).With("what", strings.Join(v.rules, ", ")).
		BrokenWhen(v.pack == moistheat.Reject).OpenWhen(v.pack == moistheat.Quarantine, moistheat.Unrecorded).Met()
	k.Ask(batchLate, at).With("batch", b.ID).Given(!b.Ended.IsZero() && !began.IsZero()).BrokenIf(b.Ended.After(began))
	m := it.Preparation.Method
	k.Ask(batchMethod, at).When(m != "").With("batch", b.ID).With("method", string(m)).
		With("kind", string(b.Kind)).BrokenIf(m != b.Kind)
	carried := slices.ContainsFunc(b.Carried, func(c Carried) bool { return c.ID == it.ID || c.ID == set })
	k.Ask(batchWithout, at).With("batch", b.ID).With("item", it.Name).MetWhen(carried).
		Given(len(b.Carried) > 0 && (it.ID != "" || set != "")).Broken()
}

// verdict is what a batch does to the packs of what it carried, and the rules that say so.
type verdict struct {
	pack  moistheat.Disposition
	rules []string
}

// judge checks a batch by itself, for an item of a class.
func judge(b *Batch, l Limits, item packaging.Class) (v verdict) {
	for _, f := range check(b, l, item) {
		id, _ := book.ID(f.Rule)
		effect := moistheat.Effect{}
		switch f.Outcome {
		case moistheat.Broken:
			effect = book.Rule(id).Broken
		case moistheat.Undetermined:
			effect = book.Rule(id).Undetermined
		case moistheat.Internal:
			effect.Pack = moistheat.Quarantine
		}
		if effect.Pack > v.pack {
			v = verdict{effect.Pack, nil}
		}
		if effect.Pack == v.pack && effect.Pack != 0 && !slices.Contains(v.rules, f.Rule) {
			v.rules = append(v.rules, f.Rule)
		}
	}
	return v
}
