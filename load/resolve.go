package load

import (
	"cmp"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/internal/spelling"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

// Resolve returns a record in which what the record refers to is written out: the entries
// in force on the day of the load, and the practices that the policy takes as evidence; a
// nil policy takes none. What the record states itself stays, unless the catalogue asks for more
// of the same thing, which then counts and is said to differ; and who released the
// load was not authorised where the list of the staff says so. A reference that is written
// out is gone; one that leads nowhere on that day stays, and [Check] says so. The record
// given is not changed; nil gives nil.
func (f *Facts) Resolve(r *Record, p *Policy) *Record {
	if r == nil || f == nil || f.c == nil {
		return r
	}
	takes := []Habit{}
	if p != nil && p.rules != nil {
		takes = p.doc.Practices
	}
	return f.write(r, nil, nil, takes).r
}

// Spread returns the record with what it says of all packs said of each, and with the sealers
// that its packs named before it was resolved: for whoever asks which machine was used for what.
func (r *Record) Spread() *Record {
	if r == nil || r.AllPacks == nil && r.source == nil {
		return r
	}
	own := *r.spread()
	if r.source == nil {
		return &own
	}
	own.Packs = slices.Clone(own.Packs)
	for i, id := range r.source.sealers {
		if i < len(own.Packs) && own.Packs[i].Seal != nil {
			seal := *own.Packs[i].Seal
			seal.Sealer, own.Packs[i].Seal = id, &seal
		}
	}
	for i := range own.Packs[:min(len(own.Packs), len(r.source.raw.Packs))] {
		own.Packs[i].Set = cmp.Or(own.Packs[i].Set, r.source.raw.Packs[i].Set)
	}
	return &own
}

// Unresolved returns the record that one was resolved from, as it was written, and any other itself.
func (r *Record) Unresolved() *Record {
	if r == nil || r.source == nil {
		return r
	}
	return r.source.raw
}

// Origins returns where the members of a resolved record come from, by their pointers, and
// the entries that its parts refer to.
func (r *Record) Origins() map[string]moistheat.Origin {
	if r == nil || r.source == nil {
		return nil
	}
	return r.origins(nil)
}

// origins returns where what leads to some pointers comes from, and may return more; of nil
// it returns all.
func (r *Record) origins(wanted []string) map[string]moistheat.Origin {
	return r.source.facts.write(r.source.raw, map[string]moistheat.Origin{}, wanted, r.source.takes).from
}

// origin returns where a person edits what a member of the record says: the entry that it
// came from, or that the part with it refers to and that could say it. It is the zero Origin
// for the record itself.
func origin(from map[string]moistheat.Origin, pointer string) moistheat.Origin {
	if o, ok := from[pointer]; ok {
		return o
	}
	for at := pointer; at != ""; {
		at = at[:strings.LastIndexByte(at, '/')]
		o, ok := from[at]
		if !ok {
			continue
		}
		rest := pointer[len(at):]
		list, _, _ := strings.Cut(o.Pointer[1:], "/")
		name, _, _ := strings.Cut(rest[1:], "/")
		if !entrySays(list, name) {
			return moistheat.Origin{}
		}
		o.Pointer += rest
		return o
	}
	return moistheat.Origin{}
}

var said lazy.Value[map[[2]string]bool]

// entrySays reports whether the entries of a list have a member.
func entrySays(list, member string) bool {
	return said.Get(func() map[[2]string]bool {
		out := map[[2]string]bool{}
		t := reflect.TypeFor[Catalogue]()
		for i := range t.NumField() {
			if l := t.Field(i); l.Type.Kind() == reflect.Slice {
				for _, f := range reflect.VisibleFields(l.Type.Elem()) {
					out[[2]string{jsonName(l), jsonName(f)}] = true
				}
			}
		}
		return out
	})[[2]string{list, member}]
}

// source is what a resolved record was made from.
type source struct {
	raw   *Record
	facts *Facts
	takes []Habit
	use   CatalogueUse
	stranger
	differ  []difference
	sealers map[int]string // by pack
}

// writer writes one record out.
type writer struct {
	f    *Facts
	r    *Record
	day  moistheat.Date
	from map[string]moistheat.Origin // nil: it is not asked
	// wanted are pointers of which it is asked; nil: of every one.
	wanted []string

	takes   []Habit // that count as evidence; nil: every one
	filled  int     // members
	chamber string  // pointer of the chamber in the catalogue; "" where the record has its own
	use     CatalogueUse
	stranger
	differ  []difference
	sealers map[int]string
}

func (f *Facts) write(raw *Record, from map[string]moistheat.Origin, wanted []string, takes []Habit) *writer {
	w := &writer{f: f, r: new(Record), day: raw.Load.Date, from: from, wanted: wanted, takes: takes,
		use: CatalogueUse{ID: f.c.ID, Digest: f.digest}}
	*w.r = *raw
	w.sterilizer()
	w.supply()
	w.biologicals()
	w.r.Packs = slices.Clone(raw.Packs)
	for i := range w.r.Packs {
		w.kind(&w.r.Packs[i], i)
	}
	w.filling()
	w.strange()
	w.r = w.r.spread()
	for i := range w.r.Packs {
		w.pack(&w.r.Packs[i], i)
	}
	w.staff()
	w.habits()
	w.r.source = &source{raw, f, takes, w.use, w.stranger, w.differ, w.sealers}
	return w
}

// where is a pointer into the record, written out only when it is asked for.
type where struct {
	list string // with its slash, if it leads to element i of one
	i    int
	sub  string // the same in that element
	j    int
	part string // what follows

	member string // of that
}

func (p where) of(part string) where {
	p.part += part
	return p
}

func (p where) in(sub string, j int) where {
	p.sub, p.j = sub, j
	return p
}

func (p where) append(b []byte) []byte {
	if p.list != "" {
		b = strconv.AppendInt(append(b, p.list...), int64(p.i), 10)
	}
	if p.sub != "" {
		b = strconv.AppendInt(append(b, p.sub...), int64(p.j), 10)
	}
	return append(append(b, p.part...), p.member...)
}

func (p where) String() string { return string(p.append(nil)) }

func packWhere(i int) where { return where{list: "/packs/", i: i} }

// entry returns the entry that a name leads to and its place, or nil.
func entry[T interface{ entry() Entry }](w *writer, list []T, name, id string) (*T, string) {
	i := w.f.find(name, id, w.day, func(i int) Entry { return list[i].entry() })
	if i < 0 {
		return nil, ""
	}
	if w.from == nil {
		return &list[i], ""
	}
	return &list[i], entryAt(name, i)
}

// at returns the pointer of an element of a list, where pointers are asked.
func (w *writer) at(parent, list string, i int) string {
	if w.from == nil {
		return ""
	}
	return parent + list + strconv.Itoa(i)
}

// part notes that a part of the record refers to an entry.
func (w *writer) part(at where, source string) {
	if w.asks(at) {
		w.from[at.String()] = moistheat.Origin{Format: CatalogueFormat, ID: w.f.c.ID, Pointer: source}
	}
}

// opened reports whether a struct is a part with members, not one value.
func opened(t reflect.Type) bool {
	for i := range t.NumField() {
		if t.Field(i).IsExported() {
			return true
		}
	}
	return false
}

func jsonName(f reflect.StructField) string {
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	return name
}

func (w *writer) sterilizer() {
	r := w.r
	e, source := entry(w, w.f.c.Sterilizers, "sterilizers", r.Sterilizer.ID)
	if e == nil {
		return
	}
	at := where{part: "/sterilizer"}
	w.part(at, source)
	w.capacity(&r.Sterilizer, e)
	narrow(w, &r.Sterilizer.CycleTypes, e.CycleTypes, at, "/cycleTypes")
	narrow(w, &r.Sterilizer.DeclaredFor, e.DeclaredFor, at, "/declaredFor")
	w.strict(&r.Sterilizer.AirDetector, e.AirDetector, moistheat.No, at, "/airDetector")
	w.strict(&r.Sterilizer.RecordsTraces, e.RecordsTraces, moistheat.Yes, at, "/recordsTraces")
	most(w, &r.Sterilizer.DriedPerMinute, e.DriedPerMinute, -1, at, "/driedPerMinute")
	w.fill(&r.Sterilizer, e, at, source)
	if !r.Site.Barometer.IsValid() && !r.Site.Altitude.IsValid() {
		w.fill(&r.Site, &e.Site, where{part: "/site"}, source+"/site")
	}
	w.arrangement(e, source)
	if r.Cycle == nil || r.Cycle.Program == "" {
		return
	}
	for i := range e.Programs {
		if p := &e.Programs[i]; p.ID == r.Cycle.Program {
			own := *r.Cycle
			own.Program = ""
			w.program(&own, p)
			w.fill(&own, p, where{part: "/cycle"}, w.at(source, "/programs/", i))
			r.Cycle = &own
			return
		}
	}
}

func (w *writer) supply() {
	r := &w.r.Water
	if r.Reservoir == nil {
		return
	}
	if e, source := entry(w, w.f.c.Supplies, "supplies", r.Reservoir.Supply); e != nil {
		own := *r.Reservoir
		own.Supply = ""
		at := where{part: "/water/reservoir"}
		w.part(at, source)
		w.fill(&own, e, at, source)
		r.Reservoir = &own
	}
}

func (w *writer) biologicals() {
	w.r.Monitors.Biologicals = slices.Clone(w.r.Monitors.Biologicals)
	for i := range w.r.Monitors.Biologicals {
		b, at := &w.r.Monitors.Biologicals[i], where{list: "/monitors/biologicals/", i: i}
		if e, source := entry(w, w.f.c.Incubators, "incubators", b.Incubator); e != nil {
			b.Incubator = ""
			w.part(at, source)
			w.fill(b, e, at, source)
		}
		if e, source := w.lot(b.Lot); e != nil {
			lot := *e
			lot.Temperature = units.Temperature{} // that chemical indicators are rated for
			w.earlier(&b.Expires, e.Expires, at, "/expires")
			w.fill(b, &lot, at, source)
		}
	}
}

func (w *writer) lot(lot string) (*IndicatorLot, string) {
	return entry(w, w.f.c.Lots, "lots", w.f.lot(lot, w.day))
}

// kind writes out the type and the set of a pack.
func (w *writer) kind(p *Pack, i int) {
	at := packWhere(i)
	defer w.until(w.within(at))
	if e, _ := entry(w, w.f.c.Sets, "sets", p.Set); e != nil && p.Type == "" && p.Barrier == "" {
		p.Type = e.Pack
	}
	tare := units.Mass{}
	if e, source := entry(w, w.f.c.Packs, "packs", p.Type); e != nil {
		kind := *e
		kind.Label, kind.Seal = nil, nil // what is said of all packs, and by a sealer, is said first
		tare = e.Tare
		w.part(at, source)
		w.strict(&p.SteamFit, e.SteamFit, moistheat.No, at, "/steamFit")
		narrow(w, &p.AirRemoval, e.AirRemoval, at, "/airRemoval")
		w.layers(p, e, at)
		w.fill(&p.Pack, &kind, at, source)
		p.Indicators = w.indicators(p.Indicators, untyped(e.Indicators), at, source)
	}
	if items := w.contents(p.Set, at); items != nil {
		if len(p.Items) == 0 { // or what lies in the pack is not what the set says
			p.Items = items
		}
		p.Set = ""
	}
	w.weigh(p, tare, at)
}

// weigh adds up the mass of a pack, where that of its packaging and of every item in it is
// known. Of what was weighed and what was added up the heavier counts.
func (w *writer) weigh(p *Pack, tare units.Mass, at where) {
	if !tare.IsValid() {
		return
	}
	masses := []units.Mass{tare}
	for i := range p.Items {
		it := &p.Items[i]
		e, _ := entry(w, w.f.c.Items, "items", it.Type)
		if e == nil || !e.Mass.IsValid() || it.Count < 1 || it.Count > mostItems-len(masses) {
			return
		}
		for range it.Count {
			masses = append(masses, e.Mass)
		}
	}
	if sum, ok := units.Sum(masses); ok {
		w.heavier(&p.Mass, sum, at, "/mass")
	}
}

// pack writes out what else a pack refers to.
func (w *writer) pack(p *Pack, i int) {
	at := packWhere(i)
	defer w.until(w.within(at))
	p.Indicators = slices.Clone(p.Indicators)
	for i := range p.Indicators {
		if e, source := w.lot(p.Indicators[i].Lot); e != nil {
			at := at.in("/indicators/", i)
			w.earlier(&p.Indicators[i].Expires, e.Expires, at, "/expires")
			w.fewest(&p.Indicators[i].Type, e.Type, at, "/type")
			w.fill(&p.Indicators[i], e, at, source)
		}
	}
	if p.Seal != nil {
		if e, source := entry(w, w.f.c.Sealers, "sealers", p.Seal.Sealer); e != nil {
			own := *p.Seal
			if w.sealers == nil {
				w.sealers = map[int]string{}
			}
			w.sealers[i], own.Sealer = own.Sealer, ""
			at := at.of("/seal")
			w.part(at, source)
			most(w, &own.Width, e.Width, -1, at, "/width")
			most(w, &own.Strength, e.Strength, -1, at, "/strength")
			w.fill(&own, e, at, source)
			p.Seal = &own
		}
	}
	if e, source := entry(w, w.f.c.Packs, "packs", p.Type); e != nil {
		if p.Label != nil && e.Label != nil { // a pack without a label has none
			own := *p.Label
			w.fill(&own, e.Label, at.of("/label"), source+"/label")
			w.lasts(&own, e.Label, at.of("/label"), source+"/label/keep")
			p.Label = &own
		}
		w.fill(&p.Pack, &PackType{Seal: e.Seal}, at, source)
		p.Indicators = w.indicators(p.Indicators, e.Indicators, at, source)
		p.Type = ""
	}
	p.Items = slices.Clone(p.Items)
	for i := range p.Items {
		w.item(&p.Items[i], at.in("/items/", i))
	}
}

// indicators writes the indicators that packs of a type carry: those of the record by their
// places, and those that it does not mention, whose results are not recorded.
func (w *writer) indicators(own []packaging.Indicator, kinds []IndicatorType, at where,
	source string) []packaging.Indicator {
	own = slices.Clone(own)
	for k := range kinds {
		i := slices.IndexFunc(own, func(n packaging.Indicator) bool { return n.Place == kinds[k].Place })
		if i < 0 {
			i, own = len(own), append(own, packaging.Indicator{Place: kinds[k].Place})
		}
		w.fill(&own[i], &kinds[k], at.in("/indicators/", i), w.at(source, "/indicators/", k))
	}
	return own
}

// untyped returns indicators without their types, which their lots say first.
func untyped(kinds []IndicatorType) []IndicatorType {
	kinds = slices.Clone(kinds)
	for i := range kinds {
		kinds[i].Type = 0
	}
	return kinds
}

// mostItems is how many items a set gives at most; one that holds more stays open.
const mostItems = 1000

// contents returns the items of a set, each with its type.
func (w *writer) contents(set string, at where) []packaging.Item {
	var out []packaging.Item
	sets := 0
	var add func(id string, times int) bool
	add = func(id string, times int) bool {
		e, source := entry(w, w.f.c.Sets, "sets", id)
		if sets++; e == nil || sets > mostItems {
			return false
		}
		for i, c := range e.Contents {
			if c.Count > mostItems*mostItems/times {
				return false
			}
			if c.Set != "" {
				if !add(c.Set, times*c.Count) {
					return false
				}
				continue
			}
			if len(out) == mostItems {
				return false
			}
			w.part(at.in("/items/", len(out)), w.at(source, "/contents/", i))
			out = append(out, packaging.Item{Name: c.Item, Type: c.Item, Count: times * c.Count})
		}
		return true
	}
	if !add(set, 1) {
		return nil
	}
	return out
}

// item fills in what an item of a type is. The traits or lumens that a record
// lists are all of them. One that says there are none, where the type has some, does not count.
func (w *writer) item(it *packaging.Item, at where) {
	e, source := entry(w, w.f.c.Items, "items", it.Type)
	if e == nil {
		return
	}
	defer w.until(w.within(at))
	kind := *e
	for _, some := range [...]struct {
		own   *moistheat.Answer
		known moistheat.Answer
		name  string
	}{{&it.HasTraits, kind.HasTraits, "/hasTraits"}, {&it.HasLumens, kind.HasLumens, "/hasLumens"}} {
		if some.known == moistheat.Yes && *some.own == moistheat.No {
			w.differs(at.of(some.name), some.own.String(), some.known.String())
			*some.own = moistheat.NotRecorded // as the type says, then: which, is not recorded
		}
	}
	w.stricter(it, e, at)
	if len(it.Traits) > 0 {
		kind.HasTraits, kind.Traits = moistheat.NotRecorded, nil
	}
	if len(it.Lumens) > 0 {
		kind.HasLumens, kind.Lumens = moistheat.NotRecorded, nil
	}
	if it.Name == it.Type && kind.Name != "" {
		it.Name = kind.Name // of an item that a set gave
	}
	it.Type = ""
	w.part(at, source)
	w.fill(it, &kind, at, source)
}

// staff answers whether who released the load might do so on that day. No word of the record
// puts a person on the list.
func (w *writer) staff() {
	r := w.r.Release
	if r == nil || r.By == "" || r.Authorised == moistheat.No || r.Time.IsZero() {
		return
	}
	own := *r
	if len(w.f.by[reference{"staff", r.By}]) == 0 {
		if !w.f.employs(r.By, moistheat.DateOf(r.Time)) { // the record alone says that the person may
			own.Authorised = moistheat.NotRecorded
			w.r.Release = &own
		}
		return
	}
	own.Authorised = moistheat.No
	i := w.f.find("staff", r.By, moistheat.DateOf(r.Time), func(i int) Entry { return w.f.c.Staff[i].Entry })
	if i >= 0 && slices.Contains(w.f.c.Staff[i].Duties, DutyRelease) {
		own.Authorised = moistheat.Yes
	}
	if i >= 0 && own.Authorised != r.Authorised {
		w.part(where{part: "/release/authorised"}, entryAt("staff", i))
	}
	w.r.Release = &own
}

// habits fills in what the facility always does and the policy takes as evidence.
func (w *writer) habits() {
	if len(w.f.c.Practices) == 0 {
		return
	}
	if r := w.r.Water.Reservoir; r != nil {
		own := *r
		w.r.Water.Reservoir = &own
	}
	for i := range w.r.Packs {
		if l := w.r.Packs[i].Label; l != nil {
			own := *l
			w.r.Packs[i].Label = &own
		}
	}
	for i := range w.f.c.Practices {
		p := &w.f.c.Practices[i]
		if !p.inForce(w.day) || w.takes != nil && !slices.Contains(w.takes, p.Habit) {
			continue
		}
		if !w.f.employs(p.By, w.day) {
			w.unsigned = append(w.unsigned, i)
			continue
		}
		w.habit(p.ID, habitOf(p.Habit), w.at("/practices/", "", i))
	}
	for _, ids := range [...][]string{w.use.Practices, w.use.Suspended} {
		for _, id := range ids {
			w.use.Habits = append(w.use.Habits, w.f.habit(id))
		}
	}
}

// habit fills in one way of working. One pack or item of the load that was found otherwise
// suspends it for the whole load.
func (w *writer) habit(id string, h *habit, source string) {
	if h.contradicted(w.r) {
		w.use.Suspended = append(w.use.Suspended, id)
		return
	}
	before := w.filled
	h.each(w.r, func(to, from any, said []sharing, at where) { w.copy(said, to, from, at, source) })
	if n := w.filled - before; n > 0 {
		w.use.Practices, w.use.Members = append(w.use.Practices, id), w.use.Members+n
	}
}

// inForce reports whether a practice is in force on a day.
func (p *Practice) inForce(day moistheat.Date) bool {
	until := p.From.AddMonths(12)
	if p.Until.IsValid() && p.Until.Compare(until) < 0 {
		until = p.Until
	}
	return day.IsValid() && day.Within(p.From, until)
}

var habits = [...]Habit{ItemsCleaned, HingesOpened, ItemsTakenApart, PointsGuarded, HandlesFirst, MetalsApart,
	BarriersNew, AirPressedOut, OnEdgeApart, LabelledBefore, CooledOutside, ReservoirFresh}

// Contradicted returns the habits that were not kept at the load, as far as the record states
// it: one pack or item is enough. A record with references and the one resolved from it show
// the same, save that a pack whose barrier is not known may be a pouch.
func (r *Record) Contradicted() []Habit {
	if r == nil {
		return nil
	}
	var out []Habit
	for _, name := range habits {
		if h := habitOf(name); h.contradicted(r) {
			out = append(out, name)
		}
	}
	return out
}

// Kept returns the habits that were kept at the load, as far as the record states it: wholly of
// one pack or item at least, and otherwise of none.
func (r *Record) Kept() []Habit {
	if r == nil {
		return nil
	}
	var out []Habit
	for _, name := range habits {
		h, kept := habitOf(name), false
		h.each(r, func(to, from any, said []sharing, _ where) {
			kept = kept || states(said, reflect.ValueOf(to).Elem(), reflect.ValueOf(from).Elem())
		})
		if kept && !h.contradicted(r) {
			out = append(out, name)
		}
	}
	return out
}

// states reports whether a recorded part says all that a habit does.
func states(said []sharing, recorded, habit reflect.Value) bool {
	for i := range said {
		in, from := recorded.Field(said[i].from), habit.Field(said[i].from)
		if said[i].part != nil && !states(said[i].part, in, from) || said[i].part == nil && !in.Equal(from) {
			return false
		}
	}
	return true
}

// contradicted reports whether a record states something else than the habit.
func (h *habit) contradicted(r *Record) bool {
	found := false
	look := func(to, from any, said []sharing, _ where) {
		found = found || differs(said, reflect.ValueOf(to).Elem(), reflect.ValueOf(from).Elem())
	}
	h.each(r, look)
	if r.AllPacks != nil && r.AllPacks.Label != nil { // whichever packs are meant
		look(r.AllPacks.Label, &h.label, h.says.label, where{})
	}
	return found
}

// each calls do for every part of a record that the habit says something of, with its place.
func (h *habit) each(r *Record, do func(to, from any, said []sharing, at where)) {
	for i := range r.Packs {
		p, at := &r.Packs[i], packWhere(i)
		pouch := p.Barrier == "" || p.Barrier == packaging.PaperFilmPouch || p.Barrier == packaging.FlashSpunPouch
		if h.says.pack != nil && (pouch || !h.pouches) {
			do(p, &h.pack, h.says.pack, at)
		}
		if h.says.label != nil && p.Label != nil {
			do(p.Label, &h.label, h.says.label, at.of("/label"))
		}
		for j := range p.Items {
			if h.says.item != nil {
				do(&p.Items[j], &h.item, h.says.item, at.in("/items/", j))
			}
		}
	}
	if h.says.unloading != nil {
		do(&r.Unloading, &h.unloading, h.says.unloading, where{part: "/unloading"})
	}
	if h.says.reservoir != nil && r.Water.Reservoir != nil {
		do(r.Water.Reservoir, &h.reservoir, h.says.reservoir, where{part: "/water/reservoir"})
	}
}

// differs reports whether a recorded member says something else than that of a habit.
func differs(said []sharing, recorded, habit reflect.Value) bool {
	for i := range said {
		in, from := recorded.Field(said[i].from), habit.Field(said[i].from)
		if said[i].part != nil && differs(said[i].part, in, from) ||
			said[i].part == nil && !in.IsZero() && !in.Equal(from) {
			return true
		}
	}
	return false
}

// habit is what a habit says of a record, in members that are otherwise not recorded.
type habit struct {
	item      packaging.Item
	pack      Pack
	pouches   bool            // of packs that are pouches
	label     packaging.Label // of packs that have one
	unloading Unloading
	reservoir water.Reservoir

	says struct{ item, pack, label, unloading, reservoir []sharing } // the members that are recorded
}

func newHabit(h Habit) habit {
	const yes, no = moistheat.Yes, moistheat.No
	switch h {
	case ItemsCleaned:
		return habit{item: packaging.Item{Preparation: packaging.Preparation{Cleaned: yes, Dry: yes, Inspected: yes}}}
	case HingesOpened:
		return habit{item: packaging.Item{Open: yes}}
	case ItemsTakenApart:
		return habit{item: packaging.Item{Disassembled: yes}}
	case PointsGuarded:
		return habit{item: packaging.Item{Guarded: yes}}
	case HandlesFirst:
		return habit{item: packaging.Item{HandleFirst: yes}}
	case MetalsApart:
		return habit{item: packaging.Item{MetalsApart: yes}}
	case BarriersNew:
		return habit{pack: Pack{Pack: packaging.Pack{Reused: no}}}
	case AirPressedOut:
		return habit{pack: Pack{Pack: packaging.Pack{AirExpelled: yes}}}
	case LabelledBefore:
		return habit{label: packaging.Label{Before: yes}}
	case OnEdgeApart:
		return habit{pouches: true, pack: Pack{Placement: Placement{Position: OnEdge, FilmSide: FilmToPaper, TouchesWall: no,
			Overlap: units.New(0, 0, units.Percent)}}}
	case CooledOutside:
		return habit{unloading: Unloading{DoorOpenedEarly: no, HandledWarm: no, CooledInChamber: no}}
	case ReservoirFresh:
		return habit{reservoir: water.Reservoir{Drained: yes, Cleaned: yes, Refilled: yes, ToppedUp: no, EmptyNight: yes}}
	}
	return habit{}
}

// spread returns the record with what is said of all packs said of each. An exception that
// names no pack leaves it open which packs are meant, so that nothing is said of any.
func (r *Record) spread() *Record {
	a := r.AllPacks
	if a == nil || a.By == "" || r.unclear() >= 0 {
		return r
	}
	w, said := new(writer), packaging.Pack{Label: a.Label, Seal: a.Seal}
	own := *r
	own.AllPacks, own.Packs = nil, slices.Clone(r.Packs)
	for i := range own.Packs {
		p := &own.Packs[i]
		if slices.Contains(a.Except, p.ID) {
			continue
		}
		if p.Packed() {
			w.fill(&p.Pack, &said, where{}, "")
		}
		w.fill(&p.Condition, &a.Condition, where{}, "")
		p.Items = slices.Clone(p.Items)
		for j := range p.Items {
			w.fill(&p.Items[j].Preparation, &a.Preparation, where{}, "")
		}
		p.Indicators = slices.Clone(p.Indicators)
		for j := range p.Indicators {
			n := &p.Indicators[j]
			switch n.Place {
			case packaging.External:
				w.fill(n, &a.External, where{}, "")
			case packaging.Internal:
				w.fill(n, &a.Internal, where{}, "")
			}
		}
	}
	return &own
}

// unclear returns the place of an exception that names no pack, or -1.
func (r *Record) unclear() int {
	if r.AllPacks == nil {
		return -1
	}
	ids := map[string]bool{}
	for i := range r.Packs {
		ids[r.Packs[i].ID] = true
	}
	return slices.IndexFunc(r.AllPacks.Except, func(id string) bool { return !ids[id] })
}

// references asks for what the record refers to and is not written out, and for the
// exceptions of what is said of all packs.
func (c *checker) references() {
	r := c.r
	if i := r.unclear(); i >= 0 {
		c.Ask(statementUnclear, "/allPacks/except/"+strconv.Itoa(i)).With("id", prose.Name(r.AllPacks.Except[i])).Broken()
	} else {
		c.Ask(statementUnclear, "/allPacks").When(c.given.AllPacks != nil).Met()
	}
	resolved, none := true, moistheat.Detail{}
	if r.source == nil {
		none = lang.Say("no-catalogue:  (no catalogue was given for the check)")
	}
	open := func(id, at string) {
		if id != "" {
			resolved = false
			c.Ask(catalogueUnknown, at).With("id", prose.Name(id)).Say("none", none).Open(moistheat.Unrecorded)
		}
	}
	for i := range r.Packs {
		p, at := &r.Packs[i], packAt(i)
		open(p.Type, at+"/type")
		open(p.Set, at+"/set")
		open(ask.Some(p.Seal).Sealer, at+"/seal/sealer")
		for j := range p.Items {
			open(p.Items[j].Type, itemAt(i, j)+"/type")
		}
		for j := range p.Indicators {
			if lot := c.over(p.Indicators[j].Lot); lot != "" {
				open(lot, at+"/indicators/"+strconv.Itoa(j)+"/lot")
			}
		}
	}
	open(ask.Some(r.Cycle).Program, "/cycle/program")
	open(ask.Some(r.Water.Reservoir).Supply, "/water/reservoir/supply")
	for i := range r.Monitors.Biologicals {
		b, at := &r.Monitors.Biologicals[i], "/monitors/biologicals/"+strconv.Itoa(i)
		open(b.Incubator, at+"/incubator")
		open(c.over(b.Lot), at+"/lot")
	}
	if resolved {
		c.Ask(catalogueUnknown, "").When(r.source != nil).Met()
	}
	c.strangers()
	if r.source == nil || len(r.source.use.Practices) == 0 {
		c.Ask(practiceRefused, "").When(false)
		return
	}
	for _, id := range r.source.use.Practices {
		habit := r.source.facts.habit(id)
		c.Ask(practiceRefused, "").With("id", prose.Name(id)).With("habit", string(habit)).
			BrokenIf(c.p.doc.Practices != nil && !slices.Contains(c.p.doc.Practices, habit))
	}
}

// over returns a lot of which the catalogue has entries, but none on the day of the load. One of
// which it has none, in any spelling, may never have been entered, and is no reference.
func (c *checker) over(lot string) string {
	s := c.r.source
	if s == nil || s.facts.by[reference{"lots", lot}] == nil && s.facts.lots[spelling.Fold(lot)] == nil {
		return ""
	}
	day := c.r.Load.Date
	if s.facts.find("lots", s.facts.lot(lot, day), day, func(i int) Entry { return s.facts.c.Lots[i].Entry }) < 0 {
		return lot
	}
	return ""
}

// suspended asks whether a practice that the record rests on was found not to be kept, at
// this load or an earlier one, since it was signed.
func (c *checker) suspended() {
	if c.r.source == nil || c.known.nothing() || len(c.r.source.use.Practices) == 0 {
		c.Ask(practiceSuspended, "").When(false)
		return
	}
	use := *c.out.Catalogue // which other records resolved alike share
	use.Suspended, use.Habits = slices.Clone(use.Suspended), slices.Clone(use.Habits)
	c.out.Catalogue = &use
	f, day := c.r.source.facts, c.r.Load.Date
	for _, id := range use.Practices {
		habit := f.habit(id)
		q := c.Ask(practiceSuspended, "").With("id", prose.Name(id)).With("habit", string(habit))
		for _, k := range c.known.Practices {
			if k.Habit != habit {
				continue
			}
			if !k.Since.IsValid() || day.Compare(k.Since) >= 0 && !f.signed(habit, k.Since, day) {
				q.With("record", prose.Name(k.Record)).Broken()
				use.Suspended, use.Habits = append(use.Suspended, id), append(use.Habits, habit)
				break
			}
		}
		q.Met()
	}
}

// signed reports whether a practice that is in force on a day was signed after another one.
func (f *Facts) signed(h Habit, since, day moistheat.Date) bool {
	return slices.ContainsFunc(f.c.Practices, func(p Practice) bool {
		return p.Habit == h && p.inForce(day) && p.From.Compare(since) > 0
	})
}

// habit returns the habit of a practice.
func (f *Facts) habit(id string) Habit {
	for _, i := range f.by[reference{"practices", id}] {
		return f.c.Practices[i].Habit
	}
	return ""
}

// fill copies the members that to does not state from those of the same name, which stand
// at the pointer source of the catalogue.
func (w *writer) fill(to, from any, at where, source string) {
	types := [2]reflect.Type{reflect.TypeOf(to).Elem(), reflect.TypeOf(from).Elem()}
	all, known := shared.Get(sharedParts)[types]
	if !known {
		all = sharingOf(types[0], types[1]) // slower, and nothing is left out for that
	}
	w.copy(all, to, from, at, source)
}

func (w *writer) copy(all []sharing, to, from any, at where, source string) {
	defer w.until(w.within(at))
	pointer := ""
	if w.from != nil {
		pointer = at.String()
	}
	w.members(all, reflect.ValueOf(to).Elem(), reflect.ValueOf(from).Elem(), pointer, source)
}

// asks reports whether it is asked where anything in a part comes from.
func (w *writer) asks(at where) bool {
	if w.from == nil || w.wanted == nil {
		return w.from != nil
	}
	var short [64]byte
	pointer := at.append(short[:0])
	return slices.ContainsFunc(w.wanted, func(p string) bool {
		return len(p) >= len(pointer) && p[:len(pointer)] == string(pointer)
	})
}

// within stops noting where members come from, in a part of which it is not asked; until goes
// on with it.
func (w *writer) within(at where) (before map[string]moistheat.Origin) {
	before = w.from
	if before != nil && !w.asks(at) {
		w.from = nil
	}
	return before
}

func (w *writer) until(before map[string]moistheat.Origin) { w.from = before }

var spoken lazy.Value[map[Habit]*habit]

// habitOf returns what a habit says, and nil for one that there is not.
func habitOf(name Habit) *habit {
	return spoken.Get(func() map[Habit]*habit {
		out := map[Habit]*habit{}
		for _, name := range habits {
			h := newHabit(name)
			h.says.item, h.says.pack, h.says.label = saidBy(&h.item), saidBy(&h.pack), saidBy(&h.label)
			h.says.unloading, h.says.reservoir = saidBy(&h.unloading), saidBy(&h.reservoir)
			out[name] = &h
		}
		return out
	})[name]
}

// saidBy returns the members that a part of a habit states.
func saidBy[T any](part *T) []sharing {
	t := reflect.TypeFor[T]()
	return saying(sharingOf(t, t), reflect.ValueOf(part).Elem())
}

// saying returns the members that a value states.
func saying(all []sharing, v reflect.Value) (out []sharing) {
	for _, s := range all {
		if f := v.Field(s.from); !f.IsZero() {
			if s.part != nil {
				s.part = saying(s.part, f)
			}
			out = append(out, s)
		}
	}
	return out
}

// sharing is a member that two structs have by one name.
type sharing struct {
	from int   // field of the one
	to   []int // of the other, through those that it embeds
	name string
	kind byte      // what the member is
	part []sharing // its own members
}

// What a member that two structs share can be.
const (
	whole    byte = iota // of one type in both
	embedded             // its members are those of the struct
	part                 // a struct in both
	pointer              // to a struct in both
)

var shared lazy.Value[map[[2]reflect.Type][]sharing]

// sharedParts are the parts of a record and what fills them.
func sharedParts() map[[2]reflect.Type][]sharing {
	out := map[[2]reflect.Type][]sharing{}
	for _, pair := range [][2]any{
		{Sterilizer{}, SterilizerEntry{}}, {Site{}, Site{}}, {Arrangement{}, SterilizerEntry{}}, {Cycle{}, Program{}},
		{water.Reservoir{}, Supply{}}, {Biological{}, Incubator{}}, {Biological{}, IndicatorLot{}},
		{packaging.Pack{}, PackType{}}, {packaging.Seal{}, Sealer{}}, {packaging.Label{}, LabelType{}},
		{packaging.Indicator{}, IndicatorType{}}, {packaging.Indicator{}, IndicatorLot{}}, {packaging.Item{}, ItemType{}},
		// What a habit says, and what is said of all packs.
		{Pack{}, Pack{}}, {packaging.Item{}, packaging.Item{}}, {packaging.Label{}, packaging.Label{}},
		{Unloading{}, Unloading{}}, {water.Reservoir{}, water.Reservoir{}},
		{packaging.Pack{}, packaging.Pack{}}, {PackCondition{}, PackCondition{}}, {packaging.Indicator{}, AllIndicators{}},
		{packaging.Preparation{}, packaging.Preparation{}},
	} {
		types := [2]reflect.Type{reflect.TypeOf(pair[0]), reflect.TypeOf(pair[1])}
		out[types] = sharingOf(types[0], types[1])
	}
	return out
}

func sharingOf(to, from reflect.Type) (out []sharing) {
	for i := range from.NumField() {
		field := from.Field(i)
		s := sharing{from: i, name: "/" + jsonName(field)}
		in, both := to.FieldByName(field.Name)
		s.to = in.Index
		switch {
		case field.Type == reflect.TypeFor[Entry]():
			continue
		case field.Anonymous:
			s.kind, s.part = embedded, sharingOf(to, field.Type)
		case !both:
			continue
		case field.Type.Kind() == reflect.Pointer && in.Type.Kind() == reflect.Pointer:
			s.kind, s.part = pointer, sharingOf(in.Type.Elem(), field.Type.Elem())
		case field.Type.Kind() == reflect.Struct && opened(field.Type):
			s.kind, s.part = part, sharingOf(in.Type, field.Type)
		case field.Type != in.Type:
			continue
		}
		out = append(out, s)
	}
	return out
}

func (w *writer) members(all []sharing, to, known reflect.Value, at, source string) {
	for i := range all {
		s := &all[i]
		f := known.Field(s.from)
		if f.IsZero() {
			continue
		}
		if s.kind == embedded {
			w.members(s.part, to, f, at, source)
			continue
		}
		in, at, source, from := to.FieldByIndex(s.to), at, source, w.from
		if w.asks(where{part: at, member: s.name}) {
			at, source = at+s.name, source+s.name
		} else {
			w.from = nil
		}
		switch {
		case s.kind == pointer:
			own := reflect.New(in.Type().Elem()) // the record's own part stays as it is
			if !in.IsNil() {
				own.Elem().Set(in.Elem())
			}
			w.members(s.part, own.Elem(), f.Elem(), at, source)
			in.Set(own)
		case s.kind == part:
			w.members(s.part, in, f, at, source)
		case in.IsZero():
			in.Set(f)
			w.filled++
			w.part(where{part: at}, source)
		}
		w.from = from
	}
}
