package cycle

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type figure = moistheat.Figure[units.TemperatureDifferenceUnit]

const (
	met  = moistheat.Met
	open = moistheat.Undetermined
	bad  = moistheat.Broken
)

var (
	twoKelvin = figure{Value: kelvins("2 K"), Source: moistheat.Source{Document: "EN 285", Basis: moistheat.Recalled}}
	band3     = figure{Value: kelvins("3 K"), Source: moistheat.Source{Document: "ISO/TS 17665-2", Edition: "2009", Locator: "Annex A", Basis: moistheat.Quoted}}
)

// textiles is the row of CDC 2008, Table 7 for dynamic air removal at 132 °C:
// 4 min, drying 5 to 20 min.
func textiles(t testing.TB) Requirement {
	t.Helper()
	r, ok := table(t, "cdc-2008-table-7").Lookup(chosen(dynamic, "134 Cel"), TextilePacks)
	require.True(t, ok)
	return r
}

// printed is a complete record without a trace.
func printed() *Evidence {
	return &Evidence{
		Started: began, Ended: began.Add(40 * time.Minute),
		Settings: Settings{AirRemoval: dynamic, Temperature: temp("134 Cel"), Hold: duration("4 min"), Drying: duration("20 min")},
		Printed: Printed{
			HoldTime: duration("242 s"), MinimumTemperature: temp("134.2 Cel"), MaximumTemperature: temp("135.1 Cel"),
			AbsolutePressure: absolute("308 kPa"), DryingTime: duration("20 min"),
		},
		Aborted: moistheat.No,
	}
}

// traced is a complete record with a trace: at 132 °C and above for 4 min and
// more, at 134 °C for goodFall - goodRise = 250.02 s.
func traced() *Evidence {
	e := printed()
	e.Printed = Printed{DryingTime: duration("20 min")}
	e.Trace = good()
	e.Trace.Start = began
	e.Trace.Temperatures = append(e.Trace.Temperatures, channel("T2", InLoad, e.Trace.Temperatures[0].Values))
	return e
}

// recorded is a complete record of a cycle with pulses, two points of stated
// accuracy and drying under vacuum. At 132 °C the reference point is hot after
// 395.68 s and the load, at 3.725 K/s, after 409.33 s.
func recorded() *Evidence {
	e := printed()
	e.Printed = Printed{}
	e.Trace = pulsed()
	e.Trace.Start = began
	times := e.Trace.Time.Values
	e.Trace.Temperatures[1].Values = curve(times, point{0, 25}, point{390, 60}, point{410, 134.5}, point{699, 134.5}, point{700, 134}, point{760, 101}, point{1600, 75})
	for i := range e.Trace.Temperatures {
		e.Trace.Temperatures[i].Accuracy = kelvins("0.5 K")
	}
	return e
}

// both is what was recorded with its strip.
func both() *Evidence {
	e := recorded()
	e.Printed = printed().Printed
	return e
}

// took gives the cycle a length in seconds.
func took(s int) func(*Evidence, *Limits) {
	return func(e *Evidence, _ *Limits) { e.Ended = e.Started.Add(time.Duration(s) * time.Second) }
}

// began is when the cycles of the tests started.
var began = time.Date(2026, 3, 9, 9, 0, 0, 0, time.UTC)

// lagging adds to a requirement how far the load may lag.
func lagging(r Requirement) Requirement {
	r.Equilibration, r.EquilibrationMax = duration("15 s"), duration("30 s")
	r.EquilibrationSource = moistheat.Source{Document: "EN 285", Basis: moistheat.Recalled}
	return r
}

// outcome is a rule, its outcome and its pointer.
type outcome struct {
	rule    string
	o       moistheat.Outcome
	pointer string
}

func outcomes(findings []moistheat.Finding, rule string) (out []outcome) {
	for _, f := range findings {
		if f.Rule == rule {
			out = append(out, outcome{f.Rule, f.Outcome, f.Pointer})
		}
	}
	return out
}

func TestRules(t *testing.T) {
	list := Rules()
	assert.True(t, slices.IsSortedFunc(list, func(a, b moistheat.Rule) int { return strings.Compare(a.ID, b.ID) }))
	want := []string{
		"cycle.aborted", "cycle.alarms.contradicted", "cycle.band.above", "cycle.drying.short", "cycle.drying.shortened",
		"cycle.duration.short",
		"cycle.equilibration.long", "cycle.hold.margin", "cycle.hold.short", "cycle.printed.apart",
		"cycle.printed.saturation", "cycle.pulses.none", "cycle.record.incomplete", "cycle.requirement.none",
		"cycle.saturation.apart", "cycle.sensor.spike", "cycle.sensor.stuck", "cycle.setting.missed",
		"cycle.setting.short", "cycle.spread.wide", "cycle.steam.none", "cycle.table.prion", "cycle.trace.gap",
		"cycle.trace.implausible", "cycle.trace.outside", "cycle.trace.unreadable",
	}
	var ids []string
	for _, r := range list {
		ids = append(ids, r.ID)
		for _, s := range []string{r.Title, r.Why, r.Remedy, r.BrokenText, r.Since} {
			assert.NotEmpty(t, s, r.ID)
		}
		assert.NotZero(t, r.Severity, r.ID)
		require.NotZero(t, r.Sources.Len(), r.ID)
		for s := range r.Sources.All() {
			assert.NotEmpty(t, s.Document, r.ID)
			assert.NotZero(t, s.Basis, r.ID)
		}
		// Nothing undetermined or broken may release by itself.
		assert.NotEqual(t, moistheat.Release, r.Broken.Load, r.ID)
		if r.Broken.Load == moistheat.Reject && r.ID != "cycle.spread.wide" {
			assert.Equal(t, moistheat.Quarantine, r.Undetermined.Load, r.ID)
		}
	}
	assert.Equal(t, want, ids)
	// A fault of the physical record rejects the load and takes the sterilizer out.
	for _, id := range []string{"cycle.aborted", "cycle.hold.short", "cycle.setting.missed", "cycle.band.above", "cycle.spread.wide", "cycle.saturation.apart",
		"cycle.printed.saturation", "cycle.steam.none"} {
		r := Rules()[slices.Index(want, id)]
		assert.Equal(t, moistheat.Effect{Load: moistheat.Reject, Sterilizer: moistheat.OutOfService}, r.Broken, id)
		assert.Equal(t, moistheat.Fault, r.Severity, id)
	}
}

// A complete and good record meets every rule that applies, and every rule is
// reported.
func TestCheckGood(t *testing.T) {
	req := textiles(t)
	limits := Limits{Requirement: req, Band: band3, Spread: twoKelvin, Saturation: twoKelvin}
	complete := limits
	complete.Requirement = lagging(req)
	whole := recorded()
	whole.Printed, whole.HasAlarms = printed().Printed, moistheat.No
	findings, a := Check(whole, complete)
	assert.True(t, a.Hold.IsValid())
	seen := map[string]moistheat.Outcome{}
	for _, f := range findings {
		assert.Equal(t, met, f.Outcome, "%+v", f)
		assert.NotContains(t, seen, f.Rule)
		seen[f.Rule] = f.Outcome
	}
	assert.Len(t, seen, len(Rules()))

	// Readings alone meet what readings can show.
	findings, a = Check(printed(), limits)
	assert.False(t, a.Hold.IsValid())
	for _, f := range findings {
		want := met
		switch f.Rule {
		case "cycle.spread.wide", "cycle.saturation.apart", "cycle.hold.margin":
			want = open
		case "cycle.trace.gap", "cycle.trace.unreadable", "cycle.sensor.spike", "cycle.sensor.stuck", "cycle.pulses.none",
			"cycle.equilibration.long":
			assert.Fail(t, "only a recording shows it", f.Rule)
		}
		assert.Equal(t, want, f.Outcome, "%+v", f)
	}

	// Nothing at all: nothing is met.
	for _, e := range []*Evidence{nil, {}} {
		findings, _ = Check(e, limits)
		for _, f := range findings {
			if f.Rule != "cycle.requirement.none" && f.Rule != "cycle.table.prion" { // a row was found
				assert.NotEqual(t, met, f.Outcome, "%+v", f)
			}
		}
		findings, _ = Check(e, Limits{})
		for _, f := range findings {
			assert.NotEqual(t, met, f.Outcome, "%+v", f)
		}
	}
}

