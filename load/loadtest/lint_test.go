package loadtest_test

import (
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/tools/corpus"
	"example.com/moistheat/load/loadtest"
)

// complete says that every rule must have a vector of every case, or be exempt.
const complete = true

// judged is the whole corpus judged once for all tests: what is wrong with it, and the
// outcome of each vector.
var judged = sync.OnceValues(func() (problems []string, outcomes map[string]string) {
	outcomes = map[string]string{}
	c, err := loadtest.Conformance()
	if err != nil {
		return []string{err.Error()}, nil
	}
	problems = corpus.Lint(c, func(v *loadtest.Vector, j *loadtest.Judgement) { outcomes[v.ID] = outcome(v, j) })
	return problems, outcomes
})

func TestLint(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("TestCorpus judges the corpus")
	}
	problems, outcomes := judged()
	assert.Empty(t, strings.Join(problems, "\n"))
	assert.NotEmpty(t, outcomes)
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
