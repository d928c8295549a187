package load

import (
	"bufio"
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	wordlist "example.com/moistheat/internal/words"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

// PolicyFormat is the value of a policy's "format" member.
const PolicyFormat = "moistheat.policy/1"

// Policy says whose documents apply: which tables and limits are asked, which
// rules are in force, and what each does to a verdict. A Policy never changes. A nil
// *Policy is the zero one: it has no name, asks nothing, and what is checked under it is
// rejected.
type Policy struct {
	doc     policyDoc
	tables  []*cycle.Table
	figures *packaging.Figures
	waters  []*water.Limits
	rules   map[string]*ruleState
	list    []string       // rule IDs, sorted
	day     moistheat.Date // that is judged; invalid: any
	digest  *lazy.Value[string]
	written *policyDoc // the document that it was read from; nil where a method changed it

	own      []ownRule // those of others, by ID
	ownNames []string  // prefix and version of each set of them

	in moistheat.Language // of [Policy.Text] and [Policy.Reasons]
}

// MarshalJSON writes the document that the policy was read from, for [ParsePolicy] or, of a
// built-in policy, [Policy.UnmarshalJSON]. A policy that was changed by a method such as
// [Policy.WithTables] has none: the error is [moistheat.ErrInvalid].
func (p Policy) MarshalJSON() ([]byte, error) {
	if p.written == nil {
		return nil, fmt.Errorf("load: the policy is of no document: %w", moistheat.ErrInvalid)
	}
	return json.Marshal(p.written)
}

// UnmarshalJSON reads a facility's own policy as [ParsePolicy] does, and what
// [Policy.MarshalJSON] writes of a built-in one. Another document under the name of a
// built-in policy is refused, unless it is a facility's.
func (p *Policy) UnmarshalJSON(data []byte) error {
	doc, err := strictjson.Read[policyDoc](data, strictjson.Default(), PolicyFormat)
	if err == nil && p == nil {
		err = strictjson.Invalid("", "there is nothing to read into: the pointer is nil")
	}
	if err != nil {
		return err
	}
	read, err := PolicyFor(doc.Name)
	if err != nil || !reflect.DeepEqual(read.written, doc) {
		read, err = ParsePolicy(data)
	}
	if err == nil {
		*p = *read
	}
	return err
}

var noPolicy Policy // stands for a nil one

type ruleState struct {
	rule        moistheat.Rule
	inForce     bool
	from, until moistheat.Date
	place       int               // in the sorted list, or -1 for a rule about a sterilizer through time
	cited       moistheat.Sources // those of the rule that are the policy's own documents, or else all
	own         bool              // there are some
	added       bool              // it is none of the library's
	unwaivable  bool              // no waiver counts: the rule says so, or what it can do when broken, here or in a base
}

// policyDoc is a policy as it stands in its file.
type policyDoc struct {
	Format     string             `json:"format"`
	Name       string             `json:"name"`
	Title      string             `json:"title"`
	Base       string             `json:"base,omitzero"`
	Decision   *Decision          `json:"decision,omitzero"`
	Documents  []moistheat.Source `json:"documents,omitzero"`
	LeavesOpen []string           `json:"leavesOpen,omitzero"`
	AsksLess   []string           `json:"asksLess,omitzero"`  // than its base, in words
	Cycles     []string           `json:"cycles,omitzero"`    // time-temperature tables, first match counts
	Packaging  []string           `json:"packaging,omitzero"` // files of packaging figures
	Water      []string           `json:"water,omitzero"`     // water limits
	Limits     policyLimits       `json:"limits,omitzero"`
	Accept     []moistheat.Basis  `json:"accept,omitzero"` // bases that may carry a pass; absent: all

	GeneralPractice *generalPractice `json:"generalPractice,omitzero"` // absent: it may quarantine

	// Practices are the habits that it takes as evidence where a facility has declared and
	// signed them; absent: all that a catalogue can declare.
	Practices []Habit `json:"practices,omitzero"`

	Rules     []ruleOverride               `json:"rules,omitzero"`
	Schedule  []calendar.Duty              `json:"schedule,omitzero"`
	Positive  *calendar.PositiveTestPolicy `json:"positive,omitzero"`
	Returns   []calendar.Return            `json:"returns,omitzero"` // to service
	Retention []calendar.Retention         `json:"retention,omitzero"`
	ShelfLife []calendar.ShelfLife         `json:"shelfLife,omitzero"` // absent: only events end the life of a pack
	Climate   *calendar.Climate            `json:"climate,omitzero"`   // of the sterile store
	Prion     *prionPolicy                 `json:"prion,omitzero"`
	People    *peoplePolicy                `json:"people,omitzero"`   // absent: as its base says
	Cleaning  *cleaning.Limits             `json:"cleaning,omitzero"` // absent: as its base says, else A0 alone
}

// prionPolicy says what the policy's documents ask for in a suspected prion case, in a
// sentence.
type prionPolicy struct {
	Then   string           `json:"then" minLength:"1"`
	Source moistheat.Source `json:"source"`
}

type policyLimits struct {
	// Above the sterilization temperature.
	Band *moistheat.Figure[units.TemperatureDifferenceUnit] `json:"band,omitzero"`
	// Between points at one moment.
	Spread *moistheat.Figure[units.TemperatureDifferenceUnit] `json:"spread,omitzero"`
	// Measured against saturated steam.
	Saturation *moistheat.Figure[units.TemperatureDifferenceUnit] `json:"saturation,omitzero"`
	// Share of a pack that another may cover.
	Overlap *moistheat.Figure[units.RatioUnit] `json:"overlap,omitzero"`
	// Share of the usable space.
	ChamberFill *moistheat.Figure[units.RatioUnit]  `json:"chamberFill,omitzero"`
	PackGap     *moistheat.Figure[units.LengthUnit] `json:"packGap,omitzero"` // between packs
	// Between a pack and the chamber wall.
	WallGap *moistheat.Figure[units.LengthUnit] `json:"wallGap,omitzero"`
	TrayGap *moistheat.Figure[units.LengthUnit] `json:"trayGap,omitzero"` // between trays
}

type ruleOverride struct {
	ID           string             `json:"id"`
	InForce      moistheat.Answer   `json:"inForce,omitzero"`
	From         moistheat.Date     `json:"from,omitzero"`  // first day on which the rule counts
	Until        moistheat.Date     `json:"until,omitzero"` // first day on which it no longer does
	Severity     moistheat.Severity `json:"severity,omitzero"`
	Broken       *moistheat.Effect  `json:"broken,omitzero"`
	Undetermined *moistheat.Effect  `json:"undetermined,omitzero"`
	Why          string             `json:"why,omitzero"`
	Decision     *Decision          `json:"decision,omitzero"`
}

// Decision records who allowed a facility's policy to ask less than its base, when
// and why.
type Decision struct {
	By     string         `json:"by"`
	Date   moistheat.Date `json:"date"`
	Reason string         `json:"reason"`
}

// said says who decided, when and why.
func (d *Decision) said() string {
	return fmt.Sprintf("%s (decided by %s on %s)", d.Reason, d.By, d.Date)
}

// says returns what a setting that asks less than the base is said to do in reports.
func (o ruleOverride) says() string {
	why := o.Why
	if o.Decision != nil {
		why = o.Decision.said()
	}
	if why == "" {
		return o.ID
	}
	return o.ID + ": " + why
}

//go:embed policies/*.json
var policyFiles embed.FS

// Policies returns the names of the built-in policies, sorted.
func Policies() []string {
	entries, _ := policyFiles.ReadDir("policies")
	var names []string
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), ".json"))
	}
	return names
}

