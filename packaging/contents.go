package packaging

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

func (k *checker) contents() {
	p := k.p
	k.Ask(contentsUnlisted, "/items").Known(len(p.Items) > 0)
	if len(p.Items) < 2 {
		return
	}
	difference, known := p.conflict()
	known = known || difference.IsValid()
	k.Ask(contentsMixed, "/items").When(known || p.mixed() != moistheat.No).
		Given(known).BrokenIf(difference.IsValid()).Explain("difference", difference)
}

// conflict says in what the instructions of the items cannot be met together.
// known reports whether every item has instructions on air removal and temperature,
// without which an empty difference proves nothing.
func (p *Pack) conflict() (difference moistheat.Detail, known bool) {
	known = true
	var least, most units.Temperature
	air := []moistheat.AirRemoval{moistheat.GravityDisplacement, moistheat.DynamicAirRemoval,
		moistheat.SteamFlushPressurePulse} // those that suit all items so far
	for i := range p.Items {
		in := ask.Some(p.Items[i].Instructions)
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
		return lang.Say("no-common-air-removal: no air removal suits all of them"), known
	case most.IsValid() && least.Compare(most) > 0:
		return lang.Say("no-common-temperature: one item needs {1:number}, another allows no more than {2:number}",
			least.String(),
			most.String()), known
	}
	return moistheat.Detail{}, known
}

// mixed says whether the pack holds hollow items beside porous or textile ones.
func (p *Pack) mixed() moistheat.Answer {
	hollow := slices.ContainsFunc(p.Items, func(it Item) bool {
		c, known := it.HardestLumen()
		return c > Solid && (known || it.described())
	})
	switch porous := p.Porous(); {
	case porous == moistheat.NotRecorded: // somebody did not describe an item
		return porous
	case hollow:
		return porous
	}
	return moistheat.No
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
		known = known && len(it.Materials) > 0
		for _, m := range it.Materials {
			if n := m.metal(); n != "" && !slices.Contains(kinds, n) {
				kinds = append(kinds, n)
			}
		}
		apart = both(apart, it.MetalsApart)
	}
	q := k.Ask(metalsTouching, "/items").When(len(kinds) > 1 || !known && len(k.p.Items) > 1)
	if len(kinds) < 2 {
		q.Open(moistheat.Unrecorded).Explain("metals", lang.Say("not-recorded: not recorded"))
		return
	}
	slices.Sort(kinds)
	q.Yes(apart).With("metals", strings.Join(kinds, ", "))
}

// use asks what must hold of items that are not kept in a pack, or not kept at all.
func (k *checker) use() {
	p := k.p
	if p.Use != Immediate {
		return
	}
	critical := slices.ContainsFunc(p.Items, func(it Item) bool { return it.critical() })
	k.Ask(immediateUnfounded, "/reason").MetWhen(len(p.Items) > 0 && !critical).Given(p.Reason != "").
		BrokenIf(p.Reason != Urgent).With("reason", string(p.Reason))
	k.Ask(immediateConvenience, "/reason").When(!critical).Given(p.Reason != "").
		BrokenIf(p.Reason != Urgent).With("reason", string(p.Reason))
	best, known := p.best()
	k.Ask(immediateUnindicated, "/indicators").MetWhen(best >= 5).Given(known).Broken()
	k.Ask(immediateUncovered, "/covered").When(critical && p.open()).Yes(p.Covered)
}

// item asks about one item. Every finding that a person must deal with names it.
// Its pointers are relative to the item.
func (k *checker) item(it *Item) {
	k.state(it)
	k.cleaning(it)
	k.traits(it)
	k.lumens(it)
	name := []moistheat.Param{{Name: "item", Value: cmp.Or(lang.Data(it.Name), lang.Say("the-item: the item"))}}
	for i := range k.Findings {
		if f := &k.Findings[i]; f.Outcome < moistheat.Undetermined {
			continue
		} else if f.Params == nil {
			f.Params = name
		} else {
			f.Params = slices.Concat(name, f.Params)
		}
	}
}

// state asks how an item lies in the pack.
func (k *checker) state(it *Item) {
	p, sharp := k.p, it.Has(Sharp)
	// A recorded state is judged even if nobody described the item.
	k.Ask(hingeClosed, "/open").
		When(it.Has(Hinged) != moistheat.No || it.Open != moistheat.NotRecorded).Yes(it.Open)
	k.Ask(assemblyClosed, "/disassembled").
		When(it.Has(MultiPart) != moistheat.No || it.Disassembled != moistheat.NotRecorded).Yes(it.Disassembled)

	paper := p.Barrier == PaperBag || p.Barrier == LowTemperaturePaper || p.Barrier == CoatedPaper
	q := k.Ask(sharpExposed, "/guarded").When(paper && sharp != moistheat.No)
	if sharp == moistheat.NotRecorded && it.Guarded != moistheat.Yes {
		q.At("/traits").Open(moistheat.Unrecorded)
	}
	q.Yes(it.Guarded)
	guarded := it.Guarded == moistheat.Yes && sharp != moistheat.No
	k.Ask(guardUnvented, "/guardVented").When(guarded).Yes(it.GuardVented)
	k.Ask(handleAway, "/handleFirst").When(p.Barrier.sealed()).Yes(it.HandleFirst)

	nested := it.Has(Hollowware) == moistheat.Yes && it.Count != 1
	k.Ask(hollowwareNested, "/separated").When(nested).Yes(it.Separated)
	k.Ask(tubingClosed, "/openEnds").When(it.Has(Tubing) == moistheat.Yes).Yes(it.OpenEnds)
}

