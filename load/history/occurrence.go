package history

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle/equipment"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// CycleSetting is what makes two cycles of one sterilizer the same for its tests: how
// the air is removed and the temperature. The zero CycleSetting means not recorded.
type CycleSetting struct {
	AirRemoval  moistheat.AirRemoval `json:"airRemoval,omitzero"`
	Temperature units.Temperature    `json:"temperature,omitzero"`
}

// String returns the kind for a person, such as "dynamic-air-removal, 134 °C".
func (k CycleSetting) String() string { return k.words().String() }

// normal gives equal temperatures one form, so that kinds compare with ==.
func (k CycleSetting) normal() CycleSetting {
	if t := k.Temperature; t.IsValid() {
		k.Temperature = t.Convert(units.Celsius, 1, units.TiesToEven)
		if whole := t.Convert(units.Celsius, 0, units.TiesToEven); whole.Compare(k.Temperature) == 0 {
			k.Temperature = whole
		}
	}
	return k
}

// differs reports whether two kinds are shown to be different; what one of them does
// not record may be the same.
func (k CycleSetting) differs(o CycleSetting) bool {
	return k.AirRemoval != "" && o.AirRemoval != "" && k.AirRemoval != o.AirRemoval ||
		k.Temperature.IsValid() && o.Temperature.IsValid() && k.Temperature != o.Temperature
}

// known reports whether both parts of a kind are recorded.
func (k CycleSetting) known() bool { return k.AirRemoval != "" && k.Temperature.IsValid() }

// bioState is what the biological tests of one load or one test run come to. Of
// two states the later in this list counts.
type bioState uint8

const (
	bioNone    bioState = iota
	bioPending          // still incubating
	bioOpen             // no growth, but it cannot be said whether the test counts
	bioGood             // no growth, and the test counts
	bioVoid             // the test does not count
	bioPositive
)

// loadState is what is known of a load. Of two states the later in this list
// counts: a hold for want of evidence gives way to a release, one for a broken rule
// does not.
type loadState uint8

const (
	loadOpen loadState = iota + 1
	loadGood
	loadHeld
	loadBad
)

// occurrence is the compact trace that a load or an event leaves in a history. Those
// of one key are versions of one happening; see [versions].
type occurrence struct {
	kind       calendar.EventKind // 0: a load
	id         string
	site       string         // the practice, as lines name it; two of them may call sterilizers alike
	number     string         // cycle number
	load       string         // load number
	date       moistheat.Date // of a load without times
	start, end time.Time
	cycle      CycleSetting
	hold       units.Duration
	maxHold    units.Duration                        // that the own instructions of an air removal test allow
	exposure   *moistheat.Figure[units.DurationUnit] // the policy's, of an air removal test; nil: the general one

	bio      bioState
	why      moistheat.Detail // the biological test does not count, or the test failed
	grew     time.Time        // when a positive test was read at the earliest
	read     time.Time        // when the tests were read at the latest; of a pending one, when it should be
	passed   moistheat.Answer
	physical moistheat.Answer // physical record good
	chemical moistheat.Answer // chemical indicators good
	chamber  calendar.ChamberLoad
	drying   moistheat.Answer // a test was run with drying

	state    loadState
	lacks    lack                // all that keeps it from a release, where a history may know it
	released moistheat.Answer    // a person released it
	contrary bool                // ... against the evidence
	stops    bool                // its own record takes the sterilizer out of use
	urgent   bool                // ... in an emergency, with an implant, before the spores were read
	readBy   time.Time           // when the result of an urgent release is there at the latest
	signed   time.Time           // the decision about it
	records  calendar.RecordKind // that were discarded
	newest   moistheat.Date      // of those
	implants moistheat.Answer
	hollow   moistheat.Answer
	detector moistheat.Answer
	patients moistheat.Answer
	by, note string
	named    bool // who did it is on record
	noted    bool // and what was done, or why
	leak     units.PressureRate
	packs    []packTrace
	traces   []string     // digests of the traces of its versions, sorted, each once
	habits   []load.Habit // that a version did not keep
	rests    bool         // a version rests on practices
	metrics  metrics
	upkeep   *upkeep // of events that have any
	versions         // where the lines that say so differ, or are amended

	lay *berth // of a test whose indicator lay in a load; nil: in none, as far as that is known

	looks *int // counts, in tests of what an answer costs, how often it is looked at
}

