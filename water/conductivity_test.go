package water

import (
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/units"
)

func cel(s string) units.Temperature {
	return units.MustParse[units.TemperatureUnit](s + " Cel")
}

func uS(s string) units.Conductivity {
	return units.MustParse[units.ConductivityUnit](s + " uS/cm")
}

// The factor table of ISO 7888, 0.0 to 35.9 °C, a row a degree. The columns .0 to .3
// of all rows, .4 to .6 of rows 0 to 12 and .7 to .9 of rows 0 to 4 as two meter
// manuals reprint it; the other cells follow from the closed form published in
// program code that cites ISO 7888:1985.
var printedF25 = [36][10]float64{
	{1.918, 1.912, 1.906, 1.899, 1.893, 1.887, 1.881, 1.875, 1.869, 1.863},
	{1.857, 1.851, 1.845, 1.840, 1.834, 1.829, 1.822, 1.817, 1.811, 1.805},
	{1.800, 1.794, 1.788, 1.783, 1.777, 1.772, 1.766, 1.761, 1.756, 1.750},
	{1.745, 1.740, 1.734, 1.729, 1.724, 1.719, 1.713, 1.708, 1.703, 1.698},
	{1.693, 1.688, 1.683, 1.678, 1.673, 1.668, 1.663, 1.658, 1.653, 1.648},
	{1.643, 1.638, 1.634, 1.629, 1.624, 1.619, 1.615, 1.610, 1.605, 1.601},
	{1.596, 1.591, 1.587, 1.582, 1.578, 1.573, 1.569, 1.564, 1.560, 1.555},
	{1.551, 1.547, 1.542, 1.538, 1.534, 1.529, 1.525, 1.521, 1.516, 1.512},
	{1.508, 1.504, 1.500, 1.496, 1.491, 1.487, 1.483, 1.479, 1.475, 1.471},
	{1.467, 1.463, 1.459, 1.455, 1.451, 1.447, 1.443, 1.439, 1.436, 1.432},
	{1.428, 1.424, 1.420, 1.416, 1.413, 1.409, 1.405, 1.401, 1.398, 1.394},
	{1.390, 1.387, 1.383, 1.379, 1.376, 1.372, 1.369, 1.365, 1.362, 1.358},
	{1.354, 1.351, 1.347, 1.344, 1.341, 1.337, 1.334, 1.330, 1.327, 1.323},
	{1.320, 1.317, 1.313, 1.310, 1.307, 1.303, 1.300, 1.297, 1.294, 1.290},
	{1.287, 1.284, 1.281, 1.278, 1.274, 1.271, 1.268, 1.265, 1.262, 1.259},
	{1.256, 1.253, 1.249, 1.246, 1.243, 1.240, 1.237, 1.234, 1.231, 1.228},
	{1.225, 1.222, 1.219, 1.216, 1.214, 1.211, 1.208, 1.205, 1.202, 1.199},
	{1.196, 1.193, 1.191, 1.188, 1.185, 1.182, 1.179, 1.177, 1.174, 1.171},
	{1.168, 1.166, 1.163, 1.160, 1.157, 1.155, 1.152, 1.149, 1.147, 1.144},
	{1.141, 1.139, 1.136, 1.134, 1.131, 1.128, 1.126, 1.123, 1.121, 1.118},
	{1.116, 1.113, 1.111, 1.108, 1.105, 1.103, 1.101, 1.098, 1.096, 1.093},
	{1.091, 1.088, 1.086, 1.083, 1.081, 1.079, 1.076, 1.074, 1.071, 1.069},
	{1.067, 1.064, 1.062, 1.060, 1.057, 1.055, 1.053, 1.051, 1.048, 1.046},
	{1.044, 1.041, 1.039, 1.037, 1.035, 1.032, 1.030, 1.028, 1.026, 1.024},
	{1.021, 1.019, 1.017, 1.015, 1.013, 1.011, 1.008, 1.006, 1.004, 1.002},
	{1.000, 0.998, 0.996, 0.994, 0.992, 0.990, 0.987, 0.985, 0.983, 0.981},
	{0.979, 0.977, 0.975, 0.973, 0.971, 0.969, 0.967, 0.965, 0.963, 0.961},
	{0.959, 0.957, 0.955, 0.953, 0.952, 0.950, 0.948, 0.946, 0.944, 0.942},
	{0.940, 0.938, 0.936, 0.934, 0.933, 0.931, 0.929, 0.927, 0.925, 0.923},
	{0.921, 0.920, 0.918, 0.916, 0.914, 0.912, 0.911, 0.909, 0.907, 0.905},
	{0.903, 0.902, 0.900, 0.898, 0.896, 0.895, 0.893, 0.891, 0.889, 0.888},
	{0.886, 0.884, 0.883, 0.881, 0.879, 0.877, 0.876, 0.874, 0.872, 0.871},
	{0.869, 0.867, 0.866, 0.864, 0.863, 0.861, 0.859, 0.858, 0.856, 0.854},
	{0.853, 0.851, 0.850, 0.848, 0.846, 0.845, 0.843, 0.842, 0.840, 0.839},
	{0.837, 0.835, 0.834, 0.832, 0.831, 0.829, 0.828, 0.826, 0.825, 0.823},
	{0.822, 0.820, 0.819, 0.817, 0.816, 0.814, 0.813, 0.811, 0.810, 0.808},
}

