package history

import (
	"cmp"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
	"github.com/stretchr/testify/require"
)

// The plain form of a recall: every failure is held against every load, every stored pack
// against every load, and every use against every other. It is right by its definition and
// slow; the answers of a history must be the same.

// plainly is what a plain recall knows of one sterilizer.
type plainly struct {
	*History
	id       string
	all      []*occurrence // by time, those without one first
	triggers []trigger
	closed   closures
	shown    map[*occurrence]bool
}

func plainOf(h *History, id string) *plainly {
	u := h.units()[id]
	p := &plainly{History: h, id: id, shown: h.shown(), all: slices.SortedFunc(maps.Values(u.all), before)}
	p.closed = joined(u.outages(u.timeline(), h.course()))
	for _, e := range p.all {
		if in := p.run(e); in != nil && e.forPatients() {
			p.triggers = append(p.triggers, ofItself(e, rules.HistoryOutofuse,
				lang.Data("The load was run while the sterilizer was out of service since "+in.From.Format(stamp)+
					": "+in.why().String()+".")))
		}
	}
	negative := func(g *occurrence) bool { return g.bio == bioGood }
	for _, f := range p.failures() {
		for _, e := range f.tests {
			p.trigger(trigger{of: e, rule: rules.RecallPositive, last: p.lastGood(e, negative), end: f.end, in: f})
		}
	}
	for kind, rule := range map[calendar.EventKind]ask.ID{
		calendar.AirRemovalEvent: rules.RecallPenetration, calendar.LeakEvent: rules.RecallLeak,
	} {
		for _, e := range p.all {
			if e.kind == kind && e.result().passed == no && !e.start.IsZero() {
				good := func(g *occurrence) bool { return g.kind == kind && !voided(g) && g.result().passed == yes }
				p.trigger(trigger{of: e, rule: rule, last: p.lastGood(e, good), end: p.nextGood(e, good)})
			}
		}
	}
	for _, e := range p.all {
		switch {
		case e.kind == calendar.WrongSettingEvent:
			p.triggers = append(p.triggers, trigger{of: e, rule: rules.RecallSetting})
		case e.kind == 0 && e.reopened():
			p.triggers = append(p.triggers, ofItself(e, rules.RecallReleased, moistheat.Detail{}))
		}
	}
	return p
}

func (p *plainly) trigger(t trigger) {
	if t.last != nil {
		t.from = t.last.end
	}
	if t.end != nil {
		if t.to = t.end.end; t.to.Before(t.from) {
			t.to = t.from
		}
	}
	p.triggers = append(p.triggers, t)
}

func voided(e *occurrence) bool {
	return slices.ContainsFunc(e.left, func(v *occurrence) bool { return v.result().void })
}

// run returns the first time out of service that is not over when a load began, if the
// load may have been run in it.
func (p *plainly) run(e *occurrence) *closure {
	if e.kind != 0 || e.start.IsZero() {
		return nil
	}
	first, last, _ := e.started()
	for i, c := range p.closed {
		if c.to.IsZero() || c.to.After(first) {
			if c.From.After(last) || c.of == e && e.exact() {
				return nil
			}
			return &p.closed[i]
		}
	}
	return nil
}

// failures puts positive tests into runs that a series of good ones ends.
func (p *plainly) failures() []*failure {
	pol := p.positive()
	var bad []*occurrence
	for _, undated := range []bool{false, true} { // as a timeline has them, before they are sorted
		for _, e := range p.all {
			if e.bio == bioPositive && !e.saidTwice() && e.start.IsZero() == undated && (e.kind == 0 || !undated) {
				bad = append(bad, e)
			}
		}
	}
	slices.SortStableFunc(bad, func(a, b *occurrence) int { return earliest(a).Compare(earliest(b)) })
	ends := func(f *failure) *occurrence {
		need := 1
		if pol != nil {
			if need = max(pol.Repeats, 1); len(f.tests) > 1 {
				need = max(need, pol.AfterRepair)
			}
		}
		for _, g := range p.all {
			if g.bio != bioGood || !g.exact() || g.sound() != yes || g.start.IsZero() || !g.proven() {
				continue
			}
			surely := !slices.ContainsFunc(f.tests, func(e *occurrence) bool {
				_, last := e.span()
				return last.IsZero() || g.start.Before(last)
			})
			if surely {
				if need--; need == 0 {
					return g
				}
			}
		}
		return nil
	}
	var out []*failure
	for _, e := range bad {
		n := len(out)
		if n == 0 || out[n-1].end != nil && !out[n-1].end.end.After(earliest(e)) {
			out = append(out, &failure{})
			n++
		}
		f := out[n-1]
		f.tests, f.unsound = append(f.tests, e), f.unsound || e.unsound || e.sound() != yes
		f.recall = pol == nil || f.unsound || len(f.tests) >= pol.RecallAfter
		f.end = ends(f)
	}
	return out
}

