package loadtest

import (
	"cmp"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
)

// VectorsFormat is the value of a vector file's "format" member.
const VectorsFormat = "moistheat.vectors/1"

// BasesFormat is the value of the "format" member of the list of bases, which is not a
// published format: corpus/README.md describes it.
const BasesFormat = "moistheat.bases/1"

// File is one file of vectors, about one family of rules.
type File struct {
	Format  string      `json:"format"` // [VectorsFormat]
	About   string      `json:"about"`
	Vectors []*Vector   `json:"vectors"`
	Exempt  []Exemption `json:"exempt,omitzero"`
}

// Exemption says why a rule has no vector of a case.
type Exemption struct {
	Rule string `json:"rule"`
	Case Case   `json:"case"`
	Why  string `json:"why"`
}

// Vector is one condition: a valid base, one change to it, and what the library
// must then find. A vector belongs to the corpus that it comes from, where its base
// and its policy are looked up. To make one of your own, change a vector of
// [Corpus.Vectors], which is a copy, or write files and [Read] them. A vector made
// from nothing belongs to no corpus and cannot be run.
type Vector struct {
	ID      string          `json:"id"` // rule: case, or rule: case, what
	Rule    string          `json:"rule"`
	Case    Case            `json:"case"`
	Subject Subject         `json:"judges"`
	Policy  json.RawMessage `json:"policy"` // name of a policy, or a facility's own as an object
	Base    string          `json:"base"`
	At      time.Time       `json:"at,omitzero"` // of a history: the instant to judge it at
	On      moistheat.Date  `json:"on,omitzero"` // of a stored pack: the day to judge it on
	Patch   []Op            `json:"patch"`
	Known   *load.Known     `json:"known,omitzero"` // of a record: what is known of its sterilizer; nil: nothing
	// Catalogue names one of the corpus that a record is resolved with; "": the record stands alone.
	Catalogue string   `json:"catalogue,omitzero"`
	Expect    Expected `json:"expect"`
	Why       string   `json:"why"`             // published source, or how the expectation was derived
	ByHand    bool     `json:"byHand,omitzero"` // the verdict was worked out from the document before the code ran

	corpus *Corpus
}

// Expected is what a vector must give.
type Expected struct {
	Outcome moistheat.Outcome `json:"outcome"`
	// Pointer is where the finding of the vector's rule lies; absent, it is about the
	// whole. An outcome not applicable or not in force has none, and neither has a rule
	// that a plan does not list because it is met.
	Pointer string `json:"pointer,omitzero"`
	// Only says that no other finding is open than this one and those of Also.
	Only bool    `json:"only,omitzero"`
	Also []Found `json:"also,omitzero"` // further findings that the change causes, open or met

	Load  moistheat.Disposition   `json:"load,omitzero"`
	Packs []moistheat.Disposition `json:"packs,omitzero"`

	// Hazards are among those that the verdict warns of at the rule of the vector, which is open.
	Hazards []moistheat.Hazard `json:"hazards,omitzero"`
}

// Found is a finding as tests compare it: which rule found what, and where.
type Found struct {
	Rule    string            `json:"rule"`
	Pointer string            `json:"pointer,omitzero"`
	Outcome moistheat.Outcome `json:"outcome"`
}

// Case is the sort of condition that a vector shows. The zero Case is invalid.
type Case string

const (
	CaseMet           Case = "met"
	CaseBroken        Case = "broken"          // beyond the limit, or of a kind that the rule forbids
	CaseAtLimit       Case = "at the limit"    // exactly at the limit
	CaseUndetermined  Case = "undetermined"    // the evidence is missing
	CaseNotApplicable Case = "not applicable"  // the rule is about something that is not there
	CaseNotInForce    Case = "not in force"    // the policy leaves the rule out
	CaseDayBefore     Case = "day before"      // the rule comes into force on the day after
	CaseDayOf         Case = "day of validity" // the rule comes into force on the day itself
	CaseUnitVariant   Case = "unit variant"    // the same quantity in another unit
)

// Subject says what judges a vector. The zero value is invalid.
type Subject string

