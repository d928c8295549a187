package units

import (
	"bufio"
	"math"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rows reads a tab-separated file without its comment lines.
func rows(t *testing.T, name string, columns int) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	require.NoError(t, err)
	defer f.Close()
	var out [][]string
	for s := bufio.NewScanner(f); s.Scan(); {
		if strings.HasPrefix(s.Text(), "#") {
			continue
		}
		row := strings.Split(s.Text(), "\t")
		require.Len(t, row, columns, s.Text())
		out = append(out, row)
	}
	require.NotEmpty(t, out)
	return out
}

func dimensionNamed(t *testing.T, name string) Dimension {
	t.Helper()
	for d := range dimensions {
		if d > 0 && dimensions[d].name == name {
			return Dimension(d)
		}
	}
	t.Fatalf("no dimension %q", name)
	return 0
}

// in returns v, of any dimension, in the unit with this code.
func in(t *testing.T, v Value, code string) *big.Rat {
	t.Helper()
	u, err := parseCode(v.dim, code)
	require.NoError(t, err)
	n, target := rat(v), v.dim.info(u)
	n.Quo(n, target.factor())
	return n.Sub(n, new(big.Rat).Mul(new(big.Rat).SetInt64(target.offset), ratPow10(int(target.offExp))))
}

// closeTo compares with a number that another program printed after computing in
// float64: equal but for the noise of a few operations.
func closeTo(t *testing.T, want string, got *big.Rat, about string) {
	t.Helper()
	w, err := strconv.ParseFloat(want, 64)
	require.NoError(t, err, about)
	g, _ := got.Float64()
	assert.LessOrEqual(t, math.Abs(g-w), 5e-15*math.Abs(w), "%s: want %s, got %s", about, want, got.FloatString(18))
}

// Every conversion against GNU units, which computes in float64 and prints 15
// digits; internal/tools/golden/gnu-units.sh makes the file.
func TestGNUUnits(t *testing.T) {
	table := rows(t, "gnu-units.tsv", 6)
	assert.GreaterOrEqual(t, len(table), 40)
	for _, row := range table {
		v, err := parse(dimensionNamed(t, row[0]), row[1])
		require.NoError(t, err)
		got := in(t, v, row[2])
		closeTo(t, row[5], got, row[1]+" in "+row[2])
	}
}

// Every unit against a public UCUM library; internal/tools/golden/ucum.sh makes the file.
func TestUCUMSizes(t *testing.T) {
	seen := map[Dimension]map[string]bool{}
	for _, row := range rows(t, "ucum.tsv", 4) {
		d := dimensionNamed(t, row[0])
		code, to, result := row[1], row[2], row[3]
		if seen[d] == nil {
			seen[d] = map[string]bool{}
		}
		code, _ = strings.CutSuffix(code, "{SiO2}")
		to, _ = strings.CutSuffix(to, "{SiO2}")
		seen[d][code] = true
		v, err := parse(d, "1 "+code)
		require.NoError(t, err)
		switch {
		case result == "refused":
			// Colonies and international units are what UCUM calls arbitrary.
			assert.Contains(t, []Dimension{DimColonyCount, DimEndotoxin}, d, code)
		case result == "unknown":
			// Turbidity came with UCUM 2.2; the library has 2.1.
			assert.Contains(t, []Dimension{DimTurbidity, DimFormazinTurbidity}, d, code)
		case d == DimPH:
			continue // one unit, nothing to convert
		case d == DimHardness && code != "mmol/L":
			// The expression, without what its annotation means, is a mass
			// concentration; as hardness it is that of the species in it.
			species := AsCaCO3
			if strings.HasSuffix(code, "{CaO}") {
				species = AsCaO
			}
			m, err := HardnessWeights.molar(species)
			require.NoError(t, err)
			mass := rat(v)
			closeTo(t, result, mass.Mul(mass, big.NewRat(m, 1e4)), code)
		default:
			closeTo(t, result, in(t, v, to), code)
		}
	}
	for d := DimMass; int(d) < len(dimensions); d++ {
		for _, u := range dimensions[d].units[1:] {
			assert.True(t, seen[d][u.code], "%s %s is not in the file", d, u.code)
		}
	}
}

