package history

import (
	"cmp"
	"encoding/json"
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
	"example.com/moistheat/packaging"
)

// Opening says whether a pack may be opened for a patient. The zero Opening allows nothing.
type Opening struct {
	Pack         string              `json:"pack"`
	At           time.Time           `json:"at"`
	Answer       OpeningAnswer       `json:"answer"`
	Sterilizer   string              `json:"sterilizer,omitempty"` // of its load; empty: it is not known which that is
	Record       string              `json:"record,omitempty"`     // id of its load's record
	Findings     []moistheat.Finding `json:"findings,omitempty"`   // the open ones
	Look         []string            `json:"look,omitempty"`       // what to inspect, before and when it is opened
	load.Reasons                     // of Findings

	policy *load.Policy
	looks  []moistheat.Detail // which Look says in the language
}

// OpeningAnswer is the answer to whether a pack may be opened. The zero OpeningAnswer is
// none.
type OpeningAnswer string

const (
	// MayOpen: nothing on record is against it. What a look shows still counts.
	MayOpen OpeningAnswer = "yes"
	// AskFirst: something that would show it is not on record, or doubtful.
	AskFirst OpeningAnswer = "ask"
	// MayNotOpen: something on record is against it.
	MayNotOpen OpeningAnswer = "no"
)

// MayOpen says whether a pack may be opened for a patient at an instant. It may where exactly
// one load lists it, which is over, was released and may be; where nothing that became known
// since is against that load, on whatever day it came to light; and where the store has it,
// unopened, in order and in time. What is not on record never allows it. It takes a pass over
// everything, as [History.Recall] does.
func (h *History) MayOpen(pack string, at time.Time) Opening {
	o := Opening{Pack: pack, At: at, policy: h.Policy()}
	h.opening(&o)
	if then, later := h.asOf(at); len(later) > 0 { // amendments that were signed later allow nothing
		before := Opening{Pack: pack, At: at}
		then.opening(&before)
		for _, f := range before.Findings {
			if !slices.ContainsFunc(o.Findings, func(g moistheat.Finding) bool {
				return f.Rule == g.Rule && f.Outcome == g.Outcome && f.Pointer == g.Pointer
			}) {
				o.Findings = append(o.Findings, f)
			}
		}
	}
	slices.SortStableFunc(o.Findings, moistheat.Finding.Compare)
	o.Reasons = o.policy.Reasons(o.Findings)
	worst := moistheat.Release
	for _, f := range o.Findings {
		worst = max(worst, holds(f))
	}
	switch {
	case worst == moistheat.Reject || h.Policy().Name() == "": // by which nothing has an effect
		o.Answer = MayNotOpen
	case worst == moistheat.Quarantine:
		o.Answer = AskFirst
	default:
		o.Answer = MayOpen
	}
	return o
}

// holds says what an open finding does to a pack that is to be opened. No policy makes
// less of what this package finds than that.
func holds(f moistheat.Finding) moistheat.Disposition {
	does := max(f.Effect.Pack, f.Effect.Load, moistheat.Release)
	storage := strings.HasPrefix(f.Rule, "load.storage.")
	switch own := strings.HasPrefix(f.Rule, "load.open.") || f.Rule == "load.storage.event"; {
	case (own || strings.HasPrefix(f.Rule, "load.prion.")) && f.Outcome >= moistheat.Broken:
		return moistheat.Reject
	case own || !storage && f.Outcome >= moistheat.Broken:
		return max(does, moistheat.Quarantine)
	}
	return does
}

