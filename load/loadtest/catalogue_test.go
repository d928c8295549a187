package loadtest_test

import (
	"encoding/json"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// Of a log as a clinic has it some is open that keeps nothing back.
func TestExpectBlocking(t *testing.T) {
	const clinic = "../../examples/checkload/clinic/"
	data, err := os.ReadFile(clinic + "catalogue.json")
	require.NoError(t, err)
	c, err := load.DecodeCatalogue(data)
	require.NoError(t, err)
	f, err := c.Facts()
	require.NoError(t, err)
	data, err = os.ReadFile(clinic + "log.json")
	require.NoError(t, err)
	log, err := load.Decode(data)
	require.NoError(t, err)
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	report := load.Check(f.Resolve(log, p), p)
	loadtest.ExpectBlocking(t, report)
	assert.NotEmpty(t, failing(func(t testing.TB) { loadtest.Expect(t, report) }).said, "some is open")
	log.Packs[1].Condition.Dry = moistheat.No
	report = load.Check(f.Resolve(log, p), p)
	assert.Contains(t, failing(func(t testing.TB) { loadtest.ExpectBlocking(t, report) }).said, "load.pack.wet")
	assert.NotEmpty(t, failing(func(t testing.TB) { loadtest.ExpectBlocking(t, nil) }).said)
}

// The record that refers is released with its catalogue, and says too little without it.
func TestByCatalogue(t *testing.T) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	whole := loadtest.Pouches()
	c, r := loadtest.ByCatalogue(whole)
	f, err := c.Facts()
	require.NoError(t, err)
	loadtest.Expect(t, load.Check(f.Resolve(r, p), p))
	assert.False(t, load.Check(r, p).Released())
	assert.Equal(t, loadtest.Pouches(), whole, "the record is the caller's")
	c, r = loadtest.ByCatalogue(nil)
	assert.Nil(t, r)
	require.NoError(t, c.Validate())
}

// What a vector's record says of its items and its sterilizer may stand in a catalogue
// instead: the outcomes of the vector, worked out from documents, are the same.
func TestVectorsByCatalogue(t *testing.T) {
	t.Parallel()
	all, err := loadtest.Conformance()
	require.NoError(t, err)
	tried := 0
	for i, v := range all.Vectors() {
		if v.Subject != loadtest.SubjectRecord || v.Catalogue != "" || !full() && i%20 != 0 {
			continue
		}
		doc, err := v.Document()
		require.NoError(t, err)
		r, err := load.Decode(doc)
		require.NoError(t, err)
		if r.AllPacks != nil { // which a record that is written out no longer has
			continue
		}
		c, short := loadtest.ByCatalogue(r)
		if len(c.Items) == 0 && len(c.Sterilizers) == 0 {
			continue
		}
		f, err := c.Facts()
		require.NoError(t, err, v.ID)
		written, err := json.Marshal(f.Resolve(short, nil))
		require.NoError(t, err, v.ID)
		j, err := v.Judge(written, nil)
		require.NoError(t, err, v.ID)
		assert.NoError(t, v.Compare(j))
		tried++
	}
	assert.Greater(t, tried, 100)
}

// What records state of items, packs, machines and staff can stand in a catalogue, and what is
// always done can be a practice. Of each rule that rests on such a member a vector shows it met
// from there, or it is said why none does.
func TestFactsFromElsewhere(t *testing.T) {
	all, err := loadtest.Conformance()
	require.NoError(t, err)
	shown := map[[2]string]bool{}
	for _, v := range all.Vectors() {
		if v.Catalogue != "" && v.Expect.Outcome == moistheat.Met {
			shown[[2]string{v.Rule, v.Catalogue}] = true
		}
	}
	var lack []string
	counts := map[string][2]int{} // by source: shown, lacking
	for _, rule := range load.Rules() {
		for source, members := range elsewhere {
			rests := false
			for a := range rule.Answers.All() {
				rests = rests || slices.Contains(members, a)
			}
			if !rests {
				continue
			}
			n, key := counts[source], rule.ID+" by "+source
			if shown[[2]string{rule.ID, source}] {
				n[0]++
				assert.Empty(t, unshown[key], "%s is shown", key)
			} else {
				n[1]++
				if unshown[key] == "" {
					lack = append(lack, key)
				}
			}
			counts[source] = n
		}
	}
	for _, v := range all.Vectors() {
		if v.Catalogue == "" || v.Expect.Outcome != moistheat.Met || v.Rule == "load.catalogue.contradicted" {
			continue
		}
		doc, err := v.Document()
		require.NoError(t, err)
		v.Catalogue = ""
		j, err := v.Judge(doc, nil)
		require.NoError(t, err)
		assert.Error(t, v.Compare(j), "%s: the record says it alone", v.ID)
	}
	slices.Sort(lack)
	t.Logf("rules shown from a catalogue, and not: %v; from a practice, and not: %v", counts["entries"], counts["practices"])
	assert.Empty(t, lack, "give it a vector in known-facts.json, or say here why not")
}

