package units_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
	"unsafe"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/units"
)

func TestMain(m *testing.M) { testrun.Main(m) }

func mass(s string) units.Mass               { return units.MustParse[units.MassUnit](s) }
func length(s string) units.Length           { return units.MustParse[units.LengthUnit](s) }
func temperature(s string) units.Temperature { return units.MustParse[units.TemperatureUnit](s) }
func absolute(s string) units.AbsolutePressure {
	return units.MustParse[units.AbsolutePressureUnit](s)
}
func gauge(s string) units.GaugePressure       { return units.MustParse[units.GaugePressureUnit](s) }
func duration(s string) units.Duration         { return units.MustParse[units.DurationUnit](s) }
func conductivity(s string) units.Conductivity { return units.MustParse[units.ConductivityUnit](s) }
func resistivity(s string) units.Resistivity   { return units.MustParse[units.ResistivityUnit](s) }
func hardness(s string) units.Hardness         { return units.MustParse[units.HardnessUnit](s) }

func TestSize(t *testing.T) {
	assert.LessOrEqual(t, unsafe.Sizeof(units.Mass{}), uintptr(16))
	assert.LessOrEqual(t, unsafe.Sizeof(units.Value{}), uintptr(16))
	assert.LessOrEqual(t, unsafe.Sizeof(units.SpeciesConcentration{}), uintptr(24))
}

// The zero values are invalid everywhere and equal to nothing that was recorded.
func TestZeroIsInvalid(t *testing.T) {
	var q units.Mass
	assert.False(t, q.IsValid())
	assert.True(t, q.IsZero())
	assert.NotEqual(t, q, mass("0 kg"))
	assert.Equal(t, units.Value{}, q.Value())
	assert.True(t, q.Value().IsZero())
	assert.False(t, mass("0 kg").Value().IsZero())
	assert.Equal(t, "invalid", q.String())
	assert.Empty(t, q.Value().Text())
	assert.True(t, math.IsNaN(q.Float64(units.Kilogram)))
	assert.False(t, q.Convert(units.Gram, 2, units.TiesToEven).IsValid())
	assert.False(t, q.Rounded(units.Gram).IsValid())
	_, ok := q.Exactly(units.Kilogram)
	assert.False(t, ok)
	_, err := json.Marshal(q)
	assert.Error(t, err)
	_, err = q.MarshalText()
	assert.Error(t, err)
	_, err = json.Marshal(units.Value{})
	assert.Error(t, err)
	assert.Zero(t, q.Compare(units.Mass{}))
	assert.Equal(t, -1, q.Compare(mass("-1 kg")))
	assert.Equal(t, +1, mass("-1 kg").Compare(q))
	_, ok = q.Value().Compare(mass("1 kg").Value())
	assert.False(t, ok)
	_, ok = units.Of[units.MassUnit](units.Value{})
	assert.False(t, ok)
}

// == asks for the same digits and unit, Compare for the same size.
func TestEquality(t *testing.T) {
	a, b, c := mass("1.5 kg"), mass("1.50 kg"), mass("1500 g")
	assert.True(t, a == mass("1.5 kg"))
	assert.False(t, a == b)
	assert.False(t, a == c)
	for _, x := range []units.Mass{a, b, c} {
		for _, y := range []units.Mass{a, b, c} {
			assert.Zero(t, x.Compare(y))
		}
	}
}

// The pairs that are printed as equals and are not, and those that are.
func TestCompare(t *testing.T) {
	compare := func(want int, c func() int, about string) {
		t.Helper()
		assert.Equal(t, want, c(), about)
	}
	for _, test := range []struct {
		a, b string
		want int
	}{
		{"273 [degF]", "134 Cel", -1}, // 133.888… °C
		{"274 [degF]", "134 Cel", +1},
		{"273.2 [degF]", "134 Cel", 0},
		{"250 [degF]", "121 Cel", +1}, // 121.111… °C
		{"249.8 [degF]", "121 Cel", 0},
		{"270 [degF]", "132 Cel", +1}, // 132.222… °C
		{"269.6 [degF]", "132 Cel", 0},
		{"275 [degF]", "135 Cel", 0},
		{"275 [degF]", "135.000000000000001 Cel", -1},
		{"-40 [degF]", "-40 Cel", 0},
		{"-459.67 [degF]", "0 K", 0},
		{"-459.68 [degF]", "0 K", -1},
		{"-273.15 Cel", "0.0 K", 0},
		{"407.15 K", "134 Cel", 0},
		{"407.150000000000001 K", "134 Cel", +1},
		{"0 Cel", "0 [degF]", +1},
		{"-1 Cel", "1 Cel", -1},
		{"134.0 Cel", "134 Cel", 0},
		{"133.99 Cel", "134.0 Cel", -1},
		{"134.00000000000000 Cel", "134 Cel", 0},
		{"1e18 K", "999999999999999999 K", +1},
		{"1e-18 K", "0.00 K", +1},
		{"-1e-18 K", "0.00 K", -1},
		{"0e18 K", "0e-18 K", 0},
		{"0e18 K", "1e-18 K", -1},
		{"0e18 K", "-1e-18 K", +1},
		{"-1e18 K", "-1e-18 K", -1},
	} {
		compare(test.want, func() int { return temperature(test.a).Compare(temperature(test.b)) }, test.a+" and "+test.b)
		compare(-test.want, func() int { return temperature(test.b).Compare(temperature(test.a)) }, test.b+" and "+test.a)
		c, ok := temperature(test.a).Value().Compare(temperature(test.b).Value())
		assert.True(t, ok)
		assert.Equal(t, test.want, c)
	}
	for _, test := range []struct {
		a, b string
		want int
	}{
		{"760 mm[Hg]", "1 atm", -1}, // UCUM's millimetre is a little short: 101,324.72 Pa
		{"1 atm", "101325 Pa", 0},
		{"1.01325 bar", "1 atm", 0},
		{"1 [psi]", "6894.757293168361 Pa", +1}, // 6894.7572931683613367…
		{"1 [psi]", "6894.757293168362 Pa", -1},
		{"14.6959487755135 [psi]", "1 atm", +1}, // 14.69594877551345…
		{"14.6959487755134 [psi]", "1 atm", -1},
		{"1 att", "98066.5 Pa", 0},
		{"0 [psi]", "0 Pa", 0},
		{"1 MPa", "10 bar", 0},
		{"1 hPa", "1 mbar", 0},
	} {
		compare(test.want, func() int { return absolute(test.a).Compare(absolute(test.b)) }, test.a+" and "+test.b)
		compare(-test.want, func() int { return absolute(test.b).Compare(absolute(test.a)) }, test.b+" and "+test.a)
	}
	compare(0, func() int {
		return units.MustParse[units.ColonyCountUnit]("0.1 [CFU]/mL").Compare(units.MustParse[units.ColonyCountUnit]("10 [CFU]/dL"))
	}, "10 in 100 mL")
	compare(0, func() int {
		return units.MustParse[units.TemperatureDifferenceUnit]("3 K").Compare(units.MustParse[units.TemperatureDifferenceUnit]("5.4 5.K/9"))
	}, "3 °C warmer is 5.4 °F warmer, not 37.4")
}

