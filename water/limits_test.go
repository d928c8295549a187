package water

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

var noon = time.Date(2026, 3, 9, 12, 0, 0, 0, time.UTC)

func limitsFor(t testing.TB, id string) *Limits {
	t.Helper()
	l, err := LimitsFor(id)
	require.NoError(t, err)
	return l
}

// brief writes a row as the tables below do.
func brief(r Row) string {
	var b strings.Builder
	b.WriteString(r.Determinand.String())
	sign := map[bool]string{false: "=", true: ""}[r.Strict]
	if r.Min.IsValid() {
		fmt.Fprintf(&b, " >%s%s", sign, r.Min.Text())
	}
	if r.Max.IsValid() {
		fmt.Fprintf(&b, " <%s%s", sign, r.Max.Text())
	}
	if r.As != 0 {
		fmt.Fprintf(&b, " as %s", r.As)
	}
	for _, at := range r.At {
		fmt.Fprintf(&b, " @%s", at.Value().AppendNumber(nil))
	}
	if r.Unjudged != "" {
		b.WriteString(" unjudged")
	}
	return b.String() + " " + r.Source.Basis.String()
}

// The tables as they are given by the sources named in the files, entered a second
// time. Where EN 285 is quoted, a text gives rows that match it without naming it.
func TestRows(t *testing.T) {
	const old = "residue <=15 mg/L quoted|silicate <=2 mg/L as SiO2 quoted|iron <=0.2 mg/L quoted|cadmium <=0.005 mg/L quoted|" +
		"lead <=0.05 mg/L quoted|heavyMetals <=0.1 mg/L quoted|chloride <=3 mg/L as Cl quoted|phosphate <=0.5 mg/L as P2O5 quoted|" +
		"conductivity <=50 uS/cm @20 @25 quoted|ph >=6.5 [pH] <=8 [pH] quoted|hardness <=0.1 mmol/L quoted"
	for id, want := range map[string]string{
		"en-13060": "residue <=10 mg/L quoted|silicate <=1 mg/L as SiO2 quoted|iron <=0.2 mg/L quoted|cadmium <=0.005 mg/L quoted|" +
			"lead <=0.05 mg/L quoted|heavyMetals <=0.1 mg/L quoted|chloride <=2 mg/L as Cl quoted|phosphate <=0.5 mg/L as P2O5 quoted|" +
			"conductivity <=15 uS/cm @20 quoted|ph >=5 [pH] <=7.5 [pH] published|hardness <=0.02 mmol/L quoted|appearance published|" +
			"silicate <=0.1 mg/L as SiO2 recalled|iron <=0.1 mg/L recalled|cadmium <=0.005 mg/L recalled|lead <=0.05 mg/L recalled|" +
			"heavyMetals <=0.1 mg/L recalled|chloride <=0.1 mg/L as Cl recalled|phosphate <=0.1 mg/L as P2O5 recalled|" +
			"conductivity <=3 uS/cm @20 recalled|ph >=5 [pH] <=7 [pH] published|hardness <=0.02 mmol/L recalled|appearance published",
		"en-285": "residue <=10 mg/L quoted|silicate <=1 mg/L as SiO2 quoted|iron <=0.2 mg/L quoted|cadmium <=0.005 mg/L quoted|" +
			"lead <=0.05 mg/L quoted|heavyMetals <=0.1 mg/L quoted|chloride <=2 mg/L as Cl quoted|phosphate <=0.5 mg/L as P2O5 recalled|" +
			"conductivity <=5 uS/cm @20 @25 recalled|ph >=5 [pH] <=7.5 [pH] recalled|hardness <=0.02 mmol/L recalled|appearance recalled|" +
			"silicate <=0.1 mg/L as SiO2 quoted|iron <=0.1 mg/L quoted|cadmium <=0.005 mg/L quoted|lead <=0.05 mg/L quoted|" +
			"heavyMetals <=0.1 mg/L quoted|chloride <=0.1 mg/L as Cl quoted|phosphate <=0.1 mg/L as P2O5 recalled|" +
			"conductivity <=3 uS/cm @20 @25 recalled|ph >=5 [pH] <=7 [pH] recalled|hardness <=0.02 mmol/L recalled|appearance recalled",
		"en-285-1996":         old,
		"iso-ts-17665-2-2009": "conductivity <=5 uS/cm @20 @25 recalled|conductivity <=3 uS/cm @20 @25 recalled",
		"din-58950-7":         "conductivity <=10 uS/cm @20 @25 quoted",
		"htm-2031-1997": "ph >=6 [pH] <=8 [pH] quoted|ammonium <=0.2 mg/L quoted|hardness <2 mg/L{CaCO3} quoted|heavyMetals <=0.1 mg/L quoted|" +
			"iron <0.1 mg/L quoted|cadmium <0.005 mg/L quoted|lead <0.05 mg/L quoted|chloride <=0.5 mg/L as Cl quoted|nitrate <=0.2 mg/L as NO3 quoted|" +
			"residue <=30 mg/L quoted|silicate <0.1 mg/L as SiO2 quoted|phosphate <0.1 mg/L as P2O5 quoted|conductivity <=35 uS/cm @20 quoted|" +
			"endotoxin <=0.25 {EU}/mL quoted|appearance quoted|sulphate unjudged quoted",
		"aami-tir34-2007#potable":     "bacteria <200 [CFU]/mL quoted|organicCarbon <1.0 mg/L quoted|ph >=6.5 [pH] <=8.5 [pH] quoted|hardness <150 mg/L{CaCO3} quoted",
		"aami-tir34-2007#softened":    "bacteria <200 [CFU]/mL quoted|organicCarbon <1.0 mg/L quoted|ph >=6.5 [pH] <=8.5 [pH] quoted|hardness <10 mg/L{CaCO3} quoted",
		"aami-tir34-2007#deionised":   "bacteria <200 [CFU]/mL quoted|organicCarbon <1.0 mg/L quoted|hardness <1 mg/L{CaCO3} quoted|resistivity >1.0 MOhm.cm @20 @25 quoted",
		"aami-tir34-2007#high-purity": "bacteria <=10 [CFU]/mL quoted|endotoxin <10 {EU}/mL quoted|organicCarbon <0.05 mg/L quoted|hardness <1 mg/L{CaCO3} quoted|resistivity >1.0 MOhm.cm @20 @25 quoted",
		"aami-tir34-2014#utility": "hardness <150 mg/L{CaCO3} quoted|conductivity <500 uS/cm @20 @25 quoted|ph >=6 [pH] <=9 [pH] quoted|chloride <250 mg/L as Cl quoted|" +
			"iron <0.2 mg/L quoted|copper <0.1 mg/L quoted|manganese <0.1 mg/L quoted|organicCarbon <1.0 mg/L quoted",
		"aami-tir34-2014#critical": "hardness <1 mg/L{CaCO3} quoted|conductivity <10 uS/cm @20 @25 quoted|ph >=5 [pH] <=7 [pH] quoted|chloride <1 mg/L as Cl quoted|" +
			"iron <0.2 mg/L quoted|copper <0.1 mg/L quoted|manganese <0.1 mg/L quoted|organicCarbon <1.0 mg/L quoted|bacteria <10 [CFU]/mL quoted|endotoxin <10 {EU}/mL quoted",
		"ansi-aami-st108-2023#utility": "ph >=6.5 [pH] <=9.5 [pH] recalled|alkalinity <400 mg/L recalled|hardness <150 mg/L{CaCO3} recalled|conductivity <500 uS/cm @20 @25 recalled|" +
			"chloride <250 mg/L as Cl recalled|bacteria <500 [CFU]/mL recalled",
		"ansi-aami-st108-2023#critical": "ph >=5.0 [pH] <=7.5 [pH] recalled|alkalinity <8 mg/L recalled|hardness <1 mg/L{CaCO3} recalled|conductivity <10 uS/cm @20 @25 recalled|" +
			"chloride <1 mg/L as Cl recalled|bacteria <10 [CFU]/mL recalled|endotoxin <10 {EU}/mL recalled|organicCarbon <1.0 mg/L recalled|iron <0.1 mg/L recalled|copper <0.1 mg/L recalled|" +
			"manganese <0.1 mg/L recalled|zinc <0.1 mg/L recalled|aluminium <0.1 mg/L recalled|nitrate <1 mg/L recalled|phosphate <1 mg/L recalled|sulphate <1 mg/L recalled|silicate <1 mg/L recalled",
		"ansi-aami-st108-2023#steam": "ph >=5.0 [pH] <=9.2 [pH] recalled|alkalinity <8 mg/L recalled|hardness <1 mg/L{CaCO3} recalled|conductivity <10 uS/cm @20 @25 recalled",
		"as-nzs-4187-2014": "ph >=5.5 [pH] <=8.0 [pH] quoted|conductivity <=30 uS/cm @20 @25 quoted|dissolvedSolids <=40 mg/L quoted|hardness <=50 mg/L{CaCO3} quoted|" +
			"chloride <=10 mg/L as Cl quoted|heavyMetals <=10 mg/L quoted|iron <=2 mg/L quoted|phosphate <=0.2 mg/L as P2O5 quoted|silicate <=0.2 mg/L as SiO2 quoted|" +
			"bacteria <=100 [CFU]/dL quoted|endotoxin <=0.25 {EU}/mL quoted|appearance quoted",
		"as-nzs-4187-2014#cleaning": "hardness <=60 mg/L{CaCO3} quoted|chloride <=120 mg/L as Cl quoted|silicate <=2 mg/L as SiO2 quoted|appearance quoted",
		"instrument-preparation": "conductivity <15 uS/cm @20 @25 quoted|ph >=5 [pH] <=7 [pH] recalled|hardness <0.02 mmol/L recalled|residue <10 mg/L quoted|" +
			"phosphate <0.5 mg/L recalled|silicate <1 mg/L recalled|chloride <2 mg/L as Cl recalled",
		"dgs-dh-100-1995": "silicate <1 mg/L as SiO2 quoted|iron <0.2 mg/L quoted|cadmium <0.005 mg/L quoted|lead <0.05 mg/L quoted|heavyMetals <0.1 mg/L quoted|" +
			"chloride <2 mg/L as Cl quoted|phosphate <0.5 mg/L quoted|hardness unjudged quoted",
		"iso-3696#grade-1":     "conductivity <=0.1 uS/cm @25 quoted|silicate <=0.01 mg/L as SiO2 quoted",
		"iso-3696#grade-2":     "conductivity <=1.0 uS/cm @25 quoted|silicate <=0.02 mg/L as SiO2 quoted|residue unjudged quoted",
		"iso-3696#grade-3":     "conductivity <=5.0 uS/cm @25 quoted|residue unjudged quoted|ph >=5.0 [pH] <=7.5 [pH] quoted",
		"astm-d1193#type-1":    "conductivity <=0.056 uS/cm @25 quoted|resistivity >=18 MOhm.cm @25 quoted",
		"astm-d1193#type-2":    "conductivity <=1.0 uS/cm @25 quoted|resistivity >=1.0 MOhm.cm @25 quoted",
		"astm-d1193#type-3":    "conductivity <=0.25 uS/cm @25 quoted|resistivity >=4.0 MOhm.cm @25 quoted",
		"astm-d1193#type-4":    "conductivity <=5.0 uS/cm @25 quoted|resistivity >=0.2 MOhm.cm @25 quoted",
		"usp-645":              "conductivity quoted",
		"usp-waters#purified":  "organicCarbon <=0.50 mg/L quoted|bacteria <=100 [CFU]/mL quoted",
		"usp-waters#injection": "organicCarbon <=0.50 mg/L quoted|bacteria <=10 [CFU]/dL quoted|endotoxin <=0.25 {EU}/mL quoted",
		"ph-eur-0008":          "conductivity quoted|organicCarbon <=0.5 mg/L quoted|bacteria <=100 [CFU]/mL quoted|nitrate unjudged quoted|endotoxin unjudged quoted",
	} {
		t.Run(id, func(t *testing.T) {
			var got []string
			for _, r := range limitsFor(t, id).Rows() {
				got = append(got, brief(r))
			}
			assert.Empty(t, cmp.Diff(strings.Split(want, "|"), got))
		})
	}
	assert.Len(t, LimitNames(), 30)
}

