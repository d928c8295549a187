package load

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// Duty is one line of a policy's schedule: a test that comes again and again.
type Duty struct {
	Test    EventKind `json:"test"`
	Cadence Cadence   `json:"cadence"`
	// Every is the longest time between two tests; needed for the cadences interval
	// and hours of use.
	Every Period `json:"every,omitzero"`
	// Use is the longest time that the sterilizer runs between two tests; needed for
	// the cadence hours of use.
	Use units.Duration `json:"use,omitzero"`
	// EachKind asks for the test in every kind of cycle that is used.
	EachKind moistheat.Answer `json:"eachKind,omitzero"`
	// Idle asks for the test of a sterilizer that is not used, too.
	Idle moistheat.Answer `json:"idle,omitzero"`
	// Week says when a calendar week begins; needed for the cadences by calendar
	// week. A facility that is not sure which reading its authority takes adds a
	// line with the other: then the week must be kept by both.
	Week   Week             `json:"week,omitzero"`
	When   Condition        `json:"when,omitzero"` // absent: always
	Source moistheat.Source `json:"source"`
	Note   string           `json:"note,omitzero"`
}

// Week is a reading of "calendar week".
type Week struct {
	Begins WeekBeginning    `json:"begins"`
	Source moistheat.Source `json:"source"`
}

// String returns the duty in words, such as "biological every P7D".
func (d Duty) String() string {
	s := d.Test.String() + " test, "
	switch d.Cadence {
	case ByInterval:
		s += "at least every " + d.Every.Words()
	case ByHoursOfUse:
		s += "every " + d.Use.String() + " of use or " + d.Every.Words() + ", whichever is first"
	case ByMaker:
		s += "as the maker's schedule says"
	case ByCalendarWeek, ByCalendarWeekWithPatients:
		s += "each " + string(d.Cadence) + ", from " + capital(string(d.Week.Begins))
	default:
		s += "each " + string(d.Cadence)
	}
	if d.EachKind == moistheat.Yes {
		s += ", in every kind of cycle used"
	}
	if d.When != "" {
		s += " (" + string(d.When) + ")"
	}
	return s
}

// Keeping is one line of a policy's retention table. Exactly one of Keep,
// CalendarYears and AfterEquipment says how long.
type Keeping struct {
	Records RecordKind `json:"records"`
	Keep    Period     `json:"keep,omitzero"` // from the day of the record
	// CalendarYears keeps a record to the end of that many calendar years after the
	// year of the record.
	CalendarYears int `json:"calendarYears,omitzero"`
	// AfterEquipment keeps a record as long as the sterilizer and this long after.
	AfterEquipment Period           `json:"afterEquipment,omitzero"`
	Source         moistheat.Source `json:"source"`
}

// Positive is what a policy does after a positive biological test.
type Positive struct {
	// Repeats is the number of good repeat tests, one after the other, that return
	// the sterilizer to use.
	Repeats int `json:"repeats"`
	// OutAt is the positive test that takes the sterilizer out of use: 1 or 2.
	OutAt int `json:"outAt"`
	// RecallAt is the positive test that recalls every load since the last good one,
	// while physical records and chemical indicators are good: 1 or 2. Implants are
	// recalled after the first in every policy.
	RecallAt int `json:"recallAt"`
	// AfterRepair is the number of good tests, one after the other, that a repaired
	// sterilizer needs, no fewer than Repeats.
	AfterRepair int `json:"afterRepair"`
	// AirRemovalTests is the number of good air removal tests, one after the other,
	// that a repaired sterilizer with dynamic air removal needs beside them.
	AirRemovalTests int                `json:"airRemovalTests,omitzero"`
	Chamber         Filling            `json:"chamber,omitzero"` // during the tests after a repair
	Sources         []moistheat.Source `json:"sources"`
	Note            string             `json:"note,omitzero"`
}

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
	Source    moistheat.Source `json:"source"`
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

// Schedule returns the tests that the policy asks for again and again.
func (p *Policy) Schedule() []Duty { return slices.Clone(cmp.Or(p, &noPolicy).doc.Schedule) }

// Retention returns how long the policy keeps records.
func (p *Policy) Retention() []Keeping { return slices.Clone(cmp.Or(p, &noPolicy).doc.Retention) }

