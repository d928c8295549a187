package water

import (
	"time"

	"example.com/moistheat"
)

// Rules returns every rule of this package, sorted by ID.
func Rules() []moistheat.Rule { return nil }

// Check holds a sample against limits. Pointers are relative to the sample.
func Check(s *Sample, limits *Limits) []moistheat.Finding { return nil }

// CheckReservoir judges the upkeep of the tank on the day of a cycle. Pointers are
// relative to the reservoir.
func CheckReservoir(r *Reservoir, cycle time.Time) []moistheat.Finding { return nil }
