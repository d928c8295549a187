// Command schemas writes what the published schemas have in common: a definition is
// kept in one file, and the files that stand alone beside it carry a copy. Run it from
// the top of the repository after a change to a schema:
//
//	go run ./internal/tools/schemas
//
// line.schema.json and vectors.schema.json take whole documents in as definitions. A
// reference with a description beside it is written as an allOf of the reference alone:
// readers of older drafts pass over what stands beside a $ref, and generators of types
// make a second type of it. Records of examples/printed, as internal/tools/least wrote
// them, become examples. Every other member of a file is written by hand and stays as it
// is.
package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"example.com/moistheat/internal/tools/ordered"
	"example.com/moistheat/internal/tools/quit"
)

// The files in the order in which a definition is looked for: the first that has it
// owns it.
var order = []string{"record", "catalogue", "policy", "cycle-table", "report", "event", "stored", "cleaning", "known",
	"amendment", "packaging-figures", "water-limits", "line", "rules", "findings", "agenda", "finding", "due", "suspect", "status",
	"procedure", "choice", "drift", "task", "opening", "chain", "item-use", "log", "proof", "language", "vectors"}

// Definitions of which a file has one of its own under the common name.
var own = []string{"text", "name", "source", "row", "limit"}

// Documents that are definitions of another file.
var parts = []struct{ file, name, of string }{
	{"record", "cleaningBatch", "cleaning"},
	{"line", "loadRecord", "record"},
	{"line", "sterilizerEvent", "event"},
	{"line", "storedPack", "stored"},
	{"line", "amendment", "amendment"},
	{"agenda", "taskOfDay", "task"},
	{"vectors", "facilityPolicy", "policy"},
	{"vectors", "knownFacts", "known"},
}

func main() {
	quit.On(run("schema"))
}

func run(dir string) error {
	docs := map[string]*ordered.Node{}
	for _, name := range order {
		data, err := os.ReadFile(filepath.Join(dir, name+".schema.json"))
		if err != nil {
			return err
		}
		if docs[name], err = ordered.Parse(data); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		alone(docs[name])
	}
	for _, p := range parts {
		part := &ordered.Node{Kind: '{'}
		for i, key := range docs[p.of].Names {
			if !slices.Contains([]string{"$schema", "$id", "$defs", "examples"}, key) {
				part.Set(key, docs[p.of].Items[i])
			}
		}
		docs[p.file].Get("$defs").Set(p.name, part)
	}
	if err := printed(docs["record"]); err != nil {
		return err
	}
	for at, name := range order {
		doc := docs[name]
		old := doc.Get("$defs")
		defs := map[string]*ordered.Node{}
		used := refs(doc, map[string]bool{})
		for len(used) > 0 {
			for _, ref := range slices.Sorted(maps.Keys(used)) {
				delete(used, ref)
				if defs[ref] != nil {
					continue
				}
				def := old.Get(ref)
				if !slices.Contains(own, ref) || def == nil {
					for _, other := range order[:at] {
						if d := docs[other].Get("$defs").Get(ref); d != nil {
							def = d
							break
						}
					}
				}
				if def == nil {
					return fmt.Errorf("%s: no file defines %q", name, ref)
				}
				defs[ref] = def
				refs(def, used)
			}
		}
		sorted := &ordered.Node{Kind: '{'}
		for _, ref := range slices.Sorted(maps.Keys(defs)) {
			sorted.Set(ref, defs[ref])
		}
		doc.Set("$defs", sorted)
		if err := os.WriteFile(filepath.Join(dir, name+".schema.json"), []byte(doc.Layout(short, 0, 0)+"\n"), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// printed makes records that internal/tools/least found the examples of a record, after
// the two that are written by hand.
func printed(record *ordered.Node) error {
	examples := record.Get("examples")
	examples.Items = examples.Items[:2]
	for _, name := range []string{"us-cdc-2003", "en-13060", "australia"} {
		data, err := os.ReadFile("examples/printed/" + name + ".json")
		if err != nil {
			return err
		}
		example, err := ordered.Parse(data)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		examples.Items = append(examples.Items, example)
	}
	return nil
}

// alone makes every reference in a schema stand alone.
func alone(n *ordered.Node) {
	for i, item := range n.Items {
		if n.Kind == '[' || !slices.Contains([]string{"enum", "examples", "const"}, n.Names[i]) { // else a value
			alone(item)
		}
	}
	if i := slices.Index(n.Names, "$ref"); i >= 0 && len(n.Names) > 1 && n.Items[i].Kind == 0 {
		ref := &ordered.Node{Kind: '{', Names: []string{"$ref"}, Items: []*ordered.Node{n.Items[i]}}
		n.Names[i], n.Items[i] = "allOf", &ordered.Node{Kind: '[', Items: []*ordered.Node{ref}}
	}
}

// refs adds the definitions that a schema refers to, those in its own definitions
// apart.
func refs(n *ordered.Node, to map[string]bool) map[string]bool {
	for i, item := range n.Items {
		switch {
		case n.Kind == '{' && n.Names[i] == "$defs":
		case n.Kind == '{' && n.Names[i] == "$ref":
			var ref string
			if json.Unmarshal(item.Text, &ref) == nil {
				to[strings.TrimPrefix(ref, "#/$defs/")] = true
			}
		default:
			refs(item, to)
		}
	}
	return to
}

const width = 120

// short returns a value on one line where it fits, but for the document itself, and a
// list of words on as few lines as it takes.
func short(n *ordered.Node, depth, column int) string {
	line := n.Line()
	if n.Kind == 0 || len(n.Items) == 0 || depth > 0 && column+1+utf8.RuneCountInString(line) <= width {
		return line
	}
	if n.Kind == '{' || slices.ContainsFunc(n.Items, func(v *ordered.Node) bool { return v.Kind != 0 }) {
		return ""
	}
	pad := ordered.Pad(depth + 1)
	out, column := "[\n"+pad, len(pad)
	for i, item := range n.Items {
		word := item.Line()
		if i < len(n.Items)-1 {
			word += ","
		}
		switch {
		case i > 0 && column+1+utf8.RuneCountInString(word) > width:
			out, column = out+"\n"+pad, len(pad)
		case i > 0:
			out, column = out+" ", column+1
		}
		out, column = out+word, column+utf8.RuneCountInString(word)
	}
	return out + "\n" + ordered.Pad(depth) + "]"
}