func (h *occurrence) look() {
	if h.looks != nil {
		*h.looks++
	}
}

func (h *occurrence) dynamic() bool { return h.cycle.AirRemoval == moistheat.DynamicAirRemoval }

// sound says whether physical record and chemical indicators are good.
func (h *occurrence) sound() moistheat.Answer {
	switch {
	case h.physical == moistheat.No || h.chemical == moistheat.No:
		return moistheat.No
	case h.physical == moistheat.Yes && h.chemical == moistheat.Yes:
		return moistheat.Yes
	}
	return moistheat.NotRecorded
}

// pointer returns where findings about the happening point to.
func (h *occurrence) pointer() string {
	if h.kind != 0 {
		return "/events/" + guard.Escape(h.id)
	}
	return "/loads/" + guard.Escape(h.id)
}

// anyYes returns the answer that counts where yes is the careful one: yes before no
// before not recorded.
func anyYes(a, b moistheat.Answer) moistheat.Answer {
	switch {
	case a == moistheat.NotRecorded:
		return b
	case b == moistheat.NotRecorded:
		return a
	}
	return min(a, b)
}

// longer returns the larger of two quantities; an invalid one gives way.
func longer[U units.Unit](a, b units.Quantity[U]) units.Quantity[U] {
	switch {
	case !a.IsValid():
		return b
	case !b.IsValid():
		return a
	}
	c := a.Compare(b)
	if c < 0 || c == 0 && a.String() < b.String() {
		return b
	}
	return a
}

// earlier and later choose between instants, the zero Time giving way, and between
// two spellings of one instant by zone, so that the order of asking is no matter.
func earlier(a, b time.Time) time.Time {
	if a.IsZero() || !b.IsZero() && compareTimes(b, a) < 0 {
		return b
	}
	return a
}

func later(a, b time.Time) time.Time {
	if a.IsZero() || !b.IsZero() && compareTimes(b, a) > 0 {
		return b
	}
	return a
}

func compareTimes(a, b time.Time) int {
	if c := a.Compare(b); c != 0 {
		return c
	}
	_, x := a.Zone()
	_, y := b.Zone()
	return cmp.Compare(x, y)
}

// ofRecord returns the trace of a load.
func ofRecord(r *load.Record, report *load.Report) *occurrence {
	h := &occurrence{id: r.ID, load: r.Load.Number, date: r.Load.Date, detector: r.Sterilizer.AirDetector,
		named: named(r),
		site:  r.Site.Name}
	if h.id == "" {
		h.id = r.Load.Number
	}
	if cy := r.Cycle; cy != nil {
		h.number, h.start, h.end = cy.Number, cy.Started, cy.Ended
		h.cycle = CycleSetting{cy.Settings.AirRemoval, cy.Settings.Temperature}.normal()
		h.hold = cy.Settings.Hold
		h.metrics = metricsOf(r, report)
		if d := cy.Trace.Digest(); d != "" {
			h.traces = []string{d}
		}
	}
	h.traced = r.Cycle != nil && r.Cycle.Trace != nil
	if h.end.IsZero() {
		h.end, h.guessed = r.Unloading.Time, h.guessed|ofEnd
	}
	if h.start.IsZero() {
		h.start, h.guessed = h.end, h.guessed|ofStart
	}
	if h.end.IsZero() {
		h.end = h.start
	}
	h.habits = r.Contradicted()
	h.rests = report.Catalogue != nil && len(report.Catalogue.Practices) > 0
	h.bios = ofBiologicals(r.Monitors.Biologicals, r.Load.Date)
	h.bio, h.why = comeTo(h.bios)
	h.grew, h.read = readings(h.end, r.Monitors.Biologicals)
	h.physical, h.chemical = report.Shows(load.PhysicalRecord), report.Shows(load.ChemicalIndicators)
	h.state = stateOf(report)
	h.lacks = lacking(report)
	h.stops = stops(report)
	if r.Release != nil && r.Release.Decision != 0 {
		h.released, h.signed = ask.AnswerOf(r.Release.Decision == moistheat.Release), r.Release.Time
	}
	h.contrary = h.released == moistheat.Yes && report.Verdict.Recall && report.Verdict.Load == moistheat.Reject
	h.grounds = groundsOf(report)
	h.hollow = moistheat.No
	spread := r.Spread()
	for i := range r.Packs {
		p := &r.Packs[i].Pack
		t := packTrace{id: p.ID, implant: p.Has(packaging.Implant), state: packState(report, i, h.state), at: i,
			marks: marksOf(spread, i), seen: seenOf(p)}
		if p.Label != nil {
			t.expires = p.Label.Expires
		}
		if d := r.Packs[i].Decision; d != 0 {
			t.released = ask.AnswerOf(d == moistheat.Release)
		}
		h.packs = append(h.packs, t)
		if p.MayBeHollow() {
			h.hollow = moistheat.Yes
		}
	}
	h.packs = unite(keptBack(h.packs))
	h.implants = implantsOf(h.packs)
	h.unsound = h.bio == bioPositive && h.sound() != moistheat.Yes
	if h.released == moistheat.Yes && h.implants == moistheat.Yes && r.Release.Emergency != nil {
		h.urgent, h.readBy = true, readable(h.end, r.Monitors.Biologicals)
	}
	return h
}

