package history

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load"
	"example.com/moistheat/load/internal/rules"
)

// mark is what a record says of a pack that a suspected prion case may reach others by.
type mark struct {
	what  markKind
	limit int32 // of an item: how often it may be sterilized; 0: not recorded
	id    string
	at    string // pointer in the record
}

type markKind uint8

const (
	markedCase      markKind = iota // it is of a suspected case; without an id
	markedItem                      // it holds the item
	markedWash                      // an item of it was in the washer load
	markedLubricant                 // an item of it was lubricated from the container
	markedDevice                    // the device closed it, or cleaned an item of it
	markedOld                       // it replaces the pack
	markedSet                       // it holds the set
	markedClass                     // an item of it is of the class
	markedMethod                    // an item of it was cleaned by the method
	markedLoan                      // it belongs to another, who lent it
)

func compareMarks(a, b mark) int {
	return cmp.Or(cmp.Compare(a.what, b.what), strings.Compare(a.id, b.id), strings.Compare(a.at, b.at),
		cmp.Compare(a.limit, b.limit))
}

// marksOf returns what a record that was spread says of one of its packs.
func marksOf(r *load.Record, i int) (out []mark) {
	at, set := "/packs/"+strconv.Itoa(i), ""
	add := func(what markKind, id, at string) {
		if what == markedCase || id != "" {
			out = append(out, mark{what: what, id: id, at: at})
		}
	}
	if r.Packs[i].PrionSuspected == moistheat.Yes {
		add(markedCase, "", at+"/prionSuspected")
	}
	if s := r.Packs[i].Seal; s != nil {
		add(markedDevice, s.Sealer, at+"/seal/sealer")
	}
	for j, old := range r.Packs[i].Replaces {
		add(markedOld, old, at+"/replaces/"+strconv.Itoa(j))
	}
	for j := range r.Packs[i].Items {
		it, at := &r.Packs[i].Items[j], at+"/items/"+strconv.Itoa(j)
		if it.PrionSuspected == moistheat.Yes {
			add(markedCase, "", at+"/prionSuspected")
		}
		if add(markedItem, it.ID, at+"/id"); it.ID != "" && it.Instructions != nil {
			out[len(out)-1].limit = int32(min(it.Instructions.MaxCycles, math.MaxInt32))
		}
		add(markedWash, it.Preparation.WasherLoad, at+"/preparation/washerLoad")
		for k := range r.Cleaning {
			if r.Cleaning[k].ID == it.Preparation.WasherLoad {
				add(markedDevice, r.Cleaning[k].Device, "/cleaning/"+strconv.Itoa(k)+"/device")
			}
		}
		if it.ID != "" || it.Preparation.WasherLoad != "" { // which a batch may tell of
			add(markedClass, string(it.Class), at+"/class")
			add(markedMethod, string(it.Preparation.Method), at+"/preparation/method")
			set = r.Packs[i].Set
		}
		add(markedLubricant, it.Preparation.Lubricant, at+"/preparation/lubricant")
		add(markedDevice, it.Preparation.Device, at+"/preparation/device")
	}
	add(markedSet, set, at+"/set")
	if l := r.Packs[i].Loan; l != nil {
		add(markedLoan, l.From, at+"/loan/from")
	}
	return out
}

// has reports whether a pack has a mark of a kind.
func (p *packTrace) has(what markKind) bool {
	return slices.ContainsFunc(p.marks, func(m mark) bool { return m.what == what })
}

// prionCases are the packs of suspected prion cases and what they may have reached.
type prionCases struct {
	packs map[*occurrence]map[string]bool // that were so in their load, by name
	items map[string]time.Time            // since when an item is of a case; zero: at any time
	by    map[mark]*reached               // what was so washed or lubricated
}

// reached holds, by site, the first pack of a case that had a mark.
type reached struct {
	packs map[string]string
	some  []string // of all sites, in their order: mostSites at most
}

// at returns the packs of cases that a pack of a site may have met. Whatever names no site may
// be of any: it is told the packs of mostSites sites, and of how many more there are, so that n
// such loads do not repeat the names of n sites each.
func (r *reached) at(site string) (packs []string, more int) {
	switch {
	case r == nil:
		return nil, 0
	case site != "":
		for _, s := range [...]string{"", site} {
			if id, ok := r.packs[s]; ok {
				packs = append(packs, id)
			}
		}
		return packs, 0
	case r.some == nil:
		for _, s := range slices.Sorted(maps.Keys(r.packs))[:min(mostSites, len(r.packs))] {
			r.some = append(r.some, r.packs[s])
		}
	}
	return r.some, len(r.packs) - len(r.some)
}

// prions finds what is of a suspected prion case, and what shared a load, a washer load or a
// lubricant with it, whenever that became known. A set is of a case from its use on; what its
// items ran in before is not touched. The order in which a washer or a container was used is
// not on record: whatever shared it counts. What was reached so reaches nothing further here.
func (h *History) prions(c *ask.List) {
	from := len(c.Findings)
	s, loads := h.prionCases(c)
	for _, e := range loads {
		s.judge(c, e)
	}
	rest(c, from, "", false, rules.RecallPrion)
}

