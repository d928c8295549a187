package history

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

// digest is the SHA-256 of a line, in the one form in which the library writes it.
type digest [sha256.Size]byte

// String returns the digest in hexadecimal, in lower case.
func (d digest) String() string { return hex.EncodeToString(d[:]) }

// digestOf returns the digest of a document. One that a program made and no document
// can hold has that of what the history keeps of it.
func digestOf(doc any, kept func() string) digest {
	data, err := json.Marshal(doc)
	if err != nil {
		data = []byte(kept())
	}
	return sha256.Sum256(data)
}

// said is the place of a document that says something.
type said struct {
	line digest
	test int // from 1, of those that a load's record mentions; 0: the line itself
}

func (a said) compare(b said) int {
	return cmp.Or(bytes.Compare(a.line[:], b.line[:]), cmp.Compare(a.test, b.test))
}

// versions are what several lines say of one happening. Every line counts: the set of
// them is what a history keeps, so that order and repeats are no matter, and the
// occurrence beside them is what they come to together. An occurrence that one line
// speaks of, and no amendment, is its own only version.
type versions struct {
	lines []said        // of a version; many records may mention one test in the same words
	all   []*occurrence // as they were said, by line; nil: the one
	left  []*occurrence // what amendments leave of them; nil: the one

	taken   members // of a version: what an amendment took back
	guessed members // of a version: what it does not say and another member stands for
	traced  bool    // the record has a trace, which nobody can take back
	doubted bool    // what made it evidence was taken back, and no line says what is right
	bios    []bioClaim
	grounds []ground
	stale   string // digest of the policy that it was judged under; empty: the history's
	unsound bool   // a positive test whose physical record or indicators are not shown to be good
}

// members are those of a version whose silence says something: what is not recorded may
// be anything. What an amendment took back says nothing, and is no silence either.
type members uint8

const (
	ofStart members = 1 << iota
	ofEnd
	ofAirRemoval
	ofTemperature
	ofHold
	ofBiological
	ofPacks
)

// bioClaim is what one biological test of a load comes to.
type bioClaim struct {
	at    int // index in the record
	state bioState
	why   moistheat.Detail
	vial
}

// ground is an open finding that stands against a load.
type ground struct {
	pointer string
	effect  moistheat.Effect
	stops   bool
}

// groundsOf returns what is broken in a report and stands against the load, its packs or
// the sterilizer. That it was released all the same follows from the rest.
func groundsOf(report *load.Report) []ground {
	var out []ground
	for _, f := range report.Findings {
		decided := f.Rule == "load.release.contradicted" || f.Rule == "load.pack.contradicted"
		if !f.Open() || f.Outcome < moistheat.Broken || decided {
			continue
		}
		if e := f.Effect; e != (moistheat.Effect{}) {
			out = append(out, ground{f.Pointer, e, stopsFor(report, f)})
		}
	}
	return out
}

type packTrace struct {
	id      string
	at      int    // index in the record; -1: several
	marks   []mark // by which a suspected prion case reaches it or others
	implant moistheat.Answer
	state   loadState // the load's included
	// A person released it; where the record has no decision of its own for the pack, that
	// for the load counts.
	released moistheat.Answer
	seen     seenMarks      // the indicators that it carries
	expires  moistheat.Date // by its label
}

// unite makes one of packs with one id, by id.
func unite(packs []packTrace) []packTrace {
	slices.SortStableFunc(packs, func(a, b packTrace) int { return cmp.Compare(a.id, b.id) })
	out := packs[:0]
	for _, p := range packs {
		if n := len(out); n > 0 && out[n-1].id == p.id {
			q := &out[n-1]
			q.implant, q.state, q.at = anyYesOrUnknown(q.implant, p.implant), max(q.state, p.state), -1
			q.released = anyYes(q.released, p.released)
			q.seen |= p.seen
			q.expires = firstDay(q.expires, p.expires)
			if len(p.marks) > 0 {
				q.marks = slices.SortedFunc(slices.Values(slices.Concat(q.marks, p.marks)), compareMarks)
				q.marks = slices.Compact(q.marks)
			}
		} else {
			out = append(out, p)
		}
	}
	return out
}

// firstDay returns the earlier of two days, and of one that is not known the other.
func firstDay(a, b moistheat.Date) moistheat.Date {
	if !a.IsValid() || b.IsValid() && b.Compare(a) < 0 {
		return b
	}
	return a
}

// implantsOf says whether a load of packs holds an implant.
func implantsOf(packs []packTrace) moistheat.Answer {
	if len(packs) == 0 {
		return moistheat.NotRecorded
	}
	out := moistheat.No
	for _, p := range packs {
		out = anyYesOrUnknown(out, p.implant)
	}
	return out
}

