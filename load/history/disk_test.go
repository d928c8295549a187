package history

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Histories on disk: NAME.ndjson holds records, events and stored packs in the order
// in which they arrive; NAME.txt, written by hand from the documents that it names,
// says what is to be said after how many lines. The former are written by
//
//	go test ./load/history -run TestHistoriesOnDisk -write
var writeHistories = flag.Bool("write", false, "write the histories in testdata")

func worked() map[string][]any {
	positive := []any{ran("1", "2026-03-05 09:00", bio(load.Negative))}
	n := 1
	for _, day := range []int{6, 9, 10, 11} {
		for hour := 8; hour < 13 && n < 18; hour++ {
			n++
			var edit []func(*load.Record)
			if n == 7 {
				edit = append(edit, implant, implants2)
			}
			positive = append(positive, ran(fmt.Sprint(n), fmt.Sprintf("2026-03-%02d %02d:00", day, hour), edit...))
		}
	}
	positive = append(positive, ran("19", "2026-03-12 08:00", bio(load.Pending)), ran("19", "2026-03-12 08:00", bio(load.Positive)), event(calendar.OutOfUseEvent, "2026-03-13 09:00"))
	and := func(more ...any) []any { return append(append([]any{}, positive...), more...) }
	cannulas := func(r *load.Record) { hollowItem(r); detector(no)(r) }
	return map[string][]any{
		"repeat-negative": and(
			runWithSpores("2026-03-13 10:00", load.Negative),
			runWithSpores("2026-03-13 11:00", load.Negative),
			runWithSpores("2026-03-13 12:00", load.Negative)),
		"repeat-positive": and(
			runWithSpores("2026-03-13 10:00", load.Positive),
			&StoredPack{Format: StoredFormat, Pack: "7-1", Record: "7", Use: &Use{Time: local("2026-03-11 10:00"), Patient: "p-0412", IndicatorRead: yes}},
			event(calendar.RepairedEvent, "2026-03-16 09:00"),
			runWithSpores("2026-03-16 10:00", load.Negative),
			runWithSpores("2026-03-16 11:00", load.Negative),
			runWithSpores("2026-03-16 12:00", load.Negative),
			event(calendar.AirRemovalEvent, "2026-03-16 13:00", passed(yes)),
			event(calendar.AirRemovalEvent, "2026-03-16 14:00", passed(yes)),
			event(calendar.AirRemovalEvent, "2026-03-16 15:00", passed(yes))),
		"dead-control": {
			ran("1", "2026-03-02 09:00", bio(load.Negative)),
			ran("2", "2026-03-10 11:00", deadControl),
			ran("3", "2026-03-11 09:00", bio(load.Positive)),
		},
		"no-penetration-test": {
			event(calendar.LeakEvent, "2026-03-09 07:00", passed(yes), leaked("0.05 kPa/min")),
			ran("1", "2026-03-09 09:00", cannulas),
			event(calendar.AirRemovalEvent, "2026-03-10 07:30", passed(yes)),
			ran("2", "2026-03-10 09:00", cannulas),
		},
		"implant-in-an-emergency": {
			ran("1", "2026-03-09 09:00", implant, bio(load.Pending), func(r *load.Record) {
				r.Packs[0].Indicators[1].Type = 4
				r.Release.Emergency = &load.Emergency{Reason: "fracture, no other set", ApprovedBy: "Dr. N"}
			}),
			ran("2", "2026-03-09 11:00", implant, bio(load.Pending), func(r *load.Record) {
				r.Release.Emergency = &load.Emergency{Reason: "fracture, no other set", ApprovedBy: "Dr. N"}
			}),
			ran("2", "2026-03-09 11:00", implant, bio(load.Negative), func(r *load.Record) {
				r.Release.Emergency = &load.Emergency{Reason: "fracture, no other set", ApprovedBy: "Dr. N"}
			}),
		},
		"unread-indicator": {
			ran("1", "2026-03-09 09:00", func(r *load.Record) { r.Packs[0].Indicators[1].Result = packaging.NotReached }),
			&StoredPack{Format: StoredFormat, Pack: "1-1", Record: "1", Use: &Use{Time: local("2026-03-10 10:00"), Patient: "p-1", IndicatorRead: no}},
		},
		"container-by-gravity": {
			ran("1", "2026-03-09 09:00", byGravity),
			&StoredPack{Format: StoredFormat, Pack: "1-1", Record: "1", Use: &Use{Time: local("2026-03-10 10:00"), Patient: "p-1", IndicatorRead: no}},
			ran("2", "2026-03-10 09:00", bio(load.Negative)),
			event(calendar.WrongSettingEvent, "2026-03-10 12:00", func(e *Event) {
				e.Settings.AirRemoval, e.Settings.Temperature, e.Note = moistheat.GravityDisplacement, celsius(132), "the vacuum menu was skipped"
			}),
		},
		"never-run": {
			ran("1", "2026-03-09 09:00"),
			ran("2", "2026-03-09 11:00", func(r *load.Record) { r.Cycle = nil }),
			&StoredPack{Format: StoredFormat, Pack: "2-1", Record: "2", Use: &Use{Time: local("2026-03-10 10:00"), Patient: "p-1", IndicatorRead: yes}},
			&StoredPack{Format: StoredFormat, Pack: "2-2", Record: "2"},
			ran("3", "2026-03-10 09:00", func(r *load.Record) { r.Cycle.Aborted = yes }),
			&StoredPack{Format: StoredFormat, Pack: "3-1", Record: "3", Use: &Use{Time: local("2026-03-11 10:00"), Patient: "p-2", IndicatorRead: yes}},
		},
		"late-evidence": {
			ran("1", "2026-03-02 09:00", bio(load.Negative)),
			ran("2", "2026-03-05 09:00"),
			ran("3", "2026-03-09 09:00", bio(load.Pending)),
			ran("3", "2026-03-09 09:00", bio(load.Positive), func(r *load.Record) { r.Release = nil }),
			ran("2", "2026-03-05 09:00", bio(load.Negative)),
		},
		"repaired": {
			ran("1", "2026-03-09 09:00", bio(load.Negative)),
			event(calendar.AirRemovalEvent, "2026-03-10 07:30", passed(yes)),
			ran("2", "2026-03-10 09:00"),
			event(calendar.AirRemovalEvent, "2026-03-11 07:30", passed(no)),
			event(calendar.OutOfUseEvent, "2026-03-11 08:00"),
			event(calendar.RepairedEvent, "2026-03-11 14:00", func(e *Event) { e.Note = "vacuum pump" }),
			runWithSpores("2026-03-12 08:00", load.Negative, full),
			runWithSpores("2026-03-12 09:00", load.Negative, full),
			runWithSpores("2026-03-12 10:00", load.Negative, full),
			event(calendar.AirRemovalEvent, "2026-03-12 11:00", passed(yes)),
			event(calendar.AirRemovalEvent, "2026-03-12 12:00", passed(yes)),
			event(calendar.AirRemovalEvent, "2026-03-12 13:00", passed(yes)),
			event(calendar.ReturnedEvent, "2026-03-12 14:00"),
		},
	}
}

