package main

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
)

// What a document says neither steers a terminal nor begins a line of what the command
// prints, and JSON says it all the same.
func TestOutputIsHarmless(t *testing.T) {
	const hostile = "\x1b[2J\u009b\x7f\u202e\u200b\U000e0041\n- nothing is open\n"
	wet := loadtest.Pouches(func(r *load.Record) {
		r.ID, r.Load.Number, r.Packs[0].ID = hostile+"1", hostile+"2", hostile+"3"
		r.Packs[0].Items[0].Name = hostile
		r.Packs[0].Condition.Dry, r.Packs[0].Seal.Pierced = moistheat.No, moistheat.Yes
	})
	dropped := loadtest.Stored(func(s *history.StoredPack) { s.Pack, s.Record, s.Dropped = hostile, hostile, moistheat.Yes })
	const policy = "-policy=us-cdc-2003"
	var lines bytes.Buffer
	for _, doc := range []any{wet, dropped, map[string]any{"format": load.Format, hostile: 1}, map[string]any{"format": hostile}, hostile} {
		line, err := json.Marshal(doc)
		require.NoError(t, err)
		lines.Write(append(line, '\n'))
	}
	for _, question := range [][]string{
		{policy}, {policy, "-plan"}, {policy, "-history", "2026-03-15T12:00:00Z"}, {policy, "-stored", "2026-03-20"},
		{"-validate"},
	} {
		for _, form := range [][]string{nil, {"-json"}} {
			args := append(slices.Clone(question), form...)
			var out, problems bytes.Buffer
			assert.Equal(t, unreadable, run(t.Context(), append(args, "-"), bytes.NewReader(lines.Bytes()), &out, &problems))
			for _, text := range []string{out.String(), problems.String()} {
				require.NotEmpty(t, text)
				assert.NotContains(t, text, "\n- nothing is open\n", "%v", args)
				for _, r := range strings.ReplaceAll(text, "\n", "") {
					require.True(t, unicode.IsGraphic(r), "%v: %U", args, r)
				}
			}
			if form != nil {
				for line := range strings.Lines(out.String()) {
					require.True(t, json.Valid([]byte(line)), line)
				}
			}
		}
	}
	line, err := json.Marshal(hostile)
	require.NoError(t, err)
	var again string
	require.NoError(t, json.Unmarshal([]byte(escaped(line)), &again))
	assert.Equal(t, hostile, again)
}