// as returns an occurrence as a line says it.
func (h *occurrence) as(line digest, test int) *occurrence {
	h.lines = []said{{line, test}}
	return h
}

// each returns the versions as they were said.
func (h *occurrence) each() []*occurrence {
	switch {
	case h == nil:
		return nil
	case h.lay != nil:
		return h.lay.test.each()
	case h.all != nil:
		return h.all
	}
	return []*occurrence{h}
}

// counting returns the versions as amendments leave them.
func (h *occurrence) counting() []*occurrence {
	if h.left != nil {
		return h.left
	}
	return []*occurrence{h}
}

// some reports whether any version is so, of those whose member nobody took back; where
// every one of them did, whether silence is.
func (h *occurrence) some(member members, is func(*occurrence) bool) bool {
	h.look()
	if h.left == nil {
		return is(h)
	}
	asked := false
	for _, v := range h.left {
		if v.taken&member == 0 {
			if asked = true; is(v) {
				return true
			}
		}
	}
	return !asked && is(&occurrence{kind: h.kind})
}

// incoming are the versions of a happening of which more came than were put together.
type incoming struct{ all, more []*occurrence }

// add takes in one more version. What came is put together when it is as long as what
// was, so that a line that comes again and again takes no memory.
func (t *incoming) add(v *occurrence) {
	if t.more = append(t.more, v); len(t.more) > 16+len(t.all) {
		t.all, t.more = gather(t.all, t.more), nil
	}
}

// mention is what a test that a load's record mentions says. Many may say it.
type mention struct {
	passed           moistheat.Answer
	leak             units.PressureRate
	named            bool
	site             string
	sec              int64
	nanosecs, offset int
}

// gather returns versions of a happening and more of them, by line, each once. Those that
// mention a test in the same words are one.
func gather(all, more []*occurrence) []*occurrence {
	out := make([]*occurrence, 0, len(all)+len(more))
	places, mentions := map[string]int{}, map[mention]int{} // in out
	grown := map[int]bool{}                                 // those with lines of their own here
	for _, v := range slices.Concat(all, more) {
		var place []byte
		for _, l := range v.lines {
			place = strconv.AppendInt(append(place, l.line[:]...), int64(l.test), 10)
		}
		if i, found := places[string(place)]; found {
			if v.stale < out[i].stale { // the record was added again
				out[i] = v
			}
			continue
		}
		if v.lines[0].test > 0 {
			_, offset := v.start.Zone()
			m := mention{v.passed, v.leak, v.named, v.site, v.start.Unix(), v.start.Nanosecond(), offset}
			if i, found := mentions[m]; found {
				if !grown[i] {
					own := *out[i]
					own.lines = slices.Clone(own.lines)
					out[i], grown[i] = &own, true
				}
				out[i].lines = append(out[i].lines, v.lines...)
				places[string(place)] = i
				continue
			}
			mentions[m] = len(out)
		}
		places[string(place)] = len(out)
		out = append(out, v)
	}
	for i := range grown {
		slices.SortFunc(out[i].lines, said.compare)
		out[i].lines = slices.Compact(out[i].lines)
	}
	slices.SortStableFunc(out, byLine)
	return out
}

func byLine(a, b *occurrence) int { return slices.CompareFunc(a.lines, b.lines, said.compare) }

// put takes in the versions of an occurrence. What several come to is worked out when
// they are asked for, once for all of them; see [unitHistory.settle].
func (u *unitHistory) put(e *occurrence) {
	for _, v := range e.each() {
		k := v.key()
		t := u.news[k]
		if t == nil {
			before := u.said(k)
			if before == nil && u.amended.none() && lotsOf([]*occurrence{v}) == nil {
				u.all[k] = v // there is nothing to work out
				continue
			}
			t = &incoming{all: before}
			if u.news == nil {
				u.news = map[occurrenceKey]*incoming{}
			}
			u.news[k] = t
		}
		t.add(v)
	}
}

// settle works out what happenings come to of which something new was said, or taken back
// from the lines that are named: each once, and with them those that wait for a line or
// share a control. It depends on what was said alone, not on when it is asked.
func (u *unitHistory) settle(named map[digest]bool) {
	if len(u.news) == 0 && len(named) == 0 {
		return
	}
	anew, kinds := map[occurrenceKey]bool{}, map[calendar.EventKind]bool{}
	for k, t := range u.news {
		delete(u.gone, k)
		u.all[k] = &occurrence{kind: k.kind, versions: versions{all: gather(t.all, t.more)}}
		anew[k], kinds[k.kind] = true, k.kind != 0
	}
	u.news = nil
	for k := range u.open {
		anew[k] = anew[k] || kinds[k.kind] // the line that it waits for may be among the new ones
	}
	if len(named) > 0 {
		for _, in := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
			for k, e := range in {
				anew[k] = anew[k] || slices.ContainsFunc(e.each(), func(v *occurrence) bool {
					// What was right in place of another event may be so no longer.
					return k.kind != 0 && u.amended.names(v) ||
						slices.ContainsFunc(v.lines, func(l said) bool { return named[l.line] })
				})
			}
		}
	}
	maps.DeleteFunc(anew, func(_ occurrenceKey, is bool) bool { return !is })
	ids := u.ids()
	u.lend(anew, ids)
	for k := range anew {
		u.enter(k, u.said(k), ids)
	}
}

