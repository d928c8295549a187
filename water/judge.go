package water

import (
	"math/big"
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/check"
	"example.com/moistheat/units"
)

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

// span is where the true value of a reading can lie, in base units.
type span struct {
	lo, hi         *big.Rat // nil: no bound
	loOpen, hiOpen bool
}

// scale returns the span multiplied by a factor that is somewhere between two.
func (s span) scale(low, high *big.Rat) span {
	times := func(a, f *big.Rat) *big.Rat {
		if a == nil {
			return nil
		}
		return new(big.Rat).Mul(a, f)
	}
	return span{times(s.lo, low), times(s.hi, high), s.loOpen, s.hiOpen}
}

// figure is a reading without its dimension.
type figure struct {
	span    span
	value   units.Value
	step    *big.Rat // what a display or report can tell apart; nil where the span says it
	stated  bool     // the step was recorded, not read off the digits
	reason  string   // why there is no span
	pointer string
}

func figureOf[U units.Unit](r *Reading[U], d Determinand) figure {
	f := figure{value: r.Value.Value(), pointer: d.pointer()}
	v := r.Value.Rat()
	if !r.Value.IsValid() || v.Sign() < 0 || d == PH && v.Cmp(big.NewRat(14, 1)) > 0 {
		f.reason = reasonValue
		return f
	}
	resolution := r.Resolution.Rat()
	if r.Resolution.IsValid() && resolution.Sign() <= 0 {
		f.reason = reasonStep
		return f
	}
	switch {
	case r.Method == Pen && d != Conductivity && d != Resistivity:
		f.reason = reasonPen
	case r.Method == Strip || r.Method == DropTest:
		if !r.Resolution.IsValid() {
			f.reason = reasonStep
			return f
		}
		f.span = span{lo: new(big.Rat).Sub(v, resolution), hi: new(big.Rat).Add(v, resolution)}
		if f.span.lo.Sign() < 0 {
			f.span.lo.SetInt64(0)
		}
	default:
		f.span = span{lo: v, hi: v}
		if f.step, f.stated = resolution, r.Resolution.IsValid(); !f.stated {
			f.step = lastDigit(r.Value)
		}
	}
	zero := new(big.Rat)
	switch r.Comparator {
	case Less, LessOrEqual:
		f.span.lo, f.span.hiOpen, f.step = zero, r.Comparator == Less, nil
	case Greater, GreaterOrEqual:
		f.span.hi, f.span.loOpen, f.step = nil, r.Comparator == Greater, nil
	}
	return f
}

// lastDigit returns one unit in the last digit that q was written with.
func lastDigit[U units.Unit](q units.Quantity[U]) *big.Rat {
	return units.New(1, int(q.Decimal().Exponent()), q.Unit()).Rat()
}

