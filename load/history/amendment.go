package history

import (
	"cmp"
	"encoding/hex"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/load/internal/rules"
)

// AmendmentFormat is the value of an amendment's "format" member.
const AmendmentFormat = "moistheat.amendment/1"

// Amendment takes back what lines say: somebody signs that it was entered wrongly. What
// is right stands in a line of its own, about the same load or pack, or about an event of
// the same kind that has the same time or id. Until that line is there, what is taken back
// no longer speaks for a load or a sterilizer, and goes on to speak against it: nothing
// shows that it was not so.
//
// Of two amendments that take back the same thing from lines that contradict each other
// neither counts, so that the worse stays; one that names both lines does. Where amendments
// take back more than 1,000 things from one load, event or pack none of those counts. One that was
// signed before what it takes back had happened does not count, and in an answer as of an
// instant none that was signed later. [History.Findings] says of each whether it counts.
type Amendment struct {
	Format string    `json:"format"` // [AmendmentFormat]
	Time   time.Time `json:"time"`
	By     string    `json:"by" minLength:"1"`
	Why    string    `json:"why" minLength:"1"`
	Lines  []string  `json:"lines"` // [Entry.Digest] of each line amended
	Takes  []string  `json:"takes"` // JSON pointers to what is taken back; "" is the whole line
}

// DecodeAmendment reads one amendment, as strictly as [load.Decode] reads a record. It
// refuses one that takes back a trace, or what says which thing a line is about.
func DecodeAmendment(data []byte) (*Amendment, error) {
	a, err := strictjson.Read[Amendment](data, strictjson.Default(), AmendmentFormat)
	if err != nil {
		return nil, err
	}
	if err := a.sound(); err != nil {
		return nil, err
	}
	return a, nil
}

// Validate is to [DecodeAmendment] what [load.Record.Validate] is to [load.Decode].
func (a *Amendment) Validate() error {
	if err := strictjson.Validate(a, strictjson.Default(), AmendmentFormat); err != nil {
		return err
	}
	if err := a.sound(); err != nil {
		return err
	}
	return nil
}

// The members that may be taken back: of all lines, and of the cycle of a record. A trace
// is none of them, nor what says which thing a line is about.
var (
	amendable = [...]string{
		"load", "site", "water", "packs", "monitors", "unloading", "release", "waivers", // of records
		"started", "number", "passed", "leakRate", "biological", "physical", "chemical", "chamber", "settings",
		"patients", "records", "newest", "asFound", "due", "document", "by", "note", // of events
		"sterilized", "expires", "wrapped", "layers", "category", "vacuum", "contents", "barrier", "checked", "place",
		"temperature", "humidity", "aboveFloor", "underSprinkler", "atSink", "overSterilizer", "inSun", "dry", "intact",
		"dropped", "laidOut", "carried", "proof", "withUnsterile", "implant", "prionSuspected",
		"use", "fate", // of stored packs
	}
	amendableCycle = [...]string{"number", "purpose", "type", "code", "started", "ended", "settings", "printed",
		"aborted"}
)

// mayTake reports whether a pointer points at what may be taken back.
func mayTake(pointer string) bool {
	if pointer == "" || pointer == "/cycle" || pointer == "/sterilizer/airDetector" {
		return true
	}
	top, within, _ := strings.Cut(strings.TrimPrefix(pointer, "/"), "/")
	if top == "cycle" {
		member, _, _ := strings.Cut(within, "/")
		return strings.HasPrefix(pointer, "/cycle/") && slices.Contains(amendableCycle[:], member)
	}
	return strings.HasPrefix(pointer, "/") && slices.Contains(amendable[:], top)
}

// sound says what else keeps an amendment from being one: a line that is no digest, and a
// member that nobody can take back.
func (a *Amendment) sound() *moistheat.DocumentError {
	if len(a.Lines) == 0 {
		return a.refuse("/lines", "it names no line")
	}
	if len(a.Takes) == 0 {
		return a.refuse("/takes", "it takes nothing back")
	}
	for i, l := range a.Lines {
		if _, err := parseDigest(l); err != nil {
			return a.refuse(fmt.Sprintf("/lines/%d", i), "%.40q is no SHA-256 in lower case hexadecimal", l)
		}
	}
	for i, p := range a.Takes {
		if !mayTake(p) {
			return a.refuse(fmt.Sprintf("/takes/%d", i), "%.40q is no pointer to what may be taken back", p)
		}
	}
	return nil
}

