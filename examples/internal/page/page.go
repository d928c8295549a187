// Package page has what the programs share that print a page about a history.
package page

import (
	"fmt"
	"io"
	"os"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/load"
)

// LanguageOf returns the language of a name, en or de, or that of a file. Own is German with the
// texts of the page.
func LanguageOf(name string, own []byte) (moistheat.Language, error) {
	switch name {
	case "en":
		return moistheat.Language{}, nil
	case "de":
		return moistheat.ParseLanguage(own)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return moistheat.Language{}, fmt.Errorf("-lang: want en, de or the name of a file: %w", err)
	}
	return moistheat.ParseLanguage(data)
}

// Page is what is printed on, in a language.
type Page struct {
	W  io.Writer
	In moistheat.Language
}

// Say returns a text of the page in its language. The values of its parameters follow their
// names.
func (p *Page) Say(text string, pairs ...any) string {
	var params []moistheat.Param
	for i := 0; i+1 < len(pairs); i += 2 {
		params = append(params, moistheat.ParamOf(fmt.Sprint(pairs[i]), fmt.Sprint(pairs[i+1])))
	}
	return p.In.Text(text, params...)
}

// Heading writes a text of the page above what follows.
func (p *Page) Heading(text string) {
	fmt.Fprintln(p.W)
	p.Line("", "", p.Say(text))
}

// Line writes a text in the width of the page, the first line behind first and the others behind
// rest. What came in with a file can neither begin a line nor steer a terminal.
func (p *Page) Line(first, rest, text string) { fmt.Fprint(p.W, p.In.Wrap(first, rest, text)) }

// Warning writes what protects from a hazard.
func (p *Page) Warning(indent string, hazard moistheat.Hazard, sentence string) {
	p.Line(indent, indent, p.Say("WARNING: {hazard:moistheat.Hazard}. {sentence}", "hazard", hazard,
		"sentence", sentence))
}

// Rule writes what is to be done where a rule is broken: behind the hazards of it, what protects from
// which the page has said, and with what it rests on below.
func (p *Page) Rule(indent string, r load.NamedRule) {
	var hazards, sources []string
	for h := range r.Hazards.All() {
		hazards = append(hazards, p.In.Word("moistheat.Hazard", string(h)))
	}
	for _, s := range r.Sources {
		basis := s.Basis.String()
		sources = append(sources, strings.TrimSuffix(s.Source.String(), "("+basis+")")+
			"("+p.In.Word("moistheat.Basis", basis)+")")
	}
	if len(hazards) > 0 {
		p.Line(indent, indent, p.Say("WARNING: {hazards}, as above.", "hazards", strings.Join(hazards, ", ")))
	}
	p.Line(indent, indent, r.Remedy)
	p.Line(indent, indent, r.ID+" ["+p.In.Word("moistheat.Severity", r.Severity.String())+"]: "+
		strings.Join(sources, "; "))
}

// Name returns an id as it came in a file, in quotes where it could be taken for more than one.
func Name(id string) string {
	if strings.ContainsAny(id, " ,;:") {
		return `"` + strings.ReplaceAll(id, `"`, "'") + `"`
	}
	return id
}
