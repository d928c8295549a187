package cycle

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/cycle/steam"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// What a trace is held against before it is believed.
const (
	// coarseSeconds is the sampling interval beyond which nothing is read between
	// two samples (EN 285:2006, 6.3.3, recalled).
	coarseSeconds = 2.5
	// An interval is a gap if it is longer than gapFactor median intervals and than
	// gapSeconds, this library's own bound: one sample lost at the coarsest good
	// sampling is none.
	gapFactor  = 3
	gapSeconds = 5.0
	// Temperatures and pressures of a steam sterilizer that works.
	minCelsius, maxCelsius = -20, 160
	maxKPa                 = 600
	// A cycle of more than eight hours is more likely a slip of the time unit.
	maxSeconds = 8 * 3600
	// A pressure more than apartKelvin from saturation whose number is within
	// fitsKelvin in another unit or convention was recorded wrongly.
	apartKelvin, fitsKelvin = 5.0, 2.0
)

// ProblemKind says what is wrong with a trace. The zero ProblemKind is invalid.
type ProblemKind string

const (
	// Gap: samples are missing in between.
	Gap ProblemKind = "gap"
	// ClockStepBack: a time is not after the one before it.
	ClockStepBack ProblemKind = "clock step back"
	// LengthsDiffer: a channel has more or fewer values than there are times.
	LengthsDiffer ProblemKind = "lengths differ"
	// TooFewSamples: fewer than two.
	TooFewSamples ProblemKind = "too few samples"
	// NoTemperature: no channel that could show the hold.
	NoTemperature ProblemKind = "no temperature channel"
	// Implausible: numbers that no steam sterilizer shows, or that fit together
	// only in another unit.
	Implausible ProblemKind = "implausible values"
	// Stuck: a sensor shows the same number for minutes while another one moves.
	Stuck ProblemKind = "stuck sensor"
	// Spike: a reading that jumps away and back at once, as no steam does.
	Spike ProblemKind = "spike"
)

// Problem is one thing wrong with a trace.
type Problem struct {
	Kind    ProblemKind `json:"kind"`
	Pointer string      `json:"pointer"` // RFC 6901, into the trace
	// Detail is for people, as a parameter of a finding: a phrase by its code.
	Detail moistheat.Detail `json:"detail"`
}

// Extreme is the reading of one channel at one moment.
type Extreme struct {
	Channel     string            `json:"channel"`
	At          units.Duration    `json:"at,omitzero"` // since the start
	Temperature units.Temperature `json:"temperature,omitzero"`
}

// Doubt says why a trace does not show something. The zero Doubt is none.
type Doubt struct {
	Reason moistheat.Reason `json:"reason,omitzero"`
	// Detail is for people, as a parameter of a finding: a phrase by its code.
	Detail moistheat.Detail `json:"detail,omitzero"`
}

// SaturationCheck compares the measured temperature with that of saturated steam at the
// measured pressure.
type SaturationCheck struct {
	// Difference is the largest there was during the hold, as a magnitude. It is
	// invalid if it cannot be determined; the Doubt then says why.
	Difference  units.TemperatureDifference `json:"difference,omitzero"`
	Superheated bool                        `json:"superheated,omitzero"` // above the steam; else below, as with air
	Temperature string                      `json:"temperature,omitzero"` // the channels compared
	Pressure    string                      `json:"pressure,omitzero"`
	Doubt
}

// Lethality is what the whole trace is worth in minutes at a reference temperature,
// at the channel where it is worth least. It never excuses a hold.
type Lethality struct {
	Minutes units.Duration `json:"minutes,omitzero"`
	// Least and Greatest are the bounds that the samples leave ([LethalBounds]):
	// close together for a record sampled once a second, far apart for one sampled
	// once a minute.
	Least     units.Duration              `json:"least,omitzero"`
	Greatest  units.Duration              `json:"greatest,omitzero"`
	Channel   string                      `json:"channel"`
	Reference units.Temperature           `json:"reference,omitzero"`
	Z         units.TemperatureDifference `json:"z,omitzero"`
	Rule      LethalityRule               `json:"rule,omitzero"`
}

