package schema_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/schema"
	"example.com/moistheat/units"
)

const least = `{"format":"moistheat.load/1","id":"1","load":{},"sterilizer":{},"packs":[]}`

// with returns the least record with further members.
func with(members string) string { return strings.TrimSuffix(least, "}") + "," + members + "}" }

type found struct {
	Pointer, Rule, Message string
}

func messages(findings []moistheat.Finding) []found {
	rules := map[string]moistheat.Rule{}
	for _, r := range schema.Rules() {
		rules[r.ID] = r
	}
	var out []found
	for _, f := range findings {
		out = append(out, found{f.Pointer, f.Rule, rules[f.Rule].Message(f)})
	}
	return out
}

func TestFindings(t *testing.T) {
	pack := func(members string) string {
		return strings.Replace(least, `"packs":[]`, `"packs":[{"id":"P1","barrier":"wrap","items":[],`+members+`}]`, 1)
	}
	tests := []struct {
		name string
		kind schema.Kind
		data string
		want []found
	}{
		{"nothing wrong", schema.Record, least, nil},
		{"not an object", schema.Record, `[]`, []found{{"", "schema.value.type", "This must be an object; it is a list."}}},
		{"member missing", schema.Record, strings.Replace(least, `"id":"1",`, "", 1), []found{
			{"", "schema.required.missing", `The member "id" is missing here.`}}},
		{"several missing", schema.Record, `{"format":"moistheat.load/1","packs":[]}`, []found{
			{"", "schema.required.missing", `The member "id" is missing here.`},
			{"", "schema.required.missing", `The member "load" is missing here.`},
			{"", "schema.required.missing", `The member "sterilizer" is missing here.`}}},
		{"unknown member", schema.Record, with(`"a/b~c":1`), []found{
			{"/a~1b~0c", "schema.member.unknown", `The format has no member "a/b~c" at this place.`}}},
		{"member in another case", schema.Record, with(`"Site":{},"release":{"approved_by":"x","emergency":{"approved_by":"x","approvedBy":"x","reason":""}}`), []found{
			{"/Site", "schema.member.unknown", `The format has no member "Site" at this place (it is written "site").`},
			{"/release/approved_by", "schema.member.unknown", `The format has no member "approved_by" at this place.`},
			{"/release/emergency/approved_by", "schema.member.unknown", `The format has no member "approved_by" at this place (it is written "approvedBy").`}}},
		{"member that is much like another", schema.Record, with(`"pakcs":1`), []found{
			{"/pakcs", "schema.member.unknown",
				`The format has no member "pakcs" at this place (did you mean "packs"?).`}}},
		{"word that is much like another", schema.Record, pack(`"seal":{"method":"heta"}`), []found{
			{"/packs/0/seal/method", "schema.value.enum", `"heta" is not in the list (did you mean "heat"?); ` +
				`the list is heat, self-adhesive, tape, lock, fastener, other.`}}},
		{"null", schema.Record, with(`"cycle":null`), []found{
			{"/cycle", "schema.value.type", "This must be an object; it is null, which no format accepts."}}},
		{"number in quotes", schema.Record, pack(`"mass":{"value":"5.4","unit":"kg"}`), []found{
			{"/packs/0/mass/value", "schema.value.type", "This must be a number; it is text in quotes."}}},
		{"fraction", schema.Record, pack(`"layers":1.5`), []found{
			{"/packs/0/layers", "schema.value.type", "This must be a whole number; it is 1.5."}}},
		{"whole number written otherwise", schema.Record, pack(`"layers":20e-1`), nil},
		{"unit slip", schema.Record, with(`"site":{"barometer":{"value":14.7,"unit":"[PSI]"}}`), []found{
			{"/site/barometer/unit", "schema.value.enum", `"[PSI]" is not in the list (it is written "[psi]"); the list is Pa, hPa, kPa, MPa, mbar, bar, [psi], atm, att, mm[Hg], [in_i'Hg], [in_i'H2O].`}}},
		{"long list of words", schema.Record, pack(`"expires":"2026-03-09","seal":{"method":"glue"}`), []found{
			{"/packs/0/seal/method", "schema.value.enum", `"glue" is not in the list; the list is heat, self-adhesive, tape, lock, fastener, other.`}}},
		{"other version", schema.Record, strings.Replace(least, "load/1", "load/2", 1), []found{
			{"/format", "schema.value.const", `This must be "moistheat.load/1"; it is "moistheat.load/2".`}}},
		{"no such day", schema.Record, pack(`"expires":"2026-02-29"`), []found{
			{"/packs/0/expires", "schema.value.format", `"2026-02-29" is not a day of the calendar such as 2026-03-09.`}}},
		{"instant without offset", schema.Record, with(`"unloading":{"time":"2026-03-09T08:15:00"}`), []found{
			{"/unloading/time", "schema.value.format", `"2026-03-09T08:15:00" is not a date and time with offset such as 2026-03-09T08:15:00+01:00.`}}},
		{"empty text where a document is named", schema.PackagingFigures, `{"format":"moistheat.packaging-figures/1","id":"x","title":"","figures":[]}`, []found{
			{"/figures", "schema.items.count", "This list must have 1 or more entries."},
			{"/title", "schema.value.length", "This text must have 1 or more characters."}}},
		{"member that does not go with another", schema.PackagingFigures, `{"format":"moistheat.packaging-figures/1","id":"X","title":"t","figures":[
			{"row":"a","limit":"greatest fill","openEnds":2,"mass":{"value":1,"unit":"kg"},"source":{"document":"d","basis":"facility"}}]}`, []found{
			{"/figures/0", "schema.required.missing", `The member "ratio" is missing here.`},
			{"/figures/0/mass", "schema.member.unknown", `The format has no member "mass" at this place: it does not go with the others.`},
			{"/figures/0/openEnds", "schema.value.range", "This must be 0 or less; it is 2."},
			{"/id", "schema.value.format", `"X" is not a name such as own-table.`}}},
		{"odd element of a column", schema.Record, with(`"cycle":{"trace":{"time":{"unit":"s","values":[0,1,"2",3,null,[5],{"a":[6]},true]},"temperatures":[]}}`), []found{
			{"/cycle/trace/time/values/2", "schema.value.type", "This must be a number; it is text in quotes."},
			{"/cycle/trace/time/values/4", "schema.value.type", "This must be a number; it is null, which no format accepts."},
			{"/cycle/trace/time/values/5", "schema.value.type", "This must be a number; it is a list."},
			{"/cycle/trace/time/values/6", "schema.value.type", "This must be a number; it is an object."},
			{"/cycle/trace/time/values/7", "schema.value.type", "This must be a number; it is true or false."}}},
		{"column in a wrong place", schema.Record, with(`"values":[0,"1"],"site":{"values":[0,"1"]},"packs2":[{"values":["1"]}]`), []found{
			{"/packs2", "schema.member.unknown",
				`The format has no member "packs2" at this place (did you mean "packs"?).`},
			{"/site/values", "schema.member.unknown", `The format has no member "values" at this place.`},
			{"/values", "schema.member.unknown", `The format has no member "values" at this place.`}}},
		{"column that is none", schema.Record, with(`"cycle":{"trace":{"time":{"unit":"s","values":{"values":["x"]}},"temperatures":[{"values":1}]}}`), []found{
			{"/cycle/trace/temperatures/0", "schema.required.missing", `The member "id" is missing here.`},
			{"/cycle/trace/temperatures/0", "schema.required.missing", `The member "place" is missing here.`},
			{"/cycle/trace/temperatures/0", "schema.required.missing", `The member "unit" is missing here.`},
			{"/cycle/trace/temperatures/0/values", "schema.value.type", "This must be a list; it is a number."},
			{"/cycle/trace/time/values", "schema.value.type", "This must be a list; it is an object."}}},
		{"long value", schema.Record, pack(`"seal":{"method":"` + strings.Repeat("é", 100) + `"}`), []found{
			{"/packs/0/seal/method", "schema.value.enum", `"` + strings.Repeat("é", 40) + `"… is not in the list; the list is heat, self-adhesive, tape, lock, fastener, other.`}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			findings, err := schema.Validate(tt.kind, []byte(tt.data))
			require.NoError(t, err)
			if diff := cmp.Diff(tt.want, messages(findings), cmpopts.EquateEmpty()); diff != "" {
				t.Error(diff)
			}
			for i := range 5 { // the engine walks maps; the order of findings is ours
				again, err := schema.Validate(tt.kind, []byte(tt.data))
				require.NoError(t, err)
				assert.Empty(t, cmp.Diff(findings, again, cmp.AllowUnexported(units.Value{})), i)
			}
			for _, f := range findings {
				assert.Equal(t, moistheat.Broken, f.Outcome)
				assert.Equal(t, moistheat.Fault, f.Severity)
				assert.NotZero(t, f.Sources.Len())
				assertPlace(t, tt.kind, f.Table)
			}
		})
	}
}

