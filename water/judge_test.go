package water

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

func decode(t testing.TB, members string) *Sample {
	t.Helper()
	s, err := strictjson.NewDecoder[Sample]().Decode([]byte(`{"time":"2026-03-09T12:00:00Z",`+members+`}`), strictjson.Default())
	require.NoError(t, err)
	return s
}

// Each case is a sample as a record states it, and the verdict that follows from the
// document's wording and from what the reading can carry.
func TestCheckReadings(t *testing.T) {
	const (
		reservoir  = `"point":"reservoir","treatment":"distilled"`
		condensate = `"point":"condensate"`
		feed       = `"point":"treated feed","treatment":"reverse osmosis"`
	)
	conductivity := func(value, rest string) string {
		return `,"conductivity":{"value":{"value":` + value + `,"unit":"uS/cm"}` + rest + `}`
	}
	const (
		at20 = `,"compensated":true,"reference":{"value":20,"unit":"Cel"}`
		at25 = `,"compensated":true,"reference":{"value":25,"unit":"Cel"}`
		raw  = `,"compensated":false`
	)
	temperature := func(c string) string { return `,"temperature":{"value":` + c + `,"unit":"Cel"}` }
	for _, tt := range []struct {
		name, sample, limits, rule string
		want                       moistheat.Outcome
		reason                     reason
	}{
		// EN 13060: at most 15 µS/cm at 20 °C.
		{"12 at 20", reservoir + conductivity("12", at20), "en-13060", "water.conductivity.over", moistheat.Met, reason{}},
		{"12 at 25, EN 285 wants 5", reservoir + conductivity("12", at25), "en-285", "water.conductivity.over", moistheat.Broken, reason{}},
		{"15.8 at 25 is 14.16 at 20", feed + conductivity("15.8", at25), "en-13060", "water.conductivity.over", moistheat.Met, reason{}},
		{"15.8 of no known temperature", feed + conductivity("15.8", ""), "en-13060", "water.conductivity.over", moistheat.Undetermined, reasonTemperature},
		{"15.8, compensated to what", feed + conductivity("15.8", `,"compensated":true`), "en-13060", "water.conductivity.over", moistheat.Undetermined, reasonTemperature},
		{"15.8 measured at 25, compensation not recorded", feed + conductivity("15.8", temperature("25")), "en-13060", "water.conductivity.over", moistheat.Undetermined, reasonTemperature},
		{"15.8 measured at 25 without compensation", feed + conductivity("15.8", raw+temperature("25")), "en-13060", "water.conductivity.over", moistheat.Met, reason{}},
		{"15.8 uncompensated, temperature not recorded", feed + conductivity("15.8", raw), "en-13060", "water.conductivity.over", moistheat.Undetermined, reasonTemperature},
		// 15 at 20 °C is 16.50 to 16.74 at 25 °C, by the rule.
		{"16.5 at 25 is within by every rule", feed + conductivity("16.5", at25), "en-13060", "water.conductivity.over", moistheat.Met, reason{}},
		{"16.6 at 25 depends on the rule", feed + conductivity("16.6", at25), "en-13060", "water.conductivity.over", moistheat.Undetermined, reasonCarry},
		{"16.75 at 25 is over by every rule", feed + conductivity("16.75", at25), "en-13060", "water.conductivity.over", moistheat.Broken, reason{}},
		{"5 of no known temperature is within at any", feed + conductivity("5", ""), "en-13060", "water.conductivity.over", moistheat.Met, reason{}},
		{"30 of no known temperature is over at any", feed + conductivity("30", ""), "en-13060", "water.conductivity.over", moistheat.Broken, reason{}},
		{"too warm to carry", condensate + conductivity("2", raw+temperature("60")), "en-13060", "water.conductivity.over", moistheat.Undetermined, reasonRange},
		{"EN 285, 5.2 at 25: by 20 or 25", feed + conductivity("5.2", at25), "en-285", "water.conductivity.over", moistheat.Undetermined, reasonDocument},
		{"EN 285, 4.9 at 25", feed + conductivity("4.9", at25), "en-285", "water.conductivity.over", moistheat.Met, reason{}},
		{"HTM 2031 wants 35 of condensate", condensate + conductivity("20", at20), "htm-2031-1997", "water.conductivity.over", moistheat.Met, reason{}},
		{"and EN 13060 3", condensate + conductivity("20", at20), "en-13060", "water.conductivity.over", moistheat.Broken, reason{}},
		{"the older set wants 50", feed + conductivity("40", at25), "en-285-1996", "water.conductivity.over", moistheat.Met, reason{}},
		{"not measured", feed, "en-13060", "water.conductivity.over", moistheat.Undetermined, reasonMissing},
		{"mains water is not fed", `"point":"mains"` + conductivity("400", at25), "en-13060", "water.conductivity.over", moistheat.NotApplicable, reason{}},
		{"8 mS/cm was probably 8 µS/cm", feed + `,"conductivity":{"value":{"value":8,"unit":"mS/cm"}` + at20 + `}`, "en-13060", "water.conductivity.over", moistheat.Undetermined, reasonSlip},
		{"40 mS/cm is over either way", feed + `,"conductivity":{"value":{"value":40,"unit":"mS/cm"}` + at20 + `}`, "en-13060", "water.conductivity.over", moistheat.Broken, reason{}},
		{"0.008 mS/cm is 8 µS/cm", feed + `,"conductivity":{"value":{"value":0.008,"unit":"mS/cm"}` + at20 + `}`, "en-13060", "water.conductivity.over", moistheat.Met, reason{}},
		{"0.5 mS/m is 5 µS/cm", feed + `,"conductivity":{"value":{"value":0.5,"unit":"mS/m"}` + at20 + `}`, "en-13060", "water.conductivity.over", moistheat.Met, reason{}},
		{"0.008 µS/cm does not exist", feed + conductivity("0.008", at20), "en-285", "water.conductivity.over", moistheat.Undetermined, reasonSlip},

		// Resistivity: 1 MΩ·cm is 1 µS/cm; 0.10 µS/cm is 10 MΩ·cm.
		{"0.5 MΩ·cm is 2 µS/cm", feed + `,"resistivity":{"value":{"value":0.5,"unit":"MOhm.cm"}` + at20 + `}`, "en-13060", "water.conductivity.over", moistheat.Met, reason{}},
		{"0.05 MΩ·cm is 20 µS/cm", feed + `,"resistivity":{"value":{"value":0.05,"unit":"MOhm.cm"}` + at20 + `}`, "en-13060", "water.conductivity.over", moistheat.Broken, reason{}},
		{"1/0.06666666666664889 is 15.000000000004",
			feed + `,"resistivity":{"value":{"value":0.06666666666664889,"unit":"MOhm.cm"}` + at20 + `}`,
			"en-13060", "water.conductivity.over", moistheat.Broken, reason{}},
		{"nothing resists 0", feed + `,"resistivity":{"value":{"value":0,"unit":"MOhm.cm"}` + at20 + `}`, "en-13060", "water.conductivity.over", moistheat.Undetermined, reasonValue},
		{"0.10 µS/cm is over 1 MΩ·cm", feed + conductivity("0.10", at25), "aami-tir34-2007#deionised", "water.resistivity.under", moistheat.Met, reason{}},
		{"2 µS/cm is under 1 MΩ·cm", feed + conductivity("2", at25), "aami-tir34-2007#deionised", "water.resistivity.under", moistheat.Broken, reason{}},
		{"18.2 MΩ·cm at 25 is ASTM type I", feed + `,"resistivity":{"value":{"value":18.2,"unit":"MOhm.cm"}` + at25 + `}`, "astm-d1193#type-1", "water.resistivity.under", moistheat.Met, reason{}},
		{"more than 18 MΩ·cm too", feed + `,"resistivity":{"value":{"value":18,"unit":"MOhm.cm"},"comparator":">"` + at25 + `}`, "astm-d1193#type-1", "water.resistivity.under", moistheat.Met, reason{}},
		{"17.9 is not", feed + `,"resistivity":{"value":{"value":17.9,"unit":"MOhm.cm"}` + at25 + `}`, "astm-d1193#type-1", "water.resistivity.under", moistheat.Broken, reason{}},

		// Hardness: at most 0.02 mmol/L, 0.11 °dH. A drop test steps by 1 °dH.
		{"drop test of 1 °dH shows 1", feed + `,"hardness":{"value":{"value":1,"unit":"10.mg/L{CaO}"},"resolution":{"value":1,"unit":"10.mg/L{CaO}"},"method":"drop test"}`, "en-13060", "water.hardness.over", moistheat.Undetermined, reasonCoarse},
		{"drop test of 1 °dH shows 0", feed + `,"hardness":{"value":{"value":0,"unit":"10.mg/L{CaO}"},"resolution":{"value":1,"unit":"10.mg/L{CaO}"},"method":"drop test"}`, "en-13060", "water.hardness.over", moistheat.Undetermined, reasonCoarse},
		{"drop test of 1 °dH shows 3", feed + `,"hardness":{"value":{"value":3,"unit":"10.mg/L{CaO}"},"resolution":{"value":1,"unit":"10.mg/L{CaO}"},"method":"drop test"}`, "en-13060", "water.hardness.over", moistheat.Broken, reason{}},
		{"drop test without a step", feed + `,"hardness":{"value":{"value":0,"unit":"10.mg/L{CaO}"},"method":"drop test"}`, "en-13060", "water.hardness.over", moistheat.Undetermined, reasonStep},
		{"a report of 0 °dH shows no more", feed + `,"hardness":{"value":{"value":0,"unit":"10.mg/L{CaO}"},"method":"laboratory"}`, "en-13060", "water.hardness.over", moistheat.Undetermined, reasonCoarse},
		{"a report of 0.01 mmol/L", feed + `,"hardness":{"value":{"value":0.01,"unit":"mmol/L"},"method":"laboratory"}`, "en-13060", "water.hardness.over", moistheat.Met, reason{}},
		{"2.0 mg/L CaCO3 is 0.01998 mmol/L", feed + `,"hardness":{"value":{"value":2.0,"unit":"mg/L{CaCO3}"}}`, "en-13060", "water.hardness.over", moistheat.Met, reason{}},
		{"2.01 mg/L is over", feed + `,"hardness":{"value":{"value":2.01,"unit":"mg/L{CaCO3}"}}`, "en-13060", "water.hardness.over", moistheat.Broken, reason{}},
		{"HTM 2031: below 2 mg/L", condensate + `,"hardness":{"value":{"value":2.0,"unit":"mg/L{CaCO3}"}}`, "htm-2031-1997", "water.hardness.over", moistheat.Broken, reason{}},
		{"a resolution of nothing", feed + `,"hardness":{"value":{"value":0.01,"unit":"mmol/L"},"resolution":{"value":0,"unit":"mmol/L"}}`, "en-13060", "water.hardness.over", moistheat.Undetermined, reasonStep},

		// pH 5 to 7.5 of feed, 5 to 7 of condensate, 6 to 8 by HTM 2031.
		{"pH 7.2 of feed", feed + `,"ph":{"value":{"value":7.2,"unit":"[pH]"}}`, "en-13060", "water.ph.outside", moistheat.Met, reason{}},
		{"pH 7.2 of condensate", condensate + `,"ph":{"value":{"value":7.2,"unit":"[pH]"}}`, "en-13060", "water.ph.outside", moistheat.Broken, reason{}},
		{"pH 7.2 of condensate, HTM 2031", condensate + `,"ph":{"value":{"value":7.2,"unit":"[pH]"}}`, "htm-2031-1997", "water.ph.outside", moistheat.Met, reason{}},
		{"pH 5.5 of condensate, HTM 2031", condensate + `,"ph":{"value":{"value":5.5,"unit":"[pH]"}}`, "htm-2031-1997", "water.ph.outside", moistheat.Broken, reason{}},
		{"a strip in whole steps shows 6", condensate + `,"ph":{"value":{"value":6,"unit":"[pH]"},"resolution":{"value":1,"unit":"[pH]"},"method":"strip"}`, "en-13060", "water.ph.outside", moistheat.Met, reason{}},
		{"the strip shows 7", condensate + `,"ph":{"value":{"value":7,"unit":"[pH]"},"resolution":{"value":1,"unit":"[pH]"},"method":"strip"}`, "en-13060", "water.ph.outside", moistheat.Undetermined, reasonBetween},
		{"pH 15", feed + `,"ph":{"value":{"value":15,"unit":"[pH]"}}`, "en-13060", "water.ph.outside", moistheat.Undetermined, reasonValue},

		// Species. 0.5 mg/L as P2O5 is 0.669 as PO4 and 0.218 as P.
		{"0.66 mg/L PO4", feed + `,"phosphate":{"value":{"value":0.66,"unit":"mg/L"},"as":"PO4"}`, "en-13060", "water.phosphate.over", moistheat.Met, reason{}},
		{"0.67 mg/L PO4", feed + `,"phosphate":{"value":{"value":0.67,"unit":"mg/L"},"as":"PO4"}`, "en-13060", "water.phosphate.over", moistheat.Broken, reason{}},
		{"0.21 mg/L P", feed + `,"phosphate":{"value":{"value":0.21,"unit":"mg/L"},"as":"P"}`, "en-13060", "water.phosphate.over", moistheat.Met, reason{}},
		{"0.22 mg/L P", feed + `,"phosphate":{"value":{"value":0.22,"unit":"mg/L"},"as":"P"}`, "en-13060", "water.phosphate.over", moistheat.Broken, reason{}},
		{"0.3 mg/L of what", feed + `,"phosphate":{"value":{"value":0.3,"unit":"mg/L"}}`, "en-13060", "water.phosphate.over", moistheat.Undetermined, reasonSpecies},
		{"0.1 mg/L of whatever", feed + `,"phosphate":{"value":{"value":0.1,"unit":"mg/L"}}`, "en-13060", "water.phosphate.over", moistheat.Met, reason{}},
		{"0.46 mg/L Si is 0.984 SiO2", feed + `,"silicate":{"value":{"value":0.46,"unit":"mg/L"},"as":"Si"}`, "en-13060", "water.silicate.over", moistheat.Met, reason{}},
		{"0.47 mg/L Si is 1.005 SiO2", feed + `,"silicate":{"value":{"value":0.47,"unit":"mg/L"},"as":"Si"}`, "en-13060", "water.silicate.over", moistheat.Broken, reason{}},
		{"3.2 mg/L NaCl is 1.94 Cl", feed + `,"chloride":{"value":{"value":3.2,"unit":"mg/L"},"as":"NaCl"}`, "en-13060", "water.chloride.over", moistheat.Met, reason{}},
		{"3.2 mg/L chloride", feed + `,"chloride":{"value":{"value":3.2,"unit":"mg/L"}}`, "en-13060", "water.chloride.over", moistheat.Broken, reason{}},
		{"chloride as silica", feed + `,"chloride":{"value":{"value":0.1,"unit":"mg/L"},"as":"SiO2"}`, "en-13060", "water.chloride.over", moistheat.Undetermined, reasonSubstance},
		{"iron as silica", feed + `,"iron":{"value":{"value":0.1,"unit":"mg/L"},"as":"SiO2"}`, "en-13060", "water.iron.over", moistheat.Undetermined, reasonSubstance},

		// Less than, and steps of a report.
		{"< 0.1 mg/L chloride of condensate", condensate + `,"chloride":{"value":{"value":0.1,"unit":"mg/L"},"comparator":"<"}`, "en-13060", "water.chloride.over", moistheat.Met, reason{}},
		{"< 0.5 mg/L chloride of condensate", condensate + `,"chloride":{"value":{"value":0.5,"unit":"mg/L"},"comparator":"<"}`, "en-13060", "water.chloride.over", moistheat.Undetermined, reasonCoarse},
		{"<= 0.1 where below 0.1 is wanted", condensate + `,"iron":{"value":{"value":0.1,"unit":"mg/L"},"comparator":"<="}`, "htm-2031-1997", "water.iron.over", moistheat.Undetermined, reasonBetween},
		{"< 0.1 where below 0.1 is wanted", condensate + `,"iron":{"value":{"value":0.1,"unit":"mg/L"},"comparator":"<"}`, "htm-2031-1997", "water.iron.over", moistheat.Met, reason{}},
		{"> 2 mg/L chloride", feed + `,"chloride":{"value":{"value":2,"unit":"mg/L"},"comparator":">"}`, "en-13060", "water.chloride.over", moistheat.Broken, reason{}},
		{">= 2 mg/L chloride may be 2", feed + `,"chloride":{"value":{"value":2,"unit":"mg/L"},"comparator":">="}`, "en-13060", "water.chloride.over", moistheat.Undetermined, reasonBetween},
		{"0 mg/L cadmium shows no 0.005", feed + `,"cadmium":{"value":{"value":0,"unit":"mg/L"}}`, "en-13060", "water.cadmium.over", moistheat.Undetermined, reasonCoarse},
		{"0 mg/L with a resolution of 0.001", feed + `,"cadmium":{"value":{"value":0,"unit":"mg/L"},"resolution":{"value":0.001,"unit":"mg/L"}}`, "en-13060", "water.cadmium.over", moistheat.Met, reason{}},
		{"5 µg/L is 0.005 mg/L", feed + `,"cadmium":{"value":{"value":5,"unit":"ug/L"}}`, "en-13060", "water.cadmium.over", moistheat.Met, reason{}},
		{"6 µg/L is over", feed + `,"cadmium":{"value":{"value":6,"unit":"ug/L"}}`, "en-13060", "water.cadmium.over", moistheat.Broken, reason{}},

		// A pen that shows ppm measures conductivity times an unknown 0.5 to 0.7.
		{"a pen shows no residue", feed + `,"residue":{"value":{"value":2,"unit":"mg/L"},"method":"conductivity pen"}`, "en-13060", "water.residue.over", moistheat.Undetermined, reasonPen},
		{"nor dissolved solids", `"point":"final rinse","dissolvedSolids":{"value":{"value":2,"unit":"mg/L"},"method":"conductivity pen"}`, "as-nzs-4187-2014", "water.solids.over", moistheat.Undetermined, reasonPen},

		// 0.1 CFU/mL and 10 CFU/100 mL are equal; 360 EU/mL is 1440 times 0.25.
		{"0.1 CFU/mL, USP injection", feed + `,"bacteria":{"value":{"value":0.1,"unit":"[CFU]/mL"}}`, "usp-waters#injection", "water.bacteria.over", moistheat.Met, reason{}},
		{"10 CFU/100 mL, TIR34:2014 critical", feed + `,"bacteria":{"value":{"value":10,"unit":"[CFU]/dL"}}`, "aami-tir34-2014#critical", "water.bacteria.over", moistheat.Met, reason{}},
		{"10 CFU/mL, TIR34:2014 critical", feed + `,"bacteria":{"value":{"value":10,"unit":"[CFU]/mL"}}`, "aami-tir34-2014#critical", "water.bacteria.over", moistheat.Broken, reason{}},
		{"10 CFU/mL, TIR34:2007 high purity", feed + `,"bacteria":{"value":{"value":10,"unit":"[CFU]/mL"}}`, "aami-tir34-2007#high-purity", "water.bacteria.over", moistheat.Met, reason{}},
		{"endotoxin of a tank before cleaning", condensate + `,"endotoxin":{"value":{"value":360,"unit":"{EU}/mL"}}`, "htm-2031-1997", "water.endotoxin.over", moistheat.Broken, reason{}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := findingOf(check(decode(t, tt.sample), limitsFor(t, tt.limits)), tt.rule)
			assert.Equal(t, tt.want.String(), f.Outcome.String(), f.Param("reason"))
			assert.Equal(t, tt.reason.why().String(), f.Param("reason"))
			if tt.want >= moistheat.Met {
				assert.True(t, strings.HasPrefix(f.Table, strings.SplitN(tt.limits, "#", 2)[0]+"#"), f.Table)
			}
		})
	}
}

