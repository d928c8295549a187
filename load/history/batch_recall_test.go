package history

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// reached returns what a recall asks of each pack.
func reachedBy(h *History) map[string]RecallAction {
	out := map[string]RecallAction{}
	for _, s := range h.Recall() {
		for _, p := range s.Packs {
			out[p.ID] = max(out[p.ID], s.Action)
		}
	}
	return out
}

// A batch that comes to light after the release, and failed, recalls the packs with its items and
// no others (CDC 2003: cleaning comes before sterilization; F.8 by analogy). What is only not
// recorded of it recalls nothing.
func TestFailedBatchRecalls(t *testing.T) {
	for name, c := range map[string]struct {
		edit func(*cleaning.Batch)
		want map[string]RecallAction
	}{
		"good":       {nil, map[string]RecallAction{}},
		"not rinsed": {func(b *cleaning.Batch) { b.Rinsed = moistheat.No }, map[string]RecallAction{"P1": Recall}},
		"soil on it": {func(b *cleaning.Batch) {
			b.TakenOut = []cleaning.TakenOut{{Item: "I-1", Reason: cleaning.RetainedSoil, Then: cleaning.CleanedAgain}}
		}, map[string]RecallAction{"P1": Recall}},
		"soil on another item": {func(b *cleaning.Batch) {
			b.TakenOut = []cleaning.TakenOut{{Item: "I-9", Reason: cleaning.RetainedSoil, Then: cleaning.CleanedAgain}}
		}, map[string]RecallAction{}},
		"rinse not recorded": {func(b *cleaning.Batch) { b.Rinsed = moistheat.NotRecorded }, map[string]RecallAction{}},
		"A0 of 60": {func(b *cleaning.Batch) {
			b.Kind, b.Trace = packaging.WasherDisinfector, logOf(80, 1)
		}, map[string]RecallAction{"P1": Recall}},
		"aborted": {func(b *cleaning.Batch) {
			b.Kind, b.Aborted = packaging.WasherDisinfector, moistheat.Yes
		}, map[string]RecallAction{"P1": Recall}},
	} {
		h, r := shelfWithBatch(t, c.edit)
		assert.Equal(t, c.want, reachedBy(h), name)
		found := false
		for _, f := range h.Findings(instant("2026-03-12T12:00:00+01:00")) {
			found = found || f.Rule == "load.recall.cleaning" && f.Outcome == moistheat.Broken && f.Pointer == "/cleaning/W-1"
		}
		assert.Equal(t, len(c.want) > 0, found, name)
		if len(c.want) > 0 {
			assert.False(t, h.Check(r).Released(), name)
			assert.Equal(t, MayNotOpen, h.MayOpen("P1", instant("2026-03-10T15:00:00+01:00")).Answer, name)
		}
	}
}

// logOf is a log of one sensor at one temperature, a sample a minute.
func logOf(celsius float64, minutes int) *cycle.Trace {
	out := &cycle.Trace{Time: cycle.TimeBase{Unit: units.Minute}}
	c := cycle.TemperatureChannel{ID: "1", Place: cycle.Chamber, Unit: units.Celsius}
	for i := range minutes + 1 {
		out.Time.Values, c.Values = append(out.Time.Values, float64(i)), append(c.Values, celsius)
	}
	out.Temperatures = []cycle.TemperatureChannel{c}
	return out
}

// A failed batch reaches forward to each load with its items until they were cleaned again.
func TestFailedBatchReachesForward(t *testing.T) {
	nine := local("2026-03-09 09:00")
	dayAfter := func(n int) time.Time { return nine.AddDate(0, 0, n) }
	h := New(policy(t, "us-cdc-2003"))
	h.AddCleaning(batch("M-1", nine.Add(-time.Hour), func(b *cleaning.Batch) { b.Rinsed = moistheat.No }))
	h.AddCleaning(batch("M-2", dayAfter(2).Add(-time.Hour), nil))
	h.Add(washed("1", nine, "M-1"))
	h.Add(washed("2", dayAfter(1), "")) // names none: the newest that carried its item is the failed one
	h.Add(washed("3", dayAfter(2), "M-2"))
	h.Add(washed("4", dayAfter(2).Add(-5*time.Hour), ""))
	h.Add(washed("0", nine.AddDate(0, 0, -1), "")) // before the batch
	got := reachedBy(h)
	assert.Equal(t, Recall, got["1-1"], "names it")
	assert.GreaterOrEqual(t, got["2-1"], Quarantine, "the next day, cleaned by nothing on record")
	assert.GreaterOrEqual(t, got["4-1"], Quarantine, "before the next batch")
	assert.Zero(t, got["3-1"], "cleaned again")
	assert.Zero(t, got["0-1"], "before it")
}