// documents are those that a line may be.
func documents() []reflect.Type {
	return []reflect.Type{reflect.TypeFor[load.Record](), reflect.TypeFor[Event](), reflect.TypeFor[StoredPack](),
		reflect.TypeFor[cleaning.Batch]()}
}

// hasMember reports whether documents of a type may have a member at a pointer. A quantity
// is one member.
func hasMember(t reflect.Type, pointer string) bool {
	if pointer == "" {
		return true
	}
	name, rest, _ := strings.Cut(strings.TrimPrefix(pointer, "/"), "/")
	if rest != "" || strings.HasSuffix(pointer, "/") {
		rest = "/" + rest
	}
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch {
	case t.Kind() == reflect.Slice:
		_, err := strconv.ParseUint(name, 10, 31)
		return err == nil && (name == "0" || name[0] != '0') && hasMember(t.Elem(), rest)
	case t.Kind() != reflect.Struct:
		return false
	}
	for _, f := range reflect.VisibleFields(t) {
		if tag, _, _ := strings.Cut(f.Tag.Get("json"), ","); f.IsExported() && tag == name && tag != "-" {
			return hasMember(f.Type, rest)
		}
	}
	return false
}

func (a *Amendment) refuse(at, format string, args ...any) *moistheat.DocumentError {
	return &moistheat.DocumentError{
		Format: AmendmentFormat, Kind: moistheat.ErrShape, Pointer: at, Problem: fmt.Sprintf(format, args...),
	}
}

func parseDigest(s string) (digest, error) {
	var d digest
	if len(s) != 2*len(d) || strings.ContainsAny(s, "ABCDEF") {
		return d, moistheat.ErrInvalid
	}
	_, err := hex.Decode(d[:], []byte(s))
	return d, err
}

// String returns the sentence for a person.
func (a *Amendment) String() string {
	if a == nil {
		return ""
	}
	return a.words().String()
}

func (a *Amendment) words() moistheat.Detail {
	var takes []moistheat.Detail
	for _, p := range a.Takes {
		take := lang.Data(p)
		if p == "" {
			take = lang.Say("the-whole-line: the whole line")
		}
		takes = append(takes, take)
	}
	return lang.With("amendment-took: {1} took back {2:text} on {3:date}: {4}", lang.Data(a.By), lang.Join(", ", takes...),
		lang.Data(a.Time.Format(stamp)), lang.Data(strings.TrimSuffix(a.Why, ".")+"."))
}

// amendments are those of a history, each once, and by the lines that they name. A nil
// one is empty.
type amendments struct {
	all map[digest]*Amendment
	of  map[digest][]digest
}

func (as *amendments) none() bool { return as == nil || len(as.all) == 0 }

// add takes in an amendment and reports whether it is new. One that nobody signed, with
// a time and a reason, is none.
func (as *amendments) add(a *Amendment) bool {
	own := *a
	own.Format = AmendmentFormat
	own.Lines, own.Takes = slices.Clone(a.Lines), slices.Clone(a.Takes)
	if own.Time.IsZero() || strings.TrimSpace(own.By) == "" || strings.TrimSpace(own.Why) == "" || own.sound() != nil {
		return false
	}
	d := own.digest()
	if as.all[d] != nil {
		return false
	}
	if as.all == nil {
		as.all, as.of = map[digest]*Amendment{}, map[digest][]digest{}
	}
	as.all[d] = &own
	for _, l := range own.Lines {
		line, _ := parseDigest(l)
		if of := as.of[line]; len(of) == 0 || of[len(of)-1] != d { // it may name a line twice
			as.of[line] = append(of, d)
		}
	}
	return true
}

func (a *Amendment) digest() digest {
	return digestOf(*a, func() string { return fmt.Sprintf("%+v", *a) })
}

