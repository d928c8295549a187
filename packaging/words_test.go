package packaging_test

import (
	"testing"

	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/packaging"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A pack can be read as part of a record, and neither an absent list nor an empty one says anything.
func TestDecodePack(t *testing.T) {
	d := strictjson.NewDecoder[packaging.Pack]()
	p, err := d.Decode([]byte(`{
		"id": "p1", "barrier": "paper-film pouch", "expires": "2027-01-31",
		"seal": {"method": "heat", "width": {"value": 8, "unit": "mm"}, "intact": true},
		"indicators": [],
		"items": [
			{"name": "mirror", "traits": [], "class": "semicritical"},
			{"name": "cannula", "lumens": [{"length": {"value": 100, "unit": "mm"}, "bore": {"value": 0.8, "unit": "mm"}, "openEnds": 2}],
			 "instructions": {"airRemoval": ["dynamic-air-removal"], "minTemperature": {"value": 134, "unit": "Cel"}}}
		]
	}`), strictjson.Default())
	require.NoError(t, err)
	assert.Equal(t, packaging.PaperFilmPouch, p.Barrier)
	assert.Equal(t, date("2027-01-31"), p.Expires)
	assert.NotNil(t, p.Indicators)
	assert.Equal(t, nr, p.Items[0].Has(packaging.Hinged))
	assert.Equal(t, nr, p.Items[1].Has(packaging.Hinged))
	assert.Equal(t, nr, p.Has(packaging.Hinged))
	assert.Equal(t, nr, p.Porous())
	p.Items[0].Traits = traits(packaging.Porous)
	assert.Equal(t, yes, p.Porous())

	for _, doc := range []string{
		`{"items": []}`,
		`{"id": "p1", "barrier": "none"}`,
		`{"id": "p1", "barrier": "", "items": []}`,
		`{"id": "p1", "barrier": "none", "items": [{"id": "7"}]}`,
		`{"id": "p1", "barrier": "none", "items": [], "expires": "31.01.2027"}`,
		`{"id": "p1", "barrier": "none", "items": [], "mass": {"value": 5, "unit": "mm"}}`,
	} {
		_, err := d.Decode([]byte(doc), strictjson.Default())
		assert.Error(t, err, doc)
	}
}

func TestPacked(t *testing.T) {
	assert.False(t, (&packaging.Pack{}).Packed())
	assert.False(t, (&packaging.Pack{Barrier: packaging.Unwrapped}).Packed())
	assert.True(t, (&packaging.Pack{Barrier: packaging.Unwrapped, Inside: "box"}).Packed())
	assert.True(t, (&packaging.Pack{Barrier: packaging.WrapSheet}).Packed())
}
