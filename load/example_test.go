package load_test

import (
	"fmt"
	"log"
	"os"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/load"
)

// The demonstration records stand in for an export of clinic software.
const demo = "../examples/checkload/demo/"

func Example() {
	data, err := os.ReadFile(demo + "2-damp-pouch.json")
	if err != nil {
		log.Fatal(err)
	}
	record, err := load.Decode(data)
	if err != nil {
		log.Fatal(err) // it could not be read; nothing was judged
	}
	policy, err := load.PolicyFor("us-cdc")
	if err != nil {
		log.Fatal(err)
	}
	report := load.Check(record, policy)
	fmt.Println("load:", report.Verdict.Load)
	for _, pack := range report.Packs {
		fmt.Println(pack.ID, pack.Disposition)
	}
	for _, f := range report.Findings {
		if f.Outcome == moistheat.Broken {
			fmt.Println(f.Pointer, f.Rule)
			fmt.Println(report.Message(f), "Says:", f.Sources[0])
		}
	}
	// Output:
	// load: release
	// N-201 release
	// S-202 release
	// T-203 reject
	// H-204 release
	// /packs/2/after load.pack.wet
	// The pack is wet or damp. Says: RACGP Infection Prevention and Control Guidelines, unloading the steriliser (published)
}

func ExampleDecode_unreadable() {
	_, err := load.Decode([]byte(`{"format": "moistheat.load/1", "id": "1", "load": {}, "sterilizer": {},
		"packs": [{"id": "P1", "barrier": "wrap", "items": [], "mass": {"value": 12, "unit": "lbs"}}]}`))
	fmt.Println(err)
	// Output:
	// load: /packs/0/mass/unit: "lbs" is not a UCUM code for mass; write "[lb_av]" (byte 137)
}

func ExampleRecords() {
	var stream strings.Builder
	for _, name := range []string{"1-all-good", "4-short-plateau"} {
		data, err := os.ReadFile(demo + name + ".json")
		if err != nil {
			log.Fatal(err)
		}
		// One record a line.
		stream.WriteString(strings.ReplaceAll(string(data), "\n", "") + "\n")
	}
	stream.WriteString("{cut off\n")
	policy, err := load.PolicyFor("us-cdc")
	if err != nil {
		log.Fatal(err)
	}
	for record, err := range load.Records(strings.NewReader(stream.String())) {
		if err != nil {
			fmt.Println(err)
			continue
		}
		report := load.Check(record, policy)
		fmt.Println(report.Load, report.Verdict.Load, "sterilizer", report.Verdict.Sterilizer)
	}
	// Output:
	// 0309-1 release sterilizer in service
	// 0309-4 reject sterilizer out of service
	// load: the record: want a name in quotes (line 3, byte 1)
}

func ExampleParsePolicy() {
	// A clinic that tests every day, and that lets a dropped pack pass after a look.
	policy, err := load.ParsePolicy([]byte(`{
		"format": "moistheat.policy/1",
		"name": "heron-street",
		"title": "Heron Street Foot Clinic",
		"base": "us-cdc",
		"limits": {
			"biologicalInterval": {
				"value": {"value": 1, "unit": "d"},
				"source": {"document": "clinic rule 14", "basis": "facility"}
			}
		},
		"rules": [{
			"id": "load.pack.dropped",
			"broken": {},
			"decision": {"by": "M. Castellanos", "date": "2026-01-12", "reason": "packs are inspected on the bench"}
		}]
	}`))
	if err != nil {
		log.Fatal(err)
	}
	data, err := os.ReadFile(demo + "2-damp-pouch.json")
	if err != nil {
		log.Fatal(err)
	}
	record, err := load.Decode(data)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(load.Check(record, policy).Verdict.Load)

	// Asking less than the base without saying who decided is refused.
	_, err = load.ParsePolicy([]byte(`{"format": "moistheat.policy/1", "name": "x", "title": "x", "base": "us-cdc",
		"rules": [{"id": "load.pack.dropped", "broken": {}}]}`))
	fmt.Println(err)
	// Output:
	// hold
	// load: /rules/0 asks less of load.pack.dropped than the base; record who decided that, when and why in its decision
}

// What does the library know only from memory? Ask for passes that rest on what was
// read in the documents themselves.
func ExamplePolicy_Accepting() {
	data, err := os.ReadFile(demo + "1-all-good.json")
	if err != nil {
		log.Fatal(err)
	}
	record, err := load.Decode(data)
	if err != nil {
		log.Fatal(err)
	}
	policy, err := load.PolicyFor("us-cdc")
	if err != nil {
		log.Fatal(err)
	}
	report := load.Check(record, policy.Accepting(moistheat.Published))
	for _, f := range report.Findings {
		if f.Outcome == moistheat.Undetermined && strings.HasPrefix(f.Rule, "cycle.") {
			fmt.Println(f.Rule, f.Sources[0].Basis)
		}
	}
	// Output:
	// cycle.trace.implausible derived
	// cycle.saturation.apart recalled
	// cycle.trace.gap recalled
	// cycle.trace.unreadable common practice
}
