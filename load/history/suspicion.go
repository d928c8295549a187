package history

import (
	"slices"
	"sort"
	"strconv"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
)

// trigger is a failure and the time that it casts doubt on.
type trigger struct {
	of *occurrence // the failed test, or a load that casts doubt on itself alone
	window
	rule      ask.ID
	last, end *occurrence      // the good tests before it and after it; nil: none
	doubtful  *occurrence      // a negative test between last and it that does not count; nil: none
	in        *failure         // that a positive test belongs to
	why       moistheat.Detail // of a load itself
	chamber   int              // in which the test failed
	site      string           // of that chamber; "": any
	sensor    *sensorError     // of a calibration
}

// window is a time in which loads are suspect: those that began after from and up to to. A
// zero from lies before the first load, a zero to after the newest.
type window struct{ from, to time.Time }

// between returns the window from one good test to another, which never ends before it
// begins; nil is none.
func between(last, end *occurrence) window {
	w := window{endOf(last), endOf(end)}
	if !w.to.IsZero() {
		w.to = later(w.to, w.from)
	}
	return w
}

// hits reports whether a load may have begun in the window: it may if any version of it
// did, and one without a time may have at any.
func (w window) hits(e *occurrence) bool {
	first, last, open := e.started()
	return open || (w.from.IsZero() || last.After(w.from)) && (w.to.IsZero() || !first.After(w.to))
}

// ofItself is the trigger of a load that casts doubt on itself alone.
func ofItself(e *occurrence, rule ask.ID, why moistheat.Detail) trigger {
	return trigger{of: e, rule: rule, why: why}
}

// suspicion is all that casts doubt on the loads of a sterilizer.
type suspicion struct {
	loads    []*occurrence // those without a time first, then by time
	triggers []trigger
	chambers []chamberDoubts
	settings []*wrongSetting
	own      map[*occurrence]moistheat.Detail // why loads cast doubt on themselves
}

// chamberDoubts are those that the failures of one chamber cast.
type chamberDoubts struct {
	positive, air, leak doubts
	sensor              sensorDoubts
}

// suspicion works out what failed and on which loads that casts doubt.
func (u *unitHistory) suspicion(c course) *suspicion {
	line, undated := u.timeline(), u.undated()
	s := &suspicion{loads: undated, own: map[*occurrence]moistheat.Detail{}}
	for _, e := range line {
		if e.kind == 0 {
			s.loads = append(s.loads, e)
		}
	}
	zone := zoneOf(line)
	for _, ch := range u.chambers("") {
		for _, t := range outOfService(line, ch, joined(u.outages(ch.line, c))) {
			if !s.own[t.of].IsValid() {
				s.triggers = append(s.triggers, t)
				s.own[t.of] = t.why
			}
		}
		loads := ch.loads(s.loads)
		air := func(first trigger, n int) moistheat.Detail { return whyAir(first, n, zone) }
		d := chamberDoubts{
			positive: doubtsOf(ofPositive(slices.Concat(ch.line, ch.undated), c.positive), loads,
				func(first trigger, n int) moistheat.Detail { return first.in.why(first, n, c.positive, zone) }),
			air:    doubtsOf(ofAir(ch.line, calendar.AirRemovalEvent, rules.RecallPenetration), mayDraw(loads), air),
			leak:   doubtsOf(ofAir(ch.line, calendar.LeakEvent, rules.RecallLeak), mayDraw(loads), air),
			sensor: sensorDoubtsOf(sensorErrors(ch.line, zone), loads),
		}
		for _, all := range []doubts{d.positive, d.air, d.leak} {
			for _, t := range all.triggers {
				t.chamber, t.site = len(s.chambers), ch.site
				s.triggers = append(s.triggers, t)
			}
		}
		for _, t := range d.sensor.triggers(ch.site) {
			t.chamber = len(s.chambers)
			s.triggers = append(s.triggers, t)
		}
		s.chambers = append(s.chambers, d)
	}
	for _, e := range slices.Concat(line, undated) {
		switch {
		case e.kind == calendar.WrongSettingEvent:
			s.triggers = append(s.triggers, trigger{of: e, rule: rules.RecallSetting, site: e.site})
			s.wrong(e, zone)
		case e.kind == 0 && e.reopened():
			s.triggers = append(s.triggers, ofItself(e, rules.RecallReleased, moistheat.Detail{}))
		}
	}
	return s
}

