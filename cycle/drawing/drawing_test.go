package drawing

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/simulate"
	"example.com/moistheat/units"
)

// simulated is a cycle with three vacuum pulses, drying and three thermometers.
func simulated() *cycle.Trace {
	s := simulate.Simulate(simulate.Run{
		AtmosphereKPa: 99.4, Pulses: 3, VacuumKPa: 12, RefillKPa: 110, HoldCelsius: 135.2, HoldSeconds: 220,
		DrySeconds: 700, DryKPa: 8, Seed: 4,
		Sensors: []simulate.Sensor{{LagSeconds: 2, NoiseKelvin: 0.04}, {LagSeconds: 3, OffsetKelvin: -0.1, NoiseKelvin: 0.04}, {LagSeconds: 7, OffsetKelvin: -0.2, NoiseKelvin: 0.05}},
	})
	t := &cycle.Trace{Time: cycle.TimeBase{Unit: units.Second, Values: s.Seconds}}
	for i, p := range []cycle.Place{cycle.ReferencePoint, cycle.Drain, cycle.InLoad} {
		t.Temperatures = append(t.Temperatures, cycle.TemperatureChannel{ID: "T" + string(rune('1'+i)), Place: p, Unit: units.Celsius, Values: s.Celsius[i]})
	}
	t.AbsolutePressures = []cycle.AbsolutePressureChannel{{ID: "P1", Place: cycle.Chamber, Unit: units.Kilopascal, Values: s.PressureKPa}}
	return t
}

func required(t testing.TB) cycle.Requirement {
	table, err := cycle.TableFor("en-13060")
	require.NoError(t, err)
	r, ok := table.Find(moistheat.DynamicAirRemoval, cycle.WrappedInstruments, units.New(134, 0, units.Celsius))
	require.True(t, ok)
	return r
}

func draw(t testing.TB, tr *cycle.Trace) string {
	a := cycle.Analyze(tr, required(t))
	var b bytes.Buffer
	require.NoError(t, SVG(&b, tr, &a))
	return b.String()
}

// wellFormed returns how often each element occurs.
func wellFormed(t testing.TB, svg string) map[string]int {
	seen := map[string]int{}
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return seen
		}
		require.NoError(t, err)
		if e, ok := token.(xml.StartElement); ok {
			seen[e.Name.Local]++
		}
	}
}

func TestSVG(t *testing.T) {
	svg := draw(t, simulated())
	seen := wellFormed(t, svg)
	assert.Equal(t, 1, seen["svg"])
	assert.Equal(t, 1+1+4, seen["path"], "the lethality, the bracket of the hold and four curves")
	for _, text := range []string{"needed at 134 °C", "T3, load", "P1, chamber, as saturated steam", ">hold<", "drying", "minutes at 121.1 °C, z 10 K"} {
		assert.Contains(t, svg, text)
	}
	assert.NotContains(t, svg, "NaN")
	assert.NotContains(t, svg, "Inf")
	assert.Equal(t, svg, draw(t, simulated()), "the same input, the same bytes")
	// Black, white and greys only: every colour has three equal digits.
	for part := range strings.SplitSeq(svg, `"#`) {
		if len(part) > 3 && part[3] == '"' {
			assert.True(t, part[0] == part[1] && part[1] == part[2], part[:3])
		}
	}
}

// The curve goes where the numbers are: a straight rise from 0 °C to 150 °C is a
// line from the lower left corner to the upper right one, and a hold is marked
// between its crossings.
func TestSVGGeometry(t *testing.T) {
	tr := &cycle.Trace{
		Time:         cycle.TimeBase{Unit: units.Second, Values: []float64{0, 1, 2}},
		Temperatures: []cycle.TemperatureChannel{{ID: "T", Place: cycle.Drain, Unit: units.Celsius, Values: []float64{0, 75, 150}}},
	}
	assert.Contains(t, draw(t, tr), `d="M64.0 392.0L500.0 224.0L936.0 56.0"`)
	// At 134 °C after 2·134/150 s, to the millisecond 1.787 s: x = 64 + 872·1.787/2.
	assert.Contains(t, draw(t, tr), `<path d="M843.1 56 v-5 H936.0 v5"`)
	tr.Temperatures[0].Unit = units.Fahrenheit
	tr.Temperatures[0].Values = []float64{32, 167, 302}
	assert.Contains(t, draw(t, tr), `d="M64.0 392.0L500.0 224.0L936.0 56.0"`)
}

// A long trace makes no larger drawing, and a gap is left open.
func TestSVGSize(t *testing.T) {
	n := 200_000
	tr := &cycle.Trace{Time: cycle.TimeBase{Unit: units.Millisecond}}
	var c []float64
	for i := range n {
		tr.Time.Values = append(tr.Time.Values, float64(i*10))
		c = append(c, 130+10*math.Sin(float64(i)/7))
	}
	tr.Temperatures = []cycle.TemperatureChannel{{ID: "T", Place: cycle.Drain, Unit: units.Celsius, Values: c}}
	assert.Less(t, len(draw(t, tr)), 120_000)

	gap := simulated()
	whole := strings.Count(draw(t, gap), "M")
	for i := 600; i < len(gap.Time.Values); i++ {
		gap.Time.Values[i] += 60
	}
	assert.Equal(t, whole+4, strings.Count(draw(t, gap), "M"), "each of four curves begins anew")
}

