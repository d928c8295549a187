package load

import "example.com/moistheat"

// Chemical and biological indicators.
var (
	externalUnchanged = moistheat.Rule{
		ID: "load.indicator.external", Since: "0.1.0",
		Title:    "The indicator outside every pack has changed.",
		Why:      "A pack whose outside indicator did not change was not in the cycle, or the cycle failed.",
		Do:       "Reprocess the pack.",
		Says:     "The indicator outside the pack has not changed.",
		Asks:     "The indicator outside the pack was not read.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.5", Basis: moistheat.Published},
		},
	}
	externalAll = moistheat.Rule{
		ID: "load.indicator.everywhere", Since: "0.1.0",
		Title:    "At least one pack's outside indicator has changed.",
		Why:      "When none has changed, the cycle did not do its work.",
		Do:       "Reject the whole load and find out why no indicator changed.",
		Says:     "No pack's outside indicator has changed.",
		Severity: moistheat.Fault, Broken: rejectStop, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.5", Basis: moistheat.Published},
		},
	}
	internalFailed = moistheat.Rule{
		ID: "load.indicator.internal", Since: "0.1.0",
		Title:    "The indicator inside a pack has reached its end point, where it can be seen.",
		Why:      "An inside indicator that has not reached its end point shows that steam did not get to the contents.",
		Do:       "Reprocess the pack. Look at the physical record and the other indicators, and ask the person responsible whether other packs must be recalled.",
		Says:     "The indicator inside the pack has not reached its end point.",
		Asks:     "The indicator inside the pack can be seen and was not read.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.5", Basis: moistheat.Published},
		},
	}
	internalSeveral = moistheat.Rule{
		ID: "load.indicator.several", Since: "0.1.0",
		Title:    "No more than one pack's inside indicator fails.",
		Why:      "Two failures point to the load or the sterilizer, not to the pack.",
		Do:       "Reject the load and take the sterilizer out of use.",
		Says:     "The inside indicators of {count} packs have not reached their end point.",
		Severity: moistheat.Fault, Broken: rejectStop, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	challengeFailed = moistheat.Rule{
		ID: "load.challenge.failed", Since: "0.1.0",
		Title:    "The indicator in the process challenge device has reached its end point.",
		Why:      "The device is the hardest place for steam to reach. If steam did not get there, it may not have got into the packs.",
		Do:       "Reject the load and take the sterilizer out of use until the cause is found.",
		Says:     "The indicator in the process challenge device has not reached its end point.",
		Asks:     "The indicator in the process challenge device was not read.",
		Severity: moistheat.Fault, Broken: rejectStop, Undetermined: holdLoad, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	biologicalPositive = moistheat.Rule{
		ID: "load.biological.positive", Since: "0.1.0",
		Title:    "The biological indicator shows no growth.",
		Why:      "Spores that survive mean that the cycle may not have sterilized.",
		Do:       "Reject the load, take the sterilizer out of use, repeat the test at once in the same cycle, and find the packs since the last good test.",
		Says:     "The biological indicator grew.",
		Asks:     "The biological indicator's result is not recorded.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Load: moistheat.Reject, Sterilizer: moistheat.OutOfService, Recall: true}, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.8", Basis: moistheat.Published},
			{Document: docCDC2008, Edition: "2008", Locator: "table 12", Basis: moistheat.Published},
		},
	}
	biologicalVoid = moistheat.Rule{
		ID: "load.biological.void", Since: "0.1.0",
		Title:    "The biological test counts: its control comes from the same lot and grew, nothing was expired, and it was incubated as it must be.",
		Why:      "If the control did not grow, the incubator or the lot was dead, and \"no growth\" says nothing.",
		Do:       "Check the incubator and repeat the test with a control of the same lot. This test counts as not done.",
		Says:     "The biological test is void: {why}. It counts as no test.",
		Asks:     "It can not be said whether the biological test counts: {why}.",
		Severity: moistheat.Fault, Broken: none, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.6", Basis: moistheat.Published},
			{Document: "Ohio dental rule 4715-20-02", Locator: "control capsule", Basis: moistheat.Quoted},
			{Document: docPractice, Locator: "expired lot, incubation too short or outside its range", Basis: moistheat.CommonPractice},
		},
	}
	biologicalPending = moistheat.Rule{
		ID: "load.biological.pending", Since: "0.1.0",
		Title:    "The biological indicator has been read.",
		Why:      "The load may still have to be recalled when the result is there.",
		Do:       "Read it when its time is up. Without an implant in the load, routine practice does not wait for it.",
		Says:     "The biological indicator is still incubating.",
		Asks:     "The biological indicator is still incubating.",
		Severity: moistheat.Note, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docCDA, Edition: "2020", Basis: moistheat.Published},
		},
	}
	biologicalBare = moistheat.Rule{
		ID: "load.biological.bare", Since: "0.1.0",
		Title:    "With packed goods, the biological indicator lies in a process challenge device or in a pack.",
		Why:      "A bare indicator meets steam that never had to find its way into a pack.",
		Do:       "Put the next indicator into the hardest pack or a device of that kind.",
		Says:     "The biological indicator lay bare among packed goods.",
		Asks:     "It is not recorded whether the biological indicator lay in a device or a pack.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docCDA, Edition: "2020", Basis: moistheat.Published},
		},
	}
	biologicalPartLoad = moistheat.Rule{
		ID: "load.biological.partload", Since: "0.1.0",
		Title:    "The biological test of a tabletop sterilizer is run with a full load.",
		Why:      "A full load is the hardest task for the sterilizer.",
		Do:       "Run the next biological test with a full load.",
		Says:     "The biological test was not run with a full load.",
		Asks:     "It is not recorded whether the biological test was run with a full load.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docCDA, Edition: "2020", Basis: moistheat.Published},
		},
	}
	biologicalEarly = moistheat.Rule{
		ID: "load.biological.early", Since: "0.1.0",
		Title:    "The biological indicator was read no sooner than its maker says.",
		Why:      "Spores that grow slowly look dead when they are read too soon.",
		Do:       "Put the indicator back into the incubator and read it again when its maker's time is up.",
		Says:     "The indicator was read after {measured}; its maker asks for {limit}.",
		Asks:     "The incubation or the maker's reading time is not recorded.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	biologicalOverdue = moistheat.Rule{
		ID: "load.biological.overdue", Since: "0.1.0",
		Title:    "The last valid biological test is not older than the policy allows.",
		Why:      "A sterilizer that is not tested may fail for weeks unseen.",
		Do:       "Run a biological test with its control now; hold the loads until it is negative.",
		Says:     "The last valid biological test is {measured} old; at most {limit} is allowed.",
		Asks:     "The date of the last valid biological test is not recorded.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: holdLoad,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.6", Basis: moistheat.Published},
		},
	}
	implantUntested = moistheat.Rule{
		ID: "load.implant.untested", Since: "0.1.0",
		Title:    "Every load with an implant has a biological indicator.",
		Why:      "An implant stays in the body and can not simply be taken back.",
		Do:       "Sterilize the implant again in a load with a biological indicator.",
		Says:     "There is an implant in this pack and no biological indicator in the load.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.7", Basis: moistheat.Published},
		},
	}
	implantPending = moistheat.Rule{
		ID: "load.implant.pending", Since: "0.1.0",
		Title:    "An implant waits until the biological indicator is read.",
		Why:      "An implant stays in the body and can not simply be taken back.",
		Do:       "Keep the load in quarantine until the biological indicator is read as negative. If it grew, reject the load.",
		Says:     "There is an implant in the load and the biological indicator grew.",
		Asks:     "There is an implant in the load and the biological indicator has not been read yet.",
		Severity: moistheat.Fault, Broken: rejectLoad, Undetermined: holdLoad, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.7", Basis: moistheat.Published},
			{Document: docST79, Edition: "2006", Locator: "10.6.3", Basis: moistheat.Quoted},
		},
	}
	implantVoid = moistheat.Rule{
		ID: "load.implant.void", Since: "0.1.0",
		Title:    "The biological test of a load with an implant counts.",
		Why:      "A void test is no test, and an implant needs one.",
		Do:       "Hold the load and repeat the test.",
		Says:     "There is an implant in the load and its biological test is void.",
		Asks:     "There is an implant in the load and it can not be said whether its biological test counts.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: holdLoad, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.6", Basis: moistheat.Published},
			{Document: docCDC2003, Edition: "2003", Locator: "F.7", Basis: moistheat.Published},
		},
	}
)
