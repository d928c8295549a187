package units

import (
	"errors"
	"fmt"
	"math/big"
	"strings"

	"example.com/moistheat/internal/guard"
)

// Species is the chemical species that a concentration is expressed as: 1 mg/L
// phosphate as P2O5 is 1.34 mg/L as PO4. The zero Species is invalid.
type Species uint8

// The species that water analyses are expressed as.
const (
	AsCaCO3 Species = iota + 1
	AsCaO
	AsCa
	AsMg
	AsHCO3
	AsSiO2
	AsSi
	AsP2O5
	AsPO4
	AsP
	AsNO3
	AsNH4
	AsN
	AsCl
	AsNaCl
)

// Two species stand for the same substance if they share a family. CaCO3 stands
// for dissolved calcium and magnesium as well as for alkalinity; N for nitrate or
// for ammonium, which are not each other.
const (
	calcium = 1 << iota
	magnesium
	alkalinity
	silicate
	phosphate
	nitrate
	ammonium
	chloride
)

type element uint8

const (
	hydrogen element = iota
	carbon
	nitrogen
	oxygen
	sodium
	magnesiumAtom
	silicon
	phosphorus
	chlorine
	calciumAtom
	elements
)

// formula counts the atoms of each element.
type formula [elements]uint8

// halves is how many halves of the family's own unit (an atom, or for alkalinity
// two charges) one formula unit carries.
var speciesTable = [...]struct {
	name     string
	families uint16
	halves   int64
	atoms    formula
}{
	AsCaCO3: {"CaCO3", calcium | magnesium | alkalinity, 2, formula{calciumAtom: 1, carbon: 1, oxygen: 3}},
	AsCaO:   {"CaO", calcium | magnesium, 2, formula{calciumAtom: 1, oxygen: 1}},
	AsCa:    {"Ca", calcium, 2, formula{calciumAtom: 1}},
	AsMg:    {"Mg", magnesium, 2, formula{magnesiumAtom: 1}},
	AsHCO3:  {"HCO3", alkalinity, 1, formula{hydrogen: 1, carbon: 1, oxygen: 3}},
	AsSiO2:  {"SiO2", silicate, 2, formula{silicon: 1, oxygen: 2}},
	AsSi:    {"Si", silicate, 2, formula{silicon: 1}},
	AsP2O5:  {"P2O5", phosphate, 4, formula{phosphorus: 2, oxygen: 5}},
	AsPO4:   {"PO4", phosphate, 2, formula{phosphorus: 1, oxygen: 4}},
	AsP:     {"P", phosphate, 2, formula{phosphorus: 1}},
	AsNO3:   {"NO3", nitrate, 2, formula{nitrogen: 1, oxygen: 3}},
	AsNH4:   {"NH4", ammonium, 2, formula{nitrogen: 1, hydrogen: 4}},
	AsN:     {"N", nitrate | ammonium, 2, formula{nitrogen: 1}},
	AsCl:    {"Cl", chloride, 2, formula{chlorine: 1}},
	AsNaCl:  {"NaCl", chloride, 2, formula{sodium: 1, chlorine: 1}},
}

// String returns the formula, such as "CaCO3".
func (s Species) String() string {
	if int(s) < len(speciesTable) && s != 0 {
		return speciesTable[s].name
	}
	return "invalid species"
}

// MarshalText writes the formula.
func (s Species) MarshalText() ([]byte, error) {
	if int(s) >= len(speciesTable) {
		return nil, fmt.Errorf("units: %d is no species", uint8(s))
	}
	return []byte(speciesTable[s].name), nil
}

// UnmarshalText reads the formula, compared exactly.
func (s *Species) UnmarshalText(text []byte) error {
	if s == nil {
		return errNil
	}
	for i := range speciesTable {
		if i > 0 && speciesTable[i].name == string(text) {
			*s = Species(i)
			return nil
		}
	}
	return fmt.Errorf("units: %.20q is not a species that concentrations are expressed as here", text)
}

// SpeciesConcentration is a mass concentration together with the species that it
// is expressed as. Its code is a UCUM code with the species as annotation, such as
// mg/L{SiO2}. UCUM itself gives an annotation no meaning; here it has one, and two
// concentrations compare only if it is the same. To compare across species, choose
// the atomic weights to do it with: see [AtomicWeights.Compare].
//
// The zero SpeciesConcentration is invalid.
type SpeciesConcentration struct {
	mass    MassConcentration
	species Species
}

// Express says what a mass concentration is expressed as. It returns the invalid
// zero value if either is invalid.
func Express(c MassConcentration, s Species) SpeciesConcentration {
	if !c.IsValid() || s == 0 || int(s) >= len(speciesTable) {
		return SpeciesConcentration{}
	}
	return SpeciesConcentration{c, s}
}

