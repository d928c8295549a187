package packaging

import "example.com/moistheat/internal/enum"

// Barrier is what lies between the contents of a pack and the world, by the
// standard that describes it. The zero Barrier is invalid.
type Barrier uint8

const (
	// Unwrapped: no barrier.
	Unwrapped Barrier = iota + 1
	// WrapSheet: single-use sheet of paper, crepe or nonwoven (EN 868-2).
	WrapSheet
	// TextileWrap: reusable textile sheet (EN 868-2, 4.2.2.4).
	TextileWrap
	// PaperBag: bag of paper on all sides (EN 868-4, from EN 868-3 paper).
	PaperBag
	// PaperFilmPouch: pouch or reel of one porous and one film side (EN 868-5).
	PaperFilmPouch
	// RigidContainer: reusable container with filter or valve (EN 868-8).
	RigidContainer
	// LowTemperaturePaper: paper for low-temperature processes (EN 868-6).
	LowTemperaturePaper
	// CoatedPaper: adhesive-coated paper for low-temperature processes (EN 868-7).
	CoatedPaper
	// FlashSpunPouch: pouch with a flash-spun polyolefin side (EN 868-9, -10).
	FlashSpunPouch
	// NylonSleeve: sleeve of nylon film.
	NylonSleeve
	// Foil: metal foil.
	Foil
	// ClosedVessel: box, jar or bottle of metal or glass that lets no steam in.
	ClosedVessel
	// OtherBarrier: anything else; its maker must state it as fit for steam.
	OtherBarrier
)

var barrierNames = [...]string{"", "none", "wrap", "textile wrap", "paper bag", "paper-film pouch",
	"rigid container", "low-temperature paper", "adhesive-coated paper", "flash-spun pouch", "nylon sleeve",
	"foil", "closed vessel", "other"}

// String returns the barrier as it is written in JSON, such as "paper-film pouch".
func (b Barrier) String() string { return enum.String(barrierNames[:], b) }

