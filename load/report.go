package load

import (
	"cmp"
	_ "embed"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// ReportFormat is the value of a report's "format" member.
const ReportFormat = "moistheat.report/1"

// Report is what [Check] found. It is its JSON form and nothing besides, so that one read
// back from JSON says and prints what it did.
type Report struct {
	Format  string `json:"format"`
	Library string `json:"library"` // version
	// Language is that of the texts; English where it is not named. See [Report.In].
	Language moistheat.Language `json:"language,omitzero"`
	Policy   PolicyName         `json:"policy"`
	Record   string             `json:"record"` // [Record].ID
	Load     string             `json:"load,omitempty"`
	Known    KnownName          `json:"known,omitzero"` // what the report rests on beside the record
	// Catalogue is what the record was resolved with; nil: with none.
	Catalogue *CatalogueUse `json:"catalogue,omitempty"`
	Verdict   Verdict       `json:"verdict"`
	Decided   Decided       `json:"decided,omitzero"` // what decided the verdict
	Packs     []PackVerdict `json:"packs"`
	Cycle     *CycleSummary `json:"cycle,omitempty"`
	// Analysis is what the trace of the record shows, held against what the policy asks of
	// the cycle; nil where the record has none. It is what package drawing draws.
	Analysis *cycle.Analysis `json:"analysis,omitempty"`

	// Rows is the release table: every row, with the worst outcome of its rules.
	Rows []Row `json:"rows"`
	// Findings are the outcomes undetermined, broken and internal, and in a report of
	// [Explain] also those met, by pointer and rule.
	Findings []moistheat.Finding `json:"findings"`
	// Rules are those that Findings name, by ID: what is the same for all findings of one.
	Rules []NamedRule `json:"rules"`
	// Warnings say what protects from the hazards of Rules. The safety instructions of the
	// sterilizer come before them.
	Warnings []Warning `json:"warnings"`
	// Counts are the outcomes of every rule, those that did not apply included.
	Counts []Tally `json:"counts"`
	// Omitted counts the findings that were left out of Findings for their number: of those
	// of one rule that are open, a hundred are listed, and the last says how many more there
	// are. The verdict counts them all.
	Omitted    int    `json:"omitted"`
	Disclaimer string `json:"disclaimer"`
}

// CatalogueUse says which catalogue a record was resolved with, and what of it rests on
// standing practice instead of an observation of the load.
type CatalogueUse struct {
	ID        string   `json:"id"`
	Digest    string   `json:"digest"`              // SHA-256 of the catalogue
	Practices []string `json:"practices,omitempty"` // IDs of those that filled in a member
	Members   int      `json:"members,omitempty"`   // of the record that rest on them
	Suspended []string `json:"suspended,omitempty"` // IDs of those that the load contradicts
	Habits    []Habit  `json:"habits,omitempty"`    // what Practices, and then Suspended, say
}

// Decided says which of the findings of a report decided its verdict, by their places in
// [Report].Findings. What the list of findings left out for its number is not in it.
type Decided struct {
	Load       []int `json:"load,omitempty"`       // those that give the load its disposition
	Packs      bool  `json:"packs,omitempty"`      // it is that of its best pack: see what decided each
	Sterilizer []int `json:"sterilizer,omitempty"` // those that take the sterilizer out of service
	Recall     []int `json:"recall,omitempty"`     // those for which packs already out must be found
}

// NamedRule is what a report says of a rule that its findings name.
type NamedRule struct {
	ID     string `json:"id"`
	Title  string `json:"title"`  // what must hold
	Why    string `json:"why"`    // the harm it prevents
	Remedy string `json:"remedy"` // what to do where it is broken
	// FindOut is what to find out where it is not recorded, Act the name of that, and
	// AtTheTime says that it had to be seen while it could be.
	FindOut   string `json:"findOut,omitempty"`
	Act       string `json:"act,omitempty"`
	AtTheTime bool   `json:"atTheTime,omitempty"`
	// The templates of messages, as in [moistheat.Rule], of the outcomes that there are.
	BrokenText       string                           `json:"brokenText,omitempty"`
	UndeterminedText string                           `json:"undeterminedText,omitempty"`
	Severity         moistheat.Severity               `json:"severity"` // as the policy sets it
	Hazards          moistheat.List[moistheat.Hazard] `json:"hazards"`  // of the work that Remedy asks for
	Sources          []CitedSource                    `json:"sources"`  // on which its findings rest, in their order
}

// CitedSource is a source as a policy sees it.
type CitedSource struct {
	moistheat.Source
	Own bool `json:"own,omitempty"` // a document that the policy follows, or the facility's own word
}

// PolicyName names the policy of a report.
type PolicyName struct {
	Name   string `json:"name"`
	Title  string `json:"title"`
	Digest string `json:"digest"` // [Policy.Digest]
	// GeneralPractice says what findings may do that rest on no document of the policy:
	// "may quarantine" or "advises".
	GeneralPractice string   `json:"generalPractice,omitempty"`
	AsksLess        []string `json:"asksLess,omitempty"`   // than the policy it builds on
	LeavesOpen      []string `json:"leavesOpen,omitempty"` // what the policy does not decide
}

// Verdict is what may happen to the load as a whole. It is never better than the best
// pack; a rejected pack among others does not reject the load, see [Report].Packs.
type Verdict struct {
	Load       moistheat.Disposition `json:"load"`
	Sterilizer moistheat.Service     `json:"sterilizer"`
	Recall     bool                  `json:"recall"`
	// MayRelease says that the load and every pack of it may be released: by the
	// evidence, and because no person decided otherwise.
	MayRelease bool `json:"mayRelease"`
}

// PackVerdict is what may happen to one pack, the load's verdict included.
type PackVerdict struct {
	Pointer     string                `json:"pointer"`
	ID          string                `json:"id"`
	Disposition moistheat.Disposition `json:"disposition"`
	MayRelease  bool                  `json:"mayRelease"`
	KeptBack    bool                  `json:"keptBack,omitempty"` // a person decided against releasing it

	// What decided its disposition, where that is no release: findings about the pack, by
	// their places in [Report].Findings, those that decided the load, and those about the
	// container that it is in.
	DecidedBy   []int  `json:"decidedBy,omitempty"`
	ByLoad      bool   `json:"byLoad,omitempty"`
	ByContainer string `json:"byContainer,omitempty"` // RFC 6901, into the record
}

// Row is one row of the release table.
type Row struct {
	Row       int               `json:"row"`
	Condition string            `json:"condition"`
	Outcome   moistheat.Outcome `json:"outcome"`   // broken: the condition is there
	Triggered bool              `json:"triggered"` // it stands against an unconditional release
	Effect    moistheat.Effect  `json:"effect,omitzero"`
}

// Tally counts the outcomes of one rule.
type Tally struct {
	Rule          string `json:"rule"`
	NotApplicable int    `json:"notApplicable,omitempty"`
	NotInForce    int    `json:"notInForce,omitempty"`
	Met           int    `json:"met,omitempty"`
	Undetermined  int    `json:"undetermined,omitempty"`
	Broken        int    `json:"broken,omitempty"`
	Internal      int    `json:"internal,omitempty"`
}

// CycleSummary is what the physical record shows. Lethality is reported beside the
// hold and never excuses it.
type CycleSummary struct {
	Requirement     string                      `json:"requirement,omitempty"`
	RequiredHold    units.Duration              `json:"requiredHold,omitzero"`
	Hold            units.Duration              `json:"hold,omitzero"`          // by the coldest point
	LastToArrive    string                      `json:"lastToArrive,omitempty"` // sensor that starts the hold
	FirstToLeave    string                      `json:"firstToLeave,omitempty"` // sensor that ends it
	Coldest         units.Temperature           `json:"coldest,omitzero"`
	Hottest         units.Temperature           `json:"hottest,omitzero"`
	Spread          units.TemperatureDifference `json:"spread,omitzero"`
	SaturationError units.TemperatureDifference `json:"saturationError,omitzero"` // largest difference from saturated steam
	Lethality       units.Duration              `json:"lethality,omitzero"`
	Reference       units.Temperature           `json:"reference,omitzero"` // of the lethality
	Z               units.TemperatureDifference `json:"z,omitzero"`
}

// Released reports whether the load and every pack may be released, and no person
// decided otherwise.
func (r *Report) Released() bool { return r != nil && r.Verdict.MayRelease }

// Message renders a finding of this report for a person, in the language of the report.
func (r *Report) Message(f moistheat.Finding) string {
	if n := r.named(f.Rule); n != nil {
		return n.message(f, r.Language)
	}
	rule, _ := Rule(f.Rule)
	if rule.ID == "" {
		return f.Rule
	}
	if r == nil {
		return rule.Message(f)
	}
	return r.Language.Message(rule, f)
}

// asked is about how many outcomes one section of a record has before they are folded.
const asked = 96

// judgement is a report while it is made.
type judgement struct {
	*Report
	policy    *Policy
	all       moistheat.Effect
	each      []moistheat.Effect
	container []int // index of the pack whose fate a pack shares, or -1
	state     []ruleCount
	cuts      cuts
	waivers   *waivers
	open      int
	listed    bool           // what is met is listed, too
	pack      int            // from 1, the one whose findings are entered; 0: none
	beyond    map[int]heldBy // what holds packs and is not listed, the worst of each
}

// heldBy is a finding that is not listed for the number of its rule.
type heldBy struct {
	key  cutKey
	does moistheat.Disposition
}

// ruleCount is what is known of a rule beside its [Tally].
type ruleCount struct {
	effect      moistheat.Effect // of its open findings
	ofPack, off bool             // the rule is about packs; it is not in force
	pack        int              // the last pack, from 1, of which it was asked
}

func newReport(r *Record, p *Policy, met bool) *judgement {
	out := &judgement{
		Report: &Report{
			Format: ReportFormat, Library: moistheat.Version, Disclaimer: moistheat.Disclaimer,
			Policy: p.about(), Record: r.ID, Load: r.Load.Number,
			Packs: make([]PackVerdict, 0, len(r.Packs)), Counts: make([]Tally, len(p.list)),
		},
		policy: p, listed: met, waivers: waiversOf(r), each: make([]moistheat.Effect, len(r.Packs)),
		container: make([]int, len(r.Packs)), state: make([]ruleCount, len(p.list)),
	}
	for i, rule := range p.list {
		s := p.rules[rule]
		out.Counts[i].Rule = rule
		out.state[i] = ruleCount{off: !s.on(p.day),
			ofPack: !s.added && (s.rule.Scope == moistheat.PackScope || s.rule.Scope == moistheat.ItemScope)}
	}
	room := asked
	if met {
		room += min(48+40*len(r.Packs), mostMet)
	}
	out.Findings = make([]moistheat.Finding, 0, room)
	for i := range r.Packs {
		decision := r.Packs[i].Decision
		if l := r.Release; l != nil && (decision == 0 || l.Decision == moistheat.Reject) { // who rejects a load rejects all of it
			decision = l.Decision
		}
		out.container[i] = -1
		out.Packs = append(out.Packs, PackVerdict{
			Pointer: packAt(i), ID: r.Packs[i].ID, KeptBack: decision > moistheat.Release})
	}
	return out
}

// impossible is the report of a check that was asked of nothing.
func impossible() *Report {
	out := newReport(&Record{}, &Policy{}, false)
	out.Known.Alone = true
	out.Findings = append(out.Findings, out.internal(lang.Say("nothing-given: no record or no policy was given")))
	out.all.Load, out.Rows = moistheat.Reject, []Row{}
	out.decide()
	out.explain()
	return out.Report
}

// internal counts a fault of the library itself and returns its finding.
func (r *judgement) internal(what moistheat.Detail) moistheat.Finding {
	rule := book.Rule(internalFailure)
	f := moistheat.Finding{
		Rule: rule.ID, Outcome: moistheat.Internal, Severity: rule.Severity, Sources: rule.Sources,
		Params: []moistheat.Param{{Name: "error", Value: what}},
		Effect: moistheat.Effect{Load: moistheat.Quarantine}, Blocks: true,
	}
	r.all = r.all.Worst(f.Effect)
	if s := r.policy.rules[f.Rule]; s != nil {
		f.Severity = s.rule.Severity
		r.Counts[s.place].Internal++
	}
	return f
}

// add applies the policy to a finding whose pointer is relative to base, counts it, and
// reports whether it is listed. The pointer of one that is listed becomes whole.
func (r *judgement) add(p *Policy, f *moistheat.Finding, base string) bool {
	state := p.apply(f)
	if state == nil {
		*f = r.internal(lang.Say("no-such-rule: no rule is called {1}", f.Rule))
		return true
	}
	t, of := &r.Counts[state.place], &r.state[state.place]
	of.pack = r.pack
	switch f.Outcome {
	case moistheat.NotInForce:
		t.NotInForce++
		return false
	case moistheat.NotApplicable:
		t.NotApplicable++
		return false
	case moistheat.Met:
		t.Met++
		if !r.listed {
			return false
		}
		p.ground(state, f)
	case moistheat.Undetermined:
		t.Undetermined++
	case moistheat.Broken:
		t.Broken++
	default:
		t.Internal++
	}
	if f.Outcome != moistheat.Met {
		if f.Waiver == nil && !state.unwaivable && r.open < mostWaived {
			f.Waiver = r.waivers.of(f, base)
		}
		f.Blocks = blocks(f)
		if r.open++; f.Open() {
			of.effect = of.effect.Worst(f.Effect)
			r.apply(cmp.Or(base, f.Pointer), f.Effect)
		}
	}
	if !r.cuts.keeps(f) {
		r.Omitted++
		r.unlisted(f, cmp.Or(base, f.Pointer))
		return false
	}
	f.Pointer = base + f.Pointer
	return true
}

// unlisted notes which pack is held by a finding that is not listed.
func (r *judgement) unlisted(f *moistheat.Finding, at string) {
	pack, ok := packOf(at)
	if !ok || !f.Open() || f.Effect.Pack <= max(moistheat.Release, r.beyond[pack].does) {
		return
	}
	if r.beyond == nil {
		r.beyond = map[int]heldBy{}
	}
	r.beyond[pack] = heldBy{cutKey{f.Rule, f.Outcome}, f.Effect.Pack}
}

// unwaive takes back a waiver that several findings share: who signed it saw one of
// them.
func (r *judgement) unwaive(findings []moistheat.Finding) {
	shared := map[*moistheat.Waiver]int{}
	for i := range findings {
		if w := findings[i].Waiver; w != nil {
			shared[w]++
		}
	}
	for i := range findings {
		f := &findings[i]
		if f.Waiver == nil || shared[f.Waiver] < 2 {
			continue
		}
		f.Waiver = nil
		f.Blocks = blocks(f)
		of := &r.state[r.policy.rules[f.Rule].place]
		of.effect = of.effect.Worst(f.Effect)
		r.apply(f.Pointer, f.Effect)
	}
}

// blocks reports whether a finding stands in the way of a release.
func blocks(f *moistheat.Finding) bool {
	return f.Open() && max(f.Effect.Pack, f.Effect.Load) > moistheat.Release
}

// apply enters an effect. A pack effect of a finding that points at no pack counts
// for the whole load.
func (r *judgement) apply(pointer string, e moistheat.Effect) {
	if e.Pack != 0 {
		if i, ok := packOf(pointer); ok && i < len(r.each) {
			r.each[i].Pack = max(r.each[i].Pack, e.Pack)
		} else {
			e.Load = max(e.Load, e.Pack)
		}
	}
	e.Pack = 0
	r.all = r.all.Worst(e)
}

// packOf returns the index of the pack that a pointer leads into.
func packOf(pointer string) (int, bool) { return indexIn(pointer, "/packs/") }

// indexIn returns the index into a list that a pointer leads to.
func indexIn(pointer, list string) (int, bool) {
	rest, ok := strings.CutPrefix(pointer, list)
	if !ok {
		return 0, false
	}
	n, _, _ := strings.Cut(rest, "/")
	i, err := strconv.Atoi(n)
	return i, err == nil && i >= 0
}

// refusal says why a waiver has no effect.
func (p *Policy) refusal(w *moistheat.Waiver) moistheat.Detail {
	switch s := p.rules[w.Rule]; {
	case s == nil:
		return lang.Say("waiver-no-rule: there is no such rule")
	case s.unwaivable:
		return lang.Say("waiver-not-allowed: what the rule can do when it is broken cannot be waived")
	case w.Author == "" || w.Reason == "" || w.Expires.IsZero():
		return lang.Say("waiver-incomplete: it has no author, no reason or no last day")
	}
	return lang.Say("waiver-covers-nothing: nothing open is covered by it: check its load, pack and item, which must " +
		"be unique, and at its last day")
}

// decide sets the verdicts from the effects so far. A pack inside a container
// shares the container's fate, and the load is never better than its best pack.
func (r *judgement) decide() {
	r.Verdict = Verdict{
		Load:       max(r.all.Load, moistheat.Release),
		Sterilizer: max(r.all.Sterilizer, moistheat.InService),
		Recall:     r.all.Recall,
	}
	best := moistheat.Release
	for i := range r.Packs {
		p := &r.Packs[i]
		p.Disposition = max(r.Verdict.Load, r.each[i].Pack)
		p.MayRelease = p.Disposition == moistheat.Release && !p.KeptBack
		if i == 0 || p.Disposition < best {
			best = p.Disposition
		}
	}
	r.Verdict.Load = max(r.Verdict.Load, best)
	r.Verdict.MayRelease = r.Verdict.Load == moistheat.Release && len(r.Packs) > 0 &&
		!slices.ContainsFunc(r.Packs, func(p PackVerdict) bool { return !p.MayRelease })
}

//go:embed data/release.json
var releaseData []byte

// releaseDoc is the release table as it stands in its file.
type releaseDoc struct {
	Format string       `json:"format"`
	Rows   []releaseRow `json:"rows"`
}

type releaseRow struct {
	Row       int              `json:"row"`
	Condition string           `json:"condition"`
	Basis     moistheat.Basis  `json:"basis,omitzero"`
	OnlyAlone moistheat.Answer `json:"onlyAlone,omitzero"` // counts only when no other row fires
	Shows     Evidence         `json:"shows,omitzero"`
	Rules     []string         `json:"rules"`
}

var releaseTable lazy.Value[*releaseDoc]

func releaseRows() []releaseRow {
	return releaseTable.Get(func() *releaseDoc {
		return strictjson.MustRead[releaseDoc](releaseData, "")
	}).Rows
}

// finish sorts the findings and fills the tallies and the release table.
func (r *judgement) finish(rec *Record) {
	var wanted []string
	for i := range r.Findings {
		f := &r.Findings[i]
		r.locate(rec, f)
		if rec.source != nil && f.Open() {
			wanted = slices.AppendSeq(wanted, r.whence(f))
		}
	}
	if len(wanted) > 0 {
		from := rec.origins(wanted)
		for i := range r.Findings {
			if f := &r.Findings[i]; f.Open() {
				f.Origin = r.originOf(from, f)
			}
		}
	}
	for i := range r.Findings { // the record is the caller's
		if w := r.Findings[i].Waiver; w != nil {
			own := *w
			r.Findings[i].Waiver = &own
		}
	}
	r.sort()
	r.cuts.state(r.Findings)
	for i := range r.Counts {
		if r.Counts[i].worst() == 0 {
			r.unasked(i)
		}
	}
	fired := false
	for _, row := range releaseRows() {
		out := Row{Row: row.Row, Condition: row.Condition, Outcome: moistheat.NotApplicable}
		waiting := false
		for _, id := range row.Rules {
			if s := r.policy.rules[id]; s != nil {
				t := &r.Counts[s.place]
				out.Outcome = max(out.Outcome, t.worst())
				out.Effect = out.Effect.Worst(r.state[s.place].effect)
				waiting = waiting || t.Undetermined > 0
			}
		}
		if row.OnlyAlone == moistheat.Yes {
			out.Triggered = !fired && (waiting || len(row.Rules) == 0 && r.Verdict.Load == moistheat.Release)
			fired = fired || out.Triggered
			if len(row.Rules) == 0 {
				out.Outcome = moistheat.Met
				if !out.Triggered {
					out.Outcome = moistheat.NotApplicable
				}
			}
		} else {
			out.Triggered = out.Effect != moistheat.Effect{}
			fired = fired || out.Triggered
		}
		r.Rows = append(r.Rows, out)
	}
	r.explain()
}

// sort orders the findings. They are large, so it orders their places first.
func (r *judgement) sort() {
	order := make([]int32, len(r.Findings))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int {
		f, g := &r.Findings[a], &r.Findings[b]
		if c := moistheat.ComparePointers(f.Pointer, g.Pointer); c != 0 {
			return c
		}
		if c := strings.Compare(f.Rule, g.Rule); c != 0 {
			return c
		}
		if c := f.Compare(*g); c != 0 {
			return c
		}
		return int(a - b)
	})
	// Put each finding in its place, along the cycles of the permutation.
	for i := range order {
		if int(order[i]) == i {
			continue
		}
		first := r.Findings[i]
		for at := i; ; {
			from := int(order[at])
			order[at] = int32(at)
			if from == i {
				r.Findings[at] = first
				break
			}
			r.Findings[at] = r.Findings[from]
			at = from
		}
	}
}

