package packaging_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

func kind(b packaging.Barrier) func(pack, ctx) { return func(p pack, _ ctx) { p.Barrier = b } }

// with makes the first item one of the given traits and changes it.
func with(f func(it *packaging.Item), t ...packaging.Trait) func(pack, ctx) {
	return item(func(it *packaging.Item) { it.Traits = traits(t...); f(it) })
}

func nothing(*packaging.Item) {}

func strength(s string) func(pack, ctx) {
	return func(p pack, _ ctx) { p.Seal.Strength = units.MustParse[units.ForcePerWidthUnit](s) }
}

func area(s string) func(pack, ctx) {
	return func(p pack, _ ctx) { p.Indicators[0].Area = units.MustParse[units.AreaUnit](s) }
}

func overhang(s string) func(pack, ctx) { return func(p pack, _ ctx) { p.Overhang = length(s) } }

func wrapped(b packaging.Barrier, w *packaging.Wrap) func(pack, ctx) {
	return func(p pack, _ ctx) { p.Barrier, p.Wrap = b, w }
}

func inside(types ...int) func(pack, ctx) {
	return func(p pack, _ ctx) {
		p.Indicators = []packaging.Indicator{}
		for _, n := range types {
			p.Indicators = append(p.Indicators, packaging.Indicator{Place: packaging.Internal, Type: n})
		}
	}
}

func all(fs ...func(pack, ctx)) func(pack, ctx) {
	return func(p pack, c ctx) {
		for _, f := range fs {
			f(p, c)
		}
	}
}

func at(u packaging.Use, r packaging.Reason) func(pack, ctx) {
	return func(p pack, _ ctx) { p.Use, p.Reason = u, r }
}

// touching is a pack for immediate use with an item that touches mucosa only.
func touching(r packaging.Reason) func(pack, ctx) {
	return all(at(packaging.Immediate, r), item(func(it *packaging.Item) { it.Class = packaging.Semicritical }))
}

// cleaned is an item that was cleaned so, and whether its manufacturer asks for cleaning by hand.
func cleaned(m packaging.CleaningMethod, byHand bool) func(pack, ctx) {
	return item(func(it *packaging.Item) {
		it.Preparation.Method = m
		if byHand {
			it.Instructions = &packaging.Instructions{HandCleaning: yes}
		}
	})
}

func metals(apart moistheat.Answer, a, b packaging.Material) func(pack, ctx) {
	return func(p pack, c ctx) {
		second(nil, nil)(p, c)
		p.Items[0].Materials, p.Items[0].MetalsApart = []packaging.Material{a}, apart
		p.Items[1].Materials, p.Items[1].MetalsApart = []packaging.Material{b}, yes
	}
}

// tested is a sealer that was tested and repaired on two days; the pack was
// sterilized on 2026-03-09.
func tested(last, changed string, said moistheat.Answer) func(pack, ctx) {
	return func(p pack, _ ctx) {
		p.Seal.Tested, p.Seal.LastTest, p.Seal.Changed = said, moistheat.Date{}, moistheat.Date{}
		if last != "" {
			p.Seal.LastTest = date(last)
		}
		if changed != "" {
			p.Seal.Changed = date(changed)
		}
	}
}

func undated(f func(pack, ctx)) func(pack, ctx) {
	return func(p pack, c ctx) { f(p, c); c.Date = moistheat.Date{} }
}

func byHand(m packaging.CleaningMethod, in *packaging.Instructions) func(pack, ctx) {
	return item(func(it *packaging.Item) { it.Preparation.Method, it.Instructions = m, in })
}

