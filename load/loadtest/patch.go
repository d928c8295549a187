package loadtest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat/internal/strictjson"
)

// Op is one operation of a JSON Patch (RFC 6902): add, replace or remove.
type Op struct {
	Op    string          `json:"op"`
	Path  string          `json:"path"`           // JSON Pointer (RFC 6901)
	Value json.RawMessage `json:"value,omitzero"` // of add and replace
}

// Patch applies operations to a JSON document, one after the other, and returns the
// changed document with its members in order of name. Numbers keep their digits.
// An operation that cannot be applied is an error, and nothing is changed. So is JSON
// that no reader of the library takes, such as an object with one name twice; text and
// numbers may be longer than the readers allow, to test what becomes of them.
func Patch(doc []byte, ops ...Op) ([]byte, error) {
	tree, err := parse(doc)
	if err != nil {
		return nil, fmt.Errorf("loadtest: %w", err)
	}
	if tree, err = patchTree(tree, ops); err != nil {
		return nil, err
	}
	return json.Marshal(tree)
}

// parse reads JSON into maps, slices and numbers that keep their digits.
func parse(data []byte) (any, error) {
	l := limits()
	l.Depth, l.Text, l.Number, l.Digits, l.Exponent, l.Names = l.Size, l.Size, l.Size, l.Size, l.Size, l.Size
	if err := strictjson.Check(data, l); err != nil {
		return nil, err
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	var v any
	err := d.Decode(&v)
	return v, err
}

// patchTree applies operations and leaves the tree that it was given as it is.
func patchTree(tree any, ops []Op) (any, error) {
	for i, op := range ops {
		value, err := op.value()
		var path []string
		if err == nil {
			path, err = segments(op.Path)
		}
		if err != nil {
			return nil, fmt.Errorf("loadtest: operation %d: %w", i, err)
		}
		if tree, err = apply(tree, op.Op, path, value); err != nil {
			return nil, fmt.Errorf("loadtest: operation %d, %s %s: %w", i, op.Op, op.Path, err)
		}
	}
	return tree, nil
}

// value returns the value of an operation that has one.
func (op *Op) value() (any, error) {
	switch op.Op {
	case "add", "replace":
		if op.Value == nil {
			return nil, fmt.Errorf("%s without a value", op.Op)
		}
		value, err := parse(op.Value)
		if err != nil {
			return nil, fmt.Errorf("the value of %s %s: %w", op.Op, op.Path, err)
		}
		return value, nil
	case "remove":
		if op.Value != nil {
			return nil, fmt.Errorf("remove with a value; leave it out")
		}
		return nil, nil
	}
	return nil, fmt.Errorf("%.20q is not add, replace or remove", op.Op)
}

// segments splits a pointer.
func segments(pointer string) ([]string, error) {
	if pointer == "" {
		return nil, nil
	}
	if pointer[0] != '/' {
		return nil, fmt.Errorf("pointer %.60q does not begin with a slash", pointer)
	}
	list := strings.Split(pointer[1:], "/")
	for i, s := range list {
		list[i] = strings.ReplaceAll(strings.ReplaceAll(s, "~1", "/"), "~0", "~")
	}
	return list, nil
}

// apply returns a changed copy of what lies on the way to the value; the rest is
// shared with the original.
func apply(at any, op string, path []string, value any) (any, error) {
	if len(path) == 0 {
		if op == "remove" {
			return nil, fmt.Errorf("the whole document cannot be removed")
		}
		return value, nil
	}
	name, last := path[0], len(path) == 1
	adds, removes := last && op == "add", last && op == "remove"
	switch at := at.(type) {
	case map[string]any:
		old, there := at[name]
		if !there && !adds {
			return nil, fmt.Errorf("there is no member %.40q", name)
		}
		at = maps.Clone(at)
		if removes {
			delete(at, name)
			return at, nil
		}
		var err error
		at[name], err = apply(old, op, path[1:], value)
		return at, err
	case []any:
		i, err := strconv.Atoi(name)
		if name == "-" && adds {
			i, err = len(at), nil
		}
		if err != nil || i < 0 || name != "-" && name != strconv.Itoa(i) {
			return nil, fmt.Errorf("%.40q is not an index", name)
		}
		if i > len(at) || i == len(at) && !adds {
			return nil, fmt.Errorf("index %d is beyond the end", i)
		}
		at = slices.Clone(at)
		switch {
		case adds:
			return slices.Insert(at, i, value), nil
		case removes:
			return slices.Delete(at, i, i+1), nil
		}
		at[i], err = apply(at[i], op, path[1:], value)
		return at, err
	}
	return nil, fmt.Errorf("%.40q lies in a value without members", name)
}
