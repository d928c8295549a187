package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/examples/checkload/clinic"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/proof"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// story writes what the invented clinic keeps, day by day, to a log. Every day the sealer and the
// washer-disinfector are inspected, and two loads of three packs are washed, packed and run; each
// pack is used on a patient two weeks later.
type story struct {
	file  *logFile
	cycle int     // number of the last one
	loads []lot   // whose packs are in store
	later []entry // what is known later, by its time

	washing []func(*cleaning.Batch) // what happens when the next load is washed
	err     error
}

// entry is a document, and when it is entered.
type entry struct {
	at  time.Time
	doc any
}

// lot is a load whose packs are in store.
type lot struct {
	record string
	day    moistheat.Date
	packs  []string
}

// zone is that of the clinic; it keeps one time all year.
var zone = time.FixedZone("", 3600)

func clock(day moistheat.Date, hour, minute int) time.Time {
	y, m, d := day.Date()
	return time.Date(y, m, d, hour, minute, 0, 0, zone)
}

// keep adds a document at the time at which it is entered, behind all that is entered before.
func (s *story) keep(at time.Time, doc any) {
	for len(s.later) > 0 && !s.later[0].at.After(at) {
		e := s.later[0]
		s.later = s.later[1:]
		s.add(e)
	}
	s.add(entry{at, doc})
}

func (s *story) add(e entry) {
	if s.err != nil {
		return
	}
	data, raw := e.doc.([]byte)
	if !raw {
		if data, s.err = json.Marshal(e.doc); s.err != nil {
			return
		}
	}
	s.err = s.file.end.Append(s.file, e.at, data)
}

// event adds an event of the sterilizer.
func (s *story) event(kind calendar.EventKind, at time.Time, passed moistheat.Answer, edits ...func(*history.Event)) {
	id := fmt.Sprintf("%s %s", kind, at.Format("2006-01-02 15:04"))
	e := &history.Event{Format: history.EventFormat, ID: id, Sterilizer: "S1", Kind: kind, Time: at, Passed: passed,
		By: "C. Dorn"}
	if calendar.IsTest(kind) && kind != calendar.RequalificationEvent && kind != calendar.CalibrationEvent {
		s.cycle++
		e.Number = fmt.Sprint(s.cycle)
		e.Settings.AirRemoval = moistheat.DynamicAirRemoval
		e.Settings.Temperature = units.MustParse[units.TemperatureUnit]("134 Cel")
		e.Chamber = calendar.EmptyChamber
		if kind == calendar.AirRemovalEvent {
			e.Settings.Hold = units.MustParse[units.DurationUnit]("215 s")
		}
	}
	for _, edit := range edits {
		edit(e)
	}
	if e.Biological != nil { // it is read a day later
		s.later = append(s.later, entry{at.Add(24*time.Hour + 5*time.Minute), e})
		return
	}
	s.keep(at.Add(5*time.Minute), e)
}

// device adds an event of another machine.
func (s *story) device(id string, kind calendar.EventKind, at time.Time, passed moistheat.Answer) {
	s.keep(at.Add(5*time.Minute), &history.Event{Format: history.EventFormat,
		ID: fmt.Sprintf("%s %s %s", id, kind, at.Format("2006-01-02 15:04")), Device: id,
		DeviceKind: map[string]calendar.Device{"sealer": calendar.Sealer, "WD": calendar.WasherDisinfector}[id],
		Kind:       kind, Time: at, Passed: passed, By: "C. Dorn"})
}

// wash cleans three nail sets before a load, in a cycle whose A0 is 3,366 s at the coldest sensor:
// 300 s at 90.5 °C, or 10 to the power of 1.05 times that at 80 °C.
func (s *story) wash(began time.Time, edits ...func(*cleaning.Batch)) (id string) {
	ended := began.Add(-45 * time.Minute)
	log := &cycle.Trace{}
	log.Time.Unit, log.Time.Values = units.Minute, []float64{0, 1, 2, 3, 4, 5}
	for i, celsius := range []float64{91.2, 90.5} {
		c := cycle.TemperatureChannel{ID: fmt.Sprint(i + 1), Place: cycle.Chamber, Unit: units.Celsius,
			Accuracy: units.MustParse[units.TemperatureDifferenceUnit]("0.1 K")}
		for range log.Time.Values {
			c.Values = append(c.Values, celsius+float64(24*began.YearDay()+began.Hour())/1e5) // no two logs are the same
		}
		log.Temperatures = append(log.Temperatures, c)
	}
	b := &cleaning.Batch{Format: cleaning.Format, ID: "W-" + began.Format("0102-15"), Kind: packaging.WasherDisinfector,
		Device: "WD", Operator: "C. Dorn", Started: ended.Add(-40 * time.Minute), Ended: ended, Aborted: moistheat.No,
		Probes: 2, Trace: log, Carried: []cleaning.Carried{{ID: "nail set", Class: packaging.Critical,
			Used: ended.Add(-15 * time.Hour), Moist: moistheat.Yes, ExcludesAny: moistheat.No}}}
	for _, edit := range edits {
		edit(b)
	}
	s.keep(ended.Add(5*time.Minute), b)
	return b.ID
}

