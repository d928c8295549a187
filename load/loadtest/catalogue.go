package loadtest

import (
	"fmt"
	"slices"

	"example.com/moistheat/cycle"
	"example.com/moistheat/load"
)

// ByCatalogue says in a catalogue what a record states of its items, its sterilizer and its
// program, and returns both: the record then refers to the catalogue, and resolved with it
// says what it did. Entries are in force from the day of the load; of a record without one
// nothing is moved, nor is what refers to a catalogue already. The record given stays as it is.
//
//	catalogue, record := loadtest.ByCatalogue(loadtest.Pouches())
func ByCatalogue(r *load.Record) (*load.Catalogue, *load.Record) {
	c := &load.Catalogue{Format: load.CatalogueFormat, ID: "loadtest"}
	if r == nil || !r.Load.Date.IsValid() {
		return c, r
	}
	own := *r
	own.Packs = slices.Clone(r.Packs)
	for i := range own.Packs {
		p := &own.Packs[i]
		p.Items = slices.Clone(p.Items)
		for j := range p.Items {
			it := &p.Items[j]
			if it.Type != "" {
				continue
			}
			kind := load.ItemType{Class: it.Class, Kind: it.Kind, HasTraits: it.HasTraits, HasLumens: it.HasLumens,
				Traits: it.Traits, Materials: it.Materials, Lumens: it.Lumens, HeatTolerant: it.HeatTolerant,
				GuardVented: it.GuardVented, Instructions: it.Instructions}
			kind.Entry = load.Entry{ID: fmt.Sprintf("item %d of pack %d", j+1, i+1), From: r.Load.Date}
			c.Items = append(c.Items, kind)
			it.Type, it.Class, it.Kind, it.Traits, it.Materials, it.Lumens, it.Instructions = kind.ID, "", "", nil, nil, nil, nil
			it.HasTraits, it.HasLumens, it.HeatTolerant, it.GuardVented = 0, 0, 0, 0
		}
	}
	s := &own.Sterilizer
	if s.ID == "" {
		return c, &own
	}
	unit := load.SterilizerEntry{OnlyOne: s.OnlyOne, DeclaredFor: s.DeclaredFor, CycleTypes: s.CycleTypes,
		Capacity: s.Capacity, Accessory: s.Accessory, AirDetector: s.AirDetector, RecordsTraces: s.RecordsTraces,
		DriedPerMinute: s.DriedPerMinute}
	unit.Entry = load.Entry{ID: s.ID, From: r.Load.Date}
	*s = load.Sterilizer{ID: s.ID}
	if !own.Site.Barometer.IsValid() && own.Site.Altitude.IsValid() { // else the record's site stays
		unit.Site, own.Site = own.Site, load.Site{}
	}
	if r.Cycle != nil && r.Cycle.Program == "" {
		run := *r.Cycle
		unit.Programs = []load.Program{{ID: "program", Purpose: run.Purpose, Type: run.Type, Settings: run.Settings}}
		run.Program, run.Purpose, run.Type, run.Settings = "program", "", "", cycle.Settings{}
		own.Cycle = &run
	}
	c.Sterilizers = append(c.Sterilizers, unit)
	return c, &own
}
