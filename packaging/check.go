package packaging

import (
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/units"
)

// Rules returns every rule that [Check] asks, sorted by ID. The caller owns the slice.
func Rules() []moistheat.Rule { return book.Rules() }

// Context is what [Check] needs to know beside the pack.
type Context struct {
	// Date is the day of the cycle, against which expiry dates count and on which
	// figures must apply. While it is invalid, rules on expiry are undetermined and
	// every figure is asked, old or new.
	Date moistheat.Date
	// Figures are the limits of the documents to follow. A rule on a limit that
	// none of them states does not apply.
	Figures *Figures
}

// Check asks every rule of this package about one pack. It returns the findings of
// all outcomes in a fixed order, with pointers relative to the pack, such as
// "/items/0/lumens/1". A nil pack is an empty one: nothing about it is known.
func Check(p *Pack, c Context) []moistheat.Finding {
	items := 0
	if p != nil {
		items = len(p.Items)
	}
	return Append(make([]moistheat.Finding, 0, 64+20*items), p, c)
}

// Append is [Check], appending to a list of findings.
func Append(list []moistheat.Finding, p *Pack, c Context) []moistheat.Finding {
	if p == nil {
		p = &Pack{}
	}
	k := checker{p: p, c: c, l: book.List(list)}
	k.barrier()
	k.closure()
	k.layers()
	k.mass()
	k.indicators()
	k.label()
	k.contents()
	k.technique()
	k.use()
	for i := range p.Items {
		k.item(&p.Items[i], "/items/"+strconv.Itoa(i))
	}
	ask.Settle(k.l.Findings[len(list):], p)
	return k.l.Findings
}

type checker struct {
	p *Pack
	c Context
	l ask.List
}

func (k *checker) add(rule ask.ID, o moistheat.Outcome, pointer string) *moistheat.Finding {
	return k.l.Add(rule, o, pointer)
}

func (k *checker) skip(rule ask.ID, pointer string) { k.l.Skip(rule, pointer) }

func (k *checker) answer(rule ask.ID, got, want moistheat.Answer, pointer string) *moistheat.Finding {
	return k.l.Answer(rule, got, want, pointer)
}

// name gives an open finding of an item the item's name.
func (it *Item) name(f *moistheat.Finding) { detail(f, "item", it.Name, "the item") }

// detail adds a parameter to a finding that a person will read about.
func detail(f *moistheat.Finding, name, value, otherwise string) {
	if f.Outcome < moistheat.Undetermined {
		return
	}
	if value == "" {
		value = otherwise
	}
	ask.With(f, name, value)
}

// sealed reports whether the barrier is one that is filled and then closed with a
// seal along its edge.
func (b Barrier) sealed() bool {
	switch b {
	case PaperBag, PaperFilmPouch, LowTemperaturePaper, CoatedPaper, FlashSpunPouch, NylonSleeve:
		return true
	}
	return false
}

// reusable reports whether the barrier is made for many uses.
func (b Barrier) reusable() bool {
	return b == TextileWrap || b == RigidContainer || b == ClosedVessel
}

// open reports whether the pack has no barrier of its own, as far as is known.
func (p *Pack) open() bool { return p.Barrier == Unwrapped }

func (k *checker) barrier() {
	p := k.p
	if p.open() {
		k.skip(barrierUnfit, "/barrier")
		k.skip(barrierReused, "/reused")
		k.skip(barrierExpired, "/expires")
		return
	}

	o, sources := p.steam()
	f := k.add(barrierUnfit, o, "/barrier")
	if sources != nil {
		f.Sources = moistheat.SourcesOf(sources...)
	}
	word := ""
	if p.Barrier != "" {
		word = string(p.Barrier)
	}
	detail(f, "barrier", word, "not recorded")

	if p.Barrier.reusable() {
		k.skip(barrierReused, "/reused")
	} else {
		detail(k.answer(barrierReused, p.Reused, moistheat.No, "/reused"), "barrier", word, "packaging")
	}
	if p.Barrier.reusable() && !p.Expires.IsValid() {
		k.skip(barrierExpired, "/expires")
	} else {
		k.expiry(barrierExpired, p.Expires, "/expires")
	}
}

