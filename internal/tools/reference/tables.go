package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

// table is one document's figures, ready to be written.
type table struct {
	title string
	about []string
	head  []string
	rows  [][]string
	bases tally
}

func write(b *bytes.Buffer, title, about string, tables []table) {
	heading(b, title)
	b.WriteString(about + "\n\n")
	sum := tally{}
	b.WriteString("How well the rows are known:\n\n" + tallyHead("table"))
	for _, t := range tables {
		b.WriteString(t.bases.row(cell(t.title)))
		for basis, n := range t.bases {
			sum[basis] += n
		}
	}
	b.WriteString(sum.row("**all**"))
	b.WriteString("\n" + basisNote)
	for _, t := range tables {
		fmt.Fprintf(b, "## %s\n\n", text(t.title))
		for _, line := range t.about {
			b.WriteString(text(line) + "\n\n")
		}
		line(b, t.head)
		b.WriteString(strings.Repeat("|---", len(t.head)) + "|\n")
		for _, row := range t.rows {
			line(b, row)
		}
		b.WriteByte('\n')
	}
}

func line(b *bytes.Buffer, cells []string) {
	b.WriteByte('|')
	for _, c := range cells {
		b.WriteString(" " + cell(c) + " |")
	}
	b.WriteByte('\n')
}

func value(v units.Value) string {
	if !v.IsValid() {
		return ""
	}
	return v.String()
}

func dates(from, until moistheat.Date) string {
	var out []string
	if from.IsValid() {
		out = append(out, "from "+from.String())
	}
	if until.IsValid() {
		out = append(out, "until "+until.String())
	}
	return strings.Join(out, ", ")
}

func join(parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, "; ")
}

func cycleTables(b *bytes.Buffer) error {
	var tables []table
	for _, id := range cycle.Tables() {
		t, err := cycle.TableFor(id)
		if err != nil {
			return err
		}
		out := table{title: t.Title() + " (`" + id + "`)", bases: tally{},
			head: []string{"row", "air removal", "load", "temperature", "hold", "drying", "band", "equilibration", "source"}}
		out.about = append(out.about, strings.TrimSpace(t.Document()+" "+t.Edition())+".")
		if t.Note() != "" {
			out.about = append(out.about, t.Note())
		}
		if s := dates(t.Valid()); s != "" {
			out.about = append(out.about, "It applies "+s+".")
		}
		for _, r := range t.Rows() {
			var classes, printed []string
			for _, c := range r.Classes {
				classes = append(classes, string(c))
			}
			for _, q := range r.Temperatures {
				printed = append(printed, q.String())
			}
			air := "any"
			if r.AirRemoval != "" {
				air = strings.ReplaceAll(string(r.AirRemoval), "-", " ")
			}
			load := "any"
			if classes != nil {
				load = strings.Join(classes, ", ")
			}
			hold := value(r.Hold.Value())
			if r.NotApplicable {
				hold = "no such cycle"
			}
			drying := value(r.DryingMin.Value())
			if r.DryingMax.IsValid() {
				drying += " to " + r.DryingMax.String()
			}
			band := value(r.Band.Value())
			if r.BandSource.Document != "" && r.BandSource != r.Source {
				band += " (" + r.BandSource.Basis.String() + ")"
			}
			lag := value(r.Equilibration.Value())
			if r.EquilibrationMax.IsValid() {
				lag += ", in some sterilizers " + r.EquilibrationMax.String()
			}
			if lag != "" && r.EquilibrationSource != (moistheat.Source{}) && r.EquilibrationSource != r.Source {
				lag += " (" + r.EquilibrationSource.Basis.String() + ")"
			}
			out.rows = append(out.rows, []string{r.ID, air, load, strings.Join(printed, " / "), hold, drying, band, lag, join(r.Source.String(), r.Note)})
			out.bases[r.Source.Basis]++
		}
		tables = append(tables, out)
	}
	for _, f := range []string{"cycle/equipment/figures.json", "cycle/indicator/types.json"} {
		t, err := generic(f)
		if err != nil {
			return err
		}
		tables = append(tables, t)
	}
	write(b, "Time-temperature tables and figures of package cycle",
		"The minimum cycle times of each document as it prints them, and the figures of the packages `cycle/equipment` and `cycle/indicator`. A policy chooses which are asked; documents that disagree stay apart.", tables)
	return nil
}

