package history

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

// Check checks a record with what the history knows of its sterilizer, which is
// [History.Known]. The record need not be in the history, and is not taken in.
func (h *History) Check(r *load.Record) *load.Report {
	return load.CheckKnowing(r, h.Policy(), h.Known(r))
}

// Known returns what the history knows of the sterilizer of a record when its load began,
// for [load.CheckKnowing]. The record itself is left out where it is in already: no load
// is out of service by its own result. Of other loads' traces, on any sterilizer and of
// any time, it names those that are the record's. Of a record without any time it is as of
// the last thing that happened, and of a nil record nothing is known. It takes a pass over
// all that is known of the sterilizer.
func (h *History) Known(r *load.Record) load.Known {
	if h == nil || r == nil {
		return load.Known{}
	}
	own := ofRecord(r, load.Check(nil, nil))
	at := own.start
	past := &unitHistory{all: map[occurrenceKey]*occurrence{}, amended: h.amended}
	for key, e := range cmp.Or(h.sterilizers[r.Sterilizer.ID], &unitHistory{}).all {
		if key != own.key() && !e.start.IsZero() && (own.start.IsZero() || !e.end.After(own.start)) {
			past.all[key] = e
			at = later(at, e.end)
		}
	}
	if at.IsZero() {
		return load.Known{}
	}
	k := load.Known{Format: load.KnownFormat, Sterilizer: r.Sterilizer.ID, At: at}
	before := &History{policy: h.policy, sterilizers: map[string]*unitHistory{r.Sterilizer.ID: past}, amended: h.amended}
	k.Outages = before.knownOutages(at)
	days := before.Summary().unit(r.Sterilizer.ID)
	line := past.timeline()
	newest := map[load.KnownTest]*occurrence{}
	for _, e := range line {
		if day := moistheat.DateOf(e.start.In(at.Location())); e.kind == 0 && day.Compare(moistheat.DateOf(at)) < 0 &&
			day.Compare(k.LastUse) > 0 {
			k.LastUse = day
		}
		what := load.KnownTest{Test: cmp.Or(e.kind, calendar.BiologicalTestEvent), AirRemoval: e.cycle.AirRemoval,
			Temperature: e.cycle.Temperature}
		switch {
		case e.kind != 0 && !calendar.IsTest(e.kind):
		case e.result().passed == moistheat.Yes:
			if old := newest[what]; old == nil || e.end.After(old.end) {
				newest[what] = e
			}
		case e.bio == bioPending:
			what.Time = e.end
			k.Pending = append(k.Pending, what)
		}
	}
	for what, e := range newest {
		what.Time = e.end
		what.Ran = units.New(int64((days.usedSince(e.end)+time.Second-1)/time.Second), 0, units.Second)
		k.Tests = append(k.Tests, what)
	}
	slices.SortFunc(k.Tests, compareKnown)
	slices.SortFunc(k.Pending, compareKnown)
	k.Traces = h.sameTraces(own)
	return k
}

func compareKnown(a, b load.KnownTest) int {
	return cmp.Or(cmp.Compare(a.Test, b.Test), a.Time.Compare(b.Time), cmp.Compare(a.AirRemoval, b.AirRemoval),
		strings.Compare(a.Temperature.String(), b.Temperature.String()))
}

// sameTraces returns the traces of other loads that read as one does.
func (h *History) sameTraces(own *occurrence) (out []load.KnownTrace) {
	if len(own.traces) == 0 {
		return nil
	}
	for _, u := range h.sterilizers {
		for _, e := range u.all {
			if e.kind == 0 && e.id != own.id && slices.Contains(e.traces, own.traces[0]) {
				out = append(out, load.KnownTrace{Digest: own.traces[0], Record: cmp.Or(e.id, "without an id")})
			}
		}
	}
	slices.SortFunc(out, func(a, b load.KnownTrace) int { return strings.Compare(a.Record, b.Record) })
	return slices.Compact(out)
}

// knownOutages returns the times out of service that had begun at an instant.
func (h *History) knownOutages(at time.Time) (out []load.KnownOutage) {
	for _, o := range h.OutOfService() {
		if o.From.After(at) {
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
