// Package lang has the sentences of the library in other languages than English, in which
// the library is written: a catalogue maps each English text to its own.
//
// A text may have parameters in braces. What follows a colon says how the value of one is
// written: {n:number} is a number or a quantity, {on:date} a day (RFC 3339 full-date) or an
// instant (date-time), and {kind:packaging.Barrier} a word of the list of that name, or several
// with commas between them, whose key is "packaging.Barrier: rigid container", or of a list of ours
// ([Term]), "side: longest". {first-last:period} is the time from the day or instant of one parameter
// to that of another. {why:text} is a phrase ([Detail]) or a quantity, {item:name} a name or a phrase
// in place of one. All others are written as they are.
package lang

import (
	"cmp"
	_ "embed"
	"encoding/json"
	"slices"
	"strings"
	"time"

	"example.com/moistheat/internal/lazy"
)

// Text is an English text of the library. Constants of this type are in the list of
// [English], which a generator writes.
type Text string

// What a command says of the form of a document.
const (
	GoodForm      Text = "Nothing is wrong with the form."
	WholeDocument Text = "the document"
	LineOfFile    Text = "{file}, line {line}"
)

// Term returns the word of a text "sort: word" that is to stand in a parameter of that sort, such
// as {what:sort}. A word alone means different things in different sentences, so its key says in
// which.
func Term(t Text) string {
	_, word, _ := strings.Cut(string(t), ": ")
	return word
}

// Catalogue is a language. A nil Catalogue is English.
type Catalogue struct {
	Format  string `json:"format"`
	Name    string `json:"language"`          // BCP 47, such as "de"
	Decimal string `json:"decimal,omitempty"` // between the whole digits and the others
	// Day and Time are layouts as in package time; January stands for the name of the month.
	Day    string            `json:"day,omitempty"`
	Time   string            `json:"time,omitempty"`
	Months []string          `json:"months,omitempty"`
	Texts  map[string]string `json:"texts"`
	Own    map[string]string `json:"own,omitempty"` // texts that are not the library's
}

// Format is the value of the "format" member of a language.
const Format = "moistheat.language/1"

//go:embed de.json
var german string

//go:embed english.json
var english string

var (
	germanOnce  lazy.Value[*Catalogue]
	englishOnce lazy.Value[[]string]
)

// German returns the catalogue of German.
func German() *Catalogue {
	return germanOnce.Get(func() *Catalogue {
		c := &Catalogue{}
		if err := json.Unmarshal([]byte(german), c); err != nil {
			panic(err) // the file is part of the program; a test reads it
		}
		c.Prepare()
		return c
	})
}

// English returns all English texts, sorted.
func English() []string {
	return englishOnce.Get(func() []string {
		var list struct {
			Texts []string `json:"texts"`
		}
		if err := json.Unmarshal([]byte(english), &list); err != nil {
			panic(err) // as above
		}
		return list.Texts
	})
}

// Known reports whether the library has an English text.
func Known(text string) bool {
	_, ok := slices.BinarySearch(English(), text)
	return ok
}

// Prepare makes a catalogue that was read ready for use: its parameters are written as
// those of the English texts, and texts of its own stand beside those of the library.
func (c *Catalogue) Prepare() {
	for _, texts := range []map[string]string{c.Texts, c.Own} {
		for en, own := range texts {
			texts[en] = sort(own, en)
		}
	}
}

// sort gives each parameter of a text the sort that it has in the English one.
func sort(own, en string) string {
	for _, p := range Parameters(en) {
		if name, _, sorted := strings.Cut(p, ":"); sorted {
			own = strings.ReplaceAll(own, "{"+name+"}", "{"+p+"}")
		}
	}
	return own
}

// Parameters returns what stands in the braces of a text.
func Parameters(text string) (out []string) {
	for {
		_, rest, ok := strings.Cut(text, "{")
		if !ok {
			return out
		}
		var p string
		if p, text, ok = strings.Cut(rest, "}"); !ok {
			return out
		}
		out = append(out, p)
	}
}

// Find returns an English text in the language, or as it is where the language has none.
func (c *Catalogue) Find(text string) string {
	if c == nil {
		return text
	}
	if own := c.Texts[text]; own != "" {
		return own
	}
	return cmp.Or(c.Own[text], text)
}

// Word returns a word of a closed list in the language. The list has the name of its type, such
// as "moistheat.Hazard".
func (c *Catalogue) Word(list, word string) string {
	key := list + ": " + word
	if own := c.Find(key); own != key {
		return own
	}
	return word
}

// words returns a word of a closed list, or several with commas between them.
func (c *Catalogue) words(list, v string) string {
	if own := c.Word(list, v); own != v || !strings.Contains(v, ", ") {
		return own
	}
	all := strings.Split(v, ", ")
	for i := range all {
		all[i] = c.Word(list, all[i])
	}
	return strings.Join(all, ", ")
}

// Say returns an English text in the language, with its parameters filled in. What value
// does not know stays.
func (c *Catalogue) Say(text string, value func(name string) (Detail, bool)) string {
	return c.fill(c.Find(text), value, 0)
}