var techniqueTests = []ruleTest{
	// EN 868-5 (quoted): half-yearly, and after repair or new material.
	{"seal.untested", met, "/seal/lastTest", "half a year ago", tested("2025-09-09", "2025-09-09", nr)},
	{"seal.untested", broken, "/seal/lastTest", "half a year and a day ago", tested("2025-09-08", "2025-09-08", nr)},
	{"seal.untested", broken, "/seal/lastTest", "long ago, whatever is said", tested("2024-09-09", "", yes)},
	{"seal.untested", broken, "/seal/changed", "repaired the day after the test", tested("2026-01-08", "2026-01-09", yes)},
	{"seal.untested", broken, "/seal/changed", "repaired on the day of the load", tested("2026-01-08", "2026-03-09", yes)},
	{"seal.untested", met, "/seal/lastTest", "repaired after the load", tested("2026-01-08", "2026-03-10", nr)},
	{"seal.untested", met, "/seal/lastTest", "repaired and tested on one day", tested("2026-01-08", "2026-01-08", nr)},
	{"seal.untested", met, "/seal/lastTest", "no repair since, as somebody says", tested("2026-01-08", "", yes)},
	{"seal.untested", open, "/seal", "repairs not recorded", tested("2026-01-08", "", nr)},
	{"seal.untested", open, "/seal/lastTest", "tested after the load", tested("2026-03-10", "2026-01-08", nr)},
	{"seal.untested", open, "/seal/lastTest", "the day of the load is not recorded", undated(tested("2026-01-08", "2026-01-08", nr))},
	{"seal.untested", broken, "/seal/tested", "said to be untested", tested("2026-01-08", "2026-01-08", no)},

	{"cleaning.unrequested", met, "/items/0/preparation/method", "in a machine", same},
	{"cleaning.unrequested", met, "/items/0/preparation/method", "in an ultrasonic bath", byHand(packaging.Ultrasonic, nil)},
	{"cleaning.unrequested", met, "/items/0/instructions/handCleaning", "as its IFU ask", byHand(packaging.Manual,
		&packaging.Instructions{HandCleaning: yes})},
	{"cleaning.unrequested", broken, "/items/0/instructions/handCleaning", "its IFU do not ask", byHand(packaging.Manual,
		&packaging.Instructions{HandCleaning: no})},
	{"cleaning.unrequested", broken, "/items/0/instructions/handCleaning", "wiped only", byHand(packaging.Wiping, &packaging.Instructions{HandCleaning: no})},
	{"cleaning.unrequested", open, "/items/0/instructions/handCleaning", "its IFU not recorded",
		byHand(packaging.Immersion, &packaging.Instructions{})},
	{"cleaning.unrequested", open, "/items/0/instructions", "no instructions", byHand(packaging.Manual, nil)},
	{"cleaning.unrequested", open, "/items/0/preparation/method", "method not recorded", byHand("", nil)},

	{"implant.unmarked", met, "/items/0/traits", "marked", with(func(it *packaging.Item) { it.Kind = packaging.DentalImplant }, packaging.Implant)},
	{"implant.unmarked", broken, "/items/0/traits", "a screw without the mark", with(func(it *packaging.Item) { it.Kind = packaging.BoneScrew }, packaging.Sharp)},
	{"implant.unmarked", open, "/items/0/traits", "not described", item(func(it *packaging.Item) { it.Kind, it.Traits = packaging.Staple, nil })},
	{"implant.unmarked", na, "/items/0/traits", "scissors", same},
	// Marked or not, it is handled as an implant.
	{"implant.unwrapped", broken, "/items/0/traits", "a plate without the mark or a wrap", all(unwrap, with(func(it *packaging.Item) { it.Kind = packaging.BonePlate }))},

	{"air.trapped", met, "/airExpelled", "pressed out", same},
	{"air.trapped", broken, "/airExpelled", "left in", func(p pack, _ ctx) { p.AirExpelled = no }},
	{"air.trapped", open, "/airExpelled", "not recorded", func(p pack, _ ctx) { p.AirExpelled = nr }},
	{"air.trapped", na, "/airExpelled", "wrap", kind(packaging.WrapSheet)},

	{"barrier.linen", met, "/barrier", "pouch", same},
	{"barrier.linen", broken, "/barrier", "linen", kind(packaging.TextileWrap)},
	{"barrier.linen", open, "/barrier", "not recorded", kind("")},
	{"barrier.linen", na, "/barrier", "none", unwrap},
	{"barrier.sleeve", met, "/barrier", "pouch", same},
	{"barrier.sleeve", broken, "/barrier", "nylon", kind(packaging.NylonSleeve)},
	{"barrier.sleeve", open, "/barrier", "not recorded", kind("")},
	{"barrier.sleeve", na, "/barrier", "none", unwrap},

	// DIN 58953-7 (quoted): at least 10 mm.
	{"overhang.short", met, "/overhang", "on the limit", overhang("1 cm")},
	{"overhang.short", met, "/overhang", "just above", overhang("10.1 mm")},
	{"overhang.short", broken, "/overhang", "just below", overhang("9.9 mm")},
	{"overhang.short", broken, "/overhang", "none", overhang("0 mm")},
	{"overhang.short", open, "/overhang", "no length", overhang("-1 mm")},
	{"overhang.short", open, "/overhang", "not measured", func(p pack, _ ctx) { p.Overhang = units.Length{} }},
	{"overhang.short", na, "/overhang", "wrap", kind(packaging.WrapSheet)},

	// EN 868-5 (quoted): at least 1.5 N per 15 mm after steam, which is 100 N/m.
	{"seal.weak", met, "/seal/strength", "on the limit", strength("1.5 N/(15.mm)")},
	{"seal.weak", met, "/seal/strength", "on the limit in newtons a metre", strength("100 N/m")},
	{"seal.weak", met, "/seal/strength", "just above", strength("1.51 N/(15.mm)")},
	{"seal.weak", broken, "/seal/strength", "just below", strength("1.49 N/(15.mm)")},
	{"seal.weak", broken, "/seal/strength", "enough for other processes only", strength("1.2 N/(15.mm)")},
	{"seal.weak", broken, "/seal/strength", "held nothing", strength("0 N/m")},
	{"seal.weak", open, "/seal/strength", "not measured", func(p pack, _ ctx) { p.Seal.Strength = units.ForcePerWidth{} }},
	{"seal.weak", na, "/seal/strength", "own adhesive", func(p pack, _ ctx) { p.Seal.Method = packaging.SelfSeal }},
	{"seal.untested", met, "/seal/tested", "tested", same},
	{"seal.untested", broken, "/seal/tested", "overdue", func(p pack, _ ctx) { p.Seal.Tested = no }},
	{"seal.untested", open, "/seal/tested", "not recorded", func(p pack, _ ctx) { p.Seal.Tested = nr }},
	{"seal.untested", na, "/seal/tested", "own adhesive", func(p pack, _ ctx) { p.Seal.Method = packaging.SelfSeal }},

	{"wrap.unwashed", met, "/wrap/washed", "washed", wrapped(packaging.TextileWrap, &packaging.Wrap{Washed: yes})},
	{"wrap.unwashed", broken, "/wrap/washed", "not washed", wrapped(packaging.TextileWrap, &packaging.Wrap{Washed: no})},
	{"wrap.unwashed", open, "/wrap/washed", "not recorded", wrapped(packaging.TextileWrap, nil)},
	{"wrap.unwashed", na, "/wrap/washed", "single-use sheet", wrapped(packaging.WrapSheet, nil)},
	{"wrap.single", met, "/wrap", "two sheets", wrapped(packaging.WrapSheet, &packaging.Wrap{Sheets: 2, TwoSheets: yes})},
	{"wrap.single", met, "/wrap", "one bonded sheet", wrapped(packaging.WrapSheet, &packaging.Wrap{Sheets: 1, Bonded: yes, TwoSheets: yes})},
	{"wrap.single", broken, "/wrap/sheets", "one loose sheet", wrapped(packaging.WrapSheet, &packaging.Wrap{Sheets: 1, Bonded: no, TwoSheets: yes})},
	{"wrap.single", open, "/wrap", "one sheet, need unknown", wrapped(packaging.WrapSheet, &packaging.Wrap{Sheets: 1, Bonded: no})},
	{"wrap.single", open, "/wrap", "not recorded", wrapped(packaging.WrapSheet, nil)},
	{"wrap.single", na, "/wrap", "one is enough", wrapped(packaging.WrapSheet, &packaging.Wrap{Sheets: 1, TwoSheets: no})},
	{"wrap.onestep", met, "/wrap/steps", "one after the other", wrapped(packaging.WrapSheet, &packaging.Wrap{Sheets: 2, Bonded: no, Steps: 2})},
	{"wrap.onestep", broken, "/wrap/steps", "together", wrapped(packaging.WrapSheet, &packaging.Wrap{Sheets: 2, Bonded: no, Steps: 1})},
	{"wrap.onestep", open, "/wrap/steps", "steps unknown", wrapped(packaging.WrapSheet, &packaging.Wrap{Sheets: 2, Bonded: no})},
	{"wrap.onestep", open, "/wrap/steps", "bonding unknown", wrapped(packaging.WrapSheet, &packaging.Wrap{Sheets: 2, Steps: 1})},
	{"wrap.onestep", na, "/wrap/steps", "bonded", wrapped(packaging.WrapSheet, &packaging.Wrap{Sheets: 1, Bonded: yes, Steps: 1})},

	{"label.misplaced", met, "/label/on", "film", same},
	{"label.misplaced", broken, "/label/on", "paper", func(p pack, _ ctx) { p.Label.On = packaging.OnPaper }},
	{"label.misplaced", open, "/label/on", "not recorded", func(p pack, _ ctx) { p.Label.On = "" }},
	{"label.misplaced", na, "/label", "no barrier", unwrap},
	{"label.fading", met, "/label/fastInk", "fast", same},
	{"label.fading", broken, "/label/fastInk", "fading", func(p pack, _ ctx) { p.Label.FastInk = no }},
	{"label.fading", open, "/label/fastInk", "no label recorded", func(p pack, _ ctx) { p.Label = nil }},
	{"label.fading", na, "/label", "no barrier", unwrap},
	{"label.aftercycle", met, "/label/before", "before", same},
	{"label.aftercycle", broken, "/label/before", "after", func(p pack, _ ctx) { p.Label.Before = no }},
	{"label.aftercycle", open, "/label/before", "not recorded", func(p pack, _ ctx) { p.Label.Before = nr }},
	{"label.aftercycle", na, "/label", "no barrier", unwrap},

	// EN 868-5:2009, 4.4 (published): not less than 100 mm2.
	{"indicator.small", met, "/indicators/0/area", "on the limit", area("1 cm2")},
	{"indicator.small", met, "/indicators/0/area", "just above", area("100.1 mm2")},
	{"indicator.small", broken, "/indicators/0/area", "just below", area("99.9 mm2")},
	{"indicator.small", open, "/indicators/0/area", "an indicator has an area", area("0 mm2")},
	{"indicator.small", open, "/indicators/0/area", "not measured", func(p pack, _ ctx) { p.Indicators[0].Area = units.Area{} }},
	{"indicator.small", na, "/indicators", "none outside", func(p pack, _ ctx) { p.Indicators = p.Indicators[1:] }},

	{"metals.touching", met, "/items", "apart", metals(yes, packaging.StainlessSteel, packaging.Aluminium)},
	{"metals.touching", broken, "/items", "touching", metals(no, packaging.StainlessSteel, packaging.CarbonSteel)},
	{"metals.touching", open, "/items", "not recorded", metals(nr, packaging.Brass, packaging.Titanium)},
	{"metals.touching", open, "/items", "materials not recorded", second(nil, nil)},
	{"metals.touching", na, "/items", "of one kind", metals(no, packaging.StainlessSteel, packaging.Titanium)},
	{"metals.touching", na, "/items", "metal and plastic", metals(no, packaging.StainlessSteel, packaging.Plastic)},

	{"indicator.process", met, "/indicators", "type 1 outside", same},
	{"indicator.process", broken, "/indicators", "type 5 only", inside(5)},
	{"indicator.process", open, "/indicators", "type unknown", inside(5, 0)},
	{"indicator.process", open, "/indicators", "not recorded", func(p pack, _ ctx) { p.Indicators = nil }},
	{"indicator.process", na, "/indicators", "no barrier", unwrap},
	{"indicator.unsuited", met, "/indicators", "type 4", inside(4)},
	{"indicator.unsuited", met, "/indicators", "type 2 beside type 4", inside(2, 4)},
	{"indicator.unsuited", met, "/indicators", "type unknown", inside(0)},
	{"indicator.unsuited", broken, "/indicators", "type 2", inside(2)},
	{"indicator.unsuited", broken, "/indicators", "two of type 2", inside(2, 2)},
	{"indicator.unsuited", na, "/indicators", "none inside", func(p pack, _ ctx) { p.Indicators = p.Indicators[:1] }},
	{"indicator.unsuited", na, "/indicators", "tray in a container", func(p pack, c ctx) { unwrap(p, c); p.Inside = "box" }},
	{"indicator.weak", met, "/indicators", "type 4", inside(4)},
	{"indicator.weak", met, "/indicators", "type 5", inside(5)},
	{"indicator.weak", broken, "/indicators", "type 3", inside(3)},
	{"indicator.weak", broken, "/indicators", "a high type outside only", func(p pack, _ ctx) { p.Indicators = p.Indicators[:1]; p.Indicators[0].Type = 6 }},
	{"indicator.weak", open, "/indicators", "type unknown", inside(3, 0)},
	{"indicator.weak", na, "/indicators", "tray in a container", func(p pack, c ctx) { unwrap(p, c); p.Inside = "box" }},
	{"indicator.implant", met, "/indicators", "type 5", all(inside(5), with(nothing, packaging.Implant))},
	{"indicator.implant", open, "/indicators", "type 6", all(inside(6), with(nothing, packaging.Implant))},
	{"indicator.implant", broken, "/indicators", "type 4", all(inside(4), with(nothing, packaging.Implant))},
	{"indicator.implant", open, "/indicators", "type unknown", all(inside(0), with(nothing, packaging.Implant))},
	{"indicator.implant", open, "/indicators", "not described", item(func(it *packaging.Item) { it.Traits = nil })},
	{"indicator.implant", na, "/indicators", "no implant", same},

	{"immediate.convenience", na, "/reason", "of a critical item", at(packaging.Immediate, packaging.Shortage)},
	{"immediate.convenience", met, "/reason", "emergency", touching(packaging.Urgent)},
	{"immediate.convenience", broken, "/reason", "shortage", touching(packaging.Shortage)},
	{"immediate.convenience", broken, "/reason", "convenience", touching(packaging.Convenience)},
	{"immediate.convenience", open, "/reason", "not recorded", touching("")},
	{"immediate.unfounded", na, "/reason", "for later", same},
	{"immediate.unfounded", met, "/reason", "emergency", at(packaging.Immediate, packaging.Urgent)},
	{"immediate.unfounded", broken, "/reason", "shortage", at(packaging.Immediate, packaging.Shortage)},
	{"immediate.unfounded", broken, "/reason", "convenience", at(packaging.Immediate, packaging.Convenience)},
	{"immediate.unfounded", open, "/reason", "not recorded", at(packaging.Immediate, "")},
	{"immediate.unindicated", na, "/indicators", "for later", same},
	{"immediate.unindicated", met, "/indicators", "type 5", all(at(packaging.Immediate, ""), inside(5))},
	{"immediate.unindicated", met, "/indicators", "type 6 beside unwrapped items", all(unwrap, at(packaging.Immediate,
		""), inside(6))},
	{"immediate.unindicated", broken, "/indicators", "type 4", all(at(packaging.Immediate, ""), inside(4))},
	{"immediate.unindicated", open, "/indicators", "not recorded", all(unwrap, at(packaging.Immediate, ""))},
	{"immediate.uncovered", na, "/covered", "packed", at(packaging.Immediate, "")},
	{"immediate.uncovered", met, "/covered", "covered", all(unwrap, at(packaging.Immediate, ""), func(p pack, _ ctx) { p.Covered = yes })},
	{"immediate.uncovered", broken, "/covered", "open", all(unwrap, at(packaging.Immediate, ""), func(p pack, _ ctx) { p.Covered = no })},
	{"immediate.uncovered", open, "/covered", "not recorded", all(unwrap, at(packaging.Immediate, ""))},
	{"immediate.implant", na, "/items/0/traits", "for later", same},
	{"immediate.implant", met, "/items/0/traits", "another instrument", at(packaging.Immediate, packaging.Urgent)},
	{"immediate.implant", broken, "/items/0/traits", "for implants", all(at(packaging.Immediate, packaging.Urgent), with(nothing, packaging.ImplantInstrument))},
	{"immediate.implant", open, "/items/0/traits", "not described", all(at(packaging.Immediate, packaging.Urgent), item(func(it *packaging.Item) { it.Traits = nil }))},
	{"unwrapped.stored", na, "/items/0/class", "packed", same},
	{"unwrapped.stored", met, "/items/0/class", "used at once", all(unwrap, at(packaging.Immediate, ""))},
	{"unwrapped.stored", broken, "/items/0/class", "kept", all(unwrap, at(packaging.Later, ""))},
	{"unwrapped.stored", open, "/items/0/class", "use unknown", unwrap},
	{"unwrapped.stored", open, "/items/0/class", "class unknown", all(unwrap, at(packaging.Later, ""), item(func(it *packaging.Item) { it.Class = "" }))},
	{"unwrapped.stored", na, "/items/0/class", "semicritical", all(unwrap, at(packaging.Later, ""), item(func(it *packaging.Item) { it.Class = packaging.Semicritical }))},
}

