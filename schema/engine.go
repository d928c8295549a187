package schema

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"github.com/santhosh-tekuri/jsonschema/v5"
)

// schema is a schema made ready.
type schema struct {
	id      string
	doc     any                // as it is published
	copied  any                // as the engine has it; see elements and origin
	engine  *jsonschema.Schema // nil if it could not be compiled
	longest int                // elements that the longest list may have, columns apart
	names   map[string]string  // of all members
	form    *form              // nil if it has none
}

var schemas [Vectors + 1]lazy.Value[*schema]

func schemaOf(kind Kind) *schema {
	return schemas[kind].Get(func() *schema { return compile(Source(kind)) })
}

// elements stands in the engine's copy of a schema for the keyword items. It means
// the same, but gives up on a list after maxFaulty elements with faults; the engine
// itself would fill the memory with the faults of a hostile list.
const elements = "moistheat-items"

func compile(source []byte) *schema {
	s := &schema{names: map[string]string{}}
	in := json.NewDecoder(bytes.NewReader(source))
	in.UseNumber()
	if in.Decode(&s.doc) != nil {
		return s
	}
	root, _ := s.doc.(map[string]any)
	s.id, _ = root["$id"].(string)
	s.survey(root)
	defs, _ := root["$defs"].(map[string]any)
	s.copied = expand(root, defs)
	s.form = formOf(source)
	source, err := json.Marshal(s.copied)
	if err != nil {
		return s
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat = true
	c.LoadURL = func(string) (io.ReadCloser, error) { return nil, errors.New("schemas are not loaded from anywhere") }
	c.Formats["date-time"] = format(isInstant)
	c.Formats["date"] = format(isDate)
	c.RegisterExtension(elements, nil, elementsCompiler{})
	if c.AddResource(s.id, bytes.NewReader(source)) == nil {
		s.engine, _ = c.Compile(s.id) // a test compiles every schema
	}
	return s
}

// survey collects the names of the members and the length of the longest list.
func (s *schema) survey(v any) {
	switch v := v.(type) {
	case map[string]any:
		if properties, ok := v["properties"].(map[string]any); ok {
			for name := range properties {
				s.names[name] = name
			}
		}
		if n, ok := v["maxItems"].(json.Number); ok {
			most, _ := strconv.Atoi(n.String())
			s.longest = max(s.longest, most)
		}
		for _, w := range v {
			s.survey(w)
		}
	case []any:
		for _, w := range v {
			s.survey(w)
		}
	}
}

// origin marks in the engine's copy what came from a definition, and which.
const origin = "moistheat-origin"

// expand returns the engine's copy of a schema. It has the keyword elements for items,
// references without what describes them, and the definitions that refer to no other,
// such as texts and quantities, in the places of their references: the engine takes a
// step for each. A choice of documents is one by format, so that only the document that
// is meant says what is wrong.
func expand(v any, defs map[string]any) any {
	switch v := v.(type) {
	case map[string]any:
		name, def := referred(v, defs)
		switch {
		case def != nil && refers(def):
			return map[string]any{"$ref": definitions + name}
		case def != nil:
			v = def
		}
		out := make(map[string]any, len(v)+1)
		for key, w := range v {
			switch {
			case key == "enum" || key == "const" || key == "examples": // values, not schemas
				out[key] = w
			case key == "items" && v["type"] == "array" && v["prefixItems"] == nil:
				out[elements] = expand(w, defs)
			case key == "oneOf" && v["allOf"] == nil && byFormat(w, defs) != nil:
				out["allOf"] = expand(byFormat(w, defs), defs)
			default:
				out[key] = expand(w, defs)
			}
		}
		if def != nil {
			out[origin] = name
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i, w := range v {
			out[i] = expand(w, defs)
		}
		return out
	}
	return v
}

const definitions = "#/$defs/"

// referred returns the definition that a node stands for, if the node asks nothing
// itself: it is a $ref, or an allOf of nothing but one, beside what describes it.
func referred(node, defs map[string]any) (name string, def map[string]any) {
	for key := range node {
		if !slices.Contains([]string{"$ref", "allOf", "title", "description", "examples"}, key) {
			return "", nil
		}
	}
	if all, _ := node["allOf"].([]any); len(all) == 1 && node["$ref"] == nil {
		node, _ = all[0].(map[string]any)
		if len(node) > 1 {
			return "", nil
		}
	}
	ref, _ := node["$ref"].(string)
	name, isDef := strings.CutPrefix(ref, definitions)
	if !isDef {
		return "", nil
	}
	def, _ = defs[name].(map[string]any)
	return name, def
}

// byFormat returns the conditions that choose between documents by their member format,
// or nil if they are told apart by anything else. What stands beside them has to list the
// formats.
func byFormat(choice any, defs map[string]any) []any {
	documents, _ := choice.([]any)
	out := make([]any, len(documents))
	for i, d := range documents {
		node, _ := d.(map[string]any)
		_, def := referred(node, defs)
		format, has := lookup(def, "/properties/format/const")
		if !has {
			return nil
		}
		out[i] = map[string]any{
			"if": map[string]any{
				"required":   []any{"format"},
				"properties": map[string]any{"format": map[string]any{"const": format}},
			},
			"then": node,
		}
	}
	return out
}

// published returns the place in the published schema of a place in the copy.
func (s *schema) published(place string) string {
	if place == "" {
		return ""
	}
	out, node := "", s.copied
	for segment := range strings.SplitSeq(place[1:], "/") {
		node, _ = lookup(node, "/"+segment)
		if segment == elements {
			segment = "items"
		}
		out += "/" + segment
		if m, ok := node.(map[string]any); ok {
			if name, ok := m[origin].(string); ok {
				out = "/$defs/" + name
			}
		}
	}
	return out
}

func refers(v any) bool {
	switch v := v.(type) {
	case map[string]any:
		for key, w := range v {
			if key == "$ref" || refers(w) {
				return true
			}
		}
	case []any:
		return slices.ContainsFunc(v, refers)
	}
	return false
}

type elementsCompiler struct{}

func (elementsCompiler) Compile(ctx jsonschema.CompilerContext, m map[string]any) (jsonschema.ExtSchema, error) {
	if _, ok := m[elements]; !ok {
		return nil, nil
	}
	each, err := ctx.Compile(elements, false)
	if err != nil {
		return nil, err
	}
	return elementsSchema{each}, nil
}

type elementsSchema struct{ each *jsonschema.Schema }

func (s elementsSchema) Validate(ctx jsonschema.ValidationContext, v any) error {
	list, _ := v.([]any)
	var faults []error
	for i, e := range list {
		if len(faults) == maxFaulty {
			faults = append(faults, ctx.Error(elements, "%d", len(list)-i))
			break
		}
		if err := ctx.Validate(s.each, elements, e, strconv.Itoa(i)); err != nil {
			faults = append(faults, err)
		}
	}
	if faults == nil {
		return nil
	}
	return jsonschema.ValidationError{}.Group(ctx.Error(elements, ""), faults...)
}

func format(ok func(string) bool) func(any) bool {
	return func(v any) bool {
		s, isText := v.(string)
		return !isText || ok(s)
	}
}

func isInstant(s string) bool {
	_, err := strictjson.ParseInstant(s)
	return err == nil
}

func isDate(s string) bool {
	t, err := time.Parse(time.DateOnly, s)
	return err == nil && t.Year() > 0
}
