package loadtest_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

type builder struct {
	name     string
	build    func(...func(*load.Record)) *load.Record
	policies []string
}

func builders() []builder {
	both := []string{"us-cdc", "en-13060"}
	return []builder{
		{"pouches", loadtest.Pouches, both}, {"unwrapped", loadtest.Unwrapped, both[:1]}, {"container", loadtest.Container, both},
		{"textiles", loadtest.Textiles, both}, {"implant", loadtest.Implant, both}, {"handpiece", loadtest.Handpiece, both},
		{"trays", loadtest.Trays, both}, {"printed only", loadtest.PrintedOnly, both[:1]}, {"water", loadtest.Water, both},
	}
}

func TestFaultsOnEveryBuilderTheyFit(t *testing.T) {
	faults := loadtest.Faults()
	require.GreaterOrEqual(t, len(faults), 30)
	fitted := map[string]bool{}
	for _, b := range builders() {
		if testing.Short() {
			b.policies = b.policies[:1]
		}
		for _, name := range b.policies {
			policy, err := load.PolicyFor(name)
			require.NoError(t, err)
			for _, f := range faults {
				record := b.build()
				caused, fits := f.Inject(record)
				if !fits {
					_, err := loadtest.Try(b.build(), policy, f)
					assert.ErrorContains(t, err, "does not fit")
					continue
				}
				assert.NotEmpty(t, caused.Must, f.Name)
				fitted[f.Name] = true
				t.Run(fmt.Sprintf("%s/%s/%s", b.name, name, f.Name), func(t *testing.T) {
					loadtest.Run(t, b.build(), policy, f)
				})
			}
		}
	}
	for _, f := range faults {
		assert.True(t, fitted[f.Name], "%q fits no builder", f.Name)
		other, ok := loadtest.FaultNamed(f.Name)
		assert.True(t, ok)
		assert.Equal(t, f.Name, other.Name, "names are unique")
	}
	assert.Len(t, fitted, len(faults))
}

// Faults go together unless one takes away what another needs.
func TestFaultsTogether(t *testing.T) {
	faults := func(names ...string) (out []loadtest.Fault) {
		for _, n := range names {
			f, ok := loadtest.FaultNamed(n)
			require.True(t, ok, n)
			out = append(out, f)
		}
		return out
	}
	policy, err := load.PolicyFor("us-cdc")
	require.NoError(t, err)
	loadtest.Run(t, loadtest.Implant(), policy, faults("void the control", "fail the challenge device", "tear a pack", "top up the tank", "abort the cycle")...)
	loadtest.Run(t, loadtest.Handpiece(), policy, faults("wipe a handpiece instead of cleaning it", "end the hold after two minutes", "use one id twice", "release without a name")...)

	_, err = loadtest.Try(loadtest.Pouches(), policy, faults("fail an inside indicator", "leave the inside indicator out")...)
	assert.ErrorContains(t, err, `- load.indicator.internal "/packs/0/indicators/1" broken`, "the second takes the indicator away")
}

func TestTryNotices(t *testing.T) {
	policy, err := load.PolicyFor("us-cdc")
	require.NoError(t, err)
	_, err = loadtest.Try(loadtest.Pouches(), policy)
	assert.NoError(t, err, "nothing is open")

	closed := loadtest.Pouches(func(r *load.Record) { r.Packs[1].Items[0].Open = moistheat.No })
	_, err = loadtest.Try(closed, policy)
	assert.ErrorContains(t, err, `+ packaging.hinge.closed "/packs/1/items/0/open" broken`)

	// The second fault takes away what the first one is seen by.
	lost, _ := loadtest.FaultNamed("lose the physical record")
	short, _ := loadtest.FaultNamed("end the hold after two minutes")
	_, err = loadtest.Try(loadtest.Pouches(), policy, short, lost)
	assert.ErrorContains(t, err, `- cycle.hold.short "/cycle/trace" broken`)

	before, err := loadtest.Clone(closed)
	require.NoError(t, err)
	wet, _ := loadtest.FaultNamed("wet one pack")
	_, err = loadtest.Try(closed, policy, wet)
	assert.NoError(t, err, "what was open before may stay open")
	assert.Equal(t, before, closed, "the record is not changed")
}

func TestSeen(t *testing.T) {
	policy, err := load.PolicyFor("us-cdc")
	require.NoError(t, err)
	var seen loadtest.Seen
	assert.Len(t, seen.Missing(policy, moistheat.Met), len(inForce(policy)))
	report := load.Check(loadtest.Pouches(), policy)
	seen.Add(report)
	assert.True(t, seen.Has("load.pack.wet", moistheat.Met))
	assert.False(t, seen.Has("load.pack.wet", moistheat.Broken))
	assert.True(t, seen.Has("cycle.spread.wide", moistheat.NotInForce), "from the report's count")
	assert.True(t, seen.Has("load.tray.gap", moistheat.NotApplicable), "from the report's count")
	assert.NotContains(t, seen.Missing(policy, moistheat.Met), "load.pack.wet")
	assert.Contains(t, seen.Text(policy), "load.pack.wet")
	h := load.NewHistory(policy)
	for _, e := range loadtest.Fortnight() {
		h.AddEntry(e)
	}
	seen.AddFindings(h.Findings(time.Date(2026, 3, 15, 12, 0, 0, 0, time.UTC)))
	assert.True(t, seen.Has("load.history.overdue", moistheat.Met))
}

func inForce(p *load.Policy) (ids []string) {
	for _, r := range load.Rules() {
		if _, ok := p.Rule(r.ID); ok {
			ids = append(ids, r.ID)
		}
	}
	return ids
}
