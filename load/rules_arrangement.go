package load

import "example.com/moistheat"

// Mass and arrangement.
var (
	capacityOver = moistheat.Rule{
		ID: "load.capacity.over", Since: "0.1.0",
		Title:    "The load weighs no more than the sterilizer's maker allows.",
		Why:      "Too much metal makes too much water; packs come out wet and slow to heat.",
		Do:       "Split the load.",
		Says:     "The load weighs {measured}; the maker allows {limit}.",
		Asks:     "The mass of {what} is not recorded, so the load can not be weighed against the maker's limit.",
		Severity: moistheat.Fault, Broken: rejectLoad, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docUKDental, Edition: "2023", Basis: moistheat.Published},
		},
	}
	validationOver = moistheat.Rule{
		ID: "load.validation.over", Since: "0.1.0",
		Title:    "The load weighs no more than the load that was validated.",
		Why:      "Nobody has shown that a heavier load is sterilized and dried.",
		Do:       "Hold the load; split it, or have the heavier load validated.",
		Says:     "The load weighs {measured}; the validated load weighed {limit}.",
		Asks:     "The mass of {what} is not recorded, so the load can not be weighed against the validated load.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "loading the steriliser", Basis: moistheat.Published},
		},
	}
	arrangementStacked = moistheat.Rule{
		ID: "load.arrangement.stacked", Since: "0.1.0",
		Title:    "Packs lie in one layer, none on another.",
		Why:      "Steam does not get between packs that lie on each other, and they stay wet.",
		Do:       "Sterilize the stacked packs again, on edge or in one layer.",
		Says:     "This pack lay on {on}.",
		Asks:     "It is not recorded how the pack lay.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docOSAP, Basis: moistheat.Published},
		},
	}
	arrangementFilm = moistheat.Rule{
		ID: "load.arrangement.film", Since: "0.1.0",
		Title:    "A pouch that lies flat has its film up and its paper down.",
		Why:      "Water collects on film and the pouch stays wet.",
		Do:       "Turn the pouches, unless the sterilizer's own instructions say otherwise.",
		Says:     "The pouch lay flat with its film down.",
		Asks:     "It is not recorded which way the film looked.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docOSAP, Basis: moistheat.Published},
		},
	}
	arrangementWall = moistheat.Rule{
		ID: "load.arrangement.wall", Since: "0.1.0",
		Title:    "No pack touches the chamber wall.",
		Why:      "Packs that touch the wall are scorched or wetted.",
		Do:       "Leave a gap to the wall.",
		Says:     "The pack touched the chamber wall.",
		Asks:     "It is not recorded whether the pack touched the wall.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: "Malaysia Ministry of Health, sterilization guideline", Locator: "loading", Basis: moistheat.Published},
			{Document: docMakers, Basis: moistheat.Quoted},
		},
	}
	arrangementGap = moistheat.Rule{
		ID: "load.arrangement.gap", Since: "0.1.0",
		Title:    "Packs on a tray stand at least a quarter of an inch apart.",
		Why:      "Steam needs room to pass between packs.",
		Do:       "Take packs out until there is room between them.",
		Says:     "The nearest pack was {measured} away; leave at least {limit}.",
		Asks:     "The gap to the next pack is not recorded.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	arrangementOpening = moistheat.Rule{
		ID: "load.arrangement.opening", Since: "0.1.0",
		Title:    "Bowls, cups and other hollowware stand open side down or on edge.",
		Why:      "An opening that looks up holds air before and water after the cycle.",
		Do:       "Turn the item and sterilize it again.",
		Says:     "The hollowware in this pack stood with its opening up.",
		Asks:     "It is not recorded which way the hollowware's opening looked.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docMakers, Basis: moistheat.Quoted},
		},
	}
	arrangementDripping = moistheat.Rule{
		ID: "load.arrangement.dripping", Since: "0.1.0",
		Title:    "Unwrapped goods do not lie above wrapped ones.",
		Why:      "Water drips from them and wets the packs below.",
		Do:       "Sterilize the packs below again; put unwrapped goods underneath.",
		Says:     "Unwrapped goods lay above wrapped packs.",
		Asks:     "It is not recorded whether the unwrapped goods lay above wrapped packs.",
		Severity: moistheat.Fault, Broken: rejectLoad, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "loading the steriliser", Basis: moistheat.Published},
		},
	}
	arrangementMixed = moistheat.Rule{
		ID: "load.arrangement.mixed", Since: "0.1.0",
		Title:    "Wrapped and unwrapped goods do not share a load.",
		Why:      "They need different drying, and one wets the other.",
		Do:       "Run them apart.",
		Says:     "The load has wrapped and unwrapped goods.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "loading the steriliser", Basis: moistheat.Published},
		},
	}
)
