package history

import (
	"testing"

	"example.com/moistheat/load/calendar"
	"github.com/stretchr/testify/assert"
)

// A failure under another spelling of a sterilizer's name speaks against its loads, and a good test
// under it for none.
func TestAnotherSpellingSpeaksAgainst(t *testing.T) {
	for _, tt := range []struct {
		name  string
		event *Event
		held  bool
	}{
		{"S1", event(calendar.OutOfUseEvent, "2026-03-09 07:00"), true},
		{"s-1", event(calendar.OutOfUseEvent, "2026-03-09 07:00"), true},
		{"S2", event(calendar.OutOfUseEvent, "2026-03-09 07:00"), false},
		{"s-1", event(calendar.LeakEvent, "2026-03-09 07:00", passed(no)), true},
		{"S2", event(calendar.LeakEvent, "2026-03-09 07:00", passed(no)), false},
	} {
		tt.event.Sterilizer = tt.name
		h := history(t, "en-13060", tt.event)
		k := h.Known(ran("1", "2026-03-09 09:00"))
		assert.Equal(t, tt.held, len(k.Outages) > 0, "%s: %s", tt.name, tt.event.Kind.String())
	}
	good := event(calendar.LeakEvent, "2026-03-09 07:00", passed(yes))
	good.Sterilizer = "s-1"
	assert.Empty(t, history(t, "en-13060", good).Known(ran("1", "2026-03-09 09:00")).Tests)
}