// PolicyFor returns the built-in policy of that name.
func PolicyFor(name string) (*Policy, error) {
	if p, made := builtIn.Load(name); made {
		own := *p.(*Policy)
		return &own, nil
	}
	if !slices.Contains(Policies(), name) {
		return nil, fmt.Errorf("load: %w policy %.40q; %s Local rules decide which policy applies", moistheat.ErrUnknown,
			name, nearPolicies(name))
	}
	data, err := policyFiles.ReadFile("policies/" + name + ".json")
	if err != nil {
		return nil, err
	}
	p, err := parsePolicy(data, true)
	if err != nil {
		return nil, err
	}
	shared, _ := builtIn.LoadOrStore(name, p)
	own := *shared.(*Policy)
	return &own, nil
}

// nearPolicies asks whether names were meant that go on from a name that is none of them, as
// us-cdc-2003 and us-cdc-2008 do from us-cdc, else the one that it was probably meant to
// be, or names all.
func nearPolicies(name string) string {
	all := Policies()
	near := slices.DeleteFunc(slices.Clone(all), func(p string) bool { return !strings.HasPrefix(p, name+"-") })
	if w := wordlist.Nearest(all, name); len(near) == 0 && w != "" {
		near = []string{w}
	}
	if len(near) == 0 {
		return "there are " + strings.Join(all, ", ") + "."
	}
	if len(near) == 1 {
		return "did you mean " + near[0] + "?"
	}
	return "did you mean one of " + strings.Join(near, ", ") + "?"
}

// builtIn holds the built-in policies that were asked for, by name. A policy never
// changes, so all callers share what is in it; each has a copy of the struct, so that
// none can overwrite that of the others.
var builtIn sync.Map

// ParsePolicy reads a facility's own policy: the name of a built-in policy as its
// base, and what it changes. It may be stricter without a word. Where it asks less
// than its base, if only until a rule starts or once it has ended, it must record who
// decided that, when and why: for one rule beside the rule, for tables and limits at
// the top.
//
// Every error is a [*moistheat.DocumentError]. What the policy cannot mean is
// [moistheat.ErrInvalid], a rule or document that it names and that is not built in
// [moistheat.ErrUnknown].
func ParsePolicy(data []byte) (*Policy, error) { return parsePolicy(data, false) }

func parsePolicy(data []byte, builtIn bool) (*Policy, error) {
	doc, err := strictjson.Read[policyDoc](data, strictjson.Default(), PolicyFormat)
	if err != nil {
		return nil, err
	}
	was := *doc
	p, err := doc.policy(builtIn)
	if err == nil {
		p.written = &was
	}
	return p, strictjson.In(PolicyFormat, err)
}

// unknownName is the error of a name that the library does not know.
func unknownName(pointer string, err error) error {
	return &moistheat.DocumentError{Kind: moistheat.ErrUnknown, Pointer: pointer, Offset: -1, Problem: err.Error()}
}

func (doc *policyDoc) policy(builtIn bool) (*Policy, error) {
	if !builtIn && doc.Base == "" {
		return nil, strictjson.Invalid("/base", "a facility's policy names the built-in policy it changes, one of %s",
			strings.Join(Policies(), ", "))
	}
	p := &Policy{doc: *doc, rules: map[string]*ruleState{}, digest: new(lazy.Value[string])}
	for _, r := range Rules() {
		s := &ruleState{rule: r, inForce: !r.Optional, place: -1} // no record alone is judged by it
		if askedOfRecord(r) {
			s.place = len(p.list)
			p.list = append(p.list, r.ID)
		}
		p.rules[r.ID] = s
	}
	if err := doc.calendar(); err != nil {
		return nil, err
	}
	if doc.Base != "" {
		base, err := PolicyFor(doc.Base)
		if err != nil {
			return nil, unknownName("/base", err)
		}
		if err := p.inherit(base, builtIn); err != nil {
			return nil, err
		}
	}
	p.figured()
	if err := p.override(builtIn); err != nil {
		return nil, err
	}
	for i, id := range p.doc.Cycles {
		t, err := cycle.TableFor(id)
		if err != nil {
			return nil, unknownName(fmt.Sprintf("/cycles/%d", i), err)
		}
		p.tables = append(p.tables, t)
	}
	var err error
	if p.figures, err = packaging.FiguresFor(p.doc.Packaging...); err != nil {
		return nil, unknownName("/packaging", err)
	}
	for i, id := range p.doc.Water {
		l, err := water.LimitsFor(id)
		if err != nil {
			return nil, unknownName(fmt.Sprintf("/water/%d", i), err)
		}
		p.waters = append(p.waters, l)
	}
	return p, nil
}