// Analysis is what a trace shows. Durations are rounded to 1 ms, temperatures to
// 0.01 K, ties to even. A value that the trace cannot give is invalid.
type Analysis struct {
	Requirement Requirement `json:"requirement,omitzero"`
	Problems    []Problem   `json:"problems,omitzero"`

	Samples         int            `json:"samples"`
	SampleInterval  units.Duration `json:"sampleInterval,omitzero"`  // the median
	LongestInterval units.Duration `json:"longestInterval,omitzero"` // gaps included
	Coarse          bool           `json:"coarse,omitzero"`          // sampled more slowly than every 2.5 s

	// Hold is the hold that counts: Interpolated, or what is certain of it where
	// samples are more than 2.5 s apart. It is zero if the temperature was not
	// reached, and invalid if the trace cannot be believed.
	Hold units.Duration `json:"hold,omitzero"`
	// Interpolated runs between the crossings of the sterilization temperature,
	// Guaranteed from the first to the last sample at temperature.
	Interpolated units.Duration `json:"interpolated,omitzero"`
	Guaranteed   units.Duration `json:"guaranteed,omitzero"`
	// Possible is the longest hold that the trace leaves open: as long as Hold
	// unless samples are far apart or missing. It is invalid if a hold runs into a
	// gap or an end of the trace, which leaves any length open.
	Possible units.Duration `json:"possible,omitzero"`
	// HoldStart and HoldEnd are the ends of Hold since the start.
	HoldStart units.Duration `json:"holdStart,omitzero"`
	HoldEnd   units.Duration `json:"holdEnd,omitzero"`
	// Intervals is how often the temperature was reached; Hold is the longest.
	Intervals int `json:"intervals"`

	LastToArrive  string         `json:"lastToArrive,omitzero"`  // channel; "" if the trace does not show it
	FirstToLeave  string         `json:"firstToLeave,omitzero"`  // channel; "" if the trace does not show it
	Equilibration units.Duration `json:"equilibration,omitzero"` // from the reference point to the last channel

	// Over the samples of the hold:
	Coldest Extreme                     `json:"coldest,omitzero"`
	Hottest Extreme                     `json:"hottest,omitzero"`
	Spread  units.TemperatureDifference `json:"spread,omitzero"` // largest between two channels at one moment
	// Fluctuation is the largest difference between two moments at one channel.
	Fluctuation units.TemperatureDifference `json:"fluctuation,omitzero"`
	GuardBand   GuardBand                   `json:"guardBand,omitzero"`

	Profile    Profile         `json:"profile,omitzero"`
	Saturation SaturationCheck `json:"saturation,omitzero"`
	Lethality  Lethality       `json:"lethality,omitzero"`
}

// Has reports whether the trace has a problem of this kind. A nil *Analysis has none.
func (a *Analysis) Has(k ProblemKind) bool {
	return a != nil && slices.ContainsFunc(a.Problems, func(p Problem) bool { return p.Kind == k })
}

// mayReach reports whether the trace leaves it open that the hold was d or longer.
func (a *Analysis) mayReach(d units.Duration) bool {
	return !a.Hold.IsValid() || !a.Possible.IsValid() || a.Possible.Compare(d) >= 0
}

// Analyze finds the hold of a requirement in a trace, and what else the trace
// shows. The hold is proven by the coldest point: it runs from the last channel to
// reach the sterilization temperature to the first to leave it, channels in the
// jacket apart, each read in its own unit ([Requirement.TemperatureIn]). Crossings
// are interpolated linearly between samples at most 2.5 s apart. A gap in the
// samples ends a hold; the longest hold counts.
//
// A trace that cannot be believed, because its numbers are implausible or do not
// fit together, has no valid Hold; the Problems say why. One of more than 64 channels
// of a kind, which no document can hold, is not read: [Implausible]. Gauge pressures are compared
// with saturated steam where the requirement says what the Atmosphere is.
func Analyze(t *Trace, req Requirement) Analysis {
	a := Analysis{Requirement: req}
	if t == nil {
		a.problem(TooFewSamples, "", lang.Say("trace-none: there is no trace"))
		return a
	}
	a.Samples = len(t.Time.Values)
	s := &series{Analysis: &a, trace: t, atmosphere: req.Atmosphere.Float64(units.Kilopascal)}
	if !s.readTimes() || !s.readChannels() {
		a.Saturation.Doubt = Doubt{moistheat.NotMeasurable, lang.Say("trace-cannot-be-read: the trace cannot be read")}
		return a
	}
	s.judgeSensors()
	s.findHold()
	s.allowSpikes()
	s.measureHold()
	s.followCourse()
	s.guard()
	s.judgePressures()
	s.sumLethality()
	if s.stuckPressure {
		a.Saturation = SaturationCheck{Doubt: Doubt{moistheat.Contradictory,
			lang.Say("pressure-sensor-stuck: a pressure sensor is stuck")}}
	}
	if s.stuckTemperature || a.Has(Implausible) {
		a.Hold = units.Duration{}
		a.GuardBand = GuardBand{Doubt: impossible()}
	}
	return a
}

