package water

import (
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// Whatever a record states, checking it gives findings of known rules with a valid
// outcome and a pointer, and never a panic.
func FuzzCheck(f *testing.F) {
	for _, members := range []string{
		`"point":"reservoir","conductivity":{"value":{"value":10.4,"unit":"uS/cm"},"compensated":true,"reference":{"value":25,"unit":"Cel"}}`,
		`"point":"condensate","conductivity":{"value":{"value":1e18,"unit":"mS/cm"},"temperature":{"value":-1e18,"unit":"[degF]"},"compensated":false}`,
		`"point":"treated feed","resistivity":{"value":{"value":0,"unit":"MOhm.cm"},"comparator":"<"}`,
		`"point":"treated feed","hardness":{"value":{"value":1,"unit":"10.mg/L{CaO}"},"resolution":{"value":1e-18,"unit":"mmol/L"},"method":"drop test"}`,
		`"point":"mains","phosphate":{"value":{"value":0.3,"unit":"mg/L"}},"nitrate":{"value":{"value":-1,"unit":"ug/L"},"as":"N"}`,
		`"point":"condensate","conductivity":{"value":{"value":2.4,"unit":"uS/cm"},"temperature":{"value":25,"unit":"Cel"},"compensated":false},"equilibrated":{"conductivity":{"value":2.4,"unit":"uS/cm"},"temperature":{"value":25,"unit":"Cel"},"ph":{"value":6.2,"unit":"[pH]"}}`,
		`"point":"final rinse","bacteria":{"value":{"value":50,"unit":"[CFU]/dL"}},"sampling":{"tested":"0001-01-01T00:00:00Z"}`,
	} {
		f.Add([]byte(`{"time":"2026-03-09T12:00:00Z",` + members + `}`))
	}
	decoder := strictjson.NewDecoder[Sample]()
	known := map[string]bool{}
	for _, r := range Rules() {
		known[r.ID] = true
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := decoder.Decode(data, strictjson.Default())
		if err != nil {
			return
		}
		found := check(s)
		for _, id := range LimitNames() {
			l, err := LimitsFor(id)
			if err != nil {
				t.Fatal(err)
			}
			got := check(s, l)
			if !reflect.DeepEqual(got, check(s, l)) {
				t.Fatalf("%s: two checks differ", id)
			}
			found = append(found, got...)
			found = append(found, aged(s, l, s.Time.Add(time.Hour))...)
		}
		for _, x := range found {
			if !known[x.Rule] || x.Outcome < moistheat.NotApplicable || x.Outcome > moistheat.Broken || x.Outcome == moistheat.NotInForce ||
				x.Pointer != "" && !strings.HasPrefix(x.Pointer, "/") || x.Sources.Len() == 0 {
				t.Fatalf("%+v", x)
			}
			if x.Outcome == moistheat.Met && strings.HasSuffix(x.Rule, ".over") && !x.Measured.IsValid() {
				t.Fatalf("a pass without a measurement: %+v", x)
			}
		}
	})
}

// A reading whose reference temperature is missing is never judged as if it were
// 25 °C: where 20 or 25 °C would give another verdict, it has none.
func FuzzReferenceMissing(f *testing.F) {
	f.Add(int64(158), uint8(1))
	f.Add(int64(104), uint8(1))
	f.Fuzz(func(t *testing.T, coefficient int64, places uint8) {
		k := units.New(coefficient, -int(places%5), units.MicrosiemensPerCentimetre)
		if !k.IsValid() {
			return
		}
		l, err := LimitsFor("en-13060")
		if err != nil {
			t.Fatal(err)
		}
		verdict := func(c Correction) moistheat.Outcome {
			s := &Sample{Point: TreatedFeed, Conductivity: &ConductivityReading{Reading: Reading[units.ConductivityUnit]{Value: k}, Correction: c}}
			found := check(s, l)
			return found[slices.IndexFunc(found, func(x moistheat.Finding) bool { return x.Rule == "water.conductivity.over" })].Outcome
		}
		at20 := verdict(Correction{Compensated: moistheat.Yes, Reference: cel("20")})
		at25 := verdict(Correction{Compensated: moistheat.Yes, Reference: cel("25")})
		missing := verdict(Correction{Compensated: moistheat.Yes})
		if at20 != at25 && missing != moistheat.Undetermined || at20 == at25 && missing != at20 {
			t.Fatalf("%s: %s at 20 °C, %s at 25 °C, %s unrecorded", k, at20, at25, missing)
		}
		if nothing := verdict(Correction{}); nothing != moistheat.Undetermined && nothing != missing {
			t.Fatalf("%s: %s with nothing recorded, %s as compensated", k, nothing, missing)
		}
	})
}

// ParseLimits refuses or reads; what it reads can be used.
func FuzzParseLimits(f *testing.F) {
	f.Add([]byte(facility))
	for _, name := range []string{"en-13060", "usp-645", "ph-eur-0008", "iso-3696"} {
		data, err := limitFiles.ReadFile("limits/" + name + ".json")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := ParseLimits(data)
		if err != nil {
			if _, typed := err.(*moistheat.DocumentError); l != nil || !typed {
				t.Fatalf("%v, %T: %v", l, err, err)
			}
			return
		}
		s := &Sample{Point: TreatedFeed, Conductivity: &ConductivityReading{
			Reading:    Reading[units.ConductivityUnit]{Value: uS("1.2")},
			Correction: Correction{Temperature: cel("22"), Compensated: moistheat.No},
		}, Equilibrated: &Equilibrated{Conductivity: uS("2.2"), Temperature: cel("25"), PH: units.MustParse[units.PHUnit]("6.2 [pH]")}}
		for _, x := range check(s, l) {
			if x.Outcome < moistheat.NotApplicable || x.Outcome > moistheat.Broken {
				t.Fatalf("%+v", x)
			}
		}
	})
}

func BenchmarkCheck(b *testing.B) {
	l := limitsFor(b, "en-13060")
	s := decode(b, `"point":"reservoir","conductivity":{"value":{"value":10.4,"unit":"uS/cm"},"compensated":true,"reference":{"value":25,"unit":"Cel"}},"ph":{"value":{"value":6.1,"unit":"[pH]"}}`)
	b.ReportAllocs()
	for b.Loop() {
		check(s, l)
	}
}