// unasked counts that there was no reason to ask the rule at a place.
func (r *judgement) unasked(i int) {
	if t := &r.Counts[i]; r.state[i].off {
		t.NotInForce++
	} else {
		t.NotApplicable++
	}
}

// endPack counts the rules about packs that were not asked of one.
func (r *judgement) endPack() {
	for i := range r.state {
		if s := &r.state[i]; s.ofPack && s.pack != r.pack {
			r.unasked(i)
		}
	}
	r.pack = 0
}

// worst returns the worst outcome of a tally, or 0 for a rule that nobody asked.
func (t *Tally) worst() moistheat.Outcome {
	switch {
	case t.Internal > 0:
		return moistheat.Internal
	case t.Broken > 0:
		return moistheat.Broken
	case t.Undetermined > 0:
		return moistheat.Undetermined
	case t.Met > 0:
		return moistheat.Met
	case t.NotInForce > 0:
		return moistheat.NotInForce
	case t.NotApplicable > 0:
		return moistheat.NotApplicable
	}
	return 0
}

func summarise(a cycle.Analysis) *CycleSummary {
	if a.Samples == 0 {
		return nil
	}
	s := &CycleSummary{
		Hold: a.Hold, RequiredHold: a.Requirement.Hold, LastToArrive: a.LastToArrive, FirstToLeave: a.FirstToLeave,
		Coldest: a.Coldest.Temperature, Hottest: a.Hottest.Temperature,
		Spread: a.Spread, SaturationError: a.Saturation.Difference,
		Lethality: a.Lethality.Minutes, Reference: a.Lethality.Reference, Z: a.Lethality.Z,
	}
	if a.Requirement.IsValid() {
		s.Requirement = a.Requirement.String()
	}
	return s
}

