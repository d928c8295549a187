// Package ordered reads JSON and writes it with the members of objects in their order,
// laid out for people.
package ordered

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
)

// Node is a JSON value. A nil one has no members.
type Node struct {
	Kind  byte            // {, [ or 0
	Text  json.RawMessage // as it was read
	Names []string        // of the members of an object, which are Items
	Items []*Node
}

// Get returns a member of an object, or nil.
func (n *Node) Get(name string) *Node {
	if n != nil {
		if i := slices.Index(n.Names, name); i >= 0 {
			return n.Items[i]
		}
	}
	return nil
}

// Set changes a member of an object or adds it at the end.
func (n *Node) Set(name string, v *Node) {
	if i := slices.Index(n.Names, name); i >= 0 {
		n.Items[i] = v
		return
	}
	n.Names, n.Items = append(n.Names, name), append(n.Items, v)
}

// Parse reads a value.
func Parse(data []byte) (*Node, error) { return parse(json.NewDecoder(bytes.NewReader(data))) }

func parse(in *json.Decoder) (*Node, error) {
	n := &Node{}
	if err := in.Decode(&n.Text); err != nil || n.Text[0] != '{' && n.Text[0] != '[' {
		return n, err
	}
	n.Kind = n.Text[0]
	in = json.NewDecoder(bytes.NewReader(n.Text))
	_, err := in.Token() // the bracket
	for err == nil && in.More() {
		if n.Kind == '{' {
			name, _ := in.Token() // the text was read before
			n.Names = append(n.Names, name.(string))
		}
		var item *Node
		item, err = parse(in)
		n.Items = append(n.Items, item)
	}
	return n, err
}

// Line returns the value on one line, with a space after each colon and comma.
func (n *Node) Line() string {
	if n.Kind == 0 {
		return string(n.Text)
	}
	items := make([]string, len(n.Items))
	for i, item := range n.Items {
		items[i] = n.label(i) + item.Line()
	}
	return string(n.Kind) + strings.Join(items, ", ") + n.end()
}

// Layout returns the value at a depth and column with a line for each member and element.
// What short has words for is written so.
func (n *Node) Layout(short func(n *Node, depth, column int) string, depth, column int) string {
	if s := short(n, depth, column); s != "" {
		return s
	}
	pad := Pad(depth + 1)
	items := make([]string, len(n.Items))
	for i, item := range n.Items {
		before := pad + n.label(i)
		items[i] = before + item.Layout(short, depth+1, len([]rune(before)))
	}
	return string(n.Kind) + "\n" + strings.Join(items, ",\n") + "\n" + Pad(depth) + n.end()
}

// Pad is what stands before a value at a depth.
func Pad(depth int) string { return strings.Repeat("  ", depth) }

func (n *Node) label(i int) string {
	if n.Kind == '[' {
		return ""
	}
	name, _ := Of(n.Names[i]) // a string always has one
	return name.Line() + ": "
}

func (n *Node) end() string { return string(n.Kind + 2) } // ] stands two after [, } after {

// Of returns the JSON of a Go value, with <, > and & as they are.
func Of(v any) (*Node, error) {
	var b bytes.Buffer
	out := json.NewEncoder(&b)
	out.SetEscapeHTML(false)
	if err := out.Encode(v); err != nil {
		return nil, err
	}
	return Parse(b.Bytes())
}