// byGravity is a load with a rigid container that was run by gravity, its inside indicator short
// of its end point.
func byGravity(r *load.Record) {
	p := &r.Packs[0]
	p.Barrier, p.Seal = packaging.RigidContainer, nil
	p.Indicators[1].Result, p.Indicators[1].Visible = packaging.NotReached, no
	r.Cycle.Type = ""
	r.Cycle.Settings = cycle.Settings{AirRemoval: moistheat.GravityDisplacement, Temperature: celsius(132), Hold: duration("15 min"), Drying: duration("30 min")}
	r.Cycle.Printed.HoldTime, r.Cycle.Printed.DryingTime = duration("910 s"), duration("30 min")
	r.Cycle.Printed.MinimumTemperature, r.Cycle.Printed.MaximumTemperature = units.New(1323, -1, units.Celsius), units.New(1334, -1, units.Celsius)
	r.Cycle.Printed.AbsolutePressure = units.MustParse[units.AbsolutePressureUnit]("292 kPa")
}

func full(e *Event) { e.Chamber = calendar.FullChamber }

func TestHistoriesOnDisk(t *testing.T) {
	for name, what := range worked() {
		t.Run(name, func(t *testing.T) {
			var data bytes.Buffer
			for _, w := range what {
				line, err := json.Marshal(w)
				require.NoError(t, err)
				data.Write(append(line, '\n'))
			}
			file := filepath.Join("testdata", "histories", name+".ndjson")
			if *writeHistories {
				require.NoError(t, os.WriteFile(file, data.Bytes(), 0o644))
			}
			disk, err := os.ReadFile(file)
			require.NoError(t, err)
			require.Equal(t, data.String(), string(disk), "the file is not what its records are; write it again")
			want, err := os.ReadFile(filepath.Join("testdata", "histories", name+".txt"))
			require.NoError(t, err)
			replay(t, disk, string(want))
		})
	}
}

