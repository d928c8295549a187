package load

import "example.com/moistheat"

// historyRules are about a sterilizer through time and about packs in store. No
// record alone is judged by them.
var historyRules = [...]*moistheat.Rule{
	&historyOverdue, &historyVoid, &historyGap, &historyRepeat, &historyDecrease, &historyOverlap, &historyUndated, &historyOutOfUse,
	&historyCalibration, &historyDiscarded, &implantOwed, &implantUntraced,
	&recallPositive, &recallAirRemoval, &recallLeak, &recallSetting, &recallReleased, &recallImplant, &recallUnbounded, &recallUntraced, &recallUnlabelled,
	&positiveOpen, &positiveRepeat, &positiveChamber, &positiveRequalify, &positiveLate,
	&storageEvent, &storageExpired, &storageUnlabelled, &storageClimate, &storagePlace, &storageFloor, &storageSprinkler, &storageUnread, &storageUnreleased,
	&storageOpen, &storageLaidOut, &storageUnchecked, &storageRotation, &transitUnproven, &transitMixed,
	&driftRule,
}

const (
	docOhio     = "Ohio dental rule 4715-20-02"
	docPractTxt = "practice training text on cycle logs"
	docAlberta  = "Alberta dental infection prevention and control standard"
	docIreland  = "Irish infection control code"
	docOhioCase = "Ohio hospital incident, Antimicrobial Resistance and Infection Control"
)

var (
	stopUse    = moistheat.Effect{Sterilizer: moistheat.OutOfService}
	recallOnly = moistheat.Effect{Recall: true}
	holdStop   = moistheat.Effect{Load: moistheat.Hold, Sterilizer: moistheat.OutOfService}
)

