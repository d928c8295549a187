package load

import (
	_ "embed"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
)

//go:embed data/acts.json
var actsData []byte

// act is what a person does to find out what is not recorded.
type act struct {
	ID   string `json:"id"`
	Text string `json:"text"`
	// Without are the rules that it answers in place of their own acts where no table of the
	// policy has the cycle, as no member of a record can.
	Without []string `json:"without,omitzero"`
}

var acts lazy.Value[map[string]act]

// actOf returns the act that rules name.
func actOf(id string) act { return allActs()[id] }

func allActs() map[string]act {
	return acts.Get(func() map[string]act {
		out := map[string]act{}
		for _, a := range strictjson.MustRead[struct {
			Format string `json:"format"`
			Acts   []act  `json:"acts"`
		}](actsData, "").Acts {
			out[a.ID] = a
		}
		return out
	})
}

const chooseCycle = "choose a cycle"

// noCycle reports whether a finding is open because no table of the policy has the cycle.
func noCycle(f *moistheat.Finding, all []moistheat.Finding) bool {
	return f.Reason == moistheat.NoLimit && slices.Contains(actOf(chooseCycle).Without, f.Rule) &&
		slices.ContainsFunc(all, func(g moistheat.Finding) bool {
			return g.Rule == "cycle.requirement.none" && g.Reason == moistheat.NoLimit
		})
}

// findOut returns the act that answers a finding of the report, and what it says to do.
func (r *Report) findOut(n *NamedRule, f *moistheat.Finding) (act, text string) {
	if noCycle(f, r.Findings) {
		return chooseCycle, r.Language.Text(actOf(chooseCycle).Text)
	}
	return n.Act, n.FindOut
}
