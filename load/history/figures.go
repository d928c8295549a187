package history

import (
	_ "embed"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/cycle/equipment"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

// historyFiguresDoc holds the figures of the rules about tests and storage.
type historyFiguresDoc struct {
	Format string `json:"format"`
	// Of a Bowie-Dick type test, at most.
	AirRemovalExposure moistheat.Figure[units.DurationUnit] `json:"airRemovalExposure"`
	// That the instructions of any test for steam allow.
	LongestExposure moistheat.Figure[units.DurationUnit] `json:"longestExposure"`
	Floor           moistheat.Figure[units.LengthUnit]   `json:"floor"` // lowest shelf, at least
	// Room under a sprinkler, at least.
	Sprinkler moistheat.Figure[units.LengthUnit] `json:"sprinkler"`
	// Of spores whose manufacturer's time is not recorded.
	Incubation moistheat.Figure[units.DurationUnit] `json:"incubation"`
	// Until the repeat of a positive test, as others do.
	Repeat   moistheat.Figure[units.DurationUnit] `json:"repeat"`
	Laminate laminateFigure                       `json:"laminate"`
}

// laminateFigure says how often pouches in store are looked at.
type laminateFigure struct {
	Every  calendar.Period  `json:"every"`
	Source moistheat.Source `json:"source"`
}

//go:embed data/figures.json
var historyFiguresData []byte

var historyFiguresValue lazy.Value[*historyFiguresDoc]

func historyFigures() *historyFiguresDoc {
	return historyFiguresValue.Get(func() *historyFiguresDoc {
		return strictjson.MustRead[historyFiguresDoc](historyFiguresData, "")
	})
}

// TestFigures returns what a history under a policy holds the tests of a sterilizer
// against, so that the checks of package equipment, given them, come to the same verdicts.
// They are [equipment.DefaultFigures] but for the longest exposure of an air removal test:
// that of the policy's duty, as 3.5 min and 5 s where the policy follows EN 13060, else the
// 4 min of the instructions for use that sites follow. A test's own instructions come
// before both.
func TestFigures(p *load.Policy) equipment.Figures {
	f := equipment.DefaultFigures()
	f.ExposureTime, f.ExposureTolerance = historyFigures().AirRemovalExposure, moistheat.Figure[units.DurationUnit]{}
	if own := exposureOf(p); own != nil {
		f.ExposureTime = *own
	}
	return f
}

// exposureOf returns the longest exposure of an air removal test that a policy states; nil:
// it states none.
func exposureOf(p *load.Policy) *moistheat.Figure[units.DurationUnit] {
	duties := p.Schedule()
	i := slices.IndexFunc(duties, func(d calendar.Duty) bool { return d.Exposure.Value.IsValid() })
	if i < 0 {
		return nil
	}
	return &duties[i].Exposure
}
