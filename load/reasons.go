package load

import (
	"cmp"
	_ "embed"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"

	"example.com/moistheat"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
)

// What a report says about its reasons: which findings decided what, and the rules that
// they name.

// explain fills in what decided the verdicts and what the findings have in common.
func (r *judgement) explain() {
	r.Rules, r.Warnings = r.policy.reasons(r.Findings)
	for i := range r.Findings {
		f := &r.Findings[i]
		e := f.Effect
		if !f.Open() || e == (moistheat.Effect{}) {
			continue
		}
		if n, ok := packOf(f.Pointer); ok && n < len(r.Packs) {
			if p := &r.Packs[n]; e.Pack == p.Disposition && e.Pack > moistheat.Release {
				p.DecidedBy = append(p.DecidedBy, i)
			}
		} else {
			e.Load = max(e.Load, e.Pack)
		}
		if e.Load == r.Verdict.Load && e.Load > moistheat.Release {
			r.Decided.Load = append(r.Decided.Load, i)
		}
		if e.Sterilizer > moistheat.InService {
			r.Decided.Sterilizer = append(r.Decided.Sterilizer, i)
		}
		if e.Recall {
			r.Decided.Recall = append(r.Decided.Recall, i)
		}
	}
	r.Decided.Packs = r.all.Load < r.Verdict.Load && r.Verdict.Load > moistheat.Release
	last := map[cutKey]int{} // the findings that say how many more there are
	for i := range r.Findings {
		if f := &r.Findings[i]; f.More > 0 {
			last[cutKey{f.Rule, f.Outcome}] = i
		}
	}
	for i := range r.Packs {
		p := &r.Packs[i]
		if p.Disposition == moistheat.Release {
			continue
		}
		if by, ok := r.beyond[i]; ok && len(p.DecidedBy) == 0 && by.does == p.Disposition {
			p.DecidedBy = []int{last[by.key]}
		}
		p.ByLoad = r.all.Load == p.Disposition
		if j := r.container[i]; j >= 0 && r.each[j].Pack == p.Disposition {
			p.ByContainer = r.Packs[j].Pointer
		}
	}
}

// Reasons is what a report says beside its findings, for the answers to other questions than release:
// by which policy they were found, the rules that they name and what protects from the hazards of
// these. It is its JSON form, and the answer says the same when it is read back. The zero Reasons
// explains nothing.
type Reasons struct {
	Language   moistheat.Language `json:"language,omitzero"` // of the texts; English where it is not named
	Policy     PolicyName         `json:"policy"`
	Rules      []NamedRule        `json:"rules"` // by ID
	Warnings   []Warning          `json:"warnings"`
	Disclaimer string             `json:"disclaimer"`
}

// Reasons returns what a report under p would say beside findings, in the language of p.
func (p *Policy) Reasons(findings []moistheat.Finding) Reasons {
	p = cmp.Or(p, &noPolicy)
	r := Reasons{Policy: p.about(), Disclaimer: moistheat.Disclaimer}
	r.Rules, r.Warnings = p.reasons(findings)
	return r.In(p.in)
}

// report returns a report of findings that says of them what r does, and has no format.
func (r Reasons) report(findings []moistheat.Finding) *Report {
	if !slices.IsSortedFunc(r.Rules, byID) { // as another program may have written them
		r.Rules = slices.SortedFunc(slices.Values(r.Rules), byID)
	}
	return &Report{Language: r.Language, Policy: r.Policy, Findings: findings, Rules: r.Rules, Warnings: r.Warnings,
		Disclaimer: r.Disclaimer}
}

// Message renders a finding for a person, as [Report.Message] does.
func (r Reasons) Message(f moistheat.Finding) string { return r.report(nil).Message(f) }

