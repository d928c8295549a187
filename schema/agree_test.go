package schema_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/load"
	"example.com/moistheat/schema"
)

// agree fails unless schema and strict reader say the same of a document. A reader
// of tables and policies may refuse more: what a form can not say.
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
	readable = append(slices.Clip(tables), schema.Record, schema.Event, schema.Stored, schema.Line)
	tables   = []schema.Kind{schema.Policy, schema.CycleTable, schema.PackagingFigures, schema.WaterLimits}
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
	for kind, size := range map[schema.Kind]int{schema.Record: 8000, schema.Event: 700, schema.Stored: 550} {
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
		{`{"issue":{` + stored + `},"pack":"P1"}`, false},
		{`{"format":"moistheat.policy/1","pack":"P1"}`, false},
		{`{"format":"moistheat.test/1","pack":"P1"}`, false},
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
		schema.Event: {200, 2000}, schema.Stored: {100, 1000}, schema.Line: {500, 3000},
	}
	for _, kind := range readable {
		t.Run(kind.String(), func(t *testing.T) {
			accepted, refused, n := 0, 0, 0
			allMutants(t, kind, func(what string, data []byte) {
				if n++; testing.Short() && n%16 != 0 {
					return
				}
				if agree(t, kind, what, data) {
					accepted++
				} else {
					refused++
				}
			})
			t.Logf("%d accepted, %d refused", accepted, refused)
			if !testing.Short() {
				require.Greater(t, accepted, least[kind][0])
				require.Greater(t, refused, least[kind][1])
			}
		})
	}
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
			data, err := load.Check(record, policy).JSON()
			require.NoError(t, err)
			_, findings, err := fits(t, schema.Report, data)
			assert.NoError(t, err)
			assert.Empty(t, findings, "%s", data)
		}
	}
}