func TestCompareNeedsOneDimension(t *testing.T) {
	for _, other := range []units.Value{
		length("1 m").Value(), gauge("1 kPa").Value(), {},
		units.MustParse[units.TemperatureDifferenceUnit]("1 K").Value(),
	} {
		_, ok := absolute("1 kPa").Value().Compare(other)
		assert.False(t, ok, "%v", other)
		_, ok = temperature("1 K").Value().Compare(other)
		assert.False(t, ok, "%v", other)
	}
}

func TestCompareAllocatesNothing(t *testing.T) {
	a, b := temperature("134.25 Cel"), temperature("273.2 [degF]")
	c, d := absolute("44.1 [psi]"), absolute("304.1 kPa")
	sum := 0
	assert.Zero(t, testing.AllocsPerRun(100, func() { sum += a.Compare(b) + c.Compare(d) + a.Compare(a) }))
}

// Exact conversions, each a definition or computed from definitions: the pound and
// the inch of 1959, the standard atmosphere and gravity, the two gallons.
func TestExactly(t *testing.T) {
	check := func(want, got units.Value, ok bool) {
		t.Helper()
		assert.True(t, ok, want.Text())
		assert.Equal(t, want.Text(), got.Text())
	}
	for from, to := range map[string]string{
		"1 [lb_av]": "0.45359237 kg", "1 [oz_av]": "0.028349523125 kg", "1 [gr]": "0.00006479891 kg", "1 [stone_av]": "6.35029318 kg",
		"16 [oz_av]": "0.45359237 kg", "7000 [gr]": "0.45359237 kg", "480 [gr]": "0.0311034768 kg",
	} {
		got, ok := mass(from).Exactly(units.Kilogram)
		assert.True(t, ok)
		assert.Zero(t, got.Compare(mass(to)), "%s is %s", from, got)
		assert.Equal(t, units.Kilogram, got.Unit())
		back, ok := got.Exactly(mass(from).Unit())
		assert.True(t, ok)
		assert.Zero(t, back.Compare(mass(from)))
	}
	inch, ok := length("1 [in_i]").Exactly(units.Millimetre)
	check(length("25.4 mm").Value(), inch.Value(), ok)
	f, ok := temperature("134 Cel").Exactly(units.Fahrenheit)
	check(temperature("273.2 [degF]").Value(), f.Value(), ok)
	k, ok := temperature("134 Cel").Exactly(units.Kelvin)
	check(temperature("407.15 K").Value(), k.Value(), ok)
	same, ok := mass("1.500 kg").Exactly(units.Kilogram)
	check(mass("1.500 kg").Value(), same.Value(), ok)
	zero, ok := mass("0.0 kg").Exactly(units.Pound)
	assert.True(t, ok)
	assert.Zero(t, zero.Compare(mass("0 g")))

	// Trailing zeros move into the power of ten where the digits would not fit.
	large, ok := mass("999999999999999999 kg").Exactly(units.Gram)
	check(mass("999999999999999999e3 g").Value(), large.Value(), ok)
	_, ok = mass("123456789012345678 [lb_av]").Exactly(units.Kilogram) // 26 digits
	assert.False(t, ok)
	_, ok = mass("123456789 [oz_av]").Exactly(units.Kilogram) // 19 digits
	assert.False(t, ok)

	_, ok = temperature("250 [degF]").Exactly(units.Celsius) // 1090/9
	assert.False(t, ok)
	_, ok = absolute("1 atm").Exactly(units.PoundPerSquareInch)
	assert.False(t, ok)
	_, ok = mass("1 kg").Exactly(units.Pound)
	assert.False(t, ok)
	_, ok = mass("1 kg").Exactly(units.MassUnit(99))
	assert.False(t, ok)
}

