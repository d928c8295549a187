package schema

import "github.com/santhosh-tekuri/jsonschema/v5"

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
