package strictjson

import (
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"example.com/moistheat"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/words"
	"example.com/moistheat/units"
)

// MaxProblems is the most errors of a value that [Validate] keeps; one more counts
// the others.
const MaxProblems = 25

// Validate returns what [Read] would refuse in the document of a value, or nil: the
// error wraps, as that of [errors.Join] does, one [*moistheat.DocumentError] for each
// problem, at most [MaxProblems] and one that counts the others. An optional member
// that has its zero value is absent.
//
// A value whose texts and lists alone are more than a document can hold is refused and
// not checked further, so that the cost is that of the largest document at most.
func Validate[T any](v *T, lim Limits, format string) error {
	w := walk{lim: lim, format: format}
	if v == nil {
		w.add(moistheat.ErrShape, "there is nothing")
		return w.err()
	}
	p := planOf[T]()
	p.validate(&w, reflect.ValueOf(v).Elem(), true)
	if i := p.find([]byte("format"), 0); format != "" && i >= 0 {
		if got := reflect.ValueOf(v).Elem().FieldByIndex(p.fields[i].index).String(); got != format {
			w.addAt(step{name: "format"}, "the format is %.40q, want %q", got, format)
		}
	}
	return w.err()
}

// quantity is a quantity of any dimension.
type quantity interface{ Value() units.Value }

// walk is the way through one value.
type walk struct {
	lim    Limits
	format string
	path   []step
	size   int // bytes that the document takes at least
	over   bool
	errs   []error
	more   int // errors that are not kept
}

// step is a member, or an element of a list where it has no name.
type step struct {
	name  string
	index int
}

func (w *walk) err() error {
	if w.more > 0 {
		w.errs = append(w.errs, &moistheat.DocumentError{Kind: moistheat.ErrShape, Format: w.format, Offset: -1,
			Problem: fmt.Sprintf("and %d more problems", w.more)})
	}
	return errors.Join(w.errs...)
}

// keeps reports whether one more error is kept, and counts it if not.
func (w *walk) keeps() bool {
	if len(w.errs) < MaxProblems {
		return true
	}
	w.more++
	return false
}

func (w *walk) add(kind moistheat.ErrorKind, format string, args ...any) {
	if !w.keeps() {
		return
	}
	var at strings.Builder
	for _, s := range w.path {
		at.WriteByte('/')
		if s.name == "" {
			at.WriteString(strconv.Itoa(s.index))
		}
		at.WriteString(guard.Escape(s.name))
	}
	w.errs = append(w.errs, &moistheat.DocumentError{Kind: kind, Format: w.format, Pointer: at.String(), Offset: -1,
		Problem: fmt.Sprintf(format, args...)})
}

// addAt adds an error of a shape one step further.
func (w *walk) addAt(s step, format string, args ...any) {
	w.path = append(w.path, s)
	w.add(moistheat.ErrShape, format, args...)
	w.path = w.path[:len(w.path)-1]
}

// grow counts bytes of the document and reports whether it may still have more.
func (w *walk) grow(n int) bool {
	if w.size += n; w.size > w.lim.Size && !w.over {
		w.over = true
		w.path = nil
		w.add(moistheat.ErrLimit, "more than the %d bytes that a document may have", w.lim.Size)
	}
	return !w.over
}

// open reports whether one more object or array may be open.
func (w *walk) open() bool {
	if len(w.path) < w.lim.Depth {
		return true
	}
	w.add(moistheat.ErrLimit, "nested deeper than the %d levels allowed", w.lim.Depth)
	return false
}

// validate enters what is wrong with v. It reports false if v is absent, which is an
// error only where a member is required.
func (p *plan) validate(w *walk, v reflect.Value, required bool) bool {
	switch p.kind {
	case pointerKind:
		return !v.IsNil() && p.elem.validate(w, v.Elem(), true)
	case structKind:
		if !required && p.needs && v.IsZero() {
			return false
		}
		p.members(w, v)
	case sliceKind:
		p.elements(w, v)
	case floatsKind:
		p.column(w, *v.Addr().Interface().(*[]float64))
	case stringKind:
		return p.validText(w, v.String(), required)
	case timeKind:
		return instant(w, v.Addr().Interface().(*time.Time))
	case intKind:
		n := v.Int()
		if n == 0 && !required {
			return false
		}
		if n < p.bounds.Min || n > p.bounds.Max {
			w.add(moistheat.ErrShape, "%s", p.bounds.refusal(intKind))
		}
	case jsonKind, textKind:
		return p.own(w, v, required)
	}
	return true
}

func (p *plan) members(w *walk, v reflect.Value) {
	if !w.open() {
		return
	}
	depth := len(w.path)
	w.path = append(w.path, step{})
	for i := range p.fields {
		f := &p.fields[i]
		w.path[depth].name = f.name
		required := p.required&(1<<i) != 0
		present := f.plan.validate(w, f.of(v), required)
		if w.over {
			return
		}
		if required && !present {
			w.path = w.path[:depth]
			w.add(moistheat.ErrShape, "the required member %q is missing", f.name)
			w.path = w.path[:depth+1]
		}
	}
	w.path = w.path[:depth]
}

