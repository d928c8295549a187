package vocabulary

import (
	"testing"
	"time"

	"example.com/moistheat"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func date(s string) moistheat.Date {
	d, err := moistheat.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func TestParseDate(t *testing.T) {
	for _, s := range []string{"2026-03-09", "0001-01-01", "9999-12-31", "2024-02-29", "2000-02-29"} {
		d, err := moistheat.ParseDate(s)
		require.NoError(t, err)
		assert.Equal(t, s, d.String())
		assert.True(t, d.IsValid())
	}
	for _, s := range []string{
		"", "2026-3-9", "2026-03-9", "26-03-09", "2026/03/09", "2026-03-09 ", " 2026-03-09", "2026-13-01", "2026-00-01",
		"2026-04-31", "2026-02-29", "1900-02-29", "0000-01-01", "2026-03-00", "2026-03-09T00:00:00Z", "+026-03-09", "２０２６-03-09",
	} {
		d, err := moistheat.ParseDate(s)
		assert.Error(t, err, s)
		assert.False(t, d.IsValid(), s)
	}
}

func TestDateCompare(t *testing.T) {
	order := []moistheat.Date{{}, date("2025-12-31"), date("2026-01-01"), date("2026-01-31"), date("2026-02-01")}
	for i, a := range order {
		for j, b := range order {
			switch {
			case i < j:
				assert.Equal(t, -1, a.Compare(b))
			case i > j:
				assert.Equal(t, 1, a.Compare(b))
			default:
				assert.Equal(t, 0, a.Compare(b))
			}
		}
	}
}

func TestDateOf(t *testing.T) {
	late := time.Date(2026, 3, 9, 23, 30, 0, 0, time.FixedZone("", -8*3600))
	assert.Equal(t, date("2026-03-09"), moistheat.DateOf(late), "the day on the clinic's own calendar")
	assert.Equal(t, moistheat.Date{}, moistheat.DateOf(time.Time{}))
	year, month, day := date("2026-03-09").Date()
	assert.Equal(t, []int{2026, 3, 9}, []int{year, int(month), day})
	_, err := moistheat.Date{}.MarshalText()
	assert.Error(t, err)
	assert.True(t, moistheat.Date{}.IsZero())
}

func TestDateWithin(t *testing.T) {
	from, until, open := date("2026-03-09"), date("2026-03-12"), moistheat.Date{}
	for _, tt := range []struct {
		on, from, until moistheat.Date
		want            bool
	}{
		{date("2026-03-08"), from, until, false},
		{date("2026-03-09"), from, until, true},
		{date("2026-03-11"), from, until, true},
		{date("2026-03-12"), from, until, false},
		{date("0001-01-01"), open, until, true},
		{date("9999-12-31"), from, open, true},
		{date("2026-03-12"), open, open, true},
		{open, from, until, true},
	} {
		assert.Equal(t, tt.want, tt.on.Within(tt.from, tt.until), "%s in [%s, %s)", tt.on, tt.from, tt.until)
	}
}

// Days and months later, by hand; a shorter month ends on its last day.
func TestDateAdd(t *testing.T) {
	for _, tt := range []struct {
		from         string
		months, days int
		want         string
	}{
		{"2026-03-09", 1, 0, "2026-04-09"}, {"2026-01-31", 1, 0, "2026-02-28"}, {"2024-01-31", 1, 0, "2024-02-29"},
		{"2026-12-15", 1, 0, "2027-01-15"}, {"2026-01-15", -1, 0, "2025-12-15"}, {"2026-03-31", 18, 0, "2027-09-30"},
		{"2026-02-28", 0, 1, "2026-03-01"}, {"2024-02-28", 0, 1, "2024-02-29"}, {"2026-01-01", 0, -1, "2025-12-31"},
		{"2026-03-09", 0, 365, "2027-03-09"}, {"2026-03-09", 0, 0, "2026-03-09"},
		{"9999-12-31", 0, 1, "invalid date"}, {"9999-12-31", 1, 0, "invalid date"}, {"0001-01-01", 0, -1, "invalid date"},
	} {
		assert.Equal(t, tt.want, date(tt.from).AddMonths(tt.months).AddDays(tt.days).String(), tt.from)
	}
	assert.False(t, moistheat.Date{}.AddDays(1).IsValid())
	assert.False(t, moistheat.Date{}.AddMonths(1).IsValid())
	assert.True(t, moistheat.Date{}.Time().IsZero())
	assert.Equal(t, time.Date(2026, 3, 9, 0, 0, 0, 0, time.UTC), date("2026-03-09").Time())
}

// A text is a date exactly when the standard library reads it as one.
func FuzzParseDate(f *testing.F) {
	for _, s := range []string{"2026-03-09", "2026-02-29", "2024-02-29", "0000-01-01", "2026-3-09", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := moistheat.ParseDate(s)
		want, stdErr := time.Parse(time.DateOnly, s)
		if (err == nil) != (stdErr == nil && want.Year() > 0) {
			t.Fatalf("%q: %v, the standard library: %v", s, err, stdErr)
		}
		if err == nil && (d.String() != s || moistheat.NewDate(want.Date()) != d) {
			t.Fatalf("%q read as %s", s, d)
		}
	})
}
