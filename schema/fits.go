package schema

import (
	"bytes"
	"encoding/json"
	"errors"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// form is a schema in the few keywords that describe nearly all documents, so that a
// document that fits is known to without the engine, which takes ten times as long.
// A form only ever says that a value fits: about every other value the engine
// decides, and it alone says what is wrong. Forms know no other keywords than those
// here; a schema with others has none. A test holds every form against the engine.
type form struct {
	annotations
	Ref        string           `json:"$ref"`
	AllOf      []*form          `json:"allOf"`
	Type       string           `json:"type"`
	Properties map[string]*form `json:"properties"`
	Required   []string         `json:"required"`
	Additional *additional      `json:"additionalProperties"`
	Items      *form            `json:"items"`
	MinItems   int              `json:"minItems"`
	MaxItems   *int             `json:"maxItems"`
	MinLength  int              `json:"minLength"`
	MaxLength  *int             `json:"maxLength"`
	Minimum    *int64           `json:"minimum"`
	Maximum    *int64           `json:"maximum"`
	Enum       []string         `json:"enum"`
	Const      string           `json:"const"`
	Pattern    string           `json:"pattern"`
	Format     string           `json:"format"`

	def    *form // what Ref stands for
	regexp *regexp.Regexp
}

// additional is what an object asks of the members that it does not describe: nil if
// there may be none.
type additional struct{ each *form }

func (a *additional) UnmarshalJSON(data []byte) error {
	if string(data) == "false" {
		return nil
	}
	if a.each = readForm(data); a.each == nil {
		return errors.New("a schema without a form")
	}
	return nil
}

// annotations are the keywords that ask nothing of a value.
type annotations struct {
	Schema      any                        `json:"$schema"`
	ID          any                        `json:"$id"`
	Title       any                        `json:"title"`
	Description any                        `json:"description"`
	Examples    any                        `json:"examples"`
	Defs        map[string]json.RawMessage `json:"$defs"`
}

// formOf returns the form of a schema, or nil if it has none.
func formOf(source []byte) *form {
	f := readForm(source)
	if f == nil {
		return nil
	}
	defs := make(map[string]*form, len(f.Defs))
	for name, def := range f.Defs {
		defs[name] = readForm(def)
	}
	for _, def := range defs {
		def.link(defs)
	}
	f.link(defs)
	return f
}

func readForm(source []byte) *form {
	f := &form{}
	in := json.NewDecoder(bytes.NewReader(source))
	in.DisallowUnknownFields()
	if in.Decode(f) != nil {
		return nil
	}
	return f
}

// link makes a form ready. What it cannot be ready for, it has no type for, and so
// fits nothing.
func (f *form) link(defs map[string]*form) {
	if f == nil {
		return
	}
	for _, p := range f.Properties {
		p.link(defs)
	}
	f.Items.link(defs)
	if f.Additional != nil {
		f.Additional.each.link(defs)
	}
	if f.Ref != "" || f.AllOf != nil {
		bare := *f
		bare.annotations, bare.Ref, bare.AllOf = annotations{}, "", nil
		name, ok := strings.CutPrefix(f.Ref, definitions)
		switch only := reflect.ValueOf(bare).IsZero(); {
		case only && ok && f.AllOf == nil:
			f.def = defs[name]
		case only && f.Ref == "" && len(f.AllOf) == 1:
			f.def = f.AllOf[0]
			f.def.link(defs)
		default:
			f.Type = ""
		}
		return
	}
	if f.Const != "" {
		f.Enum = append(f.Enum, f.Const)
	}
	var err error
	if f.Pattern != "" {
		f.regexp, err = regexp.Compile(f.Pattern)
	}
	if err != nil || f.Format != "" && f.Format != "date" && f.Format != "date-time" {
		f.Type = ""
	}
}

// fits reports whether a value surely fits.
func (f *form) fits(v any) bool {
	for f != nil && f.def != nil {
		f = f.def
	}
	if f == nil {
		return false
	}
	switch v := v.(type) {
	case map[string]any:
		return f.Type == "object" && f.fitsObject(v)
	case []any:
		return f.Type == "array" && f.Items != nil && within(len(v), f.MinItems, f.MaxItems) &&
			!slices.ContainsFunc(v, func(w any) bool { return !f.Items.fits(w) })
	case string:
		return f.Type == "string" && f.fitsText(v)
	case bool:
		return f.Type == "boolean" && f.Enum == nil
	case json.Number:
		return f.Enum == nil && f.fitsNumber(v)
	}
	return false
}

func (f *form) fitsObject(v map[string]any) bool {
	for _, name := range f.Required {
		if _, has := v[name]; !has {
			return false
		}
	}
	for name, w := range v {
		m, known := f.Properties[name]
		if !known {
			if f.Additional == nil {
				continue
			}
			m = f.Additional.each
		}
		if !m.fits(w) {
			return false
		}
	}
	return true
}

func (f *form) fitsText(v string) bool {
	if f.Enum != nil && !slices.Contains(f.Enum, v) || f.regexp != nil && !f.regexp.MatchString(v) ||
		f.Format == "date" && !isDate(v) || f.Format == "date-time" && !isInstant(v) {
		return false
	}
	return f.MinLength == 0 && f.MaxLength == nil || within(utf8.RuneCountInString(v), f.MinLength, f.MaxLength)
}

func (f *form) fitsNumber(v json.Number) bool {
	if f.Type == "integer" {
		n, err := strconv.ParseInt(string(v), 10, 32)
		return err == nil && (f.Minimum == nil || n >= *f.Minimum) && (f.Maximum == nil || n <= *f.Maximum)
	}
	return f.Type == "number" && f.Maximum == nil && (f.Minimum == nil || *f.Minimum == 0 && v[0] != '-')
}

// within reports whether a number of elements or characters is one of those allowed.
func within(n, least int, most *int) bool { return n >= least && (most == nil || n <= *most) }
