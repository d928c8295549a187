// Reference writes the reference of rules and tables from the rules, the policies,
// the figures and the conformance corpus.
//
//	go run ./internal/tools/reference
//
// It runs at the top of the repository and writes load/RULES.md and one TABLES.md
// beside the figures of each package.
package main

import (
	"bytes"
	"log"
	"os"

	"example.com/moistheat/load/loadtest"
)

func main() {
	log.SetFlags(0)
	c, err := loadtest.Conformance()
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range []struct {
		name string
		make func(*bytes.Buffer) error
	}{
		{"load/RULES.md", func(b *bytes.Buffer) error { return rules(b, c) }},
		{"load/TABLES.md", loadTables},
		{"cycle/TABLES.md", cycleTables},
		{"packaging/TABLES.md", packagingTables},
		{"water/TABLES.md", waterTables},
	} {
		var b bytes.Buffer
		if err := f.make(&b); err != nil {
			log.Fatalf("%s: %v", f.name, err)
		}
		if err := os.WriteFile(f.name, b.Bytes(), 0o644); err != nil {
			log.Fatal(err)
		}
	}
}