func (p *plan) elements(w *walk, v reflect.Value) {
	n := v.Len()
	if n == 0 || !w.open() {
		return
	}
	if n > p.bounds.MaxItems {
		w.add(moistheat.ErrLimit, "%s", p.bounds.refusal(sliceKind))
		n = p.bounds.MaxItems
	}
	depth := len(w.path)
	w.path = append(w.path, step{})
	for i := range n {
		if !w.grow(len(`{},`)) {
			return
		}
		w.path[depth].index = i
		present := p.elem.validate(w, v.Index(i), true)
		if w.over {
			return
		}
		if !present {
			w.add(moistheat.ErrShape, "the element is empty; leave it out or want %s", p.elem.want())
		}
	}
	w.path = w.path[:depth]
}

func (p *plan) column(w *walk, values []float64) {
	if !w.grow(len(`0,`) * len(values)) {
		return
	}
	var buf [64]byte
	for i, f := range values {
		a := math.Abs(f)
		fits := a >= 1e-6 && a < 1e17 || a == 0
		if !fits {
			_, fits = AppendFloat(buf[:0], f)
		}
		negative := f < 0 && p.bounds.Sign == "none"
		if fits && !negative || !w.keeps() {
			continue
		}
		if fits {
			w.addAt(step{index: i}, "%s", p.bounds.refusal(floatsKind))
		} else {
			w.addAt(step{index: i}, "%v has no form that a document can hold", f)
		}
	}
}

func (p *plan) validText(w *walk, s string, required bool) bool {
	if p.words != nil {
		if s == "" {
			return false
		}
		if !slices.Contains(p.words, s) && w.keeps() {
			w.add(moistheat.ErrShape, "%s", words.Refusal(p.words, s))
		}
		return true
	}
	if s == "" && !required {
		return false
	}
	if !w.grow(len(s)) {
		return true
	}
	switch {
	case len(s) > w.lim.Text || len(s) > w.lim.Text/6 && written(s) > w.lim.Text:
		w.add(moistheat.ErrLimit, "a string longer than the %d bytes allowed", w.lim.Text)
	case !utf8.ValidString(s):
		w.add(moistheat.ErrSyntax, "bytes that are not UTF-8")
	case len(s) < 4*p.bounds.MinLength && utf8.RuneCountInString(s) < p.bounds.MinLength,
		p.bounds.Is != "" && s != p.bounds.Is:
		w.add(moistheat.ErrShape, "%s", p.bounds.refusal(stringKind))
	}
	return true
}

// written returns the bytes that a text takes in a document, at least.
func written(s string) int {
	n := len(s)
	for i := range len(s) {
		switch c := s[i]; {
		case c == '"', c == '\\', c == '\n', c == '\t', c == '\r', c == '\b', c == '\f':
			n++
		case c < ' ':
			n += len(`\u0000`) - 1
		}
	}
	return n
}

func instant(w *walk, t *time.Time) bool {
	if t.IsZero() {
		return false
	}
	if y := t.Year(); y < 1000 || y > 9999 {
		w.add(moistheat.ErrShape, "want a date and time in the years 1000 to 9999; leave out a time that is not known")
	}
	if _, offset := t.Zone(); offset <= -24*3600 || offset >= 24*3600 {
		w.add(moistheat.ErrShape, "want an offset of less than a day")
	}
	return true
}

// own asks a value that reads and writes itself.
func (p *plan) own(w *walk, v reflect.Value, required bool) bool {
	switch {
	case p.known != nil:
		n := v.Uint()
		if n > p.known() {
			w.add(moistheat.ErrShape, "the value %d has no word", n)
		}
		return n != 0
	case p.quantity:
		q := v.Addr().Interface().(quantity).Value()
		if q.IsValid() && !p.bounds.takes(q) {
			w.addAt(step{name: "value"}, "%s", p.bounds.refusal(jsonKind))
		}
		return q.IsValid()
	case p.valid:
		return v.Addr().Interface().(interface{ IsValid() bool }).IsValid()
	case !required && v.IsZero():
		return false
	}
	var err error
	switch m := v.Addr().Interface().(type) {
	case json.Marshaler:
		_, err = m.MarshalJSON()
	case encoding.TextMarshaler:
		_, err = m.MarshalText()
	}
	if err != nil {
		w.add(moistheat.ErrShape, "%v", err)
	}
	return true
}

// countWords returns how many values of a type that is a number have a word: from 1
// on, each after the other.
func countWords(t reflect.Type) uint64 {
	v := reflect.New(t)
	for n := range uint64(math.MaxUint8) {
		v.Elem().SetUint(n + 1)
		var text []byte
		var err error
		switch m := v.Interface().(type) {
		case json.Marshaler:
			text, err = m.MarshalJSON()
		case encoding.TextMarshaler:
			text, err = m.MarshalText()
		}
		if err != nil || len(text) == 0 || string(text) == "null" {
			return n
		}
	}
	return math.MaxUint8
}
