package lang_test

import (
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/lang"
)

func names(text string) []string {
	out := []string{}
	for _, p := range lang.Parameters(text) {
		name, _, _ := strings.Cut(p, ":")
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out
}

// German has every text, none that the library does not have, and in each the parameters
// of the English one.
func TestGermanKeepsPace(t *testing.T) {
	de := lang.German()
	assert.Empty(t, de.Missing())
	for en, own := range de.Texts {
		assert.True(t, lang.Known(en), "unused: %q", en)
		assert.Equal(t, names(en), names(own), en)
	}
}

func none(string) (lang.Detail, bool) { return lang.Detail{}, false }

func with(value string) func(string) (lang.Detail, bool) {
	return func(name string) (lang.Detail, bool) { return lang.Data(value), name == "v" }
}

func TestValuesByLocale(t *testing.T) {
	de, en := lang.German(), (*lang.Catalogue)(nil)
	for _, c := range []struct{ text, value, english, german string }{
		{"{v:number}", "1.5", "1.5", "1,5"},
		{"{v:number}", "1,234", "1,234", "1.234"},
		{"{v:number}", "4 min 22.357 s", "4 min 22.357 s", "4 min 22,357 s"},
		{"{v:number}", "203.5 kPa gauge", "203.5 kPa gauge", "203,5 kPa " + de.Find("gauge")},
		{"{v:date}", "2026-03-14", "14 March 2026", "14. März 2026"},
		{"{v:date}", "14 March 2026", "14 March 2026", "14. März 2026"},
		{"{v:date}", "2026-03-14T09:05:00+01:00", "14 March 2026 09:05", "14. März 2026, 09:05 Uhr"},
		{"{v:date}", "LOT-7", "LOT-7", "LOT-7"},
		{"{v}", "release 1.5", "release 1.5", "release 1.5"},
		{"{v:moistheat.Reason}", "contradictory", "contradictory", "widersprüchlich"},
		{"{w}", "1.5", "{w}", "{w}"},
		{"{v", "1.5", "{v", "{v"},
	} {
		assert.Equal(t, c.english, en.Say(c.text, with(c.value)), "%s of %s", c.text, c.value)
		assert.Equal(t, c.german, de.Say(c.text, with(c.value)), "%s of %s", c.text, c.value)
	}
}

// parse reads a language with some texts.
func parse(t *testing.T, texts map[string]string) *lang.Catalogue {
	t.Helper()
	data, err := json.Marshal(map[string]any{"format": lang.Format, "language": "xx", "texts": texts})
	require.NoError(t, err)
	c, fault := lang.Parse(data)
	require.Nil(t, fault)
	return c
}

// A value that was put together from a text is known again, whatever stands in it, and in
// a list, too.
func TestPhrases(t *testing.T) {
	c := parse(t, map[string]string{
		"test-kind: {1:calendar.EventKind} test": "T[{1}]", "calendar.EventKind: leak": "L",
		"duty-every: at least every {1:text}": "E[{1}]", "number-of-days: {1:number} days": "[{1}]D",
		"lots-differ: the control is of lot {1}, the indicator of lot {2}": "K[{2}][{1}]",
		", except 1 pack":                    "-",
		"event-kind: {1:calendar.EventKind}": "{1}", "calendar.EventKind: calibration": "C",
	})
	for value, want := range map[string]string{
		"leak test":                        "T[L]",
		"leak test, at least every 7 days": "T[L], E[[7]D]",
		"the control is of lot , a, the indicator of lot b": "K[b][, a]",
		"some days":                          "some days",
		"7 days":                             "[7]D",
		"another test":                       "another test",
		"calibration, at least every 7 days": "C, E[[7]D]",
		"at least every ":                    "at least every ",
	} {
		assert.Equal(t, want, c.Say("{v:text}", with(value)), value)
	}
}

// What a report that was read back holds may name itself without end.
func TestSelfReference(t *testing.T) {
	for _, text := range []string{"{v:text}", "{v:text}{v:text}", "{v:text}, {v:text} and {v:text}"} {
		assert.Less(t, len(lang.German().Say("{v:text}", with(text))), 4096, text)
	}
}

func TestParseRefuses(t *testing.T) {
	const known = `"Nothing is open."`
	for name, c := range map[string]struct{ doc, pointer, problem string }{
		"no object": {`[]`, "", "cannot unmarshal"},
		"two":       {`{} {}`, "", "something follows"},
		"format":    {`{"format":"x","language":"fr","texts":{}}`, "/format", "moistheat.language/1"},
		"name":      {`{"format":"moistheat.language/1","language":"","texts":{}}`, "/language", "no name"},
		"taken":     {`{"format":"moistheat.language/1","language":"de","texts":{}}`, "/language", "de-x-own"},
		"decimal":   {`{"format":"moistheat.language/1","language":"fr","decimal":"x","texts":{}}`, "/decimal", "comma"},
		"months":    {`{"format":"moistheat.language/1","language":"fr","months":["a"],"texts":{}}`, "/months", "twelve"},
		"unknown": {`{"format":"moistheat.language/1","language":"fr","texts":{"Nothing is opn.":"x"}}`, "/texts",
			`did you mean "Nothing is open."?`},
		"parameter": {`{"format":"moistheat.language/1","language":"fr","texts":{` + known + `:"{pack}"}}`, "/texts",
			"{pack}"},
		"twice": {`{"format":"moistheat.language/1","language":"fr","texts":{` + known + `:"a",` + known + `:"b"}}`,
			"/texts/Nothing is open.", "twice"},
		"not own": {`{"format":"moistheat.language/1","language":"fr","texts":{},"own":{` + known + `:"a"}}`, "/own",
			"under texts"},
		"not a text": {`{"format":"moistheat.language/1","language":"fr","texts":{` + known + `:1}}`, "",
			"cannot unmarshal"},
		"other member": {`{"format":"moistheat.language/1","language":"fr","texts":{},"x":1}`, "/x", "not in the list"},
		"other case": {`{"format":"moistheat.language/1","language":"fr","texts":{},"Own":{}}`, "/Own",
			`did you mean "own"?`},
		"null":       {`{"format":"moistheat.language/1","language":"fr","texts":{},"day":null}`, "/day", "null"},
		"null month": {`{"format":"moistheat.language/1","language":"fr","texts":{},"months":[null]}`, "/months", "null"},
		"null text":  {`{"format":"moistheat.language/1","language":"fr","texts":{` + known + `:null}}`, "/texts", "null"},
		"missing":    {`{"format":"moistheat.language/1","language":"fr"}`, "/texts", "missing"},
		"no UTF-8":   {"{\"format\":\"\xff\"}", "/format", "UTF-8"},
		"large":      {strings.Repeat(" ", 5<<20), "", "more than the 4194304 allowed"},
	} {
		_, fault := lang.Parse([]byte(c.doc))
		if assert.NotNil(t, fault, name) {
			assert.Equal(t, c.pointer, fault.Pointer, name)
			assert.Contains(t, fault.Problem, c.problem, name)
		}
	}
}

// A text that a language lacks stays English, and is named.
func TestMissing(t *testing.T) {
	c := parse(t, map[string]string{"Nothing is open.": "Rien."})
	assert.Equal(t, "Rien.", c.Say("Nothing is open.", none))
	assert.Equal(t, "What the physical record shows", c.Say("What the physical record shows", none))
	missing := c.Missing()
	assert.Contains(t, missing, "What the physical record shows")
	assert.NotContains(t, missing, "Nothing is open.")
}

// A form of German has the texts, numbers and dates of German but for its own.
func TestFormOfGerman(t *testing.T) {
	c, fault := lang.Parse([]byte(`{"format":"moistheat.language/1","language":"de-AT","texts":{},
		"months":["Jänner","Februar","März","April","Mai","Juni","Juli","August","September","Oktober","November",
			"Dezember"],
		"own":{"{n:number} trays, {d:date}":"{n} Tabletts, {d}"}}`))
	require.Nil(t, fault)
	assert.Empty(t, c.Missing())
	assert.Equal(t, lang.German().Find("Nothing is open."), c.Find("Nothing is open."))
	values := map[string]string{"n": "1.5", "d": "2026-01-03"}
	assert.Equal(t, "1,5 Tabletts, 3. Jänner 2026",
		c.Say("{n:number} trays, {d:date}", func(name string) (lang.Detail, bool) { return lang.Data(values[name]), true }))
	assert.Equal(t, "3. Januar 2026", lang.German().Date("2026-01-03"), "which is as it was")
}

// The catalogue is written as its format is, so that it can serve as a model for others.
func TestGermanParses(t *testing.T) {
	data, err := os.ReadFile("de.json")
	require.NoError(t, err)
	_, fault := lang.Parse([]byte(strings.Replace(string(data), `"language": "de"`, `"language": "de-x-own"`, 1)))
	assert.Nil(t, fault)
}

// A number is written without zeros at its end and a day in words, in any language; what is no
// number stays.
func TestNumberForPeople(t *testing.T) {
	for v, want := range map[string][2]string{
		"8 d":          {"8 days", "8 Tage"},
		"1 d":          {"1 day", "1 Tag"},
		"1.10 d":       {"1.1 days", "1,1 Tage"},
		"8 days":       {"8 days", "8 Tage"}, // what was written so before
		"500.000 %":    {"500 %", "500 %"},
		"0.480 %":      {"0.48 %", "0,48 %"},
		"-0.50 K":      {"-0.5 K", "-0,5 K"},
		"1,200.50 m":   {"1,200.5 m", "1.200,5 m"},
		"100 mg/L":     {"100 mg/L", "100 mg/L"},
		"3 min 40.0 s": {"3 min 40 s", "3 min 40 s"},
		"1.2.0":        {"1.2.0", "1,2,0"},
		"d":            {"d", "d"},
	} {
		assert.Equal(t, want[0], (*lang.Catalogue)(nil).Number(v), v)
		assert.Equal(t, want[1], lang.German().Number(v), v)
	}
}

// A period of one day or instant is that one.
func TestPeriod(t *testing.T) {
	say := func(c *lang.Catalogue, first, last string) string {
		values := map[string]string{"first": first, "last": last}
		return c.Say("{machine} out of service {first-last:period}", func(name string) (lang.Detail, bool) {
			v, ok := values[name]
			return lang.Data(v), ok
		})
	}
	const rest = "{machine} out of service "
	assert.Equal(t, rest+"from 8 May 2026 to 9 May 2026", say(nil, "2026-05-08", "2026-05-09"))
	assert.Equal(t, rest+"on 8 May 2026", say(nil, "2026-05-08", "2026-05-08"))
	assert.Equal(t, rest+"on 8 May 2026 07:00", say(nil, "2026-05-08T07:00:00Z", "8 May 2026 07:00"))
	assert.Equal(t, rest+"am 8. Mai 2026", say(lang.German(), "2026-05-08", "2026-05-08"))
	assert.Equal(t, rest+"vom 8. Mai 2026 bis 9. Mai 2026", say(lang.German(), "2026-05-08", "2026-05-09"))
	assert.Equal(t, rest+"{first-last:period}", (*lang.Catalogue)(nil).Say(rest+"{first-last:period}",
		none), "not known")
}

// A word alone could mean something else in another sentence, and be taken for the name of a thing:
// it has the sort of its parameters as a key. Notation means the same everywhere.
func TestNoWordWithoutItsSort(t *testing.T) {
	notation := strings.Fields("Monday Sunday absolute as day days difference gauge per")
	for _, en := range lang.English() {
		alone := en != "" && strings.IndexFunc(en, func(r rune) bool { return !unicode.IsLetter(r) && r != '-' }) < 0
		assert.False(t, alone && !slices.Contains(notation, en), "%q: make it a lang.Term", en)
	}
}

// Each sort of parameters that is not one of the package's own has words, and each word a
// parameter that takes it.
func TestSortsHaveWords(t *testing.T) {
	sorts, words := map[string]string{}, map[string]bool{}
	for _, en := range lang.English() {
		for _, p := range lang.Parameters(en) {
			_, sort, _ := strings.Cut(p, ":")
			sorts[sort] = en
		}
		if sort, word, ok := strings.Cut(en, ": "); ok && !strings.ContainsAny(sort, " {") && word != "" {
			words[sort] = true
		}
	}
	for _, own := range []string{"", "text", "name", "number", "date", "period"} {
		delete(sorts, own)
	}
	for sort, en := range sorts {
		assert.True(t, words[sort], "no word of the sort {:%s} of %q", sort, en)
	}
	for _, sort := range strings.Fields("relation feed label record type stored described side state reading test fact") {
		assert.Contains(t, sorts, sort, "words that no parameter takes")
	}
}
