package corpus_test

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/tools/corpus"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

func TestMain(m *testing.M) { testrun.Main(m) }

const corpusDir = "../../../load/loadtest/corpus"

// small is a corpus of one base and the given file of vectors.
func small(t *testing.T, base, file string) (*loadtest.Corpus, error) {
	t.Helper()
	pouches, err := os.ReadFile(corpusDir + "/bases/pouches.json")
	require.NoError(t, err)
	if base == "" {
		base = `{"name": "pouches", "judges": "record", "about": "pouches", "clean": ["us-cdc-2003"]}`
	}
	return loadtest.Read(fstest.MapFS{
		"bases.json":         {Data: []byte(`{"format": "moistheat.bases/1", "bases": [` + base + `]}`)},
		"bases/pouches.json": {Data: pouches},
		"vectors/seals.json": {Data: []byte(file)},
	})
}

const good = `{"id": "load.pack.wet: broken", "rule": "load.pack.wet", "case": "broken", "judges": "record", "policy": "us-cdc-2003", "base": "pouches",
	"patch": [{"op": "replace", "path": "/packs/0/condition/intact", "value": true}, {"op": "add", "path": "/packs/0/condition/repacked", "value": false}, {"op": "replace", "path": "/packs/0/condition/dry", "value": false}],
	"expect": {"outcome": "broken", "pointer": "/packs/0/condition"}, "why": "RACGP guidelines."}`

func file(vector, exempt string) string {
	return `{"format": "moistheat.vectors/1", "about": "seals", "vectors": [` + vector + `], "exempt": [` + exempt + `]}`
}

func TestLintFindsNothingWrong(t *testing.T) {
	c, err := small(t, "", file(good, `{"rule": "load.pack.wet", "case": "at the limit", "why": "compares no quantity"}`))
	require.NoError(t, err)
	assert.Empty(t, corpus.Lint(c))
}

func TestLintFinds(t *testing.T) {
	swap := func(old, with string) string {
		require.Contains(t, good, old)
		return strings.Replace(good, old, with, 1)
	}
	for _, test := range []struct{ name, base, vector, exempt, want string }{
		{"id of another case", "", swap(`wet: broken`, `wet: met`), "", "the id is not"},
		{"id with an empty end", "", swap(`wet: broken`, `wet: broken, `), "", "the id is not"},
		{"no reason", "", swap(`RACGP guidelines.`, ` `), "", "does not say why"},
		{"unknown base", "", swap(`"base": "pouches"`, `"base": "boxes"`), "", `there is no base "boxes"`},
		{"unknown policy", "", swap(`"policy": "us-cdc-2003"`, `"policy": "nowhere"`), "", "unknown policy"},
		{"judge that does not fit", "", swap(`"judges": "record"`, `"judges": "stored"`), "", "judges a stored"},
		{"outcome that is not the case's", "", swap(`"outcome": "broken"`, `"outcome": "met"`), "", "does not expect met"},
		{"not as expected", "", swap(`"pointer": "/packs/0/condition"`, `"pointer": "/packs/1/condition"`), "", "want load.pack.wet"},
		{"patch that leads nowhere", "", swap(`/packs/0/condition/dry`, `/packs/7/condition/dry`), "", "beyond the end"},
		{"unknown rule beside it", "", swap(`"pointer": "/packs/0/condition"`, `"pointer": "/packs/0/condition", "also": [{"rule": "load.x.y", "outcome": "broken"}]`), "", `there is no rule "load.x.y"`},
		{"pointer of what does not apply", "", strings.NewReplacer("broken", "not applicable").Replace(good), "", "not applicable has no pointer"},
		{"base under an unknown policy", `{"name": "pouches", "judges": "record", "about": "x", "clean": ["us-cdc-nowhere"]}`, good, "", "base pouches"},
		{"base that is clean nowhere", `{"name": "pouches", "judges": "record", "about": "x", "clean": []}`, good, "", "clean under no policy"},
		{"exempt rule that is unknown", "", good, `{"rule": "load.x.y", "case": "broken", "why": "x"}`, `there is no rule "load.x.y"`},
		{"exempt without a reason", "", good, `{"rule": "load.pack.dropped", "case": "broken", "why": ""}`, "does not say why"},
		{"exempt though it has a vector", "", good, `{"rule": "load.pack.wet", "case": "broken", "why": "x"}`, "there is such a vector"},
		{"exempt from its limit", "", good, `{"rule": "cycle.hold.short", "case": "at the limit", "why": "x"}`, "carry a limit"},
	} {
		t.Run(test.name, func(t *testing.T) {
			c, err := small(t, test.base, file(test.vector, test.exempt))
			require.NoError(t, err)
			assert.Contains(t, strings.Join(corpus.Lint(c), "\n"), test.want)
		})
	}
}

