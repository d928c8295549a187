package history

import (
	"cmp"
	"fmt"
	"maps"
	"reflect"
	"slices"
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
	// Lifted: nothing but lines that an amendment takes back speaks against the load.
	Lifted RecallAction = iota + 1
	// Trace: know where the packs are; there is nothing to take back yet.
	Trace
	// Quarantine: use nothing of the load that is still in store.
	Quarantine
	// Recall: reprocess what is in store and find what was used.
	Recall
)

type recallActions struct{}

func (recallActions) Words() string { return "lifted|trace|quarantine|recall" }

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
	Amended    []string // the amendments, where the answer would be another without them
}

// SuspectPack is a use of a pack of a suspect load, or the pack where no use is known.
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
// call. No further line makes the list shorter or an action milder, but a good test, a
// record that completes the evidence for a load, a return to use on record, and an
// amendment, which leaves the load in the list as [Lifted] at least.
func (h *History) Recall() []SuspectLoad {
	out := h.allSuspects()
	if was := h.asEntered(); was != nil {
		out = h.amendRecall(was.allSuspects(), out)
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

func (h *History) allSuspects() []SuspectLoad {
	var out []SuspectLoad
	shelf := h.shelved()
	for _, id := range h.Sterilizers() {
		out = append(out, h.suspects(id, shelf)...)
	}
	return out
}

// amendRecall says of each suspect load by what amendments it is not what it was as
// lines were entered, and keeps those that are suspect no more.
func (h *History) amendRecall(was, is []SuspectLoad) []SuspectLoad {
	type loadOf struct{ sterilizer, record string }
	now := map[loadOf]int{}
	for i, s := range is {
		now[loadOf{s.Sterilizer, s.Record}] = i
	}
	same := map[int]bool{}
	said := map[string][]string{} // by sterilizer
	for _, id := range h.Sterilizers() {
		said[id] = h.amendmentsOf(id)
	}
	for _, s := range was {
		i, still := now[loadOf{s.Sterilizer, s.Record}]
		if !still {
			s.Action, s.Amended = Lifted, said[s.Sterilizer]
			is = append(is, s)
			same[len(is)-1] = true
			continue
		}
		same[i] = reflect.DeepEqual(s, is[i])
	}
	for i := range is {
		if !same[i] {
			is[i].Amended = said[is[i].Sterilizer]
		}
	}
	return is
}

// shelved are stored packs by the load that they may be of.
type shelved struct {
	packs map[*occurrence][]packTrace // those of its record first, then what it does not list
	used  map[*occurrence][]string    // although they, or their loads, were held or rejected
	known map[storedOf][]*shelvedPack // what is known of a pack of a load

	implant map[*occurrence]moistheat.Answer // in packs that its record may not list, or that nobody said it has
}

type storedOf struct {
	load *occurrence
	pack string
}

func (h *History) shelved() shelved {
	out := shelved{
		packs: map[*occurrence][]packTrace{}, used: map[*occurrence][]string{},
		known: map[storedOf][]*shelvedPack{}, implant: map[*occurrence]moistheat.Answer{},
	}
	h = cmp.Or(h, &History{})
	find := h.finder()
	for _, key := range h.packs() {
		s := h.shelf[key]
		if len(s.left) == 0 {
			continue // all that was said of it was taken back
		}
		for _, e := range find.loadsOf(s) {
			at := storedOf{e, s.Pack}
			out.known[at] = append(out.known[at], s)
			packs := out.of(e)
			if i := slices.IndexFunc(packs, func(p packTrace) bool { return p.id == s.Pack }); i >= 0 {
				packs[i].implant = anyYes(packs[i].implant, s.implant)
			} else {
				packs = append(packs, packTrace{id: s.Pack, implant: s.implant, at: -1})
			}
			out.packs[e] = packs
			if s.implant == moistheat.Yes || !e.alwaysLists(s.Pack) {
				has, some := out.implant[e]
				if !some {
					has = moistheat.No
				}
				out.implant[e] = anyYesOrUnknown(has, s.implant)
			}
			if len(s.uses) > 0 && e.stands(s.Pack) != loadGood && !slices.Contains(out.used[e], s.Pack) {
				out.used[e] = append(out.used[e], s.Pack)
			}
		}
	}
	return out
}

// alwaysLists reports whether every version of the load's record lists a pack.
func (h *occurrence) alwaysLists(pack string) bool {
	return !h.some(ofPacks, func(v *occurrence) bool { return !v.lists(pack) })
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
	if has, some := s.implant[e]; some {
		return anyYesOrUnknown(e.implants, has)
	}
	return e.implants
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
				s.Packs = append(s.Packs, shelf.whereabouts(e, p)...)
			}
		}
		if slices.ContainsFunc(s.Packs, func(p SuspectPack) bool { return shelf.blind(e, p.ID) }) {
			s.Because = append(s.Because, "When and for whom packs were used is not kept here.")
		}
		out = append(out, *s)
	}
	return out
}