func TestLimitFiles(t *testing.T) {
	ids := LimitNames()
	assert.True(t, slices.IsSorted(ids))
	for _, id := range ids {
		l := limitsFor(t, id)
		info := l.Info()
		assert.Equal(t, id, info.ID)
		assert.NotEmpty(t, info.Title)
		assert.NotEmpty(t, info.Source.Document)
		assert.NotEmpty(t, info.Status)
		assert.NotEmpty(t, info.StatusSource.Document)
		for _, r := range l.Rows() {
			assert.NotEmpty(t, r.Source.Document, r.ID)
			assert.NotZero(t, r.Source.Basis, r.ID)
		}
	}
	for _, id := range []string{"en-285", "en-13060", "en-285-1996", "iso-ts-17665-2-2009"} {
		assert.Equal(t, Informative, limitsFor(t, id).Info().Status, "a suggestion of an annex is no requirement")
	}
	_, err := LimitsFor("aami-tir34-2014") // a document of categories: say which
	assert.ErrorIs(t, err, moistheat.ErrUnknown)
	assert.ErrorContains(t, err, "aami-tir34-2014#critical")
}

// Rows returns a copy; limits never change.
func TestRowsCopied(t *testing.T) {
	l := limitsFor(t, "en-13060")
	l.Rows()[0].Points[0] = Mains
	r := l.Rows()[8]
	r.At[0] = cel("25")
	assert.Equal(t, TreatedFeed, l.Rows()[0].Points[0])
	assert.Equal(t, cel("20"), l.Rows()[8].At[0])
}

