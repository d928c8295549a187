// Package calendar has what a policy asks of time: which tests come again and when, how
// long records and packs are kept, and what follows a positive test. It knows no record;
// a policy of package load holds its values and package history goes by them.
package calendar

import (
	"cmp"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// Duty is one line of a policy's schedule: a test that comes again and again.
type Duty struct {
	Test EventKind `json:"test"`
	// Device is the kind of machine that it is a test of; absent: a sterilizer.
	Device  Device  `json:"device,omitzero"`
	Cadence Cadence `json:"cadence"`
	// Every is the longest time between two tests; needed for the cadences interval
	// and hours of use. With the manufacturer's schedule it bounds what that may say.
	Every Period `json:"every,omitzero"`
	// HoursOfUse is the longest time that the sterilizer runs between two tests; needed for
	// the cadence hours of use.
	HoursOfUse units.Duration `json:"hoursOfUse,omitzero"`
	// PerCycleKind asks for the test in every kind of cycle that is used.
	PerCycleKind moistheat.Answer `json:"perCycleKind,omitzero"`
	// EvenIfIdle asks for the test of a sterilizer that is not used, too.
	EvenIfIdle moistheat.Answer `json:"evenIfIdle,omitzero"`
	// Week says when a calendar week begins; needed for the cadences by calendar
	// week. A facility that is not sure which reading its authority takes adds a
	// line with the other: then the week must be kept by both.
	Week Week `json:"week,omitzero"`
	// Exposure is how long an air removal test may be exposed at most.
	Exposure moistheat.Figure[units.DurationUnit] `json:"exposure,omitzero"`
	When     Condition                            `json:"when,omitzero"` // absent: always
	// Lapse is what a duty of a device, or of upkeep, asks of packs while it is overdue; absent:
	// a finding, and nothing of the packs.
	Lapse  Lapse            `json:"lapse,omitzero"`
	Source moistheat.Source `json:"source"`
	Note   string           `json:"note,omitzero"`
}

// Week is a reading of "calendar week".
type Week struct {
	Begins WeekBeginning    `json:"begins"`
	Source moistheat.Source `json:"source"`
}

// testName returns what a test of a kind is called, of biological ones by the indicator.
func testName(kind EventKind) moistheat.Detail {
	switch kind.String() {
	case "biological":
		return lang.Say("test-biological: biological indicator test")
	case "requalification", "calibration", "seal check", "temperature check", "inspection", "bath change", "gasket",
		"filter", "service", "pressure vessel", "installation qualification", "operational qualification",
		"performance qualification":
		return lang.Say("event-kind: {1:calendar.EventKind}", kind.String())
	}
	return lang.Say("test-kind: {1:calendar.EventKind} test", kind.String())
}

// String returns the duty in English words, such as "biological indicator test, at least every 7 days".
func (d Duty) String() string { return d.Words().String() }

// Words returns the duty in words, as a phrase.
func (d Duty) Words() moistheat.Detail {
	parts := []moistheat.Detail{testName(d.Test)}
	add := func(what moistheat.Detail) { parts = append(parts, what) }
	every := func() { add(lang.With("duty-every: at least every {1:text}", d.Every.Words())) }
	each := func() { add(lang.Say("duty-each: each {1:calendar.Cadence}", string(d.Cadence))) }
	switch d.Cadence {
	case ByInterval:
		every()
	case ByHoursOfUse:
		add(lang.With("duty-hours: every {1:number} of use or {2:text}, whichever is first",
			lang.Data(d.HoursOfUse.String()), d.Every.Words()))
	case ByManufacturer:
		add(lang.Say("duty-manufacturer: as the manufacturer's schedule says"))
		if d.Every.IsValid() {
			every()
		}
	case ByCalendarWeek, ByCalendarWeekWithPatients:
		each()
		add(lang.With("duty-from: from {1:text}", d.Week.Begins.words()))
	default:
		each()
	}
	if d.PerCycleKind == moistheat.Yes {
		add(lang.Say("duty-cycle-kinds: in every kind of cycle used"))
	}
	all := lang.Join(", ", parts...)
	if d.When != "" {
		return lang.With("duty-when: {1:text} ({2:calendar.Condition})", all, lang.Data(string(d.When)))
	}
	return all
}

// Retention is one line of a policy's retention table. Exactly one of Keep,
// CalendarYears and AfterEquipment says how long.
type Retention struct {
	Records RecordKind `json:"records"`
	Keep    Period     `json:"keep,omitzero"` // from the day of the record
	// CalendarYears keeps a record to the end of that many calendar years after the
	// year of the record.
	CalendarYears int `json:"calendarYears,omitzero"`
	// AfterEquipment keeps a record as long as the sterilizer and this long after.
	AfterEquipment Period           `json:"afterEquipment,omitzero"`
	Source         moistheat.Source `json:"source"`
}

// PositiveTestPolicy is what a policy does after a positive biological test.
type PositiveTestPolicy struct {
	// Repeats is the number of good repeat tests, one after the other, that return
	// the sterilizer to use.
	Repeats int `json:"repeats"`
	// OutOfServiceAfter is the positive test that takes the sterilizer out of use: 1 or 2.
	OutOfServiceAfter int `json:"outOfServiceAfter"`
	// RecallAfter is the positive test that recalls every load since the last good one,
	// while physical records and chemical indicators are good: 1 or 2. Implants are
	// recalled after the first in every policy.
	RecallAfter int `json:"recallAfter"`
	// AfterRepair is the number of good tests, one after the other, that a repaired
	// sterilizer needs, no fewer than Repeats.
	AfterRepair int `json:"afterRepair"`
	// AirRemovalTests is the number of good air removal tests, one after the other,
	// that a repaired sterilizer with dynamic air removal needs beside them.
	AirRemovalTests int `json:"airRemovalTests,omitzero"`
	// PerCycleKind asks for the tests after a repair in each kind of cycle in use.
	PerCycleKind moistheat.Answer   `json:"perCycleKind,omitzero"`
	Chamber      ChamberLoad        `json:"chamber,omitzero"` // during the tests after a repair
	Sources      []moistheat.Source `json:"sources"`
	Note         string             `json:"note,omitzero"`
}

// Return is one line of a policy about the evidence that ends a time out of service,
// beside the tests of [PositiveTestPolicy]. Any one of what it names ends it; a cause
// without a line is ended by nothing else, and by no word of a person alone.
type Return struct {
	After Cause `json:"after"`
	// Tests is the number of good tests of the kind that failed, one after the other.
	Tests int `json:"tests,omitzero"`
	// Explained lets the cause end it that a person who is named put on record.
	Explained moistheat.Answer `json:"explained,omitzero"`
	// Requalified lets a passed requalification by a person who is named end it.
	Requalified moistheat.Answer `json:"requalified,omitzero"`
	Source      moistheat.Source `json:"source"`
}

// Cause is why a sterilizer is out of service. The zero value is invalid.
type Cause string

// The causes.
const (
	PositiveTest Cause = "positive test" // a biological test
	FailedTest   Cause = "failed test"   // an equipment test, such as one for leaks or air removal
	FailedCycle  Cause = "failed cycle"  // a cycle was aborted or failed, and nobody knows why
	Installed    Cause = "installed"     // installed, moved or rebuilt, and not tested yet
	Repaired     Cause = "repaired"      // repaired and not tested yet
	TakenOut     Cause = "taken out"     // by a person
)

// ShelfLife is one line of a policy's limits for stored packs. A member that is
// absent does not narrow the line.
type ShelfLife struct {
	Wrapped   moistheat.Answer `json:"wrapped,omitzero"`
	Vacuum    moistheat.Answer `json:"vacuum,omitzero"`    // from a cycle that draws the air out
	MinLayers int              `json:"minLayers,omitzero"` // at least so many barriers
	MaxLayers int              `json:"maxLayers,omitzero"` // at most so many barriers
	Place     StoragePlace     `json:"place,omitzero"`
	Category  string           `json:"category,omitzero"` // of the item, in the document's terms
	Keep      Period           `json:"keep"`
	// Guide says that the document gives the time as a guide: what is older is not
	// unsterile for that.
	Guide  moistheat.Answer `json:"guide,omitzero"`
	Source moistheat.Source `json:"source"`
}

// Climate is what a policy asks of a sterile store. Limits that are absent are not
// asked.
type Climate struct {
	Low    units.Temperature `json:"low,omitzero"`
	High   units.Temperature `json:"high,omitzero"`
	Dry    units.Ratio       `json:"dry,omitzero"`  // relative humidity
	Damp   units.Ratio       `json:"damp,omitzero"` // relative humidity
	Keep   Period            `json:"keep,omitzero"` // outside these limits: reprocess what is older
	Source moistheat.Source  `json:"source"`
}

// Period is a time on the calendar: a number of hours, days, months or years, as
// ISO 8601 writes it: "PT48H", "P7D", "P6M", "P5Y". The zero Period is invalid.
// Periods are comparable with ==.
type Period struct {
	n    uint16
	unit byte // H, D, M, Y
}

// ParsePeriod reads one number and one of the designators H (behind PT), D, M and Y.
func ParsePeriod(s string) (Period, error) {
	body, hours := strings.CutPrefix(s, "PT")
	ok := hours
	if !hours {
		body, ok = strings.CutPrefix(s, "P")
	}
	if n := len(body); ok && n >= 2 && n <= 5 {
		unit := body[n-1]
		v, err := strconv.ParseUint(body[:n-1], 10, 16)
		if err == nil && body[0] != '0' && body[0] != '+' && (hours && unit == 'H' || !hours && (unit == 'D' || unit == 'M' || unit == 'Y')) {
			return Period{uint16(v), unit}, nil
		}
	}
	return Period{}, fmt.Errorf("calendar: %.20q is not a period such as P7D, P6M, P5Y or PT48H", s)
}

// IsValid reports whether p holds a period.
func (p Period) IsValid() bool { return p != Period{} }

// IsZero reports whether p is the invalid zero Period, for the omitzero option.
func (p Period) IsZero() bool { return p == Period{} }

// String returns the period as ISO 8601 writes it.
func (p Period) String() string {
	switch p.unit {
	case 0:
		return "invalid period"
	case 'H':
		return fmt.Sprintf("PT%dH", p.n)
	}
	return fmt.Sprintf("P%d%c", p.n, p.unit)
}

// Words returns the period for a person, such as "7 days".
func (p Period) Words() moistheat.Detail {
	n := strconv.Itoa(int(p.n))
	switch {
	case p == Period{1, 'H'}:
		return lang.Say("one-hour: 1 hour")
	case p == Period{1, 'D'}:
		return lang.Say("one-day: 1 day")
	case p == Period{1, 'M'}:
		return lang.Say("one-month: 1 month")
	case p == Period{1, 'Y'}:
		return lang.Say("one-year: 1 year")
	case p.unit == 'H':
		return lang.Say("number-of-hours: {1:number} hours", n)
	case p.unit == 'D':
		return lang.Say("number-of-days: {1:number} days", n)
	case p.unit == 'M':
		return lang.Say("number-of-months: {1:number} months", n)
	case p.unit == 'Y':
		return lang.Say("number-of-years: {1:number} years", n)
	}
	return lang.Data(p.String())
}

// MarshalText is [Period.String].
func (p Period) MarshalText() ([]byte, error) {
	if !p.IsValid() {
		return nil, fmt.Errorf("calendar: an invalid period has no text form; leave the field out")
	}
	return []byte(p.String()), nil
}

// UnmarshalText is [ParsePeriod].
func (p *Period) UnmarshalText(text []byte) error {
	v, err := ParsePeriod(string(text))
	if p == nil {
		return errors.New("load: nothing to read into: the pointer is nil")
	}
	if err == nil {
		*p = v
	}
	return err
}

// After returns the instant one period after t, on the calendar of t's zone. A day
// that the month does not have becomes its last.
func (p Period) After(t time.Time) time.Time {
	switch p.unit {
	case 'H':
		return t.Add(time.Duration(p.n) * time.Hour)
	case 'D':
		return t.AddDate(0, 0, int(p.n))
	case 'M', 'Y':
		months := int(p.n)
		if p.unit == 'Y' {
			months *= 12
		}
		u := t.AddDate(0, months, 0)
		if u.Day() != t.Day() { // the month was too short
			u = u.AddDate(0, 0, -u.Day())
		}
		return u
	}
	return t
}

// OfDays reports whether p is a number of days, months or years, and not of hours.
func (p Period) OfDays() bool { return p.IsValid() && p.unit != 'H' }

// Deadline returns the instant before which a thing is in time that comes again one
// period after t: the end of the last day, on the calendar of t's zone. Only a period
// of hours runs by hours.
func (p Period) Deadline(t time.Time) time.Time {
	if p.unit == 'H' {
		return p.After(t).Add(1) // the last instant itself is in time
	}
	y, m, d := p.After(t).Date()
	return time.Date(y, m, d+1, 0, 0, 0, 0, t.Location())
}

// AfterDate returns the day one period after a day, and the zero Date after that.
func (p Period) AfterDate(d moistheat.Date) moistheat.Date {
	if !d.IsValid() {
		return moistheat.Date{}
	}
	return moistheat.DateOf(p.After(d.Time()))
}

// Compare orders periods by length; months and years count as their shortest.
func (p Period) Compare(q Period) int { return cmp.Compare(p.days(), q.days()) }

func (p Period) days() float64 {
	return float64(p.n) * map[byte]float64{'H': 1. / 24, 'D': 1, 'M': 28, 'Y': 365}[p.unit]
}

// Cadence is how a test comes again. The zero value is invalid.
type Cadence string

// The cadences.
const (
	ByInterval                 Cadence = "interval"                    // so long after the last one
	ByDayOfUse                 Cadence = "day of use"                  // on each day with a load
	ByCalendarWeek             Cadence = "calendar week"               // in each week with a load
	ByCalendarWeekWithPatients Cadence = "calendar week with patients" // in each week with scheduled patients
	ByHoursOfUse               Cadence = "hours of use"                // after so many hours of cycles
	ByManufacturer             Cadence = "manufacturer's schedule"     // the sterilizer's instructions say
)

// Weekly reports whether a test is asked for in each calendar week.
func (d Duty) Weekly() bool {
	return d.Cadence == ByCalendarWeek || d.Cadence == ByCalendarWeekWithPatients
}

// WeekBeginning is the first day of a calendar week. The zero value is invalid.
type WeekBeginning string

// The days on which calendars let a week begin.
const (
	FromMonday WeekBeginning = "monday"
	FromSunday WeekBeginning = "sunday"
)

func (w WeekBeginning) words() moistheat.Detail {
	switch w {
	case FromMonday:
		return lang.Say("week-monday: Monday")
	case FromSunday:
		return lang.Say("week-sunday: Sunday")
	}
	return lang.Data(string(w))
}

// Condition narrows a duty. The zero value means always.
type Condition string

// The conditions.
const (
	WhenDynamic       Condition = "dynamic air removal"                  // cycles with dynamic air removal are used
	WhenDynamicHollow Condition = "dynamic air removal, hollow items"    // such cycles carry hollow items
	WhenNoAirDetector Condition = "dynamic air removal, no air detector" // such cycles are used and the sterilizer has no air detector
	WhenAirDetector   Condition = "dynamic air removal, air detector"    // such cycles are used and the sterilizer has an air detector
)

// RecordKind is what a rule of retention is about. The zero value is invalid.
type RecordKind string

// The kinds of record.
const (
	AllRecords        RecordKind = "all"
	BiologicalRecords RecordKind = "biological tests"
	CycleRecords      RecordKind = "cycles"
	EquipmentRecords  RecordKind = "equipment"
	UseRecords        RecordKind = "uses of packs" // on which patient
)

// ChamberLoad is what was in the chamber during a test. The zero value means not
// recorded.
type ChamberLoad string

// The states of a chamber.
const (
	EmptyChamber ChamberLoad = "empty"
	FullChamber  ChamberLoad = "full"
	PartLoad     ChamberLoad = "part load"
)

// StoragePlace is where a pack is kept. The zero value means not recorded.
type StoragePlace string

// The places.
const (
	ProtectedPlace   StoragePlace = "protected"     // closed cupboard or drawer, or a room of that quality
	UnprotectedPlace StoragePlace = "unprotected"   // open shelf outside the clinical area
	ClinicalArea     StoragePlace = "clinical area" // open, where patients are treated
)

// EventKind is a kind of event. The zero value is invalid.
type EventKind = moistheat.Word[eventKinds]

// The kinds of event. The first six are tests.
const (
	BiologicalTestEvent       EventKind = iota + 1 // biological indicator in a run without a load
	AirRemovalEvent                                // an air removal test
	LeakEvent                                      // an air leakage test
	AutomaticControlTestEvent                      // an automatic control test
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
	ExplainedEvent    // the cause of a failed cycle was found, and the sterilizer is not at fault

	SealCheckEvent                // a seal of the day, inspected
	PeelEvent                     // a seal peeled open
	SoilEvent                     // cleaning of artificial soil
	ProteinEvent                  // residual protein on what was cleaned
	ActivityEvent                 // of an ultrasonic bath, by foil or soil
	BathChangeEvent               // fresh solution
	TemperatureCheckEvent         // of an incubator
	InspectionEvent               // spray arms, strainers, door seal and doses of a washer-disinfector inspected
	GasketEvent                   // a door gasket looked after
	FilterEvent                   // an air filter changed
	ServiceEvent                  // by the manufacturer's schedule
	PressureVesselEvent           // examined by a competent person, by a written scheme
	InstallationQualifiedEvent    // installed as specified
	OperationalQualifiedEvent     // works as specified, without a load
	PerformanceQualificationEvent // sterilizes the loads of the facility
)

type eventKinds struct{}

func (eventKinds) Words() string {
	return "biological|air removal|leak|automatic control|requalification|calibration|patients|out of use|" +
		"returned|repaired|upkeep|installed|wrong setting|retired|discarded|explained|" +
		"seal check|peel|soil|protein|activity|bath change|temperature check|inspection|gasket|filter|service|" +
		"pressure vessel|installation qualification|operational qualification|performance qualification"
}

// IsTest reports whether an event of the kind is a test of a sterilizer that loads rest on.
func IsTest(k EventKind) bool { return k >= BiologicalTestEvent && k <= CalibrationEvent }

// Start returns the beginning of an instant's week, at midnight.
func (w WeekBeginning) Start(t time.Time) time.Time {
	y, m, d := t.Date()
	back := int(t.Weekday())
	if w == FromMonday {
		back = (back + 6) % 7
	}
	return time.Date(y, m, d-back, 0, 0, 0, 0, t.Location())
}

// Of returns the first day of a day's week.
func (w WeekBeginning) Of(d moistheat.Date) moistheat.Date {
	if !d.IsValid() {
		return moistheat.Date{}
	}
	return moistheat.DateOf(w.Start(d.Time()))
}
