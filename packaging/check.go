package packaging

import (
	"cmp"
	"iter"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
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
	// none of them states is not asked.
	Figures *Figures
	// OneSterilizer says that the site has no other sterilizer, so that no label has to
	// name it.
	OneSterilizer bool
}

// Check asks the rules of this package about one pack. It returns the findings in a
// fixed order, with pointers relative to the pack, such as "/items/0/lumens/1". A nil
// pack is an empty one: nothing about it is known.
func Check(p *Pack, c Context) []moistheat.Finding {
	out := make([]moistheat.Finding, 0, 48+32*len(cmp.Or(p, &Pack{}).Items))
	for at, findings := range Sections(p, c, nil) {
		for _, f := range findings {
			f.Pointer, f.Params = at+f.Pointer, slices.Clone(f.Params)
			out = append(out, f)
		}
	}
	return out
}

// Sections yields the findings of [Check] in sections: those about the pack as a whole at
// "", and then those of each item at its pointer, to which theirs are relative. A section
// and the parameters in it are good until the next one, and lie in room where it is large
// enough, so that memory does not follow the number of items.
func Sections(p *Pack, c Context, room []moistheat.Finding) iter.Seq2[string, []moistheat.Finding] {
	return func(yield func(string, []moistheat.Finding) bool) {
		if p == nil {
			p = &Pack{}
		}
		k := checker{book.List(room[:0]), p, c}
		k.whole()
		k.Settle(p)
		at := ""
		for i := 0; yield(at, k.Findings) && i < len(p.Items); i++ {
			at, k.Findings = "/items/"+strconv.Itoa(i), k.Findings[:0]
			k.item(&p.Items[i])
			k.Settle(&p.Items[i])
		}
	}
}

// whole asks about the pack as a whole.
func (k *checker) whole() {
	k.barrier()
	k.closure()
	k.sealer()
	k.layers()
	k.mass()
	k.muslin()
	k.indicators()
	k.types()
	k.label()
	k.contents()
	k.metals()
	k.use()
	k.loan()
}

type checker struct {
	ask.List
	p *Pack
	c Context
}

// negate turns a yes into a no and back.
func negate(a moistheat.Answer) moistheat.Answer {
	switch a {
	case moistheat.Yes:
		return moistheat.No
	case moistheat.No:
		return moistheat.Yes
	}
	return a
}

// either says whether one of two is so.
func either(a, b moistheat.Answer) moistheat.Answer {
	switch {
	case a == moistheat.Yes || b == moistheat.Yes:
		return moistheat.Yes
	case a == moistheat.NotRecorded || b == moistheat.NotRecorded:
		return moistheat.NotRecorded
	}
	return moistheat.No
}

// both says whether two are so.
func both(a, b moistheat.Answer) moistheat.Answer { return negate(either(negate(a), negate(b))) }

// figures yields the figures of one kind that apply on the day.
func (k *checker) figures(l Limit) iter.Seq[*Figure] {
	return func(yield func(*Figure) bool) {
		if k.c.Figures == nil {
			return
		}
		for i := range k.c.Figures.rows {
			f := &k.c.Figures.rows[i]
			if f.Limit == l && k.c.Date.Within(f.From, f.Until) && !yield(f) {
				return
			}
		}
	}
}

// limit holds what was measured against each figure of one kind. The answer says
// whether such figures are about this pack.
func (k *checker) limit(rule ask.ID, l Limit, about moistheat.Answer, got units.Value, pointer string) {
	for f := range k.figures(l) {
		f.hold(k.Ask(rule, pointer).WhenKnown(about), got)
	}
}

// hold answers a question by what was measured.
func (f *Figure) hold(q ask.Question, got units.Value) ask.Question {
	limit, least := f.Value(), f.Limit.kind().least
	order, ok := got.Compare(limit)
	switch sign := got.Decimal().Sign(); {
	case !ok:
		q.Open(moistheat.Unrecorded)
	case sign < 0, sign == 0 && (!least || f.Limit == LeastIndicatorArea):
		q.Open(moistheat.NotMeasurable) // nothing has no mass and no area, but a seal can be 0 mm wide and hold 0 N
	default:
		q.BrokenIf(least && order < 0 || !least && order > 0)
	}
	return q.Of(got, limit).Table(f.Table).By(f.Source)
}

