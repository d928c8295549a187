package load

import (
	"os"
	"slices"
	"strings"
	"testing"

	"example.com/moistheat"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func onDisk(t testing.TB, name string) *Record {
	t.Helper()
	data, err := os.ReadFile("testdata/scenarios/" + name + ".json")
	require.NoError(t, err)
	r, err := Decode(data)
	require.NoError(t, err)
	return r
}

// Loads whose verdict is published or follows from what is: the documents are named
// beside each.
func TestScenarios(t *testing.T) {
	const rel, hold, rej = moistheat.Release, moistheat.Quarantine, moistheat.Reject
	for _, tt := range []struct {
		name, policy string
		load         moistheat.Disposition
		packs        []moistheat.Disposition
		broken       []string // rules broken, others may not be
		also         []string // rule, outcome: what else must be said
	}{
		// Winter et al. 2017 (published): in cycles without vacuum thermometry failed in
		// 56 of 56 handpieces and spore tests in few. EN 13060 (quoted): type N carries
		// unwrapped solids. 100 mm by 0.8 mm is 125 diameters: hollow A. A passed
		// indicator or spore test clears nothing.
		{"01-handpieces-type-n", "en-13060", rej, []moistheat.Disposition{rej, rej, rej, rej},
			[]string{"load.fit.narrow", "load.fit.nothing", "load.fit.packed"}, []string{"load.biological.positive met", "load.indicator.external met"}},
		// RACGP, unloading (published): a wet pack is not sterile; the others stand.
		{"02-one-damp-pouch", "us-cdc-2003", rel, []moistheat.Disposition{rej, rel, rel, rel, rel, rel, rel, rel},
			[]string{"load.pack.wet"}, []string{"load.pack.wetload met"}},
		// Trade text (quoted): more than one wet pack is a wet load, to be looked into.
		{"03-three-damp-pouches", "us-cdc-2003", rel, []moistheat.Disposition{rej, rej, rej, rel, rel, rel, rel, rel},
			[]string{"load.pack.wet", "load.pack.wetload"}, nil},
		// Ohio hospital 2011 (published): containers in a cycle without vacuum; the
		// indicator inside showed it.
		{"09-container-in-gravity", "us-cdc-2003", rej, []moistheat.Disposition{rej},
			[]string{"load.fit.container", "load.fit.nothing", "load.indicator.internal"}, []string{"load.indicator.external met"}},
		// ST79 8.3.4 and a trade article (quoted): two reasons to reject, and the size.
		{"10-double-pouch", "us-cdc-2003", rel, []moistheat.Disposition{rej, rel},
			[]string{"packaging.layers.facing", "packaging.layers.folded", "packaging.layers.size"}, nil},
		// CDC 2003 F.7 (published): hold until the biological indicator is read.
		{"16-implant-kit", "us-cdc-2003", hold, []moistheat.Disposition{hold}, nil,
			[]string{"load.implant.pending undetermined", "load.implant.untested met"}},
		// CDC 2008 and RACGP (published): two reasons to reject, whatever the indicator.
		{"18-clip-and-locked-scissors", "us-cdc-2003", rel, []moistheat.Disposition{rej, rel},
			[]string{"packaging.closure.pierced", "packaging.hinge.closed"}, []string{"load.indicator.internal met"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := onDisk(t, tt.name)
			report := Explain(r, policy(t, tt.policy))
			assert.Equal(t, tt.load, report.Verdict.Load)
			var packs []moistheat.Disposition
			for _, p := range report.Packs {
				packs = append(packs, p.Disposition)
			}
			assert.Equal(t, tt.packs, packs)
			var rules []string
			said := map[string]bool{}
			for _, f := range report.Findings {
				said[f.Rule+" "+f.Outcome.String()] = true
				if f.Outcome == broken && (f.Severity == moistheat.Fault || slices.Contains(tt.broken, f.Rule)) {
					rules = append(rules, f.Rule)
				}
			}
			slices.Sort(rules)
			assert.Equal(t, tt.broken, slices.Compact(rules))
			for _, want := range tt.also {
				assert.True(t, said[want], want)
			}
			assertSound(t, r, report)
		})
	}
}

// The Alberta standard (quoted): type 5 inside a pack with an implant, put in force
// by a facility.
func TestScenarioImplantKitAlberta(t *testing.T) {
	own,
		err := ParsePolicy([]byte(`{"format": "moistheat.policy/1", "name": "own", "title": "own", "base": "us-cdc-2003",
		"rules": [{"id": "packaging.indicator.implant", "inForce": true}]}`))
	require.NoError(t, err)
	report := Explain(onDisk(t, "16-implant-kit"), own)
	assert.Equal(t, moistheat.Quarantine, report.Verdict.Load)
	assert.Equal(t, broken, outcome(report, "packaging.indicator.implant", "/packs/0/indicators"))
	// A documented emergency needs type 5 inside (ST79 10.6.3, quoted): type 4 holds.
	r := onDisk(t, "16-implant-kit")
	r.Release.Emergency = &Emergency{Reason: "surgery in an hour", ApprovedBy: "Dr Y"}
	assert.Equal(t, moistheat.Quarantine, Explain(r, policy(t, "us-cdc-2003")).Verdict.Load)
}

// Statements in circulation that are wrong or unsafe, as what must not come out.
func TestWrongStatements(t *testing.T) {
	hollow := func(l ...string) *Record {
		r := onDisk(t, "01-handpieces-type-n")
		lum := &r.Packs[0].Items[0].Lumens[0]
		lum.Length, lum.Bore, lum.OpenEnds = length(l[0]), length(l[1]), 1
		return r
	}
	fit := func(r *Record, rule string) moistheat.Outcome {
		return outcome(Explain(r, policy(t, "en-13060")), rule, "/packs/0/items/0")
	}
	// "Hollow A is more than 5 diameters, B is 1 to 5": a blind bore of 8 by 2 mm is A.
	trap := hollow("8 mm", "2 mm")
	trap.Cycle.Type, trap.Sterilizer.DeclaredFor = TypeS, []DeclaredLoad{DeclaredSingleWrapped, DeclaredHollowB}
	assert.Equal(t, broken, fit(trap, "load.fit.narrow"))
	// "Type B takes lumens above 1:750": blind, 1500 by 2 mm is the most it takes.
	wide := hollow("1500 mm", "2 mm")
	wide.Cycle.Type, wide.Cycle.Settings.AirRemoval = TypeB, moistheat.DynamicAirRemoval
	assert.Equal(t, met, fit(wide, "load.fit.narrow"))
	wide.Packs[0].Items[0].Lumens[0].Bore = length("1.9 mm")
	assert.Equal(t, broken, fit(wide, "load.fit.beyond"))
	// "Type N suits hollow items".
	for _, c := range CycleOptions(hollow("120 mm", "60 mm"), policy(t, "en-13060")) {
		if c.Type == TypeN {
			assert.True(t, slices.ContainsFunc(c.Objections, func(f moistheat.Finding) bool { return f.Rule == "load.fit.wide" && f.Outcome == broken }))
		}
	}
	// "The right colour means sterile": every indicator good, and rejected all the same.
	r := onDisk(t, "01-handpieces-type-n")
	report := Explain(r, policy(t, "en-13060"))
	for _, p := range report.Packs {
		assert.Equal(t, moistheat.Reject, p.Disposition)
	}
	// A course's exposure times under the heading of drying: 3 minutes at 132 °C is no
	// drying time, in any built-in table.
	for _, name := range Policies() {
		for _, c := range CycleOptions(good(), policy(t, name)) {
			if c.Drying.MinTime.IsValid() {
				assert.GreaterOrEqual(t, c.Drying.MinTime.Compare(duration("15 min")), 0, c.Drying.Table)
			}
		}
	}
}

// Every rule of packing and loading speaks to a clinic assistant.
func TestPlainWords(t *testing.T) {
	for _, r := range Rules() {
		if !strings.HasPrefix(r.ID, "packaging.") && !strings.HasPrefix(r.ID, "load.") {
			continue
		}
		for _, word := range []string{"undetermined", "boolean", "null", "JSON", "pointer", "non-compliant", "utilize"} {
			assert.NotContains(t, r.Title+r.Why+r.Remedy+r.BrokenText+r.UndeterminedText, word, r.ID)
		}
		assert.LessOrEqual(t, len(strings.Fields(r.Remedy)), 40, r.ID)
	}
}
