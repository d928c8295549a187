package packaging_test

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every figure that comes with the library, as the document named beside it states
// it. The basis says how it is known.
func TestFigureFiles(t *testing.T) {
	var got []string
	for _, id := range packaging.FigureNames() {
		f, err := packaging.FiguresFor(id)
		require.NoError(t, err)
		assert.Equal(t, []string{id}, f.IDs(), "a file is named after its ID")
		for _, fig := range f.All() {
			value := fig.Value().Text()
			if fig.Months > 0 {
				value = fmt.Sprintf("%d months", fig.Months)
			}
			got = append(got, fig.Table+": "+string(fig.Limit)+" "+value+" "+fig.Source.Basis.String())
		}
	}
	want := []string{
		"aami-st77#set-mass: greatest set mass with packaging 25 [lb_av] quoted",              // ANSI/AAMI ST77, 4.3.5
		"cdc-2008#muslin-mass: greatest muslin pack mass 12 [lb_av] published",                // CDC 2008
		"cdc-2008#muslin-width: greatest muslin pack width 12 [in_i] published",               // 12 x 12 x 20 in
		"cdc-2008#muslin-length: greatest muslin pack length 20 [in_i] published",             //
		"cdc-2008#muslin-density: greatest muslin pack density 7.2 [lb_av]/[ft_i]3 published", // 7.2 lb/ft3
		"ch-set-mass#tray-mass: greatest wrapped tray mass 8 kg quoted",                       // EFHSS question 98
		"ch-set-mass#textile-mass: greatest textile pack mass 6 kg quoted",                    //
		"ch-set-mass#container-mass: greatest rigid container mass 10 kg quoted",              //
		"din-58953-7#fill: greatest fill 75 % quoted",                                         // DIN 58953-7
		"din-58953-7#free-space: least free space 30 mm quoted",                               //
		"din-58953-7#overhang: least overhang 10 mm quoted",                                   //
		"din-58953-9#container-mass: greatest rigid container mass 10 kg recalled",            // DIN 58953-9, EN 868-8
		"en-868-5-2009#seal-width: least seal width 6 mm published",                           // EN 868-5:2009, 4.3.2
		"en-868-5-2009#seal-strength: least seal strength 1.5 N/(15.mm) quoted",               // 1.5 N/15 mm after steam, as quoted
		"en-868-5-2009#seal-test-age: greatest seal test age 6 months quoted",                 // half-yearly, as quoted
		"en-868-5-2009#indicator-area: least indicator area 100 mm2 published",                // EN 868-5:2009, 4.4
		"nl-set-mass#set-net-mass: greatest set mass without packaging 8.5 kg quoted",         // EFHSS question 98
		"nl-set-mass#textile-mass: greatest textile pack mass 6 kg quoted",                    //
		"wfhss-packaging#fill: greatest fill 75 % published",                                  // WFHSS guidelines
	}
	assert.Empty(t, cmp.Diff(want, got))
}

func TestFiguresFor(t *testing.T) {
	f, err := packaging.FiguresFor("din-58953-7", "aami-st77")
	require.NoError(t, err)
	assert.Equal(t, []string{"din-58953-7", "aami-st77"}, f.IDs())
	assert.Len(t, f.All(), 4)

	f.All()[0].Row = "changed"
	f.IDs()[0] = "changed"
	assert.Equal(t, "fill", f.All()[0].Row, "figures are immutable")
	assert.Equal(t, "din-58953-7", f.IDs()[0])

	none, err := packaging.FiguresFor()
	require.NoError(t, err)
	assert.Empty(t, none.All())
	for _, id := range []string{"", "din", "DIN-58953-7", "../figures/din-58953-7", "lumen/en-13060-2004", "en-13060-2004"} {
		_, err := packaging.FiguresFor(id)
		assert.ErrorContains(t, err, "there are aami-st77", id)
		assert.ErrorIs(t, err, moistheat.ErrUnknown)
	}
	_, err = packaging.FiguresFor("aami-st77", "aami-st77")
	assert.ErrorContains(t, err, "given twice")

	var no *packaging.Figures
	assert.Nil(t, no.All())
	assert.Nil(t, no.IDs())
	sum, err := no.With(f)
	require.NoError(t, err)
	assert.Equal(t, f.All(), sum.All())
	sum, err = f.With(nil)
	require.NoError(t, err)
	assert.Equal(t, f.All(), sum.All())
}

