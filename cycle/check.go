package cycle

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// Rules returns the rules of this package, sorted by ID. The caller owns the slice.
func Rules() []moistheat.Rule { return book.Rules() }

// Limits is what [Check] holds the evidence against. A figure without a valid value is
// not asked for.
type Limits struct {
	// Requirement is what the chosen table asks, as [Table.Lookup] found it, or the
	// zero Requirement if it found none.
	Requirement Requirement
	// Near are the rows to name where none fits, as [Table.Near] found them.
	Near []Requirement
	// Shorter is a row of another table that the same settings fit and that asks for
	// less time: where the time that was set is not on record, it may be the one that was
	// chosen.
	Shorter Requirement
	// Band is how far above the sterilization temperature the hold may be. A band
	// that the requirement itself states counts from the temperature of its row;
	// any other from the temperature that was set, if it is on record.
	Band moistheat.Figure[units.TemperatureDifferenceUnit]
	// Spread is how far apart two measuring points may be during the hold.
	Spread moistheat.Figure[units.TemperatureDifferenceUnit]
	// Saturation is how far the temperature may be from that of saturated steam.
	Saturation moistheat.Figure[units.TemperatureDifferenceUnit]
}

// Check asks the rules of this package about the evidence of one cycle: a rule without
// a finding does not apply. Pointers are relative to the evidence, such as
// "/trace/temperatures/1" or "/printed/holdTime", and lead to something that is there:
// what is missing is pointed to by the section that should hold it, "/printed", or by
// "" where the section is missing too. The Analysis is that of the trace, if there is
// one.
//
// A trace decides before printed readings do; readings that contradict it are
// broken all the same. Lethality decides nothing.
func Check(e *Evidence, l Limits) ([]moistheat.Finding, Analysis) {
	if e == nil {
		e = &Evidence{}
	}
	c := &checker{List: book.List(make([]moistheat.Finding, 0, 24)), e: e, l: l, req: l.Requirement}
	if e.Atmosphere.IsValid() {
		c.req.Atmosphere = e.Atmosphere
	}
	c.a = Analysis{Requirement: c.req}
	if e.Trace != nil {
		c.a = Analyze(e.Trace, c.req)
	}
	c.aborted()
	c.record()
	c.requirement()
	c.problems()
	c.hold()
	c.margin()
	c.setting()
	c.band()
	c.differences()
	c.printedSteam()
	c.equilibration()
	c.pulses()
	c.drying()
	c.event()
	c.Settle(e)
	return c.Findings, c.a
}

type checker struct {
	ask.List
	e   *Evidence
	l   Limits
	req Requirement
	a   Analysis

	doubtful bool // a printed reading is implausible
}

// Why a rule stays open, where several say the same.
func noTable() Doubt {
	return Doubt{moistheat.NoLimit, lang.Say("cycle-no-table: no table states what the cycle needs")}
}

func noRecording() Doubt {
	return Doubt{moistheat.Unrecorded, lang.Say("recording-only: only a recording shows it")}
}

func noHold() Doubt {
	return Doubt{moistheat.NotMeasurable, lang.Say("recording-no-hold: the recording shows no holding time")}
}

func unreadable() Doubt {
	return Doubt{moistheat.NotMeasurable, lang.Say("recording-unreadable: the recording cannot be read")}
}

func impossible() Doubt {
	return Doubt{moistheat.Contradictory, lang.Say("trace-numbers-wrong: the numbers cannot be right")}
}

func misprinted() Doubt {
	return Doubt{moistheat.Contradictory, lang.Say("printed-reading-wrong: a printed reading cannot be right")}
}

func noPressure() Doubt {
	return Doubt{moistheat.Unrecorded, lang.Say("chamber-pressure-unrecorded: no chamber pressure is recorded")}
}

// because leaves a question open.
func because(q ask.Question, d Doubt) ask.Question { return q.Open(d.Reason).Say("reason", d.Detail) }

// broken answers that a rule is broken, and by what.
func (c *checker) broken(rule ask.ID, pointer string, reason moistheat.Detail) {
	c.Ask(rule, pointer).Broken().Say("reason", reason)
}

