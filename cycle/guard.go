package cycle

import (
	"math"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// GuardBand is what the accuracy of the sensors leaves of a hold: guarded acceptance
// after JCGM 106:2012, 8.3, with the stated accuracy as the guard band.
type GuardBand struct {
	// Hold is the hold if every thermometer reads too high by its accuracy, by the
	// same rules as [Analysis].Hold. It is invalid if an accuracy is not stated; the
	// Doubt then says whose.
	Hold units.Duration `json:"hold,omitzero"`
	// Possible is to Hold what [Analysis].Possible is to the hold as read.
	Possible units.Duration `json:"possible,omitzero"`
	// FalseAcceptance is at most the probability that the required hold was missed
	// although the readings show it (JCGM 106:2012, 7.2 and 3.3.13), rounded up to
	// 0.0001 %. It takes the error of each sensor as normal, with half of the stated
	// accuracy as its standard deviation, the same all through the hold, and adds
	// the channels up, which needs no independence. It is invalid if the readings
	// do not show the hold.
	FalseAcceptance units.Ratio `json:"falseAcceptance,omitzero"`
	Doubt
}

const (
	coverage  = 2.0  // standard deviations in a stated accuracy
	mostWidth = 4.0  // accuracies beyond which nobody looks: 8 standard deviations
	widthStep = 0.01 // accuracies
)

// widthOf returns the accuracy of a channel in kelvins or degrees Fahrenheit, as
// the channel is; NaN if it is not stated or cannot be one.
func widthOf(c *TemperatureChannel) float64 {
	scale := units.KelvinDifference
	if c.Unit == units.Fahrenheit {
		scale = units.FahrenheitDifference
	}
	w := c.Accuracy.Float64(scale)
	if !c.Accuracy.IsValid() || !(w > 0) {
		return math.NaN()
	}
	return w
}

// within leaves of a series the samples from first to last and one on either side. A
// hold at higher limits lies within the first and last sample of those at lower ones.
func (s *series) within(first, last int) {
	first, last = max(first-1, 0), min(last+1, len(s.trace.Time.Values)-1)
	t := *s.trace
	t.Time.Values = t.Time.Values[first : last+1]
	s.trace = &t
	for k := range s.temps {
		s.temps[k].values = s.temps[k].values[first : last+1]
	}
}

// guard takes the accuracy off. It is called after findHold.
func (s *series) guard() {
	g := &s.GuardBand
	for k := range s.temps {
		if math.IsNaN(s.temps[k].width) {
			g.Doubt = Doubt{moistheat.Unrecorded,
				lang.Say("sensor-accuracy-unrecorded: the accuracy of {1} is not recorded", s.temps[k].id)}
			return
		}
	}
	if !s.Requirement.IsValid() {
		g.Doubt = Doubt{moistheat.NoLimit,
			lang.Say("temperature-needed-unknown: nothing says which temperature is needed")}
		return
	}
	var a Analysis
	shifted := *s
	shifted.Analysis = &a
	shifted.temps = slices.Clone(s.temps)
	held := func(widths float64) units.Duration {
		a = Analysis{Requirement: s.Requirement, Samples: len(shifted.trace.Time.Values), Coarse: s.Coarse}
		for k := range shifted.temps {
			c := &shifted.temps[k]
			c.limit = s.temps[k].limit + widths*c.width
			c.arrived = math.NaN()
		}
		shifted.findHold()
		return a.Hold
	}
	g.Hold = held(1)
	g.Possible = a.Possible
	need := s.Requirement.Hold
	if !need.IsValid() || s.Hold.Compare(need) < 0 {
		return
	}
	shifted.within(s.hot[0], s.hot[1])
	// The widest margin at which the hold is still long enough.
	low, high := 0, int(mostWidth/widthStep)
	for high-low > 1 {
		if mid := (low + high) / 2; held(float64(mid)*widthStep).Compare(need) >= 0 {
			low = mid
		} else {
			high = mid
		}
	}
	p := float64(len(s.temps)) * math.Erfc(float64(low)*widthStep*coverage/math.Sqrt2) / 2
	g.FalseAcceptance = units.FromFloat64(min(100, math.Ceil(p*1e6)/1e4), 4, units.Percent)
}
