package history

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
)

// stageKinds are the stages of qualification, in their order.
var stageKinds = [...]calendar.EventKind{calendar.InstallationQualifiedEvent, calendar.OperationalQualifiedEvent,
	calendar.PerformanceQualificationEvent}

func isStage(k calendar.EventKind) bool {
	return k >= calendar.InstallationQualifiedEvent && k <= calendar.PerformanceQualificationEvent
}

// fulfils reports whether an event of a kind is what a duty asks for: a performance
// qualification is one as much as that which is done again.
func fulfils(kind, duty calendar.EventKind) bool {
	return kind == duty || duty == calendar.RequalificationEvent && kind == calendar.PerformanceQualificationEvent
}

// stages follows the qualification of one chamber, along its line.
type stages struct {
	installed *occurrence                  // the newest installation; nil: none is on record
	newest    [len(stageKinds)]*occurrence // of each stage since then
	counts    [len(stageKinds)]bool        // it was passed, in its order, by a person who is named
}

// take takes in what happened, and reports whether it is a performance qualification that ends
// a time out of service: one that counts. What was done before the first line is not here: where
// neither an installation nor an earlier stage is on record, a stage stands alone.
func (s *stages) take(e *occurrence) bool {
	if e.kind == calendar.InstalledEvent {
		*s = stages{installed: e}
	}
	if !isStage(e.kind) {
		return false
	}
	i := int(e.kind - stageKinds[0])
	before, _ := s.before(i, e)
	alone := s.installed == nil && s.newest[0] == nil && (i < 2 || s.newest[1] == nil)
	s.newest[i] = e
	s.counts[i] = e.result().passed == moistheat.Yes && e.named && e.proves() && (before == moistheat.Yes || alone)
	return s.counts[i] && e.kind == calendar.PerformanceQualificationEvent
}

// before says whether each stage before one that was begun had been passed by then, and names the
// latest that had not.
func (s *stages) before(i int, e *occurrence) (moistheat.Answer, calendar.EventKind) {
	for j := i - 1; j >= 0; j-- {
		switch p := s.newest[j]; {
		case p == nil:
			return moistheat.NotRecorded, stageKinds[j]
		case !s.counts[j] || e.start.Before(p.end):
			return moistheat.No, stageKinds[j]
		}
	}
	return moistheat.Yes, 0
}

// lacking names the stages that do not count.
func (s *stages) lacking() moistheat.Detail {
	var out []moistheat.Detail
	for i, k := range stageKinds {
		if !s.counts[i] {
			out = append(out, lang.Say("event-kind: {1:calendar.EventKind}", k.String()))
		}
	}
	return lang.Join(", ", out...)
}

// qualification judges the stages of each installation, and of one whose first stage is on record.
func (u *unitHistory) qualification(c *ask.List) {
	from := len(c.Findings)
	for _, ch := range u.chambers("") {
		var s stages
		var now commissioning
		for i, e := range ch.line {
			if e.kind == calendar.InstalledEvent || now.of == nil && e.kind == calendar.InstallationQualifiedEvent {
				now.ask(c, &s)
				now = commissioning{of: e}
			}
			if isStage(e.kind) {
				s.ask(c, e, ch.line[i+1:])
			}
			switch done := s.take(e); {
			case done:
				now.ready = true
			case e.requalifies():
				now.again = true
			case e.kind == 0 && e.forPatients() && !now.ready && !now.again:
				now.use(e)
			}
		}
		now.ask(c, &s)
	}
	rest(c, from, "", false, rules.QualificationMissing, rules.QualificationOrder, rules.QualificationUnproven)
}

// ask asks of a stage whether it was passed, is proven and came in its order, by what came before
// it and the line after it.
func (s *stages) ask(c *ask.List, e *occurrence, after []*occurrence) {
	what := lang.Say("event-kind: {1:calendar.EventKind}", e.kind.String())
	passed := e.result().passed
	var missing []moistheat.Detail
	for _, m := range []struct {
		gone bool
		name moistheat.Detail
	}{
		{passed == moistheat.NotRecorded, lang.Say("stage-result: the result")},
		{!e.named, lang.Say("stage-person: who did it")},
		{e.upkeep == nil || strings.TrimSpace(e.upkeep.document) == "", lang.Say("stage-report: the report")},
	} {
		if m.gone {
			missing = append(missing, m.name)
		}
	}
	c.Ask(rules.QualificationUnproven, e.pointer()).Say("what", what).Say("missing", lang.Join(", ", missing...)).
		BrokenWhen(passed == moistheat.No).Known(len(missing) == 0)
	if e.kind == stageKinds[0] {
		return
	}
	done, before := s.before(int(e.kind-stageKinds[0]), e)
	late := false // the stage before came later
	for _, o := range after {
		if o.kind == calendar.InstalledEvent {
			break
		}
		late = late || o.kind == before
	}
	q := c.Ask(rules.QualificationOrder, e.pointer()).Say("what", what)
	if before != 0 {
		q.Say("before", lang.Say("event-kind: {1:calendar.EventKind}", before.String()))
	}
	q.BrokenWhen(done == moistheat.NotRecorded && late).Yes(done)
}