// blind reports whether a pack of a load was used, and when and for whom was left out.
func (s shelved) blind(e *occurrence, pack string) bool {
	return slices.ContainsFunc(s.known[storedOf{e, pack}], func(p *shelvedPack) bool {
		return slices.ContainsFunc(p.left, func(v storedVersion) bool { return v.blind && v.Use != nil })
	})
}

// whereabouts says what is known of a pack of a load: each use that lines give.
func (s shelved) whereabouts(e *occurrence, p packTrace) []SuspectPack {
	pack := SuspectPack{ID: p.id, Implant: p.implant}
	var uses []*Use
	for _, s := range s.known[storedOf{e, p.id}] {
		pack.Where = InStore
		uses = append(uses, s.uses...)
	}
	slices.SortStableFunc(uses, compareUses)
	var out []SuspectPack
	for i, u := range uses {
		if !slices.ContainsFunc(uses[i+1:], func(o *Use) bool { return saysMore(o, u) }) &&
			!slices.ContainsFunc(uses[:i], func(o *Use) bool { return saysMore(o, u) && !saysMore(u, o) }) {
			pack.Where, pack.Patient, pack.Used = Used, u.Patient, u.Time
			out = append(out, pack)
		}
	}
	if len(out) == 0 {
		out = append(out, pack)
	}
	return out
}

// hits reports whether a load is suspect: it is if any version of it is. A load without a
// time is suspect whatever the window.
func (t *trigger) hits(e *occurrence) bool {
	if t.hit != nil && !t.hit(e) {
		return false
	}
	first, last, open := e.started()
	if !t.window || open || e == t.of {
		return true
	}
	return (t.from.IsZero() || last.After(t.from)) && (t.to.IsZero() || !first.After(t.to))
}