// steam says whether the barrier is fit for steam and who says so; no source means
// those of the rule.
func (p *Pack) steam() (moistheat.Outcome, []moistheat.Source) {
	from := func(document, edition string, basis moistheat.Basis) []moistheat.Source {
		return []moistheat.Source{{Document: document, Edition: edition, Basis: basis}}
	}
	switch p.Barrier {
	case LowTemperaturePaper:
		return moistheat.Broken, from("EN 868-6", "2025", moistheat.Published)
	case CoatedPaper:
		return moistheat.Broken, from("EN 868-7", "2017", moistheat.Published)
	case Foil, ClosedVessel:
		return moistheat.Broken, nil
	case FlashSpunPouch:
		return ask.If(p.SteamFit != moistheat.Yes), from("trade article on peel pouches", "", moistheat.Quoted)
	}
	if p.SteamFit == moistheat.No {
		return moistheat.Broken, nil
	}
	switch p.Barrier {
	case WrapSheet, TextileWrap:
		return moistheat.Met, from("EN 868-2", "2017", moistheat.Published)
	case PaperBag:
		return moistheat.Met, from("EN 868-3", "2025", moistheat.Published)
	case PaperFilmPouch:
		return moistheat.Met, from("EN 868-5", "2009", moistheat.Published)
	case RigidContainer:
		return moistheat.Met, from("EN 868-8", "", moistheat.Quoted)
	case NylonSleeve:
		return moistheat.Met, from("Evaluation of the shelf life of sterile instrument packs", "1991", moistheat.Published)
	}
	if p.Barrier == OtherBarrier && p.SteamFit == moistheat.Yes {
		return moistheat.Met, nil
	}
	return moistheat.Undetermined, nil
}

// expiry asks whether something was still in date on the day of the cycle.
func (k *checker) expiry(rule ask.ID, last moistheat.Date, pointer string) {
	if !last.IsValid() || !k.c.Date.IsValid() {
		k.add(rule, moistheat.Undetermined, pointer)
		return
	}
	f := k.add(rule, ask.If(last.Compare(k.c.Date) < 0), pointer)
	if f.Outcome == moistheat.Broken {
		ask.With(ask.With(f, "expires", last.String()), "date", k.c.Date.String())
	}
}

func (k *checker) closure() {
	p := k.p
	var s Seal
	if p.Seal != nil {
		s = *p.Seal
	}
	if p.open() {
		k.skip(closurePierced, "/seal")
		k.skip(sealDamaged, "/seal/intact")
	} else {
		switch {
		case s.Pierced == moistheat.Yes:
			k.add(closurePierced, moistheat.Broken, "/seal/pierced")
		case s.Method == Fastener:
			k.add(closurePierced, moistheat.Broken, "/seal/method")
		case s.Pierced == moistheat.No || s.Method != "":
			k.add(closurePierced, moistheat.Met, "/seal")
		default:
			k.add(closurePierced, moistheat.Undetermined, "/seal")
		}
		k.answer(sealDamaged, s.Intact, moistheat.Yes, "/seal/intact")
	}

	heat := p.Barrier.sealed() && (s.Method == HeatSeal || s.Method == "")
	k.limit(sealNarrow, LeastSealWidth, heat, s.Width.Value(), "/seal/width")
	k.limit(fillExcessive, GreatestFill, p.Barrier.sealed(), p.Fill.Value(), "/fill")
	k.limit(spaceShort, LeastFreeSpace, p.Barrier.sealed(), p.FreeSpace.Value(), "/freeSpace")
}

// limit compares what was measured with each figure of one kind.
func (k *checker) limit(rule ask.ID, l Limit, applies bool, got units.Value, pointer string) {
	if !applies || !k.figures(rule, l, moistheat.Yes, got, pointer) {
		k.skip(rule, pointer)
	}
}

