package history

import (
	"cmp"
	"encoding/json"
	"iter"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
)

// What [Propose] asks for. Both are the library's own choice: no document states them.
const (
	enoughLoads = 5  // that state something, before it is proposed
	mostDeviate = 10 // of so many packs of a set one may hold something else
)

// Proposal is what past records agree on, for a person to read, change and sign.
type Proposal struct {
	// Catalogue has item types, sets, pack types and sterilizers. It is valid and has no
	// practice, as none is signed; its ID is to be changed.
	Catalogue *load.Catalogue `json:"catalogue"`
	// Habits are those that at least five loads kept. One that no load contradicts is fit to
	// be signed, by a person who knows that it is always kept.
	Habits []Observed `json:"habits,omitempty"`
	// Deviations are the packs that hold something else than the set that their label names.
	Deviations []Deviation `json:"deviations,omitempty"`
	// Contradictions are what the catalogue that the records refer to says otherwise than they do.
	Contradictions []Contradiction `json:"contradictions,omitempty"`

	in moistheat.Language
}

// In returns a copy of the proposal that says in another language what [Proposal.Text] says.
func (p *Proposal) In(l moistheat.Language) *Proposal {
	out := *cmp.Or(p, &Proposal{})
	out.in = l
	return &out
}

// Text returns what a person is to decide about the proposal, a line each: which habits may be
// signed, which were not always kept, and which packs hold something else than their set.
func (p *Proposal) Text() string {
	p = cmp.Or(p, &Proposal{})
	var b strings.Builder
	line := func(text lang.Text, pairs ...string) {
		b.WriteString(moistheat.Visible(say(p.in, text, pairs...)) + "\n")
	}
	for _, h := range p.Habits {
		if len(h.Contradicted) == 0 {
			line("may be signed: {habit:load.Habit} (loads: {kept:number})", "habit", string(h.Habit), "kept",
				strconv.Itoa(h.Kept))
			continue
		}
		line("not always kept: {habit:load.Habit} (loads: {kept:number}; otherwise at {records})", "habit",
			string(h.Habit), "kept", strconv.Itoa(h.Kept), "records", listed(slices.Clone(h.Contradicted)))
	}
	for _, d := range p.Deviations {
		line("deviates: pack {pack} of record {record} from set {set}", "pack", prose.Name(d.Pack), "record",
			prose.Name(d.Record), "set", prose.Name(d.Set))
	}
	for _, c := range p.Contradictions {
		line("contradicts the catalogue: {pointer} of the entry {id} (records: {records})", "pointer", c.Pointer, "id",
			prose.Name(c.Entry), "records", listed(slices.Clone(c.Records)))
	}
	return b.String()
}

// Observed is how a habit was kept.
type Observed struct {
	Habit        load.Habit `json:"habit"`
	Kept         int        `json:"kept"`                   // loads
	Contradicted []string   `json:"contradicted,omitempty"` // IDs of the records that state otherwise
}

// Deviation is a pack that holds something else than its set.
type Deviation struct {
	Record string         `json:"record"`
	Pack   string         `json:"pack"`
	Set    string         `json:"set"`
	Holds  []load.Content `json:"holds"`
}