// inherit fills what the document leaves out from its base and refuses to ask less
// without a decision. A built-in policy stands on its own documents: it may.
func (p *Policy) inherit(base *Policy, builtIn bool) error {
	d, b := &p.doc, base.doc
	for id, s := range base.rules {
		own := *s
		p.rules[id] = &own
	}
	d.Documents = append(slices.Clone(b.Documents), d.Documents...)
	d.LeavesOpen = append(slices.Clone(b.LeavesOpen), d.LeavesOpen...)
	d.AsksLess = append(slices.Clone(b.AsksLess), d.AsksLess...)
	if d.Decision != nil {
		d.AsksLess = append(d.AsksLess, d.Decision.said())
	}
	undecided := func(pointer, what string) error {
		if builtIn || d.Decision != nil {
			return nil
		}
		return strictjson.Invalid(pointer, "%s; record who decided that, when and why in /decision", what)
	}
	for _, list := range []struct {
		pointer   string
		own, base *[]string
	}{{"/cycles", &d.Cycles, &b.Cycles}, {"/packaging", &d.Packaging, &b.Packaging}, {"/water", &d.Water, &b.Water}} {
		if *list.own == nil {
			*list.own = *list.base
		} else if !slices.Equal(*list.own, *list.base) {
			if err := undecided(list.pointer, "follows other documents than "+b.Name); err != nil {
				return err
			}
		}
	}
	for _, l := range []error{
		tighten("/limits/band", &d.Limits.Band, b.Limits.Band, 1, undecided),
		tighten("/limits/spread", &d.Limits.Spread, b.Limits.Spread, 1, undecided),
		tighten("/limits/saturation", &d.Limits.Saturation, b.Limits.Saturation, 1, undecided),
		tighten("/limits/overlap", &d.Limits.Overlap, b.overlap(), 1, undecided),
		tighten("/limits/chamberFill", &d.Limits.ChamberFill, b.Limits.ChamberFill, 1, undecided),
		tighten("/limits/packGap", &d.Limits.PackGap, b.Limits.PackGap, -1, undecided),
		tighten("/limits/wallGap", &d.Limits.WallGap, b.Limits.WallGap, -1, undecided),
		tighten("/limits/trayGap", &d.Limits.TrayGap, b.Limits.TrayGap, -1, undecided),
	} {
		if l != nil {
			return l
		}
	}
	if d.Accept == nil {
		d.Accept = b.Accept
	}
	if d.Practices == nil {
		d.Practices = b.Practices
	} else if b.Practices != nil &&
		slices.ContainsFunc(d.Practices, func(h Habit) bool { return !slices.Contains(b.Practices, h) }) {
		if err := undecided("/practices", "takes habits as evidence that "+b.Name+" does not"); err != nil {
			return err
		}
	}
	if d.GeneralPractice == nil {
		d.GeneralPractice = b.GeneralPractice
	} else if d.GeneralPractice.Quarantine == moistheat.No && (b.GeneralPractice == nil || b.GeneralPractice.Quarantine != moistheat.No) {
		if err := undecided("/generalPractice", "lets general practice advise only"); err != nil {
			return err
		}
	}
	d.Prion = orElse(d.Prion, b.Prion)
	if err := d.inheritPeople(&b, undecided); err != nil {
		return err
	}
	if err := d.inheritCleaning(&b, undecided); err != nil {
		return err
	}
	return d.inheritCalendar(&b, builtIn, undecided)
}

// tighten takes the base's limit where the document has none, and asks for a decision
// where the document's asks less: is larger, or for a lower limit, which is known by
// its sign, smaller.
func tighten[U units.Unit](pointer string, own **moistheat.Figure[U], base *moistheat.Figure[U], sign int,
	undecided func(pointer, what string) error) error {
	switch {
	case *own == nil:
		*own = base
	case base != nil && (*own).Value.Compare(base.Value)*sign > 0:
		return undecided(pointer, "asks less than "+base.Value.String()+" of its base")
	}
	return nil
}

// overlap is the policy's limit, else the one that the library states for all. The other
// limits of arrangement are the manufacturer's or the facility's, and have no default.
func (d *policyDoc) overlap() *moistheat.Figure[units.RatioUnit] {
	return orElse(d.Limits.Overlap, &figures().Overlap)
}

// figured puts the rules in force whose figures the document states.
func (p *Policy) figured() {
	l := &p.doc.Limits
	for _, f := range []struct {
		rule   ask.ID
		stated bool
	}{
		{chamberFull, l.ChamberFill != nil}, {arrangementGap, l.PackGap != nil},
		{wallClose, l.WallGap != nil}, {trayGap, l.TrayGap != nil},
	} {
		s := p.rules[book.Name(f.rule)]
		s.inForce = s.inForce || f.stated
	}
}

func orElse[T any](own, other *T) *T {
	if own != nil {
		return own
	}
	return other
}

// override applies the document's rule settings, and says which rules then refuse waivers.
func (p *Policy) override(builtIn bool) error {
	for i, o := range p.doc.Rules {
		s := p.rules[o.ID]
		if s == nil {
			return unknownName(fmt.Sprintf("/rules/%d/id", i), p.noRule(o.ID))
		}
		was := *s
		if s.apply(o); s.from.IsValid() && s.until.IsValid() && s.from.Compare(s.until) >= 0 {
			return strictjson.Invalid(fmt.Sprintf("/rules/%d/until", i), "%s would end on %s, before it starts on %s",
				o.ID, s.until, s.from)
		}
		narrower, softer := s.loosens(&was)
		if softer && !builtIn && o.Decision == nil {
			return strictjson.Invalid(fmt.Sprintf("/rules/%d", i),
				"asks less of %s than the base; record who decided that, when and why in its decision", o.ID)
		}
		if softer && p.doc.Base != "" {
			p.doc.AsksLess = append(p.doc.AsksLess, o.says())
		}
		kept := o.ID == book.Name(recordInvalid) || o.ID == book.Name(internalFailure) // whatever was decided
		if softer && !builtIn && (kept || s.rule.NoWaiver && (narrower || !s.inForce)) {
			return strictjson.Invalid(fmt.Sprintf("/rules/%d", i),
				"%s cannot be put out of force, nor for a time, nor made to do less", o.ID)
		}
	}
	for _, s := range p.rules {
		s.settle(p)
	}
	return nil
}

