package history

import (
	"fmt"
	"testing"
	"time"

	"example.com/moistheat/load"
	"github.com/stretchr/testify/assert"
)

// A load of no site that was aborted takes each of two sterilizers of one name out of use,
// and so where there are more than are told apart; that its spores are dead changes nothing.
func TestAbortedLoadOfNoSite(t *testing.T) {
	at := func(site string) func(*load.Record) { return func(r *load.Record) { r.Site.Name = site } }
	aborted := func(r *load.Record) { r.Cycle.Aborted = yes }
	for _, sites := range []int{2, mostSites + 1} {
		what := []any{ran("1", "2026-03-09 09:00", bio(load.Negative), aborted)}
		for i := range sites {
			what = append(what, ran(fmt.Sprint("at ", i), "2026-03-02 09:00", at(fmt.Sprint("mill ", i))))
		}
		h := history(t, "us-cdc-2003", what...)
		for _, site := range []string{"mill 0", "mill 1"} {
			later := h.Check(ran("9", "2026-03-10 09:00", at(site)))
			assert.Equal(t, broken, outcome(later, whileOut, "/cycle/started"), "%d sites: %s", sites, site)
		}
	}
}

// A positive load whose time is not on record speaks against the loads of its own site.
func TestUndatedLoadOfASite(t *testing.T) {
	at := func(site string) func(*load.Record) { return func(r *load.Record) { r.Site.Name = site } }
	undated := func(r *load.Record) { r.Cycle, r.Unloading.Time = nil, time.Time{} }
	is := actions(history(t, "us-cdc-2003", ran("1", "2026-03-09 09:00", at("mill")),
		ran("2", "2026-03-09 11:00", at("bridge")),
		ran("3", "2026-03-09 13:00", bio(load.Positive), at("mill"), undated)))
	assert.Contains(t, is, "1")
	assert.NotContains(t, is, "2")
	assert.Equal(t, Recall, is["3"])
}
