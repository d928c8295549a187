// Package words knows the closed word lists of the library's JSON formats: for every
// string type of the public packages the constants that are declared for it. The
// strict decoder asks it which words it may let pass.
package words

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// Of returns the words of a string type in the order of their declaration, or nil if
// the type has no list. The caller owns the result.
func Of(t reflect.Type) []string { return of(t.PkgPath() + "." + t.Name()) }

// Refusal says that got is not in a list, what the list is and, if one of its words is
// much like got, which.
func Refusal(list []string, got string) string {
	s := fmt.Sprintf("%.40q is not in the list %s", got, strings.Join(list, ", "))
	if w := Nearest(list, got); w != "" {
		s += fmt.Sprintf("; did you mean %q?", w)
	}
	return s
}

// longest bounds what Nearest compares. No word of a list is longer.
const longest = 64

// former returns what a word of an earlier version is now, or "".
func former(word string) string {
	switch word {
	case "goods":
		return "load"
	case "unwrapped goods":
		return "unwrapped load"
	case "maker's schedule":
		return "manufacturer's schedule"
	case "hold":
		return "quarantine"
	case "caution":
		return "minor"
	case "incubating":
		return "pending"
	case "no growth":
		return "negative"
	case "growth":
		return "positive"
	}
	return ""
}

// Nearest returns the word of a list that got was probably meant to be, or "": the one
// that took its place, else the one that the fewest slips of the pen turn into got, if
// they are at most one for three letters, and otherwise the one that shares the longest
// beginning, of four letters or more. Capitals do not count. Its cost does not grow with
// got.
func Nearest(list []string, got string) string {
	if len(got) > longest {
		return ""
	}
	if w := former(got); slices.Contains(list, w) {
		return w
	}
	best, least := "", 0
	for _, w := range list {
		if d := slips(w, got); 3*d <= max(len(w), len(got)) && (best == "" || d < least) {
			best, least = w, d
		}
	}
	if best != "" {
		return best
	}
	most := 3
	for _, w := range list {
		if n := shared(w, got); n > most {
			best, most = w, n
		}
	}
	return best
}

// slips counts the bytes that must be put in, left out, changed or swapped with the
// next one between a and b.
func slips(a, b string) int {
	if len(a) > longest || len(b) > longest {
		return longest
	}
	var rows [3][longest + 1]int // row i%3: the slips between i bytes of a and each beginning of b
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		this, last, before := &rows[i%3], &rows[(i+2)%3], &rows[(i+1)%3]
		this[0] = i
		for j := 1; j <= len(b); j++ {
			x, y := lower(a[i-1]), lower(b[j-1])
			this[j] = min(last[j], this[j-1], last[j-1]) + 1
			if x == y {
				this[j] = min(this[j], last[j-1])
			}
			if i > 1 && j > 1 && x == lower(b[j-2]) && y == lower(a[i-2]) {
				this[j] = min(this[j], before[j-2]+1)
			}
		}
	}
	return rows[len(a)%3][len(b)]
}

// shared counts the bytes with which both a and b begin.
func shared(a, b string) int {
	n := 0
	for n < min(len(a), len(b)) && lower(a[n]) == lower(b[n]) {
		n++
	}
	return n
}

func lower(b byte) byte {
	if 'A' <= b && b <= 'Z' {
		return b + 'a' - 'A'
	}
	return b
}
