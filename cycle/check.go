package cycle

import (
	"math"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
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
	// Band is how far above the sterilization temperature the hold may be. A band
	// that the requirement itself states counts from the temperature of its row;
	// any other from the temperature that was set, if it is on record.
	Band moistheat.Figure[units.TemperatureDifferenceUnit]
	// Spread is how far apart two measuring points may be during the hold.
	Spread moistheat.Figure[units.TemperatureDifferenceUnit]
	// Saturation is how far the temperature may be from that of saturated steam.
	Saturation moistheat.Figure[units.TemperatureDifferenceUnit]
}

// Check applies every rule of this package to the evidence of one cycle. The
// findings have all outcomes, those that do not apply included. Their pointers are
// relative to the evidence, such as "/trace/temperatures/1" or "/printed/holdTime",
// and lead to something that is there: what is missing is pointed to by the section
// that should hold it, "/printed", or by "" where the section is missing too. The
// Analysis is that of the trace, if there is one.
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
	c.plausible()
	c.readable()
	c.hold()
	c.margin()
	c.setting()
	c.band()
	c.differences()
	c.equilibration()
	c.pulses()
	c.drying()
	for i := range c.Findings {
		f := &c.Findings[i]
		f.Pointer = e.nearest(f.Pointer)
	}
	return c.Findings, c.a
}

// nearest returns the pointer to a part of e, or to what should hold it if it is
// not there.
func (e *Evidence) nearest(pointer string) string {
	s, p := &e.Settings, &e.Printed
	var there bool
	switch pointer {
	case "/aborted":
		there = e.Aborted != moistheat.NotRecorded
	case "/settings":
		there = *s != Settings{}
	case "/settings/temperature":
		there = s.Temperature.IsValid()
	case "/settings/hold":
		there = s.Hold.IsValid()
	case "/settings/drying":
		there = s.Drying.IsValid()
	case "/printed":
		there = *p != Printed{}
	case "/printed/holdTime":
		there = p.HoldTime.IsValid()
	case "/printed/minimumTemperature":
		there = p.MinimumTemperature.IsValid()
	case "/printed/maximumTemperature":
		there = p.MaximumTemperature.IsValid()
	case "/printed/absolutePressure":
		there = p.AbsolutePressure.IsValid()
	case "/printed/gaugePressure":
		there = p.GaugePressure.IsValid()
	case "/printed/dryingTime":
		there = p.DryingTime.IsValid()
	default:
		there = e.Trace != nil || !strings.HasPrefix(pointer, "/trace")
	}
	if there {
		return pointer
	}
	return e.nearest(pointer[:strings.LastIndexByte(pointer, '/')]) // "" is always there
}

type checker struct {
	ask.List
	e   *Evidence
	l   Limits
	req Requirement
	a   Analysis

	doubtful bool // a printed reading is implausible
}

// because adds a finding with the reason for it.
func (c *checker) because(r ask.ID, o moistheat.Outcome, pointer, reason string) *moistheat.Finding {
	return ask.With(c.Add(r, o, pointer), "reason", reason)
}

// asked marks a finding as decided by the row of the table.
func (c *checker) asked(f *moistheat.Finding, measured, limit units.Value) {
	f.Measured, f.Limit = measured, limit
	if c.req.IsValid() {
		f.Table, f.Sources = c.req.String(), moistheat.SourcesOf(c.req.Source)
	}
}

// limited marks a finding as decided by a limit of the policy.
func limited(f *moistheat.Finding, l moistheat.Figure[units.TemperatureDifferenceUnit], measured, limit units.Value) {
	f.Measured, f.Limit = measured, limit
	if l.Source.Document != "" {
		f.Sources = moistheat.SourcesOf(l.Source)
	}
}

