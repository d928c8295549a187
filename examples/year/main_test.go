package main

import (
	"bytes"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/tools/pseudo"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/proof"
)

func told(t *testing.T, want int, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	require.Equal(t, want, run(args, &out, &errs), "%v: %s%s", args, errs.String(), out.String())
	return out.String()
}

// flat returns a page without the ends of its lines.
func flat(page string) string { return strings.Join(strings.Fields(page), " ") }

// What must be found comes first, then what is kept back, and all lines fit.
func TestOrderOfThePage(t *testing.T) {
	page := told(t, 1, "-policy", "us-cdc-2003", "bad")
	at := -1
	for _, next := range []string{"\nWARNING: biological", "\nPACKS TO BE FOUND\n",
		"\nLOADS AND PACKS NOT TO BE RELEASED\n", ": reject: ", ": quarantine: ", "\nREQUIREMENTS NOT MET\n",
		"WARNING: biological, as above.", "No load is suspect", "load.recall.positive [fault]: ", "No test of a sealer",
		"\nOUT OF SERVICE\n", "\nMONTH        LOADS   RELEASED "} {
		found := strings.Index(page, next)
		assert.Greater(t, found, at, next)
		at = found
	}
	assert.True(t, strings.HasSuffix(flat(page), moistheat.Disclaimer))
	for line := range strings.Lines(page) {
		assert.LessOrEqual(t, utf8.RuneCountInString(line), 81, line)
	}
}

// In a good year nothing is found.
func TestGoodYear(t *testing.T) {
	if !testrun.Full() {
		t.Skip("a year takes seconds; the quarter below is not left out")
	}
	for _, policy := range []string{"en-13060", "germany"} {
		page := told(t, 0, "-policy", policy, "good")
		assert.Equal(t, 4, strings.Count(page, "\nnothing to list\n"), page)
		assert.Contains(t, page, "all of it holds")
	}
}

// In the bad quarter each thing that went wrong is found, whether the clinic noticed it or not.
func TestBadQuarter(t *testing.T) {
	page := flat(told(t, 1, "bad"))
	for what, want := range map[string]string{
		"run after a failed test":     "2026-01-19-36: quarantine",
		"short holding time":          "2026-02-03-73: reject: Holding time 2 min 42 s; required 3 min",
		"run before it was explained": "2026-02-03-74 … 2026-02-05-80 (5): quarantine",
		"wet pouch":                   "2026-02-11-92: reject: The pack is wet or damp",
		"power failure":               "2026-02-17-105: reject",
		"cold washer":                 "2026-02-24-121: reject: A0 by the temperature log: 475.5; required 3000",
		"seal with a channel":         "03-10-153, 2026-03-10-154: quarantine: The load is suspect after a failed seal check",
		"no test in the morning":      "2026-03-04-140, 2026-03-04-141: quarantine",
		"not authorized":              "A. Temp",
		"positive test":               "No load is suspect because of a positive biological indicator test",
		"back after repair":           "S1 out of service from 25 March 2026, 12:00 to 27 March 2026",
	} {
		assert.Contains(t, page, want, what)
	}
	assert.NotContains(t, page, "HS-", "no key of a patient")
}

// The page is in German but for names and sources.
func TestGerman(t *testing.T) {
	page := flat(told(t, 1, "-policy", "germany", "-lang", "de", "bad"))
	assert.Contains(t, page, "Haltezeit 2 min 42 s; gefordert 3 min")
	assert.Contains(t, page, "A0 nach dem Temperaturprotokoll: 475,5; gefordert 3000")
	assert.Contains(t, page, "Kammer")
	assert.Contains(t, page, "S1 außer Betrieb vom 19. Januar 2026, 07:40 Uhr")
}

// No sentence of the page stands beside the catalogue: what is left are names, those of the
// log and of the rules.
func TestNothingBesideTheCatalogue(t *testing.T) {
	var page struct{ Own map[string]string }
	require.NoError(t, json.Unmarshal(german, &page))
	name := filepath.Join(t.TempDir(), "xx.json")
	require.NoError(t, os.WriteFile(name, pseudo.Document(slices.Collect(maps.Keys(page.Own))...), 0o600))
	file, err := badQuarter()
	require.NoError(t, err)
	names := string(file.data)
	for _, r := range load.Rules() {
		names += " " + r.ID
		for s := range r.Sources.All() {
			names += " " + s.String()
		}
	}
	for _, w := range load.WarningsOf(moistheat.BiologicalHazard, moistheat.SharpHazard, moistheat.ChemicalHazard,
		moistheat.BurnHazard, moistheat.PressureHazard, moistheat.ElectricalHazard) {
		for s := range w.Sources.All() {
			names += " " + s.String()
		}
	}
	policy, err := load.PolicyFor("germany")
	require.NoError(t, err)
	for _, d := range slices.Concat(policy.Schedule(), policy.Upkeep()) {
		names += " " + d.Source.String()
	}
	assert.Empty(t, pseudo.Left(told(t, 1, "-policy", "germany", "-lang", name, "bad"), names))
}

// The log of a quarter holds together.
func TestLogHolds(t *testing.T) {
	file, err := badQuarter()
	require.NoError(t, err)
	var log proof.Log
	for _, err := range log.Read(bytes.NewReader(file.data)) {
		require.NoError(t, err)
	}
	assert.Equal(t, file.end, log)
}

// The help is what was asked for, and no mistake.
func TestHelp(t *testing.T) {
	var out, problems bytes.Buffer
	assert.Equal(t, 0, run([]string{"-help"}, &out, &problems))
	assert.Contains(t, out.String(), "good")
	assert.Contains(t, out.String(), "us-cdc-2003")
	assert.Empty(t, problems.String())
}

func TestMistakes(t *testing.T) {
	for _, args := range [][]string{nil, {"worse"}, {"-policy", "none", "good"}, {"-lang", "none", "good"}, {"-nothing"}} {
		told(t, 2, args...)
	}
	told(t, 0, "-help")
}
