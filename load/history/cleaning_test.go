package history

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// batch returns a good cleaning by hand of I-1 that ended before a load at nine.
func batch(id string, ended time.Time, edit func(*cleaning.Batch)) *cleaning.Batch {
	b := &cleaning.Batch{Format: cleaning.Format, ID: id, Kind: packaging.Manual, Started: ended.Add(-15 * time.Minute),
		Ended: ended, Rinsed: moistheat.Yes, Carried: []cleaning.Carried{{ID: "I-1", ExcludesAny: moistheat.No}}}
	if edit != nil {
		edit(b)
	}
	return b
}

// washed returns a load at an instant whose first item is I-1 and names a batch.
func washed(id string, began time.Time, key string) *load.Record {
	return ran(id, began.Format("2006-01-02 15:04"), func(r *load.Record) {
		r.Packs[0].ID = id + "-1"
		r.Packs[0].Items = []packaging.Item{{Name: "forceps", ID: "I-1",
			Preparation: packaging.Preparation{WasherLoad: key, Method: packaging.Manual}}}
	})
}

func found(r *load.Report, rule string) (worst moistheat.Outcome) {
	for _, f := range r.Findings {
		if f.Rule == rule {
			worst = max(worst, f.Outcome)
		}
	}
	return worst
}

// A batch that the history has is asked of the items that name it, in whatever order lines come.
func TestBatchesOfAHistory(t *testing.T) {
	nine := local("2026-03-09 09:00")
	r := washed("1", nine, "M-1")
	unrinsed := func(b *cleaning.Batch) { b.Rinsed = moistheat.No }
	before := nine.Add(-time.Hour)
	type batches = []*cleaning.Batch
	for name, c := range map[string]struct {
		batches batches
		rule    string
		want    moistheat.Outcome
	}{
		"none":                {nil, "cleaning.batch.missing", 0},
		"its own":             {batches{batch("M-1", before, nil)}, "cleaning.rinse.missing", met},
		"another":             {batches{batch("M-2", before, unrinsed)}, "cleaning.rinse.missing", 0},
		"its own, not rinsed": {batches{batch("M-1", before, unrinsed)}, "cleaning.rinse.missing", broken},
		"two versions": {batches{batch("M-1", before, nil), batch("M-1", before, unrinsed)},
			"cleaning.rinse.missing", broken},
		"of later": {batches{batch("M-1", nine.Add(time.Hour), nil)}, "cleaning.batch.late", broken},
	} {
		t.Run(name, func(t *testing.T) {
			h := New(policy(t, "us-cdc-2003"))
			for _, b := range c.batches {
				h.AddCleaning(b)
			}
			assert.Equal(t, c.want, found(load.ExplainKnowing(r, h.Policy(), h.Known(r)), c.rule))

			var file strings.Builder
			require.NoError(t, h.Save(&file))
			again, _, err := Load(strings.NewReader(file.String()), h.Policy())
			require.NoError(t, err)
			assert.Equal(t, h.Known(r).Digest(), again.Known(r).Digest(), "saved and loaded")
			assert.NotContains(t, file.String(), "operator")
		})
	}
}

// What was sterilized since its batch is to be cleaned anew: a batch of last year of the same
// name shows nothing.
func TestSpentBatch(t *testing.T) {
	nine := local("2026-03-09 09:00")
	now := washed("2", nine, "M-1")
	for _, c := range []struct {
		ended time.Time
		want  moistheat.Outcome
	}{{nine.Add(-time.Hour), 0}, {nine.AddDate(-1, 0, 0), moistheat.Broken}} {
		h := New(policy(t, "us-cdc-2003"))
		h.Add(washed("1", nine.AddDate(0, 0, -1), "M-0"))
		h.AddCleaning(batch("M-1", c.ended, nil))
		assert.Equal(t, c.want, found(h.Check(now), "load.cleaning.spent"), c.ended)
	}
}