// Positive returns the policy's procedure after a positive biological test, and
// whether it has one.
func (p *Policy) Positive() (Positive, bool) {
	if p == nil || p.doc.Positive == nil {
		return Positive{}, false
	}
	out := *p.doc.Positive
	out.Sources = slices.Clone(out.Sources)
	return out, true
}

// ShelfLife returns the policy's limits for stored packs. None means that only
// events end the life of a pack.
func (p *Policy) ShelfLife() []ShelfLife { return slices.Clone(cmp.Or(p, &noPolicy).doc.ShelfLife) }

// Climate returns what the policy asks of a sterile store, and whether it asks.
func (p *Policy) Climate() (Climate, bool) {
	if p == nil || p.doc.Climate == nil {
		return Climate{}, false
	}
	return *p.doc.Climate, true
}

// calendar checks the members about time.
func (d *policyDoc) calendar() error {
	for i, s := range d.Schedule {
		at := fmt.Sprintf("/schedule/%d", i)
		switch {
		case !s.Test.isTest():
			return strictjson.Invalid(at+"/test", "%s is not a test", s.Test)
		case (s.Cadence == ByInterval || s.Cadence == ByHoursOfUse) != s.Every.IsValid():
			return strictjson.Invalid(at+"/every",
				"a period belongs to the cadences interval and hours of use, and only there")
		case (s.Cadence == ByHoursOfUse) != s.Use.IsValid():
			return strictjson.Invalid(at+"/use", "a time of use belongs to the cadence hours of use, and only there")
		case s.Use.IsValid() && s.Use.Float64(units.Second) <= 0:
			return strictjson.Invalid(at+"/use", "want more than nothing")
		case s.weekly() != (s.Week.Begins != ""):
			return strictjson.Invalid(at+"/week", "the day on which a week begins belongs to the cadences by calendar week, and only there")
		}
	}
	for i, k := range d.Retention {
		n := 0
		for _, given := range []bool{k.Keep.IsValid(), k.CalendarYears != 0, k.AfterEquipment.IsValid()} {
			if given {
				n++
			}
		}
		if n != 1 || k.CalendarYears < 0 || k.CalendarYears > 200 {
			return strictjson.Invalid(fmt.Sprintf("/retention/%d", i),
				"want one of keep, calendarYears (1 to 200) and afterEquipment")
		}
	}
	if p := d.Positive; p != nil {
		const many = 20
		if p.Repeats < 1 || p.AfterRepair < p.Repeats || p.AfterRepair > many ||
			p.OutAt < 1 || p.OutAt > 2 || p.RecallAt < 1 || p.RecallAt > 2 || p.AirRemovalTests < 0 || p.AirRemovalTests > many {
			return strictjson.Invalid("/positive",
				"want repeats from 1, afterRepair from repeats to %[1]d, airRemovalTests to %[1]d, outAt and recallAt of 1 or 2", many)
		}
	}
	return nil
}

// inheritCalendar takes over what the base says about time. A built-in policy's own
// lines replace those of its base about the same thing; a facility's come on top,
// unless it records a decision.
func (d *policyDoc) inheritCalendar(b *policyDoc, builtIn bool, undecided func(pointer, what string) error) error {
	replace := builtIn || d.Decision != nil
	d.Schedule = merge(d.Schedule, b.Schedule, replace, func(x, y Duty) bool { return x.Test == y.Test })
	d.Retention = merge(d.Retention, b.Retention, replace, func(x, y Keeping) bool { return x.Records == y.Records })
	d.ShelfLife = merge(d.ShelfLife, b.ShelfLife, replace, func(x, y ShelfLife) bool { return true })
	if d.Climate == nil {
		d.Climate = b.Climate
	} else if c := b.Climate; c != nil && !builtIn {
		o := d.Climate
		if wider(o.Low, c.Low, -1) || wider(o.High, c.High, 1) || wider(o.Dry, c.Dry, -1) || wider(o.Damp, c.Damp, 1) ||
			c.Keep.IsValid() && (!o.Keep.IsValid() || c.Keep.days() < o.Keep.days()) {
			if err := undecided("/climate", "is wider than that of "+b.Name); err != nil {
				return err
			}
		}
	}
	if d.Positive == nil {
		d.Positive = b.Positive
	} else if p := b.Positive; p != nil && !builtIn {
		o := d.Positive
		if o.Repeats < p.Repeats || o.AfterRepair < p.AfterRepair || o.OutAt > p.OutAt || o.RecallAt > p.RecallAt ||
			o.AirRemovalTests < p.AirRemovalTests || p.Chamber != "" && o.Chamber != p.Chamber {
			return undecided("/positive", "asks less than "+b.Name)
		}
	}
	return nil
}

