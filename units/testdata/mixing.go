//go:build ignore

// Every line marked ERROR mixes two dimensions and must not compile; a test compiles
// this file and looks.
package main

import "example.com/moistheat/units"

func main() {
	mass := units.New(5, 0, units.Kilogram)
	length := units.New(5, 0, units.Metre)
	hot := units.New(134, 0, units.Celsius)
	warmer := units.New(3, 0, units.KelvinDifference)
	absolute := units.New(304, 0, units.Kilopascal)
	gauge := units.New(203, 0, units.KilopascalGauge)
	time := units.New(18, 0, units.Minute)
	rate := units.New(13, -1, units.MillibarPerMinute)
	conductivity := units.New(5, 0, units.MicrosiemensPerCentimetre)
	resistivity := units.New(5, 0, units.MegohmCentimetre)
	silica := units.Express(units.New(1, 0, units.MilligramPerLitre), units.AsSiO2)
	hardness := units.New(2, -2, units.HardnessMillimolePerLitre)

	_ = mass.Compare(mass)
	_ = mass.Compare(length)                      // ERROR
	_ = mass.Convert(units.Metre, 2, 0)           // ERROR
	_ = hot.Compare(warmer)                       // ERROR
	_ = hot.Convert(units.KelvinDifference, 2, 0) // ERROR
	_ = absolute.Compare(gauge)                   // ERROR
	_ = gauge.Compare(absolute)                   // ERROR
	_ = rate.Compare(gauge)                       // ERROR
	_ = time.Compare(rate)                        // ERROR
	_ = conductivity.Compare(resistivity)         // ERROR
	_ = silica.Compare(silica.Mass())             // ERROR
	_ = silica.Mass().Compare(silica)             // ERROR
	_ = hardness.Compare(silica.Mass())           // ERROR
	_ = mass == length                            // ERROR
	_ = mass + mass                               // ERROR
	_ = mass < mass                               // ERROR
	_ = mass.Compare(5)                           // ERROR
	_ = units.New(5, 0, 1)                        // ERROR
	_, _ = units.Absolute(absolute, absolute)     // ERROR
	_, _ = units.Sum([]units.Mass{mass, length})  // ERROR
	var limit units.GaugePressure = absolute      // ERROR
	_ = limit
}
