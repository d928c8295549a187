package water

import (
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// reservoir asks about the upkeep of the tank at the start of the cycle.
func (k *checker) reservoir() {
	r := k.Reservoir
	r.Water.ask(k.Ask(kindUnfit, "/reservoir/water"))
	k.stale()
	k.Ask(reservoirUncleaned, "/reservoir/cleaned").Yes(r.Cleaned)
	k.Ask(reservoirToppedup, "/reservoir/toppedUp").No(r.ToppedUp)
	k.Ask(reservoirOvernight, "/reservoir/emptyNight").Yes(r.EmptyNight)
}

// ask answers whether steam may be made from such water.
func (t Treatment) ask(q ask.Question) {
	switch t {
	case Distilled, Deionised, ReverseOsmosis, Sterile:
		q.Met()
	case Untreated:
		q.Broken().Detail("kind", lang.Term("feed: untreated tap water"))
	case Softened:
		q.Broken().Detail("kind", lang.Term("feed: softened"))
	case OtherTreatment:
		q.Open(moistheat.NoLimit)
	default:
		q.Open(moistheat.Unrecorded)
	}
}

// stale takes the worst of what was recorded: answers and instants.
func (k *checker) stale() {
	r, cycle := k.Reservoir, k.Cycle
	filled := !r.LastFilled.IsZero() && !cycle.IsZero()
	q := k.Ask(reservoirStale, "/reservoir/refilled")
	at := func(member string) ask.Question { return q.At("/reservoir/" + member) }
	switch {
	case r.Drained == moistheat.No:
		at("drained").Broken().Say("reason", lang.Say("reservoir-not-drained: it was not drained"))
	case r.Refilled == moistheat.No:
		at("refilled").Broken().Say("reason", lang.Say("reservoir-not-refilled: it was not refilled"))
	case filled && r.LastFilled.After(cycle):
		at("lastFilled").Open(moistheat.Contradictory).
			Say("reason", lang.Say("reservoir-filled-later: the newest recorded filling is later than the cycle"))
	case filled && !sameDay(r.LastFilled, cycle):
		at("lastFilled").Broken().
			Say("reason", lang.Say("reservoir-last-filled: it was last filled on {1:date}",
				r.LastFilled.In(cycle.Location()).Format(time.DateOnly)))
	case !r.LastDrained.IsZero() && !r.LastFilled.IsZero() && r.LastDrained.After(r.LastFilled):
		at("lastDrained").Open(moistheat.Contradictory).
			Say("reason", lang.Say("reservoir-drained-later: the newest recorded draining is later than the "+
				"newest filling"))
	case r.Drained == moistheat.NotRecorded && r.LastDrained.IsZero():
		at("drained").Open(moistheat.Unrecorded).
			Say("reason", lang.Say("reservoir-drained-unrecorded: it is not recorded whether it was drained"))
	case r.Refilled == moistheat.NotRecorded && !filled:
		at("refilled").Open(moistheat.Unrecorded).
			Say("reason", lang.Say("reservoir-refilled-unrecorded: it is not recorded whether it was refilled"))
	default:
		q.Met()
	}
}

func sameDay(a, b time.Time) bool {
	ay, am, ad := a.In(b.Location()).Date()
	by, bm, bd := b.Date()
	return ay == by && am == bm && ad == bd
}

// sampling asks what does not depend on a document: whether the kind of water suits
// its use, whether the meters had been checked, and how the sample was taken.
func (k *checker) sampling() {
	s := k.Sample
	if s.Point == TreatedFeed || s.Point == ReservoirWater {
		s.Treatment.ask(k.Ask(kindUnfit, "/sample/treatment"))
	}
	chemistry := false
	for d := Conductivity; d < Appearance; d++ {
		r := s.reading(d)
		if r == nil {
			continue
		}
		chemistry = chemistry || d <= OrganicCarbon
		m, method := r.instrument()
		last := ask.Some(m).LastCheck
		k.Ask(meterUnchecked, pointerTo(d)+"/meter/lastCheck").
			When(method == MeterMethod || method == Pen || m != nil).Given(!last.IsZero()).BrokenIf(last.After(s.Time))
	}

	taken, count := ask.Some(s.Sampling), s.Bacteria != nil
	bottle, known := string(taken.Bottle), taken.Bottle != ""
	k.Ask(sampleBottle, "/sample/sampling/bottle").When(s.Silicate != nil).Given(known).
		BrokenIf(taken.Bottle != PlasticBottle).With("determinands", Silicate.String()).With("bottle", bottle)
	k.Ask(sampleBottle, "/sample/sampling/bottle").When(s.Endotoxin != nil).Given(known).
		BrokenIf(taken.Bottle != DepyrogenatedGlass).With("determinands", Endotoxin.String()).With("bottle", bottle)

	q := k.Ask(sampleRinsed, "/sample/sampling/rinsed").When(count || chemistry)
	switch {
	case count && chemistry: // one bottle cannot serve both
		q.Open(moistheat.Contradictory)
	case count:
		q.No(taken.Rinsed).Say("how", lang.Say("sample-rinsed: rinsed before a sample for a viable count was taken"))
	case chemistry:
		q.Yes(taken.Rinsed).Say("how", lang.Say("sample-unrinsed: not rinsed with the water to be tested"))
	}
	pure := s.Conductivity != nil && s.Conductivity.Value.Compare(units.New(1, 0, units.MicrosiemensPerCentimetre)) < 0
	k.Ask(sampleAir, "/sample/sampling/full").When(pure).Yes(taken.Full)
	k.Ask(sampleFlushed, "/sample/sampling/flushed").When(count || s.Point == Condensate).Yes(taken.Flushed)
	if count {
		k.late(taken)
	}
}

// late asks how long a sample for a viable count waited: 2 h, or 24 h if it was kept cold.
func (k *checker) late(taken Sampling) {
	waited := taken.Tested.Sub(k.Sample.Time)
	age := units.New(int64(waited/time.Second), 0, units.Second)
	warm, cold := units.New(2, 0, units.Hour), units.New(24, 0, units.Hour)
	limit := warm
	if taken.Chilled == moistheat.Yes || taken.Chilled == moistheat.NotRecorded && age.Compare(cold) > 0 {
		limit = cold
	}
	q := k.Ask(sampleLate, "/sample/sampling/tested")
	switch {
	case taken.Tested.IsZero():
		q.Open(moistheat.Unrecorded)
	case waited < 0:
		q.Open(moistheat.Contradictory)
	case taken.Chilled == moistheat.NotRecorded && age.Compare(warm) > 0 && age.Compare(cold) <= 0:
		q.At("/sample/sampling/chilled").Open(moistheat.Unrecorded)
	}
	if !q.Answered() {
		ask.AtMost(q, age, limit)
	}
}

// age asks how long before the cycle the sample was taken, by each interval of a
// document that is about something measured in it.
func (k *checker) age(l *Limits) {
	s, at := k.Sample, k.Cycle
	for _, iv := range l.every {
		var names []string
		for _, d := range iv.determinands {
			if s.reading(d) != nil || d == Appearance && s.Appearance != nil {
				names = append(names, d.String())
			}
		}
		if len(names) == 0 || !applies(iv.points, s.Point) {
			continue
		}
		age := at.Sub(s.Time)
		old := units.New(int64(age/time.Second), 0, units.Second)
		q := k.Ask(sampleOld, "/sample/time")
		switch {
		case s.Time.IsZero() || at.IsZero():
			q.Open(moistheat.Unrecorded).Of(units.Value{}, iv.every.Value()).
				Say("reason", lang.Say("sample-time-unrecorded: a time is not recorded"))
		case age < 0:
			q.Open(moistheat.Contradictory).Of(units.Value{}, iv.every.Value()).
				Say("reason", lang.Say("sample-taken-later: the sample was taken later"))
		default:
			ask.AtMost(q, old, iv.every).Of(old.Convert(units.Day, 1, units.Up).Value(), iv.every.Value())
		}
		q.By(iv.source).Table(l.info.ID).With("determinands", strings.Join(names, ", ")).
			With("document", iv.source.Document).With("relation", lang.Term("relation: at most"))
	}
}
