package loadtest

import (
	"cmp"
	"slices"
	"strings"

	"example.com/moistheat/internal/spelling"
)

// nearest returns those n names that are spelt most like a given one, in words. No name
// of ours is over 100 bytes, so no more of a given one is compared.
func nearest(name string, names []string, n int) string {
	name = name[:min(len(name), 100)]
	far := make(map[string]int, len(names))
	for _, other := range names {
		far[other] = spelling.Distance(name, other)
	}
	names = slices.Clone(names)
	slices.SortStableFunc(names, func(a, b string) int { return cmp.Compare(far[a], far[b]) })
	return strings.Join(names[:min(n, len(names))], ", ")
}
