package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// values gives arguments: plain ones by type, and changed ones at random, from what
// calls returned.
type values struct {
	rng   *rand.Rand
	pool  map[reflect.Type][]reflect.Value
	fixed map[reflect.Type][]reflect.Value // what [values.plain] gives of a type each time
	load  *load.Record
}

func newValues() *values {
	byType := func() map[reflect.Type][]reflect.Value { return map[reflect.Type][]reflect.Value{} }
	return &values{rand.New(rand.NewPCG(1, 2)), byType(), byType(), loadtest.Pouches()}
}

const pooled = 12 // values kept of a type

// keep takes a returned value into the pool, what it holds too, and runs iterators.
func (g *values) keep(v reflect.Value) {
	switch v.Kind() {
	case reflect.Func:
		if v.Type().CanSeq() && !v.IsNil() {
			n := 0
			for x := range v.Seq() {
				if n++; n > 3 {
					break
				}
				g.keep(x)
			}
		} else if v.Type().CanSeq2() && !v.IsNil() {
			n := 0
			for x, y := range v.Seq2() {
				if n++; n > 3 {
					break
				}
				g.keep(x)
				g.keep(y)
			}
		}
		return
	case reflect.Interface:
		if !v.IsNil() {
			g.keep(v.Elem())
		}
		return
	case reflect.Slice:
		for i := range min(v.Len(), 2) {
			g.keep(v.Index(i))
		}
		v = v.Slice(0, min(v.Len(), 16))
	}
	list := g.pool[v.Type()]
	if len(list) < pooled {
		g.pool[v.Type()] = append(list, v)
	} else {
		list[pooled/2+g.rng.IntN(pooled/2)] = v // the first ones stay
	}
}

var (
	long  = strings.Repeat("9", 64<<10)
	texts = []string{
		"", "x", "/", "/packs/0", "\xff\x00{", "1e1000001", "-0", "PT999999999999999999H", "P1D", "2026-02-30", "2024-02-29",
		"9999-12-31", "2024-01-01T00:00:00Z", "us-cdc-2003", "134 Cel", `"x"`, "null", "{}", "[]",
		`{"value":1,"unit":"kg"}`,
		strings.Repeat("[", 64<<10), long, strings.Repeat("é/~", 20<<10),
	}
	instants = []time.Time{
		{}, time.Unix(0, 0), time.Unix(math.MaxInt64, 0), time.Unix(math.MinInt64, 0), time.Unix(1<<55, 999999999).UTC(),
		time.Date(9999, 12, 31, 23, 59, 59, 0, time.UTC), time.Date(2026, 3, 1, 8, 0, 0, 0, time.FixedZone("", 23*3600)),
		time.Date(-1, 1, 1, 0, 0, 0, 0, time.UTC),
	}
	numbers = []float64{0, math.NaN(), math.Inf(1), math.Inf(-1), -1, 1, 134, 1e300, math.MaxFloat64,
		-math.MaxFloat64, 5e-324}
	integers = []int64{0, 1, -1, 2, 255, math.MaxInt32, math.MinInt32, math.MaxInt64, math.MinInt64}
)

// helper is a foreign testing.TB that remembers nothing.
type helper struct{ testing.TB }

func (helper) Helper()               {}
func (helper) Errorf(string, ...any) {}
func (helper) Error(...any)          {}
func (helper) Logf(string, ...any)   {}
func (helper) Log(...any)            {}
func (helper) Fatalf(string, ...any) {}
func (helper) Fatal(...any)          {}
func (helper) FailNow()              {}

// broken fails to read and to write.
type broken struct{}

func (broken) Read([]byte) (int, error)  { return 0, errors.New("broken") }
func (broken) Write([]byte) (int, error) { return 0, errors.New("broken") }

// foreign returns values of interfaces, made anew because readers are used up.
func (g *values) foreign() []any {
	return []any{
		errors.New("foreign"), (*fs.PathError)(nil), helper{}, broken{}, io.Discard,
		strings.NewReader(long), strings.NewReader(""),
		strings.NewReader("{}\n[]\nnull\n\n{\"format\":\"moistheat.load/1\"}"),
		fstest.MapFS{}, fstest.MapFS{"x.json": {Data: []byte("{")}},
		0, "x", math.NaN(), []any{nil}, map[string]any{"x": nil}, (*int)(nil), struct{}{}, g.load,
	}
}

// plain returns the plain values of a type, the zero one first, nil where the type has it,
// and what is in the pool. The caller may change none of them; see clone.
func (g *values) plain(t reflect.Type) (list []reflect.Value) {
	if t.Kind() == reflect.Interface || t.Kind() == reflect.Pointer && !open(t.Elem()) {
		return slices.Concat(g.make(t), g.pool[t]) // used up by reading, or changed by its methods
	}
	if g.fixed[t] == nil {
		g.fixed[t] = g.make(t)
	}
	return slices.Concat(g.fixed[t], g.pool[t])
}