// ParseSpeciesConcentration reads a number, a space and a code with its species,
// as in "0.5 mg/L{P2O5}".
func ParseSpeciesConcentration(s string) (SpeciesConcentration, error) {
	number, code, ok := strings.Cut(s, " ")
	if !ok {
		return SpeciesConcentration{}, fmt.Errorf("units: %.40q: want a number, a space and a unit with its species", s)
	}
	coef, exp, ok := guard.ParseNumber(number)
	if !ok {
		return SpeciesConcentration{}, numberError(number)
	}
	u, species, err := parseSpeciesCode(code)
	if err != nil {
		return SpeciesConcentration{}, err
	}
	return SpeciesConcentration{MassConcentration{coef, int8(exp), u}, species}, nil
}

// MustParseSpeciesConcentration is [ParseSpeciesConcentration] for constants in
// programs and tests; it panics on an error.
func MustParseSpeciesConcentration(s string) SpeciesConcentration {
	c, err := ParseSpeciesConcentration(s)
	if err != nil {
		panic(err)
	}
	return c
}

func parseSpeciesCode[T ~string | ~[]byte](text T) (MassConcentrationUnit, Species, error) {
	code := string(text)
	base, formula, annotated := strings.Cut(code, "{")
	u, err := parseCode(DimSpeciesConcentration, base)
	if err != nil {
		return 0, 0, err
	}
	formula, closed := strings.CutSuffix(formula, "}")
	var s Species
	if !annotated || !closed || s.UnmarshalText([]byte(formula)) != nil {
		return 0, 0, fmt.Errorf("units: %.40q does not say what it is expressed as; write %s followed by one of %s", code, base, strings.Join(annotations(), " "))
	}
	return MassConcentrationUnit(u), s, nil
}

func annotations() []string {
	var out []string
	for _, s := range speciesTable[1:] {
		out = append(out, "{"+s.name+"}")
	}
	return out
}

// Mass returns the concentration without its species.
func (c SpeciesConcentration) Mass() MassConcentration { return c.mass }

// Species returns what c is expressed as.
func (c SpeciesConcentration) Species() Species { return c.species }

// IsValid reports whether c holds a concentration.
func (c SpeciesConcentration) IsValid() bool { return c.species != 0 }

// IsZero reports whether c is invalid, for the omitzero option.
func (c SpeciesConcentration) IsZero() bool { return !c.IsValid() }

// Value returns c with its dimension erased; the species stays.
func (c SpeciesConcentration) Value() Value {
	v := c.mass.Value()
	if v.IsValid() {
		v.dim, v.species = DimSpeciesConcentration, c.species
	}
	return v
}

// Compare returns -1, 0 or +1 as c is smaller than, equal to or greater than d,
// exactly. ok is false if they are not two valid concentrations expressed as the
// same species.
func (c SpeciesConcentration) Compare(d SpeciesConcentration) (order int, ok bool) {
	return c.Value().Compare(d.Value())
}

// String returns c for reading, such as "0.5 mg/L as P2O5".
func (c SpeciesConcentration) String() string { return c.Value().String() }

// MarshalText writes the form that [ParseSpeciesConcentration] reads.
func (c SpeciesConcentration) MarshalText() ([]byte, error) {
	if !c.IsValid() {
		return nil, errors.New("units: an invalid concentration has no text form")
	}
	return []byte(c.Value().Text()), nil
}

// UnmarshalText is [ParseSpeciesConcentration].
func (c *SpeciesConcentration) UnmarshalText(text []byte) error {
	d, err := ParseSpeciesConcentration(string(text))
	if err == nil {
		*c = d
	}
	return err
}

// MarshalJSON writes {"value":0.5,"unit":"mg/L{P2O5}"}, digits kept.
func (c SpeciesConcentration) MarshalJSON() ([]byte, error) { return c.Value().MarshalJSON() }

// UnmarshalJSON reads what MarshalJSON writes. A unit without a species is refused.
func (c *SpeciesConcentration) UnmarshalJSON(data []byte) error {
	coef, exp, unit, err := readJSON(data)
	if err != nil {
		return err
	}
	u, species, err := parseSpeciesCode(unit)
	if err != nil {
		return &JSONError{Pointer: "/unit", Problem: err.Error()}
	}
	*c = SpeciesConcentration{MassConcentration{coef, exp, u}, species}
	return nil
}

// AtomicWeights is an edition of the standard atomic weights. Every conversion
// between species goes through one, so that a program states which. The zero
// AtomicWeights is invalid.
type AtomicWeights uint8

const (
	// IUPAC2021 is the abridged table of 2021 (Prohaska et al. 2022, table 1);
	// CaCO3 is 100.086 g/mol.
	IUPAC2021 AtomicWeights = iota + 1
	// Classic has the weights C 12.0107, O 15.9994 and Ca 40.078, on which the
	// often printed 100.0869 g/mol of CaCO3 rests, and no others.
	Classic
)

// HardnessWeights is the edition behind the units of [Hardness].
const HardnessWeights = IUPAC2021