// Evidence is what a row of the release table shows. The zero value stands for rows
// that are about no evidence of the sterilizing itself.
type Evidence string

// The kinds of evidence.
const (
	PhysicalRecord       Evidence = "physical record"
	ChemicalIndicators   Evidence = "chemical indicators"
	BiologicalIndicators Evidence = "biological indicators"
	SterilizerTests      Evidence = "tests of the sterilizer"
)

// EvidenceOf returns what the row of the release table that a rule stands in shows.
func EvidenceOf(rule string) Evidence {
	for _, row := range releaseRows() {
		if slices.Contains(row.Rules, rule) {
			return row.Shows
		}
	}
	return ""
}

// Shows says whether one kind of evidence is good: no where a row about it stands
// against a release because something is broken, not recorded where one does for want
// of evidence or is not there.
func (r *Report) Shows(what Evidence) moistheat.Answer {
	found, open := false, false
	for _, row := range releaseRows() {
		if what == "" || row.Shows != what {
			continue
		}
		i := slices.IndexFunc(r.Rows, func(have Row) bool { return have.Row == row.Row })
		switch {
		case i < 0:
			return moistheat.NotRecorded
		case r.Rows[i].Triggered && r.Rows[i].Outcome >= moistheat.Broken:
			return moistheat.No
		case r.Rows[i].Triggered:
			open = true
		}
		found = true
	}
	if open || !found {
		return moistheat.NotRecorded
	}
	return moistheat.Yes
}

