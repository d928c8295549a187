package cleaning_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/packaging"
)

// checkPack asks of each item of a pack.
func checkPack(p *packaging.Pack, began time.Time, l cleaning.Limits, all ...*cleaning.Batch) (
	out []moistheat.Finding) {
	s := cleaning.NewBatches(l, all...)
	for i := range p.Items {
		out = s.Check(out, &p.Items[i], p.Set, began)
	}
	return out
}

// An item that was taken out at the inspection is not packed from the batch.
func TestTakenOut(t *testing.T) {
	b, err := cleaning.Decode(document(strings.Replace(washer, `"printed"`,
		`"takenOut":[{"item":"I-9","reason":"retained soil","then":"cleaned again"}],"printed"`, 1)))
	require.NoError(t, err)
	for id, want := range map[string]moistheat.Outcome{"I-9": moistheat.Broken, "i-9 ": moistheat.Broken,
		"I-8": moistheat.Met, "": moistheat.Undetermined} {
		p := &packaging.Pack{Set: "SET-1", Items: []packaging.Item{{ID: id,
			Preparation: packaging.Preparation{WasherLoad: "W-1"}}}}
		for _, f := range checkPack(p, time.Time{}, limits(), b) {
			if f.Rule == "cleaning.item.taken" {
				assert.Equal(t, want, f.Outcome, "%q", id)
			}
		}
	}
}

// What was taken out by its name, or as a whole set, is not packed from the batch either.
func TestTakenOutByName(t *testing.T) {
	for entry, want := range map[string]moistheat.Outcome{"Nail nipper": moistheat.Broken, "SET-1": moistheat.Broken,
		"curette": moistheat.Undetermined} {
		b, err := cleaning.Decode(document(strings.Replace(washer, `"printed"`,
			`"takenOut":[{"item":"`+entry+`","reason":"retained soil","then":"cleaned again"}],"printed"`, 1)))
		require.NoError(t, err)
		p := &packaging.Pack{Set: "SET-1", Items: []packaging.Item{{Name: "nail nipper",
			Preparation: packaging.Preparation{WasherLoad: "W-1"}}}}
		assert.Equal(t, want, worst(checkPack(p, time.Time{}, limits(), b), "cleaning.item.taken"), entry)
	}
}

func worst(findings []moistheat.Finding, rule string) (out moistheat.Outcome) {
	for _, f := range findings {
		if f.Rule == rule {
			out = max(out, f.Outcome)
		}
	}
	return out
}

// What a batch took out stays out where cleaning does not put it right: cleaning cures soil and rust
// (practice of the trade), a defect takes a repair, and what was discarded does not come back.
func TestTakenOutAndBack(t *testing.T) {
	const broken, open, met = moistheat.Broken, moistheat.Undetermined, moistheat.Met
	nine := time.Date(2026, 3, 9, 9, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		out             []cleaning.TakenOut
		cleaned, waited moistheat.Outcome // cleaned since, and not
	}{
		{[]cleaning.TakenOut{{Reason: cleaning.RetainedSoil, Then: cleaning.Discarded}}, broken, broken},
		{[]cleaning.TakenOut{{Reason: cleaning.Damage, Then: cleaning.Discarded}}, broken, broken},
		{[]cleaning.TakenOut{{Reason: cleaning.Damage, Then: cleaning.CleanedAgain}}, broken, broken},
		{[]cleaning.TakenOut{{Reason: cleaning.Function, Then: cleaning.CleanedAgain}}, broken, broken},
		{[]cleaning.TakenOut{{Reason: cleaning.Damage}}, open, broken},
		{[]cleaning.TakenOut{{Reason: cleaning.Function}}, open, broken},
		{[]cleaning.TakenOut{{Reason: cleaning.Function, Then: cleaning.Repair}}, met, broken},
		{[]cleaning.TakenOut{{Reason: cleaning.RetainedSoil, Then: cleaning.CleanedAgain}}, met, broken},
		{[]cleaning.TakenOut{{Reason: cleaning.RetainedSoil}}, met, broken},
		{[]cleaning.TakenOut{{Reason: cleaning.Corrosion}}, met, broken},
		{[]cleaning.TakenOut{{Reason: cleaning.Corrosion}, {Reason: cleaning.Damage, Then: cleaning.Discarded}}, broken, broken},
	} {
		for i := range c.out {
			c.out[i].Item = "I-1"
		}
		for _, since := range []bool{true, false} {
			old := &cleaning.Batch{ID: "M-0", Kind: packaging.Manual, Started: nine.Add(-4 * time.Hour),
				Ended: nine.Add(-3 * time.Hour), TakenOut: c.out}
			now := &cleaning.Batch{ID: "M-1", Kind: packaging.Manual, Started: nine.Add(-2 * time.Hour),
				Ended: nine.Add(-time.Hour), Carried: []cleaning.Carried{{ID: "I-1"}}}
			want := c.cleaned
			if !since {
				want = c.waited
				now.Started, now.Ended = nine.Add(-6*time.Hour), nine.Add(-5*time.Hour)
			}
			p := &packaging.Pack{Items: []packaging.Item{{ID: "i-1", Preparation: packaging.Preparation{WasherLoad: "M-1"}}}}
			assert.Equal(t, want, worst(checkPack(p, nine, limits(), old, now), "cleaning.item.elsewhere"),
				"%+v %v", c.out, since)
		}
	}
}

