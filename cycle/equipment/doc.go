// Package equipment judges the tests that show whether a sterilizer itself is fit:
// air leakage, the exposure of an air removal test, a small load, the dryness of a
// test load, the quality of the steam, and a cycle held against the sterilizer's own
// reference.
//
// Each test is a plain struct of what was read off, and each check returns findings
// for the rules of this package ([Rules]). What was not read off is undetermined,
// never a pass. The limits are the caller's: [DefaultFigures] is what the documents
// state, each with its source and basis, and a policy that follows other documents
// replaces what they state otherwise.
//
// The checks say what the document behind a figure says. A test that fails takes
// the sterilizer out of service; a test that was not carried out as the document
// asks shows nothing, whatever its result.
package equipment

import (
	_ "embed"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// Rules returns the rules of this package, sorted by ID. The caller owns the slice.
func Rules() []moistheat.Rule { return book.Rules() }

// Figures is what the checks hold a test against. Without a valid value a rule that
// needs it is undetermined, except that without a tolerance the time of an exposure is
// the longest that it may last.
type Figures struct {
	LeakRate moistheat.Figure[units.PressureRateUnit] `json:"leakRate"`
	// LeakLowest is below zero: the pressure of a tight chamber that cools falls.
	LeakLowest           moistheat.Figure[units.PressureRateUnit]          `json:"leakLowest"`
	LeakStabilise        moistheat.Figure[units.DurationUnit]              `json:"leakStabilise"`
	LeakLast             moistheat.Figure[units.DurationUnit]              `json:"leakLast"`
	LeakVacuum           moistheat.Figure[units.AbsolutePressureUnit]      `json:"leakVacuum"`
	ExposureTemperature  moistheat.Figure[units.TemperatureUnit]           `json:"exposureTemperature"`
	ExposureTime         moistheat.Figure[units.DurationUnit]              `json:"exposureTime"`
	ExposureTolerance    moistheat.Figure[units.DurationUnit]              `json:"exposureTolerance"`
	GainMetal            moistheat.Figure[units.RatioUnit]                 `json:"gainMetal"`
	GainTextile          moistheat.Figure[units.RatioUnit]                 `json:"gainTextile"`
	SmallLoadFirst       moistheat.Figure[units.TemperatureDifferenceUnit] `json:"smallLoadFirst"`
	SmallLoadAfter       moistheat.Figure[units.TemperatureDifferenceUnit] `json:"smallLoadAfter"`
	SmallLoadSettling    moistheat.Figure[units.DurationUnit]              `json:"smallLoadSettling"`
	SteamGas             moistheat.Figure[units.RatioUnit]                 `json:"steamGas"`
	SteamDrynessMetal    moistheat.Figure[units.RatioUnit]                 `json:"steamDrynessMetal"`
	SteamDrynessTextile  moistheat.Figure[units.RatioUnit]                 `json:"steamDrynessTextile"`
	SteamDrynessBenchtop moistheat.Figure[units.RatioUnit]                 `json:"steamDrynessBenchtop"`
	SteamSuperheat       moistheat.Figure[units.TemperatureDifferenceUnit] `json:"steamSuperheat"`
}

//go:embed figures.json
var figuresData []byte

type figuresFile struct {
	Format string `json:"format"`
	Figures
}

var figuresValue lazy.Value[Figures]

// DefaultFigures returns the figures of the documents that the library knows.
func DefaultFigures() Figures {
	return figuresValue.Get(func() Figures { return strictjson.MustRead[figuresFile](figuresData, "").Figures })
}

// orEmpty returns a test, or an empty one where there is none: nothing was read off.
func orEmpty[T any](t *T) *T {
	if t == nil {
		t = new(T)
	}
	return t
}

// under holds a question about a measured value to a figure.
func under[U units.Unit](q ask.Question, measured units.Value, limit moistheat.Figure[U]) ask.Question {
	q.Of(measured, limit.Value.Value())
	if !limit.Value.IsValid() {
		return q.Open(moistheat.NoLimit)
	}
	return q.By(limit.Source)
}

func atMost[U units.Unit](q ask.Question, got units.Quantity[U], limit moistheat.Figure[U]) ask.Question {
	return ask.AtMost(under(q, got.Value(), limit), got, limit.Value)
}

func atLeast[U units.Unit](q ask.Question, got units.Quantity[U], limit moistheat.Figure[U]) ask.Question {
	return ask.AtLeast(under(q, got.Value(), limit), got, limit.Value)
}

// possible leaves a question open where readings are recorded that cannot be right, so
// that nothing follows from them.
func possible(q ask.Question, recorded, right bool) ask.Question {
	if recorded && !right {
		return q.Open(moistheat.Contradictory)
	}
	return q
}

// LoadKind is what a test load is made of. The zero LoadKind is invalid.
type LoadKind string

const (
	// Metal: a load of instruments or screws.
	Metal LoadKind = "metal"
	// Textile: a load of sheets.
	Textile LoadKind = "textile"
)
