package history

import (
	"bytes"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
)

// logged returns the log of the clinic with another day and number, and the facts that it
// refers to, as changed.
func logged(t *testing.T, number string, d moistheat.Date, change func(*load.Record)) *load.Record {
	t.Helper()
	data, err := os.ReadFile("../../examples/checkload/clinic/log.json")
	require.NoError(t, err)
	r, err := load.Decode(data)
	require.NoError(t, err)
	days := int(d.Time().Sub(r.Load.Date.Time()).Hours() / 24)
	r.ID, r.Load.Number, r.Load.Date, r.Cycle.Number = number, number, d, number
	r.AllPacks.Label.Load, r.AllPacks.Label.Cycle, r.AllPacks.Label.Date = number, number, d
	for _, at := range []*time.Time{&r.Cycle.Started, &r.Cycle.Ended, &r.Unloading.Time, &r.Release.Time,
		&r.Monitors.LastValidBiological, &r.Monitors.Tests[0].Time, &r.Monitors.Tests[1].Time} {
		*at = at.AddDate(0, 0, days)
	}
	change(r)
	return r
}

func ofClinic(t *testing.T, change func(*load.Catalogue)) *load.Facts {
	t.Helper()
	data, err := os.ReadFile("../../examples/checkload/clinic/catalogue.json")
	require.NoError(t, err)
	c, err := load.DecodeCatalogue(data)
	require.NoError(t, err)
	change(c)
	f, err := c.Facts()
	require.NoError(t, err)
	return f
}

func asItIs[T any](*T) {}

// One load at which a practice was not kept suspends it from that load on, on every
// sterilizer, until it is signed anew on a later day.
func TestPracticeNotKept(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	f := ofClinic(t, asItIs[load.Catalogue])
	anew := func(d moistheat.Date) *load.Facts {
		return ofClinic(t, func(c *load.Catalogue) {
			entry := load.Entry{ID: "anew", From: d}
			c.Practices = append(c.Practices, load.Practice{Entry: entry, Habit: load.AirPressedOut, By: "C. Dorn"})
		})
	}
	airIn := func(r *load.Record) { r.Packs[1].AirExpelled = no }
	for _, tt := range []struct {
		name  string
		facts *load.Facts
		found *load.Record
		want  bool // released
	}{
		{"a load that says nothing of it", f, logged(t, "1", day(2026, 3, 5), asItIs[load.Record]), true},
		{"a load that did not keep it", f, logged(t, "1", day(2026, 3, 5), airIn), false},
		{"on another sterilizer", f, logged(t, "1", day(2026, 3, 5), func(r *load.Record) {
			airIn(r)
			r.Sterilizer.ID, r.Cycle.Sterilizer = "S2", "S2"
		}), false},
		{"a later load", f, logged(t, "1", day(2026, 3, 10), airIn), true},
		{"before it was signed", f, logged(t, "1", day(2026, 1, 1), airIn), true},
		{"signed anew", anew(day(2026, 3, 6)), logged(t, "1", day(2026, 3, 5), airIn), true},
		{"signed anew on that day", anew(day(2026, 3, 5)), logged(t, "1", day(2026, 3, 5), airIn), false},
		{"on a day that nobody knows", anew(day(2026, 3, 6)), logged(t, "1", day(2026, 3, 5), func(r *load.Record) {
			airIn(r)
			r.Load.Date = moistheat.Date{}
			r.Cycle.Started, r.Cycle.Ended, r.Unloading.Time = time.Time{}, time.Time{}, time.Time{}
		}), false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for _, resolved := range []bool{false, true} {
				h := New(p)
				h.Add(f.Resolve(logged(t, "0", day(2026, 3, 4), asItIs[load.Record]), p)) // so that something is known
				if resolved {
					h.Add(tt.facts.Resolve(tt.found, p))
				} else {
					h.Add(tt.found)
				}
				r := tt.facts.Resolve(logged(t, "7", day(2026, 3, 9), asItIs[load.Record]), p)
				report := h.Check(r)
				assert.Equal(t, !tt.want, outcome(report, "load.practice.suspended", "") == broken)
				if tt.want == false {
					assert.False(t, report.Released())
				}
				var file bytes.Buffer
				require.NoError(t, h.Save(&file))
				again, _, err := Load(&file, p)
				require.NoError(t, err)
				assert.Equal(t, h.Known(r), again.Known(r), "of a saved history")
				h.Add(r)
				assert.Equal(t, report.Released(), h.Check(r).Released(), "when it is in")
			}
		})
	}
}

