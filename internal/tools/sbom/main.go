// Sbom lists what the module is built of, direct and indirect: a software bill of materials
// in CycloneDX 1.5, the same bytes for the same go.mod. Licences are told by their texts in
// the module cache, into which what is missing there is downloaded.
//
//	go run ./internal/tools/sbom             # the bill, on standard output
//	go run ./internal/tools/sbom -licences   # the table of DEVELOPERS.md
//	go run ./internal/tools/sbom -check      # that table is there as it should be
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/tools/quit"
)

func main() {
	table := flag.Bool("licences", false, "print the table of licences")
	check := flag.Bool("check", false, "compare the table of licences with DEVELOPERS.md")
	flag.Parse()
	modules := quit.Or(list())
	switch {
	case *table:
		fmt.Print(licences(modules))
	case *check:
		text := quit.Or(os.ReadFile("DEVELOPERS.md"))
		if !bytes.Contains(text, []byte(licences(modules))) {
			quit.On(errors.New("the table of licences is stale: go run ./internal/tools/sbom -licences"))
		}
	default:
		b := billOf(modules, quit.Or(graph()))
		quit.On(b.sound())
		out := json.NewEncoder(os.Stdout)
		out.SetIndent("", "  ")
		out.SetEscapeHTML(false)
		quit.On(out.Encode(b))
	}
}

// A module is one that the module needs, as "go list -m -json" prints it.
type module struct {
	Path, Version, Dir, Sum string
	Main, Indirect          bool

	licence string // SPDX identifier
	shipped bool   // packages outside tests import it
}

func goes(args ...string) ([]byte, error) {
	cmd := exec.Command("go", args...)
	cmd.Stderr = os.Stderr
	return cmd.Output()
}

// list returns the modules, by path.
func list() ([]module, error) {
	if _, err := goes("mod", "download"); err != nil {
		return nil, err
	}
	out, err := goes("list", "-m", "-json", "all")
	if err != nil {
		return nil, err
	}
	deps, err := goes("list", "-deps", "-f", "{{with .Module}}{{.Path}}{{end}}", "./...")
	if err != nil {
		return nil, err
	}
	imported := strings.Fields(string(deps))
	var all []module
	for in := json.NewDecoder(bytes.NewReader(out)); ; {
		var m module
		if err := in.Decode(&m); err == io.EOF {
			break
		} else if err != nil {
			return nil, err
		}
		m.shipped = slices.Contains(imported, m.Path)
		if !m.Main {
			if m.licence, err = licenceIn(m.Dir); err != nil {
				return nil, fmt.Errorf("%s: %w", m.Path, err)
			}
		}
		all = append(all, m)
	}
	slices.SortFunc(all, func(a, b module) int { return strings.Compare(a.Path, b.Path) })
	return all, nil
}

// clauses tell licences apart: all of what stands beside one is in its text. Where a file
// holds two texts, each is named.
var clauses = []struct {
	id   string
	says []string
}{
	{"Apache-2.0", []string{"Apache License", "Version 2.0"}},
	{"MIT", []string{"Permission is hereby granted, free of charge", "THE SOFTWARE IS PROVIDED \"AS IS\""}},
	{"BSD-3-Clause", []string{"Redistributions of source code must retain", "Neither the name of"}},
}

// licenceIn returns the SPDX expression of the licence in a module's folder.
func licenceIn(dir string) (string, error) {
	files, _ := filepath.Glob(filepath.Join(dir, "LICEN[CS]E*"))
	if dir == "" || len(files) == 0 {
		return "", errors.New("no licence is in its folder")
	}
	text, err := os.ReadFile(files[0])
	if err != nil {
		return "", err
	}
	return licenceOf(string(text))
}

func licenceOf(text string) (string, error) {
	text = strings.Join(strings.Fields(text), " ")
	var ids []string
	for _, c := range clauses {
		if !slices.ContainsFunc(c.says, func(s string) bool { return !strings.Contains(text, s) }) {
			ids = append(ids, c.id)
		}
	}
	if ids == nil {
		return "", errors.New("its licence is none of those that are known; read it and add it")
	}
	return strings.Join(ids, " AND "), nil
}