// morning runs the tests that come before the first load.
func (s *story) morning(day moistheat.Date) {
	s.machines(day, moistheat.Yes)
	if day.Time().Weekday() == time.Monday {
		s.event(calendar.LeakEvent, clock(day, 7, 10), moistheat.Yes, func(e *history.Event) {
			e.LeakRate = units.MustParse[units.PressureRateUnit]("0.04 kPa/min")
		})
	}
	s.event(calendar.AirRemovalEvent, clock(day, 7, 40), moistheat.Yes)
	if _, _, d := day.Date(); d <= 7 && day.Time().Weekday() == time.Tuesday { // each month
		s.event(calendar.BiologicalTestEvent, clock(day, 8, 20), moistheat.NotRecorded, spores(load.Negative))
	}
}

// machines looks at the washer-disinfector and the sealer, which makes a seal that is inspected.
func (s *story) machines(day moistheat.Date, sealed moistheat.Answer) {
	s.device("WD", calendar.InspectionEvent, clock(day, 6, 50), moistheat.Yes)
	s.device("sealer", calendar.SealCheckEvent, clock(day, 6, 55), sealed)
	if day.Time().Weekday() == time.Monday {
		s.device("sealer", calendar.PeelEvent, clock(day, 7, 0), moistheat.Yes)
		s.device("WD", calendar.ProteinEvent, clock(day, 7, 5), moistheat.Yes)
	}
	if _, m, d := day.Date(); d <= 7 && day.Time().Weekday() == time.Wednesday && m%2 == 1 {
		s.device("WD", calendar.AutomaticControlTestEvent, clock(day, 7, 0), moistheat.Yes)
	}
}

// load runs a load of three packs and puts those that were released in store.
func (s *story) load(day moistheat.Date, hour int, edits ...func(*load.Record)) {
	if s.err != nil {
		return
	}
	r, err := load.Decode(clinic.Load())
	if err != nil {
		s.err = err
		return
	}
	s.cycle++
	number, began := fmt.Sprint(s.cycle), clock(day, hour, 0)
	washed := s.wash(began, s.washing...)
	s.washing = nil
	r.ID = fmt.Sprintf("%s-%s", day, number)
	r.Load.Number, r.Load.Date = number, day
	shift := began.Sub(r.Cycle.Started)
	r.Cycle.Number, r.Cycle.Started, r.Cycle.Ended = number, began, r.Cycle.Ended.Add(shift)
	r.Unloading.Time, r.Release.Time = r.Unloading.Time.Add(shift), r.Release.Time.Add(shift)
	r.Monitors.Tests, r.Monitors.LastValidBiological = nil, time.Time{}
	prep := &r.AllPacks.Preparation
	prep.Method, prep.Device, prep.WasherLoad = packaging.WasherDisinfector, "WD", washed
	l := r.AllPacks.Label
	l.Cycle, l.Load, l.Date = number, number, day
	in := lot{record: r.ID, day: day}
	for i := range r.Packs {
		r.Packs[i].ID = fmt.Sprintf("%s-%d", number, i+1)
	}
	for _, edit := range edits {
		edit(r)
	}
	if r.Release.Decision == moistheat.Release {
		for _, p := range r.Packs {
			in.packs = append(in.packs, p.ID)
		}
		s.loads = append(s.loads, in)
	}
	s.keep(r.Release.Time.Add(5*time.Minute), r)
}

// use uses the packs of the oldest load in store, each on a patient.
func (s *story) use(day moistheat.Date) {
	if len(s.loads) == 0 || s.loads[0].day.AddDays(14).Compare(day) > 0 {
		return
	}
	in := s.loads[0]
	s.loads = s.loads[1:]
	for i, pack := range in.packs {
		at := clock(day, 9+i, 20)
		s.keep(at.Add(10*time.Minute), &history.StoredPack{Format: history.StoredFormat, Pack: pack, Record: in.record,
			Sterilized: in.day, Wrapped: moistheat.Yes, Layers: 1, Place: calendar.ProtectedPlace,
			Dry: moistheat.Yes, Intact: moistheat.Yes,
			Dropped: moistheat.No, LaidOut: moistheat.No,
			Use: &history.Use{Time: at, Patient: "HS-" + fmt.Sprint(2000+s.cycle*3+i),
				IndicatorRead: moistheat.Yes, LoadNoted: moistheat.Yes, By: "R. Okafor"}})
	}
}