// A document can hold no reading of less than nothing; a program can, and it decides
// nothing.
func TestCheckLessThanNothing(t *testing.T) {
	s := decode(t, `"point":"reservoir","treatment":"distilled","conductivity":{"value":{"value":1,"unit":"uS/cm"},`+
		`"temperature":{"value":20,"unit":"Cel"}},"chloride":{"value":{"value":0.1,"unit":"mg/L"},"method":"laboratory","as":"Cl"},`+
		`"bacteria":{"value":{"value":1,"unit":"[CFU]/mL"}}`)
	s.Conductivity.Value = units.New(-1, 0, units.MicrosiemensPerCentimetre)
	s.Chloride.Value = units.New(-1, -1, units.MilligramPerLitre)
	s.Bacteria.Value, _ = units.Parse[units.ColonyCountUnit]("-1 [CFU]/mL")
	for rule, limits := range map[string]string{
		"water.conductivity.over": "en-13060", "water.chloride.over": "en-13060", "water.bacteria.over": "usp-waters#injection",
	} {
		f := findingOf(Check(Use{Sample: s}, limitsFor(t, limits)), rule)
		assert.Equal(t, moistheat.Undetermined, f.Outcome, rule)
		assert.Equal(t, reasonValue.why().String(), f.Param("reason"), rule)
	}
}

