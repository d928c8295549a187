package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every module of go.mod is in the table of licences, with its version.
func TestTable(t *testing.T) {
	mod, err := os.ReadFile("../../../go.mod")
	require.NoError(t, err)
	text, err := os.ReadFile("../../../DEVELOPERS.md")
	require.NoError(t, err)
	modules := 0
	for line := range strings.Lines(string(mod)) {
		f := strings.Fields(strings.TrimPrefix(line, "require "))
		if len(f) < 2 || !strings.HasPrefix(f[1], "v") || f[0] == "//" {
			continue
		}
		modules++
		assert.Contains(t, string(text), "| "+f[0]+" | "+f[1]+" | ")
	}
	assert.Equal(t, 6, modules)
}

func TestBill(t *testing.T) {
	all := []module{
		{Path: "a", Version: "v1.0.0", Sum: "h1:x", licence: "MIT", shipped: true},
		{Path: "b", Version: "v2.0.0", Sum: "h1:y", licence: "MIT", Indirect: true},
		{Path: "m", Main: true},
	}
	b := billOf(all, map[string][]string{"m": {"b@v2.0.0", "a@v1.0.0"}, "a@v1.0.0": {"b@v1.9.0"}})
	require.NoError(t, b.sound())
	assert.Equal(t, "m", b.Metadata.Component.Name)
	require.Len(t, b.Components, 2)
	assert.Equal(t, "required", b.Components[0].Scope)
	assert.Equal(t, "excluded", b.Components[1].Scope)
	assert.Equal(t, "pkg:golang/a@v1.0.0", b.Components[0].PURL)
	assert.Equal(t, []string{"pkg:golang/a@v1.0.0", "pkg:golang/b@v2.0.0"}, b.Dependencies[2].DependsOn)
	assert.Empty(t, b.Dependencies[0].DependsOn, "a version that was not chosen")
	doc, err := json.Marshal(b)
	require.NoError(t, err)
	for _, member := range []string{`"bomFormat":"CycloneDX"`, `"specVersion":"1.5"`, `"bom-ref":`, `"licenses":[{"expression":"MIT"}]`} {
		assert.Contains(t, string(doc), member)
	}
	b.Dependencies[0].DependsOn = []string{"nowhere"}
	assert.Error(t, b.sound())
	b = billOf(all[:2], nil)
	assert.Error(t, b.sound(), "a bill of nothing")
}

func TestLicences(t *testing.T) {
	id, err := licenceOf("Permission is hereby granted, free\n of charge, … THE SOFTWARE IS PROVIDED \"AS IS\"")
	require.NoError(t, err)
	assert.Equal(t, "MIT", id)
	_, err = licenceOf("All rights reserved.")
	assert.Error(t, err)
}
