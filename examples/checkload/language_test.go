package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/tools/pseudo"
	"example.com/moistheat/load"
)

// No sentence of an answer stands beside the catalogue: what is left are names and figures, of
// the documents that were read, of rules and of sources.
func TestNothingBesideTheCatalogue(t *testing.T) {
	folder := t.TempDir()
	language := filepath.Join(folder, "xx.json")
	require.NoError(t, os.WriteFile(language, pseudo.Document(), 0o600))
	const week, clinic = "../badweek/week.ndjson", "clinic/log.json"
	names := "digest "
	for _, file := range []string{week, clinic, "clinic/catalogue.json"} {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		names += string(data)
	}
	for _, r := range load.Rules() {
		names += r.ID + " "
		for h := range r.Hazards.All() {
			for _, w := range load.WarningsOf(h) {
				for s := range w.Sources.All() {
					names += s.String()
				}
			}
		}
	}
	const at = "2026-05-15T18:00:00-07:00"
	for _, policy := range []string{"us-cdc-2003", "germany"} {
		for _, args := range [][]string{
			{"-history", at, week}, {"-agenda", at, week},
			{"-open", "A-421-1@" + at, week}, {"-open", "none@" + at, week},
			{"-stored", "2026-05-15", week}, {"-plan", week}, {"-catalogue", "clinic/catalogue.json", clinic}, {week},
		} {
			out, problems := call(t, append([]string{"-policy", policy, "-lang", language}, args...))
			data, _ := call(t, append([]string{"-policy", policy, "-json"}, args...))
			assert.Empty(t, pseudo.Left(out, names+policy+cited(t, data)), "%v", args)
			assert.NotContains(t, out, "\ufffd", "%v", args)
			if args[0] != week && args[0] != "-stored" && args[0] != "-plan" { // which do not take all lines
				assert.Empty(t, problems, "%v", args)
			}
		}
	}
	_, said := call(t, []string{"-lang", language, "-propose", "2026-06-01", records(t, folder, week)})
	assert.NotEmpty(t, said)
	assert.Empty(t, pseudo.Left(said, names))
}

// cited returns what stands in the sources of an answer, and the rows of tables.
func cited(t *testing.T, data string) string {
	t.Helper()
	var out strings.Builder
	var walk func(v any, in bool)
	walk = func(v any, in bool) {
		switch v := v.(type) {
		case string:
			if in {
				out.WriteString(v + " ")
			}
		case []any:
			for _, e := range v {
				walk(e, in)
			}
		case map[string]any:
			for name, e := range v {
				walk(e, in || name == "sources" || name == "source" || name == "documents")
			}
		}
	}
	for line := range strings.Lines(data) {
		var v any
		require.NoError(t, json.Unmarshal([]byte(line), &v))
		walk(v, false)
	}
	return out.String()
}

// records writes those of a file to another.
func records(t *testing.T, folder, name string) string {
	t.Helper()
	data, err := os.ReadFile(name)
	require.NoError(t, err)
	var out strings.Builder
	for line := range strings.Lines(string(data)) {
		if strings.Contains(line, `"`+load.Format+`"`) {
			out.WriteString(line)
		}
	}
	file := filepath.Join(folder, "records.ndjson")
	require.NoError(t, os.WriteFile(file, []byte(out.String()), 0o600))
	return file
}

func call(t *testing.T, args []string) (string, string) {
	t.Helper()
	var out, problems bytes.Buffer
	run(t.Context(), args, strings.NewReader(""), &out, &problems)
	return out.String(), problems.String()
}