// make returns the plain values of a type.
func (g *values) make(t reflect.Type) (list []reflect.Value) {
	add := func(v any) { list = append(list, reflect.ValueOf(v).Convert(t)) }
	zero := reflect.Zero(t)
	switch {
	case t == reflect.TypeFor[time.Time]():
		for _, v := range instants {
			add(v)
		}
		return list
	case t == reflect.TypeFor[*time.Location]():
		add((*time.Location)(nil))
		add(time.UTC)
		add(time.FixedZone("far", math.MaxInt32))
		return list
	}
	switch t.Kind() {
	case reflect.Bool:
		add(false)
		add(true)
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64,
		reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		for _, v := range integers {
			add(v)
		}
	case reflect.Float64, reflect.Float32:
		for _, v := range numbers {
			add(v)
		}
	case reflect.String:
		for _, v := range texts {
			add(v)
		}
	case reflect.Interface:
		if !isStream(t) {
			list = append(list, zero)
		}
		for _, v := range g.foreign() {
			if reflect.TypeOf(v).Implements(t) {
				list = append(list, reflect.ValueOf(v))
			}
		}
	case reflect.Func:
		list = append(list, reflect.MakeFunc(t, func([]reflect.Value) []reflect.Value {
			out := make([]reflect.Value, t.NumOut())
			for i := range out {
				out[i] = reflect.Zero(t.Out(i))
			}
			return out
		}))
	case reflect.Pointer:
		list = append(list, zero, reflect.New(t.Elem()))
	case reflect.Slice:
		list = append(list, zero, reflect.MakeSlice(t, 0, 0))
		if t.Elem().Kind() != reflect.Func {
			list = append(list, reflect.MakeSlice(t, 3, 3))
		}
		if reflect.TypeFor[[]byte]().ConvertibleTo(t) { // a word is a byte too, and not text
			for _, v := range texts {
				add([]byte(v))
			}
		}
	case reflect.Map:
		m := reflect.MakeMap(t)
		m.SetMapIndex(reflect.Zero(t.Key()), reflect.Zero(t.Elem()))
		list = append(list, zero, m)
	default:
		list = append(list, zero)
	}
	if t.Kind() == reflect.Pointer || t.Kind() == reflect.Struct { // every place the same: zero but not nil, then extreme
		for k := range 3 {
			list = append(list, g.filled(t, k, 0))
		}
	}
	return list
}

// filled returns a value whose pointers all lead somewhere, whose slices have an element,
// and whose other places hold their k-th plain value.
func (g *values) filled(t reflect.Type, k, depth int) reflect.Value {
	v := reflect.New(t).Elem()
	switch {
	case depth > 8 || t == reflect.TypeFor[time.Time]():
	case t.Kind() == reflect.Pointer && t != reflect.TypeFor[*time.Location]():
		v.Set(reflect.New(t.Elem()))
		v.Elem().Set(g.filled(t.Elem(), k, depth+1))
		return v
	case t.Kind() == reflect.Slice:
		v.Set(reflect.Append(v, g.filled(t.Elem(), k, depth+1)))
		return v
	case t.Kind() == reflect.Struct && open(t):
		for i := range t.NumField() {
			if t.Field(i).IsExported() {
				v.Field(i).Set(g.filled(t.Field(i).Type, k, depth+1))
			}
		}
		return v
	}
	if depth > 0 {
		if list := g.plain(t); len(list) > 0 {
			v.Set(list[(k*len(list)/3)%len(list)])
		}
	}
	return v
}

// open reports whether a type is a struct with a field that can be set.
func open(t reflect.Type) bool {
	if t.Kind() != reflect.Struct {
		return false
	}
	for i := range t.NumField() {
		if t.Field(i).IsExported() {
			return true
		}
	}
	return false
}

