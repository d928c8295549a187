package load

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/cycle/steam"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

// Check evaluates every rule against a record under a policy. Its report lists what is
// not met and counts the rest; [Explain] lists everything. It never fails: what it
// cannot judge is undetermined, and an error of its own is reported as an internal
// outcome, which is never a pass. A nil record and a nil or zero policy give a report
// that rejects the load.
//
// It knows nothing but the record; [CheckKnowing] also knows the sterilizer's history.
func Check(r *Record, p *Policy) *Report { return report(r, p, Known{}, false) }

// Explain is [Check] with every finding in the report: also of the rules that are met.
func Explain(r *Record, p *Policy) *Report { return report(r, p, Known{}, true) }

func report(r *Record, p *Policy, k Known, all bool) *Report {
	if r == nil || p == nil || p.rules == nil {
		return impossible()
	}
	p = p.On(r.Load.Date)
	c := newChecker(r.spread(), p)
	c.given, r = r, c.r
	c.known, c.lay = k, newLayout(r)
	c.out = newReport(r, p, all)
	c.out.Known = k.name()
	if r.source != nil {
		c.out.Catalogue = &r.source.use
	}
	c.Findings = c.out.Findings
	for _, family := range [...]func(){c.valid, c.references, c.knowing, c.suspended, c.identity, c.physical,
		c.outOfService, c.suspect, c.reused, c.upkept, c.daily,
		c.ticks, c.packs, c.capacity, c.agree, c.indicators, c.biologicals,
		c.implants, c.checkWater, c.unloading, c.release, c.people, c.beside} {
		c.run(family)
	}
	c.out.unwaive(c.Findings[:c.kept])
	c.nest()
	c.out.decide()
	c.run(c.contradiction)
	c.run(c.correctiveAction)
	c.out.unwaive(c.Findings[:c.kept])
	c.run(c.waivers)
	c.out.decide()
	c.out.Findings = c.Findings
	c.out.finish(r)
	return c.out.Report
}

// checker carries one record through its checks. The list is the report's: findings
// gather behind those that are kept, and section by section the ones to keep move up
// to them, so that memory follows the findings that are kept and not the rules that
// were asked.
type checker struct {
	r *Record
	p *Policy
	ask.List
	known    Known // that can be meant of the record
	kept     int   // findings at the front of the list that are the report's
	out      *judgement
	least    moistheat.Outcome // without a report, the least outcome that is kept
	cuts     cuts              // without a report
	analysis cycle.Analysis

	index              map[string]int  // first pack of each ID
	dayControls        []besideControl // of [checker.controls], once it was asked
	given              *Record         // before what it says of all packs was said of each
	twice              int             // index of the first pack whose ID was taken, or -1
	wrapped, unwrapped bool            // the load has packed items, unwrapped items
	standing           int             // packs that lie in no other one of the load
	lay                *layout         // where the packs lie, unless nothing is asked of it
	prions             prions
	batches            *cleaning.Batches          // that items may name
	spent              map[string]map[string]bool // by batch: items that it carried and that were sterilized since
	bare               bareTime                   // of the pack at hand
	room               []moistheat.Finding        // for a section of package packaging
	differ             []difference               // of the record and what was computed
}

// newChecker looks once over the packs for what single packs are judged by.
func newChecker(r *Record, p *Policy) *checker {
	c := &checker{List: book.List(nil), r: r, p: p, index: make(map[string]int, len(r.Packs)), twice: -1}
	for i := range r.Packs {
		p := &r.Packs[i]
		if _, taken := c.index[p.ID]; !taken {
			c.index[p.ID] = i
		} else if c.twice < 0 {
			c.twice = i
		}
		c.wrapped = c.wrapped || p.Packed()
		c.unwrapped = c.unwrapped || !p.Packed()
	}
	for i := range r.Packs {
		if _, nested := c.index[r.Packs[i].Inside]; !nested || r.Packs[i].Inside == "" {
			c.standing++
		}
	}
	return c
}

