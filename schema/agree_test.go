package schema_test

import (
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

var readable = []schema.Kind{schema.Record, schema.Policy, schema.CycleTable, schema.PackagingFigures, schema.WaterLimits}

func TestBuiltInFilesFit(t *testing.T) {
	for _, kind := range readable[1:] {
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

// The record with every member of the schema is accepted by the decoder, so the
// schema has no member that the decoder does not know.
func TestFullRecordIsAccepted(t *testing.T) {
	root := published(t, schema.Record)
	data := write(t, full(root, root))
	assert.True(t, agree(t, schema.Record, "full record", data))
	assert.Greater(t, len(data), 8000, "the record is not full")
}

func TestMutants(t *testing.T) {
	least := map[schema.Kind][2]int{ // accepted, refused
		schema.Record: {2000, 20000}, schema.Policy: {20, 1000}, schema.CycleTable: {20, 1000},
		schema.PackagingFigures: {20, 1000}, schema.WaterLimits: {20, 1000},
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
