package packaging

import (
	"errors"
	"fmt"
	"time"
)

// Date is a day of the calendar, without a time or a zone: what labels and
// packages carry. Its zero value is invalid. Dates are comparable with ==.
type Date struct {
	year       int16
	month, day uint8
}

// NewDate returns the date, or the invalid zero Date if there is no such day in the
// years 1 to 9999.
func NewDate(year int, month time.Month, day int) Date {
	if year < 1 || year > 9999 || month < time.January || month > time.December ||
		day < 1 || day > daysIn(year, month) {
		return Date{}
	}
	return Date{int16(year), uint8(month), uint8(day)}
}

// DateOf returns the day of an instant on the calendar of its own zone. The zero
// Time gives the invalid zero Date.
func DateOf(t time.Time) Date {
	if t.IsZero() {
		return Date{}
	}
	return NewDate(t.Date())
}

func daysIn(year int, month time.Month) int {
	switch month {
	case time.April, time.June, time.September, time.November:
		return 30
	case time.February:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// ParseDate reads a date written as YYYY-MM-DD and nothing else.
func ParseDate(s string) (Date, error) {
	if len(s) == 10 && s[4] == '-' && s[7] == '-' {
		year, y := digits(s[:4])
		month, m := digits(s[5:7])
		day, d := digits(s[8:])
		if y && m && d {
			if date := NewDate(year, time.Month(month), day); date.IsValid() {
				return date, nil
			}
			return Date{}, fmt.Errorf("packaging: there is no day %s", s)
		}
	}
	return Date{}, fmt.Errorf("packaging: %.20q is not a date such as 2026-03-09", s)
}

func digits(s string) (n int, ok bool) {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return 0, false
		}
		n = n*10 + int(s[i]-'0')
	}
	return n, true
}

// IsValid reports whether d holds a day.
func (d Date) IsValid() bool { return d != Date{} }

// IsZero reports whether d is the invalid zero Date, for the omitzero option.
func (d Date) IsZero() bool { return d == Date{} }

// Date returns year, month and day, all 0 for an invalid Date.
func (d Date) Date() (year int, month time.Month, day int) {
	return int(d.year), time.Month(d.month), int(d.day)
}

// Compare returns -1, 0 or +1 as d is before, on or after e. An invalid Date is
// before every valid one.
func (d Date) Compare(e Date) int {
	a := int(d.year)<<16 | int(d.month)<<8 | int(d.day)
	b := int(e.year)<<16 | int(e.month)<<8 | int(e.day)
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// Within reports whether d is from or later and before until. An invalid end is no
// bound, and an invalid d, a day that nobody recorded, may be any day: it is within
// every interval.
func (d Date) Within(from, until Date) bool {
	return !d.IsValid() || d.Compare(from) >= 0 && (!until.IsValid() || d.Compare(until) < 0)
}

// months returns the date n calendar months later, in a shorter month its last day.
// It is invalid beyond the year 9999.
func (d Date) months(n int) Date {
	year, month, day := d.Date()
	n += int(month) - 1
	year, month = year+n/12, time.Month(n%12+1)
	return NewDate(year, month, min(day, daysIn(year, month)))
}

// String returns the date as YYYY-MM-DD.
func (d Date) String() string {
	if !d.IsValid() {
		return "invalid date"
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.year, d.month, d.day)
}

// MarshalText writes YYYY-MM-DD. An invalid Date has no text; use the omitzero
// option on fields.
func (d Date) MarshalText() ([]byte, error) {
	if !d.IsValid() {
		return nil, fmt.Errorf("packaging: an invalid date has no text form; leave the field out")
	}
	return []byte(d.String()), nil
}

// UnmarshalText is [ParseDate].
func (d *Date) UnmarshalText(text []byte) error {
	v, err := ParseDate(string(text))
	if d == nil {
		return errors.New("packaging: nothing to read into: the pointer is nil")
	}
	if err == nil {
		*d = v
	}
	return err
}
