package schema_test

import (
	"cmp"
	"encoding"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/strictjson"
	wordlist "example.com/moistheat/internal/words"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/load/proof"
	"example.com/moistheat/packaging"
	"example.com/moistheat/schema"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

// comparison holds a Go type against a schema, both ways.
type comparison struct {
	t    *testing.T
	root object
	seen map[string]bool
	// whole says that the bounds of the types are all that the reader asks. The readers
	// of tables and policies ask for more, in code.
	whole   bool
	decoded bool // a document that is only read, not written by the library, so that the decoder's bounds are all
}

var none = strictjson.BoundsOf(reflect.StructField{})

func (c *comparison) same(typ reflect.Type, node any, b strictjson.Bounds, at string) {
	n := resolve(c.root, node)
	key := fmt.Sprint(typ, b, string(write(c.t, n)))
	if c.seen[key] {
		return
	}
	c.seen[key] = true
	kind := func(want string) {
		assert.Equal(c.t, want, n["type"], at)
	}
	isText := reflect.PointerTo(typ).Implements(reflect.TypeFor[encoding.TextUnmarshaler]())
	switch {
	case typ == reflect.TypeFor[time.Time]():
		kind("string")
		assert.Equal(c.t, "date-time", n["format"], at)
	case typ == reflect.TypeFor[moistheat.Answer]():
		kind("boolean")
	case typ == reflect.TypeFor[moistheat.Params]():
		kind("object")
		assert.Equal(c.t, "Details", n["title"], at)
	case typ == reflect.TypeFor[map[string]string]():
		kind("object")
		assert.Equal(c.t, "Texts", n["title"], at)
	case typ == reflect.TypeFor[moistheat.List[string]]():
		kind("array")
		c.same(reflect.TypeFor[string](), n["items"], none, at+"/*")
	case typ == reflect.TypeFor[json.RawMessage](): // what the type leaves open
		assert.Contains(c.t, []any{"Anything", "Choice of policy"}, n["title"], at)
	case typ.Name() == "amount": // a quantity of the dimension that another member decides
		kind("object")
		assert.Equal(c.t, []string{"value", "unit"}, words(n["required"]), at)
		assert.Len(c.t, n["properties"], 2, at)
	case typ == reflect.TypeFor[units.Value]():
		dimension, _ := n["properties"].(object)["dimension"].(object)
		assert.Equal(c.t, []string{units.DimTemperatureDifference.String(), units.DimAbsolutePressure.String(), units.DimGaugePressure.String(),
			units.DimHardness.String()},
			words(dimension["enum"]), at)
		rest := maps.Clone(n)
		rest["properties"] = maps.Clone(n["properties"].(object))
		delete(rest["properties"].(object), "dimension")
		c.quantity(rest, allCodes(), true, at)
	case typ.PkgPath() == reflect.TypeFor[units.Value]().PkgPath() && strings.HasPrefix(typ.Name(), "Quantity["):
		unit, ok := typ.FieldByName("unit")
		require.True(c.t, ok)
		codes := wordsOf(c.t, unit.Type)
		q := reflect.New(typ)
		require.NoError(c.t, json.Unmarshal([]byte(`{"value":1,"unit":"`+codes[0]+`"}`), q.Interface()))
		c.quantity(n, codes, b.Negative(q.Interface().(interface{ Value() units.Value }).Value().Dimension()), at)
	case isText && typ.Kind() == reflect.Uint8:
		kind("string")
		assert.ElementsMatch(c.t, wordsOf(c.t, typ), words(n["enum"]), at)
	case typ == reflect.TypeFor[calendar.Period]():
		kind("string")
		assert.NotEmpty(c.t, n["pattern"], "%s: %s", at, typ)
	case typ == reflect.TypeFor[moistheat.Language](), typ == reflect.TypeFor[moistheat.Detail]():
		kind("string")
	case isText: // a date
		kind("string")
		assert.Equal(c.t, "date", n["format"], "%s: %s", at, typ)
	case typ == reflect.TypeFor[[]float64]():
		kind("array")
		each := object{"type": "number"}
		if b.Sign == "none" {
			each["minimum"] = json.Number("0")
		}
		assert.Equal(c.t, each, n["items"], at)
		assert.NotContains(c.t, n, "maxItems", at)
	case typ.Kind() == reflect.Slice:
		kind("array")
		if c.decoded || b.MaxItems != strictjson.MaxItems {
			assert.Equal(c.t, json.Number(fmt.Sprint(b.MaxItems)), n["maxItems"], at)
		}
		c.same(typ.Elem(), n["items"], none, at+"/*")
	case typ.Kind() == reflect.Pointer:
		c.same(typ.Elem(), node, none, at)
	case typ == reflect.TypeFor[moistheat.List[moistheat.Hazard]]():
		kind("array")
		c.same(reflect.TypeFor[moistheat.Hazard](), n["items"], none, at+"/*")
	case typ == reflect.TypeFor[moistheat.Sources]():
		kind("array")
		c.same(reflect.TypeFor[moistheat.Source](), n["items"], none, at+"/*")
	case typ == reflect.TypeFor[moistheat.Reason]():
		kind("string")
		assert.Len(c.t, words(n["enum"]), 7, at)
	case typ.Kind() == reflect.String && strings.HasSuffix(at, "/patch/*/op"): // text that is read later
		assert.Equal(c.t, []string{"add", "replace", "remove"}, words(n["enum"]), at)
	case typ.Kind() == reflect.String && strings.HasSuffix(at, "/staged/between"): // the reader asks for the words
		assert.Equal(c.t, []string{"lower step", "line"}, words(n["enum"]), at)
	case typ.Kind() == reflect.String && wordlist.Of(typ) != nil:
		kind("string")
		assert.ElementsMatch(c.t, wordlist.Of(typ), words(n["enum"]), at)
	case typ.Kind() == reflect.String:
		kind("string")
		assert.NotContains(c.t, n, "enum", at)
		if b.Is != "" {
			assert.Equal(c.t, b.Is, n["const"], at)
		}
		if c.whole || b.MinLength > 0 {
			least, _ := n["minLength"].(json.Number)
			assert.Equal(c.t, strconv.Itoa(b.MinLength), cmp.Or(string(least), "0"), at)
		}
	case typ.Kind() == reflect.Float64:
		kind("number")
	case typ.Kind() == reflect.Bool:
		kind("boolean")
	case typ.Kind() == reflect.Int:
		kind("integer")
		assert.Equal(c.t, json.Number(fmt.Sprint(b.Min)), n["minimum"], at)
		assert.Equal(c.t, json.Number(fmt.Sprint(b.Max)), n["maximum"], at)
	case typ.Kind() == reflect.Struct:
		kind("object")
		c.object(typ, n, at)
	default:
		c.t.Errorf("%s: nothing is known about a %s", at, typ)
	}
}

func (c *comparison) quantity(n object, codes []string, negative bool, at string) {
	assert.Equal(c.t, "object", n["type"], at)
	assert.ElementsMatch(c.t, []string{"value", "unit"}, words(n["required"]), at)
	properties, _ := n["properties"].(object)
	require.Len(c.t, properties, 2, at)
	value := resolve(c.root, properties["value"])
	assert.Equal(c.t, "number", value["type"], at)
	if negative {
		assert.NotContains(c.t, value, "minimum", at)
	} else {
		assert.Equal(c.t, json.Number("0"), value["minimum"], at)
	}
	assert.Equal(c.t, codes, words(resolve(c.root, properties["unit"])["enum"]), at)
}

// object compares member by member. The convention of the strict decoder: a member
// with an option such as omitzero may be absent, every other one is required.
func (c *comparison) object(typ reflect.Type, n object, at string) {
	assert.Equal(c.t, false, n["additionalProperties"], at)
	properties, _ := n["properties"].(object)
	var names, required []string
	for _, f := range reflect.VisibleFields(typ) {
		tag, tagged := f.Tag.Lookup("json")
		name, options, _ := strings.Cut(tag, ",")
		if !f.IsExported() || f.Anonymous || !tagged || name == "-" {
			continue
		}
		names = append(names, name)
		absent := typ == reflect.TypeFor[cycle.Requirement]() && name == "source" // where there is none
		if options == "" && !absent {
			required = append(required, name)
		}
		if member, has := properties[name]; assert.True(c.t, has, "%s: the schema has no member %s of %s", at, name, typ) {
			c.same(f.Type, member, strictjson.BoundsOf(f), at+"/"+name)
		}
	}
	for name := range properties {
		assert.Contains(c.t, names, name, "%s: no field of %s has this member", at, typ)
	}
	assert.ElementsMatch(c.t, required, words(n["required"]), "%s: %s", at, typ)
}

// wordsOf returns what values of a type are written as: the words of a list or the
// codes of units.
func wordsOf(t *testing.T, typ reflect.Type) []string {
	var out []string
	for i := range 255 {
		v := reflect.New(typ).Elem()
		v.SetUint(uint64(i + 1))
		text, err := v.Interface().(encoding.TextMarshaler).MarshalText()
		if err != nil || len(text) == 0 {
			break
		}
		out = append(out, string(text))
	}
	require.NotEmpty(t, out, typ)
	return out
}

func allCodes() []string {
	var out []string
	for d := units.Dimension(1); d <= units.DimFormazinTurbidity; d++ {
		for _, code := range d.Codes() {
			if !slices.Contains(out, code) {
				out = append(out, code)
			}
		}
	}
	return out
}

// field returns the type of an unexported field: the form of a document that the
// package behind it keeps to itself.
func field[T any](t *testing.T, name string) reflect.Type {
	f, ok := reflect.TypeFor[T]().FieldByName(name)
	require.True(t, ok)
	return f.Type
}

func TestTypesAndSchemas(t *testing.T) {
	type figuresFile struct {
		Format  string             `json:"format"`
		ID      string             `json:"id"`
		Title   string             `json:"title"`
		Figures []packaging.Figure `json:"figures"`
	}
	for kind, typ := range map[schema.Kind]reflect.Type{
		schema.Record:           reflect.TypeFor[load.Record](),
		schema.Policy:           field[load.Policy](t, "doc"),
		schema.CycleTable:       field[cycle.Table](t, "f"),
		schema.PackagingFigures: reflect.TypeFor[figuresFile](),
		schema.Event:            reflect.TypeFor[history.Event](),
		schema.Stored:           reflect.TypeFor[history.StoredPack](),
		schema.Cleaning:         reflect.TypeFor[cleaning.Batch](),
		schema.Known:            reflect.TypeFor[load.Known](),
		schema.Catalogue:        reflect.TypeFor[load.Catalogue](),
		schema.Log:              reflect.TypeFor[proof.Line](),
		schema.Proof:            reflect.TypeFor[proof.Proof](),
		schema.Language:         reflect.TypeFor[lang.Catalogue](),
		schema.Amendment:        reflect.TypeFor[history.Amendment](),
		schema.WaterLimits:      field[water.Limits](t, "doc"),
		schema.Vectors:          reflect.TypeFor[loadtest.File](),
	} {
		t.Run(kind.String(), func(t *testing.T) {
			root := published(t, kind)
			whole := slices.Contains([]schema.Kind{schema.Record, schema.Event, schema.Stored, schema.Known, schema.Catalogue,
				schema.Log, schema.Proof},
				kind)
			c := &comparison{t, root, map[string]bool{}, whole, whole}
			c.same(typ, root, none, "")
		})
	}
}

// A line is one of the documents that have their own schemas, word for word.
func TestLineIsAChoice(t *testing.T) {
	root := published(t, schema.Line)
	whole := func(kind schema.Kind) object {
		doc := published(t, kind)
		for _, key := range []string{"$schema", "$id", "$defs", "examples"} {
			delete(doc, key)
		}
		return doc
	}
	var formats []any
	for i, kind := range []schema.Kind{schema.Record, schema.Event, schema.Stored, schema.Cleaning, schema.Amendment} {
		want := whole(kind)
		assert.Equal(t, want, resolve(root, root["oneOf"].([]any)[i]), kind)
		formats = append(formats, want["properties"].(object)["format"].(object)["const"])
	}
	assert.Len(t, root["oneOf"], len(formats))
	assert.Equal(t, formats, root["properties"].(object)["format"].(object)["enum"])
	assert.Equal(t, []any{"format"}, root["required"])

	vectors := published(t, schema.Vectors)
	assert.Equal(t, whole(schema.Policy), resolve(vectors, vectors["$defs"].(object)["policyChoice"].(object)["else"]))
	assert.Equal(t, whole(schema.Known), vectors["$defs"].(object)["knownFacts"])
}

// A report is written in short: a finding leaves out what its rule says, and carries its
// message where that is another; the questions follow from the findings.
func TestReportTypeAndSchema(t *testing.T) {
	root := published(t, schema.Report)
	defs := root["$defs"].(object)
	finding := defs["finding"].(object)
	members := finding["properties"].(object)
	require.Contains(t, members, "message")
	delete(members, "message")
	members["severity"], members["own"] = object{"$ref": "#/$defs/severity"}, object{"type": "boolean"}
	finding["required"] = append(finding["required"].([]any), "severity")
	assert.Equal(t, object{"$ref": "#/$defs/count"}, members["sources"].(object)["items"], "places")
	cited := defs["citedSource"].(object)["properties"].(object) // which has its document among those of the report
	documents := root["properties"].(object)["documents"].(object)
	assert.Equal(t, object{"$ref": "#/$defs/citedDocument"}, documents["items"])
	about := defs["citedDocument"].(object)["properties"].(object)
	cited["document"], cited["edition"] = about["title"], about["edition"]
	delete(root["properties"].(object), "documents")
	source := maps.Clone(defs["citedSource"].(object))
	source["properties"] = maps.Clone(source["properties"].(object))
	delete(source["properties"].(object), "own")
	defs["source"] = source
	members["sources"] = object{"type": "array", "items": object{"$ref": "#/$defs/source"}}
	c := &comparison{t, root, map[string]bool{}, true, false}
	c.same(reflect.TypeFor[[]load.Question](), root["properties"].(object)["questions"], none, "/questions")
	delete(root["properties"].(object), "questions")
	root["required"] = slices.DeleteFunc(root["required"].([]any), func(v any) bool { return v == "questions" || v == "documents" })
	c.same(reflect.TypeFor[load.Report](), root, none, "")
}

// The library's own files of rules are documents of the list that is published.
func TestRuleTypeAndSchema(t *testing.T) {
	root := published(t, schema.RuleList)
	rule := root["$defs"].(object)["rule"].(object)
	delete(rule["properties"].(object), "inForce") // which a policy says
	c := &comparison{t, root, map[string]bool{}, true, false}
	c.same(reflect.TypeFor[moistheat.Rule](), rule, none, "")
	for _, file := range []string{"../packaging", "../cycle", "../water", "../load", "../load/cleaning",
		"../load/internal/rules", "."} {
		data, err := os.ReadFile(file + "/rules.json")
		require.NoError(t, err)
		found, err := schema.Validate(schema.RuleList, data)
		require.NoError(t, err)
		assert.Empty(t, found, file)
	}
}

// What the library answers beside a report is written as its types say.
func TestAnswersAndSchemas(t *testing.T) {
	for kind, typ := range map[schema.Kind]reflect.Type{
		schema.Finding: reflect.TypeFor[moistheat.Finding](), schema.Due: reflect.TypeFor[history.Due](),
		schema.Suspect: reflect.TypeFor[history.SuspectLoad](), schema.Status: reflect.TypeFor[history.Status](),
		schema.Procedure: reflect.TypeFor[history.Procedure](), schema.Choice: reflect.TypeFor[load.CycleOption](),
		schema.Drift: reflect.TypeFor[history.Drift](), schema.Task: reflect.TypeFor[history.Task](),
		schema.Opening: reflect.TypeFor[history.Opening](),
		schema.Chain:   reflect.TypeFor[history.Chain](), schema.ItemUse: reflect.TypeFor[history.ItemUse](),
	} {
		root := published(t, kind)
		if kind == schema.Opening { // its findings are written with their messages
			said := root["$defs"].(object)["saidFinding"].(object)
			require.Contains(t, said["properties"], "message")
			require.Contains(t, said["required"], "message")
			delete(said["properties"].(object), "message")
			said["required"] = slices.DeleteFunc(said["required"].([]any), func(v any) bool { return v == "message" })
		}
		c := &comparison{t, root, map[string]bool{}, true, false}
		c.same(typ, root, none, kind.String())
	}
}

func TestFormatsAreThoseOfTheReaders(t *testing.T) {
	for kind, want := range map[schema.Kind]string{
		schema.Record: load.Format, schema.Report: load.ReportFormat, schema.Policy: load.PolicyFormat, schema.CycleTable: cycle.TableFormat,
		schema.Event: history.EventFormat, schema.Stored: history.StoredFormat,
		schema.Cleaning: cleaning.Format,
		schema.Known:    load.KnownFormat, schema.Amendment: history.AmendmentFormat, schema.RuleList: ask.RulesFormat,
		schema.Catalogue: load.CatalogueFormat, schema.Log: proof.LogFormat, schema.Proof: proof.Format,
		schema.Language: lang.Format, schema.Vectors: loadtest.VectorsFormat,
	} {
		assert.Equal(t, want, published(t, kind)["properties"].(object)["format"].(object)["const"])
	}
	for _, kind := range []schema.Kind{schema.PackagingFigures, schema.WaterLimits} {
		for _, data := range builtIn(t, kind) {
			var doc struct{ Format string }
			require.NoError(t, json.Unmarshal(data, &doc))
			assert.Equal(t, published(t, kind)["properties"].(object)["format"].(object)["const"], doc.Format)
		}
	}
}

// What bounds a list is one number in the decoder and in the schemas.
func TestListsAreBoundedAlike(t *testing.T) {
	for _, kind := range readable {
		if kind == schema.Stored || kind == schema.Log { // they have no lists
			assert.NotContains(t, string(schema.Source(kind)), "maxItems")
			continue
		}
		want := strictjson.MaxItems
		if kind == schema.Event {
			want = 64 // what a qualification covers
		}
		assert.Equal(t, want, schema.Longest(kind), kind)
	}
}
