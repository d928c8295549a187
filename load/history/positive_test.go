package history

import (
	"fmt"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The procedures side by side: CDC 2003 F.8 and F.9, CDC 2008 table 12, Ohio
// 4715-20-02, Ontario 2010. P positive, N negative, V void, R repaired, L a load
// without a test, F negative with the physical record failed, O negative in another
// kind of cycle, I still incubating, D positive in another kind of cycle, K a load without
// a test in another kind of cycle, A an air removal test passed, a one failed; all after the
// first positive load.
func TestProcedures(t *testing.T) {
	for _, tt := range []struct {
		policy, then string
		state        ProcedureState
		out          bool
		good, needed int
	}{
		{"us-cdc-2003", "", Repeating, true, 0, 1},
		{"us-cdc-2003", "N", Finished, false, 1, 1},
		{"us-cdc-2003", "I", Repeating, true, 0, 1},
		{"us-cdc-2003", "V", Repeating, true, 0, 1},
		{"us-cdc-2003", "O", Repeating, true, 0, 1}, // O02
		{"us-cdc-2003", "F", Repeating, true, 0, 1},
		{"us-cdc-2003", "VN", Finished, false, 1, 1},
		{"us-cdc-2003", "P", AwaitingRepair, true, 0, 3},
		{"us-cdc-2003", "PNNN", AwaitingRepair, true, 0, 3}, // before the repair nothing counts
		{"us-cdc-2003", "PR", Requalifying, true, 0, 3},
		{"us-cdc-2003", "PRNN", Requalifying, true, 2, 3},  // O06
		{"us-cdc-2003", "PRNNN", Requalifying, true, 3, 3}, // dynamic air removal: three tests of it, too
		{"us-cdc-2003", "PRNNNAAA", Finished, false, 3, 3},
		{"us-cdc-2003", "PRNNLN", Requalifying, true, 1, 3}, // K14: not one after the other
		{"us-cdc-2003", "PRNNVN", Requalifying, true, 1, 3},
		{"us-cdc-2003", "PRNNP", AwaitingRepair, true, 0, 3},
		{"us-cdc-2003", "PRNNPRNNNAAA", Finished, false, 3, 3},
		{"us-cdc-2008", "N", Repeating, true, 1, 3}, // O04
		{"us-cdc-2008", "NN", Repeating, true, 2, 3},
		{"us-cdc-2008", "NNN", Finished, false, 3, 3},
		{"us-cdc-2008", "NNLN", Repeating, true, 1, 3},
		{"us-cdc-2008", "NNP", AwaitingRepair, true, 0, 3}, // any positive counts
		{"us-oh", "", Repeating, true, 0, 1},               // F.8a: out at the first, whatever the state says of a second
		{"us-oh", "N", Finished, false, 1, 1},
		{"us-oh", "P", AwaitingRepair, true, 0, 3},
		{"us-oh", "PR", Requalifying, true, 0, 3},
		{"ontario", "PRN", Finished, false, 1, 1},
		{"england", "N", LeftOpen, true, 0, 0},
		// One procedure a sterilizer: a positive test in another kind of cycle is its
		// second one (the documents name the unit).
		{"us-cdc-2003", "D", AwaitingRepair, true, 0, 6}, // two kinds of cycle to be shown good
		{"us-oh", "D", AwaitingRepair, true, 0, 6},
		{"us-cdc-2003", "DRNNNAAA", Requalifying, true, 3, 6},
		{"us-cdc-2003", "PK", AwaitingRepair, true, 0, 6}, // each kind of cycle in use
		{"us-cdc-2003", "DRNNNOOOAAA", Finished, false, 6, 6},
		// Denmark: a new test; growth again: repair, then one test before use.
		{"denmark", "", Repeating, true, 0, 1},
		{"denmark", "N", Finished, false, 1, 1},
		{"denmark", "P", AwaitingRepair, true, 0, 1},
		{"denmark", "PRN", Finished, false, 1, 1},
		{"us-ar", "N", Finished, false, 1, 1},
		// ST79: three biological and three air removal tests, each series in a row, in
		// either order or mixed.
		{"us-st79", "NNN", Finished, false, 3, 3}, // no repair, no air removal tests
		{"us-st79", "PRNNN", Requalifying, true, 3, 3},
		{"us-st79", "PRNNNAA", Requalifying, true, 3, 3},
		{"us-st79", "PRNNNAAA", Finished, false, 3, 3},
		{"us-st79", "PRAAANNN", Finished, false, 3, 3},
		{"us-st79", "PRANANAN", Finished, false, 3, 3},
		{"us-st79", "PRNNNAAaA", Requalifying, true, 3, 3},
		{"us-st79", "PRNNNAAaAAA", Finished, false, 3, 3},
		{"us-st79", "PRNNNAALA", Requalifying, true, 0, 3}, // a load in between ends both series
		{"us-st79", "PRAAANNP", AwaitingRepair, true, 0, 3},
		{"us-st79", "PRAAANNPRNNN", Requalifying, true, 3, 3}, // after the second repair all again
		{"us-cdc-2008", "PRNNNAAA", Finished, false, 3, 3},    // as ST79
	} {
		h := history(t, tt.policy, ran("1", "2026-03-09 08:00", bio(load.Positive)))
		for i, c := range tt.then {
			at := local("2026-03-10 09:00").AddDate(0, 0, i).Format("2006-01-02 15:04")
			switch c {
			case 'P':
				put(h, runWithSpores(at, load.Positive))
			case 'N':
				put(h, runWithSpores(at, load.Negative))
			case 'I':
				put(h, runWithSpores(at, load.Pending))
			case 'V':
				put(h, runWithSpores(at, load.Negative, func(e *Event) { e.Biological.Control.Lot = "other" }))
			case 'F':
				put(h, runWithSpores(at, load.Negative, func(e *Event) { e.Physical = no }))
			case 'O':
				put(h, runWithSpores(at, load.Negative, func(e *Event) { e.Settings.Temperature = celsius(121) }))
			case 'D':
				put(h, runWithSpores(at, load.Positive, func(e *Event) { e.Settings.Temperature = celsius(121) }))
			case 'A':
				put(h, event(calendar.AirRemovalEvent, at, passed(yes)))
			case 'a':
				put(h, event(calendar.AirRemovalEvent, at, passed(no)))
			case 'R':
				put(h, event(calendar.RepairedEvent, at))
			case 'L':
				put(h, ran("L"+at, at))
			case 'K':
				put(h, ran("K"+at, at, at121))
			}
		}
		all := h.Procedures()
		require.Len(t, all, 1, "%s %s", tt.policy, tt.then)
		p := all[0]
		assert.Equal(t, tt.state, p.State, "%s %s: %v", tt.policy, tt.then, p.Steps)
		assert.Equal(t, tt.out, p.OutOfUse, "%s %s", tt.policy, tt.then)
		assert.Equal(t, tt.needed, p.Needed, "%s %s", tt.policy, tt.then)
		assert.Equal(t, tt.good, p.Good, "%s %s", tt.policy, tt.then)
		assert.Equal(t, tt.state == Finished, !p.Closed.IsZero())
		assert.NotEmpty(t, p.Next())
		assert.NotEmpty(t, p.Ends())
	}
}

// A good test of a series says how many more are needed: three biological and three air
// removal tests in a row after a repair (CDC 2003 F.9), three repeats before (CDC 2008,
// table 12).
func TestWhatIsStillNeeded(t *testing.T) {
	last := func(h *History) string {
		p := h.Procedures()[0]
		return p.Steps[len(p.Steps)-1].Then
	}
	grew := ran("1", "2026-03-09 08:00", bio(load.Positive))
	h := history(t, "us-cdc-2003", grew, runWithSpores("2026-03-10 08:00", load.Positive),
		event(calendar.RepairedEvent, "2026-03-11 08:00"), runWithSpores("2026-03-12 08:00", load.Negative))
	assert.Equal(t, "2 more negative biological indicator tests and 3 more passed air removal tests in a row required",
		last(h))
	put(h, event(calendar.AirRemovalEvent, "2026-03-12 10:00", passed(yes)))
	assert.Equal(t, "2 more negative biological indicator tests and 2 more passed air removal tests in a row required",
		last(h))
	h = history(t, "us-cdc-2008", grew, runWithSpores("2026-03-10 09:00", load.Negative))
	assert.Equal(t, "2 more negative biological indicator tests in a row required", last(h))
}

// A good repeat whose indicators nobody wrote down does not end the procedure:
// missing evidence is no pass.
func TestRepeatWithoutIndicators(t *testing.T) {
	h := history(t, "us-cdc-2003", ran("1", "2026-03-09 08:00", bio(load.Positive)),
		runWithSpores("2026-03-10 08:00", load.Negative, func(e *Event) { e.Chemical = unknown }))
	assert.Equal(t, Repeating, h.Procedures()[0].State)
	// A repeat may be a load: its record shows the indicators.
	put(h, ran("2", "2026-03-10 09:00", bio(load.Negative)))
	assert.Equal(t, Finished, h.Procedures()[0].State)
}

// What asks for no air removal tests is not told of them, and a load counts in a
// procedure only where it breaks a series.
func TestProcedureStepsOnlyWhatCounts(t *testing.T) {
	steps := func(policyName string, what ...any) (out []string) {
		for _, s := range history(t, policyName, what...).Procedures()[0].Steps {
			out = append(out, s.What)
		}
		return out
	}
	moved := event(calendar.InstalledEvent, "2026-03-09 08:00")
	air := event(calendar.AirRemovalEvent, "2026-03-09 09:00", passed(yes))
	assert.Equal(t, []string{"installed"}, steps("ontario", moved, air))
	assert.Equal(t, []string{"installed", "air removal test of 9 March 2026, 09:00: passed"}, steps("us-st79", moved, air))
	run, spores := ran("2", "2026-03-09 10:00"), runWithSpores("2026-03-09 09:00", load.Negative)
	assert.Equal(t, []string{"installed"}, steps("us-cdc-2008", moved, run))
	assert.Equal(t, []string{"installed",
		`biological indicator test "biological 2026-03-09 09:00" of 9 March 2026, 09:00: negative`, "a load without a biological indicator test"},
		steps("us-cdc-2008", moved, spores, run))
	assert.NotContains(t, history(t, "ontario", moved).Procedures()[0].Next(), "air removal")
}

// A sterilizer that was repaired without a positive test has no repeat to judge; one
// whose repeat was good has, once.
func TestRepeatIsJudgedAfterAPositiveTest(t *testing.T) {
	outcomes := func(what ...any) (out []moistheat.Outcome) {
		for _, f := range history(t, "ontario", what...).Findings(local("2026-03-20 12:00")) {
			if f.Rule == "load.positive.repeat" {
				out = append(out, f.Outcome)
			}
		}
		return out
	}
	grew, repeat := ran("1", "2026-03-09 08:00", bio(load.Positive)), runWithSpores("2026-03-10 10:00", load.Negative)
	bad := runWithSpores("2026-03-10 09:00", load.Negative, func(e *Event) { e.Settings.Temperature = celsius(121) })
	assert.Equal(t, []moistheat.Outcome{notAsked}, outcomes(event(calendar.RepairedEvent, "2026-03-09 08:00"), repeat))
	assert.Equal(t, []moistheat.Outcome{notAsked}, outcomes(grew))
	assert.Equal(t, []moistheat.Outcome{met}, outcomes(grew, repeat))
	assert.Equal(t, []moistheat.Outcome{broken}, outcomes(grew, bad))
	assert.ElementsMatch(t, []moistheat.Outcome{broken, met}, outcomes(grew, bad, repeat))
}

// K12 and K13: after installation, moving or repair three good tests in a row; a
// gasket or a solenoid asks for none.
func TestQualification(t *testing.T) {
	h := history(t, "us-cdc-2008", event(calendar.InstalledEvent, "2026-03-09 08:00"))
	require.Len(t, h.Procedures(), 1)
	assert.Equal(t, Requalifying, h.Procedures()[0].State)
	assert.True(t, h.Procedures()[0].OutOfUse)
	for _, at := range []string{"2026-03-09 09:00", "2026-03-09 10:00", "2026-03-09 11:00"} {
		assert.Equal(t, Requalifying, h.Procedures()[0].State)
		put(h, runWithSpores(at, load.Negative))
	}
	for _, at := range []string{"2026-03-09 13:00", "2026-03-09 14:00", "2026-03-09 15:00"} { // CDC 2008: air removal, too
		assert.Equal(t, Requalifying, h.Procedures()[0].State)
		put(h, event(calendar.AirRemovalEvent, at, passed(yes)))
	}
	assert.Equal(t, Finished, h.Procedures()[0].State)
	assert.Empty(t, history(t, "us-cdc-2008", event(calendar.UpkeepEvent, "2026-03-09 08:00")).Procedures())
}

// Air removal tests belong to sterilizers that draw the air out: one on whose record
// every cycle works by gravity is not asked; where nothing is recorded it is.
func TestQualificationWithoutVacuum(t *testing.T) {
	by := func(air moistheat.AirRemoval) *History {
		h := history(t, "us-st79", event(calendar.InstalledEvent, "2026-03-09 08:00"))
		for _, at := range []string{"2026-03-09 09:00", "2026-03-09 10:00", "2026-03-09 11:00"} {
			put(h, runWithSpores(at, load.Negative, func(e *Event) { e.Settings.AirRemoval = air }))
		}
		return h
	}
	assert.Equal(t, Finished, by(moistheat.GravityDisplacement).Procedures()[0].State)
	for _, air := range []moistheat.AirRemoval{moistheat.DynamicAirRemoval, ""} {
		p := by(air).Procedures()[0]
		assert.Equal(t, Requalifying, p.State)
		assert.Equal(t, "run biological indicator tests in consecutive cycles; 3 of 3 negative so far. Run consecutive air removal tests, too; 0 of 3 passed so far.", p.Next())
		assert.Equal(t, "3 more passed air removal tests in a row.", p.Ends())
	}
	p := history(t, "us-st79", event(calendar.InstalledEvent, "2026-03-09 08:00")).Procedures()[0]
	assert.Equal(t, "3 more negative biological indicator tests and 3 more passed air removal tests in a row.", p.Ends())
}

// Nobody's word ends a procedure; where the policy has none, a passed requalification by
// a person who is named does.
func TestLeftOpen(t *testing.T) {
	by := func(e *Event) { e.By = "AB" }
	grew := ran("1", "2026-03-09 08:00", bio(load.Positive))
	back := event(calendar.ReturnedEvent, "2026-03-12 08:00", by)
	state := func(policy string, more ...any) ProcedureState {
		return history(t, policy, append(more, grew)...).Procedures()[0].State
	}
	assert.Equal(t, LeftOpen, state("ireland", back))
	assert.Equal(t, LeftOpen, state("ireland", event(calendar.RequalificationEvent, "2026-03-12 08:00", passed(yes))))
	assert.Equal(t, LeftOpen, state("ireland", event(calendar.RequalificationEvent, "2026-03-12 08:00", by)))
	assert.Equal(t, Finished, state("ireland", event(calendar.RequalificationEvent, "2026-03-12 08:00", passed(yes), by)))
	assert.Equal(t, Repeating, state("us-cdc-2003", back))
}

// CDC 2008: in each kind of steam cycle in use. Three tests of one kind do not speak for
// the other, in whatever order they are run, and a bad one ends the series of its own.
func TestQualificationInEachKindOfCycle(t *testing.T) {
	air := []any{event(calendar.AirRemovalEvent, "2026-03-10 06:00", passed(yes)), event(calendar.AirRemovalEvent, "2026-03-10 06:30", passed(yes)), event(calendar.AirRemovalEvent, "2026-03-10 07:00", passed(yes))}
	for _, tt := range []struct {
		used, then   string
		state        ProcedureState
		good, needed int
	}{
		{"hc", "", Requalifying, 0, 6},
		{"h", "hhh", Finished, 3, 3},
		{"hc", "hhh", Requalifying, 3, 6},
		{"hc", "hhhhhh", Requalifying, 3, 6},
		{"hc", "hhhccc", Finished, 6, 6},
		{"hc", "hchchc", Finished, 6, 6},
		{"hc", "hhhcch", Requalifying, 5, 6},
		{"hc", "hhhcCcc", Requalifying, 5, 6}, // C: void
		{"hc", "hhhcCccc", Finished, 6, 6},
		{"hc", "hhcHccc", Requalifying, 3, 6}, // H: void, too; the cool ones stand
		{"hu", "hhh", Finished, 3, 3},         // u: it is not recorded how hot; it may be the other
		{"u", "uuu", Finished, 3, 3},
		{"hc", "hhhuuu", Requalifying, 3, 6},
	} {
		what := append([]any{event(calendar.RepairedEvent, "2026-03-10 05:00")}, air...)
		for i, c := range tt.used {
			switch c {
			case 'h':
				what = append(what, ran("h", fmt.Sprintf("2026-03-09 %02d:00", 8+i)))
			case 'c':
				what = append(what, ran("c", fmt.Sprintf("2026-03-09 %02d:00", 8+i), at121))
			case 'u':
				what = append(what, ran("u", fmt.Sprintf("2026-03-09 %02d:00", 8+i), func(r *load.Record) { r.Cycle.Settings.Temperature = units.Temperature{} }))
			}
		}
		for i, c := range tt.then {
			what = append(what, runWithSpores(fmt.Sprintf("2026-03-10 %02d:00", 8+i), load.Negative, func(e *Event) {
				switch c {
				case 'c', 'C':
					e.Settings.Temperature = celsius(121)
				case 'u':
					e.Settings.Temperature = units.Temperature{}
				}
				if c == 'C' || c == 'H' {
					e.Biological.Control.Lot = "other"
				}
			}))
		}
		p := history(t, "us-cdc-2003", what...).Procedures()[0]
		assert.Equal(t, tt.state, p.State, "%s %s: %v", tt.used, tt.then, p.Steps)
		assert.Equal(t, tt.good, p.Good, "%s %s", tt.used, tt.then)
		assert.Equal(t, tt.needed, p.Needed, "%s %s", tt.used, tt.then)
	}
}

// Only evidence by a person who is named ends an installation or a repair: tests that nobody
// stands for do not, nor does a blank name, an explanation or a requalification without one.
func TestUnnamedEvidenceEndsNothing(t *testing.T) {
	by := func(name string) func(*Event) { return func(e *Event) { e.By = name } }
	tests := func(name string) []any {
		what := []any{event(calendar.RepairedEvent, "2026-03-09 08:00")}
		for _, at := range []string{"09:00", "11:00", "13:00"} {
			what = append(what, runWithSpores("2026-03-09 "+at, load.Negative, by(name)),
				event(calendar.AirRemovalEvent, "2026-03-09 "+at[:2]+":30", passed(yes), by(name)))
		}
		return what
	}
	for name, want := range map[string]moistheat.Service{
		"": moistheat.OutOfService, "  ": moistheat.OutOfService, "J. Doe": moistheat.InService,
	} {
		h := history(t, "us-cdc-2003", tests(name)...)
		assert.Equal(t, want, h.Status()[0].Service, "tests by %q", name)
		later := ran("9", "2026-03-12 09:00")
		assert.Equal(t, want == moistheat.OutOfService, outcome(h.Check(later), whileOut,
			"/cycle/started") == broken, "%q", name)
		assert.Equal(t, want, history(t, "us-cdc-2003", event(calendar.RepairedEvent, "2026-03-09 08:00"),
			event(calendar.RequalificationEvent, "2026-03-09 09:00", passed(yes),
				by(name))).Status()[0].Service, "%q", name)
		cut := ran("1", "2026-03-09 08:00", func(r *load.Record) { r.Cycle.Aborted = yes })
		why := event(calendar.ExplainedEvent, "2026-03-09 12:00", by(name),
			func(e *Event) { e.Note = "the mains failed" })
		assert.Equal(t, want, history(t, "us-cdc-2003", cut, why).Status()[0].Service, "explained by %q", name)
	}
}
