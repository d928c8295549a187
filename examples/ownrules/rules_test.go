package ownrules

import (
	"fmt"
	"os"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/units"
)

func policy(t testing.TB) *load.Policy {
	t.Helper()
	p, err := load.PolicyFor("us-cdc-2003")
	if err == nil {
		p, err = p.WithRules(Rules())
	}
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The vectors of the clinic's rules, in the format of the library's corpus and on its bases.
func TestVectors(t *testing.T) {
	c, err := loadtest.Read(os.DirFS("vectors"), Rules())
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, v := range c.Vectors() {
		seen[v.Rule+" "+string(v.Case)] = true
		t.Run(v.ID, func(t *testing.T) {
			if err := v.Run(nil); err != nil {
				t.Error(err)
			}
		})
	}
	for _, rule := range []string{"clinic.item.oiled", "clinic.leak.stale", "clinic.pause.untested"} {
		for _, c := range []loadtest.Case{loadtest.CaseMet, loadtest.CaseBroken, loadtest.CaseUndetermined} {
			if !seen[rule+" "+string(c)] {
				t.Errorf("no vector shows %s %s", rule, c)
			}
		}
	}
}

// A vector that expects something else fails.
func TestVectorsTell(t *testing.T) {
	c, err := loadtest.Read(os.DirFS("vectors"), Rules())
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range c.Vectors() {
		v.Expect.Outcome = moistheat.Internal
		if v.Run(nil) == nil {
			t.Errorf("%s: nothing was compared", v.ID)
		}
	}
}

// loads returns the pouches as loads that began on some days of March 2026, tested or not.
func loads(days ...int) (out []*load.Record) {
	for _, d := range days {
		out = append(out, loadtest.Pouches(func(r *load.Record) {
			by := d - 9 // the pouches are of 9 March
			at := func(t *time.Time) { *t = t.AddDate(0, 0, by) }
			r.ID, r.Load.Number = fmt.Sprintf("L-%d", d), fmt.Sprint(d)
			r.Load.Date = r.Load.Date.AddDays(by)
			at(&r.Cycle.Started)
			at(&r.Cycle.Ended)
			at(&r.Release.Time)
			r.Cycle.Trace = nil // of which each load has its own
			r.Monitors.Tests = nil
		}))
	}
	return out
}

// A history lets the clinic's rule decide on the release of a load after a pause.
func TestHistoryDecides(t *testing.T) {
	const rule = "clinic.pause.untested"
	h := history.New(policy(t))
	days := loads(2, 9)
	h.Add(days[0])
	found := func(r *load.Report) string {
		for _, f := range r.Findings {
			if f.Rule == rule {
				return f.Outcome.String() + ", " + f.Effect.Load.String() + ": " + r.Message(f)
			}
		}
		return ""
	}
	want := "broken, quarantine: The sterilizer was last used on 2 March 2026, " +
		"and no air removal test was passed before this load."
	if got := found(h.Check(days[1])); got != want {
		t.Errorf("got %q", got)
	}
	if got := found(h.Add(days[1])); got != "" {
		t.Errorf("by itself the record shows no pause: %q", got)
	}
	set := days[1].Cycle.Settings
	set.Hold, set.Drying = units.New(210, 0, units.Second), units.Duration{} // as the tests of the corpus are
	h.AddEvent(&history.Event{Format: history.EventFormat, ID: "T", Sterilizer: "S1", Kind: calendar.AirRemovalEvent,
		Started: days[1].Cycle.Started.Add(-time.Hour), Time: days[1].Cycle.Started.Add(-time.Minute),
		Settings: set, Chamber: calendar.EmptyChamber, Passed: moistheat.Yes, By: "A. Brandt"})
	if got := found(h.Check(days[1])); got != "" {
		t.Errorf("it was tested in the morning: %q", got)
	}
}

// Findings of a history have the rule about the sterilizer, and a text of what to do.
func TestHistoryFindings(t *testing.T) {
	p := policy(t)
	h := history.New(p)
	for _, r := range loads(2) {
		h.Add(r)
	}
	findings := h.Findings(time.Date(2026, 3, 20, 12, 0, 0, 0, time.UTC))
	for _, f := range findings {
		if f.Rule != "clinic.leak.stale" {
			continue
		}
		if f.Outcome != moistheat.Undetermined || f.Pointer != "/sterilizers/S1" ||
			h.Message(f) != "No leak test is on record that was passed." {
			t.Errorf("got %+v: %s", f, h.Message(f))
		}
		return
	}
	t.Error("the rule was not asked")
}
