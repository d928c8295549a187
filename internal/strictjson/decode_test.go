package strictjson_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/packaging"
)

type colour uint8

func (c *colour) UnmarshalText(text []byte) error {
	if string(text) != "red" {
		return fmt.Errorf("%q is not a colour", text)
	}
	*c = 1
	return nil
}

// pair reads itself and tells where inside it the trouble is.
type pair struct{ number, unit string }

func (p *pair) UnmarshalJSON(data []byte) error {
	number, unit, err := strictjson.Quantity(data)
	p.number, p.unit = string(number), string(unit)
	return err
}

// flag reads itself and only says that it cannot.
type flag bool

func (f *flag) UnmarshalJSON(data []byte) error {
	if string(data) != "true" {
		return errors.New("want true")
	}
	*f = true
	return nil
}

type part struct {
	Name string `json:"name"`
	Deep *part  `json:"deep,omitzero"`
}

type common struct {
	ID string `json:"id"`
}

type everything struct {
	common
	Text    string    `json:"text"`
	Yes     bool      `json:"yes,omitzero"`
	Count   int       `json:"count,omitzero"`
	Samples []float64 `json:"samples,omitempty"`
	At      time.Time `json:"at,omitzero"`
	Colour  colour    `json:"colour,omitzero"`
	Colours []colour  `json:"colours,omitzero"`
	Mass    pair      `json:"mass,omitzero"`
	Masses  []pair    `json:"masses,omitzero"`
	Flag    flag      `json:"flag,omitzero"`
	Part    part      `json:"part,omitzero"`
	Pointer *part     `json:"pointer,omitzero"`
	Parts   []part    `json:"parts,omitzero"`
	Grid    [][]int   `json:"grid,omitzero"`

	Untagged string
	Ignored  string `json:"-"`
}

var everyDecoder = strictjson.NewDecoder[everything]()

func decode(doc string) (*everything, error) {
	return everyDecoder.Decode([]byte(doc), strictjson.Default())
}

func TestDecode(t *testing.T) {
	got, err := decode(` { "id" : "1" , "text":"a\u00e9\n", "yes":true, "count":12, "samples":[ 1 , -2.5,3e2],
		"at":"2026-03-09T08:15:00.5+01:00", "colour":"red", "colours":["red","red"], "mass":{"unit":"kg","value":1.50},
		"masses":[{"value":1,"unit":"g"},{"value":2e1,"unit":"\u0067"}], "flag":true, "part":{"name":"p"}, "pointer":{"name":"q","deep":{"name":"r"}},
		"parts":[{"name":"1"},{"name":"2"},{"name":"3"},{"name":"4"},{"name":"5"},{"name":"6"}], "grid":[[1,2],[],[3]] } `)
	require.NoError(t, err)
	want := &everything{
		common: common{"1"}, Text: "aé\n", Yes: true, Count: 12, Samples: []float64{1, -2.5, 300},
		At:     time.Date(2026, 3, 9, 8, 15, 0, 5e8, time.FixedZone("", 3600)),
		Colour: 1, Colours: []colour{1, 1}, Mass: pair{"1.50", "kg"}, Masses: []pair{{"1", "g"}, {"2e1", "g"}}, Flag: true,
		Part: part{Name: "p"}, Pointer: &part{Name: "q", Deep: &part{Name: "r"}},
		Parts: []part{{Name: "1"}, {Name: "2"}, {Name: "3"}, {Name: "4"}, {Name: "5"}, {Name: "6"}},
		Grid:  [][]int{{1, 2}, {}, {3}},
	}
	assert.Empty(t, cmp.Diff(want, got, cmp.AllowUnexported(everything{}, pair{}, common{}), cmp.Comparer(func(a, b time.Time) bool {
		_, x := a.Zone()
		_, y := b.Zone()
		return a.Equal(b) && x == y
	})))

	got, err = decode(`{"text":"","id":"2","samples":[],"parts":[],"yes":false}`)
	require.NoError(t, err)
	assert.Empty(t, cmp.Diff(&everything{common: common{"2"}, Samples: []float64{}, Parts: []part{}}, got, cmp.AllowUnexported(everything{}, pair{}, common{})))
}

