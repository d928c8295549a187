// Package moistheat is the word list of a library that tells whether a
// steam-sterilization load was prepared, run, monitored and released properly,
// and why, with the published source behind every verdict.
//
// It supports a trained person's decision and does not replace it. The
// manufacturers' instructions for the sterilizer, the instruments, the packaging
// and the indicators come first, then local codes and licensed practice; this
// library comes after them.
//
// # Tour
//
// Data flows one way: bytes, record, checks, report.
//
//	record, err := load.Decode(data)           // strict: what it cannot read exactly, it refuses
//	policy, err := load.PolicyFor("us-cdc-2003")    // whose documents apply here
//	report := load.Check(record, policy)       // every rule, every pack
//	fmt.Print(report.Text())                   // or report.JSON()
//
// The packages, from the floor up:
//
//   - [example.com/moistheat/units]: quantities that cannot be mixed up, compared
//     exactly, written with UCUM codes.
//   - this package: what a rule, a finding, a source and a verdict are, and the words
//     that all others share: [Date], [Figure], [DocumentError].
//   - [example.com/moistheat/cycle] and [example.com/moistheat/cycle/steam]:
//     time-temperature tables, what a trace proves, lethality, saturated steam.
//   - [example.com/moistheat/cycle/equipment], [example.com/moistheat/cycle/indicator] and
//     [example.com/moistheat/cycle/microbe]: tests of the sterilizer, what chemical
//     indicators are rated for, D-values; [example.com/moistheat/cycle/drawing]: pictures.
//   - [example.com/moistheat/packaging]: items, lumens, packs, seals, labels.
//   - [example.com/moistheat/water]: what may be filled into the reservoir.
//   - [example.com/moistheat/load]: the record, the policy, the check, the report.
//   - [example.com/moistheat/load/calendar]: what a policy asks of time.
//   - [example.com/moistheat/load/cleaning]: one run of cleaning, and packs held against it.
//   - [example.com/moistheat/load/history]: sterilizers and packs through time.
//   - [example.com/moistheat/load/proof]: a log of all documents, and what an inspector gets of it.
//   - [example.com/moistheat/load/loadtest]: for tests on top: valid records, faults and
//     the conformance corpus.
//   - [example.com/moistheat/schema]: the published JSON Schemas.
//
// Who writes practice software reads package load and its Example_build, then load/history.
// Who validates exported records reads package schema. Who builds tests reads load/loadtest.
//
// # How to read a finding
//
// A [Rule] is a sentence with a stable dotted name. Checking it against one place
// in a record gives a [Finding] with an [Outcome]. Only [Met] is a pass: a rule
// whose evidence is missing is [Undetermined] and says so, and a rule that the
// policy leaves out is [NotInForce], not met. Every figure carries a [Source] and
// the [Basis] on which we know it; a value recalled from memory never passes for
// one that was read.
//
// # Words
//
// What a record names by a word of a closed list is a string type with a constant for
// every word, spelt as in JSON; the zero value is no word. The decoders refuse any other
// word. In a value that a program makes itself it is kept, equals no word of the list,
// and is named by the record's Validate method. A list in which the order counts, such as
// that of [Outcome], is a [Word].
//
// # Compatibility
//
// Rule names are never reused, and their meaning does not change. Names, fields
// and codes in JSON are promised; the wording of messages is not.
//
// Rules, their sources and what hangs on them cannot be changed through what is handed
// out; findings and reports are the caller's own. Everything is safe to read from many
// goroutines.
package moistheat

import (
	"bytes"
	"cmp"
	"database/sql/driver"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/internal/words"
	"example.com/moistheat/units"
)

// Version is the version of the library, as every report states it.
const Version = "0.2.0-dev"

// Disclaimer is the sentence that closes every report.
const Disclaimer = "This report supports a trained person's decision; manufacturers' instructions and local codes come first."

// Word is a word of a closed list in which the order counts, so that max picks the
// later of two. Its instances have names, such as [Severity], and their values are the
// constants below each; L only says what the words are. The zero Word is no word.
type Word[L wordList] uint8

// wordList is a type that stands for a list.
type wordList interface {
	Words() string // in their order, with "|" between them
}

// word returns the text of w, or "" where the list has none.
func (w Word[L]) word() string {
	var list L
	rest, found := list.Words(), w != 0
	for ; w > 1 && found; w-- {
		_, rest, found = strings.Cut(rest, "|")
	}
	if !found {
		return ""
	}
	word, _, _ := strings.Cut(rest, "|")
	return word
}

// String returns the word as it is written in JSON, or a text that no list contains.
func (w Word[L]) String() string {
	if word := w.word(); word != "" {
		return word
	}
	return fmt.Sprintf("invalid(%d)", uint8(w))
}

// MarshalText writes the word. The zero Word gives empty text, so that a field with the
// omitempty or omitzero option can be left out; any other value without a word is an error.
func (w Word[L]) MarshalText() ([]byte, error) {
	text := w.word()
	if text == "" && w != 0 {
		return nil, fmt.Errorf("value %d has no word; the list is %s", uint8(w), strings.Join(w.list(), ", "))
	}
	return []byte(text), nil
}

