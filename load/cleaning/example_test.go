package cleaning_test

import (
	"fmt"

	"example.com/moistheat"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// A person took 10 mL for 5 L, where the instructions for use ask for 0.5 %.
func ExampleCheck() {
	b := &cleaning.Batch{Format: cleaning.Format, ID: "M-7", Kind: packaging.Manual, Detergent: &cleaning.Agent{
		Amount: units.New(10, 0, units.Millilitre), Volume: units.New(5, 0, units.Litre),
		Instructions: &cleaning.AgentInstructions{MinDose: units.MustParse[units.RatioUnit]("0.5 %")},
	}}
	for _, f := range cleaning.Check(b, cleaning.DefaultLimits()) {
		if f.Outcome == moistheat.Broken {
			fmt.Println(f.Rule, f.Measured, f.Limit)
		}
	}
	// Output: cleaning.agent.dose 0.200 % 0.5 %
}
