package schema_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/packaging"
	"example.com/moistheat/schema"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

// The readers that take bytes from outside. Each returns how many documents it
// accepted and the first error.
var readers = map[string]func(data []byte) (accepted int, err error){
	"record":    func(data []byte) (int, error) { return one(load.Decode(data)) },
	"test":      func(data []byte) (int, error) { return one(history.DecodeEvent(data)) },
	"amendment": func(data []byte) (int, error) { return one(history.DecodeAmendment(data)) },
	"stored":    func(data []byte) (int, error) { return one(history.DecodeStoredPack(data)) },
	"policy":    func(data []byte) (int, error) { return one(load.ParsePolicy(data)) },
	"table":     func(data []byte) (int, error) { return one(cycle.ParseTable(data)) },
	"trace":     func(data []byte) (int, error) { return one(cycle.DecodeTrace(data)) },
	"figures":   func(data []byte) (int, error) { return one(packaging.ParseFigures(data)) },
	"water":     func(data []byte) (int, error) { return one(water.ParseLimits(data)) },
	"csv": func(data []byte) (int, error) {
		return one(cycle.ReadCSV(bytes.NewReader(data), &cycle.Columns{Time: 1, TimeUnit: units.Second,
			Temperatures: []cycle.TemperatureColumn{{Column: 2, ID: "T1", Place: cycle.InLoad, Unit: units.Celsius}}}))
	},
	"records": func(data []byte) (n int, first error) {
		for _, err := range load.Records(bytes.NewReader(data)) {
			if err == nil {
				n++
			} else if first == nil {
				first = err
			}
		}
		return n, first
	},
	"entries": func(data []byte) (n int, first error) {
		for _, err := range history.Entries(bytes.NewReader(data)) {
			if err == nil {
				n++
			} else if first == nil {
				first = err
			}
		}
		return n, first
	},
	"validate":        validating(schema.Record),
	"validate report": validating(schema.Report),
	"validate line":   validating(schema.Line),
	"validate policy": validating(schema.Policy),
	"validate table":  validating(schema.CycleTable),
	"vectors":         validating(schema.Vectors),
}

// validating asks the schema of a kind as a reader would be asked.
func validating(kind schema.Kind) func(data []byte) (int, error) {
	return func(data []byte) (int, error) {
		findings, err := schema.Validate(kind, data)
		if err == nil && len(findings) > 0 {
			err = &moistheat.DocumentError{
				Kind: moistheat.ErrShape, Pointer: findings[0].Pointer, Problem: fmt.Sprintf("%d findings", len(findings)),
			}
		}
		return one(0, err)
	}
}

func one[T any](_ T, err error) (int, error) {
	if err != nil {
		return 0, err
	}
	return 1, nil
}

// place takes the pointer, the offset (-1 where the error has none) and the line out of
// an error of a reader.
func place(err error) (pointer string, offset int64, line int) {
	var e *moistheat.DocumentError
	if !errors.As(err, &e) {
		return "", -1, 0
	}
	return e.Pointer, e.Offset, e.Line
}

// hostile is an input that a broken exporter or an attacker sends.
type hostile struct {
	name    string
	reader  string
	build   func(n int) string // of about n bytes, where its size is part of the attack
	want    error              // nil: accepted
	pointer string             // where the error is
	text    string             // what the error says, or why the input is accepted
	read    int                // documents of a stream that are accepted all the same; -1: refused by what is read, -2: there are none
}

func fixed(s string) func(int) string { return func(int) string { return s } }

// flood repeats part to about n bytes between two others.
func flood(before, part, after string) func(int) string {
	return func(n int) string {
		return before + strings.Repeat(part, max(1, n/len(part))) + after
	}
}

// list repeats an element to about n bytes in a list.
func list(before, element, after string) func(int) string {
	return func(n int) string {
		return before + "[" + strings.TrimSuffix(strings.Repeat(element+",", max(1, n/len(element))), ",") + "]" + after
	}
}

// value puts a number as it is written into a record.
func value(number string) func(int) string {
	return fixed(with(`"site":{"altitude":{"value":` + number + `,"unit":"m"}}`))
}

// siteName puts the inside of a string as it is written into a record.
func siteName(text string) func(int) string { return fixed(with(`"site":{"name":"` + text + `"}`)) }

func packs(pack string) func(int) string {
	return list(strings.TrimSuffix(least, `[]}`), pack, "}")
}

const (
	pack     = `{"id":"P","barrier":"wrap","items":[]}`
	altitude = "/site/altitude/value"
	seconds  = "/cycle/trace/time/values"
)

var (
	columnHead = strings.TrimSuffix(with(`"cycle":{"trace":{"time":{"unit":"s","values":`), "}")
	columnTail = `},"temperatures":[]}}}`
	escaped    = func(n int) string { // names that stand for others, as long as they may be
		var b strings.Builder
		for i := 0; b.Len() < n; i++ {
			if i%250 == 0 {
				if i > 0 {
					b.WriteString("},")
				}
				b.WriteString("{")
			} else {
				b.WriteString(",")
			}
			fmt.Fprintf(&b, `"%s%d":0`, strings.Repeat(`\u0061`, 40), i)
		}
		return strings.TrimSuffix(least, `[]}`) + "[" + b.String() + "}]}"
	}
	namesEverywhere = func(n int) string { // as many short names an object as it may have
		object := "{" + strings.TrimSuffix(manyNames(250), ",") + "}"
		return packs(object)(n)
	}
)