func (c *checker) aborted() {
	open := false
	for i, alarm := range c.e.Alarms {
		if strings.TrimSpace(alarm.Explanation) == "" {
			open = true
			c.because(aborted, moistheat.Broken, "/alarms/"+strconv.Itoa(i), alarm.Text)
		}
	}
	switch {
	case c.e.Aborted == moistheat.Yes:
		c.because(aborted, moistheat.Broken, "/aborted", "it was aborted")
	case c.e.Aborted == moistheat.NotRecorded:
		c.Add(aborted, moistheat.Undetermined, "/aborted")
	case !open:
		c.Add(aborted, moistheat.Met, "/aborted")
	}
}

func (c *checker) record() {
	p, t := &c.e.Printed, c.e.Trace
	timed, hot, pressed := false, false, false
	if t != nil {
		timed = len(t.Time.Values) > 0
		hot = anyValues(t.Temperatures)
		pressed = anyValues(t.AbsolutePressures) || anyValues(t.GaugePressures)
	}
	var missing []string
	if !timed && !p.HoldTime.IsValid() {
		missing = append(missing, "time")
	}
	if !hot && !p.MinimumTemperature.IsValid() && !p.MaximumTemperature.IsValid() {
		missing = append(missing, "temperature")
	}
	if !pressed && !p.AbsolutePressure.IsValid() && !p.GaugePressure.IsValid() {
		missing = append(missing, "pressure")
	}
	if missing == nil {
		c.Add(recordIncomplete, moistheat.Met, "")
		return
	}
	f := c.Add(recordIncomplete, moistheat.Undetermined, "")
	ask.With(f, "missing", strings.Join(missing, ", "))
}

func anyValues[U, A units.Unit](channels []Channel[U, A]) bool {
	for i := range channels {
		if channels[i].Place != Jacket && len(channels[i].Values) > 0 {
			return true
		}
	}
	return false
}

func (c *checker) requirement() {
	switch s := &c.e.Settings; {
	case c.req.IsValid():
		c.asked(c.Add(requirementNone, ask.If(c.req.NotApplicable), "/settings"), s.Temperature.Value(), units.Value{})
	case !s.Temperature.IsValid():
		c.because(requirementNone, moistheat.Undetermined, "/settings", "the temperature that was set is not on record")
	case s.AirRemoval == "":
		c.because(requirementNone, moistheat.Undetermined, "/settings", "no row fits, and the air removal is not on record")
	default:
		c.because(requirementNone, moistheat.Undetermined, "/settings", "no row fits a "+string(s.AirRemoval)+" cycle at "+s.Temperature.String())
	}
}

// plausible judges the numbers of the trace and of the printed readings.
func (c *checker) plausible() {
	broken := func(pointer, reason string) {
		c.because(traceImplausible, moistheat.Broken, pointer, reason)
	}
	before := len(c.Findings)
	for _, p := range c.a.Problems {
		if p.Kind == Implausible {
			broken("/trace"+p.Pointer, p.Detail)
		}
	}
	traced := len(c.Findings)
	p := &c.e.Printed
	celsius := math.NaN()
	for _, t := range [...]struct {
		at string
		v  units.Temperature
	}{{"/printed/maximumTemperature", p.MaximumTemperature}, {"/printed/minimumTemperature", p.MinimumTemperature}} {
		if v := t.v.Float64(units.Celsius); t.v.IsValid() {
			if celsius = v; !(v >= minCelsius && v <= maxCelsius) {
				broken(t.at, t.v.String()+" is not a temperature of a steam sterilizer; look at its unit")
				celsius = math.NaN()
			}
		}
	}
	if p.MinimumTemperature.IsValid() && p.MaximumTemperature.IsValid() && p.MinimumTemperature.Compare(p.MaximumTemperature) > 0 {
		broken("/printed/maximumTemperature", "the highest temperature is below the lowest")
	}
	if p.HoldTime.IsValid() && !(p.HoldTime.Float64(units.Second) >= 0 && p.HoldTime.Float64(units.Second) <= maxSeconds) {
		broken("/printed/holdTime", "a hold of "+p.HoldTime.String()+" is not one of a steam sterilizer; look at its unit")
	}
	atmosphere := c.e.Atmosphere.Float64(units.Kilopascal)
	for _, q := range [...]struct {
		at    string
		v     units.Value
		kPa   float64
		gauge bool
	}{
		{"/printed/absolutePressure", p.AbsolutePressure.Value(), p.AbsolutePressure.Float64(units.Kilopascal), false},
		{"/printed/gaugePressure", p.GaugePressure.Value(), p.GaugePressure.Float64(units.KilopascalGauge), true},
	} {
		if !q.v.IsValid() {
			continue
		}
		factor := q.kPa / q.v.Decimal().InexactFloat64() // of the unit; NaN for a reading of zero
		if q.kPa == 0 {
			factor = 1
		}
		if problem := rangeProblem(q.kPa/factor, q.kPa/factor, factor, q.gauge); problem != "" {
			broken(q.at, q.v.String()+", "+problem)
		} else if fit := betterReading(q.kPa/factor, factor, q.gauge, atmosphere, celsius); fit != "" {
			broken(q.at, q.v.String()+" is far from saturated steam at the printed temperature; the number fits "+fit)
		}
	}
	c.doubtful = len(c.Findings) > traced
	switch {
	case len(c.Findings) > before:
	case c.e.Trace == nil && *p == (Printed{}):
		c.Skip(traceImplausible, "")
	default:
		c.Add(traceImplausible, moistheat.Met, "")
	}
}

