package load

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat"
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
