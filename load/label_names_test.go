package load

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat"
)

// A name that looks like a day is a name; the day of a label is a day.
func TestNamesThatLookLikeDays(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	r := good()
	r.Load.Number, r.Packs[0].Label.Load = "9 March 2026", "2026-03-09"
	report := Check(r, p)
	assert.Equal(t, "The label's load number is 2026-03-09; the record says 9 March 2026.",
		report.Message(finding(t, report, "load.label.mismatch", "/packs/0/label/load")))
	r = good()
	r.Packs[0].Label.Date = r.Load.Date.AddDays(1)
	report = Check(r, p)
	message := report.Message(finding(t, report, "load.label.mismatch", "/packs/0/label/date"))
	assert.Contains(t, message, " March 2026; the record says ")
}

// What came in with a document is seen in every message, also in one that says the title.
func TestMessagesAreVisible(t *testing.T) {
	rule := moistheat.Rule{ID: "ours.item.oiled", Title: "The item {item} is oiled."}
	for _, reason := range []moistheat.Reason{moistheat.Unrecorded, moistheat.BasisNotAccepted, moistheat.NotYet} {
		f := moistheat.Finding{Rule: rule.ID, Outcome: moistheat.Undetermined, Reason: reason,
			Params: moistheat.Params{moistheat.ParamOf("item", "x\x1b[2J\nVerdict: RELEASE")}}
		assert.NotContains(t, rule.Message(f), "\x1b", reason)
		assert.NotContains(t, rule.Message(f), "\n", reason)
	}
}
