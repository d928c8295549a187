package strictjson

import (
	"bytes"
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/bits"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"example.com/moistheat"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/words"
	"example.com/moistheat/units"
)

// Decoder fills values of type T from strict JSON. A struct field whose json tag
// has the omitzero or omitempty option is optional; every other one is required.
// Unknown names, names in another case and null are refused. Fields may be
// structs, pointers to structs, slices, strings, bools, ints, time.Time (RFC 3339
// with offset) and types with UnmarshalJSON or UnmarshalText. A string of a type with a
// list of words must be one of them; see [words.Of]. [BoundsOf] says which numbers and
// texts a field takes.
//
// A Decoder is immutable and safe for concurrent use.
type Decoder[T any] struct{ plan *plan }

// NewDecoder studies T. It panics if T has a field of a kind that it cannot fill,
// which a test of the caller shows.
func NewDecoder[T any]() *Decoder[T] {
	return &Decoder[T]{planFor(reflect.TypeFor[T](), map[reflect.Type]*plan{})}
}

// Decode checks data against the limits and returns the value it holds. Every
// error is a [*moistheat.DocumentError].
func (d *Decoder[T]) Decode(data []byte, lim Limits) (*T, error) {
	if err := Check(data, lim); err != nil {
		return nil, err
	}
	return fill[T](d.plan, data)
}

// fill decodes data that Check has accepted.
func fill[T any](p *plan, data []byte) (*T, error) {
	v := new(T)
	c := cursor{guard.Cursor{Data: data}}
	if err := p.decode(&c, reflect.ValueOf(v).Elem()); err != nil {
		return nil, err
	}
	return v, nil
}

type kind uint8

const (
	structKind kind = iota
	pointerKind
	sliceKind
	stringKind
	boolKind
	intKind
	floatsKind
	timeKind
	jsonKind
	textKind
)

type field struct {
	name  string
	index []int
	plan  *plan
}

// of returns the field of a struct.
func (f *field) of(v reflect.Value) reflect.Value {
	if len(f.index) > 1 {
		return v.FieldByIndex(f.index)
	}
	return v.Field(f.index[0])
}

type plan struct {
	kind     kind
	typ      reflect.Type
	elem     *plan
	fields   []field
	required uint64
	needs    bool     // a struct of which the zero value lacks something
	words    []string // of a string; nil if it is not one of a list
	bounds   Bounds

	quantity bool          // a jsonKind that is a quantity
	valid    bool          // a jsonKind or textKind that knows whether it is valid
	known    func() uint64 // of a number that stands for a word: the largest that does
}

func planFor(t reflect.Type, seen map[reflect.Type]*plan) *plan {
	if p := seen[t]; p != nil {
		return p
	}
	p := &plan{typ: t, bounds: defaultBounds}
	seen[t] = p
	ptr := reflect.PointerTo(t)
	switch {
	case t == reflect.TypeFor[time.Time]():
		p.kind = timeKind
	case t == reflect.TypeFor[[]float64]():
		p.kind = floatsKind
	case ptr.Implements(reflect.TypeFor[json.Unmarshaler]()):
		p.kind = jsonKind
	case ptr.Implements(reflect.TypeFor[encoding.TextUnmarshaler]()):
		p.kind = textKind
	case t.Kind() == reflect.Struct:
		p.kind = structKind
		for _, f := range reflect.VisibleFields(t) {
			p.add(f, seen)
		}
	case t.Kind() == reflect.Pointer:
		p.kind, p.elem = pointerKind, planFor(t.Elem(), seen)
		if p.elem.kind != structKind {
			panic("strictjson: cannot fill a " + t.String() + "; only pointers to structs")
		}
	case t.Kind() == reflect.Slice:
		p.kind, p.elem = sliceKind, planFor(t.Elem(), seen)
	case t.Kind() == reflect.String:
		p.kind, p.words = stringKind, words.Of(t)
	case t.Kind() == reflect.Bool:
		p.kind = boolKind
	case t.Kind() == reflect.Int:
		p.kind = intKind
	default:
		panic("strictjson: cannot fill a " + t.String())
	}
	if p.kind == jsonKind || p.kind == textKind {
		p.quantity = ptr.Implements(reflect.TypeFor[quantity]())
		p.valid = ptr.Implements(reflect.TypeFor[interface{ IsValid() bool }]())
		if t.Kind() == reflect.Uint8 {
			p.known = sync.OnceValue(func() uint64 { return countWords(t) })
		}
	}
	return p
}

