package history

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/units"
)

// Check checks a record with what the history knows of its sterilizer, which is
// [History.Known]. The record need not be in the history, and is not taken in.
func (h *History) Check(r *load.Record) *load.Report {
	r = h.resolved(r)
	return load.CheckKnowing(r, h.Policy(), h.Known(r))
}

// Known returns what the history knows of the sterilizer of a record when its load began,
// for [load.CheckKnowing]. The record itself is left out where it is in already: no load
// is out of service by its own result. Of other loads' traces, on any sterilizer and of
// any time, it names those that are the record's; another record of the same load that fails it
// casts doubt on this one; of habits, those that a load of any
// sterilizer did not keep on the day of the record or before. Of a record without any time it is as of
// the last thing that happened; of a nil record, and of a sterilizer that is in no line, nothing is
// known, which is the zero Known and no document. It takes a pass over all that is known of the
// sterilizer.
func (h *History) Known(r *load.Record) load.Known {
	if h == nil || r == nil {
		return load.Known{}
	}
	r = h.resolved(r)
	own := ofRecord(r, load.Check(nil, nil))
	line := digestOf(r.Unresolved(), func() string { return fmt.Sprintf("%+v", *own) })
	return h.known(r.Sterilizer.ID, own.as(line, 0), func() *occurrence {
		return ofRecord(r, load.Check(r, h.Policy()))
	})
}

// known is [History.Known] of a load that left a trace.
func (h *History) known(sterilizer string, own *occurrence, judged func() *occurrence) load.Known {
	at := own.start
	unit := cmp.Or(h.units()[sterilizer], &unitHistory{})
	past := &unitHistory{all: map[occurrenceKey]*occurrence{}, amended: h.amended}
	for key, e := range unit.all {
		if key != own.key() && !e.start.IsZero() && (own.start.IsZero() || !e.end.After(own.start)) {
			past.all[key] = e
			at = later(at, e.end)
		}
	}
	cleaned := h.cleanings()
	k := load.Known{Format: load.KnownFormat, Sterilizer: sterilizer, At: at, Suspicions: h.suspicions(unit, own, judged),
		Traces: h.sameTraces(own), Controls: unit.knownControls(own), Prions: h.knownPrions(own, unit.all[own.key()]),
		Practices: h.notKept(own.date), Items: h.knownItems(own),
		Batches: cleaned.known(own), KeepsBatches: cleaned.kept(own),
		Qualified: past.qualifications(cmp.Or(own.site, unit.otherSite(past)), own,
			append(h.Policy().Schedule(), h.Policy().Upkeep()...)),
		Duties: h.knownDuties(sterilizer, own)}
	k.Outages = h.outagesDuring(sterilizer, unit, own, at)
	for _, id := range h.spellings(sterilizer) { // what speaks against one speaks against both
		k.Outages = append(k.Outages, h.outagesDuring(id, h.units()[id], own, later(at, own.start))...)
		k.Suspicions = append(k.Suspicions, h.suspicions(h.units()[id], own, judged)...)
	}
	if at.IsZero() || len(past.all) == 0 && k.Suspicions == nil && k.Traces == nil && k.Controls == nil &&
		k.Prions == nil && k.Outages == nil && k.Practices == nil && k.Items == nil && k.Batches == nil &&
		k.KeepsBatches == nil && k.Qualified == nil && k.Duties == nil {
		return load.Known{} // nothing is
	}
	before := &History{policy: h.policy, sterilizers: map[string]*unitHistory{sterilizer: past}, amended: h.amended}
	days := before.Summary().unit(sterilizer)
	chambers := past.chambers(cmp.Or(own.site, unit.otherSite(past)))
	for _, c := range chambers {
		if !c.may(own) {
			continue
		}
		var met evidence
		ended := slices.Clone(c.line)
		slices.SortStableFunc(ended, func(a, b *occurrence) int { return a.end.Compare(b.end) })
		for _, e := range ended {
			met.add(e)
			if e.bio == bioPending && e.result().passed != moistheat.Yes {
				what := e.test()
				what.Time = e.end
				k.Pending = append(k.Pending, what)
			}
		}
		if last := met.lastUse(at); last.Compare(k.LastUse) > 0 {
			k.LastUse = last
		}
		if len(chambers) > 1 && own.site == "" {
			continue // nobody knows whose tests they are
		}
		for _, t := range met.tests() {
			t.Ran = units.New(int64((days.usedSince(t.Time)+time.Second-1)/time.Second), 0, units.Second)
			k.Tests = append(k.Tests, t)
		}
	}
	for _, c := range chambers {
		if e := goodTests(c.line, (*occurrence).unproven).before(at); e != nil && c.may(own) && e.key() != own.key() &&
			!slices.ContainsFunc(k.Tests, func(t load.KnownTest) bool {
				return t.Test == calendar.BiologicalTestEvent && !t.Time.Before(e.end)
			}) {
			what := e.test()
			what.Time, what.Why = e.end, e.result().why()
			k.Doubtful = []load.KnownTest{what}
		}
	}
	slices.SortFunc(k.Tests, compareKnown)
	slices.SortFunc(k.Pending, compareKnown)
	return k
}

