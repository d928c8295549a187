package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"testing"

	"example.com/moistheat/internal/tools/surface"
)

// What the module may have at most. Each of these may be lowered and not raised. Exported names
// were, by proof.Proof.Verdict: which of several lines about a load counts; by the
// words of a duty; by Policy.Heading and Closing: whose documents decided, above findings, and what
// they are for, below; by Known.MarshalJSON, which writes nothing where nothing is known; by
// load.Reasons with In, Message and Text, and Opening.MarshalJSON: an answer says why in its JSON, too.
const (
	mostExported  = 856  // exported types, functions and methods of the public packages
	mostWideCode  = 151  // lines over 120 columns outside tests
	mostWideTests = 1707 // lines over 120 columns of tests
)

// The module keeps to its own limits of size and shape.
func TestHouse(t *testing.T) {
	m, err := measure(".")
	if err != nil {
		t.Fatal(err)
	}
	c := m.exported()
	if len(m.functions) == 0 || len(m.packages) <= 10 || c.total() == 0 {
		t.Fatalf("%d functions of %d packages, %d names: no module", len(m.functions), len(m.packages), c.total())
	}
	if c.total() > mostExported {
		t.Errorf("%d exported names, %d are the most: %+v", c.total(), mostExported, c)
	}
	for _, arrow := range m.arrowsUp() {
		t.Errorf("an import that runs up the floors: %s", arrow)
	}

	for _, f := range m.long() {
		t.Errorf("%s has %d lines; 100 are the most", f, f.lines)
	}

	code, tests := m.wide()
	if code > mostWideCode || tests > mostWideTests {
		t.Errorf("%d lines over %d columns outside tests and %d in tests, %d and %d are the most", code, widest, tests,
			mostWideCode, mostWideTests)
	}
}

func TestCount(t *testing.T) {
	const src = "// A comment.\npackage p\n\n\t// More.\nvar a = 1 // counts\n/* not\nthis\n*/\nvar b = `\nx\n`\n"
	if got := count([]byte(src)); got != 5 { // package, a, and the three lines of b
		t.Errorf("got %d, want 5", got)
	}
}

func TestComplexity(t *testing.T) {
	for body, want := range map[string]int{
		"":                                       1,
		"if a { } else { }":                      2,
		"if a && b || c { }":                     4,
		"for range x { for { } }":                3,
		"switch { case a, b: case c: default: }": 3,
		"switch x.(type) { case int: default: }": 2,
		"select { case <-c: default: }":          2,
		"func() { if a { } }()":                  2,
	} {
		tree, err := parser.ParseFile(token.NewFileSet(), "", "package p\nfunc (t *T[A]) f() { "+body+" }", 0)
		if err != nil {
			t.Fatalf("%s: %v", body, err)
		}
		fn := tree.Decls[0].(*ast.FuncDecl)
		if got := complexity(fn); got != want || nameOf(fn) != "(*T).f" {
			t.Errorf("%s: got %d of %s, want %d of (*T).f", body, got, nameOf(fn), want)
		}
	}
}

func TestFloors(t *testing.T) {
	for rel, want := range map[string]int{
		"units": 1, ".": 2, "cycle/steam": 3, "load/calendar": 4, "load": 5, "load/history": 6, "load/proof": 7, "load/loadtest": 7,
		"internal/tools/measure": 9, "internal/ask": 0, "new": 0,
	} {
		if got, _ := floorOf(rel); got != want {
			t.Errorf("%s: got floor %d, want %d", rel, got, want)
		}
	}
	imports := map[string][]string{
		"units":            {"internal/guard"},
		"internal/guard":   {"."},
		".":                {},
		"water":            {"cycle/steam"},
		"cycle":            {"cycle/steam", "."},
		"cycle/steam":      {"units"},
		"load":             {"internal/tools/x", "load/history"},
		"load/history":     {"water"},
		"internal/tools/x": {"load/history"},
		"new":              {},
	}
	m := &module{}
	for rel, imports := range imports {
		m.packages = append(m.packages, &surface.Package{Path: rel, Rel: rel, Imports: imports})
	}
	want := []string{
		"load -> internal/tools/x", "load -> load/history", "new stands on no floor", "units -> .", "water -> cycle/steam",
	}
	if got := slices.Sorted(slices.Values(m.arrowsUp())); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
