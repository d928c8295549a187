package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/pseudo"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/history"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The week is written by
//
//	go test ./examples/badweek -run TestWeek -write
var write = flag.Bool("write", false, "write week.ndjson")

var pacific = time.FixedZone("", -7*3600)

// clock returns a time on a day of May 2026; the 11th is a Monday.
func clock(day int, at string) time.Time {
	t, err := time.ParseInLocation("15:04", at, pacific)
	if err != nil {
		panic(err)
	}
	return time.Date(2026, time.May, day, t.Hour(), t.Minute(), 0, 0, pacific)
}

func duration(n int64) units.Duration        { return units.New(n, 0, units.Second) }
func celsius(tenths int64) units.Temperature { return units.New(tenths, -1, units.Celsius) }

// pouch returns a well-packed pouch.
func pouch(unit, number, id, what string, trait packaging.Trait, start time.Time) load.Pack {
	item := packaging.Item{
		Name: what, Count: 1, Class: packaging.Critical, Traits: []packaging.Trait{trait}, Open: moistheat.Yes, Guarded: moistheat.Yes,
		Materials:   []packaging.Material{packaging.StainlessSteel},
		Preparation: packaging.Preparation{Cleaned: moistheat.Yes, Method: packaging.WasherDisinfector, Dry: moistheat.Yes, Inspected: moistheat.Yes},
	}
	return load.Pack{
		Pack: packaging.Pack{
			ID: id, Barrier: packaging.PaperFilmPouch, Layers: 1, SteamFit: moistheat.Yes, Reused: moistheat.No,
			Expires: moistheat.NewDate(2028, 6, 30), Mass: units.New(150, 0, units.Gram), Fill: units.New(60, 0, units.Percent), FreeSpace: units.New(35, 0, units.Millimetre),
			Seal:  &packaging.Seal{Method: packaging.HeatSeal, Width: units.New(9, 0, units.Millimetre), Intact: moistheat.Yes, Pierced: moistheat.No},
			Label: &packaging.Label{Sterilizer: unit, Load: number, Date: moistheat.DateOf(start), Contents: what, Packer: "RO"},
			Indicators: []packaging.Indicator{
				{Place: packaging.External, Type: 1, Lot: "P-2231", Expires: moistheat.NewDate(2028, 6, 30), Result: packaging.Reached},
				{Place: packaging.Internal, Type: 5, Lot: "V-0714", Expires: moistheat.NewDate(2027, 2, 28), Visible: moistheat.Yes, Result: packaging.Reached},
			},
			Items: []packaging.Item{item},
		},
		Placement: load.Placement{Position: load.OnEdge, FilmSide: load.FilmToPaper, Gap: units.New(8, 0, units.Millimetre), TouchesWall: moistheat.No},
		Condition: load.PackCondition{Dry: moistheat.Yes, Intact: moistheat.Yes, Dropped: moistheat.No},
	}
}

// run is a good load of 40 minutes with three pouches.
func loadOf(unit string, number int, start time.Time, trait packaging.Trait) *load.Record {
	n := fmt.Sprint(number)
	end := start.Add(40 * time.Minute)
	r := &load.Record{
		Format: load.Format, ID: unit + "-" + n,
		Load:       load.Identity{Number: n, Date: moistheat.DateOf(start), PreparedBy: "R. Okafor"},
		Site:       load.Site{Name: "Heron Street Foot Clinic", Altitude: units.New(520, 0, units.Foot)},
		Sterilizer: load.Sterilizer{ID: unit, OnlyOne: moistheat.No, AirDetector: moistheat.No},
		Cycle: &load.Cycle{
			Number: n, Sterilizer: unit, Purpose: load.ForLoad, Type: load.TypeB,
			Evidence: cycle.Evidence{
				Started: start, Ended: end,
				Settings: cycle.Settings{AirRemoval: moistheat.DynamicAirRemoval, Temperature: celsius(1320), Hold: duration(240), Drying: duration(1320)},
				Printed: cycle.Printed{
					HoldTime: duration(252), MinimumTemperature: celsius(1322), MaximumTemperature: celsius(1333),
					AbsolutePressure: units.MustParse[units.AbsolutePressureUnit]("293 kPa"), DryingTime: duration(1320),
				},
				Aborted: moistheat.No,
			},
		},
		Monitors:  load.Monitors{LastValidBiological: clock(8, "09:00")},
		Unloading: load.Unloading{Time: end.Add(4 * time.Minute), By: "R. Okafor"},
		Release:   &load.Release{By: "M. Castellanos", Authorised: moistheat.Yes, Time: end.Add(15 * time.Minute), Decision: moistheat.Release},
	}
	for i, what := range []string{"nail nippers", "elevator", "tissue forceps"} {
		r.Packs = append(r.Packs, pouch(unit, n, fmt.Sprintf("%s-%s-%d", unit, n, i+1), what, trait, start))
	}
	return r
}

