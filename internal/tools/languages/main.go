// Languages writes the list of the English texts of the library, which a language
// translates: those of the rules and of other data, the words of closed lists, and in the
// code every constant of the type lang.Text.
//
//	go run ./internal/tools/languages
//
// It runs at the top of the repository and writes internal/lang/english.json.
package main

import (
	"encoding/json"
	"go/constant"
	"go/types"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/tools/quit"
	"example.com/moistheat/internal/tools/surface"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/history"
	"example.com/moistheat/packaging"
	"example.com/moistheat/schema"
	"example.com/moistheat/water"
)

const output = "internal/lang/english.json"

func main() { quit.Write(output, quit.Or(generate("."))) }

// generate returns the list for the repository at root.
func generate(root string) ([]byte, error) {
	seen := map[string]bool{moistheat.Disclaimer: true}
	for _, r := range slices.Concat(load.Rules(), schema.Rules()) {
		for _, text := range []string{r.Title, r.Why, r.Remedy, r.BrokenText, r.UndeterminedText} {
			seen[text] = true
		}
	}
	if err := data(root, seen); err != nil {
		return nil, err
	}
	ordered[moistheat.Basis](seen, "moistheat.Basis")
	ordered[moistheat.Severity](seen, "moistheat.Severity")
	ordered[moistheat.Disposition](seen, "moistheat.Disposition")
	ordered[moistheat.Service](seen, "moistheat.Service")
	ordered[calendar.EventKind](seen, "calendar.EventKind")
	ordered[history.Measure](seen, "history.Measure")
	ordered[history.RecallAction](seen, "history.RecallAction")
	for class := packaging.Solid; class <= packaging.BeyondHollowA; class++ {
		seen["packaging.LumenClass: "+class.String()] = true
	}
	for d := water.Conductivity; d <= water.Appearance; d++ {
		seen["water.Determinand: "+d.String()] = true
	}
	if err := policies(root, seen); err != nil {
		return nil, err
	}
	if err := unjudged(seen); err != nil {
		return nil, err
	}
	if err := code(root, seen); err != nil {
		return nil, err
	}
	delete(seen, "")
	var out []string
	for text := range seen {
		out = append(out, text)
	}
	slices.Sort(out)
	return pretty(out)
}

// ordered adds the words of a list in which the order counts.
func ordered[W interface {
	~uint8
	String() string
}](seen map[string]bool, list string) {
	for w := W(1); !strings.HasPrefix(w.String(), "invalid"); w++ {
		seen[list+": "+w.String()] = true
	}
}

// data adds the texts of the data files of package load.
func data(root string, seen map[string]bool) error {
	for name, members := range map[string][2]string{
		"acts.json": {"acts", "text"}, "hazards.json": {"hazards", "sentence"}, "release.json": {"rows", "condition"},
	} {
		file, err := os.ReadFile(filepath.Join(root, "load", "data", name))
		if err != nil {
			return err
		}
		var doc map[string]json.RawMessage
		var list []map[string]any
		if err := json.Unmarshal(file, &doc); err != nil {
			return err
		}
		if err := json.Unmarshal(doc[members[0]], &list); err != nil {
			return err
		}
		for _, each := range list {
			seen[each[members[1]].(string)] = true
		}
	}
	return nil
}

// policies adds the texts that reports say of the library's policies.
func policies(root string, seen map[string]bool) error {
	names, err := filepath.Glob(filepath.Join(root, "load", "policies", "*.json"))
	if err != nil {
		return err
	}
	for _, name := range names {
		file, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		var p struct {
			Title                string
			AsksLess, LeavesOpen []string
			Prion                struct{ Then string }
		}
		if err := json.Unmarshal(file, &p); err != nil {
			return err
		}
		for _, text := range slices.Concat(p.AsksLess, p.LeavesOpen, []string{p.Title, p.Prion.Then}) {
			seen[text] = true
		}
	}
	return nil
}

// unjudged adds the reasons for which tables of water give no limit.
func unjudged(seen map[string]bool) error {
	for _, name := range water.LimitNames() {
		l, err := water.LimitsFor(name)
		if err != nil {
			return err
		}
		for _, r := range l.Rows() {
			seen[r.Unjudged] = true
		}
	}
	return nil
}

// code adds the constants of the type lang.Text.
func code(root string, seen map[string]bool) error {
	pkgs, err := surface.Load(root)
	if err != nil {
		return err
	}
	for _, p := range pkgs {
		if p.Name == "main" || !slices.Contains(append(p.Imports, p.Path), "example.com/moistheat/internal/lang") {
			continue
		}
		_, info, err := p.Sources(root)
		if err != nil {
			return err
		}
		for _, v := range info.Types {
			if v.Value != nil && v.Value.Kind() == constant.String && types.TypeString(v.Type,
				nil) == "example.com/moistheat/internal/lang.Text" {
				seen[constant.StringVal(v.Value)] = true
			}
		}
	}
	words(pkgs, seen)
	return nil
}

// words adds those of the closed lists that parameters of the texts name.
func words(pkgs []*surface.Package, seen map[string]bool) {
	lists := map[string]bool{"moistheat.Hazard": true}
	for text := range seen {
		for _, p := range lang.Parameters(text) {
			if _, list, ok := strings.Cut(p, ":"); ok {
				lists[list] = true
			}
		}
	}
	for _, p := range pkgs {
		if !p.Public() {
			continue
		}
		for _, obj := range surface.Exported(p.Types) {
			c, ok := obj.(*types.Const)
			if !ok || c.Val().Kind() != constant.String {
				continue
			}
			named, ok := c.Type().(*types.Named)
			if !ok {
				continue
			}
			if list := p.Name + "." + named.Obj().Name(); lists[list] {
				seen[list+": "+constant.StringVal(c.Val())] = true
			}
		}
	}
}

func pretty(texts []string) ([]byte, error) {
	out, err := json.MarshalIndent(struct {
		Format string   `json:"format"`
		Name   string   `json:"language"`
		Texts  []string `json:"texts"`
	}{lang.Format, "en", texts}, "", "  ")
	return append(out, '\n'), err
}