// A hot condensate is refused only where it would have to be carried: a pharmacopoeia
// table covers 0 to 100 °C, uncompensated.
func TestPharmacopoeia(t *testing.T) {
	reading := func(k, c string) string {
		return `"point":"condensate","conductivity":{"value":{"value":` + k + `,"unit":"uS/cm"},"temperature":{"value":` + c + `,"unit":"Cel"},"compensated":false}`
	}
	stirred := func(k, c, ph string) string {
		s := `,"equilibrated":{"conductivity":{"value":` + k + `,"unit":"uS/cm"}`
		if c != "" {
			s += `,"temperature":{"value":` + c + `,"unit":"Cel"}`
		}
		if ph != "" {
			s += `,"ph":{"value":` + ph + `,"unit":"[pH]"}`
		}
		return s + `}`
	}
	for _, tt := range []struct {
		name, sample, limits string
		want                 moistheat.Outcome
		limit                string
		basis                moistheat.Basis
		reason               reason
	}{
		// Stage 1: the temperature goes down to the next row.
		{"22 °C, 1.0", reading("1.0", "22"), "usp-645", moistheat.Met, "1.1 µS/cm", moistheat.Quoted, reason{}},
		{"24.9 °C, 1.2: row 20", reading("1.2", "24.9"), "usp-645", moistheat.Undetermined, "1.1 µS/cm", moistheat.Quoted, reasonStage2},
		{"25 °C, 1.2", reading("1.2", "25"), "usp-645", moistheat.Met, "1.3 µS/cm", moistheat.Quoted, reason{}},
		{"25 °C, exactly 1.3: that it passes is recalled", reading("1.3", "25"), "usp-645", moistheat.Met, "1.3 µS/cm", moistheat.Recalled, reason{}},
		{"100 °C, 3.0", reading("3.0", "100"), "usp-645", moistheat.Met, "3.1 µS/cm", moistheat.Quoted, reason{}},
		{"100.1 °C", reading("1.0", "100.1"), "usp-645", moistheat.Undetermined, "", moistheat.Quoted, reasonTable},
		{"compensated", `"point":"condensate","conductivity":{"value":{"value":0.5,"unit":"uS/cm"},"compensated":true,"reference":{"value":25,"unit":"Cel"}}`, "usp-645", moistheat.Undetermined, "", moistheat.Quoted, reasonRaw},
		{"compensation not recorded", `"point":"condensate","conductivity":{"value":{"value":0.5,"unit":"uS/cm"},"temperature":{"value":25,"unit":"Cel"}}`, "usp-645", moistheat.Undetermined, "", moistheat.Quoted, reasonRaw},
		{"a figure without its zeros", reading("1", "25"), "usp-645", moistheat.Met, "1.3 µS/cm", moistheat.Quoted, reason{}},
		// A meter manufacturer's note on the chapter: 0.1 µS/cm.
		{"a meter that shows 0.1", `"point":"condensate","conductivity":{"value":{"value":1,"unit":"uS/cm"},"resolution":{"value":0.1,"unit":"uS/cm"},"temperature":{"value":25,"unit":"Cel"},"compensated":false}`, "usp-645", moistheat.Met, "1.3 µS/cm", moistheat.Quoted, reason{}},
		{"a meter that shows 0.2", `"point":"condensate","conductivity":{"value":{"value":1,"unit":"uS/cm"},"resolution":{"value":0.2,"unit":"uS/cm"},"temperature":{"value":25,"unit":"Cel"},"compensated":false}`, "usp-645", moistheat.Undetermined, "1.3 µS/cm", moistheat.Quoted, reasonCoarse},
		{"a meter in tens", `"point":"condensate","conductivity":{"value":{"value":0,"unit":"uS/cm"},"resolution":{"value":10,"unit":"uS/cm"},"temperature":{"value":25,"unit":"Cel"},"compensated":false}`, "usp-645", moistheat.Undetermined, "1.3 µS/cm", moistheat.Quoted, reasonCoarse},
		// Stage 2: 25 ± 1 °C, at most 2.1.
		{"stage 2, 2.0", reading("1.9", "25") + stirred("2.0", "25.5", ""), "usp-645", moistheat.Met, "2.1 µS/cm", moistheat.Quoted, reason{}},
		{"stage 2, exactly 2.1", reading("1.9", "25") + stirred("2.1", "25", ""), "usp-645", moistheat.Met, "2.1 µS/cm", moistheat.Recalled, reason{}},
		{"stage 2 at 26.1 °C", reading("1.9", "25") + stirred("2.0", "26.1", ""), "usp-645", moistheat.Undetermined, "2.1 µS/cm", moistheat.Quoted, reasonStage2Warm},
		{"stage 2 of no known temperature", reading("1.9", "25") + stirred("2.0", "", ""), "usp-645", moistheat.Undetermined, "2.1 µS/cm", moistheat.Quoted, reasonStage2Warm},
		{"stage 2, 2.2 without pH", reading("1.9", "25") + stirred("2.2", "25", ""), "usp-645", moistheat.Undetermined, "2.1 µS/cm", moistheat.Quoted, reasonStage3},
		{"stage 2, 2.2 with pH 6", reading("1.9", "25") + stirred("2.2", "25", "6"), "usp-645", moistheat.Undetermined, "2.1 µS/cm", moistheat.Quoted, reasonStage3},
		// Stage 3: the stage 2 conductivity by pH, 5.0 to 7.0.
		{"stage 3, pH 6.2, 2.4", reading("2.4", "25") + stirred("2.4", "25", "6.2"), "usp-645", moistheat.Met, "2.5 µS/cm", moistheat.Quoted, reason{}},
		{"stage 3, pH 6.6, 2.4", reading("2.4", "25") + stirred("2.4", "25", "6.6"), "usp-645", moistheat.Broken, "2.1 µS/cm", moistheat.Quoted, reason{}},
		{"stage 3, pH 4.9", reading("2.4", "25") + stirred("2.2", "25", "4.9"), "usp-645", moistheat.Broken, "2.1 µS/cm", moistheat.Quoted, reason{}},
		{"stage 3, pH 7.1", reading("2.4", "25") + stirred("2.2", "25", "7.1"), "usp-645", moistheat.Broken, "2.1 µS/cm", moistheat.Quoted, reason{}},
		{"stage 3, pH 5.0, 4.6", reading("4.8", "25") + stirred("4.6", "25", "5.0"), "usp-645", moistheat.Met, "4.7 µS/cm", moistheat.Quoted, reason{}},
		{"stage 3, pH 7.0: its row is recalled", reading("4.6", "25") + stirred("4.5", "25", "7.0"), "usp-645", moistheat.Met, "4.6 µS/cm", moistheat.Recalled, reason{}},
		{"stage 1 passes, later stages are not asked", reading("1.0", "25") + stirred("9", "25", "4.0"), "usp-645", moistheat.Met, "1.3 µS/cm", moistheat.Quoted, reason{}},
		// Ph. Eur.: no later stages; between steps a line, which is recalled.
		{"Ph. Eur. 25 °C, exactly 5.1", reading("5.1", "25"), "ph-eur-0008", moistheat.Met, "5.1 µS/cm", moistheat.Recalled, reason{}},
		{"Ph. Eur. 25 °C, 5.2", reading("5.2", "25"), "ph-eur-0008", moistheat.Broken, "5.1 µS/cm", moistheat.Quoted, reason{}},
		{"Ph. Eur. 20 °C, 4.2", reading("4.2", "20"), "ph-eur-0008", moistheat.Met, "4.3 µS/cm", moistheat.Quoted, reason{}},
		{"Ph. Eur. 15 °C: half of 3.6 and 4.3", reading("3.94", "15"), "ph-eur-0008", moistheat.Met, "3.95 µS/cm", moistheat.Recalled, reason{}},
		{"Ph. Eur. 23 °C: 4.3 + 0.6·0.8, down", reading("4.79", "23"), "ph-eur-0008", moistheat.Broken, "4.78 µS/cm", moistheat.Recalled, reason{}},
		{"Ph. Eur. 100 °C", reading("10.1", "100"), "ph-eur-0008", moistheat.Met, "10.2 µS/cm", moistheat.Quoted, reason{}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := findingOf(check(decode(t, tt.sample), limitsFor(t, tt.limits)), "water.conductivity.over")
			assert.Equal(t, tt.want.String(), f.Outcome.String())
			assert.Equal(t, tt.reason.why().String(), f.Param("reason"))
			got := ""
			if f.Limit.IsValid() {
				got = f.Limit.String()
			}
			assert.Equal(t, tt.limit, got)
			assert.Equal(t, tt.basis, f.Sources.At(0).Basis)
		})
	}
}