// settle works out what follows from the rule as the policy has it.
func (s *ruleState) settle(p *Policy) {
	e := s.rule.Broken
	s.unwaivable = s.unwaivable || s.rule.NoWaiver ||
		e.Pack == moistheat.Reject || e.Load == moistheat.Reject || e.Sterilizer == moistheat.OutOfService
	s.cited, s.own = p.cite(s.rule.Sources)
}

// noRule is the error of a rule that does not exist.
func (p *Policy) noRule(id string) error {
	ids := slices.Sorted(maps.Keys(p.rules))
	if w := wordlist.Nearest(ids, id); w != "" {
		return fmt.Errorf("there is no rule %.60q; did you mean %q?", id, w)
	}
	return fmt.Errorf("there is no rule %.60q", id)
}

// apply takes over what a document says of the rule.
func (s *ruleState) apply(o ruleOverride) {
	s.inForce = s.inForce && o.InForce != moistheat.No || o.InForce == moistheat.Yes
	s.from, s.until = cmp.Or(o.From, s.from), cmp.Or(o.Until, s.until)
	s.rule.Severity = cmp.Or(o.Severity, s.rule.Severity)
	if o.Broken != nil {
		s.rule.Broken = *o.Broken
	}
	if o.Undetermined != nil {
		s.rule.Undetermined = *o.Undetermined
	}
}

// loosens reports whether the rule is in force for less time than it was, and whether it
// asks less in that or any other way.
func (s *ruleState) loosens(was *ruleState) (narrower, softer bool) {
	narrower = was.inForce && s.inForce &&
		(s.from.Compare(was.from) > 0 || s.until.IsValid() && (!was.until.IsValid() || s.until.Compare(was.until) < 0))
	softer = was.inForce && !s.inForce || narrower || s.rule.Severity < was.rule.Severity ||
		s.rule.Broken.Worst(was.rule.Broken) != s.rule.Broken ||
		s.rule.Undetermined.Worst(was.rule.Undetermined) != s.rule.Undetermined
	return narrower, softer
}

// copy returns a copy that is to judge by something else, and so has a digest of its own.
func (p *Policy) copy() *Policy {
	q := *cmp.Or(p, &noPolicy)
	q.digest, q.written = new(lazy.Value[string]), nil
	return &q
}

// WithTables returns a copy of the policy that asks a facility's own
// time-temperature tables before its published ones.
func (p *Policy) WithTables(tables ...*cycle.Table) *Policy {
	q := p.copy()
	q.tables = append(slices.Clone(tables), q.tables...)
	return q
}

// WithFigures returns a copy of the policy that asks a facility's own packaging
// figures beside its published ones. Figures that it asks already are an error.
func (p *Policy) WithFigures(f *packaging.Figures) (*Policy, error) {
	q := p.copy()
	packs, err := q.figures.With(f)
	if err != nil {
		return nil, err
	}
	q.figures = packs
	return q, nil
}

// WithWater returns a copy of the policy that asks a facility's own limits for water
// beside its published ones.
func (p *Policy) WithWater(limits ...*water.Limits) *Policy {
	q := p.copy()
	q.waters = append(slices.Clone(q.waters), limits...)
	return q
}

// Accepting returns a copy of the policy under which only figures on the given
// bases can carry a pass: what is met on another basis becomes undetermined. What
// is broken stays broken. No basis given means that none is accepted.
func (p *Policy) Accepting(bases ...moistheat.Basis) *Policy {
	q := p.copy()
	q.doc.Accept = append([]moistheat.Basis{}, bases...)
	return q
}

// Figures returns the packaging figures that the policy asks.
func (p *Policy) Figures() *packaging.Figures {
	own := *cmp.Or(cmp.Or(p, &noPolicy).figures, &packaging.Figures{})
	return &own
}

// Name returns the policy's name.
func (p *Policy) Name() string { return cmp.Or(p, &noPolicy).doc.Name }

// Title returns one line that says whose documents the policy follows.
func (p *Policy) Title() string { return cmp.Or(p, &noPolicy).doc.Title }

// Documents returns the documents the policy follows.
func (p *Policy) Documents() []moistheat.Source {
	return slices.Clone(cmp.Or(p, &noPolicy).doc.Documents)
}

// LeavesOpen returns what the policy does not decide, a sentence each.
func (p *Policy) LeavesOpen() []string { return slices.Clone(cmp.Or(p, &noPolicy).doc.LeavesOpen) }

// Rule returns a rule with the severity and effects that the policy gives it, and
// whether it is in force, on the day of [Policy.On] if one was given. An unknown id
// gives a zero Rule that is not in force.
func (p *Policy) Rule(id string) (r moistheat.Rule, inForce bool) {
	p = cmp.Or(p, &noPolicy)
	if s := p.rules[id]; s != nil {
		return s.rule, s.on(p.day)
	}
	return moistheat.Rule{}, false
}