// row says that the row of the table decides.
func (c *checker) row(q ask.Question) ask.Question {
	if !c.req.IsValid() {
		return q
	}
	return q.Table(c.req.String()).By(c.req.Source)
}

func (c *checker) aborted() {
	open := false
	for i, alarm := range c.e.Alarms {
		switch at := "/alarms/" + strconv.Itoa(i); {
		case strings.TrimSpace(alarm.Explanation) == "":
			open = true
			c.broken(aborted, at, lang.Data(alarm.Text))
		case strings.TrimSpace(alarm.By) == "": // nobody stands for the cause
			c.Ask(aborted, at+"/explanation").Open(moistheat.Unrecorded)
		}
	}
	switch {
	case c.e.Aborted == moistheat.Yes:
		c.broken(aborted, "/aborted", lang.Say("cycle-aborted: it was aborted"))
	case !open || c.e.Aborted == moistheat.NotRecorded:
		c.Ask(aborted, "/aborted").No(c.e.Aborted)
	}
	has, listed := c.e.HasAlarms, len(c.e.Alarms) > 0
	if has != moistheat.NotRecorded {
		c.Ask(alarmsContradicted, "/hasAlarms").OpenWhen(has == moistheat.Yes && !listed, moistheat.Unrecorded).
			BrokenIf(has == moistheat.No && listed)
	}
}

func (c *checker) record() {
	p, t := &c.e.Printed, ask.Some(c.e.Trace)
	var missing []string
	if len(t.Time.Values) == 0 && !p.HoldTime.IsValid() {
		missing = append(missing, lang.Term("reading: time"))
	}
	if !anyValues(t.Temperatures) && !p.MinimumTemperature.IsValid() && !p.MaximumTemperature.IsValid() {
		missing = append(missing, lang.Term("reading: temperature"))
	}
	if !anyValues(t.AbsolutePressures) && !anyValues(t.GaugePressures) &&
		len(p.pressures()) == 0 {
		missing = append(missing, lang.Term("reading: pressure"))
	}
	q := c.Ask(recordIncomplete, "").Known(missing == nil)
	if missing != nil {
		q.With("missing", strings.Join(missing, ", "))
	}
}

func anyValues[U, A units.Unit](channels []Channel[U, A]) bool {
	return slices.ContainsFunc(channels, func(c Channel[U, A]) bool { return c.Place != Jacket && len(c.Values) > 0 })
}

func (c *checker) requirement() {
	s := &c.e.Settings
	at := ask.Nearest(c.e, "/settings")
	if c.req.IsValid() {
		q := c.row(c.Ask(requirementNone, at).Of(s.Temperature.Value(), units.Value{}))
		if c.req.NotApplicable {
			because(q, Doubt{moistheat.NoLimit,
				lang.With("table-states: the table states {1:text}", c.req.described())})
		}
		q.Met()
		c.row(c.Ask(tablePrion, at)).BrokenIf(c.req.Prion == moistheat.Yes)
		c.pair(at)
		return
	}
	d := Doubt{moistheat.NoLimit, lang.With("table-no-row: no row has {1:text}", c.chosen())}
	if len(c.l.Near) > 0 {
		var near []moistheat.Detail
		for _, r := range c.l.Near {
			near = append(near, r.described())
		}
		d.Detail = lang.Join("; ", d.Detail,
			lang.With("table-nearest: the nearest: {1:text}", lang.Join(", ", near...)))
	}
	switch {
	case !s.Temperature.IsValid():
		d = Doubt{moistheat.Unrecorded,
			lang.Say("set-temperature-unrecorded: the temperature that was set is not recorded")}
	case s.AirRemoval == "":
		d = Doubt{moistheat.Unrecorded,
			lang.Say("table-air-removal-unrecorded: no row fits, and the air removal is not recorded")}
	}
	because(c.Ask(requirementNone, "/settings"), d)
}