// times returns v with its number multiplied by n/100, digits added.
func times[U units.Unit](v units.Value, n int64) units.Quantity[U] {
	q, ok := units.Of[U](v)
	if !ok {
		return q
	}
	d := q.Decimal()
	return units.New(d.Coefficient().Int64()*n, int(d.Exponent())-2, q.Unit())
}

// sampleAt returns a sample with a reading of n hundredths of a limit.
func sampleAt(r Row, limit units.Value, n int64) *Sample {
	s := &Sample{Point: Condensate, Time: noon}
	if len(r.Points) > 0 {
		s.Point = r.Points[0]
	}
	mass := &MassReading{Reading: Reading[units.MassConcentrationUnit]{Value: times[units.MassConcentrationUnit](limit, n)}, As: r.As}
	switch r.Determinand {
	case Conductivity:
		s.Conductivity = &ConductivityReading{Reading: Reading[units.ConductivityUnit]{Value: times[units.ConductivityUnit](limit, n)},
			Correction: Correction{Compensated: moistheat.Yes, Reference: r.At[0]}}
	case Resistivity:
		s.Resistivity = &ResistivityReading{Reading: Reading[units.ResistivityUnit]{Value: times[units.ResistivityUnit](limit, n)},
			Correction: Correction{Compensated: moistheat.Yes, Reference: r.At[0]}}
	case PH:
		s.PH = &Reading[units.PHUnit]{Value: times[units.PHUnit](limit, n)}
	case Hardness:
		s.Hardness = &Reading[units.HardnessUnit]{Value: times[units.HardnessUnit](limit, n)}
	case Bacteria:
		s.Bacteria = &Reading[units.ColonyCountUnit]{Value: times[units.ColonyCountUnit](limit, n)}
	case Endotoxin:
		s.Endotoxin = &Reading[units.EndotoxinUnit]{Value: times[units.EndotoxinUnit](limit, n)}
	case Residue:
		s.Residue = mass
	case DissolvedSolids:
		s.DissolvedSolids = mass
	case Silicate:
		s.Silicate = mass
	case Phosphate:
		s.Phosphate = mass
	case Chloride:
		s.Chloride = mass
	case Iron:
		s.Iron = mass
	case Cadmium:
		s.Cadmium = mass
	case Lead:
		s.Lead = mass
	case HeavyMetals:
		s.HeavyMetals = mass
	case Copper:
		s.Copper = mass
	case Manganese:
		s.Manganese = mass
	case Zinc:
		s.Zinc = mass
	case Aluminium:
		s.Aluminium = mass
	case Ammonium:
		s.Ammonium = mass
	case Nitrate:
		s.Nitrate = mass
	case Sulphate:
		s.Sulphate = mass
	case Alkalinity:
		s.Alkalinity = mass
	case OrganicCarbon:
		s.OrganicCarbon = mass
	}
	return s
}

// findingOf returns the finding of a rule, and one that does not apply where it is not asked.
func findingOf(found []moistheat.Finding, rule string) moistheat.Finding {
	for _, f := range found {
		if f.Rule == rule && f.Outcome != moistheat.NotApplicable {
			return f
		}
	}
	return moistheat.Finding{Rule: rule, Outcome: moistheat.NotApplicable}
}

