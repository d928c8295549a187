package schema

import (
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/strictjson"
	"github.com/santhosh-tekuri/jsonschema/v5"
)

// Engine returns the engine's form of a schema.
func Engine(kind Kind) *jsonschema.Schema { return schemaOf(kind).engine }

// Longest returns how many elements the tree for the engine keeps of a list, less
// one.
func Longest(kind Kind) int { return schemaOf(kind).longest }

// RunOn asks the engine about a tree and returns the rules of what it finds.
func RunOn(kind Kind, root any) []string {
	v := validation{list: book.List(nil), schema: schemaOf(kind), root: root}
	v.run()
	var rules []string
	for _, f := range v.findings() {
		rules = append(rules, f.Rule)
	}
	return rules
}

// RuleIDFor returns the rule of a keyword, or "".
func RuleIDFor(keyword string) string {
	if id, ok := ruleFor(keyword); ok {
		return book.Name(id)
	}
	return ""
}

// Column is the name of the members that are number columns.
const Column = column

// Clock is the name of the members whose column is one of times.
const Clock = clock

// MaxFaulty and MaxFindings bound the result.
const (
	MaxFaulty   = maxFaulty
	MaxFindings = maxFindings
)

// FitsBothWays asks the short way past the engine, and the engine, about a document.
// ok is false for one that is no JSON within the limits.
func FitsBothWays(kind Kind, data []byte) (surely, engine, ok bool) {
	if strictjson.Check(data, limits(kind)) != nil {
		return false, false, false
	}
	s := schemaOf(kind)
	t := tree{Cursor: guard.Cursor{Data: data}, limit: s.longest, names: s.names}
	root := t.value()
	return s.form.fits(root), s.engine.Validate(root) == nil, true
}