// chosen says what the cycle was set to.
func (c *checker) chosen() moistheat.Detail {
	s := &c.e.Settings
	air, set := ask.AirRemoval(s.AirRemoval), lang.Data(s.Temperature.String())
	if !s.Hold.IsValid() {
		return lang.With("set-to: {1:text}, {2:number}", air, set)
	}
	return lang.With("set-to-time: {1:text}, {2:number}, {3:number}", air, set, lang.Data(s.Hold.String()))
}

// described says what a row states and in which document.
func (r Requirement) described() moistheat.Detail {
	of := strings.TrimSpace(r.Source.Document + " " + r.Source.Edition)
	if r.NotApplicable {
		return lang.Say("table-row-none: no cycle at {1:number} ({2})", r.Temperature.String(), of)
	}
	return lang.Say("table-row: {1:number} for {2:number} ({3})", r.Temperature.String(), r.Hold.String(), of)
}

// pair asks whether the time that was set is that of the row. Where it is not, somebody
// chose the wrong cycle: that is no fault of the sterilizer.
func (c *checker) pair(at string) {
	if !c.req.NotApplicable {
		q := c.row(c.Ask(settingShort, at)).MetWhen(c.e.Settings.Hold.IsValid() && !c.chosenShort())
		ask.AtLeast(q, c.e.Settings.Hold, c.req.Hold)
	}
}

// chosenShort reports whether the cycle was set to less time than its row states, and
// did not hold longer all the same.
func (c *checker) chosenShort() bool {
	return c.e.Settings.Hold.IsValid() && c.e.Settings.Hold.Compare(c.req.Hold) < 0 && c.heldFor().Compare(c.req.Hold) < 0
}

// heldFor returns how long the cycle held, by the recording or as printed.
func (c *checker) heldFor() units.Duration {
	if c.e.Trace != nil {
		return c.a.Hold
	}
	return c.e.Printed.HoldTime
}

// maybeChosen reports whether the hold is that of a row that asks for less, which may be
// the one that somebody chose: what was set is not on record.
func (c *checker) maybeChosen() bool {
	s, p, held := &c.l.Shorter, &c.e.Printed, c.heldFor()
	cold := p.MinimumTemperature.IsValid() &&
		p.MinimumTemperature.Compare(c.req.TemperatureIn(p.MinimumTemperature.Unit())) < 0
	return s.IsValid() && !c.e.Settings.Hold.IsValid() && !c.doubtful && !cold &&
		held.IsValid() && held.Compare(s.Hold) >= 0 && held.Compare(c.req.Hold) < 0
}

// problems judges what the analysis found wrong with the trace, and the printed
// readings by the same bounds.
func (c *checker) problems() {
	var found [traceUnreadable + 1]bool
	for _, p := range c.a.Problems {
		rule := p.Kind.rule()
		found[rule] = true
		c.broken(rule, "/trace"+p.Pointer, p.Detail)
	}
	before := len(c.Findings)
	c.readings()
	c.doubtful = len(c.Findings) > before
	if !c.doubtful && !found[traceImplausible] && (c.e.Trace != nil || c.e.Printed != Printed{}) {
		c.Ask(traceImplausible, "").Met()
	}
	if c.e.Trace == nil {
		return
	}
	timed := c.a.SampleInterval.IsValid()
	sensed := timed && !found[traceUnreadable]
	for _, r := range [...]struct {
		rule   ask.ID
		judged bool
	}{{traceUnreadable, true}, {traceGap, timed}, {sensorStuck, sensed}, {sensorSpike, sensed}} {
		switch {
		case found[r.rule]:
		case r.judged:
			c.Ask(r.rule, "/trace").Met()
		default:
			because(c.Ask(r.rule, "/trace"), unreadable())
		}
	}
}

// rule returns the rule that a problem breaks.
func (k ProblemKind) rule() ask.ID {
	switch k {
	case Implausible:
		return traceImplausible
	case Gap:
		return traceGap
	case Stuck:
		return sensorStuck
	case Spike:
		return sensorSpike
	}
	return traceUnreadable
}

