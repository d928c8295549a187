// Package spelling compares names that people type: of machines, programs and load patterns.
package spelling

import (
	"strings"
	"unicode"
)

// Fold returns a name without what people type now so and now so: case, spaces, hyphens,
// underscores, characters without a shape, and the wide forms of letters and digits. Names that
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

// Same returns what names that differ only in case and space around them have in common: these
// mean the same.
func Same(name string) string { return strings.ToLower(strings.TrimSpace(name)) }

// Alike reports whether two names are different and fold alike.
func Alike(a, b string) bool { return a != b && Fold(a) == Fold(b) && Fold(a) != "" }

// Nearest returns the name that is most like another: one that folds alike, or else one that a
// third of its letters at most must be changed for; "": there is none.
func Nearest(name string, names []string) string {
	best, far := "", len(name)/3+1
	for _, n := range names {
		d := Distance(name, n)
		if Alike(name, n) {
			d = 0
		}
		if d < far || d == far && best != "" && n < best {
			best, far = n, d
		}
	}
	return best
}

// Distance returns how many bytes must be put in, taken out or changed to make one string of the
// other, of which the first 100 are compared.
func Distance(a, b string) int {
	a, b = a[:min(len(a), 100)], b[:min(len(b), 100)]
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
