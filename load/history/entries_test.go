package history_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
)

const (
	recordLine = `{"format":"moistheat.load/1","id":"1","load":{},"sterilizer":{},"packs":[]}`
	eventLine  = `{"format":"moistheat.event/1","id":"2","sterilizer":"S1","kind":"leak","time":"2026-03-09T07:00:00Z"}`
	storedLine = `{"format":"moistheat.stored/1","pack":"P1"}`
)

// Every line is reported at its place, good or bad, and a bad one stops nothing.
func TestStreamPlaces(t *testing.T) {
	type place struct {
		what       string
		line       int
		start, end int64
	}
	var want []place
	var b strings.Builder
	n := 0
	add := func(what, text, ending string) {
		n++
		start := int64(b.Len())
		b.WriteString(text + ending)
		if what != "" {
			want = append(want, place{what, n, start, int64(b.Len())})
		}
	}
	add("record", recordLine, "\n")
	add("", "", "\n")
	add("event", eventLine, "\r\n")
	add("", " \t\r", "\n")
	add("bad", `{"format":"moistheat.load/1",`, "\n")
	add("bad", "\u00a0", "\n") // no white space of JSON, so not blank
	add("bad", `{"format":"moistheat.policy/1"}`, "\n")
	add("bad", strings.Repeat(" ", 8<<20)+"x", "\n")
	add("bad", "\ufeff"+storedLine, "\n")
	for range 70_000 { // more than is read ahead
		add("", "", "\n")
	}
	add("event", "\t "+eventLine, "\n") // white space before a document is the document's
	for range 40_000 {
		add("", "", "\r\n")
	}
	add("", strings.Repeat(" ", 70_000), "\n")
	add("", "", "\n")
	add("stored", storedLine, "")

	var got []place
	for e, err := range history.Entries(strings.NewReader(b.String())) {
		what := "bad"
		switch {
		case e.Record != nil:
			what = "record"
		case e.Event != nil:
			what = "event"
		case e.Stored != nil:
			what = "stored"
		}
		if what == "bad" {
			var d *moistheat.DocumentError
			require.ErrorAs(t, err, &d)
			assert.Equal(t, e.Line, d.Line)
		} else {
			assert.NoError(t, err)
		}
		got = append(got, place{what, e.Line, e.Start, e.End})
	}
	assert.Equal(t, want, got)
	assert.EqualValues(t, b.Len(), got[len(got)-1].end, "the end of the last line is that of the stream")

	n = 0
	for _, err := range load.Records(strings.NewReader(b.String())) {
		if d := (*moistheat.DocumentError)(nil); errors.As(err, &d) {
			n++
			assert.Positive(t, d.Line)
		}
	}
	assert.Equal(t, len(want)-1, n, "only records are records")
}

// The stream does not depend on how its bytes come in.
func TestStreamInPieces(t *testing.T) {
	text := recordLine + "\n\n" + `{"format":` + "\n" + storedLine + "\n" + eventLine
	say := func(r io.Reader) string {
		var b strings.Builder
		for e, err := range history.Entries(r) {
			fmt.Fprintln(&b, e.Line, e.Start, e.End, e.Record != nil, e.Event != nil, e.Stored != nil, err)
		}
		return b.String()
	}
	want := say(strings.NewReader(text))
	assert.Equal(t, want, say(iotest.OneByteReader(strings.NewReader(text))))
	assert.Equal(t, want, say(iotest.HalfReader(strings.NewReader(text))))
	assert.Equal(t, want, say(iotest.DataErrReader(strings.NewReader(text))))
}

// endless gives one line again and again, and counts what was taken of it.
type endless struct {
	line  string
	taken int
}

func (e *endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = e.line[(e.taken+i)%len(e.line)]
	}
	e.taken += len(p)
	return len(p), nil
}

