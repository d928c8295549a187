package history

import (
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/require"
)

func TestMain(m *testing.M) { testrun.Main(m) }

const (
	yes     = moistheat.Yes
	no      = moistheat.No
	unknown = moistheat.NotRecorded

	met          = moistheat.Met
	broken       = moistheat.Broken
	undetermined = moistheat.Undetermined
	notAsked     = moistheat.NotApplicable
	notInForce   = moistheat.NotInForce
)

func instant(s string) time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return t
}

func length(s string) units.Length      { return units.MustParse[units.LengthUnit](s) }
func mass(s string) units.Mass          { return units.MustParse[units.MassUnit](s) }
func duration(s string) units.Duration  { return units.MustParse[units.DurationUnit](s) }
func celsius(n int64) units.Temperature { return units.New(n, 0, units.Celsius) }
func day(y, m, d int) moistheat.Date    { return moistheat.NewDate(y, time.Month(m), d) }

// hoursOfUse names a policy that counts the hours of use, as Florida's older text did.
const hoursOfUse = "hours-of-use"

func policy(t testing.TB, n string) *load.Policy {
	if n == hoursOfUse {
		p, err := load.ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"hours-of-use",
			"title":"a clinic that counts hours","base":"us-cdc-2003",
			"decision":{"by":"C. Dorn","date":"2026-01-05","reason":"Florida, 59Q-25.003(9), a text that has ended"},
			"schedule":[{"test":"biological","cadence":"hours of use","every":"P30D","hoursOfUse":{"value":40,"unit":"h"},
			"source":{"document":"Florida rule 59Q-25.003","edition":"older text","locator":"(9)","basis":"published"}}]}`))
		require.NoError(t, err)
		return p
	}
	p, err := load.PolicyFor(n)
	require.NoError(t, err)
	return p
}

// goodPack is a pouch against which no rule has anything.
func goodPack(id string) load.Pack {
	return load.Pack{
		Pack: packaging.Pack{
			ID: id, Barrier: packaging.PaperFilmPouch, Layers: 1, SteamFit: yes, Reused: no,
			Expires: day(2028, 1, 31), Mass: mass("0.5 kg"), Fill: units.New(50, 0, units.Percent), FreeSpace: length("40 mm"),
			Seal:  &packaging.Seal{Method: packaging.HeatSeal, Width: length("8 mm"), Intact: yes, Pierced: no},
			Label: &packaging.Label{Sterilizer: "S1", Load: "7", Date: day(2026, 3, 9), Contents: "forceps", Packer: "AB"},
			Indicators: []packaging.Indicator{
				{Place: packaging.External, Type: 1, Lot: "x", Expires: day(2027, 1, 1), Result: packaging.Reached},
				{Place: packaging.Internal, Type: 5, Lot: "y", Expires: day(2027, 1, 1), Visible: yes, Result: packaging.Reached},
			},
			Items: []packaging.Item{{
				Name: "forceps", Count: 1, Class: packaging.Critical, Traits: []packaging.Trait{packaging.Hinged}, Open: yes,
				Materials:   []packaging.Material{packaging.StainlessSteel},
				Preparation: packaging.Preparation{Cleaned: yes, Method: packaging.WasherDisinfector, Dry: yes, Inspected: yes},
			}},
		},
		Placement: load.Placement{Position: load.OnEdge, FilmSide: load.FilmToPaper, Gap: length("10 mm"), TouchesWall: no},
		Condition: load.PackCondition{Dry: yes, Intact: yes, Dropped: no},
	}
}

// good is a record of printed readings against which no rule in force has anything
// but what a trace alone can show.
func good() *load.Record {
	return &load.Record{
		Format: load.Format, ID: "r1",
		Load:       load.Identity{Number: "7", Date: day(2026, 3, 9), PreparedBy: "AB"},
		Site:       load.Site{Barometer: units.MustParse[units.AbsolutePressureUnit]("1013.25 hPa")},
		Sterilizer: load.Sterilizer{ID: "S1", OnlyOne: no},
		Packs:      []load.Pack{goodPack("P1"), goodPack("P2")},
		Cycle: &load.Cycle{
			Number: "7", Sterilizer: "S1", Purpose: load.ForLoad, Type: load.TypeB,
			Evidence: cycle.Evidence{
				Started: instant("2026-03-09T09:00:00+01:00"), Ended: instant("2026-03-09T09:50:00+01:00"),
				Settings: cycle.Settings{AirRemoval: moistheat.DynamicAirRemoval, Temperature: celsius(134), Hold: duration("300 s"), Drying: duration("20 min")},
				Printed: cycle.Printed{
					HoldTime: duration("310 s"), MinimumTemperature: units.MustParse[units.TemperatureUnit]("134.3 Cel"),
					MaximumTemperature: units.MustParse[units.TemperatureUnit]("135.4 Cel"),
					AbsolutePressure:   units.MustParse[units.AbsolutePressureUnit]("310 kPa"), DryingTime: duration("20 min"),
				},
				Aborted: no,
			},
		},
		Monitors: load.Monitors{
			LastValidBiological: instant("2026-03-06T12:00:00+01:00"),
			Tests: []load.Test{
				{Kind: load.AirRemovalTest, Time: instant("2026-03-09T07:30:00+01:00"), Passed: yes},
				{Kind: load.LeakTest, Time: instant("2026-03-07T07:30:00+01:00"), Passed: yes, LeakRate: units.MustParse[units.PressureRateUnit]("0.13 kPa/min")},
			},
		},
		Unloading: load.Unloading{Time: instant("2026-03-09T09:55:00+01:00"), By: "AB"},
		Release:   &load.Release{Time: instant("2026-03-09T10:05:00+01:00"), By: "CD", Authorised: yes, Decision: moistheat.Release},
	}
}

// spores is a valid, negative biological indicator test.
func spores() load.Biological {
	return load.Biological{
		Lot: "L1", Expires: day(2026, 12, 31), Temperature: celsius(57), Incubated: duration("24 h"), Readout: duration("24 h"),
		Result: load.Negative, Suited: yes, Control: &load.Control{Lot: "L1", Result: load.Positive},
	}
}

// outcome returns the outcome of a rule at a pointer, or, where the report keeps no
// finding, not applicable or not in force as the tally says.
func outcome(r *load.Report, rule, pointer string) moistheat.Outcome {
	for _, f := range r.Findings {
		if f.Rule == rule && f.Pointer == pointer {
			return f.Outcome
		}
	}
	for _, t := range r.Counts {
		if t.Rule == rule {
			switch {
			case t.NotInForce > 0:
				return notInForce
			case t.NotApplicable > 0:
				return notAsked
			}
		}
	}
	return 0
}

func lumen(r *load.Record, l ...packaging.Lumen) {
	it := &r.Packs[0].Items[0]
	it.Traits = []packaging.Trait{packaging.Hollow}
	it.Lumens = l
}

func implant(r *load.Record) {
	r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Implant}
}

func test(edit func(*load.Biological)) func(*load.Record) {
	return func(r *load.Record) {
		b := spores()
		edit(&b)
		r.Monitors.Biologicals = []load.Biological{b}
	}
}

// facility returns a facility's policy with settings of rules.
func facility(t testing.TB, base, rules string) *load.Policy {
	p, err := load.ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"` + base + `","rules":[` + rules + `]}`))
	require.NoError(t, err)
	return p
}

const decided = `"decision":{"by":"Dr Y","date":"2026-01-02","reason":"x"}`

// recorded returns the good load of the demonstration day, with its trace.
func recorded(t testing.TB) *load.Record {
	data, err := os.ReadFile("../../examples/checkload/demo/1-all-good.json")
	require.NoError(t, err)
	r, err := load.Decode(data)
	require.NoError(t, err)
	return r
}

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
