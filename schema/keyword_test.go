package schema_test

import (
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/schema"
)

// keywordMutants makes, for every keyword of a schema, documents of few members that it
// refuses, and for every bound one that it just lets pass. A definition is visited
// once, where it is met first.
type keywordMutants struct {
	root  object
	seen  map[string]bool
	yield func(m keywordMutant)
}

type keywordMutant struct {
	place   string // of the keyword in the schema
	refused bool
	doc     any
}

// each visits the schema at a place; wrap makes a document of a value for it.
func (k *keywordMutants) each(node any, place string, wrap func(any) any) {
	if name, isRef := ref(node); isRef {
		k.each(k.root["$defs"].(object)[name], "/$defs/"+name, wrap)
		return
	}
	n, ok := node.(object)
	if !ok || k.seen[place] {
		return
	}
	k.seen[place] = true
	bad := func(keyword string, v any) { k.yield(keywordMutant{place + "/" + keyword, true, wrap(v)}) }
	good := func(keyword string, v any) { k.yield(keywordMutant{place + "/" + keyword, false, wrap(v)}) }
	number := func(keyword string) int64 {
		v, _ := n[keyword].(json.Number).Int64()
		return v
	}
	whole := func(v int64) json.Number { return json.Number(strconv.FormatInt(v, 10)) }
	for _, keyword := range slices.Sorted(maps.Keys(n)) {
		switch keyword {
		case "type":
			for _, v := range []any{nil, true, "text", json.Number("1.5"), []any{}, object{}} {
				if kind := jsonType(v); kind != n["type"] {
					bad(keyword, v)
				}
			}
			if n["type"] == "integer" {
				good(keyword, json.Number("10e-1"))
			}
		case "const":
			bad(keyword, n["const"].(string)+"0")
		case "enum":
			bad(keyword, "no such word")
			for _, w := range words(n["enum"]) {
				good(keyword, w)
			}
		case "pattern":
			bad(keyword, "#")
		case "format":
			bad(keyword, map[any]string{"date": "2026-02-30", "date-time": "2026-02-30T08:15:00Z"}[n["format"]])
			good(keyword, map[any]string{"date": "2024-02-29", "date-time": "2024-02-29T08:15:00Z"}[n["format"]])
		case "minLength":
			bad(keyword, "")
		case "maxLength":
			bad(keyword, strings.Repeat("x", int(number(keyword))+1))
			if n["pattern"] == nil {
				good(keyword, strings.Repeat("x", int(number(keyword))))
			}
		case "minimum":
			bad(keyword, whole(number(keyword)-1))
			good(keyword, whole(number(keyword)))
		case "maximum":
			bad(keyword, whole(number(keyword)+1))
			good(keyword, whole(number(keyword)))
		case "minItems":
			bad(keyword, []any{})
		case "maxItems":
			bad(keyword, slices.Repeat([]any{minimal(k.root, n["items"])}, int(number(keyword))+1))
			good(keyword, slices.Repeat([]any{minimal(k.root, n["items"])}, int(number(keyword))))
		case "items":
			k.each(n["items"], place+"/items", func(v any) any { return wrap([]any{v}) })
		}
	}
	if n["type"] == "object" {
		k.members(n, place, minimal(k.root, n).(object), wrap)
	}
	choice, _ := n["oneOf"].([]any)
	for _, c := range choice {
		k.each(c, place, wrap)
	}
	conditions, _ := n["allOf"].([]any)
	for i, c := range conditions {
		k.condition(n, c.(object), place+"/allOf/"+strconv.Itoa(i), wrap)
	}
	if n["if"] != nil {
		k.condition(n, n, place, wrap)
	}
}

// members visits the keywords of an object, beside those that base holds.
func (k *keywordMutants) members(n object, place string, base object, wrap func(any) any) {
	for _, name := range words(n["required"]) {
		less := maps.Clone(base)
		delete(less, name)
		k.yield(keywordMutant{place + "/required", true, wrap(less)})
	}
	with := func(name string) func(any) any {
		return func(v any) any {
			more := maps.Clone(base)
			more[name] = v
			return wrap(more)
		}
	}
	switch more := n["additionalProperties"].(type) {
	case bool:
		k.yield(keywordMutant{place + "/additionalProperties", true, with("zz")(true)})
	case object:
		k.each(more, place+"/additionalProperties", with("zz"))
	}
	properties, _ := n["properties"].(object)
	for _, name := range slices.Sorted(maps.Keys(properties)) {
		if properties[name] == false {
			k.yield(keywordMutant{place + "/properties/" + name, true, with(name)("text")})
			continue
		}
		k.each(properties[name], place+"/properties/"+name, with(name))
	}
}

