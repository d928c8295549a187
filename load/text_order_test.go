package load

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/units"
)

// What is worst comes first in a section of the text.
func TestTextBySeverity(t *testing.T) {
	r := &Report{Findings: []moistheat.Finding{
		{Rule: "a", Severity: moistheat.Minor}, {Rule: "b", Severity: moistheat.Fault}, {Rule: "c", Severity: moistheat.Note},
		{Rule: "d", Severity: moistheat.Fault},
	}}
	var got string
	for _, f := range r.pick(func(moistheat.Finding) bool { return true }) {
		got += f.Rule
	}
	assert.Equal(t, "bdac", got)
}

// A report that a program made need not have what its text would tell more of.
func TestTextOfAHandMadeReport(t *testing.T) {
	three := units.New(3, 0, units.Minute)
	text := (&Report{Cycle: &CycleSummary{Hold: three, RequiredHold: three}}).Text()
	assert.Contains(t, text, "; required 3 min")
}

// What must be recalled comes first in the answers of a history, implants before all, and what is
// the same of several loads is said once.
func TestTextRecallsFirst(t *testing.T) {
	recall, keep := moistheat.Effect{Recall: true}, moistheat.Effect{Load: moistheat.Quarantine}
	p, err := PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	finding := func(rule, at string, e moistheat.Effect, packs string) moistheat.Finding {
		return moistheat.Finding{Rule: rule, Pointer: at, Outcome: moistheat.Broken, Severity: moistheat.Fault, Effect: e,
			Params: moistheat.Params{moistheat.ParamOf("packs", packs), moistheat.ParamOf("count", "1"),
				moistheat.ParamOf("number", "9")}}
	}
	text := p.Text([]moistheat.Finding{
		finding("load.history.gap", "/sterilizers/S", moistheat.Effect{}, ""),
		finding("load.recall.penetration", "/events/E", keep, ""),
		finding("load.recall.untraced", "/loads/1", moistheat.Effect{}, "1-1"),
		finding("load.recall.positive", "/loads/3", recall, ""),
		finding("load.recall.untraced", "/loads/2", moistheat.Effect{}, "2-1"),
		finding("load.recall.implant", "/loads/2", recall, ""),
	})
	at := -1
	for _, next := range []string{
		"Recall packs already issued (findings: 4)\n", "WARNING: biological.", "load.recall.implant",
		"load.recall.positive", "- Load 1: Location unknown", "- Load 2: Location unknown", "Search stores",
		"load.recall.untraced", "Requirements not met (2)\n", "load.recall.penetration", "load.history.gap"} {
		found := strings.Index(text, next)
		assert.Greater(t, found, at, "%s in\n%s", next, text)
		at = found
	}
	assert.Equal(t, 1, strings.Count(text, "Search stores"), text)
}