// Propose returns what records agree on, as entries in force from a day. What at least five
// loads state and none contradicts is proposed, member by member: of an item, by its name;
// of a sterilizer, by its ID, with the programs that it ran. Packs that are packaged alike
// become a type. A set is named as the labels of its packs name their contents, or by what
// it holds, and is proposed if no more than one pack in ten of that name deviates.
//
// What only a load can show is not in it. Versions of one record count as one load. Which entries
// there are does not depend on the order of the records. An error is what
// [load.Catalogue.Validate] finds.
//
// With the catalogue that the records refer to, only what that does not have is proposed: entries
// to be added to it. Of an entry that it leaves open in part the whole is proposed, and the earlier
// one ends on the day. Named are the packs that hold something else than their set, what records
// state otherwise than an entry, and the signed practices that they contradict. Without one, nil,
// packs and items that refer to a catalogue are passed over. A record that was resolved is passed
// over always: what a catalogue says is not learned from it.
func Propose(records iter.Seq[*load.Record], from moistheat.Date, known *load.Catalogue) (*Proposal, error) {
	if known != nil {
		if err := known.Validate(); err != nil {
			return nil, err
		}
	}
	l := learner{loads: map[string]int{}, items: learned[load.ItemType]{}, units: learned[load.SterilizerEntry]{},
		packs: learned[load.PackType]{}, programs: map[string]learned[load.Program]{}, sets: map[string]variants{},
		habits: map[load.Habit]*keeping{}, known: catalogued{c: known, from: from,
			more: map[entryKey]map[string]*addition{}, against: map[string]*Contradiction{}}}
	nothing, err := (&load.Catalogue{Format: load.CatalogueFormat, ID: "nothing"}).Facts()
	if err != nil {
		return nil, err
	}
	for r := range records {
		if r != nil && len(r.Origins()) == 0 {
			l.add(nothing.Resolve(r, nil), r.AllPacks) // says of each pack what the record says of all
		}
	}
	p := l.proposal(from)
	if known == nil {
		return p, p.Catalogue.Validate()
	}
	if err := l.beyond(p); err != nil {
		return nil, err
	}
	return p, l.known.joined(p.Catalogue).Validate()
}

// learner is what the records read so far state.
type learner struct {
	loads    map[string]int // by ID of record
	items    learned[load.ItemType]
	units    learned[load.SterilizerEntry]
	programs map[string]learned[load.Program] // by sterilizer
	packs    learned[load.PackType]           // by what they are
	sets     map[string]variants
	habits   map[load.Habit]*keeping
	known    catalogued
}

// learned is what loads state of entries of one kind.
type learned[T any] map[string]*statedOf[T]

type statedOf[T any] struct {
	loads loadSet
	parts []vote[T]
}

// vote is how loads state one part of an entry.
type vote[T any] struct {
	value T
	key   string // "": it is not stated
	loads loadSet
	split bool // they contradict each other
}

// loadSet counts loads.
type loadSet map[int]struct{}

func (t *loadSet) add(load int) {
	if *t == nil {
		*t = loadSet{}
	}
	(*t)[load] = struct{}{}
}

func (t loadSet) enough() bool { return len(t) >= enoughLoads }

// variants are what packs of a set hold, by how that is written.
type variants map[string]*variant

type variant struct {
	holds []load.Content
	loads loadSet
	packs [][2]string // IDs of record and pack
}

type keeping struct {
	loads        loadSet
	contradicted map[string]bool
}

// hear takes down what a load states of an entry: each part is an entry with members that
// are one statement.
func (l learned[T]) hear(id string, loadNo int, parts ...T) {
	if id == "" {
		return
	}
	e := l[id]
	if e == nil {
		e = &statedOf[T]{parts: make([]vote[T], len(parts))}
		l[id] = e
	}
	e.loads.add(loadNo)
	for i := range parts {
		if reflect.ValueOf(parts[i]).IsZero() {
			continue
		}
		v := &e.parts[i]
		switch key := written(parts[i]); v.key {
		case "":
			v.key, v.value = key, parts[i]
		case key:
		default:
			v.split = true
		}
		v.loads.add(loadNo)
	}
}

// written returns the members that a part states, as they are written. What no reader takes
// is written as nothing.
func written(part any) string {
	var out []byte
	v := reflect.ValueOf(part)
	for i := range v.NumField() {
		if v.Field(i).IsZero() {
			continue
		}
		data, err := json.Marshal(v.Field(i).Interface())
		if err != nil {
			return ""
		}
		out = append(append(append(out, v.Type().Field(i).Name...), ' '), data...)
	}
	return string(out)
}

