package schema_test

import (
	"os"
	"path/filepath"
	"testing"

	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/schema"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The short way past the engine only ever says that a document fits. Whatever it lets
// pass, the engine must let pass too: every example and built-in file, mutants of
// the examples, and the documents of the corpus and of the demonstration. It must also be of
// use: the good records take it.
func TestWhatSurelyFitsFitsTheEngine(t *testing.T) {
	asked, short, n := 0, 0, 0
	hold := func(kind schema.Kind, what string, data []byte) bool {
		asked++
		surely, engine, ok := schema.FitsBothWays(kind, data)
		if !ok {
			return false
		}
		if surely {
			short++
			assert.True(t, engine, "%s: %s: surely fits, and the engine refuses it", kind, what)
		}
		return surely
	}
	for _, kind := range schema.Kinds() {
		for name, data := range builtIn(t, kind) {
			hold(kind, name, data)
		}
		for _, doc := range examples(t, kind) {
			hold(kind, "example", write(t, doc))
			mutants(doc, "", nil, func(what string, doc func() any) {
				if n++; testrun.Full() || n%6 == 0 {
					hold(kind, what, write(t, doc()))
				}
			})
		}
	}
	for _, pattern := range []string{"../examples/checkload/demo/*.json", "../load/loadtest/corpus/bases/*.json"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, files)
		for _, name := range files {
			data, err := os.ReadFile(name)
			require.NoError(t, err)
			surely := hold(schema.Record, name, data)
			if filepath.Base(name) == "1-all-good.json" {
				assert.True(t, surely, "a good record takes the short way")
			}
		}
	}
	assert.Greater(t, asked, 500)
	assert.Greater(t, short, asked/20)
}