// wider reports whether a limit leaves more room than that of the base: it is missing
// where the base has one, or lies away from it, downwards (-1) or upwards (1).
func wider[U units.Unit](own, base units.Quantity[U], away int) bool {
	return base.IsValid() && (!own.IsValid() || own.Compare(base) == away)
}

func merge[T any](own, base []T, replace bool, same func(x, y T) bool) []T {
	out := slices.Clone(own)
	for _, b := range base {
		if !replace || !slices.ContainsFunc(own, func(o T) bool { return same(o, b) }) {
			out = append(out, b)
		}
	}
	return out
}

// KeepUntil returns the last day on which a record of this kind must still be
// there, and the line of the policy that says so. retired is the day on which the
// sterilizer was given up, or the zero Date while it stands; a rule that keeps
// records as long as the sterilizer then gives the zero Date and true. Without a
// line for the kind the result is false: the policy leaves it open.
func (p *Policy) KeepUntil(kind RecordKind, made, retired moistheat.Date) (moistheat.Date, Keeping, bool) {
	var last moistheat.Date
	var by Keeping
	found, forever := false, false
	for _, k := range cmp.Or(p, &noPolicy).doc.Retention {
		if k.Records != kind && k.Records != AllRecords {
			continue
		}
		var until moistheat.Date
		switch y, _, _ := made.Date(); {
		case !made.IsValid():
		case k.CalendarYears > 0:
			until = moistheat.NewDate(y+k.CalendarYears, time.December, 31)
		case k.AfterEquipment.IsValid():
			if !retired.IsValid() {
				forever, by = true, k
			} else {
				until = k.AfterEquipment.after(retired)
			}
		default:
			until = k.Keep.after(made)
		}
		if !found || !forever && until.Compare(last) > 0 {
			by = k
		}
		if until.Compare(last) > 0 {
			last = until
		}
		found = true
	}
	if forever {
		last = moistheat.Date{}
	}
	return last, by, found
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
	return Period{}, fmt.Errorf("load: %.20q is not a period such as P7D, P6M, P5Y or PT48H", s)
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
func (p Period) Words() string {
	switch p.unit {
	case 'H':
		return plural(int(p.n), "hour")
	case 'D':
		return plural(int(p.n), "day")
	case 'M':
		return plural(int(p.n), "month")
	case 'Y':
		return plural(int(p.n), "year")
	}
	return p.String()
}

// MarshalText is [Period.String].
func (p Period) MarshalText() ([]byte, error) {
	if !p.IsValid() {
		return nil, fmt.Errorf("load: an invalid period has no text form; leave the field out")
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

func (p Period) after(d moistheat.Date) moistheat.Date {
	if !d.IsValid() {
		return moistheat.Date{}
	}
	return moistheat.DateOf(p.After(d.Time()))
}

// days is for comparing periods; months and years count as their shortest.
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
	ByMaker                    Cadence = "maker's schedule"            // the sterilizer's instructions say
)

func (d Duty) weekly() bool {
	return d.Cadence == ByCalendarWeek || d.Cadence == ByCalendarWeekWithPatients
}

// WeekBeginning is the first day of a calendar week. The zero value is invalid.
type WeekBeginning string

// The days on which calendars let a week begin.
const (
	FromMonday WeekBeginning = "monday"
	FromSunday WeekBeginning = "sunday"
)

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
)

// Filling is what was in the chamber during a test. The zero value means not
// recorded.
type Filling string

// The states of a chamber.
const (
	EmptyChamber Filling = "empty"
	FullChamber  Filling = "full"
	PartLoad     Filling = "part load"
)

// StoragePlace is where a pack is kept. The zero value means not recorded.
type StoragePlace string

// The places.
const (
	ProtectedPlace   StoragePlace = "protected"     // closed cupboard or drawer, or a room of that quality
	UnprotectedPlace StoragePlace = "unprotected"   // open shelf outside the clinical area
	ClinicalArea     StoragePlace = "clinical area" // open, where patients are treated
)
