package history

import (
	"encoding/json"
	"maps"
	"math/big"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
)

// What records say beyond the catalogue that they refer to, and against it.

// Contradiction is a member of an entry of the catalogue of which records state something else.
type Contradiction struct {
	Pointer string   `json:"pointer"` // into the catalogue
	Entry   string   `json:"entry"`   // its ID
	Records []string `json:"records"` // their IDs
}

// entryKey is an entry of the catalogue, by its list and its place in it.
type entryKey struct {
	list string
	at   int
}

func (k entryKey) String() string { return "/" + k.list + "/" + strconv.Itoa(k.at) }

// addition is a member that an entry leaves open, as loads state it.
type addition struct {
	vote[reflect.Value]
	path []int // of fields
}

// statement is what one load says of an entry.
type statement struct {
	of     entryKey
	id     string // of the entry
	load   int
	record string
	fixed  bool // nothing can be added
}

// catalogued is the catalogue that records refer to, and what they say of its entries.
type catalogued struct {
	c          *load.Catalogue // nil: there is none
	from       moistheat.Date  // the first day of what is proposed
	more       map[entryKey]map[string]*addition
	against    map[string]*Contradiction // by pointer
	deviations []Deviation
}

// find returns the place of the entry that is in force on the day of a load, or else on the
// first day of the proposal, or -1.
func (k *catalogued) find(id string, day moistheat.Date, entries []load.Entry) int {
	for _, on := range []moistheat.Date{day, k.from} {
		for i := range entries {
			if e := &entries[i]; e.ID == id && id != "" && on.IsValid() && on.Within(e.From, e.Until) {
				return i
			}
		}
	}
	return -1
}

func entriesOf[T any](list []T, entry func(*T) load.Entry) []load.Entry {
	out := make([]load.Entry, len(list))
	for i := range list {
		out[i] = entry(&list[i])
	}
	return out
}

func (k *catalogued) items() []load.Entry {
	return entriesOf(k.c.Items, func(e *load.ItemType) load.Entry { return e.Entry })
}

func (k *catalogued) sets() []load.Entry {
	return entriesOf(k.c.Sets, func(e *load.Set) load.Entry { return e.Entry })
}

func (k *catalogued) packs() []load.Entry {
	return entriesOf(k.c.Packs, func(e *load.PackType) load.Entry { return e.Entry })
}

func (k *catalogued) sterilizers() []load.Entry {
	return entriesOf(k.c.Sterilizers, func(e *load.SterilizerEntry) load.Entry { return e.Entry })
}

// item returns the ID of the type of an item and its place, or -1. One that refers to no type
// is of the type whose ID or name it has.
func (k *catalogued) item(it *packaging.Item, day moistheat.Date) (id string, at int) {
	id = it.Type
	if id == "" {
		id = it.Name
	}
	if k.c == nil {
		return id, -1
	}
	entries := k.items()
	if at = k.find(id, day, entries); at >= 0 || it.Type != "" {
		return id, at
	}
	for i := range k.c.Items {
		if e := &k.c.Items[i]; e.Name == it.Name && k.find(e.ID, day, entries) == i {
			if at >= 0 { // two are called so
				return id, -1
			}
			at = i
		}
	}
	if at >= 0 {
		id = k.c.Items[at].ID
	}
	return id, at
}

// mostHeld is how many contents of sets in a set are followed.
const mostHeld = 1000

// holds returns what a set comes to, or nil where that is too much to follow.
func (k *catalogued) holds(set int, day moistheat.Date) map[string]int {
	out, steps, entries := map[string]int{}, 0, k.sets()
	var add func(set, times int) bool
	add = func(set, times int) bool {
		for _, c := range k.c.Sets[set].Contents {
			if steps++; steps > mostHeld || c.Count > mostHeld*mostHeld/times {
				return false
			}
			if c.Set == "" {
				out[c.Item] += times * c.Count
			} else if in := k.find(c.Set, day, entries); in < 0 || !add(in, times*c.Count) {
				return false
			}
		}
		return true
	}
	if !add(set, 1) {
		return nil
	}
	return out
}

// set reports whether there is a set of a name, and whether it, or else any set, holds as many of
// each item. One that is too much to follow may.
func (k *catalogued) set(name string, counts map[string]int, day moistheat.Date) (known, same bool) {
	if k.c == nil {
		return false, false
	}
	entries := k.sets()
	if at := k.find(name, day, entries); at >= 0 {
		list := k.holds(at, day)
		return true, list == nil || maps.Equal(list, counts)
	}
	for i := range entries {
		if k.find(entries[i].ID, day, entries) == i && maps.Equal(k.holds(i, day), counts) {
			return false, true
		}
	}
	return false, false
}

