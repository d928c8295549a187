package load

import (
	"reflect"
	"slices"
	"strings"

	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/packaging"
	"example.com/moistheat/water"
)

// fill copies the members that to does not state from those of the same name, which stand
// at the pointer source of the catalogue.
func (w *writer) fill(to, from any, at, source string) {
	t, f := reflect.ValueOf(to).Elem(), reflect.ValueOf(from).Elem()
	all := saidBy(from)
	if all == nil {
		known := false
		if all, known = shared.Get(sharedParts)[[2]reflect.Type{t.Type(), f.Type()}]; !known {
			all = sharingOf(t.Type(), f.Type()) // slower, and nothing is left out for that
		}
	}
	if from := w.from; from != nil && !w.asks(at) {
		w.from = nil
		defer func() { w.from = from }()
	}
	w.members(all, t, f, at, source)
}

// asks reports whether it is asked where any member of a part comes from.
func (w *writer) asks(at string) bool {
	return slices.ContainsFunc(w.wanted, func(p string) bool { return p == "" || strings.HasPrefix(p, at) })
}

// sayings are the habits, and what each part of one says, by the pointer to it.
type sayings struct {
	habits map[Habit]*habit
	said   map[any][]sharing
}

var spoken lazy.Value[sayings]

func allSayings() sayings {
	out := sayings{map[Habit]*habit{}, map[any][]sharing{}}
	for _, name := range habits {
		h := newHabit(name)
		out.habits[name] = &h
		for _, p := range []any{&h.item, &h.pack, &h.label, &h.unloading, &h.reservoir} {
			v := reflect.ValueOf(p).Elem()
			out.said[p] = saying(sharingOf(v.Type(), v.Type()), v)
		}
	}
	return out
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

func habitOf(name Habit) *habit { return spoken.Get(allSayings).habits[name] }

// saidBy returns the members that a part of a habit states, and nil of anything else.
func saidBy(part any) []sharing { return spoken.Get(allSayings).said[part] }

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

func (w *writer) members(all []sharing, to, from reflect.Value, at, source string) {
	for i := range all {
		s := &all[i]
		f := from.Field(s.from)
		if f.IsZero() {
			continue
		}
		if s.kind == embedded {
			w.members(s.part, to, f, at, source)
			continue
		}
		in, at, source := to.FieldByIndex(s.to), at, source
		if w.from != nil {
			at, source = at+s.name, source+s.name
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
			w.part(at, source)
		}
	}
}
