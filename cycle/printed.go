package cycle

import (
	"math"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/cycle/steam"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

const (
	// What no tolerance of a standard explains: a printed temperature so far from that of
	// steam at the printed pressure is not one of saturated steam.
	noSteamKelvin = 5
	// A chamber whose pressure is within the weather of the air outside holds no steam
	// under pressure.
	weatherKPa = 4.0
	// Half of the last printed digit counts as uncertain, but no print is taken for
	// coarser than whole degrees and tenths of a bar.
	coarsestKelvin, coarsestKPa = 0.5, 5.0
	leastKPa                    = 1.0 // as deep as the saturation line is followed here
)

// bounds is an interval of numbers, low to high.
type bounds struct{ low, high float64 }

// apart returns how far two intervals are from each other; 0 where they touch.
func (s bounds) apart(t bounds) float64 { return max(0, t.low-s.high, s.low-t.high) }

// printedPressure is one pressure as printed.
type printedPressure struct {
	at    string
	value units.Value
	kPa   float64
	half  float64 // of its last digit, in kPa
	gauge bool
}

// pressures returns the printed pressures: those of no stated moment, the lowest and
// the highest.
func (p *Printed) pressures() []printedPressure {
	var out []printedPressure
	for _, a := range [...]struct {
		at string
		v  units.AbsolutePressure
	}{{"absolutePressure", p.AbsolutePressure}, {"minimumAbsolutePressure", p.MinimumAbsolutePressure},
		{"maximumAbsolutePressure", p.MaximumAbsolutePressure}} {
		if a.v.IsValid() {
			out = append(out, printedPressure{"/printed/" + a.at, a.v.Value(), a.v.Float64(units.Kilopascal),
				min(halfDigit(a.v.Value())*kPaFrom(a.v.Unit()), coarsestKPa), false})
		}
	}
	for _, g := range [...]struct {
		at string
		v  units.GaugePressure
	}{{"gaugePressure", p.GaugePressure}, {"minimumGaugePressure", p.MinimumGaugePressure},
		{"maximumGaugePressure", p.MaximumGaugePressure}} {
		if g.v.IsValid() {
			unit := units.New(1, 0, g.v.Unit()).Float64(units.KilopascalGauge)
			out = append(out, printedPressure{"/printed/" + g.at, g.v.Value(), g.v.Float64(units.KilopascalGauge),
				min(halfDigit(g.v.Value())*unit, coarsestKPa), true})
		}
	}
	return out
}

// halfDigit returns half of one in the last digit of a number.
func halfDigit(v units.Value) float64 { return math.Pow10(int(v.Decimal().Exponent())) / 2 }

// printedCelsius returns the interval of a printed temperature, in degrees Celsius.
func printedCelsius(t units.Temperature) bounds {
	half := halfDigit(t.Value())
	if t.Unit() == units.Fahrenheit {
		half /= 1.8
	}
	half = min(half, coarsestKelvin)
	c := t.Float64(units.Celsius)
	return bounds{c - half, c + half}
}

// meets returns the printed temperatures that belong to a printed pressure: the lowest
// to the lowest, the highest to the highest, and to one of no stated moment all between
// the two.
func (p *Printed) meets(at string) (s bounds, ok bool) {
	low, high := p.MinimumTemperature, p.MaximumTemperature
	switch {
	case at == "/printed/minimumAbsolutePressure" || at == "/printed/minimumGaugePressure":
		high = low
	case at == "/printed/maximumAbsolutePressure" || at == "/printed/maximumGaugePressure":
		low = high
	case !low.IsValid():
		low = high
	case !high.IsValid():
		high = low
	}
	if !low.IsValid() || !high.IsValid() {
		return bounds{}, false
	}
	return bounds{printedCelsius(low).low, printedCelsius(high).high}, true
}

// printedSteam holds what was printed against saturated steam. Three printed numbers
// are all that most sterilizers leave, and hot air prints two of them as well as steam.
func (c *checker) printedSteam() {
	p, limit := &c.e.Printed, c.l.Saturation
	pressures := p.pressures()
	if c.e.Trace != nil && len(pressures) == 0 {
		return // the trace shows it, or nothing does
	}
	worst, site, open := -1.0, true, false
	var at printedPressure
	var steams []bounds
	for _, q := range pressures {
		s, known := c.saturation(q)
		steams = append(steams, s)
		t, ok := p.meets(q.at)
		if !ok {
			continue
		}
		if d := s.apart(t); d > worst {
			worst, at = d, q
		}
		site, open = site && known, open || c.open(q)
	}
	apart, none := c.Ask(printedSaturation, ""), c.Ask(steamNone, "")
	if worst < 0 {
		d := Doubt{moistheat.Unrecorded, lang.Say("printed-no-pressure: no pressure during the exposure is printed")}
		if len(pressures) > 0 {
			d.Detail = lang.Say("printed-no-temperature: no temperature is printed that belongs to the pressure")
		}
		because(apart, d)
		because(none, d)
		return
	}
	measured := units.FromFloat64(math.Floor(worst*100+1e-7)/100, 2, units.KelvinDifference)
	far := units.New(noSteamKelvin, 0, units.KelvinDifference)
	apart.At(at.at).Of(measured.Value(), limit.Value.Value())
	none.At(at.at).Of(measured.Value(), far.Value())
	if limit.Source.Document != "" {
		apart.By(limit.Source)
	}
	switch {
	case c.doubtful && !open:
		because(apart, misprinted())
		because(none, misprinted())
		return
	case !limit.Value.IsValid():
		because(apart, Doubt{moistheat.NoLimit,
			lang.Say("no-distance-stated: no document states how far they may be apart")})
	case measured.Compare(limit.Value) > 0:
		apart.Broken()
	case !site:
		because(apart, noAtmosphere())
	case p.strays(steams):
		because(apart, Doubt{moistheat.Unrecorded,
			lang.Say("printed-no-pressure-for: no pressure is printed that belongs to the highest temperature, " +
				"or to the lowest")})
	}
	switch {
	case measured.Compare(far) > 0 || open:
		none.Broken()
	case !site:
		because(none, noAtmosphere())
	}
	apart.Met()
	none.Met()
}

// strays reports whether a printed temperature is far from that of steam at every printed
// pressure: 132 °C and 150 °C are not both those of one.
func (p *Printed) strays(steams []bounds) bool {
	for _, t := range [...]units.Temperature{p.MinimumTemperature, p.MaximumTemperature} {
		near := func(s bounds) bool { return s.apart(printedCelsius(t)) <= noSteamKelvin }
		if t.IsValid() && !slices.ContainsFunc(steams, near) {
			return true
		}
	}
	return false
}

// open reports whether a pressure is that of the air outside.
func (c *checker) open(q printedPressure) bool {
	if q.gauge {
		return math.Abs(q.kPa) <= weatherKPa
	}
	return math.Abs(q.kPa-c.req.Atmosphere.Float64(units.Kilopascal)) <= weatherKPa
}

// saturation returns the temperatures of saturated steam at a printed pressure, in
// degrees Celsius, and whether the pressure of the air is known as far as it is needed.
func (c *checker) saturation(q printedPressure) (s bounds, known bool) {
	add, known := bounds{}, true
	if q.gauge {
		outside := c.req.Atmosphere.Float64(units.Kilopascal)
		within := c.e.AtmosphereWithin.Float64(units.Kilopascal)
		if math.IsNaN(within) {
			within = 0
		}
		if known = !math.IsNaN(outside); known {
			add = bounds{outside - within, outside + within}
		} else {
			add = bounds{steam.LowestAtmosphere, steam.HighestAtmosphere}
		}
	}
	celsius := func(kPa float64) float64 { return steam.SaturationTemperatureCelsius(max(kPa, leastKPa)) }
	return bounds{celsius(q.kPa - q.half + add.low), celsius(q.kPa + q.half + add.high)}, known
}
