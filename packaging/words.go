package packaging

// Barrier is what lies between the contents of a pack and the world, by the
// standard that describes it. The zero Barrier means not recorded.
type Barrier string

const (
	// Unwrapped: no barrier.
	Unwrapped Barrier = "none"
	// WrapSheet: single-use sheet of paper, crepe or nonwoven (EN 868-2).
	WrapSheet Barrier = "wrap"
	// TextileWrap: reusable textile sheet (EN 868-2, 4.2.2.4).
	TextileWrap Barrier = "textile wrap"
	// PaperBag: bag of paper on all sides (EN 868-4, from EN 868-3 paper).
	PaperBag Barrier = "paper bag"
	// PaperFilmPouch: pouch or reel of one porous and one film side (EN 868-5).
	PaperFilmPouch Barrier = "paper-film pouch"
	// RigidContainer: reusable container with filter or valve (EN 868-8).
	RigidContainer Barrier = "rigid container"
	// LowTemperaturePaper: paper for low-temperature processes (EN 868-6).
	LowTemperaturePaper Barrier = "low-temperature paper"
	// CoatedPaper: adhesive-coated paper for low-temperature processes (EN 868-7).
	CoatedPaper Barrier = "adhesive-coated paper"
	// FlashSpunPouch: pouch with a flash-spun polyolefin side (EN 868-9, -10).
	FlashSpunPouch Barrier = "flash-spun pouch"
	// NylonSleeve: sleeve of nylon film.
	NylonSleeve Barrier = "nylon sleeve"
	// Foil: metal foil.
	Foil Barrier = "foil"
	// ClosedVessel: box, jar or bottle of metal or glass that lets no steam in.
	ClosedVessel Barrier = "closed vessel"
	// OtherBarrier: anything else; its manufacturer must state it as fit for steam.
	OtherBarrier Barrier = "other"
)

// SealMethod is how a pack was closed. The zero SealMethod means not recorded.
type SealMethod string

const (
	// HeatSeal: welded by heat.
	HeatSeal SealMethod = "heat"
	// SelfSeal: folded over and closed with its own adhesive strip.
	SelfSeal SealMethod = "self-adhesive"
	// Tape: closed with indicator or packing tape.
	Tape SealMethod = "tape"
	// Lock: the latches of a container.
	Lock SealMethod = "lock"
	// Fastener: staple, pin, paper clip or anything else that pierces or pinches.
	Fastener SealMethod = "fastener"
	// OtherSeal: anything else.
	OtherSeal SealMethod = "other"
)

// IndicatorPlace is where an indicator is. The zero IndicatorPlace means not recorded.
type IndicatorPlace string

const (
	// External: on the outside of the pack, printed on it included.
	External IndicatorPlace = "external"
	// Internal: among the contents.
	Internal IndicatorPlace = "internal"
)

// IndicatorResult is how a chemical indicator was read. The zero IndicatorResult
// means that nobody has read it.
type IndicatorResult string

const (
	// Reached: the whole indicator shows its endpoint.
	Reached IndicatorResult = "reached"
	// NotReached: it does not, or does so in part.
	NotReached IndicatorResult = "not reached"
)

// Class is the risk class of an item by Spaulding. The zero Class means not recorded.
type Class string

const (
	// Critical: goes through tissue or into bone.
	Critical Class = "critical"
	// Semicritical: touches mucosa.
	Semicritical Class = "semicritical"
	// Noncritical: touches skin only.
	Noncritical Class = "noncritical"
)

// Trait is something about an item that decides how it must be prepared. The zero
// Trait means not recorded.
type Trait string

const (
	// Hinged: has a hinge, box lock or ratchet.
	Hinged Trait = "hinged"
	// MultiPart: its manufacturer wants it taken apart or loosened.
	MultiPart Trait = "multi-part"
	// Hollow: has a bore, channel or tube; its Lumens give the sizes.
	Hollow Trait = "hollow"
	// Hollowware: a bowl, dish, cup or canister.
	Hollowware Trait = "hollowware"
	// Porous: foam, gauze or another body that holds air.
	Porous Trait = "porous"
	// Textile: cloth, such as drapes and gowns.
	Textile Trait = "textile"
	// Sharp: has a point or an edge that can pierce packaging.
	Sharp Trait = "sharp"
	// Powered: driven by air or motor, such as a handpiece.
	Powered Trait = "powered"
	// SingleUse: marked by its manufacturer for one use.
	SingleUse Trait = "single-use"
	// Implant: stays in the body.
	Implant Trait = "implant"
	// Tubing: a flexible tube.
	Tubing Trait = "tubing"
	// SinglePatient: marked by its manufacturer for one patient.
	SinglePatient Trait = "single-patient"
	// ImplantInstrument: used to place implants.
	ImplantInstrument Trait = "implant instrument"
)

