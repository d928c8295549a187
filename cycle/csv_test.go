package cycle

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

func twoColumns() *Columns {
	return &Columns{
		Skip: 1, Time: 1, TimeUnit: units.Second,
		Temperatures:      []TemperatureColumn{{Column: 3, ID: "T1", Place: Drain, Unit: units.Celsius, Accuracy: kelvins("0.5 K")}},
		AbsolutePressures: []AbsolutePressureColumn{{Column: 2, ID: "P1", Place: Chamber, Unit: units.Kilopascal}},
	}
}

func TestReadCSV(t *testing.T) {
	tr, err := ReadCSV(strings.NewReader("t,p,T\n0,101.3,20.1\n1,102,20.4\n2,1.03e2,-0.5\n"), twoColumns())
	require.NoError(t, err)
	assert.Equal(t, TimeBase{units.Second, []float64{0, 1, 2}}, tr.Time)
	assert.Equal(t, []TemperatureChannel{{"T1", Drain, units.Celsius, kelvins("0.5 K"), []float64{20.1, 20.4, -0.5}}}, tr.Temperatures)
	assert.Equal(t, []float64{101.3, 102, 103}, tr.AbsolutePressures[0].Values)
	assert.True(t, tr.Start.IsZero())

	// Semicolons, decimal commas, a byte order mark, quotes, clock times over
	// midnight with a date, and columns nobody asked for.
	c := &Columns{
		Separator: ";", DecimalComma: true, Skip: 2, Time: 2, TimeLayout: "02.01.2006 15:04:05",
		Temperatures:   []TemperatureColumn{{Column: 4, ID: "T", Place: ReferencePoint, Unit: units.Fahrenheit}},
		GaugePressures: []GaugePressureColumn{{Column: 5, ID: "G", Place: Chamber, Unit: units.BarGauge}},
	}
	tr, err = ReadCSV(strings.NewReader("\ufeffCycle 12\n\"no\";time\n1;09.03.2026 23:59:59;x; 273,4 ;2,03\n2;\"10.03.2026 00:00:00\";y;273,5;2,04\n"), c)
	require.NoError(t, err)
	assert.Equal(t, []float64{0, 1}, tr.Time.Values)
	assert.Equal(t, time.Date(2026, 3, 9, 23, 59, 59, 0, time.UTC), tr.Start)
	assert.Equal(t, []float64{273.4, 273.5}, tr.Temperatures[0].Values)
	assert.Equal(t, []float64{2.03, 2.04}, tr.GaugePressures[0].Values)

	// Without a date the clock steps back at midnight, and the analysis says so.
	c.TimeLayout = "15:04:05"
	tr, err = ReadCSV(strings.NewReader("a\nb\n1;23:59:59;x;273,4;2,03\n2;00:00:00;y;273,5;2,04\n"), c)
	require.NoError(t, err)
	a := Analyze(tr, req134)
	assert.True(t, a.Has(ClockStepBack))
	assert.False(t, a.Hold.IsValid())
}

// What is written as CSV is read as it was.
func TestReadCSVWholeTrace(t *testing.T) {
	want := good()
	var b strings.Builder
	b.WriteString("t,p,T\n")
	for i, at := range want.Time.Values {
		fmt.Fprintf(&b, "%v,%v,%v\n", at, want.AbsolutePressures[0].Values[i], want.Temperatures[0].Values[i])
	}
	c := twoColumns()
	c.Temperatures[0].Accuracy = units.TemperatureDifference{}
	got, err := ReadCSV(strings.NewReader(b.String()), c)
	require.NoError(t, err)
	assert.Equal(t, want, func() *Trace { got.GaugePressures = nil; return got }())
	assert.Equal(t, Analyze(want, req134).Hold, Analyze(got, req134).Hold)
}

