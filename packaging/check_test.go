package packaging_test

import (
	"slices"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func date(s string) moistheat.Date {
	d, err := moistheat.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

const (
	yes = moistheat.Yes
	no  = moistheat.No
	nr  = moistheat.NotRecorded

	na     = moistheat.NotApplicable
	met    = moistheat.Met
	open   = moistheat.Undetermined
	broken = moistheat.Broken
)

func mass(s string) units.Mass { return units.MustParse[units.MassUnit](s) }

func ratio(s string) units.Ratio { return units.MustParse[units.RatioUnit](s) }

// answered says whether an item has traits, and lists none.
func answered(has moistheat.Answer) func(it *packaging.Item) {
	return func(it *packaging.Item) { it.Traits, it.HasTraits = nil, has }
}

func traits(t ...packaging.Trait) []packaging.Trait { return append([]packaging.Trait{}, t...) }

// goodPouch is a pouch about which nothing is wrong and nothing is missing.
func goodPouch() *packaging.Pack {
	return &packaging.Pack{
		ID: "p1", Barrier: packaging.PaperFilmPouch, Layers: 1,
		Seal: &packaging.Seal{
			Method: packaging.HeatSeal, Width: length("8 mm"), Intact: yes, Pierced: no,
			Strength: units.MustParse[units.ForcePerWidthUnit]("2 N/(15.mm)"), Tested: yes,
		},
		Overhang: length("15 mm"), AirExpelled: yes, Use: packaging.Later,
		Fill: ratio("60 %"), FreeSpace: length("40 mm"), Mass: mass("120 g"), Reused: no, Expires: date("2027-01-31"),
		Label: &packaging.Label{Sterilizer: "S1", Load: "12", Date: date("2026-03-09"), On: packaging.OnFilm, FastInk: yes, Before: yes},
		Indicators: []packaging.Indicator{
			{Place: packaging.External, Type: 1, Expires: date("2027-06-30"), Area: units.MustParse[units.AreaUnit]("150 mm2")},
			{Place: packaging.Internal, Type: 5, Expires: date("2026-12-31"), Visible: no},
		},
		Items: []packaging.Item{{
			Name: "scissors", Count: 1, Class: packaging.Critical, Traits: traits(packaging.Hinged, packaging.MultiPart, packaging.Sharp),
			Open: yes, Disassembled: yes, HandleFirst: yes,
			Preparation: packaging.Preparation{Cleaned: yes, Method: packaging.WasherDisinfector, Dry: yes, Inspected: yes},
		}},
	}
}

// goodTray is a wrapped set that no figure of the library stands against.
func goodTray() *packaging.Pack {
	p := goodPouch()
	p.Barrier, p.Mass, p.NetMass = packaging.WrapSheet, mass("7 kg"), mass("6.5 kg")
	p.Seal = &packaging.Seal{Method: packaging.Tape, Intact: yes}
	p.Wrap = &packaging.Wrap{Sheets: 2, Bonded: no, Steps: 2, TwoSheets: yes}
	return p
}

func allFigures(t *testing.T) *packaging.Figures {
	f, err := packaging.FiguresFor(packaging.FigureNames()...)
	require.NoError(t, err)
	return f
}

func figures(t *testing.T, ids ...string) *packaging.Figures {
	f, err := packaging.FiguresFor(ids...)
	require.NoError(t, err)
	return f
}

type ruleTest struct {
	rule    string
	want    moistheat.Outcome
	pointer string
	what    string
	change  func(p *packaging.Pack, c *packaging.Context)
}

type (
	pack = *packaging.Pack
	ctx  = *packaging.Context
)

func same(pack, ctx) {}

func unwrap(p pack, _ ctx) { *p = packaging.Pack{Barrier: packaging.Unwrapped, Items: p.Items} }

// item changes the first item.
func item(f func(it *packaging.Item)) func(pack, ctx) {
	return func(p pack, _ ctx) { f(&p.Items[0]) }
}

func double(d packaging.Double) func(pack, ctx) {
	return func(p pack, _ ctx) { p.Layers, p.Double = 2, &d }
}

// second adds an item with traits and instructions beside the scissors, which get
// instructions too.
func second(first, other *packaging.Instructions, t ...packaging.Trait) func(pack, ctx) {
	return func(p pack, _ ctx) {
		p.Items[0].Instructions = first
		p.Items = append(p.Items, packaging.Item{
			Name: "second", Traits: t, HasTraits: ask.AnswerOf(len(t) > 0), Instructions: other,
		})
	}
}

func instructions(least, most string, air ...moistheat.AirRemoval) *packaging.Instructions {
	in := &packaging.Instructions{AirRemoval: air}
	if least != "" {
		in.MinTemperature = units.MustParse[units.TemperatureUnit](least)
	}
	if most != "" {
		in.MaxTemperature = units.MustParse[units.TemperatureUnit](most)
	}
	return in
}

const (
	vacuum  = moistheat.DynamicAirRemoval
	gravity = moistheat.GravityDisplacement
)

// pouchTests start from goodPouch on 2026-03-09 with the figures of EN 868-5:2009
// (seal at least 6 mm, 4.3.2, published) and DIN 58953-7 (fill at most three
// quarters, free space at least 30 mm, quoted).
var pouchTests = []ruleTest{
	{"assembly.closed", met, "/items/0/disassembled", "taken apart", same},
	{"assembly.closed", broken, "/items/0/disassembled", "left together", item(func(it *packaging.Item) { it.Disassembled = no })},
	{"assembly.closed", open, "/items/0/disassembled", "not recorded", item(func(it *packaging.Item) { it.Disassembled = nr })},
	{"assembly.closed", open, "/items/0/disassembled", "not described", item(func(it *packaging.Item) { it.Disassembled, it.Traits = nr, nil })},
	{"assembly.closed", na, "/items/0/disassembled", "one part",
		item(func(it *packaging.Item) { it.Disassembled, it.Traits, it.HasTraits = nr, nil, no })},

	{"barrier.expired", met, "/expires", "in date", same},
	{"barrier.expired", met, "/expires", "on its last day", func(p pack, _ ctx) { p.Expires = date("2026-03-09") }},
	{"barrier.expired", broken, "/expires", "the day after", func(p pack, _ ctx) { p.Expires = date("2026-03-08") }},
	{"barrier.expired", open, "/expires", "no expiry date", func(p pack, _ ctx) { p.Expires = moistheat.Date{} }},
	{"barrier.expired", open, "/expires", "no day", func(_ pack, c ctx) { c.Date = moistheat.Date{} }},
	{"barrier.expired", na, "/expires", "no barrier", unwrap},
	{"barrier.expired", na, "/expires", "container without a date", func(p pack, _ ctx) { p.Barrier, p.Expires = packaging.RigidContainer, moistheat.Date{} }},
	{"barrier.expired", broken, "/expires", "container with a date", func(p pack, _ ctx) { p.Barrier, p.Expires = packaging.RigidContainer, date("2026-03-08") }},

	{"barrier.reused", met, "/reused", "new", same},
	{"barrier.reused", broken, "/reused", "used before", func(p pack, _ ctx) { p.Reused = yes }},
	{"barrier.reused", open, "/reused", "not recorded", func(p pack, _ ctx) { p.Reused = nr }},
	{"barrier.reused", na, "/reused", "container", func(p pack, _ ctx) { p.Barrier, p.Reused = packaging.RigidContainer, yes }},
	{"barrier.reused", na, "/reused", "textile wrap", func(p pack, _ ctx) { p.Barrier, p.Reused = packaging.TextileWrap, yes }},
	{"barrier.reused", na, "/reused", "no barrier", unwrap},

	// Steam fitness: EN 868-2 to -5 and -8 yes; EN 868-6 and -7 are papers for
	// low-temperature processes; flash-spun polyolefin melts; foil and closed
	// vessels let no steam in.
	{"barrier.unfit", met, "/barrier", "pouch", same},
	{"barrier.unfit", broken, "/barrier", "pouch not fit for steam", func(p pack, _ ctx) { p.SteamFit = no }},
	{"barrier.unfit", met, "/barrier", "wrap", barrier(packaging.WrapSheet, nr)},
	{"barrier.unfit", met, "/barrier", "textile wrap", barrier(packaging.TextileWrap, nr)},
	{"barrier.unfit", met, "/barrier", "paper bag", barrier(packaging.PaperBag, nr)},
	{"barrier.unfit", met, "/barrier", "container", barrier(packaging.RigidContainer, nr)},
	{"barrier.unfit", met, "/barrier", "nylon", barrier(packaging.NylonSleeve, nr)},
	{"barrier.unfit", broken, "/barrier", "low-temperature paper", barrier(packaging.LowTemperaturePaper, yes)},
	{"barrier.unfit", broken, "/barrier", "coated paper", barrier(packaging.CoatedPaper, yes)},
	{"barrier.unfit", broken, "/barrier", "flash-spun", barrier(packaging.FlashSpunPouch, nr)},
	{"barrier.unfit", met, "/barrier", "flash-spun that its manufacturer allows", barrier(packaging.FlashSpunPouch, yes)},
	{"barrier.unfit", broken, "/barrier", "foil", barrier(packaging.Foil, yes)},
	{"barrier.unfit", broken, "/barrier", "jar", barrier(packaging.ClosedVessel, nr)},
	{"barrier.unfit", open, "/barrier", "other", barrier(packaging.OtherBarrier, nr)},
	{"barrier.unfit", met, "/barrier", "other that its manufacturer allows", barrier(packaging.OtherBarrier, yes)},
	{"barrier.unfit", broken, "/barrier", "other not fit for steam", barrier(packaging.OtherBarrier, no)},
	{"barrier.unfit", open, "/barrier", "not recorded", barrier("", yes)},
	{"barrier.unfit", na, "/barrier", "none", barrier(packaging.Unwrapped, nr)},

	{"closure.pierced", met, "/seal", "sealed", same},
	{"closure.pierced", met, "/seal", "tape", func(p pack, _ ctx) { p.Seal = &packaging.Seal{Method: packaging.Tape} }},
	{"closure.pierced", broken, "/seal/pierced", "staple beside the seal", func(p pack, _ ctx) { p.Seal.Pierced = yes }},
	{"closure.pierced", broken, "/seal/method", "clip", func(p pack, _ ctx) { p.Seal = &packaging.Seal{Method: packaging.Fastener} }},
	{"closure.pierced", broken, "/seal/method", "clip that pierced nothing", func(p pack, _ ctx) { p.Seal.Method = packaging.Fastener }},
	{"closure.pierced", open, "/seal", "not recorded", func(p pack, _ ctx) { p.Seal = nil }},
	{"closure.pierced", na, "/seal", "no barrier", unwrap},

	{"contents.mixed", na, "/items", "one item", same},
	{"contents.mixed", na, "/items", "two solid items", second(nil, nil)},
	{"contents.mixed", na, "/items", "solid and hollow", second(nil, nil, packaging.Hollow)},
	{"contents.mixed", open, "/items", "hollow and porous", second(nil, nil, packaging.Hollow, packaging.Porous)},
	{"contents.mixed", open, "/items", "one not described",
		func(p pack, c ctx) { second(nil, nil)(p, c); p.Items[1].HasTraits = nr }},
	{"contents.mixed", open, "/items", "hollow and porous, one with instructions", second(nil, instructions("134 Cel", "", vacuum), packaging.Hollow, packaging.Porous)},
	{"contents.mixed", open, "/items", "hollow and porous, empty instructions", second(&packaging.Instructions{}, instructions("134 Cel", "", vacuum), packaging.Hollow, packaging.Porous)},
	{"contents.mixed", met, "/items", "same instructions", second(instructions("121 Cel", "135 Cel", gravity, vacuum), instructions("134 Cel", "134 Cel", vacuum), packaging.Hollow, packaging.Porous)},
	{"contents.mixed", broken, "/items", "different air removal", second(instructions("121 Cel", "", gravity), instructions("121 Cel", "", vacuum))},
	{"contents.mixed", broken, "/items", "different temperatures", second(instructions("134 Cel", "", vacuum), instructions("121 Cel", "124 Cel", vacuum))},
	{"contents.mixed", met, "/items", "temperatures that just meet", second(instructions("134 Cel", "", vacuum), instructions("121 Cel", "134 Cel", vacuum))},
	{"contents.mixed", broken, "/items", "temperatures that just miss", second(instructions("134 Cel", "", vacuum), instructions("121 Cel", "133.9 Cel", vacuum))},

	{"contents.unlisted", met, "/items", "listed", same},
	{"contents.unlisted", open, "/items", "empty", func(p pack, _ ctx) { p.Items = nil }},

	{"fill.excessive", met, "/fill", "60 %", same},
	{"fill.excessive", met, "/fill", "on the limit", fill("0.75 1")},
	{"fill.excessive", met, "/fill", "just below", fill("74.9 %")},
	{"fill.excessive", broken, "/fill", "just above", fill("75.1 %")},
	{"fill.excessive", open, "/fill", "not recorded", func(p pack, _ ctx) { p.Fill = units.Ratio{} }},
	{"fill.excessive", open, "/fill", "below nothing", fill("-1 %")},
	{"fill.excessive", na, "/fill", "container", barrier(packaging.RigidContainer, nr)},
	{"fill.excessive", na, "/fill", "no figure", func(_ pack, c ctx) { c.Figures = nil }},

	{"hinge.closed", met, "/items/0/open", "open", same},
	{"hinge.closed", broken, "/items/0/open", "closed", item(func(it *packaging.Item) { it.Open = no })},
	{"hinge.closed", open, "/items/0/open", "not recorded", item(func(it *packaging.Item) { it.Open = nr })},
	{"hinge.closed", open, "/items/0/open", "not described", item(func(it *packaging.Item) { it.Open, it.Traits = nr, nil })},
	{"hinge.closed", broken, "/items/0/open", "not described but closed", item(func(it *packaging.Item) { it.Open, it.Traits = no, nil })},
	{"hinge.closed", na, "/items/0/open", "no hinge",
		item(func(it *packaging.Item) { it.Open, it.Traits, it.HasTraits = nr, nil, no })},

	{"implant.unwrapped", na, "/items/0/traits", "no implant", same},
	{"implant.unwrapped", met, "/items/0/traits", "packed implant", item(func(it *packaging.Item) { it.Traits = traits(packaging.Implant) })},
	{"implant.unwrapped", na, "/items/0/traits", "packed, not described", item(func(it *packaging.Item) { it.Traits = nil })},
	{"implant.unwrapped", broken, "/items/0/traits", "unwrapped implant", func(p pack, c ctx) { unwrap(p, c); p.Items[0].Traits = traits(packaging.Implant) }},
	{"implant.unwrapped", met, "/items/0/traits", "tray in a container", func(p pack, c ctx) {
		unwrap(p, c)
		p.Inside, p.Items[0].Traits = "box", traits(packaging.Implant)
	}},
	{"implant.unwrapped", open, "/items/0/traits", "unwrapped, not described", func(p pack, c ctx) { unwrap(p, c); p.Items[0].Traits = nil }},
	{"implant.unwrapped", open, "/items/0/traits", "barrier not recorded", func(p pack, _ ctx) { p.Barrier, p.Items[0].Traits = "", traits(packaging.Implant) }},

	{"indicator.external", met, "/indicators", "outside", same},
	{"indicator.external", met, "/indicators", "inside and visible", func(p pack, _ ctx) {
		p.Indicators = p.Indicators[1:]
		p.Indicators[0].Visible = yes
	}},
	{"indicator.external", broken, "/indicators", "inside and hidden", func(p pack, _ ctx) { p.Indicators = p.Indicators[1:] }},
	{"indicator.external", open, "/indicators", "inside, unknown whether visible", func(p pack, _ ctx) { p.Indicators = p.Indicators[1:]; p.Indicators[0].Visible = nr }},
	{"indicator.external", open, "/indicators", "an empty list",
		func(p pack, _ ctx) { p.Indicators = []packaging.Indicator{} }},
	{"indicator.external", open, "/indicators", "not recorded", func(p pack, _ ctx) { p.Indicators = nil }},
	{"indicator.external", na, "/indicators", "no barrier", unwrap},

	{"indicator.internal", met, "/indicators", "inside", same},
	{"indicator.internal", broken, "/indicators", "outside only", func(p pack, _ ctx) { p.Indicators = p.Indicators[:1] }},
	{"indicator.internal", open, "/indicators", "an empty list",
		func(p pack, _ ctx) { p.Indicators = []packaging.Indicator{} }},
	{"indicator.internal", open, "/indicators", "not recorded", func(p pack, _ ctx) { p.Indicators = nil }},
	{"indicator.internal", open, "/indicators", "unwrapped tray, not recorded", unwrap},
	{"indicator.internal", na, "/indicators", "tray in a container", func(p pack, c ctx) { unwrap(p, c); p.Inside = "box" }},

	{"indicator.void", met, "/indicators/1/expires", "in date", same},
	{"indicator.void", met, "/indicators/1/expires", "on its last day", func(p pack, _ ctx) { p.Indicators[1].Expires = date("2026-03-09") }},
	{"indicator.void", broken, "/indicators/1/expires", "the day after", func(p pack, _ ctx) { p.Indicators[1].Expires = date("2026-03-08") }},
	{"indicator.void", open, "/indicators/1/expires", "no date", func(p pack, _ ctx) { p.Indicators[1].Expires = moistheat.Date{} }},
	{"indicator.void", na, "/indicators", "no indicator", func(p pack, _ ctx) { p.Indicators = nil }},

	{"item.undescribed", met, "/items/0", "described", same},
	{"item.undescribed", met, "/items/0", "without traits", item(answered(no))},
	{"item.undescribed", broken, "/items/0/hasTraits", "traits against the answer",
		item(func(it *packaging.Item) { it.HasTraits = no })},
	{"item.undescribed", broken, "/items/0/hasLumens", "hollow against the answer",
		item(func(it *packaging.Item) { it.Traits, it.HasLumens = traits(packaging.Hollow), no })},
	{"item.undescribed", broken, "/items/0/hasLumens", "a lumen against the answer",
		item(func(it *packaging.Item) { it.Lumens, it.HasLumens = []packaging.Lumen{{}}, no })},
	{"item.undescribed", open, "/items/0/traits", "an empty list",
		item(func(it *packaging.Item) { it.Traits = []packaging.Trait{} })},
	{"item.undescribed", open, "/items/0/traits", "traits, but not which", item(answered(yes))},
	{"item.undescribed", open, "/items/0/lumens", "lumens, but not which",
		item(func(it *packaging.Item) { it.HasLumens = yes })},

	{"item.singleuse", met, "/items/0/traits", "reusable", same},
	{"item.singleuse", broken, "/items/0/traits", "single use", item(func(it *packaging.Item) { it.Traits = traits(packaging.SingleUse) })},
	{"item.singleuse", open, "/items/0/traits", "not described", item(func(it *packaging.Item) { it.Traits = nil })},

	{"item.unclassified", met, "/items/0/class", "critical", same},
	{"item.unclassified", open, "/items/0/class", "unknown", item(func(it *packaging.Item) { it.Class = "" })},

	{"item.uncleaned", met, "/items/0/preparation/cleaned", "cleaned", same},
	{"item.uncleaned", broken, "/items/0/preparation/cleaned", "not cleaned", item(func(it *packaging.Item) { it.Preparation.Cleaned = no })},
	{"item.uncleaned", open, "/items/0/preparation/cleaned", "not recorded", item(func(it *packaging.Item) { it.Preparation.Cleaned = nr })},

	{"item.uninspected", met, "/items/0/preparation/inspected", "passed", same},
	{"item.uninspected", broken, "/items/0/preparation/inspected", "failed", item(func(it *packaging.Item) { it.Preparation.Inspected = no })},
	{"item.uninspected", open, "/items/0/preparation/inspected", "not recorded", item(func(it *packaging.Item) { it.Preparation.Inspected = nr })},

	{"item.wet", met, "/items/0/preparation/dry", "dry", same},
	{"item.wet", broken, "/items/0/preparation/dry", "wet", item(func(it *packaging.Item) { it.Preparation.Dry = no })},
	{"item.wet", open, "/items/0/preparation/dry", "not recorded", item(func(it *packaging.Item) { it.Preparation.Dry = nr })},

	{"label.incomplete", met, "/label", "with load number", same},
	{"label.incomplete", met, "/label", "with cycle number", func(p pack, _ ctx) { p.Label.Load, p.Label.Cycle = "", "4711" }},
	{"label.incomplete", broken, "/label", "no number", func(p pack, _ ctx) { p.Label.Load = "" }},
	{"label.incomplete", broken, "/label", "no sterilizer", func(p pack, _ ctx) { p.Label.Sterilizer = "" }},
	{"label.incomplete", broken, "/label", "no date", func(p pack, _ ctx) { p.Label.Date = moistheat.Date{} }},
	{"label.incomplete", open, "/label", "not recorded", func(p pack, _ ctx) { p.Label = nil }},
	{"label.incomplete", na, "/label", "no barrier", unwrap},
	{"label.incomplete", na, "/label", "inside another pack", func(p pack, _ ctx) { p.Inside, p.Label = "box", nil }},

	{"layers.facing", na, "/double/facing", "single", same},
	{"layers.facing", met, "/double/facing", "paper to paper", double(packaging.Double{Facing: yes})},
	{"layers.facing", broken, "/double/facing", "paper to film", double(packaging.Double{Facing: no})},
	{"layers.facing", open, "/double/facing", "not recorded", double(packaging.Double{})},
	{"layers.facing", open, "/double/facing", "two layers, not described", func(p pack, _ ctx) { p.Layers = 2 }},
	{"layers.facing", na, "/double/facing", "two sheets of wrap", func(p pack, _ ctx) { p.Layers, p.Barrier = 2, packaging.WrapSheet }},
	{"layers.folded", na, "/double/folded", "single", same},
	{"layers.folded", met, "/double/folded", "flat", double(packaging.Double{Folded: no})},
	{"layers.folded", broken, "/double/folded", "folded", double(packaging.Double{Folded: yes})},
	{"layers.folded", open, "/double/folded", "not recorded", double(packaging.Double{})},
	{"layers.size", na, "/double/sameSize", "single", same},
	{"layers.size", met, "/double/sameSize", "two sizes", double(packaging.Double{SameSize: no})},
	{"layers.size", broken, "/double/sameSize", "one size", double(packaging.Double{SameSize: yes})},
	{"layers.size", open, "/double/sameSize", "not recorded", double(packaging.Double{})},
	{"layers.unvalidated", na, "/double/validated", "single", same},
	{"layers.unvalidated", met, "/double/validated", "allowed", double(packaging.Double{Validated: yes})},
	{"layers.unvalidated", broken, "/double/validated", "not allowed", double(packaging.Double{Validated: no})},
	{"layers.unvalidated", open, "/double/validated", "not recorded", double(packaging.Double{})},

	{"lumen.unmeasured", na, "/items/0/lumens", "no lumen", same},
	{"lumen.unmeasured", met, "/items/0/lumens/1", "measured", lumens(lumen("100 mm", "0.8 mm", 2), lumen("8 mm", "2 mm", 1))},
	{"lumen.unmeasured", open, "/items/0/lumens/1", "no bore", lumens(lumen("100 mm", "0.8 mm", 2), lumen("8 mm", "", 1))},
	{"lumen.unmeasured", open, "/items/0/lumens", "hollow, no sizes", item(func(it *packaging.Item) { it.Traits = traits(packaging.Hollow) })},
	{"lumen.unmeasured", open, "/items/0/lumens", "not described", item(func(it *packaging.Item) { it.Traits = nil })},

	{"seal.damaged", met, "/seal/intact", "sound", same},
	{"seal.damaged", broken, "/seal/intact", "gap", func(p pack, _ ctx) { p.Seal.Intact = no }},
	{"seal.damaged", open, "/seal/intact", "not recorded", func(p pack, _ ctx) { p.Seal.Intact = nr }},
	{"seal.damaged", open, "/seal/intact", "no seal recorded", func(p pack, _ ctx) { p.Seal = nil }},
	{"seal.damaged", na, "/seal/intact", "no barrier", unwrap},

	{"seal.narrow", met, "/seal/width", "8 mm", same},
	{"seal.narrow", met, "/seal/width", "on the limit", width("0.6 cm")},
	{"seal.narrow", broken, "/seal/width", "just below", width("5.999 mm")},
	{"seal.narrow", met, "/seal/width", "just above", width("6.001 mm")},
	{"seal.narrow", broken, "/seal/width", "0.236 in is 5.9944 mm", width("0.236 [in_i]")},
	{"seal.narrow", met, "/seal/width", "0.237 in is 6.0198 mm", width("0.237 [in_i]")},
	{"seal.narrow", open, "/seal/width", "not measured", func(p pack, _ ctx) { p.Seal.Width = units.Length{} }},
	{"seal.narrow", open, "/seal/width", "no seal recorded", func(p pack, _ ctx) { p.Seal = nil }},
	{"seal.narrow", na, "/seal/width", "own adhesive", func(p pack, _ ctx) { p.Seal.Method = packaging.SelfSeal }},
	{"seal.narrow", na, "/seal/width", "no figure", func(_ pack, c ctx) { c.Figures = &packaging.Figures{} }},
	{"seal.narrow", na, "/seal/width", "wrap", barrier(packaging.WrapSheet, nr)},

	{"sharp.exposed", na, "/items/0/guarded", "pouch", same},
	{"sharp.exposed", met, "/items/0/guarded", "paper bag, guarded", func(p pack, _ ctx) { p.Barrier, p.Items[0].Guarded = packaging.PaperBag, yes }},
	{"sharp.exposed", broken, "/items/0/guarded", "paper bag", func(p pack, _ ctx) { p.Barrier, p.Items[0].Guarded = packaging.PaperBag, no }},
	{"sharp.exposed", open, "/items/0/guarded", "paper bag, not recorded", barrier(packaging.PaperBag, nr)},
	{"sharp.exposed", open, "/items/0/traits", "paper bag, not described", func(p pack, _ ctx) { p.Barrier, p.Items[0].Traits = packaging.PaperBag, nil }},
	{"sharp.exposed", na, "/items/0/guarded", "paper bag, blunt",
		func(p pack, _ ctx) { p.Barrier, p.Items[0].Traits, p.Items[0].HasTraits = packaging.PaperBag, nil, no }},

	{"space.short", met, "/freeSpace", "40 mm", same},
	{"space.short", met, "/freeSpace", "on the limit", space("3 cm")},
	{"space.short", broken, "/freeSpace", "just below", space("29.9 mm")},
	{"space.short", met, "/freeSpace", "just above", space("30.1 mm")},
	{"space.short", open, "/freeSpace", "not measured", func(p pack, _ ctx) { p.FreeSpace = units.Length{} }},
	{"space.short", na, "/freeSpace", "no barrier", unwrap},
}

func barrier(b packaging.Barrier, fit moistheat.Answer) func(pack, ctx) {
	return func(p pack, _ ctx) { p.Barrier, p.SteamFit = b, fit }
}

func fill(s string) func(pack, ctx) { return func(p pack, _ ctx) { p.Fill = ratio(s) } }

func space(s string) func(pack, ctx) { return func(p pack, _ ctx) { p.FreeSpace = length(s) } }

func width(s string) func(pack, ctx) { return func(p pack, _ ctx) { p.Seal.Width = length(s) } }

func lumens(l ...packaging.Lumen) func(pack, ctx) {
	return item(func(it *packaging.Item) { it.Traits, it.Lumens = traits(packaging.Hollow), l })
}

func textile(p pack, _ ctx) { p.Items[0].Traits = traits(packaging.Textile) }

// massTest starts from goodTray with the figures of one document.
type massTest struct {
	ruleTest
	document string
}

func weigh(gross string, more ...func(pack, ctx)) func(pack, ctx) {
	return func(p pack, c ctx) {
		p.Mass = mass(gross)
		for _, f := range more {
			f(p, c)
		}
	}
}

var massTests = []massTest{
	// ANSI/AAMI ST77 4.3.5 (quoted): 25 lb with the container, exactly 11.33980925 kg.
	{ruleTest{"mass.over", met, "/mass", "7 kg", same}, "aami-st77"},
	{ruleTest{"mass.over", met, "/mass", "on the limit", weigh("25 [lb_av]")}, "aami-st77"},
	{ruleTest{"mass.over", met, "/mass", "on the limit in kilograms", weigh("11.33980925 kg")}, "aami-st77"},
	{ruleTest{"mass.over", met, "/mass", "just below", weigh("24.99 [lb_av]")}, "aami-st77"},
	{ruleTest{"mass.over", broken, "/mass", "just above", weigh("11.33980926 kg")}, "aami-st77"},
	{ruleTest{"mass.over", broken, "/mass", "the rounded limit of a study guide", weigh("11.4 kg")}, "aami-st77"},
	{ruleTest{"mass.over", open, "/mass", "not weighed", func(p pack, _ ctx) { p.Mass = units.Mass{} }}, "aami-st77"},
	{ruleTest{"mass.over", open, "/mass", "contents not described", item(func(it *packaging.Item) { it.Traits = nil })}, "aami-st77"},
	{ruleTest{"mass.over", open, "/mass", "no weight at all", weigh("0 kg")}, "aami-st77"},
	{ruleTest{"mass.over", na, "/mass", "textiles only", textile}, "aami-st77"},
	{ruleTest{"mass.over", na, "/mass", "pouch", barrier(packaging.PaperFilmPouch, nr)}, "aami-st77"},
	{ruleTest{"mass.over", na, "/mass", "another document", weigh("12 kg")}, "ch-set-mass"},

	// Swiss expert list (quoted): wrapped tray 8 kg, rigid container 10 kg, textiles 6 kg.
	{ruleTest{"mass.high", met, "/mass", "tray on the limit", weigh("8 kg")}, "ch-set-mass"},
	{ruleTest{"mass.high", broken, "/mass", "tray just above", weigh("8.001 kg")}, "ch-set-mass"},
	{ruleTest{"mass.high", met, "/mass", "container on the limit", weigh("10 kg", barrier(packaging.RigidContainer, nr))}, "ch-set-mass"},
	{ruleTest{"mass.high", broken, "/mass", "container just above", weigh("10.001 kg", barrier(packaging.RigidContainer, nr))}, "ch-set-mass"},
	{ruleTest{"mass.high", met, "/mass", "textiles on the limit", weigh("6 kg", textile)}, "ch-set-mass"},
	{ruleTest{"mass.high", broken, "/mass", "textiles just above", weigh("6001 g", textile)}, "ch-set-mass"},
	{ruleTest{"mass.high", na, "/mass", "pouch", barrier(packaging.PaperFilmPouch, nr)}, "ch-set-mass"},

	// Dutch guideline (quoted): set without packaging 8.5 kg, textiles 6 kg.
	{ruleTest{"mass.high", met, "/netMass", "on the limit", func(p pack, _ ctx) { p.NetMass = mass("8.5 kg") }}, "nl-set-mass"},
	{ruleTest{"mass.high", broken, "/netMass", "just above", func(p pack, _ ctx) { p.NetMass = mass("8.501 kg") }}, "nl-set-mass"},
	{ruleTest{"mass.high", met, "/mass", "light enough even with packaging", func(p pack, _ ctx) { p.NetMass = units.Mass{} }}, "nl-set-mass"},
	{ruleTest{"mass.high", open, "/netMass", "heavier with packaging", weigh("8.6 kg", func(p pack, _ ctx) { p.NetMass = units.Mass{} })}, "nl-set-mass"},
	{ruleTest{"mass.high", broken, "/mass", "textiles just above", weigh("6.001 kg", textile)}, "nl-set-mass"},

	// CDC 2008 (published): muslin pack 12 lb.
	{ruleTest{"mass.high", met, "/mass", "muslin on the limit", weigh("12 [lb_av]", textile, barrier(packaging.TextileWrap, nr))}, "cdc-2008"},
	{ruleTest{"mass.high", broken, "/mass", "muslin just above", weigh("12.01 [lb_av]", textile, barrier(packaging.TextileWrap, nr))}, "cdc-2008"},
	{ruleTest{"mass.high", na, "/mass", "textiles in single-use wrap", weigh("20 [lb_av]", textile)}, "cdc-2008"},
}

func run(t *testing.T, tt ruleTest, p *packaging.Pack, c packaging.Context) {
	t.Helper()
	tt.change(p, &c)
	want := tt.pointer
	if tt.want == open { // about something absent: the place where it is missing
		want = ask.Nearest(p, want)
	}
	var got []string
	for _, f := range packaging.Check(p, c) {
		if f.Rule != "packaging."+tt.rule {
			continue
		}
		if f.Outcome == tt.want && f.Pointer == want {
			return
		}
		if f.Outcome == na {
			continue
		}
		got = append(got, f.Outcome.String()+" at "+f.Pointer)
	}
	if tt.want == na && got == nil {
		return // a rule that does not apply need not be asked
	}
	t.Errorf("%s, %s: got %q, want %s at %s", tt.rule, tt.what, got, tt.want, want)
}

func TestRulesOnPouch(t *testing.T) {
	for _, tt := range pouchTests {
		run(t, tt, goodPouch(), packaging.Context{Date: date("2026-03-09"), Figures: figures(t, "en-868-5-2009", "din-58953-7")})
	}
}

func TestRulesOnMass(t *testing.T) {
	for _, tt := range massTests {
		run(t, tt.ruleTest, goodTray(), packaging.Context{Date: date("2026-03-09"), Figures: figures(t, tt.document)})
	}
}

// Every rule is tested with every outcome that it can have.
func TestEveryOutcomeIsTested(t *testing.T) {
	tested := map[string]map[moistheat.Outcome]bool{}
	note := func(tt ruleTest) {
		if tested[tt.rule] == nil {
			tested[tt.rule] = map[moistheat.Outcome]bool{}
		}
		tested[tt.rule][tt.want] = true
	}
	for _, tt := range pouchTests {
		note(tt)
	}
	for _, tt := range massTests {
		note(tt.ruleTest)
	}
	for _, tt := range slices.Concat(techniqueTests, handlingTests) {
		note(tt)
	}
	for _, tt := range muslinTests {
		note(tt.ruleTest)
	}
	never := map[string][]moistheat.Outcome{
		"contents.unlisted":    {na, broken}, // an empty list is missing evidence
		"item.unclassified":    {na, broken}, // an unknown class is missing evidence
		"cleaning.soaked":      {open},       // no document asks how each item was cleaned
		"cleaning.unrequested": {na},
		"indicator.unsuited":   {open}, // nor of which type each indicator is
		"item.singleuse":       {na},
		"item.uncleaned":       {na},
		"item.undescribed":     {na},
		"item.uninspected":     {na},
		"item.wet":             {na},
		"lumen.unmeasured":     {broken}, // an unknown size is missing evidence
	}
	for _, r := range packaging.Rules() {
		id := strings.TrimPrefix(r.ID, "packaging.")
		for _, o := range []moistheat.Outcome{na, met, open, broken} {
			assert.Equal(t, !slices.Contains(never[id], o), tested[id][o], "%s: %s", id, o)
		}
	}
}

// A good pack has nothing open.
func TestGoodPacks(t *testing.T) {
	for _, p := range []*packaging.Pack{goodPouch(), goodTray()} {
		c := packaging.Context{Date: date("2026-03-09"), Figures: allFigures(t)}
		for _, f := range packaging.Check(p, c) {
			assert.False(t, f.Open(), "%s at %s", f.Rule, f.Pointer)
		}
	}
}

// Nothing recorded is never a pass.
func TestNothingRecorded(t *testing.T) {
	for _, p := range []*packaging.Pack{nil, {}, {Items: []packaging.Item{{}}}} {
		for _, f := range packaging.Check(p, packaging.Context{Figures: allFigures(t)}) {
			if f.Rule == "packaging.contents.unlisted" && p != nil && p.Items != nil {
				continue // the list is there
			}
			assert.NotEqual(t, met, f.Outcome, "%s at %s", f.Rule, f.Pointer)
		}
	}
}

// effect is the worst that findings do to the pack.
func effect(findings []moistheat.Finding) (d moistheat.Disposition, by []string) {
	rules := map[string]moistheat.Rule{}
	for _, r := range packaging.Rules() {
		rules[r.ID] = r
	}
	for _, f := range findings {
		r := rules[f.Rule]
		e := r.Effect(f.Outcome)
		d = max(d, e.Pack)
		if e.Pack == moistheat.Reject {
			by = append(by, f.Rule)
		}
	}
	slices.Sort(by)
	return d, by
}

func TestDisposition(t *testing.T) {
	c := packaging.Context{Date: date("2026-03-09"), Figures: allFigures(t)}

	// A pouch closed with a paper clip and locked scissors inside: two reasons to
	// reject, whatever the internal indicator shows.
	p := goodPouch()
	p.Seal.Method, p.Items[0].Open, p.Indicators[1].Result = packaging.Fastener, no, packaging.Reached
	d, by := effect(packaging.Check(p, c))
	assert.Equal(t, moistheat.Reject, d)
	assert.Equal(t, []string{"packaging.closure.pierced", "packaging.hinge.closed"}, by)

	// A double pouch of one size, the inner one folded and facing the wrong way: two
	// reasons to reject, and a word about the size.
	p = goodPouch()
	p.Double = &packaging.Double{Facing: no, Folded: yes, SameSize: yes, Validated: yes}
	findings := packaging.Check(p, c)
	d, by = effect(findings)
	assert.Equal(t, moistheat.Reject, d)
	assert.Equal(t, []string{"packaging.layers.facing", "packaging.layers.folded"}, by)
	i := slices.IndexFunc(findings, func(f moistheat.Finding) bool { return f.Rule == "packaging.layers.size" })
	assert.Equal(t, broken, findings[i].Outcome)
	assert.Equal(t, moistheat.Minor, findings[i].Severity)

	// An overfilled pouch is a minor finding and rejects nothing.
	p = goodPouch()
	p.Fill = ratio("90 %")
	d, _ = effect(packaging.Check(p, c))
	assert.Zero(t, d)

	// Cleaning that nobody recorded holds the pack; a seal nobody measured does not.
	p = goodPouch()
	p.Seal.Width = units.Length{}
	d, _ = effect(packaging.Check(p, c))
	assert.Zero(t, d)
	p.Items[0].Preparation.Cleaned = nr
	d, _ = effect(packaging.Check(p, c))
	assert.Equal(t, moistheat.Quarantine, d)
}

// Where two documents limit one thing, both are asked, each with its own source.
func TestTwoDocuments(t *testing.T) {
	p := goodPouch()
	p.Fill = ratio("80 %")
	var tables []string
	for _, f := range packaging.Check(p, packaging.Context{Figures: figures(t, "din-58953-7", "wfhss-packaging")}) {
		if f.Rule != "packaging.fill.excessive" {
			continue
		}
		require.Equal(t, 1, f.Sources.Len())
		tables = append(tables, f.Table+" "+f.Sources.At(0).Basis.String())
		assert.Equal(t, ratio("80 %").Value(), f.Measured)
		assert.Equal(t, ratio("75 %").Value(), f.Limit)
	}
	assert.Equal(t, []string{"din-58953-7#fill quoted", "wfhss-packaging#fill published"}, tables)
}

func TestRules(t *testing.T) {
	rules := packaging.Rules()
	assert.True(t, slices.IsSortedFunc(rules, func(a, b moistheat.Rule) int { return strings.Compare(a.ID, b.ID) }))
	for i, r := range rules {
		assert.Regexp(t, `^packaging\.[a-z]+\.[a-z]+$`, r.ID)
		assert.Regexp(t, `^0\.\d+\.\d+$`, r.Since, r.ID)
		for _, text := range []string{r.Title, r.Why, r.Remedy, r.BrokenText} {
			assert.Regexp(t, `^[A-Z{].*\.$`, text, r.ID)
		}
		require.NotZero(t, r.Sources.Len(), r.ID)
		for s := range r.Sources.All() {
			assert.NotEmpty(t, s.Document, r.ID)
			assert.NotZero(t, s.Basis, r.ID)
		}
		assert.NotZero(t, r.Severity, r.ID)
		assert.Equal(t, r.ID == "packaging.item.singleuse" || r.ID == "packaging.loan.uncleaned", r.NoWaiver, r.ID)
		if i > 0 {
			assert.NotEqual(t, rules[i-1].ID, r.ID)
		}
	}
}

// Every message of an open finding has its details filled in.
func TestMessages(t *testing.T) {
	rules := map[string]moistheat.Rule{}
	for _, r := range packaging.Rules() {
		rules[r.ID] = r
	}
	check := func(tt ruleTest, p *packaging.Pack, ids ...string) {
		c := packaging.Context{Date: date("2026-03-09"), Figures: figures(t, ids...)}
		tt.change(p, &c)
		for _, f := range packaging.Check(p, c) {
			r := rules[f.Rule]
			assert.NotContains(t, r.Message(f), "{", "%s: %s", f.Rule, tt.what)
		}
	}
	for _, tt := range pouchTests {
		check(tt, goodPouch(), "en-868-5-2009", "din-58953-7")
	}
	for _, tt := range slices.Concat(techniqueTests, handlingTests) {
		check(tt, goodPouch(), "en-868-5-2009", "din-58953-7")
	}
	for _, tt := range muslinTests {
		check(tt.ruleTest, goodMuslin(), tt.document)
	}
	for _, tt := range massTests {
		check(tt.ruleTest, goodTray(), tt.document)
	}
}

func BenchmarkCheck(b *testing.B) {
	f, err := packaging.FiguresFor(packaging.FigureNames()...)
	require.NoError(b, err)
	p := goodPouch()
	p.Items[0].Traits = traits(packaging.Hollow, packaging.Powered)
	p.Items[0].Lumens = []packaging.Lumen{lumen("100 mm", "0.8 mm", 2), lumen("20 mm", "5 mm", 1)}
	c := packaging.Context{Date: date("2026-03-09"), Figures: f}
	b.ReportAllocs()
	for b.Loop() {
		packaging.Check(p, c)
	}
}
