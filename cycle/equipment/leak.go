package equipment

import (
	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// LeakTest is what was read off during an air leakage test: the chamber is drawn
// down, all valves are closed, the pressure settles, and its rise is measured.
type LeakTest struct {
	Evacuated  units.AbsolutePressure `json:"evacuated,omitzero"`  // when the valves were closed
	Stabilised units.Duration         `json:"stabilised,omitzero"` // from then to Start
	Start      units.AbsolutePressure `json:"start,omitzero"`
	Lasted     units.Duration         `json:"lasted,omitzero"` // from Start to End
	End        units.AbsolutePressure `json:"end,omitzero"`
	// The temperature of the chamber at Start and at End.
	StartTemperature units.Temperature `json:"startTemperature,omitzero"`
	EndTemperature   units.Temperature `json:"endTemperature,omitzero"`
}

// Rate returns the rise of the pressure over time as it was read, rounded to
// 0.1 Pa/min. It is invalid if a reading is missing.
func (t *LeakTest) Rate() units.PressureRate { return t.rate(1) }

// Corrected returns the rate with the end pressure taken to the temperature of the
// start, as an ideal gas: what leaked in, without what warming did. At 7 kPa and
// 40 °C, 10 K of warming rise the pressure by 0.22 kPa. It is invalid if a reading
// is missing, the temperatures included.
func (t *LeakTest) Corrected() units.PressureRate {
	if t == nil {
		return units.PressureRate{}
	}
	return t.rate(t.StartTemperature.Float64(units.Kelvin) / t.EndTemperature.Float64(units.Kelvin))
}

func (t *LeakTest) rate(factor float64) units.PressureRate {
	if t == nil {
		return units.PressureRate{}
	}
	minutes := t.Lasted.Float64(units.Minute)
	if !(minutes > 0) {
		return units.PressureRate{}
	}
	rise := t.End.Float64(units.Kilopascal)*factor - t.Start.Float64(units.Kilopascal)
	return units.FromFloat64(rise/minutes, 4, units.KilopascalPerMinute)
}

// CheckLeak judges an air leakage test. The limit holds for the rate as it was read
// and, where the temperatures are known, for the corrected rate too: a chamber that
// cools hides a leak, and one that warms is tested again rather than excused. A rate
// within the limit counts only if the test had its full times, and not if the
// pressure fell by more than a chamber that cools explains: the pump ran on, or the gauge is at fault.
func CheckLeak(t *LeakTest, f Figures) []moistheat.Finding {
	l := book.List(make([]moistheat.Finding, 0, 4))
	t = orEmpty(t)
	read, corrected := t.Rate(), t.Corrected()
	worse, known := read, lang.Say("not-known: not known")
	if corrected.IsValid() {
		known = lang.Data(corrected.String())
	}
	if read.IsValid() && corrected.Compare(read) > 0 { // an invalid rate is smaller than a valid one
		worse = corrected
	}
	q := under(l.Ask(leakRate, "/end"), worse.Value(), f.LeakRate).Say("corrected", known)
	limit := f.LeakRate.Value
	switch recorded := t.Start.IsValid() && t.End.IsValid() && t.Lasted.IsValid(); {
	case !worse.IsValid():
		possible(q, recorded, false).Open(moistheat.Unrecorded)
	case worse.Compare(limit) > 0:
		q.Broken()
	case f.LeakLowest.Value.IsValid() && read.Compare(f.LeakLowest.Value) < 0:
		q.Open(moistheat.Contradictory) // it fell
	case !t.Stabilised.IsValid() || !f.LeakStabilise.Value.IsValid() || !f.LeakLast.Value.IsValid():
		q.Open(moistheat.Unrecorded)
	case t.Stabilised.Compare(f.LeakStabilise.Value) < 0 || t.Lasted.Compare(f.LeakLast.Value) < 0:
		q.Open(moistheat.NotMeasurable) // too short to show it
	default:
		q.Met()
	}
	atLeast(l.Ask(leakSettled, "/stabilised"), t.Stabilised, f.LeakStabilise)
	atLeast(l.Ask(leakTime, "/lasted"), t.Lasted, f.LeakLast)
	atMost(l.Ask(leakVacuum, "/evacuated"), t.Evacuated, f.LeakVacuum)
	l.Settle(t)
	return l.Findings
}