func TestCheckRules(t *testing.T) {
	req := textiles(t)
	all := Limits{Requirement: req, Band: band3, Spread: twoKelvin, Saturation: twoKelvin}
	for _, c := range []struct {
		name   string
		rule   string
		base   func() *Evidence
		change func(*Evidence, *Limits)
		want   []outcome
	}{
		{"ran through", "cycle.aborted", printed, func(*Evidence, *Limits) {}, []outcome{{"", met, "/aborted"}}},
		{"aborted", "cycle.aborted", printed, func(e *Evidence, _ *Limits) { e.Aborted = moistheat.Yes }, []outcome{{"", bad, "/aborted"}}},
		{"not recorded", "cycle.aborted", printed, func(e *Evidence, _ *Limits) { e.Aborted = moistheat.NotRecorded }, []outcome{{"", open, ""}}},
		{"an explained alarm", "cycle.aborted", printed, func(e *Evidence, _ *Limits) {
			e.Alarms = []Alarm{{"paper low", "printer refilled", "AB"}}
		}, []outcome{{"", met, "/aborted"}}},
		{"an alarm explained by nobody", "cycle.aborted", printed, func(e *Evidence, _ *Limits) {
			e.Alarms = []Alarm{{"paper low", "printer refilled", " "}}
		}, []outcome{{"", open, "/alarms/0/explanation"}, {"", met, "/aborted"}}},
		{"an unexplained alarm", "cycle.aborted", printed, func(e *Evidence, _ *Limits) {
			e.Alarms = []Alarm{{"paper low", "printer refilled", "AB"}, {"low steam", " ", "AB"}}
		}, []outcome{{"", bad, "/alarms/1"}}},

		{"no pressure", "cycle.record.incomplete", printed, func(e *Evidence, _ *Limits) {
			e.Printed.AbsolutePressure = units.AbsolutePressure{}
		}, []outcome{{"", open, ""}}},
		{"gauge will do", "cycle.record.incomplete", printed, func(e *Evidence, _ *Limits) {
			e.Printed.AbsolutePressure, e.Printed.GaugePressure = units.AbsolutePressure{}, gauge("207 kPa")
		}, []outcome{{"", met, ""}}},
		{"a trace without pressure", "cycle.record.incomplete", traced, func(e *Evidence, _ *Limits) { e.Trace.AbsolutePressures = nil }, []outcome{{"", open, ""}}},
		{"completed by hand", "cycle.record.incomplete", traced, func(e *Evidence, _ *Limits) {
			e.Trace.AbsolutePressures = nil
			e.Printed.GaugePressure = gauge("207 kPa")
		}, []outcome{{"", met, ""}}},
		{"only the jacket", "cycle.record.incomplete", traced, func(e *Evidence, _ *Limits) {
			e.Trace.AbsolutePressures[0].Place = Jacket
		}, []outcome{{"", open, ""}}},

		{"dried as set", "cycle.drying.shortened", printed, func(*Evidence, *Limits) {},
			[]outcome{{"", met, "/printed/dryingTime"}}},
		{"dried a second less", "cycle.drying.shortened", printed, func(e *Evidence, _ *Limits) {
			e.Printed.DryingTime = duration("1199 s")
		}, []outcome{{"", bad, "/printed/dryingTime"}}},
		{"drying not printed", "cycle.drying.shortened", printed, func(e *Evidence, _ *Limits) {
			e.Printed.DryingTime = units.Duration{}
		}, []outcome{{"", moistheat.NotApplicable, "/printed"}}},

		// 242 s and 1200 s are 1442 s.
		{"long enough", "cycle.duration.short", printed, took(1442), []outcome{{"", met, "/ended"}}},
		{"a second too short", "cycle.duration.short", printed, took(1441), []outcome{{"", bad, "/ended"}}},
		{"ends before it starts", "cycle.duration.short", printed, took(-1), []outcome{{"", bad, "/ended"}}},
		{"the hold alone is longer", "cycle.duration.short", printed, func(e *Evidence, _ *Limits) {
			e.Printed.DryingTime, e.Settings.Drying, e.Ended = units.Duration{}, units.Duration{}, began.Add(241*time.Second)
		}, []outcome{{"", bad, "/ended"}}},
		{"drying may have been cut short", "cycle.duration.short", printed, func(e *Evidence, _ *Limits) {
			e.Printed.DryingTime, e.Ended = units.Duration{}, began.Add(1441*time.Second)
		}, []outcome{{"", open, "/ended"}}},
		{"drying as set fits", "cycle.duration.short", printed, func(e *Evidence, _ *Limits) {
			e.Printed.DryingTime, e.Ended = units.Duration{}, began.Add(1442*time.Second)
		}, []outcome{{"", met, "/ended"}}},
		{"the end is not recorded", "cycle.duration.short", printed, func(e *Evidence, _ *Limits) {
			e.Ended = time.Time{}
		}, []outcome{{"", open, ""}}},
		{"no time of the hold", "cycle.duration.short", printed, func(e *Evidence, _ *Limits) {
			e.Printed.HoldTime = units.Duration{}
		}, []outcome{{"", open, "/ended"}}},
		{"the hold of the recording", "cycle.duration.short", recorded, func(*Evidence, *Limits) {},
			[]outcome{{"", met, "/ended"}}},

		// The recording is 1600 s long; a clock is read to the minute.
		{"begins with the cycle", "cycle.trace.outside", recorded, func(*Evidence, *Limits) {},
			[]outcome{{"", met, "/trace/start"}}},
		{"begins a minute before", "cycle.trace.outside", recorded, func(e *Evidence, _ *Limits) {
			e.Started = began.Add(time.Minute)
		}, []outcome{{"", met, "/trace/start"}}},
		{"begins more than a minute before", "cycle.trace.outside", recorded, func(e *Evidence, _ *Limits) {
			e.Started = began.Add(61 * time.Second)
		}, []outcome{{"", bad, "/trace/start"}}},
		{"ends a minute after", "cycle.trace.outside", recorded, took(1540), []outcome{{"", met, "/trace/start"}}},
		{"ends more than a minute after", "cycle.trace.outside", recorded, took(1539), []outcome{{"", bad, "/trace/start"}}},
		{"is of another day", "cycle.trace.outside", recorded, func(e *Evidence, _ *Limits) {
			e.Trace.Start = began.AddDate(0, 0, -3)
		}, []outcome{{"", bad, "/trace/start"}}},
		{"keeps UTC", "cycle.trace.outside", recorded, func(e *Evidence, _ *Limits) {
			e.Trace.Start = began.In(time.FixedZone("", 3600))
		}, []outcome{{"", met, "/trace/start"}}},
		{"its start is not recorded", "cycle.trace.outside", recorded, func(e *Evidence, _ *Limits) {
			e.Trace.Start = time.Time{}
		}, []outcome{{"", open, "/trace"}}},
		{"the start of the cycle is not", "cycle.trace.outside", recorded, func(e *Evidence, _ *Limits) {
			e.Started = time.Time{}
		}, []outcome{{"", open, "/trace/start"}}},
		{"it has no times", "cycle.trace.outside", recorded, func(e *Evidence, _ *Limits) {
			e.Trace.Time.Values = nil
		}, []outcome{{"", open, "/trace/start"}}},
		{"no recording, none outside", "cycle.trace.outside", printed, func(*Evidence, *Limits) {}, nil},

		// No sensor goes above 135 °C; 2 K and half of the last digit may lie between.
		{"strip as recording", "cycle.printed.apart", both, func(*Evidence, *Limits) {},
			[]outcome{{"", met, "/printed/maximumTemperature"}}},
		{"no strip", "cycle.printed.apart", recorded, func(*Evidence, *Limits) {}, nil},
		{"a strip that cannot be right", "cycle.printed.apart", both, func(e *Evidence, _ *Limits) {
			e.Printed.MaximumTemperature = temp("13.5 Cel")
		}, []outcome{{"", open, "/printed"}}},

		{"the load follows soon", "cycle.equilibration.long", recorded, lagged("13.653 s", ""), []outcome{{"", met, "/trace"}}},
		{"the load follows too late", "cycle.equilibration.long", recorded, lagged("13.652 s", ""), []outcome{{"", bad, "/trace"}}},
		{"soon enough for a large chamber", "cycle.equilibration.long", recorded, lagged("13.652 s", "13.653 s"), []outcome{{"", open, "/trace"}}},
		{"too late for any chamber", "cycle.equilibration.long", recorded, lagged("13.651 s", "13.652 s"), []outcome{{"", bad, "/trace"}}},
		{"no reference point", "cycle.equilibration.long", recorded, func(e *Evidence, l *Limits) {
			e.Trace.Temperatures[0].Place = Drain
			l.Requirement = lagging(l.Requirement)
		}, []outcome{{"", open, "/trace"}}},
		{"readings show no lag", "cycle.equilibration.long", printed, func(_ *Evidence, l *Limits) { l.Requirement = lagging(l.Requirement) }, []outcome{{"", open, ""}}},
		{"no lag stated", "cycle.equilibration.long", recorded, func(*Evidence, *Limits) {}, nil},
		{"no hold, no lag", "cycle.equilibration.long", recorded, func(_ *Evidence, l *Limits) { l.Requirement = lagging(pair("135 Cel", "3 min")) }, []outcome{{"", open, "/trace"}}},

		{"enough with the accuracy taken off", "cycle.hold.margin", recorded, func(_ *Evidence, l *Limits) { l.Requirement = pair("134 Cel", "289 s") }, []outcome{{"", met, "/trace"}}},
		{"not enough with the accuracy taken off", "cycle.hold.margin", recorded, func(_ *Evidence, l *Limits) { l.Requirement = pair("134 Cel", "289.001 s") }, []outcome{{"", bad, "/trace"}}},
		{"an accuracy is not known", "cycle.hold.margin", recorded, func(e *Evidence, _ *Limits) {
			e.Trace.Temperatures[1].Accuracy = units.TemperatureDifference{}
		}, []outcome{{"", open, "/trace"}}},
		{"readings have no margin", "cycle.hold.margin", printed, func(*Evidence, *Limits) {}, []outcome{{"", open, "/printed"}}},
		{"no hold to have a margin", "cycle.hold.margin", recorded, func(_ *Evidence, l *Limits) { l.Requirement = Requirement{} }, []outcome{{"", open, ""}}},
		{"a row that is not applicable has no margin", "cycle.hold.margin", recorded, func(_ *Evidence, l *Limits) { l.Requirement.NotApplicable = true }, nil},

		{"pulses", "cycle.pulses.none", recorded, func(*Evidence, *Limits) {}, []outcome{{"", met, "/trace"}}},
		{"no pulses", "cycle.pulses.none", recorded, flat, []outcome{{"", bad, "/trace"}}},
		{"no pulses are needed", "cycle.pulses.none", recorded, func(e *Evidence, l *Limits) {
			flat(e, l)
			e.Settings.AirRemoval = moistheat.GravityDisplacement
		}, nil},
		{"too few samples to show pulses", "cycle.pulses.none", recorded, func(e *Evidence, l *Limits) {
			flat(e, l)
			e.Trace = thin(e.Trace, func(i int) bool { return i%5 == 0 })
		}, []outcome{{"", open, "/trace"}}},
		{"a gap that may hide pulses", "cycle.pulses.none", recorded, func(e *Evidence, l *Limits) {
			flat(e, l)
			e.Trace = thin(e.Trace, func(i int) bool { return i < 20 || i > 200 })
		}, []outcome{{"", open, "/trace"}}},
		{"pulses of steam are not of vacuum", "cycle.pulses.none", recorded, steamy, []outcome{{"", bad, "/trace"}}},
		{"pulses of steam", "cycle.pulses.none", recorded, func(e *Evidence, l *Limits) {
			steamy(e, l)
			e.Settings.AirRemoval = moistheat.SteamFlushPressurePulse
		}, []outcome{{"", met, "/trace"}}},
		{"no pulses of steam either", "cycle.pulses.none", recorded, func(e *Evidence, l *Limits) {
			flat(e, l)
			e.Settings.AirRemoval = moistheat.SteamFlushPressurePulse
		}, []outcome{{"", bad, "/trace"}}},
		{"pulses are shown beside a gap", "cycle.pulses.none", recorded, func(e *Evidence, _ *Limits) {
			e.Trace = thin(e.Trace, func(i int) bool { return i < 1000 || i > 1200 })
		}, []outcome{{"", met, "/trace"}}},
		{"a recording that begins late", "cycle.pulses.none", recorded, func(e *Evidence, l *Limits) {
			e.Trace = thin(e.Trace, func(i int) bool { return i >= 230 })
			e.Atmosphere = absolute("101.3 kPa")
		}, []outcome{{"", open, "/trace"}}},
		{"a recording that begins between the pulses", "cycle.pulses.none", recorded, func(e *Evidence, l *Limits) {
			e.Trace = thin(e.Trace, func(i int) bool { return i >= 120 })
			e.Atmosphere = absolute("101.3 kPa")
		}, []outcome{{"", met, "/trace"}}},
		{"a stuck sensor makes pulses doubtful", "cycle.pulses.none", recorded, func(e *Evidence, _ *Limits) { freeze(e.Trace.Temperatures[1].Values, 420, 900) }, []outcome{{"", open, "/trace"}}},
		{"no pressure, no pulses", "cycle.pulses.none", recorded, func(e *Evidence, _ *Limits) { e.Trace.AbsolutePressures = nil }, []outcome{{"", open, "/trace"}}},
		{"the air removal is not recorded", "cycle.pulses.none", recorded, func(e *Evidence, _ *Limits) { e.Settings.AirRemoval = "" }, []outcome{{"", open, "/trace"}}},

		{"a printed drying time counts before the recording", "cycle.drying.short", recorded, func(e *Evidence, _ *Limits) {
			e.Printed.DryingTime = duration("3 min")
		}, []outcome{{"", bad, "/printed/dryingTime"}}},
		{"dried long enough by the recording", "cycle.drying.short", recorded, func(e *Evidence, l *Limits) {
			e.Settings.Drying = units.Duration{}
			l.Requirement.DryingMin = duration("695 s")
		}, []outcome{{"", met, "/trace"}}},
		{"dried too short by the recording, whatever was set", "cycle.drying.short", recorded, func(_ *Evidence, l *Limits) {
			l.Requirement.DryingMin = duration("695.001 s")
		}, []outcome{{"", bad, "/trace"}}},
		{"the recording stops while drying", "cycle.drying.short", recorded, func(e *Evidence, l *Limits) {
			e.Trace = thin(e.Trace, func(i int) bool { return i < 1000 })
		}, []outcome{{"", open, "/trace"}}},

		{"a stuck sensor", "cycle.sensor.stuck", recorded, func(e *Evidence, _ *Limits) { freeze(e.Trace.Temperatures[1].Values, 420, 900) }, []outcome{{"", bad, "/trace/temperatures/1"}}},
		{"a stuck sensor proves no hold", "cycle.hold.short", recorded, func(e *Evidence, _ *Limits) { freeze(e.Trace.Temperatures[1].Values, 420, 900) }, []outcome{{"", open, "/trace"}}},
		{"a stuck pressure", "cycle.sensor.stuck", recorded, func(e *Evidence, _ *Limits) { freeze(e.Trace.AbsolutePressures[0].Values, 420, 900) }, []outcome{{"", bad, "/trace/absolutePressures/0"}}},
		{"a stuck pressure proves no steam", "cycle.saturation.apart", recorded, func(e *Evidence, _ *Limits) { freeze(e.Trace.AbsolutePressures[0].Values, 420, 900) }, []outcome{{"", open, "/trace"}}},
		{"nothing stuck", "cycle.sensor.stuck", recorded, func(*Evidence, *Limits) {}, []outcome{{"", met, "/trace"}}},
		{"not recorded, not stuck", "cycle.sensor.stuck", printed, func(*Evidence, *Limits) {}, nil},
		{"not readable", "cycle.sensor.stuck", recorded, func(e *Evidence, _ *Limits) { e.Trace.Temperatures[0].Values = nil }, []outcome{{"", open, "/trace"}}},
		{"a spike", "cycle.sensor.spike", recorded, func(e *Evidence, _ *Limits) { e.Trace.Temperatures[1].Values[500] = 20 }, []outcome{{"", bad, "/trace/temperatures/1/values/500"}}},
		{"a spike leaves the hold open", "cycle.hold.short", recorded, func(e *Evidence, _ *Limits) { e.Trace.Temperatures[1].Values[500] = 20 }, []outcome{{"", open, "/trace"}}},
		{"a spike excuses no short hold", "cycle.hold.short", recorded, func(e *Evidence, l *Limits) {
			e.Trace.Temperatures[1].Values[500] = 20
			l.Requirement.Hold, e.Settings.Hold = duration("10 min"), duration("10 min")
		}, []outcome{{"", bad, "/trace"}}},
		{"a spike of the pressure", "cycle.sensor.spike", recorded, func(e *Evidence, _ *Limits) { e.Trace.AbsolutePressures[0].Values[500] = 500 }, []outcome{{"", bad, "/trace/absolutePressures/0/values/500"}}},
		{"no spike", "cycle.sensor.spike", recorded, func(*Evidence, *Limits) {}, []outcome{{"", met, "/trace"}}},
		{"not recorded, no spike", "cycle.sensor.spike", printed, func(*Evidence, *Limits) {}, nil},
		{"not readable, no spike", "cycle.sensor.spike", recorded, func(e *Evidence, _ *Limits) { e.Trace.Temperatures[0].Values = nil }, []outcome{{"", open, "/trace"}}},

		{"a row", "cycle.requirement.none", printed, func(*Evidence, *Limits) {}, []outcome{{"", met, "/settings"}}},
		{"no row", "cycle.requirement.none", printed, func(_ *Evidence, l *Limits) { l.Requirement = Requirement{} }, []outcome{{"", open, "/settings"}}},
		{"a row that is not applicable", "cycle.requirement.none", printed, func(_ *Evidence, l *Limits) {
			l.Requirement, _ = table(t, "cdc-2008-table-7").Lookup(chosen(dynamic, "121 Cel"), TextilePacks)
		}, []outcome{{"", open, "/settings"}}},
		{"the nearest rows", "cycle.requirement.none", printed, func(e *Evidence, l *Limits) {
			e.Settings.Hold = duration("3 min")
			l.Requirement, l.Near = Requirement{}, table(t, "aami-st79").Near(e.Settings, WrappedInstruments)
		}, []outcome{{"", open, "/settings"}}},
		{"set to the row's time", "cycle.setting.short", printed, func(*Evidence, *Limits) {
		}, []outcome{{"", met, "/settings"}}},
		{"set to less", "cycle.setting.short", printed, func(e *Evidence, _ *Limits) {
			e.Settings.Hold, e.Printed.HoldTime = duration("239.999 s"), duration("239.999 s")
		}, []outcome{{"", bad, "/settings"}}},
		{"set to less and held longer", "cycle.setting.short", printed, func(e *Evidence, _ *Limits) {
			e.Settings.Hold = duration("180 s")
		}, []outcome{{"", met, "/settings"}}},
		{"not known what was set", "cycle.setting.short", printed, func(e *Evidence, _ *Limits) {
			e.Settings.Hold = units.Duration{}
		}, []outcome{{"", open, "/settings"}}},
		{"no row to be less than", "cycle.setting.short", printed, func(_ *Evidence, l *Limits) {
			l.Requirement = Requirement{}
		}, nil},
		{"less was set, less was done", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) {
			e.Settings.Hold, e.Printed.HoldTime = duration("180 s"), duration("182 s")
		}, nil},
		{"less was set and done as set", "cycle.setting.missed", printed, func(e *Evidence, _ *Limits) {
			e.Settings.Hold, e.Printed.HoldTime = duration("180 s"), duration("182 s")
		}, []outcome{{"", met, "/settings"}}},
		{"a routine table", "cycle.table.prion", printed, func(*Evidence, *Limits) {}, []outcome{{"", met, "/settings"}}},
		{"a table against prions", "cycle.table.prion", printed, func(_ *Evidence, l *Limits) {
			l.Requirement, _ = table(t, "prion-who-2000").Lookup(chosen(dynamic, "134 Cel"), TextilePacks)
		}, []outcome{{"", bad, "/settings"}}},
		{"no hold to ask", "cycle.hold.short", printed, func(_ *Evidence, l *Limits) {
			l.Requirement, _ = table(t, "cdc-2008-table-7").Lookup(chosen(dynamic, "121 Cel"), TextilePacks)
		}, nil},
		{"nothing to judge the hold by", "cycle.hold.short", traced, func(_ *Evidence, l *Limits) { l.Requirement = Requirement{} }, []outcome{{"", open, ""}}},

		{"just long enough", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.HoldTime = duration("240 s") }, []outcome{{"", met, "/printed/holdTime"}}},
		{"just too short", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.HoldTime = duration("239.999 s") }, []outcome{{"", bad, "/printed/holdTime"}}},
		{"just hot enough", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.MinimumTemperature = temp("132.0 Cel") }, []outcome{{"", met, "/printed/holdTime"}}},
		{"just too cold", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.MinimumTemperature = temp("131.9 Cel") }, []outcome{{"", bad, "/printed/minimumTemperature"}}},
		{"270 °F is as printed", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.MinimumTemperature = temp("270 [degF]") }, []outcome{{"", met, "/printed/holdTime"}}},
		{"269 °F is not", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.MinimumTemperature = temp("269 [degF]") }, []outcome{{"", bad, "/printed/minimumTemperature"}}},
		{"time not read", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.HoldTime = units.Duration{} }, []outcome{{"", open, "/printed"}}},
		{"temperature not read", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.MinimumTemperature = units.Temperature{} }, []outcome{{"", open, "/printed"}}},
		{"nothing read", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed = Printed{} }, []outcome{{"", open, ""}}},
		{"a setting is no reading", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) {
			e.Printed = Printed{MinimumTemperature: temp("134.2 Cel")}
		}, []outcome{{"", open, "/printed"}}},

		{"a good trace", "cycle.hold.short", traced, func(*Evidence, *Limits) {}, []outcome{{"", met, "/trace"}}},
		{"a trace as long as asked", "cycle.hold.short", traced, func(_ *Evidence, l *Limits) { l.Requirement = pair("135 Cel", "240 s") }, []outcome{{"", met, "/trace"}}},
		{"a trace just too short", "cycle.hold.short", traced, func(e *Evidence, l *Limits) {
			l.Requirement, e.Settings.Hold = pair("135 Cel", "240.001 s"), duration("5 min")
		}, []outcome{{"", bad, "/trace"}}},
		{"a trace that never got there", "cycle.hold.short", traced, func(_ *Evidence, l *Limits) { l.Requirement = pair("135.01 Cel", "3 min") }, []outcome{{"", bad, "/trace"}}},
		{"one cold channel", "cycle.hold.short", traced, func(e *Evidence, _ *Limits) {
			e.Trace.Temperatures[1].Values = each(e.Trace.Temperatures[1].Values, func(c float64) float64 { return c - 4 })
		}, []outcome{{"", bad, "/trace"}}},
		{"readings that contradict a trace", "cycle.hold.short", traced, func(e *Evidence, _ *Limits) {
			e.Printed.HoldTime, e.Printed.MinimumTemperature = duration("200 s"), temp("131 Cel")
		}, []outcome{{"", bad, "/printed/holdTime"}, {"", bad, "/printed/minimumTemperature"}}},
		{"one reading that contradicts a trace is enough", "cycle.hold.short", traced, func(e *Evidence, _ *Limits) {
			e.Printed.HoldTime = duration("200 s")
		}, []outcome{{"", bad, "/printed/holdTime"}}},
		{"and so is the other", "cycle.hold.short", traced, func(e *Evidence, _ *Limits) {
			e.Printed.MinimumTemperature = temp("131 Cel")
		}, []outcome{{"", bad, "/printed/minimumTemperature"}}},
		{"readings cannot mend a trace", "cycle.hold.short", traced, func(e *Evidence, _ *Limits) {
			good := printed()
			e.Printed = good.Printed
			e.Trace.Temperatures[0].Values = each(e.Trace.Temperatures[0].Values, func(c float64) float64 { return c - 10 })
			e.Trace.AbsolutePressures = nil
		}, []outcome{{"", bad, "/trace"}}},
		{"°F marked °C proves nothing", "cycle.hold.short", traced, func(e *Evidence, _ *Limits) {
			e.Trace.Temperatures[0].Values = each(e.Trace.Temperatures[0].Values, func(c float64) float64 { return c*9/5 + 32 })
		}, []outcome{{"", open, "/trace"}}},
		{"psi marked kPa proves nothing", "cycle.hold.short", traced, psiMarkedKPa, []outcome{{"", open, "/trace"}}},
		{"a gap in a short plateau leaves it open", "cycle.hold.short", traced, func(e *Evidence, _ *Limits) {
			e.Trace = thin(e.Trace, func(i int) bool { return i < 500 || i > 510 })
		}, []outcome{{"", open, "/trace"}}},
		{"a gap is no excuse for a cold plateau", "cycle.hold.short", traced, func(e *Evidence, l *Limits) {
			l.Requirement = pair("135.5 Cel", "3 min")
			e.Trace = thin(e.Trace, func(i int) bool { return i < 500 || i > 510 })
		}, []outcome{{"", bad, "/trace"}}},
		{"too coarse to tell", "cycle.hold.short", traced, func(e *Evidence, l *Limits) {
			l.Requirement = pair("134 Cel", "200 s") // certain 180 s, possible 300 s
			e.Trace = thin(e.Trace, func(i int) bool { return i%60 == 0 })
		}, []outcome{{"", open, "/trace"}}},
		{"coarse and long enough", "cycle.hold.short", traced, func(e *Evidence, l *Limits) {
			l.Requirement = req134
			e.Trace = thin(e.Trace, func(i int) bool { return i%60 == 0 })
		}, []outcome{{"", met, "/trace"}}},
		{"coarse and just possible", "cycle.hold.short", traced, func(e *Evidence, l *Limits) {
			l.Requirement, e.Settings.Hold = pair("134 Cel", "300 s"), duration("300 s")
			e.Trace = thin(e.Trace, func(i int) bool { return i%60 == 0 })
		}, []outcome{{"", open, "/trace"}}},
		{"coarse and surely too short", "cycle.hold.short", traced, func(e *Evidence, l *Limits) {
			l.Requirement, e.Settings.Hold = pair("134 Cel", "301 s"), duration("301 s")
			e.Trace = thin(e.Trace, func(i int) bool { return i%60 == 0 })
		}, []outcome{{"", bad, "/trace"}}},

		{"as set", "cycle.setting.missed", traced, func(*Evidence, *Limits) {}, []outcome{{"", met, "/settings"}}},
		{"no settings recorded", "cycle.setting.missed", traced, func(e *Evidence, _ *Limits) { e.Settings = Settings{} }, []outcome{{"", open, ""}}},
		{"longer than was set", "cycle.setting.missed", traced, func(e *Evidence, _ *Limits) { e.Settings.Hold = duration("250 s") }, []outcome{{"", met, "/settings"}}},
		{"shorter than was set", "cycle.setting.missed", traced, func(e *Evidence, _ *Limits) { e.Settings.Hold = duration("251 s") }, []outcome{{"", bad, "/settings"}}},
		{"colder than was set", "cycle.setting.missed", traced, func(e *Evidence, _ *Limits) { e.Settings.Temperature = temp("135.1 Cel") }, []outcome{{"", bad, "/settings"}}},
		{"set to the row's °F", "cycle.setting.missed", printed, func(e *Evidence, _ *Limits) {
			e.Settings.Temperature, e.Printed.MinimumTemperature = temp("270 [degF]"), temp("132.0 Cel")
		}, []outcome{{"", met, "/settings"}}},
		{"reading shorter than was set", "cycle.setting.missed", printed, func(e *Evidence, _ *Limits) { e.Settings.Hold = duration("243 s") }, []outcome{{"", bad, "/settings"}}},
		{"reading colder than was set", "cycle.setting.missed", printed, func(e *Evidence, _ *Limits) { e.Printed.MinimumTemperature = temp("133.9 Cel") }, []outcome{{"", bad, "/settings"}}},
		{"temperature setting not recorded", "cycle.setting.missed", traced, func(e *Evidence, _ *Limits) { e.Settings.Temperature = units.Temperature{} }, []outcome{{"", open, "/settings"}}},
		{"time setting not recorded", "cycle.setting.missed", traced, func(e *Evidence, _ *Limits) { e.Settings.Hold = units.Duration{} }, []outcome{{"", open, "/settings"}}},

		{"in the band", "cycle.band.above", printed, func(e *Evidence, _ *Limits) { e.Printed.MaximumTemperature = temp("137.0 Cel") }, []outcome{{"", met, "/printed/maximumTemperature"}}},
		{"above the band", "cycle.band.above", printed, func(e *Evidence, _ *Limits) { e.Printed.MaximumTemperature = temp("137.1 Cel") }, []outcome{{"", bad, "/printed/maximumTemperature"}}},
		{"the band is not asked for", "cycle.band.above", printed, func(e *Evidence, l *Limits) { l.Band = figure{} }, nil},
		{"the highest was not read", "cycle.band.above", printed, func(e *Evidence, _ *Limits) { e.Printed.MaximumTemperature = units.Temperature{} }, []outcome{{"", open, "/printed"}}},
		{"no temperature for the band", "cycle.band.above", printed, func(e *Evidence, l *Limits) { l.Requirement = Requirement{} }, []outcome{{"", open, ""}}},
		{"a band above the row without a setting", "cycle.band.above", traced, func(e *Evidence, l *Limits) {
			e.Settings.Temperature = units.Temperature{} // 132 + 3 = 135 °C, which is reached and not passed
		}, []outcome{{"", met, "/trace"}}},
		{"a trace above the band", "cycle.band.above", traced, func(e *Evidence, l *Limits) {
			e.Settings.Temperature = units.Temperature{}
			l.Band.Value = kelvins("2.99 K")
		}, []outcome{{"", bad, "/trace"}}},
		{"the row's own band counts from the row", "cycle.band.above", printed, func(e *Evidence, l *Limits) {
			l.Requirement, _ = table(t, "htm-2010").Lookup(chosen(dynamic, "136 Cel"), TextilePacks)
			l.Band = figure{Value: l.Requirement.Band, Source: l.Requirement.BandSource}
			e.Settings.Temperature, e.Printed.MaximumTemperature = temp("136 Cel"), temp("137.5 Cel")
		}, []outcome{{"", bad, "/printed/maximumTemperature"}}},
		{"a doubtful trace, no band", "cycle.band.above", traced, psiMarkedKPa, []outcome{{"", open, "/trace"}}},
		{"a doubtful trace, no spread", "cycle.spread.wide", traced, psiMarkedKPa, []outcome{{"", open, "/trace"}}},
		{"a doubtful trace, no saturation", "cycle.saturation.apart", traced, psiMarkedKPa, []outcome{{"", open, "/trace"}}},
		{"a doubtful trace missed nothing", "cycle.setting.missed", traced, psiMarkedKPa, []outcome{{"", open, "/settings"}}},
		{"a doubtful reading, no band", "cycle.band.above", printed, func(e *Evidence, _ *Limits) { e.Printed.AbsolutePressure = absolute("44.5 kPa") }, []outcome{{"", open, "/printed/maximumTemperature"}}},
		{"a doubtful reading beside a trace", "cycle.band.above", traced, func(e *Evidence, _ *Limits) {
			e.Printed.MinimumTemperature, e.Printed.AbsolutePressure = temp("134 Cel"), absolute("44.5 kPa")
		}, []outcome{{"", met, "/trace"}}},
		{"no hold, no band", "cycle.band.above", traced, func(e *Evidence, l *Limits) { l.Requirement = pair("136 Cel", "3 min") }, []outcome{{"", open, "/trace"}}},

		{"close together", "cycle.spread.wide", traced, func(e *Evidence, _ *Limits) {
			e.Trace.Temperatures[1].Values = each(e.Trace.Temperatures[1].Values, func(c float64) float64 { return c - 2 })
		}, []outcome{{"", met, "/trace"}}},
		{"far apart", "cycle.spread.wide", traced, func(e *Evidence, _ *Limits) {
			e.Trace.Temperatures[1].Values = each(e.Trace.Temperatures[1].Values, func(c float64) float64 { return c - 2.01 })
		}, []outcome{{"", bad, "/trace"}}},
		{"one point", "cycle.spread.wide", traced, func(e *Evidence, _ *Limits) { e.Trace.Temperatures = e.Trace.Temperatures[:1] }, []outcome{{"", open, "/trace"}}},
		{"readings show no spread", "cycle.spread.wide", printed, func(*Evidence, *Limits) {}, []outcome{{"", open, ""}}},
		{"spread not asked for", "cycle.spread.wide", traced, func(_ *Evidence, l *Limits) { l.Spread = figure{} }, nil},

		{"as the steam", "cycle.saturation.apart", traced, func(e *Evidence, _ *Limits) { colder(e, 1.9) }, []outcome{{"", met, "/trace"}}},
		{"air in the steam", "cycle.saturation.apart", traced, func(e *Evidence, _ *Limits) { colder(e, 2.1) }, []outcome{{"", bad, "/trace"}}},
		{"dry steam", "cycle.saturation.apart", traced, func(e *Evidence, _ *Limits) { colder(e, -2.1) }, []outcome{{"", bad, "/trace"}}},
		{"no pressure to compare", "cycle.saturation.apart", traced, func(e *Evidence, _ *Limits) { e.Trace.AbsolutePressures = nil }, []outcome{{"", open, "/trace"}}},
		{"gauge without a site", "cycle.saturation.apart", traced, byGauge(units.AbsolutePressure{}), []outcome{{"", open, "/trace"}}},
		{"gauge with a site", "cycle.saturation.apart", traced, byGauge(absolute("101.325 kPa")), []outcome{{"", met, "/trace"}}},
		{"gauge with another site", "cycle.saturation.apart", traced, byGauge(absolute("77.058 kPa")), []outcome{{"", bad, "/trace"}}},
		{"saturation not asked for", "cycle.saturation.apart", traced, func(_ *Evidence, l *Limits) { l.Saturation = figure{} }, nil},

		{"a gap", "cycle.trace.gap", traced, func(e *Evidence, _ *Limits) {
			e.Trace = thin(e.Trace, func(i int) bool { return i < 800 || i > 810 })
		}, []outcome{{"", bad, "/trace/time/values/800"}}},
		{"no telling", "cycle.trace.gap", traced, func(e *Evidence, _ *Limits) { e.Trace.Time.Values[5] = 0 }, []outcome{{"", open, "/trace"}}},
		{"a clock that steps back", "cycle.trace.unreadable", traced, func(e *Evidence, _ *Limits) { e.Trace.Time.Values[5] = 0 }, []outcome{{"", bad, "/trace/time/values/5"}}},
		{"two short channels", "cycle.trace.unreadable", traced, func(e *Evidence, _ *Limits) {
			e.Trace.Temperatures[1].Values = e.Trace.Temperatures[1].Values[:7]
			e.Trace.AbsolutePressures[0].Values = nil
		}, []outcome{{"", bad, "/trace/temperatures/1"}, {"", bad, "/trace/absolutePressures/0"}}},
		{"°C marked °F", "cycle.trace.implausible", traced, func(e *Evidence, _ *Limits) { e.Trace.Temperatures[1].Unit = units.Fahrenheit }, []outcome{{"", bad, "/trace/temperatures/1"}}},
		{"a reading in °F marked °C", "cycle.trace.implausible", printed, func(e *Evidence, _ *Limits) { e.Printed.MinimumTemperature = temp("273.6 Cel") },
			[]outcome{{"", bad, "/printed/minimumTemperature"}, {"", bad, "/printed/maximumTemperature"}}},
		{"a reading in psi marked kPa", "cycle.trace.implausible", printed, func(e *Evidence, _ *Limits) { e.Printed.AbsolutePressure = absolute("44.5 kPa") }, []outcome{{"", bad, "/printed/absolutePressure"}}},
		{"a reading in kPa marked psi", "cycle.trace.implausible", printed, func(e *Evidence, _ *Limits) { e.Printed.AbsolutePressure = absolute("308 [psi]") }, []outcome{{"", bad, "/printed/absolutePressure"}}},
		{"a gauge reading marked absolute", "cycle.trace.implausible", printed, func(e *Evidence, _ *Limits) { e.Printed.AbsolutePressure = absolute("205 kPa") }, []outcome{{"", bad, "/printed/absolutePressure"}}},
		{"an absolute reading marked gauge", "cycle.trace.implausible", printed, func(e *Evidence, _ *Limits) { e.Printed.GaugePressure = gauge("305 kPa") }, []outcome{{"", bad, "/printed/gaugePressure"}}},
		{"a hold of days", "cycle.trace.implausible", printed, func(e *Evidence, _ *Limits) { e.Printed.HoldTime = duration("242 h") }, []outcome{{"", bad, "/printed/holdTime"}}},
		{"implausible readings prove no hold", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.AbsolutePressure = absolute("44.5 kPa") }, []outcome{{"", open, "/printed"}}},
		{"nothing recorded is not implausible", "cycle.trace.implausible", printed, func(e *Evidence, _ *Limits) { e.Printed = Printed{} }, nil},

		{"dry enough", "cycle.drying.short", printed, func(e *Evidence, _ *Limits) { e.Printed.DryingTime = duration("5 min") }, []outcome{{"", met, "/printed/dryingTime"}}},
		{"dried too briefly", "cycle.drying.short", printed, func(e *Evidence, _ *Limits) { e.Printed.DryingTime = duration("299 s") }, []outcome{{"", bad, "/printed/dryingTime"}}},
		{"set too briefly", "cycle.drying.short", printed, func(e *Evidence, _ *Limits) {
			e.Printed.DryingTime, e.Settings.Drying = units.Duration{}, duration("4 min")
		}, []outcome{{"", bad, "/settings/drying"}}},
		{"drying not recorded", "cycle.drying.short", printed, func(e *Evidence, _ *Limits) {
			e.Printed.DryingTime, e.Settings.Drying = units.Duration{}, units.Duration{}
		}, []outcome{{"", open, "/printed"}}},
		{"no drying asked for", "cycle.drying.short", printed, func(_ *Evidence, l *Limits) { l.Requirement = req134 }, nil},
	} {
		t.Run(c.rule+" "+c.name, func(t *testing.T) {
			e, l := c.base(), all
			c.change(e, &l)
			findings, _ := Check(e, l)
			for i := range c.want {
				c.want[i].rule = c.rule
			}
			assert.Equal(t, c.want, outcomes(findings, c.rule))
			assertPointersLead(t, e, findings)
			for _, f := range findings {
				assert.Equal(t, f.Outcome == open, f.Reason != "", "%+v", f)
			}
		})
	}
}

