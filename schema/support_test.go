package schema_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/proof"
	"example.com/moistheat/packaging"
	"example.com/moistheat/schema"
	"example.com/moistheat/water"
)

func TestMain(m *testing.M) { testrun.Main(m) }

type object = map[string]any

// published returns the schema of a kind as JSON values.
func published(t testing.TB, kind schema.Kind) object {
	t.Helper()
	v, ok := parse(t, schema.Source(kind)).(object)
	require.True(t, ok)
	return v
}

func parse(t testing.TB, data []byte) any {
	t.Helper()
	in := json.NewDecoder(bytes.NewReader(data))
	in.UseNumber()
	var v any
	require.NoError(t, in.Decode(&v))
	return v
}

func write(t testing.TB, v any) []byte {
	t.Helper()
	data, err := json.Marshal(v)
	require.NoError(t, err)
	return data
}

// ref returns the definition that a node refers to: by a $ref that stands alone, or, where
// something describes it, in an allOf of nothing else.
func ref(node any) (string, bool) {
	n, _ := node.(object)
	if all, _ := n["allOf"].([]any); len(all) == 1 && n["type"] == nil {
		n, _ = all[0].(object)
	}
	s, ok := n["$ref"].(string)
	return strings.TrimPrefix(s, "#/$defs/"), ok
}

// resolve follows references within a schema.
func resolve(root object, node any) object {
	for {
		name, ok := ref(node)
		if !ok {
			n, _ := node.(object)
			return n
		}
		node = root["$defs"].(object)[name]
	}
}

// read asks the strict reader of a kind whether it accepts a document. shape says
// that it refused the form and not the meaning.
func read(kind schema.Kind, data []byte) (accepted, shape bool) {
	var err error
	switch kind {
	case schema.Record:
		_, err = load.Decode(data)
		return err == nil, err != nil
	case schema.Event:
		_, err = history.DecodeEvent(data)
		return err == nil, err != nil
	case schema.Stored:
		_, err = history.DecodeStoredPack(data)
		return err == nil, err != nil
	case schema.Cleaning:
		_, err = cleaning.Decode(data)
		return err == nil, err != nil
	case schema.Catalogue:
		_, err = load.DecodeCatalogue(data)
		return err == nil, err != nil
	case schema.Log:
		_, err = logLine(data)
		return err == nil, err != nil
	case schema.Proof:
		_, err = proof.Decode(data)
		return err == nil, err != nil
	case schema.Known:
		_, err = load.DecodeKnown(data)
		return err == nil, err != nil
	case schema.Amendment:
		_, err = history.DecodeAmendment(data)
		return err == nil, err != nil
	case schema.Line:
		err = oneLine(data)
		return err == nil, err != nil
	case schema.Policy:
		_, err = load.ParsePolicy(data)
	case schema.CycleTable:
		_, err = cycle.ParseTable(data)
		if e := (*moistheat.DocumentError)(nil); errors.As(err, &e) {
			return false, e.Offset >= 0
		}
	case schema.PackagingFigures:
		_, err = packaging.ParseFigures(data)
	case schema.Language:
		_, err = moistheat.ParseLanguage(data)
	case schema.WaterLimits:
		_, err = water.ParseLimits(data)
	default:
		panic("no reader for " + kind.String())
	}
	return err == nil, errors.Is(err, moistheat.ErrShape) || errors.Is(err, moistheat.ErrSyntax) || errors.Is(err, moistheat.ErrLimit)
}

// logLine reads the form of a line of a log; whether its sums are right is no matter of form.
func logLine(data []byte) (*proof.Line, error) {
	lim := strictjson.Default()
	lim.Text = lim.Size / 2
	return strictjson.Read[proof.Line](data, lim, proof.LogFormat)
}

