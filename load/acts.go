package load

import (
	_ "embed"

	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
)

//go:embed data/acts.json
var actsData []byte

// act is what a person does to find out what is not recorded.
type act struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

var acts lazy.Value[map[string]act]

// actOf returns the act that rules name.
func actOf(id string) act {
	return acts.Get(func() map[string]act {
		out := map[string]act{}
		for _, a := range strictjson.MustRead[struct {
			Format string `json:"format"`
			Acts   []act  `json:"acts"`
		}](actsData, "").Acts {
			out[a.ID] = a
		}
		return out
	})[id]
}