// lend enters what tests of happenings have for others of their lots and days, and adds
// those that this concerns.
func (u *unitHistory) lend(anew map[occurrenceKey]bool, ids namesakes) {
	every := map[lotDay]bool{} // lots of which something changed: whether every test is concerned
	for k := range anew {
		all := u.said(k)
		lots := lotsOf(all)
		if len(lots) == 0 {
			continue
		}
		has := u.controlsOf(k, all, ids)
		for _, lot := range lots {
			if changed, dead := u.lot(lot).put(k, all, has[lot]); changed {
				every[lot] = every[lot] || dead
			}
		}
	}
	for lot, all := range every {
		t := u.lots[lot]
		for other := range t.controls {
			if all || t.wants[other] {
				anew[other] = true
			}
		}
	}
}

// namesakes are the lines about events that have an id of which nothing is taken back, by
// kind and id, as far as they can stand in the place of another: lines that say as much as
// each other stand for each other, so that there are two of each, about two events.
type namesakes map[namesake]map[content][]*occurrence

type namesake struct {
	kind calendar.EventKind
	id   string
}

// content is which facts a version says, one bit each, and what else [occurrence.answers]
// asks of a line that is to stand in the place of another.
type content struct {
	facts             uint32
	decided, physical bool
}

func (h *occurrence) content() content {
	c := content{decided: h.released != moistheat.NotRecorded, physical: h.physical != moistheat.NotRecorded}
	for i, f := range h.facts() {
		if f.text != "" {
			c.facts |= 1 << i
		}
	}
	return c
}

// ids returns them where amendments ask for them.
func (u *unitHistory) ids() namesakes {
	if u.amended.none() {
		return nil
	}
	out := namesakes{}
	for _, in := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
		for k, e := range in {
			for _, v := range e.each() {
				if k.kind != 0 && v.id != "" && slices.ContainsFunc(v.lines, u.amended.spares) {
					out.add(k, v)
				}
			}
		}
	}
	return out
}

func (n namesakes) add(k occurrenceKey, v *occurrence) {
	of := namesake{k.kind, v.id}
	if n[of] == nil {
		n[of] = map[content][]*occurrence{}
	}
	c := v.content()
	if two := n[of][c]; len(two) == 0 || len(two) == 1 && two[0].key() != k {
		n[of][c] = append(two, v)
	}
}

// others returns what is said of other events of a kind that have an id of these.
func (n namesakes) others(as *amendments, k occurrenceKey, all []*occurrence) (out []*occurrence) {
	if k.kind == 0 || as == nil || !slices.ContainsFunc(all, as.names) {
		return nil
	}
	seen := map[string]bool{}
	for _, v := range all {
		if seen[v.id] {
			continue
		}
		seen[v.id] = true
		for _, two := range n[namesake{k.kind, v.id}] {
			if i := slices.IndexFunc(two, func(o *occurrence) bool { return o.key() != k }); i >= 0 {
				out = append(out, two[i])
			}
		}
	}
	return out
}

// said returns the versions of a happening, as they were said.
func (u *unitHistory) said(k occurrenceKey) []*occurrence { return cmp.Or(u.all[k], u.gone[k]).each() }

// enter enters the versions of one happening, and what they come to.
func (u *unitHistory) enter(k occurrenceKey, all []*occurrence, ids namesakes) {
	left, amended, open := u.amended.leave(all, ids.others(u.amended, k, all))
	left, served := u.served(k, left)
	delete(u.all, k)
	delete(u.gone, k)
	delete(u.open, k)
	if open {
		if u.open == nil {
			u.open = map[occurrenceKey]bool{}
		}
		u.open[k] = true
	}
	switch {
	case len(all) == 1 && !amended && !served:
		u.all[k] = all[0]
	case len(left) == 0:
		if u.gone == nil {
			u.gone = map[occurrenceKey]*occurrence{}
		}
		u.gone[k] = &occurrence{kind: k.kind, versions: versions{all: all}}
	default:
		u.all[k] = join(all, left)
	}
}