var hostiles = append(everywhere(), []hostile{
	// Numbers that cost more than they take.
	{"exponent bomb of nine bytes", "record", value("1e1000001"), moistheat.ErrLimit, altitude, "exponent", 0},
	{"exponent bomb downwards", "record", value("1e-1000001"), moistheat.ErrLimit, altitude, "exponent", 0},
	{"exponent just over", "record", value("1e19"), moistheat.ErrLimit, altitude, "exponent", 0},
	{"exponent of many zeros", "record", flood(cut(`"site":{"altitude":{"value":1e`), "0", `1,"unit":"m"}}}`), moistheat.ErrLimit, altitude, "longer than 32 bytes", 0},
	{"digit flood", "record", flood(cut(`"site":{"altitude":{"value":`), "7", `,"unit":"m"}}}`), moistheat.ErrLimit, altitude, "longer than 32 bytes", 0},
	{"digit flood after the point", "record", flood(cut(`"site":{"altitude":{"value":0.`), "0", `1,"unit":"m"}}}`), moistheat.ErrLimit, altitude, "longer than 32 bytes", 0},
	{"digits just over", "record", value("1234567890123456789"), moistheat.ErrLimit, altitude, "18 digits", 0},
	{"leading zero flood", "record", flood(cut(`"site":{"altitude":{"value":`), "0", `1,"unit":"m"}}}`), moistheat.ErrSyntax, altitude, "not a JSON number", 0},
	{"minus flood", "record", flood(cut(`"site":{"altitude":{"value":`), "-", `1,"unit":"m"}}}`), moistheat.ErrSyntax, altitude, "not a JSON number", 0},
	{"point flood", "record", value("1.2.3.4.5"), moistheat.ErrSyntax, "/site/altitude", "comma", 0},
	{"NaN", "record", value("NaN"), moistheat.ErrSyntax, altitude, "does not start", 0},
	{"Infinity", "record", value("Infinity"), moistheat.ErrSyntax, altitude, "does not start", 0},
	{"minus Infinity", "record", value("-Infinity"), moistheat.ErrSyntax, altitude, "not a JSON number", 0},
	{"NaN as text", "record", value(`"NaN"`), moistheat.ErrShape, altitude, "want a number", 0},
	{"hexadecimal", "record", value("0x10"), moistheat.ErrSyntax, "/site/altitude", "comma", 0},
	{"plus sign", "record", value("+1"), moistheat.ErrSyntax, altitude, "does not start", 0},
	{"bare point", "record", value(".5"), moistheat.ErrSyntax, altitude, "does not start", 0},
	{"nothing after the point", "record", value("5."), moistheat.ErrSyntax, altitude, "not a JSON number", 0},
	{"digits of another script", "record", value("\u0664\u0661"), moistheat.ErrSyntax, altitude, "does not start", 0},
	{"thousands apart", "record", value("1_000"), moistheat.ErrSyntax, "/site/altitude", "comma", 0},

	// Nesting.
	{"lists without end", "record", flood(strings.TrimSuffix(least, `[]}`), "[", ""), moistheat.ErrLimit, "", "nested deeper", 0},
	{"objects without end", "record", flood(strings.TrimSuffix(least, `[]}`), `{"a":`, ""), moistheat.ErrLimit, "", "nested deeper", 0},
	{"nesting just allowed", "record", fixed(with(`"x":` + strings.Repeat("[", 31) + strings.Repeat("]", 31))), moistheat.ErrShape, "/x", "unknown member", 0},
	{"lists in a column", "record", flood(columnHead, "[", ""), moistheat.ErrLimit, "", "nested deeper", 0},
	{"deep pointer of long names", "record", fixed(deepNames()), moistheat.ErrLimit, "", "nested deeper", 0},

	// Names.
	{"duplicate name", "record", fixed(with(`"id":"2"`)), moistheat.ErrSyntax, "/id", "twice", 0},
	{"duplicate name by escape", "record", fixed(with(`"\u0069d":"2"`)), moistheat.ErrSyntax, "/id", "twice", 0},
	{"duplicate name by surrogate pair", "record", fixed(with(`"😀":1,"\ud83d\ude00":2`)), moistheat.ErrSyntax, "/😀", "twice", 0},
	{"duplicate name by escaped slash", "record", fixed(with(`"a/b":1,"a\/b":2`)), moistheat.ErrSyntax, "/a~1b", "twice", 0},
	{"duplicate name far apart", "record", flood(cut(`"site":{`), " ", `},"site":{}}`), moistheat.ErrSyntax, "/site", "twice", 0},
	{"name in another case", "record", fixed(strings.Replace(least, `"id"`, `"ID"`, 1)), moistheat.ErrShape, "/ID", `written "id"`, 0},
	{"name with a Kelvin sign for k", "record", fixed(strings.Replace(least, `"packs"`, `"pac`+"\u212a"+`s"`, 1)), moistheat.ErrShape, "", `written "packs"`, 0},
	{"name with a zero-width space", "record", fixed(with(`"site` + "\u200b" + `":{}`)), moistheat.ErrShape, "", "unknown member", 0},
	{"names of a prototype", "record", fixed(with(`"__proto__":{},"constructor":{}`)), moistheat.ErrShape, "/__proto__", "unknown member", 0},
	{"too many names in an object", "record", func(n int) string { return with(strings.TrimSuffix(manyNames(max(257, n/8)), ",")) }, moistheat.ErrLimit, "", "more than 256 names", 0},
	{"as many names an object as allowed", "record", namesEverywhere, moistheat.ErrShape, "/packs/0/n0", "unknown member", 0},
	{"names that share a hash", "record", colliding(fnv32a), moistheat.ErrShape, "", "unknown member", 0},
	{"long escaped names", "record", escaped, moistheat.ErrShape, "", "unknown member", 0},
	{"many names open at once", "record", fixed(openNames()), moistheat.ErrLimit, "", "around this place", 0},
	{"huge name", "record", flood(cut(`"`), "n", `":1}`), moistheat.ErrLimit, "", "longer than the 4096 bytes", 0},
	{"name full of slashes and tildes", "record", fixed(with(`"` + strings.Repeat("~/", 2000) + `":1`)), moistheat.ErrShape, "", "unknown member", 0},

	// Texts.
	{"huge text", "record", flood(cut(`"site":{"name":"`), "x", `"}}`), moistheat.ErrLimit, "/site/name", "longer than the 4096 bytes", 0},
	{"longest text", "record", siteName(strings.Repeat("x", 4096)), nil, "", "4096 bytes is what a text may have", 0},
	{"escape flood", "record", flood(cut(`"site":{"name":"`), `\u0000`, `"}}`), moistheat.ErrLimit, "/site/name", "longer than the 4096 bytes", 0},
	{"backslash flood", "record", flood(cut(`"site":{"name":"`), `\\`, `"}}`), moistheat.ErrLimit, "/site/name", "longer than the 4096 bytes", 0},
	{"high surrogate alone", "record", siteName(`\ud83d`), moistheat.ErrSyntax, "/site/name", "surrogate", 0},
	{"low surrogate alone", "record", siteName(`\ude00`), moistheat.ErrSyntax, "/site/name", "surrogate", 0},
	{"surrogates turned round", "record", siteName(`\ude00\ud83d`), moistheat.ErrSyntax, "/site/name", "surrogate", 0},
	{"high surrogate and a letter", "record", siteName(`\ud83d\u0041`), moistheat.ErrSyntax, "/site/name", "surrogate", 0},
	{"escape cut short", "record", siteName(`\u12`), moistheat.ErrSyntax, "/site/name", "four hexadecimal digits", 0},
	{"escape that JSON lacks", "record", siteName(`\x41`), moistheat.ErrSyntax, "/site/name", "escape", 0},
	{"surrogate in UTF-8", "record", siteName("\xed\xa0\x80"), moistheat.ErrSyntax, "/site/name", "not UTF-8", 0},
	{"overlong UTF-8", "record", siteName("\xc0\xaf"), moistheat.ErrSyntax, "/site/name", "not UTF-8", 0},
	{"overlong NUL", "record", siteName("\xc0\x80"), moistheat.ErrSyntax, "/site/name", "not UTF-8", 0},
	{"beyond Unicode", "record", siteName("\xf4\x90\x80\x80"), moistheat.ErrSyntax, "/site/name", "not UTF-8", 0},
	{"UTF-8 cut by the quote", "record", siteName("\xe2\x82"), moistheat.ErrSyntax, "/site/name", "not UTF-8", 0},
	{"null byte in a text", "record", siteName("a\x00b"), moistheat.ErrSyntax, "/site/name", "control character", 0},
	{"line break in a text", "record", siteName("a\r\nb"), moistheat.ErrSyntax, "/site/name", "control character", 0},
	{"null character by escape", "record", siteName(`a\u0000b`), nil, "", "JSON texts may hold any character; nothing here ends at one", 0},
	{"text that turns direction", "record", siteName("\u202etxet"), nil, "", "a text is whatever a person wrote; showing it is the caller's matter", 0},
	{"regex bait", "record", siteName(strings.Repeat("a", 4000) + "!"), nil, "", "no pattern is asked of it, and those that are run in linear time", 0},
	{"regex bait for an id", "table", fixed(`{"format":"moistheat.cycle-table/1","id":"` + strings.Repeat("a-", 2000) + `!","title":"t","document":"d","rows":[]}`), nil, "/id", "", -1},

	// What does not begin or end as it should.
	{"byte order mark", "record", fixed("\ufeff" + least), moistheat.ErrSyntax, "", "byte order mark", 0},
	{"UTF-16", "record", fixed("\xff\xfe{\x00}\x00"), moistheat.ErrSyntax, "", "0xff", 0},
	{"null byte before", "record", fixed("\x00" + least), moistheat.ErrSyntax, "", "does not start", 0},
	{"null bytes after", "record", flood(least, "\x00", ""), moistheat.ErrSyntax, "", "follows the end", 0},
	{"two documents", "record", fixed(least + least), moistheat.ErrSyntax, "", "follows the end", 0},
	{"nothing", "record", fixed(""), moistheat.ErrSyntax, "", "cut off", 0},
	{"only white space", "record", flood("", " ", ""), moistheat.ErrSyntax, "", "cut off", 0},
	{"white space before", "record", flood("", "\n", least), nil, "", "JSON allows it, and it costs a byte a byte", 0},
	{"white space inside", "record", flood(`{"format":"moistheat.load/1","id":"1","load":{`, " \t", `},"sterilizer":{},"packs":[]}`), nil, "", "JSON allows it", 0},
	{"other white space", "record", fixed("\u00a0" + least), moistheat.ErrSyntax, "", "0xc2", 0},
	{"comment", "record", fixed("/* x */" + least), moistheat.ErrSyntax, "", "does not start", 0},
	{"trailing comma", "record", fixed(with(`"site":{},`)), moistheat.ErrSyntax, "", "name in quotes", 0},
	{"single quotes", "record", fixed(`{'format':1}`), moistheat.ErrSyntax, "", "name in quotes", 0},
	{"null", "record", fixed("null"), moistheat.ErrShape, "", "want an object", 0},
	{"a list", "record", fixed("[]"), moistheat.ErrShape, "", "want an object", 0},
	{"null for a list", "record", fixed(strings.Replace(least, "[]", "null", 1)), moistheat.ErrShape, "/packs", "want an array", 0},
	{"too large", "record", fixed(least + strings.Repeat(" ", 8<<20)), moistheat.ErrLimit, "", "more than the 8388608 allowed", 0},
	{"other document", "record", fixed(`{"format":"moistheat.event/1","id":"1","load":{},"sterilizer":{},"packs":[]}`), moistheat.ErrShape, "/format", "want", 0},

	// References.
	{"reference to a file", "record", fixed(with(`"$ref":"file:///etc/passwd"`)), moistheat.ErrShape, "/$ref", "unknown member", 0},
	{"reference to the network", "policy", fixed(`{"format":"moistheat.policy/1","name":"x","title":"x","base":"us-cdc-2003","$ref":"https://example.com/x"}`), moistheat.ErrShape, "/$ref", "unknown member", 0},
	{"schema of the document's own", "record", fixed(with(`"$schema":"https://example.com/x","$id":"x"`)), moistheat.ErrShape, "/$schema", "unknown member", 0},
	{"policy out of its folder", "policy", fixed(`{"format":"moistheat.policy/1","name":"x","title":"x","base":"../../../../etc/passwd"}`), moistheat.ErrUnknown, "", "unknown policy", 0},
	{"reference in a table", "table", fixed(`{"$ref":"file:///etc/passwd"}`), moistheat.ErrShape, "/$ref", "unknown member", 0},
	{"reference in figures", "figures", fixed(`{"$ref":"file:///etc/passwd"}`), moistheat.ErrShape, "", "unknown member", 0},
	{"reference in limits", "water", fixed(`{"$ref":"file:///etc/passwd"}`), moistheat.ErrShape, "", "unknown member", 0},

	// More of a thing than there is.
	{"a pack too many", "record", func(int) string { return packs(pack)(1001 * len(pack)) }, moistheat.ErrLimit, "/packs", "more than 1000", 0},
	{"many empty packs", "record", packs("{}"), moistheat.ErrShape, "/packs/0", "is missing", 0},
	{"many packs that are none", "validate", packs("1"), moistheat.ErrShape, "/packs", "findings", 0},
	{"many faults", "validate", namesEverywhere, moistheat.ErrShape, "", "1001 findings", 0},
	{"many faulty columns", "validate", func(n int) string {
		return list(cut(`"cycle":{"trace":{"time":{"unit":"s","values":[]},"temperatures":`), `{"values":[""]}`, "}}}")(n)
	}, moistheat.ErrShape, "", "findings", 0},
	{"many findings in a report", "validate report", func(n int) string {
		return list(`{"format":"moistheat.report/1","findings":`, `{}`, "}")(n)
	}, moistheat.ErrShape, "", "findings", 0},
	{"long unit code", "record", fixed(with(`"site":{"altitude":{"value":1,"unit":"` + strings.Repeat("m", 60) + `"}}`)), moistheat.ErrShape, "/site/altitude/unit", "", 0},
	{"unit code without end", "record", flood(cut(`"site":{"altitude":{"value":1,"unit":"`), "m", `"}}}`), moistheat.ErrLimit, "/site/altitude/unit", "longer than the 4096", 0},
	{"fraction of a second without end", "record", flood(cut(`"unloading":{"time":"2026-03-09T08:15:00.`), "9", `Z"}}`), moistheat.ErrLimit, "/unloading/time", "longer than the 4096", 0},
	{"no such instant", "record", fixed(with(`"unloading":{"time":"2026-02-30T25:61:61Z"}`)), moistheat.ErrShape, "/unloading/time", "date and time", 0},
	{"no such day", "record", fixed(strings.Replace(least, `"load":{}`, `"load":{"date":"0000-00-00"}`, 1)), moistheat.ErrShape, "/load/date", "0000-00-00", 0},

	// The trace.
	{"many samples", "record", list(columnHead, "1.5", columnTail), nil, "", "a trace may fill the document", 0},
	{"null among samples", "record", fixed(columnHead + "[0,null]" + columnTail), moistheat.ErrShape, seconds + "/1", "want a number", 0},
	{"overlong sample", "record", flood(columnHead+"[0,1.", "5", "]"+columnTail), moistheat.ErrLimit, seconds + "/1", "longer than 32 bytes", 0},
	{"exponent bomb among samples", "record", fixed(columnHead + "[0,1e400]" + columnTail), moistheat.ErrLimit, seconds + "/1", "exponent", 0},
	{"texts of commas for samples", "record", list(columnHead, `"`+strings.Repeat(",", 4000)+`"`, columnTail), moistheat.ErrShape, seconds + "/0", "want a number", 0},
	{"bracket in a text for a sample", "record", fixed(columnHead + `["]"]` + columnTail), moistheat.ErrShape, seconds + "/0", "want a number", 0},
	{"samples of zero width", "trace", fixed(`{"time":{"unit":"s","values":[,]},"temperatures":[]}`), moistheat.ErrSyntax, "/time/values/0", "does not start", 0},

	// The other documents.
	{"test with a duplicate name", "test", fixed(`{"format":"moistheat.event/1","format":"x"}`), moistheat.ErrSyntax, "/format", "twice", 0},
	{"stored with null", "stored", fixed(`{"format":null}`), moistheat.ErrShape, "/format", "want a string", 0},
	{"table of many rows", "table", list(`{"format":"moistheat.cycle-table/1","id":"x","title":"t","document":"d","rows":`, "{}", "}"), moistheat.ErrShape, "/rows/0", "missing", 0},
	{"table too large", "table", fixed(strings.Repeat(" ", 1<<20) + "{}"), moistheat.ErrLimit, "", "1048576", 0},

	// What cannot be meant.
	{"policy without a decision", "policy", fixed(`{"format":"moistheat.policy/1","name":"x","title":"x","base":"us-cdc-2003","rules":[{"id":"load.pack.dropped","broken":{}}]}`), moistheat.ErrInvalid, "/rules/0", "record who decided", 0},
	{"policy of nobody's table", "policy", fixed(`{"format":"moistheat.policy/1","name":"x","title":"x","base":"us-cdc-2003","cycles":["../x"],"decision":{"by":"x","date":"2026-01-02","reason":"x"}}`), moistheat.ErrUnknown, "/cycles/0", "unknown table", 0},
	{"policy of nobody's figures", "policy", fixed(`{"format":"moistheat.policy/1","name":"x","title":"x","base":"us-cdc-2003","packaging":["../x"],"decision":{"by":"x","date":"2026-01-02","reason":"x"}}`), moistheat.ErrUnknown, "/packaging", "../x", 0},
	{"policy of nobody's limits", "policy", fixed(`{"format":"moistheat.policy/1","name":"x","title":"x","base":"us-cdc-2003","water":["../x"],"decision":{"by":"x","date":"2026-01-02","reason":"x"}}`), moistheat.ErrUnknown, "/water/0", "../x", 0},
	{"policy that ends before it starts", "policy", fixed(`{"format":"moistheat.policy/1","name":"x","title":"x","base":"us-cdc-2003","rules":[{"id":"load.pack.dropped","from":"2026-03-09","until":"2026-03-09"}]}`), moistheat.ErrInvalid, "/rules/0/until", "before it starts", 0},
	{"figures that define lumens", "figures", fixed(`{"format":"moistheat.packaging-figures/1","id":"x","title":"t","figures":[{"row":"x","limit":"greatest hollow A length","openEnds":1,"length":{"value":9,"unit":"m"},"source":{"document":"x","basis":"facility"}}]}`), moistheat.ErrInvalid, "/figures/0", "are fixed", 0},
	{"figures of nothing", "figures", fixed(`{"format":"moistheat.packaging-figures/1","id":"x","title":"t","figures":[{"row":"x","limit":"least seal width","length":{"value":0,"unit":"mm"},"source":{"document":"x","basis":"facility"}}]}`), moistheat.ErrInvalid, "/figures/0", "above zero", 0},
	{"table without rows", "table", fixed(`{"format":"moistheat.cycle-table/1","id":"x","title":"t","document":"d","rows":[]}`), moistheat.ErrInvalid, "/rows", "none", 0},

	// Streams.
	{"line feeds alone", "records", flood("", "\n", ""), nil, "", "blank lines are passed over", -2},
	{"line feeds of a history", "entries", flood(least+"\n", "\n", least), nil, "", "blank lines are passed over", 2},
	{"lines of white space", "entries", flood(least+"\n", " \t\r\n", least), nil, "", "blank lines are passed over", 2},
	{"blank lines between bad ones", "entries", flood("", "x"+strings.Repeat("\n", 4000), ""), moistheat.ErrSyntax, "", "line 1:", 0},
	{"bad lines of a byte", "entries", flood("", "x\n", ""), moistheat.ErrSyntax, "", "line 1:", 0},
	{"bad lines of two bytes", "records", flood("", "[]\n", ""), moistheat.ErrShape, "", "line 1:", 0},
	{"format at the end of a history's line", "entries", func(n int) string {
		return "{" + strings.Repeat(" ", n) + `"a":"` + strings.Repeat(`\"`, 2000) + `","format":"moistheat.stored/1"}`
	}, moistheat.ErrShape, "/a", "unknown member", 0},
	{"one bad line", "records", fixed(least + "\n{\n" + least + "\n"), moistheat.ErrSyntax, "", "line 2", 2},
	{"line feed inside a text", "records", fixed(least + "\n" + strings.Replace(least, `"1"`, "\"1\n\"", 1) + "\n" + least), moistheat.ErrSyntax, "/id", "line 2", 2},
	{"line too long", "records", func(int) string { return least + "\n" + strings.Repeat(" ", 9<<20) + "\n" + least + "\n" }, moistheat.ErrLimit, "", "line 2", 2},
	{"line too long without end", "records", func(int) string { return least + "\n" + strings.Repeat("[", 9<<20) }, moistheat.ErrLimit, "", "line 2", 1},
	{"CR LF", "records", fixed(least + "\r\n" + least + "\r\n"), nil, "", "a carriage return is white space of JSON", 2},
	{"CR alone", "records", fixed(least + "\r" + least + "\r"), moistheat.ErrSyntax, "", "follows the end", 0},
	{"LF CR", "records", fixed(least + "\n\r" + least + "\n\r"), nil, "", "a carriage return is white space of JSON", 2},
	{"blank lines", "records", flood(least+"\n", "\n", least), nil, "", "blank lines are passed over", 2},
	{"two documents on a line", "records", fixed(least + " " + least + "\n" + least), moistheat.ErrSyntax, "", "line 1", 1},
	{"a document over two lines", "records", fixed(least[:40] + "\n" + least[40:] + "\n" + least), moistheat.ErrSyntax, "", "line 1", 1},
	{"byte order mark of a stream", "records", fixed("\ufeff" + least + "\n" + least), moistheat.ErrSyntax, "", "byte order mark", 1},
	{"null byte between lines", "records", fixed(least + "\n\x00\n" + least), moistheat.ErrSyntax, "", "line 2", 2},
	{"line separator of Unicode", "records", fixed(least + "\u2028" + least + "\n"), moistheat.ErrSyntax, "", "follows the end", 0},
	{"record separator of RFC 7464", "records", fixed("\x1e" + least + "\n"), moistheat.ErrSyntax, "", "does not start", 0},
	{"a list of records", "records", fixed("[" + least + "]"), moistheat.ErrShape, "", "want an object", 0},
	{"bad line of a history", "entries", fixed(least + "\n{\"format\":\"moistheat.nothing/1\"}\n" + least), moistheat.ErrShape, "", "line 2", 2},
	{"format by escape", "entries", fixed(strings.Replace(least, "moistheat.load/1", `moistheat\u002eload\/1`, 1)), nil, "", "an escape stands for its character", 1},

	// CSV of a recorder.
	{"quote without end", "csv", flood("0,134\n1,\"", "x", ""), moistheat.ErrLimit, "", "line 2", 0},
	{"short quote without end", "csv", fixed("0,134\n1,\"x\n2,135\n"), moistheat.ErrSyntax, "", "line", 0},
	{"quote inside a cell", "csv", fixed("0,13\"4\n"), moistheat.ErrSyntax, "", "line 1", 0},
	{"a line of many cells", "csv", flood("0,134", ",1", "\n1,135\n"), moistheat.ErrLimit, "", "line 1", 0},
	{"a line of many cells, folded in quotes", "csv", flood("0,134\n1,135", ",\"\n\"", "\n1,135\n"), moistheat.ErrLimit, "", "line 2", 0},
	{"line of another length", "csv", fixed("0,134\n1\n"), moistheat.ErrSyntax, "", "line 2", 0},
	{"NaN in a cell", "csv", fixed("0,NaN\n"), moistheat.ErrShape, "", "column 2", 0},
	{"Inf in a cell", "csv", fixed("0,+Inf\n"), moistheat.ErrShape, "", "column 2", 0},
	{"hexadecimal in a cell", "csv", fixed("0,0x1p4\n"), moistheat.ErrShape, "", "column 2", 0},
	{"overflow in a cell", "csv", fixed("0,1e999\n"), moistheat.ErrShape, "", "column 2", 0},
	{"digit flood in a cell", "csv", func(n int) string { return "0," + strings.Repeat("1", min(n, 60_000)) + "\n" }, moistheat.ErrShape, "", "column 2", 0},
	{"null byte in a cell", "csv", fixed("0,13\x004\n"), moistheat.ErrShape, "", "column 2", 0},
	{"formula in a cell", "csv", fixed("0,=1+1\n"), moistheat.ErrShape, "", "column 2", 0},
	{"decimal comma", "csv", fixed("0,\"134,2\"\n"), moistheat.ErrShape, "", "column 2", 0},
	{"digits of another script in a cell", "csv", fixed("0,\u0661\u0663\u0664\n"), moistheat.ErrShape, "", "column 2", 0},
	{"empty cell", "csv", fixed("0,\n"), moistheat.ErrShape, "", "empty", 0},
	{"CSV too large", "csv", func(int) string { return strings.Repeat("0,134\n", 6<<20) }, moistheat.ErrLimit, "", "more than", 0},
}...)