func (a *Analysis) problem(k ProblemKind, pointer string, what moistheat.Detail) {
	a.Problems = append(a.Problems, Problem{k, pointer, what})
}

// thermometer is a temperature channel that counts for the hold.
type thermometer struct {
	id      string
	pointer string
	place   Place
	unit    units.TemperatureUnit
	values  []float64
	limit   float64 // the sterilization temperature, in the channel's unit
	celsius scale
	width   float64 // its accuracy in the channel's unit; NaN if not stated
	arrived float64 // when it last rose to the limit, in seconds; NaN if that was not seen
	least   float64 // °C, during the hold
	most    float64 // °C, during the hold
}

// manometer is a pressure channel of the chamber.
type manometer struct {
	id      string
	pointer string
	code    string // unit
	gauge   bool
	values  []float64
	kPa     float64 // in one unit
	add     float64 // kPa to absolute; NaN where the atmosphere is not known
	mean    float64 // raw, during the hold

	saturated []float64 // saturation temperatures in °C, once they were asked for
}

// run is a stretch in which every thermometer is at temperature, in seconds.
type run struct {
	first, last   int     // samples
	start, end    float64 // interpolated
	counted       float64 // what counts of it
	from, to      float64 // the ends of that
	earliest      float64 // it cannot have begun before
	arrive, leave int     // thermometers; -1 if not seen
	equilibration float64 // NaN if not seen
}

// series is a trace under analysis.
type series struct {
	*Analysis
	trace      *Trace
	atmosphere float64 // kPa; NaN where not known
	second     float64 // in one unit of the time base
	gap        float64 // seconds
	temps      []thermometer
	pressures  []manometer
	believable bool   // no implausible temperature or time
	run        run    // the longest; counted from first to last sample, if Intervals > 0
	hot        [2]int // the first and the last sample at temperature, if Intervals > 0
	spikes     []spike

	stuckTemperature, stuckPressure bool
}

func (s *series) at(i int) float64 { return s.trace.Time.Values[i] * s.second }

func seconds(x float64) units.Duration { return units.FromFloat64(x, 3, units.Second) }

func kelvinsOf(x float64) units.TemperatureDifference {
	return units.FromFloat64(x, 2, units.KelvinDifference)
}

// readTimes checks the time base and finds its intervals.
func (s *series) readTimes() bool {
	times := s.trace.Time.Values
	s.second = units.New(1, 0, s.trace.Time.Unit).Float64(units.Second)
	s.believable = true
	switch {
	case len(times) < 2:
		s.problem(TooFewSamples, "/time/values",
			lang.Say("trace-too-few: {1} samples; at least two are needed", strconv.Itoa(len(times))))
		return false
	case math.IsNaN(s.second):
		s.problem(Implausible, "/time/unit", lang.Say("trace-time-without-unit: the time has no unit"))
		return false
	}
	shortest, longest := math.Inf(1), 0.0
	firstBack, back := s.intervals(func(d float64) bool {
		shortest, longest = min(shortest, d), max(longest, d)
		return !(d > 0) || math.IsInf(d, 0)
	})
	if back > 0 {
		s.problem(ClockStepBack, "/time/values/"+strconv.Itoa(firstBack),
			lang.With("trace-first-here: {1:text}, first here",
				count(back, "trace-time-back: 1 time is not after the one before it",
					"trace-times-back: {1} times are not after the one before them")))
		return false
	}
	median := longest
	if shortest < longest {
		median = s.medianInterval()
	}
	s.SampleInterval, s.LongestInterval = seconds(median), seconds(longest)
	s.Coarse = median > coarseSeconds
	s.gap = max(gapFactor*median, gapSeconds)
	if longest > s.gap {
		first, n := s.intervals(func(d float64) bool { return d > s.gap })
		s.problem(Gap, "/time/values/"+strconv.Itoa(first),
			lang.With("trace-gap-of: {1:text} of more than {2:number}, the longest of {3:number}",
				count(n, "trace-gap: 1 gap", "trace-gaps: {1} gaps"), lang.Data(seconds(s.gap).String()),
				lang.Data(s.LongestInterval.String())))
	}
	if total := s.at(len(times)-1) - s.at(0); !(total <= maxSeconds) {
		s.believable = false
		s.problem(Implausible, "/time",
			lang.Say("trace-too-long: the trace covers {1:number} h; check whether its time is in {2}",
				fmt.Sprintf("%.0f", total/3600), fmt.Sprint(s.trace.Time.Unit)))
	}
	return true
}