// check checks a sample alone. Pointers are relative to the sample.
func check(s *Sample, limits ...*Limits) []moistheat.Finding {
	return inside("/sample", Check(Use{Sample: s}, limits...))
}

// aged returns what is said about the age of a sample.
func aged(s *Sample, l *Limits, cycle time.Time) []moistheat.Finding {
	found := inside("/sample", Check(Use{Sample: s, Cycle: cycle}, l))
	return slices.DeleteFunc(found, func(f moistheat.Finding) bool { return f.Rule != "water.sample.old" })
}

// upkeep checks a reservoir alone. Pointers are relative to the reservoir.
func upkeep(r *Reservoir, cycle time.Time) []moistheat.Finding {
	return inside("/reservoir", Check(Use{Reservoir: r, Cycle: cycle}))
}

func inside(at string, found []moistheat.Finding) []moistheat.Finding {
	for i := range found {
		found[i].Pointer = strings.TrimPrefix(found[i].Pointer, at)
	}
	return found
}

// Every row of every file: at its limit, just inside, just outside.
func TestEveryRow(t *testing.T) {
	checked := 0
	for _, id := range LimitNames() {
		l := limitsFor(t, id)
		for _, r := range l.Rows() {
			expect := func(limit units.Value, n int64, want moistheat.Outcome) {
				t.Helper()
				f := findingOf(check(sampleAt(r, limit, n), l), book.Name(limitRules[r.Determinand]))
				assert.Equal(t, want, f.Outcome, "%s %s at %d %% of %s: %s", id, r.ID, n, limit, f.Param("reason"))
				assert.Equal(t, moistheat.SourcesOf(r.Source), f.Sources)
				assert.True(t, strings.HasSuffix(f.Table, "#"+r.ID), f.Table)
				checked++
			}
			edge := moistheat.Met
			if r.Strict {
				edge = moistheat.Broken
			}
			switch {
			case r.Determinand == Appearance || !r.Min.IsValid() && !r.Max.IsValid():
				continue // TestAppearance, TestUnjudged, pharmacopoeia tests
			case len(r.At) == 2:
				// The reading stands for 20 °C, the limit for 20 or 25 °C, where the water
				// conducts 10 to 12 % more, the purest up to 31 % (0.055/0.042). A value
				// at the limit is outside a strict one at both.
				limit, inside, outside := r.Max, int64(85), int64(101)
				if r.Determinand == Resistivity {
					limit, inside, outside = r.Min, 150, 99
				}
				open := moistheat.Undetermined
				if r.Strict {
					open = moistheat.Broken
				}
				expect(limit, inside, moistheat.Met)
				expect(limit, 100, open)
				expect(limit, outside, moistheat.Broken)
			case r.As == 0 && len(speciesOf[r.Determinand]) > 1:
				expect(r.Max, 20, moistheat.Met)
				expect(r.Max, 100, moistheat.Undetermined)
				expect(r.Max, 500, moistheat.Broken)
			default:
				if r.Max.IsValid() {
					expect(r.Max, 99, moistheat.Met)
					expect(r.Max, 100, edge)
					expect(r.Max, 101, moistheat.Broken)
				}
				if r.Min.IsValid() {
					expect(r.Min, 101, moistheat.Met)
					expect(r.Min, 100, edge)
					expect(r.Min, 99, moistheat.Broken)
				}
			}
		}
	}
	assert.Greater(t, checked, 300)
}

func TestUnjudged(t *testing.T) {
	for _, id := range LimitNames() {
		l := limitsFor(t, id)
		for _, r := range l.Rows() {
			if r.Unjudged == "" {
				continue
			}
			tiny := units.MustParse[units.MassConcentrationUnit]("0.0001 mg/L").Value()
			f := findingOf(check(sampleAt(r, tiny, 100), l), book.Name(limitRules[r.Determinand]))
			assert.Equal(t, moistheat.Undetermined, f.Outcome, id)
			assert.Equal(t, moistheat.NoLimit, f.Reason, id)
			assert.Equal(t, r.Unjudged, f.Param("reason"))
			assert.NotEmpty(t, lang.German().Texts[r.Unjudged], "in German")
		}
	}
}

