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
//	policy, err := load.PolicyFor("us-cdc")    // whose documents apply here
//	report := load.Check(record, policy)       // every rule, every pack
//	fmt.Print(report.Text())                   // or report.JSON()
//
// The packages, from the floor up:
//
//   - [example.com/moistheat/units]: quantities that cannot be mixed up, compared
//     exactly, written with UCUM codes.
//   - this package: what a rule, a finding, a source and a verdict are.
//   - [example.com/moistheat/cycle] and [example.com/moistheat/cycle/steam]:
//     time-temperature tables, what a trace proves, lethality, saturated steam.
//   - [example.com/moistheat/packaging]: items, lumens, packs, seals, labels.
//   - [example.com/moistheat/water]: what may be filled into the reservoir.
//   - [example.com/moistheat/load]: the record, the policy, the check, the report.
//   - [example.com/moistheat/load/loadtest]: for tests on top: valid records, faults and
//     the conformance corpus.
//   - [example.com/moistheat/schema]: the published JSON Schemas.
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
// # Compatibility
//
// Rule names are never reused, and their meaning does not change. Names, fields
// and codes in JSON are promised; the wording of messages is not.
//
// All values here are immutable once made and safe to share between goroutines.
package moistheat

import (
	"slices"
	"strings"
	"time"

	"example.com/moistheat/internal/enum"
	"example.com/moistheat/units"
)

// Version is the version of the library, as every report states it.
const Version = "0.1.0"

// Disclaimer is the sentence that closes every report.
const Disclaimer = "This report supports a trained person's decision; manufacturers' instructions and local codes come first."

// Basis says on what ground a figure or rule is known. The zero Basis is invalid.
type Basis uint8

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

var basisNames = [...]string{"", "published", "quoted", "recalled", "common practice", "derived", "facility"}

// String returns the basis as it is written in JSON, such as "common practice".
func (b Basis) String() string { return enum.String(basisNames[:], b) }

// MarshalText implements [encoding.TextMarshaler].
func (b Basis) MarshalText() ([]byte, error) { return enum.Marshal(basisNames[:], b) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (b *Basis) UnmarshalText(text []byte) error { return enum.Unmarshal(basisNames[:], b, text) }

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
	return b.String() + " (" + s.Basis.String() + ")"
}

// Outcome is what checking a rule against one place of a record gave. The zero
// Outcome is invalid.
type Outcome uint8

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

var outcomeNames = [...]string{"", "not applicable", "not in force", "met", "undetermined", "broken", "internal"}

// String returns the outcome as it is written in JSON, such as "not applicable".
func (o Outcome) String() string { return enum.String(outcomeNames[:], o) }

