// Package spelling compares names that people type: of machines, programs and load patterns.
package spelling

import (
	"strings"
	"unicode"
)

// Fold returns a name without what people type now so and now so: case, spaces, hyphens,
// underscores, characters that nobody sees, and the wide forms of letters and digits. Names that
// fold alike may be meant alike; whether they are, only a person can say.
func Fold(name string) string {
	return strings.Map(func(r rune) rune {
		if r >= '！' && r <= '～' { // wide forms
			r -= '！' - '!'
		}
		if r == '_' || r == '\u2212' || unicode.IsSpace(r) || unicode.In(r, unicode.Pd, unicode.Cf, unicode.Cc) {
			return -1
		}
		return unicode.ToLower(unicode.ToUpper(r))
	}, name)
}

// Alike reports whether two names are different and fold alike.
func Alike(a, b string) bool { return a != b && Fold(a) == Fold(b) && Fold(a) != "" }
