// Vectors looks after the conformance corpus of package load/loadtest.
//
//	go run ./internal/tools/vectors lint [-table] [-all]   what is wrong, and what is missing
//	go run ./internal/tools/vectors add RULE [FILE]        begin the vectors that a rule lacks
//	go run ./internal/tools/vectors derive                 make the derived-*.json files
//	go run ./internal/tools/vectors fmt                    write all files in one shape
//
// It runs at the top of the repository. Lint fails for what is wrong; with -all also
// for what is missing.
package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"log"
	"os"
	"path/filepath"
	"strings"

	"example.com/moistheat/internal/tools/corpus"
	"example.com/moistheat/internal/tools/quit"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

const dir = "load/loadtest/corpus"

func main() {
	log.SetFlags(0)
	if len(os.Args) < 2 {
		log.Fatal("usage: vectors lint|add|derive|fmt")
	}
	c := quit.Or(loadtest.Read(os.DirFS(dir)))
	args := os.Args[2:]
	switch os.Args[1] {
	case "lint":
		lint(c, args)
	case "add":
		add(c, args)
	case "derive":
		for _, f := range quit.Or(corpus.Derive(c)) {
			write(f.Name, f.File)
		}
	case "fmt":
		for name, f := range c.Files() {
			write(name, f)
		}
	default:
		log.Fatal("usage: vectors lint|add|derive|fmt")
	}
}

func write(name string, f *loadtest.File) {
	quit.Write(filepath.Join(dir, "vectors", name+".json"), quit.Or(corpus.Format(f)))
}

func lint(c *loadtest.Corpus, args []string) {
	flags := flag.NewFlagSet("lint", flag.ExitOnError)
	table := flags.Bool("table", false, "print the coverage of every rule")
	all := flags.Bool("all", false, "fail for what is missing, too")
	flags.Parse(args)
	problems := corpus.Lint(c)
	for _, p := range problems {
		fmt.Println(p)
	}
	cov := corpus.Cover(c)
	if *table {
		fmt.Print(cov.Table())
	} else {
		fmt.Println(cov.Summary())
	}
	missing := cov.Missing()
	if *all {
		for _, m := range missing {
			fmt.Println("missing:", m)
		}
	}
	if len(problems) > 0 || *all && len(missing) > 0 {
		os.Exit(1)
	}
}

// add begins the vectors that a rule lacks in a file, by default that of the first
// two words of its name. Their expectations are to be worked out from the document.
func add(c *loadtest.Corpus, args []string) {
	if len(args) < 1 {
		log.Fatal("usage: vectors add RULE [FILE]")
	}
	rule, ok := load.Rule(args[0])
	if !ok {
		log.Fatalf("there is no rule %q", args[0])
	}
	name := strings.Join(strings.Split(rule.ID, ".")[:2], "-")
	if len(args) > 1 {
		name = strings.TrimSuffix(args[1], ".json")
	}
	f := &loadtest.File{Format: loadtest.VectorsFormat, About: rule.Title}
	if was := c.Files()[name]; was != nil {
		f = was
	}
	for _, cs := range corpus.Cover(c).Lacks(rule.ID) {
		if cs == loadtest.CaseDayBefore || cs == loadtest.CaseDayOf || cs == loadtest.CaseUnitVariant {
			continue // derived
		}
		v := &loadtest.Vector{
			ID: rule.ID + ": " + string(cs), Rule: rule.ID, Case: cs, Subject: loadtest.SubjectRecord,
			Policy: json.RawMessage(`"us-cdc-2003"`), Base: "pouches", Patch: []loadtest.Op{},
			Expect: loadtest.Expected{Outcome: corpus.Outcomes(cs)[0], Only: true},
		}
		f.Vectors = append(f.Vectors, v)
		fmt.Println(v.ID)
	}
	write(name, f)
}
