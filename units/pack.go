package units

// AreaUnit is a unit of area.
type AreaUnit uint8

// Units of area. SquareMetre is the base unit.
const (
	SquareMetre AreaUnit = iota + 1
	SquareCentimetre
	SquareMillimetre
	SquareInch
	SquareFoot
)

func (AreaUnit) dimension() Dimension { return DimArea }

// String returns the UCUM code.
func (u AreaUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u AreaUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *AreaUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// VolumeUnit is a unit of volume.
type VolumeUnit uint8

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

func (VolumeUnit) dimension() Dimension { return DimVolume }

// String returns the UCUM code.
func (u VolumeUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u VolumeUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *VolumeUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// DensityUnit is a unit of density.
type DensityUnit uint8

// Units of density. KilogramPerCubicMetre is the base unit.
const (
	KilogramPerCubicMetre DensityUnit = iota + 1
	GramPerCubicCentimetre
	KilogramPerLitre
	PoundPerCubicFoot
)

func (DensityUnit) dimension() Dimension { return DimDensity }

// String returns the UCUM code.
func (u DensityUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u DensityUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *DensityUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// ForcePerWidthUnit is a unit of force per width: the strength of a seal.
type ForcePerWidthUnit uint8

// Units of force per width. NewtonPerMetre is the base unit; the others name the
// width of the test strip.
const (
	NewtonPerMetre ForcePerWidthUnit = iota + 1
	NewtonPerMillimetre
	NewtonPer15Millimetres // a strip of 15 mm, as in EN 868-5 (recalled)
	NewtonPer25Millimetres // a strip of 25 mm
	PoundForcePerInch      // a strip of one inch
)

func (ForcePerWidthUnit) dimension() Dimension { return DimForcePerWidth }

// String returns the UCUM code.
func (u ForcePerWidthUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u ForcePerWidthUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *ForcePerWidthUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }
