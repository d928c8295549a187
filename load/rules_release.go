package load

import "example.com/moistheat"

// State after the cycle, labels and release.
var (
	doorEarly = moistheat.Rule{
		ID: "load.door.early", Since: "0.1.0",
		Title:    "The door was opened after the cycle had ended, without pressure in the chamber.",
		Why:      "A cycle that is cut short did not sterilize, and steam from a chamber under pressure scalds.",
		Do:       "Reprocess the load. Open the door only when the cycle has ended and the pressure is gone.",
		Says:     "The door was opened before the cycle had ended or with pressure in the chamber.",
		Asks:     "It is not recorded whether the door was opened only after the end.",
		Severity: moistheat.Fault, Broken: rejectLoad, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "unloading the steriliser", Basis: moistheat.Published},
		},
	}
	coolingHandled = moistheat.Rule{
		ID: "load.cooling.handled", Since: "0.1.0",
		Title:    "Packs are touched only when they are cool and dry.",
		Why:      "A warm pack draws germs in from the hands that hold it.",
		Do:       "Leave the packs alone until they are cool and dry.",
		Says:     "Packs were touched before they were cool and dry.",
		Asks:     "It is not recorded whether packs were cool and dry before they were touched.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: "dental text after the CDC guidelines of 2003", Locator: "packs dry and cool in the chamber", Basis: moistheat.Published},
		},
	}
	coolingShort = moistheat.Rule{
		ID: "load.cooling.short", Since: "0.1.0",
		Title:    "Packs have time to cool before they are touched.",
		Why:      "Warm metal wets its wrap where it meets a cold surface.",
		Do:       "Leave the packs on the cart for longer.",
		Says:     "Packs were touched {measured} after the door was opened; at least {limit} is asked.",
		Asks:     "It is not recorded how long the packs cooled.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docST79, Locator: "cooling, in review notes", Basis: moistheat.Quoted},
		},
	}
	coolingInside = moistheat.Rule{
		ID: "load.cooling.inside", Since: "0.1.0",
		Title:    "The load is taken out at once and cools outside the chamber.",
		Why:      "Steam left in the chamber condenses on packs that cool there.",
		Do:       "Take the load out as soon as the cycle has ended. Look whether the packs of this load are dry.",
		Says:     "The load was left in the chamber to cool.",
		Asks:     "It is not recorded whether the load was left in the chamber to cool.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "unloading the steriliser", Basis: moistheat.Published},
		},
	}
	packRepacked = moistheat.Rule{
		ID: "load.pack.repacked", Since: "0.1.0",
		Title:    "A wet pack is reprocessed as a whole.",
		Why:      "Germs have gone through the wet paper; a new wrap keeps them in.",
		Do:       "Reprocess the whole pack: unpack, dry, repack, sterilize.",
		Says:     "The wet pack was packed again without being reprocessed.",
		Asks:     "It is not recorded what was done with the wet pack.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "unloading the steriliser", Basis: moistheat.Published},
		},
	}
	releaseUnread = moistheat.Rule{
		ID: "load.release.unread", Since: "0.1.0",
		Title:    "The load is released after every indicator that is read before release was read.",
		Why:      "Who decides before the reading does not know the result.",
		Do:       "Read the indicators and decide again.",
		Says:     "The load was released before {what} was read.",
		Severity: moistheat.Fault, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "summary of steps in reprocessing", Basis: moistheat.Published},
		},
	}
	correctiveMissing = moistheat.Rule{
		ID: "load.corrective.missing", Since: "0.1.0",
		Title:    "Where something failed, the log says what was done about it.",
		Why:      "A fault that nobody follows up comes again.",
		Do:       "Enter what was done with the goods and about the cause.",
		Says:     "The log does not say what was done about what failed.",
		Asks:     "Something failed and nobody has decided about the load yet.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: "AS 5369", Locator: "log list", Basis: moistheat.Quoted},
			{Document: docRACGP, Locator: "documenting reprocessing", Basis: moistheat.Published},
		},
	}
	packWet = moistheat.Rule{
		ID: "load.pack.wet", Since: "0.1.0",
		Title:    "The pack came out dry.",
		Why:      "Germs travel through wet paper.",
		Do:       "Reprocess the whole pack: unpack, dry, repack, sterilize. Look for the cause.",
		Says:     "The pack is wet or damp.",
		Asks:     "It is not recorded whether the pack was dry.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "unloading the steriliser", Basis: moistheat.Published},
		},
	}
	packDamaged = moistheat.Rule{
		ID: "load.pack.damaged", Since: "0.1.0",
		Title:    "The pack came out whole, its seal closed.",
		Why:      "A torn or open pack is not sterile.",
		Do:       "Reprocess the pack.",
		Says:     "The pack is torn or its seal is open.",
		Asks:     "It is not recorded whether the pack was whole.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "unloading the steriliser", Basis: moistheat.Published},
		},
	}
	packDropped = moistheat.Rule{
		ID: "load.pack.dropped", Since: "0.1.0",
		Title:    "The pack was not dropped.",
		Why:      "A fall can open a seal or draw air through the paper.",
		Do:       "Reprocess the pack, or inspect it where local rules allow that.",
		Says:     "The pack was dropped.",
		Asks:     "It is not recorded whether the pack was dropped.",
		Severity: moistheat.Caution, Broken: holdPack, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "unloading the steriliser", Basis: moistheat.Published},
		},
	}
	loadWet = moistheat.Rule{
		ID: "load.pack.several", Since: "0.1.0",
		Title:    "No more than one pack came out wet.",
		Why:      "Several wet packs point to loading, drying or the sterilizer.",
		Do:       "Look at the loading pattern, the drying time and the sterilizer before the next load.",
		Says:     "{count} packs came out wet.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: "trade text on wet packs", Basis: moistheat.Quoted},
		},
	}
	labelMismatch = moistheat.Rule{
		ID: "load.label.mismatch", Since: "0.1.0",
		Title:    "The label says what the log says.",
		Why:      "A pack with a wrong label can not be found again.",
		Do:       "Correct the label before the pack is put away.",
		Says:     "The label's {what} is {label}, the log has {log}.",
		Severity: moistheat.Fault, Broken: holdPack, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docCDCLabel, Edition: "2016", Locator: "label list", Basis: moistheat.Published},
		},
	}
	releaserMissing = moistheat.Rule{
		ID: "load.releaser.missing", Since: "0.1.0",
		Title:    "A named person releases the load.",
		Why:      "Somebody must have looked at all the evidence together.",
		Do:       "Have a trained, named person read the evidence and decide.",
		Says:     "Nobody is named as releasing the load.",
		Asks:     "Nobody has decided about the load yet.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: holdLoad,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "documenting reprocessing", Basis: moistheat.Published},
		},
	}
	releaserUnauthorised = moistheat.Rule{
		ID: "load.releaser.unauthorised", Since: "0.1.0",
		Title:    "The person who releases is trained and authorised.",
		Why:      "Reading the evidence takes training.",
		Do:       "Have an authorised person decide.",
		Says:     "{by} was not authorised to release loads on that day.",
		Asks:     "It is not recorded whether {by} is authorised to release loads.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: holdLoad,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "staff education, training and competency", Basis: moistheat.Published},
		},
	}
	releaseEarly = moistheat.Rule{
		ID: "load.release.early", Since: "0.1.0",
		Title:    "The load is released after the cycle has ended.",
		Why:      "A release before the end can not rest on the whole record.",
		Do:       "Look at the whole record and decide again.",
		Says:     "The load was released before its cycle had ended.",
		Asks:     "The time of the release or of the cycle's end is not recorded.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	releaseContrary = moistheat.Rule{
		ID: "load.release.contrary", Since: "0.1.0",
		Title:    "The recorded decision agrees with the evidence.",
		Why:      "Packs released against the evidence are in use.",
		Do:       "Take the packs back and tell the person responsible.",
		Says:     "The record says the load was released; the evidence says {verdict}.",
		Severity: moistheat.Fault, Broken: moistheat.Effect{Recall: true}, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "F.5", Basis: moistheat.Published},
			{Document: docCDC2008, Edition: "2008", Locator: "table 12", Basis: moistheat.Published},
		},
	}
)
