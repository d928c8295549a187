package packaging

import (
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/units"
)

// Pack is one barrier with what is in it: a pouch with a mirror, a wrapped tray, a
// rigid container. A tray that is sterilized without a wrap is a Pack whose
// Barrier is [Unwrapped].
type Pack struct {
	ID      string  `json:"id" minLength:"1"`
	Barrier Barrier `json:"barrier,omitzero"`

	Type string `json:"type,omitzero"` // ID of a type of pack in the facility's catalogue
	Set  string `json:"set,omitzero"`  // ID of a set in the facility's catalogue, which then gives the items

	// Layers counts the pouches or wraps around the contents, one inside the
	// other: 1 is single, 2 is double, 0 is not recorded.
	Layers int `json:"layers,omitzero" min:"1"`
	// Double describes a pouch inside a pouch. It is absent for a single pouch.
	Double *Double `json:"double,omitzero"`
	// Wrap is how sheets were folded around the contents.
	Wrap *Wrap `json:"wrap,omitzero"`
	// Seal is how the pack was closed.
	Seal *Seal `json:"seal,omitzero"`

	Fill      units.Ratio  `json:"fill,omitzero"`      // share of the pouch or bag that the contents take up
	FreeSpace units.Length `json:"freeSpace,omitzero"` // from the contents to the closing seal
	Mass      units.Mass   `json:"mass,omitzero"`      // with packaging and container
	NetMass   units.Mass   `json:"netMass,omitzero"`   // contents alone
	Overhang  units.Length `json:"overhang,omitzero"`  // of a pouch beyond its seal, where it is opened
	Size      Size         `json:"size,omitzero"`      // outer, lying flat

	AirExpelled moistheat.Answer `json:"airExpelled,omitzero"` // the air was pressed out of the pouch before sealing

	// the manufacturer states the barrier as fit for this steam process
	SteamFit moistheat.Answer `json:"steamFit,omitzero"`
	Reused   moistheat.Answer `json:"reused,omitzero"`  // the barrier was used before
	Expires  moistheat.Date   `json:"expires,omitzero"` // last day on which the barrier material may be used

	Label      *Label      `json:"label,omitzero"`
	Indicators []Indicator `json:"indicators,omitzero" maxItems:"64"`
	Items      []Item      `json:"items"`

	// PrionSuspected: the set was used on a person who may have a prion disease.
	PrionSuspected moistheat.Answer `json:"prionSuspected,omitzero"`

	Use     Use              `json:"use,omitzero"`
	Reason  Reason           `json:"reason,omitzero"`  // of immediate use
	Covered moistheat.Answer `json:"covered,omitzero"` // of immediate use: carried in a sterile covered container

	// Inside is the ID of the pack that this one lies in, such as the container
	// around a tray. It is empty for a pack that stands alone.
	Inside string `json:"inside,omitzero"`

	// AirRemoval are, of a rigid container, the ways of removing air that its manufacturer
	// names, any one of them. Absent: not recorded.
	AirRemoval []moistheat.AirRemoval `json:"airRemoval,omitzero"`

	// Replaces are the IDs of earlier packs whose contents were taken out, cleaned and packed
	// again as this one.
	Replaces []string `json:"replaces,omitzero"`
	Loan     *Loan    `json:"loan,omitzero"` // nil: that it is lent is not recorded
}

// Loan is what is known of a set that is lent by others.
type Loan struct {
	From    string           `json:"from" minLength:"1"`
	Proof   string           `json:"proof,omitzero"`   // the sender's document that it was decontaminated
	Cleaned moistheat.Answer `json:"cleaned,omitzero"` // here, after it arrived
	Counted moistheat.Answer `json:"counted,omitzero"` // against the sender's list, with nothing missing or foreign
}

// Size is the outer size of a pack that lies flat.
type Size struct {
	Length units.Length `json:"length,omitzero"`
	Width  units.Length `json:"width,omitzero"`
	Height units.Length `json:"height,omitzero"`
}

// Wrap is how sheets were folded around the contents.
type Wrap struct {
	Sheets    int              `json:"sheets,omitzero" min:"1"` // a bonded double sheet counts as one; 0 is not recorded
	Bonded    moistheat.Answer `json:"bonded,omitzero"`         // a double sheet, joined by its manufacturer
	Steps     int              `json:"steps,omitzero" min:"1"`  // 1: all sheets together; 2: one by one; 0: not recorded
	TwoSheets moistheat.Answer `json:"twoSheets,omitzero"`      // the manufacturer of the sheets asks for two of them
	Washed    moistheat.Answer `json:"washed,omitzero"`         // of cloth: washed and looked over since its last use
}

// Double describes a pouch inside a pouch.
type Double struct {
	Facing    moistheat.Answer `json:"facing,omitzero"`    // paper lies on paper and film on film
	Folded    moistheat.Answer `json:"folded,omitzero"`    // the inner pouch was folded to fit
	SameSize  moistheat.Answer `json:"sameSize,omitzero"`  // both pouches have one size
	Validated moistheat.Answer `json:"validated,omitzero"` // the manufacturer of the pouches allows double use
}

