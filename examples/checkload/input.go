package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ndjson"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/load/history"
)

// maxDocument bounds a document that spans lines. Lines are bounded by the library.
const maxDocument = 64 << 20

// reader reads documents and tells of each where it ends and what is wrong with it, until
// told to stop.
type reader func(in io.Reader, said func(line int, end int64, err error) (goOn bool))

// entries reads what a history takes: load records, events, stored packs, amendments.
func entries(judge func(history.Entry) error) reader {
	return func(in io.Reader, said func(int, int64, error) bool) {
		for e, err := range history.Entries(in) {
			if err == nil {
				err = judge(e)
			}
			if !said(e.Line, e.End, err) {
				return
			}
		}
	}
}

// anything reads documents of any kind, as bytes.
func anything(judge func(line int, data []byte) error) reader {
	return func(in io.Reader, said func(int, int64, error) bool) {
		for l, err := range ndjson.Lines(in) {
			if err == nil {
				_, err = ndjson.Decode(l, func(data []byte) (struct{}, error) {
					return struct{}{}, judge(l.Number, data)
				})
			}
			if !said(l.Number, l.End, err) {
				return
			}
		}
	}
}

// each reads all files, one after the other, and returns the exit code. What cannot be
// read or judged is said; the next document follows.
func (p *program) each(files []string, read reader) int {
	for _, name := range files {
		p.file(name, read)
		switch {
		case p.ctx.Err() != nil:
			p.code = interrupted
			return p.code
		case p.wroteError != nil:
			return p.refuse(p.wroteError)
		}
	}
	return p.code
}

func (p *program) file(name string, read reader) {
	p.name = name
	in, size := p.stdin, int64(0)
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			p.problem(name, 0, err)
			return
		}
		defer f.Close()
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			size = info.Size()
		}
		in = f
	}
	in, stop := interruptible(p.ctx, in)
	defer stop()
	in, spans, err := documents(in)
	p.spans = spans
	if err == errEmpty && p.mayBeEmpty {
		return
	}
	if err != nil {
		p.problem(name, 0, err)
		return
	}
	pace := newPace(p.stderr, size)
	defer pace.end()
	read(in, func(line int, end int64, err error) bool {
		if p.ctx.Err() != nil {
			fmt.Fprintf(p.stderr, "%s: interrupted after %d documents\n", name, pace.documents)
			return false
		}
		if spans {
			line = 0 // the document was put on one line here
			if e := (*moistheat.DocumentError)(nil); errors.As(err, &e) {
				e.Line, e.Offset = 0, -1
			}
		}
		if err != nil {
			p.problem(name, line, err)
		}
		pace.at(end)
		return p.wroteError == nil
	})
}

// interruptible reads r until ctx is done, even while r waits for input.
func interruptible(ctx context.Context, r io.Reader) (io.Reader, func()) {
	out, in := io.Pipe()
	go func() {
		_, err := io.Copy(in, r)
		in.CloseWithError(err)
	}()
	stop := context.AfterFunc(ctx, func() { in.CloseWithError(ctx.Err()) })
	return out, func() { stop(); out.Close() }
}

var errEmpty = errors.New("the file is empty")

// documents returns a reader of one document a line. One that spans lines is put on one,
// which is reported. Files that people often take for such documents are named.
func documents(r io.Reader) (lines io.Reader, spans bool, err error) {
	in := bufio.NewReaderSize(r, 4096)
	head, err := in.Peek(4)
	if err != nil && err != io.EOF {
		return nil, false, err
	}
	switch {
	case bytes.HasPrefix(head, []byte{0x1f, 0x8b}):
		return nil, false, errors.New("the file is compressed (gzip); unpack it first: gunzip -c FILE | checkload ... -")
	case bytes.HasPrefix(head, []byte{'P', 'K', 3, 4}):
		return nil, false, errors.New("the file is a zip archive or a spreadsheet; export its records as JSON")
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}), bytes.HasPrefix(head, []byte{0xfe, 0xff}), bytes.IndexByte(head, 0) >= 0:
		return nil, false, errors.New("the file is UTF-16, or no text; save it as UTF-8")
	case bytes.HasPrefix(head, []byte{0xef, 0xbb, 0xbf}):
		return nil, false, errors.New("the file begins with a byte order mark; save it as UTF-8 without one")
	}
	for n := 1; ; n++ { // the first character that is not blank, wherever it stands in what is buffered
		head, err = in.Peek(n)
		first := bytes.TrimLeft(head, " \t\r\n")
		if len(first) == 0 && err == nil {
			continue
		}
		switch {
		case len(first) > 0 && first[0] == '{':
			return spanning(in)
		case len(first) > 0 && first[0] == '[':
			return nil, false, errors.New("the file is a JSON array; put its documents one a line, without brackets and commas")
		case len(first) > 0 && first[0] == '%':
			return nil, false, errors.New("the file is a PDF, or begins as one; what it says has to become a record first")
		case len(first) > 0 && first[0] == '<':
			return nil, false, errors.New("the file is XML or HTML; what it says has to become a record first")
		case len(first) > 0 && table(in):
			return nil, false, errors.New("the file is a table of a spreadsheet or recorder (CSV); what it says has to become " +
				"a record first; a program reads a trace with cycle.ReadCSV")
		case len(first) > 0:
			return nil, false, fmt.Errorf("the file begins with %q and is not JSON; a CSV file or a printout has to become a record first", first)
		case err == io.EOF:
			return nil, false, errEmpty
		}
		return in, false, nil // more blanks than a reader keeps, or an error that reading repeats
	}
}

