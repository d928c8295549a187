package schema

import (
	"encoding/json"
	"fmt"
	"net/url"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/moistheat/internal/lang"
	wordlist "example.com/moistheat/internal/words"
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
func sorts(jsonType string) lang.Detail {
	switch jsonType {
	case "null":
		return lang.Say("form-null: null, which no format accepts")
	case "boolean":
		return lang.Say("form-boolean: true or false")
	case "string":
		return lang.Say("form-text: text in quotes")
	case "array":
		return lang.Say("form-list: a list")
	case "object":
		return lang.Say("form-object: an object")
	case "integer":
		return lang.Say("form-whole: a whole number")
	}
	return lang.Say("form-number: a number")
}

// text cuts a text to what a finding repeats.
func text(s string) string {
	if utf8.RuneCountInString(s) <= maxShown {
		return strconv.Quote(s)
	}
	return strconv.Quote(string([]rune(s[:min(len(s), 4*maxShown)])[:maxShown])) + "…"
}

// show writes a value of a document.
func show(v any) lang.Detail {
	switch v := v.(type) {
	case string:
		return lang.Data(text(v))
	case json.Number:
		return lang.Data(v.String())
	case bool:
		return lang.Data(strconv.FormatBool(v))
	}
	return sorts(typeOf(v))
}

// listed writes the words of a list, some of them where there are many.
func listed(list []string) lang.Detail {
	const most = 12
	if len(list) > most {
		return lang.Say("form-more: {1} and {2} more", strings.Join(list[:most], ", "), strconv.Itoa(len(list)-most))
	}
	return lang.Data(strings.Join(list, ", "))
}

// hint returns how a name or word is written that differs in case or in what stands between its
// parts only, or else which one was probably meant.
func hint(word string, list []string) lang.Detail {
	given := letters(word)
	for _, w := range list {
		if strings.EqualFold(given, letters(w)) {
			return lang.Join("", lang.Data(" "), lang.Say("form-written: (it is written {1})", strconv.Quote(w)))
		}
	}
	if w := wordlist.Nearest(list, word); w != "" {
		return lang.Join("", lang.Data(" "), lang.Say("form-meant: (did you mean {1}?)", strconv.Quote(w)))
	}
	return lang.Data("")
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

// described says what a text must look like: by the title of its definition, with its example.
func described(node any) lang.Detail {
	m, _ := node.(map[string]any)
	title, _ := m["title"].(string)
	example := ""
	if all := words(m["examples"]); len(all) > 0 {
		example = all[0]
	}
	switch title {
	case "Day of the calendar":
		return lang.Say("form-day: a day of the calendar such as {1}", example)
	case "Date and time with offset":
		return lang.Say("form-instant: a date and time with offset such as {1}", example)
	case "Name":
		return lang.Say("form-name: a name such as {1}", example)
	case "Period":
		return lang.Say("form-period: a period such as {1}", example)
	case "Digest of a line":
		return lang.Say("form-digest: a digest of a line such as {1}", example)
	case "Pointer to what is taken back":
		return lang.Say("form-pointer: a pointer to what is taken back, such as {1}", example)
	}
	return lang.Say("form-agreed: written in the agreed way")
}

// bound says what a keyword with a number or word asks.
func bound(keyword string, asked any) lang.Detail {
	n := fmt.Sprint(asked)
	switch keyword {
	case "minimum":
		return lang.Say("form-minimum: {1} or more", n)
	case "maximum":
		return lang.Say("form-maximum: {1} or less", n)
	case "minLength":
		return lang.Say("form-longer: {1} or more characters", n)
	case "maxLength":
		return lang.Say("form-shorter: {1} or fewer characters", n)
	case "minItems":
		return lang.Say("form-longer-list: {1} or more entries", n)
	case "maxItems":
		return lang.Say("form-shorter-list: {1} or fewer entries", n)
	}
	return lang.Data(strconv.Quote(n))
}
