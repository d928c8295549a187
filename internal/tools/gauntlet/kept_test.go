package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
)

// edit changes everything that can be reached through values.
func edit(values ...any) (edits int) {
	for _, v := range values {
		w := &walk{edit: true}
		w.into("", reflect.ValueOf(v), 0)
		edits += w.edits
	}
	return edits
}

// Nothing of the caller's is kept: whoever goes on with a record, an event, a stored pack,
// an amendment, a report, what is known, or the bytes that one was read from, changes no
// report and no history that was made of it.
func TestNothingIsKept(t *testing.T) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	at := time.Date(2026, 5, 15, 18, 0, 0, 0, time.UTC)
	edits := 0

	records := []*load.Record{loadtest.Pouches(), loadtest.Handpiece(), loadtest.Implant(), loadtest.Water(), loadtest.Trays()}
	for _, r := range records {
		h := history.New(p)
		for _, e := range loadtest.Fortnight() {
			h.AddEntry(e)
		}
		known := h.Known(r)
		reports := []*load.Report{load.Check(r, p), load.ExplainKnowing(r, p, known), h.Check(r)}
		see := func() (out string) {
			for _, report := range reports {
				js, err := report.JSON()
				require.NoError(t, err)
				analysis, err := json.Marshal(report.Analysis)
				require.NoError(t, err)
				out += string(js) + report.Text() + string(analysis)
			}
			return out
		}
		was := see()
		edits += edit(r, &known)
		assert.Equal(t, was, see())
	}

	week, err := os.ReadFile("../../../examples/badweek/week.ndjson")
	require.NoError(t, err)
	h, s := history.New(p), history.NewSummary(p)
	var entries []history.Entry
	for e, err := range history.Entries(bytes.NewReader(week)) {
		require.NoError(t, err)
		entries = append(entries, e)
		switch {
		case e.Record != nil:
			report := h.Add(e.Record)
			require.NoError(t, h.AddReport(e.Record, report))
			s.Add(e.Record, report)
			edits += edit(report)
		case e.Event != nil:
			require.NoError(t, h.AddAmendment(&history.Amendment{Time: at, By: "N", Why: "mistyped",
				Lines: []string{e.Digest()}, Takes: []string{"/note"}}))
			h.AddEvent(e.Event)
			s.AddEvent(e.Event)
		case e.Stored != nil:
			h.AddStored(e.Stored)
		}
	}
	see := func() string {
		var out strings.Builder
		require.NoError(t, h.Save(&out))
		all := []given{{"history", reflect.ValueOf(h)}, {"findings", reflect.ValueOf(h.Findings(at))},
			{"due", reflect.ValueOf(h.Due(at))},
			{"summary", reflect.ValueOf(s)}, {"due, by days", reflect.ValueOf(s.Due(at))}}
		for _, hashes := range seen(all) {
			for _, hash := range hashes {
				fmt.Fprintln(&out, hash)
			}
		}
		return out.String()
	}
	see1 := sorted(see())
	for i := range entries {
		edits += edit(entries[i].Record, entries[i].Event, entries[i].Stored)
	}
	for i := range week {
		week[i] = 'x'
	}
	assert.Equal(t, see1, sorted(see()))
	require.Greater(t, edits, 10_000)
	t.Logf("%d edits", edits)
}

// sorted returns lines in an order of their own, since those of a map have none.
func sorted(text string) string {
	lines := strings.Split(text, "\n")
	slices.Sort(lines)
	return strings.Join(lines, "\n")
}
