package load

import "example.com/moistheat"

// Mass and arrangement.
var (
	capacityOver = moistheat.Rule{
		ID: "load.capacity.over", Since: "0.1.0",
		Title:    "The load weighs no more than the sterilizer's maker allows.",
		Why:      "Too much metal heats slowly and makes too much water; packs come out wet.",
		Do:       "Split the load.",
		Says:     "The load weighs {measured}; the maker allows {limit}.",
		Asks:     "The load can not be weighed against the maker's limit of {limit}: {what} is not recorded.",
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
		Asks:     "The load can not be weighed against the validated load of {limit}: {what} is not recorded.",
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
		Do:       "Turn the pouches film side up, unless the sterilizer's own instructions say otherwise. If the cycle has run, look whether the pouch is dry.",
		Says:     "The pouch lay flat with its film down.",
		Asks:     "It is not recorded which way up the pouch lay.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docOSAP, Basis: moistheat.Published},
		},
	}
	arrangementWall = moistheat.Rule{
		ID: "load.arrangement.wall", Since: "0.1.0",
		Title:    "No pack touches the chamber wall.",
		Why:      "Packs that touch the wall get scorched or wet.",
		Do:       "Move the pack away from the wall. If the cycle has run, look whether the pack is scorched or wet.",
		Says:     "The pack touched the chamber wall.",
		Asks:     "It is not recorded whether the pack touched the wall.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: "Malaysia Ministry of Health, sterilization guideline", Locator: "loading", Basis: moistheat.Published},
			{Document: docMakers, Basis: moistheat.Quoted},
		},
	}
	wallClose = moistheat.Rule{
		ID: "load.wall.close", Since: "0.1.0",
		Title:    "There is room between packs and the chamber wall.",
		Why:      "Steam must pass along the wall, and water runs down it.",
		Do:       "Move the pack inwards, or take packs out.",
		Says:     "The pack was {measured} from the chamber wall; leave at least {limit}.",
		Asks:     "How far the pack was from the chamber wall is not recorded; leave at least {limit}.",
		Severity: moistheat.Note, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: "an equipment maker's guide", Locator: "gap to the chamber wall, one to two inches", Basis: moistheat.Quoted},
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
		Why:      "Hollowware with its opening up holds back air during the cycle and water after it.",
		Do:       "Turn the item and sterilize it again.",
		Says:     "The hollowware in this pack stood with its opening up.",
		Asks:     "It is not recorded which way the opening of the hollowware faced.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docMakers, Basis: moistheat.Quoted},
		},
	}
	arrangementDripping = moistheat.Rule{
		ID: "load.arrangement.dripping", Since: "0.1.0",
		Title:    "Unwrapped goods do not lie above wrapped ones.",
		Why:      "Water drips from unwrapped goods and wets the packs below.",
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
		Do:       "Run wrapped and unwrapped goods in separate loads.",
		Says:     "The load has wrapped and unwrapped goods.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "loading the steriliser", Basis: moistheat.Published},
		},
	}
	arrangementFacing = moistheat.Rule{
		ID: "load.arrangement.facing", Since: "0.1.0",
		Title:    "Pouches on edge stand film to paper: the film of each faces the paper of the next.",
		Why:      "Film against film shuts steam out of both; it passes through paper only.",
		Do:       "Turn the pouches so that each film faces the paper of the next pouch.",
		Says:     "The film of this pouch faced its neighbour's film.",
		Asks:     "It is not recorded what the film of this pouch faced.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docMakers, Basis: moistheat.Quoted},
		},
	}
	arrangementOverlap = moistheat.Rule{
		ID: "load.arrangement.overlap", Since: "0.1.0",
		Title:    "Packs do not cover each other.",
		Why:      "Steam and air do not pass between packs that lie on each other, and they stay wet.",
		Do:       "Take packs out until none covers another.",
		Says:     "{other} covers {measured} of this pack; at most {limit} is allowed.{move}",
		Asks:     "It is not recorded whether the pouch and its neighbour cover each other.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docUKDental, Edition: "2023", Basis: moistheat.Published},
		},
	}
	arrangementHeavy = moistheat.Rule{
		ID: "load.arrangement.heavy", Since: "0.1.0",
		Title:    "Metal sets and hollowware do not lie above cloth.",
		Why:      "Water runs off metal and soaks the cloth below.",
		Do:       "Put metal below and cloth above. If the cycle has run, look whether the cloth is dry.",
		Says:     "Metal lay above cloth.",
		Asks:     "It is not recorded whether the metal lay above cloth.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docMakers, Basis: moistheat.Quoted},
			{Document: "trade article on loading", Basis: moistheat.Quoted},
		},
	}
	containerStacked = moistheat.Rule{
		ID: "load.container.stacked", Since: "0.1.0",
		Title:    "Containers stand on each other only if their maker allows it.",
		Why:      "The lower container can not let its air out or dry while its lid is covered.",
		Do:       "Set the containers side by side.",
		Says:     "This container stood on {on} and its maker does not allow that.",
		Asks:     "It is not recorded whether the maker of the container allows another on it.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: "trade article on loading", Basis: moistheat.Quoted},
		},
	}
	drapeFlat = moistheat.Rule{
		ID: "load.drape.flat", Since: "0.1.0",
		Title:    "Folded cloth stands with its layers upright.",
		Why:      "Air sinks out between upright layers and stays between flat ones.",
		Do:       "Stand cloth packs on edge next time.",
		Says:     "The layers of the cloth lay flat.",
		Asks:     "It is not recorded how the layers of the cloth stood.",
		Severity: moistheat.Note, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docMakers, Basis: moistheat.Quoted},
		},
	}
	rackShared = moistheat.Rule{
		ID: "load.rack.shared", Since: "0.1.0",
		Title:    "A rack holds one pouch in a slot.",
		Why:      "Two pouches in one slot lie on each other.",
		Do:       "Give each pouch a slot of its own.",
		Says:     "This pouch shared slot {slot} with {other}.",
		Asks:     "It is not recorded in which slot of the rack the pouch stood.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docPractice, Locator: "one pouch a slot", Basis: moistheat.CommonPractice},
		},
	}
	chamberFull = moistheat.Rule{
		ID: "load.chamber.full", Since: "0.1.0",
		Title:    "The chamber is not filled beyond what steam can move through.",
		Why:      "A full chamber leaves no way for air out and steam in.",
		Do:       "Take packs out and run them in another load.",
		Says:     "The chamber was filled to {measured}; the rule of thumb is {limit} at most.",
		Asks:     "It is not recorded how far the chamber was filled.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: "an equipment maker's guide", Locator: "fill factor", Basis: moistheat.Quoted},
		},
	}
	dryingShort = moistheat.Rule{
		ID: "load.drying.short", Since: "0.1.0",
		Title:    "Drying is as long as the racks in use ask for: longer with more than two pouch racks or a cassette rack.",
		Why:      "More metal and more layers hold more water.",
		Do:       "Look well whether the packs are dry, and set drying longer for the next load.",
		Says:     "{what}.",
		Asks:     "It is not recorded {open}.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docPractice, Locator: "longer drying with racks", Basis: moistheat.CommonPractice},
		},
	}
	patternNew = moistheat.Rule{
		ID: "load.pattern.new", Since: "0.1.0",
		Title:    "The load is arranged in a pattern that the site has validated.",
		Why:      "Nobody has shown that steam reaches everything in another pattern.",
		Do:       "Hold the load or repeat it in a known pattern; in an emergency use a type 5 or 6 indicator until the pattern is validated.",
		Says:     "The pattern of this load was not validated.",
		Asks:     "It is not recorded whether the pattern of this load was validated.",
		Severity: moistheat.Fault, Broken: holdLoad, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "loading the steriliser", Basis: moistheat.Published},
		},
	}
	tubingDry = moistheat.Rule{
		ID: "load.tubing.dry", Since: "0.1.0",
		Title:    "Tubing is wet inside when it goes into a gravity cycle.",
		Why:      "The water turns to steam and drives the air out; gravity alone can not.",
		Do:       "Rinse the tubing with pure water, leave it wet and sterilize it again.",
		Says:     "{item} was dry inside in a gravity cycle.",
		Asks:     "It is not recorded whether {item} was wet inside.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docMakers, Basis: moistheat.Quoted},
		},
	}
	challengePlace = moistheat.Rule{
		ID: "load.challenge.place", Since: "0.1.0",
		Title:    "The challenge device lies where steam arrives last.",
		Why:      "In an easy place it proves nothing about the others.",
		Do:       "Lay the device where the sterilizer's maker says; that is often low, near the drain.",
		Says:     "The challenge device did not lie in the hardest place.",
		Asks:     "It is not recorded where the challenge device lay.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docCDA, Edition: "2020", Locator: "least accessible place named by the maker", Basis: moistheat.Published},
		},
	}
	purposePacked = moistheat.Rule{
		ID: "load.purpose.packed", Since: "0.1.0",
		Title:    "Packed goods do not run in a cycle for unwrapped goods.",
		Why:      "Such a cycle is too short to get steam into a pack and does not dry it.",
		Do:       "Sterilize the load again in a cycle for packs.",
		Says:     "Packed goods ran in a cycle for unwrapped goods.",
		Asks:     "It is not recorded what the cycle is meant for.",
		Severity: moistheat.Fault, Broken: rejectLoad, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docCDC2003, Edition: "2003", Locator: "E, as taught in a course", Basis: moistheat.Quoted},
		},
	}
	traySolid = moistheat.Rule{
		ID: "load.tray.solid", Since: "0.1.0",
		Title:    "Packs lie on perforated trays.",
		Why:      "A solid tray holds air and water under the packs.",
		Do:       "Sterilize the load again on perforated trays.",
		Says:     "Tray {tray} is solid.",
		Asks:     "It is not recorded whether the trays are perforated.",
		Severity: moistheat.Fault, Broken: rejectLoad, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "loading the steriliser", Basis: moistheat.Published},
		},
	}
	trayForeign = moistheat.Rule{
		ID: "load.tray.foreign", Since: "0.1.0",
		Title:    "Only trays made for the chamber are used.",
		Why:      "Others block the steam's way or touch the wall.",
		Do:       "Use the trays that belong to the sterilizer.",
		Says:     "Tray {tray} was not made for this chamber.",
		Asks:     "It is not recorded whether tray {tray} was made for this chamber.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	trayBare = moistheat.Rule{
		ID: "load.tray.bare", Since: "0.1.0",
		Title:    "Unwrapped goods lie on an absorbent liner.",
		Why:      "The liner takes up water and keeps metals apart.",
		Do:       "Lay a liner on the tray.",
		Says:     "The unwrapped goods lay on the bare tray.",
		Asks:     "It is not recorded whether the unwrapped goods lay on a liner.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	trayTouching = moistheat.Rule{
		ID: "load.tray.touching", Since: "0.1.0",
		Title:    "Unwrapped instruments lie in one layer and do not touch.",
		Why:      "Where metal touches metal no steam gets to the surface.",
		Do:       "Spread the instruments out.",
		Says:     "The unwrapped instruments lay on each other or touched.",
		Asks:     "It is not recorded whether the unwrapped instruments touched.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docUKDental, Edition: "2023", Locator: "one layer, none touching", Basis: moistheat.Published},
		},
	}
	trayOverhang = moistheat.Rule{
		ID: "load.tray.overhang", Since: "0.1.0",
		Title:    "Nothing stands out over the rim of the tray.",
		Why:      "What stands out touches the wall or a neighbour and can fall.",
		Do:       "Move the pack inside the rim, or use fewer packs.",
		Says:     "The pack stands out over the rim of tray {tray} by {measured}.",
		Asks:     "The place of the pack on its tray, its size or the tray's size is not recorded.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	trayAbove = moistheat.Rule{
		ID: "load.tray.above", Since: "0.1.0",
		Title:    "Nothing reaches the tray above.",
		Why:      "A pack pressed against a tray gets no steam there and stays wet.",
		Do:       "Lay the pack lower or take the tray above out.",
		Says:     "The pack {how} above it.",
		Asks:     "The height of the pack or of the trays is not recorded.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docPractice, Basis: moistheat.CommonPractice},
		},
	}
	trayGap = moistheat.Rule{
		ID: "load.tray.gap", Since: "0.1.0",
		Title:    "There is about an inch between a tray and the next above it.",
		Why:      "Steam needs room to pass between trays.",
		Do:       "Use fewer trays, or another rack.",
		Says:     "Between tray {tray} and tray {other} above it there is {measured}; leave at least {limit}.",
		Asks:     "The heights of the trays are not recorded.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docMakers, Locator: "gap between trays and cassettes", Basis: moistheat.Quoted},
		},
	}
)
