package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// source is the files of a package with the types of their expressions, without which
// nobody knows whether a + adds numbers or joins strings.
type source struct {
	fset  *token.FileSet
	files map[string]*ast.File // by base name
	pkg   *types.Package
	info  *types.Info
}

// A listing is what the go command knows of packages and of all that they import.
type listing struct {
	exports map[string]string   // the export data by import path
	files   map[string][]string // the Go files by folder, of the packages themselves
}

// list asks for packages, such as "./load" or "./...".
func list(pattern string) (*listing, error) {
	cmd := exec.Command("go", "list", "-export", "-deps", "-json=Export,ImportPath,Dir,GoFiles,DepOnly", pattern)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list %s: %w", pattern, err)
	}
	l := &listing{map[string]string{}, map[string][]string{}}
	for d := json.NewDecoder(bytes.NewReader(out)); d.More(); {
		var p struct {
			Export, ImportPath, Dir string
			GoFiles                 []string
			DepOnly                 bool
		}
		if err := d.Decode(&p); err != nil {
			return nil, fmt.Errorf("go list %s: %w", pattern, err)
		}
		l.exports[p.ImportPath] = p.Export
		if !p.DepOnly {
			l.files[p.Dir] = p.GoFiles
		}
	}
	return l, nil
}

// load parses and checks a package, given by its folder, through the export data of what
// it imports.
func (l *listing) load(pkg string) (*source, error) {
	dir, err := filepath.Abs(pkg)
	if err != nil {
		return nil, err
	}
	s := &source{fset: token.NewFileSet(), files: map[string]*ast.File{}}
	var files []*ast.File
	for _, name := range l.files[dir] {
		f, err := parser.ParseFile(s.fset, filepath.Join(pkg, name), nil, parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		s.files[name] = f
		files = append(files, f)
	}
	s.info = &types.Info{
		Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{},
		Selections: map[*ast.SelectorExpr]*types.Selection{},
	}
	imp := importer.ForCompiler(token.NewFileSet(), "gc", func(path string) (io.ReadCloser, error) {
		if l.exports[path] == "" {
			return nil, errors.New("no export data of " + path)
		}
		return os.Open(l.exports[path])
	})
	conf := types.Config{Importer: imp}
	s.pkg, err = conf.Check(pkg, s.fset, files, s.info)
	return s, err
}

// number reports whether an expression is worked out at run time and is a number.
func (s *source) number(e ast.Expr) bool {
	t, ok := s.info.Types[e]
	return ok && t.Value == nil && numeric(t.Type)
}

func numeric(t types.Type) bool {
	b, ok := t.Underlying().(*types.Basic)
	return ok && b.Info()&(types.IsInteger|types.IsFloat) != 0
}

// local returns how the package itself writes the type of an expression, and "" of one
// that another package names.
func (s *source) local(e ast.Expr) string {
	t := s.info.Types[e].Type
	if t == nil {
		return ""
	}
	foreign := false
	name := types.TypeString(t, func(p *types.Package) string {
		foreign = foreign || p != s.pkg
		return ""
	})
	if foreign {
		return ""
	}
	return name
}

// What takes the place of an operator, and the function of switch.txt that exchanges them.
var arithmetic = map[token.Token]struct{ function, to string }{
	token.ADD: {"Add", "-"}, token.SUB: {"Subtract", "+"}, token.MUL: {"Multiply", "/"}, token.QUO: {"Divide", "*"},
	token.REM: {"Remainder", "/"},
}

// What takes the place of a method, a function or a constant of the same type.
var opposite = map[string]string{
	"Add": "Sub", "Sub": "Add", "Mul": "Quo", "Quo": "Mul", "Div": "Mul",
	"Ceil": "Floor", "Floor": "Ceil", "Min": "Max", "Max": "Min", "Up": "Down", "Down": "Up",
}

// operate makes an operator between numbers switchable.
func (r *rewriter) operate(e *ast.BinaryExpr, from, to int, source string, line int) func() {
	op, ok := arithmetic[e.Op]
	if !ok || r.source == nil || !r.source.number(e) {
		return nil
	}
	r.insert(from, fmt.Sprintf("mutant%s(%d, ", op.function, r.add("arithmetic", source, op.to, line)))
	r.edits = append(r.edits, edit{r.file.Offset(e.X.End()), r.file.Offset(e.Y.Pos()), ", "})
	return func() { r.insert(to, ")") }
}

// extreme makes the built-in min and max switchable.
func (r *rewriter) extreme(e *ast.CallExpr, source string) {
	f, ok := e.Fun.(*ast.Ident)
	if !ok || r.source == nil || !r.source.number(e) {
		return
	}
	if _, ok := r.source.info.Uses[f].(*types.Builtin); !ok || f.Name != "min" && f.Name != "max" {
		return
	}
	to := opposite[strings.ToUpper(f.Name[:1])+f.Name[1:]]
	id := r.add("arithmetic", source, strings.ToLower(to), r.file.Line(e.Pos()))
	r.edits = append(r.edits, edit{r.file.Offset(f.Pos()), r.file.Offset(e.Lparen) + 1,
		fmt.Sprintf("mutant%s(%d, ", strings.ToUpper(f.Name[:1])+f.Name[1:], id)})
}

// pick makes a selector switchable whose opposite has the same type: a.Mul, math.Ceil,
// units.Up. What stands before the dot is written twice, so it may do nothing.
func (r *rewriter) pick(e *ast.SelectorExpr) {
	to := opposite[e.Sel.Name]
	if to == "" || r.source == nil || !idle(e.X) {
		return
	}
	info := r.source.info
	var other types.Object
	if s := info.Selections[e]; s != nil {
		other, _, _ = types.LookupFieldOrMethod(s.Recv(), true, r.source.pkg, to)
	} else if id, ok := e.X.(*ast.Ident); ok {
		if p, ok := info.Uses[id].(*types.PkgName); ok {
			other = p.Imported().Scope().Lookup(to)
		}
	}
	switch other.(type) {
	case *types.Func, *types.Const:
	default:
		return // a field, which may be set here
	}
	if !types.Identical(other.Type(), info.Types[e].Type) {
		return
	}
	from, end := r.file.Offset(e.Pos()), r.file.Offset(e.End())
	x := r.text[from:r.file.Offset(e.X.End())]
	id := r.add("arithmetic", r.text[from:end], to, r.file.Line(e.Sel.Pos()))
	r.edits = append(r.edits, edit{from, end, fmt.Sprintf("mutantPick(%d, %s.%s, %s.%s)", id, x, e.Sel.Name, x, to)})
}

// idle reports whether an expression can be worked out twice: names, fields and new values.
func idle(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.Ident:
		return true
	case *ast.SelectorExpr:
		return idle(e.X)
	case *ast.CallExpr:
		f, ok := e.Fun.(*ast.Ident)
		return ok && f.Name == "new"
	}
	return false
}

