package water

import (
	"cmp"
	"math/big"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/units"
)

// Rules returns the rules of this package, sorted by ID. The caller owns the slice.
func Rules() []moistheat.Rule { return book.Rules() }

// limitRules has the rule for each determinand.
var limitRules = [...]ask.ID{
	Conductivity:    conductivityOver,
	Resistivity:     resistivityUnder,
	PH:              phOutside,
	Hardness:        hardnessOver,
	Residue:         residueOver,
	DissolvedSolids: solidsOver,
	Silicate:        silicateOver,
	Phosphate:       phosphateOver,
	Chloride:        chlorideOver,
	Iron:            ironOver,
	Cadmium:         cadmiumOver,
	Lead:            leadOver,
	HeavyMetals:     metalsOver,
	Copper:          copperOver,
	Manganese:       manganeseOver,
	Zinc:            zincOver,
	Aluminium:       aluminiumOver,
	Ammonium:        ammoniumOver,
	Nitrate:         nitrateOver,
	Sulphate:        sulphateOver,
	Alkalinity:      alkalinityOver,
	OrganicCarbon:   carbonOver,
	Bacteria:        bacteriaOver,
	Endotoxin:       endotoxinOver,
	Turbidity:       turbidityOver,
	Appearance:      appearanceUnclear,
}

// Why a reading can not be judged.
const (
	reasonMissing     = "it was not measured"
	reasonValue       = "the figure is not one that can be measured"
	reasonStep        = "the smallest step that the test can show is not recorded"
	reasonCoarse      = "the test can not show so little"
	reasonBetween     = "the true value lies on both sides of the limit"
	reasonPen         = "a pen measures conductivity, not what is dissolved; its factor is not known"
	reasonSpecies     = "it is not known as what the concentration is expressed"
	reasonSubstance   = "it is expressed as something else"
	reasonTemperature = "the temperature that the reading stands for is not recorded"
	reasonDocument    = "it is not settled which temperature the document means"
	reasonCarry       = "the rules that carry a conductivity to another temperature give different verdicts"
	reasonRange       = "its temperature is outside the range in which a conductivity can be carried to another; cool the sample"
	reasonSlip        = "its unit is in doubt"
	reasonRaw         = "the pharmacopoeia wants a reading without compensation, and its temperature"
	reasonTable       = "its temperature is outside the table"
	reasonStage2      = "it is above stage 1; stir the sample at 25 °C until it changes no more and measure again (stage 2)"
	reasonStage2Warm  = "stage 2 was not measured at 24 to 26 °C"
	reasonStage3      = "it is above stage 2; measure the pH to 0.1 (stage 3)"
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
	step    units.Value // what a display or report can tell apart; invalid where the span says it
	stated  bool        // the step was recorded, not read off the digits
	reason  string      // why there is no span
	pointer string
}

func figureOf[U units.Unit](r *Reading[U], d Determinand) figure {
	q := r.Value
	zero := units.New(0, 0, q.Unit())
	f := figure{value: q.Value(), pointer: d.pointer()}
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
	if b.high.IsValid() {
		within := false
		if s.hi.IsValid() {
			c := order(s.hi, b.high)
			within = c < 0 || c == 0 && (!b.strict || s.hiOpen)
		}
		met = met && within
		if s.lo.IsValid() {
			c := order(s.lo, b.high)
			broken = broken || c > 0 || c == 0 && (b.strict || s.loOpen)
		}
	}
	if b.low.IsValid() {
		within := false
		if s.lo.IsValid() {
			c := order(s.lo, b.low)
			within = c > 0 || c == 0 && (!b.strict || s.loOpen)
		}
		met = met && within
		if s.hi.IsValid() {
			c := order(s.hi, b.low)
			broken = broken || c < 0 || c == 0 && (b.strict || s.hiOpen)
		}
	}
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
	reason  string
	limit   units.Conductivity
	basis   moistheat.Basis
}