// licences returns the table of licences.
func licences(all []module) string {
	out := "| module | version | licence | for |\n|---|---|---|---|\n"
	for _, m := range all {
		if m.Main {
			continue
		}
		use := "tests"
		if m.shipped {
			use = "the library"
		}
		if m.Indirect {
			use += ", needed by another module"
		}
		out += fmt.Sprintf("| %s | %s | %s | %s |\n", m.Path, m.Version, m.licence, use)
	}
	return out
}

// graph returns which module needs which, by path and version; the main one has no version.
func graph() (map[string][]string, error) {
	out, err := goes("mod", "graph")
	if err != nil {
		return nil, err
	}
	needs := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		if from, to, ok := strings.Cut(strings.TrimSpace(line), " "); ok {
			needs[from] = append(needs[from], to) // go and toolchain too, which are no modules of the list
		}
	}
	return needs, nil
}

// The bill, with the members of CycloneDX that it has.
type bill struct {
	BomFormat    string       `json:"bomFormat"`
	SpecVersion  string       `json:"specVersion"`
	Version      int          `json:"version"`
	Metadata     metadata     `json:"metadata"`
	Components   []component  `json:"components"`
	Dependencies []dependency `json:"dependencies"`
}

type metadata struct {
	Component component `json:"component"`
}

type component struct {
	Type       string     `json:"type"`
	Ref        string     `json:"bom-ref"`
	Name       string     `json:"name"`
	Version    string     `json:"version"`
	Scope      string     `json:"scope,omitempty"` // "excluded": tests alone need it
	Licenses   []license  `json:"licenses,omitempty"`
	PURL       string     `json:"purl"`
	Properties []property `json:"properties,omitempty"`
}

type license struct {
	Expression string `json:"expression"`
}

type property struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

type dependency struct {
	Ref       string   `json:"ref"`
	DependsOn []string `json:"dependsOn,omitempty"`
}

func billOf(all []module, needs map[string][]string) *bill {
	b := &bill{BomFormat: "CycloneDX", SpecVersion: "1.5", Version: 1}
	refs := map[string]string{} // of what "go mod graph" prints
	for _, m := range all {
		version, printed := m.Version, m.Path+"@"+m.Version
		if m.Main {
			version, printed = moistheat.Version, m.Path
		}
		c := component{Type: "library", Name: m.Path, Version: version, PURL: "pkg:golang/" + m.Path + "@" + version}
		c.Ref = c.PURL
		refs[printed] = c.Ref
		if m.Main {
			b.Metadata.Component = c
			continue
		}
		c.Licenses = []license{{m.licence}}
		if c.Scope = "excluded"; m.shipped {
			c.Scope = "required"
		}
		c.Properties = []property{{"go.sum", m.Sum}}
		b.Components = append(b.Components, c)
	}
	for _, printed := range slices.Sorted(maps.Keys(refs)) {
		d := dependency{Ref: refs[printed]}
		for _, to := range needs[printed] {
			if ref := refs[to]; ref != "" { // the version that is chosen
				d.DependsOn = append(d.DependsOn, ref)
			}
		}
		slices.Sort(d.DependsOn)
		b.Dependencies = append(b.Dependencies, d)
	}
	return b
}

// sound returns what CycloneDX 1.5 asks for and the bill lacks: its format and version, a
// type and a name of each component, references that are used once and lead somewhere.
func (b *bill) sound() error {
	if b.BomFormat != "CycloneDX" || b.SpecVersion != "1.5" || b.Version < 1 {
		return errors.New("the bill does not say what it is")
	}
	refs := map[string]bool{}
	for _, c := range append([]component{b.Metadata.Component}, b.Components...) {
		if c.Type != "library" || c.Name == "" || c.Version == "" || c.Ref == "" || refs[c.Ref] {
			return fmt.Errorf("component %q lacks a type, a name, a version or a reference of its own", c.Name)
		}
		if !slices.Contains([]string{"", "required", "optional", "excluded"}, c.Scope) {
			return fmt.Errorf("component %q has the scope %q", c.Name, c.Scope)
		}
		refs[c.Ref] = true
	}
	seen := map[string]bool{}
	for _, d := range b.Dependencies {
		if !refs[d.Ref] || seen[d.Ref] || slices.ContainsFunc(d.DependsOn, func(r string) bool { return !refs[r] }) {
			return fmt.Errorf("the dependencies of %q lead nowhere", d.Ref)
		}
		seen[d.Ref] = true
	}
	return nil
}