// readable reports the problems of the trace that are no matter of plausibility.
func (c *checker) readable() {
	if c.e.Trace == nil {
		c.Skip(traceUnreadable, "")
		c.Skip(traceGap, "")
		c.Skip(sensorStuck, "")
		c.Skip(sensorSpike, "")
		return
	}
	unreadable, gap, stuck, spike := false, false, false, false
	for _, p := range c.a.Problems {
		switch p.Kind {
		case Implausible:
		case Gap:
			gap = true
			c.because(traceGap, moistheat.Broken, "/trace"+p.Pointer, p.Detail)
		case Stuck:
			stuck = true
			c.because(sensorStuck, moistheat.Broken, "/trace"+p.Pointer, p.Detail)
		case Spike:
			spike = true
			c.because(sensorSpike, moistheat.Broken, "/trace"+p.Pointer, p.Detail)
		default:
			unreadable = true
			c.because(traceUnreadable, moistheat.Broken, "/trace"+p.Pointer, p.Detail)
		}
	}
	if !unreadable {
		c.Add(traceUnreadable, moistheat.Met, "/trace")
	}
	for _, r := range [...]struct {
		rule   ask.ID
		broken bool
		judged bool
	}{{traceGap, gap, c.a.SampleInterval.IsValid()}, {sensorStuck, stuck, !unreadable}, {sensorSpike, spike, !unreadable}} {
		switch {
		case r.broken:
		case r.judged:
			c.Add(r.rule, moistheat.Met, "/trace")
		default:
			c.because(r.rule, moistheat.Undetermined, "/trace", "the recording can not be read")
		}
	}
}

// doubt says why a trace does not give a hold, or leaves a longer one open.
func doubt(a *Analysis) string {
	switch {
	case !a.Hold.IsValid():
		for _, p := range a.Problems {
			if p.Kind != Gap && p.Kind != Spike {
				return p.Detail
			}
		}
		return "there is nothing to judge it by"
	case a.Has(Gap):
		return "samples are missing, so that the hold may have been longer than what they show"
	case a.Coarse:
		return "the samples are " + a.SampleInterval.String() + " apart, so that the hold may have been longer than what they show"
	}
	if a.Has(Spike) {
		return "a reading jumps away and back during the hold"
	}
	return "the recording begins or ends during the hold"
}