func (p *Policy) reasons(findings []moistheat.Finding) ([]NamedRule, []Warning) {
	rules, at := []NamedRule{}, map[string]int{}
	if p == nil {
		p = &Policy{}
	}
	for i := range findings {
		f := &findings[i]
		s := p.rules[f.Rule]
		rule := book.Rule(internalFailure) // for what no policy has
		if s != nil {
			rule = s.rule
		}
		place, known := at[rule.ID]
		if !known {
			place = len(rules)
			at[rule.ID] = place
			rules = append(rules, nameOf(rule))
		}
		n := &rules[place]
		switch {
		case s == nil:
		case f.Outcome == moistheat.Broken:
			n.BrokenText = rule.BrokenText
		case f.Outcome == moistheat.Undetermined:
			n.UndeterminedText, n.Act, n.AtTheTime = rule.UndeterminedText, rule.Act, rule.AtTheTime
			n.FindOut = cmp.Or(actOf(rule.Act).Text, rule.Act)
		}
		for s := range f.Sources.All() {
			if n.cites(s) < 0 {
				n.Sources = append(n.Sources, CitedSource{s, p.follows(s)})
			}
		}
	}
	slices.SortFunc(rules, byID)
	return rules, warningsOf(rules)
}

func byID(a, b NamedRule) int { return cmp.Compare(a.ID, b.ID) }

func nameOf(r moistheat.Rule) NamedRule {
	return NamedRule{
		ID: r.ID, Title: r.Title, Why: r.Why, Remedy: r.Remedy, Severity: r.Severity, Hazards: r.Hazards, Sources: []CitedSource{},
	}
}

// named returns what the report says of a rule, or nil.
func (r *Report) named(rule string) *NamedRule {
	if r == nil {
		return nil
	}
	i, ok := slices.BinarySearchFunc(r.Rules, rule, func(n NamedRule, id string) int { return cmp.Compare(n.ID, id) })
	if !ok {
		return nil
	}
	return &r.Rules[i]
}

func (n *NamedRule) message(f moistheat.Finding, l moistheat.Language) string {
	return l.Message(moistheat.Rule{Title: n.Title, BrokenText: n.BrokenText, UndeterminedText: n.UndeterminedText}, f)
}

// text returns what the rule says of all its findings of an outcome.
func (n *NamedRule) text(o moistheat.Outcome) string {
	switch o {
	case moistheat.Met:
		return n.Title
	case moistheat.Undetermined:
		return n.UndeterminedText
	case moistheat.Broken:
		return n.BrokenText
	}
	return ""
}

// cites returns the place of a source, or -1.
func (n *NamedRule) cites(s moistheat.Source) int {
	return slices.IndexFunc(n.Sources, func(c CitedSource) bool { return c.Source == s })
}

// follows reports whether the policy of the report follows a source of a rule.
func (r *Report) follows(rule string, s moistheat.Source) bool {
	n := r.named(rule)
	if n == nil {
		return false
	}
	i := n.cites(s)
	return i >= 0 && n.Sources[i].Own
}

// JSON returns the report as an indented document of the format [ReportFormat].
// The same record, policy and version give the same bytes.
func (r *Report) JSON() ([]byte, error) {
	out, err := r.written()
	if err != nil {
		return nil, err
	}
	return json.MarshalIndent(out, "", "  ")
}

// MarshalJSON writes the report with each finding's rendered message. One that a program put together
// is refused with a [*moistheat.DocumentError] where its findings rest on what its rules do not name.
func (r Report) MarshalJSON() ([]byte, error) {
	out, err := r.written()
	if err != nil {
		return nil, err
	}
	return json.Marshal(out)
}

// plainReport is a report without its methods.
type plainReport Report

// writtenReport is a report as it is written.
type writtenReport struct {
	*plainReport
	Findings  []writtenFinding `json:"findings"`
	Questions []Question       `json:"questions"` // of [Report.Questions], not read again
	Rules     []writtenRule    `json:"rules"`
	Documents []document       `json:"documents"` // that the sources of Rules name, each once
}

// writtenRule is a rule as a report writes it: its sources name a document by its place.
type writtenRule struct {
	NamedRule
	Sources []writtenSource `json:"sources"`
}

type writtenSource struct {
	Document int             `json:"document"`
	Locator  string          `json:"locator,omitempty"`
	Basis    moistheat.Basis `json:"basis"`
	Own      bool            `json:"own,omitempty"`
}

type document struct {
	Title   string `json:"title"`
	Edition string `json:"edition,omitempty"`
}