var handlingTests = []ruleTest{
	{"loan.uncleaned", na, "/loan/cleaned", "not lent", same},
	{"loan.uncleaned", met, "/loan/cleaned", "cleaned here", lent(packaging.Loan{From: "x", Cleaned: yes})},
	{"loan.uncleaned", broken, "/loan/cleaned", "not here", lent(packaging.Loan{From: "x", Cleaned: no})},
	{"loan.uncleaned", open, "/loan", "not recorded", lent(packaging.Loan{From: "x"})},
	{"loan.unproven", na, "/loan/proof", "not lent", same},
	{"loan.unproven", met, "/loan/proof", "proven", lent(packaging.Loan{From: "x", Proof: "c"})},
	{"loan.unproven", broken, "/loan/counted", "parts missing", lent(packaging.Loan{From: "x", Counted: no})},
	{"loan.unproven", open, "/loan", "no proof", lent(packaging.Loan{From: "x"})},

	{"guard.unvented", na, "/items/0/guardVented", "no guard", same},
	{"guard.unvented", met, "/items/0/guardVented", "tested", item(func(it *packaging.Item) { it.Guarded, it.GuardVented = yes, yes })},
	{"guard.unvented", broken, "/items/0/guardVented", "not tested", item(func(it *packaging.Item) { it.Guarded, it.GuardVented = yes, no })},
	{"guard.unvented", open, "/items/0/guardVented", "not recorded", item(func(it *packaging.Item) { it.Guarded = yes })},
	{"handle.away", met, "/items/0/handleFirst", "handle first", same},
	{"handle.away", broken, "/items/0/handleFirst", "tip first", item(func(it *packaging.Item) { it.HandleFirst = no })},
	{"handle.away", open, "/items/0/handleFirst", "not recorded", item(func(it *packaging.Item) { it.HandleFirst = nr })},
	{"handle.away", na, "/items/0/handleFirst", "wrap", kind(packaging.WrapSheet)},

	{"heat.intolerant", na, "/items/0/heatTolerant", "not powered", same},
	{"heat.intolerant", met, "/items/0/heatTolerant", "stands it", with(func(it *packaging.Item) { it.HeatTolerant = yes }, packaging.Powered)},
	{"heat.intolerant", met, "/items/0/heatTolerant", "its instructions name a temperature", with(func(it *packaging.Item) { it.Instructions = instructions("134 Cel", "") }, packaging.Powered)},
	{"heat.intolerant", broken, "/items/0/heatTolerant", "does not", with(func(it *packaging.Item) { it.HeatTolerant = no }, packaging.Powered)},
	{"heat.intolerant", open, "/items/0/heatTolerant", "not recorded", with(nothing, packaging.Powered)},
	{"cleaning.soaked", na, "/items/0/preparation/method", "powered", with(nothing, packaging.Powered)},
	{"cleaning.soaked", na, "/items/0/preparation/method", "not recorded", cleaned("", false)},
	{"cleaning.soaked", met, "/items/0/preparation/method", "washer", same},
	{"cleaning.soaked", met, "/items/0/preparation/method", "wiped as instructed", cleaned(packaging.Wiping, true)},
	{"cleaning.soaked", broken, "/items/0/preparation/method", "wiped", cleaned(packaging.Wiping, false)},
	{"cleaning.soaked", broken, "/items/0/preparation/method", "immersed", cleaned(packaging.Immersion, false)},
	{"powered.wiped", na, "/items/0/preparation/method", "not powered", same},
	{"powered.wiped", met, "/items/0/preparation/method", "washer", with(nothing, packaging.Powered)},
	{"powered.wiped", broken, "/items/0/preparation/method", "wiped", with(func(it *packaging.Item) { it.Preparation.Method = packaging.Wiping }, packaging.Powered)},
	{"powered.wiped", broken, "/items/0/preparation/method", "immersed", with(func(it *packaging.Item) { it.Preparation.Method = packaging.Immersion }, packaging.Powered)},
	{"powered.wiped", open, "/items/0/preparation/method", "not recorded", with(func(it *packaging.Item) { it.Preparation.Method = "" }, packaging.Powered)},
	{"powered.unpacked", na, "/items/0", "not powered", same},
	{"powered.unpacked", met, "/items/0", "packed", with(nothing, packaging.Powered)},
	{"powered.unpacked", broken, "/items/0", "unpacked", all(unwrap, with(nothing, packaging.Powered))},
	{"powered.unpacked", open, "/items/0", "barrier not recorded", all(kind(""), with(nothing, packaging.Powered))},

	{"cleaning.washer", met, "/items/0/preparation/method", "washer", same},
	{"cleaning.washer", broken, "/items/0/preparation/method", "by hand", item(func(it *packaging.Item) { it.Preparation.Method = packaging.Manual })},
	{"cleaning.washer", na, "/items/0/preparation/washerDown", "washer out of order", item(func(it *packaging.Item) { it.Preparation.Method, it.Preparation.WasherDown = packaging.Manual, yes })},
	{"cleaning.washer", open, "/items/0/preparation/method", "not recorded", item(func(it *packaging.Item) { it.Preparation.Method = "" })},

	{"lubricant.excess", na, "/items/0/preparation/wiped", "not lubricated", same},
	{"lubricant.excess", met, "/items/0/preparation/wiped", "wiped off", item(func(it *packaging.Item) { it.Preparation.Lubricated, it.Preparation.Wiped = yes, yes })},
	{"lubricant.excess", broken, "/items/0/preparation/wiped", "left on", item(func(it *packaging.Item) { it.Preparation.Lubricated, it.Preparation.Wiped = yes, no })},
	{"lubricant.excess", open, "/items/0/preparation/wiped", "not recorded", with(nothing, packaging.Powered)},
	{"lubricant.unasked", na, "/items/0/instructions/lubrication", "not lubricated", same},
	{"lubricant.unasked", met, "/items/0/instructions/lubrication", "its IFU ask for it", item(func(it *packaging.Item) {
		it.Preparation.Lubricated, it.Instructions = yes, &packaging.Instructions{Lubrication: yes}
	})},
	{"lubricant.unasked", broken, "/items/0/instructions/lubrication", "its IFU do not", item(func(it *packaging.Item) {
		it.Preparation.Lubricated, it.Instructions = yes, &packaging.Instructions{Lubrication: no}
	})},
	{"lubricant.unasked", open, "/items/0/instructions/lubrication", "no instructions", item(func(it *packaging.Item) { it.Preparation.Lubricated = yes })},
	{"lubricant.unasked", open, "/items/0/preparation/lubricated", "powered, not recorded", with(nothing, packaging.Powered)},

	{"tubing.closed", na, "/items/0/openEnds", "no tubing", same},
	{"tubing.closed", met, "/items/0/openEnds", "open", with(func(it *packaging.Item) { it.OpenEnds = yes }, packaging.Tubing)},
	{"tubing.closed", broken, "/items/0/openEnds", "kinked", with(func(it *packaging.Item) { it.OpenEnds = no }, packaging.Tubing)},
	{"tubing.closed", open, "/items/0/openEnds", "not recorded", with(nothing, packaging.Tubing)},
	{"tubing.impure", na, "/items/0/preparation/rinse", "no tubing", same},
	{"tubing.impure", met, "/items/0/preparation/rinse", "pure", with(func(it *packaging.Item) { it.Preparation.Rinse = packaging.PureWater }, packaging.Tubing)},
	{"tubing.impure", broken, "/items/0/preparation/rinse", "tap", with(func(it *packaging.Item) { it.Preparation.Rinse = packaging.TapWater }, packaging.Tubing)},
	{"tubing.impure", broken, "/items/0/preparation/rinse", "softened", with(func(it *packaging.Item) { it.Preparation.Rinse = packaging.SoftenedWater }, packaging.Tubing)},
	{"tubing.impure", open, "/items/0/preparation/rinse", "not recorded", with(nothing, packaging.Tubing)},
	{"hollowware.nested", na, "/items/0/separated", "no bowls", same},
	{"hollowware.nested", na, "/items/0/separated", "one bowl", with(nothing, packaging.Hollowware)},
	{"hollowware.nested", met, "/items/0/separated", "separated", with(func(it *packaging.Item) { it.Count, it.Separated = 2, yes }, packaging.Hollowware)},
	{"hollowware.nested", broken, "/items/0/separated", "nested", with(func(it *packaging.Item) { it.Count, it.Separated = 2, no }, packaging.Hollowware)},
	{"hollowware.nested", open, "/items/0/separated", "number not recorded", with(func(it *packaging.Item) { it.Count = 0 }, packaging.Hollowware)},
	{"patient.other", na, "/items/0/usedOn", "for everybody", same},
	{"patient.other", met, "/items/0/meantFor", "the same", with(func(it *packaging.Item) { it.UsedOn, it.MeantFor = "k1", "k1" }, packaging.SinglePatient)},
	{"patient.other", broken, "/items/0/meantFor", "another", with(func(it *packaging.Item) { it.UsedOn, it.MeantFor = "k1", "k2" }, packaging.SinglePatient)},
	{"patient.other", open, "/items/0/usedOn", "not recorded", with(nothing, packaging.SinglePatient)},
}