// What is not recorded is told from what contradicts itself, from what no record of
// its sort shows, and from what nothing states a limit for.
func TestCheckReasons(t *testing.T) {
	all := Limits{Requirement: textiles(t), Band: band3, Spread: twoKelvin, Saturation: twoKelvin}
	for _, c := range []struct {
		name, rule string
		base       func() *Evidence
		change     func(*Evidence, *Limits)
		want       moistheat.Reason
	}{
		{"no word of it", "cycle.aborted", printed, func(e *Evidence, _ *Limits) { e.Aborted = moistheat.NotRecorded }, moistheat.Unrecorded},
		{"no table", "cycle.hold.short", traced, func(_ *Evidence, l *Limits) { l.Requirement = Requirement{} }, moistheat.NoLimit},
		{"no row", "cycle.requirement.none", printed, func(_ *Evidence, l *Limits) { l.Requirement = Requirement{} }, moistheat.NoLimit},
		{"nothing set", "cycle.requirement.none", printed, func(e *Evidence, l *Limits) {
			e.Settings, l.Requirement = Settings{}, Requirement{}
		}, moistheat.Unrecorded},
		{"psi marked kPa", "cycle.hold.short", traced, psiMarkedKPa, moistheat.Contradictory},
		{"psi marked kPa, no band", "cycle.band.above", traced, psiMarkedKPa, moistheat.Contradictory},
		{"no channel", "cycle.hold.short", traced, func(e *Evidence, _ *Limits) { e.Trace.Temperatures = nil }, moistheat.NotMeasurable},
		{"a gap", "cycle.hold.short", traced, func(e *Evidence, _ *Limits) {
			e.Trace = thin(e.Trace, func(i int) bool { return i < 500 || i > 520 })
		}, moistheat.NotMeasurable},
		{"a reading that cannot be", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.HoldTime = duration("1000 h") }, moistheat.Contradictory},
		{"half a reading", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.HoldTime = units.Duration{} }, moistheat.Unrecorded},
		{"no recording", "cycle.spread.wide", printed, func(*Evidence, *Limits) {}, moistheat.Unrecorded},
		{"no hold", "cycle.spread.wide", recorded, func(_ *Evidence, l *Limits) { l.Requirement = pair("135 Cel", "3 min") }, moistheat.NotMeasurable},
		{"a gauge without a site", "cycle.saturation.apart", traced, byGauge(units.AbsolutePressure{}), moistheat.Unrecorded},
		{"a stuck gauge", "cycle.saturation.apart", recorded, func(e *Evidence, _ *Limits) { freeze(e.Trace.AbsolutePressures[0].Values, 420, 900) }, moistheat.Contradictory},
		{"large chambers only", "cycle.equilibration.long", recorded, lagged("13 s", "13.653 s"), moistheat.BetweenLimits},
		{"no accuracy", "cycle.hold.margin", traced, func(*Evidence, *Limits) {}, moistheat.Unrecorded},
		{"the end is missing", "cycle.drying.short", recorded, func(e *Evidence, _ *Limits) {
			e.Trace = thin(e.Trace, func(i int) bool { return i < 1000 })
		}, moistheat.NotMeasurable},
		{"coarse pulses", "cycle.pulses.none", recorded, func(e *Evidence, l *Limits) {
			flat(e, l)
			e.Trace = thin(e.Trace, func(i int) bool { return i%5 == 0 })
		}, moistheat.NotMeasurable},
		{"unreadable", "cycle.sensor.stuck", recorded, func(e *Evidence, _ *Limits) { e.Trace.Temperatures[0].Values = nil }, moistheat.NotMeasurable},
		{"no unit of time", "cycle.sensor.stuck", recorded, func(e *Evidence, _ *Limits) { e.Trace.Time.Unit = 0 }, moistheat.NotMeasurable},
	} {
		e, l := c.base(), all
		c.change(e, &l)
		findings, _ := Check(e, l)
		i := slices.IndexFunc(findings, func(f moistheat.Finding) bool { return f.Rule == c.rule })
		require.GreaterOrEqual(t, i, 0, c.name)
		assert.Equal(t, open, findings[i].Outcome, c.name)
		assert.Equal(t, c.want, findings[i].Reason, c.name)
	}
}

