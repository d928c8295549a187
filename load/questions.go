package load

import (
	"cmp"
	_ "embed"
	"iter"
	"maps"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/packaging"
)

// Question is what a person finds out in one act, such as to describe an item: all open
// findings of a report that this answers.
type Question struct {
	Act  string `json:"act"`  // its name, that of several done in one go, or the rule that stands for itself
	Text string `json:"text"` // what to find out
	// Hazards are those of finding it out; what protects from them is in [Report].Warnings.
	Hazards []moistheat.Hazard `json:"hazards,omitempty"`
	// AtTheTime says that it had to be seen while it could be; else it can still be found out.
	AtTheTime bool `json:"atTheTime,omitempty"`
	// Holds is how many packs it stands in the way of, Frees how many it alone keeps from
	// release, as nothing else is open or broken about them.
	Holds    int      `json:"holds"`
	Frees    int      `json:"frees"`
	Packs    []string `json:"packs,omitempty"`   // IDs of those that its findings point into
	Findings []int    `json:"findings"`          // places in [Report].Findings
	Answers  []string `json:"answers,omitempty"` // RFC 6901, members of the record that answer it
}

// Questions returns what is not recorded, act by act: first what alone frees packs, then by
// how many packs it stands in the way of; what changes no verdict comes last and holds none.
func (r *Report) Questions() []Question {
	if r == nil {
		return nil
	}
	var out []Question
	asked := r.acts()
	at, seen := map[errand]int{}, map[[2]string]bool{}
	w := newObstacles(len(r.Packs))
	for i := range r.Findings {
		f := &r.Findings[i]
		if !f.Open() {
			continue
		}
		if f.Outcome != moistheat.Undetermined {
			w.block(f, several)
			continue
		}
		n := r.named(f.Rule)
		if n == nil {
			n = &NamedRule{}
		}
		act, text := r.findOut(n, f)
		key := errand{cmp.Or(act, f.Rule), asked.atTheTime[cmp.Or(act, f.Rule)]}
		if of := (errand{actOf(key.act).Of, key.atTheTime}); asked.several(of) {
			key, text = of, r.Language.Text(actOf(of.act).Text)
		}
		q, known := at[key]
		if !known {
			q = len(out)
			at[key] = q
			out = append(out, Question{Act: key.act, Text: cmp.Or(text, r.Message(*f)), AtTheTime: key.atTheTime,
				Hazards: actOf(key.act).Hazards})
		}
		w.block(f, q)
		o := &out[q]
		o.Findings = append(o.Findings, i)
		if p := [2]string{strconv.Itoa(q), "pack " + f.Pack}; f.Pack != "" && !seen[p] {
			seen[p] = true
			o.Packs = append(o.Packs, f.Pack)
		}
		for _, a := range f.Answers {
			if p := [2]string{strconv.Itoa(q), a}; !seen[p] {
				seen[p] = true
				o.Answers = append(o.Answers, a)
			}
		}
	}
	w.count(r, out)
	slices.SortStableFunc(out, func(a, b Question) int {
		return cmp.Or(-cmp.Compare(a.Frees, b.Frees), -cmp.Compare(a.Holds, b.Holds))
	})
	return out
}

// What stands in the way of a pack or the load, beside the places of questions.
const (
	nothing = -1
	several = -2 // several questions, or what is broken
)

// obstacles say what stands in the way of the load and of each pack.
type obstacles struct {
	load  int
	packs []int
	held  []map[int]bool // questions, by pack
	every map[int]bool   // questions that hold the whole load
}

func newObstacles(packs int) *obstacles {
	return &obstacles{nothing, slices.Repeat([]int{nothing}, packs), make([]map[int]bool, packs), map[int]bool{}}
}

// block enters that a question, or what is broken, stands in the way by a finding. One that
// stands for more that are not listed may be about any pack.
func (w *obstacles) block(f *moistheat.Finding, q int) {
	if !f.Blocks { // nor do those that it stands for
		return
	}
	n, in := packOf(f.Pointer)
	in = in && n < len(w.packs)
	if in && f.Effect.Pack > moistheat.Release {
		w.packs[n] = both(w.packs[n], q)
		if w.held[n] == nil {
			w.held[n] = map[int]bool{}
		}
		w.held[n][q] = true
	}
	if f.Effect.Load > moistheat.Release || !in || f.More > 0 {
		w.load = both(w.load, q)
		w.every[q] = true
	}
}

func both(a, b int) int {
	switch {
	case a == nothing, a == b:
		return b
	case b == nothing:
		return a
	}
	return several
}

