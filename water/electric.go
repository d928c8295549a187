package water

import (
	"math/big"

	"example.com/moistheat"
	"example.com/moistheat/units"
)

// electric judges conductivity and resistivity, each by the other where need be. All
// is held as conductivity in S/m.
func (k *checker) electric(r *row) (figure, verdict) {
	s := k.Sample
	var f figure
	var at Correction
	byResistivity := r.Determinand == Resistivity && s.Resistivity != nil || s.Conductivity == nil
	switch {
	case s.Conductivity == nil && s.Resistivity == nil:
		return figure{pointer: pointerTo(r.Determinand)}, undetermined(reasonMissing)
	case byResistivity:
		f, at = s.Resistivity.figure(Resistivity), s.Resistivity.Correction
		if !f.reason.isValid() {
			f = f.reciprocal()
		}
	default:
		f, at = s.Conductivity.figure(Conductivity), s.Conductivity.Correction
	}
	switch {
	case r.Unjudged != "":
		return f, undetermined(unstated(r.Unjudged))
	case f.reason.isValid():
		return f, undetermined(f.reason)
	case r.steps != nil:
		return f, r.stages(f, at, s.Equilibrated)
	}
	v := r.bounds.judgeElectric(f, at, r.At)
	if places := k.slipPlaces(f); places != 0 && v.outcome != moistheat.Undetermined {
		slipped := f
		slipped.step = units.Value{}
		slipped.span.lo, slipped.span.hi = shift(f.span.lo, places), shift(f.span.hi, places)
		v = agree(v, r.bounds.judgeElectric(slipped, at, r.At), reasonSlip)
	}
	return f, v
}

// shift multiplies a conductivity by a power of ten.
func shift(v units.Value, places int) units.Value {
	q, ok := units.Of[units.ConductivityUnit](v)
	if !ok {
		return v
	}
	d := q.Decimal()
	return units.New(d.Coefficient().Int64(), int(d.Exponent())+places, q.Unit()).Value()
}

// reciprocalPlaces is the quantum of a conductivity that comes from a resistivity:
// 1e-12 µS/cm.
const reciprocalPlaces = 12

// reciprocal turns a resistivity into a conductivity.
func (f figure) reciprocal() figure {
	inv := func(x units.Value) units.Value {
		q, ok := units.Of[units.ResistivityUnit](x)
		if !ok {
			return x
		}
		k, err := units.ConductivityOf(q, units.MicrosiemensPerCentimetre, reciprocalPlaces, units.Down)
		if err != nil {
			f.reason = reasonValue
		}
		return k.Value()
	}
	s := span{hiOpen: f.span.loOpen, loOpen: f.span.hiOpen, hi: inv(f.span.lo)}
	if f.span.hi.IsValid() {
		s.lo = inv(f.span.hi)
	} else {
		s.lo = units.New(0, 0, units.MicrosiemensPerCentimetre).Value()
	}
	// A last digit, relative to its figure, stays as large.
	k, _ := units.Of[units.ConductivityUnit](s.hi)
	rho, _ := units.Of[units.ResistivityUnit](f.span.lo)
	step, ok := units.Of[units.ResistivityUnit](f.step)
	f.step, f.span = units.Value{}, s
	if ok {
		share := step.Float64(units.MegohmCentimetre) / rho.Float64(units.MegohmCentimetre)
		const unit = units.MicrosiemensPerCentimetre
		f.step = units.FromFloat64(k.Float64(unit)*share, places, unit).Value()
	}
	return f
}

// judgeElectric judges at each temperature that the reading and the limit can mean,
// by each rule that carries one to the other.
func (b bounds) judgeElectric(f figure, at Correction, limitAt []units.Temperature) verdict {
	readings, known := at.meanings()
	var v verdict
	for _, to := range limitAt {
		var w verdict
		for _, from := range readings {
			w = agree(w, b.carried(f, from, to), reasonTemperature)
		}
		if !known && w.outcome == moistheat.Undetermined && w.reason != reasonCoarse && w.reason != reasonBetween {
			w.reason = reasonTemperature
		}
		v = agree(v, w, reasonDocument)
	}
	return v
}

// meanings returns the temperatures that a reading can stand for, and whether there
// is one only. Nothing is ever taken to be 25 °C because nobody said.
func (c Correction) meanings() (at []units.Temperature, known bool) {
	cel := func(tenths int64) units.Temperature { return units.New(tenths, -1, units.Celsius) }
	switch {
	case c.Compensated == moistheat.No:
		if c.Temperature.IsValid() {
			return []units.Temperature{c.Temperature}, true
		}
	case c.Reference.IsValid():
		return []units.Temperature{c.Reference}, true
	case c.Compensated == moistheat.Yes: // the two references in use
		return []units.Temperature{cel(200), cel(250)}, false
	case c.Temperature.IsValid(): // compensated or not
		return []units.Temperature{c.Temperature, cel(200), cel(250)}, false
	}
	return []units.Temperature{cel(0), cel(200), cel(250), cel(359)}, false
}

// carried judges a reading at one temperature against a limit at another.
func (b bounds) carried(f figure, from, to units.Temperature) verdict {
	if from.Compare(to) == 0 {
		return b.judge(f.span, f.step)
	}
	x, unfit := celsius(from)
	y, err := celsius(to)
	if unfit != nil || err != nil {
		return undetermined(reasonRange)
	}
	low, high := bracket(microsiemens(f.span.lo), x, y)
	s := f.span
	s.lo, s.hi = carry(s.lo, low), carry(s.hi, high)
	v := b.judge(s, carry(f.step, high))
	if v.outcome == moistheat.Undetermined && v.reason != reasonCoarse {
		v.reason = reasonCarry
	}
	return v
}