// step makes x++, x--, x += y and x -= y switchable. The steps of loops are left alone:
// a loop that turns back does not end.
func (r *rewriter) step(n ast.Stmt) func() {
	if r.source == nil || r.steps[n] {
		return nil
	}
	offset := r.file.Offset
	text := func(n ast.Node) string {
		return strings.Join(strings.Fields(r.text[offset(n.Pos()):offset(n.End())]), " ")
	}
	switch n := n.(type) {
	case *ast.IncDecStmt:
		name := r.source.local(n.X)
		if name == "" {
			return nil
		}
		is, to := "+=", "--"
		if n.Tok == token.DEC {
			is, to = "-=", "++"
		}
		id := r.add("arithmetic", text(n), to, r.file.Line(n.Pos()))
		r.edits = append(r.edits, edit{offset(n.TokPos), offset(n.End()),
			fmt.Sprintf(" %s %s(mutantSigned(%d, 1))", is, name, id)})
	case *ast.AssignStmt:
		to := map[token.Token]string{token.ADD_ASSIGN: "-=", token.SUB_ASSIGN: "+="}[n.Tok]
		if to == "" || !r.source.number(n.Lhs[0]) {
			return nil
		}
		with, close := "", ")"
		if r.source.info.Types[n.Rhs[0]].Value != nil {
			name := r.source.local(n.Lhs[0])
			if name == "" {
				return nil
			}
			with, close = name+"(", "))"
		}
		id := r.add("arithmetic", text(n), to, r.file.Line(n.Pos()))
		r.insert(offset(n.Rhs[0].Pos()), fmt.Sprintf("mutantSigned(%d, %s", id, with))
		return func() { r.insert(offset(n.End()), close) }
	}
	return nil
}
