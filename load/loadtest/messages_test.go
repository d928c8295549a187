package loadtest_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// A message never shows a brace of its template, and says that something is not recorded
// only where the record does not say it: under every policy and whatever bases it accepts.
func TestMessagesAreTrue(t *testing.T) {
	t.Parallel()
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	accepted := [][]moistheat.Basis{{}, {moistheat.Published}}
	if full() { // a minute's work
		for b := moistheat.Quoted; b <= moistheat.Facility; b++ {
			accepted = append(accepted, []moistheat.Basis{b})
		}
	}
	bad := map[string]bool{}
	for i, v := range c.Vectors() {
		if !full() && i%128 != 0 {
			continue
		}
		doc, err := v.Document()
		require.NoError(t, err, v.ID)
		judged, err := v.Judge(doc, nil)
		require.NoError(t, err, v.ID)
		own := judged.Policy
		policies := []*load.Policy{own}
		for _, bases := range accepted {
			policies = append(policies, own.Accepting(bases...))
		}
		names := load.Policies()
		step := 10 // other ones for each vector: a rule has ten or so
		if !full() {
			step = len(names)
		}
		for k := i % step; k < len(names); k += step {
			name := names[k]
			p, err := load.PolicyFor(name)
			require.NoError(t, err)
			policies = append(policies, p)
		}
		for _, p := range policies {
			j, err := v.Judge(doc, p)
			require.NoError(t, err, v.ID)
			for _, f := range j.Findings {
				rule, _ := p.Rule(f.Rule)
				message := rule.Message(f)
				if key := f.Rule + string(f.Reason); untrue(f, message) && !bad[key] {
					bad[key] = true
					t.Errorf("%s under %s: %s %s %q: %s", v.ID, p.Name(), f.Rule, f.Outcome, f.Reason, message)
				}
			}
		}
	}
}

// untrue reports whether a message cannot be what was found.
func untrue(f moistheat.Finding, message string) bool {
	if strings.ContainsAny(message, "{}") {
		return true
	}
	if f.Outcome == moistheat.Undetermined && f.Reason == "" {
		return true
	}
	message = strings.ReplaceAll(message, f.Param("kind"), "") // the name of a kind of cycle says what it lacks
	says := slices.ContainsFunc([]string{"not recorded", "does not say", "does not name", "is recorded"}, func(s string) bool {
		return strings.Contains(strings.ToLower(message), s)
	})
	return says && (f.Outcome == moistheat.Met ||
		f.Outcome == moistheat.Undetermined && f.Reason != moistheat.Unrecorded && f.Reason != moistheat.NotYet)
}

// What DEVELOPERS.md says that the library says now of the twenty messages is what it says, in
// both languages: of some vector of the rule, or, of the verdict, at the head of its report.
func TestMessagesOfTheTable(t *testing.T) {
	doc, err := os.ReadFile("../../DEVELOPERS.md")
	require.NoError(t, err)
	const head = "| rule | outcome | before | now | now, in German |\n|---|---|---|---|---|\n"
	_, after, found := strings.Cut(string(doc), head)
	require.True(t, found)
	table, _, _ := strings.Cut(after, "\n\n")
	rows := strings.Split(table, "\n")
	require.Len(t, rows, 20)
	de, err := moistheat.LanguageFor("de")
	require.NoError(t, err)
	said := map[[4]string]bool{}
	for _, v := range conformance(t).Vectors() {
		if v.Expect.Outcome < moistheat.Undetermined || !strings.Contains(table, v.Rule) {
			continue
		}
		j, err := v.Judge(nil, nil)
		require.NoError(t, err, v.ID)
		rule, _ := j.Policy.Rule(v.Rule)
		for _, f := range j.Findings {
			if f.Rule == v.Rule && f.Outcome >= moistheat.Undetermined {
				said[[4]string{f.Rule, f.Outcome.String(), rule.Message(f), de.Message(rule, f)}] = true
			}
		}
		if j.Report != nil {
			said[[4]string{"verdict", j.Report.Verdict.Load.String(), verdict(j.Report), verdict(j.Report.In(de))}] = true
		}
	}
	for _, row := range rows {
		cells := strings.Split(strings.Trim(row, "| "), " | ")
		require.Len(t, cells, 5, row)
		assert.True(t, said[[4]string{strings.Trim(cells[0], "`"), cells[1], cells[3], cells[4]}], row)
	}
}

// verdict returns the paragraph with the verdict.
func verdict(r *load.Report) string {
	_, text, _ := strings.Cut(r.Text(), "\n")
	for !strings.HasPrefix(text, "Verdict: ") && !strings.HasPrefix(text, "Bewertung: ") {
		if _, text, _ = strings.Cut(text, "\n"); text == "" {
			return ""
		}
	}
	line, rest, _ := strings.Cut(text, "\n")
	for strings.HasPrefix(rest, "  ") && !strings.HasSuffix(line, ".") {
		var more string
		more, rest, _ = strings.Cut(rest, "\n")
		line += " " + strings.TrimSpace(more)
	}
	return line
}
