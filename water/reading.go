package water

import (
	"github.com/shopspring/decimal"

	"example.com/moistheat"
	"example.com/moistheat/units"
)

// span is where the true value of a reading can lie.
type span struct {
	lo, hi         units.Value // invalid: no bound
	loOpen, hiOpen bool
	spread         units.Value // from end to end, where the test leaves that open
}

// figure is a reading without its dimension.
type figure struct {
	span    span
	value   units.Value
	as      units.Species // what a concentration is expressed as
	step    units.Value   // what a display or report can tell apart; invalid where the span says it
	stated  bool          // the step was recorded, not read off the digits
	reason  reason        // why there is no span
	pointer string
}

// reading is what all readings have in common.
type reading interface {
	figure(Determinand) figure
	instrument() (*Meter, Method)
}

// reading returns the reading of d, or nil.
func (s *Sample) reading(d Determinand) reading {
	if m := s.mass(d); m != nil {
		return m
	}
	for _, r := range [...]struct {
		of    Determinand
		given bool
		reading
	}{
		{Conductivity, s.Conductivity != nil, s.Conductivity}, {Resistivity, s.Resistivity != nil, s.Resistivity},
		{PH, s.PH != nil, s.PH}, {Hardness, s.Hardness != nil, s.Hardness}, {Bacteria, s.Bacteria != nil, s.Bacteria},
		{Endotoxin, s.Endotoxin != nil, s.Endotoxin}, {Turbidity, s.Turbidity != nil, s.Turbidity},
	} {
		if r.of == d && r.given {
			return r.reading
		}
	}
	return nil
}

// mass returns the concentration d, or nil.
func (s *Sample) mass(d Determinand) *MassReading {
	all := [...]*MassReading{
		Residue: s.Residue, DissolvedSolids: s.DissolvedSolids, Silicate: s.Silicate, Phosphate: s.Phosphate,
		Chloride: s.Chloride, Iron: s.Iron, Cadmium: s.Cadmium, Lead: s.Lead, HeavyMetals: s.HeavyMetals,
		Copper: s.Copper, Manganese: s.Manganese, Zinc: s.Zinc, Aluminium: s.Aluminium, Ammonium: s.Ammonium,
		Nitrate: s.Nitrate, Sulphate: s.Sulphate, Alkalinity: s.Alkalinity, OrganicCarbon: s.OrganicCarbon,
		Appearance: nil,
	}
	return all[d]
}

func (r *Reading[U]) instrument() (*Meter, Method) { return r.Meter, r.Method }

func (r *MassReading) figure(d Determinand) figure {
	f := r.Reading.figure(d)
	f.as, f.value = r.As, asSpecies(f.value, r.As)
	return f
}

// asSpecies adds the species to a concentration.
func asSpecies(v units.Value, s units.Species) units.Value {
	if m, ok := units.Of[units.MassConcentrationUnit](v); ok && s != 0 {
		return units.Express(m, s).Value()
	}
	return v
}

func (r *Reading[U]) figure(d Determinand) figure {
	q := r.Value
	zero := units.New(0, 0, q.Unit())
	f := figure{value: q.Value(), pointer: pointerTo(d)}
	if !q.IsValid() || q.Compare(zero) < 0 || d == PH && order(f.value, units.New(14, 0, units.PHScale).Value()) > 0 {
		f.reason = reasonValue
		return f
	}
	f.stated = r.Resolution.IsValid()
	if f.stated && r.Resolution.Compare(units.New(0, 0, r.Resolution.Unit())) <= 0 {
		f.reason = reasonStep
		return f
	}
	switch {
	case r.Method == Pen && d != Conductivity && d != Resistivity:
		f.reason = reasonPen
	case r.Method == Strip || r.Method == DropTest:
		if !f.stated {
			f.reason = reasonStep
			return f
		}
		lo, ok := plus(q, r.Resolution, -1)
		hi, fits := plus(q, r.Resolution, 1)
		spread, twice := plus(r.Resolution, r.Resolution, 1)
		if !ok || !fits || !twice {
			f.reason = reasonValue
			return f
		}
		if lo.Compare(zero) < 0 {
			lo = zero
		}
		f.span = span{lo: lo.Value(), hi: hi.Value(), spread: spread.Value()}
	default:
		f.span = span{lo: f.value, hi: f.value}
		if f.step = r.Resolution.Value(); !f.stated {
			f.step = lastDigit(q).Value()
		}
	}
	switch r.Comparator {
	case Less, LessOrEqual:
		f.span.lo, f.span.hiOpen, f.step = zero.Value(), r.Comparator == Less, units.Value{}
		f.span.spread = f.span.hi
	case Greater, GreaterOrEqual:
		f.span.hi, f.span.loOpen, f.step = units.Value{}, r.Comparator == Greater, units.Value{}
	}
	return f
}

