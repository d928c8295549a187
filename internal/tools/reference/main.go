// Reference writes the reference of rules and tables from the rules, the policies,
// the figures and the conformance corpus.
//
//	go run ./internal/tools/reference
//
// It runs at the top of the repository and writes load/RULES.md and one TABLES.md
// beside the figures of each package.
package main

import (
	"log"
	"os"
)

func main() {
	log.SetFlags(0)
	for file, write := range map[string]func() string{
		"load/RULES.md": rules, "load/TABLES.md": loadTables, "cycle/TABLES.md": cycleTables,
		"packaging/TABLES.md": packagingTables, "water/TABLES.md": waterTables,
	} {
		if err := os.WriteFile(file, []byte(write()), 0o644); err != nil {
			log.Fatal(err)
		}
	}
}

// must ends the program for an error.
func must[T any](v T, err error) T {
	if err != nil {
		log.Fatal(err)
	}
	return v
}
