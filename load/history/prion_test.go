package history

import (
	"fmt"
	"strings"
	"testing"

	"example.com/moistheat/load"
	"github.com/stretchr/testify/assert"
)

// withItems gives the first pack of a record an item with a mark, washed in a load.
func withItems(item, washed string) func(*load.Record) {
	return func(r *load.Record) {
		it := &r.Packs[0].Items[0]
		it.ID, it.Preparation.WasherLoad = item, washed
	}
}

// A suspicion follows the patient to every set that was used on him, outlasts a save and the
// keys of the patients, and ends with the amendment that takes it back and the line that says
// what is right.
func TestSuspectedPatient(t *testing.T) {
	use := func(pack, record, at string, edit func(*Use)) *StoredPack {
		u := &Use{Time: local(at), Patient: "p-1"}
		edit(u)
		return &StoredPack{Format: StoredFormat, Pack: pack, Record: record, Use: u}
	}
	lines := func(said *StoredPack) []any {
		return []any{
			ran("1", "2026-03-02 09:00", withItems("F-1", "W-1")),
			ran("2", "2026-03-02 11:00", withItems("G-1", "W-1")),
			use("1-1", "1", "2026-03-03 09:00", func(*Use) {}), said,
			ran("3", "2026-03-04 09:00", withItems("F-1", "W-3")),
			ran("4", "2026-03-05 09:00", withItems("H-1", "W-3")),
			ran("5", "2026-03-06 09:00", withItems("G-1", "W-5")),
			ran("6", "2026-03-06 11:00", withItems("K-1", "W-6")),
		}
	}
	suspected := use("2-1", "2", "2026-03-03 15:00", func(u *Use) { u.PrionSuspected = yes })
	found := func(h *History) []string {
		return findings(h, "load.recall.prion", "2026-03-21 09:00", "packs", "cases")
	}
	want := []string{
		"broken /loads/3|3-1, 3-2|3-1", "broken /loads/4|4-1|3-1", "broken /loads/5|5-1, 5-2|5-1",
		"broken /packs/1-1|1-1|1-1", "broken /packs/2-1|2-1|2-1",
	}
	h := history(t, "germany", lines(suspected)...)
	assert.Equal(t, want, found(h))
	again, _ := loaded(t, saved(t, h), policy(t, "germany"))
	assert.Equal(t, want, found(again), "saved")
	assert.Equal(t, want, found(h.WithoutPatients()), "without patients")
	again, _ = loaded(t, saved(t, h.WithoutPatients()), policy(t, "germany"))
	assert.Equal(t, want, found(again), "saved without patients")

	back := amend(suspected, "/use/prionSuspected")
	h = history(t, "germany", lines(suspected)...)
	assert.NoError(t, h.AddAmendment(back))
	assert.Equal(t, want, found(h), "no line says what is right")
	h.AddStored(use("2-1", "2", "2026-03-03 15:00", func(u *Use) { u.PrionSuspected = no }))
	assert.Equal(t, []string{"not applicable ||"}, found(h))
}

// A record that says so holds what met it; a version that does not say so hides nothing.
func TestSuspectedInItsRecord(t *testing.T) {
	first := ran("1", "2026-03-02 09:00", withItems("F-1", "W-1"), func(r *load.Record) {
		r.Packs[0].Items[0].PrionSuspected = yes
	})
	other := ran("1", "2026-03-02 09:00", withItems("F-1", "W-1"))
	second := ran("2", "2026-03-02 11:00", withItems("G-1", "W-1"))
	for _, lines := range [][]any{{first, second}, {first, other, second}, {second, other, first}} {
		h := history(t, "us-cdc-2008", lines...)
		assert.Equal(t, []string{"broken /loads/1|1-1, 1-2|1-1", "broken /loads/2|2-1|1-1"},
			findings(h, "load.recall.prion", "2026-03-21 09:00", "packs", "cases"))
		assert.NoError(t, h.AddAmendment(amend(first, "/packs/0/items/0/prionSuspected")))
		if len(lines) == 3 { // a line says what is right
			assert.Equal(t, []string{"not applicable "}, findings(h, "load.recall.prion", "2026-03-21 09:00"))
		}
	}
	// Two sites may use one key for two washer loads.
	at := func(site string) func(*load.Record) { return func(r *load.Record) { r.Site.Name = site } }
	first.Site.Name = "mill"
	for site, want := range map[string]int{"mill": 2, "": 2, "harbour": 1} {
		h := history(t, "us-cdc-2008", first, ran("2", "2026-03-02 11:00", withItems("G-1", "W-1"), at(site)))
		assert.Len(t, findings(h, "load.recall.prion", "2026-03-21 09:00"), want, site)
	}
}

// What a washer load reached, asked of every site in turn, as at finds it: for a site its own
// case and that of no site; for none all, of which as many are named as sites are told apart.
func TestReachedAgainstAllSites(t *testing.T) {
	for _, n := range []int{0, 1, 2, mostSites, mostSites + 1, 200} {
		r := &reached{packs: map[string]string{}}
		for i := range n {
			site := fmt.Sprintf("mill %03d", i)
			if i == 1 {
				site = ""
			}
			r.packs[site] = fmt.Sprint("P", i)
		}
		for _, site := range []string{"", "mill 000", "mill 002", "mill 150", "elsewhere"} {
			var want []string
			for of, id := range r.packs {
				if site == "" || of == "" || of == site {
					want = append(want, id)
				}
			}
			got, more := r.at(site)
			assert.Len(t, want, len(got)+more, "%d sites, %q", n, site)
			assert.Subset(t, want, got)
			assert.LessOrEqual(t, len(got), mostSites)
			assert.True(t, more == 0 || len(got) == mostSites)
		}
	}
	packs, more := (*reached)(nil).at("")
	assert.Empty(t, packs)
	assert.Zero(t, more)
}

// A load of no site may have met the cases of all: those of 64 are named, the others counted.
func TestCasesOfManySitesAreCounted(t *testing.T) {
	h := New(policy(t, "us-cdc-2008"))
	for i := range 70 {
		put(h, ran(fmt.Sprint("1", i), "2026-03-02 09:00", withItems(fmt.Sprint("F-", i), "W-1"), func(r *load.Record) {
			r.Site.Name, r.Sterilizer.ID, r.Packs[0].PrionSuspected = fmt.Sprint("mill ", i), fmt.Sprint("S", i), yes
		}))
	}
	put(h, ran("2", "2026-03-02 11:00", withItems("G-1", "W-1"), func(r *load.Record) { r.Site.Name = "" }))
	for _, f := range h.Findings(local("2026-03-03 09:00")) {
		if f.Rule == "load.recall.prion" && f.Pointer == "/loads/2" {
			assert.Equal(t, "cases", f.Params[1].Name)
			cases := strings.Split(f.Params[1].Value.String(), ", ")
			assert.Len(t, cases, 65)
			assert.Equal(t, "6 others", cases[64])
			return
		}
	}
	t.Error("load 2 is not named")
}
