// Embed shows how a program outside the library imports it: this directory is a
// module of its own, and its go.mod points to the library with a replace line.
package main

import (
	"fmt"
	"log"
	"os"

	"example.com/moistheat/load"
)

func main() {
	if len(os.Args) != 2 {
		log.Fatal("usage: embed RECORD.json")
	}
	data, err := os.ReadFile(os.Args[1])
	if err != nil {
		log.Fatal(err)
	}
	record, err := load.Decode(data)
	if err != nil {
		log.Fatal(err) // nothing was judged
	}
	policy, err := load.PolicyFor("us-cdc-2003")
	if err != nil {
		log.Fatal(err)
	}
	report := load.Check(record, policy)
	for _, pack := range report.Packs {
		fmt.Println(pack.ID, pack.Disposition)
	}
	fmt.Println("load:", report.Verdict.Load)
}
