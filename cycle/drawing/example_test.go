package drawing_test

import (
	"bytes"
	"fmt"

	"example.com/moistheat/cycle"
	"example.com/moistheat/cycle/drawing"
	"example.com/moistheat/units"
)

func ExampleSVG() {
	t := &cycle.Trace{
		Time: cycle.TimeBase{Unit: units.Minute, Values: []float64{0, 5, 9, 11}},
		Temperatures: []cycle.TemperatureChannel{
			{ID: "T1", Place: cycle.Drain, Unit: units.Celsius, Values: []float64{25, 134.5, 134.6, 100}},
		},
	}
	table, err := cycle.TableFor("mrc")
	if err != nil {
		fmt.Println(err)
		return
	}
	need, _ := table.Find("", "", units.MustParse[units.TemperatureUnit]("134 Cel"))
	a := cycle.Analyze(t, need)
	var picture bytes.Buffer
	err = drawing.SVG(&picture, t, &a)
	fmt.Printf("%.4s… %v\n", picture.String(), err)
	// Output: <svg… <nil>
}
