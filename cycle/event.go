package cycle

import (
	"math"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/units"
)

const (
	// A time that somebody reads off a clock and writes down is one to the minute.
	clockReading = time.Minute
	// Two measuring points differ by no more than this during the holding time, in kelvins
	// (EN 285 and EN 13060, recalled). One of them may be printed and the other recorded.
	twoPointsKelvin = 2
)

// event asks whether all that is on record about the cycle can be of one cycle.
func (c *checker) event() {
	c.outside()
	c.duration()
	set, dried := c.e.Settings.Drying, c.e.Printed.DryingTime
	q := c.Ask(dryingShortened, ask.Nearest(c.e, "/printed/dryingTime")).When(set.IsValid() && dried.IsValid())
	ask.AtLeast(q, dried, set)
	c.apart()
}

// outside asks whether the recording lies within its cycle. Instants are compared: one
// of the clocks may keep UTC.
func (c *checker) outside() {
	t := c.e.Trace
	if t == nil {
		return
	}
	q := c.Ask(traceOutside, ask.Nearest(c.e, "/trace/start"))
	n := len(t.Time.Values)
	scale := units.New(1, 0, t.Time.Unit).Float64(units.Second)
	var first, last float64
	if n > 0 {
		first, last = t.Time.Values[0]*scale, t.Time.Values[n-1]*scale
	}
	if n == 0 || !(math.Abs(first) <= maxSeconds && math.Abs(last) <= maxSeconds) {
		because(q, unreadable())
		return
	}
	at := func(s float64) time.Time { return t.Start.Add(time.Duration(s * float64(time.Second))) }
	timed, from, to := !t.Start.IsZero(), c.e.Started, c.e.Ended
	switch {
	case timed && !from.IsZero() && at(first).Before(from.Add(-clockReading)):
		q.Broken().
			Say("reason", lang.Say("recording-begins-before: begins {1:number} before its cycle",
				apartBy(at(first), from)))
	case timed && !to.IsZero() && at(last).After(to.Add(clockReading)):
		q.Broken().
			Say("reason", lang.Say("recording-ends-after: ends {1:number} after its cycle", apartBy(to, at(last))))
	case !timed:
		because(q, Doubt{moistheat.Unrecorded,
			lang.Say("recording-start-unrecorded: the start of the recording is not recorded")})
	case from.IsZero() || to.IsZero():
		because(q, Doubt{moistheat.Unrecorded,
			lang.Say("cycle-times-unrecorded: the start or the end of the cycle is not recorded")})
	default:
		q.Met()
	}
}

// apartBy writes the time between two instants for a message.
func apartBy(from, to time.Time) string {
	apart := units.New(int64(to.Sub(from).Round(time.Second)/time.Second), 0, units.Second).Value()
	return prose.Measured(apart, units.New(1, 0, units.Hour).Value())
}

// duration asks whether the exposure and the drying on record fit between the start and
// the end of the cycle. Drying that was set and not printed may have been cut short, and
// then it is not known whether they fit.
func (c *checker) duration() {
	from, to, hold := c.e.Started, c.e.Ended, c.e.Printed.HoldTime
	if !hold.IsValid() {
		hold = c.a.Hold
	}
	q := c.Ask(durationShort, ask.Nearest(c.e, "/ended"))
	if from.IsZero() || to.IsZero() {
		because(q, Doubt{moistheat.Unrecorded,
			lang.Say("cycle-times-unrecorded: the start or the end of the cycle is not recorded")})
		return
	}
	if !hold.IsValid() {
		because(q, Doubt{moistheat.Unrecorded,
			lang.Say("exposure-time-unrecorded: the time of the exposure is not recorded")})
		return
	}
	took := units.New(to.Sub(from).Milliseconds(), -3, units.Second)
	dried, set := c.e.Printed.DryingTime, c.e.Settings.Drying
	needs := sum(hold, dried)
	switch q.Of(took.Value(), needs.Value()); {
	case took.Compare(needs) < 0:
		q.Broken()
	case !dried.IsValid() && took.Compare(sum(hold, set)) < 0:
		because(q, Doubt{moistheat.Unrecorded,
			lang.Say("drying-unrecorded: the drying that was set does not fit, and how long it took is not recorded")})
	default:
		q.Met()
	}
}

// sum adds what is on record of two durations, to the millisecond.
func sum(a, b units.Duration) units.Duration {
	s := 0.0
	for _, d := range [...]units.Duration{a, b} {
		if d.IsValid() {
			s += d.Float64(units.Second)
		}
	}
	return units.FromFloat64(s, 3, units.Second)
}

// apart asks whether what was printed can be of the cycle that was recorded: the highest
// and the lowest temperature of the hold, one by the printer's sensor, one by the
// recording's.
func (c *checker) apart() {
	p := &c.e.Printed
	if c.e.Trace == nil || !p.MinimumTemperature.IsValid() && !p.MaximumTemperature.IsValid() {
		return
	}
	q, top := c.Ask(printedApart, "/printed"), c.e.Trace.hottest()
	if math.IsInf(top, -1) || c.doubtful || c.a.Has(Implausible) {
		because(q, impossible())
		return
	}
	high, low := bounds{math.Inf(-1), top}, bounds{math.Inf(-1), top}
	if h := &c.a.Hottest; h.Temperature.IsValid() && !c.a.Has(Spike) { // a reading that jumps is none
		high.low, low.high = h.Temperature.Float64(units.Celsius), h.Temperature.Float64(units.Celsius)
		low.low = c.a.Coldest.Temperature.Float64(units.Celsius)
	}
	worst, at := 0.0, ""
	for _, t := range [...]struct {
		at       string
		printed  units.Temperature
		recorded bounds
	}{
		{"/printed/minimumTemperature", p.MinimumTemperature, low},
		{"/printed/maximumTemperature", p.MaximumTemperature, high},
	} {
		if !t.printed.IsValid() {
			continue
		}
		if d := printedCelsius(t.printed).apart(t.recorded); at == "" || d > worst {
			worst, at = d, t.at
		}
	}
	measured := units.FromFloat64(math.Floor(worst*100+1e-7)/100, 2, units.KelvinDifference)
	ask.AtMost(q.At(at), measured, units.New(twoPointsKelvin, 0, units.KelvinDifference))
}

// hottest returns the highest temperature of the recording, in degrees Celsius, or minus
// infinity if there is none.
func (t *Trace) hottest() float64 {
	top := math.Inf(-1)
	for i := range t.Temperatures {
		c := &t.Temperatures[i]
		if c.Place == Jacket {
			continue
		}
		in := celsiusFrom(c.Unit)
		for _, v := range c.Values {
			top = max(top, in.of(v))
		}
	}
	return top
}
