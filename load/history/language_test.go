package history_test

import (
	"bytes"
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
)

// marked is a language in which every letter of a text is another.
func marked(t *testing.T) moistheat.Language {
	t.Helper()
	parts := regexp.MustCompile(`\{[^}]*\}|[A-Za-z]`)
	texts := map[string]string{}
	for _, en := range lang.English() {
		texts[en] = parts.ReplaceAllStringFunc(en, func(s string) string {
			if s[0] == '{' {
				return s
			}
			return "ж"
		})
	}
	months := strings.Fields(strings.Repeat("жж ", 12))
	data, err := json.Marshal(map[string]any{"format": lang.Format, "language": "xx", "texts": texts, "months": months,
		"day": "2. January 2006", "time": "2. January 2006, 15:04"})
	require.NoError(t, err)
	l, err := moistheat.ParseLanguage(data)
	require.NoError(t, err)
	return l
}

// said returns every sentence that a history makes.
func said(h *history.History, at time.Time) []string {
	var out []string
	for _, s := range h.Status() {
		out = append(append(out, s.Because...), s.Amended...)
	}
	for _, p := range h.Procedures() {
		out = append(out, p.Cause, p.Next(), p.Ends())
		for _, s := range p.Steps {
			out = append(out, s.What, s.Then)
		}
	}
	for _, s := range h.Recall() {
		out = append(append(out, s.Because...), s.Amended...)
	}
	for _, d := range h.Due(at) {
		out = append(out, d.Why)
	}
	for _, l := range h.Lines() {
		out = append(out, l.What)
	}
	return out
}

// No sentence of a history stands beside the catalogue, under any policy: what is left in
// Latin letters are names and figures, of the log, the rules and the documents.
func TestNothingBesideTheCatalogue(t *testing.T) {
	l, word := marked(t), regexp.MustCompile(`[A-Za-z]{4,}`)
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
			findings := h.Findings(at)
			rules, _ := p.Reasons(findings)
			names := string(week)
			for _, n := range rules {
				names += n.ID
				for _, s := range n.Sources {
					names += s.Source.String()
				}
			}
			all := said(h, at)
			for _, f := range findings {
				r, _ := p.Rule(f.Rule)
				all = append(all, l.Message(r, f))
			}
			for _, s := range all {
				sentences++
				own := l.Text("{said:text}", moistheat.Param{Name: "said", Value: s})
				for _, w := range word.FindAllString(own, -1) {
					assert.True(t, strings.Contains(names, w), "%s in %q, of %q", w, own, s)
				}
			}
		}
	}
	assert.Greater(t, sentences, 300)
}