// agreed returns the entries that enough loads have, by ID, with the parts that they agree on.
func (l learned[T]) agreed() iter.Seq2[string, T] {
	return func(yield func(string, T) bool) {
		for _, id := range slices.Sorted(maps.Keys(l)) {
			var out T
			for _, v := range l[id].parts {
				if v.loads.enough() && !v.split && v.key != "" {
					fillIn(reflect.ValueOf(&out).Elem(), reflect.ValueOf(v.value))
				}
			}
			if l[id].loads.enough() && !yield(id, out) {
				return
			}
		}
	}
}

// fillIn copies the members that a part states.
func fillIn(to, part reflect.Value) {
	for i := range part.NumField() {
		switch f := part.Field(i); {
		case f.IsZero():
		case f.Type() == reflect.TypeFor[load.Site]():
			fillIn(to.Field(i), f)
		default:
			to.Field(i).Set(f)
		}
	}
}

func (l *learner) add(r *load.Record, all *load.AllPacks) {
	if _, known := l.loads[r.ID]; !known {
		l.loads[r.ID] = len(l.loads)
	}
	n := l.loads[r.ID]
	l.sterilizer(r, n)
	for i := range r.Packs {
		p := &r.Packs[i].Pack
		l.pack(r, p, n)
		for j := range p.Items {
			it := &p.Items[j]
			switch id, at := l.known.item(it, r.Load.Date); {
			case at >= 0:
				l.known.ofItem(it, statement{of: entryKey{"items", at}, id: id, load: n, record: r.ID})
			case it.Type == "" || l.known.c != nil:
				l.items.hear(id, n, partsOf(it)...)
			}
		}
		l.set(r, p, all, n)
	}
	for _, h := range r.Kept() {
		l.habit(h).loads.add(n)
	}
	for _, h := range r.Contradicted() {
		l.habit(h).contradicted[r.ID] = true
	}
}

func (l *learner) habit(h load.Habit) *keeping {
	if l.habits[h] == nil {
		l.habits[h] = &keeping{contradicted: map[string]bool{}}
	}
	return l.habits[h]
}

// pack takes down how a pack is packaged, if the catalogue does not have it.
func (l *learner) pack(r *load.Record, p *packaging.Pack, n int) {
	kind, k := kindOf(p), &l.known
	if k.c != nil {
		entries := k.packs()
		if at := k.find(p.Type, r.Load.Date, entries); at >= 0 {
			k.ofPack(p, statement{of: entryKey{"packs", at}, id: p.Type, load: n, record: r.ID})
			return
		}
		for i := range k.c.Packs {
			if e := k.c.Packs[i]; k.find(e.ID, r.Load.Date, entries) == i {
				e.Entry, e.Tare = load.Entry{}, kind.Tare
				if e.Label != nil {
					label := *e.Label
					label.Keep = calendar.Period{}
					e.Label = &label
				}
				if written(e) == written(kind) {
					return
				}
			}
		}
	}
	if p.Barrier != "" && (p.Type == "" || k.c != nil) {
		l.packs.hear(written(kind), n, kind)
	}
}

// partsOf returns what a record states of an item that is so of every item of the kind.
// Traits and lumens are stated as a whole, and so are instructions, in which a member that
// is absent is one that the manufacturer leaves open.
func partsOf(it *packaging.Item) []load.ItemType {
	traits := load.ItemType{HasTraits: it.HasTraits, Traits: slices.Sorted(slices.Values(it.Traits))}
	if len(traits.Traits) > 0 && traits.HasTraits == moistheat.Yes {
		traits.HasTraits = moistheat.NotRecorded // which they are, is said
	}
	lumens := load.ItemType{HasLumens: it.HasLumens, Lumens: it.Lumens}
	if len(lumens.Lumens) > 0 && lumens.HasLumens == moistheat.Yes {
		lumens.HasLumens = moistheat.NotRecorded
	}
	return []load.ItemType{
		{Class: it.Class}, {Kind: it.Kind}, traits, lumens, {Materials: slices.Sorted(slices.Values(it.Materials))},
		{HeatTolerant: it.HeatTolerant}, {GuardVented: it.GuardVented}, {Instructions: it.Instructions},
	}
}

