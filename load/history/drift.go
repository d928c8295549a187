package history

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

// Measure is a quantity that shows how a sterilizer ages; its word names the unit too.
// The zero value is invalid.
type Measure = moistheat.Word[measureWords]

// The measures.
const (
	TimeToTemperature Measure = iota + 1 // from the start of the trace until every sensor is at temperature, s
	EquilibrationTime                    // from the reference point to the last sensor, s
	HoldOffset                           // coldest temperature of the hold above the set one, K
	HoldSpread                           // between points, K; without a trace hottest less coldest
	LowestPressure                       // absolute, before the hold: how deep the pulses go, kPa
	DryingTime                           // as printed, s
	LeakRateMeasure                      // of leak tests, kPa/min
)

const measures = int(LeakRateMeasure)

type measureWords struct{}

func (measureWords) Words() string {
	return "time to temperature, s|equilibration, s|hold above set temperature, K|spread, K|" +
		"lowest pressure before the hold, kPa|drying time, s|leak rate, kPa/min"
}

// metrics are the measures of one load, each present or not.
type metrics struct {
	has uint8
	v   [measures]float64
}

// set keeps a value. One that cannot be computed, as a quantity is missing, is none.
func (m *metrics) set(k Measure, v float64) {
	if !math.IsNaN(v) && !math.IsInf(v, 0) {
		m.has |= 1 << (k - 1)
		m.v[k-1] = v
	}
}

func (m metrics) get(k Measure) (float64, bool) { return m.v[k-1], m.has&(1<<(k-1)) != 0 }

// join keeps what either has; of two values the larger, so that order is no matter.
func (m metrics) join(o metrics) metrics {
	for k := Measure(1); int(k) <= measures; k++ {
		a, has := m.get(k)
		if b, ok := o.get(k); ok && (!has || b > a) {
			m.set(k, b)
		}
	}
	return m
}

// metricsOf measures a load: from its trace where there is one that can be read,
// else from the printed readings.
func metricsOf(r *load.Record, report *load.Report) metrics {
	var m metrics
	cy := r.Cycle
	set := cy.Settings.Temperature
	m.set(DryingTime, cy.Printed.DryingTime.Float64(units.Second))
	if cy.Trace == nil {
		low, high := cy.Printed.MinimumTemperature, cy.Printed.MaximumTemperature
		m.set(HoldOffset, low.Float64(units.Celsius)-set.Float64(units.Celsius))
		m.set(HoldSpread, high.Float64(units.Celsius)-low.Float64(units.Celsius))
		return m
	}
	a := report.Analysis
	if a == nil || !(a.Hold.Float64(units.Second) > 0) {
		return m
	}
	m.set(TimeToTemperature, a.HoldStart.Float64(units.Second))
	m.set(EquilibrationTime, a.Equilibration.Float64(units.Second))
	m.set(HoldOffset, a.Coldest.Temperature.Float64(units.Celsius)-set.Float64(units.Celsius))
	m.set(HoldSpread, a.Spread.Float64(units.KelvinDifference))
	if p, ok := deepest(cy.Trace, a.HoldStart.Float64(units.Second)); ok {
		m.set(LowestPressure, p)
	}
	return m
}

// deepest returns the lowest absolute pressure before the hold, in kPa, of a trace
// that can be read.
func deepest(t *cycle.Trace, before float64) (float64, bool) {
	low, found := math.Inf(1), false
	second := units.New(1, 0, t.Time.Unit).Float64(units.Second)
	for _, ch := range t.AbsolutePressures {
		kPa := units.New(1, 0, ch.Unit).Float64(units.Kilopascal)
		for i, v := range ch.Values {
			if t.Time.Values[i]*second < before {
				low, found = min(low, v*kPa), true
			}
		}
	}
	return low, found
}

// The drift chart. Its figures are design choices of this library, derived below,
// and no document's.
//
// The first DriftBaseline values set the centre (their median) and the scale
// (1.4826 times the median distance from it, at least driftFloor of the unit of the
// measure). Each later value is expressed in that scale, cut at ±DriftClip so that
// one wild reading cannot raise an alarm, and averaged with weight DriftWeight:
//
//	z := DriftWeight*x + (1-DriftWeight)*z
//
// An alarm is raised when |z| exceeds DriftLimit, in units of the scale: 5.25 times
// the standard deviation that z comes to for steady values, so wide because the
// baseline is short. What that gives, for normal values, is shown by a test: with the
// baseline estimated from 40 values a steady series raises a false alarm within its
// next 250 values in about 1 of 100 cases; a move of two scales is found after about
// 14 values, one of three after about 6, one of one scale in about 6 of 10 cases
// within 250 values. With centre and scale known, the mean number of values until
// an alarm is about 227 for a move of one scale (a Markov chain and a simulation
// agree) and about 26 million for none.
const (
	DriftBaseline = 40
	DriftWeight   = 0.2
	DriftClip     = 3.0
	DriftLimit    = 1.75
)

