package history

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"strings"
	"syscall"
	"testing"
	"text/tabwriter"
	"time"
	_ "time/tzdata"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A disk takes what is written until it fails, and keeps what it took.
type disk struct {
	bytes.Buffer
	left int   // bytes that it still takes; less than 0: any number
	err  error // what it says then
}

func (d *disk) Write(b []byte) (int, error) {
	if d.left < 0 || len(b) <= d.left {
		if d.left > 0 {
			d.left -= len(b)
		}
		return d.Buffer.Write(b)
	}
	n, _ := d.Buffer.Write(b[:d.left])
	d.left = 0
	return n, d.err
}

// A clinic is a program that keeps a history on a disk. A line that it could not save is
// sent again, as by a queue that waits for an answer.
type clinic struct {
	*testing.T
	*rand.Rand
	policy *load.Policy
	disk   *disk
	h      *History
	kept   *Saved
	faults int
}

// start begins with what is on the disk, as a program that was ended at once and started again.
func (c *clinic) start() {
	var err error
	c.h, c.kept, err = Load(bytes.NewReader(c.disk.Bytes()), c.policy)
	require.NoError(c, err)
}

// take takes a line in and saves it, and reports whether that is done.
func (c *clinic) take(line any) bool {
	put(c.h, line)
	kept, err := c.h.Append(c.disk, c.kept)
	c.kept = kept
	return err == nil
}

// worldFaults is what happens while lines come in: each is called before a line and may send
// it, once or more, itself.
var worldFaults = []struct {
	name string
	do   func(c *clinic, line any)
}{
	{"full disk, half a line written, space again later", func(c *clinic, line any) {
		c.disk.left, c.disk.err = c.IntN(400), syscall.ENOSPC
		if c.take(line) {
			return
		}
		c.faults++
		c.disk.left = -1
	}},
	{"broken pipe, nothing written", func(c *clinic, line any) {
		c.disk.left, c.disk.err = 0, syscall.EPIPE
		if !c.take(line) {
			c.faults++
		}
		c.disk.left = -1
	}},
	{"power cut while a line is written", func(c *clinic, line any) {
		c.disk.left, c.disk.err = c.IntN(400), io.ErrShortWrite
		if !c.take(line) {
			c.faults++
		}
		c.disk.left = -1
		c.start()
	}},
	{"power cut after a line was written, before anybody was told", func(c *clinic, line any) {
		if c.take(line) {
			c.faults++
		}
		c.start()
	}},
	{"the same line three times", func(c *clinic, line any) {
		c.take(line)
		c.take(line)
		c.faults++
	}},
	{"a second program writes to the file", func(c *clinic, line any) {
		own := *c
		own.start()
		if own.take(line) {
			c.faults++
		}
	}},
	{"the clock of the program jumps, a year back and forth", func(c *clinic, _ any) {
		for _, years := range []int{-1, 1} {
			at := local("2026-03-11 12:00").AddDate(years, 0, 0)
			c.h.Due(at)
			c.h.Findings(at)
			c.faults++
		}
	}},
}

// Whatever happens while lines come in over weeks, in any order, none is lost, and the
// history answers as one to which nothing happened. With -v the table of what was tried.
func TestFaults(t *testing.T) {
	out := &strings.Builder{}
	table := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "fault\tinjected\tlines saved\tlines lost\tanswers changed")
	worlds := 4
	if os.Getenv("CI") != "" && !testing.Short() {
		worlds = 20
	}
	for _, f := range worldFaults {
		injected, saved, lost, changed := 0, 0, 0, 0
		for seed := range uint64(worlds) {
			rng := rand.New(rand.NewPCG(seed, 17))
			lines := (&world{Rand: rng}).lines(20)
			c := &clinic{T: t, Rand: rng, policy: policy(t, "us-cdc-2003"), disk: &disk{left: -1}}
			c.start()
			whole := history(t, "us-cdc-2003", lines...)
			order := rng.Perm(len(lines))
			for _, i := range order {
				f.do(c, lines[i])
				require.True(t, c.take(lines[i]), "seed %d: %v", seed, f.name)
			}
			c.start()
			want := contents(t, whole)
			have := contents(t, c.h)
			for l := range want {
				if !have[l] {
					lost++
				}
			}
			saved += len(want)
			injected += c.faults
			if answers(whole) != answers(c.h) {
				changed++
			}
		}
		fmt.Fprintf(table, "%s\t%d\t%d\t%d\t%d\n", f.name, injected, saved, lost, changed)
		assert.GreaterOrEqual(t, injected, worlds, "%s: it did not happen", f.name)
		assert.Zero(t, lost, f.name)
		assert.Zero(t, changed, f.name)
	}
	for _, f := range []struct {
		name string
		do   func(t *testing.T, rng *rand.Rand) (injected, lines, lost int)
	}{
		{"the reader is cancelled within a line, and goes on at Entry.End", cancelled},
		{"the same instants written in other zones", zones},
		{"the nights in which clocks are changed, north and south", daylight},
		{"ends of years, with and without a week 53", yearEnds},
		{"the clock of the sterilizer is set back and forth between lines", clockJumps},
	} {
		injected, lines, lost := 0, 0, 0
		for seed := range uint64(worlds+3) / 4 {
			a, b, c := f.do(t, rand.New(rand.NewPCG(seed, 19)))
			injected, lines, lost = injected+a, lines+b, lost+c
		}
		fmt.Fprintf(table, "%s\t%d\t%d\t%d\t\n", f.name, injected, lines, lost)
		assert.Positive(t, injected, f.name)
		assert.Zero(t, lost, f.name)
	}
	require.NoError(t, table.Flush())
	t.Log("\n" + out.String())
}

