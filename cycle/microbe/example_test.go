package microbe_test

import (
	"fmt"

	"example.com/moistheat/cycle/microbe"
	"example.com/moistheat/units"
)

func minutes(n int64) units.Duration { return units.New(n, 0, units.Minute) }

// A lot of spore strips: 1e6 spores, D 1.5 min at 121 °C.
func ExampleSurvivalKill() {
	survival, kill, err := microbe.SurvivalKill(1e6, units.MustParse[units.DurationUnit]("1.5 min"))
	fmt.Println(survival, kill, err)
	// Output: 6.000 min 15.000 min <nil>
}

func ExampleLimitedSpearmanKarber() {
	e, err := microbe.LimitedSpearmanKarber(1e6, []microbe.Exposure{
		{Time: minutes(8), Units: 20, Negative: 0},
		{Time: minutes(10), Units: 20, Negative: 4},
		{Time: minutes(12), Units: 20, Negative: 11},
		{Time: minutes(14), Units: 20, Negative: 18},
		{Time: minutes(16), Units: 20, Negative: 20},
	})
	fmt.Println(e.D, "from", e.Low, "to", e.High, err)
	fmt.Println(e.Lacks)
	// Output:
	// 1.87179 min from 1.77031 min to 1.97327 min <nil>
	// [1 exposures without growth, 2 are asked]
}