func TestDecodeRefuses(t *testing.T) {
	tests := []struct {
		name, doc string
		offset    int64
		pointer   string
		says      string
	}{
		{"not an object", `[]`, 0, "", "want an object"},
		{"null document", `null`, 0, "", "want an object"},
		{"required missing", ` {"id":"1"}`, 1, "", `"text" is missing`},
		{"embedded required missing", `{"text":"x"}`, 0, "", `"id" is missing`},
		{"required missing inside", `{"id":"1","text":"x","part":{}}`, 28, "/part", `"name" is missing`},
		{"required missing in a list", `{"id":"1","text":"x","parts":[{"name":"a"},{}]}`, 43, "/parts/1", `"name" is missing`},
		{"unknown", `{"id":"1","text":"x","extra":1}`, 21, "/extra", "unknown member"},
		{"unknown, to be escaped", `{"id":"1","text":"x","a/b~":1}`, 21, "/a~1b~0", "unknown member"},
		{"much like a name", `{"id":"1","txet":"x"}`, 10, "/txet", `unknown member; did you mean "text"?`},
		{"like no name", `{"id":"1","zzzzz":"x"}`, 10, "/zzzzz", "unknown member; remove it or correct its name"},
		{"untagged field", `{"id":"1","text":"x","Untagged":""}`, 21, "/Untagged", "unknown member"},
		{"field that is left out", `{"id":"1","text":"x","Ignored":"","-":""}`, 21, "/Ignored", "unknown member"},
		{"other case", `{"id":"1","TEXT":"x"}`, 10, "/TEXT", `written "text"`},
		{"other case, Unicode folding", `{"id":"1","text":"x","maſs":1}`, 21, "/maſs", `written "mass"`},
		{"unknown in a list", `{"id":"1","text":"x","parts":[{"name":"a","x":1}]}`, 42, "/parts/0/x", "unknown member"},
		{"null text", `{"id":null,"text":"x"}`, 6, "/id", "want a string"},
		{"number for text", `{"id":1,"text":"x"}`, 6, "/id", "want a string"},
		{"null bool", `{"id":"1","text":"x","yes":null}`, 27, "/yes", "want true or false"},
		{"number for bool", `{"id":"1","text":"x","yes":1}`, 27, "/yes", "want true or false"},
		{"text for bool", `{"id":"1","text":"x","yes":"true"}`, 27, "/yes", "want true or false"},
		{"null int", `{"id":"1","text":"x","count":null}`, 29, "/count", "want a whole number"},
		{"text for int", `{"id":"1","text":"x","count":"1"}`, 29, "/count", "want a whole number"},
		{"fraction for int", `{"id":"1","text":"x","count":1.5}`, 29, "/count", "want a whole number"},
		{"object for int", `{"id":"1","text":"x","count":{}}`, 29, "/count", "want a whole number"},
		{"int out of range", `{"id":"1","text":"x","count":10e18}`, 29, "/count", "want a whole number"},
		{"null list", `{"id":"1","text":"x","parts":null}`, 29, "/parts", "want an array"},
		{"object for list", `{"id":"1","text":"x","parts":{}}`, 29, "/parts", "want an array"},
		{"null in list", `{"id":"1","text":"x","parts":[null]}`, 30, "/parts/0", "want an object"},
		{"list in list", `{"id":"1","text":"x","grid":[[1],2]}`, 33, "/grid/1", "want an array"},
		{"null numbers", `{"id":"1","text":"x","samples":null}`, 31, "/samples", "want an array of numbers"},
		{"text for numbers", `{"id":"1","text":"x","samples":"1"}`, 31, "/samples", "want an array of numbers"},
		{"null in numbers", `{"id":"1","text":"x","samples":[1,null]}`, 34, "/samples/1", "want a number"},
		{"text in numbers", `{"id":"1","text":"x","samples":["]"]}`, 32, "/samples/0", "want a number"},
		{"list in numbers", `{"id":"1","text":"x","samples":[1,[2]]}`, 34, "/samples/1", "want a number"},
		{"null time", `{"id":"1","text":"x","at":null}`, 26, "/at", "want a string"},
		{"bad time", `{"id":"1","text":"x","at":"yesterday"}`, 26, "/at", "not a date and time"},
		{"null enumeration", `{"id":"1","text":"x","colour":null}`, 30, "/colour", "want a string"},
		{"bad enumeration", `{"id":"1","text":"x","colour":"Red"}`, 30, "/colour", "not a colour"},
		{"bad enumeration in a list", `{"id":"1","text":"x","colours":["red","blue"]}`, 38, "/colours/1", "not a colour"},
		{"null pointer", `{"id":"1","text":"x","pointer":null}`, 31, "/pointer", "want an object"},
		{"inside a pointer", `{"id":"1","text":"x","pointer":{"name":"a","deep":{"name":1}}}`, 58, "/pointer/deep/name", "want a string"},
		{"value that reads itself: null", `{"id":"1","text":"x","mass":null}`, 28, "/mass", "want an object"},
		{"value that reads itself: member", `{"id":"1","text":"x","mass":{"value":"1","unit":"kg"}}`, 37, "/mass/value", "want a number"},
		{"value that reads itself, in a list", `{"id":"1","text":"x","masses":[{"value":1,"unit":"kg"},{"value":1,"unit":2}]}`, 73, "/masses/1/unit", "want a string"},
		{"value that reads itself: no place known", `{"id":"1","text":"x","flag":false}`, 28, "/flag", "want true"},
		{"a long name is not repeated whole", `{"id":"1","text":"x","` + strings.Repeat("é", 100) + `":1}`, 21, "/" + strings.Repeat("é", 32) + "…", "unknown member"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			got, err := decode(test.doc)
			assert.Nil(t, got)
			requireError(t, err, moistheat.ErrShape, test.offset, test.pointer)
			assert.Contains(t, err.Error(), test.says)
		})
	}
	_, err := decode(`{"id":"1","id":"2","text":""}`)
	requireError(t, err, moistheat.ErrSyntax, 10, "/id")
	_, err = everyDecoder.Decode([]byte(`{"id":"1"}`), strictjson.Limits{Size: 9})
	requireError(t, err, moistheat.ErrLimit, 9, "")
}

