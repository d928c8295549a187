// Package guard stands between untrusted bytes and every reader of the library.
// Check bounds what a document may cost before anything else reads it; a Cursor
// walks bytes that Check accepted. It imports nothing of the library, so that units
// may stand on it.
package guard

import (
	"bytes"
	"fmt"
	"hash/maphash"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// Limits bound a document. The zero value allows nothing; start from Default.
type Limits struct {
	Size     int // bytes in the document
	Depth    int // nested arrays and objects
	Text     int // bytes of one string as written, without the quotes
	Number   int // bytes of one number
	Digits   int // digits of one number, leading zeros apart
	Exponent int // size of a written exponent
	Names    int // names in one object
}

// Default returns the limits for a record.
func Default() Limits {
	return Limits{Size: 8 << 20, Depth: 32, Text: 4096, Number: 32, Digits: 18, Exponent: 18, Names: 256}
}

// Language returns the limits for the texts of a language, of which the library has more
// than two thousand in about 250 kB.
func Language() Limits {
	lim := Default()
	lim.Size, lim.Names = 4<<20, 8192
	return lim
}

// Kind is a way in which a document is refused.
type Kind uint8

// The ways a document is refused.
const (
	Limit  Kind = iota + 1 // over a limit
	Syntax                 // not strict JSON
	Shape                  // not the agreed shape
)

// Error says what is wrong with a document and where.
type Error struct {
	Offset  int64  // of the first byte that cannot be accepted
	Pointer string // RFC 6901 pointer to the value in question
	Problem string // what is wrong and what to do
	Kind    Kind
}

func (e *Error) Error() string { return e.Problem }

const (
	maxOpenNames = 1024 // names of all objects that are open at once
	maxDepth     = 64
	shortest     = 5 // bytes that a member takes at least, as in "":1,
)

// Check reads data once and refuses it unless it is one JSON value in strict
// UTF-8, without duplicate names, within the limits. It allocates nothing for a
// document that passes, unless an object of it may have more than 1,024 names.
func Check(data []byte, lim Limits) error {
	if len(data) > lim.Size {
		return &Error{Offset: int64(lim.Size), Kind: Limit,
			Problem: fmt.Sprintf("%d bytes, more than the %d allowed; send one load a document", len(data), lim.Size)}
	}
	// The names that are open are kept on the stack; a small document has room for
	// few, so it need not pay for clearing many.
	if len(data) < 32*shortest {
		var names [32]nameRef
		return check(data, lim, names[:])
	}
	if lim.Names > maxOpenNames { // such as the texts of a language
		return check(data, lim, make([]nameRef, min(2*lim.Names, max(maxOpenNames, len(data)/4+1)))) // "":0,
	}
	var names [maxOpenNames]nameRef
	return check(data, lim, names[:])
}

func check(data []byte, lim Limits, names []nameRef) error {
	g := guard{data: data, lim: lim, names: names, seed: maphash.MakeSeed()}
	g.space()
	err := g.value(0)
	if err == nil {
		g.space()
		if g.pos == len(data) {
			return nil
		}
		g.depth = 0
		err = g.fail(Syntax, "something follows the end of the document; send one value only")
	}
	err.Pointer = g.pointer()
	return err
}

type step struct {
	start, end int32 // name of the open member; start < 0: an array
	index      int32
}

type nameRef struct {
	hash       uint32
	start, end int32
}

type guard struct {
	data  []byte
	pos   int
	lim   Limits
	depth int
	path  [maxDepth]step
	open  int
	names []nameRef
	seed  maphash.Seed // nobody can choose names that share a hash
}

func (g *guard) fail(kind Kind, format string, args ...any) *Error {
	return &Error{Offset: int64(g.pos), Kind: kind, Problem: fmt.Sprintf(format, args...)}
}

// pointer renders the path that was open when the check stopped.
func (g *guard) pointer() string {
	var b strings.Builder
	for _, s := range g.path[:g.depth] {
		b.WriteByte('/')
		if s.start < 0 {
			b.WriteString(strconv.Itoa(int(s.index)))
			continue
		}
		b.WriteString(Segment(string(Unquote(g.data[s.start:s.end]))))
	}
	return b.String()
}

// Segment writes a name of any length as a segment of a pointer in a message.
func Segment(name string) string { return Escape(shorten(name)) }

func shorten(s string) string {
	if len(s) > 64 {
		return strings.ToValidUTF8(s[:64], "") + "…"
	}
	return strings.ToValidUTF8(s, "\uFFFD")
}

// Escape writes a name as one segment of a JSON Pointer.
func Escape(name string) string {
	if !strings.ContainsAny(name, "~/") {
		return name
	}
	return strings.NewReplacer("~", "~0", "/", "~1").Replace(name)
}

func (g *guard) space() {
	for g.pos < len(g.data) {
		switch g.data[g.pos] {
		case ' ', '\n', '\t', '\r':
			g.pos++
		default:
			return
		}
	}
}

func (g *guard) value(depth int) *Error {
	if g.pos >= len(g.data) {
		return g.fail(Syntax, "the document ends too early; it was cut off")
	}
	switch c := g.data[g.pos]; c {
	case '{':
		return g.object(depth)
	case '[':
		return g.array(depth)
	case '"':
		_, err := g.text()
		return err
	case 't':
		return g.word("true")
	case 'f':
		return g.word("false")
	case 'n':
		return g.word("null")
	default:
		if c == '-' || c >= '0' && c <= '9' {
			return g.number()
		}
		if bytes.HasPrefix(g.data[g.pos:], []byte("\xef\xbb\xbf")) {
			return g.fail(Syntax, "a byte order mark; write UTF-8 without one")
		}
		if c >= utf8.RuneSelf {
			return g.fail(Syntax, "the byte 0x%02x does not start a JSON value", c)
		}
		return g.fail(Syntax, "%q does not start a JSON value", c)
	}
}

func (g *guard) word(w string) *Error {
	if !bytes.HasPrefix(g.data[g.pos:], []byte(w)) {
		return g.fail(Syntax, "want true, false or null")
	}
	g.pos += len(w)
	return nil
}

func (g *guard) push(depth int) *Error {
	if depth >= min(g.lim.Depth, maxDepth) {
		return g.fail(Limit, "nested deeper than the %d levels allowed", min(g.lim.Depth, maxDepth))
	}
	g.depth = depth + 1
	g.path[depth] = step{start: -1}
	return nil
}

func (g *guard) array(depth int) *Error {
	if err := g.push(depth); err != nil {
		return err
	}
	g.pos++
	if g.space(); g.take(']') {
		g.depth = depth
		return nil
	}
	for {
		if err := g.value(depth + 1); err != nil {
			return err
		}
		g.depth = depth + 1
		if g.space(); g.take(']') {
			g.depth = depth
			return nil
		}
		if !g.take(',') {
			return g.fail(Syntax, "want a comma or ] in an array")
		}
		g.path[depth].index++
		g.space()
	}
}

// take passes over a byte if it is the next.
func (g *guard) take(c byte) bool {
	if g.peek() != c {
		return false
	}
	g.pos++
	return true
}

func (g *guard) peek() byte {
	if g.pos < len(g.data) {
		return g.data[g.pos]
	}
	return 0
}

func (g *guard) object(depth int) *Error {
	if err := g.push(depth); err != nil {
		return err
	}
	base := g.open
	g.depth = depth // until a name is known, the pointer is that of the object
	g.pos++
	if g.space(); g.take('}') {
		return nil
	}
	for {
		if g.peek() != '"' {
			return g.fail(Syntax, "want a name in quotes")
		}
		start := g.pos + 1
		escaped, err := g.text()
		if err != nil {
			return err
		}
		g.path[depth] = step{start: int32(start), end: int32(g.pos - 1)}
		g.depth = depth + 1
		if err := g.name(base, start, g.pos-1, escaped); err != nil {
			return err
		}
		g.space()
		if !g.take(':') {
			return g.fail(Syntax, "want a colon after a name")
		}
		g.space()
		if err := g.value(depth + 1); err != nil {
			return err
		}
		g.depth = depth
		if g.space(); g.take('}') {
			g.open = base
			return nil
		}
		if !g.take(',') {
			return g.fail(Syntax, "want a comma or } in an object")
		}
		g.space()
	}
}

// name enters a member name and refuses it if its object has it already, written
// the same way or through escapes.
func (g *guard) name(base, start, end int, escaped bool) *Error {
	if g.open-base >= g.lim.Names {
		g.pos = start - 1
		return g.fail(Limit, "more than %d names in one object", g.lim.Names)
	}
	if g.open >= len(g.names) {
		g.pos = start - 1
		return g.fail(Limit, "more than %d names in all objects around this place", len(g.names))
	}
	raw := g.data[start:end]
	var buf, other [64]byte
	if escaped {
		raw = appendUnquoted(buf[:0], raw)
	}
	h := uint32(maphash.Bytes(g.seed, raw))
	for _, n := range g.names[base:g.open] {
		if n.hash != h {
			continue
		}
		name := g.data[n.start:n.end]
		if bytes.IndexByte(name, '\\') >= 0 {
			name = appendUnquoted(other[:0], name)
		}
		if bytes.Equal(name, raw) {
			g.pos = start - 1
			return g.fail(Syntax, "the name occurs twice in its object; which one counts is unknown")
		}
	}
	g.names[g.open] = nameRef{h, int32(start), int32(end)}
	g.open++
	return nil
}

// plain reports whether a byte of a string stands for itself: ASCII but for the quote,
// the backslash and control characters.
func plain(c byte) bool { return c-' ' < utf8.RuneSelf-' ' && c != '"' && c != '\\' }

// text passes over a string and reports whether it has escapes.
func (g *guard) text() (escaped bool, err *Error) {
	g.pos++
	start, data := g.pos, g.data
	limit := min(len(data), start+g.lim.Text+1)
	for g.pos < limit {
		for g.pos < limit && plain(data[g.pos]) {
			g.pos++
		}
		if g.pos == limit {
			break
		}
		switch c := data[g.pos]; {
		case c == '"':
			g.pos++
			return escaped, nil
		case c == '\\':
			escaped = true
			if err := g.escape(); err != nil {
				return escaped, err
			}
		case c < ' ':
			return escaped, g.fail(Syntax, "a control character in a string; write it as \\u%04x", c)
		default:
			r, n := utf8.DecodeRune(data[g.pos:])
			if r == utf8.RuneError && n == 1 {
				return escaped, g.fail(Syntax, "bytes that are not UTF-8")
			}
			g.pos += n
		}
	}
	if g.pos >= len(data) {
		return escaped, g.fail(Syntax, "a string without an end; the document was cut off")
	}
	g.pos = start + g.lim.Text
	return escaped, g.fail(Limit, "a string longer than the %d bytes allowed", g.lim.Text)
}

func (g *guard) escape() *Error {
	if g.pos+1 >= len(g.data) {
		return g.fail(Syntax, "a string without an end; the document was cut off")
	}
	switch g.data[g.pos+1] {
	case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
		g.pos += 2
		return nil
	case 'u':
		r, n := unicodeEscape(g.data[g.pos:])
		if n == 0 {
			return g.fail(Syntax, "want four hexadecimal digits after \\u")
		}
		if utf16.IsSurrogate(r) {
			return g.fail(Syntax, "half of a surrogate pair")
		}
		g.pos += n
		return nil
	}
	return g.fail(Syntax, "an escape that JSON does not have")
}

// unicodeEscape reads \u and four hexadecimal digits, or a surrogate pair of two
// such, at the start of b. It returns a surrogate where the other half is missing, and n = 0 for bad digits.
func unicodeEscape(b []byte) (r rune, n int) {
	hex := func(b []byte) rune {
		if len(b) < 6 || b[0] != '\\' || b[1] != 'u' {
			return -1
		}
		n, err := strconv.ParseUint(string(b[2:6]), 16, 16)
		if err != nil {
			return -1
		}
		return rune(n)
	}
	r = hex(b)
	if r < 0 {
		return 0, 0
	}
	if !utf16.IsSurrogate(r) {
		return r, 6
	}
	if low := hex(b[6:]); low >= 0 {
		if pair := utf16.DecodeRune(r, low); pair != utf8.RuneError {
			return pair, 12
		}
	}
	return r, 6
}

func (g *guard) number() *Error {
	if n := shortNumber(g.data[g.pos:]); n > 0 && n <= min(g.lim.Number, g.lim.Digits) {
		g.pos += n
		return nil
	}
	n, problem := scanNumber(g.data[g.pos:], g.lim)
	switch problem {
	case "":
		g.pos += n
		return nil
	case longNumber:
		return g.fail(Limit, "a number longer than %d bytes", g.lim.Number)
	case manyDigits:
		return g.fail(Limit, "a number with more than %d digits; round it to what was measured", g.lim.Digits)
	case wideExponent:
		return g.fail(Limit, "a number with an exponent beyond ±%d; write it in a fitting unit", g.lim.Exponent)
	}
	return g.fail(Syntax, badNumber)
}

// digits returns how many digits stand in b from i on.
func digits(b []byte, i int) (n int) {
	for i+n < len(b) && b[i+n]-'0' <= 9 {
		n++
	}
	return n
}

// mantissa returns the length of the number at the start of b without its exponent, or
// of so much of it as is one, and whether that is all of a number.
func mantissa(b []byte) (n int, whole bool) {
	if len(b) > 0 && b[0] == '-' {
		n = 1
	}
	k := digits(b, n)
	if k == 0 || k > 1 && b[n] == '0' {
		return 0, false
	}
	if n += k; n == len(b) || b[n] != '.' {
		return n, true
	}
	k = digits(b, n+1)
	return n + 1 + k, k > 0
}

// shortNumber returns the length of the number at the start of b if it is one
// without an exponent, and 0 for everything that needs a second look.
func shortNumber(b []byte) int {
	n, whole := mantissa(b)
	if !whole || n < len(b) && b[n]|0x20 == 'e' {
		return 0
	}
	return n
}

const (
	badNumber    = "not a JSON number"
	longNumber   = "long"
	manyDigits   = "digits"
	wideExponent = "exponent"
)

// scanNumber measures the number at the start of b. It never looks further than
// lim.Number+1 bytes.
func scanNumber(b []byte, lim Limits) (n int, problem string) {
	if len(b) > lim.Number+1 {
		b = b[:lim.Number+1]
	}
	n, whole := mantissa(b)
	if n == 0 || !whole && n <= lim.Number {
		return 0, badNumber
	}
	significant := 0 // digits, leading zeros apart
	for _, c := range b[:n] {
		if c-'0' <= 9 && (significant > 0 || c != '0') {
			significant++
		}
	}
	exponent := 0
	if whole && n < len(b) && b[n]|0x20 == 'e' {
		n++
		if n < len(b) && (b[n] == '+' || b[n] == '-') {
			n++
		}
		k := digits(b, n)
		for _, c := range b[n : n+k] {
			exponent = min(exponent*10+int(c-'0'), 1<<20)
		}
		if n += k; k == 0 && n <= lim.Number {
			return 0, badNumber
		}
	}
	switch {
	case exponent > lim.Exponent:
		return 0, wideExponent
	case n > lim.Number:
		return 0, longNumber
	case significant > lim.Digits:
		return 0, manyDigits
	}
	return n, ""
}

// Unquote returns the text that the inside of a checked JSON string stands for.
// It returns raw itself where there are no escapes.
func Unquote(raw []byte) []byte {
	if bytes.IndexByte(raw, '\\') < 0 {
		return raw
	}
	return appendUnquoted(make([]byte, 0, len(raw)), raw)
}

func appendUnquoted(out, raw []byte) []byte {
	for i := 0; i < len(raw); {
		c := raw[i]
		if c != '\\' || i+1 >= len(raw) {
			out = append(out, c)
			i++
			continue
		}
		n := 2
		switch c = raw[i+1]; c {
		case 'b':
			c = '\b'
		case 'f':
			c = '\f'
		case 'n':
			c = '\n'
		case 'r':
			c = '\r'
		case 't':
			c = '\t'
		case 'u':
			var r rune
			if r, n = unicodeEscape(raw[i:]); n == 0 {
				r, n = utf8.RuneError, 2
			}
			out = utf8.AppendRune(out, r)
			i += n
			continue
		}
		out = append(out, c)
		i += n
	}
	return out
}

// ParseNumber splits a checked JSON number into coefficient and power of ten,
// keeping trailing zeros: "1.50" is 150 and -2. It reports false for text that is
// no JSON number, or has more digits than an int64 carries.
func ParseNumber[T ~string | ~[]byte](tok T) (coef int64, exp int, ok bool) {
	start, point, digits := 0, -1, 0
	if len(tok) > 0 && tok[0] == '-' {
		start = 1
	}
	for i := start; i < len(tok); i++ {
		c := tok[i] - '0'
		if c <= 9 {
			coef = coef*10 + int64(c)
			digits++
			continue
		}
		if tok[i] != '.' || point >= 0 || i == start || i == len(tok)-1 {
			return parseNumber([]byte(tok)) // an exponent, or no number
		}
		point = i
	}
	if digits == 0 || digits > Default().Digits || digits > 1 && tok[start] == '0' && point != start+1 {
		return parseNumber([]byte(tok)) // leading zeros, too many digits, or no number
	}
	if point >= 0 {
		exp = point + 1 - len(tok)
	}
	if start == 1 {
		coef = -coef
	}
	return coef, exp, true
}

// parseNumber is ParseNumber for every number.
func parseNumber(tok []byte) (coef int64, exp int, ok bool) {
	if n, problem := scanNumber(tok, Default()); problem != "" || n != len(tok) {
		return 0, 0, false
	}
	number, exponent, _ := strings.Cut(strings.ToLower(string(tok)), "e")
	whole, fraction, _ := strings.Cut(number, ".")
	coef, _ = strconv.ParseInt(whole+fraction, 10, 64) // it has no more digits than fit
	exp, _ = strconv.Atoi(exponent)                    // without one, 0
	return coef, exp - len(fraction), true
}
