package prose

import (
	"time"

	"github.com/shopspring/decimal"

	"example.com/moistheat/units"
)

// Measured returns a measured value as a person reads it beside its limit, which may be
// the invalid zero Value. Seconds beyond a minute are whole ones, unless that hid which of
// the two is greater: a value that fails its limit never reads like it. All digits are in
// the JSON of a report.
func Measured(v, limit units.Value) string {
	d, ok := units.Of[units.DurationUnit](v)
	long := limit.Code() == "h" || limit.Code() == "d"
	if !ok || v.Code() == "h" || v.Code() == "d" || v.Code() == "min" && !long ||
		d.Compare(units.New(1, 0, units.Minute)) < 0 {
		return v.String()
	}
	side, comparable := v.Compare(limit)
	for places := range 18 {
		short := d.Convert(units.Second, places, units.TiesToEven)
		if now, _ := short.Value().Compare(limit); short.IsValid() && (!comparable || now == side) {
			return clock(short, long)
		}
	}
	return v.String()
}

// clock writes a time of a minute or more, with hours if its limit has them.
func clock(d units.Duration, long bool) string {
	hours := d.Convert(units.Hour, 0, units.Down)
	if !long || hours.Decimal().IsZero() {
		return d.String()
	}
	rest := d.Decimal().Sub(hours.Decimal().Mul(decimal.NewFromInt(3600)))
	if rest.IsZero() {
		return hours.String()
	}
	return hours.String() + " " + units.New(rest.CoefficientInt64(), int(rest.Exponent()), units.Second).String()
}

// Day returns a day as a person reads it, such as "9 March 2026".
func Day(t time.Time) string { return t.Format("2 January 2006") }

// Test returns what a test of a kind is called, of biological ones by the indicator.
func Test(kind string) string {
	switch kind {
	case "biological":
		return "biological indicator test"
	case "air removal", "leak", "automatic control", "peel", "soil", "protein", "activity", "pressure vessel":
		return kind + " test"
	}
	return kind
}

// Passed returns what a test of a kind is called that shows no fault.
func Passed(kind string) string {
	if kind == "biological" {
		return "negative " + Test(kind)
	}
	return "passed " + Test(kind)
}
