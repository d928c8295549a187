package load

import (
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/enum"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// EventFormat is the value of an event's "format" member.
const EventFormat = "moistheat.test/1"

// Event is something that happened to a sterilizer beside its loads: a test, a
// repair, its leaving and returning to use, or a day with patients. A member with
// the omitzero option may be absent; the zero value means that nobody recorded it.
type Event struct {
	Format     string    `json:"format"` // [EventFormat]
	ID         string    `json:"id"`
	Sterilizer string    `json:"sterilizer"`
	Kind       EventKind `json:"kind"`
	Started    time.Time `json:"started,omitzero"`
	Time       time.Time `json:"time"`            // end of a test; otherwise when it happened
	Number     string    `json:"number,omitzero"` // cycle number, where a cycle was run

	Passed     moistheat.Answer   `json:"passed,omitzero"`
	LeakRate   units.PressureRate `json:"leakRate,omitzero"`
	Biological *Biological        `json:"biological,omitzero"`
	Physical   moistheat.Answer   `json:"physical,omitzero"` // the physical record of a test is good
	Chemical   moistheat.Answer   `json:"chemical,omitzero"` // its chemical indicators are good
	Chamber    Filling            `json:"chamber,omitzero"`  // during a test
	Settings   cycle.Settings     `json:"settings,omitzero"` // of a test, or those found wrong
	Patients   moistheat.Answer   `json:"patients,omitzero"` // were scheduled on the day, kind patients
	Records    RecordKind         `json:"records,omitzero"`  // kind discarded: which
	Newest     moistheat.Date     `json:"newest,omitzero"`   // kind discarded: day of the newest of them
	By         string             `json:"by,omitzero"`       // who
	Note       string             `json:"note,omitzero"`     // why, or what was done
}

// EventKind is a kind of event. The zero value is invalid.
type EventKind uint8

// The kinds of event. The first six are tests.
const (
	BiologicalTestEvent       EventKind = iota + 1 // biological indicator in a run without goods
	AirRemovalEvent                                // see [AirRemovalTest]
	LeakEvent                                      // see [LeakTest]
	AutomaticControlTestEvent                      // see [AutomaticControlTest]
	RequalificationEvent                           // performance qualification done again
	CalibrationEvent                               // the sterilizer's sensors were calibrated

	PatientsEvent     // whether patients were scheduled on a day
	OutOfUseEvent     // taken out of use
	ReturnedEvent     // returned to use
	RepairedEvent     // repaired, or the cause of a failure was found and removed
	UpkeepEvent       // a part such as a gasket or a solenoid changed
	InstalledEvent    // installed, moved or rebuilt
	WrongSettingEvent // loads were run with a wrong setting
	RetiredEvent      // given up for good
	DiscardedEvent    // records of the sterilizer were discarded
)

var eventKindNames = [...]string{"", "biological", "air removal", "leak", "automatic control", "requalification", "calibration",
	"patients", "out of use", "returned", "repaired", "upkeep", "installed", "wrong setting", "retired", "discarded"}

// String returns the kind as it is written in JSON.
func (k EventKind) String() string { return enum.String(eventKindNames[:], k) }

// MarshalText implements [encoding.TextMarshaler].
func (k EventKind) MarshalText() ([]byte, error) { return enum.Marshal(eventKindNames[:], k) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (k *EventKind) UnmarshalText(text []byte) error {
	return enum.Unmarshal(eventKindNames[:], k, text)
}

func (k EventKind) isTest() bool { return k >= BiologicalTestEvent && k <= CalibrationEvent }

// eventKind returns the event that a test in a load's record stands for.
func (k TestKind) eventKind() EventKind {
	switch k {
	case AirRemovalTest:
		return AirRemovalEvent
	case LeakTest:
		return LeakEvent
	case AutomaticControlTest:
		return AutomaticControlTestEvent
	}
	return 0
}

// DecodeEvent reads one event, as strictly as [Decode] reads a record.
func DecodeEvent(data []byte) (*Event, error) {
	return strictjson.Read[Event](data, strictjson.Default(), EventFormat)
}
