package loadtest

import (
	"slices"
	"strconv"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
)

// Fault is one thing that goes wrong in a clinic. The zero Fault is none of [Faults]
// and fits nothing.
type Fault struct {
	Name   string // such as "close a hinge"
	inject func(*load.Record) (Caused, bool)
}

// Caused is what a fault brings about. How much of it a report holds is for the
// policy to say: see [Caused.Wanted].
type Caused struct {
	Must []Found  // where their rules are in force
	May  []string // rules of which findings can follow, as the policy asks
}

// Inject changes a record and returns what the fault brings about. It reports false,
// and changes nothing, if the fault does not fit: a hinge can not be closed where
// there is none, nor in a nil record. Faults can be injected one after the other, as
// far as one does not take away what another one needs or is found by.
//
// What a report of the changed record is to have open is more than Must in some
// places and less in others; [Caused.Wanted] knows.
func (f Fault) Inject(r *load.Record) (Caused, bool) {
	if f.inject == nil || r == nil {
		return Caused{}, false
	}
	return f.inject(r)
}

// FaultNamed returns the fault of that name. Where there is none it reports false,
// and [Try] says of the Fault that there is no such one.
func FaultNamed(name string) (Fault, bool) {
	for _, f := range Faults() {
		if f.Name == name {
			return f, true
		}
	}
	return Fault{Name: name}, false
}

// MustFault returns the fault of that name. It panics if there is none, and names
// those that are spelt most like it: it is for tests that write the name down.
func MustFault(name string) Fault {
	f, ok := FaultNamed(name)
	if !ok {
		panic("loadtest: " + unknownFault(name))
	}
	return f
}

// unknownFault says that there is no fault of that name.
func unknownFault(name string) string {
	if name == "" {
		return "the zero Fault is no fault; MustFault gives one by its name"
	}
	var all []string
	for _, f := range Faults() {
		all = append(all, strconv.Quote(f.Name))
	}
	return "there is no fault " + strconv.Quote(name) + "; the nearest are " + nearest(strconv.Quote(name), all, 3)
}

const (
	broken       = moistheat.Broken
	undetermined = moistheat.Undetermined
)

func must(found ...Found) Caused { return Caused{Must: found} }

// onPack makes a fault of the first pack that it fits. The pointers of what it
// causes are relative to the pack.
func onPack(name string, fits func(*load.Pack) bool, do func(r *load.Record, p *load.Pack) Caused) Fault {
	return Fault{name, func(r *load.Record) (Caused, bool) {
		for i := range r.Packs {
			if p := &r.Packs[i]; fits(p) {
				return under(do(r, p), "/packs/"+strconv.Itoa(i)), true
			}
		}
		return Caused{}, false
	}}
}

// onItem makes a fault of the first item that it fits. The pointers of what it
// causes are relative to the item.
func onItem(name string, fits func(*load.Pack, *packaging.Item) bool, do func(*packaging.Item) Caused) Fault {
	return Fault{name, func(r *load.Record) (Caused, bool) {
		for i := range r.Packs {
			for j := range r.Packs[i].Items {
				if it := &r.Packs[i].Items[j]; fits(&r.Packs[i], it) {
					return under(do(it), "/packs/"+strconv.Itoa(i)+"/items/"+strconv.Itoa(j)), true
				}
			}
		}
		return Caused{}, false
	}}
}

// onRecord makes a fault of the record as a whole.
func onRecord(name string, fits func(*load.Record) bool, do func(*load.Record) Caused) Fault {
	return Fault{name, func(r *load.Record) (Caused, bool) {
		if !fits(r) {
			return Caused{}, false
		}
		return do(r), true
	}}
}

// under puts the pointers of what a fault causes under base. One that begins with
// two slashes is of the record already.
func under(c Caused, base string) Caused {
	for i, f := range c.Must {
		if len(f.Pointer) > 1 && f.Pointer[:2] == "//" {
			c.Must[i].Pointer = f.Pointer[1:]
		} else {
			c.Must[i].Pointer = base + f.Pointer
		}
	}
	return c
}