// nest lets packs inside a container share its fate.
func (c *checker) nest() {
	inside := make([][]int, len(c.r.Packs)) // by container
	for i := range c.r.Packs {
		if j, ok := c.index[c.r.Packs[i].Inside]; ok {
			inside[j] = append(inside[j], i)
		}
	}
	for _, fate := range [...]moistheat.Disposition{moistheat.Reject, moistheat.Quarantine} {
		var open []int // containers with that fate
		for i := range c.out.each {
			if c.out.each[i].Pack == fate {
				open = append(open, i)
			}
		}
		for len(open) > 0 {
			last := len(open) - 1
			container := open[last]
			in := inside[container]
			open = open[:last]
			for _, i := range in {
				if c.out.each[i].Pack < fate {
					c.out.each[i].Pack, c.out.container[i] = fate, container
					open = append(open, i)
				}
			}
		}
	}
}

// run evaluates one family of rules and folds its findings. A panic in a rule is a
// fault of the library: it becomes a finding and holds the load.
func (c *checker) run(family func()) {
	defer func() {
		if e := recover(); e != nil {
			c.Findings = append(c.Findings[:c.kept], c.out.internal(lang.Data(fmt.Sprint(e))))
			c.kept++
		}
	}()
	family()
	c.fold("")
}

// fold enters the gathered findings into the report, their pointers under base, and
// keeps those that it lists.
func (c *checker) fold(base string) {
	for i := c.kept; i < len(c.Findings); i++ {
		f := &c.Findings[i]
		if c.out.add(c.p, f, base) {
			if i > c.kept {
				c.Findings[c.kept] = *f
			}
			c.kept++
		}
	}
	c.Findings = c.Findings[:c.kept]
}

// section returns the pointer of an optional part of the record, or that of the
// record itself where the part is absent.
func section(present bool, pointer string) string {
	if present {
		return pointer
	}
	return ""
}

func (c *checker) cycleAt() string { return section(c.r.Cycle != nil, "/cycle") }

// --- identity and physical record ---

func (c *checker) identity() {
	l, s := c.r.Load, c.r.Sterilizer
	var lacks moistheat.Detail
	lack := func(what moistheat.Detail) {
		if lacks.IsValid() {
			what = lang.With("both-of: {1:text} and {2:text}", lacks, what)
		}
		lacks = what
	}
	if !l.Date.IsValid() {
		lack(lang.Say("lacks-date: the date of sterilization"))
	}
	if l.Number == "" && l.Cycle == "" {
		lack(lang.Say("lacks-number: the load or cycle number"))
	}
	if s.ID == "" && s.OnlyOne == moistheat.No {
		lack(lang.Say("lacks-sterilizer: the sterilizer"))
	}
	at, unnamed := "/load", s.ID == "" && s.OnlyOne == moistheat.NotRecorded
	if unnamed && !lacks.IsValid() {
		at = "/sterilizer"
	}
	c.Ask(identityIncomplete, at).Say("what", lacks).
		BrokenWhen(lacks.IsValid()).OpenWhen(unnamed, moistheat.Unrecorded).Met()
	if c.twice < 0 {
		c.Ask(identityDuplicate, "/packs").Met()
	} else {
		c.Ask(identityDuplicate, packAt(c.twice)+"/id").With("id", c.r.Packs[c.twice].ID).Broken()
	}
	c.Ask(contentsMissing, "/packs").BrokenIf(len(c.r.Packs) == 0)
	c.Ask(contentsShort, "/load/packs").When(l.Packs > 0).BrokenIf(l.Packs != c.standing).
		With("counted", strconv.Itoa(l.Packs)).With("described", strconv.Itoa(c.standing))
	c.Ask(preparerMissing, "/load").Known(l.PreparedBy != "")
}

// packAt returns the pointer of a pack.
func packAt(i int) string { return "/packs/" + strconv.Itoa(i) }

// itemAt returns the pointer of an item of a pack.
func itemAt(i, j int) string { return packAt(i) + "/items/" + strconv.Itoa(j) }