// count returns the number of loads that a failure casts doubt on.
func (s *suspicion) count(t trigger) int {
	switch t.rule {
	case rules.RecallPositive:
		return s.chambers[t.chamber].positive.count(t)
	case rules.RecallPenetration:
		return s.chambers[t.chamber].air.count(t)
	case rules.RecallLeak:
		return s.chambers[t.chamber].leak.count(t)
	case rules.RecallSensor:
		return s.chambers[t.chamber].sensor.count[t.of]
	case rules.RecallSetting:
		for _, w := range s.settings {
			if w.same(t.of) {
				return len(w.loads)
			}
		}
	}
	return 1
}

// hits reports whether a failure casts doubt on a load, which may be one that the history
// does not hold.
func (t *trigger) hits(e *occurrence) bool {
	if !(chamber{site: t.site}).may(e) {
		return false
	}
	switch t.rule {
	case rules.RecallPositive:
		return t.window.hits(e)
	case rules.RecallPenetration, rules.RecallLeak:
		return t.window.hits(e) && len(mayDraw([]*occurrence{e})) > 0
	case rules.RecallSetting:
		return e.mayHave(t.of)
	case rules.RecallSensor:
		return t.sensor.hits(e)
	}
	return t.of == e
}

// on returns what casts doubt on a load, and what it asks of the load; byImplants: more if
// it holds an implant. Nothing is asked of one that nothing casts doubt on.
func (s *suspicion) on(e *occurrence) (because []moistheat.Detail, action RecallAction, byImplants bool) {
	if why := s.own[e]; why.IsValid() {
		because, action = append(because, why), Recall
	}
	for i := range s.chambers {
		d := &s.chambers[i].positive
		from, to := d.of(e)
		if from == to {
			continue
		}
		because = d.say(because, from, to)
		byImplants = true
		if action = max(action, Trace); e.bio == bioPositive || d.lay(e) || d.recalls[to] > d.recalls[from] {
			action = Recall
		}
	}
	for i := range s.chambers {
		for _, d := range []*doubts{&s.chambers[i].air, &s.chambers[i].leak} {
			if from, to := d.of(e); from < to {
				because = d.say(because, from, to)
				action = max(action, Quarantine)
			}
		}
		if why := s.chambers[i].sensor.loads[e]; len(why) > 0 {
			because, action = append(because, why...), max(action, Quarantine)
		}
	}
	n := 0
	for _, w := range s.settings {
		if w.loads[e] {
			if n++; n <= mostReasons {
				because = append(because, w.why)
			}
			action = Recall
		}
	}
	because = andMore(because, n)
	if e.reopened() {
		because, action = append(because,
			lang.Say("suspect-released: The load was released, and what is on record now does not support that.")), Recall
	}
	return because, action, byImplants
}

// forImplants is what a positive test that recalls implants alone asks of a load.
func forImplants(has moistheat.Answer) RecallAction {
	switch has {
	case moistheat.Yes:
		return Recall
	case moistheat.NotRecorded:
		return Quarantine
	}
	return Trace
}

// doubts are what the failures of one kind cast on loads. Failures whose windows meet are
// one series, and series are in order and apart: a load is under a stretch of them, found
// by search, however many tests failed.
type doubts struct {
	triggers []trigger
	series   []series
	own      map[*occurrence]int // the series of each failed test
	recalls  []int               // of the series before each, those that recall everything
	loads    map[*occurrence]bool
	first    []time.Time // when the loads began at the earliest, sorted
	last     []time.Time // ... and at the latest
	open     int         // loads without a time
}

type series struct {
	window
	why moistheat.Detail
}

