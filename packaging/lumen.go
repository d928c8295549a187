package packaging

import (
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
