package equipment

import (
	"slices"

	"example.com/moistheat"
)

// Documents that several rules rest on.
const (
	docLeak    = "HTM 2010; EN 285; EN 13060"
	docSteam   = "HTM 2010; EN 285"
	docDryness = "EN 285; ISO 17665:2024"
	doc11140   = "GOST ISO 11140-5"
)

// The rules, in the order of their IDs.
var (
	ruleControl = moistheat.Rule{
		ID:       "equipment.control.apart",
		Title:    "The cycle is like the reference cycle of the same sterilizer.",
		Why:      "A sterilizer that drifts away from how it was qualified may still show a good hold.",
		Do:       "Find out what changed before the sterilizer is used again, and have it qualified anew if the change is to stay.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Sterilizer: moistheat.OutOfService},
		Sources:  []moistheat.Source{{Document: "Performance qualification of the sterilizer", Locator: "reference cycle", Basis: moistheat.Facility}},
		Since:    "0.1.0",
		Says:     "The cycle shows {measured} where the reference shows {reference}; {limit} of difference is allowed.",
		Asks:     "Is the cycle like the reference? One of the two can not be read, or no tolerance is stated.",
	}
	ruleGain = moistheat.Rule{
		ID:       "equipment.dryness.gain",
		Title:    "The test load came out dry.",
		Why:      "A load that comes out heavier than it went in is wet, and a wet pack lets germs through.",
		Do:       "Have the drying, the steam and the drain looked at, and test again before the sterilizer is used.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Sterilizer: moistheat.OutOfService},
		Sources:  []moistheat.Source{{Document: docDryness, Locator: "EN 285 clause 20; ISO 17665 Annex C.8", Basis: moistheat.Quoted}},
		Since:    "0.1.0",
		Says:     "The load gained {measured} of its mass; {limit} is allowed.",
		Asks:     "How much did the load gain? The masses before and after, and what the load is made of, are needed; the record shows {measured}.",
	}
	ruleExposureCold = moistheat.Rule{
		ID:       "equipment.exposure.cold",
		Title:    "The air removal test was hot enough all through its exposure.",
		Why:      "A test that was not hot enough shows nothing about the air.",
		Do:       "Repeat the test in the cycle that is meant for it, and use the sterilizer only when it passes.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Sterilizer: moistheat.OutOfService},
		Sources:  []moistheat.Source{{Document: doc11140, Edition: "2011", Locator: "5.2.1", Basis: moistheat.Published}},
		Since:    "0.1.0",
		Says:     "The test fell to {measured}; {limit} is needed.",
		Asks:     "How hot was the air removal test?",
	}
	ruleExposureTime = moistheat.Rule{
		ID:       "equipment.exposure.time",
		Title:    "The air removal test was exposed for the time that it is made for.",
		Why:      "Air that should show gets time to go away in a test that is too long, and a good sterilizer fails one that is too short.",
		Do:       "Repeat the test in the cycle that is meant for it, and use the sterilizer only when it passes.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Sterilizer: moistheat.OutOfService},
		Sources:  []moistheat.Source{{Document: doc11140, Edition: "2011", Locator: "5.2.1", Basis: moistheat.Published}},
		Since:    "0.1.0",
		Says:     "The test was exposed for {measured}; it is made for {limit}, {tolerance} more or less.",
		Asks:     "How long was the air removal test exposed? It is made for {limit}, {tolerance} more or less.",
	}
	ruleExposureUneven = moistheat.Rule{
		ID:       "equipment.exposure.uneven",
		Title:    "The indicator of the air removal test changed evenly all over.",
		Why:      "A spot that changed less is where air was left, and germs there live on.",
		Do:       "Do not use the sterilizer. Test for leaks, have it looked at, and repeat the test.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Sterilizer: moistheat.OutOfService},
		NoWaiver: true,
		Sources:  []moistheat.Source{{Document: doc11140, Edition: "2011", Locator: "5.2.1", Basis: moistheat.Published}},
		Since:    "0.1.0",
		Says:     "The indicator did not change evenly.",
		Asks:     "Did the indicator change evenly all over?",
	}
	ruleLeakRate = moistheat.Rule{
		ID:       "equipment.leak.rate",
		Title:    "The chamber is tight.",
		Why:      "Air that leaks in stays between the steam and the load, and carries germs into what is drying.",
		Do:       "Clean and check the door seal, repeat the test with the chamber at a steady temperature, and call service if it fails again.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Sterilizer: moistheat.OutOfService},
		Sources:  []moistheat.Source{{Document: docLeak, Locator: "air leak rate, 1.3 mbar/min", Basis: moistheat.Quoted}},
		Since:    "0.1.0",
		Says:     "The pressure rose by {measured}; {limit} is allowed. With the change of temperature taken out: {corrected}.",
		Asks:     "Is the chamber tight? The pressures at start and end of a test that settled and lasted as long as it must are needed; the record shows {measured}.",
	}
	ruleLeakSettled = moistheat.Rule{
		ID:       "equipment.leak.settled",
		Title:    "The pressure had time to settle before the leak test.",
		Why:      "Water that is left boils off at first and looks like a leak, or hides how the leak goes on.",
		Do:       "Repeat the test with the full time to settle.",
		Severity: moistheat.Caution,
		Sources:  []moistheat.Source{{Document: docSteam, Locator: "EN 285 clause 18, stabilising for 5 min", Basis: moistheat.Quoted}},
		Since:    "0.1.0",
		Says:     "The pressure had {measured} to settle; at least {limit} is asked.",
		Asks:     "How long did the pressure settle before the test? At least {limit} is asked.",
	}
	ruleLeakTime = moistheat.Rule{
		ID:       "equipment.leak.time",
		Title:    "The leak test lasted long enough.",
		Why:      "A small leak does not show in a short time.",
		Do:       "Repeat the test over the full time.",
		Severity: moistheat.Caution,
		Sources:  []moistheat.Source{{Document: docSteam, Locator: "EN 285 clause 18, testing for 10 min", Basis: moistheat.Quoted}},
		Since:    "0.1.0",
		Says:     "The test lasted {measured}; at least {limit} is asked.",
		Asks:     "How long did the test last? At least {limit} is asked.",
	}
	ruleLeakVacuum = moistheat.Rule{
		ID:       "equipment.leak.vacuum",
		Title:    "The chamber was drawn down far enough for the leak test.",
		Why:      "The less it is drawn down, the less a leak shows.",
		Do:       "Let the pump draw longer; if it can not get there, have it looked at.",
		Severity: moistheat.Caution,
		Sources:  []moistheat.Source{{Document: docSteam, Locator: "start of the air leakage test", Basis: moistheat.Recalled}},
		Since:    "0.1.0",
		Says:     "The test began at {measured}; {limit} or less is asked.",
		Asks:     "How far was the chamber drawn down? {limit} or less is asked.",
	}
	ruleSmallLoad = moistheat.Rule{
		ID:       "equipment.smallload.apart",
		Title:    "The space above a small load was as hot as the reference point.",
		Why:      "Air from a large, almost empty chamber gathers around a small load; where it stays, it is colder.",
		Do:       "Test the air removal and for leaks, and use the sterilizer only when all tests pass.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Sterilizer: moistheat.OutOfService},
		Sources:  []moistheat.Source{{Document: "EN 285", Locator: "small load test", Basis: moistheat.Recalled}},
		Since:    "0.1.0",
		Says:     "Above the load it was {measured} from the reference point {when}; {limit} is allowed.",
		Asks:     "How hot was it above the load {when}? A recording of both points through the plateau is needed.",
	}
	ruleSteamGas = moistheat.Rule{
		ID:       "equipment.steam.gas",
		Title:    "The steam carries little gas that does not condense.",
		Why:      "Gas gathers where steam should be and keeps the heat away.",
		Do:       "Have the feed water degassed and the boiler looked at.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Sterilizer: moistheat.OutOfService},
		Sources:  []moistheat.Source{{Document: docSteam, Locator: "non-condensable gas, ml in 100 ml of condensate", Basis: moistheat.Quoted}},
		Since:    "0.1.0",
		Says:     "The condensate held {measured} of gas by volume; {limit} is allowed.",
		Asks:     "How much gas does the steam carry?",
	}
	ruleSteamSuperheated = moistheat.Rule{
		ID:       "equipment.steam.superheated",
		Title:    "The steam is not superheated.",
		Why:      "Superheated steam acts like hot air: it does not condense on the load.",
		Do:       "Have the pressure reduction and the pipework looked at.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Sterilizer: moistheat.OutOfService},
		Sources:  []moistheat.Source{{Document: "GOST 31598 (adoption of EN 285)", Edition: "2012", Locator: "13.3.5", Basis: moistheat.Published}},
		Since:    "0.1.0",
		Says:     "The expanded steam is {measured} above the boiling point; {limit} is allowed.",
		Asks:     "How hot is the expanded steam? Its temperature and the pressure of the air outside are needed.",
	}
	ruleSteamWet = moistheat.Rule{
		ID:       "equipment.steam.wet",
		Title:    "The steam is dry enough.",
		Why:      "Wet steam brings water into the load, and wet packs are not sterile for long.",
		Do:       "Have the steam traps and the pipework looked at.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Sterilizer: moistheat.OutOfService},
		Sources:  []moistheat.Source{{Document: docSteam, Locator: "dryness value", Basis: moistheat.Quoted}},
		Since:    "0.1.0",
		Says:     "The dryness of the steam is {measured}; at least {limit} is asked.",
		Asks:     "How dry is the steam?",
	}
)

var rules = [...]*moistheat.Rule{
	&ruleControl, &ruleGain, &ruleExposureCold, &ruleExposureTime, &ruleExposureUneven,
	&ruleLeakRate, &ruleLeakSettled, &ruleLeakTime, &ruleLeakVacuum,
	&ruleSmallLoad, &ruleSteamGas, &ruleSteamSuperheated, &ruleSteamWet,
}

// Rules returns the rules of this package, sorted by ID. The caller owns the result.
func Rules() []moistheat.Rule {
	out := make([]moistheat.Rule, len(rules))
	for i, r := range rules {
		out[i] = *r
		out[i].Sources = slices.Clone(r.Sources)
	}
	return out
}