// figures is limit without the not applicable finding: it reports whether there was
// a figure. The answer says whether the figures are about this pack.
func (k *checker) figures(rule ask.ID, l Limit, about moistheat.Answer, got units.Value, pointer string) bool {
	if about == moistheat.No || k.c.Figures == nil {
		return false
	}
	asked := false
	for i := range k.c.Figures.rows {
		fig := &k.c.Figures.rows[i]
		if fig.Limit != l || !fig.InForce(k.c.Date) {
			continue
		}
		asked = true
		limit := fig.Value()
		got, pointer := got, pointer
		if l == GreatestSetNetMass && !got.IsValid() { // it is less than the gross mass
			if c, ok := k.p.Mass.Value().Compare(limit); ok && c <= 0 {
				got, pointer = k.p.Mass.Value(), "/mass"
			}
		}
		o := moistheat.Undetermined
		// Nothing has no mass and no area, but a seal can be 0 mm wide and hold 0 N.
		measured := positive(got) || l.least() && l != LeastIndicatorArea && zero(got)
		if c, ok := got.Compare(limit); ok && measured && about == moistheat.Yes {
			o = ask.If(l.least() && c < 0 || !l.least() && c > 0)
		}
		f := k.add(rule, o, pointer)
		f.Measured, f.Limit, f.Table = got, limit, fig.Table
		f.Sources = moistheat.SourcesOf(fig.Source)
	}
	return asked
}

func (k *checker) layers() {
	p := k.p
	if p.Double == nil && (p.Layers < 2 || !p.Barrier.sealed()) {
		k.skip(layersFacing, "/double/facing")
		k.skip(layersFolded, "/double/folded")
		k.skip(layersSize, "/double/sameSize")
		k.skip(layersUnvalidated, "/double/validated")
		return
	}
	var d Double
	if p.Double != nil {
		d = *p.Double
	}
	k.answer(layersFacing, d.Facing, moistheat.Yes, "/double/facing")
	k.answer(layersFolded, d.Folded, moistheat.No, "/double/folded")
	k.answer(layersSize, d.SameSize, moistheat.No, "/double/sameSize")
	k.answer(layersUnvalidated, d.Validated, moistheat.Yes, "/double/validated")
}

func (k *checker) mass() {
	p := k.p
	gross := p.Mass.Value()
	textiles := p.textiles()
	set := moistheat.No // a tray, wrapped or in a container, that holds more than textiles
	if p.open() && p.Inside == "" || p.Barrier == WrapSheet || p.Barrier == TextileWrap || p.Barrier == RigidContainer {
		set = not(textiles)
	}
	only := func(a moistheat.Answer, b bool) moistheat.Answer {
		if b {
			return a
		}
		return moistheat.No
	}

	if !k.figures(massOver, GreatestSetMass, set, gross, "/mass") {
		k.skip(massOver, "/mass")
	}

	wrapped := p.Barrier == WrapSheet || p.Barrier == TextileWrap
	asked := k.figures(massHigh, GreatestTrayMass, only(set, wrapped), gross, "/mass")
	asked = k.figures(massHigh, GreatestContainerMass, only(moistheat.Yes, p.Barrier == RigidContainer), gross, "/mass") || asked
	asked = k.figures(massHigh, GreatestTextileMass, textiles, gross, "/mass") || asked
	asked = k.figures(massHigh, GreatestMuslinMass, only(textiles, p.Barrier == TextileWrap), gross, "/mass") || asked
	asked = k.figures(massHigh, GreatestSetNetMass, set, p.NetMass.Value(), "/netMass") || asked
	if !asked {
		k.skip(massHigh, "/mass")
	}
}

// textiles says whether the pack holds textiles only.
func (p *Pack) textiles() moistheat.Answer {
	a := moistheat.Yes
	if len(p.Items) == 0 {
		a = moistheat.NotRecorded
	}
	for i := range p.Items {
		switch p.Items[i].Has(Textile) {
		case moistheat.No:
			return moistheat.No
		case moistheat.NotRecorded:
			a = moistheat.NotRecorded
		}
	}
	return a
}

func not(a moistheat.Answer) moistheat.Answer {
	switch a {
	case moistheat.Yes:
		return moistheat.No
	case moistheat.No:
		return moistheat.Yes
	}
	return a
}

