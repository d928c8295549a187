package units_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/units"
)

func expressed(s string) units.SpeciesConcentration { return units.MustParseSpeciesConcentration(s) }

// Factors from the abridged standard atomic weights of 2021, computed by hand from
// H 1.008, C 12.011, N 14.007, O 15.999, Na 22.990, Mg 24.305, Si 28.085, P 30.974,
// Cl 35.45, Ca 40.078: SiO2 60.083, P2O5 141.943, PO4 94.970, NO3 62.004,
// NaCl 58.44, HCO3 61.016, CaCO3 100.086.
func TestConvertSpecies(t *testing.T) {
	for _, test := range []struct {
		from   string
		to     units.Species
		places int
		want   string
	}{
		{"1 mg/L{SiO2}", units.AsSi, 6, "0.467437 mg/L{Si}"},
		{"1 mg/L{Si}", units.AsSiO2, 6, "2.139327 mg/L{SiO2}"}, // printed as 2.14
		{"1 mg/L{P2O5}", units.AsPO4, 6, "1.338143 mg/L{PO4}"},
		{"1 mg/L{PO4}", units.AsP2O5, 6, "0.747304 mg/L{P2O5}"},
		{"1 mg/L{PO4}", units.AsP, 6, "0.326145 mg/L{P}"}, // printed as 0.326
		{"1 mg/L{P2O5}", units.AsP, 6, "0.436429 mg/L{P}"},
		{"1 mg/L{NO3}", units.AsN, 6, "0.225905 mg/L{N}"}, // printed as 0.226
		{"1 mg/L{N}", units.AsNO3, 6, "4.426644 mg/L{NO3}"},
		{"1 mg/L{Cl}", units.AsNaCl, 6, "1.648519 mg/L{NaCl}"},
		{"1 mg/L{HCO3}", units.AsCaCO3, 6, "0.820162 mg/L{CaCO3}"}, // alkalinity: two to one
		{"1 mg/L{Ca}", units.AsCaCO3, 5, "2.49728 mg/L{CaCO3}"},    // printed as 2.497
		{"1 mg/L{Mg}", units.AsCaCO3, 5, "4.11792 mg/L{CaCO3}"},    // printed as 4.118
		{"0.5 mg/L{P2O5}", units.AsPO4, 4, "0.6691 mg/L{PO4}"},
		{"0.5 mg/L{P2O5}", units.AsP, 4, "0.2182 mg/L{P}"},
		{"50 mg/L{NO3}", units.AsN, 3, "11.295 mg/L{N}"},
		{"200 mg/L{NaCl}", units.AsCl, 2, "121.32 mg/L{Cl}"},
		{"120 mg/L{Cl}", units.AsNaCl, 1, "197.8 mg/L{NaCl}"},
		{"500 ug/L{P2O5}", units.AsP2O5, 1, "0.5 mg/L{P2O5}"},
	} {
		got, err := units.IUPAC2021.Convert(expressed(test.from), test.to, units.MilligramPerLitre, test.places, units.TiesToEven)
		require.NoError(t, err, test.from)
		assert.Equal(t, test.want, got.Value().Text(), test.from)
	}
}

func TestConvertSpeciesRefuses(t *testing.T) {
	for _, test := range []struct {
		w    units.AtomicWeights
		from units.SpeciesConcentration
		to   units.Species
		says string
	}{
		{units.IUPAC2021, expressed("1 mg/L{NO3}"), units.AsNH4, "another substance"},
		{units.IUPAC2021, expressed("1 mg/L{Ca}"), units.AsMg, "another substance"},
		{units.IUPAC2021, expressed("1 mg/L{HCO3}"), units.AsCaO, "another substance"},
		{units.IUPAC2021, expressed("1 mg/L{SiO2}"), units.AsP, "another substance"},
		{units.IUPAC2021, units.SpeciesConcentration{}, units.AsP, "invalid"},
		{units.IUPAC2021, expressed("1 mg/L{P}"), 0, "invalid"},
		{units.IUPAC2021, expressed("1 mg/L{P}"), 200, "invalid"},
		{0, expressed("1 mg/L{P}"), units.AsPO4, "invalid"},
		{99, expressed("1 mg/L{P}"), units.AsPO4, "invalid"},
		{units.Classic, expressed("1 mg/L{SiO2}"), units.AsSi, "no molar mass"},
		{units.Classic, expressed("1 mg/L{Mg}"), units.AsCaCO3, "no molar mass"},
		{units.IUPAC2021, expressed("1e18 mg/L{SiO2}"), units.AsSi, "18 digits"},
	} {
		_, err := test.w.Convert(test.from, test.to, units.MilligramPerLitre, 3, units.TiesToEven)
		assert.ErrorContains(t, err, test.says)
		if test.says != "18 digits" {
			_, err = test.w.Compare(test.from, units.Express(test.from.Mass(), test.to))
			assert.ErrorContains(t, err, test.says)
		}
	}
}

