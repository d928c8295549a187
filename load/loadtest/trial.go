package loadtest

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
)

// The errors of [Try] that say that a fault shows nothing on a record under a policy.
// A test that tries many faults passes over them with [errors.Is].
const (
	// ErrNoFit: the record does not have what the fault changes.
	ErrNoFit moistheat.ErrorKind = "the fault does not fit"
	// ErrNotInForce: the policy does not ask for what the fault breaks.
	ErrNotInForce moistheat.ErrorKind = "none of the rules that the fault breaks is in force"
	// ErrOpenBefore: the finding would be there without the fault, too.
	ErrOpenBefore moistheat.ErrorKind = "what the fault must cause is open before it"
)

// Run injects faults into a copy of a record, checks it, and ends the test if the
// report does not hold what the faults must cause, or holds something open that they
// do not account for. It returns the report. What it accepts and what it refuses is
// that of [Try].
func Run(t testing.TB, r *load.Record, p *load.Policy, faults ...Fault) *load.Report {
	t.Helper()
	report, err := Try(r, p, faults...)
	if err != nil {
		t.Fatal(err)
	}
	return report
}

// Try is [Run] where there is no test: it returns an error.
//
// What the faults account for is what [Effects.Wanted] returns. Findings that are open
// on the record before the faults may stay open or go, without a word: begin with a
// record about which nothing is open, which Try without faults asks for. It is an
// error if a fault shows nothing, because it does not fit ([ErrNoFit]), because no
// rule that it breaks is in force ([ErrNotInForce]), or because one of the findings
// that it must cause is open already, on the record or after an earlier fault
// ([ErrOpenBefore]). The same fault twice is an error: the second would not always
// take the next pack.
//
// The report is nil unless the error is about the findings.
func Try(r *load.Record, p *load.Policy, faults ...Fault) (*load.Report, error) {
	t, err := newTrial(r, p, faults)
	if err != nil {
		return nil, err
	}
	for i := range faults {
		if err := t.inject(i); err != nil {
			return nil, err
		}
	}
	return t.report, t.compare()
}

// trial is a record on its way through faults.
type trial struct {
	record *load.Record // a copy, with the faults so far
	policy *load.Policy
	report *load.Report // of the record as it stands
	faults []Fault
	before []Found // open before the first fault
	caused []Effects

	by     map[Found]Fault  // which fault must cause a finding
	hidden map[Found]string // which other fault is to blame for its absence
}

func newTrial(r *load.Record, p *load.Policy, faults []Fault) (*trial, error) {
	switch {
	case r == nil:
		return nil, errors.New("loadtest: there is no record to try")
	case p == nil:
		return nil, errors.New("loadtest: there is no policy to judge by; load.PolicyFor has them")
	}
	for i, f := range faults {
		if !slices.Contains(Faults(), f) {
			return nil, fmt.Errorf("loadtest: %s", unknownFault(f))
		}
		if slices.Contains(faults[:i], f) {
			return nil, fmt.Errorf("loadtest: %q is given twice; a fault goes into a record once", f)
		}
	}
	record, err := clone(r)
	if err != nil {
		return nil, err
	}
	report := load.Explain(record, p)
	return &trial{record: record, policy: p, report: report, faults: faults, before: openIn(report),
		by: map[Found]Fault{}, hidden: map[Found]string{}}, nil
}

// inject injects one fault and checks the record again.
func (t *trial) inject(i int) error {
	f := t.faults[i]
	before := openIn(t.report)
	caused, fits := f.Inject(t.record)
	if !fits {
		return t.refuse(i, ErrNoFit)
	}
	t.report = load.Explain(t.record, t.policy)
	must := caused.inForce(t.report)
	if len(must) == 0 {
		return t.refuse(i, ErrNotInForce, caused.Required...)
	}
	for _, m := range must {
		if slices.Contains(before, m) {
			return t.refuse(i, ErrOpenBefore, m)
		}
	}
	open := openIn(t.report)
	for m := range t.by {
		if slices.Contains(before, m) && !slices.Contains(open, m) {
			t.hidden[m] = fmt.Sprintf("%q took it away", f)
		}
	}
	for _, m := range must {
		t.by[m] = f
		if i > 0 && !slices.Contains(open, m) {
			t.hidden[m] = names(t.faults[:i]) + " may hide it"
		}
	}
	t.caused = append(t.caused, caused)
	return nil
}