// readings names the printed readings that no steam sterilizer gives.
func (c *checker) readings() {
	p := &c.e.Printed
	celsius := math.NaN() // the lowest that can be right, else the highest
	for _, t := range [...]struct {
		at string
		v  units.Temperature
	}{{"/printed/maximumTemperature", p.MaximumTemperature}, {"/printed/minimumTemperature", p.MinimumTemperature}} {
		if !t.v.IsValid() {
			continue
		}
		if celsius = t.v.Float64(units.Celsius); !(celsius >= minCelsius && celsius <= maxCelsius) {
			celsius = math.NaN()
			c.broken(traceImplausible, t.at,
				lang.Say("printed-temperature-unit: {1:number} is not a temperature of a steam sterilizer; "+
					"check its unit", t.v.String()))
		}
	}
	if p.MinimumTemperature.Compare(p.MaximumTemperature) > 0 && p.MaximumTemperature.IsValid() {
		c.broken(traceImplausible, "/printed/maximumTemperature",
			lang.Say("printed-temperatures-crossed: the highest temperature is below the lowest"))
	}
	if s := p.HoldTime.Float64(units.Second); p.HoldTime.IsValid() && !(s >= 0 && s <= maxSeconds) {
		c.broken(traceImplausible, "/printed/holdTime",
			lang.Say("printed-hold-unit: a holding time of {1:number} is not one of a steam sterilizer; check "+
				"its unit", p.HoldTime.String()))
	}
	atmosphere := c.req.Atmosphere.Float64(units.Kilopascal)
	for _, q := range p.pressures() {
		number, factor := q.value.Decimal().InexactFloat64(), 1.0 // as printed, and kPa in one of its unit
		if q.kPa != 0 {
			factor = q.kPa / number
		}
		number = q.kPa / factor
		if problem := rangeProblem(number, number, factor, q.gauge); problem.IsValid() {
			c.broken(traceImplausible, q.at,
				lang.With("printed-pressure-range: {1:number}, {2:text}", lang.Data(q.value.String()), problem))
		} else if fit := betterReading(number, factor, q.gauge, atmosphere, celsius); fit != "" {
			c.broken(traceImplausible, q.at,
				lang.Say("printed-pressure-unit: {1:number} is far from saturated steam at the printed "+
					"temperature; the number fits {2:number}",
					q.value.String(), fit))
		}
	}
	if p.MinimumAbsolutePressure.Compare(p.MaximumAbsolutePressure) > 0 && p.MaximumAbsolutePressure.IsValid() {
		c.broken(traceImplausible, "/printed/maximumAbsolutePressure",
			lang.Say("printed-pressures-crossed: the highest pressure is below the lowest"))
	}
	if p.MinimumGaugePressure.Compare(p.MaximumGaugePressure) > 0 && p.MaximumGaugePressure.IsValid() {
		c.broken(traceImplausible, "/printed/maximumGaugePressure",
			lang.Say("printed-pressures-crossed: the highest pressure is below the lowest"))
	}
}

// doubt says why a trace does not give a hold, or leaves a longer one open.
func (a *Analysis) doubt() Doubt {
	d := Doubt{Reason: moistheat.NotMeasurable}
	switch {
	case !a.Hold.IsValid():
		d.Detail = lang.Say("trace-nothing-to-judge: there is nothing to judge it by")
		for _, p := range a.Problems {
			if p.Kind == Gap || p.Kind == Spike {
				continue
			}
			if p.Kind != TooFewSamples && p.Kind != NoTemperature {
				d.Reason = moistheat.Contradictory
			}
			d.Detail = p.Detail
			break
		}
	case a.Has(Gap):
		d.Detail = lang.Say("trace-samples-missing: samples are missing, so that the holding time may be longer " +
			"than they show")
	case a.Coarse:
		d.Detail = lang.Say("trace-samples-apart: the samples are {1:number} apart, so that the holding time "+
			"may be longer than they show",
			a.SampleInterval.String())
	case a.Has(Spike):
		d.Detail = lang.Say("trace-jump-in-hold: a reading jumps away and back during the holding time")
	default:
		d.Detail = lang.Say("trace-cut-in-hold: the recording begins or ends during the holding time")
	}
	return d
}

