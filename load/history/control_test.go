package history

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

// A control serves no test of another load while lines differ about when its own was run.
func TestControlOfNoSureTime(t *testing.T) {
	own := ran("1", "2026-03-09 09:00", test(func(b *load.Biological) { b.Control = nil }))
	says := func(others ...any) moistheat.Outcome {
		h := history(t, "us-cdc-2003", append(others, own)...)
		report := load.ExplainKnowing(own, h.Policy(), h.Known(own))
		return outcome(report, "load.biological.void", "/monitors/biologicals/0")
	}
	one, other := ran("2", "2026-03-09 13:00", bio(load.Negative)), ran("2", "2026-03-09 14:00", bio(load.Negative))
	assert.Equal(t, met, says(one))
	assert.Equal(t, broken, says(one, other))
}

// One control a day and lot may serve all tests of that lot and incubator (practice with
// biological indicators, recalled); one that did not grow voids them all.
func TestOneControlOfTheDay(t *testing.T) {
	bare := test(func(b *load.Biological) { b.Control = nil })
	with := func(edit func(*load.Biological)) func(*load.Record) {
		return func(r *load.Record) {
			bio(load.Negative)(r)
			edit(&r.Monitors.Biologicals[0])
		}
	}
	const at = "2026-03-09 09:00"
	for _, tt := range []struct {
		name  string
		own   func(*load.Record)
		other *load.Record
		want  moistheat.Outcome
	}{
		{"none", bare, ran("2", "2026-03-09 13:00"), broken},
		{"of a later load", bare, ran("2", "2026-03-09 13:00", bio(load.Negative)), met},
		{"of an earlier load", bare, ran("2", "2026-03-09 07:00", bio(load.Negative)), met},
		{"of the day before", bare, ran("2", "2026-03-08 13:00", bio(load.Negative)), broken},
		{"of another lot", bare, ran("2", "2026-03-09 13:00", with(func(b *load.Biological) {
			b.Lot, b.Control = "L2", &load.Control{Lot: "L2", Result: load.Positive}
		})), broken},
		{"of another incubator", bare, ran("2", "2026-03-09 13:00", with(func(b *load.Biological) {
			b.Temperature = celsius(56)
		})), broken},
		{"of no known incubator", bare, ran("2", "2026-03-09 13:00", with(func(b *load.Biological) {
			b.Temperature = units.Temperature{}
		})), broken},
		{"not read", bare, ran("2", "2026-03-09 13:00", with(func(b *load.Biological) {
			b.Control.Result = load.Pending
		})), broken},
		{"of a later load, to a strip that had expired", test(func(b *load.Biological) {
			b.Control, b.Expires = nil, day(2026, 3, 8)
		}), ran("2", "2026-03-09 13:00", bio(load.Negative)), broken},
		{"dead", bare, ran("2", "2026-03-09 13:00", deadControl), broken},
		{"dead beside one that grew", bio(load.Negative), ran("2", "2026-03-09 13:00", deadControl), broken},
		{"dead the day before", bio(load.Negative), ran("2", "2026-03-08 13:00", deadControl), met},
		{"of another practice", bare, ran("2", "2026-03-09 13:00", bio(load.Negative), func(r *load.Record) {
			r.Site.Name = "mill"
		}), broken},
	} {
		own := ran("1", at, tt.own)
		const rule, where = "load.biological.void", "/monitors/biologicals/0"
		h := history(t, "us-cdc-2003", tt.other)
		assert.Equal(t, tt.want, outcome(load.ExplainKnowing(own, h.Policy(), h.Known(own)), rule, where), "%s, a record beside the history", tt.name)
		put(h, own)
		assert.Equal(t, tt.want, outcome(load.ExplainKnowing(own, h.Policy(), h.Known(own)), rule, where), "%s, a record of the history", tt.name)
		var file bytes.Buffer
		require.NoError(t, h.Save(&file))
		kept, _, err := Load(&file, h.Policy())
		require.NoError(t, err, tt.name)
		for _, h := range []*History{h, history(t, "us-cdc-2003", own, tt.other), kept} {
			got := moistheat.Outcome(0)
			for _, f := range h.Findings(local("2026-03-12 09:00")) {
				if f.Rule == "load.history.void" && f.Pointer == "/loads/1" {
					got = f.Outcome
				}
			}
			assert.Equal(t, tt.want, got, tt.name)
		}
	}
}