// opening enters what is open about a pack, and what to inspect.
func (h *History) opening(o *Opening) {
	h = cmp.Or(h, &History{})
	x, find, shown := h.chainIndex(), h.finder(), h.shown()
	c := rules.Book.List(nil)
	loads, stray := slices.Clone(x.listed[o.Pack]), false
	for _, s := range x.stored[o.Pack] {
		of := find.loadsOf(s)
		stray = stray || len(of) == 0
		for _, e := range of {
			if !slices.ContainsFunc(loads, func(p packOf) bool { return p.e == e }) {
				loads = append(loads, packOf{"", e, nil})
			}
		}
	}
	h.openUnknown(&c, o, x, loads, stray)
	if len(loads) == 1 && loads[0].packTrace != nil {
		p := loads[0]
		o.Sterilizer, o.Record = p.sterilizer, p.e.id
		h.openReleased(&c, o, p, shown[p.e])
		h.openSuspect(&c, o, p)
		for _, old := range p.olds() {
			x.judge(&c, p, old)
		}
	}
	h.openGone(&c, o, x)
	for _, f := range h.inForce(c.Findings, o.At) {
		if f.Open() {
			o.Findings = append(o.Findings, f)
		}
	}
	of := packOf{}
	if len(loads) == 1 {
		of = loads[0]
	}
	o.Findings = append(o.Findings, h.openStored(o, x.stored[o.Pack], of)...)
	o.look(loads)
}

func (o *Opening) ask(c *ask.List, rule ask.ID) ask.Question {
	return c.Ask(rule, "/packs/"+guard.Escape(o.Pack)).With("pack", prose.Name(o.Pack))
}

// openUnknown asks whether it is known which load the pack is of.
func (h *History) openUnknown(c *ask.List, o *Opening, x *chainIndex, loads []packOf, stray bool) {
	q, n := o.ask(c, rules.OpenUnknown), len(x.stored[o.Pack])
	switch {
	case len(loads) == 0 && n == 0:
		q.Broken()
	case len(loads) == 0:
		q.Say("why", lang.Say("open-load-unrecorded: its load is not on record")).Open(moistheat.Unrecorded)
	case len(loads) > 1:
		q.Say("why", lang.Say("open-of-several-loads: it may be of {1:number} loads", strconv.Itoa(len(loads)))).
			Open(moistheat.Contradictory)
	case loads[0].packTrace == nil:
		q.Say("why", lang.Say("open-unlisted: the record of the load does not list it")).Open(moistheat.Contradictory)
	case stray:
		q.Say("why", lang.Say("open-stray-line: a line of the store has this ID and is of no load on record")).
			Open(moistheat.Contradictory)
	case len(loads[0].e.contradictory()) > 0 || !loads[0].e.exact():
		q.Say("why", lang.Say("open-lines-contradict: the lines about its load contradict each other")).
			Open(moistheat.Contradictory)
	default:
		q.Met()
	}
}

// openReleased asks whether the pack was released, and may be; shown says that the history
// shows what its record lacks.
func (h *History) openReleased(c *ask.List, o *Opening, p packOf, shown bool) {
	q := o.ask(c, rules.OpenUnreleased)
	_, over := p.e.over()
	stands, decided := p.e.stands(p.id, shown), cmp.Or(p.released, p.e.released)
	refused := slices.ContainsFunc(p.e.counting(), func(v *occurrence) bool {
		i, listed := v.listed(p.id)
		return v.released == moistheat.No || listed && v.packs[i].released == moistheat.No
	})
	switch {
	case stands == loadBad:
		q.With("state", lang.Term("state: rejected")).Broken()
	case over.After(o.At):
		q.Say("state", lang.Say("open-cycle-running: its cycle was not over at that time")).Broken()
	case decided == moistheat.Yes && p.e.signed.After(o.At):
		q.Say("state", lang.Say("open-released-later: not yet released at that time")).Broken()
	case decided == moistheat.No || refused:
		q.Say("state", lang.Say("open-not-released: not released")).Broken()
	case stands == loadHeld:
		q.Say("state", lang.Say("in-quarantine: in quarantine")).Broken()
	case over.IsZero():
		q.Say("state", lang.Say("open-end-unrecorded: when its cycle was over is not recorded")).Open(moistheat.Unrecorded)
	case stands != loadGood:
		q.Say("state", lang.Say("open-evidence-missing: in quarantine, as evidence is missing")).Open(moistheat.Unrecorded)
	case decided != moistheat.Yes:
		q.Say("state", lang.Say("open-undecided: its release is not decided")).Open(moistheat.NotYet)
	default:
		q.Met()
	}
}

