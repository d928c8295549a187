package ndjson

import "io"

// Tail passes on what it reads and remembers how it ended.
type Tail struct {
	r    io.Reader
	size int64
	last byte
}

// NewTail returns a Tail of a stream from whose beginning nothing was read.
func NewTail(r io.Reader) *Tail { return &Tail{r: r, last: '\n'} }

// Read reads from the stream.
func (t *Tail) Read(p []byte) (int, error) {
	n, err := t.r.Read(p)
	if t.size += int64(max(n, 0)); n > 0 {
		t.last = p[n-1]
	}
	return n, err
}

// Cut reports whether what was read ends within a line.
func (t *Tail) Cut() bool { return t.last != '\n' }

// Size returns how many bytes were read.
func (t *Tail) Size() int64 { return t.size }
