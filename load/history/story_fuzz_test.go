package history

import (
	"bytes"
	"encoding/binary"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
)

// choices makes the choices of a world out of bytes, and once they have run out always the
// first.
type choices []byte

func (c *choices) Uint64() uint64 {
	var next [8]byte
	n := copy(next[5:], *c) // the high bits choose
	*c = (*c)[n:]
	return binary.LittleEndian.Uint64(next[:])
}

// FuzzStory tells a history a story that bytes choose. Order and repeats do not matter, it
// reads back as it was saved, no line that is no evidence softens a recall, and what it
// says has nothing hidden in it.
func FuzzStory(f *testing.F) {
	for seed := range uint64(8) {
		rng, story := rand.New(rand.NewPCG(seed, 17)), make([]byte, 1500)
		for i := range story {
			story[i] = byte(rng.Uint32())
		}
		f.Add(uint8(3*seed), story)
	}
	names := load.Policies()
	f.Fuzz(func(t *testing.T, policy uint8, story []byte) {
		left := choices(story)
		w := &world{Rand: rand.New(&left)}
		name := names[int(policy)%len(names)]
		n := 1 + w.IntN(10)
		what := slices.Clone(w.lines(n))
		h := history(t, name, what...)
		want, before := answers(h), h.Recall()

		shuffled := slices.Clone(what)
		slices.Reverse(shuffled)
		shuffled = append(shuffled, one(w, what...))
		require.Equal(t, want, answers(history(t, name, shuffled...)), "order and repeats")

		var saved bytes.Buffer
		require.NoError(t, h.Save(&saved))
		again, s, err := Load(&saved, h.Policy())
		require.NoError(t, err)
		require.Empty(t, s.Problems)
		require.Equal(t, want, answers(again), "saved and loaded")

		at := local("2026-03-31 18:00")
		for _, finding := range h.Findings(at) {
			require.NotEqual(t, moistheat.Internal, finding.Outcome, finding.Rule)
			visible(t, h.Message(finding))
		}
		for _, s := range before {
			visible(t, s.String())
		}
		for _, d := range h.Due(at) {
			visible(t, d.String())
		}

		more := w.line()
		a, amends := more.(*Amendment)
		e, event := more.(*Event)
		if !testifies(more) && !corrects(what, more) && !(amends && !lonely(what, a)) &&
			!(event && e.Kind == calendar.ReturnedEvent) {
			put(h, more)
			lost := softer(stillAsked(before, h, more), h.Recall())
			require.Empty(t, lost, "%s: after %s:\n%s", name, describe(more), strings.Join(lost, "\n"))
		}
	})
}

func visible(t *testing.T, text string) {
	require.Equal(t, text, moistheat.Visible(text))
}
