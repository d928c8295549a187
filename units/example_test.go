package units_test

import (
	"encoding/json"
	"fmt"

	"example.com/moistheat/units"
)

// A printer that writes Fahrenheit, judged against a limit in Celsius.
func Example() {
	reading, err := units.Parse[units.TemperatureUnit]("273 [degF]")
	if err != nil {
		fmt.Println(err)
		return
	}
	limit := units.New(134, 0, units.Celsius)
	fmt.Println(reading, "reaches", limit, "is", reading.Compare(limit) >= 0)
	fmt.Println("it is", reading.Convert(units.Celsius, 2, units.TiesToEven))
	// Output:
	// 273 °F reaches 134 °C is false
	// it is 133.89 °C
}

func ExampleQuantity_Compare() {
	a, b := units.MustParse[units.MassUnit]("1.50 kg"), units.MustParse[units.MassUnit]("1500 g")
	fmt.Println(a == b)       // the same digits and unit?
	fmt.Println(a.Compare(b)) // the same size?
	fmt.Println(a.Value(), "|", b.Value())
	// Output:
	// false
	// 0
	// 1.50 kg | 1500 g
}

// A limit is rounded inwards, so that the converted one is never looser.
func ExampleQuantity_Convert() {
	highest := units.MustParse[units.TemperatureUnit]("137 Cel")
	lowest := units.MustParse[units.TemperatureUnit]("134 Cel")
	fmt.Println(highest.Convert(units.Fahrenheit, 0, units.Down)) // 278.6
	fmt.Println(lowest.Convert(units.Fahrenheit, 0, units.Up))    // 273.2
	// Output:
	// 278 °F
	// 274 °F
}

// The example of NIST SP 811, B.7.2.
func ExampleQuantity_Rounded() {
	fmt.Println(units.New(36, 0, units.Foot).Rounded(units.Metre))
	// Output: 11.0 m
}

func ExampleQuantity_Exactly() {
	f, ok := units.New(134, 0, units.Celsius).Exactly(units.Fahrenheit)
	fmt.Println(f, ok)
	_, ok = units.New(250, 0, units.Fahrenheit).Exactly(units.Celsius) // 121.111…
	fmt.Println(ok)
	// Output:
	// 273.2 °F true
	// false
}

func ExampleQuantity_UnmarshalJSON() {
	var q units.Mass
	for _, doc := range []string{`{"value":5.40,"unit":"kg"}`, `{"value":12,"unit":"lb"}`, `null`} {
		if err := json.Unmarshal([]byte(doc), &q); err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(q)
	}
	// Output:
	// 5.40 kg
	// units: /unit: "lb" is not a UCUM code for mass; write "[lb_av]"
	// units: the quantity: want an object like {"value": 5.4, "unit": "kg"}
}

func ExampleAbsolute() {
	g := units.MustParse[units.GaugePressureUnit]("2.1 bar")
	if _, err := units.Absolute(g, units.AbsolutePressure{}); err != nil {
		fmt.Println(err)
	}
	p, _ := units.Absolute(g, units.MustParse[units.AbsolutePressureUnit]("84.56 kPa")) // at 1,500 m
	fmt.Println(p)
	// Output:
	// units: gauge to absolute needs the atmospheric pressure of the site
	// 294.5600 kPa absolute
}

func ExampleSum() {
	total, ok := units.Sum([]units.Mass{units.New(25, -1, units.Kilogram), units.New(3, 0, units.Pound)})
	fmt.Println(total, ok)
	// Output: 3.86077711 kg true
}

func ExampleSpeciesConcentration_Compare() {
	reported := units.MustParseSpeciesConcentration("0.3 mg/L{P}")
	limit := units.MustParseSpeciesConcentration("0.5 mg/L{P2O5}")
	_, ok := reported.Compare(limit)
	fmt.Println(ok)
	order, err := units.IUPAC2021.Compare(reported, limit)
	fmt.Println(order, err)
	inP2O5, _ := units.IUPAC2021.Convert(reported, units.AsP2O5, units.MilligramPerLitre, 2, units.TiesToEven)
	fmt.Println(inP2O5)
	// Output:
	// false
	// 1 <nil>
	// 0.69 mg/L as P2O5
}

func ExampleAtomicWeights_TotalHardness() {
	h, err := units.IUPAC2021.TotalHardness(3, units.TiesToEven,
		units.MustParseSpeciesConcentration("40 mg/L{Ca}"),
		units.MustParseSpeciesConcentration("10 mg/L{Mg}"))
	fmt.Println(h, err)
	fmt.Println(h.Convert(units.GermanDegree, 1, units.TiesToEven))
	// Output:
	// 1.409 mmol/L <nil>
	// 7.9 °dH
}

// At least 1 MΩ·cm is at most 1 µS/cm.
func ExampleConductivityOf() {
	highest, err := units.ConductivityOf(units.MustParse[units.ResistivityUnit]("1.0 MOhm.cm"), units.MicrosiemensPerCentimetre, 3, units.Down)
	fmt.Println(highest, err)
	// Output: 1.000 µS/cm <nil>
}

func ExampleParseUnit() {
	_, err := units.ParseUnit[units.HardnessUnit]("°dH")
	fmt.Println(err)
	// Output: "°dH" is not a UCUM code for hardness; write "10.mg/L{CaO}"
}
