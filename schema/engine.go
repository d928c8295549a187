package schema

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strconv"
	"time"

	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"github.com/santhosh-tekuri/jsonschema/v5"
)

// schema is a schema made ready.
type schema struct {
	id      string
	doc     any                // as the engine has it; see elements
	engine  *jsonschema.Schema // nil if it could not be compiled
	longest int                // elements that the longest list may have, columns apart
	names   map[string]string  // of all members
}

var schemas [len(kindNames)]lazy.Value[*schema]

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
	s.prepare(s.doc)
	doc, _ := s.doc.(map[string]any)
	s.id, _ = doc["$id"].(string)
	source, err := json.Marshal(s.doc)
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

// prepare collects the names of the members and the length of the longest list, and
// puts elements in the place of items.
func (s *schema) prepare(v any) {
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
		if items, ok := v["items"].(map[string]any); ok && v["type"] == "array" {
			v[elements] = items
			delete(v, "items")
		}
		for _, w := range v {
			s.prepare(w)
		}
	case []any:
		for _, w := range v {
			s.prepare(w)
		}
	}
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
