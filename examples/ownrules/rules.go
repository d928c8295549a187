// Package ownrules has three rules of an invented podiatry and minor-surgery clinic, which a
// policy asks beside those of the library: one about an item, one about a load by what the
// history of its sterilizer knows, and one about a sterilizer through time. Their texts,
// effects and sources are data, in rules.json; here are the conditions.
package ownrules

import (
	_ "embed"
	"fmt"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
)

//go:embed rules.json
var file []byte

// Rules returns the rules of the clinic. Version changes with what is below.
func Rules() load.OwnRules {
	return load.OwnRules{
		Prefix: "clinic", Version: "2026-11", File: file,
		Record: map[string]func(load.Asker, *load.Record, load.Known){
			"clinic.item.oiled":     oiled,
			"clinic.pause.untested": untested,
		},
		Sterilizer: map[string]func(load.Asker, load.Known){
			"clinic.leak.stale": stale,
		},
	}
}

// oiled asks it of each item with a hinge, and of each that is not said to have none.
func oiled(ask load.Asker, r *load.Record, _ load.Known) {
	for i := range r.Packs {
		for j := range r.Packs[i].Items {
			it := &r.Packs[i].Items[j]
			hinged := slices.Contains(it.Traits, packaging.Hinged)
			described := len(it.Traits) > 0 || it.HasTraits == moistheat.No
			ask(fmt.Sprintf("/packs/%d/items/%d/preparation/lubricated", i, j)).
				When(hinged || !described).With("item", it.Name).
				Given(described).Yes(it.Preparation.Lubricated)
		}
	}
}

// pause is how many days without a load ask for a test.
const pause = 3

// untested asks it of a load of whose sterilizer a history knows something. That nothing is
// known of it the library says by itself.
func untested(ask load.Asker, r *load.Record, k load.Known) {
	began := k.LastUse.IsValid() && r.Cycle != nil && !r.Cycle.Started.IsZero()
	q := ask("/cycle/started").When(k.Sterilizer != "").With("last", k.LastUse.String()).Given(began)
	if !began {
		return
	}
	start, today := r.Cycle.Started, moistheat.DateOf(r.Cycle.Started)
	q.When(k.LastUse.AddDays(pause).Compare(today) < 0).
		BrokenIf(!slices.ContainsFunc(k.Tests, func(t load.KnownTest) bool {
			return t.Test == calendar.AirRemovalEvent && moistheat.DateOf(t.Time) == today && !t.Time.After(start)
		}))
}

// week is how many days a leak test counts.
const week = 7

// stale asks it of a sterilizer at an instant. Tests are the newest of each kind that was passed.
func stale(ask load.Asker, k load.Known) {
	i := slices.IndexFunc(k.Tests, func(t load.KnownTest) bool { return t.Test == calendar.LeakEvent })
	q := ask("").Given(i >= 0)
	if i >= 0 {
		last := moistheat.DateOf(k.Tests[i].Time)
		q.With("last", last.String()).BrokenIf(last.AddDays(week).Compare(moistheat.DateOf(k.At)) < 0)
	}
}
