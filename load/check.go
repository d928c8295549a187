package load

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/cycle/steam"
	"example.com/moistheat/internal/check"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

// Check evaluates every rule against a record under a policy. It never fails: what
// it can not judge is undetermined, and an error of its own is reported as an
// internal outcome, which is never a pass. A nil record and a nil or zero policy give a
// report that rejects the load.
func Check(r *Record, p *Policy) *Report {
	if r == nil || p == nil || p.rules == nil {
		return impossible()
	}
	p = p.On(r.Load.Date)
	c := &checker{r: r, p: p, out: newReport(r, p), index: make(map[string]int, len(r.Packs))}
	c.Findings = c.out.Findings
	c.survey()
	for _, f := range []func(){c.identity, c.physical, c.daily, c.packs, c.capacity, c.indicators, c.biologicals, c.implants, c.waters, c.unloading, c.release} {
		c.run(f)
	}
	c.nest()
	c.out.decide()
	c.run(c.contrary)
	c.run(c.corrective)
	c.out.decide()
	c.out.Findings = c.Findings
	c.out.finish()
	return c.out
}

// checker carries one record through its checks. The list is the report's: findings
// gather behind those that are kept, and section by section the ones to keep move up
// to them, so that memory follows the findings that are kept and not the rules that
// were asked.
type checker struct {
	r *Record
	p *Policy
	check.List
	kept     int // findings at the front of the list that are the report's
	out      *Report
	analysis cycle.Analysis

	index              map[string]int // first pack of each ID
	twice              int            // index of the first pack whose ID was taken, or -1
	wrapped, unwrapped bool           // the load has packed goods, unwrapped goods
	standing           int            // packs that lie in no other one of the load
	lay                *layout        // where the packs lie
}

// survey looks once over the packs for what single packs are judged by.
func (c *checker) survey() {
	c.twice = -1
	for i := range c.r.Packs {
		p := &c.r.Packs[i]
		if _, taken := c.index[p.ID]; !taken {
			c.index[p.ID] = i
		} else if c.twice < 0 {
			c.twice = i
		}
		c.wrapped = c.wrapped || p.Packed()
		c.unwrapped = c.unwrapped || !p.Packed()
	}
	for i := range c.r.Packs {
		inside := c.r.Packs[i].Inside
		if _, known := c.index[inside]; inside == "" || !known {
			c.standing++
		}
	}
	c.lay = newLayout(c.r)
}

// nest lets packs inside a container share its fate.
func (c *checker) nest() {
	for range 4 { // a pouch in a tray in a container is as deep as packs go
		for i := range c.r.Packs {
			if j, ok := c.index[c.r.Packs[i].Inside]; ok {
				c.out.each[i].Pack = max(c.out.each[i].Pack, c.out.each[j].Pack)
			}
		}
	}
}

