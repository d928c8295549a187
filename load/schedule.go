package load

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

// Schedule returns the tests that the policy asks for again and again.
func (p *Policy) Schedule() []calendar.Duty {
	return slices.DeleteFunc(slices.Clone(cmp.Or(p, &noPolicy).doc.Schedule), ofUpkeep)
}

// Upkeep returns the duties of a policy that are of other machines than sterilizers, or of
// the upkeep of sterilizers: no release waits for them, but for what their lapse asks.
func (p *Policy) Upkeep() []calendar.Duty {
	return slices.DeleteFunc(slices.Clone(cmp.Or(p, &noPolicy).doc.Schedule),
		func(d calendar.Duty) bool { return !ofUpkeep(d) })
}

func ofUpkeep(d calendar.Duty) bool { return d.Device != "" || calendar.IsUpkeep(d.Test) }

// Retention returns how long the policy keeps records.
func (p *Policy) Retention() []calendar.Retention {
	return slices.Clone(cmp.Or(p, &noPolicy).doc.Retention)
}

// Positive returns the policy's procedure after a positive biological test, and
// whether it has one.
func (p *Policy) Positive() (calendar.PositiveTestPolicy, bool) {
	if p == nil || p.doc.Positive == nil {
		return calendar.PositiveTestPolicy{}, false
	}
	out := *p.doc.Positive
	out.Sources = slices.Clone(out.Sources)
	return out, true
}

// Returns says what ends a time out of service, beside the tests of [Policy.Positive].
func (p *Policy) Returns() []calendar.Return { return slices.Clone(cmp.Or(p, &noPolicy).doc.Returns) }

// ShelfLife returns the policy's limits for stored packs. None means that only
// events end the life of a pack.
func (p *Policy) ShelfLife() []calendar.ShelfLife {
	return slices.Clone(cmp.Or(p, &noPolicy).doc.ShelfLife)
}

// Climate returns what the policy asks of a sterile store, and whether it asks.
func (p *Policy) Climate() (calendar.Climate, bool) {
	if p == nil || p.doc.Climate == nil {
		return calendar.Climate{}, false
	}
	return *p.doc.Climate, true
}

// many is the largest number of tests that a policy may ask for in a row.
const many = 20

// calendar checks the members about time.
func (d *policyDoc) calendar() error {
	within := func(n, least, most int) bool { return least <= n && n <= most }
	for i, s := range d.Schedule {
		if at, problem := misfit(s); problem != "" {
			return strictjson.Invalid(fmt.Sprintf("/schedule/%d/%s", i, at), "%s", problem)
		}
	}
	for i, r := range d.Returns {
		if !within(r.Tests, 0, many) || r.Tests > 0 && r.After != calendar.FailedTest || r.After == calendar.TakenOut {
			return strictjson.Invalid(fmt.Sprintf("/returns/%d", i),
				"tests belong to a failed test, to %d, and what a person took out a person returns", many)
		}
	}
	for i, k := range d.Retention {
		given := count(k.Keep.IsValid(), k.CalendarYears != 0, k.AfterEquipment.IsValid())
		if given != 1 || !within(k.CalendarYears, 0, 200) {
			return strictjson.Invalid(fmt.Sprintf("/retention/%d", i),
				"want one of keep, calendarYears (1 to 200) and afterEquipment")
		}
	}
	if p := d.Positive; p != nil && !(p.Repeats >= 1 && within(p.AfterRepair, p.Repeats, many) &&
		within(p.AirRemovalTests, 0, many) && within(p.OutOfServiceAfter, 1, 2) && within(p.RecallAfter, 1, 2)) {
		return strictjson.Invalid("/positive", "want repeats from 1, afterRepair from repeats to %[1]d, "+
			"airRemovalTests to %[1]d, outOfServiceAfter and recallAfter of 1 or 2", many)
	}
	return nil
}

// count returns how many are true.
func count(all ...bool) (n int) {
	for _, b := range all {
		if b {
			n++
		}
	}
	return n
}

