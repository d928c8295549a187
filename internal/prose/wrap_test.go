package prose

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestWrap(t *testing.T) {
	fits := strings.Repeat("x", 38)
	for text, want := range map[string]string{
		"":                             "- \n",
		"a  b\nc":                      "- a b c\n",
		fits + " " + fits + "x":        "- " + fits + " " + fits + "x\n", // 80 columns
		fits + " " + fits + "xx":       "- " + fits + "\n  " + fits + "xx\n",
		strings.Repeat("é", 78):        "- " + strings.Repeat("é", 78) + "\n",
		strings.Repeat("y", 90):        "- " + strings.Repeat("y", 90) + "\n",
		"a " + strings.Repeat("y", 90): "- a\n  " + strings.Repeat("y", 90) + "\n",
	} {
		assert.Equal(t, want, Wrap("- ", "  ", text))
	}
}
