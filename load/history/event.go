package history

import (
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

// EventFormat is the value of an event's "format" member.
const EventFormat = "moistheat.event/1"

// Event is something that happened to a sterilizer beside its loads: a test, a
// repair, its leaving and returning to use, or a day with patients; or a test or the upkeep
// of another machine, its Device. A member with
// the omitzero option may be absent; the zero value means that nobody recorded it.
type Event struct {
	Format     string             `json:"format"` // [EventFormat]
	ID         string             `json:"id" minLength:"1"`
	Sterilizer string             `json:"sterilizer,omitzero"`
	Device     string             `json:"device,omitzero"`     // instead of a sterilizer, as records name it
	DeviceKind calendar.Device    `json:"deviceKind,omitzero"` // where Kind does not say it
	Site       string             `json:"site,omitzero"`       // as records name it, where two sites use one name
	Kind       calendar.EventKind `json:"kind"`
	Started    time.Time          `json:"started,omitzero"`
	Time       time.Time          `json:"time"`            // end of a test's run, not of its incubation; otherwise when it happened
	Number     string             `json:"number,omitzero"` // cycle number, where a cycle was run

	Passed     moistheat.Answer     `json:"passed,omitzero"`
	LeakRate   units.PressureRate   `json:"leakRate,omitzero"`
	Biological *load.Biological     `json:"biological,omitzero"`
	Physical   moistheat.Answer     `json:"physical,omitzero"` // the physical record of a test is good
	Chemical   moistheat.Answer     `json:"chemical,omitzero"` // its chemical indicators are good
	Chamber    calendar.ChamberLoad `json:"chamber,omitzero"`  // during a test
	Settings   cycle.Settings       `json:"settings,omitzero"` // of a test, or those found wrong
	MaxHold    units.Duration       `json:"maxHold,omitzero"`  // of an air removal test, by its own instructions
	Patients   moistheat.Answer     `json:"patients,omitzero"` // were scheduled on the day, kind patients
	Records    calendar.RecordKind  `json:"records,omitzero"`  // kind discarded: which
	Newest     moistheat.Date       `json:"newest,omitzero"`   // kind discarded: day of the newest of them
	// AsFound is what a sensor showed above the reference, before anybody adjusted it.
	AsFound  units.TemperatureDifference `json:"asFound,omitzero"`
	Due      moistheat.Date              `json:"due,omitzero"`      // last day in time for the next one
	Document string                      `json:"document,omitzero"` // the evidence of a qualification or examination
	// Programs and Patterns are those that a performance qualification, or one done again, covers;
	// none: it does not say which.
	Programs []string `json:"programs,omitzero" maxItems:"64"`
	Patterns []string `json:"patterns,omitzero" maxItems:"64"`
	By       string   `json:"by,omitzero"`   // who
	Note     string   `json:"note,omitzero"` // why, or what was done
}

// eventOf returns the event that a test in a load's record stands for.
func eventOf(k load.TestKind) calendar.EventKind {
	switch k {
	case load.AirRemovalTest:
		return calendar.AirRemovalEvent
	case load.LeakTest:
		return calendar.LeakEvent
	case load.AutomaticControlTest:
		return calendar.AutomaticControlTestEvent
	}
	return 0
}

// DecodeEvent reads one event, as strictly as [load.Decode] reads a record.
func DecodeEvent(data []byte) (*Event, error) {
	return strictjson.Read[Event](data, strictjson.Default(), EventFormat)
}

// Validate is to [DecodeEvent] what [load.Record.Validate] is to [load.Decode].
func (e *Event) Validate() error {
	return strictjson.Validate(e, strictjson.Default(), EventFormat)
}