// kindOf returns how a pack is packaged, of what a catalogue may say.
func kindOf(p *packaging.Pack) load.PackType {
	kind := load.PackType{Barrier: p.Barrier, Layers: p.Layers, Size: p.Size, SteamFit: p.SteamFit,
		AirRemoval: p.AirRemoval, Use: p.Use}
	if p.Double != nil {
		if own := (packaging.Double{SameSize: p.Double.SameSize, Validated: p.Double.Validated}); own != (packaging.Double{}) {
			kind.Double = &own
		}
	}
	if p.Wrap != nil {
		own := *p.Wrap
		if own.Washed = moistheat.NotRecorded; own != (packaging.Wrap{}) {
			kind.Wrap = &own
		}
	}
	if p.Seal != nil && p.Seal.Sealer == "" {
		if own := (load.SealType{Method: p.Seal.Method, Width: p.Seal.Width}); own != (load.SealType{}) {
			kind.Seal = &own
		}
	}
	if p.Label != nil {
		if own := (load.LabelType{On: p.Label.On, FastInk: p.Label.FastInk}); own != (load.LabelType{}) {
			kind.Label = &own
		}
	}
	places := map[packaging.IndicatorPlace]bool{}
	for i := range p.Indicators {
		n := &p.Indicators[i]
		if places[n.Place] { // a type tells indicators apart by their places
			kind.Indicators = nil
			break
		}
		places[n.Place] = true
		kind.Indicators = append(kind.Indicators,
			load.IndicatorType{Place: n.Place, Type: n.Type, Visible: n.Visible, Area: n.Area})
	}
	slices.SortFunc(kind.Indicators, func(a, b load.IndicatorType) int { return cmp.Compare(a.Place, b.Place) })
	return kind
}

func (l *learner) sterilizer(r *load.Record, n int) {
	s, site := &r.Sterilizer, r.Site
	parts := []load.SterilizerEntry{
		{Site: load.Site{Name: site.Name}}, {Site: load.Site{Altitude: site.Altitude}}, {OnlyOne: s.OnlyOne},
		{DeclaredFor: s.DeclaredFor}, {CycleTypes: s.CycleTypes}, {Capacity: s.Capacity}, {Accessory: s.Accessory},
		{AirDetector: s.AirDetector}, {RecordsTraces: s.RecordsTraces}, {}, {},
	}
	if a := r.Arrangement; a != nil {
		parts[len(parts)-2].Chamber, parts[len(parts)-1].Trays = a.Chamber, a.Trays
	}
	at, k := -1, &l.known
	if k.c != nil {
		at = k.find(s.ID, r.Load.Date, k.sterilizers())
	}
	of := statement{of: entryKey{"sterilizers", at}, id: s.ID, load: n, record: r.ID}
	if at < 0 {
		l.units.hear(s.ID, n, parts...)
	} else {
		var said load.SterilizerEntry
		for _, part := range parts {
			fillIn(reflect.ValueOf(&said).Elem(), reflect.ValueOf(part))
		}
		k.compare(reflect.ValueOf(said), reflect.ValueOf(k.c.Sterilizers[at]), of, "", nil)
	}
	if r.Cycle == nil || k.c == nil && r.Cycle.Program != "" {
		return
	}
	program := load.Program{Purpose: r.Cycle.Purpose, Type: r.Cycle.Type, Settings: r.Cycle.Settings}
	if at >= 0 && k.program(r.Cycle, program, of) || reflect.ValueOf(program.Settings).IsZero() {
		return
	}
	if l.programs[s.ID] == nil {
		l.programs[s.ID] = learned[load.Program]{}
	}
	l.programs[s.ID].hear(written(program), n, program)
}