// Of two versions of a record both count: one that is silent hides nothing.
func TestPracticeNotKeptByOneVersion(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	f := ofClinic(t, asItIs[load.Catalogue])
	silent := f.Resolve(logged(t, "7", day(2026, 3, 9), asItIs[load.Record]), p)
	h := New(p)
	h.Add(logged(t, "7", day(2026, 3, 9), func(r *load.Record) {
		r.Packs[0].Items = []packaging.Item{{Name: "nipper", Type: "nipper", Open: no}}
	}))
	h.Add(silent)
	assert.Equal(t, broken, outcome(h.Check(silent), "load.practice.suspended", ""))
	assert.Contains(t, h.Check(silent).Catalogue.Suspended, "hinges")
}

// A history that has the catalogue of the clinic takes a log as it was written, and says of it
// what it says of the record that the caller resolved.
func TestUseCatalogue(t *testing.T) {
	f := ofClinic(t, asItIs[load.Catalogue])
	for _, name := range []string{"us-cdc-2003", "us-cdc-2008", "en-13060", "germany", "england", "australia"} {
		p := policy(t, name)
		with, by := New(p), New(p)
		with.UseCatalogue(f)
		first := logged(t, "0", day(2026, 3, 4), asItIs[load.Record])
		log := logged(t, "7", day(2026, 3, 9), asItIs[load.Record])
		assert.Equal(t, by.Add(f.Resolve(first, p)).Text(), with.Add(first).Text(), name)
		assert.Equal(t, by.Check(f.Resolve(log, p)).Text(), with.Check(log).Text(), name)
		assert.Equal(t, with.Check(log), with.Check(f.Resolve(log, p)), "resolved before or not")
		assert.True(t, with.Check(log).Released(), name)
		assert.Equal(t, by.Known(f.Resolve(log, p)), with.Known(log))
		report := load.Check(f.Resolve(log, p), p)
		require.NoError(t, with.AddReport(log, report))
		require.NoError(t, by.AddReport(f.Resolve(log, p), report))
		now := log.Release.Time.AddDate(0, 0, 1)
		known := func(h *History) []moistheat.Finding { // of what only a catalogue lists
			return slices.DeleteFunc(h.Findings(now), func(f moistheat.Finding) bool {
				return f.Rule == "load.device.unlisted" ||
					f.Rule == "load.upkeep.overdue" && strings.HasPrefix(f.Pointer, "/devices/")
			})
		}
		assert.Equal(t, known(by), known(with))
		assert.NotEmpty(t, log.Packs[0].Set, "the record is the caller's")
	}
	var none *History
	none.UseCatalogue(f)
	assert.NotNil(t, none.Check(logged(t, "7", day(2026, 3, 9), asItIs[load.Record])))
}

// Without a catalogue a log that refers to one is quarantined, and the report says that none was
// given, not that the catalogue lacks what it may well have.
func TestLogWithoutCatalogue(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	log := logged(t, "7", day(2026, 3, 9), asItIs[load.Record])
	said := func(report *load.Report) (all []string) {
		for _, x := range report.Findings {
			if x.Rule == "load.catalogue.unknown" && x.Open() {
				all = append(all, report.Message(x))
			}
		}
		return all
	}
	report := New(p).Add(log)
	assert.False(t, report.Released())
	assert.Contains(t, said(report),
		"Not found in the catalogue on the day of the load: \"nail set\" (no catalogue was given for the check).")
	h := New(p)
	h.UseCatalogue(ofClinic(t, func(c *load.Catalogue) { c.Sets[0].ID = "toe set" }))
	assert.Contains(t, said(h.Add(log)), "Not found in the catalogue on the day of the load: \"nail set\".")
}

// An amendment names the line of a record as it was written, whatever it was resolved with.
func TestAmendResolved(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	f := ofClinic(t, asItIs[load.Catalogue])
	bad := logged(t, "0", day(2026, 3, 4), func(r *load.Record) { r.Packs[1].AirExpelled = no })
	line := Entry{Record: bad}.Digest()
	assert.Equal(t, line, Entry{Record: f.Resolve(bad, p)}.Digest())
	for _, resolve := range []bool{false, true} {
		h := New(p)
		h.UseCatalogue(f)
		log := logged(t, "7", day(2026, 3, 9), asItIs[load.Record])
		if resolve {
			h.Add(f.Resolve(bad, p))
		} else {
			h.Add(bad)
		}
		h.Add(logged(t, "0", day(2026, 3, 4), asItIs[load.Record])) // as it was
		assert.Equal(t, broken, outcome(h.Check(log), "load.practice.suspended", ""))
		a := &Amendment{Format: AmendmentFormat, Lines: []string{line}, Takes: []string{""}, By: "C. Dorn",
			Why: "It was of another load.", Time: log.Cycle.Started.Add(-time.Hour)}
		require.NoError(t, h.AddAmendment(a))
		assert.NotEqual(t, broken, outcome(h.Check(log), "load.practice.suspended", ""), "resolved: %v", resolve)
	}
}
