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
func (p *Policy) Schedule() []calendar.Duty { return slices.Clone(cmp.Or(p, &noPolicy).doc.Schedule) }

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
	for i, s := range d.Schedule {
		at := fmt.Sprintf("/schedule/%d", i)
		switch {
		case !calendar.IsTest(s.Test):
			return strictjson.Invalid(at+"/test", "%s is not a test", s.Test)
		case s.Cadence != calendar.ByMaker &&
			(s.Cadence == calendar.ByInterval || s.Cadence == calendar.ByHoursOfUse) != s.Every.IsValid():
			return strictjson.Invalid(at+"/every",
				"a period belongs to the cadences interval, hours of use and maker's schedule, and is needed for the first two")
		case (s.Cadence == calendar.ByHoursOfUse) != s.HoursOfUse.IsValid():
			return strictjson.Invalid(at+"/hoursOfUse", "a time of use belongs to the cadence hours of use, and only there")
		case s.Exposure.Value.IsValid() &&
			(s.Test != calendar.AirRemovalEvent || s.Exposure.Value.Float64(units.Second) <= 0):
			return strictjson.Invalid(at+"/exposure", "want more than nothing, of an air removal test")
		case s.HoursOfUse.IsValid() && s.HoursOfUse.Float64(units.Second) <= 0:
			return strictjson.Invalid(at+"/hoursOfUse", "want more than nothing")
		case s.Weekly() != (s.Week.Begins != ""):
			return strictjson.Invalid(at+"/week", "the day on which a week begins belongs to the cadences by calendar week, and only there")
		}
	}
	for i, r := range d.Returns {
		if r.Tests < 0 || r.Tests > many || r.Tests > 0 && r.After != calendar.FailedTest ||
			r.After == calendar.TakenOut {
			return strictjson.Invalid(fmt.Sprintf("/returns/%d", i),
				"tests belong to a failed test, to %d, and what a person took out a person returns", many)
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
		if p.Repeats < 1 || p.AfterRepair < p.Repeats || p.AfterRepair > many ||
			p.OutOfServiceAfter < 1 || p.OutOfServiceAfter > 2 || p.RecallAfter < 1 || p.RecallAfter > 2 || p.AirRemovalTests < 0 || p.AirRemovalTests > many {
			return strictjson.Invalid("/positive",
				"want repeats from 1, afterRepair from repeats to %[1]d, airRemovalTests to %[1]d, outOfServiceAfter and recallAfter of 1 or 2", many)
		}
	}
	return nil
}

// inheritCalendar takes over what the base says about time. A built-in policy's own
// lines replace those of its base about the same thing; a facility's come on top,
// unless it records a decision.
func (d *policyDoc) inheritCalendar(b *policyDoc, builtIn bool, undecided func(pointer, what string) error) error {
	replace := builtIn || d.Decision != nil
	d.Schedule = merge(d.Schedule, b.Schedule, replace, func(x, y calendar.Duty) bool { return x.Test == y.Test })
	d.Returns = merge(d.Returns, b.Returns, replace, func(x, y calendar.Return) bool { return x.After == y.After })
	d.Retention = merge(d.Retention, b.Retention, replace, func(x, y calendar.Retention) bool { return x.Records == y.Records })
	d.ShelfLife = merge(d.ShelfLife, b.ShelfLife, replace, func(x, y calendar.ShelfLife) bool { return true })
	if d.Climate == nil {
		d.Climate = b.Climate
	} else if c := b.Climate; c != nil && !builtIn {
		o := d.Climate
		if wider(o.Low, c.Low, -1) || wider(o.High, c.High, 1) || wider(o.Dry, c.Dry, -1) || wider(o.Damp, c.Damp, 1) ||
			c.Keep.IsValid() && (!o.Keep.IsValid() || c.Keep.Compare(o.Keep) < 0) {
			if err := undecided("/climate", "is wider than that of "+b.Name); err != nil {
				return err
			}
		}
	}
	if d.Positive == nil {
		d.Positive = b.Positive
	} else if p := b.Positive; p != nil && !builtIn {
		o := d.Positive
		if o.Repeats < p.Repeats || o.AfterRepair < p.AfterRepair || o.OutOfServiceAfter > p.OutOfServiceAfter || o.RecallAfter > p.RecallAfter ||
			o.AirRemovalTests < p.AirRemovalTests || p.PerCycleKind == moistheat.Yes && o.PerCycleKind != moistheat.Yes || p.Chamber != "" && o.Chamber != p.Chamber {
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
