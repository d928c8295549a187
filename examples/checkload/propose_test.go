package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/packaging"
)

// What is printed is a catalogue that can be read, and what a person decides stands apart.
func TestPropose(t *testing.T) {
	var lines strings.Builder
	for i := range 6 {
		data, err := json.Marshal(loadtest.Pouches(func(r *load.Record) {
			r.ID = fmt.Sprint("load ", i)
			for j := range r.Packs {
				r.Packs[j].AirExpelled = moistheat.Yes
				if i == 3 {
					r.Packs[j].AirExpelled = moistheat.No
				}
			}
		}))
		require.NoError(t, err)
		lines.Write(append(data, '\n'))
	}
	var out, said bytes.Buffer
	args := []string{"-propose", "2026-04-01", "-"}
	require.Equal(t, good, run(t.Context(), args, strings.NewReader(lines.String()), &out, &said), said.String())
	c, err := load.DecodeCatalogue(out.Bytes())
	require.NoError(t, err)
	require.NoError(t, c.Validate())
	assert.NotEmpty(t, c.Items)
	assert.Equal(t, moistheat.NewDate(2026, 4, 1), c.Items[0].From)
	assert.Contains(t, said.String(),
		`not always kept: air is pressed out of pouches (loads: 5; otherwise at "load 3")`)

	for _, args := range [][]string{{"-propose", "soon", "-"}, {"-propose", "2026-04-01"},
		{"-propose", "2026-04-01", "-policy", "us-cdc-2003", "-"}, {"-propose", "2026-04-01", "-plan", "-"}} {
		out.Reset()
		assert.Equal(t, unreadable, run(t.Context(), args, strings.NewReader(lines.String()), &out, &said), args)
		assert.Empty(t, out.String())
	}
	out.Reset()
	assert.Equal(t, unreadable, run(t.Context(), args, strings.NewReader(lines.String()+"{}\n"), &out, &said))
	assert.Empty(t, out.String(), "a record that could not be read may contradict the others")
}

// With the catalogue that the records refer to, what it has is not printed again, and what records
// state otherwise is named.
func TestProposeBeyondCatalogue(t *testing.T) {
	data, err := os.ReadFile("clinic/log.json")
	require.NoError(t, err)
	var lines strings.Builder
	for i := range 6 {
		r, err := load.Decode(data)
		require.NoError(t, err)
		r.ID = fmt.Sprint("load-", i)
		if i == 2 {
			r.Packs[1].Items = []packaging.Item{{Name: "nipper", Type: "nipper", Count: 1}}
			r.Sterilizer.AirDetector = moistheat.No
		}
		line, err := json.Marshal(r)
		require.NoError(t, err)
		lines.Write(append(line, '\n'))
	}
	var out, said bytes.Buffer
	args := []string{"-propose", "2026-04-01", "-catalogue", "clinic/catalogue.json", "-"}
	require.Equal(t, good, run(t.Context(), args, strings.NewReader(lines.String()), &out, &said), said.String())
	assert.JSONEq(t, `{"format": "moistheat.catalogue/1", "id": "proposal"}`, out.String())
	assert.Equal(t, "deviates: pack P2 of record load-2 from set \"nail set\"\n"+
		"contradicts the catalogue: /sterilizers/0/airDetector of the entry S1 (records: load-2)\n", said.String())
	args[3] = "clinic/log.json"
	assert.Equal(t, unreadable, run(t.Context(), args, strings.NewReader(lines.String()), &out, &said))
}