func spores(result, control load.Growth) load.Biological {
	b := load.Biological{
		Lot: "G-5520", Expires: moistheat.NewDate(2026, 11, 30), Temperature: celsius(570), Readout: units.New(24, 0, units.Hour),
		Result: result, Suited: moistheat.Yes, Control: &load.Control{Lot: "G-5520", Result: control},
	}
	if result != load.Pending {
		b.Incubated = units.New(24, 0, units.Hour)
	}
	return b
}

func event(unit string, kind calendar.EventKind, at time.Time) *history.Event {
	return &history.Event{Format: history.EventFormat, ID: unit + " " + kind.String() + " " + at.Format("0102-1504"), Sterilizer: unit, Kind: kind, Time: at}
}

// badWeek is all that the clinic wrote down in that week: sterilizer A fails its
// spore test on Tuesday, sterilizer B has a dead control and a failed air removal
// test, and one cycle number is missing.
func badWeek() []any {
	var out []any
	number := map[string]int{"A": 410, "B": 96}
	next := func(unit string) int { number[unit]++; return number[unit] }
	test := func(unit string, kind calendar.EventKind, at time.Time, passed moistheat.Answer) *history.Event {
		e := event(unit, kind, at)
		e.Passed, e.Number = passed, fmt.Sprint(next(unit))
		if kind == calendar.LeakEvent {
			e.LeakRate = units.New(6, -2, units.KilopascalPerMinute)
		}
		return e
	}
	for _, unit := range []string{"A", "B"} { // Friday before, tested and good
		r := loadOf(unit, next(unit), clock(8, "09:00"), packaging.Hinged)
		r.Monitors.Biologicals = []load.Biological{spores(load.Negative, load.Positive)}
		out = append(out, r)
	}
	for day := 11; day <= 15; day++ {
		for _, unit := range []string{"A", "B"} {
			if unit == "A" && day >= 14 {
				continue // out of use
			}
			passed := moistheat.Yes
			if unit == "B" && day == 15 {
				passed = moistheat.No
			}
			if day == 11 {
				out = append(out, test(unit, calendar.LeakEvent, clock(day, "07:10"), moistheat.Yes))
			}
			out = append(out, test(unit, calendar.AirRemovalEvent, clock(day, "07:40"), passed))
			for i, at := range []string{"08:30", "10:30", "13:30"} {
				if unit == "B" && day == 15 && i > 0 {
					continue
				}
				if unit == "A" && day == 11 && i == 2 {
					next(unit) // a cycle that nobody wrote down
				}
				trait := packaging.Hinged
				if unit == "A" && day == 12 && i == 2 {
					trait = packaging.Implant
				}
				r := loadOf(unit, next(unit), clock(day, at), trait)
				switch {
				case unit == "A" && day == 12 && i == 2: // implants wait for the spores
					r.Monitors.Biologicals = []load.Biological{spores(load.Negative, load.Negative)}
					r.Release.Decision = moistheat.Quarantine
				case unit == "A" && day == 13 && i == 0:
					r.Monitors.Biologicals = []load.Biological{spores(load.Positive, load.Positive)}
					r.Release.Decision = moistheat.Reject
				case unit == "B" && day == 14 && i == 0:
					r.Monitors.Biologicals = []load.Biological{spores(load.Negative, load.Negative)}
				}
				out = append(out, r)
			}
		}
	}
	stop := event("A", calendar.OutOfUseEvent, clock(14, "09:40"))
	stop.By, stop.Note = "M. Castellanos", "spore test of load 423 grew"
	repeat := event("A", calendar.BiologicalTestEvent, clock(14, "10:45"))
	b := spores(load.Positive, load.Positive)
	repeat.Number, repeat.Started, repeat.Biological = fmt.Sprint(next("A")), clock(14, "10:05"), &b
	repeat.Physical, repeat.Chemical, repeat.Chamber = moistheat.Yes, moistheat.Yes, calendar.PartLoad
	repeat.Settings = cycle.Settings{AirRemoval: moistheat.DynamicAirRemoval, Temperature: celsius(1320), Hold: duration(240)}
	out = append(out, stop, repeat)
	for i, p := range []string{"A-413-1", "A-415-2", "A-421-1"} {
		record := strings.Join(strings.Split(p, "-")[:2], "-")
		s := &history.StoredPack{Format: history.StoredFormat, Pack: p, Record: record}
		s.Use = &history.Use{Time: clock(12+i, "11:15"), Patient: fmt.Sprintf("HS-%04d", 2207+13*i), IndicatorRead: moistheat.Yes, By: "R. Okafor"}
		out = append(out, s)
	}
	return out
}

