package loadtest_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/tools/corpus"
	"example.com/moistheat/load/loadtest"
)

// complete says that every rule must have a vector of every case, or be exempt.
const complete = true

func TestLint(t *testing.T) {
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	assert.Empty(t, strings.Join(corpus.Lint(c), "\n"))
}

func TestCoverage(t *testing.T) {
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	cov := corpus.Cover(c)
	t.Log(cov.Summary())
	if complete {
		assert.Empty(t, strings.Join(cov.Missing(), "\n"))
	}
}