func TestConvert(t *testing.T) {
	for _, test := range []struct {
		from   string
		places int
		r      units.Rounding
		want   string
	}{
		{"250 [degF]", 1, units.TiesToEven, "121.1 Cel"},
		{"250 [degF]", 1, units.Down, "121.1 Cel"},
		{"250 [degF]", 1, units.Up, "121.2 Cel"},
		{"250 [degF]", 12, units.TiesToEven, "121.111111111111 Cel"},
		{"273 [degF]", 0, units.TiesToEven, "134 Cel"}, // rounding says so, comparing does not
		{"273 [degF]", 2, units.TiesToEven, "133.89 Cel"},
		{"273 [degF]", 2, units.Down, "133.88 Cel"},
		{"-40 [degF]", 0, units.TiesToEven, "-40 Cel"},
		{"0 [degF]", 2, units.TiesToEven, "-17.78 Cel"}, // -17.777…
		{"0 [degF]", 2, units.Up, "-17.77 Cel"},
		{"0 [degF]", 2, units.Down, "-17.78 Cel"},
		{"121 Cel", 3, units.Down, "121.000 Cel"},
		// Ties: ASME A112.18.1/CSA B125.1 Annex A.2 has 1.655 and 1.625.
		{"1.655 Cel", 2, units.TiesToEven, "1.66 Cel"},
		{"1.625 Cel", 2, units.TiesToEven, "1.62 Cel"},
		{"-1.655 Cel", 2, units.TiesToEven, "-1.66 Cel"},
		{"-1.625 Cel", 2, units.TiesToEven, "-1.62 Cel"},
		{"2.15 Cel", 1, units.TiesToEven, "2.2 Cel"}, // as a float64 it lies below the tie
		{"2.25 Cel", 1, units.TiesToEven, "2.2 Cel"},
		{"0.5 Cel", 0, units.TiesToEven, "0 Cel"},
		{"1.5 Cel", 0, units.TiesToEven, "2 Cel"},
		{"-0.5 Cel", 0, units.TiesToEven, "0 Cel"},
		{"1.625000000000001 Cel", 2, units.TiesToEven, "1.63 Cel"},
		// Never twice: Ontario LS-100 has 1.347, which 1.35 would make 1.4.
		{"1.347 Cel", 1, units.TiesToEven, "1.3 Cel"},
		{"1.2 Cel", 0, units.Up, "2 Cel"},
		{"-1.2 Cel", 0, units.Up, "-1 Cel"},
		{"-1.2 Cel", 0, units.Down, "-2 Cel"},
		{"1 Cel", 0, units.Up, "1 Cel"},
	} {
		got := temperature(test.from).Convert(units.Celsius, test.places, test.r)
		assert.Equal(t, test.want, got.Value().Text(), "%s, %d places, %d", test.from, test.places, test.r)
	}
	q := mass("1 kg")
	for _, bad := range []units.Mass{
		q.Convert(units.Gram, -1, units.TiesToEven),
		q.Convert(units.Gram, 19, units.TiesToEven),
		q.Convert(units.Gram, 16, units.TiesToEven), // 20 digits
		q.Convert(units.MassUnit(0), 2, units.TiesToEven),
		q.Convert(units.MassUnit(200), 2, units.TiesToEven),
		mass("999999999999999999 kg").Convert(units.Gram, 0, units.TiesToEven),
	} {
		assert.False(t, bad.IsValid())
	}
	assert.True(t, q.Convert(units.Gram, 14, units.TiesToEven).IsValid())
}

// A converted limit is never looser, whichever way it is read.
func TestLimitsConvertInwards(t *testing.T) {
	for _, limit := range []string{"134 Cel", "137 Cel", "121 Cel", "273 [degF]", "250 [degF]", "0 Cel", "-5 Cel"} {
		q := temperature(limit)
		for _, u := range []units.TemperatureUnit{units.Kelvin, units.Celsius, units.Fahrenheit} {
			for places := range 4 {
				assert.LessOrEqual(t, q.Convert(u, places, units.Down).Compare(q), 0, "an upper limit of %s", limit)
				assert.GreaterOrEqual(t, q.Convert(u, places, units.Up).Compare(q), 0, "a lower limit of %s", limit)
			}
		}
	}
}

// NIST SP 811, B.7.2: 36 ft is 11.0 m. NIST LC 1137, as quoted: 36 in is 91 cm and
// 40.1 in is 101.9 cm. The rest follow from the rule.
func TestRounded(t *testing.T) {
	for from, want := range map[string]string{"36 [ft_i]": "11.0 m"} {
		assert.Equal(t, want, length(from).Rounded(units.Metre).Value().Text())
	}
	for from, want := range map[string]string{"36 [in_i]": "91 cm", "40.1 [in_i]": "101.9 cm", "1 [in_i]": "3 cm", "1.0 [in_i]": "2.5 cm", "1.5 cm": "1.5 cm", "1.50 cm": "1.50 cm"} {
		assert.Equal(t, want, length(from).Rounded(units.Centimetre).Value().Text())
	}
	assert.Equal(t, "4082 g", mass("4.082 kg").Rounded(units.Gram).Value().Text())
	assert.Equal(t, "4.1 kg", mass("9.0 [lb_av]").Rounded(units.Kilogram).Convert(units.Kilogram, 1, units.TiesToEven).Value().Text())
	assert.Equal(t, "4.08 kg", mass("9.0 [lb_av]").Rounded(units.Kilogram).Value().Text())
	assert.Equal(t, "2e5 Pa absolute", absolute("2 bar").Rounded(units.Pascal).Value().Text())
	assert.Equal(t, "203 kPa gauge", gauge("29.5 [psi]").Rounded(units.KilopascalGauge).Convert(units.KilopascalGauge, 0, units.TiesToEven).Value().Text())
	assert.Equal(t, "250 [degF]", temperature("121 Cel").Rounded(units.Fahrenheit).Value().Text()) // 249.8; a degree Celsius is 1.8
	assert.Equal(t, "249.8 [degF]", temperature("121.0 Cel").Rounded(units.Fahrenheit).Value().Text())
	assert.Equal(t, "132.8 Cel", temperature("271 [degF]").Rounded(units.Celsius).Value().Text())
	assert.Equal(t, "0.0 Cel", temperature("32 [degF]").Rounded(units.Celsius).Value().Text())
	assert.Equal(t, "0 g", mass("0.000 kg").Rounded(units.Gram).Value().Text())
	assert.False(t, mass("1 kg").Rounded(units.MassUnit(77)).IsValid())
}