// UnmarshalText reads a word of the list, exactly as it is written there. The error for
// any other says what the list is and which word was probably meant.
func (w *Word[L]) UnmarshalText(text []byte) error {
	if w == nil {
		return errNowhere()
	}
	var list L
	n := Word[L](1)
	for word := range strings.SplitSeq(list.Words(), "|") {
		if word == string(text) {
			*w = n
			return nil
		}
		n++
	}
	return errors.New(words.Refusal(w.list(), string(text)))
}

func (Word[L]) list() []string {
	var list L
	return strings.Split(list.Words(), "|")
}

// Basis says on what ground a figure or rule is known. The zero Basis is invalid.
type Basis = Word[bases]

const (
	// Published: read in the document itself or in a verbatim copy of it.
	Published Basis = iota + 1
	// Quoted: read in a text that quotes or summarises the document.
	Quoted
	// Recalled: the document is named, the value is from memory and was not
	// checked against a copy.
	Recalled
	// CommonPractice: the trade does it so; there is no source document.
	CommonPractice
	// Derived: computed from other values that carry their own sources.
	Derived
	// Facility: the facility's own figure, such as a manufacturer's instruction
	// that it entered.
	Facility
)

type bases struct{}

func (bases) Words() string { return "published|quoted|recalled|common practice|derived|facility" }

// Source names where a figure or a rule comes from.
type Source struct {
	Document string `json:"document"`          // title as a reader would look it up
	Edition  string `json:"edition,omitempty"` // year or edition, where known
	Locator  string `json:"locator,omitempty"` // table, clause or page
	Basis    Basis  `json:"basis"`
}

// String returns the source on one line: "document edition, locator (basis)".
func (s Source) String() string {
	var b strings.Builder
	b.WriteString(s.Document)
	if s.Edition != "" {
		b.WriteString(" " + s.Edition)
	}
	if s.Locator != "" {
		b.WriteString(", " + s.Locator)
	}
	return Visible(b.String()) + " (" + s.Basis.String() + ")"
}

// List is a list that cannot be changed, so that rules, findings and reports can share
// one. The zero List is empty.
type List[T comparable] struct{ list []T }

// Sources are the sources of a rule or a finding.
type Sources = List[Source]

// ListOf returns a list of its own of the given values.
func ListOf[T comparable](values ...T) List[T] {
	if len(values) == 0 {
		return List[T]{}
	}
	return List[T]{slices.Clone(values)}
}

// SourcesOf is [ListOf] for sources.
func SourcesOf(s ...Source) Sources { return ListOf(s...) }

// All returns the values in their order.
func (l List[T]) All() iter.Seq[T] { return slices.Values(l.list) }

// At returns the value at a place, from 0, or the zero value where there is none.
func (l List[T]) At(i int) (v T) {
	if i < 0 || i >= len(l.list) {
		return v
	}
	return l.list[i]
}

// Len returns the number of values.
func (l List[T]) Len() int { return len(l.list) }

// Equal reports whether two lists hold the same values in the same order.
func (l List[T]) Equal(o List[T]) bool { return slices.Equal(l.list, o.list) }

// MarshalJSON implements [json.Marshaler].
func (l List[T]) MarshalJSON() ([]byte, error) {
	if l.list == nil {
		return []byte("[]"), nil
	}
	return json.Marshal(l.list)
}

// UnmarshalJSON implements [json.Unmarshaler].
func (l *List[T]) UnmarshalJSON(data []byte) error {
	if l == nil {
		return errNowhere()
	}
	var list []T
	if err := json.Unmarshal(data, &list); err != nil {
		return err
	}
	*l = ListOf(list...)
	return nil
}

// Figure is a value, such as a limit, with its source. The zero Figure has no valid
// value: it asks nothing.
type Figure[U units.Unit] struct {
	Value  units.Quantity[U] `json:"value"`
	Source Source            `json:"source"`
}

// Outcome is what checking a rule against one place of a record gave. The zero
// Outcome is invalid.
type Outcome = Word[outcomes]

const (
	// NotApplicable: the rule is about something that is not there.
	NotApplicable Outcome = iota + 1
	// NotInForce: the policy does not follow the documents behind the rule, or
	// the rule was not valid on the record's date.
	NotInForce
	// Met: the evidence is there and satisfies the rule. The only pass.
	Met
	// Undetermined: the evidence is missing or cannot carry the rule.
	Undetermined
	// Broken: the evidence is there and breaks the rule.
	Broken
	// Internal: the library failed while checking. Never a pass.
	Internal
)

type outcomes struct{}

func (outcomes) Words() string { return "not applicable|not in force|met|undetermined|broken|internal" }

// Severity ranks how much a broken rule matters to a person who reads of it. What it
// does to the pack, the load and the sterilizer is the rule's [Effect], which a
// severity does not decide. The zero Severity is invalid.
type Severity = Word[severities]

const (
	// Note: worth knowing.
	Note Severity = iota + 1
	// Minor: should be put right.
	Minor
	// Fault: the pack, the load or its record is not as it must be.
	Fault
)

type severities struct{}

func (severities) Words() string { return "note|minor|fault" }

// Disposition is what may happen to a pack or a load. The zero Disposition means
// that nothing was said; it is not a release.
type Disposition = Word[dispositions]

