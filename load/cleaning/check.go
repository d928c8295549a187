package cleaning

import (
	_ "embed"
	"slices"
	"strconv"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// Limits are what a batch is held against beside the instructions for use. A rule whose limit
// is not stated is not asked, but for A0: of an unstated one nothing is shown.
type Limits struct {
	// A0 by the class of what was carried, the strictest of which counts.
	Noncritical  moistheat.Figure[units.RatioUnit] `json:"noncritical,omitzero"`
	Semicritical moistheat.Figure[units.RatioUnit] `json:"semicritical,omitzero"`
	Critical     moistheat.Figure[units.RatioUnit] `json:"critical,omitzero"`

	// PrintedA0 is by what the A0 that a machine prints is evidence where it keeps no log. Absent: it
	// is none.
	PrintedA0 *moistheat.Source `json:"printedA0,omitzero"`

	ToCleaning      moistheat.Figure[units.DurationUnit]    `json:"toCleaning,omitzero"`      // longest, from use
	ToSterilizing   moistheat.Figure[units.DurationUnit]    `json:"toSterilizing,omitzero"`   // longest, from its end
	HandTemperature moistheat.Figure[units.TemperatureUnit] `json:"handTemperature,omitzero"` // highest, by hand
}

//go:embed figures.json
var figuresFile []byte

var defaults lazy.Value[Limits]

// DefaultLimits returns the A0 of ISO 15883-1. No document that was read gives a longest time
// to cleaning or a highest temperature by hand; these are the facility's.
func DefaultLimits() Limits {
	return defaults.Get(func() Limits { return *strictjson.MustRead[Limits](figuresFile, "") })
}

// Rules returns the rules of this package, sorted by ID. The caller owns the slice.
func Rules() []moistheat.Rule { return book.Rules() }

// Check asks the rules of this package about one batch. Of a nil batch nothing is recorded.
func Check(b *Batch, l Limits) []moistheat.Finding {
	if b == nil {
		b = &Batch{}
	}
	k := checker{book.List(nil), b, l, ""}
	k.ran()
	for i := range b.Carried {
		k.carried(i, "/carried/"+strconv.Itoa(i))
	}
	for i := range b.TakenOut {
		k.takenOut(i, "/takenOut/"+strconv.Itoa(i))
	}
	if len(b.TakenOut) == 0 {
		k.Ask(itemKept, "").When(false)
	}
	return k.Findings
}

// ran asks what is so of all that a batch carried.
func (k *checker) ran() {
	b := k.b
	k.Ask(timeOrder, "").Given(!b.Started.IsZero() && !b.Ended.IsZero()).BrokenIf(b.Ended.Before(b.Started))
	k.agent("/detergent", b.Detergent, k.dosed())
	if b.Disinfectant != nil { // in place of heat: who or whatever prepared it
		k.agent("/disinfectant", b.Disinfectant, true)
	}
	k.wet()
	k.machine()
	k.disinfected()
}

type checker struct {
	ask.List
	b    *Batch
	l    Limits
	item packaging.Class // of one that names the batch; "": of none, or not recorded
}

// dosed reports whether a person prepared the solution, or may have.
func (k *checker) dosed() bool { return k.b.Kind != packaging.WasherDisinfector }

// carried asks how something that was carried was kept from its use on.
func (k *checker) carried(i int, at string) {
	c := &k.b.Carried[i]
	k.Ask(careDry, at).Yes(c.Moist).With("item", c.ID)
	k.Ask(timeOrder, at).When(!c.Used.IsZero()).Given(!k.b.Started.IsZero()).BrokenIf(c.Used.After(k.b.Started))
	waited := units.Duration{}
	if !c.Used.IsZero() && !k.b.Started.IsZero() {
		waited = units.New(int64(k.b.Started.Sub(c.Used)/time.Second), 0, units.Second).Rounded(units.Minute)
	}
	limit := k.l.ToCleaning
	q := ask.Limit(k.Ask(careLate, at).When(limit.Value.IsValid()).With("item", c.ID), limit)
	q.OpenWhen(k.b.Started.Before(c.Used) && !k.b.Started.IsZero(), moistheat.Contradictory)
	ask.AtMost(q, waited, limit.Value)
	k.Ask(methodExcluded, at).With("item", c.ID).BrokenWhen(slices.Contains(c.Excludes, k.b.Kind)).
		Known(k.b.Kind != "" && (len(c.Excludes) > 0 || c.ExcludesAny == moistheat.No))
}

// agent asks how a detergent or disinfectant was prepared and how long it worked.
func (k *checker) agent(at string, p *Agent, dosed bool) {
	a := ask.Some(p)
	if p == nil {
		at = ""
	}
	want := ask.Some(a.Instructions)
	q := k.Ask(agentDose, at).When(dosed)
	dose := share(a.Amount, a.Volume)
	if enough := want.MinDose.IsValid() && dose.IsValid() && dose.Compare(want.MinDose) >= 0; want.MaxDose.IsValid() &&
		(enough || dose.IsValid() && dose.Compare(want.MaxDose) > 0) {
		ask.AtMost(q, dose, want.MaxDose)
	} else {
		ask.AtLeast(q, dose, want.MinDose) // what is too little has to be known
	}
	if dosed && dose.IsValid() {
		q.Got(dose.Convert(units.Percent, 3, units.TiesToEven).Value()) // as it is shown
	}
	ask.AtLeast(k.Ask(agentShort, at).When(dosed), a.Contact, want.Contact)
	most, by := want.MaxTemperature, []moistheat.Source(nil)
	if hand := k.l.HandTemperature; k.b.Kind == packaging.Manual && hand.Value.IsValid() &&
		(!most.IsValid() || hand.Value.Compare(most) < 0) {
		most, by = hand.Value, []moistheat.Source{hand.Source}
	}
	q = k.Ask(agentTemperature, at).When(dosed)
	if least := want.MinTemperature; least.IsValid() && a.Temperature.IsValid() && a.Temperature.Compare(least) < 0 {
		ask.AtLeast(q, a.Temperature, least)
	}
	ask.AtMost(q.By(by...), a.Temperature, most)
}

// share returns what part of a volume another one is; invalid where that is not recorded.
func share(part, of units.Volume) units.Ratio {
	if !part.IsValid() || !of.IsValid() || !(of.Float64(units.Litre) > 0) || !(part.Float64(units.Litre) > 0) {
		return units.Ratio{}
	}
	return units.FromFloat64(100*part.Float64(units.Litre)/of.Float64(units.Litre), 6, units.Percent)
}

// wet asks about the water of cleaning by hand and in a bath.
func (k *checker) wet() {
	dosed, bath := k.dosed(), k.b.Kind == packaging.Ultrasonic
	k.Ask(rinseMissing, "").When(dosed).Yes(k.b.Rinsed)
	k.Ask(waterReused, "").When(dosed).Yes(k.b.WaterChanged)
	k.Ask(bathGassed, "").When(bath).Yes(k.b.Degassed)
	k.Ask(bathUntested, "").When(bath).Yes(k.b.Tested)
	k.Ask(metalsMixed, "").When(bath).Yes(k.b.MetalsApart)
}

// machine asks whether the machine came to its end and logged all of its sensors.
func (k *checker) machine() {
	washer := k.b.Kind == packaging.WasherDisinfector
	k.Ask(cycleAborted, "").When(washer || k.b.Kind == packaging.Ultrasonic).No(k.b.Aborted)
	logged := 0
	if k.b.Trace != nil {
		logged = len(k.b.Trace.Temperatures)
	}
	k.Ask(probesFew, "").When(washer && !k.byPrint()).Given(k.b.Probes > 0 && k.b.Trace != nil).BrokenIf(logged < k.b.Probes).
		With("probes", strconv.Itoa(k.b.Probes)).With("logged", strconv.Itoa(logged))
}

// disinfected computes A0 and compares it with what is wanted and with what was printed. What
// the machine shows is evidence by itself where the limits take it and it keeps no log, and against
// it always.
func (k *checker) disinfected() {
	thermal := k.b.Kind == packaging.WasherDisinfector && k.b.Disinfectant == nil
	want, t := k.wanted(), k.b.Trace
	var got, guarded seconds
	read, stated := false, t != nil
	if t != nil {
		if got, read = sum(t, 0); read {
			guarded, _ = sum(t, 1)
		}
		for _, c := range t.Temperatures {
			stated = stated && c.Accuracy.IsValid()
		}
	}
	at := ""
	if t != nil {
		at = "/trace"
	}
	q := ask.Limit(k.Ask(disinfectionShort, at).When(thermal), want)
	other := !k.ofRun()
	if a0 := k.b.Printed.A0; t == nil && a0.IsValid() && !q.Answered() {
		k.printed(q, a0, want)
	}
	q.Given(t != nil).OpenWhen(other, moistheat.Contradictory)
	q.OpenWhen(!read, moistheat.NotMeasurable).OpenWhen(!want.Value.IsValid(), moistheat.NoLimit)
	if read {
		q.Got(got.shown().Value())
	}
	q.BrokenWhen(!reaches(got.greatest, want.Value)).
		OpenWhen(!reaches(got.least, want.Value) || reaches(got.widest, want.Value), moistheat.BetweenLimits).Met()

	q = ask.Limit(k.Ask(marginThin, at).When(thermal && !k.byPrint() && want.Value.IsValid()), want).Given(stated && read)
	if !q.Answered() {
		q.Got(guarded.shown().Value())
	}
	q.BrokenIf(!reaches(guarded.least, want.Value))

	a0 := k.b.Printed.A0
	q = k.Ask(printedContradicted, "/printed/a0").When(thermal && !k.byPrint() && a0.IsValid()).Given(t != nil).
		OpenWhen(other, moistheat.Contradictory).OpenWhen(!read, moistheat.NotMeasurable)
	if !q.Answered() {
		q.Of(a0.Value(), got.shown().Value())
	}
	q.BrokenIf(a0.Float64(units.One) > got.greatest*(1+1e-9))
}

// byPrint reports whether the A0 that a machine prints stands in for a log: the limits take it, and the
// machine is recorded to keep none. A log that is only absent may be one that shows too little.
func (k *checker) byPrint() bool {
	b := k.b
	return k.l.PrintedA0 != nil && b.Printed.A0.IsValid() && b.KeepsLog == moistheat.No && b.Trace == nil && b.Probes == 0
}

// printed judges by the A0 that a machine prints where there is no log.
func (k *checker) printed(q ask.Question, a0 units.Ratio, want moistheat.Figure[units.RatioUnit]) {
	if by := k.l.PrintedA0; by != nil {
		q.By(want.Source, *by)
	}
	q.Got(a0.Value()).BrokenWhen(want.Value.IsValid() && a0.Compare(want.Value) < 0)
	if k.byPrint() && want.Value.IsValid() {
		q.Met()
	}
}

// ofRun reports whether the log lies within the run, as far as both have times. These are written
// to the minute.
func (k *checker) ofRun() bool {
	t, b := k.b.Trace, k.b
	if t == nil || len(t.Time.Values) == 0 || !b.Ended.IsZero() && b.Ended.Before(b.Started) { // which is said by itself
		return true
	}
	end := units.FromFloat64(t.Time.Values[len(t.Time.Values)-1], 3, t.Time.Unit).Float64(units.Second)
	if !b.Started.IsZero() && !b.Ended.IsZero() && end > b.Ended.Sub(b.Started).Seconds()+60 {
		return false
	}
	if t.Start.IsZero() {
		return true
	}
	return !(!b.Started.IsZero() && t.Start.Before(b.Started.Add(-time.Minute)) ||
		!b.Ended.IsZero() && b.Ended.Sub(t.Start).Seconds()+60 < end)
}

// wanted returns the A0 for the class of the item that is asked about, or else for the strictest
// of what was carried.
func (k *checker) wanted() moistheat.Figure[units.RatioUnit] {
	classes := []packaging.Class{k.item}
	if k.item == "" {
		classes = nil
		for _, c := range k.b.Carried {
			classes = append(classes, c.Class)
		}
	}
	switch strictest(classes) {
	case packaging.Noncritical:
		return k.l.Noncritical
	case packaging.Semicritical:
		return k.l.Semicritical
	}
	return k.l.Critical
}

// strictest returns the strictest of classes: critical, where one is not recorded or there is none.
func strictest(classes []packaging.Class) packaging.Class {
	if len(classes) == 0 {
		return packaging.Critical
	}
	out := packaging.Noncritical
	for _, c := range classes {
		switch c {
		case packaging.Noncritical:
		case packaging.Semicritical:
			out = packaging.Semicritical
		default:
			return packaging.Critical
		}
	}
	return out
}

// takenOut asks what became of an item that was taken out: what holds soil is cleaned again
// or discarded, and nothing else is cured by cleaning, rust aside.
func (k *checker) takenOut(i int, at string) {
	o := &k.b.TakenOut[i]
	wrong := o.Reason == RetainedSoil && o.Then == Repair ||
		(o.Reason == Function || o.Reason == Damage) && o.Then == CleanedAgain
	k.Ask(itemKept, at).Given(o.Then != "").BrokenIf(wrong).
		With("item", o.Item).With("reason", string(o.Reason)).With("then", string(o.Then))
}
