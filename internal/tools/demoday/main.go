// Demoday writes the demonstration records of examples/checkload: one day in an
// invented podiatry and minor-surgery clinic. Everything in them is invented; the
// traces come from the model of internal/tools/simulate.
//
//	go run ./internal/tools/demoday examples/checkload/demo
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/quit"
	"example.com/moistheat/internal/tools/simulate"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

func main() {
	if len(os.Args) != 2 {
		quit.On(errors.New("usage: demoday DIRECTORY"))
	}
	for _, d := range day() {
		quit.Write(filepath.Join(os.Args[1], d.name+".json"), render(d.record))
	}
}

type named struct {
	name   string
	record *load.Record
}

// day returns the six loads of the day.
func day() []named {
	good := newLoad(1, "07:58")
	good.Packs = []load.Pack{
		pouch("N-101", "nail nippers", packaging.Hinged),
		pouch("N-102", "nail nippers", packaging.Hinged),
		pouch("F-103", "nail file"),
		pouch("C-104", "curette", packaging.Sharp),
		pouch("E-105", "elevator"),
	}
	good.Monitors.Biologicals = []load.Biological{spores(load.Negative, load.Positive)}
	finish(good, vacuumCycle(good, 11, 262, 0))

	damp := newLoad(2, "09:10")
	damp.Packs = []load.Pack{
		pouch("N-201", "nail nippers", packaging.Hinged),
		pouch("S-202", "scalpel handle"),
		pouch("T-203", "tissue forceps"),
		pouch("H-204", "needle holder", packaging.Hinged),
	}
	damp.Packs[2].Condition.Dry, damp.Packs[2].Decision = moistheat.No, moistheat.Reject
	finish(damp, vacuumCycle(damp, 12, 262, 0))

	handpieces := newLoad(3, "10:20")
	handpieces.Packs = []load.Pack{
		pouch("D-301", "powered nail drill", packaging.Powered, packaging.Hollow),
		pouch("D-302", "powered nail drill", packaging.Powered, packaging.Hollow),
		pouch("P-303", "probe"),
	}
	for i := range 2 {
		handpieces.Packs[i].Decision = moistheat.Reject
		handpieces.Packs[i].Items[0].Lumens = []packaging.Lumen{{Length: millimetres("96"), Bore: millimetres("1.2"), OpenEnds: 2}}
	}
	finish(handpieces, gravityCycle(handpieces, 13))

	short := newLoad(4, "11:45")
	short.Packs = []load.Pack{
		pouch("N-401", "nail nippers", packaging.Hinged),
		pouch("R-402", "retractor"),
		pouch("R-403", "retractor"),
		pouch("S-404", "scissors", packaging.Hinged, packaging.Sharp),
	}
	finish(short, vacuumCycle(short, 14, 262, 222))
	short.Release.Decision = moistheat.Reject

	implant := newLoad(5, "13:30")
	implant.Packs = []load.Pack{
		pouch("K-501", "bone wire", packaging.Implant, packaging.Sharp),
		pouch("H-502", "wire holder", packaging.Hinged),
		pouch("M-503", "mallet"),
	}
	implant.Monitors.Biologicals = []load.Biological{spores(load.Pending, load.Pending)}
	implant.Monitors.Challenge = &load.Challenge{Kind: "hollow device", IndicatorType: 5, Result: packaging.Reached, Hardest: moistheat.Yes}
	finish(implant, vacuumCycle(implant, 15, 262, 0))
	implant.Release.Decision = moistheat.Quarantine

	control := newLoad(6, "15:05")
	control.Packs = []load.Pack{
		pouch("N-601", "nail nippers", packaging.Hinged),
		pouch("T-602", "tissue forceps"),
		pouch("F-603", "nail file"),
	}
	// On the second sterilizer, whose weekly test was due.
	control.Sterilizer.ID = "B"
	for i := range control.Packs {
		control.Packs[i].Label.Sterilizer = "B"
	}
	control.Monitors.LastValidBiological = at("08:40").AddDate(0, 0, -8)
	control.Monitors.Biologicals = []load.Biological{spores(load.Negative, load.Negative)}
	finish(control, vacuumCycle(control, 7, 262, 0))
	control.Release.Decision = moistheat.Quarantine

	return []named{
		{"1-all-good", good}, {"2-damp-pouch", damp}, {"3-powered-handpieces", handpieces},
		{"4-short-plateau", short}, {"5-implant-waiting", implant}, {"6-dead-control", control},
	}
}

const dateOfDay = "2026-03-09"

func at(clock string) time.Time {
	return quit.Or(time.Parse(time.RFC3339, dateOfDay+"T"+clock+":00-08:00"))
}

func date(s string) moistheat.Date { return quit.Or(moistheat.ParseDate(s)) }

func millimetres(s string) units.Length { return units.MustParse[units.LengthUnit](s + " mm") }

