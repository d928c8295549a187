package schema

import (
	"encoding/json"
	"maps"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/strictjson"
	"github.com/santhosh-tekuri/jsonschema/v5"
)

// What bounds the work on a document that is full of faults.
const (
	maxFindings = 1000 // in the result; one more counts those beyond
	maxFaulty   = 25   // entries with faults in one list; those after are not checked
)

// Validate checks a document against the schema of a kind and returns what is wrong
// with it, ordered by pointer and rule: nothing for a document that fits.
//
// The findings are [moistheat.Broken], or [moistheat.Internal] if the library
// failed; [Rules] describes them. Table names the place in the schema that decided.
// Values in the parameters are cut to 40 characters. After 25 entries with faults
// the rest of a list is not checked, nor is what follows the most entries that a
// list may have; that is a finding that is [moistheat.Undetermined] and counts them.
// After 1,000 findings one more counts the others.
//
// An error is a [*moistheat.DocumentError] and means that nothing was checked: the
// bytes are not strict JSON or are over the limits.
func Validate(kind Kind, data []byte) ([]moistheat.Finding, error) {
	if kind == 0 || kind > Vectors {
		return nil, &moistheat.DocumentError{Kind: moistheat.ErrUnknown, Offset: -1,
			Problem: kind.String() + " is not a kind of document"}
	}
	if err := strictjson.Check(data, limits(kind)); err != nil {
		return nil, err
	}
	s := schemaOf(kind)
	t := tree{Cursor: guard.Cursor{Data: data}, limit: s.longest, names: s.names}
	v := validation{list: book.List(nil), schema: s, root: t.value(), columns: t.columns, cut: t.cut}
	v.run()
	return v.findings(), nil
}

// validation is one document under one schema.
type validation struct {
	*schema
	root    any
	columns map[string]*shortened
	cut     map[string]int
	list    ask.List
}

// run asks the engine. Whatever goes wrong in there is a finding.
func (v *validation) run() {
	defer func() {
		if recover() != nil {
			v.internal()
		}
	}()
	if v.engine == nil {
		v.internal()
		return
	}
	if v.form.fits(v.root) {
		return
	}
	switch err := v.engine.Validate(v.root).(type) {
	case nil:
	case *jsonschema.ValidationError:
		v.leaves(err)
		for pointer := range v.cut {
			v.unchecked(pointer, 0)
		}
	default:
		v.internal()
	}
}

func (v *validation) internal() {
	v.list.Ask(checkInternal, "") // what has no answer is a fault of the library
}

// findings returns what was found in order, each thing once.
func (v *validation) findings() []moistheat.Finding {
	all := v.list.Findings
	slices.SortFunc(all, moistheat.Finding.Compare)
	all = slices.CompactFunc(all, func(f, g moistheat.Finding) bool { return f.Compare(g) == 0 })
	if more := len(all) - maxFindings; more > 0 {
		v.list.Findings = slices.Clip(all[:maxFindings])
		v.list.Ask(findingsOmitted, "").Broken().With("count", strconv.Itoa(more))
		all = v.list.Findings
		slices.SortFunc(all, moistheat.Finding.Compare)
	}
	return all
}

// leaves enters the causes that have no causes themselves; the others only say that
// something below them failed.
func (v *validation) leaves(e *jsonschema.ValidationError) {
	for _, cause := range e.Causes {
		v.leaves(cause)
	}
	if len(e.Causes) > 0 {
		return
	}
	pointer := unescapeURL(e.InstanceLocation)
	_, place, _ := strings.Cut(e.AbsoluteKeywordLocation, "#")
	place = unescapeURL(place)
	if _, keyword := cut(place); keyword == elements { // the words of elementsSchema
		count, _ := strconv.Atoi(e.Message)
		v.unchecked(pointer, count)
		return
	}
	at := fault{pointer: pointer, place: v.published(place)}
	at.asked, _ = lookup(v.doc, at.place)
	at.got, _ = lookup(v.root, at.pointer)
	v.explain(at)
}

