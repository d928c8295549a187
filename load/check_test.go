package load

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/cycle/equipment"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestMain(m *testing.M) { testrun.Main(m) }

func TestRules(t *testing.T) {
	rules := Rules()
	seen := map[string]bool{}
	for _, r := range rules {
		assert.Regexp(t, `^[a-z]+(\.[a-z]+)+$`, r.ID)
		assert.False(t, seen[r.ID], "%s is there twice", r.ID)
		seen[r.ID] = true
		assert.NotContains(t, r.ID, "fault")
		for name, text := range map[string]string{"title": r.Title, "why": r.Why, "do": r.Remedy, "says": r.BrokenText} {
			assert.NotEmpty(t, text, "%s: %s", r.ID, name)
		}
		assert.NotZero(t, r.Severity, r.ID)
		assert.NotZero(t, r.Sources.Len(), r.ID)
		for s := range r.Sources.All() {
			assert.NotEmpty(t, s.Document, r.ID)
			assert.NotZero(t, s.Basis, r.ID)
		}
		got, ok := Rule(r.ID)
		assert.True(t, ok)
		assert.Equal(t, r.ID, got.ID)
	}
	assert.True(t, slices.IsSortedFunc(rules, func(a, b moistheat.Rule) int { return strings.Compare(a.ID, b.ID) }))
	_, ok := Rule("no.such.rule")
	assert.False(t, ok)
}

func TestReleaseTable(t *testing.T) {
	ids := map[string]bool{}
	for _, r := range Rules() {
		ids[r.ID] = true
	}
	rows := releaseRows()
	require.Len(t, rows, 18)
	for i, row := range rows {
		assert.Equal(t, i+1, row.Row)
		for _, id := range row.Rules {
			assert.True(t, ids[id], "row %d names %s", row.Row, id)
		}
	}
	// What each row asks: for the physical record every rule of a cycle that can hold a load,
	// but the one that the table was not meant for routine; for the fit every rule of that.
	of := map[int][]string{
		1:  {"load.physical.mismatch", "load.physical.missing"},
		2:  {"load.door.early", "load.indicator.noneexternal"},
		3:  {"load.daily.leak", "load.daily.penetration"},
		4:  {"load.pouch.enclosed", "load.purpose.packed", "load.purpose.unsuited"},
		5:  {"load.capacity.over", "load.pattern.unvalidated", "load.validation.over"},
		6:  {"load.indicator.external"},
		7:  {"load.indicator.internal", "load.indicator.manyinternal"},
		8:  {"load.challenge.failed"},
		9:  {"load.biological.positive"},
		10: {"load.implant.untested"},
		11: {"load.implant.pending"},
		12: {"load.implant.void"},
		13: {"load.pack.damaged", "load.pack.repacked", "load.pack.wet", "load.pack.wetload"},
		14: {"load.pack.dropped"},
		15: {"load.biological.pending"},
		16: {"load.label.mismatch", "packaging.label.incomplete"},
		17: {"load.releaser.missing", "load.releaser.unauthorised"},
	}
	for _, r := range Rules() {
		effect := r.Broken.Worst(r.Undetermined)
		switch {
		case strings.HasPrefix(r.ID, "cycle.") && effect.Load >= moistheat.Quarantine && r.ID != "cycle.table.prion":
			of[2] = append(of[2], r.ID)
		case strings.HasPrefix(r.ID, "load.fit.") && effect.Pack >= moistheat.Quarantine:
			of[4] = append(of[4], r.ID)
		}
	}
	for _, row := range rows {
		for _, id := range of[row.Row] {
			assert.Contains(t, row.Rules, id, "row %d", row.Row)
		}
	}
	// Each row fires by what it describes, and only by that.
	for _, tt := range []struct {
		row     int
		edit    func(*Record)
		load    moistheat.Disposition
		pack    moistheat.Disposition // of the first pack
		service moistheat.Service
	}{
		{1, func(r *Record) { r.Load.Cycle, r.Cycle.Number = "7", "8" }, moistheat.Reject, moistheat.Reject, moistheat.InService},
		{2, func(r *Record) { r.Cycle.Aborted = yes }, moistheat.Reject, moistheat.Reject, moistheat.OutOfService},
		{2, func(r *Record) { r.Cycle.Printed.HoldTime = duration("239 s") }, moistheat.Reject, moistheat.Reject, moistheat.OutOfService},
		{3, func(r *Record) { r.Monitors.Tests[0].Passed = no }, moistheat.Quarantine, moistheat.Quarantine, moistheat.OutOfService},
		{4, func(r *Record) {
			lumen(r, packaging.Lumen{Length: length("1501 mm"), Bore: length("3 mm"), OpenEnds: 1})
		}, moistheat.Release, moistheat.Reject, moistheat.InService},
		{5, func(r *Record) {
			r.Sterilizer.Capacity = []Capacity{{Mass: mass("0.9 kg"), Authority: ByValidation}}
		}, moistheat.Quarantine, moistheat.Quarantine, moistheat.InService},
		{6, func(r *Record) { r.Packs[0].Indicators[0].Result = packaging.NotReached }, moistheat.Release, moistheat.Reject, moistheat.InService},
		{7, func(r *Record) { r.Packs[0].Indicators[1].Result = packaging.NotReached }, moistheat.Release, moistheat.Reject, moistheat.InService},
		{7, func(r *Record) {
			r.Packs[0].Indicators[1].Result, r.Packs[1].Indicators[1].Result = packaging.NotReached, packaging.NotReached
		}, moistheat.Reject, moistheat.Reject, moistheat.OutOfService},
		{8, func(r *Record) { r.Monitors.Challenge = &Challenge{Result: packaging.NotReached} }, moistheat.Reject, moistheat.Reject, moistheat.OutOfService},
		{9, test(func(b *Biological) { b.Result = Positive }), moistheat.Reject, moistheat.Reject, moistheat.OutOfService},
		{10, implant, moistheat.Release, moistheat.Quarantine, moistheat.InService},
		{11, func(r *Record) { implant(r); test(func(b *Biological) { b.Result = Pending })(r) }, moistheat.Quarantine, moistheat.Quarantine, moistheat.InService},
		{12, func(r *Record) { implant(r); test(func(b *Biological) { b.Control.Result = Negative })(r) }, moistheat.Quarantine, moistheat.Quarantine, moistheat.InService},
		{13, func(r *Record) { r.Packs[0].Condition.Dry = no }, moistheat.Release, moistheat.Reject, moistheat.InService},
		{14, func(r *Record) { r.Packs[0].Condition.Dropped = yes }, moistheat.Release, moistheat.Quarantine, moistheat.InService},
		{15, test(func(b *Biological) { b.Result = Pending }), moistheat.Release, moistheat.Release, moistheat.InService},
		{16, func(r *Record) { r.Packs[0].Label.Load = "9" }, moistheat.Release, moistheat.Quarantine, moistheat.InService},
		{17, func(r *Record) { r.Release.By = "" }, moistheat.Quarantine, moistheat.Quarantine, moistheat.InService},
		{18, func(r *Record) {}, moistheat.Release, moistheat.Release, moistheat.InService},
	} {
		t.Run(fmt.Sprint(tt.row), func(t *testing.T) {
			r := good()
			r.Release.Decision = moistheat.Quarantine // which contradicts nothing
			tt.edit(r)
			report := Explain(r, policy(t, "us-cdc-2003"))
			var fired []int
			for _, row := range report.Rows {
				if row.Triggered {
					fired = append(fired, row.Row)
				}
			}
			assert.Equal(t, []int{tt.row}, fired)
			assert.Equal(t, tt.load, report.Verdict.Load)
			assert.Equal(t, tt.service, report.Verdict.Sterilizer)
			assert.Equal(t, tt.pack, report.Packs[0].Disposition)
			assert.GreaterOrEqual(t, report.Packs[1].Disposition, report.Verdict.Load)
			assertSound(t, r, report)
		})
	}
}

