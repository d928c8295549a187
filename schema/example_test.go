package schema_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"

	"example.com/moistheat"
	"example.com/moistheat/schema"
)

// A program that exports records checks one and shows its author what to correct.
func ExampleValidate() {
	findings, err := schema.Validate(schema.Record, []byte(`{
		"format": "moistheat.load/1",
		"id": "2026-0147",
		"Sterilizer": {"id": "S1"},
		"load": {"number": "0147", "date": "09/03/2026"},
		"packs": [{"id": "P1", "barrier": "wrap", "mass": {"value": 5.4, "unit": "KG"}, "items": []}]
	}`))
	if err != nil {
		fmt.Println("not checked:", err)
		return
	}
	rules := map[string]moistheat.Rule{}
	for _, r := range schema.Rules() {
		rules[r.ID] = r
	}
	for _, f := range findings {
		fmt.Printf("%s: %s\n", f.Pointer, rules[f.Rule].Message(f))
	}
	// Output:
	// : The member "sterilizer" is missing here.
	// /Sterilizer: The format has no member "Sterilizer" at this place (it is written "sterilizer").
	// /load/date: "09/03/2026" is not a day of the calendar such as 2026-03-09.
	// /packs/0/mass/unit: "KG" is not in the list (it is written "kg"); the list is kg, g, mg, [lb_av], [oz_av], [gr], [stone_av], [oz_tr].
}

// What cannot be checked at all is an error: here a number of nine bytes that would
// cost a gigabyte to write out.
func ExampleValidate_error() {
	_, err := schema.Validate(schema.Record, []byte(`{"id": 1e1000001}`))
	fmt.Println(errors.Is(err, moistheat.ErrLimit))
	fmt.Println(err)
	// Output:
	// true
	// /id: a number with an exponent beyond ±18; write it in a fitting unit (byte 7)
}

// The schemas are files for programs in any language.
func ExampleFS() {
	entries, err := fs.ReadDir(schema.FS(), ".")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, e := range entries {
		fmt.Println(e.Name())
	}
	// Output:
	// agenda.schema.json
	// amendment.schema.json
	// catalogue.schema.json
	// chain.schema.json
	// choice.schema.json
	// cleaning.schema.json
	// cycle-table.schema.json
	// drift.schema.json
	// due.schema.json
	// event.schema.json
	// finding.schema.json
	// findings.schema.json
	// item-use.schema.json
	// known.schema.json
	// language.schema.json
	// line.schema.json
	// log.schema.json
	// opening.schema.json
	// packaging-figures.schema.json
	// policy.schema.json
	// procedure.schema.json
	// proof.schema.json
	// record.schema.json
	// report.schema.json
	// rules.schema.json
	// status.schema.json
	// stored.schema.json
	// suspect.schema.json
	// task.schema.json
	// vectors.schema.json
	// water-limits.schema.json
}

func ExampleSource() {
	var about struct {
		ID    string `json:"$id"`
		Title string
	}
	for _, kind := range schema.Kinds() {
		if err := json.Unmarshal(schema.Source(kind), &about); err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: %s, %s\n", kind, about.Title, about.ID)
	}
	// Output:
	// record: Load record, urn:moistheat:schema:load:1
	// report: Report, urn:moistheat:schema:report:1
	// policy: Policy, urn:moistheat:schema:policy:1
	// cycle-table: Cycle table, urn:moistheat:schema:cycle-table:1
	// packaging-figures: Packaging figures, urn:moistheat:schema:packaging-figures:1
	// water-limits: Water limits, urn:moistheat:schema:water:1
	// event: Event of a sterilizer, urn:moistheat:schema:event:1
	// stored: Stored pack, urn:moistheat:schema:stored:1
	// cleaning: Batch of cleaning, urn:moistheat:schema:cleaning:1
	// known: What is known of a sterilizer, urn:moistheat:schema:known:1
	// amendment: Amendment, urn:moistheat:schema:amendment:1
	// line: Line of a history, urn:moistheat:schema:line:1
	// rules: Rules, urn:moistheat:schema:rules:1
	// findings: Findings, urn:moistheat:schema:findings:1
	// agenda: Agenda, urn:moistheat:schema:agenda:1
	// finding: Finding by itself, urn:moistheat:schema:finding:1
	// due: Due, urn:moistheat:schema:due:1
	// suspect: Suspect load, urn:moistheat:schema:suspect:1
	// status: Status, urn:moistheat:schema:status:1
	// procedure: Procedure, urn:moistheat:schema:procedure:1
	// choice: Cycle choice, urn:moistheat:schema:choice:1
	// drift: Drift, urn:moistheat:schema:drift:1
	// task: Task, urn:moistheat:schema:task:1
	// opening: Opening, urn:moistheat:schema:opening:1
	// chain: Chain, urn:moistheat:schema:chain:1
	// item-use: Item use, urn:moistheat:schema:item-use:1
	// catalogue: Catalogue, urn:moistheat:schema:catalogue:1
	// log: Line of a log, urn:moistheat:schema:log:1
	// proof: Proof, urn:moistheat:schema:proof:1
	// language: Language, urn:moistheat:schema:language:1
	// vectors: Conformance vectors, urn:moistheat:schema:vectors:1
}
