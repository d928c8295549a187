package loadtest_test

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
)

func TestCorpus(t *testing.T) {
	if !full() && !testing.Short() {
		t.Skip("TestLint judges the corpus")
	}
	loadtest.RunCorpus(t, nil)
}

// Every example of RFC 6902, appendix A, that needs add, remove or replace alone.
func TestPatchExamplesOfRFC6902(t *testing.T) {
	raw := func(s string) []byte { return []byte(s) }
	for _, test := range []struct{ name, doc, op, path, value, want string }{
		{"A.1 add an object member", `{"foo":"bar"}`, "add", "/baz", `"qux"`, `{"baz":"qux","foo":"bar"}`},
		{"A.2 add an array element", `{"foo":["bar","baz"]}`, "add", "/foo/1", `"qux"`, `{"foo":["bar","qux","baz"]}`},
		{"A.3 remove an object member", `{"baz":"qux","foo":"bar"}`, "remove", "/baz", ``, `{"foo":"bar"}`},
		{"A.4 remove an array element", `{"foo":["bar","qux","baz"]}`, "remove", "/foo/1", ``, `{"foo":["bar","baz"]}`},
		{"A.5 replace a value", `{"baz":"qux","foo":"bar"}`, "replace", "/baz", `"boo"`, `{"baz":"boo","foo":"bar"}`},
		{"A.10 add a nested member object", `{"foo":"bar"}`, "add", "/child", `{"grandchild":{}}`, `{"child":{"grandchild":{}},"foo":"bar"}`},
		{"A.12 add to a target that is not there", `{"foo":"bar"}`, "add", "/baz/bat", `"qux"`, ``},
		{"A.14 escape", `{"/":9,"~1":10}`, "replace", "/~01", `11`, `{"/":9,"~1":11}`},
		{"A.16 add an array value", `{"foo":["bar"]}`, "add", "/foo/-", `["abc","def"]`, `{"foo":["bar",["abc","def"]]}`},
		{"4.1 add replaces what is there", `{"a":1}`, "add", "/a", `2`, `{"a":2}`},
		{"4.1 add to the whole document", `{"a":1}`, "add", "", `[2]`, `[2]`},
		{"4.2 remove what is not there", `{"a":1}`, "remove", "/b", ``, ``},
		{"4.3 replace what is not there", `{"a":1}`, "replace", "/b", `2`, ``},
		{"6901: leading zeros", `[1,2]`, "replace", "/01", `2`, ``},
		{"beyond the end", `[1,2]`, "add", "/3", `2`, ``},
		{"at the end", `[1,2]`, "add", "/2", `3.10`, `[1,2,3.10]`},
		{"the end has no value", `[1,2]`, "remove", "/-", ``, ``},
		{"another operation", `{"a":1}`, "move", "/a", `2`, ``},
		{"no value", `{"a":1}`, "add", "/a", ``, ``},
		{"no slash", `{"a":1}`, "add", "a", `2`, ``},
	} {
		t.Run(test.name, func(t *testing.T) {
			op := loadtest.Op{Op: test.op, Path: test.path}
			if test.value != "" {
				op.Value = raw(test.value)
			}
			got, err := loadtest.Patch(raw(test.doc), op)
			if test.want == "" {
				assert.Error(t, err)
				return
			}
			require.NoError(t, err)
			assert.Equal(t, test.want, string(got))
		})
	}
}

// Patch takes no JSON that the readers of the library refuse, and says which operation
// is at fault.
func TestPatchIsStrict(t *testing.T) {
	add := func(value string) loadtest.Op {
		return loadtest.Op{Op: "add", Path: "/a", Value: json.RawMessage(value)}
	}
	for _, test := range []struct {
		name, doc string
		op        loadtest.Op
		want      string
	}{
		{"a name twice in the document", `{"a":1,"a":2}`, add(`1`), "loadtest: /a: the name occurs twice"},
		{"a name twice in a value", `{}`, add(`{"b":1,"b":2}`), "operation 1: the value of add /a: /b: the name occurs twice"},
		{"a value that is cut off", `{}`, add(`{"b":`), "operation 1: the value of add /a"},
		{"an empty value", `{}`, add(``), "operation 1: the value of add /a"},
		{"more than one value", `{}`, add(`1 2`), "operation 1: the value of add /a"},
		{"more than one document", `{} {}`, add(`1`), "something follows the end of the document"},
		{"bytes that are not UTF-8", `{}`, add("\"\xff\""), "operation 1: the value of add /a"},
		{"remove with a value", `{"a":1}`, loadtest.Op{Op: "remove", Path: "/a", Value: json.RawMessage(`1`)}, "operation 1: remove with a value"},
	} {
		t.Run(test.name, func(t *testing.T) {
			first := loadtest.Op{Op: "add", Path: "/first", Value: json.RawMessage(`1`)}
			_, err := loadtest.Patch([]byte(test.doc), first, test.op)
			assert.ErrorContains(t, err, test.want)
		})
	}
	// What is too long for the readers can be patched in, to see it refused.
	long := `"` + strings.Repeat("x", 5000) + `"`
	got, err := loadtest.Patch([]byte(`{}`), add(long))
	require.NoError(t, err)
	assert.Equal(t, `{"a":`+long+`}`, string(got))
	got, err = loadtest.Patch([]byte(`{}`), add(`1234567890.12345678901234567890e300`))
	require.NoError(t, err)
	assert.Equal(t, `{"a":1234567890.12345678901234567890e300}`, string(got))
}

