package schema_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/schema"
)

// What a type could hold and no clinic can mean is refused by the decoder and by the
// schema, at the same place; what only looks odd is not.
func TestWhatNobodyCanMean(t *testing.T) {
	pack := func(members string) string {
		return strings.Replace(least, `[]`, `[{"id":"P1","barrier":"wrap",`+members+`}]`, 1)
	}
	item := func(members string) string { return pack(`"items":[{"name":"x",` + members + `}]`) }
	bare := func(members string) string { return pack(`"items":[],` + members) }
	trace := func(times, channel string) string {
		return with(`"cycle":{"trace":{"time":{"unit":"s","values":[` + times + `]},"temperatures":[` +
			`{"id":"T1","place":"drain","unit":"Cel","values":[-5,20]` + channel + `}]}}`)
	}
	for _, test := range []struct{ doc, pointer string }{
		{bare(`"mass":{"value":0,"unit":"kg"}`), ""},
		{bare(`"mass":{"value":-0.0,"unit":"kg"}`), ""},
		{bare(`"mass":{"value":-0.1,"unit":"kg"}`), "/packs/0/mass/value"},
		{bare(`"mass":{"value":-1e-18,"unit":"kg"}`), "/packs/0/mass/value"},
		{bare(`"freeSpace":{"value":-1,"unit":"mm"}`), "/packs/0/freeSpace/value"},
		{bare(`"fill":{"value":-1,"unit":"%"}`), "/packs/0/fill/value"},
		{bare(`"layers":1`), ""},
		{bare(`"layers":0`), "/packs/0/layers"},
		{bare(`"layers":1000000000`), ""},
		{bare(`"layers":1000000001`), "/packs/0/layers"},
		{bare(`"wrap":{"sheets":0}`), "/packs/0/wrap/sheets"},
		{bare(`"wrap":{"steps":-1}`), "/packs/0/wrap/steps"},
		{bare(`"indicators":[{"place":"internal","type":6}]`), ""},
		{bare(`"indicators":[{"place":"internal","type":7}]`), "/packs/0/indicators/0/type"},
		{bare(`"indicators":[{"place":"internal","type":0}]`), "/packs/0/indicators/0/type"},
		{with(`"monitors":{"challenge":{"indicatorType":7}}`), "/monitors/challenge/indicatorType"},
		{with(`"monitors":{"biologicals":[{"incubated":{"value":-1,"unit":"h"}}]}`), "/monitors/biologicals/0/incubated/value"},
		{with(`"monitors":{"biologicals":[{"temperature":{"value":-1,"unit":"Cel"}}]}`), ""},
		{with(`"cycle":{"printed":{"gaugePressure":{"value":-80,"unit":"kPa"}}}`), ""},
		{with(`"cycle":{"printed":{"absolutePressure":{"value":-80,"unit":"kPa"}}}`), "/cycle/printed/absolutePressure/value"},
		{trace(`0,1`, ``), ""},
		{trace(`-0,1`, ``), ""},
		{trace(`0,-1`, ``), "/cycle/trace/time/values/1"},
		{trace(`0,1`, `,"accuracy":{"value":0.5,"unit":"K"}`), ""},
		{trace(`0,1`, `,"accuracy":{"value":-0.5,"unit":"K"}`), "/cycle/trace/temperatures/0/accuracy/value"},
	} {
		assert.Equal(t, test.pointer == "", agree(t, schema.Record, "", []byte(test.doc)), test.doc)
		_, findings, err := fits(t, schema.Record, []byte(test.doc))
		require.NoError(t, err, test.doc)
		if test.pointer != "" && assert.Len(t, findings, 1, test.doc) {
			assert.Equal(t, test.pointer, findings[0].Pointer)
		}
	}
	for doc, want := range map[string]bool{
		item(`"count":1`):   true,
		item(`"count":0`):   false,
		item(`"lumens":[]`): true,
		`{"format":"moistheat.load/1","id":"","load":{},"sterilizer":{},"packs":[]}`: false,
	} {
		assert.Equal(t, want, agree(t, schema.Record, "", []byte(doc)), doc)
	}
	for kind, doc := range map[schema.Kind]string{
		schema.Event:     `{"format":"moistheat.event/1","id":"","sterilizer":"S1","kind":"leak","time":"2026-03-09T08:15:00Z"}`,
		schema.Stored:    `{"format":"moistheat.stored/1","pack":""}`,
		schema.Amendment: `{"format":"moistheat.amendment/1","time":"2026-03-09T08:15:00Z","by":"","why":"x","lines":["` + strings.Repeat("0", 64) + `"],"takes":[""]}`,
	} {
		assert.False(t, agree(t, kind, "", []byte(doc)), doc)
		assert.False(t, agree(t, schema.Line, "", []byte(doc)), doc)
	}
}

// Among many times the negative ones are found where they stand.
func TestNegativeTimes(t *testing.T) {
	_, findings, err := fits(t, schema.Record, []byte(with(
		`"cycle":{"trace":{"time":{"unit":"s","values":[0,-1,2,"3",-4]},"temperatures":[]}}`)))
	require.NoError(t, err)
	var at []string
	for _, f := range findings {
		at = append(at, f.Pointer)
	}
	assert.Equal(t, []string{"/cycle/trace/time/values/1", "/cycle/trace/time/values/3", "/cycle/trace/time/values/4"}, at)
}
