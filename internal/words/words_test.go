package words_test

import (
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/words"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
)

func TestOf(t *testing.T) {
	assert.Equal(t, []string{string(packaging.OnFilm), string(packaging.OnMargin), string(packaging.OnTag), string(packaging.OnPaper)},
		words.Of(reflect.TypeFor[packaging.LabelPlace]()))
	assert.Equal(t, []string{string(load.Pending), string(load.Negative), string(load.Positive)}, words.Of(reflect.TypeFor[load.Growth]()))
	type Growth string // another type of that name
	for _, typ := range []reflect.Type{reflect.TypeFor[string](), reflect.TypeFor[Growth](), reflect.TypeFor[[]load.Growth](), reflect.TypeFor[load.Record]()} {
		assert.Nil(t, words.Of(typ), typ)
	}
}

func TestNearest(t *testing.T) {
	list := []string{"none", "paper bag", "paper-film pouch", "rigid container", "foil", "B", "no growth", "growth"}
	for got, want := range map[string]string{
		"Foil":                    "foil",
		"foli":                    "foil",
		"fol":                     "foil",
		"foils":                   "foil",
		"paper film pouch":        "paper-film pouch",
		"rigid":                   "rigid container",
		"b":                       "B",
		"nogrowth":                "no growth",
		"growht":                  "growth",
		"paper":                   "paper bag", // of two that begin alike, the first
		"":                        "",
		"glass":                   "",
		"pap":                     "",
		strings.Repeat("no", 33):  "",
		strings.Repeat("x", 1e6):  "",
		"paper" + string(rune(0)): "paper bag",
	} {
		assert.Equal(t, want, words.Nearest(list, got), "%.40q", got)
	}
	assert.Empty(t, words.Nearest(nil, "foil"))
	assert.Equal(t, "x", words.Nearest([]string{strings.Repeat("long", 99), "x"}, "x"))
}

// A word that nobody could have meant costs no memory, however long it is.
// What a document of an earlier version says is answered with what it says now.
func TestNearestOfFormerWords(t *testing.T) {
	for got, want := range map[string]string{"goods": "load", "unwrapped goods": "unwrapped load"} {
		assert.Equal(t, want, words.Nearest(words.Of(reflect.TypeFor[load.Purpose]()), got))
	}
	assert.Equal(t, "manufacturer's schedule",
		words.Nearest(words.Of(reflect.TypeFor[calendar.Cadence]()), "maker's schedule"))
	assert.Equal(t, "negative", words.Nearest(words.Of(reflect.TypeFor[load.Growth]()), "no growth"))
	assert.Empty(t, words.Nearest([]string{"paper", "foil"}, "goods"), "only where the list has the new word")
}

func TestNearestAllocatesNothing(t *testing.T) {
	list := words.Of(reflect.TypeFor[packaging.Limit]())
	require.NotEmpty(t, list)
	for _, got := range []string{"greatest full", strings.Repeat("greatest", 1e6)} {
		assert.Zero(t, testing.AllocsPerRun(10, func() { words.Nearest(list, got) }))
	}
}

func TestRefusal(t *testing.T) {
	assert.Equal(t, `"tap" is not in the list tape, lock; did you mean "tape"?`, words.Refusal([]string{"tape", "lock"}, "tap"))
	assert.Equal(t, `"glue" is not in the list tape, lock`, words.Refusal([]string{"tape", "lock"}, "glue"))
	assert.Less(t, len(words.Refusal([]string{"tape", "lock"}, strings.Repeat("glue", 1e6))), 100)
}
