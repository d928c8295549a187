package main

import (
	"encoding/json"
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

// What is left is needed, and needed alone.
func TestReduce(t *testing.T) {
	var doc any
	require.NoError(t, json.Unmarshal([]byte(`{"a":1,"b":{"c":2,"d":[3,{"e":4,"f":5},6]},"g":[7]}`), &doc))
	text := func() string {
		data, err := json.Marshal(doc)
		require.NoError(t, err)
		return string(data)
	}
	reduce(doc, func() bool { return strings.Contains(text(), `"e":4`) && strings.Contains(text(), "6") })
	assert.Equal(t, `{"b":{"d":[{"e":4},6]}}`, text())
	assert.Equal(t, "`a`, `b{c, d}`, `b.e.f`", list([]string{"a", "b.c", "b.d", "b.e.f"}))
}