// cite returns rules as they are written, and the documents that they cite.
func cite(rules []NamedRule) ([]writtenRule, []document) {
	out, all := make([]writtenRule, len(rules)), []document{}
	place := map[document]int{}
	for i, n := range rules {
		out[i] = writtenRule{n, make([]writtenSource, len(n.Sources))}
		for j, s := range n.Sources {
			d := document{s.Document, s.Edition}
			at, known := place[d]
			if !known {
				at = len(all)
				place[d], all = at, append(all, d)
			}
			out[i].Sources[j] = writtenSource{at, s.Locator, s.Basis, s.Own}
		}
	}
	return out, all
}

// cited is the way back from cite. A document that is not there makes it say where.
func cited(rules []writtenRule, documents []document) (out []NamedRule, missing string) {
	out = make([]NamedRule, 0, len(rules))
	for i, w := range rules {
		n := w.NamedRule
		n.Sources = make([]CitedSource, len(w.Sources))
		for j, s := range w.Sources {
			if s.Document < 0 || s.Document >= len(documents) {
				return nil, fmt.Sprintf("/rules/%d/sources/%d/document", i, j)
			}
			d := documents[s.Document]
			n.Sources[j] = CitedSource{moistheat.Source{Document: d.Title, Edition: d.Edition, Locator: s.Locator,
				Basis: s.Basis}, s.Own}
		}
		out = append(out, n)
	}
	return out, ""
}

// writtenFinding is a finding as a report writes it. What its rule says for all is left
// out: its severity, its message where that is the text of the rule as it stands, and its
// sources where it rests on all those of the rule; else they are places in that list.
type writtenFinding struct {
	moistheat.Finding
	Severity *struct{} `json:"severity,omitempty"` // hides that of the finding, as the next
	Own      *struct{} `json:"own,omitempty"`
	Sources  []int     `json:"sources,omitempty"`
	Message  string    `json:"message,omitempty"`
}

// written returns the report as it is written in JSON.
func (r *Report) written() (any, error) {
	if r == nil {
		return nil, nil
	}
	own := *r
	own.Packs, own.Rows = append([]PackVerdict{}, r.Packs...), append([]Row{}, r.Rows...)
	own.Warnings, own.Counts = append([]Warning{}, r.Warnings...), append([]Tally{}, r.Counts...)
	out := writtenReport{plainReport: (*plainReport)(&own), Findings: make([]writtenFinding, len(r.Findings)),
		Questions: r.Questions()}
	out.Rules, out.Documents = cite(r.Rules)
	if out.Questions == nil {
		out.Questions = []Question{}
	}
	for i, f := range r.Findings {
		w := &out.Findings[i]
		*w = writtenFinding{Finding: f, Message: r.Message(f)}
		n := r.named(f.Rule)
		at := "/findings/" + strconv.Itoa(i)
		if n == nil {
			return nil, strictjson.In(ReportFormat, strictjson.Invalid(at+"/rule",
				"the rules of the report do not name %.60q; add it to them, as Policy.Reasons does", f.Rule))
		}
		if w.Message == n.text(f.Outcome) {
			w.Message = ""
		}
		for s := range f.Sources.All() {
			place := n.cites(s)
			if place < 0 {
				return nil, strictjson.In(ReportFormat, strictjson.Invalid(at+"/sources",
					"the rule of the report does not cite %.60q; add it to its sources, as Policy.Reasons does", s.Document))
			}
			w.Sources = append(w.Sources, place)
		}
		if isAll(w.Sources, len(n.Sources)) {
			w.Sources = nil
		}
	}
	return &out, nil // addressable, so that what has a pointer's method is not copied
}

// isAll reports whether places are those of a whole list of n, in order.
func isAll(places []int, n int) bool {
	for i, at := range places {
		if at != i {
			return false
		}
	}
	return len(places) == n
}

