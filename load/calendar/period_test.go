package calendar

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
)

func TestPeriod(t *testing.T) {
	for _, tt := range []struct{ text, from, want string }{
		{"PT48H", "2026-03-09 08:00", "2026-03-11 08:00"},
		{"P7D", "2026-02-25 08:00", "2026-03-04 08:00"},
		{"P1M", "2026-01-31 08:00", "2026-02-28 08:00"},
		{"P6M", "2025-08-31 08:00", "2026-02-28 08:00"},
		{"P1Y", "2028-02-29 08:00", "2029-02-28 08:00"},
		{"P5Y", "2026-03-09 08:00", "2031-03-09 08:00"},
	} {
		p, err := ParsePeriod(tt.text)
		require.NoError(t, err)
		assert.Equal(t, tt.text, p.String())
		assert.Equal(t, local(tt.want), p.After(local(tt.from)), tt.text)
	}
	for _, bad := range []string{"", "P", "PT", "7D", "P7", "P07D", "P0D", "P-1D", "P+1D", "P1W", "PT1M", "P1H", "P10000D", "P1Y2M", "p1y", "P1.5D", "P 1D"} {
		_, err := ParsePeriod(bad)
		assert.Error(t, err, "%q", bad)
	}
	_, err := Period{}.MarshalText()
	assert.Error(t, err)
	assert.Equal(t, "P9999D", mustPeriod("P9999D").String())
	assert.True(t, Period{}.IsZero())
	assert.False(t, mustPeriod("P1D").IsZero())
	assert.Equal(t, "7 days", mustPeriod("P7D").Words().String())
	assert.Equal(t, "1 year", mustPeriod("P1Y").Words().String())
}

// A period is compared by its length: a day is 24 hours, a month at least 28 days, a year
// 365 days.
func TestPeriodCompare(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want int
	}{
		{"PT24H", "P1D", 0}, {"PT25H", "P1D", 1}, {"PT23H", "P1D", -1}, {"PT48H", "P1D", 1},
		{"P28D", "P1M", 0}, {"P29D", "P1M", 1}, {"P365D", "P1Y", 0}, {"P12M", "P1Y", -1},
	} {
		assert.Equal(t, tt.want, mustPeriod(tt.a).Compare(mustPeriod(tt.b)), "%s %s", tt.a, tt.b)
	}
	assert.True(t, mustPeriod("P1D").OfDays())
	assert.True(t, mustPeriod("P1M").OfDays())
	assert.False(t, mustPeriod("PT24H").OfDays())
	assert.False(t, Period{}.OfDays())
}

func TestPeriodAfterDate(t *testing.T) {
	day := moistheat.NewDate(2026, time.March, 9)
	assert.Equal(t, moistheat.NewDate(2026, time.March, 16), mustPeriod("P7D").AfterDate(day))
	assert.False(t, mustPeriod("P7D").AfterDate(moistheat.Date{}).IsValid())
}

func TestPeriodUnmarshalText(t *testing.T) {
	p := mustPeriod("P1D")
	require.Error(t, p.UnmarshalText([]byte("7 days")))
	assert.Equal(t, "P1D", p.String(), "what does not read changes nothing")
	require.NoError(t, p.UnmarshalText([]byte("P7D")))
	assert.Equal(t, "P7D", p.String())
	assert.Error(t, (*Period)(nil).UnmarshalText([]byte("P7D")))
}

func TestIsTest(t *testing.T) {
	for k, want := range map[EventKind]bool{
		0: false, BiologicalTestEvent: true, AutomaticControlTestEvent: true, CalibrationEvent: true,
		CalibrationEvent + 1: false,
	} {
		assert.Equal(t, want, IsTest(k), k)
	}
}

func TestDutyWords(t *testing.T) {
	d := Duty{Test: BiologicalTestEvent, Cadence: ByInterval, Every: mustPeriod("P7D")}
	assert.Equal(t, "biological indicator test, at least every 7 days", d.String())
	assert.False(t, d.Weekly())
	d.PerCycleKind, d.When = moistheat.Yes, "implants"
	assert.Equal(t, "biological indicator test, at least every 7 days, in every kind of cycle used (implants)", d.String())
	d.PerCycleKind = moistheat.No
	assert.Equal(t, "biological indicator test, at least every 7 days (implants)", d.String())
	for cadence, want := range map[Cadence]bool{
		ByCalendarWeek: true, ByCalendarWeekWithPatients: true, ByDayOfUse: false, ByManufacturer: false,
	} {
		assert.Equal(t, want, Duty{Cadence: cadence}.Weekly(), cadence)
	}
}

func mustPeriod(s string) Period {
	p, err := ParsePeriod(s)
	if err != nil {
		panic(err)
	}
	return p
}

func FuzzPeriod(f *testing.F) {
	for _, s := range []string{"P7D", "PT48H", "P9999Y", "PT", "P0D"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := ParsePeriod(s)
		if err == nil && p.String() != s {
			t.Errorf("%q is read as %s", s, p)
		}
	})
}

func local(s string) time.Time {
	t, err := time.ParseInLocation("2006-01-02 15:04", s, time.FixedZone("CET", 3600))
	if err != nil {
		panic(err)
	}
	return t
}