// held judges one hold: that of the requirement by its rule, or what was set.
func (c *checker) held(rule ask.ID, a *Analysis, req Requirement) {
	at := func(pointer string, measured, limit units.Value) ask.Question {
		if rule == settingMissed {
			return c.Ask(rule, "/settings").Of(measured, limit)
		}
		what := lang.Say("holding-time: Holding time")
		if _, cold := units.Of[units.TemperatureUnit](limit); cold {
			what = lang.Say("holding-temperature: Temperature during the holding time")
		}
		return c.row(c.Ask(rule, pointer).Of(measured, limit).Say("what", what))
	}
	p, hold := &c.e.Printed, req.Hold.Value()
	coldest := req.TemperatureIn(p.MinimumTemperature.Unit())
	short := p.HoldTime.IsValid() && p.HoldTime.Compare(req.Hold) < 0
	cold := p.MinimumTemperature.IsValid() && p.MinimumTemperature.Compare(coldest) < 0
	if short && !c.doubtful {
		at("/printed/holdTime", p.HoldTime.Value(), hold).Broken()
	}
	if cold && !c.doubtful {
		at("/printed/minimumTemperature", p.MinimumTemperature.Value(), coldest.Value()).Broken()
	}
	switch {
	case c.e.Trace == nil:
		c.printed(at, req, short || cold)
	case a.Hold.IsValid() && a.Hold.Compare(req.Hold) >= 0:
		if c.doubtful || !short && !cold { // else the readings speak against it
			at("/trace", a.Hold.Value(), hold).Met()
		}
	case a.mayReach(req.Hold):
		because(at("/trace", a.Hold.Value(), hold), a.doubt())
	default:
		at("/trace", a.Hold.Value(), hold).Broken()
	}
}

// printed judges a hold without a recording, unless the printed readings break it.
func (c *checker) printed(
	at func(pointer string, measured, limit units.Value) ask.Question, req Requirement, broken bool,
) {
	p, none, hold := &c.e.Printed, units.Value{}, req.Hold.Value()
	missing := func(pointer string, measured units.Value, detail moistheat.Detail) {
		because(at(pointer, measured, hold), Doubt{moistheat.Unrecorded, detail})
	}
	switch {
	case c.doubtful:
		because(at("/printed", none, hold), misprinted())
	case broken:
	case *p == Printed{}:
		missing("", none, lang.Say("cycle-nothing-recorded: there is neither a recording nor a printed reading"))
	case !p.HoldTime.IsValid():
		missing("/printed/holdTime", none, lang.Say("hold-unrecorded: the holding time is not recorded"))
	case !p.MinimumTemperature.IsValid():
		missing("/printed/minimumTemperature", p.HoldTime.Value(),
			lang.Say("hold-lowest-unrecorded: the lowest temperature during the holding time is not recorded"))
	default:
		at("/printed/holdTime", p.HoldTime.Value(), hold).Met()
	}
}

func (c *checker) hold() {
	switch {
	case !c.req.IsValid():
		because(c.Ask(holdShort, ""), noTable())
	case c.req.NotApplicable || c.chosenShort(): // what was chosen is at fault
	case c.maybeChosen():
		because(c.row(c.Ask(holdShort, "").Of(c.heldFor().Value(), c.req.Hold.Value())), Doubt{moistheat.Unrecorded,
			lang.With("set-time-unrecorded: the time that was set is not on record, and there is also {1:text}",
				c.l.Shorter.described())})
	default:
		c.held(holdShort, &c.a, c.req)
	}
}

// set returns the settings as a requirement of their own.
func (c *checker) set() Requirement {
	s := &c.e.Settings
	r := Requirement{Temperature: s.Temperature, Stated: Stated{Hold: s.Hold}, Atmosphere: c.req.Atmosphere}
	if c.req.IsValid() && c.req.TemperatureIn(s.Temperature.Unit()).Compare(s.Temperature) == 0 {
		r.Temperature, r.AlsoPrinted = c.req.Temperature, c.req.AlsoPrinted
	}
	return r
}

