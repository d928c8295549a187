package packaging_test

import (
	"fmt"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// A pouch is checked at the packing bench, before it is sealed into a load.
func ExampleCheck() {
	figures, err := packaging.FiguresFor("en-868-5-2009", "din-58953-7")
	if err != nil {
		fmt.Println(err)
		return
	}
	pouch := &packaging.Pack{
		ID:      "0412-3",
		Barrier: packaging.PaperFilmPouch,
		Seal: &packaging.Seal{
			Method: packaging.HeatSeal,
			Width:  units.MustParse[units.LengthUnit]("5 mm"),
			Intact: moistheat.Yes,
		},
		AirExpelled: moistheat.Yes,
		Fill:        units.MustParse[units.RatioUnit]("70 %"),
		FreeSpace:   units.MustParse[units.LengthUnit]("35 mm"),
		Reused:      moistheat.No,
		Expires:     moistheat.NewDate(2027, 1, 31),
		Label:       &packaging.Label{Sterilizer: "1", Load: "12", Date: moistheat.NewDate(2026, 3, 9)},
		Indicators: []packaging.Indicator{
			{Place: packaging.External, Type: 1, Expires: moistheat.NewDate(2027, 6, 30)},
			{Place: packaging.Internal, Type: 5, Expires: moistheat.NewDate(2026, 12, 31), Visible: moistheat.Yes},
		},
		Items: []packaging.Item{{
			Name:        "needle holder",
			Class:       packaging.Critical,
			Traits:      []packaging.Trait{packaging.Hinged},
			Open:        moistheat.No,
			Preparation: packaging.Preparation{Cleaned: moistheat.Yes, Dry: moistheat.Yes, Inspected: moistheat.Yes},
		}},
	}

	rules := map[string]moistheat.Rule{}
	for _, r := range packaging.Rules() {
		rules[r.ID] = r
	}
	for _, f := range packaging.Check(pouch, packaging.Context{Date: moistheat.NewDate(2026, 3, 9), Figures: figures}) {
		if f.Outcome == moistheat.Broken && f.Severity == moistheat.Fault {
			fmt.Printf("%s %s: %s\n", f.Pointer, f.Outcome, rules[f.Rule].Message(f))
			fmt.Println("  ", f.Sources.At(0))
		}
	}
	// Output:
	// /seal/width broken: Width of the seal 5 mm; minimum 6 mm.
	//    EN 868-5 2009, 4.3.2 (published)
	// /items/0/open broken: needle holder was packed with a hinge closed or a ratchet locked.
	//    RACGP Infection Prevention and Control Guidelines, reprocessing, preparing the load for sterilising (published)
}

// A blind bore of 8 mm by 2 mm is short for its width, and still too narrow to be
// hollow B.
func ExampleLumen_Class() {
	blind := packaging.Lumen{
		Length:   units.MustParse[units.LengthUnit]("8 mm"),
		Bore:     units.MustParse[units.LengthUnit]("2 mm"),
		OpenEnds: 1,
	}
	class, ok := blind.Class()
	fmt.Println(class, ok)

	blind.Bore = units.Length{}
	_, ok = blind.Class()
	fmt.Println(ok)
	// Output:
	// hollow A true
	// false
}
