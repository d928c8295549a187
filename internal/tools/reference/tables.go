package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/ordered"
	"example.com/moistheat/internal/tools/quit"
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

func newTable(title string, head ...string) *table {
	return &table{title: title, head: head, bases: tally{}}
}

// say adds a sentence, but none where what it is about is not there.
func (t *table) say(before, about, after string) {
	if about != "" {
		t.about = append(t.about, before+about+after)
	}
}

func (t *table) row(basis moistheat.Basis, cells ...string) {
	t.rows = append(t.rows, cells)
	t.bases[basis]++
}

func write(title, about string, tables ...*table) string {
	b := heading(title)
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
		b.WriteString(line(t.head) + strings.Repeat("|---", len(t.head)) + "|\n")
		for _, row := range t.rows {
			b.WriteString(line(row))
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func line(cells []string) string {
	out := "|"
	for _, c := range cells {
		out += " " + cell(c) + " |"
	}
	return out + "\n"
}

func value(v units.Value) string {
	if !v.IsValid() {
		return ""
	}
	return v.String()
}

func dates(from, until moistheat.Date, sep string) string {
	var out []string
	if from.IsValid() {
		out = append(out, "from "+from.String())
	}
	if until.IsValid() {
		out = append(out, "until "+until.String())
	}
	return strings.Join(out, sep)
}

// join joins what is not empty.
func join(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), "; ")
}

// list joins names or figures.
func list[T any](all []T, sep string) string {
	var out []string
	for _, v := range all {
		out = append(out, fmt.Sprint(v))
	}
	return strings.Join(out, sep)
}

func cycleTables() string {
	var tables []*table
	for _, id := range cycle.Tables() {
		t := quit.Or(cycle.TableFor(id))
		info := t.Info()
		out := newTable(info.Title+" (`"+id+"`)",
			"row", "air removal", "load", "temperature", "hold", "drying", "band", "equilibration", "source")
		out.say("", strings.TrimSpace(info.Document+" "+info.Edition), ".")
		out.say("", info.Note, "")
		out.say("It applies ", dates(info.From, info.Until, ", "), ".")
		for _, r := range t.Rows() {
			out.row(r.Source.Basis, cycleRow(r)...)
		}
		tables = append(tables, out)
	}
	tables = append(tables, generic("cycle/equipment/figures.json"), generic("cycle/indicator/types.json"))
	return write("Time-temperature tables and figures of package cycle",
		"The minimum cycle times of each document as it prints them, and the figures of the packages "+
			"`cycle/equipment` and `cycle/indicator`. A policy chooses which are asked; documents that disagree stay apart.",
		tables...)
}

func cycleRow(r cycle.Row) []string {
	hold := value(r.Hold.Value())
	if r.NotApplicable {
		hold = "no such cycle"
	}
	drying := value(r.DryingMin.Value())
	if r.DryingMax.IsValid() {
		drying += " to " + r.DryingMax.String()
	}
	band := value(r.Band.Value()) + other(r.BandSource, r.Source)
	lag := value(r.Equilibration.Value())
	if r.EquilibrationMax.IsValid() {
		lag += ", in some sterilizers " + r.EquilibrationMax.String()
	}
	if lag != "" {
		lag += other(r.EquilibrationSource, r.Source)
	}
	air := cmp.Or(strings.ReplaceAll(string(r.AirRemoval), "-", " "), "any")
	return []string{r.ID, air, cmp.Or(list(r.Classes, ", "), "any"), list(r.Temperatures, " / "), hold, drying, band, lag,
		join(r.Source.String(), r.Note)}
}

// other returns the basis of a figure whose source is not that of its row.
func other(s, row moistheat.Source) string {
	if s == (moistheat.Source{}) || s == row {
		return ""
	}
	return " (" + s.Basis.String() + ")"
}

func packagingTables() string {
	var tables []*table
	add := func(title string, figures []packaging.Figure) {
		out := newTable(title, "row", "limit", "value", "source")
		for _, f := range figures {
			ends := ""
			if f.OpenEnds > 0 {
				ends = fmt.Sprintf("open ends: %d", f.OpenEnds)
			}
			source := join(f.Source.String(), ends, f.Note, dates(f.From, f.Until, ", "))
			out.row(f.Source.Basis, f.Row, string(f.Limit), value(f.Value()), source)
		}
		tables = append(tables, out)
	}
	for _, id := range packaging.FigureNames() {
		add("`"+id+"`", quit.Or(packaging.FiguresFor(id)).All())
	}
	add("Lumen classes", packaging.LumenFigures())
	return write("Figures of package packaging",
		"The limits of each document for packs, seals and their contents, and the definition of the lumen classes. "+
			"A policy chooses which are asked.", tables...)
}

