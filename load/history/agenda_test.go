package history_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/history"
)

// An opening looks first, then tests; nothing of it is done by a leak test alone, and what was
// never recorded is said and is no finding of a short history.
func TestAgendaOfAMorning(t *testing.T) {
	p, err := load.PolicyFor("en-13060")
	require.NoError(t, err)
	h := history.New(p)
	at := time.Date(2026, 3, 9, 7, 0, 0, 0, time.FixedZone("", 3600))
	h.AddEvent(&history.Event{Format: history.EventFormat, ID: "leak", Sterilizer: "S1", Kind: calendar.LeakEvent,
		Time: at.AddDate(0, 0, -3)})
	look, vessel := -1, -1
	tasks := h.Agenda(at)
	for i, task := range tasks {
		if strings.HasPrefix(task.What, "look that the chamber") {
			look = i
			assert.Equal(t, history.BeforeFirstLoad, task.Part)
			assert.Equal(t, history.DueNow, task.State)
		}
		if task.State == history.NeverRecorded {
			vessel = i
		}
	}
	assert.Equal(t, 0, look, "%v", tasks)
	assert.Positive(t, vessel, "%v", tasks)
	for _, f := range h.Findings(at) {
		assert.False(t, f.Rule == "load.upkeep.overdue" && f.Open(), "%v", f)
	}
	text, err := json.Marshal(tasks)
	require.NoError(t, err)
	var back []history.Task
	require.NoError(t, json.Unmarshal(text, &back))
	again, err := json.Marshal(back)
	require.NoError(t, err)
	assert.JSONEq(t, string(text), string(again))

	// After the period, from the first line on, it must have been due.
	found := false
	late := at.AddDate(0, 15, 0)
	for _, d := range h.Due(late) {
		found = found || d.Duty.Test.String() == "pressure vessel"
		assert.NotEqual(t, history.NeverRecorded, d.State, "%v", d)
	}
	assert.True(t, found)
}
