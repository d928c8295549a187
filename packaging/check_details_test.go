package packaging_test

import (
	"slices"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// of returns the findings of one rule where it applies.
func of(rule string, findings []moistheat.Finding) (out []moistheat.Finding) {
	for _, f := range findings {
		if f.Rule == rule && f.Outcome != na {
			out = append(out, f)
		}
	}
	return out
}

// What a finding on an unfit barrier says beside its outcome: who says so, and of
// which barrier. EN 868-6:2025 and EN 868-7:2017 keep their papers out of steam, EN
// 868-5:2009 is for steam; foil and what nobody knows rest on the rule's own source.
func TestBarrierDetails(t *testing.T) {
	for _, test := range []struct {
		barrier  packaging.Barrier
		outcome  moistheat.Outcome
		document string
		named    string
	}{
		{packaging.PaperFilmPouch, met, "EN 868-5", ""},
		{packaging.LowTemperaturePaper, broken, "EN 868-6", "low-temperature paper"},
		{packaging.CoatedPaper, broken, "EN 868-7", "adhesive-coated paper"},
		{packaging.Foil, broken, "CDC dental infection control questions and answers, packaging and storing", "foil"},
		{packaging.OtherBarrier, open, "CDC dental infection control questions and answers, packaging and storing", "other"},
		{"", open, "CDC dental infection control questions and answers, packaging and storing", "not recorded"},
	} {
		t.Run(string(test.barrier), func(t *testing.T) {
			p := goodPouch()
			p.Barrier = test.barrier
			got := of("packaging.barrier.unfit", packaging.Check(p, packaging.Context{}))
			require.Len(t, got, 1)
			assert.Equal(t, test.outcome, got[0].Outcome)
			require.Equal(t, 1, got[0].Sources.Len())
			assert.Equal(t, test.document, got[0].Sources.At(0).Document)
			assert.Equal(t, test.named, got[0].Param("barrier"))
		})
	}
}

// Which rows weigh which pack. The Swiss list has a wrapped tray (8 kg), a pack of
// textiles (6 kg) and a rigid container (10 kg); the Dutch guideline a pack of
// textiles (6 kg) and an instrument set without packaging (8.5 kg); DIN 58953-9 a
// container (10 kg); CDC 2008 a pack of cloth in muslin (12 lb).
func TestWhichFiguresWeighWhichPack(t *testing.T) {
	for _, test := range []struct {
		name   string
		pack   packaging.Barrier
		inside string
		trait  packaging.Trait
		want   []string
	}{
		{"set in a wrap", packaging.WrapSheet, "", packaging.Hinged, []string{"ch-set-mass#tray-mass", "nl-set-mass#set-net-mass"}},
		{"set in cloth", packaging.TextileWrap, "", packaging.Hinged, []string{"ch-set-mass#tray-mass", "nl-set-mass#set-net-mass"}},
		{"set in a container", packaging.RigidContainer, "", packaging.Hinged, []string{"ch-set-mass#container-mass", "din-58953-9#container-mass", "nl-set-mass#set-net-mass"}},
		{"set on a tray", packaging.Unwrapped, "", packaging.Hinged, []string{"nl-set-mass#set-net-mass"}},
		{"tray in a container, which is weighed with it", packaging.Unwrapped, "C1", packaging.Hinged, nil},
		{"instruments in a pouch", packaging.PaperFilmPouch, "", packaging.Hinged, nil},
		{"cloth in a pouch", packaging.PaperFilmPouch, "", packaging.Textile, []string{"ch-set-mass#textile-mass", "nl-set-mass#textile-mass"}},
		{"cloth in a wrap", packaging.WrapSheet, "", packaging.Textile, []string{"ch-set-mass#textile-mass", "nl-set-mass#textile-mass"}},
		{"cloth in cloth", packaging.TextileWrap, "", packaging.Textile, []string{"cdc-2008#muslin-mass", "ch-set-mass#textile-mass", "nl-set-mass#textile-mass"}},
		{"cloth in a container", packaging.RigidContainer, "", packaging.Textile, []string{"ch-set-mass#container-mass", "ch-set-mass#textile-mass", "din-58953-9#container-mass", "nl-set-mass#textile-mass"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := goodTray()
			p.Barrier, p.Inside, p.Items[0].Traits = test.pack, test.inside, traits(test.trait)
			// All documents together, and each alone.
			for _, ids := range append([][]string{packaging.FigureNames()}, slices.Collect(slices.Chunk(packaging.FigureNames(), 1))...) {
				var want, got []string
				for _, row := range test.want {
					if document, _, _ := strings.Cut(row, "#"); slices.Contains(ids, document) {
						want = append(want, row)
					}
				}
				for _, f := range of("packaging.mass.high", packaging.Check(p, packaging.Context{Figures: figures(t, ids...)})) {
					got = append(got, f.Table)
				}
				slices.Sort(got)
				assert.Equal(t, want, got, ids)
			}
		})
	}
}

// The mass of the contents is below that of the whole pack, which serves up to the
// limit of 8.5 kg (Dutch guideline) and proves nothing above it.
func TestGrossMassServesForNetMass(t *testing.T) {
	for _, test := range []struct {
		gross, net string
		want       moistheat.Outcome
		pointer    string
	}{
		{"8.5 kg", "", met, "/mass"},
		{"8.4 kg", "", met, "/mass"},
		{"8.6 kg", "", open, ""},
		{"8.6 kg", "8.5 kg", met, "/netMass"},
		{"8.4 kg", "8.6 kg", broken, "/netMass"}, // what cannot be is not excused
	} {
		p := goodTray()
		p.Mass, p.NetMass = mass(test.gross), units.Mass{}
		if test.net != "" {
			p.NetMass = mass(test.net)
		}
		got := of("packaging.mass.high", packaging.Check(p, packaging.Context{Figures: figures(t, "nl-set-mass")}))
		require.Len(t, got, 1)
		assert.Equal(t, test.want, got[0].Outcome, "%s, %s", test.gross, test.net)
		assert.Equal(t, test.pointer, got[0].Pointer, "%s, %s", test.gross, test.net)
	}
}

// Of equal temperatures the one that is recorded first is named.
func TestConflictNamesTheFirst(t *testing.T) {
	for _, test := range []struct{ name, least, most, want string }{
		{"needed", "135 Cel,408.15 K", "134 Cel", "one item needs 135 °C, another allows no more than 134 °C"},
		{"needed, the other way round", "408.15 K,135 Cel", "134 Cel", "one item needs 408.15 K, another allows no more than 134 °C"},
		{"allowed", "135 Cel", "134 Cel,407.15 K", "one item needs 135 °C, another allows no more than 134 °C"},
		{"allowed, the other way round", "135 Cel", "407.15 K,134 Cel", "one item needs 135 °C, another allows no more than 407.15 K"},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := goodPouch()
			p.Items = nil
			for _, s := range strings.Split(test.least, ",") {
				p.Items = append(p.Items, packaging.Item{Name: "needs", Instructions: instructions(s, "", vacuum)})
			}
			for _, s := range strings.Split(test.most, ",") {
				p.Items = append(p.Items, packaging.Item{Name: "allows", Instructions: instructions("", s, vacuum)})
			}
			got := of("packaging.contents.mixed", packaging.Check(p, packaging.Context{}))
			require.Len(t, got, 1)
			assert.Equal(t, broken, got[0].Outcome)
			assert.Equal(t, test.want, got[0].Param("difference"))
		})
	}
}

