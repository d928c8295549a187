package indicator_test

import (
	"fmt"

	"example.com/moistheat/cycle"
	"example.com/moistheat/cycle/indicator"
	"example.com/moistheat/units"
)

// An emulating indicator for 134 °C and 3.5 min, in cycles of 3 and of 18 min. At its
// end point at least 94 % of 3.5 min went by, which is 197.4 s.
func ExampleRating_For() {
	temperature, minutes := units.MustParse[units.TemperatureUnit], units.MustParse[units.DurationUnit]
	r := indicator.Rating{
		Type:   indicator.Emulating,
		Stated: []indicator.Stated{{Temperature: temperature("134 Cel"), Time: minutes("3.5 min")}},
	}
	for _, hold := range []string{"3 min", "18 min"} {
		m, err := r.For(cycle.Requirement{Temperature: temperature("134 Cel"), Stated: cycle.Stated{Hold: minutes(hold)}})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(hold, "reaches its end point:", m.Reaches, "- needs the whole hold:", m.Shows, "- proves", m.Proven)
	}
	// Output:
	// 3 min reaches its end point: no - needs the whole hold: yes - proves 3 min 17.4 s
	// 18 min reaches its end point: yes - needs the whole hold: no - proves 3 min 17.4 s
}

// An integrating indicator that states less than any may.
func ExampleRating_Low() {
	r := indicator.Rating{Type: indicator.Integrating, Stated: []indicator.Stated{{
		Temperature: units.MustParse[units.TemperatureUnit]("121 Cel"), Time: units.MustParse[units.DurationUnit]("15 min"),
	}}}
	for _, least := range r.Low() {
		fmt.Println("at", least.Temperature, "at least", least.Time, "must be stated:", least.Source.Document)
	}
	// Output: at 121 °C at least 16.5 min must be stated: GOST R ISO 11140-1
}
