package schema

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"

	"example.com/moistheat/internal/guard"
)

// column is the name of the members that hold one number a sample. In every schema
// it names nothing else.
const column = "values"

// clock is the name of the members whose column is one of times, none of which is
// negative. In every schema it is the only column that bounds its numbers.
const clock = "time"

// tree makes the values that the engine reads out of bytes that the guard has
// passed. It differs from the document in two ways, neither of which makes a valid
// document of an invalid one or the reverse:
//
//   - Of the array of a member called "values" only the elements that are no numbers,
//     or negative times, are kept, and of those no more than the engine would look at.
//   - An array of more than limit elements ends after limit+1 of them, enough for
//     the engine to see that there are too many.
type tree struct {
	data    []byte
	pos     int
	limit   int
	names   map[string]string // the names of the schema, so that they need no memory
	path    []step
	columns map[string]*shortened // by pointer; those of which elements are kept
	cut     map[string]int        // by pointer; elements left out of arrays that are too long
}

// times reports whether the column that is being read is one of times.
func (t *tree) times() bool {
	n := len(t.path)
	return n > 1 && t.path[n-2].member && t.path[n-2].name == clock
}

// shortened says what was left out of a column.
type shortened struct {
	at   []int // where the elements that were kept stood
	rest int   // elements after those, not looked at
}

// step is one segment of the way to the value that is being read.
type step struct {
	member bool // an object's; otherwise an array's
	name   string
	index  int
}

func (t *tree) space() {
	for t.pos < len(t.data) && t.data[t.pos] <= ' ' {
		t.pos++
	}
}

func (t *tree) value() any {
	t.space()
	switch t.data[t.pos] {
	case '{':
		return t.object()
	case '[':
		if n := len(t.path); n > 0 && t.path[n-1].member && t.path[n-1].name == column {
			return t.column()
		}
		return t.array()
	case '"':
		return string(t.quoted())
	case 't':
		t.pos += len("true")
		return true
	case 'f':
		t.pos += len("false")
		return false
	case 'n':
		t.pos += len("null")
		return nil
	}
	return json.Number(t.number())
}

func (t *tree) object() any {
	m := make(map[string]any)
	t.path = append(t.path, step{member: true})
	top := len(t.path) - 1
	t.pos++
	for {
		t.space()
		switch t.data[t.pos] {
		case '}':
			t.pos++
			t.path = t.path[:top]
			return m
		case ',':
			t.pos++
			continue
		}
		raw := t.quoted()
		name, known := t.names[string(raw)]
		if !known {
			name = string(raw)
		}
		t.space()
		t.pos++ // the colon
		t.path[top].name = name
		m[name] = t.value()
	}
}

func (t *tree) array() any {
	a := []any{}
	t.path = append(t.path, step{})
	top := len(t.path) - 1
	t.pos++
	rest := 0
	for n := 0; ; {
		t.space()
		switch t.data[t.pos] {
		case ']':
			t.pos++
			t.path = t.path[:top]
			if rest > 0 {
				if t.cut == nil {
					t.cut = map[string]int{}
				}
				t.cut[t.pointer()] = rest
			}
			return a
		case ',':
			t.pos++
			continue
		}
		if n > t.limit {
			t.skip()
			rest++
			continue
		}
		t.path[top].index = n
		a = append(a, t.value())
		n++
	}
}

// column passes over the array of a column and returns what is no number in it, or a
// negative time.
func (t *tree) column() any {
	odd := []any{}
	times := t.times()
	var notes *shortened
	t.pos++
	for n := 0; ; {
		t.space()
		switch c := t.data[t.pos]; {
		case c == ']':
			t.pos++
			return odd
		case c == ',':
			t.pos++
			continue
		case notes != nil && len(notes.at) == maxFaulty:
			notes.rest++
			t.skip()
		case c-'0' <= 9 || c == '-' && !times:
			t.number()
		default:
			if notes == nil {
				notes = &shortened{}
				if t.columns == nil {
					t.columns = map[string]*shortened{}
				}
				t.columns[t.pointer()] = notes
			}
			notes.at = append(notes.at, n)
			odd = append(odd, t.odd())
		}
		n++
	}
}

// odd returns the value at the cursor without its contents.
func (t *tree) odd() any {
	switch t.data[t.pos] {
	case '{':
		t.skip()
		return map[string]any{}
	case '[':
		t.skip()
		return []any{}
	}
	return t.value()
}

// pointer renders the place of the value that is being read.
func (t *tree) pointer() string {
	var b strings.Builder
	for _, s := range t.path {
		b.WriteByte('/')
		if s.member {
			b.WriteString(guard.Escape(s.name))
		} else {
			b.WriteString(strconv.Itoa(s.index))
		}
	}
	return b.String()
}

// quoted returns the text of the string at the cursor and passes over it.
func (t *tree) quoted() []byte {
	start := t.pos + 1
	for end := start; ; {
		end += bytes.IndexByte(t.data[end:], '"')
		slashes := end
		for t.data[slashes-1] == '\\' {
			slashes--
		}
		if (end-slashes)%2 == 0 {
			t.pos = end + 1
			return guard.Unquote(t.data[start:end])
		}
		end++
	}
}

func (t *tree) number() []byte {
	start := t.pos
	for t.pos < len(t.data) {
		if c := t.data[t.pos]; c-'0' > 9 && c != '.' && c != '-' && c != '+' && c != 'e' && c != 'E' {
			break
		}
		t.pos++
	}
	return t.data[start:t.pos]
}

// skip passes over one value.
func (t *tree) skip() {
	for depth := 0; ; {
		t.space()
		switch c := t.data[t.pos]; c {
		case '"':
			t.quoted()
		case '{', '[':
			depth++
			t.pos++
		case '}', ']':
			depth--
			t.pos++
		case ',', ':':
			t.pos++
			continue
		case 't', 'n':
			t.pos += 4
		case 'f':
			t.pos += 5
		default:
			t.number()
		}
		if depth == 0 {
			return
		}
	}
}
