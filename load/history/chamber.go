package history

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
)

// A chamber is what lines under one sterilizer's name say of one practice's sterilizer:
// two practices may call theirs alike. Where only one is named, or none, all lines are of
// one chamber. Otherwise a line that names none may be of either, so that it speaks
// against both and for neither.
type chamber struct {
	site    string // "": there is one chamber only
	line    []*occurrence
	undated []*occurrence // loads
}

// mostSites are those that are told apart, as each is asked of each line. Where lines name
// more, all are of one chamber, in which each speaks against all others and none for one.
const mostSites = 64

// sites returns the names of those that lines of a sterilizer name.
func (u *unitHistory) sites() map[string]bool {
	sites := map[string]bool{}
	for _, e := range u.all {
		if e.start.IsZero() && e.kind != 0 {
			continue
		}
		for _, v := range append(slices.Clone(e.left), e) {
			if v.site != "" {
				sites[v.site] = true
			}
		}
	}
	return sites
}

// chambers returns those of a sterilizer, by the name of the site. more is another site
// that is known of.
func (u *unitHistory) chambers(more string) []chamber {
	line, undated, sites := u.timeline(), u.undated(), u.sites()
	if more != "" {
		sites[more] = true
	}
	switch {
	case len(sites) < 2:
		return []chamber{{line: line, undated: undated}}
	case len(sites) > mostSites:
		c := chamber{undated: undated}
		for _, e := range line {
			if e.kind == 0 {
				c.line = append(c.line, e.against(nil))
			} else if !e.helps() {
				c.line = append(c.line, e)
			}
		}
		return []chamber{c}
	}
	var out []chamber
	for _, site := range slices.Sorted(maps.Keys(sites)) {
		c := chamber{site: site}
		for _, e := range line {
			switch {
			case e.site == site || e.site == "" && !e.helps():
				c.line = append(c.line, e)
			case e.site == "" && e.kind == 0: // it is a load, whatever else it may be
				c.line = append(c.line, e.against(nil))
			}
		}
		for _, e := range undated {
			if c.may(e) {
				c.undated = append(c.undated, e)
			}
		}
		out = append(out, c)
	}
	return out
}

// may reports whether something may have happened in the chamber.
func (c chamber) may(e *occurrence) bool { return c.site == "" || e.site == "" || e.site == c.site }

// loads returns those that may have been run in the chamber.
func (c chamber) loads(all []*occurrence) []*occurrence {
	if c.site == "" {
		return all
	}
	return slices.DeleteFunc(slices.Clone(all), func(e *occurrence) bool { return !c.may(e) })
}

// by returns the chamber as it was when nothing had begun later than an instant.
func (c chamber) by(at time.Time) chamber {
	n, _ := slices.BinarySearchFunc(c.line, at, func(e *occurrence, at time.Time) int {
		if e.start.After(at) {
			return 1
		}
		return -1
	})
	c.line = c.line[:n]
	return c
}

// helps reports whether an occurrence may end anything or show anything to be good.
func (h *occurrence) helps() bool {
	switch h.kind {
	case calendar.ReturnedEvent, calendar.ExplainedEvent, calendar.RepairedEvent:
		return h.kind != calendar.RepairedEvent
	}
	return (h.kind == 0 || calendar.IsTest(h.kind)) && h.result().passed == moistheat.Yes
}

// evidence is what a walk through a chamber, by the end of what happened, has met: the
// tests that a load need not mention.
type evidence struct {
	newest map[load.KnownTest]*occurrence
	loads  []*occurrence
}

func (v *evidence) add(e *occurrence) {
	if e.kind == 0 {
		v.loads = append(v.loads, e)
	}
	if e.kind != 0 && !calendar.IsTest(e.kind) || e.result().passed != moistheat.Yes {
		return
	}
	what := e.test()
	if v.newest == nil {
		v.newest = map[load.KnownTest]*occurrence{}
	}
	if old := v.newest[what]; old == nil || e.end.After(old.end) {
		v.newest[what] = e
	}
}

// test returns what an occurrence is a test of.
func (h *occurrence) test() load.KnownTest {
	kind := h.kind
	if kind == 0 {
		kind = calendar.BiologicalTestEvent
	}
	return load.KnownTest{Test: kind, AirRemoval: h.cycle.AirRemoval, Temperature: h.cycle.Temperature}
}

// tests returns them as they are known to a load.
func (v *evidence) tests() (out []load.KnownTest) {
	for what, e := range v.newest {
		what.Time = e.end
		out = append(out, what)
	}
	slices.SortFunc(out, compareKnown)
	return out
}

// lastUse returns the last day with a load before that of an instant.
func (v *evidence) lastUse(at time.Time) (last moistheat.Date) {
	today := moistheat.DateOf(at)
	for i := len(v.loads) - 1; i >= 0; i-- {
		day := moistheat.DateOf(v.loads[i].start.In(at.Location()))
		if day.Compare(today) < 0 && day.Compare(last) > 0 {
			last = day
		}
		if last.IsValid() && day.AddDays(2).Compare(last) < 0 { // a load that took longer would be none
			break
		}
	}
	return last
}

// shown returns the loads of which the history shows what their records lack: the tests
// that the policy asks for before a load, and that the history was asked.
func (h *History) shown() map[*occurrence]bool {
	out := map[*occurrence]bool{}
	h = cmp.Or(h, &History{})
	for id, u := range h.units() {
		if !u.lacking() {
			continue
		}
		for _, c := range u.chambers("") {
			ended := slices.Clone(c.line)
			slices.SortStableFunc(ended, func(a, b *occurrence) int { return a.end.Compare(b.end) })
			var met evidence
			for _, e := range c.line {
				for len(ended) > 0 && !ended[0].end.After(e.start) {
					met.add(ended[0])
					ended = ended[1:]
				}
				if e.kind == 0 && e.state == loadOpen && e.lacks != 0 && e.exact() {
					out[e] = h.shows(id, e, &met)
				}
			}
		}
	}
	return out
}

func (u *unitHistory) lacking() bool {
	for _, e := range u.all {
		if e.kind == 0 && e.state == loadOpen && e.lacks != 0 {
			return true
		}
	}
	return false
}

// shows asks the rules about what the record of a load lacks, with what the history met
// before it began.
func (h *History) shows(sterilizer string, e *occurrence, met *evidence) bool {
	r := &load.Record{Format: load.Format, ID: e.id, Cycle: &load.Cycle{}}
	r.Load.Date, r.Sterilizer.ID, r.Sterilizer.AirDetector = e.date, sterilizer, e.detector
	r.Cycle.Started, r.Cycle.Ended = e.start, e.end
	r.Cycle.Settings.AirRemoval, r.Cycle.Settings.Temperature = e.cycle.AirRemoval, e.cycle.Temperature
	report := load.CheckKnowing(r, h.Policy(), load.Known{Format: load.KnownFormat, Sterilizer: sterilizer, At: e.start,
		LastUse: met.lastUse(e.start), Tests: met.tests()})
	return !slices.ContainsFunc(report.Findings, func(f moistheat.Finding) bool {
		i := slices.Index(dutyRules[:], f.Rule)
		return i >= 0 && e.lacks&(1<<i) != 0 && f.Open() && f.Effect != moistheat.Effect{}
	})
}
