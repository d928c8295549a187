package loadtest

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
)

// Judgement is what the library found in a document.
type Judgement struct {
	Findings []moistheat.Finding // those of a plan: in force and not met for the cycle
	Report   *load.Report        // of a record; otherwise nil
	Policy   *load.Policy        // as it stood on the day

	run *load.Report // of a plan whose record names a cycle: the check of that record
}

// judge judges a document as the vector asks: a record with what is known, a history at
// an instant, a stored pack on a day.
func (v *Vector) judge(doc []byte, p *load.Policy) (*Judgement, error) {
	out, of, at, on := &Judgement{}, v.Subject, v.At, v.On
	day := on
	switch {
	case !slices.Contains(subjects[:], of):
		return nil, errors.New("loadtest: it is not said what judges the document")
	case of == SubjectHistory && at.IsZero():
		return nil, errors.New("loadtest: a history is judged at an instant, and none is given")
	case of == SubjectStored && !on.IsValid():
		return nil, errors.New("loadtest: a stored pack is judged on a day, and none is given")
	}
	d, err := decodeAs(of, doc)
	if err != nil {
		return nil, err
	}
	facts := v.corpus.or().facts[v.Catalogue]
	if v.Catalogue != "" && facts == nil {
		return nil, fmt.Errorf("loadtest: there is no catalogue %.40q", v.Catalogue)
	}
	switch d := d.(type) {
	case *load.Record:
		day = d.Load.Date
		if of == SubjectRecord {
			d = facts.Resolve(d, p)
			out.Report = load.ExplainKnowing(d, p, *cmp.Or(v.Known, &load.Known{}))
			out.Findings = out.Report.Findings
			break
		}
		out.Findings = plan(d, p)
		if d.Cycle != nil {
			out.run = load.Explain(d, p)
		}
	case []history.Entry:
		h := history.New(p)
		h.UseCatalogue(facts)
		for _, e := range d {
			e.Record = facts.Resolve(e.Record, p)
			h.AddEntry(e)
		}
		day, out.Findings = moistheat.DateOf(at), h.Findings(at)
	case *history.StoredPack:
		out.Findings = history.CheckStored(d, p, on)
	}
	out.Policy = p.On(day)
	return out, nil
}

// plan joins what can be said at the packing bench with what stands against the
// cycle that the record names, if it names one.
func plan(r *load.Record, p *load.Policy) []moistheat.Finding {
	all := load.CheckPacking(r, p)
	if r.Cycle != nil {
		all = append(all, load.CycleObjections(r, p, r.Cycle.Settings, r.Cycle.Type)...)
	}
	slices.SortStableFunc(all, moistheat.Finding.Compare)
	return slices.CompactFunc(all, func(a, b moistheat.Finding) bool { return a.Compare(b) == 0 && a.Outcome == b.Outcome })
}

