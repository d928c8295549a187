package load

import "example.com/moistheat"

// What is listed of many findings. Records can be made of which a few bytes cost a
// finding, and thousands that say the same help no reader. What is not listed is counted
// where the last of the rule is listed, and verdicts and tallies count everything.
const (
	mostOpen   = 100    // of one rule, undetermined or broken and not waived
	mostMet    = 10_000 // of all rules together, met
	mostWaived = 10_000 // findings of which waivers are asked for
)

// cuts counts findings by rule and outcome.
type cuts struct {
	met  int
	seen map[cutKey]int
	over map[cutKey]int // those that are not listed
}

type cutKey struct {
	rule    string
	outcome moistheat.Outcome
}

// keeps reports whether one more finding is listed: the first of its rule always is, and
// so is one that a person accepted, whose waiver must be seen.
func (c *cuts) keeps(f *moistheat.Finding) bool {
	key := cutKey{f.Rule, f.Outcome}
	if f.Outcome == moistheat.Met {
		if c.met++; c.met <= mostMet {
			return true
		}
	} else if f.Waiver != nil {
		return true
	}
	if c.seen == nil {
		c.seen = map[cutKey]int{}
	}
	c.seen[key]++
	if n := c.seen[key]; n == 1 || n <= mostOpen && f.Outcome != moistheat.Met {
		return true
	}
	if c.over == nil {
		c.over = map[cutKey]int{}
	}
	c.over[key]++
	return false
}

// state says in the last finding of each rule and outcome how many more there are.
func (c *cuts) state(findings []moistheat.Finding) {
	for i := len(findings) - 1; i >= 0 && len(c.over) > 0; i-- {
		f := &findings[i]
		key := cutKey{f.Rule, f.Outcome}
		if n := c.over[key]; n > 0 && f.Waiver == nil {
			f.More = n
			delete(c.over, key)
		}
	}
}
