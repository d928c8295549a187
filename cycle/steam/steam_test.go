package steam

import (
	"math"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// IAPWS R7-97 (IF97), table 35: saturation pressures computed from equation 30.
func TestIF97Table35(t *testing.T) {
	for _, c := range []struct{ kelvin, mpa float64 }{
		{300, 0.353658941e-2},
		{500, 0.263889776e1},
		{600, 0.123443146e2},
	} {
		assert.InEpsilon(t, c.mpa, saturationKPa(c.kelvin)/1000, 2e-9, "%g K", c.kelvin)
		assert.InEpsilon(t, c.mpa, SaturationPressureKPa(c.kelvin-273.15)/1000, 2e-9, "%g K", c.kelvin)
	}
}

// IAPWS R7-97 (IF97), table 36: saturation temperatures computed from equation 31.
func TestIF97Table36(t *testing.T) {
	for _, c := range []struct{ mpa, kelvin float64 }{
		{0.1, 0.372755919e3},
		{1, 0.453035632e3},
		{10, 0.584149488e3},
	} {
		assert.InDelta(t, c.kelvin, SaturationTemperatureCelsius(c.mpa*1000)+273.15, 6e-7, "%g MPa", c.mpa)
	}
}

// wagnerPruss is the second route: W. Wagner and A. Pruss, J. Phys. Chem. Ref. Data
// 22(3), 1993, equation 1, in pascals and kelvins.
func wagnerPruss(kelvin float64) float64 {
	const tc, pc = 647.096, 22.064e6
	tau := 1 - kelvin/tc
	sum := -7.85951783*tau + 1.84408259*math.Pow(tau, 1.5) - 11.7866497*math.Pow(tau, 3) +
		22.6807411*math.Pow(tau, 3.5) - 15.9618719*math.Pow(tau, 4) + 1.80122502*math.Pow(tau, 7.5)
	return pc * math.Exp(tc/kelvin*sum)
}

func TestAgreesWithWagnerPruss(t *testing.T) {
	// The verification values of the paper's table 1, so that the second route is
	// itself known to be right.
	assert.InEpsilon(t, 611.657, wagnerPruss(273.16), 1e-6)
	assert.InEpsilon(t, 101325, wagnerPruss(373.1243), 1e-6)
	assert.InEpsilon(t, 22.064e6, wagnerPruss(647.096), 1e-6)
	// The two formulations differ by 0.007 % at 134 °C; between 20 °C and 150 °C
	// they stay within 0.02 %.
	for c := 20.0; c <= 150; c += 0.5 {
		assert.InEpsilon(t, wagnerPruss(c+273.15), SaturationPressureKPa(c)*1000, 2e-4, "%g °C", c)
	}
}

// The equations of region 4 solve one implicit equation both ways, so a value must
// come back: here within a millikelvin over the whole line, and within a
// microkelvin where sterilizers work.
func TestRoundTrip(t *testing.T) {
	for c := 0.0; c <= 373.9; c += 0.1 {
		assert.InDelta(t, c, SaturationTemperatureCelsius(SaturationPressureKPa(c)), 1e-3, "%g °C", c)
	}
	for c := 60.0; c <= 150; c += 0.1 {
		assert.InDelta(t, c, SaturationTemperatureCelsius(SaturationPressureKPa(c)), 1e-6, "%g °C", c)
	}
}

func TestRange(t *testing.T) {
	for _, c := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -0.001, 373.95, -273.15} {
		assert.True(t, math.IsNaN(SaturationPressureKPa(c)), "%g °C", c)
	}
	for _, p := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1, 0.6112126, 22064.001} {
		assert.True(t, math.IsNaN(SaturationTemperatureCelsius(p)), "%g kPa", p)
	}
	assert.False(t, math.IsNaN(SaturationPressureKPa(0)))
	assert.False(t, math.IsNaN(SaturationTemperatureCelsius(0.6112127)))
	assert.InDelta(t, 373.946, SaturationTemperatureCelsius(22064), 1e-6)
	assert.InEpsilon(t, 22064, SaturationPressureKPa(373.946), 1e-9)
}

