package load

import (
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// By a policy that knows nothing, nothing is met.
func TestUnderNoPolicyNothingIsMet(t *testing.T) {
	for _, p := range []*Policy{nil, {}} {
		f := moistheat.Finding{Rule: "load.pack.wet", Outcome: moistheat.Met}
		assert.False(t, p.Apply(&f))
		assert.Equal(t, moistheat.Internal, f.Outcome)
		for _, findings := range [][]moistheat.Finding{
			CheckPacking(good(), p), CycleObjections(good(), p, cycle.Settings{}, TypeB),
		} {
			require.NotEmpty(t, findings)
			assert.Equal(t, moistheat.Internal, findings[0].Outcome)
		}
		assert.Equal(t, moistheat.Reject, Check(good(), p).Verdict.Load)
	}
}

// A waiver is for the one thing that its author saw.
func TestWaiverForTwoFindingsWaivesNone(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	r := good()
	r.Packs[0].Condition.Dry, r.Packs[0].Condition.Intact = moistheat.Yes, moistheat.Yes
	one := moistheat.Waiver{Rule: "packaging.item.uninspected", Pack: r.Packs[0].ID, Item: r.Packs[0].Items[0].Name,
		Reason: "seen at the bench", Author: "Dr Y", Expires: time.Date(2099, 1, 1, 0, 0, 0, 0, time.UTC)}
	report := newReport(r, p, false)
	shared := []moistheat.Finding{
		{Rule: one.Rule, Outcome: moistheat.Broken, Pointer: "/packs/0/items/0", Waiver: &one, Effect: p.rules[one.Rule].rule.Broken},
		{Rule: one.Rule, Outcome: moistheat.Broken, Pointer: "/packs/0/items/1", Waiver: &one, Effect: p.rules[one.Rule].rule.Broken},
	}
	report.unwaive(shared)
	assert.Nil(t, shared[0].Waiver)
	assert.Nil(t, shared[1].Waiver)
	assert.Equal(t, p.rules[one.Rule].rule.Broken.Pack, report.each[0].Pack)
	alone := shared[:1]
	alone[0].Waiver = &one
	report.unwaive(alone)
	assert.Equal(t, &one, alone[0].Waiver)
}

// A wet pack leaves nothing inside it released, however deep it lies.
func TestPacksInPacksShareItsFate(t *testing.T) {
	r := good()
	inner := r.Packs[0]
	r.Packs[0].Condition.Dry = moistheat.No
	last := r.Packs[0].ID
	for i := range 8 {
		p := inner
		p.ID, p.Inside = "n"+strconv.Itoa(i), last
		last = p.ID
		r.Packs = append([]Pack{p}, r.Packs...) // the innermost first
	}
	for _, p := range Check(r, policy(t, "us-cdc-2003")).Packs {
		assert.Equal(t, p.ID == "P2", p.Disposition == moistheat.Release, p.ID)
	}
}

// Much of the Netherlands lies below the sea.
func TestBelowSeaLevel(t *testing.T) {
	r := good()
	r.Site.Altitude = units.New(-4, 0, units.Metre)
	assert.NoError(t, r.Validate())
	assert.Equal(t, moistheat.Release, Check(r, policy(t, "us-cdc-2003")).Verdict.Load)
}

// No decision lets an invalid record go.
func TestInvalidRecordsStayHeld(t *testing.T) {
	for _, id := range []string{"load.record.invalid", "load.internal.failure"} {
		_, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"ours","base":"us-cdc-2003",
			"rules":[{"id":"` + id + `","broken":{},"decision":{"by":"Dr Y","date":"2026-01-05","reason":"for a test"}}]}`))
		assert.ErrorIs(t, err, moistheat.ErrInvalid, id)
	}
	r := good()
	r.Packs[0].Items[0].Traits = []packaging.Trait{"Implant"}
	assert.True(t, slices.ContainsFunc(CheckPacking(r, policy(t, "us-cdc-2003")), func(f moistheat.Finding) bool {
		return f.Rule == "load.record.invalid" && f.Outcome == moistheat.Broken
	}))
	said := strings.Join(strings.Fields(Check(r, policy(t, "us-cdc-2003")).Text()), " ")
	assert.Contains(t, said, "Not allowed in a document: packs 1, items 1, traits 1 (")
	assert.Contains(t, said, `did you mean "implant"?).`)
	assert.NotContains(t, said, "?.")
}
