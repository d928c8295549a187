package loadtest

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
)

// FoundIn returns what tests compare of a finding.
func FoundIn(f moistheat.Finding) Found { return Found{f.Rule, f.Pointer, f.Outcome} }

// String returns the finding on one line.
func (f Found) String() string { return fmt.Sprintf("%s %q %s", f.Rule, f.Pointer, f.Outcome) }

// Open returns the open findings of a report: broken, undetermined or internal, and
// not waived.
func Open(r *load.Report) []Found {
	var out []Found
	for _, f := range r.Findings {
		if f.Open() {
			out = append(out, FoundIn(f))
		}
	}
	return out
}

// Diff compares the open findings of a report with those that are wanted, by rule,
// pointer and outcome. It returns a line for each that is missing (-) and each that
// is too many (+), or "".
func Diff(r *load.Report, want ...Found) string { return diffFound(want, Open(r)) }

// Expect fails a test if the open findings of a report are not exactly those wanted.
func Expect(t testing.TB, r *load.Report, want ...Found) {
	t.Helper()
	if d := Diff(r, want...); d != "" {
		t.Errorf("open findings differ (- missing, + not expected):\n%s", d)
	}
}

// Run injects faults into a copy of a record, checks it, and fails the test if the
// report does not hold what the faults must cause, or holds something open that they
// do not account for. It returns the report.
func Run(t testing.TB, r *load.Record, p *load.Policy, faults ...Fault) *load.Report {
	t.Helper()
	report, err := Try(r, p, faults...)
	if err != nil {
		t.Error(err)
	}
	return report
}

// Try is [Run] where there is no test: it returns an error.
func Try(r *load.Record, p *load.Policy, faults ...Fault) (*load.Report, error) {
	changed, err := Clone(r)
	if err != nil {
		return nil, err
	}
	allowed := map[Found]bool{}
	for _, f := range Open(load.Check(changed, p)) {
		allowed[f] = len(faults) > 0 // what was open before
	}
	// What failed asks for an account of it, and a record does not know that it failed.
	may := map[string]bool{"load.corrective.missing": len(faults) > 0}
	var must []Found
	day := p.On(changed.Load.Date)
	for _, f := range faults {
		caused, fits := f.Inject(changed)
		if !fits {
			return nil, fmt.Errorf("loadtest: %q does not fit record %q", f.Name, r.ID)
		}
		for _, m := range caused.Must {
			if _, inForce := day.Rule(m.Rule); inForce {
				must = append(must, m)
			}
			allowed[m] = true
		}
		for _, rule := range caused.May {
			may[rule] = true
		}
	}
	report := load.Check(changed, p)
	if changed.Release != nil && changed.Release.Decision == moistheat.Release && report.Verdict.Load != moistheat.Release {
		must = append(must, Found{"load.release.contrary", "/release/decision", moistheat.Broken})
		allowed[must[len(must)-1]] = true
	}
	open := Open(report)
	var problems []string
	for _, m := range must {
		if !slices.Contains(open, m) {
			problems = append(problems, "- "+m.String())
		}
	}
	for _, f := range open {
		if !allowed[f] && !may[f.Rule] {
			problems = append(problems, "+ "+f.String())
		}
	}
	if problems != nil {
		return report, fmt.Errorf("loadtest: record %q under %s with %s: open findings differ (- missing, + not accounted for):\n%s",
			r.ID, p.Name(), names(faults), strings.Join(problems, "\n"))
	}
	return report, nil
}

func names(faults []Fault) string {
	if len(faults) == 0 {
		return "no fault"
	}
	var out []string
	for _, f := range faults {
		out = append(out, fmt.Sprintf("%q", f.Name))
	}
	return strings.Join(out, ", ")
}
