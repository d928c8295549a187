package schema

import (
	"slices"
	"strings"

	"example.com/moistheat"
)

// A document that does not fit its schema can not be judged, so none of these rules
// lets a load go.
const since = "0.1.0"

const (
	vocabulary = "JSON Schema Validation: A Vocabulary for Structural Validation of JSON"
	core       = "JSON Schema: A Media Type for Describing JSON Documents"
	draft      = "2020-12"
)

var (
	requiredMissing = moistheat.Rule{
		ID: "schema.required.missing", Title: "Every member that the format requires is there.",
		Why:      "What a document does not say can not be judged.",
		Do:       "Let the exporting program write the member; where its value is unknown, the format marks it as optional.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold}, Since: since,
		Sources: []moistheat.Source{{Document: vocabulary, Edition: draft, Locator: "required", Basis: moistheat.Recalled}},
		Says:    "The member {member} is missing here.",
	}
	memberUnknown = moistheat.Rule{
		ID: "schema.member.unknown", Title: "Every member is one that the format has at this place.",
		Why:      "A misspelt name would be passed over, and what it says would be lost.",
		Do:       "Correct the name or remove the member.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold}, Since: since,
		Sources: []moistheat.Source{{Document: core, Edition: draft, Locator: "additionalProperties", Basis: moistheat.Recalled}},
		Says:    "The format has no member {member} at this place{hint}.",
	}
	valueType = moistheat.Rule{
		ID: "schema.value.type", Title: "Every value is of the sort that the format asks for.",
		Why:      "A number in quotes or a null means different things to different programs.",
		Do:       "Write a value of the right sort; leave out a member that has no value.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold}, Since: since,
		Sources: []moistheat.Source{{Document: vocabulary, Edition: draft, Locator: "type", Basis: moistheat.Recalled}},
		Says:    "This must be {want}; it is {got}.",
	}
	valueEnum = moistheat.Rule{
		ID: "schema.value.enum", Title: "Every word and unit is one from its list.",
		Why:      "A word outside the list has no agreed meaning.",
		Do:       "Write one of the listed words, letter by letter.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold}, Since: since,
		Sources: []moistheat.Source{{Document: vocabulary, Edition: draft, Locator: "enum", Basis: moistheat.Recalled}},
		Says:    "{got} is not in the list{hint}; the list is {want}.",
	}
	valueConst = moistheat.Rule{
		ID: "schema.value.const", Title: "The document says that it follows this format.",
		Why:      "A document of another format or version would be misread.",
		Do:       "Check which format the document is of; write the member as stated.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold}, Since: since,
		Sources: []moistheat.Source{{Document: vocabulary, Edition: draft, Locator: "const", Basis: moistheat.Recalled}},
		Says:    "This must be {want}; it is {got}.",
	}
	valueFormat = moistheat.Rule{
		ID: "schema.value.format", Title: "Every date, instant and name is written in the agreed way.",
		Why:      "A date that can be read in two ways puts a wrong day on a pack.",
		Do:       "Write it in the form that is shown.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold}, Since: since,
		Sources: []moistheat.Source{{Document: vocabulary, Edition: draft, Locator: "pattern; format", Basis: moistheat.Recalled}},
		Says:    "{got} is not {want}.",
	}
	valueLength = moistheat.Rule{
		ID: "schema.value.length", Title: "Every text has a length that the format allows.",
		Why:      "Text without bound makes a program slow; an empty title names nothing.",
		Do:       "Shorten the text, or fill it in.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold}, Since: since,
		Sources: []moistheat.Source{{Document: vocabulary, Edition: draft, Locator: "maxLength; minLength", Basis: moistheat.Recalled}},
		Says:    "This text must have {want}.",
	}
	valueRange = moistheat.Rule{
		ID: "schema.value.range", Title: "Every number is in the range that the format allows.",
		Why:      "A number out of range is a slip of the pen or of the program.",
		Do:       "Correct the number.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold}, Since: since,
		Sources: []moistheat.Source{{Document: vocabulary, Edition: draft, Locator: "maximum; minimum", Basis: moistheat.Recalled}},
		Says:    "This must be {want}; it is {got}.",
	}
	itemsCount = moistheat.Rule{
		ID: "schema.items.count", Title: "Every list has a length that the format allows.",
		Why:      "A list without bound makes a program slow; an empty table asks nothing.",
		Do:       "Send fewer entries, or fill the list.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold}, Since: since,
		Sources: []moistheat.Source{{Document: vocabulary, Edition: draft, Locator: "maxItems; minItems", Basis: moistheat.Recalled}},
		Says:    "This list must have {want}.",
	}
	itemsUnchecked = moistheat.Rule{
		ID: "schema.items.unchecked", Title: "Every entry of every list was looked at.",
		Why:      "A list with many faults mostly has one fault many times, and its end may hold another.",
		Do:       "Correct what is listed and check again.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold}, Undetermined: moistheat.Effect{Load: moistheat.Hold}, Since: since,
		Sources: []moistheat.Source{{Document: "moistheat", Locator: "schema.Validate", Basis: moistheat.Derived}},
		Says:    "{count} further entries of this list were not looked at.",
		Asks:    "The entries so far are too many, or too many of them have faults; {count} further entries of this list were not looked at.",
	}
	findingsOmitted = moistheat.Rule{
		ID: "schema.findings.omitted", Title: "All findings are listed.",
		Why:      "A list that is cut off must say so.",
		Do:       "Correct what is listed and check again.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold}, Since: since,
		Sources: []moistheat.Source{{Document: "moistheat", Locator: "schema.Validate", Basis: moistheat.Derived}},
		Says:    "{count} further findings are not listed.",
	}
	checkInternal = moistheat.Rule{
		ID: "schema.check.internal", Title: "The document was checked to its end.",
		Why:      "A check that failed has shown nothing.",
		Do:       "Do not take the document for valid. Report the fault to the makers of the library, with the document if it may be shared.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold}, Since: since,
		Sources: []moistheat.Source{{Document: "moistheat", Locator: "schema.Validate", Basis: moistheat.Derived}},
		Says:    "The document could not be checked to its end.",
	}
)

// Rules returns every rule of this package, sorted by ID. The caller owns the
// result.
func Rules() []moistheat.Rule {
	rules := []moistheat.Rule{requiredMissing, memberUnknown, valueType, valueEnum, valueConst, valueFormat,
		valueLength, valueRange, itemsCount, itemsUnchecked, findingsOmitted, checkInternal}
	for i := range rules {
		rules[i].Sources = slices.Clone(rules[i].Sources)
	}
	slices.SortFunc(rules, func(a, b moistheat.Rule) int { return strings.Compare(a.ID, b.ID) })
	return rules
}

// ruleFor returns the rule that a keyword of the schemas stands for, or nil.
func ruleFor(keyword string) *moistheat.Rule {
	switch keyword {
	case "required":
		return &requiredMissing
	case "additionalProperties":
		return &memberUnknown
	case "type":
		return &valueType
	case "enum":
		return &valueEnum
	case "const":
		return &valueConst
	case "format", "pattern":
		return &valueFormat
	case "minLength", "maxLength":
		return &valueLength
	case "minimum", "maximum":
		return &valueRange
	case "minItems", "maxItems":
		return &itemsCount
	}
	return nil
}