func (k *checker) indicators() {
	p := k.p
	const all = "/indicators"
	internal, external := false, false
	visible := moistheat.No
	for i := range p.Indicators {
		in := &p.Indicators[i]
		switch {
		case in.Place == External:
			external = true
		case in.Place == Internal:
			internal = true
			if in.Visible == moistheat.Yes || in.Visible == moistheat.NotRecorded && visible == moistheat.No {
				visible = in.Visible
			}
		}
		k.expiry(indicatorVoid, in.Expires, all+"/"+strconv.Itoa(i)+"/expires")
	}
	if len(p.Indicators) == 0 {
		k.skip(indicatorVoid, all)
	}

	switch inner := p.Inside != ""; {
	case inner && p.open(): // a tray; the container around it has the indicator
		k.skip(indicatorInternal, all)
	case p.Indicators == nil:
		k.add(indicatorInternal, moistheat.Undetermined, all)
	default:
		k.add(indicatorInternal, ask.If(!internal), all)
	}

	switch {
	case p.open() || p.Inside != "" || visible == moistheat.Yes:
		k.skip(indicatorExternal, all)
	case external:
		k.add(indicatorExternal, moistheat.Met, all)
	case p.Indicators == nil || visible == moistheat.NotRecorded:
		k.add(indicatorExternal, moistheat.Undetermined, all)
	default:
		k.add(indicatorExternal, moistheat.Broken, all)
	}
}

func (k *checker) label() {
	p := k.p
	const at = "/label"
	switch {
	case p.open() || p.Inside != "":
		k.skip(labelIncomplete, at)
	case p.Label == nil:
		k.add(labelIncomplete, moistheat.Undetermined, at)
	default:
		var missing []string
		if p.Label.Sterilizer == "" {
			missing = append(missing, "sterilizer")
		}
		if p.Label.Cycle == "" && p.Label.Load == "" {
			missing = append(missing, "cycle or load number")
		}
		if !p.Label.Date.IsValid() {
			missing = append(missing, "date of sterilization")
		}
		f := k.add(labelIncomplete, ask.If(missing != nil), at)
		if missing != nil {
			ask.With(f, "missing", strings.Join(missing, ", "))
		}
	}
}

func (k *checker) contents() {
	p := k.p
	const at = "/items"
	k.add(contentsUnlisted, ask.If(len(p.Items) == 0), at)
	if len(p.Items) < 2 {
		k.skip(contentsMixed, at)
		return
	}
	difference, known := p.conflict()
	switch {
	case difference != "":
		ask.With(k.add(contentsMixed, moistheat.Broken, at), "difference", difference)
	case known:
		k.add(contentsMixed, moistheat.Met, at)
	case p.mixed() == moistheat.No:
		k.skip(contentsMixed, at)
	default:
		k.add(contentsMixed, moistheat.Undetermined, at)
	}
}

// conflict says in what the instructions of the items can not be met together.
// known reports whether every item has instructions on air removal and temperature,
// without which an empty difference proves nothing.
func (p *Pack) conflict() (difference string, known bool) {
	known = true
	var least, most units.Temperature
	air := []moistheat.AirRemoval{moistheat.GravityDisplacement, moistheat.DynamicAirRemoval,
		moistheat.SteamFlushPressurePulse} // those that suit all items so far
	for i := range p.Items {
		in := p.Items[i].Instructions
		if in == nil {
			known = false
			continue
		}
		known = known && len(in.AirRemoval) > 0 && in.MinTemperature.IsValid()
		if len(in.AirRemoval) > 0 {
			air = slices.DeleteFunc(air, func(a moistheat.AirRemoval) bool { return !slices.Contains(in.AirRemoval, a) })
		}
		if in.MinTemperature.Compare(least) > 0 {
			least = in.MinTemperature
		}
		if in.MaxTemperature.IsValid() && (!most.IsValid() || in.MaxTemperature.Compare(most) < 0) {
			most = in.MaxTemperature
		}
	}
	switch {
	case len(air) == 0:
		return "no air removal suits all of them", known
	case most.IsValid() && least.Compare(most) > 0:
		return "one item needs " + least.String() + ", another allows no more than " + most.String(), known
	}
	return "", known
}