// open reports whether the clinic sees patients on a day: from Monday to Friday, and not in
// the two weeks of August in which it is closed.
func open(day moistheat.Date) bool {
	_, m, d := day.Date()
	weekday := day.Time().Weekday()
	return weekday != time.Saturday && weekday != time.Sunday && (m != time.August || d < 3 || d > 16)
}

// tell runs the clinic from a day on to another, and does on a day what it is told.
func tell(from, until moistheat.Date, said map[moistheat.Date]func(*story, moistheat.Date)) (*logFile, error) {
	s := &story{file: &logFile{}}
	s.keep(clock(from, 6, 30), clinic.Catalogue())
	s.event(calendar.RequalificationEvent, clock(from, 6, 40), moistheat.Yes)
	s.event(calendar.CalibrationEvent, clock(from, 6, 50), moistheat.Yes)
	s.device("WD", calendar.RequalificationEvent, clock(from, 6, 40), moistheat.Yes)
	s.device("sealer", calendar.RequalificationEvent, clock(from, 6, 40), moistheat.Yes)
	s.device("WD", calendar.AutomaticControlTestEvent, clock(from, 6, 45), moistheat.Yes)
	for day := from; day.Compare(until) <= 0; day = day.AddDays(1) {
		switch do := said[day]; {
		case !open(day):
		case do != nil:
			do(s, day)
		default:
			s.day(day)
		}
	}
	for _, e := range s.later {
		s.add(e)
	}
	return s.file, s.err
}

// day is one on which nothing happens.
func (s *story) day(day moistheat.Date) {
	s.morning(day)
	s.load(day, 9)
	s.load(day, 14)
	s.use(day)
	s.use(day)
}

// goodYear is a year in which all was done that is asked.
func goodYear() (*logFile, error) {
	return tell(moistheat.NewDate(2026, time.January, 5), moistheat.NewDate(2026, time.December, 18), nil)
}

// logFile is a log in memory, written from its beginning.
type logFile struct {
	bytes.Reader // of nothing
	data         []byte
	end          proof.Log
}

func (f *logFile) Write(p []byte) (int, error) {
	f.data = append(f.data, p...)
	return len(p), nil
}

// Seek says how long the file is; it is not read while it is written.
func (f *logFile) Seek(int64, int) (int64, error) { return int64(len(f.data)), nil }