// ofItem takes down what a load states of an item whose type is known.
func (k *catalogued) ofItem(it *packaging.Item, s statement) {
	e := &k.c.Items[s.of.at]
	said := load.ItemType{Class: it.Class, Kind: it.Kind, HasTraits: it.HasTraits, Traits: it.Traits,
		HasLumens: it.HasLumens, Lumens: it.Lumens, Materials: it.Materials,
		HeatTolerant: it.HeatTolerant, GuardVented: it.GuardVented, Instructions: it.Instructions}
	k.some(&said.HasTraits, len(said.Traits), e.HasTraits, len(e.Traits), s, "/hasTraits", "/traits")
	k.some(&said.HasLumens, len(said.Lumens), e.HasLumens, len(e.Lumens), s, "/hasLumens", "/lumens")
	if e.HasTraits == moistheat.No {
		said.Traits = nil
	}
	if e.HasLumens == moistheat.No {
		said.Lumens = nil
	}
	k.compare(reflect.ValueOf(said), reflect.ValueOf(*e), s, "", nil)
}

// some compares whether there are any of a list, which both may list instead.
func (k *catalogued) some(said *moistheat.Answer, listed int, known moistheat.Answer, knownListed int, s statement,
	has, list string) {
	switch {
	case listed > 0 && known == moistheat.No:
		k.contradict(s, has)
	case knownListed > 0 && *said == moistheat.No:
		k.contradict(s, list)
	}
	if listed > 0 || knownListed > 0 {
		*said = moistheat.NotRecorded
	}
}

// ofPack takes down what a load states of a pack whose type is known.
func (k *catalogued) ofPack(p *packaging.Pack, s statement) {
	e, said := &k.c.Packs[s.of.at], kindOf(p)
	for i, kind := range e.Indicators {
		for _, own := range said.Indicators {
			if own.Place == kind.Place {
				s := s
				s.fixed = true
				k.compare(reflect.ValueOf(own), reflect.ValueOf(kind), s, "/indicators/"+strconv.Itoa(i), nil)
			}
		}
	}
	said.Indicators = nil
	k.compare(reflect.ValueOf(said), reflect.ValueOf(*e), s, "", nil)
}

// program reports whether a cycle ran a program of a sterilizer that is known, and takes down
// what the load states of the one that it refers to.
func (k *catalogued) program(cycle *load.Cycle, said load.Program, s statement) bool {
	programs := k.c.Sterilizers[s.of.at].Programs
	for i := range programs {
		p := &programs[i]
		switch {
		case cycle.Program == p.ID:
			s.fixed, said.ID = true, p.ID
			k.compare(reflect.ValueOf(said), reflect.ValueOf(*p), s, "/programs/"+strconv.Itoa(i), nil)
			return true
		case cycle.Program == "" && written(said.Settings) == written(p.Settings) &&
			(said.Type == "" || said.Type == p.Type) && (said.Purpose == "" || said.Purpose == p.Purpose):
			return true
		}
	}
	return false
}

// compare takes down which members of an entry a load states otherwise, and which the entry
// leaves open.
func (k *catalogued) compare(said, entry reflect.Value, s statement, at string, path []int) {
	for i := range said.NumField() {
		f, e, field := said.Field(i), entry.Field(i), said.Type().Field(i)
		if f.IsZero() || field.Type == reflect.TypeFor[load.Entry]() {
			continue
		}
		name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
		at, path := at+"/"+name, append(slices.Clone(path), i)
		switch {
		case e.IsZero():
			if !s.fixed {
				k.add(s, at, path, f)
			}
		case f.Kind() == reflect.Pointer:
			k.compare(f.Elem(), e.Elem(), s, at, path)
		case f.Kind() == reflect.Struct && field.Type.NumField() > 0 && field.Type.Field(0).IsExported():
			k.compare(f, e, s, at, path)
		case !alike(f, e):
			k.contradict(s, at)
		}
	}
}

// alike reports whether two members say the same, quantities in whichever unit and lists in
// whichever order.
func alike(a, b reflect.Value) bool {
	type exact interface{ Rat() *big.Rat }
	if a, ok := a.Interface().(exact); ok {
		return a.Rat().Cmp(b.Interface().(exact).Rat()) == 0
	}
	return spelled(a) == spelled(b)
}