func TestWeek(t *testing.T) {
	var data bytes.Buffer
	for _, w := range badWeek() {
		line, err := json.Marshal(w)
		require.NoError(t, err)
		data.Write(append(line, '\n'))
	}
	if *write {
		require.NoError(t, os.WriteFile("week.ndjson", data.Bytes(), 0o644))
		week = data.Bytes()
	}
	require.Equal(t, data.String(), string(week), "week.ndjson is not what the week is; write it again")
}

func TestPage(t *testing.T) {
	var out, problems bytes.Buffer
	assert.Equal(t, 1, run([]string{"-policy", "us-cdc-2003"}, &out, &problems))
	assert.Empty(t, problems.String())
	page := out.String()
	for _, want := range []string{
		"A NO Since 14 May 2026, 09:10: positive biological indicator test of load 423",
		"B NO Since 15 May 2026, 07:40: the air removal test of 15 May 2026, 07:40 failed",
		"have the sterilizer inspected",
		"IMPLANT",
		"A-421-1 was used on 14 May 2026",
		"No load or test is recorded for cycle",
		"is invalid: its control is negative",
		"WARNING: biological. Treat it as infectious",
		"OTHER FINDINGS Recall packs already issued (findings: 2)",
		"Find out what the cycle was",
		"load.history.gap [minor], general practice: ",
		"The safety instructions of the sterilizer come before the warnings above, which rest on:",
	} {
		assert.Contains(t, strings.Join(strings.Fields(page), " "), strings.Join(strings.Fields(want), " "))
	}
	assert.NotContains(t, page, "HS-", "no key of a patient unless it is asked for")
	assert.Less(t, strings.Index(page, "WARNING: "), strings.Index(page, "To be"), "before what is to be done")
	assert.Less(t, strings.Count(page, "\n"), 140, "a page or two in small print")
	assert.Equal(t, 1, strings.Count(flat(page), flat(moistheat.Disclaimer)))
	for _, line := range strings.Split(page, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 80, line)
	}
	// The order of the lines of the file makes no difference.
	lines := bytes.Split(bytes.TrimSpace(week), []byte("\n"))
	rng := rand.New(rand.NewPCG(1, 1))
	rng.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
	file := filepath.Join(t.TempDir(), "week.ndjson")
	require.NoError(t, os.WriteFile(file, bytes.Join(lines, []byte("\n")), 0o600))
	var again bytes.Buffer
	assert.Equal(t, 1, run([]string{"-policy", "us-cdc-2003", file}, &again, &problems))
	assert.Equal(t, page, again.String())
}

func TestPatients(t *testing.T) {
	var out, problems bytes.Buffer
	assert.Equal(t, 1, run([]string{"-policy", "us-cdc-2003", "-patients"}, &out, &problems))
	assert.Contains(t, out.String(), "A-421-1 was used on 14 May 2026, patient HS-2233")
}

