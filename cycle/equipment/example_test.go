package equipment_test

import (
	"fmt"

	"example.com/moistheat/cycle/equipment"
	"example.com/moistheat/units"
)

// The chamber cooled while it was tested, and a leak of 1.4 mbar/min looked like 1.2.
func ExampleCheckLeak() {
	pressure := units.MustParse[units.AbsolutePressureUnit]
	t := &equipment.LeakTest{
		Evacuated:  pressure("65 mbar"),
		Stabilised: units.MustParse[units.DurationUnit]("5 min"),
		Start:      pressure("70 mbar"), End: pressure("82 mbar"),
		Lasted:           units.MustParse[units.DurationUnit]("10 min"),
		StartTemperature: units.MustParse[units.TemperatureUnit]("48 Cel"),
		EndTemperature:   units.MustParse[units.TemperatureUnit]("40 Cel"),
	}
	fmt.Println("as read:  ", t.Rate())
	fmt.Println("corrected:", t.Corrected())
	for _, f := range equipment.CheckLeak(t, equipment.DefaultFigures()) {
		fmt.Println(f.Rule, f.Outcome)
	}
	// Output:
	// as read:   0.1200 kPa/min
	// corrected: 0.1409 kPa/min
	// equipment.leak.rate broken
	// equipment.leak.settled met
	// equipment.leak.time met
	// equipment.leak.vacuum met
}

func ExampleCheckDryness() {
	mass := units.MustParse[units.MassUnit]
	t := &equipment.DrynessTest{Load: equipment.Metal, Before: mass("1000.0 g"), After: mass("1002.1 g")}
	f := equipment.CheckDryness(t, equipment.DefaultFigures())[0]
	fmt.Println(f.Measured, f.Outcome, "limit", f.Limit)
	// Output: 0.2100 % broken limit 0.2 %
}
