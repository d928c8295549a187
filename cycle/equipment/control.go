package equipment

import (
	"math"
	"strconv"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// Tolerance is how far a cycle may be from the sterilizer's own reference cycle. No
// document gives figures that would hold for every sterilizer: they come from the
// performance qualification, and Source says so.
type Tolerance struct {
	Time        units.Duration              `json:"time"`        // of each phase
	Temperature units.TemperatureDifference `json:"temperature"` // of the coldest and the hottest reading of the hold
	Pressure    units.AbsolutePressure      `json:"pressure"`    // of each trough and peak, as a difference
	Source      moistheat.Source            `json:"source"`
}

// CheckControl holds a cycle of an empty or standard load against a reference cycle
// of the same sterilizer: every phase, the extremes of the hold, every pulse and the
// vacuum of the drying. Each thing that both show gives a finding; what only one
// shows is broken, and what neither shows is left out.
//
// The pointer names the part: "/phases/hold", "/coldest", "/pulses/0/trough".
func CheckControl(reference, actual *cycle.Analysis, tol Tolerance) []moistheat.Finding {
	l := book.List(make([]moistheat.Finding, 0, 8))
	if reference == nil || actual == nil {
		l.Ask(controlApart, "").Open(moistheat.Unrecorded)
		return l.Findings
	}
	if !reference.Hold.IsValid() || !actual.Hold.IsValid() || reference.Intervals == 0 {
		l.Ask(controlApart, "").Open(moistheat.NotMeasurable)
		return l.Findings
	}
	compare := func(pointer string, want, got units.Value, off float64, limit units.Value, most float64) {
		if !want.IsValid() && !got.IsValid() {
			return
		}
		q := l.Ask(controlApart, pointer).Of(got, limit).By(tol.Source)
		switch {
		case !want.IsValid():
			q.Broken().Say("reference", lang.Say("not-recorded: not recorded"))
			return
		case !got.IsValid():
			q.Broken()
		case !limit.IsValid():
			q.Open(moistheat.NoLimit)
		}
		q.BrokenIf(!(off <= most)).With("reference", want.String())
	}
	duration := func(pointer string, want, got units.Duration) {
		compare(pointer, want.Value(), got.Value(), apart(want, got, units.Second, 3),
			tol.Time.Value(), tol.Time.Float64(units.Second))
	}
	temperature := func(pointer string, want, got units.Temperature) {
		compare(pointer, want.Value(), got.Value(), apart(want, got, units.Kelvin, 2),
			tol.Temperature.Value(), tol.Temperature.Float64(units.KelvinDifference))
	}
	pressure := func(pointer string, want, got units.AbsolutePressure) {
		compare(pointer, want.Value(), got.Value(), apart(want, got, units.Kilopascal, 2),
			tol.Pressure.Value(), tol.Pressure.Float64(units.Kilopascal))
	}
	for _, k := range [...]cycle.PhaseKind{cycle.AirRemoval, cycle.Heating, cycle.Equilibrating, cycle.Holding,
		cycle.Exhaust, cycle.Drying, cycle.AirAdmission} {
		duration("/phases/"+string(k), length(reference, k), length(actual, k))
	}
	temperature("/coldest", reference.Coldest.Temperature, actual.Coldest.Temperature)
	temperature("/hottest", reference.Hottest.Temperature, actual.Hottest.Temperature)
	for i := range max(len(reference.Profile.Pulses), len(actual.Profile.Pulses)) {
		want, got := pulse(reference, i), pulse(actual, i)
		at := "/pulses/" + strconv.Itoa(i)
		pressure(at+"/trough", want.Trough, got.Trough)
		pressure(at+"/peak", want.Peak, got.Peak)
	}
	pressure("/dryingVacuum", reference.Profile.DryingVacuum, actual.Profile.DryingVacuum)
	return l.Findings
}

// apart returns the distance of two quantities, rounded to the decimals that both
// were rounded to.
func apart[U units.Unit](a, b units.Quantity[U], u U, places int) float64 {
	scale := math.Pow10(places)
	return math.RoundToEven(math.Abs(a.Float64(u)-b.Float64(u))*scale) / scale
}

func length(a *cycle.Analysis, k cycle.PhaseKind) units.Duration {
	if p, ok := a.Profile.Phase(k); ok {
		return p.Length()
	}
	return units.Duration{}
}

func pulse(a *cycle.Analysis, i int) cycle.Pulse {
	if i < len(a.Profile.Pulses) {
		return a.Profile.Pulses[i]
	}
	return cycle.Pulse{}
}
