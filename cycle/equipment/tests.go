package equipment

import (
	"math/big"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/cycle/steam"
	"example.com/moistheat/internal/lang"
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
// analysis must be of a requirement at 134 °C, see [Figures.ExposureRequirement]. A nil
// one shows no exposure.
func ExposureOf(a *cycle.Analysis) AirRemovalTest {
	if a == nil {
		return AirRemovalTest{}
	}
	return AirRemovalTest{Hold: a.Hold, MinimumTemperature: a.Coldest.Temperature}
}

// ExposureRequirement returns what an air removal test asks of its cycle, for
// [cycle.Analyze]: 134 °C for 3.5 min, which may be 5 s less or more.
func (f Figures) ExposureRequirement() cycle.Requirement {
	return cycle.Requirement{
		Table: "air-removal-test", Row: "134", Temperature: f.ExposureTemperature.Value,
		Stated: cycle.Stated{Hold: f.ExposureTime.Value, Source: f.ExposureTime.Source},
	}
}

// CheckAirRemoval judges an air removal test. An exposure that is too long or too
// short, or not hot enough, makes the result worthless, whatever it looks like.
func CheckAirRemoval(t *AirRemovalTest, f Figures) []moistheat.Finding {
	l := book.List(make([]moistheat.Finding, 0, 3))
	t = orEmpty(t)
	q := l.Ask(exposureTime, "/hold")
	if tolerance := f.ExposureTolerance.Value; !tolerance.IsValid() {
		atMost(q.Say("tolerance", lang.Say("or-less: or less")), t.Hold, f.ExposureTime)
	} else {
		off := new(big.Rat).Sub(t.Hold.Rat(), f.ExposureTime.Value.Rat())
		q.Say("tolerance", lang.Say("more-or-less: {1:number} more or less", tolerance.String()))
		under(q, t.Hold.Value(), f.ExposureTime)
		if !t.Hold.IsValid() {
			q.Open(moistheat.Unrecorded)
		}
		q.BrokenIf(off.Abs(off).Cmp(tolerance.Rat()) > 0)
	}
	atLeast(l.Ask(exposureCold, "/minimumTemperature"), t.MinimumTemperature, f.ExposureTemperature)
	l.Ask(exposureUneven, "/even").Yes(t.Even)
	l.Settle(t)
	return l.Findings
}

// DrynessTest is a test load weighed before and after the cycle.
type DrynessTest struct {
	Load   LoadKind   `json:"load,omitzero"`
	Before units.Mass `json:"before,omitzero"`
	After  units.Mass `json:"after,omitzero"`
}

// gainPercent returns by how much the load got heavier, in percent rounded to 0.0001. It
// is invalid if a mass is missing or the first is not positive.
func (t *DrynessTest) gainPercent() units.Ratio {
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
func CheckDryness(t *DrynessTest, f Figures) []moistheat.Finding {
	l := book.List(make([]moistheat.Finding, 0, 1))
	t = orEmpty(t)
	limit := f.GainMetal
	if t.Load == Textile {
		limit = f.GainTextile
	}
	gain, ok := t.gain()
	ok = ok && gain.Cmp(big.NewRat(-1, 10)) > 0 // a tenth lighter is a slip of the unit
	above := func(r units.Ratio) bool { return ok && r.IsValid() && gain.Cmp(r.Rat()) > 0 }
	q := under(l.Ask(drynessGain, "/after"), t.gainPercent().Value(), limit)
	possible(q, t.Before.IsValid() && t.After.IsValid(), ok)
	if !ok || t.Load == "" && above(f.GainMetal.Value) && !above(f.GainTextile.Value) {
		q.Open(moistheat.Unrecorded) // a textile load may gain that much
	}
	q.BrokenIf(above(limit.Value))
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

// gasShare returns the volume of the gas over that of the condensate, in percent
// rounded to 0.01: millilitres in 100 ml.
func (t *SteamTest) gasShare() units.Ratio {
	if t == nil || !(t.Condensate.Float64(units.Millilitre) > 0 && t.Gas.Float64(units.Millilitre) >= 0) {
		return units.Ratio{}
	}
	return units.FromFloat64(100*t.Gas.Float64(units.Millilitre)/t.Condensate.Float64(units.Millilitre), 2, units.Percent)
}

// superheat returns how far the expanded steam is above the boiling point at the
// pressure outside, rounded to 0.01 K. It is invalid if a reading is missing, or if
// the steam would be more than 2 K below that point, which it cannot be.
func (t *SteamTest) superheat() units.TemperatureDifference {
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
func CheckSteam(t *SteamTest, f Figures) []moistheat.Finding {
	l := book.List(make([]moistheat.Finding, 0, 3))
	t = orEmpty(t)
	dryness := f.SteamDrynessMetal
	if t.Load == Textile {
		dryness = f.SteamDrynessTextile
	}
	if t.Benchtop == moistheat.Yes {
		dryness = f.SteamDrynessBenchtop
	}
	wet := t.Dryness
	if x := wet.Float64(units.One); !(x > 0 && x <= 1) {
		wet = units.Ratio{} // no share
	}
	share, above := t.gasShare(), t.superheat()
	q := l.Ask(steamGas, "/gas")
	atMost(possible(q, t.Gas.IsValid() && t.Condensate.IsValid(), share.IsValid()), share, f.SteamGas)
	q = l.Ask(steamWet, "/dryness")
	atLeast(possible(q, t.Dryness.IsValid(), wet.IsValid()), wet, dryness)
	q = l.Ask(steamSuperheated, "/expanded")
	atMost(possible(q, t.Expanded.IsValid() && t.Atmosphere.IsValid(), above.IsValid()), above, f.SteamSuperheat)
	l.Settle(t)
	return l.Findings
}
