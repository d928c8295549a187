package units

import (
	"fmt"
	"math/big"
)

// Unit is the constraint that the unit types of this package satisfy. There is
// one unit type for each dimension, so a quantity can only be made, compared and
// converted with units of its own dimension; anything else does not compile.
type Unit interface {
	~uint8
	dimension() Dimension
}

// UnitOf is a unit of one dimension. Its instances have names, such as [MassUnit], and
// their values are the constants below. The zero unit is invalid.
type UnitOf[D marker] uint8

// marker is an array type that stands for the dimension whose number its length is.
type marker interface {
	[DimMass]none | [DimLength]none | [DimTemperature]none | [DimTemperatureDifference]none |
		[DimAbsolutePressure]none | [DimGaugePressure]none | [DimPressureRate]none | [DimDuration]none |
		[DimConductivity]none | [DimRatio]none | [DimArea]none | [DimVolume]none | [DimDensity]none |
		[DimForcePerWidth]none | [DimResistivity]none | [DimMassConcentration]none | [DimHardness]none |
		[DimColonyCount]none | [DimEndotoxin]none | [DimPH]none | [DimTurbidity]none | [DimFormazinTurbidity]none
}

type none struct{}

func (UnitOf[D]) dimension() Dimension {
	var d D
	return Dimension(len(d))
}

// String returns the UCUM code.
func (u UnitOf[D]) String() string {
	if c := u.dimension().info(uint8(u)).code; c != "" {
		return c
	}
	return "invalid unit"
}

// MarshalText writes the UCUM code.
func (u UnitOf[D]) MarshalText() ([]byte, error) {
	c := u.dimension().info(uint8(u)).code
	if c == "" && u != 0 {
		return nil, fmt.Errorf("units: %d is no unit of %s", uint8(u), u.dimension())
	}
	return []byte(c), nil
}

// UnmarshalText is [ParseUnit].
func (u *UnitOf[D]) UnmarshalText(text []byte) error {
	v, err := ParseUnit[UnitOf[D]](string(text))
	switch {
	case u == nil:
		return errNil
	case err == nil:
		*u = v
	}
	return err
}

// Dimension says what sort of quantity a [Value] is. The zero Dimension is
// invalid.
type Dimension uint8

// The dimensions. Absolute and gauge pressure, temperature and temperature
// difference, and a mass concentration with and without the species it is
// expressed as, are different dimensions although they share unit codes.
const (
	DimMass Dimension = iota + 1
	DimLength
	DimTemperature
	DimTemperatureDifference
	DimAbsolutePressure
	DimGaugePressure
	DimPressureRate
	DimDuration
	DimConductivity
	DimRatio
	DimArea
	DimVolume
	DimDensity
	DimForcePerWidth
	DimResistivity
	DimMassConcentration
	DimSpeciesConcentration
	DimHardness
	DimColonyCount
	DimEndotoxin
	DimPH
	DimTurbidity
	DimFormazinTurbidity
)

// The quantities. Each is a [Quantity] of its own unit type.
type (
	Mass                  = Quantity[MassUnit]
	Length                = Quantity[LengthUnit]
	Temperature           = Quantity[TemperatureUnit]
	TemperatureDifference = Quantity[TemperatureDifferenceUnit]
	AbsolutePressure      = Quantity[AbsolutePressureUnit]
	GaugePressure         = Quantity[GaugePressureUnit]
	PressureRate          = Quantity[PressureRateUnit]
	Duration              = Quantity[DurationUnit]
	Conductivity          = Quantity[ConductivityUnit]
	Ratio                 = Quantity[RatioUnit]

	Area          = Quantity[AreaUnit]
	Volume        = Quantity[VolumeUnit]
	Density       = Quantity[DensityUnit]
	ForcePerWidth = Quantity[ForcePerWidthUnit]

	Resistivity       = Quantity[ResistivityUnit]
	MassConcentration = Quantity[MassConcentrationUnit]
	Hardness          = Quantity[HardnessUnit]
	ColonyCount       = Quantity[ColonyCountUnit]
	Endotoxin         = Quantity[EndotoxinUnit]
	PH                = Quantity[PHUnit]
	Turbidity         = Quantity[TurbidityUnit]
	FormazinTurbidity = Quantity[FormazinTurbidityUnit]
)

// MassUnit is a unit of mass.
type MassUnit = UnitOf[[DimMass]none]

// Units of mass. Kilogram is the base unit.
const (
	Kilogram MassUnit = iota + 1
	Gram
	Milligram
	Pound     // avoirdupois, 0.45359237 kg exactly
	Ounce     // avoirdupois, a sixteenth of a pound
	Grain     // a seven-thousandth of a pound
	Stone     // fourteen pounds
	TroyOunce // 480 grains
)