// assertPointersLead follows every pointer into the evidence as JSON writes it.
func assertPointersLead(t *testing.T, e *Evidence, findings []moistheat.Finding) {
	t.Helper()
	data, err := json.Marshal(e)
	require.NoError(t, err)
	var root any
	require.NoError(t, json.Unmarshal(data, &root))
	for _, f := range findings {
		at := root
		for _, s := range strings.Split(f.Pointer, "/")[1:] {
			switch x := at.(type) {
			case map[string]any:
				require.Contains(t, x, s, "%s %q", f.Rule, f.Pointer)
				at = x[s]
			case []any:
				i, err := strconv.Atoi(s)
				require.NoError(t, err)
				require.Less(t, i, len(x), "%s %q", f.Rule, f.Pointer)
				at = x[i]
			default:
				t.Fatalf("%s: %q leads nowhere", f.Rule, f.Pointer)
			}
		}
	}
}

// colder shifts all temperatures by d kelvins below the steam, keeping them above
// the required 132 °C.
// lagged sets how far the load may lag.
func lagged(limit, most string) func(*Evidence, *Limits) {
	return func(_ *Evidence, l *Limits) {
		l.Requirement = lagging(l.Requirement)
		l.Requirement.Equilibration, l.Requirement.EquilibrationMax = duration(limit), units.Duration{}
		if most != "" {
			l.Requirement.EquilibrationMax = duration(most)
		}
	}
}

