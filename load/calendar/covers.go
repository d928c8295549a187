package calendar

import (
	"time"

	"example.com/moistheat"
)

// Covers says whether a test that counts and was done at one instant is still in time for
// a load run at another, as far as the two instants show it; both are read on the calendar
// of the load's zone, which is the site's. It is what the check of one load and the
// calendar of a history both go by.
//
// An interval of days, months or years lasts until its last day ends, one of hours until
// the hour; a calendar week has until its end, so that a test of the week before is in
// time. The answer is not recorded where the time between decides and does not show: what
// ran since, on a duty by days or hours of use, whether earlier weeks asked for a test,
// and, from the next day on, the manufacturer's schedule.
func (d Duty) Covers(test, load time.Time) moistheat.Answer {
	if test.IsZero() || load.IsZero() || test.After(load) {
		return moistheat.NotRecorded
	}
	last, day := moistheat.DateOf(test.In(load.Location())), moistheat.DateOf(load)
	switch d.Cadence {
	case ByInterval, ByHoursOfUse:
		if !load.Before(d.Every.Deadline(test.In(load.Location()))) {
			return moistheat.No
		}
		if d.Cadence == ByInterval {
			return moistheat.Yes
		}
	case ByDayOfUse, ByManufacturer:
		if last == day {
			return moistheat.Yes
		}
	case ByCalendarWeek, ByCalendarWeekWithPatients:
		week := d.Week.Begins.Of(day)
		if last.Compare(week.AddDays(-7)) >= 0 {
			return moistheat.Yes
		}
	}
	return moistheat.NotRecorded
}