// misfit names the member of a duty that does not go with the others, and says why; the
// problem is "" where all do.
func misfit(s calendar.Duty) (member, problem string) {
	byUse := s.Cadence == calendar.ByHoursOfUse
	switch {
	case !calendar.IsTest(s.Test) && !calendar.IsUpkeep(s.Test):
		return "test", s.Test.String() + " is not a test"
	case calendar.DeviceOf(s.Test) != "" && s.Device != calendar.DeviceOf(s.Test):
		return "device", "the test is one of a " + string(calendar.DeviceOf(s.Test))
	case s.Lapse != "" && !ofUpkeep(s):
		return "lapse", "it belongs to duties of devices and of upkeep; a release waits for the tests of a sterilizer"
	case ofUpkeep(s) && (byUse || s.PerCycleKind != moistheat.NotRecorded || s.EvenIfIdle != moistheat.NotRecorded ||
		s.When != "" || s.Cadence == calendar.ByCalendarWeekWithPatients):
		return "cadence", "hours of use, kinds of cycle, patients and conditions are for the tests of sterilizers"
	case s.Cadence != calendar.ByManufacturer && (s.Cadence == calendar.ByInterval || byUse) != s.Every.IsValid():
		return "every",
			"a period belongs to the cadences interval, hours of use and manufacturer's schedule, and is needed for the first two"
	case s.Exposure.Value.IsValid() &&
		(s.Test != calendar.AirRemovalEvent || s.Exposure.Value.Float64(units.Second) <= 0):
		return "exposure", "want more than nothing, of an air removal test"
	case byUse != s.HoursOfUse.IsValid():
		return "hoursOfUse", "a time of use belongs to the cadence hours of use, and only there"
	case s.HoursOfUse.IsValid() && s.HoursOfUse.Float64(units.Second) <= 0:
		return "hoursOfUse", "want more than nothing"
	case s.Weekly() != (s.Week.Begins != ""):
		return "week", "the day on which a week begins belongs to the cadences by calendar week, and only there"
	}
	return "", ""
}

// inheritCalendar takes over what the base says about time. A built-in policy's own
// lines replace those of its base about the same thing; a facility's come on top,
// unless it records a decision.
func (d *policyDoc) inheritCalendar(b *policyDoc, builtIn bool, undecided func(pointer, what string) error) error {
	replace := builtIn || d.Decision != nil
	d.Schedule = merge(d.Schedule, b.Schedule, replace, func(x, y calendar.Duty) bool {
		return x.Test == y.Test && x.Device == y.Device
	})
	d.Returns = merge(d.Returns, b.Returns, replace, func(x, y calendar.Return) bool { return x.After == y.After })
	d.Retention = merge(d.Retention, b.Retention, replace, func(x, y calendar.Retention) bool { return x.Records == y.Records })
	d.ShelfLife = merge(d.ShelfLife, b.ShelfLife, replace, func(x, y calendar.ShelfLife) bool { return true })
	if d.Climate == nil {
		d.Climate = b.Climate
	} else if b.Climate != nil && !builtIn && widerClimate(d.Climate, b.Climate) {
		if err := undecided("/climate", "is wider than that of "+b.Name); err != nil {
			return err
		}
	}
	if d.Positive == nil {
		d.Positive = b.Positive
	} else if b.Positive != nil && !builtIn && asksLess(d.Positive, b.Positive) {
		return undecided("/positive", "asks less than "+b.Name)
	}
	return nil
}

// asksLess reports whether a procedure after a positive test asks less than another.
func asksLess(own, base *calendar.PositiveTestPolicy) bool {
	return own.Repeats < base.Repeats || own.AfterRepair < base.AfterRepair ||
		own.AirRemovalTests < base.AirRemovalTests ||
		own.OutOfServiceAfter > base.OutOfServiceAfter || own.RecallAfter > base.RecallAfter ||
		base.PerCycleKind == moistheat.Yes && own.PerCycleKind != moistheat.Yes ||
		base.Chamber != "" && own.Chamber != base.Chamber
}

// widerClimate reports whether a climate leaves more room than another.
func widerClimate(own, base *calendar.Climate) bool {
	return wider(own.Low, base.Low, -1) || wider(own.High, base.High, 1) ||
		wider(own.Dry, base.Dry, -1) || wider(own.Damp, base.Damp, 1) ||
		base.Keep.IsValid() && (!own.Keep.IsValid() || base.Keep.Compare(own.Keep) < 0)
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
func (p *Policy) KeepUntil(kind calendar.RecordKind, made, retired moistheat.Date) (moistheat.Date, calendar.Retention, bool) {
	var last moistheat.Date
	var by calendar.Retention
	found, forever := false, false
	for _, k := range cmp.Or(p, &noPolicy).doc.Retention {
		if k.Records != kind && k.Records != calendar.AllRecords {
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
				until = k.AfterEquipment.AfterDate(retired)
			}
		default:
			until = k.Keep.AfterDate(made)
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