// cleaning asks how an item was prepared before it was packed.
func (k *checker) cleaning(it *Item) {
	prep, says := &it.Preparation, ask.Some(it.Instructions)
	const at, instructions = "/preparation", "/instructions"
	powered, method, known := it.Has(Powered) == moistheat.Yes, prep.Method, prep.Method != ""
	soaked := method == Wiping || method == Immersion
	k.Ask(itemUncleaned, at+"/cleaned").Yes(prep.Cleaned)
	k.Ask(itemWet, at+"/dry").Yes(prep.Dry)
	k.Ask(itemUninspected, at+"/inspected").Yes(prep.Inspected)
	k.Ask(poweredWiped, at+"/method").When(powered).Given(known).BrokenIf(soaked)
	k.Ask(cleaningSoaked, at+"/method").When(!powered && it.critical() && known).
		BrokenIf(soaked && says.HandCleaning != moistheat.Yes) // its manufacturer's word comes first

	replaced := known && method != WasherDisinfector && prep.WasherDown == moistheat.Yes
	k.Ask(cleaningWasher, at+"/method").When(!replaced).Given(known).BrokenIf(method != WasherDisinfector)
	q := k.Ask(cleaningUnrequested, at+"/method").Given(known)
	if soaked || method == Manual {
		q.At(instructions + "/handCleaning").Yes(says.HandCleaning)
	}
	q.Met()
	k.Ask(tubingImpure, at+"/rinse").When(it.Has(Tubing) == moistheat.Yes).
		Given(prep.Rinse != "").BrokenIf(prep.Rinse != PureWater).Detail("water", string(prep.Rinse))

	oil := prep.Lubricated
	oiled := oil == moistheat.Yes || oil == moistheat.NotRecorded && powered
	k.Ask(lubricantExcess, at+"/wiped").When(oiled).Yes(prep.Wiped)
	q = k.Ask(lubricantUnasked, at+"/lubricated").When(oiled).WhenKnown(oil)
	if !q.Answered() {
		q.At(instructions + "/lubrication").Yes(says.Lubrication)
	}
}

// described asks whether it is recorded what an item is and whether it has lumens. An
// empty list says no more than one that is absent: the answer beside it does.
func (k *checker) described(it *Item) {
	q := k.Ask(itemUndescribed, "")
	switch {
	case it.HasTraits == moistheat.No && len(it.Traits) > 0:
		q.At("/hasTraits").Broken().With("what", lang.Term("described: trait"))
	case it.HasLumens == moistheat.No && (len(it.Lumens) > 0 || it.Has(Hollow) == moistheat.Yes):
		q.At("/hasLumens").Broken().With("what", lang.Term("described: lumen"))
	case !it.described():
		q.At("/traits").Open(moistheat.Unrecorded).Say("what", lang.Say("item-undescribed: what the item is"))
	case it.HasLumens == moistheat.Yes && len(it.Lumens) == 0:
		q.At("/lumens").Open(moistheat.Unrecorded).
			Say("what", lang.Say("item-lumens-unlisted: the lumens that it has"))
	default:
		q.Met()
	}
}

// traits asks whether an item may be treated so, being what it is.
func (k *checker) traits(it *Item) {
	p, implant, of := k.p, it.Has(Implant), "/traits"
	if len(it.Traits) == 0 && it.HasTraits != moistheat.NotRecorded {
		of = "/hasTraits"
	}
	k.Ask(itemSingleuse, of).No(it.Has(SingleUse))
	k.Ask(itemUnclassified, "/class").Known(it.Class != "")
	k.described(it)

	powered, stands := it.Has(Powered) == moistheat.Yes, it.HeatTolerant
	if stands == moistheat.NotRecorded && ask.Some(it.Instructions).MinTemperature.IsValid() {
		stands = moistheat.Yes
	}
	k.Ask(heatIntolerant, "/heatTolerant").When(powered || stands == moistheat.No).Yes(stands)
	k.Ask(poweredUnpacked, "").When(powered).MetWhen(p.Packed()).Given(p.open()).Broken()

	k.Ask(implantUnmarked, of).When(it.Kind != "").
		Given(it.described()).BrokenIf(!slices.Contains(it.Traits, Implant))
	k.Ask(implantUnwrapped, of).
		When(implant == moistheat.Yes || implant == moistheat.NotRecorded && !p.Packed()).
		MetWhen(p.Packed()).Given(implant == moistheat.Yes && p.Barrier != "").Broken()
	k.Ask(immediateImplant, of).When(p.Use == Immediate).No(it.Has(ImplantInstrument))

	bare := p.open() && p.Inside == "" && it.critical()
	k.Ask(unwrappedStored, "/class").When(bare).
		Given(p.Use != "" && (it.Class != "" || p.Use != Later)).BrokenIf(p.Use == Later)
	q := k.Ask(patientOther, "/usedOn").When(it.Has(SinglePatient) == moistheat.Yes).
		Given(it.UsedOn != "" && it.MeantFor != "")
	if !q.Answered() {
		q.At("/meantFor").BrokenIf(it.UsedOn != it.MeantFor)
	}
}

func (k *checker) lumens(it *Item) {
	_, known := it.HardestLumen()
	k.Ask(lumenUnmeasured, "/lumens").When(len(it.Lumens) == 0 && !known).Open(moistheat.Unrecorded)
	for i, l := range it.Lumens {
		_, ok := l.Class()
		k.Ask(lumenUnmeasured, "/lumens/"+strconv.Itoa(i)).MetWhen(ok).
			Given(l.Length.IsValid() && l.Bore.IsValid() && l.OpenEnds != 0).Open(moistheat.NotMeasurable)
	}
}