// freeze keeps a reading as it is at one sample up to another.
func freeze(values []float64, from, to int) {
	for i := from; i < to; i++ {
		values[i] = values[from]
	}
}

// flat has no pulses, steamy only pulses above the atmosphere.
func flat(e *Evidence, _ *Limits) {
	e.Trace.AbsolutePressures[0].Values = curve(e.Trace.Time.Values, append([]point{{0, 101.3}, {220, 101.3}}, pulsedPressure[7:]...)...)
}

func steamy(e *Evidence, _ *Limits) {
	e.Trace.AbsolutePressures[0].Values = curve(e.Trace.Time.Values, append([]point{{0, 101.3}, {60, 170}, {100, 110}, {140, 170}, {180, 110}}, pulsedPressure[7:]...)...)
}

func colder(e *Evidence, d float64) {
	e.Trace.Temperatures = e.Trace.Temperatures[:1]
	steam := each(e.Trace.Temperatures[0].Values, func(c float64) float64 { return c + d })
	e.Trace.AbsolutePressures[0].Values = saturated(steam)
}

func psiMarkedKPa(e *Evidence, _ *Limits) {
	e.Trace.AbsolutePressures[0].Values = each(e.Trace.AbsolutePressures[0].Values, func(p float64) float64 { return p / 6.894757293168 })
}