// ImplantKind is what an item is that stays in the body. The zero ImplantKind is any other item.
type ImplantKind string

const (
	// DentalImplant: screwed into the jaw to carry a tooth.
	DentalImplant ImplantKind = "dental implant"
	// AnchorageDevice: a small screw in the jaw that teeth are moved against.
	AnchorageDevice ImplantKind = "anchorage device"
	// BoneScrew: holds bone, a graft or a membrane.
	BoneScrew ImplantKind = "bone screw"
	// BonePlate: bridges a break.
	BonePlate ImplantKind = "bone plate"
	// Staple: closes a wound or holds bone.
	Staple ImplantKind = "staple"
)

// Material is what an item is made of. The zero Material means not recorded.
type Material string

const (
	// StainlessSteel and the rest are the usual materials of reusable devices.
	StainlessSteel  Material = "stainless steel"
	CarbonSteel     Material = "carbon steel"
	ChromePlated    Material = "chrome-plated" // chromium on steel or brass
	Aluminium       Material = "aluminium"
	Brass           Material = "brass" // brass and copper
	Titanium        Material = "titanium"
	TungstenCarbide Material = "tungsten carbide"
	Plastic         Material = "plastic"
	Rubber          Material = "rubber" // rubber and silicone
	Glass           Material = "glass"
	Cloth           Material = "cloth"
	Paper           Material = "paper" // paper and gauze
	OtherMaterial   Material = "other"
)

// CleaningMethod is how an item was cleaned, by the last full step. The zero
// CleaningMethod means not recorded.
type CleaningMethod string

const (
	// WasherDisinfector: an automatic washer with thermal disinfection.
	WasherDisinfector CleaningMethod = "washer-disinfector"
	// Ultrasonic: an ultrasonic bath.
	Ultrasonic CleaningMethod = "ultrasonic"
	// Manual: by hand.
	Manual CleaningMethod = "manual"
	// OtherCleaning: anything else, such as a device that cleans handpieces.
	OtherCleaning CleaningMethod = "other"
	// Wiping: with a cloth and nothing more.
	Wiping CleaningMethod = "wiping"
	// Immersion: put into liquid and nothing more.
	Immersion CleaningMethod = "immersion"
)

// RinseWater is what an item was rinsed with last. The zero RinseWater means not
// recorded.
type RinseWater string

const (
	// TapWater: as it comes out of the wall.
	TapWater RinseWater = "tap"
	// SoftenedWater: with its hardness exchanged for sodium.
	SoftenedWater RinseWater = "softened"
	// PureWater: distilled, demineralised or from reverse osmosis.
	PureWater RinseWater = "pure"
)

// LabelPlace is where a pack is marked. The zero LabelPlace means not recorded.
type LabelPlace string

const (
	// OnFilm: on the film side.
	OnFilm LabelPlace = "film"
	// OnMargin: outside the seals.
	OnMargin LabelPlace = "margin"
	// OnTag: on tape, a label or a tag.
	OnTag LabelPlace = "tag"
	// OnPaper: on paper or wrap over the contents.
	OnPaper LabelPlace = "paper over contents"
)

// Use is when a pack is to be used. The zero Use means not recorded.
type Use string

const (
	// Immediate: as soon as the cycle ends.
	Immediate Use = "immediate"
	// Later: it is kept until it is needed.
	Later Use = "later"
)

// Reason is why a pack was run for immediate use. The zero Reason means not
// recorded.
type Reason string

const (
	// Urgent: an emergency, such as a dropped instrument that has no substitute.
	Urgent Reason = "emergency"
	// Shortage: too few instruments.
	Shortage Reason = "shortage"
	// Convenience: it was quicker.
	Convenience Reason = "convenience"
)
