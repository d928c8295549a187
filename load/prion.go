package load

import (
	"slices"
	"strconv"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/packaging"
)

// prion asks whether a pack is of a suspected prion case, or was in one load with such a
// pack. No routine cycle proves anything about prions.
func (c *checker) prion(i int) {
	var then moistheat.Detail
	if p := c.p.doc.Prion; p != nil {
		then = lang.With("prion-then:  {1:text}", lang.Told(p.Then))
	}
	at, own := c.suspected(&c.r.Packs[i])
	q := c.Ask(prionSuspected, at).When(own != moistheat.NotRecorded).Say("then", then)
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
	c.prepared(i, own, asked == moistheat.Yes, other)
}

// prepared asks whether a pack shared a washer load or a lubricant with a pack of a
// suspected case, of which other is the name of one.
func (c *checker) prepared(i int, own moistheat.Answer, asked bool, other string) {
	var what moistheat.Detail
	open := false
	for j := range c.r.Packs[i].Items {
		prep := &c.r.Packs[i].Items[j].Preparation
		if p, found := c.prions.washed[prep.WasherLoad]; found {
			what, other = lang.Say("shared-washer-load: washer load {1}", prep.WasherLoad), p
		}
		if p, found := c.prions.oiled[prep.Lubricant]; found {
			what, other = lang.Say("shared-lubricant: the lubricant {1}", prep.Lubricant), p
		}
		open = open || unshown(prep) || c.prions.unshown && (prep.WasherLoad != "" || prep.Lubricant != "")
	}
	c.Ask(prionPrepared, "").When(own != moistheat.Yes && (asked || what.IsValid())).Say("what", what).
		With("other", other).BrokenWhen(what.IsValid()).
		OpenWhen(open || len(c.r.Packs[i].Items) == 0, moistheat.Unrecorded).Met()
}

// unshown reports whether an item may have been in a washer load, or was lubricated, and
// it is not recorded which load or container that was.
func unshown(p *packaging.Preparation) bool {
	return p.WasherLoad == "" && (p.Method == "" || p.Method == packaging.WasherDisinfector) ||
		p.Lubricant == "" && p.Lubricated == moistheat.Yes
}

// prions is what the packs together say of suspected prion cases.
type prions struct {
	asked moistheat.Answer // the worst
	last  []int            // the last two packs of one, the last last

	// Of packs of one: the name of a pack by washer load and by lubricant container.
	washed, oiled map[string]string
	unshown       bool // an item of one does not say
}

func (c *checker) countPrions() {
	for _, k := range c.known.Prions {
		c.prions.enter(k.WasherLoad, k.Lubricant, k.Pack)
	}
	for i := range c.r.Packs {
		_, a := c.suspected(&c.r.Packs[i])
		c.prions.asked = max(c.prions.asked, a)
		if a == moistheat.Yes {
			c.prions.last = append(c.prions.last[max(0, len(c.prions.last)-1):], i)
			c.prions.take(&c.r.Packs[i])
		}
	}
}

// take takes up what a pack of a suspected case was washed with and lubricated from.
func (s *prions) take(p *Pack) {
	s.unshown = s.unshown || len(p.Items) == 0
	for i := range p.Items {
		prep := &p.Items[i].Preparation
		s.enter(prep.WasherLoad, prep.Lubricant, p.ID)
		s.unshown = s.unshown || unshown(prep)
	}
}

// enter enters a washer load and a lubricant container, where they are recorded, as those of a
// pack of a suspected case.
func (s *prions) enter(washerLoad, lubricant, pack string) {
	if s.washed == nil {
		s.washed, s.oiled = map[string]string{}, map[string]string{}
	}
	if washerLoad != "" {
		s.washed[washerLoad] = pack
	}
	if lubricant != "" {
		s.oiled[lubricant] = pack
	}
}

// suspected says whether a pack is of a suspected prion case, by the record or by what is known
// beside it, and where that is recorded.
func (c *checker) suspected(p *Pack) (at string, a moistheat.Answer) {
	at, a = suspected(p)
	if a != moistheat.Yes && slices.Contains(c.known.Prions, KnownPrion{Pack: p.ID}) {
		return "", moistheat.Yes
	}
	return at, a
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
