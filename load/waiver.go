package load

import (
	"cmp"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
)

// waivers are those of a record that can have an effect, by what they cover.
type waivers struct {
	by    map[covered]*moistheat.Waiver // the first of those that say the same
	rules map[string]bool
	r     *Record
	packs map[string]int         // how many packs are called so
	items map[int]map[string]int // by pack, how many items are called so
}

// covered is what a waiver is about.
type covered struct{ rule, pack, item string }

// waiversOf returns the waivers of a record that have a reason and an author and had not
// expired when the load was released or, before that, when its cycle ended; nil where
// there is none.
func waiversOf(r *Record) *waivers {
	var now time.Time
	if r.Release != nil {
		now = r.Release.Time
	}
	if now.IsZero() && r.Cycle != nil {
		now = r.Cycle.Ended
	}
	if len(r.Waivers) == 0 || now.IsZero() {
		return nil
	}
	w := &waivers{map[covered]*moistheat.Waiver{}, map[string]bool{}, r, map[string]int{}, map[int]map[string]int{}}
	for i := range r.Packs {
		w.packs[r.Packs[i].ID]++
	}
	for i := range r.Waivers {
		v := &r.Waivers[i]
		key := covered{v.Rule, v.Pack, v.Item}
		if w.by[key] == nil && (v.Load == "" || v.Load == r.ID) && v.Reason != "" && v.Author != "" && now.Before(v.Expires) {
			w.by[key], w.rules[v.Rule] = v, true
		}
	}
	return w
}

// of returns the waiver that covers a finding whose pointer is relative to base: of the
// same rule, pack and item.
func (w *waivers) of(f *moistheat.Finding, base string) *moistheat.Waiver {
	if w == nil || !w.rules[f.Rule] {
		return nil
	}
	pack, item, ok := w.named(base + f.Pointer)
	if !ok {
		return nil
	}
	return w.by[covered{f.Rule, pack, item}]
}

// named returns the IDs of the pack and the item that a pointer leads into, "" where it
// leads into none. An item without an ID goes by its name. ok is false if one of them is
// called by nothing, or as another is called too.
func (w *waivers) named(pointer string) (pack, item string, ok bool) {
	i, in := packOf(pointer)
	if !in || i >= len(w.r.Packs) {
		return "", "", !in
	}
	pack = w.r.Packs[i].ID
	ok = pack != "" && w.packs[pack] == 1
	_, rest, _ := strings.Cut(strings.TrimPrefix(pointer, "/packs/"), "/")
	j, in := indexIn(rest, "items/")
	if !in || !ok {
		return pack, "", ok
	}
	items := w.r.Packs[i].Items
	if j >= len(items) {
		return "", "", false
	}
	call := func(it *packaging.Item) string { return cmp.Or(it.ID, it.Name) }
	names := w.items[i]
	if names == nil {
		names = make(map[string]int, len(items))
		for k := range items {
			names[call(&items[k])]++
		}
		w.items[i] = names
	}
	item = call(&items[j])
	return pack, item, item != "" && names[item] == 1
}