// MarshalText implements [encoding.TextMarshaler].
func (b Barrier) MarshalText() ([]byte, error) { return enum.Marshal(barrierNames[:], b) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (b *Barrier) UnmarshalText(text []byte) error { return enum.Unmarshal(barrierNames[:], b, text) }

// SealMethod is how a pack was closed. The zero SealMethod is invalid.
type SealMethod uint8

const (
	// HeatSeal: welded by heat.
	HeatSeal SealMethod = iota + 1
	// SelfSeal: folded over and closed with its own adhesive strip.
	SelfSeal
	// Tape: closed with indicator or packing tape.
	Tape
	// Lock: the latches of a container.
	Lock
	// Fastener: staple, pin, paper clip or anything else that pierces or pinches.
	Fastener
	// OtherSeal: anything else.
	OtherSeal
)

var sealNames = [...]string{"", "heat", "self-adhesive", "tape", "lock", "fastener", "other"}

// String returns the method as it is written in JSON, such as "self-adhesive".
func (m SealMethod) String() string { return enum.String(sealNames[:], m) }

// MarshalText implements [encoding.TextMarshaler].
func (m SealMethod) MarshalText() ([]byte, error) { return enum.Marshal(sealNames[:], m) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (m *SealMethod) UnmarshalText(text []byte) error { return enum.Unmarshal(sealNames[:], m, text) }

// IndicatorPlace is where an indicator is. The zero IndicatorPlace is invalid.
type IndicatorPlace uint8

const (
	// External: on the outside of the pack, printed on it included.
	External IndicatorPlace = iota + 1
	// Internal: among the contents.
	Internal
)

var placeNames = [...]string{"", "external", "internal"}

// String returns the place as it is written in JSON.
func (p IndicatorPlace) String() string { return enum.String(placeNames[:], p) }

// MarshalText implements [encoding.TextMarshaler].
func (p IndicatorPlace) MarshalText() ([]byte, error) { return enum.Marshal(placeNames[:], p) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (p *IndicatorPlace) UnmarshalText(text []byte) error {
	return enum.Unmarshal(placeNames[:], p, text)
}

// IndicatorResult is how a chemical indicator was read. The zero IndicatorResult
// means that nobody has read it.
type IndicatorResult uint8

const (
	// Reached: the whole indicator shows its endpoint.
	Reached IndicatorResult = iota + 1
	// NotReached: it does not, or does so in part.
	NotReached
)

var resultNames = [...]string{"", "reached", "not reached"}

// String returns the result as it is written in JSON.
func (r IndicatorResult) String() string { return enum.String(resultNames[:], r) }

// MarshalText implements [encoding.TextMarshaler].
func (r IndicatorResult) MarshalText() ([]byte, error) { return enum.Marshal(resultNames[:], r) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (r *IndicatorResult) UnmarshalText(text []byte) error {
	return enum.Unmarshal(resultNames[:], r, text)
}

// Class is the risk class of an item by Spaulding. The zero Class is invalid.
type Class uint8

const (
	// Critical: goes through tissue or into bone.
	Critical Class = iota + 1
	// Semicritical: touches mucosa.
	Semicritical
	// Noncritical: touches skin only.
	Noncritical
)

var classNames = [...]string{"", "critical", "semicritical", "noncritical"}

// String returns the class as it is written in JSON.
func (c Class) String() string { return enum.String(classNames[:], c) }

// MarshalText implements [encoding.TextMarshaler].
func (c Class) MarshalText() ([]byte, error) { return enum.Marshal(classNames[:], c) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (c *Class) UnmarshalText(text []byte) error { return enum.Unmarshal(classNames[:], c, text) }

// Trait is something about an item that decides how it must be prepared. The zero
// Trait is invalid.
type Trait uint8

const (
	// Hinged: has a hinge, box lock or ratchet.
	Hinged Trait = iota + 1
	// MultiPart: its maker wants it taken apart or loosened.
	MultiPart
	// Hollow: has a bore, channel or tube; its Lumens give the sizes.
	Hollow
	// Hollowware: a bowl, dish, cup or canister.
	Hollowware
	// Porous: foam, gauze or another body that holds air.
	Porous
	// Textile: cloth, such as drapes and gowns.
	Textile
	// Sharp: has a point or an edge that can pierce packaging.
	Sharp
	// Powered: driven by air or motor, such as a handpiece.
	Powered
	// SingleUse: marked by its maker for one use.
	SingleUse
	// Implant: stays in the body.
	Implant
	// Tubing: a flexible tube.
	Tubing
	// SinglePatient: marked by its maker for one patient.
	SinglePatient
	// ImplantInstrument: used to place implants.
	ImplantInstrument
)

var traitNames = [...]string{"", "hinged", "multi-part", "hollow", "hollowware", "porous", "textile", "sharp",
	"powered", "single-use", "implant", "tubing", "single-patient", "implant instrument"}

// String returns the trait as it is written in JSON, such as "multi-part".
func (t Trait) String() string { return enum.String(traitNames[:], t) }

// MarshalText implements [encoding.TextMarshaler].
func (t Trait) MarshalText() ([]byte, error) { return enum.Marshal(traitNames[:], t) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (t *Trait) UnmarshalText(text []byte) error { return enum.Unmarshal(traitNames[:], t, text) }

// Kind is what an item is that stays in the body. The zero Kind is any other item.
type Kind uint8

const (
	// DentalImplant: screwed into the jaw to carry a tooth.
	DentalImplant Kind = iota + 1
	// AnchorageDevice: a small screw in the jaw that teeth are moved against.
	AnchorageDevice
	// BoneScrew: holds bone, a graft or a membrane.
	BoneScrew
	// BonePlate: bridges a break.
	BonePlate
	// Staple: closes a wound or holds bone.
	Staple
)

var kindNames = [...]string{"", "dental implant", "anchorage device", "bone screw", "bone plate", "staple"}

// String returns the kind as it is written in JSON, such as "bone screw".
func (k Kind) String() string { return enum.String(kindNames[:], k) }

// MarshalText implements [encoding.TextMarshaler].
func (k Kind) MarshalText() ([]byte, error) { return enum.Marshal(kindNames[:], k) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (k *Kind) UnmarshalText(text []byte) error { return enum.Unmarshal(kindNames[:], k, text) }

// Material is what an item is made of. The zero Material is invalid.
type Material uint8

const (
	// StainlessSteel and the rest are the usual materials of reusable devices.
	StainlessSteel Material = iota + 1
	CarbonSteel
	ChromePlated // chromium on steel or brass
	Aluminium
	Brass // brass and copper
	Titanium
	TungstenCarbide
	Plastic
	Rubber // rubber and silicone
	Glass
	Cloth
	Paper // paper and gauze
	OtherMaterial
)

var materialNames = [...]string{"", "stainless steel", "carbon steel", "chrome-plated", "aluminium", "brass",
	"titanium", "tungsten carbide", "plastic", "rubber", "glass", "cloth", "paper", "other"}

// String returns the material as it is written in JSON, such as "stainless steel".
func (m Material) String() string { return enum.String(materialNames[:], m) }

// MarshalText implements [encoding.TextMarshaler].
func (m Material) MarshalText() ([]byte, error) { return enum.Marshal(materialNames[:], m) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (m *Material) UnmarshalText(text []byte) error {
	return enum.Unmarshal(materialNames[:], m, text)
}

// CleaningMethod is how an item was cleaned, by the last full step. The zero
// CleaningMethod is invalid.
type CleaningMethod uint8

const (
	// WasherDisinfector: an automatic washer with thermal disinfection.
	WasherDisinfector CleaningMethod = iota + 1
	// Ultrasonic: an ultrasonic bath.
	Ultrasonic
	// Manual: by hand.
	Manual
	// OtherCleaning: anything else, such as a device that cleans handpieces.
	OtherCleaning
	// Wiping: with a cloth and nothing more.
	Wiping
	// Immersion: put into liquid and nothing more.
	Immersion
)

var cleaningNames = [...]string{"", "washer-disinfector", "ultrasonic", "manual", "other", "wiping", "immersion"}

// String returns the method as it is written in JSON.
func (m CleaningMethod) String() string { return enum.String(cleaningNames[:], m) }

// MarshalText implements [encoding.TextMarshaler].
func (m CleaningMethod) MarshalText() ([]byte, error) { return enum.Marshal(cleaningNames[:], m) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (m *CleaningMethod) UnmarshalText(text []byte) error {
	return enum.Unmarshal(cleaningNames[:], m, text)
}

// RinseWater is what an item was rinsed with last. The zero RinseWater means not
// recorded.
type RinseWater uint8

const (
	// TapWater: as it comes out of the wall.
	TapWater RinseWater = iota + 1
	// SoftenedWater: with its hardness exchanged for sodium.
	SoftenedWater
	// PureWater: distilled, demineralised or from reverse osmosis.
	PureWater
)

var rinseNames = [...]string{"", "tap", "softened", "pure"}

// String returns the water as it is written in JSON.
func (w RinseWater) String() string { return enum.String(rinseNames[:], w) }

// MarshalText implements [encoding.TextMarshaler].
func (w RinseWater) MarshalText() ([]byte, error) { return enum.Marshal(rinseNames[:], w) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (w *RinseWater) UnmarshalText(text []byte) error { return enum.Unmarshal(rinseNames[:], w, text) }

// LabelPlace is where a pack is marked. The zero LabelPlace means not recorded.
type LabelPlace uint8

const (
	// OnFilm: on the film side.
	OnFilm LabelPlace = iota + 1
	// OnMargin: outside the seals.
	OnMargin
	// OnTag: on tape, a label or a tag.
	OnTag
	// OnPaper: on paper or wrap over the contents.
	OnPaper
)

var labelPlaceNames = [...]string{"", "film", "margin", "tag", "paper over contents"}

// String returns the place as it is written in JSON.
func (p LabelPlace) String() string { return enum.String(labelPlaceNames[:], p) }

// MarshalText implements [encoding.TextMarshaler].
func (p LabelPlace) MarshalText() ([]byte, error) { return enum.Marshal(labelPlaceNames[:], p) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (p *LabelPlace) UnmarshalText(text []byte) error {
	return enum.Unmarshal(labelPlaceNames[:], p, text)
}

// Use is when a pack is to be used. The zero Use means not recorded.
type Use uint8

const (
	// Immediate: as soon as the cycle ends.
	Immediate Use = iota + 1
	// Later: it is kept until it is needed.
	Later
)

var useNames = [...]string{"", "immediate", "later"}

// String returns the use as it is written in JSON.
func (u Use) String() string { return enum.String(useNames[:], u) }

// MarshalText implements [encoding.TextMarshaler].
func (u Use) MarshalText() ([]byte, error) { return enum.Marshal(useNames[:], u) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (u *Use) UnmarshalText(text []byte) error { return enum.Unmarshal(useNames[:], u, text) }

// Reason is why a pack was run for immediate use. The zero Reason means not
// recorded.
type Reason uint8

const (
	// Urgent: an emergency, such as a dropped instrument that has no substitute.
	Urgent Reason = iota + 1
	// Shortage: too few instruments.
	Shortage
	// Convenience: it was quicker.
	Convenience
)

var reasonNames = [...]string{"", "emergency", "shortage", "convenience"}

// String returns the reason as it is written in JSON.
func (r Reason) String() string { return enum.String(reasonNames[:], r) }

// MarshalText implements [encoding.TextMarshaler].
func (r Reason) MarshalText() ([]byte, error) { return enum.Marshal(reasonNames[:], r) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (r *Reason) UnmarshalText(text []byte) error { return enum.Unmarshal(reasonNames[:], r, text) }
