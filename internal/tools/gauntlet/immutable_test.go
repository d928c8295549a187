package main

import (
	"fmt"
	"hash/maphash"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// Nothing that is handed out leads back: whoever edits everything that can be reached
// through rules, tables, figures, limits, policies, reports and the corpus changes none
// that is handed out next. Each round asks all that the packages give away for nothing
// or for a name, and what is checked with it, and follows fields, elements and methods.
func TestNothingLeadsBack(t *testing.T) {
	given := handedOut(t)
	before := seen(given)
	require.Greater(t, len(before), 100)
	w := &walk{edit: true}
	for _, v := range given {
		w.into(v.path, v.value, 0)
	}
	t.Logf("%d values, %d edits", len(before), w.edits)
	require.Greater(t, w.edits, 10_000, "what is edited must be there to mean something")
	after := seen(handedOut(t))
	for path := range before {
		if !slices.Equal(before[path], after[path]) {
			t.Errorf("%s changed: %s", path, firstDifference(t, path, before[path], after[path]))
		}
	}
}

// firstDifference says what is now where values of one path first differ.
func firstDifference(t *testing.T, path string, was, is []uint64) string {
	n := 0
	for n < min(len(was), len(is)) && was[n] == is[n] {
		n++
	}
	if n < len(is) {
		for i, v := range handedOut(t) {
			if strconv.Itoa(i)+" "+v.path == path {
				w := walk{tell: n + 1}
				w.into("", v.value, 0)
				return fmt.Sprintf("now %.200s", w.told)
			}
		}
	}
	return fmt.Sprintf("%d values, now %d", len(was), len(is))
}

// Two reports of one policy share nothing that their owners can write to: the race
// detector is silent when each edits its own.
func TestOwnersOfTwoReports(t *testing.T) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	var owners sync.WaitGroup
	for range 2 {
		owners.Go(func() {
			report := load.Check(loadtest.Pouches(), p)
			(&walk{edit: true}).into("report", reflect.ValueOf(report), 0)
		})
	}
	owners.Wait()
}

// A given value is one that the library handed out, and how.
type given struct {
	path  string
	value reflect.Value
}

// handedOut returns what all functions return that ask for nothing, then what those
// return that ask for a name one of the first listed, then what those return that check
// a record under a policy.
func handedOut(t *testing.T) (all []given) {
	add := func(path string, f reflect.Value, args ...reflect.Value) []reflect.Value {
		out := f.Call(args)
		if n := len(out); n > 1 && (out[n-1].Kind() == reflect.Interface && !out[n-1].IsNil() ||
			out[n-1].Kind() == reflect.Bool && !out[n-1].Bool()) {
			return nil // there is none of that name
		}
		for _, v := range out {
			all = append(all, given{path, v})
		}
		return out
	}
	var names []string
	var records []reflect.Value
	for _, f := range functions {
		fn := reflect.ValueOf(f.fn)
		if in := fn.Type().NumIn(); in > 1 || in == 1 && !fn.Type().IsVariadic() {
			continue
		}
		for _, v := range add(f.name, fn) {
			if list, ok := v.Interface().([]string); ok {
				names = append(names, list...)
			}
			if _, ok := v.Interface().(*load.Record); ok {
				records = append(records, v)
			}
		}
	}
	var policies []reflect.Value
	for _, f := range functions {
		fn := reflect.ValueOf(f.fn)
		if fn.Type().NumIn() != 1 || fn.Type().In(0).Kind() != reflect.String || strings.Contains(f.name, ".Must") {
			continue
		}
		for _, name := range slices.Compact(slices.Sorted(slices.Values(names))) {
			for _, v := range add(f.name+" "+name, fn, reflect.ValueOf(name).Convert(fn.Type().In(0))) {
				if _, ok := v.Interface().(*load.Policy); ok && len(policies) < 2 {
					policies = append(policies, v)
				}
			}
		}
	}
	require.NotEmpty(t, records)
	require.NotEmpty(t, policies)
	judges := []reflect.Type{reflect.TypeFor[*load.Record](), reflect.TypeFor[*load.Policy]()}
	for _, f := range functions {
		fn := reflect.ValueOf(f.fn)
		if fn.Type().NumIn() != 2 || fn.Type().In(0) != judges[0] || fn.Type().In(1) != judges[1] {
			continue
		}
		for i, r := range records {
			add(fmt.Sprint(f.name, " ", i), fn, r, policies[i%len(policies)])
		}
	}
	return all
}

