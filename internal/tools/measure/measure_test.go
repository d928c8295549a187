package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/tools/surface"
)

// What the module may have at most. Each of these may be lowered and not raised.
const (
	mostExported  = 694  // exported types, functions and methods of the public packages
	mostWideCode  = 163  // lines over 120 columns outside tests
	mostWideTests = 1707 // lines over 120 columns of tests
)

// The module keeps to its own limits of size and shape.
func TestHouse(t *testing.T) {
	m, err := measure(".")
	require.NoError(t, err)
	require.NotEmpty(t, m.functions)

	c := m.exported()
	require.Positive(t, c.total())
	assert.LessOrEqual(t, c.total(), mostExported, "exported names: %+v", c)

	require.Greater(t, len(m.packages), 10)
	assert.Empty(t, m.arrowsUp(), "imports that run up the floors")

	for _, f := range m.long() {
		t.Errorf("%s has %d lines; 100 are the most", f, f.lines)
	}

	code, tests := m.wide()
	assert.LessOrEqual(t, code, mostWideCode, "lines over %d columns outside tests", widest)
	assert.LessOrEqual(t, tests, mostWideTests, "lines over %d columns in tests", widest)
}

func TestCount(t *testing.T) {
	const src = "// A comment.\npackage p\n\n\t// More.\nvar a = 1 // counts\n/* not\nthis\n*/\nvar b = `\nx\n`\n"
	assert.Equal(t, 5, count([]byte(src)), "package, a, and the three lines of b")
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
		require.NoError(t, err, body)
		fn := tree.Decls[0].(*ast.FuncDecl)
		assert.Equal(t, want, complexity(fn), body)
		assert.Equal(t, "(*T).f", nameOf(fn))
	}
}

func TestFloors(t *testing.T) {
	for rel, want := range map[string]int{
		"units": 1, ".": 2, "cycle/steam": 3, "load/calendar": 4, "load": 5, "load/history": 6, "load/loadtest": 7,
		"internal/tools/measure": 9, "internal/ask": 0, "new": 0,
	} {
		floor, _ := floorOf(rel)
		assert.Equal(t, want, floor, rel)
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
	assert.ElementsMatch(t, []string{
		"units -> .", "water -> cycle/steam", "load -> internal/tools/x", "load -> load/history", "new stands on no floor",
	}, m.arrowsUp())
}