// Where documents disagree, both values stand, each under its own name.
func TestDisagreements(t *testing.T) {
	row := func(id, name string) string {
		for _, r := range limitsFor(t, id).Rows() {
			if r.ID == name {
				return brief(r)
			}
		}
		return "no such row"
	}
	for _, tt := range []struct{ topic, idA, rowA, a, idB, rowB, b string }{
		{"feed conductivity, large and small sterilizers", "en-285", "feed.conductivity", "conductivity <=5 uS/cm @20 @25 recalled",
			"en-13060", "feed.conductivity", "conductivity <=15 uS/cm @20 quoted"},
		{"feed conductivity, editions", "en-285-1996", "feed.conductivity", "conductivity <=50 uS/cm @20 @25 quoted",
			"en-285", "feed.conductivity", "conductivity <=5 uS/cm @20 @25 recalled"},
		{"condensate conductivity", "htm-2031-1997", "condensate.conductivity", "conductivity <=35 uS/cm @20 quoted",
			"en-285", "condensate.conductivity", "conductivity <=3 uS/cm @20 @25 recalled"},
		{"condensate pH", "htm-2031-1997", "condensate.ph", "ph >=6 [pH] <=8 [pH] quoted",
			"en-13060", "condensate.ph", "ph >=5 [pH] <=7 [pH] published"},
		{"condensate chloride", "htm-2031-1997", "condensate.chloride", "chloride <=0.5 mg/L as Cl quoted",
			"en-285", "condensate.chloride", "chloride <=0.1 mg/L as Cl quoted"},
		{"hardness for steam", "dgs-dh-100-1995", "feed.hardness", "hardness unjudged quoted",
			"en-13060", "feed.hardness", "hardness <=0.02 mmol/L quoted"},
		{"pH of potable or utility water", "aami-tir34-2007#potable", "potable.ph", "ph >=6.5 [pH] <=8.5 [pH] quoted",
			"aami-tir34-2014#utility", "utility.ph", "ph >=6 [pH] <=9 [pH] quoted"},
		{"organic carbon of the best water", "aami-tir34-2007#high-purity", "high-purity.organicCarbon", "organicCarbon <0.05 mg/L quoted",
			"aami-tir34-2014#critical", "critical.organicCarbon", "organicCarbon <1.0 mg/L quoted"},
	} {
		t.Run(tt.topic, func(t *testing.T) {
			assert.Equal(t, tt.a, row(tt.idA, tt.rowA))
			assert.Equal(t, tt.b, row(tt.idB, tt.rowB))
		})
	}
	// Purified water at 20 °C: USP 1.1, Ph. Eur. 4.3 µS/cm.
	for id, want := range map[string]string{"usp-645": "1.1 µS/cm", "ph-eur-0008": "4.3 µS/cm"} {
		step, ok := limitsFor(t, id).rows[0].stageAt(cel("20"))
		require.True(t, ok)
		assert.Equal(t, want, step.max.String(), id)
	}
	// The text that allows 5 to 7 °TH (50 to 70 mg/L CaCO3) asks 25 to 35 times less
	// than 0.02 mmol/L.
	limit := units.MustParse[units.HardnessUnit]("0.02 mmol/L").Float64(units.FrenchDegree)
	assert.InDelta(t, 25, 5/limit, 0.1)
	assert.InDelta(t, 35, 7/limit, 0.1)
	// 1 °dH in mmol/L is 0.1783; 0.1792 and 0.179, also in print, are 1/5.58 rounded.
	degree := units.MustParse[units.HardnessUnit]("1 10.mg/L{CaO}").Float64(units.HardnessMillimolePerLitre)
	assert.InDelta(t, 0.1783, degree, 5e-5)
	assert.Greater(t, 0.1792-degree, 5e-4)
	// The Clark degree is 14.254 mg/L CaCO3; 14.28 and 14.3 are roundings.
	clark := units.MustParse[units.HardnessUnit]("1 [gr]/[gal_br]{CaCO3}").Float64(units.HardnessMilligramPerLitre)
	assert.InDelta(t, 14.2537675233002, clark, 1e-9)
	// Rainbow stains: silicate by one source, overheating by another.
	causes := ""
	for _, h := range Hints(Rainbow) {
		causes += h.Cause + ";"
	}
	assert.Contains(t, causes, "silicate")
	assert.Contains(t, causes, "overheating")
}

// Errors in circulation that we do not repeat.
func TestMisprints(t *testing.T) {
	for _, id := range LimitNames() {
		for _, r := range limitsFor(t, id).Rows() {
			if r.Determinand == Conductivity && r.Max.IsValid() {
				// mS/cm is printed for µS/cm in at least four texts, µm/cm in one.
				assert.Equal(t, "uS/cm", r.Max.Code(), "%s %s", id, r.ID)
				assert.Less(t, r.Max.Decimal().InexactFloat64(), 1000.0)
			}
			if r.Determinand == Bacteria && strings.Contains(id, "critical") {
				// A trade text has 10 per 100 mL for critical water; per mL is right.
				assert.Equal(t, "[CFU]/mL", r.Max.Code(), "%s %s", id, r.ID)
			}
			if r.Determinand == Endotoxin && strings.Contains(id, "critical") {
				// The same text has 0.25, 40 times less.
				assert.Equal(t, "10", r.Max.Decimal().String())
			}
		}
	}
	get := func(id, name string) Row {
		for _, r := range limitsFor(t, id).Rows() {
			if r.ID == name {
				return r
			}
		}
		return Row{}
	}
	// ISO 3696 grade 3: pH up to 7.5; one table prints 7.0.
	assert.Equal(t, "7.5 [pH]", get("iso-3696#grade-3", "grade-3.ph").Max.Text())
	// ASTM D1193 type III: 0.25 µS/cm and 4.0 MΩ·cm, not the other way round; the two
	// figures of each type are reciprocals of each other to the printed digits.
	for n, name := range []string{"type-1", "type-2", "type-3", "type-4"} {
		k := get("astm-d1193#"+name, name+".conductivity").Max.Decimal().InexactFloat64()
		rho := get("astm-d1193#"+name, name+".resistivity").Min.Decimal().InexactFloat64()
		assert.InDelta(t, 1, k*rho, 0.01, n+1)
	}
	// Test-kit texts multiply mg/L by 17.1 to get gpg; it is the other way round.
	gpg := units.MustParse[units.HardnessUnit]("1 mg/L{CaCO3}").Float64(units.HardnessGrainPerUSGallon)
	assert.InDelta(t, 0.0584, gpg, 5e-5)
	// An online calculator takes 1 °dH for 10 mg/L CaCO3: that is the French degree.
	assert.InDelta(t, 17.848, units.MustParse[units.HardnessUnit]("1 10.mg/L{CaO}").Float64(units.HardnessMilligramPerLitre), 5e-3)
	assert.InDelta(t, 10, units.MustParse[units.HardnessUnit]("1 10.mg/L{CaCO3}").Float64(units.HardnessMilligramPerLitre), 1e-9)
	// English to German degrees is 0.80 (1/1.2522), not 0.83.
	assert.InDelta(t, 0.7986, units.MustParse[units.HardnessUnit]("1 [gr]/[gal_br]{CaCO3}").Float64(units.GermanDegree), 5e-5)
	// 11 mg/L nitrate nitrogen is 48.7 mg/L nitrate: 11·62/14.01, not 11/62·14.01.
	n, err := units.IUPAC2021.Convert(units.MustParseSpeciesConcentration("11 mg/L{N}"), units.AsNO3, units.MilligramPerLitre, 1, units.TiesToEven)
	require.NoError(t, err)
	assert.Equal(t, "48.7 mg/L as NO3", n.String())
}

