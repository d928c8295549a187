package water

import (
	"cmp"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/units"
)

// CheckReservoir judges the upkeep of the tank at the start of a cycle. The day is
// that of the cycle's own time zone. Pointers are relative to the reservoir. A nil
// reservoir, as of a sterilizer fed from a pipe, gives rules that do not apply.
func CheckReservoir(r *Reservoir, cycle time.Time) []moistheat.Finding {
	l := book.List(make([]moistheat.Finding, 0, 8))
	if r == nil {
		for _, rule := range []ask.ID{kindUnfit, reservoirStale, reservoirUncleaned, reservoirToppedup, reservoirOvernight} {
			l.Skip(rule, "")
		}
		return l.Findings
	}
	checkKind(&l, r.Water, "/water")
	checkStale(&l, r, cycle)
	l.Answer(reservoirUncleaned, r.Cleaned, moistheat.Yes, "/cleaned")
	l.Answer(reservoirToppedup, r.ToppedUp, moistheat.No, "/toppedUp")
	l.Answer(reservoirOvernight, r.EmptyNight, moistheat.Yes, "/emptyNight")
	return l.Findings
}

// checkStale takes the worst of what was recorded: answers and instants.
func checkStale(l *ask.List, r *Reservoir, cycle time.Time) {
	broken := func(pointer, reason string) {
		ask.With(l.Add(reservoirStale, moistheat.Broken, pointer), "reason", reason)
	}
	ask := func(pointer, reason string) {
		ask.With(l.Add(reservoirStale, moistheat.Undetermined, pointer), "reason", reason)
	}
	filled := !r.LastFilled.IsZero() && !cycle.IsZero()
	switch {
	case r.Drained == moistheat.No:
		broken("/drained", "it was not drained")
	case r.Refilled == moistheat.No:
		broken("/refilled", "it was not refilled")
	case filled && r.LastFilled.After(cycle):
		ask("/lastFilled", "the newest recorded filling is later than the cycle")
	case filled && !sameDay(r.LastFilled, cycle):
		broken("/lastFilled", "it was last filled on "+r.LastFilled.In(cycle.Location()).Format(time.DateOnly))
	case !r.LastDrained.IsZero() && !r.LastFilled.IsZero() && r.LastDrained.After(r.LastFilled):
		ask("/lastDrained", "the newest recorded draining is later than the newest filling")
	case r.Drained == moistheat.NotRecorded && r.LastDrained.IsZero():
		ask("/drained", "it is not recorded whether it was drained")
	case r.Refilled == moistheat.NotRecorded && !filled:
		ask("/refilled", "it is not recorded whether it was refilled")
	default:
		l.Add(reservoirStale, moistheat.Met, "/refilled")
	}
}

func sameDay(a, b time.Time) bool {
	ay, am, ad := a.In(b.Location()).Date()
	by, bm, bd := b.Date()
	return ay == by && am == bm && ad == bd
}

func checkKind(l *ask.List, t Treatment, pointer string) {
	switch t {
	case Distilled, Deionised, ReverseOsmosis, Sterile:
		l.Add(kindUnfit, moistheat.Met, pointer)
	case Untreated:
		ask.With(l.Add(kindUnfit, moistheat.Broken, pointer), "kind", "untreated tap water")
	case Softened:
		ask.With(l.Add(kindUnfit, moistheat.Broken, pointer), "kind", "softened")
	case OtherTreatment:
		l.Add(kindUnfit, moistheat.Undetermined, pointer)
	default:
		l.Add(kindUnfit, moistheat.Undetermined, pointer)
	}
}

// CheckSampling judges what does not depend on a document: whether the kind of
// water suits its use, whether the meters had been checked, and how the sample was
// taken. Pointers are relative to the sample. A nil sample is one of which nothing is
// recorded.
func CheckSampling(s *Sample) []moistheat.Finding {
	s = cmp.Or(s, &Sample{})
	l := book.List(make([]moistheat.Finding, 0, 8))
	if s.Point == TreatedFeed || s.Point == ReservoirWater {
		checkKind(&l, s.Treatment, "/treatment")
	} else {
		l.Skip(kindUnfit, "/treatment")
	}
	for d := Conductivity; d <= Turbidity; d++ {
		if m, method, ok := s.meter(d); ok && (method == MeterMethod || method == Pen || m != nil) {
			pointer := "/" + d.String() + "/meter/lastCheck"
			switch {
			case m == nil || m.LastCheck.IsZero():
				l.Add(meterUnchecked, moistheat.Undetermined, pointer)
			default:
				l.Add(meterUnchecked, ask.If(m.LastCheck.After(s.Time)), pointer)
			}
		} else if ok {
			l.Skip(meterUnchecked, "/"+d.String())
		}
	}
	sampled := s.Sampling
	if sampled == nil {
		sampled = &Sampling{}
	}
	checkBottle(&l, s, sampled)
	germs, chemistry := s.Bacteria != nil, s.measuredOtherThanGerms()
	switch {
	case germs && chemistry:
		l.Add(sampleRinsed, moistheat.Undetermined, "/sampling/rinsed")
	case germs:
		f := l.Answer(sampleRinsed, sampled.Rinsed, moistheat.No, "/sampling/rinsed")
		ask.With(f, "how", "rinsed before a sample for germs was taken")
	case chemistry:
		f := l.Answer(sampleRinsed, sampled.Rinsed, moistheat.Yes, "/sampling/rinsed")
		ask.With(f, "how", "not rinsed with the water to be tested")
	default:
		l.Skip(sampleRinsed, "/sampling/rinsed")
	}
	if c := s.Conductivity; c != nil && c.Value.Compare(units.New(1, 0, units.MicrosiemensPerCentimetre)) < 0 {
		l.Answer(sampleAir, sampled.Full, moistheat.Yes, "/sampling/full")
	} else {
		l.Skip(sampleAir, "/sampling/full")
	}
	if germs || s.Point == Condensate {
		l.Answer(sampleFlushed, sampled.Flushed, moistheat.Yes, "/sampling/flushed")
	} else {
		l.Skip(sampleFlushed, "/sampling/flushed")
	}
	checkLate(&l, s, sampled)
	return l.Findings
}