// goodMuslin is a pack at all three limits of CDC 2008: 12 lb, 12 by 12 by 20 inches,
// and so exactly 7.2 lb/ft3.
func goodMuslin() *packaging.Pack {
	p := goodTray()
	p.Barrier, p.Mass, p.NetMass = packaging.TextileWrap, mass("12 [lb_av]"), units.Mass{}
	p.Size = packaging.Size{Length: length("20 [in_i]"), Width: length("12 [in_i]"), Height: length("12 [in_i]")}
	p.Items[0].Traits = traits(packaging.Textile)
	return p
}

func size(l, w, h string) func(pack, ctx) {
	return func(p pack, _ ctx) { p.Size = packaging.Size{Length: length(l), Width: length(w), Height: length(h)} }
}

var muslinTests = []massTest{
	{ruleTest{"size.large", met, "/size", "on the limits", same}, "cdc-2008"},
	{ruleTest{"size.large", met, "/size", "turned round", size("12 [in_i]", "20 [in_i]", "12 [in_i]")}, "cdc-2008"},
	{ruleTest{"size.large", met, "/size", "in millimetres", size("508 mm", "304.8 mm", "304.8 mm")}, "cdc-2008"},
	{ruleTest{"size.large", broken, "/size", "a hair longer", size("508.1 mm", "304.8 mm", "304.8 mm")}, "cdc-2008"},
	{ruleTest{"size.large", broken, "/size", "a hair wider", size("508 mm", "304.9 mm", "304.8 mm")}, "cdc-2008"},
	{ruleTest{"size.large", open, "/size", "not measured", func(p pack, _ ctx) { p.Size = packaging.Size{} }}, "cdc-2008"},
	{ruleTest{"size.large", na, "/size", "single-use wrap", kind(packaging.WrapSheet)}, "cdc-2008"},
	{ruleTest{"size.large", na, "/size", "another document", same}, "ch-set-mass"},
	{ruleTest{"density.high", met, "/size", "on the limit", same}, "cdc-2008"},
	{ruleTest{"density.high", met, "/size", "just lighter", weigh("11.99 [lb_av]")}, "cdc-2008"},
	{ruleTest{"density.high", broken, "/size", "just heavier", weigh("12.01 [lb_av]")}, "cdc-2008"},
	{ruleTest{"density.high", broken, "/size", "just smaller", size("19.99 [in_i]", "12 [in_i]", "12 [in_i]")}, "cdc-2008"},
	{ruleTest{"density.high", open, "/size", "not weighed", func(p pack, _ ctx) { p.Mass = units.Mass{} }}, "cdc-2008"},
	{ruleTest{"density.high", open, "/size", "not measured", func(p pack, _ ctx) { p.Size = packaging.Size{} }}, "cdc-2008"},
	{ruleTest{"density.high", na, "/size", "single-use wrap", kind(packaging.WrapSheet)}, "cdc-2008"},
}

