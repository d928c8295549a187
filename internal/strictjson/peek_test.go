package strictjson_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat/internal/strictjson"
)

func TestPeek(t *testing.T) {
	for _, test := range []struct {
		doc, want string
		ok        bool
	}{
		{`{"format":"a/1"}`, "a/1", true},
		{" \n\t{ \"id\" : \"format\" , \"format\"\r:\t\"a/1\" }", "a/1", true}, // the name as a text is not the name
		{`{"id":{"format":"b/1"},"list":[{"format":"b/1"},"format"],"format":"a/1"}`, "a/1", true},
		{`{"note":"\"format\":\"b/1\"","format":"a/1"}`, "a/1", true},
		{`{"note":"\\","format":"a/1"}`, "a/1", true},
		{`{"\u0066ormat":"\u0061\/1"}`, "a/1", true}, // written another way, and the same name
		{`{"format":"a/1","format":"b/1"}`, "a/1", true},
		{`{"n":-1.5e3,"t":true,"f":false,"z":null,"format":"a/1"}`, "a/1", true},
		{`{"format":1}`, "", false},
		{`{"format":null}`, "", false},
		{`{"format":{"format":"a/1"}}`, "", false},
		{`{"id":"1"}{"format":"a/1"}`, "", false},
		{`["format","a/1"]`, "", false},
		{`"format"`, "", false},
		{``, "", false},
		{`{`, "", false},
		{`{"format"`, "", false},
		{`{"format":`, "", false},
		{`{"format":"a`, "", false},
		{`{"format":"a\`, "", false},
		{`{"format`, "", false},
	} {
		got, ok := strictjson.Peek([]byte(test.doc), "format")
		assert.Equal(t, test.ok, ok, test.doc)
		if ok {
			assert.Equal(t, test.want, string(got), test.doc)
		}
	}
}

// FuzzPeek holds Peek against the standard library, in documents that Check accepts.
func FuzzPeek(f *testing.F) {
	for _, s := range []string{`{"format":"a/1"}`, `{"id":["format",{"format":1}],"format":"\u0061"}`, `{"a":"\\\"","format":"é"}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		got, ok := strictjson.Peek(data, "format")
		if strictjson.Check(data, strictjson.Default()) != nil {
			return
		}
		var members map[string]json.RawMessage
		var want string
		has := strings.HasPrefix(strings.TrimSpace(string(data)), "{") && json.Unmarshal(data, &members) == nil &&
			strings.HasPrefix(string(members["format"]), `"`) && json.Unmarshal(members["format"], &want) == nil
		if ok != has || string(got) != want {
			t.Errorf("%s: %q, %t", data, got, ok)
		}
	})
}
