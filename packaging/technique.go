package packaging

import (
	"math/big"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/units"
)

// technique asks how the pack was made, beyond its seal and layers.
func (k *checker) technique() {
	p := k.p
	k.not(barrierLinen, TextileWrap)
	k.not(barrierSleeve, NylonSleeve)

	sealed := p.Barrier.sealed()
	k.answerIf(sealed, airTrapped, p.AirExpelled, moistheat.Yes, "/airExpelled")
	k.limit(overhangShort, LeastOverhang, sealed, p.Overhang.Value(), "/overhang")
	var s Seal
	if p.Seal != nil {
		s = *p.Seal
	}
	heat := sealed && (s.Method == HeatSeal || s.Method == "")
	k.limit(sealWeak, LeastSealStrength, heat, s.Strength.Value(), "/seal/strength")
	k.sealer(heat, s)

	k.wrap()
	k.muslin()
	k.marking()

	printed := false
	for i := range p.Indicators {
		in := &p.Indicators[i]
		if in.Place == External && (in.Type == 1 || in.Area.IsValid()) {
			printed = k.figures(indicatorSmall, LeastIndicatorArea, moistheat.Yes, in.Area.Value(), "/indicators/"+strconv.Itoa(i)+"/area") || printed
		}
	}
	if !printed {
		k.skip(indicatorSmall, "/indicators")
	}
	k.metals()
}

// not asks that the barrier is something else than b.
func (k *checker) not(rule ask.ID, b Barrier) {
	switch {
	case k.p.open():
		k.skip(rule, "/barrier")
	case k.p.Barrier == "":
		k.add(rule, moistheat.Undetermined, "/barrier")
	default:
		k.add(rule, ask.If(k.p.Barrier == b), "/barrier")
	}
}

// answerIf is answer where the rule applies.
func (k *checker) answerIf(applies bool, rule ask.ID, got, want moistheat.Answer, pointer string) *moistheat.Finding {
	if !applies {
		k.skip(rule, pointer)
		return &k.l.Findings[len(k.l.Findings)-1]
	}
	return k.answer(rule, got, want, pointer)
}

// sealer asks whether the sealer's test is in date: by its day, or by what somebody
// says of it.
func (k *checker) sealer(heat bool, s Seal) {
	var age *Figure
	if k.c.Figures != nil {
		for i := range k.c.Figures.rows {
			if fig := &k.c.Figures.rows[i]; fig.Limit == GreatestSealTestAge && fig.InForce(k.c.Date) && (age == nil || fig.Months < age.Months) {
				age = fig
			}
		}
	}
	if !heat {
		k.skip(sealUntested, "/seal/tested")
		return
	}
	on, at := k.c.Date, "/seal/lastTest"
	last := s.LastTest
	var until moistheat.Date
	if age != nil && last.IsValid() {
		until = last.AddMonths(age.Months)
	}
	broken := func(at, due string) {
		ask.With(k.add(sealUntested, moistheat.Broken, at), "due", due)
	}
	missing := ""
	switch {
	case s.Tested == moistheat.No:
		broken("/seal/tested", "it was not tested")
	case last.IsValid() && s.Changed.Compare(last) > 0 && (!on.IsValid() || s.Changed.Compare(on) <= 0):
		broken("/seal/changed", "last on "+last.String()+", and repaired or given new material on "+s.Changed.String())
	case until.IsValid() && on.Compare(until) > 0:
		broken(at, "last on "+last.String()+", due again by "+until.String())
	case !last.IsValid() && s.Tested == moistheat.Yes:
		k.add(sealUntested, moistheat.Met, "/seal/tested")
	case !last.IsValid():
		missing, at = "when the sealer was last tested", "/seal"
	case age == nil && s.Tested == moistheat.NotRecorded:
		missing = "how old the test may be"
	case !on.IsValid():
		missing = "on which day the pack was sterilized"
	case last.Compare(on) > 0:
		missing = "how the sealer's last test before this load went"
	case !s.Changed.IsValid() && s.Tested == moistheat.NotRecorded:
		missing, at = "whether the sealer was repaired or given new material since", "/seal"
	default:
		k.add(sealUntested, moistheat.Met, at)
	}
	if missing != "" {
		ask.With(k.add(sealUntested, moistheat.Undetermined, at), "missing", missing)
	}
	if f := &k.l.Findings[len(k.l.Findings)-1]; age != nil {
		f.Table, f.Sources = age.Table, moistheat.SourcesOf(age.Source)
	}
}