// Weights in 1e-4 g/mol; 0 where the edition has none.
var atomicWeights = [...][elements]int64{
	IUPAC2021: {
		hydrogen: 1_0080, carbon: 12_0110, nitrogen: 14_0070, oxygen: 15_9990, sodium: 22_9900, magnesiumAtom: 24_3050,
		silicon: 28_0850, phosphorus: 30_9740, chlorine: 35_4500, calciumAtom: 40_0780,
	},
	Classic: {carbon: 12_0107, oxygen: 15_9994, calciumAtom: 40_0780},
}

// String names the edition.
func (w AtomicWeights) String() string {
	switch w {
	case IUPAC2021:
		return "IUPAC 2021 abridged standard atomic weights"
	case Classic:
		return "C 12.0107, O 15.9994, Ca 40.078"
	}
	return "invalid atomic weights"
}

// molar returns the molar mass of s in 1e-4 g/mol.
func (w AtomicWeights) molar(s Species) (int64, error) {
	if w == 0 || int(w) >= len(atomicWeights) || s == 0 || int(s) >= len(speciesTable) {
		return 0, errors.New("units: invalid atomic weights or species")
	}
	var sum int64
	for e, n := range speciesTable[s].atoms {
		if n > 0 && atomicWeights[w][e] == 0 {
			return 0, fmt.Errorf("units: no molar mass of %s: not all its elements are in %q", s, w)
		}
		sum += int64(n) * atomicWeights[w][e]
	}
	return sum, nil
}

// factor returns how much mass as species to stands for one of species from.
func (w AtomicWeights) factor(from, to Species) (*big.Rat, error) {
	mf, err := w.molar(from)
	if err != nil {
		return nil, err
	}
	mt, err := w.molar(to)
	if err != nil {
		return nil, err
	}
	f, t := &speciesTable[from], &speciesTable[to]
	if f.families&t.families == 0 {
		return nil, fmt.Errorf("units: a concentration as %s cannot be expressed as %s: it is another substance", from, to)
	}
	return big.NewRat(f.halves*mt, t.halves*mf), nil
}

// Convert expresses c as another species of the same substance, in unit u and
// rounded once to the given number of decimal places. Dissolved calcium and
// magnesium and the alkalinity go to CaCO3 and back, phosphate, silicate, nitrate,
// ammonium and chloride between their usual forms. It returns an error for
// anything else and for a result of more than 18 digits.
func (w AtomicWeights) Convert(c SpeciesConcentration, to Species, u MassConcentrationUnit, places int, r Rounding) (SpeciesConcentration, error) {
	f, err := w.factor(c.species, to)
	if err != nil {
		return SpeciesConcentration{}, err
	}
	m, err := fromRat(f.Mul(f, c.mass.Rat()), u, places, r)
	return Express(m, to), err
}

// Compare returns -1, 0 or +1 as a is smaller than, equal to or greater than b,
// exactly, when both are expressed as the same species. It returns an error if
// they are not two forms of the same substance.
func (w AtomicWeights) Compare(a, b SpeciesConcentration) (int, error) {
	f, err := w.factor(a.species, b.species)
	if err != nil {
		return 0, err
	}
	return f.Mul(f, a.mass.Rat()).Cmp(b.mass.Rat()), nil
}

// TotalHardness adds up concentrations of calcium and magnesium, expressed as Ca,
// Mg, CaO or CaCO3, and returns the sum in mmol/L, rounded once to the given number
// of decimal places.
func (w AtomicWeights) TotalHardness(places int, r Rounding, parts ...SpeciesConcentration) (Hardness, error) {
	if len(parts) == 0 {
		return Hardness{}, errors.New("units: no concentration given")
	}
	sum := new(big.Rat)
	for _, c := range parts {
		m, err := w.molar(c.species)
		if err != nil {
			return Hardness{}, err
		}
		if speciesTable[c.species].families&(calcium|magnesium) == 0 {
			return Hardness{}, fmt.Errorf("units: %s is no part of the hardness", c.species)
		}
		n := c.mass.Rat()
		sum.Add(sum, n.Mul(n, big.NewRat(1e4, m)))
	}
	return fromRat(sum, HardnessMillimolePerLitre, places, r)
}

// fromRat returns n base units as a quantity of unit u.
func fromRat[U Unit](n *big.Rat, u U, places int, r Rounding) (Quantity[U], error) {
	t := u.dimension().info(uint8(u))
	if t.code == "" || places < 0 || places > 18 {
		return Quantity[U]{}, errRange
	}
	n.Quo(n, t.factor())
	if q := round(n, u, places, r); q.IsValid() {
		return q, nil
	}
	return Quantity[U]{}, errRange
}

// ConductivityOf returns the conductivity of water with resistivity x, rounded once
// to the given number of decimal places of unit u. A lowest resistivity is a highest
// conductivity: round a limit [Down] here that was a lower one.
func ConductivityOf(x Resistivity, u ConductivityUnit, places int, r Rounding) (Conductivity, error) {
	n := x.Rat()
	if n.Sign() <= 0 {
		return Conductivity{}, errors.New("units: only a positive value has a reciprocal")
	}
	return fromRat(n.Inv(n), u, places, r)
}
