// Extremes writes documents with extreme values that readers accept, one a line: in each
// place of a load record, an event or a stored pack where a number, a quantity, a day or
// an instant may stand, one document for each extreme that is taken there. What a check
// says of them must be the same bytes on every platform.
//
//	go run ./internal/tools/extremes > extremes.ndjson
package main

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strconv"

	"example.com/moistheat/internal/tools/quit"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
)

var (
	instants = texts("0001-01-01T00:00:00Z", "0001-01-01T12:00:00+14:00", "9999-12-31T23:59:59Z",
		"9999-12-31T23:59:59-12:00",
		"2024-02-29T23:59:59.999999999Z", "2026-03-29T02:30:00+01:00", "1969-12-31T23:59:59Z", "2038-01-19T03:14:08Z")
	days    = texts("0001-01-01", "9999-12-31", "2024-02-29", "2020-12-31", "2021-01-03", "1970-01-01")
	numbers = []any{raw("0"), raw("-1"), raw("1"), raw("2147483647"), raw("2147483648"), raw("4294967296"),
		raw("9007199254740993"), raw("9223372036854775807"), raw("999999999999999999e18"),
		raw("-999999999999999999e18"),
		raw("1e17"), raw("1e-18"), raw("0.1"), raw("0.30000000000000004"),
		raw("133.99999999999999"), raw("134.00000000000001")}
)

func raw(s string) json.RawMessage { return json.RawMessage(s) }

func texts(all ...string) (out []any) {
	for _, s := range all {
		out = append(out, s)
	}
	return out
}

func main() {
	c, err := loadtest.Conformance()
	quit.On(err)
	w := &writer{out: bufio.NewWriter(os.Stdout), seen: map[string]bool{}}
	var docs [][]byte
	for _, v := range c.Vectors() {
		docs = append(docs, quit.Or(v.Document()))
	}
	slices.SortFunc(docs, func(a, b []byte) int { return cmp.Or(len(a)-len(b), bytes.Compare(a, b)) })
	for _, doc := range docs { // small ones first: each place is tried in one only
		var tree any
		quit.On(json.Unmarshal(doc, &tree))
		lines, many := tree.([]any)
		if !many {
			lines = []any{tree}
		}
		for _, line := range lines {
			if o, ok := line.(map[string]any); ok {
				w.document(o)
			}
		}
	}
	quit.On(w.out.Flush())
	if w.written < 1000 {
		quit.On(errors.New("there are few places for extremes"))
	}
	fmt.Fprintf(os.Stderr, "%d documents with an extreme, in %d places\n", w.written, len(w.seen))
}

type writer struct {
	out     *bufio.Writer
	seen    map[string]bool // places, elements of a list being one
	written int
}

func (w *writer) document(doc map[string]any) {
	format, _ := doc["format"].(string)
	w.value(doc, format, doc, func(any) {})
}

// value tries extremes at a place and below; set sets what stands there.
func (w *writer) value(doc map[string]any, path string, v any, set func(any)) {
	switch v := v.(type) {
	case map[string]any:
		for _, k := range slices.Sorted(maps.Keys(v)) {
			w.value(doc, path+"/"+k, v[k], func(x any) { v[k] = x })
		}
	case []any:
		for i := range v {
			at := path + "/*"
			if i > 0 && i == len(v)-1 {
				at = path + "/-" // the last sample is as telling as the first
			}
			w.value(doc, at, v[i], func(x any) { v[i] = x })
		}
	case float64:
		w.try(doc, path, numbers, v, set)
	case string:
		switch {
		case instant.MatchString(v):
			w.try(doc, path, instants, v, set)
		case day.MatchString(v):
			w.try(doc, path, days, v, set)
		}
	}
}

var (
	instant = regexp.MustCompile(`^\d{4}-\d\d-\d\dT`)
	day     = regexp.MustCompile(`^\d{4}-\d\d-\d\d$`)
)

// try writes the document with each extreme at a place that a reader takes.
func (w *writer) try(doc map[string]any, path string, extremes []any, was any, set func(any)) {
	if w.seen[path] {
		return
	}
	w.seen[path] = true
	defer set(was)
	key := "id"
	if doc["pack"] != nil {
		key = "pack"
	}
	defer func(was any) { doc[key] = was }(doc[key])
	for _, x := range extremes {
		set(x)
		doc[key] = "x" + strconv.Itoa(w.written)
		line, err := json.Marshal(doc)
		quit.On(err)
		for _, err := range history.Entries(bytes.NewReader(line)) {
			if err == nil {
				_, err = w.out.Write(append(line, '\n'))
				quit.On(err)
				w.written++
			}
		}
	}
}
