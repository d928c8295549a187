package load

import (
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/packaging"
	"example.com/moistheat/water"
)

// Rules returns every rule that [Check] evaluates, whatever the policy, and those
// that package history adds, sorted by ID. The caller owns the slice.
func Rules() []moistheat.Rule {
	all := slices.Concat(packaging.Rules(), cleaning.Rules(), cycle.Rules(), water.Rules(),
		book.Rules(), rules.Book.Rules())
	slices.SortFunc(all, func(a, b moistheat.Rule) int { return strings.Compare(a.ID, b.ID) })
	return all
}

// byName holds every rule by its ID. The rules are never changed.
var byName lazy.Value[map[string]moistheat.Rule]

// Rule returns the rule with this ID.
func Rule(id string) (moistheat.Rule, bool) {
	r, ok := byName.Get(func() map[string]moistheat.Rule {
		out := map[string]moistheat.Rule{}
		for _, r := range Rules() {
			out[r.ID] = r
		}
		return out
	})[id]
	return r, ok
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
