// Command fewest counts how little a record says that a policy releases, where the rest is
// said once in a catalogue. Run it from the top of the repository after a change to a rule,
// a policy or the clinic of examples/checkload:
//
//	go run ./internal/tools/fewest
//
// It takes the clinic's log with 1, 3 and 8 packs, leaves out one member after the other
// for as long as the policy still releases the load with the clinic's catalogue, and writes
// how many values are left to DEVELOPERS.md. What it finds is a least record, not the only
// one.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/quit"
	"example.com/moistheat/internal/tools/reduce"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/history"
	"example.com/moistheat/units"
)

const folder = "examples/checkload/clinic/"

var (
	policies = []string{"us-cdc-2003", "us-cdc-2008", "en-13060", "germany", "england", "australia"}
	packs    = []int{1, 3, 8}
)

func main() {
	facts := quit.Or(quit.Or(load.DecodeCatalogue(quit.Or(os.ReadFile(folder + "catalogue.json")))).Facts())
	log := quit.Or(os.ReadFile(folder + "log.json"))
	var b strings.Builder
	b.WriteString("| policy |")
	for _, n := range packs {
		fmt.Fprintf(&b, " packs: %d |", n)
	}
	for _, n := range packs {
		fmt.Fprintf(&b, " with a history: %d |", n)
	}
	b.WriteString("\n|---|" + strings.Repeat("--:|", 2*len(packs)) + "\n")
	for _, name := range policies {
		policy := quit.Or(load.PolicyFor(name))
		fmt.Fprintf(&b, "| %s |", name)
		for _, past := range []func(*load.Policy) *history.History{history.New, tested} {
			for _, n := range packs {
				h := past(policy)
				h.UseCatalogue(facts)
				doc := quit.Or(least(log, h, n))
				fmt.Fprintf(&b, " %d (%d bytes) |", values(doc), len(quit.Or(json.Marshal(doc))))
			}
		}
		b.WriteString("\n")
	}
	text := quit.Or(os.ReadFile("DEVELOPERS.md"))
	quit.Write("DEVELOPERS.md", quit.Or(into(text, b.String())))
}

// tested returns a history in which the tests stand that the log mentions, entered on their days.
func tested(policy *load.Policy) *history.History {
	h := history.New(policy)
	at := func(day, hour, minute int) time.Time {
		return time.Date(2026, time.March, day, hour, minute, 0, 0, time.FixedZone("", 3600))
	}
	h.AddEvent(&history.Event{Format: history.EventFormat, ID: "B1", Sterilizer: "S1", Kind: calendar.BiologicalTestEvent,
		Time: at(6, 12, 0), Physical: moistheat.Yes, Chemical: moistheat.Yes,
		Settings: cycle.Settings{AirRemoval: moistheat.DynamicAirRemoval, Temperature: units.New(134, 0, units.Celsius),
			Hold: units.New(3, 0, units.Minute)},
		Biological: &load.Biological{Result: load.Negative, Lot: "L1", Expires: moistheat.NewDate(2027, 1, 31),
			Suited: moistheat.Yes, Temperature: units.New(57, 0, units.Celsius), Incubated: units.New(24, 0, units.Hour),
			Readout: units.New(24, 0, units.Hour), Control: &load.Control{Lot: "L1", Result: load.Positive}}})
	for i, kind := range []calendar.EventKind{calendar.AirRemovalEvent, calendar.LeakEvent} {
		h.AddEvent(&history.Event{Format: history.EventFormat, ID: fmt.Sprint("T", i), Sterilizer: "S1", Kind: kind,
			Time: at(9, 7, 30+15*i), Passed: moistheat.Yes})
	}
	return h
}

// least returns what is left of a log of so many packs.
func least(log []byte, h *history.History, packs int) (any, error) {
	var doc map[string]any
	in := json.NewDecoder(bytes.NewReader(log))
	in.UseNumber()
	if err := in.Decode(&doc); err != nil {
		return nil, err
	}
	one := doc["packs"].([]any)[0].(map[string]any)
	var all []any
	for i := range packs {
		own := maps.Clone(one)
		own["id"] = fmt.Sprintf("P%d", i+1)
		all = append(all, own)
	}
	doc["packs"] = all
	released := func() bool {
		data, err := json.Marshal(doc)
		if err != nil {
			return false
		}
		record, err := load.Decode(data)
		if err != nil || len(record.Packs) != packs {
			return false
		}
		return h.Check(record).Verdict.MayRelease
	}
	if !released() {
		return nil, fmt.Errorf("%s does not release the log with %d packs", h.Policy().Name(), packs)
	}
	reduce.Document(doc, released)
	return doc, nil
}

// values counts what a person or a program enters; a quantity is one value.
func values(doc any) int {
	n := 0
	switch v := doc.(type) {
	case map[string]any:
		if v["unit"] != nil {
			return 1
		}
		for _, w := range v {
			n += values(w)
		}
	case []any:
		for _, w := range v {
			n += values(w)
		}
	default:
		return 1
	}
	return n
}

// into puts the table between its marks.
func into(text []byte, table string) ([]byte, error) {
	const begin, end = "<!-- fewest: written by internal/tools/fewest -->\n", "<!-- fewest ends -->\n"
	before, rest, has := strings.Cut(string(text), begin)
	_, after, ends := strings.Cut(rest, end)
	if !has || !ends {
		return nil, fmt.Errorf("DEVELOPERS.md has no marks for the table")
	}
	return []byte(before + begin + "\n" + table + "\n" + end + after), nil
}
