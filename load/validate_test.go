package load

import (
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/internal/tools/testrun"
	wordlist "example.com/moistheat/internal/words"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// fullRecord returns a record that has every member of the format, and one element of
// every list.
func fullRecord(t testing.TB) *Record {
	r := new(Record)
	fill(t, reflect.ValueOf(r).Elem())
	r.Format = Format
	return r
}

func fill(t testing.TB, v reflect.Value) {
	typ := v.Type()
	var unit reflect.StructField
	isQuantity := false
	if typ.Kind() == reflect.Struct {
		unit, isQuantity = typ.FieldByName("unit")
	}
	switch {
	case typ == reflect.TypeFor[time.Time]():
		v.Set(reflect.ValueOf(time.Date(2026, 3, 9, 8, 15, 0, 0, time.UTC)))
	case typ == reflect.TypeFor[moistheat.Date]():
		v.Set(reflect.ValueOf(day(2026, 3, 9)))
	case isQuantity:
		u := reflect.New(unit.Type)
		u.Elem().SetUint(1)
		code, err := u.Interface().(encoding.TextMarshaler).MarshalText()
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal([]byte(`{"value":1,"unit":"`+string(code)+`"}`), v.Addr().Interface()))
	case typ == reflect.TypeFor[[]float64]():
		v.Set(reflect.ValueOf([]float64{1, 2}))
	case typ.Kind() == reflect.Pointer:
		v.Set(reflect.New(typ.Elem()))
		fill(t, v.Elem())
	case typ.Kind() == reflect.Slice:
		v.Set(reflect.MakeSlice(typ, 1, 1))
		fill(t, v.Index(0))
	case typ.Kind() == reflect.Struct:
		for _, f := range reflect.VisibleFields(typ) {
			if name := f.Tag.Get("json"); f.IsExported() && !f.Anonymous && name != "" && name != "-" {
				fill(t, v.FieldByIndex(f.Index))
				if is := f.Tag.Get("is"); is != "" {
					v.FieldByIndex(f.Index).SetString(is)
				}
			}
		}
	case typ.Kind() == reflect.Uint8:
		v.SetUint(1)
	case typ.Kind() == reflect.Int:
		v.SetInt(1)
	case wordlist.Of(typ) != nil:
		v.SetString(wordlist.Of(typ)[0])
	default:
		require.Equal(t, reflect.String, typ.Kind())
		v.SetString("x")
	}
}

// problems returns what Validate says of a record.
func problems(t testing.TB, err error) []*moistheat.DocumentError {
	if err == nil {
		return nil
	}
	list, ok := err.(interface{ Unwrap() []error })
	require.True(t, ok, "%T", err)
	var out []*moistheat.DocumentError
	for _, err := range list.Unwrap() {
		e, ok := err.(*moistheat.DocumentError)
		require.True(t, ok, "%T", err)
		out = append(out, e)
	}
	require.NotEmpty(t, out)
	return out
}

// held fails unless a record is refused at a pointer, with these words, and Check
// holds the load and says so.
func held(t *testing.T, r *Record, pointer string, says ...string) {
	t.Helper()
	list := refuses(t, r, pointer, says...)
	if list == nil {
		return
	}
	report := Check(r, policy(t, "us-cdc-2003"))
	assert.GreaterOrEqual(t, report.Verdict.Load, moistheat.Quarantine, pointer)
	var found *moistheat.Finding
	for i, f := range report.Findings {
		assert.NotEqual(t, moistheat.Internal, f.Outcome, "%s: %+v", pointer, f)
		if f.Rule == "load.record.invalid" {
			found = &report.Findings[i]
		}
	}
	if assert.NotNil(t, found, pointer) {
		assert.Equal(t, pointer, found.Pointer)
		assert.Equal(t, list[0].Problem, found.Param("problem"))
	}
	_, err := report.JSON()
	assert.NoError(t, err, pointer)
}

// refuses fails unless Validate refuses a record at a pointer, with these words, and
// Decode a document of it.
func refuses(t *testing.T, r *Record, pointer string, says ...string) []*moistheat.DocumentError {
	t.Helper()
	list := problems(t, r.Validate())
	if !assert.Len(t, list, 1, pointer) {
		return nil
	}
	assert.Equal(t, pointer, list[0].Pointer)
	assert.Equal(t, Format, list[0].Format)
	for _, s := range says {
		assert.Contains(t, list[0].Problem, s, pointer)
	}
	// A document of the record is refused too, if the record can be written at all.
	if data, err := json.Marshal(r); err == nil && list[0].Kind != moistheat.ErrSyntax {
		_, err := Decode(data)
		assert.Error(t, err, "%s: %s", pointer, data)
	}
	return list
}

