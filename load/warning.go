package load

import (
	_ "embed"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
)

//go:embed data/hazards.json
var hazardsData []byte

// Warning says what protects from a hazard.
type Warning struct {
	Hazard   moistheat.Hazard  `json:"hazard"`
	Sentence string            `json:"sentence"`
	Sources  moistheat.Sources `json:"sources"`
}

var hazards lazy.Value[[]Warning]

// warnings returns what is said of every hazard, in the order of their list.
func warnings() []Warning {
	return hazards.Get(func() (out []Warning) {
		for _, h := range strictjson.MustRead[struct {
			Format  string `json:"format"`
			Hazards []struct {
				Hazard   moistheat.Hazard   `json:"hazard"`
				Sentence string             `json:"sentence"`
				Sources  []moistheat.Source `json:"sources"`
			} `json:"hazards"`
		}](hazardsData, "").Hazards {
			out = append(out, Warning{h.Hazard, h.Sentence, moistheat.SourcesOf(h.Sources...)})
		}
		return out
	})
}

// WarningsOf returns what protects from hazards, in the order of their list.
func WarningsOf(hazards ...moistheat.Hazard) []Warning {
	return slices.DeleteFunc(slices.Clone(warnings()), func(w Warning) bool {
		return !slices.Contains(hazards, w.Hazard)
	})
}

// warningsOf returns the warnings about the hazards of rules, each once.
func warningsOf(rules []NamedRule) []Warning {
	out := []Warning{}
	for _, w := range warnings() {
		if slices.ContainsFunc(rules, func(n NamedRule) bool { return slices.Contains(slices.Collect(n.Hazards.All()), w.Hazard) }) {
			out = append(out, w)
		}
	}
	return out
}