func TestRulesOnTechnique(t *testing.T) {
	for _, tt := range append(techniqueTests, handlingTests...) {
		run(t, tt, goodPouch(), packaging.Context{Date: date("2026-03-09"), Figures: figures(t, "en-868-5-2009", "din-58953-7")})
	}
	for _, tt := range muslinTests {
		run(t, tt.ruleTest, goodMuslin(), packaging.Context{Date: date("2026-03-09"), Figures: figures(t, tt.document)})
	}
}

// 7.2 lb/ft3 are 7.2 times 0.45359237 kg over 0.028316846592 m3, 115.33 kg/m3. Of what is no
// muslin no density is shown.
func TestMuslinDensityIsShown(t *testing.T) {
	figures, err := packaging.FiguresFor("cdc-2008")
	require.NoError(t, err)
	for barrier, want := range map[packaging.Barrier]string{
		packaging.TextileWrap: "115.3 kg/m³", packaging.WrapSheet: "",
	} {
		p := goodMuslin()
		p.Barrier = barrier
		for _, f := range packaging.Check(p, packaging.Context{Figures: figures}) {
			if f.Rule == "packaging.density.high" && f.Outcome != moistheat.NotApplicable {
				assert.Equal(t, want, f.Measured.String(), barrier)
				want = ""
			}
		}
		assert.Empty(t, want, "%s: no density is shown", barrier)
	}
}

func lent(l packaging.Loan) func(*packaging.Pack, *packaging.Context) {
	return func(p *packaging.Pack, _ *packaging.Context) { p.Loan = &l }
}
