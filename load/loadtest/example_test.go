package loadtest_test

import (
	"fmt"
	"log"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/packaging"
)

func policy(name string) *load.Policy {
	p, err := load.PolicyFor(name)
	if err != nil {
		log.Fatal(err)
	}
	return p
}

// A record that is in order, with one thing changed by hand.
func ExamplePouches() {
	record := loadtest.Pouches(func(r *load.Record) {
		r.Packs[0].Seal.Method = packaging.Fastener
	})
	report := load.Check(record, policy("us-cdc-2003"))
	fmt.Print(loadtest.Diff(report))
	// Output:
	// record "pouches" under us-cdc-2003:
	// + load.release.contradicted "/release/decision" broken: The recorded decision agrees with the evidence.
	// + packaging.closure.pierced "/packs/0/seal/method" broken: The pack is not closed with a staple, pin or paper clip.
}

// A fault says what must be found. In a test, Run does the same with t.
func ExampleTry() {
	report, err := loadtest.Try(loadtest.Pouches(), policy("us-cdc-2003"),
		"close a hinge", "wet one pack")
	fmt.Println(err)
	for _, p := range report.Packs {
		fmt.Println(p.ID, p.Disposition)
	}
	// Output:
	// <nil>
	// P1 reject
	// P2 reject
}

// Software that checks in steps of its own asks what is to be open then: here the
// record says that the load was released, which a void test leaves open.
func ExampleFault_Inject() {
	const void loadtest.Fault = "void the control"
	record := loadtest.Implant()
	caused, fits := void.Inject(record)
	fmt.Println(fits)
	for _, f := range caused.Required {
		fmt.Println("must:", f)
	}
	report := load.Check(record, policy("us-cdc-2003"))
	want := caused.Wanted(report)
	for _, f := range want {
		fmt.Println("wanted:", f)
	}
	fmt.Printf("%q\n", loadtest.Diff(report, want...))

	_, fits = void.Inject(loadtest.Pouches())
	fmt.Println(fits, "without a biological test")
	// Output:
	// true
	// must: load.biological.void "/monitors/biologicals/0" broken
	// must: load.implant.void "/monitors/biologicals" broken
	// wanted: load.biological.void "/monitors/biologicals/0" broken
	// wanted: load.implant.void "/monitors/biologicals" broken
	// wanted: load.release.contradicted "/release/decision" undetermined
	// ""
	// false without a biological test
}

// Diff is for tests of software that fills in records: it compares a report with
// what should have been found.
func ExampleDiff() {
	record := loadtest.Pouches(func(r *load.Record) {
		r.Packs[0].Condition.Intact, r.Packs[0].Decision = moistheat.No, moistheat.Reject
	})
	report := load.Check(record, policy("us-cdc-2003"))
	want := loadtest.Found{Rule: "load.pack.damaged", Pointer: "/packs/0/condition", Outcome: moistheat.Broken}
	fmt.Printf("%q\n", loadtest.Diff(report, want))
	want.Outcome = moistheat.Undetermined
	fmt.Print(loadtest.Diff(report, want))
	// Output:
	// ""
	// record "pouches" under us-cdc-2003:
	// ~ load.pack.damaged: want undetermined at "/packs/0/condition", found broken at "/packs/0/condition"
}

// Seen says which rules a team's own tests have broken so far.
func ExampleSeen() {
	var seen loadtest.Seen
	us := policy("us-cdc-2003")
	report, err := loadtest.Try(loadtest.Pouches(), us, "close a hinge")
	if err != nil {
		log.Fatal(err)
	}
	seen.Add(report)
	missing := seen.Missing(us, moistheat.Broken)
	fmt.Println(slices.Contains(missing, "packaging.hinge.closed"))
	fmt.Println(slices.Contains(missing, "load.pack.wet"))
	fmt.Println(len(missing) > 100)
	// Output:
	// false
	// true
	// true
}

// A vector of the conformance corpus, as software in any language would run it.
func ExampleVector() {
	corpus, err := loadtest.Conformance()
	if err != nil {
		log.Fatal(err)
	}
	for _, v := range corpus.Vectors() {
		if v.ID == "packaging.seal.narrow: broken" {
			fmt.Println(v.Why)
			fmt.Println(string(v.Patch[0].Value))
			fmt.Println(v.Expect.Outcome, v.Expect.Pointer)
			fmt.Println(v.Run(nil))
		}
	}
	// Output:
	// EN 868-5:2009, 4.3.2: at least 6 mm; 5.9 mm is one step of the measure below.
	// {"value": 5.9, "unit": "mm"}
	// broken /packs/0/seal/width
	// <nil>
}

// The corpus returns copies: one that is changed is a vector of one's own.
func ExampleCorpus_Vectors() {
	corpus, err := loadtest.Conformance()
	if err != nil {
		log.Fatal(err)
	}
	for _, v := range corpus.Vectors() {
		if v.ID == "packaging.seal.narrow: broken" {
			v.ID, v.Patch[0].Value = "packaging.seal.narrow: broken, by much", []byte(`{"value": 2, "unit": "mm"}`)
			fmt.Println(v.Run(nil))
			v.ID, v.Policy = "packaging.seal.narrow: broken, in the United States", []byte(`"us-cdc-2003"`)
			fmt.Println(v.Run(nil) != nil)
		}
	}
	// Output:
	// <nil>
	// true
}

// What software wrote is compared with what it was given.
func ExampleDiffDocuments() {
	given := `{"format": "moistheat.stored/1", "pack": "P1", "aboveFloor": {"value": 30, "unit": "cm"}, "dry": true}`
	wrote := `{"format": "moistheat.stored/1", "pack": "P1", "aboveFloor": {"value": 300, "unit": "mm"}}`
	diff, err := loadtest.DiffDocuments(loadtest.SubjectStored, []byte(given), []byte(wrote))
	fmt.Println(diff, err)
	// Output:
	// "/dry": was true, is absent
	//  <nil>
}

func ExampleStored() {
	pack := loadtest.Stored(func(s *history.StoredPack) { s.Dropped = moistheat.Yes })
	on, err := moistheat.ParseDate("2026-03-20")
	if err != nil {
		log.Fatal(err)
	}
	// Findings without a report are compared as those of a report that has nothing else.
	findings := &load.Report{Findings: history.CheckStored(pack, policy("us-cdc-2003"), on)}
	dropped := loadtest.Found{Rule: "load.storage.event", Pointer: "/dropped", Outcome: moistheat.Broken}
	fmt.Printf("%q\n", loadtest.Diff(findings, dropped))
	dropped.Pointer = "/packs/0/dropped"
	fmt.Print(loadtest.Diff(findings, dropped))
	// Output:
	// ""
	// ~ load.storage.event: want broken at "/packs/0/dropped", found broken at "/dropped"
}