// table reports whether a file begins with two lines of equally many cells, at least two.
func table(in *bufio.Reader) bool {
	head, _ := in.Peek(in.Buffered())
	lines := strings.SplitN(string(bytes.TrimLeft(head, " \t\r\n")), "\n", 3)
	if len(lines) < 2 {
		return false
	}
	for _, comma := range []rune{',', ';', '\t'} {
		cells := func(line string) int {
			r := csv.NewReader(strings.NewReader(line))
			r.Comma = comma
			row, err := r.Read()
			if err != nil {
				return 0
			}
			return len(row)
		}
		if n := cells(lines[0]); n > 1 && n == cells(lines[1]) {
			return true
		}
	}
	return false
}

// spanning tells whether the first document begins with a lone brace and goes on with a
// name, as one that was written to be read does, and puts it on one line.
func spanning(in *bufio.Reader) (io.Reader, bool, error) {
	head, _ := in.Peek(in.Buffered())
	first, rest, cut := bytes.Cut(bytes.TrimLeft(head, " \t\r\n"), []byte("\n"))
	rest = bytes.TrimLeft(rest, " \t\r\n")
	if !cut || string(bytes.TrimSpace(first)) != "{" || len(rest) > 0 && rest[0] != '"' {
		return in, false, nil
	}
	data, err := io.ReadAll(io.LimitReader(in, maxDocument+1))
	if err != nil {
		return nil, false, err
	}
	var line bytes.Buffer
	switch err := json.Compact(&line, data); {
	case len(data) > maxDocument:
		return nil, false, errors.New("the document is of more than 64 MiB")
	case err != nil:
		return nil, false, broken(data, err)
	}
	return &line, true, nil
}

// broken says in which line of a document its JSON ends or goes wrong.
func broken(data []byte, err error) error {
	e := (*moistheat.DocumentError)(nil)
	if !errors.As(strictjson.Check(data, strictjson.Default()), &e) {
		return err
	}
	own, said := *e, bytes.TrimRight(data, " \t\r\n")
	at := said[:min(max(0, int(e.Offset)), len(said))]
	if len(at) == len(said) {
		own.Problem = "the document ends too early; it was cut off"
	}
	own.Line, own.Offset = 1+bytes.Count(at, []byte("\n")), -1
	return &own
}

// problem is a document that could not be read, as -json prints it.
type problem struct {
	File    string `json:"file"`
	Line    int    `json:"line,omitempty"`
	Pointer string `json:"pointer,omitempty"`
	Error   string `json:"error"`
}

// other says what a document is that is not asked about, by the format that it names, and what
// takes it. What is asked about is of the format only, or of any where that is "".
func other(e *moistheat.DocumentError, only string) string {
	switch e.Format {
	case load.Format, history.EventFormat, history.StoredFormat, cleaning.Format, history.AmendmentFormat:
		if only != "" && e.Format != only {
			return elsewhere(e.Format)
		}
	}
	for format, is := range map[string]string{
		load.PolicyFormat:      "this is a policy; use -policy-file",
		load.KnownFormat:       "this is what is known of a sterilizer; use -known",
		load.ReportFormat:      "this is a report, which is an answer and no record",
		"moistheat.language/1": "this is a language; use -lang",
		"moistheat.rules/1":    "these are rules; -rules lists them",
	} {
		if e.Pointer == "/format" && strings.Contains(e.Problem, strconv.Quote(format)+", want") {
			return is
		}
	}
	return ""
}

// problem tells what could not be read, in the output too where programs read that.
func (p *program) problem(file string, line int, err error) {
	p.code = max(p.code, unreadable)
	if p.ctx.Err() != nil {
		return
	}
	said := problem{File: file, Line: line, Error: moistheat.Visible(err.Error())}
	e := (*moistheat.DocumentError)(nil)
	switch {
	case errors.As(err, &e): // which says the line itself
		said.Pointer = e.Pointer
		if is := other(e, p.only); is != "" {
			said.Error = is
			if line > 0 {
				said.Error = fmt.Sprintf("line %d: %s", line, is)
			}
		}
		fmt.Fprintf(p.stderr, "%s: %s\n", file, said.Error)
	case line > 0:
		fmt.Fprintf(p.stderr, "%s: line %d: %s\n", file, line, said.Error)
	default:
		fmt.Fprintf(p.stderr, "%s: %s\n", file, said.Error)
	}
	if p.json {
		p.write(said)
	}
}

// refuse tells why nothing was done.
func (p *program) refuse(err error) int {
	fmt.Fprintln(p.stderr, "checkload:", err)
	p.code = unreadable
	return p.code
}