// A table of hardness scales in circulation (a water-testing text), and the exact
// values that follow from the definitions.
func TestHardnessEquivalences(t *testing.T) {
	for _, tt := range []struct {
		from   string
		to     units.HardnessUnit
		want   float64
		within float64
	}{
		{"1 10.mg/L{CaO}", units.EnglishDegree, 1.253, 1e-3}, // exact 1.2522
		{"1 10.mg/L{CaO}", units.FrenchDegree, 1.78, 5e-3},
		{"1 10.mg/L{CaO}", units.HardnessMilligramPerLitre, 17.8, 5e-2},
		{"1 10.mg/L{CaO}", units.HardnessMillimolePerLitre, 0.1783, 5e-5},
		{"1 [gr]/[gal_br]{CaCO3}", units.GermanDegree, 0.798, 1e-3},
		{"1 [gr]/[gal_br]{CaCO3}", units.FrenchDegree, 1.43, 5e-3},
		{"1 [gr]/[gal_br]{CaCO3}", units.HardnessMilligramPerLitre, 14.3, 5e-2},
		{"1 [gr]/[gal_br]{CaCO3}", units.HardnessMillimolePerLitre, 0.142, 5e-4},
		{"1 10.mg/L{CaCO3}", units.GermanDegree, 0.560, 5e-4},
		{"1 10.mg/L{CaCO3}", units.EnglishDegree, 0.702, 5e-4},
		{"1 10.mg/L{CaCO3}", units.HardnessMilligramPerLitre, 10, 1e-9},
		{"1 10.mg/L{CaCO3}", units.HardnessMillimolePerLitre, 0.1, 5e-4},
		{"1 mmol/L", units.GermanDegree, 5.6077, 5e-4},
		{"1 mmol/L", units.FrenchDegree, 10.009, 5e-4},
		{"1 mmol/L", units.EnglishDegree, 7.022, 5e-4},
		{"1 mmol/L", units.HardnessGrainPerUSGallon, 5.847, 5e-4},
		{"1.5 mmol/L", units.GermanDegree, 8.41, 5e-3}, // soft up to 8.4 °dH in German law
		{"2.5 mmol/L", units.GermanDegree, 14, 5e-2},
		{"0.02 mmol/L", units.HardnessMilligramPerLitre, 2.0017, 1e-4},
		{"0.02 mmol/L", units.GermanDegree, 0.1122, 5e-5},
		{"0.02 mmol/L", units.FrenchDegree, 0.2002, 5e-5},
		{"0.02 mmol/L", units.EnglishDegree, 0.1404, 5e-5},
		{"0.02 mmol/L", units.HardnessGrainPerUSGallon, 0.1169, 5e-5},
		{"1 [gr]/[gal_us]{CaCO3}", units.HardnessMilligramPerLitre, 17.1180610452709, 1e-9}, // SP 811 B.8, GNU units
	} {
		assert.InDelta(t, tt.want, units.MustParse[units.HardnessUnit](tt.from).Float64(tt.to), tt.within, "%s in %s", tt.from, tt.to)
	}
	// Ca 40 and Mg 10 mg/L: 2.497·40 + 4.118·10 = 141.06 mg/L CaCO3.
	h, err := units.HardnessWeights.TotalHardness(6, units.TiesToEven,
		units.MustParseSpeciesConcentration("40 mg/L{Ca}"), units.MustParseSpeciesConcentration("10 mg/L{Mg}"))
	require.NoError(t, err)
	assert.InDelta(t, 141.06, h.Float64(units.HardnessMilligramPerLitre), 0.02)
}

const facility = `{
  "format": "moistheat.water/1", "id": "our-sterilizer", "title": "Instructions of the manufacturer",
  "source": {"document": "Instructions for use", "edition": "3", "locator": "chapter 4", "basis": "facility"},
  "status": {"is": "facility", "source": {"document": "Instructions for use", "basis": "facility"}},
  "sections": [{"name": "feed", "title": "feed water", "points": ["treated feed"],
    "source": {"document": "Instructions for use", "locator": "page 12", "basis": "facility"},
    "rows": [
      {"determinand": "conductivity", "max": {"value": 10, "unit": "uS/cm"}, "at": [{"value": 25, "unit": "Cel"}], "basis": "facility"},
      {"determinand": "chloride", "max": {"value": 0.5, "unit": "mg/L"}, "as": "Cl", "strict": true, "basis": "facility"}]}]}`

func TestParseLimits(t *testing.T) {
	l, err := ParseLimits([]byte(facility))
	require.NoError(t, err)
	assert.Equal(t, "our-sterilizer", l.Info().ID)
	assert.Equal(t, FacilityRule, l.Info().Status)
	f := findingOf(check(sampleAt(l.Rows()[1], l.Rows()[1].Max, 100), l), "water.chloride.over")
	assert.Equal(t, moistheat.Broken, f.Outcome, "below 0.5 is wanted")
	assert.Equal(t, "our-sterilizer#feed.chloride", f.Table)
	assert.Equal(t, moistheat.Facility, f.Sources.At(0).Basis)
	assert.Equal(t, "facility", f.Param("status"))
}

