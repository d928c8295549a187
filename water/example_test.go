package water_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

// One reading of the water in a tank, held against four documents. The meter refers
// to 25 °C; EN 13060 means 20 °C, and EN 285 leaves open here which.
func ExampleCheck() {
	var sample water.Sample
	err := json.Unmarshal([]byte(`{
		"point": "reservoir",
		"treatment": "deionised",
		"time": "2026-03-09T07:40:00+01:00",
		"conductivity": {
			"value": {"value": 10.4, "unit": "uS/cm"},
			"method": "meter",
			"compensated": true,
			"reference": {"value": 25, "unit": "Cel"}
		}
	}`), &sample)
	if err != nil {
		fmt.Println(err)
		return
	}
	rules := map[string]moistheat.Rule{}
	for _, r := range water.Rules() {
		rules[r.ID] = r
	}
	for _, id := range []string{"en-13060", "en-285", "en-285-1996", "aami-tir34-2014#critical"} {
		limits, err := water.LimitsFor(id)
		if err != nil {
			fmt.Println(err)
			return
		}
		for _, f := range water.Check(water.Use{Sample: &sample}, limits) {
			if f.Rule != "water.conductivity.over" {
				continue
			}
			fmt.Printf("%s: %s (%s %s, %s)\n", id, f.Outcome, f.Param("relation"), f.Limit, f.Param("status"))
			if f.Open() {
				fmt.Println("  " + rules[f.Rule].Message(f))
			}
			fmt.Println("  " + f.Sources.At(0).String())
		}
	}
	// Output:
	// en-13060: met (at most 15 µS/cm, informative)
	//   EN 13060 2009, Annex C, Table C.1, feed water (quoted)
	// en-285: broken (at most 5 µS/cm, informative)
	//   Conductivity: 10.4 µS/cm; EN 285 requires at most 5 µS/cm.
	//   EN 285, Annex B, Table B.1, feed water (recalled)
	// en-285-1996: met (at most 50 µS/cm, informative)
	//   EN 285 1996, feed water; that the set is this edition is recalled (quoted)
	// aami-tir34-2014#critical: undetermined (below 10 µS/cm, guidance)
	//   Conductivity not assessed against AAMI TIR34 2014: it is not settled which temperature the document means.
	//   AAMI TIR34 2014, categories of water, critical water (quoted)
}

// A meter that does not say what it refers to carries a verdict only far from the
// limit.
func ExampleCheck_referenceMissing() {
	limits, err := water.LimitsFor("en-13060")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, reading := range []string{"5.0 uS/cm", "15.8 uS/cm", "31 uS/cm"} {
		s := water.Sample{Point: water.TreatedFeed, Conductivity: &water.ConductivityReading{}}
		s.Conductivity.Value = units.MustParse[units.ConductivityUnit](reading)
		for _, f := range water.Check(water.Use{Sample: &s}, limits) {
			if f.Rule == "water.conductivity.over" {
				fmt.Printf("%s: %s\n", f.Measured, strings.TrimSpace(f.Outcome.String()+" "+f.Param("reason")))
			}
		}
	}
	// Output:
	// 5.0 µS/cm: met
	// 15.8 µS/cm: undetermined the temperature that the reading stands for is not recorded
	// 31 µS/cm: broken
}

// The upkeep of a tank counts by the day of the cycle.
func ExampleCheck_reservoir() {
	zone := time.FixedZone("", 3600)
	tank := &water.Reservoir{
		Water:      water.Distilled,
		Drained:    moistheat.Yes,
		Cleaned:    moistheat.Yes,
		ToppedUp:   moistheat.No,
		LastFilled: time.Date(2026, 3, 7, 8, 0, 0, 0, zone),
	}
	for _, f := range water.Check(water.Use{Reservoir: tank, Cycle: time.Date(2026, 3, 9, 8, 0, 0, 0, zone)}) {
		fmt.Println(strings.TrimSpace(f.Rule + " " + f.Outcome.String() + " " + f.Param("reason")))
	}
	// Output:
	// water.kind.unfit met
	// water.reservoir.stale broken it was last filled on 7 March 2026
	// water.reservoir.uncleaned met
	// water.reservoir.toppedup met
	// water.reservoir.overnight undetermined
}

// 15 µS/cm at 20 °C is not 15 at 25 °C, and how much it is depends on the rule.
func ExampleCompensation_Convert() {
	at20, at25 := units.MustParse[units.TemperatureUnit]("20 Cel"), units.MustParse[units.TemperatureUnit]("25 Cel")
	k := units.MustParse[units.ConductivityUnit]("15 uS/cm")
	for _, c := range []water.Compensation{water.Linear(2, at25), water.Linear(2, at20), water.ISO7888()} {
		there, err := c.Convert(k, at20, at25)
		fmt.Println(there, c.Covers(k), err)
	}
	_, err := water.ISO7888().Convert(k, units.Temperature{}, at20)
	fmt.Println(err)
	// Output:
	// 16.6667 µS/cm true <nil>
	// 16.5000 µS/cm true <nil>
	// 16.7400 µS/cm false <nil>
	// water: the temperature is not recorded
}

func ExampleEstimateResidue() {
	k := units.MustParse[units.ConductivityUnit]("300 uS/cm")
	fmt.Println(water.EstimateResidue(k, 0.64))
	_, err := water.EstimateResidue(k, 0)
	fmt.Println(err)
	// Output:
	// 192.0 mg/L <nil>
	// water: a residue is estimated from a conductivity and a stated factor of 0.4 to 1, not 0
}

func ExampleHints() {
	for _, h := range water.Hints(water.Rainbow) {
		fmt.Printf("%s (%s)\n", h.Cause, h.Source.Basis)
	}
	// Output:
	// silicate or other minerals, such as copper, in rinse water or condensate (published)
	// silicate in the water, or different metals touching (quoted)
	// overheating of a spot (quoted)
}

// A facility's own limits have the format of the built-in files.
func ExampleParseLimits() {
	limits, err := water.ParseLimits([]byte(`{
		"format": "moistheat.water/1",
		"id": "our-sterilizer",
		"title": "Instructions of the manufacturer",
		"source": {"document": "Instructions for use", "edition": "3", "basis": "facility"},
		"status": {"is": "facility", "source": {"document": "Instructions for use", "basis": "facility"}},
		"sections": [{
			"name": "feed", "title": "feed water", "points": ["treated feed", "reservoir"],
			"source": {"document": "Instructions for use", "locator": "page 12", "basis": "facility"},
			"rows": [{"determinand": "conductivity", "max": {"value": 10, "unit": "uS/cm"}, "at": [{"value": 25, "unit": "Cel"}], "basis": "facility"}]
		}]
	}`))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range limits.Rows() {
		fmt.Println(limits.Info().ID, r.ID, r.Max, r.At[0], r.Source)
	}
	// Output:
	// our-sterilizer feed.conductivity 10 µS/cm 25 °C Instructions for use, page 12 (facility)
}