// A string of a type with a list of words is one of them, letter by letter.
func TestDecodeWords(t *testing.T) {
	type pack struct {
		Barrier packaging.Barrier `json:"barrier"`
		Traits  []packaging.Trait `json:"traits,omitzero"`
	}
	d := strictjson.NewDecoder[pack]()
	got, err := d.Decode([]byte(`{"barrier":"p\u0061per bag","traits":["sharp","hollow"]}`), strictjson.Default())
	require.NoError(t, err)
	assert.Equal(t, &pack{packaging.PaperBag, []packaging.Trait{packaging.Sharp, packaging.Hollow}}, got)
	for _, tt := range []struct {
		doc     string
		offset  int64
		pointer string
		says    string
	}{
		{`{"barrier":"paper bags"}`, 11, "/barrier", `"paper bags" is not in the list none, wrap, `},
		{`{"barrier":"paper bags"}`, 11, "/barrier", `; did you mean "paper bag"?`},
		{`{"barrier":"Foil"}`, 11, "/barrier", `did you mean "foil"?`},
		{`{"barrier":""}`, 11, "/barrier", `"" is not in the list`},
		{`{"barrier":null}`, 11, "/barrier", "want a string"},
		{`{"barrier":1}`, 11, "/barrier", "want a string"},
		{`{"barrier":"foil","traits":["sharp","shrap"]}`, 36, "/traits/1", `did you mean "sharp"?`},
		{`{"barrier":"` + strings.Repeat("foil", 1000) + `"}`, 11, "/barrier", `"` + strings.Repeat("foil", 10) + `" is not`},
	} {
		_, err := d.Decode([]byte(tt.doc), strictjson.Default())
		requireError(t, err, moistheat.ErrShape, tt.offset, tt.pointer)
		assert.ErrorContains(t, err, tt.says)
	}
}