// The tables of USP <645> as three reprints have them, entered a second time; that
// pH 7.0 has 4.6 is recalled. The table of Ph. Eur. 0008 as a sensor text has it.
func TestPharmacopoeiaTables(t *testing.T) {
	type entry struct{ At, Max string }
	read := func(steps []step) (out []entry) {
		for _, s := range steps {
			out = append(out, entry{s.at.Decimal().StringFixed(1), s.max.Value().Text()})
		}
		return out
	}
	want := func(text string) (out []entry) {
		for pair := range strings.FieldsSeq(text) {
			at, k, _ := strings.Cut(pair, ":")
			out = append(out, entry{at, k + " uS/cm"})
		}
		return out
	}
	usp, ph := limitsFor(t, "usp-645").rows[0], limitsFor(t, "ph-eur-0008").rows[0]
	assert.Empty(t, cmp.Diff(want("0.0:0.6 5.0:0.8 10.0:0.9 15.0:1.0 20.0:1.1 25.0:1.3 30.0:1.4 35.0:1.5 40.0:1.7 45.0:1.8 50.0:1.9 "+
		"55.0:2.1 60.0:2.2 65.0:2.4 70.0:2.5 75.0:2.7 80.0:2.7 85.0:2.7 90.0:2.7 95.0:2.9 100.0:3.1"), read(usp.steps)))
	assert.Empty(t, cmp.Diff(want("5.0:4.7 5.1:4.1 5.2:3.6 5.3:3.3 5.4:3.0 5.5:2.8 5.6:2.6 5.7:2.5 5.8:2.4 5.9:2.4 6.0:2.4 6.1:2.4 "+
		"6.2:2.5 6.3:2.4 6.4:2.3 6.5:2.2 6.6:2.1 6.7:2.6 6.8:3.1 6.9:3.8 7.0:4.6"), read(usp.byPH)))
	assert.Empty(t, cmp.Diff(want("0.0:2.4 10.0:3.6 20.0:4.3 25.0:5.1 30.0:5.4 40.0:6.5 50.0:7.1 60.0:8.1 70.0:9.1 75.0:9.7 80.0:9.7 90.0:9.7 100.0:10.2"), read(ph.steps)))
	assert.Equal(t, moistheat.Recalled, usp.byPH[20].basis)
	assert.Equal(t, moistheat.Quoted, usp.byPH[19].basis)
	assert.False(t, usp.linear)
	assert.True(t, ph.linear)
}