// A rule that does something when it is broken is a fault, and one that does nothing is
// minor, but for those that are named here.
func TestSeverityFollowsFromTheEffect(t *testing.T) {
	but := map[string]moistheat.Severity{
		// They keep back for a decision of the clinic, and are no failure of the process.
		"cycle.hold.margin": moistheat.Minor, "load.storage.expired": moistheat.Minor, "load.pack.dropped": moistheat.Minor,
		// What they are about is held by another rule, or happened already.
		"load.history.contradictory": moistheat.Fault, "load.history.decrease": moistheat.Fault,
		"load.history.discarded": moistheat.Fault, "load.history.void": moistheat.Fault,
		"load.implant.untraced":     moistheat.Fault,
		"load.penetration.exposure": moistheat.Fault, "load.positive.repeat": moistheat.Fault,
		"load.recall.untraced": moistheat.Fault, "load.biological.disputed": moistheat.Fault,
		"load.biological.void": moistheat.Fault, "load.challenge.missing": moistheat.Fault,
		"load.release.unread": moistheat.Fault, "load.trace.missing": moistheat.Fault,
		"load.decision.contradictory": moistheat.Fault, "load.emergency.unstated": moistheat.Fault,
		"load.qualification.order": moistheat.Fault,
	}
	for _, advice := range []string{ // it says what is better, and nothing is wrong
		"load.drift.moved", "load.positive.late", "load.storage.climate", "load.storage.floor", "load.storage.rotation",
		"load.storage.unchecked", "load.biological.pending", "load.drape.flat", "load.wall.close", "packaging.handle.away",
		"packaging.indicator.small", "water.meter.unchecked", "water.sample.air", "water.sample.bottle",
		"water.sample.flushed", "water.sample.late", "water.sample.rinsed",
	} {
		but[advice] = moistheat.Note
	}
	for _, r := range append(Rules(), equipment.Rules()...) {
		want := but[r.ID]
		switch {
		case want != 0:
			delete(but, r.ID)
		case r.Broken == moistheat.Effect{}:
			want = moistheat.Minor
		default:
			want = moistheat.Fault
		}
		assert.Equal(t, want, r.Severity, r.ID)
	}
	assert.Empty(t, but)
}

