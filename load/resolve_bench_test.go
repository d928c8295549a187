package load_test

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"example.com/moistheat/load"
)

// Decoding, resolving and checking a log with a catalogue of 500 sets, against decoding and
// checking the same record written out:
//
//	go test ./load -run '^$' -bench Catalogue
func BenchmarkCatalogue(b *testing.B) {
	c, r := clinic(b)
	set, item := c.Sets[0], c.Items[0]
	for i := range 499 {
		item.ID, set.ID = fmt.Sprint("item ", i), fmt.Sprint("set ", i)
		set.Contents = []load.Content{{Item: item.ID, Count: 1}, {Item: "curette", Count: 2}}
		c.Items, c.Sets = append(c.Items, item), append(c.Sets, set)
	}
	f, p := facts(b, c), named(b, "us-cdc-2003")
	short, err := json.Marshal(r)
	if err != nil {
		b.Fatal(err)
	}
	written, err := json.Marshal(f.Resolve(r, p))
	if err != nil {
		b.Fatal(err)
	}
	with := func() { r, _ := load.Decode(short); load.Check(f.Resolve(r, p), p) }
	without := func() { r, _ := load.Decode(written); load.Check(r, p) }
	// In turn, so that what slows one down slows the other down as well.
	best := [2]time.Duration{time.Hour, time.Hour}
	for range 400 {
		for i, do := range []func(){with, without} {
			start := time.Now()
			for range 2 {
				do()
			}
			best[i] = min(best[i], time.Since(start)/2)
		}
	}
	resolved, _ := load.Decode(short)
	for b.Loop() {
		f.Resolve(resolved, p)
	}
	b.ReportMetric(float64(best[0])/float64(best[1]), "with/written-out")
	b.ReportMetric(float64(best[0].Microseconds()), "µs-with")
	b.ReportMetric(float64(best[1].Microseconds()), "µs-written-out")
	b.ReportMetric(testing.AllocsPerRun(10, func() { f.Resolve(resolved, p) }), "allocs-resolve")
}
