package load_test

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/load"
)

// An emergency release of an implant cites the document of the policy that provides for it,
// or says that there is none.
func TestEmergencyCitesThePolicy(t *testing.T) {
	data, err := os.ReadFile("loadtest/corpus/bases/implant.json")
	require.NoError(t, err)
	for policy, document := range map[string]string{
		"us-cdc-2003": "CDC Guidelines for Infection Control in Dental Health-Care Settings",
		"us-cdc-2008": "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities",
		"us-st79":     "ANSI/AAMI ST79",
		"australia":   "",
	} {
		r, err := load.Decode(data)
		require.NoError(t, err)
		b := &r.Monitors.Biologicals[0]
		b.Result = load.Pending
		r.Release.Emergency = &load.Emergency{Reason: "trauma", ApprovedBy: "Dr Y"}
		p, err := load.PolicyFor(policy)
		require.NoError(t, err)
		found := false
		for _, f := range load.Check(r, p).Findings {
			if f.Rule != "load.implant.pending" {
				continue
			}
			found = true
			require.NotNil(t, f.Waiver, policy)
			assert.Equal(t, document == "", strings.Contains(f.Waiver.Reason, "no document of the policy"), policy)
			if document != "" {
				require.Equal(t, 1, f.Sources.Len(), policy)
				assert.Equal(t, document, f.Sources.At(0).Document, policy)
			}
		}
		assert.True(t, found, policy)
	}
}
