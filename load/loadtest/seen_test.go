package loadtest_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// A report tells of more than its findings: those beyond the most that it keeps are
// counted only.
func TestSeenCountsWhatAReportLeavesOut(t *testing.T) {
	for outcome, tally := range map[moistheat.Outcome]load.Tally{
		moistheat.NotApplicable: {NotApplicable: 1},
		moistheat.NotInForce:    {NotInForce: 1},
		moistheat.Met:           {Met: 1},
		moistheat.Undetermined:  {Undetermined: 1},
		moistheat.Broken:        {Broken: 1},
		moistheat.Internal:      {Internal: 1},
	} {
		tally.Rule = "load.pack.wet"
		var seen loadtest.Seen
		seen.Add(&load.Report{Counts: []load.Tally{tally}, Omitted: 1})
		for o := moistheat.NotApplicable; o <= moistheat.Internal; o++ {
			assert.Equal(t, o == outcome, has(&seen, "load.pack.wet", o), "%s: %s", outcome, o)
		}
	}
}

func TestSeenText(t *testing.T) {
	us := policy("us-cdc-2003")
	var seen loadtest.Seen
	seen.Add(&load.Report{Findings: []moistheat.Finding{
		{Rule: "load.pack.wet", Outcome: moistheat.Met}, {Rule: "load.pack.wet", Outcome: moistheat.Broken},
		{Rule: "load.storage.event", Outcome: moistheat.NotApplicable},
	}})
	lines := strings.Split(seen.Text(us), "\n")
	assert.Regexp(t, `^met: 1 of \d+ rules$`, lines[0])
	assert.Regexp(t, `^rule +met  undetermined  broken  not applicable$`, lines[4])
	row := func(rule string) string {
		for _, l := range lines {
			if strings.HasPrefix(l, rule+" ") {
				return l
			}
		}
		return ""
	}
	for rule, marks := range map[string]string{"load.pack.wet": "+.+.", "load.storage.event": "...+", "load.pack.dropped": "...."} {
		for i, column := range []string{"met", "undetermined", "broken", "not applicable"} {
			require.Greater(t, len(row(rule)), strings.Index(lines[4], column), rule)
			assert.Equal(t, marks[i], row(rule)[strings.Index(lines[4], "  "+column)+2], "%s, %s", rule, column)
		}
	}
}

func TestSeenOfNothing(t *testing.T) {
	var seen loadtest.Seen
	seen.Add(nil)
	assert.False(t, has(&seen, "load.pack.wet", moistheat.Broken))
	assert.Len(t, seen.Missing(nil, moistheat.Broken), len(load.Rules()), "want of a policy is no pass")
	assert.NotEmpty(t, seen.Text(nil))
}
