package water

import (
	_ "embed"

	"example.com/moistheat"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
)

// Stain is what a stain or damage on instruments looks like. The zero Stain is
// invalid.
type Stain string

// The stains.
const (
	Rainbow        Stain = "rainbow"
	YellowToViolet Stain = "yellow-brown to blue-violet"
	Pits           Stain = "pits or rust"
	Spots          Stain = "light or dark spots"
	WhiteFilm      Stain = "white-grey film"
	OrangeBrown    Stain = "orange-brown, rubs off"
	DarkBrown      Stain = "dark brown or black, with pits"
	BlueBlack      Stain = "blue-black"
	BlueGrey       Stain = "blue-grey"
	PurpleRed      Stain = "black or purple-red"
	Rusty          Stain = "rusty"
)

// Hint is a likely cause of a sign. It is a place to look first, not a finding.
type Hint struct {
	Stain  Stain            `json:"stain"`
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
func Hints(stain Stain) []Hint {
	all := stains.Get(func() []Hint {
		return strictjson.MustRead[stainDoc](stainFile, "").Stains
	})
	var out []Hint
	for _, h := range all {
		if h.Stain == stain {
			out = append(out, h)
		}
	}
	return out
}
