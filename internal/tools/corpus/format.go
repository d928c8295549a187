package corpus

import (
	"bytes"
	"encoding/json"
	"strings"

	"example.com/moistheat/load/loadtest"
)

// most is how long a line with a list may get before its elements take lines of
// their own.
const most = 120

// Format writes a file of vectors in the one shape that all of them have: a member a
// line, and each operation of a longer patch on its own.
func Format(f *loadtest.File) ([]byte, error) {
	var b bytes.Buffer
	e := encoder{b: &b}
	b.WriteString("{\n")
	e.member("  ", "format", f.Format, false)
	e.member("  ", "about", f.About, false)
	b.WriteString("  \"vectors\": [")
	for i, v := range f.Vectors {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString("\n    {\n")
		const in = "      "
		e.member(in, "id", v.ID, false)
		e.member(in, "rule", v.Rule, false)
		e.member(in, "case", v.Case, false)
		e.member(in, "judges", v.Subject, false)
		e.member(in, "policy", v.Policy, false)
		e.member(in, "base", v.Base, false)
		if !v.At.IsZero() {
			e.member(in, "at", v.At, false)
		}
		if v.On.IsValid() {
			e.member(in, "on", v.On, false)
		}
		if v.Patch == nil {
			v.Patch = []loadtest.Op{}
		}
		e.list(in, "patch", v.Patch)
		if v.Known != nil {
			e.member(in, "known", v.Known, false)
		}
		e.member(in, "expect", v.Expect, false)
		e.member(in, "why", v.Why, !v.ByHand)
		if v.ByHand {
			e.member(in, "byHand", true, true)
		}
		b.WriteString("    }")
	}
	if len(f.Vectors) > 0 {
		b.WriteString("\n  ")
	}
	b.WriteString("]")
	if len(f.Exempt) > 0 {
		b.WriteString(",\n  \"exempt\": [")
		for i, x := range f.Exempt {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString("\n    ")
			b.Write(e.value(x))
		}
		b.WriteString("\n  ]")
	}
	b.WriteString("\n}\n")
	return b.Bytes(), e.err
}

type encoder struct {
	b   *bytes.Buffer
	err error
}

func (e *encoder) member(indent, name string, v any, last bool) {
	e.b.WriteString(indent + `"` + name + `": `)
	e.b.Write(e.value(v))
	if !last {
		e.b.WriteByte(',')
	}
	e.b.WriteByte('\n')
}

func (e *encoder) list(indent, name string, ops []loadtest.Op) {
	whole := e.value(ops)
	if len(ops) < 2 || len(whole) < most {
		e.member(indent, name, ops, false)
		return
	}
	e.b.WriteString(indent + `"` + name + `": [`)
	for i, op := range ops {
		if i > 0 {
			e.b.WriteByte(',')
		}
		e.b.WriteString("\n" + indent + "  ")
		e.b.Write(e.value(op))
	}
	e.b.WriteString("\n" + indent + "],\n")
}

// value returns JSON on one line with a space after each colon and comma.
func (e *encoder) value(v any) []byte {
	var raw bytes.Buffer
	enc := json.NewEncoder(&raw)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		e.err = err
		return nil
	}
	var compact bytes.Buffer
	if err := json.Compact(&compact, raw.Bytes()); err != nil {
		e.err = err
		return nil
	}
	var out bytes.Buffer
	quoted, escaped := false, false
	for _, c := range strings.TrimSpace(compact.String()) {
		out.WriteRune(c)
		switch {
		case escaped:
			escaped = false
		case quoted && c == '\\':
			escaped = true
		case c == '"':
			quoted = !quoted
		case !quoted && (c == ':' || c == ','):
			out.WriteByte(' ')
		}
	}
	return out.Bytes()
}