// assertPlace fails unless a place in a schema is one of the published file.
func assertPlace(t *testing.T, kind schema.Kind, table string) {
	t.Helper()
	root := published(t, kind)
	id, place, _ := strings.Cut(table, "#")
	assert.Equal(t, root["$id"], id)
	var v any = root
	for _, segment := range strings.Split(place, "/")[1:] {
		switch w := v.(type) {
		case object:
			require.Contains(t, w, segment, table)
			v = w[segment]
		case []any:
			var i int
			_, err := fmt.Sscan(segment, &i)
			require.NoError(t, err)
			v = w[i]
		default:
			t.Fatalf("%s leads nowhere", table)
		}
	}
}

// Without the byte guard nine bytes bring the engine down; with it the document gets
// a clear error.
func TestNineBytes(t *testing.T) {
	root := object{"packs": []any{object{"layers": json.Number("1e1000001")}}}
	assert.Panics(t, func() { _ = schema.Engine(schema.Record).Validate(root) })
	assert.Equal(t, []string{"schema.check.internal"}, schema.RunOn(schema.Record, root), "what fails inside is never valid")

	data := strings.Replace(least, `"packs":[]`, `"packs":[{"id":"P1","barrier":"wrap","items":[],"layers":1e1000001}]`, 1)
	findings, err := schema.Validate(schema.Record, []byte(data))
	assert.Empty(t, findings)
	require.ErrorIs(t, err, moistheat.ErrLimit)
	var e *moistheat.DocumentError
	require.ErrorAs(t, err, &e)
	assert.Equal(t, "/packs/0/layers", e.Pointer)
	assert.Equal(t, int64(strings.Index(data, "1e1000001")), e.Offset)
	assert.Contains(t, e.Problem, "exponent")
	_, err = load.Decode([]byte(data))
	assert.ErrorIs(t, err, moistheat.ErrLimit)
}