// Rules returns every rule of the policy as [Policy.Rule] does, in force or not, sorted by
// ID: those of the library and of [OwnRules].
func (p *Policy) Rules() []moistheat.Rule {
	var out []moistheat.Rule
	for _, s := range cmp.Or(p, &noPolicy).rules {
		out = append(out, s.rule)
	}
	slices.SortFunc(out, func(a, b moistheat.Rule) int { return strings.Compare(a.ID, b.ID) })
	return out
}

// accepts reports whether a finding with these sources may count as met.
func (p *Policy) accepts(sources moistheat.Sources) bool {
	if p.doc.Accept == nil {
		return true
	}
	for s := range sources.All() {
		if slices.Contains(p.doc.Accept, s.Basis) {
			return true
		}
	}
	return false
}

// Apply gives a finding what the policy makes of it, as [Check] does: its severity, and
// another outcome where its rule is not in force or the pass rests on no accepted
// basis. Of what is open it says whether it rests on a document of the policy, what it does
// and whether it stands in the way of a release. It reports whether the policy has such a
// rule; a finding of one that it does not know is internal, as are all under a nil or zero
// policy.
func (p *Policy) Apply(f *moistheat.Finding) bool { return p.apply(f) != nil }

// apply is the one place where a policy meets a finding. It gives the finding the
// policy's severity, marks it where its rule is not in force, and takes back a pass
// that rests on no accepted basis. It returns what the policy makes of the rule, or
// nil for a rule that does not exist.
func (p *Policy) apply(f *moistheat.Finding) *ruleState {
	if f == nil {
		return nil
	}
	if p == nil || p.rules[f.Rule] == nil { // by a policy that knows nothing, nothing is met
		f.Outcome, f.Reason = moistheat.Internal, ""
		f.Effect, f.Blocks = moistheat.Effect{Load: moistheat.Quarantine}, f.Waiver == nil
		return nil
	}
	s := p.rules[f.Rule]
	f.Severity = s.rule.Severity
	switch {
	case !s.on(p.day):
		f.Outcome, f.Reason = moistheat.NotInForce, ""
	case f.Outcome == moistheat.Met && !p.accepts(f.Sources):
		f.Outcome, f.Reason = moistheat.Undetermined, moistheat.BasisNotAccepted
	}
	f.Effect, f.Blocks = moistheat.Effect{}, false
	if f.Outcome > moistheat.Met {
		p.ground(s, f)
		f.Effect = p.effect(s, f)
		f.Blocks = blocks(f)
	}
	return s
}

// cycleLimits returns what package cycle is to hold the evidence against.
func (p *Policy) cycleLimits() cycle.Limits {
	return cycle.Limits{
		Band:       figureOf(p.doc.Limits.Band),
		Spread:     figureOf(p.doc.Limits.Spread),
		Saturation: figureOf(p.doc.Limits.Saturation),
	}
}

// figureOf returns the figure of a limit, the zero Figure of one that is not stated.
func figureOf[U units.Unit](l *moistheat.Figure[U]) moistheat.Figure[U] {
	return *orElse(l, &moistheat.Figure[U]{})
}

// figuresDoc holds the figures of this package's own rules.
type figuresDoc struct {
	Format        string                                  `json:"format"`
	Overlap       moistheat.Figure[units.RatioUnit]       `json:"overlap"`
	Condensate    condensateFigures                       `json:"condensate"`
	IncubatorLow  moistheat.Figure[units.TemperatureUnit] `json:"incubatorLow"`
	IncubatorHigh moistheat.Figure[units.TemperatureUnit] `json:"incubatorHigh"`
	// The ends of all ranges that indicators state: beyond them none grows by its instructions.
	IncubatorLowest  moistheat.Figure[units.TemperatureUnit] `json:"incubatorLowest"`
	IncubatorHighest moistheat.Figure[units.TemperatureUnit] `json:"incubatorHighest"`
	Cooling          moistheat.Figure[units.DurationUnit]    `json:"cooling"` // from the opening of the door, at least
	// Emergency are the texts that let an implant go before its test is read, where it must.
	Emergency []moistheat.Source `json:"emergency"`
}

// condensateFigures say how much steam condenses on cold steel: its heat capacity,
// one number, and the latent heat of saturated steam at rising temperatures.
type condensateFigures struct {
	SteelKJPerKgKelvin []float64        `json:"steelKJPerKgKelvin"`
	LatentCelsius      []float64        `json:"latentCelsius"`
	LatentKJPerKg      []float64        `json:"latentKJPerKg"`
	Source             moistheat.Source `json:"source"`
}