// The promise of B.7.2, over many values: the relative rounding error of the result
// is not larger, and one digit fewer would make it larger.
func TestRoundedKeepsTheRelativeError(t *testing.T) {
	for n := int64(1); n < 3000; n += 7 {
		for exp := -2; exp <= 1; exp++ {
			q := units.New(n, exp, units.Pound)
			for _, u := range []units.MassUnit{units.Kilogram, units.Gram, units.Ounce, units.Grain, units.Stone} {
				r := q.Rounded(u)
				// Half a step over the value, twice: 1/coefficient against 1/n.
				require.GreaterOrEqual(t, r.Decimal().CoefficientInt64(), n, "%s in %s is %s", q, u, r)
				wider := math.Pow10(int(r.Decimal().Exponent()) + 1)
				require.Greater(t, wider/q.Float64(u), 1/float64(n)*(1+1e-12), "%s in %s is %s, one digit fewer would do", q, u, r)
			}
		}
	}
}

func TestAbsolute(t *testing.T) {
	atm := absolute("1 atm")
	for _, test := range []struct {
		gauge, atmosphere, want string
	}{
		// Definition: 15 psi is 103,421.359… Pa; to a tenth of a pascal.
		{"15 [psi]", "1 atm", "204.7464 kPa absolute"},
		{"2.1 bar", "1 atm", "311.3250 kPa absolute"},
		{"0 kPa", "1 atm", "101.3250 kPa absolute"},
		{"-101.325 kPa", "1 atm", "0.0000 kPa absolute"},
		{"203 kPa", "84.56 kPa", "287.5600 kPa absolute"}, // 1,500 m
		{"0.05 Pa", "0 Pa", "0.0000 kPa absolute"},        // a tie
		{"0.15 Pa", "0 Pa", "0.0002 kPa absolute"},
		// 26 inches of mercury of vacuum; conventional inches would give 13.2789.
		{"-26 [in_i'Hg]", "1 atm", "13.2792 kPa absolute"},
	} {
		got, err := units.Absolute(gauge(test.gauge), absolute(test.atmosphere))
		require.NoError(t, err)
		assert.Equal(t, test.want, got.Value().Text(), test.gauge)
	}
	_, err := units.Absolute(gauge("2 bar"), units.AbsolutePressure{})
	assert.ErrorIs(t, err, units.ErrAtmosphere)
	_, err = units.Absolute(units.GaugePressure{}, atm)
	assert.ErrorContains(t, err, "no gauge pressure")
	_, err = units.Absolute(gauge("-101.4 kPa"), atm)
	assert.ErrorContains(t, err, "below vacuum")
	_, err = units.Absolute(gauge("-101.32500000001 kPa"), atm)
	assert.ErrorContains(t, err, "below vacuum")
	_, err = units.Absolute(gauge("1e18 bar"), atm)
	assert.Error(t, err)
}

func TestSum(t *testing.T) {
	sum := func(texts ...string) string {
		var qs []units.Mass
		for _, s := range texts {
			qs = append(qs, mass(s))
		}
		q, ok := units.Sum(qs)
		if !ok {
			return "no"
		}
		return q.Value().Text()
	}
	assert.Equal(t, "3.00 kg", sum("1.50 kg", "1.5 kg"))
	assert.Equal(t, "2.0 kg", sum("1.5 kg", "500 g"))
	assert.Equal(t, "1.45359237 kg", sum("1 kg", "1 [lb_av]"))
	assert.Equal(t, "1.45359237 kg", sum("1 [lb_av]", "1 kg"), "no finite number of pounds")
	assert.Equal(t, "17 [oz_av]", sum("1 [oz_av]", "1 [lb_av]"))
	assert.Equal(t, "0 kg", sum("1 kg", "-1 kg"))
	assert.Equal(t, "7 kg", sum("7 kg"))
	assert.Equal(t, "no", sum())
	assert.Equal(t, "no", sum("999999999999999999 kg", "1 kg"))
	_, ok := units.Sum([]units.Mass{mass("1 kg"), {}})
	assert.False(t, ok)
	_, ok = units.Sum([]units.Temperature{temperature("1 Cel")})
	assert.False(t, ok, "temperatures do not add")
	_, ok = units.Sum([]units.PH{units.MustParse[units.PHUnit]("7 [pH]")})
	assert.False(t, ok, "pH does not add")
	d, ok := units.Sum([]units.Duration{duration("3.5 min"), duration("30 s")})
	assert.True(t, ok)
	assert.Zero(t, d.Compare(duration("4 min")))
	assert.Equal(t, units.Minute, d.Unit())
}

