package packaging_test

import (
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Why a rule is undetermined: the record is silent, what it says cannot be, or no
// document says what to compare with.
func TestReasons(t *testing.T) {
	lumen := func(l packaging.Lumen) func(pack) {
		return func(p pack) { p.Items[0].Lumens = []packaging.Lumen{l} }
	}
	implant := func(p pack) {
		p.Items[0].Traits, p.Indicators[1].Type = traits(packaging.Implant), 6
	}
	for _, tt := range []struct {
		name, rule string
		change     func(pack)
		want       moistheat.Reason
	}{
		{"no expiry date", "barrier.expired", func(p pack) { p.Expires = moistheat.Date{} }, moistheat.Unrecorded},
		{"nothing", "fill.excessive", func(p pack) { p.Fill = ratio("0 %") }, moistheat.NotMeasurable},
		{"less than nothing", "fill.excessive", func(p pack) { p.Fill = ratio("-1 %") }, moistheat.NotMeasurable},
		{"no age of a test stated", "seal.untested", func(p pack) {
			p.Seal.Tested, p.Seal.LastTest = nr, date("2026-03-01")
		}, moistheat.NoLimit},
		{"type 6 is not named", "indicator.implant", implant, moistheat.NoLimit},
		{"half a lumen", "lumen.unmeasured", lumen(packaging.Lumen{Length: length("8 mm")}), moistheat.Unrecorded},
		{"a lumen of no width", "lumen.unmeasured",
			lumen(packaging.Lumen{Length: length("8 mm"), Bore: length("0 mm"), OpenEnds: 1}), moistheat.NotMeasurable},
	} {
		p := goodPouch()
		tt.change(p)
		c := packaging.Context{Date: date("2026-03-09"), Figures: figures(t, "din-58953-7")}
		got := of("packaging."+tt.rule, packaging.Check(p, c))
		require.NotEmpty(t, got, tt.name)
		assert.Equal(t, open, got[0].Outcome, tt.name)
		assert.Equal(t, tt.want, got[0].Reason, tt.name)
	}
}

// Of what is absent nothing is recorded.
func TestNil(t *testing.T) {
	var p *packaging.Pack
	var it *packaging.Item
	var figure *packaging.Figure
	assert.Equal(t, packaging.Check(&packaging.Pack{}, packaging.Context{}), packaging.Check(nil, packaging.Context{}))
	for _, a := range []moistheat.Answer{p.Has(packaging.Textile), p.Porous(), it.Has(packaging.Implant)} {
		assert.Equal(t, nr, a)
	}
	assert.False(t, p.Packed())
	assert.False(t, figure.Value().IsValid())
	c, known := it.HardestLumen()
	assert.Equal(t, packaging.HollowA, c)
	assert.False(t, known)
}
