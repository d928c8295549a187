package water

import (
	_ "embed"

	"example.com/moistheat"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
)

// Sign is what a stain or damage on instruments looks like. The zero Sign is
// invalid.
type Sign string

// The signs.
const (
	Rainbow        Sign = "rainbow"
	YellowToViolet Sign = "yellow-brown to blue-violet"
	Pits           Sign = "pits or rust"
	Spots          Sign = "light or dark spots"
	WhiteFilm      Sign = "white-grey film"
	OrangeBrown    Sign = "orange-brown, rubs off"
	DarkBrown      Sign = "dark brown or black, with pits"
	BlueBlack      Sign = "blue-black"
	BlueGrey       Sign = "blue-grey"
	PurpleRed      Sign = "black or purple-red"
	Rusty          Sign = "rusty"
)

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