// contents are the digests of what a history keeps.
func contents(t *testing.T, h *History) map[digest]bool {
	out := map[digest]bool{}
	for line := range bytes.Lines(saved(t, h)) {
		out[contentOf(bytes.TrimSpace(line))] = true
	}
	return out
}

// stream writes lines as documents.
func stream(t *testing.T, lines []any) []byte {
	var out []byte
	for _, l := range lines {
		doc, err := json.Marshal(l)
		require.NoError(t, err)
		out = append(append(out, doc...), '\n')
	}
	return out
}

// cancelled reads a stream whose reader ends at any byte because its context was cancelled, and goes
// on where the last line that was read ended, until all is read.
func cancelled(t *testing.T, rng *rand.Rand) (injected, n, lost int) {
	var lines []any
	for i := range 12 {
		lines = append(lines, ran(fmt.Sprint(i), fmt.Sprintf("2026-03-%02d 09:00", 2+i)))
	}
	data := stream(t, lines)
	h, from, ctx := New(policy(t, "us-cdc-2003")), 0, errors.Join(context.Canceled)
	for from < len(data) {
		cut := from + 1 + rng.IntN(4*len(data)/len(lines))
		var r io.Reader = bytes.NewReader(data[from:min(cut, len(data))])
		if cut < len(data) {
			r = io.MultiReader(r, failing{ctx})
			injected++
		}
		start := from
		for e, err := range Entries(r) {
			if err != nil {
				require.ErrorIs(t, err, context.Canceled)
				break
			}
			h.AddEntry(e)
			from = start + int(e.End)
		}
	}
	whole := history(t, "us-cdc-2003", lines...)
	require.Equal(t, answers(whole), answers(h))
	return injected, len(lines), len(lines) - len(h.Lines())
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

// zones writes the instants of loads and tests in other zones: the recall is the same.
func zones(t *testing.T, rng *rand.Rand) (injected, n, lost int) {
	lines := func(in func(time.Time) time.Time) (out []any) {
		for i := range 10 {
			r := ran(fmt.Sprint(i), fmt.Sprintf("2026-03-%02d 09:00", 2+i))
			if i == 7 {
				bio(load.Positive)(r)
			}
			r.Cycle.Started, r.Cycle.Ended = in(r.Cycle.Started), in(r.Cycle.Ended)
			out = append(out, r)
		}
		e := event(calendar.AirRemovalEvent, "2026-03-08 07:00", passed(no))
		e.Time = in(e.Time)
		return append(out, e)
	}
	same := history(t, "us-cdc-2003", lines(func(t time.Time) time.Time { return t })...)
	other := history(t, "us-cdc-2003", lines(func(t time.Time) time.Time {
		injected++
		return t.In(time.FixedZone("", (rng.IntN(27)-12)*3600))
	})...)
	require.Equal(t, actions(same), actions(other))
	require.NotEmpty(t, actions(same))
	return injected, 11, 11 - len(other.Lines())
}

// daylight runs a test each day at half past seven by the clock on the wall, across the
// night in which it is changed: none is missed, and one that is left out is.
func daylight(t *testing.T, rng *rand.Rand) (injected, n, lost int) {
	for _, night := range []struct{ zone, day string }{
		{"America/Los_Angeles", "2026-03-08"}, {"America/Los_Angeles", "2026-11-01"},
		{"Europe/Vienna", "2026-03-29"}, {"Europe/Vienna", "2026-10-25"},
		{"Australia/Sydney", "2026-04-05"}, {"Australia/Sydney", "2026-10-04"},
		{"Australia/Lord_Howe", "2026-04-05"}, {"America/Santiago", "2026-09-06"},
	} {
		zone, err := time.LoadLocation(night.zone)
		require.NoError(t, err)
		day, err := time.ParseInLocation(time.DateOnly, night.day, zone)
		require.NoError(t, err)
		_, before := day.AddDate(0, 0, -1).Zone()
		_, after := day.AddDate(0, 0, 1).Zone()
		require.NotEqual(t, before, after, "%v: the clocks are not changed", night)
		injected++
		for _, left := range []int{-9, 0} { // none, and that of the day itself
			h := New(policy(t, "us-st79"))
			for d := -3; d <= 3; d++ {
				at := time.Date(day.Year(), day.Month(), day.Day()+d, 7, 30, rng.IntN(60), 0, zone)
				if d != left {
					h.AddEvent(event(calendar.AirRemovalEvent, "2026-01-01 00:00", passed(yes), func(e *Event) {
						e.ID, e.Time = fmt.Sprint(at.Unix()), at
					}))
				}
				r := ran(fmt.Sprint(d+3), "2026-01-01 09:00")
				r.Load.Date = moistheat.DateOf(at)
				r.Cycle.Started, r.Cycle.Ended = at.Add(2*time.Hour), at.Add(3*time.Hour)
				r.Unloading.Time, r.Release.Time = at.Add(200*time.Minute), at.Add(4*time.Hour)
				h.Add(r)
				n++
			}
			missed := 0
			for _, f := range h.Findings(day.AddDate(0, 0, 4)) {
				if f.Rule == "load.history.overdue" && f.Outcome == moistheat.Broken && f.Param("test") == "air removal test" {
					missed++
				}
			}
			if want := map[int]int{-9: 0, 0: 1}[left]; missed != want {
				t.Errorf("%v, without day %d: %d missed", night, left, missed)
				lost++
			}
		}
	}
	return injected, n, lost
}

// yearEnds runs a test each week over the end of years, the last week of which has 28 December
// in it: 2026 has a week 53, 2024 has none.
func yearEnds(t *testing.T, rng *rand.Rand) (injected, n, lost int) {
	for _, year := range []int{2020, 2024, 2025, 2026} {
		injected++
		for _, left := range []int{-9, 0} {
			h := New(policy(t, "us-cdc-2003"))
			monday := time.Date(year, time.December, 28, 8, 0, 0, 0, time.UTC)
			for monday.Weekday() != time.Monday {
				monday = monday.AddDate(0, 0, -1)
			}
			for half := -4; half <= 4; half++ { // on Mondays, with a test, and on Thursdays
				w := half >> 1
				at := monday.AddDate(0, 0, 7*w+3*(half&1)).Add(time.Duration(rng.IntN(30)) * time.Minute)
				r := ran(fmt.Sprint(half+4), "2026-01-01 09:00")
				r.Load.Date = moistheat.DateOf(at)
				r.Cycle.Started, r.Cycle.Ended = at, at.Add(50*time.Minute)
				r.Unloading.Time, r.Release.Time = at.Add(55*time.Minute), at.Add(time.Hour)
				if half%2 == 0 && w != left {
					test(func(b *load.Biological) {
						b.Result, b.Expires = load.Negative, moistheat.NewDate(2030, 1, 1)
					})(r)
				}
				h.Add(r)
				n++
			}
			missed := 0
			for _, f := range h.Findings(monday.AddDate(0, 0, 15)) {
				if f.Rule == "load.history.overdue" && f.Outcome == moistheat.Broken &&
					f.Param("test") == "biological indicator test" {
					missed++
				}
			}
			if want := map[int]int{-9: 0, 0: 1}[left]; missed != want {
				t.Errorf("end of %d, without week %d: %d missed", year, left, missed)
				lost++
			}
		}
	}
	return injected, n, lost
}

// clockJumps sets the clock of a sterilizer to another time between two loads: every load
// is kept under the time that its record says, and with a positive test in the last all
// are in the recall whose time does not exclude it.
func clockJumps(t *testing.T, rng *rand.Rand) (injected, n, lost int) {
	h := New(policy(t, "us-st79"))
	at := local("2026-03-09 08:00")
	for i := range 10 {
		r := ran(fmt.Sprint(i+1), "2026-01-01 09:00")
		r.Load.Date = moistheat.DateOf(at)
		r.Cycle.Started, r.Cycle.Ended = at, at.Add(50*time.Minute)
		r.Unloading.Time, r.Release.Time = at.Add(55*time.Minute), at.Add(time.Hour)
		h.Add(r)
		jump := []time.Duration{time.Hour, -time.Hour, 24 * time.Hour, -24 * time.Hour, 0}[rng.IntN(5)]
		if jump != 0 {
			injected++
		}
		at = at.Add(2*time.Hour + jump)
	}
	positive := runWithSpores("2026-03-20 08:00", load.Positive)
	h.AddEvent(positive)
	for i := range 10 {
		if actions(h)[fmt.Sprint(i+1)] == 0 {
			lost++
		}
	}
	return injected, 10, lost
}