const ownFigures = `{
	"format": "moistheat.packaging-figures/1",
	"id": "our-pouches",
	"title": "Instructions of our pouch manufacturer",
	"figures": [{
		"row": "seal", "limit": "least seal width", "length": {"value": 8, "unit": "mm"},
		"source": {"document": "Instructions for use", "basis": "facility"}
	}]
}`

func TestParseFigures(t *testing.T) {
	f, err := packaging.ParseFigures([]byte(ownFigures))
	require.NoError(t, err)
	require.Len(t, f.All(), 1)
	assert.Empty(t, cmp.Diff(packaging.Figure{
		Row: "seal", Limit: packaging.LeastSealWidth, Length: length("8 mm"), Table: "our-pouches#seal",
		Source: moistheat.Source{Document: "Instructions for use", Basis: moistheat.Facility},
	}, f.All()[0], cmp.Comparer(func(a, b units.Length) bool { return a == b }),
		cmp.Comparer(func(a, b units.Ratio) bool { return a == b }), cmp.Comparer(func(a, b units.Mass) bool { return a == b }),
		cmp.Comparer(func(a, b units.Density) bool { return a == b }), cmp.Comparer(func(a, b units.ForcePerWidth) bool { return a == b }),
		cmp.Comparer(func(a, b units.Area) bool { return a == b }), cmp.Comparer(func(a, b moistheat.Date) bool { return a == b })))

	for _, tt := range []struct{ from, to, want string }{
		{`figures/1`, `figures/2`, "/format"},
		{`"our-pouches"`, `"our pouches"`, "/id"},
		{`"Instructions of our pouch manufacturer"`, `""`, "/title"},
		{`"row": "seal"`, `"row": ""`, "/figures/0"},
		{`{"value": 8, "unit": "mm"}`, `{"value": 0, "unit": "mm"}`, "above zero"},
		{`{"value": 8, "unit": "mm"}`, `{"value": 8, "unit": "kg"}`, "/figures/0/length/unit"},
		{`"length"`, `"mass"`, "/figures/0/mass/unit"},
		{`"length": {"value": 8, "unit": "mm"}`, `"mass": {"value": 8, "unit": "kg"}`, "give that and no other"},
		{`"length": {"value": 8, "unit": "mm"},`, ``, "give that and no other"},
		{`"length": {`, `"mass": {"value": 8, "unit": "kg"}, "length": {`, "give that and no other"},
		{`"limit": `, `"openEnds": 1, "limit": `, "openEnds"},
		{`"Instructions for use"`, `""`, "source"},
		{`"facility"`, `"hearsay"`, "/figures/0/source/basis"},
		{`, "basis": "facility"`, ``, `"basis"`},
		{`"limit": "least seal width", "length": {"value": 8, "unit": "mm"}`,
			`"limit": "greatest hollow A length", "openEnds": 1, "length": {"value": 9, "unit": "m"}`, "the lumen classes are fixed"},
		{`[{`, `[{
			"row": "seal", "limit": "least free space", "length": {"value": 8, "unit": "mm"},
			"source": {"document": "Instructions for use", "basis": "facility"}}, {`, "is there twice"},
		{ownFigures[strings.Index(ownFigures, "[{"):], `[]}`, "/figures"},
		{`"row"`, `"Row"`, "/figures/0/Row"},
		{`"row": "seal"`, `"row": "seal", "from": "2026-03-09", "until": "2026-03-09"`, "until"},
		{`"row": "seal"`, `"row": "seal", "from": "2026-3-9"`, "/figures/0/from"},
		{`"row": "seal"`, `"row": "seal", "months": 6`, "months"},
		{`"limit": "least seal width"`, `"limit": "greatest seal test age", "months": 6`, "no other value"},
		{`"limit": "least seal width", "length": {"value": 8, "unit": "mm"}`, `"limit": "greatest seal test age", "months": 0`, "months"},
		{`"limit": "least seal width", "length": {"value": 8, "unit": "mm"}`, `"limit": "greatest seal test age", "months": 1201`, "months"},
		{`"id"`, `"extra": 1, "id"`, "/extra"},
	} {
		doc := strings.Replace(ownFigures, tt.from, tt.to, 1)
		require.NotEqual(t, ownFigures, doc, tt.from)
		_, err := packaging.ParseFigures([]byte(doc))
		var e *moistheat.DocumentError
		require.ErrorAs(t, err, &e)
		assert.Equal(t, e.Offset < 0, errors.Is(err, moistheat.ErrInvalid), doc)
		assert.ErrorContains(t, err, tt.want, doc)
	}
}