// newLoad returns a record with what all loads of the day share.
func newLoad(number int, start string) *load.Record {
	return &load.Record{
		Format: load.Format,
		ID:     fmt.Sprintf("heron-street-%s-%d", dateOfDay, number),
		Load:   load.Identity{Number: fmt.Sprintf("0309-%d", number), Date: date(dateOfDay), PreparedBy: "R. Okafor"},
		Site:   load.Site{Name: "Heron Street Foot Clinic", Altitude: units.New(520, 0, units.Foot)},
		Sterilizer: load.Sterilizer{
			ID: "A", OnlyOne: moistheat.No, Accessory: "rack",
			Capacity: []load.Capacity{
				{Accessory: "rack", Mass: units.New(9, 0, units.Pound), Authority: load.ByManufacturer},
				{Accessory: "tray", Mass: units.New(11, 0, units.Pound), Authority: load.ByManufacturer},
			},
		},
		Arrangement: &load.Arrangement{Validated: moistheat.Yes, Fill: units.New(60, 0, units.Percent), Trays: []load.Tray{
			{ID: "rack", Perforated: moistheat.Yes, MadeForChamber: moistheat.Yes},
		}},
		Water: load.Water{Reservoir: &water.Reservoir{
			Water: water.Distilled, Drained: moistheat.Yes, Cleaned: moistheat.Yes, Refilled: moistheat.Yes,
			ToppedUp: moistheat.No, EmptyNight: moistheat.Yes,
			LastDrained: at("18:30").AddDate(0, 0, -1), LastFilled: at("07:00"),
		}},
		Cycle: &load.Cycle{Purpose: load.ForLoad, Evidence: cycle.Evidence{Started: at(start)}},
		Monitors: load.Monitors{
			LastValidBiological: at("08:05").AddDate(0, 0, -5),
			Tests: []load.Test{
				{Kind: load.AirRemovalTest, Time: at("07:20"), Passed: moistheat.Yes},
				{Kind: load.LeakTest, Time: at("07:02").AddDate(0, 0, -3), Passed: moistheat.Yes,
					LeakRate: units.MustParse[units.PressureRateUnit]("0.05 kPa/min")},
			},
		},
	}
}

// pouch returns a well-packed paper-film pouch with one item.
func pouch(id, name string, traits ...packaging.Trait) load.Pack {
	item := packaging.Item{
		Name: name, Count: 1, Class: packaging.Critical, HandleFirst: moistheat.Yes, Traits: traits,
		Materials:   []packaging.Material{packaging.StainlessSteel},
		Preparation: packaging.Preparation{Cleaned: moistheat.Yes, Method: packaging.WasherDisinfector, Dry: moistheat.Yes, Inspected: moistheat.Yes},
	}
	if traits == nil {
		item.HasTraits = moistheat.No
	}
	for _, t := range traits {
		switch t {
		case packaging.Hinged:
			item.Open = moistheat.Yes
		case packaging.Sharp:
			item.Guarded, item.GuardVented = moistheat.Yes, moistheat.Yes
		case packaging.Powered:
			item.Class = packaging.Semicritical
			item.HeatTolerant = moistheat.Yes
			item.Preparation.Lubricated, item.Preparation.Wiped = moistheat.Yes, moistheat.Yes
			item.Instructions = &packaging.Instructions{
				AirRemoval:     []moistheat.AirRemoval{moistheat.DynamicAirRemoval},
				MaxTemperature: units.New(135, 0, units.Celsius), Lubrication: moistheat.Yes,
			}
		}
	}
	p := load.Pack{Pack: packaging.Pack{
		ID: id, Barrier: packaging.PaperFilmPouch, Layers: 1, SteamFit: moistheat.Yes, Reused: moistheat.No,
		Expires: date("2028-06-30"), Mass: units.MustParse[units.MassUnit]("0.35 [lb_av]"),
		Fill: units.New(60, 0, units.Percent), FreeSpace: millimetres("35"), AirExpelled: moistheat.Yes,
		Seal: &packaging.Seal{Method: packaging.HeatSeal, Width: millimetres("9"), Intact: moistheat.Yes, Pierced: moistheat.No},
		Label: &packaging.Label{Sterilizer: "A", Date: date(dateOfDay), Contents: name, Packer: "RO",
			On: packaging.OnMargin, FastInk: moistheat.Yes, Before: moistheat.Yes},
		Indicators: []packaging.Indicator{
			{Place: packaging.External, Type: 1, Lot: "P-2231", Expires: date("2028-06-30"), Result: packaging.Reached},
			{Place: packaging.Internal, Type: 5, Lot: "V-0714", Expires: date("2027-02-28"), Visible: moistheat.Yes, Result: packaging.Reached},
		},
		Items: []packaging.Item{item},
	}}
	p.Placement = load.Placement{Position: load.OnEdge, FilmSide: load.FilmToPaper, Overlap: units.New(0, 0, units.Percent), Gap: millimetres("8"), TouchesWall: moistheat.No}
	p.Condition = load.PackCondition{Dry: moistheat.Yes, Intact: moistheat.Yes, Dropped: moistheat.No}
	return p
}

