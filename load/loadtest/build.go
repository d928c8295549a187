package loadtest

import (
	"encoding/json"
	"fmt"

	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
)

// Pouches returns two pouched instrument packs in a dynamic-air-removal cycle at
// 134 °C with a recording. Nothing about it is open under any built-in policy.
//
// Where a policy counts days or hours of use between biological tests (alberta, ontario,
// us-fl), a record alone does not show them: of all builders without a test in the load
// load.biological.overdue is open there and load.release.contradicted broken, unless the
// record is checked with what is known of its sterilizer.
//
// The record is a new one with every call, after the edits; a nil edit panics. So it
// is with all builders. What they return are bases of the conformance corpus.
func Pouches(edits ...func(*load.Record)) *load.Record { return build("pouches", edits) }

// Unwrapped returns a tray without a wrap for immediate use, in a
// gravity-displacement cycle at 132 °C. Nothing about it is open under us-cdc-2003 and the
// built-in policies based on it. EN 13060 has no such cycle: under en-13060 and those
// based on it, cycle.hold.short, cycle.band.above and load.release.contradicted are broken,
// and under australia and queensland load.corrective.missing, too.
func Unwrapped(edits ...func(*load.Record)) *load.Record { return build("unwrapped", edits) }

// Container returns an instrument set in a rigid container. Nothing about it is open
// under any built-in policy.
func Container(edits ...func(*load.Record)) *load.Record { return build("container", edits) }

// Textiles returns drapes in a cloth wrap. Nothing about it is open under the built-in
// policies but australia and queensland, under which packaging.barrier.linen is broken.
func Textiles(edits ...func(*load.Record)) *load.Record { return build("textiles", edits) }

// Implant returns a pouch with an implant beside another, a challenge device and a
// biological test that was read. Nothing about it is open under any built-in policy.
func Implant(edits ...func(*load.Record)) *load.Record { return build("implant", edits) }

// Handpiece returns a powered handpiece and a suction tip with measured lumens. Nothing
// about it is open under any built-in policy.
func Handpiece(edits ...func(*load.Record)) *load.Record { return build("handpiece", edits) }

// Trays returns three pouches in measured places on two trays in a round chamber.
// Nothing about it is open under any built-in policy.
func Trays(edits ...func(*load.Record)) *load.Record { return build("tray-geometry", edits) }

// PrintedOnly returns two pouches in a cycle of which there are printed readings
// only. It is never clean: under every built-in policy it is open whether the steam
// was saturated (cycle.saturation.apart). Under en-13060 and the policies based on it
// cycle.equilibration.long and cycle.spread.wide are open as well, and
// cycle.hold.short, cycle.band.above and load.release.contradicted are broken; under
// australia and queensland load.corrective.missing, too.
func PrintedOnly(edits ...func(*load.Record)) *load.Record { return build("printed-only", edits) }

// Water returns two pouches with a sample of the reservoir's water. Nothing about it is
// open under any built-in policy.
func Water(edits ...func(*load.Record)) *load.Record { return build("water", edits) }

// Stored returns a wrapped pack in store. On 20 March 2026 nothing about it is open
// under any built-in policy. A nil edit panics.
func Stored(edits ...func(*history.StoredPack)) *history.StoredPack {
	s, err := history.DecodeStoredPack(document("stored"))
	if err != nil {
		panic(err) // the base is part of the program; a test reads it
	}
	return edited(s, edits)
}

// Fortnight returns the loads, tests and stored packs of two quiet weeks of one
// sterilizer, up to 14 March 2026. At noon of the day after nothing is open under
// us-cdc-2003, en-13060 and most built-in policies based on them. Under alberta, australia,
// england, germany, ireland, ontario, queensland and scotland tests are due that it
// does not hold (load.history.overdue), in part also a calibration
// (load.history.calibration) or the order of use (load.storage.rotation). Under alberta,
// ontario and us-fl its loads were released against their own records, see [Pouches].
func Fortnight() []history.Entry {
	all, err := entries(document("history-quiet"))
	if err != nil {
		panic(err)
	}
	return all
}

// clone returns a copy of a record that shares nothing with it. What [load.Decode] would
// not read is an error.
func clone(r *load.Record) (*load.Record, error) {
	data, err := json.Marshal(r)
	if err != nil {
		return nil, fmt.Errorf("loadtest: %w", err)
	}
	return load.Decode(data)
}

func build(base string, edits []func(*load.Record)) *load.Record {
	r, err := load.Decode(document(base))
	if err != nil {
		panic(err)
	}
	return edited(r, edits)
}

func edited[T any](v *T, edits []func(*T)) *T {
	for i, edit := range edits {
		if edit == nil {
			panic(fmt.Sprintf("loadtest: edit %d of a builder is nil", i))
		}
		edit(v)
	}
	return v
}

func document(base string) []byte {
	c, err := Conformance()
	if err != nil {
		panic(err)
	}
	doc, err := c.bases[base].Document()
	if err != nil {
		panic(err)
	}
	return doc
}