func TestSVGHostileNames(t *testing.T) {
	tr := simulated()
	tr.Temperatures[0].ID = `</text><script>alert("1")</script>`
	svg := draw(t, tr)
	wellFormed(t, svg)
	assert.NotContains(t, svg, "<script")
	for range 40 {
		tr.Temperatures = append(tr.Temperatures, tr.Temperatures[1])
	}
	wellFormed(t, draw(t, tr))
}

func TestSVGRefuses(t *testing.T) {
	a := cycle.Analyze(simulated(), required(t))
	for name, tr := range map[string]*cycle.Trace{
		"nothing":    nil,
		"empty":      {},
		"one sample": {Time: cycle.TimeBase{Unit: units.Second, Values: []float64{0}}},
		"no unit":    {Time: cycle.TimeBase{Values: []float64{0, 1}}},
		"backwards":  {Time: cycle.TimeBase{Unit: units.Second, Values: []float64{1, 0}}},
		"no number":  {Time: cycle.TimeBase{Unit: units.Second, Values: []float64{0, math.NaN()}}},
		"lengths": {Time: cycle.TimeBase{Unit: units.Second, Values: []float64{0, 1}},
			Temperatures: []cycle.TemperatureChannel{{ID: "T", Place: cycle.Drain, Unit: units.Celsius, Values: []float64{20}}}},
	} {
		assert.ErrorIs(t, SVG(io.Discard, tr, &a), moistheat.ErrInvalid, name)
	}
	assert.ErrorIs(t, SVG(io.Discard, simulated(), nil), moistheat.ErrInvalid)
	assert.ErrorIs(t, SVG(nil, simulated(), &a), moistheat.ErrInvalid)
	broken := errors.New("disk full")
	assert.ErrorIs(t, SVG(failing{broken}, simulated(), &a), broken)
	// A trace that cannot be believed is drawn, and says so.
	odd := simulated()
	for i := range odd.Temperatures[0].Values {
		odd.Temperatures[0].Values[i] = odd.Temperatures[0].Values[i]*1.8 + 32
	}
	assert.Contains(t, draw(t, odd), "not possible")
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func TestStep(t *testing.T) {
	for _, c := range []struct {
		span float64
		most int
		want float64
	}{{150, 8, 20}, {30, 12, 5}, {10, 12, 1}, {24, 12, 2}, {0.5, 12, 0.05}} {
		assert.InDelta(t, c.want, step(c.span, c.most), 1e-12)
	}
}

// Whatever the numbers, a drawing is well formed and ends.
func FuzzSVG(f *testing.F) {
	f.Add(0.0, 1.0, 20.0, 134.5, 100.0)
	f.Add(1e18, 1.0, 20.0, 134.5, 100.0)
	f.Add(-5.0, 1e-300, 134.0, 135.0, 136.0)
	f.Add(1e300, 1e300, math.Inf(1), math.NaN(), -1e300)
	f.Fuzz(func(t *testing.T, begin, step, a, b, c float64) {
		tr := &cycle.Trace{
			Time:              cycle.TimeBase{Unit: units.Second, Values: []float64{begin, begin + step, begin + 2*step, begin + 3*step, begin + 4*step}},
			Temperatures:      []cycle.TemperatureChannel{{ID: "T", Place: cycle.Drain, Unit: units.Celsius, Values: []float64{a, b, b, c, a}}},
			AbsolutePressures: []cycle.AbsolutePressureChannel{{ID: "P", Place: cycle.Chamber, Unit: units.Kilopascal, Values: []float64{c, a, b, b, c}}},
		}
		analysis := cycle.Analyze(tr, required(t))
		var out bytes.Buffer
		if err := SVG(&out, tr, &analysis); err != nil {
			assert.ErrorIs(t, err, moistheat.ErrInvalid)
			return
		}
		wellFormed(t, out.String())
		assert.NotContains(t, out.String(), "NaN")
		assert.NotContains(t, out.String(), "Inf")
		assert.Less(t, out.Len(), 20_000)
	})
}

// Set DRAW to a file name to look at the drawing of the simulated cycle.
func TestDraw(t *testing.T) {
	name := os.Getenv("DRAW")
	if name == "" {
		t.Skip("DRAW is not set")
	}
	require.NoError(t, os.WriteFile(name, []byte(draw(t, simulated())), 0o644))
}

func BenchmarkSVG(b *testing.B) {
	tr := simulated()
	a := cycle.Analyze(tr, required(b))
	for b.Loop() {
		_ = SVG(io.Discard, tr, &a)
	}
}
