package history_test

import (
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What no document could hold is said when it is added; a result in a word of someone else's
// stands for growth until it is corrected, and is never read as none.
func TestAddWhatNoDocumentHolds(t *testing.T) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	good := loadtest.Pouches()
	for word, want := range map[load.Growth]moistheat.Service{
		load.Positive: moistheat.OutOfService, "Positive": moistheat.OutOfService, "pos": moistheat.OutOfService,
		load.Pending: moistheat.InService, load.Negative: moistheat.InService,
	} {
		h := history.New(p)
		h.Add(good)
		err := h.AddEvent(&history.Event{Format: history.EventFormat, ID: "b", Sterilizer: good.Sterilizer.ID,
			Kind: calendar.BiologicalTestEvent, Time: good.Cycle.Ended, Biological: &load.Biological{Result: word}})
		if word == "Positive" || word == "pos" {
			assert.ErrorContains(t, err, "/biological/result", word)
		} else {
			assert.NoError(t, err, word)
		}
		assert.Equal(t, want, h.Status()[0].Service, word)
	}
	h := history.New(p)
	assert.ErrorContains(t, h.AddEvent(&history.Event{Format: history.EventFormat, ID: "k", Passed: moistheat.No}),
		`"kind" is missing`)
	assert.ErrorContains(t, h.AddStored(&history.StoredPack{}), "/pack: want text")
	assert.ErrorContains(t, h.AddCleaning(&cleaning.Batch{}), "/id: want text")
	assert.NotPanics(t, func() { _ = h.AddEvent(nil) })
}