// doubtsOf joins the failures of one kind, each with the loads that it may cast doubt on.
func doubtsOf(all []trigger, loads []*occurrence, why func(first trigger, n int) moistheat.Detail) doubts {
	d := doubts{triggers: all, own: map[*occurrence]int{}, recalls: []int{0}, loads: map[*occurrence]bool{}}
	if len(all) == 0 {
		return d
	}
	slices.SortStableFunc(all, func(a, b trigger) int { return a.from.Compare(b.from) })
	for i := 0; i < len(all); {
		t, n := all[i], 0
		for ; i < len(all) && (n == 0 || t.to.IsZero() || all[i].from.Before(t.to)); i++ {
			if to := laterOrNever(t.to, all[i].to); !to.Equal(t.to) {
				t.to, t.end = to, all[i].end
			}
			if f := all[i].in; f != nil && f.recall {
				t.in = f
			}
			d.own[all[i].of] = len(d.series)
			n++
		}
		recalls := d.recalls[len(d.series)]
		if t.in != nil && t.in.recall {
			recalls++
		}
		d.series, d.recalls = append(d.series, series{t.window, why(t, n)}), append(d.recalls, recalls)
	}
	for _, e := range loads {
		d.loads[e] = true
		if first, last, open := e.started(); open {
			d.open++
		} else {
			d.first, d.last = append(d.first, first), append(d.last, last)
		}
	}
	slices.SortFunc(d.first, time.Time.Compare)
	slices.SortFunc(d.last, time.Time.Compare)
	return d
}

// of returns the series that a load is under, from one up to another; of a load that is a
// failed test itself that of its own is one of them.
func (d *doubts) of(e *occurrence) (from, to int) {
	if !d.loads[e] {
		return 0, 0
	}
	first, last, open := e.started()
	if open {
		return 0, len(d.series)
	}
	from = sort.Search(len(d.series), func(i int) bool {
		return d.series[i].to.IsZero() || !first.After(d.series[i].to)
	})
	to = sort.Search(len(d.series), func(i int) bool { return !last.After(d.series[i].from) })
	if own, failed := d.own[e]; failed {
		from, to = min(from, own), max(to, own+1)
	}
	return from, to
}

// lay reports whether the indicator of a failed test lay in a load.
func (d *doubts) lay(e *occurrence) bool {
	return slices.ContainsFunc(d.triggers, func(t trigger) bool { return t.of.layIn(e) })
}

// hits reports whether a load is under any doubt.
func (d *doubts) hits(e *occurrence) bool {
	from, to := d.of(e)
	return from < to
}

// count returns how many loads one failure casts doubt on.
func (d *doubts) count(t trigger) int {
	n := d.open + len(d.first)
	if !t.to.IsZero() {
		n = d.open + sort.Search(len(d.first), func(i int) bool { return d.first[i].After(t.to) })
	}
	n -= sort.Search(len(d.last), func(i int) bool { return d.last[i].After(t.from) })
	if d.loads[t.of] && !t.window.hits(t.of) {
		n++
	}
	return n
}

// mostReasons is how many failures of one kind are told of one load; more are counted.
const mostReasons = 10

// say adds the sentences of a stretch of series.
func (d *doubts) say(because []moistheat.Detail, from, to int) []moistheat.Detail {
	for _, s := range d.series[from:min(to, from+mostReasons)] {
		if !slices.Contains(because, s.why) { // which another chamber may have said
			because = append(because, s.why)
		}
	}
	return andMore(because, to-from)
}

func andMore(because []moistheat.Detail, n int) []moistheat.Detail {
	if n > mostReasons {
		because = append(because, count(n-mostReasons, "and-one-more: And 1 more failure.",
			"and-more: And {1:number} more failures."))
	}
	return because
}

// ofPositive returns the triggers of positive biological tests.
func ofPositive(line []*occurrence, pol *calendar.PositiveTestPolicy) []trigger {
	good := goodTests(line, func(g *occurrence) bool { return g.bio == bioGood })
	unproven := goodTests(line, (*occurrence).unproven)
	var out []trigger
	for _, f := range failuresOf(line, pol) {
		f.recall = pol == nil || f.unsound || len(f.tests) >= pol.RecallAfter
		for _, e := range f.tests {
			last := good.before(earliest(e))
			out = append(out, trigger{of: e, rule: rules.RecallPositive, window: between(last, f.end),
				last: last, end: f.end, in: f, doubtful: unproven.between(last, earliest(e))})
		}
	}
	return out
}