func TestReadCSVRefuses(t *testing.T) {
	for _, c := range []struct {
		name, data   string
		line, column int
	}{
		{"an empty cell", "h\n0,1,20\n1,2,\n", 3, 3},
		{"a word", "h\n0,1,20\n1,off,21\n", 3, 2},
		{"a number that is none", "h\n0,1,NaN\n", 2, 3},
		{"an endless number", "h\n0,1,1e999\n", 2, 3},
		{"a hexadecimal number", "h\n0,1,0x1p3\n", 2, 3},
		{"a missing column", "h\n0,1\n", 2, 3},
		{"a line of another length", "h\n0,1,20\n1,2\n", 3, 0},
		{"a loose quote", "h\n0,1,2\"0\n", 2, 0},
		{"nothing but the header", "h", 1, 0},
		{"a time that is none", "h\nnoon,1,20\n", 2, 1},
	} {
		_, err := ReadCSV(strings.NewReader(c.data), twoColumns())
		var e *moistheat.DocumentError
		require.ErrorAs(t, err, &e, c.name)
		assert.Equal(t, c.line, e.Line, c.name)
		assert.Equal(t, c.column, e.Column, c.name)
		assert.NotEmpty(t, e.Error())
	}
	for _, c := range []struct {
		name    string
		change  func(*Columns)
		pointer string
	}{
		{"no time", func(c *Columns) { c.Time = 0 }, "/time"},
		{"one column twice", func(c *Columns) { c.Time = 3 }, "/temperatures/0/column"},
		{"one column for two pressures", func(c *Columns) {
			c.GaugePressures = []GaugePressureColumn{{Column: 2, ID: "G", Place: Chamber, Unit: units.BarGauge}}
		}, "/gaugePressures/0/column"},
		{"no unit of time", func(c *Columns) { c.TimeUnit = 0 }, "/timeUnit"},
		{"both times", func(c *Columns) { c.TimeLayout = "15:04" }, "/timeUnit"},
		{"no temperature", func(c *Columns) { c.Temperatures = nil }, "/temperatures"},
		{"more channels than a trace has", func(c *Columns) {
			c.Temperatures = make([]TemperatureColumn, 65)
			for i := range c.Temperatures {
				c.Temperatures[i] = TemperatureColumn{Column: 3 + i, ID: "T", Place: InLoad, Unit: units.Celsius}
			}
		}, "/temperatures"},
		{"no unit", func(c *Columns) { c.Temperatures[0].Unit = 0 }, "/temperatures/0"},
		{"no place", func(c *Columns) { c.AbsolutePressures[0].Place = "" }, "/absolutePressures/0"},
		{"two separators", func(c *Columns) { c.Separator = ";;" }, "/separator"},
		{"a quote between", func(c *Columns) { c.Separator = `"` }, "/separator"},
		{"commas for both", func(c *Columns) { c.DecimalComma = true }, "/separator"},
		{"far too far", func(c *Columns) { c.Skip = -1 }, "/skip"},
	} {
		columns := twoColumns()
		c.change(columns)
		_, err := ReadCSV(strings.NewReader("h\n0,1,20\n"), columns)
		var e *moistheat.DocumentError
		require.ErrorAs(t, err, &e, c.name)
		assert.Equal(t, c.pointer, e.Pointer, c.name)
	}
	_, err := ReadCSV(strings.NewReader(""), nil)
	assert.Error(t, err)
	_, err = ReadCSV(nil, twoColumns())
	assert.ErrorIs(t, err, moistheat.ErrShape)
	broken := errors.New("broken pipe")
	_, err = ReadCSV(io.MultiReader(strings.NewReader("h\n"), failing{broken}), twoColumns())
	assert.ErrorIs(t, err, broken)
	_, err = ReadCSV(strings.NewReader(strings.Repeat("a", maxCSVBytes+1)), twoColumns())
	assert.ErrorContains(t, err, "bytes")
	c := twoColumns()
	c.Separator, c.DecimalComma = ";", true
	_, err = ReadCSV(strings.NewReader("h\n0;1.5;20\n"), c)
	assert.ErrorContains(t, err, "point")
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

func TestColumnsJSON(t *testing.T) {
	want := twoColumns()
	data, err := json.Marshal(want)
	require.NoError(t, err)
	got, err := strictjson.NewDecoder[Columns]().Decode(data, strictjson.Default())
	require.NoError(t, err)
	assert.Equal(t, want, got)
}

func TestDecodeTrace(t *testing.T) {
	want := good()
	data, err := json.Marshal(want)
	require.NoError(t, err)
	got, err := DecodeTrace(data)
	require.NoError(t, err)
	assert.Equal(t, want, got)
	for _, bad := range []string{"", "null", "{}", `{"time": {"unit": "s", "values": [0, 1]}, "temperature": []}`, string(data[:len(data)/2])} {
		_, err := DecodeTrace([]byte(bad))
		var e *moistheat.DocumentError
		assert.ErrorAs(t, err, &e, bad)
	}
}

func FuzzReadCSV(f *testing.F) {
	f.Add("t,p,T\n0,101.3,20.1\n1,102,20.4\n", ",", false, 1)
	f.Add("\"a\"\n0;1,5;2\n", ";", true, 1)
	f.Fuzz(func(t *testing.T, data, separator string, decimalComma bool, skip int) {
		c := twoColumns()
		c.Separator, c.DecimalComma, c.Skip = separator, decimalComma, skip
		tr, err := ReadCSV(strings.NewReader(data), c)
		if (tr == nil) == (err == nil) {
			t.Fatal("neither a trace nor an error, or both")
		}
		if tr != nil && (len(tr.Time.Values) != len(tr.Temperatures[0].Values) || len(tr.Time.Values) != len(tr.AbsolutePressures[0].Values)) {
			t.Fatal("columns of different length")
		}
	})
}
