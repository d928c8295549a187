// Package reduce finds the least document of which something still holds.
package reduce

import (
	"maps"
	"slices"
)

// Document leaves out members and elements of a document, whole ones first, while it stays
// good, until nothing more can go. The document is as [encoding/json] decodes one into an any.
func Document(doc any, good func() bool) {
	var walk func(v any, set func(any)) bool
	walk = func(v any, set func(any)) (changed bool) {
		switch v := v.(type) {
		case map[string]any:
			for _, name := range slices.Sorted(maps.Keys(v)) {
				was := v[name]
				if delete(v, name); good() {
					changed = true
					continue
				}
				v[name] = was
				changed = walk(was, func(w any) { v[name] = w }) || changed
			}
		case []any:
			for i := len(v) - 1; i >= 0; i-- {
				less := slices.Delete(slices.Clone(v), i, i+1)
				if set(less); good() {
					v, changed = less, true
					continue
				}
				set(v)
				changed = walk(v[i], func(w any) { v[i] = w }) || changed
			}
		}
		return changed
	}
	for walk(doc, nil) {
	}
}