// spores returns a biological test with its control.
func spores(result, control load.Growth) load.Biological {
	b := load.Biological{
		Lot: "G-5520", Expires: date("2026-11-30"), Temperature: units.New(57, 0, units.Celsius),
		Readout: units.New(24, 0, units.Hour), Result: result,
		Suited: moistheat.Yes, Enclosed: moistheat.Yes, FullLoad: moistheat.Yes,
		Control: &load.Control{Lot: "G-5520", Result: control},
	}
	if result != load.Pending {
		b.Incubated = units.New(24, 0, units.Hour)
	}
	return b
}

// vacuumCycle fills in a cycle with three vacuum pulses at 132 °C for 4 min. With
// fails > 0 the place deep in the load cools after that many seconds.
func vacuumCycle(r *load.Record, number int, hold, fails float64) *simulate.Trace {
	describe(r, number, moistheat.DynamicAirRemoval, 240, 1320)
	return simulate.Simulate(simulate.Run{
		AtmosphereKPa: 99.4, Pulses: 3, VacuumKPa: 14, RefillKPa: 96, HoldCelsius: 133.1, HoldSeconds: hold,
		DrySeconds: 1320, DryKPa: 8, Seed: uint64(number),
		Sensors: []simulate.Sensor{
			{LagSeconds: 2, NoiseKelvin: 0.04},
			{LagSeconds: 4, OffsetKelvin: -0.1, NoiseKelvin: 0.04},
			{LagSeconds: 7, OffsetKelvin: -0.2, NoiseKelvin: 0.05, FailsAtSecond: fails},
		},
	})
}

// gravityCycle fills in a cycle with gravity displacement at 132 °C for 15 min.
func gravityCycle(r *load.Record, number int) *simulate.Trace {
	describe(r, number, moistheat.GravityDisplacement, 900, 1500)
	return simulate.Simulate(simulate.Run{
		AtmosphereKPa: 99.4, FlushSeconds: 540, HoldCelsius: 133.1, HoldSeconds: 930, DrySeconds: 1500, DryKPa: 60,
		Seed: uint64(number),
		Sensors: []simulate.Sensor{
			{LagSeconds: 2, NoiseKelvin: 0.04},
			{LagSeconds: 4, OffsetKelvin: -0.1, NoiseKelvin: 0.04},
			{LagSeconds: 9, OffsetKelvin: -0.2, NoiseKelvin: 0.05},
		},
	})
}

func describe(r *load.Record, number int, air moistheat.AirRemoval, hold, drying int64) {
	r.Cycle.Number = r.Load.Number
	r.Cycle.Sterilizer = r.Sterilizer.ID
	r.Cycle.Settings = cycle.Settings{
		AirRemoval: air, Temperature: units.New(132, 0, units.Celsius),
		Hold: units.New(hold, 0, units.Second), Drying: units.New(drying, 0, units.Second),
	}
	r.Cycle.Aborted = moistheat.No
	for i := range r.Packs {
		r.Packs[i].Label.Load = r.Load.Number
	}
}

// finish enters the trace, the unloading and a named person's readiness to decide.
func finish(r *load.Record, t *simulate.Trace) {
	places := []cycle.Place{cycle.ReferencePoint, cycle.Drain, cycle.InLoad}
	tr := &cycle.Trace{
		Start: r.Cycle.Started,
		Time:  cycle.TimeBase{Unit: units.Second, Values: t.Seconds},
		AbsolutePressures: []cycle.AbsolutePressureChannel{
			{ID: "chamber", Place: cycle.Chamber, Unit: units.Kilopascal, Values: t.PressureKPa},
		},
	}
	for i, id := range []string{"reference", "drain", "load"} {
		tr.Temperatures = append(tr.Temperatures, cycle.TemperatureChannel{
			ID: id, Place: places[i], Unit: units.Celsius, Accuracy: units.MustParse[units.TemperatureDifferenceUnit]("0.5 K"),
			Values: t.Celsius[i],
		})
	}
	r.Cycle.Trace = tr
	last := time.Duration(t.Seconds[len(t.Seconds)-1]) * time.Second
	r.Cycle.Ended = r.Cycle.Started.Add(last)
	r.Cycle.Printed.DryingTime = r.Cycle.Settings.Drying
	r.Unloading = load.Unloading{
		Time: r.Cycle.Ended.Add(4 * time.Minute), By: "R. Okafor",
		DoorOpenedEarly: moistheat.No, HandledWarm: moistheat.No, CooledInChamber: moistheat.No, Cooled: units.New(35, 0, units.Minute),
	}
	r.Release = &load.Release{
		By: "M. Castellanos", Authorised: moistheat.Yes, Time: r.Cycle.Ended.Add(20 * time.Minute),
		Decision: moistheat.Release,
	}
	for _, b := range r.Monitors.Biologicals {
		if b.Result != load.Pending {
			r.Release.Time = r.Cycle.Ended.Add(25 * time.Hour)
		}
	}
}

var numbers = regexp.MustCompile(`\[\s*-?[0-9.]+(,\s*-?[0-9.]+)*\s*\]`)

// render writes a record with each column of numbers on one line.
func render(r *load.Record) []byte {
	text := quit.Or(json.MarshalIndent(r, "", "  "))
	return append(numbers.ReplaceAllFunc(text, func(b []byte) []byte { return bytes.Join(bytes.Fields(b), nil) }), '\n')
}