// An array has at most MaxItems elements, but for the numbers of a trace.
func TestDecodeMaxItems(t *testing.T) {
	items := func(n int, item string) string { return "[" + strings.Repeat(item+",", n-1) + item + "]" }
	for _, n := range []int{strictjson.MaxItems - 1, strictjson.MaxItems} {
		got, err := decode(`{"id":"1","text":"x","colours":` + items(n, `"red"`) + `}`)
		require.NoError(t, err)
		assert.Len(t, got.Colours, n)
	}
	_, err := decode(`{"id":"1","text":"x","grid":[` + items(strictjson.MaxItems+1, "1") + `]}`)
	requireError(t, err, moistheat.ErrLimit, int64(len(`{"id":"1","text":"x","grid":[[`)+2*strictjson.MaxItems), "/grid/0")
	got, err := decode(`{"id":"1","text":"x","samples":` + items(strictjson.MaxItems+1, "1") + `}`)
	require.NoError(t, err)
	assert.Len(t, got.Samples, strictjson.MaxItems+1)
}

// "integer" in JSON Schema is any number without a fractional part. What is read is
// the range of the schemas, which an int holds on every platform.
func TestDecodeWholeNumbers(t *testing.T) {
	for text, want := range map[string]int{"0": 0, "-0": 0, "7.0": 7, "7.00e1": 70, "120e-1": 12, "1e3": 1000, "1.5e1": 15, "0e5": 0, "0.0e-18": 0,
		"1000000000": 1e9, "1000000000.000": 1e9, "10000000.00e2": 1e9} {
		got, err := decode(`{"id":"1","text":"x","count":` + text + `}`)
		if assert.NoError(t, err, text) {
			assert.Equal(t, want, got.Count, text)
		}
	}
	_, err := decode(`{"id":"1","text":"x","count":4294967297}`) // 1, if the upper half were dropped
	assert.ErrorContains(t, err, "want a whole number from 0 to 1000000000")
	for _, text := range []string{"0.1", "1e-1", "15e-1", "10e18", "-10e18", "99e18", "1.5e0", "1000000001", "-1", "-1.5e1", "2147483647", "999999999999999999", "1e18", "9e18"} {
		_, err := decode(`{"id":"1","text":"x","count":` + text + `}`)
		assert.ErrorIs(t, err, moistheat.ErrShape, text)
	}
}

// Every number of an array is the float64 nearest to what was written.
func TestDecodeFloats(t *testing.T) {
	texts := []string{"0", "-0", "0.1", "134.0", "-0.000001", "9007199254740992", "9007199254740993", "9007199254740992.5", "999999999999999999",
		"1e18", "1E-18", "5e-1", "0.3333333333333333", "123456789.123456789", "0.0000000000000000000001", "0.000000000000000000000000001", "2.5e+2"}
	r := rand.New(rand.NewPCG(1, 2))
	for range 20_000 {
		digits := 1 + r.IntN(18)
		s := strconv.FormatInt(r.Int64N(int64(math.Pow10(digits))), 10)
		if cut := r.IntN(len(s) + 1); cut < len(s) {
			s = strings.TrimLeft(s[:cut], "0") + "." + s[cut:]
			if s[0] == '.' {
				s = "0" + s
			}
		}
		if r.IntN(2) == 0 {
			s = "-" + s
		}
		texts = append(texts, s)
	}
	got, err := decode(`{"id":"1","text":"x","samples":[` + strings.Join(texts, ",\n") + `]}`)
	require.NoError(t, err)
	require.Len(t, got.Samples, len(texts))
	for i, text := range texts {
		want, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		require.Equal(t, math.Float64bits(want), math.Float64bits(got.Samples[i]), text)
	}
}