func TestTyped(t *testing.T) {
	temp := units.MustParse[units.TemperatureUnit]
	abs := units.MustParse[units.AbsolutePressureUnit]

	// Handbook steam tables: 121 °C is 205 kPa and 134 °C is 304 kPa absolute. The
	// further digits are IF97 by an independent evaluation.
	for _, c := range []struct {
		t   string
		kPa float64
	}{{"121 Cel", 205.039}, {"126 Cel", 239.460}, {"132 Cel", 286.823}, {"134 Cel", 304.199}, {"407.15 K", 304.199}} {
		p, err := SaturationPressure(temp(c.t))
		require.NoError(t, err)
		assert.Equal(t, units.Kilopascal, p.Unit())
		assert.InDelta(t, c.kPa, p.Float64(units.Kilopascal), 6e-4, c.t)
		back, err := SaturationTemperature(p)
		require.NoError(t, err)
		assert.InDelta(t, temp(c.t).Float64(units.Celsius), back.Float64(units.Celsius), 1e-4, c.t)
	}
	// 250 °F is 121.111 °C.
	f, err := SaturationPressure(temp("250 [degF]"))
	require.NoError(t, err)
	assert.InDelta(t, wagnerPruss(273.15+1090.0/9)/1000, f.Float64(units.Kilopascal), 0.02)

	// Rounded to the stated quantum, not finer.
	p, err := SaturationPressure(temp("121 Cel"))
	require.NoError(t, err)
	q := p.Convert(units.Kilopascal, 4, units.TiesToEven)
	assert.Equal(t, 0, p.Compare(q))

	for _, bad := range []units.Temperature{{}, temp("-1 Cel"), temp("374 Cel")} {
		_, err := SaturationPressure(bad)
		assert.Error(t, err)
		if bad.IsValid() {
			assert.ErrorIs(t, err, moistheat.ErrRange)
		}
	}
	for _, bad := range []units.AbsolutePressure{{}, abs("0 kPa"), abs("611 Pa"), abs("23 MPa")} {
		_, err := SaturationTemperature(bad)
		assert.Error(t, err)
		if bad.IsValid() {
			assert.ErrorIs(t, err, moistheat.ErrRange)
		}
	}
}

// The gauge pressures that sterilizing tables print beside their temperatures, at
// sea level: 103, 138, 186 and 203 kPa (AS/NZS 4815:2006, recalled), and 15, 20 and
// 27 psi (usual rounding in the United States).
func TestPrintedGaugePressures(t *testing.T) {
	const atmosphere, psi = 101.325, 6.894757293168
	for _, c := range []struct{ celsius, kPa, psi float64 }{
		{121, 103, 15}, {126, 138, 20}, {132, 186, 27}, {134, 203, 0},
	} {
		gauge := SaturationPressureKPa(c.celsius) - atmosphere
		assert.InDelta(t, c.kPa, gauge, 0.75, "%g °C", c.celsius)
		if c.psi > 0 {
			assert.InDelta(t, c.psi, gauge/psi, 0.11, "%g °C", c.celsius)
		}
	}
}

func TestStandardAtmosphere(t *testing.T) {
	length := units.MustParse[units.LengthUnit]
	at := func(s string) float64 {
		p, err := StandardAtmosphere(length(s))
		require.NoError(t, err, s)
		return p.Float64(units.Hectopascal)
	}
	// An altitude-pressure table computed after US Standard Atmosphere 1976.
	for _, c := range []struct {
		altitude string
		hPa      float64
	}{
		{"-5000 [ft_i]", 1210.23}, {"-4000 [ft_i]", 1168.55}, {"-1000 [ft_i]", 1050.41}, {"-500 [ft_i]", 1031.69},
		{"0 m", 1013.25}, {"0 [ft_i]", 1013.25},
	} {
		assert.InDelta(t, c.hPa, at(c.altitude), 0.01, c.altitude)
	}
	// Engineering tables of the standard atmosphere, in psi absolute: 12.228 at
	// 5,000 ft and 10.108 at 10,000 ft; 14.175, 13.664, 13.173, 11.778 and 10.914 at
	// 1,000, 2,000, 3,000, 6,000 and 8,000 ft, good to 0.003.
	for altitude, psi := range map[string]float64{
		"1000 [ft_i]": 14.175, "2000 [ft_i]": 13.664, "3000 [ft_i]": 13.173, "5000 [ft_i]": 12.228,
		"6000 [ft_i]": 11.778, "8000 [ft_i]": 10.914, "10000 [ft_i]": 10.108,
	} {
		assert.InDelta(t, psi, at(altitude)/68.94757293168, 0.003, altitude)
	}
	// US Standard Atmosphere 1976, printed by geometric altitude: 898.76, 795.01 and
	// 701.21 hPa at 1, 2 and 3 km. Its effective earth radius is 6,356,766 m.
	for km, hPa := range map[float64]float64{1: 898.76, 2: 795.01, 3: 701.21} {
		z := km * 1000
		h := units.FromFloat64(6356766*z/(6356766+z), 3, units.Metre)
		p, err := StandardAtmosphere(h)
		require.NoError(t, err)
		assert.InDelta(t, hPa, p.Float64(units.Hectopascal), 0.006, "%g km", km)
	}

	for _, ok := range []string{"-5000 m", "11000 m", "11 m"} {
		_, err := StandardAtmosphere(length(ok))
		assert.NoError(t, err, ok)
	}
	for _, bad := range []string{"-5000.1 m", "11000.1 m", "36100 [ft_i]"} {
		_, err := StandardAtmosphere(length(bad))
		assert.ErrorIs(t, err, moistheat.ErrRange, bad)
	}
	_, err := StandardAtmosphere(units.Length{})
	assert.Error(t, err)
}

