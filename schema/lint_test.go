package schema_test

import (
	"cmp"
	"encoding/json"
	"io/fs"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/schema"
)

// lint reads the schemas for what the engine would pass over: it takes a misspelt
// keyword for a remark. Every keyword that is used must be known here.
type lint struct {
	t    *testing.T
	root object
	used map[string]bool // definitions
	keys map[string]bool // keywords that can refuse a value
}

// Keywords, and what sort of value each has: s string, n number, any other letter
// what node says.
var keywords = map[string]byte{
	"$schema": 's', "$id": 's', "$ref": 's', "$defs": 'm', "title": 's', "description": 's', "examples": 'x',
	"type": 's', "const": 's', "enum": 'e', "format": 's', "pattern": 's', "minLength": 'n', "maxLength": 'n',
	"minimum": 'n', "maximum": 'n', "items": '1', "minItems": 'n', "maxItems": 'n',
	"properties": 'm', "required": 'e', "additionalProperties": 'o', "allOf": 'a', "oneOf": 'a', "if": '1', "then": '1', "else": '1',
}

func (l *lint) node(v any, at string, conditional bool) {
	if b, isBool := v.(bool); isBool {
		assert.False(l.t, b, "%s: a schema of true asks nothing", at)
		assert.True(l.t, conditional, "%s: only a condition forbids a member", at)
		return
	}
	n, ok := v.(object)
	require.True(l.t, ok, at)
	for key, v := range n {
		switch kind := keywords[key]; kind {
		case 's':
			assert.NotEmpty(l.t, v, "%s/%s", at, key)
			assert.IsType(l.t, "", v, "%s/%s", at, key)
		case 'n':
			assert.IsType(l.t, json.Number(""), v, "%s/%s", at, key)
		case 'o':
			if v != false { // else closed
				l.node(v, at+"/"+key, false)
			}
		case 'e':
			list := words(v)
			assert.NotEmpty(l.t, list, "%s/%s", at, key)
			assert.Len(l.t, slices.Compact(slices.Sorted(slices.Values(list))), len(list), "%s/%s has a word twice", at, key)
		case 'x':
			assert.NotEmpty(l.t, v, "%s/%s", at, key)
		case '1':
			l.node(v, at+"/"+key, conditional || key != "items")
		case 'a':
			for _, w := range v.([]any) {
				l.node(w, at+"/"+key, true)
			}
		case 'm':
			for name, w := range v.(object) {
				l.node(w, at+"/"+key+"/"+name, conditional)
				if key == "properties" && !conditional {
					assert.NotEmpty(l.t, w.(object)["description"], "%s/%s has no description", at, name)
					times := object{"type": "number", "minimum": json.Number("0")}
					isColumn := resolve(l.root, w)["type"] == "array" && resolve(l.root, w)["maxItems"] == nil &&
						(assert.ObjectsAreEqual(object{"type": "number"}, resolve(l.root, w)["items"]) ||
							assert.ObjectsAreEqual(times, resolve(l.root, w)["items"]))
					assert.Equal(l.t, name == schema.Column, isColumn, "%s/%s: columns, and nothing else, have that name", at, name)
					if below, _ := resolve(l.root, w)["properties"].(object); below[schema.Column] != nil {
						bounded := assert.ObjectsAreEqual(times, resolve(l.root, below[schema.Column])["items"])
						assert.Equal(l.t, name == schema.Clock, bounded, "%s/%s: times, and nothing else, are not negative", at, name)
					}
				}
			}
		default:
			l.t.Errorf("%s: unknown keyword %q", at, key)
		}
		if !slices.Contains([]string{"$schema", "$id", "$ref", "$defs", "title", "description", "examples", "properties",
			"items", "allOf", "oneOf", "if", "then", "else"}, key) {
			l.keys[key] = true
		}
	}
	if ref, ok := n["$ref"].(string); ok {
		assert.Len(l.t, n, 1, "%s: something stands beside a $ref", at)
		name, local := strings.CutPrefix(ref, "#/$defs/")
		assert.True(l.t, local, "%s: %s leads out of the file", at, ref)
		assert.Contains(l.t, l.root["$defs"], name, at)
		l.used[name] = true
	}
	switch n["type"] {
	case "object":
		if at == schema.Line.String() { // it chooses between closed objects; see TestLineIsAChoice
			break
		}
		if n["title"] == "Details" || n["title"] == "Texts" { // each rule and each language has names of its own
			assert.Equal(l.t, object{"type": "string"}, n["additionalProperties"], at)
			break
		}
		assert.Equal(l.t, false, n["additionalProperties"], "%s is open", at)
		for _, name := range words(n["required"]) {
			assert.Contains(l.t, n["properties"], name, at)
		}
	case "array":
		assert.Contains(l.t, n, "items", at)
	case "string", "number", "integer", "boolean":
	default:
		open := n["title"] == "Anything" || n["if"] != nil && n["else"] != nil
		_, refers := ref(n)
		assert.True(l.t, refers || conditional || open, "%s has no type", at)
	}
	if n["properties"] != nil {
		assert.True(l.t, conditional || n["type"] == "object", at)
	}
}

