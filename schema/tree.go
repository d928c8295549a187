package schema

import (
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
	guard.Cursor
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
	rest int   // elements after those, not checked
}

// step is one segment of the way to the value that is being read.
type step struct {
	member bool // an object's; otherwise an array's
	name   string
	index  int
}

func (t *tree) value() any {
	t.Space()
	switch t.Data[t.Pos] {
	case '{':
		return t.object()
	case '[':
		if n := len(t.path); n > 0 && t.path[n-1].member && t.path[n-1].name == column {
			return t.column()
		}
		return t.array()
	case '"':
		return string(t.Quoted())
	case 't', 'f':
		yes := t.Data[t.Pos] == 't'
		t.Skip()
		return yes
	case 'n':
		t.Skip()
		return nil
	}
	return json.Number(t.Token())
}

func (t *tree) object() any {
	m := make(map[string]any)
	top := len(t.path)
	t.path = append(t.path, step{member: true})
	t.Pos++
	for t.More() {
		raw := t.Name()
		name, known := t.names[string(raw)]
		if !known {
			name = string(raw)
		}
		t.path[top].name = name
		m[name] = t.value()
	}
	t.path = t.path[:top]
	return m
}

func (t *tree) array() any {
	a := []any{}
	top := len(t.path)
	t.path = append(t.path, step{})
	t.Pos++
	rest := 0
	for t.More() {
		if len(a) > t.limit {
			t.Skip()
			rest++
			continue
		}
		t.path[top].index = len(a)
		a = append(a, t.value())
	}
	t.path = t.path[:top]
	if rest > 0 {
		if t.cut == nil {
			t.cut = map[string]int{}
		}
		t.cut[t.pointer()] = rest
	}
	return a
}

// column passes over the array of a column and returns what is no number in it, or a
// negative time.
func (t *tree) column() any {
	odd := []any{}
	times := t.times()
	var notes *shortened
	t.Pos++
	for n := 0; t.More(); n++ {
		switch c := t.Data[t.Pos]; {
		case notes != nil && len(notes.at) == maxFaulty:
			notes.rest++
			t.Skip()
		case c-'0' <= 9 || c == '-' && !times:
			t.Token()
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
	}
	return odd
}

// odd returns the value at the cursor without its contents.
func (t *tree) odd() any {
	switch t.Data[t.Pos] {
	case '{':
		t.Skip()
		return map[string]any{}
	case '[':
		t.Skip()
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