// The validation cases of the UCUM functional tests that concern units carried here,
// and all that are invalid.
func TestUCUMFunctionalValidation(t *testing.T) {
	kinds := map[string]int{}
	for _, row := range rows(t, "ucum-functional.tsv", 3) {
		id, unit, kind := row[0], row[1], row[2]
		kinds[kind]++
		accepted, use := false, ""
		for d := range dimensions {
			_, err := parseCode(Dimension(d), unit)
			accepted = accepted || err == nil
			if e, ok := err.(*UnitError); ok && e.Use != "" {
				use = e.Use
			}
		}
		assert.Equal(t, kind == "carried", accepted, "%s %s", id, unit)
		if kind == "spelling" && unit != "[iU]/mL" {
			assert.NotEmpty(t, use, "%s %s: no code suggested", id, unit)
		}
	}
	assert.Equal(t, map[string]int{"carried": 102, "spelling": 11, "other": 17, "invalid": 38}, kinds)
}

// The conversion cases of the UCUM functional tests whose units are carried here: 6
// of 31. The rest are of slowness, inductance, light years and other units that no
// record uses. The tests print as many digits as the input has.
func TestUCUMFunctionalConversion(t *testing.T) {
	for _, test := range []struct {
		id, value string
		unit      LengthUnit
		places    int
		want      string
	}{
		{"3-101", "6.3 m", Metre, 1, "6.3"},
		{"3-102", "6.3 mm", Metre, 4, "0.0063"},
		{"3-103", "6.3 mm", Centimetre, 2, "0.63"},
		{"3-118", "6.30 [in_i]", Metre, 3, "0.160"},
		{"3-119", "6.300 [in_i]", Centimetre, 1, "16.0"},
	} {
		got := MustParse[LengthUnit](test.value).Convert(test.unit, test.places, TiesToEven)
		assert.Equal(t, test.want, string(got.Value().AppendNumber(nil)), test.id)
	}
	// 3-125: 1 m[Hg] is 133322000 g/(m.s2), which is 133322 Pa.
	metre := MustParse[AbsolutePressureUnit]("1000 mm[Hg]")
	assert.Zero(t, metre.Compare(MustParse[AbsolutePressureUnit]("133322 Pa")), "3-125")
}

// NIST SP 811, table B.8: the factor as printed, and the figures it was rounded to.
func TestNISTFactors(t *testing.T) {
	for _, test := range []struct {
		dim    Dimension
		unit   string
		to     string
		factor string
	}{
		{DimAbsolutePressure, "[psi]", "Pa", "6894.757"},
		{DimAbsolutePressure, "atm", "Pa", "101325"},
		{DimAbsolutePressure, "bar", "Pa", "100000"},
		{DimAbsolutePressure, "mbar", "Pa", "100"},
		{DimAbsolutePressure, "att", "Pa", "98066.5"},
		{DimAbsolutePressure, "[in_i'H2O]", "Pa", "249.0889"}, // conventional
		{DimAbsolutePressure, "[in_i'Hg]", "Pa", "3386.38"},   // at 32 °F; the conventional inch is 3386.389
		{DimAbsolutePressure, "mm[Hg]", "Pa", "133.322"},      // a tenth of the centimetre at 0 °C; the conventional millimetre is 133.3224
		{DimTemperatureDifference, "5.K/9", "K", "0.5555556"},
		{DimMassConcentration, "[gr]/[gal_us]", "mg/L", "17.11806"},
	} {
		v, err := parse(test.dim, "1 "+test.unit)
		require.NoError(t, err)
		_, digits, _ := strings.Cut(test.factor, ".")
		assert.Equal(t, test.factor, in(t, v, test.to).FloatString(len(digits)), test.unit)
	}
}
