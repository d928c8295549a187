package load

import (
	"cmp"
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
	// Of is what a person does in one go with others of it: asked together where several are.
	Of string `json:"of,omitzero"`
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

// errand is an act, or what a person does in one go, that had to be done at the time or can be
// done later.
type errand struct {
	act       string
	atTheTime bool
}

// askedActs are the acts that a report asks for.
type askedActs struct {
	atTheTime map[string]bool // all that an act is asked for had to be seen at the time
	of        map[errand]int  // how many acts make up one errand
}

func (a *askedActs) several(e errand) bool { return e.act != "" && a.of[e] > 1 }

func (r *Report) acts() *askedActs {
	out := &askedActs{map[string]bool{}, map[errand]int{}}
	for i := range r.Findings {
		f := &r.Findings[i]
		if !f.Open() || f.Outcome != moistheat.Undetermined {
			continue
		}
		n := orElse(r.named(f.Rule), &NamedRule{})
		act, _ := r.findOut(n, f)
		act = cmp.Or(act, f.Rule)
		before, known := out.atTheTime[act]
		out.atTheTime[act] = n.AtTheTime && (before || !known)
	}
	for act, atTheTime := range out.atTheTime {
		if of := actOf(act).Of; of != "" {
			out.of[errand{of, atTheTime}]++
		}
	}
	return out
}

// findOut returns the act that answers a finding of the report, and what it says to do.
func (r *Report) findOut(n *NamedRule, f *moistheat.Finding) (act, text string) {
	if noCycle(f, r.Findings) {
		return chooseCycle, r.Language.Text(actOf(chooseCycle).Text)
	}
	return n.Act, n.FindOut
}