func (c *checker) setting() {
	s := &c.e.Settings
	missing := func(pointer, what string) {
		because(c.Ask(settingMissed, pointer), Doubt{moistheat.Unrecorded,
			lang.Say("setting-unrecorded: the {1:reading} that was set is not recorded", what)})
	}
	switch {
	case !s.Temperature.IsValid():
		missing("/settings/temperature", "temperature")
		return
	case !s.Hold.IsValid():
		missing("/settings/hold", "time")
		return
	}
	r, a := c.set(), c.a
	if c.e.Trace != nil && r.Temperature != c.req.Temperature {
		a = Analyze(c.e.Trace, r)
	}
	c.held(settingMissed, &a, r)
}

func (c *checker) band() {
	l := c.l.Band
	if !l.Value.IsValid() {
		return
	}
	if !c.req.IsValid() {
		q := c.Ask(bandAbove, "").Of(units.Value{}, l.Value.Value()).By(l.Source)
		because(q, Doubt{moistheat.NoLimit,
			lang.Say("cycle-no-temperature: no table states the temperature that the cycle needs")})
		return
	}
	base := c.req
	own := c.req.Band.Compare(l.Value) == 0 && c.req.BandSource == l.Source
	if c.e.Settings.Temperature.IsValid() && !own {
		base = c.set()
	}
	measured, pointer := c.a.Hottest.Temperature, "/trace"
	if c.e.Trace == nil {
		measured, pointer = c.e.Printed.MaximumTemperature, "/printed/maximumTemperature"
	}
	upper := base.UpperIn(measured.Unit(), l.Value)
	q := c.Ask(bandAbove, pointer).Of(measured.Value(), upper.Value()).By(l.Source)
	switch {
	case !measured.IsValid() && c.e.Trace != nil:
		because(q, noHold())
	case !measured.IsValid():
		because(q, Doubt{moistheat.Unrecorded,
			lang.Say("hold-highest-unrecorded: the highest temperature during the holding time is not recorded")})
	case !upper.IsValid() || c.e.Trace == nil && c.doubtful || c.e.Trace != nil && !c.a.Hold.IsValid():
		because(q, impossible())
	default:
		ask.AtMost(q, measured, upper)
	}
}

// differences judges the spread between points and the agreement with the steam.
func (c *checker) differences() {
	spread, saturation := noHold(), c.a.Saturation.Doubt
	switch {
	case c.e.Trace == nil:
		spread, saturation = noRecording(), noRecording()
	case c.a.Intervals > 0:
		spread = Doubt{moistheat.Unrecorded,
			lang.Say("trace-one-point: fewer than two measuring points are on record")}
	}
	if saturation == (Doubt{}) {
		saturation = noHold()
	}
	for _, d := range [...]struct {
		rule     ask.ID
		limit    moistheat.Figure[units.TemperatureDifferenceUnit]
		measured units.TemperatureDifference
		doubt    Doubt
	}{
		{spreadWide, c.l.Spread, c.a.Spread, spread},
		{saturationApart, c.l.Saturation, c.a.Saturation.Difference, saturation},
	} {
		if !d.limit.Value.IsValid() {
			continue
		}
		q := c.Ask(d.rule, "/trace").Of(d.measured.Value(), d.limit.Value.Value()).By(d.limit.Source)
		switch {
		case !d.measured.IsValid():
			because(q, d.doubt)
		case !c.a.Hold.IsValid():
			because(q, impossible())
		default:
			ask.AtMost(q, d.measured, d.limit.Value)
		}
	}
}

// equilibration judges how far the last point lags behind the reference point.
func (c *checker) equilibration() {
	took, limit, most := c.a.Equilibration, c.req.Equilibration, c.req.EquilibrationMax
	if !limit.IsValid() {
		return
	}
	q := c.Ask(equilibrationLong, "/trace").Of(took.Value(), limit.Value())
	q.Table(c.req.String()).By(c.req.EquilibrationSource)
	switch {
	case c.e.Trace == nil:
		because(q, noRecording())
	case !c.a.Hold.IsValid():
		because(q, impossible())
	case c.a.Intervals == 0:
		because(q, noHold())
	case !took.IsValid():
		because(q, Doubt{moistheat.NotMeasurable,
			lang.Say("trace-reference-not-reached: in the recording the reference point does not reach the " +
				"temperature")})
	case c.a.Coarse:
		because(q, Doubt{moistheat.NotMeasurable, lang.Say("trace-samples-too-far: the samples are too far apart")})
	case !most.IsValid() || took.Compare(limit) <= 0:
		ask.AtMost(q, took, limit)
	case took.Compare(most) <= 0:
		because(q, Doubt{moistheat.BetweenLimits,
			lang.Say("equilibration-not-for-all: it took {1:number}, which is not allowed to every sterilizer",
				took.String())})
	default:
		ask.AtMost(q, took, most)
	}
}

