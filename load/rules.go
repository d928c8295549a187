package load

import (
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/packaging"
	"example.com/moistheat/water"
)

// Rules returns every rule that [Check] evaluates, whatever the policy, and those
// that package history adds, sorted by ID. The caller owns the slice.
func Rules() []moistheat.Rule {
	all := slices.Concat(packaging.Rules(), cycle.Rules(), water.Rules(), book.Rules(), rules.Book.Rules())
	slices.SortFunc(all, func(a, b moistheat.Rule) int { return strings.Compare(a.ID, b.ID) })
	return all
}

// Rule returns the rule with this ID.
func Rule(id string) (moistheat.Rule, bool) {
	for _, r := range Rules() {
		if r.ID == id {
			return r, true
		}
	}
	return moistheat.Rule{}, false
}

// askedOfRecord reports whether a rule is asked of a record, and not of a history or of a
// pack in store.
func askedOfRecord(r moistheat.Rule) bool {
	switch r.Scope {
	case moistheat.ItemScope, moistheat.PackScope, moistheat.LoadScope:
		return true
	}
	return false
}