func (c *checker) physical() {
	cy := c.r.Cycle
	c.sterilizerTypes()
	c.Ask(physicalMissing, c.cycleAt()).BrokenIf(cy == nil || cy.Trace == nil && cy.Printed == cycle.Printed{})
	if cy == nil {
		return
	}
	c.match(cy)
	c.day(cy)
	c.times(cy)
	c.purpose(cy)
	c.Ask(fitUndeclared, "/cycle").Known(cy.Type != "")
	offers := c.r.Sterilizer.CycleTypes
	c.Ask(typeContradicted, "/cycle/type").
		When(cy.Type == TypeB && cy.Settings.AirRemoval != "" || cy.Type != "" && len(offers) > 0).
		BrokenIf(cy.sinks() || len(offers) > 0 && !slices.Contains(offers, cy.Type))
	c.Ask(traceMissing, under("/cycle", "/trace", cy.Trace != nil)).
		When(c.r.Sterilizer.RecordsTraces == moistheat.Yes).Known(cy.Trace != nil)
	e := cy.Evidence
	e.Atmosphere, e.AtmosphereWithin = c.atmosphere()
	findings, analysis := cycle.Check(&e, c.requirement())
	c.analysis = analysis
	if c.out.Cycle = summarise(analysis); c.out.Cycle != nil {
		c.out.Analysis = &analysis
	}
	c.fold("")
	c.Findings = append(c.Findings, findings...)
	c.fold("/cycle")
}

// purpose asks whether the cycle was meant for a load, by its purpose and its code.
func (c *checker) purpose(cy *Cycle) {
	forLoads := func(p Purpose) bool { return p == ForLoad || p == ForUnwrappedLoad }
	if coded := cy.Code.purpose(); coded != "" && (cy.Purpose == "" || forLoads(cy.Purpose)) {
		c.Ask(purposeUnsuited, "/cycle/code").With("purpose", string(coded)).Broken()
		return
	}
	c.Ask(purposeUnsuited, under("/cycle", "/purpose", cy.Purpose != "")).With("purpose", string(cy.Purpose)).
		OpenWhen(cy.Purpose == "", moistheat.Unrecorded).BrokenIf(!forLoads(cy.Purpose))
}

// under returns the pointer of a member, or that of what it would be in where it is
// not recorded.
func under(at, member string, recorded bool) string {
	if recorded {
		return at + member
	}
	return at
}

// labelled returns what stands at a place of a label, or of the record beside it.
func labelled(at, v string) moistheat.Detail {
	if at == "/label/date" {
		return lang.Say("the-day: {1:date}", v)
	}
	return lang.Data(v)
}

// match asks whether the physical record is that of this load.
func (c *checker) match(cy *Cycle) {
	unit := c.r.Sterilizer.ID
	q := c.Ask(physicalMismatch, "/cycle")
	switch number, ours := c.counted(); {
	case ours == moistheat.No:
		q.At("/cycle/number").Say("recorded", lang.Say("cycle-number: cycle {1}", cy.Number)).
			Say("load", lang.Say("load-number: number {1}", number)).Broken()
	case cy.Sterilizer != "" && unit != "" && cy.Sterilizer != unit:
		q.At("/cycle/sterilizer").Say("recorded", lang.Say("cycle-sterilizer: sterilizer {1}", cy.Sterilizer)).
			Say("load", lang.Say("load-sterilizer: of sterilizer {1}", unit)).Broken()
	case ours == moistheat.NotRecorded:
		q.With("what", lang.Term("record: load")).Open(moistheat.Unrecorded)
	default:
		one := c.r.Sterilizer.OnlyOne == moistheat.Yes || cy.Sterilizer != "" && unit != ""
		q.With("what", lang.Term("record: sterilizer")).Known(one)
	}
}

// times asks whether one thing came after the other.
func (c *checker) times(cy *Cycle) {
	steps := [...]struct {
		name, first moistheat.Detail // where it begins a sentence, first
		at          string
		time        time.Time
	}{
		{lang.Say("start-of-cycle: the start of the cycle"), moistheat.Detail{}, "/cycle/started", cy.Started},
		{lang.Say("end-of-cycle: the end of the cycle"), lang.Say("end-of-cycle-first: The end of the cycle"),
			"/cycle/ended", cy.Ended},
		{moistheat.Detail{}, lang.Say("unloading-first: The unloading"), "/unloading/time", c.r.Unloading.Time},
	}
	for i, later := range steps[1:] {
		earlier := steps[i]
		q := c.Ask(timeOrder, later.at).Say("later", later.first).Say("earlier", earlier.name)
		if later.time.IsZero() || earlier.time.IsZero() {
			q.At("/cycle").Open(moistheat.Unrecorded)
			continue
		}
		q.BrokenIf(later.time.Before(earlier.time))
	}
}

