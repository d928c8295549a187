package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle/drawing"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/schema"
)

// forged is what stands at the beginning of a line if a text could put it there.
const forged = "FORGED"

// hostile clears a screen, turns the direction of text, has no width, is no text, begins
// lines and ends what XML and HTML quote, and is long enough to be wrapped anywhere.
var hostile = "\x1b[2J\x9b\u202e\u2066\u200b\ufeff\u0085\u2028\x07\x00\r\n\n# " + forged + "\n" +
	forged + ": RELEASE, P1\n\"'&<script>]]>" + strings.Repeat(" "+forged, 15) + " "

// sentences are the fields that hold text for people; other fields hold data as it came in.
var sentences = []string{
	"history.SuspectLoad.Because", "history.SuspectLoad.Amended", "history.Status.Because", "history.Status.Amended",
	"history.Due.Why", "history.Procedure.Cause", "history.Step.What", "history.Step.Then", "history.Line.What",
}

// data are the methods that return data as it came in.
var data = []string{"Sterilizers", "Stale", "GoString", "Name"}

// Text that came in with a document goes out harmless: it shows, and it begins no line. Of
// each document every string is changed, in all of them at once that take any text, and one
// at a time where a text is refused; what is said then is checked.
func TestTextIsHarmless(t *testing.T) {
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	step := 512
	if os.Getenv("CI") != "" && !testing.Short() {
		step = 8
	}
	h := &harmless{T: t, free: map[string]bool{}, told: map[string]bool{}}
	for i, v := range c.Vectors() {
		if i%step == 0 {
			h.vector(v, i/step%2 == 0)
		}
	}
	h.week()
	h.policies(c)
	h.functions()
	t.Logf("%d documents of which %d were refused, %d places; %d texts, %d errors, of which %d have a place",
		h.documents, h.refused, len(h.free), h.texts, h.errors, h.places)
	assert.Less(t, h.refused, h.documents/10)
	assert.Greater(t, h.texts, 10_000)
	assert.Greater(t, h.errors, 500)
	assert.Greater(t, h.places, 300)
}

type harmless struct {
	*testing.T
	free                                      map[string]bool // whether a place takes any text
	documents, refused, texts, errors, places int
	told                                      map[string]bool
}

// said fails, once for each kind of text.
func (h *harmless) said(ok bool, from, what string, args ...any) {
	if kind := from[strings.LastIndexByte(from, ' ')+1:]; !ok && !h.told[kind] {
		h.told[kind] = true
		h.Errorf(from+": "+what, args...)
	}
}

// text looks at a text, which may have lines where it is a report.
func (h *harmless) text(from, s string, lines bool) {
	h.texts++
	for line := range strings.Lines(s) {
		h.said(!strings.HasPrefix(line, forged), from, "a forged line in %.300q", s)
	}
	if lines {
		s = strings.ReplaceAll(s, "\n", "")
	}
	h.said(utf8.ValidString(s), from, "no text: %.300q", s)
	for _, r := range s {
		if !unicode.IsGraphic(r) || unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r) || r == 0x2028 {
			h.said(false, from, "%U in %.300q", r, s)
			return
		}
	}
}

// error looks at an error, and at what it says without values of the document.
func (h *harmless) error(from string, err error) {
	h.errors++
	h.text(from+": error", err.Error(), false)
	if e := (*moistheat.DocumentError)(nil); errors.As(err, &e) {
		h.places++
		h.said(place.MatchString(e.Place()), from, "%q may hold something of the document", e.Place())
	}
}

// place is all that an error says without values of a document.
var place = regexp.MustCompile(`^(moistheat\.[a-z-]+/\d: )?(the document|(line \d+)?(, )?(column \d+)?): ` +
	`(not well-formed|not the agreed shape|over a limit|cannot be meant|unknown)( \(byte \d+\))?$`)