const (
	// Release: nothing found here stands against use.
	Release Disposition = iota + 1
	// Quarantine: keep apart until the open question is answered.
	Quarantine
	// Reject: not sterile for use; reprocess.
	Reject
)

type dispositions struct{}

func (dispositions) Words() string { return "release|quarantine|reject" }

// Service is whether a sterilizer may be used for patient loads. The zero Service
// means that nothing was said.
type Service = Word[services]

const (
	// InService: nothing found here takes the sterilizer out of use.
	InService Service = iota + 1
	// OutOfService: no patient load until the cause is found and tests pass.
	OutOfService
)

type services struct{}

func (services) Words() string { return "in service|out of service" }

// Effect is what one finding does to a verdict, scope by scope. The zero Effect
// does nothing.
type Effect struct {
	Pack       Disposition `json:"pack,omitempty"`       // the pack that the finding points into
	Load       Disposition `json:"load,omitempty"`       // every pack of the load
	Sterilizer Service     `json:"sterilizer,omitempty"` // the sterilizer after this load
	Recall     bool        `json:"recall,omitempty"`     // packs already out must be found
}

// Worst returns the scope-by-scope worse of two effects.
func (e Effect) Worst(o Effect) Effect {
	return Effect{
		Pack:       max(e.Pack, o.Pack),
		Load:       max(e.Load, o.Load),
		Sterilizer: max(e.Sterilizer, o.Sterilizer),
		Recall:     e.Recall || o.Recall,
	}
}

// Scope says what a rule is about and so who judges it. The zero Scope is invalid.
type Scope string

// The scopes. Rules about an item, a pack or a load are asked of a record; those about
// a sterilizer or an event of a history; those about a stored pack of what is known of
// it after its load.
const (
	ItemScope       Scope = "item"
	PackScope       Scope = "pack"
	LoadScope       Scope = "load"
	SterilizerScope Scope = "sterilizer"
	EventScope      Scope = "event"
	StoredPackScope Scope = "stored pack"
	DocumentScope   Scope = "document"
)

// Hazard is a way in which the work that a rule's remedy asks for can injure a person.
// The zero Hazard is invalid.
type Hazard string

// The hazards. What protects from each is said by every report that names it.
const (
	BurnHazard          Hazard = "burn"
	PressureHazard      Hazard = "pressure"
	BoilingLiquidHazard Hazard = "boiling liquid"
	SharpHazard         Hazard = "sharp"
	BiologicalHazard    Hazard = "biological"
	ChemicalHazard      Hazard = "chemical"
	ElectricalHazard    Hazard = "electrical"
	LiftingHazard       Hazard = "lifting"
	PrionHazard         Hazard = "prion"
)

// Rule describes one thing that must hold. It cannot be changed through a copy.
type Rule struct {
	ID     string `json:"id"`     // stable dotted name, such as "cycle.hold.short"
	Title  string `json:"title"`  // what must hold, one sentence
	Why    string `json:"why"`    // the harm it prevents
	Remedy string `json:"remedy"` // what to do when it is broken

	// BrokenText and UndeterminedText are the message templates for a broken outcome
	// and for one whose evidence is missing. {measured}, {limit} and the names of a
	// finding's parameters are filled in. Their wording is not promised.
	BrokenText       string `json:"brokenText"`
	UndeterminedText string `json:"undeterminedText,omitempty"`

	Scope Scope `json:"scope"`
	// Choice: it is about the choice of the cycle and can be asked before one is run.
	Choice       bool     `json:"choice,omitempty"`
	Severity     Severity `json:"severity"`              // when broken
	Broken       Effect   `json:"broken,omitzero"`       // effect when broken
	Undetermined Effect   `json:"undetermined,omitzero"` // effect when the evidence is missing
	NoWaiver     bool     `json:"noWaiver,omitempty"`
	Optional     bool     `json:"optional,omitempty"` // in force only where a policy says so
	Sources      Sources  `json:"sources"`

	// Act names what a person does who finds out what is not recorded: rules of one act are
	// one question. Answers are the members of the record that then answer it, as RFC 6901
	// pointers from what the rule is about, "-" for each element of a list. AtTheTime says
	// that it had to be seen while it could be, so that it cannot be found out later.
	Act       string       `json:"act,omitempty"`
	Answers   List[string] `json:"answers,omitzero"`
	AtTheTime bool         `json:"atTheTime,omitempty"`

	Hazards List[Hazard] `json:"hazards,omitzero"` // of the work that the remedy asks for
	Since   string       `json:"since"`            // library version that brought the rule
}

// Effect returns what a finding with this outcome does by default.
func (r Rule) Effect(o Outcome) Effect {
	switch o {
	case Broken:
		return r.Broken
	case Undetermined:
		return r.Undetermined
	case Internal:
		return r.Broken.Worst(Effect{Load: Quarantine})
	}
	return Effect{}
}

// Message renders a finding of this rule for a person, in one or two sentences of English.
func (r Rule) Message(f Finding) string { return Language{}.Message(r, f) }

// Language is a language in which texts for people are written. The zero Language is
// English, in which rules and words are. Languages are compared with ==.
type Language struct {
	of    *lang.Catalogue
	width int // of lines; 0 means the usual one
}