// mg/L as one species never compares silently with mg/L as another.
func TestCompareSpecies(t *testing.T) {
	_, ok := expressed("1 mg/L{SiO2}").Compare(expressed("1 mg/L{Si}"))
	assert.False(t, ok)
	_, ok = expressed("1 mg/L{SiO2}").Value().Compare(expressed("1 mg/L{Si}").Value())
	assert.False(t, ok)
	_, ok = expressed("1 mg/L{SiO2}").Value().Compare(expressed("1 mg/L{SiO2}").Mass().Value())
	assert.False(t, ok, "nor with mg/L of who knows what")
	_, ok = units.SpeciesConcentration{}.Compare(units.SpeciesConcentration{})
	assert.False(t, ok)
	c, ok := expressed("1 mg/L{SiO2}").Compare(expressed("1000.0 ug/L{SiO2}"))
	assert.True(t, ok)
	assert.Zero(t, c)

	// The limit 0.5 mg/L as P2O5 is 0.66907… mg/L as PO4.
	limit := expressed("0.5 mg/L{P2O5}")
	for text, want := range map[string]int{"0.66907 mg/L{PO4}": -1, "0.66908 mg/L{PO4}": +1, "0.5 mg/L{PO4}": -1, "0.500 mg/L{P2O5}": 0, "0.21 mg/L{P}": -1, "0.22 mg/L{P}": +1} {
		got, err := units.IUPAC2021.Compare(expressed(text), limit)
		require.NoError(t, err)
		assert.Equal(t, want, got, text)
	}
	// Exactly: 30.974 is half of the phosphorus in 141.943.
	got, err := units.IUPAC2021.Compare(expressed("61.948 mg/L{P}"), expressed("141.943 mg/L{P2O5}"))
	require.NoError(t, err)
	assert.Zero(t, got)
}

// The scales of hardness, against the table in circulation (rounded) and the exact
// definitions: 10 mg/L CaO, 10 mg/L CaCO3, a grain in an imperial and a US gallon.
func TestHardness(t *testing.T) {
	for _, test := range []struct {
		from   string
		to     units.HardnessUnit
		places int
		want   string
	}{
		{"1 10.mg/L{CaO}", units.HardnessMillimolePerLitre, 4, "0.1783 mmol/L"},
		{"1 10.mg/L{CaO}", units.FrenchDegree, 2, "1.78 10.mg/L{CaCO3}"},
		{"1 10.mg/L{CaO}", units.EnglishDegree, 4, "1.2522 [gr]/[gal_br]{CaCO3}"}, // the table has 1.253
		{"1 10.mg/L{CaO}", units.HardnessGrainPerUSGallon, 4, "1.0426 [gr]/[gal_us]{CaCO3}"},
		{"1 10.mg/L{CaO}", units.HardnessMilligramPerLitre, 3, "17.848 mg/L{CaCO3}"},
		{"1 10.mg/L{CaCO3}", units.GermanDegree, 3, "0.560 10.mg/L{CaO}"},
		{"1 10.mg/L{CaCO3}", units.EnglishDegree, 3, "0.702 [gr]/[gal_br]{CaCO3}"},
		{"1 10.mg/L{CaCO3}", units.HardnessMilligramPerLitre, 3, "10.000 mg/L{CaCO3}"},
		{"1 [gr]/[gal_br]{CaCO3}", units.GermanDegree, 2, "0.80 10.mg/L{CaO}"},
		{"1 [gr]/[gal_br]{CaCO3}", units.FrenchDegree, 2, "1.43 10.mg/L{CaCO3}"},
		{"1 [gr]/[gal_br]{CaCO3}", units.HardnessMilligramPerLitre, 7, "14.2537675 mg/L{CaCO3}"},
		{"1 [gr]/[gal_us]{CaCO3}", units.HardnessMilligramPerLitre, 5, "17.11806 mg/L{CaCO3}"}, // SP 811, B.8
		{"1 mmol/L", units.GermanDegree, 4, "5.6077 10.mg/L{CaO}"},                             // 56.077 g/mol
		{"1 mmol/L", units.FrenchDegree, 3, "10.009 10.mg/L{CaCO3}"},
		{"1 mmol/L", units.EnglishDegree, 3, "7.022 [gr]/[gal_br]{CaCO3}"},
		{"1 mmol/L", units.HardnessGrainPerUSGallon, 3, "5.847 [gr]/[gal_us]{CaCO3}"},
		{"1.5 mmol/L", units.GermanDegree, 1, "8.4 10.mg/L{CaO}"}, // the German class
		{"2.5 mmol/L", units.GermanDegree, 0, "14 10.mg/L{CaO}"},
		{"0.02 mmol/L", units.GermanDegree, 3, "0.112 10.mg/L{CaO}"},
	} {
		assert.Equal(t, test.want, hardness(test.from).Convert(test.to, test.places, units.TiesToEven).Value().Text(), test.from)
	}
	assert.Equal(t, +1, hardness("1 10.mg/L{CaO}").Compare(hardness("0.02 mmol/L")), "a kit that steps by one degree cannot show 0.02 mmol/L")
	assert.Equal(t, units.IUPAC2021, units.HardnessWeights)
}

