package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"io/fs"
	"os"
	"path"
	"strings"
	"unicode/utf8"
)

// A file is one file of Go.
type file struct {
	name      string // slashed, from the root of the module
	generated bool   // it says so in a line of its own, as the go command has it
	lines     int    // neither blank nor a comment
	wide      int    // over the widest
}

func (f file) test() bool     { return strings.HasSuffix(f.name, "_test.go") }
func (f file) folder() string { return path.Dir(f.name) }

// ships reports whether programs that use the library can hold the file.
func (f file) ships() bool {
	aside := under(f.name, "internal/tools") || under(f.name, "examples") || strings.Contains(f.name, "testdata/")
	return !f.test() && !aside
}

// under reports whether the name is the folder or lies in it.
func under(name, folder string) bool { return name == folder || strings.HasPrefix(name, folder+"/") }

// A function is a function or method with a body, the function literals in it included.
type function struct {
	name       string // folder and name, such as load/(*Policy).On
	position   string
	test       bool
	lines      int
	complexity int
}

func (f function) String() string { return fmt.Sprintf("%s  %s", f.position, path.Base(f.name)) }

// readFiles measures all files of Go under the root, folders with a dot apart.
func readFiles(root string) (files []file, functions []function, err error) {
	fsys := os.DirFS(root)
	err = fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && name != "." && strings.HasPrefix(d.Name(), "."):
			return fs.SkipDir
		case d.IsDir() || path.Ext(name) != ".go":
			return nil
		}
		src, err := fs.ReadFile(fsys, name)
		if err != nil {
			return err
		}
		f := file{name: name, lines: count(src)}
		for line := range bytes.Lines(src) {
			if utf8.RuneCount(bytes.TrimRight(line, "\r\n")) > widest {
				f.wide++
			}
		}
		set := token.NewFileSet()
		tree, err := parser.ParseFile(set, f.name, src, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		f.generated = ast.IsGenerated(tree)
		files = append(files, f)
		if f.generated {
			return nil
		}
		for _, decl := range tree.Decls {
			if fn, ok := decl.(*ast.FuncDecl); ok && fn.Body != nil {
				from, to := set.Position(fn.Pos()), set.Position(fn.End())
				functions = append(functions, function{
					name: path.Join(f.folder(), nameOf(fn)), position: fmt.Sprintf("%s:%d", f.name, from.Line),
					test: f.test(), lines: to.Line - from.Line + 1, complexity: complexity(fn),
				})
			}
		}
		return nil
	})
	return files, functions, err
}

// count returns how many lines are neither blank nor a comment from the first character on.
func count(src []byte) (n int) {
	inside := false // of a comment over several lines
	for line := range bytes.Lines(src) {
		line = bytes.TrimSpace(line)
		if !inside && bytes.HasPrefix(line, []byte("/*")) {
			inside = true
		}
		if !inside && len(line) > 0 && !bytes.HasPrefix(line, []byte("//")) {
			n++
		}
		if inside && bytes.Contains(line, []byte("*/")) {
			inside = false
		}
	}
	return n
}

// nameOf returns the name of a function, that of a method with its receiver: (*T).Name.
func nameOf(fn *ast.FuncDecl) string {
	if fn.Recv == nil {
		return fn.Name.Name
	}
	receiver, _, _ := strings.Cut(types.ExprString(fn.Recv.List[0].Type), "[")
	return "(" + receiver + ")." + fn.Name.Name
}

// complexity returns one and how often the function decides: at each if, for, case
// but the default, && and ||.
func complexity(fn *ast.FuncDecl) int {
	n := 1
	ast.Inspect(fn.Body, func(node ast.Node) bool {
		switch node := node.(type) {
		case *ast.IfStmt, *ast.ForStmt, *ast.RangeStmt:
			n++
		case *ast.CaseClause:
			n += min(1, len(node.List))
		case *ast.CommClause:
			if node.Comm != nil {
				n++
			}
		case *ast.BinaryExpr:
			if node.Op == token.LAND || node.Op == token.LOR {
				n++
			}
		}
		return true
	})
	return n
}

// long returns the functions outside tests that are too long.
func (m *module) long() (fns []function) {
	for _, f := range m.functions {
		if f.lines > longest && !f.test {
			fns = append(fns, f)
		}
	}
	return fns
}

// wide returns how many lines are too wide, generated files apart.
func (m *module) wide() (code, tests int) {
	for _, f := range m.files {
		switch {
		case f.generated:
		case f.test():
			tests += f.wide
		default:
			code += f.wide
		}
	}
	return code, tests
}
