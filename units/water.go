package units

// ResistivityUnit is a unit of electrical resistivity.
type ResistivityUnit = UnitOf[[DimResistivity]none]

// Units of resistivity. OhmMetre is the base unit.
const (
	OhmMetre ResistivityUnit = iota + 1
	MegohmCentimetre
	KilohmCentimetre
)

// MassConcentrationUnit is a unit of mass per volume of water.
type MassConcentrationUnit = UnitOf[[DimMassConcentration]none]

// Units of mass concentration. MilligramPerLitre is the base unit.
const (
	MilligramPerLitre MassConcentrationUnit = iota + 1
	MicrogramPerLitre
	GramPerLitre
	GrainPerUSGallon
)

// HardnessUnit is a unit of water hardness.
type HardnessUnit = UnitOf[[DimHardness]none]

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

// ColonyCountUnit is a unit of living microorganisms per volume of water.
type ColonyCountUnit = UnitOf[[DimColonyCount]none]

// Units of colony count. ColonyPerMillilitre is the base unit.
const (
	ColonyPerMillilitre ColonyCountUnit = iota + 1
	ColonyPerDecilitre                  // per 100 mL
	ColonyPerLitre
)

// EndotoxinUnit is a unit of bacterial endotoxin per volume of water.
type EndotoxinUnit = UnitOf[[DimEndotoxin]none]

// Units of endotoxin. UCUM has no code for the endotoxin unit: its [EU] is the
// Ehrlich unit, so the codes here put EU in an annotation. An international unit
// of endotoxin is taken for one endotoxin unit (European Pharmacopoeia 2.6.14,
// recalled).
const (
	EndotoxinPerMillilitre         EndotoxinUnit = iota + 1 // EU/mL
	EndotoxinPerLitre                                       // EU/L
	InternationalUnitPerMillilitre                          // IU/mL
)

// PHUnit is a unit of acidity.
type PHUnit = UnitOf[[DimPH]none]

// PHScale is the one unit of pH.
const (
	PHScale PHUnit = iota + 1
)

// TurbidityUnit is a unit of turbidity measured with white light.
type TurbidityUnit = UnitOf[[DimTurbidity]none]

// Nephelometric is the one unit of turbidity by EPA Method 180.1, printed NTU.
const (
	Nephelometric TurbidityUnit = iota + 1
)

// FormazinTurbidityUnit is a unit of turbidity measured with infrared light.
type FormazinTurbidityUnit = UnitOf[[DimFormazinTurbidity]none]

// FormazinNephelometric is the one unit of turbidity by ISO 7027, printed FNU.
const (
	FormazinNephelometric FormazinTurbidityUnit = iota + 1
)