// intervals counts the intervals that are of some sort, in seconds, and returns the
// sample at the end of the first.
func (s *series) intervals(are func(d float64) bool) (first, n int) {
	for i := range s.Samples - 1 {
		if are(s.at(i+1) - s.at(i)) {
			if n++; n == 1 {
				first = i + 1
			}
		}
	}
	return first, n
}

// medianInterval returns the median of the intervals, in seconds.
func (s *series) medianInterval() float64 {
	intervals := make([]float64, s.Samples-1)
	for i := range intervals {
		intervals[i] = s.at(i+1) - s.at(i)
	}
	slices.Sort(intervals)
	median := intervals[len(intervals)/2]
	if len(intervals)%2 == 0 {
		median = (median + intervals[len(intervals)/2-1]) / 2
	}
	return median
}

func count(n int, one, more lang.Text) moistheat.Detail {
	if n == 1 {
		return lang.Say(one)
	}
	return lang.Say(more, strconv.Itoa(n))
}

// mostChannels are those of a kind that are read, as each is held against each: as many as
// a document may have, by the tags of [Trace].
const mostChannels = 64

// readChannels checks the channels and sorts out what they are good for.
func (s *series) readChannels() bool {
	t := s.trace
	ok := true
	for _, l := range []struct {
		list string
		n    int
	}{
		{"temperatures", len(t.Temperatures)}, {"absolutePressures", len(t.AbsolutePressures)},
		{"gaugePressures", len(t.GaugePressures)},
	} {
		if l.n > mostChannels {
			ok = false
			s.problem(Implausible, "/"+l.list,
				lang.Say("trace-too-many-channels: {1} channels; at most {2} are read", strconv.Itoa(l.n),
					strconv.Itoa(mostChannels)))
		}
	}
	if !ok {
		return false
	}
	fits := func(list string, i, n int) (pointer string) {
		pointer = "/" + list + "/" + strconv.Itoa(i)
		if n != s.Samples {
			ok = false
			s.problem(LengthsDiffer, pointer,
				lang.Say("trace-lengths-differ: {1} values for {2} times", strconv.Itoa(n), strconv.Itoa(s.Samples)))
		}
		return pointer
	}
	s.temps = make([]thermometer, 0, len(t.Temperatures))
	s.pressures = make([]manometer, 0, len(t.AbsolutePressures)+len(t.GaugePressures))
	for i := range t.Temperatures {
		c := &t.Temperatures[i]
		p := fits("temperatures", i, len(c.Values))
		if ok {
			s.judgeTemperature(c, p)
		}
		if c.Place != Jacket && len(c.Values) > 0 {
			s.temps = append(s.temps, thermometer{
				id: c.ID, pointer: p, place: c.Place, unit: c.Unit, values: c.Values, celsius: celsiusFrom(c.Unit),
				limit: s.Requirement.TemperatureIn(c.Unit).Float64(c.Unit), width: widthOf(c), arrived: math.NaN(),
			})
		}
	}
	take := func(m manometer, place Place) {
		if ok {
			s.judgeRange(&m)
		}
		if place != Jacket {
			s.pressures = append(s.pressures, m)
		}
	}
	for i := range t.AbsolutePressures {
		c := &t.AbsolutePressures[i]
		p := fits("absolutePressures", i, len(c.Values))
		take(manometer{id: c.ID, pointer: p, code: c.Unit.String(), values: c.Values, kPa: kPaFrom(c.Unit)}, c.Place)
	}
	for i := range t.GaugePressures {
		c := &t.GaugePressures[i]
		p := fits("gaugePressures", i, len(c.Values))
		m := manometer{id: c.ID, pointer: p, code: c.Unit.String(), values: c.Values, kPa: kPaFrom(c.Unit)}
		m.gauge, m.add = true, s.atmosphere
		take(m, c.Place)
	}
	if len(s.temps) == 0 {
		ok = false
		s.problem(NoTemperature, "/temperatures",
			lang.Say("trace-no-temperature: no temperature channel outside the jacket"))
	}
	return ok
}

