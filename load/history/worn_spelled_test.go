package history

import (
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
)

// An item that may be sterilized twice is worn by the third load, however its mark was typed.
func TestMarkOfAnotherSpellingIsCounted(t *testing.T) {
	in := func(number, at, mark string) *load.Record {
		r := ran(number, at)
		r.Packs[0].Items[0].ID = mark
		r.Packs[0].Items[0].Instructions = &packaging.Instructions{MaxCycles: 2}
		return r
	}
	for _, c := range []struct {
		first, second, now string
		want               moistheat.Outcome
	}{
		{"I-1", "I-1", "I-1", broken},
		{"I-1", "I-1", "i-1", broken},
		{"I-1", "I-1", " I-1", broken},
		{"i-1", "I 1", "I-1", broken},
		{"I-1", "I-1", "I-2", met},
		{"I-1", "I-2", "i-1", met},
	} {
		h := history(t, "us-cdc-2003", in("1", "2026-03-05 09:00", c.first), in("2", "2026-03-06 09:00", c.second))
		r := in("3", "2026-03-09 09:00", c.now)
		if got := found(load.ExplainKnowing(r, h.Policy(), h.Known(r)), "load.item.worn"); got != c.want {
			t.Errorf("%q, %q, then %q: load.item.worn is %v, want %v", c.first, c.second, c.now, got, c.want)
		}
	}
}