// Seal is how a pack was closed, as looked at before the cycle.
type Seal struct {
	Sealer  string           `json:"sealer,omitzero"` // ID of a sealer in the facility's catalogue
	Method  SealMethod       `json:"method,omitzero"`
	Width   units.Length     `json:"width,omitzero"`   // overall; of a ribbed seal the sum of the ribs
	Intact  moistheat.Answer `json:"intact,omitzero"`  // no channel, wrinkle, burn or gap; of a container: lock, gasket
	Pierced moistheat.Answer `json:"pierced,omitzero"` // a staple, pin or paper clip is in or on the pack

	Strength units.ForcePerWidth `json:"strength,omitzero"` // of the sealer's newest test seal after steam
	Tested   moistheat.Answer    `json:"tested,omitzero"`   // the sealer: in the last half year, and since its last change
	LastTest moistheat.Date      `json:"lastTest,omitzero"` // of the sealer's newest good test seal
	// Of the sealer's newest repair or service, or of new material.
	Changed moistheat.Date `json:"changed,omitzero"`
}

// Label is what is written on the outside of a pack.
type Label struct {
	Sterilizer string         `json:"sterilizer,omitzero"`
	Cycle      string         `json:"cycle,omitzero"` // cycle number
	Load       string         `json:"load,omitzero"`  // load or batch number
	Date       moistheat.Date `json:"date,omitzero"`  // of sterilization
	Expires    moistheat.Date `json:"expires,omitzero"`
	Contents   string         `json:"contents,omitzero"`
	Packer     string         `json:"packer,omitzero"`

	On      LabelPlace       `json:"on,omitzero"`      // where on the pack
	FastInk moistheat.Answer `json:"fastInk,omitzero"` // steam does not wash the ink out, and it harms nobody
	Before  moistheat.Answer `json:"before,omitzero"`  // written before the cycle
}

// Indicator is a chemical indicator in or on a pack.
type Indicator struct {
	Place   IndicatorPlace   `json:"place"`
	Type    int              `json:"type,omitzero" min:"1" max:"6"` // 1 to 6 as ISO 11140-1 counts them; 0 is not recorded
	Lot     string           `json:"lot,omitzero"`
	Expires moistheat.Date   `json:"expires,omitzero"` // last day on which the indicator may be used
	Visible moistheat.Answer `json:"visible,omitzero"` // an internal one can be read through the unopened pack
	Area    units.Area       `json:"area,omitzero"`    // of one that is printed on the pack

	// Temperature and Hold are the values that the indicator is rated for.
	Temperature units.Temperature `json:"temperature,omitzero"`
	Hold        units.Duration    `json:"hold,omitzero"`

	// Result is absent until somebody has read the indicator.
	Result IndicatorResult `json:"result,omitzero"`
}

// Item is a medical device, or several of one kind, in a pack.
type Item struct {
	ID    string      `json:"id,omitzero"` // mark or code of the one device
	Name  string      `json:"name"`
	Type  string      `json:"type,omitzero"`          // ID of an item in the facility's catalogue
	Count int         `json:"count,omitzero" min:"1"` // 0 is not recorded
	Class Class       `json:"class,omitzero"`
	Kind  ImplantKind `json:"kind,omitzero"` // of an item that stays in the body

	// Traits are what an item is, all of them. An empty list says no more than one that is
	// absent: HasTraits and HasLumens answer that there are none.
	HasTraits moistheat.Answer `json:"hasTraits,omitzero"`
	HasLumens moistheat.Answer `json:"hasLumens,omitzero"`
	Traits    []Trait          `json:"traits,omitzero"`
	Materials []Material       `json:"materials,omitzero"`
	Lumens    []Lumen          `json:"lumens,omitzero" maxItems:"64"`

	Open         moistheat.Answer `json:"open,omitzero"`         // hinges and ratchets stand open
	Disassembled moistheat.Answer `json:"disassembled,omitzero"` // taken apart or loosened as its manufacturer says
	Guarded      moistheat.Answer `json:"guarded,omitzero"`      // its points and edges are covered or held

	GuardVented  moistheat.Answer `json:"guardVented,omitzero"`  // the guard lets steam in, as its manufacturer has tested
	HandleFirst  moistheat.Answer `json:"handleFirst,omitzero"`  // its handle lies towards the end that is opened
	HeatTolerant moistheat.Answer `json:"heatTolerant,omitzero"` // it stands steam sterilization
	Separated    moistheat.Answer `json:"separated,omitzero"`    // of bowls in bowls: something is between them
	MetalsApart  moistheat.Answer `json:"metalsApart,omitzero"`  // it does not touch other metals
	OpenEnds     moistheat.Answer `json:"openEnds,omitzero"`     // of tubing: both ends open, no kink
	Moist        moistheat.Answer `json:"moist,omitzero"`        // of tubing: wet inside
	UsedOn       string           `json:"usedOn,omitzero"`       // of an item for one patient: a key for the patient
	MeantFor     string           `json:"meantFor,omitzero"`     // of an item for one patient: a key for whom it goes to

	// PrionSuspected: it was used on a person who may have a prion disease.
	PrionSuspected moistheat.Answer `json:"prionSuspected,omitzero"`

	Preparation  Preparation   `json:"preparation,omitzero"`
	Instructions *Instructions `json:"instructions,omitzero"`
}

