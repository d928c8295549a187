package loadtest

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"example.com/moistheat"
	"example.com/moistheat/load"
)

// Seen records which outcomes of which rules some tests have brought about. The zero
// Seen is empty and ready; it may be used by parallel tests, and must not be copied.
type Seen struct {
	mu   sync.Mutex
	seen map[string]uint8 // a bit for each outcome
}

// Add notes everything that a report found or counted.
func (s *Seen) Add(r *load.Report) {
	s.AddFindings(r.Findings)
	for _, t := range r.Rules {
		if t.NotApplicable > 0 {
			s.note(t.Rule, moistheat.NotApplicable)
		}
		if t.NotInForce > 0 {
			s.note(t.Rule, moistheat.NotInForce)
		}
	}
}

// AddFindings notes findings, such as those of a history.
func (s *Seen) AddFindings(findings []moistheat.Finding) {
	for _, f := range findings {
		s.note(f.Rule, f.Outcome)
	}
}

func (s *Seen) note(rule string, o moistheat.Outcome) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.seen == nil {
		s.seen = map[string]uint8{}
	}
	s.seen[rule] |= 1 << o
}

// Has reports whether an outcome of a rule was seen.
func (s *Seen) Has(rule string, o moistheat.Outcome) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.seen[rule]&(1<<o) != 0
}

// Missing returns the rules in force under a policy of which an outcome was not
// seen, sorted.
func (s *Seen) Missing(p *load.Policy, o moistheat.Outcome) []string {
	var out []string
	for _, r := range load.Rules() {
		if _, inForce := p.Rule(r.ID); inForce && !s.Has(r.ID, o) {
			out = append(out, r.ID)
		}
	}
	return out
}

// Text returns a table of the rules in force under a policy, a line each: + for an
// outcome that was seen, . for one that was not.
func (s *Seen) Text(p *load.Policy) string {
	outcomes := []moistheat.Outcome{moistheat.Met, moistheat.Undetermined, moistheat.Broken, moistheat.NotApplicable}
	var rules []string
	width := 0
	for _, r := range load.Rules() {
		if _, inForce := p.Rule(r.ID); inForce {
			rules = append(rules, r.ID)
			width = max(width, len(r.ID))
		}
	}
	slices.Sort(rules)
	var b strings.Builder
	for _, o := range outcomes {
		n := len(rules) - len(s.Missing(p, o))
		fmt.Fprintf(&b, "%s: %d of %d rules\n", o, n, len(rules))
	}
	for _, rule := range rules {
		fmt.Fprintf(&b, "%-*s ", width, rule)
		for _, o := range outcomes {
			mark := "."
			if s.Has(rule, o) {
				mark = "+"
			}
			b.WriteString(" " + mark)
		}
		b.WriteByte('\n')
	}
	return b.String()
}