// add takes a field into the plan of a struct, unless it is not of the document.
func (p *plan) add(f reflect.StructField, seen map[reflect.Type]*plan) {
	fail := func(problem string) { panic("strictjson: " + p.typ.String() + problem) }
	tag, tagged := f.Tag.Lookup("json")
	name, opts, _ := strings.Cut(tag, ",")
	if f.Anonymous && f.Type.Kind() == reflect.Pointer {
		fail(" embeds a pointer")
	}
	if !f.IsExported() || f.Anonymous || !tagged || name == "-" {
		return
	}
	if name == "" || p.find([]byte(name), 0) >= 0 {
		fail(" has two fields of one name, or one without")
	}
	if len(p.fields) == 64 {
		fail(" has more than 64 fields")
	}
	switch opts {
	case "":
		p.required |= 1 << len(p.fields)
	case "omitzero", "omitempty":
	default:
		fail(" has a field with the option " + opts)
	}
	fp := planFor(f.Type, seen)
	if b := BoundsOf(f); b != fp.bounds {
		own := *fp
		own.bounds = b
		fp = &own
	}
	p.needs = p.needs || opts == "" || fp.needs
	p.fields = append(p.fields, field{name, f.Index, fp})
}

// want is what a value of this kind looks like, for messages.
func (p *plan) want() string {
	switch p.kind {
	case structKind, pointerKind:
		return "an object"
	case sliceKind, floatsKind:
		return "an array"
	case boolKind:
		return "true or false"
	case intKind:
		return "a whole number"
	}
	return "a string"
}

func (p *plan) decode(c *cursor, v reflect.Value) error {
	c.Space()
	start := c.Pos
	switch p.kind {
	case pointerKind:
		if c.Data[c.Pos] == '{' {
			v.Set(reflect.New(p.typ.Elem()))
			return p.elem.decode(c, v.Elem())
		}
	case structKind:
		return p.object(c, v)
	case sliceKind:
		return p.array(c, v)
	case floatsKind:
		return c.floats(v.Addr().Interface().(*[]float64), p.bounds)
	case stringKind, timeKind, textKind:
		if c.Data[c.Pos] == '"' {
			if err := p.text(v, c.Quoted()); err != nil {
				return c.at(start).shape("%v", err)
			}
			return nil
		}
	case jsonKind:
		c.Skip()
		if err := v.Addr().Interface().(json.Unmarshaler).UnmarshalJSON(c.Data[start:c.Pos]); err != nil {
			return c.at(start).within(err)
		}
		if p.quantity && !p.bounds.takes(v.Addr().Interface().(quantity).Value()) {
			return prefix(c.at(start).shape("%s", p.bounds.refusal(p.kind)), "value")
		}
		return nil
	case boolKind:
		if b := c.Data[c.Pos]; b == 't' || b == 'f' {
			v.SetBool(b == 't')
			c.Skip()
			return nil
		}
	case intKind:
		if n, ok := c.whole(); ok {
			if n < p.bounds.Min || n > p.bounds.Max {
				return c.at(start).shape("%s", p.bounds.refusal(p.kind))
			}
			v.SetInt(n)
			return nil
		}
	}
	return c.at(start).shape("want %s", p.want())
}

// text fills in a value that a string stands for.
func (p *plan) text(v reflect.Value, text []byte) error {
	switch p.kind {
	case timeKind:
		t, err := ParseInstant(string(text))
		*v.Addr().Interface().(*time.Time) = t
		return err
	case textKind:
		return v.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText(text)
	}
	if p.words == nil {
		if utf8.RuneCount(text) < p.bounds.MinLength || p.bounds.Is != "" && string(text) != p.bounds.Is {
			return errors.New(p.bounds.refusal(p.kind))
		}
		v.SetString(string(text))
		return nil
	}
	if i := slices.Index(p.words, string(text)); i >= 0 {
		v.SetString(p.words[i])
		return nil
	}
	return errors.New(words.Refusal(p.words, string(text)))
}