// byGauge records the pressure by gauge at sea level and the site as given.
func byGauge(atmosphere units.AbsolutePressure) func(*Evidence, *Limits) {
	return func(e *Evidence, _ *Limits) {
		e.Trace.GaugePressures = []GaugePressureChannel{{ID: "G", Place: Chamber, Unit: units.KilopascalGauge,
			Values: each(e.Trace.AbsolutePressures[0].Values, func(p float64) float64 { return p - 101.325 })}}
		e.Trace.AbsolutePressures = nil
		e.Atmosphere = atmosphere
	}
}

func TestCheckFindingsCarryTheirGround(t *testing.T) {
	req := textiles(t)
	e := traced()
	e.Trace.Temperatures[1].Values = each(e.Trace.Temperatures[1].Values, func(c float64) float64 { return c - 2.5 })
	findings, a := Check(e, Limits{Requirement: req, Spread: twoKelvin})
	byRule := map[string]moistheat.Finding{}
	for _, f := range findings {
		byRule[f.Rule] = f
	}
	hold := byRule["cycle.hold.short"]
	assert.Equal(t, "cdc-2008-table-7#dynamic-132-textiles", hold.Table)
	assert.Equal(t, moistheat.SourcesOf(req.Source), hold.Sources)
	assert.Equal(t, a.Hold.Value(), hold.Measured)
	assert.Equal(t, duration("4 min").Value(), hold.Limit)
	spread := byRule["cycle.spread.wide"]
	assert.Equal(t, bad, spread.Outcome)
	assert.Equal(t, moistheat.SourcesOf(twoKelvin.Source), spread.Sources)
	assert.Equal(t, kelvins("2.50 K").Value(), spread.Measured)
	assert.Equal(t, kelvins("2 K").Value(), spread.Limit)
	drying := byRule["cycle.drying.short"]
	assert.Equal(t, "cdc-2008-table-7#dynamic-132-textiles", drying.Table)
	assert.Equal(t, moistheat.SourcesOf(req.Source), drying.Sources)

	// Every message can be written, with every gap in it filled.
	rules := map[string]moistheat.Rule{}
	for _, r := range Rules() {
		rules[r.ID] = r
	}
	for _, e := range []*Evidence{nil, printed(), traced(), {Aborted: moistheat.Yes, Trace: &Trace{}}, e} {
		for _, l := range []Limits{{}, {Requirement: req, Band: band3, Spread: twoKelvin, Saturation: twoKelvin}} {
			findings, _ := Check(e, l)
			for _, f := range findings {
				assert.NotContains(t, rules[f.Rule].Message(f), "{", f.Rule)
			}
		}
	}
}

