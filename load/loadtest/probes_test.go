package loadtest_test

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/cycle/drawing"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

// probes are the readers of everything but records, and what is done with what they read,
// at n of whatever their documents hold many of.
var probes = []struct {
	name string
	n    int
	run  func(t *testing.T, n int)
}{
	{"CSV of a recorder", 4000, func(t *testing.T, n int) {
		_, err := cycle.ReadCSV(strings.NewReader(strings.Repeat("0,134,300\n", n)), &cycle.Columns{Time: 1,
			TimeUnit: units.Second, Temperatures: []cycle.TemperatureColumn{{Column: 2, ID: "T", Place: cycle.Drain,
				Unit: units.Celsius}}})
		require.NoError(t, err)
	}},
	{"CSV with one quoted cell of many lines", 8000, func(t *testing.T, n int) {
		cell := strings.Repeat("\n\"\"", n)
		_, err := cycle.ReadCSV(strings.NewReader("0,134,\""+cell+"\"\n"), &cycle.Columns{Time: 1,
			TimeUnit: units.Second, Temperatures: []cycle.TemperatureColumn{{Column: 2, ID: "T", Place: cycle.Drain,
				Unit: units.Celsius}}})
		require.NoError(t, err)
	}},
	{"drawing of many samples", 8000, func(t *testing.T, n int) {
		draw(t, traced(3, n, func(k, i int) string { return fmt.Sprint(100 + 34*(i%2) + k) }))
	}},
	{"drawing of many channels", 64, func(t *testing.T, n int) {
		draw(t, traced(n, 100, func(k, i int) string { return fmt.Sprint(100 + 30*(i%2) + k) }))
	}},
	{"table of cycles, many rows", 800, func(t *testing.T, n int) {
		table, err := cycle.TableFor("cdc-2008-table-7")
		require.NoError(t, err)
		data := multiplied(t, table, "rows", n, func(i int, row map[string]any) { row["id"] = fmt.Sprint(i) })
		table, err = cycle.ParseTable(data)
		require.NoError(t, err)
		table.Lookup(cycle.Settings{AirRemoval: moistheat.DynamicAirRemoval,
			Temperature: units.New(134, 0, units.Celsius)}, cycle.TextilePacks)
	}},
	{"limits of water, many rows", 800, func(t *testing.T, n int) {
		limits, err := water.LimitsFor("en-285")
		require.NoError(t, err)
		limits, err = water.ParseLimits(multiplied(t, limits, "sections", n, func(i int, section map[string]any) {
			section["name"] = fmt.Sprint(i)
		}))
		require.NoError(t, err)
		water.Check(water.Use{}, limits)
	}},
	{"figures of packaging, many rows", 800, func(t *testing.T, n int) {
		figures, err := packaging.FiguresFor("din-58953-9")
		require.NoError(t, err)
		figures, err = packaging.ParseFigures(multiplied(t, figures, "figures", n, func(i int, row map[string]any) {
			row["row"] = fmt.Sprint(i)
		}))
		require.NoError(t, err)
		packaging.Check(&packaging.Pack{ID: "P"}, packaging.Context{Figures: figures})
	}},
	{"policy with a long schedule, and a year", 400, func(t *testing.T, n int) {
		p := ruled(t, "us-cdc-2003", "schedule", n)
		h := history.New(p)
		for i := range 20 {
			h.AddEvent(&history.Event{ID: fmt.Sprint(i), Sterilizer: "S", Kind: calendar.LeakEvent,
				Passed: moistheat.Yes, Time: time.Date(2026, 3, 1+i, 8, 0, 0, 0, time.UTC)})
		}
		h.Due(time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC))
		h.Findings(time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC))
	}},
	{"policy of many documents", 800, func(t *testing.T, n int) {
		load.Check(loadtest.Pouches(), ruled(t, "us-cdc-2003", "documents", n))
	}},
	{"policy of many gaps", 800, func(t *testing.T, n int) {
		load.Check(loadtest.Pouches(), ruled(t, "us-cdc-2003", "leavesOpen", n))
	}},
	{"policy that keeps records for many times", 400, func(t *testing.T, n int) {
		p := ruled(t, "germany", "retention", n)
		p.KeepUntil(calendar.CycleRecords, moistheat.NewDate(2026, 3, 9), moistheat.Date{})
	}},
}

func draw(t *testing.T, doc string) {
	r, err := load.Decode([]byte(doc))
	require.NoError(t, err)
	a := cycle.Analyze(r.Cycle.Trace, cycle.Requirement{Temperature: units.New(134, 0, units.Celsius)})
	require.NoError(t, drawing.SVG(io.Discard, r.Cycle.Trace, &a))
}

// multiplied returns the JSON of a document with n of the elements of a list, the same again
// and again but for an edit.
func multiplied(t *testing.T, doc any, list string, n int, edit func(i int, element map[string]any)) []byte {
	var tree map[string]any
	data, err := json.Marshal(doc)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, &tree))
	was, _ := tree[list].([]any)
	require.NotEmpty(t, was, list)
	var all []any
	for i := range n {
		element := was[i%len(was)]
		if object, is := element.(map[string]any); is && edit != nil {
			own := map[string]any{}
			for k, v := range object {
				own[k] = v
			}
			edit(i, own)
			element = own
		}
		all = append(all, element)
	}
	tree[list] = all
	data, err = json.Marshal(tree)
	require.NoError(t, err)
	return data
}

// ruled returns a facility's policy with n of what a list of its base holds.
func ruled(t *testing.T, base, list string, n int) *load.Policy {
	of, err := load.PolicyFor(base)
	require.NoError(t, err)
	var tree, own map[string]any
	require.NoError(t, json.Unmarshal(multiplied(t, of, list, n, nil), &tree))
	require.NoError(t, json.Unmarshal([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"our clinic",
		"decision":{"by":"Dr Y","date":"2026-01-02","reason":"x"}}`), &own))
	own["base"], own[list] = base, tree[list]
	data, err := json.Marshal(own)
	require.NoError(t, err)
	p, err := load.ParsePolicy(data)
	require.NoError(t, err)
	return p
}

// What is read beside records costs what its size says, in bytes allocated.
func TestProbesGrow(t *testing.T) {
	const mostExponent = 1.25 // a table that is made doubles at times
	for _, w := range probes {
		n := testrun.Sample(w.n, 2)
		w.run(t, n/4) // what is made once for all is made
		a, b := spent(func() { w.run(t, n/4) }), spent(func() { w.run(t, n) })
		e := math.Log((b+fixed)/(a+fixed)) / math.Log(4)
		t.Logf("%-45s %12.0f bytes, exponent %.2f", w.name, b, e)
		assert.LessOrEqual(t, e, mostExponent, w.name)
	}
}
