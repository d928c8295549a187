package history

import (
	"strings"
	"testing"
	"time"

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
			assert.Contains(t, d.String(), "The test of 5 March 2026, 08:00 is not shown to be valid: "+why)
		} else {
			assert.NotContains(t, d.String(), why)
		}
	}
	require.Positive(t, said)
	german, err := moistheat.LanguageFor("de")
	require.NoError(t, err)
	for _, d := range h.Due(local("2026-03-06 12:00")) {
		if d.Duty.Test == calendar.BiologicalTestEvent {
			assert.NotContains(t, d.In(german).String(), "not shown to be valid")
			assert.NotContains(t, d.In(german).String(), "incubator")
		}
	}
	assert.Contains(t, h.Agenda(local("2026-03-06 12:00")).Text(), "not shown to be valid")
	put(h, runWithSpores("2026-03-06 11:00", load.Positive))
	list := h.Recall()
	require.NotEmpty(t, list)
	for _, s := range list {
		assert.Contains(t, strings.Join(s.Because, " "),
			"The test of 5 March 2026, 08:00 is not shown to be valid: "+why)
	}
	valid := history(t, "us-cdc-2003", runWithSpores("2026-03-05 08:00", load.Negative, bare),
		ran("1", "2026-03-05 09:00"), runWithSpores("2026-03-05 12:00", load.Negative), ran("2", "2026-03-06 09:00"),
		runWithSpores("2026-03-06 11:00", load.Positive))
	for _, s := range valid.Recall() {
		assert.NotContains(t, strings.Join(s.Because, " "), "not shown to be valid", "a later one does")
	}
}

// The report of a load says why the test does not count that is there.
func TestAReportSaysWhyATestDoesNotCount(t *testing.T) {
	r := ran("1", "2026-03-05 09:00", func(r *load.Record) { r.Monitors.LastValidBiological = time.Time{} })
	bare := runWithSpores("2026-03-05 08:00", load.Negative,
		func(e *Event) { e.Biological.Temperature = units.Temperature{} })
	h := history(t, "us-cdc-2003", bare, r)
	message := func(l string) string {
		in, err := moistheat.LanguageFor(l)
		require.NoError(t, err)
		report := h.Check(r).In(in)
		for _, f := range report.Findings {
			if f.Rule == "load.biological.overdue" {
				assert.Equal(t, moistheat.Undetermined, f.Outcome)
				return report.Message(f)
			}
		}
		return ""
	}
	assert.Contains(t, message("en"),
		"the one of 5 March 2026, 08:00 is not shown to be valid: the incubator's temperature is not recorded")
	assert.NotContains(t, message("de"), "not shown to be valid")
	assert.NotContains(t, message("de"), "incubator")
	assert.NotEmpty(t, message("de"))
	assert.Empty(t, history(t, "us-cdc-2003", bare,
		runWithSpores("2026-03-05 08:30", load.Negative), r).Known(r).Doubtful)
}