// prionCases finds the packs of suspected cases in all loads of the history and in others.
func (h *History) prionCases(c *ask.List, others ...*occurrence) (s prionCases, loads []*occurrence) {
	for _, id := range h.Sterilizers() {
		u := h.units()[id]
		loads = append(loads, slices.Concat(u.timeline(), u.undated())...)
	}
	loads = append(slices.DeleteFunc(loads, func(e *occurrence) bool { return e.kind != 0 }), others...)
	s = prionCases{map[*occurrence]map[string]bool{}, map[string]time.Time{}, map[mark]*reached{}}
	used := h.suspectedPacks(c, &s, loads)
	s.repacked(loads, used)
	for _, e := range loads {
		for i := range e.packs {
			s.meet(e, &e.packs[i])
		}
	}
	s.repacked(loads, used)
	return s, loads
}

// anyPrion reports whether any line says that there is a suspected case.
func (h *History) anyPrion() bool {
	for _, s := range h.stored() {
		for _, v := range s.left {
			if v.PrionSuspected == moistheat.Yes || v.Use != nil && v.Use.PrionSuspected == moistheat.Yes {
				return true
			}
		}
	}
	for _, u := range h.units() {
		for _, e := range u.all {
			if slices.ContainsFunc(e.packs, func(p packTrace) bool { return p.has(markedCase) }) {
				return true
			}
		}
	}
	return false
}