// vector gives a vector's document with other text.
func (h *harmless) vector(v *loadtest.Vector, before bool) {
	doc, err := v.Document()
	require.NoError(h, err)
	var tree any
	require.NoError(h, json.Unmarshal(doc, &tree))
	judge := func(doc []byte) error { _, err := v.Judge(doc, nil); return err }
	doc = h.changed(string(v.Subject), tree, before, judge)
	j, err := v.Judge(doc, nil)
	h.documents++
	if err != nil {
		h.refused++
		h.error(v.ID, err)
		return
	}
	for _, f := range j.Findings {
		rule, _ := j.Policy.Rule(f.Rule)
		h.text(v.ID+" "+f.Rule, rule.Message(f), false)
	}
	if j.Report != nil {
		h.report(v.ID, j.Report)
	}
	if v.Subject == loadtest.SubjectHistory {
		h.history(v.ID, j.Policy, doc, v.At)
	}
	if r, err := load.Decode(doc); err == nil && r.Cycle != nil && r.Cycle.Trace != nil && j.Report != nil {
		h.drawing(v.ID, r, j.Report)
	}
}

func (h *harmless) report(from string, r *load.Report) {
	h.text(from+": Text", r.Text(), true)
	h.methods(from, reflect.ValueOf(r))
	js, err := r.JSON()
	require.NoError(h, err)
	h.said(json.Valid(js), from, "no JSON")
}

func (h *harmless) drawing(from string, r *load.Record, report *load.Report) {
	var svg strings.Builder
	if err := drawing.SVG(&svg, r.Cycle.Trace, report.Analysis); err != nil {
		h.error(from, err)
		return
	}
	h.text(from+": SVG", svg.String(), true)
	h.said(!strings.Contains(svg.String(), "<script"), from, "a script in a drawing")
	for d := xml.NewDecoder(strings.NewReader(svg.String())); ; {
		if _, err := d.Token(); err != nil {
			h.said(err == io.EOF, from, "%v", err)
			return
		}
	}
}

// history asks a history everything.
func (h *harmless) history(from string, p *load.Policy, doc []byte, at time.Time) {
	var lines []json.RawMessage
	require.NoError(h, json.Unmarshal(doc, &lines))
	own := history.New(p)
	for e, err := range history.Entries(bytes.NewReader(bytes.Join(raw(lines), []byte("\n")))) {
		require.NoError(h, err)
		own.AddEntry(e)
		if e.Record != nil && len(lines) < 10 {
			h.report(from, own.Check(e.Record))
		}
	}
	h.asked(from, own, at)
}

func raw(lines []json.RawMessage) (out [][]byte) {
	for _, l := range lines {
		out = append(out, l)
	}
	return out
}

func (h *harmless) asked(from string, own *history.History, at time.Time) {
	h.methods(from, reflect.ValueOf(own))
	for _, d := range own.Due(at) {
		h.methods(from+": due", reflect.ValueOf(d))
	}
	for _, l := range own.Lines() {
		h.methods(from+": lines", reflect.ValueOf(l))
	}
	for _, f := range own.Findings(at) {
		h.text(from+" "+f.Rule, own.Message(f), false)
	}
}

// week gives the bad week, line by line, with other text, and amendments that take lines
// of it back.
func (h *harmless) week() {
	week, err := os.ReadFile("../../../examples/badweek/week.ndjson")
	require.NoError(h, err)
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(h, err)
	own := history.New(p)
	at := time.Date(2026, 5, 15, 18, 0, 0, 0, time.FixedZone("", -7*3600))
	read := func(doc []byte) error {
		for e, err := range history.Entries(bytes.NewReader(doc)) {
			if err != nil {
				return err
			}
			own.AddEntry(e)
		}
		return nil
	}
	var events []string
	for line := range bytes.Lines(week) {
		var tree map[string]any
		require.NoError(h, json.Unmarshal(line, &tree))
		what, _ := tree["format"].(string)
		doc := h.changed(what, tree, true, func(doc []byte) error {
			for _, err := range history.Entries(bytes.NewReader(doc)) {
				return err
			}
			return io.EOF
		})
		h.documents++
		require.NoError(h, read(doc))
		for e := range history.Entries(bytes.NewReader(doc)) {
			if e.Event != nil {
				events = append(events, e.Digest())
			}
		}
	}
	h.asked("the week", own, at)
	for _, digest := range events {
		doc, err := json.Marshal(history.Amendment{Format: history.AmendmentFormat, Time: at, By: hostile, Why: hostile,
			Lines: []string{digest}, Takes: []string{""}})
		require.NoError(h, err)
		require.NoError(h, read(doc))
		a, err := history.DecodeAmendment(doc)
		require.NoError(h, err)
		h.methods("amendment", reflect.ValueOf(a))
	}
	h.asked("the week, amended", own, at)
}