// compare holds where the true value can lie against bounds.
func (b bounds) compare(s span) moistheat.Outcome {
	met, broken := true, false
	if b.high != nil {
		hi := s.hi != nil
		if hi {
			c := s.hi.Cmp(b.high)
			hi = c < 0 || c == 0 && (!b.strict || s.hiOpen)
		}
		met = met && hi
		if s.lo != nil {
			c := s.lo.Cmp(b.high)
			broken = broken || c > 0 || c == 0 && (b.strict || s.loOpen)
		}
	}
	if b.low != nil {
		lo := s.lo != nil
		if lo {
			c := s.lo.Cmp(b.low)
			lo = c > 0 || c == 0 && (!b.strict || s.loOpen)
		}
		met = met && lo
		if s.hi != nil {
			c := s.hi.Cmp(b.low)
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

// bounds are a limit in base units.
type bounds struct {
	low, high *big.Rat // nil: no bound
	strict    bool
}

// width is the smallest step that can show the limit.
func (b bounds) width() *big.Rat {
	switch {
	case b.low == nil:
		return b.high
	case b.high == nil:
		return b.low
	}
	return new(big.Rat).Sub(b.high, b.low)
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
func (b bounds) judge(s span, step *big.Rat) verdict {
	o := b.compare(s)
	switch {
	case o == moistheat.Undetermined && s.lo != nil && s.hi != nil && new(big.Rat).Sub(s.hi, s.lo).Cmp(b.width()) > 0:
		return undetermined(reasonCoarse)
	case o == moistheat.Undetermined:
		return undetermined(reasonBetween)
	case o == moistheat.Met && step != nil && step.Cmp(b.width()) > 0:
		return undetermined(reasonCoarse)
	}
	return verdict{outcome: o}
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
		return nil, 0, false
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
		return nil, 0, false
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
// Limits of an informative annex are suggestions; the parameter "standing" of each
// finding says what weight the document gives them.
func Check(s *Sample, limits *Limits) []moistheat.Finding {
	c := checker{sample: s, limits: limits}
	c.Findings = make([]moistheat.Finding, 0, len(limits.rows)+int(Appearance)+4)
	for d := Conductivity; d <= Appearance; d++ {
		found := false
		for i := range limits.rows {
			if r := &limits.rows[i]; r.Determinand == d && applies(r.Points, s.Point) {
				c.row(r)
				found = true
			}
		}
		if !found {
			c.Skip(&limitRules[d], d.pointer())
		}
	}
	c.slips()
	return c.Findings
}

type checker struct {
	check.List
	sample *Sample
	limits *Limits
}

// row adds the finding of one limit.
func (c *checker) row(r *row) {
	f, v := c.judge(r)
	if v.reason == reasonMissing {
		c.Findings = append(c.Findings, r.absent)
		return
	}
	found := c.Add(&limitRules[r.Determinand], v.outcome, moistheat.Limit, f.pointer)
	found.Measured, found.Limit, found.Table = f.value, r.limit(f, v), r.absent.Table
	if found.Sources = r.absent.Sources; v.basis > r.Source.Basis {
		source := r.Source
		source.Basis = v.basis
		found.Sources = []moistheat.Source{source}
	}
	found.Params = r.params(c.limits.weight, r.relation(f, v), v.reason)
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
	add("standing", weight.String())
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
	rule := &limitRules[r.Determinand]
	missing := undetermined(reasonMissing)
	r.absent = moistheat.Finding{
		Rule: rule.ID, Outcome: moistheat.Undetermined, Severity: rule.Severity, Kind: moistheat.Missing,
		Pointer: r.Determinand.pointer(), Limit: r.limit(figure{}, missing),
		Params:  r.params(l.weight, r.relation(figure{}, missing), reasonMissing),
		Sources: []moistheat.Source{r.Source}, Table: id + "#" + r.ID,
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
	if r.high == nil {
		return r.low != nil
	}
	return r.low != nil && v.outcome == moistheat.Broken && f.span.hi != nil && f.span.hi.Cmp(r.low) <= 0
}

func (r *row) relation(f figure, v verdict) string {
	switch below := r.below(f, v); {
	case r.low == nil && r.high == nil && r.steps == nil:
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
	b := bounds{r.low, r.high, r.Strict}
	if m := s.mass(d); m != nil {
		return f, b.judgeSpecies(f, d, m.As, r.As)
	}
	return f, b.judge(f.span, f.step)
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
			k, ok := speciesFactor(from, to)
			if !ok {
				return undetermined(reasonSubstance)
			}
			step := f.step
			if step != nil {
				step = new(big.Rat).Mul(step, k)
			}
			v = agree(v, b.judge(f.span.scale(k, k), step), reasonSpecies)
		}
	}
	return v
}

// speciesFactor returns how much of one species stands for 1 of another by the IUPAC
// 2021 abridged atomic weights, to 12 decimals.
func speciesFactor(from, to units.Species) (*big.Rat, bool) {
	if from == to {
		return big.NewRat(1, 1), true
	}
	one := units.Express(units.New(1, 0, units.MilligramPerLitre), from)
	c, err := units.IUPAC2021.Convert(one, to, units.MilligramPerLitre, 12, units.TiesToEven)
	if err != nil {
		return nil, false
	}
	return c.Mass().Rat(), true
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
	b := bounds{r.low, r.high, r.Strict}
	if r.Determinand == Resistivity {
		b = bounds{nil, new(big.Rat).Inv(r.low), r.Strict}
	}
	v := b.judgeElectric(f, at, r.At)
	if k := c.slipFactor(f); k != nil && v.outcome != moistheat.Undetermined {
		slipped := f
		slipped.span, slipped.step = f.span.scale(k, k), nil
		v = agree(v, b.judgeElectric(slipped, at, r.At), reasonSlip)
	}
	return f, v
}

// reciprocal turns a resistivity into a conductivity.
func (f figure) reciprocal() figure {
	inv := func(x *big.Rat) *big.Rat {
		if x == nil || x.Sign() == 0 {
			return nil
		}
		return new(big.Rat).Inv(x)
	}
	g := f
	g.span = span{inv(f.span.hi), inv(f.span.lo), f.span.hiOpen, f.span.loOpen}
	if f.span.hi == nil {
		g.span.lo, g.span.loOpen = new(big.Rat), false
	}
	if g.step != nil { // a last digit, relative to its figure, stays as large
		if f.span.lo == nil || f.span.lo.Sign() == 0 {
			g.reason = reasonValue
			return g
		}
		g.step = new(big.Rat).Mul(f.step, new(big.Rat).Mul(g.span.hi, g.span.hi))
	}
	return g
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
	var size float64
	if f.span.lo != nil {
		size, _ = f.span.lo.Float64()
	}
	low, high := bracket(size*1e4, x, y)
	s := span{quantum(f.span.lo, low), quantum(f.span.hi, high), f.span.loOpen, f.span.hiOpen}
	step := quantum(f.step, high)
	v := b.judge(s, step)
	if v.outcome == moistheat.Undetermined && v.reason != reasonCoarse {
		v.reason = reasonCarry
	}
	return v
}

// quantum multiplies a conductivity in S/m by a factor and rounds it to 0.0001 µS/cm,
// so that all platforms compare the same number. It keeps nil.
func quantum(k *big.Rat, factor float64) *big.Rat {
	if k == nil {
		return nil
	}
	n := new(big.Rat).SetFloat64(factor)
	n.Mul(n.Mul(n, k), big.NewRat(1e8, 1))
	half := new(big.Rat).Add(n, big.NewRat(1, 2))
	return new(big.Rat).SetFrac(new(big.Int).Div(half.Num(), half.Denom()), big.NewInt(1e8))
}

// stages judges by the table of a pharmacopoeia and, where the document has them,
// by its later stages. That a value equal to the limit passes is recalled, so a pass
// by equality is no better founded than that.
func (r *row) stages(f figure, at Correction, e *Equilibrated) verdict {
	if at.Compensated != moistheat.No || !at.Temperature.IsValid() {
		return undetermined(reasonRaw)
	}
	limit, ok := r.stageAt(celsiusRat(at.Temperature))
	if !ok {
		return undetermined(reasonTable)
	}
	v := bounds{high: limit.max.Rat()}.judge(f.span, f.step)
	if f.stated && f.step != nil && r.finest.IsValid() && f.step.Cmp(r.finest.Rat()) > 0 {
		v = undetermined(reasonCoarse)
	}
	v.limit, v.basis = limit.max, limit.basis
	if f.span.hi != nil && f.span.hi.Cmp(limit.max.Rat()) == 0 {
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
	if t := celsiusRat(e.Temperature); !e.Temperature.IsValid() || t.Cmp(big.NewRat(24, 1)) < 0 || t.Cmp(big.NewRat(26, 1)) > 0 {
		v.outcome, v.reason = moistheat.Undetermined, reasonStage2Warm
		return v
	}
	if order := e.Conductivity.Compare(r.stirred); order <= 0 {
		v.outcome = moistheat.Met
		if order == 0 {
			v.basis = max(v.basis, moistheat.Recalled)
		}
		return v
	}
	if len(r.byPH) == 0 {
		return v
	}
	if !e.PH.IsValid() || lastDigit(e.PH).Cmp(big.NewRat(1, 10)) > 0 {
		v.outcome, v.reason = moistheat.Undetermined, reasonStage3
		return v
	}
	if limit, ok = r.acidityStep(e.PH); ok { // outside the table it stays broken
		order := e.Conductivity.Compare(limit.max)
		v.outcome, v.limit, v.basis = check.If(order > 0), limit.max, limit.basis
		if order == 0 {
			v.basis = max(v.basis, moistheat.Recalled)
		}
	}
	return v
}

func celsiusRat(t units.Temperature) *big.Rat {
	return new(big.Rat).Sub(t.Rat(), big.NewRat(27315, 100))
}

// stageAt returns the limit at a temperature: that of the step below it, or on the
// line between two, rounded down to 0.01 µS/cm.
func (r *row) stageAt(t *big.Rat) (step, bool) {
	last := len(r.steps) - 1
	if t.Cmp(r.steps[0].at) < 0 || t.Cmp(r.steps[last].at) > 0 {
		return step{}, false
	}
	i := last
	for r.steps[i].at.Cmp(t) > 0 {
		i--
	}
	a := r.steps[i]
	if !r.linear || t.Cmp(a.at) == 0 {
		return a, true
	}
	b := r.steps[i+1]
	x, y := a.max.Rat(), b.max.Rat()
	share := new(big.Rat).Quo(new(big.Rat).Sub(t, a.at), new(big.Rat).Sub(b.at, a.at))
	x.Add(x, share.Mul(share, y.Sub(y, x)))
	n := x.Mul(x, big.NewRat(1e6, 1)) // hundredths of µS/cm
	floor := new(big.Int).Div(n.Num(), n.Denom())
	return step{t, units.New(floor.Int64(), -2, units.MicrosiemensPerCentimetre), max(a.basis, moistheat.Recalled)}, true
}

// acidityStep returns the limit at a pH, rounded to 0.1 with ties to even.
func (r *row) acidityStep(ph units.PH) (step, bool) {
	q := ph.Convert(units.PHScale, 1, units.TiesToEven)
	for _, s := range r.byPH {
		if q.IsValid() && q.Rat().Cmp(s.at) == 0 {
			return s, true
		}
	}
	return step{}, false
}

// slipFactor returns what a conductivity would be multiplied by if its unit had been
// taken for another a thousand times as large or small, or nil where the figure is
// plausible. Treated water of 1 mS/cm is not, nor is anything below 0.01 µS/cm, as
// pure water at 0 °C has 0.0115 µS/cm.
func (c *checker) slipFactor(f figure) *big.Rat {
	s := c.sample
	if f.pointer != "/conductivity" || f.reason != "" {
		return nil
	}
	q, _ := units.Of[units.ConductivityUnit](f.value)
	treated := s.Point != Mains && s.Treatment != Untreated && s.Treatment != Softened
	switch {
	case treated && q.Compare(units.New(1, 0, units.MillisiemensPerCentimetre)) >= 0:
		return big.NewRat(1, 1000)
	case q.Compare(units.New(1, -2, units.MicrosiemensPerCentimetre)) < 0 && s.Conductivity.Comparator == 0:
		return big.NewRat(1000, 1)
	}
	return nil
}

// slips adds the findings about units.
func (c *checker) slips() {
	s := c.sample
	if s.Conductivity == nil {
		c.Skip(&unitSlip, "/conductivity")
	} else {
		f := figureOf(&s.Conductivity.Reading, Conductivity)
		k := c.slipFactor(f)
		found := c.Add(&unitSlip, check.If(k != nil), moistheat.Consistency, f.pointer)
		found.Measured = f.value
		if k != nil {
			check.With(found, "probable", probable(s.Conductivity.Value, k))
		}
	}
	slipPerVolume(c, s.Bacteria, Bacteria)
	slipPerVolume(c, s.Endotoxin, Endotoxin)
}

// slipPerVolume asks about a count whose verdict would turn if its digits were meant
// in the unit of the limit.
func slipPerVolume[U units.Unit](c *checker, r *Reading[U], d Determinand) {
	if r == nil {
		c.Skip(&unitSlip, "/"+d.String())
		return
	}
	f := figureOf(r, d)
	for i := range c.limits.rows {
		w := &c.limits.rows[i]
		if w.Determinand != d || !applies(w.Points, c.sample.Point) || f.reason != "" || w.high == nil {
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
		b := bounds{high: w.high, strict: w.Strict}
		if b.compare(span{lo: read.Rat(), hi: read.Rat()}) == b.compare(f.span) {
			continue
		}
		found := c.Add(&unitSlip, moistheat.Undetermined, moistheat.Consistency, f.pointer)
		found.Measured, found.Limit, found.Table = f.value, w.Max, w.absent.Table
		check.With(found, "probable", read.String())
		return
	}
	found := c.Add(&unitSlip, moistheat.Met, moistheat.Consistency, f.pointer)
	found.Measured = f.value
}

// probable names k times q, rounded to 0.01 µS/cm.
func probable(q units.Conductivity, k *big.Rat) string {
	x, _ := k.Float64()
	p := units.FromFloat64(q.Float64(units.MicrosiemensPerCentimetre)*x, 2, units.MicrosiemensPerCentimetre)
	if !p.IsValid() {
		return "another unit"
	}
	return p.String()
}