// What documents say of failures, before any policy: the release table and CDC 2003, F.5 to
// F.9, with what is done while it is not known.
func TestEffectsThatDocumentsName(t *testing.T) {
	const reject, quarantine, out = moistheat.Reject, moistheat.Quarantine, moistheat.OutOfService
	type effect = moistheat.Effect
	for id, want := range map[string][2]effect{ // broken and undetermined
		"load.physical.missing":   {{Load: reject}, {Load: reject}}, // row 1: as if it had not been run
		"load.physical.mismatch":  {{Load: reject}, {Load: quarantine}},
		"load.test.failed":        {{Load: quarantine, Sterilizer: out}, {Load: quarantine}}, // row 3
		"load.test.contradicted":  {{Load: quarantine, Sterilizer: out}, {}},
		"load.recall.leak":        {{Load: quarantine, Sterilizer: out}, {}},
		"load.recall.penetration": {{Load: quarantine, Sterilizer: out}, {}},
		"load.fit.instructions":   {{Pack: reject}, {Pack: quarantine}}, // row 4
		"load.purpose.packed":     {{Load: reject}, {}},
		"load.recall.positive":    {{Load: reject, Sterilizer: out, Recall: true}, {}}, // row 9, F.8 and F.9
		"load.history.outofuse":   {{Load: reject, Recall: true}, {}},                  // F.8a
		"load.recall.implant":     {{Recall: true}, {Recall: true}},                    // after one positive test
		"load.implant.pending":    {{Load: reject}, {Load: quarantine}},                // rows 9 and 11
		"load.storage.unread":     {{Pack: reject}, {Pack: quarantine}},                // an incident in Ohio
		"load.prion.prepared":     {{Pack: quarantine}, {Pack: quarantine}},            // kept apart
	} {
		r, ok := Rule(id)
		require.True(t, ok, id)
		assert.Equal(t, want, [2]effect{r.Broken, r.Undetermined}, id)
	}
}

// What of the physical record nobody can waive holds a load, too, where it is not known: missing
// evidence is never a pass. The two that do not are about one sensor of several, and about which
// diseases a table is for.
func TestUnknownHoldsWhatNobodyWaives(t *testing.T) {
	held := 0
	for _, r := range cycle.Rules() {
		if !r.NoWaiver || r.Broken.Load < moistheat.Quarantine || r.ID == "cycle.sensor.stuck" || r.ID == "cycle.table.prion" {
			continue
		}
		held++
		assert.GreaterOrEqual(t, r.Undetermined.Load, moistheat.Quarantine, r.ID)
	}
	assert.Positive(t, held)
}