// The first day counts, the last does not, on the calendar of the clock.
func TestLimitDates(t *testing.T) {
	l, err := ParseLimits([]byte(strings.Replace(facility, `"id": "our-sterilizer"`, `"from": "2026-03-09", "until": "2026-03-12", "id": "our-sterilizer"`, 1)))
	require.NoError(t, err)
	east := time.FixedZone("", 13*3600)
	for on, want := range map[time.Time]bool{
		time.Date(2026, 3, 8, 23, 59, 59, 0, east):   false,
		time.Date(2026, 3, 9, 0, 0, 0, 0, east):      true,
		time.Date(2026, 3, 11, 23, 59, 59, 0, east):  true,
		time.Date(2026, 3, 12, 0, 0, 0, 0, time.UTC): false,
	} {
		assert.Equal(t, want, l.InForce(moistheat.DateOf(on)), on)
	}
	assert.Equal(t, "2026-03-09 2026-03-12", l.Info().From.String()+" "+l.Info().Until.String())
	always, err := ParseLimits([]byte(facility))
	require.NoError(t, err)
	assert.True(t, always.InForce(moistheat.Date{}))
}

// assertWrongAt compares where a file is wrong; "" stands for one that can be read.
func assertWrongAt(t *testing.T, pointer string, err error) {
	t.Helper()
	if pointer == "" {
		assert.NoError(t, err)
		return
	}
	var e *moistheat.DocumentError
	require.ErrorAs(t, err, &e)
	assert.Equal(t, pointer, e.Pointer)
}

// A facility's file of one section with one row, at the borders of what is read.
func TestParseLimitsBorders(t *testing.T) {
	const (
		at25    = `"at": [{"value": 25, "unit": "Cel"}], `
		table   = `"staged": {"between": "line", "steps": [{"temperature": {"value": 20, "unit": "Cel"}, "max": {"value": 1.1, "unit": "uS/cm"}}, {"temperature": {"value": 25, "unit": "Cel"}, "max": {"value": 1.3, "unit": "uS/cm"}}]}, `
		stirred = `"stirred": {"value": 2.1, "unit": "uS/cm"}, `
		byPH    = `"byPH": [{"ph": {"value": 5, "unit": "[pH]"}, "max": {"value": 4.7, "unit": "uS/cm"}}], `
	)
	first, second := `{"temperature": {"value": 20, "unit": "Cel"}, "max": {"value": 1.1, "unit": "uS/cm"}}, `, `"steps": [`
	with := func(more string) string { return strings.Replace(table, second, more+second, 1) }
	for _, tt := range []struct {
		name, determinand, row string
		wrong                  string // where; "" where it can be read
	}{
		{"pH without width", "ph", `"min": {"value": 7, "unit": "[pH]"}, "max": {"value": 7.0, "unit": "[pH]"}, `, "/sections/0/rows/0/max"},
		{"pH with some", "ph", `"min": {"value": 7, "unit": "[pH]"}, "max": {"value": 7.1, "unit": "[pH]"}, `, ""},
		{"pH from", "ph", `"min": {"value": 7, "unit": "[pH]"}, `, ""},
		{"pH up to", "ph", `"max": {"value": 7, "unit": "[pH]"}, `, ""},
		{"nothing", "chloride", `"max": {"value": 0, "unit": "mg/L"}, `, "/sections/0/rows/0/max"},
		{"less than nothing", "chloride", `"max": {"value": -0.001, "unit": "mg/L"}, `, "/sections/0/rows/0/max"},
		{"next to nothing", "chloride", `"max": {"value": 0.001, "unit": "mg/L"}, `, ""},
		{"at 0 °C", "conductivity", `"max": {"value": 10, "unit": "uS/cm"}, "at": [{"value": 0, "unit": "Cel"}], `, ""},
		{"below", "conductivity", `"max": {"value": 10, "unit": "uS/cm"}, "at": [{"value": -0.1, "unit": "Cel"}], `, "/sections/0/rows/0/at"},
		{"at 35.9 °C, where the table of ISO 7888 ends", "conductivity", `"max": {"value": 10, "unit": "uS/cm"}, "at": [{"value": 35.9, "unit": "Cel"}], `, ""},
		{"above", "conductivity", `"max": {"value": 10, "unit": "uS/cm"}, "at": [{"value": 36, "unit": "Cel"}], `, "/sections/0/rows/0/at"},
		{"resistivity from", "resistivity", `"min": {"value": 1, "unit": "MOhm.cm"}, ` + at25, ""},
		{"resistivity up to", "resistivity", `"max": {"value": 1, "unit": "MOhm.cm"}, ` + at25, "/sections/0/rows/0"},
		{"resistivity from and up to", "resistivity", `"min": {"value": 1, "unit": "MOhm.cm"}, "max": {"value": 2, "unit": "MOhm.cm"}, ` + at25, "/sections/0/rows/0"},
		{"conductivity from and up to", "conductivity", `"min": {"value": 1, "unit": "uS/cm"}, "max": {"value": 2, "unit": "uS/cm"}, ` + at25, ""},
		{"a table", "conductivity", table, ""},
		{"of chloride", "chloride", table, "/sections/0/rows/0/staged"},
		{"and a lowest value", "conductivity", table + `"min": {"value": 1, "unit": "uS/cm"}, `, "/sections/0/rows/0/staged"},
		{"and a highest one", "conductivity", table + `"max": {"value": 1, "unit": "uS/cm"}, `, "/sections/0/rows/0/staged"},
		{"below which it must be", "conductivity", table + `"strict": true, `, "/sections/0/rows/0/staged"},
		{"a table of one step", "conductivity", strings.Replace(table, first, "", 1), "/sections/0/rows/0/staged"},
		{"stirred", "conductivity", with(stirred), ""},
		{"and by pH", "conductivity", with(stirred + byPH), ""},
		{"by pH only", "conductivity", with(byPH), "/sections/0/rows/0/staged"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := ParseLimits([]byte(`{"format": "moistheat.water/1", "id": "own", "title": "ours",
				"source": {"document": "ours", "basis": "facility"}, "status": {"is": "facility", "source": {"document": "ours", "basis": "facility"}},
				"sections": [{"name": "feed", "title": "feed water", "points": ["treated feed"], "source": {"document": "ours", "basis": "facility"},
				"rows": [{"determinand": "` + tt.determinand + `", ` + tt.row + `"basis": "facility"}]}]}`))
			assertWrongAt(t, tt.wrong, err)
		})
	}
}

// Sections have names of their own, and an interval lasts.
func TestParseLimitsSections(t *testing.T) {
	const again = `"basis": "facility"}]}, {"name": "%s", "title": "steam", "points": ["condensate"], "source": {"document": "ours", "basis": "facility"},
		"rows": [{"determinand": "hardness", "max": {"value": 1, "unit": "mmol/L"}, "basis": "facility"}]}]}`
	const every = `"basis": "facility"}], "intervals": [{"determinands": ["chloride"], "every": {"value": %s, "unit": "d"}, "source": {"document": "ours", "basis": "facility"}}]}]}`
	last := `"basis": "facility"}]}]}`
	for _, tt := range []struct{ name, old, new, wrong string }{
		{"a capital", `"name": "feed"`, `"name": "Feed"`, "/sections/0/name"},
		{"no name", `"name": "feed"`, `"name": ""`, "/sections/0/name"},
		{"two sections", last, fmt.Sprintf(again, "steam"), ""},
		{"a name twice", last, fmt.Sprintf(again, "feed"), "/sections/1/name"},
		{"every day", last, fmt.Sprintf(every, "1"), ""},
		{"every no time", last, fmt.Sprintf(every, "0"), "/sections/0/intervals/0/every"},
		{"less than none", last, fmt.Sprintf(every, "-1"), "/sections/0/intervals/0/every/value"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			require.Contains(t, facility, tt.old)
			_, err := ParseLimits([]byte(strings.Replace(facility, tt.old, tt.new, 1)))
			assertWrongAt(t, tt.wrong, err)
		})
	}
}

func TestParseLimitsErrors(t *testing.T) {
	for _, tt := range []struct{ name, old, new, says string }{
		{"other format", `moistheat.water/1`, `moistheat.water/2`, "/format"},
		{"an end before the start", `"id": "our-sterilizer"`, `"from": "2026-03-10", "until": "2026-03-10", "id": "our-sterilizer"`, "/until"},
		{"bad id", `our-sterilizer`, `Our Sterilizer`, "/id"},
		{"no document", `"document": "Instructions for use", "edition"`, `"document": "", "edition"`, "/source/document"},
		{"unit of another dimension", `"unit": "uS/cm"`, `"unit": "mg/L"`, "/sections/0/rows/0/max"},
		{"everyday unit", `"unit": "uS/cm"`, `"unit": "µS/cm"`, `write \"uS/cm\"`},
		{"no temperature", `, "at": [{"value": 25, "unit": "Cel"}]`, ``, "/sections/0/rows/0/at"},
		{"a temperature out of range", `{"value": 25, "unit"`, `{"value": 40, "unit"`, "outside"},
		{"another substance", `"as": "Cl"`, `"as": "P2O5"`, "chloride is not expressed as P2O5"},
		{"no figure", `"max": {"value": 0.5, "unit": "mg/L"}, `, ``, "want min, max"},
		{"upside down", `"max": {"value": 0.5`, `"min": {"value": 0.6, "unit": "mg/L"}, "max": {"value": 0.5`, "/rows/1/max: is not above min"},
		{"twice", `{"determinand": "chloride"`, `{"determinand": "conductivity", "max": {"value": 1, "unit": "uS/cm"}, "at": [{"value": 25, "unit": "Cel"}], "basis": "facility"}, {"determinand": "chloride"`, "second row"},
		{"unknown member", `"strict": true`, `"stricter": true`, "unknown member"},
		{"no basis", `"strict": true, "basis": "facility"`, `"strict": true`, "basis"},
		{"a figure of appearance", `"determinand": "chloride"`, `"determinand": "appearance"`, "takes no figure"},
		{"a figure that is not judged", `"strict": true`, `"unjudged": "why"`, "a row with a figure is judged"},
		{"no sections", `[{"name"`, `[], "x": [{"name"`, "unknown member"},
		{"null", `"strict": true`, `"strict": null`, "true or false"},
		{"cut off", `"basis": "facility"}]}]}`, ``, "want a name"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			require.Contains(t, facility, tt.old)
			_, err := ParseLimits([]byte(strings.Replace(facility, tt.old, tt.new, 1)))
			var e *moistheat.DocumentError
			require.ErrorAs(t, err, &e)
			assert.Equal(t, e.Offset < 0, errors.Is(err, moistheat.ErrInvalid))
			assert.Contains(t, strings.ReplaceAll(err.Error(), `"`, `\"`), strings.ReplaceAll(tt.says, `\"`, `\"`))
		})
	}
}

// What a rule names as its source states a limit of what the rule is about. No
// document here limits turbidity.
func TestRulesNameDocumentsThatLimit(t *testing.T) {
	type document struct {
		of            Determinand
		name, edition string
	}
	there := map[document]bool{}
	for _, id := range LimitNames() {
		l, err := LimitsFor(id)
		require.NoError(t, err)
		for _, r := range l.Rows() {
			there[document{r.Determinand, r.Source.Document, r.Source.Edition}] = true
			there[document{r.Determinand, r.Source.Document, ""}] = true
		}
	}
	for d := Conductivity; d <= Appearance; d++ {
		r := book.Rule(limitRules[d])
		for s := range r.Sources.All() {
			if d != Turbidity {
				assert.True(t, there[document{d, s.Document, s.Edition}] || there[document{d, s.Document, ""}] && s.Document == "EN 13060", "%s: %s", r.ID, s)
			}
		}
	}
}