const (
	SubjectRecord  Subject = "record"  // [load.CheckKnowing]
	SubjectHistory Subject = "history" // [history.History.Findings]
	SubjectStored  Subject = "stored"  // [history.CheckStored]
	SubjectPlan    Subject = "plan"    // [load.CheckPacking], and [load.CycleObjections] for the cycle that the record names
)

var subjects = [...]Subject{SubjectRecord, SubjectHistory, SubjectStored, SubjectPlan}

// asks reports whether a rule is one of those that s evaluates. A plan asks some of the
// rules of a record.
func (s Subject) asks(rule moistheat.Rule) bool {
	of := judgeOf(rule)
	return s == of || s == SubjectPlan && of == SubjectRecord
}

// judgeOf returns the one judge that evaluates a rule, plans apart.
func judgeOf(rule moistheat.Rule) Subject {
	switch rule.Scope {
	case moistheat.SterilizerScope, moistheat.EventScope:
		return SubjectHistory
	case moistheat.StoredPackScope:
		return SubjectStored
	}
	return SubjectRecord
}

// Base is a valid document that vectors change: a record, a stored pack, or the
// lines of a history as a list.
type Base struct {
	Name    string   `json:"name"`
	Subject Subject  `json:"judges"`
	About   string   `json:"about"`
	Clean   []string `json:"clean"` // policies under which nothing about it is open
	// At and On are when a history or a stored pack is judged.
	At time.Time      `json:"at,omitzero"`
	On moistheat.Date `json:"on,omitzero"`

	tree any
}

// bases is the list of bases as it stands in its file.
type bases struct {
	Format string  `json:"format"` // [BasesFormat]
	Bases  []*Base `json:"bases"`
}

// Corpus is a set of vectors with what they refer to. It never changes and is safe
// for concurrent use: its methods return copies, which the caller may change.
type Corpus struct {
	files    map[string]*File
	bases    map[string]*Base
	policies map[string]json.RawMessage
	facts    map[string]*load.Facts
	own      []load.OwnRules // which every policy asks, too
	rules    *load.Policy    // one that asks them; nil: there are none

	read *sync.Map // policies, by what a vector names or holds
}

//go:embed corpus
var embedded embed.FS

var conformance lazy.Value[*loaded]

// know learns own rules by a policy that asks them.
func (c *Corpus) know(own []load.OwnRules) error {
	if own == nil {
		return nil
	}
	p, err := load.PolicyFor(load.Policies()[0]) // any knows all rules
	if err == nil {
		c.rules, err = p.WithRules(own...)
	}
	return err
}

// rule returns the rule of that name, and whether there is one.
func (c *Corpus) rule(id string) (moistheat.Rule, bool) {
	if c != nil && c.rules != nil {
		r, _ := c.rules.Rule(id)
		return r, r.ID != ""
	}
	return load.Rule(id)
}

type loaded struct {
	corpus *Corpus
	err    error
}

// Conformance returns the corpus that comes with the library.
func Conformance() (*Corpus, error) {
	r := conformance.Get(func() *loaded {
		sub, _ := fs.Sub(embedded, "corpus") // of which only the name could be wrong
		c, err := Read(sub)
		return &loaded{c, err}
	})
	if r.err != nil {
		return nil, r.err
	}
	own := *r.corpus // whose caller may not overwrite the one of all
	return &own, nil
}