func TestFloat64(t *testing.T) {
	assert.Equal(t, 134.25, temperature("134.25 Cel").Float64(units.Celsius))
	assert.Equal(t, 407.4, temperature("134.25 Cel").Float64(units.Kelvin))
	assert.Equal(t, 0.1, mass("0.1 kg").Float64(units.Kilogram))
	assert.Equal(t, 0.45359237, mass("1 [lb_av]").Float64(units.Kilogram))
	// 4.4482216152605 N over 6.4516 cm2, as a fraction of two exact float64.
	assert.Equal(t, 8896443230521.0/1290320000.0, absolute("1 [psi]").Float64(units.Pascal))
	assert.Equal(t, 1e18, mass("1e18 kg").Float64(units.Kilogram))
	assert.Equal(t, 123456789012345678.0, mass("123456789012345678 kg").Float64(units.Kilogram))
	assert.True(t, math.IsNaN(mass("1 kg").Float64(units.MassUnit(50))))
	assert.True(t, math.IsNaN(mass("1 kg").Float64(0)))
}

func TestFromFloat64(t *testing.T) {
	for _, test := range []struct {
		x      float64
		places int
		want   string
	}{
		{133.87654, 2, "133.88 Cel"},
		{-0.004, 2, "0.00 Cel"},
		{0.1 + 0.2, 2, "0.30 Cel"},
		{2.5, 0, "2 Cel"}, // exact in binary: a tie
		{3.5, 0, "4 Cel"},
		{2.675, 2, "2.67 Cel"}, // binary 2.67499999999999982…
		{121, 3, "121.000 Cel"},
		{1e15, 2, "1000000000000000.00 Cel"},
	} {
		assert.Equal(t, test.want, units.FromFloat64(test.x, test.places, units.Celsius).Value().Text())
	}
	for _, q := range []units.Temperature{
		units.FromFloat64(math.NaN(), 2, units.Celsius), units.FromFloat64(math.Inf(1), 2, units.Celsius), units.FromFloat64(math.Inf(-1), 2, units.Celsius),
		units.FromFloat64(1, -1, units.Celsius), units.FromFloat64(1, 16, units.Celsius), units.FromFloat64(1e18, 0, units.Celsius), units.FromFloat64(1e17, 2, units.Celsius),
		units.FromFloat64(1, 2, units.TemperatureUnit(0)), units.FromFloat64(1, 2, units.TemperatureUnit(9)),
	} {
		assert.False(t, q.IsValid())
	}
}

func TestNew(t *testing.T) {
	assert.Equal(t, "999999999999999999 kg", units.New(999999999999999999, 0, units.Kilogram).Value().Text())
	assert.Equal(t, "-999999999999999999 kg", units.New(-999999999999999999, 0, units.Kilogram).Value().Text())
	for _, q := range []units.Mass{
		units.New(1000000000000000000, 0, units.Kilogram), units.New(-1000000000000000000, 0, units.Kilogram), units.New(math.MinInt64, 0, units.Kilogram),
		units.New(1, 37, units.Kilogram), units.New(1, -49, units.Kilogram), units.New(1, math.MaxInt, units.Kilogram), units.New(1, 0, units.MassUnit(0)), units.New(1, 0, units.MassUnit(255)),
	} {
		assert.False(t, q.IsValid())
	}
	assert.True(t, units.New(1, 36, units.Kilogram).IsValid())
	assert.True(t, units.New(1, -48, units.Kilogram).IsValid())
}

// decimal.Decimal stays at the edge: its traps do not come in.
func TestDecimal(t *testing.T) {
	q, err := units.FromDecimal(decimal.RequireFromString("1.50"), units.Kilogram)
	require.NoError(t, err)
	assert.Equal(t, "1.50 kg", q.Value().Text(), "the trailing zero stays, as decimal itself prints it not")
	assert.True(t, q.Decimal().Equal(decimal.New(150, -2)))
	assert.Equal(t, int32(-2), q.Decimal().Exponent())

	for _, text := range []string{"1e1000000", "1e-1000000", "1234567890123456789", "-1234567890123456789", "123456789012345678901234567890", "1e37", "1e-49"} {
		d, err := decimal.NewFromString(text)
		if err != nil {
			d = decimal.New(1, 1000000)
		}
		_, err = units.FromDecimal(d, units.Kilogram)
		assert.Error(t, err, text)
	}
	_, err = units.FromDecimal(decimal.New(1, math.MaxInt32), units.Kilogram)
	assert.Error(t, err)
	_, err = units.FromDecimal(decimal.New(1, math.MinInt32), units.Kilogram)
	assert.Error(t, err)
	_, err = units.FromDecimal(decimal.New(1, 0), units.MassUnit(0))
	assert.Error(t, err)

	before := decimal.DivisionPrecision
	defer func() { decimal.DivisionPrecision = before }()
	decimal.DivisionPrecision = 1
	assert.Equal(t, "121.111111111111 Cel", temperature("250 [degF]").Convert(units.Celsius, 12, units.TiesToEven).Value().Text(),
		"a setting of decimal that anyone can change must not matter")
}

