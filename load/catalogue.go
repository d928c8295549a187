package load

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"maps"
	"slices"
	"strconv"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/spelling"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

// CatalogueFormat is the value of a catalogue's "format" member.
const CatalogueFormat = "moistheat.catalogue/1"

// Catalogue is what a facility knows of its items, packs, machines, supplies and staff
// and says once: a record refers to its entries by ID. An entry is in force from a day
// on; a later one of the same ID follows it. What only a look at one load can show, such
// as its physical record, its indicators or its release, has no place in it.
type Catalogue struct {
	Format string `json:"format"` // [CatalogueFormat]
	ID     string `json:"id" minLength:"1"`

	Items       []ItemType        `json:"items,omitzero"`
	Sets        []Set             `json:"sets,omitzero"`
	Packs       []PackType        `json:"packs,omitzero"`
	Sterilizers []SterilizerEntry `json:"sterilizers,omitzero"`
	Sealers     []Sealer          `json:"sealers,omitzero"`
	Incubators  []Incubator       `json:"incubators,omitzero"`
	Devices     []DeviceEntry     `json:"devices,omitzero"`
	Lots        []IndicatorLot    `json:"lots,omitzero"`
	Supplies    []Supply          `json:"supplies,omitzero"`
	Staff       []Person          `json:"staff,omitzero"`
	Practices   []Practice        `json:"practices,omitzero"`
}

// Entry is what all entries of a catalogue have: an ID and the days on which they are in
// force.
type Entry struct {
	ID    string         `json:"id" minLength:"1"`
	From  moistheat.Date `json:"from"`           // the first day
	Until moistheat.Date `json:"until,omitzero"` // the first day on which it is no longer
}

// ItemType is a kind of item. An item refers to it by its type.
type ItemType struct {
	Entry
	Name         string                  `json:"name,omitzero"`
	Class        packaging.Class         `json:"class,omitzero"`
	Kind         packaging.ImplantKind   `json:"kind,omitzero"`
	HasTraits    moistheat.Answer        `json:"hasTraits,omitzero"`
	HasLumens    moistheat.Answer        `json:"hasLumens,omitzero"`
	Traits       []packaging.Trait       `json:"traits,omitzero"`
	Materials    []packaging.Material    `json:"materials,omitzero"`
	Lumens       []packaging.Lumen       `json:"lumens,omitzero" maxItems:"64"`
	HeatTolerant moistheat.Answer        `json:"heatTolerant,omitzero"`
	GuardVented  moistheat.Answer        `json:"guardVented,omitzero"`
	Instructions *packaging.Instructions `json:"instructions,omitzero"`
	Mass         units.Mass              `json:"mass,omitzero"` // of one item
}

// Set is what is packed together. A pack refers to it by its set, instead of listing items.
type Set struct {
	Entry
	Contents []Content `json:"contents"`
	// ID of the type of pack that it is always packed in; it counts where a pack of a record says
	// nothing of its packaging itself.
	Pack string `json:"pack,omitzero"`
}

// Content is a number of items of a type, or the contents of another set.
type Content struct {
	Item  string `json:"item,omitzero"` // ID of an item type
	Set   string `json:"set,omitzero"`  // ID of a set
	Count int    `json:"count" min:"1"`
}

// PackType is a kind of pack: its packaging, where its label stands and which indicators it
// carries. A pack refers to it by its type.
type PackType struct {
	Entry
	Barrier    packaging.Barrier      `json:"barrier,omitzero"`
	Layers     int                    `json:"layers,omitzero" min:"1"`
	Double     *packaging.Double      `json:"double,omitzero"`
	Wrap       *packaging.Wrap        `json:"wrap,omitzero"`
	Size       packaging.Size         `json:"size,omitzero"`
	SteamFit   moistheat.Answer       `json:"steamFit,omitzero"`
	AirRemoval []moistheat.AirRemoval `json:"airRemoval,omitzero"`
	Use        packaging.Use          `json:"use,omitzero"`
	Seal       *SealType              `json:"seal,omitzero"`
	Label      *LabelType             `json:"label,omitzero"`
	Indicators []IndicatorType        `json:"indicators,omitzero" maxItems:"64"`
	Tare       units.Mass             `json:"tare,omitzero"` // mass of the packaging alone
}

// SealType is how packs of a type are closed.
type SealType struct {
	Method packaging.SealMethod `json:"method,omitzero"`
	Width  units.Length         `json:"width,omitzero"`
}

// LabelType is how packs of a type are labelled.
type LabelType struct {
	On      packaging.LabelPlace `json:"on,omitzero"`
	FastInk moistheat.Answer     `json:"fastInk,omitzero"`
	Keep    calendar.Period      `json:"keep,omitzero"` // shelf life, from the day of sterilization
}