// held judges one hold: of a requirement or of a setting. The findings point to
// where, or to the readings themselves where that is "".
func (c *checker) held(rule ask.ID, a *Analysis, req Requirement, where string, mark func(f *moistheat.Finding, measured, limit units.Value)) {
	p := &c.e.Printed
	at := func(pointer string) string {
		if where != "" {
			return where
		}
		return pointer
	}
	add := func(o moistheat.Outcome, pointer, reason string, measured, limit units.Value) {
		f := c.Add(rule, o, at(pointer))
		if reason != "" {
			ask.With(f, "reason", reason)
		}
		mark(f, measured, limit)
	}
	hold := req.Hold.Value()
	coldest := req.TemperatureIn(p.MinimumTemperature.Unit())
	short := p.HoldTime.IsValid() && p.HoldTime.Compare(req.Hold) < 0
	cold := p.MinimumTemperature.IsValid() && p.MinimumTemperature.Compare(coldest) < 0
	if !c.doubtful {
		if short {
			add(moistheat.Broken, "/printed/holdTime", "", p.HoldTime.Value(), hold)
		}
		if cold {
			add(moistheat.Broken, "/printed/minimumTemperature", "", p.MinimumTemperature.Value(), coldest.Value())
		}
	}
	switch {
	case a.Hold.IsValid() && a.Hold.Compare(req.Hold) >= 0: // of a recording
		if c.doubtful || !short && !cold { // else the readings speak against it
			add(moistheat.Met, "/trace", "", a.Hold.Value(), hold)
		}
	case c.e.Trace != nil && a.mayReach(req.Hold):
		add(moistheat.Undetermined, "/trace", doubt(a), a.Hold.Value(), hold)
	case c.e.Trace != nil:
		add(moistheat.Broken, "/trace", "", a.Hold.Value(), hold)
	case c.doubtful:
		add(moistheat.Undetermined, "/printed", "a printed reading can not be right", units.Value{}, hold)
	case short || cold:
	case *p == (Printed{}):
		add(moistheat.Undetermined, "", "there is neither a recording nor a printed reading", units.Value{}, hold)
	case !p.HoldTime.IsValid():
		add(moistheat.Undetermined, "/printed/holdTime", "the hold time is not on record", units.Value{}, hold)
	case !p.MinimumTemperature.IsValid():
		add(moistheat.Undetermined, "/printed/minimumTemperature", "the lowest temperature during the hold is not on record", p.HoldTime.Value(), hold)
	default:
		add(moistheat.Met, "/printed/holdTime", "", p.HoldTime.Value(), hold)
	}
}

