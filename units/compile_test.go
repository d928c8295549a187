package units_test

import (
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What mixes dimensions does not compile, line for line.
func TestMixingDoesNotCompile(t *testing.T) {
	goTool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("skipped: no go command to compile with")
	}
	const file = "testdata/mixing.go"
	source, err := os.ReadFile(file)
	require.NoError(t, err)
	want := map[int]bool{}
	for i, line := range strings.Split(string(source), "\n") {
		if strings.HasSuffix(line, "// ERROR") {
			want[i+1] = true
		}
	}
	require.NotEmpty(t, want)

	// -e asks for every error, not only the first ten.
	out, err := exec.Command(goTool, "build", "-gcflags=-e", "-o", os.DevNull, file).CombinedOutput()
	require.Error(t, err)
	got := map[int]bool{}
	for _, m := range regexp.MustCompile(`mixing\.go:(\d+):`).FindAllStringSubmatch(string(out), -1) {
		line, err := strconv.Atoi(m[1])
		require.NoError(t, err)
		got[line] = true
	}
	assert.Equal(t, want, got, "%s", out)
}