// set takes down what a pack holds, if it says of each item how many there are.
func (l *learner) set(r *load.Record, p *packaging.Pack, all *load.AllPacks, n int) {
	counts, k := map[string]int{}, &l.known
	for i := range p.Items {
		it := &p.Items[i]
		id, _ := k.item(it, r.Load.Date)
		if it.Count < 1 || id == "" || it.Type != "" && k.c == nil {
			return
		}
		counts[id] += it.Count
	}
	if p.Set != "" && k.c == nil || len(counts) == 0 {
		return
	}
	var holds []load.Content
	var said []string
	for _, name := range slices.Sorted(maps.Keys(counts)) {
		holds = append(holds, load.Content{Item: name, Count: counts[name]})
		said = append(said, strconv.Itoa(counts[name])+" "+name)
	}
	key := written(load.Set{Contents: holds})
	name := strings.Join(said, ", ")
	switch {
	case p.Set != "":
		name = p.Set
	case p.Label != nil && p.Label.Contents != "":
		name = p.Label.Contents
	case all != nil && all.Label != nil && all.Label.Contents != "" && !slices.Contains(all.Except, p.ID):
		name = all.Label.Contents // whether or not it is known that the pack has a barrier
	}
	switch set, same := k.set(name, counts, r.Load.Date); {
	case set && !same:
		k.deviations = append(k.deviations, Deviation{Record: r.ID, Pack: p.ID, Set: name, Holds: holds})
		return
	case set || same:
		return
	}
	if l.sets[name] == nil {
		l.sets[name] = variants{}
	}
	v := l.sets[name][key]
	if v == nil {
		v = &variant{holds: holds}
		l.sets[name][key] = v
	}
	v.loads.add(n)
	v.packs = append(v.packs, [2]string{r.ID, p.ID})
}

func (l *learner) proposal(from moistheat.Date) *Proposal {
	c := &load.Catalogue{Format: load.CatalogueFormat, ID: "proposal"}
	out := &Proposal{Catalogue: c}
	for id, e := range l.items.agreed() {
		e.Entry = load.Entry{ID: id, From: from}
		c.Items = append(c.Items, e)
	}
	names := map[string]int{}
	if l.known.c != nil {
		for _, e := range l.known.packs() {
			names[e.ID] = max(names[e.ID], 1)
		}
	}
	for _, e := range l.packs.agreed() {
		e.Entry = load.Entry{ID: numbered(names, string(e.Barrier)), From: from}
		c.Packs = append(c.Packs, e)
	}
	for id, e := range l.units.agreed() {
		e.Entry = load.Entry{ID: id, From: from}
		names := map[string]int{}
		for _, p := range l.programs[id].agreed() {
			p.ID = numbered(names, programName(&p))
			e.Programs = append(e.Programs, p)
		}
		c.Sterilizers = append(c.Sterilizers, e)
	}
	for _, name := range slices.Sorted(maps.Keys(l.sets)) {
		set, others := l.sets[name].settle(name)
		if set == nil {
			continue
		}
		c.Sets = append(c.Sets, load.Set{Entry: load.Entry{ID: name, From: from}, Contents: set.holds})
		out.Deviations = append(out.Deviations, others...)
	}
	for _, h := range slices.Sorted(maps.Keys(l.habits)) {
		k := l.habits[h]
		if signed := l.known.signed(h); !signed && k.loads.enough() || signed && len(k.contradicted) > 0 {
			out.Habits = append(out.Habits, Observed{h, len(k.loads), slices.Sorted(maps.Keys(k.contradicted))})
		}
	}
	return out
}

// settle returns what the packs of a name hold, and those that hold something else; nil if
// too few packs hold the same.
func (v variants) settle(name string) (set *variant, others []Deviation) {
	all := 0
	keys := slices.Sorted(maps.Keys(v))
	for _, key := range keys {
		all += len(v[key].packs)
		if set == nil || len(v[key].packs) > len(set.packs) {
			set = v[key]
		}
	}
	if !set.loads.enough() || (all-len(set.packs))*mostDeviate > all {
		return nil, nil
	}
	for _, key := range keys {
		if v[key] == set {
			continue
		}
		for _, p := range v[key].packs {
			others = append(others, Deviation{Record: p[0], Pack: p[1], Set: name, Holds: v[key].holds})
		}
	}
	return set, inOrder(others)
}