// What is wrong about one thing that a batch carried is no matter of another one: its class, and
// when it was used.
func TestOthersOfTheBatch(t *testing.T) {
	b, err := cleaning.Decode(document(strings.Replace(strings.Replace(washer, `"carried":[`,
		`"carried":[{"id":"SET-2","class":"critical","used":"2026-03-02T09:30:00Z"},`, 1),
		`"values":[0,1,2,3,4,5]`, `"values":[0,0.25,0.5,0.75,1,1.25]`, 1))) // 75 s at 90 °C: 750
	require.NoError(t, err)
	for set, want := range map[string][2]moistheat.Outcome{
		"SET-1": {moistheat.Met, moistheat.Met}, "SET-2": {moistheat.Broken, moistheat.Broken}} {
		p := &packaging.Pack{Set: set, Items: []packaging.Item{{Class: packaging.Semicritical,
			Preparation: packaging.Preparation{WasherLoad: "W-1"}}}}
		found := checkPack(p, time.Time{}, limits(), b)
		assert.Equal(t, want[0], worst(found, "cleaning.disinfection.short"), set)
		assert.Equal(t, want[1], worst(found, "cleaning.time.order"), set)
	}
}

// Batches whose IDs differ only in case or space are the same: the worse of both counts.
func TestBatchOfAnotherSpelling(t *testing.T) {
	good, err := cleaning.Decode(document(washer))
	require.NoError(t, err)
	bad, err := cleaning.Decode(document(strings.Replace(strings.Replace(washer, `"aborted":false`, `"aborted":true`, 1),
		`"W-1"`, `"w-1 "`, 1)))
	require.NoError(t, err)
	p := &packaging.Pack{Set: "SET-1", Items: []packaging.Item{{Preparation: packaging.Preparation{WasherLoad: "W-1"}}}}
	assert.Equal(t, moistheat.Broken, worst(checkPack(p, time.Time{}, limits(), good, bad), "cleaning.cycle.aborted"))
}