// policies gives facilities' own policies with other text.
func (h *harmless) policies(c *loadtest.Corpus) {
	for name, doc := range c.Policies() {
		var tree any
		require.NoError(h, json.Unmarshal(doc, &tree))
		parsed := func(doc []byte) error { _, err := load.ParsePolicy(doc); return err }
		p, err := load.ParsePolicy(h.changed("policy", tree, true, parsed))
		h.documents++
		if err != nil {
			h.refused++
			h.error(name, err)
			continue
		}
		for _, r := range []*load.Record{loadtest.Pouches(), loadtest.Water(), loadtest.Implant()} {
			report := load.Explain(r, p)
			h.report(name, report)
			for _, f := range report.Findings {
				h.text(name, report.Message(f), false)
			}
		}
	}
}

// functions gives text to all functions that take nothing else.
func (h *harmless) functions() {
	for _, kind := range schema.Kinds() {
		for _, doc := range []string{hostile, `{"` + forged + `":1}`, quoted(hostile), `{` + quoted(hostile) + `:1}`} {
			found, err := schema.Validate(kind, []byte(doc))
			if err != nil {
				h.error("schema.Validate", err)
			}
			rules := schema.Rules()
			for _, f := range found {
				at := slices.IndexFunc(rules, func(r moistheat.Rule) bool { return r.ID == f.Rule })
				h.text("schema.Validate", rules[at].Message(f), false)
			}
		}
	}
	for _, f := range called() {
		fn := reflect.ValueOf(f.fn)
		t := fn.Type()
		_, name, _ := strings.Cut(f.name, ".")
		if t.IsVariadic() || t.NumIn() == 0 || strings.HasPrefix(name, "Must") || strings.HasPrefix(f.name, "loadtest.") {
			continue
		}
		q := quoted(hostile)
		for _, text := range []string{hostile, q, `{"value":1,"unit":` + q + `}`, `{` + q + `:1}`, "1 " + hostile} {
			last, ok := textOf(t.In(t.NumIn()-1), text)
			if !ok {
				continue
			}
			args := make([]reflect.Value, t.NumIn())
			for i := range args {
				args[i] = reflect.Zero(t.In(i))
				if t.In(i).Kind() == reflect.Pointer {
					args[i] = reflect.New(t.In(i).Elem())
				}
			}
			args[len(args)-1] = last
			for _, out := range fn.Call(args) {
				if err, ok := out.Interface().(error); ok && err != nil {
					h.error(f.name, err)
				}
			}
		}
	}
}

func quoted(s string) string {
	b, _ := json.Marshal(s)
	return string(b)
}

func textOf(t reflect.Type, s string) (reflect.Value, bool) {
	switch t {
	case reflect.TypeFor[string](), reflect.TypeFor[[]byte](), reflect.TypeFor[json.RawMessage]():
		return reflect.ValueOf(s).Convert(t), true
	case reflect.TypeFor[io.Reader]():
		return reflect.ValueOf(io.Reader(strings.NewReader(s))), true
	}
	return reflect.Value{}, false
}

