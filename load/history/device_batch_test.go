package history

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/packaging"
)

// shelfWithBatch is a history of a good load in store whose first item is I-1 and names batch W-1.
func shelfWithBatch(t *testing.T, edit func(*cleaning.Batch)) (*History, *load.Record) {
	var record *load.Record
	h := shelfOf(t, "us-cdc-2003", func(r *load.Record, _ *StoredPack) {
		it := &r.Packs[0].Items[0]
		it.ID, it.Preparation.WasherLoad, it.Preparation.Method = "I-1", "W-1", packaging.Manual
		record = r
	})
	h.AddCleaning(batch("W-1", instant("2026-03-09T08:00:00+01:00"), edit))
	return h, record
}

// What a batch shows of one item keeps its pack closed: it was taken out at the inspection, or its
// instructions rule out how it was cleaned (CDC 2003: cleaning comes before sterilization).
func TestOpenByTheBatch(t *testing.T) {
	at := instant("2026-03-10T15:00:00+01:00")
	for name, edit := range map[string]func(*cleaning.Batch){
		"taken out": func(b *cleaning.Batch) {
			b.TakenOut = []cleaning.TakenOut{{Item: "I-1", Reason: cleaning.RetainedSoil, Then: cleaning.CleanedAgain}}
		},
		"excluded": func(b *cleaning.Batch) {
			b.Carried[0].Excludes, b.Carried[0].ExcludesAny = []packaging.CleaningMethod{packaging.Manual}, moistheat.Yes
		},
	} {
		h, r := shelfWithBatch(t, edit)
		assert.NotEqual(t, MayOpen, h.MayOpen("P1", at).Answer, name)
		assert.False(t, h.Check(r).Released(), name)
	}
}

// A failed test of a device casts doubt on the packs whose items were cleaned in it, also where only
// the batch names the device.
func TestDeviceOfABatch(t *testing.T) {
	at := instant("2026-03-10T15:00:00+01:00")
	for name, device := range map[string]string{"of the batch": "WD", "another": "WD-2"} {
		for _, inRecord := range []bool{false, true} {
			washed := batch("W-1", instant("2026-03-09T08:00:00+01:00"), func(b *cleaning.Batch) { b.Device = device })
			h := shelfOf(t, "us-cdc-2003", func(r *load.Record, _ *StoredPack) {
				it := &r.Packs[0].Items[0]
				it.ID, it.Preparation.WasherLoad, it.Preparation.Method = "I-1", "W-1", packaging.Manual
				if inRecord {
					r.Cleaning = []cleaning.Batch{*washed}
				}
			})
			if !inRecord {
				h.AddCleaning(washed)
			}
			h.AddEvent(&Event{Format: EventFormat, ID: "soil", Device: "WD", Kind: calendar.SoilEvent, Passed: no,
				Time: instant("2026-03-10T12:00:00+01:00")})
			suspect := 0
			for _, s := range h.Recall() {
				for _, p := range s.Packs {
					if p.ID == "P1" {
						suspect++
					}
				}
			}
			assert.Equal(t, name == "of the batch", suspect > 0, "%s, in the record: %v", name, inRecord)
			if name == "of the batch" {
				assert.NotEqual(t, MayOpen, h.MayOpen("P1", at).Answer)
			}
		}
	}
}

// Before its release is signed no pack is opened, though the release came later.
func TestOpenBeforeItsRelease(t *testing.T) {
	h := shelfOf(t, "us-cdc-2003", nil) // over at 09:50, released at 10:05
	assert.Equal(t, MayNotOpen, h.MayOpen("P1", instant("2026-03-09T09:55:00+01:00")).Answer)
	assert.Equal(t, MayOpen, h.MayOpen("P1", instant("2026-03-09T10:05:00+01:00")).Answer)
}

// Only packs that may be used are to be put away, and an undecided load of another day
// stays in the order of the day.
func TestAgendaOfWhatIsLeft(t *testing.T) {
	says := func(h *History, at time.Time, what string) bool {
		for _, task := range h.Agenda(at) {
			if strings.HasPrefix(task.What, what) {
				return true
			}
		}
		return false
	}
	const putAway, decide = "put away the packs", "decide on the loads"
	evening, next := instant("2026-03-09T17:00:00+01:00"), instant("2026-03-10T08:00:00+01:00")
	history := func(edit func(*load.Record)) *History {
		h, r := New(policy(t, "us-cdc-2003")), good()
		edit(r)
		require.NoError(t, h.AddReport(r, load.Check(r, h.Policy())))
		other := good()
		other.ID, other.Load.Number, other.Cycle.Number = "r0", "6", "6"
		other.Load.Date = day(2026, 3, 6)
		for _, at := range []*time.Time{&other.Cycle.Started, &other.Cycle.Ended, &other.Unloading.Time, &other.Release.Time} {
			*at = at.AddDate(0, 0, -3)
		}
		other.Packs = other.Packs[:1]
		other.Packs[0].ID = "Q1"
		h.Add(other)
		h.AddStored(putAwayOf("r0", "Q1"))
		return h
	}
	good := history(func(*load.Record) {})
	assert.True(t, says(good, evening, putAway))
	wet := history(func(r *load.Record) {
		r.Packs[0].Condition.Dry, r.Packs[1].Condition.Dry = no, no
	})
	assert.False(t, says(wet, evening, putAway), "wet packs")
	undecided := history(func(r *load.Record) { r.Release = nil })
	assert.False(t, says(undecided, evening, putAway), "undecided")
	assert.True(t, says(undecided, evening, decide))
	assert.True(t, says(undecided, next, decide), "the next morning")
}

func putAwayOf(record, pack string) *StoredPack {
	s := putAway(record, pack)
	s.Sterilized, s.Checked = day(2026, 3, 6), day(2026, 3, 6)
	return s
}

// Where two versions of a record say other things of one item, what is against either keeps its pack
// closed.
func TestOpenByEitherVersion(t *testing.T) {
	at := instant("2026-03-10T15:00:00+01:00")
	for _, taken := range []string{"I-1", "I-2"} {
		h, r := shelfWithBatch(t, func(b *cleaning.Batch) {
			b.Carried = append(b.Carried, cleaning.Carried{ID: "I-2", ExcludesAny: moistheat.No})
			b.TakenOut = []cleaning.TakenOut{{Item: taken, Reason: cleaning.RetainedSoil}}
		})
		other := *r
		other.Packs = append([]load.Pack{}, r.Packs...)
		other.Packs[0].Items = append([]packaging.Item{}, r.Packs[0].Items...)
		other.Packs[0].Items[0].ID = "I-2"
		h.Add(&other)
		found := false
		for _, f := range h.MayOpen("P1", at).Findings {
			found = found || f.Rule == "cleaning.item.taken"
		}
		assert.True(t, found, taken)
	}
}

// A test cycle is no load that waits for a decision.
func TestAgendaOfATestCycle(t *testing.T) {
	h, r := New(policy(t, "en-13060")), good()
	r.Cycle.Purpose, r.Packs, r.Release = load.ForAirRemovalTest, nil, nil
	h.Add(r)
	for _, task := range h.Agenda(instant("2026-03-10T08:00:00+01:00")) {
		assert.False(t, strings.HasPrefix(task.What, "decide on the loads"), "%v", task)
	}
}