// fill returns a text of the language with its parameters filled in, depth phrases deep.
func (c *Catalogue) fill(text string, value func(name string) (Detail, bool), depth int) string {
	if !strings.Contains(text, "{") {
		return text
	}
	var b strings.Builder
	for {
		before, rest, open := strings.Cut(text, "{")
		b.WriteString(before)
		if !open {
			return b.String()
		}
		p, after, closed := strings.Cut(rest, "}")
		name, as, _ := strings.Cut(p, ":")
		d, ok := value(name)
		if as == "period" {
			var v string
			v, ok = c.period(name, value)
			d = Data(v)
		}
		if !closed || !ok {
			b.WriteByte('{')
			text = rest
			continue
		}
		text = after
		v, ok := d.Data()
		if !ok {
			b.WriteString(c.detail(d, depth))
			continue
		}
		switch as {
		case "number":
			v = c.Number(v)
		case "date":
			v = c.Date(v)
		case "text":
			if quantity(v) {
				v = c.Number(v)
			}
		case "", "name", "period":
		default:
			v = c.words(as, v)
		}
		b.WriteString(v)
	}
}

// quantity reports whether a text is a number with its unit, or several such as "4 min 22 s".
func quantity(v string) bool {
	words := strings.Split(v, " ")
	for i, w := range words {
		w = strings.TrimPrefix(w, "-")
		if w == "" || digit(w[0]) != (i%2 == 0) && !slices.Contains(besides, w) {
			return false
		}
	}
	return len(words) > 1 && strings.Trim(words[0], "-.,0123456789") == "" && !strings.ContainsAny(v, ";:") &&
		!strings.Contains(v, ", ")
}

// besides are words that stand beside the unit of a quantity.
var besides = []string{"absolute", "gauge", "difference", "as", "per"}

// The words of a period.
const (
	within Text = "from {first:date} to {last:date}"
	on     Text = "on {first:date}"
)

// period says the time from one parameter to another, whose names have a hyphen between them.
func (c *Catalogue) period(names string, value func(name string) (Detail, bool)) (string, bool) {
	from, to, _ := strings.Cut(names, "-")
	first, ok := value(from)
	last, also := value(to)
	text := within
	if c.Date(first.String()) == c.Date(last.String()) {
		text = on
	}
	return c.Say(string(text), func(name string) (Detail, bool) {
		if name == "first" {
			return first, true
		}
		return last, true
	}), ok && also
}

// These texts stand beside the numbers of quantities.
const (
	_ Text = "absolute"
	_ Text = "gauge"
	_ Text = "as"
	_ Text = "difference"
	_ Text = "per"
)

// These stand beside a number in place of the symbol of a unit.
const (
	day  Text = "day"
	days Text = "days"
)

// Number returns a number, or a quantity with its symbol, as the language writes it: without zeros
// at its end, and days in words.
func (c *Catalogue) Number(v string) string {
	words := strings.Split(v, " ")
	last := ""
	for i, w := range words {
		switch {
		case w == "d" && last == "1":
			words[i] = c.Find(string(day))
		case w == "d" && last != "":
			words[i] = c.Find(string(days))
		case w == "" || !digit(w[len(w)-1]):
			words[i] = c.Find(w)
		default:
			last = bare(w)
			if words[i] = last; c != nil && c.Decimal == "," {
				words[i] = strings.Map(swapped, last)
			}
		}
	}
	return strings.Join(words, " ")
}

// bare returns a number without the zeros at the end of its fraction.
func bare(number string) string {
	whole, fraction, ok := strings.Cut(number, ".")
	if !ok || strings.Trim(whole, "-,0123456789") != "" || strings.Trim(fraction, "0123456789") != "" {
		return number
	}
	if fraction = strings.TrimRight(fraction, "0"); fraction == "" {
		return whole
	}
	return whole + "." + fraction
}

// swapped turns the signs of an English number into those of one with a decimal comma.
func swapped(r rune) rune {
	switch r {
	case '.':
		return ','
	case ',':
		return '.'
	}
	return r
}

func digit(b byte) bool { return '0' <= b && b <= '9' }

// The forms of a day and of an instant: as parameters have them, and as English texts do.
const (
	englishDay  = "2 January 2006"
	englishTime = "2 January 2006, 15:04"
)

// Date returns a day or an instant as the language writes it; an instant in its own zone.
func (c *Catalogue) Date(v string) string {
	for _, layout := range [...]string{time.DateOnly, englishDay} {
		if t, err := time.Parse(layout, v); err == nil {
			return c.format(t, c.day(), englishDay)
		}
	}
	for _, layout := range [...]string{time.RFC3339Nano, englishTime} {
		if t, err := time.Parse(layout, v); err == nil {
			return c.format(t, c.time(), englishTime)
		}
	}
	return v
}

func (c *Catalogue) day() string {
	if c == nil {
		return ""
	}
	return c.Day
}

func (c *Catalogue) time() string {
	if c == nil {
		return ""
	}
	return c.Time
}

// format writes an instant by a layout of the language, or by the English one where it has
// none.
func (c *Catalogue) format(t time.Time, own, english string) string {
	if own == "" || len(c.Months) != 12 {
		return t.Format(english)
	}
	before, after, named := strings.Cut(own, "January")
	if !named {
		return t.Format(own)
	}
	return t.Format(before) + c.Months[t.Month()-1] + t.Format(after)
}
