package loadtest

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
)

// found returns what tests compare of a finding.
func found(f moistheat.Finding) Found { return Found{f.Rule, f.Pointer, f.Outcome} }

// String returns the finding on one line.
func (f Found) String() string { return fmt.Sprintf("%s %q %s", f.Rule, f.Pointer, f.Outcome) }

func (f Found) compare(g Found) int {
	return cmp.Or(strings.Compare(f.Rule, g.Rule), moistheat.ComparePointers(f.Pointer, g.Pointer), cmp.Compare(f.Outcome, g.Outcome))
}

// openIn returns the open findings of a report: broken, undetermined or internal, and
// not waived. A nil report is not one without findings: it has one that is internal.
func openIn(r *load.Report) []Found {
	if r == nil {
		return []Found{{Outcome: moistheat.Internal}}
	}
	var out []Found
	for _, f := range r.Findings {
		if f.Open() {
			out = append(out, found(f))
		}
	}
	return out
}

// Diff compares the open findings of a report with those that are wanted, by rule,
// pointer and outcome. It returns "" if they are the same, and else the names of the
// record and the policy and a line for each difference:
//
//	! is not what a report can have open
//	- is missing
//	~ was wanted elsewhere, or with another outcome
//	+ is too many
//
// A finding counts once, however often it occurs. Findings without a report, those of a
// history, a stored pack or a plan, are compared as those of a report that has nothing
// else: &load.Report{Findings: findings}.
func Diff(r *load.Report, want ...Found) string {
	if r == nil {
		return "there is no report\n"
	}
	d := compareFound(want, openIn(r), r)
	if d.none() {
		return ""
	}
	head := ""
	if r.Policy.Name != "" {
		head = fmt.Sprintf("record %q under %s:\n", r.Record, r.Policy.Name)
	}
	return head + d.text(func(f Found) string { return absent(r, f) })
}

// Expect fails a test if the open findings of a report are not exactly those wanted.
// The test goes on.
func Expect(t testing.TB, r *load.Report, want ...Found) {
	t.Helper()
	if diff := Diff(r, want...); diff != "" {
		t.Errorf("open findings differ (%s):\n%s", legend, diff)
	}
}

// ExpectBlocking is [Expect] for a record as clinics have them, of which much is open that
// keeps nothing back: it compares only what keeps the load or a pack from release.
func ExpectBlocking(t testing.TB, r *load.Report, want ...Found) {
	t.Helper()
	if r != nil {
		own := *r
		own.Findings = slices.DeleteFunc(slices.Clone(r.Findings), func(f moistheat.Finding) bool { return !f.Blocks })
		r = &own
	}
	Expect(t, r, want...)
}

const legend = "! cannot be, - missing, ~ other than wanted, + not expected"

// absent says why a report does not have a finding open, if it is known.
func absent(r *load.Report, f Found) string {
	t := tally(r, f.Rule)
	switch {
	case t.NotInForce > 0:
		return ": the rule is not in force"
	case t.NotApplicable > 0 && t.Met+t.Undetermined+t.Broken+t.Internal == 0:
		return ": the rule does not apply"
	}
	if slices.ContainsFunc(r.Findings, func(g moistheat.Finding) bool { return found(g) == f && g.Waiver != nil }) {
		return ": found, but waived"
	}
	return ""
}

// difference is what two sets of findings do not share.
type difference struct {
	wrong   []string // what cannot be open, and why
	missing []Found
	other   []nearMiss
	extra   []Found
}

// nearMiss is a finding of the rule that was wanted elsewhere or otherwise.
type nearMiss struct{ want, got Found }

func (d difference) none() bool {
	return len(d.wrong)+len(d.missing)+len(d.other)+len(d.extra) == 0
}

// compareFound compares findings of a report.
func compareFound(want, got []Found, r *load.Report) difference {
	want, got = distinct(want), distinct(got)
	var d difference
	for _, w := range want {
		if slices.Contains(got, w) {
			continue
		}
		if why := neverOpen(r, w); why != "" {
			d.wrong = append(d.wrong, w.String()+": "+why)
		} else {
			d.missing = append(d.missing, w)
		}
	}
	for _, g := range got {
		if !slices.Contains(want, g) {
			d.extra = append(d.extra, g)
		}
	}
	d.pair(func(w, g Found) bool { return w.Pointer == g.Pointer })
	d.pair(func(w, g Found) bool { return w.Outcome == g.Outcome })
	d.pair(func(Found, Found) bool { return true })
	slices.SortFunc(d.other, func(a, b nearMiss) int { return a.want.compare(b.want) })
	return d
}

// distinct returns findings in order, each once.
func distinct(in []Found) []Found {
	out := slices.Clone(in)
	slices.SortFunc(out, Found.compare)
	return slices.Compact(out)
}

// neverOpen says why no report has a finding open, or "".
func neverOpen(r *load.Report, f Found) string {
	_, known := load.Rule(f.Rule)
	known = known || tally(r, f.Rule).Rule != "" // as that of others is
	if !known && !slices.ContainsFunc(r.Findings, func(g moistheat.Finding) bool { return g.Rule == f.Rule }) {
		return "there is no such rule; did you mean " + nearest(f.Rule, ruleIDs(), 1) + "?"
	}
	if f.Outcome < moistheat.Undetermined {
		return "only open findings are compared: broken, undetermined or internal"
	}
	return ""
}

func ruleIDs() (ids []string) {
	for _, r := range load.Rules() {
		ids = append(ids, r.ID)
	}
	return ids
}

// pair makes near misses of what is missing and what is too many of one rule.
func (d *difference) pair(alike func(want, got Found) bool) {
	d.missing = slices.DeleteFunc(d.missing, func(w Found) bool {
		i := slices.IndexFunc(d.extra, func(g Found) bool { return w.Rule == g.Rule && alike(w, g) })
		if i >= 0 {
			d.other = append(d.other, nearMiss{w, d.extra[i]})
			d.extra = slices.Delete(d.extra, i, i+1)
		}
		return i >= 0
	})
}

// text returns a line for each difference. Note adds what is known of one that was
// wanted.
func (d difference) text(note func(Found) string) string {
	var b strings.Builder
	for _, w := range d.wrong {
		fmt.Fprintf(&b, "! %s\n", w)
	}
	for _, f := range d.missing {
		fmt.Fprintf(&b, "- %s%s\n", f, note(f))
	}
	for _, o := range d.other {
		fmt.Fprintf(&b, "~ %s: want %s at %q, found %s at %q%s\n",
			o.want.Rule, o.want.Outcome, o.want.Pointer, o.got.Outcome, o.got.Pointer, note(o.want))
	}
	for _, f := range d.extra {
		rule, _ := load.Rule(f.Rule)
		fmt.Fprintf(&b, "+ %s: %s\n", f, rule.Title)
	}
	return b.String()
}