// LengthUnit is a unit of length.
type LengthUnit = UnitOf[[DimLength]none]

// Units of length. Metre is the base unit.
const (
	Metre LengthUnit = iota + 1
	Centimetre
	Millimetre
	Micrometre
	Inch // 25.4 mm exactly
	Foot // 12 in
	Yard // 3 ft
	Mil  // a thousandth of an inch
)

// TemperatureUnit is a unit of temperature, that is of a point on a scale.
type TemperatureUnit = UnitOf[[DimTemperature]none]

// Units of temperature. Kelvin is the base unit.
const (
	Kelvin TemperatureUnit = iota + 1
	Celsius
	Fahrenheit
)

// TemperatureDifferenceUnit is a unit of temperature difference.
type TemperatureDifferenceUnit = UnitOf[[DimTemperatureDifference]none]

// Units of temperature difference. UCUM has no code for a difference in degrees
// Celsius: one degree is one kelvin, so write K. A difference in degrees
// Fahrenheit is five ninths of a kelvin, which UCUM writes 5.K/9.
const (
	KelvinDifference TemperatureDifferenceUnit = iota + 1
	FahrenheitDifference
)

// AbsolutePressureUnit is a unit of pressure counted from vacuum.
type AbsolutePressureUnit = UnitOf[[DimAbsolutePressure]none]

// Units of absolute pressure. Pascal is the base unit. The columns of mercury and
// water are those of UCUM; other conventions for an inch of mercury lie between
// 3376.85 Pa and 3386.389 Pa (NIST SP 811, B.8).
const (
	Pascal AbsolutePressureUnit = iota + 1
	Hectopascal
	Kilopascal
	Megapascal
	Millibar
	Bar
	PoundPerSquareInch  // 0.45359237 kg × 9.80665 m/s2 over (25.4 mm)2
	Atmosphere          // 101,325 Pa exactly
	TechnicalAtmosphere // 98,066.5 Pa exactly: a kilogram-force per square centimetre
	MillimetreOfMercury // 133.322 Pa, so that 760 of them are not quite an Atmosphere
	InchOfMercury       // 25.4 times that, 3386.3788 Pa
	InchOfWater         // 249.08891 Pa
)

// GaugePressureUnit is a unit of pressure counted from the air outside.
type GaugePressureUnit = UnitOf[[DimGaugePressure]none]

// Units of gauge pressure. They have the codes of the absolute units: UCUM has
// none for gauge, so the field or type must say it.
const (
	PascalGauge GaugePressureUnit = iota + 1
	HectopascalGauge
	KilopascalGauge
	MegapascalGauge
	MillibarGauge
	BarGauge
	PoundPerSquareInchGauge
	TechnicalAtmosphereGauge
	MillimetreOfMercuryGauge
	InchOfMercuryGauge
	InchOfWaterGauge
)

// PressureRateUnit is a unit of pressure change over time.
type PressureRateUnit = UnitOf[[DimPressureRate]none]

// Units of pressure rate. PascalPerSecond is the base unit.
const (
	PascalPerSecond PressureRateUnit = iota + 1
	KilopascalPerMinute
	MillibarPerMinute
	HectopascalPerMinute
	PoundPerSquareInchPerMinute
	MillimetreOfMercuryPerMinute
	InchOfMercuryPerMinute
)

// DurationUnit is a unit of duration.
type DurationUnit = UnitOf[[DimDuration]none]

// Units of duration. Second is the base unit.
const (
	Second DurationUnit = iota + 1
	Minute
	Hour
	Day
	Millisecond
)

// ConductivityUnit is a unit of electrical conductivity.
type ConductivityUnit = UnitOf[[DimConductivity]none]

// Units of conductivity. SiemensPerMetre is the base unit.
const (
	SiemensPerMetre ConductivityUnit = iota + 1
	MillisiemensPerMetre
	MicrosiemensPerCentimetre
	MillisiemensPerCentimetre
)

// RatioUnit is a unit of a ratio of like quantities.
type RatioUnit = UnitOf[[DimRatio]none]

// Units of ratio.
const (
	One RatioUnit = iota + 1
	Percent
	PartPerMillion       // a millionth; not a milligram per litre
	MilligramPerKilogram // a millionth, of mass
)

// info defines a unit: a number n of it is (n + offset) × num/den × 10^exp base
// units, exactly.
type info struct {
	code    string
	display string // for people, where the code does not read well
	num     int64
	den     int64
	exp     int8
	offset  int64 // coefficient of the offset
	offExp  int8  // power of ten of the offset
}

