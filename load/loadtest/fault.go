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

// Fault is one thing that goes wrong in a clinic, by its name, such as "close a hinge".
// [Faults] has them all; any other fits nothing, and [Try] names those spelt most like it.
type Fault string

// fault is how a Fault changes a record.
type fault struct {
	name   Fault
	inject func(*load.Record) (Effects, bool)
}

// Effects is what a fault brings about. How much of it a report holds is for the
// policy to say: see [Effects.Wanted].
type Effects struct {
	Required []Found  // where their rules are in force
	Allowed  []string // rules of which findings can follow, as the policy asks
}

// Inject changes a record and returns what the fault brings about. It reports false,
// and changes nothing, if the fault does not fit: a hinge cannot be closed where
// there is none, nor in a nil record. Faults can be injected one after the other, as
// far as one does not take away what another one needs or is found by.
//
// What a report of the changed record is to have open is more than Required in some
// places and less in others; [Effects.Wanted] knows.
func (f Fault) Inject(r *load.Record) (Effects, bool) {
	if r != nil {
		for _, known := range faults() {
			if known.name == f {
				return known.inject(r)
			}
		}
	}
	return Effects{}, false
}

// unknownFault says that there is no fault of that name.
func unknownFault(f Fault) string {
	var all []string
	for _, known := range Faults() {
		all = append(all, strconv.Quote(string(known)))
	}
	name := strconv.Quote(string(f))
	return "there is no fault " + name + "; the nearest are " + nearest(name, all, 3)
}

const (
	broken       = moistheat.Broken
	undetermined = moistheat.Undetermined
)

func must(found ...Found) Effects { return Effects{Required: found} }

// onPack makes a fault of the first pack that it fits. The pointers of what it
// causes are relative to the pack.
func onPack(name string, fits func(*load.Pack) bool, do func(r *load.Record, p *load.Pack) Effects) fault {
	return fault{Fault(name), func(r *load.Record) (Effects, bool) {
		for i := range r.Packs {
			if p := &r.Packs[i]; fits(p) {
				return under(do(r, p), "/packs/"+strconv.Itoa(i)), true
			}
		}
		return Effects{}, false
	}}
}

// onItem makes a fault of the first item that it fits. The pointers of what it
// causes are relative to the item.
func onItem(name string, fits func(*load.Pack, *packaging.Item) bool, do func(*packaging.Item) Effects) fault {
	return fault{Fault(name), func(r *load.Record) (Effects, bool) {
		for i := range r.Packs {
			for j := range r.Packs[i].Items {
				if it := &r.Packs[i].Items[j]; fits(&r.Packs[i], it) {
					return under(do(it), "/packs/"+strconv.Itoa(i)+"/items/"+strconv.Itoa(j)), true
				}
			}
		}
		return Effects{}, false
	}}
}

// onRecord makes a fault of the record as a whole.
func onRecord(name string, fits func(*load.Record) bool, do func(*load.Record) Effects) fault {
	return fault{Fault(name), func(r *load.Record) (Effects, bool) {
		if !fits(r) {
			return Effects{}, false
		}
		return do(r), true
	}}
}

// badItem, badPack and badRecord make a fault that causes one finding.
func badItem(name string, fits func(*load.Pack, *packaging.Item) bool, f Found, do func(*packaging.Item)) fault {
	return onItem(name, fits, func(it *packaging.Item) Effects {
		do(it)
		// An item that had no traits is asked about at another place than before.
		return Effects{Required: []Found{f}, Allowed: []string{"packaging.immediate.implant"}}
	})
}

func badPack(name string, fits func(*load.Pack) bool, f Found, do func(*load.Record, *load.Pack)) fault {
	return onPack(name, fits, func(r *load.Record, p *load.Pack) Effects { do(r, p); return must(f) })
}

func badRecord(name string, fits func(*load.Record) bool, f Found, do func(*load.Record)) fault {
	return onRecord(name, fits, func(r *load.Record) Effects { do(r); return must(f) })
}

