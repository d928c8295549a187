// Package pseudo has a language for tests in which every letter of a text is another, so that
// what stands in an answer in Latin letters came from no text.
package pseudo

import (
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
)

var (
	letters = regexp.MustCompile(`\{[^}]*\}|[A-Za-z]`)
	word    = regexp.MustCompile(`\b[A-Za-z]{4,}\b`) // a digest has no such
)

func other(text string) string {
	return letters.ReplaceAllStringFunc(text, func(s string) string {
		if s[0] == '{' {
			return s
		}
		return "ж"
	})
}

// Document returns the language as a document, with texts of others than the library.
func Document(own ...string) []byte {
	doc := map[string]any{"format": lang.Format, "language": "xx", "day": "2. January 2006",
		"time": "2. January 2006, 15:04", "months": strings.Fields(strings.Repeat("жж ", 12))}
	texts := map[string]string{}
	for _, en := range lang.English() {
		texts[en] = other(en)
	}
	doc["texts"] = texts
	if len(own) > 0 {
		texts := map[string]string{}
		for _, en := range own {
			texts[en] = other(en)
		}
		doc["own"] = texts
	}
	data, err := json.Marshal(doc)
	if err != nil {
		panic(err) // there are only strings in it
	}
	return data
}

// Language returns the language.
func Language(t *testing.T) moistheat.Language {
	t.Helper()
	l, err := moistheat.ParseLanguage(Document())
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Left returns the lines of a text that have a word of the Latin alphabet which stands
// nowhere in the names.
func Left(text, names string) (out []string) {
	for line := range strings.Lines(text) {
		strange := slices.DeleteFunc(word.FindAllString(line, -1), func(w string) bool {
			return strings.Contains(names, w)
		})
		if len(strange) > 0 {
			out = append(out, strings.Join(strange, ", ")+" in "+line)
		}
	}
	return out
}
