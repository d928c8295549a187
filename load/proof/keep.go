package proof

import (
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
)

// KeepUntil returns the last day on which the documents of a policy ask for the document of
// a line, and the line of the policy that says so. Tests, cycles, equipment and the use of packs on patients
// each have their own. retired gives the day on which a sterilizer was given up, or the zero Date while it
// stands; nil: all stand. The zero Date with asked is: as long as the sterilizer stands. Where asked is
// false the policy leaves it open, and the facility decides: of the use on a patient it
// must not keep more, or longer, than what it is kept for (Regulation (EU) 2016/679, Article
// 5(1)(e), where that applies). Catalogues and amendments are needed as long as what was judged
// with them, so that nothing is said of them here.
func (l Line) KeepUntil(p *load.Policy, retired func(sterilizer string) moistheat.Date) (until moistheat.Date,
	by calendar.Retention, asked bool) {
	r := open(l)
	var day moistheat.Date
	var kinds []calendar.RecordKind
	sterilizer := ""
	switch {
	case r.Record != nil:
		sterilizer, day = r.Record.Sterilizer.ID, dayOf(r.Record)
		kinds = []calendar.RecordKind{calendar.CycleRecords}
		if len(r.Record.Monitors.Biologicals) > 0 {
			kinds = append(kinds, calendar.BiologicalRecords)
		}
	case r.Event != nil:
		sterilizer, day = r.Event.Sterilizer, dateOf(r.Event.Time)
		kinds = []calendar.RecordKind{calendar.EquipmentRecords}
		if r.Event.Kind == calendar.BiologicalTestEvent {
			kinds = []calendar.RecordKind{calendar.BiologicalRecords}
		}
	case r.Stored != nil:
		sterilizer, day = r.Stored.Sterilizer, r.Stored.Sterilized
		if u := r.Stored.Use; u != nil {
			kinds, day = []calendar.RecordKind{calendar.UseRecords}, dateOf(u.Time)
		} else {
			kinds = []calendar.RecordKind{calendar.CycleRecords}
		}
	}
	if !day.IsValid() {
		day = dateOf(l.Kept)
	}
	var gone moistheat.Date
	if retired != nil {
		gone = retired(sterilizer)
	}
	for _, kind := range kinds {
		last, line, found := p.KeepUntil(kind, day, gone)
		if !found {
			continue
		}
		if !asked || !last.IsValid() || until.IsValid() && last.Compare(until) > 0 {
			until, by = last, line
		}
		asked = true
	}
	return until, by, asked
}

func dateOf(t time.Time) moistheat.Date {
	if t.IsZero() {
		return moistheat.Date{}
	}
	return moistheat.DateOf(t)
}

// dayOf returns the day of a load, or the zero Date where nothing says it.
func dayOf(r *load.Record) moistheat.Date {
	if !r.Load.Date.IsValid() && r.Cycle != nil {
		return dateOf(r.Cycle.Started)
	}
	return r.Load.Date
}
