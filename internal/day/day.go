// Package day holds the days between which a published figure applies.
package day

import (
	"fmt"
	"time"
)

// Day is a day of the calendar, written YYYY-MM-DD. The zero Day is not stated.
type Day struct{ t time.Time }

// UnmarshalText reads exactly YYYY-MM-DD.
func (d *Day) UnmarshalText(text []byte) error {
	t, err := time.Parse(time.DateOnly, string(text))
	if err != nil || t.Year() < 1 {
		return fmt.Errorf("%.20q is not a date such as 2026-03-09", text)
	}
	d.t = t
	return nil
}

// Time returns midnight UTC of the day, or the zero Time.
func (d Day) Time() time.Time { return d.t }

// Ordered reports whether a first day and the first day after may stand together.
func Ordered(from, until Day) bool {
	return from.t.IsZero() || until.t.IsZero() || from.t.Before(until.t)
}

// Between reports whether the calendar day of an instant, in the instant's own
// zone, is from or later and before until. A day that is not stated is no bound.
func Between(from, until Day, on time.Time) bool {
	y, m, d := on.Date()
	on = time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	return !on.Before(from.t) && (until.t.IsZero() || on.Before(until.t))
}
