package proof_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle/drawing"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
)

// A key of a patient is shown where it is asked for, which is in the member of an answer
// that has it: not by a finding, a text, an error or a drawing, under any policy.
func TestNoKeyOfAPatientShows(t *testing.T) {
	const secret = "ZZ-KEY-OF-A-PATIENT"
	r := loadtest.Pouches()
	r.ID = "load-1"
	for i := range r.Packs {
		for j := range r.Packs[i].Items {
			r.Packs[i].Items[j].UsedOn, r.Packs[i].Items[j].MeantFor = secret, secret+"-2"
		}
	}
	r.Monitors.Biologicals = []load.Biological{{Lot: "L1", Result: load.Positive}}
	stored := &history.StoredPack{Format: history.StoredFormat, Pack: r.Packs[0].ID, Record: r.ID,
		Use: &history.Use{Time: r.Cycle.Ended.Add(time.Hour), Patient: secret, PrionSuspected: moistheat.Yes}}
	for _, name := range load.Policies() {
		policy, err := load.PolicyFor(name)
		require.NoError(t, err)
		h := history.New(policy)
		h.Add(r)
		h.AddStored(stored)
		at := r.Cycle.Ended.AddDate(0, 1, 0)
		report := h.Check(r)
		findings := append(h.Findings(at), history.CheckStored(stored, policy, moistheat.DateOf(at))...)
		var picture strings.Builder
		require.NoError(t, drawing.SVG(&picture, r.Cycle.Trace, report.Analysis))
		said := []any{report.Text(), policy.Text(findings), findings, h.Due(at), h.Status(), h.OutOfService(), h.Procedures(), h.Drift(),
			h.Known(r), h.Lines(), picture.String()}
		data, err := report.JSON()
		require.NoError(t, err)
		said = append(said, string(data))
		met := 0
		for _, s := range h.Recall() {
			said = append(said, s.String())
			for _, p := range s.Packs {
				met += strings.Count(p.Patient, secret)
			}
		}
		assert.Positive(t, met, "%s: the recall knows whom to look for", name)
		for _, s := range said {
			text, err := json.Marshal(s)
			require.NoError(t, err)
			assert.NotContains(t, string(text)+fmt.Sprintf("%v", s), secret, name)
		}
	}
	for _, doc := range []any{r, stored} {
		data, err := json.Marshal(doc)
		require.NoError(t, err)
		at := strings.Index(string(data), secret)
		require.Positive(t, at)
		for cut := max(0, at-40); cut < min(at+len(secret)+40, len(data)); cut++ {
			for _, broken := range []string{string(data[:cut]), string(data[:cut]) + string(data[cut+1:]), string(data[:cut]) + "\x00" + string(data[cut:]),
				string(data[:cut]) + `"` + string(data[cut:])} {
				for _, err := range []error{second(load.Decode([]byte(broken))), second(history.DecodeStoredPack([]byte(broken)))} {
					if err != nil {
						assert.NotContains(t, err.Error(), secret)
					}
				}
			}
		}
	}
}

func second[T any](_ T, err error) error { return err }