// LanguageFor returns a language that the library has, "en" or "de", also by a longer tag of BCP 47
// such as the "de-CH" of a browser, which is looked up as RFC 4647 says (3.4).
func LanguageFor(name string) (Language, error) {
	base, _, _ := strings.Cut(strings.ToLower(name), "-")
	switch base {
	case "en":
		return Language{}, nil
	case "de":
		return Language{of: lang.German()}, nil
	}
	return Language{}, fmt.Errorf("moistheat: no language %.40q; the library has de and en: %w", name, ErrUnknown)
}

// ParseLanguage reads a language that the library does not have, a document of the format
// "moistheat.language/1". A text that it has for none of the library, and a parameter that
// the English text does not have, are refused. A text that it lacks stays English, or German
// in a form of German, such as de-AT; see [Language.Missing]. The error is a [*DocumentError].
func ParseLanguage(data []byte) (Language, error) {
	c, fault := lang.Parse(data)
	if fault != nil {
		kind := ErrInvalid
		switch {
		case fault.Large:
			kind = ErrLimit
		case fault.Shape:
			kind = ErrShape
		}
		return Language{}, &DocumentError{Kind: kind, Format: lang.Format, Pointer: fault.Pointer, Offset: -1,
			Problem: fault.Problem}
	}
	return Language{of: c}, nil
}

// String returns the name of the language, such as "de".
func (l Language) String() string {
	if l.of == nil {
		return "en"
	}
	return l.of.Name
}

// narrowest is how wide lines are at least: the margins of a text leave room for a word.
const narrowest = 40

// Wide returns the language with lines of another width than 80 columns, and of at least 40, for
// what prints in it. The width is no part of any document.
func (l Language) Wide(columns int) Language {
	l.width = max(columns, narrowest)
	return l
}

// Wrap returns a text in lines of the width of the language, each with its end: the first one
// behind first, the others behind rest. What came in with a file can begin none of them.
func (l Language) Wrap(first, rest, text string) string {
	return prose.Wrap(cmp.Or(l.width, prose.Columns), first, rest, Visible(text))
}

// Missing returns the texts of the library that the language does not have, in English and
// sorted.
func (l Language) Missing() []string { return l.of.Missing() }

// Text returns an English text of the library, such as the title of a rule, in the language
// and with its parameters filled in. One that the language does not have stays English.
func (l Language) Text(english string, params ...Param) string {
	return l.of.Say(english, Params(params).value)
}

// Detail returns the value of a parameter in the language.
func (l Language) Detail(d Detail) string { return l.of.Detail(d) }

func (l Language) say(english lang.Text, params ...Param) string {
	return l.Text(string(english), params...)
}

// Word returns a word of a closed list in the language. The list has the name of its type,
// such as "moistheat.Disposition".
func (l Language) Word(list, word string) string { return l.of.Word(list, word) }

// Message renders a finding of a rule for a person, in one or two sentences.
func (l Language) Message(r Rule, f Finding) string {
	var more string
	switch n := f.More; {
	case n == 1:
		more = l.say(" … and 1 more finding of this rule is not listed.")
	case n > 1:
		more = l.say(" … and {count} more findings of this rule are not listed.", ParamOf("count", grouped(n)))
	}
	t, title := r.Title, ParamOf("title", Visible(l.Text(r.Title, f.Params...)))
	switch {
	case f.Outcome == Broken:
		t = r.BrokenText
	case f.Outcome == Undetermined && f.Reason == BasisNotAccepted:
		return l.say("The record satisfies this rule, but on no basis that the policy accepts: {title}", title) + more
	case f.Outcome == Undetermined && r.UndeterminedText != "":
		t = r.UndeterminedText
	case f.Outcome == Undetermined && f.Reason == Unrecorded:
		return l.say("Not recorded, so it cannot be judged: {title}", title) + more
	case f.Outcome == Undetermined:
		return l.say("It cannot be judged ({reason:moistheat.Reason}): {title}", ParamOf("reason", string(f.Reason)), title) +
			more
	case f.Outcome == Internal:
		return l.say("The library failed while checking this rule; treat it as not met: {title}", title) + more
	}
	if !strings.Contains(t, "{") {
		return l.Text(t) + more
	}
	return Visible(l.of.Say(t, func(name string) (Detail, bool) {
		switch name {
		case "measured":
			return lang.Data(l.quantity(f.Measured, f.Limit)), true
		case "limit":
			return lang.Data(l.quantity(f.Limit, f.Limit)), true
		}
		return f.Params.value(name)
	})) + more
}

// quantity writes a quantity as a person reads it beside its limit.
func (l Language) quantity(v, limit units.Value) string {
	if !v.IsValid() {
		return l.say("not recorded")
	}
	return l.of.Number(prose.Measured(v, limit))
}

// MarshalText writes the name of the language; English has none, so that a member with the
// omitzero option is left out.
func (l Language) MarshalText() ([]byte, error) {
	if l.of == nil {
		return nil, nil
	}
	return []byte(l.of.Name), nil
}

