package words_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.com/moistheat/internal/words"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
)

func TestOf(t *testing.T) {
	for _, tt := range []struct {
		of   reflect.Type
		want []string
	}{
		{reflect.TypeFor[packaging.LabelPlace](), []string{
			string(packaging.OnFilm), string(packaging.OnMargin), string(packaging.OnTag), string(packaging.OnPaper)}},
		{reflect.TypeFor[load.Growth](), []string{string(load.Pending), string(load.Negative), string(load.Positive)}},
	} {
		if got := words.Of(tt.of); !slices.Equal(got, tt.want) {
			t.Errorf("%s: got %q, want %q", tt.of, got, tt.want)
		}
	}
	type Growth string // another type of that name
	for _, typ := range []reflect.Type{reflect.TypeFor[string](), reflect.TypeFor[Growth](), reflect.TypeFor[[]load.Growth](), reflect.TypeFor[load.Record]()} {
		if got := words.Of(typ); got != nil {
			t.Errorf("%s has words: %q", typ, got)
		}
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
		if nearest := words.Nearest(list, got); nearest != want {
			t.Errorf("%.40q: got %q, want %q", got, nearest, want)
		}
	}
	if got := words.Nearest(nil, "foil"); got != "" {
		t.Errorf("of no words: got %q", got)
	}
	if got := words.Nearest([]string{strings.Repeat("long", 99), "x"}, "x"); got != "x" {
		t.Errorf("beside a long one: got %q", got)
	}
}

// What a document of an earlier version says is answered with what it says now, where the
// list has that.
func TestNearestOfFormerWords(t *testing.T) {
	purposes, cadences := words.Of(reflect.TypeFor[load.Purpose]()), words.Of(reflect.TypeFor[calendar.Cadence]())
	for _, tt := range []struct {
		list      []string
		got, want string
	}{
		{purposes, "goods", "load"},
		{purposes, "unwrapped goods", "unwrapped load"},
		{cadences, "maker's schedule", "manufacturer's schedule"},
		{words.Of(reflect.TypeFor[load.Growth]()), "no growth", "negative"},
		{[]string{"paper", "foil"}, "goods", ""},
	} {
		if now := words.Nearest(tt.list, tt.got); now != tt.want {
			t.Errorf("%s: got %q, want %q", tt.got, now, tt.want)
		}
	}
}

// A word that nobody could have meant costs no memory, however long it is.
func TestNearestAllocatesNothing(t *testing.T) {
	list := words.Of(reflect.TypeFor[packaging.Limit]())
	if len(list) == 0 {
		t.Fatal("no words")
	}
	for _, got := range []string{"greatest full", strings.Repeat("greatest", 1e6)} {
		if n := testing.AllocsPerRun(10, func() { words.Nearest(list, got) }); n != 0 {
			t.Errorf("%.40q: %g allocations", got, n)
		}
	}
}

func TestRefusal(t *testing.T) {
	list := []string{"tape", "lock"}
	for word, want := range map[string]string{
		"tap":  `"tap" is not in the list tape, lock; did you mean "tape"?`,
		"glue": `"glue" is not in the list tape, lock`,
	} {
		if got := words.Refusal(list, word); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	if n := len(words.Refusal(list, strings.Repeat("glue", 1e6))); n >= 100 {
		t.Errorf("%d bytes of a long word", n)
	}
}
