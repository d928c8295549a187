package prose

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestWrap(t *testing.T) {
	fits := strings.Repeat("x", 38)
	for text, want := range map[string]string{
		"":                             "-\n",
		"a  b\nc":                      "- a b c\n",
		fits + " " + fits + "x":        "- " + fits + " " + fits + "x\n", // 80 columns
		fits + " " + fits + "xx":       "- " + fits + "\n  " + fits + "xx\n",
		strings.Repeat("é", 78):        "- " + strings.Repeat("é", 78) + "\n",
		strings.Repeat("y", 90):        "- " + strings.Repeat("y", 78) + "\n  " + strings.Repeat("y", 12) + "\n",
		"a " + strings.Repeat("y", 90): "- a\n  " + strings.Repeat("y", 78) + "\n  " + strings.Repeat("y", 12) + "\n",
	} {
		assert.Equal(t, want, Wrap(80, "- ", "  ", text))
	}
	assert.Equal(t, "-\n a\n b\n", "-\n"+Wrap(3, " ", " ", "a b"))
	assert.Equal(t, strings.Repeat(" ", 50)+"ab\n", Wrap(40, strings.Repeat(" ", 50), "", "ab"), "no room at all")
}
