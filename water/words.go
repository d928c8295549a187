package water

import "example.com/moistheat/internal/enum"

// Point is where water was sampled. The zero Point is invalid.
type Point uint8

const (
	// Mains: as it comes into the building, before any treatment.
	Mains Point = iota + 1
	// TreatedFeed: after treatment, on its way into the sterilizer.
	TreatedFeed
	// ReservoirWater: out of the sterilizer's own tank.
	ReservoirWater
	// Condensate: steam from the empty chamber, condensed.
	Condensate
	// FinalRinse: the last rinse of cleaned instruments.
	FinalRinse
)

var pointNames = [...]string{"", "mains", "treated feed", "reservoir", "condensate", "final rinse"}

// String returns the point as it is written in JSON, such as "treated feed".
func (p Point) String() string { return enum.String(pointNames[:], p) }

// MarshalText implements [encoding.TextMarshaler].
func (p Point) MarshalText() ([]byte, error) { return enum.Marshal(pointNames[:], p) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (p *Point) UnmarshalText(text []byte) error { return enum.Unmarshal(pointNames[:], p, text) }

// Treatment is what was done to water before it was used. The zero Treatment means
// not recorded.
type Treatment uint8

const (
	// Untreated: tap water, filtered or not.
	Untreated Treatment = iota + 1
	// Softened: calcium and magnesium exchanged for sodium.
	Softened
	// ReverseOsmosis: pressed through a membrane.
	ReverseOsmosis
	// Deionised: passed over ion exchangers; also called demineralised.
	Deionised
	// Distilled: boiled and condensed.
	Distilled
	// Sterile: sterile water for irrigation or for injections.
	Sterile
	// OtherTreatment: anything else.
	OtherTreatment
)

var treatmentNames = [...]string{"", "none", "softened", "reverse osmosis", "deionised", "distilled", "sterile", "other"}

// String returns the treatment as it is written in JSON, such as "reverse osmosis".
func (t Treatment) String() string { return enum.String(treatmentNames[:], t) }

// MarshalText implements [encoding.TextMarshaler].
func (t Treatment) MarshalText() ([]byte, error) { return enum.Marshal(treatmentNames[:], t) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (t *Treatment) UnmarshalText(text []byte) error {
	return enum.Unmarshal(treatmentNames[:], t, text)
}

// Method is how a determinand was measured. The zero Method means not recorded.
type Method uint8

const (
	// MeterMethod: an instrument with a display.
	MeterMethod Method = iota + 1
	// Laboratory: a laboratory's report.
	Laboratory
	// Strip: a test strip, read by its colour.
	Strip
	// DropTest: drops counted until the colour turns.
	DropTest
	// Pen: a pen that measures conductivity and shows it as mg/L or ppm through a
	// built-in factor.
	Pen
)

var methodNames = [...]string{"", "meter", "laboratory", "strip", "drop test", "conductivity pen"}

// String returns the method as it is written in JSON, such as "drop test".
func (m Method) String() string { return enum.String(methodNames[:], m) }

// MarshalText implements [encoding.TextMarshaler].
func (m Method) MarshalText() ([]byte, error) { return enum.Marshal(methodNames[:], m) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (m *Method) UnmarshalText(text []byte) error { return enum.Unmarshal(methodNames[:], m, text) }

// Comparator says that the true value lies on one side of the figure, as in a
// report of "< 0.1 mg/L". The zero Comparator means the figure itself. The words
// are those of the FHIR Quantity.
type Comparator uint8

// The comparators.
const (
	Less Comparator = iota + 1
	LessOrEqual
	GreaterOrEqual
	Greater
)

var comparatorNames = [...]string{"", "<", "<=", ">=", ">"}

// String returns the comparator as it is written in JSON, such as "<".
func (c Comparator) String() string { return enum.String(comparatorNames[:], c) }

// MarshalText implements [encoding.TextMarshaler].
func (c Comparator) MarshalText() ([]byte, error) { return enum.Marshal(comparatorNames[:], c) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (c *Comparator) UnmarshalText(text []byte) error {
	return enum.Unmarshal(comparatorNames[:], c, text)
}

// Bottle is what a sample was taken in. The zero Bottle means not recorded.
type Bottle uint8

// The bottles.
const (
	PlasticBottle Bottle = iota + 1
	GlassBottle
	DepyrogenatedGlass // glass heated until no endotoxin is left
)

var bottleNames = [...]string{"", "plastic", "glass", "depyrogenated glass"}

// String returns the bottle as it is written in JSON.
func (b Bottle) String() string { return enum.String(bottleNames[:], b) }

// MarshalText implements [encoding.TextMarshaler].
func (b Bottle) MarshalText() ([]byte, error) { return enum.Marshal(bottleNames[:], b) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (b *Bottle) UnmarshalText(text []byte) error { return enum.Unmarshal(bottleNames[:], b, text) }

// Determinand is what was determined in a sample. The zero Determinand is invalid.
type Determinand uint8

// The determinands. Concentrations are by mass unless said otherwise.
const (
	Conductivity Determinand = iota + 1
	Resistivity
	PH
	Hardness        // calcium and magnesium together
	Residue         // what stays when the water is evaporated
	DissolvedSolids // total dissolved solids
	Silicate
	Phosphate
	Chloride
	Iron
	Cadmium
	Lead
	HeavyMetals // other than iron, cadmium and lead, where the document counts those apart
	Copper
	Manganese
	Zinc
	Aluminium
	Ammonium
	Nitrate
	Sulphate
	Alkalinity
	OrganicCarbon // total organic carbon
	Bacteria      // living germs in a volume
	Endotoxin
	Turbidity
	Appearance
)

var determinandNames = [...]string{"", "conductivity", "resistivity", "ph", "hardness", "residue", "dissolvedSolids",
	"silicate", "phosphate", "chloride", "iron", "cadmium", "lead", "heavyMetals", "copper", "manganese", "zinc",
	"aluminium", "ammonium", "nitrate", "sulphate", "alkalinity", "organicCarbon", "bacteria", "endotoxin", "turbidity",
	"appearance"}

// String returns the name of the member of a [Sample] in JSON, such as "heavyMetals".
func (d Determinand) String() string { return enum.String(determinandNames[:], d) }

// MarshalText implements [encoding.TextMarshaler].
func (d Determinand) MarshalText() ([]byte, error) { return enum.Marshal(determinandNames[:], d) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (d *Determinand) UnmarshalText(text []byte) error {
	return enum.Unmarshal(determinandNames[:], d, text)
}

// pointer returns the JSON Pointer to d in a sample.
func (d Determinand) pointer() string { return determinandPointers[d] }

var determinandPointers = [...]string{"", "/conductivity", "/resistivity", "/ph", "/hardness", "/residue", "/dissolvedSolids",
	"/silicate", "/phosphate", "/chloride", "/iron", "/cadmium", "/lead", "/heavyMetals", "/copper", "/manganese", "/zinc",
	"/aluminium", "/ammonium", "/nitrate", "/sulphate", "/alkalinity", "/organicCarbon", "/bacteria", "/endotoxin", "/turbidity",
	"/appearance"}

// Standing is what weight a document gives to its own limits. The zero Standing is
// invalid.
type Standing uint8

const (
	// Informative: the document suggests the limits; it does not require them.
	Informative Standing = iota + 1
	// Guidance: a body recommends the limits to those it advises.
	Guidance
	// Requirement: the document requires the limits where it applies.
	Requirement
	// Grade: the limits define a grade of water, whatever it is used for.
	Grade
	// FacilityRule: the facility's own limits, such as those in the instructions of
	// the sterilizer's maker.
	FacilityRule
)

var standingNames = [...]string{"", "informative", "guidance", "requirement", "grade", "facility"}

// String returns the standing as it is written in JSON.
func (s Standing) String() string { return enum.String(standingNames[:], s) }

// MarshalText implements [encoding.TextMarshaler].
func (s Standing) MarshalText() ([]byte, error) { return enum.Marshal(standingNames[:], s) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (s *Standing) UnmarshalText(text []byte) error {
	return enum.Unmarshal(standingNames[:], s, text)
}