func TestInternalFinding(t *testing.T) {
	for name, root := range map[string]any{"a value that is no JSON": struct{}{}, "a nil map in a list": object{"packs": []int{1}}} {
		assert.Equal(t, []string{"schema.check.internal"}, schema.RunOn(schema.Record, root), name)
	}
}

func TestErrors(t *testing.T) {
	deep := strings.Repeat("[", 10_000) + strings.Repeat("]", 10_000)
	tests := []struct {
		name, data string
		want       error
		pointer    string
	}{
		{"nothing", "", moistheat.ErrSyntax, ""},
		{"two values", least + least, moistheat.ErrSyntax, ""},
		{"cut off", least[:36], moistheat.ErrSyntax, "/id"},
		{"byte order mark", "\ufeff" + least, moistheat.ErrSyntax, ""},
		{"duplicate name", with(`"id":"2"`), moistheat.ErrSyntax, "/id"},
		{"duplicate name by escape", with(`"\u0069d":"2"`), moistheat.ErrSyntax, "/id"},
		{"not a number", with(`"site":{"altitude":{"value":NaN,"unit":"m"}}`), moistheat.ErrSyntax, "/site/altitude/value"},
		{"infinite", with(`"site":{"altitude":{"value":-Infinity,"unit":"m"}}`), moistheat.ErrSyntax, "/site/altitude/value"},
		{"leading zero", with(`"site":{"altitude":{"value":0410,"unit":"m"}}`), moistheat.ErrSyntax, "/site/altitude/value"},
		{"half a surrogate pair", with(`"site":{"name":"\ud83d"}`), moistheat.ErrSyntax, "/site/name"},
		{"wrong halves", with(`"site":{"name":"\udca9\ud83d"}`), moistheat.ErrSyntax, "/site/name"},
		{"not UTF-8", with("\"site\":{\"name\":\"\xff\"}"), moistheat.ErrSyntax, "/site/name"},
		{"surrogate in UTF-8", with("\"site\":{\"name\":\"\xed\xa0\xbd\"}"), moistheat.ErrSyntax, "/site/name"},
		{"control character", with("\"site\":{\"name\":\"a\nb\"}"), moistheat.ErrSyntax, "/site/name"},
		{"comment", with(`/* */"site":{}`), moistheat.ErrSyntax, ""},
		{"trailing comma", with(`"site":{},`), moistheat.ErrSyntax, ""},
		{"a million digits", with(`"site":{"altitude":{"value":` + strings.Repeat("1", 1_000_000) + `,"unit":"m"}}`), moistheat.ErrLimit, "/site/altitude/value"},
		{"a million decimals", with(`"site":{"altitude":{"value":0.` + strings.Repeat("0", 1_000_000) + `1,"unit":"m"}}`), moistheat.ErrLimit, "/site/altitude/value"},
		{"huge exponent", with(`"site":{"altitude":{"value":1e-999999,"unit":"m"}}`), moistheat.ErrLimit, "/site/altitude/value"},
		{"ten thousand lists", deep, moistheat.ErrLimit, strings.Repeat("/0", 32)},
		{"ten thousand lists in a column", with(`"cycle":{"trace":{"time":{"unit":"s","values":` + deep + `}}}`), moistheat.ErrLimit, ""},
		{"long text", with(`"site":{"name":"` + strings.Repeat("x", 5_000_000) + `"}`), moistheat.ErrLimit, "/site/name"},
		{"many names", with(strings.TrimSuffix(manyNames(300), ",")), moistheat.ErrLimit, ""},
		{"too large", least + strings.Repeat(" ", 8<<20), moistheat.ErrLimit, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			findings, err := schema.Validate(schema.Record, []byte(tt.data))
			assert.Nil(t, findings)
			require.ErrorIs(t, err, tt.want)
			var e *moistheat.DocumentError
			require.ErrorAs(t, err, &e)
			assert.NotEmpty(t, e.Problem)
			assert.Less(t, len(e.Error()), 600)
			if tt.pointer != "" {
				assert.Equal(t, tt.pointer, e.Pointer)
			}
			accepted, _ := read(schema.Record, []byte(tt.data))
			assert.False(t, accepted)
		})
	}
	for i := range len(least) { // cut off at every byte
		_, err := schema.Validate(schema.Record, []byte(least[:i]))
		assert.ErrorIs(t, err, moistheat.ErrSyntax, i)
	}
	for _, kind := range []schema.Kind{0, schema.Vectors + 1} {
		_, err := schema.Validate(kind, []byte(least))
		assert.ErrorIs(t, err, moistheat.ErrUnknown)
		assert.False(t, errors.Is(err, moistheat.ErrSyntax))
	}
}

