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

// Lint returns what is wrong with a corpus, a line each, whatever it covers.
func Lint(c *loadtest.Corpus) []string {
	var out []string
	say := func(where, format string, args ...any) { out = append(out, where+": "+fmt.Sprintf(format, args...)) }
	bases := map[string]*loadtest.Base{}
	for _, b := range c.Bases() {
		bases[b.Name] = b
		for _, name := range b.Clean {
			open, err := openIn(c, b, name)
			switch {
			case err != nil:
				say("base "+b.Name, "%s: %v", name, err)
			case len(open) > 0:
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
	limited, results := judgeAll(c)
	known := map[string]bool{}
	for _, r := range load.Rules() {
		known[r.ID] = true
	}
	for name, f := range sorted(c.Files()) {
		if f.About == "" {
			say(name, "does not say what it is about")
		}
		for _, v := range f.Vectors {
			at := name + ", " + v.ID
			want := v.Rule + ": " + string(v.Case)
			if rest, ok := strings.CutPrefix(v.ID, want); !ok || rest != "" && (!strings.HasPrefix(rest, ", ") || len(rest) < 3) {
				say(at, "the id is not %q, or that with a comma and what distinguishes it", want)
			}
			if strings.TrimSpace(v.Why) == "" {
				say(at, "does not say why")
			}
			if outcomes := outcomesOf(v.Case); outcomes != nil && !slices.Contains(outcomes, v.Expect.Outcome) {
				say(at, "a vector of the case %s does not expect %s", v.Case, v.Expect.Outcome)
			}
			if o := v.Expect.Outcome; v.Expect.Pointer != "" && (o == moistheat.NotApplicable || o == moistheat.NotInForce) {
				say(at, "%s has no pointer", o)
			}
			for _, a := range v.Expect.Also {
				if !known[a.Rule] {
					say(at, "there is no rule %q", a.Rule)
				}
			}
			b := bases[v.Base]
			if b == nil {
				say(at, "there is no base %q", v.Base)
				continue
			}
			if b.Subject != v.Subject && !(b.Subject == loadtest.SubjectRecord && v.Subject == loadtest.SubjectPlan) {
				say(at, "judges a %s, and its base is a %s", v.Subject, b.Subject)
			}
			if err := results[v.ID]; err != nil {
				say(name, "%v", err)
			}
		}
		for _, e := range f.Exempt {
			at := name + ", exempt " + e.Rule + ": " + string(e.Case)
			if !known[e.Rule] {
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

// outcomesOf returns the outcomes that a case may expect; nil is any.
func outcomesOf(c loadtest.Case) []moistheat.Outcome {
	switch c {
	case loadtest.CaseMet:
		return []moistheat.Outcome{moistheat.Met}
	case loadtest.CaseBroken:
		return []moistheat.Outcome{moistheat.Broken}
	case loadtest.CaseAtLimit:
		return []moistheat.Outcome{moistheat.Met, moistheat.Broken}
	case loadtest.CaseUndetermined:
		return []moistheat.Outcome{moistheat.Undetermined}
	case loadtest.CaseNotApplicable:
		return []moistheat.Outcome{moistheat.NotApplicable}
	case loadtest.CaseNotInForce, loadtest.CaseDayBefore:
		return []moistheat.Outcome{moistheat.NotInForce}
	}
	return nil
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

// openIn returns the open findings of a base under a policy.
func openIn(c *loadtest.Corpus, b *loadtest.Base, policy string) ([]string, error) {
	j, err := judgeBase(c, b, policy)
	if err != nil {
		return nil, err
	}
	var open []string
	for _, f := range j.Findings {
		if f.Open() {
			open = append(open, fmt.Sprintf("%s %q %s", f.Rule, f.Pointer, f.Outcome))
		}
	}
	return open, nil
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

// judgeAll returns the rules of which some finding of the corpus carries a limit, and
// by the id of each vector that is not as expected the error.
func judgeAll(c *loadtest.Corpus) (limited map[string]bool, results map[string]error) {
	limited, results = map[string]bool{}, map[string]error{}
	note := func(j *loadtest.Judgement) {
		for _, f := range j.Findings {
			if f.Limit.IsValid() {
				limited[f.Rule] = true
			}
		}
	}
	for _, b := range c.Bases() {
		for _, policy := range b.Clean {
			if j, err := judgeBase(c, b, policy); err == nil {
				note(j)
			}
		}
	}
	for _, v := range c.Vectors() {
		j, err := v.Judge(nil, nil)
		if err != nil {
			results[v.ID] = fmt.Errorf("%s: %w", v.ID, err)
			continue
		}
		note(j)
		results[v.ID] = v.Compare(j)
	}
	return limited, results
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
	switch c {
	case loadtest.CaseNotInForce, loadtest.CaseDayBefore, loadtest.CaseDayOf:
		if cov.always[rule] {
			return true
		}
	}
	return slices.Contains(cov.exempt, cell{rule, c}) ||
		c == loadtest.CaseUnitVariant && slices.Contains(cov.exempt, cell{rule, loadtest.CaseAtLimit})
}

// Missing returns what is neither covered nor exempt, a line a rule.
func (cov *Coverage) Missing() []string {
	var out []string
	for _, rule := range cov.rules {
		if lacks := cov.Lacks(rule); len(lacks) > 0 {
			var names []string
			for _, c := range lacks {
				names = append(names, string(c))
			}
			out = append(out, rule+": "+strings.Join(names, ", "))
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
	short := []string{"met", "brk", "lim", "und", "n/a", "off", "bef", "day", "unit"}
	fmt.Fprintf(&b, "%-*s", width, "rule")
	for _, s := range short {
		fmt.Fprintf(&b, " %4s", s)
	}
	b.WriteByte('\n')
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
