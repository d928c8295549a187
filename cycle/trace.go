package cycle

import (
	"encoding/json"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// Trace is the time series of one cycle: one time base and any number of channels,
// each with as many values as the time base. In JSON:
//
//	{"time": {"unit": "s", "values": [0, 1, 2]},
//	 "temperatures": [{"id": "T1", "place": "drain", "unit": "Cel", "values": [20.1, 20.3, 20.8]}],
//	 "absolutePressures": [{"id": "P1", "place": "chamber", "unit": "kPa", "values": [100.9, 96.2, 90.0]}]}
//
// A trace with values that do not fit together decodes; [Analyze] names what is
// wrong with it.
type Trace struct {
	Start             time.Time                 `json:"start,omitzero"`
	Time              TimeBase                  `json:"time"`
	Temperatures      []TemperatureChannel      `json:"temperatures" maxItems:"64"`
	AbsolutePressures []AbsolutePressureChannel `json:"absolutePressures,omitzero" maxItems:"64"`
	GaugePressures    []GaugePressureChannel    `json:"gaugePressures,omitzero" maxItems:"64"`
}

// TimeBase holds the time of each sample since the start, ever increasing.
type TimeBase struct {
	Unit   units.DurationUnit `json:"unit"`
	Values []float64          `json:"values" sign:"none"`
}

// Channel is the readings of one sensor in unit U. A is the unit of its accuracy.
type Channel[U, A units.Unit] struct {
	ID    string `json:"id" minLength:"1"`
	Place Place  `json:"place"`
	Unit  U      `json:"unit"`
	// Accuracy is the half-width of the uncertainty as a calibration certificate
	// states it, with a coverage of about 95 % (k = 2).
	Accuracy units.Quantity[A] `json:"accuracy,omitzero" sign:"none"`
	Values   []float64         `json:"values"`
}

// MarshalJSON writes the trace as the reader of records takes it: a list that is nil
// is empty.
func (t Trace) MarshalJSON() ([]byte, error) {
	type plain Trace
	if t.Temperatures == nil {
		t.Temperatures = []TemperatureChannel{}
	}
	return json.Marshal(plain(t))
}

// MarshalJSON writes the time base as the reader of records takes it: values that are
// nil are none, and no number has more digits or a wider exponent than is read.
func (t TimeBase) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Unit   units.DurationUnit `json:"unit"`
		Values strictjson.Column  `json:"values"`
	}{t.Unit, t.Values})
}

// MarshalJSON writes the channel as [TimeBase.MarshalJSON] does the time base.
func (c Channel[U, A]) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		ID       string            `json:"id"`
		Place    Place             `json:"place"`
		Unit     U                 `json:"unit"`
		Accuracy units.Quantity[A] `json:"accuracy,omitzero"`
		Values   strictjson.Column `json:"values"`
	}{c.ID, c.Place, c.Unit, c.Accuracy, c.Values})
}

// The channels, one type for each quantity, so that a unit that does not fit is
// refused where it is written.
type (
	TemperatureChannel      = Channel[units.TemperatureUnit, units.TemperatureDifferenceUnit]
	AbsolutePressureChannel = Channel[units.AbsolutePressureUnit, units.AbsolutePressureUnit]
	GaugePressureChannel    = Channel[units.GaugePressureUnit, units.GaugePressureUnit]
)

// Place is where a sensor sits. The zero Place is invalid.
type Place string

const (
	// ReferencePoint: where the cycle is controlled from.
	ReferencePoint Place = "reference point"
	// Chamber: in the free space of the chamber.
	Chamber Place = "chamber"
	// Drain: in the chamber drain, where air and condensate leave.
	Drain Place = "drain"
	// InLoad: in or on the load.
	InLoad Place = "load"
	// InLumen: inside a hollow item.
	InLumen Place = "lumen"
	// Jacket: in the jacket; it never counts for the hold.
	Jacket Place = "jacket"
	// Elsewhere: another place that must be at temperature too.
	Elsewhere Place = "other"
)

// steam reports whether a sensor at p shows the steam itself.
func (p Place) steam() bool { return p == ReferencePoint || p == Chamber || p == Drain }

// Settings is what was selected on the sterilizer before the cycle.
type Settings struct {
	AirRemoval  moistheat.AirRemoval `json:"airRemoval,omitzero"`
	Temperature units.Temperature    `json:"temperature,omitzero"`
	Hold        units.Duration       `json:"hold,omitzero"`
	Drying      units.Duration       `json:"drying,omitzero"`
}

// Printed is what the sterilizer printed or showed at the end of the cycle, or a
// person read and wrote down.
type Printed struct {
	HoldTime           units.Duration         `json:"holdTime,omitzero"`
	MinimumTemperature units.Temperature      `json:"minimumTemperature,omitzero"` // during the hold
	MaximumTemperature units.Temperature      `json:"maximumTemperature,omitzero"` // during the hold
	AbsolutePressure   units.AbsolutePressure `json:"absolutePressure,omitzero"`   // during the hold, at no stated moment
	GaugePressure      units.GaugePressure    `json:"gaugePressure,omitzero"`      // during the hold, at no stated moment

	MinimumAbsolutePressure units.AbsolutePressure `json:"minimumAbsolutePressure,omitzero"` // during the hold
	MaximumAbsolutePressure units.AbsolutePressure `json:"maximumAbsolutePressure,omitzero"` // during the hold
	MinimumGaugePressure    units.GaugePressure    `json:"minimumGaugePressure,omitzero"`    // during the hold
	MaximumGaugePressure    units.GaugePressure    `json:"maximumGaugePressure,omitzero"`    // during the hold

	DryingTime units.Duration `json:"dryingTime,omitzero"`
}

// Alarm is a message that the sterilizer gave during the cycle.
type Alarm struct {
	Text        string `json:"text"`
	Explanation string `json:"explanation,omitzero"` // the cause as it was found; absent while it is not
	By          string `json:"by,omitzero"`          // who found it
}

// Evidence is all that is on record about one cycle.
type Evidence struct {
	Started  time.Time        `json:"started,omitzero"`
	Ended    time.Time        `json:"ended,omitzero"`
	Settings Settings         `json:"settings,omitzero"`
	Printed  Printed          `json:"printed,omitzero"`
	Trace    *Trace           `json:"trace,omitzero"`
	Aborted  moistheat.Answer `json:"aborted,omitzero"`
	// HasAlarms says whether there was an alarm: a list that is empty or absent does not.
	HasAlarms moistheat.Answer `json:"hasAlarms,omitzero"`
	Alarms    []Alarm          `json:"alarms,omitzero"`

	// Atmosphere is the pressure of the air at the site, by barometer or altitude;
	// gauge readings mean nothing without it. It is no part of the cycle's JSON.
	Atmosphere units.AbsolutePressure `json:"-"`
	// AtmosphereWithin is how far the true pressure may be from it: what weather does to
	// an altitude, or the accuracy of a barometer. It is no part of the cycle's JSON.
	AtmosphereWithin units.AbsolutePressure `json:"-"`
}
