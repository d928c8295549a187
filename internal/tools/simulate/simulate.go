// Package simulate makes sensor traces of steam-sterilization cycles from a plain
// physical model, for demonstrations and tests. The traces are invented; the
// physics in them is not.
//
// # Model
//
// The chamber holds a mixture of steam and air at one pressure. A run is a list of
// stages that move the pressure: vacuum and venting fall exponentially towards
// their end, steam rises linearly. While steam enters it thins the air by simple
// dilution: evacuating from p to q and refilling with steam leaves the fraction
// q/p of the air that was there. A steam flush at constant pressure (gravity
// displacement) drives air out exponentially. The gas temperature is that of
// saturated steam at the partial pressure of the steam; under vacuum the chamber
// wall warms what is inside. Each sensor follows the gas with a lag of first order,
// has a fixed offset, a little noise, and reads to a tenth of a degree or of a
// kilopascal.
package simulate

import (
	"math"
	"math/rand/v2"

	"example.com/moistheat/cycle/steam"
)

// Run describes a cycle.
type Run struct {
	AtmosphereKPa float64
	Pulses        int     // vacuum pulses; 0 is gravity displacement
	VacuumKPa     float64 // lowest pressure of a pulse
	RefillKPa     float64 // pressure to which a pulse is refilled with steam
	FlushSeconds  float64 // steam flush of a gravity cycle
	HoldCelsius   float64 // plateau that the controller aims at
	HoldSeconds   float64 // from the moment the gas reaches it
	DrySeconds    float64
	DryKPa        float64
	Sensors       []Sensor
	Seed          uint64
}

// Sensor is one temperature channel.
type Sensor struct {
	LagSeconds    float64
	OffsetKelvin  float64
	NoiseKelvin   float64
	TrappedAir    float64 // share of air that stays at this place however the chamber is purged
	FailsAtSecond float64 // the place cools by 2 K for the rest of the hold after this many seconds of it; 0 is never
}

// Trace holds what the sensors wrote, once a second.
type Trace struct {
	Seconds     []float64
	PressureKPa []float64   // absolute
	Celsius     [][]float64 // one list a sensor
	Phases      []Phase
}

// Phase names a part of the trace by the second it starts.
type Phase struct {
	Name  string
	Start float64
}

type state struct {
	run      Run
	out      *Trace
	rng      *rand.Rand
	t        float64
	pressure float64
	air      float64 // fraction of the gas that is air
	wall     float64 // °C, warms the gas under vacuum
	sensors  []float64
	held     float64 // seconds of hold so far, while holding
}

// Simulate runs the model.
func Simulate(r Run) *Trace {
	s := &state{run: r, out: &Trace{Celsius: make([][]float64, len(r.Sensors))}, rng: rand.New(rand.NewPCG(r.Seed, 1)),
		pressure: r.AtmosphereKPa, air: 1, wall: 60, sensors: make([]float64, len(r.Sensors))}
	for i := range s.sensors {
		s.sensors[i] = 28
	}
	for range r.Pulses {
		s.phase("vacuum")
		s.fall(r.VacuumKPa, 22)
		air := s.air
		s.phase("steam")
		s.rise(r.RefillKPa, 2.2, func(p float64) { s.air = air * r.VacuumKPa / p })
	}
	if r.Pulses == 0 {
		s.phase("flush")
		for start := s.t; s.t-start < r.FlushSeconds; {
			s.air *= math.Exp(-1.0 / 45)
			s.step()
		}
	}
	s.phase("heat-up")
	target := steam.SaturationPressureKPa(r.HoldCelsius)
	from, air := s.pressure, s.air
	s.rise(target, 1.6, func(p float64) { s.air = air * from / p })
	s.phase("hold")
	for start := s.t; s.t-start < r.HoldSeconds; {
		s.held = s.t - start
		s.pressure = target + 0.6*math.Sin(2*math.Pi*(s.t-start)/37)
		s.air *= math.Exp(-1.0 / 30)
		s.step()
	}
	s.held = 0
	s.phase("exhaust")
	s.fall(r.AtmosphereKPa, 18)
	if r.DrySeconds > 0 {
		s.phase("drying")
		s.wall = 118
		for end := s.t + r.DrySeconds; s.t < end; {
			s.pressure = r.DryKPa + (s.pressure-r.DryKPa)*math.Exp(-1.0/40)
			s.air = max(s.air, 0.5)
			s.step()
		}
	}
	s.phase("air inlet")
	for s.pressure < r.AtmosphereKPa-0.5 {
		s.pressure += (r.AtmosphereKPa - s.pressure) / 8
		s.air = max(s.air, 0.9)
		s.step()
	}
	return s.out
}

func (s *state) phase(name string) { s.out.Phases = append(s.out.Phases, Phase{name, s.t}) }

func (s *state) fall(to, seconds float64) {
	for s.pressure > to+1 {
		s.pressure = to + (s.pressure-to)*math.Exp(-1/seconds)
		s.step()
	}
}

func (s *state) rise(to, kPaPerSecond float64, dilute func(p float64)) {
	for s.pressure < to {
		s.pressure = min(to, s.pressure+kPaPerSecond)
		dilute(s.pressure)
		s.step()
	}
}

// gas returns the temperature of the gas with a share of trapped air beside the
// chamber's own.
func (s *state) gas(trapped float64) float64 {
	p := max(1, s.pressure*(1-min(0.999, s.air+trapped)))
	t := steam.SaturationTemperatureCelsius(p)
	if s.pressure < s.run.AtmosphereKPa {
		return max(t, s.wall)
	}
	return t
}

func (s *state) step() {
	s.out.Seconds = append(s.out.Seconds, s.t)
	s.out.PressureKPa = append(s.out.PressureKPa, tenth(s.pressure+0.1*s.rng.NormFloat64()))
	for i, c := range s.run.Sensors {
		t := s.gas(c.TrappedAir)
		s.sensors[i] += (t - s.sensors[i]) * (1 - math.Exp(-1/c.LagSeconds))
		reading := s.sensors[i] + c.OffsetKelvin + c.NoiseKelvin*s.rng.NormFloat64()
		if c.FailsAtSecond > 0 && s.held >= c.FailsAtSecond {
			reading -= 2
		}
		s.out.Celsius[i] = append(s.out.Celsius[i], tenth(reading))
	}
	s.t++
}

func tenth(x float64) float64 { return math.Round(x*10) / 10 }
