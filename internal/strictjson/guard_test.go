package strictjson_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/strictjson"
)

var tight = strictjson.Limits{Size: 200, Depth: 3, Text: 10, Number: 12, Digits: 5, Exponent: 7, Names: 4}

func TestCheckLimits(t *testing.T) {
	nested := func(open, middle, end string, n int) string {
		return strings.Repeat(open, n) + middle + strings.Repeat(end, n)
	}
	names := func(n int) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, `,"%d":0`, i)
		}
		return "{" + b.String()[1:] + "}"
	}
	tests := []struct {
		limit           string
		inside, at, out string
		offset          int64
		pointer         string
	}{
		{"size", strings.Repeat(" ", 198) + "1", strings.Repeat(" ", 199) + "1", strings.Repeat(" ", 200) + "1", 200, ""},
		{"depth of arrays", "[[1]]", "[[[1]]]", "[[[[1]]]]", 3, "/0/0/0"},
		{"depth of objects", nested(`{"a":`, "1", "}", 2), nested(`{"a":`, "1", "}", 3), nested(`{"a":`, "1", "}", 4), 15, "/a/a/a"},
		{"depth after other members", `[[1],[[2]]]`, `[[[1]],[[2]]]`, `[[[1]],[[[2]]]]`, 9, "/1/0/0"},
		{"text", `"123456789"`, `"1234567890"`, `"12345678901"`, 11, ""},
		{"text in bytes, not characters", `"ééééx"`, `"ééééé"`, `"éééééx"`, 11, ""},
		{"text as written", `"\u0041xx"`, `"\u0041xxxx"`, `"\u0041xxxxx"`, 11, ""},
		{"text across an escape", `["12345678\n"]`, `["\n12345678"]`, `["123456789\n"]`, 12, "/0"},
		{"name", `{"123456789":1}`, `{"1234567890":1}`, `{"12345678901":1}`, 12, ""},
		{"number", "0.000000001", "0.0000000001", "0.00000000001", 0, ""},
		{"digits", "1234", "12345", "123456", 0, ""},
		{"digits of a fraction", "-0.1234", "-0.12345", "-0.123456", 0, ""},
		{"digits, leading zeros apart", "0.001234", "0.0012345", "0.00123456", 0, ""},
		{"digits, trailing zeros counted", "1.000", "1.0000", "1.00000", 0, ""},
		{"exponent", "1e6", "1e7", "1e8", 0, ""},
		{"negative exponent", `{"a":1E-6}`, `{"a":1E-7}`, `{"a":1E-8}`, 5, "/a"},
		{"names", names(3), names(4), names(5), 25, "/4"},
	}
	for _, test := range tests {
		t.Run(test.limit, func(t *testing.T) {
			assert.NoError(t, strictjson.Check([]byte(test.inside), tight), "inside %s", test.inside)
			assert.NoError(t, strictjson.Check([]byte(test.at), tight), "at %s", test.at)
			requireError(t, strictjson.Check([]byte(test.out), tight), moistheat.ErrLimit, test.offset, test.pointer)
		})
	}
}

// requireError looks at everything an Error promises but its wording.
func requireError(t *testing.T, err, kind error, offset int64, pointer string) {
	t.Helper()
	require.Error(t, err)
	var e *moistheat.DocumentError
	require.ErrorAs(t, err, &e)
	assert.ErrorIs(t, err, kind, "%v", err)
	assert.Equal(t, offset, e.Offset, "offset: %v", err)
	assert.Equal(t, pointer, e.Pointer, "pointer: %v", err)
	assert.NotEmpty(t, e.Problem)
	assert.True(t, utf8.ValidString(err.Error()), "%q", err)
}

// A document may have many names open at once, but not without bound: at most 1,024
// whatever the limits say, and at most 64 levels.
func TestCheckOpenNames(t *testing.T) {
	lim := strictjson.Limits{Size: 1 << 20, Depth: 64, Text: 16, Number: 8, Digits: 8, Exponent: 8, Names: 512}
	doc := func(perObject, levels int) string {
		s := "0"
		for range levels {
			var b strings.Builder
			b.WriteString("{")
			for i := range perObject - 1 {
				fmt.Fprintf(&b, `"n%d":0,`, i)
			}
			s = b.String() + `"last":` + s + "}"
		}
		return s
	}
	assert.NoError(t, strictjson.Check([]byte(doc(512, 2)), lim), "1,024 names open")
	err := strictjson.Check([]byte(doc(342, 3)), lim)
	require.ErrorIs(t, err, moistheat.ErrLimit, "1,026 names open")
	assert.Contains(t, err.Error(), "1024")
	assert.NoError(t, strictjson.Check([]byte("["+doc(512, 2)+","+doc(512, 2)+"]"), lim), "closed names do not count")

	assert.NoError(t, strictjson.Check([]byte(strings.Repeat("[", 64)+strings.Repeat("]", 64)), lim))
	lim.Depth = 1000
	requireError(t, strictjson.Check([]byte(strings.Repeat("[", 65)+strings.Repeat("]", 65)), lim), moistheat.ErrLimit, 64, strings.Repeat("/0", 64))
}

