package cycle

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"example.com/moistheat/cycle/steam"
	"example.com/moistheat/internal/lang"
)

// What a sensor cannot do, this library's own bounds. A sensor follows the steam
// with a lag of seconds: it does not jump and come back between two samples. Nor
// does it show the very same number for minutes while another one moves.
const (
	spikeKelvin = 10.0
	spikeKPa    = 40.0
	// A sensor that was as hot as another one and shows the very same number long
	// after all others have gone away from it is stuck. Where steam is under pressure
	// that is soon clear, and as clear of one that shows the number long before the others
	// come to it; below, a sensor may lie in air, or water may boil.
	nearKelvin      = 5.0
	awayKelvin      = 10.0
	hotCelsius      = 105.0
	stuckHotSeconds = 30.0
	stuckSeconds    = 300.0
)

// spike is a sample of a thermometer that cannot be right.
type spike struct{ channel, sample int }

// judgeSensors names sensors that are stuck or that jump.
func (s *series) judgeSensors() {
	for k := range s.temps {
		c := &s.temps[k]
		keep := func(i int) { s.spikes = append(s.spikes, spike{k, i}) }
		first, n := s.spikesOf(c.values, spikeKelvin/c.celsius.factor, keep)
		s.judgeSpikes(c.pointer, first, n, spikeKelvin, "K")
		if s.judgeStuck(c.pointer, c.values, c.celsius.of, k, math.Inf(-1)) {
			s.stuckTemperature = true
		}
	}
	for j := range s.pressures {
		m := &s.pressures[j]
		first, n := s.spikesOf(m.values, spikeKPa/m.kPa, func(int) {})
		s.judgeSpikes(m.pointer, first, n, spikeKPa, "kPa")
		saturation := func(v float64) float64 { return steam.SaturationTemperatureCelsius(v*m.kPa + m.add) }
		if s.judgeStuck(m.pointer, m.values, saturation, -1, hotCelsius) {
			s.stuckPressure = true
		}
	}
}

// judgeSpikes names a sensor that jumps.
func (s *series) judgeSpikes(pointer string, first, n int, size float64, unit string) {
	if n > 0 {
		s.problem(Spike, pointer+"/values/"+strconv.Itoa(first),
			lang.With("trace-jumps-of: {1:text} of more than {2:number}, first here",
				count(n, "trace-jump: 1 reading that jumps away and back",
					"trace-jumps: {1} readings that jump away and back"), lang.Data(fmt.Sprintf("%g %s", size, unit))))
	}
}

// spikesOf counts the single samples that differ from both neighbours by more than a
// size, in the same direction, while the neighbours agree.
func (s *series) spikesOf(values []float64, size float64, found func(i int)) (first, n int) {
	for i := 1; i < len(values)-1; i++ {
		up, down := values[i]-values[i-1], values[i]-values[i+1]
		if !(math.Abs(up) > size && math.Abs(down) > size) || up > 0 != (down > 0) ||
			math.Abs(values[i-1]-values[i+1]) > size/2 || s.at(i+1)-s.at(i-1) > 2*coarseSeconds {
			continue
		}
		if n++; n == 1 {
			first = i
		}
		found(i)
	}
	return first, n
}

// judgeStuck names a sensor that shows one number while all others leave it behind. A
// thermometer, by its number, is compared with the other thermometers and with
// saturated steam; a pressure (-1) with the thermometers.
func (s *series) judgeStuck(pointer string, values []float64, celsius func(v float64) float64,
	thermometer int, least float64) bool {
	for from := 0; from < len(values); {
		v, to := values[from], from
		for to < len(values)-1 && values[to+1] == v {
			to++
		}
		if to > from && s.leftBehind(celsius(v), from, to, thermometer, least) {
			s.problem(Stuck, pointer,
				lang.Say("trace-stuck: reads {1:number} without a change from {2:number} to {3:number}, while "+
					"the others leave it behind", short(v), seconds(s.at(from)).String(), seconds(s.at(to)).String()))
			return true
		}
		from = to + 1
	}
	return false
}

// leftBehind reports whether the others were near a sensor that shows one number from
// one sample to another, and away from it for too long, before or after.
func (s *series) leftBehind(own float64, from, to, thermometer int, least float64) bool {
	wait := stuckSeconds
	if own >= hotCelsius {
		wait = stuckHotSeconds
	}
	if !(own >= least) || s.at(to)-s.at(from) < wait {
		return false
	}
	near, away, long := -1, -1, false
	for i := from + 1; i <= to; i++ {
		d := s.distance(own, i, thermometer)
		switch {
		case d <= nearKelvin:
			near, away = i, -1
		case !(d > awayKelvin):
			away = -1
		case away < 0:
			away = i
		}
		if long = long || away >= 0 && s.at(i)-s.at(away) >= wait; long && near >= 0 {
			return true
		}
	}
	return false
}

// distance returns how far a temperature is from the nearest of the other sensors at
// a sample, or from one that is near, in kelvins; NaN if there is none.
func (s *series) distance(celsius float64, i, thermometer int) float64 {
	least := math.Inf(1)
	for j := range s.temps {
		if j != thermometer {
			c := &s.temps[j]
			if least = min(least, math.Abs(c.celsius.of(c.values[i])-celsius)); least <= nearKelvin {
				return least // near is near enough
			}
		}
	}
	if thermometer >= 0 {
		for j := range s.pressures {
			if d := math.Abs(s.pressures[j].saturation(i) - celsius); d < least {
				least = d
			}
		}
	}
	if math.IsInf(least, 1) {
		return math.NaN()
	}
	return least
}

// saturation returns the saturation temperature at a sample, in °C. It is worked out once
// for all, as each thermometer that shows one number is held against it.
func (m *manometer) saturation(i int) float64 {
	if m.saturated == nil {
		m.saturated = make([]float64, len(m.values))
		for k := range m.values {
			m.saturated[k] = steam.SaturationTemperatureCelsius(m.absolute(k))
		}
	}
	return m.saturated[i]
}

// allowSpikes leaves it open that the hold was as long as it would be without the
// readings that cannot be right. It is called after findHold.
func (s *series) allowSpikes() {
	if len(s.spikes) == 0 || !s.Possible.IsValid() {
		return
	}
	var a Analysis
	mended := *s
	mended.Analysis = &a
	mended.temps = slices.Clone(s.temps)
	a = Analysis{Requirement: s.Requirement, Samples: s.Samples, Coarse: s.Coarse}
	last := -1
	for _, p := range s.spikes {
		c := &mended.temps[p.channel]
		if p.channel != last {
			c.values, last = slices.Clone(c.values), p.channel
		}
		c.values[p.sample] = max(c.values[p.sample-1], c.values[p.sample+1])
	}
	for k := range mended.temps {
		mended.temps[k].arrived = math.NaN()
	}
	mended.findHold()
	if !a.Possible.IsValid() || a.Possible.Compare(s.Possible) > 0 {
		s.Possible = a.Possible
	}
}
