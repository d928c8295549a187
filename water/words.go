package water

import "example.com/moistheat"

// SamplingPoint is where water was sampled. The zero SamplingPoint is invalid.
type SamplingPoint string

const (
	// Mains: as it comes into the building, before any treatment.
	Mains SamplingPoint = "mains"
	// TreatedFeed: after treatment, on its way into the sterilizer.
	TreatedFeed SamplingPoint = "treated feed"
	// ReservoirWater: out of the sterilizer's own tank.
	ReservoirWater SamplingPoint = "reservoir"
	// Condensate: steam from the empty chamber, condensed.
	Condensate SamplingPoint = "condensate"
	// FinalRinse: the last rinse of cleaned instruments.
	FinalRinse SamplingPoint = "final rinse"
)

// Treatment is what was done to water before it was used. The zero Treatment means
// not recorded.
type Treatment string

const (
	// Untreated: tap water, filtered or not.
	Untreated Treatment = "none"
	// Softened: calcium and magnesium exchanged for sodium.
	Softened Treatment = "softened"
	// ReverseOsmosis: pressed through a membrane.
	ReverseOsmosis Treatment = "reverse osmosis"
	// Deionised: passed over ion exchangers; also called demineralised.
	Deionised Treatment = "deionised"
	// Distilled: boiled and condensed.
	Distilled Treatment = "distilled"
	// Sterile: sterile water for irrigation or for injections.
	Sterile Treatment = "sterile"
	// OtherTreatment: anything else.
	OtherTreatment Treatment = "other"
)

// Method is how a determinand was measured. The zero Method means not recorded.
type Method string

const (
	// MeterMethod: an instrument with a display.
	MeterMethod Method = "meter"
	// Laboratory: a laboratory's report.
	Laboratory Method = "laboratory"
	// Strip: a test strip, read by its colour.
	Strip Method = "strip"
	// DropTest: drops counted until the colour turns.
	DropTest Method = "drop test"
	// Pen: a pen that measures conductivity and shows it as mg/L or ppm through a
	// built-in factor.
	Pen Method = "conductivity pen"
)

// Comparator says that the true value lies on one side of the figure, as in a
// report of "< 0.1 mg/L". The zero Comparator means the figure itself. The words
// are those of the FHIR Quantity.
type Comparator string

// The comparators.
const (
	Less           Comparator = "<"
	LessOrEqual    Comparator = "<="
	GreaterOrEqual Comparator = ">="
	Greater        Comparator = ">"
)

// Bottle is what a sample was taken in. The zero Bottle means not recorded.
type Bottle string

// The bottles.
const (
	PlasticBottle      Bottle = "plastic"
	GlassBottle        Bottle = "glass"
	DepyrogenatedGlass Bottle = "depyrogenated glass" // glass heated until no endotoxin is left
)

// Determinand is what was determined in a sample; its word names the member of a [Sample]
// in JSON, such as "heavyMetals". The zero Determinand is invalid.
type Determinand = moistheat.Word[determinands]

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
	Bacteria      // living microorganisms in a volume
	Endotoxin
	Turbidity
	Appearance
)

type determinands struct{}

func (determinands) Words() string {
	return "conductivity|resistivity|ph|hardness|residue|dissolvedSolids|silicate|phosphate|chloride|iron|" +
		"cadmium|lead|heavyMetals|copper|manganese|zinc|aluminium|ammonium|nitrate|sulphate|alkalinity|" +
		"organicCarbon|bacteria|endotoxin|turbidity|appearance"
}

// pointerTo returns the JSON Pointer to d in a [Use].
func pointerTo(d Determinand) string { return "/sample/" + d.String() }

// Status is what weight a document gives to its own limits. The zero Status is
// invalid.
type Status string

const (
	// Informative: the document suggests the limits; it does not require them.
	Informative Status = "informative"
	// Guidance: a body recommends the limits to those it advises.
	Guidance Status = "guidance"
	// Requirement: the document requires the limits where it applies.
	Requirement Status = "requirement"
	// Grade: the limits define a grade of water, whatever it is used for.
	Grade Status = "grade"
	// FacilityRule: the facility's own limits, such as those in the instructions of
	// the sterilizer's manufacturer.
	FacilityRule Status = "facility"
)