// under puts the pointers of what a fault causes under base. One that begins with
// two slashes is of the record already.
func under(c Effects, base string) Effects {
	for i, f := range c.Required {
		if len(f.Pointer) > 1 && f.Pointer[:2] == "//" {
			c.Required[i].Pointer = f.Pointer[1:]
		} else {
			c.Required[i].Pointer = base + f.Pointer
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

// biological names a finding about the one biological test, and the same about the
// implants that wait for it.
func biological(r *load.Record, rule string, o moistheat.Outcome, implant string) Effects {
	c := Effects{Required: []Found{{rule, "/monitors/biologicals/0", o}}, Allowed: []string{"load.biological.overdue"}}
	if slices.ContainsFunc(r.Packs, func(p load.Pack) bool { return p.Has(packaging.Implant) == moistheat.Yes }) {
		c.Required = append(c.Required, Found{implant, "/monitors/biologicals", o})
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
// of the sterilizer's manufacturer for this load, or -1.
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

// Faults returns all faults.
func Faults() []Fault {
	var out []Fault
	for _, f := range faults() {
		out = append(out, f.name)
	}
	return out
}

func faults() []fault {
	return slices.Concat(itemFaults(), packFaults(), placeFaults(), cycleFaults(), testFaults(), logFaults())
}

func itemFaults() []fault {
	return []fault{
		badItem("close a hinge", withTrait(packaging.Hinged), Found{"packaging.hinge.closed", "/open", broken},
			func(it *packaging.Item) { it.Open = moistheat.No }),
		badItem("forget whether a hinge was open", withTrait(packaging.Hinged),
			Found{"packaging.hinge.closed", "", undetermined},
			func(it *packaging.Item) { it.Open = moistheat.NotRecorded }),
		badItem("skip the cleaning of an item", anyItem,
			Found{"packaging.item.uncleaned", "/preparation/cleaned", broken},
			func(it *packaging.Item) { it.Preparation.Cleaned = moistheat.No }),
		badItem("pack an item wet", anyItem, Found{"packaging.item.wet", "/preparation/dry", broken},
			func(it *packaging.Item) { it.Preparation.Dry = moistheat.No }),
		badItem("skip the inspection of an item", anyItem,
			Found{"packaging.item.uninspected", "/preparation/inspected", broken},
			func(it *packaging.Item) { it.Preparation.Inspected = moistheat.No }),
		badItem("pack a single-use item", func(_ *load.Pack, it *packaging.Item) bool {
			return it.Has(packaging.SingleUse) == moistheat.No
		}, Found{"packaging.item.singleuse", "/traits", broken},
			func(it *packaging.Item) {
				it.Traits, it.HasTraits = append(it.Traits, packaging.SingleUse), moistheat.Yes
			}),
		onItem("leave an item without its class", func(_ *load.Pack, it *packaging.Item) bool { return it.Class != "" }, func(it *packaging.Item) Effects {
			it.Class = ""
			return Effects{Required: []Found{{"packaging.item.unclassified", "", undetermined}},
				Allowed: []string{"packaging.unwrapped.stored", "packaging.immediate.uncovered", "packaging.cleaning.soaked"}}
		}),
		onItem("wipe a handpiece instead of cleaning it", withTrait(packaging.Powered), func(it *packaging.Item) Effects {
			it.Preparation.Method = packaging.Wiping
			return Effects{Required: []Found{{"packaging.powered.wiped", "/preparation/method", broken}}, Allowed: []string{"packaging.cleaning.washer", "packaging.cleaning.unrequested"}}
		}),
		badItem("leave the lubricant on", func(_ *load.Pack, it *packaging.Item) bool {
			return it.Preparation.Lubricated == moistheat.Yes
		}, Found{"packaging.lubricant.excess", "/preparation/wiped", broken},
			func(it *packaging.Item) { it.Preparation.Wiped = moistheat.No }),
		onItem("lose the measure of a lumen", func(_ *load.Pack, it *packaging.Item) bool { return len(it.Lumens) > 0 }, func(it *packaging.Item) Effects {
			it.Lumens[0] = packaging.Lumen{}
			return Effects{Required: []Found{{"packaging.lumen.unmeasured", "/lumens/0", undetermined}}, Allowed: []string{"load.fit.narrow", "load.fit.wide", "load.fit.beyond"}}
		}),
	}
}

func packFaults() []fault {
	return []fault{
		badPack("pierce a pack", sealed, Found{"packaging.closure.pierced", "/seal/pierced", broken},
			func(_ *load.Record, p *load.Pack) { p.Seal.Pierced = moistheat.Yes }),
		badPack("damage a seal", sealed, Found{"packaging.seal.damaged", "/seal/intact", broken},
			func(_ *load.Record, p *load.Pack) { p.Seal.Intact = moistheat.No }),
		badPack("use a pouch again", pouched, Found{"packaging.barrier.reused", "/reused", broken},
			func(_ *load.Record, p *load.Pack) { p.Reused = moistheat.Yes }),
		badPack("use packaging that has expired", packed, Found{"packaging.barrier.expired", "/expires", broken},
			func(r *load.Record, p *load.Pack) { p.Expires = r.Load.Date.AddDays(-1) }),
		badPack("trap air in a pouch", pouched, Found{"packaging.air.trapped", "/airExpelled", broken},
			func(_ *load.Record, p *load.Pack) { p.AirExpelled = moistheat.No }),
		badPack("use an indicator that has expired", func(p *load.Pack) bool { return len(p.Indicators) > 0 },
			Found{"packaging.indicator.void", "/indicators/0/expires", broken},
			func(r *load.Record, p *load.Pack) { p.Indicators[0].Expires = r.Load.Date.AddDays(-1) }),
		onPack("leave the inside indicator out", hasIndicator(packaging.Internal), func(_ *load.Record, p *load.Pack) Effects {
			p.Indicators = slices.DeleteFunc(p.Indicators, func(i packaging.Indicator) bool { return i.Place == packaging.Internal })
			left, at := broken, "/indicators"
			if len(p.Indicators) == 0 { // an empty list does not say that there is none
				left, at = moistheat.Undetermined, ""
			}
			return Effects{Required: []Found{{"packaging.indicator.internal", at, left}},
				Allowed: []string{"packaging.indicator.weak", "packaging.indicator.implant", "packaging.immediate.unindicated", "packaging.indicator.external", "packaging.indicator.process"}}
		}),
		onPack("fail an inside indicator", hasIndicator(packaging.Internal), func(_ *load.Record, p *load.Pack) Effects {
			i := indicator(p, packaging.Internal)
			p.Indicators[i].Result = packaging.NotReached
			return must(Found{"load.indicator.internal", "/indicators/" + strconv.Itoa(i), broken})
		}),
		onPack("leave an outside indicator unchanged", hasIndicator(packaging.External), func(r *load.Record, p *load.Pack) Effects {
			i := indicator(p, packaging.External)
			p.Indicators[i].Result = packaging.NotReached
			c := must(Found{"load.indicator.external", "/indicators/" + strconv.Itoa(i), broken})
			changed := slices.ContainsFunc(r.Packs, func(p load.Pack) bool {
				return slices.ContainsFunc(p.Indicators, func(i packaging.Indicator) bool {
					return i.Place == packaging.External && i.Result == packaging.Reached
				})
			})
			if !changed {
				c.Required = append(c.Required, Found{"load.indicator.noneexternal", "//packs", broken})
			}
			return c
		}),
		onPack("leave an outside indicator unread", hasIndicator(packaging.External), func(r *load.Record, p *load.Pack) Effects {
			i := indicator(p, packaging.External)
			p.Indicators[i].Result = ""
			c := must(Found{"load.indicator.external", "/indicators/" + strconv.Itoa(i), undetermined})
			if r.Release != nil && r.Release.Decision == moistheat.Release {
				c.Required = append(c.Required, Found{"load.release.unread", "//release/decision", broken})
			}
			return c
		}),
		onPack("wet one pack", packed, func(_ *load.Record, p *load.Pack) Effects {
			p.Condition.Dry, p.Condition.Repacked = moistheat.No, moistheat.No // and reprocess it
			return Effects{Required: []Found{{"load.pack.wet", "/condition", broken}}, Allowed: []string{"load.pack.repacked"}}
		}),
		onRecord("wet two packs", func(r *load.Record) bool { return len(r.Packs) > 1 && packed(&r.Packs[0]) && packed(&r.Packs[1]) }, func(r *load.Record) Effects {
			for i := range 2 {
				r.Packs[i].Condition.Dry, r.Packs[i].Condition.Repacked = moistheat.No, moistheat.No
			}
			return Effects{Required: []Found{{"load.pack.wet", "/packs/0/condition", broken}, {"load.pack.wet", "/packs/1/condition", broken}, {"load.pack.wetload", "/packs", broken}},
				Allowed: []string{"load.pack.repacked"}}
		}),
		badPack("tear a pack", packed, Found{"load.pack.damaged", "/condition", broken},
			func(_ *load.Record, p *load.Pack) { p.Condition.Intact = moistheat.No }),
		badPack("drop a pack", packed, Found{"load.pack.dropped", "/condition", broken},
			func(_ *load.Record, p *load.Pack) { p.Condition.Dropped = moistheat.Yes }),
		onPack("forget the label", labelled, func(_ *load.Record, p *load.Pack) Effects {
			p.Label = nil
			return must(Found{"packaging.label.incomplete", "", undetermined}, Found{"packaging.label.misplaced", "", undetermined},
				Found{"packaging.label.fading", "", undetermined}, Found{"packaging.label.aftercycle", "", undetermined})
		}),
		badPack("write on the paper over the contents", labelled,
			Found{"packaging.label.misplaced", "/label/on", broken},
			func(_ *load.Record, p *load.Pack) { p.Label.On = packaging.OnPaper }),
		badPack("label a pack with another load", labelled, Found{"load.label.mismatch", "/label/load", broken},
			func(_ *load.Record, p *load.Pack) { p.Label.Load = "another" }),
	}
}

func placeFaults() []fault {
	return []fault{
		onPack("let a pack touch the wall", packed, func(_ *load.Record, p *load.Pack) Effects {
			p.Placement.TouchesWall = moistheat.Yes
			return Effects{Required: []Found{{"load.arrangement.wall", "/placement", broken}}, Allowed: []string{"load.wall.close"}}
		}),
		badPack("lay a pouch film down", pouched, Found{"load.arrangement.film", "/placement", broken},
			func(_ *load.Record, p *load.Pack) {
				p.Placement.Position, p.Placement.FilmSide = load.Flat, load.FilmDown
			}),
		badRecord("stack a pack on another", func(r *load.Record) bool { return len(r.Packs) > 1 && pouched(&r.Packs[0]) && packed(&r.Packs[1]) },
			Found{"load.arrangement.stacked", "/packs/0/placement/stackedOn", broken},
			func(r *load.Record) { r.Packs[0].Placement.StackedOn = r.Packs[1].ID }),
		badRecord("stand pouches film to film", func(r *load.Record) bool {
			return len(r.Packs) > 1 && pouched(&r.Packs[0]) && r.Packs[0].Placement.Position == load.OnEdge
		}, Found{"load.arrangement.facing", "/packs/0/placement", broken},
			func(r *load.Record) { r.Packs[0].Placement.FilmSide = load.FilmToFilm }),
		badRecord("use a solid tray", func(r *load.Record) bool { return r.Arrangement != nil && len(r.Arrangement.Trays) > 0 },
			Found{"load.tray.solid", "/arrangement/trays/0", broken},
			func(r *load.Record) { r.Arrangement.Trays[0].Perforated = moistheat.No }),
		badRecord("fill the chamber", func(r *load.Record) bool { return r.Arrangement != nil },
			Found{"load.chamber.full", "/arrangement/fill", broken},
			func(r *load.Record) { r.Arrangement.Fill = units.New(100, 0, units.Percent) }),
		onRecord("overload the sterilizer", func(r *load.Record) bool {
			return manufacturer(r) >= 0 && slices.ContainsFunc(r.Packs, func(p load.Pack) bool { return p.Mass.IsValid() && p.Inside == "" })
		}, func(r *load.Record) Effects {
			i := manufacturer(r)
			r.Sterilizer.Capacity[i].Mass = units.New(1, 0, units.Gram)
			return must(Found{"load.capacity.over", "/sterilizer/capacity/" + strconv.Itoa(i), broken})
		}),
	}
}

func cycleFaults() []fault {
	return []fault{
		badRecord("abort the cycle", ran, Found{"cycle.aborted", "/cycle/aborted", broken},
			func(r *load.Record) { r.Cycle.Aborted = moistheat.Yes }),
		onRecord("leave an alarm unexplained", ran, func(r *load.Record) Effects {
			r.Cycle.Alarms = append(r.Cycle.Alarms, cycle.Alarm{Text: "door seal pressure low"})
			return must(Found{"cycle.aborted", "/cycle/alarms/" + strconv.Itoa(len(r.Cycle.Alarms)-1), broken})
		}),
		{"cut 20 s from the plateau", func(r *load.Record) (Effects, bool) {
			if r.Cycle == nil || seconds(r)-20 >= r.Cycle.Settings.Hold.Float64(units.Second)-5 || !cut(r, 20, true) {
				return Effects{}, false
			}
			return Effects{Required: []Found{{"cycle.setting.missed", "/cycle/settings", broken}},
				Allowed: []string{"cycle.hold.short", "cycle.hold.margin", "load.fit.instructions"}}, true
		}},
		{"end the hold after two minutes", func(r *load.Record) (Effects, bool) {
			if s := seconds(r); s < 180 || !cut(r, s-120, true) { // three minutes is the least that any table asks for
				return Effects{}, false
			}
			return Effects{Required: []Found{{"cycle.setting.missed", "/cycle/settings", broken}},
				Allowed: []string{"cycle.hold.short", "cycle.setting.short", "cycle.hold.margin", "load.fit.instructions"}}, true
		}},
		onRecord("print a hold of two minutes", func(r *load.Record) bool { return ran(r) && r.Cycle.Printed.HoldTime.IsValid() }, func(r *load.Record) Effects {
			r.Cycle.Printed.HoldTime = units.New(120, 0, units.Second)
			return Effects{Required: []Found{{"cycle.setting.missed", "/cycle/settings", broken}},
				Allowed: []string{"cycle.hold.short", "cycle.setting.short", "load.fit.instructions"}}
		}),
		{"lose half a minute of the recording", func(r *load.Record) (Effects, bool) {
			first, _ := plateau(r)
			if !cut(r, 30, false) {
				return Effects{}, false
			}
			return Effects{Required: []Found{{"cycle.trace.gap", "/cycle/trace/time/values/" + strconv.Itoa(first+2), broken}}, Allowed: ofCycle()}, true
		}},
		onRecord("swap gauge and absolute", func(r *load.Record) bool {
			return recorded(r) && len(r.Cycle.Trace.AbsolutePressures) == 1 && r.Cycle.Trace.GaugePressures == nil &&
				r.Cycle.Trace.AbsolutePressures[0].Unit == units.Kilopascal
		}, func(r *load.Record) Effects {
			tr := r.Cycle.Trace
			was := tr.AbsolutePressures[0]
			tr.GaugePressures = []cycle.GaugePressureChannel{{ID: was.ID, Place: was.Place, Unit: units.KilopascalGauge, Values: was.Values}}
			tr.AbsolutePressures = nil
			return Effects{Required: []Found{{"cycle.trace.implausible", "/cycle/trace/gaugePressures/0", broken}}, Allowed: ofCycle()}
		}),
		onRecord("mark Celsius as Fahrenheit", func(r *load.Record) bool {
			return recorded(r) && len(r.Cycle.Trace.Temperatures) > 0 && r.Cycle.Trace.Temperatures[0].Unit == units.Celsius
		}, func(r *load.Record) Effects {
			r.Cycle.Trace.Temperatures[0].Unit = units.Fahrenheit
			return Effects{Required: []Found{{"cycle.trace.implausible", "/cycle/trace/temperatures/0", broken}}, Allowed: ofCycle()}
		}),
		onRecord("lose the pressure", recorded, func(r *load.Record) Effects {
			r.Cycle.Trace.AbsolutePressures, r.Cycle.Trace.GaugePressures = nil, nil
			r.Cycle.Printed.AbsolutePressure, r.Cycle.Printed.GaugePressure = units.AbsolutePressure{}, units.GaugePressure{}
			return Effects{Required: []Found{{"cycle.record.incomplete", "/cycle", undetermined}, {"cycle.saturation.apart", "/cycle/trace", undetermined}}, Allowed: ofCycle()}
		}),
		onRecord("lose the physical record", ran, func(r *load.Record) Effects {
			r.Cycle.Trace, r.Cycle.Printed = nil, cycle.Printed{}
			return Effects{Required: []Found{{"load.physical.missing", "/cycle", broken}}, Allowed: ofCycle()}
		}),
		badRecord("take the physical record of another cycle", func(r *load.Record) bool { return ran(r) && r.Load.Number != "" },
			Found{"load.physical.mismatch", "/cycle/number", broken},
			func(r *load.Record) {
				r.Load.Cycle = r.Load.Number // else it may be that of the day
				r.Cycle.Number = r.Load.Cycle + "1"
			}),
		badRecord("run items in a leak test", ran, Found{"load.purpose.unsuited", "/cycle/purpose", broken},
			func(r *load.Record) { r.Cycle.Purpose = load.ForLeakTest }),
		onRecord("end before the start", func(r *load.Record) bool { return ran(r) && !r.Cycle.Started.IsZero() }, func(r *load.Record) Effects {
			r.Cycle.Ended = r.Cycle.Started.Add(-time.Second)
			return Effects{Required: []Found{{"load.time.order", "/cycle/ended", broken}},
				Allowed: []string{"cycle.duration.short", "cycle.trace.outside"}}
		}),
	}
}

func testFaults() []fault {
	return []fault{
		onRecord("fail the air removal test", testedToday, func(r *load.Record) Effects {
			t, at := newestTest(r, load.AirRemovalTest)
			t.Passed = moistheat.No
			return must(Found{"load.daily.penetration", at, broken})
		}),
		onRecord("skip the air removal test", testedToday, func(r *load.Record) Effects {
			for i := range r.Monitors.Tests { // they stay in their places, which others point to
				if t := &r.Monitors.Tests[i]; t.Kind == load.AirRemovalTest {
					t.Time = t.Time.AddDate(-1, 0, 0)
				}
			}
			return must(Found{"load.daily.penetration", "/cycle", undetermined})
		}),
		onRecord("fail the leak test", pulsed(load.LeakTest), func(r *load.Record) Effects {
			t, at := newestTest(r, load.LeakTest)
			t.Passed = moistheat.No
			return must(Found{"load.daily.leak", at, broken})
		}),
		onRecord("void the control", read, func(r *load.Record) Effects {
			r.Monitors.Biologicals[0].Control.Result = load.Negative
			return biological(r, "load.biological.void", broken, "load.implant.void")
		}),
		onRecord("grow the spores", read, func(r *load.Record) Effects {
			r.Monitors.Biologicals[0].Result = load.Positive
			return biological(r, "load.biological.positive", broken, "load.implant.pending")
		}),
		onRecord("still incubate the spores", read, func(r *load.Record) Effects {
			r.Monitors.Biologicals[0].Result, r.Monitors.Biologicals[0].Incubated = load.Pending, units.Duration{}
			c := biological(r, "load.biological.pending", undetermined, "load.implant.pending")
			c.Allowed = append(c.Allowed, "load.implant.early")
			return c
		}),
		onRecord("read the spores an hour early", func(r *load.Record) bool {
			return read(r) && r.Monitors.Biologicals[0].Readout.Compare(units.New(2, 0, units.Hour)) > 0
		}, func(r *load.Record) Effects {
			b := &r.Monitors.Biologicals[0]
			b.Incubated = units.FromFloat64(b.Readout.Float64(units.Hour)-1, 2, units.Hour)
			c := biological(r, "load.biological.void", broken, "load.implant.void")
			c.Required = append(c.Required, Found{"load.biological.early", "/monitors/biologicals/0", broken})
			return c
		}),
		onRecord("let the biological tests lapse", func(r *load.Record) bool {
			return ran(r) && len(r.Monitors.Biologicals) == 0 && !r.Cycle.Ended.IsZero()
		}, func(r *load.Record) Effects {
			r.Monitors.LastValidBiological = r.Cycle.Ended.AddDate(-2, 0, 0) // no policy waits that long
			return must(Found{"load.biological.overdue", "/monitors/lastValidBiological", broken})
		}),
		{"sterilize an implant without a test", func(r *load.Record) (Effects, bool) {
			if len(r.Monitors.Biologicals) > 0 {
				return Effects{}, false
			}
			for i := range r.Packs {
				for j := range r.Packs[i].Items {
					if it := &r.Packs[i].Items[j]; packed(&r.Packs[i]) && it.Has(packaging.Textile) == moistheat.No {
						it.Traits, it.HasTraits = append(it.Traits, packaging.Implant), moistheat.Yes
						return Effects{Required: []Found{{"load.implant.untested", "/packs/" + strconv.Itoa(i), undetermined}}, Allowed: []string{
							"load.implant.unintegrated",
							"packaging.indicator.implant", "packaging.implant.unwrapped", "packaging.item.singleuse"}}, true
					}
				}
			}
			return Effects{}, false
		}},
		badRecord("fail the challenge device", func(r *load.Record) bool { return r.Monitors.Challenge != nil },
			Found{"load.challenge.failed", "/monitors/challenge", broken},
			func(r *load.Record) { r.Monitors.Challenge.Result = packaging.NotReached }),
		badRecord("fill in tap water", func(r *load.Record) bool { return r.Water.Reservoir != nil },
			Found{"water.kind.unfit", "/water/reservoir/water", broken},
			func(r *load.Record) { r.Water.Reservoir.Water = water.Untreated }),
		badRecord("top up the tank", func(r *load.Record) bool { return r.Water.Reservoir != nil },
			Found{"water.reservoir.toppedup", "/water/reservoir/toppedUp", broken},
			func(r *load.Record) { r.Water.Reservoir.ToppedUp = moistheat.Yes }),
		badRecord("leave old water in the tank", func(r *load.Record) bool { return r.Water.Reservoir != nil },
			Found{"water.reservoir.stale", "/water/reservoir/drained", broken},
			func(r *load.Record) { r.Water.Reservoir.Drained = moistheat.No }),
	}
}

func logFaults() []fault {
	return []fault{
		badRecord("forget who prepared the load", func(*load.Record) bool { return true },
			Found{"load.preparer.missing", "/load", undetermined},
			func(r *load.Record) { r.Load.PreparedBy = "" }),
		onRecord("lose the load number", func(r *load.Record) bool { return ran(r) && r.Load.Number != "" }, func(r *load.Record) Effects {
			r.Load.Number = ""
			return Effects{Required: []Found{{"load.identity.incomplete", "/load", broken}},
				Allowed: []string{"load.physical.mismatch"}} // unless a label has the number of the cycle
		}),
		badRecord("use one id twice", func(r *load.Record) bool { return len(r.Packs) > 1 },
			Found{"load.identity.duplicate", "/packs/1/id", broken},
			func(r *load.Record) { r.Packs[1].ID = r.Packs[0].ID }),
		onRecord("release before the end", released, func(r *load.Record) Effects {
			r.Release.Time = r.Cycle.Ended.Add(-time.Second)
			return Effects{Required: []Found{{"load.release.early", "/release/time", broken}}, Allowed: []string{"load.implant.early"}}
		}),
		onRecord("release without a name", released, func(r *load.Record) Effects {
			r.Release.By = ""
			return Effects{Required: []Found{{"load.releaser.missing", "/release", broken}},
				Allowed: []string{"load.staff.apart"}}
		}),
		badRecord("release without authority", released, Found{"load.releaser.unauthorised", "/release", broken},
			func(r *load.Record) { r.Release.Authorised = moistheat.No }),
	}
}
