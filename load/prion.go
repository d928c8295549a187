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
	if p := c.p.doc.Prion; p != nil {
		q.By(p.Source)
	}
	q.BrokenIf(own == moistheat.Yes)
	other, asked := "", own
	for j := range c.r.Packs {
		if _, a := suspected(&c.r.Packs[j]); j != i {
			asked = max(asked, a)
			if a == moistheat.Yes {
				other = c.r.Packs[j].ID
			}
		}
	}
	c.Ask(prionShared, "").When(own != moistheat.Yes && asked != moistheat.NotRecorded).With("other", other).
		BrokenIf(other != "")
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
	for i := range p.Items {
		here := "/items/" + strconv.Itoa(i) + "/prionSuspected"
		switch p.Items[i].PrionSuspected {
		case moistheat.Yes:
			return here, moistheat.Yes
		case moistheat.No:
			at, a = here, moistheat.No
		}
	}
	return at, a
}