func TestLintFindsAnOpenBase(t *testing.T) {
	pouches, err := os.ReadFile(corpusDir + "/bases/pouches.json")
	require.NoError(t, err)
	c, err := loadtest.Read(fstest.MapFS{
		"bases.json":         {Data: []byte(`{"format": "moistheat.bases/1", "bases": [{"name": "pouches", "judges": "record", "about": "x", "clean": ["us-cdc-2003"]}]}`)},
		"bases/pouches.json": {Data: bytes.Replace(pouches, []byte(`"reused": false`), []byte(`"reused": true`), 1)},
	})
	require.NoError(t, err)
	assert.Equal(t, []string{"base pouches: under us-cdc-2003 these are open: " +
		`packaging.barrier.reused "/packs/0/reused" broken, load.release.contradicted "/release/decision" broken`}, corpus.Lint(c))
}

func TestReadIsStrict(t *testing.T) {
	for name, text := range map[string]string{
		"another format":   strings.Replace(file(good, ""), "vectors/1", "vectors/2", 1),
		"unknown member":   strings.Replace(file(good, ""), `"about"`, `"colour": 1, "about"`, 1),
		"unknown case":     strings.Replace(file(good, ""), `"case": "broken"`, `"case": "smashed"`, 1),
		"id given twice":   file(good+","+good, ""),
		"unknown rule":     file(strings.ReplaceAll(good, "load.pack.wet", "load.pack.soggy"), ""),
		"no rule":          strings.Replace(file(good, ""), `"rule": "load.pack.wet", `, ``, 1),
		"name given twice": strings.Replace(file(good, ""), `"about"`, `"about": "x", "about"`, 1),
	} {
		_, err := small(t, "", text)
		assert.Error(t, err, name)
	}
	_, err := small(t, `{"name": "other", "judges": "record", "about": "x", "clean": []}`, file(good, ""))
	assert.ErrorIs(t, err, fs.ErrNotExist)
}

func TestCoverage(t *testing.T) {
	c, err := small(t, "", file(good, `{"rule": "load.pack.dropped", "case": "at the limit", "why": "compares no quantity"}`))
	require.NoError(t, err)
	cov := corpus.Cover(c)
	// A wet pack cannot be waived: no policy puts the rule out of force.
	assert.Equal(t, []loadtest.Case{loadtest.CaseMet, loadtest.CaseAtLimit, loadtest.CaseUndetermined, loadtest.CaseNotApplicable, loadtest.CaseUnitVariant}, cov.Lacks("load.pack.wet"))
	assert.NotContains(t, cov.Lacks("load.pack.dropped"), loadtest.CaseAtLimit)
	assert.NotContains(t, cov.Lacks("load.pack.dropped"), loadtest.CaseUnitVariant, "no quantity, no unit")
	assert.Contains(t, cov.Table(), "load.pack.wet")
	assert.Contains(t, strings.Join(cov.Missing(), "\n"), "load.pack.wet: met, at the limit")
	assert.Contains(t, cov.Summary(), "1 vectors, 0 worked out by hand")
}

// Writing a file in the one shape changes nothing that it says.
func TestFormatSaysTheSame(t *testing.T) {
	c, err := loadtest.Read(os.DirFS(corpusDir))
	require.NoError(t, err)
	for name, f := range c.Files() {
		if !testrun.Full() && len(name)%3 > 0 {
			continue
		}
		data, err := corpus.Format(f)
		require.NoError(t, err)
		was, err := os.ReadFile(corpusDir + "/vectors/" + name + ".json")
		require.NoError(t, err)
		var a, b any
		require.NoError(t, json.Unmarshal(was, &a))
		require.NoError(t, json.Unmarshal(data, &b))
		if !assert.Equal(t, a, b, "%s: writing it again says something else", name) {
			continue
		}
		again, err := loadtest.Read(fstest.MapFS{"bases.json": {Data: []byte(`{"format": "moistheat.bases/1", "bases": []}`)}, "vectors/x.json": {Data: data}})
		require.NoError(t, err)
		twice, err := corpus.Format(again.Files()["x"])
		require.NoError(t, err)
		assert.True(t, bytes.Equal(data, twice), "%s: written twice", name)
	}
}