// changed returns a document in which every string that may be any text is hostile. What
// is said of the others, and of an unknown member, is checked.
func (h *harmless) changed(kind string, tree any, before bool, read func([]byte) error) []byte {
	other := func(s string) string {
		if before {
			return hostile + s
		}
		return s + hostile
	}
	write := func() []byte {
		doc, err := json.Marshal(tree)
		require.NoError(h, err)
		return doc
	}
	eachString(tree, kind, func(path string, get string, set func(string)) {
		if _, known := h.free[path]; known {
			return
		}
		set(other(get))
		err := read(write())
		if h.free[path] = err == nil; err != nil {
			h.error(path, err)
		}
		set(get)
	}, func(path string, o map[string]any) {
		if _, known := h.free[path+"/"]; known {
			return
		}
		h.free[path+"/"] = false
		o[hostile] = hostile
		if err := read(write()); err != nil {
			h.error(path+"/", err)
		}
		delete(o, hostile)
	})
	eachString(tree, kind, func(path string, get string, set func(string)) {
		if h.free[path] {
			set(other(get))
		}
	}, func(string, map[string]any) {})
	return write()
}

// eachString calls text for each string and object for each object below v. Elements of
// one list have one path.
func eachString(v any, path string, text func(path, s string, set func(string)),
	object func(path string, o map[string]any)) {
	switch v := v.(type) {
	case map[string]any:
		if format, ok := v["format"].(string); ok {
			path = format
		}
		object(path, v)
		for k, e := range v {
			if s, ok := e.(string); ok {
				text(path+"/"+k, s, func(s string) { v[k] = s })
			} else {
				eachString(e, path+"/"+k, text, object)
			}
		}
	case []any:
		for i, e := range v {
			if s, ok := e.(string); ok {
				text(path+"/*", s, func(s string) { v[i] = s })
			} else {
				eachString(e, path+"/*", text, object)
			}
		}
	}
}

// methods looks at all text for people that can be had of a value without arguments.
func (h *harmless) methods(from string, v reflect.Value) { h.into(from, v, 0) }

func (h *harmless) into(from string, v reflect.Value, depth int) {
	if depth > 6 || !v.IsValid() || strings.HasSuffix(v.Type().PkgPath(), "/units") { // a quantity holds no text
		return
	}
	if v.Kind() == reflect.Struct && !v.CanAddr() { // methods of pointers, too
		p := reflect.New(v.Type())
		p.Elem().Set(v)
		v = p.Elem()
	}
	m := v
	if v.Kind() == reflect.Struct {
		m = v.Addr()
	}
	if base := v.Type(); strings.HasPrefix(base.PkgPath(), "example.com/moistheat") || base.Kind() == reflect.Pointer {
		for i := range m.NumMethod() {
			name, t := m.Type().Method(i).Name, m.Method(i).Type()
			if t.NumIn() > 0 || t.NumOut() != 1 || slices.Contains(data, name) || m.Kind() == reflect.Pointer && m.IsNil() {
				continue
			}
			switch out := m.Method(i).Call(nil)[0]; {
			case out.Type() == reflect.TypeFor[string]():
				h.text(from+" "+m.Type().String()+"."+name, out.String(), m.Type() == reflect.TypeFor[*load.Report]())
			case out.Kind() == reflect.Slice && depth < 3:
				h.into(from+"."+name, out, depth+1)
			}
		}
	}
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() && v.Elem().Kind() == reflect.Struct {
			h.into(from, v.Elem(), depth+1)
		}
	case reflect.Slice:
		for i := range min(v.Len(), 200) {
			if e := v.Index(i); e.Kind() == reflect.String {
				if slices.Contains(sentences, from[strings.LastIndexByte(from, ' ')+1:]) {
					h.text(from, e.String(), false)
				}
			} else {
				h.into(from, e, depth+1)
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			switch f := v.Type().Field(i); {
			case !f.IsExported():
			case f.Type.Kind() == reflect.String && slices.Contains(sentences, v.Type().String()+"."+f.Name):
				h.text(fmt.Sprint(from, " ", v.Type(), ".", f.Name), v.Field(i).String(), false)
			case f.Type.Kind() != reflect.String:
				h.into(fmt.Sprint(from, " ", v.Type(), ".", f.Name), v.Field(i), depth+1)
			}
		}
	}
}
