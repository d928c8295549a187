package load_test

import (
	"fmt"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// A program that keeps the record itself fills in the types: one pouch with a forceps, on
// printed readings only, with no more than us-cdc-2003 needs.
func Example_build() {
	at := func(clock string) time.Time {
		t, err := time.Parse(time.RFC3339, "2026-03-09T"+clock+"-05:00")
		if err != nil {
			panic(err)
		}
		return t
	}
	yes, no := moistheat.Yes, moistheat.No
	day := moistheat.NewDate(2026, time.March, 9)
	record := &load.Record{
		Format:     load.Format,
		ID:         "2026-0147",
		Load:       load.Identity{Number: "7", Date: day},
		Sterilizer: load.Sterilizer{ID: "S1"},
		Packs: []load.Pack{{Pack: packaging.Pack{
			ID:      "P1",
			Barrier: packaging.PaperFilmPouch,
			Seal:    &packaging.Seal{Intact: yes, Pierced: no},
			Label:   &packaging.Label{Sterilizer: "S1", Load: "7", Date: day},
			Indicators: []packaging.Indicator{
				{Place: packaging.External, Result: packaging.Reached},
				{Place: packaging.Internal, Result: packaging.Reached},
			},
			Items: []packaging.Item{{
				Name:        "tissue forceps",
				Class:       packaging.Critical,
				HasTraits:   no, // no hinge, lumen, edge or other trait of the list
				Preparation: packaging.Preparation{Cleaned: yes, Dry: yes, Inspected: yes},
			}},
		}, Condition: load.PackCondition{Dry: yes, Intact: yes}}},
		Cycle: &load.Cycle{
			Number: "7", Sterilizer: "S1", Purpose: load.ForLoad,
			Evidence: cycle.Evidence{
				Started: at("09:00:00"), Ended: at("09:28:20"), Aborted: no,
				Settings: cycle.Settings{
					AirRemoval:  moistheat.DynamicAirRemoval,
					Temperature: units.MustParse[units.TemperatureUnit]("132 Cel"),
					Hold:        units.MustParse[units.DurationUnit]("4 min"),
				},
				Printed: cycle.Printed{
					HoldTime:           units.MustParse[units.DurationUnit]("242 s"),
					MinimumTemperature: units.MustParse[units.TemperatureUnit]("132.3 Cel"),
					AbsolutePressure:   units.MustParse[units.AbsolutePressureUnit]("292 kPa"),
				},
			},
		},
		Monitors:  load.Monitors{LastValidBiological: at("09:00:00").AddDate(0, 0, -3)},
		Unloading: load.Unloading{Time: at("09:33:20")},
		Release:   &load.Release{Time: at("09:43:20"), By: "C. Dorn", Authorised: yes, Decision: moistheat.Release},
	}
	if err := record.Validate(); err != nil {
		fmt.Println(err) // it names each word, number and gap that no reader would take
		return
	}
	policy, err := load.PolicyFor("us-cdc-2003")
	if err != nil {
		fmt.Println(err)
		return
	}
	report := load.Check(record, policy)
	fmt.Println(report.Packs[0].ID, report.Packs[0].Disposition)

	record.Packs[0].Condition.Dry = moistheat.NotRecorded
	report = load.Check(record, policy)
	fmt.Println(report.Packs[0].ID, report.Packs[0].Disposition)
	for _, q := range report.Questions() {
		if q.Holds > 0 {
			fmt.Println(q.Text)
			fmt.Println(q.Answers)
		}
	}
	// Output:
	// P1 release
	// P1 quarantine
	// Enter whether the pack was dry and whether it was dropped when it was taken out.
	// [/packs/0/condition/dropped /packs/0/condition/dry]
}
