// Package ndjson reads documents that stand one a line in a stream.
package ndjson

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

// readAhead is how many bytes of a stream are read beyond the line that is wanted.
const readAhead = 64 << 10

// Line is a line of a stream that is not blank. The data are good until the next.
type Line struct {
	Data       []byte // nil if it is too long
	Number     int
	Start, End int64
}

// Decode reads a line and says in what line an error lies.
func Decode[T any](l Line, decode func([]byte) (T, error)) (T, error) {
	var v T
	if l.Data == nil {
		limit := strictjson.Default().Size
		return v, &moistheat.DocumentError{Kind: moistheat.ErrLimit, Line: l.Number, Offset: int64(limit),
			Problem: fmt.Sprintf("the line is longer than the %d bytes allowed", limit)}
	}
	v, err := decode(l.Data)
	if e := (*moistheat.DocumentError)(nil); errors.As(err, &e) {
		e.Line = l.Number
	}
	return v, err
}

// Lines yields the lines of a stream that are not blank, and the error that ends it.
func Lines(r io.Reader) iter.Seq2[Line, error] {
	return func(yield func(Line, error) bool) {
		in := bufio.NewReaderSize(r, readAhead)
		limit := strictjson.Default().Size
		var buf []byte
		l := Line{}
		for err := error(nil); err == nil; {
			blank, skipped := skipBlank(in)
			l.Number += blank + 1
			l.Start = l.End + int64(skipped)
			l.End = l.Start
			var size int
			var long bool
			buf, size, long, err = readLine(in, buf[:0], limit)
			if err != nil && err != io.EOF {
				yield(Line{}, err)
				return
			}
			l.End += int64(size)
			if l.Data = buf; long {
				l.Data = nil
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
