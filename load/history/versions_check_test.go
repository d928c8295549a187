package history_test

import (
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of a load whose records disagree the worse one counts, whichever is checked: until one is
// taken back nothing says which is right.
func TestCheckOfAnotherVersion(t *testing.T) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	good := func() *load.Record { return loadtest.Pouches() }
	require.Equal(t, moistheat.Release, load.Check(good(), p).Verdict.Load)
	for name, edit := range map[string]func(*load.Record){
		"a positive spore test": func(r *load.Record) {
			r.Monitors.Biologicals = []load.Biological{{Result: load.Positive}}
		},
		"a short holding time": func(r *load.Record) {
			r.Cycle.Trace = nil
			r.Cycle.Printed.HoldTime = units.MustParse[units.DurationUnit]("38 s")
		},
	} {
		bad := good()
		edit(bad)
		for _, both := range [][]*load.Record{{good(), bad}, {bad, good()}, {bad}} {
			h := history.New(p)
			for _, r := range both {
				h.Add(r)
			}
			got := h.Check(good())
			assert.False(t, got.Verdict.Load == moistheat.Release, "%s, %d records", name, len(both))
			suspect := 0
			for _, f := range got.Findings {
				if f.Rule == "load.sterilizer.suspect" {
					suspect++
					assert.Contains(t, got.Message(f), "another record of it", name)
				}
			}
			assert.Equal(t, 1, suspect, name)
		}
		h := history.New(p)
		h.Add(bad)
		for _, f := range h.Check(bad).Findings {
			assert.NotEqual(t, "load.sterilizer.suspect", f.Rule, "a record is not another one of itself")
		}
	}
	h := history.New(p)
	h.Add(good())
	less := good()
	less.Release = nil
	h.Add(less)
	assert.Equal(t, moistheat.Release, h.Check(good()).Verdict.Load,
		"what was written first says less, and nothing else")
}
