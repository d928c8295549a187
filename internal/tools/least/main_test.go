package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/load"
)

// Every policy of the README's table releases the record of its row, which has no
// recording, and every built-in policy has one.
func TestPrintedRecordsAreReleased(t *testing.T) {
	const top = "../../../"
	readme, err := os.ReadFile(top + "README.md")
	require.NoError(t, err)
	var judged, files []string
	rows := regexp.MustCompile(`(?m)^\| ([a-z0-9, -]+) \|.*\]\((examples/printed/[a-z0-9-]+\.json)\) \|$`)
	for _, row := range rows.FindAllStringSubmatch(string(readme), -1) {
		data, err := os.ReadFile(top + row[2])
		require.NoError(t, err)
		record, err := load.Decode(data)
		require.NoError(t, err, row[2])
		require.NotNil(t, record.Cycle)
		assert.Nil(t, record.Cycle.Trace, row[2])
		for name := range strings.SplitSeq(row[1], ", ") {
			policy, err := load.PolicyFor(name)
			require.NoError(t, err)
			report := load.Check(record, policy)
			assert.True(t, report.Verdict.MayRelease, "%s under %s", row[2], name)
			judged = append(judged, name)
		}
		files = append(files, top+row[2])
	}
	assert.ElementsMatch(t, load.Policies(), judged)
	there, err := filepath.Glob(top + "examples/printed/*.json")
	require.NoError(t, err)
	assert.ElementsMatch(t, there, files)
}

func TestList(t *testing.T) {
	assert.Equal(t, "`a`, `b{c, d}`, `b.e.f`", list([]string{"a", "b.c", "b.d", "b.e.f"}))
}