// MarshalText implements [encoding.TextMarshaler].
func (o Outcome) MarshalText() ([]byte, error) { return enum.Marshal(outcomeNames[:], o) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (o *Outcome) UnmarshalText(text []byte) error {
	return enum.Unmarshal(outcomeNames[:], o, text)
}

// Severity ranks how much a broken rule matters to a person who reads of it. What it
// does to the pack, the load and the sterilizer is the rule's [Effect], which a
// severity does not decide. The zero Severity is invalid.
type Severity uint8

const (
	// Note: worth knowing.
	Note Severity = iota + 1
	// Caution: should be put right.
	Caution
	// Fault: the pack, the load or its record is not as it must be.
	Fault
)

var severityNames = [...]string{"", "note", "caution", "fault"}

// String returns the severity as it is written in JSON.
func (s Severity) String() string { return enum.String(severityNames[:], s) }

// MarshalText implements [encoding.TextMarshaler].
func (s Severity) MarshalText() ([]byte, error) { return enum.Marshal(severityNames[:], s) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (s *Severity) UnmarshalText(text []byte) error {
	return enum.Unmarshal(severityNames[:], s, text)
}

// Disposition is what may happen to a pack or a load. The zero Disposition means
// that nothing was said; it is not a release.
type Disposition uint8

const (
	// Release: nothing found here stands against use.
	Release Disposition = iota + 1
	// Hold: keep in quarantine until the open question is answered.
	Hold
	// Reject: not sterile for use; reprocess.
	Reject
)

var dispositionNames = [...]string{"", "release", "hold", "reject"}

// String returns the disposition as it is written in JSON.
func (d Disposition) String() string { return enum.String(dispositionNames[:], d) }

// MarshalText implements [encoding.TextMarshaler].
func (d Disposition) MarshalText() ([]byte, error) { return enum.Marshal(dispositionNames[:], d) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (d *Disposition) UnmarshalText(text []byte) error {
	return enum.Unmarshal(dispositionNames[:], d, text)
}

// Service is whether a sterilizer may be used for patient loads. The zero Service
// means that nothing was said.
type Service uint8

const (
	// InService: nothing found here takes the sterilizer out of use.
	InService Service = iota + 1
	// OutOfService: no patient load until the cause is found and tests pass.
	OutOfService
)

var serviceNames = [...]string{"", "in service", "out of service"}

// String returns the service state as it is written in JSON.
func (s Service) String() string { return enum.String(serviceNames[:], s) }

// MarshalText implements [encoding.TextMarshaler].
func (s Service) MarshalText() ([]byte, error) { return enum.Marshal(serviceNames[:], s) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (s *Service) UnmarshalText(text []byte) error { return enum.Unmarshal(serviceNames[:], s, text) }

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

// Rule describes one thing that must hold.
type Rule struct {
	ID    string `json:"id"`    // stable dotted name, such as "cycle.hold.short"
	Title string `json:"title"` // what must hold, one sentence
	Why   string `json:"why"`   // the harm it prevents
	Do    string `json:"do"`    // what to do when it is broken

	Severity     Severity `json:"severity"`     // when broken
	Broken       Effect   `json:"broken"`       // effect when broken
	Undetermined Effect   `json:"undetermined"` // effect when the evidence is missing
	NoWaiver     bool     `json:"noWaiver,omitempty"`
	Sources      []Source `json:"sources"`
	Since        string   `json:"since"` // library version that brought the rule

	// Says and Asks are the message templates for a broken and an undetermined
	// outcome. {measured}, {limit} and the names of a finding's parameters are
	// filled in. Their wording is not promised.
	Says string `json:"says"`
	Asks string `json:"asks,omitempty"`
}

// Effect returns what a finding with this outcome does by default.
func (r Rule) Effect(o Outcome) Effect {
	switch o {
	case Broken:
		return r.Broken
	case Undetermined:
		return r.Undetermined
	case Internal:
		return r.Broken.Worst(Effect{Load: Hold})
	}
	return Effect{}
}

// Message renders a finding of this rule for a person, in one or two sentences.
func (r Rule) Message(f Finding) string {
	t := r.Title
	switch {
	case f.Outcome == Broken:
		t = r.Says
	case f.Outcome == Undetermined && r.Asks != "":
		t = r.Asks
	case f.Outcome == Undetermined:
		t = "Not recorded, so it can not be judged: " + r.Title
	case f.Outcome == Internal:
		t = "The library failed while checking this rule; treat it as not met: " + r.Title
	}
	if !strings.Contains(t, "{") {
		return t
	}
	pairs := make([]string, 0, 4+2*len(f.Params))
	pairs = append(pairs, "{measured}", orUnknown(f.Measured), "{limit}", orUnknown(f.Limit))
	for _, p := range f.Params {
		pairs = append(pairs, "{"+p.Name+"}", p.Value)
	}
	return strings.NewReplacer(pairs...).Replace(t)
}

func orUnknown(v units.Value) string {
	if !v.IsValid() {
		return "not recorded"
	}
	return v.String()
}

// Kind says what sort of question a finding answers. The zero Kind is invalid.
type Kind uint8

const (
	// Structure: the document does not have the agreed shape.
	Structure Kind = iota + 1
	// Choice: a thing is of an unsuitable sort.
	Choice
	// Limit: a measured value against a limit.
	Limit
	// Consistency: two parts of the record against each other.
	Consistency
	// Missing: something that must be there.
	Missing
)

var kindNames = [...]string{"", "structure", "value", "limit", "consistency", "missing"}

// String returns the kind as it is written in JSON.
func (k Kind) String() string { return enum.String(kindNames[:], k) }

// MarshalText implements [encoding.TextMarshaler].
func (k Kind) MarshalText() ([]byte, error) { return enum.Marshal(kindNames[:], k) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (k *Kind) UnmarshalText(text []byte) error { return enum.Unmarshal(kindNames[:], k, text) }

// Param is a named detail of a finding.
type Param struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

// Finding is the outcome of one rule at one place of a record.
type Finding struct {
	Rule     string      `json:"rule"` // [Rule].ID
	Outcome  Outcome     `json:"outcome"`
	Severity Severity    `json:"severity"` // as the policy sets it
	Kind     Kind        `json:"kind"`
	Pointer  string      `json:"pointer"` // RFC 6901, into the record; "" is the whole record
	Measured units.Value `json:"measured,omitzero"`
	Limit    units.Value `json:"limit,omitzero"`
	Params   []Param     `json:"params,omitempty"`
	Sources  []Source    `json:"sources,omitempty"` // what decided
	Table    string      `json:"table,omitempty"`   // table and row that decided
	Waiver   *Waiver     `json:"waiver,omitempty"`  // set when the finding is waived
}

// Param returns the value of the named parameter, or "".
func (f Finding) Param(name string) string {
	for _, p := range f.Params {
		if p.Name == name {
			return p.Value
		}
	}
	return ""
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
		return strings.Compare(a.Name+"\x00"+a.Value, b.Name+"\x00"+b.Value)
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

// Waiver records that a person decided to accept one finding. It is reported,
// never dropped, and some rules refuse it.
type Waiver struct {
	Rule    string    `json:"rule"`
	Pointer string    `json:"pointer"`
	Reason  string    `json:"reason"`
	Author  string    `json:"author"`
	Expires time.Time `json:"expires"`
}

// Answer is a recorded yes or no. Its zero value is [NotRecorded], so that what
// nobody wrote down can not be taken for a no. In JSON it is true, false or absent.
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

// UnmarshalJSON reads true or false.
func (a *Answer) UnmarshalJSON(data []byte) error {
	if a == nil {
		return errAnswer
	}
	switch string(data) {
	case "true":
		*a = Yes
	case "false":
		*a = No
	default:
		return errAnswer
	}
	return nil
}

// AirRemoval is how a cycle gets the air out of chamber and load before the steam
// can reach every surface. The zero AirRemoval is invalid.
type AirRemoval uint8

const (
	// GravityDisplacement: steam pushes the air out by its own weight.
	GravityDisplacement AirRemoval = iota + 1
	// DynamicAirRemoval: vacuum pulses draw the air out.
	DynamicAirRemoval
	// SteamFlushPressurePulse: steam flushes and pressure pulses above
	// atmospheric pressure drive the air out.
	SteamFlushPressurePulse
)

var airRemovalNames = [...]string{"", "gravity-displacement", "dynamic-air-removal", "steam-flush-pressure-pulse"}

// String returns the air removal as it is written in JSON.
func (a AirRemoval) String() string { return enum.String(airRemovalNames[:], a) }

// MarshalText implements [encoding.TextMarshaler].
func (a AirRemoval) MarshalText() ([]byte, error) { return enum.Marshal(airRemovalNames[:], a) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (a *AirRemoval) UnmarshalText(text []byte) error {
	return enum.Unmarshal(airRemovalNames[:], a, text)
}

const errAnswer = answerError("moistheat: want true or false")

type answerError string

func (e answerError) Error() string { return string(e) }