// heads opens a document of each reader that takes one, with the name of a list of it
// and what is around that list.
var heads = []struct{ reader, open, before, list, after string }{
	{"test", `{"format":"moistheat.event/1","id":"1"`, `"settings":{`, "media", "}"},
	{"stored", `{"format":"moistheat.stored/1"`, "", "moves", ""},
	{"entries", `{"format":"moistheat.stored/1"`, "", "moves", ""},
	{"validate line", `{"format":"moistheat.event/1","id":"1"`, "", "settings", ""},
	{"policy", `{"format":"moistheat.policy/1","name":"x","base":"us-cdc-2003"`, "", "rules", ""},
	{"validate policy", `{"format":"moistheat.policy/1","name":"x","base":"us-cdc-2003"`, "", "rules", ""},
	{"table", `{"format":"moistheat.cycle-table/1","id":"x","title":"t"`, "", "rows", ""},
	{"validate table", `{"format":"moistheat.cycle-table/1","id":"x","title":"t"`, "", "rows", ""},
	{"figures", `{"format":"moistheat.packaging-figures/1","id":"x"`, "", "figures", ""},
	{"water", `{"format":"moistheat.water/1","id":"x","title":"t"`, "", "sections", ""},
	{"validate report", `{"format":"moistheat.report/1"`, "", "findings", ""},
	{"vectors", `{"format":"moistheat.vectors/1"`, "", "vectors", ""},
}