// margin judges the hold with the accuracy of the sensors taken off.
func (c *checker) margin() {
	if c.req.NotApplicable {
		return
	}
	g, need := &c.a.GuardBand, c.req.Hold
	q := c.row(c.Ask(holdMargin, "/trace").Of(g.Hold.Value(), need.Value()))
	switch {
	case !c.req.IsValid():
		because(q.At(""), noTable())
	case c.e.Trace == nil:
		because(q.At("/printed"), noRecording())
	case !c.a.Hold.IsValid():
		because(q, c.a.doubt())
	case !g.Hold.IsValid():
		because(q, g.Doubt)
	case g.Hold.Compare(need) >= 0:
		q.Met().With("falseAcceptance", g.FalseAcceptance.String())
	case !g.Possible.IsValid() || g.Possible.Compare(need) >= 0:
		because(q, c.a.doubt())
	default:
		q.Broken()
	}
}

// pulses compares the air removal that was set with what the pressure shows.
func (c *checker) pulses() {
	set, shows := c.e.Settings.AirRemoval, &c.a.Profile
	if c.e.Trace == nil || set == moistheat.GravityDisplacement {
		return
	}
	shown := len(shows.Pulses) > 0
	if set == moistheat.DynamicAirRemoval {
		shown = shows.vacuums() > 0
	}
	q := c.Ask(pulsesNone, "/trace")
	switch {
	case set == "":
		because(q, Doubt{moistheat.Unrecorded,
			lang.Say("set-air-removal-unrecorded: the air removal that was set is not recorded")})
	case shows.Reason != "":
		because(q, shows.Doubt)
	case len(shows.Phases) == 0:
		because(q, unreadable())
	case !c.a.Hold.IsValid():
		because(q, impossible())
	case !shown && !shows.FromRest:
		because(q, Doubt{moistheat.NotMeasurable,
			lang.Say("trace-begins-late: the recording begins when the cycle was under way")})
	case !shown && (c.a.Coarse || c.a.Has(Gap)):
		because(q, Doubt{moistheat.NotMeasurable,
			lang.Say("trace-pulses-between: pulses may lie between the samples")})
	default:
		q.BrokenIf(!shown).Say("set", ask.AirRemoval(set))
	}
}

// drying judges how long the load dried: as printed, else as recorded, else as set.
func (c *checker) drying() {
	least := c.req.DryingMin
	if !least.IsValid() {
		return
	}
	dried, pointer, cut := c.e.Printed.DryingTime, "/printed/dryingTime", false
	if phase, ok := c.a.Profile.Phase(Drying); !dried.IsValid() && ok && c.a.Hold.IsValid() {
		dried, pointer = phase.Length(), "/trace"
		cut = c.a.Profile.DryingCut && dried.Compare(least) < 0
	}
	if !dried.IsValid() && c.e.Settings.Drying.IsValid() {
		dried, pointer = c.e.Settings.Drying, "/settings/drying"
	}
	q := c.row(c.Ask(dryingShort, pointer).Of(dried.Value(), least.Value()))
	if cut {
		q.Open(moistheat.NotMeasurable)
	}
	ask.AtLeast(q, dried, least)
}

func notReached() Doubt {
	return Doubt{moistheat.NotMeasurable,
		lang.Say("temperature-not-reached: the required temperature was not reached, or no table states one")}
}

func noAtmosphere() Doubt {
	return Doubt{moistheat.Unrecorded,
		lang.Say("site-pressure-unrecorded: a gauge pressure means nothing without the atmospheric pressure of " +
			"the site")}
}
