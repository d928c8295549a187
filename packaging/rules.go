package packaging

import (
	"slices"

	"example.com/moistheat"
)

// The rules of this package, by their place in the list, which is sorted by ID.
const (
	airTrapped = iota
	assemblyClosed
	barrierExpired
	barrierLinen
	barrierReused
	barrierSleeve
	barrierUnfit
	cleaningHand
	cleaningManual
	closurePierced
	contentsMixed
	contentsUnlisted
	densityHigh
	fillExcessive
	guardTight
	handleHidden
	heatIntolerant
	hingeClosed
	hollowwareNested
	immediateImplant
	immediateUncovered
	immediateUnfounded
	immediateUnindicated
	implantUnmarked
	implantUnwrapped
	indicatorExternal
	indicatorImplant
	indicatorInternal
	indicatorProcess
	indicatorSmall
	indicatorVoid
	indicatorWeak
	itemSingleUse
	itemUnclassified
	itemUncleaned
	itemUninspected
	itemWet
	labelFading
	labelIncomplete
	labelLate
	labelMisplaced
	layersFacing
	layersFolded
	layersSize
	layersUnvalidated
	lubricantExcess
	lubricantUnasked
	lumenUnmeasured
	massHigh
	massOver
	metalsTouching
	overhangShort
	patientOther
	poweredUnpacked
	poweredWiped
	sealDamaged
	sealNarrow
	sealUntested
	sealWeak
	sharpExposed
	sizeLarge
	spaceShort
	tubingClosed
	tubingImpure
	unwrappedStored
	wrapHurried
	wrapSingle
	wrapUnwashed
	ruleCount
)

// Rules returns every rule that [Check] asks, sorted by ID.
func Rules() []moistheat.Rule {
	out := slices.Clone(rules[:])
	for i := range out {
		out[i].Sources = slices.Clone(out[i].Sources)
	}
	return out
}

const (
	docRACGP    = "RACGP Infection Prevention and Control Guidelines"
	docDental   = "CDC Guidelines for Infection Control in Dental Health-Care Settings"
	docPacking  = "CDC dental infection control questions and answers, packaging and storing"
	docST79     = "ANSI/AAMI ST79"
	docPeel     = "trade article on peel pouches"
	docPractice = "practice of the trade"

	locPreparing = "reprocessing, preparing the load for sterilising"
	locSummary   = "reprocessing, summary of steps"
)

