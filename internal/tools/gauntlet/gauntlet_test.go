package main

import (
	"fmt"
	"maps"
	"os"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A function is an exported function or method; a method takes its receiver first.
type function struct {
	name string
	fn   any
}

// excused lists what may panic or cannot be called, with the reason.
var excused = map[string]string{
	"loadtest.RunCorpus": "makes subtests of a real *testing.T",
}

func TestListIsCurrent(t *testing.T) {
	want, err := list("../../..")
	require.NoError(t, err)
	got, err := os.ReadFile(listed)
	require.NoError(t, err)
	if string(want) != string(got) {
		t.Errorf("%s is stale: go run ./internal/tools/gauntlet", listed)
	}
}

// Nothing that the packages export panics on what it is given: nil, zero, extreme and
// foreign values, documents with a place changed, and whatever other calls returned. A
// nil reader, writer or function is not given, and what begins with Must says that it
// panics. What is called, how often and with what
// follows from the list and a fixed seed, so a failure comes again.
func TestNothingPanics(t *testing.T) {
	fns := called()
	require.Greater(t, len(fns), len(exported))
	g := &gauntlet{values: newValues(), failures: map[string]string{}}
	rounds := 2
	if testing.Short() {
		rounds = 1
	}
	for range rounds { // later rounds give what earlier ones returned
		for _, f := range fns {
			g.run(f)
		}
	}
	for _, where := range slices.Sorted(maps.Keys(g.failures)) {
		t.Errorf("%s: %s", where, g.failures[where])
	}
	for name := range excused {
		assert.True(t, slices.ContainsFunc(fns, func(f function) bool { return f.name == name }), "%s is gone", name)
	}
	t.Logf("%d functions and methods, %d calls", len(fns), g.calls)
}

// called returns all functions, and all methods of the exported types.
func called() []function {
	fns := slices.Clone(functions)
	for _, t := range exported {
		for i := range t.NumMethod() {
			fns = append(fns, function{t.String() + "." + t.Method(i).Name, t.Method(i).Func.Interface()})
		}
		// A method of the value has no answer for a nil pointer, as the language has it.
		for p, i := reflect.PointerTo(t), 0; i < p.NumMethod(); i++ {
			if _, ok := t.MethodByName(p.Method(i).Name); !ok {
				fns = append(fns, function{"(" + p.String() + ")." + p.Method(i).Name, p.Method(i).Func.Interface()})
			}
		}
	}
	return fns
}

// A gauntlet calls functions and keeps where they panicked.
type gauntlet struct {
	*values
	calls    int
	failures map[string]string // message and arguments by line and function
}

// run calls a function with each plain value in each place, with plain values in all
// places, and as often as its arguments have places with values changed at random.
func (g *gauntlet) run(f function) {
	fn := reflect.ValueOf(f.fn)
	t := fn.Type()
	if _, name, _ := strings.Cut(f.name, "."); excused[f.name] != "" || strings.HasPrefix(name, "Must") {
		return
	}
	plain := make([][]reflect.Value, t.NumIn())
	most, places := 1, 0
	for i := range plain {
		plain[i] = g.plain(t.In(i))
		most = max(most, len(plain[i]))
		places += size(t.In(i), nil)
	}
	args := func(pick func(i int) reflect.Value) []reflect.Value {
		args := make([]reflect.Value, len(plain))
		for i := range args {
			args[i] = pick(i)
		}
		return args
	}
	for i := range plain {
		for _, v := range plain[i] {
			g.call(f.name, fn, args(func(j int) reflect.Value {
				if i == j {
					return v
				}
				return plain[j][0]
			}))
		}
	}
	for k := range most {
		g.call(f.name, fn, args(func(j int) reflect.Value { return plain[j][k%len(plain[j])] }))
	}
	for range min(places, 300) {
		g.call(f.name, fn, args(func(j int) reflect.Value { return g.random(t.In(j), 0) }))
	}
}

// call calls a function, keeps what it returns, and notes a panic with the arguments as they are then.
func (g *gauntlet) call(name string, fn reflect.Value, args []reflect.Value) {
	g.calls++
	defer func() {
		if r := recover(); r != nil {
			where := fmt.Sprintf("%s: %s", origin(), name)
			if g.failures[where] == "" {
				g.failures[where] = fmt.Sprintf("panic: %.200v\n\twith %s", r, describe(args))
			}
		}
	}()
	call := fn.Call
	if fn.Type().IsVariadic() {
		call = fn.CallSlice
	}
	for _, v := range call(args) {
		g.keep(v)
	}
}

// origin returns the line of the library that panicked.
func origin() string {
	pcs := make([]uintptr, 64)
	frames := runtime.CallersFrames(pcs[:runtime.Callers(3, pcs)])
	for {
		f, more := frames.Next()
		if strings.Contains(f.File, "/moistheat/") || strings.HasPrefix(f.Function, "example.com/moistheat") {
			if !strings.HasSuffix(f.File, "_test.go") {
				return fmt.Sprintf("%s:%d", f.File, f.Line)
			}
		}
		if !more {
			return "a call by reflection"
		}
	}
}

// describe writes arguments out, shortened.
func describe(args []reflect.Value) string {
	var b strings.Builder
	for _, a := range args {
		s := fmt.Sprintf("%s(%.300s)", a.Type(), write(a, 0))
		b.WriteString(s + ", ")
	}
	return strings.TrimSuffix(b.String(), ", ")
}
