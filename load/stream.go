package load

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"iter"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
)

// Entry is one line of a mixed stream: exactly one of Record, Event and Stored is
// set, or none beside an error.
type Entry struct {
	Record *Record
	Event  *Event
	Stored *Stored

	Line       int   // counted from 1, blank lines included
	Start, End int64 // bytes of the stream before the line, and up to its end
}

// Records reads a stream of records, one a line (NDJSON). Blank lines are passed
// over. A line that can not be read yields a [*moistheat.DocumentError] with its number and
// place, and the stream goes on; an error of the reader ends it and is yielded last.
//
// Nothing runs beside the caller's loop: a line is read when the loop asks for it,
// and no more than 64 KiB beyond it. Leaving the loop ends the reading. What stops a
// read that waits is the reader: close it, or let it return an error, such as that of
// a context. A line of more than 8 MiB is an error and is not kept, so memory is
// bounded by the largest record allowed.
func Records(r io.Reader) iter.Seq2[*Record, error] {
	return func(yield func(*Record, error) bool) {
		for l, err := range lines(r) {
			if err != nil {
				yield(nil, err)
				return
			}
			rec, err := decodeLine(l, Decode)
			if !yield(rec, err) {
				return
			}
		}
	}
}

// Entries reads a stream of load records, events and stored packs in any order, one
// a line (NDJSON). It treats lines as [Records] does. Each entry says where its line
// stands, one that comes with an error too, so that a program can show how far it is
// and come back to a line.
func Entries(r io.Reader) iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		for l, err := range lines(r) {
			if err != nil {
				yield(Entry{}, err)
				return
			}
			e, err := decodeLine(l, decodeEntry)
			e.Line, e.Start, e.End = l.number, l.start, l.end
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
		e.Stored, err = DecodeStored(line)
	case !named || string(format) == Format:
		e.Record, err = Decode(line)
	default:
		if err = strictjson.Check(line, strictjson.Default()); err == nil {
			err = &moistheat.DocumentError{Kind: moistheat.ErrShape, Pointer: "/format",
				Problem: fmt.Sprintf("the format is %.40q, want %q, %q or %q", format, Format, EventFormat, StoredFormat)}
		}
	}
	if err != nil {
		return Entry{}, err
	}
	return e, nil
}

// readAhead is how many bytes of a stream are read beyond the line that is wanted.
const readAhead = 64 << 10

// line is a line of a stream that is not blank. The data are good until the next.
type line struct {
	data       []byte // nil if it is too long
	number     int
	start, end int64
}

// decodeLine reads a line and says in what line an error lies.
func decodeLine[T any](l line, decode func([]byte) (T, error)) (T, error) {
	var v T
	if l.data == nil {
		limit := strictjson.Default().Size
		return v, &moistheat.DocumentError{Kind: moistheat.ErrLimit, Line: l.number, Offset: int64(limit),
			Problem: fmt.Sprintf("the line is longer than the %d bytes allowed", limit)}
	}
	v, err := decode(l.data)
	if e := (*moistheat.DocumentError)(nil); errors.As(err, &e) {
		e.Line = l.number
	}
	return v, err
}

// lines yields the lines of a stream that are not blank, and the error that ends it.
func lines(r io.Reader) iter.Seq2[line, error] {
	return func(yield func(line, error) bool) {
		in := bufio.NewReaderSize(r, readAhead)
		limit := strictjson.Default().Size
		var buf []byte
		l := line{}
		for err := error(nil); err == nil; {
			blank, skipped := skipBlank(in)
			l.number += blank + 1
			l.start = l.end + int64(skipped)
			l.end = l.start
			var size int
			var long bool
			buf, size, long, err = readLine(in, buf[:0], limit)
			if err != nil && err != io.EOF {
				yield(line{}, err)
				return
			}
			l.end += int64(size)
			if l.data = buf; long {
				l.data = nil
			}
			if (long || len(bytes.Trim(buf, " \t\r")) > 0) && !yield(l, nil) {
				return
			}
		}
	}
}

// skipBlank passes over the blank lines that are read already, of which a stream may
// hold millions, and returns how many they are and their bytes.
func skipBlank(in *bufio.Reader) (lines, size int) {
	ahead, _ := in.Peek(in.Buffered())
	blank := len(ahead) - len(bytes.TrimLeft(ahead, " \t\r\n"))
	size = bytes.LastIndexByte(ahead[:blank], '\n') + 1
	lines = bytes.Count(ahead[:size], []byte{'\n'})
	_, _ = in.Discard(size) // which is there
	return lines, size
}

// readLine appends the next line to buf, without its end, and returns how many bytes
// it took. A line over the limit is read to its end and dropped.
func readLine(in *bufio.Reader, buf []byte, limit int) (line []byte, size int, long bool, err error) {
	for {
		part, err := in.ReadSlice('\n')
		size += len(part)
		if !long && len(buf)+len(part) > limit+1 {
			long = true
		}
		if !long {
			if cap(buf)-len(buf) < len(part) { // doubled: what a line costs is in proportion to it
				grown := make([]byte, len(buf), len(buf)+max(len(part), min(len(buf), limit+1-len(buf))))
				copy(grown, buf)
				buf = grown
			}
			buf = append(buf, part...)
		}
		if err != bufio.ErrBufferFull {
			return bytes.TrimSuffix(buf, []byte{'\n'}), size, long, err
		}
	}
}
