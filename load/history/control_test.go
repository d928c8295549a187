package history

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
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