func (k *checker) wrap() {
	p := k.p
	var w Wrap
	if p.Wrap != nil {
		w = *p.Wrap
	}
	sheets := p.Barrier == WrapSheet || p.Barrier == TextileWrap
	k.answerIf(p.Barrier == TextileWrap, wrapUnwashed, w.Washed, moistheat.Yes, "/wrap/washed")
	switch {
	case !sheets || w.Two == moistheat.No:
		k.skip(wrapSingle, "/wrap")
	case w.Sheets > 1 || w.Bonded == moistheat.Yes:
		k.add(wrapSingle, moistheat.Met, "/wrap")
	case w.Two == moistheat.Yes && w.Sheets == 1 && w.Bonded == moistheat.No:
		k.add(wrapSingle, moistheat.Broken, "/wrap/sheets")
	default:
		k.add(wrapSingle, moistheat.Undetermined, "/wrap")
	}
	switch {
	case !sheets || w.Sheets == 1 || w.Bonded == moistheat.Yes:
		k.skip(wrapOnestep, "/wrap/steps")
	case w.Steps > 1:
		k.add(wrapOnestep, moistheat.Met, "/wrap/steps")
	case w.Sheets > 1 && w.Steps == 1 && w.Bonded == moistheat.No:
		k.add(wrapOnestep, moistheat.Broken, "/wrap/steps")
	default:
		k.add(wrapOnestep, moistheat.Undetermined, "/wrap/steps")
	}
}

// muslin asks the size and the density of a pack of cloth in a cloth wrap.
func (k *checker) muslin() {
	p := k.p
	about := moistheat.No
	if p.Barrier == TextileWrap {
		about = p.textiles()
	}
	sides, names := p.Size.sorted()
	mid := k.figures(sizeLarge, GreatestMuslinWidth, about, sides[1].Value(), "/size")
	if mid {
		k.side(names[1])
	}
	long := k.figures(sizeLarge, GreatestMuslinLength, about, sides[2].Value(), "/size")
	if long {
		k.side(names[2])
	}
	if !mid && !long {
		k.skip(sizeLarge, "/size")
	}

	before := len(k.l.Findings)
	if !k.figures(densityHigh, GreatestMuslinDensity, about, units.Value{}, "/size") {
		k.skip(densityHigh, "/size")
		return
	}
	density, ok := p.density()
	if !ok || about != moistheat.Yes {
		return
	}
	shown, _ := density.Float64()
	for i := before; i < len(k.l.Findings); i++ {
		// Mass over volume against the limit, exactly; what is shown is rounded.
		f := &k.l.Findings[i]
		limit, _ := units.Of[units.DensityUnit](f.Limit)
		f.Outcome, f.Reason = ask.If(density.Cmp(limit.Rat()) > 0), ""
		f.Measured = units.FromFloat64(shown, 1, units.KilogramPerCubicMetre).Value()
	}
}

// side names the side that the newest finding is about.
func (k *checker) side(name string) {
	f := &k.l.Findings[len(k.l.Findings)-1]
	ask.With(f, "side", name)
}