// UnmarshalText reads the name of a language. One that the library does not have gets the
// name, and no texts.
func (l *Language) UnmarshalText(text []byte) error {
	if l == nil {
		return errNowhere()
	}
	own, err := LanguageFor(string(text))
	if err != nil {
		own = Language{of: &lang.Catalogue{Name: string(text)}}
	}
	*l = own
	return nil
}

// grouped returns a number with commas between its thousands.
func grouped(n int) string {
	digits := strconv.Itoa(n)
	for at := len(digits) - 3; at > 0; at -= 3 {
		digits = digits[:at] + "," + digits[at:]
	}
	return digits
}

// Visible returns text that came in with a document as it may go out to people, logs,
// terminals, drawings and pages: what would show as nothing, or steer what shows it,
// becomes a mark, such as [U+202E]. These are control characters, escape and line ends
// among them, and those that turn the direction of text or have no width. All messages
// and errors of the library are visible; pointers and words of JSON are data and are not
// changed.
func Visible(text string) string { return guard.Visible(text) }

// Reason says why a finding is undetermined. Other findings have none.
type Reason string

// The reasons.
const (
	// Unrecorded: the record does not say.
	Unrecorded Reason = "not recorded"
	// BasisNotAccepted: the evidence satisfies the rule, but nothing that says so has a
	// basis that the policy accepts.
	BasisNotAccepted Reason = "basis not accepted"
	// Contradictory: parts of the record contradict each other.
	Contradictory Reason = "contradictory"
	// NotMeasurable: what is recorded is too coarse, too short or of the wrong sort to
	// show it.
	NotMeasurable Reason = "not measurable"
	// BetweenLimits: documents or figures disagree, and the value lies between them.
	BetweenLimits Reason = "between limits"
	// NoLimit: no document of the policy states what to compare with.
	NoLimit Reason = "no limit stated"
	// NotYet: the answer is not there yet, such as a result that is still awaited.
	NotYet Reason = "not yet known"
)

// Param is a named detail of a finding.
type Param struct {
	Name  string
	Value Detail
}

// ParamOf returns a parameter whose value is the same in all languages, such as a number, a day
// or a name.
func ParamOf(name, value string) Param { return Param{name, lang.Data(value)} }

// Detail is the value of a parameter: data, which is the same in all languages, such as a number, a
// day or a name; or a phrase of the library, by its code; or several, one behind the other. Its
// method String returns it in English, [Language.Detail] in any language. The zero Detail is none.
// Details are compared with ==.
//
// In JSON a phrase is written as {lots-differ|A1|B2}: its code, and what stands in its parameters.
// A backslash stands before the signs {, |, } and \ in data.
type Detail = lang.Detail

// Params are the details of a finding, each name once. In JSON they are an object.
type Params []Param

// MarshalJSON implements [json.Marshaler].
func (p Params) MarshalJSON() ([]byte, error) {
	out := []byte{'{'}
	for i, each := range p {
		if i > 0 {
			out = append(out, ',')
		}
		name, err := json.Marshal(each.Name)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(each.Value)
		if err != nil {
			return nil, err
		}
		out = append(append(append(out, name...), ':'), value...)
	}
	return append(out, '}'), nil
}

// UnmarshalJSON implements [json.Unmarshaler].
func (p *Params) UnmarshalJSON(data []byte) error {
	if p == nil {
		return errNowhere()
	}
	d := json.NewDecoder(bytes.NewReader(data))
	var out Params
	if start, err := d.Token(); err != nil || start != json.Delim('{') {
		return errors.New("want an object of texts")
	}
	for d.More() {
		name, err := d.Token()
		if err != nil {
			return err
		}
		var value Detail
		if err := d.Decode(&value); err != nil {
			return err
		}
		out = append(out, Param{name.(string), value})
	}
	*p = out
	return nil
}

// value returns the value of the named parameter, and whether there is one.
func (p Params) value(name string) (Detail, bool) {
	for _, each := range p {
		if each.Name == name {
			return each.Value, true
		}
	}
	return Detail{}, false
}

// Finding is the outcome of one rule at one place of a record.
type Finding struct {
	Rule     string      `json:"rule"` // [Rule].ID
	Outcome  Outcome     `json:"outcome"`
	Severity Severity    `json:"severity"`         // as the policy sets it
	Reason   Reason      `json:"reason,omitempty"` // why it is undetermined
	Pointer  string      `json:"pointer"`          // RFC 6901, into the record; "" is the whole record
	Pack     string      `json:"pack,omitempty"`   // ID of the pack that it is about
	Item     string      `json:"item,omitempty"`   // ID of the item, or its name where it has none
	Measured units.Value `json:"measured,omitzero"`
	Limit    units.Value `json:"limit,omitzero"`
	Params   Params      `json:"params,omitempty"`
	Sources  Sources     `json:"sources,omitzero"` // what decided
	Own      bool        `json:"own,omitempty"`    // the first source is a document that the policy follows
	Blocks   bool        `json:"blocks,omitempty"` // it stands in the way of a release: of the pack, or of the load
	Effect   Effect      `json:"effect,omitzero"`  // what the policy lets it do unless it is waived
	Table    string      `json:"table,omitempty"`  // table and row that decided
	Waiver   *Waiver     `json:"waiver,omitempty"` // set when the finding is waived
	// More is how many more findings of the rule with this outcome there are, which are not
	// listed for their number. It stands in the last that is listed.
	More int `json:"more,omitempty"`

	// Answers are RFC 6901 pointers to the members of the record, or of the stored pack, that
	// answer an undetermined finding, whether they are there or not.
	Answers []string `json:"answers,omitempty"`

	// Origin is where the member that the finding is about was taken from, in a report on a
	// record that was resolved with a catalogue: the place that a person must edit.
	Origin Origin `json:"origin,omitzero"`
}