func TestUnitSlip(t *testing.T) {
	for _, tt := range []struct {
		name, sample, limits string
		pointer              string
		want                 moistheat.Outcome
		probable             string
	}{
		{"8 mS/cm", `"point":"treated feed","conductivity":{"value":{"value":8,"unit":"mS/cm"}}`, "en-13060", "/conductivity", moistheat.Broken, "8.00 µS/cm"},
		{"just under 1 mS/cm", `"point":"treated feed","conductivity":{"value":{"value":0.999,"unit":"mS/cm"}}`, "en-13060", "/conductivity", moistheat.Met, ""},
		{"1 mS/cm", `"point":"treated feed","conductivity":{"value":{"value":1,"unit":"mS/cm"}}`, "en-13060", "/conductivity", moistheat.Broken, "1.00 µS/cm"},
		{"1 mS/cm of tap water", `"point":"mains","conductivity":{"value":{"value":1,"unit":"mS/cm"}}`, "en-13060", "/conductivity", moistheat.Met, ""},
		{"1 mS/cm of softened water", `"point":"treated feed","treatment":"softened","conductivity":{"value":{"value":1,"unit":"mS/cm"}}`, "en-13060", "/conductivity", moistheat.Met, ""},
		{"purer than water", `"point":"treated feed","conductivity":{"value":{"value":0.009,"unit":"uS/cm"}}`, "en-13060", "/conductivity", moistheat.Broken, "9.00 µS/cm"},
		{"pure", `"point":"treated feed","conductivity":{"value":{"value":0.010,"unit":"uS/cm"}}`, "en-13060", "/conductivity", moistheat.Met, ""},
		{"below detection", `"point":"treated feed","conductivity":{"value":{"value":0.009,"unit":"uS/cm"},"comparator":"<"}`, "en-13060", "/conductivity", moistheat.Met, ""},
		{"huge", `"point":"treated feed","conductivity":{"value":{"value":1e18,"unit":"mS/cm"}}`, "en-13060", "/conductivity", moistheat.Broken, "another unit"},
		{"none", `"point":"treated feed"`, "en-13060", "/conductivity", moistheat.NotApplicable, ""},
		// 50 in 100 mL is 0.5 per mL; if it was 50 per mL it is over 10.
		{"per 100 mL", `"point":"treated feed","bacteria":{"value":{"value":50,"unit":"[CFU]/dL"}}`, "aami-tir34-2014#critical", "/bacteria", moistheat.Undetermined, "50 CFU/mL"},
		{"either way within", `"point":"treated feed","bacteria":{"value":{"value":5,"unit":"[CFU]/dL"}}`, "aami-tir34-2014#critical", "/bacteria", moistheat.Met, ""},
		{"the unit of the limit", `"point":"treated feed","bacteria":{"value":{"value":50,"unit":"[CFU]/mL"}}`, "aami-tir34-2014#critical", "/bacteria", moistheat.Met, ""},
		{"endotoxin per litre", `"point":"condensate","endotoxin":{"value":{"value":100,"unit":"{EU}/L"}}`, "htm-2031-1997", "/endotoxin", moistheat.Undetermined, "100 EU/mL"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for _, f := range check(decode(t, tt.sample), limitsFor(t, tt.limits)) {
				if f.Rule == "water.unit.slip" && f.Pointer == tt.pointer {
					assert.Equal(t, tt.want.String(), f.Outcome.String())
					assert.Equal(t, tt.probable, f.Param("probable"))
					return
				}
			}
			assert.Equal(t, tt.want, moistheat.NotApplicable, "no finding")
		})
	}
}