// atmosphere returns the pressure of the air at the site and within what it is known:
// by the barometer, else by the altitude. It is not known where neither is recorded, or
// where they contradict each other: weather, which moves it by 4 kPa, does not explain
// the reports that give the pressure at sea level.
func (c *checker) atmosphere() (p, within units.AbsolutePressure) {
	site, weather := &c.r.Site, units.New(4, 0, units.Kilopascal)
	standard, err := steam.StandardAtmosphere(site.Altitude)
	if !site.Barometer.IsValid() {
		if err != nil {
			return p, p
		}
		return standard, weather
	}
	kPa := site.Barometer.Float64(units.Kilopascal)
	nowhere := kPa < steam.LowestAtmosphere || kPa > steam.HighestAtmosphere
	q := c.Ask(siteContradictory, "/site/barometer").When(site.Altitude.IsValid() || nowhere)
	if nowhere {
		q.Open(moistheat.NotMeasurable).Explain("reason", lang.Say("site-pressure-impossible: no site has that "+
			"pressure; check its unit"))
		return p, p
	}
	if err != nil {
		q.Open(moistheat.NotMeasurable).Explain("reason", lang.Say("altitude-impossible: there is no standard "+
			"atmosphere at that altitude"))
	} else {
		apart := math.Abs(standard.Float64(units.Kilopascal) - kPa)
		if ask.AtMost(q, units.FromFloat64(apart, 1, units.Kilopascal), weather).Outcome() == moistheat.Broken {
			return p, p
		}
	}
	digit := units.New(5, int(site.Barometer.Decimal().Exponent())-1, site.Barometer.Unit())
	return site.Barometer, digit
}

// --- packs ---

func (c *checker) packs() {
	c.countPrions()
	c.countBatches()
	suited := moistheat.Broken // the best of all packs
	for i := range c.r.Packs {
		p := &c.r.Packs[i]
		c.out.pack = i + 1
		c.packing(i, c.fold)
		c.fit(p)
		suits := c.suitability(packAt(i))
		c.arrangement(i)
		c.after(p)
		c.label(p)
		c.packIndicators(p)
		c.prion(i)
		c.setList(i)
		c.fold(packAt(i))
		for j := range p.Items { // one after the other, so that memory does not follow their number
			it, at := &p.Items[j], itemAt(i, j)
			c.fitItem(it)
			suits = max(suits, c.suitability(at))
			c.textile(it)
			c.tubing(it)
			c.worn(it)
			c.cleaned(i, it)
			c.fold(at)
		}
		suited = min(suited, suits)
		c.out.endPack()
	}
	any := len(c.r.Packs) > 0
	c.Ask(arrangementMixed, "/packs").When(any).BrokenIf(c.wrapped && c.unwrapped)
	if any && c.r.Cycle != nil {
		c.Ask(fitNothing, "/packs").Say("cycle", c.runs()).Is(suited)
	}
}

// packing judges how a pack is made, and gives the findings to fold.
func (c *checker) packing(i int, fold func(base string)) {
	context := packaging.Context{
		Date: c.r.Load.Date, Figures: c.p.figures, OneSterilizer: c.r.Sterilizer.OnlyOne == moistheat.Yes,
	}
	if c.room == nil {
		c.room = make([]moistheat.Finding, 0, asked)
	}
	for at, findings := range packaging.Sections(&c.r.Packs[i].Pack, context, c.room) {
		c.Findings = append(c.Findings, findings...)
		first := c.kept
		fold(packAt(i) + at)
		for j := range c.Findings[first:] { // the parameters are good until the next section
			f := &c.Findings[first+j]
			f.Params = slices.Clone(f.Params)
		}
	}
}

func (c *checker) after(p *Pack) {
	at, packed := section(p.Condition != PackCondition{}, "/condition"), p.Packed()
	c.Ask(packWet, at).When(packed).Yes(p.Condition.Dry)
	c.Ask(packDamaged, at).When(packed).Yes(p.Condition.Intact)
	c.Ask(packDropped, at).When(packed || p.Condition.Dropped == moistheat.Yes).No(p.Condition.Dropped)
	wet := p.Condition.Dry == moistheat.No || p.Condition.Repacked == moistheat.Yes // when it came out
	c.Ask(packRepacked, at).When(packed && wet).No(p.Condition.Repacked)
}