// badQuarter is a quarter in which much goes wrong, and most of it is noticed.
func badQuarter() (*logFile, error) {
	on := func(m time.Month, d int) moistheat.Date { return moistheat.NewDate(2026, m, d) }
	return tell(on(time.January, 5), on(time.March, 31), map[moistheat.Date]func(*story, moistheat.Date){
		// The air removal test fails, is seen only after a load, and passes after a repair.
		on(time.January, 19): func(s *story, day moistheat.Date) {
			s.machines(day, moistheat.Yes)
			s.event(calendar.LeakEvent, clock(day, 7, 10), moistheat.Yes, leaks("0.05 kPa/min"))
			s.event(calendar.AirRemovalEvent, clock(day, 7, 40), moistheat.No)
			s.load(day, 9)
			s.event(calendar.RepairedEvent, clock(day, 15, 0), moistheat.NotRecorded, note("door gasket replaced"))
			s.event(calendar.LeakEvent, clock(day, 15, 30), moistheat.Yes, leaks("0.03 kPa/min"))
			s.event(calendar.AirRemovalEvent, clock(day, 16, 10), moistheat.Yes)
			s.event(calendar.RequalificationEvent, clock(day, 17, 0), moistheat.Yes)
		},
		// The holding time is short, and the load is released all the same.
		on(time.February, 3): func(s *story, day moistheat.Date) {
			s.morning(day)
			s.load(day, 9, func(r *load.Record) {
				r.Cycle.Printed.HoldTime = units.MustParse[units.DurationUnit]("162 s")
			})
			s.load(day, 14)
			s.use(day)
		},
		on(time.February, 5): func(s *story, day moistheat.Date) {
			s.day(day)
			s.event(calendar.ExplainedEvent, clock(day, 16, 0), moistheat.NotRecorded, note("door opened in the holding time"))
		},
		// One pouch is wet. The load is released without it.
		on(time.February, 11): func(s *story, day moistheat.Date) {
			s.morning(day)
			s.load(day, 9, func(r *load.Record) { r.Packs[1].Condition.Dry = moistheat.No })
			s.load(day, 14)
			s.use(day)
		},
		// The power fails in the cycle. The load is not released.
		on(time.February, 17): func(s *story, day moistheat.Date) {
			s.morning(day)
			s.load(day, 9, func(r *load.Record) {
				r.Cycle.Aborted = moistheat.Yes
				r.Release.Decision = moistheat.Reject
			})
			s.event(calendar.ExplainedEvent, clock(day, 10, 30), moistheat.NotRecorded, note("power cut in the street"))
			s.load(day, 14)
			s.use(day)
		},
		on(time.February, 24): coldWasher, on(time.March, 10): openSeal,
		// The test of the morning is forgotten.
		on(time.March, 4): func(s *story, day moistheat.Date) {
			s.machines(day, moistheat.Yes)
			s.load(day, 9)
			s.load(day, 14)
			s.use(day)
		},
		// A person releases who is not on the list.
		on(time.March, 12): func(s *story, day moistheat.Date) {
			s.morning(day)
			s.load(day, 9, func(r *load.Record) { r.Release.By = "A. Temp" })
			s.load(day, 14)
			s.use(day)
		},
		// A biological indicator test is positive.
		on(time.March, 24): func(s *story, day moistheat.Date) {
			s.morning(day)
			s.load(day, 9)
			s.event(calendar.BiologicalTestEvent, clock(day, 12, 0), moistheat.NotRecorded, spores(load.Positive))
			s.load(day, 14)
			s.use(day)
		},
		// The sterilizer stands still until it is repaired and tested.
		on(time.March, 25): rest, on(time.March, 26): rest,
		on(time.March, 27): func(s *story, day moistheat.Date) {
			s.event(calendar.RepairedEvent, clock(day, 9, 0), moistheat.NotRecorded, note("steam valve replaced"))
			for i := range 3 {
				s.event(calendar.AirRemovalEvent, clock(day, 10+2*i, 0), moistheat.Yes)
				s.event(calendar.BiologicalTestEvent, clock(day, 11+2*i, 0), moistheat.NotRecorded, spores(load.Negative), empty)
			}
			s.event(calendar.RequalificationEvent, clock(day, 17, 0), moistheat.Yes)
		},
	})
}

// rest is a day on which the sterilizer is not used.
func rest(*story, moistheat.Date) {}

func empty(e *history.Event) { e.Chamber = calendar.EmptyChamber }

func leaks(rate string) func(*history.Event) {
	return func(e *history.Event) { e.LeakRate = units.MustParse[units.PressureRateUnit](rate) }
}

func note(text string) func(*history.Event) { return func(e *history.Event) { e.Note = text } }

// spores is a biological indicator with its control, read after a day.
func spores(result load.Growth) func(*history.Event) {
	return func(e *history.Event) {
		day := units.MustParse[units.DurationUnit]("24 h")
		e.Biological = &load.Biological{Lot: "B-7", Expires: moistheat.NewDate(2026, time.December, 31),
			Temperature: units.MustParse[units.TemperatureUnit]("57 Cel"), Incubated: day,
			Readout: day, Result: result, Suited: moistheat.Yes, Enclosed: moistheat.Yes,
			Control: &load.Control{Lot: "B-7", Result: load.Positive}}
		e.Physical, e.Chemical, e.Chamber = moistheat.Yes, moistheat.Yes, calendar.FullChamber
	}
}

// coldWasher is a day on which the lower spray arm of the washer-disinfector is blocked: its display
// shows 3,000, and the colder sensor ran at 82 °C. Nothing that the sterilizer prints shows it.
func coldWasher(s *story, day moistheat.Date) {
	s.morning(day)
	s.washing = append(s.washing, func(b *cleaning.Batch) {
		b.Printed.A0 = units.MustParse[units.RatioUnit]("3000 1")
		for i := range b.Trace.Temperatures[1].Values {
			b.Trace.Temperatures[1].Values[i] = 82
		}
	})
	s.load(day, 9)
	s.load(day, 14)
	s.use(day)
}

// openSeal is a day on which the seal of the morning has a channel, and packs are sealed all the same
// until a new wire is in.
func openSeal(s *story, day moistheat.Date) {
	s.morning(day)
	s.device("sealer", calendar.SealCheckEvent, clock(day, 8, 0), moistheat.No)
	s.load(day, 9)
	s.device("sealer", calendar.SealCheckEvent, clock(day, 12, 0), moistheat.Yes)
	s.load(day, 14)
	s.use(day)
}