// factor returns how many base units one step of the unit is, the offset apart.
func (u *info) factor() *big.Rat { return ratOf(u.num, u.den, int(u.exp)) }

type dimension struct {
	name  string
	units []info // the first stands for the invalid zero unit
}

// The molar masses behind the units of hardness, in mg/mol, and the US gallon, in
// nL. A test holds them against HardnessWeights and 231 in3.
const (
	caCO3    = 100086
	caO      = 56077
	usGallon = 3785411784
)

// Exact definitions: pound, inch and foot by the 1959 agreement; standard gravity
// and standard atmosphere by definition; the pound per square inch follows from
// them as 4.4482216152605 N over 6.4516e-4 m2.
const (
	psiNum = 8896443230521
	psiDen = 129032
	psiExp = -4 // 8896443230521/1290320000 Pa
)

var dimensions = [...]dimension{
	{name: "invalid"},
	DimMass: {"mass", []info{{},
		{code: "kg", num: 1, den: 1},
		{code: "g", num: 1, den: 1, exp: -3},
		{code: "mg", num: 1, den: 1, exp: -6},
		{code: "[lb_av]", display: "lb", num: 45359237, den: 1, exp: -8},
		{code: "[oz_av]", display: "oz", num: 28349523125, den: 1, exp: -12},
		{code: "[gr]", display: "gr", num: 6479891, den: 1, exp: -11},
		{code: "[stone_av]", display: "st", num: 635029318, den: 1, exp: -8},
		{code: "[oz_tr]", display: "oz t", num: 311034768, den: 1, exp: -10},
	}},
	DimLength: {"length", []info{{},
		{code: "m", num: 1, den: 1},
		{code: "cm", num: 1, den: 1, exp: -2},
		{code: "mm", num: 1, den: 1, exp: -3},
		{code: "um", display: "µm", num: 1, den: 1, exp: -6},
		{code: "[in_i]", display: "in", num: 254, den: 1, exp: -4},
		{code: "[ft_i]", display: "ft", num: 3048, den: 1, exp: -4},
		{code: "[yd_i]", display: "yd", num: 9144, den: 1, exp: -4},
		{code: "[mil_i]", display: "mil", num: 254, den: 1, exp: -7},
	}},
	DimTemperature: {"temperature", []info{{},
		{code: "K", num: 1, den: 1},
		{code: "Cel", display: "°C", num: 1, den: 1, offset: 27315, offExp: -2},
		{code: "[degF]", display: "°F", num: 5, den: 9, offset: 45967, offExp: -2},
	}},
	DimTemperatureDifference: {"temperature difference", []info{{},
		{code: "K", num: 1, den: 1},
		{code: "5.K/9", display: "°F difference", num: 5, den: 9},
	}},
	DimAbsolutePressure: {"absolute pressure", []info{{},
		{code: "Pa", num: 1, den: 1},
		{code: "hPa", num: 1, den: 1, exp: 2},
		{code: "kPa", num: 1, den: 1, exp: 3},
		{code: "MPa", num: 1, den: 1, exp: 6},
		{code: "mbar", num: 1, den: 1, exp: 2},
		{code: "bar", num: 1, den: 1, exp: 5},
		{code: "[psi]", display: "psi", num: psiNum, den: psiDen, exp: psiExp},
		{code: "atm", num: 101325, den: 1},
		{code: "att", display: "at", num: 980665, den: 1, exp: -1},
		{code: "mm[Hg]", display: "mmHg", num: 133322, den: 1, exp: -3},
		{code: "[in_i'Hg]", display: "inHg", num: 33863788, den: 1, exp: -4},
		{code: "[in_i'H2O]", display: "inH2O", num: 24908891, den: 1, exp: -5},
	}},
	DimGaugePressure: {"gauge pressure", []info{{},
		{code: "Pa", num: 1, den: 1},
		{code: "hPa", num: 1, den: 1, exp: 2},
		{code: "kPa", num: 1, den: 1, exp: 3},
		{code: "MPa", num: 1, den: 1, exp: 6},
		{code: "mbar", num: 1, den: 1, exp: 2},
		{code: "bar", num: 1, den: 1, exp: 5},
		{code: "[psi]", display: "psi", num: psiNum, den: psiDen, exp: psiExp},
		{code: "att", display: "at", num: 980665, den: 1, exp: -1},
		{code: "mm[Hg]", display: "mmHg", num: 133322, den: 1, exp: -3},
		{code: "[in_i'Hg]", display: "inHg", num: 33863788, den: 1, exp: -4},
		{code: "[in_i'H2O]", display: "inH2O", num: 24908891, den: 1, exp: -5},
	}},
	DimPressureRate: {"pressure rate", []info{{},
		{code: "Pa/s", num: 1, den: 1},
		{code: "kPa/min", num: 50, den: 3},
		{code: "mbar/min", num: 5, den: 3},
		{code: "hPa/min", num: 5, den: 3},
		{code: "[psi]/min", display: "psi/min", num: psiNum, den: 60 * psiDen, exp: psiExp},
		{code: "mm[Hg]/min", display: "mmHg/min", num: 133322, den: 60, exp: -3},
		{code: "[in_i'Hg]/min", display: "inHg/min", num: 33863788, den: 60, exp: -4},
	}},
	DimDuration: {"duration", []info{{},
		{code: "s", num: 1, den: 1},
		{code: "min", num: 60, den: 1},
		{code: "h", num: 3600, den: 1},
		{code: "d", num: 86400, den: 1},
		{code: "ms", num: 1, den: 1, exp: -3},
	}},
	DimConductivity: {"conductivity", []info{{},
		{code: "S/m", num: 1, den: 1},
		{code: "mS/m", num: 1, den: 1, exp: -3},
		{code: "uS/cm", display: "µS/cm", num: 1, den: 1, exp: -4},
		{code: "mS/cm", num: 1, den: 1, exp: -1},
	}},
	DimRatio: {"ratio", []info{{},
		{code: "1", num: 1, den: 1},
		{code: "%", num: 1, den: 1, exp: -2},
		{code: "[ppm]", display: "ppm", num: 1, den: 1, exp: -6},
		{code: "mg/kg", num: 1, den: 1, exp: -6},
	}},
	DimArea: {"area", []info{{},
		{code: "m2", display: "m²", num: 1, den: 1},
		{code: "cm2", display: "cm²", num: 1, den: 1, exp: -4},
		{code: "mm2", display: "mm²", num: 1, den: 1, exp: -6},
		{code: "[in_i]2", display: "in²", num: 64516, den: 1, exp: -8},
		{code: "[ft_i]2", display: "ft²", num: 9290304, den: 1, exp: -8},
	}},
	DimVolume: {"volume", []info{{},
		{code: "L", num: 1, den: 1},
		{code: "m3", display: "m³", num: 1, den: 1, exp: 3},
		{code: "mL", num: 1, den: 1, exp: -3},
		{code: "cm3", display: "cm³", num: 1, den: 1, exp: -3},
		{code: "[in_i]3", display: "in³", num: 16387064, den: 1, exp: -9},
		{code: "[ft_i]3", display: "ft³", num: 28316846592, den: 1, exp: -9},
		{code: "[gal_us]", display: "US gal", num: usGallon, den: 1, exp: -9},
		{code: "[qt_us]", display: "US qt", num: usGallon / 4, den: 1, exp: -9},
		{code: "[foz_us]", display: "US fl oz", num: 295735295625, den: 1, exp: -13},
		{code: "[gal_br]", display: "imp gal", num: 454609, den: 1, exp: -5},
		{code: "[foz_br]", display: "imp fl oz", num: 284130625, den: 1, exp: -10},
	}},
	DimDensity: {"density", []info{{},
		{code: "kg/m3", display: "kg/m³", num: 1, den: 1},
		{code: "g/cm3", display: "g/cm³", num: 1, den: 1, exp: 3},
		{code: "kg/L", num: 1, den: 1, exp: 3},
		{code: "[lb_av]/[ft_i]3", display: "lb/ft³", num: 45359237, den: 28316846592, exp: 4},
	}},
	DimForcePerWidth: {"force per width", []info{{},
		{code: "N/m", num: 1, den: 1},
		{code: "N/mm", num: 1, den: 1, exp: 3},
		{code: "N/(15.mm)", display: "N per 15 mm", num: 200, den: 3},
		{code: "N/(25.mm)", display: "N per 25 mm", num: 40, den: 1},
		{code: "[lbf_av]/[in_i]", display: "lbf/in", num: 44482216152605, den: 254, exp: -9},
	}},
	DimResistivity: {"resistivity", []info{{},
		{code: "Ohm.m", display: "Ω·m", num: 1, den: 1},
		{code: "MOhm.cm", display: "MΩ·cm", num: 1, den: 1, exp: 4},
		{code: "kOhm.cm", display: "kΩ·cm", num: 1, den: 1, exp: 1},
	}},
	DimMassConcentration:    {"mass concentration", massConcentrations},
	DimSpeciesConcentration: {"mass concentration expressed as a species", massConcentrations},
	DimHardness: {"hardness", []info{{},
		{code: "mmol/L", num: 1, den: 1},
		{code: "mg/L{CaCO3}", display: "mg/L as CaCO3", num: 1000, den: caCO3},
		{code: "[gr]/[gal_us]{CaCO3}", display: "gr/US gal as CaCO3", num: 6479891 * 1e4 * 1000, den: usGallon * caCO3},
		{code: "10.mg/L{CaO}", display: "°dH", num: 10000, den: caO},
		{code: "10.mg/L{CaCO3}", display: "°fH", num: 10000, den: caCO3},
		{code: "[gr]/[gal_br]{CaCO3}", display: "°e", num: 6479891 * 1000, den: 454609 * caCO3},
	}},
	DimColonyCount: {"colony count", []info{{},
		{code: "[CFU]/mL", display: "CFU/mL", num: 1, den: 1},
		{code: "[CFU]/dL", display: "CFU/100 mL", num: 1, den: 1, exp: -2},
		{code: "[CFU]/L", display: "CFU/L", num: 1, den: 1, exp: -3},
	}},
	DimEndotoxin: {"endotoxin", []info{{},
		{code: "{EU}/mL", display: "EU/mL", num: 1, den: 1},
		{code: "{EU}/L", display: "EU/L", num: 1, den: 1, exp: -3},
		{code: "[IU]/mL", display: "IU/mL", num: 1, den: 1},
	}},
	DimPH:                {"pH", []info{{}, {code: "[pH]", num: 1, den: 1}}},
	DimTurbidity:         {"turbidity by EPA 180.1", []info{{}, {code: "[NTU]", display: "NTU", num: 1, den: 1}}},
	DimFormazinTurbidity: {"turbidity by ISO 7027", []info{{}, {code: "[FNU]", display: "FNU", num: 1, den: 1}}},
}

