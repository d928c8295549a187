package units_test

import (
	"encoding"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/units"
)

// checkUnits holds each constant of a unit type to its code and to the text methods,
// and the list to be complete.
func checkUnits[U interface {
	units.Unit
	String() string
	MarshalText() ([]byte, error)
}, P interface {
	*U
	encoding.TextUnmarshaler
}](t *testing.T, d units.Dimension, want map[U]string) {
	t.Helper()
	assert.Len(t, d.Codes(), len(want), "units of %s", d)
	for u, code := range want {
		assert.Equal(t, code, u.String())
		text, err := u.MarshalText()
		require.NoError(t, err)
		assert.Equal(t, code, string(text))
		var back U
		require.NoError(t, P(&back).UnmarshalText(text))
		assert.Equal(t, u, back)
		assert.Error(t, P(&back).UnmarshalText([]byte("no unit")))
		q := units.New(1, 0, u)
		assert.Equal(t, d, q.Value().Dimension())
		assert.Equal(t, code, q.Value().Code())
		assert.Equal(t, u, q.Unit())
		same, ok := units.Of[U](q.Value())
		assert.True(t, ok)
		assert.Equal(t, q, same)
	}
}

// The name of a constant is what a reader trusts.
func TestConstants(t *testing.T) {
	checkUnits(t, units.DimMass, map[units.MassUnit]string{
		units.Kilogram: "kg", units.Gram: "g", units.Milligram: "mg", units.Pound: "[lb_av]", units.Ounce: "[oz_av]",
		units.Grain: "[gr]", units.Stone: "[stone_av]", units.TroyOunce: "[oz_tr]",
	})
	checkUnits(t, units.DimLength, map[units.LengthUnit]string{
		units.Metre: "m", units.Centimetre: "cm", units.Millimetre: "mm", units.Micrometre: "um",
		units.Inch: "[in_i]", units.Foot: "[ft_i]", units.Yard: "[yd_i]", units.Mil: "[mil_i]",
	})
	checkUnits(t, units.DimTemperature, map[units.TemperatureUnit]string{units.Kelvin: "K", units.Celsius: "Cel", units.Fahrenheit: "[degF]"})
	checkUnits(t, units.DimTemperatureDifference, map[units.TemperatureDifferenceUnit]string{units.KelvinDifference: "K", units.FahrenheitDifference: "5.K/9"})
	checkUnits(t, units.DimAbsolutePressure, map[units.AbsolutePressureUnit]string{
		units.Pascal: "Pa", units.Hectopascal: "hPa", units.Kilopascal: "kPa", units.Megapascal: "MPa", units.Millibar: "mbar", units.Bar: "bar",
		units.PoundPerSquareInch: "[psi]", units.Atmosphere: "atm", units.TechnicalAtmosphere: "att",
		units.MillimetreOfMercury: "mm[Hg]", units.InchOfMercury: "[in_i'Hg]", units.InchOfWater: "[in_i'H2O]",
	})
	checkUnits(t, units.DimGaugePressure, map[units.GaugePressureUnit]string{
		units.PascalGauge: "Pa", units.HectopascalGauge: "hPa", units.KilopascalGauge: "kPa", units.MegapascalGauge: "MPa", units.MillibarGauge: "mbar", units.BarGauge: "bar",
		units.PoundPerSquareInchGauge: "[psi]", units.TechnicalAtmosphereGauge: "att",
		units.MillimetreOfMercuryGauge: "mm[Hg]", units.InchOfMercuryGauge: "[in_i'Hg]", units.InchOfWaterGauge: "[in_i'H2O]",
	})
	checkUnits(t, units.DimPressureRate, map[units.PressureRateUnit]string{
		units.PascalPerSecond: "Pa/s", units.KilopascalPerMinute: "kPa/min", units.MillibarPerMinute: "mbar/min", units.HectopascalPerMinute: "hPa/min",
		units.PoundPerSquareInchPerMinute: "[psi]/min", units.MillimetreOfMercuryPerMinute: "mm[Hg]/min", units.InchOfMercuryPerMinute: "[in_i'Hg]/min",
	})
	checkUnits(t, units.DimDuration, map[units.DurationUnit]string{units.Second: "s", units.Minute: "min", units.Hour: "h", units.Day: "d", units.Millisecond: "ms"})
	checkUnits(t, units.DimConductivity, map[units.ConductivityUnit]string{
		units.SiemensPerMetre: "S/m", units.MillisiemensPerMetre: "mS/m", units.MicrosiemensPerCentimetre: "uS/cm", units.MillisiemensPerCentimetre: "mS/cm",
	})
	checkUnits(t, units.DimRatio, map[units.RatioUnit]string{units.One: "1", units.Percent: "%", units.PartPerMillion: "[ppm]", units.MilligramPerKilogram: "mg/kg"})
	checkUnits(t, units.DimArea, map[units.AreaUnit]string{
		units.SquareMetre: "m2", units.SquareCentimetre: "cm2", units.SquareMillimetre: "mm2", units.SquareInch: "[in_i]2", units.SquareFoot: "[ft_i]2",
	})
	checkUnits(t, units.DimVolume, map[units.VolumeUnit]string{
		units.Litre: "L", units.CubicMetre: "m3", units.Millilitre: "mL", units.CubicCentimetre: "cm3", units.CubicInch: "[in_i]3", units.CubicFoot: "[ft_i]3",
		units.USGallon: "[gal_us]", units.USQuart: "[qt_us]", units.USFluidOunce: "[foz_us]", units.ImperialGallon: "[gal_br]", units.ImperialFluidOunce: "[foz_br]",
	})
	checkUnits(t, units.DimDensity, map[units.DensityUnit]string{
		units.KilogramPerCubicMetre: "kg/m3", units.GramPerCubicCentimetre: "g/cm3", units.KilogramPerLitre: "kg/L", units.PoundPerCubicFoot: "[lb_av]/[ft_i]3",
	})
	checkUnits(t, units.DimForcePerWidth, map[units.ForcePerWidthUnit]string{
		units.NewtonPerMetre: "N/m", units.NewtonPerMillimetre: "N/mm", units.NewtonPer15Millimetres: "N/(15.mm)", units.NewtonPer25Millimetres: "N/(25.mm)",
		units.PoundForcePerInch: "[lbf_av]/[in_i]",
	})
	checkUnits(t, units.DimResistivity, map[units.ResistivityUnit]string{units.OhmMetre: "Ohm.m", units.MegohmCentimetre: "MOhm.cm", units.KilohmCentimetre: "kOhm.cm"})
	checkUnits(t, units.DimMassConcentration, map[units.MassConcentrationUnit]string{
		units.MilligramPerLitre: "mg/L", units.MicrogramPerLitre: "ug/L", units.GramPerLitre: "g/L", units.GrainPerUSGallon: "[gr]/[gal_us]",
	})
	checkUnits(t, units.DimHardness, map[units.HardnessUnit]string{
		units.HardnessMillimolePerLitre: "mmol/L", units.HardnessMilligramPerLitre: "mg/L{CaCO3}", units.HardnessGrainPerUSGallon: "[gr]/[gal_us]{CaCO3}",
		units.GermanDegree: "10.mg/L{CaO}", units.FrenchDegree: "10.mg/L{CaCO3}", units.EnglishDegree: "[gr]/[gal_br]{CaCO3}",
	})
	checkUnits(t, units.DimColonyCount, map[units.ColonyCountUnit]string{units.ColonyPerMillilitre: "[CFU]/mL", units.ColonyPerDecilitre: "[CFU]/dL", units.ColonyPerLitre: "[CFU]/L"})
	checkUnits(t, units.DimEndotoxin, map[units.EndotoxinUnit]string{
		units.EndotoxinPerMillilitre: "{EU}/mL", units.EndotoxinPerLitre: "{EU}/L", units.InternationalUnitPerMillilitre: "[IU]/mL",
	})
	checkUnits(t, units.DimPH, map[units.PHUnit]string{units.PHScale: "[pH]"})
	checkUnits(t, units.DimTurbidity, map[units.TurbidityUnit]string{units.Nephelometric: "[NTU]"})
	checkUnits(t, units.DimFormazinTurbidity, map[units.FormazinTurbidityUnit]string{units.FormazinNephelometric: "[FNU]"})
}