func TestTotalHardness(t *testing.T) {
	// 40 mg/L Ca and 10 mg/L Mg: 40/40.078 + 10/24.305 = 0.9980538 + 0.4114380 mmol/L.
	h, err := units.IUPAC2021.TotalHardness(6, units.TiesToEven, expressed("40 mg/L{Ca}"), expressed("10 mg/L{Mg}"))
	require.NoError(t, err)
	assert.Equal(t, "1.409492 mmol/L", h.Value().Text())
	// With the factors in circulation, 2.497 and 4.118, it is 141.06 mg/L as CaCO3.
	assert.Equal(t, "141.07 mg/L{CaCO3}", h.Convert(units.HardnessMilligramPerLitre, 2, units.TiesToEven).Value().Text())
	h, err = units.Classic.TotalHardness(4, units.TiesToEven, expressed("100.0869 mg/L{CaCO3}"))
	require.NoError(t, err)
	assert.Equal(t, "1.0000 mmol/L", h.Value().Text())
	// 0.02 mmol/L at 100.0869 g/mol is 2.001738 mg/L, as GNU units and a public UCUM
	// library compute it too.
	h, err = units.Classic.TotalHardness(9, units.TiesToEven, expressed("2.001738 mg/L{CaCO3}"))
	require.NoError(t, err)
	assert.Equal(t, "0.020000000 mmol/L", h.Value().Text())
	h, err = units.IUPAC2021.TotalHardness(9, units.TiesToEven, expressed("2.00172 mg/L{CaCO3}"))
	require.NoError(t, err)
	assert.Equal(t, "0.020000000 mmol/L", h.Value().Text())
	for _, parts := range [][]units.SpeciesConcentration{nil, {{}}, {expressed("1 mg/L{SiO2}")}, {expressed("1 mg/L{HCO3}")}, {expressed("40 mg/L{Ca}"), {}}} {
		_, err := units.IUPAC2021.TotalHardness(4, units.TiesToEven, parts...)
		assert.Error(t, err)
	}
}