// openSuspect asks what became known that is against the load, as [History.Check] does with
// its record.
func (h *History) openSuspect(c *ask.List, o *Opening, p packOf) {
	k := h.known(p.sterilizer, p.e, func() *occurrence { return p.e })
	q := o.ask(c, rules.OpenSuspect)
	recalled := RecallAction(0)
	for _, s := range h.allSuspects() {
		if s.Sterilizer == p.sterilizer && s.Record == p.e.id &&
			slices.ContainsFunc(s.Packs, func(s SuspectPack) bool { return s.ID == p.id }) {
			recalled = max(recalled, s.Action)
		}
	}
	void := slices.ContainsFunc(k.Controls, func(k load.KnownControl) bool {
		return k.Result == load.Negative &&
			slices.ContainsFunc(p.e.bios, func(b bioClaim) bool { return b.lot == k.Lot })
	})
	switch {
	case recalled >= Quarantine:
		q.Say("why", lang.Say("open-load-recalled: its load is recalled or kept apart")).Broken()
	case recalled == Trace:
		q.Say("why", lang.Say("open-load-doubted: a failure casts doubt on its load")).Broken()
	case len(k.Traces) > 0:
		q.Say("why", lang.Say("open-trace-shared: another load has the same cycle trace")).Broken()
	case void:
		q.Say("why", lang.Say("open-control-no-growth: a control of its biological indicator is negative")).
			Open(moistheat.Contradictory)
	case p.e.rests && len(k.Practices) > 0:
		q.Say("why", lang.Say("open-practice-not-kept: its record rests on practices, and one was not kept")).
			Open(moistheat.Unrecorded)
	default:
		q.Met()
	}
	for _, f := range h.knownAgainst(p, k) {
		if f.Pointer = p.e.pointer(); f.Open() {
			o.Findings = append(o.Findings, f)
		}
	}
}

// knownAgainst asks the rules about what is known beside the record of a load, of what its
// trace keeps of it.
func (h *History) knownAgainst(p packOf, k load.Known) (out []moistheat.Finding) {
	r := &load.Record{Format: load.Format, ID: p.e.id, Cycle: &load.Cycle{}}
	r.Load.Date, r.Sterilizer.ID = p.e.date, p.sterilizer
	r.Cycle.Started, r.Cycle.Ended = p.e.start, p.e.end
	own := ""
	for i := range p.e.packs {
		t := &p.e.packs[i]
		if t.id == p.id {
			own = "/packs/" + strconv.Itoa(i)
		}
		r.Packs = append(r.Packs, t.marked())
	}
	for _, f := range load.CheckKnowing(r, h.Policy(), k).Findings {
		switch f.Rule {
		case "load.prion.suspected", "load.prion.shared", "load.prion.prepared", "load.item.worn",
			"load.cleaning.spent", "cleaning.batch.missing":
			if f.Pointer != own && !strings.HasPrefix(f.Pointer, own+"/") {
				continue
			}
		case "load.sterilizer.outofservice", "load.sterilizer.suspect":
		default: // of a batch that cleaned an item, which set was in it is not kept
			if !strings.HasPrefix(f.Rule, "cleaning.") || f.Outcome != moistheat.Broken || f.Rule == "cleaning.batch.without" ||
				!strings.HasPrefix(f.Pointer, own+"/") {
				continue
			}
		}
		out = append(out, f)
	}
	return out
}

