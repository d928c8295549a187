package lang

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"example.com/moistheat/internal/words"
)

// Fault says what is wrong with a document, and where.
type Fault struct {
	Pointer, Problem string
	Shape, Large     bool // it is not of the format; it is too large
}

// largest is how large a language may be; the texts of the library have about 200 kB.
const largest = 4 << 20

// written is a language as it is written, with texts of which none stands there twice.
type written struct {
	Catalogue
	Texts once `json:"texts"`
	Own   once `json:"own"`
}

type once map[string]string

// UnmarshalJSON refuses a text that stands there twice.
func (o *once) UnmarshalJSON(data []byte) error {
	out := once{}
	d := json.NewDecoder(bytes.NewReader(data))
	if start, err := d.Token(); err != nil || start != json.Delim('{') {
		return errors.New("texts must be an object")
	}
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return err
		}
		name := key.(string)
		if _, twice := out[name]; twice {
			return fmt.Errorf("the text %.60q stands there twice", name)
		}
		var text string
		if err := d.Decode(&text); err != nil {
			return err
		}
		out[name] = text
	}
	*o = out
	return nil
}

// Parse reads a language.
func Parse(data []byte) (*Catalogue, *Fault) {
	if len(data) > largest {
		return nil, &Fault{Problem: fmt.Sprintf("it is larger than %d bytes", largest), Large: true}
	}
	if !utf8.Valid(data) {
		return nil, &Fault{Problem: "it is not in UTF-8", Shape: true}
	}
	in := written{}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&in); err != nil {
		return nil, &Fault{Problem: err.Error(), Shape: true}
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, &Fault{Problem: "something follows the document", Shape: true}
	}
	c := in.Catalogue
	c.Texts, c.Own = in.Texts, in.Own
	if fault := c.check(); fault != nil {
		return nil, fault
	}
	c.Prepare()
	return &c, nil
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
			if near := words.Nearest(English(), en); near != "" {
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
