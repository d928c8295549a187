package history

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
)

// RecallAction is what a recall asks of a load. Of two actions the later in this list
// counts. The zero value is invalid.
type RecallAction = moistheat.Word[recallActions]

// The actions.
const (
	// Trace: know where the packs are; there is nothing to take back yet.
	Trace RecallAction = iota + 1
	// Quarantine: use nothing of the load that is still in store.
	Quarantine
	// Recall: reprocess what is in store and find what was used.
	Recall
)

type recallActions struct{}

func (recallActions) Words() string { return "trace|quarantine|recall" }

// PackLocation is what is known of a suspect pack. The zero value means nothing.
type PackLocation string

// What can be known of a pack.
const (
	InStore PackLocation = "in store"
	Used    PackLocation = "used"
)

// SuspectLoad is a load that a failure casts doubt on.
type SuspectLoad struct {
	Sterilizer string
	Record     string // id of the load's record
	Number     string
	Started    time.Time // zero: not on record
	Implants   moistheat.Answer
	Action     RecallAction
	Packs      []SuspectPack
	Because    []string // the reasoning, a sentence for each failure
}

// SuspectPack is a pack of a suspect load.
type SuspectPack struct {
	ID      string
	Implant moistheat.Answer
	Where   PackLocation
	Patient string
	Used    time.Time
}

// trigger is a failure and the loads that it casts doubt on.
type trigger struct {
	of   *occurrence
	rule ask.ID
	from time.Time // loads that started after it; zero: from the first
	to   time.Time // and up to it; zero: to the newest
	hit  func(*occurrence) bool
	// action on a load that the trigger hits
	action  func(l *occurrence, implants moistheat.Answer) RecallAction
	why     string
	bounded bool // a good biological test stands before a positive one
	window  bool // from and to count
}

// Recall returns every suspect load: loads with implants first, then by what is to
// be done, sterilizer and time. It is worked out anew from all the evidence at each
// call; a further failed test never makes the list shorter or an action milder.
func (h *History) Recall() []SuspectLoad {
	var out []SuspectLoad
	shelf := h.shelved()
	for _, id := range h.Sterilizers() {
		out = append(out, h.suspects(id, shelf)...)
	}
	slices.SortStableFunc(out, func(a, b SuspectLoad) int {
		first := func(s SuspectLoad) int {
			if s.Implants == moistheat.Yes {
				return 0
			}
			return 1
		}
		return cmp.Or(cmp.Compare(first(a), first(b)), cmp.Compare(b.Action, a.Action), cmp.Compare(a.Sterilizer, b.Sterilizer),
			a.Started.Compare(b.Started), cmp.Compare(a.Record, b.Record))
	})
	return out
}

// shelved are stored packs by the load that they may be of.
type shelved struct {
	packs map[*occurrence][]packTrace // those of its record first, then what it does not list
	used  map[*occurrence][]string    // although they, or their loads, were held or rejected
	known map[storedOf][]*StoredPack  // what is known of a pack of a load
}

type storedOf struct {
	load *occurrence
	pack string
}

func (h *History) shelved() shelved {
	out := shelved{map[*occurrence][]packTrace{}, map[*occurrence][]string{}, map[storedOf][]*StoredPack{}}
	h = cmp.Or(h, &History{})
	find := h.finder()
	for _, key := range slices.Sorted(maps.Keys(h.shelf)) {
		s := h.shelf[key]
		for _, e := range find.loadsOf(s) {
			at := storedOf{e, s.Pack}
			out.known[at] = append(out.known[at], s)
			packs := out.of(e)
			if i := slices.IndexFunc(packs, func(p packTrace) bool { return p.id == s.Pack }); i >= 0 {
				packs[i].implant = anyYes(packs[i].implant, s.Implant)
			} else {
				packs = append(packs, packTrace{id: s.Pack, implant: s.Implant})
			}
			out.packs[e] = packs
			if s.Use != nil && e.stands(s.Pack) != loadGood && !slices.Contains(out.used[e], s.Pack) {
				out.used[e] = append(out.used[e], s.Pack)
			}
		}
	}
	return out
}

// of returns the packs of a load, with what the store knows of them.
func (s shelved) of(e *occurrence) []packTrace {
	if packs := s.packs[e]; packs != nil {
		return packs
	}
	return slices.Clone(e.packs)
}