// Origin is a place in a document other than the record. The zero Origin is the record.
type Origin struct {
	Format  string `json:"format"`
	ID      string `json:"id"`      // of the document
	Pointer string `json:"pointer"` // RFC 6901
	// Computed are the members of the record from which the value was computed with what stands
	// there, as pointers in which "-" is each element of a list, with spaces between them. It is
	// empty where the value was taken from there as it stands.
	Computed string `json:"computed,omitempty"`
}

// Param returns the value of the named parameter in English, or "".
func (f Finding) Param(name string) string {
	v, _ := f.Params.value(name)
	return v.String()
}

// Open reports whether the finding is broken, undetermined or internal and not
// waived: what a person must still deal with.
func (f Finding) Open() bool { return f.Outcome >= Undetermined && f.Waiver == nil }

// Compare orders findings by pointer, array indexes as numbers, then by rule.
func (f Finding) Compare(g Finding) int {
	if c := ComparePointers(f.Pointer, g.Pointer); c != 0 {
		return c
	}
	if c := strings.Compare(f.Rule, g.Rule); c != 0 {
		return c
	}
	return slices.CompareFunc(f.Params, g.Params, func(a, b Param) int {
		return cmp.Or(strings.Compare(a.Name, b.Name), a.Value.Compare(b.Value))
	})
}

// ComparePointers orders two JSON Pointers segment by segment, parents first,
// array indexes as numbers and before names.
func ComparePointers(a, b string) int {
	if a == b {
		return 0
	}
	// Segments before the first difference are equal.
	start, i := 0, 0
	for ; i < len(a) && i < len(b) && a[i] == b[i]; i++ {
		if a[i] == '/' {
			start = i
		}
	}
	// Two bytes of which none ends a segment or is a digit decide: neither segment is
	// an index.
	if i < len(a) && i < len(b) && a[i] > '9' && b[i] > '9' {
		return int(a[i]) - int(b[i])
	}
	if start == len(a) || start == len(b) { // one of them is ""
		return len(a) - len(b)
	}
	x, y := segment(a, start), segment(b, start)
	if x == y { // the shorter pointer ends here: it is the parent
		return len(a) - len(b)
	}
	switch i, j := isIndex(x), isIndex(y); {
	case i && j && len(x) != len(y):
		return len(x) - len(y)
	case i && !j:
		return -1
	case j && !i:
		return 1
	}
	return strings.Compare(x, y)
}

// segment returns the segment of p that starts with the slash at i.
func segment(p string, i int) string {
	s := p[i+1:]
	if end := strings.IndexByte(s, '/'); end >= 0 {
		return s[:end]
	}
	return s
}

// isIndex reports whether s is an array index as RFC 6901 writes it: no leading
// zero, so that equal length means comparable as text.
func isIndex(s string) bool {
	if s == "" || len(s) > 1 && s[0] == '0' {
		return false
	}
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}

// Waiver records that a person decided to accept what a rule found about a load, one of
// its packs or one item of a pack. It is reported, never dropped, and some rules refuse
// it. IDs that lead to nothing, or to more than one, waive nothing.
type Waiver struct {
	Rule    string    `json:"rule"`
	Load    string    `json:"load,omitzero"` // ID of the record; empty: the one that holds the waiver
	Pack    string    `json:"pack,omitzero"` // ID; empty: the finding is about no single pack
	Item    string    `json:"item,omitzero"` // ID in the pack, or the name of an item without one; empty: about no single item
	Reason  string    `json:"reason"`
	Author  string    `json:"author"`
	Expires time.Time `json:"expires,omitzero"` // zero: it waives nothing; one of an emergency release ends with the reading
}

// Answer is a recorded yes or no. Its zero value is [NotRecorded], so that what
// nobody wrote down cannot be taken for a no. In JSON it is true, false or absent.
type Answer uint8

const (
	// NotRecorded: nobody said.
	NotRecorded Answer = iota
	// Yes is true in JSON.
	Yes
	// No is false in JSON.
	No
)

// String returns "not recorded", "yes" or "no".
func (a Answer) String() string {
	switch a {
	case Yes:
		return "yes"
	case No:
		return "no"
	}
	return "not recorded"
}

// MarshalJSON writes true, false or null; use the omitzero option on fields.
func (a Answer) MarshalJSON() ([]byte, error) {
	switch a {
	case Yes:
		return []byte("true"), nil
	case No:
		return []byte("false"), nil
	}
	return []byte("null"), nil
}

func errNowhere() error { return errors.New("nothing to read into: the pointer is nil") }