//go:embed data/figures.json
var figuresData []byte

var figuresValue lazy.Value[*figuresDoc]

func figures() *figuresDoc {
	return figuresValue.Get(func() *figuresDoc {
		return strictjson.MustRead[figuresDoc](figuresData, "")
	})
}

// Which findings rest on documents that the policy follows, and what those may do that rest
// on general practice from elsewhere.

// generalPractice says what a finding may do that rests on no document of the policy.
type generalPractice struct {
	Quarantine moistheat.Answer `json:"quarantine"`
	Why        string           `json:"why"`
}

// follows reports whether a source is a document of the policy, in an edition that it
// follows, or the facility's own word.
func (p *Policy) follows(s moistheat.Source) bool {
	for name := range strings.SplitSeq(s.Document, "; ") {
		if slices.ContainsFunc(p.doc.Documents, func(d moistheat.Source) bool {
			return d.Document == name && (d.Edition == "" || s.Edition == "" || d.Edition == s.Edition)
		}) {
			return true
		}
	}
	return s.Basis == moistheat.Facility
}

// cite returns of some sources those that are the policy's own documents, or all of them if
// none is, and says which.
func (p *Policy) cite(sources moistheat.Sources) (moistheat.Sources, bool) {
	var own []moistheat.Source
	for s := range sources.All() {
		if p.follows(s) {
			own = append(own, s)
		}
	}
	if own == nil {
		return sources, false
	}
	return moistheat.SourcesOf(own...), true
}

// ground says on what a finding rests that a person has to deal with.
func (p *Policy) ground(s *ruleState, f *moistheat.Finding) {
	if f.Sources.Equal(s.rule.Sources) {
		f.Sources, f.Own = s.cited, s.own
		return
	}
	f.Sources, f.Own = p.cite(f.Sources)
}

// general reports whether a finding rests on general practice from elsewhere: on no document
// of the policy, and not on arithmetic or the record itself either.
func general(f *moistheat.Finding) bool {
	for s := range f.Sources.All() {
		if s.Basis == moistheat.Derived {
			return false
		}
	}
	return !f.Own
}

// effect returns what a finding of a rule does. Where the policy lets general practice advise
// only, that quarantines nothing; what can reject a pack or a load, or take a sterilizer out
// of service, is not softened so, nor what is missing of it.
func (p *Policy) effect(s *ruleState, f *moistheat.Finding) moistheat.Effect {
	e := s.rule.Effect(f.Outcome)
	if g := p.doc.GeneralPractice; g != nil && g.Quarantine == moistheat.No && !s.unwaivable &&
		f.Outcome != moistheat.Internal && general(f) {
		e.Pack, e.Load = 0, 0
	}
	return e
}

const mayQuarantine lang.Text = "may quarantine"

// about describes the policy in a report.
func (p *Policy) about() PolicyName {
	n := PolicyName{Name: p.Name(), Title: p.Title(), Digest: p.Digest()}
	if p == nil {
		return n
	}
	n.AsksLess, n.LeavesOpen = slices.Clone(p.doc.AsksLess), p.LeavesOpen()
	does := mayQuarantine
	if g := p.doc.GeneralPractice; g != nil && g.Quarantine == moistheat.No {
		does = "only advises"
	}
	n.GeneralPractice = string(does)
	return n
}

// On returns the policy as it stands on a day: rules that have not started yet or
// have ended are not in force, and of tables with dates only those count that apply.
// On a day that nobody recorded, an invalid one, all of them count, and of tables
// that succeed each other the one that asks more: what is missing loosens nothing.
// [Check] and its like do this by themselves, with the date of sterilization.
func (p *Policy) On(day moistheat.Date) *Policy {
	q := *cmp.Or(p, &noPolicy)
	q.day, q.written = day, nil
	return &q
}

// Dates returns the first day on which the policy asks a rule and the first on which
// it no longer does. An invalid date stands for an end that is not stated.
func (p *Policy) Dates(id string) (from, until moistheat.Date) {
	if s := cmp.Or(p, &noPolicy).rules[id]; s != nil {
		return s.from, s.until
	}
	return from, until
}

// lookup returns what the policy's tables ask for a class of load: the first table
// that applies on the day and has a matching row. While the day is not known, a table
// with dates may not be the one: the next is asked too, and the longer hold counts.
func (p *Policy) lookup(set cycle.Settings, class cycle.LoadClass) (hardest cycle.Requirement) {
	for _, t := range p.tables {
		info := t.Info()
		dated := info.From.IsValid() || info.Until.IsValid()
		if !t.InForce(p.day) {
			continue
		}
		got, ok := t.Lookup(set, class)
		if !ok {
			continue
		}
		if hardest.Table == "" || got.NotApplicable || !hardest.NotApplicable && got.Hold.Compare(hardest.Hold) > 0 {
			hardest = got
		}
		if !dated || p.day.IsValid() {
			break
		}
	}
	return hardest
}