func TestAppearance(t *testing.T) {
	for _, tt := range []struct {
		look, limits string
		want         moistheat.Outcome
	}{
		{`{"clear":true,"colourless":true,"sediment":false}`, "en-13060", moistheat.Met},
		{`{"clear":true,"colourless":true}`, "en-13060", moistheat.Undetermined},
		{`{"clear":true,"colourless":true}`, "htm-2031-1997", moistheat.Met}, // asks for no more
		{`{"clear":true,"colourless":true,"sediment":true}`, "en-13060", moistheat.Broken},
		{`{"clear":false}`, "en-13060", moistheat.Broken},
		{`{"colourless":false}`, "en-13060", moistheat.Broken},
		{`{}`, "en-13060", moistheat.Undetermined},
	} {
		s := decode(t, `"point":"condensate","appearance":`+tt.look)
		f := findingOf(check(s, limitsFor(t, tt.limits)), "water.appearance.unclear")
		assert.Equal(t, tt.want.String(), f.Outcome.String(), tt.look)
	}
	f := findingOf(check(decode(t, `"point":"condensate"`), limitsFor(t, "en-13060")), "water.appearance.unclear")
	assert.Equal(t, moistheat.Undetermined, f.Outcome)
}

// A finding carries what decided: the value, the bound, the row, its source.
func TestFinding(t *testing.T) {
	s := decode(t, `"point":"condensate","ph":{"value":{"value":4.8,"unit":"[pH]"}},"phosphate":{"value":{"value":0.2,"unit":"mg/L"},"as":"PO4"}`)
	found := check(s, limitsFor(t, "en-13060"))
	got := findingOf(found, "water.ph.outside")
	want := moistheat.Finding{
		Rule: "water.ph.outside", Outcome: moistheat.Broken, Severity: moistheat.Minor, Pointer: "/ph",
		Measured: units.MustParse[units.PHUnit]("4.8 [pH]").Value(), Limit: units.MustParse[units.PHUnit]("5 [pH]").Value(),
		Params:  []moistheat.Param{moistheat.ParamOf("document", "EN 13060"), moistheat.ParamOf("status", "informative"), moistheat.ParamOf("relation", "at least")},
		Sources: moistheat.SourcesOf(moistheat.Source{Document: "EN 13060", Locator: "Annex C, Table C.1, condensate, in its identical Russian adoption", Basis: moistheat.Published}),
		Table:   "en-13060#condensate.ph",
	}
	assert.Empty(t, cmp.Diff(want, got, cmp.Comparer(func(a, b units.Value) bool { return a == b }), cmpopts.EquateEmpty()))
	rule := book.Rule(limitRules[PH])
	assert.Equal(t, "The water has pH 4.8; EN 13060 requires at least pH 5.", rule.Message(got))
	got = findingOf(found, "water.phosphate.over")
	assert.Equal(t, "0.2 mg/L as PO4", got.Measured.String())
	assert.Equal(t, "0.1 mg/L as P2O5", got.Limit.String())
}

