package calendar_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

func period(t *testing.T, s string) calendar.Period {
	p, err := calendar.ParsePeriod(s)
	require.NoError(t, err)
	return p
}

// "At least weekly" (CDC 2003, F.6) is read by day: a test on the seventh day after the
// last is in time until that day ends (corrected reading, derived). Every answer is
// counted on a calendar by hand; 2 March 2026 is a Monday.
func TestCovers(t *testing.T) {
	const yes, no, unknown = moistheat.Yes, moistheat.No, moistheat.NotRecorded
	weekly := calendar.Duty{Cadence: calendar.ByInterval, Every: period(t, "P7D")}
	monthly := calendar.Duty{Cadence: calendar.ByInterval, Every: period(t, "P1M")}
	hours := calendar.Duty{Cadence: calendar.ByInterval, Every: period(t, "PT48H")}
	daily := calendar.Duty{Cadence: calendar.ByDayOfUse}
	week := calendar.Duty{Cadence: calendar.ByCalendarWeek, Week: calendar.Week{Begins: calendar.FromMonday}}
	sunday := calendar.Duty{Cadence: calendar.ByCalendarWeek, Week: calendar.Week{Begins: calendar.FromSunday}}
	use := calendar.Duty{Cadence: calendar.ByHoursOfUse, Every: period(t, "P30D"),
		HoursOfUse: units.MustParse[units.DurationUnit]("40 h")}
	manufacturer := calendar.Duty{Cadence: calendar.ByManufacturer}
	for _, tt := range []struct {
		name       string
		duty       calendar.Duty
		test, load string
		want       moistheat.Answer
	}{
		{"day 7, by the hour later", weekly, "2026-03-02T09:00:00+01:00", "2026-03-09T17:00:00+01:00", yes},
		{"day 7, its last second", weekly, "2026-03-02T00:00:00+01:00", "2026-03-09T23:59:59+01:00", yes},
		{"day 8, its first second", weekly, "2026-03-02T23:59:59+01:00", "2026-03-10T00:00:00+01:00", no},
		{"the test's day is that of the load's zone", weekly, "2026-03-01T23:30:00Z", "2026-03-09T12:00:00+01:00", yes},
		{"and in UTC it is day 8", weekly, "2026-03-01T23:30:00Z", "2026-03-09T11:00:00Z", no},
		{"over the change of summer time", weekly, "2026-03-27T08:00:00+01:00", "2026-04-03T23:59:59+02:00", yes},
		{"a month from 31 January is 28 February", monthly, "2026-01-31T08:00:00Z", "2026-02-28T20:00:00Z", yes},
		{"and not 1 March", monthly, "2026-01-31T08:00:00Z", "2026-03-01T00:00:00Z", no},
		{"48 hours end to the second", hours, "2026-03-02T09:00:00Z", "2026-03-04T09:00:00Z", yes},
		{"and not a second later", hours, "2026-03-02T09:00:00Z", "2026-03-04T09:00:01Z", no},
		{"the day itself", daily, "2026-03-02T00:00:00Z", "2026-03-02T23:59:59Z", yes},
		{"the day before", daily, "2026-03-01T23:59:59Z", "2026-03-02T00:00:00Z", unknown},
		{"this week", week, "2026-03-02T00:00:00Z", "2026-03-08T23:59:59Z", yes},
		{"last week, this one is not over", week, "2026-03-02T09:00:00Z", "2026-03-15T23:59:59Z", yes},
		{"the week before last", week, "2026-03-01T23:59:59Z", "2026-03-09T00:00:00Z", unknown},
		{"a week from Sunday", sunday, "2026-03-01T00:00:00Z", "2026-03-14T23:59:59Z", yes},
		{"the hours decide", use, "2026-03-02T09:00:00Z", "2026-04-01T23:59:59Z", unknown},
		{"the days are over", use, "2026-03-02T09:00:00Z", "2026-04-02T00:00:00Z", no},
		{"the manufacturer's, on the day", manufacturer, "2026-03-02T09:00:00Z", "2026-03-02T10:00:00Z", yes},
		{"the manufacturer's, a day later", manufacturer, "2026-03-01T23:59:59Z", "2026-03-02T10:00:00Z", unknown},
		{"a test after the load", weekly, "2026-03-02T09:00:01Z", "2026-03-02T09:00:00Z", unknown},
	} {
		at, err := time.Parse(time.RFC3339, tt.test)
		require.NoError(t, err)
		ran, err := time.Parse(time.RFC3339, tt.load)
		require.NoError(t, err)
		assert.Equal(t, tt.want, tt.duty.Covers(at, ran), tt.name)
	}
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	assert.Equal(t, unknown, weekly.Covers(time.Time{}, now), "no test")
	assert.Equal(t, unknown, weekly.Covers(now, time.Time{}), "no load")
	assert.Equal(t, unknown, calendar.Duty{}.Covers(now, now), "the zero duty")
}
