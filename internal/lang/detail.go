package lang

import (
	"errors"
	"strings"

	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lazy"
)

// Detail is what stands in a parameter of a text: data, which is the same in all languages, such
// as a number, a day, a name or a word of a closed list; or a phrase, by its code; or several of
// them, one behind the other. The zero Detail is none.
//
// It is written, in JSON too, as {lots-differ|A1|B2}: the code of the phrase and what stands in its
// parameters, each a detail. A backslash stands before the signs {, |, } and \ in data.
type Detail struct{ s string }

const (
	signs  = `{|}\`
	begin  = '{'
	next   = '|'
	end    = '}'
	escape = '\\'
)

// Data returns a detail that is the same in all languages.
func Data(v string) Detail {
	if !strings.ContainsAny(v, signs) {
		return Detail{v}
	}
	var b strings.Builder
	for i := range len(v) {
		if strings.IndexByte(signs, v[i]) >= 0 {
			b.WriteByte(escape)
		}
		b.WriteByte(v[i])
	}
	return Detail{b.String()}
}

// Say returns a phrase whose parameters {1}, {2} and so on are data. The text of a phrase begins
// with its code, as in "lots-differ: the control is of lot {1}, the indicator of lot {2}".
func Say(t Text, data ...string) Detail {
	values := make([]Detail, len(data))
	for i, v := range data {
		values[i] = Data(v)
	}
	return With(t, values...)
}

// With is [Say] with parameters that may be phrases.
func With(t Text, values ...Detail) Detail {
	code, _ := split(string(t))
	var b strings.Builder
	b.WriteByte(begin)
	b.WriteString(code)
	for _, v := range values {
		b.WriteByte(next)
		b.WriteString(v.s)
	}
	b.WriteByte(end)
	return Detail{b.String()}
}

// Told returns a text of the catalogue that has no code, such as one of a table. It stands behind
// an empty code, as in {|not settled}.
func Told(text string) Detail {
	if text == "" {
		return Detail{}
	}
	return Detail{"{|" + Data(text).s + "}"}
}

// Join returns details one behind the other, with signs such as ", " between them.
func Join(between string, parts ...Detail) Detail {
	var b strings.Builder
	for i, p := range parts {
		if i > 0 {
			b.WriteString(between)
		}
		b.WriteString(p.s)
	}
	return Detail{b.String()}
}

// split returns the code of a phrase and its words.
func split(text string) (code, words string) {
	code, words, ok := strings.Cut(text, ": ")
	if !ok || !strings.Contains(code, "-") || strings.Trim(code, "abcdefghijklmnopqrstuvwxyz0123456789-") != "" {
		return "", text
	}
	return code, words
}

// Code returns the code of a text, or "" where it is no phrase.
func Code(text string) string {
	code, _ := split(text)
	return code
}

// IsValid reports whether there is a detail.
func (d Detail) IsValid() bool { return d.s != "" }

// Data returns what is the same in all languages, and whether that is all that the detail is.
func (d Detail) Data() (string, bool) {
	if !strings.ContainsAny(d.s, signs) {
		return d.s, true
	}
	var b strings.Builder
	for i := 0; i < len(d.s); i++ {
		switch d.s[i] {
		case begin:
			return "", false
		case escape:
			if i+1 < len(d.s) {
				i++
			}
		}
		b.WriteByte(d.s[i])
	}
	return b.String(), true
}

// Code returns the code of the phrase with which the detail begins, or "".
func (d Detail) Code() string {
	if d.s == "" || d.s[0] != begin {
		return ""
	}
	return d.s[1 : 1+strings.IndexAny(d.s[1:]+"}", "|}")]
}

// Equal reports whether two details are equal, as == does.
func (d Detail) Equal(e Detail) bool { return d == e }

// Compare orders details in an order that is the same in all languages.
func (d Detail) Compare(e Detail) int { return strings.Compare(d.s, e.s) }

// String returns the detail in English, so that all of it is seen.
func (d Detail) String() string { return (*Catalogue)(nil).Detail(d) }

// MarshalText writes the detail as it is written in JSON.
func (d Detail) MarshalText() ([]byte, error) { return []byte(d.s), nil }

// UnmarshalText reads a detail. Any text is one: what is no whole phrase of the library stands for
// itself, so that nothing which is read can end the phrase in which it comes to stand.
func (d *Detail) UnmarshalText(text []byte) error {
	if d == nil {
		return errors.New("lang: nowhere to read a detail to")
	}
	d.s = whole(string(text), 0)
	return nil
}

// whole returns a detail in which signs that make no phrase of the library are data.
func whole(s string, depth int) string {
	if !strings.ContainsAny(s, signs) {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c == escape && i+1 < len(s) && strings.IndexByte(signs, s[i+1]) >= 0:
			b.WriteString(s[i : i+2])
			i++
		case c == begin:
			if parts, last := (Detail{s}).phrase(i + 1); depth < deepestPhrase && known(parts) {
				b.WriteByte(begin)
				b.WriteString(parts[0].s)
				for _, p := range parts[1:] {
					b.WriteByte(next)
					b.WriteString(whole(p.s, depth+1))
				}
				b.WriteByte(end)
				i = last - 1
				continue
			}
			fallthrough
		case strings.IndexByte(signs, c) >= 0:
			b.WriteByte(escape)
			fallthrough
		default:
			b.WriteByte(c)
		}
	}
	return b.String()
}

// known reports whether a code and its values are a phrase of the library.
func known(parts []Detail) bool {
	if len(parts) == 0 {
		return false
	}
	code, values := parts[0].s, parts[1:]
	if code == "" {
		text, ok := "", len(values) == 1
		if ok {
			text, ok = values[0].Data()
		}
		return ok && Known(text)
	}
	text := coded(code)
	most := 0
	for _, p := range Parameters(text) {
		most = max(most, int(p[0]-'0'))
	}
	return text != "" && len(values) == most
}

// deepestPhrase is how deep phrases may stand in phrases, in a report that was read back.
const deepestPhrase = 8

// Detail returns a detail in the language, so that all of it is seen.
func (c *Catalogue) Detail(d Detail) string { return guard.Visible(c.detail(d, 0)) }

func (c *Catalogue) detail(d Detail, depth int) string {
	if v, ok := d.Data(); ok {
		return v
	}
	var b strings.Builder
	for i := 0; i < len(d.s); i++ {
		switch d.s[i] {
		case begin:
			parts, last := d.phrase(i + 1)
			b.WriteString(c.phrase(parts, d.s[i:last], depth))
			i = last - 1
		case escape:
			if i+1 < len(d.s) {
				i++
			}
			b.WriteByte(d.s[i])
		default:
			b.WriteByte(d.s[i])
		}
	}
	return b.String()
}

// phrase returns a phrase in the language, or as it is written where the library has none such.
func (c *Catalogue) phrase(parts []Detail, written string, depth int) string {
	if depth == deepestPhrase || len(parts) == 0 {
		return written
	}
	code, values := parts[0].s, parts[1:]
	if code == "" && len(values) == 1 {
		text, _ := values[0].Data()
		return c.Find(text)
	}
	text := coded(code)
	if text == "" {
		return written
	}
	own := c.Find(text)
	if own == text {
		_, own = split(text)
	}
	return c.fill(own, func(name string) (Detail, bool) {
		if len(name) != 1 || name[0] < '1' || int(name[0]-'1') >= len(values) {
			return Detail{}, false
		}
		return values[name[0]-'1'], true
	}, depth+1)
}

// phrase returns the code and the values of the phrase that begins at a place, and where it ends.
// What does not end is no phrase.
func (d Detail) phrase(at int) (parts []Detail, last int) {
	deep, from := 0, at
	for i := at; i < len(d.s); i++ {
		switch b := d.s[i]; {
		case b == escape:
			i++
		case b == begin:
			deep++
		case b == end && deep > 0:
			deep--
		case b == end:
			return append(parts, Detail{d.s[from:i]}), i + 1
		case b == next && deep == 0:
			parts, from = append(parts, Detail{d.s[from:i]}), i+1
		}
	}
	return nil, len(d.s)
}

var phrases lazy.Value[map[string]string]

// coded returns the English text of a code with it, or "".
func coded(code string) string {
	return phrases.Get(func() map[string]string {
		out := map[string]string{}
		for _, text := range English() {
			if c, _ := split(text); c != "" {
				out[c] = text
			}
		}
		return out
	})[code]
}