func printed(row, column int) bool {
	return column <= 3 || column <= 6 && row <= 12 || row <= 4
}

func TestFactor25(t *testing.T) {
	quoted, differ := 0, []string{}
	for row := range printedF25 {
		for column, want := range printedF25[row] {
			at := fmt.Sprintf("%d.%d", row, column)
			got := factor25(cel(at).Float64(units.Celsius))
			if printed(row, column) {
				quoted++
			}
			if math.Abs(got-want) > 1e-9 {
				differ = append(differ, at)
			}
		}
	}
	assert.Equal(t, 198, quoted, "cells that were read")
	// Both manuals print 1.829 at 1.5 °C; the closed form gives 1.82806.
	assert.Equal(t, []string{"1.5"}, differ)
	assert.Equal(t, 1.828, factor25(1.5))
}

// Program code multiplies the closed form by 1.116, which gives 1.0004 at 25 °C and
// other last digits in half of the table. The factor at 25 °C is 1.
func TestFactor25Normaliser(t *testing.T) {
	assert.Equal(t, 1.0, factor25(25))
	assert.InDelta(t, 1.0004, 1.116*viscosityForm(25), 5e-6)
	assert.InDelta(t, 1.1155571, 1/viscosityForm(25), 5e-8)
}

// 15 and 5 µS/cm at 20 °C as a meter shows them that refers to 25 °C, by each rule.
// Computed by hand from the formulas: 15/(1-0.1), 15·1.1, 15/(1-0.0955), 15·1.116.
func TestReferenceTemperatureTrap(t *testing.T) {
	for _, tt := range []struct {
		name    string
		rule    Compensation
		fifteen string
		five    string
	}{
		{"linear 2 % at 25", Linear(2, cel("25")), "16.667", "5.556"},
		{"linear 2 % at 20", Linear(2, cel("20")), "16.500", "5.500"},
		{"Standard Methods 2510B", Linear(1.91, cel("25")), "16.584", "5.528"},
		{"ISO 7888", ISO7888(), "16.740", "5.580"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for from, want := range map[string]string{"15": tt.fifteen, "5": tt.five} {
				got, err := tt.rule.Convert(uS(from), cel("20"), cel("25"))
				require.NoError(t, err)
				assert.Equal(t, want+" µS/cm", got.Convert(units.MicrosiemensPerCentimetre, 3, units.TiesToEven).String())
			}
		})
	}
}