// A finding says why it is open, of which kind it is and against what it was held.
func TestCheckFindingsSayWhy(t *testing.T) {
	req := textiles(t)
	all := Limits{Requirement: req, Band: band3, Spread: twoKelvin, Saturation: twoKelvin}
	for _, c := range []struct {
		name, rule string
		base       func() *Evidence
		change     func(*Evidence, *Limits)
		param      string
		want       string
		limit      string // "": not asked
	}{
		{"no values", "cycle.record.incomplete", traced, func(e *Evidence, _ *Limits) {
			e.Trace = &Trace{Time: TimeBase{Unit: units.Second}, Temperatures: []TemperatureChannel{channel("T", Drain, nil)}}
		}, "missing", "time, temperature, pressure", ""},
		{"no temperature set", "cycle.requirement.none", printed, func(e *Evidence, l *Limits) {
			e.Settings.Temperature, l.Requirement = units.Temperature{}, Requirement{}
		}, "reason", "the temperature that was set is not recorded", ""},
		{"no air removal set", "cycle.requirement.none", printed, func(e *Evidence, l *Limits) {
			e.Settings.AirRemoval, l.Requirement = "", Requirement{}
		}, "reason", "no row fits, and the air removal is not recorded", ""},
		{"no row", "cycle.requirement.none", printed, func(_ *Evidence, l *Limits) { l.Requirement = Requirement{} },
			"reason", "no row has dynamic air removal, 134 °C, 4 min", ""},
		{"the nearest rows", "cycle.requirement.none", printed, func(e *Evidence, l *Limits) {
			e.Settings.Hold = duration("3 min")
			l.Requirement, l.Near = Requirement{}, table(t, "aami-st79").Near(e.Settings, WrappedInstruments)
		}, "reason", "no row has dynamic air removal, 134 °C, 3 min; the nearest: 132 °C for 4 min " +
			"(ANSI/AAMI ST79), 135 °C for 3 min (ANSI/AAMI ST79)", ""},
		{"implausible, beside a gap and a spike", "cycle.hold.short", recorded, func(e *Evidence, _ *Limits) {
			e.Trace = thin(e.Trace, func(i int) bool { return i < 1300 || i > 1400 })
			e.Trace.Temperatures[1].Values[500] = 20
			freeze(e.Trace.Temperatures[0].Values, 420, 900)
		}, "reason", "reads 134.8 without a change from 6 min 41 s to 14 min 59 s, while the others leave it behind", "4 min"},
		{"a gap in the hold", "cycle.hold.short", recorded, func(e *Evidence, _ *Limits) {
			e.Trace = thin(e.Trace, func(i int) bool { return i < 500 || i > 520 })
		}, "reason", "samples are missing, so that the holding time may be longer than they show", "4 min"},
		{"short", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.HoldTime = duration("239 s") }, "reason", "", "4 min"},
		{"long enough", "cycle.hold.short", printed, func(*Evidence, *Limits) {}, "reason", "", "4 min"},
		{"half a reading", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) {
			e.Printed.MinimumTemperature = units.Temperature{}
		}, "reason", "the lowest temperature during the holding time is not recorded", "4 min"},
		{"the other half", "cycle.hold.short", printed, func(e *Evidence, _ *Limits) { e.Printed.HoldTime = units.Duration{} },
			"reason", "the holding time is not recorded", "4 min"},
		{"no hold, no band", "cycle.band.above", recorded, func(_ *Evidence, l *Limits) { l.Requirement = pair("135 Cel", "3 min") },
			"reason", "the recording shows no holding time", ""},
		{"no reading, no band", "cycle.band.above", printed, func(e *Evidence, _ *Limits) { e.Printed.MaximumTemperature = units.Temperature{} },
			"reason", "the highest temperature during the holding time is not recorded", ""},
		{"no recording, no spread", "cycle.spread.wide", printed, func(*Evidence, *Limits) {}, "reason", "only a recording shows it", "2 K"},
		{"one point, no spread", "cycle.spread.wide", recorded, func(e *Evidence, _ *Limits) { e.Trace.Temperatures = e.Trace.Temperatures[:1] },
			"reason", "fewer than two measuring points are on record", "2 K"},
		{"no hold, no spread", "cycle.spread.wide", recorded, func(_ *Evidence, l *Limits) { l.Requirement = pair("135 Cel", "3 min") },
			"reason", "the recording shows no holding time", "2 K"},
		{"no recording, no steam", "cycle.saturation.apart", printed, func(*Evidence, *Limits) {}, "reason", "only a recording shows it", "2 K"},
		{"no pressure, no steam", "cycle.saturation.apart", recorded, func(e *Evidence, _ *Limits) { e.Trace.AbsolutePressures = nil },
			"reason", "no chamber pressure is recorded", "2 K"},
		{"soon enough", "cycle.equilibration.long", recorded, lagged("13.653 s", "20 s"), "reason", "", "13.653 s"},
		{"too late for small chambers", "cycle.equilibration.long", recorded, lagged("13.652 s", ""), "reason", "", "13.652 s"},
		{"too late for large ones", "cycle.equilibration.long", recorded, lagged("13 s", "13.652 s"), "reason", "", "13.652 s"},
		{"soon enough for large ones", "cycle.equilibration.long", recorded, lagged("13 s", "13.653 s"), "reason",
			"it took 13.653 s, which is not allowed to every sterilizer", "13 s"},
		{"doubtful, no band", "cycle.band.above", recorded, func(e *Evidence, _ *Limits) { freeze(e.Trace.Temperatures[1].Values, 420, 900) },
			"reason", "the numbers cannot be right", "137 °C"},
		{"doubtful, no pulses", "cycle.pulses.none", recorded, func(e *Evidence, _ *Limits) { freeze(e.Trace.Temperatures[1].Values, 420, 900) },
			"reason", "the numbers cannot be right", ""},
		{"begun late", "cycle.pulses.none", recorded, func(e *Evidence, _ *Limits) {
			e.Trace = thin(e.Trace, func(i int) bool { return i >= 230 })
			e.Atmosphere = absolute("101.3 kPa")
		}, "reason", "the recording begins when the cycle was under way", ""},
		{"too few samples", "cycle.pulses.none", recorded, func(e *Evidence, l *Limits) {
			flat(e, l)
			e.Trace = thin(e.Trace, func(i int) bool { return i%5 == 0 })
		}, "reason", "pulses may lie between the samples", ""},
		{"no pressure", "cycle.pulses.none", recorded, func(e *Evidence, _ *Limits) { e.Trace.AbsolutePressures = nil },
			"reason", "no chamber pressure is recorded", ""},
		{"air removal not recorded", "cycle.pulses.none", recorded, func(e *Evidence, _ *Limits) { e.Settings.AirRemoval = "" },
			"reason", "the air removal that was set is not recorded", ""},
		{"cannot be read", "cycle.pulses.none", recorded, func(e *Evidence, _ *Limits) { e.Trace.Temperatures[0].Values = nil },
			"reason", "the recording cannot be read", ""},
	} {
		t.Run(c.rule+" "+c.name, func(t *testing.T) {
			e, l := c.base(), all
			c.change(e, &l)
			findings, _ := Check(e, l)
			i := slices.IndexFunc(findings, func(f moistheat.Finding) bool { return f.Rule == c.rule })
			require.GreaterOrEqual(t, i, 0)
			f := findings[i]
			assert.Equal(t, c.want, f.Param(c.param))
			var limit string
			if f.Limit.IsValid() {
				limit = f.Limit.String()
			}
			assert.Equal(t, c.limit, limit)
		})
	}
}

