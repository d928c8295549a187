package steam

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/units"
)

var (
	kPa     = units.MustParse[units.AbsolutePressureUnit]
	degrees = units.MustParse[units.TemperatureUnit]
	metres  = units.MustParse[units.LengthUnit]
)

// From IF97 by hand: 320 kPa with 134.0 °C is saturated at 135.74 °C, 1.74 K above,
// and 15.8 kPa or 4.9 % of it is not steam; 304.2 kPa with 132.0 °C has 17.4 kPa.
func TestStateOf(t *testing.T) {
	s, err := StateOf(kPa("320 kPa"), degrees("134.0 Cel"))
	require.NoError(t, err)
	assert.InDelta(t, 135.74, s.Saturation.Float64(units.Celsius), 0.006)
	assert.InDelta(t, -1.74, s.Superheat.Float64(units.KelvinDifference), 0.006)
	assert.InDelta(t, 15.8, s.Air.Float64(units.Kilopascal), 0.05)
	assert.InDelta(t, 4.9, s.AirShare.Float64(units.Percent), 0.05)
	s, err = StateOf(kPa("304.2 kPa"), degrees("132.0 Cel"))
	require.NoError(t, err)
	assert.InDelta(t, 17.4, s.Air.Float64(units.Kilopascal), 0.05)
	assert.InDelta(t, -2.00, s.Superheat.Float64(units.KelvinDifference), 0.006)
	// Superheated steam has no air to show.
	s, err = StateOf(kPa("304.2 kPa"), degrees("140 Cel"))
	require.NoError(t, err)
	assert.InDelta(t, 6.00, s.Superheat.Float64(units.KelvinDifference), 0.006)
	assert.Zero(t, s.Air.Float64(units.Kilopascal))
	assert.Zero(t, s.AirShare.Float64(units.Percent))

	for _, bad := range []struct {
		p units.AbsolutePressure
		t units.Temperature
	}{{units.AbsolutePressure{}, degrees("134 Cel")}, {kPa("300 kPa"), units.Temperature{}}, {kPa("0 kPa"), degrees("134 Cel")}, {kPa("300 kPa"), degrees("400 Cel")}} {
		_, err := StateOf(bad.p, bad.t)
		assert.Error(t, err)
	}
}

// What a gauge must read, in kPa, by altitude in geopotential metres: IF97 and the
// US Standard Atmosphere 1976 by an independent evaluation.
func TestGaugeFor(t *testing.T) {
	for _, c := range []struct {
		metres              string
		at121, at132, at134 float64
	}{
		{"0 m", 103.71, 185.50, 202.87}, {"500 m", 109.58, 191.36, 208.74}, {"1000 m", 115.16, 196.95, 214.32},
		{"1500 m", 120.48, 202.27, 219.64}, {"2000 m", 125.54, 207.33, 224.70}, {"2250 m", 127.98, 209.76, 227.14},
		{"2500 m", 130.36, 212.14, 229.52}, {"3000 m", 134.93, 216.71, 234.09}, {"3500 m", 139.27, 221.06, 238.43}, {"4000 m", 143.40, 225.18, 242.56},
	} {
		outside, err := StandardAtmosphere(metres(c.metres))
		require.NoError(t, err)
		for at, want := range map[string]float64{"121 Cel": c.at121, "132 Cel": c.at132, "134 Cel": c.at134} {
			got, err := GaugeFor(degrees(at), outside)
			require.NoError(t, err)
			assert.InDelta(t, want, got.Float64(units.KilopascalGauge), 0.0051, "%s at %s", at, c.metres)
		}
	}
	_, err := GaugeFor(degrees("134 Cel"), units.AbsolutePressure{})
	assert.Error(t, err)
	_, err = GaugeFor(units.Temperature{}, kPa("100 kPa"))
	assert.Error(t, err)
}
