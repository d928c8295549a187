package steam

import (
	"errors"
	"math"

	"example.com/moistheat/units"
)

// SaturationSlopeKPaPerKelvin returns how fast the pressure of saturated steam rises
// with its temperature, in kilopascals a kelvin, at a temperature in degrees
// Celsius: 6.5 at 121 °C, 8.9 at 134 °C. So a reading that is 1 kPa off is 0.15 K or
// 0.11 K off. It returns NaN outside the range of [SaturationPressure].
func SaturationSlopeKPaPerKelvin(celsius float64) float64 {
	t := celsius + 273.15
	p := saturationKPa(t)
	if math.IsNaN(p) {
		return p
	}
	// Both equations of region 4 solve one quadratic in beta and theta; its partial
	// derivatives give the slope.
	theta := t + n9/(t-n10)
	beta := math.Sqrt(math.Sqrt(p / 1000))
	byTheta := 2*theta*(beta*beta+n3*beta+n6) + n1*beta*beta + n4*beta + n7
	byBeta := 2*beta*(theta*theta+n1*theta+n2) + n3*theta*theta + n4*theta + n5
	betaSlope := -byTheta / byBeta * (1 - n9/((t-n10)*(t-n10)))
	return 4 * beta * beta * beta * betaSlope * 1000
}

// State is what a pressure and a temperature measured together say about steam.
type State struct {
	// Saturation is the temperature that saturated steam has at the pressure.
	Saturation units.Temperature `json:"saturation"`
	// Superheat is how far the measured temperature is above it; below zero it is
	// not steam alone.
	Superheat units.TemperatureDifference `json:"superheat"`
	// Air is the partial pressure of what is not steam, if all of the difference is
	// due to it and the steam is saturated: the pressure less that of saturated steam
	// at the temperature. It is zero for superheated steam. AirShare is its part of
	// the pressure.
	Air      units.AbsolutePressure `json:"air"`
	AirShare units.Ratio            `json:"airShare"`
}

// StateOf compares a temperature with the pressure measured beside it. The pressures
// are rounded to 0.1 Pa, the temperatures to 0.1 mK, the share to 0.0001 %. The
// error is [moistheat.ErrRange] outside the saturation line.
func StateOf(p units.AbsolutePressure, t units.Temperature) (State, error) {
	saturation, err := SaturationTemperature(p)
	if err != nil {
		return State{}, err
	}
	steamKPa, err := SaturationPressure(t)
	if err != nil {
		return State{}, err
	}
	kPa := p.Float64(units.Kilopascal)
	above := t.Float64(units.Celsius) - saturation.Float64(units.Celsius)
	air := max(0, kPa-steamKPa.Float64(units.Kilopascal))
	return State{
		Saturation: saturation,
		Superheat:  units.FromFloat64(above, places, units.KelvinDifference),
		Air:        units.FromFloat64(air, places, units.Kilopascal),
		AirShare:   units.FromFloat64(100*air/kPa, places, units.Percent),
	}, nil
}

// GaugeFor returns what a gauge must read for saturated steam of a temperature where
// the air outside has a pressure, in kilopascals rounded to 0.1 Pa: 202.87 kPa for
// 134 °C at sea level, 227.14 kPa at 2,250 m.
func GaugeFor(t units.Temperature, atmosphere units.AbsolutePressure) (units.GaugePressure, error) {
	p, err := SaturationPressure(t)
	if err != nil {
		return units.GaugePressure{}, err
	}
	if !atmosphere.IsValid() {
		return units.GaugePressure{}, errors.New("steam: no atmosphere given")
	}
	above := p.Float64(units.Kilopascal) - atmosphere.Float64(units.Kilopascal)
	return units.FromFloat64(above, places, units.KilopascalGauge), nil
}
