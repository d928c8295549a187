package schema

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"testing"

	"example.com/moistheat/internal/guard"
	"github.com/santhosh-tekuri/jsonschema/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

//go:embed testdata/schema-suite.json
var schemaSuite []byte

// suiteGroup is one schema of the suite with its cases: what is asked, a value,
// whether it is valid, and why the verdict here differs, if it does.
type suiteGroup struct {
	Description string               `json:"description"`
	Schema      json.RawMessage      `json:"schema"`
	Cases       [][4]json.RawMessage `json:"cases"`
}

func suiteGroups(t *testing.T) map[string][]suiteGroup {
	t.Helper()
	var doc struct {
		Files map[string][]suiteGroup `json:"files"`
	}
	require.NoError(t, json.Unmarshal(schemaSuite, &doc))
	return doc.Files
}

// underlying is a schema of the suite as the published ones are: an object with $id
// and $schema, which stands alone.
func underlying(t *testing.T, source json.RawMessage) []byte {
	t.Helper()
	in := json.NewDecoder(bytes.NewReader(source))
	in.UseNumber()
	var v any
	require.NoError(t, in.Decode(&v))
	m, isObject := v.(map[string]any)
	if !isObject {
		m = map[string]any{"allOf": []any{v}}
	}
	if m["$id"] == nil {
		m["$id"] = "urn:moistheat:suite:1"
	}
	m["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	data, err := json.Marshal(m)
	require.NoError(t, err)
	return data
}

// The engine as it is set up for the published schemas, with what is changed in its
// copy of a schema and in the tree of a document, gives the verdicts of the public
// suite for every keyword that the published schemas use.
func TestSchemaSuite(t *testing.T) {
	cases, differ := 0, 0
	files := suiteGroups(t)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		for _, group := range files[name] {
			t.Run(name+"/"+group.Description, func(t *testing.T) {
				s := compile(underlying(t, group.Schema))
				for _, c := range group.Cases {
					var about, why string
					var want bool
					require.NoError(t, json.Unmarshal(c[0], &about))
					require.NoError(t, json.Unmarshal(c[2], &want))
					if c[3] != nil {
						require.NoError(t, json.Unmarshal(c[3], &why))
						require.NotEmpty(t, why)
						want = !want
						differ++
					}
					cases++
					assert.Equal(t, want, suiteVerdict(t, s, c[1]), "%s: %s %s", about, c[1], why)
				}
			})
		}
	}
	assert.Equal(t, 616, cases, "cases")
	assert.Equal(t, 4, differ, "cases with another verdict, each with its reason")
}

// suiteVerdict asks the engine about a document, as Validate does. What the engine
// says does not depend on how the tree was read.
func suiteVerdict(t *testing.T, s *schema, data []byte) bool {
	t.Helper()
	if s.engine == nil {
		return false // no document fits a schema that cannot be compiled
	}
	in := json.NewDecoder(bytes.NewReader(data))
	in.UseNumber()
	var plain any
	require.NoError(t, in.Decode(&plain))
	read := tree{Cursor: guard.Cursor{Data: data}, limit: 1000, names: s.names}
	verdict := func(v any) bool {
		err := s.engine.Validate(v)
		var refused *jsonschema.ValidationError
		if err != nil && !errors.As(err, &refused) {
			var loop jsonschema.InfiniteLoopError
			require.ErrorAs(t, err, &loop)
		}
		return err == nil
	}
	ours := verdict(read.value())
	assert.Equal(t, verdict(plain), ours, "the tree of %s", data)
	return ours
}

// Every keyword of the published schemas has a file in the suite, which says where it
// is from. Those that assert nothing need none.
func TestSchemaSuiteIsComplete(t *testing.T) {
	in := map[string]string{"$ref": "ref", "$defs": "defs", "if": "if-then-else", "then": "if-then-else", "else": "if-then-else"}
	silent := []string{"$schema", "$id", "$comment", "title", "description", "examples", "format"}
	used := map[string]bool{}
	var walk func(v any)
	walk = func(v any) {
		m, ok := v.(map[string]any)
		if !ok {
			used["boolean"] = used["boolean"] || v == true || v == false
			return
		}
		for key, w := range m {
			used[key] = true
			switch key {
			case "properties", "$defs":
				for _, x := range w.(map[string]any) {
					walk(x)
				}
			case "allOf", "anyOf", "oneOf":
				for _, x := range w.([]any) {
					walk(x)
				}
			case "items", "if", "then", "else", "not", "additionalProperties":
				walk(w)
			case "format":
				used["format/"+w.(string)] = true
			}
		}
	}
	for _, kind := range Kinds() {
		walk(schemaOf(kind).doc)
	}
	files := suiteGroups(t)
	for key := range used {
		name := key
		if in[key] != "" {
			name = in[key]
		}
		if !slices.Contains(silent, key) {
			assert.NotEmpty(t, files[name], "the suite has no cases for %s", key)
		}
	}
	assert.Greater(t, len(used), 20)
	var doc struct {
		Origins map[string]string `json:"origins"`
	}
	require.NoError(t, json.Unmarshal(schemaSuite, &doc))
	assert.Equal(t, slices.Sorted(maps.Keys(files)), slices.Sorted(maps.Keys(doc.Origins)), "where each file was taken from")
}
