package packaging

import (
	"math/big"

	"example.com/moistheat"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/units"
)

// Lumen is a bore, channel or tube in an item. Sizes that were not measured are
// absent.
type Lumen struct {
	Length   units.Length `json:"length,omitzero"`
	Bore     units.Length `json:"bore,omitzero"`                     // inner diameter, at the narrowest
	OpenEnds int          `json:"openEnds,omitzero" min:"1" max:"2"` // 1 is blind, 2 goes through; 0 is not recorded
}

// LumenClass says how hard it is to get air out of a lumen and steam into it, from
// easy to hard, so that max picks the harder of two. The zero LumenClass is
// invalid.
type LumenClass = moistheat.Word[lumenClasses]

const (
	// Solid: so shallow that it counts as a solid surface.
	Solid LumenClass = iota + 1
	// HollowB: short and wide.
	HollowB
	// HollowA: long or narrow; the air must be drawn out.
	HollowA
	// BeyondHollowA: longer or narrower than the standard covers; only a validation
	// for this item can allow it.
	BeyondHollowA
)

type lumenClasses struct{}

func (lumenClasses) Words() string { return "solid|hollow B|hollow A|beyond hollow A" }

// lumenLimits are the limits of the classes for one number of open ends.
type lumenLimits struct {
	hollow, ratioA, ratioB *big.Rat
	lengthA, boreB         units.Length
}

// lumenTable is the definition of the classes and its limits by open ends.
type lumenTable struct {
	figures *Figures
	byEnds  [3]lumenLimits
}

var lumens lazy.Value[*lumenTable]

func readLumens() *lumenTable {
	data, err := files.ReadFile("figures/lumen/en-13060-2004.json")
	if err != nil {
		panic(err) // embedded; a test reads it
	}
	f, err := parseFigures(data)
	if err != nil {
		panic(err) // embedded; a test parses it
	}
	t := &lumenTable{figures: f}
	for _, f := range f.rows {
		l := &t.byEnds[f.OpenEnds]
		switch f.Limit {
		case LeastHollowRatio:
			l.hollow = f.Ratio.Rat()
		case GreatestHollowARatio:
			l.ratioA = f.Ratio.Rat()
		case GreatestHollowALength:
			l.lengthA = f.Length
		case GreatestHollowBRatio:
			l.ratioB = f.Ratio.Rat()
		case LeastHollowBBore:
			l.boreB = f.Length
		}
	}
	return t
}

// LumenFigures returns the figures that define the lumen classes, each with its
// source: hollow loads A and B of EN 13060:2004, of which the B bore and the B
// ratio for two open ends are recalled and not checked against a copy.
func LumenFigures() []Figure { return lumens.Get(readLumens).figures.All() }

// Class returns the class of the lumen. Length and bore may have any units; they
// are compared exactly, as length against a multiple of the bore, so a lumen on a
// limit is on its easier side. ok is false if length, bore or open ends are missing
// or cannot be: then nothing is known, and the lumen must be handled as hollow A.
func (l Lumen) Class() (c LumenClass, ok bool) {
	if l.OpenEnds != 1 && l.OpenEnds != 2 {
		return 0, false
	}
	if !positive(l.Length.Value()) || !positive(l.Bore.Value()) {
		return 0, false
	}
	lim := &lumens.Get(readLumens).byEnds[l.OpenEnds]
	switch {
	case l.compareRatio(lim.hollow) < 0:
		return Solid, true
	case l.Bore.Compare(lim.boreB) >= 0 && l.compareRatio(lim.ratioB) <= 0:
		return HollowB, true
	case l.Length.Compare(lim.lengthA) <= 0 && l.compareRatio(lim.ratioA) <= 0:
		return HollowA, true
	}
	return BeyondHollowA, true
}

// compareRatio compares length over bore with a ratio, exactly: floating point
// decides where the two are so far apart that its rounding cannot matter.
func (l Lumen) compareRatio(ratio *big.Rat) int {
	r, _ := ratio.Float64()
	length, multiple := l.Length.Float64(units.Millimetre), l.Bore.Float64(units.Millimetre)*r
	switch apart := length - multiple; {
	case apart > 1e-9*length:
		return 1
	case apart < -1e-9*multiple:
		return -1
	}
	return l.Length.Rat().Cmp(new(big.Rat).Mul(l.Bore.Rat(), ratio))
}

// HardestLumen returns the hardest class among the item's lumens, [Solid] for an
// item that has none. Where sizes are missing, known is false and the class is
// hollow A or harder: what to plan for until they are measured. That goes for an
// item that nobody described and for a powered item without recorded lumens too,
// since handpieces are driven and cooled through theirs.
func (it *Item) HardestLumen() (c LumenClass, known bool) {
	c, known = Solid, true
	if it == nil || len(it.Lumens) == 0 && (it.Has(Hollow) != moistheat.No || it.HasLumens != moistheat.No && it.Has(Powered) == moistheat.Yes) {
		return HollowA, false
	}
	for _, l := range it.Lumens {
		lc, ok := l.Class()
		if !ok {
			lc, known = HollowA, false
		}
		c = max(c, lc)
	}
	return c, known
}
