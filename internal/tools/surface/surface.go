// Package surface loads the packages of the module through the export data that
// the compiler keeps, so that tools can list what a caller of the library sees.
package surface

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

// A Package is one package of the module.
type Package struct {
	Path    string         // import path, such as "example.com/moistheat/load"
	Name    string         // name of the package
	Rel     string         // its folder, slashed and relative to the root of the module; "." is the root
	Imports []string       // what it imports, its tests apart
	Embeds  []string       // the files it embeds, beside it
	Types   *types.Package // nil of a command

	imports types.Importer
}

// Sources parses the files of the package, its tests apart, and returns what the compiler
// knows of what stands in them.
func (p *Package) Sources(root string) ([]*ast.File, *types.Info, error) {
	names, err := filepath.Glob(filepath.Join(root, filepath.FromSlash(p.Rel), "*.go"))
	if err != nil {
		return nil, nil, err
	}
	set, info := token.NewFileSet(), &types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
	var files []*ast.File
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(set, name, nil, parser.SkipObjectResolution)
		if err != nil {
			return nil, nil, err
		}
		files = append(files, f)
	}
	_, err = (&types.Config{Importer: p.imports}).Check(p.Path, set, files, info)
	return files, info, err
}

// Public reports whether other modules may import the package.
func (p *Package) Public() bool {
	return p.Name != "main" && !strings.Contains("/"+p.Rel+"/", "/internal/")
}

// Load returns the packages of the module that holds dir, in the order of their
// paths. It runs the go command, which builds what is not in its cache.
func Load(dir string) ([]*Package, error) {
	const fields = "-json=ImportPath,Name,Dir,Export,Imports,EmbedFiles,Module"
	cmd := exec.Command("go", "list", "-export", "-deps", fields, "./...")
	cmd.Dir, cmd.Stderr = dir, os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	exports := map[string]string{}
	var pkgs []*Package
	for d := json.NewDecoder(bytes.NewReader(out)); d.More(); {
		var p struct {
			ImportPath, Name, Dir, Export string
			Imports, EmbedFiles           []string
			Module                        *struct {
				Dir  string
				Main bool
			}
		}
		if err := d.Decode(&p); err != nil {
			return nil, fmt.Errorf("go list: %w", err)
		}
		exports[p.ImportPath] = p.Export
		if p.Module != nil && p.Module.Main {
			rel, err := filepath.Rel(p.Module.Dir, p.Dir)
			if err != nil {
				return nil, err
			}
			pkgs = append(pkgs, &Package{
				Path: p.ImportPath, Name: p.Name, Rel: filepath.ToSlash(rel), Imports: p.Imports, Embeds: p.EmbedFiles,
			})
		}
	}
	imp := importer.ForCompiler(token.NewFileSet(), "gc", func(path string) (io.ReadCloser, error) {
		return os.Open(exports[path])
	})
	for _, p := range pkgs {
		if p.imports = imp; p.Name == "main" {
			continue
		}
		if p.Types, err = imp.Import(p.Path); err != nil {
			return nil, err
		}
	}
	return pkgs, nil
}

// Root returns the folder of the module that holds dir.
func Root(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	for err == nil {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir, nil
		}
		up := filepath.Dir(dir)
		if up == dir {
			return "", errors.New("no go.mod here or above")
		}
		dir = up
	}
	return "", err
}

// Exported returns the exported names that the package declares, in their order.
func Exported(p *types.Package) (objs []types.Object) {
	for _, name := range p.Scope().Names() {
		if obj := p.Scope().Lookup(name); obj.Exported() {
			objs = append(objs, obj)
		}
	}
	return objs
}