// inOrder returns deviations by record and pack, each once.
func inOrder(all []Deviation) []Deviation {
	slices.SortFunc(all, func(a, b Deviation) int {
		return cmp.Or(strings.Compare(a.Record, b.Record), strings.Compare(a.Pack, b.Pack))
	})
	return slices.CompactFunc(all, func(a, b Deviation) bool { return reflect.DeepEqual(a, b) })
}

// beyond adds to a proposal what records say of what the catalogue has.
func (l *learner) beyond(p *Proposal) error {
	k, c := &l.known, p.Catalogue
	items, err1 := completed(k, "items", k.c.Items, func(e *load.ItemType) *load.Entry { return &e.Entry })
	packs, err2 := completed(k, "packs", k.c.Packs, func(e *load.PackType) *load.Entry { return &e.Entry })
	units, err3 := completed(k, "sterilizers", k.c.Sterilizers,
		func(e *load.SterilizerEntry) *load.Entry { return &e.Entry })
	if err := cmp.Or(err1, err2, err3); err != nil {
		return err
	}
	c.Items, c.Packs = append(c.Items, items...), append(c.Packs, packs...)
	c.Sterilizers = l.programmed(c.Sterilizers, units)
	for i := range c.Items {
		k.ends(&c.Items[i].Entry, k.items())
	}
	for i := range c.Sets {
		k.ends(&c.Sets[i].Entry, k.sets())
	}
	for i := range c.Packs {
		k.ends(&c.Packs[i].Entry, k.packs())
	}
	for i := range c.Sterilizers {
		k.ends(&c.Sterilizers[i].Entry, k.sterilizers())
	}
	p.Deviations = inOrder(append(p.Deviations, k.deviations...))
	for _, at := range slices.SortedFunc(maps.Keys(k.against), moistheat.ComparePointers) {
		slices.Sort(k.against[at].Records)
		p.Contradictions = append(p.Contradictions, *k.against[at])
	}
	return nil
}

// programmed returns sterilizers with those to which loads add a member or a program.
func (l *learner) programmed(fresh, completed []load.SterilizerEntry) []load.SterilizerEntry {
	k, entries := &l.known, l.known.sterilizers()
	for i := range k.c.Sterilizers {
		e := k.c.Sterilizers[i]
		if !k.from.Within(e.From, e.Until) {
			continue
		}
		at := slices.IndexFunc(completed, func(c load.SterilizerEntry) bool { return c.ID == e.ID })
		names, programs := map[string]int{}, slices.Clone(e.Programs)
		for _, p := range programs {
			names[p.ID]++
		}
		for _, p := range l.programs[e.ID].agreed() {
			p.ID = numbered(names, programName(&p))
			programs = append(programs, p)
		}
		switch {
		case len(programs) == len(e.Programs) || k.find(e.ID, k.from, entries) != i:
		case at >= 0:
			completed[at].Programs = programs
		default:
			e.From, e.Programs = k.from, programs
			completed = append(completed, e)
		}
	}
	return append(fresh, completed...)
}

// programName says what a program is set to.
func programName(p *load.Program) string {
	var words []string
	if p.Settings.AirRemoval != "" {
		words = append(words, string(p.Settings.AirRemoval))
	}
	if p.Settings.Temperature.IsValid() {
		words = append(words, p.Settings.Temperature.String())
	}
	if p.Settings.Hold.IsValid() {
		words = append(words, p.Settings.Hold.String())
	}
	return cmp.Or(strings.Join(words, ", "), "program")
}

// numbered returns a name that was not used before.
func numbered(used map[string]int, name string) string {
	used[name]++
	if n := used[name]; n > 1 {
		return name + " (" + strconv.Itoa(n) + ")"
	}
	return name
}
