package load_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/tools/pseudo"
	"example.com/moistheat/load"
)

// demonstrations returns the reports of the demonstration, and of records from which much
// was taken out, with the records as they are written.
func demonstrations(t *testing.T) (reports []*load.Report, records []string) {
	t.Helper()
	files, err := filepath.Glob("../examples/checkload/demo/*.json")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	policy, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		whole, err := load.Decode(data)
		require.NoError(t, err)
		bare := *whole
		bare.Cycle, bare.Release, bare.Unloading = nil, nil, load.Unloading{}
		bare.Monitors.Biologicals = nil
		for _, r := range []*load.Record{whole, &bare} {
			reports, records = append(reports, load.Check(r, policy)), append(records, string(data))
		}
	}
	return reports, records
}

// A report in another language is read back as what it was, and English is what it was
// before.
func TestReportIn(t *testing.T) {
	de, err := moistheat.LanguageFor("de")
	require.NoError(t, err)
	reports, _ := demonstrations(t)
	for _, r := range reports {
		assert.Equal(t, r.Text(), r.In(moistheat.Language{}).Text())
		own := r.In(de)
		assert.NotEqual(t, r.Text(), own.Text())
		assert.Contains(t, own.Text(), "Bewertung: ")
		assert.Equal(t, r.Verdict, own.Verdict)
		data, err := json.Marshal(own)
		require.NoError(t, err)
		assert.Contains(t, string(data), `"language":"de"`)
		var back load.Report
		require.NoError(t, json.Unmarshal(data, &back))
		assert.Equal(t, own.Text(), back.Text())
		plain, err := json.Marshal(r)
		require.NoError(t, err)
		assert.NotContains(t, string(plain), `"language"`)
	}
	assert.Nil(t, (*load.Report)(nil).In(de))
}

// No sentence of a report stands beside the catalogue, and no parameter without its value:
// what is left in Latin letters are names and figures, of the record, the rules and the
// documents.
func TestNothingBesideTheCatalogue(t *testing.T) {
	l := pseudo.Language(t)
	assert.Empty(t, l.Missing())
	reports, records := demonstrations(t)
	for i, r := range reports {
		var names strings.Builder
		names.WriteString(records[i] + r.Policy.Name + r.Policy.Digest)
		if r.Cycle != nil {
			names.WriteString(r.Cycle.Requirement)
			if r.Analysis != nil {
				names.WriteString(r.Analysis.Requirement.Source.String())
			}
		}
		for _, n := range r.Rules {
			names.WriteString(n.ID)
			for _, s := range n.Sources {
				fmt.Fprintln(&names, s.Source)
			}
		}
		for _, w := range r.Warnings {
			for s := range w.Sources.All() {
				fmt.Fprintln(&names, s)
			}
		}
		text := r.In(l).Text()
		assert.NotContains(t, text, "{")
		assert.Empty(t, pseudo.Left(text, names.String()), "of report %d", i)
	}
}

// A browser's tag is looked up by its language; what is none of ours is an error.
func TestLanguageForTag(t *testing.T) {
	german, err := moistheat.LanguageFor("de")
	assert.NoError(t, err)
	for tag, want := range map[string]moistheat.Language{
		"en": {}, "en-GB": {}, "de-DE": german, "de-CH-1996": german, "DE": german,
	} {
		got, err := moistheat.LanguageFor(tag)
		assert.NoError(t, err, tag)
		assert.Equal(t, want, got, tag)
	}
	for _, tag := range []string{"", "fr", "deu", "-", "den-x"} {
		_, err := moistheat.LanguageFor(tag)
		assert.ErrorIs(t, err, moistheat.ErrUnknown, tag)
	}
}

// Names that look like numbers, or like words of the library, stay as they are in every language.
func TestNamesStay(t *testing.T) {
	de, err := moistheat.LanguageFor("de")
	require.NoError(t, err)
	names := moistheat.Params{}
	for _, name := range []string{"covered", "batch"} {
		names = append(names, moistheat.ParamOf(name, "1.10, the load of 2.20, the packs"))
	}
	for _, id := range []string{"load.qualification.outside", "cleaning.batch.missing"} {
		rule, ok := load.Rule(id)
		require.True(t, ok, id)
		for _, outcome := range []moistheat.Outcome{moistheat.Broken, moistheat.Undetermined} {
			said := de.Message(rule, moistheat.Finding{Rule: id, Outcome: outcome, Params: names})
			assert.Contains(t, said, names[0].Value.String(), id)
		}
	}
}