// implants says whether a load holds an implant, by its record or by its packs in
// store.
func (s shelved) implants(e *occurrence) moistheat.Answer {
	out := e.implants
	for _, p := range s.packs[e] {
		out = anyYesOrUnknown(out, p.implant)
	}
	return out
}

func (h *History) suspects(id string, shelf shelved) []SuspectLoad {
	u := h.sterilizers[id]
	found := map[*occurrence]*SuspectLoad{}
	loads := append(u.timeline(), u.undated()...)
	for _, t := range u.triggers(h.course()) {
		for _, e := range loads {
			if e.kind != 0 || !t.hits(e) {
				continue
			}
			s := found[e]
			if s == nil {
				s = &SuspectLoad{Sterilizer: id, Record: e.id, Number: e.label(), Started: e.start, Implants: shelf.implants(e)}
				found[e] = s
			}
			s.Action = max(s.Action, t.action(e, s.Implants))
			s.Because = append(s.Because, t.why)
		}
	}
	// Of a load that is suspect for nothing else only the used packs are listed.
	only := map[*occurrence][]string{}
	for _, e := range loads {
		packs := shelf.used[e]
		if len(packs) == 0 {
			continue
		}
		s := found[e]
		if s == nil {
			s = &SuspectLoad{Sterilizer: id, Record: e.id, Number: e.label(), Started: e.start, Implants: shelf.implants(e)}
			found[e], only[e] = s, packs
		}
		s.Action = Recall
		for _, p := range packs {
			s.Because = append(s.Because, "Pack "+p+" was used although it stands "+e.stands(p).String()+".")
		}
	}
	var out []SuspectLoad
	for _, e := range slices.SortedFunc(maps.Keys(found), before) {
		s := found[e]
		for _, p := range shelf.of(e) {
			if only[e] == nil || slices.Contains(only[e], p.id) {
				s.Packs = append(s.Packs, shelf.whereabouts(e, p))
			}
		}
		out = append(out, *s)
	}
	return out
}

func (s shelved) whereabouts(e *occurrence, p packTrace) SuspectPack {
	out := SuspectPack{ID: p.id, Implant: p.implant}
	for _, s := range s.known[storedOf{e, p.id}] {
		if s.Use != nil {
			out.Where, out.Patient, out.Used = Used, s.Use.Patient, s.Use.Time
			return out
		}
		out.Where = InStore
	}
	return out
}

// hits reports whether a load is suspect. A load without a time is suspect whatever
// the window.
func (t *trigger) hits(e *occurrence) bool {
	if t.hit != nil && !t.hit(e) {
		return false
	}
	if !t.window || e.start.IsZero() || e == t.of {
		return true
	}
	return (t.from.IsZero() || e.start.After(t.from)) && (t.to.IsZero() || !e.start.After(t.to))
}

// triggers returns the failures of one sterilizer in time order, and after them the
// loads that were released against the evidence.
func (u *unitHistory) triggers(c course) []trigger {
	line := u.timeline()
	of := map[*occurrence]*Procedure{} // that each positive test belongs to
	for _, p := range u.procedures(c) {
		for _, e := range p.positives {
			of[e] = p
		}
	}
	closed := joined(u.outages(line, c))
	good := goodTests(line)
	var out []trigger
	for _, e := range line {
		if in := closed.at(e.start); e.kind == 0 && in != nil && in.of != e && e.forPatients() {
			out = append(out, ofItself(e, rules.HistoryOutofuse,
				"The load was run while the sterilizer was out of service since "+in.From.Format(stamp)+": "+in.why()+"."))
		}
		switch {
		case e.bio == bioPositive:
			out = append(out, ofPositive(good, e, of[e], c.positive))
		case (e.kind == calendar.AirRemovalEvent || e.kind == calendar.LeakEvent) && e.result().passed == moistheat.No:
			out = append(out, ofAir(good, e))
		case e.kind == calendar.WrongSettingEvent:
			out = append(out, ofSetting(e))
		}
	}
	for _, e := range append(line, u.undated()...) {
		if e.kind == 0 && e.reopened() {
			out = append(out, ofItself(e, rules.RecallReleased, "The load was released against the evidence."))
		}
	}
	return out
}

// always asks the same of each load that a trigger hits.
func always(a RecallAction) func(*occurrence, moistheat.Answer) RecallAction {
	return func(*occurrence, moistheat.Answer) RecallAction { return a }
}

// ofItself is the trigger of a load that casts doubt on itself alone.
func ofItself(e *occurrence, rule ask.ID, why string) trigger {
	hit := func(l *occurrence) bool { return l == e }
	return trigger{of: e, rule: rule, hit: hit, action: always(Recall), why: why}
}

