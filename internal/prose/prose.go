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

// columns is how wide the lines of a text for people are.
const columns = 80

// Wrap returns a text in lines of at most 80 columns, each with its end: the first one behind first,
// the others behind rest. A longer word has a line of its own.
func Wrap(first, rest, text string) string {
	var b strings.Builder
	line, width, empty := first, utf8.RuneCountInString(first), true
	for _, w := range strings.Fields(text) {
		n := utf8.RuneCountInString(w)
		if !empty && width+1+n > columns {
			b.WriteString(line + "\n")
			line, width, empty = rest, utf8.RuneCountInString(rest), true
		}
		if !empty {
			line, width = line+" ", width+1
		}
		line, width, empty = line+w, width+n, false
	}
	b.WriteString(line + "\n")
	return b.String()
}
