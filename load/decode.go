package load

import (
	"example.com/moistheat/internal/strictjson"
)

// Decode reads one record. It is strict: unknown or duplicate names, names in
// another case, null, bad UTF-8 and numbers, strings or nesting over the limits are
// a [*moistheat.DocumentError], and so is everything that the published schema refuses.
func Decode(data []byte) (*Record, error) {
	return strictjson.Read[Record](data, strictjson.Default(), Format)
}
