package units

// ResistivityUnit is a unit of electrical resistivity.
type ResistivityUnit uint8

// Units of resistivity. OhmMetre is the base unit.
const (
	OhmMetre ResistivityUnit = iota + 1
	MegohmCentimetre
	KilohmCentimetre
)

func (ResistivityUnit) dimension() Dimension { return DimResistivity }

// String returns the UCUM code.
func (u ResistivityUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u ResistivityUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *ResistivityUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// MassConcentrationUnit is a unit of mass per volume of water.
type MassConcentrationUnit uint8

// Units of mass concentration. MilligramPerLitre is the base unit.
const (
	MilligramPerLitre MassConcentrationUnit = iota + 1
	MicrogramPerLitre
	GramPerLitre
	GrainPerUSGallon
)

func (MassConcentrationUnit) dimension() Dimension { return DimMassConcentration }

// String returns the UCUM code.
func (u MassConcentrationUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u MassConcentrationUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *MassConcentrationUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// AmountConcentrationUnit is a unit of amount of substance per volume of water.
type AmountConcentrationUnit uint8

// Units of amount concentration. MillimolePerLitre is the base unit.
const (
	MillimolePerLitre AmountConcentrationUnit = iota + 1
	MicromolePerLitre
	MolePerLitre
	MolePerCubicMetre // the same size as MillimolePerLitre
)

func (AmountConcentrationUnit) dimension() Dimension { return DimAmountConcentration }

// String returns the UCUM code.
func (u AmountConcentrationUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u AmountConcentrationUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *AmountConcentrationUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// HardnessUnit is a unit of water hardness.
type HardnessUnit uint8

// Units of hardness. HardnessMillimolePerLitre, the sum of calcium and magnesium,
// is the base unit. The others are masses that stand for it, through the molar
// masses of [HardnessWeights].
const (
	HardnessMillimolePerLitre HardnessUnit = iota + 1
	HardnessMilligramPerLitre              // as CaCO3; also printed as ppm or American degree
	HardnessGrainPerUSGallon               // as CaCO3; also printed as gpg
	GermanDegree                           // °dH: 10 mg/L as CaO
	FrenchDegree                           // °fH: 10 mg/L as CaCO3
	EnglishDegree                          // °e, Clark: one grain CaCO3 in an imperial gallon
)

func (HardnessUnit) dimension() Dimension { return DimHardness }

// String returns the UCUM code.
func (u HardnessUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u HardnessUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *HardnessUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// ColonyCountUnit is a unit of living germs per volume of water.
type ColonyCountUnit uint8

// Units of colony count. ColonyPerMillilitre is the base unit.
const (
	ColonyPerMillilitre ColonyCountUnit = iota + 1
	ColonyPerDecilitre                  // per 100 mL
	ColonyPerLitre
)

func (ColonyCountUnit) dimension() Dimension { return DimColonyCount }

// String returns the UCUM code.
func (u ColonyCountUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u ColonyCountUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *ColonyCountUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// EndotoxinUnit is a unit of bacterial endotoxin per volume of water.
type EndotoxinUnit uint8

// Units of endotoxin. UCUM has no code for the endotoxin unit: its [EU] is the
// Ehrlich unit, so the codes here put EU in an annotation. An international unit
// of endotoxin is taken for one endotoxin unit (European Pharmacopoeia 2.6.14,
// recalled).
const (
	EndotoxinPerMillilitre         EndotoxinUnit = iota + 1 // EU/mL
	EndotoxinPerLitre                                       // EU/L
	InternationalUnitPerMillilitre                          // IU/mL
)

func (EndotoxinUnit) dimension() Dimension { return DimEndotoxin }

// String returns the UCUM code.
func (u EndotoxinUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u EndotoxinUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *EndotoxinUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// PHUnit is a unit of acidity.
type PHUnit uint8

// PHScale is the one unit of pH.
const (
	PHScale PHUnit = iota + 1
)

func (PHUnit) dimension() Dimension { return DimPH }

// String returns the UCUM code.
func (u PHUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u PHUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *PHUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// TurbidityUnit is a unit of turbidity measured with white light.
type TurbidityUnit uint8

// Nephelometric is the one unit of turbidity by EPA Method 180.1, printed NTU.
const (
	Nephelometric TurbidityUnit = iota + 1
)

func (TurbidityUnit) dimension() Dimension { return DimTurbidity }

// String returns the UCUM code.
func (u TurbidityUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u TurbidityUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *TurbidityUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// FormazinTurbidityUnit is a unit of turbidity measured with infrared light.
type FormazinTurbidityUnit uint8

// FormazinNephelometric is the one unit of turbidity by ISO 7027, printed FNU.
const (
	FormazinNephelometric FormazinTurbidityUnit = iota + 1
)

func (FormazinTurbidityUnit) dimension() Dimension { return DimFormazinTurbidity }

// String returns the UCUM code.
func (u FormazinTurbidityUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u FormazinTurbidityUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *FormazinTurbidityUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }
