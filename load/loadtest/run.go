package loadtest

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
)

// Judgement is what the library found in a document.
type Judgement struct {
	Findings []moistheat.Finding // those of a plan: in force and not met for the cycle
	Report   *load.Report        // of a record; otherwise nil
	Policy   *load.Policy        // as it stood on the day
}

// Judge judges a document as a vector of that kind asks.
func Judge(kind Judges, doc []byte, p *load.Policy, at time.Time, on packaging.Date) (*Judgement, error) {
	out := &Judgement{Policy: p}
	switch kind {
	case JudgesRecord, JudgesPlan:
		r, err := load.Decode(doc)
		if err != nil {
			return nil, err
		}
		if kind == JudgesRecord {
			out.Report = load.Check(r, p)
			out.Findings, out.Policy = out.Report.Findings, p.On(r.Load.Date)
			return out, nil
		}
		out.Policy = p.On(r.Load.Date)
		out.Findings = plan(r, p)
	case JudgesHistory:
		if at.IsZero() {
			return nil, errors.New("loadtest: a history is judged at an instant, and none is given")
		}
		h, err := history(doc, p)
		if err != nil {
			return nil, err
		}
		out.Policy = p.On(packaging.DateOf(at))
		out.Findings = h.Findings(at)
	case JudgesStored:
		if !on.IsValid() {
			return nil, errors.New("loadtest: a stored pack is judged on a day, and none is given")
		}
		s, err := load.DecodeStored(doc)
		if err != nil {
			return nil, err
		}
		out.Policy = p.On(on)
		out.Findings = load.CheckStored(s, p, on)
	default:
		return nil, errors.New("loadtest: it is not said what judges the document")
	}
	return out, nil
}

// plan joins what can be said at the packing bench with what stands against the
// cycle that the record names, if it names one.
func plan(r *load.Record, p *load.Policy) []moistheat.Finding {
	all := load.CheckPacking(r, p)
	if r.Cycle != nil {
		all = append(all, load.Against(r, p, r.Cycle.Settings, r.Cycle.Type)...)
	}
	slices.SortStableFunc(all, moistheat.Finding.Compare)
	return slices.CompactFunc(all, func(a, b moistheat.Finding) bool { return a.Compare(b) == 0 && a.Outcome == b.Outcome })
}

func history(doc []byte, p *load.Policy) (*load.History, error) {
	var lines []json.RawMessage
	if err := json.Unmarshal(doc, &lines); err != nil {
		return nil, fmt.Errorf("loadtest: a history is a list of its lines: %w", err)
	}
	var stream bytes.Buffer
	for _, l := range lines {
		if err := json.Compact(&stream, l); err != nil {
			return nil, err
		}
		stream.WriteByte('\n')
	}
	h := load.NewHistory(p)
	for e, err := range load.Entries(&stream) {
		if err != nil {
			return nil, err
		}
		h.AddEntry(e)
	}
	return h, nil
}

// Document returns the vector's base with the vector's change.
func (v *Vector) Document() ([]byte, error) {
	b, err := v.corpus.Base(v.Base)
	if err != nil {
		return nil, err
	}
	return b.Document(v.Patch...)
}

// Judge returns what the library finds.
func (v *Vector) Judge() (*Judgement, error) {
	doc, err := v.Document()
	if err != nil {
		return nil, err
	}
	return v.judge(doc)
}

func (v *Vector) judge(doc []byte) (*Judgement, error) {
	p, err := v.corpus.PolicyOf(v)
	if err != nil {
		return nil, err
	}
	return Judge(v.Judges, doc, p, v.At, v.On)
}

// Run judges the vector and returns an error that says in what the verdict differs
// from the one expected.
func (v *Vector) Run() error {
	doc, err := v.Document()
	if err != nil {
		return fmt.Errorf("%s: %w", v.ID, err)
	}
	return v.RunOn(doc)
}

// RunOn is [Vector.Run] on a document that says the same as the vector's own: in
// another order, with other units, or as other software wrote it.
func (v *Vector) RunOn(doc []byte) error {
	j, err := v.judge(doc)
	if err != nil {
		return fmt.Errorf("%s: %w", v.ID, err)
	}
	return v.Compare(j)
}

// Compare returns an error that says in what a judgement differs from the one
// expected.
func (v *Vector) Compare(j *Judgement) error {
	if problems := v.compare(j); problems != nil {
		return fmt.Errorf("%s\n%s", v.ID, strings.Join(problems, "\n"))
	}
	return nil
}