// elsewhere are members of a record that the two catalogues of the corpus can say.
var elsewhere = map[string][]string{
	"entries": {
		"/packs/-/items/-/class", "/packs/-/items/-/traits", "/packs/-/items/-/hasTraits", "/packs/-/items/-/materials",
		"/packs/-/barrier", "/packs/-/layers", "/packs/-/steamFit", "/packs/-/use", "/packs/-/label/on",
		"/packs/-/label/fastInk", "/packs/-/seal/width", "/packs/-/seal/strength", "/packs/-/indicators/-/type",
		"/packs/-/indicators/-/area", "/packs/-/indicators/-/expires", "/cycle/type", "/cycle/purpose",
		"/cycle/settings/hold", "/cycle/settings/temperature", "/cycle/settings/airRemoval", "/release/authorised",
		"/arrangement/trays/-/perforated", "/arrangement/trays/-/madeForChamber", "/arrangement/trays/-/lined",
		"/packs/-/items/-/heatTolerant", "/packs/-/items/-/guardVented", "/packs/-/items/-/kind", "/packs/-/items/-/lumens",
		"/packs/-/items/-/instructions", "/packs/-/items/-/instructions/airRemoval",
		"/packs/-/items/-/instructions/lubrication", "/packs/-/items/-/instructions/minTemperature", "/packs/-/double",
		"/packs/-/wrap/sheets", "/packs/-/wrap/steps", "/packs/-/wrap/bonded", "/packs/-/wrap/twoSheets",
		"/packs/-/size/length", "/packs/-/size/width", "/packs/-/size/height", "/packs/-/mass", "/packs/-/seal/method",
		"/packs/-/seal/lastTest", "/water/reservoir/water", "/cycle/settings/drying", "/sterilizer/onlyOne",
		"/sterilizer/cycleTypes", "/sterilizer/declaredFor", "/site/altitude", "/monitors/biologicals/-/expires",
		"/monitors/biologicals/-/readout", "/monitors/biologicals/-/temperature", "/arrangement/trays/-/width",
		"/arrangement/trays/-/depth", "/arrangement/trays/-/rim", "/arrangement/trays/-/up",
	},
	"practices": {
		"/packs/-/items/-/open", "/packs/-/items/-/handleFirst", "/packs/-/items/-/disassembled",
		"/packs/-/items/-/guarded", "/packs/-/items/-/metalsApart", "/packs/-/items/-/preparation/cleaned",
		"/packs/-/items/-/preparation/dry", "/packs/-/items/-/preparation/inspected", "/packs/-/airExpelled",
		"/packs/-/reused", "/packs/-/label/before", "/packs/-/placement/position", "/packs/-/placement/filmSide",
		"/packs/-/placement/touchesWall", "/packs/-/placement/overlap", "/unloading/doorOpenedEarly",
		"/unloading/handledWarm", "/unloading/cooledInChamber", "/water/reservoir/drained", "/water/reservoir/cleaned",
		"/water/reservoir/refilled", "/water/reservoir/toppedUp", "/water/reservoir/emptyNight",
	},
}

// unshown says of rules that rest on such members why no vector shows them from there.
var unshown = map[string]string{
	"load.releaser.missing by entries":       "an entry says who may release, and not who did",
	"cycle.setting.short by entries":         ofSettings,
	"load.arrangement.film by practices":     "the practice is that pouches stand on edge, where the rule asks of those that lie",
	"load.code.mismatch by entries":          "it compares the purpose with a code that no entry has",
	"load.drying.condensate by entries":      ofSettings,
	"load.fit.container by entries":          ofProgram,
	"load.fit.narrow by entries":             ofProgram,
	"load.fit.nonporous by entries":          ofProgram,
	"load.fit.nothing by entries":            ofProgram,
	"load.fit.porous by entries":             ofProgram,
	"load.fit.wide by entries":               ofProgram,
	"load.identity.incomplete by entries":    "the entry is found by the sterilizer's ID, which answers the rule",
	"load.indicator.rating by entries":       ofSettings,
	"load.site.contradictory by entries":     "the entry gives an altitude only where there is no barometer",
	"packaging.layers.facing by entries":     "only an inspection of each pack shows it, and the catalogue refuses it",
	"packaging.layers.folded by entries":     "only an inspection of each pack shows it, and the catalogue refuses it",
	"packaging.hollowware.nested by entries": ofKind,
	"packaging.immediate.implant by entries": ofKind,
	"packaging.implant.unwrapped by entries": ofKind,
	"packaging.metals.touching by entries":   ofKind,
	"packaging.unwrapped.stored by entries":  ofKind,
}

const (
	ofProgram  = "type and air removal of the cycle stand in the program, as load.fit.packed shows"
	ofKind     = "traits and class stand in the type of the item, as packaging.item.singleuse and .unclassified show"
	ofSettings = "what the cycle was set to stands in the program, as cycle.setting.missed shows"
)
