package lang_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lang"
)

// Data is what it was, whatever it holds: what came in with a document is never taken for a phrase.
func TestDataStays(t *testing.T) {
	for _, v := range []string{"", "scissors and forceps", "Nothing is open.", "not recorded", "1.10", "mg/L{CaCO3}",
		`a\b`, "{limit}", "{lots-differ|A|B}", "a|b", "{", "}", `\{`} {
		d := lang.Data(v)
		got, ok := d.Data()
		assert.True(t, ok, v)
		assert.Equal(t, v, got)
		assert.Equal(t, v, d.String())
		assert.Equal(t, v, lang.German().Detail(d))
		assert.Equal(t, v != "", d.IsValid())
		assert.Equal(t, d, both(t, d))
		say := func(string) (lang.Detail, bool) { return d, true }
		for _, text := range []string{"<{v}>", "<{v:name}>", "<{v:text}>"} {
			assert.Equal(t, "<"+v+">", lang.German().Say(text, say))
		}
	}
}

// both writes a detail in JSON and reads it back.
func both(t *testing.T, d lang.Detail) (out lang.Detail) {
	t.Helper()
	data, err := json.Marshal(d)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, &out))
	return out
}

// A phrase is written by its code, and said in each language with what stands in it.
func TestPhraseByCode(t *testing.T) {
	hostile := "A|1}"
	inner := lang.Say("lots-differ: the control is of lot {1}, the indicator of lot {2}", hostile, "2")
	for _, c := range []struct {
		d                        lang.Detail
		written, english, german string
	}{
		{inner, `{lots-differ|A\|1\}|2}`, "the control is of lot A|1}, the indicator of lot 2",
			"die Kontrolle ist aus Lot A|1}, der Indikator aus Lot 2"},
		{lang.Join("; ", lang.Data("B{7}"), inner), `B\{7\}; {lots-differ|A\|1\}|2}`,
			"B{7}; the control is of lot A|1}, the indicator of lot 2",
			"B{7}; die Kontrolle ist aus Lot A|1}, der Indikator aus Lot 2"},
		{lang.Told("Nothing is open."), "{|Nothing is open.}", "Nothing is open.", lang.German().Find("Nothing is open.")},
		{lang.Told(""), "", "", ""},
	} {
		text, err := c.d.MarshalText()
		require.NoError(t, err)
		assert.Equal(t, c.written, string(text))
		assert.Equal(t, c.english, c.d.String())
		assert.Equal(t, c.german, lang.German().Detail(c.d))
		assert.Equal(t, c.d, both(t, c.d))
	}
	assert.Equal(t, "lots-differ", inner.Code())
	assert.Equal(t, "", lang.Data("{lots-differ}").Code())
}

// What was written by another version, or by nothing of ours, stands for itself.
func TestDetailOfAnother(t *testing.T) {
	for _, written := range []string{"{later-code|1}", "{", "{a|", "}", "a}b|c", "mg/L{CaCO3}", `\`, "{lots-differ|", "{}",
		"{|a|b}"} {
		var d lang.Detail
		require.NoError(t, d.UnmarshalText([]byte(written)))
		assert.NotPanics(t, func() { _, _, _ = d.String(), d.Code(), lang.German().Detail(d) }, written)
		if written != `\` {
			assert.Equal(t, written, d.String())
		}
	}
	deep := strings.Repeat("{lots-differ|1|", 5000) + strings.Repeat("}", 5000)
	var d lang.Detail
	require.NoError(t, d.UnmarshalText([]byte(deep)))
	assert.Less(t, len(d.String()), 2*len(deep))
}

// What a document says as a phrase cannot end the phrase in which it comes to stand, nor say a
// sentence of the library outside of it.
func TestReadDetailStaysInItsPhrase(t *testing.T) {
	const text lang.Text = "lots-differ: the control is of lot {1}, the indicator of lot {2}"
	for _, written := range []string{`x}. {|Nothing is open.} {lots-differ|a`, "A|B", "a}b", "see form {7", `ends with \`,
		"{lots-differ}", "{lots-differ|a|b|c}", "{lots-differ|a}b|c}", "{later-code|1}", "5 d old, 1.50 ml"} {
		var d lang.Detail
		require.NoError(t, d.UnmarshalText([]byte(written)))
		if !strings.Contains(written, "{|Nothing") { // which is a whole phrase, of a text without a code
			assert.Equal(t, written, d.String())
		}
		said := lang.With(text, d, lang.Data("2"))
		assert.Equal(t, "the control is of lot "+d.String()+", the indicator of lot 2", said.String(), written)
		assert.Equal(t, said, both(t, said), written)
		assert.Equal(t, d, both(t, d), written)
	}
}

func FuzzDetail(f *testing.F) {
	f.Add("{lots-differ|a|{lots-differ|b|c}}", "x|y")
	f.Fuzz(func(t *testing.T, written, data string) {
		var d lang.Detail
		if err := d.UnmarshalText([]byte(written)); err != nil {
			t.Fatal(err)
		}
		_ = d.Code()
		around := lang.With("lots-differ: the control is of lot {1}, the indicator of lot {2}", d, lang.Data("2")).String()
		if want := "the control is of lot " + d.String() + ", the indicator of lot 2"; around != want {
			t.Fatalf("got %q, want %q", around, want)
		}
		got := lang.Say("lots-differ: the control is of lot {1}, the indicator of lot {2}", data, "2").String()
		if want := "the control is of lot " + guard.Visible(data) + ", the indicator of lot 2"; got != want {
			t.Fatalf("got %q, want %q", got, want)
		}
	})
}

// The code of a phrase is of no other.
func TestCodesAreTheirOwn(t *testing.T) {
	of := map[string]string{}
	for _, text := range lang.English() {
		if code := lang.Code(text); code != "" {
			assert.Empty(t, of[code], "%s is the code of two", code)
			of[code] = text
			assert.LessOrEqual(t, len(code), 32, code)
		}
	}
	assert.NotEmpty(t, of)
}
