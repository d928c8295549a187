package cycle

import (
	"math"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/cycle/steam"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// What the pressure must do to count as a stage of the cycle, this library's own
// bounds.
const (
	// A turn of the pressure is one that goes back by more than this.
	turnKPa = 5.0
	// The chamber is at rest with the door open, or vented, within this much of the
	// atmosphere. A vacuum is deeper.
	restKPa = 5.0
	// A turn that is nearer to the pressure of the hold than this share of it is
	// the control at work and no pulse.
	plateauShare = 2.0 / 3
)

// PhaseKind names a phase of a cycle. The zero PhaseKind is invalid.
type PhaseKind string

const (
	// AirRemoval: up to the last time that the chamber is drawn down before the
	// hold.
	AirRemoval PhaseKind = "air removal"
	// Heating: from then on, or from the start, until the reference point is at
	// temperature, or all points where there is no reference point.
	Heating PhaseKind = "heating"
	// Equilibrating: from the reference point to the last point at temperature.
	Equilibrating PhaseKind = "equilibration"
	// Holding: all points at temperature.
	Holding PhaseKind = "hold"
	// Exhaust: down to the pressure of the air outside.
	Exhaust PhaseKind = "exhaust"
	// Drying: under vacuum after the exhaust, pulses of air included.
	Drying PhaseKind = "drying"
	// AirAdmission: back from the last vacuum to the air outside.
	AirAdmission PhaseKind = "air admission"
)

// Phase is a stretch of the trace, in time since the start.
type Phase struct {
	Kind  PhaseKind      `json:"kind"`
	Start units.Duration `json:"start,omitzero"`
	End   units.Duration `json:"end,omitzero"`
}

// Length returns how long the phase lasted.
func (p Phase) Length() units.Duration {
	return seconds(p.End.Float64(units.Second) - p.Start.Float64(units.Second))
}

// Pulse is one fall and rise of the pressure before the hold.
type Pulse struct {
	At     units.Duration         `json:"at,omitzero"`     // of the trough, since the start
	Trough units.AbsolutePressure `json:"trough,omitzero"` // where the pressure turned upwards
	Peak   units.AbsolutePressure `json:"peak,omitzero"`   // where it turned down again, or reached the hold
	Vacuum bool                   `json:"vacuum"`          // the trough is more than 5 kPa below the atmosphere
}

// Profile is what a trace shows of the way through the cycle, from its pressure and
// temperatures and not from the names of programmes. Pressures are rounded to
// 0.01 kPa.
//
// The pressure of the air outside is that of the requirement, or else the first
// pressure of the trace if that can be one.
type Profile struct {
	Phases []Phase `json:"phases,omitzero"` // in order of time, without overlap
	Pulses []Pulse `json:"pulses,omitzero"` // before the hold
	// ResidualAir is the share of the air in the chamber at the start that dilution
	// leaves: the product of trough over peak of every rise. It takes each fill of
	// steam as well mixed and counts no steam that condensed. It is invalid without
	// pulses, since a flush at constant pressure leaves no mark on the pressure.
	ResidualAir units.Ratio `json:"residualAir,omitzero"`
	// FromRest says that the trace begins before the cycle did anything: at the
	// pressure of the air outside. Only then are all its pulses on record.
	FromRest bool `json:"fromRest,omitzero"`
	// DryingVacuum is the lowest pressure of the drying.
	DryingVacuum units.AbsolutePressure `json:"dryingVacuum,omitzero"`
	// DryingCut says that the trace ends before the drying does.
	DryingCut bool `json:"dryingCut,omitzero"`
	Doubt          // about pulses, exhaust and drying, if there is one
}

// Phase returns the phase of a kind, if the trace shows it. A nil *Profile shows none.
func (c *Profile) Phase(k PhaseKind) (p Phase, ok bool) {
	if c == nil {
		return Phase{}, false
	}
	if i := slices.IndexFunc(c.Phases, func(p Phase) bool { return p.Kind == k }); i >= 0 {
		return c.Phases[i], true
	}
	return Phase{}, false
}

// vacuums counts the pulses that go below the atmosphere.
func (c *Profile) vacuums() (n int) {
	for _, p := range c.Pulses {
		if p.Vacuum {
			n++
		}
	}
	return n
}

func kilopascals(x float64) units.AbsolutePressure { return units.FromFloat64(x, 2, units.Kilopascal) }

// turn is where a pressure turned: a trough, or a peak.
type turn struct {
	sample int
	kPa    float64
	peak   bool
	first  bool // the lowest point before the first rise: nothing fell to it
}

// turns follows a pressure and finds where it turns, disregarding whatever is no
// more than turnKPa. The zero turns is ready to use.
type turns struct {
	direction int // 0 until the first move
	low, high turn
	started   bool
}

// add takes in a sample and returns the turn that it makes certain, if any.
func (t *turns) add(i int, kPa float64) (found turn, ok bool) {
	if !t.started {
		t.started = true
		t.low, t.high = turn{sample: i, kPa: kPa}, turn{sample: i, kPa: kPa, peak: true}
	}
	if kPa < t.low.kPa {
		t.low = turn{sample: i, kPa: kPa}
	}
	if kPa > t.high.kPa {
		t.high = turn{sample: i, kPa: kPa, peak: true}
	}
	switch {
	case t.direction <= 0 && kPa-t.low.kPa > turnKPa:
		found, ok = t.low, true
		found.first = t.direction == 0
		t.direction, t.high = 1, turn{sample: i, kPa: kPa, peak: true}
	case t.direction >= 0 && t.high.kPa-kPa > turnKPa:
		found, ok = t.high, t.direction > 0
		t.direction, t.low = -1, turn{sample: i, kPa: kPa}
	}
	return found, ok
}

// followCourse finds the phases. It is called after findHold.
func (s *series) followCourse() {
	c := &s.Profile
	switch {
	case !s.believable:
		c.Doubt = impossible()
		return
	case s.Intervals == 0:
		c.Doubt = notReached()
		return
	}
	r := &s.run
	reached := r.start
	if r.equilibration > 0 {
		reached -= r.equilibration
	}
	begin := s.at(0)
	var m *manometer
	if j := slices.IndexFunc(s.pressures, manometer.known); j >= 0 {
		m = &s.pressures[j]
	}
	switch {
	case len(s.pressures) == 0:
		c.Doubt = noPressure()
	case m == nil:
		c.Doubt = noAtmosphere()
	}
	add := func(k PhaseKind, start, end float64) {
		if end > start {
			c.Phases = append(c.Phases, Phase{k, seconds(start), seconds(end)})
		}
	}
	c.Phases = make([]Phase, 0, 7) // each kind once at most
	outside := math.NaN()
	heat := begin
	if m != nil {
		outside = s.atmosphere
		if first := m.absolute(0); math.IsNaN(outside) && first >= steam.LowestAtmosphere && first <= steam.HighestAtmosphere {
			outside = first
		}
		c.FromRest = math.Abs(m.absolute(0)-outside) <= restKPa
		heat = max(heat, s.followPulses(m, outside))
	}
	add(AirRemoval, begin, heat)
	add(Heating, heat, reached)
	add(Equilibrating, max(reached, heat), r.start)
	add(Holding, r.start, r.end)
	if m == nil {
		return
	}
	if math.IsNaN(outside) {
		c.Doubt = Doubt{moistheat.Unrecorded,
			lang.Say("outside-pressure-unknown: the pressure of the air outside is not known")}
		return
	}
	s.followDrying(m, outside, add)
}

// known reports whether the absolute pressure is known.
func (m manometer) known() bool { return !math.IsNaN(m.add) }

// absolute returns a reading in kilopascals.
func (m *manometer) absolute(i int) float64 { return m.values[i]*m.kPa + m.add }

// followPulses fills in the pulses and returns when the last began to rise.
func (s *series) followPulses(m *manometer, outside float64) (heat float64) {
	c := &s.Profile
	heat = math.Inf(-1)
	left := 1.0          // share of the air
	bottom := math.NaN() // of the present rise
	rise := func(peak float64) {
		if bottom >= 0 && peak > 0 {
			left *= bottom / peak
		}
		if n := len(c.Pulses); n > 0 && !c.Pulses[n-1].Peak.IsValid() {
			c.Pulses[n-1].Peak = kilopascals(peak)
		}
		bottom = math.NaN()
	}
	plateau := m.absolute(s.run.first)
	var t turns
	for i := 0; i <= s.run.first; i++ {
		found, ok := t.add(i, m.absolute(i))
		switch {
		case !ok:
		case found.peak:
			rise(found.kPa)
		case found.kPa <= plateau*plateauShare:
			if bottom = found.kPa; !found.first {
				heat = s.at(found.sample)
				c.Pulses = append(c.Pulses, Pulse{At: seconds(heat), Trough: kilopascals(bottom), Vacuum: bottom < outside-restKPa})
			}
		}
	}
	rise(plateau)
	if len(c.Pulses) > 0 {
		c.ResidualAir = units.FromFloat64(left*100, 6, units.Percent)
	}
	return heat
}

// followDrying finds what came after the hold.
func (s *series) followDrying(m *manometer, outside float64, add func(k PhaseKind, start, end float64)) {
	c := &s.Profile
	vented, vacuum := -1, -1
	lowest := math.Inf(1)
	trough := turn{sample: -1}
	var t turns
	for i := s.run.last + 1; i < s.Samples; i++ {
		p := m.absolute(i)
		if vented < 0 && p <= outside+restKPa {
			vented = i
		}
		if vacuum < 0 && p < outside-restKPa {
			vacuum = i
			t.direction = -1 // it came from above
		}
		if vacuum < 0 {
			continue
		}
		lowest = min(lowest, p)
		if found, ok := t.add(i, p); ok {
			trough = found
		}
	}
	last := s.Samples - 1
	if vented < 0 {
		vented = last
	}
	add(Exhaust, s.run.end, s.at(vented))
	if vacuum < 0 {
		return
	}
	c.DryingVacuum = kilopascals(lowest)
	if trough.sample < 0 || trough.peak { // it did not rise again
		c.DryingCut = true
		add(Drying, s.at(vacuum), s.at(last))
		return
	}
	// The last samples near the bottom of the last trough still belong to it.
	end := trough.sample
	for end < last && m.absolute(end+1) <= trough.kPa+turnKPa {
		end++
	}
	back := end
	for back < last && m.absolute(back) < outside-restKPa {
		back++
	}
	add(Drying, s.at(vacuum), s.at(end))
	add(AirAdmission, s.at(end), s.at(back))
}
