package reduce

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is left is needed, and needed alone.
func TestDocument(t *testing.T) {
	var doc any
	require.NoError(t, json.Unmarshal([]byte(`{"a":1,"b":{"c":2,"d":[3,{"e":4,"f":5},6]},"g":[7]}`), &doc))
	text := func() string {
		data, err := json.Marshal(doc)
		require.NoError(t, err)
		return string(data)
	}
	Document(doc, func() bool { return strings.Contains(text(), `"e":4`) && strings.Contains(text(), "6") })
	assert.Equal(t, `{"b":{"d":[{"e":4},6]}}`, text())
}