// mildest returns the shortest hold that any table of the policy asks on the day for a
// class of load.
func (p *Policy) mildest(set cycle.Settings, class cycle.LoadClass) (mild cycle.Requirement) {
	for _, t := range p.tables {
		got, ok := t.Lookup(set, class)
		if t.InForce(p.day) && ok && !got.NotApplicable && (mild.Table == "" || got.Hold.Compare(mild.Hold) < 0) {
			mild = got
		}
	}
	return mild
}

// near returns the rows of the policy's tables on the day that are next to what was set.
func (p *Policy) near(set cycle.Settings, class cycle.LoadClass) (out []cycle.Requirement) {
	for _, t := range p.tables {
		if t.InForce(p.day) {
			out = append(out, t.Near(set, class)...)
		}
	}
	return out
}

// on reports whether the rule counts on a day.
func (s *ruleState) on(day moistheat.Date) bool { return s.inForce && day.Within(s.from, s.until) }

// judgedBy is everything that a policy judges by. Of what it says besides, such as its
// title and who decided it, nothing counts.
type judgedBy struct {
	library string
	doc     policyDoc
	rules   []judgedRule
	tables  []*cycle.Table
	figures *packaging.Figures
	waters  []*water.Limits
}

type judgedRule struct {
	id                   string
	severity             moistheat.Severity
	broken, undetermined moistheat.Effect
	noWaiver, inForce    bool
	from, until          moistheat.Date
	sources              moistheat.Sources
}

// Digest returns the SHA-256, in hexadecimal, of everything that the policy judges by:
// its rules with their effects, severities and days, its tables, figures and limits, its
// base, the bases that it accepts, the version of the library and those of [OwnRules]. Two
// policies that judge differently have different digests. The day of [Policy.On] does not count.
func (p *Policy) Digest() string {
	if p == nil {
		return ""
	}
	if p.digest == nil { // the zero Policy
		return p.sum()
	}
	return p.digest.Get(p.sum)
}

func (p *Policy) sum() string {
	all := judgedBy{library: moistheat.Version, doc: p.doc, tables: p.tables, figures: p.figures, waters: p.waters}
	all.doc.Format, all.doc.Name, all.doc.Title = "", "", ""
	all.doc.Decision, all.doc.LeavesOpen, all.doc.AsksLess, all.doc.Rules = nil, nil, nil, nil
	for id, s := range p.rules {
		r := s.rule
		all.rules = append(all.rules, judgedRule{id, r.Severity, r.Broken, r.Undetermined, s.unwaivable, s.inForce, s.from, s.until, r.Sources})
	}
	slices.SortFunc(all.rules, func(a, b judgedRule) int { return cmp.Compare(a.id, b.id) })
	h := sha256.New()
	w := bufio.NewWriter(h)
	canonical(w, reflect.ValueOf(all))
	if p.ownNames != nil { // of conditions only their version can be told
		canonical(w, reflect.ValueOf(slices.Sorted(slices.Values(p.ownNames))))
	}
	w.Flush()
	return hex.EncodeToString(h.Sum(nil))
}

// canonical writes a value so that different values give different bytes, and whatever a
// type holds is written: no list of members has to be kept. Maps and functions are no
// part of a policy.
func canonical(w *bufio.Writer, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			w.WriteByte('-')
			return
		}
		w.WriteByte('*')
		canonical(w, v.Elem())
	case reflect.Struct:
		for i := range v.NumField() {
			canonical(w, v.Field(i))
		}
	case reflect.Slice:
		if v.IsNil() {
			w.WriteByte('-')
			return
		}
		fallthrough
	case reflect.Array:
		w.WriteString("[" + strconv.Itoa(v.Len()) + " ")
		for i := range v.Len() {
			canonical(w, v.Index(i))
		}
	case reflect.String:
		w.WriteString(strconv.Itoa(v.Len()) + ":")
		io.WriteString(w, v.String())
	case reflect.Bool:
		w.WriteString(strconv.FormatBool(v.Bool()) + " ")
	case reflect.Float32, reflect.Float64:
		w.WriteString(strconv.FormatFloat(v.Float(), 'g', -1, 64) + " ")
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		w.WriteString(strconv.FormatInt(v.Int(), 10) + " ")
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		w.WriteString(strconv.FormatUint(v.Uint(), 10) + " ")
	default:
		panic("load: a policy holds a " + v.Type().String())
	}
}