// oneLine reads a document as one line of a history. White space is not part of what
// a line says, and a document may have line breaks.
func oneLine(data []byte) error {
	line := bytes.Map(func(r rune) rune {
		if r == '\n' {
			return ' '
		}
		return r
	}, data)
	if bytes.Contains(data, []byte{'\n'}) && !json.Valid(data) {
		return moistheat.ErrSyntax // such as a text with a line break in it
	}
	n := 0
	for _, err := range history.Entries(bytes.NewReader(line)) {
		if n++; err != nil {
			return err
		}
	}
	if n != 1 {
		return moistheat.ErrSyntax
	}
	return nil
}

// fits asks the schema.
func fits(t testing.TB, kind schema.Kind, data []byte) (bool, []moistheat.Finding, error) {
	t.Helper()
	findings, err := schema.Validate(kind, data)
	for _, f := range findings {
		require.NotEqual(t, moistheat.Internal, f.Outcome, "%s", data)
	}
	return err == nil && len(findings) == 0, findings, err
}

// full makes a document of everything that a schema allows: every member of every
// object, and one element in every list.
func full(root object, node any) any {
	n := resolve(root, node)
	if c, ok := n["const"]; ok {
		return c
	}
	if words, ok := n["enum"].([]any); ok {
		return words[0]
	}
	switch n["type"] {
	case "object":
		out := object{}
		for name, p := range propertiesOf(n) {
			out[name] = full(root, p)
		}
		return out
	case "array":
		if n["maxItems"] == nil { // a column
			return []any{json.Number("1"), json.Number("2.5")}
		}
		return []any{full(root, n["items"])}
	case "boolean":
		return true
	case "integer":
		return json.Number("1")
	case "number":
		return json.Number("12.50")
	}
	if examples, ok := n["examples"].([]any); ok {
		return examples[0]
	}
	return "some text"
}

// variants makes small documents that together have every member of a schema: each
// has the members that are required on the way to one member, and that. The way is
// given with it.
func variants(root object, node any, yield func(doc any, way []string)) {
	n := resolve(root, node)
	switch n["type"] {
	case "object":
		least := object{}
		for _, name := range words(n["required"]) {
			least[name] = minimal(root, propertiesOf(n)[name])
		}
		yield(least, nil)
		for _, name := range slices.Sorted(maps.Keys(propertiesOf(n))) {
			variants(root, propertiesOf(n)[name], func(v any, way []string) {
				with := maps.Clone(least)
				with[name] = v
				yield(with, append([]string{name}, way...))
			})
		}
	case "array":
		variants(root, n["items"], func(v any, way []string) { yield([]any{v}, append([]string{"0"}, way...)) })
	default:
		yield(full(root, n), nil)
		if n["else"] != nil { // a choice
			variants(root, n["else"], yield)
		}
	}
}

// lists makes documents with one list of n elements in each, for every list of a
// schema.
func lists(root object, node any, n int, yield func(any)) {
	s := resolve(root, node)
	switch s["type"] {
	case "object":
		for _, name := range slices.Sorted(maps.Keys(propertiesOf(s))) {
			lists(root, propertiesOf(s)[name], n, func(v any) {
				with := minimal(root, s).(object)
				with[name] = v
				yield(with)
			})
		}
	case "array":
		yield(slices.Repeat([]any{minimal(root, s["items"])}, n))
		lists(root, s["items"], n, func(v any) { yield([]any{v}) })
	}
}

// minimal makes a document of the required members.
func minimal(root object, node any) any {
	n := resolve(root, node)
	if n["type"] != "object" {
		return full(root, n)
	}
	out := object{}
	for _, name := range words(n["required"]) {
		out[name] = minimal(root, propertiesOf(n)[name])
	}
	return out
}

// propertiesOf returns the members that a schema describes; none of an object of any members.
func propertiesOf(n object) object {
	properties, _ := n["properties"].(object)
	return properties
}

func words(v any) []string {
	var out []string
	list, _ := v.([]any)
	for _, w := range list {
		out = append(out, w.(string))
	}
	return out
}