var rules = [ruleCount]moistheat.Rule{
	airTrapped: {
		ID:    "packaging.air.trapped",
		Title: "The air was pressed out of the pouch before it was sealed.",
		Why:   "Air left in the pouch swells under vacuum and strains the seal.",
		Do:    "Look whether the seal has held; next time press the air out before sealing.",
		Says:  "The pouch was sealed with air in it.",
		Asks:  "Was the air pressed out before sealing? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: locPreparing, Basis: moistheat.Published},
			{Document: "DIN 58953-7", Basis: moistheat.Quoted},
		},
	},
	assemblyClosed: {
		ID:    "packaging.assembly.closed",
		Title: "An item of several parts is taken apart or loosened as its maker says.",
		Why:   "Steam does not reach the surfaces between parts that are fitted tightly together.",
		Do:    "Open the pack, take the item apart as its maker says, and pack and sterilize it again.",
		Says:  "{item} was packed fully assembled.",
		Asks:  "Was {item} taken apart or loosened before packing? The record does not say.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: locPreparing, Basis: moistheat.Published},
		},
	},
	barrierExpired: {
		ID:    "packaging.barrier.expired",
		Title: "The packaging material is within its own expiry date.",
		Why:   "Old paper, film and adhesive become brittle and no longer keep germs out.",
		Do:    "Throw the packaging away and pack the contents again in material that is in date.",
		Says:  "The packaging expired on {expires} and was used on {date}.",
		Asks:  "Was the packaging in date? Its expiry date or the day of use is not recorded.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Reject},
		Since:    "0.1.0",
		Sources:  []moistheat.Source{{Document: docPractice, Basis: moistheat.CommonPractice}},
	},
	barrierLinen: {
		ID:    "packaging.barrier.linen",
		Title: "Office practices wrap in something other than linen.",
		Why:   "Washed linen loses its closeness and lets germs through.",
		Do:    "Use single-use wraps, pouches or a container.",
		Says:  "The pack is wrapped in linen.",
		Asks:  "What is the pack wrapped in? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "reprocessing, disposable materials", Basis: moistheat.Published},
		},
	},
	barrierReused: {
		ID:    "packaging.barrier.reused",
		Title: "A wrap or pouch that is made for one use is new.",
		Why:   "A used wrap or pouch has been wet, creased and opened and may let germs in.",
		Do:    "Throw the packaging away and pack the contents again in new material.",
		Says:  "A {barrier} was used again although it is made for one use.",
		Asks:  "Was the {barrier} new? The record does not say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Reject},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "EN 868-2", Edition: "2017", Locator: "4.2.2", Basis: moistheat.Published},
		},
	},
	barrierSleeve: {
		ID:    "packaging.barrier.sleeve",
		Title: "Goods are packed in something that opens cleanly, not in a nylon sleeve.",
		Why:   "A nylon sleeve has no peel seam; when it is cut open its contents touch the outside.",
		Do:    "Use pouches; until then open the sleeve with special care.",
		Says:  "The pack is a nylon sleeve.",
		Asks:  "What is the pack made of? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "Evaluation of the shelf life of sterile instrument packs", Edition: "1991", Locator: "opening of packs", Basis: moistheat.Published},
		},
	},
	barrierUnfit: {
		ID:    "packaging.barrier.unfit",
		Title: "The packaging is fit for steam.",
		Why:   "Packaging that melts or lets no steam through leaves the contents unsterile.",
		Do:    "Pack the contents again in packaging that its maker states as fit for steam.",
		Says:  "A pack of the kind \"{barrier}\" is not fit for steam.",
		Asks:  "Does the maker of the packaging (\"{barrier}\") state it as fit for steam? The record does not say.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: docPacking, Edition: "2016", Basis: moistheat.Published}},
	},
	cleaningHand: {
		ID:    "packaging.cleaning.hand",
		Title: "An item is cleaned by hand alone only if its maker asks for that.",
		Why:   "Cleaning by hand differs from person to person; a machine that is tested does not.",
		Do:    "Clean {item} in a machine and pack it again, or record that its maker asks for cleaning by hand.",
		Says:  "{item} was cleaned by hand alone, and its maker does not ask for that.",
		Asks:  "Was {item} cleaned by hand alone, and does its maker ask for that? The record does not say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Hold},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "report on the change of practice accreditation in Australia", Basis: moistheat.Published},
			{Document: docRACGP, Edition: "2026", Locator: "note on the update", Basis: moistheat.Published},
		},
	},
	cleaningManual: {
		ID:    "packaging.cleaning.manual",
		Title: "Instruments are cleaned in a washer-disinfector, by hand only while it is out of order.",
		Why:   "Cleaning by hand differs from one time to the next and can not be proven.",
		Do:    "Clean instruments in the washer-disinfector; record it when the machine is out of order.",
		Says:  "{item} was cleaned without a washer-disinfector.",
		Asks:  "How was {item} cleaned? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "SDCEP, decontamination templates in line with SHTM 01-05", Basis: moistheat.Published},
		},
	},
	closurePierced: {
		ID:    "packaging.closure.pierced",
		Title: "No staple, pin or paper clip holds the pack closed.",
		Why:   "Staples and pins make holes, and a clipped fold is not a seal; germs get in.",
		Do:    "Pack the contents again and close the pack with a seal, tape or its own adhesive strip.",
		Says:  "The pack was closed or marked with a staple, pin or clip.",
		Asks:  "How was the pack closed? The record does not say.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources: []moistheat.Source{
			{Document: docPacking, Edition: "2008", Basis: moistheat.Published},
		},
	},
	contentsMixed: {
		ID:    "packaging.contents.mixed",
		Title: "All items in one pack can be sterilized with the same settings.",
		Why:   "What suits one item leaves another one unsterile or damages it.",
		Do:    "Pack items that need different settings separately and sterilize them again.",
		Says:  "The instructions of the items in this pack can not be met together: {difference}.",
		Asks:  "Do hollow, porous and solid items in this pack need the same settings? Their instructions are not recorded.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: docRACGP, Locator: locPreparing, Basis: moistheat.Published}},
	},
	contentsUnlisted: {
		ID:    "packaging.contents.unlisted",
		Title: "The record lists what is in the pack.",
		Why:   "Without the contents nobody can tell which cycle the pack needs or find an item again.",
		Do:    "List the items of the pack in the record.",
		Says:  "The record lists nothing in this pack.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Hold},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: docRACGP, Locator: "documenting reprocessing", Basis: moistheat.Published}},
	},
	densityHigh: {
		ID:    "packaging.density.high",
		Title: "A textile pack is not packed more densely than the guidance says.",
		Why:   "Steam does not get through cloth that is pressed together.",
		Do:    "Make two looser packs next time; look well whether this one is dry.",
		Says:  "The pack has {measured}; the advised limit is {limit}.",
		Asks:  "How dense is the pack? Its mass or its size is not recorded; the advised limit is {limit}.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities", Edition: "2008", Basis: moistheat.Published},
		},
	},
	fillExcessive: {
		ID:    "packaging.fill.excessive",
		Title: "The pouch or bag is not overfilled.",
		Why:   "An overfilled pouch strains its seals and leaves no way for air and steam.",
		Do:    "Use a larger pouch or pack the items separately.",
		Says:  "The contents fill {measured} of the pouch; the limit is {limit}.",
		Asks:  "How full is the pouch? The record does not say; the limit is {limit}.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "DIN 58953-7", Basis: moistheat.Quoted},
			{Document: "WFHSS guidelines, packaging", Basis: moistheat.Published},
		},
	},
	guardTight: {
		ID:    "packaging.guard.tight",
		Title: "A tip guard lets steam in, as its maker has tested.",
		Why:   "A tight cap keeps steam from the very point that goes into the patient.",
		Do:    "Use guards that their maker has tested in steam, or none.",
		Says:  "The guard on {item} is not tested to let steam in.",
		Asks:  "Does the guard on {item} let steam in? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: locPreparing, Basis: moistheat.Published},
			{Document: "Study guide for central service staff", Basis: moistheat.Quoted},
		},
	},
	handleHidden: {
		ID:    "packaging.handle.hidden",
		Title: "Handles lie towards the end of the pouch that is opened.",
		Why:   "Whoever opens the pouch can then take the item without touching the part that is used.",
		Do:    "Turn the item round next time.",
		Says:  "The handle of {item} lies away from the opening end.",
		Asks:  "Which way does the handle of {item} lie? The record does not say.",

		Severity: moistheat.Note,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "WFHSS guidelines, packaging", Basis: moistheat.Published},
			{Document: docPeel, Basis: moistheat.Published},
		},
	},
	heatIntolerant: {
		ID:    "packaging.heat.intolerant",
		Title: "A powered item stands the heat of steam sterilization.",
		Why:   "A handpiece that can not be sterilized by heat can not be made safe for the next patient.",
		Do:    "Take {item} out of stock unless its maker and the authority name another process.",
		Says:  "{item} does not stand steam sterilization.",
		Asks:  "Does {item} stand steam sterilization? Neither its instructions nor the record say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Reject},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "CDC dental infection control questions and answers, handpieces", Basis: moistheat.Published},
		},
	},
	hingeClosed: {
		ID:    "packaging.hinge.closed",
		Title: "Hinges and ratchets stand open.",
		Why:   "Steam does not reach the surfaces inside a closed hinge or jaw.",
		Do:    "Open the pack, open the hinge and unlock the ratchet, and pack and sterilize it again.",
		Says:  "{item} was packed closed or locked.",
		Asks:  "Was {item} packed open? The record does not say.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: docRACGP, Locator: locPreparing, Basis: moistheat.Published}},
	},
	hollowwareNested: {
		ID:    "packaging.hollowware.nested",
		Title: "Bowls that stand one in another have something between them.",
		Why:   "Metal on metal keeps steam out and holds water.",
		Do:    "Put absorbent separators between the bowls and sterilize the pack again.",
		Says:  "{item} stand one in another with nothing between them.",
		Asks:  "Is there something between the bowls of {item}? The record does not say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Reject},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "reprocessing, loading the steriliser", Basis: moistheat.Published},
		},
	},
	immediateImplant: {
		ID:    "packaging.immediate.implant",
		Title: "Instruments for dental implants are never sterilized for immediate use.",
		Why:   "An infection around an implant is hard to cure; there is no reason to take a short cut.",
		Do:    "Sterilize the instruments packed, in a full cycle.",
		Says:  "{item} is for implants and was run for immediate use.",
		Asks:  "Is {item} an instrument for implants? Nobody described it.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Reject},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "Canadian Dental Association, immediate-use sterilization", Edition: "2020", Basis: moistheat.Published},
		},
	},
	immediateUncovered: {
		ID:    "packaging.immediate.uncovered",
		Title: "Critical items for immediate use are carried to the patient in a sterile covered container.",
		Why:   "What lies open on the way is no longer sterile.",
		Do:    "Sterilize the item again and carry it covered.",
		Says:  "The pack was carried open.",
		Asks:  "Was the pack carried covered? The record does not say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Reject},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: docDental, Edition: "2003", Locator: "E.4-5, as summarised", Basis: moistheat.Quoted},
		},
	},
	immediateUnfounded: {
		ID:    "packaging.immediate.unfounded",
		Title: "Goods are sterilized for immediate use only in an emergency.",
		Why:   "Haste skips packing, drying and checks; too few instruments is not an emergency.",
		Do:    "Record the true reason; buy or borrow enough instruments.",
		Says:  "The reason for immediate use was {reason}.",
		Asks:  "Why was the pack run for immediate use? The record does not say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Hold},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "Canadian Dental Association, immediate-use sterilization", Edition: "2020", Basis: moistheat.Published},
		},
	},
	immediateUnindicated: {
		ID:    "packaging.immediate.unindicated",
		Title: "Goods for immediate use have an indicator of type 5 or 6 with them.",
		Why:   "Nothing else will show in time that the cycle worked.",
		Do:    "Sterilize the goods again with a type 5 or 6 indicator.",
		Says:  "There was no type 5 or 6 indicator with the goods.",
		Asks:  "Was there a type 5 or 6 indicator with the goods? The record does not say.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources: []moistheat.Source{
			{Document: "Canadian Dental Association, immediate-use sterilization", Edition: "2020", Basis: moistheat.Published},
		},
	},
	implantUnmarked: {
		ID:    "packaging.implant.unmarked",
		Title: "What stays in the body is marked as an implant.",
		Why:   "A load with an implant waits for its biological indicator; one that nobody marked does not.",
		Do:    "Mark {item} as an implant and handle the load as one with an implant.",
		Says:  "{item} stays in the body and is not marked as an implant.",
		Asks:  "Is {item} marked as an implant? Nobody described it.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "training note on the Ontario guidance of 2018", Locator: "items that count as implants", Basis: moistheat.Quoted},
		},
	},
	implantUnwrapped: {
		ID:    "packaging.implant.unwrapped",
		Title: "An implant is sterilized in a pack.",
		Why:   "An implant stays in the body; without a barrier it is no longer sterile when it gets there.",
		Do:    "Pack the implant and sterilize it again.",
		Says:  "{item} is an implant and was sterilized without packaging.",
		Asks:  "Is {item} an implant? Nobody described it, and it was sterilized without packaging.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: docDental, Edition: "2003", Locator: "E.6", Basis: moistheat.Recalled}},
	},
	indicatorExternal: {
		ID:    "packaging.indicator.external",
		Title: "An indicator can be seen from outside the pack.",
		Why:   "Without one nobody can tell a pack that went through the sterilizer from one that did not.",
		Do:    "Hold the pack until it is clear that it was processed; use indicator tape or a printed indicator next time.",
		Says:  "No indicator can be seen from outside this pack.",
		Asks:  "Can an indicator be seen from outside this pack? The record does not say.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Hold},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: docDental, Edition: "2003", Locator: "F.3", Basis: moistheat.Published}},
	},
	indicatorImplant: {
		ID:    "packaging.indicator.implant",
		Title: "The indicator inside a pack with an implant is of type 5.",
		Why:   "A type 5 indicator comes closest to what a biological indicator shows.",
		Do:    "Pack again with a type 5 indicator.",
		Says:  "The best indicator inside is of type {type}.",
		Asks:  "It is not shown that an indicator of type 5 lies inside with the implant: {why}.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Hold},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources: []moistheat.Source{
			{Document: "Alberta standard, as quoted", Basis: moistheat.Quoted},
		},
	},
	indicatorInternal: {
		ID:    "packaging.indicator.internal",
		Title: "There is an indicator inside the pack.",
		Why:   "Only an indicator among the contents shows whether steam got to them.",
		Do:    "Hold the pack; put an indicator inside and sterilize it again.",
		Says:  "There is no indicator inside this pack.",
		Asks:  "Is there an indicator inside this pack? The record does not say.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Hold},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: docDental, Edition: "2003", Locator: "F.3", Basis: moistheat.Published}},
	},
	indicatorProcess: {
		ID:    "packaging.indicator.process",
		Title: "Every pack carries a process indicator of type 1.",
		Why:   "A process indicator tells packs that went through a cycle from packs that did not.",
		Do:    "Put a type 1 indicator or indicator tape on the pack.",
		Says:  "The pack has no type 1 indicator.",
		Asks:  "Does the pack have a type 1 indicator? The record does not say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Hold},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: locSummary, Basis: moistheat.Published},
		},
	},
	indicatorSmall: {
		ID:    "packaging.indicator.small",
		Title: "A printed indicator is large enough to be read.",
		Why:   "A tiny mark is overlooked.",
		Do:    "Ask the supplier for pouches with larger indicators.",
		Says:  "The indicator covers {measured}; the least is {limit}.",
		Asks:  "How large is the printed indicator? The record does not say; the least is {limit}.",

		Severity: moistheat.Note,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "EN 868-5", Edition: "2009", Locator: "4.4", Basis: moistheat.Published},
		},
	},
	indicatorVoid: {
		ID:    "packaging.indicator.void",
		Title: "The indicator is within its expiry date.",
		Why:   "The colour of an expired indicator says nothing.",
		Do:    "Do not count this indicator; hold the pack until other proof is there, and throw the expired lot away.",
		Says:  "The indicator expired on {expires} and was used on {date}; its result does not count.",
		Asks:  "Was the indicator in date? Its expiry date or the day of use is not recorded.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Hold},
		Since:    "0.1.0",
		Sources:  []moistheat.Source{{Document: docPractice, Basis: moistheat.CommonPractice}},
	},
	indicatorWeak: {
		ID:    "packaging.indicator.weak",
		Title: "The indicator inside a pack is of type 4 or higher.",
		Why:   "An indicator of type 1 to 3 does not show that both time and temperature were right.",
		Do:    "Use indicators of type 4, 5 or 6 inside packs.",
		Says:  "The best indicator inside is of type {type}.",
		Asks:  "Of which type is the indicator inside? The record does not say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Hold},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "Alberta standard, as quoted", Basis: moistheat.Quoted},
		},
	},
	itemSingleUse: {
		ID:    "packaging.item.singleuse",
		Title: "No item that its maker marked for single use is sterilized again.",
		Why:   "It was not made to be cleaned or sterilized again; it can break or carry germs.",
		Do:    "Take the item out and discard it.",
		Says:  "{item} is marked for single use.",
		Asks:  "Is {item} marked for single use? Nobody described it.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		NoWaiver:     true,
		Since:        "0.1.0",
		Sources: []moistheat.Source{
			{Document: "SA Health, reprocessing of reusable medical devices", Basis: moistheat.Published},
			{Document: "WAC 246-817-655", Basis: moistheat.Published},
		},
	},
	itemUnclassified: {
		ID:    "packaging.item.unclassified",
		Title: "The risk class of the item is known.",
		Why:   "The class decides whether an item must be sterile and must be packed.",
		Do:    "Find out whether the item goes through tissue, touches mucosa or only skin; treat it as critical until then.",
		Says:  "The risk class of {item} is not known.",
		Asks:  "Is {item} critical, semicritical or noncritical? Until somebody says, treat it as critical.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Hold},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "reprocessing, risk assessment", Basis: moistheat.Published},
		},
	},
	itemUncleaned: {
		ID:    "packaging.item.uncleaned",
		Title: "The item was cleaned before it was packed.",
		Why:   "Soil keeps steam away from the surface; an item that is not clean can not be made sterile.",
		Do:    "Open the pack, clean the item, and pack and sterilize it again.",
		Says:  "{item} was packed without being cleaned.",
		Asks:  "Was {item} cleaned? There is no cleaning record.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources: []moistheat.Source{
			{Document: "CDC dental infection control questions and answers, cleaning", Basis: moistheat.Published},
		},
	},
	itemUninspected: {
		ID:    "packaging.item.uninspected",
		Title: "The item was looked at and found clean, intact and working.",
		Why:   "Soil that cleaning left, rust and damage are only found by looking.",
		Do:    "Open the pack and look at the item; clean or repair it as needed, and pack and sterilize it again.",
		Says:  "{item} did not pass inspection.",
		Asks:  "Was {item} inspected after cleaning? The record does not say.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: docRACGP, Locator: locSummary, Basis: moistheat.Published}},
	},
	itemWet: {
		ID:    "packaging.item.wet",
		Title: "The item was dry when it was packed.",
		Why:   "Water in the pack hinders the steam and leaves the pack wet.",
		Do:    "Open the pack, dry the item, and pack and sterilize it again.",
		Says:  "{item} was packed wet.",
		Asks:  "Was {item} dry when it was packed? The record does not say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Reject},
		Since:    "0.1.0",
		Sources:  []moistheat.Source{{Document: docRACGP, Locator: locSummary, Basis: moistheat.Published}},
	},
	labelFading: {
		ID:    "packaging.label.fading",
		Title: "The label is written in ink that steam does not wash out and that harms nobody.",
		Why:   "A label that fades can not be traced; some inks go through paper.",
		Do:    "Use a marker made for sterilization packs.",
		Says:  "The ink is not made for steam sterilization.",
		Asks:  "Is the ink steam-fast and harmless? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "Malaysia Ministry of Health, sterilization guideline", Locator: "labelling, non-toxic marker", Basis: moistheat.Published},
			{Document: docPractice, Locator: "steam-fast ink", Basis: moistheat.CommonPractice},
		},
	},
	labelIncomplete: {
		ID:    "packaging.label.incomplete",
		Title: "The label names the sterilizer, the cycle or load number and the date.",
		Why:   "Without them a pack can not be found again when a load turns out to have failed.",
		Do:    "Hold the pack until the missing details are found in the records.",
		Says:  "The label lacks: {missing}.",
		Asks:  "What does the label say? It is not recorded.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Hold},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: docPacking, Edition: "2016", Basis: moistheat.Published}},
	},
	labelLate: {
		ID:    "packaging.label.late",
		Title: "The label was written before the cycle.",
		Why:   "A pack labelled afterwards can get the label of another load.",
		Do:    "Label every pack before it goes into the chamber.",
		Says:  "The label was written after the cycle.",
		Asks:  "Was the label written before the cycle? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: docPacking, Edition: "2016", Basis: moistheat.Published},
			{Document: "Malaysia Ministry of Health, sterilization guideline", Locator: "labelling", Basis: moistheat.Published},
		},
	},
	labelMisplaced: {
		ID:    "packaging.label.misplaced",
		Title: "The pack is marked on the film, in the margin, or on tape or a label, not on paper over the contents.",
		Why:   "Ink and pen strokes go through the paper that keeps germs out.",
		Do:    "Write on the film side, the margin or a label next time.",
		Says:  "The pack is marked on the paper over its contents.",
		Asks:  "Where is the pack marked? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "German trade guide on packing", Basis: moistheat.Quoted},
			{Document: "Study guide for central service staff", Basis: moistheat.Quoted},
		},
	},
	layersFacing: {
		ID:    "packaging.layers.facing",
		Title: "In a double pouch paper lies on paper and film on film.",
		Why:   "Steam passes through paper only; film over paper shuts it out.",
		Do:    "Pack again with the paper sides of both pouches on the same side.",
		Says:  "The paper of the inner pouch faces the film of the outer one.",
		Asks:  "Does paper lie on paper in the double pouch? The record does not say.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources: []moistheat.Source{
			{Document: docST79, Locator: "8.3.4", Basis: moistheat.Quoted},
			{Document: docPeel, Basis: moistheat.Quoted},
		},
	},
	layersFolded: {
		ID:    "packaging.layers.folded",
		Title: "The inner pouch of a double pouch lies flat.",
		Why:   "A fold traps air and keeps steam out.",
		Do:    "Pack again with an inner pouch small enough to lie flat.",
		Says:  "The inner pouch was folded.",
		Asks:  "Does the inner pouch lie flat? The record does not say.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: docPeel, Basis: moistheat.Quoted}},
	},
	layersSize: {
		ID:    "packaging.layers.size",
		Title: "The inner pouch of a double pouch is a size smaller than the outer one.",
		Why:   "An inner pouch of the same size creases and folds.",
		Do:    "Use two sizes next time.",
		Says:  "Both pouches have the same size.",
		Asks:  "Is the inner pouch smaller than the outer one? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources:  []moistheat.Source{{Document: docST79, Locator: "8.3.4", Basis: moistheat.Quoted}},
	},
	layersUnvalidated: {
		ID:    "packaging.layers.unvalidated",
		Title: "The maker of the pouches allows one inside another.",
		Why:   "Two layers keep more air in and more steam out than one; only the maker has tested it.",
		Do:    "Hold the pack and ask the maker of the pouches, or pack again in a single pouch.",
		Says:  "The maker of the pouches has not tested them one inside another.",
		Asks:  "Does the maker of the pouches allow double use? The record does not say.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Hold},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: docST79, Locator: "8.3.4", Basis: moistheat.Quoted}},
	},
	lubricantExcess: {
		ID:    "packaging.lubricant.excess",
		Title: "Lubricant was wiped off before packing.",
		Why:   "Oil keeps steam from the surface below it.",
		Do:    "Let the handpiece run until no more oil comes out, and wipe it before packing.",
		Says:  "Lubricant was left on {item}.",
		Asks:  "Was the lubricant wiped off {item}? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	},
	lubricantUnasked: {
		ID:    "packaging.lubricant.unasked",
		Title: "An item is lubricated only as its maker says.",
		Why:   "The wrong oil at the wrong time keeps steam out or harms the item.",
		Do:    "Look up in the item's instructions whether and when to lubricate it.",
		Says:  "{item} was lubricated and its instructions do not ask for it.",
		Asks:  "Do the instructions of {item} ask for lubrication? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "CDC statement on reprocessing dental handpieces", Edition: "2018", Basis: moistheat.Published},
		},
	},
	lumenUnmeasured: {
		ID:    "packaging.lumen.unmeasured",
		Title: "Length, bore and open ends of every lumen are known.",
		Why:   "They decide which cycle can draw the air out of the item.",
		Do:    "Measure the lumen or look it up in the item's instructions; until then use a cycle for long, narrow lumens (hollow A).",
		Says:  "The sizes of a lumen of {item} are not known.",
		Asks:  "How long and wide is the lumen of {item}, and how many ends are open? Until somebody says, treat it as long and narrow (hollow A).",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Hold},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: docPractice, Basis: moistheat.CommonPractice}},
	},
	massHigh: {
		ID:    "packaging.mass.high",
		Title: "The pack is not heavier than the guidance advises.",
		Why:   "A heavy pack turns much steam into water and may come out wet.",
		Do:    "Split the pack next time, or have this pack validated; look well whether it is dry.",
		Says:  "The pack weighs {measured}; the advised limit is {limit}.",
		Asks:  "How heavy is the pack? The record does not say; the advised limit is {limit}.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "Dutch guideline, as quoted in an EFHSS answer", Locator: "question 98", Basis: moistheat.Quoted},
			{Document: "Swiss expert list, as quoted in an EFHSS answer", Locator: "question 98", Basis: moistheat.Quoted},
			{Document: "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities", Edition: "2008", Basis: moistheat.Published},
		},
	},
	massOver: {
		ID:    "packaging.mass.over",
		Title: "A set with its wrap or container is not heavier than the standard allows.",
		Why:   "A set that is too heavy turns too much steam into water, comes out wet and hurts those who lift it.",
		Do:    "Split the set into two packs and sterilize both again.",
		Says:  "The set weighs {measured}; the limit is {limit}.",
		Asks:  "How heavy is the set with its packaging? The record does not say; the limit is {limit}.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Reject},
		Since:    "0.1.0",
		Sources:  []moistheat.Source{{Document: "ANSI/AAMI ST77", Locator: "4.3.5", Basis: moistheat.Quoted}},
	},
	metalsTouching: {
		ID:    "packaging.metals.touching",
		Title: "Different metals do not touch in a pack.",
		Why:   "Where different metals touch in steam they corrode and stain.",
		Do:    "Pack them apart, or put a liner between them.",
		Says:  "{metals} touch in this pack.",
		Asks:  "Do the different metals ({metals}) touch? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "equipment makers' instructions", Basis: moistheat.Quoted},
			{Document: docPractice, Locator: "different metals in separate packs", Basis: moistheat.CommonPractice},
		},
	},
	overhangShort: {
		ID:    "packaging.overhang.short",
		Title: "Enough pouch stands out beyond the seal where it is opened.",
		Why:   "Without something to hold, the pouch tears when it is opened.",
		Do:    "Cut the reel longer next time.",
		Says:  "The pouch stands out {measured}; the least is {limit}.",
		Asks:  "How far does the pouch stand out beyond the seal? The record does not say; the least is {limit}.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "DIN 58953-7", Basis: moistheat.Quoted},
		},
	},
	patientOther: {
		ID:    "packaging.patient.other",
		Title: "An item meant for one patient goes back to the same patient only.",
		Why:   "Its maker has shown that it can be cleaned for one person, not made safe for another.",
		Do:    "Take the item out; give it back to its patient or discard it.",
		Says:  "{item} is meant for one patient and goes to another.",
		Asks:  "To whom does {item} go? It is meant for one patient and the record does not say which.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources: []moistheat.Source{
			{Document: "SA Health, reprocessing of reusable medical devices", Basis: moistheat.Published},
		},
	},
	poweredUnpacked: {
		ID:    "packaging.powered.unpacked",
		Title: "Handpieces and their attachments are packed and labelled before they are sterilized.",
		Why:   "Unpacked they are exposed again as soon as the door opens.",
		Do:    "Pack and label the item and sterilize it again.",
		Says:  "{item} was run without a pack.",
		Asks:  "Was {item} packed? The record does not say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Hold},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "16 CCR 1005 (California), as quoted", Basis: moistheat.Quoted},
		},
	},
	poweredWiped: {
		ID:    "packaging.powered.wiped",
		Title: "Handpieces are cleaned inside and out as their makers say, not only wiped or put into liquid.",
		Why:   "Liquid on the outside does not reach the drives and tubes inside.",
		Do:    "Clean {item} as its maker says, then pack and sterilize it again.",
		Says:  "{item} was only wiped or put into liquid.",
		Asks:  "How was {item} cleaned? The record does not say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Reject},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "CDC statement on reprocessing dental handpieces", Edition: "2018", Basis: moistheat.Published},
		},
	},
	sealDamaged: {
		ID:    "packaging.seal.damaged",
		Title: "The seal has no channel, wrinkle, burn or gap.",
		Why:   "Germs get in through the smallest opening.",
		Do:    "Pack the contents again in new packaging.",
		Says:  "The seal has a channel, wrinkle, burn or gap.",
		Asks:  "Was the seal looked at and found sound? The record does not say.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources: []moistheat.Source{
			{Document: "Trade guide on sealing", Basis: moistheat.Quoted},
			{Document: docRACGP, Locator: locSummary, Basis: moistheat.Published},
		},
	},
	sealNarrow: {
		ID:    "packaging.seal.narrow",
		Title: "The heat seal is wide enough.",
		Why:   "A narrow seal opens under steam pressure and handling.",
		Do:    "Pack the contents again and have the sealer checked.",
		Says:  "The seal is {measured} wide; the least is {limit}.",
		Asks:  "How wide is the heat seal? The record does not say; the least is {limit}.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Reject},
		Since:    "0.1.0",
		Sources:  []moistheat.Source{{Document: "EN 868-5", Edition: "2009", Locator: "4.3.2", Basis: moistheat.Published}},
	},
	sealUntested: {
		ID:    "packaging.seal.untested",
		Title: "The sealer passed a seal test in the last half year and since its last repair or new material.",
		Why:   "A sealer that runs too cold or too hot makes seals that look right and open later.",
		Do:    "Make a test strip, have it pulled, and record the result and the day.",
		Says:  "The sealer's test is overdue: {due}.",
		Asks:  "Is the sealer's test in date? The record does not say {missing}.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "EN 868-5, as quoted", Locator: "half-yearly and after new material, service and repair", Basis: moistheat.Quoted},
		},
	},
	sealWeak: {
		ID:    "packaging.seal.weak",
		Title: "The sealer's seals are strong enough after steam.",
		Why:   "A weak seal opens in the cycle or in storage.",
		Do:    "Take the sealer out of use; hold the packs sealed since its last good test.",
		Says:  "The test seal held {measured}; the least is {limit}.",
		Asks:  "How strong was the last test seal? The record does not say; the least is {limit}.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Hold},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "EN 868-5, as quoted", Basis: moistheat.Quoted},
		},
	},
	sharpExposed: {
		ID:    "packaging.sharp.exposed",
		Title: "A sharp item is not packed in paper alone.",
		Why:   "Points and edges go through paper and open the pack.",
		Do:    "Look for holes; use a cassette, a pouch or a guard that lets steam in next time.",
		Says:  "{item} is sharp and lies in paper alone.",
		Asks:  "Is {item} sharp, and are its points covered? It lies in paper alone.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources:  []moistheat.Source{{Document: docPacking, Edition: "2008", Basis: moistheat.Published}},
	},
	sizeLarge: {
		ID:    "packaging.size.large",
		Title: "A muslin pack is not larger than the guidance says.",
		Why:   "Steam takes too long to the middle of a large pack of cloth.",
		Do:    "Make two smaller packs next time.",
		Says:  "The pack measures {measured} along its {side} side; the advised limit is {limit}.",
		Asks:  "How large is the pack? Its size is not recorded.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities", Edition: "2008", Basis: moistheat.Published},
		},
	},
	spaceShort: {
		ID:    "packaging.space.short",
		Title: "There is room between the contents and the closing seal.",
		Why:   "Contents that push against the seal strain it, and the pouch can not be opened cleanly.",
		Do:    "Use a longer pouch next time.",
		Says:  "The contents end {measured} from the closing seal; the least is {limit}.",
		Asks:  "How much room is there between the contents and the seal? The record does not say; the least is {limit}.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources:  []moistheat.Source{{Document: "DIN 58953-7", Basis: moistheat.Quoted}},
	},
	tubingClosed: {
		ID:    "packaging.tubing.closed",
		Title: "Tubing is open at both ends and has no kink.",
		Why:   "Steam can not push air out through a closed or bent tube.",
		Do:    "Lay the tubing in a wide coil with both ends open and sterilize it again.",
		Says:  "{item} is kinked or closed.",
		Asks:  "Does {item} lie open, without a kink? The record does not say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Reject},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "equipment makers' instructions", Basis: moistheat.Quoted},
		},
	},
	tubingImpure: {
		ID:    "packaging.tubing.impure",
		Title: "Tubing is rinsed last with pure water.",
		Why:   "What tap water leaves in a tube stays there and can carry germs and stains.",
		Do:    "Rinse with distilled or demineralised water and pack again.",
		Says:  "{item} was rinsed with {water} water last.",
		Asks:  "What was {item} rinsed with last? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "equipment makers' instructions", Basis: moistheat.Quoted},
			{Document: docPractice, Locator: "pure water", Basis: moistheat.CommonPractice},
		},
	},
	unwrappedStored: {
		ID:    "packaging.unwrapped.stored",
		Title: "A critical item that was sterilized without a pack is used at once, not stored.",
		Why:   "Nothing keeps it sterile once it leaves the chamber.",
		Do:    "Pack the item and sterilize it again.",
		Says:  "{item} is critical, has no pack and is kept for later.",
		Asks:  "Is {item} used at once? It is critical and has no pack.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Reject},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources: []moistheat.Source{
			{Document: docDental, Edition: "2003", Locator: "E.7", Basis: moistheat.Recalled},
		},
	},
	wrapHurried: {
		ID:    "packaging.wrap.hurried",
		Title: "Two loose sheets are folded one after the other.",
		Why:   "Folded together they leave one path for germs straight through to the contents.",
		Do:    "Wrap again, one sheet after the other, or use a bonded double sheet.",
		Says:  "Two loose sheets were folded in one step.",
		Asks:  "In how many steps was the pack wrapped? The record does not say.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Hold},
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "Study guide for central service staff", Basis: moistheat.Quoted},
		},
	},
	wrapSingle: {
		ID:    "packaging.wrap.single",
		Title: "Where a wrap needs two sheets it has two, or one bonded double sheet.",
		Why:   "One thin sheet does not keep germs out for long.",
		Do:    "Wrap again in two sheets or a bonded one.",
		Says:  "The pack has one loose sheet where its wrap needs two.",
		Asks:  "How many sheets is the pack wrapped in, and are two needed? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "Trade article on wraps", Basis: moistheat.Quoted},
		},
	},
	wrapUnwashed: {
		ID:    "packaging.wrap.unwashed",
		Title: "A cloth wrap was washed and looked over since its last use.",
		Why:   "Dirt, holes and pressed threads let germs through.",
		Do:    "Wash the cloth, hold it against the light, and pack again.",
		Says:  "The cloth was not washed and looked over.",
		Asks:  "Was the cloth washed and looked over? The record does not say.",

		Severity: moistheat.Caution,
		Since:    "0.1.0",
		Sources: []moistheat.Source{
			{Document: "Study guide for central service staff", Basis: moistheat.Quoted},
		},
	},
}