// UnmarshalJSON reads true or false.
func (a *Answer) UnmarshalJSON(data []byte) error {
	if a == nil {
		return errNowhere()
	}
	switch string(data) {
	case "true":
		*a = Yes
	case "false":
		*a = No
	default:
		return errors.New("want true or false")
	}
	return nil
}

// Scan reads an answer from a database: true, 1 and yes are [Yes], false, 0 and no are [No],
// and NULL is [NotRecorded]. Anything else is an error, so that no false is taken for
// what was not recorded.
func (a *Answer) Scan(src any) error {
	if a == nil {
		return errNowhere()
	}
	if b, ok := src.([]byte); ok {
		src = string(b)
	}
	switch src {
	case nil:
		*a = NotRecorded
	case true, int64(1), "1", "true", "yes":
		*a = Yes
	case false, int64(0), "0", "false", "no":
		*a = No
	default:
		return fmt.Errorf("moistheat: %.40q is no answer; want true, 1 or yes, false, 0 or no, or NULL",
			Visible(fmt.Sprint(src)))
	}
	return nil
}

// Value returns true, false or, for [NotRecorded], NULL for a database.
func (a Answer) Value() (driver.Value, error) {
	switch a {
	case NotRecorded:
		return nil, nil
	case Yes, No:
		return a == Yes, nil
	}
	return nil, fmt.Errorf("moistheat: %d is no answer", uint8(a))
}

// AirRemoval is how a cycle gets the air out of chamber and load before the steam
// can reach every surface. The zero AirRemoval is invalid.
type AirRemoval string

const (
	// GravityDisplacement: steam pushes the air out by its own weight.
	GravityDisplacement AirRemoval = "gravity-displacement"
	// DynamicAirRemoval: vacuum pulses draw the air out.
	DynamicAirRemoval AirRemoval = "dynamic-air-removal"
	// SteamFlushPressurePulse: steam flushes and pressure pulses above
	// atmospheric pressure drive the air out.
	SteamFlushPressurePulse AirRemoval = "steam-flush-pressure-pulse"
)

// Date is a day of the calendar, without a time or a zone: what labels and
// packages carry, and from when until when a published figure applies. Its zero value
// is invalid. Dates are comparable with ==.
type Date struct {
	year       int16
	month, day uint8
}

// NewDate returns the date, or the invalid zero Date if there is no such day in the
// years 1 to 9999.
func NewDate(year int, month time.Month, day int) Date {
	if year < 1 || year > 9999 || month < time.January || month > time.December ||
		day < 1 || day > daysIn(year, month) {
		return Date{}
	}
	return Date{int16(year), uint8(month), uint8(day)}
}

// DateOf returns the day of an instant on the calendar of its own zone. The zero
// Time gives the invalid zero Date.
func DateOf(t time.Time) Date {
	if t.IsZero() {
		return Date{}
	}
	return NewDate(t.Date())
}

func daysIn(year int, month time.Month) int {
	switch month {
	case time.April, time.June, time.September, time.November:
		return 30
	case time.February:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// ParseDate reads a date written as YYYY-MM-DD and nothing else.
func ParseDate(s string) (Date, error) {
	if len(s) == 10 && s[4] == '-' && s[7] == '-' {
		year, y := digits(s[:4])
		month, m := digits(s[5:7])
		day, d := digits(s[8:])
		if y && m && d {
			if date := NewDate(year, time.Month(month), day); date.IsValid() {
				return date, nil
			}
			return Date{}, fmt.Errorf("moistheat: there is no day %s", s)
		}
	}
	return Date{}, fmt.Errorf("moistheat: %.20q is not a date such as 2026-03-09", s)
}

func digits(s string) (n int, ok bool) {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return 0, false
		}
		n = n*10 + int(s[i]-'0')
	}
	return n, true
}

// IsValid reports whether d holds a day.
func (d Date) IsValid() bool { return d != Date{} }

// IsZero reports whether d is the invalid zero Date, for the omitzero option.
func (d Date) IsZero() bool { return d == Date{} }

// Date returns year, month and day, all 0 for an invalid Date.
func (d Date) Date() (year int, month time.Month, day int) {
	return int(d.year), time.Month(d.month), int(d.day)
}