// allMutants calls yield with the examples and variants of a schema, their mutants and
// those of every keyword, each document once.
func allMutants(t testing.TB, kind schema.Kind, yield func(what string, data []byte)) {
	root := published(t, kind)
	seen := map[string]bool{}
	n, every := 0, 1
	if !testrun.Full() {
		every = 192
	}
	once := func(what string, doc func() any) {
		if n++; n%every != 0 {
			return
		}
		data := write(t, doc())
		if !seen[string(data)] {
			seen[string(data)] = true
			yield(what, data)
		}
	}
	each := func(doc any, way []string) {
		once("as it is", func() any { return doc })
		mutants(doc, "", way, once)
	}
	for _, doc := range examples(t, kind) {
		each(doc, nil)
	}
	eachKeyword(root, func(m keywordMutant) { once(m.place, func() any { return m.doc }) })
	for i, top := range tops(root) {
		if kind == schema.Line { // a choice of kinds that have all their mutants: a sample
			n := 0
			variants(root, top, func(doc any, way []string) {
				once("as it is", func() any { return doc })
				if n++; i == 0 && n%16 != 0 {
					return
				}
				mutants(doc, "", way, func(what string, doc func() any) {
					if n++; n%16 == 0 {
						once(what, doc)
					}
				})
			})
			continue
		}
		variants(root, top, each)
		for _, n := range []int{1000, 1001} {
			lists(root, top, n, func(doc any) { once("list of "+strconv.Itoa(n), func() any { return doc }) })
		}
	}
}

// tops returns the schemas that together are a schema: the schema itself, or those
// that it chooses from.
func tops(root object) []any {
	if choice, _ := root["oneOf"].([]any); choice != nil {
		return choice
	}
	return []any{root}
}

// examples returns the documents that a schema gives as examples.
func examples(t testing.TB, kind schema.Kind) []any {
	t.Helper()
	list, _ := published(t, kind)["examples"].([]any)
	require.NotEmpty(t, list)
	return list
}

// builtIn returns the files of a kind that the library carries.
func builtIn(t testing.TB, kind schema.Kind) map[string][]byte {
	t.Helper()
	pattern := map[schema.Kind][]string{
		schema.Policy:           {"../load/policies/*.json"},
		schema.CycleTable:       {"../cycle/tables/*.json"},
		schema.PackagingFigures: {"../packaging/figures/*.json", "../packaging/figures/lumen/*.json"},
		schema.WaterLimits:      {"../water/limits/*.json"},
		schema.Vectors:          {"../load/loadtest/corpus/vectors/*.json"},
		schema.Line:             {"../load/history/testdata/histories/*.ndjson"},
	}[kind]
	out := map[string][]byte{}
	for _, p := range pattern {
		names, err := filepath.Glob(p)
		require.NoError(t, err)
		require.NotEmpty(t, names, p)
		for _, name := range names {
			data, err := os.ReadFile(name)
			require.NoError(t, err)
			if kind == schema.Line {
				for i, line := range bytes.Split(bytes.TrimSpace(data), []byte{'\n'}) {
					out[filepath.Base(name)+" line "+strconv.Itoa(i+1)] = line
				}
				continue
			}
			out[filepath.Base(name)] = data
		}
	}
	return out
}

