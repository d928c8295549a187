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
			assert.Equal(t, tt.code, run(tt.args, strings.NewReader(tt.stdin), &out, &problems))
			if tt.code == 2 {
				assert.NotEmpty(t, problems.String())
			} else {
				assert.Empty(t, problems.String())
				assert.NotEmpty(t, out.String())
			}
		})
	}
}
