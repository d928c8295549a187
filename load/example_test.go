package load_test

import (
	"fmt"
	"log"
	"os"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/units"
)

// The demonstration records stand in for an export of clinic software.
const demo = "../examples/checkload/demo/"

func Example() {
	data, err := os.ReadFile(demo + "2-damp-pouch.json")
	if err != nil {
		log.Fatal(err)
	}
	record, err := load.Decode(data)
	if err != nil {
		log.Fatal(err) // it could not be read; nothing was judged
	}
	policy, err := load.PolicyFor("us-cdc-2003")
	if err != nil {
		log.Fatal(err)
	}
	report := load.Check(record, policy)
	fmt.Println("load:", report.Verdict.Load)
	for _, pack := range report.Packs {
		fmt.Println(pack.ID, pack.Disposition)
	}
	for _, f := range report.Findings {
		if f.Outcome == moistheat.Broken {
			fmt.Println(f.Pointer, f.Rule)
			fmt.Println(report.Message(f), "Says:", f.Sources.At(0))
		}
	}
	// Output:
	// load: release
	// N-201 release
	// S-202 release
	// T-203 reject
	// H-204 release
	// /packs/2/condition load.pack.wet
	// The pack is wet or damp. Says: CDC dental infection control questions and answers, packaging and storing 2016, storage and use: wet packs are processed again (published)
}

func ExampleDecode_unreadable() {
	_, err := load.Decode([]byte(`{"format": "moistheat.load/1", "id": "1", "load": {}, "sterilizer": {},
		"packs": [{"id": "P1", "barrier": "wrap", "items": [], "mass": {"value": 12, "unit": "lbs"}}]}`))
	fmt.Println(err)
	// Output:
	// moistheat.load/1: /packs/0/mass/unit: "lbs" is not a UCUM code for mass; write "[lb_av]" (byte 137)
}

func ExampleRecords() {
	var stream strings.Builder
	for _, name := range []string{"1-all-good", "4-short-plateau"} {
		data, err := os.ReadFile(demo + name + ".json")
		if err != nil {
			log.Fatal(err)
		}
		// One record a line.
		stream.WriteString(strings.ReplaceAll(string(data), "\n", "") + "\n")
	}
	stream.WriteString("{cut off\n")
	policy, err := load.PolicyFor("us-cdc-2003")
	if err != nil {
		log.Fatal(err)
	}
	for record, err := range load.Records(strings.NewReader(stream.String())) {
		if err != nil {
			fmt.Println(err)
			continue
		}
		report := load.Check(record, policy)
		fmt.Println(report.Load, report.Verdict.Load, "sterilizer", report.Verdict.Sterilizer)
	}
	// Output:
	// 0309-1 release sterilizer in service
	// 0309-4 reject sterilizer out of service
	// moistheat.load/1: line 3: want a name in quotes (byte 1)
}

func ExampleParsePolicy() {
	// A clinic that tests every day, and that lets a dropped pack pass after a look.
	policy, err := load.ParsePolicy([]byte(`{
		"format": "moistheat.policy/1",
		"name": "heron-street",
		"title": "Heron Street Foot Clinic",
		"base": "us-cdc-2003",
		"schedule": [{
			"test": "biological", "cadence": "interval", "every": "P1D",
			"source": {"document": "clinic rule 14", "basis": "facility"}
		}],
		"rules": [{
			"id": "load.pack.dropped",
			"broken": {},
			"decision": {"by": "M. Castellanos", "date": "2026-01-12", "reason": "packs are inspected on the bench"}
		}]
	}`))
	if err != nil {
		log.Fatal(err)
	}
	data, err := os.ReadFile(demo + "2-damp-pouch.json")
	if err != nil {
		log.Fatal(err)
	}
	record, err := load.Decode(data)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(load.Check(record, policy).Verdict.Load)

	// Asking less than the base without saying who decided is refused.
	_, err = load.ParsePolicy([]byte(`{"format": "moistheat.policy/1", "name": "x", "title": "x", "base": "us-cdc-2003",
		"rules": [{"id": "load.pack.dropped", "broken": {}}]}`))
	fmt.Println(err)
	// Output:
	// quarantine
	// moistheat.policy/1: /rules/0: asks less of load.pack.dropped than the base; record who decided that, when and why in its decision
}

