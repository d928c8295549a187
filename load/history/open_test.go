package history

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/require"
)

// putAway is a line of the store about a pack against which nothing is.
func putAway(record, pack string) *StoredPack {
	return &StoredPack{Format: StoredFormat, Pack: pack, Record: record, Sterilized: day(2026, 3, 9), Expires: day(2026, 9, 9),
		Wrapped: yes, Layers: 1, Category: "instruments", Vacuum: yes, Place: "protected", Dry: yes, Intact: yes, Dropped: no,
		Checked: day(2026, 3, 9), Implant: no}
}

// shelfOf is a history of one good load with two packs that were put away.
func shelfOf(t testing.TB, name string, edit func(*load.Record, *StoredPack)) *History {
	h, r, s := New(policy(t, name)), good(), putAway("r1", "P1")
	if edit != nil {
		edit(r, s)
	}
	h.Add(r)
	h.AddStored(s)
	return h
}

// Each thing that is against a pack, or missing, keeps it closed, whatever the policy makes of
// the rules that say so.
func TestMayOpen(t *testing.T) {
	at := instant("2026-03-10T09:00:00+01:00")
	for name, c := range map[string]struct {
		edit func(*load.Record, *StoredPack)
		want OpeningAnswer
	}{
		"in order":       {nil, MayOpen},
		"not decided":    {func(r *load.Record, _ *StoredPack) { r.Release = nil }, AskFirst},
		"decided not":    {func(r *load.Record, _ *StoredPack) { r.Release.Decision = moistheat.Reject }, MayNotOpen},
		"pack held":      {func(r *load.Record, _ *StoredPack) { r.Packs[0].Decision = moistheat.Quarantine }, MayNotOpen},
		"no authority":   {func(r *load.Record, _ *StoredPack) { r.Release.Authorised = no }, MayNotOpen},
		"not dry then":   {func(r *load.Record, _ *StoredPack) { r.Packs[0].Condition.Dry = no }, MayNotOpen},
		"unread":         {func(r *load.Record, _ *StoredPack) { r.Packs[0].Indicators[0].Result = "" }, AskFirst},
		"wet shelf":      {func(_ *load.Record, s *StoredPack) { s.Dry = no }, MayNotOpen},
		"not inspected":  {func(_ *load.Record, s *StoredPack) { s.Intact = unknown }, AskFirst},
		"too old":        {func(_ *load.Record, s *StoredPack) { s.Expires = day(2026, 3, 9) }, MayNotOpen},
		"opened before":  {func(_ *load.Record, s *StoredPack) { s.LaidOut = yes }, MayNotOpen},
		"used":           {func(_ *load.Record, s *StoredPack) { s.Use = &Use{Time: at, Patient: "p-1"} }, MayNotOpen},
		"thrown away":    {func(_ *load.Record, s *StoredPack) { s.Fate = Discarded }, MayNotOpen},
		"sent back":      {func(_ *load.Record, s *StoredPack) { s.Fate = SentBack }, MayNotOpen},
		"a prion case":   {func(r *load.Record, _ *StoredPack) { r.Packs[1].PrionSuspected = yes }, MayNotOpen},
		"prion in store": {func(_ *load.Record, s *StoredPack) { s.PrionSuspected = yes }, MayNotOpen},
		"old by label": {func(r *load.Record, s *StoredPack) {
			r.Packs[0].Label.Expires, s.Expires = day(2026, 3, 9), moistheat.Date{}
		}, MayNotOpen},
		"not in store": {func(_ *load.Record, s *StoredPack) { s.Pack = "P2" }, AskFirst},
		"of no record": {func(_ *load.Record, s *StoredPack) { s.Record = "r9" }, AskFirst},
		"packed again": {func(r *load.Record, _ *StoredPack) { r.Packs[1].Replaces = []string{"P1"} }, MayNotOpen},
	} {
		for _, p := range []string{"us-cdc-2003", "en-13060"} {
			got := shelfOf(t, p, c.edit).MayOpen("P1", at)
			if p == "us-cdc-2003" && got.Answer != c.want || c.want != MayOpen && got.Answer == MayOpen {
				t.Errorf("%s, %s: want %s, got %s", name, p, c.want, got.Text())
			}
		}
	}
	require.Equal(t, MayNotOpen, (*History)(nil).MayOpen("P1", at).Answer)
	require.Equal(t, MayNotOpen, New(policy(t, "us-cdc-2003")).MayOpen("P1", at).Answer)
	require.Equal(t, MayNotOpen, shelfOf(t, "us-cdc-2003", nil).MayOpen("P1", instant("2026-03-09T09:30:00+01:00")).Answer)
}