func packagingTables(b *bytes.Buffer) error {
	var tables []table
	add := func(title string, figures []packaging.Figure) {
		out := table{title: title, bases: tally{}, head: []string{"row", "limit", "value", "source"}}
		for _, f := range figures {
			note := f.Note
			if f.OpenEnds > 0 {
				note = join(fmt.Sprintf("open ends: %d", f.OpenEnds), note)
			}
			if f.From.IsValid() {
				note = join(note, "from "+f.From.String())
			}
			if f.Until.IsValid() {
				note = join(note, "until "+f.Until.String())
			}
			out.rows = append(out.rows, []string{f.Row, string(f.Limit), value(f.Value()), join(f.Source.String(), note)})
			out.bases[f.Source.Basis]++
		}
		tables = append(tables, out)
	}
	for _, id := range packaging.FigureNames() {
		f, err := packaging.FiguresFor(id)
		if err != nil {
			return err
		}
		add("`"+id+"`", f.All())
	}
	add("Lumen classes", packaging.LumenFigures())
	write(b, "Figures of package packaging",
		"The limits of each document for packs, seals and their contents, and the definition of the lumen classes. A policy chooses which are asked.", tables)
	return nil
}

func waterTables(b *bytes.Buffer) error {
	var tables []table
	for _, id := range water.LimitNames() {
		l, err := water.LimitsFor(id)
		if err != nil {
			return err
		}
		status, source := l.Status()
		out := table{title: l.Title() + " (`" + id + "`)", bases: tally{}, head: []string{"row", "least", "most", "where", "source"}}
		out.about = append(out.about, l.Source().String()+".")
		if status != "" {
			out.about = append(out.about, "Its limits are "+string(status)+" ("+source.Basis.String()+").")
		}
		if s := dates(l.Valid()); s != "" {
			out.about = append(out.about, "It applies "+s+".")
		}
		for _, r := range l.Rows() {
			var points []string
			for _, p := range r.Points {
				points = append(points, string(p))
			}
			note := r.Note
			if r.As != 0 {
				note = join("as "+r.As.String(), note)
			}
			for _, at := range r.At {
				note = join("at "+at.String(), note)
			}
			if r.Strict {
				note = join("the limit itself is outside", note)
			}
			if r.Unjudged != "" {
				note = join(note, "not judged: "+r.Unjudged)
			}
			out.rows = append(out.rows, []string{r.ID, value(r.Min), value(r.Max), strings.Join(points, ", "), join(r.Source.String(), note)})
			out.bases[r.Source.Basis]++
		}
		tables = append(tables, out)
	}
	stains, err := generic("water/hints/stains.json")
	if err != nil {
		return err
	}
	tables = append(tables, stains)
	write(b, "Limits of package water",
		"The limits of each document for the water of sterilizers and of rinsing, and what stains hint at. A policy chooses which are asked.", tables)
	return nil
}

func loadTables(b *bytes.Buffer) error {
	var tables []table
	for _, f := range []string{"load/data/figures.json", "load/history/data/figures.json"} {
		t, err := generic(f)
		if err != nil {
			return err
		}
		tables = append(tables, t)
	}
	files, err := filepath.Glob("load/policies/*.json")
	if err != nil {
		return err
	}
	for _, f := range files {
		t, err := generic(f)
		if err != nil {
			return err
		}
		p, err := load.PolicyFor(strings.TrimSuffix(filepath.Base(f), ".json"))
		if err != nil {
			return err
		}
		t.title = "Policy `" + p.Name() + "`"
		t.about = append([]string{"It follows " + p.Title() + "."}, t.about...)
		if open := p.LeavesOpen(); len(open) > 0 {
			t.about = append(t.about, "It leaves open: "+strings.Join(open, " "))
		}
		tables = append(tables, t)
	}
	write(b, "Figures of package load, and what the policies ask",
		"The figures of the rules of this package, and the limits, schedules, times to keep and times of use that each policy states itself. What a policy takes from its base is listed there.", tables)
	return nil
}

