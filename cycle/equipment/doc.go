// Package equipment judges the tests that show whether a sterilizer itself is fit:
// air leakage, the exposure of an air removal test, a small load, the dryness of a
// test load, the quality of the steam, and a cycle held against the sterilizer's own
// reference.
//
// Each test is a plain struct of what was read off, and each check returns findings
// of every outcome for the rules of this package ([Rules]). What was not read off
// is undetermined, never a pass. The figures are a file beside the code, each with
// its source and basis.
//
// The checks say what the document behind a figure says. A test that fails takes
// the sterilizer out of service; a test that was not carried out as the document
// asks shows nothing, whatever its result.
package equipment

import (
	_ "embed"

	"example.com/moistheat"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

type figuresFile struct {
	Format               string                                            `json:"format"`
	LeakRate             moistheat.Figure[units.PressureRateUnit]          `json:"leakRate"`
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

var figuresValue lazy.Value[*figuresFile]

func figures() *figuresFile {
	return figuresValue.Get(func() *figuresFile {
		return strictjson.MustRead[figuresFile](figuresData, "")
	})
}

// LoadKind is what a test load is made of. The zero LoadKind is invalid.
type LoadKind string

const (
	// Metal: a load of instruments or screws.
	Metal LoadKind = "metal"
	// Textile: a load of sheets.
	Textile LoadKind = "textile"
)