// marked returns a pack with what its marks say of it and of each of its items. Where versions say
// other things of an item it stands there once for each pair of what they say, or of very many
// once for each mark.
func (t *packTrace) marked() load.Pack {
	const mostPairs = 64
	p := load.Pack{Pack: packaging.Pack{ID: t.id}}
	marks, order := map[string]map[markKind][]mark{}, []string{}
	for _, m := range t.marks {
		switch m.what {
		case markedCase:
			p.PrionSuspected = moistheat.Yes
			continue
		case markedSet:
			p.Set = m.id
			continue
		case markedOld, markedDevice, markedLoan:
			continue
		}
		of := m.of()
		if marks[of] == nil {
			marks[of], order = map[markKind][]mark{}, append(order, of)
		}
		marks[of][m.what] = append(marks[of][m.what], m)
	}
	for _, of := range order {
		from := len(p.Items)
		ids, washes, more := marks[of][markedItem], marks[of][markedWash], marks[of][markedLubricant]
		if len(ids) > 0 && len(washes) > 0 && len(ids)*len(washes) <= mostPairs {
			for _, id := range ids {
				for _, wash := range washes {
					p.Items = append(p.Items, t.item(id, wash))
				}
			}
		} else {
			for _, m := range slices.Concat(ids, washes) {
				p.Items = append(p.Items, t.item(m))
			}
		}
		for _, m := range more {
			p.Items = append(p.Items, t.item(m))
		}
		for i := from; i < len(p.Items); i++ {
			classify(&p.Items[i], marks[of])
		}
	}
	return p
}

// classify enters the class of an item, the stricter where versions say two, and the method by which
// it was cleaned, where they agree.
func classify(it *packaging.Item, marks map[markKind][]mark) {
	for _, m := range marks[markedClass] {
		switch c := packaging.Class(m.id); {
		case it.Class == "", c == packaging.Critical, it.Class == packaging.Noncritical:
			it.Class = c
		}
	}
	if all := marks[markedMethod]; len(all) > 0 && all[0].id == all[len(all)-1].id {
		it.Preparation.Method = packaging.CleaningMethod(all[0].id)
	}
}

// item returns an item with marks.
func (t *packTrace) item(marks ...mark) packaging.Item {
	it := packaging.Item{Name: t.id}
	for _, m := range marks {
		switch m.what {
		case markedItem:
			it.ID, it.Name = m.id, m.id
			if m.limit > 0 {
				it.Instructions = &packaging.Instructions{MaxCycles: int(m.limit)}
			}
		case markedWash:
			it.Preparation.WasherLoad = m.id
		case markedLubricant:
			it.Preparation.Lubricant = m.id
		}
	}
	return it
}

// of returns the pointer of the item that a mark is of, and "" of one that is of none.
func (m *mark) of() string {
	const items = "/items/"
	at := strings.Index(m.at, items)
	if at < 0 {
		return ""
	}
	end := strings.IndexByte(m.at[at+len(items):], '/')
	if end < 0 {
		return ""
	}
	return m.at[:at+len(items)+end]
}

// openGone asks whether the pack lies in store as what it was.
func (h *History) openGone(c *ask.List, o *Opening, x *chainIndex) {
	q := o.ask(c, rules.OpenGone)
	for _, s := range x.stored[o.Pack] {
		for _, v := range s.left {
			switch {
			case v.Use != nil:
				q.Say("what", lang.Say("open-used: it was used")).Broken()
				return
			case v.Fate == SentBack:
				q.Say("what", lang.Say("open-sent-back: it was sent back")).Broken()
				return
			case v.Fate != "":
				q.Say("what", lang.Say("open-thrown-away: it was thrown away")).Broken()
				return
			}
		}
	}
	for _, p := range x.followers[o.Pack] {
		if p.id != o.Pack {
			q.Say("what", lang.Say("open-packed-again: it was packed again as {1:name}", prose.Name(p.id))).Broken()
			return
		}
	}
	if len(x.listed[o.Pack])+len(x.stored[o.Pack]) == 0 {
		q.When(false) // what is on no record is not asked about twice
	}
	q.Known(len(x.stored[o.Pack]) > 0)
}

