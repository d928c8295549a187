package schema

import (
	"encoding/json"
	"regexp"
	"strconv"
	"unicode/utf8"
)

// form is a schema in the few keywords that describe nearly all documents, so that a
// document that fits is known to without the engine, which takes ten times as long.
// A form only ever says that a value fits: about every other value the engine
// decides, and it alone says what is wrong. Forms know no other keywords than those
// in forms.of; a schema with others has none. A test holds every form against the
// engine.
type form struct {
	typ       string
	members   map[string]*form
	required  []string
	closed    bool
	items     *form
	least     int // of elements or characters
	most      int // of elements or characters; -1 where there is no bound
	words     map[string]bool
	pattern   *regexp.Regexp
	format    func(string) bool
	low, high int64
}

// forms are the forms of definitions, by their $ref.
type forms struct {
	defs map[string]any
	made map[string]*form
}

// of returns the form of a schema, or nil if it has keywords that a form has not.
func (fs *forms) of(node any) *form {
	m, ok := node.(map[string]any)
	if !ok {
		return nil
	}
	if ref, ok := m["$ref"].(string); ok {
		for key := range m {
			if key != "$ref" && key != "title" && key != "description" && key != "examples" {
				return nil
			}
		}
		if f, ok := fs.made[ref]; ok {
			return f
		}
		f := &form{}
		fs.made[ref] = f // a definition may contain itself
		const place = "#/$defs/"
		if len(ref) <= len(place) || ref[:len(place)] != place {
			return nil
		}
		def := fs.of(fs.defs[ref[len(place):]])
		if def == nil {
			fs.made[ref] = nil
			return nil
		}
		*f = *def
		return f
	}
	f := &form{most: -1, low: -1 << 62, high: 1 << 62}
	for key, v := range m {
		switch key {
		case "title", "description", "examples", "$schema", "$id", "$defs":
		case "type":
			f.typ, ok = v.(string)
		case "properties":
			f.members = map[string]*form{}
			for name, p := range v.(map[string]any) {
				if f.members[name] = fs.of(p); f.members[name] == nil {
					return nil
				}
			}
		case "required":
			f.required = words(v)
		case "additionalProperties":
			f.closed, ok = true, v == false
		case "items":
			f.items = fs.of(v)
			ok = f.items != nil
		case "maxItems", "maxLength":
			f.most, ok = whole(v)
		case "minItems", "minLength":
			f.least, ok = whole(v)
		case "minimum":
			var n int
			n, ok = whole(v)
			f.low = int64(n)
		case "maximum":
			var n int
			n, ok = whole(v)
			f.high = int64(n)
		case "enum":
			f.words = map[string]bool{}
			for _, w := range v.([]any) {
				var text string
				text, ok = w.(string)
				if !ok {
					return nil
				}
				f.words[text] = true
			}
		case "const":
			var text string
			text, ok = v.(string)
			f.words = map[string]bool{text: true}
		case "pattern":
			re, err := regexp.Compile(v.(string))
			f.pattern, ok = re, err == nil
		case "format":
			switch v {
			case "date-time":
				f.format = isInstant
			case "date":
				f.format = isDate
			default:
				return nil
			}
		default:
			return nil
		}
		if !ok {
			return nil
		}
	}
	if f.typ == "" {
		return nil
	}
	return f
}

func whole(v any) (int, bool) {
	n, ok := v.(json.Number)
	i, err := strconv.Atoi(string(n))
	return i, ok && err == nil
}

// fits reports whether a value surely fits.
func (f *form) fits(v any) bool {
	switch v := v.(type) {
	case map[string]any:
		if f.typ != "object" {
			return false
		}
		for _, name := range f.required {
			if _, has := v[name]; !has {
				return false
			}
		}
		for name, w := range v {
			if m := f.members[name]; m != nil && !m.fits(w) || m == nil && f.closed {
				return false
			}
		}
		return true
	case []any:
		if f.typ != "array" || f.items == nil || len(v) < f.least || f.most >= 0 && len(v) > f.most {
			return false
		}
		for _, w := range v {
			if !f.items.fits(w) {
				return false
			}
		}
		return true
	case string:
		return f.typ == "string" && (f.words == nil || f.words[v]) && f.long(v) &&
			(f.pattern == nil || f.pattern.MatchString(v)) && (f.format == nil || f.format(v))
	case bool:
		return f.typ == "boolean" && f.words == nil
	case json.Number:
		switch f.typ {
		case "number":
			free := f.words == nil && f.high == 1<<62
			return free && (f.low == -1<<62 || f.low == 0 && v[0] != '-')
		case "integer":
			n, err := strconv.ParseInt(string(v), 10, 32)
			return err == nil && f.words == nil && n >= f.low && n <= f.high
		}
	}
	return false
}

// long reports whether a text has as many characters as it may.
func (f *form) long(s string) bool {
	if f.least == 0 && f.most < 0 {
		return true
	}
	n := utf8.RuneCountInString(s)
	return n >= f.least && (f.most < 0 || n <= f.most)
}