// everywhere returns what is sent to each of these readers. None of the documents is
// whole, so that white space alone is refused too, at its end.
func everywhere() []hostile {
	var all []hostile
	for _, h := range heads {
		add := func(name string, build func(int) string, want error, text string) {
			all = append(all, hostile{name: h.reader + ": " + name, reader: h.reader, build: build, want: want, text: text})
		}
		object := "{" + strings.TrimSuffix(manyNames(250), ",") + "}"
		in, out := h.open+","+h.before+`"`+h.list+`":`, h.after+"}"
		add("white space inside", flood(h.open, " \t", "}"), moistheat.ErrShape, "")
		add("lists without end", flood(in, "[", ""), moistheat.ErrLimit, "nested deeper")
		add("objects without end", flood(in, `{"a":`, ""), moistheat.ErrLimit, "nested deeper")
		add("digit flood", flood(h.open+`,"x":`, "7", "}"), moistheat.ErrLimit, "longer than 32 bytes")
		add("exponent bomb", fixed(h.open+`,"x":1e1000001}`), moistheat.ErrLimit, "exponent")
		add("NaN", fixed(h.open+`,"x":NaN}`), moistheat.ErrSyntax, "does not start")
		add("huge text", func(n int) string { return flood(h.open+`,"x":"`, "x", `"}`)(2 * n) }, moistheat.ErrLimit, "longer than the") // a report's may be longer
		add("backslash flood", func(n int) string { return flood(h.open+`,"x":"`, `\\`, `"}`)(3 * n) }, moistheat.ErrLimit, "longer than the")
		add("high surrogate alone", fixed(h.open+`,"x":"\ud83d"}`), moistheat.ErrSyntax, "surrogate")
		add("duplicate name by escape", fixed(h.open+`,"\u0066ormat":""}`), moistheat.ErrSyntax, "twice")
		add("duplicate name far apart", flood(h.open+`,"x":`, " ", `1,"\u0078":2}`), moistheat.ErrSyntax, "twice")
		add("too many names", func(n int) string { return h.open + "," + strings.TrimSuffix(manyNames(max(257, n/8)), ",") + "}" }, moistheat.ErrLimit, "more than 256 names")
		add("many objects of many names", list(in, object, out), moistheat.ErrShape, "")
		add("many empty elements", list(in, "{}", out), moistheat.ErrShape, "")
		add("many numbers for objects", list(in, "1", out), moistheat.ErrShape, "")
		add("many texts for objects", list(in, `"`+strings.Repeat(`\u002c`, 600)+`"`, out), moistheat.ErrShape, "")
		add("byte order mark", fixed("\ufeff"+h.open+"}"), moistheat.ErrSyntax, "byte order mark")
		add("cut off", fixed(h.open), moistheat.ErrSyntax, "")
	}
	return all
}