// join returns what versions come to together, of which amendments leave some.
func join(all, left []*occurrence) *occurrence {
	h := *left[0]
	h.versions = versions{all: all, left: left}
	h.unsound = left[0].unsound
	h.cycle, h.site, h.implants = agreed(left), agreedSite(left), moistheat.No
	h.start, h.end = time.Time{}, time.Time{}
	for _, v := range left {
		if v.guessed&ofStart == 0 {
			h.start = earlier(h.start, v.start)
		}
		if v.guessed&ofEnd == 0 {
			h.end = later(h.end, v.end)
		}
	}
	noStart, noEnd := h.start.IsZero(), h.end.IsZero()
	for _, v := range left {
		if noStart {
			h.start = earlier(h.start, v.start)
		}
		if noEnd {
			h.end = later(h.end, v.end)
		}
	}
	told, many := false, 16
	h.packs, h.traces = nil, nil
	for i, v := range left {
		h.packs, h.traces = append(h.packs, v.packs...), append(h.traces, v.traces...)
		if len(h.packs) > many {
			h.packs = unite(h.packs)
			many = 16 + 2*len(h.packs)
		}
		if v.taken&ofPacks == 0 {
			told, h.implants = true, anyYesOrUnknown(h.implants, v.implants)
		}
		if i > 0 {
			h.take(v)
		}
	}
	if !told {
		h.implants = moistheat.NotRecorded
	}
	h.packs = unite(h.packs)
	slices.Sort(h.traces)
	h.traces = slices.Compact(h.traces)
	h.unsound = h.unsound || h.bio == bioPositive && h.sound() != moistheat.Yes
	return &h
}

// agreedSite returns the site, where every version says the same: silence may be any.
func agreedSite(left []*occurrence) string {
	if slices.ContainsFunc(left, func(v *occurrence) bool { return v.site != left[0].site }) {
		return ""
	}
	return left[0].site
}

// agreed returns the kind of cycle, as far as no two versions differ about it.
func agreed(left []*occurrence) CycleSetting {
	out := left[0].cycle
	apart := CycleSetting{}
	for _, v := range left[1:] {
		switch a := v.cycle.AirRemoval; {
		case out.AirRemoval == "":
			out.AirRemoval = a
		case a != "" && a != out.AirRemoval:
			apart.AirRemoval = a
		}
		switch t := v.cycle.Temperature; {
		case !out.Temperature.IsValid():
			out.Temperature = t
		case t.IsValid() && t != out.Temperature:
			apart.Temperature = t
		}
	}
	if apart.AirRemoval != "" {
		out.AirRemoval = ""
	}
	if apart.Temperature.IsValid() {
		out.Temperature = units.Temperature{}
	}
	return out
}

// take takes up what another version says, for the worse where they differ.
func (h *occurrence) take(o *occurrence) {
	h.id, h.number, h.load = max(h.id, o.id), max(h.number, o.number), max(h.load, o.load)
	if o.date.Compare(h.date) > 0 {
		h.date = o.date
	}
	h.hold = longer(h.hold, o.hold)
	if !h.maxHold.IsValid() || o.maxHold.IsValid() && o.maxHold.Compare(h.maxHold) < 0 {
		h.maxHold = o.maxHold
	}
	switch {
	case o.bio > h.bio:
		h.bio, h.why = o.bio, o.why
	case o.bio == h.bio:
		if o.why.Compare(h.why) > 0 {
			h.why = o.why
		}
	}
	h.grew, h.read = earlier(h.grew, o.grew), later(h.read, o.read)
	h.passed, h.physical, h.chemical = max(h.passed, o.passed), max(h.physical, o.physical), max(h.chemical, o.chemical)
	h.chamber, h.drying = max(h.chamber, o.chamber), anyYes(h.drying, o.drying)
	h.lacks = (h.lacks | o.lacks) * min(h.lacks, o.lacks, 1) // none where anything else stands against one of them
	h.state, h.released, h.contrary = max(h.state, o.state), anyYes(h.released, o.released), h.contrary || o.contrary
	h.stops, h.unsound, h.rests = h.stops || o.stops, h.unsound || o.unsound, h.rests || o.rests
	h.urgent, h.readBy = h.urgent || o.urgent, later(h.readBy, o.readBy)
	h.signed = later(h.signed, o.signed)
	h.records = max(h.records, o.records)
	if o.newest.Compare(h.newest) > 0 {
		h.newest = o.newest
	}
	h.hollow = anyYes(h.hollow, o.hollow)
	h.detector, h.patients = max(h.detector, o.detector), anyYes(h.patients, o.patients)
	h.by, h.note = max(h.by, o.by), max(h.note, o.note)
	h.named, h.noted = h.named || o.named, h.noted || o.noted
	h.leak = longer(h.leak, o.leak)
	h.metrics = h.metrics.join(o.metrics)
}