// unchecked enters that the rest of a list was not checked: so many of the elements
// that the engine has, and those that it never got.
func (v *validation) unchecked(pointer string, count int) {
	count += v.cut[pointer]
	delete(v.cut, pointer)
	v.list.Ask(itemsUnchecked, pointer).Open(moistheat.NotYet).Table(v.id).With("count", strconv.Itoa(count))
}

// fault is one cause in the terms of the document and its schema.
type fault struct {
	pointer string // to the value in the document
	got     any    // the value
	place   string // pointer to the keyword in the schema
	asked   any    // the value of the keyword
}

// explain turns a fault into findings. What they say comes from the schema and the
// document, never from the engine.
func (v *validation) explain(at fault) {
	above, keyword := cut(at.place)
	rule, known := ruleFor(keyword)
	switch {
	case at.asked == false && keyword != "additionalProperties": // a member that nothing satisfies
		_, name := cut(at.pointer)
		v.broken(memberUnknown, at.pointer, at).With("member", text(unescape(name))).
			Say("hint", lang.Say("form-alone: : it does not go with the others"))
		return
	case !known:
		v.internal()
		return
	}
	switch keyword {
	case "required":
		object, _ := at.got.(map[string]any)
		for _, name := range words(at.asked) {
			if _, has := object[name]; !has {
				v.broken(rule, at.pointer, at).With("member", text(name))
			}
		}
	case "additionalProperties":
		object, _ := at.got.(map[string]any)
		properties, _ := lookup(v.doc, above+"/properties")
		known, _ := properties.(map[string]any)
		names := slices.Sorted(maps.Keys(known))
		for name := range object {
			if _, has := known[name]; !has {
				v.broken(rule, at.pointer+"/"+guard.Escape(name), at).With("member", text(name)).Say("hint", hint(name, names))
			}
		}
	case "type":
		want, _ := at.asked.(string)
		got := sorts(typeOf(at.got))
		if n, ok := at.got.(json.Number); ok && want == "integer" {
			got = lang.Data(n.String())
		}
		v.broken(rule, at.pointer, at).Say("want", sorts(want)).Say("got", got)
	case "enum":
		given, _ := at.got.(string)
		list := words(at.asked)
		v.broken(rule, at.pointer, at).Say("want", listed(list)).Say("got", show(at.got)).Say("hint", hint(given, list))
	case "format", "pattern":
		node, _ := lookup(v.doc, above)
		v.broken(rule, at.pointer, at).Say("want", described(node)).Say("got", show(at.got))
	default:
		v.broken(rule, at.pointer, at).Say("want", bound(keyword, at.asked)).Say("got", show(at.got))
	}
}

// broken answers that a fault breaks a rule. An element of a column gets back the index
// it has in the document.
func (v *validation) broken(r ask.ID, pointer string, at fault) ask.Question {
	if above, last := cut(pointer); len(v.columns) > 0 {
		if c := v.columns[above]; c != nil {
			if i, err := strconv.Atoi(last); err == nil && i < len(c.at) {
				pointer = above + "/" + strconv.Itoa(c.at[i])
			}
			if c.rest > 0 {
				v.unchecked(above, c.rest)
				c.rest = 0
			}
		}
	}
	return v.list.Ask(r, pointer).Broken().Table(v.id + "#" + at.place)
}

// keywordRules has the rule that each keyword of the schemas stands for.
var keywordRules = [...]struct {
	keyword string
	rule    ask.ID
}{
	{"required", requiredMissing}, {"additionalProperties", memberUnknown}, {"type", valueType}, {"enum", valueEnum},
	{"const", valueConst}, {"format", valueFormat}, {"pattern", valueFormat}, {"minLength", valueLength},
	{"maxLength", valueLength}, {"minimum", valueRange}, {"maximum", valueRange}, {"minItems", itemsCount},
	{"maxItems", itemsCount},
}

// ruleFor returns the rule of a keyword.
func ruleFor(keyword string) (rule ask.ID, ok bool) {
	for _, r := range keywordRules {
		if r.keyword == keyword {
			return r.rule, true
		}
	}
	return 0, false
}
