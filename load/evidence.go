package load

import (
	"slices"

	"example.com/moistheat"
)

// Evidence is what a row of the release table shows. The zero value stands for rows
// that are about no evidence of the sterilizing itself.
type Evidence string

// The kinds of evidence.
const (
	PhysicalRecord       Evidence = "physical record"
	ChemicalIndicators   Evidence = "chemical indicators"
	BiologicalIndicators Evidence = "biological indicators"
	SterilizerTests      Evidence = "tests of the sterilizer"
)

// EvidenceOf returns what the row of the release table that a rule stands in shows.
func EvidenceOf(rule string) Evidence {
	for _, row := range releaseRows() {
		if slices.Contains(row.Rules, rule) {
			return row.Shows
		}
	}
	return ""
}

// Shows says whether one kind of evidence is good: no where a row about it stands
// against a release because something is broken, not recorded where one does for want
// of evidence or is not there.
func (r *Report) Shows(what Evidence) moistheat.Answer {
	found, open := false, false
	for _, row := range releaseRows() {
		if what == "" || row.Shows != what {
			continue
		}
		i := slices.IndexFunc(r.Rows, func(have Row) bool { return have.Row == row.Row })
		switch {
		case i < 0:
			return moistheat.NotRecorded
		case r.Rows[i].Triggered && r.Rows[i].Outcome >= moistheat.Broken:
			return moistheat.No
		case r.Rows[i].Triggered:
			open = true
		}
		found = true
	}
	if open || !found {
		return moistheat.NotRecorded
	}
	return moistheat.Yes
}
