package strictjson_test

import (
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/units"
)

var _ units.Value // so that the test binary contains both packages

// Importing the guard, the words and the quantities does no work: the runtime, asked
// what it initialises, names none of them.
func TestImportDoesNoWork(t *testing.T) {
	self, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(self, "-test.run=^$")
	cmd.Env = append(os.Environ(), "GODEBUG=inittrace=1")
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	trace := string(out)
	require.Contains(t, trace, "init encoding/json @", "the trace must be there to mean something")
	for _, line := range strings.Split(trace, "\n") {
		for _, pkg := range []string{"internal/guard", "internal/strictjson", "internal/words", "units"} {
			assert.False(t, strings.HasPrefix(line, "init example.com/moistheat/"+pkg+" @"), line)
		}
	}
}
