// Measure prints how large and how tangled the module is.
//
//	go run ./internal/tools/measure [-lines] [-surface] [-long] [-complex] [-wide] [-floors] [-func NAME] [DIR]
//
// Without a flag it prints every part. DIR is a folder of the module, the current one
// by default, so that an older version can be measured with this program.
//
// A line of Go counts unless it is blank or a comment from its first character on;
// tests do not count, and generated files count apart. All files that end in .go
// count, those of nested modules and of testdata too.
package main

import (
	"cmp"
	"flag"
	"fmt"
	"io"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"example.com/moistheat/internal/tools/quit"
	"example.com/moistheat/internal/tools/surface"
)

const (
	longest = 100 // lines of a function
	widest  = 120 // columns of a line, a tab counted as one
	hardest = 20  // cyclomatic complexity of a function
)

func main() {
	var parts [6]*bool
	for i, p := range [...][2]string{
		{"lines", "lines of Go by package, and of embedded data"},
		{"surface", "exported names by package"},
		{"long", "functions that are too long"},
		{"complex", "functions with a high cyclomatic complexity, ten at least"},
		{"wide", "lines that are too wide"},
		{"floors", "imports that run up the floors"},
	} {
		parts[i] = flag.Bool(p[0], false, p[1])
	}
	name := flag.String("func", "", "print the complexity of the functions of this name")
	flag.Parse()
	if all := *name == "" && !slices.ContainsFunc(parts[:], func(b *bool) bool { return *b }); all {
		for _, b := range parts {
			*b = true
		}
	}
	m := quit.Or(measure(cmp.Or(flag.Arg(0), ".")))
	for i, print := range [...]func(io.Writer){
		m.printLines, m.printSurface, m.printLong, m.printComplex, m.printWide, m.printFloors,
	} {
		if *parts[i] {
			print(os.Stdout)
		}
	}
	for _, f := range m.functions {
		if base := path.Base(f.name); *name != "" && (base == *name || strings.HasSuffix(base, "."+*name)) {
			fmt.Printf("%4d  %s (%d lines)\n", f.complexity, f, f.lines)
		}
	}
}

// A module is what there is to measure.
type module struct {
	files     []file
	functions []function
	packages  []*surface.Package
	data      map[string]int // lines of embedded files by folder and extension
}

// measure reads the module that holds dir.
func measure(dir string) (*module, error) {
	root, err := surface.Root(dir)
	if err != nil {
		return nil, err
	}
	m := &module{data: map[string]int{}}
	if m.packages, err = surface.Load(root); err != nil {
		return nil, err
	}
	if m.files, m.functions, err = readFiles(root); err != nil {
		return nil, err
	}
	for _, p := range m.packages {
		for _, name := range p.Embeds {
			data, err := os.ReadFile(filepath.Join(root, p.Rel, name))
			if err != nil {
				return nil, err
			}
			m.data[path.Join(p.Rel, path.Dir(name), "*"+path.Ext(name))] += count(data)
		}
	}
	return m, nil
}

func (m *module) printLines(w io.Writer) {
	const hand, generated, tests = 0, 1, 2
	var all [3]int
	by := map[string][3]int{}
	ships := 0
	for _, f := range m.files {
		sort := hand
		switch {
		case f.test():
			sort = tests
		case f.generated:
			sort = generated
		case f.ships():
			ships += f.lines
		}
		n := by[f.folder()]
		n[sort] += f.lines
		by[f.folder()] = n
		all[sort] += f.lines
	}
	fmt.Fprintf(w, "lines of Go, not blank, no comment\n%7d written by hand outside tests\n", all[hand])
	fmt.Fprintf(w, "%7d   of these ship, %d are tools, examples and test data\n", ships, all[hand]-ships)
	fmt.Fprintf(w, "%7d generated\n%7d of tests\n\n  by hand generated   tests\n", all[generated], all[tests])
	for _, folder := range slices.Sorted(maps.Keys(by)) {
		fmt.Fprintf(w, "%9d %9d %7d  %s\n", by[folder][0], by[folder][1], by[folder][2], folder)
	}
	fmt.Fprintln(w, "\nlines of embedded data, not blank")
	for _, folder := range slices.Sorted(maps.Keys(m.data)) {
		fmt.Fprintf(w, "%9d %s\n", m.data[folder], folder)
	}
}

func (m *module) printSurface(w io.Writer) {
	fmt.Fprintln(w, "\nexported  types functions methods  total  |  promoted methods, constants, variables, struct fields")
	row := func(name string, c counts) {
		fmt.Fprintf(w, "%15d %9d %7d %6d  | %4d %4d %4d %4d  %s\n",
			c.Types, c.Functions, c.Methods, c.total(), c.Promoted, c.Constants, c.Variables, c.Fields, name)
	}
	for _, p := range m.packages {
		if p.Public() {
			row(p.Rel, exported(p))
		}
	}
	row("together", m.exported())
}

func (m *module) printLong(w io.Writer) {
	fmt.Fprintf(w, "\nfunctions over %d lines outside tests\n", longest)
	for _, f := range m.long() {
		fmt.Fprintf(w, "%5d %s\n", f.lines, f)
	}
}

func (m *module) printComplex(w io.Writer) {
	fmt.Fprintf(w, "\nfunctions outside tests with a cyclomatic complexity above %d, ten at least\n", hardest)
	hardFirst := func(a, b function) int { return cmp.Compare(b.complexity, a.complexity) }
	n := 0
	for _, f := range slices.SortedStableFunc(slices.Values(m.functions), hardFirst) {
		if !f.test && (f.complexity > hardest || n < 10) {
			fmt.Fprintf(w, "%5d %s\n", f.complexity, f)
			n++
		}
	}
}

func (m *module) printWide(w io.Writer) {
	code, tests := m.wide()
	fmt.Fprintf(w, "\nlines over %d columns: %d outside tests, %d in tests\n", widest, code, tests)
	for _, f := range m.files {
		if f.wide > 0 && !f.generated {
			fmt.Fprintf(w, "%5d %s\n", f.wide, f.name)
		}
	}
}

func (m *module) printFloors(w io.Writer) {
	fmt.Fprintln(w, "\nimports that run up the floors")
	for _, a := range m.arrowsUp() {
		fmt.Fprintln(w, "     ", a)
	}
}
