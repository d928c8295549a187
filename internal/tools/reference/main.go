// Reference writes the reference of rules and tables from the rules, the policies,
// the figures and the conformance corpus.
//
//	go run ./internal/tools/reference
//
// It runs at the top of the repository and writes load/RULES.md and one TABLES.md
// beside the figures of each package.
package main

import "example.com/moistheat/internal/tools/quit"

func main() {
	for file, write := range map[string]func() string{
		"load/RULES.md": rules, "load/TABLES.md": loadTables, "cycle/TABLES.md": cycleTables,
		"packaging/TABLES.md": packagingTables, "water/TABLES.md": waterTables,
	} {
		quit.Write(file, []byte(write()))
	}
}