func TestCompensation(t *testing.T) {
	for _, tt := range []struct {
		name     string
		rule     Compensation
		k        string
		from, to string
		want     float64
		within   float64
	}{
		// Example input of program code for Standard Methods 2510B; 1321/(1+0.0191·0.5).
		{"2510B", Linear(1.91, cel("25")), "1321", "25.5", "25", 1308.50, 0.005},
		// A logger manual: 5 mS/cm at 25 °C is approximately 4 at 15 °C by 2 % a degree.
		{"logger manual", Linear(2, cel("25")), "5000", "25", "15", 4000, 0},
		// A 0.01 mol/L potassium chloride standard: 1278 at 20 °C, 1413 at 25 °C by a
		// meter manual whose α is 1.94 % (1413·(1-0.097) = 1275.9; 1278 printed).
		{"KCl 1413", Linear(1.94, cel("25")), "1413", "25", "20", 1278, 3},
		// The 84 µS/cm standard: 75.80 at 20 °C, α 1.95 %.
		{"KCl 84", Linear(1.95, cel("25")), "84", "25", "20", 75.80, 0.02},
		{"same temperature", ISO7888(), "12.5", "18.3", "18.3", 12.5, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.rule.Convert(uS(tt.k), cel(tt.from), cel(tt.to))
			require.NoError(t, err)
			assert.InDelta(t, tt.want, got.Float64(units.MicrosiemensPerCentimetre), tt.within)
		})
	}
}

// The ends of what a linear rule may say, and the lines that come down to 0 within
// 0 to 35.9 °C, by hand: 10 % at 25 °C has 1-0.1·(25-T), so 0.01 at 15.1 °C and 0 at
// 15 °C.
func TestLinearEnds(t *testing.T) {
	for _, tt := range []struct {
		name     string
		rule     Compensation
		from, to string
		want     string // "" for an error
	}{
		{"10 %", Linear(10, cel("25")), "25", "35", "200.0000 µS/cm"},
		{"reference 0 °C", Linear(2, cel("0")), "0", "25", "150.0000 µS/cm"},
		{"reference 100 °C", Linear(1, cel("100")), "10", "20", "200.0000 µS/cm"}, // 0.2/0.1
		{"from just above 0", Linear(10, cel("25")), "15.1", "25", "10000.0000 µS/cm"},
		{"from 0", Linear(10, cel("25")), "15", "25", ""},
		{"from below 0", Linear(10, cel("25")), "14.9", "25", ""},
		{"to just above 0", Linear(10, cel("25")), "25", "15.1", "1.0000 µS/cm"},
		{"to 0", Linear(10, cel("25")), "25", "15", ""},
		{"to below 0", Linear(10, cel("25")), "25", "14.9", ""},
		{"both below 0", Linear(10, cel("25")), "14", "13", ""},
		{"below 0, but nothing to carry", Linear(10, cel("25")), "14", "14", "100.0000 µS/cm"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.rule.Convert(uS("100"), cel(tt.from), cel(tt.to))
			if tt.want == "" {
				assert.ErrorContains(t, err, "comes down to 0")
				assert.False(t, got.IsValid())
				return
			}
			require.NoError(t, err)
			assert.Equal(t, tt.want, got.String())
		})
	}
}

// Manufacturers' tables of the 84 µS/cm standard disagree at 0 °C (64 and 53.02) and agree
// from 15 °C. 2 % a degree from 25 °C leaves 42 at 0 °C and so neither; below 10 °C no
// straight line is to be trusted.
func TestStandardsDisagreeWhenCold(t *testing.T) {
	got, err := Linear(2, cel("25")).Convert(uS("84"), cel("25"), cel("0"))
	require.NoError(t, err)
	assert.Equal(t, 42.0, got.Float64(units.MicrosiemensPerCentimetre))
	got, err = ISO7888().Convert(uS("84"), cel("25"), cel("15"))
	require.NoError(t, err)
	assert.InDelta(t, 68, got.Float64(units.MicrosiemensPerCentimetre), 1.5) // 68 and 67.61 at 15 °C
}