// No facility puts out of force what shows that a load or the sterilizer failed, whoever
// decided it.
func TestFailuresStayInForce(t *testing.T) {
	parse := func(id string) error {
		_, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"ours","base":"us-cdc-2003",
			"rules":[{"id":"` + id + `","inForce":false,"decision":{"by":"Dr Y","date":"2026-01-02","reason":"x"}}]}`))
		return err
	}
	require.NoError(t, parse("load.pack.dropped"))
	for _, id := range []string{"cycle.aborted", "cycle.hold.short", "cycle.steam.none", "load.physical.missing",
		"load.physical.mismatch", "load.biological.positive", "load.challenge.failed", "load.test.failed",
		"load.test.contradicted", "load.sterilizer.outofservice", "load.recall.positive", "load.recall.leak",
		"load.recall.penetration", "load.recall.implant", "load.positive.open"} {
		assert.ErrorIs(t, parse(id), moistheat.ErrInvalid, id)
	}
}

// A biological indicator, a colour or lethality never makes up for the physical
// record (CDC 2003 F.5).
func TestNothingExcusesThePhysicalRecord(t *testing.T) {
	r := good()
	r.Cycle.Printed.HoldTime = duration("239 s")
	r.Monitors.Biologicals = []Biological{spores()}
	r.Monitors.Challenge = &Challenge{IndicatorType: 6, Result: packaging.Reached}
	report := Explain(r, policy(t, "us-cdc-2003"))
	assert.Equal(t, moistheat.Reject, report.Verdict.Load)
	assert.Equal(t, met, outcome(report, "load.biological.positive", "/monitors/biologicals/0"))
}

func TestEmergencyRelease(t *testing.T) {
	r := good()
	implant(r)
	test(func(b *Biological) { b.Result = Pending })(r)
	r.Release.Emergency = &Emergency{Reason: "fracture, no other set", ApprovedBy: "Dr Y"}
	report := Explain(r, policy(t, "us-cdc-2003"))
	assert.Equal(t, moistheat.Release, report.Verdict.Load, "type 5 inside at its end point, documented")
	i := slices.IndexFunc(report.Findings, func(f moistheat.Finding) bool { return f.Rule == "load.implant.pending" })
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, undetermined, report.Findings[i].Outcome, "a documented emergency is not a pass")
	require.NotNil(t, report.Findings[i].Waiver)
	assert.Equal(t, "Dr Y", report.Findings[i].Waiver.Author)
	assert.Contains(t, report.Text(), "Accepted by Dr Y")

	for name, edit := range map[string]func(){
		"type 4 inside": func() { r.Packs[0].Indicators[1].Type = 4 },
		"no reason":     func() { r.Packs[0].Indicators[1].Type = 5; r.Release.Emergency.Reason = "" },
	} {
		edit()
		assert.Equal(t, moistheat.Quarantine, Explain(r, policy(t, "us-cdc-2003")).Verdict.Load, name)
	}
}

func TestWaivers(t *testing.T) {
	r := good()
	r.Packs[0].Condition.Dropped = yes
	r.Packs[1].Condition.Dry = no
	w := moistheat.Waiver{Rule: "load.pack.dropped", Pack: r.Packs[0].ID, Reason: "inspected, whole", Author: "CD", Expires: r.Release.Time.Add(time.Second)}
	wet := moistheat.Waiver{Rule: "load.pack.wet", Pack: r.Packs[1].ID, Reason: "looks fine", Author: "CD", Expires: w.Expires}
	r.Waivers = []moistheat.Waiver{w, wet}
	report := Explain(r, policy(t, "us-cdc-2003"))
	assert.Equal(t, moistheat.Release, report.Packs[0].Disposition)
	assert.Equal(t, moistheat.Reject, report.Packs[1].Disposition, "a wet pack refuses a waiver")
	assert.Equal(t, broken, outcome(report, "load.pack.dropped", "/packs/0/condition"), "waived, not dropped from the report")

	for name, edit := range map[string]func(*moistheat.Waiver){
		"expired":       func(w *moistheat.Waiver) { w.Expires = r.Release.Time },
		"no author":     func(w *moistheat.Waiver) { w.Author = "" },
		"no reason":     func(w *moistheat.Waiver) { w.Reason = "" },
		"another place": func(w *moistheat.Waiver) { w.Pack = r.Packs[1].ID },
		"another rule":  func(w *moistheat.Waiver) { w.Rule = "load.pack.damaged" },
		"another load":  func(w *moistheat.Waiver) { w.Load = "some other" },
		"an item of it": func(w *moistheat.Waiver) { w.Item = r.Packs[0].Items[0].Name },
		"no pack":       func(w *moistheat.Waiver) { w.Pack = "" },
		"no such pack":  func(w *moistheat.Waiver) { w.Pack = "P99" },
	} {
		bad := w
		edit(&bad)
		r.Waivers = []moistheat.Waiver{bad}
		assert.Equal(t, moistheat.Quarantine, Explain(r, policy(t, "us-cdc-2003")).Packs[0].Disposition, name)
	}
	w.Load = r.ID
	r.Waivers = []moistheat.Waiver{w}
	assert.Equal(t, moistheat.Release, Explain(r, policy(t, "us-cdc-2003")).Packs[0].Disposition, "the load is named")
	r.Packs[1].ID = r.Packs[0].ID
	assert.Equal(t, moistheat.Quarantine, Explain(r, policy(t, "us-cdc-2003")).Packs[0].Disposition,
		"two packs are called so")
}

func TestWaiversOfItems(t *testing.T) {
	r := good()
	r.Packs[0].Items = append(r.Packs[0].Items, r.Packs[0].Items[0])
	items := r.Packs[0].Items
	items[0].Name, items[1].Name = "scissors", "forceps"
	items[0].Class, items[1].Class = "", ""
	waived := func() (out []string) {
		for _, f := range Check(r, policy(t, "us-cdc-2003")).Findings {
			if f.Rule == "packaging.item.unclassified" && f.Waiver != nil {
				out = append(out, f.Pointer)
			}
		}
		return out
	}
	r.Waivers = []moistheat.Waiver{{Rule: "packaging.item.unclassified", Pack: r.Packs[0].ID, Item: "forceps", Reason: "they open by themselves", Author: "CD",
		Expires: r.Release.Time.Add(time.Second)}}
	assert.Equal(t, []string{"/packs/0/items/1"}, waived())
	items[0].Name = "forceps"
	assert.Empty(t, waived(), "two items are called so")
	items[1].ID = "F-17"
	assert.Equal(t, []string{"/packs/0/items/0"}, waived(), "what has an ID goes by it")
	r.Waivers[0].Item = "F-17"
	assert.Equal(t, []string{"/packs/0/items/1"}, waived())
}

// A report of Check is that of Explain without what is met.
func TestCheckListsWhatIsNotMet(t *testing.T) {
	for _, name := range Policies() {
		r := good()
		r.Packs[0].Condition.Dry, r.Release = no, nil
		short, long := Check(r, policy(t, name)), Explain(r, policy(t, name))
		assert.True(t, slices.ContainsFunc(long.Findings, func(f moistheat.Finding) bool { return f.Outcome == met }))
		open := *long
		open.Findings = slices.DeleteFunc(slices.Clone(long.Findings), func(f moistheat.Finding) bool { return f.Outcome == met })
		assert.Equal(t, open.Findings, short.Findings, name)
		assert.Equal(t, open.Counts, short.Counts, name)
		assert.Equal(t, open.Verdict, short.Verdict, name)
		assert.Equal(t, long.Text(), short.Text(), name)
	}
}

func TestPackInsideSharesFate(t *testing.T) {
	r := good()
	r.Packs[0].Barrier, r.Packs[0].Inside = packaging.Unwrapped, "P2"
	r.Packs[1].Barrier = packaging.RigidContainer
	r.Packs[1].Condition.Intact = no
	report := Explain(r, policy(t, "us-cdc-2003"))
	assert.Equal(t, moistheat.Reject, report.Packs[0].Disposition)
}

// Missing evidence is never a pass: blanking any part of a record never turns a
// verdict into a release, and never makes a broken rule met.
func TestBlankingNeverReleases(t *testing.T) {
	for name, blank := range map[string]func(*Record){
		"cycle":     func(r *Record) { r.Cycle = nil },
		"printed":   func(r *Record) { r.Cycle.Printed = cycle.Printed{} },
		"hold":      func(r *Record) { r.Cycle.Printed.HoldTime = units.Duration{} },
		"minimum":   func(r *Record) { r.Cycle.Printed.MinimumTemperature = units.Temperature{} },
		"pressure":  func(r *Record) { r.Cycle.Printed.AbsolutePressure = units.AbsolutePressure{} },
		"settings":  func(r *Record) { r.Cycle.Settings = cycle.Settings{} },
		"set":       func(r *Record) { r.Cycle.Settings.Temperature = units.Temperature{} },
		"air":       func(r *Record) { r.Cycle.Settings.AirRemoval, r.Cycle.Type = "", "" },
		"aborted":   func(r *Record) { r.Cycle.Aborted = unknown },
		"packs":     func(r *Record) { r.Packs = nil },
		"release":   func(r *Record) { r.Release = nil },
		"monitors":  func(r *Record) { r.Monitors = Monitors{} },
		"state":     func(r *Record) { r.Packs[0].Condition = PackCondition{}; r.Packs[1].Condition = PackCondition{} },
		"indicator": func(r *Record) { r.Packs[0].Indicators[0].Result = ""; r.Packs[1].Indicators[0].Result = "" },
		"items":     func(r *Record) { r.Packs[0].Items = nil; r.Packs[1].Items = nil },
		"label":     func(r *Record) { r.Packs[0].Label = nil; r.Packs[1].Label = nil },
		"all":       func(r *Record) { *r = Record{} },
	} {
		for _, p := range Policies() {
			t.Run(name+"/"+p, func(t *testing.T) {
				r := good()
				blank(r)
				assert.False(t, Explain(r, policy(t, p)).Released())
			})
		}
	}
}

func TestNothingToCheck(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	for _, r := range []*Report{Explain(nil, p), Explain(good(), nil), Explain(nil, nil), Explain(&Record{}, &Policy{})} {
		assert.False(t, r.Released())
		assert.NotEqual(t, moistheat.Release, r.Verdict.Load)
		assert.NotEmpty(t, r.Text())
	}
}

func TestDeterministic(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	r := good()
	r.Packs[0].Condition.Dry = no
	first, err := Explain(r, p).JSON()
	require.NoError(t, err)
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for range 20 {
				again, err := Explain(r, p).JSON()
				assert.NoError(t, err)
				assert.True(t, bytes.Equal(first, again))
			}
		})
	}
	wg.Wait()
}

func TestEveryRuleIsVisible(t *testing.T) {
	for _, name := range Policies() {
		r := Explain(good(), policy(t, name))
		rules := slices.DeleteFunc(Rules(), func(r moistheat.Rule) bool { return !askedOfRecord(r) })
		require.Len(t, r.Counts, len(rules))
		for i, tally := range r.Counts {
			assert.Equal(t, rules[i].ID, tally.Rule)
			assert.NotZero(t, tally.worst(), tally.Rule)
		}
	}
}

func TestTooManyFindingsAreCounted(t *testing.T) {
	r := good()
	for i := range 900 {
		p := goodPack(fmt.Sprintf("Q%d", i))
		p.Items = slices.Repeat(p.Items, 12)
		r.Packs = append(r.Packs, p)
	}
	report := Explain(r, policy(t, "us-cdc-2003"))
	sum := report.Omitted + len(report.Findings)
	total := 0
	for _, tally := range report.Counts {
		total += tally.Met + tally.Undetermined + tally.Broken + tally.Internal
	}
	assert.Equal(t, total, sum)
	assert.Positive(t, report.Omitted)
	met := 0
	for _, f := range report.Findings {
		if f.Outcome == moistheat.Met {
			met++
		}
	}
	assert.GreaterOrEqual(t, met, mostMet)
	assert.LessOrEqual(t, met, mostMet+len(report.Counts), "the first of each rule is listed, too")
	assert.Contains(t, report.Text(), "more findings not listed above")
}

func TestReportJSON(t *testing.T) {
	r := good()
	r.Packs[0].Condition.Dry = no
	data, err := Explain(r, policy(t, "us-cdc-2003")).JSON()
	require.NoError(t, err)

	var loose map[string]any
	require.NoError(t, json.Unmarshal(data, &loose))
	assert.Equal(t, ReportFormat, loose["format"])
	assert.Equal(t, moistheat.Disclaimer, loose["disclaimer"])
	assert.Equal(t, map[string]any{"load": "release", "sterilizer": "in service", "recall": true, "mayRelease": false}, loose["verdict"])
	named := map[string]bool{}
	for _, rule := range loose["rules"].([]any) {
		assert.NotEmpty(t, rule.(map[string]any)["sources"])
		named[rule.(map[string]any)["id"].(string)] = true
	}
	for _, f := range loose["findings"].([]any) {
		m := f.(map[string]any)
		assert.Contains(t, named, m["rule"])
	}
}

func TestDecode(t *testing.T) {
	whole, err := json.Marshal(good())
	require.NoError(t, err)
	got, err := Decode(whole)
	require.NoError(t, err)
	again, err := json.Marshal(got)
	require.NoError(t, err)
	assert.Empty(t, cmp.Diff(string(whole), string(again)), "what is written reads back the same")

	edit := func(old, new string) []byte {
		out := bytes.Replace(whole, []byte(old), []byte(new), 1)
		require.NotEqual(t, string(whole), string(out), old)
		return out
	}
	for _, tt := range []struct {
		name, pointer string
		data          []byte
		sort          error
	}{
		{"empty", "", nil, moistheat.ErrSyntax},
		{"another format", "/format", edit("moistheat.load/1", "moistheat.load/2"), moistheat.ErrShape},
		{"unknown member", "/loads", edit(`"load":`, `"loads":`), moistheat.ErrShape},
		{"member in another case", "/Load", edit(`"load":`, `"Load":`), moistheat.ErrShape},
		{"duplicate member", "/id", edit(`"id":"r1"`, `"id":"r1","id":"r2"`), moistheat.ErrSyntax},
		{"duplicate member through an escape", "/id", edit(`"id":"r1"`, `"id":"r1","\u0069d":"r2"`), moistheat.ErrSyntax},
		{"null", "/load/preparedBy", edit(`"preparedBy":"AB"`, `"preparedBy":null`), moistheat.ErrShape},
		{"a unit as it is spoken", "/packs/0/mass/unit", edit(`"unit":"kg"`, `"unit":"lbs"`), moistheat.ErrShape},
		{"a number in quotes", "/packs/0/mass/value", edit(`"value":0.5`, `"value":"0.5"`), moistheat.ErrShape},
		{"an exponent flood", "/packs/0/mass/value", edit(`"value":0.5`, `"value":1e1000001`), moistheat.ErrLimit},
		{"a million digits", "/packs/0/mass/value", edit(`"value":0.5`, `"value":`+strings.Repeat("7", 1e6)), moistheat.ErrLimit},
		{"ten thousand arrays", "/packs", edit(`"packs":[`, `"packs":[`+strings.Repeat("[", 1e4)), moistheat.ErrLimit},
		{"cut off", "", whole[:len(whole)-1], moistheat.ErrSyntax},
		{"a second value", "", append(bytes.Clone(whole), whole...), moistheat.ErrSyntax},
		{"a byte order mark", "", append([]byte("\xef\xbb\xbf"), whole...), moistheat.ErrSyntax},
		{"no such day", "/load/date", edit(`"date":"2026-03-09"`, `"date":"2026-02-29"`), moistheat.ErrShape},
		{"no offset", "/cycle/started", edit(`"started":"2026-03-09T09:00:00+01:00"`, `"started":"2026-03-09T09:00:00"`), moistheat.ErrShape},
		{"an invented word", "/packs/0/barrier", edit(`"paper-film pouch"`, `"bag"`), moistheat.ErrShape},
		{"missing member", "", edit(`"packs":`, `"waivers":[],"water":{},"`+"x"+`":`), moistheat.ErrShape},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Decode(tt.data)
			var de *moistheat.DocumentError
			require.True(t, errors.As(err, &de), "%v", err)
			assert.ErrorIs(t, err, tt.sort)
			if tt.name != "ten thousand arrays" && tt.name != "missing member" {
				assert.Equal(t, tt.pointer, de.Pointer)
			}
			assert.NotEmpty(t, de.Problem)
			assert.Less(t, len(err.Error()), 400)
		})
	}
}

func TestRecords(t *testing.T) {
	line, err := json.Marshal(good())
	require.NoError(t, err)
	in := string(line) + "\n\n{\"broken\":\n" + string(line) + "\r\n" + strings.Repeat(" ", 9<<20) + "\n" + string(line)
	var lines []int
	records := 0
	for r, err := range Records(strings.NewReader(in)) {
		if err != nil {
			var de *moistheat.DocumentError
			require.True(t, errors.As(err, &de))
			lines = append(lines, de.Line)
			assert.Nil(t, r)
			continue
		}
		records++
	}
	assert.Equal(t, 3, records, "one bad line does not end the stream")
	assert.Equal(t, []int{3, 5}, lines)

	for range Records(strings.NewReader(in)) {
		break // stopping early must not panic
	}
	var failed error
	for _, err := range Records(&failing{data: line}) {
		failed = err
	}
	assert.EqualError(t, failed, "disk on fire")
}

type failing struct{ data []byte }

func (f *failing) Read(p []byte) (int, error) {
	if len(f.data) == 0 {
		return 0, errors.New("disk on fire")
	}
	n := copy(p, f.data)
	f.data = f.data[n:]
	return n, nil
}

func TestPolicies(t *testing.T) {
	assert.Contains(t, Policies(), "us-cdc-2003")
	assert.Contains(t, Policies(), "en-13060")
	for _, name := range Policies() {
		p := policy(t, name)
		assert.Equal(t, name, p.Name())
		assert.NotEmpty(t, p.Title())
		assert.NotEmpty(t, p.Documents())
		assert.NotEmpty(t, p.LeavesOpen())
		for _, o := range p.doc.Rules {
			assert.NotEmpty(t, o.Why, "%s changes %s without a word", name, o.ID)
		}
	}
	_, err := PolicyFor("nowhere")
	assert.ErrorIs(t, err, moistheat.ErrUnknown)
	assert.ErrorContains(t, err, "us-cdc-2003")
}

func TestParsePolicy(t *testing.T) {
	head := `{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"us-cdc-2003"`
	for _, tt := range []struct{ name, body, problem string }{
		{"nothing changed", `}`, ""},
		{"stricter", `,"rules":[{"id":"load.daily.penetration","undetermined":{"load":"quarantine"}}]}`, ""},
		{"daily spores", `,"schedule":[{"test":"biological","cadence":"interval","every":"P1D","source":{"document":"x","basis":"facility"}}]}`, ""},
		{"weaker without a decision", `,"rules":[{"id":"load.pack.dropped","broken":{}}]}`, "/rules/0"},
		{"weaker severity without a decision", `,"rules":[{"id":"load.pack.wet","severity":"note"}]}`, "/rules/0"},
		{"out of force without a decision", `,"rules":[{"id":"load.pack.dropped","inForce":false}]}`, "/rules/0"},
		{"weaker, decided", `,"rules":[{"id":"load.pack.dropped","broken":{},"decision":{"by":"Dr Y","date":"2026-01-02","reason":"we inspect"}}]}`, ""},
		{"what may not be left out", `,"rules":[{"id":"load.physical.missing","inForce":false,"decision":{"by":"Dr Y","date":"2026-01-02","reason":"x"}}]}`, "/rules/0"},
		{"a wider limit without a decision", `,"limits":{"saturation":{"value":{"value":3,"unit":"K"},"source":{"document":"x","basis":"facility"}}}}`, "/limits/saturation"},
		{"3.6 degrees Fahrenheit are 2 K", `,"limits":{"saturation":{"value":{"value":3.6,"unit":"5.K/9"},"source":{"document":"x","basis":"facility"}}}}`, ""},
		{"a longer interval, beside that of the base", `,"schedule":[{"test":"biological","cadence":"interval","every":"P8D","source":{"document":"x","basis":"facility"}}]}`, ""},
		{"other tables without a decision", `,"cycles":["mrc"]}`, "/cycles"},
		{"other tables, decided", `,"cycles":["mrc"],"decision":{"by":"Dr Y","date":"2026-01-02","reason":"x"}}`, ""},
		{"unknown rule", `,"rules":[{"id":"no.such.rule"}]}`, "/rules/0/id"},
		{"unknown table", `,"cycles":["nope"],"decision":{"by":"Dr Y","date":"2026-01-02","reason":"x"}}`, "nope"},
		{"unknown member", `,"rule":[]}`, "/rule"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p, err := ParsePolicy([]byte(head + tt.body))
			if tt.problem != "" {
				assert.ErrorContains(t, err, tt.problem)
				var e *moistheat.DocumentError
				require.ErrorAs(t, err, &e)
				kind := moistheat.ErrInvalid
				switch tt.name {
				case "unknown member":
					kind = moistheat.ErrShape
				case "unknown rule", "unknown table":
					kind = moistheat.ErrUnknown
				}
				assert.ErrorIs(t, err, kind)
				assert.Equal(t, kind == moistheat.ErrShape, e.Offset >= 0)
				return
			}
			require.NoError(t, err)
			assert.Equal(t, "ours", p.Name())
			assert.NotEmpty(t, p.Documents(), "those of the base")
		})
	}
	for _, bad := range []string{
		`{"format":"moistheat.policy/2","name":"a","title":"b","base":"us-cdc-2003"}`,
		`{"format":"moistheat.policy/1","name":"a","title":"b"}`,
		`{"format":"moistheat.policy/1","name":"a","title":"b","base":"nowhere"}`,
		`{`, ``, `null`, `[]`,
	} {
		_, err := ParsePolicy([]byte(bad))
		assert.Error(t, err, bad)
	}
}

func TestFacilityPolicyHasEffect(t *testing.T) {
	p,
		err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"us-cdc-2003",
		"schedule":[{"test":"biological","cadence":"interval","every":"P1D","source":{"document":"our rule","basis":"facility"}}]}`))
	require.NoError(t, err)
	r := Explain(good(), p) // the last test is three days old
	assert.Equal(t, moistheat.Quarantine, r.Verdict.Load)
	i := slices.IndexFunc(r.Findings, func(f moistheat.Finding) bool { return f.Rule == "load.biological.overdue" })
	assert.Equal(t, moistheat.Facility, r.Findings[i].Sources.At(0).Basis)
}