func (p *plan) object(c *cursor, v reflect.Value) error {
	if c.Data[c.Pos] != '{' {
		return c.shape("want %s", p.want())
	}
	start := c.Pos
	c.Pos++
	var seen uint64
	next := 0
	for c.More() {
		at := c.Pos
		name := c.Name()
		i := p.find(name, next)
		if i < 0 {
			return prefix(c.at(at).shape("unknown member%s", p.hint(name)), string(name))
		}
		seen |= 1 << i
		next = i + 1
		f := &p.fields[i]
		if err := f.plan.decode(c, f.of(v)); err != nil {
			return prefix(err, f.name)
		}
	}
	if missing := p.required &^ seen; missing != 0 {
		return c.at(start).shape("the required member %q is missing", p.fields[bits.TrailingZeros64(missing)].name)
	}
	return nil
}

// find looks a name up, first where it is expected.
func (p *plan) find(name []byte, next int) int {
	if next < len(p.fields) && string(name) == p.fields[next].name {
		return next
	}
	for i := range p.fields {
		if string(name) == p.fields[i].name {
			return i
		}
	}
	return -1
}

func (p *plan) hint(name []byte) string {
	for _, f := range p.fields {
		if strings.EqualFold(f.name, string(name)) {
			return fmt.Sprintf("; the name is written %q", f.name)
		}
	}
	names := make([]string, len(p.fields))
	for i, f := range p.fields {
		names[i] = f.name
	}
	if w := words.Nearest(names, string(name)); w != "" {
		return fmt.Sprintf("; did you mean %q?", w)
	}
	return "; remove it or correct its name"
}

// MaxItems is the most elements of an array, arrays of plain numbers apart, where its
// field states no other number. The published schemas state it as maxItems.
const MaxItems = 1000

func (p *plan) array(c *cursor, v reflect.Value) error {
	if c.Data[c.Pos] != '[' {
		return c.shape("want %s", p.want())
	}
	c.Pos++
	v.Set(reflect.MakeSlice(p.typ, 0, 4))
	for n := 0; c.More(); n++ {
		if n == p.bounds.MaxItems {
			return c.fail(moistheat.ErrLimit, "%s", p.bounds.refusal(sliceKind))
		}
		if n == v.Cap() {
			v.Grow(1)
		}
		v.SetLen(n + 1)
		if err := p.elem.decode(c, v.Index(n)); err != nil {
			return prefix(err, strconv.Itoa(n))
		}
	}
	return nil
}

// cursor walks bytes that Check has accepted and says what is wrong with them.
type cursor struct{ guard.Cursor }

// at goes back to a place, to say what is wrong there.
func (c *cursor) at(pos int) *cursor {
	c.Pos = pos
	return c
}

func (c *cursor) fail(kind moistheat.ErrorKind, format string, args ...any) error {
	return &moistheat.DocumentError{Kind: kind, Offset: int64(c.Pos), Problem: fmt.Sprintf(format, args...)}
}

func (c *cursor) shape(format string, args ...any) error {
	return c.fail(moistheat.ErrShape, format, args...)
}

func prefix(err error, name string) error {
	e := err.(*moistheat.DocumentError)
	e.Pointer = "/" + guard.Segment(name) + e.Pointer
	return e
}

// within returns the error of a value that read itself, placed in the document.
func (c *cursor) within(err error) error {
	var inner *moistheat.DocumentError
	var quantity *units.JSONError
	switch {
	case errors.As(err, &inner):
		placed := *inner
		placed.Offset += int64(c.Pos)
		return &placed
	case errors.As(err, &quantity):
		return &moistheat.DocumentError{
			Kind: moistheat.ErrShape, Pointer: quantity.Pointer,
			Offset: quantity.Offset + int64(c.Pos), Problem: quantity.Problem,
		}
	}
	return c.shape("%v", err)
}

// whole reads a number without a fractional part, however it is written, as JSON
// Schema's "integer" does.
func (c *cursor) whole() (int64, bool) {
	coef, exp, ok := guard.ParseNumber(c.Token())
	for ; ok && exp < 0; exp++ {
		ok = coef%10 == 0
		coef /= 10
	}
	for ; ok && exp > 0; exp-- {
		ok = coef > math.MinInt64/10 && coef < math.MaxInt64/10
		coef *= 10
	}
	return coef, ok
}

var pow10 = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10,
	1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// floats reads an array of numbers. A number whose digits a float64 holds exactly
// is scaled in one step by an exact power of ten, so that it is the float64 nearest
// to what was written; any other goes to strconv.
func (c *cursor) floats(out *[]float64, b Bounds) error {
	if c.Data[c.Pos] != '[' {
		return c.shape("want an array of numbers")
	}
	c.Pos++
	end := bytes.IndexByte(c.Data[c.Pos:], ']')
	values := make([]float64, 0, 1+bytes.Count(c.Data[c.Pos:c.Pos+end], []byte{','}))
	for c.More() {
		f, n := parseFloat(c.Data[c.Pos:])
		if n == 0 {
			return prefix(c.shape("want a number"), strconv.Itoa(len(values)))
		}
		if f < 0 && b.Sign == "none" {
			return prefix(c.shape("%s", b.refusal(floatsKind)), strconv.Itoa(len(values)))
		}
		values = append(values, f)
		c.Pos += n
	}
	*out = values
	return nil
}

// parseFloat reads the checked number at the start of b and returns its length, or
// 0 if there is none.
func parseFloat(b []byte) (f float64, n int) {
	neg := b[0] == '-'
	if neg {
		n = 1
	}
	var coef uint64
	digits := n
	for n < len(b) && b[n]-'0' <= 9 {
		coef = coef*10 + uint64(b[n]-'0')
		n++
	}
	if n == digits {
		return 0, 0
	}
	digits = n - digits
	frac := 0
	if n < len(b) && b[n] == '.' {
		point := n
		for n++; n < len(b) && b[n]-'0' <= 9; n++ {
			coef = coef*10 + uint64(b[n]-'0')
		}
		frac = n - point - 1
		digits += frac
	}
	if digits > 19 || coef > 1<<53 || frac >= len(pow10) || n < len(b) && (b[n] == 'e' || b[n] == 'E') {
		token := (&guard.Cursor{Data: b}).Token()
		f, err := strconv.ParseFloat(string(token), 64)
		if err != nil {
			return 0, 0
		}
		return f, len(token)
	}
	f = float64(coef)
	if frac > 0 {
		f /= pow10[frac]
	}
	if neg {
		f = -f
	}
	return f, n
}

// ParseInstant reads an RFC 3339 instant with an explicit offset, in capital
// letters, from the year 1000 on, as the published schemas describe it. The zero Time
// of Go, which stands for a time that nobody recorded, lies before that.
func ParseInstant(s string) (time.Time, error) {
	shape := len(s) >= 20 && len(s) <= 35 && s[4] == '-' && s[7] == '-' && s[10] == 'T' &&
		s[13] == ':' && s[16] == ':' && !strings.Contains(s, ",")
	if shape && s[len(s)-1] != 'Z' { // the hours and minutes of an offset that time.Parse lets pass
		shape = s[len(s)-6] <= '-' && s[len(s)-5:len(s)-3] <= "23" && s[len(s)-2] <= '5'
	}
	t, err := time.Parse(time.RFC3339Nano, s)
	if err != nil || !shape {
		return time.Time{}, fmt.Errorf("%.40q is not a date and time with offset, such as 2026-03-09T08:15:00+01:00", s)
	}
	if s[0] == '0' {
		return time.Time{}, fmt.Errorf("%.40q is before the year 1000; leave out a time that is not known", s)
	}
	return t, nil
}
