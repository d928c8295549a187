// Package check collects findings for the packages that own rules.
package check

import (
	"example.com/moistheat"
)

// List gathers findings. The zero List is ready to use.
type List struct{ Findings []moistheat.Finding }

// Add appends a finding of a rule and returns it, so that the caller can fill in
// what was measured. The pointer is valid until the next Add.
func (l *List) Add(r *moistheat.Rule, o moistheat.Outcome, k moistheat.Kind, pointer string) *moistheat.Finding {
	l.Findings = append(l.Findings, moistheat.Finding{
		Rule: r.ID, Outcome: o, Severity: r.Severity, Kind: k, Pointer: pointer, Sources: r.Sources,
	})
	return &l.Findings[len(l.Findings)-1]
}

// Skip records that a rule does not apply at a place.
func (l *List) Skip(r *moistheat.Rule, pointer string) {
	l.Add(r, moistheat.NotApplicable, moistheat.Choice, pointer)
}

// Answer records a rule that holds when a recorded answer is the wanted one. An
// answer that nobody recorded is undetermined.
func (l *List) Answer(r *moistheat.Rule, got, want moistheat.Answer, pointer string) *moistheat.Finding {
	switch got {
	case moistheat.NotRecorded: // first: wanting it can not make it a pass
		return l.Add(r, moistheat.Undetermined, moistheat.Missing, pointer)
	case want:
		return l.Add(r, moistheat.Met, moistheat.Choice, pointer)
	}
	return l.Add(r, moistheat.Broken, moistheat.Choice, pointer)
}

// If returns Broken when the condition is true and Met when it is not.
func If(broken bool) moistheat.Outcome {
	if broken {
		return moistheat.Broken
	}
	return moistheat.Met
}

// With adds a parameter to a finding and returns it.
func With(f *moistheat.Finding, name, value string) *moistheat.Finding {
	f.Params = append(f.Params, moistheat.Param{Name: name, Value: value})
	return f
}