// named reports whether a record names a person.
func named(r *load.Record) bool {
	by := r.Load.PreparedBy + r.Unloading.By
	if r.Release != nil {
		by += r.Release.By
	}
	return strings.TrimSpace(by) != ""
}

// readable returns when the spores of a load are read at the latest: after the time
// that the indicators' manufacturers ask for, where that is recorded, else after the
// reference incubation.
func readable(end time.Time, tests []load.Biological) time.Time {
	var out time.Time
	for i := range tests {
		if r := tests[i].Readout; r.IsValid() {
			out = later(out, after(end, r))
		}
	}
	if out.IsZero() {
		out = after(end, historyFigures().Incubation.Value)
	}
	return out
}

// readings returns when the tests of a cycle that ended then were read: the positive
// ones at the earliest, all of them at the latest. A positive test that does not say how
// long it was incubated was known at once; one that is pending is read when it should be.
func readings(end time.Time, tests []load.Biological) (grew, read time.Time) {
	for i := range tests {
		b := &tests[i]
		at := end
		switch {
		case b.Result == load.Pending:
			at = readable(end, tests[i:i+1])
		case b.Incubated.IsValid():
			at = after(end, b.Incubated)
		}
		if b.Result == load.Positive {
			grew = earlier(grew, at)
		}
		read = later(read, at)
	}
	return grew, read
}

// keptBack lets a decision against one of several packs with one id count for all of them.
func keptBack(packs []packTrace) []packTrace {
	kept := map[string]bool{}
	for _, p := range packs {
		if p.released == moistheat.No {
			kept[p.id] = true
		}
	}
	for i := range packs {
		if kept[packs[i].id] {
			packs[i].released = moistheat.No
		}
	}
	return packs
}

// stands returns what is known of a pack of a load; shown says that the history shows what
// its record lacks.
func (h *occurrence) stands(pack string, shown bool) loadState {
	with := func(s loadState) loadState {
		if shown && s == loadOpen {
			return loadGood
		}
		return s
	}
	out, released := with(h.state), h.released
	if i, found := h.listed(pack); found {
		p := h.packs[i]
		if s := with(p.state); out == loadGood || s > out {
			out = s
		}
		if p.released != moistheat.NotRecorded {
			released = p.released
		}
	}
	if released == moistheat.No { // whoever decided against a release is heard whatever the evidence says
		out = max(out, loadHeld)
	}
	return out
}

// reopened reports whether a load was released and its evidence speaks against it,
// be it that of the same record or of a later version without a decision.
func (h *occurrence) reopened() bool {
	return h.contrary || h.released == moistheat.Yes && h.state >= loadHeld
}

// anyYesOrUnknown combines parts of a whole: one yes is a yes, else one unknown an unknown.
func anyYesOrUnknown(a, b moistheat.Answer) moistheat.Answer {
	switch {
	case a == moistheat.Yes || b == moistheat.Yes:
		return moistheat.Yes
	case a == moistheat.NotRecorded || b == moistheat.NotRecorded:
		return moistheat.NotRecorded
	}
	return moistheat.No
}

