package main

import (
	"encoding/json"
	"fmt"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
)

// propose prints what the records in files agree on as a catalogue from a day on, and on
// standard error what is to be decided by a person.
func (p *program) propose(day, catalogue string, files []string) int {
	known, err := catalogueOf(catalogue)
	if err != nil {
		return p.refuse(err)
	}
	from, _ := moistheat.ParseDate(day) // tried before
	var records []*load.Record
	if p.each(files, entries(func(e history.Entry) error {
		records = append(records, e.Record)
		return nil
	})) != good {
		return p.code // what some of the records agree on is not what all do
	}
	proposal, err := history.Propose(slices.Values(records), from, known)
	if err != nil {
		return p.refuse(err)
	}
	doc, err := json.MarshalIndent(proposal.Catalogue, "", " ")
	if err != nil {
		return p.refuse(err)
	}
	fmt.Fprintf(p.stdout, "%s\n", doc)
	fmt.Fprint(p.stderr, proposal.In(p.language).Text())
	return p.code
}