// run evaluates one family of rules and folds its findings. A panic in a rule is a
// fault of the library: it becomes a finding and holds the load.
func (c *checker) run(family func()) {
	defer func() {
		if e := recover(); e != nil {
			c.Findings = append(c.Findings[:c.kept], c.out.internal(fmt.Sprint(e)))
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
		if f.Outcome > moistheat.NotInForce {
			f.Pointer = base + f.Pointer
		}
		if c.out.add(c.r, c.p, f) {
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
	var lacks []string
	if !l.Date.IsValid() {
		lacks = append(lacks, "the date of sterilization")
	}
	if l.Number == "" {
		lacks = append(lacks, "the load or cycle number")
	}
	if s.ID == "" && s.OnlyOne == moistheat.No {
		lacks = append(lacks, "the sterilizer")
	}
	switch {
	case len(lacks) > 0:
		check.With(c.Add(&identityIncomplete, moistheat.Broken, moistheat.Missing, "/load"), "what", strings.Join(lacks, " and "))
	case s.ID == "" && s.OnlyOne == moistheat.NotRecorded:
		c.Add(&identityIncomplete, moistheat.Undetermined, moistheat.Missing, "/sterilizer")
	default:
		c.Add(&identityIncomplete, moistheat.Met, moistheat.Missing, "/load")
	}
	if c.twice >= 0 {
		check.With(c.Add(&identityDuplicate, moistheat.Broken, moistheat.Consistency, "/packs/"+strconv.Itoa(c.twice)+"/id"), "id", c.r.Packs[c.twice].ID)
	} else {
		c.Add(&identityDuplicate, moistheat.Met, moistheat.Consistency, "/packs")
	}
	c.Add(&contentsMissing, check.If(len(c.r.Packs) == 0), moistheat.Missing, "/packs")
	c.Add(&preparerMissing, known(l.PreparedBy != ""), moistheat.Missing, "/load")
}

// known is met for what is recorded and undetermined for what is not.
func known(recorded bool) moistheat.Outcome {
	if recorded {
		return moistheat.Met
	}
	return moistheat.Undetermined
}

func (c *checker) physical() {
	cy := c.r.Cycle
	c.unit()
	evidence := cy != nil && (cy.Trace != nil || cy.Printed != cycle.Printed{})
	c.Add(&physicalMissing, check.If(!evidence), moistheat.Missing, c.cycleAt())
	if cy == nil {
		c.Skip(&physicalMismatch, "")
		c.Skip(&timeOrder, "")
		c.Skip(&purposeUnsuited, "")
		c.Skip(&fitUndeclared, "")
		return
	}
	c.belongs(cy)
	c.times(cy)
	switch said := cy.Code.purpose(); {
	case said != 0 && (cy.Purpose == 0 || cy.Purpose == ForGoods || cy.Purpose == ForUnwrappedGoods):
		check.With(c.Add(&purposeUnsuited, moistheat.Broken, moistheat.Choice, "/cycle/code"), "purpose", said.String())
	case cy.Purpose == 0:
		c.Add(&purposeUnsuited, moistheat.Undetermined, moistheat.Missing, "/cycle")
	default:
		check.With(c.Add(&purposeUnsuited, check.If(cy.Purpose != ForGoods && cy.Purpose != ForUnwrappedGoods), moistheat.Choice, "/cycle/purpose"), "purpose", cy.Purpose.String())
	}
	c.Add(&fitUndeclared, known(cy.Type != 0), moistheat.Missing, "/cycle")
	e := cy.Evidence
	e.Atmosphere = c.atmosphere()
	findings, analysis := cycle.Check(&e, c.p.cycleLimits(c.requirement()))
	c.analysis = analysis
	c.out.Cycle = summarise(analysis)
	c.fold("")
	c.Findings = append(c.Findings, findings...)
	c.fold("/cycle")
}

func (c *checker) belongs(cy *Cycle) {
	what := "load"
	if cy.Number != "" && c.r.Load.Number != "" {
		what = "sterilizer"
	}
	wrongNumber := cy.Number != "" && c.r.Load.Number != "" && cy.Number != c.r.Load.Number
	wrongUnit := cy.Sterilizer != "" && c.r.Sterilizer.ID != "" && cy.Sterilizer != c.r.Sterilizer.ID
	open := cy.Number == "" || c.r.Load.Number == "" ||
		c.r.Sterilizer.OnlyOne != moistheat.Yes && (cy.Sterilizer == "" || c.r.Sterilizer.ID == "")
	switch {
	case wrongNumber:
		f := c.Add(&physicalMismatch, moistheat.Broken, moistheat.Consistency, "/cycle/number")
		check.With(check.With(f, "recorded", "cycle "+cy.Number), "load", "number "+c.r.Load.Number)
	case wrongUnit:
		f := c.Add(&physicalMismatch, moistheat.Broken, moistheat.Consistency, "/cycle/sterilizer")
		check.With(check.With(f, "recorded", "sterilizer "+cy.Sterilizer), "load", "of sterilizer "+c.r.Sterilizer.ID)
	case open:
		check.With(c.Add(&physicalMismatch, moistheat.Undetermined, moistheat.Missing, "/cycle"), "what", what)
	default:
		c.Add(&physicalMismatch, moistheat.Met, moistheat.Consistency, "/cycle")
	}
}

func (c *checker) times(cy *Cycle) {
	steps := []struct {
		name, at string
		time     time.Time
	}{
		{"the start of the cycle", "/cycle/started", cy.Started},
		{"the end of the cycle", "/cycle/ended", cy.Ended},
		{"unloading", "/unloading/time", c.r.Unloading.Time},
	}
	for i, later := range steps[1:] {
		earlier := steps[i]
		if later.time.IsZero() || earlier.time.IsZero() {
			f := c.Add(&timeOrder, moistheat.Undetermined, moistheat.Missing, "/cycle")
			check.With(check.With(f, "later", capital(later.name)), "earlier", earlier.name)
			continue
		}
		f := c.Add(&timeOrder, check.If(later.time.Before(earlier.time)), moistheat.Consistency, later.at)
		check.With(check.With(f, "later", capital(later.name)), "earlier", earlier.name)
	}
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// atmosphere returns the pressure of the air at the site, or the invalid zero
// value where neither a barometer reading nor an altitude is recorded.
func (c *checker) atmosphere() units.AbsolutePressure {
	if c.r.Site.Barometer.IsValid() {
		return c.r.Site.Barometer
	}
	p, err := steam.StandardAtmosphere(c.r.Site.Altitude)
	if err != nil {
		return units.AbsolutePressure{}
	}
	return p
}

// requirement chooses the time-temperature pair that everything in the load needs:
// for each class of goods the first table of the policy with a matching row, and of
// those the longest. A class without a pair counts before any that has one.
func (c *checker) requirement() cycle.Requirement {
	set := c.r.Cycle.Settings
	var hardest cycle.Requirement
	for _, class := range c.classes() {
		req := c.p.lookup(set.AirRemoval, class, set.Temperature)
		switch {
		case req.Table == "": // nothing published for this class
			return cycle.Requirement{}
		case req.NotApplicable:
			return req
		case hardest.Table == "" || req.Hold.Compare(hardest.Hold) > 0:
			hardest = req
		}
	}
	return hardest
}

// classes returns the classes of goods in the load, each once, in a fixed order.
func (c *checker) classes() []cycle.LoadClass {
	var has [8]bool
	for i := range c.r.Packs {
		p := &c.r.Packs[i].Pack
		switch {
		case p.Has(packaging.Textile) == moistheat.Yes || p.Barrier == packaging.TextileWrap && p.Porous() == moistheat.Yes:
			has[cycle.TextilePacks] = true
		case p.Packed() && p.Has(packaging.Hollowware) == moistheat.Yes:
			has[cycle.WrappedUtensils] = true
		case p.Packed():
			has[cycle.WrappedInstruments] = true
		case p.Porous() != moistheat.No || hollow(p):
			has[cycle.UnwrappedMixed] = true
		default:
			has[cycle.UnwrappedNonporous] = true
		}
	}
	var out []cycle.LoadClass
	for class, ok := range has {
		if ok {
			out = append(out, cycle.LoadClass(class))
		}
	}
	return out
}

// hollow reports whether an item has a lumen, or may have one.
func hollow(p *packaging.Pack) bool {
	for i := range p.Items {
		it := &p.Items[i]
		if len(it.Lumens) > 0 || it.Has(packaging.Hollow) != moistheat.No || it.Has(packaging.Powered) == moistheat.Yes {
			return true
		}
	}
	return false
}

func answer(yes bool) moistheat.Answer {
	if yes {
		return moistheat.Yes
	}
	return moistheat.No
}

// --- tests of the sterilizer ---

func (c *checker) daily() {
	cy := c.r.Cycle
	if cy == nil || cy.Settings.AirRemoval != 0 && cy.Settings.AirRemoval != moistheat.DynamicAirRemoval {
		c.Skip(&penetrationTest, "")
		c.Skip(&leakTest, "")
		return
	}
	before := cy.Started
	if before.IsZero() {
		before = c.r.Unloading.Time
	}
	c.penetration(before)
	c.leak(before)
}

// newest returns the newest test of a kind at or before an instant.
func (c *checker) newest(k TestKind, before time.Time) (*Test, string) {
	var found *Test
	at := ""
	for i := range c.r.Monitors.Tests {
		t := &c.r.Monitors.Tests[i]
		if t.Kind == k && !t.Time.After(before) && (found == nil || t.Time.After(found.Time)) {
			found, at = t, "/monitors/tests/"+strconv.Itoa(i)
		}
	}
	return found, at
}

func (c *checker) penetration(before time.Time) {
	t, at := c.newest(AirRemovalTest, before)
	if t == nil || packaging.DateOf(t.Time) != packaging.DateOf(before.In(t.Time.Location())) {
		c.Add(&penetrationTest, moistheat.Undetermined, moistheat.Missing, c.cycleAt())
		return
	}
	check.With(c.Answer(&penetrationTest, t.Passed, moistheat.Yes, at), "when", t.Time.Format("2 January 2006 15:04"))
}

func (c *checker) leak(before time.Time) {
	lim := c.p.doc.Limits.LeakTestInterval
	if lim == nil {
		c.Skip(&leakTest, "")
		return
	}
	t, at := c.newest(LeakTest, before)
	if t == nil || elapsed(t.Time, before).Compare(lim.Value) > 0 {
		f := c.Add(&leakTest, moistheat.Undetermined, moistheat.Missing, c.cycleAt())
		f.Limit, f.Sources = lim.Value.Value(), []moistheat.Source{lim.Source}
		return
	}
	rate := figures().LeakRate
	var f *moistheat.Finding
	switch {
	case t.LeakRate.IsValid() && t.LeakRate.Compare(rate.Value) > 0:
		f = c.Add(&leakTest, moistheat.Broken, moistheat.Limit, at)
		check.With(f, "how", "leaked "+t.LeakRate.String()+", more than "+rate.Value.String())
	default:
		f = check.With(c.Answer(&leakTest, t.Passed, moistheat.Yes, at), "how", "failed")
	}
	if t.LeakRate.IsValid() {
		f.Measured, f.Limit, f.Sources = t.LeakRate.Value(), rate.Value.Value(), []moistheat.Source{rate.Source}
	}
	check.With(f, "when", t.Time.Format("2 January 2006"))
}

// elapsed returns the time between two instants in whole seconds, up.
func elapsed(from, to time.Time) units.Duration {
	d := to.Sub(from)
	s := int64(d / time.Second)
	if d%time.Second > 0 {
		s++
	}
	return units.New(s, 0, units.Second)
}

// --- packs ---

func (c *checker) packs() {
	figures := c.p.packs
	suited := moistheat.Broken // the best of all packs
	for i := range c.r.Packs {
		p := &c.r.Packs[i]
		c.Findings = packaging.Append(c.Findings, &p.Pack, packaging.Context{Date: c.r.Load.Date, Figures: figures})
		n := len(c.Findings)
		c.fit(p)
		suited = min(suited, c.suits(c.Findings[n:], "/packs/"+strconv.Itoa(i)))
		c.textiles(p)
		c.arrangement(i)
		c.after(p)
		c.label(p)
		c.packIndicators(p)
		c.fold("/packs/" + strconv.Itoa(i))
	}
	if len(c.r.Packs) > 0 {
		c.Add(&arrangementMixed, check.If(c.wrapped && c.unwrapped), moistheat.Consistency, "/packs")
	} else {
		c.Skip(&arrangementMixed, "/packs")
	}
	if len(c.r.Packs) > 0 && c.r.Cycle != nil {
		check.With(c.Add(&fitNone, suited, moistheat.Choice, "/packs"), "cycle", c.runs())
	} else {
		c.Skip(&fitNone, "/packs")
	}
}

func (c *checker) after(p *Pack) {
	if !p.Packed() {
		c.Skip(&packWet, "")
		c.Skip(&packDamaged, "")
		c.Skip(&packDropped, "")
		c.Skip(&packRepacked, "")
		return
	}
	at := section(p.After != After{}, "/after")
	c.Answer(&packWet, p.After.Dry, moistheat.Yes, at)
	c.Answer(&packDamaged, p.After.Intact, moistheat.Yes, at)
	c.Answer(&packDropped, p.After.Dropped, moistheat.No, at)
	if p.After.Dry == moistheat.No {
		c.Answer(&packRepacked, p.After.Repacked, moistheat.No, at)
	} else {
		c.Skip(&packRepacked, "")
	}
}

// label compares what a label says with the log. What it lacks is judged by
// package packaging.
func (c *checker) label(p *Pack) {
	l := p.Label
	if l == nil {
		c.Skip(&labelMismatch, "")
		return
	}
	number := l.Load
	at := "/label/load"
	if number == "" {
		number, at = l.Cycle, "/label/cycle"
	}
	for _, m := range []struct{ what, at, label, log string }{
		{"date", "/label/date", l.Date.String(), c.r.Load.Date.String()},
		{"load number", at, number, c.r.Load.Number},
		{"sterilizer", "/label/sterilizer", l.Sterilizer, c.r.Sterilizer.ID},
	} {
		blank := packaging.Date{}.String()
		if m.label == "" || m.log == "" || m.label == blank || m.log == blank || m.label == m.log {
			continue
		}
		f := c.Add(&labelMismatch, moistheat.Broken, moistheat.Consistency, m.at)
		check.With(check.With(check.With(f, "what", m.what), "label", m.label), "log", m.log)
		return
	}
	c.Add(&labelMismatch, moistheat.Met, moistheat.Consistency, "/label")
}

// --- water ---

func (c *checker) waters() {
	if s := c.r.Water.Sample; s != nil {
		for _, l := range c.p.waters {
			if c.p.day.IsValid() && !l.InForce(c.p.noon()) {
				continue
			}
			c.Findings = append(c.Findings, water.Check(s, l)...)
			c.Findings = append(c.Findings, water.CheckAge(s, l, c.started())...)
		}
		c.Findings = append(c.Findings, water.CheckSampling(s)...)
		check.Settle(c.Findings[c.kept:], s)
		c.fold("/water/sample")
	}
	if r := c.r.Water.Reservoir; r != nil {
		c.Findings = append(c.Findings, water.CheckReservoir(r, c.started())...)
		check.Settle(c.Findings[c.kept:], r)
		c.fold("/water/reservoir")
	}
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
	c.Answer(&doorEarly, u.EarlyDoor, moistheat.No, at)
	if !c.wrapped {
		for _, r := range []*moistheat.Rule{&coolingHandled, &coolingShort, &coolingInside} {
			c.Skip(r, "")
		}
		return
	}
	c.Answer(&coolingHandled, u.Hot, moistheat.No, at)
	c.Answer(&coolingInside, u.InChamber, moistheat.No, at)
	lim := figures().Cooling
	if !u.Cooled.IsValid() {
		c.Add(&coolingShort, moistheat.Undetermined, moistheat.Missing, at)
		return
	}
	f := c.Add(&coolingShort, check.If(u.Cooled.Compare(lim.Value) < 0), moistheat.Limit, at+"/cooled")
	f.Measured, f.Limit, f.Sources = u.Cooled.Value(), lim.Value.Value(), []moistheat.Source{lim.Source}
}

// unread returns what is read before a release and was not, in words.
func (c *checker) unread() string {
	if ch := c.r.Monitors.Challenge; ch != nil && ch.Result == 0 {
		return "the indicator in the process challenge device"
	}
	for i := range c.r.Packs {
		p := &c.r.Packs[i]
		for _, ind := range p.Indicators {
			if ind.Result == 0 && (ind.Place != packaging.Internal || ind.Visible == moistheat.Yes) {
				return "an indicator of pack " + p.ID
			}
		}
	}
	return ""
}

// corrective asks for an account of what failed, once the verdicts are known.
func (c *checker) corrective() {
	r := c.r.Release
	failed := c.out.Verdict.Load == moistheat.Reject || r != nil && r.Decision == moistheat.Reject
	for i := range c.out.each {
		failed = failed || c.out.each[i].Pack == moistheat.Reject
	}
	switch {
	case !failed:
		c.Skip(&correctiveMissing, "")
	case r == nil:
		c.Add(&correctiveMissing, moistheat.Undetermined, moistheat.Missing, "")
	default:
		c.Add(&correctiveMissing, check.If(r.Corrective == ""), moistheat.Missing, "/release")
	}
}

func (c *checker) release() {
	r := c.r.Release
	if r == nil {
		c.Add(&releaserMissing, moistheat.Undetermined, moistheat.Missing, "")
		c.Skip(&releaserUnauthorised, "")
		c.Skip(&releaseEarly, "")
		c.Skip(&releaseUnread, "")
		return
	}
	if r.Decision == moistheat.Release {
		what := c.unread()
		check.With(c.Add(&releaseUnread, check.If(what != ""), moistheat.Consistency, "/release/decision"), "what", what)
	} else {
		c.Skip(&releaseUnread, "")
	}
	c.Add(&releaserMissing, check.If(r.By == ""), moistheat.Missing, "/release")
	by := r.By
	if by == "" {
		by = "The person who releases"
	}
	check.With(c.Answer(&releaserUnauthorised, r.Authorised, moistheat.Yes, "/release"), "by", by)
	if r.Time.IsZero() || c.r.Cycle == nil || c.r.Cycle.Ended.IsZero() {
		c.Add(&releaseEarly, moistheat.Undetermined, moistheat.Missing, "/release")
		return
	}
	c.Add(&releaseEarly, check.If(r.Time.Before(c.r.Cycle.Ended)), moistheat.Consistency, "/release/time")
}

// contrary compares a recorded release with the verdict of everything else.
func (c *checker) contrary() {
	if c.r.Release == nil || c.r.Release.Decision != moistheat.Release {
		c.Skip(&releaseContrary, "")
		return
	}
	f := c.Add(&releaseContrary, check.If(c.out.Verdict.Load != moistheat.Release), moistheat.Consistency, "/release/decision")
	check.With(f, "verdict", c.out.Verdict.Load.String())
}
