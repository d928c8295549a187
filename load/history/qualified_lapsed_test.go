package history

import (
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
)

// A load pattern is qualified until it fails, or until its qualification is too old where the
// policy asks for one each year and a newer one names other patterns.
func TestQualificationCoversUntilItFails(t *testing.T) {
	q := func(at string, ok moistheat.Answer, patterns ...string) *Event {
		return event(calendar.RequalificationEvent, at, passed(ok), func(e *Event) {
			e.By, e.Document, e.Patterns = "J. Doe", "report", patterns
		})
	}
	first := q("2025-09-05 09:00", yes, "A", "B")
	failed, all := q("2026-01-05 09:00", no, "B"), q("2026-01-05 09:00", no)
	onlyA, again := q("2026-01-06 09:00", yes, "A"), q("2026-01-07 09:00", yes, "B")
	old := q("2016-01-05 09:00", yes, "A", "B")
	for name, c := range map[string]struct {
		policy string
		events []any
		a, b   moistheat.Outcome
	}{
		"both":                     {"australia", []any{first}, met, met},
		"B failed":                 {"australia", []any{first, failed}, met, broken},
		"B failed, A passed":       {"australia", []any{first, failed, onlyA}, met, broken},
		"b failed, A passed":       {"australia", []any{first, q("2026-01-05 09:00", no, "b"), onlyA}, met, broken},
		"all failed, A passed":     {"us-cdc-2003", []any{first, all, onlyA}, met, broken},
		"B failed, passed again":   {"australia", []any{first, failed, onlyA, again}, met, met},
		"B old, A new":             {"australia", []any{old, onlyA}, met, broken},
		"B old, no duty each year": {"us-cdc-2003", []any{old, onlyA}, met, met},
		"both old, said elsewhere": {"australia", []any{old}, met, met},
	} {
		for pattern, want := range map[string]moistheat.Outcome{"A": c.a, "B": c.b} {
			r := ran("5", "2026-03-09 09:00")
			r.Arrangement = &load.Arrangement{Pattern: pattern}
			h := history(t, c.policy, c.events...)
			if got := found(load.ExplainKnowing(r, h.Policy(), h.Known(r)), "load.qualification.outside"); got != want {
				t.Errorf("%s: load.qualification.outside of pattern %s is %v, want %v", name, pattern, got, want)
			}
		}
	}
}