// sorted returns the amendments by time and text.
func (as *amendments) sorted() []*Amendment {
	if as == nil {
		return nil
	}
	text := map[*Amendment]string{}
	for _, a := range as.all {
		text[a] = fmt.Sprintf("%q", *a)
	}
	return slices.SortedFunc(maps.Keys(text), func(a, b *Amendment) int {
		return cmp.Or(compareTimes(a.Time, b.Time), strings.Compare(text[a], text[b]))
	})
}

// fate is what becomes of a taking; of several of one amendment the last in this list is
// told. All but the first two leave it without effect.
type fate uint8

const (
	answered     fate = iota // another line says what is right
	unanswered               // none does: what speaks against stays
	early                    // it was signed before what it takes back had happened
	contradicted             // another amendment takes back the contrary
	foreign                  // a line of that sort has no such member
	crowded                  // of the thing more is taken back than is weighed
)

// mostTakings are those that are weighed of one thing, as each is held against each. Where
// there are more none counts, so that what was entered stands, and a finding says so.
const mostTakings = 1000

// taking is one thing that one amendment takes back from one version.
type taking struct {
	by      digest
	line    said
	pointer string
	version int
	fate    fate
}

// counts reports whether a taking has an effect.
func (t taking) counts() bool { return t.fate <= unanswered }

// claims are the versions of one thing, as amendments see them.
type claims struct {
	lines  [][]said                              // of each version
	kind   reflect.Type                          // of the documents
	signed func(i int, pointer string) time.Time // before which nobody can take it back; zero: never
	differ func(i, j int, pointer string) bool   // two versions say different things there
	right  func(i, j int, pointer string) bool   // version j says what is to stand in its place
	others int                                   // versions of other things that may say what is right, from here on
}

// spot is a place in a version.
type spot struct {
	version int
	pointer string
}

// takings returns what amendments take back from versions, and what becomes of each.
func (as *amendments) takings(c claims) []taking {
	if as.none() {
		return nil
	}
	var all []taking
	known := map[string]bool{} // pointers to members that there are
	for i, of := range c.lines[:c.others] {
		for _, l := range of {
			for _, d := range as.of[l.line] {
				for _, p := range as.all[d].Takes {
					if len(all) == mostTakings {
						return as.crowd(c)
					}
					is, asked := known[p]
					if !asked {
						is = hasMember(c.kind, p)
						known[p] = is
					}
					t := taking{by: d, line: l, pointer: p, version: i}
					switch {
					case !is:
						t.fate = foreign
					case as.all[d].Time.Before(c.signed(i, p)):
						t.fate = early
					}
					all = append(all, t)
				}
			}
		}
	}
	if slices.ContainsFunc(all, func(t taking) bool { return t.version != all[0].version }) {
		as.contradict(all, c)
	}
	as.answer(all, c)
	return all
}

// crowd returns one taking of each amendment, of a thing of which too much is taken back.
func (as *amendments) crowd(c claims) (all []taking) {
	seen := map[digest]bool{}
	for i, of := range c.lines[:c.others] {
		for _, l := range of {
			for _, d := range as.of[l.line] {
				if !seen[d] {
					seen[d], all = true, append(all, taking{by: d, line: l, version: i, fate: crowded})
				}
			}
		}
	}
	return all
}

// contradict finds amendments that take back the same thing from versions that contradict
// each other, of which neither names both lines.
func (as *amendments) contradict(all []taking, c claims) {
	type naming struct{ by, line digest }
	names := map[naming]bool{}
	for _, t := range all {
		names[naming{t.by, t.line.line}] = true
	}
	for i, a := range all {
		if a.counts() && slices.ContainsFunc(all, func(b taking) bool {
			deeper := a.pointer
			if len(b.pointer) > len(deeper) {
				deeper = b.pointer
			}
			return a.version != b.version && a.by != b.by && (b.counts() || b.fate == contradicted) &&
				related(a.pointer, b.pointer) && !names[naming{a.by, b.line.line}] && !names[naming{b.by, a.line.line}] &&
				c.differ(a.version, b.version, deeper)
		}) {
			all[i].fate = contradicted
		}
	}
}

