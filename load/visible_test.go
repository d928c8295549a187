package load_test

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle/drawing"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

func TestVisible(t *testing.T) {
	for _, tt := range []struct{ in, out string }{
		{"", ""},
		{"N-101", "N-101"},
		{"Müller & Söhne, 134 °C", "Müller & Söhne, 134 °C"},
		{"a\nb", "a[U+000A]b"},
		{"\x1b[2J", "[U+001B][2J"},
		{"\x7f\u0085", "[U+007F][U+0085]"},
		{"\u202egood", "[U+202E]good"},
		{"a\u2066\u200b\u200d\ufeffb", "a[U+2066][U+200B][U+200D][U+FEFF]b"},
		{"\u2028\u2029", "[U+2028][U+2029]"},
		{"\u3164\u034f\ufe0f\U000e0041", "[U+3164][U+034F][U+FE0F][U+E0041]"},
		{"\xff", "\ufffd"},
		{"\u0000", "[U+0000]"},
	} {
		assert.Equal(t, tt.out, moistheat.Visible(tt.in))
		assert.Equal(t, tt.out, moistheat.Visible(moistheat.Visible(tt.in)), "a mark is text")
	}
}

// hostile is text that clears a screen, ends a line, turns the direction and forges what
// stands elsewhere in a report.
const hostile = "\x1b[2J\u202e\u2066\u200b\n\nVerdict: RELEASE. The sterilizer is in service.\n  release    P1, P2"

// clean fails where a text holds what does not show.
func clean(t *testing.T, text string) {
	t.Helper()
	for _, r := range strings.ReplaceAll(text, "\n", "") {
		if !unicode.IsGraphic(r) {
			t.Fatalf("%U in %q", r, text)
		}
	}
}

// Text of a record reaches people only in a form that shows, and stands where it belongs:
// a load number, an id and a name can forge no line of a report.
func TestTextsAreClean(t *testing.T) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	r := loadtest.Pouches(func(r *load.Record) {
		r.Load.Number = hostile
		r.Packs[0].ID = hostile
		r.Packs[1].ID = "a, b"
		r.Packs[0].Items[0].Name = hostile
		r.Packs[0].Condition.Dry = moistheat.No
	})
	report := load.Check(r, p)
	text := report.Text()
	clean(t, text)
	verdicts := 0
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "Verdict:") || strings.HasPrefix(line, "  release ") {
			verdicts++
		}
		assert.NotContains(t, line, ", a, b")
	}
	assert.Equal(t, 1, verdicts)
	assert.Contains(t, text, "\n  quarantine \"a, b\"\n", "one pack, and no list")
	for _, f := range report.Findings {
		clean(t, report.Message(f))
	}
}

// An error forges no line of a log, and can be had without anything of the document.
func TestErrorsAreClean(t *testing.T) {
	name, err := json.Marshal(hostile)
	require.NoError(t, err)
	_, err = load.Decode([]byte(`{"format":"moistheat.load/1",` + string(name) + `:1}`))
	require.Error(t, err)
	clean(t, err.Error())
	assert.NotContains(t, err.Error(), "\n")
	e := (*moistheat.DocumentError)(nil)
	require.True(t, errors.As(err, &e))
	assert.Equal(t, "moistheat.load/1: the document: not the agreed shape (byte 29)", e.Place())
}

// A drawing is well-formed XML whatever a sensor is called.
func TestDrawingsAreClean(t *testing.T) {
	r := loadtest.Handpiece()
	trace := r.Cycle.Trace
	require.NotNil(t, trace)
	for i := range trace.Temperatures {
		trace.Temperatures[i].ID += hostile + "\x01\x1f<>&"
	}
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	a := load.Check(r, p).Analysis
	var svg strings.Builder
	require.NoError(t, drawing.SVG(&svg, trace, a))
	clean(t, svg.String())
	assert.Contains(t, svg.String(), "[U+0001]", "the name is drawn")
	for d := xml.NewDecoder(strings.NewReader(svg.String())); ; {
		if _, err := d.Token(); err != nil {
			require.ErrorIs(t, err, io.EOF)
			break
		}
	}
}