func TestCompensationErrors(t *testing.T) {
	for _, tt := range []struct {
		name     string
		rule     Compensation
		k        units.Conductivity
		from, to units.Temperature
		says     string
	}{
		{"no rule", Compensation{}, uS("1"), cel("20"), cel("25"), "no conductivity or no rule"},
		{"no conductivity", ISO7888(), units.Conductivity{}, cel("20"), cel("25"), "no conductivity"},
		{"no temperature of the reading", ISO7888(), uS("1"), units.Temperature{}, cel("25"), "not recorded"},
		{"no reference is not 25", Linear(2, cel("25")), uS("1"), cel("20"), units.Temperature{}, "not recorded"},
		{"just too warm", ISO7888(), uS("1"), cel("35.91"), cel("25"), "cool the sample"},
		{"just too cold", ISO7888(), uS("1"), cel("-0.01"), cel("25"), "outside"},
		{"huge", Linear(2, cel("25")), units.MustParse[units.ConductivityUnit]("1e18 S/m"), cel("20"), cel("25"), "too large"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.rule.Convert(tt.k, tt.from, tt.to)
			assert.ErrorContains(t, err, tt.says)
			assert.False(t, got.IsValid())
		})
	}
	for _, c := range []Compensation{Linear(0, cel("25")), Linear(-2, cel("25")), Linear(math.NaN(), cel("25")),
		Linear(10.01, cel("25")), Linear(2, units.Temperature{}), Linear(2, cel("-0.01")), Linear(2, cel("100.01"))} {
		assert.Equal(t, Compensation{}, c)
	}
}

// ISO 7888's factor is recommended for 60 to 1000 µS/cm: water for sterilizers, 15
// µS/cm and less, lies below.
func TestCovers(t *testing.T) {
	for k, want := range map[string]bool{"15": false, "59.9": false, "60": true, "1000": true, "1000.1": false} {
		assert.Equal(t, want, ISO7888().Covers(uS(k)), k)
	}
	for k, want := range map[string]bool{"0.99": false, "1": true, "15": true} {
		assert.Equal(t, want, Linear(2, cel("25")).Covers(uS(k)), k)
	}
}

// Factors as meter manuals and texts print them. There is no default factor.
func TestEstimateResidue(t *testing.T) {
	for _, tt := range []struct {
		k      string
		factor float64
		want   string
	}{
		{"1413", 0.7078, "1000.1 mg/L"}, // "442" mixture: 1000 ppm
		{"300", 0.64, "192.0 mg/L"},     // a general text
		{"84", 0.4807, "40.4 mg/L"},     // KCl: 40.38 ppm
		{"100", 0.4, "40.0 mg/L"},       // the ends of what is taken
		{"100", 1, "100.0 mg/L"},
	} {
		got, err := EstimateResidue(uS(tt.k), tt.factor)
		require.NoError(t, err)
		assert.Equal(t, tt.want, got.String())
	}
	for _, f := range []float64{0, 0.399, 1.001, math.NaN(), math.Inf(1), -0.5} {
		_, err := EstimateResidue(uS("10"), f)
		assert.Error(t, err, f)
	}
	_, err := EstimateResidue(units.Conductivity{}, 0.5)
	assert.Error(t, err)
}

// 0.042 µS/cm printed for the purest water without a temperature is the value at
// 20 °C; at 25 °C it is 0.055 (18.2 MΩ·cm).
func TestPureWater(t *testing.T) {
	assert.InDelta(t, 0.042, pureWaterAt(20), 1e-12)
	assert.InDelta(t, 0.055, pureWaterAt(25), 1e-12)
	k, err := units.ConductivityOf(units.MustParse[units.ResistivityUnit]("18.2 MOhm.cm"), units.MicrosiemensPerCentimetre, 10, units.TiesToEven)
	require.NoError(t, err)
	assert.Empty(t, cmp.Diff("0.0549450549 µS/cm", k.String())) // GNU units: 0.054945054945055
	low, high := bracket(0.5, 25, 20)
	assert.InDelta(t, 0.042/0.055, low, 1e-12, "pure water falls fastest")
	assert.InDelta(t, 1/1.1, high, 1e-3)
	// From 1 µS/cm on only the usual rules count: 1/1.116 by ISO 7888 is the least,
	// below 0.9 by the usual line.
	low, _ = bracket(1, 25, 20)
	assert.InDelta(t, 1/1.116, low, 1e-12)
	low, _ = bracket(0.9999, 25, 20)
	assert.InDelta(t, 0.042/0.055, low, 1e-12)
	for c := 0.0; c <= maxCelsius; c++ { // falls and rises with temperature only
		assert.Less(t, pureWaterAt(c), pureWaterAt(c+0.5))
	}
}
