package load

import "example.com/moistheat"

// Tests of the sterilizer.
var (
	penetrationTest = moistheat.Rule{
		ID: "load.daily.penetration", Since: "0.1.0",
		Title:    "The sterilizer passed an air removal test on the day, before its first load.",
		Why:      "A sterilizer that removes air badly fails inside packs and lumens while its display looks right.",
		Do:       "Run the air removal test; hold the loads since the last pass until it passes.",
		Says:     "The air removal test of {when} failed.",
		Asks:     "No air removal test is recorded for the day of this load.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold, Sterilizer: moistheat.OutOfService}, Undetermined: holdLoad,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "checking steriliser function", Basis: moistheat.Published},
			{Document: docHTM0105, Locator: "steam penetration test daily, leak test weekly, as taught", Basis: moistheat.Quoted},
			{Document: docST79, Locator: "air removal test on each day of use", Basis: moistheat.Recalled},
		},
	}
	leakTest = moistheat.Rule{
		ID: "load.daily.leak", Since: "0.1.0",
		Title:    "The sterilizer passed a leak test within the interval.",
		Why:      "Air that leaks in keeps steam from the load.",
		Do:       "Run the leak test; if it fails, take the sterilizer out of use.",
		Says:     "The leak test of {when} {how}.",
		Asks:     "No leak test is recorded within {limit} before this load.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Hold, Sterilizer: moistheat.OutOfService}, Undetermined: holdLoad,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "checking steriliser function", Basis: moistheat.Published},
			{Document: docHTM0105, Locator: "steam penetration test daily, leak test weekly, as taught", Basis: moistheat.Quoted},
			{Document: docST79, Locator: "leak test weekly or after repair", Basis: moistheat.Recalled},
		},
	}
)