// knownPrions returns the packs of a load that are of suspected cases by what the history says
// of their items, and those with which its items shared a washer load or a lubricant. Of a load
// that is in the history, entered is what is.
func (h *History) knownPrions(own, entered *occurrence) (out []load.KnownPrion) {
	if !h.anyPrion() {
		return nil
	}
	scratch := rules.Book.List(nil)
	s, _ := h.prionCases(&scratch, own)
	for _, e := range [...]*occurrence{own, entered} {
		for id := range s.packs[e] {
			out = append(out, load.KnownPrion{Pack: id})
		}
	}
	for i := range own.packs {
		for _, m := range own.packs[i].marks {
			m.at = ""
			ids, _ := s.by[m].at(own.site)
			for _, id := range ids {
				switch m.what {
				case markedWash:
					out = append(out, load.KnownPrion{Pack: id, WasherLoad: m.id})
				case markedLubricant:
					out = append(out, load.KnownPrion{Pack: id, Lubricant: m.id})
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b load.KnownPrion) int {
		return cmp.Or(strings.Compare(a.Pack, b.Pack), strings.Compare(a.WasherLoad, b.WasherLoad),
			strings.Compare(a.Lubricant, b.Lubricant))
	})
	return slices.Compact(out)
}

// repacked follows the contents of packs of a case into the packs that replace them, by the
// names of the packs: of two of one name either may be meant. used are packs that were used on
// a case after their load.
func (s *prionCases) repacked(loads []*occurrence, used []string) {
	type packOf struct {
		e *occurrence
		p *packTrace
	}
	follow := map[string][]packOf{}
	for _, e := range loads {
		for i := range e.packs {
			for _, m := range e.packs[i].marks {
				if m.what == markedOld {
					follow[m.id] = append(follow[m.id], packOf{e, &e.packs[i]})
				}
			}
		}
	}
	if len(follow) == 0 {
		return
	}
	queue := slices.Clone(used)
	for _, packs := range s.packs {
		queue = slices.AppendSeq(queue, maps.Keys(packs))
	}
	for done := map[string]bool{}; len(queue) > 0; queue = queue[1:] {
		if done[queue[0]] {
			continue
		}
		done[queue[0]] = true
		for _, next := range follow[queue[0]] {
			s.suspect(next.e, next.p.id)
			s.since(next.p, earliestStart(next.e))
			queue = append(queue, next.p.id)
		}
	}
}

// suspectedPacks enters the packs that records and lines about stored packs say are of a
// case, and the items in them. It returns those that were used on one.
func (h *History) suspectedPacks(c *ask.List, s *prionCases, loads []*occurrence) (usedOn []string) {
	for _, e := range loads {
		for i := range e.packs {
			if p := &e.packs[i]; p.has(markedCase) {
				s.suspect(e, p.id)
				s.since(p, earliestStart(e))
			}
		}
	}
	patients, find := h.suspectedPatients(), h.finder()
	for _, key := range h.packs() {
		shelf, used, items := h.stored()[key], false, false
		of := find.loadsOf(shelf)
		for _, v := range shelf.left {
			before := v.PrionSuspected == moistheat.Yes
			after := v.Use.suspected(patients)
			for _, e := range of {
				i, listed := e.listed(v.Pack)
				items = items || listed && e.packs[i].has(markedItem)
				if before {
					s.suspect(e, v.Pack)
				}
				if before && listed {
					s.since(&e.packs[i], earliestStart(e))
				}
				if after && listed {
					from := v.Use.Time
					if from.IsZero() {
						from = e.end
					}
					s.since(&e.packs[i], from)
				}
			}
			used = used || after || before && len(of) == 0
			if after || before {
				usedOn = append(usedOn, v.Pack)
			}
		}
		if !used {
			continue
		}
		at, name := "/packs/"+guard.Escape(key.pack), prose.Name(key.pack)
		c.Ask(rules.RecallPrion, at).With("packs", name).With("cases", name).Broken()
		if !items { // the set cannot be followed
			c.Ask(rules.RecallPrion, at).With("packs", name).
				Say("missing", lang.Say("prion-marks-unrecorded: the marks of the items")).
				Open(moistheat.Unrecorded)
		}
	}
	return usedOn
}

// suspectedPatients returns the keys of the patients of whom a use says that they are
// suspected cases. Every use on them is one on a suspected case, whenever it was.
func (h *History) suspectedPatients() map[string]bool {
	out := map[string]bool{}
	for _, s := range h.stored() {
		for _, v := range s.left {
			if u := v.Use; u != nil && u.PrionSuspected == moistheat.Yes && u.Patient != "" {
				out[u.Patient] = true
			}
		}
	}
	return out
}

// suspected reports whether a use was on a patient who is a suspected case.
func (u *Use) suspected(patients map[string]bool) bool {
	return u != nil && (u.PrionSuspected == moistheat.Yes || patients[u.Patient])
}

// earliestStart returns when a load may have begun at the earliest; zero: it is not known.
func earliestStart(e *occurrence) time.Time {
	first, _, open := e.started()
	if open {
		return time.Time{}
	}
	return first
}

// suspect enters a pack that was of a case in its load.
func (s *prionCases) suspect(e *occurrence, pack string) {
	if s.packs[e] == nil {
		s.packs[e] = map[string]bool{}
	}
	s.packs[e][pack] = true
}

// since enters that the items of a pack are of a case from an instant on.
func (s *prionCases) since(p *packTrace, from time.Time) {
	for _, m := range p.marks {
		if m.what != markedItem {
			continue
		}
		if old, known := s.items[m.id]; !known || from.Before(old) {
			s.items[m.id] = from
		}
	}
}

// meet enters a pack of a case with what it was washed with and lubricated from. A pack
// with an item of a case is of one, too.
func (s *prionCases) meet(e *occurrence, p *packTrace) {
	_, last, open := e.started()
	for _, m := range p.marks {
		from, of := s.items[m.id]
		if m.what == markedItem && of && (open || last.IsZero() || !last.Before(from)) {
			s.suspect(e, p.id)
		}
	}
	if !s.packs[e][p.id] {
		return
	}
	for _, m := range p.marks {
		if m.what == markedWash || m.what == markedLubricant {
			m.at = ""
			if s.by[m] == nil {
				s.by[m] = &reached{packs: map[string]string{}}
			}
			if _, known := s.by[m].packs[e.site]; !known {
				s.by[m].packs[e.site] = p.id
			}
		}
	}
}

// judge names the packs of a load that are of a case or met one.
func (s *prionCases) judge(c *ask.List, e *occurrence) {
	var packs, cases, unshown []string
	more := 0
	for i := range e.packs {
		p := &e.packs[i]
		if len(s.packs[e]) > 0 {
			packs = append(packs, p.id)
		}
		if s.packs[e][p.id] && !p.has(markedWash) {
			unshown = append(unshown, p.id)
		}
		for _, m := range p.marks {
			m.at = ""
			ids, n := s.by[m].at(e.site)
			if cases, more = append(cases, ids...), max(more, n); ids != nil {
				packs = append(packs, p.id)
			}
		}
	}
	for id := range s.packs[e] { // which the record need not list
		packs, cases = append(packs, id), append(cases, id)
		if !e.lists(id) {
			unshown = append(unshown, id)
		}
	}
	if len(packs) == 0 {
		return
	}
	of := lang.Data(listed(cases))
	if more > 0 {
		of = lang.Join(", ", of, lang.Say("more-others: {1:number} others", strconv.Itoa(more)))
	}
	c.Ask(rules.RecallPrion, e.pointer()).With("packs", listed(packs)).Say("cases", of).Broken()
	if len(unshown) > 0 {
		c.Ask(rules.RecallPrion, e.pointer()).With("packs", listed(unshown)).
			Say("missing", lang.Say("prion-washer-unrecorded: the washer load")).Open(moistheat.Unrecorded)
	}
}

// listed returns ids as a text shows them, in order, each once.
func listed(ids []string) string {
	slices.Sort(ids)
	ids = slices.Compact(ids)
	for i, id := range ids {
		ids[i] = prose.Name(id)
	}
	return strings.Join(ids, ", ")
}
