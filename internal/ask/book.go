// Package ask puts the questions of rules to what is recorded.
//
// A package that owns rules keeps them as data in rules.json, where a reviewer reads
// title, reason, remedy, effects and sources. Its Go code holds the conditions, a
// sentence each:
//
//	k.Ask(layersFolded, "/double/folded").When(p.Double != nil).No(d.Folded)
//	ask.AtLeast(k.Ask(sealNarrow, "/seal/width").When(heatSealed), p.Seal.Width, fig)
//
// Met, broken, undetermined and not applicable follow from it.
package ask

import (
	"sync"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
)

// ID is the place of a rule in its package's book, which is sorted by the rules' names.
// The constants are generated from rules.json.
type ID int

// Book is the rules of one package, read from their file at first use. A Book with
// its File is ready to use; it must not be copied.
type Book struct {
	File *string // the text of rules.json

	once   sync.Once
	rules  []moistheat.Rule
	places map[string]ID
}

// RulesFormat is the value of the "format" member of a file of rules.
const RulesFormat = "moistheat.rules/1"

type file struct {
	Format string      `json:"format"`
	Rules  []entryRule `json:"rules"`
}

// entryRule is a rule as it stands in its file.
type entryRule struct {
	moistheat.Rule
	Sources []moistheat.Source `json:"sources"`
	Answers []string           `json:"answers,omitzero"`
	Hazards []moistheat.Hazard `json:"hazards,omitzero"`
}

// Parse reads a file of rules.
func Parse(data []byte) ([]moistheat.Rule, error) {
	doc, err := strictjson.Read[file](data, strictjson.Default(), RulesFormat)
	if err != nil {
		return nil, err
	}
	rules := make([]moistheat.Rule, len(doc.Rules))
	for i, r := range doc.Rules {
		rules[i] = r.Rule
		rules[i].Sources = moistheat.SourcesOf(r.Sources...)
		rules[i].Answers, rules[i].Hazards = moistheat.ListOf(r.Answers...), moistheat.ListOf(r.Hazards...)
	}
	return rules, nil
}

func (b *Book) read() {
	b.once.Do(func() {
		rules, err := Parse([]byte(*b.File))
		if err != nil {
			panic(err) // the file is part of the program; a test reads it
		}
		b.rules, b.places = rules, make(map[string]ID, len(rules))
		for i := range rules {
			b.places[rules[i].ID] = ID(i)
		}
	})
}

// Rules returns every rule of the book, sorted by name. The caller owns the slice.
func (b *Book) Rules() []moistheat.Rule {
	b.read()
	return append([]moistheat.Rule(nil), b.rules...)
}

// Rule returns a rule of the book.
func (b *Book) Rule(id ID) moistheat.Rule {
	b.read()
	return b.rules[id]
}

// Name returns the name of a rule.
func (b *Book) Name(id ID) string {
	b.read()
	return b.rules[id].ID
}

// ID returns the place of the rule with this name.
func (b *Book) ID(name string) (ID, bool) {
	b.read()
	id, ok := b.places[name]
	return id, ok
}