// Both dimensions of mass concentration have these units.
var massConcentrations = []info{{},
	{code: "mg/L", num: 1, den: 1},
	{code: "ug/L", display: "µg/L", num: 1, den: 1, exp: -3},
	{code: "g/L", num: 1, den: 1, exp: 3},
	{code: "[gr]/[gal_us]", display: "gr/US gal", num: 6479891 * 1e4, den: usGallon},
}

// String returns the name of the dimension, such as "gauge pressure".
func (d Dimension) String() string {
	if int(d) < len(dimensions) {
		return dimensions[d].name
	}
	return dimensions[0].name
}

// Signed reports whether the number of a quantity of d may be negative: a temperature,
// a difference, a gauge pressure, a rate of pressure and a pH, which is a logarithm. A
// negative mass, length, absolute pressure or concentration is a slip of the pen.
func (d Dimension) Signed() bool {
	switch d {
	case DimTemperature, DimTemperatureDifference, DimGaugePressure, DimPressureRate, DimPH:
		return true
	}
	return false
}

// info returns the definition of unit u of dimension d, or the zero info.
func (d Dimension) info(u uint8) *info {
	if int(d) < len(dimensions) && int(u) < len(dimensions[d].units) {
		return &dimensions[d].units[u]
	}
	return &noUnit
}