// IndicatorType is an indicator that packs of a type carry. What it showed is never in a
// catalogue.
type IndicatorType struct {
	Place   packaging.IndicatorPlace `json:"place"`
	Type    int                      `json:"type,omitzero" min:"1" max:"6"`
	Visible moistheat.Answer         `json:"visible,omitzero"`
	Area    units.Area               `json:"area,omitzero"`
}

// SterilizerEntry is a sterilizer with its site, its chamber and its programs. A record
// refers to it by the ID of its sterilizer.
type SterilizerEntry struct {
	Entry
	Site          Site             `json:"site,omitzero"`
	OnlyOne       moistheat.Answer `json:"onlyOne,omitzero"`
	DeclaredFor   []DeclaredLoad   `json:"declaredFor,omitzero"`
	CycleTypes    []CycleType      `json:"cycleTypes,omitzero"`
	Capacity      []Capacity       `json:"capacity,omitzero"`
	Accessory     string           `json:"accessory,omitzero"`
	AirDetector   moistheat.Answer `json:"airDetector,omitzero"`
	RecordsTraces moistheat.Answer `json:"recordsTraces,omitzero"`
	// Water that a minute of its drying removes from packed metal.
	DriedPerMinute units.Mass `json:"driedPerMinute,omitzero"`
	Chamber        *Chamber   `json:"chamber,omitzero"`
	Trays          []Tray     `json:"trays,omitzero" maxItems:"64"`
	Programs       []Program  `json:"programs,omitzero"`
}

// Program is what a sterilizer is set to. A cycle refers to it by its program.
type Program struct {
	ID       string         `json:"id" minLength:"1"`
	Purpose  Purpose        `json:"purpose,omitzero"`
	Type     CycleType      `json:"type,omitzero"`
	Settings cycle.Settings `json:"settings,omitzero"`
}

// Sealer is a sealer with its newest test. A seal refers to it by its sealer.
type Sealer struct {
	Entry
	Method   packaging.SealMethod `json:"method,omitzero"`
	Width    units.Length         `json:"width,omitzero"`
	Strength units.ForcePerWidth  `json:"strength,omitzero"`
	LastTest moistheat.Date       `json:"lastTest,omitzero"`
	Changed  moistheat.Date       `json:"changed,omitzero"`
}

// Incubator is an incubator. A biological indicator refers to it by its incubator.
type Incubator struct {
	Entry
	Temperature units.Temperature `json:"temperature,omitzero"` // that it holds, as last measured
}

// DeviceEntry is a machine beside the sterilizers, whose duties run from the day on which it was
// commissioned. An event refers to it by its device.
type DeviceEntry struct {
	Entry
	Kind         calendar.Device `json:"kind"`
	Commissioned moistheat.Date  `json:"commissioned,omitzero"` // absent: on the first day of the entry
}

// IndicatorLot is a lot of chemical or biological indicators, which refer to it by their
// lot.
type IndicatorLot struct {
	Entry
	Type           int               `json:"type,omitzero" min:"1" max:"6"` // of chemical ones
	Expires        moistheat.Date    `json:"expires,omitzero"`
	Temperature    units.Temperature `json:"temperature,omitzero"`    // that chemical ones are rated for
	Hold           units.Duration    `json:"hold,omitzero"`           // that chemical ones are rated for
	MinTemperature units.Temperature `json:"minTemperature,omitzero"` // of the incubator of biological ones
	MaxTemperature units.Temperature `json:"maxTemperature,omitzero"` // of the incubator of biological ones
	Readout        units.Duration    `json:"readout,omitzero"`        // of biological ones
	Suited         moistheat.Answer  `json:"suited,omitzero"`         // biological ones are made for this process
}

// Supply is a source of water. A reservoir refers to it by its supply.
type Supply struct {
	Entry
	Water water.Treatment `json:"water,omitzero"`
}

// Person is a member of the staff. A record refers to a person by the name that it gives as
// who did something.
type Person struct {
	Entry
	Duties []Duty `json:"duties"`
}

// Duty is what a person is trained for and may do. The zero Duty is invalid.
type Duty string

// The duties.
const (
	DutyPrepare Duty = "prepare"
	DutyRun     Duty = "run"
	DutyRead    Duty = "read indicators"
	DutyRelease Duty = "release"
)

// Practice is a way in which a facility always works. It is signed, and in force for a year
// unless it says less.
type Practice struct {
	Entry
	Habit Habit  `json:"habit"`
	By    string `json:"by" minLength:"1"` // who signed it
}

// Habit is one way of working that can be declared. The zero Habit is invalid.
type Habit string

