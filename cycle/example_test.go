package cycle_test

import (
	"fmt"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/units"
)

var (
	celsius = units.MustParse[units.TemperatureUnit]
	minutes = units.MustParse[units.DurationUnit]
)

func ExampleTable_Lookup() {
	table, err := cycle.TableFor("cdc-2008-table-7")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, air := range []moistheat.AirRemoval{moistheat.GravityDisplacement, moistheat.DynamicAirRemoval} {
		for _, set := range []string{"121 Cel", "134 Cel"} {
			r, ok := table.Lookup(cycle.Settings{AirRemoval: air, Temperature: celsius(set), Hold: minutes("30 min")}, cycle.TextilePacks)
			switch {
			case !ok:
				fmt.Println(air, set, "is not in the table")
			case r.NotApplicable:
				fmt.Println(air, set, "is no cycle for textile packs")
			default:
				fmt.Println(air, set, "needs", r.Hold, "at", r.Temperature, "by", r.Source)
			}
		}
	}
	// Output:
	// gravity-displacement 121 Cel needs 30 min at 121 °C by CDC Guideline for Disinfection and Sterilization in Healthcare Facilities 2008, Table 7 (published)
	// gravity-displacement 134 Cel needs 25 min at 132 °C by CDC Guideline for Disinfection and Sterilization in Healthcare Facilities 2008, Table 7 (published)
	// dynamic-air-removal 121 Cel is no cycle for textile packs
	// dynamic-air-removal 134 Cel needs 4 min at 132 °C by CDC Guideline for Disinfection and Sterilization in Healthcare Facilities 2008, Table 7 (published)
}

// A facility's own instructions are a table like any other.
func ExampleParseTable() {
	table, err := cycle.ParseTable([]byte(`{
		"format": "moistheat.cycle-table/1",
		"id": "our-handpieces",
		"title": "Handpieces, instructions for use",
		"document": "Instructions for use, handpieces",
		"rows": [{
			"id": "134",
			"airRemoval": "dynamic-air-removal",
			"classes": ["wrapped instruments"],
			"temperatures": [{"value": 134, "unit": "Cel"}],
			"hold": {"value": 3, "unit": "s"},
			"source": {"document": "Instructions for use, handpieces", "basis": "facility"}
		}]
	}`))
	fmt.Println(table, err)
	// Output: <nil> moistheat.cycle-table/1: /rows/0/hold: is outside 30 s to 24 h; check its unit
}

// record is a cycle read every second: up from 100 °C in 68 s, level at 134.5 °C
// for 200 s, down again.
func record() *cycle.Trace {
	t := &cycle.Trace{
		Time:         cycle.TimeBase{Unit: units.Second},
		Temperatures: []cycle.TemperatureChannel{{ID: "drain", Place: cycle.Drain, Unit: units.Celsius}},
	}
	for s := range 400 {
		c := min(100+0.5*float64(s), 134.5, 134.5-0.5*float64(s-269))
		t.Time.Values = append(t.Time.Values, float64(s))
		t.Temperatures[0].Values = append(t.Temperatures[0].Values, c)
	}
	return t
}

func ExampleAnalyze() {
	table, err := cycle.TableFor("mrc")
	if err != nil {
		fmt.Println(err)
		return
	}
	req, ok := table.Find(moistheat.DynamicAirRemoval, cycle.WrappedInstruments, celsius("134 Cel"))
	if !ok {
		fmt.Println("not in the table")
		return
	}
	a := cycle.Analyze(record(), req)
	fmt.Println("needed:", req.Hold, "at", req.Temperature)
	fmt.Println("held:  ", a.Hold, "from", a.HoldStart)
	fmt.Println("steam: ", a.Saturation.Detail)
	// Output:
	// needed: 3 min at 134 °C
	// held:   3 min 22 s from 1 min 8 s
	// steam:  no chamber pressure is recorded
}

func ExampleCheck() {
	table, err := cycle.TableFor("cdc-2008-table-7")
	if err != nil {
		fmt.Println(err)
		return
	}
	e := &cycle.Evidence{
		Settings: cycle.Settings{
			AirRemoval: moistheat.DynamicAirRemoval, Temperature: celsius("134 Cel"), Hold: minutes("4 min"), Drying: minutes("20 min"),
		},
		Trace:   record(),
		Aborted: moistheat.No,
	}
	req, _ := table.Lookup(e.Settings, cycle.WrappedInstruments)
	findings, _ := cycle.Check(e, cycle.Limits{Requirement: req})
	rules := cycle.Rules()
	for _, f := range findings {
		for _, r := range rules {
			if r.ID == f.Rule && f.Open() {
				fmt.Printf("%s: %s\n", f.Outcome, r.Message(f))
			}
		}
	}
	// Output:
	// undetermined: Not recorded: pressure.
	// broken: Holding time 3 min 30 s; required 4 min.
	// undetermined: Holding time with the accuracy of the sensors deducted unknown: the accuracy of drain is not recorded.
	// broken: The cycle was set to 4 min and reached 3 min 22 s.
	// undetermined: Unknown: whether the recording shows the pulses of the air removal: no chamber pressure is recorded.
	// undetermined: Unknown: whether the recording is of this cycle: the start of the recording is not recorded.
	// undetermined: Unknown: whether exposure and drying fit into the cycle: the start or the end of the cycle is not recorded.
}

