package history

import (
	"cmp"
	"maps"
	"slices"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/internal/spelling"
	"example.com/moistheat/load"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/packaging"
)

// Chain is a pack that is not to be used as it is, and what the history shows became of it.
type Chain struct {
	Pack       string       `json:"pack"`
	Sterilizer string       `json:"sterilizer,omitempty"` // empty: its load is not on record
	Record     string       `json:"record,omitempty"`     // id of its load's record
	Why        []ChainCause `json:"why"`
	State      ChainState   `json:"state"`
	By         []string     `json:"by,omitempty"` // IDs of the packs that it was packed again as
}

// ChainCause is why a pack is not to be used as it is. The zero ChainCause is none.
type ChainCause string

// The causes.
const (
	RejectedPack ChainCause = "rejected"
	RecalledPack ChainCause = "recalled"
	ExpiredPack  ChainCause = "expired"
	DamagedPack  ChainCause = "wet, damaged or dropped"
	UnusedPack   ChainCause = "opened and not used"
)

// ChainState is how far such a pack was followed. The zero ChainState is none.
type ChainState string

const (
	// ChainOpen: nothing on record shows what became of it.
	ChainOpen ChainState = "open"
	// ChainUnderWay: it was packed again, and nothing shows yet that the new pack was released.
	ChainUnderWay ChainState = "under way"
	// ChainClosed: it was packed again and released, thrown away or sent back.
	ChainClosed ChainState = "closed"
	// ChainUsed: it was used all the same.
	ChainUsed ChainState = "used"
)

// seenMarks are the indicators that a pack carries: a bit for each type, 0 where that is not
// recorded, of those outside and, seven bits further, of those inside.
type seenMarks uint16

func seenOf(p *packaging.Pack) (out seenMarks) {
	for _, n := range p.Indicators {
		at := min(max(n.Type, 0), 6)
		if n.Place == packaging.Internal {
			at += 7
		}
		out |= 1 << at
	}
	return out
}