// The page is in German but for names and sources; in a language of which every letter is
// another nothing else is left.
func TestOtherLanguages(t *testing.T) {
	var out, problems bytes.Buffer
	assert.Equal(t, 1, run([]string{"-policy", "germany", "-lang", "de"}, &out, &problems))
	assert.Contains(t, out.String(), "Was es beendet: das Regelwerk lässt es offen.")
	var page struct{ Own map[string]string }
	require.NoError(t, json.Unmarshal(german, &page))
	name := filepath.Join(t.TempDir(), "xx.json")
	require.NoError(t, os.WriteFile(name, pseudo.Document(slices.Collect(maps.Keys(page.Own))...), 0o600))
	for _, policy := range []string{"us-cdc-2003", "germany", "ontario"} {
		out.Reset()
		assert.Equal(t, 1, run([]string{"-policy", policy, "-lang", name, "-patients"}, &out, &problems))
		assert.Empty(t, pseudo.Left(out.String(), string(week)+cited(t, policy)))
	}
	assert.Empty(t, problems.String())
}

// cited returns the rules and sources of what is found in the week.
func cited(t *testing.T, policy string) (out string) {
	t.Helper()
	p, err := load.PolicyFor(policy)
	require.NoError(t, err)
	h := history.New(p)
	for e, err := range history.Entries(bytes.NewReader(week)) {
		require.NoError(t, err)
		h.AddEntry(e)
	}
	at, err := time.Parse(time.RFC3339, friday)
	require.NoError(t, err)
	reasons := p.Reasons(h.Findings(at))
	for _, r := range reasons.Rules {
		out += " " + r.ID
		for _, s := range r.Sources {
			out += " " + s.Source.String()
		}
	}
	for _, w := range reasons.Warnings {
		for s := range w.Sources.All() {
			out += " " + s.String()
		}
	}
	return out
}

// flat returns a text without the ends of its lines.
func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

// What stands in a file forges nothing on the page: every id there is long, has line ends
// and what steers a terminal in it, and ends as a heading with nothing below.
func TestPageIsHarmless(t *testing.T) {
	const forged = "\x1b[2J\u202e\n\nRECALL LIST\n             none RECALL LIST none"
	var out, problems bytes.Buffer
	text, err := json.Marshal(forged)
	require.NoError(t, err)
	in := regexp.MustCompile(`"(id|number|sterilizer|pack|record|patient|by|note)":"[^"]*`).
		ReplaceAllString(string(week), "${0}"+string(text[1:len(text)-1]))
	file := filepath.Join(t.TempDir(), "week.ndjson")
	require.NoError(t, os.WriteFile(file, []byte(in), 0o600))
	assert.Equal(t, 1, run([]string{"-policy", "us-cdc-2003", file}, &out, &problems))
	assert.Empty(t, problems.String())
	headings := 0
	for line := range strings.Lines(out.String()) {
		if strings.HasPrefix(line, "RECALL LIST") {
			headings++
		}
		for _, r := range strings.TrimSuffix(line, "\n") {
			require.True(t, unicode.IsGraphic(r), "%U in %q", r, line)
		}
	}
	assert.Equal(t, 1, headings)
	assert.Contains(t, out.String(), "[U+001B]")
}

// The help is what was asked for, and no trouble.
func TestHelp(t *testing.T) {
	var out, problems bytes.Buffer
	assert.Equal(t, 0, run([]string{"-help"}, &out, &problems))
	assert.Contains(t, out.String(), "-policy")
	assert.Contains(t, out.String(), "us-cdc-2003")
	assert.Empty(t, problems.String())
}

func TestTroubles(t *testing.T) {
	var out, problems bytes.Buffer
	assert.Equal(t, 2, run(nil, &out, &problems), "no policy is anyone's by default")
	assert.Equal(t, 2, run([]string{"-policy", "nowhere"}, &out, &problems))
	assert.Equal(t, 2, run([]string{"-policy", "us-cdc-2003", "-at", "noon"}, &out, &problems))
	assert.Equal(t, 2, run([]string{"-policy", "us-cdc-2003", filepath.Join(t.TempDir(), "none")}, &out, &problems))
	file := filepath.Join(t.TempDir(), "bad")
	require.NoError(t, os.WriteFile(file, []byte("{}\n"), 0o600))
	assert.Equal(t, 2, run([]string{"-policy", "us-cdc-2003", file}, &out, &problems))
	assert.Contains(t, problems.String(), "line 1")
}