func undetermined(reason string) verdict {
	return verdict{outcome: moistheat.Undetermined, reason: reason}
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
// reason says why.
func agree(a, b verdict, reason string) verdict {
	switch {
	case a.outcome == 0:
		return b
	case a.outcome == moistheat.Undetermined:
		return a
	case b.outcome == moistheat.Undetermined:
		return b
	case a.outcome != b.outcome:
		return undetermined(reason)
	}
	return a
}

// measured reports whether the sample has a reading of d.
func (s *Sample) measured(d Determinand) bool {
	switch d {
	case Conductivity:
		return s.Conductivity != nil
	case Resistivity:
		return s.Resistivity != nil
	case PH:
		return s.PH != nil
	case Hardness:
		return s.Hardness != nil
	case Bacteria:
		return s.Bacteria != nil
	case Endotoxin:
		return s.Endotoxin != nil
	case Turbidity:
		return s.Turbidity != nil
	case Appearance:
		return s.Appearance != nil
	}
	return s.mass(d) != nil
}

// measuredOtherThanGerms reports whether the sample has a chemical reading.
func (s *Sample) measuredOtherThanGerms() bool {
	for d := Conductivity; d <= OrganicCarbon; d++ {
		if s.measured(d) {
			return true
		}
	}
	return false
}

func (s *Sample) mass(d Determinand) *MassReading {
	switch d {
	case Residue:
		return s.Residue
	case DissolvedSolids:
		return s.DissolvedSolids
	case Silicate:
		return s.Silicate
	case Phosphate:
		return s.Phosphate
	case Chloride:
		return s.Chloride
	case Iron:
		return s.Iron
	case Cadmium:
		return s.Cadmium
	case Lead:
		return s.Lead
	case HeavyMetals:
		return s.HeavyMetals
	case Copper:
		return s.Copper
	case Manganese:
		return s.Manganese
	case Zinc:
		return s.Zinc
	case Aluminium:
		return s.Aluminium
	case Ammonium:
		return s.Ammonium
	case Nitrate:
		return s.Nitrate
	case Sulphate:
		return s.Sulphate
	case Alkalinity:
		return s.Alkalinity
	case OrganicCarbon:
		return s.OrganicCarbon
	}
	return nil
}

// meter returns the meter and method behind the reading of d.
func (s *Sample) meter(d Determinand) (m *Meter, method Method, ok bool) {
	if !s.measured(d) {
		return nil, "", false
	}
	switch d {
	case Conductivity:
		return s.Conductivity.Meter, s.Conductivity.Method, true
	case Resistivity:
		return s.Resistivity.Meter, s.Resistivity.Method, true
	case PH:
		return s.PH.Meter, s.PH.Method, true
	case Hardness:
		return s.Hardness.Meter, s.Hardness.Method, true
	case Bacteria:
		return s.Bacteria.Meter, s.Bacteria.Method, true
	case Endotoxin:
		return s.Endotoxin.Meter, s.Endotoxin.Method, true
	case Turbidity:
		return s.Turbidity.Meter, s.Turbidity.Method, true
	case Appearance:
		return nil, "", false
	}
	r := s.mass(d)
	return r.Meter, r.Method, true
}

func applies(points []Point, p Point) bool { return len(points) == 0 || slices.Contains(points, p) }

// Check holds a sample against limits. It returns a finding for every determinand:
// met, broken, undetermined where the sample lacks what the document asks for or the
// reading can not carry the limit, not applicable where the document sets no limit
// at this point. Pointers are relative to the sample.
//
// A conductivity whose temperature is not recorded is judged at all that it can stand
// for: 20 and 25 °C, to which meters refer, if it was compensated; any from 0 to
// 35.9 °C if that is not known either. It is met or broken only if it is so at each.
//
// Limits of an informative annex are suggestions; the parameter "standing" of each
// finding says what weight the document gives them.
//
// A nil sample is one of which nothing is recorded.
func Check(s *Sample, limits *Limits) []moistheat.Finding {
	s, limits = cmp.Or(s, &Sample{}), cmp.Or(limits, &noLimits)
	c := checker{sample: s, limits: limits, List: book.List(make([]moistheat.Finding, 0, len(limits.rows)+int(Appearance)+4))}
	for d := Conductivity; d <= Appearance; d++ {
		found := false
		for i := range limits.rows {
			if r := &limits.rows[i]; r.Determinand == d && applies(r.Points, s.Point) {
				c.row(r)
				found = true
			}
		}
		if !found {
			c.Skip(limitRules[d], d.pointer())
		}
	}
	c.slips()
	return c.Findings
}

type checker struct {
	ask.List
	sample *Sample
	limits *Limits
}

// row adds the finding of one limit.
func (c *checker) row(r *row) {
	f, v := c.judge(r)
	if v.reason == reasonMissing {
		f := r.absent
		f.Params = slices.Clone(f.Params) // each finding has its own
		c.Findings = append(c.Findings, f)
		return
	}
	found := c.Add(limitRules[r.Determinand], v.outcome, f.pointer)
	found.Measured, found.Limit, found.Table = f.value, r.limit(f, v), r.absent.Table
	if found.Sources = r.absent.Sources; v.basis > r.Source.Basis {
		source := r.Source
		source.Basis = v.basis
		found.Sources = moistheat.SourcesOf(source)
	}
	found.Params = r.params(c.limits.doc.Standing.Is, r.relation(f, v), v.reason)
}

// params are the details of every finding of a row.
func (r *row) params(weight Standing, relation, reason string) []moistheat.Param {
	ps := make([]moistheat.Param, 0, 6)
	add := func(name, value string) {
		if value != "" {
			ps = append(ps, moistheat.Param{Name: name, Value: value})
		}
	}
	add("document", r.document)
	add("standing", string(weight))
	add("relation", relation)
	add("at", r.at)
	add("reason", reason)
	add("note", r.Note)
	return slices.Clip(ps)
}

// prepare makes what all findings of a row share, and the finding of a sample that
// lacks the determinand.
func (r *row) prepare(l *Limits) {
	id, _, _ := strings.Cut(l.id, "#")
	r.document = strings.TrimSpace(r.Source.Document + " " + r.Source.Edition)
	var at []string
	for _, t := range r.At {
		at = append(at, t.String())
	}
	r.at = strings.Join(at, " or ")
	rule := book.Rule(limitRules[r.Determinand])
	missing := undetermined(reasonMissing)
	r.absent = moistheat.Finding{
		Rule: rule.ID, Outcome: moistheat.Undetermined, Severity: rule.Severity, Reason: moistheat.Unrecorded,
		Pointer: r.Determinand.pointer(), Limit: r.limit(figure{}, missing),
		Params:  r.params(l.doc.Standing.Is, r.relation(figure{}, missing), reasonMissing),
		Sources: moistheat.SourcesOf(r.Source), Table: id + "#" + r.ID,
	}
}

// limit returns the bound to show: of a range, the one that is broken, or the upper.
func (r *row) limit(f figure, v verdict) units.Value {
	if r.steps != nil {
		return v.limit.Value()
	}
	if r.below(f, v) {
		return asSpecies(r.Min, r.As)
	}
	return asSpecies(r.Max, r.As)
}

func (r *row) below(f figure, v verdict) bool {
	if !r.Max.IsValid() {
		return r.Min.IsValid()
	}
	return r.Min.IsValid() && v.outcome == moistheat.Broken && f.span.hi.IsValid() && order(f.span.hi, r.Min) <= 0
}

func (r *row) relation(f figure, v verdict) string {
	switch below := r.below(f, v); {
	case !r.Min.IsValid() && !r.Max.IsValid() && r.steps == nil:
		return ""
	case below && r.Strict:
		return "above"
	case below:
		return "at least"
	case r.Strict:
		return "below"
	}
	return "at most"
}

// asSpecies adds the species to a concentration.
func asSpecies(v units.Value, s units.Species) units.Value {
	if m, ok := units.Of[units.MassConcentrationUnit](v); ok && s != 0 {
		return units.Express(m, s).Value()
	}
	return v
}

func (c *checker) judge(r *row) (figure, verdict) {
	s, d := c.sample, r.Determinand
	missing := figure{pointer: d.pointer()}
	if d == Conductivity || d == Resistivity {
		return c.electric(r)
	}
	if r.Unjudged != "" {
		return missing, undetermined(r.Unjudged)
	}
	if !s.measured(d) {
		return missing, undetermined(reasonMissing)
	}
	if d == Appearance {
		return missing, look(s.Appearance, r.sediment)
	}
	var f figure
	switch d {
	case PH:
		f = figureOf(s.PH, d)
	case Hardness:
		f = figureOf(s.Hardness, d)
	case Bacteria:
		f = figureOf(s.Bacteria, d)
	case Endotoxin:
		f = figureOf(s.Endotoxin, d)
	case Turbidity:
		f = figureOf(s.Turbidity, d)
	default:
		f = figureOf(&s.mass(d).Reading, d)
		f.value = asSpecies(f.value, s.mass(d).As)
	}
	if f.reason != "" {
		return f, undetermined(f.reason)
	}
	if m := s.mass(d); m != nil {
		return f, r.bounds.judgeSpecies(f, d, m.As, r.As)
	}
	return f, r.bounds.judge(f.span, f.step)
}

// look judges an appearance.
func look(a *Look, sediment bool) verdict {
	unsettled := moistheat.No
	if sediment {
		unsettled = a.Sediment
	}
	switch {
	case a.Clear == moistheat.No || a.Colourless == moistheat.No || unsettled == moistheat.Yes:
		return verdict{outcome: moistheat.Broken}
	case a.Clear == moistheat.Yes && a.Colourless == moistheat.Yes && unsettled == moistheat.No:
		return verdict{outcome: moistheat.Met}
	}
	return undetermined("not all of what it looks like is recorded")
}

// judgeSpecies judges a concentration as each of the species that reading and limit
// can mean.
func (b bounds) judgeSpecies(f figure, d Determinand, got, want units.Species) verdict {
	all := d.species()
	choices := func(s units.Species) []units.Species {
		switch {
		case s != 0:
			return []units.Species{s}
		case d == Chloride: // chloride without a word is the ion
			return all[:1]
		}
		return all
	}
	if len(all) == 0 {
		if got != 0 {
			return undetermined(reasonSubstance)
		}
		return b.judge(f.span, f.step)
	}
	var v verdict
	for _, from := range choices(got) {
		for _, to := range choices(want) {
			t := span{loOpen: f.span.loOpen, hiOpen: f.span.hiOpen}
			var step units.Value
			for _, x := range []struct {
				in  units.Value
				out *units.Value
			}{{f.span.lo, &t.lo}, {f.span.hi, &t.hi}, {f.span.spread, &t.spread}, {f.step, &step}} {
				var ok bool
				if *x.out, ok = express(x.in, from, to); !ok {
					return undetermined(reasonSubstance)
				}
			}
			v = agree(v, b.judge(t, step), reasonSpecies)
		}
	}
	return v
}

// express converts a concentration from one species to another by the IUPAC 2021
// abridged atomic weights, rounded to 1e-9 mg/L. It keeps what is absent.
func express(x units.Value, from, to units.Species) (units.Value, bool) {
	m, ok := units.Of[units.MassConcentrationUnit](x)
	if !ok || from == to {
		return x, true
	}
	c, err := units.IUPAC2021.Convert(units.Express(m, from), to, units.MilligramPerLitre, 9, units.TiesToEven)
	return c.Mass().Value(), err == nil
}

// electric judges conductivity and resistivity, each by the other where need be. All
// is held as conductivity in S/m.
func (c *checker) electric(r *row) (figure, verdict) {
	s := c.sample
	var f figure
	var at Correction
	byResistivity := r.Determinand == Resistivity && s.Resistivity != nil || s.Conductivity == nil
	switch {
	case s.Conductivity == nil && s.Resistivity == nil:
		return figure{pointer: r.Determinand.pointer()}, undetermined(reasonMissing)
	case byResistivity:
		f, at = figureOf(&s.Resistivity.Reading, Resistivity), s.Resistivity.Correction
		if f.reason == "" {
			f = f.reciprocal()
		}
	default:
		f, at = figureOf(&s.Conductivity.Reading, Conductivity), s.Conductivity.Correction
	}
	switch {
	case r.Unjudged != "":
		return f, undetermined(r.Unjudged)
	case f.reason != "":
		return f, undetermined(f.reason)
	case r.steps != nil:
		return f, r.stages(f, at, s.Equilibrated)
	}
	v := r.bounds.judgeElectric(f, at, r.At)
	if places := c.slipPlaces(f); places != 0 && v.outcome != moistheat.Undetermined {
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
		f.step = units.FromFloat64(k.Float64(units.MicrosiemensPerCentimetre)*share, places, units.MicrosiemensPerCentimetre).Value()
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
	x, err := celsius(from)
	if err != nil {
		return undetermined(reasonRange)
	}
	y, err := celsius(to)
	if err != nil {
		return undetermined(reasonRange)
	}
	low, high := bracket(microsiemens(f.span.lo), x, y)
	s := span{lo: carry(f.span.lo, low), hi: carry(f.span.hi, high), loOpen: f.span.loOpen, hiOpen: f.span.hiOpen, spread: f.span.spread}
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
	if v.outcome != moistheat.Broken || !r.stirred.IsValid() {
		return v
	}
	if e == nil || !e.Conductivity.IsValid() {
		v.outcome, v.reason = moistheat.Undetermined, reasonStage2
		return v
	}
	v.limit, v.basis = r.stirred, r.Source.Basis
	if !nearStage2(e.Temperature) {
		v.outcome, v.reason = moistheat.Undetermined, reasonStage2Warm
		return v
	}
	if c := e.Conductivity.Compare(r.stirred); c <= 0 {
		v.outcome = moistheat.Met
		if c == 0 {
			v.basis = max(v.basis, moistheat.Recalled)
		}
		return v
	}
	if len(r.byPH) == 0 {
		return v
	}
	if !e.PH.IsValid() || lastDigit(e.PH).Compare(units.New(1, -1, units.PHScale)) > 0 {
		v.outcome, v.reason = moistheat.Undetermined, reasonStage3
		return v
	}
	if limit, ok = r.acidityStep(e.PH); ok { // outside the table it stays broken
		c := e.Conductivity.Compare(limit.max)
		v.outcome, v.limit, v.basis = ask.If(c > 0), limit.max, limit.basis
		if c == 0 {
			v.basis = max(v.basis, moistheat.Recalled)
		}
	}
	return v
}

// nearStage2 reports whether t is 25 ± 1 °C.
func nearStage2(t units.Temperature) bool {
	return t.IsValid() && t.Compare(units.New(24, 0, units.Celsius)) >= 0 && t.Compare(units.New(26, 0, units.Celsius)) <= 0
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

// slipPlaces returns the power of ten that a conductivity would change by if its unit
// had been taken for another a thousand times as large or small, or 0 where the
// figure is plausible. Treated water of 1 mS/cm is not, nor is anything below
// 0.01 µS/cm, as pure water at 0 °C has 0.0115 µS/cm.
func (c *checker) slipPlaces(f figure) int {
	s := c.sample
	if f.pointer != Conductivity.pointer() || f.reason != "" {
		return 0
	}
	treated := s.Point != Mains && s.Treatment != Untreated && s.Treatment != Softened
	switch {
	case treated && order(f.value, units.New(1000, 0, units.MicrosiemensPerCentimetre).Value()) >= 0:
		return -3
	case s.Conductivity.Comparator == "" && order(f.value, units.New(1, -2, units.MicrosiemensPerCentimetre).Value()) < 0:
		return 3
	}
	return 0
}

// slips adds the findings about units.
func (c *checker) slips() {
	s := c.sample
	if s.Conductivity == nil {
		c.Skip(unitSlip, "/conductivity")
	} else {
		f := figureOf(&s.Conductivity.Reading, Conductivity)
		places := c.slipPlaces(f)
		found := c.Add(unitSlip, ask.If(places != 0), f.pointer)
		found.Measured = f.value
		if places != 0 {
			ask.With(found, "probable", probable(shift(f.value, places)))
		}
	}
	slipPerVolume(c, s.Bacteria, Bacteria)
	slipPerVolume(c, s.Endotoxin, Endotoxin)
}

// slipPerVolume asks about a count whose verdict would turn if its digits were meant
// in the unit of the limit.
func slipPerVolume[U units.Unit](c *checker, r *Reading[U], d Determinand) {
	if r == nil {
		c.Skip(unitSlip, "/"+d.String())
		return
	}
	f := figureOf(r, d)
	for i := range c.limits.rows {
		w := &c.limits.rows[i]
		if w.Determinand != d || !applies(w.Points, c.sample.Point) || f.reason != "" || !w.Max.IsValid() {
			continue
		}
		limit, _ := units.Of[U](w.Max)
		if r.Value.Unit() == limit.Unit() {
			continue
		}
		read, err := units.FromDecimal(r.Value.Decimal(), limit.Unit())
		if err != nil {
			continue
		}
		if w.bounds.compare(span{lo: read.Value(), hi: read.Value()}) == w.bounds.compare(f.span) {
			continue
		}
		found := c.Add(unitSlip, moistheat.Undetermined, f.pointer)
		found.Measured, found.Limit, found.Table = f.value, w.Max, w.absent.Table
		ask.With(found, "probable", read.String())
		return
	}
	found := c.Add(unitSlip, moistheat.Met, f.pointer)
	found.Measured = f.value
}

// probable names a conductivity in µS/cm, rounded to 0.01.
func probable(v units.Value) string {
	q, _ := units.Of[units.ConductivityUnit](v)
	if q = q.Convert(units.MicrosiemensPerCentimetre, 2, units.TiesToEven); q.IsValid() {
		return q.String()
	}
	return "another unit"
}
