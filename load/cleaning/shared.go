package cleaning

import (
	"reflect"
	"slices"
	"strconv"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/spelling"
	"example.com/moistheat/packaging"
)

// RunKeys returns what tells the run of a machine from others: its log, its number on that day, its
// beginning, and the hours in which a washer-disinfector was at work. Two batches with a key in common may be of one run; one by hand has no keys.
func (b *Batch) RunKeys() (keys []string) {
	if b == nil || b.Kind == packaging.Manual {
		return nil
	}
	if log := b.Trace.Digest(); log != "" && changes(b.Trace) >= fewestChanges {
		keys = append(keys, "log "+log)
	}
	if b.Started.IsZero() {
		return keys
	}
	if b.Number != "" {
		keys = append(keys, "number "+b.Started.Format(time.DateOnly)+" "+spelling.Same(b.Number))
	}
	keys = append(keys, "start "+strconv.FormatInt(b.Started.Unix(), 10))
	if device := spelling.Fold(b.Device); device != "" && b.Kind == packaging.WasherDisinfector {
		first, last := b.Started.Unix()/3600, max(b.Started.Unix(), b.Ended.Unix())/3600
		for hour := first; hour <= min(last, first+longestRun); hour++ {
			keys = append(keys, "hour "+strconv.FormatInt(hour, 10)+" "+device)
		}
	}
	return keys
}

// longestRun is after how many hours no run is looked for any more: one that is longer is mistyped.
const longestRun = 24

// overlaps reports whether a run began while another one was under way. Times are written to the
// minute: the next may begin in the minute in which one ends.
func overlaps(a, b *Batch) bool {
	if b.Started.Before(a.Started) {
		a, b = b, a
	}
	return b.Started.Equal(a.Started) || b.Started.Add(time.Minute).Before(a.Ended)
}

// fewestChanges is how often a log must move for its copy to be more than chance: where each change
// has but two likely values, two runs agree in 20 once in a million times (derived). The log of a
// machine that prints a few whole degrees may well be that of another day.
const fewestChanges = 20

// changes counts the readings that differ from the one before.
func changes(log *cycle.Trace) (n int) {
	for _, c := range log.Temperatures {
		for i := 1; i < len(c.Values); i++ {
			if c.Values[i] != c.Values[i-1] {
				n++
			}
		}
	}
	return n
}

// shared asks whether another batch, and not a version of this one, claims the same run. A log is
// one of itself; a number and a time are those of one machine.
func (k *checker) shared(s *Batches, r *run) {
	keys := r.b.RunKeys()
	q := k.Ask(logShared, "").When(len(keys) > 0).With("batch", r.b.ID)
	open := false
	for _, key := range keys {
		for _, o := range s.ran[key] {
			if spelling.Same(o.b.ID) == spelling.Same(r.b.ID) || key[0] != 'l' && o.b.Kind != r.b.Kind || r.trayOf(o) {
				continue
			}
			what := lang.Say("shared-log: the temperature log")
			switch key[0] {
			case 'h':
				what = lang.Say("shared-times: times that overlap")
			case 'n', 's':
				what = lang.Say("shared-number-or-start: the cycle number or the start")
			}
			mine, other := spelling.Fold(r.b.Device), spelling.Fold(o.b.Device)
			switch {
			case key[0] == 'h' && !overlaps(r.b, o.b):
			case key[0] == 'l', mine != "" && mine == other:
				q.With("other", o.b.ID).Say("what", what).Broken()
				return
			case key[0] == 'n' && (mine == "" || other == ""):
				open = true
			}
		}
	}
	q.OpenWhen(open, moistheat.Unrecorded).Met()
}

// trayOf reports whether two batches are trays of one run, each entered by itself: the machine, its
// number and times, and all that shows the run are the same, and nothing lay in both.
func (r *run) trayOf(o *run) bool {
	a, b := r.b, o.b
	if device := spelling.Fold(a.Device); device == "" || device != spelling.Fold(b.Device) || a.Kind != b.Kind {
		return false
	}
	if a.Number == "" || spelling.Same(a.Number) != spelling.Same(b.Number) || a.Started.IsZero() || a.Ended.IsZero() ||
		!a.Started.Equal(b.Started) || !a.Ended.Equal(b.Ended) {
		return false
	}
	for id := range r.carried {
		if o.carried[id] != nil {
			return false
		}
	}
	return len(r.carried) > 0 && len(o.carried) > 0 && a.Aborted == b.Aborted && a.KeepsLog == b.KeepsLog &&
		a.Probes == b.Probes && a.Printed == b.Printed && reflect.DeepEqual(a.Trace, b.Trace)
}

// elsewhere asks whether a batch took an item out at its inspection that was not put right since:
// cleaned, by the batch that it names or, where it names none, by any that carried it, and
// repaired, where cleaning is no cure.
func (k *checker) elsewhere(s *Batches, it *packaging.Item, runs []*run, began time.Time) {
	var others []*run
	if it.ID != "" {
		others = s.takenOut[spelling.Same(it.ID)]
	}
	named := it.Preparation.WasherLoad != ""
	since := runs
	if !named && it.ID != "" {
		since = s.carried[spelling.Same(it.ID)]
	}
	q := k.Ask(itemElsewhere, "/preparation").When(len(others) > 0).With("item", it.Name)
	open := false
	for _, o := range others {
		if slices.Contains(runs, o) || !o.b.Ended.IsZero() && !began.IsZero() && o.b.Ended.After(began) {
			continue
		}
		cleaned := o.cleanedSince(since, began)
		for _, i := range o.takenOut[spelling.Same(it.ID)] {
			out := &o.b.TakenOut[i]
			about := func() { q.With("batch", o.b.ID).With("reason", string(out.Reason)) }
			switch out.putRight(cleaned) {
			case moistheat.No: // on record
				about()
				q.Broken()
				return
			case moistheat.NotRecorded:
				if !open {
					about()
				}
				open = true
			}
		}
	}
	q.OpenWhen(open, moistheat.Unrecorded).Met()
}

// putRight says whether an item is fit again after it was taken out, where it was cleaned since or
// not. What was discarded does not come back, and cleaning cures no defect.
func (o *TakenOut) putRight(cleaned moistheat.Answer) moistheat.Answer {
	defect := o.Reason == Damage || o.Reason == Function
	switch {
	case o.Then == Discarded, defect && o.Then == CleanedAgain:
		return moistheat.No
	case defect && o.Then == "" && cleaned == moistheat.Yes:
		return moistheat.NotRecorded
	}
	return cleaned
}

// cleanedSince says whether one of other runs began after a run had ended, and ended before a load.
func (r *run) cleanedSince(others []*run, began time.Time) moistheat.Answer {
	out := moistheat.No
	for _, o := range others {
		switch {
		case o == r, !o.b.Ended.IsZero() && !began.IsZero() && o.b.Ended.After(began):
		case r.b.Ended.IsZero():
			out = moistheat.NotRecorded
		case !o.b.Started.IsZero() && !o.b.Started.Before(r.b.Ended):
			return moistheat.Yes
		case o.b.Started.IsZero() && (o.b.Ended.IsZero() || o.b.Ended.After(r.b.Ended)):
			out = moistheat.NotRecorded
		}
	}
	return out
}
