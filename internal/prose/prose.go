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
// heading or a sentence, and cut where it is long: in its middle, as its end tells it from its like, or
// where it could be a sentence behind its beginning.
func Name(id string) string {
	special := func(r rune) bool { return !plain(r) }
	if id != "" && utf8.RuneCountInString(id) <= nameSize && strings.IndexFunc(id, special) < 0 {
		return id
	}
	switch cut := []rune(id); {
	case len(cut) <= nameSize:
	case strings.IndexFunc(id, special) < 0:
		id = string(cut[:nameSize/2-1]) + "…" + string(cut[len(cut)-nameSize/2:])
	default:
		id = string(cut[:nameSize-1]) + "…"
	}
	return guard.Visible(`"` + strings.ReplaceAll(id, `"`, "'") + `"`)
}

func plain(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./#+", r) ||
		r >= 0xC0 && unicode.IsLetter(r)
}

// Columns is how wide the lines of a text for people are where nothing else is said.
const Columns = 80

// Wrap returns a text in lines of at most width columns, each with its end: the first one behind
// first, the others behind rest. A word that is wider than a line is cut.
func Wrap(width int, first, rest, text string) string {
	column, indent := utf8.RuneCountInString(first), utf8.RuneCountInString(rest)
	most := max(8, width-max(column, indent)) // of a word
	var b strings.Builder
	b.Grow(len(first) + len(text) + (len(text)/most+1)*(len(rest)+2))
	b.WriteString(first)
	empty := true
	for w := range strings.FieldsSeq(text) {
		for w != "" {
			part := beginning(w, most)
			n := utf8.RuneCountInString(part)
			if !empty && column+1+n > width {
				b.WriteString("\n" + rest)
				column, empty = indent, true
			}
			if !empty {
				b.WriteByte(' ')
				column++
			}
			b.WriteString(part)
			w, column, empty = w[len(part):], column+n, false
		}
	}
	if empty {
		return strings.TrimRight(first, " ") + "\n"
	}
	b.WriteByte('\n')
	return b.String()
}

// beginning returns the first n characters of a word.
func beginning(w string, n int) string {
	if len(w) <= n {
		return w
	}
	end := 0
	for range n {
		_, size := utf8.DecodeRuneInString(w[end:])
		end += size
	}
	return w[:end]
}

// Place says in words where a JSON Pointer leads, elements of lists counted from one, as in
// "packs 2, seal, width", or names the document.
func Place(document, pointer string) string {
	if pointer == "" {
		return document
	}
	var out strings.Builder
	for i, name := range strings.Split(strings.TrimPrefix(pointer, "/"), "/") {
		n, err := strconv.Atoi(name)
		switch {
		case i == 0:
			out.WriteString(unescape(name))
		case err == nil:
			out.WriteString(" " + strconv.Itoa(n+1))
		default:
			out.WriteString(", " + unescape(name))
		}
	}
	return out.String()
}

func unescape(s string) string {
	return strings.ReplaceAll(strings.ReplaceAll(s, "~1", "/"), "~0", "~")
}