// CDC, packaging of 2008: nothing sharp in paper alone. Whether an item is sharp
// matters only where its points are not known to be covered.
func TestSharpThatNobodyDescribed(t *testing.T) {
	for _, test := range []struct {
		guarded moistheat.Answer
		want    moistheat.Outcome
	}{{yes, met}, {no, open}, {nr, open}} {
		p := goodPouch()
		p.Barrier, p.Items[0].Traits, p.Items[0].Guarded = packaging.PaperBag, nil, test.guarded
		got := of("packaging.sharp.exposed", packaging.Check(p, packaging.Context{}))
		require.Len(t, got, 1)
		assert.Equal(t, test.want, got[0].Outcome, test.guarded)
	}
}

// A pouch with a printed indicator, and no other, is asked for its area
// (EN 868-5:2009, 4.4).
func TestPrintedIndicatorIsAskedOrNot(t *testing.T) {
	for _, test := range []struct {
		name  string
		types []int
		want  []moistheat.Outcome
	}{
		{"one printed", []int{1}, []moistheat.Outcome{met}},
		{"two printed", []int{1, 1}, []moistheat.Outcome{met, met}},
		{"one printed, one attached", []int{1, 4}, []moistheat.Outcome{met}},
		{"one attached, one printed", []int{4, 1}, []moistheat.Outcome{met}},
		{"attached only", []int{4}, nil},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := goodPouch()
			printed := p.Indicators[0]
			p.Indicators = p.Indicators[1:]
			for _, typ := range test.types {
				in := printed
				if in.Type = typ; typ != 1 {
					in.Area = units.Area{}
				}
				p.Indicators = append(p.Indicators, in)
			}
			var got []moistheat.Outcome
			for _, f := range of("packaging.indicator.small", packaging.Check(p, packaging.Context{Figures: figures(t, "en-868-5-2009")})) {
				got = append(got, f.Outcome)
			}
			assert.Equal(t, test.want, got)
		})
	}
}

// A finding on a weak indicator names the best type inside, or says that there is none.
func TestWeakIndicatorIsNamed(t *testing.T) {
	for _, test := range []struct {
		types []int
		want  string
	}{{[]int{3}, "3"}, {[]int{1, 3, 2}, "3"}, {[]int{}, "none"}, {[]int{0}, ""}} { // a type that is not recorded is asked for
		p := goodPouch()
		p.Indicators = p.Indicators[:1]
		for _, typ := range test.types {
			p.Indicators = append(p.Indicators, packaging.Indicator{Place: packaging.Internal, Type: typ})
		}
		got := of("packaging.indicator.weak", packaging.Check(p, packaging.Context{}))
		require.Len(t, got, 1)
		assert.Equal(t, test.want, got[0].Param("type"), test.types)
	}
}
