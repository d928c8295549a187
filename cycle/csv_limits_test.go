package cycle_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/units"
)

// A line may have 65,536 bytes, quoted line feeds among them.
func TestCSVLineLimit(t *testing.T) {
	columns := &cycle.Columns{Skip: 1, Time: 1, TimeUnit: units.Second,
		Temperatures: []cycle.TemperatureColumn{{Column: 2, ID: "T1", Place: cycle.InLoad, Unit: units.Celsius}}}
	for name, cell := range map[string]string{"plain": "x", "folded": "\n"} {
		line := func(n int) string { return `1,134,"` + strings.Repeat(cell, n-8) + `"` }
		const head, first, limit = "time,load,note\n", "0,134,\n", 64 << 10

		trace, err := cycle.ReadCSV(strings.NewReader(head+first+line(limit-1)+"\n"), columns)
		require.NoError(t, err, name)
		assert.Equal(t, []float64{0, 1}, trace.Time.Values, name)
		_, err = cycle.ReadCSV(strings.NewReader(head+first+line(limit)+"\n"), columns)
		require.NoError(t, err, name)
		_, err = cycle.ReadCSV(strings.NewReader(head+first+line(limit+1)+"\n"), columns)
		require.ErrorIs(t, err, moistheat.ErrLimit, name)
		var e *moistheat.DocumentError
		require.True(t, errors.As(err, &e))
		assert.Equal(t, 3, e.Line, name)
	}
}