// A band counts from the row if it is the row's own: the same figure out of the same
// document. Any other counts from what was set.
func TestCheckBandCountsFrom(t *testing.T) {
	own := moistheat.Source{Document: "EN 13060", Locator: "4.6.2 and 5.3", Basis: moistheat.Recalled}
	other := moistheat.Source{Document: "the facility", Basis: moistheat.Facility}
	req := pair("134 Cel", "3 min")
	req.Band, req.BandSource = kelvins("4 K"), own
	for _, c := range []struct {
		name  string
		limit figure
		set   string
		most  string
		want  moistheat.Outcome
	}{
		{"the row's own", figure{Value: kelvins("4 K"), Source: own}, "136 Cel", "138 Cel", met},
		{"the row's own, exceeded", figure{Value: kelvins("4 K"), Source: own}, "136 Cel", "138.1 Cel", bad},
		{"the same figure of another document", figure{Value: kelvins("4 K"), Source: other}, "136 Cel", "140 Cel", met},
		{"the same figure of another document, exceeded", figure{Value: kelvins("4 K"), Source: other}, "136 Cel", "140.1 Cel", bad},
		{"another figure of the same document", figure{Value: kelvins("3 K"), Source: own}, "136 Cel", "139 Cel", met},
		{"another figure of the same document, exceeded", figure{Value: kelvins("3 K"), Source: own}, "136 Cel", "139.1 Cel", bad},
	} {
		e := printed()
		e.Settings.Temperature, e.Printed.MinimumTemperature, e.Printed.MaximumTemperature = temp(c.set), temp("136 Cel"), temp(c.most)
		findings, _ := Check(e, Limits{Requirement: req, Band: c.limit})
		assert.Equal(t, []outcome{{"cycle.band.above", c.want, "/printed/maximumTemperature"}}, outcomes(findings, "cycle.band.above"), c.name)
	}
}

// A recording that stops while the load dries proves what it shows.
func TestCheckDryingCut(t *testing.T) {
	e := recorded()
	e.Settings.Drying = units.Duration{}
	e.Trace = thin(e.Trace, func(i int) bool { return i <= 1200 })
	a := Analyze(e.Trace, textiles(t))
	phase, ok := a.Profile.Phase(Drying)
	require.True(t, ok)
	require.True(t, a.Profile.DryingCut)
	for _, c := range []struct {
		most int64 // ms more than it shows
		want moistheat.Outcome
	}{{0, met}, {1, open}} {
		req := textiles(t)
		more, err := units.FromDecimal(phase.Length().Decimal().Add(units.New(c.most, -3, units.Second).Decimal()), units.Second)
		require.NoError(t, err)
		req.DryingMin = more
		findings, _ := Check(e, Limits{Requirement: req})
		assert.Equal(t, []outcome{{"cycle.drying.short", c.want, "/trace"}}, outcomes(findings, "cycle.drying.short"))
	}
}

// Lethality never passes a hold: 20 minutes at 133.9 °C are worth far more than
// 3 minutes at 134 °C and are no hold at 134 °C.
func TestCheckLethalityIsNoExcuse(t *testing.T) {
	times := every(1401, 1)
	c := curve(times, point{0, 20}, point{100, 133.9}, point{1300, 133.9}, point{1400, 20})
	e := &Evidence{Trace: &Trace{Time: TimeBase{units.Second, times}, Temperatures: []TemperatureChannel{channel("T", Drain, c)}}}
	findings, a := Check(e, Limits{Requirement: req134})
	assert.Greater(t, a.Lethality.Minutes.Float64(units.Minute), 58.5*5)
	assert.Equal(t, []outcome{{"cycle.hold.short", bad, "/trace"}}, outcomes(findings, "cycle.hold.short"))
}

// The whole evidence reads from strict JSON.
func TestEvidenceJSON(t *testing.T) {
	const doc = `{
		"settings": {"airRemoval": "dynamic-air-removal", "temperature": {"value": 134, "unit": "Cel"}, "hold": {"value": 4, "unit": "min"}},
		"printed": {"holdTime": {"value": 242, "unit": "s"}, "gaugePressure": {"value": 207, "unit": "kPa"}},
		"trace": {"start": "2026-03-09T08:15:00+01:00",
			"time": {"unit": "s", "values": [0, 1, 2]},
			"temperatures": [{"id": "T1", "place": "drain", "unit": "Cel", "accuracy": {"value": 0.5, "unit": "K"}, "values": [134.1, 134.2, 134.1]}],
			"absolutePressures": [{"id": "P1", "place": "chamber", "unit": "kPa", "values": [305, 305, 305]}]},
		"aborted": false, "alarms": [{"text": "paper low"}]
	}`
	e, err := strictjson.NewDecoder[Evidence]().Decode([]byte(doc), strictjson.Default())
	require.NoError(t, err)
	assert.Equal(t, dynamic, e.Settings.AirRemoval)
	assert.Equal(t, []float64{134.1, 134.2, 134.1}, e.Trace.Temperatures[0].Values)
	assert.Equal(t, moistheat.No, e.Aborted)
	for _, c := range []struct{ old, new string }{
		{`"place": "drain", `, ``}, {`"drain"`, `"roof"`}, {`"unit": "Cel", "accuracy"`, `"unit": "kPa", "accuracy"`},
		{`"text"`, `"txt"`}, {`"aborted": false`, `"aborted": null`}, {`"time": {"unit": "s", `, `"time": {`},
	} {
		require.Contains(t, doc, c.old)
		_, err := strictjson.NewDecoder[Evidence]().Decode([]byte(strings.Replace(doc, c.old, c.new, 1)), strictjson.Default())
		assert.Error(t, err, c.new)
	}
}

func BenchmarkCheck(b *testing.B) {
	e := traced()
	l := Limits{Requirement: textiles(b), Band: band3, Spread: twoKelvin, Saturation: twoKelvin}
	b.ReportAllocs()
	for b.Loop() {
		Check(e, l)
	}
}

// An empty list of alarms says nothing, and an answer beside it is held against it; where
// the sterilizer records its cycles, a recording that is not there is missing.
func TestAnsweredAndListed(t *testing.T) {
	alarm := []Alarm{{Text: "low steam pressure", Explanation: "the door seal was cleaned"}}
	for _, tt := range []struct {
		has  moistheat.Answer
		list []Alarm
		want moistheat.Outcome
	}{
		{moistheat.NotRecorded, nil, 0}, {moistheat.NotRecorded, []Alarm{}, 0}, {moistheat.NotRecorded, alarm, 0},
		{moistheat.No, nil, met}, {moistheat.No, []Alarm{}, met}, {moistheat.No, alarm, moistheat.Broken},
		{moistheat.Yes, nil, open}, {moistheat.Yes, []Alarm{}, open}, {moistheat.Yes, alarm, met},
	} {
		e := printed()
		e.HasAlarms, e.Alarms = tt.has, tt.list
		assert.Equal(t, tt.want, outcomeOf(e, "cycle.alarms.contradicted"), "%+v", tt)
	}
}

// outcomeOf returns what a rule comes to, zero where it is not asked.
func outcomeOf(e *Evidence, rule string) (out moistheat.Outcome) {
	findings, _ := Check(e, Limits{})
	for _, f := range findings {
		if f.Rule == rule {
			out = f.Outcome
		}
	}
	return out
}
