package load

import (
	"encoding/json"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"example.com/moistheat/internal/strictjson"
)

// Ratios to encoding/json decoding the same bytes into plain structs, in one run:
//
//	go test ./load -run '^$' -bench Ratio
//
// The plain structs have the record's members, in types that encoding/json fills
// by itself: strings for words and instants, structs for quantities.

// plain derives the plain struct of a record type.
func plain(t reflect.Type) reflect.Type {
	switch {
	case t == reflect.TypeFor[time.Time]():
		return reflect.TypeFor[string]()
	case t.Kind() == reflect.Pointer:
		return reflect.PointerTo(plain(t.Elem()))
	case t.Kind() == reflect.Slice:
		return reflect.SliceOf(plain(t.Elem()))
	case t.Kind() == reflect.Struct && t.PkgPath() == "example.com/moistheat/units":
		return reflect.TypeFor[struct {
			Value float64 `json:"value"`
			Unit  string  `json:"unit"`
		}]()
	case t.Kind() == reflect.Struct && strings.HasSuffix(t.String(), "moistheat.Date"):
		return reflect.TypeFor[string]()
	case t.Kind() == reflect.Struct:
		var fields []reflect.StructField
		for _, f := range reflect.VisibleFields(t) {
			if tag := f.Tag.Get("json"); f.IsExported() && !f.Anonymous && tag != "" && tag != "-" {
				fields = append(fields, reflect.StructField{Name: f.Name, Type: plain(f.Type), Tag: f.Tag})
			}
		}
		return reflect.StructOf(fields)
	case t.Kind() == reflect.Uint8 && strings.HasSuffix(t.String(), "Answer"):
		return reflect.TypeFor[bool]()
	case t.Kind() == reflect.Uint8, t.Kind() == reflect.String:
		return reflect.TypeFor[string]()
	}
	return t
}

// records returns a record of about 60 KB with a trace and one of about 4 KB.
func records(b *testing.B) map[string][]byte {
	big, err := os.ReadFile("../examples/checkload/demo/1-all-good.json")
	if err != nil {
		b.Fatal(err)
	}
	r, err := Decode(big)
	if err != nil {
		b.Fatal(err)
	}
	compact, err := json.Marshal(r)
	if err != nil {
		b.Fatal(err)
	}
	small := good()
	small.Packs = append(small.Packs, goodPack("P3"))
	smallJSON, err := json.Marshal(small)
	if err != nil {
		b.Fatal(err)
	}
	return map[string][]byte{fmt.Sprintf("big-%dKB", len(compact)>>10): compact, fmt.Sprintf("small-%dKB", len(smallJSON)>>10): smallJSON}
}

func BenchmarkRatio(b *testing.B) {
	p, err := PolicyFor("us-cdc-2003")
	if err != nil {
		b.Fatal(err)
	}
	shape := plain(reflect.TypeFor[Record]())
	for name, data := range records(b) {
		rec, err := Decode(data)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(name, func(b *testing.B) {
			if err := json.Unmarshal(data, reflect.New(shape).Interface()); err != nil {
				b.Fatal(err)
			}
			base := perOp(func() { _ = json.Unmarshal(data, reflect.New(shape).Interface()) })
			for b.Loop() {
			}
			b.ReportMetric(base, "ns-json")
			b.ReportMetric(perOp(func() { _ = strictjson.Check(data, strictjson.Default()) })/base, "guard/json")
			b.ReportMetric(perOp(func() { _, _ = Decode(data) })/base, "decode/json")
			b.ReportMetric(perOp(func() { Check(rec, p) })/base, "check/json")
			b.ReportMetric(perOp(func() { r, _ := Decode(data); Check(r, p) })/base, "decode+check/json")
			b.ReportMetric(testing.AllocsPerRun(10, func() { Check(rec, p) }), "allocs-check")
		})
	}
}

// perOp returns the best nanoseconds of f over several batches.
func perOp(f func()) float64 {
	best := 0.0
	for range 7 {
		n := 0
		start := time.Now()
		for time.Since(start) < 30*time.Millisecond {
			f()
			n++
		}
		if t := float64(time.Since(start).Nanoseconds()) / float64(n); best == 0 || t < best {
			best = t
		}
	}
	return best
}

func BenchmarkCheck(b *testing.B) {
	p, err := PolicyFor("us-cdc-2003")
	if err != nil {
		b.Fatal(err)
	}
	for name, data := range records(b) {
		rec, err := Decode(data)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Check(rec, p)
			}
		})
	}
}
