package packaging_test

import (
	"encoding"
	"testing"

	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/packaging"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type word interface {
	comparable
	encoding.TextMarshaler
	String() string
}

// testWords checks that the values from 1 to last, and no others, have words of
// their own that read back.
func testWords[E interface {
	~uint8
	word
}, P interface {
	*E
	encoding.TextUnmarshaler
}](t *testing.T, last E) {
	t.Helper()
	seen := map[string]bool{}
	for v := E(1); v <= last; v++ {
		text, err := v.MarshalText()
		require.NoError(t, err)
		assert.Equal(t, v.String(), string(text))
		assert.NotEmpty(t, text)
		assert.False(t, seen[string(text)], "%s is there twice", text)
		seen[string(text)] = true
		var back E
		require.NoError(t, P(&back).UnmarshalText(text))
		assert.Equal(t, v, back)
	}
	_, err := (last + 1).MarshalText()
	assert.Error(t, err, "%T has a word after %s", last, last)
	var none E
	assert.Error(t, P(&none).UnmarshalText(nil))
	assert.Error(t, P(&none).UnmarshalText([]byte("no such word")))
}

func TestWords(t *testing.T) {
	testWords(t, packaging.OtherBarrier)
	testWords(t, packaging.OtherSeal)
	testWords(t, packaging.Internal)
	testWords(t, packaging.NotReached)
	testWords(t, packaging.Noncritical)
	testWords(t, packaging.ImplantInstrument)
	testWords(t, packaging.OtherMaterial)
	testWords(t, packaging.Immersion)
	testWords(t, packaging.PureWater)
	testWords(t, packaging.OnPaper)
	testWords(t, packaging.Later)
	testWords(t, packaging.Convenience)
	testWords(t, packaging.BeyondHollowA)
	testWords(t, packaging.LeastHollowBBore)
}

// A pack can be read as part of a record, and absent and empty lists stay apart.
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
	assert.Equal(t, no, p.Items[0].Has(packaging.Hinged))
	assert.Equal(t, nr, p.Items[1].Has(packaging.Hinged))
	assert.Equal(t, nr, p.Has(packaging.Hinged))
	assert.Equal(t, nr, p.Porous())
	p.Items[0].Traits = traits(packaging.Porous)
	assert.Equal(t, yes, p.Porous())
	c, known := p.HardestLumen()
	assert.Equal(t, packaging.HollowA, c)
	assert.True(t, known)

	for _, doc := range []string{
		`{"id": "p1", "items": []}`,
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