// One run of a machine belongs to one batch: two that say they were it are asked about, and
// packs of both wait (derived: a temperature log shows one run).
func TestOneLogTwoBatches(t *testing.T) {
	nine := local("2026-03-09 09:00")
	washer := func(id, number string, item string, ended time.Time, log *cycle.Trace) *cleaning.Batch {
		return batch(id, ended, func(b *cleaning.Batch) {
			b.Kind, b.Device, b.Number, b.Trace, b.Aborted = packaging.WasherDisinfector, "WD", number, log, moistheat.No
			b.Carried[0].ID = item
		})
	}
	log, other, flat := logOf(93, 25), logOf(93.5, 25), logOf(93, 10)
	for i := range log.Temperatures[0].Values {
		log.Temperatures[0].Values[i] += 0.1 * float64(i%3)
	}
	early := nine.Add(-2 * time.Hour)
	late := nine.Add(-time.Hour)
	for name, c := range map[string]struct {
		second *cleaning.Batch
		want   RecallAction
	}{
		"one log":                        {washer("W-2", "13", "I-2", late, log), Quarantine},
		"one number that day":            {washer("W-2", "12", "I-2", late, other), Quarantine},
		"one time":                       {washer("W-2", "13", "I-2", early, other), Quarantine},
		"another run":                    {washer("W-2", "13", "I-2", late, other), 0},
		"the same number on a later day": {washer("W-2", "12", "I-2", nine.AddDate(0, 1, 0), other), 0},
		"a version of the batch":         {washer("W-1", "12", "I-1", early, log), 0},
		"two logs that never moved":      {washer("W-2", "13", "I-2", late, flat), 0},
	} {
		first := log
		if c.second.Trace == flat {
			first = flat
		}
		h := New(policy(t, "us-cdc-2003"))
		h.AddCleaning(washer("W-1", "12", "I-1", early, first))
		h.AddCleaning(c.second)
		r := washed("1", nine, "W-1")
		r.Packs[0].Items[0].Preparation.Method = packaging.WasherDisinfector
		h.Add(r)
		assert.Equal(t, c.want, reachedBy(h)["1-1"], name)
		if c.want > 0 {
			assert.Equal(t, moistheat.Broken, found(h.Check(r), "cleaning.log.shared"), name)
		}
	}
}

// An item that a later batch than its own took out for soil is not sterilized from its own.
func TestSoilInAnotherBatch(t *testing.T) {
	nine := local("2026-03-09 09:00")
	soiled := func(id string, ended time.Time) *cleaning.Batch {
		return batch(id, ended, func(b *cleaning.Batch) {
			b.TakenOut = []cleaning.TakenOut{{Item: "I-1", Reason: cleaning.RetainedSoil, Then: cleaning.CleanedAgain}}
		})
	}
	for name, c := range map[string]struct {
		other *cleaning.Batch
		want  moistheat.Outcome
	}{
		"after its own":      {soiled("M-2", nine.Add(-10*time.Minute)), moistheat.Broken},
		"before its own":     {soiled("M-2", nine.Add(-3*time.Hour)), 0},
		"after the load":     {soiled("M-2", nine.Add(5*time.Hour)), 0},
		"at an unknown time": {soiled("M-2", time.Time{}), moistheat.Undetermined},
	} {
		if c.other.Ended.IsZero() {
			c.other.Started = time.Time{}
		}
		h := New(policy(t, "us-cdc-2003"))
		h.AddCleaning(batch("M-1", nine.Add(-time.Hour), nil))
		h.AddCleaning(c.other)
		r := washed("1", nine, "M-1")
		h.Add(r)
		assert.Equal(t, c.want, found(h.Check(r), "cleaning.item.elsewhere"), name)
		if c.want == moistheat.Broken {
			assert.Equal(t, Recall, reachedBy(h)["1-1"], name)
		}
	}
}

// Where batches are kept, one that a pack names and that is not on record is asked before it is
// opened as before its load is released; of loads before the first batch it is not asked.
func TestOpenAsksForTheBatch(t *testing.T) {
	nine := local("2026-03-09 09:00")
	for name, c := range map[string]struct {
		kept time.Time
		want moistheat.Outcome
	}{
		"kept since the day before": {nine.AddDate(0, 0, -1), moistheat.Undetermined},
		"kept since the day after":  {nine.AddDate(0, 0, 1), 0},
	} {
		h := New(policy(t, "us-cdc-2003"))
		r := washed("1", nine, "M-9")
		h.Add(r)
		h.AddCleaning(batch("M-1", c.kept, func(b *cleaning.Batch) { b.Carried[0].ID = "I-7" }))
		assert.Equal(t, c.want, found(h.Check(r), "cleaning.batch.missing"), name)
		open := moistheat.Outcome(0)
		for _, f := range h.MayOpen("1-1", nine.AddDate(0, 0, 2)).Findings {
			if f.Rule == "cleaning.batch.missing" {
				open = f.Outcome
			}
		}
		assert.Equal(t, c.want, open, name)
	}
}

// An item is held against the A0 of its own class, and against the set and the method that its
// record has, when its pack is opened as when its load was checked.
func TestOpenKnowsTheClass(t *testing.T) {
	nine := local("2026-03-09 09:00")
	for class, want := range map[packaging.Class]RecallAction{packaging.Noncritical: 0, packaging.Critical: Recall} {
		h := New(policy(t, "us-cdc-2003"))
		r := washed("1", nine, "W-1")
		r.Packs[0].Set = "S-1"
		it := &r.Packs[0].Items[0]
		it.Class, it.Preparation.Method = class, packaging.WasherDisinfector
		h.Add(r)
		h.AddCleaning(batch("W-1", nine.Add(-time.Hour), func(b *cleaning.Batch) {
			b.Kind, b.Trace, b.Aborted = packaging.WasherDisinfector, logOf(80, 5), moistheat.No // A0 of 300
			b.Carried[0].ID = "S-1"
		}))
		assert.Equal(t, want, reachedBy(h)["1-1"], class)
		assert.Len(t, h.Known(r).Batches, 1)
	}
}