func TestParse(t *testing.T) {
	for _, s := range []string{"1.50 kg", "0.05 kg", "-0.05 kg", "0 kg", "0.00 kg", "1e5 kg", "9 [lb_av]", "999999999999999999 g"} {
		assert.Equal(t, s, mass(s).Value().Text())
	}
	for s, want := range map[string]string{"1E+05 kg": "1e5 kg", "-0 kg": "0 kg", "1.5e1 kg": "15 kg", "1.50e1 kg": "15.0 kg", "1.5e3 kg": "15e2 kg"} {
		assert.Equal(t, want, mass(s).Value().Text())
	}
	for _, s := range []string{"203 kPa", "203 kPa gauge"} {
		assert.Equal(t, "203 kPa gauge", gauge(s).Value().Text())
	}
	assert.Equal(t, "203 kPa absolute", absolute("203 kPa absolute").Value().Text())
	for _, s := range []string{
		"", " ", "kg", "1", "1kg", " 1 kg", "1  kg", "1 kg ", "1 kg x", "1 kg absolute", "1\tkg", "1 KG", "1,5 kg", "1.5.0 kg", "+1 kg", ".5 kg", "1. kg",
		"NaN kg", "Inf kg", "-Inf kg", "0x1 kg", "1_000 kg", "1e19 kg", "1e1000001 kg", "1e-19 kg", "1234567890123456789 kg", "\u0661 kg", "\u22121 kg", "null kg",
		strings.Repeat("9", 100000) + " kg", "1 " + strings.Repeat("k", 100000),
	} {
		_, err := units.Parse[units.MassUnit](s)
		require.Error(t, err, "%.40q", s)
		assert.Less(t, len(err.Error()), 300, "%.40q: the message does not repeat a flood", s)
	}
	_, err := units.Parse[units.GaugePressureUnit]("203 kPa absolute")
	assert.Error(t, err)
	_, err = units.Parse[units.AbsolutePressureUnit]("203 kPa gauge")
	assert.Error(t, err)
	_, err = units.Parse[units.AbsolutePressureUnit]("203 kPa ")
	assert.Error(t, err)
	assert.Panics(t, func() { mass("1 lb") })

	q, err := units.ParseNumber("134.50", units.Celsius)
	require.NoError(t, err)
	assert.Equal(t, temperature("134.50 Cel"), q)
	_, err = units.ParseNumber("134,5", units.Celsius)
	assert.ErrorContains(t, err, "134,5")
	_, err = units.ParseNumber("134.5", units.TemperatureUnit(0))
	assert.Error(t, err)
}

// Everyday spellings are refused with the code to use.
func TestUnitErrors(t *testing.T) {
	use := func(_ any, err error) string {
		var e *units.UnitError
		if !assert.ErrorAs(t, err, &e) {
			return ""
		}
		assert.Contains(t, err.Error(), e.Use)
		return e.Use
	}
	for spelling, code := range map[string]string{"lb": "[lb_av]", "lbs": "[lb_av]", "oz": "[oz_av]", "KG": "kg", "grains": "[gr]"} {
		assert.Equal(t, code, use(units.ParseUnit[units.MassUnit](spelling)), spelling)
	}
	for _, spelling := range []string{"°C", "degC", "C", "celsius", "℃"} {
		assert.Equal(t, "Cel", use(units.ParseUnit[units.TemperatureUnit](spelling)), spelling)
		assert.Equal(t, "K", use(units.ParseUnit[units.TemperatureDifferenceUnit](spelling)), spelling)
	}
	for _, spelling := range []string{"°F", "degF", "F"} {
		assert.Equal(t, "[degF]", use(units.ParseUnit[units.TemperatureUnit](spelling)), spelling)
		assert.Equal(t, "5.K/9", use(units.ParseUnit[units.TemperatureDifferenceUnit](spelling)), spelling)
	}
	assert.Equal(t, "K", use(units.ParseUnit[units.TemperatureDifferenceUnit]("Cel")))
	for spelling, code := range map[string]string{"psi": "[psi]", "psig": "[psi]", "PSI": "[psi]", "kPa{gauge}": "kPa", "barg": "bar", "mmHg": "mm[Hg]", "inHg": "[in_i'Hg]"} {
		assert.Equal(t, code, use(units.ParseUnit[units.GaugePressureUnit](spelling)), spelling)
	}
	for spelling, code := range map[string]string{"µS/cm": "uS/cm", "\u03bcS/cm": "uS/cm", "umho/cm": "uS/cm"} {
		assert.Equal(t, code, use(units.ParseUnit[units.ConductivityUnit](spelling)), spelling)
	}
	assert.Equal(t, "MOhm.cm", use(units.ParseUnit[units.ResistivityUnit]("MΩ·cm")))
	for spelling, code := range map[string]string{
		"gpg": "[gr]/[gal_us]{CaCO3}", "°dH": "10.mg/L{CaO}", "[dH]": "10.mg/L{CaO}", "°fH": "10.mg/L{CaCO3}", "°TH": "10.mg/L{CaCO3}", "°e": "[gr]/[gal_br]{CaCO3}", "ppm": "mg/L{CaCO3}",
	} {
		assert.Equal(t, code, use(units.ParseUnit[units.HardnessUnit](spelling)), spelling)
	}
	for _, spelling := range []string{"EU/mL", "[EU]/mL"} {
		assert.Equal(t, "{EU}/mL", use(units.ParseUnit[units.EndotoxinUnit](spelling)), "[EU] is the Ehrlich unit")
	}
	assert.Equal(t, "[CFU]/mL", use(units.ParseUnit[units.ColonyCountUnit]("cfu/ml")))
	assert.Equal(t, "[CFU]/dL", use(units.ParseUnit[units.ColonyCountUnit]("CFU/100 mL")))
	assert.Equal(t, "[pH]", use(units.ParseUnit[units.PHUnit]("pH")), "pH is the picohenry")

	// What could be either of two, or is no unit of the dimension, is only listed.
	for _, code := range []string{"gal", "", "kg", "L ", strings.Repeat("x", 10000)} {
		_, err := units.ParseUnit[units.VolumeUnit](code)
		var e *units.UnitError
		require.ErrorAs(t, err, &e)
		assert.Empty(t, e.Use)
		assert.Contains(t, err.Error(), "[gal_us]")
		assert.Less(t, len(err.Error()), 300)
	}
	assert.Empty(t, use(units.ParseUnit[units.MassConcentrationUnit]("ppm")), "ppm of a pocket meter is no concentration")
	assert.Empty(t, use(units.ParseUnit[units.TurbidityUnit]("[FNU]")), "another method, another light")
}