// The calendar and the log.
var (
	historyOverdue = moistheat.Rule{
		ID: "load.history.overdue", Since: "0.1.0",
		Title:    "Every test that comes again was done when it was due.",
		Why:      "A sterilizer that is not tested may fail for weeks unseen.",
		Do:       "Run the test now. Ask the person responsible what becomes of the loads since the last good test.",
		Says:     "{test}: not done in time on {count} occasions, {first} to {last} ({duty}).",
		Asks:     "{test}: it can not be said whether it was due, {first} to {last}: {missing}.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: none,
		Sources: []moistheat.Source{{Document: docCDC2003, Edition: "2003", Locator: "F.6", Basis: moistheat.Published}},
	}
	historyVoid = moistheat.Rule{
		ID: "load.history.void", Since: "0.1.0",
		Title:    "Every test of the sterilizer counts.",
		Why:      "A void test looks like a passed one and proves nothing.",
		Do:       "Repeat the test as its instructions say. Until then it counts as not done.",
		Says:     "The {what} does not count: {why}.",
		Asks:     "It can not be said whether the {what} counts: {why}.",
		Severity: moistheat.Fault, Broken: none, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.6", Basis: moistheat.Published},
			{Document: docAlberta, Locator: "air removal test in the empty chamber", Basis: moistheat.Quoted},
			{Document: "a medical dictionary and a maker's instructions", Locator: "Bowie-Dick test, 3.5 min, 3.5 to 4 min", Basis: moistheat.Quoted},
		},
	}
	historyGap = moistheat.Rule{
		ID: "load.history.gap", Since: "0.1.0",
		Title:    "The cycle numbers follow one another: every number is a load or a test in the log.",
		Why:      "A missing number is a cycle that nobody wrote down.",
		Do:       "Find out what the cycle was: a test, an aborted run, or a load that went out unrecorded.",
		Says:     "No record accounts for cycle {numbers}.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: docPractTxt, Basis: moistheat.Quoted}},
	}
	historyRepeat = moistheat.Rule{
		ID: "load.history.repeat", Since: "0.1.0",
		Title:    "No cycle number is used twice on one sterilizer.",
		Why:      "Two loads with one number can not be told apart in a recall.",
		Do:       "Find the right record of each load; until then treat both as unproven.",
		Says:     "Cycle {numbers} is in the log {count} times.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: none,
		Sources: []moistheat.Source{{Document: docPractice, Basis: moistheat.CommonPractice}},
	}
	historyDecrease = moistheat.Rule{
		ID: "load.history.decrease", Since: "0.1.0",
		Title:    "The cycle counter never goes down.",
		Why:      "A counter that goes down means a changed controller, a wrong clock or a wrong record.",
		Do:       "Ask whether the controller was changed; if it was not, find the right records.",
		Says:     "Cycle {number} was run after cycle {before}.",
		Severity: moistheat.Fault, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: docPractice, Basis: moistheat.CommonPractice}},
	}
	historyOverlap = moistheat.Rule{
		ID: "load.history.overlap", Since: "0.1.0",
		Title:    "Two cycles of one sterilizer never overlap in time.",
		Why:      "One chamber can not run two cycles: a clock or a record is wrong.",
		Do:       "Find the right record of each load; until then treat both as unproven.",
		Says:     "This cycle began before {other} had ended.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: none,
		Sources: []moistheat.Source{{Document: docPractice, Basis: moistheat.CommonPractice}},
	}
	historyUndated = moistheat.Rule{
		ID: "load.history.undated", Since: "0.1.0",
		Title:    "Every load says when it was run.",
		Why:      "A load without a time belongs to every recall of its sterilizer.",
		Do:       "Enter start and end of the cycle.",
		Says:     "The load does not say when it was run.",
		Asks:     "The load does not say when it was run; it counts as suspect in every recall of its sterilizer.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: holdLoad,
		Sources: []moistheat.Source{{Document: docCDC2003, Edition: "2003", Locator: "G", Basis: moistheat.Published}},
	}
	historyCalibration = moistheat.Rule{
		ID: "load.history.calibration", Since: "0.1.0",
		Title:    "The sensors were calibrated within the time between two validations.",
		Why:      "A record is worth what its sensors are worth.",
		Do:       "Have the sensors calibrated with the next validation.",
		Says:     "The sensors were last calibrated on {last}, more than {period} before the newest load.",
		Asks:     "No calibration is on record.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: docPractice, Basis: moistheat.CommonPractice}},
	}
	historyDiscarded = moistheat.Rule{
		ID: "load.history.discarded", Since: "0.1.0",
		Title:    "Records are kept as long as the policy says.",
		Why:      "A question about a patient may come years later.",
		Do:       "Look for a copy; tell the person responsible.",
		Says:     "The {what} were discarded; they must be kept until {until}.",
		Asks:     "It can not be said whether the {what} were discarded too soon: {why}.",
		Severity: moistheat.Fault, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: docCDC2003, Edition: "2003", Locator: "F.10, as state and local rules say", Basis: moistheat.Recalled}},
	}
	implantOwed = moistheat.Rule{
		ID: "load.implant.owed", Since: "0.1.0",
		Title:    "After an emergency release of an implant the biological result is entered later.",
		Why:      "The emergency excuses the waiting, not the test.",
		Do:       "Read the indicator, enter the result, and tell the patient's doctor if it grew.",
		Says:     "An implant was released in an emergency and its biological result is not there: {why}.",
		Asks:     "An implant was released in an emergency and its biological result is not there: {why}.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docST79, Edition: "2006", Locator: "10.6.3", Basis: moistheat.Quoted},
			{Document: docPractice, Locator: "the later result", Basis: moistheat.CommonPractice},
		},
	}
	historyOutOfUse = moistheat.Rule{
		ID: "load.history.outofuse", Since: "0.1.0",
		Title:    "No patient load is run while the sterilizer is out of use.",
		Why:      "What took it out of use may have spoiled this load too.",
		Do:       "Reject the load and take its packs back.",
		Says:     "The load was run while the sterilizer was out of use since {since}.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Reject, Recall: true}, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{{Document: docCDC2003, Edition: "2003", Locator: "F.8a", Basis: moistheat.Published}},
	}
)