// mixed says whether the pack holds hollow items beside porous or textile ones.
func (p *Pack) mixed() moistheat.Answer {
	hollow, soft := moistheat.No, moistheat.No
	for i := range p.Items {
		it := &p.Items[i]
		if c, known := it.HardestLumen(); c > Solid && (known || it.Traits != nil) {
			hollow = moistheat.Yes
		}
		if it.Has(Porous) == moistheat.Yes || it.Has(Textile) == moistheat.Yes {
			soft = moistheat.Yes
		}
	}
	switch {
	case hollow == moistheat.Yes && soft == moistheat.Yes:
		return moistheat.Yes
	case p.Porous() == moistheat.NotRecorded:
		return moistheat.NotRecorded // somebody did not describe an item
	}
	return moistheat.No
}

func (k *checker) item(it *Item, at string) {
	k.state(it, hingeClosed, Hinged, it.Open, at+"/open")
	k.state(it, assemblyClosed, MultiPart, it.Apart, at+"/apart")

	it.name(k.answer(itemSingleuse, it.Has(SingleUse), moistheat.No, at+"/traits"))
	if it.Class == "" {
		it.name(k.add(itemUnclassified, moistheat.Undetermined, at+"/class"))
	} else {
		k.add(itemUnclassified, moistheat.Met, at+"/class")
	}

	prep := &it.Preparation
	it.name(k.answer(itemUncleaned, prep.Cleaned, moistheat.Yes, at+"/preparation/cleaned"))
	it.name(k.answer(itemWet, prep.Dry, moistheat.Yes, at+"/preparation/dry"))
	it.name(k.answer(itemUninspected, prep.Inspected, moistheat.Yes, at+"/preparation/inspected"))

	k.sharp(it, at)
	k.handling(it, at)
	switch implant := it.Has(Implant); {
	case implant == moistheat.No || implant == moistheat.NotRecorded && k.p.Packed():
		k.skip(implantUnwrapped, at+"/traits")
	case k.p.Packed():
		k.add(implantUnwrapped, moistheat.Met, at+"/traits")
	case implant == moistheat.NotRecorded || k.p.Barrier == "":
		it.name(k.add(implantUnwrapped, moistheat.Undetermined, at+"/traits"))
	default:
		it.name(k.add(implantUnwrapped, moistheat.Broken, at+"/traits"))
	}

	if len(it.Lumens) == 0 {
		if _, known := it.HardestLumen(); known {
			k.skip(lumenUnmeasured, at+"/lumens")
		} else {
			it.name(k.add(lumenUnmeasured, moistheat.Undetermined, at+"/lumens"))
		}
	}
	for i, l := range it.Lumens {
		o := moistheat.Met
		if _, ok := l.Class(); !ok {
			o = moistheat.Undetermined
		}
		it.name(k.add(lumenUnmeasured, o, at+"/lumens/"+strconv.Itoa(i)))
	}
}

// state asks a rule about the state of an item with a trait. A recorded state is
// judged even if nobody described the item.
func (k *checker) state(it *Item, rule ask.ID, t Trait, got moistheat.Answer, pointer string) {
	if it.Has(t) == moistheat.No && got == moistheat.NotRecorded {
		k.skip(rule, pointer)
		return
	}
	it.name(k.answer(rule, got, moistheat.Yes, pointer))
}

func (k *checker) sharp(it *Item, at string) {
	paper := k.p.Barrier == PaperBag || k.p.Barrier == LowTemperaturePaper || k.p.Barrier == CoatedPaper
	sharp := it.Has(Sharp)
	switch {
	case !paper || sharp == moistheat.No:
		k.skip(sharpExposed, at+"/guarded")
	case sharp == moistheat.NotRecorded && it.Guarded != moistheat.Yes:
		it.name(k.add(sharpExposed, moistheat.Undetermined, at+"/traits"))
	default:
		it.name(k.answer(sharpExposed, it.Guarded, moistheat.Yes, at+"/guarded"))
	}
}
