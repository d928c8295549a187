package water

import (
	_ "embed"

	"example.com/moistheat"
	"example.com/moistheat/internal/enum"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
)

// Sign is what a stain or damage on instruments looks like. The zero Sign is
// invalid.
type Sign uint8

// The signs.
const (
	Rainbow Sign = iota + 1
	YellowToViolet
	Pits
	Spots
	WhiteFilm
	OrangeBrown
	DarkBrown
	BlueBlack
	BlueGrey
	PurpleRed
	Rusty
)

var signNames = [...]string{"", "rainbow", "yellow-brown to blue-violet", "pits or rust", "light or dark spots",
	"white-grey film", "orange-brown, rubs off", "dark brown or black, with pits", "blue-black", "blue-grey",
	"black or purple-red", "rusty"}

// String returns the sign in words, such as "white-grey film".
func (s Sign) String() string { return enum.String(signNames[:], s) }

// MarshalText implements [encoding.TextMarshaler].
func (s Sign) MarshalText() ([]byte, error) { return enum.Marshal(signNames[:], s) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (s *Sign) UnmarshalText(text []byte) error { return enum.Unmarshal(signNames[:], s, text) }

// Hint is a likely cause of a sign. It is a place to look first, not a finding.
type Hint struct {
	Sign   Sign             `json:"sign"`
	Cause  string           `json:"cause"`
	Source moistheat.Source `json:"source"`
}

//go:embed hints/stains.json
var stainFile []byte

type stainDoc struct {
	Format string `json:"format"`
	Stains []Hint `json:"stains"`
}

var stains lazy.Value[[]Hint]

// Hints returns the causes that are published for a sign. Several hints are several
// sources; where they disagree, as on rainbow stains, look for more evidence before
// you blame the water. A stain that an eraser takes off, leaving smooth metal, is a
// stain; a pit under it is corrosion (texts on instrument care, quoted). It returns
// none for an unknown sign.
func Hints(sign Sign) []Hint {
	all := stains.Get(func() []Hint {
		return strictjson.MustRead[stainDoc](stainFile, "").Stains
	})
	var out []Hint
	for _, h := range all {
		if h.Sign == sign {
			out = append(out, h)
		}
	}
	return out
}
