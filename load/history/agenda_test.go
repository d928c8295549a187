package history_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
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
		if strings.HasPrefix(task.What, "check that the chamber") {
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

// A day that begins after a night, and ends: on a holiday too, as no one says when a clinic is closed, and after
// a move, of which the sterilizer says that no load is run. All of it has its German.
func TestAgendaOfTheDay(t *testing.T) {
	p, err := load.PolicyFor("en-13060")
	require.NoError(t, err)
	german, err := moistheat.LanguageFor("de")
	require.NoError(t, err)
	zone := time.FixedZone("", 3600)
	monday := time.Date(2026, 3, 2, 7, 0, 0, 0, zone)
	event := func(at time.Time, kind calendar.EventKind, edits ...func(*history.Event)) *history.Event {
		e := &history.Event{Format: history.EventFormat, ID: kind.String() + at.String(), Sterilizer: "S1", Kind: kind,
			Time: at, Passed: moistheat.Yes}
		for _, edit := range edits {
			edit(e)
		}
		return e
	}
	sealer := func(e *history.Event) { e.Sterilizer, e.Device = "", "sealer" }
	for _, day := range []struct {
		name string
		at   time.Time
		do   []*history.Event
		part history.Part
		says []string
	}{
		{"the morning after a night", monday.AddDate(0, 0, 1), nil, history.BeforeFirstLoad,
			[]string{"die Kammer sauber und trocken", "um die Kammer zu erwärmen", "Dampfdurchdringungstest",
				"Siegelnahtkontrolle"}},
		{"the morning after a holiday of two weeks", monday.AddDate(0, 0, 15), nil, history.BeforeFirstLoad,
			[]string{"die Kammer sauber und trocken", "Vakuumtest", "Dampfdurchdringungstest (fällig)",
				"Peeltest (überfällig)"}},
		{"the morning after a move", monday.AddDate(0, 0, 1),
			[]*history.Event{event(monday.Add(9*time.Hour), calendar.InstalledEvent)}, history.BeforeFirstLoad,
			[]string{"keine Charge für Patienten"}},
		{"the end of a day", monday.Add(11 * time.Hour), nil, history.Closing, []string{"die Tür angelehnt lassen"}},
	} {
		t.Run(day.name, func(t *testing.T) {
			h := history.New(p)
			for _, e := range append([]*history.Event{
				event(monday, calendar.LeakEvent),
				event(monday.Add(30*time.Minute), calendar.AirRemovalEvent, func(e *history.Event) {
					e.Started, e.Settings.AirRemoval = e.Time.Add(-20*time.Minute), moistheat.DynamicAirRemoval
				}),
				event(monday, calendar.SealCheckEvent, sealer), event(monday, calendar.PeelEvent, sealer),
			}, day.do...) {
				h.AddEvent(e)
			}
			r := loadtest.Pouches()
			r.Load.Date, r.Cycle.Started = moistheat.DateOf(monday), monday.Add(time.Hour)
			r.Cycle.Ended, r.Unloading.Time = monday.Add(90*time.Minute), monday.Add(95*time.Minute)
			h.Add(r)
			var said []string
			for _, task := range h.Agenda(day.at) {
				if task.Part == day.part {
					said = append(said, task.In(german).String())
				}
			}
			text := strings.Join(said, "\n")
			for _, want := range day.says {
				assert.Contains(t, text, want)
			}
			assert.NotContains(t, text, " use")
			assert.NotContains(t, text, "each")
		})
	}
}
