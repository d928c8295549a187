package load

import (
	"testing"

	"github.com/stretchr/testify/assert"

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