// Stories of packs and their batches: what was so, and what the pack may then do.
func TestStories(t *testing.T) {
	const reject, hold, release = moistheat.Reject, moistheat.Quarantine, moistheat.Release
	packed := time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC)
	for _, s := range []struct {
		story, batch, old, new string
		began                  time.Time
		key, set               string
		method                 packaging.CleaningMethod
		rule                   string // that holds it back
		want                   moistheat.Disposition
	}{
		{"a good washer cycle", washer, "", "", packed, "W-1", "SET-1", packaging.WasherDisinfector, "", release},
		{"a good cleaning by hand", manual, "", "", packed, "M-1", "SET-1", packaging.Manual, "", release},
		{"a good ultrasonic bath", bath, "", "", packed, "U-1", "SET-1", packaging.Ultrasonic, "", release},
		{"no batch is named, and this one carried another set", washer, "", "", packed, "", "SET-2", packaging.Manual, "",
			release},
		{"no batch is named, though one carried the set", washer, "", "", packed, "", "SET-1", packaging.Manual,
			"cleaning.batch.missing", hold},
		{"no batch is named, though one is of the method", washer, "", "", packed, "", "SET-2",
			packaging.WasherDisinfector,
			"cleaning.batch.missing", hold},
		{"a day between, where the facility allows one", washer, "", "", packed.Add(23 * time.Hour), "W-1", "SET-1",
			packaging.WasherDisinfector, "", release},
		{"a batch of last year has the same name", washer, "", "", packed.AddDate(1, 0, 0), "W-1", "SET-1",
			packaging.WasherDisinfector, "cleaning.batch.old", hold},
		{"the washer stopped; the sterilizer was in order", washer, `"aborted":false`, `"aborted":true`, packed, "W-1", "SET-1",
			packaging.WasherDisinfector, "cleaning.cycle.aborted", reject},
		// 80 °C for 5 minutes is 300.
		{"the display shows 600 and the colder sensor 300", strings.Replace(washer, "3000 1", "600 1", 1), "[90,90,90,90,90,90]}]",
			"[80,80,80,80,80,80]}]", packed, "W-1", "SET-1", packaging.WasherDisinfector,
			"cleaning.disinfection.short", reject},
		{"10 mL in 5 L was taken for 0.5 %", manual, `"25 mL"`, `"10 mL"`, packed, "M-1", "SET-1", packaging.Manual,
			"cleaning.agent.dose", reject},
		{"a bath of unknown volume", manual, `"volume":"5 L",`, "", packed, "M-1", "SET-1", packaging.Manual,
			"cleaning.agent.dose", hold},
		{"loaded before the washer had ended", washer, "", "", packed.Add(-30 * time.Minute), "W-1", "SET-1",
			packaging.WasherDisinfector, "cleaning.batch.late", reject},
		{"when the load began is not recorded", washer, "", "", time.Time{}, "W-1", "SET-1", packaging.WasherDisinfector,
			"cleaning.batch.late", hold},
		{"another set was in the washer", washer, "", "", packed, "W-1", "SET-2", packaging.WasherDisinfector,
			"cleaning.batch.without", reject},
		{"the pack says no set", washer, "", "", packed, "W-1", "", packaging.WasherDisinfector, "cleaning.batch.without", hold},
		{"a batch of another day", washer, "", "", packed, "W-2", "SET-1", packaging.WasherDisinfector,
			"cleaning.batch.missing", hold},
		{"said to be washed, and cleaned by hand", manual, "", "", packed, "M-1", "SET-1", packaging.WasherDisinfector,
			"cleaning.batch.method", reject},
		{"a set without marks, of which one item was taken out", strings.Replace(washer, `"printed"`,
			`"takenOut":[{"item":"I-9","reason":"corrosion","then":"repair"}],"printed"`, 1), "", "", packed, "W-1",
			"SET-1",
			packaging.WasherDisinfector, "", release},
		{"a log with a sensor less is no reason to hold", washer, `"probes":2`, `"probes":3`, packed, "W-1", "SET-1",
			packaging.WasherDisinfector, "", release},
	} {
		t.Run(s.story, func(t *testing.T) {
			require.Contains(t, s.batch, s.old)
			b, err := cleaning.Decode(document(strings.Replace(s.batch, s.old, s.new, 1)))
			require.NoError(t, err)
			p := &packaging.Pack{ID: "P-1", Set: s.set, Items: []packaging.Item{{Name: "mirror",
				Preparation: packaging.Preparation{WasherLoad: s.key, Method: s.method}}}}
			got, rule := moistheat.Release, ""
			effects := map[string]moistheat.Rule{}
			for _, r := range cleaning.Rules() {
				effects[r.ID] = r
			}
			for _, f := range checkPack(p, s.began, limits(), b) {
				e := moistheat.Effect{}
				switch f.Outcome {
				case moistheat.Broken:
					e = effects[f.Rule].Broken
				case moistheat.Undetermined:
					e = effects[f.Rule].Undetermined
				}
				if e.Pack > got {
					got, rule = e.Pack, f.Rule
				}
			}
			assert.Equal(t, s.want, got)
			assert.Equal(t, s.rule, rule)
		})
	}
}

// An item is held against the A0 of its own class, whatever the batch says of it: 600 are
// enough for a semicritical one and not for a critical one (ISO 15883-1, quoted).
func TestClassOfTheItemCounts(t *testing.T) {
	short := strings.Replace(washer, `"values":[0,1,2,3,4,5]`, `"values":[0,0.25,0.5,0.75,1,1.25]`, 1) // 75 s at 90 °C: 750
	b, err := cleaning.Decode(document(strings.Replace(short, `"3000 1"`, `"750 1"`, 1)))
	require.NoError(t, err)
	for class, want := range map[packaging.Class]moistheat.Outcome{packaging.Semicritical: moistheat.Met,
		packaging.Critical: moistheat.Broken, "": moistheat.Met} {
		p := &packaging.Pack{Set: "SET-1", Items: []packaging.Item{{Class: class,
			Preparation: packaging.Preparation{WasherLoad: "W-1"}}}}
		for _, f := range checkPack(p, time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC), cleaning.DefaultLimits(), b) {
			if f.Rule == "cleaning.disinfection.short" {
				assert.Equal(t, want, f.Outcome, "%q", class)
			}
		}
	}
}

// Two versions of one batch: the worse counts, in either order.
func TestWorseVersionCounts(t *testing.T) {
	good, err := cleaning.Decode(document(washer))
	require.NoError(t, err)
	bad, err := cleaning.Decode(document(strings.Replace(washer, `"aborted":false`, `"aborted":true`, 1)))
	require.NoError(t, err)
	p := &packaging.Pack{Set: "SET-1", Items: []packaging.Item{{Preparation: packaging.Preparation{WasherLoad: "W-1"}}}}
	for _, batches := range [][]*cleaning.Batch{{good, bad}, {bad, good}} {
		worst := moistheat.Outcome(0)
		for _, f := range checkPack(p, time.Time{}, limits(), batches...) {
			if f.Rule == "cleaning.cycle.aborted" {
				worst = max(worst, f.Outcome)
			}
		}
		assert.Equal(t, moistheat.Broken, worst)
	}
}
