package schema_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/schema"
)

// FuzzReadersAgree holds the strict decoder of records against the schema: one
// accepts what the other does.
func FuzzReadersAgree(f *testing.F) {
	n := 0
	allMutants(f, schema.Record, func(what string, data []byte) {
		if n++; len(data) < 2000 && (what == "as it is" || n%40 == 0) {
			f.Add(data)
		}
	})
	for _, s := range []string{"", "{}", least + " ", with(`"site":{"altitude":{"value":1e18,"unit":"m"}}`),
		with(`"\u0073ite":{"altitude":{"\u0076alue":-0.0E-18,"unit":"\u006d"}}`), with(`"site":{"name":"\ud83d\udca9"}`)} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		_, err := load.Decode(data)
		fit, findings, schemaErr := fits(t, schema.Record, data)
		if err == nil {
			roundTrip(t, schema.Record, data)
		}
		if (err == nil) != fit {
			t.Errorf("%s:\ndecoder: %v\nschema: %v %+v", data, err, schemaErr, messages(findings))
		}
	})
}

// FuzzTables holds the readers of the other documents against their schemas. The
// number chooses the kind, so the order of this list is that of the seeds.
func FuzzTables(f *testing.F) {
	kinds := append(slices.Clip(tables), schema.Event, schema.Stored, schema.Amendment, schema.Line)
	for i, kind := range kinds {
		n := 0
		allMutants(f, kind, func(what string, data []byte) {
			if n++; len(data) < 2000 && (what == "as it is" || n%40 == 0) {
				f.Add(uint8(i), data)
			}
		})
		for _, data := range builtIn(f, kind) {
			var small bytes.Buffer
			if json.Compact(&small, data) == nil {
				f.Add(uint8(i), small.Bytes())
			}
		}
	}
	f.Fuzz(func(t *testing.T, k uint8, data []byte) {
		kind := kinds[int(k)%len(kinds)]
		if agree(t, kind, "", data) {
			roundTrip(t, kind, data)
		}
	})
}

// FuzzDates holds the schemas' dates against those of labels.
func FuzzDates(f *testing.F) {
	for _, s := range append(otherDates, "2026-03-09", "", "0000-00-00", "2026-03-32") {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		_, err := moistheat.ParseDate(s)
		quoted, _ := json.Marshal(s)
		fit, findings, schemaErr := fits(t, schema.Record, []byte(`{"format":"moistheat.load/1","id":"1","load":{"date":`+string(quoted)+`},"sterilizer":{},"packs":[]}`))
		if schemaErr == nil && (err == nil) != fit {
			t.Errorf("%q: %v, schema: %+v", s, err, messages(findings))
		}
	})
}
