package proof_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load/proof"
)

// An ID is no text of a language and no number: it stays as it is.
func TestIDsStay(t *testing.T) {
	german, err := moistheat.LanguageFor("de")
	require.NoError(t, err)
	for _, s := range []proof.Subject{{Record: "4.20"}, {Item: "4.20"}, {Record: "not recorded"}, {Item: "the packs"}} {
		text := (&proof.Proof{Subject: s}).In(german).Text()
		assert.Contains(t, text, s.Record+s.Item, text)
	}
	gap := &proof.Proof{Gaps: []proof.Gap{{Pack: "1.10"}}}
	assert.Contains(t, gap.In(german).Text(), "1.10")
	of := &proof.Proof{Loads: []proof.Judged{{Packs: []string{"1.10", "the packs"}}}}
	assert.Contains(t, of.In(german).Text(), "Packungen: 1.10, \"the packs\"\n")
}