// ofBiologicals returns what each biological test of a load comes to, and why a test
// does not count. Growth counts whatever the control says, and so does a word that is none of
// ours: what its writer meant by it may be growth.
func ofBiologicals(tests []load.Biological, date moistheat.Date) []bioClaim {
	var out []bioClaim
	for i := range tests {
		b := &tests[i]
		s := bioOpen
		ok, reason := b.Counts(date)
		switch {
		case !slices.Contains([]load.Growth{"", load.Pending, load.Negative}, b.Result):
			s, reason = bioPositive, moistheat.Detail{}
		case ok == moistheat.Yes:
			s = bioGood
		case ok == moistheat.No:
			s = bioVoid
		case b.Result == load.Pending || b.Result == "":
			s = bioPending
		}
		out = append(out, bioClaim{i, s, reason, vialOf(b, date)})
	}
	return out
}

// comeTo returns what the biological tests of one load come to together: a test that
// counts makes up for one beside it that does not, and for no growth.
func comeTo(tests []bioClaim) (state bioState, why moistheat.Detail) {
	for _, t := range tests {
		switch {
		case t.state == bioPositive:
			return bioPositive, moistheat.Detail{}
		case t.state == bioGood || state != bioGood && t.state > state:
			state, why = t.state, t.why
		}
	}
	return state, why
}

func stateOf(report *load.Report) loadState {
	switch report.Verdict.Load {
	case moistheat.Release:
		return loadGood
	case moistheat.Reject:
		return loadBad
	}
	for _, f := range report.Findings {
		if f.Open() && f.Outcome >= moistheat.Broken && max(f.Effect.Load, f.Effect.Pack) >= moistheat.Quarantine {
			return loadHeld
		}
	}
	return loadOpen
}

// A lack is of tests that the record of a load need not mention, or of the history itself.
type lack uint8

var dutyRules = [...]string{"load.biological.overdue", "load.daily.penetration", "load.daily.leak",
	"load.known.missing"}

// lacking returns the duties of which a report says that they are not shown to be done,
// or none where anything else stands against a release, too.
func lacking(report *load.Report) lack {
	var out lack
	for _, f := range report.Findings {
		e := f.Effect
		if !f.Open() || max(e.Load, e.Pack) < moistheat.Quarantine {
			continue
		}
		i := slices.Index(dutyRules[:], f.Rule)
		if i < 0 || f.Outcome != moistheat.Undetermined {
			return 0
		}
		out |= 1 << i
	}
	return out
}

// stops reports whether a load takes its sterilizer out of use until somebody has
// found out why. Positive spores and failed tests are left out: what they ask for is
// for the procedure and for the tests themselves.
func stops(report *load.Report) bool {
	return slices.ContainsFunc(report.Findings, func(f moistheat.Finding) bool { return stopsFor(report, f) })
}

func stopsFor(report *load.Report, f moistheat.Finding) bool {
	if !f.Open() || f.Outcome < moistheat.Broken || f.Effect.Sterilizer != moistheat.OutOfService {
		return false
	}
	shows := load.EvidenceOf(f.Rule)
	return shows != load.BiologicalIndicators && shows != load.SterilizerTests
}

// packState is [stateOf] for one pack of a load in a state.
func packState(report *load.Report, i int, load loadState) loadState {
	if i >= len(report.Packs) { // of a check without a policy, or of another record
		return max(load, loadOpen)
	}
	switch report.Packs[i].Disposition {
	case moistheat.Release:
		return loadGood
	case moistheat.Reject:
		return loadBad
	}
	at := report.Packs[i].Pointer
	for _, f := range report.Findings {
		if f.Open() && f.Outcome >= moistheat.Broken &&
			(f.Pointer == at || strings.HasPrefix(f.Pointer, at+"/")) && f.Effect.Pack >= moistheat.Quarantine {
			return loadHeld
		}
	}
	if load == loadGood {
		return loadOpen // for want of evidence about the pack
	}
	return load
}

// ofTest returns the trace of a test that a load's record mentions.
func ofTest(r *load.Record, i int) *occurrence {
	t := &r.Monitors.Tests[i]
	return &occurrence{
		kind: eventOf(t.Kind), start: t.Time, end: t.Time, passed: t.Passed, leak: t.LeakRate, named: named(r),
		site:     r.Site.Name,
		versions: versions{guessed: ofStart},
	}
}