func checkBottle(l *ask.List, s *Sample, sampled *Sampling) {
	const pointer = "/sampling/bottle"
	if s.Silicate == nil && s.Endotoxin == nil {
		l.Skip(sampleBottle, pointer)
		return
	}
	one := func(what string, fit bool) {
		o := ask.If(!fit)
		if sampled.Bottle == "" {
			o = moistheat.Undetermined
		}
		ask.With(ask.With(l.Add(sampleBottle, o, pointer), "determinands", what), "bottle", string(sampled.Bottle))
	}
	if s.Silicate != nil {
		one("silicate", sampled.Bottle == PlasticBottle)
	}
	if s.Endotoxin != nil {
		one("endotoxin", sampled.Bottle == DepyrogenatedGlass)
	}
}

func checkLate(l *ask.List, s *Sample, sampled *Sampling) {
	const pointer = "/sampling/tested"
	if s.Bacteria == nil {
		l.Skip(sampleLate, pointer)
		return
	}
	waited := sampled.Tested.Sub(s.Time)
	warm, cold := units.New(2, 0, units.Hour), units.New(24, 0, units.Hour)
	limit := warm
	if sampled.Chilled == moistheat.Yes {
		limit = cold
	}
	age := seconds(waited)
	switch {
	case sampled.Tested.IsZero() || waited < 0:
		l.Add(sampleLate, moistheat.Undetermined, pointer)
		return
	case sampled.Chilled == moistheat.NotRecorded && age.Compare(warm) > 0 && age.Compare(cold) <= 0:
		l.Add(sampleLate, moistheat.Undetermined, "/sampling/chilled")
		return
	case sampled.Chilled == moistheat.NotRecorded && age.Compare(cold) > 0:
		limit = cold
	}
	f := l.Add(sampleLate, ask.If(age.Compare(limit) > 0), pointer)
	f.Measured, f.Limit = age.Value(), limit.Value()
}

func seconds(d time.Duration) units.Duration {
	return units.New(int64(d/time.Second), 0, units.Second)
}

// CheckAge judges how long before an instant, such as the start of a cycle, the
// sample was taken, by the intervals of a document. One finding for each interval
// that is about something measured in the sample. Pointers are relative to the
// sample. A nil sample is one of which nothing is recorded.
func CheckAge(s *Sample, limits *Limits, at time.Time) []moistheat.Finding {
	s, limits = cmp.Or(s, &Sample{}), cmp.Or(limits, &noLimits)
	l := book.List(make([]moistheat.Finding, 0, 8))
	for _, iv := range limits.every {
		if !applies(iv.points, s.Point) {
			continue
		}
		var names []string
		for _, d := range iv.determinands {
			if s.measured(d) {
				names = append(names, d.String())
			}
		}
		if len(names) == 0 {
			continue
		}
		age := at.Sub(s.Time)
		var f *moistheat.Finding
		switch {
		case s.Time.IsZero() || at.IsZero():
			f = ask.With(l.Add(sampleOld, moistheat.Undetermined, "/time"), "reason", "a time is not recorded")
		case age < 0:
			f = ask.With(l.Add(sampleOld, moistheat.Undetermined, "/time"), "reason", "the sample was taken later")
		default:
			old := units.New(int64(age/time.Second), 0, units.Second)
			f = l.Add(sampleOld, ask.If(old.Compare(iv.every) > 0), "/time")
			f.Measured = old.Convert(units.Day, 1, units.Up).Value()
		}
		f.Limit, f.Sources, f.Table = iv.every.Value(), moistheat.SourcesOf(iv.source), limits.id
		ask.With(ask.With(ask.With(f, "determinands", strings.Join(names, ", ")), "document", iv.source.Document), "relation", "at most")
	}
	if len(l.Findings) == 0 {
		l.Skip(sampleOld, "/time")
	}
	return l.Findings
}