// entries reads a history, which is the list of its lines.
func entries(doc []byte) ([]history.Entry, error) {
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
	var out []history.Entry
	for e, err := range history.Entries(&stream) {
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}

// Document returns the vector's base with the vector's change.
func (v *Vector) Document() ([]byte, error) {
	if v == nil || v.corpus == nil {
		return nil, v.stray()
	}
	b := v.corpus.bases[v.Base]
	if b == nil {
		return nil, fmt.Errorf("loadtest: there is no base %.40q", v.Base)
	}
	return b.Document(v.Patch...)
}

// stray is the error of a vector that belongs to no corpus.
func (v *Vector) stray() error {
	return fmt.Errorf("loadtest: vector %.80q belongs to no corpus; change a vector of Corpus.Vectors, or Read it "+
		"from a file", cmp.Or(v, &Vector{}).ID)
}

// Judge returns what the library finds in a document, as the vector asks, under a policy.
// Nil is the vector's own document, and its own policy. With both given the vector may
// be one made by hand.
func (v *Vector) Judge(doc []byte, p *load.Policy) (*Judgement, error) {
	v = cmp.Or(v, &Vector{})
	var err error
	if doc == nil {
		if doc, err = v.Document(); err != nil {
			return nil, err
		}
	}
	if p == nil {
		if v.corpus == nil {
			return nil, v.stray()
		}
		if p, err = v.corpus.policy(v.Policy); err != nil {
			return nil, err
		}
	}
	return v.judge(doc, p)
}

// Compare returns an error that says in what a judgement differs from the one
// expected, or that the vector asks for what no judgement can show: a rule that does
// not exist, or that its judge never evaluates.
func (v *Vector) Compare(j *Judgement) error {
	v = cmp.Or(v, &Vector{})
	problems := v.unanswerable()
	switch {
	case j == nil:
		problems = append(problems, "there is no judgement; Vector.Judge returns one")
	case problems == nil:
		problems = v.compare(j)
	}
	if problems != nil {
		return fmt.Errorf("%s\n%s", v.ID, strings.Join(problems, "\n"))
	}
	return nil
}

// unanswerable says why no judgement can show what the vector expects.
func (v *Vector) unanswerable() []string {
	e := v.Expect
	silent := e.Outcome == moistheat.NotApplicable || e.Outcome == moistheat.NotInForce
	rule, known := v.corpus.rule(v.Rule)
	switch {
	case !known:
		return []string{fmt.Sprintf("there is no rule %.80q; load.Rules lists them", v.Rule)}
	case !v.Subject.asks(rule):
		return []string{fmt.Sprintf("%s is no rule of what judges the vector, %q; it is one of %q", v.Rule, v.Subject,
			judgeOf(rule))}
	case silent && e.Pointer != "":
		return []string{fmt.Sprintf("%s has no pointer; leave %q out", e.Outcome, e.Pointer)}
	case e.Hazards != nil && e.Outcome < moistheat.Undetermined:
		return []string{fmt.Sprintf("no report warns of what is %s; leave the hazards out", e.Outcome)}
	case silent && v.Subject == SubjectPlan:
		return []string{fmt.Sprintf("a plan does not list what is %s; ask the record", e.Outcome)}
	}
	return nil
}

func (v *Vector) compare(j *Judgement) (problems []string) {
	say := func(format string, args ...any) { problems = append(problems, fmt.Sprintf(format, args...)) }
	e := v.Expect
	var all []Found
	var ofRule []string
	for _, f := range j.Findings {
		all = append(all, found(f))
		if f.Rule == v.Rule {
			ofRule = append(ofRule, found(f).String())
		}
	}
	open := openIn(&load.Report{Findings: j.Findings})
	ruleOpen := slices.ContainsFunc(open, func(f Found) bool { return f.Rule == v.Rule })
	var want []Found
	switch e.Outcome {
	case moistheat.NotApplicable, moistheat.NotInForce:
		if ruleOpen || !j.counts(v.Subject, v.Rule, e.Outcome) {
			say("want %s %s, got [%s]", v.Rule, e.Outcome, strings.Join(ofRule, ", "))
		}
	default:
		p := Found{v.Rule, e.Pointer, e.Outcome}
		unlisted := v.Subject == SubjectPlan && p == Found{Rule: v.Rule, Outcome: moistheat.Met} && len(ofRule) == 0 && j.fits(v.Rule)
		if !slices.Contains(all, p) && !unlisted {
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
		if d := compareFound(want, open, &load.Report{Findings: j.Findings}); !d.none() {
			say("open findings differ (%s):\n%s", legend, d.text(func(Found) string { return "" }))
		}
	}
	switch {
	case e.Load == 0 && e.Packs == nil:
	case j.Report == nil:
		say("only a record has dispositions to expect")
	default:
		if got := j.Report.Verdict.Load; e.Load != 0 && got != e.Load {
			say("want the load to be %s, got %s", e.Load, got)
		}
		var got []moistheat.Disposition
		for _, p := range j.Report.Packs {
			got = append(got, p.Disposition)
		}
		if e.Packs != nil && !slices.Equal(e.Packs, got) {
			say("want the packs to be %s, got %s", words(e.Packs), words(got))
		}
	}
	return append(problems, v.unwarned(j)...)
}

// unwarned says of which hazards of the vector's rule the verdict does not warn.
func (v *Vector) unwarned(j *Judgement) (problems []string) {
	if v.Expect.Hazards == nil {
		return nil
	}
	reasons := j.Policy.Reasons(j.Findings)
	rules, warnings := reasons.Rules, reasons.Warnings
	if j.Report != nil {
		rules, warnings = j.Report.Rules, j.Report.Warnings
	}
	var of moistheat.List[moistheat.Hazard]
	for _, r := range rules {
		if r.ID == v.Rule {
			of = r.Hazards
		}
	}
	for _, h := range v.Expect.Hazards {
		said := slices.ContainsFunc(warnings, func(w load.Warning) bool { return w.Hazard == h && w.Sentence != "" })
		if !said || !slices.Contains(slices.Collect(of.All()), h) {
			problems = append(problems, fmt.Sprintf("want %s to warn of %q", v.Rule, h))
		}
	}
	return problems
}

// words joins dispositions.
func words(all []moistheat.Disposition) string {
	return strings.Trim(strings.ReplaceAll(fmt.Sprint(all), " ", ", "), "[]")
}

// counts reports whether a judgement shows that a rule did not apply or was not in
// force. The report of a record counts it. A history or a stored pack lists it, or has
// no finding of a rule that is in force and that there was nothing to ask about.
func (j *Judgement) counts(kind Subject, rule string, o moistheat.Outcome) bool {
	if kind == SubjectRecord {
		t := tally(j.Report, rule)
		return o == moistheat.NotApplicable && t.NotApplicable > 0 || o == moistheat.NotInForce && t.NotInForce > 0
	}
	listed := false
	for _, f := range j.Findings {
		if f.Rule == rule && f.Outcome == o {
			return true
		}
		listed = listed || f.Rule == rule
	}
	_, inForce := j.Policy.Rule(rule)
	return inForce && !listed && o == moistheat.NotApplicable
}

// fits reports whether a rule that a plan does not list is met: it is about the choice of
// the cycle, of which [load.CycleObjections] lists only what stands against the cycle, and the record of the
// run shows it met somewhere.
func (j *Judgement) fits(rule string) bool {
	r, _ := load.Rule(rule)
	return r.Choice && tally(j.run, rule).Met > 0
}

// tally returns what a report counts of a rule.
func tally(r *load.Report, rule string) load.Tally {
	if r != nil {
		for _, t := range r.Counts {
			if t.Rule == rule {
				return t
			}
		}
	}
	return load.Tally{}
}

// ErrDeclined is what the caller of [RunCorpus] returns for a document of a kind that
// the software under test does not keep.
const ErrDeclined moistheat.ErrorKind = "declined: the software keeps no such document"

// Run judges the vector and returns an error that says in what the verdict differs
// from the one expected.
//
// Its document goes through other software first, which is to give back what it was
// given, in its own words: as it would import, keep and export it. Nil leaves the
// document as it is. The verdict on what comes back must be the expected one, and the
// document must say the same by [DiffDocuments]. An error of the software comes back
// wrapped.
func (v *Vector) Run(through func(doc []byte) ([]byte, error)) error {
	v = cmp.Or(v, &Vector{})
	differs, err := v.run(through)
	if err != nil {
		return fmt.Errorf("%s: %w", v.ID, err)
	}
	return differs
}

// run returns in what the verdict differs, or what kept it from being reached.
func (v *Vector) run(through func(doc []byte) ([]byte, error)) (differs, err error) {
	doc, err := v.Document()
	if err != nil {
		return nil, err
	}
	back := doc
	if through != nil {
		if back, err = through(slices.Clone(doc)); err != nil {
			return nil, err
		}
	}
	p, err := v.corpus.policy(v.Policy)
	if err != nil {
		return nil, err
	}
	j, err := v.judge(back, p)
	if err != nil {
		return nil, err
	}
	if differs := v.Compare(j); differs != nil || through == nil {
		return differs, nil
	}
	diff, err := DiffDocuments(v.Subject, doc, back)
	if err == nil && diff != "" {
		err = fmt.Errorf("what came back says something else:\n%s", diff)
	}
	return nil, err
}

// RunCorpus runs every vector of the conformance corpus as a subtest. Each document
// goes through the software under test first, as [Vector.Run] says; nil tests
// this library alone. The vector, a copy, says what the document is, by its Subject: a
// record, also of [SubjectPlan]; a stored pack; or a history, which is a JSON array of
// records, events and stored packs.
//
// Software that does not keep documents of a kind returns [ErrDeclined] for them. The
// vector is then skipped, and the log says how many were. A run in which every vector
// was declined fails.
//
// A run without a failure shows that what the documents of the corpus hold comes
// through whole. It says nothing of members that no document of the corpus has, of
// larger documents, or of what the software does with a document that is refused.
func RunCorpus(t *testing.T, through func(v *Vector, doc []byte) ([]byte, error)) {
	t.Helper()
	c, err := Conformance()
	if err != nil {
		t.Fatal(err)
	}
	n := counts{}
	for _, name := range slices.Sorted(maps.Keys(c.files)) {
		f := c.files[name]
		t.Run(name, func(t *testing.T) {
			for _, v := range f.Vectors {
				t.Run(v.ID, func(t *testing.T) {
					err := v.Run(with(through, v))
					n.add(v.Subject, err)
					switch {
					case errors.Is(err, ErrDeclined):
						t.Skip(err)
					case err != nil:
						t.Error(err)
					}
				})
			}
		})
	}
	if s := n.String(); s != "" {
		t.Log(s)
	}
	if n.allDeclined() {
		t.Error("every vector was declined: nothing was tested")
	}
}

// with gives the software under test the vector, too.
func with(through func(*Vector, []byte) ([]byte, error), v *Vector) func([]byte) ([]byte, error) {
	if through == nil {
		return nil
	}
	return func(doc []byte) ([]byte, error) { return through(v.copy(), doc) }
}

// counts is how many vectors of a kind were run and declined.
type counts map[Subject]struct{ run, declined int }

func (c counts) add(kind Subject, err error) {
	n := c[kind]
	if errors.Is(err, ErrDeclined) {
		n.declined++
	} else {
		n.run++
	}
	c[kind] = n
}

func (c counts) allDeclined() bool {
	for _, n := range c {
		if n.run > 0 {
			return false
		}
	}
	return len(c) > 0
}

// String says what was declined, or "" if nothing was.
func (c counts) String() string {
	out, sep := "", "vectors declined: "
	for _, kind := range subjects {
		if n := c[kind]; n.declined > 0 {
			out, sep = out+sep+fmt.Sprintf("%d of %d of %q", n.declined, n.run+n.declined, kind), ", "
		}
	}
	return out
}
