package packaging

import (
	"math/big"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// sealer asks whether the sealer's test is in date: by its day, or by what somebody
// says of it.
func (k *checker) sealer() {
	var age *Figure // the strictest
	for f := range k.figures(GreatestSealTestAge) {
		if age == nil || f.Months < age.Months {
			age = f
		}
	}
	s, on := ask.Some(k.p.Seal), k.c.Date
	last, changed := s.LastTest, s.Changed
	var until moistheat.Date
	if age != nil && last.IsValid() {
		until = last.AddMonths(age.Months)
	}
	q := k.Ask(sealUntested, "/seal/lastTest").When(k.p.heated())
	if age != nil {
		q.Table(age.Table).By(age.Source)
	}
	switch {
	case s.Tested == moistheat.No:
		q.At("/seal/tested").Broken().Say("due", lang.Say("seal-not-tested: it was not tested"))
	case last.IsValid() && changed.Compare(last) > 0 && (!on.IsValid() || changed.Compare(on) <= 0):
		q.At("/seal/changed").Broken().
			Say("due", lang.Say("seal-changed-since: last on {1:date}, and repaired or given new material on {2:date}",
				last.String(),
				changed.String()))
	case until.IsValid() && on.Compare(until) > 0:
		q.Broken().
			Say("due", lang.Say("seal-test-due: last on {1:date}, due again by {2:date}",
				last.String(), until.String()))
	case !last.IsValid() && s.Tested == moistheat.Yes:
		q.At("/seal/tested").Met()
	case !last.IsValid():
		q.At("/seal").Open(moistheat.Unrecorded).
			Say("missing", lang.Say("seal-test-when: when the sealer was last tested"))
	case age == nil && s.Tested == moistheat.NotRecorded:
		q.Open(moistheat.NoLimit).Say("missing", lang.Say("seal-test-age: how old the test may be"))
	default:
		k.counts(q, s)
	}
}

// counts asks whether the sealer's newest test, which is young enough, says anything
// of this pack.
func (k *checker) counts(q ask.Question, s Seal) {
	switch on := k.c.Date; {
	case !on.IsValid():
		q.Open(moistheat.Unrecorded).
			Say("missing", lang.Say("pack-sterilized-when: on which day the pack was sterilized"))
	case s.LastTest.Compare(on) > 0:
		q.Open(moistheat.Unrecorded).
			Say("missing", lang.Say("seal-test-before-load: how the sealer's last test before this load went"))
	case !s.Changed.IsValid() && s.Tested == moistheat.NotRecorded:
		q.At("/seal").Open(moistheat.Unrecorded).
			Say("missing", lang.Say("seal-changed-unknown: whether the sealer was repaired or given new "+
				"material since"))
	default:
		q.Met()
	}
}

// muslin asks the size and the density of a pack of cloth in a cloth wrap.
func (k *checker) muslin() {
	p := k.p
	about := both(ask.AnswerOf(p.Barrier == TextileWrap), p.textiles())
	sides := p.Size.sorted()
	for f := range k.figures(GreatestMuslinWidth) {
		f.hold(k.Ask(sizeLarge, "/size").WhenKnown(about), sides[1].Value()).With("side", lang.Term("side: middle"))
	}
	for f := range k.figures(GreatestMuslinLength) {
		f.hold(k.Ask(sizeLarge, "/size").WhenKnown(about), sides[2].Value()).With("side", lang.Term("side: longest"))
	}
	density, ok := p.density()
	var shown units.Value // rounded; what is compared is exact
	if ok && about == moistheat.Yes {
		x, _ := density.Float64()
		shown = units.FromFloat64(x, 1, units.KilogramPerCubicMetre).Value()
	}
	for f := range k.figures(GreatestMuslinDensity) {
		q := k.Ask(densityHigh, "/size").WhenKnown(about).Given(ok)
		if !q.Answered() {
			q.BrokenIf(density.Cmp(f.Density.Rat()) > 0)
		}
		q.Of(shown, f.Value()).Table(f.Table).By(f.Source)
	}
}

// sorted returns the sides from short to long. An absent one counts as longer than
// every other, since nothing is known about it.
func (s Size) sorted() [3]units.Length {
	sides := [...]units.Length{s.Length, s.Width, s.Height}
	slices.SortFunc(sides[:], func(a, b units.Length) int {
		switch {
		case !a.IsValid() && b.IsValid():
			return 1
		case a.IsValid() && !b.IsValid():
			return -1
		}
		return a.Compare(b)
	})
	return sides
}

// density returns mass over volume in kilograms per cubic metre.
func (p *Pack) density() (*big.Rat, bool) {
	volume := big.NewRat(1, 1)
	for _, l := range [...]units.Length{p.Size.Length, p.Size.Width, p.Size.Height} {
		if !positive(l.Value()) {
			return nil, false
		}
		volume.Mul(volume, l.Rat())
	}
	if !positive(p.Mass.Value()) {
		return nil, false
	}
	return volume.Quo(p.Mass.Rat(), volume), true
}