// Compare returns -1, 0 or +1 as d is before, on or after e. An invalid Date is
// before every valid one.
func (d Date) Compare(e Date) int {
	a := int(d.year)<<16 | int(d.month)<<8 | int(d.day)
	b := int(e.year)<<16 | int(e.month)<<8 | int(e.day)
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// Within reports whether d is from or later and before until. An invalid end is no
// bound, and an invalid d, a day that nobody recorded, may be any day: it is within
// every interval.
func (d Date) Within(from, until Date) bool {
	return !d.IsValid() || d.Compare(from) >= 0 && (!until.IsValid() || d.Compare(until) < 0)
}

// AddMonths returns the date n calendar months later, in a shorter month its last day.
// It is invalid for an invalid Date and outside the years 1 to 9999.
func (d Date) AddMonths(n int) Date {
	if !d.IsValid() {
		return Date{}
	}
	year, month, day := d.Date()
	first := time.Date(year, month+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
	return NewDate(first.Year(), first.Month(), min(day, daysIn(first.Year(), first.Month())))
}

// AddDays returns the date n days later. It is invalid for an invalid Date and outside
// the years 1 to 9999.
func (d Date) AddDays(n int) Date {
	if !d.IsValid() {
		return Date{}
	}
	return NewDate(d.Time().AddDate(0, 0, n).Date())
}

// Time returns midnight UTC of the day, or the zero Time for an invalid Date.
func (d Date) Time() time.Time {
	if !d.IsValid() {
		return time.Time{}
	}
	return time.Date(int(d.year), time.Month(d.month), int(d.day), 0, 0, 0, 0, time.UTC)
}

// String returns the date as YYYY-MM-DD.
func (d Date) String() string {
	if !d.IsValid() {
		return "invalid date"
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.year, d.month, d.day)
}

// MarshalText writes YYYY-MM-DD. An invalid Date has no text; use the omitzero
// option on fields.
func (d Date) MarshalText() ([]byte, error) {
	if !d.IsValid() {
		return nil, fmt.Errorf("moistheat: an invalid date has no text form; leave the field out")
	}
	return []byte(d.String()), nil
}

// UnmarshalText is [ParseDate].
func (d *Date) UnmarshalText(text []byte) error {
	v, err := ParseDate(string(text))
	switch {
	case d == nil:
		return errNowhere()
	case err == nil:
		*d = v
	}
	return err
}

// Scan reads a date from a database: text of the form YYYY-MM-DD, or a time, of which it takes
// the day in its own zone. NULL is the invalid zero Date.
func (d *Date) Scan(src any) error {
	switch v := src.(type) {
	case nil:
		if d == nil {
			return errNowhere()
		}
		*d = Date{}
		return nil
	case string:
		return d.UnmarshalText([]byte(v))
	case []byte:
		return d.UnmarshalText(v)
	case time.Time:
		return d.UnmarshalText([]byte(DateOf(v).String()))
	}
	return fmt.Errorf("moistheat: a %T is no date; want text such as 2026-03-09, a time or NULL", src)
}

// Value returns the text of the date for a database, or NULL for an invalid Date.
func (d Date) Value() (driver.Value, error) {
	if !d.IsValid() {
		return nil, nil
	}
	return d.String(), nil
}

// ErrorKind is a sort of error, for [errors.Is]. Its values are constants, so that
// nobody can change what the errors of the library compare with.
type ErrorKind string

// The sorts of errors that the packages of the library return. What is wrong with a
// load is a [Finding], never one of these.
const (
	// ErrSyntax: not one JSON value in strict UTF-8 without duplicate names, or not a
	// CSV file.
	ErrSyntax ErrorKind = "not well-formed"
	// ErrShape: well-formed, but not the agreed shape.
	ErrShape ErrorKind = "not the agreed shape"
	// ErrLimit: larger, deeper or longer than allowed.
	ErrLimit ErrorKind = "over a limit"
	// ErrInvalid: the agreed shape, but what it says cannot be meant, such as a policy
	// that asks less than its base and names nobody who decided it.
	ErrInvalid ErrorKind = "cannot be meant"
	// ErrUnknown: a name, such as that of a policy or table, that the library does not know.
	ErrUnknown ErrorKind = "unknown"
	// ErrRange: a value for which a formula does not hold.
	ErrRange ErrorKind = "out of range"
)

func (k ErrorKind) Error() string { return string(k) }

// DocumentError says why a document could not be read and where, whatever reads it: a
// record, a policy, a table, a trace. It unwraps to its Kind.
type DocumentError struct {
	Kind    ErrorKind
	Format  string // that the document should have, such as "moistheat.load/1"; "" where it has no name
	Pointer string // RFC 6901 pointer to the value in question; "" is the whole document
	Line    int    // of a stream or of CSV, from 1; 0 for a single document
	Column  int    // of CSV, from 1; 0 where it is not about a column
	Offset  int64  // of the first byte that cannot be accepted, in the document or line; -1 where no byte is to blame
	Problem string // what is wrong and what to do
}

// Error says what is wrong, where, and in a document of what format.
func (e *DocumentError) Error() string {
	e = cmp.Or(e, &DocumentError{Offset: -1})
	var where []string
	if e.Line > 0 {
		where = append(where, fmt.Sprint("line ", e.Line))
	}
	if e.Column > 0 {
		where = append(where, fmt.Sprint("column ", e.Column))
	}
	if e.Pointer != "" {
		where = append(where, Visible(e.Pointer))
	}
	if len(where) == 0 {
		where = []string{"the document"}
	}
	s := strings.Join(where, ", ") + ": " + Visible(e.Problem)
	if e.Format != "" {
		s = e.Format + ": " + s
	}
	if e.Offset > 0 { // the first byte says nothing
		s += fmt.Sprintf(" (byte %d)", e.Offset)
	}
	return s
}

// Place says what sort of error it is and where, in words of the library alone: nothing
// of the document is in it, so it may go to a log that must hold no names.
func (e *DocumentError) Place() string {
	e = cmp.Or(e, &DocumentError{Offset: -1})
	bare := *e
	bare.Pointer, bare.Problem = "", e.Kind.Error()
	return bare.Error()
}

// Unwrap returns the kind.
func (e *DocumentError) Unwrap() error { return cmp.Or(e, &DocumentError{}).Kind }