func (p *plainly) lastGood(t *occurrence, good func(*occurrence) bool) *occurrence {
	var out *occurrence
	for _, e := range p.all {
		if !e.start.IsZero() && good(e) && e.exact() && !e.end.After(earliest(t)) && (out == nil || e.end.After(out.end)) {
			out = e
		}
	}
	return out
}

func (p *plainly) nextGood(t *occurrence, good func(*occurrence) bool) *occurrence {
	var out *occurrence
	_, failed := t.span()
	for _, e := range p.all {
		if !e.start.IsZero() && good(e) && e.exact() && !failed.IsZero() && !e.start.Before(failed) &&
			(out == nil || e.end.Before(out.end)) {
			out = e
		}
	}
	return out
}

// hits reports whether a failure casts doubt on a load.
func (p *plainly) hits(t trigger, l *occurrence) bool {
	switch t.rule {
	case rules.RecallPositive:
		return t.of == l || t.window.hits(l)
	case rules.RecallPenetration, rules.RecallLeak:
		return t.window.hits(l) && l.some(ofAirRemoval, func(v *occurrence) bool {
			return v.cycle.AirRemoval == "" || v.cycle.AirRemoval == moistheat.DynamicAirRemoval
		})
	case rules.RecallSetting:
		s := t.of
		return l.some(ofAirRemoval, func(v *occurrence) bool {
			return s.cycle.AirRemoval == "" || v.cycle.AirRemoval == "" || s.cycle.AirRemoval == v.cycle.AirRemoval
		}) && l.some(ofTemperature, func(v *occurrence) bool {
			return !s.cycle.Temperature.IsValid() || !v.cycle.Temperature.IsValid() || s.cycle.Temperature == v.cycle.Temperature
		}) && l.some(ofHold, func(v *occurrence) bool {
			return !s.hold.IsValid() || !v.hold.IsValid() || s.hold.Compare(v.hold) == 0
		})
	}
	return t.of == l
}

// asks is what a failure asks of a load that it casts doubt on.
func (p *plainly) asks(t trigger, l *occurrence, implants moistheat.Answer) RecallAction {
	switch t.rule {
	case rules.RecallPositive:
		if !t.in.recall && t.of != l {
			return map[moistheat.Answer]RecallAction{yes: Recall, unknown: Quarantine, no: Trace}[implants]
		}
	case rules.RecallPenetration, rules.RecallLeak:
		return Quarantine
	}
	return Recall
}

// packs returns the stored packs that may be of a load.
func (p *plainly) packs(l *occurrence) (out []*shelvedPack) {
	for _, key := range p.History.packs() {
		if s := p.shelf[key]; len(s.left) > 0 && p.mayBe(s, l) {
			out = append(out, s)
		}
	}
	return out
}

func (p *plainly) mayBe(s *shelvedPack, l *occurrence) bool {
	lists := slices.ContainsFunc(l.packs, func(q packTrace) bool { return q.id == s.Pack })
	labelled, open := s.sterilized()
	days, any := l.days()
	same := func(d moistheat.Date) bool { return slices.Contains(labelled, d) }
	switch {
	case l.kind != 0 || s.Sterilizer != "" && s.Sterilizer != p.id:
		return false
	case s.Record != "":
		return s.Record == l.id
	case s.Load == "" && !lists:
		return false
	case s.Load != "" && (!slices.Contains(l.numbers(), s.Load) || s.Sterilizer == "" && !lists):
		return false
	}
	return open || any || slices.ContainsFunc(days, same)
}

// reasons returns how many sentences say why a load is suspect: one for each series of
// failures of one kind whose windows meet, up to ten and one that counts the rest.
func (p *plainly) reasons(l *occurrence) (n int) {
	of := map[ask.ID][][]trigger{}
	for _, t := range p.triggers {
		together, apart := []trigger{t}, [][]trigger(nil)
		for _, s := range of[t.rule] {
			if slices.ContainsFunc(s, func(o trigger) bool { return meet(t, o) }) {
				together = append(together, s...)
			} else {
				apart = append(apart, s)
			}
		}
		of[t.rule] = append(apart, together)
	}
	for _, all := range of {
		hit := 0
		for _, s := range all {
			if slices.ContainsFunc(s, func(t trigger) bool { return p.hits(t, l) }) {
				hit++
			}
		}
		n += min(hit, mostReasons+1)
	}
	return n
}

