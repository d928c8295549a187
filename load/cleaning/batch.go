package cleaning

import (
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// Format is the value of a [Batch]'s "format" member.
const Format = "moistheat.cleaning/1"

// Batch is one run of cleaning. An absent member was not recorded.
type Batch struct {
	Format string `json:"format" is:"moistheat.cleaning/1"` // [Format]

	ID       string                   `json:"id" minLength:"1"` // the facility's key, to which items refer
	Kind     packaging.CleaningMethod `json:"kind"`
	Device   string                   `json:"device,omitzero"`
	Number   string                   `json:"number,omitzero"` // as the machine counts its cycles
	Operator string                   `json:"operator,omitzero"`
	Started  time.Time                `json:"started,omitzero"`
	Ended    time.Time                `json:"ended,omitzero"`
	Carried  []Carried                `json:"carried,omitzero"`

	Detergent    *Agent           `json:"detergent,omitzero"`
	Disinfectant *Agent           `json:"disinfectant,omitzero"` // of chemical disinfection
	Rinsed       moistheat.Answer `json:"rinsed,omitzero"`       // by hand or in a bath: afterwards, with fresh water
	WaterChanged moistheat.Answer `json:"waterChanged,omitzero"` // the solution was fresh for this batch
	Degassed     moistheat.Answer `json:"degassed,omitzero"`     // the bath, since it was filled
	Tested       moistheat.Answer `json:"tested,omitzero"`       // the bath passed its test on that day
	MetalsApart  moistheat.Answer `json:"metalsApart,omitzero"`  // different metals lay apart in the bath
	Aborted      moistheat.Answer `json:"aborted,omitzero"`      // the machine ended the cycle before its end

	KeepsLog moistheat.Answer `json:"keepsLog,omitzero"`       // the machine logs temperatures
	Probes   int              `json:"probes,omitzero" min:"1"` // temperature sensors that it logs; 0: not recorded
	Trace    *cycle.Trace     `json:"trace,omitzero"`
	Printed  Printed          `json:"printed,omitzero"`

	TakenOut []TakenOut `json:"takenOut,omitzero"` // at the inspection
}

// Carried is an item or a set in a batch.
type Carried struct {
	ID    string           `json:"id" minLength:"1"` // of the item or the set
	Class packaging.Class  `json:"class,omitzero"`   // absent: judged as critical
	Used  time.Time        `json:"used,omitzero"`    // last
	Moist moistheat.Answer `json:"moist,omitzero"`   // kept so until it was cleaned

	// Excludes are the methods that its instructions for use rule out. ExcludesAny is no where they
	// rule out none.
	Excludes    []packaging.CleaningMethod `json:"excludes,omitzero"`
	ExcludesAny moistheat.Answer           `json:"excludesAny,omitzero"`
}

// Agent is a detergent or disinfectant in water.
type Agent struct {
	Name         string             `json:"name,omitzero"`
	Lot          string             `json:"lot,omitzero"`
	Amount       units.Volume       `json:"amount,omitzero"` // of the concentrate
	Volume       units.Volume       `json:"volume,omitzero"` // of the solution, with the concentrate
	Temperature  units.Temperature  `json:"temperature,omitzero"`
	Contact      units.Duration     `json:"contact,omitzero"`
	Instructions *AgentInstructions `json:"instructions,omitzero"`
}

// AgentInstructions are what the manufacturer of a detergent or disinfectant asks for. Doses
// are shares of volume: 5 mL/L is 0.5 %.
type AgentInstructions struct {
	MinDose        units.Ratio       `json:"minDose,omitzero"`
	MaxDose        units.Ratio       `json:"maxDose,omitzero"`
	MinTemperature units.Temperature `json:"minTemperature,omitzero"`
	MaxTemperature units.Temperature `json:"maxTemperature,omitzero"`
	Contact        units.Duration    `json:"contact,omitzero"` // at least
}

// Printed is what a washer-disinfector printed or showed.
type Printed struct {
	A0 units.Ratio `json:"a0,omitzero"` // a bare number, of seconds at 80 °C
}

// TakenOut is an item that did not pass the inspection.
type TakenOut struct {
	Item   string `json:"item" minLength:"1"`
	Reason Reason `json:"reason"`
	Then   Fate   `json:"then,omitzero"`
}

// Reason is why an item was taken out. The zero Reason is invalid.
type Reason string

// The reasons for taking an item out.
const (
	RetainedSoil Reason = "retained soil"
	Corrosion    Reason = "corrosion"
	Damage       Reason = "damage"
	Function     Reason = "function"
)

// Fate is what became of an item that was taken out. The zero Fate means not recorded.
type Fate string

// The fates of items.
const (
	CleanedAgain Fate = "cleaned again"
	Repair       Fate = "repair"
	Discarded    Fate = "discarded"
)

// Decode reads one batch, strictly: a member that does not exist is an error.
func Decode(data []byte) (*Batch, error) {
	return strictjson.Read[Batch](data, strictjson.Default(), Format)
}

// Validate says what no document can hold.
func (b *Batch) Validate() error { return strictjson.Validate(b, strictjson.Default(), Format) }
