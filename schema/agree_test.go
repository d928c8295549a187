package schema_test

import (
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/proof"
	"example.com/moistheat/packaging"
	"example.com/moistheat/schema"
	"example.com/moistheat/units"
)

// agree fails unless schema and strict reader say the same of a document. A reader
// of tables and policies may refuse more: what a form cannot say.
func agree(t testing.TB, kind schema.Kind, what string, data []byte) (accepted bool) {
	t.Helper()
	accepted, shape := read(kind, data)
	fit, findings, err := fits(t, kind, data)
	if accepted && !fit {
		t.Errorf("%s: the reader accepts %s and the schema does not: %v, %+v", what, data, err, findings)
	}
	if shape && fit {
		t.Errorf("%s: the schema accepts %s and the reader does not", what, data)
	}
	return accepted
}

var (
	readable = append(slices.Clip(tables), schema.Record, schema.Event, schema.Stored, schema.Cleaning, schema.Known,
		schema.Amendment,
		schema.Line, schema.Catalogue, schema.Log, schema.Proof, schema.Language)
	tables = []schema.Kind{schema.Policy, schema.CycleTable, schema.PackagingFigures, schema.WaterLimits}
)

func TestBuiltInFilesFit(t *testing.T) {
	for _, kind := range append(slices.Clip(tables), schema.Line, schema.Vectors) {
		for name, data := range builtIn(t, kind) {
			_, findings, err := fits(t, kind, data)
			assert.NoError(t, err, name)
			assert.Empty(t, findings, name)
		}
	}
}

func TestExamplesAreAccepted(t *testing.T) {
	for _, kind := range readable {
		for _, doc := range examples(t, kind) {
			assert.True(t, agree(t, kind, "example", write(t, doc)), "%s: %s", kind, write(t, doc))
		}
	}
}

// The record, event and stored pack with every member of the schema is accepted by the decoder, so the
// schema has no member that the decoder does not know.
func TestFullRecordIsAccepted(t *testing.T) {
	for kind, size := range map[schema.Kind]int{schema.Record: 8000, schema.Event: 700, schema.Stored: 550,
		schema.Cleaning:  1500,
		schema.Amendment: 200} {
		root := published(t, kind)
		data := write(t, full(root, root))
		assert.True(t, agree(t, kind, "full "+kind.String(), data))
		assert.True(t, agree(t, schema.Line, "full "+kind.String(), data))
		assert.Greater(t, len(data), size, "the %s is not full", kind)
	}
}

// A member that is called format names the format of the line only at its top.
func TestLineNamesItsFormat(t *testing.T) {
	const stored = `"format":"moistheat.stored/1"`
	for _, test := range []struct {
		line string
		want bool
	}{
		{`{` + stored + `,"pack":"format"}`, true},
		{`{"pack":"format",` + stored + `}`, true},
		{`{"pack":"\"format\":\"moistheat.load/1\"",` + stored + `}`, true},
		{`{"\u0066ormat":"moistheat.stored\/1","pack":"P1"}`, true},
		{`{"pack":"P1"}`, false},
		{`{"use":{` + stored + `},"pack":"P1"}`, false},
		{`{"format":"moistheat.policy/1","pack":"P1"}`, false},
		{`{"format":"moistheat.event/1","pack":"P1"}`, false},
		{`{` + stored + `,"id":"1","load":{},"sterilizer":{},"packs":[]}`, false},
		{`{"format":["moistheat.stored/1"],"pack":"P1"}`, false},
		{`[]`, false},
	} {
		assert.Equal(t, test.want, agree(t, schema.Line, "line", []byte(test.line)), test.line)
	}
}

func TestMutants(t *testing.T) {
	least := map[schema.Kind][2]int{ // accepted, refused
		schema.Record: {2000, 20000}, schema.Policy: {20, 1000}, schema.CycleTable: {20, 1000},
		schema.PackagingFigures: {20, 1000}, schema.WaterLimits: {20, 1000},
		schema.Event: {200, 2000}, schema.Stored: {100, 1000}, schema.Cleaning: {100, 1000},
		schema.Known: {30, 300}, schema.Amendment: {3, 100},
		schema.Line: {500, 3000}, schema.Catalogue: {20, 300},
		schema.Log: {3, 50}, schema.Proof: {10, 100}, schema.Language: {5, 50},
	}
	for _, kind := range readable {
		t.Run(kind.String(), func(t *testing.T) {
			accepted, refused := 0, 0
			allMutants(t, kind, func(what string, data []byte) {
				if agree(t, kind, what, data) {
					accepted++
					roundTrip(t, kind, data)
				} else {
					refused++
				}
			})
			t.Logf("%d accepted, %d refused", accepted, refused)
			if testrun.Full() {
				require.Greater(t, accepted, least[kind][0])
				require.Greater(t, refused, least[kind][1])
			}
		})
	}
}

// roundTrip fails unless a document that the reader takes can be written again, is
// then taken, fits, and says the same.
func roundTrip(t testing.TB, kind schema.Kind, data []byte) {
	t.Helper()
	switch kind {
	case schema.Record:
		again(t, kind, data, load.Decode)
	case schema.Event:
		again(t, kind, data, history.DecodeEvent)
	case schema.Cleaning:
		again(t, kind, data, cleaning.Decode)
	case schema.Amendment:
		again(t, kind, data, history.DecodeAmendment)
	case schema.Stored:
		again(t, kind, data, history.DecodeStoredPack)
	case schema.Catalogue:
		again(t, kind, data, load.DecodeCatalogue)
	case schema.Log:
		again(t, kind, data, logLine)
	case schema.Proof:
		again(t, kind, data, proof.Decode)
	case schema.Known:
		again(t, kind, data, decodeKnown)
	}
}

// decodeKnown is [load.DecodeKnown] in the form of the other readers.
func decodeKnown(data []byte) (*load.Known, error) {
	k, err := load.DecodeKnown(data)
	return &k, err
}

func again[T any](t testing.TB, kind schema.Kind, data []byte, decode func([]byte) (*T, error)) {
	t.Helper()
	first, err := decode(data)
	require.NoError(t, err)
	written, err := json.Marshal(first)
	require.NoError(t, err, "%s", data)
	second, err := decode(written)
	require.NoError(t, err, "%s is written as %s", data, written)
	fit, findings, err := fits(t, kind, written)
	require.True(t, fit, "%s is written as %s: %+v, %v", data, written, findings, err)
	if diff := cmp.Diff(first, second, cmp.Comparer(sameTime), cmp.Comparer(sameNumber), cmp.Exporter(func(reflect.Type) bool { return true })); diff != "" {
		t.Errorf("%s is written as %s:\n%s", data, written, diff)
	}
	twice, err := json.Marshal(second)
	require.NoError(t, err)
	assert.Equal(t, string(written), string(twice))
}

// sameTime holds two instants against each other with their offsets.
func sameTime(a, b time.Time) bool {
	return a.Format(time.RFC3339Nano) == b.Format(time.RFC3339Nano)
}

func sameNumber(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) }

// What a program builds has lists that nobody made; they are written as none.
func TestBuiltRecordsAreRead(t *testing.T) {
	for _, r := range []load.Record{
		{Format: load.Format, ID: "1"},
		{Format: load.Format, ID: "1", Packs: []load.Pack{}},
		{Format: load.Format, ID: "1", Packs: []load.Pack{{Pack: packaging.Pack{ID: "P1", Barrier: packaging.WrapSheet}}}},
		{Format: load.Format, ID: "1", Packs: []load.Pack{
			{Pack: packaging.Pack{ID: "P1", Barrier: packaging.WrapSheet, Items: []packaging.Item{{Name: "forceps"}}}},
			{Pack: packaging.Pack{ID: "P2", Barrier: packaging.WrapSheet}},
		}},
		{Format: load.Format, ID: "1", Cycle: &load.Cycle{Evidence: cycle.Evidence{Trace: &cycle.Trace{Time: cycle.TimeBase{Unit: units.Second}}}}},
		{Format: load.Format, ID: "1", Cycle: &load.Cycle{Evidence: cycle.Evidence{Trace: &cycle.Trace{
			Time:         cycle.TimeBase{Unit: units.Second, Values: []float64{0, 1}},
			Temperatures: []cycle.TemperatureChannel{{ID: "T1", Place: cycle.Drain, Unit: units.Celsius}},
		}}}},
	} {
		for _, v := range []any{r, &r} {
			data, err := json.Marshal(v)
			require.NoError(t, err)
			assert.NotContains(t, string(data), "null")
			assert.True(t, agree(t, schema.Record, "built record", data), "%s", data)
			roundTrip(t, schema.Record, data)
		}
	}
	r := load.Record{Format: load.Format, Packs: make([]load.Pack, 2)}
	r.Packs[0].Barrier, r.Packs[1].Barrier = packaging.WrapSheet, packaging.WrapSheet
	_, err := json.Marshal(r)
	require.NoError(t, err)
	assert.Nil(t, r.Packs[0].Items, "writing a record does not change it")

	_, err = json.Marshal(load.Record{Format: load.Format, Sterilizer: load.Sterilizer{Capacity: make([]load.Capacity, 1)}})
	assert.ErrorContains(t, err, "invalid value", "a capacity without a mass has no form")
}

// Every report that the library writes fits the schema of reports.
func TestReportsFit(t *testing.T) {
	root := published(t, schema.Record)
	for _, doc := range append(examples(t, schema.Record), full(root, root)) {
		record, err := load.Decode(write(t, doc))
		require.NoError(t, err)
		for _, name := range load.Policies() {
			policy, err := load.PolicyFor(name)
			require.NoError(t, err)
			data, err := load.Explain(record, policy).JSON()
			require.NoError(t, err)
			_, findings, err := fits(t, schema.Report, data)
			assert.NoError(t, err)
			assert.Empty(t, findings, "%s", data)
		}
	}
}
