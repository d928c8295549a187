package loadtest_test

import (
	"encoding/json"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

func TestCorpus(t *testing.T) { loadtest.RunCorpus(t, nil) }

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

// Every record of the corpus, read and written again as software on top of this
// library would, is judged as before.
func TestCorpusThroughReadingAndWriting(t *testing.T) {
	if testing.Short() {
		t.Skip("the corpus is run once already")
	}
	n := 0
	loadtest.RunCorpus(t, func(doc []byte) ([]byte, error) {
		r, err := load.Decode(doc)
		if err != nil {
			return doc, nil // a history or a stored pack
		}
		n++
		return json.Marshal(r)
	})
	assert.Positive(t, n)
}

// A vector names a policy or has one; anything else is refused when the file is read.
func TestPolicyOfAVector(t *testing.T) {
	for policy, accepted := range map[string]bool{
		`"us-cdc"`: true, `{"base":"us-cdc"}`: true, "\n {}": true,
		`null`: false, `[]`: false, `1`: false, `true`: false,
	} {
		_, err := loadtest.Read(fstest.MapFS{
			"bases.json": {Data: []byte(`{"format":"moistheat.bases/1","bases":[]}`)},
			"vectors/x.json": {Data: []byte(`{"format":"moistheat.vectors/1","about":"x","vectors":[{"id":"x","rule":"x","case":"met",` +
				`"judges":"record","policy":` + policy + `,"base":"x","patch":[],"expect":{"outcome":"met"},"why":"x"}]}`)},
		})
		if accepted {
			assert.NoError(t, err, policy)
			continue
		}
		assert.ErrorIs(t, err, load.ErrShape, policy)
		assert.ErrorContains(t, err, "/vectors/0/policy", policy)
	}
}