// ofPositive is the trigger of a positive biological test: the policy says of which
// number in a procedure on everything is recalled, and not the implants alone.
func ofPositive(good goods, e *occurrence, p *Procedure, pol *calendar.PositiveTestPolicy) trigger {
	last := good.before(e)
	to, until := bound(e, p)
	recall := pol == nil || p.unsound || p.Positives >= pol.RecallAfter
	t := trigger{of: e, rule: rules.RecallPositive, window: true, bounded: last != nil, from: endOf(last), to: to}
	t.why = fmt.Sprintf("The biological test of %s is positive; this load was run %s and %s.",
		e.when(), since(last, "biological"), until)
	switch {
	case pol == nil:
		t.why += " The policy does not say when to recall, so it is recalled."
	case p.unsound:
		t.why += " Physical record or chemical indicators of a positive run of this failure are not shown to be good."
	case recall:
		t.why += fmt.Sprintf(" This failure has %s; the policy recalls from number %d on.",
			prose.Plural(p.Positives, "positive test"), pol.RecallAfter)
	default:
		t.why += " After a first positive test with good physical record and indicators" +
			" the policy recalls implants and the load itself only."
	}
	t.action = func(l *occurrence, implants moistheat.Answer) RecallAction {
		switch {
		case recall || l == e || implants == moistheat.Yes:
			return Recall
		case implants == moistheat.NotRecorded:
			return Quarantine
		}
		return Trace
	}
	return t
}

// ofAir is the trigger of a failed air removal or leak test, which casts doubt on
// cycles with dynamic air removal; what is not recorded may have been one.
func ofAir(good goods, e *occurrence) trigger {
	rule := rules.RecallPenetration
	if e.kind == calendar.LeakEvent {
		rule = rules.RecallLeak
	}
	last := good.before(e)
	to, until := bound(e, nil)
	return trigger{
		of: e, rule: rule, window: true, from: endOf(last), to: to, action: always(Quarantine),
		hit: func(l *occurrence) bool { return l.dynamic() || l.cycle.AirRemoval == "" },
		why: fmt.Sprintf("The %s failed (%s); this load was run %s and %s.",
			e.name(), e.result(), since(last, e.kind.String()), until),
	}
}

// ofSetting is the trigger of a wrong setting, whenever a load was run with it.
func ofSetting(e *occurrence) trigger {
	return trigger{
		of: e, rule: rules.RecallSetting, action: always(Recall),
		hit: func(l *occurrence) bool {
			return !e.cycle.differs(l.cycle) && (!e.hold.IsValid() || !l.hold.IsValid() || e.hold.Compare(l.hold) == 0)
		},
		why: "A wrong setting was found on " + e.end.Format(stamp) + " (" + setting(e) +
			"); this load was run with it or does not say otherwise, and no spore test excuses that.",
	}
}

// goods are the good tests of a sterilizer by kind and end. Biological ones are those
// of loads and of runs without goods.
type goods map[calendar.EventKind][]*occurrence

func goodTests(line []*occurrence) goods {
	out := goods{}
	for _, e := range line {
		switch {
		case e.bio == bioGood && (e.kind == 0 || e.kind == calendar.BiologicalTestEvent):
			out[calendar.BiologicalTestEvent] = append(out[calendar.BiologicalTestEvent], e)
		case e.kind != 0 && e.result().passed == moistheat.Yes:
			out[e.kind] = append(out[e.kind], e)
		}
	}
	for _, list := range out {
		slices.SortStableFunc(list, func(a, b *occurrence) int { return a.end.Compare(b.end) })
	}
	return out
}

// before returns the newest good test of the kind of t that ended before t, or nil.
func (g goods) before(t *occurrence) *occurrence {
	kind := t.kind
	if t.bio == bioPositive {
		kind = calendar.BiologicalTestEvent
	}
	list := g[kind]
	i := sort.Search(len(list), func(i int) bool { return list[i].end.After(t.start) })
	if i == 0 {
		return nil
	}
	return list[i-1]
}

// endOf returns the end of a test, the zero Time where there is none.
func endOf(e *occurrence) time.Time {
	if e == nil {
		return time.Time{}
	}
	return e.end
}