func (v *Vector) compare(j *Judgement) (problems []string) {
	say := func(format string, args ...any) { problems = append(problems, fmt.Sprintf(format, args...)) }
	e := v.Expect
	var all, open []Found
	ofRule := []string{}
	ruleOpen, counted := false, j.count(v.Rule, e.Outcome)
	for _, f := range j.Findings {
		p := FoundIn(f)
		all = append(all, p)
		if f.Open() {
			open = append(open, p)
		}
		if f.Rule == v.Rule {
			ofRule = append(ofRule, p.String())
			ruleOpen = ruleOpen || f.Open()
		}
	}
	var want []Found
	switch e.Outcome {
	case moistheat.NotApplicable, moistheat.NotInForce:
		if !counted || ruleOpen {
			say("want %s %s, got [%s]", v.Rule, e.Outcome, strings.Join(ofRule, ", "))
		}
	default:
		p := Found{v.Rule, e.Pointer, e.Outcome}
		if !slices.Contains(all, p) && !(v.Judges == JudgesPlan && counted && !ruleOpen) {
			say("want %s, got [%s]", p, strings.Join(ofRule, ", "))
		}
		if e.Outcome >= moistheat.Undetermined {
			want = append(want, p)
		}
	}
	for _, a := range e.Also {
		if !slices.Contains(all, a) {
			say("want also %s", a)
		}
		if a.Outcome >= moistheat.Undetermined {
			want = append(want, a)
		}
	}
	if e.Only {
		if d := diffFound(want, open); d != "" {
			say("open findings differ (- missing, + not expected):\n%s", d)
		}
	}
	if e.Load == 0 && e.Packs == nil {
		return problems
	}
	if j.Report == nil {
		say("only a record has dispositions to expect")
		return problems
	}
	if got := j.Report.Verdict.Load; e.Load != 0 && got != e.Load {
		say("want the load to be %s, got %s", e.Load, got)
	}
	if e.Packs != nil {
		var want, got []string
		for _, d := range e.Packs {
			want = append(want, d.String())
		}
		for _, p := range j.Report.Packs {
			got = append(got, p.Disposition.String())
		}
		if !slices.Equal(want, got) {
			say("want the packs to be %s, got %s", strings.Join(want, ", "), strings.Join(got, ", "))
		}
	}
	return problems
}

// count reports whether the judgement counts an outcome of a rule: by the report's
// tally, or by a finding. A rule without a finding is not in force, or it does not
// apply; of a plan, which lists what stands against a cycle, it may be met.
func (j *Judgement) count(rule string, o moistheat.Outcome) bool {
	if j.Report != nil {
		for _, t := range j.Report.Rules {
			if t.Rule == rule {
				return o == moistheat.NotApplicable && t.NotApplicable > 0 || o == moistheat.NotInForce && t.NotInForce > 0
			}
		}
		return false
	}
	listed := false
	for _, f := range j.Findings {
		if f.Rule == rule {
			listed = true
			if f.Outcome == o {
				return true
			}
		}
	}
	if listed {
		return false
	}
	_, inForce := j.Policy.Rule(rule)
	switch o {
	case moistheat.NotInForce:
		return !inForce
	case moistheat.NotApplicable, moistheat.Met:
		return inForce
	}
	return false
}

// diffFound says which findings of one set the other lacks, a line each: - for those
// that are missing and + for those that are too many.
func diffFound(want, got []Found) string {
	w, g := lines(want), lines(got)
	var b strings.Builder
	for _, l := range w {
		if !slices.Contains(g, l) {
			b.WriteString("- " + l + "\n")
		}
	}
	for _, l := range g {
		if !slices.Contains(w, l) {
			b.WriteString("+ " + l + "\n")
		}
	}
	return b.String()
}

func lines(in []Found) []string {
	var out []string
	for _, f := range in {
		out = append(out, f.String())
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// RunCorpus runs every vector of the conformance corpus as a subtest. Each document
// goes through the software under test first, which is to give back what it was
// given, in its own words: as it would import, keep and export a record. Nil tests
// this library alone.
func RunCorpus(t *testing.T, through func(doc []byte) ([]byte, error)) {
	t.Helper()
	c, err := Conformance()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range c.files {
		t.Run(f.name, func(t *testing.T) {
			for _, v := range f.Vectors {
				t.Run(v.ID, func(t *testing.T) {
					doc, err := v.Document()
					if err == nil && through != nil {
						doc, err = through(doc)
					}
					if err == nil {
						err = v.RunOn(doc)
					}
					if err != nil {
						t.Error(err)
					}
				})
			}
		})
	}
}