// Case and space aside, a name means the same batch and the same item, as everywhere else.
func TestSpentBatchOfAnotherSpelling(t *testing.T) {
	nine := local("2026-03-09 09:00")
	for _, c := range []struct{ carried, batch, first, now string }{
		{"I-1", "M-1", "I-1", "M-1"},
		{"i-1", "M-1", "I-1", "M-1"},
		{"I-1 ", "M-1", "I-1", "M-1"},
		{"I-1", "m-1", "I-1", "M-1"},
		{"I-1", "M-1", "I-1", " m-1"},
		{"I-1", "M-1", "i-1", "M-1"}, // as the load before wrote it
	} {
		before := washed("1", nine, "M-1")
		before.Packs[0].Items[0].ID = c.first
		h := history(t, "us-cdc-2003", before,
			batch(c.batch, nine.Add(-time.Hour), func(b *cleaning.Batch) { b.Carried[0].ID = c.carried }))
		assert.Equal(t, broken, found(h.Check(washed("2", nine.Add(6*time.Hour), c.now)), "load.cleaning.spent"),
			"%+v", c)
	}
}

// A washer-disinfector does one run at a time: two batches of it that overlap claim the same one.
func TestOverlappingRuns(t *testing.T) {
	run := func(id, device, from, to, item string) *cleaning.Batch {
		return &cleaning.Batch{Format: cleaning.Format, ID: id, Kind: packaging.WasherDisinfector, Device: device,
			Started: local("2026-03-09 " + from), Ended: local("2026-03-09 " + to),
			Carried: []cleaning.Carried{{ID: item, ExcludesAny: moistheat.No}}}
	}
	r := washed("1", local("2026-03-09 09:00"), "W-1")
	r.Packs[0].Items[0].Preparation.Method = packaging.WasherDisinfector
	for _, c := range []struct {
		device, from, to string
		want             moistheat.Outcome
	}{
		{"WD", "07:00", "08:00", broken},
		{"WD", "07:01", "08:01", broken},
		{"WD", "06:10", "07:10", broken},
		{"WD", "05:00", "08:30", broken},
		{"WD", "07:20", "07:40", broken},
		{"W D", "07:00", "08:00", broken},
		{"wd", "07:30", "08:30", broken},
		{"WD", "08:00", "08:50", 0},
		{"WD", "07:59", "08:50", 0}, // to the minute
		{"WD", "06:00", "07:00", 0},
		{"WD 2", "07:01", "08:01", 0},
	} {
		h := history(t, "us-cdc-2003", run("W-1", "WD", "07:00", "08:00", "I-1"),
			run("W-2", c.device, c.from, c.to, "I-2"))
		got := found(load.ExplainKnowing(r, h.Policy(), h.Known(r)), "cleaning.log.shared")
		if c.want == 0 {
			assert.LessOrEqual(t, got, moistheat.Met, "%+v", c)
			continue
		}
		assert.Equal(t, c.want, got, "%+v", c)
	}
}