// since says from when on a load is suspect: after the last good test, if any.
func since(last *occurrence, what string) string {
	if last == nil {
		return "from the first load on record, as no good " + what + " test stands before it"
	}
	return "after the last good " + what + " test (" + last.when() + ")"
}

// bound returns up to when a failure makes loads suspect: until it was known and the
// sterilizer went out of service; what was run later was run out of service. Where a
// policy lets it run on, until its procedure p ends.
func bound(e *occurrence, p *Procedure) (time.Time, string) {
	at := e.known()
	switch {
	case p == nil:
	case p.out.IsZero() && p.Closed.IsZero():
		return time.Time{}, "up to the newest, as it did not go out of service"
	case p.out.IsZero():
		at = later(p.Closed, p.sure)
		return at, "until it was shown to work on " + at.Format(stamp)
	case p.out.After(e.end) && p.out.Before(at):
		at = p.out // somebody took it out before
	}
	if at.Equal(e.end) {
		return at, "until that test"
	}
	return at, "until that was known on " + at.Format(stamp)
}

// recalls adds findings about failures and the loads they cast doubt on.
func (h *History) recalls(c *ask.List) {
	from := len(c.Findings)
	shelf := h.shelved()
	recalled := map[string]bool{} // sterilizers with a load to take back
	for _, id := range h.Sterilizers() {
		h.failures(c, id, shelf)
		for _, s := range h.suspects(id, shelf) {
			if s.Action == Recall {
				recalled[id] = true
				s.untraced(c)
			}
		}
	}
	h.unlabelled(c, recalled)
	rest(c, from, "", false, rules.RecallPositive, rules.RecallPenetration, rules.RecallLeak, rules.RecallSetting,
		rules.RecallReleased, rules.RecallImplant, rules.RecallUnbounded, rules.RecallUntraced, rules.RecallUnlabelled)
}

// failures says what failed in a sterilizer, how many loads it casts doubt on, and
// which of those that a positive test does hold implants.
func (h *History) failures(c *ask.List, id string, shelf shelved) {
	u := h.sterilizers[id]
	loads := append(u.timeline(), u.undated()...)
	doubtful := map[*occurrence]bool{} // after a positive test
	for _, t := range u.triggers(h.course()) {
		n := 0
		for _, e := range loads {
			if e.kind == 0 && t.hits(e) {
				n++
				doubtful[e] = doubtful[e] || t.rule == rules.RecallPositive
			}
		}
		if t.rule == rules.HistoryOutofuse {
			continue // said of the log
		}
		at := t.of.pointer()
		if t.of.id == "" {
			at = "/sterilizers/" + guard.Escape(id)
		}
		c.Ask(t.rule, at).With("what", t.of.tested()).With("why", t.of.result().String()).
			With("count", strconv.Itoa(n)).With("setting", setting(t.of)).Broken()
		if t.rule == rules.RecallPositive {
			c.Ask(rules.RecallUnbounded, at).With("test", "biological").BrokenIf(!t.bounded)
		}
	}
	for _, e := range slices.SortedFunc(maps.Keys(doubtful), before) {
		if has := shelf.implants(e); doubtful[e] && has != moistheat.No {
			c.Ask(rules.RecallImplant, e.pointer()).No(has)
		}
	}
}

// untraced says which packs of a load to take back are not found, or not the patient.
func (s *SuspectLoad) untraced(c *ask.List) {
	q := c.Ask(rules.RecallUntraced, "/loads/"+guard.Escape(s.Record))
	if len(s.Packs) == 0 {
		q.Open(moistheat.Unrecorded)
		return
	}
	var lost []string
	for _, p := range s.Packs {
		if p.Where == "" || p.Where == Used && p.Patient == "" {
			lost = append(lost, p.ID)
		}
	}
	q.With("count", strconv.Itoa(len(lost))).With("packs", strings.Join(lost, ", ")).BrokenIf(len(lost) > 0)
}

// unlabelled asks of packs in store that may belong to a load to take back whether it
// can be told which load they are of.
func (h *History) unlabelled(c *ask.List, recalled map[string]bool) {
	find := h.finder()
	for _, key := range slices.Sorted(maps.Keys(h.shelf)) {
		s := h.shelf[key]
		if s.Use == nil && (recalled[s.Sterilizer] || s.Sterilizer == "" && len(recalled) > 0) {
			c.Ask(rules.RecallUnlabelled, "/packs/"+guard.Escape(s.Pack)).With("pack", s.Pack).
				BrokenIf(len(find.loadsOf(s)) == 0)
		}
	}
}
