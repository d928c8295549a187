package strictjson_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/strictjson"
)

// The benchmarks stand beside encoding/json reading the same bytes into the same
// plain structs; what counts is the ratio within one run.

type benchItem struct {
	ID       string `json:"id"`
	Name     string `json:"name"`
	Class    string `json:"class,omitempty"`
	Count    int    `json:"count"`
	Unlocked bool   `json:"unlocked"`
}

type benchPhase struct {
	Name  string    `json:"name"`
	Start time.Time `json:"start"`
	End   time.Time `json:"end"`
}

type benchTrace struct {
	Seconds     []float64 `json:"seconds"`
	Temperature []float64 `json:"temperature"`
	Pressure    []float64 `json:"pressure"`
}

type benchRecord struct {
	Format string       `json:"format"`
	LoadID string       `json:"loadId"`
	Note   string       `json:"note,omitempty"`
	Items  []benchItem  `json:"items"`
	Phases []benchPhase `json:"phases"`
	Trace  *benchTrace  `json:"trace"`
}

// record returns an indented document as a program would send it.
func record(t testing.TB, items, samples int) []byte {
	start := time.Date(2026, 3, 9, 8, 15, 0, 0, time.FixedZone("", 3600))
	r := benchRecord{Format: "moistheat.load/1", LoadID: "2026-03-09/4", Note: "second wrap, Müller", Trace: &benchTrace{}}
	for i := range items {
		r.Items = append(r.Items, benchItem{ID: fmt.Sprintf("pack-%d", i), Name: "hinged forceps, 14 cm", Class: "semi-critical", Count: 1 + i%5, Unlocked: true})
	}
	for i, name := range []string{"air removal", "heating", "plateau", "exhaust", "drying"} {
		r.Phases = append(r.Phases, benchPhase{name, start.Add(time.Duration(i) * time.Minute), start.Add(time.Duration(i+1) * time.Minute)})
	}
	for i := range samples {
		r.Trace.Seconds = append(r.Trace.Seconds, float64(i))
		r.Trace.Temperature = append(r.Trace.Temperature, float64(2000+i%11400)/100)
		r.Trace.Pressure = append(r.Trace.Pressure, float64(1013+i%2030)/10)
	}
	data, err := json.Marshal(r)
	require.NoError(t, err)
	return data
}

var benchDecoder = strictjson.NewDecoder[benchRecord]()

func BenchmarkRecord(b *testing.B) {
	for _, size := range []struct{ items, samples int }{{20, 95}, {40, 2540}} {
		data := record(b, size.items, size.samples)
		kb := fmt.Sprintf("%dKB", (len(data)+512)/1024)
		b.Run(kb+"/guard", func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(data)))
			for b.Loop() {
				if err := strictjson.Check(data, strictjson.Default()); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(kb+"/decoder", func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(data)))
			for b.Loop() {
				if _, err := benchDecoder.Decode(data, strictjson.Default()); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(kb+"/encoding-json", func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(data)))
			for b.Loop() {
				var r benchRecord
				if err := json.Unmarshal(data, &r); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkHostile shows what the worst documents that pass cost for each byte, to
// be read against the guard in BenchmarkRecord.
func BenchmarkHostile(b *testing.B) {
	var wide strings.Builder
	for i := range 256 {
		fmt.Fprintf(&wide, `,"%x":0`, i)
	}
	for name, doc := range map[string]string{
		"names":   "[" + strings.Repeat("{"+wide.String()[1:]+"},", 200) + "0]",
		"escapes": `["` + strings.Repeat(strings.Repeat(`\ud83d\ude00`, 300)+`","`, 100) + `"]`,
		"nesting": "[" + strings.Repeat(strings.Repeat("[", 31)+strings.Repeat("]", 31)+",", 3000) + "0]",
		"members": "[" + strings.Repeat(`{"":{"":{"":0}}},`, 20000) + "0]",
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(doc)))
			data := []byte(doc)
			for b.Loop() {
				if err := strictjson.Check(data, strictjson.Default()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