// The amount of names matters for a document too small to hold many as well: the
// shortest possible members, in documents around the size where the working memory
// grows.
func TestCheckShortestMembers(t *testing.T) {
	lim := strictjson.Default()
	for depth := 1; depth <= 32; depth++ {
		for size := 140; size < 180; size++ {
			doc := strings.Repeat(`{"":`, depth)
			doc += "0" + strings.Repeat("}", depth)
			if pad := size - len(doc); pad >= 0 {
				assert.NoError(t, strictjson.Check([]byte(doc+strings.Repeat(" ", pad)), lim), "%d levels, %d bytes", depth, size)
			}
		}
	}
	for n := 1; n <= 60; n++ {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, `,"%c":1`, 'A'+i)
		}
		doc := "{" + strings.ReplaceAll(b.String()[1:], `"\"`, `"é"`) + "}"
		assert.NoError(t, strictjson.Check([]byte(doc), lim), doc)
	}
}

func TestCheckSyntax(t *testing.T) {
	tests := []struct {
		name, doc string
		offset    int64
		pointer   string
	}{
		{"nothing", "", 0, ""},
		{"only space", " \t\r\n", 4, ""},
		{"byte order mark", "\xef\xbb\xbf{}", 0, ""},
		{"byte order mark later", "{}\xef\xbb\xbf", 2, ""},
		{"UTF-16", "{\x00}\x00", 1, ""},
		{"vertical tab as space", "\v1", 0, ""},
		{"no-break space", "\u00a01", 0, ""},
		{"NaN", `{"a":NaN}`, 5, "/a"},
		{"Infinity", "[Infinity]", 1, "/0"},
		{"minus Infinity", "[1,-Infinity]", 3, "/1"},
		{"capital word", "True", 0, ""},
		{"word cut short", "[tru]", 1, "/0"},
		{"word too long", "[nulls]", 5, "/0"},
		{"plus", "+1", 0, ""},
		{"leading zero", "[01]", 1, "/0"},
		{"minus alone", "-", 0, ""},
		{"no whole part", ".5", 0, ""},
		{"no fraction", "[1.]", 1, "/0"},
		{"fraction without digits before exponent", "[1.e5]", 1, "/0"},
		{"no exponent digits", "[1e]", 1, "/0"},
		{"sign without exponent digits", "[1e+]", 1, "/0"},
		{"hexadecimal", "[0x1F]", 2, "/0"},
		{"digit grouping", "[1_000]", 2, "/0"},
		{"decimal comma", `{"a":5,4}`, 7, ""},
		{"text number glued", `["1"2]`, 4, "/0"},
		{"single quotes", "{'a':1}", 1, ""},
		{"name without quotes", "{a:1}", 1, ""},
		{"number as name", "{1:1}", 1, ""},
		{"no colon", `{"a" 1}`, 5, "/a"},
		{"no value", `{"a":}`, 5, "/a"},
		{"trailing comma in object", `{"a":1,}`, 7, ""},
		{"trailing comma in array", "[1,]", 3, "/1"},
		{"two commas", "[1,,2]", 3, "/1"},
		{"no comma", "[1 2]", 3, "/0"},
		{"wrong bracket", "[1}", 2, "/0"},
		{"wrong brace", `{"a":[1}}`, 7, "/a/0"},
		{"two values", `{} {}`, 3, ""},
		{"closing too much", "[]]", 2, ""},
		{"comment", "[1 /* two */]", 3, "/0"},
		{"raw newline in text", "[\"a\nb\"]", 3, "/0"},
		{"raw NUL in text", "[\"a\x00b\"]", 3, "/0"},
		{"DEL is allowed but not a stray byte", "[\"a\x7fb\xff\"]", 5, "/0"},
		{"unknown escape", `["\x41"]`, 2, "/0"},
		{"escape at the end", `["\`, 2, "/0"},
		{"short unicode escape", `["\u12"]`, 2, "/0"},
		{"bad unicode escape", `["\u12G4"]`, 2, "/0"},
		{"lone high surrogate", `["\ud83d"]`, 2, "/0"},
		{"lone low surrogate", `["\ude00"]`, 2, "/0"},
		{"surrogates the wrong way round", `["\ude00\ud83d"]`, 2, "/0"},
		{"high surrogate before a plain escape", `["\ud83d\u0041"]`, 2, "/0"},
		{"lone surrogate in a name", `{"\ud83d":1}`, 2, ""},
		{"surrogate in UTF-8", "[\"\xed\xa0\xbd\"]", 2, "/0"},
		{"overlong UTF-8", "[\"\xc0\xaf\"]", 2, "/0"},
		{"UTF-8 beyond Unicode", "[\"\xf4\x90\x80\x80\"]", 2, "/0"},
		{"UTF-8 cut off by the quote", "[\"\xe2\x82\"]", 2, "/0"},
		{"duplicate name", `{"a":1,"b":2,"a":3}`, 13, "/a"},
		{"duplicate name, values equal", `{"a":1,"a":1}`, 7, "/a"},
		{"duplicate name through an escape", `{"ab":1,"\u0061b":2}`, 8, "/ab"},
		{"duplicate name, both escaped differently", `{"\u0061\/":1,"a\u002F":2}`, 14, "/a~1"},
		{"duplicate name through a surrogate pair", `{"😀":1,"\ud83d\uDE00":2}`, 10, "/😀"},
		{"duplicate empty name", `{"":1,"":2}`, 6, "/"},
		{"duplicate name deep down", `[{"a":{"b":[{"c":1,"c":2}]}}]`, 19, "/0/a/b/0/c"},
		{"pointer escapes names", `{"a/b":{"c~d":[1,x]}}`, 17, "/a~1b/c~0d/1"},
		{"pointer of the second of two", `{"a":{"x":1},"b":[0,{"y":?}]}`, 25, "/b/1/y"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			requireError(t, strictjson.Check([]byte(test.doc), strictjson.Default()), moistheat.ErrSyntax, test.offset, test.pointer)
		})
	}
}

func TestCheckAccepts(t *testing.T) {
	for _, doc := range []string{
		"null", "true", "false", "0", "-0", "-0.0", "1E+5", "1e-05", `""`, "[]", "{}", " [ ] ", "\t{\r\n}\n",
		`{"a":1,"A":2,"á":3,"a ":4,"":5}`,
		`{"a":{"a":{"a":1}},"b":{"a":1}}`,
		`[{"a":1},{"a":1}]`,
		`"\"\\\/\b\f\n\r\t\u00e9\uD83D\uDE00"`,
		`"\u0000"`, "\"\u2028\u2029\x7f\"", "\"\uFFFD\"", "\"\U0010FFFF\"",
		"999999999999999999", "-0.000000000000000001",
	} {
		assert.NoError(t, strictjson.Check([]byte(doc), strictjson.Default()), doc)
		assert.True(t, json.Valid([]byte(doc)), doc)
	}
}

// A document that was cut off anywhere is refused, and refused as what it is.
func TestCheckTruncated(t *testing.T) {
	doc := string(record(t, 2, 3))
	require.NoError(t, strictjson.Check([]byte(doc), strictjson.Default()))
	for n := range len(doc) {
		err := strictjson.Check([]byte(doc[:n]), strictjson.Default())
		require.ErrorIs(t, err, moistheat.ErrSyntax, "cut at byte %d", n)
		var e *moistheat.DocumentError
		require.ErrorAs(t, err, &e)
		require.LessOrEqual(t, e.Offset, int64(n))
	}
}

// What a hostile sender would try: each is refused by a limit, at the place.
func TestCheckHostile(t *testing.T) {
	long := strings.Repeat("9", 200_000)
	for name, doc := range map[string]string{
		"an exponent that makes big numbers panic": `{"a":1e1000001}`,
		"an exponent that makes big numbers slow":  `{"a":1e999999}`,
		"an exponent beyond any integer":           `{"a":1e99999999999999999999}`,
		"a negative one":                           `{"a":-1e-2147483648}`,
		"many digits":                              `{"a":` + long + `}`,
		"many digits of a fraction":                `{"a":0.` + long + `}`,
		"many zeros":                               `{"a":0.` + strings.Repeat("0", 100_000) + `1}`,
		"many digits of an exponent":               `{"a":1e` + strings.Repeat("0", 100_000) + `1}`,
		"nesting":                                  `{"a":` + strings.Repeat("[", 100_000),
		"nesting of objects":                       strings.Repeat(`{"a":`, 100_000),
		"a long text":                              `{"a":"` + strings.Repeat("x", 100_000) + `"}`,
		"a long name":                              `{"` + strings.Repeat("x", 100_000) + `":1}`,
		"a long text of escapes":                   `{"a":"` + strings.Repeat(`\u0041`, 100_000) + `"}`,
	} {
		t.Run(name, func(t *testing.T) {
			assert.ErrorIs(t, strictjson.Check([]byte(doc), strictjson.Default()), moistheat.ErrLimit)
		})
	}
	t.Run("many names", func(t *testing.T) {
		var b strings.Builder
		for i := range 100_000 {
			fmt.Fprintf(&b, `"%d":0,`, i)
		}
		assert.ErrorIs(t, strictjson.Check([]byte("{"+b.String()+`"":0}`), strictjson.Default()), moistheat.ErrLimit)
	})
	t.Run("too many bytes", func(t *testing.T) {
		assert.ErrorIs(t, strictjson.Check(make([]byte, 8<<20+1), strictjson.Default()), moistheat.ErrLimit)
	})
	t.Run("no limits allow nothing", func(t *testing.T) {
		assert.ErrorIs(t, strictjson.Check([]byte("1"), strictjson.Limits{}), moistheat.ErrLimit)
	})
}

func TestCheckAllocatesNothing(t *testing.T) {
	lim := strictjson.Default()
	for name, doc := range map[string][]byte{
		"quantity":      []byte(`{"value":5.4,"unit":"kg"}`),
		"record":        record(t, 20, 95),
		"escaped names": []byte(`{"a":1,"\u0062":2,"c\n":[3,{"\u0062":"x\ny"}]}`),
	} {
		t.Run(name, func(t *testing.T) {
			var err error
			assert.Zero(t, testing.AllocsPerRun(100, func() { err = errors.Join(strictjson.Check(doc, lim)) }))
			assert.NoError(t, err)
		})
	}
}

// A refused document costs a message, however large it is.
func TestCheckRefusalIsCheap(t *testing.T) {
	doc := []byte(`{"` + strings.Repeat("n", 4000) + `":[` + strings.Repeat("1,", 100_000) + `x]}`)
	var err error
	assert.LessOrEqual(t, testing.AllocsPerRun(10, func() { err = strictjson.Check(doc, strictjson.Default()) }), 20.0)
	require.ErrorIs(t, err, moistheat.ErrSyntax)
	assert.Less(t, len(err.Error()), 300, "a pointer does not repeat a long name")
}

func TestUnquote(t *testing.T) {
	for _, raw := range []string{`plain`, ``, `\"\\\/\b\f\n\r\t`, `\u00e9\u20AC\uD83D\uDE00`, `é\n€`, `\u0000`} {
		var want string
		require.NoError(t, json.Unmarshal([]byte(`"`+raw+`"`), &want))
		assert.Equal(t, want, string(guard.Unquote([]byte(raw))), raw)
	}
}

func TestEscape(t *testing.T) {
	// RFC 6901, section 3: ~ is written ~0 and / is written ~1.
	assert.Equal(t, "a~1b~0c~01", guard.Escape("a/b~c~1"))
	assert.Equal(t, "plain", guard.Escape("plain"))
}

func TestParseNumber(t *testing.T) {
	for _, test := range []struct {
		text string
		coef int64
		exp  int
		ok   bool
	}{
		{"0", 0, 0, true},
		{"-0", 0, 0, true},
		{"0.00", 0, -2, true},
		{"1.50", 150, -2, true},
		{"0.5", 5, -1, true},
		{"-0.05", -5, -2, true},
		{"000", 0, 0, false},
		{"00.5", 0, 0, false},
		{"-01", 0, 0, false},
		{"-.5", 0, 0, false},
		{"1..5", 0, 0, false},
		{"1.5.", 0, 0, false},
		{"--1", 0, 0, false},
		{"1-", 0, 0, false},
		{"0.0000000000000000000", 0, -19, true}, // zeros in front are no digits
		{"00000000000000000001", 0, 0, false},
		{"-1.50", -150, -2, true},
		{"100", 100, 0, true},
		{"1e5", 1, 5, true},
		{"1E+05", 1, 5, true},
		{"12.30e-4", 1230, -6, true},
		{"12.3e4", 123, 3, true},
		{"999999999999999999", 999999999999999999, 0, true},
		{"-999999999999999999", -999999999999999999, 0, true},
		{"1000000000000000000", 0, 0, false}, // 19 digits
		{"0.999999999999999999", 999999999999999999, -18, true},
		{"1e18", 1, 18, true},
		{"1e19", 0, 0, false},
		{"1e-18", 1, -18, true},
		{"1e-19", 0, 0, false},
		{"0.00000000000000000000000001e-18", 1, -44, true}, // 32 bytes
		{"0.000000000000000000000000001e-18", 0, 0, false}, // 33 bytes
		{"", 0, 0, false},
		{"-", 0, 0, false},
		{"+1", 0, 0, false},
		{"01", 0, 0, false},
		{"1.", 0, 0, false},
		{".5", 0, 0, false},
		{"1e", 0, 0, false},
		{"1 ", 0, 0, false},
		{" 1", 0, 0, false},
		{"1,5", 0, 0, false},
		{"NaN", 0, 0, false},
		{"1e5x", 0, 0, false},
		{"0x10", 0, 0, false},
	} {
		coef, exp, ok := guard.ParseNumber([]byte(test.text))
		assert.Equal(t, test.ok, ok, test.text)
		c, e, k := guard.ParseNumber(test.text)
		assert.Equal(t, [3]any{coef, exp, ok}, [3]any{c, e, k}, test.text)
		if test.ok {
			assert.Equal(t, test.coef, coef, test.text)
			assert.Equal(t, test.exp, exp, test.text)
		}
	}
}

func FuzzCheck(f *testing.F) {
	for _, seed := range []string{`{"a":[1,-2.5e3,"x\u00e9",true,null]}`, `{"\ud83d\ude00":{}}`, "\xef\xbb\xbf1", `{"a":1,"\u0061":2}`, "[[[[", "1e1000001", ""} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		lim := strictjson.Default()
		err := strictjson.Check(data, lim)
		if err == nil {
			if !json.Valid(data) || !utf8.Valid(data) {
				t.Fatalf("accepted what is not JSON: %q", data)
			}
			if hasDuplicates(t, data) {
				t.Fatalf("accepted a duplicate name: %q", data)
			}
			return
		}
		var e *moistheat.DocumentError
		if !errors.As(err, &e) || e.Offset < 0 || e.Offset > int64(len(data)) || e.Pointer != "" && e.Pointer[0] != '/' || !utf8.ValidString(err.Error()) {
			t.Fatalf("bad error %#v", err)
		}
		// What is refused for its syntax alone, other readers refuse too, but for
		// what Check adds: duplicate names, bad UTF-8 and lone surrogates.
		if errors.Is(err, moistheat.ErrSyntax) && json.Valid(data) && utf8.Valid(data) && !hasDuplicates(t, data) && !strings.Contains(strings.ToLower(string(data)), `\ud`) {
			t.Fatalf("refused %q: %v", data, err)
		}
	})
}

// hasDuplicates finds duplicate names with the standard library's tokens.
func hasDuplicates(t *testing.T, data []byte) bool {
	dec := json.NewDecoder(strings.NewReader(string(data)))
	dec.UseNumber()
	type level struct {
		names map[string]bool // nil for an array
		value bool            // the next token of an object is a value
	}
	var open []level
	for {
		token, err := dec.Token()
		if err != nil {
			return false
		}
		var top *level
		if len(open) > 0 {
			top = &open[len(open)-1]
		}
		if name, ok := token.(string); ok && top != nil && top.names != nil && !top.value {
			if top.names[name] {
				return true
			}
			top.names[name], top.value = true, true
			continue
		}
		switch token {
		case json.Delim('{'):
			if top != nil {
				top.value = false
			}
			open = append(open, level{names: map[string]bool{}})
		case json.Delim('['):
			if top != nil {
				top.value = false
			}
			open = append(open, level{})
		case json.Delim('}'), json.Delim(']'):
			open = open[:len(open)-1]
		default:
			if top != nil {
				top.value = false
			}
		}
	}
}