// started returns the earliest and the latest time at which a version has the happening
// begin, and whether one of them leaves it open.
func (h *occurrence) started() (first, last time.Time, open bool) {
	h.some(ofStart, func(v *occurrence) bool {
		first, last = earlier(first, v.start), later(last, v.start)
		return false
	})
	open = h.some(ofStart, func(v *occurrence) bool { return v.start.IsZero() })
	return first, last, open
}

// ended returns the earliest and the latest time at which a version has it end.
func (h *occurrence) ended() (first, last time.Time) {
	h.some(ofEnd, func(v *occurrence) bool {
		if v.guessed&ofEnd == 0 || h.left == nil {
			first, last = earlier(first, v.end), later(last, v.end)
		}
		return false
	})
	if first.IsZero() {
		return h.end, h.end
	}
	return first, last
}

// over returns the earliest and the latest time at which it was over, by any version: what
// one of them has to guess is no less than what another says.
func (h *occurrence) over() (first, last time.Time) {
	h.some(ofEnd, func(v *occurrence) bool {
		first, last = earlier(first, v.end), later(last, later(v.start, v.end))
		return false
	})
	if first.IsZero() {
		return h.end, h.end
	}
	return first, last
}

// exact reports whether all versions that say when it began and ended say the same.
func (h *occurrence) exact() bool {
	h.look()
	if h.left == nil {
		return true
	}
	if slices.ContainsFunc(h.left, func(v *occurrence) bool { return v.doubted }) {
		return false
	}
	first, last := h.ended()
	if !first.Equal(last) {
		return false
	}
	return !h.some(ofStart, func(v *occurrence) bool {
		return v.guessed&ofStart == 0 && !v.start.Equal(h.start) && !v.start.IsZero()
	})
}

