// Command schemas writes what the published schemas have in common: a definition is
// kept in one file, and the files that stand alone beside it carry a copy. Run it from
// the top of the repository after a change to a schema:
//
//	go run ./internal/tools/schemas
//
// line.schema.json and vectors.schema.json take whole documents in as definitions.
// Every other member of a file is written by hand and stays as it is.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"log"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"
)

// The files in the order in which a definition is looked for: the first that has it
// owns it.
var order = []string{
	"record", "policy", "report", "event", "stored", "amendment", "cycle-table", "packaging-figures", "water-limits",
	"line", "vectors",
}

// Definitions of which a file has one of its own under the common name.
var own = []string{"text", "name", "source", "row", "limit"}

// Documents that are definitions of another file.
var parts = []struct{ file, name, of string }{
	{"line", "loadRecord", "record"},
	{"line", "sterilizerEvent", "event"},
	{"line", "storedPack", "stored"},
	{"line", "amendment", "amendment"},
	{"vectors", "facilityPolicy", "policy"},
}

func main() {
	log.SetFlags(0)
	if err := run("schema"); err != nil {
		log.Fatal(err)
	}
}

func run(dir string) error {
	docs := map[string]*node{}
	for _, name := range order {
		data, err := os.ReadFile(filepath.Join(dir, name+".schema.json"))
		if err != nil {
			return err
		}
		if docs[name], err = parse(data); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	for _, p := range parts {
		part := &node{kind: '{'}
		for i, key := range docs[p.of].names {
			if !slices.Contains([]string{"$schema", "$id", "$defs", "examples"}, key) {
				part.set(key, docs[p.of].items[i])
			}
		}
		docs[p.file].get("$defs").set(p.name, part)
	}
	for at, name := range order {
		doc := docs[name]
		old := doc.get("$defs")
		defs := &node{kind: '{'}
		used := refs(doc, map[string]bool{})
		for len(used) > 0 {
			for _, ref := range sorted(used) {
				delete(used, ref)
				if defs.get(ref) != nil {
					continue
				}
				def := old.get(ref)
				if !slices.Contains(own, ref) || def == nil {
					for _, other := range order[:at] {
						if d := docs[other].get("$defs").get(ref); d != nil {
							def = d
							break
						}
					}
				}
				if def == nil {
					return fmt.Errorf("%s: no file defines %q", name, ref)
				}
				defs.set(ref, def)
				refs(def, used)
			}
		}
		doc.set("$defs", defs.sort())
		if err := os.WriteFile(filepath.Join(dir, name+".schema.json"), []byte(write(doc, 0, 0)+"\n"), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// refs adds the definitions that a schema refers to, those in its own definitions
// apart.
func refs(n *node, to map[string]bool) map[string]bool {
	for i, item := range n.items {
		switch {
		case n.kind == '{' && n.names[i] == "$defs":
		case n.kind == '{' && n.names[i] == "$ref":
			var ref string
			if json.Unmarshal([]byte(item.text), &ref) == nil {
				to[strings.TrimPrefix(ref, "#/$defs/")] = true
			}
		default:
			refs(item, to)
		}
	}
	return to
}

func sorted(set map[string]bool) []string {
	var out []string
	for name := range set {
		out = append(out, name)
	}
	slices.Sort(out)
	return out
}

// node is a JSON value whose members keep their order.
type node struct {
	kind  byte // {, [ or 0
	text  string
	names []string
	items []*node
}

func (n *node) get(name string) *node {
	if n == nil {
		return nil
	}
	if i := slices.Index(n.names, name); i >= 0 {
		return n.items[i]
	}
	return nil
}

func (n *node) set(name string, v *node) {
	if i := slices.Index(n.names, name); i >= 0 {
		n.items[i] = v
		return
	}
	n.names, n.items = append(n.names, name), append(n.items, v)
}

func (n *node) sort() *node {
	out := &node{kind: '{'}
	for _, name := range slices.Sorted(slices.Values(n.names)) {
		out.set(name, n.get(name))
	}
	return out
}

func parse(data []byte) (*node, error) {
	in := json.NewDecoder(bytes.NewReader(data))
	in.UseNumber()
	return value(in)
}

func value(in *json.Decoder) (*node, error) {
	token, err := in.Token()
	if err != nil {
		return nil, err
	}
	open, isOpen := token.(json.Delim)
	if !isOpen {
		return &node{text: quote(token)}, nil
	}
	n := &node{kind: byte(open)}
	for in.More() {
		if open == '{' {
			name, err := in.Token()
			if err != nil {
				return nil, err
			}
			n.names = append(n.names, name.(string))
		}
		item, err := value(in)
		if err != nil {
			return nil, err
		}
		n.items = append(n.items, item)
	}
	_, err = in.Token()
	return n, err
}

const width = 120

// write lays a value out: on one line where it fits, but for the document itself.
func write(n *node, indent, used int) string {
	short := line(n)
	if n.kind == 0 || len(n.items) == 0 || indent > 0 && used+utf8.RuneCountInString(short) <= width {
		return short
	}
	pad := strings.Repeat("  ", indent+1)
	end := "\n" + strings.Repeat("  ", indent)
	if n.kind == '[' && !slices.ContainsFunc(n.items, func(v *node) bool { return v.kind != 0 }) {
		var lines []string
		current := pad
		for i, item := range n.items {
			word := item.text
			if i < len(n.items)-1 {
				word += ","
			}
			switch {
			case current == pad:
				current += word
			case utf8.RuneCountInString(current)+1+utf8.RuneCountInString(word) > width:
				lines = append(lines, current)
				current = pad + word
			default:
				current += " " + word
			}
		}
		return "[\n" + strings.Join(append(lines, current), "\n") + end + "]"
	}
	var out []string
	for i, item := range n.items {
		name := ""
		if n.kind == '{' {
			name = quote(n.names[i]) + ": "
		}
		out = append(out, pad+name+write(item, indent+1, utf8.RuneCountInString(pad+name)+1))
	}
	if n.kind == '{' {
		return "{\n" + strings.Join(out, ",\n") + end + "}"
	}
	return "[\n" + strings.Join(out, ",\n") + end + "]"
}

func line(n *node) string {
	var out []string
	for i, item := range n.items {
		if n.kind == '{' {
			out = append(out, quote(n.names[i])+": "+line(item))
		} else {
			out = append(out, line(item))
		}
	}
	switch n.kind {
	case '{':
		return "{" + strings.Join(out, ", ") + "}"
	case '[':
		return "[" + strings.Join(out, ", ") + "]"
	}
	return n.text
}

// quote returns a name or a token as JSON.
func quote(token any) string {
	var b bytes.Buffer
	out := json.NewEncoder(&b)
	out.SetEscapeHTML(false)
	_ = out.Encode(token) // a token always encodes
	return strings.TrimSuffix(b.String(), "\n")
}