// Every rule is minor or a note without effect on a release, and its texts have
// no gap that a finding leaves open.
// A step in another unit than its reading: 0.5 mg/L as CaCO3 is 0.0049957037 mmol/L, which
// has no finite decimal (CaCO3 of 100.086 g/mol).
func TestStepInAnotherUnit(t *testing.T) {
	strip := func(value, valueUnit, step, stepUnit string) *Sample {
		return decode(t, `"point":"reservoir","treatment":"distilled","hardness":{"value":{"value":`+value+`,"unit":"`+valueUnit+
			`"},"method":"strip","resolution":{"value":`+step+`,"unit":"`+stepUnit+`"}}`)
	}
	for _, tt := range []struct {
		name   string
		sample *Sample
		want   moistheat.Outcome
		reason reason
	}{
		{"0.005 to 0.015", strip("0.01", "mmol/L", "0.5", "mg/L{CaCO3}"), moistheat.Met, reason{}},
		{"0.0150042 and 0.0049957037 are just below 0.02", strip("0.0150042", "mmol/L", "0.5", "mg/L{CaCO3}"), moistheat.Met, reason{}},
		{"0.0150043 and 0.0049957037 are more", strip("0.0150043", "mmol/L", "0.5", "mg/L{CaCO3}"), moistheat.Undetermined, reasonBetween},
		{"with 0.004995703695, up from 0.0049957036948, just 0.02",
			strip("0.015004296305", "mmol/L", "0.5", "mg/L{CaCO3}"), moistheat.Met, reason{}},
		{"a last place more", strip("0.015004296306", "mmol/L", "0.5", "mg/L{CaCO3}"), moistheat.Undetermined, reasonBetween},
		{"0 to 3 mg/L, read in mmol/L", strip("0.01", "mmol/L", "2", "mg/L{CaCO3}"), moistheat.Undetermined, reasonCoarse},
		{"1 to 2 mg/L, steps in mmol/L", strip("1.5", "mg/L{CaCO3}", "0.004", "mmol/L"), moistheat.Met, reason{}},
		{"too large to add", strip("1", "mmol/L", "999999999999999999", "mmol/L"), moistheat.Undetermined, reasonValue},
		{"too large to add a step to", strip("999999999999999999", "mmol/L", "1", "mmol/L"), moistheat.Undetermined, reasonValue},
	} {
		f := findingOf(check(tt.sample, limitsFor(t, "en-13060")), "water.hardness.over")
		assert.Equal(t, tt.want, f.Outcome, tt.name)
		if tt.reason.isValid() {
			assert.Equal(t, tt.reason.why().String(), f.Param("reason"), tt.name)
		}
	}
}

// The limit that a finding shows is the one that decides, with its relation.
func TestLimitShown(t *testing.T) {
	const at25 = `,"compensated":false,"temperature":{"value":25,"unit":"Cel"}`
	value := func(member, number, unit, rest string) string {
		return `,"` + member + `":{"value":{"value":` + number + `,"unit":"` + unit + `"}` + rest + `}`
	}
	for _, tt := range []struct {
		name, point, sample, limits, rule, limit, relation string
		want                                               moistheat.Outcome
	}{
		{"below a range", "reservoir", value("ph", "4.9", "[pH]", ""), "en-13060", "water.ph.outside", "pH 5", "at least", moistheat.Broken},
		{"less than its lower end", "reservoir", value("ph", "5.0", "[pH]", `,"comparator":"<"`), "en-13060", "water.ph.outside", "pH 5", "at least", moistheat.Broken},
		{"above a range", "reservoir", value("ph", "7.6", "[pH]", ""), "en-13060", "water.ph.outside", "pH 7.5", "at most", moistheat.Broken},
		{"at the lower end of a range", "reservoir", value("ph", "5.0", "[pH]", ""), "en-13060", "water.ph.outside", "pH 7.5", "at most", moistheat.Met},
		{"below both ends, and not known", "reservoir", value("ph", "4.5", "[pH]", `,"method":"strip"`), "en-13060", "water.ph.outside", "pH 7.5", "at most", moistheat.Undetermined},
		{"at most", "reservoir", value("chloride", "1", "mg/L", ""), "en-13060", "water.chloride.over", "2 mg/L as Cl", "at most", moistheat.Met},
		{"less than", "final rinse", value("chloride", "2", "mg/L", ""), "ansi-aami-st108-2023#critical", "water.chloride.over", "1 mg/L as Cl", "below", moistheat.Broken},
		{"a lowest value that is met", "final rinse", value("resistivity", "5", "MOhm.cm", at25), "aami-tir34-2007#high-purity", "water.resistivity.under", "1.0 MΩ·cm", "above", moistheat.Met},
		{"a lowest value that is not met", "final rinse", value("resistivity", "0.5", "MOhm.cm", at25), "aami-tir34-2007#high-purity", "water.resistivity.under", "1.0 MΩ·cm", "above", moistheat.Broken},
		{"a table", "final rinse", value("conductivity", "0.2", "uS/cm", at25), "usp-645", "water.conductivity.over", "1.3 µS/cm", "at most", moistheat.Met},
		{"a row without a figure", "condensate", "", "htm-2031-1997", "water.sulphate.over", "", "", moistheat.Undetermined},
	} {
		f := findingOf(check(decode(t, `"point":"`+tt.point+`"`+tt.sample), limitsFor(t, tt.limits)), tt.rule)
		assert.Equal(t, tt.want, f.Outcome, tt.name)
		assert.Equal(t, tt.relation, f.Param("relation"), tt.name)
		var limit string
		if f.Limit.IsValid() {
			limit = f.Limit.String()
		}
		assert.Equal(t, tt.limit, limit, tt.name)
	}
	f := findingOf(check(decode(t, `"point":"reservoir"`+value("iron", "0.1", "mg/L", "")), limitsFor(t, "en-13060")), "water.iron.over")
	assert.Equal(t, "0.1 mg/L", f.Measured.String(), "a concentration that is not expressed as something")
}

// What a conductivity of unknown temperature lacks is its temperature, unless the
// test could not show the limit at any.
func TestReasonWithoutTemperature(t *testing.T) {
	for _, tt := range []struct {
		rest string
		want reason
	}{
		{``, reasonTemperature},
		{`,"resolution":{"value":200,"unit":"uS/cm"}`, reasonCoarse},
	} {
		s := decode(t, `"point":"reservoir","treatment":"distilled","conductivity":{"value":{"value":14,"unit":"uS/cm"}`+tt.rest+`}`)
		f := findingOf(check(s, limitsFor(t, "en-13060")), "water.conductivity.over")
		assert.Equal(t, moistheat.Undetermined, f.Outcome)
		assert.Equal(t, tt.want.why().String(), f.Param("reason"))
	}
	s := decode(t, `"point":"reservoir","treatment":"distilled","conductivity":{"value":{"value":200,"unit":"uS/cm"},"comparator":"<"}`)
	f := findingOf(check(s, limitsFor(t, "en-13060")), "water.conductivity.over")
	assert.Equal(t, moistheat.Undetermined, f.Outcome, "anything below 200 µS/cm, whatever the temperature")
	s = decode(t, `"point":"reservoir","treatment":"distilled","conductivity":{"value":{"value":10,"unit":"uS/cm"},"comparator":">","compensated":true}`)
	f = findingOf(check(s, limitsFor(t, "en-13060")), "water.conductivity.over")
	assert.Equal(t, reasonBetween.why().String(), f.Param("reason"), "anything above 10 µS/cm at 20 °C is on both sides")
}

