package load

import (
	"cmp"
	"errors"
	"fmt"

	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
)

// The errors that say a document could not be checked. What is wrong with a load
// is a finding, never one of these.
const (
	// ErrLimit: larger, deeper or longer than allowed.
	ErrLimit = strictjson.ErrLimit
	// ErrSyntax: not one JSON value in strict UTF-8 without duplicate names.
	ErrSyntax = strictjson.ErrSyntax
	// ErrShape: strict JSON, but not the agreed shape.
	ErrShape = strictjson.ErrShape
	// ErrMeaning: the agreed shape, but what it says can not be meant, such as a policy
	// that asks less than its base and names nobody who decided it.
	ErrMeaning = strictjson.ErrMeaning
	// ErrUnknownPolicy: no policy has that name.
	ErrUnknownPolicy strictjson.Sort = "unknown policy"
)

// DecodeError says what could not be read and where. It unwraps to [ErrLimit],
// [ErrSyntax], [ErrShape] or, of a policy, [ErrMeaning].
type DecodeError struct {
	Line    int    // line of an NDJSON stream, counted from 1; 0 for a single document
	Start   int64  // byte offset of that line in the stream
	Offset  int64  // byte offset in the document, which is the line; -1 with ErrMeaning
	Pointer string // RFC 6901 pointer to the value in question
	Problem string // what is wrong and what to do
	Err     error
}

func (e *DecodeError) Error() string {
	e = cmp.Or(e, &DecodeError{})
	where := e.Pointer
	if where == "" {
		where = "the document"
	}
	if e.Offset < 0 {
		return fmt.Sprintf("load: %s: %s", where, e.Problem)
	}
	line := ""
	if e.Line > 0 {
		line = fmt.Sprintf("line %d, ", e.Line)
	}
	return fmt.Sprintf("load: %s: %s (%sbyte %d)", where, e.Problem, line, e.Offset)
}

// Unwrap returns the sort of error.
func (e *DecodeError) Unwrap() error { return cmp.Or(e, &DecodeError{}).Err }

func decodeError(err error) error {
	if e := (*strictjson.Error)(nil); errors.As(err, &e) {
		return &DecodeError{Offset: e.Offset, Pointer: e.Pointer, Problem: e.Problem, Err: e.Err}
	}
	return err
}

// meaningless is the error of a value that reads but can not be meant.
func meaningless(pointer, format string, args ...any) error {
	return &DecodeError{Offset: -1, Pointer: pointer, Problem: fmt.Sprintf(format, args...), Err: ErrMeaning}
}

// notBuiltIn is the error of a name that no built-in document has.
func notBuiltIn(pointer string, err error) error {
	return &DecodeError{Offset: -1, Pointer: pointer, Problem: err.Error(), Err: errors.Join(ErrMeaning, err)}
}

var recordDecoder lazy.Value[*strictjson.Decoder[Record]]

// Decode reads one record. It is strict: unknown or duplicate names, names in
// another case, null, bad UTF-8 and numbers, strings or nesting over the limits are
// a [*DecodeError], and so is everything that the published schema refuses.
func Decode(data []byte) (*Record, error) {
	r, err := recordDecoder.Get(strictjson.NewDecoder).Decode(data, strictjson.Default())
	if err != nil {
		return nil, decodeError(err)
	}
	if r.Format != Format {
		return nil, &DecodeError{Pointer: "/format", Err: ErrShape,
			Problem: fmt.Sprintf("the format is %.40q, want %q", r.Format, Format)}
	}
	return r, nil
}