// why says of the loads of a failure why they are suspect, and what is asked of them: the
// policy says of which number on everything is recalled, and not the implants alone.
func (f *failure) why(first trigger, n int, pol *calendar.PositiveTestPolicy, zone *time.Location) moistheat.Detail {
	why := together(lang.With("recall-positive: The {1:text} is positive; this load was run {2:text} and {3:text}.",
		first.of.whenTested(zone), since(first.last, calendar.BiologicalTestEvent, zone),
		upTo(first.end, zone)), first.doubtful.notCounted(zone), firstOf(n))
	switch {
	case pol == nil:
		return together(why, lang.Say("recall-policy-silent: The policy does not state when a recall is required, "+
			"so the load is recalled."))
	case f.unsound:
		return together(why, lang.Say("recall-record-not-passed: Physical record or chemical indicators of a positive "+
			"test failed or are not recorded."))
	case f.recall:
		return together(why, lang.Say("recall-by-number: Positive tests so far: {1:number}; the policy requires a "+
			"recall after {2:number}.",
			strconv.Itoa(len(f.tests)), strconv.Itoa(pol.RecallAfter)))
	}
	return together(why, lang.Say("recall-implants-only: After a first positive test, with physical record and "+
		"indicators passed, the policy requires the recall of implants and of the load itself only."))
}

// ofAir returns the triggers of failed air removal or leak tests.
func ofAir(line []*occurrence, kind calendar.EventKind, rule ask.ID) []trigger {
	var failed []*occurrence
	for _, e := range line {
		if e.kind == kind && e.result().passed == moistheat.No {
			failed = append(failed, e)
		}
	}
	if len(failed) == 0 {
		return nil
	}
	good := goodTests(line, func(g *occurrence) bool {
		return g.kind == kind && g.result().passed == moistheat.Yes &&
			!slices.ContainsFunc(g.left, func(v *occurrence) bool { return v.result().void })
	})
	var out []trigger
	for _, e := range failed {
		first, end := e.span()
		last, next := good.before(first), good.after(end)
		out = append(out, trigger{of: e, rule: rule, window: between(last, next), last: last, end: next})
	}
	return out
}

func whyAir(first trigger, n int, zone *time.Location) moistheat.Detail {
	e := first.of
	return together(lang.With("recall-failed: The {1:text} failed ({2:text}); this load was run {3:text} and {4:text}.",
		e.name(zone), e.result().words(), since(first.last, e.kind, zone),
		upTo(first.end, zone)), firstOf(n))
}

// unproven reports whether a biological test was read and is not shown to count.
func (h *occurrence) unproven() bool {
	return (h.bio == bioOpen || h.bio == bioVoid) && h.result().cause == unproven
}

// notCounted says of such a test why it does not count.
func (h *occurrence) notCounted(zone *time.Location) moistheat.Detail {
	if h == nil {
		return moistheat.Detail{}
	}
	return lang.With("suspect-test-unproven: The test of {1:date} is not shown to be valid: {2:text}.",
		lang.Data(in(h.end, zone).Format(stamp)), h.result().why())
}

// between returns the newest of the tests that ended before an instant, if another one did not
// end after it.
func (g negatives) between(last *occurrence, until time.Time) *occurrence {
	if e := g.before(until); e != nil && e.end.After(endOf(last)) {
		return e
	}
	return nil
}

// together returns those of several sentences that there are, one behind the other.
func together(sentences ...moistheat.Detail) moistheat.Detail {
	return lang.Join(" ", slices.DeleteFunc(sentences, func(d moistheat.Detail) bool { return !d.IsValid() })...)
}

// firstOf says of the first of several failures in a row that it is.
func firstOf(n int) moistheat.Detail {
	if n < 2 {
		return moistheat.Detail{}
	}
	return lang.Say("suspect-first-of-series: First of {1:number} consecutive failures.", strconv.Itoa(n))
}

