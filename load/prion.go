package load

import (
	"strconv"

	"example.com/moistheat"
)

// prion asks whether a pack is of a suspected prion case, or was in one load with such a
// pack. No routine cycle proves anything about prions.
func (c *checker) prion(i int) {
	then := ""
	if p := c.p.doc.Prion; p != nil {
		then = " " + p.Then
	}
	at, own := suspected(&c.r.Packs[i])
	q := c.Ask(prionSuspected, at).When(own != moistheat.NotRecorded).With("then", then)
	if p := c.p.doc.Prion; p != nil && !q.Answered() {
		q.By(p.Source)
	}
	q.BrokenIf(own == moistheat.Yes)
	other, asked := "", max(own, c.prions.asked)
	for _, j := range c.prions.last {
		if j != i {
			other = c.r.Packs[j].ID
		}
	}
	c.Ask(prionShared, "").When(own != moistheat.Yes && asked != moistheat.NotRecorded).With("other", other).
		BrokenIf(other != "")
}

// prions is what the packs together say of suspected prion cases.
type prions struct {
	asked moistheat.Answer // the worst
	last  []int            // the last two packs of one, the last last
}

func (c *checker) countPrions() {
	for i := range c.r.Packs {
		_, a := suspected(&c.r.Packs[i])
		c.prions.asked = max(c.prions.asked, a)
		if a == moistheat.Yes {
			c.prions.last = append(c.prions.last[max(0, len(c.prions.last)-1):], i)
		}
	}
}

// suspected says whether a pack is of a suspected prion case: as a whole, or an item of
// it, and where that is recorded.
func suspected(p *Pack) (at string, a moistheat.Answer) {
	if p.PrionSuspected == moistheat.Yes {
		return "/prionSuspected", moistheat.Yes
	}
	if p.PrionSuspected == moistheat.No {
		at, a = "/prionSuspected", moistheat.No
	}
	last := -1
	for i := range p.Items {
		switch p.Items[i].PrionSuspected {
		case moistheat.Yes:
			return "/items/" + strconv.Itoa(i) + "/prionSuspected", moistheat.Yes
		case moistheat.No:
			last, a = i, moistheat.No
		}
	}
	if last >= 0 {
		at = "/items/" + strconv.Itoa(last) + "/prionSuspected"
	}
	return at, a
}
