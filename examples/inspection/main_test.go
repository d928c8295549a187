package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func call(t *testing.T, want int, args ...string) (stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	assert.Equal(t, want, run(args, &out, &errs), "%v: %s", args, errs.String())
	return out.String(), errs.String()
}

// The demonstration says which load and pack it was, and not on whom.
func TestDemo(t *testing.T) {
	page, _ := call(t, 0, "-demo", "-at", "2026-03-12T08:00:00+01:00")
	for _, want := range []string{"As of 12 March 2026, 08:00", "Packs in question: P1", "Verdict: RELEASE",
		`pack P1 was used on patient 1, 11 March 2026, 09:20`} {
		assert.Contains(t, page, want)
	}
	assert.NotContains(t, page, "HS-2207")
	german, _ := call(t, 0, "-demo", "-lang", "de")
	assert.Contains(t, german, "Bewertung: FREIGEBEN")
	before, _ := call(t, 0, "-demo", "-at", "2026-03-10T08:00:00+01:00")
	assert.NotContains(t, before, "Packs in question", "nothing was used on the patient by then")
}

// What is kept is proved, verified elsewhere, and every change of the proof or the log is found.
func TestKeepProveVerify(t *testing.T) {
	dir := t.TempDir()
	log, file := filepath.Join(dir, "log"), filepath.Join(dir, "proof")
	call(t, 0, "-keep", log, "-at", "2026-03-02T08:00:00+01:00", "../checkload/clinic/catalogue.json", "../checkload/clinic/log.json")
	page, _ := call(t, 0, "-policy", "us-cdc-2003", "-load", "2026-0309-7", log)
	assert.Contains(t, page, "Line 2 of the log")
	proof, _ := call(t, 0, "-policy", "us-cdc-2003", "-load", "2026-0309-7", "-json", log)
	require.NoError(t, os.WriteFile(file, []byte(proof), 0o600))
	said, _ := call(t, 0, "-verify", file)
	assert.Contains(t, said, "lines 2, reports computed anew 1, gaps 0")
	require.NoError(t, os.WriteFile(file, []byte(strings.Replace(proof, "nail set", "other set", 1)), 0o600))
	_, wrong := call(t, 1, "-verify", file)
	assert.Contains(t, wrong, "the document was changed")

	kept, err := os.ReadFile(log)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(log, bytes.Replace(kept, []byte("nail set"), []byte("other set"), 1), 0o600))
	_, wrong = call(t, 2, "-keep", log, "../checkload/clinic/log.json")
	assert.Contains(t, wrong, "nothing is added")
}

func TestMistakes(t *testing.T) {
	for _, args := range [][]string{
		nil, {"-verify"}, {"-verify", "none"}, {"-verify", "main.go"}, {"-policy", "none", "-load", "1", "demo.log"}, {"-nothing"},
		{"-policy", "en-13060", "demo.log"}, {"-policy", "en-13060", "-load", "1", "none"}, {"-keep", "/nowhere/log", "main.go"},
		{"-demo", "-lang", "none"}, {"-demo", "-at", "yesterday"}, {"-policy", "en-13060", "-load", "1", "-from", "x", "demo.log"},
	} {
		_, errs := call(t, 2, args...)
		assert.NotEmpty(t, errs, "%v", args)
	}
	help, _ := call(t, 0, "-help")
	assert.Contains(t, help, "-patient")
}