func TestAccepting(t *testing.T) {
	// The holding times of EN 13060 are recalled, those of CDC 2008 table 7 published.
	en := policy(t, "en-13060")
	assert.Equal(t, met, outcome(Explain(good(), en), "cycle.hold.short", "/cycle/printed/holdTime"))
	strict := Explain(good(), en.Accepting(moistheat.Published))
	assert.Equal(t, undetermined, outcome(strict, "cycle.hold.short", "/cycle/printed/holdTime"))
	assert.Equal(t, moistheat.Quarantine, strict.Verdict.Load)
	var none []moistheat.Basis
	for _, no := range [][]moistheat.Basis{none, {}} {
		nothing := Explain(good(), en.Accepting(no...))
		assert.Equal(t, undetermined, outcome(nothing, "cycle.hold.short", "/cycle/printed/holdTime"), "no basis is no basis")
		assert.NotEqual(t, moistheat.Release, nothing.Verdict.Load)
	}
	us := Explain(good(), policy(t, "us-cdc-2003").Accepting(moistheat.Published))
	assert.Equal(t, met, outcome(us, "cycle.hold.short", "/cycle/printed/holdTime"))

	short := good()
	short.Cycle.Printed.HoldTime = duration("100 s")
	assert.Equal(t, broken, outcome(Explain(short, en.Accepting(moistheat.Published)), "cycle.hold.short", "/cycle/printed/holdTime"),
		"what is broken stays broken")
}