// replay compares a history with lines such as
//
//	after 20 us-cdc-2003: recall = 7, 19
func replay(t *testing.T, disk []byte, want string) {
	checked := 0
	for i, line := range strings.Split(want, "\n") {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		head, rest, ok := strings.Cut(line, ": ")
		require.True(t, ok, "line %d", i+1)
		question, answer, ok := strings.Cut(rest, " = ")
		require.True(t, ok, "line %d", i+1)
		var n int
		var name string
		_, err := fmt.Sscanf(head, "after %d %s", &n, &name)
		require.NoError(t, err, "line %d", i+1)
		h := New(policy(t, name))
		verdict := ""
		read := 0
		for e, err := range Entries(bytes.NewReader(disk)) {
			require.NoError(t, err)
			if read == n {
				break
			}
			read++
			if e.Record != nil {
				verdict = h.Add(e.Record).Verdict.Load.String()
				continue
			}
			h.AddEntry(e)
		}
		require.Equal(t, n, read)
		assert.Equal(t, answer, askHistory(t, h, question, verdict), "line %d: %s", i+1, line)
		checked++
	}
	require.NotZero(t, checked)
}

func askHistory(t *testing.T, h *History, question, verdict string) string {
	list := func(a RecallAction) string {
		var out []string
		for _, s := range h.Recall() {
			if s.Action == a {
				out = append(out, s.Number)
			}
		}
		return strings.Join(out, ", ")
	}
	procedure := func() Procedure {
		p := h.Procedures()
		require.NotEmpty(t, p)
		return p[len(p)-1]
	}
	what, arg, _ := strings.Cut(question, " ")
	switch what {
	case "verdict":
		return verdict
	case "recall":
		return list(Recall)
	case "hold":
		return list(Quarantine)
	case "service":
		return h.Status()[0].Service.String()
	case "airNeeded":
		p := procedure()
		return strconv.Itoa(p.AirNeeded - p.AirGood)
	case "suspects":
		return strconv.Itoa(len(h.Recall()))
	case "first":
		return h.Recall()[0].Number
	case "procedure":
		return string(procedure().State)
	case "needed":
		p := procedure()
		return strconv.Itoa(p.Needed - p.Good)
	case "pack":
		for _, s := range h.Recall() {
			for _, p := range s.Packs {
				if p.ID == arg {
					if p.Where == "" {
						return "not known"
					}
					return strings.TrimSpace(string(p.Where) + " " + p.Patient)
				}
			}
		}
		return "not suspect"
	case "due": // due TEST at 2026-03-10 12:00
		test, at, _ := strings.Cut(arg, " at ")
		for _, d := range h.Due(local(at)) {
			if d.Duty.Test.String() == test {
				return string(d.State)
			}
		}
		return "not asked"
	case "finding": // finding RULE at 2026-03-10 12:00
		rule, at, _ := strings.Cut(arg, " at ")
		return says(h, rule, at).String()
	case "stored": // the worst outcome of a rule about stored packs
		out := notAsked
		for _, s := range h.stored() {
			for _, f := range CheckStored(s.StoredPack, h.policy, s.Sterilized) {
				if f.Rule == arg {
					out = max(out, f.Outcome)
				}
			}
		}
		return out.String()
	}
	require.Fail(t, "no such question: "+question)
	return ""
}