func manyNames(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, `"n%d":0,`, i)
	}
	return b.String()
}

// A document cannot make the library open anything: its $ref is an unknown member.
func TestReferencesInDocuments(t *testing.T) {
	findings, err := schema.Validate(schema.Record, []byte(with(`"$ref":"file:///etc/hostname","$schema":"https://example.com/x"`)))
	require.NoError(t, err)
	assert.Equal(t, []found{
		{"/$ref", "schema.member.unknown", `The format has no member "$ref" at this place.`},
		{"/$schema", "schema.member.unknown", `The format has no member "$schema" at this place.`},
	}, messages(findings))
}

// A list full of faults is given up, and the finding says how much of it was not
// looked at.
func TestFaultyLists(t *testing.T) {
	const n = 900
	data := strings.Replace(least, `"packs":[]`, `"packs":[`+strings.TrimSuffix(strings.Repeat("1,", n), ",")+`]`, 1)
	findings, err := schema.Validate(schema.Record, []byte(data))
	require.NoError(t, err)
	require.Len(t, findings, schema.MaxFaulty+1)
	assert.Equal(t, found{"/packs", "schema.items.unchecked",
		"The entries so far are too many, or too many of them have faults; 875 further entries of this list were not checked."}, messages(findings)[0])
	assert.Equal(t, moistheat.Undetermined, findings[0].Outcome)
	assert.Equal(t, "/packs/24", findings[schema.MaxFaulty].Pointer)

	column := with(`"cycle":{"trace":{"time":{"unit":"s","values":[0,` + strings.TrimSuffix(strings.Repeat("null,1,", n), ",") + `]},"temperatures":[]}}`)
	findings, err = schema.Validate(schema.Record, []byte(column))
	require.NoError(t, err)
	require.Len(t, findings, schema.MaxFaulty+1)
	// 1 + 2·900 elements, of which 0, null, 1, … up to the 25th null, the 50th
	// element, were looked at.
	assert.Equal(t, found{"/cycle/trace/time/values", "schema.items.unchecked",
		"The entries so far are too many, or too many of them have faults; 1751 further entries of this list were not checked."}, messages(findings)[0])
	assert.Equal(t, "/cycle/trace/time/values/1", findings[1].Pointer)
	assert.Equal(t, "/cycle/trace/time/values/49", findings[schema.MaxFaulty].Pointer)
}

