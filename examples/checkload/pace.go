package main

import (
	"fmt"
	"io"
	"os"
	"time"
)

// pace shows on a terminal how far a stream is: documents, their rate and the time left.
type pace struct {
	w            io.Writer // nil: nobody watches
	size         int64     // of the stream; 0: not known
	documents    int
	began, shown time.Time
}

func newPace(w io.Writer, size int64) *pace {
	if !terminal(w) {
		return &pace{}
	}
	now := time.Now()
	return &pace{w: w, size: size, began: now, shown: now}
}

// terminal reports whether w is a character device, such as a terminal.
func terminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// at counts a document that ends at a byte of the stream, and shows that once a second.
func (p *pace) at(end int64) {
	p.documents++
	if p.w == nil {
		return
	}
	if now := time.Now(); now.Sub(p.shown) >= time.Second {
		p.shown = now
		fmt.Fprintf(p.w, "\r\x1b[K%s", progress(p.documents, end, p.size, now.Sub(p.began)))
	}
}

// end clears the line.
func (p *pace) end() {
	if p.w != nil && p.shown != p.began {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
}

// progress says how far a stream is after some time.
func progress(documents int, done, size int64, took time.Duration) string {
	said := fmt.Sprintf("documents: %d, %.0f a second", documents, float64(documents)/took.Seconds())
	if size <= 0 || done <= 0 || done > size {
		return said
	}
	left := time.Duration(float64(took) * float64(size-done) / float64(done))
	return fmt.Sprintf("%s, %d %%, %s left", said, 100*done/size, left.Round(time.Second))
}