// meet reports whether two failures of one kind are of one series: their windows have a
// time in common, or the same wrong setting was found.
func meet(a, b trigger) bool {
	switch a.rule {
	case rules.RecallSetting:
		return a.of.cycle == b.of.cycle && a.of.hold.String() == b.of.hold.String()
	case rules.RecallPositive, rules.RecallPenetration, rules.RecallLeak:
		return (a.to.IsZero() || b.from.Before(a.to)) && (b.to.IsZero() || a.from.Before(b.to))
	}
	return false
}

// recall returns the suspect loads of the sterilizer, with what speaks against each, of
// the sentences their number.
func (p *plainly) recall() []SuspectLoad {
	var out []SuspectLoad
	for _, l := range p.all {
		if l.kind != 0 {
			continue
		}
		s := SuspectLoad{Sterilizer: p.id, Record: l.id, Number: l.label(), Started: l.start, Implants: l.implants}
		packs := p.packs(l)
		var used []string
		listed := slices.Clone(l.packs)
		for _, q := range packs {
			if q.implant == yes || !l.alwaysLists(q.Pack) {
				s.Implants = anyYesOrUnknown(s.Implants, q.implant)
			}
			if q.used() && l.stands(q.Pack, p.shown[l]) != loadGood {
				used = append(used, q.Pack)
			}
			i := slices.IndexFunc(listed, func(o packTrace) bool { return o.id == q.Pack })
			if i < 0 {
				listed = append(listed, packTrace{id: q.Pack, implant: q.implant})
			} else {
				listed[i].implant = anyYes(listed[i].implant, q.implant)
			}
		}
		for _, t := range p.triggers {
			if p.hits(t, l) {
				s.Action = max(s.Action, p.asks(t, l, s.Implants))
			}
		}
		suspect := s.Action != 0
		if len(used) > 0 {
			s.Action = Recall
		}
		for _, q := range listed {
			if suspect || slices.Contains(used, q.id) {
				s.Packs = append(s.Packs, plainUses(q, packs)...)
			}
		}
		if s.Action != 0 {
			slices.Sort(used)
			s.Because = make([]string, p.reasons(l)+len(slices.Compact(used)))
			out = append(out, s)
		}
	}
	return out
}

// plainUses leaves out each use of which another says all that it does, and more.
func plainUses(p packTrace, packs []*shelvedPack) []SuspectPack {
	saysMore := func(a, b *Use) bool {
		return (b.Time.IsZero() || a.Time.Equal(b.Time)) && (b.Patient == "" || a.Patient == b.Patient)
	}
	pack := SuspectPack{ID: p.id, Implant: p.implant}
	var uses []*Use
	for _, s := range packs {
		if s.Pack == p.id {
			pack.Where = InStore
			for _, v := range s.left {
				if v.Use != nil {
					uses = append(uses, v.Use)
				}
			}
		}
	}
	slices.SortStableFunc(uses, compareUses)
	out := []SuspectPack{}
	for i, u := range uses {
		said := false
		for j, o := range uses {
			said = said || saysMore(o, u) && (!saysMore(u, o) || j < i)
		}
		if !said {
			pack.Where, pack.Patient, pack.Used = Used, u.Patient, u.Time
			out = append(out, pack)
		}
	}
	if len(out) == 0 {
		out = append(out, pack)
	}
	return out
}

// findings returns what the failures of the sterilizer come to, with the number of loads
// that each casts doubt on, and what is to be asked of implants and used packs.
func (p *plainly) findings(c *ask.List) {
	for _, t := range p.triggers {
		at := t.of.pointer()
		if t.of.id == "" {
			at = "/sterilizers/" + guard.Escape(p.id)
		}
		n := 0
		for _, l := range p.all {
			if l.kind == 0 && p.hits(t, l) {
				n++
			}
		}
		if t.rule != rules.HistoryOutofuse {
			c.Ask(t.rule, at).Say("what", t.of.tested(nil)).Say("why", t.of.result().words()).
				With("count", strconv.Itoa(n)).Say("setting", setting(t.of)).Broken()
		}
		if t.rule == rules.RecallPositive {
			c.Ask(rules.RecallUnbounded, at).BrokenIf(t.last == nil)
		}
	}
	recall := p.recall()
	for _, l := range p.all {
		doubted := slices.ContainsFunc(p.triggers, func(t trigger) bool {
			return t.rule == rules.RecallPositive && l.kind == 0 && p.hits(t, l)
		})
		i := slices.IndexFunc(recall, func(s SuspectLoad) bool { return s.Record == l.id })
		if doubted && recall[i].Implants != no {
			c.Ask(rules.RecallImplant, l.pointer()).No(recall[i].Implants)
		}
		if l.kind == 0 && l.released == yes && l.state == loadOpen && !p.shown[l] && !l.reopened() {
			c.Ask(rules.RecallReleased, l.pointer()).Open(moistheat.Unrecorded)
		}
		for _, s := range p.packs(l) {
			if stands := l.stands(s.Pack, p.shown[l]); s.used() {
				c.Ask(rules.StorageUnreleased, l.pointer()).With("pack", s.Pack).Say("state", stands.words()).
					BrokenIf(stands != loadGood)
			}
		}
	}
	for _, s := range recall {
		if s.Action == Recall {
			s.untraced(c)
		}
	}
}