// members calls f with every member of a value that has one of every list.
func members(v reflect.Value, at string, f func(at string, field reflect.StructField, v reflect.Value)) {
	switch {
	case v.Kind() == reflect.Pointer && !v.IsNil():
		members(v.Elem(), at, f)
	case v.Kind() == reflect.Slice && v.Type().Elem().Kind() != reflect.Float64:
		for i := range min(1, v.Len()) {
			members(v.Index(i), at+"/"+fmt.Sprint(i), f)
		}
	case v.Kind() == reflect.Struct:
		for _, field := range reflect.VisibleFields(v.Type()) {
			name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
			if !field.IsExported() || field.Anonymous || name == "" || name == "-" {
				continue
			}
			f(at+"/"+name, field, v.FieldByIndex(field.Index))
			members(v.FieldByIndex(field.Index), at+"/"+name, f)
		}
	}
}

// Every single edit of a full record that no document could carry is refused where it
// was made, and holds the load.
func TestValidateEveryMember(t *testing.T) {
	r := fullRecord(t)
	require.NoError(t, r.Validate())
	refused, n := map[string]int{}, 0
	members(reflect.ValueOf(r), "", func(at string, field reflect.StructField, v reflect.Value) {
		try := func(what string, edited any, pointer string, says ...string) {
			old := reflect.New(v.Type()).Elem()
			old.Set(v)
			v.Set(reflect.ValueOf(edited).Convert(v.Type()))
			if n++; !testrun.Full() && n%48 != 0 { // a check of a full record takes its time
				refuses(t, r, pointer, says...)
			} else {
				held(t, r, pointer, says...)
			}
			v.Set(old)
			refused[what]++
		}
		zero := reflect.Zero(v.Type()).Interface()
		above := at[:strings.LastIndex(at, "/")]
		_, options, _ := strings.Cut(field.Tag.Get("json"), ",")
		required := options == ""
		typ := v.Type()
		text := typ.Kind() == reflect.String
		list := wordlist.Of(typ)
		switch {
		case at == "/format":
			try("format", "moistheat.load/2", at, Format)
		case text && list != nil:
			try("word", list[0]+"x", at, list[0])
			try("word", "?", at, "is not in the list")
			if required {
				try("missing", "", above, "is missing")
			}
		case text:
			try("long", strings.Repeat("x", 4097), at, "4096")
			try("UTF-8", "x\xff", at, "UTF-8")
			if field.Tag.Get("minLength") != "" {
				try("empty", "", at, "not empty")
			}
		case typ == reflect.TypeFor[moistheat.Answer]():
			try("answer", 3, at, "3")
		case typ.Kind() == reflect.Uint8:
			try("number", 250, at, "250")
			if required {
				try("missing", zero, above, "is missing")
			}
		case typ.Kind() == reflect.Int:
			try("whole", -1, at, "want a whole number from")
			try("whole", 1_000_000_001, at, "want a whole number from")
		case typ == reflect.TypeFor[time.Time]():
			try("year", time.Date(999, 12, 31, 0, 0, 0, 0, time.UTC), at, "1000")
			try("year", time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC), at, "9999")
			if required {
				try("missing", time.Time{}, above, "is missing")
			}
		case typ == reflect.TypeFor[[]float64]():
			for _, f := range []float64{math.NaN(), math.Inf(-1), 1e300} {
				values := append([]float64{1, 2}, f)
				try("column", values, at+"/2", "no form")
			}
		case typ.Kind() == reflect.Slice:
			most := strictjson.BoundsOf(field).MaxItems
			many := reflect.MakeSlice(typ, most+1, most+1)
			for i := range many.Len() {
				many.Index(i).Set(v.Index(0))
			}
			try("many", many.Interface(), at, fmt.Sprint(most))
		}
		if v.CanInterface() && typ.PkgPath() == reflect.TypeFor[units.Value]().PkgPath() && typ.Kind() == reflect.Struct {
			if required {
				try("missing", zero, above, "is missing")
			}
			if q, ok := negative(v); ok {
				dim := v.Interface().(interface{ Value() units.Value }).Value().Dimension()
				sign := field.Tag.Get("sign")
				if sign == "any" || sign == "" && dim.Signed() {
					old := reflect.New(typ).Elem()
					old.Set(v)
					v.Set(q)
					assert.NoError(t, r.Validate(), at)
					v.Set(old)
				} else {
					try("negative", q.Interface(), at+"/value", "not negative")
				}
			}
		}
	})
	for what, least := range map[string]int{"word": 50, "long": 50, "UTF-8": 50, "empty": 5, "answer": 50, "number": 5, "whole": 12,
		"year": 10, "column": 9, "many": 15, "missing": 15, "negative": 40, "format": 1} {
		assert.GreaterOrEqual(t, refused[what], least, what)
	}
	require.NoError(t, r.Validate(), "every edit was taken back")
}

