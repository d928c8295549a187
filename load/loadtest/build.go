package loadtest

import (
	"bytes"
	"encoding/json"
	"fmt"

	"example.com/moistheat/load"
)

// The builders return a record against which no rule of the policies us-cdc and
// en-13060 has anything, unless they say otherwise, after the edits. They are the
// bases of the conformance corpus; every call returns a new one.

// Pouches returns two pouched instrument packs in a dynamic-air-removal cycle at
// 134 °C with a recording.
func Pouches(edits ...func(*load.Record)) *load.Record { return build("pouches", edits) }

// Unwrapped returns a tray without a wrap for immediate use, in a
// gravity-displacement cycle at 132 °C. It is for us-cdc: EN 13060 has no such cycle.
func Unwrapped(edits ...func(*load.Record)) *load.Record { return build("unwrapped", edits) }

// Container returns an instrument set in a rigid container.
func Container(edits ...func(*load.Record)) *load.Record { return build("container", edits) }

// Textiles returns drapes in a cloth wrap.
func Textiles(edits ...func(*load.Record)) *load.Record { return build("textiles", edits) }

// Implant returns a pouch with an implant beside another, a challenge device and a
// biological test that was read.
func Implant(edits ...func(*load.Record)) *load.Record { return build("implant", edits) }

// Handpiece returns a powered handpiece and a suction tip with measured lumens.
func Handpiece(edits ...func(*load.Record)) *load.Record { return build("handpiece", edits) }

// Trays returns three pouches in measured places on two trays in a round chamber.
func Trays(edits ...func(*load.Record)) *load.Record { return build("tray-geometry", edits) }

// PrintedOnly returns two pouches in a cycle of which there are printed readings
// only. Under us-cdc and en-13060 it is open whether the steam was saturated.
func PrintedOnly(edits ...func(*load.Record)) *load.Record { return build("printed-only", edits) }

// Water returns two pouches with a sample of the reservoir's water.
func Water(edits ...func(*load.Record)) *load.Record { return build("water", edits) }

// Stored returns a wrapped pack in store.
func Stored(edits ...func(*load.Stored)) *load.Stored {
	s, err := load.DecodeStored(document("stored"))
	if err != nil {
		panic(err) // the base is part of the program; a test reads it
	}
	for _, edit := range edits {
		edit(s)
	}
	return s
}

// Fortnight returns the loads, tests and stored packs of two quiet weeks of one
// sterilizer, up to 14 March 2026.
func Fortnight() []load.Entry {
	var lines []json.RawMessage
	if err := json.Unmarshal(document("history-quiet"), &lines); err != nil {
		panic(err)
	}
	var stream bytes.Buffer
	for _, l := range lines {
		stream.Write(l)
		stream.WriteByte('\n')
	}
	var out []load.Entry
	for e, err := range load.Entries(&stream) {
		if err != nil {
			panic(err)
		}
		out = append(out, e)
	}
	return out
}

// Clone returns a copy of a record that shares nothing with it.
func Clone(r *load.Record) (*load.Record, error) {
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
	for _, edit := range edits {
		edit(r)
	}
	return r
}

func document(base string) []byte {
	c, err := Conformance()
	if err != nil {
		panic(err)
	}
	b, err := c.Base(base)
	if err != nil {
		panic(err)
	}
	doc, err := b.Document()
	if err != nil {
		panic(err)
	}
	return doc
}