// Recall.
var (
	recallPositive = moistheat.Rule{
		ID: "load.recall.positive", Since: "0.1.0",
		Title:    "No load is suspect because of a positive biological test.",
		Why:      "The sterilizer may have failed at any time since the last good test.",
		Do:       "Take the sterilizer out of use, reject the load, repeat the test, and follow the recall list.",
		Says:     "The {what} is positive; {count} loads are suspect.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Reject, Sterilizer: moistheat.OutOfService, Recall: true}, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.8 and F.9", Basis: moistheat.Published},
			{Document: docCDC2008, Edition: "2008", Locator: "table 12", Basis: moistheat.Published},
		},
	}
	recallAirRemoval = moistheat.Rule{
		ID: "load.recall.penetration", Since: "0.1.0",
		Title:    "No air removal test failed.",
		Why:      "Loads since the last good test may hold air in packs and lumens.",
		Do:       "Take the sterilizer out of use and hold the loads since the last good test.",
		Says:     "The {what} failed; {count} loads are held.",
		Severity: moistheat.Fault, Broken: holdStop, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docIreland, Edition: "2015", Locator: "steam penetration test", Basis: moistheat.Quoted},
			{Document: docRACGP, Locator: "checking steriliser function", Basis: moistheat.Published},
		},
	}
	recallLeak = moistheat.Rule{
		ID: "load.recall.leak", Since: "0.1.0",
		Title:    "No leak test failed.",
		Why:      "Air that leaks in keeps steam from the load.",
		Do:       "Take the sterilizer out of use and hold the loads since the last good test.",
		Says:     "The {what} failed: {why}; {count} loads are held.",
		Severity: moistheat.Fault, Broken: holdStop, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{{Document: docRACGP, Locator: "checking steriliser function", Basis: moistheat.Published}},
	}
	recallSetting = moistheat.Rule{
		ID: "load.recall.setting", Since: "0.1.0",
		Title:    "No load was run with a setting that was found wrong.",
		Why:      "A cycle with a wrong setting did not sterilize, whatever the spore test says.",
		Do:       "Recall and reprocess every load run with that setting.",
		Says:     "A wrong setting was found ({setting}); {count} loads were run with it.",
		Severity: moistheat.Fault, Broken: recallOnly, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{{Document: docCDC2008, Edition: "2008", Locator: "table 12", Basis: moistheat.Published}},
	}
	recallReleased = moistheat.Rule{
		ID: "load.recall.released", Since: "0.1.0",
		Title:    "No load was released against the evidence.",
		Why:      "Packs released against the evidence are in use.",
		Do:       "Reopen the load, take its packs back and tell the person responsible.",
		Says:     "The load was released and its evidence now speaks against it.",
		Severity: moistheat.Fault, Broken: recallOnly, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{{Document: docCDC2003, Edition: "2003", Locator: "F.5", Basis: moistheat.Published}},
	}
	recallImplant = moistheat.Rule{
		ID: "load.recall.implant", Since: "0.1.0",
		Title:    "No implant is among the suspect loads of a positive biological test.",
		Why:      "An implant stays in the body; every guideline recalls it after one positive test.",
		Do:       "Find these implants first: put those not yet placed into quarantine, and tell the doctors of the patients who have the others.",
		Says:     "This load with implants is suspect after a positive biological test.",
		Asks:     "It is not recorded whether this suspect load held implants.",
		Severity: moistheat.Fault, Broken: recallOnly, Undetermined: recallOnly, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "sterilization monitoring, text", Basis: moistheat.Published},
			{Document: docCDC2008, Edition: "2008", Locator: "table 12", Basis: moistheat.Published},
		},
	}
	recallUnbounded = moistheat.Rule{
		ID: "load.recall.unbounded", Since: "0.1.0",
		Title:    "A good biological test stands before every failed one.",
		Why:      "Without it the recall reaches back to the first load.",
		Do:       "Look for older test results; without one, recall back to the first load on record.",
		Says:     "No good {test} test is on record before the failed one: the suspect loads reach back to the first.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: docPractice, Basis: moistheat.CommonPractice}},
	}
	recallUnlabelled = moistheat.Rule{
		ID: "load.recall.unlabelled", Since: "0.1.0",
		Title:    "During a recall every pack in store can be told from the recalled ones.",
		Why:      "A pack that names no load may be one of those that are looked for.",
		Do:       "Recall every pack that names no load.",
		Says:     "The pack {pack} names no load that is on record while loads of its sterilizer are recalled.",
		Severity: moistheat.Fault, Broken: recallOnly, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{{Document: docCDC2003, Edition: "2003", Locator: "G, purpose of the label", Basis: moistheat.Published}},
	}
	recallUntraced = moistheat.Rule{
		ID: "load.recall.untraced", Since: "0.1.0",
		Title:    "For every pack of a recalled load it is known whether it was used, on whom, or where it is.",
		Why:      "A recall that does not find a pack is not finished.",
		Do:       "Search stores, trays and patient records for these packs and enter what you find.",
		Says:     "Of {count} packs of this recalled load it is not known where they are: {packs}.",
		Asks:     "This recalled load lists no packs, so none can be found.",
		Severity: moistheat.Fault, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: docRACGP, Locator: "tracking reusable medical devices", Basis: moistheat.Published}},
	}
)