// sorted returns the sides from short to long. An absent one counts as longer than
// every other, since nothing is known about it.
func (s Size) sorted() (sides [3]units.Length, names [3]string) {
	sides, names = [...]units.Length{s.Length, s.Width, s.Height}, [...]string{"shortest", "middle", "longest"}
	slices.SortFunc(sides[:], func(a, b units.Length) int {
		switch {
		case !a.IsValid() && b.IsValid():
			return 1
		case a.IsValid() && !b.IsValid():
			return -1
		}
		return a.Compare(b)
	})
	return sides, names
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

func (k *checker) marking() {
	p := k.p
	if p.open() || p.Inside != "" {
		k.skip(labelMisplaced, "/label")
		k.skip(labelFading, "/label")
		k.skip(labelAftercycle, "/label")
		return
	}
	var l Label
	if p.Label != nil {
		l = *p.Label
	}
	if l.On == "" {
		k.add(labelMisplaced, moistheat.Undetermined, "/label/on")
	} else {
		k.add(labelMisplaced, ask.If(l.On == OnPaper), "/label/on")
	}
	k.answer(labelFading, l.FastInk, moistheat.Yes, "/label/fastInk")
	k.answer(labelAftercycle, l.Before, moistheat.Yes, "/label/before")
}

// metal reports whether the material is a metal, and which: those that do not
// corrode each other share a name.
func (m Material) metal() string {
	switch m {
	case StainlessSteel, Titanium, TungstenCarbide:
		return "stainless steel"
	case CarbonSteel, ChromePlated, Aluminium, Brass:
		return string(m)
	}
	return ""
}

func (k *checker) metals() {
	var kinds []string
	apart, known := moistheat.Yes, true
	for i := range k.p.Items {
		it := &k.p.Items[i]
		known = known && it.Materials != nil
		for _, m := range it.Materials {
			if n := m.metal(); n != "" && !slices.Contains(kinds, n) {
				kinds = append(kinds, n)
			}
		}
		if it.MetalsApart == moistheat.No || it.MetalsApart == moistheat.NotRecorded && apart == moistheat.Yes {
			apart = it.MetalsApart
		}
	}
	switch {
	case len(kinds) > 1:
		slices.Sort(kinds)
		ask.With(k.answer(metalsTouching, apart, moistheat.Yes, "/items"), "metals", strings.Join(kinds, ", "))
	case known || len(k.p.Items) < 2:
		k.skip(metalsTouching, "/items")
	default:
		ask.With(k.add(metalsTouching, moistheat.Undetermined, "/items"), "metals", "not recorded")
	}
}

// use asks what must hold of goods that are not kept in a pack, or not kept at all.
func (k *checker) use() {
	p := k.p
	immediate := p.Use == Immediate
	switch {
	case !immediate:
		k.skip(immediateUnfounded, "/reason")
		k.skip(immediateUnindicated, "/indicators")
	default:
		o := ask.If(p.Reason != Urgent)
		if p.Reason == "" {
			o = moistheat.Undetermined
		}
		ask.With(k.add(immediateUnfounded, o, "/reason"), "reason", string(p.Reason))
		best, known := p.best()
		switch {
		case best >= 5:
			k.add(immediateUnindicated, moistheat.Met, "/indicators")
		case !known:
			k.add(immediateUnindicated, moistheat.Undetermined, "/indicators")
		default:
			k.add(immediateUnindicated, moistheat.Broken, "/indicators")
		}
	}
	critical := slices.ContainsFunc(p.Items, func(it Item) bool { return it.Class == Critical || it.Class == "" })
	k.answerIf(immediate && critical && p.open(), immediateUncovered, p.Covered, moistheat.Yes, "/covered")

	k.internal()
}

// best returns the highest type among the indicators inside, or among all of those
// of goods without a pack. known is false if one may be higher than recorded.
func (p *Pack) best() (typ int, known bool) {
	known = p.Indicators != nil
	for i := range p.Indicators {
		in := &p.Indicators[i]
		if in.Place != Internal && !p.open() {
			continue
		}
		known = known && in.Type != 0
		typ = max(typ, in.Type)
	}
	return typ, known
}

// named returns the type of an indicator for a person.
func named(typ int) string {
	if typ == 0 {
		return "none"
	}
	return strconv.Itoa(typ)
}

// internal asks of which type the indicators on and in the pack are.
func (k *checker) internal() {
	p := k.p
	const at = "/indicators"
	process, doubt := false, p.Indicators == nil
	for i := range p.Indicators {
		process = process || p.Indicators[i].Type == 1
		doubt = doubt || p.Indicators[i].Type == 0
	}
	switch {
	case p.open() || p.Inside != "":
		k.skip(indicatorProcess, at)
	case process:
		k.add(indicatorProcess, moistheat.Met, at)
	case doubt:
		k.add(indicatorProcess, moistheat.Undetermined, at)
	default:
		k.add(indicatorProcess, moistheat.Broken, at)
	}

	best, known := p.best()
	if inner := p.Inside != "" && p.open(); inner {
		k.skip(indicatorWeak, at)
		k.skip(indicatorImplant, at)
		return
	}
	switch {
	case best >= 4:
		k.add(indicatorWeak, moistheat.Met, at)
	case !known:
		k.add(indicatorWeak, moistheat.Undetermined, at)
	default:
		ask.With(k.add(indicatorWeak, moistheat.Broken, at), "type", named(best))
	}
	integrating := slices.ContainsFunc(p.Indicators, func(in Indicator) bool {
		return in.Type == 5 && (in.Place == Internal || p.open())
	})
	switch has := p.Has(Implant); {
	case has == moistheat.No:
		k.skip(indicatorImplant, at)
	case has == moistheat.NotRecorded:
		ask.With(k.add(indicatorImplant, moistheat.Undetermined, at), "why", "whether the pack holds an implant is not recorded")
	case integrating:
		k.add(indicatorImplant, moistheat.Met, at)
	case best == 6:
		ask.With(k.add(indicatorImplant, moistheat.Undetermined, at), "why", "it is of type 6, and the text names type 5")
	case !known:
		ask.With(k.add(indicatorImplant, moistheat.Undetermined, at), "why", "its type is not recorded")
	default:
		ask.With(k.add(indicatorImplant, moistheat.Broken, at), "type", named(best))
	}
}

// handling asks how one item was prepared and laid, beyond its cleaning.
func (k *checker) handling(it *Item, at string) {
	p, prep := k.p, &it.Preparation
	guarded := it.Guarded == moistheat.Yes && it.Has(Sharp) != moistheat.No
	it.name(k.answerIf(guarded, guardUnvented, it.GuardVented, moistheat.Yes, at+"/guardVented"))
	it.name(k.answerIf(p.Barrier.sealed(), handleAway, it.HandleFirst, moistheat.Yes, at+"/handleFirst"))

	powered := it.Has(Powered) == moistheat.Yes
	stands := it.HeatTolerant
	if stands == moistheat.NotRecorded && it.Instructions != nil && it.Instructions.MinTemperature.IsValid() {
		stands = moistheat.Yes
	}
	it.name(k.answerIf(powered, heatIntolerant, stands, moistheat.Yes, at+"/heatTolerant"))
	switch {
	case !powered:
		k.skip(poweredWiped, at+"/preparation/method")
		k.skip(poweredUnpacked, at)
	default:
		o := ask.If(prep.Method == Wiping || prep.Method == Immersion)
		if prep.Method == "" {
			o = moistheat.Undetermined
		}
		it.name(k.add(poweredWiped, o, at+"/preparation/method"))
		switch {
		case p.Packed():
			k.add(poweredUnpacked, moistheat.Met, at)
		case p.open():
			it.name(k.add(poweredUnpacked, moistheat.Broken, at))
		default:
			it.name(k.add(poweredUnpacked, moistheat.Undetermined, at))
		}
	}
	switch {
	case prep.Method == WasherDisinfector:
		k.add(cleaningWasher, moistheat.Met, at+"/preparation/method")
	case prep.Method == "":
		it.name(k.add(cleaningWasher, moistheat.Undetermined, at+"/preparation/method"))
	case prep.BackUp == moistheat.Yes:
		k.skip(cleaningWasher, at+"/preparation/backUp")
	default:
		it.name(k.add(cleaningWasher, moistheat.Broken, at+"/preparation/method"))
	}

	byHand := prep.Method == Manual || prep.Method == Wiping || prep.Method == Immersion
	switch {
	case prep.Method == "":
		it.name(k.add(cleaningUnrequested, moistheat.Undetermined, at+"/preparation/method"))
	case !byHand:
		k.add(cleaningUnrequested, moistheat.Met, at+"/preparation/method")
	case it.Instructions == nil:
		it.name(k.add(cleaningUnrequested, moistheat.Undetermined, at+"/instructions"))
	default:
		it.name(k.answer(cleaningUnrequested, it.Instructions.HandCleaning, moistheat.Yes, at+"/instructions/handCleaning"))
	}
	switch {
	case it.Kind == "":
		k.skip(implantUnmarked, at+"/traits")
	case it.Traits == nil:
		it.name(k.add(implantUnmarked, moistheat.Undetermined, at+"/traits"))
	default:
		it.name(k.add(implantUnmarked, ask.If(!slices.Contains(it.Traits, Implant)), at+"/traits"))
	}

	oiled := prep.Lubricated == moistheat.Yes || prep.Lubricated == moistheat.NotRecorded && powered
	asks := moistheat.NotRecorded
	if it.Instructions != nil {
		asks = it.Instructions.Lubrication
	}
	it.name(k.answerIf(oiled, lubricantExcess, prep.Wiped, moistheat.Yes, at+"/preparation/wiped"))
	if oiled && prep.Lubricated == moistheat.NotRecorded {
		it.name(k.add(lubricantUnasked, moistheat.Undetermined, at+"/preparation/lubricated"))
	} else {
		it.name(k.answerIf(oiled, lubricantUnasked, asks, moistheat.Yes, at+"/instructions/lubrication"))
	}

	tube := it.Has(Tubing) == moistheat.Yes
	it.name(k.answerIf(tube, tubingClosed, it.OpenEnds, moistheat.Yes, at+"/openEnds"))
	switch {
	case !tube:
		k.skip(tubingImpure, at+"/preparation/rinse")
	case prep.Rinse == "":
		it.name(k.add(tubingImpure, moistheat.Undetermined, at+"/preparation/rinse"))
	default:
		f := k.add(tubingImpure, ask.If(prep.Rinse != PureWater), at+"/preparation/rinse")
		it.name(f)
		detail(f, "water", string(prep.Rinse), "")
	}
	nested := it.Has(Hollowware) == moistheat.Yes && it.Count != 1
	it.name(k.answerIf(nested, hollowwareNested, it.Separated, moistheat.Yes, at+"/separated"))

	switch {
	case it.Has(SinglePatient) != moistheat.Yes:
		k.skip(patientOther, at+"/usedOn")
	case it.UsedOn == "" || it.MeantFor == "":
		it.name(k.add(patientOther, moistheat.Undetermined, at+"/usedOn"))
	default:
		it.name(k.add(patientOther, ask.If(it.UsedOn != it.MeantFor), at+"/meantFor"))
	}

	switch bare := p.open() && p.Inside == ""; {
	case !bare || it.Class == Semicritical || it.Class == Noncritical:
		k.skip(unwrappedStored, at+"/class")
	case p.Use == "" || it.Class == "" && p.Use == Later:
		it.name(k.add(unwrappedStored, moistheat.Undetermined, at+"/class"))
	default:
		it.name(k.add(unwrappedStored, ask.If(p.Use == Later), at+"/class"))
	}
	switch of := it.Has(ImplantInstrument); {
	case p.Use != Immediate:
		k.skip(immediateImplant, at+"/traits")
	default:
		it.name(k.answer(immediateImplant, of, moistheat.No, at+"/traits"))
	}
}