func TestLint(t *testing.T) {
	all := map[string]bool{}
	for _, kind := range schema.Kinds() {
		root := published(t, kind)
		l := &lint{t, root, map[string]bool{}, all}
		l.node(root, kind.String(), false)
		assert.Equal(t, "https://json-schema.org/draft/2020-12/schema", root["$schema"])
		assert.Regexp(t, `^urn:moistheat:schema:[a-z-]+:1$`, root["$id"])
		for name, def := range root["$defs"].(object) {
			assert.True(t, l.used[name], "%s: nothing uses %s", kind, name)
			assert.NotEmpty(t, def.(object)["title"], name)
			assert.NotEmpty(t, def.(object)["description"], name)
			assert.NotContains(t, def, "$ref", name)
			if def.(object)["type"] == "object" && !slices.Contains([]string{"loadRecord", "sterilizerEvent", "storedPack", "cleaningBatch", "amendment",
				"taskOfDay", "facilityPolicy", "knownFacts"}, name) {
				assert.NotEmpty(t, def.(object)["examples"], "%s: %s shows no example", kind, name)
			}
		}
		if kind == schema.Line || kind >= schema.Finding && kind <= schema.ItemUse { // formats of others, or none
			continue
		}
		format := root["properties"].(object)["format"].(object)["const"].(string)
		assert.Equal(t, "moistheat."+strings.ReplaceAll(strings.TrimPrefix(root["$id"].(string), "urn:moistheat:schema:"), ":", "/"), format)
	}
	for keyword := range all {
		assert.NotEmpty(t, schema.RuleIDFor(keyword), "%s has no rule", keyword)
	}
}

// A definition of one name is one thing in all files, but for the few whose files ask
// more or less of them.
func TestDefinitionsAreTheSame(t *testing.T) {
	own := []string{"text", "name", "source", "row", "limit"} // as in internal/tools/schemas
	first, titled := map[string]any{}, map[any]string{}
	for _, kind := range schema.Kinds() {
		for name, def := range published(t, kind)["$defs"].(object) {
			title := def.(object)["title"] // which names the type that is made of it
			assert.Equal(t, name, cmp.Or(titled[title], name), "%s: two definitions have the title %s", kind, title)
			titled[title] = name
			if slices.Contains(own, name) {
				continue
			}
			if first[name] == nil {
				first[name] = def
			}
			assert.Equal(t, first[name], def, "%s in %s", name, kind)
		}
	}
}

// Every example, at the top and in each definition, fits where it stands.
func TestExamplesFit(t *testing.T) {
	for _, kind := range schema.Kinds() {
		root := published(t, kind)
		count := 0
		c := jsonschema.NewCompiler()
		c.AssertFormat = true
		require.NoError(t, c.AddResource(root["$id"].(string), strings.NewReader(string(schema.Source(kind)))))
		try := func(where string, examples any) {
			list, _ := examples.([]any)
			s, err := c.Compile(root["$id"].(string) + where)
			require.NoError(t, err)
			for _, e := range list {
				count++
				assert.NoError(t, s.Validate(e), "%s%s", kind, where)
			}
		}
		try("", root["examples"])
		for name, def := range root["$defs"].(object) {
			try("#/$defs/"+name, def.(object)["examples"])
		}
		for _, e := range root["examples"].([]any) {
			_, findings, err := fits(t, kind, write(t, e))
			assert.NoError(t, err)
			assert.Empty(t, findings)
		}
		assert.Positive(t, count, kind)
	}
}

func TestFiles(t *testing.T) {
	entries, err := fs.ReadDir(schema.FS(), ".")
	require.NoError(t, err)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	var want []string
	for _, kind := range schema.Kinds() {
		want = append(want, kind.String()+".schema.json")
		data, err := fs.ReadFile(schema.FS(), kind.String()+".schema.json")
		require.NoError(t, err)
		assert.Equal(t, data, schema.Source(kind))
		assert.NotNil(t, schema.Engine(kind), "%s does not compile", kind)
		data[0] = 'x'
		assert.NotEqual(t, data, schema.Source(kind), "the caller does not own its copy")

		text, err := kind.MarshalText()
		require.NoError(t, err)
		var back schema.Kind
		require.NoError(t, back.UnmarshalText(text))
		assert.Equal(t, kind, back)
	}
	assert.ElementsMatch(t, want, names)
	for _, bad := range []schema.Kind{0, schema.Vectors + 1, 255} {
		assert.Nil(t, schema.Source(bad))
	}
}