// Faults beyond the most that are listed are counted.
func TestManyFindings(t *testing.T) {
	var b strings.Builder
	for range 20 {
		b.WriteString(`{` + strings.TrimSuffix(manyNames(200), ",") + `},`)
	}
	data := strings.Replace(least, `"packs":[]`, `"packs":[`+strings.TrimSuffix(b.String(), ",")+`]`, 1)
	findings, err := schema.Validate(schema.Record, []byte(data))
	require.NoError(t, err)
	require.Len(t, findings, schema.MaxFindings+1)
	// Each of 20 packs has 200 unknown members and lacks two: 20·202 − 1000.
	assert.Equal(t, found{"", "schema.findings.omitted", "3040 further findings are not listed."}, messages(findings)[0])
}

// Time and memory stay in proportion to a hostile document.
func TestHostileLists(t *testing.T) {
	repeat := func(inner string, n int) string {
		return "[" + strings.TrimSuffix(strings.Repeat(inner+",", n), ",") + "]"
	}
	million := repeat("1", 1_000_000)
	pack := func(items string) string { return `{"id":"P","barrier":"wrap","items":` + items + `}` }
	tests := map[string]string{
		"a million packs":              strings.Replace(least, `"packs":[]`, `"packs":`+million, 1),
		"a million faulty lumens":      strings.Replace(least, `"packs":[]`, `"packs":`+repeat(pack(repeat(`{"name":"","lumens":`+repeat("1", 900)+`}`, 12)), 100), 1),
		"a million numbers for text":   with(`"water":` + million),
		"a million texts in a column":  with(`"cycle":{"trace":{"time":{"unit":"s","values":` + repeat(`""`, 1_000_000) + `}}}`),
		"a million columns":            with(`"cycle":{"trace":{"temperatures":` + repeat(`{"values":[""]}`, 300_000) + `}}`),
		"a million indicators, packed": strings.Replace(least, `"packs":[]`, `"packs":`+repeat(`{"indicators":`+repeat("1", 1000)+`}`, 1000), 1),
		"unknown members everywhere":   strings.Replace(least, `"packs":[]`, `"packs":`+repeat("{"+strings.TrimSuffix(manyNames(250), ",")+"}", 1000), 1),
	}
	for name, data := range tests {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			findings, err := schema.Validate(schema.Record, []byte(data))
			runtime.ReadMemStats(&after)
			require.NoError(t, err)
			assert.NotEmpty(t, findings)
			assert.LessOrEqual(t, len(findings), schema.MaxFindings+1)
			allocated := after.TotalAlloc - before.TotalAlloc
			t.Logf("%d bytes, %.0f allocated bytes for each", len(data), float64(allocated)/float64(len(data)))
			assert.Less(t, allocated, uint64(100*len(data)))
			accepted, _ := read(schema.Record, []byte(data))
			assert.False(t, accepted)
		})
	}
}

func TestRules(t *testing.T) {
	rules := schema.Rules()
	require.NotEmpty(t, rules)
	for i, r := range rules {
		assert.Regexp(t, `^schema(\.[a-z]+){2}$`, r.ID)
		if i > 0 {
			assert.Less(t, rules[i-1].ID, r.ID)
		}
		for _, s := range []string{r.Title, r.Why, r.Remedy, r.BrokenText, r.Since} {
			assert.NotEmpty(t, s, r.ID)
		}
		assert.NotZero(t, r.Sources.Len())
		assert.Equal(t, moistheat.Quarantine, r.Effect(moistheat.Broken).Load, r.ID)
		assert.Equal(t, moistheat.Fault, r.Severity, "%s: what is not of the agreed shape cannot be judged", r.ID)
	}
}
