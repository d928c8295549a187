package schema_test

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.com/moistheat/load"
	"example.com/moistheat/schema"
)

// record makes a valid record with as many packs of two items as given and a trace
// of five channels with as many samples.
func record(packs, samples int) []byte {
	var b strings.Builder
	b.WriteString(`{"format":"moistheat.load/1","id":"2026-0147","load":{"number":"0147","date":"2026-03-09","preparedBy":"M. Okafor"},` +
		`"site":{"altitude":{"value":410,"unit":"m"}},"sterilizer":{"id":"S1","onlyOne":true},"packs":[`)
	for i := range packs {
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, `{"id":"P%d","barrier":"paper-film pouch","layers":1,"seal":{"method":"heat","width":{"value":8,"unit":"mm"},"intact":true,"pierced":false},`+
			`"mass":{"value":0.%d,"unit":"kg"},"indicators":[{"place":"external","type":1,"result":"reached"},{"place":"internal","type":5,"result":"reached"}],`+
			`"items":[{"name":"nail nipper","count":1,"class":"critical","traits":["hinged","sharp"],"open":true,"preparation":{"cleaned":true,"dry":true,"inspected":true}},`+
			`{"name":"suction tip","count":2,"class":"semicritical","traits":["hollow"],"lumens":[{"length":{"value":120,"unit":"mm"},"bore":{"value":2.5,"unit":"mm"},"openEnds":2}]}],`+
			`"condition":{"dry":true,"intact":true}}`, i, 100+i)
	}
	b.WriteString(`],"cycle":{"number":"0147","purpose":"load","started":"2026-03-09T08:15:00+01:00","ended":"2026-03-09T09:02:30+01:00",` +
		`"settings":{"airRemoval":"dynamic-air-removal","temperature":{"value":134,"unit":"Cel"},"hold":{"value":210,"unit":"s"}},"aborted":false,` +
		`"trace":{"time":{"unit":"s","values":[`)
	column := func(format string, value func(i int) any) {
		for i := range samples {
			if i > 0 {
				b.WriteByte(',')
			}
			fmt.Fprintf(&b, format, value(i))
		}
		b.WriteString("]}")
	}
	column("%d", func(i int) any { return i })
	b.WriteString(`,"temperatures":[`)
	for c := range 3 {
		if c > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, `{"id":"T%d","place":"load","unit":"Cel","values":[`, c)
		column("%.1f", func(i int) any { return 134 + float64((i*7+c)%10)/10 })
	}
	b.WriteString(`],"absolutePressures":[{"id":"P1","place":"chamber","unit":"kPa","values":[`)
	column("%.1f", func(i int) any { return 304 + float64((i*3)%80)/10 })
	b.WriteString(`]}},"release":{"time":"2026-03-09T09:20:00+01:00","by":"M. Okafor","authorised":true,"decision":"release"}}`)
	return []byte(b.String())
}

var sizes = []struct {
	name           string
	packs, samples int
	most           float64 // times the time of encoding/json, as the project aims at
}{{"4KB", 4, 40, 4}, {"60KB", 14, 2000, 1.5}}

// plain returns the type with the same members and nothing but structs, slices and
// the basic types: what encoding/json fills without help of the library.
func plain(t reflect.Type) reflect.Type {
	switch {
	case t == reflect.TypeFor[time.Time]():
		return t
	case t.Kind() == reflect.Uint8 || t.Kind() == reflect.String || t.String() == "moistheat.Date":
		if t.String() == "moistheat.Answer" {
			return reflect.TypeFor[*bool]()
		}
		return reflect.TypeFor[string]()
	case strings.HasPrefix(t.Name(), "Quantity["):
		return reflect.TypeFor[struct {
			Value float64 `json:"value"`
			Unit  string  `json:"unit"`
		}]()
	case t.Kind() == reflect.Slice:
		return reflect.SliceOf(plain(t.Elem()))
	case t.Kind() == reflect.Pointer:
		return reflect.PointerTo(plain(t.Elem()))
	case t.Kind() != reflect.Struct:
		return t
	}
	var fields []reflect.StructField
	for _, f := range reflect.VisibleFields(t) {
		tag := f.Tag.Get("json")
		if !f.IsExported() || f.Anonymous || tag == "" || tag == "-" {
			continue
		}
		fields = append(fields, reflect.StructField{Name: f.Name, Type: plain(f.Type), Tag: f.Tag})
	}
	return reflect.StructOf(fields)
}

func BenchmarkValidate(b *testing.B) {
	mirror := plain(reflect.TypeFor[load.Record]())
	for _, size := range sizes {
		data := record(size.packs, size.samples)
		findings, err := schema.Validate(schema.Record, data)
		require.NoError(b, err)
		require.Empty(b, findings)
		b.Run(fmt.Sprintf("%s/schema", size.name), func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				if findings, err := schema.Validate(schema.Record, data); err != nil || len(findings) > 0 {
					b.Fatal(err, findings)
				}
			}
		})
		b.Run(fmt.Sprintf("%s/encoding-json", size.name), func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				if err := json.Unmarshal(data, reflect.New(mirror).Interface()); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprintf("%s/ratio", size.name), func(b *testing.B) {
			// Both in turn, so that what else the machine does falls on both.
			var ours, theirs time.Duration
			for b.Loop() {
				start := time.Now()
				_, _ = schema.Validate(schema.Record, data)
				ours += time.Since(start)
				start = time.Now()
				_ = json.Unmarshal(data, reflect.New(mirror).Interface())
				theirs += time.Since(start)
			}
			b.ReportMetric(float64(ours)/float64(theirs), "x-encoding-json")
			b.ReportMetric(size.most, "x-aim")
		})
	}
}