// otherSite returns the site of a line that is not in the past, if all of the past are of
// another one.
func (u *unitHistory) otherSite(past *unitHistory) string {
	before, first := map[string]bool{}, ""
	for _, e := range past.all {
		if e.site != "" {
			before[e.site] = true
		}
	}
	for key, e := range u.all {
		if past.all[key] == nil && e.site != "" && (len(before) > 1 || len(before) == 1 && !before[e.site]) &&
			(first == "" || e.site < first) {
			first = e.site
		}
	}
	return first
}

// suspicions returns the failures that cast doubt on a load, whenever they became known.
// One after which the policy recalls only other loads does so while no good test ended it.
func (h *History) suspicions(u *unitHistory, own *occurrence, judged func() *occurrence) (out []load.KnownSuspicion) {
	const enough = 100
	e := u.all[own.key()]
	if id, found := u.beside(own, judged); found {
		out = append(out, load.KnownSuspicion{ID: id})
	}
	for _, t := range u.suspicion(h.course()).triggers {
		switch t.rule {
		case rules.RecallPositive, rules.RecallPenetration, rules.RecallLeak, rules.RecallSetting, rules.RecallSensor:
		default:
			continue // of the load itself
		}
		of := own
		if e != nil && t.hits(e) {
			of = e
		}
		if t.of == e || len(out) == enough || !t.hits(of) ||
			t.in != nil && !t.in.recall && of.bio != bioPositive && !t.of.layIn(of) &&
				forImplants(of.implants) == Trace && !t.to.IsZero() {
			continue
		}
		s := load.KnownSuspicion{After: t.from, UpTo: t.to, Event: cmp.Or(t.of.kind, calendar.BiologicalTestEvent),
			ID: t.of.id}
		out = append(out, s)
	}
	return h.machineSuspicions(own, e, out)
}

// beside returns the ID of another record of a load that says against it, or against one of its packs,
// what its own does not: a version of it, or a record of another name of the same cycle. Which of
// them is right is not on record, or one would have been taken back. A person's decision gives way to a
// later one, where it says when it was made.
func (u *unitHistory) beside(own *occurrence, judged func() *occurrence) (id string, found bool) {
	var worse []*occurrence
	for _, e := range u.all {
		same := e.kind == 0 && e != own && (chamber{site: own.site}).may(e) && (e.key() == own.key() ||
			own.number != "" && e.number == own.number && !own.start.IsZero() && e.start.Equal(own.start))
		if !same {
			continue
		}
		for _, v := range e.counting() {
			if len(own.lines) == 0 || !slices.Contains(v.lines, own.lines[0]) {
				worse = append(worse, v)
			}
		}
	}
	if worse == nil {
		return "", false
	}
	mine := judged()
	slices.SortFunc(worse, before)
	for _, v := range worse {
		if v.saysMoreAgainst(mine) {
			return v.id, true
		}
	}
	return "", false
}

