package history

import (
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load/internal/rules"
)

// AmendmentFormat is the value of an amendment's "format" member.
const AmendmentFormat = "moistheat.amendment/1"

// Amendment takes back what lines say: somebody signs that it was entered wrongly. What
// is right stands in a line of its own. Of two amendments that take back the same thing
// from lines that contradict each other neither counts, so that the worse stays; one
// that names both lines does.
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
		"patients", "records", "newest", "by", "note", // of events
		"sterilized", "expires", "wrapped", "layers", "category", "vacuum", "contents", "barrier", "checked", "place",
		"temperature", "humidity", "aboveFloor", "underSprinkler", "atSink", "overSterilizer", "inSun", "dry", "intact",
		"dropped", "laidOut", "carried", "proof", "withUnsterile", "implant", "use", // of stored packs
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
	refuse := func(at, format string, args ...any) *moistheat.DocumentError {
		return &moistheat.DocumentError{
			Format: AmendmentFormat, Kind: moistheat.ErrShape, Pointer: at, Problem: fmt.Sprintf(format, args...),
		}
	}
	if len(a.Lines) == 0 {
		return refuse("/lines", "it names no line")
	}
	if len(a.Takes) == 0 {
		return refuse("/takes", "it takes nothing back")
	}
	for i, l := range a.Lines {
		if _, err := parseDigest(l); err != nil {
			return refuse(fmt.Sprintf("/lines/%d", i), "%.40q is no SHA-256 in lower case hexadecimal", l)
		}
	}
	for i, p := range a.Takes {
		if !mayTake(p) {
			return refuse(fmt.Sprintf("/takes/%d", i), "%.40q is no pointer to what may be taken back", p)
		}
	}
	return nil
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
	var takes []string
	for _, p := range a.Takes {
		if p == "" {
			p = "the whole line"
		}
		takes = append(takes, p)
	}
	why := strings.TrimSuffix(a.Why, ".") + "."
	return fmt.Sprintf("%s took back %s on %s: %s", a.By, strings.Join(takes, ", "), a.Time.Format(stamp), why)
}

// amendments are those of a history, each once, and by the lines that they name. A nil
// one is empty.
type amendments struct {
	all map[digest]*Amendment
	of  map[digest][]digest
}

// add takes in an amendment and reports whether it is new. One that nobody signed, with
// a time and a reason, is none.
func (as *amendments) add(a *Amendment) bool {
	own := *a
	own.Format = AmendmentFormat
	own.Lines, own.Takes = slices.Clone(a.Lines), slices.Clone(a.Takes)
	if own.Time.IsZero() || strings.TrimSpace(own.By) == "" || strings.TrimSpace(own.Why) == "" || own.sound() != nil {
		return false
	}
	d := digestOf(own, func() string { return fmt.Sprintf("%+v", own) })
	if as.all[d] != nil {
		return false
	}
	if as.all == nil {
		as.all, as.of = map[digest]*Amendment{}, map[digest][]digest{}
	}
	as.all[d] = &own
	for _, l := range own.Lines {
		line, _ := parseDigest(l)
		if !slices.Contains(as.of[line], d) {
			as.of[line] = append(as.of[line], d)
		}
	}
	return true
}

// sorted returns the amendments by time and text.
func (as *amendments) sorted() []*Amendment {
	if as == nil {
		return nil
	}
	return slices.SortedFunc(maps.Values(as.all), func(a, b *Amendment) int {
		if c := compareTimes(a.Time, b.Time); c != 0 {
			return c
		}
		return strings.Compare(fmt.Sprintf("%q", *a), fmt.Sprintf("%q", *b))
	})
}

// taking is one thing that one amendment takes back from one version.
type taking struct {
	by      digest
	line    said
	pointer string
	version int
}

// of returns what amendments take back from versions. differ says whether two of them
// say different things at a pointer.
func (as *amendments) takings(lines [][]said, differ func(i, j int, pointer string) bool) []taking {
	if as == nil || len(as.all) == 0 {
		return nil
	}
	var all []taking
	for i, of := range lines {
		for _, l := range of {
			for _, d := range as.of[l.line] {
				for _, p := range as.all[d].Takes {
					all = append(all, taking{d, l, p, i})
				}
			}
		}
	}
	return slices.DeleteFunc(slices.Clone(all), func(a taking) bool {
		return slices.ContainsFunc(all, func(b taking) bool {
			deeper := a.pointer
			if len(b.pointer) > len(deeper) {
				deeper = b.pointer
			}
			return a.by != b.by && a.version != b.version && related(a.pointer, b.pointer) &&
				!slices.Contains(as.of[b.line.line], a.by) && !slices.Contains(as.of[a.line.line], b.by) &&
				differ(a.version, b.version, deeper)
		})
	})
}

// leave returns what is left of versions, and whether anything was taken back.
func (as *amendments) leave(all []*occurrence) (left []*occurrence, amended bool) {
	lines := make([][]said, len(all))
	if as != nil && len(as.all) > 0 {
		for i, v := range all {
			lines[i] = v.lines
		}
	}
	takings := as.takings(lines, func(i, j int, pointer string) bool { return differAt(all[i], all[j], pointer) })
	if len(takings) == 0 {
		return all, false
	}
	for i, v := range all {
		whole := false // a line says it of which nothing is taken back
		for _, l := range v.lines {
			var pointers []string
			for _, t := range takings {
				if t.version == i && t.line == l {
					pointers = append(pointers, t.pointer)
				}
			}
			if len(pointers) == 0 {
				if !whole {
					whole, left = true, append(left, v)
				}
				continue
			}
			own := *v
			own.lines = []said{l}
			if w := own.without(pointers); w != nil {
				left = append(left, w)
			}
		}
	}
	return left, true
}

