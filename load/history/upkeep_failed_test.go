package history

import (
	"testing"

	"example.com/moistheat/load/calendar"
)

// What failed is not in time, whatever was passed before it: nothing valid is on record since.
func TestFailedUpkeepIsNotInTime(t *testing.T) {
	proven := func(e *Event) { e.By, e.Document = "J. Doe", "report" }
	for _, kind := range []calendar.EventKind{calendar.PressureVesselEvent, calendar.CalibrationEvent} {
		good := event(kind, "2026-01-05 09:00", passed(yes), proven)
		bad := event(kind, "2026-03-06 09:00", passed(no), proven)
		again := event(kind, "2026-03-07 09:00", passed(yes), proven)
		r := ran("5", "2026-03-09 09:00")
		for name, c := range map[string]struct {
			events []any
			broken bool
		}{
			"passed":                   {[]any{good}, false},
			"passed, then failed":      {[]any{good, bad}, true},
			"failed, none passed":      {[]any{bad}, true},
			"failed, then passed":      {[]any{good, bad, again}, false},
			"failed on the day of use": {[]any{good, event(kind, "2026-03-09 08:00", passed(no), proven)}, true},
			"failed after the load":    {[]any{good, event(kind, "2026-03-09 15:00", passed(no), proven)}, false},
		} {
			if got := found(history(t, "england", c.events...).Check(r),
				"load.upkeep.lapsed"); (got == broken) != c.broken {
				t.Errorf("%v, %s: load.upkeep.lapsed is %v, want broken: %v", kind, name, got, c.broken)
			}
		}
	}
}
