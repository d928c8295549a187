package water

import (
	"time"

	"example.com/moistheat"
	"example.com/moistheat/units"
)

// Sample is water from one place at one time and what was measured in it. What was
// not measured is absent.
type Sample struct {
	Point     SamplingPoint `json:"point"`
	Treatment Treatment     `json:"treatment,omitzero"`
	Time      time.Time     `json:"time"` // when it was taken
	Sampling  *Sampling     `json:"sampling,omitzero"`

	Conductivity    *ConductivityReading            `json:"conductivity,omitzero"`
	Equilibrated    *Equilibrated                   `json:"equilibrated,omitzero"` // pharmacopoeia stages 2 and 3
	Resistivity     *ResistivityReading             `json:"resistivity,omitzero"`
	PH              *Reading[units.PHUnit]          `json:"ph,omitzero"`
	Hardness        *Reading[units.HardnessUnit]    `json:"hardness,omitzero"`
	Residue         *MassReading                    `json:"residue,omitzero"`
	DissolvedSolids *MassReading                    `json:"dissolvedSolids,omitzero"`
	Silicate        *MassReading                    `json:"silicate,omitzero"`
	Phosphate       *MassReading                    `json:"phosphate,omitzero"`
	Chloride        *MassReading                    `json:"chloride,omitzero"`
	Iron            *MassReading                    `json:"iron,omitzero"`
	Cadmium         *MassReading                    `json:"cadmium,omitzero"`
	Lead            *MassReading                    `json:"lead,omitzero"`
	HeavyMetals     *MassReading                    `json:"heavyMetals,omitzero"`
	Copper          *MassReading                    `json:"copper,omitzero"`
	Manganese       *MassReading                    `json:"manganese,omitzero"`
	Zinc            *MassReading                    `json:"zinc,omitzero"`
	Aluminium       *MassReading                    `json:"aluminium,omitzero"`
	Ammonium        *MassReading                    `json:"ammonium,omitzero"`
	Nitrate         *MassReading                    `json:"nitrate,omitzero"`
	Sulphate        *MassReading                    `json:"sulphate,omitzero"`
	Alkalinity      *MassReading                    `json:"alkalinity,omitzero"`
	OrganicCarbon   *MassReading                    `json:"organicCarbon,omitzero"`
	Bacteria        *Reading[units.ColonyCountUnit] `json:"bacteria,omitzero"`
	Endotoxin       *Reading[units.EndotoxinUnit]   `json:"endotoxin,omitzero"`
	Turbidity       *Reading[units.TurbidityUnit]   `json:"turbidity,omitzero"`
	Appearance      *AppearanceReading              `json:"appearance,omitzero"`
}

// Reading is one measured figure and what is needed to know how far to trust it.
type Reading[U units.Unit] struct {
	Value      units.Quantity[U] `json:"value"`               // as shown, digits kept
	Comparator Comparator        `json:"comparator,omitzero"` // "<" where the report says less than
	Resolution units.Quantity[U] `json:"resolution,omitzero"` // smallest step that the test can show
	Method     Method            `json:"method,omitzero"`
	Meter      *Meter            `json:"meter,omitzero"`
}

// MassReading is a concentration by mass. Phosphate, silicate, nitrate, ammonium
// and alkalinity can be expressed as several species; which one is absent is not
// guessed.
type MassReading struct {
	Reading[units.MassConcentrationUnit]
	As units.Species `json:"as,omitzero"`
}

// Correction says which temperature a conductivity or resistivity stands for. The
// water had Temperature when it was measured. A meter that compensates shows what
// the water would have at Reference instead; one that does not shows it as it is.
type Correction struct {
	Temperature units.Temperature `json:"temperature,omitzero"`
	Compensated moistheat.Answer  `json:"compensated,omitzero"`
	Reference   units.Temperature `json:"reference,omitzero"` // of the compensation
}

// ConductivityReading is an electrical conductivity.
type ConductivityReading struct {
	Reading[units.ConductivityUnit]
	Correction
}

// ResistivityReading is an electrical resistivity.
type ResistivityReading struct {
	Reading[units.ResistivityUnit]
	Correction
}

// Equilibrated is the pharmacopoeia's later test of a sample that did not pass in
// the line: conductivity near 25 °C after stirring until the air changes it no
// more, and the pH after that.
type Equilibrated struct {
	Conductivity units.Conductivity `json:"conductivity"`
	Temperature  units.Temperature  `json:"temperature,omitzero"`
	PH           units.PH           `json:"ph,omitzero"`
}

// AppearanceReading is what a sample looks like in a clear bottle.
type AppearanceReading struct {
	Clear      moistheat.Answer `json:"clear,omitzero"`
	Colourless moistheat.Answer `json:"colourless,omitzero"`
	Sediment   moistheat.Answer `json:"sediment,omitzero"`
}

// Meter is the instrument behind a reading.
type Meter struct {
	ID        string    `json:"id,omitzero"`
	LastCheck time.Time `json:"lastCheck,omitzero"` // against a standard or a checked meter
}

// Sampling is how a sample was taken and kept.
type Sampling struct {
	Bottle  Bottle           `json:"bottle,omitzero"`
	Rinsed  moistheat.Answer `json:"rinsed,omitzero"`  // the bottle, with the water to be tested
	Full    moistheat.Answer `json:"full,omitzero"`    // no air left above the water
	Flushed moistheat.Answer `json:"flushed,omitzero"` // tap or steam line ran before
	Chilled moistheat.Answer `json:"chilled,omitzero"` // kept at 2 to 8 °C until tested
	Tested  time.Time        `json:"tested,omitzero"`  // start of the test for living microorganisms
}

// Reservoir is the upkeep of the sterilizer's own tank.
type Reservoir struct {
	Supply      string           `json:"supply,omitzero"`      // ID of a supply in the facility's catalogue
	Water       Treatment        `json:"water,omitzero"`       // what was put in
	Drained     moistheat.Answer `json:"drained,omitzero"`     // since the last day of use
	Cleaned     moistheat.Answer `json:"cleaned,omitzero"`     // when it was drained
	Refilled    moistheat.Answer `json:"refilled,omitzero"`    // on the day of use
	ToppedUp    moistheat.Answer `json:"toppedUp,omitzero"`    // fresh water was added to old
	EmptyNight  moistheat.Answer `json:"emptyNight,omitzero"`  // left clean, dry and empty overnight
	LastDrained time.Time        `json:"lastDrained,omitzero"` // newest draining
	LastFilled  time.Time        `json:"lastFilled,omitzero"`  // newest filling of the empty tank
}
