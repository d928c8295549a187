package load

import (
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Which way the film of a pouch looks is asked of one that lies, by what is above it, and of
// one on edge, by its neighbour, where it has one: every combination.
func TestFilmOfEveryPlacement(t *testing.T) {
	for _, barrier := range []packaging.Barrier{packaging.PaperFilmPouch, packaging.WrapSheet} {
		for _, pos := range []Position{"", Flat, OnEdge} {
			for _, side := range []FilmSide{"", FilmUp, FilmDown, FilmToPaper, FilmToFilm} {
				for packs := 1; packs <= 2; packs++ {
					lies, stands := moistheat.NotApplicable, moistheat.NotApplicable
					contradiction := pos == Flat && (side == FilmToPaper || side == FilmToFilm) ||
						pos == OnEdge && (side == FilmUp || side == FilmDown)
					judge := func(good, bad FilmSide) moistheat.Outcome {
						return map[FilmSide]moistheat.Outcome{good: met, bad: broken}[side]
					}
					switch {
					case barrier == packaging.WrapSheet:
					case pos == "":
						lies = undetermined
					case pos == Flat:
						if lies = judge(FilmUp, FilmDown); lies == 0 {
							lies = undetermined
						}
					case packs > 1:
						if stands = judge(FilmToPaper, FilmToFilm); stands == 0 {
							stands = undetermined
						}
					}
					c := &checker{List: book.List(nil), r: &Record{Packs: make([]Pack, packs)}}
					p := &Pack{Pack: packaging.Pack{Barrier: barrier}, Placement: Placement{Position: pos, FilmSide: side}}
					c.film(p, "/placement")
					name := string(barrier) + ", " + string(pos) + ", " + string(side)
					for i, want := range []moistheat.Outcome{lies, stands} {
						f := c.Findings[i]
						assert.Equal(t, want, f.Outcome, "%s, %s, %d packs", f.Rule, name, packs)
						if f.Outcome != undetermined {
							continue
						}
						assert.Equal(t, contradiction, f.Reason == moistheat.Contradictory, "%s, %s", f.Rule, name)
						assert.Equal(t, contradiction, f.Param("open") == "The record contradicts itself about", "%s, %s", f.Rule, name)
					}
				}
			}
		}
	}
}

// What the time between a test and a load leaves open is settled by the last day of use
// or by the hours of use, where these are known up to the load.
func TestInTimeByWhatIsKnown(t *testing.T) {
	at := instant("2026-03-09T09:00:00+01:00")
	daily := calendar.Duty{Test: calendar.BiologicalTestEvent, Cadence: calendar.ByDayOfUse}
	var days30 calendar.Period
	require.NoError(t, days30.UnmarshalText([]byte("P30D")))
	hours := calendar.Duty{Test: calendar.BiologicalTestEvent, Cadence: calendar.ByHoursOfUse, Every: days30,
		HoursOfUse: duration("40 h")}
	edit := func(d calendar.Duty, e func(*calendar.Duty)) calendar.Duty { e(&d); return d }
	sixth, seventh, ninth := day(2026, 3, 6), day(2026, 3, 7), day(2026, 3, 9)
	test := instant("2026-03-06T12:00:00+01:00")
	for _, tt := range []struct {
		name        string
		duty        calendar.Duty
		test, known string
		used        moistheat.Date
		ran         units.Duration
		want        moistheat.Answer
	}{
		{"on the last day of use", daily, "", "", sixth, units.Duration{}, yes},
		{"after it", daily, "", "", day(2026, 3, 5), units.Duration{}, yes},
		{"before it", daily, "", "", seventh, units.Duration{}, no},
		{"before it, of another kind of cycle perhaps",
			edit(daily, func(d *calendar.Duty) { d.PerCycleKind = yes }), "", "", seventh,
			units.Duration{}, unknown},
		{"no day of use known", daily, "", "", moistheat.Date{}, units.Duration{}, unknown},
		{"the day of the load", daily, "", "", ninth, units.Duration{}, unknown},
		{"known up to an earlier instant", daily, "", "2026-03-09T08:59:59+01:00", seventh, units.Duration{}, unknown},
		{"another test",
			edit(daily, func(d *calendar.Duty) { d.Test = calendar.AirRemovalEvent }), "", "", sixth, units.Duration{}, unknown},
		{"the manufacturer's schedule",
			edit(daily, func(d *calendar.Duty) { d.Cadence = calendar.ByManufacturer }), "", "", seventh,
			units.Duration{}, unknown},
		{"no test", daily, "none", "", seventh, units.Duration{}, unknown},
		{"a later test", daily, "2026-03-09T09:00:01+01:00", "", sixth, units.Duration{}, unknown},
		{"a test of today", daily, "2026-03-09T08:00:00+01:00", "", seventh, units.Duration{}, yes},
		{"39 hours", hours, "", "", moistheat.Date{}, duration("39 h"), yes},
		{"40 hours", hours, "", "", moistheat.Date{}, duration("40 h"), no},
		{"hours not known", hours, "", "", seventh, units.Duration{}, unknown},
		{"hours without a test", hours, "none", "", moistheat.Date{}, duration("39 h"), unknown},
		{"hours of another duty", daily, "", "", seventh, duration("39 h"), no},
		{"31 days", hours, "2026-02-06T12:00:00+01:00", "", moistheat.Date{}, duration("1 h"), no},
	} {
		c := &checker{r: &Record{Cycle: &Cycle{}}, known: Known{At: at, LastUse: tt.used}}
		c.r.Cycle.Started = at
		if tt.known != "" {
			c.known.At = instant(tt.known)
		}
		when := test
		switch tt.test {
		case "":
		case "none":
			when = time.Time{}
		default:
			when = instant(tt.test)
		}
		assert.Equal(t, tt.want, c.inTime(&tt.duty, when, at, tt.ran), tt.name)
	}
}