// told returns findings of the rules that the plain form knows, without those that say
// that there is nothing to ask.
func told(h *History, findings []moistheat.Finding) (out []string) {
	for _, id := range []ask.ID{rules.RecallPositive, rules.RecallPenetration, rules.RecallLeak, rules.RecallSetting,
		rules.RecallReleased, rules.RecallUnbounded, rules.RecallImplant, rules.RecallUntraced, rules.StorageUnreleased} {
		for _, f := range findings {
			if f.Rule == rules.Book.Name(id) && f.Pointer != "" && !strings.HasPrefix(f.Pointer, "/packs/") {
				out = append(out, fmt.Sprint(f.Rule, f.Pointer, f.Outcome, f.Params))
			}
		}
	}
	slices.Sort(out)
	return out
}

// What a history finds by search is what pairing everything with everything finds: who is
// suspect and what is asked, where each pack is, how many loads each failure and each time
// out of service is about, and when each duty was last done.
func TestAnswersAreThePlainOnes(t *testing.T) {
	names := load.Policies()
	at := local("2026-03-31 18:00")
	for seed := range seeds(t, runs(t)/2) {
		w := &world{Rand: rand.New(rand.NewPCG(seed, 14)), plain: true}
		name := names[seed%uint64(len(names))]
		h := history(t, name, atOneSite(w.lines(6+w.IntN(40)))...)
		h.settle()
		h.amended = nil // what they change is said beside a recall, and for other tests
		c := rules.Book.List(nil)
		var want []SuspectLoad
		var out []Outage
		for _, id := range h.Sterilizers() {
			p := plainOf(h, id)
			want = append(want, p.recall()...)
			p.findings(&c)
			for _, o := range h.units()[id].outages(h.units()[id].timeline(), h.course()) {
				o.Sterilizer, o.Loads = id, 0
				for _, l := range p.all {
					if l.kind == 0 && l.forPatients() && !l.start.IsZero() && !l.start.Before(o.From) &&
						(o.To.IsZero() || l.start.Before(o.To)) {
						o.Loads++
					}
				}
				out = append(out, o)
			}
		}
		got := h.Recall()
		for i := range got {
			got[i].Because, got[i].because = make([]string, len(got[i].Because)), nil
		}
		order := func(a, b SuspectLoad) int {
			return cmp.Or(cmp.Compare(a.Sterilizer, b.Sterilizer), cmp.Compare(a.Record, b.Record))
		}
		slices.SortFunc(want, order)
		slices.SortFunc(got, order)
		require.Equal(t, want, got, "seed %d, %s", seed, name)
		require.Equal(t, told(h, h.inForce(c.Findings, at)), told(h, h.Findings(at)), "seed %d, %s", seed, name)
		require.Equal(t, fmt.Sprint(out), fmt.Sprint(h.OutOfService()), "seed %d, %s", seed, name)
		for _, d := range h.Due(at) {
			require.Equal(t, lastDone(h, d).UTC(), d.Last.UTC(), "seed %d, %s: %s", seed, name, d)
		}
	}
}

// atOneSite leaves the sites out: the plain form knows of one practice.
func atOneSite(lines []any) []any {
	for _, l := range lines {
		switch l := l.(type) {
		case *load.Record:
			l.Site.Name = ""
		case *Event:
			l.Site = ""
		}
	}
	return lines
}

// lastDone returns when the newest test that counts for a duty ended.
func lastDone(h *History, d Due) time.Time {
	var out time.Time
	for _, e := range h.units()[d.Sterilizer].all {
		again := e.kind == calendar.PerformanceQualificationEvent && d.Duty.Test == calendar.RequalificationEvent
		if (e.kind == d.Duty.Test || again || e.kind == 0 && d.Duty.Test == calendar.BiologicalTestEvent) &&
			e.result().passed == yes && (d.Duty.PerCycleKind != yes || e.cycle == d.Kind) && e.day().IsValid() {
			out = later(out, e.end)
		}
	}
	return out
}
