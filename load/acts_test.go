package load

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/units"
)

// Where no table has the cycle one question says so, which no member of the record answers;
// where the settings are not recorded the same rules ask for these.
func TestNoTableHasTheCycle(t *testing.T) {
	r := good()
	r.Cycle.Settings.Temperature = units.New(125, 0, units.Celsius) // of no row of the standard
	report := Check(r, policy(t, "en-13060"))
	require.False(t, report.Released())
	f := finding(t, report, "cycle.requirement.none", "/cycle/settings")
	require.Equal(t, moistheat.NoLimit, f.Reason)
	assert.Empty(t, f.Answers)
	at := func(act string, of *Report) (rules []string) {
		for _, q := range of.Questions() {
			if q.Act == act {
				for _, i := range q.Findings {
					rules = append(rules, of.Findings[i].Rule)
				}
				assert.False(t, act == "choose a cycle" && (q.AtTheTime || q.Answers != nil))
			}
		}
		return rules
	}
	found := at("choose a cycle", report)
	assert.Contains(t, found, "cycle.requirement.none")
	assert.Contains(t, found, "cycle.band.above")
	assert.Empty(t, at("enter the settings", report))
	assert.Contains(t, report.Text(), "Choose a cycle from the manufacturers' instructions")

	r = good()
	r.Cycle.Settings.Temperature = units.Temperature{}
	report = Check(r, policy(t, "en-13060"))
	assert.Empty(t, at("choose a cycle", report))
	assert.Contains(t, at("enter the settings", report), "cycle.requirement.none")
}

// Each act is one of a rule, or answers in place of it; what it answers so are rules.
func TestEveryActIsOfRules(t *testing.T) {
	all := Rules()
	for _, id := range []string{chooseCycle} {
		require.NotEmpty(t, actOf(id).Without)
		for _, rule := range actOf(id).Without {
			_, known := Rule(rule)
			assert.True(t, known, rule)
		}
	}
	for _, r := range all {
		if r.Act != "" {
			assert.NotEmpty(t, actOf(r.Act).Text, r.ID)
		}
	}
	for id := range allActs() {
		used := slices.ContainsFunc(all, func(r moistheat.Rule) bool { return r.Act == id })
		parts := 0
		for _, a := range allActs() {
			if a.Of == id {
				parts++
				assert.Empty(t, allActs()[id].Of, "one in another")
			}
		}
		assert.True(t, used && parts == 0 || id == chooseCycle || !used && parts > 1, id)
	}
}

// Acts that a person does in one go are one question where several of them are open, with every
// finding and every member that answers one; an act that is open alone asks for itself alone.
func TestActsOfOneGo(t *testing.T) {
	r := good()
	r.Packs[0].Label = nil
	alone := Check(r, policy(t, "us-cdc-2003")).Questions()
	assert.True(t, slices.ContainsFunc(alone, func(q Question) bool { return q.Act == "read the label" }))
	r.Packs[0].Seal = nil
	report := Check(r, policy(t, "us-cdc-2003"))
	var asked []int
	for _, q := range report.Questions() {
		assert.NotEqual(t, "read the label", q.Act)
		var answers []string
		for _, i := range q.Findings {
			answers = append(answers, report.Findings[i].Answers...)
		}
		slices.Sort(answers)
		assert.ElementsMatch(t, slices.Compact(answers), q.Answers)
		asked = append(asked, q.Findings...)
		if q.Act == "inspect the packs" {
			assert.Contains(t, q.Answers, "/packs/0/label")
			assert.Contains(t, q.Answers, "/packs/0/seal/intact")
		}
	}
	var open []int
	for i, f := range report.Findings {
		if f.Open() && f.Outcome == moistheat.Undetermined {
			open = append(open, i)
		}
	}
	assert.ElementsMatch(t, open, asked, "each once")
}