var noUnit info

// Codes returns the UCUM codes of a dimension's units, in a fixed order. Those of
// [DimSpeciesConcentration] are each unit with each species.
func (d Dimension) Codes() []string {
	if int(d) >= len(dimensions) {
		return nil
	}
	var out []string
	for _, u := range dimensions[d].units {
		switch {
		case u.code == "":
		case d == DimSpeciesConcentration:
			for _, a := range annotations() {
				out = append(out, u.code+a)
			}
		default:
			out = append(out, u.code)
		}
	}
	return out
}

// ParseUnit returns the unit with this UCUM code, compared exactly. The error for
// an everyday spelling names the code to use.
func ParseUnit[U Unit](code string) (U, error) {
	var zero U
	u, err := parseCode(zero.dimension(), code)
	return U(u), err
}

func parseCode[T ~string | ~[]byte](d Dimension, code T) (uint8, error) {
	if len(code) > 0 && int(d) < len(dimensions) {
		for i := range dimensions[d].units {
			if dimensions[d].units[i].code == string(code) {
				return uint8(i), nil
			}
		}
	}
	return 0, &UnitError{Code: string(code), Dimension: d, Use: d.suggest(string(code))}
}

// suggest returns the code that an everyday spelling stands for, if it is one of
// this dimension.
func (d Dimension) suggest(spelling string) string {
	if int(d) >= len(dimensions) {
		return ""
	}
	for _, s := range spellings {
		if s.written != spelling {
			continue
		}
		for _, u := range dimensions[d].units {
			if u.code == s.code {
				return s.code
			}
		}
	}
	return ""
}
