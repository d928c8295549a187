package main

import (
	"fmt"
	"go/types"
	"maps"
	"path"
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

// exported counts the exported names of packages.
func exported(pkgs ...*surface.Package) (c counts) {
	for _, p := range pkgs {
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
				if named, ok := obj.Type().(*types.Named); ok {
					c.addType(named)
				}
			}
		}
	}
	return c
}

// addType counts the methods and fields of a type.
func (c *counts) addType(named *types.Named) {
	for method := range named.Methods() {
		if method.Exported() {
			c.Methods++
			c.Promoted--
		}
	}
	if !types.IsInterface(named) {
		for method := range types.NewMethodSet(types.NewPointer(named)).Methods() {
			if method.Obj().Exported() {
				c.Promoted++
			}
		}
	}
	if s, ok := named.Underlying().(*types.Struct); ok {
		for field := range s.Fields() {
			if field.Exported() {
				c.Fields++
			}
		}
	}
}

// exported counts the exported names of all public packages.
func (m *module) exported() counts {
	return exported(slices.DeleteFunc(slices.Clone(m.packages), func(p *surface.Package) bool { return !p.Public() })...)
}

// floors are the floors of the public packages; a package below a listed folder has
// the floor of the folder, unless it is listed itself. A package imports what is on
// lower floors, and on its own floor what has the same first element of the path.
// Package schema stands aside: it knows the words of the root and nothing else.
var floors = map[string]int{
	"units": 1, ".": 2,
	"cycle": 3, "packaging": 3, "water": 3, "schema": 3,
	"load/calendar": 4, "load": 5, "load/history": 6, "load/plan": 6, "load/proof": 7, "load/loadtest": 7,
	"examples": 8, "internal/tools": 9,
}

// floorOf returns the floor of the package in a folder of the module. Internal
// packages that ship are as high as what they import, so they have none of their own.
func floorOf(rel string) (floor int, ok bool) {
	for folder := rel; folder != "." || rel == "."; folder = path.Dir(folder) {
		if floor, ok := floors[folder]; ok {
			return floor, true
		}
	}
	return 0, false
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
		switch {
		case internal:
			floor = floors["examples"] - 1 // it may import all that ships
		case !ok:
			arrows = append(arrows, p.Rel+" stands on no floor")
		}
		seen := map[string]bool{}
		reach(p, seen)
		for _, rel := range slices.Sorted(maps.Keys(seen)) {
			to, ok := floorOf(rel) // not of an internal package that ships
			if ok && (to > floor || to == floor && !internal && first(rel) != first(p.Rel)) {
				arrows = append(arrows, fmt.Sprintf("%s -> %s", p.Rel, rel))
			}
		}
	}
	return arrows
}

// first returns the first element of a path.
func first(rel string) string {
	head, _, _ := strings.Cut(rel, "/")
	return head
}
