package check_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/check"
)

var rule = moistheat.Rule{
	ID:       "pack.seal.checked",
	Severity: moistheat.Caution,
	Sources:  []moistheat.Source{{Document: "a document", Basis: moistheat.Published}},
}

func TestAdd(t *testing.T) {
	var l check.List
	f := l.Add(&rule, moistheat.Broken, moistheat.Limit, "/packs/0")
	f.Table = "row 1"
	require.Len(t, l.Findings, 1)
	assert.Equal(t, moistheat.Finding{
		Rule: "pack.seal.checked", Outcome: moistheat.Broken, Severity: moistheat.Caution, Kind: moistheat.Limit,
		Pointer: "/packs/0", Sources: rule.Sources, Table: "row 1",
	}, l.Findings[0], "what is filled in later is in the list")
	l.Skip(&rule, "/packs/1")
	assert.Equal(t, moistheat.NotApplicable, l.Findings[1].Outcome)
	assert.Equal(t, "/packs/1", l.Findings[1].Pointer)
}

func TestAnswer(t *testing.T) {
	for _, test := range []struct {
		got, want moistheat.Answer
		outcome   moistheat.Outcome
		kind      moistheat.Kind
	}{
		{moistheat.Yes, moistheat.Yes, moistheat.Met, moistheat.Choice},
		{moistheat.No, moistheat.No, moistheat.Met, moistheat.Choice},
		{moistheat.No, moistheat.Yes, moistheat.Broken, moistheat.Choice},
		{moistheat.Yes, moistheat.No, moistheat.Broken, moistheat.Choice},
		{moistheat.NotRecorded, moistheat.Yes, moistheat.Undetermined, moistheat.Missing},
		{moistheat.NotRecorded, moistheat.No, moistheat.Undetermined, moistheat.Missing},
		{moistheat.Answer(9), moistheat.Yes, moistheat.Broken, moistheat.Choice},
	} {
		var l check.List
		f := l.Answer(&rule, test.got, test.want, "/seal")
		assert.Equal(t, test.outcome, f.Outcome, "%s, want %s", test.got, test.want)
		assert.Equal(t, test.kind, f.Kind, "%s, want %s", test.got, test.want)
		assert.Equal(t, "/seal", f.Pointer)
	}
}

func TestIf(t *testing.T) {
	assert.Equal(t, moistheat.Broken, check.If(true))
	assert.Equal(t, moistheat.Met, check.If(false))
}

func TestWith(t *testing.T) {
	var l check.List
	f := l.Add(&rule, moistheat.Met, moistheat.Choice, "")
	assert.Same(t, f, check.With(check.With(f, "a", "1"), "b", "2"))
	assert.Equal(t, "1", l.Findings[0].Param("a"))
	assert.Equal(t, "2", l.Findings[0].Param("b"))
	assert.Empty(t, l.Findings[0].Param("c"))
}

func TestAnswerNotRecordedIsNeverMet(t *testing.T) {
	var l check.List
	f := l.Answer(&moistheat.Rule{}, moistheat.NotRecorded, moistheat.NotRecorded, "")
	assert.Equal(t, moistheat.Undetermined, f.Outcome)
}