func TestParseInstant(t *testing.T) {
	for text, want := range map[string]string{
		"2026-03-09T08:15:00Z":                "2026-03-09T08:15:00Z",
		"2026-03-09T08:15:00+01:00":           "2026-03-09T07:15:00Z",
		"2026-03-09T08:15:00.25-05:30":        "2026-03-09T13:45:00.25Z",
		"2024-02-29T00:00:00Z":                "2024-02-29T00:00:00Z",
		"2026-03-09T23:59:59.999999999+00:00": "2026-03-09T23:59:59.999999999Z",
		"2026-03-09T08:15:00+23:59":           "2026-03-08T08:16:00Z",
		"1000-01-01T00:00:00Z":                "1000-01-01T00:00:00Z",
	} {
		got, err := strictjson.ParseInstant(text)
		if assert.NoError(t, err, text) {
			assert.Equal(t, want, got.UTC().Format(time.RFC3339Nano), text)
		}
	}
	for _, text := range []string{
		"", "2026-03-09", "2026-03-09T08:15:00", "2026-03-09 08:15:00Z", "2026-03-09t08:15:00Z", "2026-03-09T08:15:00z", "2026-03-09T08:15Z",
		"2026-03-09T8:15:00Z", "2026-3-9T08:15:00Z", "2026-03-09T08:15:00,5Z", "2026-03-09T08:15:00.Z", "2026-03-09T08:15:60Z", "2026-03-09T24:00:00Z",
		"2026-02-29T00:00:00Z", "2026-13-01T00:00:00Z", "2026-03-00T00:00:00Z", "2026-03-09T08:15:00+0100", "2026-03-09T08:15:00+01", "2026-03-09T08:15:00+24:00",
		"2026-03-09T08:15:00+01:60", " 2026-03-09T08:15:00Z", "2026-03-09T08:15:00Z ", "12026-03-09T08:15:00Z", "2026-03-09T08:15:00.1234567890123456Z", "2026-03-09T08:15:00−05:00",
		"0999-12-31T23:59:59Z", "0001-01-01T00:00:00Z", "0001-01-01T01:00:00+01:00", "0000-12-31T23:00:00-01:00", // the last three are Go's zero Time
	} {
		_, err := strictjson.ParseInstant(text)
		assert.Error(t, err, text)
	}
}

func TestQuantity(t *testing.T) {
	number, unit, err := strictjson.Quantity([]byte(` { "unit" : "a\u00b0" , "value" : -1.50e2 } `))
	require.NoError(t, err)
	assert.Equal(t, "-1.50e2", string(number))
	assert.Equal(t, "a°", string(unit))

	for _, test := range []struct {
		doc     string
		kind    error
		offset  int64
		pointer string
	}{
		{`null`, moistheat.ErrShape, 0, ""},
		{`5.4`, moistheat.ErrShape, 0, ""},
		{`"4.1 kg"`, moistheat.ErrShape, 0, ""},
		{`[5.4,"kg"]`, moistheat.ErrShape, 0, ""},
		{`{}`, moistheat.ErrShape, 0, ""},
		{` {"unit":"kg"}`, moistheat.ErrShape, 1, ""},
		{` {"value":1}`, moistheat.ErrShape, 1, ""},
		{`{"value":null,"unit":"kg"}`, moistheat.ErrShape, 9, "/value"},
		{`{"value":"1","unit":"kg"}`, moistheat.ErrShape, 9, "/value"},
		{`{"value":true,"unit":"kg"}`, moistheat.ErrShape, 9, "/value"},
		{`{"value":{},"unit":"kg"}`, moistheat.ErrShape, 9, "/value"},
		{`{"value":1,"unit":null}`, moistheat.ErrShape, 18, "/unit"},
		{`{"value":1,"unit":["kg"]}`, moistheat.ErrShape, 18, "/unit"},
		{`{"value":1,"unit":"kg","note":""}`, moistheat.ErrShape, 23, "/note"},
		{`{"Value":1,"unit":"kg"}`, moistheat.ErrShape, 1, "/Value"},
		{`{"value":1,"value":1,"unit":"kg"}`, moistheat.ErrSyntax, 11, "/value"},
		{`{"value":1,"unit":"kg"`, moistheat.ErrSyntax, 22, ""},
		{`{"value":NaN,"unit":"kg"}`, moistheat.ErrSyntax, 9, "/value"},
		{`{"value":1e1000001,"unit":"kg"}`, moistheat.ErrLimit, 9, "/value"},
	} {
		_, _, err := strictjson.Quantity([]byte(test.doc))
		t.Run(test.doc, func(t *testing.T) { requireError(t, err, test.kind, test.offset, test.pointer) })
	}
}

