package packaging

import (
	"slices"

	"example.com/moistheat"
)

// The rules of this package, by their place in the list, which is sorted by ID.
const (
	assemblyClosed = iota
	barrierExpired
	barrierReused
	barrierUnfit
	closurePierced
	contentsMixed
	contentsUnlisted
	fillExcessive
	hingeClosed
	implantUnwrapped
	indicatorExternal
	indicatorInternal
	indicatorVoid
	itemSingleUse
	itemUnclassified
	itemUncleaned
	itemUninspected
	itemWet
	labelIncomplete
	layersFacing
	layersFolded
	layersSize
	layersUnvalidated
	lumenUnmeasured
	massHigh
	massOver
	sealDamaged
	sealNarrow
	sharpExposed
	spaceShort
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
	docRACGP   = "RACGP infection prevention and control guidelines"
	docDental  = "CDC Guidelines for Infection Control in Dental Health-Care Settings"
	docPacking = "CDC dental infection control questions and answers, packaging and storing"
	docST79    = "ANSI/AAMI ST79"
	docPeel    = "Trade article on peel pouches"

	locPreparing = "reprocessing, preparing the load for sterilising"
	locSummary   = "reprocessing, summary of steps"
)

var rules = [ruleCount]moistheat.Rule{
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
		Sources:  []moistheat.Source{{Document: "Common practice in reprocessing", Basis: moistheat.CommonPractice}},
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
	closurePierced: {
		ID:    "packaging.closure.pierced",
		Title: "No staple, pin or paper clip holds the pack closed.",
		Why:   "They make holes, and a clipped fold is not a seal; germs get in.",
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
		Sources:  []moistheat.Source{{Document: "Common practice in reprocessing", Basis: moistheat.CommonPractice}},
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
	lumenUnmeasured: {
		ID:    "packaging.lumen.unmeasured",
		Title: "Length, bore and open ends of every lumen are known.",
		Why:   "They decide which cycle can draw the air out of the item.",
		Do:    "Measure the lumen or look it up in the item's instructions; until then use a cycle for hollow A.",
		Says:  "The sizes of a lumen of {item} are not known.",
		Asks:  "How long and wide is the lumen of {item}, and how many ends are open? Until somebody says, treat it as hollow A.",

		Severity:     moistheat.Fault,
		Broken:       moistheat.Effect{Pack: moistheat.Hold},
		Undetermined: moistheat.Effect{Pack: moistheat.Hold},
		Since:        "0.1.0",
		Sources:      []moistheat.Source{{Document: "Common practice in reprocessing", Basis: moistheat.CommonPractice}},
	},
	massHigh: {
		ID:    "packaging.mass.high",
		Title: "The pack is not heavier than the guidance advises.",
		Why:   "A heavy pack makes much water out of steam and may come out wet.",
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
		Why:   "A set that is too heavy makes too much water out of steam, comes out wet and hurts those who lift it.",
		Do:    "Split the set into two packs and sterilize both again.",
		Says:  "The set weighs {measured}; the limit is {limit}.",
		Asks:  "How heavy is the set with its packaging? The record does not say; the limit is {limit}.",

		Severity: moistheat.Fault,
		Broken:   moistheat.Effect{Pack: moistheat.Reject},
		Since:    "0.1.0",
		Sources:  []moistheat.Source{{Document: "ANSI/AAMI ST77", Locator: "4.3.5", Basis: moistheat.Quoted}},
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
}