// What is listed of many findings. Records can be made of which a few bytes cost a
// finding, and thousands that say the same help no reader. What is not listed is counted
// where the last of the rule is listed, and verdicts and tallies count everything.
const (
	mostOpen   = 100    // of one rule, undetermined or broken and not waived
	mostMet    = 10_000 // of all rules together, met
	mostWaived = 10_000 // findings of which waivers are asked for
)

// cuts counts findings by rule and outcome.
type cuts struct {
	met  int
	seen map[cutKey]int
	over map[cutKey]int // those that are not listed
}

type cutKey struct {
	rule    string
	outcome moistheat.Outcome
}

// keeps reports whether one more finding is listed: the first of its rule always is, and
// so is one that a person accepted, whose waiver must be seen.
func (c *cuts) keeps(f *moistheat.Finding) bool {
	key := cutKey{f.Rule, f.Outcome}
	if f.Outcome == moistheat.Met {
		if c.met++; c.met <= mostMet {
			return true
		}
	} else if f.Waiver != nil {
		return true
	}
	if c.seen == nil {
		c.seen = map[cutKey]int{}
	}
	c.seen[key]++
	if n := c.seen[key]; n == 1 || n <= mostOpen && f.Outcome != moistheat.Met {
		return true
	}
	if c.over == nil {
		c.over = map[cutKey]int{}
	}
	c.over[key]++
	return false
}

// state says in the last finding of each rule and outcome how many more there are.
func (c *cuts) state(findings []moistheat.Finding) {
	for i := len(findings) - 1; i >= 0 && len(c.over) > 0; i-- {
		f := &findings[i]
		key := cutKey{f.Rule, f.Outcome}
		if n := c.over[key]; n > 0 && f.Waiver == nil {
			f.More = n
			delete(c.over, key)
		}
	}
}

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