func packed(p *load.Pack) bool                 { return p.Packed() && p.Inside == "" }
func labelled(p *load.Pack) bool               { return p.Label != nil && packed(p) }
func sealed(p *load.Pack) bool                 { return p.Seal != nil }
func pouched(p *load.Pack) bool                { return p.Barrier == packaging.PaperFilmPouch }
func anyItem(*load.Pack, *packaging.Item) bool { return true }

func withTrait(t packaging.Trait) func(*load.Pack, *packaging.Item) bool {
	return func(_ *load.Pack, it *packaging.Item) bool { return it.Has(t) == moistheat.Yes }
}

// indicator returns the first indicator of a pack in a place, or -1.
func indicator(p *load.Pack, at packaging.IndicatorPlace) int {
	return slices.IndexFunc(p.Indicators, func(i packaging.Indicator) bool { return i.Place == at })
}

func hasIndicator(at packaging.IndicatorPlace) func(*load.Pack) bool {
	return func(p *load.Pack) bool { return indicator(p, at) >= 0 }
}

func ran(r *load.Record) bool      { return r.Cycle != nil }
func recorded(r *load.Record) bool { return r.Cycle != nil && r.Cycle.Trace != nil }
func released(r *load.Record) bool {
	return r.Release != nil && r.Cycle != nil && !r.Cycle.Ended.IsZero()
}

// read reports whether the record has one biological test, read as negative.
func read(r *load.Record) bool {
	b := r.Monitors.Biologicals
	return len(b) == 1 && b[0].Result == load.Negative && b[0].Control != nil
}

func implanted(r *load.Record) bool {
	return slices.ContainsFunc(r.Packs, func(p load.Pack) bool { return p.Has(packaging.Implant) == moistheat.Yes })
}

// biological names a finding about the one biological test, and the same about the
// implants that wait for it.
func biological(r *load.Record, rule string, o moistheat.Outcome, implant string) Caused {
	c := Caused{Must: []Found{{rule, "/monitors/biologicals/0", o}}, May: []string{"load.biological.overdue"}}
	if implant != "" && implanted(r) {
		c.Must = append(c.Must, Found{implant, "/monitors/biologicals", o})
	}
	return c
}

// newestTest returns the pointer of the newest test of a kind.
func newestTest(r *load.Record, k load.TestKind) (*load.Test, string) {
	var found *load.Test
	at := ""
	for i := range r.Monitors.Tests {
		t := &r.Monitors.Tests[i]
		if t.Kind == k && (found == nil || t.Time.After(found.Time)) {
			found, at = t, "/monitors/tests/"+strconv.Itoa(i)
		}
	}
	return found, at
}

// pulsed reports whether the tests of the day are about this cycle.
func pulsed(k load.TestKind) func(*load.Record) bool {
	return func(r *load.Record) bool {
		t, _ := newestTest(r, k)
		return t != nil && r.Cycle != nil && r.Cycle.Settings.AirRemoval == moistheat.DynamicAirRemoval
	}
}

// testedToday reports whether the air removal test of the day is about this cycle.
func testedToday(r *load.Record) bool {
	if !pulsed(load.AirRemovalTest)(r) {
		return false
	}
	t, _ := newestTest(r, load.AirRemovalTest)
	return moistheat.DateOf(t.Time) == moistheat.DateOf(r.Cycle.Started.In(t.Time.Location()))
}

// manufacturer returns the row of the capacity table that is the smallest of those
// of the sterilizer's maker for this load, or -1.
func manufacturer(r *load.Record) int {
	found := -1
	for i, row := range r.Sterilizer.Capacity {
		if row.Authority == load.ByManufacturer && row.For == "" && (row.Accessory == "" || row.Accessory == r.Sterilizer.Accessory) &&
			(found < 0 || row.Mass.Compare(r.Sterilizer.Capacity[found].Mass) < 0) {
			found = i
		}
	}
	return found
}

// ofCycle are the rules on the physical record, of which several follow from one
// fault of a recording.
func ofCycle() []string {
	out := []string{"load.fit.instructions"}
	for _, r := range cycle.Rules() {
		out = append(out, r.ID)
	}
	return out
}