// What the altitude does to a gauge reading: 134 °C needs 202.87 kPa gauge at sea
// level and 227.14 kPa at 2,250 m; 15 psi gauge at 5,000 ft is only 118.22 °C. Both
// from IF97 and the 1976 atmosphere by an independent evaluation.
func TestAltitudeAndGauge(t *testing.T) {
	for altitude, want := range map[string]float64{"0 m": 202.87, "2250 m": 227.14} {
		p, err := StandardAtmosphere(units.MustParse[units.LengthUnit](altitude))
		require.NoError(t, err)
		assert.InDelta(t, want, SaturationPressureKPa(134)-p.Float64(units.Kilopascal), 0.006, altitude)
	}
	atmosphere, err := StandardAtmosphere(units.MustParse[units.LengthUnit]("5000 [ft_i]"))
	require.NoError(t, err)
	chamber, err := units.Absolute(units.MustParse[units.GaugePressureUnit]("15 [psi]"), atmosphere)
	require.NoError(t, err)
	got, err := SaturationTemperature(chamber)
	require.NoError(t, err)
	assert.InDelta(t, 118.22, got.Float64(units.Celsius), 0.006)
}

// Residual air shows as a temperature below the steam's at that pressure: 320 kPa
// with 134.0 °C is 1.74 K apart, 304.2 kPa with 132.0 °C is 2.00 K.
func TestResidualAir(t *testing.T) {
	assert.InDelta(t, 1.74, SaturationTemperatureCelsius(320)-134, 0.006)
	assert.InDelta(t, 2.00, SaturationTemperatureCelsius(304.2)-132, 0.006)
	assert.InDelta(t, 15.8, 320-SaturationPressureKPa(134), 0.06)
	assert.InDelta(t, 17.4, 304.2-SaturationPressureKPa(132), 0.06)
}

var sink float64

func powForm(kPa float64) float64 {
	if !(kPa >= minKPa && kPa <= maxKPa) {
		return math.NaN()
	}
	beta := math.Pow(kPa/1000, 0.25)
	e := math.Pow(beta, 2) + n3*beta + n6
	f := n1*math.Pow(beta, 2) + n4*beta + n7
	g := n2*math.Pow(beta, 2) + n5*beta + n8
	d := 2 * g / (-f - math.Pow(math.Pow(f, 2)-4*e*g, 0.5))
	return (n10+d-math.Pow(math.Pow(n10+d, 2)-4*(n9+n10*d), 0.5))/2 - 273.15
}

func TestPowFormAgrees(t *testing.T) {
	for p := 5.0; p < 400; p++ {
		assert.InDelta(t, powForm(p), SaturationTemperatureCelsius(p), 1e-9)
	}
}

// The formula as the release writes it, every power by math.Pow, beside ours.
func BenchmarkSaturationTemperature(b *testing.B) {
	b.Run("sqrt", func(b *testing.B) {
		p := 200.0
		for b.Loop() {
			sink = SaturationTemperatureCelsius(p)
			if p += 0.25; p > 330 {
				p = 200
			}
		}
	})
	b.Run("pow", func(b *testing.B) {
		p := 200.0
		for b.Loop() {
			sink = powForm(p)
			if p += 0.25; p > 330 {
				p = 200
			}
		}
	})
	b.Run("one pow", func(b *testing.B) { // only the fourth root by math.Pow
		p := 200.0
		for b.Loop() {
			beta := math.Pow(p/1000, 0.25)
			e := beta*beta + n3*beta + n6
			f := n1*beta*beta + n4*beta + n7
			g := n2*beta*beta + n5*beta + n8
			d := 2 * g / (-f - math.Sqrt(f*f-4*e*g))
			s := n10 + d
			sink = (s-math.Sqrt(s*s-4*(n9+n10*d)))/2 - 273.15
			if p += 0.25; p > 330 {
				p = 200
			}
		}
	})
}

func BenchmarkSaturationPressure(b *testing.B) {
	c := 100.0
	for b.Loop() {
		sink = SaturationPressureKPa(c)
		if c += 0.25; c > 140 {
			c = 100
		}
	}
}
