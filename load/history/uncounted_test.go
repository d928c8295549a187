package history

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

// A negative test that does not count is said, and why, where the calendar and the recall go on as
// if there were none: whoever ran it learns what to record.
func TestATestThatDoesNotCountIsSaid(t *testing.T) {
	const why = "the incubator's temperature is not recorded"
	bare := func(e *Event) { e.Biological.Temperature = units.Temperature{} }
	h := history(t, "us-cdc-2003", runWithSpores("2026-03-05 08:00", load.Negative, bare), ran("1", "2026-03-05 09:00"),
		ran("2", "2026-03-06 09:00"))
	said := 0
	for _, d := range h.Due(local("2026-03-06 12:00")) {
		if d.Duty.Test == calendar.BiologicalTestEvent {
			said++
			assert.NotEqual(t, NotDue, d.State)
			assert.Contains(t, d.String(), "The test of 5 March 2026 08:00 does not count: "+why)
		} else {
			assert.NotContains(t, d.String(), why)
		}
	}
	require.Positive(t, said)
	german, err := moistheat.LanguageFor("de")
	require.NoError(t, err)
	for _, d := range h.Due(local("2026-03-06 12:00")) {
		if d.Duty.Test == calendar.BiologicalTestEvent {
			assert.NotContains(t, d.In(german).String(), "does not count")
			assert.NotContains(t, d.In(german).String(), "incubator")
		}
	}
	assert.Contains(t, h.Agenda(local("2026-03-06 12:00")).Text(), "does not count")
	put(h, runWithSpores("2026-03-06 11:00", load.Positive))
	list := h.Recall()
	require.NotEmpty(t, list)
	for _, s := range list {
		assert.Contains(t, strings.Join(s.Because, " "), "The test of 5 March 2026 08:00 does not count: "+why)
	}
	valid := history(t, "us-cdc-2003", runWithSpores("2026-03-05 08:00", load.Negative, bare), ran("1", "2026-03-05 09:00"),
		runWithSpores("2026-03-05 12:00", load.Negative), ran("2", "2026-03-06 09:00"), runWithSpores("2026-03-06 11:00", load.Positive))
	for _, s := range valid.Recall() {
		assert.NotContains(t, strings.Join(s.Because, " "), "does not count", "a later one does")
	}
}