// microsiemens returns a conductivity in µS/cm, and 0 for none.
func microsiemens(v units.Value) float64 {
	if q, ok := units.Of[units.ConductivityUnit](v); ok {
		return q.Float64(units.MicrosiemensPerCentimetre)
	}
	return 0
}

// carry multiplies a conductivity and rounds it to 0.0001 µS/cm, so that all
// platforms compare the same number. It keeps what is absent, and what is too large
// becomes so.
func carry(v units.Value, factor float64) units.Value {
	if !v.IsValid() {
		return v
	}
	return units.FromFloat64(microsiemens(v)*factor, places, units.MicrosiemensPerCentimetre).Value()
}

// stages judges by the table of a pharmacopoeia and, where the document has them,
// by its later stages. That a value equal to the limit passes is recalled, so a pass
// by equality is no better founded than that.
func (r *row) stages(f figure, at Correction, e *Equilibrated) verdict {
	if at.Compensated != moistheat.No || !at.Temperature.IsValid() {
		return undetermined(reasonRaw)
	}
	limit, ok := r.stageAt(at.Temperature)
	if !ok {
		return undetermined(reasonTable)
	}
	v := bounds{high: limit.max.Value(), width: limit.max.Value()}.judge(f.span, f.step)
	if f.stated && f.step.IsValid() && r.finest.IsValid() && order(f.step, r.finest.Value()) > 0 {
		v = undetermined(reasonCoarse)
	}
	v.limit, v.basis = limit.max, limit.basis
	if f.span.hi.IsValid() && order(f.span.hi, limit.max.Value()) == 0 {
		v.basis = max(v.basis, moistheat.Recalled)
	}
	if v.outcome == moistheat.Broken && r.stirred.IsValid() {
		return r.later(v, e)
	}
	return v
}

// later judges what did not pass the first stage by those after it.
func (r *row) later(first verdict, e *Equilibrated) verdict {
	if e == nil || !e.Conductivity.IsValid() {
		return verdict{moistheat.Undetermined, reasonStage2, first.limit, first.basis}
	}
	second := step{max: r.stirred, basis: r.Source.Basis}.judge(e.Conductivity)
	switch {
	case !nearStage2(e.Temperature):
		return verdict{moistheat.Undetermined, reasonStage2Warm, r.stirred, r.Source.Basis}
	case second.outcome == moistheat.Met || len(r.byPH) == 0:
		return second
	case !e.PH.IsValid() || lastDigit(e.PH).Compare(units.New(1, -1, units.PHScale)) > 0:
		return verdict{moistheat.Undetermined, reasonStage3, r.stirred, r.Source.Basis}
	}
	if third, ok := r.acidityStep(e.PH); ok { // outside the table it stays broken
		return third.judge(e.Conductivity)
	}
	return second
}

// judge holds a stirred sample against a step.
func (s step) judge(k units.Conductivity) verdict {
	v := verdict{outcome: moistheat.Broken, limit: s.max, basis: s.basis}
	order := k.Compare(s.max)
	if order <= 0 {
		v.outcome = moistheat.Met
	}
	if order == 0 {
		v.basis = max(v.basis, moistheat.Recalled)
	}
	return v
}

// nearStage2 reports whether t is 25 ± 1 °C.
func nearStage2(t units.Temperature) bool {
	low, high := units.New(24, 0, units.Celsius), units.New(26, 0, units.Celsius)
	return t.IsValid() && t.Compare(low) >= 0 && t.Compare(high) <= 0
}

// stageAt returns the limit at a temperature: that of the step below it, or on the
// line between two, rounded down to 0.01 µS/cm.
func (r *row) stageAt(t units.Temperature) (step, bool) {
	v, last := t.Value(), len(r.steps)-1
	if order(v, r.steps[0].at) < 0 || order(v, r.steps[last].at) > 0 {
		return step{}, false
	}
	i := last
	for order(r.steps[i].at, v) > 0 {
		i--
	}
	a := r.steps[i]
	if !r.linear || order(v, a.at) == 0 {
		return a, true
	}
	b := r.steps[i+1]
	from, _ := units.Of[units.TemperatureUnit](a.at)
	to, _ := units.Of[units.TemperatureUnit](b.at)
	share := new(big.Rat).Sub(t.Rat(), from.Rat())
	share.Quo(share, new(big.Rat).Sub(to.Rat(), from.Rat()))
	x, y := a.max.Rat(), b.max.Rat()
	x.Add(x, share.Mul(share, y.Sub(y, x)))
	n := x.Mul(x, big.NewRat(1e6, 1)) // from S/m to hundredths of µS/cm
	floor := new(big.Int).Div(n.Num(), n.Denom())
	return step{v, units.New(floor.Int64(), -2, units.MicrosiemensPerCentimetre), max(a.basis, moistheat.Recalled)}, true
}

// acidityStep returns the limit at a pH, rounded to 0.1 with ties to even.
func (r *row) acidityStep(ph units.PH) (step, bool) {
	q := ph.Convert(units.PHScale, 1, units.TiesToEven).Value()
	for _, s := range r.byPH {
		if q.IsValid() && order(q, s.at) == 0 {
			return s, true
		}
	}
	return step{}, false
}
