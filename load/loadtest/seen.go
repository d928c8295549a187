package loadtest

import (
	"fmt"
	"strings"
	"sync"

	"example.com/moistheat"
	"example.com/moistheat/load"
)

// Seen records which outcomes of which rules some tests have brought about. The zero
// Seen is empty and ready; it may be used by parallel tests, and must not be copied.
//
// Seen does not tell policies apart: a rule that was seen under one policy counts as
// seen under all. A finding that is waived counts like one that is not. [Faults] are
// about records and reach only some of their rules; for a rule to be seen that judges
// a sterilizer through time or a pack in store, add the findings of histories and of
// stored packs, too, as &load.Report{Findings: findings}.
type Seen struct {
	mu   sync.Mutex
	seen map[string]uint8 // a bit for each outcome
}

// Add notes everything that a report found or counted. Its Counts count also the
// findings that are left out of the report for their number, those of Omitted. A nil
// report has nothing to note.
func (s *Seen) Add(r *load.Report) {
	if r == nil {
		return
	}
	for _, f := range r.Findings {
		s.note(f.Rule, f.Outcome)
	}
	for _, t := range r.Counts {
		for o, n := range map[moistheat.Outcome]int{
			moistheat.NotApplicable: t.NotApplicable, moistheat.NotInForce: t.NotInForce, moistheat.Met: t.Met,
			moistheat.Undetermined: t.Undetermined, moistheat.Broken: t.Broken, moistheat.Internal: t.Internal,
		} {
			if n > 0 {
				s.note(t.Rule, o)
			}
		}
	}
}

func (s *Seen) note(rule string, o moistheat.Outcome) {
	if s == nil {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.seen == nil {
		s.seen = map[string]uint8{}
	}
	s.seen[rule] |= 1 << o
}

// has reports whether an outcome of a rule was seen.
func (s *Seen) has(rule string, o moistheat.Outcome) bool {
	if s == nil {
		return false
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.seen[rule]&(1<<o) != 0
}

// Missing returns the rules in force under a policy of which an outcome was not
// seen, sorted; all of them if the policy is nil.
func (s *Seen) Missing(p *load.Policy, o moistheat.Outcome) []string {
	var out []string
	for _, rule := range inForce(p) {
		if !s.has(rule, o) {
			out = append(out, rule)
		}
	}
	return out
}

// inForce returns the rules in force under a policy, sorted. Under a nil one all of them
// are wanted, so that a test does not pass for want of a policy.
func inForce(p *load.Policy) []string {
	all := p.Rules()
	if p == nil {
		all = load.Rules()
	}
	var out []string
	for _, r := range all {
		if _, ok := p.Rule(r.ID); ok || p == nil {
			out = append(out, r.ID)
		}
	}
	return out
}

// Text returns how many rules in force under a policy had each outcome, and a table of
// them under a heading, a line each: + for an outcome that was seen, . for one that was
// not.
func (s *Seen) Text(p *load.Policy) string {
	outcomes := []moistheat.Outcome{moistheat.Met, moistheat.Undetermined, moistheat.Broken, moistheat.NotApplicable}
	rules := inForce(p)
	width := len("rule")
	for _, rule := range rules {
		width = max(width, len(rule))
	}
	var b strings.Builder
	heading := fmt.Sprintf("%-*s", width, "rule")
	for _, o := range outcomes {
		n := len(rules) - len(s.Missing(p, o))
		fmt.Fprintf(&b, "%s: %d of %d rules\n", o, n, len(rules))
		heading += "  " + o.String()
	}
	b.WriteString(heading + "\n")
	for _, rule := range rules {
		line := fmt.Sprintf("%-*s", width, rule)
		for _, o := range outcomes {
			mark := "."
			if s.has(rule, o) {
				mark = "+"
			}
			line += fmt.Sprintf("  %-*s", len(o.String()), mark)
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	return b.String()
}