// The JSON of an answer says why, as its text does: a reader has nothing else.
func TestOpeningSaysWhyInJSON(t *testing.T) {
	h := shelfOf(t, "us-cdc-2003", func(_ *load.Record, s *StoredPack) { s.Dry, s.Intact = no, unknown })
	german, err := moistheat.LanguageFor("de")
	require.NoError(t, err)
	for name, in := range map[string]moistheat.Language{"": {}, "de": german} {
		o := h.MayOpen("P1", instant("2026-03-10T09:00:00+01:00")).In(in)
		data, err := json.Marshal(o)
		require.NoError(t, err)
		var says struct {
			Language string
			Policy   struct{ Name, Title, Digest string }
			Findings []struct{ Rule, Message string }
			Rules    []struct{ ID, Title, Why, Remedy, FindOut string }
			Warnings []struct {
				Sentence string
				Sources  []moistheat.Source
			}
			Disclaimer string
		}
		require.NoError(t, json.Unmarshal(data, &says))
		require.Equal(t, name, says.Language)
		require.Equal(t, "us-cdc-2003", says.Policy.Name)
		require.Equal(t, h.Policy().Digest(), says.Policy.Digest)
		printed := strings.Join(strings.Fields(o.Text()), " ")
		require.Contains(t, printed, says.Disclaimer)
		require.NotEmpty(t, says.Findings)
		known := map[string]bool{}
		for _, r := range says.Rules {
			known[r.ID] = true
			require.NotEmpty(t, r.Title, r.ID)
			require.NotEmpty(t, r.Remedy+r.FindOut, r.ID)
		}
		for _, f := range says.Findings {
			require.Contains(t, printed, f.Message)
			require.True(t, f.Message != "" && known[f.Rule], f.Rule)
		}
		require.NotEmpty(t, says.Warnings)
		for _, w := range says.Warnings {
			require.Contains(t, printed, w.Sentence)
			require.NotEmpty(t, w.Sources)
		}
		var read Opening
		require.NoError(t, json.Unmarshal(data, &read))
		require.Equal(t, o.Text(), read.Text())
	}
	o := h.MayOpen("P1", instant("2026-03-10T09:00:00+01:00"))
	require.Equal(t, o, o.In(german).In(moistheat.Language{}), "there and back")
	data, err := json.Marshal(o)
	require.NoError(t, err)
	var read Opening
	require.NoError(t, json.Unmarshal(data, &read))
	require.Equal(t, o.In(german).Rules, read.In(german).Rules, "rules are put in a language after reading, too")
	require.Equal(t, o.In(german).Warnings, read.In(german).Warnings)
	slices.Reverse(read.Rules)
	require.Equal(t, o.Text(), read.Text(), "in whatever order the rules are written")
}

// HTM 01-05: wrapped instruments are kept for a year. A line of the store makes no pack younger
// than its load.
func TestStoreMakesNothingYounger(t *testing.T) {
	h := shelfOf(t, "england", func(_ *load.Record, s *StoredPack) {
		s.Sterilized, s.Expires = day(2027, 5, 1), moistheat.Date{}
	})
	require.NotEqual(t, MayOpen, h.MayOpen("P1", instant("2027-05-10T09:00:00+01:00")).Answer)
}

// A biological test that is recorded as failed is one, with no word of its indicator or against
// that; one whose control did not grow is void and no failure of the sterilizer (CDC 2003, F.6 and F.8).
func TestFailedBiologicalTest(t *testing.T) {
	at := instant("2026-03-10T09:00:00+01:00")
	event := func(b *load.Biological) *Event {
		return &Event{Format: EventFormat, ID: "spores", Sterilizer: "S1", Kind: calendar.BiologicalTestEvent,
			Time: instant("2026-03-09T15:00:00+01:00"), Passed: no, Biological: b}
	}
	void := goodSpores()
	void.Control.Result = load.Negative
	for name, c := range map[string]struct {
		b    *load.Biological
		fail bool
	}{"no indicator": {nil, true}, "negative": {goodSpores(), true}, "void": {void, false}} {
		h := shelfOf(t, "us-cdc-2003", nil)
		h.AddEvent(event(c.b))
		require.Equal(t, c.fail, len(h.Recall()) > 0, name)
		if c.fail {
			require.Equal(t, MayNotOpen, h.MayOpen("P1", at).Answer, name)
		}
	}
}

func goodSpores() *load.Biological {
	return &load.Biological{Lot: "B-1", Expires: day(2026, 12, 31), Temperature: units.New(57, 0, units.Celsius),
		Incubated: units.New(24, 0, units.Hour), Readout: units.New(24, 0, units.Hour), Result: load.Negative, Suited: yes,
		Enclosed: yes, Control: &load.Control{Lot: "B-1", Result: load.Positive}}
}

// What was of a suspected prion case is so in the pack that replaces it, and in the one that
// replaces that: its contents are the same (WHO 2000: the set stays apart).
func TestPrionFollowsThePacks(t *testing.T) {
	h := New(policy(t, "us-cdc-2003"))
	old := ""
	for i, id := range []string{"A", "B", "C"} {
		r := good()
		r.ID, r.Load.Number, r.Cycle.Number = "r"+id, id, id
		later := time.Duration(i) * 24 * time.Hour
		r.Load.Date = r.Load.Date.AddDays(i)
		r.Cycle.Started, r.Cycle.Ended = r.Cycle.Started.Add(later), r.Cycle.Ended.Add(later)
		r.Unloading.Time, r.Release.Time = r.Unloading.Time.Add(later), r.Release.Time.Add(later)
		r.Packs = r.Packs[:1]
		if r.Packs[0].ID = id; old != "" {
			r.Packs[0].Replaces = []string{old}
		} else {
			r.Packs[0].PrionSuspected = yes
		}
		h.Add(r)
		s := putAway(r.ID, id)
		h.AddStored(s)
		require.False(t, i > 0 && h.Check(r).Released(), "load of %s", id)
		require.Equal(t, MayNotOpen, h.MayOpen(id, instant("2026-03-20T09:00:00+01:00")).Answer, id)
		old = id
	}
}