// A vector of a corpus of one's own: its id and its rule are looked at when it is read.
func TestReadRefuses(t *testing.T) {
	v := func(id, rule string) string {
		return `{"id":"` + id + `","rule":"` + rule + `","case":"met","judges":"record","policy":"us-cdc-2003","base":"x","patch":[],"expect":{"outcome":"met"},"why":"x"}`
	}
	for _, test := range []struct{ name, one, other, want string }{
		{"an id twice in a file", v("x", "load.pack.wet") + "," + v("x", "load.pack.wet"), "", `vectors/a.json: /vectors/1/id: there is a vector "x" in vectors/a.json`},
		{"an id in two files", v("x", "load.pack.wet"), v("y", "load.pack.wet") + "," + v("x", "load.pack.wet"), `vectors/b.json: /vectors/1/id: there is a vector "x" in vectors/a.json`},
		{"a rule that does not exist", v("x", "no.such.rule"), "", `vectors/a.json: /vectors/0/rule: there is no rule "no.such.rule"`},
	} {
		t.Run(test.name, func(t *testing.T) {
			file := func(vectors string) *fstest.MapFile {
				return &fstest.MapFile{Data: []byte(`{"format":"moistheat.vectors/1","about":"x","vectors":[` + vectors + `]}`)}
			}
			_, err := loadtest.Read(fstest.MapFS{
				"bases.json":     {Data: []byte(`{"format":"moistheat.bases/1","bases":[]}`)},
				"vectors/a.json": file(test.one), "vectors/b.json": file(test.other),
			})
			assert.ErrorContains(t, err, test.want)
		})
	}
}

// Every document of the corpus, read and written again as software on top of this
// library would, says the same and is judged as before.
func TestCorpusThroughReadingAndWriting(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("the corpus is run once already")
	}
	n := map[loadtest.Subject]int{}
	through := func(v *loadtest.Vector, doc []byte) ([]byte, error) {
		n[v.Subject]++
		if v.Subject != loadtest.SubjectHistory {
			return again(doc)
		}
		var lines []json.RawMessage
		if err := json.Unmarshal(doc, &lines); err != nil {
			return nil, err
		}
		for i, l := range lines {
			var err error
			if lines[i], err = again(l); err != nil {
				return nil, err
			}
		}
		return json.Marshal(lines)
	}
	if full() {
		loadtest.RunCorpus(t, through)
	} else {
		for i, v := range conformance(t).Vectors() {
			if i%48 == 0 || v.Subject == loadtest.SubjectPlan {
				assert.NoError(t, v.Run(func(doc []byte) ([]byte, error) { return through(v, doc) }))
			}
		}
	}
	assert.Len(t, n, 4)
}

// again reads a record, an event or a stored pack and writes it.
func again(doc []byte) ([]byte, error) {
	for e, err := range history.Entries(bytes.NewReader(doc)) {
		switch {
		case err != nil:
			return nil, err
		case e.Record != nil:
			return json.Marshal(e.Record)
		case e.Event != nil:
			return json.Marshal(e.Event)
		case e.Amendment != nil:
			return json.Marshal(e.Amendment)
		case e.Cleaning != nil:
			return json.Marshal(e.Cleaning)
		default:
			return json.Marshal(e.Stored)
		}
	}
	return nil, io.ErrUnexpectedEOF
}

// The example of the published schema is a vector of the corpus.
func TestExampleOfTheSchema(t *testing.T) {
	data, err := os.ReadFile("../../schema/vectors.schema.json")
	require.NoError(t, err)
	var schema struct{ Examples []json.RawMessage }
	require.NoError(t, json.Unmarshal(data, &schema))
	require.NotEmpty(t, schema.Examples)
	c, err := loadtest.Read(fstest.MapFS{
		"bases.json":     {Data: []byte(`{"format":"moistheat.bases/1","bases":[]}`)},
		"vectors/x.json": {Data: schema.Examples[0]},
	})
	require.NoError(t, err)
	for _, v := range c.Vectors() {
		was := vector(t, v.ID, nil)
		assert.JSONEq(t, asJSON(t, was), asJSON(t, v), v.ID)
		assert.NoError(t, was.Run(nil))
	}
}

func asJSON(t *testing.T, v any) string {
	t.Helper()
	data, err := json.Marshal(v)
	require.NoError(t, err)
	return string(data)
}

// A vector names a policy or has one; anything else is refused when the file is read.
func TestPolicyOfAVector(t *testing.T) {
	for policy, accepted := range map[string]bool{
		`"us-cdc-2003"`: true, `{"base":"us-cdc-2003"}`: true, "\n {}": true,
		`null`: false, `[]`: false, `1`: false, `true`: false,
	} {
		_, err := loadtest.Read(fstest.MapFS{
			"bases.json": {Data: []byte(`{"format":"moistheat.bases/1","bases":[]}`)},
			"vectors/x.json": {Data: []byte(`{"format":"moistheat.vectors/1","about":"x","vectors":[{"id":"x","rule":"load.pack.wet","case":"met",` +
				`"judges":"record","policy":` + policy + `,"base":"x","patch":[],"expect":{"outcome":"met"},"why":"x"}]}`)},
		})
		if accepted {
			assert.NoError(t, err, policy)
			continue
		}
		assert.ErrorIs(t, err, moistheat.ErrShape, policy)
		assert.ErrorContains(t, err, "/vectors/0/policy", policy)
	}
}