func TestDerive(t *testing.T) {
	narrow := `{"id": "packaging.seal.narrow: broken", "rule": "packaging.seal.narrow", "case": "broken", "judges": "record", "policy": "en-13060", "base": "pouches",
		"patch": [{"op": "replace", "path": "/packs/0/seal/width", "value": {"value": 5.9, "unit": "mm"}}],
		"expect": {"outcome": "broken", "pointer": "/packs/0/seal/width", "only": true,
			"also": [{"rule": "load.release.contradicted", "pointer": "/release/decision", "outcome": "broken"}]},
		"why": "EN 868-5:2009, 4.3.2", "byHand": true}`
	c, err := small(t, "", file(narrow+","+good, ""))
	require.NoError(t, err)
	derived, err := corpus.Derive(c)
	require.NoError(t, err)
	byID := map[string]*loadtest.Vector{}
	for _, d := range derived {
		assert.True(t, strings.HasPrefix(d.Name, "derived-"))
		for _, v := range d.File.Vectors {
			byID[v.ID] = v
			assert.NoError(t, v.Run(nil))
			assert.False(t, v.ByHand, v.ID)
		}
	}
	require.Contains(t, byID, "packaging.seal.narrow: day of validity")
	require.Contains(t, byID, "packaging.seal.narrow: day before")
	assert.Contains(t, string(byID["packaging.seal.narrow: day of validity"].Policy), `"from":"2026-03-09"`, "the date of the base")
	assert.Contains(t, string(byID["packaging.seal.narrow: day before"].Policy), `"from":"2026-03-10"`)
	require.Contains(t, byID, "packaging.seal.narrow: not in force")
	variant := byID["packaging.seal.narrow: unit variant, broken"]
	require.NotNil(t, variant)
	var q struct {
		Value json.Number
		Unit  string
	}
	require.NoError(t, json.Unmarshal(variant.Patch[0].Value, &q))
	assert.NotEqual(t, "mm", q.Unit)
	assert.Len(t, byID, 4, "nobody may put the rule on wet packs out of force, and it compares no quantity")
}

// Two elements that are added at the end of one list stay two.
func TestDeriveOfAddedElements(t *testing.T) {
	added := func(area string) string {
		return `{"op": "add", "path": "/packs/0/indicators/-", "value": {"place": "external", "type": 1, "area": {"value": ` + area + `, "unit": "mm2"}, "result": "reached"}}`
	}
	c, err := small(t, "", file(`{"id": "packaging.indicator.void: broken", "rule": "packaging.indicator.void", "case": "broken", "judges": "record", "policy": "us-cdc-2003", "base": "pouches",
		"patch": [`+added("150")+`, `+added("300")+`], "expect": {"outcome": "broken"}, "why": "two of them"}`, ""))
	require.NoError(t, err)
	derived, err := corpus.Derive(c)
	require.NoError(t, err)
	var patch []loadtest.Op
	for _, d := range derived {
		for _, v := range d.File.Vectors {
			if v.Case == loadtest.CaseUnitVariant {
				patch = v.Patch
			}
		}
	}
	require.Len(t, patch, 2)
	assert.NotContains(t, string(patch[0].Value), "mm2")
	assert.NotEqual(t, string(patch[0].Value), string(patch[1].Value))
}

func TestRespell(t *testing.T) {
	doc, err := json.Marshal(loadtest.Pouches())
	require.NoError(t, err)
	same, n, err := corpus.Respell(doc, loadtest.SubjectRecord, corpus.Respelling{})
	require.NoError(t, err)
	assert.Zero(t, n)
	assert.JSONEq(t, string(doc), string(same))

	out, n, err := corpus.Respell(doc, loadtest.SubjectRecord, corpus.Respelling{Quantities: func(p string) bool { return p == "/packs/0/mass" }})
	require.NoError(t, err)
	assert.Equal(t, 1, n)
	r, err := load.Decode(out)
	require.NoError(t, err)
	was := loadtest.Pouches().Packs[0].Mass
	assert.NotEqual(t, was.Unit(), r.Packs[0].Mass.Unit())
	assert.Zero(t, was.Compare(r.Packs[0].Mass), "exactly the same")

	out, n, err = corpus.Respell(doc, loadtest.SubjectRecord, corpus.Respelling{Zone: time.FixedZone("", 3*3600)})
	require.NoError(t, err)
	assert.Positive(t, n)
	r, err = load.Decode(out)
	require.NoError(t, err)
	assert.True(t, r.Cycle.Started.Equal(loadtest.Pouches().Cycle.Started))
	_, offset := r.Cycle.Started.Zone()
	assert.Equal(t, 3*3600, offset)

	_, n, err = corpus.Respell(doc, loadtest.SubjectRecord, corpus.Respelling{Zone: time.FixedZone("", -12*3600)})
	require.NoError(t, err)
	assert.Zero(t, n, "some instants would fall on another day")
}
