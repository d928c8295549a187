package equipment

import (
	"math/big"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/cycle/steam"
	"example.com/moistheat/internal/check"
	"example.com/moistheat/units"
)

// AirRemovalTest is the exposure of an air removal test and its result.
type AirRemovalTest struct {
	Hold               units.Duration    `json:"hold,omitzero"`
	MinimumTemperature units.Temperature `json:"minimumTemperature,omitzero"` // during the hold
	// Even is whether the indicator shows the same change all over.
	Even moistheat.Answer `json:"even,omitzero"`
}

// ExposureOf returns the exposure that an analysis shows, without a result. The
// analysis must be of a requirement at 134 °C, see [ExposureRequirement]. A nil one shows
// no exposure.
func ExposureOf(a *cycle.Analysis) AirRemovalTest {
	if a == nil {
		return AirRemovalTest{}
	}
	return AirRemovalTest{Hold: a.Hold, MinimumTemperature: a.Coldest.Temperature}
}

// ExposureRequirement returns what an air removal test asks of its cycle, for
// [cycle.Analyze]: 134 °C for 3.5 min, which may be 5 s less or more.
func ExposureRequirement() cycle.Requirement {
	f := figures()
	return cycle.Requirement{
		Table: "air-removal-test", Row: "134",
		Temperature: f.ExposureTemperature.Value, Hold: f.ExposureTime.Value, Source: f.ExposureTime.Source,
	}
}

// CheckAirRemoval judges an air removal test. An exposure that is too long or too
// short, or not hot enough, makes the result worthless, whatever it looks like.
func CheckAirRemoval(t *AirRemovalTest) []moistheat.Finding {
	var l check.List
	if t == nil {
		t = &AirRemovalTest{}
	}
	f := figures()
	o := moistheat.Undetermined
	if t.Hold.IsValid() {
		off := new(big.Rat).Sub(t.Hold.Rat(), f.ExposureTime.Value.Rat())
		o = check.If(off.Abs(off).Cmp(f.ExposureTolerance.Value.Rat()) > 0)
	}
	check.With(judged(&l, &ruleExposureTime, o, "/hold", t.Hold.Value(), f.ExposureTime), "tolerance", f.ExposureTolerance.Value.String())
	atLeast(&l, &ruleExposureCold, "/minimumTemperature", t.MinimumTemperature, f.ExposureTemperature)
	l.Answer(&ruleExposureUneven, t.Even, moistheat.Yes, "/even")
	l.Settle(t)
	return l.Findings
}

// DrynessTest is a test load weighed before and after the cycle.
type DrynessTest struct {
	Load   LoadKind   `json:"load,omitzero"`
	Before units.Mass `json:"before,omitzero"`
	After  units.Mass `json:"after,omitzero"`
}

// Gain returns by how much the load got heavier, in percent rounded to 0.0001. It
// is invalid if a mass is missing or the first is not positive.
func (t *DrynessTest) Gain() units.Ratio {
	gain, ok := t.gain()
	if !ok {
		return units.Ratio{}
	}
	x, _ := gain.Float64()
	return units.FromFloat64(x*100, 4, units.Percent)
}

func (t *DrynessTest) gain() (*big.Rat, bool) {
	if t == nil || !t.After.IsValid() || t.Before.Rat().Sign() <= 0 { // a missing mass before is 0
		return nil, false
	}
	gain := new(big.Rat).Sub(t.After.Rat(), t.Before.Rat())
	return gain.Quo(gain, t.Before.Rat()), true
}

// CheckDryness judges the dryness of a load by its mass. The masses are compared
// exactly.
func CheckDryness(t *DrynessTest) []moistheat.Finding {
	var l check.List
	if t == nil {
		t = &DrynessTest{}
	}
	limit := figures().GainMetal
	if t.Load == Textile {
		limit = figures().GainTextile
	}
	o := moistheat.Undetermined
	if gain, ok := t.gain(); ok && gain.Cmp(big.NewRat(-1, 10)) > 0 { // a tenth lighter is a slip of the unit
		switch o = check.If(gain.Cmp(limit.Value.Rat()) > 0); {
		case t.Load == 0 && gain.Cmp(figures().GainTextile.Value.Rat()) > 0:
		case t.Load == 0 && o == moistheat.Broken:
			o = moistheat.Undetermined // a textile load may gain that much
		}
	}
	judged(&l, &ruleGain, o, "/after", t.Gain().Value(), limit)
	l.Settle(t)
	return l.Findings
}

// SteamTest is what was measured of the steam supply.
type SteamTest struct {
	Load LoadKind `json:"load,omitzero"` // what the sterilizer is used for; metal asks for the drier steam
	// Benchtop asks for the dryness that AS 4815 states for benchtop sterilizers in
	// place of that of EN 285.
	Benchtop moistheat.Answer `json:"benchtop,omitzero"`
	// Gas and Condensate were collected together.
	Gas        units.Volume `json:"gas,omitzero"`
	Condensate units.Volume `json:"condensate,omitzero"`
	// Dryness is the share of the steam that is not water, by mass: above 0 and at
	// most 1.
	Dryness units.Ratio `json:"dryness,omitzero"`
	// Expanded is the temperature of the steam let out to the air outside, whose
	// pressure is Atmosphere.
	Expanded   units.Temperature      `json:"expanded,omitzero"`
	Atmosphere units.AbsolutePressure `json:"atmosphere,omitzero"`
}

// GasShare returns the volume of the gas over that of the condensate, in percent
// rounded to 0.01: millilitres in 100 ml.
func (t *SteamTest) GasShare() units.Ratio {
	if t == nil || !(t.Condensate.Float64(units.Millilitre) > 0 && t.Gas.Float64(units.Millilitre) >= 0) {
		return units.Ratio{}
	}
	return units.FromFloat64(100*t.Gas.Float64(units.Millilitre)/t.Condensate.Float64(units.Millilitre), 2, units.Percent)
}

// Superheat returns how far the expanded steam is above the boiling point at the
// pressure outside, rounded to 0.01 K. It is invalid if a reading is missing, or if
// the steam would be more than 2 K below that point, which it can not be.
func (t *SteamTest) Superheat() units.TemperatureDifference {
	if t == nil {
		return units.TemperatureDifference{}
	}
	boiling := steam.SaturationTemperatureCelsius(t.Atmosphere.Float64(units.Kilopascal))
	above := t.Expanded.Float64(units.Celsius) - boiling
	if !(above >= -coldest) {
		return units.TemperatureDifference{}
	}
	return units.FromFloat64(above, 2, units.KelvinDifference)
}

const coldest = 2.0 // kelvins below the boiling point

// CheckSteam judges the quality of the steam. Where the use is not said, the drier
// steam that metal loads need is asked.
func CheckSteam(t *SteamTest) []moistheat.Finding {
	var l check.List
	if t == nil {
		t = &SteamTest{}
	}
	f := figures()
	dryness := f.SteamDrynessMetal
	if t.Load == Textile {
		dryness = f.SteamDrynessTextile
	}
	if t.Benchtop == moistheat.Yes {
		dryness = f.SteamDrynessBenchtop
	}
	atMost(&l, &ruleSteamGas, "/gas", t.GasShare(), f.SteamGas)
	wet := t.Dryness
	if x := wet.Float64(units.One); !(x > 0 && x <= 1) {
		wet = units.Ratio{} // no share
	}
	atLeast(&l, &ruleSteamWet, "/dryness", wet, dryness)
	atMost(&l, &ruleSteamSuperheated, "/expanded", t.Superheat(), f.SteamSuperheat)
	l.Settle(t)
	return l.Findings
}