// triggers returns the failures of one sterilizer in time order, and after them the
// loads that were released against the evidence.
func (u *unitHistory) triggers(c course) []trigger {
	line, undated := u.timeline(), u.undated()
	of := map[*occurrence]*failure{} // that each positive test belongs to
	for _, f := range failuresOf(slices.Concat(line, undated), c.positive) {
		for _, e := range f.tests {
			of[e] = f
		}
	}
	out := outOfService(line, joined(u.outages(line, c)))
	for _, e := range slices.Concat(line, undated) {
		if f := of[e]; f != nil {
			out = append(out, f.trigger(line, e, c.positive))
		}
		if (e.kind == calendar.AirRemovalEvent || e.kind == calendar.LeakEvent) && e.result().passed == moistheat.No {
			out = append(out, ofAir(line, e))
		}
		if e.kind == calendar.WrongSettingEvent {
			out = append(out, ofSetting(e))
		}
	}
	for _, e := range slices.Concat(line, undated) {
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

// failure is a run of positive biological tests that no series of good ones ends. What
// was done to the sterilizer meanwhile ends no suspicion: only tests do.
type failure struct {
	tests   []*occurrence
	end     *occurrence // the good test that ends it; nil: it lasts
	unsound bool
}

// failuresOf finds the failures in a timeline. Where versions disagree about when a test
// was run, a positive one was run whenever that is worse, and a good one ends nothing.
func failuresOf(line []*occurrence, pol *calendar.PositiveTestPolicy) []*failure {
	var bad, good []*occurrence
	for _, e := range line {
		switch {
		case e.bio == bioPositive:
			bad = append(bad, e)
		case e.bio == bioGood && e.exact() && e.sound() == moistheat.Yes && !e.start.IsZero() && e.proven():
			good = append(good, e)
		}
	}
	slices.SortStableFunc(bad, func(a, b *occurrence) int { return earliest(a).Compare(earliest(b)) })
	// end returns the last of as many good tests as it takes, from one instant on.
	end := func(f *failure, from time.Time) *occurrence {
		need := 1
		if pol != nil {
			need = max(pol.Repeats, 1)
			if len(f.tests) > 1 {
				need = max(need, pol.AfterRepair)
			}
		}
		for _, g := range good {
			if !from.IsZero() && !g.start.Before(from) {
				if need--; need == 0 {
					return g
				}
			}
		}
		return nil
	}
	var all []*failure
	var until time.Time // a test of the failure may have been run up to then; zero: at any time
	for _, e := range bad {
		_, last := e.span()
		f := (*failure)(nil)
		if n := len(all); n > 0 {
			f = all[n-1]
			f.end = end(f, until)
		}
		if f == nil || f.end != nil && !f.end.end.After(earliest(e)) {
			f, until = &failure{}, last
			all = append(all, f)
		} else if until.IsZero() || last.IsZero() {
			until = time.Time{}
		} else {
			until = later(until, last)
		}
		f.tests, f.unsound = append(f.tests, e), f.unsound || e.unsound || e.sound() != moistheat.Yes
	}
	if n := len(all); n > 0 {
		all[n-1].end = end(all[n-1], until)
	}
	return all
}

// proven reports whether one line says by itself that a biological test is good, with its
// physical record and indicators.
func (h *occurrence) proven() bool {
	return h.some(ofBiological, func(v *occurrence) bool { return v.bio == bioGood && v.sound() == moistheat.Yes })
}

// span returns between which instants a failed test was run, by the versions in which it
// failed; zero: that is not known.
func (h *occurrence) span() (first, last time.Time) {
	if h.left == nil {
		return h.start, h.end
	}
	for _, v := range h.left {
		if h.bio == bioPositive && v.bio != bioPositive {
			continue
		}
		from, to := v.start, v.end
		if v.taken&(ofStart|ofEnd) != 0 { // the others may say when
			from, to = h.start, h.end
		}
		if from.IsZero() {
			return time.Time{}, time.Time{}
		}
		first, last = earlier(first, from), later(last, to)
	}
	return first, last
}

// earliest returns the first instant at which a failed test may have begun; zero: it is
// not known.
func earliest(e *occurrence) time.Time {
	first, _ := e.span()
	return first
}

// trigger is that of one positive biological test of a failure: the policy says of which
// number on everything is recalled, and not the implants alone.
func (f *failure) trigger(line []*occurrence, e *occurrence, pol *calendar.PositiveTestPolicy) trigger {
	last := lastGood(line, e, func(g *occurrence) bool { return g.bio == bioGood })
	recall := pol == nil || f.unsound || len(f.tests) >= pol.RecallAfter
	t := trigger{
		of: e, rule: rules.RecallPositive, window: true, bounded: last != nil, from: endOf(last), to: endOf(f.end),
	}
	t.why = fmt.Sprintf("The biological test of %s is positive; this load was run %s and %s.",
		e.when(), since(last, "biological"), upTo(f.end))
	switch {
	case pol == nil:
		t.why += " The policy does not say when to recall, so it is recalled."
	case f.unsound:
		t.why += " Physical record or chemical indicators of a positive run of this failure are not shown to be good."
	case recall:
		t.why += fmt.Sprintf(" This failure has %s; the policy recalls from number %d on.",
			prose.Plural(len(f.tests), "positive test"), pol.RecallAfter)
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
func ofAir(line []*occurrence, e *occurrence) trigger {
	rule := rules.RecallPenetration
	if e.kind == calendar.LeakEvent {
		rule = rules.RecallLeak
	}
	passed := func(g *occurrence) bool {
		return g.kind == e.kind && g.result().passed == moistheat.Yes &&
			!slices.ContainsFunc(g.left, func(v *occurrence) bool { return v.result().void })
	}
	last, end := lastGood(line, e, passed), (*occurrence)(nil)
	_, failed := e.span()
	for _, g := range line {
		if passed(g) && g.exact() && !failed.IsZero() && !g.start.Before(failed) &&
			(end == nil || g.end.Before(end.end)) {
			end = g
		}
	}
	return trigger{
		of: e, rule: rule, window: true, from: endOf(last), to: endOf(end), action: always(Quarantine),
		hit: func(l *occurrence) bool {
			return l.some(ofAirRemoval, func(v *occurrence) bool { return v.dynamic() || v.cycle.AirRemoval == "" })
		},
		why: fmt.Sprintf("The %s failed (%s); this load was run %s and %s.",
			e.name(), e.result(), since(last, e.kind.String()), upTo(end)),
	}
}

// ofSetting is the trigger of a wrong setting, whenever a load was run with it.
func ofSetting(e *occurrence) trigger {
	return trigger{
		of: e, rule: rules.RecallSetting, action: always(Recall),
		hit: func(l *occurrence) bool {
			air := CycleSetting{AirRemoval: e.cycle.AirRemoval}
			temperature := CycleSetting{Temperature: e.cycle.Temperature}
			return l.some(ofAirRemoval, func(v *occurrence) bool { return !air.differs(v.cycle) }) &&
				l.some(ofTemperature, func(v *occurrence) bool { return !temperature.differs(v.cycle) }) &&
				l.some(ofHold, func(v *occurrence) bool {
					return !e.hold.IsValid() || !v.hold.IsValid() || e.hold.Compare(v.hold) == 0
				})
		},
		why: "A wrong setting was found on " + e.end.Format(stamp) + " (" + setting(e) +
			"); this load was run with it or does not say otherwise, and no spore test excuses that.",
	}
}

// lastGood returns the newest good test that surely ended before t began, or nil.
// Biological tests are so in loads and in runs without goods.
func lastGood(line []*occurrence, t *occurrence, good func(*occurrence) bool) *occurrence {
	var out *occurrence
	begun := earliest(t)
	for _, e := range line {
		if e != t && good(e) && e.exact() && !e.end.After(begun) && (out == nil || e.end.After(out.end)) {
			out = e
		}
	}
	return out
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

// upTo says up to when a load is suspect: to the good test that ends the failure.
func upTo(end *occurrence) string {
	if end == nil {
		return "up to the newest, as no good test ended the failure"
	}
	return "up to the good test that ended the failure (" + end.when() + ")"
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
	h.incomplete(c)
	rest(c, from, "", false, rules.RecallPositive, rules.RecallPenetration, rules.RecallLeak, rules.RecallSetting,
		rules.RecallReleased, rules.RecallImplant, rules.RecallUnbounded, rules.RecallUntraced, rules.RecallUnlabelled)
}

// incomplete asks for the rest of the records of loads that were released without it. What
// is missing recalls nothing.
func (h *History) incomplete(c *ask.List) {
	for _, id := range h.Sterilizers() {
		u := h.sterilizers[id]
		for _, e := range slices.Concat(u.timeline(), u.undated()) {
			if e.kind == 0 && e.released == moistheat.Yes && e.state == loadOpen && !e.reopened() {
				c.Ask(rules.RecallReleased, e.pointer()).Open(moistheat.Unrecorded)
			}
		}
	}
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

// unlabelled asks of packs, in store or used, that may belong to a load to take back whether it
// can be told which load they are of.
func (h *History) unlabelled(c *ask.List, recalled map[string]bool) {
	find := h.finder()
	for _, key := range h.packs() {
		s := h.shelf[key]
		if len(s.left) > 0 && (recalled[s.Sterilizer] || s.Sterilizer == "" && len(recalled) > 0) {
			c.Ask(rules.RecallUnlabelled, "/packs/"+guard.Escape(s.Pack)).With("pack", s.Pack).
				BrokenIf(len(find.loadsOf(s)) == 0)
		}
	}
}