func (c *checker) hold() {
	switch {
	case !c.req.IsValid():
		c.because(holdShort, moistheat.Undetermined, "", "no table states what the cycle needs")
	case c.req.NotApplicable:
		c.Skip(holdShort, "")
	default:
		c.held(holdShort, &c.a, c.req, "", c.asked)
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
	switch {
	case !s.Temperature.IsValid():
		c.because(settingMissed, moistheat.Undetermined, "/settings/temperature", "the temperature that was set is not on record")
		return
	case !s.Hold.IsValid():
		c.because(settingMissed, moistheat.Undetermined, "/settings/hold", "the time that was set is not on record")
		return
	}
	r, a := c.set(), c.a
	if c.e.Trace != nil && r.Temperature != c.req.Temperature {
		a = Analyze(c.e.Trace, r)
	}
	c.held(settingMissed, &a, r, "/settings", func(f *moistheat.Finding, measured, limit units.Value) {
		f.Measured, f.Limit = measured, limit
	})
}

func (c *checker) band() {
	l := c.l.Band
	if !l.Value.IsValid() {
		c.Skip(bandAbove, "")
		return
	}
	if !c.req.IsValid() {
		limited(c.because(bandAbove, moistheat.Undetermined, "", "no table states the temperature that the cycle needs"), l, units.Value{}, l.Value.Value())
		return
	}
	base := c.req
	own := c.req.Band.Compare(l.Value) == 0 && c.req.BandSource == l.Source
	if s := c.e.Settings.Temperature; s.IsValid() && !own {
		base = c.set()
	}
	measured, pointer := c.a.Hottest.Temperature, "/trace"
	if c.e.Trace == nil {
		measured, pointer = c.e.Printed.MaximumTemperature, "/printed/maximumTemperature"
	}
	upper := base.UpperIn(measured.Unit(), l.Value)
	switch {
	case !measured.IsValid() && c.e.Trace != nil:
		limited(c.because(bandAbove, moistheat.Undetermined, pointer, "the recording shows no hold"), l, units.Value{}, units.Value{})
	case !measured.IsValid():
		limited(c.because(bandAbove, moistheat.Undetermined, pointer, "the highest temperature during the hold is not on record"), l, units.Value{}, units.Value{})
	case !upper.IsValid() || c.e.Trace == nil && c.doubtful || c.e.Trace != nil && !c.a.Hold.IsValid():
		limited(c.because(bandAbove, moistheat.Undetermined, pointer, "the numbers can not be right"), l, measured.Value(), upper.Value())
	default:
		limited(c.Add(bandAbove, ask.If(measured.Compare(upper) > 0), pointer), l, measured.Value(), upper.Value())
	}
}

// differences judges the spread between points and the agreement with the steam.
func (c *checker) differences() {
	spread := "fewer than two measuring points are on record"
	saturation := c.a.Saturation.Reason
	if c.e.Trace == nil {
		spread, saturation = "only a recording shows it", "only a recording shows it"
	} else if c.a.Intervals == 0 {
		spread = "the recording shows no hold"
	}
	if saturation == "" {
		saturation = "the recording shows no hold"
	}
	for _, d := range [...]struct {
		rule     ask.ID
		limit    moistheat.Figure[units.TemperatureDifferenceUnit]
		measured units.TemperatureDifference
		reason   string
	}{
		{spreadWide, c.l.Spread, c.a.Spread, spread},
		{saturationApart, c.l.Saturation, c.a.Saturation.Difference, saturation},
	} {
		limit, measured := d.limit.Value.Value(), d.measured.Value()
		switch {
		case !d.limit.Value.IsValid():
			c.Skip(d.rule, "")
		case !d.measured.IsValid():
			limited(c.because(d.rule, moistheat.Undetermined, "/trace", d.reason), d.limit, measured, limit)
		case !c.a.Hold.IsValid():
			limited(c.because(d.rule, moistheat.Undetermined, "/trace", "the numbers can not be right"), d.limit, measured, limit)
		default:
			limited(c.Add(d.rule, ask.If(d.measured.Compare(d.limit.Value) > 0), "/trace"), d.limit, measured, limit)
		}
	}
}

// equilibration judges how far the last point lags behind the reference point.
func (c *checker) equilibration() {
	limit, most := c.req.Equilibration, c.req.EquilibrationMax
	if !limit.IsValid() {
		c.Skip(equilibrationLong, "")
		return
	}
	took := c.a.Equilibration
	add := func(o moistheat.Outcome, reason string) {
		f := c.Add(equilibrationLong, o, "/trace")
		if reason != "" {
			ask.With(f, "reason", reason)
		}
		f.Measured, f.Limit = took.Value(), limit.Value()
		if o == moistheat.Broken && most.IsValid() {
			f.Limit = most.Value()
		}
		f.Table, f.Sources = c.req.String(), moistheat.SourcesOf(c.req.EquilibrationSource)
	}
	switch {
	case c.e.Trace == nil:
		add(moistheat.Undetermined, "only a recording shows it")
	case !c.a.Hold.IsValid():
		add(moistheat.Undetermined, "the numbers can not be right")
	case c.a.Intervals == 0:
		add(moistheat.Undetermined, "the recording shows no hold")
	case !took.IsValid():
		add(moistheat.Undetermined, "the recording does not show the reference point reach the temperature")
	case c.a.Coarse:
		add(moistheat.Undetermined, "the samples are too far apart")
	case took.Compare(limit) <= 0:
		add(moistheat.Met, "")
	case most.IsValid() && took.Compare(most) <= 0:
		add(moistheat.Undetermined, "it took "+took.String()+", which is not allowed to every sterilizer")
	default:
		add(moistheat.Broken, "")
	}
}

// margin judges the hold with the accuracy of the sensors taken off.
func (c *checker) margin() {
	g, need := &c.a.GuardBand, c.req.Hold
	undetermined := func(pointer, reason string) {
		c.asked(c.because(holdMargin, moistheat.Undetermined, pointer, reason), g.Hold.Value(), need.Value())
	}
	switch {
	case c.req.NotApplicable:
		c.Skip(holdMargin, "")
	case !c.req.IsValid():
		undetermined("", "no table states what the cycle needs")
	case c.e.Trace == nil:
		undetermined("/printed", "only a recording shows it")
	case !c.a.Hold.IsValid():
		undetermined("/trace", doubt(&c.a))
	case !g.Hold.IsValid():
		undetermined("/trace", g.Reason)
	case g.Hold.Compare(need) >= 0:
		f := c.Add(holdMargin, moistheat.Met, "/trace")
		c.asked(f, g.Hold.Value(), need.Value())
		ask.With(f, "falseAcceptance", g.FalseAcceptance.String())
	case !g.Possible.IsValid() || g.Possible.Compare(need) >= 0:
		undetermined("/trace", doubt(&c.a))
	default:
		c.asked(c.Add(holdMargin, moistheat.Broken, "/trace"), g.Hold.Value(), need.Value())
	}
}

// pulses compares the air removal that was set with what the pressure shows.
func (c *checker) pulses() {
	set, course := c.e.Settings.AirRemoval, &c.a.Profile
	if c.e.Trace == nil || set == moistheat.GravityDisplacement {
		c.Skip(pulsesNone, "")
		return
	}
	shown := len(course.Pulses) > 0
	if set == moistheat.DynamicAirRemoval {
		shown = course.Vacuums() > 0
	}
	reason := ""
	switch {
	case set == "":
		reason = "the air removal that was set is not on record"
	case course.Reason != "":
		reason = course.Reason
	case len(course.Phases) == 0:
		reason = "the recording can not be read"
	case !c.a.Hold.IsValid():
		reason = "the numbers can not be right"
	case shown:
	case !course.FromRest:
		reason = "the recording begins when the cycle was under way"
	case c.a.Coarse || c.a.Has(Gap):
		reason = "pulses may lie between the samples"
	}
	if reason != "" {
		c.because(pulsesNone, moistheat.Undetermined, "/trace", reason)
		return
	}
	ask.With(c.Add(pulsesNone, ask.If(!shown), "/trace"), "set", string(set))
}

func (c *checker) drying() {
	if !c.req.DryingMin.IsValid() {
		c.Skip(dryingShort, "")
		return
	}
	dried, pointer := c.e.Printed.DryingTime, "/printed/dryingTime"
	if phase, ok := c.a.Profile.Phase(Drying); !dried.IsValid() && ok && c.a.Hold.IsValid() {
		dried, pointer = phase.Length(), "/trace"
		if c.a.Profile.DryingCut && dried.Compare(c.req.DryingMin) < 0 {
			c.asked(c.Add(dryingShort, moistheat.Undetermined, pointer), dried.Value(), c.req.DryingMin.Value())
			return
		}
	}
	if !dried.IsValid() && c.e.Settings.Drying.IsValid() {
		dried, pointer = c.e.Settings.Drying, "/settings/drying"
	}
	if !dried.IsValid() {
		c.asked(c.Add(dryingShort, moistheat.Undetermined, pointer), units.Value{}, c.req.DryingMin.Value())
		return
	}
	c.asked(c.Add(dryingShort, ask.If(dried.Compare(c.req.DryingMin) < 0), pointer), dried.Value(), c.req.DryingMin.Value())
}
