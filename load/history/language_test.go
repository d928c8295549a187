package history_test

import (
	"bytes"
	"encoding/json"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/tools/pseudo"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/history"
)

// said returns every sentence that a history makes, in a language.
func said(h *history.History, at time.Time, l moistheat.Language) []string {
	var out []string
	for _, s := range h.Status() {
		s = s.In(l)
		out = append(append(out, s.Because...), s.Amended...)
	}
	for _, p := range h.Procedures() {
		p = p.In(l)
		out = append(out, p.Cause, p.Next(), p.Ends())
		for _, s := range p.Steps {
			out = append(out, s.What, s.Then)
		}
	}
	for _, s := range h.Recall() {
		out = append(out, s.In(l).String())
	}
	for _, o := range h.OutOfService() {
		o = o.In(l)
		out = append(out, o.String(), o.Next())
	}
	for _, d := range h.Due(at) {
		out = append(out, d.In(l).String())
	}
	for _, d := range h.Drift() {
		out = append(out, d.In(l).String())
	}
	for _, t := range h.Agenda(at) {
		out = append(out, t.In(l).String())
	}
	for _, pack := range []string{"A-421-1", "A-414-1", "B-116-2", "none such"} {
		out = append(out, h.MayOpen(pack, at).In(l).Text())
	}
	for _, line := range h.Lines() {
		out = append(out, line.In(l).What)
	}
	return append(out, h.Policy().In(l).Text(h.Findings(at)))
}

// No sentence of a history stands beside the catalogue, under any policy: what is left in
// Latin letters are names and figures, of the log, the rules and the documents.
func TestNothingBesideTheCatalogue(t *testing.T) {
	l := pseudo.Language(t)
	week, err := os.ReadFile("../../examples/badweek/week.ndjson")
	require.NoError(t, err)
	sentences := 0
	for _, policy := range []string{"us-cdc-2003", "germany", "who-paho", "ontario"} {
		p, err := load.PolicyFor(policy)
		require.NoError(t, err)
		h := history.New(p)
		for e, err := range history.Entries(bytes.NewReader(week)) {
			require.NoError(t, err)
			h.AddEntry(e)
		}
		for day := 11; day < 40; day += 2 {
			if !testrun.Full() && day%3 > 0 {
				continue
			}
			at := time.Date(2026, 5, day, 18, 0, 0, 0, time.FixedZone("", -7*3600))
			says := p.Reasons(h.Findings(at))
			names := string(week) + "none such"
			cite := func(s moistheat.Source) { names += s.String() }
			for _, n := range says.Rules {
				names += n.ID
				for _, s := range n.Sources {
					cite(s.Source)
				}
			}
			for _, w := range says.Warnings {
				for s := range w.Sources.All() {
					cite(s)
				}
			}
			for _, pack := range []string{"A-421-1", "A-414-1", "B-116-2", "none such"} {
				for _, n := range h.MayOpen(pack, at).Rules {
					names += n.ID
					for _, s := range n.Sources {
						cite(s.Source)
					}
				}
			}
			for _, s := range said(h, at, l) {
				sentences++
				assert.Empty(t, pseudo.Left(s, names))
			}
		}
	}
	assert.Greater(t, sentences, 300)
}

// What lines contradict each other about is said in the language, too.
func TestContradictionsInGerman(t *testing.T) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	german, err := moistheat.LanguageFor("de")
	require.NoError(t, err)
	h := history.New(p)
	for _, site := range []string{"mill", "bridge"} {
		h.AddEvent(&history.Event{Format: history.EventFormat, ID: site, Sterilizer: "S1", Site: site,
			Kind: calendar.LeakEvent, Time: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Passed: moistheat.Yes})
	}
	for _, passed := range []moistheat.Answer{moistheat.Yes, moistheat.No} {
		h.AddEvent(&history.Event{Format: history.EventFormat, ID: "twice", Sterilizer: "S2", Kind: calendar.LeakEvent,
			Time: time.Date(2026, 3, 9, 9, 0, 0, 0, time.UTC), Passed: passed})
	}
	text := p.In(german).Text(h.Findings(time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)))
	assert.Contains(t, text, "Standort", text)
	assert.Contains(t, text, "Ergebnis", text)
	for _, english := range []string{"site", "result"} {
		assert.NotContains(t, text, english, text)
	}
}

// An answer is said in one language after another; what was read from JSON, and what a program wrote,
// stays as it was written.
func TestAnswersInTurn(t *testing.T) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	german, err := moistheat.LanguageFor("de")
	require.NoError(t, err)
	h := history.New(p)
	h.AddEvent(&history.Event{Format: history.EventFormat, ID: "out", Sterilizer: "S1", Kind: calendar.OutOfUseEvent,
		Time: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)})
	const (
		english = "Since 9 March 2026, 08:00: it was taken out of service. To be done: record the return to service, once " +
			"nothing else prevents it."
		own = "The door is open."
	)
	all := h.Status()
	require.Len(t, all, 1)
	require.Equal(t, []string{english}, all[0].Because)
	spoken := all[0].In(german)
	assert.NotEqual(t, english, spoken.Because[0])
	assert.Contains(t, spoken.Because[0], "9. März 2026")
	assert.Equal(t, []string{english}, all[0].Because, "which In leaves")
	assert.Equal(t, []string{english}, spoken.In(moistheat.Language{}).Because)

	data, err := json.Marshal(spoken)
	require.NoError(t, err)
	var read history.Status
	require.NoError(t, json.Unmarshal(data, &read))
	assert.Equal(t, spoken.Because, read.In(moistheat.Language{}).Because)
	spoken.Because = append(spoken.Because, own)
	assert.Equal(t, []string{english, own}, spoken.In(moistheat.Language{}).Because)
}
