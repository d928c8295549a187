package main

import (
	"fmt"
	"go/ast"
	"go/types"
	"maps"
	"slices"
	"strings"

	"example.com/moistheat/internal/tools/surface"
)

// Counts says how many exported names there are of each sort.
type counts struct {
	Types, Functions, Methods int // methods that are declared on exported types
	Promoted                  int // methods that exported types have from what they embed
	Constants, Variables      int
	Fields                    int // of exported structs
}

// total returns how many names there are to learn.
func (c counts) total() int { return c.Types + c.Functions + c.Methods }

// exported counts the exported names of a package.
func exported(p *surface.Package) (c counts) {
	for _, obj := range surface.Exported(p.Types) {
		switch obj := obj.(type) {
		case *types.Func:
			c.Functions++
		case *types.Const:
			c.Constants++
		case *types.Var:
			c.Variables++
		case *types.TypeName:
			c.Types++
			named, ok := obj.Type().(*types.Named)
			if !ok {
				continue
			}
			declared := 0
			for method := range named.Methods() {
				if method.Exported() {
					declared++
				}
			}
			c.Methods += declared
			c.Promoted -= declared
			if _, ok := named.Underlying().(*types.Interface); !ok {
				for method := range types.NewMethodSet(types.NewPointer(named)).Methods() {
					if method.Obj().Exported() {
						c.Promoted++
					}
				}
			}
			if s, ok := named.Underlying().(*types.Struct); ok {
				for field := range s.Fields() {
					if ast.IsExported(field.Name()) {
						c.Fields++
					}
				}
			}
		}
	}
	return c
}

// exported counts the exported names of all public packages.
func (m *module) exported() (sum counts) {
	for _, p := range m.packages {
		if p.Public() {
			c := exported(p)
			sum.Types += c.Types
			sum.Functions += c.Functions
			sum.Methods += c.Methods
			sum.Promoted += c.Promoted
			sum.Constants += c.Constants
			sum.Variables += c.Variables
			sum.Fields += c.Fields
		}
	}
	return sum
}

// floors are the floors of the public packages; a package below a listed folder has
// the floor of the folder, unless it is listed itself. A package imports what is on
// lower floors, and on its own floor what has the same first element of the path.
// Package schema stands aside: it knows the words of the root and nothing else.
var floors = map[string]int{
	"units": 1, ".": 2,
	"cycle": 3, "packaging": 3, "water": 3, "schema": 3,
	"load/calendar": 4, "load": 5, "load/history": 6, "load/plan": 6, "load/loadtest": 7,
	"examples": 8, "internal/tools": 9,
}

// floorOf returns the floor of the package in a folder of the module. Internal
// packages that ship are as high as what they import, so they have none of their own.
func floorOf(rel string) (floor int, ok bool) {
	for folder := rel; ; {
		if floor, ok := floors[folder]; ok && (folder != "." || rel == ".") {
			return floor, true
		}
		cut := strings.LastIndexByte(folder, '/')
		if cut < 0 {
			return 0, false
		}
		folder = folder[:cut]
	}
}

// arrowsUp returns the imports, through others too, that run up the floors, and the
// packages that stand on no floor.
func (m *module) arrowsUp() (arrows []string) {
	byPath := map[string]*surface.Package{}
	for _, p := range m.packages {
		byPath[p.Path] = p
	}
	var reach func(p *surface.Package, seen map[string]bool)
	reach = func(p *surface.Package, seen map[string]bool) {
		for _, path := range p.Imports {
			if q := byPath[path]; q != nil && !seen[q.Rel] {
				seen[q.Rel] = true
				reach(q, seen)
			}
		}
	}
	for _, p := range m.packages {
		floor, ok := floorOf(p.Rel)
		internal := strings.Contains("/"+p.Rel+"/", "/internal/") && !under(p.Rel, "internal/tools")
		if !ok && !internal {
			arrows = append(arrows, p.Rel+" stands on no floor")
		}
		seen := map[string]bool{}
		reach(p, seen)
		for _, rel := range slices.Sorted(maps.Keys(seen)) {
			to, ok := floorOf(rel)
			switch {
			case !ok:
				continue // an internal package that ships
			case internal && to < floors["examples"], !internal && to < floor:
				continue
			case to == floor && first(rel) == first(p.Rel):
				continue
			}
			arrows = append(arrows, fmt.Sprintf("%s -> %s", p.Rel, rel))
		}
	}
	return arrows
}

// first returns the first element of a path.
func first(rel string) string {
	head, _, _ := strings.Cut(rel, "/")
	return head
}