// numbers returns the numbers by which a load is called, each once.
func (h *occurrence) numbers() []string {
	out := []string{h.load, h.number}
	for _, v := range h.left {
		out = append(out, v.load, v.number)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// cycleNumbers returns the cycle numbers that versions give, each once. A test that lay in a load
// has none of its own.
func (h *occurrence) cycleNumbers() []string {
	if slices.ContainsFunc(h.lies(), func(l *occurrence) bool {
		return slices.ContainsFunc(l.cycleNumbers(), h.numbered)
	}) {
		return nil
	}
	if h.left == nil {
		return []string{h.number}
	}
	var out []string
	for _, v := range h.left {
		if v.number != "" {
			out = append(out, v.number)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// days returns the days that a label of the load may show; open: it may show any.
func (h *occurrence) days() (days []moistheat.Date, open bool) {
	h.some(ofStart, func(v *occurrence) bool {
		switch {
		case !v.start.IsZero():
			days = append(days, moistheat.DateOf(v.start), moistheat.DateOf(v.end))
		case !v.date.IsValid():
			open = true
		}
		if v.date.IsValid() {
			days = append(days, v.date)
		}
		return false
	})
	return days, open || len(days) == 0
}

// fact is what a version says of one thing, in words; empty: nothing.
type fact struct {
	name lang.Text
	text string
}

// facts returns what a version says, as far as two of them can contradict each other.
func (h *occurrence) facts() []fact {
	quantity := func(valid bool, s string) string {
		if !valid {
			return ""
		}
		return s
	}
	moment := func(t time.Time, guessed bool) string {
		if t.IsZero() || guessed {
			return ""
		}
		return t.UTC().Format(time.RFC3339Nano)
	}
	answer := func(a moistheat.Answer) string { return quantity(a != moistheat.NotRecorded, a.String()) }
	bio := ""
	switch h.bio {
	case bioGood, bioVoid, bioPositive:
		bio = h.bio.words().String()
	}
	ids := []string{}
	for _, p := range h.packs {
		ids = append(ids, strconv.Quote(p.id))
	}
	implants := ""
	if len(h.packs) > 0 {
		implants = answer(h.implants)
	}
	return []fact{
		{"fact: site", h.site}, {"fact: cycle number", h.number}, {"fact: load number", h.load},
		{"fact: day", quantity(h.date.IsValid(), h.date.String())},
		{"fact: start", moment(h.start, h.guessed&ofStart != 0)}, {"fact: end", moment(h.end, h.guessed&ofEnd != 0)},
		{"fact: air removal", string(h.cycle.AirRemoval)},
		{"fact: temperature", quantity(h.cycle.Temperature.IsValid(), h.cycle.Temperature.String())},
		{"fact: exposure time", quantity(h.hold.IsValid(), fmt.Sprint(h.hold.Float64(units.Second)))},
		{"fact: longest exposure", quantity(h.maxHold.IsValid(), fmt.Sprint(h.maxHold.Float64(units.Second)))},
		{"fact: biological test", bio}, {"fact: result", answer(h.passed)},
		{"fact: leak rate", quantity(h.leak.IsValid(), fmt.Sprint(h.leak.Float64(units.KilopascalPerMinute)))},
		{"fact: physical record", answer(h.physical)}, {"fact: chemical indicators", answer(h.chemical)},
		{"fact: chamber", string(h.chamber)}, {"fact: drying", answer(h.drying)},
		{"fact: patients", answer(h.patients)},
		{"fact: packs", strings.Join(ids, ", ")}, {"fact: implants", implants},
		{"fact: error found", h.upkeep.found()}, {"fact: due day", h.upkeep.dueDay()},
		{"fact: programs covered", h.upkeep.coverage(0)}, {"fact: load patterns covered", h.upkeep.coverage(1)},
		{"fact: records", string(h.records)}, {"fact: newest record", quantity(h.newest.IsValid(), h.newest.String())},
	}
}

// differing returns the names of what versions contradict each other about.
func differing(versions [][]fact) []string {
	var out []string
	for i := range versions[0] {
		text := ""
		for _, v := range versions {
			if v[i].text != "" && text != "" && v[i].text != text {
				out = append(out, lang.Term(v[i].name))
				break
			}
			text = cmp.Or(text, v[i].text)
		}
	}
	return out
}

// contradictory returns the names of what the lines about the happening contradict each
// other about.
func (h *occurrence) contradictory() []string {
	if len(h.left) < 2 {
		return nil
	}
	var all [][]fact
	for _, v := range h.left {
		all = append(all, v.facts())
	}
	return differing(all)
}

// covers reports whether a pointer points at a member or at what holds it.
func covers(pointer, member string) bool {
	return strings.HasPrefix(member, pointer) &&
		(pointer == "" || len(member) == len(pointer) || member[len(pointer)] == '/')
}

// related reports whether one of two pointers covers the other.
func related(a, b string) bool { return covers(a, b) || covers(b, a) }

// without returns what is left of a version when members of its line are taken back, or
// nil where nothing is. No trace is ever taken back.
func (h *occurrence) without(pointers []string) *occurrence {
	pointers = slices.DeleteFunc(slices.Clone(pointers), func(p string) bool {
		return h.traced && covers(p, "/cycle/trace")
	})
	base := ""
	if n := h.lines[0].test; n > 0 {
		base = "/monitors/tests/" + strconv.Itoa(n-1)
	}
	if slices.ContainsFunc(pointers, func(p string) bool { return covers(p, base) }) {
		return nil
	}
	own := *h
	own.packs = slices.Clone(h.packs)
	if slices.ContainsFunc(pointers, func(p string) bool {
		return covers(p, "/site/name") && h.kind == 0 || covers(p, "/site") && h.kind != 0 && base == ""
	}) {
		own.site = ""
	}
	gone := func(member string) bool {
		return slices.ContainsFunc(pointers, func(p string) bool { return covers(p, base+member) })
	}
	if gone("/passed") {
		own.passed = moistheat.NotRecorded
	}
	if gone("/leakRate") {
		own.leak = units.PressureRate{}
	}
	switch {
	case h.kind == 0:
		own.amendLoad(gone, pointers)
	case base == "":
		own.amendEvent(gone, pointers)
	}
	return &own
}

// against returns what is left of a version of which something was taken back while no
// line says what is right: w is what would be left of it then. What speaks against a load
// or a sterilizer stays as it was entered, what speaks for one is gone.
func (h *occurrence) against(w *occurrence) *occurrence {
	switch h.kind {
	case calendar.ReturnedEvent, calendar.ExplainedEvent, calendar.RetiredEvent:
		if w == nil || w.named != h.named || w.noted != h.noted {
			return w
		}
	}
	own := *h
	if w == nil {
		w, own.doubted = &occurrence{}, true
	}
	own.doubted = own.doubted || w.site != h.site || w.start != h.start || w.end != h.end || w.cycle != h.cycle ||
		w.hold != h.hold || w.maxHold != h.maxHold ||
		w.named != h.named
	if h.bio == bioGood && w.bio != bioGood {
		own.bios = slices.Clone(h.bios)
		for i := range own.bios {
			if own.bios[i].state == bioGood {
				own.bios[i] = bioClaim{own.bios[i].at, bioOpen,
					lang.Say("result-taken-back: its result was taken back, and no line says what is right"), own.bios[i].vial}
			}
		}
		own.bio, own.why = comeTo(own.bios)
	}
	if !slices.Equal(h.bios, w.bios) || h.date != w.date {
		own.bios = speechless(own.bios)
	}
	weaker := func(a, b moistheat.Answer, good moistheat.Answer) moistheat.Answer {
		if a == good {
			return b
		}
		return a
	}
	own.passed, own.physical = weaker(h.passed, w.passed, moistheat.Yes), weaker(h.physical, w.physical, moistheat.Yes)
	own.chemical, own.detector = weaker(h.chemical, w.chemical, moistheat.Yes), weaker(h.detector, w.detector,
		moistheat.Yes)
	own.patients, own.implants = weaker(h.patients, w.patients, moistheat.No), weaker(h.implants, w.implants,
		moistheat.No)
	if h.state == loadGood && w.state != loadGood {
		own.state, own.lacks = loadOpen, 0
		own.packs = slices.Clone(h.packs)
		for i := range own.packs {
			own.packs[i].state = max(own.packs[i].state, loadOpen)
			if own.packs[i].state == loadGood {
				own.packs[i].state = loadOpen
			}
		}
	}
	return &own
}

// happened returns the time before which nobody can take back what a version says at a
// pointer: that at which it was over; zero: it does not say when that was, or that is
// what is taken back.
func (h *occurrence) happened(pointer string) time.Time {
	switch pointer {
	case "/cycle/started", "/cycle/ended", "/unloading/time", "/load/date":
		return time.Time{}
	}
	if !h.end.IsZero() || !h.date.IsValid() {
		return h.end
	}
	return h.date.Time()
}

// answers reports whether a version says what is right where something is taken back from
// another: is and was are what the two say, left is what is left of the other.
func (h *occurrence) answers(taken *occurrence, is, was []fact, left remainder) bool {
	w := left.of
	if w == nil {
		for i, f := range was {
			switch f.name {
			case "fact: biological test", "fact: result", "fact: leak rate", "fact: physical record",
				"fact: chemical indicators":
				if f.text != "" && is[i].text == "" {
					return false
				}
			}
		}
		return true
	}
	for i, f := range left.facts {
		if f.text != was[i].text && is[i].text == "" {
			return false
		}
	}
	switch {
	case w.released != taken.released && h.released == moistheat.NotRecorded:
		return false
	case len(w.grounds) != len(taken.grounds):
		return h.physical != moistheat.NotRecorded
	}
	return true
}

// takeBack empties members that loads and events have.
func (h *occurrence) takeBack(gone func(string) bool, cycle string) {
	if gone(cycle + "/number") {
		h.number = ""
	}
	if gone(cycle + "/started") {
		h.start, h.taken = time.Time{}, h.taken|ofStart
	}
	if gone(cycle + "/settings/airRemoval") {
		h.cycle.AirRemoval, h.taken = "", h.taken|ofAirRemoval
	}
	if gone(cycle + "/settings/temperature") {
		h.cycle.Temperature, h.taken = units.Temperature{}, h.taken|ofTemperature
		h.metrics = metrics{}
	}
	if gone(cycle + "/settings/hold") {
		h.hold, h.taken = units.Duration{}, h.taken|ofHold
	}
}

// takeBackTests empties biological tests, which stand at the places that at names. Of a
// test of which anything else is taken back nobody can show that it counts.
func (h *occurrence) takeBackTests(gone func(string) bool, pointers []string, at func(int) string) {
	var left []bioClaim
	for _, b := range h.bios {
		switch {
		case gone(at(b.at)) || gone(at(b.at)+"/result"):
			continue
		case slices.ContainsFunc(pointers, func(p string) bool { return related(p, at(b.at)) }):
			b.vial = b.vial.speechless()
			if b.state == bioGood {
				b.state, b.why = bioOpen, lang.Say("record-part-taken-back: a part of its record was taken back")
			}
		}
		left = append(left, b)
	}
	if len(h.bios) > 0 && len(left) == 0 {
		h.taken |= ofBiological
	}
	h.bios = left
	h.bio, h.why = comeTo(left)
	h.unsound = h.unsound && h.bio == bioPositive
}

func (h *occurrence) amendEvent(gone func(string) bool, pointers []string) {
	h.takeBack(gone, "")
	if h.start.IsZero() { // the time of an event says when it was
		h.start, h.taken, h.guessed = h.end, h.taken&^ofStart, ofStart
	}
	h.takeBackTests(gone, pointers, func(int) string { return "/biological" })
	if gone("/physical") {
		h.physical = moistheat.NotRecorded
	}
	if gone("/chemical") {
		h.chemical = moistheat.NotRecorded
	}
	if gone("/chamber") {
		h.chamber = ""
	}
	if gone("/settings/drying") {
		h.drying = moistheat.NotRecorded
	}
	if gone("/patients") {
		h.patients = moistheat.NotRecorded
	}
	if gone("/by") {
		h.by, h.named = "", false
	}
	if gone("/note") {
		h.note, h.noted = "", false
	}
	if gone("/records") {
		h.records = ""
	}
	if gone("/newest") {
		h.newest = moistheat.Date{}
	}
	h.upkeep = h.upkeep.without(gone)
	h.unsound = h.bio == bioPositive && h.sound() != moistheat.Yes
}

func (h *occurrence) amendLoad(gone func(string) bool, pointers []string) {
	h.takeBack(gone, "/cycle")
	if gone("/cycle/ended") || h.guessed&ofEnd != 0 && gone("/unloading/time") {
		h.end, h.taken = time.Time{}, h.taken|ofEnd
	}
	if h.guessed&ofStart != 0 && h.end.IsZero() {
		h.start, h.taken = time.Time{}, h.taken|ofStart
	}
	h.takeBackTests(gone, pointers, func(i int) string { return "/monitors/biologicals/" + strconv.Itoa(i) })
	if gone("/load/number") {
		h.load = ""
	}
	if gone("/load/date") {
		h.date, h.bios = moistheat.Date{}, speechless(h.bios)
	}
	if gone("/sterilizer/airDetector") {
		h.detector = moistheat.NotRecorded
	}
	if gone("/release") || gone("/release/decision") {
		h.released, h.contrary, h.urgent = moistheat.NotRecorded, false, false
	}
	h.takeBackPacks(gone, pointers)
	h.takeBackGrounds(gone)
}

func (h *occurrence) takeBackPacks(gone func(string) bool, pointers []string) {
	before := len(h.packs)
	at := func(p packTrace) string { return "/packs/" + strconv.Itoa(p.at) }
	h.packs = slices.DeleteFunc(h.packs, func(p packTrace) bool {
		return gone("/packs") || p.at >= 0 && (gone(at(p)) || gone(at(p)+"/id"))
	})
	for i := range h.packs {
		p := &h.packs[i]
		if p.at >= 0 && gone(at(*p)+"/decision") {
			p.released = moistheat.NotRecorded
		}
		p.marks = slices.DeleteFunc(slices.Clone(p.marks), func(m mark) bool { return gone(m.at) })
		p.takeBackLimits(gone)
		items := at(*p) + "/items"
		if p.implant == moistheat.Yes && p.at >= 0 &&
			slices.ContainsFunc(pointers, func(q string) bool { return related(q, items) }) {
			p.implant = moistheat.NotRecorded
		}
	}
	if before > 0 {
		h.implants = implantsOf(h.packs)
		if len(h.packs) == 0 {
			h.taken |= ofPacks
		}
	}
}

// takeBackGrounds judges again a load against which less stands. That something was
// taken back shows nothing to be good: at best its evidence is wanting.
func (h *occurrence) takeBackGrounds(gone func(string) bool) {
	left := slices.DeleteFunc(slices.Clone(h.grounds), func(g ground) bool {
		return gone(g.pointer) || strings.HasPrefix(g.pointer, "/monitors/biologicals/") && gone(g.pointer+"/result")
	})
	if len(left) == len(h.grounds) {
		return
	}
	h.grounds, h.state, h.lacks, h.stops, h.contrary = left, loadOpen, 0, false, false
	for _, g := range left {
		h.state = max(h.state, stateFor(g.effect.Load))
		switch {
		case !strings.HasPrefix(g.pointer, "/packs/"):
			h.state = max(h.state, stateFor(g.effect.Pack))
		case g.effect.Pack >= moistheat.Quarantine:
			h.state = max(h.state, loadHeld)
		}
		h.stops = h.stops || g.stops
		h.contrary = h.contrary || h.released == moistheat.Yes && g.effect.Recall
	}
	h.contrary = h.contrary && h.state == loadBad
	for i := range h.packs {
		p := &h.packs[i]
		p.state = h.state
		for _, g := range left {
			if p.at < 0 || covers("/packs/"+strconv.Itoa(p.at), g.pointer) {
				p.state = max(p.state, stateFor(g.effect.Pack))
			}
		}
	}
	if h.physical == moistheat.No {
		h.physical = moistheat.NotRecorded
	}
	if h.chemical == moistheat.No {
		h.chemical = moistheat.NotRecorded
	}
}

// stateFor is what a load or pack is whose worst finding has an effect.
func stateFor(d moistheat.Disposition) loadState {
	switch {
	case d >= moistheat.Reject:
		return loadBad
	case d >= moistheat.Quarantine:
		return loadHeld
	}
	return loadOpen
}
