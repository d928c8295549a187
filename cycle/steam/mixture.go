package steam

import (
	"errors"

	"example.com/moistheat/units"
)

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