// Preparation is what was done to an item before it was packed.
type Preparation struct {
	Cleaned   moistheat.Answer `json:"cleaned,omitzero"`
	Method    CleaningMethod   `json:"method,omitzero"`
	Dry       moistheat.Answer `json:"dry,omitzero"`
	Inspected moistheat.Answer `json:"inspected,omitzero"` // looked at, clean, intact and working

	Rinse      RinseWater       `json:"rinse,omitzero"`      // last
	WasherDown moistheat.Answer `json:"washerDown,omitzero"` // cleaned so because the washer-disinfector was out of order
	Lubricated moistheat.Answer `json:"lubricated,omitzero"` // before packing
	Wiped      moistheat.Answer `json:"wiped,omitzero"`      // the lubricant was wiped off

	Device     string `json:"device,omitzero"`     // the facility's ID of the machine that cleaned it
	WasherLoad string `json:"washerLoad,omitzero"` // the facility's key of the run of the washer-disinfector
	Lubricant  string `json:"lubricant,omitzero"`  // the facility's key of the container that the lubricant came from
}

// Instructions are what the manufacturer of an item says about its sterilization. A
// member that is absent is one that the manufacturer leaves open.
type Instructions struct {
	AirRemoval     []moistheat.AirRemoval `json:"airRemoval,omitzero"` // any one of these
	MinTemperature units.Temperature      `json:"minTemperature,omitzero"`
	MaxTemperature units.Temperature      `json:"maxTemperature,omitzero"`
	Hold           units.Duration         `json:"hold,omitzero"`         // at least
	Drying         units.Duration         `json:"drying,omitzero"`       // at least
	Lubrication    moistheat.Answer       `json:"lubrication,omitzero"`  // asks for lubrication before sterilization
	HandCleaning   moistheat.Answer       `json:"handCleaning,omitzero"` // asks for cleaning by hand
	// MaxCycles is how often the item may be sterilized in its life.
	MaxCycles int `json:"maxCycles,omitzero" min:"1"`
}

// described reports whether it is recorded what the item is.
func (it *Item) described() bool { return len(it.Traits) > 0 || it.HasTraits == moistheat.No }

// critical reports whether the item goes through tissue. Until its class is recorded, it does.
func (it *Item) critical() bool { return it.Class != Semicritical && it.Class != Noncritical }

// Has says whether the item has a trait. It is [moistheat.NotRecorded] for an item
// without Traits, unless HasTraits says that it has none. An item whose Kind stays in
// the body is an implant, marked so or not; one that has lumens is hollow, and so is a tube.
func (it *Item) Has(t Trait) moistheat.Answer {
	switch {
	case it != nil && t == Implant && it.Kind != "":
		return moistheat.Yes
	case it != nil && t == Hollow && (it.HasLumens == moistheat.Yes || slices.Contains(it.Traits, Tubing)):
		return moistheat.Yes
	case it != nil && t == Hollow && it.HasLumens == moistheat.No && len(it.Traits) == 0:
		return moistheat.No
	case it == nil || !it.described():
		return moistheat.NotRecorded
	case slices.Contains(it.Traits, t):
		return moistheat.Yes
	}
	return moistheat.No
}

// Has says whether any item of the pack has a trait: yes if one has it, no if all
// are described and none has it, and otherwise not recorded. A pack without items
// is not recorded.
func (p *Pack) Has(t Trait) moistheat.Answer {
	if p == nil || len(p.Items) == 0 {
		return moistheat.NotRecorded
	}
	a := moistheat.No
	for i := range p.Items {
		a = either(a, p.Items[i].Has(t))
	}
	return a
}

// Packed reports whether the contents have a barrier around them: their own or
// that of the pack that this one is said to lie in.
func (p *Pack) Packed() bool {
	return p != nil && (p.Barrier != "" && p.Barrier != Unwrapped || p.Inside != "")
}

// MayBeHollow reports whether an item of the pack has a lumen, or may have one.
func (p *Pack) MayBeHollow() bool {
	if p == nil {
		return false
	}
	for i := range p.Items {
		it := &p.Items[i]
		if len(it.Lumens) > 0 || it.Has(Hollow) != moistheat.No || it.Has(Powered) == moistheat.Yes {
			return true
		}
	}
	return false
}

// Porous says whether steam must get through something porous or textile inside
// the pack. The barrier itself does not count.
func (p *Pack) Porous() moistheat.Answer { return either(p.Has(Porous), p.Has(Textile)) }