// openStored judges the pack by what lines say of it in store: what one of them has against
// it counts, and what none of them shows is open. Where one is silent the others speak for it, as far
// as they agree, but an earlier look not for a later one. Of the days of store and load the earlier counts.
func (h *History) openStored(o *Opening, known []*shelvedPack, of packOf) (out []moistheat.Finding) {
	on, made, expires := moistheat.DateOf(o.At), moistheat.Date{}, moistheat.Date{}
	if of.e != nil {
		if made = of.e.date; !of.e.end.IsZero() {
			on = moistheat.DateOf(o.At.In(of.e.end.Location()))
		}
	}
	if of.packTrace != nil {
		expires = of.expires
	}
	type place struct{ rule, pointer string }
	type found struct {
		moistheat.Finding
		of saying
	}
	met := map[place][]moistheat.Date{}
	var all []found
	for _, s := range known {
		for _, pack := range s.completed() {
			pack.Sterilized, pack.Expires = firstDay(pack.Sterilized, made), firstDay(pack.Expires, expires)
			for _, f := range CheckStored(&pack.StoredPack, h.Policy(), on) {
				f.Pack = o.Pack
				if at := (place{f.Rule, f.Pointer}); f.Outcome == moistheat.Met && !slices.Contains(met[at], pack.looked) {
					met[at] = append(met[at], pack.looked)
				}
				all = append(all, found{f, pack})
			}
		}
	}
	for _, f := range all {
		covered := f.Outcome == moistheat.Undetermined &&
			slices.ContainsFunc(met[place{f.Rule, f.Pointer}], func(looked moistheat.Date) bool {
				return f.of.speaksFor(f.Finding, looked)
			})
		twice := slices.ContainsFunc(out, func(g moistheat.Finding) bool {
			return f.Rule == g.Rule && f.Pointer == g.Pointer && f.Outcome == g.Outcome
		})
		if f.Open() && !covered && !twice {
			out = append(out, f.Finding)
		}
	}
	return out
}

// look says what to inspect: the pack before it is opened, and its indicators.
func (o *Opening) look(loads []packOf) {
	o.looks = []moistheat.Detail{
		lang.Say("open-look-outside: Outside: dry, intact, seal closed, label as on record.")}
	var seen seenMarks
	for _, p := range loads {
		if p.packTrace != nil {
			seen |= p.seen
		}
	}
	inside := false
	for at := range 14 {
		if seen&(1<<at) == 0 {
			continue
		}
		kind := lang.Say("open-type-unrecorded: of a type that is not recorded")
		if at%7 > 0 {
			kind = lang.Say("open-of-type: of type {1:number}", strconv.Itoa(at%7))
		}
		if at < 7 {
			o.looks = append(o.looks,
				lang.With("open-indicator-outside: The indicator outside, {1:text}: at its end point.", kind))
			continue
		}
		inside = true
		o.looks = append(o.looks,
			lang.With("open-indicator-inside: On opening, the indicator inside, {1:text}: at its end point.", kind))
	}
	if !inside {
		o.looks = append(o.looks,
			lang.Say("open-no-indicator: On opening, an indicator inside: none is on record."))
	}
	o.Look = inEnglish(o.looks)
}

// MarshalJSON writes the answer with the message of each finding.
func (o Opening) MarshalJSON() ([]byte, error) {
	type plain Opening
	type said struct {
		moistheat.Finding
		Message string `json:"message"`
	}
	o.Rules, o.Warnings = append([]load.NamedRule{}, o.Rules...), append([]load.Warning{}, o.Warnings...)
	out := struct {
		*plain
		Findings []said `json:"findings,omitempty"`
	}{plain: (*plain)(&o)}
	for _, f := range o.Findings {
		out.Findings = append(out.Findings, said{f, o.Message(f)})
	}
	return json.Marshal(out)
}

// Text returns the answer with its reasons for a person.
func (o Opening) Text() string {
	says := lang.Text("Pack {pack}: ask before it is opened.")
	switch o.Answer {
	case MayOpen:
		says = "Pack {pack}: may be opened, if an inspection of it shows nothing else."
	case MayNotOpen:
		says = "Pack {pack}: do not open it."
	}
	var b strings.Builder
	b.WriteString(o.Language.Wrap("", "  ", say(o.Language, says, "pack", prose.Name(o.Pack))))
	if o.Answer != MayNotOpen {
		b.WriteString(o.Language.Wrap("", "  ", say(o.Language, "Inspect it:")))
		for _, look := range o.Look {
			b.WriteString(o.Language.Wrap("- ", "  ", look))
		}
	}
	if len(o.Findings) > 0 {
		b.WriteString("\n" + o.Reasons.Text(o.Findings))
	}
	return b.String()
}
