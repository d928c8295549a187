package load

import (
	"testing"

	"example.com/moistheat"
	"github.com/stretchr/testify/assert"
)

// What rows of the release table show together: no where one fires because something
// is broken, not recorded where one fires for want of evidence.
func TestShows(t *testing.T) {
	const met, undetermined, broken, internal = moistheat.Met, moistheat.Undetermined, moistheat.Broken, moistheat.Internal
	for _, tt := range []struct {
		rows []Row
		want moistheat.Answer
	}{
		{[]Row{{Row: 1, Outcome: met}, {Row: 2, Outcome: met}}, yes},
		{[]Row{{Row: 1, Outcome: broken}, {Row: 2, Outcome: met}}, yes}, // it does not stand against a release
		{[]Row{{Row: 1, Outcome: met}, {Row: 2, Outcome: broken, Triggered: true}}, no},
		{[]Row{{Row: 1, Outcome: met}, {Row: 2, Outcome: internal, Triggered: true}}, no},
		{[]Row{{Row: 1, Outcome: undetermined, Triggered: true}, {Row: 2, Outcome: met}}, unknown},
		{[]Row{{Row: 1, Outcome: undetermined, Triggered: true}, {Row: 2, Outcome: broken, Triggered: true}}, no},
		{[]Row{{Row: 1, Outcome: met}}, unknown}, // the second row is not there
	} {
		assert.Equal(t, tt.want, (&Report{Rows: tt.rows}).Shows(PhysicalRecord), tt.rows)
	}
}