// ofEvent returns the traces of an event: its own and, where it carries the result of
// another kind of test, that of such a test at the same time.
func ofEvent(e *Event) []*occurrence {
	h := occurrence{
		kind: e.Kind, id: e.ID, site: e.Site, number: e.Number, start: e.Started, end: e.Time, passed: e.Passed, leak: e.LeakRate,
		physical: e.Physical, chemical: e.Chemical, chamber: e.Chamber, patients: e.Patients, by: e.By, note: e.Note,
		named: strings.TrimSpace(e.By) != "", noted: strings.TrimSpace(e.Note) != "",
		cycle: CycleSetting{e.Settings.AirRemoval, e.Settings.Temperature}.normal(), hold: e.Settings.Hold,
		maxHold: e.MaxHold,
		records: e.Records, newest: e.Newest,
	}
	h.upkeep = upkeepOf(e)
	if h.start.IsZero() || h.start.After(h.end) { // a start after the end says nothing of when it began
		h.start, h.guessed = h.end, ofStart
	}
	if e.Settings.Drying.IsValid() {
		h.drying = ask.AnswerOf(e.Settings.Drying.Float64(units.Second) > 0)
	}
	out := []*occurrence{&h}
	another := func(kind calendar.EventKind) *occurrence {
		if e.Kind == kind {
			return &h
		}
		t := h
		t.kind, t.number, t.passed, t.leak = kind, "", moistheat.NotRecorded, units.PressureRate{}
		out = append(out, &t)
		return &t
	}
	if e.LeakRate.IsValid() {
		another(calendar.LeakEvent).leak = e.LeakRate
	}
	var tests []load.Biological
	if e.Biological != nil {
		tests = append(tests, *e.Biological)
	}
	if e.Kind == calendar.BiologicalTestEvent && e.Passed == moistheat.No {
		state, _ := comeTo(ofBiologicals(tests, moistheat.DateOf(e.Time)))
		if state == bioNone || state == bioGood { // its indicator does not say why it failed, or says the contrary
			tests = append(tests, load.Biological{Result: load.Positive})
		}
	}
	if tests != nil {
		t := another(calendar.BiologicalTestEvent)
		t.bios = ofBiologicals(tests, moistheat.DateOf(e.Time))
		t.bio, t.why = comeTo(t.bios)
		t.grew, t.read = readings(t.end, tests)
		t.unsound = t.bio == bioPositive && t.sound() != moistheat.Yes
	}
	return out
}

// result says whether a test counts and was passed. The zero result is that of a test
// about which nothing is recorded.
type result struct {
	passed   moistheat.Answer // yes: it counts and was passed; no: it counts and failed
	void     bool             // it does not count, whatever it showed
	cause    cause            // of anything but a pass
	detail   moistheat.Detail // of unproven, in words
	got, max units.Value      // of leaking and tooLong
}

// cause is why a test was not passed or does not count.
type cause uint8

const (
	noOutcome         cause = iota // its result is not recorded
	noCause                        // it was passed
	positive                       // its spores grew
	noBiological                   // there is no biological test
	notRead                        // its spores are still incubated
	unproven                       // the test does not count, or may not
	leaking                        // more than the limit
	markedFailed                   // by whoever read it
	notEmpty                       // an air removal test was not run in an empty chamber
	tooLong                        // its exposure
	withDrying                     // it was run with drying
	withoutAirRemoval              // its cycle does not draw the air out
)

// result says what a test came to.
func (h *occurrence) result() result {
	h.look()
	switch h.kind {
	case 0, calendar.BiologicalTestEvent:
		return h.biological()
	case calendar.LeakEvent:
		most := equipment.DefaultFigures().LeakRate.Value
		if h.leak.IsValid() && h.leak.Compare(most) > 0 {
			return result{passed: moistheat.No, cause: leaking, got: h.leak.Value(), max: most.Value()}
		}
		if lowest := equipment.DefaultFigures().LeakLowest.Value; h.passed != moistheat.No && h.leak.IsValid() &&
			h.leak.Compare(lowest) < 0 {
			return result{void: true, cause: unproven,
				detail: lang.Say("leak-far-below-zero: its rate is so far below zero that nothing was measured")}
		}
	case calendar.AirRemovalEvent:
		if r := h.airRemoval(); r.void && h.passed != moistheat.No {
			return r
		}
	}
	switch h.passed {
	case moistheat.No:
		return result{passed: moistheat.No, cause: markedFailed}
	case moistheat.Yes:
		return result{passed: moistheat.Yes, cause: noCause}
	}
	return result{}
}