// Drift is where one measure of one sterilizer and kind of cycle stands.
type Drift struct {
	Sterilizer string       `json:"sterilizer"`
	Kind       CycleSetting `json:"kind,omitzero"`
	Measure    Measure      `json:"measure"`
	Values     int          `json:"count"`           // how many there are
	Centre     float64      `json:"centre"`          // median of the baseline
	Scale      float64      `json:"scale"`           // robust standard deviation of the baseline
	Smoothed   float64      `json:"smoothed"`        // newest, in units of Scale from Centre
	Limit      float64      `json:"limit"`           // alarm beyond this, in units of Scale
	Alarm      bool         `json:"alarm,omitempty"` // the newest smoothed value is beyond the limit
	Since      time.Time    `json:"since,omitzero"`
	Enough     bool         `json:"enough,omitempty"` // there are more values than the baseline needs

	in moistheat.Language
}

// String returns the line for a person.
func (d Drift) String() string {
	number := func(v float64) string { return fmt.Sprintf("%.4g", v) }
	text := lang.Text("steady at about {centre:number}")
	switch {
	case !d.Enough:
		text = "values so far: {count:number}; needed: {needed:number}"
	case d.Alarm:
		text = "has moved from {centre:number} to about {now:number} since {since:date}"
	}
	stands := say(d.in, text, "count", strconv.Itoa(d.Values), "needed", strconv.Itoa(DriftBaseline+1),
		"centre", number(d.Centre), "now", number(d.Centre+d.Smoothed*d.Scale),
		"since", moistheat.DateOf(d.Since).String())
	of := lang.Text("{machine}, {kind}: {measure:history.Measure}: {stands}")
	if d.Kind == (CycleSetting{}) { // as of leak tests
		of = "{machine}: {measure:history.Measure}: {stands}"
	}
	return moistheat.Visible(say(d.in, of, "machine",
		prose.Name(d.Sterilizer), "kind", d.in.Detail(d.Kind.words()), "measure", d.Measure.String(), "stands", stands))
}

// chart follows one series of values in time order.
type chart struct {
	n             int
	base          [DriftBaseline]float64
	centre, scale float64
	z             float64
	alarm         bool
	since         time.Time
}

// driftFloor is the smallest scale, by measure: a tenth of what a display shows.
// Without it a baseline of equal readings would make every change an alarm.
var driftFloor = [...]float64{1, 1, 1, 0.05, 0.05, 0.1, 1, 0.005}

func (c *chart) add(v, floor float64, at time.Time) {
	if c.n < DriftBaseline {
		c.base[c.n] = v
		if c.n++; c.n == DriftBaseline {
			c.centre = median(c.base[:])
			var apart [DriftBaseline]float64
			for i, b := range c.base {
				apart[i] = math.Abs(b - c.centre)
			}
			c.scale = max(1.4826*median(apart[:]), floor)
		}
		return
	}
	c.n++
	x := min(max((v-c.centre)/c.scale, -DriftClip), DriftClip)
	c.z = DriftWeight*x + (1-DriftWeight)*c.z
	was := c.alarm
	c.alarm = math.Abs(c.z) > DriftLimit
	if c.alarm && !was {
		c.since = at
	}
}

func median(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}

// Drift follows every measure of every sterilizer and kind of cycle. Leak tests of
// a sterilizer are one series. Loads that were aborted or never reached their
// temperature have no measure.
func (h *History) Drift() []Drift {
	var out []Drift
	for _, id := range h.Sterilizers() {
		type key struct {
			kind CycleSetting
			m    Measure
		}
		charts := map[key]*chart{}
		feed := func(k key, v float64, at time.Time) {
			if charts[k] == nil {
				charts[k] = &chart{}
			}
			charts[k].add(v, driftFloor[k.m], at)
		}
		for _, e := range h.units()[id].timeline() {
			if e.kind == calendar.LeakEvent && e.leak.IsValid() {
				feed(key{m: LeakRateMeasure}, e.leak.Float64(units.KilopascalPerMinute), e.end)
			}
			for m := Measure(1); int(m) <= measures; m++ {
				if v, ok := e.metrics.get(m); ok {
					feed(key{e.cycle, m}, v, e.end)
				}
			}
		}
		keys := slices.SortedFunc(maps.Keys(charts), func(a, b key) int {
			return cmp.Or(strings.Compare(a.kind.String(), b.kind.String()), cmp.Compare(a.m, b.m))
		})
		for _, k := range keys {
			c := charts[k]
			out = append(out, Drift{
				Sterilizer: id, Kind: k.kind, Measure: k.m, Values: c.n, Centre: c.centre, Scale: c.scale,
				Smoothed: c.z, Limit: DriftLimit, Alarm: c.alarm, Since: c.since, Enough: c.n > DriftBaseline,
			})
		}
	}
	return out
}