// UnmarshalJSON reads a report of the format [ReportFormat]. Members that it does not know
// are passed over, as a later version of the library may have added them; the message of
// each finding is rendered anew from the texts of its rule. The error is a [*moistheat.DocumentError].
func (r *Report) UnmarshalJSON(data []byte) error {
	fail := func(kind moistheat.ErrorKind, pointer, problem string) error {
		return &moistheat.DocumentError{Kind: kind, Format: ReportFormat, Pointer: pointer, Offset: -1,
			Problem: problem}
	}
	if r == nil {
		return fail(moistheat.ErrInvalid, "", "there is nothing to read into: the pointer is nil")
	}
	lim := strictjson.Default()
	lim.Size, lim.Text = 64<<20, 64<<10 // as its schema says
	if err := strictjson.Check(data, lim); err != nil {
		return strictjson.In(ReportFormat, err)
	}
	var out Report
	in := writtenReport{plainReport: (*plainReport)(&out)}
	if err := json.Unmarshal(data, &in); err != nil {
		return fail(moistheat.ErrShape, "", err.Error())
	}
	if out.Format != ReportFormat {
		return fail(moistheat.ErrShape, "/format", "it is not "+ReportFormat)
	}
	if out.Verdict.Load == 0 || out.Verdict.Sterilizer == 0 {
		return fail(moistheat.ErrShape, "/verdict", "it says nothing of the load or the sterilizer")
	}
	rules, missing := cited(in.Rules, in.Documents)
	if missing != "" {
		return fail(moistheat.ErrShape, missing, "the report has no such document")
	}
	out.Rules = rules
	slices.SortFunc(out.Rules, byID)
	out.Findings = make([]moistheat.Finding, len(in.Findings))
	for i, w := range in.Findings {
		at := "/findings/" + strconv.Itoa(i)
		n := out.named(w.Rule)
		if n == nil {
			return fail(moistheat.ErrShape, at+"/rule", "the rule is not among those of the report")
		}
		f := w.Finding
		sources := make([]moistheat.Source, 0, len(n.Sources))
		for _, s := range n.Sources {
			sources = append(sources, s.Source)
		}
		if w.Sources != nil {
			sources = sources[:0:0]
		}
		for _, s := range w.Sources {
			if s < 0 || s >= len(n.Sources) {
				return fail(moistheat.ErrShape, at+"/sources", "the rule has no such source")
			}
			sources = append(sources, n.Sources[s].Source)
		}
		f.Severity, f.Sources = n.Severity, moistheat.SourcesOf(sources...)
		f.Own = len(sources) > 0 && n.Sources[n.cites(sources[0])].Own
		out.Findings[i] = f
	}
	*r = out
	return nil
}

//go:embed data/hazards.json
var hazardsData []byte

// Warning says what protects from a hazard.
type Warning struct {
	Hazard   moistheat.Hazard  `json:"hazard"`
	Sentence string            `json:"sentence"`
	Sources  moistheat.Sources `json:"sources"`
}

var hazards lazy.Value[[]Warning]

// warnings returns what is said of every hazard, in the order of their list.
func warnings() []Warning {
	return hazards.Get(func() (out []Warning) {
		for _, h := range strictjson.MustRead[struct {
			Format  string `json:"format"`
			Hazards []struct {
				Hazard   moistheat.Hazard   `json:"hazard"`
				Sentence string             `json:"sentence"`
				Sources  []moistheat.Source `json:"sources"`
			} `json:"hazards"`
		}](hazardsData, "").Hazards {
			out = append(out, Warning{h.Hazard, h.Sentence, moistheat.SourcesOf(h.Sources...)})
		}
		return out
	})
}

// WarningsOf returns what protects from hazards, in the order of their list.
func WarningsOf(hazards ...moistheat.Hazard) []Warning {
	return slices.DeleteFunc(slices.Clone(warnings()), func(w Warning) bool {
		return !slices.Contains(hazards, w.Hazard)
	})
}

// warningsOf returns the warnings about the hazards of rules, each once.
func warningsOf(rules []NamedRule) []Warning {
	out := []Warning{}
	for _, w := range warnings() {
		if slices.ContainsFunc(rules, func(n NamedRule) bool { return n.warnsOf(w.Hazard) }) {
			out = append(out, w)
		}
	}
	return out
}

// warnsOf reports whether what is done about a finding of the rule, or what finds out what it
// lacks, has a hazard.
func (n *NamedRule) warnsOf(h moistheat.Hazard) bool {
	if slices.Contains(slices.Collect(n.Hazards.All()), h) {
		return true
	}
	act := actOf(n.Act)
	return slices.Contains(act.Hazards, h) || slices.Contains(actOf(act.Of).Hazards, h)
}