func waterTables() string {
	var tables []*table
	for _, id := range water.LimitNames() {
		l := quit.Or(water.LimitsFor(id))
		info := l.Info()
		out := newTable(info.Title+" (`"+id+"`)", "row", "least", "most", "where", "source")
		out.say("", info.Source.String(), ".")
		out.say("Its limits are ", string(info.Status), " ("+info.StatusSource.Basis.String()+").")
		out.say("It applies ", dates(info.From, info.Until, ", "), ".")
		for _, r := range l.Rows() {
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
			out.row(r.Source.Basis, r.ID, value(r.Min), value(r.Max), list(r.Points, ", "), join(r.Source.String(), note))
		}
		tables = append(tables, out)
	}
	tables = append(tables, generic("water/hints/stains.json"))
	return write("Limits of package water",
		"The limits of each document for the water of sterilizers and of rinsing, and what stains hint at. "+
			"A policy chooses which are asked.", tables...)
}

func loadTables() string {
	tables := []*table{generic("load/data/figures.json"), generic("load/cleaning/figures.json"),
		generic("load/history/data/figures.json")}
	for _, f := range quit.Or(filepath.Glob("load/policies/*.json")) {
		t := generic(f)
		p := quit.Or(load.PolicyFor(strings.TrimSuffix(filepath.Base(f), ".json")))
		t.title = "Policy `" + p.Name() + "`"
		t.say("It follows ", p.Title(), ".")
		t.say("It leaves open: ", strings.Join(p.LeavesOpen(), " "), "")
		tables = append(tables, t)
	}
	return write("Figures of package load, and what the policies ask",
		"The figures of the rules of this package, and the limits, schedules, times to keep and times of use that each "+
			"policy states itself. What a policy takes from its base is listed there.", tables...)
}

// generic makes a table of a file of figures: a row for everything that carries a
// source, with what it says in words.
func generic(file string) *table {
	out := newTable("`"+file[strings.IndexByte(file, '/')+1:]+"`", "row", "figure", "source")
	out.add(quit.Or(ordered.Parse(quit.Or(os.ReadFile(file)))), "")
	return out
}

func (t *table) add(v *ordered.Node, at string) {
	if v.Kind == '[' {
		for i, e := range v.Items {
			t.add(e, fmt.Sprintf("%s %d", at, i+1))
		}
		return
	}
	var sources []moistheat.Source
	var says []string
	for i, m := range v.Items {
		switch name, said := v.Names[i], words(m); {
		case name == "source":
			sources = append(sources, decode[moistheat.Source](m))
		case name == "sources":
			sources = append(sources, decode[[]moistheat.Source](m)...)
		case said != "":
			says = append(says, name+" "+said)
		}
	}
	if sources != nil {
		t.row(sources[0].Basis, at, strings.TrimPrefix(strings.Join(says, ", "), "value "), list(sources, "; "))
	}
	toldElsewhere := []string{"documents", "leavesOpen", "rules", "decision"}
	for i, m := range v.Items {
		name := v.Names[i]
		switch {
		case sources == nil && !slices.Contains(toldElsewhere, name):
			t.add(m, strings.TrimSpace(at+" "+name))
		case sources != nil && name != "sources" && m.Kind == '[':
			t.add(m, at+" "+name) // rows within a row, such as the least times of an indicator
		}
	}
}

// words says a value in a line; of lists of objects, which are rows of their own, it
// says nothing.
func words(v *ordered.Node) string {
	var out []string
	switch v.Kind {
	case '[':
		for _, e := range v.Items {
			if e.Kind == '{' {
				return ""
			}
			out = append(out, words(e))
		}
	case '{':
		if slices.Equal(v.Names, []string{"value", "unit"}) {
			return words(v.Items[0]) + " " + words(v.Items[1])
		}
		for i, m := range v.Items {
			out = append(out, v.Names[i]+" "+words(m))
		}
	default:
		switch s := decode[any](v).(type) {
		case string:
			return s
		case bool:
			return map[bool]string{true: "yes", false: "no"}[s]
		case float64:
			return string(v.Text)
		}
	}
	return strings.Join(out, ", ")
}

func decode[T any](n *ordered.Node) (v T) {
	quit.On(json.Unmarshal(n.Text, &v))
	return v
}