// condition visits what a schema asks where its if holds, and where it does not.
func (k *keywordMutants) condition(n, c object, place string, wrap func(any) any) {
	asked, _ := c["if"].(object)
	holds, fails := object{}, object{}
	if n["type"] == "object" {
		holds, fails = minimal(k.root, n).(object), minimal(k.root, n).(object)
	}
	tests, _ := asked["properties"].(object)
	for name, test := range tests {
		known := resolve(k.root, n["properties"].(object)[name])
		for _, w := range words(known["enum"]) {
			list := words(test.(object)["enum"])
			if test.(object)["const"] == w || slices.Contains(list, w) {
				holds[name] = w
			} else {
				fails[name] = w
			}
		}
		if known["type"] == "boolean" {
			holds[name] = test.(object)["const"]
			fails[name] = test.(object)["const"] != true
		}
	}
	for _, name := range words(asked["required"]) {
		if holds[name] == nil {
			holds[name] = full(k.root, n["properties"].(object)[name])
		}
		if tests[name] == nil {
			delete(fails, name)
		}
	}
	for name, base := range map[string]object{"then": holds, "else": fails} {
		branch, _ := c[name].(object)
		if branch == nil {
			continue
		}
		if branch["required"] != nil || branch["properties"] != nil {
			k.members(branch, place+"/"+name, base, wrap)
			continue
		}
		k.each(branch, place+"/"+name, wrap)
	}
}

func jsonType(v any) string {
	switch v.(type) {
	case nil:
		return "null"
	case bool:
		return "boolean"
	case string:
		return "string"
	case []any:
		return "array"
	case object:
		return "object"
	}
	return "number"
}

func eachKeyword(root object, yield func(m keywordMutant)) {
	k := &keywordMutants{root, map[string]bool{}, yield}
	k.each(root, "", func(v any) any { return v })
}

// places returns the places of all keywords that can refuse a value.
func places(v any, at string, to map[string]bool) {
	n, ok := v.(object)
	if !ok {
		return
	}
	for key, w := range n {
		switch key {
		case "properties", "$defs":
			for name, sub := range w.(object) {
				if sub == false {
					to[at+"/"+key+"/"+name] = true
				}
				places(sub, at+"/"+key+"/"+name, to)
			}
		case "additionalProperties":
			if w == false {
				to[at+"/"+key] = true
			}
			places(w, at+"/"+key, to)
		case "items", "then", "else":
			places(w, at+"/"+key, to)
		case "allOf":
			for i, sub := range w.([]any) {
				places(sub, at+"/"+key+"/"+strconv.Itoa(i), to)
			}
		default:
			if schema.RuleIDFor(key) != "" {
				to[at+"/"+key] = true
			}
		}
	}
}

// Every keyword of every schema refuses something, just where it stands, and its
// bounds let pass what lies on them. The strict readers say the same.
func TestEveryKeyword(t *testing.T) {
	thorough := testrun.Full()
	for _, kind := range schema.Kinds() {
		if kind == schema.Line && !thorough {
			continue // copies of what the other kinds hold
		}
		t.Run(kind.String(), func(t *testing.T) {
			root := published(t, kind)
			id := root["$id"].(string)
			left := map[string]bool{}
			places(root, "", left)
			total, documents := len(left), 0
			eachKeyword(root, func(m keywordMutant) {
				if documents++; !thorough && !left[m.place] && documents%48 > 0 {
					return
				}
				data := write(t, m.doc)
				if len(data) > 1<<17 && !thorough {
					delete(left, m.place) // a long list, for maxItems
					return
				}
				if m.place == "/$defs/facilityPolicy/type" && strings.Contains(string(data), `"policy":"text"`) {
					return // a text there is the name of a policy
				}
				_, findings, err := fits(t, kind, data)
				hit := errors.Is(err, moistheat.ErrLimit) && strings.HasSuffix(m.place, "/maxLength")
				require.True(t, err == nil || hit, "%s: %v", m.place, err)
				keyword := m.place[strings.LastIndexByte(m.place, '/')+1:]
				for _, f := range findings {
					// One rule has one finding at a value: pattern and format of a text, a
					// number with what the limit that it belongs to asks of it, an amount of
					// water with what its determinand asks, and a line with what its format asks.
					hit = hit || f.Table == id+"#"+m.place ||
						m.refused && kind == schema.PackagingFigures && keyword == "type" && strings.HasSuffix(f.Table, "/type") ||
						f.Table == id+"#"+strings.Replace(m.place, "/pattern", "/format", 1) ||
						m.refused && kind == schema.WaterLimits && strings.HasPrefix(f.Pointer, "/sections/0/rows/0/m") && strings.HasSuffix(f.Table, "/"+keyword) ||
						m.refused && kind == schema.Line && (f.Pointer == "" || f.Pointer == "/format")
				}
				if !assert.Equal(t, m.refused, hit, "%s: %.300s", m.place, data) {
					t.Logf("%s", messages(findings))
				}
				if m.refused {
					delete(left, m.place)
				}
				if thorough && slices.Contains(readable, kind) { // else a sample, in TestMutants
					agree(t, kind, m.place, data)
				}
			})
			assert.Empty(t, slices.Sorted(maps.Keys(left)), "no mutant shows these")
			t.Logf("%d keywords, %d documents", total, documents)
		})
	}
}
