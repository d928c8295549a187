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
		assert.True(t, used || id == chooseCycle, id)
	}
}
