// Package steam computes what a steam sterilizer's chamber must show: the pressure
// and the temperature of saturated steam, and the pressure of the air outside.
//
// Saturation follows IAPWS-IF97, region 4 (the backward and the basic equation,
// which agree exactly). It holds from 273.15 K to 647.096 K. The atmosphere
// follows the troposphere of the US Standard Atmosphere 1976.
//
// The functions on quantities round their result once, to a tenth of a pascal or
// a tenth of a millikelvin, so that all platforms agree. The functions on float64
// are the workhorses for long records; their names carry their units.
package steam

import (
	"errors"
	"fmt"
	"math"

	"example.com/moistheat"
	"example.com/moistheat/units"
)

// The coefficients of IAPWS-IF97 equations 29 to 31 (IAPWS R7-97, table 34).
const (
	n1  = 0.11670521452767e4
	n2  = -0.72421316703206e6
	n3  = -0.17073846940092e2
	n4  = 0.12020824702470e5
	n5  = -0.32325550322333e7
	n6  = 0.14915108613530e2
	n7  = -0.48232657361591e4
	n8  = 0.40511340542057e6
	n9  = -0.23855557567849
	n10 = 0.65017534844798e3
)

// The ends of the saturation line.
const (
	minKelvin = 273.15
	maxKelvin = 647.096
	minKPa    = 0.611212677
	maxKPa    = 22064.0
)

// places is the number of decimal places to which typed results are rounded, in
// kilopascals and in degrees Celsius.
const places = 4

// SaturationPressure returns the absolute pressure of saturated steam at a
// temperature, in kilopascals rounded to 0.1 Pa. The error is [moistheat.ErrRange] outside
// 273.15 K to 647.096 K.
func SaturationPressure(t units.Temperature) (units.AbsolutePressure, error) {
	if !t.IsValid() {
		return units.AbsolutePressure{}, errors.New("steam: no temperature given")
	}
	p := saturationKPa(t.Float64(units.Kelvin))
	if math.IsNaN(p) {
		return units.AbsolutePressure{}, fmt.Errorf("steam: %w: %s is not within 0 °C and 373.946 °C",
			moistheat.ErrRange, t)
	}
	return units.FromFloat64(p, places, units.Kilopascal), nil
}

// SaturationTemperature returns the temperature of saturated steam at an absolute
// pressure, in degrees Celsius rounded to 0.1 mK. The error is [moistheat.ErrRange] outside
// 611.212677 Pa to 22.064 MPa.
func SaturationTemperature(p units.AbsolutePressure) (units.Temperature, error) {
	if !p.IsValid() {
		return units.Temperature{}, errors.New("steam: no pressure given")
	}
	t := SaturationTemperatureCelsius(p.Float64(units.Kilopascal))
	if math.IsNaN(t) {
		return units.Temperature{}, fmt.Errorf("steam: %w: %s is not within 611.212677 Pa and 22.064 MPa",
			moistheat.ErrRange, p)
	}
	return units.FromFloat64(t, places, units.Celsius), nil
}

// SaturationPressureKPa returns the absolute pressure of saturated steam, in
// kilopascals, at a temperature in degrees Celsius. It returns NaN outside the
// range of [SaturationPressure].
func SaturationPressureKPa(celsius float64) float64 { return saturationKPa(celsius + 273.15) }

func saturationKPa(t float64) float64 {
	if !(t >= minKelvin && t <= maxKelvin) {
		return math.NaN()
	}
	theta := t + n9/(t-n10)
	a := (theta+n1)*theta + n2
	b := (n3*theta+n4)*theta + n5
	c := (n6*theta+n7)*theta + n8
	beta := 2 * c / (math.Sqrt(b*b-4*a*c) - b)
	beta *= beta
	return beta * beta * 1000 // MPa
}

// SaturationTemperatureCelsius returns the temperature of saturated steam, in
// degrees Celsius, at an absolute pressure in kilopascals. It returns NaN outside
// the range of [SaturationTemperature].
func SaturationTemperatureCelsius(kPa float64) float64 {
	if !(kPa >= minKPa && kPa <= maxKPa) {
		return math.NaN()
	}
	beta2 := math.Sqrt(kPa / 1000)
	beta := math.Sqrt(beta2)
	e := beta2 + n3*beta + n6
	f := n1*beta2 + n4*beta + n7
	g := n2*beta2 + n5*beta + n8
	d := 2 * g / (-f - math.Sqrt(f*f-4*e*g))
	s := n10 + d
	return (s-math.Sqrt(s*s-4*(n9+n10*d)))/2 - 273.15
}

// The US Standard Atmosphere 1976 from 5,000 m below to 11,000 m above sea level:
// sea-level pressure and temperature, lapse rate, and g0·M/(R·lapse rate).
const (
	seaLevelKPa    = 101.325
	seaLevelKelvin = 288.15
	lapsePerMetre  = 0.0065
	exponent       = 5.255876
	minMetres      = -5000
	maxMetres      = 11000
)

// The pressure of the air at any site, in kPa: the standard atmosphere in the highest towns,
// at about 5,000 m (derived), and a high at sea level (recalled).
const LowestAtmosphere, HighestAtmosphere = 53.0, 108.5

// StandardAtmosphere returns the pressure of the standard atmosphere at an
// altitude, in kilopascals rounded to 0.1 Pa. The altitude is in geopotential
// metres, which differ from metres on a map by less than a thousandth where
// people live. The error is [moistheat.ErrRange] outside −5,000 m to 11,000 m.
//
// Weather moves the true pressure by some 3 kPa either way, which at a given gauge
// reading is about half a kelvin of steam; a barometer is better.
func StandardAtmosphere(altitude units.Length) (units.AbsolutePressure, error) {
	if !altitude.IsValid() {
		return units.AbsolutePressure{}, errors.New("steam: no altitude given")
	}
	h := altitude.Float64(units.Metre)
	if !(h >= minMetres && h <= maxMetres) {
		return units.AbsolutePressure{}, fmt.Errorf("steam: %w: an altitude of %s is not within -5000 m and 11000 m",
			moistheat.ErrRange, altitude)
	}
	p := seaLevelKPa * math.Pow(1-lapsePerMetre*h/seaLevelKelvin, exponent)
	return units.FromFloat64(p, places, units.Kilopascal), nil
}
