package main

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Faults that a trace must give away do not pass, and good cycles mostly do.
func TestDetect(t *testing.T) {
	rows, err := Detect(len(faults)*60, 7)
	require.NoError(t, err)
	require.Len(t, rows, len(faults))
	for _, r := range rows {
		share := float64(r.Stopped) / float64(r.Cycles)
		assert.Equal(t, 60, r.Cycles)
		assert.LessOrEqual(t, r.Named, r.Stopped)
		switch {
		case r.Fault == "none":
			assert.LessOrEqual(t, share, 0.05, "false alarms")
		case strings.HasPrefix(r.Fault, "air left"), strings.HasPrefix(r.Fault, "cold place"): // some are too small to matter
			assert.GreaterOrEqual(t, share, 0.9, r.Fault)
		default:
			assert.Equal(t, r.Cycles, r.Stopped, r.Fault)
			assert.Equal(t, r.Cycles, r.Named, r.Fault)
		}
	}
}

// The documentation of package cycle shows what this program prints.
func TestTableInTheDocs(t *testing.T) {
	if testing.Short() || os.Getenv("CI") == "" {
		t.Skip("10,000 cycles, in CI")
	}
	rows, err := Detect(10000, 1)
	require.NoError(t, err)
	var b bytes.Buffer
	Print(&b, rows)
	doc, err := os.ReadFile("../../../../cycle/doc.go")
	require.NoError(t, err)
	for line := range strings.Lines(b.String()) {
		assert.Contains(t, string(doc), "//\t"+strings.TrimRight(line, " \n")+"\n")
	}
}

func TestPercent(t *testing.T) {
	for _, c := range []struct {
		n, of int
		want  string
	}{{0, 10, "0.0 %"}, {1, 100000, "0.1 %"}, {99999, 100000, "99.9 %"}, {10, 10, "100.0 %"}, {1, 8, "12.5 %"}} {
		assert.Equal(t, c.want, percent(c.n, c.of))
	}
}
