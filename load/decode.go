package load

import (
	"io"
	"iter"

	"example.com/moistheat/internal/ndjson"
	"example.com/moistheat/internal/strictjson"
)

// Decode reads one record. It is strict: unknown or duplicate names, names in
// another case, null, bad UTF-8 and numbers, strings or nesting over the limits are
// a [*moistheat.DocumentError], and so is everything that the published schema refuses.
func Decode(data []byte) (*Record, error) {
	return strictjson.Read[Record](data, strictjson.Default(), Format)
}

// Records reads a stream of records, one a line (NDJSON). Blank lines are passed
// over. A line that cannot be read yields a [*moistheat.DocumentError] with its number and
// place, and the stream goes on; an error of the reader ends it and is yielded last.
//
// Nothing runs beside the caller's loop: a line is read when the loop asks for it,
// and no more than 64 KiB beyond it. Leaving the loop ends the reading. What stops a
// read that waits is the reader: close it, or let it return an error, such as that of
// a context. A line of more than 8 MiB is an error and is not kept, so memory is
// bounded by the largest record allowed.
func Records(r io.Reader) iter.Seq2[*Record, error] {
	return func(yield func(*Record, error) bool) {
		for l, err := range ndjson.Lines(r) {
			if err != nil {
				yield(nil, err)
				return
			}
			rec, err := ndjson.Decode(l, Decode)
			if !yield(rec, err) {
				return
			}
		}
	}
}
