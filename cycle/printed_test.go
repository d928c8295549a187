package cycle

import (
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
)

func gaugeOf(s string) units.GaugePressure { return units.MustParse[units.GaugePressureUnit](s) }

// read returns printed readings, each as a name and a quantity.
func read(readings ...string) (p Printed) {
	for _, r := range readings {
		switch name, q, _ := strings.Cut(r, " "); name {
		case "low":
			p.MinimumTemperature = temp(q)
		case "high":
			p.MaximumTemperature = temp(q)
		case "abs":
			p.AbsolutePressure = absolute(q)
		case "lowAbs":
			p.MinimumAbsolutePressure = absolute(q)
		case "highAbs":
			p.MaximumAbsolutePressure = absolute(q)
		case "gauge":
			p.GaugePressure = gaugeOf(q)
		}
	}
	return p
}

// Three printed numbers are held against saturated steam. Handbook tables: 120 °C has
// 198.67 kPa, 130 °C 270.28 kPa, 134 °C 304.2 kPa, 140 °C 361.53 kPa; at 130 °C a kelvin
// is some 8.3 kPa. Half of each last digit is taken off the difference.
func TestPrintedSteam(t *testing.T) {
	sea, none := absolute("101.325 kPa"), units.AbsolutePressure{}
	for _, c := range []struct {
		name         string
		p            Printed
		site         units.AbsolutePressure
		within       string
		apart, steam moistheat.Outcome
		at           string
	}{
		{"steam of 134 °C", read("low 134.1 Cel", "abs 304 kPa"), sea, "", met, met, "abs"},
		{"2 K above", read("low 132.00 Cel", "abs 270.28 kPa"), sea, "", met, met, "abs"},
		{"more", read("low 132.02 Cel", "abs 270.28 kPa"), sea, "", bad, met, "abs"},
		{"2 K below", read("high 128.00 Cel", "abs 270.28 kPa"), sea, "", met, met, "abs"},
		{"colder", read("high 127.98 Cel", "abs 270.28 kPa"), sea, "", bad, met, "abs"},
		{"whole degrees leave half of one", read("low 132 Cel", "abs 266.5 kPa"), sea, "", met, met, "abs"},
		{"5 K", read("low 135.00 Cel", "abs 270.28 kPa"), sea, "", bad, met, "abs"},
		{"more than 5 K", read("low 135.02 Cel", "abs 270.28 kPa"), sea, "", bad, bad, "abs"},
		{"hot air", read("low 134.2 Cel", "abs 101 kPa"), sea, "", bad, bad, "abs"},
		{"hot air, whose pressure would fit a gauge", read("low 121 Cel", "abs 102 kPa"), sea, "", bad, bad, "abs"},
		{"the same where nothing is known of the site", read("low 121 Cel", "abs 102 kPa"), none, "", open, open, "abs"},
		{"no pressure above that of the room", read("low 134 Cel", "gauge 2 kPa"), none, "", bad, bad, "gauge"},
		{"between the two", read("low 134.0 Cel", "high 137.0 Cel", "abs 320 kPa"), sea, "", met, met, "abs"},
		{"the lowest by itself", read("low 134.0 Cel", "high 140.0 Cel", "lowAbs 361.5 kPa"), sea, "", bad, bad, "lowAbs"},
		{
			"each by its own",
			read("low 134.0 Cel", "high 140.0 Cel", "lowAbs 304.2 kPa", "highAbs 361.5 kPa"), sea, "", met, met, "",
		},
		{"by gauge at sea level", read("low 134.1 Cel", "gauge 203 kPa"), sea, "", met, met, "gauge"},
		{"by gauge, altitude", read("low 136.2 Cel", "gauge 203 kPa"), sea, "4 kPa", met, met, "gauge"},
		{"by gauge, barometer", read("low 136.2 Cel", "gauge 203 kPa"), sea, "0.05 kPa", bad, met, "gauge"},
		// Over atmospheres from 53 kPa to 108.5 kPa, 203 kPa by gauge are 128.2 °C to 134.8 °C.
		{"by gauge, no site", read("low 134.1 Cel", "gauge 203 kPa"), none, "", open, open, "gauge"},
		{"by gauge, no site would do", read("low 137.0 Cel", "gauge 203 kPa"), none, "", bad, open, "gauge"},
		{"by gauge, no site at all", read("low 123.0 Cel", "gauge 203 kPa"), none, "", bad, bad, "gauge"},
		{"no pressure", read("low 134 Cel"), sea, "", open, open, ""},
		{"no temperature", read("abs 304 kPa"), sea, "", open, open, ""},
		{"psi that are bar", read("low 134 Cel", "abs 3.04 [psi]"), sea, "", open, open, "abs"},
	} {
		e := printed()
		e.Printed, e.Atmosphere = c.p, c.site
		if c.within != "" {
			e.AtmosphereWithin = absolute(c.within)
		}
		findings, _ := Check(e, Limits{Saturation: twoKelvin})
		wants := map[string]moistheat.Outcome{"cycle.printed.saturation": c.apart, "cycle.steam.none": c.steam}
		for rule, want := range wants {
			got := outcomes(findings, rule)
			if assert.Len(t, got, 1, c.name) {
				assert.Equal(t, want, got[0].o, "%s: %s", c.name, rule)
			}
		}
		for _, f := range findings {
			if f.Rule == "cycle.steam.none" && c.at != "" {
				assert.Equal(t, "/printed/"+map[string]string{
					"abs": "absolutePressure", "gauge": "gaugePressure", "lowAbs": "minimumAbsolutePressure",
				}[c.at], f.Pointer, c.name)
			}
		}
	}
}