// refuse says why a fault shows nothing, and which findings that is about.
func (t *trial) refuse(i int, why error, about ...Found) error {
	after := ""
	if i > 0 {
		after = " after " + names(t.faults[:i])
	}
	list, sep := "", ": "
	for _, f := range about {
		list, sep = list+sep+f.String(), ", "
	}
	return fmt.Errorf("loadtest: %q on record %q under %s%s: %w%s", t.faults[i], t.record.ID, t.policy.Name(), after, why, list)
}

// compare returns an error that says in what the report differs from what the faults
// account for.
func (t *trial) compare() error {
	open := openIn(t.report)
	var want []Found
	for _, c := range t.caused {
		want = append(want, c.Wanted(t.report)...)
	}
	if len(t.faults) > 0 {
		for _, f := range t.before {
			if slices.Contains(open, f) {
				want = append(want, f)
			}
		}
	}
	d := compareFound(want, open, t.report)
	if d.none() {
		return nil
	}
	return fmt.Errorf("loadtest: record %q under %s with %s: open findings differ (%s):\n%s",
		t.record.ID, t.policy.Name(), names(t.faults), legend, strings.TrimSuffix(d.text(t.note), "\n"))
}

// note says which fault a finding was wanted for, and what became of it.
func (t *trial) note(f Found) string {
	out := ""
	if by := t.by[f]; by != "" {
		out = fmt.Sprintf(", which %q must cause", by)
	}
	if hidden := t.hidden[f]; hidden != "" {
		return out + ": " + hidden
	}
	return out + absent(t.report, f)
}

func names(faults []Fault) string {
	if len(faults) == 0 {
		return "no fault"
	}
	var out []string
	for _, f := range faults {
		out = append(out, fmt.Sprintf("%q", f))
	}
	return strings.Join(out, ", ")
}

// Wanted returns what of it is to be open in the report of the changed record, for
// [Expect] and [Diff]:
//
//   - what it must cause, where the rule is in force;
//   - what the report has open of the rules that it may break;
//   - load.release.contradicted, if somebody recorded a release: broken where the load or
//     a pack is rejected, undetermined where one is quarantined;
//   - load.corrective.missing, if the report has it open and rejects the load or a
//     pack: what failed asks for an account of it.
//
// What was open before the fault is not among it.
func (c Effects) Wanted(r *load.Report) []Found {
	open, r := openIn(r), cmp.Or(r, &load.Report{})
	out := c.inForce(r)
	for _, f := range open {
		if slices.Contains(c.Allowed, f.Rule) || asksAccount(r, f) {
			out = append(out, f)
		}
	}
	contrary := tally(r, "load.release.contradicted")
	if outcome := worst(r); outcome != moistheat.Met && contrary.NotApplicable == 0 && contrary.NotInForce == 0 {
		out = append(out, Found{"load.release.contradicted", "/release/decision", outcome})
	}
	return distinct(out)
}

// worst returns what a release of everything in the report comes to.
func worst(r *load.Report) moistheat.Outcome {
	all := r.Verdict.Load
	for _, p := range r.Packs {
		all = max(all, p.Disposition)
	}
	switch all {
	case moistheat.Reject:
		return broken
	case moistheat.Quarantine:
		return undetermined
	}
	return moistheat.Met
}

// inForce returns the findings it must cause whose rules are in force.
func (c Effects) inForce(r *load.Report) (out []Found) {
	for _, f := range c.Required {
		if tally(r, f.Rule).NotInForce == 0 {
			out = append(out, f)
		}
	}
	return out
}

// asksAccount reports whether a finding is that nobody accounted for what failed. A
// record does not know that it failed.
func asksAccount(r *load.Report, f Found) bool {
	rejected := r.Verdict.Load == moistheat.Reject || slices.ContainsFunc(r.Packs, func(p load.PackVerdict) bool {
		return p.Disposition == moistheat.Reject
	})
	return rejected && (f == Found{"load.corrective.missing", "/release", broken} || f == Found{"load.corrective.missing", "", undetermined})
}