// cut opens a record after its least members for one more that is not finished.
func cut(member string) string { return strings.TrimSuffix(least, "}") + "," + member }

func deepNames() string {
	name := strings.Repeat("n", 4096)
	return cut(`"x":`) + strings.Repeat(`{"`+name+`":`, 40)
}

func openNames() string {
	var b strings.Builder
	for i := range 6 {
		fmt.Fprintf(&b, `"deep%d":{%s`, i, manyNames(200))
	}
	return cut(b.String() + `"end":0` + strings.Repeat("}", 7))
}

// fnv32a continues a common hash of 32 bits, which makes of a text what anybody can
// foresee.
func fnv32a(h uint32, text string) uint32 {
	for _, c := range []byte(text) {
		h = (h ^ uint32(c)) * 16777619
	}
	return h
}

// colliding writes objects of as many long names as are allowed, all of the same hash:
// of eight blocks in a row each has two spellings that leave the hash where it was.
func colliding(next func(h uint32, text string) uint32) func(n int) string {
	return func(n int) string {
		tail := strings.Repeat("x", 3900)
		h := next(2166136261, "a")
		var blocks [8][2]string
		seen := make(map[uint32]int, 1<<17)
		for i := range blocks {
			clear(seen)
			for j := 1_000_000; blocks[i][0] == ""; j++ {
				text := strconv.Itoa(j)
				at := next(h, text)
				if other, ok := seen[at]; ok {
					blocks[i] = [2]string{strconv.Itoa(other), text}
				}
				seen[at] = j
			}
			h = next(h, blocks[i][0])
		}
		object := func() string {
			var b strings.Builder
			for i := range 250 {
				b.WriteString(`,"\u0061`)
				for j := range blocks {
					b.WriteString(blocks[j][i>>j&1])
				}
				b.WriteString(tail + `":0`)
			}
			return "{" + b.String()[1:] + "}"
		}
		return packs(object())(max(n, 1<<20))
	}
}

