package strictjson_test

import (
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type note struct {
	Format string `json:"format"`
	Text   string `json:"text"`
}

// A document of another format is refused for its format, whatever else it holds, and
// every error names the format that was wanted.
func TestRead(t *testing.T) {
	const format = "moistheat.note/1"
	n, err := strictjson.Read[note]([]byte(`{"format":"moistheat.note/1","text":"x"}`), strictjson.Default(), format)
	require.NoError(t, err)
	assert.Equal(t, "x", n.Text)
	n, err = strictjson.Read[note]([]byte(`{"format":"y","text":"x"}`), strictjson.Default(), "")
	require.NoError(t, err)
	assert.Equal(t, "y", n.Format)

	for doc, want := range map[string]struct {
		kind    moistheat.ErrorKind
		pointer string
	}{
		`{"format":"moistheat.load/1","id":"1"}`: {moistheat.ErrShape, "/format"},
		`{"format":1,"text":"x"}`:                {moistheat.ErrShape, "/format"},
		`{"text":"x"}`:                           {moistheat.ErrShape, ""},
		`{"format":"moistheat.note/1"}`:          {moistheat.ErrShape, ""},
		`{"format":"moistheat.note/1"`:           {moistheat.ErrSyntax, ""},
		`{"format":"moistheat.note/1","text":"` + strings.Repeat("x", 5000) + `"}`: {moistheat.ErrLimit, "/text"},
	} {
		n, err := strictjson.Read[note]([]byte(doc), strictjson.Default(), format)
		assert.Nil(t, n, doc)
		require.ErrorIs(t, err, want.kind, doc)
		var e *moistheat.DocumentError
		require.ErrorAs(t, err, &e, doc)
		assert.Equal(t, want.pointer, e.Pointer, doc)
		assert.Equal(t, format, e.Format, doc)
		assert.True(t, strings.HasPrefix(err.Error(), format+": "), err)
	}
	assert.Panics(t, func() { strictjson.MustRead[note]([]byte(`{}`), format) })
}

func TestIsName(t *testing.T) {
	for _, s := range []string{"a", "cdc-2008-table-7", "9", strings.Repeat("a", 64)} {
		assert.True(t, strictjson.IsName(s), s)
	}
	for _, s := range []string{"", "A", "a b", "a_b", "a/b", "..", "é", strings.Repeat("a", 65)} {
		assert.False(t, strictjson.IsName(s), s)
	}
}