func (h *occurrence) biological() result {
	switch {
	case h.bio == bioPositive:
		return result{passed: moistheat.No, cause: positive}
	case h.kind != 0 && h.passed == moistheat.No:
		return result{passed: moistheat.No, cause: markedFailed}
	case h.bio == bioGood && h.kind != 0 && h.sound() == moistheat.No: // spores never excuse a failed record
		return result{void: true, cause: unproven,
			detail: lang.Say("test-record-not-passed: its physical record or chemical indicators did not pass")}
	case h.bio == bioGood:
		return result{passed: moistheat.Yes, cause: noCause}
	case h.bio == bioNone:
		return result{cause: noBiological}
	case h.bio != bioVoid && !h.why.IsValid():
		return result{cause: notRead}
	}
	return result{void: h.bio == bioVoid, cause: unproven, detail: h.why}
}

// limit gives an air removal test the exposure that a policy allows it.
func (h *occurrence) limit(p *load.Policy) {
	if h.kind == calendar.AirRemovalEvent {
		h.exposure = exposureOf(p)
	}
}

// mostExposure returns how long an air removal test may be exposed: by its own instructions,
// else by the policy. Instructions that no such test can have are not believed.
func (h *occurrence) mostExposure() moistheat.Figure[units.DurationUnit] {
	if h.maxHold.IsValid() && h.maxHold.Compare(historyFigures().LongestExposure.Value) <= 0 {
		own := moistheat.Source{Document: "instructions for use of the test", Basis: moistheat.Facility}
		return moistheat.Figure[units.DurationUnit]{Value: h.maxHold, Source: own}
	}
	if h.exposure != nil {
		return *h.exposure
	}
	return historyFigures().AirRemovalExposure
}

// airRemoval says whether an air removal test was run so that it counts.
func (h *occurrence) airRemoval() result {
	most := h.mostExposure().Value
	switch {
	case h.chamber == calendar.FullChamber || h.chamber == calendar.PartLoad:
		return result{void: true, cause: notEmpty}
	case h.hold.IsValid() && h.hold.Compare(most) > 0:
		return result{void: true, cause: tooLong, got: h.hold.Value(), max: most.Value()}
	case h.drying == moistheat.Yes:
		return result{void: true, cause: withDrying}
	case h.cycle.AirRemoval != "" && !h.dynamic():
		return result{void: true, cause: withoutAirRemoval}
	}
	return result{}
}

type occurrenceKey struct {
	kind     calendar.EventKind
	sec      int64
	nanosecs int
	id       string
}

// key tells happenings apart: loads by the id of their record, events by what and
// when.
func (h *occurrence) key() occurrenceKey {
	switch h.kind {
	case 0:
		return occurrenceKey{id: h.id}
	case calendar.WrongSettingEvent:
		return occurrenceKey{h.kind, h.end.Unix(), h.end.Nanosecond(), h.cycle.String() + h.hold.String()}
	case calendar.DiscardedEvent:
		return occurrenceKey{h.kind, h.end.Unix(), h.end.Nanosecond(), string(h.records) + h.newest.String()}
	}
	return occurrenceKey{kind: h.kind, sec: h.end.Unix(), nanosecs: h.end.Nanosecond()}
}

// before orders happenings in time; at one instant, by what they are.
func before(a, b *occurrence) int {
	c := cmp.Or(a.start.Compare(b.start), a.end.Compare(b.end), cmp.Compare(a.kind, b.kind), cmp.Compare(a.id, b.id))
	if c == 0 && a != b && a.kind != 0 { // two entries of one instant
		return cmp.Compare(a.key().id, b.key().id)
	}
	return c
}

// cycleNumber splits a number such as "S1-0412" into its series and its count.
func cycleNumber(s string) (series string, n int64, ok bool) {
	i := len(s)
	for i > 0 && s[i-1] >= '0' && s[i-1] <= '9' {
		i--
	}
	if i == len(s) || len(s)-i > 15 {
		return "", 0, false
	}
	n, err := strconv.ParseInt(s[i:], 10, 64)
	return s[:i], n, err == nil
}

// day returns the local day on which the happening began.
func (h *occurrence) day() moistheat.Date {
	if h.start.IsZero() {
		return h.date
	}
	return moistheat.DateOf(h.start)
}
