// Package vectors looks after the conformance corpus: it says what is wrong with the
// vectors and what they lack, writes the files in one shape, and derives vectors
// from others. It is no part of the library.
package corpus

import (
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// Lint returns what is wrong with a corpus, a line each, whatever it covers. It shows each
// judgement that it has made, so that nobody need make it again.
func Lint(c *loadtest.Corpus, show ...func(*loadtest.Vector, *loadtest.Judgement)) []string {
	var out []string
	say := func(where, format string, args ...any) { out = append(out, where+": "+fmt.Sprintf(format, args...)) }
	limited := map[string]bool{} // rules of which some finding carries a limit
	note := func(j *loadtest.Judgement) {
		for _, f := range j.Findings {
			limited[f.Rule] = limited[f.Rule] || f.Limit.IsValid()
		}
	}
	bases := map[string]*loadtest.Base{}
	for _, b := range c.Bases() {
		bases[b.Name] = b
		for _, name := range b.Clean {
			j, err := judgeBase(c, b, name)
			if err != nil {
				say("base "+b.Name, "%s: %v", name, err)
				continue
			}
			note(j)
			var open []string
			for _, f := range j.Findings {
				if f.Open() {
					open = append(open, loadtest.Found{Rule: f.Rule, Pointer: f.Pointer, Outcome: f.Outcome}.String())
				}
			}
			if open != nil {
				say("base "+b.Name, "under %s these are open: %s", name, strings.Join(open, ", "))
			}
		}
		if len(b.Clean) == 0 {
			say("base "+b.Name, "is clean under no policy")
		}
		if b.About == "" {
			say("base "+b.Name, "does not say what it is")
		}
	}
	results := map[string]error{} // by the id of a vector, in what it is not as expected
	for _, v := range c.Vectors() {
		j, err := v.Judge(nil, nil)
		if err != nil {
			results[v.ID] = fmt.Errorf("%s: %w", v.ID, err)
			continue
		}
		note(j)
		for _, f := range show {
			f(v, j)
		}
		results[v.ID] = v.Compare(j)
	}
	for name, f := range sorted(c.Files()) {
		if f.About == "" {
			say(name, "does not say what it is about")
		}
		for _, v := range f.Vectors {
			lintVector(v, bases[v.Base], func(format string, args ...any) { say(name+", "+v.ID, format, args...) })
			if err := results[v.ID]; err != nil && bases[v.Base] != nil {
				say(name, "%v", err)
			}
		}
		for _, e := range f.Exempt {
			at := name + ", exempt " + e.Rule + ": " + string(e.Case)
			if !known(e.Rule) {
				say(at, "there is no rule %q", e.Rule)
			}
			if strings.TrimSpace(e.Why) == "" {
				say(at, "does not say why")
			}
			if e.Case == loadtest.CaseAtLimit && limited[e.Rule] {
				say(at, "findings of the rule carry a limit")
			}
		}
	}
	cov := Cover(c)
	for _, e := range cov.exempt {
		if cov.count[e] > 0 {
			say("exempt "+e.rule+": "+string(e.c), "there is such a vector")
		}
	}
	return out
}

// lintVector says what is wrong with a vector of a base before it is judged.
func lintVector(v *loadtest.Vector, b *loadtest.Base, say func(format string, args ...any)) {
	want := v.Rule + ": " + string(v.Case)
	if rest, ok := strings.CutPrefix(v.ID, want); !ok || rest != "" && (!strings.HasPrefix(rest, ", ") || len(rest) < 3) {
		say("the id is not %q, or that with a comma and what distinguishes it", want)
	}
	if strings.TrimSpace(v.Why) == "" {
		say("does not say why")
	}
	if outcomes := Outcomes(v.Case); outcomes != nil && !slices.Contains(outcomes, v.Expect.Outcome) {
		say("a vector of the case %s does not expect %s", v.Case, v.Expect.Outcome)
	}
	if o := v.Expect.Outcome; v.Expect.Pointer != "" && (o == moistheat.NotApplicable || o == moistheat.NotInForce) {
		say("%s has no pointer", o)
	}
	for _, a := range v.Expect.Also {
		if !known(a.Rule) {
			say("there is no rule %q", a.Rule)
		}
	}
	switch {
	case b == nil:
		say("there is no base %q", v.Base)
	case b.Subject != v.Subject && !(b.Subject == loadtest.SubjectRecord && v.Subject == loadtest.SubjectPlan):
		say("judges a %s, and its base is a %s", v.Subject, b.Subject)
	}
}

func known(rule string) bool {
	_, ok := load.Rule(rule)
	return ok
}

// Outcomes returns the outcomes that a case may expect, the usual one first; nil is any.
func Outcomes(c loadtest.Case) []moistheat.Outcome {
	return map[loadtest.Case][]moistheat.Outcome{
		loadtest.CaseMet:           {moistheat.Met},
		loadtest.CaseBroken:        {moistheat.Broken},
		loadtest.CaseAtLimit:       {moistheat.Met, moistheat.Broken},
		loadtest.CaseUndetermined:  {moistheat.Undetermined},
		loadtest.CaseNotApplicable: {moistheat.NotApplicable},
		loadtest.CaseNotInForce:    {moistheat.NotInForce},
		loadtest.CaseDayBefore:     {moistheat.NotInForce},
	}[c]
}

// cases are all cases in their order.
var cases = [...]loadtest.Case{loadtest.CaseMet, loadtest.CaseBroken, loadtest.CaseAtLimit, loadtest.CaseUndetermined,
	loadtest.CaseNotApplicable, loadtest.CaseNotInForce, loadtest.CaseDayBefore, loadtest.CaseDayOf, loadtest.CaseUnitVariant}

// sorted yields files in order of their names.
func sorted(files map[string]*loadtest.File) iter.Seq2[string, *loadtest.File] {
	return func(yield func(string, *loadtest.File) bool) {
		for _, name := range slices.Sorted(maps.Keys(files)) {
			if !yield(name, files[name]) {
				return
			}
		}
	}
}

func judgeBase(c *loadtest.Corpus, b *loadtest.Base, policy string) (*loadtest.Judgement, error) {
	p, err := load.PolicyFor(policy)
	if doc := c.Policies()[policy]; doc != nil {
		p, err = load.ParsePolicy(doc)
	}
	if err != nil {
		return nil, err
	}
	doc, err := b.Document()
	if err != nil {
		return nil, err
	}
	return (&loadtest.Vector{Subject: b.Subject, At: b.At, On: b.On}).Judge(doc, p)
}

type cell struct {
	rule string
	c    loadtest.Case
}

// Coverage is which rules have vectors of which cases.
type Coverage struct {
	rules  []string
	always map[string]bool // nobody may put the rule out of force, nor for a time
	count  map[cell]int
	exempt []cell
	byHand int
	all    int
}

// Cover counts the vectors of every rule and case.
func Cover(c *loadtest.Corpus) *Coverage {
	cov := &Coverage{count: map[cell]int{}, always: map[string]bool{}}
	for _, r := range load.Rules() {
		cov.rules = append(cov.rules, r.ID)
		cov.always[r.ID] = r.NoWaiver
	}
	for _, f := range sorted(c.Files()) {
		for _, v := range f.Vectors {
			cov.count[cell{v.Rule, v.Case}]++
			cov.all++
			if v.ByHand {
				cov.byHand++
			}
		}
		for _, e := range f.Exempt {
			cov.exempt = append(cov.exempt, cell{e.Rule, e.Case})
		}
	}
	return cov
}

// Lacks returns the cases of a rule that have neither a vector nor an exemption. A
// rule that compares no quantity, and is exempt from the case at the limit for it,
// needs no unit variant either.
func (cov *Coverage) Lacks(rule string) []loadtest.Case {
	var out []loadtest.Case
	for _, c := range cases {
		if cov.count[cell{rule, c}] == 0 && !cov.isExempt(rule, c) {
			out = append(out, c)
		}
	}
	return out
}

func (cov *Coverage) isExempt(rule string, c loadtest.Case) bool {
	offForATime := c == loadtest.CaseNotInForce || c == loadtest.CaseDayBefore || c == loadtest.CaseDayOf
	return offForATime && cov.always[rule] || slices.Contains(cov.exempt, cell{rule, c}) ||
		c == loadtest.CaseUnitVariant && slices.Contains(cov.exempt, cell{rule, loadtest.CaseAtLimit})
}

// Missing returns what is neither covered nor exempt, a line a rule.
func (cov *Coverage) Missing() []string {
	var out []string
	for _, rule := range cov.rules {
		lacks := ""
		for _, c := range cov.Lacks(rule) {
			lacks += ", " + string(c)
		}
		if lacks != "" {
			out = append(out, rule+": "+lacks[2:])
		}
	}
	return out
}

// Summary returns one line with the numbers.
func (cov *Coverage) Summary() string {
	total, have, exempt := 0, 0, 0
	for _, rule := range cov.rules {
		for _, c := range cases {
			switch total++; {
			case cov.count[cell{rule, c}] > 0:
				have++
			case cov.isExempt(rule, c):
				exempt++
			}
		}
	}
	return fmt.Sprintf("%d vectors, %d worked out by hand; %d rules with %d cases: %d shown, %d exempt, %d missing (%d %% covered)",
		cov.all, cov.byHand, len(cov.rules), total, have, exempt, total-have-exempt, 100*(have+exempt)/max(1, total))
}

// Table returns the coverage, a rule a line: the number of vectors, x for exempt and
// - for missing.
func (cov *Coverage) Table() string {
	var b strings.Builder
	width := 0
	for _, r := range cov.rules {
		width = max(width, len(r))
	}
	fmt.Fprintf(&b, "%-*s  met  brk  lim  und  n/a  off  bef  day unit\n", width, "rule")
	for _, r := range cov.rules {
		fmt.Fprintf(&b, "%-*s", width, r)
		for _, c := range cases {
			mark := "-"
			if n := cov.count[cell{r, c}]; n > 0 {
				mark = fmt.Sprint(n)
			} else if cov.isExempt(r, c) {
				mark = "x"
			}
			fmt.Fprintf(&b, " %4s", mark)
		}
		b.WriteByte('\n')
	}
	b.WriteString(cov.Summary() + "\n")
	return b.String()
}