// saysMoreAgainst reports whether a record says of its load, or of one of the packs, that it failed
// where another does not.
func (h *occurrence) saysMoreAgainst(own *occurrence) bool {
	failed := func(e *occurrence) bool {
		return e.state == loadBad || e.stops || e.bio == bioPositive && e.taken&ofBiological == 0
	}
	refused := func(theirs, mine moistheat.Answer) bool {
		return theirs == moistheat.No && mine != moistheat.No && (h.signed.IsZero() || !h.signed.Before(own.signed))
	}
	if failed(h) && !failed(own) || refused(h.released, own.released) {
		return true
	}
	return slices.ContainsFunc(h.packs, func(theirs packTrace) bool {
		return slices.ContainsFunc(own.packs, func(mine packTrace) bool {
			return theirs.id == mine.id && theirs.id != "" &&
				(theirs.state == loadBad && mine.state != loadBad || refused(theirs.released, mine.released))
		})
	})
}

func compareKnown(a, b load.KnownTest) int {
	return cmp.Or(cmp.Compare(a.Test, b.Test), a.Time.Compare(b.Time), cmp.Compare(a.AirRemoval, b.AirRemoval),
		strings.Compare(a.Temperature.String(), b.Temperature.String()))
}

// sameTraces returns the traces of other loads that read as one does.
func (h *History) sameTraces(own *occurrence) (out []load.KnownTrace) {
	for _, u := range h.units() {
		for _, e := range u.all {
			for _, t := range own.traces {
				if e.kind == 0 && e.id != own.id && slices.Contains(e.traces, t) {
					out = append(out, load.KnownTrace{Digest: t, Record: cmp.Or(e.id, "without an id")})
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b load.KnownTrace) int { return strings.Compare(a.Record, b.Record) })
	return slices.Compact(out)
}

// notKept returns for each habit the newest load, up to a day, at which it was not kept. One
// whose day is not known counts before all others.
func (h *History) notKept(until moistheat.Date) (out []load.KnownPractice) {
	newest := map[load.Habit]load.KnownPractice{}
	for _, u := range h.units() {
		for _, e := range u.all {
			for _, v := range e.counting() {
				day := cmp.Or(v.date, moistheat.DateOf(v.start))
				if day.IsValid() && until.IsValid() && day.Compare(until) > 0 {
					continue
				}
				for _, habit := range v.habits {
					k := load.KnownPractice{Habit: habit, Since: day, Record: cmp.Or(v.id, "without an id")}
					if n, found := newest[habit]; !found || newer(k, n) {
						newest[habit] = k
					}
				}
			}
		}
	}
	for _, habit := range slices.Sorted(maps.Keys(newest)) {
		out = append(out, newest[habit])
	}
	return out
}

// newer reports whether a load that did not keep a habit counts before another one.
func newer(a, b load.KnownPractice) bool {
	if a.Since == b.Since {
		return a.Record < b.Record
	}
	return !a.Since.IsValid() || b.Since.IsValid() && a.Since.Compare(b.Since) > 0
}

// outagesDuring returns the times out of service of a load's sterilizer that had begun when its
// cycle ended, or where that is not recorded, at an instant.
func (h *History) outagesDuring(sterilizer string, u *unitHistory, own *occurrence, at time.Time) []load.KnownOutage {
	until := later(at, own.end)
	past := &unitHistory{all: map[occurrenceKey]*occurrence{}, amended: h.amended}
	for key, e := range u.all {
		if key != own.key() && !e.start.IsZero() && !e.end.After(until) {
			past.all[key] = e
		}
	}
	one := &History{policy: h.policy, sterilizers: map[string]*unitHistory{sterilizer: past}, amended: h.amended}
	return one.knownOutages(until, own)
}

// knownOutages returns the times out of service of a load's sterilizer that had begun at
// an instant.
func (h *History) knownOutages(at time.Time, own *occurrence) (out []load.KnownOutage) {
	for _, o := range h.OutOfService() {
		if o.From.After(at) || !(chamber{site: own.site}).may(o.of) {
			continue
		}
		k := load.KnownOutage{From: o.From, To: o.To, Cause: o.Cause, Event: o.of.id}
		if k.To.After(at) {
			k.To = time.Time{}
		}
		out = append(out, k)
	}
	return out
}
