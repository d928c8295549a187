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

	in moistheat.Language
}

// In returns a copy of the proposal that says in another language what [Proposal.Text] says.
func (p *Proposal) In(l moistheat.Language) *Proposal {
	out := *cmp.Or(p, &Proposal{})
	out.in = l
	return &out
}

// Text returns what a person is to decide about the proposal, an entry each: which habits may be
// signed, which were not always kept, and which packs hold something else than their set.
func (p *Proposal) Text() string {
	p = cmp.Or(p, &Proposal{})
	var b strings.Builder
	line := func(text lang.Text, pairs ...string) {
		b.WriteString(p.in.Wrap("", "  ", say(p.in, text, pairs...)))
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
// What only a load can show is not in it, nor is what a record has from a catalogue: one that
// was resolved is passed over, and so are packs and items that refer to one. Versions of one
// record count as one load. Which entries there are does not depend on the order of the
// records. An error is what [load.Catalogue.Validate] finds.
func Propose(records iter.Seq[*load.Record], from moistheat.Date) (*Proposal, error) {
	l := learner{loads: map[string]int{}, items: learned[load.ItemType]{}, units: learned[load.SterilizerEntry]{},
		packs: learned[load.PackType]{}, programs: map[string]learned[load.Program]{}, sets: map[string]variants{},
		habits: map[load.Habit]*keeping{}}
	nothing, err := (&load.Catalogue{Format: load.CatalogueFormat, ID: "nothing"}).Facts()
	if err != nil {
		return nil, err
	}
	for r := range records {
		if r != nil && len(r.Origins()) == 0 {
			l.add(nothing.Resolve(r, nil)) // says of each pack what the record says of all
		}
	}
	p := l.proposal(from)
	return p, p.Catalogue.Validate()
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

func (l *learner) add(r *load.Record) {
	if _, known := l.loads[r.ID]; !known {
		l.loads[r.ID] = len(l.loads)
	}
	n := l.loads[r.ID]
	l.sterilizer(r, n)
	for i := range r.Packs {
		p := &r.Packs[i].Pack
		if p.Type == "" && p.Barrier != "" {
			kind := kindOf(p)
			l.packs.hear(written(kind), n, kind)
		}
		for j := range p.Items {
			if it := &p.Items[j]; it.Type == "" {
				l.items.hear(it.Name, n, partsOf(it)...)
			}
		}
		l.set(r.ID, p, n)
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
	l.units.hear(s.ID, n, parts...)
	if r.Cycle == nil || r.Cycle.Program != "" {
		return
	}
	program := load.Program{Purpose: r.Cycle.Purpose, Type: r.Cycle.Type, Settings: r.Cycle.Settings}
	if reflect.ValueOf(program.Settings).IsZero() {
		return
	}
	if l.programs[s.ID] == nil {
		l.programs[s.ID] = learned[load.Program]{}
	}
	l.programs[s.ID].hear(written(program), n, program)
}

// set takes down what a pack holds, if it says of each item how many there are.
func (l *learner) set(record string, p *packaging.Pack, n int) {
	counts := map[string]int{}
	for i := range p.Items {
		it := &p.Items[i]
		if it.Count < 1 || it.Name == "" || it.Type != "" {
			return
		}
		counts[it.Name] += it.Count
	}
	if p.Set != "" || len(counts) == 0 {
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
	if p.Label != nil && p.Label.Contents != "" {
		name = p.Label.Contents
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
	v.packs = append(v.packs, [2]string{record, p.ID})
}

func (l *learner) proposal(from moistheat.Date) *Proposal {
	c := &load.Catalogue{Format: load.CatalogueFormat, ID: "proposal"}
	out := &Proposal{Catalogue: c}
	for id, e := range l.items.agreed() {
		e.Entry = load.Entry{ID: id, From: from}
		c.Items = append(c.Items, e)
	}
	names := map[string]int{}
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
		if k := l.habits[h]; k.loads.enough() {
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
	slices.SortFunc(others, func(a, b Deviation) int {
		return cmp.Or(strings.Compare(a.Record, b.Record), strings.Compare(a.Pack, b.Pack))
	})
	return set, slices.CompactFunc(others, func(a, b Deviation) bool { return reflect.DeepEqual(a, b) })
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
