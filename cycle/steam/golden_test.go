package steam

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The saturation line from 0 °C to 140 °C, and pressures from 0.7 kPa to 360 kPa, as
// another implementation computes them, agree within a millikelvin. The first line
// of the file says which, in which version, and by which command.
func TestAnotherImplementation(t *testing.T) {
	data, err := os.ReadFile("testdata/iapws.tsv")
	require.NoError(t, err)
	temperatures, pressures := 0, 0
	for line := range strings.Lines(string(data)) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		f := strings.Fields(line)
		require.Len(t, f, 3)
		given, err := strconv.ParseFloat(f[1], 64)
		require.NoError(t, err)
		want, err := strconv.ParseFloat(f[2], 64)
		require.NoError(t, err)
		switch f[0] {
		case "Cel":
			temperatures++
			got := SaturationPressureKPa(given)
			near := min(given, 373) // a kilopascal is so much of a kelvin there
			slope := (SaturationPressureKPa(near+0.01) - SaturationPressureKPa(near)) / 0.01
			assert.Less(t, math.Abs(got-want)/slope, 1e-3, "%g °C", given)
			assert.InDelta(t, given, SaturationTemperatureCelsius(max(want, minKPa)), 1e-3, "%g kPa", want)
		case "kPa":
			pressures++
			assert.InDelta(t, want, SaturationTemperatureCelsius(given), 1e-3, "%g kPa", given)
		}
	}
	assert.Equal(t, 281, temperatures)
	assert.Equal(t, 62, pressures)
}
