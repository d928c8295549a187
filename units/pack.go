package units

// AreaUnit is a unit of area.
type AreaUnit = UnitOf[[DimArea]none]

// Units of area. SquareMetre is the base unit.
const (
	SquareMetre AreaUnit = iota + 1
	SquareCentimetre
	SquareMillimetre
	SquareInch
	SquareFoot
)

// VolumeUnit is a unit of volume.
type VolumeUnit = UnitOf[[DimVolume]none]

// Units of volume. Litre is the base unit.
const (
	Litre VolumeUnit = iota + 1 // its UCUM code here is L
	CubicMetre
	Millilitre
	CubicCentimetre
	CubicInch
	CubicFoot
	USGallon           // 231 in3
	USQuart            // a quarter of a US gallon
	USFluidOunce       // a 128th of a US gallon
	ImperialGallon     // 4.54609 L exactly
	ImperialFluidOunce // a 160th of an imperial gallon
)

// DensityUnit is a unit of density.
type DensityUnit = UnitOf[[DimDensity]none]

// Units of density. KilogramPerCubicMetre is the base unit.
const (
	KilogramPerCubicMetre DensityUnit = iota + 1
	GramPerCubicCentimetre
	KilogramPerLitre
	PoundPerCubicFoot
)

// ForcePerWidthUnit is a unit of force per width: the strength of a seal.
type ForcePerWidthUnit = UnitOf[[DimForcePerWidth]none]

// Units of force per width. NewtonPerMetre is the base unit; the others name the
// width of the test strip.
const (
	NewtonPerMetre ForcePerWidthUnit = iota + 1
	NewtonPerMillimetre
	NewtonPer15Millimetres // a strip of 15 mm, as in EN 868-5 (recalled)
	NewtonPer25Millimetres // a strip of 25 mm
	PoundForcePerInch      // a strip of one inch
)
