package cycle

import (
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
)

func gaugeOf(s string) units.GaugePressure { return units.MustParse[units.GaugePressureUnit](s) }

// Three printed numbers are held against saturated steam. Handbook tables: 120 °C has
// 198.67 kPa, 130 °C 270.28 kPa, 134 °C 304.2 kPa, 140 °C 361.53 kPa; at 130 °C a kelvin
// is some 8.3 kPa. Half of each last digit is taken off the difference.
func TestPrintedSteam(t *testing.T) {
	sea := absolute("101.325 kPa")
	for _, c := range []struct {
		name        string
		p           Printed
		site        units.AbsolutePressure
		within      string
		apart, none moistheat.Outcome
		at          string
	}{
		{"steam of 134 °C", Printed{MinimumTemperature: temp("134.1 Cel"), AbsolutePressure: absolute("304 kPa")}, sea, "", met, met, "absolutePressure"},
		{"2 K above", Printed{MinimumTemperature: temp("132.00 Cel"), AbsolutePressure: absolute("270.28 kPa")}, sea, "", met, met, "absolutePressure"},
		{"more", Printed{MinimumTemperature: temp("132.02 Cel"), AbsolutePressure: absolute("270.28 kPa")}, sea, "", bad, met, "absolutePressure"},
		{"2 K below", Printed{MaximumTemperature: temp("128.00 Cel"), AbsolutePressure: absolute("270.28 kPa")}, sea, "", met, met, "absolutePressure"},
		{"colder", Printed{MaximumTemperature: temp("127.98 Cel"), AbsolutePressure: absolute("270.28 kPa")}, sea, "", bad, met, "absolutePressure"},
		{"whole degrees leave half of one", Printed{MinimumTemperature: temp("132 Cel"), AbsolutePressure: absolute("266.5 kPa")}, sea, "", met, met, "absolutePressure"},
		{"5 K", Printed{MinimumTemperature: temp("135.00 Cel"), AbsolutePressure: absolute("270.28 kPa")}, sea, "", bad, met, "absolutePressure"},
		{"more than 5 K", Printed{MinimumTemperature: temp("135.02 Cel"), AbsolutePressure: absolute("270.28 kPa")}, sea, "", bad, bad, "absolutePressure"},
		{"hot air", Printed{MinimumTemperature: temp("134.2 Cel"), AbsolutePressure: absolute("101 kPa")}, sea, "", bad, bad, "absolutePressure"},
		{"hot air, whose pressure would fit a gauge", Printed{MinimumTemperature: temp("121 Cel"), AbsolutePressure: absolute("102 kPa")}, sea, "", bad, bad, "absolutePressure"},
		{"the same where nothing is known of the site", Printed{MinimumTemperature: temp("121 Cel"), AbsolutePressure: absolute("102 kPa")}, units.AbsolutePressure{}, "", open, open, "absolutePressure"},
		{"no pressure above that of the room", Printed{MinimumTemperature: temp("134 Cel"), GaugePressure: gaugeOf("2 kPa")}, units.AbsolutePressure{}, "", bad, bad, "gaugePressure"},
		{"between the lowest and the highest", Printed{MinimumTemperature: temp("134.0 Cel"), MaximumTemperature: temp("137.0 Cel"), AbsolutePressure: absolute("320 kPa")}, sea, "", met, met, "absolutePressure"},
		{"the lowest by itself", Printed{MinimumTemperature: temp("134.0 Cel"), MaximumTemperature: temp("140.0 Cel"), MinimumAbsolutePressure: absolute("361.5 kPa")}, sea, "", bad, bad, "minimumAbsolutePressure"},
		{"each by its own", Printed{MinimumTemperature: temp("134.0 Cel"), MaximumTemperature: temp("140.0 Cel"), MinimumAbsolutePressure: absolute("304.2 kPa"), MaximumAbsolutePressure: absolute("361.5 kPa")}, sea, "", met, met, ""},
		{"by gauge at sea level", Printed{MinimumTemperature: temp("134.1 Cel"), GaugePressure: gaugeOf("203 kPa")}, sea, "", met, met, "gaugePressure"},
		{"by gauge, altitude", Printed{MinimumTemperature: temp("136.2 Cel"), GaugePressure: gaugeOf("203 kPa")}, sea, "4 kPa", met, met, "gaugePressure"},
		{"by gauge, barometer", Printed{MinimumTemperature: temp("136.2 Cel"), GaugePressure: gaugeOf("203 kPa")}, sea, "0.05 kPa", bad, met, "gaugePressure"},
		// Over atmospheres from 53 kPa to 108.5 kPa, 203 kPa by gauge are 128.2 °C to 134.8 °C.
		{"by gauge, no site", Printed{MinimumTemperature: temp("134.1 Cel"), GaugePressure: gaugeOf("203 kPa")}, units.AbsolutePressure{}, "", open, open, "gaugePressure"},
		{"by gauge, no site would do", Printed{MinimumTemperature: temp("137.0 Cel"), GaugePressure: gaugeOf("203 kPa")}, units.AbsolutePressure{}, "", bad, open, "gaugePressure"},
		{"by gauge, no site at all", Printed{MinimumTemperature: temp("123.0 Cel"), GaugePressure: gaugeOf("203 kPa")}, units.AbsolutePressure{}, "", bad, bad, "gaugePressure"},
		{"no pressure", Printed{MinimumTemperature: temp("134 Cel")}, sea, "", open, open, ""},
		{"no temperature", Printed{AbsolutePressure: absolute("304 kPa")}, sea, "", open, open, ""},
		{"psi that are bar", Printed{MinimumTemperature: temp("134 Cel"), AbsolutePressure: absolute("3.04 [psi]")}, sea, "", open, open, "absolutePressure"},
	} {
		e := printed()
		e.Printed, e.Atmosphere = c.p, c.site
		if c.within != "" {
			e.AtmosphereWithin = absolute(c.within)
		}
		findings, _ := Check(e, Limits{Saturation: twoKelvin})
		for rule, want := range map[string]moistheat.Outcome{"cycle.printed.saturation": c.apart, "cycle.steam.none": c.none} {
			got := outcomes(findings, rule)
			if assert.Len(t, got, 1, c.name) {
				assert.Equal(t, want, got[0].o, "%s: %s", c.name, rule)
			}
		}
		for _, f := range findings {
			if f.Rule == "cycle.steam.none" && c.at != "" {
				assert.Equal(t, "/printed/"+c.at, f.Pointer, c.name)
			}
		}
	}
}