// What does the library know only from memory? Ask for passes that rest on what was
// read in the documents themselves.
func ExamplePolicy_Accepting() {
	data, err := os.ReadFile(demo + "1-all-good.json")
	if err != nil {
		log.Fatal(err)
	}
	record, err := load.Decode(data)
	if err != nil {
		log.Fatal(err)
	}
	policy, err := load.PolicyFor("us-cdc-2003")
	if err != nil {
		log.Fatal(err)
	}
	report := load.Check(record, policy.Accepting(moistheat.Published))
	for _, f := range report.Findings {
		if f.Outcome == moistheat.Undetermined && strings.HasPrefix(f.Rule, "cycle.") {
			fmt.Println(f.Rule, f.Sources.At(0).Basis)
		}
	}
	// Output:
	// cycle.trace.implausible derived
	// cycle.drying.shortened derived
	// cycle.saturation.apart recalled
	// cycle.sensor.spike derived
	// cycle.sensor.stuck derived
	// cycle.trace.gap recalled
	// cycle.trace.unreadable derived
	// cycle.trace.outside derived
}

// Which cycles can take this load, and why not the others? A pouch with a handpiece,
// and tubing that stands 125 °C.
func ExampleCycleOptions() {
	record, err := load.Decode([]byte(`{"format": "moistheat.load/1", "id": "plan", "load": {}, "sterilizer": {}, "packs": [
		{"id": "H1", "barrier": "paper-film pouch", "layers": 1, "items": [{"name": "handpiece", "traits": ["powered", "hollow"],
			"lumens": [{"length": {"value": 100, "unit": "mm"}, "bore": {"value": 0.8, "unit": "mm"}, "openEnds": 2}]}]},
		{"id": "T2", "barrier": "paper-film pouch", "layers": 1, "items": [{"name": "suction tube", "hasTraits": false,
			"instructions": {"maxTemperature": {"value": 125, "unit": "Cel"}}}]}]}`))
	if err != nil {
		log.Fatal(err)
	}
	policy, err := load.PolicyFor("us-cdc-2003")
	if err != nil {
		log.Fatal(err)
	}
	for _, c := range load.CycleOptions(record, policy) {
		fmt.Println(c.AirRemoval, c.Temperature)
		if c.Suits() {
			fmt.Println("  hold at least", c.Hold.MinTime)
		}
		for _, f := range c.Objections {
			rule, _ := policy.Rule(f.Rule)
			fmt.Println("  -", f.Pointer, rule.Message(f))
		}
	}
	fmt.Println("Without the tube:")
	record.Packs = record.Packs[:1]
	for _, c := range load.CycleOptions(record, policy) {
		if c.Suits() {
			fmt.Println(c.AirRemoval, c.Temperature, "hold", c.Hold.MinTime, "drying", c.Drying.MinTime, "says", c.Hold.Table)
		}
	}
	// Output:
	// gravity-displacement 121 °C
	//   - /packs/0/items/0 handpiece has a long or narrow lumen (hollow A); a cycle with gravity displacement does not reliably remove the air from it.
	// gravity-displacement 132 °C
	//   - /packs/0/items/0 handpiece has a long or narrow lumen (hollow A); a cycle with gravity displacement does not reliably remove the air from it.
	//   - /packs/1/items/0/instructions suction tube: the instructions for use require at most 125 °C; the cycle had 132 °C.
	// steam-flush-pressure-pulse 132 °C
	//   - /packs No required time found for this air removal, load and temperature: no table of the policy states one.
	//   - /packs/0/items/0 handpiece: it is not recorded whether the cycle can reach its lumen (hollow A).
	//   - /packs/1/items/0/instructions suction tube: the instructions for use require at most 125 °C; the cycle had 132 °C.
	// dynamic-air-removal 121 °C
	//   - /packs No required time found for this air removal, load and temperature: the table says that there is no such cycle.
	// dynamic-air-removal 132 °C
	//   - /packs/1/items/0/instructions suction tube: the instructions for use require at most 125 °C; the cycle had 132 °C.
	// Without the tube:
	// dynamic-air-removal 132 °C hold 4 min drying 20 min says cdc-2008-table-7#dynamic-132-instruments
}