// Every hostile input gives a typed error that says where, or is accepted for a
// reason; the schema says the same of a record as its reader.
func TestHostile(t *testing.T) {
	const n = 1 << 16
	names := map[string]bool{}
	for _, h := range hostiles {
		t.Run(h.name, func(t *testing.T) {
			require.False(t, names[h.name], "the name is there twice")
			names[h.name] = true
			data := []byte(h.build(n))
			accepted, err := readers[h.reader](data)
			pointer, offset, _ := place(err)
			switch {
			case h.want != nil:
				require.ErrorIs(t, err, h.want)
				assert.Contains(t, err.Error(), h.text)
				assert.Less(t, len(err.Error()), 3000)
				assert.LessOrEqual(t, offset, int64(len(data)))
				assert.Equal(t, h.read, accepted)
			case h.read == -2: // nothing to read
				require.NoError(t, err)
				assert.Zero(t, accepted)
			case h.read == -1: // read, and refused for what it says
				require.Error(t, err)
				assert.Equal(t, h.pointer, pointer)
			default:
				require.NoError(t, err)
				assert.NotEmpty(t, h.text, "why it is accepted")
				assert.Equal(t, max(1, h.read), accepted)
			}
			if h.pointer != "" {
				assert.Equal(t, h.pointer, pointer)
			}
			if h.reader != "record" {
				return
			}
			_, verdict := readers["validate"](data)
			assert.Equal(t, err == nil, verdict == nil, "the schema: %v, the reader: %v", verdict, err)
			if h.want == moistheat.ErrLimit && h.name == "a pack too many" {
				return // a finding: the document could be checked
			}
			if h.want == moistheat.ErrLimit || h.want == moistheat.ErrSyntax {
				require.ErrorIs(t, verdict, h.want)
				p, o, _ := place(verdict)
				assert.Equal(t, pointer, p)
				assert.Equal(t, offset, o)
			}
		})
	}
	assert.GreaterOrEqual(t, len(hostiles), 60)
}