// A type that the decoder cannot fill is a mistake of the program, found by the
// first test that builds the decoder.
func TestNewDecoderPanics(t *testing.T) {
	type embedded struct{ *common }
	type shadow struct {
		common
		Other string `json:"id"`
	}
	for name, build := range map[string]func(){
		"map": func() { strictjson.NewDecoder[map[string]string]() },
		"float": func() {
			strictjson.NewDecoder[struct {
				F float64 `json:"f"`
			}]()
		},
		"interface": func() {
			strictjson.NewDecoder[struct {
				F any `json:"f"`
			}]()
		},
		"bytes":           func() { strictjson.NewDecoder[[]byte]() },
		"pointer to text": func() { strictjson.NewDecoder[*string]() },
		"two of one name": func() {
			strictjson.NewDecoder[shadow]()
		},
		"no name": func() {
			strictjson.NewDecoder[struct {
				A string `json:",omitzero"`
			}]()
		},
		"another option": func() {
			strictjson.NewDecoder[struct {
				A int `json:"a,string"`
			}]()
		},
		"embedded pointer": func() { strictjson.NewDecoder[embedded]() },
	} {
		assert.Panics(t, build, name)
	}
}

// Allocations of a decoded record come from what it holds, never from the number of
// samples.
func TestDecodeAllocations(t *testing.T) {
	count := func(samples int) float64 {
		data := record(t, 5, samples)
		return testing.AllocsPerRun(20, func() {
			if _, err := benchDecoder.Decode(data, strictjson.Default()); err != nil {
				t.Error(err)
			}
		})
	}
	assert.Equal(t, count(10), count(2000))
}

// A hostile document cannot make the decoder hold much more than its own size.
func TestDecodeMemory(t *testing.T) {
	doc := []byte(`{"id":"1","text":"x","samples":[` + strings.Repeat("0,", 1_000_000) + `0]}`)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	got, err := everyDecoder.Decode(doc, strictjson.Default())
	runtime.ReadMemStats(&after)
	require.NoError(t, err)
	require.Len(t, got.Samples, 1_000_001)
	assert.LessOrEqual(t, after.TotalAlloc-before.TotalAlloc, uint64(5*len(doc)), "8 bytes for the 2 of each number")
}

// mirror is everything as encoding/json can fill it.
type mirror struct {
	ID      string    `json:"id"`
	Text    string    `json:"text"`
	Yes     bool      `json:"yes,omitempty"`
	Samples []float64 `json:"samples,omitempty"`
	Part    part      `json:"part"`
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte(`{"id":"1","text":"a\u00e9","yes":true,"count":12,"samples":[1,-2.5,3e2],"at":"2026-03-09T08:15:00+01:00","colour":"red","mass":{"value":1,"unit":"g"},"part":{"name":"p"}}`))
	f.Add([]byte(`{"id":"1","text":"","parts":[{"name":"1"},{"name":"2"},{"name":"3"},{"name":"4"},{"name":"5"}],"grid":[[1],[]],"flag":true}`))
	f.Add([]byte(`{"id":"1","text":"","samples":["]"],"pointer":{"name":"a","deep":{"name":"b"}},"masses":[{"unit":"x","value":0}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := everyDecoder.Decode(data, strictjson.Default())
		if err != nil {
			var e *moistheat.DocumentError
			if !errors.As(err, &e) || e.Offset < 0 || e.Offset > int64(len(data)) {
				t.Fatalf("%#v", err)
			}
			shape := errors.Is(err, moistheat.ErrShape) || strings.Contains(e.Problem, "elements in an array")
			if checked := strictjson.Check(data, strictjson.Default()); (checked == nil) != shape {
				t.Fatalf("decoder says %v, guard says %v", err, checked)
			}
			return
		}
		// What both readers take, they must read alike.
		var other mirror
		dec := json.NewDecoder(bytes.NewReader(data))
		if err := dec.Decode(&other); err != nil {
			t.Fatalf("accepted what encoding/json refuses: %v", err)
		}
		mine := mirror{got.ID, got.Text, got.Yes, got.Samples, got.Part}
		if diff := cmp.Diff(other, mine); diff != "" {
			t.Fatal(diff)
		}
	})
}
