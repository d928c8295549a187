package lang

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/words"
)

// Fault says what is wrong with a document, and where.
type Fault struct {
	Pointer, Problem string
	Shape, Large     bool // it is not of the format; it is too large
}

// Parse reads a language.
func Parse(data []byte) (*Catalogue, *Fault) {
	if err := guard.Check(data, guard.Language()); err != nil {
		e := err.(*guard.Error)
		large := e.Kind == guard.Limit
		return nil, &Fault{Pointer: e.Pointer, Problem: e.Problem, Shape: !large, Large: large}
	}
	if fault := exact(data); fault != nil {
		return nil, fault
	}
	c := &Catalogue{}
	if err := json.Unmarshal(data, c); err != nil {
		return nil, &Fault{Problem: err.Error(), Shape: true}
	}
	if fault := c.check(); fault != nil {
		return nil, fault
	}
	if strings.HasPrefix(c.Name, "de-") {
		c.buildOn(German())
	}
	c.Prepare()
	return c, nil
}

// buildOn takes what a language lacks from the one that it is a form of.
func (c *Catalogue) buildOn(base *Catalogue) {
	texts := maps.Clone(base.Texts)
	maps.Copy(texts, c.Texts)
	c.Texts = texts
	c.Decimal, c.Day, c.Time = cmp.Or(c.Decimal, base.Decimal), cmp.Or(c.Day, base.Day), cmp.Or(c.Time, base.Time)
	if c.Months == nil {
		c.Months = base.Months
	}
}

// members are those of a language; required are the first three.
var members = []string{"format", "language", "texts", "decimal", "day", "time", "months", "own"}

// exact refuses what the decoder of the standard library passes over: other members, names in
// another case, members that are missing, and null.
func exact(data []byte) *Fault {
	var doc map[string]json.RawMessage
	if err := json.Unmarshal(data, &doc); err != nil {
		return &Fault{Problem: err.Error(), Shape: true}
	}
	if got := string(doc["format"]); got != "" && got != `"`+Format+`"` {
		p := fmt.Sprintf("the format is %.40s, want %q", got, Format)
		return &Fault{Pointer: "/format", Problem: p, Shape: true}
	}
	for _, name := range slices.Sorted(maps.Keys(doc)) {
		if !slices.Contains(members, name) {
			return &Fault{Pointer: "/" + guard.Segment(name), Problem: words.Refusal(members, name), Shape: true}
		}
	}
	for _, name := range members[:3] {
		if doc[name] == nil {
			return &Fault{Pointer: "/" + name, Problem: "it is missing", Shape: true}
		}
	}
	for name, value := range doc {
		if null(value) {
			return &Fault{Pointer: "/" + name, Problem: "it is null; leave out what there is not", Shape: true}
		}
	}
	return nil
}

// null reports whether a member, or something in it, is null.
func null(value json.RawMessage) bool {
	var list []json.RawMessage
	var texts map[string]json.RawMessage
	switch value[0] {
	case 'n':
		return true
	case '[':
		_ = json.Unmarshal(value, &list) // which was read before
	case '{':
		_ = json.Unmarshal(value, &texts)
		list = slices.Collect(maps.Values(texts))
	}
	return slices.ContainsFunc(list, func(v json.RawMessage) bool { return v[0] == 'n' })
}

// isName reports whether a name is one of BCP 47 by its form: parts of letters and digits.
func isName(s string) bool {
	parts := strings.Split(s, "-")
	for i, p := range parts {
		other := strings.IndexFunc(p, func(r rune) bool {
			return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || i > 0 && r >= '0' && r <= '9')
		})
		if other >= 0 || len(p) > 8 || len(p) < 1 || i == 0 && len(p) < 2 {
			return false
		}
	}
	return len(parts) <= 5
}

// short returns the texts that may be compared with one that is not known: none of a paragraph.
func short(texts []string) []string {
	return slices.DeleteFunc(slices.Clone(texts), func(s string) bool { return len(s) > 60 })
}

func (c *Catalogue) check() *Fault {
	switch {
	case c.Format != Format:
		return &Fault{Pointer: "/format", Problem: "it is not " + Format, Shape: true}
	case !isName(c.Name):
		return &Fault{Pointer: "/language", Problem: "it is no name of a language, such as fr or de-CH"}
	case c.Name == "en" || c.Name == "de":
		return &Fault{Pointer: "/language", Problem: "the library has that language; name yours " + c.Name +
			"-x-own, for instance"}
	case c.Decimal != "" && c.Decimal != "." && c.Decimal != ",":
		return &Fault{Pointer: "/decimal", Problem: "it is neither a point nor a comma"}
	case c.Months != nil && len(c.Months) != 12:
		return &Fault{Pointer: "/months", Problem: "there are not twelve"}
	}
	for _, en := range slices.Sorted(maps.Keys(c.Texts)) {
		if !Known(en) {
			p := fmt.Sprintf("the library has no text %.80q", en)
			if near := words.Nearest(short(English()), en); near != "" {
				p += fmt.Sprintf("; did you mean %q?", near)
			}
			return &Fault{Pointer: "/texts", Problem: p}
		}
	}
	for _, list := range []struct {
		at    string
		texts map[string]string
	}{{"/texts", c.Texts}, {"/own", c.Own}} {
		for _, en := range slices.Sorted(maps.Keys(list.texts)) {
			if p := Foreign(en, list.texts[en]); p != "" {
				return &Fault{Pointer: list.at, Problem: fmt.Sprintf("the text for %.80q has {%.40s}, which that has not", en, p)}
			}
			if list.at == "/own" && Known(en) {
				return &Fault{Pointer: list.at, Problem: fmt.Sprintf("%.80q is a text of the library; write it under texts", en)}
			}
		}
	}
	return nil
}

// Foreign returns a parameter of a translation that the English text does not have, or "".
func Foreign(en, own string) string {
	has := map[string]bool{}
	for _, p := range Parameters(en) {
		name, _, _ := strings.Cut(p, ":")
		has[p], has[name] = true, true
	}
	for _, p := range Parameters(own) {
		if !has[p] {
			return p
		}
	}
	return ""
}

// Missing returns the English texts that the language does not have.
func (c *Catalogue) Missing() (out []string) {
	if c == nil {
		return nil
	}
	for _, en := range English() {
		if c.Texts[en] == "" {
			out = append(out, en)
		}
	}
	return out
}
