package cycle

import (
	"slices"

	"example.com/moistheat"
)

// Texts of documents that several rules rest on.
const (
	cdc2003  = "CDC Guidelines for Infection Control in Dental Health-Care Settings"
	iso11139 = "ISO 11139"
)

// The rules, in the order of their IDs.
var (
	ruleAborted = moistheat.Rule{
		ID:       "cycle.aborted",
		Title:    "The cycle ran to its end without an unexplained alarm.",
		Why:      "A cycle that stopped early, or an alarm that nobody understood, leaves items that may not be sterile.",
		Do:       "Treat the load as not sterile, reprocess it, and find the cause before the sterilizer is used again.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Reject, Sterilizer: moistheat.OutOfService}, Undetermined: moistheat.Effect{Load: moistheat.Hold},
		NoWaiver: true,
		Sources:  []moistheat.Source{{Document: cdc2003, Edition: "2003", Locator: "recommendation F.5", Basis: moistheat.Published}},
		Since:    "0.1.0",
		Says:     "The cycle was aborted or gave an alarm that nobody explained: {reason}.",
		Asks:     "Was the cycle aborted, or did it give an alarm? The record does not say.",
	}
	ruleBand = moistheat.Rule{
		ID:       "cycle.band.above",
		Title:    "The temperature stayed within its band during the hold.",
		Why:      "Steam hotter than its band may be superheated and act like hot air, and heat can damage instruments.",
		Do:       "Have the steam supply and the control of the sterilizer looked at, and run the load again.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Reject, Sterilizer: moistheat.OutOfService}, Undetermined: moistheat.Effect{Load: moistheat.Hold},
		Sources: []moistheat.Source{
			{Document: "EN 285; ISO/TS 17665-2:2009", Locator: "ISO/TS 17665-2 Annex A: 3 K", Basis: moistheat.Quoted},
			{Document: "EN 13060", Locator: "4.6.2 and 5.3: 4 K", Basis: moistheat.Recalled},
		},
		Since: "0.1.0",
		Says:  "The hold reached {measured}, above the limit of {limit}.",
		Asks:  "It can not be said how hot the hold got: {reason}.",
	}
	ruleDrying = moistheat.Rule{
		ID:       "cycle.drying.short",
		Title:    "The load dried for at least the time that the table states.",
		Why:      "A damp pack lets germs through its wrapping.",
		Do:       "Check each pack for damp; reprocess the damp ones, and set a longer drying time.",
		Severity: moistheat.Caution,
		Sources:  []moistheat.Source{{Document: "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities", Edition: "2008", Locator: "Table 7", Basis: moistheat.Published}},
		Since:    "0.1.0",
		Says:     "Drying took {measured}; at least {limit} is stated for such packs.",
		Asks:     "How long did the load dry? At least {limit} is stated for such packs.",
	}
	ruleEquilibration = moistheat.Rule{
		ID:       "cycle.equilibration.long",
		Title:    "The last measuring point reached the temperature soon after the reference point.",
		Why:      "A part of the load that lags behind still holds air or water.",
		Do:       "Leave more room around the packs, run the load again, and have the air removal tested if it happens again.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Hold},
		Sources:  []moistheat.Source{{Document: "EN 285", Locator: "equilibration time, 15 s up to 800 l usable space, 30 s above", Basis: moistheat.Recalled}},
		Since:    "0.1.0",
		Says:     "The last measuring point reached the temperature {measured} after the reference point; at most {limit} is allowed.",
		Asks:     "It can not be said that the last point followed the reference point soon enough: {reason}.",
	}
	ruleMargin = moistheat.Rule{
		ID:       "cycle.hold.margin",
		Title:    "The hold is long enough even if every sensor reads too high by as much as its accuracy allows.",
		Why:      "A sensor that reads a little high makes a load look hotter than it was.",
		Do:       "Set a slightly higher temperature or a longer hold, or have the sensors calibrated more closely, and run the load again.",
		Severity: moistheat.Caution,
		Broken:   moistheat.Effect{Load: moistheat.Hold}, Undetermined: moistheat.Effect{Load: moistheat.Hold},
		Sources: []moistheat.Source{
			{Document: "JCGM 106", Edition: "2012", Locator: "8.3, guarded acceptance", Basis: moistheat.Recalled},
			{Document: "van Doornmalen et al., Central Service 1/2020, on EN 285:2015", Locator: "134.5 °C to 136.5 °C measured, to comply with sensor inaccuracy allowed for", Basis: moistheat.Published},
		},
		Since: "0.1.0",
		Says:  "With the accuracy of the sensors taken off, {measured} of the hold is left; at least {limit} is needed.",
		Asks:  "It can not be said whether the hold is long enough with the accuracy of the sensors taken off: {reason}.",
	}
	ruleHold = moistheat.Rule{
		ID:       "cycle.hold.short",
		Title:    "Every measuring point was at temperature for the whole required time.",
		Why:      "Items that were too cold, or hot for too short a time, may carry living germs.",
		Do:       "Treat the load as not sterile, reprocess it in a cycle that reaches time and temperature, and take the sterilizer out of use until the cause is found.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Reject, Sterilizer: moistheat.OutOfService}, Undetermined: moistheat.Effect{Load: moistheat.Hold},
		NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: cdc2003, Edition: "2003", Locator: "recommendations F.2 and F.5", Basis: moistheat.Published},
			{Document: iso11139, Locator: "holding time", Basis: moistheat.Recalled},
		},
		Since: "0.1.0",
		Says:  "The hold shows {measured} where at least {limit} is needed.",
		Asks:  "The record does not prove the hold: {reason}.",
	}
	ruleIncomplete = moistheat.Rule{
		ID:       "cycle.record.incomplete",
		Title:    "Time, temperature and pressure of the cycle are on record.",
		Why:      "Without all three nobody can tell whether the cycle did its work.",
		Do:       "Find the printout or the readings of this cycle and enter them; without them the load can not be released.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Hold}, Undetermined: moistheat.Effect{Load: moistheat.Hold},
		Sources: []moistheat.Source{{Document: cdc2003, Edition: "2003", Locator: "recommendation F.2", Basis: moistheat.Published}},
		Since:   "0.1.0",
		Says:    "Not on record: {missing}.",
		Asks:    "Not on record: {missing}.",
	}
	rulePulses = moistheat.Rule{
		ID:       "cycle.pulses.none",
		Title:    "The recording shows the pulses of the air removal that was set.",
		Why:      "The time at temperature is stated for a cycle that removes the air by pulses; without them air stays in packs and lumens.",
		Do:       "Check which cycle was chosen. Reprocess the load, and test the air removal before the sterilizer is used again.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Hold, Sterilizer: moistheat.OutOfService},
		Sources: []moistheat.Source{
			{Document: "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities", Edition: "2008", Locator: "Table 7, times by type of sterilizer", Basis: moistheat.Published},
			{Document: "Residual air by dilution: each fall and rise leaves trough over peak of the air", Basis: moistheat.Derived},
		},
		Since: "0.1.0",
		Says:  "The cycle was set to {set}, and the pressure shows none of its pulses.",
		Asks:  "It can not be said whether the recording shows the pulses of the air removal: {reason}.",
	}
	ruleRequirement = moistheat.Rule{
		ID:       "cycle.requirement.none",
		Title:    "The chosen table states a cycle for this air removal, load and temperature.",
		Why:      "A cycle that no document knows has no proof that it sterilizes such a load.",
		Do:       "Choose a cycle from the instructions of the sterilizer and of the instruments, or enter those instructions as your own table.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Reject}, Undetermined: moistheat.Effect{Load: moistheat.Hold},
		Sources: []moistheat.Source{{Document: "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities", Edition: "2008", Locator: "Table 7", Basis: moistheat.Published}},
		Since:   "0.1.0",
		Says:    "The table says that there is no such cycle for this load.",
		Asks:    "No cycle is stated for this air removal, load and temperature: {reason}.",
	}
	ruleSaturation = moistheat.Rule{
		ID:       "cycle.saturation.apart",
		Title:    "Temperature and pressure agreed with saturated steam during the hold.",
		Why:      "A temperature below that of steam at this pressure means that air is left; one above it means that the steam is too dry. Either way the load is sterilized badly.",
		Do:       "Reprocess the load, run an air-removal test and a leak test, and have the gauges compared.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Reject, Sterilizer: moistheat.OutOfService}, Undetermined: moistheat.Effect{Load: moistheat.Hold},
		Sources: []moistheat.Source{{Document: "EN 285; EN 13060; HTM 2010", Locator: "2 K during the holding time", Basis: moistheat.Recalled}},
		Since:   "0.1.0",
		Says:    "Temperature and pressure are {measured} apart during the hold; at most {limit} is allowed.",
		Asks:    "It can not be said whether the temperature agrees with the steam pressure: {reason}.",
	}
	ruleSpike = moistheat.Rule{
		ID:       "cycle.sensor.spike",
		Title:    "No reading of the recording jumps away and back at once.",
		Why:      "Steam does not do that: a wire is loose, or the recorder disturbed, and other readings may be wrong too.",
		Do:       "Look at the readings around the jump, and have the wiring of the sensor and the recorder looked at.",
		Severity: moistheat.Caution,
		Sources:  []moistheat.Source{{Document: "A sensor follows the steam with a lag of seconds", Locator: "10 K or 40 kPa between two samples, and back", Basis: moistheat.Derived}},
		Since:    "0.1.0",
		Says:     "The recording has {reason}.",
		Asks:     "It can not be said whether the readings are steady: {reason}.",
	}
	ruleStuck = moistheat.Rule{
		ID:       "cycle.sensor.stuck",
		Title:    "Every sensor of the recording follows the steam.",
		Why:      "A sensor that shows the same number whatever happens may show a good hold that never was.",
		Do:       "Treat the cycle as not recorded, have the sensor replaced, and run the load again.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Hold, Sterilizer: moistheat.OutOfService},
		NoWaiver: true,
		Sources:  []moistheat.Source{{Document: "A sensor follows the steam with a lag of seconds", Locator: "one number while all other sensors go 10 K away from it, for 30 s above 105 °C or 5 min below", Basis: moistheat.Derived}},
		Since:    "0.1.0",
		Says:     "A sensor is stuck: it {reason}.",
		Asks:     "It can not be said whether every sensor follows the steam: {reason}.",
	}
	ruleSetting = moistheat.Rule{
		ID:       "cycle.setting.missed",
		Title:    "The cycle reached the temperature and the time that were set.",
		Why:      "A sterilizer that does not do what it is told is faulty, even where the result would be enough.",
		Do:       "Reprocess the load and have the sterilizer looked at before it is used again.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Reject, Sterilizer: moistheat.OutOfService}, Undetermined: moistheat.Effect{Load: moistheat.Hold},
		Sources: []moistheat.Source{{Document: "Dental infection control, sterilization monitoring (CDC)", Locator: "readings are compared with the intended ones", Basis: moistheat.Published}},
		Since:   "0.1.0",
		Says:    "The cycle was set to {limit} and reached {measured}.",
		Asks:    "It can not be said whether the cycle did what it was set to do: {reason}.",
	}
	ruleSpread = moistheat.Rule{
		ID:       "cycle.spread.wide",
		Title:    "All measuring points were close together during the hold.",
		Why:      "Points that differ show that air or water kept the steam from part of the load.",
		Do:       "Reprocess the load with more room around the packs and have the air removal tested.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Reject, Sterilizer: moistheat.OutOfService},
		Sources:  []moistheat.Source{{Document: "EN 285; EN 13060", Locator: "2 K during the holding time", Basis: moistheat.Recalled}},
		Since:    "0.1.0",
		Says:     "The measuring points are {measured} apart during the hold; at most {limit} is allowed.",
		Asks:     "It can not be said how far apart the measuring points were: {reason}.",
	}
	ruleGap = moistheat.Rule{
		ID:       "cycle.trace.gap",
		Title:    "The recording of the cycle has no gaps.",
		Why:      "What happened in a gap is not known.",
		Do:       "Find out why the recording stopped. The hold counts only up to the gap.",
		Severity: moistheat.Caution,
		Sources:  []moistheat.Source{{Document: "EN 285", Edition: "2006", Locator: "6.3.3, sampling every 2.5 s or less", Basis: moistheat.Recalled}},
		Since:    "0.1.0",
		Says:     "The recording has {reason}.",
		Asks:     "It can not be said whether the recording has gaps: {reason}.",
	}
	ruleImplausible = moistheat.Rule{
		ID:       "cycle.trace.implausible",
		Title:    "The numbers on record are ones that a steam sterilizer can show, in the units that they are marked with.",
		Why:      "A number in the wrong unit can make a failed cycle look good.",
		Do:       "Compare the record with the printout and correct the unit, or have the sensor looked at. Until then the cycle proves nothing.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Hold}, Undetermined: moistheat.Effect{Load: moistheat.Hold},
		NoWaiver: true,
		Sources:  []moistheat.Source{{Document: "Saturation line, IAPWS R7-97 (IF97)", Locator: "region 4", Basis: moistheat.Derived}},
		Since:    "0.1.0",
		Says:     "The numbers can not be right: {reason}.",
	}
	ruleUnreadable = moistheat.Rule{
		ID:       "cycle.trace.unreadable",
		Title:    "The recording of the cycle fits together and can be read.",
		Why:      "A recording whose times run backwards or whose channels have lost values proves nothing.",
		Do:       "Export the recording of this cycle again, or enter the printed readings.",
		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Load: moistheat.Hold}, Undetermined: moistheat.Effect{Load: moistheat.Hold},
		NoWaiver: true,
		Sources:  []moistheat.Source{{Document: "Internal consistency of the record", Basis: moistheat.CommonPractice}},
		Since:    "0.1.0",
		Says:     "The recording can not be read: {reason}.",
	}
)

var rules = [...]*moistheat.Rule{
	&ruleAborted, &ruleBand, &ruleDrying, &ruleEquilibration, &ruleMargin, &ruleHold, &rulePulses, &ruleIncomplete,
	&ruleRequirement, &ruleSaturation, &ruleSpike, &ruleStuck, &ruleSetting, &ruleSpread, &ruleGap, &ruleImplausible, &ruleUnreadable,
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
