package history

import (
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load/calendar"
	"github.com/stretchr/testify/assert"
)

// Stored packs are judged on the day that is asked, used ones on the day of use.
func TestRuleDatesInStore(t *testing.T) {
	p := facility(t, "us-cdc-2003", `{"id":"load.storage.place","from":"2026-04-01","until":"2026-05-01",`+decided+`}`)
	for _, tt := range []struct {
		on, used moistheat.Date
		want     moistheat.Outcome
	}{
		{day(2026, 3, 31), moistheat.Date{}, notInForce},
		{day(2026, 4, 1), moistheat.Date{}, broken},
		{day(2026, 4, 30), moistheat.Date{}, broken},
		{day(2026, 5, 1), moistheat.Date{}, notInForce},
		{moistheat.Date{}, moistheat.Date{}, broken},
		{day(2026, 5, 1), day(2026, 4, 30), broken},
	} {
		s := kept()
		s.AtSink = yes
		if tt.used.IsValid() {
			s.Use = &Use{Time: local(tt.used.String() + " 09:00"), IndicatorRead: yes}
		}
		worst := moistheat.Outcome(0)
		for _, f := range CheckStored(s, p, tt.on) {
			if f.Rule == "load.storage.place" {
				worst = max(worst, f.Outcome)
			}
		}
		assert.Equal(t, tt.want, worst, "%s, used %s", tt.on, tt.used)
	}
}

// In a history each load counts by its own day, whatever day is asked.
func TestRuleDatesInHistory(t *testing.T) {
	for _, tt := range []struct {
		dates string
		want  moistheat.Outcome
	}{
		{`"from":"2026-03-10"`, broken},
		{`"from":"2026-03-11"`, notInForce},
		{`"until":"2026-03-11"`, broken},
		{`"until":"2026-03-10"`, notInForce},
	} {
		h := New(facility(t, "us-cdc-2003", `{"id":"load.history.overlap",`+tt.dates+`,`+decided+`}`))
		put(h, ran("1", "2026-03-10 09:00"))
		put(h, ran("2", "2026-03-10 09:30"))
		got := moistheat.Outcome(0)
		for _, f := range h.Findings(local("2026-04-01 09:00")) {
			if f.Rule == "load.history.overlap" {
				got = max(got, f.Outcome)
			}
		}
		assert.Equal(t, tt.want, got, tt.dates)
	}
}

// Two events that share an id are judged by the policy as it stands, as one id has
// then no day of its own.
func TestDaysOfOneId(t *testing.T) {
	days := func(second string) moistheat.Date {
		named := func(e *Event) { e.ID = "e" }
		h := history(t, "us-cdc-2003", event(calendar.LeakEvent, "2026-03-09 08:00", passed(yes), named), event(calendar.LeakEvent, second, passed(yes), named))
		return h.days()["/events/e"]
	}
	assert.Equal(t, day(2026, 3, 9), days("2026-03-09 09:00"))
	assert.Equal(t, moistheat.Date{}, days("2026-03-10 09:00"))
}

// A time that no clock reaches comes to the same instant on every platform.
func TestTimesBeyondReach(t *testing.T) {
	at := local("2026-03-09 09:00")
	most := time.Duration(1<<63-1) / time.Second * time.Second
	assert.Equal(t, most, seconds(duration("1e17 s")))
	assert.Equal(t, -most, seconds(duration("-1e17 s")))
	assert.Equal(t, most, seconds(duration("9.3e9 s")))
	assert.Equal(t, 9_200_000_000*time.Second, seconds(duration("9.2e9 s")))
	assert.Equal(t, 2318, after(at, duration("1e17 s")).Year())
	assert.Equal(t, 9999, after(at.AddDate(7900, 0, 0), duration("1e17 s")).Year())
	assert.True(t, after(time.Time{}, duration("1 h")).IsZero(), "what is not known stays so")
}