func TestWithTables(t *testing.T) {
	table, err := cycle.ParseTable([]byte(`{"format":"moistheat.cycle-table/1","id":"manufacturer","title":"sterilizer manufacturer's instructions",
		"document":"instructions for use","rows":[{"id":"134","temperatures":[{"value":134,"unit":"Cel"}],"hold":{"value":6,"unit":"min"},
		"source":{"document":"instructions for use","basis":"facility"}}]}`))
	require.NoError(t, err)
	r := Explain(good(), policy(t, "us-cdc-2003").WithTables(table))
	assert.Equal(t, broken, outcome(r, "cycle.setting.short", "/cycle/settings"), "310 s is less than its 6 min")
	assert.Equal(t, met, outcome(Explain(good(), policy(t, "us-cdc-2003")), "cycle.hold.short",
		"/cycle/printed/holdTime"))
}

// The demonstration day, end to end.
func TestDemoDay(t *testing.T) {
	for name, want := range map[string]struct {
		load    moistheat.Disposition
		refused int
		rules   []string // broken
	}{
		"1-all-good":           {moistheat.Release, 0, nil},
		"2-damp-pouch":         {moistheat.Release, 1, []string{"load.pack.wet"}},
		"3-powered-handpieces": {moistheat.Release, 2, []string{"load.fit.narrow", "load.fit.narrow", "load.fit.instructions", "load.fit.instructions"}},
		"4-short-plateau":      {moistheat.Reject, 4, []string{"cycle.setting.missed", "cycle.hold.short"}},
		"5-implant-waiting":    {moistheat.Quarantine, 3, nil},
		"6-dead-control":       {moistheat.Quarantine, 3, []string{"load.biological.void", "load.biological.overdue"}},
	} {
		t.Run(name, func(t *testing.T) {
			data, err := os.ReadFile(filepath.Join("..", "examples", "checkload", "demo", name+".json"))
			require.NoError(t, err)
			rec, err := Decode(data)
			require.NoError(t, err)
			r := Explain(rec, policy(t, "us-cdc-2003"))
			assert.Equal(t, want.load, r.Verdict.Load)
			assert.Equal(t, want.refused, r.refused())
			var got []string
			for _, f := range r.Findings {
				if f.Outcome == broken {
					got = append(got, f.Rule)
				}
			}
			assert.ElementsMatch(t, want.rules, got)
			assertSound(t, rec, r)
		})
	}
}