// Read reads a corpus: bases.json, bases/*.json, policies/*.json and vectors/*.json,
// as corpus/README.md describes them. A directory is [os.DirFS]; files in memory are
// [testing/fstest.MapFS]. Read is as strict as the readers of records, and refuses
// rules that do not exist and ids that are given twice. What else is wrong with single
// vectors shows when they are run. Own rules are asked, too, whichever policy a vector names
// or holds; vectors of theirs may change the bases of the library, where there is no bases.json.
func Read(fsys fs.FS, own ...load.OwnRules) (*Corpus, error) {
	c := &Corpus{files: map[string]*File{}, bases: map[string]*Base{}, policies: map[string]json.RawMessage{},
		facts: map[string]*load.Facts{}, own: own, read: new(sync.Map)}
	if err := c.know(own); err != nil {
		return nil, err
	}
	if err := c.readBases(fsys); err != nil {
		return nil, err
	}
	policies, _ := fs.Glob(fsys, "policies/*.json") // of which only the pattern could be wrong
	for _, name := range policies {
		data, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, err
		}
		if _, err := load.ParsePolicy(data); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		c.policies[stem(name)] = data
	}
	if err := c.readCatalogues(fsys); err != nil {
		return nil, err
	}
	names, _ := fs.Glob(fsys, "vectors/*.json")
	ids := map[string]string{} // and the file of each
	for _, name := range names {
		data, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, err
		}
		f, err := strictjson.Read[File](data, limits(), VectorsFormat)
		if err != nil {
			return nil, fmt.Errorf("loadtest: %s: %w", name, err)
		}
		for i, v := range f.Vectors {
			if err := c.check(v, ids); err != nil {
				return nil, fmt.Errorf("loadtest: %s: /vectors/%d%w", name, i, err)
			}
			ids[v.ID], v.corpus = name, c
		}
		c.files[stem(name)] = f
	}
	return c, nil
}

// readCatalogues reads the catalogues that records of a corpus are resolved with.
func (c *Corpus) readCatalogues(fsys fs.FS) error {
	names, _ := fs.Glob(fsys, "catalogues/*.json") // of which only the pattern could be wrong
	for _, name := range names {
		data, err := fs.ReadFile(fsys, name)
		if err != nil {
			return err
		}
		catalogue, err := load.DecodeCatalogue(data)
		if err != nil {
			return fmt.Errorf("loadtest: %s: %w", name, err)
		}
		if c.facts[stem(name)], err = catalogue.Facts(); err != nil {
			return fmt.Errorf("loadtest: %s: %w", name, err)
		}
	}
	return nil
}

// readBases reads the bases of a corpus.
func (c *Corpus) readBases(fsys fs.FS) error {
	data, err := fs.ReadFile(fsys, "bases.json")
	if errors.Is(err, fs.ErrNotExist) && c.own != nil {
		library, err := Conformance()
		if err == nil {
			c.bases = library.bases
		}
		return err
	}
	if err != nil {
		return err
	}
	list, err := strictjson.Read[bases](data, limits(), BasesFormat)
	if err != nil {
		return fmt.Errorf("loadtest: bases.json: %w", err)
	}
	for _, b := range list.Bases {
		if data, err = fs.ReadFile(fsys, "bases/"+b.Name+".json"); err != nil {
			return err
		}
		if b.tree, err = parse(data); err != nil {
			return fmt.Errorf("loadtest: bases/%s.json: %w", b.Name, err)
		}
		c.bases[b.Name] = b
	}
	return nil
}

// stem returns the name of a file without its folder and ending.
func stem(name string) string { return strings.TrimSuffix(path.Base(name), ".json") }

// check says what is wrong with a vector that was read, after the pointer to the
// member in question. ids are those of the vectors before it, with their files.
func (c *Corpus) check(v *Vector, ids map[string]string) error {
	if other, taken := ids[v.ID]; taken {
		return fmt.Errorf("/id: there is a vector %.80q in %s already; give each an id of its own", v.ID, other)
	}
	if _, known := c.rule(v.Rule); !known {
		return fmt.Errorf("/rule: there is no rule %.80q; load.Rules lists them", v.Rule)
	}
	if p := v.Policy[0]; p != '"' && p != '{' {
		return fmt.Errorf("/policy: %w: want the name of a policy or a policy", moistheat.ErrShape)
	}
	return nil
}

func limits() strictjson.Limits {
	l := strictjson.Default()
	l.Size = 64 << 20
	return l
}

// or returns the corpus, an empty one for a nil one.
func (c *Corpus) or() *Corpus {
	if c == nil {
		return &Corpus{}
	}
	return c
}

// Files returns copies of the vector files, by their names without the ending, such as
// "seals".
func (c *Corpus) Files() map[string]*File {
	out := map[string]*File{}
	for name, f := range c.or().files {
		g := *f
		g.Vectors, g.Exempt = copies(f.Vectors), slices.Clone(f.Exempt)
		out[name] = &g
	}
	return out
}

