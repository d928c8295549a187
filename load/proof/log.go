package proof

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ndjson"
	"example.com/moistheat/internal/strictjson"
)

// LogFormat is the value of the "format" member of a line of a log.
const LogFormat = "moistheat.log/1"

// Line is a line of a log: a document as it was kept, and what ties it to the line before.
type Line struct {
	Format   string    `json:"format"`            // [LogFormat]
	N        int       `json:"n" min:"1"`         // number of the line, from 1
	Before   string    `json:"before,omitzero"`   // Sum of the line before; "" of the first
	Kept     time.Time `json:"kept"`              // when it was written, by the clock of the program that did
	Digest   string    `json:"digest"`            // SHA-256 of the document as it was kept, in lower case hexadecimal
	Document string    `json:"document,omitzero"` // byte for byte; "": it was erased
	// Hidden says that in a [Proof] numbers stand in Document for keys of patients.
	Hidden bool   `json:"hidden,omitzero"`
	Sum    string `json:"sum"` // SHA-256 of what [Line.Seal] returns, in lower case hexadecimal
}

// Seal returns the text whose digest is the sum of the line: format, number, sum of the line
// before, time in UTC and digest of the document, one a row.
func (l Line) Seal() string {
	kept := l.Kept.UTC().Format(time.RFC3339Nano)
	return strings.Join([]string{LogFormat, strconv.Itoa(l.N), l.Before, kept, l.Digest}, "\n")
}

// problem says what is wrong with a line by itself, or nil.
func (l Line) problem() *moistheat.DocumentError {
	switch {
	case l.Sum != digestOf(l.Seal()):
		return fault("/sum", "the line was changed: its sum is another")
	case l.Hidden && !strings.Contains(l.Document, numbered):
		return fault("/hidden", "no number stands in the document for the key of a patient")
	case l.Document != "" && !l.Hidden && l.Digest != digestOf(l.Document):
		return fault("/document", "the document was changed: its digest is another")
	}
	return nil
}

func digestOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

func fault(pointer, problem string, args ...any) *moistheat.DocumentError {
	return &moistheat.DocumentError{Kind: moistheat.ErrShape, Format: LogFormat, Pointer: pointer, Offset: -1,
		Problem: fmt.Sprintf(problem, args...)}
}

// Log is how far a log goes: its last line. The zero Log is that of a file that was not read.
type Log struct {
	Lines int    `json:"lines"`        // number of the last line
	Sum   string `json:"sum,omitzero"` // of the last line

	size int64 // bytes that it takes
	cut  bool  // the file ends within a line
}

// limits bound a line; its document is one string.
func limits() strictjson.Limits {
	lim := strictjson.Default()
	lim.Text = lim.Size / 2
	return lim
}

// Append writes a document to the end of the file of a log, in one call of Write. A file that was
// not read, or has another length than it had then, is read first, so that the line follows the
// last one there; what is wrong in it [Log.Read] says, and stays. Append refuses what is no
// JSON text, or takes more than 4 MiB as a string. Where the file fails, what it took of the line is
// passed over later, and the same document may be appended again. One program writes at a time.
func (l *Log) Append(file io.ReadWriteSeeker, kept time.Time, document []byte) error {
	if l == nil || file == nil {
		return fmt.Errorf("proof: there is no log or no file: %w", moistheat.ErrInvalid)
	}
	if err := strictjson.Check(document, strictjson.Default()); err != nil {
		return err
	}
	if err := l.toEnd(file); err != nil {
		return err
	}
	line := Line{Format: LogFormat, N: l.Lines + 1, Before: l.Sum, Kept: kept.UTC(), Document: string(document),
		Digest: digestOf(string(document))}
	line.Sum = digestOf(line.Seal())
	data, err := line.bytes()
	if err != nil {
		return err
	}
	if l.cut {
		data = append([]byte("\n"), data...)
	}
	if _, err := file.Write(data); err != nil {
		l.size = -1 // read it again
		return err
	}
	*l = Log{Lines: line.N, Sum: line.Sum, size: l.size + int64(len(data))}
	return nil
}

// toEnd goes to the end of the file, and reads the file first if that is not where the log ends.
func (l *Log) toEnd(file io.ReadWriteSeeker) error {
	if end, err := file.Seek(0, io.SeekEnd); err != nil || end == l.size {
		return err
	}
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return err
	}
	for _, err := range l.Read(file) {
		if e := (*moistheat.DocumentError)(nil); err != nil && (!errors.As(err, &e) || e.Line == 0) {
			return err // of the file, and not of a row in it
		}
	}
	_, err := file.Seek(0, io.SeekEnd)
	return err
}

// bytes returns the line as a file has it.
func (l Line) bytes() ([]byte, error) {
	if err := strictjson.Validate(&l, limits(), LogFormat); err != nil {
		return nil, err
	}
	var b strings.Builder
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(l); err != nil {
		return nil, err
	}
	if size := strictjson.Default().Size; b.Len() > size {
		return nil, &moistheat.DocumentError{Kind: moistheat.ErrLimit, Format: LogFormat, Pointer: "/document",
			Offset: int64(size), Problem: fmt.Sprintf("the line is longer than the %d bytes allowed", size)}
	}
	return []byte(b.String()), nil
}

// Read reads a log from its beginning and leaves in l where it stands. A line that cannot be
// read yields an error and no document. One that was changed, or does not follow the line before it,
// yields an error and what it says. The reading goes on behind it; only an error of the
// reader ends it. A nil Log reads as well as a new one. Errors are [*moistheat.DocumentError]s
// with the number of the row in the file.
func (l *Log) Read(r io.Reader) iter.Seq2[Line, error] {
	return func(yield func(Line, error) bool) {
		if l == nil {
			l = new(Log)
		}
		*l = Log{size: -1}
		last := ndjson.NewTail(r)
		for row, err := range ndjson.Lines(last) {
			if err != nil {
				yield(Line{}, err)
				return
			}
			line, err := ndjson.Decode(row, func(data []byte) (*Line, error) {
				return strictjson.Read[Line](data, limits(), LogFormat)
			})
			if err != nil {
				if !yield(Line{}, err) {
					return
				}
				continue
			}
			wrong := line.problem()
			if wrong == nil && line.Hidden {
				wrong = fault("/hidden", "only a proof has numbers for keys of patients")
			}
			if wrong == nil && (line.N != l.Lines+1 || line.Before != l.Sum) {
				wrong = fault("/before", "line %d does not follow line %d: a line is lost, put in or moved", line.N, l.Lines)
			}
			l.Lines, l.Sum = line.N, line.Sum
			if wrong != nil {
				wrong.Line, err = row.Number, wrong
			}
			if !yield(*line, err) {
				return
			}
		}
		l.cut, l.size = last.Cut(), last.Size()
	}
}

// Erase copies a log without the documents of the lines that drop names, and returns their
// number. Of an erased line all but its document stays, so that the log still holds
// together. It refuses a log with which something is wrong.
func Erase(w io.Writer, r io.Reader, drop func(Line) bool) (int, error) {
	var log Log
	erased := 0
	for line, err := range log.Read(r) {
		if err != nil {
			return erased, err
		}
		if line.Document != "" && drop(line) {
			line.Document = ""
			erased++
		}
		data, err := line.bytes()
		if err == nil {
			_, err = w.Write(data)
		}
		if err != nil {
			return erased, err
		}
	}
	return erased, nil
}
