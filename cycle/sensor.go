package cycle

import (
	"math"
	"slices"
	"strconv"

	"example.com/moistheat/cycle/steam"
)

// What a sensor can not do, this library's own bounds. A sensor follows the steam
// with a lag of seconds: it does not jump and come back between two samples. Nor
// does it show the very same number for minutes while another one moves.
const (
	spikeKelvin = 10.0
	spikeKPa    = 40.0
	// A sensor that was as hot as another one and shows the very same number long
	// after the other has gone away from it is stuck. Where steam is under pressure
	// that is soon clear; below, a sensor may lie in air, or water may boil.
	nearKelvin      = 3.0
	awayKelvin      = 10.0
	hotCelsius      = 105.0
	stuckHotSeconds = 30.0
	stuckSeconds    = 300.0
)

// spike is a sample of a thermometer that can not be right.
type spike struct{ channel, sample int }

// judgeSensors names sensors that are stuck or that jump.
func (s *series) judgeSensors() {
	for k := range s.temps {
		c := &s.temps[k]
		first, n := s.spikesOf(c.values, spikeKelvin/c.celsius.factor, func(i int) { s.spikes = append(s.spikes, spike{k, i}) })
		if n > 0 {
			s.problem(Spike, c.pointer+"/values/"+strconv.Itoa(first), "%s of more than %g K, first here", count(n, "reading that jumps away and back", "readings that jump away and back"), spikeKelvin)
		}
		if s.judgeStuck(c.pointer, c.values, c.celsius.of, s.besides(k), math.Inf(-1)) {
			s.stuckTemperature = true
		}
	}
	for j := range s.pressures {
		m := &s.pressures[j]
		if first, n := s.spikesOf(m.values, spikeKPa/m.kPa, func(int) {}); n > 0 {
			s.problem(Spike, m.pointer+"/values/"+strconv.Itoa(first), "%s of more than %g kPa, first here", count(n, "reading that jumps away and back", "readings that jump away and back"), spikeKPa)
		}
		saturation := func(v float64) float64 { return steam.SaturationTemperatureCelsius(v*m.kPa + m.add) }
		if s.judgeStuck(m.pointer, m.values, saturation, s.besides(-1), hotCelsius) {
			s.stuckPressure = true
		}
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

// judgeStuck names a sensor that shows one number while another leaves it behind. Both
// are in degrees Celsius.
func (s *series) judgeStuck(pointer string, values []float64, own func(v float64) float64, other func(i int) float64, least float64) bool {
	if other == nil {
		return false
	}
	from, near, celsius, wait := 0, -1, 0.0, 0.0
	for i, v := range values {
		if i == 0 || v != values[i-1] {
			from, near, celsius, wait = i, -1, own(v), stuckSeconds
			if celsius >= hotCelsius {
				wait = stuckHotSeconds
			}
		}
		if !(celsius >= least) {
			continue
		}
		d := math.Abs(other(i) - celsius)
		if d <= nearKelvin {
			near = i
		}
		if near >= 0 && d > awayKelvin && s.at(i)-s.at(near) >= wait {
			to := i
			for to < len(values)-1 && values[to+1] == v {
				to++
			}
			s.problem(Stuck, pointer, "reads %s without a change from %s to %s, while another sensor leaves it behind", short(v), seconds(s.at(from)), seconds(s.at(to)))
			return true
		}
	}
	return false
}

// besides returns what a sensor is compared with: the thermometer that moved most,
// other than thermometer k, or else the saturation temperature of the chamber.
func (s *series) besides(k int) func(i int) float64 {
	best, moved := -1, awayKelvin
	for j := range s.temps {
		if j != k && s.temps[j].moved > moved {
			best, moved = j, s.temps[j].moved
		}
	}
	if best >= 0 {
		c := &s.temps[best]
		return func(i int) float64 { return c.celsius.of(c.values[i]) }
	}
	for j := range s.pressures {
		if m := &s.pressures[j]; k >= 0 && !math.IsNaN(m.add) {
			return func(i int) float64 { return steam.SaturationTemperatureCelsius(m.absolute(i)) }
		}
	}
	return nil
}

// allowSpikes leaves it open that the hold was as long as it would be without the
// readings that can not be right. It is called after findHold.
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