// expiry asks whether something was still in date on the day of the cycle.
func (k *checker) expiry(q ask.Question, last moistheat.Date) {
	day := k.c.Date
	q.Given(last.IsValid() && day.IsValid()).BrokenIf(last.Compare(day) < 0)
	if q.Outcome() == moistheat.Broken {
		q.With("expires", last.String()).With("date", day.String())
	}
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

// sheets reports whether the barrier is folded out of sheets.
func (b Barrier) sheets() bool { return b == WrapSheet || b == TextileWrap }

// reusable reports whether the barrier is made for many uses.
func (b Barrier) reusable() bool { return b == TextileWrap || b == RigidContainer || b == ClosedVessel }

// open reports whether the pack has no barrier of its own, as far as is known.
func (p *Pack) open() bool { return p.Barrier == Unwrapped }

// alone reports whether the pack has a barrier and lies in no other pack.
func (p *Pack) alone() bool { return !p.open() && p.Inside == "" }

// tray reports whether the pack is a tray in a container, which has what the two
// need together.
func (p *Pack) tray() bool { return p.open() && p.Inside != "" }

func (k *checker) barrier() {
	p := k.p
	packed, single, kind := !p.open(), !p.Barrier.reusable(), lang.Data(string(p.Barrier))
	fit, by := p.steam()
	k.Ask(barrierUnfit, "/barrier").When(packed).Yes(fit).By(by).
		Explain("barrier", cmp.Or(kind, lang.Say("not-recorded: not recorded")))
	k.Ask(barrierReused, "/reused").When(packed && single).No(p.Reused).
		Explain("barrier", cmp.Or(kind, lang.Say("wrap-or-pouch: wrap or pouch")))
	k.expiry(k.Ask(barrierExpired, "/expires").When(packed && (single || p.Expires.IsValid())), p.Expires)
	k.Ask(barrierLinen, "/barrier").When(packed).Given(kind.IsValid()).BrokenIf(p.Barrier == TextileWrap)
	k.Ask(barrierSleeve, "/barrier").When(packed).Given(kind.IsValid()).BrokenIf(p.Barrier == NylonSleeve)
}

// barriers are those that somebody says something of: whether they are fit for steam,
// which the pack can say too, and who says so; without a document those of the rule.
var barriers = [...]struct {
	Barrier
	fit               moistheat.Answer
	document, edition string
	basis             moistheat.Basis
}{
	{LowTemperaturePaper, moistheat.No, "EN 868-6", "2025", moistheat.Published},
	{CoatedPaper, moistheat.No, "EN 868-7", "2017", moistheat.Published},
	{Foil, moistheat.No, "", "", 0},
	{ClosedVessel, moistheat.No, "", "", 0},
	{FlashSpunPouch, moistheat.NotRecorded, "trade article on peel pouches", "", moistheat.Quoted},
	{WrapSheet, moistheat.Yes, "EN 868-2", "2017", moistheat.Published},
	{TextileWrap, moistheat.Yes, "EN 868-2", "2017", moistheat.Published},
	{PaperBag, moistheat.Yes, "EN 868-3", "2025", moistheat.Published},
	{PaperFilmPouch, moistheat.Yes, "EN 868-5", "2009", moistheat.Published},
	{RigidContainer, moistheat.Yes, "EN 868-8", "", moistheat.Quoted},
	{NylonSleeve, moistheat.Yes, "Evaluation of the shelf life of sterile instrument packs", "1991",
		moistheat.Published},
}

// steam says whether the barrier is fit for steam and who says so.
func (p *Pack) steam() (fit moistheat.Answer, by moistheat.Source) {
	for _, b := range barriers {
		if b.Barrier == p.Barrier {
			fit, by = b.fit, moistheat.Source{Document: b.document, Edition: b.edition, Basis: b.basis}
		}
	}
	switch {
	case p.Barrier == FlashSpunPouch:
		fit = ask.AnswerOf(p.SteamFit == moistheat.Yes)
	case p.Barrier == OtherBarrier:
		fit = p.SteamFit
	case p.SteamFit == moistheat.No && fit != moistheat.No:
		return moistheat.No, moistheat.Source{}
	}
	return fit, by
}

// heated reports whether the pack is closed with a heat seal, as far as is known.
func (p *Pack) heated() bool {
	m := ask.Some(p.Seal).Method
	return p.Barrier.sealed() && (m == HeatSeal || m == "")
}

func (k *checker) closure() {
	p, s := k.p, ask.Some(k.p.Seal)
	switch q := k.Ask(closurePierced, "/seal").When(!p.open()); {
	case s.Pierced == moistheat.Yes:
		q.At("/seal/pierced").Broken()
	case s.Method == Fastener:
		q.At("/seal/method").Broken()
	default:
		q.Known(s.Pierced == moistheat.No || s.Method != "")
	}
	k.Ask(sealDamaged, "/seal/intact").When(!p.open()).Yes(s.Intact)
	heated, sealed := ask.AnswerOf(p.heated()), ask.AnswerOf(p.Barrier.sealed())
	k.limit(sealNarrow, LeastSealWidth, heated, s.Width.Value(), "/seal/width")
	k.limit(sealWeak, LeastSealStrength, heated, s.Strength.Value(), "/seal/strength")
	k.limit(fillExcessive, GreatestFill, sealed, p.Fill.Value(), "/fill")
	k.limit(spaceShort, LeastFreeSpace, sealed, p.FreeSpace.Value(), "/freeSpace")
	k.limit(overhangShort, LeastOverhang, sealed, p.Overhang.Value(), "/overhang")
	k.Ask(airTrapped, "/airExpelled").When(p.Barrier.sealed()).Yes(p.AirExpelled)
}

func (k *checker) layers() {
	p, d, w := k.p, ask.Some(k.p.Double), ask.Some(k.p.Wrap)
	if p.Double != nil || p.Layers > 1 && p.Barrier.sealed() {
		k.Ask(layersFacing, "/double/facing").Yes(d.Facing)
		k.Ask(layersFolded, "/double/folded").No(d.Folded)
		k.Ask(layersSize, "/double/sameSize").No(d.SameSize)
		k.Ask(layersUnvalidated, "/double/validated").Yes(d.Validated)
	}
	k.Ask(wrapUnwashed, "/wrap/washed").When(p.Barrier == TextileWrap).Yes(w.Washed)
	q := k.Ask(wrapSingle, "/wrap").When(p.Barrier.sheets() && w.TwoSheets != moistheat.No)
	if w.TwoSheets == moistheat.Yes && w.Sheets == 1 && w.Bonded == moistheat.No {
		q.At("/wrap/sheets").Broken()
	}
	q.Known(w.Sheets > 1 || w.Bonded == moistheat.Yes)
	k.Ask(wrapOnestep, "/wrap/steps").When(p.Barrier.sheets() && w.Sheets != 1 && w.Bonded != moistheat.Yes).
		MetWhen(w.Steps > 1).Given(w.Sheets > 1 && w.Steps == 1 && w.Bonded == moistheat.No).Broken()
}

func (k *checker) mass() {
	p, gross := k.p, k.p.Mass.Value()
	sheets, container, textiles := p.Barrier.sheets(), p.Barrier == RigidContainer, p.textiles()
	// A set is a tray, wrapped or in a container, that holds more than textiles.
	set := both(ask.AnswerOf(p.open() && p.Inside == "" || sheets || container), negate(textiles))
	k.limit(massOver, GreatestSetMass, set, gross, "/mass")
	k.limit(massHigh, GreatestTrayMass, both(set, ask.AnswerOf(sheets)), gross, "/mass")
	k.limit(massHigh, GreatestContainerMass, ask.AnswerOf(container), gross, "/mass")
	k.limit(massHigh, GreatestTextileMass, textiles, gross, "/mass")
	k.limit(massHigh, GreatestMuslinMass, both(textiles, ask.AnswerOf(p.Barrier == TextileWrap)), gross, "/mass")
	for f := range k.figures(GreatestSetNetMass) {
		net, at := p.NetMass.Value(), "/netMass"
		if order, ok := gross.Compare(f.Value()); ok && order <= 0 && !net.IsValid() {
			net, at = gross, "/mass" // the net mass is less than that
		}
		f.hold(k.Ask(massHigh, at).WhenKnown(set), net)
	}
}

// textiles says whether the pack holds textiles only.
func (p *Pack) textiles() moistheat.Answer {
	if len(p.Items) == 0 {
		return moistheat.NotRecorded
	}
	all := moistheat.Yes
	for i := range p.Items {
		all = both(all, p.Items[i].Has(Textile))
	}
	return all
}

func (k *checker) indicators() {
	p := k.p
	const all = "/indicators"
	internal, external, process, untyped := false, false, false, len(p.Indicators) == 0
	visible := moistheat.No
	for i := range p.Indicators {
		in, at := &p.Indicators[i], all+"/"+strconv.Itoa(i)
		k.expiry(k.Ask(indicatorVoid, at+"/expires"), in.Expires)
		process, untyped = process || in.Type == 1, untyped || in.Type == 0
		switch in.Place {
		case Internal:
			internal, visible = true, either(visible, in.Visible)
		case External:
			external = true
		}
		printed := ask.AnswerOf(in.Place == External && (in.Type == 1 || in.Area.IsValid()))
		k.limit(indicatorSmall, LeastIndicatorArea, printed, in.Area.Value(), at+"/area")
	}
	inside, only := false, true // those inside: whether there are any, and whether all are of type 2
	for i := range p.Indicators {
		if in := &p.Indicators[i]; p.within(in) {
			inside, only = true, only && in.Type == 2
		}
	}
	k.Ask(indicatorUnsuited, all).When(inside && !p.tray()).BrokenIf(only)
	k.Ask(indicatorInternal, all).When(!p.tray()).Given(len(p.Indicators) > 0).BrokenIf(!internal)
	k.Ask(indicatorExternal, all).When(p.alone()).
		MetWhen(external || visible == moistheat.Yes).Given(len(p.Indicators) > 0 && visible == moistheat.No).Broken()
	k.Ask(indicatorProcess, all).When(p.alone()).MetWhen(process).Given(!untyped).Broken()
}

// types asks of which type the indicators inside the pack are.
func (k *checker) types() {
	p := k.p
	const all = "/indicators"
	best, known := p.best()
	q := k.Ask(indicatorWeak, all).When(!p.tray()).MetWhen(best >= 4).Given(known).Broken()
	implant := p.Has(Implant)
	r := k.Ask(indicatorImplant, all).When(!p.tray() && implant != moistheat.No)
	integrating := slices.ContainsFunc(p.Indicators, func(in Indicator) bool { return in.Type == 5 && p.within(&in) })
	switch {
	case implant == moistheat.NotRecorded:
		r.Open(moistheat.Unrecorded).
			Explain("why", lang.Say("implant-unrecorded: whether the pack holds an implant is not recorded"))
	case integrating:
		r.Met()
	case best == 6:
		r.Open(moistheat.NoLimit).
			Explain("why", lang.Say("indicator-type-six: it is of type 6, and the text names type 5"))
	case !known:
		r.Open(moistheat.Unrecorded).Explain("why", lang.Say("indicator-type-unrecorded: its type is not recorded"))
	default:
		r.Broken()
	}
	for _, q := range [...]ask.Question{q, r} {
		if q.Outcome() == moistheat.Broken {
			q.With("type", typeName(best))
		}
	}
}

// within reports whether an indicator shows what is inside the pack, as every one of
// items without a pack does.
func (p *Pack) within(in *Indicator) bool { return in.Place == Internal || p.open() }

// best returns the highest type among the indicators inside. known is false if one may
// be higher than recorded.
func (p *Pack) best() (typ int, known bool) {
	known = len(p.Indicators) > 0
	for i := range p.Indicators {
		if in := &p.Indicators[i]; p.within(in) {
			typ, known = max(typ, in.Type), known && in.Type != 0
		}
	}
	return typ, known
}

// typeName returns the type of an indicator for a person.
func typeName(typ int) string {
	if typ == 0 {
		return lang.Term("type: none")
	}
	return strconv.Itoa(typ)
}

func (k *checker) label() {
	alone, l := k.p.alone(), ask.Some(k.p.Label)
	var missing []string
	if l.Sterilizer == "" && !k.c.OneSterilizer {
		missing = append(missing, lang.Term("label: sterilizer"))
	}
	if l.Cycle == "" && l.Load == "" {
		missing = append(missing, lang.Term("label: cycle or load number"))
	}
	if !l.Date.IsValid() {
		missing = append(missing, lang.Term("label: date of sterilization"))
	}
	q := k.Ask(labelIncomplete, "/label").When(alone).Given(k.p.Label != nil).BrokenIf(missing != nil)
	if q.Outcome() == moistheat.Broken {
		q.With("missing", strings.Join(missing, ", "))
	}
	k.Ask(labelMisplaced, "/label/on").When(alone).Given(l.On != "").BrokenIf(l.On == OnPaper)
	k.Ask(labelFading, "/label/fastInk").When(alone).Yes(l.FastInk)
	k.Ask(labelAftercycle, "/label/before").When(alone).Yes(l.Before)
}