// A document that is cut off at any byte is refused there, by every reader.
func TestTruncatedEverywhere(t *testing.T) {
	documents := map[string][]byte{"record": record(2, 3), "policy": nil, "table": nil, "figures": nil, "water": nil}
	for kind, name := range map[schema.Kind]string{schema.Policy: "policy", schema.CycleTable: "table", schema.PackagingFigures: "figures", schema.WaterLimits: "water"} {
		for _, data := range builtIn(t, kind) {
			var small bytes.Buffer
			require.NoError(t, json.Compact(&small, data))
			if documents[name] == nil || small.Len() < len(documents[name]) {
				documents[name] = small.Bytes()
			}
		}
	}
	for name, data := range documents {
		require.NotEmpty(t, data, name)
		step := 1 + len(data)/4000
		for i := 0; i < len(data); i += step {
			_, err := readers[name](data[:i])
			require.ErrorIs(t, err, moistheat.ErrSyntax, "%s, %d bytes", name, i)
			if _, offset, _ := place(err); offset >= 0 {
				require.LessOrEqual(t, offset, int64(i))
			}
			if name == "record" {
				_, err := readers["validate"](data[:i])
				require.ErrorIs(t, err, moistheat.ErrSyntax, "%d bytes", i)
				_, err = readers["records"](append(data[:i:i], '\n'))
				if len(bytes.TrimSpace(data[:i])) > 0 {
					require.ErrorIs(t, err, moistheat.ErrSyntax, "%d bytes", i)
				}
			}
		}
	}
}

// allocated returns the bytes that a reader allocates for an input.
func allocated(read func([]byte) (int, error), data []byte) uint64 {
	_, _ = read(data) // tables and schemas are made ready once
	var before, after runtime.MemStats
	least := ^uint64(0)
	for range 3 { // other goroutines allocate too
		runtime.ReadMemStats(&before)
		_, _ = read(data)
		runtime.ReadMemStats(&after)
		least = min(least, after.TotalAlloc-before.TotalAlloc)
	}
	return least
}

// Twice the input takes about twice the memory at most, and a byte no more than 81: a
// small pack of 40 bytes is 3 kB in Go.
func TestHostileMemory(t *testing.T) {
	if !testrun.Full() {
		t.Skip("in CI, where tests are not in short")
	}
	const n = 1 << 18
	for _, h := range hostiles {
		small, large := []byte(h.build(n)), []byte(h.build(2*n))
		b := allocated(readers[h.reader], large)
		constant := 256 << 10
		if h.reader == "policy" {
			constant = 1 << 20 // its base is read too
		}
		if strings.HasPrefix(h.name, "bad lines") {
			constant += 1 << 10 * bytes.Count(large, []byte("\n")) // an error a line
		}
		assert.LessOrEqual(t, float64(b), 81*float64(len(large))+float64(constant), "%s: %d bytes for %d", h.name, b, len(large))
		if len(large) < len(small)*19/10 {
			continue // of one size
		}
		a := allocated(readers[h.reader], small)
		assert.LessOrEqual(t, float64(b), 2.2*float64(a)+16<<10, "%s: %d bytes for %d, %d for %d", h.name, a, len(small), b, len(large))
	}
}

