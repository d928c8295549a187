package load

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/packaging"
	"example.com/moistheat/water"
)

const decidedBy = `{"by": "Dr Y", "date": "2026-01-05", "reason": "for a test"}`

// ownPolicy is a facility's policy on us-cdc-2003 with further members.
func ownPolicy(t *testing.T, title, members string) *Policy {
	t.Helper()
	p, err := ParsePolicy([]byte(`{"format": "moistheat.policy/1", "name": "own", "title": "` + title + `", "base": "us-cdc-2003", "decision": ` + decidedBy + members + `}`))
	require.NoError(t, err, members)
	return p
}

// What a policy says besides does not make it another one.
func TestDigestOfTheSame(t *testing.T) {
	own := ownPolicy(t, "ours", "")
	assert.Len(t, own.Digest(), 64)
	assert.Equal(t, own.Digest(), ownPolicy(t, "theirs", `, "leavesOpen": ["much"]`).Digest())
	assert.Equal(t, own.Digest(), own.On(moistheat.DateOf(instant("2026-03-09T08:00:00Z"))).Digest(), "a day")
	assert.Equal(t, own.Digest(), own.WithTables().WithWater().Digest(), "nothing is added")
	assert.Equal(t, own.Digest(), Check(good(), own).Policy.Digest)
	assert.Empty(t, (*Policy)(nil).Digest())
}

// Every single thing that a facility can set, and every way to make a policy from
// another, makes a policy that judges by something else.
func TestDigestOfEveryOverride(t *testing.T) {
	base := ownPolicy(t, "ours", "")
	seen := map[string]string{base.Digest(): "the base"}
	other := func(what string, p *Policy) {
		t.Helper()
		if same, taken := seen[p.Digest()]; taken {
			t.Errorf("%s judges as %s does, by its digest", what, same)
		}
		seen[p.Digest()] = what
	}
	for i, r := range Rules() {
		if !testrun.Full() && i%8 > 0 {
			continue
		}
		rule, inForce := base.Rule(r.ID)
		severity, effect := moistheat.Note, `{"load": "reject", "sterilizer": "out of service"}`
		if (rule.Broken == moistheat.Effect{Load: moistheat.Reject, Sterilizer: moistheat.OutOfService}) {
			effect = `{"load": "reject", "recall": true}`
		}
		if rule.Severity == moistheat.Note {
			severity = moistheat.Fault
		}
		for _, set := range []string{
			fmt.Sprintf(`"inForce": %t`, !inForce),
			`"from": "2001-01-01"`,
			`"until": "2199-01-01"`,
			`"severity": "` + severity.String() + `"`,
			`"broken": ` + effect,
			`"undetermined": ` + effect,
		} {
			if r.ID == "load.record.invalid" || r.ID == "load.internal.failure" {
				continue // refused: such a rule does no less, whatever was decided
			}
			if rule.NoWaiver && (strings.HasPrefix(set, `"inForce": false`) || strings.Contains(set, "-01-01")) {
				continue // refused: such a rule stays in force
			}
			other(r.ID+" "+set, ownPolicy(t, "ours", `, "rules": [{"id": "`+r.ID+`", "decision": `+decidedBy+`, `+set+`}]`))
		}
	}
	source := `"source": {"document": "our own", "basis": "facility"}`
	for member, value := range map[string]string{
		"band": `{"value": 1, "unit": "K"}`, "spread": `{"value": 1, "unit": "K"}`, "saturation": `{"value": 1, "unit": "K"}`,
		"overlap": `{"value": 1, "unit": "%"}`, "chamberFill": `{"value": 1, "unit": "%"}`,
		"packGap": `{"value": 77, "unit": "mm"}`, "wallGap": `{"value": 77, "unit": "mm"}`, "trayGap": `{"value": 77, "unit": "mm"}`,
	} {
		other("limit "+member, ownPolicy(t, "ours", `, "limits": {"`+member+`": {"value": `+value+`, `+source+`}}`))
	}
	for _, m := range []string{
		`"accept": []`, `"accept": ["published"]`, `"accept": ["published", "quoted"]`,
		`"cycles": ["` + cycle.Tables()[0] + `"]`,
		`"packaging": ["` + packaging.FigureNames()[0] + `"]`,
		`"water": ["` + water.LimitNames()[0] + `"]`,
	} {
		other(m, ownPolicy(t, "ours", ", "+m))
	}
	for _, name := range Policies() {
		other(name, policy(t, name))
	}
	other("no basis", policy(t, "en-13060").Accepting())
	other("another basis", policy(t, "en-13060").Accepting(moistheat.Derived))

	table, err := cycle.TableFor(cycle.Tables()[0])
	require.NoError(t, err)
	other("a table", base.WithTables(table))
	limits, err := water.LimitsFor(water.LimitNames()[0])
	require.NoError(t, err)
	other("limits of water", base.WithWater(limits))
	figures, err := packaging.FiguresFor("din-58953-7")
	require.NoError(t, err)
	more, err := policy(t, "us-oh").WithFigures(figures)
	if err == nil {
		other("figures", more)
	}
}

// A report says by what it was judged.
func TestReportNamesTheDigest(t *testing.T) {
	strict := policy(t, "us-cdc-2003").Accepting(moistheat.Published)
	data, err := json.Marshal(Check(good(), strict))
	require.NoError(t, err)
	assert.Contains(t, string(data), `"digest":"`+strict.Digest()+`"`)
	assert.NotEqual(t, policy(t, "us-cdc-2003").Digest(), strict.Digest())
}