// Of histories of any lines no pack may be opened whose load is not released with all that is
// known, or that is recalled; and after saving and loading every answer is the same.
func TestMayOpenIsCareful(t *testing.T) {
	rng, yeses := rand.New(rand.NewPCG(20, 5)), 0
	for n := range testrun.Sample(150, 3) {
		p := policy(t, []string{"us-cdc-2003", "us-cdc-2008", "us-st79"}[n%3])
		h, records := New(p), map[string]*load.Record{}
		for i := range 1 + rng.IntN(4) {
			r := good()
			r.ID = fmt.Sprint("r", i)
			shift := time.Duration(i) * 2 * time.Hour
			r.Cycle.Started, r.Cycle.Ended = r.Cycle.Started.Add(shift), r.Cycle.Ended.Add(shift)
			r.Unloading.Time, r.Release.Time = r.Unloading.Time.Add(shift), r.Release.Time.Add(shift)
			r.Packs[0].ID, r.Packs[1].ID = fmt.Sprint("A", i), fmt.Sprint("B", rng.IntN(3))
			it := &r.Packs[0].Items[0]
			it.ID, it.Instructions = "K-1", &packaging.Instructions{MaxCycles: 1 + rng.IntN(4)}
			switch rng.IntN(7) {
			case 0:
				b := spores()
				b.Result = load.Positive
				r.Monitors.Biologicals = []load.Biological{b}
			case 1:
				r.Release.Decision = moistheat.Quarantine
			case 2:
				r.Packs[0].Replaces = []string{fmt.Sprint("A", rng.IntN(4))}
			case 3:
				r.Packs[1].PrionSuspected = yes
			}
			h.Add(r)
			records[r.ID] = r
			if rng.IntN(4) > 0 {
				h.AddStored(putAway(r.ID, r.Packs[0].ID))
			}
		}
		if rng.IntN(4) == 0 {
			h.AddEvent(&Event{Format: EventFormat, ID: "a", Sterilizer: "S1", Kind: 1, Time: instant("2026-03-09T12:30:00+01:00"), Passed: no})
		}
		var file bytes.Buffer
		require.NoError(t, h.Save(&file))
		again, _, err := Load(&file, p)
		require.NoError(t, err)
		at := instant("2026-03-11T09:00:00+01:00")
		for i := range 4 {
			id := fmt.Sprint("A", i)
			o := h.MayOpen(id, at)
			require.Equal(t, o, again.MayOpen(id, at))
			if o.Answer != MayOpen {
				continue
			}
			yeses++
			require.Equal(t, moistheat.Release, h.Check(records[o.Record]).Verdict.Load, "%s of %s", id, o.Record)
			for _, s := range h.Recall() {
				require.False(t, s.Action > Lifted && slices.ContainsFunc(s.Packs, func(s SuspectPack) bool { return s.ID == id }),
					"%s is recalled", id)
			}
		}
		require.Equal(t, h.Chains(at), again.Chains(at))
		require.Equal(t, h.Items(), again.Items())
		require.Equal(t, h.Findings(at), again.Findings(at))
	}
	require.Greater(t, yeses, 6)
}

// The 3rd of 2 cycles is one too many, in a report that knows the history too.
func TestItems(t *testing.T) {
	h := New(policy(t, "us-cdc-2003"))
	var last *load.Record
	for i := range 3 {
		last = good()
		last.ID = fmt.Sprint("r", i)
		last.Cycle.Started, last.Cycle.Ended = last.Cycle.Started.AddDate(0, 0, i-2), last.Cycle.Ended.AddDate(0, 0, i-2)
		it := &last.Packs[0].Items[0]
		it.ID, it.Instructions = "K-1", &packaging.Instructions{MaxCycles: 2}
		if h.Add(last); i == 1 {
			require.Equal(t, met, outcome(load.ExplainKnowing(last, h.Policy(), h.Known(last)), "load.item.worn",
				"/packs/0/items/0/instructions/maxCycles"))
		}
	}
	require.Equal(t, []ItemUse{{ID: "K-1", Cycles: 3, Limit: 2, Last: last.Cycle.Started}}, h.Items())
	require.Equal(t, broken, outcome(h.Check(last), "load.item.worn", "/packs/0/items/0/instructions/maxCycles"))
	require.NotEqual(t, MayOpen, h.MayOpen("P1", last.Cycle.Ended.Add(time.Hour)).Answer)
}