// What is counted of the controls of a lot and day is what holding each test against the
// control of each other happening finds.
func TestControlsAreCounted(t *testing.T) {
	serve := map[[2]bool]int{}
	for seed := range seeds(t, runs(t)) {
		w := &world{Rand: rand.New(rand.NewPCG(seed, 17))}
		var lines []any
		for range 2 + w.IntN(7) {
			e := runWithSpores("2026-03-09 1"+one(w, "0", "1", "2", "3")+":00", load.Negative)
			e.ID, e.Site = one(w, "a", "b"), one(w, "", "mill", "mill", "bridge")
			b := e.Biological
			b.Temperature = one(w, celsius(57), celsius(57), celsius(56), units.Temperature{})
			switch {
			case w.pick(0.4):
				b.Control = nil
			case w.pick(0.15):
				b.Control.Result = load.Negative
			}
			lines = append(lines, e)
		}
		h := history(t, "us-cdc-2003", lines...)
		for k, e := range h.units()["S1"].all {
			for _, v := range append(e.each(), e.left...) {
				for _, b := range v.bios {
					lot := h.sterilizers["S1"].lots[b.lotDay]
					var own tally
					own.add(lot.controls[k], 1)
					grew, died := lot.beside(own, v.site, &b)
					wantGrew, wantDied := false, false
					for other, all := range lot.controls {
						for _, c := range all {
							if other == k {
								continue
							}
							wantDied = wantDied || !c.grew && (c.site == v.site || c.site == "" || v.site == "")
							wantGrew = wantGrew || c.grew && c.site == v.site && c.temperature.IsValid() &&
								c.temperature == b.temperature
						}
					}
					require.Equal(t, [2]bool{wantGrew, wantDied}, [2]bool{grew, died}, "seed %d, %v", seed, k)
					serve[[2]bool{grew, died}]++
				}
			}
		}
	}
	assert.Len(t, serve, 4, "both, one and neither: %v", serve)
}

// Where many events go by one id, few of their lines are asked what is right, and the
// answer is that of all of them.
func TestNamesakesStandForEachOther(t *testing.T) {
	fates := map[fate]int{}
	for seed := range seeds(t, runs(t)) {
		w := &world{Rand: rand.New(rand.NewPCG(seed, 18))}
		var lines []any
		for range 3 + w.IntN(12) {
			e := w.event()
			e.Kind, e.Sterilizer = one(w, calendar.LeakEvent, calendar.LeakEvent, calendar.BiologicalTestEvent), "S1"
			e.ID = one(w, "a", "a", "b")
			lines = append(lines, e)
		}
		for range 1 + w.IntN(8) {
			what := one(w, "", "/passed", "/leakRate", "/physical", "/chemical", "/settings", "/biological")
			lines = append(lines, signed("2026-04-01 09:00", []any{lines[w.IntN(3)]}, what))
		}
		h := history(t, "us-cdc-2003", lines...)
		u := h.units()["S1"]
		ids := u.ids()
		for _, in := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
			for k, e := range in {
				var every []*occurrence
				for _, o := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
					for other, e := range o {
						for _, v := range e.each() {
							if other != k && k.kind == other.kind && slices.ContainsFunc(in[k].each(),
								func(own *occurrence) bool { return own.id == v.id }) {
								every = append(every, v)
							}
						}
					}
				}
				got := h.amended.takings(claimsOf(e.each(), ids.others(h.amended, k, e.each())))
				require.Equal(t, h.amended.takings(claimsOf(e.each(), every)), got, "seed %d, %v", seed, k)
				for _, t := range got {
					fates[t.fate]++
				}
			}
		}
	}
	assert.Positive(t, fates[answered])
	assert.Positive(t, fates[unanswered])
}
