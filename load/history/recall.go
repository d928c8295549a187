package history

import (
	"cmp"
	"reflect"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lang"
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
	Sterilizer string           `json:"sterilizer"`
	Record     string           `json:"record"` // id of the load's record
	Number     string           `json:"number,omitempty"`
	Started    time.Time        `json:"started,omitzero"` // zero: not on record
	Implants   moistheat.Answer `json:"implants,omitzero"`
	Action     RecallAction     `json:"action"`
	Packs      []SuspectPack    `json:"packs,omitempty"`
	Because    []string         `json:"because,omitempty"` // the reasoning, a sentence for each series of failures, and how many there are beyond ten
	Amended    []string         `json:"amended,omitempty"` // the amendments, where the answer would be another without them

	because, amended []moistheat.Detail // which Because and Amended say in the language
	in               moistheat.Language
}

// SuspectPack is a use of a pack of a suspect load, or the pack where no use is known.
type SuspectPack struct {
	ID      string           `json:"id"`
	Implant moistheat.Answer `json:"implant,omitzero"`
	Where   PackLocation     `json:"where,omitempty"`
	Patient string           `json:"patient,omitempty"`
	Used    time.Time        `json:"used,omitzero"`
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
	shelf, shown, made := h.shelved(), h.shown(), h.packDoubts()
	for _, id := range h.Sterilizers() {
		out = append(out, h.suspects(id, shelf, shown, made)...)
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
	said := h.amendmentsOf(true)
	for _, s := range was {
		i, still := now[loadOf{s.Sterilizer, s.Record}]
		if !still {
			s.Action, s.amended = Lifted, said[s.Sterilizer]
			s.Amended = inEnglish(s.amended)
			is = append(is, s)
			same[len(is)-1] = true
			continue
		}
		same[i] = reflect.DeepEqual(s, is[i])
	}
	for i := range is {
		if !same[i] {
			is[i].amended = said[is[i].Sterilizer]
			is[i].Amended = inEnglish(is[i].amended)
		}
	}
	return is
}

// shelved are the stored packs that may be of a load, in the order of their keys.
type shelved map[*occurrence][]*shelvedPack

func (h *History) shelved() shelved {
	out := shelved{}
	h = cmp.Or(h, &History{})
	find := h.finder()
	for _, key := range h.packs() {
		s := h.stored()[key]
		if len(s.left) == 0 {
			continue // all that was said of it was taken back
		}
		for _, e := range find.loadsOf(s) {
			out[e] = append(out[e], s)
		}
	}
	return out
}

// alwaysLists reports whether every version of the load's record lists a pack.
func (h *occurrence) alwaysLists(pack string) bool {
	return !h.some(ofPacks, func(v *occurrence) bool { return !v.lists(pack) })
}

// of returns the packs of a load, with what the store knows of them: those of its record
// first, then what it does not list.
func (s shelved) of(e *occurrence) []packTrace {
	packs := slices.Clone(e.packs)
	at := map[string]int{}
	for i, p := range packs {
		at[p.id] = i
	}
	for _, p := range s[e] {
		if i, listed := at[p.Pack]; listed {
			packs[i].implant = anyYes(packs[i].implant, p.implant)
			continue
		}
		at[p.Pack] = len(packs)
		packs = append(packs, packTrace{id: p.Pack, implant: p.implant, at: -1})
	}
	return packs
}

// implants says whether a load holds an implant, by its record or by its packs in
// store: those that its record may not list, or that nobody said it has.
func (s shelved) implants(e *occurrence) moistheat.Answer {
	has := e.implants
	for _, p := range s[e] {
		if p.implant == moistheat.Yes || !e.alwaysLists(p.Pack) {
			has = anyYesOrUnknown(has, p.implant)
		}
	}
	return has
}

// against returns the ids of the packs of a load that were used although they, or their
// loads, were held or rejected; shown says that the history shows what its record lacks.
func (s shelved) against(e *occurrence, shown bool) []string {
	var out []string
	for _, p := range s[e] {
		if p.used() && e.stands(p.Pack, shown) != loadGood {
			out = append(out, p.Pack)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (h *History) suspects(id string, shelf shelved, shown map[*occurrence]bool,
	made *packDoubts) []SuspectLoad {
	var out []SuspectLoad
	why := h.units()[id].suspicion(h.course())
	for _, e := range why.loads {
		used := shelf.against(e, shown[e])
		because, action, byImplants := why.on(e)
		doubted, whyDoubted := made.packs(e)
		if len(used) == 0 && action == 0 && len(doubted) == 0 {
			continue
		}
		because = append(because, whyDoubted...)
		s := SuspectLoad{
			Sterilizer: id, Record: e.id, Number: e.label(), Started: e.start, Implants: shelf.implants(e),
			Action: action, because: because,
		}
		if byImplants {
			s.Action = max(s.Action, forImplants(s.Implants))
		}
		for _, asked := range doubted {
			s.Action = max(s.Action, asked)
		}
		if len(used) > 0 {
			s.Action = Recall
		}
		for _, p := range used {
			s.because = append(s.because, lang.With(
				"recall-pack-used: Pack {1} was used; by what is on record now it is {2:text}.",
				lang.Data(prose.Name(p)), e.stands(p, shown[e]).words()))
		}
		known := map[string][]*shelvedPack{}
		for _, p := range shelf[e] {
			known[p.Pack] = append(known[p.Pack], p)
		}
		blind := false
		for _, p := range shelf.of(e) {
			_, against := slices.BinarySearch(used, p.id)
			if doubted[p.id] == 0 && action == 0 && !against {
				continue // of a load that is suspect for nothing else only these packs are listed
			}
			s.Packs = append(s.Packs, whereabouts(p, known[p.id])...)
			blind = blind || slices.ContainsFunc(known[p.id], (*shelvedPack).blind)
		}
		if blind {
			s.because = append(s.because,
				lang.Say("recall-use-unrecorded: Not recorded here: when and for whom packs were used."))
		}
		s.Because = inEnglish(s.because)
		out = append(out, s)
	}
	return out
}

// blind reports whether a pack was used, and when and for whom was left out.
func (s *shelvedPack) blind() bool {
	return slices.ContainsFunc(s.left, func(v storedVersion) bool { return v.blind && v.Use != nil })
}

// whereabouts says what is known of a pack of a load: each use that lines give.
func whereabouts(p packTrace, known []*shelvedPack) []SuspectPack {
	pack := SuspectPack{ID: p.id, Implant: p.implant}
	var uses []*Use
	for _, s := range known {
		pack.Where = InStore
		uses = append(uses, s.uses()...)
	}
	var out []SuspectPack
	for _, u := range distinct(uses) {
		pack.Where, pack.Patient, pack.Used = Used, u.Patient, u.Time
		out = append(out, pack)
	}
	if len(out) == 0 {
		out = append(out, pack)
	}
	return out
}

// failure is a run of positive biological tests that no series of good ones ends. What
// was done to the sterilizer meanwhile ends no suspicion: only tests do.
type failure struct {
	tests   []*occurrence
	end     *occurrence // the good test that ends it; nil: it lasts
	unsound bool
	recall  bool // of everything
}

// failuresOf finds the failures in a timeline. Where versions disagree about when a test
// was run, a positive one was run whenever that is worse, and a good one ends nothing.
func failuresOf(line []*occurrence, pol *calendar.PositiveTestPolicy) []*failure {
	var bad, good []*occurrence
	for _, e := range line {
		switch {
		case e.bio == bioPositive && e.saidTwice(): // with the record
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
		i := sort.Search(len(good), func(i int) bool { return !good[i].start.Before(from) }) + need - 1
		if from.IsZero() || i >= len(good) {
			return nil
		}
		return good[i]
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
	h.look()
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

// endOf returns the end of a test, the zero Time where there is none.
func endOf(e *occurrence) time.Time {
	if e == nil {
		return time.Time{}
	}
	return e.end
}

// since says from when on a load is suspect: after the last good test, if any.
func since(last *occurrence, kind calendar.EventKind, zone *time.Location) moistheat.Detail {
	switch biological := kind == calendar.BiologicalTestEvent; {
	case last == nil && biological:
		return lang.Say("since-first-load: from the first recorded load on " +
			"(no earlier negative biological indicator test is recorded)")
	case last == nil:
		return lang.Say("since-first-load-of-kind: from the first recorded load on "+
			"(no earlier passed {1:calendar.EventKind} test is recorded)", kind.String())
	case biological:
		return lang.With("since-biological: after the last negative biological indicator test ({1:text})",
			last.when(zone))
	}
	return lang.With("since-passed: after the last passed {1:calendar.EventKind} test ({2:text})",
		lang.Data(kind.String()),
		last.when(zone))
}

// upTo says up to when a load is suspect: to the good test that ends the failure.
func upTo(end *occurrence, zone *time.Location) moistheat.Detail {
	if end == nil {
		return lang.Say("up-to-newest: up to the newest (no later test has ended the failure)")
	}
	return lang.With("up-to-test: up to the test that ended the failure ({1:text})", end.when(zone))
}

// recalls adds findings about failures and the loads they cast doubt on.
func (h *History) recalls(c *ask.List) {
	from := len(c.Findings)
	shelf, shown, made := h.shelved(), h.shown(), h.packDoubts()
	recalled := map[string]bool{} // sterilizers with a load to take back
	for _, id := range h.Sterilizers() {
		h.failures(c, id, shelf)
		for _, s := range h.suspects(id, shelf, shown, made) {
			if s.Action == Recall {
				recalled[id] = true
				s.untraced(c)
			}
		}
	}
	made.batches.recalled(c)
	h.unlabelled(c, recalled)
	h.incomplete(c, shown)
	rest(c, from, "", false, rules.RecallPositive, rules.RecallPenetration, rules.RecallLeak, rules.RecallSetting,
		rules.RecallSensor, rules.RecallReleased, rules.RecallImplant, rules.RecallUnbounded, rules.RecallUntraced, rules.RecallUnlabelled)
}

// incomplete asks for the rest of the records of loads that were released without it, where
// the history does not show it either. What is missing recalls nothing.
func (h *History) incomplete(c *ask.List, shown map[*occurrence]bool) {
	for _, id := range h.Sterilizers() {
		u := h.units()[id]
		for _, e := range slices.Concat(u.timeline(), u.undated()) {
			if e.kind == 0 && e.released == moistheat.Yes && e.state == loadOpen && !shown[e] && !e.reopened() {
				c.Ask(rules.RecallReleased, e.pointer()).Open(moistheat.Unrecorded)
			}
		}
	}
}

// failures says what failed in a sterilizer, how many loads it casts doubt on, and
// which of those that a positive test does hold implants.
func (h *History) failures(c *ask.List, id string, shelf shelved) {
	why := h.units()[id].suspicion(h.course())
	for _, t := range why.triggers {
		if t.rule == rules.HistoryOutofuse {
			continue // said of the log
		}
		at := t.of.pointer()
		if t.of.id == "" {
			at = "/sterilizers/" + guard.Escape(id)
		}
		q := c.Ask(t.rule, at).Say("what", t.of.tested(nil)).Say("why", t.of.result().words()).
			With("count", strconv.Itoa(why.count(t))).Say("setting", setting(t.of))
		if t.rule == rules.RecallSensor {
			q.With("error", t.of.errorFound().String())
		}
		q.Broken()
		if t.rule == rules.RecallPositive {
			c.Ask(rules.RecallUnbounded, at).BrokenIf(t.last == nil)
		}
	}
	for _, e := range why.loads {
		if !slices.ContainsFunc(why.chambers, func(d chamberDoubts) bool { return d.positive.hits(e) }) {
			continue
		}
		if has := shelf.implants(e); has != moistheat.No {
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
			lost = append(lost, prose.Name(p.ID))
		}
	}
	q.With("count", strconv.Itoa(len(lost))).With("packs", strings.Join(lost, ", ")).BrokenIf(len(lost) > 0)
}

// unlabelled asks of packs, in store or used, that may belong to a load to take back whether it
// can be told which load they are of.
func (h *History) unlabelled(c *ask.List, recalled map[string]bool) {
	find := h.finder()
	for _, key := range h.packs() {
		s := h.stored()[key]
		if len(s.left) > 0 && (recalled[s.Sterilizer] || s.Sterilizer == "" && len(recalled) > 0) {
			c.Ask(rules.RecallUnlabelled, "/packs/"+guard.Escape(s.Pack)).With("pack", s.Pack).
				BrokenIf(len(find.loadsOf(s)) == 0)
		}
	}
}
