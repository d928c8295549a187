// Command detection simulates steam sterilization cycles, spoils most of them with
// one known fault each, and prints how many of each fault the checks of package
// cycle stop and name, and how many good cycles they stop wrongly.
//
//	go run ./internal/tools/simulate/detection -n 10000
//
// The cycles are invented. What the table shows is what the rules can see in such
// traces, not how often the faults occur.
package main

import (
	"flag"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/quit"
	"example.com/moistheat/internal/tools/simulate"
	"example.com/moistheat/units"
)

func main() {
	n := flag.Int("n", 10000, "number of cycles")
	seed := flag.Uint64("seed", 1, "seed")
	flag.Parse()
	Print(os.Stdout, quit.Or(Detect(*n, *seed)))
}

// fault is one way to spoil a cycle and the rules that name it.
type fault struct {
	name  string
	rules []string
	// run changes what the sterilizer does, trace what was recorded of it.
	run   func(rng *rand.Rand, r *simulate.Run)
	trace func(rng *rand.Rand, t *cycle.Trace, hold span)
}

// span is the hold, in samples.
type span struct{ from, to int }

func between(rng *rand.Rand, a, b float64) float64 { return a + (b-a)*rng.Float64() }

var faults = [...]fault{
	{name: "none"},
	{name: "air left in the load (3 to 25 %)", rules: []string{"cycle.hold.short", "cycle.spread.wide", "cycle.equilibration.long"},
		run: func(rng *rand.Rand, r *simulate.Run) { r.Sensors[2].TrappedAir = between(rng, 0.03, 0.25) }},
	{name: "no vacuum pulses", rules: []string{"cycle.pulses.none"},
		run: func(rng *rand.Rand, r *simulate.Run) { r.Pulses, r.FlushSeconds = 0, between(rng, 300, 600) }},
	{name: "hold short (30 to 160 s of 180 s)", rules: []string{"cycle.hold.short", "cycle.setting.missed"},
		run: func(rng *rand.Rand, r *simulate.Run) { r.HoldSeconds = between(rng, 30, 160) }},
	{name: "cold place in the load during the hold", rules: []string{"cycle.hold.short", "cycle.spread.wide"},
		run: func(rng *rand.Rand, r *simulate.Run) { r.Sensors[2].FailsAtSecond = between(rng, 20, 120) }},
	{name: "drain sensor reads 2.5 to 5 K high", rules: []string{"cycle.saturation.apart", "cycle.spread.wide", "cycle.band.above"},
		run: func(rng *rand.Rand, r *simulate.Run) { r.Sensors[1].OffsetKelvin = between(rng, 2.5, 5) }},
	{name: "too hot (5 to 8 K)", rules: []string{"cycle.band.above"},
		run: func(rng *rand.Rand, r *simulate.Run) { r.HoldCelsius = between(rng, 139, 142) }},
	{name: "gauge pressure marked absolute", rules: []string{"cycle.trace.implausible"},
		trace: func(_ *rand.Rand, t *cycle.Trace, _ span) {
			outside := t.AbsolutePressures[0].Values[0]
			change(t.AbsolutePressures[0].Values, func(kPa float64) float64 { return kPa - outside })
		}},
	{name: "psi marked kPa", rules: []string{"cycle.trace.implausible"},
		trace: func(_ *rand.Rand, t *cycle.Trace, _ span) {
			change(t.AbsolutePressures[0].Values, func(kPa float64) float64 { return kPa / 6.894757 })
		}},
	{name: "°F marked °C", rules: []string{"cycle.trace.implausible"},
		trace: func(_ *rand.Rand, t *cycle.Trace, _ span) {
			for _, c := range t.Temperatures {
				change(c.Values, func(celsius float64) float64 { return celsius*1.8 + 32 })
			}
		}},
	{name: "gap of 60 to 120 s in the hold", rules: []string{"cycle.trace.gap"},
		trace: func(rng *rand.Rand, t *cycle.Trace, hold span) {
			n := 60 + rng.IntN(61)
			at := hold.from + 5 + rng.IntN(max(1, hold.to-hold.from-n-10))
			drop(t, at, at+n)
		}},
	{name: "clock steps back", rules: []string{"cycle.trace.unreadable"},
		trace: func(rng *rand.Rand, t *cycle.Trace, _ span) {
			from := 10 + rng.IntN(len(t.Time.Values)-20)
			change(t.Time.Values[from:], func(seconds float64) float64 { return seconds - 30 })
		}},
	{name: "load sensor stuck from some moment of the hold", rules: []string{"cycle.sensor.stuck"},
		trace: func(rng *rand.Rand, t *cycle.Trace, hold span) {
			v := t.Temperatures[2].Values[hold.from+rng.IntN(hold.to-hold.from):]
			change(v, func(float64) float64 { return v[0] })
		}},
	{name: "one reading of the load sensor lost to 0 °C", rules: []string{"cycle.sensor.spike"},
		trace: func(rng *rand.Rand, t *cycle.Trace, hold span) {
			t.Temperatures[2].Values[hold.from+5+rng.IntN(hold.to-hold.from-10)] = 0
		}},
	{name: "recording ends during the hold", rules: []string{"cycle.hold.short"},
		trace: func(rng *rand.Rand, t *cycle.Trace, hold span) {
			drop(t, hold.from+5+rng.IntN(120), len(t.Time.Values))
		}},
}

func change(values []float64, to func(float64) float64) {
	for i, v := range values {
		values[i] = to(v)
	}
}