// generic makes a table of a file of figures: a row for everything that carries a
// source, with what it says in words.
func generic(file string) (table, error) {
	out := table{title: "`" + file[strings.IndexByte(file, '/')+1:] + "`", bases: tally{}, head: []string{"row", "figure", "source"}}
	data, err := os.ReadFile(file)
	if err != nil {
		return out, err
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	v, err := read(d)
	if err != nil {
		return out, err
	}
	return out, out.add(v, "")
}

// member is a name of an object with its value, in the order of the file.
type member struct {
	name  string
	value any
}

// read reads a value with the members of objects in their order.
func read(d *json.Decoder) (any, error) {
	tok, err := d.Token()
	if err != nil {
		return nil, err
	}
	switch tok {
	case json.Delim('{'):
		var out []member
		for d.More() {
			name, err := d.Token()
			if err != nil {
				return nil, err
			}
			v, err := read(d)
			if err != nil {
				return nil, err
			}
			out = append(out, member{name.(string), v})
		}
		_, err = d.Token()
		return out, err
	case json.Delim('['):
		out := []any{}
		for d.More() {
			v, err := read(d)
			if err != nil {
				return nil, err
			}
			out = append(out, v)
		}
		_, err = d.Token()
		return out, err
	}
	return tok, nil
}

func (t *table) add(v any, at string) error {
	switch v := v.(type) {
	case []any:
		for i, e := range v {
			if err := t.add(e, fmt.Sprintf("%s %d", at, i+1)); err != nil {
				return err
			}
		}
	case []member:
		var sources []moistheat.Source
		var says []string
		for _, m := range v {
			switch m.name {
			case "source", "sources":
				list, err := sourcesIn(m.value)
				if err != nil {
					return err
				}
				sources = append(sources, list...)
			default:
				if s := words(m.value); s != "" {
					says = append(says, m.name+" "+s)
				}
			}
		}
		if sources == nil {
			for _, m := range v {
				if m.name == "documents" || m.name == "leavesOpen" || m.name == "rules" || m.name == "decision" {
					continue // told elsewhere
				}
				if err := t.add(m.value, strings.TrimSpace(at+" "+m.name)); err != nil {
					return err
				}
			}
			return nil
		}
		figure := strings.Join(says, ", ")
		figure = strings.TrimPrefix(figure, "value ")
		var texts []string
		for _, s := range sources {
			texts = append(texts, s.String())
		}
		t.rows = append(t.rows, []string{at, figure, strings.Join(texts, "; ")})
		t.bases[sources[0].Basis]++
		for _, m := range v { // rows within a row, such as the least times of an indicator
			if list, ok := m.value.([]any); ok && m.name != "sources" {
				if err := t.add(list, at+" "+m.name); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func sourcesIn(v any) ([]moistheat.Source, error) {
	if list, ok := v.([]any); ok {
		var out []moistheat.Source
		for _, e := range list {
			s, err := sourcesIn(e)
			if err != nil {
				return nil, err
			}
			out = append(out, s...)
		}
		return out, nil
	}
	var s moistheat.Source
	members, _ := v.([]member)
	for _, m := range members {
		word, _ := m.value.(string)
		switch m.name {
		case "document":
			s.Document = word
		case "edition":
			s.Edition = word
		case "locator":
			s.Locator = word
		case "basis":
			if err := s.Basis.UnmarshalText([]byte(word)); err != nil {
				return nil, err
			}
		}
	}
	return []moistheat.Source{s}, nil
}

// words says a value in a line; of lists of objects, which are rows of their own, it
// says nothing.
func words(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case json.Number:
		return v.String()
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case []any:
		var out []string
		for _, e := range v {
			if _, isObject := e.([]member); isObject {
				return ""
			}
			out = append(out, words(e))
		}
		return strings.Join(out, ", ")
	case []member:
		if len(v) == 2 && v[0].name == "value" && v[1].name == "unit" {
			return words(v[0].value) + " " + words(v[1].value)
		}
		var out []string
		for _, m := range v {
			out = append(out, m.name+" "+words(m.value))
		}
		return strings.Join(out, ", ")
	}
	return ""
}
