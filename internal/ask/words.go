package ask

import (
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
)

// AirRemoval says an air removal in words, as the tables do.
func AirRemoval(a moistheat.AirRemoval) moistheat.Detail {
	switch a {
	case moistheat.GravityDisplacement:
		return lang.Say("air-removal-gravity: gravity displacement")
	case moistheat.DynamicAirRemoval:
		return lang.Say("air-removal-dynamic: dynamic air removal")
	case moistheat.SteamFlushPressurePulse:
		return lang.Say("air-removal-flush: steam flush pressure pulse")
	}
	return lang.Data(strings.ReplaceAll(string(a), "-", " "))
}
