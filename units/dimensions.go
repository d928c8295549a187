package units

import "fmt"

// Unit is the constraint that the unit types of this package satisfy. There is
// one unit type for each dimension, so a quantity can only be made, compared and
// converted with units of its own dimension; anything else does not compile.
type Unit interface {
	~uint8
	dimension() Dimension
}

// Dimension says what sort of quantity a [Value] is. The zero Dimension is
// invalid.
type Dimension uint8

// The dimensions. Absolute and gauge pressure, and temperature and temperature
// difference, are different dimensions although they share unit codes.
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
)

// MassUnit is a unit of mass.
type MassUnit uint8

// Units of mass. Kilogram is the base unit.
const (
	Kilogram MassUnit = iota + 1
	Gram
	Milligram
	Pound // avoirdupois, 0.45359237 kg exactly
	Ounce // avoirdupois, a sixteenth of a pound
	Grain // a seven-thousandth of a pound
	Stone // fourteen pounds
)

func (MassUnit) dimension() Dimension { return DimMass }

// String returns the UCUM code.
func (u MassUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u MassUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *MassUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// LengthUnit is a unit of length.
type LengthUnit uint8

// Units of length. Metre is the base unit.
const (
	Metre LengthUnit = iota + 1
	Centimetre
	Millimetre
	Micrometre
	Inch // 25.4 mm exactly
	Foot // 12 in
)

func (LengthUnit) dimension() Dimension { return DimLength }

// String returns the UCUM code.
func (u LengthUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u LengthUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *LengthUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// TemperatureUnit is a unit of temperature, that is of a point on a scale.
type TemperatureUnit uint8

// Units of temperature. Kelvin is the base unit.
const (
	Kelvin TemperatureUnit = iota + 1
	Celsius
	Fahrenheit
)

func (TemperatureUnit) dimension() Dimension { return DimTemperature }

// String returns the UCUM code.
func (u TemperatureUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u TemperatureUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *TemperatureUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// TemperatureDifferenceUnit is a unit of temperature difference.
type TemperatureDifferenceUnit uint8

// Units of temperature difference. UCUM has no code for a difference in degrees
// Celsius: one degree is one kelvin, so write K. A difference in degrees
// Fahrenheit is five ninths of a kelvin, which UCUM writes 5.K/9.
const (
	KelvinDifference TemperatureDifferenceUnit = iota + 1
	FahrenheitDifference
)

func (TemperatureDifferenceUnit) dimension() Dimension { return DimTemperatureDifference }

// String returns the UCUM code.
func (u TemperatureDifferenceUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u TemperatureDifferenceUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *TemperatureDifferenceUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// AbsolutePressureUnit is a unit of pressure counted from vacuum.
type AbsolutePressureUnit uint8

// Units of absolute pressure. Pascal is the base unit.
const (
	Pascal AbsolutePressureUnit = iota + 1
	Hectopascal
	Kilopascal
	Megapascal
	Millibar
	Bar
	PoundPerSquareInch // 0.45359237 kg × 9.80665 m/s2 over (25.4 mm)2
	Atmosphere         // 101,325 Pa exactly
)

func (AbsolutePressureUnit) dimension() Dimension { return DimAbsolutePressure }

// String returns the UCUM code.
func (u AbsolutePressureUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u AbsolutePressureUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *AbsolutePressureUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// GaugePressureUnit is a unit of pressure counted from the air outside.
type GaugePressureUnit uint8

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
)

func (GaugePressureUnit) dimension() Dimension { return DimGaugePressure }

// String returns the UCUM code.
func (u GaugePressureUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u GaugePressureUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *GaugePressureUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// PressureRateUnit is a unit of pressure change over time.
type PressureRateUnit uint8

// Units of pressure rate. PascalPerSecond is the base unit.
const (
	PascalPerSecond PressureRateUnit = iota + 1
	KilopascalPerMinute
	MillibarPerMinute
)

func (PressureRateUnit) dimension() Dimension { return DimPressureRate }

// String returns the UCUM code.
func (u PressureRateUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u PressureRateUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *PressureRateUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// DurationUnit is a unit of duration.
type DurationUnit uint8

// Units of duration. Second is the base unit.
const (
	Second DurationUnit = iota + 1
	Minute
	Hour
	Day
	Millisecond
)

func (DurationUnit) dimension() Dimension { return DimDuration }

// String returns the UCUM code.
func (u DurationUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u DurationUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *DurationUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// ConductivityUnit is a unit of electrical conductivity.
type ConductivityUnit uint8

// Units of conductivity. SiemensPerMetre is the base unit.
const (
	SiemensPerMetre ConductivityUnit = iota + 1
	MillisiemensPerMetre
	MicrosiemensPerCentimetre
	MillisiemensPerCentimetre
)

func (ConductivityUnit) dimension() Dimension { return DimConductivity }

// String returns the UCUM code.
func (u ConductivityUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u ConductivityUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *ConductivityUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

// RatioUnit is a unit of a ratio of like quantities.
type RatioUnit uint8

// Units of ratio.
const (
	One RatioUnit = iota + 1
	Percent
)

func (RatioUnit) dimension() Dimension { return DimRatio }

// String returns the UCUM code.
func (u RatioUnit) String() string { return code(u) }

// MarshalText writes the UCUM code.
func (u RatioUnit) MarshalText() ([]byte, error) { return marshalUnit(u) }

// UnmarshalText is [ParseUnit].
func (u *RatioUnit) UnmarshalText(text []byte) error { return unmarshalUnit(u, text) }

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

type dimension struct {
	name  string
	units []info // the first stands for the invalid zero unit
}

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
	}},
	DimLength: {"length", []info{{},
		{code: "m", num: 1, den: 1},
		{code: "cm", num: 1, den: 1, exp: -2},
		{code: "mm", num: 1, den: 1, exp: -3},
		{code: "um", display: "µm", num: 1, den: 1, exp: -6},
		{code: "[in_i]", display: "in", num: 254, den: 1, exp: -4},
		{code: "[ft_i]", display: "ft", num: 3048, den: 1, exp: -4},
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
	}},
	DimGaugePressure: {"gauge pressure", []info{{},
		{code: "Pa", num: 1, den: 1},
		{code: "hPa", num: 1, den: 1, exp: 2},
		{code: "kPa", num: 1, den: 1, exp: 3},
		{code: "MPa", num: 1, den: 1, exp: 6},
		{code: "mbar", num: 1, den: 1, exp: 2},
		{code: "bar", num: 1, den: 1, exp: 5},
		{code: "[psi]", display: "psi", num: psiNum, den: psiDen, exp: psiExp},
	}},
	DimPressureRate: {"pressure rate", []info{{},
		{code: "Pa/s", num: 1, den: 1},
		{code: "kPa/min", num: 50, den: 3},
		{code: "mbar/min", num: 5, den: 3},
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
	}},
}

// String returns the name of the dimension, such as "gauge pressure".
func (d Dimension) String() string {
	if int(d) < len(dimensions) {
		return dimensions[d].name
	}
	return dimensions[0].name
}

// info returns the definition of unit u of dimension d, or the zero info.
func (d Dimension) info(u uint8) *info {
	if int(d) < len(dimensions) && int(u) < len(dimensions[d].units) {
		return &dimensions[d].units[u]
	}
	return &noUnit
}

var noUnit info

func code[U Unit](u U) string {
	if c := u.dimension().info(uint8(u)).code; c != "" {
		return c
	}
	return "invalid unit"
}

// Codes returns the UCUM codes of a dimension's units, in a fixed order.
func (d Dimension) Codes() []string {
	if int(d) >= len(dimensions) {
		return nil
	}
	var out []string
	for _, u := range dimensions[d].units {
		if u.code != "" {
			out = append(out, u.code)
		}
	}
	return out
}

// ParseUnit returns the unit with this UCUM code, compared exactly. The error for
// an everyday spelling names the code to use.
func ParseUnit[U Unit](code string) (U, error) {
	var zero U
	u, err := zero.dimension().parse(code)
	return U(u), err
}

func (d Dimension) parse(code string) (uint8, error) {
	if code != "" && int(d) < len(dimensions) {
		for i, u := range dimensions[d].units {
			if u.code == code {
				return uint8(i), nil
			}
		}
	}
	return 0, &UnitError{Code: code, Dimension: d, Use: d.suggest(code)}
}

func marshalUnit[U Unit](u U) ([]byte, error) {
	c := u.dimension().info(uint8(u)).code
	if c == "" && u != 0 {
		return nil, fmt.Errorf("units: %d is no unit of %s", uint8(u), u.dimension())
	}
	return []byte(c), nil
}

func unmarshalUnit[U Unit](u *U, text []byte) error {
	v, err := ParseUnit[U](string(text))
	if err == nil {
		*u = v
	}
	return err
}

// suggest returns the code that an everyday spelling stands for, if it is one of
// this dimension.
func (d Dimension) suggest(code string) string {
	use := ""
	switch code {
	case "lb", "lbs", "pound", "pounds", "LB", "#":
		use = "[lb_av]"
	case "oz", "ounce", "ounces":
		use = "[oz_av]"
	case "kgs", "KG", "Kg", "kilo":
		use = "kg"
	case "in", "inch", "inches", "\"", "″":
		use = "[in_i]"
	case "ft", "feet", "foot", "'":
		use = "[ft_i]"
	case "µm", "μm", "micron":
		use = "um"
	case "°C", "degC", "C", "celsius", "Celsius", "ºC", "℃":
		use = "Cel"
		if d == DimTemperatureDifference {
			use = "K"
		}
	case "°F", "degF", "F", "fahrenheit", "Fahrenheit", "ºF", "℉":
		use = "[degF]"
		if d == DimTemperatureDifference {
			use = "5.K/9"
		}
	case "Cel":
		use = "K" // only asked for a difference
	case "[degF]":
		use = "5.K/9"
	case "psi", "PSI", "lb/in2", "lbf/in2", "psig", "psia", "psi(g)", "psi(a)":
		use = "[psi]"
	case "kPag", "kPa(g)", "kPag.", "kPaA", "kPa{gauge}", "kPa{abs}", "KPa", "kpa", "KPA":
		use = "kPa"
	case "barg", "bara", "Bar", "BAR", "bar(g)", "bar(a)":
		use = "bar"
	case "µS/cm", "μS/cm", "uS", "us/cm", "µS", "μS":
		use = "uS/cm"
	case "sec", "secs", "seconds", "S":
		use = "s"
	case "mins", "minute", "minutes", "m":
		use = "min"
	case "hr", "hrs", "hour", "hours":
		use = "h"
	case "day", "days":
		use = "d"
	case "percent", "pct":
		use = "%"
	}
	for _, u := range dimensions[min(int(d), len(dimensions)-1)].units {
		if use != "" && u.code == use {
			return use
		}
	}
	return ""
}