// answer finds what no other line answers: one of which nothing of the kind is taken back,
// and that says what is right.
func (as *amendments) answer(all []taking, c claims) {
	taken := map[said][]string{} // pointers
	for _, t := range all {
		if t.counts() {
			taken[t.line] = append(taken[t.line], t.pointer)
		}
	}
	answered := func(t spot) bool {
		for j, lines := range c.lines {
			whole := func(l said) bool { // nothing about it is taken back
				if j >= c.others {
					return as.spares(l)
				}
				return !slices.ContainsFunc(taken[l], func(p string) bool { return related(p, t.pointer) })
			}
			if j != t.version && slices.ContainsFunc(lines, whole) && c.right(t.version, j, t.pointer) {
				return true
			}
		}
		return false
	}
	found := map[spot]bool{}
	for i, t := range all {
		if !t.counts() {
			continue
		}
		at := spot{t.version, t.pointer}
		is, asked := found[at]
		if !asked {
			is = answered(at)
			found[at] = is
		}
		if !is {
			all[i].fate = unanswered
		}
	}
}

// claimsOf returns the versions of a happening, with those of others that may stand in
// its place.
func claimsOf(all, others []*occurrence) claims {
	both := slices.Concat(all, others)
	c := claims{kind: reflect.TypeFor[load.Record](), others: len(all)}
	for _, v := range both {
		c.lines = append(c.lines, v.lines)
	}
	if all[0].kind != 0 && all[0].lines[0].test == 0 {
		c.kind = reflect.TypeFor[Event]()
	}
	c.signed = func(i int, pointer string) time.Time { return both[i].happened(pointer) }
	said := map[int][]fact{}
	facts := func(i int) []fact {
		if said[i] == nil {
			said[i] = both[i].facts()
		}
		return said[i]
	}
	left := map[spot]remainder{}
	without := func(i int, pointer string) remainder {
		r, found := left[spot{i, pointer}]
		if !found {
			r.of = both[i].without([]string{pointer})
			if r.of != nil {
				r.facts = r.of.facts()
			}
			left[spot{i, pointer}] = r
		}
		return r
	}
	c.differ = func(i, j int, pointer string) bool {
		return differAt(facts(i), facts(j), without(i, pointer), without(j, pointer))
	}
	c.right = func(i, j int, pointer string) bool {
		return both[j].answers(both[i], facts(j), facts(i), without(i, pointer))
	}
	return c
}

// leave returns what is left of versions, and whether anything was taken back. What
// others say, of the same kind and id, may stand in its place.
func (as *amendments) leave(all, others []*occurrence) (left []*occurrence, amended, open bool) {
	if as.none() {
		return all, false, false
	}
	takings := slices.DeleteFunc(as.takings(claimsOf(all, others)), func(t taking) bool { return !t.counts() })
	if len(takings) == 0 {
		return all, false, false
	}
	type place struct {
		version int
		line    said
	}
	taken, waiting := map[place][]string{}, map[place][]string{}
	for _, t := range takings {
		at := place{t.version, t.line}
		taken[at] = append(taken[at], t.pointer)
		if t.fate == unanswered {
			waiting[at] = append(waiting[at], t.pointer)
		}
	}
	for i, v := range all {
		whole := false // a line says it of which nothing is taken back
		for _, l := range v.lines {
			pointers, wait := once(taken[place{i, l}]), once(waiting[place{i, l}])
			if len(pointers) == 0 {
				if !whole {
					whole, left = true, append(left, v)
				}
				continue
			}
			own := *v
			own.lines = []said{l}
			w := own.without(pointers)
			if len(wait) > 0 {
				open = true
				pointers = slices.DeleteFunc(pointers, func(p string) bool { return slices.Contains(wait, p) })
				if rest := own.without(pointers); rest != nil {
					w = rest.against(w)
				}
			}
			if w != nil {
				left = append(left, w)
			}
		}
	}
	return left, true, open
}

// once returns pointers, each once.
func once(pointers []string) []string {
	slices.Sort(pointers)
	return slices.Compact(pointers)
}

// remainder is what is left of a version when one thing is taken back, nil where nothing
// is, and what that says.
type remainder struct {
	of    *occurrence
	facts []fact
}

// differAt reports whether two versions say different things where one thing is taken back
// from each.
func differAt(a, b []fact, ofA, ofB remainder) bool {
	taken := func(all []fact, left remainder, i int) string {
		if left.of != nil && left.facts[i].text == all[i].text {
			return ""
		}
		return all[i].text
	}
	for i := range a {
		x, y := taken(a, ofA, i), taken(b, ofB, i)
		if x != "" && y != "" && x != y {
			return true
		}
	}
	return false
}