// count says of each question how many packs it holds and frees. A pack in a container is
// held by what holds that.
func (w *obstacles) count(r *Report, questions []Question) {
	done := make([]bool, len(r.Packs))
	for n := range r.Packs {
		var chain []int // from the pack outwards
		for at := n; ; {
			done[at] = true
			chain = append(chain, at)
			next, ok := packOf(r.Packs[at].ByContainer)
			if !ok || next >= len(done) {
				break
			}
			if at = next; done[at] { // what holds it is known, or it is in itself
				chain = append(chain, at)
				break
			}
		}
		for i := len(chain) - 2; i >= 0; i-- {
			in, out := chain[i], chain[i+1]
			w.packs[in] = both(w.packs[in], w.packs[out])
			if w.held[in] == nil {
				w.held[in] = map[int]bool{}
			}
			maps.Copy(w.held[in], w.held[out])
		}
	}
	for n := range r.Packs {
		if r.Packs[n].Disposition <= moistheat.Release {
			continue
		}
		if q := both(w.load, w.packs[n]); q >= 0 {
			questions[q].Frees++
		}
		for q := range questions { // no answer saves a pack that is rejected
			if r.Packs[n].Disposition < moistheat.Reject && (w.every[q] || w.held[n][q]) {
				questions[q].Holds++
			}
		}
	}
}

// name fills in which pack and item of a record a finding is about.
func (r *Record) name(f *moistheat.Finding) {
	i, ok := packOf(f.Pointer)
	if !ok || i >= len(r.Packs) {
		return
	}
	p := &r.Packs[i]
	f.Pack = p.ID
	_, rest, _ := strings.Cut(strings.TrimPrefix(f.Pointer, "/packs/"), "/")
	if j, ok := indexIn(rest, "items/"); ok && j < len(p.Items) {
		f.Item = itemName(&p.Items[j])
	}
}

// locate fills in which pack and item a finding is about, and what answers it.
func (r *judgement) locate(rec *Record, f *moistheat.Finding) {
	rec.name(f)
	open := f.Outcome == moistheat.Undetermined && f.Reason != moistheat.BasisNotAccepted && !noCycle(f, r.Findings)
	if s := r.policy.rules[f.Rule]; open && s != nil {
		for a := range s.rule.Answers.All() {
			if p := resolve(a, f.Pointer); !slices.Contains(f.Answers, p) {
				f.Answers = append(f.Answers, p)
			}
		}
	}
}

// originOf returns where a person edits what an open finding is about: the first of what it
// points to and what answers it that a catalogue could say.
func (r *judgement) originOf(from map[string]moistheat.Origin, f *moistheat.Finding) moistheat.Origin {
	stated := len(f.Answers) == 0
	for at := range r.whence(f) {
		o := from[at]
		if !stated || at == f.Pointer {
			o = origin(from, at)
		}
		if o != (moistheat.Origin{}) {
			return o
		}
	}
	return moistheat.Origin{}
}

// whence are the pointers at which it is sought where a person edits what an open finding is
// about: what answers it, or else the place that it points to and, if it is broken, what the
// rule rests on.
func (r *judgement) whence(f *moistheat.Finding) iter.Seq[string] {
	return func(yield func(string) bool) {
		for _, at := range f.Answers {
			if !yield(at) {
				return
			}
		}
		s := r.policy.rules[f.Rule]
		if len(f.Answers) > 0 || !yield(f.Pointer) || f.Outcome != moistheat.Broken || s == nil {
			return
		}
		for a := range s.rule.Answers.All() {
			if !yield(resolve(a, f.Pointer)) {
				return
			}
		}
	}
}

func itemName(it *packaging.Item) string { return cmp.Or(it.ID, it.Name) }

// resolve puts the indexes of a pointer into a pattern in which "-" stands for each element
// of a list. Where the pointer does not lead into that list the whole list is meant.
func resolve(pattern, pointer string) string {
	if !strings.Contains(pattern, "/-") {
		return pattern
	}
	var b strings.Builder
	at := strings.Split(pointer, "/")
	for i, s := range strings.Split(pattern, "/") {
		if s == "-" {
			if i >= len(at) {
				break
			}
			if _, err := strconv.Atoi(at[i]); err != nil {
				break
			}
			s = at[i]
		} else if i < len(at) && at[i] != s {
			at = at[:i]
		}
		if i > 0 {
			b.WriteByte('/')
		}
		b.WriteString(s)
	}
	return b.String()
}

// mostQuestions is how many questions a text shows.
const mostQuestions = 5