// differAt reports whether two versions say different things at a pointer.
func differAt(a, b *occurrence, pointer string) bool {
	at := func(v *occurrence) []fact {
		all := v.facts()
		if w := v.without([]string{pointer}); w != nil {
			for i, f := range w.facts() {
				if f.text == all[i].text {
					all[i].text = ""
				}
			}
		}
		return all
	}
	return len(differing([][]fact{at(a), at(b)})) > 0
}

// AddAmendment takes in an amendment. One without time, person or reason, or of which a
// document could not be made, has no effect.
func (h *History) AddAmendment(a *Amendment) {
	if h != nil && a != nil {
		h.amend(a)
	}
}

// amend takes in amendments and judges again the lines that they name.
func (h *History) amend(all ...*Amendment) {
	if h.amended == nil {
		h.amended = &amendments{}
		for _, u := range h.sterilizers {
			u.amended = h.amended
		}
	}
	named := map[digest]bool{}
	for _, a := range all {
		if h.amended.add(a) {
			for _, l := range a.Lines {
				line, _ := parseDigest(l)
				named[line] = true
			}
		}
	}
	if len(named) == 0 {
		return
	}
	for _, u := range h.sterilizers {
		for _, in := range []map[occurrenceKey]*occurrence{maps.Clone(u.all), u.gone} {
			for k, e := range maps.Clone(in) {
				if slices.ContainsFunc(e.each(), func(v *occurrence) bool {
					return slices.ContainsFunc(v.lines, func(l said) bool { return named[l.line] })
				}) {
					u.settle(k, e.each())
				}
			}
		}
	}
	for k, s := range h.shelf {
		if slices.ContainsFunc(s.said, func(v storedVersion) bool { return named[v.line] }) {
			h.shelf[k] = h.shelve(s.said)
		}
	}
}

// asEntered returns the history without its amendments, or nil where it has none that
// changes anything.
func (h *History) asEntered() *History {
	if h == nil || h.amended == nil || len(h.amended.all) == 0 {
		return nil
	}
	own := New(h.policy)
	for id, u := range h.sterilizers {
		o := own.unit(id)
		for _, in := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
			for k, e := range in {
				o.settle(k, e.each())
			}
		}
	}
	for k, s := range h.shelf {
		own.shelf[k] = own.shelve(s.said)
	}
	return own
}

// amendmentsOf returns the sentences about the amendments of a sterilizer: those that
// name a line about it, or about a stored pack.
func (h *History) amendmentsOf(id string) []string {
	lines := map[digest]bool{}
	if u := h.sterilizers[id]; u != nil {
		for _, in := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
			for _, e := range in {
				for _, v := range e.each() {
					for _, l := range v.lines {
						lines[l.line] = true
					}
				}
			}
		}
	}
	for _, s := range h.shelf {
		for _, v := range s.said {
			lines[v.line] = true
		}
	}
	var out []string
	for _, a := range h.amended.sorted() {
		if slices.ContainsFunc(a.Lines, func(l string) bool { d, _ := parseDigest(l); return lines[d] }) {
			out = append(out, a.String())
		}
	}
	return out
}

// contradictions adds findings about lines that contradict each other and about what was
// taken back.
func (h *History) contradictions(c *ask.List) {
	from := len(c.Findings)
	lines := map[digest]string{} // where each line is pointed at
	for _, id := range h.Sterilizers() {
		u := h.sterilizers[id]
		for _, e := range slices.SortedFunc(maps.Values(u.all), before) {
			if what := e.contradictory(); len(what) > 0 {
				at := e.pointer()
				if e.id == "" {
					at = "/sterilizers/" + guard.Escape(id)
				}
				c.Ask(rules.HistoryContradictory, at).With("what", strings.Join(what, ", ")).Broken()
			}
		}
		if h.amended == nil {
			continue
		}
		for _, in := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
			for _, e := range in {
				for _, v := range e.each() {
					for _, l := range v.lines {
						if l.test > 0 {
							continue // the record's own load has the line, too
						}
						lines[l.line] = v.pointer()
						if v.id == "" {
							lines[l.line] = "/sterilizers/" + guard.Escape(id)
						}
					}
				}
			}
		}
	}
	for _, key := range h.packs() {
		s := h.shelf[key]
		at := "/packs/" + guard.Escape(s.Pack)
		if what := s.contradictory(); len(what) > 0 {
			c.Ask(rules.HistoryContradictory, at).With("what", strings.Join(what, ", ")).Broken()
		}
		for _, v := range s.said {
			lines[v.line] = at
		}
	}
	for _, a := range h.amended.sorted() {
		at := map[string]bool{}
		for _, l := range a.Lines {
			d, _ := parseDigest(l)
			at[lines[d]] = true // "" where the line is not here
		}
		for _, where := range slices.Sorted(maps.Keys(at)) {
			q := c.Ask(rules.HistoryAmended, where).With("amendment", a.String())
			if where == "" {
				q.Open(moistheat.Unrecorded)
			} else {
				q.Broken()
			}
		}
	}
	rest(c, from, "", len(h.sterilizers)+len(h.shelf) > 0, rules.HistoryContradictory)
	rest(c, from, "", false, rules.HistoryAmended)
}