func drop(t *cycle.Trace, from, to int) {
	t.Time.Values = slices.Delete(t.Time.Values, from, to)
	for k := range t.Temperatures {
		t.Temperatures[k].Values = slices.Delete(t.Temperatures[k].Values, from, to)
	}
	t.AbsolutePressures[0].Values = slices.Delete(t.AbsolutePressures[0].Values, from, to)
}

// Row is what became of the cycles with one fault.
type Row struct {
	Fault   string
	Cycles  int
	Stopped int // a rule is broken or undetermined
	Named   int // a rule that names the fault is broken
}

// Detect runs n cycles, every kind of fault in turn.
func Detect(n int, seed uint64) ([]Row, error) {
	t, err := cycle.TableFor("en-13060")
	if err != nil {
		return nil, err
	}
	req, ok := t.Find(moistheat.DynamicAirRemoval, cycle.WrappedInstruments, units.New(134, 0, units.Celsius))
	if !ok {
		return nil, fmt.Errorf("no row for 134 °C")
	}
	type figure = moistheat.Figure[units.TemperatureDifferenceUnit]
	two := figure{Value: units.New(2, 0, units.KelvinDifference), Source: req.Source}
	limits := cycle.Limits{Requirement: req, Band: figure{Value: req.Band, Source: req.BandSource}, Spread: two,
		Saturation: two}
	rng := rand.New(rand.NewPCG(seed, 2))
	rows := make([]Row, len(faults))
	for i := range n {
		f, row := &faults[i%len(faults)], &rows[i%len(faults)]
		row.Fault = f.name
		row.Cycles++
		stopped, named := judge(spoil(rng, f), limits, f.rules)
		if stopped {
			row.Stopped++
		}
		if named {
			row.Named++
		}
	}
	return rows, nil
}

// spoil makes a cycle of some good sterilizer somewhere, with one fault.
func spoil(rng *rand.Rand, f *fault) *cycle.Evidence {
	r := simulate.Run{
		AtmosphereKPa: between(rng, 78, 103), Pulses: 3 + rng.IntN(2), VacuumKPa: between(rng, 8, 18),
		HoldCelsius: between(rng, 134.9, 135.9), HoldSeconds: between(rng, 195, 260),
		DrySeconds: between(rng, 600, 1200), DryKPa: between(rng, 6, 12), Seed: rng.Uint64(),
	}
	r.RefillKPa = r.AtmosphereKPa + between(rng, -4, 40)
	for _, lag := range []float64{between(rng, 1, 3), between(rng, 2, 4), between(rng, 3, 7)} {
		r.Sensors = append(r.Sensors, simulate.Sensor{LagSeconds: lag, OffsetKelvin: between(rng, -0.25, 0.25), NoiseKelvin: between(rng, 0.02, 0.08)})
	}
	if f.run != nil {
		f.run(rng, &r)
	}
	s := simulate.Simulate(r)
	t := &cycle.Trace{Time: cycle.TimeBase{Unit: units.Second, Values: s.Seconds}}
	for i, p := range []cycle.Place{cycle.ReferencePoint, cycle.Drain, cycle.InLoad} {
		t.Temperatures = append(t.Temperatures, cycle.TemperatureChannel{ID: string(p), Place: p, Unit: units.Celsius, Values: s.Celsius[i]})
	}
	t.AbsolutePressures = []cycle.AbsolutePressureChannel{{ID: "P", Place: cycle.Chamber, Unit: units.Kilopascal, Values: s.PressureKPa}}
	if f.trace != nil {
		f.trace(rng, t, holdOf(s))
	}
	three := units.New(3, 0, units.Minute)
	start := time.Date(2026, time.March, 9, 9, 0, 0, 0, time.UTC)
	t.Start = start
	return &cycle.Evidence{
		Started: start, Ended: start.Add(time.Hour),
		Settings: cycle.Settings{AirRemoval: moistheat.DynamicAirRemoval, Temperature: units.New(134, 0, units.Celsius), Hold: three},
		Trace:    t, Aborted: moistheat.No,
	}
}

func holdOf(s *simulate.Trace) span {
	i := slices.IndexFunc(s.Phases, func(p simulate.Phase) bool { return p.Name == "hold" })
	return span{int(s.Phases[i].Start), int(s.Phases[i+1].Start)}
}

// judge reports whether any rule in force stops the load, and whether one of the
// rules that name the fault is broken, or undetermined if the fault leaves it open.
func judge(e *cycle.Evidence, limits cycle.Limits, rules []string) (stopped, named bool) {
	findings, _ := cycle.Check(e, limits)
	for _, f := range findings {
		if f.Rule == "cycle.hold.margin" || f.Outcome < moistheat.Undetermined {
			continue // not in force without a facility's word
		}
		stopped = true
		named = named || slices.Contains(rules, f.Rule)
	}
	return stopped, named
}

// Print writes the table.
func Print(w io.Writer, rows []Row) {
	fmt.Fprintf(w, "%-50s %7s %9s %9s\n", "fault", "cycles", "stopped", "named")
	for _, r := range rows {
		if r.Cycles == 0 {
			continue
		}
		named := "-"
		if r.Fault != "none" {
			named = percent(r.Named, r.Cycles)
		}
		fmt.Fprintf(w, "%-50s %7d %9s %9s\n", r.Fault, r.Cycles, percent(r.Stopped, r.Cycles), named)
	}
}

// percent never rounds up to all, nor down to none.
func percent(n, of int) string {
	p := 100 * float64(n) / float64(of)
	if n < of {
		p = min(p, 99.9)
	}
	if n > 0 {
		p = max(p, 0.1)
	}
	return fmt.Sprintf("%.1f %%", math.Round(p*10)/10)
}