// negative returns a quantity with the other sign.
func negative(v reflect.Value) (reflect.Value, bool) {
	m, ok := v.Addr().Interface().(json.Marshaler)
	if !ok {
		return v, false
	}
	data, err := m.MarshalJSON()
	if err != nil || !strings.HasPrefix(string(data), `{"value":`) {
		return v, false
	}
	q := reflect.New(v.Type())
	err = json.Unmarshal([]byte(strings.Replace(string(data), `{"value":`, `{"value":-`, 1)), q.Interface())
	return q.Elem(), err == nil
}

// A word that is much like one of the list is never taken for it, and the right one is
// named.
func TestValidateNamesTheNearestWord(t *testing.T) {
	r := good()
	r.Packs[1].Barrier = "paper-film puoch"
	held(t, r, "/packs/1/barrier", `did you mean "paper-film pouch"?`)
	r = good()
	r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Hinged, ""}
	held(t, r, "/packs/0/items/0/traits/1")
	r = good()
	r.Monitors.Biologicals = []Biological{{Result: "Negativ"}}
	held(t, r, "/monitors/biologicals/0/result", `did you mean "negative"?`)
	r = good()
	r.Release.Decision = moistheat.Disposition(200)
	held(t, r, "/release/decision")
}

func TestValidateTrace(t *testing.T) {
	traced := func(edit func(*cycle.Trace)) *Record {
		r := good()
		r.Cycle.Trace = &cycle.Trace{
			Time:         cycle.TimeBase{Unit: units.Second, Values: []float64{0, 1, 2}},
			Temperatures: []cycle.TemperatureChannel{{ID: "T1", Place: cycle.Drain, Unit: units.Celsius, Values: []float64{-5, 20, 21}}},
		}
		edit(r.Cycle.Trace)
		return r
	}
	require.NoError(t, traced(func(*cycle.Trace) {}).Validate())
	held(t, traced(func(tr *cycle.Trace) { tr.Time.Values[1] = -1 }), "/cycle/trace/time/values/1", "not negative")
	held(t, traced(func(tr *cycle.Trace) { tr.Time.Unit = 0 }), "/cycle/trace/time", `"unit" is missing`)
	held(t, traced(func(tr *cycle.Trace) { tr.Temperatures[0].Unit = 9 }), "/cycle/trace/temperatures/0/unit")
	held(t, traced(func(tr *cycle.Trace) { tr.Temperatures[0].Accuracy = units.New(-1, 0, units.KelvinDifference) }),
		"/cycle/trace/temperatures/0/accuracy/value")
	held(t, traced(func(tr *cycle.Trace) { tr.Temperatures[0].Place = "" }), "/cycle/trace/temperatures/0", `"place" is missing`)
}

// What is wrong a thousand times is said twenty-five times and counted.
func TestValidateIsBounded(t *testing.T) {
	r := good()
	r.Packs = make([]Pack, 1000)
	list := problems(t, r.Validate()) // each without an id
	require.Len(t, list, strictjson.MaxProblems+1)
	assert.Equal(t, "and 975 more problems", list[strictjson.MaxProblems].Problem)
	report := Check(r, policy(t, "us-cdc-2003"))
	n := 0
	for _, f := range report.Findings {
		if f.Rule == "load.record.invalid" {
			n++
		}
	}
	assert.Equal(t, strictjson.MaxProblems+1, n)
	assert.GreaterOrEqual(t, report.Verdict.Load, moistheat.Quarantine)

	// A program may share one list a million times over; the walk ends where a document
	// would.
	text := strings.Repeat("x", 4096)
	items := make([]packaging.Item, 1000)
	for i := range items {
		items[i].Name = text
	}
	r = good()
	r.Packs = make([]Pack, 1000)
	for i := range r.Packs {
		r.Packs[i].ID, r.Packs[i].Barrier, r.Packs[i].Items = "P", packaging.WrapSheet, items
	}
	list = problems(t, r.Validate())
	require.Len(t, list, 1)
	assert.Equal(t, moistheat.ErrLimit, list[0].Kind)
}

func TestValidateNothing(t *testing.T) {
	assert.Error(t, (*Record)(nil).Validate())
	assert.Error(t, (&Record{}).Validate())
	assert.NoError(t, (&Record{Format: Format, ID: "1"}).Validate(), "no packs are an empty list")
	assert.NoError(t, good().Validate())
}

// The errors can be asked for as those of a reader can.
func TestValidateUnwraps(t *testing.T) {
	r := good()
	r.Packs[0].Layers = -1
	err := r.Validate()
	assert.ErrorIs(t, err, moistheat.ErrShape)
	var e *moistheat.DocumentError
	require.True(t, errors.As(err, &e))
	assert.Equal(t, "moistheat.load/1: /packs/0/layers: want a whole number from 1 to 1000000000", e.Error())
}
