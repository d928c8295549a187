package loadtest_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load/loadtest"
)

// What stands in a parameter is a phrase by its code, a word of a closed list, a number, a day, or
// what the documents say, and never a sentence of English.
func TestParametersHaveNoEnglish(t *testing.T) {
	t.Parallel()
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	bad := map[string]bool{}
	phrases, words := 0, 0
	for i, v := range c.Vectors() {
		if !full() && i%32 != 0 {
			continue
		}
		doc, err := v.Document()
		require.NoError(t, err, v.ID)
		j, err := v.Judge(doc, nil)
		require.NoError(t, err, v.ID)
		whole, err := json.Marshal(v)
		require.NoError(t, err, v.ID)
		given := string(doc) + string(whole)
		for _, f := range j.Findings {
			rule, _ := j.Policy.Rule(f.Rule)
			for _, p := range f.Params {
				data, isData := p.Value.Data()
				switch as := sortOf(rule, p.Name); {
				case !isData:
					phrases++
				case as != "" && as != "text" && as != "name" && as != "number" && as != "date":
					words++
					list := strings.Split(data, ", ")
					if lang.Known(as + ": " + data) {
						list = []string{data} // a word that has a comma
					}
					for _, w := range list {
						if strings.Trim(w, "0123456789") != "" && !lang.Known(as+": "+w) && !bad[f.Rule+as+w] {
							bad[f.Rule+as+w] = true
							t.Errorf("%s: %s: {%s:%s} has no word %q", v.ID, f.Rule, p.Name, as, w)
						}
					}
				case prose(data) && !quotes(given, data) && !bad[f.Rule+p.Name]:
					bad[f.Rule+p.Name] = true
					t.Errorf("%s: %s: %s: {%s:%s} holds %q", v.ID, f.Rule, f.Outcome, p.Name, as, data)
				}
			}
		}
	}
	assert.NotZero(t, phrases)
	assert.NotZero(t, words)
}

// sortOf returns how a rule says that a parameter is written.
func sortOf(r moistheat.Rule, name string) string {
	for _, text := range []string{r.BrokenText, r.UndeterminedText, r.Title, r.Remedy} {
		for _, p := range lang.Parameters(text) {
			if n, as, _ := strings.Cut(p, ":"); n == name {
				return as
			}
		}
	}
	return ""
}

// quotes reports whether documents say a text, or each part of a list.
func quotes(given, s string) bool {
	return strings.Contains(given, s) || !slices.ContainsFunc(strings.Split(s, ", "), func(part string) bool {
		return !strings.Contains(given, part)
	})
}

// prose reports whether a text has two words of letters or more.
func prose(s string) bool {
	n := 0
	for _, w := range strings.Fields(s) {
		w = strings.Trim(w, ",.;:()")
		if len(w) > 2 && !strings.ContainsFunc(w, func(r rune) bool { return !unicode.IsLower(r) }) {
			n++
		}
	}
	return n > 1
}