// plus returns a + sign·b in the unit of a. A step b that has no finite decimal there
// is rounded up, which widens what a reading stands for. [units.Sum] does not add pH,
// which is a logarithm; here it is places on its scale that are added.
func plus[U units.Unit](a, b units.Quantity[U], sign int64) (units.Quantity[U], bool) {
	if q, ok := b.Exactly(a.Unit()); ok {
		b = q
	} else {
		b = b.Convert(a.Unit(), stepPlaces, units.Up)
	}
	if !b.IsValid() {
		return b, false
	}
	q, err := units.FromDecimal(a.Decimal().Add(b.Decimal().Mul(decimal.NewFromInt(sign))), a.Unit())
	return q, err == nil
}

// stepPlaces is the quantum of a step that has no finite decimal in the unit of its
// reading: 1e-12 of that unit.
const stepPlaces = 12

// order compares two values of one dimension.
func order(a, b units.Value) int {
	c, _ := a.Compare(b)
	return c
}

// lastDigit returns one unit in the last digit that q was written with.
func lastDigit[U units.Unit](q units.Quantity[U]) units.Quantity[U] {
	return units.New(1, int(q.Decimal().Exponent()), q.Unit())
}

// bounds are a limit ready for comparison.
type bounds struct {
	low, high units.Value // invalid: no bound
	width     units.Value // largest step of a test that can show the limit
	strict    bool
}

// compare holds where the true value can lie against the bounds.
func (b bounds) compare(s span) moistheat.Outcome {
	met, broken := true, false
	// A span is within a bound if its far end is, and beyond it if its near end is.
	side := func(bound, near, far units.Value, nearOpen, farOpen bool, sign int) {
		if !bound.IsValid() {
			return
		}
		beyond, at := sign*order(far, bound), b.strict && !farOpen
		met = met && far.IsValid() && (beyond < 0 || beyond == 0 && !at)
		beyond, at = sign*order(near, bound), b.strict || nearOpen
		broken = broken || near.IsValid() && (beyond > 0 || beyond == 0 && at)
	}
	side(b.high, s.lo, s.hi, s.loOpen, s.hiOpen, 1)
	side(b.low, s.hi, s.lo, s.hiOpen, s.loOpen, -1)
	switch {
	case broken:
		return moistheat.Broken
	case met:
		return moistheat.Met
	}
	return moistheat.Undetermined
}

// verdict is an outcome and, when it is undetermined, the reason. Of a table of
// steps it also has the limit that decided and the weakest basis under the verdict.
type verdict struct {
	outcome moistheat.Outcome
	reason  reason
	limit   units.Conductivity
	basis   moistheat.Basis
}

func undetermined(why reason) verdict {
	return verdict{outcome: moistheat.Undetermined, reason: why}
}

// judge holds a span against bounds, with the step of the test.
func (b bounds) judge(s span, step units.Value) verdict {
	switch o := b.compare(s); {
	case o == moistheat.Met && step.IsValid() && order(step, b.width) > 0:
		return undetermined(reasonCoarse)
	case o == moistheat.Undetermined && s.spread.IsValid() && order(s.spread, b.width) > 0:
		return undetermined(reasonCoarse)
	case o == moistheat.Undetermined:
		return undetermined(reasonBetween)
	default:
		return verdict{outcome: o}
	}
}

// agree merges the verdicts of all that a reading can mean. Where they differ, the
// verdict is undetermined for that reason.
func agree(a, b verdict, why reason) verdict {
	switch {
	case a.outcome == 0:
		return b
	case a.outcome == moistheat.Undetermined:
		return a
	case b.outcome == moistheat.Undetermined:
		return b
	case a.outcome != b.outcome:
		return undetermined(why)
	}
	return a
}
