package main

import (
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"
)

// Every module of go.mod is in the table of licences, with its version.
func TestTable(t *testing.T) {
	mod, err := os.ReadFile("../../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	modules := 0
	for line := range strings.Lines(string(mod)) {
		f := strings.Fields(strings.TrimPrefix(line, "require "))
		if len(f) < 2 || !strings.HasPrefix(f[1], "v") || f[0] == "//" {
			continue
		}
		modules++
		if row := "| " + f[0] + " | " + f[1] + " | "; !strings.Contains(string(text), row) {
			t.Errorf("the table lacks %q", row)
		}
	}
	if modules != 6 {
		t.Errorf("%d modules, want 6", modules)
	}
}

func TestBill(t *testing.T) {
	all := []module{
		{Path: "a", Version: "v1.0.0", Sum: "h1:x", licence: "MIT", shipped: true},
		{Path: "b", Version: "v2.0.0", Sum: "h1:y", licence: "MIT", Indirect: true},
		{Path: "m", Main: true},
	}
	b := billOf(all, map[string][]string{"m": {"b@v2.0.0", "a@v1.0.0"}, "a@v1.0.0": {"b@v1.9.0"}})
	if err := b.sound(); err != nil || len(b.Components) != 2 || b.Metadata.Component.Name != "m" {
		t.Fatalf("%v: %+v", err, b)
	}
	a, other := b.Components[0], b.Components[1]
	if a.Scope != "required" || other.Scope != "excluded" || a.PURL != "pkg:golang/a@v1.0.0" {
		t.Errorf("%+v, %+v", a, other)
	}
	if got := b.Dependencies[2].DependsOn; !slices.Equal(got, []string{"pkg:golang/a@v1.0.0", "pkg:golang/b@v2.0.0"}) {
		t.Errorf("m depends on %q", got)
	}
	if got := b.Dependencies[0].DependsOn; len(got) > 0 { // only on a version that was not chosen
		t.Errorf("a depends on %q", got)
	}
	doc, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	for _, member := range []string{`"bomFormat":"CycloneDX"`, `"specVersion":"1.5"`, `"bom-ref":`, `"licenses":[{"expression":"MIT"}]`} {
		if !strings.Contains(string(doc), member) {
			t.Errorf("no %s in %s", member, doc)
		}
	}
	if b.Dependencies[0].DependsOn = []string{"nowhere"}; b.sound() == nil {
		t.Error("a dependency on what is not there is sound")
	}
	if b = billOf(all[:2], nil); b.sound() == nil {
		t.Error("a bill of nothing is sound")
	}
}

func TestLicences(t *testing.T) {
	id, err := licenceOf("Permission is hereby granted, free\n of charge, … THE SOFTWARE IS PROVIDED \"AS IS\"")
	if err != nil || id != "MIT" {
		t.Errorf("got %q, %v", id, err)
	}
	if _, err = licenceOf("All rights reserved."); err == nil {
		t.Error("no licence was taken for one")
	}
}