// seen returns hashes of everything that can be seen of values, by where they come from;
// written out it would be long.
func seen(all []given) map[string][]uint64 {
	hashes := map[string][]uint64{}
	for i, v := range all {
		var w walk
		w.into("", v.value, 0)
		hashes[strconv.Itoa(i)+" "+v.path] = w.seen
	}
	return hashes
}

var seed = maphash.MakeSeed()

// A walk goes through everything that can be reached from a value, and writes it out or
// sets all that can be set to something else.
type walk struct {
	edit  bool
	edits int
	seen  []uint64 // a hash of each path and value
	line  []byte   // the last of them
	tell  int      // which one is to be told, from 1
	told  string
	inner []reflect.Type // of the methods that were called on the way
}

func (w *walk) into(path string, v reflect.Value, depth int) {
	if depth > 12 {
		return
	}
	w.methods(path, v, depth)
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			w.into(path, v.Elem(), depth+1)
		}
	case reflect.Slice, reflect.Array:
		for i := 0; i < v.Len(); i += 1 + v.Len()/testrun.Sample(400, 20) { // some of a long list stand for the rest
			w.into(path+"/"+strconv.Itoa(i), v.Index(i), depth+1)
		}
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
		for _, k := range keys {
			w.into(fmt.Sprint(path, "/", k), v.MapIndex(k), depth+1)
			if w.edit {
				v.SetMapIndex(k, reflect.Zero(v.Type().Elem()))
				w.edits++
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				w.into(path+"/"+f.Name, v.Field(i), depth+1)
			}
		}
	default:
		if !w.edit && v.CanInterface() {
			w.line = fmt.Appendln(w.line[:0], path, v.Interface())
			w.seen = append(w.seen, maphash.Bytes(seed, w.line))
			if len(w.seen) == w.tell {
				w.told = string(w.line)
			}
		}
	}
	if w.edit && v.CanSet() {
		w.set(v)
	}
}

// set puts something else into a place. Nothing of a slice is taken away before its
// elements were set.
func (w *walk) set(v reflect.Value) {
	w.edits++
	switch v.Kind() {
	case reflect.String:
		v.SetString("edited " + v.String())
	case reflect.Bool:
		v.SetBool(!v.Bool())
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		v.SetInt(v.Int() ^ 1)
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		v.SetUint(v.Uint() ^ 1)
	case reflect.Float32, reflect.Float64:
		v.SetFloat(v.Float() + 1)
	default:
		v.SetZero()
	}
}

// methods goes into what the methods of a value of the library return that ask for
// nothing. A method that leads to its own type again is not followed.
func (w *walk) methods(path string, v reflect.Value, depth int) {
	t := v.Type()
	if t.Kind() == reflect.Struct && v.CanAddr() && v.Addr().CanInterface() {
		v = v.Addr()
	}
	base := t
	if t.Kind() == reflect.Pointer {
		base = t.Elem()
		if v.IsNil() {
			return
		}
	}
	if base.Kind() != reflect.Struct || !strings.HasPrefix(base.PkgPath(), "example.com/moistheat") ||
		!v.CanInterface() || slices.Contains(w.inner, base) || base == reflect.TypeFor[loadtest.Vector]() {
		return
	}
	w.inner = append(w.inner, base)
	for i := range v.NumMethod() {
		m, name := v.Method(i), v.Type().Method(i).Name
		if m.Type().NumIn() > 0 || strings.HasPrefix(name, "Marshal") {
			continue
		}
		for j, out := range m.Call(nil) {
			w.into(fmt.Sprintf("%s.%s.%d", path, name, j), out, depth+1)
		}
	}
	w.inner = w.inner[:len(w.inner)-1]
}
