package water

import (
	"slices"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// Rules returns the rules of this package, sorted by ID. The caller owns the slice.
func Rules() []moistheat.Rule { return book.Rules() }

// limitRules has the rule for each determinand.
var limitRules = [...]ask.ID{
	Conductivity: conductivityOver, Resistivity: resistivityUnder, PH: phOutside, Hardness: hardnessOver,
	Residue: residueOver, DissolvedSolids: solidsOver, Silicate: silicateOver, Phosphate: phosphateOver,
	Chloride: chlorideOver, Iron: ironOver, Cadmium: cadmiumOver, Lead: leadOver, HeavyMetals: metalsOver,
	Copper: copperOver, Manganese: manganeseOver, Zinc: zincOver, Aluminium: aluminiumOver, Ammonium: ammoniumOver,
	Nitrate: nitrateOver, Sulphate: sulphateOver, Alkalinity: alkalinityOver, OrganicCarbon: carbonOver,
	Bacteria: bacteriaOver, Endotoxin: endotoxinOver, Turbidity: turbidityOver, Appearance: appearanceUnclear,
}

// reason is why a reading cannot be judged: a phrase, or a document's own text. The zero reason is none.
type reason struct {
	kind   moistheat.Reason
	phrase lang.Text
	told   string
}

func (r reason) isValid() bool { return r != reason{} }

// why returns the reason for a person.
func (r reason) why() moistheat.Detail {
	if r.phrase == "" {
		return lang.Told(r.told)
	}
	return lang.Say(r.phrase)
}

// The reasons. What a document gives as its own is that it states no figure.
var (
	reasonMissing = reason{moistheat.Unrecorded, "water-unmeasured: it was not measured", ""}
	reasonValue   = reason{moistheat.NotMeasurable,
		"water-value-impossible: the figure is not one that can be measured", ""}
	reasonStep = reason{moistheat.Unrecorded,
		"water-step-unrecorded: the smallest step that the test can show is not recorded", ""}
	reasonCoarse = reason{moistheat.NotMeasurable,
		"water-test-coarse: the test cannot show so little", ""}
	reasonBetween = reason{moistheat.NotMeasurable,
		"water-value-both-sides: the true value lies on both sides of the limit", ""}
	reasonPen = reason{moistheat.NotMeasurable,
		"water-pen-factor: a pen measures conductivity, not what is dissolved; its factor is not known", ""}
	reasonSpecies = reason{moistheat.Unrecorded,
		"water-species-unrecorded: it is not known as what the concentration is expressed", ""}
	reasonSubstance = reason{moistheat.NotMeasurable,
		"water-species-other: it is expressed as something else", ""}
	reasonTemperature = reason{moistheat.Unrecorded,
		"water-temperature-unrecorded: the temperature that the reading stands for is not recorded", ""}
	reasonDocument = reason{moistheat.BetweenLimits,
		"water-temperature-unsettled: it is not settled which temperature the document means", ""}
	reasonCarry = reason{moistheat.BetweenLimits,
		"water-conversions-differ: the rules that carry a conductivity to another temperature give " +
			"different verdicts", ""}
	reasonRange = reason{moistheat.NotMeasurable,
		"water-temperature-unconverted: its temperature is outside the range of the conversion; cool " +
			"the sample", ""}
	reasonSlip = reason{moistheat.Contradictory, "water-unit-doubtful: its unit is in doubt", ""}
	reasonRaw  = reason{moistheat.NotMeasurable,
		"water-reading-compensated: the pharmacopoeia requires a reading without compensation, and its " +
			"temperature", ""}
	reasonTable = reason{moistheat.NoLimit,
		"water-temperature-untabled: its temperature is outside the table", ""}
	reasonStage2 = reason{moistheat.NotYet,
		"water-stage-two-needed: it is above stage 1; stir the sample at 25 °C until it changes no " +
			"more and measure again (stage 2)", ""}
	reasonStage2Warm = reason{moistheat.NotMeasurable,
		"water-stage-two-temperature: stage 2 was not measured at 24 to 26 °C", ""}
	reasonLook = reason{moistheat.Unrecorded,
		"water-looks-unrecorded: not all of what it looks like is recorded", ""}
	reasonStage3 = reason{moistheat.NotYet,
		"water-stage-three-needed: it is above stage 2; measure the pH to 0.1 (stage 3)", ""}
)

func unstated(why string) reason { return reason{moistheat.NoLimit, "", why} }

func applies(points []SamplingPoint, p SamplingPoint) bool {
	return len(points) == 0 || slices.Contains(points, p)
}

// Use is the water of one cycle, as far as it is recorded. A sterilizer fed from a pipe
// has no reservoir.
type Use struct {
	Sample    *Sample    `json:"sample,omitzero"`
	Reservoir *Reservoir `json:"reservoir,omitzero"`
	// Cycle is when the cycle started, in its own time zone: the day by which the
	// upkeep of the reservoir counts, and the end of the age of the sample.
	Cycle time.Time `json:"cycle,omitzero"`
}

// Check judges the water of a cycle: a sample by each of the limits and by the age
// that their documents allow it, how it was taken and with which meters, whether the
// kind of water suits its use, and the upkeep of the reservoir. What is absent of Use
// is not asked about. Pointers are relative to Use, such as "/sample/conductivity".
//
// Each limit gives a finding: met, broken, undetermined where the sample lacks what the
// document asks for or the reading cannot carry the limit, and not applicable where
// the document sets no limit at the sampling point.
// A conductivity whose temperature is not recorded is judged at all that it can stand
// for: 20 and 25 °C, to which meters refer, if it was compensated; any from 0 to
// 35.9 °C if that is not known either. It is met or broken only if it is so at each.
//
// Limits of an informative annex are suggestions; the parameter "status" of each
// finding says what weight the document gives them.
func Check(u Use, limits ...*Limits) []moistheat.Finding {
	k := checker{book.List(make([]moistheat.Finding, 0, 48)), u}
	if u.Sample != nil {
		for _, l := range limits {
			if l != nil {
				k.limits(l)
				k.age(l)
			}
		}
		k.sampling()
	}
	if u.Reservoir != nil {
		k.reservoir()
	}
	k.Settle(u)
	return k.Findings
}

type checker struct {
	ask.List
	Use
}

// limits asks every limit of a document, by determinand.
func (k *checker) limits(l *Limits) {
	for d := Conductivity; d <= Appearance; d++ {
		before := len(k.Findings)
		for i := range l.rows {
			if r := &l.rows[i]; r.Determinand == d && applies(r.Points, k.Sample.Point) {
				k.row(l, r)
			}
		}
		if len(k.Findings) == before {
			k.Ask(limitRules[d], pointerTo(d)).When(false)
		}
	}
	if k.Sample.Conductivity != nil {
		k.slip()
	}
	slipPerVolume(k, l, k.Sample.Bacteria, Bacteria)
	slipPerVolume(k, l, k.Sample.Endotoxin, Endotoxin)
}

// row asks one limit.
func (k *checker) row(l *Limits, r *row) {
	f, v := k.judge(r)
	source := r.Source
	source.Basis = max(source.Basis, v.basis)
	q := k.Ask(limitRules[r.Determinand], f.pointer)
	if v.outcome == moistheat.Undetermined {
		q.Open(v.reason.kind)
	}
	q.Is(v.outcome).Of(f.value, r.limit(f, v)).Table(r.table).By(source)
	for _, p := range [...]moistheat.Param{
		moistheat.ParamOf("document", r.document), moistheat.ParamOf("status", string(l.info.Status)),
		moistheat.ParamOf("relation", r.relation(f, v)), {Name: "at", Value: r.at},
		{Name: "reason", Value: v.reason.why()},
	} {
		if p.Value.IsValid() {
			q.Say(p.Name, p.Value)
		}
	}
}

// prepare makes what all findings of a row share.
func (r *row) prepare(document string) {
	r.table = document + "#" + r.ID
	r.document = strings.TrimSpace(r.Source.Document + " " + r.Source.Edition)
	for _, t := range r.At {
		at := lang.Data(t.String())
		if r.at.IsValid() {
			at = lang.With("either-of: {1:text} or {2:text}", r.at, at)
		}
		r.at = at
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
		return lang.Term("relation: above")
	case below:
		return lang.Term("relation: at least")
	case r.Strict:
		return lang.Term("relation: below")
	}
	return lang.Term("relation: at most")
}

func (k *checker) judge(r *row) (figure, verdict) {
	d, a := r.Determinand, k.Sample.Appearance
	if d == Conductivity || d == Resistivity {
		return k.electric(r)
	}
	f := figure{pointer: pointerTo(d)}
	switch read := k.Sample.reading(d); {
	case r.Unjudged != "":
		return f, undetermined(unstated(r.Unjudged))
	case d == Appearance && a != nil:
		return f, a.judge(r.sediment)
	case read == nil:
		return f, undetermined(reasonMissing)
	default:
		f = read.figure(d)
	}
	if f.reason.isValid() {
		return f, undetermined(f.reason)
	}
	return f, r.bounds.judgeSpecies(f, d, r.As)
}

// judge says whether the water is clear and colourless and, if that is asked, without
// sediment.
func (a *AppearanceReading) judge(sediment bool) verdict {
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
	return undetermined(reasonLook)
}

// judgeSpecies judges a concentration as each of the species that reading and limit
// can mean.
func (b bounds) judgeSpecies(f figure, d Determinand, want units.Species) verdict {
	all := speciesOf[d]
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
		if f.as != 0 {
			return undetermined(reasonSubstance)
		}
		return b.judge(f.span, f.step)
	}
	var v verdict
	for _, from := range choices(f.as) {
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

// slipPlaces returns the power of ten that a conductivity would change by if its unit
// had been taken for another a thousand times as large or small, or 0 where the
// figure is plausible. Treated water of 1 mS/cm is not, nor is anything below
// 0.01 µS/cm, as pure water at 0 °C has 0.0115 µS/cm.
func (k *checker) slipPlaces(f figure) int {
	s := k.Sample
	if f.pointer != pointerTo(Conductivity) || f.reason.isValid() {
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

// slip asks whether the unit of the conductivity is right.
func (k *checker) slip() {
	f := k.Sample.Conductivity.figure(Conductivity)
	places := k.slipPlaces(f)
	q := k.Ask(unitSlip, f.pointer).BrokenIf(places != 0).Of(f.value, units.Value{})
	if places != 0 {
		q.Say("probable", probable(shift(f.value, places)))
	}
}

// slipPerVolume asks about a count whose verdict would turn if its digits were meant
// in the unit of the limit.
func slipPerVolume[U units.Unit](k *checker, l *Limits, r *Reading[U], d Determinand) {
	if r == nil {
		return
	}
	f := r.figure(d)
	q := k.Ask(unitSlip, f.pointer).Of(f.value, units.Value{})
	for i := range l.rows {
		w := &l.rows[i]
		limit, ok := units.Of[U](w.Max)
		if w.Determinand != d || !applies(w.Points, k.Sample.Point) || !ok || f.reason.isValid() ||
			r.Value.Unit() == limit.Unit() {
			continue
		}
		read, err := units.FromDecimal(r.Value.Decimal(), limit.Unit())
		turned := w.bounds.compare(span{lo: read.Value(), hi: read.Value()}) != w.bounds.compare(f.span)
		if err == nil && turned {
			q.Open(moistheat.Contradictory).Of(f.value, w.Max).Table(w.table).With("probable", read.String())
			return
		}
	}
	q.Met()
}

// probable names a conductivity in µS/cm, rounded to 0.01.
func probable(v units.Value) moistheat.Detail {
	q, _ := units.Of[units.ConductivityUnit](v)
	if q = q.Convert(units.MicrosiemensPerCentimetre, 2, units.TiesToEven); q.IsValid() {
		return lang.Data(q.String())
	}
	return lang.Say("water-another-unit: another unit")
}