// A report of a million findings is checked at its true size: the first 25 that are
// wrong are said, the others counted, and what is found beyond 1,000 is counted too.
func TestMillionFindings(t *testing.T) {
	if testing.Short() {
		t.Skip("at its true size")
	}
	million := testrun.Sample(1_000_000, 8)
	counts := func(findings []moistheat.Finding, rule string) (at []string) {
		for _, f := range findings {
			for _, p := range f.Params {
				if f.Rule == rule && p.Name == "count" {
					at = append(at, f.Pointer+" "+p.Value.String())
				}
			}
		}
		return at
	}
	check := func(first string, n int) []moistheat.Finding {
		data := []byte(`{"format":"moistheat.report/1","findings":[` + strings.Repeat(first+",", n) + strings.Repeat("{},", million-n-1) + "{}]}")
		var findings []moistheat.Finding
		var err error
		bytes := allocated(func(data []byte) (int, error) {
			findings, err = schema.Validate(schema.Report, data)
			return 0, err
		}, data)
		t.Logf("%d bytes, %d bytes allocated", len(data), bytes)
		require.NoError(t, err)
		assert.Less(t, bytes, 60*uint64(len(data)))
		return findings
	}

	// Of the fifteen members that a report has, thirteen are missing, and three of each finding.
	findings := check("{}", 0)
	assert.Len(t, findings, 13+1+1+25*3, "missing members, too many findings, those not checked")
	assert.Equal(t, []string{fmt.Sprint("/findings ", million-25)}, counts(findings, "schema.items.unchecked"))
	assert.Empty(t, counts(findings, "schema.findings.omitted"))

	// 250 unknown members in each of them.
	findings = check("{"+strings.TrimSuffix(manyNames(250), ",")+"}", 25)
	assert.Len(t, findings, 1001)
	assert.Equal(t, []string{fmt.Sprint("/findings ", million-25)}, counts(findings, "schema.items.unchecked"))
	assert.Equal(t, []string{fmt.Sprint(" ", 13+1+1+25*(3+250)-1000)}, counts(findings, "schema.findings.omitted"))

	// Whole findings, so many, are more than a report may have of bytes.
	const whole = `{"rule":"r","outcome":"met","pointer":"","message":"It is not met."}`
	_, err := schema.Validate(schema.Report,
		[]byte(`{"format":"moistheat.report/1","findings":[`+strings.Repeat(whole+",", 1_000_000-1)+whole+"]}"))
	require.ErrorIs(t, err, moistheat.ErrLimit)

	// As many as fit are too many. 25,001 of them were looked at.
	findings, err = schema.Validate(schema.Report, []byte(`{"format":"moistheat.report/1","findings":[`+strings.Repeat(whole+",", 700_000-1)+whole+"]}"))
	require.NoError(t, err)
	assert.Len(t, findings, 13+1+1)
	assert.Equal(t, []string{"/findings 674999"}, counts(findings, "schema.items.unchecked"))
}

// policyOf is a facility's policy of n rules, none of which asks less.
func policyOf(n int) []byte {
	var b strings.Builder
	b.WriteString(`{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"us-cdc-2003","rules":[`)
	for i, r := range load.Rules() {
		if i == n {
			break
		}
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, `{"id":%q,"inForce":true,"decision":{"by":"Dr Y. Tanaka","date":"2026-01-12","reason":"agreed at the quarterly review"}}`, r.ID)
	}
	b.WriteString("]}")
	return []byte(b.String())
}

// largest returns the largest of the documents that a reader accepts.
func largest(b *testing.B, kind schema.Kind, reader string) []byte {
	var out []byte
	for _, data := range builtIn(b, kind) {
		if _, err := readers[reader](data); err == nil && len(data) > len(out) {
			out = data
		}
	}
	require.NotEmpty(b, out, reader)
	return out
}

// items returns what each reader of the benchmark is given on a good day.
func items(b *testing.B) map[string][][]byte {
	week, err := os.ReadFile("../examples/badweek/week.ndjson")
	require.NoError(b, err)
	var events, stored [][]byte
	for line := range bytes.Lines(week) {
		if bytes.Contains(line, []byte(`"moistheat.event/1"`)) {
			events = append(events, line)
		}
		if bytes.Contains(line, []byte(`"moistheat.stored/1"`)) {
			stored = append(stored, line)
		}
	}
	checked, err := load.Decode(record(500, 2000))
	require.NoError(b, err)
	policy, err := load.PolicyFor("us-cdc-2003")
	require.NoError(b, err)
	report, err := json.Marshal(load.Check(checked, policy))
	require.NoError(b, err)
	single := func(data []byte) [][]byte { return [][]byte{data} }
	return map[string][][]byte{
		"record": single(record(500, 2000)), "validate": single(record(500, 2000)),
		"records": single(week), "entries": single(week), "test": events, "stored": stored,
		"validate line": append(events, stored...), "validate report": single(report),
		"policy": single(policyOf(1000)), "validate policy": single(policyOf(1000)),
		"table": single(largest(b, schema.CycleTable, "table")), "validate table": single(largest(b, schema.CycleTable, "table")),
		"figures": single(largest(b, schema.PackagingFigures, "figures")), "water": single(largest(b, schema.WaterLimits, "water")),
		"vectors": single(largest(b, schema.Vectors, "vectors")),
		"csv":     single([]byte(strings.Repeat("1000.5,134.25\n", 1<<18/14))),
	}
}

// BenchmarkHostile prints the time for each byte of a good input of every reader and
// of every hostile one, and how the slowest of a reader compares with the good one.
// A stream of bad lines of a byte or two is compared by the line and not by the byte:
// its reader yields an error for each.
func BenchmarkHostile(b *testing.B) {
	const n = 1 << 18
	perByte := func(b *testing.B, read func([]byte) (int, error), inputs ...[]byte) float64 {
		size := 0
		for _, data := range inputs {
			size += len(data)
		}
		b.SetBytes(int64(size))
		least := time.Hour
		for b.Loop() {
			start := time.Now()
			for _, data := range inputs {
				_, _ = read(data)
			}
			least = min(least, time.Since(start))
		}
		return float64(least) / float64(size)
	}
	perLine := func(data []byte) float64 { return float64(len(data)) / float64(bytes.Count(data, []byte("\n"))) }
	good := items(b)
	for _, reader := range slices.Sorted(maps.Keys(good)) {
		var base, worst float64
		b.Run(reader+"/good", func(b *testing.B) {
			for _, data := range good[reader] {
				if _, err := readers[reader](data); reader != "entries" && reader != "records" {
					require.NoError(b, err)
				}
			}
			base = perByte(b, readers[reader], good[reader]...)
			b.ReportMetric(base, "ns/byte")
		})
		for _, h := range hostiles {
			if h.reader != reader {
				continue
			}
			data := []byte(h.build(n))
			if len(data) < n/2 {
				continue // what is small costs what starting costs
			}
			b.Run(reader+"/"+strings.TrimPrefix(h.name, reader+": "), func(b *testing.B) {
				x := perByte(b, readers[reader], data)
				b.ReportMetric(x, "ns/byte")
				ratio := x / base
				if strings.HasPrefix(h.name, "bad lines") { // each gives its caller an error
					ratio *= perLine(data) / perLine(good[reader][0])
				}
				worst = max(worst, ratio)
				b.ReportMetric(ratio, "x-good")
			})
		}
		if worst == 0 {
			continue // none of the hostile ones was asked for
		}
		b.Run(reader+"/worst", func(b *testing.B) {
			for b.Loop() {
			}
			b.ReportMetric(worst, "worst/good")
		})
	}
}