// The habits.
const (
	ItemsCleaned    Habit = "items are cleaned, dry and inspected before packing"
	HingesOpened    Habit = "hinges and ratchets are opened"
	ItemsTakenApart Habit = "items are taken apart"
	PointsGuarded   Habit = "points and edges are guarded"
	HandlesFirst    Habit = "handles lie towards the end that is opened"
	MetalsApart     Habit = "different metals do not touch"
	BarriersNew     Habit = "barriers are used once"
	AirPressedOut   Habit = "air is pressed out of pouches"
	OnEdgeApart     Habit = "pouches stand on edge, apart from each other and from the wall"
	LabelledBefore  Habit = "packs are labelled before the cycle"
	CooledOutside   Habit = "packs cool before they are touched"
	ReservoirFresh  Habit = "the reservoir is emptied at night and filled with fresh water"
)

// DecodeCatalogue reads a catalogue as strictly as [Decode] reads a record.
func DecodeCatalogue(data []byte) (*Catalogue, error) {
	return strictjson.Read[Catalogue](data, strictjson.Default(), CatalogueFormat)
}

// Validate returns what [DecodeCatalogue] would refuse, and what the entries say of each
// other that cannot be: a reference to nothing, two entries of one ID in force on one day,
// a set that holds itself. Every error is a [*moistheat.DocumentError] with a pointer.
func (c *Catalogue) Validate() error {
	if err := strictjson.Validate(c, strictjson.Default(), CatalogueFormat); err != nil {
		return err
	}
	_, err := newFacts(c)
	return err
}

// Facts returns the catalogue as records are resolved with: checked, and not changed by
// what becomes of the catalogue.
func (c *Catalogue) Facts() (*Facts, error) {
	if err := strictjson.Validate(c, strictjson.Default(), CatalogueFormat); err != nil {
		return nil, err
	}
	data, err := json.Marshal(c)
	if err != nil {
		return nil, err
	}
	own, err := DecodeCatalogue(data)
	if err != nil {
		return nil, err
	}
	f, err := newFacts(own)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(data)
	f.digest = hex.EncodeToString(sum[:])
	return f, nil
}

// Facts are the entries of a catalogue by what refers to them. They are immutable.
type Facts struct {
	c      *Catalogue
	digest string
	by     map[reference][]int // entries in the order of their days
	lots   map[string][]string // IDs of lots by what they fold to, each once
}

// reference is a kind of entry, by its list in the catalogue, and an ID.
type reference struct{ list, id string }

func newFacts(c *Catalogue) (*Facts, error) {
	f := &Facts{c: c, by: map[reference][]int{}, lots: map[string][]string{}}
	for _, l := range c.Lots {
		if name := spelling.Fold(l.ID); name != "" && !slices.Contains(f.lots[name], l.ID) {
			f.lots[name] = append(f.lots[name], l.ID)
		}
	}
	var errs []error
	fault := func(pointer, format string, args ...any) {
		if len(errs) == strictjson.MaxProblems {
			return
		}
		errs = append(errs, &moistheat.DocumentError{Kind: moistheat.ErrShape, Format: CatalogueFormat,
			Pointer: pointer, Offset: -1, Problem: fmt.Sprintf(format, args...)})
	}
	for list, entries := range c.lists() {
		for i, e := range entries {
			at := entryAt(list, i)
			if e.Until.IsValid() && e.From.Compare(e.Until) >= 0 {
				fault(at+"/until", "it ends on %s, not after it begins on %s", e.Until, e.From)
			}
			ref := reference{list, e.ID}
			for _, j := range f.by[ref] {
				if o := entries[j]; e.From.Within(o.From, o.Until) || o.From.Within(e.From, e.Until) {
					fault(at, "%s is in force on the same days; give the earlier one the day on which it ends", entryAt(list, j))
				}
			}
			f.by[ref] = append(f.by[ref], i)
		}
	}
	for i, s := range c.Sets {
		if s.Pack != "" && f.by[reference{"packs", s.Pack}] == nil {
			fault(entryAt("sets", i)+"/pack", "the catalogue has no pack %q", s.Pack)
		}
		for j, content := range s.Contents {
			at := entryAt("sets", i) + "/contents/" + strconv.Itoa(j)
			switch {
			case (content.Item == "") == (content.Set == ""):
				fault(at, "it names an item and a set, or neither; name one of them")
			case content.Item != "" && f.by[reference{"items", content.Item}] == nil:
				fault(at+"/item", "the catalogue has no item %q", content.Item)
			case content.Set != "" && f.by[reference{"sets", content.Set}] == nil:
				fault(at+"/set", "the catalogue has no set %q", content.Set)
			}
		}
	}
	for i, s := range c.Sterilizers {
		if s.Site.Barometer.IsValid() {
			fault(entryAt("sterilizers", i)+"/site/barometer", "it is of one day; give the altitude of the site")
		}
	}
	for i, p := range c.Packs {
		for _, seen := range []struct {
			member string
			answer moistheat.Answer
		}{
			{"wrap/washed", ask.Some(p.Wrap).Washed},
			{"double/facing", ask.Some(p.Double).Facing},
			{"double/folded", ask.Some(p.Double).Folded},
		} {
			if seen.answer != moistheat.NotRecorded {
				fault(entryAt("packs", i)+"/"+seen.member, "only an inspection of each pack shows it; enter it in the record")
			}
		}
	}
	for _, i := range f.circular() {
		fault(entryAt("sets", i)+"/contents", "the set holds itself")
	}
	return f, errors.Join(errs...)
}

