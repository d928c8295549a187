package load

import "example.com/moistheat"

// Identity and the physical record.
var (
	identityIncomplete = moistheat.Rule{
		ID: "load.identity.incomplete", Since: "0.1.0",
		Title:    "The load has a date, a load or cycle number and, where there is more than one sterilizer, the sterilizer's name.",
		Why:      "Without them no pack can be found again when a test fails.",
		Do:       "Complete the log before the load leaves the room.",
		Says:     "The load's log lacks {what}.",
		Asks:     "It is not recorded whether the site has more than one sterilizer, and the load names none.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: holdLoad,
		Sources: []moistheat.Source{
			{Document: docCDCLabel, Edition: "2016", Locator: "label list", Basis: moistheat.Published},
			{Document: docRACGP, Locator: "documenting reprocessing", Basis: moistheat.Published},
			{Document: docCDC2003, Edition: "2003", Locator: "G", Basis: moistheat.Published},
		},
	}
	identityDuplicate = moistheat.Rule{
		ID: "load.identity.duplicate", Since: "0.1.0",
		Title:    "Every pack of the load has an id of its own.",
		Why:      "Two packs with one id can not be told apart in a recall.",
		Do:       "Give each pack its own id.",
		Says:     "The pack id {id} is used twice.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	contentsMissing = moistheat.Rule{
		ID: "load.contents.missing", Since: "0.1.0",
		Title:    "The log says what is in the load.",
		Why:      "A recall can not find packs that nobody listed.",
		Do:       "List every pack of the load.",
		Says:     "The record lists no packs.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: holdLoad,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "documenting reprocessing", Basis: moistheat.Published},
		},
	}
	preparerMissing = moistheat.Rule{
		ID: "load.preparer.missing", Since: "0.1.0",
		Title:    "The log names who prepared the load.",
		Why:      "Questions about the load go to that person.",
		Do:       "Enter the name or code of the person who prepared the load.",
		Says:     "Nobody is named as having prepared the load.",
		Asks:     "The record does not name who prepared the load.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "documenting reprocessing", Basis: moistheat.Published},
		},
	}
	physicalMissing = moistheat.Rule{
		ID: "load.physical.missing", Since: "0.1.0",
		Title:    "There is a physical record of the cycle.",
		Why:      "Loads that never ran have been used on patients because nobody looked for the record.",
		Do:       "Treat the load as unprocessed: repack and sterilize it.",
		Says:     "There is no record that a cycle ran. Treat every pack as unprocessed.",
		Severity: moistheat.Fault, Broken: rejectLoad, Undetermined: rejectLoad, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.2", Basis: moistheat.Published},
			{Document: docRACGP, Locator: "documenting reprocessing", Basis: moistheat.Published},
		},
	}
	physicalMismatch = moistheat.Rule{
		ID: "load.physical.mismatch", Since: "0.1.0",
		Title:    "The physical record belongs to this load.",
		Why:      "A good record of another load proves nothing about this one.",
		Do:       "Find the record of this load; until then treat it as unprocessed.",
		Says:     "The physical record is for {recorded}, the load is {load}.",
		Asks:     "The physical record does not say which {what} it belongs to.",
		Severity: moistheat.Fault, Broken: rejectLoad, Undetermined: holdLoad, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	timeOrder = moistheat.Rule{
		ID: "load.time.order", Since: "0.1.0",
		Title:    "The times of the record follow each other: start, end, unloading.",
		Why:      "Times that run backwards mean a wrong clock or the wrong record.",
		Do:       "Correct the clock or find the right record.",
		Says:     "{later} comes before {earlier}.",
		Asks:     "{later} or {earlier} is not recorded.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	purposeUnsuited = moistheat.Rule{
		ID: "load.purpose.unsuited", Since: "0.1.0",
		Title:    "The cycle was meant for goods of this sort.",
		Why:      "Test cycles and liquid cycles do not sterilize packed instruments.",
		Do:       "Sterilize the load again in a cycle for goods.",
		Says:     "The cycle was run for {purpose}, not for goods.",
		Asks:     "The record does not say what the cycle was meant for.",
		Severity: moistheat.Fault, Broken: rejectLoad, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: "HL7 table 0702, cycle type", Locator: "BWD, LKT", Basis: moistheat.Published},
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
)
