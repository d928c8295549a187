// Package prose has the few rules of English that sentences made from facts need.
package prose

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.com/moistheat/internal/guard"
)

// Capital returns s with a capital first letter.
func Capital(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[n:]
}

// Plural returns a number of things, such as "1 day" and "2 days".
func Plural(n int, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return strconv.Itoa(n) + " " + thing
}

// nameSize is how many characters of an id a text shows.
const nameSize = 40

// Name returns an id as a text shows it: in quotes where it could be taken for a list, a
// heading or a sentence, and cut where it is long.
func Name(id string) string {
	special := func(r rune) bool { return !plain(r) }
	if id != "" && utf8.RuneCountInString(id) <= nameSize && strings.IndexFunc(id, special) < 0 {
		return id
	}
	if cut := []rune(id); len(cut) > nameSize {
		id = string(cut[:nameSize-1]) + "…"
	}
	return guard.Visible(`"` + strings.ReplaceAll(id, `"`, "'") + `"`)
}

func plain(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./#+", r) ||
		r >= 0xC0 && unicode.IsLetter(r)
}