// Machines returns the machines of the catalogue, for [history.History.UseCatalogue]: devices,
// sealers and incubators with the day from which their duties run, and without one sterilizers,
// which are of no kind.
func (f *Facts) Machines() (out []DeviceEntry) {
	if f == nil || f.c == nil {
		return nil
	}
	for _, d := range f.c.Devices {
		d.Commissioned = cmp.Or(d.Commissioned, d.From)
		out = append(out, d)
	}
	from := func(e Entry) moistheat.Date { // what is among the devices, too, is as they say
		if f.by[reference{"devices", e.ID}] != nil {
			return moistheat.Date{}
		}
		return e.From
	}
	for _, s := range f.c.Sealers {
		out = append(out, DeviceEntry{Entry: s.Entry, Kind: calendar.Sealer, Commissioned: from(s.Entry)})
	}
	for _, i := range f.c.Incubators {
		out = append(out, DeviceEntry{Entry: i.Entry, Kind: calendar.Incubator, Commissioned: from(i.Entry)})
	}
	for _, s := range f.c.Sterilizers {
		out = append(out, DeviceEntry{Entry: s.Entry})
	}
	return out
}

// circular returns, of sets that hold each other in a circle, two, or the one that holds itself.
func (f *Facts) circular() (out []int) {
	const open, done = 1, 2
	state := make([]int, len(f.c.Sets))
	found := map[int]bool{}
	var visit func(i int)
	visit = func(i int) {
		state[i] = open
		for _, c := range f.c.Sets[i].Contents {
			for _, j := range f.by[reference{"sets", c.Set}] {
				switch state[j] {
				case open:
					found[i], found[j] = true, true
				case done:
				default:
					visit(j)
				}
			}
		}
		state[i] = done
	}
	for i := range f.c.Sets {
		if state[i] == 0 {
			visit(i)
		}
	}
	return slices.Sorted(maps.Keys(found))
}

// find returns the place of the entry that was in force on a day, or -1. No entry is in
// force on a day that is not known.
func (f *Facts) find(list, id string, day moistheat.Date, entries func(int) Entry) int {
	if !day.IsValid() || id == "" {
		return -1
	}
	for _, i := range f.by[reference{list, id}] {
		if e := entries(i); day.Within(e.From, e.Until) {
			return i
		}
	}
	return -1
}

// lot returns the ID that the catalogue has for a lot on a day: the name itself where it has it,
// or else the one that is spelled alike. Of several, one that has expired counts; where none has,
// which of them is meant is not known.
func (f *Facts) lot(name string, day moistheat.Date) string {
	alike := f.lots[spelling.Fold(name)]
	if f.by[reference{"lots", name}] != nil || len(alike) == 0 {
		return name
	}
	var in []string // force
	for _, id := range alike {
		i := f.find("lots", id, day, func(i int) Entry { return f.c.Lots[i].Entry })
		if i < 0 {
			continue
		}
		if e := f.c.Lots[i].Expires; e.IsValid() && day.Compare(e) > 0 {
			return id
		}
		in = append(in, id)
	}
	if len(in) == 1 {
		return in[0]
	}
	return name
}

// entryAt returns the pointer of an entry of a catalogue.
func entryAt(list string, i int) string { return "/" + list + "/" + strconv.Itoa(i) }

// lists are the entries of a catalogue by the list that they stand in.
func (c *Catalogue) lists() iter.Seq2[string, []Entry] {
	return func(yield func(string, []Entry) bool) {
		_ = yield("items", entries(c.Items)) &&
			yield("sets", entries(c.Sets)) &&
			yield("packs", entries(c.Packs)) &&
			yield("sterilizers", entries(c.Sterilizers)) &&
			yield("sealers", entries(c.Sealers)) &&
			yield("incubators", entries(c.Incubators)) &&
			yield("devices", entries(c.Devices)) &&
			yield("lots", entries(c.Lots)) &&
			yield("supplies", entries(c.Supplies)) &&
			yield("staff", entries(c.Staff)) &&
			yield("practices", entries(c.Practices))
	}
}

func entries[T interface{ entry() Entry }](list []T) []Entry {
	out := make([]Entry, len(list))
	for i := range list {
		out[i] = list[i].entry()
	}
	return out
}

func (e Entry) entry() Entry { return e }
