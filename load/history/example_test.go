package history_test

import (
	"bytes"
	"fmt"
	"log"
	"os"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/history"
)

// The worked case on disk: a weekly biological indicator test is read as positive, its repeat
// is negative.
func ExampleHistory() {
	policy, err := load.PolicyFor("us-cdc-2008")
	if err != nil {
		log.Fatal(err)
	}
	data, err := os.ReadFile("testdata/histories/repeat-negative.ndjson")
	if err != nil {
		log.Fatal(err)
	}
	h := history.New(policy)
	for entry, err := range history.Entries(bytes.NewReader(data)) {
		if err != nil {
			log.Fatal(err)
		}
		h.AddEntry(entry)
		if p := h.Procedures(); len(p) > 0 && len(p[0].Steps) == 2 {
			break // the first repeat has come in
		}
	}
	list := h.Recall()
	fmt.Println(len(list), "loads are suspect; first:", list[0].Number, list[0].Action)
	p := h.Procedures()[0]
	fmt.Println(p.State)
	fmt.Println(p.Next())
	fmt.Println(p.Ends())
	// Output:
	// 18 loads are suspect; first: 7 recall
	// repeating the test
	// repeat the biological indicator test now, in the same kind of cycle (dynamic air removal, 134 °C), correctly loaded, with its control and chemical indicators.
	// 2 more negative biological indicator tests in a row, with physical record and chemical indicators passed; another positive test means repair.
}

func ExampleHistory_Due() {
	policy, err := load.PolicyFor("england")
	if err != nil {
		log.Fatal(err)
	}
	h := history.New(policy)
	monday := time.Date(2026, time.March, 9, 7, 0, 0, 0, time.UTC)
	for day := range 3 {
		h.AddEvent(&history.Event{Format: history.EventFormat, ID: fmt.Sprint(day), Sterilizer: "S1", Kind: calendar.LeakEvent, Time: monday.AddDate(0, 0, day-8), Passed: 1})
	}
	h.Add(&load.Record{Format: load.Format, ID: "1", Sterilizer: load.Sterilizer{ID: "S1"}, Cycle: &load.Cycle{
		Evidence: cycle.Evidence{Started: monday.Add(2 * time.Hour), Ended: monday.Add(3 * time.Hour)},
	}})
	for _, d := range h.Due(monday.Add(5 * time.Hour)) {
		fmt.Println(d.Duty.Test, d.State)
	}
	// Output:
	// air removal overdue
	// leak done
	// automatic control overdue
	// requalification overdue
	// pressure vessel never recorded
}

func ExamplePolicy_KeepUntil() {
	policy, err := load.PolicyFor("us-or")
	if err != nil {
		log.Fatal(err)
	}
	made := moistheat.NewDate(2026, time.January, 1)
	last, by, ok := policy.KeepUntil(calendar.BiologicalRecords, made, moistheat.Date{})
	fmt.Println(ok, last, by.Source)
	// Output:
	// true 2028-12-31 OAR 818-012-0040, current and two preceding calendar years (published)
}

// A biological indicator test of 3 March was positive; the load of 9 March has a perfect record.
func ExampleHistory_Check() {
	policy, err := load.PolicyFor("us-cdc-2003")
	if err != nil {
		log.Fatal(err)
	}
	h := history.New(policy)
	h.AddEvent(&history.Event{
		Format: history.EventFormat, ID: "e-17", Sterilizer: "S1", Kind: calendar.BiologicalTestEvent,
		Time: time.Date(2026, time.March, 3, 9, 0, 0, 0, time.UTC), Biological: &load.Biological{Result: load.Positive},
	})
	data, err := os.ReadFile("../loadtest/corpus/bases/pouches.json")
	if err != nil {
		log.Fatal(err)
	}
	record, err := load.Decode(data)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("by its record alone:", load.Check(record, policy).Verdict.Load)
	report := h.Check(record)
	fmt.Println("by its history:", report.Verdict.Load)
	for _, f := range report.Findings {
		if f.Rule == "load.sterilizer.outofservice" {
			fmt.Println(report.Message(f))
		}
	}
	// Output:
	// by its record alone: release
	// by its history: quarantine
	// The sterilizer was out of service during the cycle of the load, since 3 March 2026, 09:00: positive test (e-17).
}

// A clinic's log refers to its catalogue. The history has it, and takes the log as it was written.
func ExampleHistory_UseCatalogue() {
	policy, err := load.PolicyFor("us-cdc-2003")
	if err != nil {
		log.Fatal(err)
	}
	read := func(name string) []byte {
		data, err := os.ReadFile("../../examples/checkload/clinic/" + name)
		if err != nil {
			log.Fatal(err)
		}
		return data
	}
	catalogue, err := load.DecodeCatalogue(read("catalogue.json"))
	if err != nil {
		log.Fatal(err)
	}
	facts, err := catalogue.Facts()
	if err != nil {
		log.Fatal(err)
	}
	record, err := load.Decode(read("log.json"))
	if err != nil {
		log.Fatal(err)
	}
	h := history.New(policy)
	fmt.Println("without a catalogue:", h.Check(record).Verdict.Load)
	h.UseCatalogue(facts)
	report := h.Check(record)
	fmt.Println("with it:", report.Verdict.Load)
	fmt.Println("catalogue:", report.Catalogue.ID)
	h.Add(record)
	// Output:
	// without a catalogue: quarantine
	// with it: release
	// catalogue: Heron Street Foot Clinic
}

// A test was typed in as positive. Whoever is responsible signs that, and the test is entered
// as it was read: before it is, nothing shows that it was negative.
func ExampleHistory_AddAmendment() {
	policy, err := load.PolicyFor("us-cdc-2003")
	if err != nil {
		log.Fatal(err)
	}
	test := func(result string) *history.Event {
		e, err := history.DecodeEvent([]byte(`{"format": "moistheat.event/1", "id": "B1", "sterilizer": "S1",
			"kind": "biological", "time": "2026-03-09T08:40:00+01:00", "physical": true, "chemical": true,
			"biological": {"result": "` + result + `", "lot": "L1", "expires": "2027-01-31", "suited": true,
				"temperature": {"value": 57, "unit": "Cel"}, "incubated": {"value": 24, "unit": "h"},
				"readout": {"value": 24, "unit": "h"}, "control": {"lot": "L1", "result": "positive"}}}`))
		if err != nil {
			log.Fatal(err)
		}
		return e
	}
	h := history.New(policy)
	h.AddEvent(test("positive"))
	fmt.Println(h.Status()[0].Service)
	for _, line := range h.Lines() {
		fmt.Println(line.What)
		err := h.AddAmendment(&history.Amendment{
			Time: time.Date(2026, time.March, 10, 12, 0, 0, 0,
				time.UTC), By: "Dr Y", Why: "The wrong line of the form.",
			Lines: []string{line.Digest}, Takes: []string{"/biological/result"},
		})
		if err != nil {
			log.Fatal(err)
		}
	}
	fmt.Println(h.Status()[0].Service)
	h.AddEvent(test("negative"))
	status := h.Status()[0]
	fmt.Println(status.Service)
	fmt.Println(status.Amended[0])
	// Output:
	// out of service
	// biological indicator test B1 of 9 March 2026, 08:40
	// out of service
	// in service
	// Dr Y took back /biological/result on 10 March 2026, 12:00: The wrong line of the form.
}
