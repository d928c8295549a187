package proof_test

import (
	"bytes"
	"fmt"
	"io"
	"log"
	"os"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/proof"
)

// A clinic keeps its catalogue and the record of a load, and two years later shows an
// inspector how the load was judged, who computes it anew.
func Example() {
	file, err := os.CreateTemp("", "log-*.ndjson") // a clinic's has a name: os.OpenFile with os.O_RDWR|os.O_CREATE
	if err != nil {
		log.Fatal(err)
	}
	defer os.Remove(file.Name())
	defer file.Close()
	var kept proof.Log
	for i, name := range []string{"catalogue.json", "log.json"} {
		document, err := os.ReadFile("../../examples/checkload/clinic/" + name)
		if err != nil {
			log.Fatal(err)
		}
		if err := kept.Append(file, time.Date(2026, time.March, 9, 15, i, 0, 0, time.UTC), document); err != nil {
			log.Fatal(err)
		}
	}
	policy, err := load.PolicyFor("en-13060")
	if err != nil {
		log.Fatal(err)
	}
	inspection := time.Date(2028, time.May, 4, 9, 0, 0, 0, time.UTC)
	p, err := proof.Make(file, policy, proof.Subject{Record: "2026-0309-7"}, inspection)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(len(p.Lines), "lines,", len(p.Loads), "load; what does not hold:", p.Verify(nil))

	p.Lines[1].Document = p.Lines[1].Document[:100] // a record is changed
	fmt.Println(p.Verify(nil))
	// Output:
	// 2 lines, 1 load; what does not hold: <nil>
	// moistheat.proof/1: /lines/1/document: the document was changed: its digest is another
	// moistheat.proof/1: /loads/0/line: line 2 is no record: moistheat.load/1: the document: not well-formed (byte 100)
}

// On whom a pack was used is erased when it need not be kept any longer. The log still holds
// together.
func ExampleErase() {
	file, err := os.CreateTemp("", "log-*.ndjson")
	if err != nil {
		log.Fatal(err)
	}
	defer os.Remove(file.Name())
	defer file.Close()
	var kept proof.Log
	use := `{"format":"moistheat.stored/1","pack":"P1","record":"2018-0309-7",` +
		`"use":{"time":"2018-03-12T09:00:00Z","patient":"HS-2207"}}`
	if err := kept.Append(file, time.Date(2018, time.March, 12, 9, 5, 0, 0, time.UTC), []byte(use)); err != nil {
		log.Fatal(err)
	}
	policy, err := load.PolicyFor("australia")
	if err != nil {
		log.Fatal(err)
	}
	today := moistheat.NewDate(2026, time.November, 30)
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		log.Fatal(err)
	}
	var shorter bytes.Buffer // a file that takes the place of the other
	n, err := proof.Erase(&shorter, file, func(l proof.Line) bool {
		until, by, asked := l.KeepUntil(policy, nil)
		fmt.Println("to be kept until", until, "by", by.Source.Document)
		return asked && until.IsValid() && until.Compare(today) < 0
	})
	fmt.Println(n, "erased:", err)
	for line, err := range kept.Read(&shorter) {
		fmt.Printf("line %d: %q %v\n", line.N, line.Document, err)
	}
	// Output:
	// to be kept until 2025-03-12 by RACGP Infection Prevention and Control Guidelines
	// 1 erased: <nil>
	// line 1: "" <nil>
}
