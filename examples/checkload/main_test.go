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

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
)

func TestExitCodes(t *testing.T) {
	broken := filepath.Join(t.TempDir(), "broken.json")
	require.NoError(t, os.WriteFile(broken, []byte(`{"format":`), 0o600))
	good, err := demo.ReadFile("demo/1-all-good.json")
	require.NoError(t, err)
	line := strings.ReplaceAll(string(good), "\n", "")
	for _, tt := range []struct {
		name, stdin string
		args        []string
		code        int
	}{
		{"the demonstration day", "", nil, 1},
		{"all released", "", []string{"demo/1-all-good.json"}, 0},
		{"a pack rejected", "", []string{"demo/2-damp-pouch.json"}, 1},
		{"unreadable", "", []string{broken}, 2},
		{"unreadable counts most", "", []string{broken, "demo/2-damp-pouch.json"}, 2},
		{"no such file", "", []string{"nowhere.json"}, 2},
		{"no such policy", "", []string{"-policy", "nowhere"}, 2},
		{"no such flag", "", []string{"-colour"}, 2},
		{"standard input", string(good), []string{"-"}, 0},
		{"one record a line", line + "\n" + line + "\n", []string{"-json", "-"}, 0},
		{"a bad line among good ones", line + "\n{\"x\":1}\n" + line + "\n", []string{"-"}, 2},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var out, problems bytes.Buffer
			args := append([]string{"-policy", "us-cdc-2003"}, tt.args...)
			assert.Equal(t, tt.code, run(args, strings.NewReader(tt.stdin), &out, &problems))
			if tt.code == 2 {
				assert.NotEmpty(t, problems.String())
			} else {
				assert.Empty(t, problems.String())
				assert.NotEmpty(t, out.String())
			}
		})
	}
}

// No policy is anyone's by default, and what is asked for by half a name is not guessed.
func TestNoPolicyByDefault(t *testing.T) {
	for _, tt := range []struct {
		args      []string
		says, not string
	}{
		{nil, "local rules say which one applies: alberta, australia", "\n\n"},
		{[]string{"-policy", "us-cdc"}, "local rules say which one applies: us-cdc-2003, us-cdc-2008\n", "alberta"},
	} {
		var out, problems bytes.Buffer
		assert.Equal(t, 2, run(append(tt.args, "demo/1-all-good.json"), nil, &out, &problems))
		assert.Empty(t, out.String())
		assert.Contains(t, problems.String(), tt.says)
		assert.NotContains(t, problems.String(), tt.not)
	}
}

// many puts a document on many lines.
func many(doc []byte) string {
	var out bytes.Buffer
	if err := json.Indent(&out, doc, "", "  "); err != nil {
		panic(err)
	}
	return out.String()
}

// What the flags for other questions answer, on documents of the conformance corpus.
func TestOtherQuestions(t *testing.T) {
	record, err := json.Marshal(loadtest.Pouches())
	require.NoError(t, err)
	closed, err := json.Marshal(loadtest.Pouches(func(r *load.Record) { r.Packs[0].Seal.Pierced = moistheat.Yes }))
	require.NoError(t, err)
	stored, err := json.Marshal(loadtest.Stored())
	require.NoError(t, err)
	dropped, err := json.Marshal(loadtest.Stored(func(s *history.StoredPack) { s.Dropped = moistheat.Yes }))
	require.NoError(t, err)
	own := filepath.Join(t.TempDir(), "own.json")
	require.NoError(t, os.WriteFile(own, []byte(`{"format": "moistheat.policy/1", "name": "ours", "title": "ours", "base": "us-cdc-2003"}`), 0o600))
	for _, tt := range []struct {
		name, stdin string
		args        []string
		code        int
		says        string
	}{
		{"a plan", string(record), []string{"-plan", "-"}, 0, "nothing is open"},
		{"a plan with a pierced pack", string(closed), []string{"-plan", "-"}, 1, "packaging.closure.pierced [broken]"},
		{"as JSON", string(closed), []string{"-plan", "-json", "-"}, 1, `"pointer":"/packs/0/seal/pierced"`},
		{"as JSON, with words", string(closed), []string{"-plan", "-json", "-"}, 1, `"message":"The pack was closed or marked with a staple, pin or clip."`},
		{"a stored pack", string(stored), []string{"-stored", "2026-03-20", "-"}, 0, "nothing is open"},
		{"one that was dropped", string(dropped), []string{"-stored", "2026-03-20", "-"}, 1, "load.storage.event [broken]"},
		{"a pack on many lines", many(stored), []string{"-stored", "2026-03-20", "-"}, 0, "nothing is open"},
		{"a bad document on many lines", "{\n\"x\": 1}\n", []string{"-stored", "2026-03-20", "-"}, 2, ""},
		{"a bad line and a good one", "{\n" + string(stored), []string{"-stored", "2026-03-20", "-"}, 2, "nothing is open"},
		{"a record is no stored pack", string(record), []string{"-stored", "2026-03-20", "-"}, 2, ""},
		{"no such day", string(stored), []string{"-stored", "2026-02-30", "-"}, 2, ""},
		{"a history", string(record), []string{"-history", "2026-03-09T18:00:00+01:00", "-json", "-"}, 1, `"rule":"load.history.overdue"`},
		{"no such instant", string(record), []string{"-history", "yesterday", "-"}, 2, ""},
		{"two questions", string(record), []string{"-plan", "-stored", "2026-03-20", "-"}, 2, ""},
		{"no file", "", []string{"-plan"}, 2, ""},
		{"a policy of our own", string(record), []string{"-policy-file", own, "-json", "-"}, 0, `"name":"ours"`},
		{"no such policy", string(record), []string{"-policy-file", own + "x", "-"}, 2, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var out, problems bytes.Buffer
			args := append([]string{"-policy", "us-cdc-2003"}, tt.args...)
			assert.Equal(t, tt.code, run(args, strings.NewReader(tt.stdin), &out, &problems), problems.String())
			assert.Contains(t, out.String(), tt.says)
			assert.Equal(t, tt.code == 2, problems.Len() > 0)
		})
	}
}