// After a positive test.
var (
	positiveLate = moistheat.Rule{
		ID: "load.positive.late", Since: "0.1.0",
		Title:    "A positive biological test is repeated within two days after the sterilizer is taken out of use.",
		Why:      "Until then nobody knows whether the sterilizer works; other practices take two days on average.",
		Do:       "Repeat the test now.",
		Says:     "The test was not repeated within {limit} after the sterilizer was taken out of use.",
		Asks:     "The repeat is not there yet, or it is not recorded when the sterilizer was taken out of use.",
		Severity: moistheat.Note, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: "spore tests in Saskatchewan dental offices, 2015 to 2022, preprint", Locator: "mean time until the repeat", Basis: moistheat.Published}},
	}
	positiveOpen = moistheat.Rule{
		ID: "load.positive.open", Since: "0.1.0",
		Title:    "Every positive biological test has been dealt with to the end.",
		Why:      "Until then nobody knows whether the sterilizer works.",
		Do:       "Do the next step; it is named with the finding.",
		Says:     "The procedure after the {what} is not finished: {next}",
		Severity: moistheat.Fault, Broken: stopUse, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.8 and F.9", Basis: moistheat.Published},
			{Document: docCDC2008, Edition: "2008", Locator: "table 12", Basis: moistheat.Published},
		},
	}
	positiveRepeat = moistheat.Rule{
		ID: "load.positive.repeat", Since: "0.1.0",
		Title:    "A repeat test after a positive one counts: same kind of cycle, a control that grew, physical record and chemical indicators good.",
		Why:      "A repeat in another cycle says nothing about the one that failed.",
		Do:       "Repeat the test in the same kind of cycle, with its control and chemical indicators.",
		Says:     "The {what} does not count as a repeat: {why}.",
		Asks:     "The {what} can not be shown to count as a repeat: {why}.",
		Severity: moistheat.Fault, Broken: none, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{{Document: docCDC2003, Edition: "2003", Locator: "F.8b", Basis: moistheat.Published}},
	}
	positiveChamber = moistheat.Rule{
		ID: "load.positive.chamber", Since: "0.1.0",
		Title:    "The tests after a repair are run with the chamber as the policy asks.",
		Why:      "Some documents want the chamber empty, some want it full; a test that was run the other way may not be accepted.",
		Do:       "Ask the person responsible whether the test is to be repeated.",
		Says:     "The {what} was run with the chamber {chamber}; the policy asks for {wanted}.",
		Asks:     "It is not recorded whether the chamber was {wanted} during the {what}.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.9c", Basis: moistheat.Published},
			{Document: docST79, Locator: "full load for tabletop units", Basis: moistheat.Recalled},
		},
	}
	positiveRequalify = moistheat.Rule{
		ID: "load.positive.requalify", Since: "0.1.0",
		Title:    "After installation, moving, rebuilding or a repair the sterilizer passed its tests, one after the other, before it was used.",
		Why:      "A changed sterilizer is a new one until it is shown to work.",
		Do:       "Run the tests that the policy asks for before the first patient load.",
		Says:     "The tests after the {what} are not finished: {next}",
		Severity: moistheat.Fault, Broken: stopUse, Undetermined: none,
		Sources: []moistheat.Source{{Document: docCDC2008, Edition: "2008", Locator: "qualification after installation, repair or failure", Basis: moistheat.Published}},
	}
)