// span returns the least and the greatest value, both NaN if one is not a number.
func span(values []float64) (lo, hi float64) {
	lo, hi = values[0], values[0]
	for _, v := range values {
		lo, hi = min(lo, v), max(hi, v) // min and max keep a NaN
	}
	return lo, hi
}

// judgeTemperature names a channel that no steam sterilizer shows.
func (s *series) judgeTemperature(c *TemperatureChannel, pointer string) {
	lo, hi := span(c.Values)
	in := celsiusFrom(c.Unit)
	fits := func(u units.TemperatureUnit) bool { // as a whole cycle in this unit
		v := celsiusFrom(u)
		return u != c.Unit && v.of(lo) >= minCelsius && v.of(hi) >= 100 && v.of(hi) <= maxCelsius
	}
	if in.of(lo) >= minCelsius && in.of(hi) <= maxCelsius {
		// Never hot enough for steam, but just right if the unit were another.
		target := s.Requirement.Temperature.Float64(units.Celsius)
		for _, u := range temperatureUnits {
			if peak := celsiusFrom(u).of(hi); fits(u) && peak >= target-1 && peak <= target+10 {
				s.believable = false
				s.problem(Implausible, pointer,
					lang.Say("trace-peaks-at: peaks at {1:number} {2}, far from the sterilization temperature; "+
						"the values fit {3}", short(hi), degree(c.Unit), degree(u)))
				return
			}
		}
		return
	}
	s.believable = false
	why := lang.Say("trace-outside-celsius: outside {1} °C to {2} °C",
		strconv.Itoa(minCelsius), strconv.Itoa(maxCelsius))
	if i := slices.IndexFunc(temperatureUnits[:], fits); i >= 0 {
		why = lang.Say("trace-values-fit: which no steam sterilizer does; the values fit {1:number}",
			degree(temperatureUnits[i]))
	}
	s.problem(Implausible, pointer,
		lang.With("trace-runs-from: runs from {1:number} to {2:number}, {3:text}", lang.Data(short(lo)),
			lang.Data(short(hi)+" "+degree(c.Unit)), why))
}

var temperatureUnits = [...]units.TemperatureUnit{units.Celsius, units.Fahrenheit, units.Kelvin}

// degree and pressureName write a unit for people.
func degree(u units.TemperatureUnit) string {
	return strings.TrimPrefix(units.New(0, 0, u).String(), "0 ")
}

func pressureName(u units.AbsolutePressureUnit, gauge bool) string {
	s := strings.TrimPrefix(units.New(0, 0, u).String(), "0 ")
	return strings.TrimSuffix(s, convention(false)) + convention(gauge)
}