// Vectors returns copies of all vectors, file by file in order of their names.
func (c *Corpus) Vectors() []*Vector {
	var out []*Vector
	for _, name := range slices.Sorted(maps.Keys(c.or().files)) {
		out = append(out, copies(c.files[name].Vectors)...)
	}
	return out
}

func copies(in []*Vector) []*Vector {
	out := make([]*Vector, 0, len(in))
	for _, v := range in {
		out = append(out, v.copy())
	}
	return out
}

// copy returns a copy that shares nothing with the vector but its corpus.
func (v *Vector) copy() *Vector {
	w := *v
	w.Policy = slices.Clone(v.Policy)
	if v.Known != nil {
		k := *v.Known
		k.Tests, k.Pending = slices.Clone(k.Tests), slices.Clone(k.Pending)
		k.Outages, k.Traces = slices.Clone(k.Outages), slices.Clone(k.Traces)
		k.Suspicions, k.Controls = slices.Clone(k.Suspicions), slices.Clone(k.Controls)
		k.Prions, k.Practices, k.Items = slices.Clone(k.Prions), slices.Clone(k.Practices), slices.Clone(k.Items)
		k.Batches, k.Qualified, k.Duties = deep(k.Batches), deep(k.Qualified), slices.Clone(k.Duties)
		w.Known = &k
	}
	w.Patch = slices.Clone(v.Patch)
	for i := range w.Patch {
		w.Patch[i].Value = slices.Clone(w.Patch[i].Value)
	}
	w.Expect.Also, w.Expect.Packs = slices.Clone(v.Expect.Also), slices.Clone(v.Expect.Packs)
	w.Expect.Hazards = slices.Clone(v.Expect.Hazards)
	return &w
}

// Policies returns copies of the facility policies of the corpus, documents for
// [load.ParsePolicy], by name. Vectors name them beside the built-in ones, which
// [load.Policies] lists.
func (c *Corpus) Policies() map[string]json.RawMessage {
	out := map[string]json.RawMessage{}
	for name, doc := range c.or().policies {
		out[name] = slices.Clone(doc)
	}
	return out
}

// Bases returns copies of the bases, sorted by name.
func (c *Corpus) Bases() []*Base {
	var out []*Base
	for _, name := range slices.Sorted(maps.Keys(c.or().bases)) {
		b := *c.bases[name] // whose document nobody can change
		b.Clean = slices.Clone(b.Clean)
		out = append(out, &b)
	}
	return out
}

// Document returns the base as JSON, with patches applied.
func (b *Base) Document(patch ...Op) ([]byte, error) {
	if b == nil || b.tree == nil {
		name := cmp.Or(b, &Base{}).Name
		return nil, fmt.Errorf("loadtest: base %.40q holds no document; take one from a corpus, by Corpus.Bases", name)
	}
	tree, err := patchTree(b.tree, patch)
	if err != nil {
		return nil, err
	}
	return json.Marshal(tree)
}

// policy returns the policy that a vector names or holds.
func (c *Corpus) policy(named json.RawMessage) (*load.Policy, error) {
	if p, ok := c.read.Load(string(named)); ok {
		own := *p.(*load.Policy) // which a caller may overwrite
		return &own, nil
	}
	doc := named
	if len(named) == 0 || named[0] == '"' {
		var name string
		if err := json.Unmarshal(named, &name); err != nil {
			return nil, fmt.Errorf("loadtest: the vector names no policy: %w", err)
		}
		if doc = c.policies[name]; doc == nil {
			p, err := load.PolicyFor(name)
			if err != nil || c.own == nil {
				return p, err
			}
			return p.WithRules(c.own...)
		}
	}
	p, err := load.ParsePolicy(doc)
	if err == nil && c.own != nil {
		p, err = p.WithRules(c.own...)
	}
	if err != nil {
		return nil, err
	}
	own := *p
	c.read.Store(string(named), &own)
	return p, nil
}

// deep returns a copy that shares nothing with what was read from a document.
func deep[T any](v T) (own T) {
	if data, err := json.Marshal(v); err != nil || json.Unmarshal(data, &own) != nil {
		return v
	}
	return own
}