// olds returns the IDs of the packs that a pack says it replaces, in order.
func (p *packTrace) olds() (out []string) {
	for _, m := range p.marks {
		if m.what == markedOld {
			out = append(out, m.id)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// takeBackLimits empties the limits of items that an amendment took back.
func (p *packTrace) takeBackLimits(gone func(string) bool) {
	for i := range p.marks {
		if m := &p.marks[i]; m.limit > 0 && gone(strings.TrimSuffix(m.at, "id")+"instructions/maxCycles") {
			m.limit = 0
		}
	}
}

// packOf is a pack of a load, as records list it.
type packOf struct {
	sterilizer string
	e          *occurrence
	*packTrace
}

// near reports whether two packs may be of one site, whose IDs do not mix with others.
func (p packOf) near(o packOf) bool { return p.e.site == "" || o.e.site == "" || p.e.site == o.e.site }

// chainIndex finds packs by their IDs.
type chainIndex struct {
	listed    map[string][]packOf
	followers map[string][]packOf // by the ID that they replace
	stored    map[string][]*shelvedPack
	circular  map[string]bool // IDs of packs that replace each other in a circle
}

// chainIndex returns the packs of all loads. It takes a pass over them.
func (h *History) chainIndex() *chainIndex {
	x := &chainIndex{map[string][]packOf{}, map[string][]packOf{}, map[string][]*shelvedPack{}, map[string]bool{}}
	for _, id := range h.Sterilizers() {
		for _, e := range slices.SortedFunc(maps.Values(h.units()[id].all), before) {
			if e.kind != 0 {
				continue
			}
			for i := range e.packs {
				p := packOf{id, e, &e.packs[i]}
				x.listed[p.id] = append(x.listed[p.id], p)
				for _, old := range p.olds() {
					x.followers[old] = append(x.followers[old], p)
				}
			}
		}
	}
	for _, key := range h.packs() {
		if s := h.stored()[key]; len(s.left) > 0 {
			x.stored[s.Pack] = append(x.stored[s.Pack], s)
		}
	}
	x.circles()
	return x
}

// circles finds the packs that replace each other in a circle, or one of such: what is left
// when all are taken away, again and again, that replace none that is left.
func (x *chainIndex) circles() {
	left, free := map[string]int{}, []string{}
	for old, all := range x.followers {
		for _, p := range all {
			left[p.id]++
		}
		left[old] += 0
	}
	for id, n := range left {
		if n == 0 {
			free = append(free, id)
		}
	}
	for len(free) > 0 {
		id := free[len(free)-1]
		free = free[:len(free)-1]
		for _, p := range x.followers[id] {
			if left[p.id]--; left[p.id] == 0 {
				free = append(free, p.id)
			}
		}
	}
	for id, n := range left {
		if n > 0 {
			x.circular[id] = true
		}
	}
}

// chains asks of each pack that replaces others whether that can be.
func (h *History) chains(c *ask.List) {
	from := len(c.Findings)
	x := h.chainIndex()
	for _, id := range slices.Sorted(maps.Keys(x.listed)) {
		for _, p := range x.listed[id] {
			for _, old := range p.olds() {
				x.judge(c, p, old)
			}
		}
	}
	rest(c, from, "", false, rules.ChainContradictory)
}

// judge asks whether a pack can replace another.
func (x *chainIndex) judge(c *ask.List, p packOf, old string) moistheat.Outcome {
	q := c.Ask(rules.ChainContradictory, "/packs/"+guard.Escape(p.id)).
		With("pack", prose.Name(p.id)).With("other", prose.Name(old))
	if what := x.contradiction(p, old); what.IsValid() {
		return q.Say("what", what).Broken().Outcome()
	}
	if what := x.missing(p, old); what.IsValid() {
		return q.Say("what", what).Open(moistheat.Unrecorded).Outcome()
	}
	return q.Met().Outcome()
}

// contradiction says why a pack cannot replace another, if it cannot.
func (x *chainIndex) contradiction(p packOf, old string) moistheat.Detail {
	switch {
	case p.id == old:
		return lang.Say("chain-id-not-new: a pack that is packed again gets an ID of its own")
	case x.circular[p.id] && x.circular[old]:
		return lang.Say("chain-circle: packs replace each other in a circle")
	}
	for _, o := range x.followers[old] {
		if o.e != p.e && o.near(p) {
			return lang.Say("chain-replaced-twice: {1:name} of another load replaces it, too", prose.Name(o.id))
		}
	}
	first, last, open := p.e.started()
	if open || last.IsZero() {
		return moistheat.Detail{}
	}
	for _, o := range x.listed[old] {
		if ended, _ := o.e.over(); o.near(p) && !ended.IsZero() && last.Before(ended) {
			return lang.Say("chain-began-before: its load began before that of the other had ended")
		}
	}
	for _, s := range x.stored[old] {
		for _, u := range s.uses() {
			if u.Time.After(first) {
				return lang.Say("chain-used-afterwards: the other was used afterwards")
			}
		}
	}
	return moistheat.Detail{}
}

// missing says what is not on record that shows that a pack can replace another, if anything.
func (x *chainIndex) missing(p packOf, old string) moistheat.Detail {
	n := 0
	first, _, open := p.e.started()
	for _, o := range x.listed[old] {
		if !o.near(p) {
			continue
		}
		_, ended := o.e.over()
		if n++; open || first.IsZero() || ended.IsZero() || first.Before(ended) {
			return lang.Say("chain-order: the order of the loads")
		}
	}
	if n != 1 {
		return lang.Say("chain-one-load: the one load")
	}
	for _, s := range x.stored[old] {
		if s.used() && !slices.ContainsFunc(s.uses(), func(u *Use) bool { return !u.Time.IsZero() }) {
			return lang.Say("chain-use-time: the time of the use")
		}
	}
	return moistheat.Detail{}
}

// Chains returns the packs that were rejected, recalled, damaged or opened without being
// used, or that are too old on the day of an instant, and what became of each: the open ones
// first, then by ID and load. It takes a pass over everything, as [History.Recall] does.
func (h *History) Chains(at time.Time) []Chain {
	h, _ = h.asOf(at)
	h = cmp.Or(h, &History{})
	x, shelf, shown := h.chainIndex(), h.shelved(), h.shown()
	suspect := map[packKey]bool{} // recalled or kept apart, by sterilizer, record and pack
	for _, s := range h.allSuspects() {
		for _, p := range s.Packs {
			suspect[packKey{s.Record, s.Sterilizer, "", p.ID}] = suspect[packKey{s.Record, s.Sterilizer, "", p.ID}] ||
				s.Action >= Quarantine
		}
	}
	var out []Chain
	add := func(c Chain, known []*shelvedPack) {
		if c.Why = append(c.Why, h.causes(known, at)...); len(c.Why) == 0 {
			return
		}
		c.State = ChainOpen
		h.follow(&c, x, known, shown)
		out = append(out, c)
	}
	for _, id := range h.Sterilizers() {
		for _, e := range slices.SortedFunc(maps.Values(h.units()[id].all), before) {
			if e.kind != 0 {
				continue
			}
			known := map[string][]*shelvedPack{}
			for _, s := range shelf[e] {
				known[s.Pack] = append(known[s.Pack], s)
			}
			for _, p := range shelf.of(e) {
				c := Chain{Pack: p.id, Sterilizer: id, Record: e.id}
				if stands, decided := e.stands(p.id, shown[e]), cmp.Or(p.released, e.released); stands == loadBad ||
					decided == moistheat.No {
					c.Why = append(c.Why, RejectedPack)
				}
				if suspect[packKey{e.id, id, "", p.id}] {
					c.Why = append(c.Why, RecalledPack)
				}
				add(c, known[p.id])
			}
		}
	}
	find := h.finder()
	for _, key := range h.packs() {
		if s := h.stored()[key]; len(s.left) > 0 && len(find.loadsOf(s)) == 0 {
			add(Chain{Pack: s.Pack, Sterilizer: s.Sterilizer, Record: s.Record}, []*shelvedPack{s})
		}
	}
	slices.SortStableFunc(out, func(a, b Chain) int {
		return cmp.Or(cmp.Compare(a.State.order(), b.State.order()), cmp.Compare(a.Pack, b.Pack),
			cmp.Compare(a.Sterilizer, b.Sterilizer), cmp.Compare(a.Record, b.Record))
	})
	return out
}

func (s ChainState) order() int {
	return slices.Index([]ChainState{ChainUsed, ChainOpen, ChainUnderWay, ChainClosed}, s)
}

// causes says what lines about a stored pack have against it.
func (h *History) causes(known []*shelvedPack, at time.Time) (out []ChainCause) {
	has := map[ChainCause]bool{}
	for _, s := range known {
		for _, v := range s.left {
			has[DamagedPack] = has[DamagedPack] || v.Dry == moistheat.No || v.Intact == moistheat.No ||
				v.Dropped == moistheat.Yes
			has[UnusedPack] = has[UnusedPack] || v.LaidOut == moistheat.Yes && !s.used()
			for _, f := range CheckStored(v.StoredPack, h.Policy(), moistheat.DateOf(at)) {
				has[ExpiredPack] = has[ExpiredPack] || f.Rule == rules.Book.Name(rules.StorageExpired) && f.Outcome == moistheat.Broken
			}
		}
	}
	for _, cause := range [...]ChainCause{ExpiredPack, DamagedPack, UnusedPack} {
		if has[cause] {
			out = append(out, cause)
		}
	}
	return out
}

// follow says how far a pack was followed. What may be of another pack of its ID shows nothing.
func (h *History) follow(c *Chain, x *chainIndex, known []*shelvedPack, shown map[*occurrence]bool) {
	scratch := rules.Book.List(nil)
	for _, p := range x.followers[c.Pack] {
		if x.judge(&scratch, p, c.Pack) != moistheat.Met {
			continue
		}
		if c.By = append(c.By, p.id); c.State == ChainOpen {
			c.State = ChainUnderWay
		}
		if p.e.stands(p.id, shown[p.e]) == loadGood && cmp.Or(p.released, p.e.released) == moistheat.Yes {
			c.State = ChainClosed
		}
	}
	slices.Sort(c.By)
	c.By = slices.Compact(c.By)
	for _, s := range known {
		for _, v := range s.left {
			if v.Fate != "" {
				c.State = ChainClosed
			}
		}
	}
	if slices.ContainsFunc(known, (*shelvedPack).used) {
		c.State = ChainUsed
	}
}

// ItemUse is how often an item was sterilized, by its mark.
type ItemUse struct {
	ID     string    `json:"id"`
	Cycles int       `json:"cycles"`
	Limit  int       `json:"limit,omitempty"` // by its instructions, the least that a record says; 0: not recorded
	Last   time.Time `json:"last,omitzero"`   // start of the newest load that it was in
}

// Items returns the items that records name by a mark, by ID.
func (h *History) Items() []ItemUse {
	all := map[string]*ItemUse{}
	for _, u := range cmp.Or(h, &History{}).units() {
		for _, e := range u.all {
			if e.kind != 0 {
				continue
			}
			counted := map[string]bool{}
			for i := range e.packs {
				for _, m := range e.packs[i].marks {
					if m.what != markedItem {
						continue
					}
					if all[m.id] == nil {
						all[m.id] = &ItemUse{ID: m.id}
					}
					use := all[m.id]
					if m.limit > 0 && (use.Limit == 0 || int(m.limit) < use.Limit) {
						use.Limit = int(m.limit)
					}
					if !counted[m.id] {
						counted[m.id] = true
						use.Cycles, use.Last = use.Cycles+1, later(use.Last, e.start)
					}
				}
			}
		}
	}
	var out []ItemUse
	for _, use := range all {
		out = append(out, *use)
	}
	slices.SortFunc(out, func(a, b ItemUse) int { return cmp.Compare(a.ID, b.ID) })
	return out
}

// knownItems returns how often the items of a load whose instructions limit that were in other
// loads that may have begun before, in any spelling of their marks.
func (h *History) knownItems(own *occurrence) (out []load.KnownItem) {
	limited, n := map[string]bool{}, map[string]int{} // by mark; by what marks fold to
	for i := range own.packs {
		for _, m := range own.packs[i].marks {
			if m.what == markedItem && m.limit > 0 {
				limited[m.id], n[markKey(m.id)] = true, 0
			}
		}
	}
	if len(n) == 0 {
		return nil
	}
	for _, u := range h.units() {
		for _, e := range u.all {
			if e.kind != 0 || e.id == own.id || e.site != "" && own.site != "" && e.site != own.site ||
				!own.start.IsZero() && !e.start.IsZero() && e.start.After(own.start) {
				continue
			}
			counted := map[string]bool{}
			for i := range e.packs {
				for _, m := range e.packs[i].marks {
					if m.what != markedItem {
						continue
					}
					id := markKey(m.id)
					if _, asked := n[id]; asked && !counted[id] {
						counted[id] = true
						n[id]++
					}
				}
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(limited)) {
		if cycles := n[markKey(id)]; cycles > 0 {
			out = append(out, load.KnownItem{ID: id, Cycles: cycles})
		}
	}
	return out
}

// markKey returns what spellings of a name have in common; of one of signs alone, itself.
func markKey(id string) string { return cmp.Or(spelling.Fold(id), id) }