// AddAmendment takes in an amendment. One without time, person or reason, or of which a
// document could not be made, as with a pointer to nothing, is an error and has no effect.
func (h *History) AddAmendment(a *Amendment) error {
	if h == nil || a == nil {
		return nil
	}
	own := *a
	own.Format = AmendmentFormat
	if err := own.Validate(); err != nil {
		return err
	}
	for i, p := range own.Takes {
		if !slices.ContainsFunc(documents(), func(t reflect.Type) bool { return hasMember(t, p) }) {
			return own.refuse(fmt.Sprintf("/takes/%d", i), "no line has a member %.80q", p)
		}
	}
	if strings.TrimSpace(own.By) == "" || strings.TrimSpace(own.Why) == "" {
		return own.refuse("", "it says neither by whom nor why")
	}
	h.amend(&own)
	return nil
}

// amend takes in amendments. The lines that they name are judged again when an answer is asked for.
func (h *History) amend(all ...*Amendment) {
	if h.amended == nil {
		h.amended = &amendments{}
		for _, u := range h.sterilizers {
			u.amended = h.amended
		}
	}
	if h.devices != nil {
		h.devices.amend(all...)
	}
	for _, a := range all {
		if !h.amended.add(a) {
			continue
		}
		if h.unread = true; h.named == nil {
			h.named = map[digest]bool{}
		}
		for _, l := range a.Lines {
			line, _ := parseDigest(l)
			h.named[line] = true
		}
	}
}

// asEntered returns the history without its amendments, or nil where it has none that
// changes anything.
func (h *History) asEntered() *History {
	if h == nil || h.amended.none() {
		return nil
	}
	return h.under(nil)
}

// asOf returns the history with the amendments that were signed by an instant, and the
// others.
func (h *History) asOf(at time.Time) (*History, []*Amendment) {
	if h == nil || h.amended == nil {
		return h, nil
	}
	all := h.amended.sorted()
	n := slices.IndexFunc(all, func(a *Amendment) bool { return a.Time.After(at) })
	if n < 0 {
		return h, nil
	}
	return h.under(all[:n]), all[n:]
}

// under returns the history with some of its amendments.
func (h *History) under(some []*Amendment) *History {
	own := New(h.policy)
	own.amend(some...)
	if h.devices != nil {
		own.devices = h.devices.under(some)
	}
	for id, u := range h.units() {
		o := own.unit(id)
		for _, in := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
			for _, e := range in {
				o.put(e)
			}
		}
	}
	for k, s := range h.stored() {
		own.shelf[k] = own.shelve(s.said)
	}
	own.batches, own.listed = h.batches, h.listed
	return own
}

// mostSentences are those about amendments that one answer lists; the others are counted.
const mostSentences = 100

// amendmentsOf returns the sentences about the amendments of each sterilizer: those that
// name a line about it, and, where packs count, those that name one about a stored pack.
func (h *History) amendmentsOf(packs bool) map[string][]moistheat.Detail {
	about := map[digest][]string{} // sterilizers
	for id, u := range h.units() {
		for _, in := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
			for _, e := range in {
				for _, v := range e.each() {
					for _, l := range v.lines {
						if of := about[l.line]; len(of) == 0 || of[len(of)-1] != id {
							about[l.line] = append(of, id)
						}
					}
				}
			}
		}
	}
	stored := map[digest]bool{}
	if packs {
		for _, s := range h.stored() {
			for _, v := range s.said {
				stored[v.line] = true
			}
		}
	}
	all := h.amended.sorted()
	own, every := map[string][]int{}, []int(nil) // places in all
	for i, a := range all {
		of, any := map[string]bool{}, false
		for _, l := range a.Lines {
			d, _ := parseDigest(l)
			any = any || stored[d]
			for _, id := range about[d] {
				of[id] = true
			}
		}
		if any {
			every = append(every, i)
			continue
		}
		for id := range of {
			own[id] = append(own[id], i)
		}
	}
	out, text := map[string][]moistheat.Detail{}, map[int]moistheat.Detail{}
	for id := range h.units() {
		n := len(own[id]) + len(every)
		listed := slices.Concat(own[id][:min(len(own[id]), mostSentences)], every[:min(len(every), mostSentences)])
		slices.Sort(listed)
		for _, i := range listed[:min(n, mostSentences)] {
			if !text[i].IsValid() {
				text[i] = all[i].words()
			}
			out[id] = append(out[id], text[i])
		}
		if n > mostSentences {
			out[id] = append(out[id], lang.Say("more-amendments: Amendments beside these: {1:number}.",
				strconv.Itoa(n-mostSentences)))
		}
	}
	return out
}

