package main

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
)

// Every text has lines of the width that was asked for, and says the same; without one it has 80
// columns where it goes into a file, whatever COLUMNS says.
func TestWidth(t *testing.T) {
	t.Setenv("COLUMNS", "120")
	const week, evening = "../badweek/week.ndjson", "2026-05-15T18:00:00-07:00"
	for _, args := range [][]string{
		{"-demo"},
		{"-policy", "us-cdc-2003", "-history", evening, week},
		{"-policy", "us-cdc-2003", "-agenda", evening, week},
		{"-policy", "us-cdc-2003", "-open", "A-411-1@" + evening, week},
		{"-policy", "us-cdc-2003", "-plan", "demo/3-powered-handpieces.json"},
		{"-policy", "en-13060", "-catalogue", "clinic/catalogue.json", "clinic/log.json"},
		{"-rules"},
	} {
		for _, lang := range []string{"en", "de"} {
			print := func(more ...string) string {
				var out, errs bytes.Buffer
				run(context.Background(), append(append([]string{"-lang", lang}, args...), more...), nil, &out, &errs)
				assert.Empty(t, errs.String(), args)
				return out.String()
			}
			usual := print()
			for _, width := range []string{"40", "57", "132"} {
				most := map[string]int{"40": 40, "57": 57, "132": 132}[width]
				text := print("-width", width)
				for line := range strings.Lines(text) {
					width := utf8.RuneCountInString(strings.TrimSuffix(line, "\n"))
					assert.LessOrEqual(t, width, most, "%v: %s", args, line)
				}
				assert.Equal(t, strings.Join(strings.Fields(usual), ""), strings.Join(strings.Fields(text), ""), args)
			}
			if args[0] != "-rules" { // which has a rule a line
				assert.Equal(t, print("-width", "80"), usual, args)
			}
		}
	}
}

func TestWidthRefused(t *testing.T) {
	for _, args := range [][]string{{"-width", "39", "-demo"}, {"-width", "wide", "-demo"}, {"-width", "-80", "-demo"},
		{"-width", "80", "-json", "-demo"}} {
		var out, errs bytes.Buffer
		assert.Equal(t, unreadable, run(context.Background(), args, nil, &out, &errs), args)
		assert.Contains(t, errs.String(), "-width", args)
	}
}
