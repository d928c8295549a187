package packaging_test

import (
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is no date is told apart from a date that is not in the calendar.
func TestParseDateSaysWhatIsWrong(t *testing.T) {
	for s, want := range map[string]string{
		"20x6-03-09": "is not a date such as",
		"2026-x3-09": "is not a date such as",
		"2026-03-x9": "is not a date such as",
		"2026-03-0:": "is not a date such as", // the character after 9
		"2026-03-1/": "is not a date such as", // the character before 0
		"2026-02-29": "there is no day",
	} {
		_, err := moistheat.ParseDate(s)
		assert.ErrorContains(t, err, want, s)
	}
}

func TestParseFiguresAtTheEdge(t *testing.T) {
	lumenRow := func(limit, more string) string {
		return strings.Replace(ownFigures, `"limit": "least seal width", "length": {"value": 8, "unit": "mm"}`,
			`"limit": "`+limit+`", "ratio": {"value": 1, "unit": "1"}`+more, 1)
	}
	for _, tt := range []struct{ doc, want string }{
		{lumenRow("least hollow ratio", `, "openEnds": 1`), "the lumen classes are fixed"},
		{lumenRow("least hollow ratio", ``), "openEnds"},
		{lumenRow("least hollow ratio", `, "openEnds": 1, "from": "2026-01-01"`), "have no dates"},
		{lumenRow("least hollow ratio", `, "openEnds": 1, "until": "2026-01-01"`), "have no dates"},
		{strings.Replace(ownFigures, `"limit"`, `"openEnds": 3, "limit"`, 1), "openEnds"},
		{strings.Replace(ownFigures, `our-pouches`, strings.Repeat("a", 65), 1), "/id"},
		{strings.Replace(ownFigures, `our-pouches`, "{", 1), "/id"}, // the character after z
		{strings.Replace(ownFigures, `our-pouches`, "`", 1), "/id"}, // the character before a
		{strings.Replace(ownFigures, `our-pouches`, "", 1), "/id"},
	} {
		_, err := packaging.ParseFigures([]byte(tt.doc))
		assert.ErrorContains(t, err, tt.want, tt.doc)
	}
	for _, doc := range []string{
		strings.Replace(ownFigures, `our-pouches`, strings.Repeat("a", 64), 1),
		strings.Replace(ownFigures, `our-pouches`, "az-09", 1),
		strings.Replace(ownFigures, `"limit"`, `"from": "2026-01-01", "limit"`, 1),
		strings.Replace(ownFigures, `"limit"`, `"until": "2026-01-01", "limit"`, 1),
	} {
		_, err := packaging.ParseFigures([]byte(doc))
		assert.NoError(t, err, doc)
	}
}

func TestPorous(t *testing.T) {
	for _, tt := range []struct {
		traits []packaging.Trait
		want   moistheat.Answer
	}{
		{traits(packaging.Porous), yes},
		{traits(packaging.Textile), yes},
		{traits(packaging.Porous, packaging.Textile), yes},
		{traits(packaging.Hinged), no},
		{nil, nr},
	} {
		assert.Equal(t, tt.want, (&packaging.Pack{Items: []packaging.Item{{Traits: tt.traits}}}).Porous(), tt.traits)
	}
}

// A rule of which a figure was asked is not said not to apply as well.
func TestAskedIsNotSkipped(t *testing.T) {
	width, err := packaging.ParseFigures([]byte(strings.Replace(ownFigures, "least seal width", "greatest muslin pack width", 1)))
	require.NoError(t, err)
	long, err := packaging.ParseFigures([]byte(strings.Replace(ownFigures, "least seal width", "greatest muslin pack length", 1)))
	require.NoError(t, err)
	for _, tt := range []struct {
		rule    string
		pack    *packaging.Pack
		figures *packaging.Figures
		want    int
	}{
		{"packaging.indicator.small", goodPouch(), figures(t, "en-868-5-2009"), 1},
		{"packaging.size.large", goodMuslin(), figures(t, "cdc-2008"), 2},
		{"packaging.size.large", goodMuslin(), width, 1},
		{"packaging.size.large", goodMuslin(), long, 1},
	} {
		got := of(tt.rule, packaging.Check(tt.pack, packaging.Context{Figures: tt.figures}))
		assert.Len(t, got, tt.want, tt.rule)
		for _, f := range got {
			assert.NotEqual(t, na, f.Outcome, tt.rule)
		}
	}
}

// The best indicator inside is named by its type, and none by that word.
func TestTypeOfTheBestIndicator(t *testing.T) {
	for _, tt := range []struct {
		types []int
		want  string
	}{{[]int{3, 1}, "3"}, {nil, "none"}} {
		p := goodPouch()
		if inside(tt.types...)(p, nil); tt.types == nil {
			p.Indicators = goodPouch().Indicators[:1] // outside
		}
		got := of("packaging.indicator.weak", packaging.Check(p, packaging.Context{}))
		require.Len(t, got, 1)
		assert.Equal(t, broken, got[0].Outcome)
		assert.Equal(t, tt.want, got[0].Param("type"))
	}
}

// A hundred years is the longest age that a figure may allow.
func TestGreatestSealTestAge(t *testing.T) {
	for months, ok := range map[string]bool{"1": true, "1200": true, "1201": false} {
		doc := strings.Replace(ownFigures, `"limit": "least seal width", "length": {"value": 8, "unit": "mm"}`,
			`"limit": "greatest seal test age", "months": `+months, 1)
		_, err := packaging.ParseFigures([]byte(doc))
		assert.Equal(t, ok, err == nil, months)
	}
}

// Of two documents on the age of seal tests the stricter counts, in whichever order
// they are followed, and of two that agree the first is named.
func TestStricterSealTestAge(t *testing.T) {
	own := func(months string) *packaging.Figures {
		f, err := packaging.ParseFigures([]byte(strings.Replace(ownFigures,
			`"limit": "least seal width", "length": {"value": 8, "unit": "mm"}`,
			`"limit": "greatest seal test age", "months": `+months, 1)))
		require.NoError(t, err)
		return f
	}
	standard := figures(t, "en-868-5-2009") // half-yearly, as quoted
	for _, tt := range []struct {
		first, second *packaging.Figures
		want          moistheat.Outcome
		table         string
	}{
		{standard, own("3"), broken, "our-pouches#seal"},
		{own("3"), standard, broken, "our-pouches#seal"},
		{standard, own("6"), met, "en-868-5-2009#seal-test-age"},
		{own("6"), standard, met, "our-pouches#seal"},
		{standard, own("12"), met, "en-868-5-2009#seal-test-age"},
		{own("12"), standard, met, "en-868-5-2009#seal-test-age"},
	} {
		both, err := tt.first.With(tt.second)
		require.NoError(t, err)
		p := goodPouch()
		p.Seal.Tested, p.Seal.LastTest, p.Seal.Changed = nr, date("2025-11-01"), date("2025-06-30")
		got := of("packaging.seal.untested", packaging.Check(p, packaging.Context{Date: date("2026-03-09"), Figures: both}))
		require.Len(t, got, 1)
		assert.Equal(t, tt.want, got[0].Outcome)
		assert.Equal(t, tt.table, got[0].Table)
	}
}