func FuzzDecode(f *testing.F) {
	data, err := json.Marshal(good())
	require.NoError(f, err)
	f.Add(data)
	f.Add([]byte(`{"format":"moistheat.load/1","id":"","load":{},"sterilizer":{},"packs":[]}`))
	p, err := PolicyFor("en-13060")
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := Decode(data)
		if err != nil {
			var de *moistheat.DocumentError
			if !errors.As(err, &de) {
				t.Fatalf("untyped error %v", err)
			}
			return
		}
		report := Explain(r, p)
		for _, x := range report.Findings {
			if x.Outcome == moistheat.Internal {
				t.Fatalf("internal: %s", report.Message(x))
			}
		}
		report.Text()
		if _, err := report.JSON(); err != nil {
			t.Fatal(err)
		}
		written, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Decode(written); err != nil {
			t.Fatalf("what was read does not read back: %v\n%s", err, written)
		}
	})
}

func FuzzParsePolicy(f *testing.F) {
	f.Add([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"t","base":"us-cdc-2003","rules":[{"id":"load.pack.wet","severity":"fault"}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := ParsePolicy(data)
		if _, typed := err.(*moistheat.DocumentError); err != nil && !typed {
			t.Fatalf("%T: %v", err, err)
		}
		if err == nil && Explain(good(), p) == nil {
			t.Fatal("no report")
		}
	})
}

// A rule that no row of the release table names can reject a load; then nothing is
// not what stands against it.
func TestLastRowFollowsTheVerdict(t *testing.T) {
	r := good()
	r.Arrangement = &Arrangement{Trays: []Tray{{ID: "rack", Perforated: no}}}
	report := Explain(r, policy(t, "us-cdc-2003"))
	require.Equal(t, moistheat.Reject, report.Verdict.Load)
	assert.Equal(t, broken, outcome(report, "load.tray.solid", "/arrangement/trays/0"))
	assert.False(t, report.Rows[17].Triggered)
}

// What keeps nothing back is said once a rule, whatever it is about.
func TestQuietQuestionsAreGrouped(t *testing.T) {
	r := good()
	for i, name := range []string{"forceps", "scissors"} {
		r.Packs[i].Items[0].Name = name
		r.Packs[i].Items[0].HandleFirst = unknown
		r.Packs[i].AirExpelled = unknown
	}
	report := Explain(r, policy(t, "us-cdc-2003"))
	questions := report.Questions()
	packing := slices.IndexFunc(questions, func(q Question) bool { return q.Act == "enter the packing" })
	require.GreaterOrEqual(t, packing, 0)
	q := questions[packing]
	assert.Equal(t, []string{"P1", "P2"}, q.Packs)
	assert.True(t, q.AtTheTime)
	assert.Zero(t, q.Holds, "it changes no verdict")
	assert.Len(t, q.Findings, 4)
	text := report.Text()
	assert.NotContains(t, text, "handle of forceps")
	assert.Contains(t, text, strconv.Itoa(len(questions))+" more question")
}
