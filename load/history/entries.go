package history

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"iter"

	"example.com/moistheat"
	"example.com/moistheat/internal/ndjson"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
	"example.com/moistheat/load/cleaning"
)

// Entry is one line of a mixed stream: exactly one of Record, Event, Stored,
// Cleaning and Amendment is set, or none beside an error.
type Entry struct {
	Record    *load.Record
	Event     *Event
	Stored    *StoredPack
	Cleaning  *cleaning.Batch
	Amendment *Amendment

	Line       int   // counted from 1, blank lines included
	Start, End int64 // bytes of the stream before the line, and up to its end
}

// Digest returns the SHA-256, in hexadecimal, of what a line holds, as [encoding/json]
// writes it and so however the line is spelled, and whatever its record was resolved with; it is
// what an [Amendment] names. The digest of nothing is empty.
func (e Entry) Digest() string {
	var doc any
	switch {
	case e.Record != nil:
		doc = e.Record.Unresolved()
	case e.Event != nil:
		doc = e.Event
	case e.Stored != nil:
		doc = e.Stored
	case e.Cleaning != nil:
		doc = e.Cleaning
	case e.Amendment != nil:
		doc = e.Amendment
	default:
		return ""
	}
	data, err := json.Marshal(doc)
	if err != nil {
		return ""
	}
	return fmt.Sprintf("%x", sha256.Sum256(data))
}

// Entries reads a stream of load records, events, stored packs, batches of cleaning and amendments
// in any order, one a line (NDJSON). It treats lines as [load.Records] does. Each entry says where its line
// stands, one that comes with an error too, so that a program can show how far it is
// and come back to a line.
func Entries(r io.Reader) iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		for l, err := range ndjson.Lines(r) {
			if err != nil {
				yield(Entry{}, err)
				return
			}
			e, err := ndjson.Decode(l, decodeEntry)
			e.Line, e.Start, e.End = l.Number, l.Start, l.End
			if !yield(e, err) {
				return
			}
		}
	}
}

// decodeEntry lets the strict reader of the format that a line names decide; a line
// that names none is read as a record and refused as one.
func decodeEntry(line []byte) (Entry, error) {
	var e Entry
	var err error
	format, named := strictjson.Peek(line, "format")
	switch {
	case string(format) == EventFormat:
		e.Event, err = DecodeEvent(line)
	case string(format) == StoredFormat:
		e.Stored, err = DecodeStoredPack(line)
	case string(format) == cleaning.Format:
		e.Cleaning, err = cleaning.Decode(line)
	case string(format) == AmendmentFormat:
		e.Amendment, err = DecodeAmendment(line)
	case !named || string(format) == load.Format:
		e.Record, err = load.Decode(line)
	default:
		if err = strictjson.Check(line, strictjson.Default()); err == nil {
			err = &moistheat.DocumentError{Kind: moistheat.ErrShape, Pointer: "/format",
				Problem: fmt.Sprintf("the format is %.40q, want %q, %q, %q, %q or %q",
					format, load.Format, EventFormat, StoredFormat, cleaning.Format, AmendmentFormat)}
		}
	}
	if err != nil {
		return Entry{}, err
	}
	return e, nil
}