// Line is a line that a history holds, for whoever looks for a line to amend.
type Line struct {
	Digest     string // that [Amendment].Lines names, as [Entry.Digest]
	Pointer    string // as findings point to what it is about
	Sterilizer string
	Time       time.Time // when it was; zero: the line does not say
	What       string    // for a person

	what moistheat.Detail // which What says in the language
	in   moistheat.Language
}

// Lines returns every line that a history holds, taken in or loaded, but amendments: by
// sterilizer, time and digest, packs last.
func (h *History) Lines() []Line {
	h = cmp.Or(h, &History{})
	seen := map[string]Line{} // by digest; an event may carry the result of another kind, too
	if h.devices != nil {
		for _, l := range h.devices.Lines() {
			l.Pointer = strings.Replace(l.Pointer, "/sterilizers/", "/devices/", 1)
			l.what, l.Sterilizer = lang.Join(", ", l.what, lang.Data(prose.Name(l.Sterilizer))), ""
			l.What = l.what.String()
			seen[l.Digest] = l
		}
	}
	for id, u := range h.units() {
		for _, in := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
			for _, e := range in {
				for _, v := range e.each() {
					for _, l := range v.lines {
						d := l.line.String()
						what := v.name(nil)
						if old, is := seen[d]; l.test == 0 && (!is || what.String() < old.What) {
							seen[d] = Line{Digest: d, Pointer: v.pointerIn(id), Sterilizer: id, Time: v.end,
								What: what.String(), what: what}
						}
					}
				}
			}
		}
	}
	for _, s := range h.stored() {
		for _, v := range s.said {
			line := Line{Digest: v.line.String(), Pointer: "/packs/" + guard.Escape(v.Pack),
				Sterilizer: v.Sterilizer, what: lang.Say("the-pack: pack {1}", prose.Name(v.Pack))}
			if v.Use != nil {
				line.Time, line.what = v.Use.Time, lang.Say("the-used-pack: pack {1}, used", prose.Name(v.Pack))
			}
			line.What = line.what.String()
			seen[line.Digest] = line
		}
	}
	for l, b := range h.everyBatch {
		what := lang.Say("the-cleaning-batch: batch of cleaning {1}", prose.Name(b.ID))
		seen[l.String()] = Line{Digest: l.String(), Pointer: "/cleaning/" + guard.Escape(b.ID), Time: b.Ended,
			What: what.String(), what: what}
	}
	return slices.SortedFunc(maps.Values(seen), func(a, b Line) int {
		pack := func(l Line) int { return strings.Index(l.Pointer, "/packs/") }
		return cmp.Or(cmp.Compare(pack(a), pack(b)), cmp.Compare(a.Sterilizer, b.Sterilizer), a.Time.Compare(b.Time),
			cmp.Compare(a.Digest, b.Digest))
	})
}