// random returns a value of the type made of random parts: a copy of a pooled one with
// up to three places changed, or a new one.
func (g *values) random(t reflect.Type, depth int) reflect.Value {
	composite := t.Kind() == reflect.Pointer || t.Kind() == reflect.Struct || t.Kind() == reflect.Slice
	if list := g.pool[t]; composite && len(list) > 0 && g.rng.IntN(4) > 0 {
		v := clone(list[g.rng.IntN(len(list))], 0)
		for range g.rng.IntN(4) {
			g.change(v, depth)
		}
		return v
	}
	if !composite || depth > 6 || g.rng.IntN(4) == 0 {
		list := g.plain(t)
		return clone(list[g.rng.IntN(len(list))], 0)
	}
	v := reflect.New(t).Elem()
	switch t.Kind() {
	case reflect.Pointer:
		if open := t.Elem(); open.Kind() != reflect.Struct || open == reflect.TypeFor[time.Location]() {
			break
		}
		v.Set(reflect.New(t.Elem()))
		v.Elem().Set(g.random(t.Elem(), depth+1))
	case reflect.Slice:
		for range g.rng.IntN(3) {
			v.Set(reflect.Append(v, g.random(t.Elem(), depth+1)))
		}
	case reflect.Struct:
		for i := range t.NumField() {
			if t.Field(i).IsExported() && g.rng.IntN(2) == 0 {
				v.Field(i).Set(g.random(t.Field(i).Type, depth+1))
			}
		}
	}
	return v
}

// change walks from v to a random place and puts a random value there, where it can.
func (g *values) change(v reflect.Value, depth int) {
	for range 12 {
		if v.CanSet() && g.rng.IntN(5) == 0 {
			break
		}
		next := v
		switch v.Kind() {
		case reflect.Pointer:
			if !v.IsNil() && (v.Elem().Kind() != reflect.Struct || open(v.Elem().Type())) {
				next = v.Elem()
			}
		case reflect.Slice:
			if v.Len() > 0 {
				next = v.Index(g.rng.IntN(v.Len()))
			}
		case reflect.Struct:
			if n := v.NumField(); n > 0 {
				if f := g.rng.IntN(n); v.Type().Field(f).IsExported() {
					next = v.Field(f)
				}
			}
		}
		if next == v && v.Kind() != reflect.Struct {
			break
		}
		v = next
	}
	if v.CanSet() {
		if g.rng.IntN(3) == 0 {
			v.SetZero()
		} else if list := g.plain(v.Type()); len(list) > 0 {
			v.Set(clone(list[g.rng.IntN(len(list))], 0))
		}
	}
}

// clone copies what can be reached through exported fields, of slices the first
// elements; the rest is shared.
func clone(v reflect.Value, depth int) reflect.Value {
	c := reflect.New(v.Type()).Elem()
	c.Set(v)
	if depth > 12 {
		return c
	}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() && v.Elem().Kind() == reflect.Struct && open(v.Type().Elem()) {
			c.Set(reflect.New(v.Type().Elem()))
			c.Elem().Set(clone(v.Elem(), depth+1))
		}
	case reflect.Slice:
		if !v.IsNil() {
			c.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
			reflect.Copy(c, v)
			for i := range min(v.Len(), 16) {
				c.Index(i).Set(clone(v.Index(i), depth+1))
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				c.Field(i).Set(clone(v.Field(i), depth+1))
			}
		}
	}
	return c
}

// isStream reports whether the type is a reader or a writer, which may not be nil.
func isStream(t reflect.Type) bool {
	return t == reflect.TypeFor[io.Reader]() || t == reflect.TypeFor[io.Writer]() ||
		t == reflect.TypeFor[testing.TB]() || t == reflect.TypeFor[fs.FS]()
}

// size returns how many places a value of the type has, without those of types within
// themselves.
func size(t reflect.Type, within []reflect.Type) int {
	for _, w := range within {
		if w == t {
			return 1
		}
	}
	within = append(within, t)
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice:
		return 1 + size(t.Elem(), within)
	case reflect.Struct:
		n := 1
		for i := range t.NumField() {
			if t.Field(i).IsExported() {
				n += size(t.Field(i).Type, within)
			}
		}
		return n
	}
	return 2
}

// write writes a value out, down to a few levels.
func write(v reflect.Value, depth int) string {
	switch {
	case depth > 4:
		return "…"
	case v.Kind() == reflect.Pointer && !v.IsNil():
		return "&" + write(v.Elem(), depth+1)
	case v.Kind() == reflect.Struct && open(v.Type()):
		var b strings.Builder
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() && !v.Field(i).IsZero() {
				fmt.Fprintf(&b, "%s:%s ", f.Name, write(v.Field(i), depth+1))
			}
		}
		return "{" + b.String() + "}"
	case v.Kind() == reflect.Slice && v.Len() < 4:
		var b strings.Builder
		for i := range v.Len() {
			b.WriteString(write(v.Index(i), depth+1) + " ")
		}
		return "[" + b.String() + "]"
	case v.Kind() == reflect.String:
		return fmt.Sprintf("%.40q", v.String())
	case v.Kind() == reflect.Slice:
		return fmt.Sprintf("%d × %s", v.Len(), v.Type().Elem())
	}
	return fmt.Sprintf("%.60v", v)
}
