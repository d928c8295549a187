package schema_test

import (
	"bytes"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.com/moistheat/schema"
)

// A second implementation of JSON Schema gives the same verdict on every example,
// built-in file and mutant that the byte guard lets pass. It is asked where CI is set
// in the environment, since it has to be installed.
func TestSecondImplementation(t *testing.T) {
	if os.Getenv("CI") == "" {
		t.Skip("CI is not set")
	}
	if testing.Short() {
		t.Skip("it takes long")
	}
	if _, err := exec.LookPath("sh"); err != nil {
		t.Skip("no shell")
	}
	type document struct {
		kind schema.Kind
		what string
		data []byte
		fit  bool
	}
	var documents []document
	var in bytes.Buffer
	enter := func(kind schema.Kind, what string, data []byte) {
		fit, _, err := fits(t, kind, data)
		if err != nil {
			return
		}
		documents = append(documents, document{kind, what, data, fit})
		in.Write(write(t, object{"kind": kind.String(), "text": string(data)}))
		in.WriteByte('\n')
	}
	for _, kind := range schema.Kinds() {
		allMutants(t, kind, func(what string, data []byte) { enter(kind, what, data) })
		for name, data := range builtIn(t, kind) {
			enter(kind, name, data)
		}
	}
	cmd := exec.Command("sh", "testdata/ajv/run.sh", ".", t.TempDir())
	cmd.Stdin = &in
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	require.NoError(t, err, "%s", stderr.String())
	lines := strings.Split(strings.TrimSuffix(string(out), "\n"), "\n")
	if strings.HasPrefix(lines[0], "skipped") {
		t.Skip(lines[0])
	}
	require.Len(t, lines, 1+len(documents))
	fit := 0
	for i, d := range documents {
		verdict := lines[i+1] == "1"
		if verdict {
			fit++
		}
		if verdict != d.fit {
			t.Errorf("%s, %s: %s: fits here: %t, there: %t", d.kind, d.what, d.data, d.fit, verdict)
		}
	}
	t.Logf("%s: %d documents, %d fit", lines[0], len(documents), fit)
	require.Greater(t, fit, 1000)
	require.Greater(t, len(documents)-fit, 10000)
}
