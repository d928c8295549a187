package history

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// chainLines are a good load in store with the evidence of its cleaning, lines that have
// nothing to do with it, and lines each of which speaks against its pack P1.
func chainLines() (good, harmless, against []any) {
	eight, ten := instant("2026-03-09T08:00:00+01:00"), instant("2026-03-10T10:00:00+01:00")
	r := cleanedLoad("M-1")
	r.Packs[0].Items[0].Preparation.Device = "SINK-1"
	device := func(id, device string, kind calendar.EventKind, passed moistheat.Answer, at time.Time) *Event {
		return &Event{Format: EventFormat, ID: id, Device: device, Kind: kind, Passed: passed, Time: at}
	}
	own := func(edit func(*cleaning.Batch)) *cleaning.Batch {
		return batch("M-1", eight, func(b *cleaning.Batch) {
			b.Carried[0] = cleaning.Carried{ID: "I-1", Class: packaging.Critical, ExcludesAny: no, Moist: yes}
			b.Detergent = handAgent()
			if edit != nil {
				edit(b)
			}
		})
	}
	other := func(id string, edit func(*load.Record)) *load.Record {
		return ran(id, "2026-03-11 09:00", func(r *load.Record) {
			r.Sterilizer.ID, r.Cycle.Sterilizer = "S2", "S2"
			edit(r)
		})
	}
	good = []any{r, putAway("r1", "P1"), own(nil), device("s0", "SINK-1", calendar.SoilEvent, yes, eight)}
	harmless = []any{
		batch("M-7", eight, func(b *cleaning.Batch) { b.Carried[0].ID, b.Rinsed = "I-7", no }),
		batch("M-8", ten, func(b *cleaning.Batch) { // of its item, after the load
			b.Rinsed, b.TakenOut = no, []cleaning.TakenOut{{Item: "I-1", Reason: cleaning.RetainedSoil}}
		}),
		device("s8", "SEAL-2", calendar.SealCheckEvent, no, ten),
		device("s9", "WD", calendar.SoilEvent, no, ten),
		other("q1", func(r *load.Record) { r.Packs[0].Replaces = []string{"P9"} }),
		other("q2", func(r *load.Record) { r.Packs[0].Loan = &packaging.Loan{} }),
	}
	against = []any{
		own(func(b *cleaning.Batch) { b.Rinsed = no }),
		own(func(b *cleaning.Batch) {
			b.TakenOut = []cleaning.TakenOut{{Item: "I-1", Reason: cleaning.RetainedSoil}}
		}),
		batch("M-2", eight.Add(30*time.Minute), func(b *cleaning.Batch) {
			b.TakenOut = []cleaning.TakenOut{{Item: "I-1", Reason: cleaning.Corrosion}}
		}),
		device("s1", "SINK-1", calendar.SoilEvent, no, ten),
		&Event{Format: EventFormat, ID: "ar", Sterilizer: "S1", Kind: calendar.AirRemovalEvent, Passed: no, Time: ten},
		other("q3", func(r *load.Record) { r.Packs[0].Replaces = []string{"P1"} }),
		&StoredPack{Format: StoredFormat, Pack: "P1", Record: "r1", Use: &Use{Patient: "p1", Time: ten}},
	}
	return good, harmless, against
}

// openings are answers from the one that allows most to the one that allows nothing.
var openings = []OpeningAnswer{MayOpen, AskFirst, MayNotOpen}

func opens(t *testing.T, at time.Time, lines ...any) int {
	return slices.Index(openings, history(t, "us-cdc-2003", lines...).MayOpen("P1", at).Answer)
}

// What has nothing to do with a pack changes nothing about it. What speaks against it closes it, and
// more of that, in any order, never opens it; nor does the time that passes, or that evidence is
// left out.
func TestChainsOnlyClose(t *testing.T) {
	good, harmless, against := chainLines()
	at := instant("2026-03-12T15:00:00+01:00")
	require.Zero(t, opens(t, at, good...), "the pack may be opened to begin with")
	for i, line := range harmless {
		require.Zero(t, opens(t, at, append(slices.Clone(good), line)...), "harmless %d: %s", i, describe(line))
		require.Empty(t, reachedBy(history(t, "us-cdc-2003", append(slices.Clone(good), line)...))["P1"], "%d", i)
	}
	for i, line := range against[:5] { // the others tell where the pack went
		require.NotZero(t, reachedBy(history(t, "us-cdc-2003", append(slices.Clone(good), line)...))["P1"], "%d", i)
	}
	for i, line := range against {
		require.NotZero(t, opens(t, at, append(slices.Clone(good), line)...), "against %d: %s", i, describe(line))
		all := append(slices.Concat(good, harmless), line)
		require.NotZero(t, opens(t, at, all...), "against %d: %s", i, describe(line))
	}
	for seed := range seeds(t, runs(t)/5) {
		rng := rand.New(rand.NewPCG(seed, 13))
		some := func(of []any) (out []any) {
			for _, line := range of {
				if rng.IntN(2) == 0 {
					out = append(out, line)
				}
			}
			return out
		}
		lines := slices.Concat(good, some(harmless), some(against))
		rng.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
		was := opens(t, at, lines...)
		more := against[rng.IntN(len(against))]
		grown := append(slices.Clone(lines), more)
		require.GreaterOrEqual(t, opens(t, at, grown...), was, "seed %d: more against", seed)
		require.GreaterOrEqual(t, reachedBy(history(t, "us-cdc-2003", grown...))["P1"],
			reachedBy(history(t, "us-cdc-2003", lines...))["P1"], "seed %d: more against", seed)
		neutral := harmless[rng.IntN(len(harmless))]
		require.Equal(t, was, opens(t, at, append(slices.Clone(lines), neutral)...), "seed %d: harmless", seed)
		require.GreaterOrEqual(t, opens(t, at.AddDate(0, 0, rng.IntN(400)), lines...), was, "seed %d: later", seed)
		gone := rng.IntN(len(good))
		less := slices.DeleteFunc(slices.Clone(lines), func(l any) bool { return l == good[gone] })
		if was > 0 {
			require.NotZero(t, opens(t, at, less...), "seed %d: without %s", seed, describe(good[gone]))
		}
	}
}

func handAgent() *cleaning.Agent {
	return &cleaning.Agent{Amount: volume("30 mL"), Volume: volume("5 L"), Temperature: celsius(40),
		Contact: duration("10 min"), Instructions: &cleaning.AgentInstructions{MinDose: ratio("0.5 %"), MaxDose: ratio("1 %"),
			MinTemperature: celsius(20), MaxTemperature: celsius(45), Contact: duration("5 min")}}
}

func volume(s string) units.Volume { return units.MustParse[units.VolumeUnit](s) }

func ratio(s string) units.Ratio { return units.MustParse[units.RatioUnit](s) }