func spelled(v reflect.Value) string {
	if v.Kind() != reflect.Slice {
		data, _ := json.Marshal(v.Interface()) // what cannot be written says nothing
		return string(data)
	}
	all := make([]string, v.Len())
	for i := range all {
		all[i] = spelled(v.Index(i))
	}
	slices.Sort(all)
	return strings.Join(all, "\n")
}

func (k *catalogued) contradict(s statement, at string) {
	at = s.of.String() + at
	if k.against[at] == nil {
		k.against[at] = &Contradiction{Pointer: at, Entry: s.id}
	}
	if c := k.against[at]; !slices.Contains(c.Records, s.record) {
		c.Records = append(c.Records, s.record)
	}
}

func (k *catalogued) add(s statement, at string, path []int, f reflect.Value) {
	if k.more[s.of] == nil {
		k.more[s.of] = map[string]*addition{}
	}
	a := k.more[s.of][at]
	if a == nil {
		a = &addition{vote: vote[reflect.Value]{value: f, key: spelled(f)}, path: path}
		k.more[s.of][at] = a
	}
	a.split = a.split || a.key != spelled(f)
	a.loads.add(s.load)
}

// completed returns the entries of a list to which enough loads add something, each as a whole,
// in force from the day.
func completed[T any](k *catalogued, list string, entries []T, entry func(*T) *load.Entry) (out []T, err error) {
	for i := range entries {
		more := k.more[entryKey{list, i}]
		if e := entry(&entries[i]); len(more) == 0 || !k.from.Within(e.From, e.Until) {
			continue
		}
		data, err := json.Marshal(entries[i])
		if err != nil {
			return nil, err
		}
		var own T
		if err := json.Unmarshal(data, &own); err != nil {
			return nil, err
		}
		added := false
		for _, at := range slices.Sorted(maps.Keys(more)) {
			if a := more[at]; a.loads.enough() && !a.split {
				member(reflect.ValueOf(&own).Elem(), a.path).Set(a.value)
				added = true
			}
		}
		if added {
			entry(&own).From = k.from
			out = append(out, own)
		}
	}
	return out, nil
}

// member returns the member of an entry that a path of fields leads to.
func member(v reflect.Value, path []int) reflect.Value {
	for _, i := range path {
		if v.Kind() == reflect.Pointer {
			v = v.Elem()
		}
		v = v.Field(i)
	}
	return v
}

// ends lets what is proposed end where a later entry of its ID begins.
func (k *catalogued) ends(e *load.Entry, entries []load.Entry) {
	for i := range entries {
		o := &entries[i]
		if o.ID == e.ID && o.From.Compare(e.From) > 0 && (!e.Until.IsValid() || o.From.Compare(e.Until) < 0) {
			e.Until = o.From
		}
	}
}

// joined returns the catalogue with what is proposed.
func (k *catalogued) joined(p *load.Catalogue) *load.Catalogue {
	out := *k.c
	out.Items = withNew(k.c.Items, p.Items, func(e *load.ItemType) *load.Entry { return &e.Entry })
	out.Sets = withNew(k.c.Sets, p.Sets, func(e *load.Set) *load.Entry { return &e.Entry })
	out.Packs = withNew(k.c.Packs, p.Packs, func(e *load.PackType) *load.Entry { return &e.Entry })
	out.Sterilizers = withNew(k.c.Sterilizers, p.Sterilizers,
		func(e *load.SterilizerEntry) *load.Entry { return &e.Entry })
	return &out
}

// withNew lets an entry end where a proposed one of its ID begins.
func withNew[T any](known, proposed []T, entry func(*T) *load.Entry) []T {
	var out []T
	for _, e := range known {
		own := entry(&e)
		keep := true
		for i := range proposed {
			if p := entry(&proposed[i]); p.ID == own.ID && p.From.Within(own.From, own.Until) {
				keep, own.Until = p.From.Compare(own.From) > 0, p.From
			}
		}
		if keep {
			out = append(out, e)
		}
	}
	return append(out, proposed...)
}

// signed reports whether a practice is signed of a habit and in force on the day.
func (k *catalogued) signed(h load.Habit) bool {
	return k.c != nil && slices.ContainsFunc(k.c.Practices, func(p load.Practice) bool {
		year := p.From.AddMonths(12)
		return p.Habit == h && k.from.Within(p.From, p.Until) && k.from.Compare(year) < 0
	})
}