// mayDraw returns the loads run in cycles with dynamic air removal, which a failed air
// removal or leak test casts doubt on; what is not recorded may have been one.
func mayDraw(loads []*occurrence) []*occurrence {
	var out []*occurrence
	for _, l := range loads {
		if l.some(ofAirRemoval, func(v *occurrence) bool { return v.dynamic() || v.cycle.AirRemoval == "" }) {
			out = append(out, l)
		}
	}
	return out
}

// wrongSetting is a wrong setting and the loads run with it, whenever that was.
type wrongSetting struct {
	of    *occurrence
	loads map[*occurrence]bool
	why   moistheat.Detail
}

func (w *wrongSetting) same(e *occurrence) bool {
	return w.of.site == e.site && w.of.cycle == e.cycle && w.of.hold.String() == e.hold.String()
}

// wrong takes in a wrong setting. Those of a clinic are few.
func (s *suspicion) wrong(e *occurrence, zone *time.Location) {
	if slices.ContainsFunc(s.settings, func(w *wrongSetting) bool { return w.same(e) }) {
		return
	}
	w := &wrongSetting{of: e, loads: map[*occurrence]bool{},
		why: lang.With("suspect-wrong-setting: A wrong setting was found on {1:date} ({2:text}); "+
			"this load was run with it, or its setting is not recorded. A negative biological indicator test does "+
			"not change that.", lang.Data(in(e.end, zone).Format(stamp)), setting(e))}
	for _, l := range (chamber{site: e.site}).loads(s.loads) {
		if l.mayHave(e) {
			w.loads[l] = true
		}
	}
	s.settings = append(s.settings, w)
}

// mayHave reports whether a load may have been run with a setting.
func (h *occurrence) mayHave(set *occurrence) bool {
	air := CycleSetting{AirRemoval: set.cycle.AirRemoval}
	temperature := CycleSetting{Temperature: set.cycle.Temperature}
	return h.some(ofAirRemoval, func(v *occurrence) bool { return !air.differs(v.cycle) }) &&
		h.some(ofTemperature, func(v *occurrence) bool { return !temperature.differs(v.cycle) }) &&
		h.some(ofHold, func(v *occurrence) bool {
			return !set.hold.IsValid() || !v.hold.IsValid() || set.hold.Compare(v.hold) == 0
		})
}

// negatives are the good tests of one kind whose time nothing contradicts.
type negatives struct {
	byEnd   []*occurrence
	byStart []*occurrence
	soonest []*occurrence // of those from each of byStart on, the one that ended first
}

func goodTests(line []*occurrence, good func(*occurrence) bool) negatives {
	var g negatives
	for _, e := range line {
		if !e.start.IsZero() && good(e) && e.exact() {
			g.byStart = append(g.byStart, e)
		}
	}
	g.byEnd = slices.Clone(g.byStart)
	slices.SortStableFunc(g.byEnd, func(a, b *occurrence) int { return a.end.Compare(b.end) })
	g.soonest = slices.Clone(g.byStart)
	for i := len(g.soonest) - 2; i >= 0; i-- {
		if next := g.soonest[i+1]; next.end.Before(g.soonest[i].end) {
			g.soonest[i] = next
		}
	}
	return g
}

// before returns the newest good test that surely ended before a test began, or nil.
// Biological tests are so in loads and in runs without negatives.
func (g negatives) before(begun time.Time) *occurrence {
	i := sort.Search(len(g.byEnd), func(i int) bool { return g.byEnd[i].end.After(begun) })
	if i == 0 {
		return nil
	}
	return g.byEnd[sort.Search(i, func(j int) bool { return !g.byEnd[j].end.Before(g.byEnd[i-1].end) })]
}

// after returns the good test that was begun after another test and ended first, or nil; of
// a test whose time is not known none surely was.
func (g negatives) after(t time.Time) *occurrence {
	i := sort.Search(len(g.byStart), func(i int) bool { return !g.byStart[i].start.Before(t) })
	if t.IsZero() || i == len(g.byStart) {
		return nil
	}
	return g.soonest[i]
}
