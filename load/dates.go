package load

import (
	"cmp"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
)

// On returns the policy as it stands on a day: rules that have not started yet or
// have ended are not in force, and of tables with dates only those count that apply.
// On a day that nobody recorded, an invalid one, all of them count, and of tables
// that succeed each other the one that asks more: what is missing loosens nothing.
// [Check] and its like do this by themselves, with the date of sterilization.
func (p *Policy) On(day moistheat.Date) *Policy {
	q := *cmp.Or(p, &noPolicy)
	q.day, q.written = day, nil
	return &q
}

// Dates returns the first day on which the policy asks a rule and the first on which
// it no longer does. An invalid date stands for an end that is not stated.
func (p *Policy) Dates(id string) (from, until moistheat.Date) {
	if s := cmp.Or(p, &noPolicy).rules[id]; s != nil {
		return s.from, s.until
	}
	return from, until
}

// lookup returns what the policy's tables ask for a class of load: the first table
// that applies on the day and has a matching row. While the day is not known, a table
// with dates may not be the one: the next is asked too, and the longer hold counts.
func (p *Policy) lookup(set cycle.Settings, class cycle.LoadClass) (hardest cycle.Requirement) {
	for _, t := range p.tables {
		info := t.Info()
		dated := info.From.IsValid() || info.Until.IsValid()
		if !t.InForce(p.day) {
			continue
		}
		got, ok := t.Lookup(set, class)
		if !ok {
			continue
		}
		if hardest.Table == "" || got.NotApplicable || !hardest.NotApplicable && got.Hold.Compare(hardest.Hold) > 0 {
			hardest = got
		}
		if !dated || p.day.IsValid() {
			break
		}
	}
	return hardest
}

// mildest returns the shortest hold that any table of the policy asks on the day for a
// class of load.
func (p *Policy) mildest(set cycle.Settings, class cycle.LoadClass) (mild cycle.Requirement) {
	for _, t := range p.tables {
		got, ok := t.Lookup(set, class)
		if t.InForce(p.day) && ok && !got.NotApplicable && (mild.Table == "" || got.Hold.Compare(mild.Hold) < 0) {
			mild = got
		}
	}
	return mild
}

// near returns the rows of the policy's tables on the day that are next to what was set.
func (p *Policy) near(set cycle.Settings, class cycle.LoadClass) (out []cycle.Requirement) {
	for _, t := range p.tables {
		if t.InForce(p.day) {
			out = append(out, t.Near(set, class)...)
		}
	}
	return out
}

// on reports whether the rule counts on a day.
func (s *ruleState) on(day moistheat.Date) bool { return s.inForce && day.Within(s.from, s.until) }