func short(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

// judgeRange names a pressure channel that no steam sterilizer shows.
func (s *series) judgeRange(m *manometer) {
	lo, hi := span(m.values)
	if problem := rangeProblem(lo, hi, m.kPa, m.gauge); problem.IsValid() {
		s.problem(Implausible, m.pointer,
			lang.With("trace-runs-from: runs from {1:number} to {2:number}, {3:text}", lang.Data(short(lo)),
				lang.Data(short(hi)+" "+m.code), problem))
	}
}

// rangeProblem says what is wrong with pressures from lo to hi, if anything.
func rangeProblem(lo, hi, kPa float64, gauge bool) moistheat.Detail {
	least := 0.0
	if gauge {
		least = -steam.HighestAtmosphere
	}
	plausible := func(kPa float64) bool { return lo*kPa >= least && hi*kPa <= maxKPa }
	if plausible(kPa) {
		return moistheat.Detail{}
	}
	for _, u := range pressureUnits {
		if k := kPaFrom(u); plausible(k) && hi*k > maxKPa/6 {
			return lang.Say("trace-values-fit: which no steam sterilizer does; the values fit {1:number}",
				pressureName(u, gauge))
		}
	}
	return lang.Say("trace-outside-kilopascals: outside {1:number} kPa to {2:number} kPa",
		fmt.Sprintf("%g", least), strconv.Itoa(maxKPa))
}

// The units that pressures are confused in; hPa is mbar.
var pressureUnits = [...]units.AbsolutePressureUnit{
	units.Kilopascal, units.PoundPerSquareInch, units.Bar, units.Millibar, units.Megapascal, units.Pascal,
	units.Atmosphere,
}

// holdFinder is the walk through the samples that finds the longest hold.
type holdFinder struct {
	*series
	cur      run
	inside   bool    // a hold is under way
	open     bool    // a hold ran into a gap or an end of the trace, and may have been of any length
	best     float64 // what counts of the longest so far, in seconds; negative before the first
	possible float64 // the longest that the samples leave open, in seconds
}

// interval is what the thermometers do between two samples.
type interval struct {
	before, now float64 // seconds
	broken      bool    // nothing is known of it: a gap, or the start of the trace
	fine        bool    // short enough to read a crossing in it
	all         bool    // every thermometer is at temperature at its end
	// The last rise to the limit and the first fall below it, in seconds, with the
	// thermometer; -1 where there is none.
	rise, fall    float64
	riser, faller int
}

// findHold walks the samples once and keeps the longest hold.
func (s *series) findHold() {
	if !s.Requirement.IsValid() {
		return
	}
	f := holdFinder{series: s, best: -1}
	before := 0.0
	for i := range s.Samples {
		now := s.at(i)
		f.step(i, f.cross(i, before, now))
		before = now
	}
	if f.inside {
		f.end(before, before, before, -1)
		f.open = true
	}
	s.Hold, s.Interpolated, s.Guaranteed = seconds(0), seconds(0), seconds(0)
	if s.Intervals > 0 {
		r := s.run
		s.Hold = seconds(r.counted)
		s.Interpolated = seconds(r.end - r.start)
		s.Guaranteed = seconds(s.at(r.last) - s.at(r.first))
		s.HoldStart, s.HoldEnd = seconds(r.from), seconds(r.to)
		s.Equilibration = seconds(r.equilibration)
		if r.arrive >= 0 {
			s.LastToArrive = s.temps[r.arrive].id
		}
		if r.leave >= 0 {
			s.FirstToLeave = s.temps[r.leave].id
		}
	}
	if !f.open {
		s.Possible = seconds(f.possible)
	}
}

// cross follows every thermometer to a sample, and when it last came to its limit.
func (f *holdFinder) cross(i int, before, now float64) interval {
	dt := now - before
	x := interval{before: before, now: now, broken: i == 0 || dt > f.gap, fine: dt <= coarseSeconds && !f.Coarse,
		all: true, riser: -1, faller: -1}
	rise, fall := 0.0, 1.0 // fractions of the interval
	for k := range f.temps {
		c := &f.temps[k]
		v := c.values[i]
		in := v >= c.limit
		x.all = x.all && in
		if x.broken {
			c.arrived = math.NaN()
			continue
		}
		switch p := c.values[i-1]; {
		case p < c.limit && in:
			at := (c.limit - p) / (v - p)
			c.arrived = before + at*dt
			if x.riser < 0 || at > rise {
				rise, x.riser = at, k
			}
		case p >= c.limit && v < c.limit:
			if at := (p - c.limit) / (p - v); x.faller < 0 || at < fall {
				fall, x.faller = at, k
			}
		}
	}
	x.rise, x.fall = before+rise*dt, before+fall*dt
	return x
}

// step takes in a sample: a hold begins, goes on or ends.
func (f *holdFinder) step(i int, x interval) {
	if f.inside && x.broken { // a gap ends a hold, and hides how long it went on
		f.end(x.before, x.before, x.before, -1)
		f.open = true
	}
	if i > 0 && (x.broken || f.Coarse) { // a whole hold may lie between two samples
		f.possible = max(f.possible, x.now-x.before)
	}
	if x.all {
		if f.hot[1] = i; f.Intervals == 0 && !f.inside {
			f.hot[0] = i
		}
	}
	switch {
	case x.all && !f.inside:
		f.begin(i, x)
	case x.all:
		f.cur.last = i
	case f.inside && x.fine:
		f.end(x.fall, x.fall, x.fall, x.faller)
	case f.inside: // only up to the sample before it is the hold certain
		f.end(x.fall, x.before, x.now, x.faller)
	}
}

// begin starts a hold at a sample: at the crossing before it where that can be read.
func (f *holdFinder) begin(i int, x interval) {
	f.inside = true
	f.cur = run{first: i, last: i, start: x.now, from: x.now, earliest: x.now, arrive: -1, equilibration: math.NaN()}
	if x.broken {
		f.open = true
		return
	}
	cur := &f.cur
	cur.arrive, cur.start, cur.earliest = x.riser, x.rise, x.before
	if x.fine {
		cur.from, cur.earliest = cur.start, cur.start
	}
	for k := range f.temps {
		c := &f.temps[k]
		if e := cur.start - c.arrived; c.place == ReferencePoint && e >= 0 && !(e <= cur.equilibration) {
			cur.equilibration = e // the reference point that arrived first
		}
	}
}

// end ends a hold at a time: what counts of it ends at to, and it ended no later than
// latest.
func (f *holdFinder) end(at, to, latest float64, leave int) {
	cur := &f.cur
	cur.end, cur.to, cur.leave = at, to, leave
	cur.counted = cur.to - cur.from
	f.possible = max(f.possible, latest-cur.earliest)
	f.Intervals++
	if cur.counted > f.best {
		f.best, f.run = cur.counted, *cur
	}
	f.inside = false
}

// extreme is the coldest or hottest reading so far.
type extreme struct {
	sample, channel int
	celsius         float64
}

// read returns an extreme as it was read.
func (s *series) read(e extreme) Extreme {
	if e.sample < 0 {
		return Extreme{}
	}
	c := &s.temps[e.channel]
	return Extreme{c.id, seconds(s.at(e.sample)), units.FromFloat64(c.values[e.sample], 2, c.unit)}
}

// measureHold finds the extremes of the hold.
func (s *series) measureHold() {
	s.Saturation.Doubt = s.doubtSaturation()
	if s.Intervals == 0 {
		return
	}
	cold, hot := extreme{-1, 0, math.Inf(1)}, extreme{-1, 0, math.Inf(-1)}
	spread := 0.0
	for k := range s.temps {
		s.temps[k].least, s.temps[k].most = math.Inf(1), math.Inf(-1)
	}
	for i := s.run.first; i <= s.run.last; i++ {
		lo, hi := math.Inf(1), math.Inf(-1)
		for k := range s.temps {
			c := s.temps[k].celsius.of(s.temps[k].values[i])
			s.temps[k].least, s.temps[k].most = min(s.temps[k].least, c), max(s.temps[k].most, c)
			if lo = min(lo, c); c < cold.celsius {
				cold = extreme{i, k, c}
			}
			if hi = max(hi, c); c > hot.celsius {
				hot = extreme{i, k, c}
			}
		}
		spread = max(spread, hi-lo)
	}
	s.Coldest, s.Hottest = s.read(cold), s.read(hot)
	moved := 0.0
	for k := range s.temps {
		moved = max(moved, s.temps[k].most-s.temps[k].least)
	}
	s.Fluctuation = kelvinsOf(moved)
	if len(s.temps) > 1 {
		s.Spread = kelvinsOf(spread)
	}
	s.compareSaturation()
}

// doubtSaturation says why temperature and pressure cannot be compared during the hold.
func (s *series) doubtSaturation() Doubt {
	steamy := slices.ContainsFunc(s.temps, func(c thermometer) bool { return c.place.steam() })
	switch {
	case s.Intervals == 0:
		return notReached()
	case len(s.pressures) == 0:
		return noPressure()
	case !steamy:
		return Doubt{moistheat.Unrecorded,
			lang.Say("steam-temperature-unrecorded: no temperature is recorded at the reference point, in the " +
				"chamber or in the drain")}
	case !slices.ContainsFunc(s.pressures, manometer.known):
		return noAtmosphere()
	}
	return Doubt{}
}

// compareSaturation compares the temperatures of the steam with what its pressure says,
// over the hold, and takes the mean of each pressure.
func (s *series) compareSaturation() {
	sat := &s.Saturation
	worst, worstT, worstP := -1.0, 0, 0
	for i := s.run.first; i <= s.run.last; i++ {
		for j := range s.pressures {
			m := &s.pressures[j]
			m.mean += m.values[i]
			if sat.Doubt != (Doubt{}) || math.IsNaN(m.add) {
				continue
			}
			saturated := steam.SaturationTemperatureCelsius(m.absolute(i))
			if math.IsNaN(saturated) {
				sat.Doubt = Doubt{moistheat.Contradictory,
					lang.Say("pressure-not-of-steam: a pressure during the holding time is not one of saturated " +
						"steam")}
				continue
			}
			for k := range s.temps {
				if !s.temps[k].place.steam() {
					continue
				}
				d := s.temps[k].celsius.of(s.temps[k].values[i]) - saturated
				if math.Abs(d) > worst {
					worst, worstT, worstP = math.Abs(d), k, j
					sat.Superheated = d > 0
				}
			}
		}
	}
	for j := range s.pressures {
		s.pressures[j].mean /= float64(s.run.last - s.run.first + 1)
	}
	if sat.Doubt != (Doubt{}) {
		sat.Superheated = false
		return
	}
	sat.Difference = kelvinsOf(worst)
	sat.Temperature, sat.Pressure = s.temps[worstT].id, s.pressures[worstP].id
}

// judgePressures names a pressure channel whose numbers fit the temperature only in
// another unit or convention: during the hold, or where the steam was hottest.
func (s *series) judgePressures() {
	if !s.believable {
		return
	}
	first, last := s.run.first, s.run.last
	celsius := 0.0
	if s.Intervals == 0 {
		hottest := math.Inf(-1)
		for k := range s.temps {
			for i, v := range s.temps[k].values {
				if c := s.temps[k].celsius.of(v); c > hottest {
					hottest, first, last = c, i, i
				}
			}
		}
	}
	for k := range s.temps {
		for i := first; i <= last; i++ {
			celsius += s.temps[k].celsius.of(s.temps[k].values[i])
		}
	}
	celsius /= float64(len(s.temps) * (last - first + 1))
	for j := range s.pressures {
		m := &s.pressures[j]
		p := m.mean
		if s.Intervals == 0 {
			p = m.values[first]
		}
		if fit := betterReading(p, m.kPa, m.gauge, s.atmosphere, celsius); fit != "" {
			s.problem(Implausible, m.pointer,
				lang.Say("trace-pressure-unit: {1:number} at {2:number} °C is far from saturated steam; the "+
					"values fit {3:number}",
					short(p)+" "+m.code+" "+convention(m.gauge), fmt.Sprintf("%.1f", celsius), fit))
		}
	}
}

func convention(gauge bool) string {
	if gauge {
		return "gauge"
	}
	return "absolute"
}

// betterReading returns the unit and convention in which a pressure would fit
// saturated steam at a temperature, or "" if it fits as it is, or not at all.
func betterReading(p, kPa float64, gauge bool, atmosphere, celsius float64) string {
	if !(celsius >= 100) {
		return ""
	}
	fits := func(kPa float64, gauge bool, tolerance float64) bool {
		lo, hi := p*kPa, p*kPa
		if gauge {
			if math.IsNaN(atmosphere) {
				lo, hi = lo+steam.LowestAtmosphere, hi+steam.HighestAtmosphere
			} else {
				lo, hi = lo+atmosphere, hi+atmosphere
			}
		}
		return steam.SaturationTemperatureCelsius(hi) >= celsius-tolerance &&
			steam.SaturationTemperatureCelsius(lo) <= celsius+tolerance
	}
	if fits(kPa, gauge, apartKelvin) {
		return ""
	}
	for _, g := range [...]bool{gauge, !gauge} {
		for _, u := range pressureUnits {
			k := kPaFrom(u)
			if same := k == kPa && g == gauge; !same && fits(k, g, fitsKelvin) {
				return pressureName(u, g)
			}
		}
	}
	return ""
}

// sumLethality finds the channel where the trace is worth least.
func (s *series) sumLethality() {
	if !s.believable {
		return
	}
	l := &s.Lethality
	l.Reference = units.New(referenceTenths, -1, units.Celsius)
	l.Z = units.New(zKelvin, 0, units.KelvinDifference)
	l.Rule = Trapezoid
	ref, k, _ := lethalConstants(l.Reference, l.Z)
	least, worst := math.Inf(1), -1
	for j := range s.temps {
		c := &s.temps[j]
		if f := lethal(c.values, s.trace.Time.Values, c.celsius, s.second, s.gap, ref, k, l.Rule); f < least {
			least, worst = f, j
		}
	}
	if worst < 0 {
		return
	}
	c := &s.temps[worst]
	l.Channel = c.id
	l.Minutes = units.FromFloat64(least, 3, units.Minute)
	low, high := lethalBounds(c.values, s.trace.Time.Values, c.celsius, s.second, s.gap, ref, k)
	l.Least, l.Greatest = units.FromFloat64(low, 3, units.Minute), units.FromFloat64(high, 3, units.Minute)
}