// A figure counts from its first day to the day before its last. On a day that
// nobody recorded both editions are asked.
func TestFiguresByDate(t *testing.T) {
	f, err := packaging.ParseFigures([]byte(strings.Replace(ownFigures, `[{`, `[{
		"row": "old", "limit": "least seal width", "length": {"value": 6, "unit": "mm"}, "until": "2026-03-09",
		"source": {"document": "Instructions for use", "edition": "2020", "basis": "facility"}}, {
		"from": "2026-03-09", "until": "2027-01-01",`, 1)))
	require.NoError(t, err)
	p := &packaging.Pack{Barrier: packaging.PaperFilmPouch, Seal: &packaging.Seal{Method: packaging.HeatSeal, Width: length("7 mm")}}
	for _, tt := range []struct {
		on   moistheat.Date
		want map[string]moistheat.Outcome
	}{
		{moistheat.NewDate(2026, 3, 8), map[string]moistheat.Outcome{"our-pouches#old": moistheat.Met}},
		{moistheat.NewDate(2026, 3, 9), map[string]moistheat.Outcome{"our-pouches#seal": moistheat.Broken}},
		{moistheat.NewDate(2026, 12, 31), map[string]moistheat.Outcome{"our-pouches#seal": moistheat.Broken}},
		{moistheat.NewDate(2027, 1, 1), map[string]moistheat.Outcome{}},
		{moistheat.Date{}, map[string]moistheat.Outcome{"our-pouches#old": moistheat.Met, "our-pouches#seal": moistheat.Broken}},
	} {
		got := map[string]moistheat.Outcome{}
		for _, f := range packaging.Check(p, packaging.Context{Date: tt.on, Figures: f}) {
			if f.Rule == "packaging.seal.narrow" {
				got[f.Table] = f.Outcome
			}
		}
		assert.Equal(t, tt.want, got, tt.on)
	}
}

// What is read holds only figures that can be compared with a measured value.
func FuzzParseFigures(f *testing.F) {
	f.Add([]byte(ownFigures))
	for _, id := range packaging.FigureNames() {
		data, err := os.ReadFile("figures/" + id + ".json")
		require.NoError(f, err)
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		figures, err := packaging.ParseFigures(data)
		if err != nil {
			if _, typed := err.(*moistheat.DocumentError); !typed {
				t.Fatalf("%T: %v", err, err)
			}
			return
		}
		if len(figures.IDs()) != 1 || len(figures.All()) == 0 {
			t.Fatal("no document or no figure")
		}
		for _, fig := range figures.All() {
			v := fig.Value()
			if fig.Months <= 0 && (!v.IsValid() || !v.Decimal().IsPositive()) || fig.Source.Document == "" {
				t.Fatalf("%+v", fig)
			}
		}
	})
}
