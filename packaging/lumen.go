package packaging

import (
	"math/big"
	"sync"

	"example.com/moistheat"
	"example.com/moistheat/internal/enum"
	"example.com/moistheat/units"
)

// Lumen is a bore, channel or tube in an item. Sizes that were not measured are
// absent.
type Lumen struct {
	Length   units.Length `json:"length,omitzero"`
	Bore     units.Length `json:"bore,omitzero"`     // inner diameter, at the narrowest
	OpenEnds int          `json:"openEnds,omitzero"` // 1 is blind, 2 goes through; 0 is not recorded
}

// LumenClass says how hard it is to get air out of a lumen and steam into it, from
// easy to hard, so that max picks the harder of two. The zero LumenClass is
// invalid.
type LumenClass uint8

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

var lumenClassNames = [...]string{"", "solid", "hollow B", "hollow A", "beyond hollow A"}

// String returns the class, such as "hollow A".
func (c LumenClass) String() string { return enum.String(lumenClassNames[:], c) }

// MarshalText implements [encoding.TextMarshaler].
func (c LumenClass) MarshalText() ([]byte, error) { return enum.Marshal(lumenClassNames[:], c) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (c *LumenClass) UnmarshalText(text []byte) error {
	return enum.Unmarshal(lumenClassNames[:], c, text)
}

// lumenLimits are the limits of the classes for one number of open ends, ratios as
// plain numbers and lengths in metres.
type lumenLimits struct{ hollow, ratioA, lengthA, ratioB, boreB *big.Rat }

var lumenFigures = sync.OnceValue(func() *Figures {
	data, err := files.ReadFile("figures/lumen/en-13060-2004.json")
	if err != nil {
		panic(err) // embedded; a test reads it
	}
	f, err := parseFigures(data)
	if err != nil {
		panic(err) // embedded; a test parses it
	}
	return f
})

var limitsByEnds = sync.OnceValue(func() *[3]lumenLimits {
	var by [3]lumenLimits
	for _, f := range lumenFigures().rows {
		l := &by[f.OpenEnds]
		switch f.Limit {
		case LeastHollowRatio:
			l.hollow = f.Ratio.Rat()
		case GreatestHollowARatio:
			l.ratioA = f.Ratio.Rat()
		case GreatestHollowALength:
			l.lengthA = f.Length.Rat()
		case GreatestHollowBRatio:
			l.ratioB = f.Ratio.Rat()
		case LeastHollowBBore:
			l.boreB = f.Length.Rat()
		}
	}
	return &by
})

// LumenFigures returns the figures that define the lumen classes, each with its
// source: hollow loads A and B of EN 13060:2004, of which the B bore and the B
// ratio for two open ends are recalled and not checked against a copy.
func LumenFigures() []Figure { return lumenFigures().All() }

// Class returns the class of the lumen. Length and bore may have any units; they
// are compared exactly, as length against a multiple of the bore, so a lumen on a
// limit is on its easier side. ok is false if length, bore or open ends are missing
// or can not be: then nothing is known, and the lumen must be handled as hollow A.
func (l Lumen) Class() (c LumenClass, ok bool) {
	if l.OpenEnds != 1 && l.OpenEnds != 2 {
		return 0, false
	}
	length, bore := l.Length.Rat(), l.Bore.Rat() // zero if invalid
	if length.Sign() <= 0 || bore.Sign() <= 0 {
		return 0, false
	}
	lim := &limitsByEnds()[l.OpenEnds]
	// against compares length/bore with a ratio.
	var multiple big.Rat
	against := func(ratio *big.Rat) int { return length.Cmp(multiple.Mul(bore, ratio)) }
	switch {
	case against(lim.hollow) < 0:
		return Solid, true
	case bore.Cmp(lim.boreB) >= 0 && against(lim.ratioB) <= 0:
		return HollowB, true
	case length.Cmp(lim.lengthA) <= 0 && against(lim.ratioA) <= 0:
		return HollowA, true
	}
	return BeyondHollowA, true
}

// HardestLumen returns the hardest class among the item's lumens, [Solid] for an
// item that has none. Where sizes are missing, known is false and the class is
// hollow A or harder: what to plan for until they are measured. That goes for an
// item that nobody described and for a powered item without recorded lumens too,
// since handpieces are driven and cooled through theirs.
func (it *Item) HardestLumen() (c LumenClass, known bool) {
	c, known = Solid, true
	if len(it.Lumens) == 0 && (it.Has(Hollow) != moistheat.No || it.Has(Powered) == moistheat.Yes) {
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

// HardestLumen returns the hardest class among the lumens of all items, as
// [Item.HardestLumen] does. For a pack without items nothing is known.
func (p *Pack) HardestLumen() (c LumenClass, known bool) {
	if len(p.Items) == 0 {
		return HollowA, false
	}
	c, known = Solid, true
	for i := range p.Items {
		ic, ok := p.Items[i].HardestLumen()
		c, known = max(c, ic), known && ok
	}
	return c, known
}