func TestUnits(t *testing.T) {
	for d := units.Dimension(1); d.String() != "invalid"; d++ {
		assert.NotEmpty(t, d.Codes(), d.String())
	}
	assert.Equal(t, "invalid", units.Dimension(0).String())
	assert.Equal(t, "invalid", units.Dimension(255).String())
	assert.Nil(t, units.Dimension(255).Codes())
	assert.Equal(t, []string{"K", "Cel", "[degF]"}, units.DimTemperature.Codes())

	assert.Equal(t, "[degF]", units.Fahrenheit.String())
	assert.Equal(t, "invalid unit", units.TemperatureUnit(0).String())
	assert.Equal(t, "invalid unit", units.TemperatureUnit(100).String())
	text, err := units.Fahrenheit.MarshalText()
	assert.NoError(t, err)
	assert.Equal(t, "[degF]", string(text))
	text, err = units.TemperatureUnit(0).MarshalText()
	assert.NoError(t, err)
	assert.Empty(t, text)
	_, err = units.TemperatureUnit(100).MarshalText()
	assert.Error(t, err)
	u := units.Celsius
	assert.Error(t, u.UnmarshalText([]byte("°F")))
	assert.Equal(t, units.Celsius, u, "a refused code changes nothing")
	assert.NoError(t, u.UnmarshalText([]byte("[degF]")))
	assert.Equal(t, units.Fahrenheit, u)
}

func TestJSON(t *testing.T) {
	for _, s := range []string{`{"value":1.50,"unit":"kg"}`, `{"value":-0.05,"unit":"[lb_av]"}`, `{"value":0,"unit":"g"}`, `{"value":1e5,"unit":"mg"}`, `{"value":999999999999999999,"unit":"kg"}`} {
		var q units.Mass
		require.NoError(t, json.Unmarshal([]byte(s), &q), s)
		got, err := json.Marshal(q)
		require.NoError(t, err)
		assert.Equal(t, s, string(got))
	}
	var q units.Mass
	require.NoError(t, json.Unmarshal([]byte(` { "unit" : "kg" , "value" : 1.50 } `), &q))
	assert.Equal(t, mass("1.50 kg"), q)

	for _, test := range []struct {
		doc     string
		pointer string
		says    string
	}{
		{`null`, "", "want an object"}, // never a 0
		{`1.5`, "", "want an object"},
		{`"1.5 kg"`, "", "want an object"},
		{`{}`, "", `"value" is missing`},
		{`{"value":1}`, "", `"unit" is missing`},
		{`{"unit":"kg"}`, "", `"value" is missing`},
		{`{"value":null,"unit":"kg"}`, "/value", "want a number"},
		{`{"value":"1.5","unit":"kg"}`, "/value", "want a number"},
		{`{"value":1.5,"unit":null}`, "/unit", "want a string"},
		{`{"value":1.5,"unit":""}`, "/unit", "use one of"},
		{`{"value":1.5,"unit":"lb"}`, "/unit", `write "[lb_av]"`},
		{`{"value":1.5,"unit":"m"}`, "/unit", "use one of"},
		{`{"value":1.5,"unit":"kg","system":"x"}`, "/system", "unknown member"},
		{`{"Value":1.5,"unit":"kg"}`, "/Value", "unknown member"},
		{`{"value":1.5,"value":1.5,"unit":"kg"}`, "/value", "twice"},
		{`{"value":NaN,"unit":"kg"}`, "/value", "does not start"},
		{`{"value":1e1000001,"unit":"kg"}`, "/value", "exponent"},
		{`{"value":1e19,"unit":"kg"}`, "/value", "exponent"},
		{`{"value":1234567890123456789,"unit":"kg"}`, "/value", "digits"},
		{`{"value":0.` + strings.Repeat("0", 40) + `1,"unit":"kg"}`, "/value", "longer"},
		{`{"value":1,"unit":"` + strings.Repeat("k", 65) + `"}`, "/unit", "use one of"},
		{`{"value":1,"unit":"` + strings.Repeat("k", 4097) + `"}`, "/unit", "longer"},
		{`{"value":1,"unit":"kg"}` + strings.Repeat(" ", 8<<20), "", "allowed"},
		{`{"value":[1],"unit":"kg"}`, "/value", "want a number"},
	} {
		q := mass("7 kg")
		err := q.UnmarshalJSON([]byte(test.doc))
		var e *units.JSONError
		if assert.ErrorAs(t, err, &e, test.doc) {
			assert.Equal(t, test.pointer, e.Pointer, test.doc)
			assert.Contains(t, err.Error(), test.says, test.doc)
		}
		assert.Equal(t, mass("7 kg"), q, "a refused document changes nothing")
	}
	// How a document is spaced and escaped changes nothing about what it says; the
	// published schema, which sees neither, accepts these too.
	for _, doc := range []string{
		`{"value":1.50,` + strings.Repeat(" ", 1000) + `"unit":"kg"}`,
		`{"\u0076alue":1.50,"unit":"\u006b\u0067"}`,
	} {
		var q units.Mass
		require.NoError(t, q.UnmarshalJSON([]byte(doc)))
		assert.Equal(t, mass("1.50 kg"), q)
	}
	var longest units.PressureRate
	require.NoError(t, longest.UnmarshalJSON([]byte(`{"value":1,"unit":"`+escaped("[in_i'Hg]/min")+`"}`)))
	assert.Equal(t, "1 [in_i'Hg]/min", longest.Value().Text())
	var c units.Temperature
	doc := []byte(`{"value":134.5,"unit":"Cel"}`)
	assert.Zero(t, testing.AllocsPerRun(100, func() { _ = c.UnmarshalJSON(doc) }))
}

