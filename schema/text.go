package schema

import (
	"encoding/json"
	"fmt"
	"net/url"
	"strconv"
	"strings"
	"unicode/utf8"
)

// maxShown is the most characters of a value that a finding repeats.
const maxShown = 40

func unescapeURL(s string) string {
	if t, err := url.PathUnescape(s); err == nil {
		return t
	}
	return s
}

// unescape turns a segment of a JSON Pointer into the name it stands for.
func unescape(segment string) string {
	return strings.ReplaceAll(strings.ReplaceAll(segment, "~1", "/"), "~0", "~")
}

// cut splits the last segment off a JSON Pointer.
func cut(pointer string) (above, last string) {
	i := strings.LastIndexByte(pointer, '/')
	if i < 0 {
		return pointer, ""
	}
	return pointer[:i], pointer[i+1:]
}

// lookup follows a JSON Pointer into a JSON value.
func lookup(v any, pointer string) (any, bool) {
	if pointer == "" {
		return v, true
	}
	for _, segment := range strings.Split(pointer[1:], "/") {
		ok := false
		switch w := v.(type) {
		case map[string]any:
			v, ok = w[unescape(segment)]
		case []any:
			if i, err := strconv.Atoi(segment); err == nil && i >= 0 && i < len(w) {
				v, ok = w[i], true
			}
		}
		if !ok {
			return nil, false
		}
	}
	return v, true
}

func words(v any) []string {
	var out []string
	list, _ := v.([]any)
	for _, w := range list {
		if s, ok := w.(string); ok {
			out = append(out, s)
		}
	}
	return out
}

func typeOf(v any) string {
	switch v.(type) {
	case nil:
		return "null"
	case bool:
		return "boolean"
	case string:
		return "string"
	case []any:
		return "array"
	case map[string]any:
		return "object"
	}
	return "number"
}

// sorts names a JSON type for a person.
func sorts(jsonType string) string {
	for _, s := range [...][2]string{
		{"null", "null, which no format accepts"}, {"boolean", "true or false"}, {"string", "text in quotes"},
		{"array", "a list"}, {"object", "an object"}, {"integer", "a whole number"},
	} {
		if s[0] == jsonType {
			return s[1]
		}
	}
	return "a number"
}

// text cuts a text to what a finding repeats.
func text(s string) string {
	if utf8.RuneCountInString(s) <= maxShown {
		return strconv.Quote(s)
	}
	return strconv.Quote(string([]rune(s[:min(len(s), 4*maxShown)])[:maxShown])) + "…"
}

// show writes a value of a document.
func show(v any) string {
	switch v := v.(type) {
	case string:
		return text(v)
	case json.Number:
		return v.String()
	case bool:
		return strconv.FormatBool(v)
	}
	return sorts(typeOf(v))
}

// listed writes the words of a list, some of them where there are many.
func listed(list []string) string {
	const most = 12
	if len(list) > most {
		return fmt.Sprintf("%s and %d more", strings.Join(list[:most], ", "), len(list)-most)
	}
	return strings.Join(list, ", ")
}

// hint returns how a name or word is written that differs in case or in what stands
// between its parts only.
func hint(word string, list []string) string {
	given := letters(word)
	for _, w := range list {
		if strings.EqualFold(given, letters(w)) {
			return "; it is written " + strconv.Quote(w)
		}
	}
	return ""
}

// letters drops what people put between words.
func letters(s string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' || r == '_' {
			return -1
		}
		return r
	}, s)
}

// described says what a text must look like: the title of its definition and, where
// there is one, an example.
func described(node any) string {
	m, _ := node.(map[string]any)
	title, _ := m["title"].(string)
	what := "written in the agreed way"
	if title != "" {
		what = "a " + strings.ToLower(title[:1]) + title[1:]
	}
	if examples := words(m["examples"]); len(examples) > 0 {
		what += " such as " + examples[0]
	}
	return what
}

// bound says what a keyword with a number or word asks.
func bound(keyword string, asked any) string {
	n := fmt.Sprint(asked)
	for _, b := range [...][2]string{
		{"minimum", " or more"}, {"maximum", " or less"}, {"minLength", " or more characters"},
		{"maxLength", " or fewer characters"}, {"minItems", " or more entries"}, {"maxItems", " or fewer entries"},
	} {
		if b[0] == keyword {
			return n + b[1]
		}
	}
	return strconv.Quote(n)
}
