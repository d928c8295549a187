package equipment

import (
	"math"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// CheckSmallLoad judges a test with a small load: the temperature above it, on one
// channel, against that of the reference point on another, through the plateau. The
// plateau is the equilibration and the hold that the analysis of the trace found.
// There is one finding for its first minute and one for the rest.
func CheckSmallLoad(t *cycle.Trace, a *cycle.Analysis, above, reference string, f Figures) []moistheat.Finding {
	l := book.List(make([]moistheat.Finding, 0, 2))
	first, after := math.NaN(), math.NaN()
	if t != nil && a != nil && a.Hold.IsValid() && !a.Coarse && a.Equilibration.IsValid() {
		end := a.HoldEnd.Float64(units.Second)
		start := a.HoldStart.Float64(units.Second) - a.Equilibration.Float64(units.Second)
		first, after = apartIn(t, above, reference, start, start+f.SmallLoadSettling.Value.Float64(units.Second), end)
	}
	for _, part := range [...]struct {
		when  moistheat.Detail
		apart float64
		limit moistheat.Figure[units.TemperatureDifferenceUnit]
	}{
		{lang.Say("first-minute: in the first minute"), first, f.SmallLoadFirst},
		{lang.Say("after-first-minute: after the first minute"), after, f.SmallLoadAfter},
	} {
		apart := units.FromFloat64(part.apart, 2, units.KelvinDifference)
		q := under(l.Ask(smallloadApart, ""), apart.Value(), part.limit).Say("when", part.when)
		if t != nil && !apart.IsValid() {
			q.Open(moistheat.NotMeasurable)
		}
		ask.AtMost(q, apart, part.limit.Value)
	}
	return l.Findings
}

// apartIn returns the largest distance of two channels, in kelvins, from start to
// settled and from there to end, in seconds. A sample at settled counts with those
// after it, which have the smaller limit. Without samples or channels the result is
// no finite number, nor is it where a reading is none.
func apartIn(t *cycle.Trace, above, reference string, start, settled, end float64) (first, after float64) {
	first, after = math.Inf(-1), math.Inf(-1)
	x, y := channel(t, above), channel(t, reference)
	second := units.New(1, 0, t.Time.Unit).Float64(units.Second)
	if x == nil || y == nil || x == y {
		return first, after
	}
	for i, at := range t.Time.Values {
		at *= second
		if !(at >= start && at <= end) {
			continue
		}
		a, b := units.FromFloat64(x.Values[i], 9, x.Unit), units.FromFloat64(y.Values[i], 9, y.Unit)
		d := math.Abs(a.Float64(units.Kelvin) - b.Float64(units.Kelvin))
		part := &after
		if at < settled {
			part = &first
		}
		*part = max(*part, d)
	}
	return first, after
}

// channel returns the thermometer of a name, or nil if there is none or if there are
// several.
func channel(t *cycle.Trace, id string) (found *cycle.TemperatureChannel) {
	for i := range t.Temperatures {
		if c := &t.Temperatures[i]; c.ID == id {
			if found != nil {
				return nil
			}
			found = c
		}
	}
	if found != nil && len(found.Values) != len(t.Time.Values) {
		return nil
	}
	return found
}