// One tray, two packs set askew, before anything is run: will steam get between them?
func ExampleCheckPacking() {
	data, err := os.ReadFile("testdata/scenarios/slanted-tray.json")
	if err != nil {
		log.Fatal(err)
	}
	record, err := load.Decode(data)
	if err != nil {
		log.Fatal(err)
	}
	policy, err := load.ParsePolicy([]byte(`{"format": "moistheat.policy/1", "name": "ours", "title": "our clinic",
		"base": "us-cdc-2003", "limits": {"packGap": {"value": {"value": 6, "unit": "mm"},
			"source": {"document": "how we load", "locator": "room between packs", "basis": "facility"}}}}`))
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range load.CheckPacking(record, policy) {
		if f.Outcome == moistheat.Broken {
			rule, _ := policy.Rule(f.Rule)
			fmt.Println(f.Pointer, rule.Message(f))
			fmt.Println("  Do:", rule.Remedy)
			fmt.Println("  Says:", f.Sources.At(0))
		}
	}
	// Output:
	// /packs/0/placement/spot Distance to the nearest pack 5 mm; minimum 6 mm.
	//   Do: Take packs out until there is room between them.
	//   Says: how we load, room between packs (facility)
	// /packs/1/placement/spot Distance to the nearest pack 5 mm; minimum 6 mm.
	//   Do: Take packs out until there is room between them.
	//   Says: how we load, room between packs (facility)
}

// How much water does a 25 lb set make of the steam that heats it?
func ExampleCondensate() {
	water, err := load.Condensate(
		units.MustParse[units.MassUnit]("25 [lb_av]"),
		units.MustParse[units.TemperatureUnit]("20 Cel"),
		units.MustParse[units.TemperatureUnit]("134 Cel"))
	fmt.Println(water, err)
	// Output:
	// 299 g <nil>
}

// The record of a load mentions no test. What a history knows, here as a document from
// another program, says when the last valid biological test was, and that one was positive
// since.
func ExampleCheckKnowing() {
	policy, err := load.PolicyFor("us-cdc-2003")
	if err != nil {
		log.Fatal(err)
	}
	data, err := os.ReadFile("loadtest/corpus/bases/pouches.json")
	if err != nil {
		log.Fatal(err)
	}
	record, err := load.Decode(data)
	if err != nil {
		log.Fatal(err)
	}
	record.Monitors.LastValidBiological = time.Time{}
	known, err := load.DecodeKnown([]byte(`{
		"format": "moistheat.known/1", "sterilizer": "S1", "at": "2026-03-09T09:00:00+01:00",
		"tests": [{"test": "biological", "time": "2026-03-02T12:00:00+01:00"}],
		"outages": [{"from": "2026-03-08T16:00:00+01:00", "cause": "positive test", "event": "e-17"}]
	}`))
	if err != nil {
		log.Fatal(err)
	}
	for _, report := range []*load.Report{load.Check(record, policy), load.CheckKnowing(record, policy, known)} {
		fmt.Println(report.Verdict.Load, report.Known.Alone)
		for _, f := range report.Findings {
			if f.Effect.Load >= moistheat.Quarantine && f.Rule != "load.release.contradicted" {
				fmt.Println("-", report.Message(f))
			}
		}
	}
	// Output:
	// quarantine true
	// - Unknown: whether the biological indicator test is in time: the last valid one is not recorded; the history of the sterilizer may show it. Required: biological indicator test, at least every 7 days.
	// quarantine false
	// - The sterilizer was out of service during the cycle of the load, since 8 March 2026, 16:00: positive test (e-17).
}

// What is not recorded is asked act by act: here it is not entered how one instrument was
// cleaned, which alone keeps its pack back.
func ExampleReport_Questions() {
	data, err := os.ReadFile(demo + "1-all-good.json")
	if err != nil {
		fmt.Println(err)
		return
	}
	record, err := load.Decode(data)
	if err != nil {
		fmt.Println(err)
		return
	}
	record.Packs[0].Items[0].Preparation.Cleaned = moistheat.NotRecorded
	policy, _ := load.PolicyFor("us-cdc-2003")
	for _, q := range load.Check(record, policy).Questions() {
		if q.Holds > 0 {
			fmt.Println(q.Text)
			fmt.Println("holds", q.Holds, "frees", q.Frees, "had to be seen at the time:", q.AtTheTime)
			fmt.Println(q.Packs, q.Answers)
		}
	}
	// Output:
	// Enter how the item was cleaned, dried and inspected, and by whom.
	// holds 1 frees 1 had to be seen at the time: true
	// [N-101] [/packs/0/items/0/preparation/cleaned]
}