// questions lists what to find out first, and says how much more there is.
func (t *textWriter) questions(r *Report) {
	all := r.Questions()
	held := slices.IndexFunc(all, func(q Question) bool { return q.Holds == 0 })
	if held < 0 {
		held = len(all)
	}
	if len(all) == 0 {
		return
	}
	t.b.WriteString("\n")
	if held > 0 {
		title := t.say("To find out before release ({count})", "count", strconv.Itoa(held))
		if held > mostQuestions {
			title = t.say("To find out before release (first {first} of {count})",
				"first", strconv.Itoa(mostQuestions), "count", strconv.Itoa(held))
		}
		t.line(title)
	}
	for _, q := range all[:min(held, mostQuestions)] {
		t.warn("  ", q.Hazards, r)
		t.para("- ", "  ", q.Text)
		about := plural(t.in, q.Holds, "Blocks 1 pack", "Blocks {n} packs")
		if q.Frees > 0 {
			about += t.say("; for {n} of them nothing else is missing", "n", strconv.Itoa(q.Frees))
		}
		switch {
		case q.Act == chooseCycle: // which no entry answers
			about += "."
		case q.AtTheTime:
			about += t.say(". It had to be seen at the time.")
		default:
			about += t.say(". It can still be found out.")
		}
		t.para("    ", "    ", about)
		var findings []moistheat.Finding
		for _, i := range q.Findings {
			if r.Findings[i].Blocks {
				findings = append(findings, r.Findings[i])
			}
		}
		for _, g := range byRule(findings, r) {
			t.para("    - ", "      ", g.where+g.message+g.more)
		}
	}
	if n := len(all) - held; n > 0 {
		t.line(plural(t.in, n, "1 more question; its answer would not change the verdict.",
			"{n} more questions; their answers would not change the verdict."))
	}
}

//go:embed data/acts.json
var actsData []byte

// act is what a person does to find out what is not recorded.
type act struct {
	ID   string `json:"id"`
	Text string `json:"text"`
	// Without are the rules that it answers in place of their own acts where no table of the
	// policy has the cycle, as no member of a record can.
	Without []string `json:"without,omitzero"`
	// Of is what a person does in one go with others of it: asked together where several are.
	Of string `json:"of,omitzero"`
	// Hazards are those of doing it.
	Hazards []moistheat.Hazard `json:"hazards,omitzero"`
}

var acts lazy.Value[map[string]act]

// actOf returns the act that rules name.
func actOf(id string) act { return allActs()[id] }

func allActs() map[string]act {
	return acts.Get(func() map[string]act {
		out := map[string]act{}
		for _, a := range strictjson.MustRead[struct {
			Format string `json:"format"`
			Acts   []act  `json:"acts"`
		}](actsData, "").Acts {
			out[a.ID] = a
		}
		return out
	})
}

const chooseCycle = "choose a cycle"

// noCycle reports whether a finding is open because no table of the policy has the cycle.
func noCycle(f *moistheat.Finding, all []moistheat.Finding) bool {
	return f.Reason == moistheat.NoLimit && slices.Contains(actOf(chooseCycle).Without, f.Rule) &&
		slices.ContainsFunc(all, func(g moistheat.Finding) bool {
			return g.Rule == "cycle.requirement.none" && g.Reason == moistheat.NoLimit
		})
}

// errand is an act, or what a person does in one go, that had to be done at the time or can be
// done later.
type errand struct {
	act       string
	atTheTime bool
}

// askedActs are the acts that a report asks for.
type askedActs struct {
	atTheTime map[string]bool // all that an act is asked for had to be seen at the time
	of        map[errand]int  // how many acts make up one errand
}

func (a *askedActs) several(e errand) bool { return e.act != "" && a.of[e] > 1 }

func (r *Report) acts() *askedActs {
	out := &askedActs{map[string]bool{}, map[errand]int{}}
	for i := range r.Findings {
		f := &r.Findings[i]
		if !f.Open() || f.Outcome != moistheat.Undetermined {
			continue
		}
		n := orElse(r.named(f.Rule), &NamedRule{})
		act, _ := r.findOut(n, f)
		act = cmp.Or(act, f.Rule)
		before, known := out.atTheTime[act]
		out.atTheTime[act] = n.AtTheTime && (before || !known)
	}
	for act, atTheTime := range out.atTheTime {
		if of := actOf(act).Of; of != "" {
			out.of[errand{of, atTheTime}]++
		}
	}
	return out
}

// findOut returns the act that answers a finding of the report, and what it says to do.
func (r *Report) findOut(n *NamedRule, f *moistheat.Finding) (act, text string) {
	if noCycle(f, r.Findings) {
		return chooseCycle, r.Language.Text(actOf(chooseCycle).Text)
	}
	return n.Act, n.FindOut
}