// contradictions adds findings about lines that contradict each other.
func (h *History) contradictions(c *ask.List) {
	from := len(c.Findings)
	for _, id := range h.Sterilizers() {
		if n := len(h.units()[id].sites()); n > 1 {
			what := lang.Data(lang.Term("fact: site"))
			if n > mostSites {
				what = lang.Say("too-many-sites: site, of which there are more than {1:number}, so that no line shows "+
					"anything to be good", strconv.Itoa(mostSites))
			}
			c.Ask(rules.HistoryContradictory, "/sterilizers/"+guard.Escape(id)).Say("what", what).Broken()
		}
		for _, e := range slices.SortedFunc(maps.Values(h.units()[id].all), before) {
			if what := e.contradictory(); len(what) > 0 {
				c.Ask(rules.HistoryContradictory, e.pointerIn(id)).With("what", strings.Join(what, ", ")).Broken()
			}
		}
	}
	for u, machine := range h.everyUnit {
		if !strings.HasPrefix(machine, "/devices/") {
			continue
		}
		for _, e := range slices.SortedFunc(maps.Values(u.all), before) {
			if what := e.contradictory(); len(what) > 0 {
				c.Ask(rules.HistoryContradictory, e.pointerOr(machine)).With("what", strings.Join(what, ", ")).Broken()
			}
		}
	}
	for _, key := range h.packs() {
		s := h.stored()[key]
		if what := s.contradictory(); len(what) > 0 {
			c.Ask(rules.HistoryContradictory, "/packs/"+guard.Escape(s.Pack)).With("what", strings.Join(what,
				", ")).Broken()
		}
	}
	rest(c, from, "", len(h.sterilizers)+len(h.shelf) > 0, rules.HistoryContradictory)
}

// pointerIn is [occurrence.pointer], or that of its sterilizer where it has no id.
func (h *occurrence) pointerIn(sterilizer string) string {
	return h.pointerOr("/sterilizers/" + guard.Escape(sterilizer))
}

// pointerOr is [occurrence.pointer], or another one where it has no id.
func (h *occurrence) pointerOr(machine string) string {
	if h.id == "" {
		return machine
	}
	return h.pointer()
}

// amendedFindings says of each amendment whether it counts for the lines that it names;
// later ones were signed after the instant that is asked.
func (h *History) amendedFindings(c *ask.List, at time.Time, later []*Amendment) {
	from := len(c.Findings)
	where := map[digest]string{} // where each line is pointed at
	fates := map[digest]map[string]fate{}
	took := func(pointer string, takings []taking) {
		for _, t := range takings {
			of := fates[t.by]
			if of == nil {
				of = map[string]fate{}
				fates[t.by] = of
			}
			of[pointer] = max(of[pointer], t.fate)
		}
	}
	for u, name := range h.everyUnit {
		ids := u.ids()
		for _, in := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
			for k, e := range in {
				all := e.each()
				for _, v := range all {
					for _, l := range v.lines {
						if l.test == 0 { // else the record's own load has the line, too
							where[l.line] = v.pointerOr(name)
						}
					}
				}
				if all[0].lines[0].test == 0 {
					took(all[0].pointerOr(name), h.amended.takings(claimsOf(all, ids.others(h.amended, k, all))))
				}
			}
		}
	}
	for _, key := range h.packs() {
		s := h.stored()[key]
		pointer := "/packs/" + guard.Escape(s.Pack)
		for _, v := range s.said {
			where[v.line] = pointer
		}
		took(pointer, h.amended.takings(claimsOfStored(s.said)))
	}
	h.batchLines(where, took)
	for _, a := range h.amended.sorted() {
		by := a.digest()
		pointers := map[string]bool{}
		for _, l := range a.Lines {
			d, _ := parseDigest(l)
			pointers[where[d]] = true // "" where the line is not here
		}
		for _, pointer := range slices.Sorted(maps.Keys(pointers)) {
			q := c.Ask(rules.HistoryAmended, pointer).Say("amendment", a.words())
			switch f := fates[by][pointer]; {
			case pointer == "":
				q.Say("why", lang.Say("amended-line-absent: the line that it names is not here, so it changes nothing")).
					Open(moistheat.Unrecorded)
			case f == unanswered:
				q.Say("why", f.words()).Open(moistheat.Unrecorded)
			default:
				q.Say("why", f.words()).BrokenIf(f != answered)
			}
		}
	}
	for _, a := range later {
		c.Ask(rules.HistoryAmended, "").Say("amendment", a.words()).
			Say("why", lang.Say("amendment-later: it was signed after {1:date}, as of which this is asked", at.Format(stamp))).
			Open(moistheat.NotYet)
	}
	rest(c, from, "", false, rules.HistoryAmended)
}

// names reports whether an amendment names a line of a version.
func (as *amendments) names(v *occurrence) bool {
	return slices.ContainsFunc(v.lines, func(l said) bool { return !as.spares(l) })
}

// spares reports whether no amendment names a line.
func (as *amendments) spares(l said) bool { return len(as.of[l.line]) == 0 }