func ExampleLethalMinutes() {
	// Ten readings, a minute apart.
	readings := []float64{112, 116, 119, 121, 122, 121, 121, 121, 118, 114}
	at := []float64{0, 60, 120, 180, 240, 300, 360, 420, 480, 540}
	for _, rule := range []cycle.LethalityRule{cycle.Rectangle, cycle.Trapezoid} {
		f, err := cycle.LethalMinutes(readings, at, celsius("121.1 Cel"), units.MustParse[units.TemperatureDifferenceUnit]("10 K"), rule)
		fmt.Printf("%s: %.2f min %v\n", rule, f, err)
	}
	// Output:
	// rectangle: 6.87 min <nil>
	// trapezoid: 6.71 min <nil>
}

// A recorder writes semicolons, decimal commas and a line of names.
func ExampleReadCSV() {
	const file = `Zeit;Kammer mbar;Ablauf
14:02:00;1002;24,1
14:02:10;3105;134,4
14:02:12;3111;134,6
`
	t, err := cycle.ReadCSV(strings.NewReader(file), &cycle.Columns{
		Separator: ";", DecimalComma: true, Skip: 1,
		Time: 1, TimeLayout: time.TimeOnly,
		Temperatures:      []cycle.TemperatureColumn{{Column: 3, ID: "drain", Place: cycle.Drain, Unit: units.Celsius}},
		AbsolutePressures: []cycle.AbsolutePressureColumn{{Column: 2, ID: "chamber", Place: cycle.Chamber, Unit: units.Millibar}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(t.Time.Values, t.Temperatures[0].Values, t.AbsolutePressures[0].Values)
	// Output: [0 10 12] [24.1 134.4 134.6] [1002 3105 3111]
}

// The phases of a cycle with one vacuum before it, by the pressure alone.
func ExampleProfile() {
	minutes := []float64{0, 1, 2, 4, 6, 8, 8.5, 9, 9.5, 11, 20, 20.5}
	t := &cycle.Trace{
		Time: cycle.TimeBase{Unit: units.Minute, Values: minutes},
		Temperatures: []cycle.TemperatureChannel{{ID: "drain", Place: cycle.Drain, Unit: units.Celsius,
			Values: []float64{25, 40, 50, 100, 134.5, 134.5, 134.5, 120, 100, 90, 80, 70}}},
		AbsolutePressures: []cycle.AbsolutePressureChannel{{ID: "chamber", Place: cycle.Chamber, Unit: units.Kilopascal,
			Values: []float64{101, 50, 10, 101, 308, 308, 308, 198, 101, 8, 8, 100}}},
	}
	table, err := cycle.TableFor("mrc")
	if err != nil {
		fmt.Println(err)
		return
	}
	need, _ := table.Find("", "", celsius("134 Cel"))
	profile := cycle.Analyze(t, need).Profile
	for _, p := range profile.Phases {
		fmt.Println(p.Kind, "from", p.Start, "to", p.End)
	}
	fmt.Println("air left by dilution:", profile.ResidualAir.Convert(units.Percent, 1, units.TiesToEven))
	// Output:
	// air removal from 0.000 s to 2 min
	// heating from 2 min to 5 min 58.261 s
	// hold from 5 min 58.261 s to 8 min 31.034 s
	// exhaust from 8 min 31.034 s to 9 min 30 s
	// drying from 11 min to 20 min
	// air admission from 20 min to 20 min 30 s
	// air left by dilution: 3.2 %
}

// One reading a minute leaves much open.
func ExampleLethalBounds() {
	readings := []float64{100, 112, 124, 134, 134, 134, 134, 118}
	at := []float64{0, 60, 120, 180, 240, 300, 360, 420}
	least, greatest, err := cycle.LethalBounds(readings, at, celsius("121.1 Cel"), units.MustParse[units.TemperatureDifferenceUnit]("10 K"))
	fmt.Printf("%.0f to %.0f min %v\n", least, greatest, err)
	// Output: 61 to 100 min <nil>
}