// Two trays of one run that are entered each by itself are one run, and no two that claim it; what
// differs in the run, or lies in both, is.
func TestTraysOfOneRun(t *testing.T) {
	tray := func(id, item string) *cleaning.Batch {
		return &cleaning.Batch{Format: cleaning.Format, ID: id, Kind: packaging.WasherDisinfector, Device: "WD", Number: "7",
			Started: local("2026-03-09 07:00"), Ended: local("2026-03-09 08:00"), Aborted: no, Trace: recorded(t).Cycle.Trace,
			Printed: cleaning.Printed{A0: units.New(3000, 0, units.One)},
			Carried: []cleaning.Carried{{ID: item, ExcludesAny: no}}}
	}
	r := washed("1", local("2026-03-09 09:00"), "W7-top")
	r.Packs[0].Items[0].Preparation.Method = packaging.WasherDisinfector
	for name, c := range map[string]struct {
		edit func(*cleaning.Batch)
		want moistheat.Outcome
	}{
		"trays":            {func(*cleaning.Batch) {}, met},
		"another spelling": {func(b *cleaning.Batch) { b.Device = "W D" }, met},
		"another machine":  {func(b *cleaning.Batch) { b.Device = "WD 2" }, broken},
		"no machine":       {func(b *cleaning.Batch) { b.Device = "" }, broken},
		"another start":    {func(b *cleaning.Batch) { b.Started = b.Started.Add(5 * time.Minute) }, broken},
		"another end":      {func(b *cleaning.Batch) { b.Ended = b.Ended.Add(5 * time.Minute) }, broken},
		"no end":           {func(b *cleaning.Batch) { b.Ended = time.Time{} }, broken},
		"another number":   {func(b *cleaning.Batch) { b.Number = "8" }, broken},
		"no number":        {func(b *cleaning.Batch) { b.Number = "" }, broken},
		"the same item":    {func(b *cleaning.Batch) { b.Carried[0].ID = "i-1" }, broken},
		"nothing carried":  {func(b *cleaning.Batch) { b.Carried = nil }, broken},
		"no log":           {func(b *cleaning.Batch) { b.Trace = nil }, broken},
		"ended by itself":  {func(b *cleaning.Batch) { b.Aborted = yes }, broken},
		"another print":    {func(b *cleaning.Batch) { b.Printed = cleaning.Printed{} }, broken},
		"a log of its own": {func(b *cleaning.Batch) { b.Trace.Temperatures[0].Values[3]++ }, broken},
	} {
		other := tray("W7-bottom", "I-2")
		c.edit(other)
		h := history(t, "us-cdc-2003", tray("W7-top", "I-1"), other)
		assert.Equal(t, c.want, found(load.ExplainKnowing(r, h.Policy(), h.Known(r)), "cleaning.log.shared"), name)
	}
}

// A batch that was entered wrongly is taken back, where another one of its ID stands in its place.
func TestBatchTakenBack(t *testing.T) {
	nine := local("2026-03-09 09:00")
	r := washed("1", nine, "M-1")
	wrong := batch("M-1", nine.Add(-time.Hour), func(b *cleaning.Batch) { b.Rinsed = moistheat.No })
	back := &Amendment{Format: AmendmentFormat, Time: nine, By: "A. Brandt", Why: "Mistyped.", Takes: []string{""},
		Lines: []string{Entry{Cleaning: wrong}.Digest()}}
	for _, replaced := range []bool{false, true} {
		h := New(policy(t, "us-cdc-2003"))
		h.AddEntry(Entry{Cleaning: wrong})
		if replaced {
			h.AddCleaning(batch("M-1", nine.Add(-time.Hour), nil))
		}
		require.NoError(t, h.AddAmendment(back))
		want := moistheat.Broken
		if replaced {
			want = 0
		}
		assert.Equal(t, want, found(h.Check(r), "cleaning.rinse.missing"), replaced)
	}
}

// A batch that comes to light after the release counts against opening a pack.
func TestMayOpenKnowsBatches(t *testing.T) {
	nine := local("2026-03-09 09:00")
	h := New(policy(t, "us-cdc-2003"))
	r := washed("1", nine, "M-1")
	h.Add(r)
	against := func() bool {
		for _, f := range h.MayOpen("1-1", nine.AddDate(0, 0, 1)).Findings {
			if strings.HasPrefix(f.Rule, "cleaning.") {
				return true
			}
		}
		return false
	}
	h.AddCleaning(batch("M-1", nine.Add(-time.Hour), nil))
	assert.False(t, against())
	h.AddCleaning(batch("M-1", nine.Add(-time.Hour), func(b *cleaning.Batch) { b.Rinsed = moistheat.No }))
	assert.True(t, against())
	assert.Equal(t, MayNotOpen, h.MayOpen("1-1", nine.AddDate(0, 0, 1)).Answer)
}
