package guard

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Visible returns text in which what would show as nothing, or steer what shows it, is a
// mark, such as [U+202E]: control characters, line ends among them, those that turn the
// direction of text, and those without width. A byte that is no text becomes U+FFFD.
func Visible(text string) string {
	if strings.IndexFunc(text, hidden) < 0 && utf8.ValidString(text) {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		if hidden(r) {
			fmt.Fprintf(&b, "[%U]", r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

func hidden(r rune) bool {
	if r < utf8.RuneSelf {
		return r < ' ' || r == 0x7f
	}
	return !unicode.IsGraphic(r) ||
		unicode.In(r, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector)
}