var (
	otherValues = []any{nil, true, "text", "", json.Number("12"), json.Number("-1"), json.Number("1.5"), json.Number("1.0"),
		json.Number("1e2"), json.Number("-0"), json.Number("5e-1"), json.Number("10e-1"), json.Number("93e17"), json.Number("9e18"), []any{}, []any{nil},
		[]any{"text"}, []any{json.Number("1")}, object{}, object{"value": json.Number("1"), "unit": "kg"}}
	otherInstants = []string{"2026-03-09T08:15:00Z", "2026-03-09t08:15:00z", "2026-03-09T08:15:00", "2026-03-09 08:15:00Z",
		"2026-03-09T08:15Z", "2026-03-09T08:15:60Z", "2016-12-31T23:59:60Z", "2026-03-09T24:00:00Z", "2026-03-09T23:60:00Z", "2026-02-29T08:15:00Z",
		"2024-02-29T08:15:00Z", "2026-03-09T08:15:00.5Z", "2026-03-09T08:15:00,5Z", "2026-03-09T08:15:00.Z", "2026-03-09T8:15:00Z",
		"2026-03-09T08:15:00+01:00", "2026-03-09T08:15:00-23:59", "2026-03-09T08:15:00+24:00", "2026-03-09T08:15:00+01:60",
		"2026-03-09T08:15:00+0100", "2026-03-09T08:15:00+1:00", "2026-03-09T08:15:00 Z", "2026-13-09T08:15:00Z", "2026-00-09T08:15:00Z",
		"0000-01-01T00:00:00Z", "0001-01-01T00:00:00Z", "12026-03-09T08:15:00Z", "2026-03-09T08:15:00.1234567890123456Z",
		"2026-03-09T08:15:00.123456789012345Z", "2026-03-09T08:15:00.12345678901234+01:00", "+026-03-09T08:15:00Z", "2026-03-09T08:15:00Zx"}
	otherDates = []string{"2026-02-30", "2024-02-29", "2026-3-09", "2026-03-9", "0000-01-01", "0001-01-01", "9999-12-31",
		"10000-01-01", "2026/03/09", "2026-03-09T00:00:00Z", "2026-03-09 ", "-026-03-09", "２026-03-09", "1900-02-29", "2000-02-29"}
)

// mutants calls yield with copies of a document that differ in one place, on the way
// and below its end, each made when it is asked for. Most are wrong; which of them are is
// for the readers to say.
func mutants(v any, at string, way []string, yield func(what string, doc func() any)) {
	is := func(w any) func() any { return func() any { return w } }
	for i, w := range otherValues {
		yield(at+" other value "+strconv.Itoa(i), is(w))
	}
	passed := func(name string) bool { return len(way) > 0 && name != way[0] }
	rest := way[min(1, len(way)):]
	switch v := v.(type) {
	case object:
		but := func(name string, set ...any) object { // without the member, but with what is set
			other := maps.Clone(v)
			delete(other, name)
			for i := 0; i < len(set); i += 2 {
				other[set[i].(string)] = set[i+1]
			}
			return other
		}
		for _, name := range slices.Sorted(maps.Keys(v)) {
			yield(at+" without "+name, func() any { return but(name) })
			if passed(name) {
				continue
			}
			upper := strings.ToUpper(name)
			yield(at+" with "+upper, func() any { return but(name, upper, v[name]) })
			mutants(v[name], at+"/"+name, rest, func(what string, w func() any) {
				yield(what, func() any { return but(name, name, w()) })
			})
		}
		yield(at+" with an unknown member", func() any { return but("zz", "zz", true) })
	case []any:
		yield(at+" empty", is([]any{}))
		for i := range v {
			if passed(strconv.Itoa(i)) {
				continue
			}
			mutants(v[i], at+"/"+strconv.Itoa(i), rest, func(what string, w func() any) {
				yield(what, func() any {
					other := slices.Clone(v)
					other[i] = w()
					return other
				})
			})
		}
		if len(v) > 0 {
			yield(at+" twice", func() any { return append(slices.Clone(v), v[0]) })
		}
	case string:
		yield(at+" in capitals", is(strings.ToUpper(v)))
		yield(at+" with a space", is(v+" "))
		yield(at+" with an accent", is(v+"é"))
		switch {
		case len(v) == len("2026-03-09") && strings.Count(v, "-") == 2:
			for _, d := range otherDates {
				yield(at+" "+d, is(d))
			}
		case strings.Contains(v, "T") && strings.Contains(v, ":"):
			for _, d := range otherInstants {
				yield(at+" "+d, is(d))
			}
		}
	}
}
