// Package strictjson reads the documents of the library: Decoder fills Go structs from
// strict JSON, accepting exactly what the published schemas accept, Read does so for a
// document that names its format, and Validate asks the same of a Go value. Whatever is wrong is a [moistheat.DocumentError].
package strictjson

import (
	"errors"
	"fmt"
	"io/fs"
	"reflect"
	"sync"

	"example.com/moistheat"
	"example.com/moistheat/internal/guard"
)

// Limits bound a document. The zero value allows nothing; start from Default.
type Limits = guard.Limits

// Default returns the limits for a record.
func Default() Limits { return guard.Default() }

// Check reads data once and refuses it unless it is one JSON value in strict
// UTF-8, without duplicate names, within the limits. It allocates nothing for a
// document that passes. Every error is a [*moistheat.DocumentError].
func Check(data []byte, lim Limits) error { return documentError(guard.Check(data, lim)) }

// Quantity reads an object with exactly the members "value", a number, and "unit",
// a string, and returns both as written. It checks data itself.
func Quantity(data []byte) (number, unit []byte, err error) {
	number, unit, err = guard.Quantity(data, guard.Default())
	return number, unit, documentError(err)
}

var kinds = [...]moistheat.ErrorKind{
	guard.Limit: moistheat.ErrLimit, guard.Syntax: moistheat.ErrSyntax, guard.Shape: moistheat.ErrShape,
}

func documentError(err error) error {
	e, ok := err.(*guard.Error)
	if !ok {
		return err
	}
	return &moistheat.DocumentError{Kind: kinds[e.Kind], Pointer: e.Pointer, Offset: e.Offset, Problem: e.Problem}
}

// plans holds what was studied, by type.
var plans sync.Map

// Read decodes a document of type T. Unless format is "", the document must have the
// member "format" with that text, and errors name it.
func Read[T any](data []byte, lim Limits, format string) (*T, error) {
	if err := Check(data, lim); err != nil {
		return nil, In(format, err)
	}
	if got, ok := Peek(data, "format"); format != "" && ok && string(got) != format {
		return nil, &moistheat.DocumentError{Kind: moistheat.ErrShape, Format: format, Pointer: "/format",
			Problem: fmt.Sprintf("the format is %.40q, want %q", got, format)}
	}
	v, err := fill[T](planOf[T](), data)
	return v, In(format, err)
}

func planOf[T any]() *plan {
	t := reflect.TypeFor[T]()
	p, studied := plans.Load(t)
	if !studied {
		p, _ = plans.LoadOrStore(t, NewDecoder[T]().plan)
	}
	return p.(*plan)
}

// MustRead is [Read] for a file that is part of the program and that a test reads: it
// panics on an error.
func MustRead[T any](data []byte, format string) *T {
	v, err := Read[T](data, Default(), format)
	if err != nil {
		panic(err)
	}
	return v
}

// MustReadAll reads the files of a pattern, sorted by name, which are part of the
// program and which a test reads: it panics on an error.
func MustReadAll[T any](files fs.FS, pattern string, parse func(data []byte) (T, error)) (all []T) {
	names, err := fs.Glob(files, pattern) // sorted
	if err != nil || len(names) == 0 {
		panic(fmt.Errorf("%s: no files: %w", pattern, err))
	}
	for _, name := range names {
		data, err := fs.ReadFile(files, name)
		if err != nil {
			panic(fmt.Errorf("%s: %w", name, err))
		}
		v, err := parse(data)
		if err != nil {
			panic(fmt.Errorf("%s: %w", name, err))
		}
		all = append(all, v)
	}
	return all
}

// Invalid returns the error of a value that reads but cannot be meant.
func Invalid(pointer, format string, args ...any) *moistheat.DocumentError {
	return &moistheat.DocumentError{Kind: moistheat.ErrInvalid, Pointer: pointer, Offset: -1,
		Problem: fmt.Sprintf(format, args...)}
}

// In says what format the document of an error has, if the error does not.
func In(format string, err error) error {
	if e := (*moistheat.DocumentError)(nil); errors.As(err, &e) && e.Format == "" {
		e.Format = format
	}
	return err
}

// WantName is what [IsName] asks for, for messages.
const WantName = "want 1 to 64 small letters, digits and hyphens"

// IsName reports whether s can be the name of a document, of a section or of a row.
func IsName(s string) bool {
	for i := range len(s) {
		if c := s[i]; c-'a' > 25 && c-'0' > 9 && c != '-' {
			return false
		}
	}
	return s != "" && len(s) <= 64
}