// commissioning is the time from an installation to the stage that ends it.
type commissioning struct {
	of           *occurrence // nil: none is on record
	ready, again bool        // all stages were passed; the sterilizer was requalified
	loads        int         // for patients, before
	first        moistheat.Date
}

func (n *commissioning) use(e *occurrence) {
	if n.loads++; n.loads == 1 {
		n.first = e.day()
	}
}

// ask asks whether the stages were passed before the first load.
func (n *commissioning) ask(c *ask.List, s *stages) {
	if n.of == nil {
		return
	}
	c.Ask(rules.QualificationMissing, n.of.pointer()).When(n.ready || n.again || n.loads > 0).
		With("first", n.first.String()).With("count", strconv.Itoa(n.loads)).Say("missing", s.lacking()).
		BrokenWhen(n.loads > 0).Known(n.ready)
}

// qualifications returns the performance qualifications that count since the newest installation
// of the chamber that a load was run in; where that is one of several, none. What a later one that
// failed names is taken out of them, and of one that names nothing everything.
func (u *unitHistory) qualifications(site string, own *occurrence, duties []calendar.Duty) []load.KnownQualification {
	const enough = 100
	var out []load.KnownQualification
	all := u.chambers(site)
	for _, ch := range all {
		if !ch.may(own) || len(all) > 1 && own.site == "" {
			continue
		}
		var s stages
		for _, e := range ch.line {
			if e.kind == calendar.InstalledEvent {
				out = nil
			}
			programs, patterns := names(e.upkeep.coverage(0)), names(e.upkeep.coverage(1))
			switch {
			case s.take(e) || e.requalifies():
				out = append(out, load.KnownQualification{Time: e.end, Event: e.id, Programs: programs,
					Patterns: patterns})
			case fulfils(e.kind, calendar.RequalificationEvent) && e.result().passed == moistheat.No:
				out = without(out, programs, patterns)
			}
		}
	}
	out = inTime(out, duties, own.start)
	return out[max(0, len(out)-enough):]
}

// without returns qualifications without what failed. One of which nothing is left is none.
func without(all []load.KnownQualification, programs, patterns []string) (out []load.KnownQualification) {
	if len(programs)+len(patterns) == 0 {
		return nil
	}
	for _, q := range all {
		left := q
		left.Programs, left.Patterns = except(q.Programs, programs), except(q.Patterns, patterns)
		if (left.Programs == nil) == (q.Programs == nil) && (left.Patterns == nil) == (q.Patterns == nil) {
			out = append(out, left)
		}
	}
	return out
}

// except returns names without those that are gone, in any spelling.
func except(all, gone []string) (out []string) {
	for _, name := range all {
		if !slices.ContainsFunc(gone, func(g string) bool { return markKey(g) == markKey(name) }) {
			out = append(out, name)
		}
	}
	return out
}

// inTime returns the qualifications that are no older at an instant than a duty lets them become.
// Where none of those names what the older ones name, the older ones stand: that they are too old
// is asked of the duty.
func inTime(all []load.KnownQualification, duties []calendar.Duty, at time.Time) []load.KnownQualification {
	var out []load.KnownQualification
	var named, left [2]bool // programs, patterns: of all, of those in time
	for _, q := range all {
		old := slices.ContainsFunc(duties, func(d calendar.Duty) bool {
			return d.Test == calendar.RequalificationEvent && d.Device == "" && d.Every.IsValid() && !at.IsZero() &&
				moistheat.DateOf(at).Compare(d.Every.AfterDate(moistheat.DateOf(q.Time.In(at.Location())))) > 0
		})
		for i, some := range [2]bool{len(q.Programs) > 0, len(q.Patterns) > 0} {
			named[i], left[i] = named[i] || some, left[i] || some && !old
		}
		if !old {
			out = append(out, q)
		}
	}
	if named != left {
		return all
	}
	return out
}