// Nothing is read that the loop did not ask for, but for one buffer; a loop that is
// left reads no more.
func TestStreamIsPulled(t *testing.T) {
	const ahead = 64 << 10
	r := &endless{line: recordLine + "\n"}
	for e, err := range history.Entries(r) {
		require.NoError(t, err)
		assert.LessOrEqual(t, r.taken, int(e.End)+ahead)
		if e.Line == 2000 {
			break
		}
	}
	taken := r.taken
	assert.LessOrEqual(t, taken, 2000*len(r.line)+ahead)

	n := 0
	for range load.Records(r) {
		if n++; n == 3 {
			break
		}
	}
	assert.LessOrEqual(t, r.taken-taken, ahead)
}

// An error of the reader is the last thing that is yielded; the line that it cut is
// not taken for a whole one.
func TestStreamReaderFails(t *testing.T) {
	broken := errors.New("the line is dead")
	for name, r := range map[string]io.Reader{
		"between lines": io.MultiReader(strings.NewReader(storedLine+"\n"), iotest.ErrReader(broken)),
		"within a line": io.MultiReader(strings.NewReader(storedLine+"\n"+storedLine), iotest.ErrReader(broken)),
	} {
		var errs []error
		for _, err := range history.Entries(r) {
			errs = append(errs, err)
		}
		assert.Equal(t, []error{nil, broken}, errs, name)
	}
	for _, err := range load.Records(iotest.ErrReader(broken)) {
		assert.Equal(t, broken, err)
	}
}

// A line that is too long costs no memory.
func TestStreamLongLine(t *testing.T) {
	long := int64(testrun.Sample(256<<20, 4))
	r := io.MultiReader(io.LimitReader(&endless{line: "x"}, long), strings.NewReader("\n"+storedLine+"\n"))
	n := 0
	for e, err := range history.Entries(r) {
		switch n++; n {
		case 1:
			require.ErrorIs(t, err, moistheat.ErrLimit)
			assert.Equal(t, 1, e.Line)
		case 2:
			require.NoError(t, err)
			assert.Equal(t, "P1", e.Stored.Pack)
			assert.Equal(t, long+1, e.Start)
		}
	}
	assert.Equal(t, 2, n)
}

// contextReader is a reader that ends with its context.
type contextReader struct {
	ctx context.Context
	r   io.Reader
}

func (c contextReader) Read(p []byte) (int, error) {
	if err := context.Cause(c.ctx); err != nil {
		return 0, err
	}
	return c.r.Read(p)
}

func TestStreamIsCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	var last error
	n := 0
	for _, err := range history.Entries(contextReader{ctx, &endless{line: storedLine + "\n"}}) {
		if n++; n == 10 {
			cancel()
		}
		last = err
	}
	assert.ErrorIs(t, last, context.Canceled)
	assert.Less(t, n, 10+(64<<10)/len(storedLine))
}

// A stream is stopped through its reader. Where every entry says how far the stream
// has come, a loop shows its progress without any further call.
func ExampleEntries() {
	ctx, stop := context.WithCancelCause(context.Background())
	defer stop(nil)
	file := bytes.NewReader([]byte(storedLine + "\n" + storedLine[:20] + "\n" + eventLine + "\n"))
	size := file.Size()
	for entry, err := range history.Entries(contextReader{ctx, file}) {
		percent := entry.End * 100 / size
		if bad := (*moistheat.DocumentError)(nil); errors.As(err, &bad) {
			fmt.Printf("%d %%: line %d, byte %d: %s\n", percent, bad.Line, entry.Start+bad.Offset, bad.Problem)
			continue
		}
		if err != nil {
			fmt.Println("stopped:", err)
			break
		}
		switch {
		case entry.Stored != nil:
			fmt.Printf("%d %%: pack %s\n", percent, entry.Stored.Pack)
		case entry.Event != nil:
			fmt.Printf("%d %%: %s\n", percent, entry.Event.Kind)
			stop(errors.New("the user has seen enough"))
		}
	}
	// Output:
	// 26 %: pack P1
	// 38 %: line 2, byte 64: a string without an end; the document was cut off
	// 100 %: leak
	// stopped: the user has seen enough
}
