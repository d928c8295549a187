package ask

import "example.com/moistheat"

// Add, Skip, If and With serve conditions that are not yet a sentence.
func (l *List) Add(rule ID, o moistheat.Outcome, pointer string) *moistheat.Finding {
	return l.Ask(rule, pointer).Is(o).finding()
}

// Skip records that a rule does not apply at a place.
func (l *List) Skip(rule ID, pointer string) { l.Ask(rule, pointer).When(false) }

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