// plateau returns the first and the last sample at which every thermometer is at the
// temperature that was set.
func plateau(r *load.Record) (first, last int) {
	first, last = -1, -1
	if !recorded(r) || !r.Cycle.Settings.Temperature.IsValid() {
		return first, last
	}
	set := r.Cycle.Settings.Temperature.Float64(units.Celsius)
	tr := r.Cycle.Trace
	for i := range tr.Time.Values {
		hot := len(tr.Temperatures) > 0
		for _, c := range tr.Temperatures {
			hot = hot && c.Unit == units.Celsius && i < len(c.Values) && c.Values[i] >= set
		}
		if hot {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	return first, last
}

// drop takes the samples from i up to j out of a recording. With shift, what follows
// moves up to close the gap.
func drop(tr *cycle.Trace, i, j int, shift bool) {
	if shift {
		gone := tr.Time.Values[j] - tr.Time.Values[i]
		for k := j; k < len(tr.Time.Values); k++ {
			tr.Time.Values[k] -= gone
		}
	}
	tr.Time.Values = slices.Delete(tr.Time.Values, i, j)
	for k := range tr.Temperatures {
		tr.Temperatures[k].Values = slices.Delete(tr.Temperatures[k].Values, i, j)
	}
	for k := range tr.AbsolutePressures {
		tr.AbsolutePressures[k].Values = slices.Delete(tr.AbsolutePressures[k].Values, i, j)
	}
	for k := range tr.GaugePressures {
		tr.GaugePressures[k].Values = slices.Delete(tr.GaugePressures[k].Values, i, j)
	}
}

// cut takes seconds out of the middle of the plateau, and reports whether there was
// a plateau to take them from.
func cut(r *load.Record, seconds float64, shift bool) bool {
	first, last := plateau(r)
	if first < 0 || r.Cycle.Trace.Time.Unit != units.Second {
		return false
	}
	times := r.Cycle.Trace.Time.Values
	i := first + 2
	j := i
	for j < last && times[j]-times[i] < seconds {
		j++
	}
	if j >= last-1 {
		return false
	}
	drop(r.Cycle.Trace, i, j, shift)
	return true
}

// seconds returns how long the plateau is, sample by sample.
func seconds(r *load.Record) float64 {
	first, last := plateau(r)
	if first < 0 {
		return 0
	}
	return r.Cycle.Trace.Time.Values[last] - r.Cycle.Trace.Time.Values[first]
}

// Faults returns all faults, each with a name of its own.
func Faults() []Fault {
	return slices.Concat(itemFaults(), packFaults(), placeFaults(), cycleFaults(), testFaults(), logFaults())
}

func itemFaults() []Fault {
	return []Fault{
		onItem("close a hinge", withTrait(packaging.Hinged), func(it *packaging.Item) Caused {
			it.Open = moistheat.No
			return must(Found{"packaging.hinge.closed", "/open", broken})
		}),
		onItem("forget whether a hinge was open", withTrait(packaging.Hinged), func(it *packaging.Item) Caused {
			it.Open = moistheat.NotRecorded
			return must(Found{"packaging.hinge.closed", "", undetermined})
		}),
		onItem("skip the cleaning of an item", anyItem, func(it *packaging.Item) Caused {
			it.Preparation.Cleaned = moistheat.No
			return must(Found{"packaging.item.uncleaned", "/preparation/cleaned", broken})
		}),
		onItem("pack an item wet", anyItem, func(it *packaging.Item) Caused {
			it.Preparation.Dry = moistheat.No
			return must(Found{"packaging.item.wet", "/preparation/dry", broken})
		}),
		onItem("skip the inspection of an item", anyItem, func(it *packaging.Item) Caused {
			it.Preparation.Inspected = moistheat.No
			return must(Found{"packaging.item.uninspected", "/preparation/inspected", broken})
		}),
		onItem("pack a single-use item", func(_ *load.Pack, it *packaging.Item) bool {
			return it.Has(packaging.SingleUse) == moistheat.No
		}, func(it *packaging.Item) Caused {
			it.Traits = append(it.Traits, packaging.SingleUse)
			return must(Found{"packaging.item.singleuse", "/traits", broken})
		}),
		onItem("leave an item without its class", func(_ *load.Pack, it *packaging.Item) bool { return it.Class != "" }, func(it *packaging.Item) Caused {
			it.Class = ""
			return Caused{Must: []Found{{"packaging.item.unclassified", "", undetermined}},
				May: []string{"packaging.unwrapped.stored", "packaging.immediate.uncovered"}}
		}),
		onItem("wipe a handpiece instead of cleaning it", withTrait(packaging.Powered), func(it *packaging.Item) Caused {
			it.Preparation.Method = packaging.Wiping
			return Caused{Must: []Found{{"packaging.powered.wiped", "/preparation/method", broken}}, May: []string{"packaging.cleaning.washer", "packaging.cleaning.unrequested"}}
		}),
		onItem("leave the lubricant on", func(_ *load.Pack, it *packaging.Item) bool {
			return it.Preparation.Lubricated == moistheat.Yes
		}, func(it *packaging.Item) Caused {
			it.Preparation.Wiped = moistheat.No
			return must(Found{"packaging.lubricant.excess", "/preparation/wiped", broken})
		}),
		onItem("lose the measure of a lumen", func(_ *load.Pack, it *packaging.Item) bool { return len(it.Lumens) > 0 }, func(it *packaging.Item) Caused {
			it.Lumens[0] = packaging.Lumen{}
			return Caused{Must: []Found{{"packaging.lumen.unmeasured", "/lumens/0", undetermined}}, May: []string{"load.fit.narrow", "load.fit.wide", "load.fit.beyond"}}
		}),
	}
}

func packFaults() []Fault {
	return []Fault{
		onPack("pierce a pack", sealed, func(_ *load.Record, p *load.Pack) Caused {
			p.Seal.Pierced = moistheat.Yes
			return must(Found{"packaging.closure.pierced", "/seal/pierced", broken})
		}),
		onPack("damage a seal", sealed, func(_ *load.Record, p *load.Pack) Caused {
			p.Seal.Intact = moistheat.No
			return must(Found{"packaging.seal.damaged", "/seal/intact", broken})
		}),
		onPack("use a pouch again", pouched, func(_ *load.Record, p *load.Pack) Caused {
			p.Reused = moistheat.Yes
			return must(Found{"packaging.barrier.reused", "/reused", broken})
		}),
		onPack("use packaging that has expired", packed, func(r *load.Record, p *load.Pack) Caused {
			p.Expires = r.Load.Date.AddDays(-1)
			return must(Found{"packaging.barrier.expired", "/expires", broken})
		}),
		onPack("trap air in a pouch", pouched, func(_ *load.Record, p *load.Pack) Caused {
			p.AirExpelled = moistheat.No
			return must(Found{"packaging.air.trapped", "/airExpelled", broken})
		}),
		onPack("use an indicator that has expired", func(p *load.Pack) bool { return len(p.Indicators) > 0 }, func(r *load.Record, p *load.Pack) Caused {
			p.Indicators[0].Expires = r.Load.Date.AddDays(-1)
			return must(Found{"packaging.indicator.void", "/indicators/0/expires", broken})
		}),
		onPack("leave the inside indicator out", hasIndicator(packaging.Internal), func(_ *load.Record, p *load.Pack) Caused {
			p.Indicators = slices.DeleteFunc(p.Indicators, func(i packaging.Indicator) bool { return i.Place == packaging.Internal })
			return Caused{Must: []Found{{"packaging.indicator.internal", "/indicators", broken}},
				May: []string{"packaging.indicator.weak", "packaging.indicator.implant", "packaging.immediate.unindicated", "packaging.indicator.external", "packaging.indicator.process"}}
		}),
		onPack("fail an inside indicator", hasIndicator(packaging.Internal), func(_ *load.Record, p *load.Pack) Caused {
			i := indicator(p, packaging.Internal)
			p.Indicators[i].Result = packaging.NotReached
			return must(Found{"load.indicator.internal", "/indicators/" + strconv.Itoa(i), broken})
		}),
		onPack("leave an outside indicator unchanged", hasIndicator(packaging.External), func(r *load.Record, p *load.Pack) Caused {
			i := indicator(p, packaging.External)
			p.Indicators[i].Result = packaging.NotReached
			c := must(Found{"load.indicator.external", "/indicators/" + strconv.Itoa(i), broken})
			changed := slices.ContainsFunc(r.Packs, func(p load.Pack) bool {
				return slices.ContainsFunc(p.Indicators, func(i packaging.Indicator) bool {
					return i.Place == packaging.External && i.Result == packaging.Reached
				})
			})
			if !changed {
				c.Must = append(c.Must, Found{"load.indicator.noneexternal", "//packs", broken})
			}
			return c
		}),
		onPack("leave an outside indicator unread", hasIndicator(packaging.External), func(r *load.Record, p *load.Pack) Caused {
			i := indicator(p, packaging.External)
			p.Indicators[i].Result = ""
			c := must(Found{"load.indicator.external", "/indicators/" + strconv.Itoa(i), undetermined})
			if r.Release != nil && r.Release.Decision == moistheat.Release {
				c.Must = append(c.Must, Found{"load.release.unread", "//release/decision", broken})
			}
			return c
		}),
		onPack("wet one pack", packed, func(_ *load.Record, p *load.Pack) Caused {
			p.Condition.Dry, p.Condition.Repacked = moistheat.No, moistheat.No // and reprocess it
			return Caused{Must: []Found{{"load.pack.wet", "/condition", broken}}, May: []string{"load.pack.repacked"}}
		}),
		onRecord("wet two packs", func(r *load.Record) bool { return len(r.Packs) > 1 && packed(&r.Packs[0]) && packed(&r.Packs[1]) }, func(r *load.Record) Caused {
			for i := range 2 {
				r.Packs[i].Condition.Dry, r.Packs[i].Condition.Repacked = moistheat.No, moistheat.No
			}
			return Caused{Must: []Found{{"load.pack.wet", "/packs/0/condition", broken}, {"load.pack.wet", "/packs/1/condition", broken}, {"load.pack.wetload", "/packs", broken}},
				May: []string{"load.pack.repacked"}}
		}),
		onPack("tear a pack", packed, func(_ *load.Record, p *load.Pack) Caused {
			p.Condition.Intact = moistheat.No
			return must(Found{"load.pack.damaged", "/condition", broken})
		}),
		onPack("drop a pack", packed, func(_ *load.Record, p *load.Pack) Caused {
			p.Condition.Dropped = moistheat.Yes
			return must(Found{"load.pack.dropped", "/condition", broken})
		}),
		onPack("forget the label", labelled, func(_ *load.Record, p *load.Pack) Caused {
			p.Label = nil
			return must(Found{"packaging.label.incomplete", "", undetermined}, Found{"packaging.label.misplaced", "", undetermined},
				Found{"packaging.label.fading", "", undetermined}, Found{"packaging.label.aftercycle", "", undetermined})
		}),
		onPack("write on the paper over the contents", labelled, func(_ *load.Record, p *load.Pack) Caused {
			p.Label.On = packaging.OnPaper
			return must(Found{"packaging.label.misplaced", "/label/on", broken})
		}),
		onPack("label a pack with another load", labelled, func(_ *load.Record, p *load.Pack) Caused {
			p.Label.Load = "another"
			return must(Found{"load.label.mismatch", "/label/load", broken})
		}),
	}
}

func placeFaults() []Fault {
	return []Fault{
		onPack("let a pack touch the wall", packed, func(_ *load.Record, p *load.Pack) Caused {
			p.Placement.TouchesWall = moistheat.Yes
			return Caused{Must: []Found{{"load.arrangement.wall", "/placement", broken}}, May: []string{"load.wall.close"}}
		}),
		onPack("lay a pouch film down", pouched, func(_ *load.Record, p *load.Pack) Caused {
			p.Placement.Position, p.Placement.FilmSide = load.Flat, load.FilmDown
			return must(Found{"load.arrangement.film", "/placement", broken})
		}),
		onRecord("stack a pack on another", func(r *load.Record) bool { return len(r.Packs) > 1 && pouched(&r.Packs[0]) && packed(&r.Packs[1]) }, func(r *load.Record) Caused {
			r.Packs[0].Placement.StackedOn = r.Packs[1].ID
			return must(Found{"load.arrangement.stacked", "/packs/0/placement/stackedOn", broken})
		}),
		onRecord("stand pouches film to film", func(r *load.Record) bool {
			return len(r.Packs) > 1 && pouched(&r.Packs[0]) && r.Packs[0].Placement.Position == load.OnEdge
		}, func(r *load.Record) Caused {
			r.Packs[0].Placement.FilmSide = load.FilmToFilm
			return must(Found{"load.arrangement.facing", "/packs/0/placement", broken})
		}),
		onRecord("use a solid tray", func(r *load.Record) bool { return r.Arrangement != nil && len(r.Arrangement.Trays) > 0 }, func(r *load.Record) Caused {
			r.Arrangement.Trays[0].Perforated = moistheat.No
			return must(Found{"load.tray.solid", "/arrangement/trays/0", broken})
		}),
		onRecord("fill the chamber", func(r *load.Record) bool { return r.Arrangement != nil }, func(r *load.Record) Caused {
			r.Arrangement.Fill = units.New(100, 0, units.Percent)
			return must(Found{"load.chamber.full", "/arrangement/fill", broken})
		}),
		onRecord("overload the sterilizer", func(r *load.Record) bool {
			return manufacturer(r) >= 0 && slices.ContainsFunc(r.Packs, func(p load.Pack) bool { return p.Mass.IsValid() && p.Inside == "" })
		}, func(r *load.Record) Caused {
			i := manufacturer(r)
			r.Sterilizer.Capacity[i].Mass = units.New(1, 0, units.Gram)
			return must(Found{"load.capacity.over", "/sterilizer/capacity/" + strconv.Itoa(i), broken})
		}),
	}
}

func cycleFaults() []Fault {
	return []Fault{
		onRecord("abort the cycle", ran, func(r *load.Record) Caused {
			r.Cycle.Aborted = moistheat.Yes
			return must(Found{"cycle.aborted", "/cycle/aborted", broken})
		}),
		onRecord("leave an alarm unexplained", ran, func(r *load.Record) Caused {
			r.Cycle.Alarms = append(r.Cycle.Alarms, cycle.Alarm{Text: "door seal pressure low"})
			return must(Found{"cycle.aborted", "/cycle/alarms/" + strconv.Itoa(len(r.Cycle.Alarms)-1), broken})
		}),
		{"cut 20 s from the plateau", func(r *load.Record) (Caused, bool) {
			if r.Cycle == nil || seconds(r)-20 >= r.Cycle.Settings.Hold.Float64(units.Second)-5 || !cut(r, 20, true) {
				return Caused{}, false
			}
			return Caused{Must: []Found{{"cycle.setting.missed", "/cycle/settings", broken}},
				May: []string{"cycle.hold.short", "cycle.hold.margin", "load.fit.instructions"}}, true
		}},
		{"end the hold after two minutes", func(r *load.Record) (Caused, bool) {
			if s := seconds(r); s < 180 || !cut(r, s-120, true) { // three minutes is the least that any table asks for
				return Caused{}, false
			}
			return Caused{Must: []Found{{"cycle.hold.short", "/cycle/trace", broken}},
				May: []string{"cycle.setting.missed", "cycle.hold.margin", "load.fit.instructions"}}, true
		}},
		onRecord("print a hold of two minutes", func(r *load.Record) bool { return ran(r) && r.Cycle.Printed.HoldTime.IsValid() }, func(r *load.Record) Caused {
			r.Cycle.Printed.HoldTime = units.New(120, 0, units.Second)
			return Caused{Must: []Found{{"cycle.hold.short", "/cycle/printed/holdTime", broken}, {"cycle.setting.missed", "/cycle/settings", broken}},
				May: []string{"load.fit.instructions"}}
		}),
		{"lose half a minute of the recording", func(r *load.Record) (Caused, bool) {
			first, _ := plateau(r)
			if !cut(r, 30, false) {
				return Caused{}, false
			}
			return Caused{Must: []Found{{"cycle.trace.gap", "/cycle/trace/time/values/" + strconv.Itoa(first+2), broken}}, May: ofCycle()}, true
		}},
		onRecord("swap gauge and absolute", func(r *load.Record) bool {
			return recorded(r) && len(r.Cycle.Trace.AbsolutePressures) == 1 && r.Cycle.Trace.GaugePressures == nil &&
				r.Cycle.Trace.AbsolutePressures[0].Unit == units.Kilopascal
		}, func(r *load.Record) Caused {
			tr := r.Cycle.Trace
			was := tr.AbsolutePressures[0]
			tr.GaugePressures = []cycle.GaugePressureChannel{{ID: was.ID, Place: was.Place, Unit: units.KilopascalGauge, Values: was.Values}}
			tr.AbsolutePressures = nil
			return Caused{Must: []Found{{"cycle.trace.implausible", "/cycle/trace/gaugePressures/0", broken}}, May: ofCycle()}
		}),
		onRecord("mark Celsius as Fahrenheit", func(r *load.Record) bool {
			return recorded(r) && len(r.Cycle.Trace.Temperatures) > 0 && r.Cycle.Trace.Temperatures[0].Unit == units.Celsius
		}, func(r *load.Record) Caused {
			r.Cycle.Trace.Temperatures[0].Unit = units.Fahrenheit
			return Caused{Must: []Found{{"cycle.trace.implausible", "/cycle/trace/temperatures/0", broken}}, May: ofCycle()}
		}),
		onRecord("lose the pressure", recorded, func(r *load.Record) Caused {
			r.Cycle.Trace.AbsolutePressures, r.Cycle.Trace.GaugePressures = nil, nil
			r.Cycle.Printed.AbsolutePressure, r.Cycle.Printed.GaugePressure = units.AbsolutePressure{}, units.GaugePressure{}
			return Caused{Must: []Found{{"cycle.record.incomplete", "/cycle", undetermined}, {"cycle.saturation.apart", "/cycle/trace", undetermined}}, May: ofCycle()}
		}),
		onRecord("lose the physical record", ran, func(r *load.Record) Caused {
			r.Cycle.Trace, r.Cycle.Printed = nil, cycle.Printed{}
			return Caused{Must: []Found{{"load.physical.missing", "/cycle", broken}}, May: ofCycle()}
		}),
		onRecord("take the physical record of another cycle", func(r *load.Record) bool { return ran(r) && r.Load.Number != "" }, func(r *load.Record) Caused {
			r.Cycle.Number = r.Load.Number + "1"
			return must(Found{"load.physical.mismatch", "/cycle/number", broken})
		}),
		onRecord("run goods in a leak test", ran, func(r *load.Record) Caused {
			r.Cycle.Purpose = load.ForLeakTest
			return must(Found{"load.purpose.unsuited", "/cycle/purpose", broken})
		}),
		onRecord("end before the start", func(r *load.Record) bool { return ran(r) && !r.Cycle.Started.IsZero() }, func(r *load.Record) Caused {
			r.Cycle.Ended = r.Cycle.Started.Add(-time.Second)
			return must(Found{"load.time.order", "/cycle/ended", broken})
		}),
	}
}

func testFaults() []Fault {
	return []Fault{
		onRecord("fail the air removal test", testedToday, func(r *load.Record) Caused {
			t, at := newestTest(r, load.AirRemovalTest)
			t.Passed = moistheat.No
			return must(Found{"load.daily.penetration", at, broken})
		}),
		onRecord("skip the air removal test", testedToday, func(r *load.Record) Caused {
			for i := range r.Monitors.Tests { // they stay in their places, which others point to
				if t := &r.Monitors.Tests[i]; t.Kind == load.AirRemovalTest {
					t.Time = t.Time.AddDate(-1, 0, 0)
				}
			}
			return must(Found{"load.daily.penetration", "/cycle", undetermined})
		}),
		onRecord("fail the leak test", pulsed(load.LeakTest), func(r *load.Record) Caused {
			t, at := newestTest(r, load.LeakTest)
			t.Passed = moistheat.No
			return must(Found{"load.daily.leak", at, broken})
		}),
		onRecord("void the control", read, func(r *load.Record) Caused {
			r.Monitors.Biologicals[0].Control.Result = load.Negative
			return biological(r, "load.biological.void", broken, "load.implant.void")
		}),
		onRecord("grow the spores", read, func(r *load.Record) Caused {
			r.Monitors.Biologicals[0].Result = load.Positive
			return biological(r, "load.biological.positive", broken, "load.implant.pending")
		}),
		onRecord("still incubate the spores", read, func(r *load.Record) Caused {
			r.Monitors.Biologicals[0].Result, r.Monitors.Biologicals[0].Incubated = load.Pending, units.Duration{}
			return biological(r, "load.biological.pending", undetermined, "load.implant.pending")
		}),
		onRecord("read the spores an hour early", func(r *load.Record) bool {
			return read(r) && r.Monitors.Biologicals[0].Readout.Compare(units.New(2, 0, units.Hour)) > 0
		}, func(r *load.Record) Caused {
			b := &r.Monitors.Biologicals[0]
			b.Incubated = units.FromFloat64(b.Readout.Float64(units.Hour)-1, 2, units.Hour)
			c := biological(r, "load.biological.void", broken, "load.implant.void")
			c.Must = append(c.Must, Found{"load.biological.early", "/monitors/biologicals/0", broken})
			return c
		}),
		onRecord("let the biological tests lapse", func(r *load.Record) bool {
			return ran(r) && len(r.Monitors.Biologicals) == 0 && !r.Cycle.Ended.IsZero()
		}, func(r *load.Record) Caused {
			r.Monitors.LastValidBiological = r.Cycle.Ended.AddDate(-2, 0, 0) // no policy waits that long
			return must(Found{"load.biological.overdue", "/monitors/lastValidBiological", broken})
		}),
		{"sterilize an implant without a test", func(r *load.Record) (Caused, bool) {
			if len(r.Monitors.Biologicals) > 0 {
				return Caused{}, false
			}
			for i := range r.Packs {
				for j := range r.Packs[i].Items {
					if it := &r.Packs[i].Items[j]; packed(&r.Packs[i]) && it.Traits != nil && it.Has(packaging.Textile) == moistheat.No {
						it.Traits = append(it.Traits, packaging.Implant)
						return Caused{Must: []Found{{"load.implant.untested", "/packs/" + strconv.Itoa(i), broken}}, May: []string{"packaging.indicator.implant", "packaging.implant.unwrapped"}}, true
					}
				}
			}
			return Caused{}, false
		}},
		onRecord("fail the challenge device", func(r *load.Record) bool { return r.Monitors.Challenge != nil }, func(r *load.Record) Caused {
			r.Monitors.Challenge.Result = packaging.NotReached
			return must(Found{"load.challenge.failed", "/monitors/challenge", broken})
		}),
		onRecord("fill in tap water", func(r *load.Record) bool { return r.Water.Reservoir != nil }, func(r *load.Record) Caused {
			r.Water.Reservoir.Water = water.Untreated
			return must(Found{"water.kind.unfit", "/water/reservoir/water", broken})
		}),
		onRecord("top up the tank", func(r *load.Record) bool { return r.Water.Reservoir != nil }, func(r *load.Record) Caused {
			r.Water.Reservoir.ToppedUp = moistheat.Yes
			return must(Found{"water.reservoir.toppedup", "/water/reservoir/toppedUp", broken})
		}),
		onRecord("leave old water in the tank", func(r *load.Record) bool { return r.Water.Reservoir != nil }, func(r *load.Record) Caused {
			r.Water.Reservoir.Drained = moistheat.No
			return must(Found{"water.reservoir.stale", "/water/reservoir/drained", broken})
		}),
	}
}

func logFaults() []Fault {
	return []Fault{
		onRecord("forget who prepared the load", func(*load.Record) bool { return true }, func(r *load.Record) Caused {
			r.Load.PreparedBy = ""
			return must(Found{"load.preparer.missing", "/load", undetermined})
		}),
		onRecord("lose the load number", func(r *load.Record) bool { return ran(r) && r.Load.Number != "" }, func(r *load.Record) Caused {
			r.Load.Number = ""
			return must(Found{"load.identity.incomplete", "/load", broken}, Found{"load.physical.mismatch", "/cycle", undetermined})
		}),
		onRecord("use one id twice", func(r *load.Record) bool { return len(r.Packs) > 1 }, func(r *load.Record) Caused {
			r.Packs[1].ID = r.Packs[0].ID
			return must(Found{"load.identity.duplicate", "/packs/1/id", broken})
		}),
		onRecord("release before the end", released, func(r *load.Record) Caused {
			r.Release.Time = r.Cycle.Ended.Add(-time.Second)
			return must(Found{"load.release.early", "/release/time", broken})
		}),
		onRecord("release without a name", released, func(r *load.Record) Caused {
			r.Release.By = ""
			return must(Found{"load.releaser.missing", "/release", broken})
		}),
		onRecord("release without authority", released, func(r *load.Record) Caused {
			r.Release.Authorised = moistheat.No
			return must(Found{"load.releaser.unauthorised", "/release", broken})
		}),
	}
}
