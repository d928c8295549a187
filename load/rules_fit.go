package load

import "example.com/moistheat"

// What may run in which cycle.
var (
	fitPacked = moistheat.Rule{
		ID: "load.fit.packed", Since: "0.1.0",
		Title:    "Packed goods run only in a cycle that may carry packs.",
		Why:      "Without vacuum, air stays in the pack and the pack stays wet.",
		Do:       "Sterilize the pack again in a cycle declared for packed goods.",
		Says:     "This pack is wrapped or pouched and the cycle carries unwrapped goods only.",
		Asks:     "The record does not say whether the cycle may carry packs.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack,
		Sources: []moistheat.Source{
			{Document: docEN13060, Locator: "cycle types", Basis: moistheat.Quoted},
		},
	}
	fitUndeclared = moistheat.Rule{
		ID: "load.fit.undeclared", Since: "0.1.0",
		Title:    "The record says of which type the cycle is: B, N or S.",
		Why:      "What a small sterilizer may carry follows from the type of its cycle.",
		Do:       "Look the cycle's type up in the sterilizer's instructions and record it.",
		Says:     "The record does not say of which type the cycle is.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: holdLoad,
		Sources: []moistheat.Source{
			{Document: docEN13060, Locator: "cycle types", Basis: moistheat.Quoted},
		},
	}
	fitNarrow = moistheat.Rule{
		ID: "load.fit.narrow", Since: "0.1.0",
		Title:    "Items with a long or narrow lumen, powered handpieces among them, run only in a cycle that draws the air out.",
		Why:      "In cycles without vacuum every handpiece that was measured inside stayed too cold, although most indicators passed.",
		Do:       "Sterilize the item again in a cycle proven for lumens.",
		Says:     "{item} has a long or narrow lumen ({class}); a cycle with {cycle} can not be relied on to push the air out of it.",
		Asks:     "{item}: {why}.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack,
		Sources: []moistheat.Source{
			{Document: docWinter, Edition: "2017", Basis: moistheat.Published},
			{Document: docEN13060, Locator: "cycle types", Basis: moistheat.Quoted},
		},
	}
	fitWide = moistheat.Rule{
		ID: "load.fit.wide", Since: "0.1.0",
		Title:    "Items with a short, wide lumen run only in a cycle declared for them.",
		Why:      "A cycle for solid goods is not tested with hollow ones.",
		Do:       "Sterilize the item again in a cycle declared for hollow goods.",
		Says:     "{item} has a short, wide lumen ({class}); a cycle with {cycle} is not declared for it.",
		Asks:     "It is not recorded whether the cycle may carry {item} ({class}).",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack,
		Sources: []moistheat.Source{
			{Document: docEN13060, Locator: "cycle types", Basis: moistheat.Quoted},
		},
	}
	fitBeyond = moistheat.Rule{
		ID: "load.fit.beyond", Since: "0.1.0",
		Title:    "A lumen longer or narrower than any cycle is proven for runs only as its maker's instructions say.",
		Why:      "No cycle type is tested for such a lumen.",
		Do:       "Follow the item maker's instructions, or have the process validated for this item.",
		Says:     "The lumen of {item} is outside what any cycle type is proven for, and its instructions do not name this cycle.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack,
		Sources: []moistheat.Source{
			{Document: docEN13060, Edition: "2004", Locator: "hollow load limits", Basis: moistheat.Quoted},
		},
	}
	fitPorous = moistheat.Rule{
		ID: "load.fit.porous", Since: "0.1.0",
		Title:    "Textiles and other porous goods run only in a cycle that may carry them.",
		Why:      "Air trapped in layers keeps the steam out.",
		Do:       "Sterilize the item again in a cycle declared for porous goods.",
		Says:     "{item} is porous and the cycle is not declared for porous goods.",
		Asks:     "The record does not say whether the cycle may carry porous goods.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack,
		Sources: []moistheat.Source{
			{Document: docEN13060, Locator: "cycle types", Basis: moistheat.Quoted},
		},
	}
	fitContainer = moistheat.Rule{
		ID: "load.fit.container", Since: "0.1.0",
		Title:    "A rigid container runs only in a cycle that removes air as the container needs.",
		Why:      "Seventy-two patients were traced after containers ran in a cycle without vacuum.",
		Do:       "Sterilize the set again in a cycle with vacuum, or as the container's maker says.",
		Says:     "A rigid container ran in a cycle with {cycle}, which does not remove the air from it.",
		Asks:     "It is not recorded whether the cycle, one with {cycle}, removes air as the container needs.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack,
		Sources: []moistheat.Source{
			{Document: "Ohio hospital incident, Antimicrobial Resistance and Infection Control", Edition: "2014", Basis: moistheat.Published},
		},
	}
	fitNone = moistheat.Rule{
		ID: "load.fit.none", Since: "0.1.0",
		Title:    "The cycle suits at least part of the load.",
		Why:      "If nothing in the load belongs in the cycle, the wrong cycle was chosen; no indicator can make up for that.",
		Do:       "Reject the whole load, find out why this cycle was chosen, and sterilize everything again in one that suits.",
		Says:     "A cycle with {cycle} suits nothing in this load.",
		Asks:     "It can not be shown that a cycle with {cycle} suits anything in this load.",
		Severity: moistheat.Fault, Broken: rejectLoad, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docWinter, Edition: "2017", Basis: moistheat.Published},
			{Document: "Ohio hospital incident, Antimicrobial Resistance and Infection Control", Edition: "2014", Basis: moistheat.Published},
			{Document: docEN13060, Locator: "cycle types", Basis: moistheat.Quoted},
		},
	}
	sterilizerLimited = moistheat.Rule{
		ID: "load.sterilizer.limited", Since: "0.1.0",
		Title:    "The sterilizer has cycles of type B.",
		Why:      "Austria lets practices use no other small sterilizer once the transition has ended.",
		Do:       "Hold the load; sterilize it in a unit with cycles of type B.",
		Says:     "The sterilizer has no cycle of type B.",
		Asks:     "It is not recorded whether the sterilizer has a cycle of type B.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: "Austrian rule on small sterilizers, as quoted", Locator: "type B required, transition to May 2028", Basis: moistheat.Quoted},
		},
	}
	codeContrary = moistheat.Rule{
		ID: "load.code.contrary", Since: "0.1.0",
		Title:    "The code of the cycle in a message fits the goods: FLS is for goods without a pack, EXP for packed ones.",
		Why:      "A code that contradicts the load shows a wrong cycle or a wrong record.",
		Do:       "Look at the sterilizer's own record for the cycle that ran; correct the record or sterilize the load again.",
		Says:     "The cycle is recorded as {code} and the load has {goods}.",
		Asks:     "The cycle is recorded as {code}, and it is not recorded whether the goods are packed.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: "HL7 version 2", Locator: "table 0702, cycle type", Basis: moistheat.Published},
		},
	}
	textileUnconfirmed = moistheat.Rule{
		ID: "load.textile.unconfirmed", Since: "0.1.0",
		Title:    "Textiles run only in a cycle that their maker confirms.",
		Why:      "Cloth holds air and water; not every weave lets steam through in every cycle.",
		Do:       "Ask the maker of {item} which cycles it is made for and record the answer.",
		Says:     "The maker of {item} does not name this cycle.",
		Asks:     "It is not recorded whether the maker of {item} confirms this cycle.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	fitInstructions = moistheat.Rule{
		ID: "load.fit.instructions", Since: "0.1.0",
		Title:    "The cycle satisfies the item maker's instructions.",
		Why:      "The maker knows what the item stands and what sterilizes it.",
		Do:       "Sterilize the item again as its instructions say; if it was too hot, have it checked.",
		Says:     "{item}: the instructions ask for {asked}; the cycle had {had}.",
		Asks:     "{item}: the instructions ask for {asked}; the cycle record does not show it.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	pouchEnclosed = moistheat.Rule{
		ID: "load.pouch.enclosed", Since: "0.1.0",
		Title:    "No pouch lies inside a rigid container.",
		Why:      "The pouch keeps steam and air from moving inside the container.",
		Do:       "Sterilize the item again: in the container without its pouch, or in its pouch outside the container.",
		Says:     "This pouch lay inside the rigid container {container}.",
		Asks:     "This pouch lay inside {container}, and no pack of the record is called that.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: "trade article on peel pouches", Basis: moistheat.Quoted},
		},
	}
)