// label compares what a label says with the log. What it lacks is judged by
// package packaging.
func (c *checker) label(p *Pack) {
	l := p.Label
	if l == nil {
		return
	}
	q, blank := c.Ask(labelMismatch, "/label"), moistheat.Date{}.String()
	for _, m := range [...]struct{ what, at, label, log string }{
		{lang.Term("label: date"), "/label/date", l.Date.String(), c.r.Load.Date.String()},
		{lang.Term("label: load number"), "/label/load", l.Load, c.r.Load.Number},
		{lang.Term("label: sterilizer"), "/label/sterilizer", l.Sterilizer, c.r.Sterilizer.ID},
	} {
		if m.label == "" || m.log == "" || m.label == blank || m.log == blank || m.label == m.log ||
			m.at == "/label/load" && sameNumber(m.label, m.log) {
			continue
		}
		q.At(m.at).With("what", m.what).Say("label", labelled(m.at, m.label)).Say("log", labelled(m.at, m.log)).Broken()
		break
	}
	if day := c.r.Load.Date; l.Expires.IsValid() && day.IsValid() && l.Expires.Compare(day) < 0 && !q.Answered() {
		q.At("/label/expires").With("what", lang.Term("label: last day of use")).
			Say("label", labelled("/label/date", l.Expires.String())).
			Say("log", labelled("/label/date", day.String())).Broken()
	}
	q.Met()
	k := c.Ask(cycleNumber, under("/label", "/cycle", l.Cycle != "")).When(l.Cycle != "" && c.r.Cycle != nil)
	if k.Answered() {
		return
	}
	number, ours := c.counted()
	k.With("label", l.Cycle).With("number", number).
		MetWhen(sameNumber(l.Cycle, number)).OpenWhen(ours == moistheat.NotRecorded, moistheat.Unrecorded).Broken()
}

// --- water ---

func (c *checker) checkWater() {
	var inForce []*water.Limits
	for _, l := range c.p.waters {
		if l.InForce(c.p.day) {
			inForce = append(inForce, l)
		}
	}
	use := water.Use{Sample: c.r.Water.Sample, Reservoir: c.r.Water.Reservoir, Cycle: c.started()}
	c.Findings = append(c.Findings, water.Check(use, inForce...)...)
	c.fold("/water")
}

// started returns when the cycle started, or the zero time.
func (c *checker) started() time.Time {
	if c.r.Cycle == nil {
		return time.Time{}
	}
	return c.r.Cycle.Started
}

// --- unloading and release ---

func (c *checker) unloading() {
	u := c.r.Unloading
	at := section(u != Unloading{}, "/unloading")
	c.Ask(doorEarly, at).No(u.DoorOpenedEarly)
	c.Ask(coolingHandled, at).When(c.wrapped).No(u.HandledWarm)
	c.Ask(coolingInside, at).When(c.wrapped).No(u.CooledInChamber)
	lim := figures().Cooling
	ask.AtLeast(c.Ask(coolingShort, under(at, "/cooled", u.Cooled.IsValid())).When(c.wrapped).By(lim.Source), u.Cooled, lim.Value)
}

// unread returns what is read before a release and was not.
func (c *checker) unread() moistheat.Detail {
	if ch := c.r.Monitors.Challenge; ch != nil && ch.Result == "" {
		return lang.Say("challenge-indicator: the indicator in the process challenge device")
	}
	for i := range c.r.Packs {
		p := &c.r.Packs[i]
		for _, ind := range p.Indicators {
			if ind.Result == "" && (ind.Place != packaging.Internal || ind.Visible == moistheat.Yes) {
				return lang.Say("indicator-of-pack: an indicator of pack {1}", p.ID)
			}
		}
	}
	return moistheat.Detail{}
}

// correctiveAction asks for an account of what failed, once the verdicts are known.
func (c *checker) correctiveAction() {
	r := c.r.Release
	failed := c.out.Verdict.Load == moistheat.Reject || r != nil && r.Decision == moistheat.Reject ||
		slices.ContainsFunc(c.out.each, func(e moistheat.Effect) bool { return e.Pack == moistheat.Reject })
	c.Ask(correctiveMissing, section(r != nil, "/release")).When(failed).
		OpenWhen(r == nil, moistheat.NotYet).BrokenIf(r == nil || r.Corrective == "")
}