// A facility may ask for more than a lowest value.
func TestStrictLowerEnd(t *testing.T) {
	l, err := ParseLimits([]byte(`{"format":"moistheat.water/1","id":"own","title":"our own",
		"source":{"document":"our own","basis":"facility"},"status":{"is":"facility","source":{"document":"our own","basis":"facility"}},
		"sections":[{"name":"feed","title":"feed water","points":["reservoir"],"source":{"document":"our own","basis":"facility"},
		"rows":[{"determinand":"ph","min":{"value":5,"unit":"[pH]"},"max":{"value":7,"unit":"[pH]"},"strict":true,"basis":"facility"}]}]}`))
	require.NoError(t, err)
	for _, tt := range []struct {
		number, comparator string
		want               moistheat.Outcome
	}{
		{"5.0", "", moistheat.Broken}, {"5.1", "", moistheat.Met}, {"6.9", "", moistheat.Met}, {"7.0", "", moistheat.Broken},
		{"5.0", "<=", moistheat.Broken}, {"5.0", ">", moistheat.Undetermined}, {"7.0", ">=", moistheat.Broken}, {"7.0", "<", moistheat.Undetermined},
	} {
		comparator := ""
		if tt.comparator != "" {
			comparator = `,"comparator":"` + tt.comparator + `"`
		}
		s := decode(t, `"point":"reservoir","ph":{"value":{"value":`+tt.number+`,"unit":"[pH]"}`+comparator+`}`)
		f := findingOf(check(s, l), "water.ph.outside")
		assert.Equal(t, tt.want, f.Outcome, "%s %s", tt.comparator, tt.number)
	}
	s := decode(t, `"point":"reservoir","ph":{"value":{"value":5.5,"unit":"[pH]"},"method":"strip","resolution":{"value":0.5,"unit":"[pH]"}}`)
	assert.Equal(t, moistheat.Undetermined, findingOf(check(s, l), "water.ph.outside").Outcome, "5.0 to 6.0, and 5.0 is not above 5")
}

func TestRules(t *testing.T) {
	rules := Rules()
	assert.True(t, slices.IsSortedFunc(rules, func(a, b moistheat.Rule) int { return strings.Compare(a.ID, b.ID) }))
	seen := map[string]bool{}
	for _, r := range rules {
		assert.False(t, seen[r.ID], r.ID)
		seen[r.ID] = true
		assert.LessOrEqual(t, r.Severity, moistheat.Minor, r.ID)
		assert.Zero(t, r.Broken, r.ID)
		assert.Zero(t, r.Undetermined, r.ID)
		for _, text := range []string{r.Title, r.Why, r.Remedy, r.BrokenText, r.UndeterminedText, r.Since} {
			assert.NotEmpty(t, text, r.ID)
		}
		assert.NotZero(t, r.Sources.Len(), r.ID)
		assert.Regexp(t, `^water\.[a-z]+\.[a-z]+$`, r.ID)
	}
	rules[0].Title = "changed"
	assert.NotEqual(t, "changed", Rules()[0].Sources.At(0).Document)
}

// Messages of open findings have all their gaps filled.
func TestMessages(t *testing.T) {
	rules := map[string]moistheat.Rule{}
	for _, r := range Rules() {
		rules[r.ID] = r
	}
	var all []moistheat.Finding
	for _, id := range LimitNames() {
		l := limitsFor(t, id)
		for _, members := range []string{
			`"point":"condensate"`,
			`"point":"treated feed","treatment":"softened","conductivity":{"value":{"value":9,"unit":"mS/cm"}},"chloride":{"value":{"value":900,"unit":"mg/L"}},"bacteria":{"value":{"value":50,"unit":"[CFU]/dL"}},"endotoxin":{"value":{"value":9,"unit":"{EU}/mL"}},"silicate":{"value":{"value":90,"unit":"mg/L"}},"sampling":{"bottle":"glass","tested":"2026-03-10T16:00:00Z"}`,
		} {
			s := decode(t, members)
			all = append(all, check(s, l)...)
			all = append(all, check(s)...)
			all = append(all, aged(s, l, noon.AddDate(1, 0, 0))...)
			all = append(all, aged(s, l, noon.AddDate(-1, 0, 0))...)
		}
	}
	all = append(all, upkeep(&Reservoir{}, noon)...)
	all = append(all, upkeep(&Reservoir{Water: Softened, Drained: moistheat.No, Cleaned: moistheat.No, ToppedUp: moistheat.Yes, EmptyNight: moistheat.No}, noon)...)
	open := 0
	for _, f := range all {
		r, ok := rules[f.Rule]
		require.True(t, ok, f.Rule)
		if f.Outcome >= moistheat.Undetermined {
			open++
			assert.NotContains(t, r.Message(f), "{", f.Rule)
			assert.NotContains(t, r.Message(f), "invalid", f.Rule)
		}
	}
	assert.Greater(t, open, 300)
}

// What a sample says in JSON, encoding/json and the strict decoder read alike.
func TestSampleJSON(t *testing.T) {
	s := decode(t, `"point":"reservoir","treatment":"deionised","sampling":{"bottle":"plastic","rinsed":true},
		"conductivity":{"value":{"value":4.20,"unit":"uS/cm"},"method":"meter","meter":{"id":"M1","lastCheck":"2026-03-01T08:00:00Z"},
		"temperature":{"value":21.5,"unit":"Cel"},"compensated":true,"reference":{"value":25,"unit":"Cel"}},
		"silicate":{"value":{"value":0.1,"unit":"mg/L"},"comparator":"<","as":"SiO2"},
		"appearance":{"clear":true,"sediment":false}`)
	data, err := json.Marshal(s)
	require.NoError(t, err)
	var plain Sample
	require.NoError(t, json.Unmarshal(data, &plain))
	strict, err := strictjson.NewDecoder[Sample]().Decode(data, strictjson.Default())
	require.NoError(t, err)
	assert.Equal(t, *strict, plain)
	assert.Equal(t, s, strict)
	assert.Contains(t, string(data), `4.20`)
}
