package load

import (
	"encoding/json"
	"io"
	"iter"
	"slices"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/ndjson"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

// Format is the value of a record's "format" member.
const Format = "moistheat.load/1"

// Record is everything that a clinic wrote down about one load. A section or
// member with the omitzero option may be absent in JSON; the zero value then means
// that nobody recorded it, never that it was in order.
type Record struct {
	Format     string     `json:"format"`           // [Format]
	ID         string     `json:"id" minLength:"1"` // the exporting program's own key
	Load       Identity   `json:"load"`
	Site       Site       `json:"site,omitzero"`
	Sterilizer Sterilizer `json:"sterilizer"`
	Packs      []Pack     `json:"packs"`
	AllPacks   *AllPacks  `json:"allPacks,omitzero"` // nil: nothing was said of all packs at once

	Arrangement *Arrangement       `json:"arrangement,omitzero"`            // nil: how the chamber was filled is not recorded
	Cleaning    []cleaning.Batch   `json:"cleaning,omitzero" maxItems:"64"` // those that cleaned its items
	Water       Water              `json:"water,omitzero"`
	Cycle       *Cycle             `json:"cycle,omitzero"` // nil: there is no record of a cycle
	Monitors    Monitors           `json:"monitors,omitzero"`
	Unloading   Unloading          `json:"unloading,omitzero"`
	Release     *Release           `json:"release,omitzero"` // nil: nobody has decided yet
	Waivers     []moistheat.Waiver `json:"waivers,omitzero"`

	source *source // of a record that was resolved
}

// MarshalJSON writes the record as [Decode] reads it: packs and items that are nil
// are none. What [Record.Validate] names is an error, as a required quantity that is not
// set, or is written so that no reader takes it, as a word that is not set is "".
func (r Record) MarshalJSON() ([]byte, error) {
	type plain Record
	packs := r.Packs
	if packs == nil {
		r.Packs = []Pack{}
	}
	for i := range packs {
		if packs[i].Items != nil {
			continue
		}
		if &packs[0] == &r.Packs[0] {
			r.Packs = slices.Clone(packs) // the caller's packs stay as they are
		}
		r.Packs[i].Items = []packaging.Item{}
	}
	return json.Marshal(plain(r))
}

// Identity is what the load is called on labels and in the log.
type Identity struct {
	Number     string         `json:"number,omitzero"` // of the load; the cycle's, where the log has no other
	Cycle      string         `json:"cycle,omitzero"`  // number of the cycle, as the sterilizer counts them
	Date       moistheat.Date `json:"date,omitzero"`   // local date of sterilization
	PreparedBy string         `json:"preparedBy,omitzero"`
	// Packs is how many were counted into the chamber, those inside another one not; 0 is
	// not recorded.
	Packs int `json:"packs,omitzero" min:"1"`
}

// Site says what the air outside weighs, which turns a gauge reading into an
// absolute one. A barometer reading counts before an altitude.
type Site struct {
	Name      string                 `json:"name,omitzero"`
	Altitude  units.Length           `json:"altitude,omitzero" sign:"any"`
	Barometer units.AbsolutePressure `json:"barometer,omitzero"`
}

// Sterilizer is the unit that ran the load.
type Sterilizer struct {
	ID          string           `json:"id,omitzero"`
	OnlyOne     moistheat.Answer `json:"onlyOne,omitzero"`     // the site has no other
	DeclaredFor []DeclaredLoad   `json:"declaredFor,omitzero"` // what the manufacturer declares a type S cycle fit for
	CycleTypes  []CycleType      `json:"cycleTypes,omitzero"`  // every type of cycle that the unit can run; absent: not recorded
	Capacity    []Capacity       `json:"capacity,omitzero"`
	Accessory   string           `json:"accessory,omitzero"`   // rack or tray holder in use, as the capacity table names it
	AirDetector moistheat.Answer `json:"airDetector,omitzero"` // fitted, so that each cycle checks its own air removal
	// RecordsTraces: it records the course of every cycle, so that none is without a trace.
	RecordsTraces moistheat.Answer `json:"recordsTraces,omitzero"`
	// DriedPerMinute is the water that a minute of its drying removes from a load of packed
	// metal, as the facility found when it was validated.
	DriedPerMinute units.Mass `json:"driedPerMinute,omitzero"`
}

// Capacity is a row of the facility's capacity table: what the unit takes at most and
// how long it must dry, with an accessory, for some contents, in some cycle. A member
// that is absent does not narrow the row.
type Capacity struct {
	Accessory   string               `json:"accessory,omitzero"`
	For         CapacityClass        `json:"for,omitzero"`
	AirRemoval  moistheat.AirRemoval `json:"airRemoval,omitzero"`
	Temperature units.Temperature    `json:"temperature,omitzero"` // that the cycle is set to
	Mass        units.Mass           `json:"mass"`                 // largest mass of the whole load
	Drying      units.Duration       `json:"drying,omitzero"`      // at least
	Authority   CapacitySource       `json:"authority"`
}

// Pack is one pack of the load, with where it lay and how it came out. An
// unwrapped tray is a pack whose barrier is none.
type Pack struct {
	packaging.Pack
	Placement Placement     `json:"placement,omitzero"`
	Condition PackCondition `json:"condition,omitzero"`
	// Decision is what a person decided about this pack alone; absent, the decision on
	// the load counts for it.
	Decision moistheat.Disposition `json:"decision,omitzero"`
}

// AllPacks is what a person saw of all packs and says once. What a pack states itself
// stays, and nothing of it is said of a pack that is excepted.
type AllPacks struct {
	By        string        `json:"by" minLength:"1"` // who saw it
	Except    []string      `json:"except,omitzero"`  // IDs of packs
	Condition PackCondition `json:"condition,omitzero"`
	// Preparation is of every item in them.
	Preparation packaging.Preparation `json:"preparation,omitzero"`
	External    AllIndicators         `json:"external,omitzero"`
	Internal    AllIndicators         `json:"internal,omitzero"`
	Label       *packaging.Label      `json:"label,omitzero"`
	Seal        *packaging.Seal       `json:"seal,omitzero"`
}

// AllIndicators are the chemical indicators of all packs outside, or inside.
type AllIndicators struct {
	Lot    string                    `json:"lot,omitzero"`
	Result packaging.IndicatorResult `json:"result,omitzero"`
}

// Placement is where and how a pack lay in the chamber.
type Placement struct {
	Position     Position         `json:"position,omitzero"`
	FilmSide     FilmSide         `json:"filmSide,omitzero"`     // of a pouch: which way its film looks
	OpenSide     OpenSide         `json:"openSide,omitzero"`     // of hollowware: which way its opening looks
	StackedOn    string           `json:"stackedOn,omitzero"`    // id of the pack it lay on; empty: on a tray or in a rack
	Gap          units.Length     `json:"gap,omitzero"`          // to the nearest other pack
	TouchesWall  moistheat.Answer `json:"touchesWall,omitzero"`  // of the chamber
	WallGap      units.Length     `json:"wallGap,omitzero"`      // to the wall of the chamber; 0: it touches
	GapAbove     units.Length     `json:"gapAbove,omitzero"`     // to the tray above; 0: it touches
	AboveWrapped moistheat.Answer `json:"aboveWrapped,omitzero"` // of unwrapped items: they could drip on wrapped ones

	Tray    string      `json:"tray,omitzero"`    // id of the tray or rack it lay in
	Slot    string      `json:"slot,omitzero"`    // of a rack
	Spot    *Spot       `json:"spot,omitzero"`    // where on the tray, as measured
	Overlap units.Ratio `json:"overlap,omitzero"` // share of a pouch that its neighbour covers

	AboveTextile moistheat.Answer `json:"aboveTextile,omitzero"` // of metal: it lay above cloth
	ItemsApart   moistheat.Answer `json:"itemsApart,omitzero"`   // of unwrapped items: one layer, none touching another
	Upright      moistheat.Answer `json:"upright,omitzero"`      // of cloth: its layers stood upright
	Stackable    moistheat.Answer `json:"stackable,omitzero"`    // of a container: its manufacturer allows another on it
}

// Spot is where a pack lay on its tray, measured from the front left corner inside
// the rim. A pack on edge stands on its length and height, one that lies flat on
// its length and width.
type Spot struct {
	X units.Length `json:"x" sign:"any"` // to the corner from which its length runs
	Y units.Length `json:"y" sign:"any"`
	// DX and DY are how far across and back the length runs: only their ratio
	// counts. Absent, it runs across. The pack lies to the left of that line, seen
	// along it from above.
	DX units.Length `json:"dx,omitzero" sign:"any"`
	DY units.Length `json:"dy,omitzero" sign:"any"`
}

// Arrangement is how the chamber was filled.
type Arrangement struct {
	Chamber *Chamber `json:"chamber,omitzero"`
	Trays   []Tray   `json:"trays,omitzero" maxItems:"64"`

	Fill      units.Ratio      `json:"fill,omitzero"`      // share of the usable space
	Mass      units.Mass       `json:"mass,omitzero"`      // of the whole load, weighed at once
	Validated moistheat.Answer `json:"validated,omitzero"` // the pattern is one that the site has validated
	Pattern   string           `json:"pattern,omitzero"`   // its name, as qualifications name it
}

// Chamber is the usable space of the sterilizer.
type Chamber struct {
	Shape  ChamberShape `json:"shape"`
	Width  units.Length `json:"width"`  // of a round chamber: its diameter
	Height units.Length `json:"height"` // of a round chamber: its diameter again
	Depth  units.Length `json:"depth"`  // from the door
}

// Tray is a tray or rack. Its place is that of its front left corner: across from
// the chamber's left, back from the door and up from the chamber's lowest point.
type Tray struct {
	ID     string       `json:"id" minLength:"1"`
	Across units.Length `json:"across,omitzero"`
	Back   units.Length `json:"back,omitzero"`
	Up     units.Length `json:"up,omitzero"`    // of the surface that packs stand on
	Width  units.Length `json:"width,omitzero"` // inside the rim
	Depth  units.Length `json:"depth,omitzero"` // inside the rim
	Rim    units.Length `json:"rim,omitzero"`   // height of the rim above that surface

	Perforated     moistheat.Answer `json:"perforated,omitzero"`
	Lined          moistheat.Answer `json:"lined,omitzero"`          // with something absorbent
	MadeForChamber moistheat.Answer `json:"madeForChamber,omitzero"` // made for this chamber
}

// PackCondition is the state of a pack when it left the chamber.
type PackCondition struct {
	Dry     moistheat.Answer `json:"dry,omitzero"`
	Intact  moistheat.Answer `json:"intact,omitzero"` // not torn, seal closed
	Dropped moistheat.Answer `json:"dropped,omitzero"`
	// Repacked: the pack came out wet and was packed again without being reprocessed
	// as a whole.
	Repacked moistheat.Answer `json:"repacked,omitzero"`
}

// Water is what fed the sterilizer.
type Water struct {
	Reservoir *water.Reservoir `json:"reservoir,omitzero"`
	Sample    *water.Sample    `json:"sample,omitzero"`
}

// Cycle is the physical record of the run.
type Cycle struct {
	Number     string    `json:"number,omitzero"`     // as the physical record states it
	Sterilizer string    `json:"sterilizer,omitzero"` // as the physical record states it
	Purpose    Purpose   `json:"purpose,omitzero"`
	Type       CycleType `json:"type,omitzero"`
	Code       CycleCode `json:"code,omitzero"` // as a message between programs states it
	// Program is the ID of one of the sterilizer's programs in the facility's catalogue.
	Program  string `json:"program,omitzero"`
	Operator string `json:"operator,omitzero"` // who ran it
	cycle.Evidence
}

// Monitors are the tests beside the physical record.
type Monitors struct {
	Challenge           *Challenge   `json:"challenge,omitzero"`
	Biologicals         []Biological `json:"biologicals,omitzero" maxItems:"64"` // in this load
	LastValidBiological time.Time    `json:"lastValidBiological,omitzero"`       // end of the newest earlier load on this sterilizer whose biological indicator was negative and valid; where the policy asks for each kind of cycle, of this one
	Tests               []Test       `json:"tests,omitzero" maxItems:"64"`       // newest of each kind on this sterilizer, before this load
	ReadBy              string       `json:"readBy,omitzero"`                    // who read the chemical indicators
}

// Challenge is a process challenge device run with the load.
type Challenge struct {
	Kind          string                    `json:"kind,omitzero"` // such as helix, test pack
	IndicatorType int                       `json:"indicatorType,omitzero" min:"1" max:"6"`
	Result        packaging.IndicatorResult `json:"result,omitzero"`
	Hardest       moistheat.Answer          `json:"hardest,omitzero"` // it lay in the place that steam reaches last
}

// Biological is a biological indicator run with the load.
type Biological struct {
	Lot         string            `json:"lot,omitzero"`
	Incubator   string            `json:"incubator,omitzero"` // ID of an incubator in the facility's catalogue
	Expires     moistheat.Date    `json:"expires,omitzero"`
	Temperature units.Temperature `json:"temperature,omitzero"` // of the incubator
	// MinTemperature and MaxTemperature are what the indicator's own instructions ask of
	// the incubator.
	MinTemperature units.Temperature `json:"minTemperature,omitzero"`
	MaxTemperature units.Temperature `json:"maxTemperature,omitzero"`
	Incubated      units.Duration    `json:"incubated,omitzero"` // until it was read
	Readout        units.Duration    `json:"readout,omitzero"`   // time the indicator's manufacturer asks for
	Result         Growth            `json:"result,omitzero"`
	Control        *Control          `json:"control,omitzero"`
	Suited         moistheat.Answer  `json:"suited,omitzero"`   // made for this process, and read as its manufacturer says
	Enclosed       moistheat.Answer  `json:"enclosed,omitzero"` // it lay in a process challenge device or in a pack
	FullLoad       moistheat.Answer  `json:"fullLoad,omitzero"` // the load was a full one
	ReadBy         string            `json:"readBy,omitzero"`
	SecondReader   string            `json:"secondReader,omitzero"` // who read it again, by themselves
}

// Control is the unprocessed indicator incubated beside a biological indicator. It
// must grow, or the test says nothing.
type Control struct {
	Lot    string `json:"lot,omitzero"`
	Result Growth `json:"result,omitzero"`
}

// Test is an equipment test.
type Test struct {
	Kind     TestKind           `json:"kind"`
	Time     time.Time          `json:"time"`
	Passed   moistheat.Answer   `json:"passed,omitzero"`
	LeakRate units.PressureRate `json:"leakRate,omitzero"` // of a leak test
}

// Unloading is how the load was taken out of the chamber.
type Unloading struct {
	Time            time.Time        `json:"time,omitzero"`
	By              string           `json:"by,omitzero"`
	DoorOpenedEarly moistheat.Answer `json:"doorOpenedEarly,omitzero"` // opened before the cycle had ended or with pressure in the chamber
	HandledWarm     moistheat.Answer `json:"handledWarm,omitzero"`     // packs were touched before they were cool and dry
	CooledInChamber moistheat.Answer `json:"cooledInChamber,omitzero"` // the load was left in the chamber to cool
	Cooled          units.Duration   `json:"cooled,omitzero"`          // from the opening of the door until packs were touched
}

// Release is a person's decision about the load.
type Release struct {
	Time       time.Time             `json:"time,omitzero"`
	By         string                `json:"by,omitzero"`
	Authorised moistheat.Answer      `json:"authorised,omitzero"` // on the list of trained persons on that day
	Decision   moistheat.Disposition `json:"decision,omitzero"`
	Emergency  *Emergency            `json:"emergency,omitzero"`
	Corrective string                `json:"corrective,omitzero"` // what was done about what failed
}

// Emergency documents the release of an implant before its biological indicator is
// read.
type Emergency struct {
	Reason     string `json:"reason"`
	ApprovedBy string `json:"approvedBy"`
}

// DeclaredLoad is a kind of load that a cycle may be fit for, in the terms of EN 13060.
// The zero value means not recorded.
type DeclaredLoad string

// The kinds of load.
const (
	DeclaredSingleWrapped DeclaredLoad = "single wrapped"
	DeclaredDoubleWrapped DeclaredLoad = "double wrapped"
	DeclaredHollowA       DeclaredLoad = "hollow A"
	DeclaredHollowB       DeclaredLoad = "hollow B"
	DeclaredPorous        DeclaredLoad = "porous"
	DeclaredSmallPorous   DeclaredLoad = "small porous"
)

// CapacityClass is what a row of a capacity table is for. The zero value means not recorded.
type CapacityClass string

// The contents that capacity tables tell apart.
const (
	UnwrappedMetal CapacityClass = "unwrapped metal"
	WrappedMetal   CapacityClass = "wrapped metal"
	Textiles       CapacityClass = "textiles"
)

// CapacitySource says who set a capacity. The zero value means not recorded.
type CapacitySource string

const (
	// ByManufacturer: the sterilizer's manufacturer allows no more.
	ByManufacturer CapacitySource = "manufacturer"
	// ByValidation: the load that the site's own validation challenged.
	ByValidation CapacitySource = "validation"
)

// Position is how a pack lay. The zero value means not recorded.
type Position string

// The positions.
const (
	OnEdge Position = "on edge"
	Flat   Position = "flat"
)

// ChamberShape is the shape of a chamber across its depth. The zero value means
// not recorded.
type ChamberShape string

// The shapes.
const (
	Round  ChamberShape = "round"
	Square ChamberShape = "square"
)

// FilmSide is which way the film of a pouch looks. The zero value means not
// recorded.
type FilmSide string

// The ways a film can look. On edge, it looks at the neighbour's paper or film.
const (
	FilmUp      FilmSide = "up"
	FilmDown    FilmSide = "down"
	FilmToPaper FilmSide = "to paper"
	FilmToFilm  FilmSide = "to film"
)

// OpenSide is which way the opening of hollowware looks. The zero value means not
// recorded.
type OpenSide string

// The ways an opening can look.
const (
	OpenDown     OpenSide = "down"
	OpenSideways OpenSide = "sideways"
	OpenUp       OpenSide = "up"
)

// Purpose is what a cycle is meant for. The zero value means not recorded.
type Purpose string

// The purposes.
const (
	ForLoad           Purpose = "load"
	ForLiquids        Purpose = "liquids"
	ForAirRemovalTest Purpose = "air removal test"
	ForLeakTest       Purpose = "leak test"
	// ForUnwrappedLoad is a cycle that carries items without packs only.
	ForUnwrappedLoad Purpose = "unwrapped load"
)

// CycleType is the type of a small sterilizer's cycle in the terms of EN 13060.
// The zero value means not recorded.
type CycleType string

const (
	// TypeB carries every kind of load.
	TypeB CycleType = "B"
	// TypeN carries unwrapped solid products only.
	TypeN CycleType = "N"
	// TypeS carries unwrapped solid products and what its manufacturer declares.
	TypeS CycleType = "S"
)

// CycleCode is the type of a cycle in a message between programs: those codes of HL7
// version 2, table 0702, that are about moist heat. What a cycle does physically does
// not follow from them. The zero value means not recorded.
type CycleCode string

// The codes.
const (
	CodeFLS CycleCode = "FLS" // flash: items without a pack, for immediate use
	CodePRV CycleCode = "PRV" // prevacuum
	CodeGRV CycleCode = "GRV" // gravity
	CodeLQD CycleCode = "LQD" // liquids
	CodeEXP CycleCode = "EXP" // express: flash with a wrap
	CodeDRT CycleCode = "DRT" // daily air removal test
	CodeDRW CycleCode = "DRW" // warm-up for that
	CodeBWD CycleCode = "BWD" // Bowie-Dick test
	CodeLKT CycleCode = "LKT" // leak test
	CodeWFP CycleCode = "WFP" // steam flush and pressure pulses, wrapped
	CodeSFP CycleCode = "SFP" // steam flush and pressure pulses
)

// Growth is what a biological indicator shows. The zero value means not recorded.
type Growth string

// What an indicator can show.
const (
	Pending  Growth = "pending"
	Negative Growth = "negative"
	Positive Growth = "positive"
)

// TestKind is a kind of equipment test. The zero value means not recorded.
type TestKind string

// The kinds of test.
const (
	// AirRemovalTest is a steam-penetration test of the empty sterilizer: a
	// Bowie-Dick type test or a hollow challenge device.
	AirRemovalTest TestKind = "air removal"
	// LeakTest is a vacuum leak test.
	LeakTest TestKind = "leak"
	// AutomaticControlTest compares a cycle with the sterilizer's own reference.
	AutomaticControlTest TestKind = "automatic control"
)

// Decode reads one record. It is strict: unknown or duplicate names, names in
// another case, null, bad UTF-8 and numbers, strings or nesting over the limits are
// a [*moistheat.DocumentError], and so is everything that the published schema refuses.
func Decode(data []byte) (*Record, error) {
	return strictjson.Read[Record](data, strictjson.Default(), Format)
}

// Records reads a stream of records, one a line (NDJSON). Blank lines are passed
// over. A line that cannot be read yields a [*moistheat.DocumentError] with its number and
// place, and the stream goes on; an error of the reader ends it and is yielded last.
//
// Nothing runs beside the caller's loop: a line is read when the loop asks for it,
// and no more than 64 KiB beyond it. Leaving the loop ends the reading. What stops a
// read that waits is the reader: close it, or let it return an error, such as that of
// a context. A line of more than 8 MiB is an error and is not kept, so memory is
// bounded by the largest record allowed.
func Records(r io.Reader) iter.Seq2[*Record, error] {
	return func(yield func(*Record, error) bool) {
		for l, err := range ndjson.Lines(r) {
			if err != nil {
				yield(nil, err)
				return
			}
			rec, err := ndjson.Decode(l, Decode)
			if !yield(rec, err) {
				return
			}
		}
	}
}

// Validate returns what [Decode] would refuse if the record came as a document, for
// records that a program fills or edits: a word that is in no list, a required member
// that is not set, a negative mass, a text that is too long. It returns nil for every
// record that Decode returned and nobody changed.
//
// The error wraps one [*moistheat.DocumentError] for each problem, with a pointer to
// the member: at most 25, and one that counts the others. Its Unwrap method returns
// the list.
//
// [Check] asks this of every record. What Validate finds quarantines the load.
func (r *Record) Validate() error { return strictjson.Validate(r, strictjson.Default(), Format) }

// valid asks whether the record could have come as a document.
func (c *checker) valid() {
	if !c.invalid(c.given) {
		c.Ask(recordInvalid, "").Met()
	}
}

// invalid enters what keeps a record from being a document, and reports whether anything
// does.
func (c *checker) invalid(r *Record) bool {
	err := r.Validate()
	if err == nil {
		return false
	}
	for _, err := range err.(interface{ Unwrap() []error }).Unwrap() {
		e := err.(*moistheat.DocumentError)
		c.Ask(recordInvalid, e.Pointer).With("place", prose.Place(Format, e.Pointer)).With("problem", e.Problem).Broken()
	}
	return true
}
