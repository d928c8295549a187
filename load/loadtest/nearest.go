package loadtest

import (
	"cmp"
	"slices"
	"strings"
)

// nearest returns those n names that are spelt most like a given one, in words. No name
// of ours is over 100 bytes, so no more of a given one is compared.
func nearest(name string, names []string, n int) string {
	name = name[:min(len(name), 100)]
	far := make(map[string]int, len(names))
	for _, other := range names {
		far[other] = distance(name, other)
	}
	names = slices.Clone(names)
	slices.SortStableFunc(names, func(a, b string) int { return cmp.Compare(far[a], far[b]) })
	return strings.Join(names[:min(n, len(names))], ", ")
}

// distance returns how many bytes must be put in, taken out or changed to make one
// string of the other.
func distance(a, b string) int {
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