func TestSpeciesTextAndJSON(t *testing.T) {
	for _, s := range []string{"0.50 mg/L{P2O5}", "1 ug/L{N}", "0 g/L{NaCl}", "7 [gr]/[gal_us]{CaCO3}"} {
		c := expressed(s)
		assert.Equal(t, s, c.Value().Text())
		text, err := c.MarshalText()
		require.NoError(t, err)
		var d units.SpeciesConcentration
		require.NoError(t, d.UnmarshalText(text))
		assert.Equal(t, c, d)
		doc, err := json.Marshal(c)
		require.NoError(t, err)
		var e units.SpeciesConcentration
		require.NoError(t, json.Unmarshal(doc, &e))
		assert.Equal(t, c, e)
	}
	doc, err := json.Marshal(expressed("0.50 mg/L{P2O5}"))
	require.NoError(t, err)
	assert.Equal(t, `{"value":0.50,"unit":"mg/L{P2O5}"}`, string(doc))
	assert.Equal(t, "0.50 mg/L as P2O5", expressed("0.50 mg/L{P2O5}").String())
	assert.Equal(t, units.AsP2O5, expressed("0.50 mg/L{P2O5}").Species())
	assert.Equal(t, units.AsP2O5, expressed("0.50 mg/L{P2O5}").Value().Species())
	assert.Equal(t, "0.50 mg/L", expressed("0.50 mg/L{P2O5}").Mass().Value().Text())

	for _, s := range []string{"", "1", "1 mg/L", "1 mg/L{}", "1 mg/L{SiO3}", "1 mg/L{sio2}", "1 mg/L{SiO2", "1 mg/LSiO2}", "1 mg/L{SiO2}{SiO2}", "1 mg/L{SiO2} ", "1 mg/l{SiO2}", "1 {SiO2}", "x mg/L{SiO2}", "1 mg/L {SiO2}"} {
		_, err := units.ParseSpeciesConcentration(s)
		assert.Error(t, err, s)
		c := expressed("1 mg/L{N}")
		assert.Error(t, c.UnmarshalText([]byte(s)))
		assert.Equal(t, expressed("1 mg/L{N}"), c)
	}
	_, err = units.ParseSpeciesConcentration("1 mg/L")
	assert.ErrorContains(t, err, "{CaCO3}", "the message lists what can be said")
	_, err = units.ParseSpeciesConcentration("1 mg/l{SiO2}")
	assert.ErrorContains(t, err, `write "mg/L"`)
	assert.Panics(t, func() { expressed("1 mg/L") })

	for doc, pointer := range map[string]string{
		`null`: "", `{"value":1,"unit":"mg/L"}`: "/unit", `{"value":1,"unit":"mg/L{Xx}"}`: "/unit", `{"value":null,"unit":"mg/L{N}"}`: "/value", `{"value":1e99,"unit":"mg/L{N}"}`: "/value",
	} {
		c := expressed("1 mg/L{N}")
		err := c.UnmarshalJSON([]byte(doc))
		var e *units.JSONError
		require.ErrorAs(t, err, &e, doc)
		assert.Equal(t, pointer, e.Pointer, doc)
		assert.Equal(t, expressed("1 mg/L{N}"), c)
	}
	var plain units.MassConcentration
	assert.Error(t, json.Unmarshal([]byte(`{"value":1,"unit":"mg/L{SiO2}"}`), &plain), "a species is not dropped")
}

func TestSpeciesZero(t *testing.T) {
	var c units.SpeciesConcentration
	assert.False(t, c.IsValid())
	assert.True(t, c.IsZero())
	assert.Equal(t, units.Value{}, c.Value())
	assert.Equal(t, "invalid", c.String())
	_, err := c.MarshalText()
	assert.Error(t, err)
	_, err = c.MarshalJSON()
	assert.Error(t, err)
	one := units.New(1, 0, units.MilligramPerLitre)
	assert.False(t, units.Express(one, 0).IsValid())
	assert.False(t, units.Express(one, 200).IsValid())
	assert.False(t, units.Express(units.MassConcentration{}, units.AsN).IsValid())
	_, ok := units.Of[units.MassConcentrationUnit](units.Express(one, units.AsN).Value())
	assert.False(t, ok, "a species is not dropped")
}

func TestSpeciesNames(t *testing.T) {
	for s := units.AsCaCO3; s <= units.AsNaCl; s++ {
		text, err := s.MarshalText()
		require.NoError(t, err)
		assert.Equal(t, s.String(), string(text))
		var back units.Species
		require.NoError(t, back.UnmarshalText(text))
		assert.Equal(t, s, back)
	}
	assert.Equal(t, "invalid species", units.Species(0).String())
	assert.Equal(t, "invalid species", units.Species(99).String())
	_, err := units.Species(99).MarshalText()
	assert.Error(t, err)
	var s units.Species
	assert.Error(t, s.UnmarshalText(nil))
	assert.Error(t, s.UnmarshalText([]byte("H2O")))
	codes := units.DimSpeciesConcentration.Codes()
	assert.Len(t, codes, 4*15)
	for _, code := range codes {
		_, err := units.ParseSpeciesConcentration("1 " + code)
		assert.NoError(t, err, code)
	}
	for _, w := range []units.AtomicWeights{0, units.IUPAC2021, units.Classic, 99} {
		assert.NotEmpty(t, w.String())
	}
}
