package steam_test

import (
	"fmt"

	"example.com/moistheat/cycle/steam"
	"example.com/moistheat/units"
)

func ExampleSaturationPressure() {
	p, err := steam.SaturationPressure(units.MustParse[units.TemperatureUnit]("134 Cel"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.Convert(units.Kilopascal, 1, units.TiesToEven))
	// Output: 304.2 kPa absolute
}

// A gauge that reads 15 psi does not mean 121 °C everywhere.
func ExampleSaturationTemperature() {
	for _, altitude := range []string{"0 [ft_i]", "5000 [ft_i]"} {
		outside, err := steam.StandardAtmosphere(units.MustParse[units.LengthUnit](altitude))
		if err != nil {
			fmt.Println(err)
			return
		}
		chamber, err := units.Absolute(units.MustParse[units.GaugePressureUnit]("15 [psi]"), outside)
		if err != nil {
			fmt.Println(err)
			return
		}
		t, err := steam.SaturationTemperature(chamber)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(altitude, t.Convert(units.Celsius, 2, units.TiesToEven))
	}
	// Output:
	// 0 [ft_i] 120.95 °C
	// 5000 [ft_i] 118.22 °C
}

func ExampleStandardAtmosphere() {
	p, err := steam.StandardAtmosphere(units.MustParse[units.LengthUnit]("2250 m"))
	fmt.Println(p.Convert(units.Kilopascal, 2, units.TiesToEven), err)
	// Output: 77.06 kPa absolute <nil>
}

// A chamber at 320 kPa in which a thermometer shows 134 °C.
func ExampleStateOf() {
	s, err := steam.StateOf(units.MustParse[units.AbsolutePressureUnit]("320 kPa"), units.MustParse[units.TemperatureUnit]("134 Cel"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("saturated steam:", s.Saturation.Convert(units.Celsius, 2, units.TiesToEven))
	fmt.Println("not steam:", s.Air.Convert(units.Kilopascal, 1, units.TiesToEven), "or", s.AirShare.Convert(units.Percent, 1, units.TiesToEven))
	// Output:
	// saturated steam: 135.74 °C
	// not steam: 15.8 kPa absolute or 4.9 %
}
