package load

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat/internal/prose"
	"example.com/moistheat/packaging"
)

// setList asks whether what was packed is what the list of its set says, where the record
// gives both.
func (c *checker) setList(i int) {
	q := c.Ask(setDiffers, "/items")
	s := c.r.source
	if s == nil || i >= len(s.raw.Packs) || s.raw.Packs[i].Set == "" || len(s.raw.Packs[i].Items) == 0 {
		q.When(false)
		return
	}
	raw := &s.raw.Packs[i]
	w := &writer{f: s.facts, day: s.raw.Load.Date}
	list := w.contents(raw.Set, "")
	if list == nil { // which the rule about references says
		q.When(false)
		return
	}
	left, known := map[string]int{}, true
	for _, it := range list {
		left[it.Type] += it.Count
	}
	for _, it := range raw.Items {
		known = known && it.Type != "" && (it.Count > 0 || it.ID != "")
		left[it.Type] -= max(it.Count, 1)
	}
	var missing, foreign []string
	for _, kind := range slices.Sorted(maps.Keys(left)) {
		switch n := left[kind]; {
		case n > 0:
			missing = append(missing, strconv.Itoa(n)+" "+prose.Name(kind))
		case n < 0:
			foreign = append(foreign, strconv.Itoa(-n)+" "+prose.Name(kind))
		}
	}
	if q.Given(known); q.Answered() {
		return
	}
	none := func(names []string) string {
		if names == nil {
			return "0"
		}
		return strings.Join(names, ", ")
	}
	q.With("set", prose.Name(raw.Set)).With("missing", none(missing)).With("foreign", none(foreign)).
		BrokenIf(missing != nil || foreign != nil)
}

// worn asks whether an item was sterilized more often than its instructions allow, this load
// included.
func (c *checker) worn(it *packaging.Item) {
	limit := 0
	if it.Instructions != nil {
		limit = it.Instructions.MaxCycles
	}
	q := c.Ask(itemWorn, "/instructions/maxCycles").When(limit > 0).Given(it.ID != "" && !c.known.nothing())
	if q.Answered() {
		return
	}
	n := 1
	for _, k := range c.known.Items {
		if k.ID == it.ID {
			n = max(n, k.Cycles+1)
		}
	}
	q.With("item", it.Name).With("id", prose.Name(it.ID)).With("count", strconv.Itoa(n)).With("limit", strconv.Itoa(limit)).
		BrokenIf(n > limit)
}
