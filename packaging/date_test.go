package packaging_test

import (
	"testing"
	"time"

	"example.com/moistheat/packaging"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func date(s string) packaging.Date {
	d, err := packaging.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func TestParseDate(t *testing.T) {
	for _, s := range []string{"2026-03-09", "0001-01-01", "9999-12-31", "2024-02-29", "2000-02-29"} {
		d, err := packaging.ParseDate(s)
		require.NoError(t, err)
		assert.Equal(t, s, d.String())
		assert.True(t, d.IsValid())
	}
	for _, s := range []string{
		"", "2026-3-9", "2026-03-9", "26-03-09", "2026/03/09", "2026-03-09 ", " 2026-03-09", "2026-13-01", "2026-00-01",
		"2026-04-31", "2026-02-29", "1900-02-29", "0000-01-01", "2026-03-00", "2026-03-09T00:00:00Z", "+026-03-09", "２０２６-03-09",
	} {
		d, err := packaging.ParseDate(s)
		assert.Error(t, err, s)
		assert.False(t, d.IsValid(), s)
	}
}

func TestDateCompare(t *testing.T) {
	order := []packaging.Date{{}, date("2025-12-31"), date("2026-01-01"), date("2026-01-31"), date("2026-02-01")}
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
	assert.Equal(t, date("2026-03-09"), packaging.DateOf(late), "the day on the clinic's own calendar")
	assert.Equal(t, packaging.Date{}, packaging.DateOf(time.Time{}))
	year, month, day := date("2026-03-09").Date()
	assert.Equal(t, []int{2026, 3, 9}, []int{year, int(month), day})
	_, err := packaging.Date{}.MarshalText()
	assert.Error(t, err)
	assert.True(t, packaging.Date{}.IsZero())
}

func TestDateWithin(t *testing.T) {
	from, until, open := date("2026-03-09"), date("2026-03-12"), packaging.Date{}
	for _, tt := range []struct {
		on, from, until packaging.Date
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

// A text is a date exactly when the standard library reads it as one.
func FuzzParseDate(f *testing.F) {
	for _, s := range []string{"2026-03-09", "2026-02-29", "2024-02-29", "0000-01-01", "2026-3-09", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := packaging.ParseDate(s)
		want, stdErr := time.Parse(time.DateOnly, s)
		if (err == nil) != (stdErr == nil && want.Year() > 0) {
			t.Fatalf("%q: %v, the standard library: %v", s, err, stdErr)
		}
		if err == nil && (d.String() != s || packaging.NewDate(want.Date()) != d) {
			t.Fatalf("%q read as %s", s, d)
		}
	})
}