// escaped writes every character of a text as an escape of JSON.
func escaped(s string) string {
	var b strings.Builder
	for _, r := range s {
		fmt.Fprintf(&b, `\u%04x`, r)
	}
	return b.String()
}

// A unit that serves two dimensions does not say which of them a value is of, so the
// value does; a quantity has its place for that, and its form is the published one.
func TestValueJSONSaysItsDimension(t *testing.T) {
	difference := units.MustParse[units.TemperatureDifferenceUnit]("2 K")
	for _, test := range []struct{ got, want any }{
		{gauge("203 kPa").Value(), `{"value":203,"unit":"kPa","dimension":"gauge pressure"}`},
		{gauge("203 kPa"), `{"value":203,"unit":"kPa"}`},
		{units.MustParse[units.AbsolutePressureUnit]("304 kPa absolute").Value(), `{"value":304,"unit":"kPa","dimension":"absolute pressure"}`},
		{difference.Value(), `{"value":2,"unit":"K","dimension":"temperature difference"}`},
		{difference, `{"value":2,"unit":"K"}`},
		{temperature("134.0 Cel").Value(), `{"value":134.0,"unit":"Cel"}`},
		{mass("4.1 kg").Value(), `{"value":4.1,"unit":"kg"}`},
	} {
		data, err := json.Marshal(test.got)
		require.NoError(t, err)
		assert.Equal(t, test.want, string(data))
	}
}

func TestText(t *testing.T) {
	var q units.GaugePressure
	require.NoError(t, q.UnmarshalText([]byte("203 kPa gauge")))
	text, err := q.MarshalText()
	require.NoError(t, err)
	assert.Equal(t, "203 kPa gauge", string(text))
	assert.Error(t, q.UnmarshalText([]byte("203 kPa absolute")))
	assert.Equal(t, gauge("203 kPa"), q, "a refused text changes nothing")
}

func TestString(t *testing.T) {
	for want, v := range map[string]units.Value{
		"134.0 °C":           temperature("134.0 Cel").Value(),
		"-5 °F":              temperature("-5 [degF]").Value(),
		"9 lb":               mass("9 [lb_av]").Value(),
		"203 kPa gauge":      gauge("203 kPa").Value(),
		"101.3 kPa absolute": absolute("101.3 kPa").Value(),
		"30 s":               duration("30 s").Value(),
		"59.99 s":            duration("59.99 s").Value(),
		"1 min":              duration("60 s").Value(),
		"3 min 30 s":         duration("210 s").Value(),
		"3 min 30.5 s":       duration("210.50 s").Value(),
		"18 min":             duration("18 min").Value(),
		"-90 s":              duration("-90 s").Value(),
		"5 µS/cm":            conductivity("5 uS/cm").Value(),
		"3.5 %":              units.MustParse[units.RatioUnit]("3.5 %").Value(),
		"0.95":               units.MustParse[units.RatioUnit]("0.95 1").Value(),
		"pH 7.2":             units.MustParse[units.PHUnit]("7.2 [pH]").Value(),
		"0.25 EU/mL":         units.MustParse[units.EndotoxinUnit]("0.25 {EU}/mL").Value(),
		"100 CFU/100 mL":     units.MustParse[units.ColonyCountUnit]("100 [CFU]/dL").Value(),
		"8 °dH":              hardness("8 10.mg/L{CaO}").Value(),
		"2 mg/L as CaCO3":    hardness("2 mg/L{CaCO3}").Value(),
		"5 °F difference":    units.MustParse[units.TemperatureDifferenceUnit]("5 5.K/9").Value(),
		"1.5 N per 15 mm":    units.MustParse[units.ForcePerWidthUnit]("1.5 N/(15.mm)").Value(),
	} {
		assert.Equal(t, want, v.String())
	}
}

func TestReciprocal(t *testing.T) {
	// 18.2 MΩ·cm is 0.0549450549… µS/cm.
	c, err := units.ConductivityOf(resistivity("18.2 MOhm.cm"), units.MicrosiemensPerCentimetre, 10, units.TiesToEven)
	require.NoError(t, err)
	assert.Equal(t, "0.0549450549 uS/cm", c.Value().Text())
	// At least 3 MΩ·cm is at most 0.333… µS/cm: down.
	c, err = units.ConductivityOf(resistivity("3 MOhm.cm"), units.MicrosiemensPerCentimetre, 2, units.Down)
	require.NoError(t, err)
	assert.Equal(t, "0.33 uS/cm", c.Value().Text())
	for _, bad := range []string{"0 MOhm.cm", "-1 MOhm.cm"} {
		_, err = units.ConductivityOf(resistivity(bad), units.MicrosiemensPerCentimetre, 2, units.TiesToEven)
		assert.Error(t, err)
	}
	_, err = units.ConductivityOf(units.Resistivity{}, units.MicrosiemensPerCentimetre, 2, units.TiesToEven)
	assert.Error(t, err)
	_, err = units.ConductivityOf(resistivity("3 MOhm.cm"), units.ConductivityUnit(0), 2, units.TiesToEven)
	assert.Error(t, err)
	_, err = units.ConductivityOf(resistivity("1e-18 MOhm.cm"), units.MicrosiemensPerCentimetre, 18, units.TiesToEven)
	assert.Error(t, err)
}