func (c *checker) release() {
	r := c.r.Release
	if r == nil {
		c.Ask(releaserMissing, "").Open(moistheat.NotYet)
		return
	}
	what := c.unread()
	c.Ask(releaseUnread, "/release/decision").When(r.Decision == moistheat.Release).Say("what", what).
		BrokenIf(what.IsValid())
	undecided := r.Decision == 0 && slices.ContainsFunc(c.r.Packs, func(p Pack) bool { return p.Decision == 0 })
	c.Ask(releaserMissing, "/release").BrokenWhen(r.By == "").OpenWhen(undecided, moistheat.NotYet).Met()
	by := lang.Data(r.By)
	if r.By == "" {
		by = lang.Say("the-releaser: The person who releases")
	}
	c.Ask(releaserUnauthorised, "/release").Say("by", by).Yes(r.Authorised)
	ended := time.Time{}
	if c.r.Cycle != nil {
		ended = c.r.Cycle.Ended
	}
	out := c.r.Unloading.Time
	q := c.Ask(releaseEarly, under("/release", "/time", !r.Time.IsZero()))
	switch {
	case r.Time.IsZero():
		q.Open(moistheat.Unrecorded)
	case r.Time.Before(ended):
		q.Say("what", lang.Say("before-cycle-ended: its cycle had ended")).Broken()
	case r.Time.Before(out):
		q.Say("what", lang.Say("before-unloaded: it was unloaded")).Broken()
	case ended.IsZero() || out.IsZero():
		q.At("/release").Open(moistheat.Unrecorded)
	default:
		q.Met()
	}
	c.releasedUnread()
}

// contradiction compares what was released with the verdicts of everything else. The
// decision on the load is one on every pack that has none of its own.
func (c *checker) contradiction() {
	worst, rejected := c.out.Verdict.Load, ask.Some(c.r.Release).Decision == moistheat.Reject
	for i, p := range c.out.Packs {
		decision := c.r.Packs[i].Decision
		c.Ask(decisionContradictory, packAt(i)+"/decision").When(rejected && decision != 0).
			BrokenIf(decision == moistheat.Release)
		switch c.r.Packs[i].Decision {
		case 0:
			worst = max(worst, p.Disposition)
		case moistheat.Release:
			c.signed(packContradicted, packAt(i)+"/decision", p.Disposition)
		}
	}
	if r := c.r.Release; r != nil && r.Decision == moistheat.Release {
		c.signed(releaseContradicted, "/release/decision", worst)
	}
}

// signed asks whether what was released may be, by the verdict.
func (c *checker) signed(rule ask.ID, at string, verdict moistheat.Disposition) {
	c.Ask(rule, at).With("verdict", verdict.String()).
		BrokenWhen(verdict == moistheat.Reject).OpenWhen(verdict == moistheat.Quarantine, moistheat.NotYet).Met()
}

// waivers says of every waiver whether it has an effect, once the verdicts are known.
func (c *checker) waivers() {
	used := map[moistheat.Waiver]bool{}
	for i := range c.Findings[:c.kept] {
		if w := c.Findings[i].Waiver; w != nil {
			used[*w] = true
		}
	}
	for i := range c.r.Waivers {
		w := &c.r.Waivers[i]
		c.Ask(waiverVoid, "/waivers/"+strconv.Itoa(i)).With("rule", w.Rule).BrokenIf(!used[*w]).
			Explain("why", c.p.refusal(w))
	}
}

// Rules returns every rule that [Check] evaluates, whatever the policy, and those
// that package history adds, sorted by ID. The caller owns the slice.
func Rules() []moistheat.Rule {
	all := slices.Concat(packaging.Rules(), cleaning.Rules(), cycle.Rules(), water.Rules(),
		book.Rules(), rules.Book.Rules())
	slices.SortFunc(all, func(a, b moistheat.Rule) int { return strings.Compare(a.ID, b.ID) })
	return all
}

// byName holds every rule by its ID. The rules are never changed.
var byName lazy.Value[map[string]moistheat.Rule]

// Rule returns the rule with this ID.
func Rule(id string) (moistheat.Rule, bool) {
	r, ok := byName.Get(func() map[string]moistheat.Rule {
		out := map[string]moistheat.Rule{}
		for _, r := range Rules() {
			out[r.ID] = r
		}
		return out
	})[id]
	return r, ok
}

// askedOfRecord reports whether a rule is asked of a record, and not of a history or of a
// pack in store.
func askedOfRecord(r moistheat.Rule) bool {
	switch r.Scope {
	case moistheat.ItemScope, moistheat.PackScope, moistheat.LoadScope:
		return true
	}
	return false
}
