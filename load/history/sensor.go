package history

import (
	"slices"
	"sort"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/units"
)

// sensorError is what calibrations found a sensor to show above the reference: it may have
// done so since the last good calibration before them. Those of one sterilizer are in order
// and apart.
type sensorError struct {
	window
	of   *occurrence // the calibration that found most
	most float64     // kelvins
	why  moistheat.Detail
}

// sensorErrors returns the errors that calibrations of a chamber found, each up to the one
// that was passed, when the sensor was right again.
func sensorErrors(line []*occurrence, zone *time.Location) (out []sensorError) {
	var last *occurrence // newest good one
	var now *sensorError
	for _, e := range line {
		if e.kind != calendar.CalibrationEvent {
			continue
		}
		if k := e.errorFound(); k.IsValid() && k.Float64(units.KelvinDifference) > 0 {
			if now == nil {
				now = &sensorError{window: window{from: endOf(last)}, of: e}
			}
			if found := k.Float64(units.KelvinDifference); found > now.most {
				now.of, now.most = e, found
				now.why = lang.With("sensor-showed-too-much: The {1:text} found that a sensor showed {2:number} too much; "+
					"the lowest temperature of this load was less than that above the set one, or is not on record.",
					e.name(zone), lang.Data(k.String()))
			}
		}
		if e.result().passed == moistheat.Yes && e.exact() {
			if last = e; now != nil {
				now.to = later(e.end, now.from)
				out, now = append(out, *now), nil
			}
		}
	}
	if now != nil {
		out = append(out, *now)
	}
	return out
}

// eats reports whether an error may leave a load colder than it was set to: by any version
// of it, and where none says how hot it was.
func (s *sensorError) eats(e *occurrence) bool {
	margin, known := 0.0, false
	for _, v := range e.counting() {
		if m, has := v.metrics.get(HoldOffset); has && (!known || m < margin) {
			margin, known = m, true
		}
	}
	return !known || margin-s.most < -1e-9 // what comes to the limit still reaches it
}

// hits reports whether the error casts doubt on a load.
func (s *sensorError) hits(e *occurrence) bool { return s.window.hits(e) && s.eats(e) }

// sensorDoubts are the errors found in a sterilizer and the loads that they may have eaten.
type sensorDoubts struct {
	errors []sensorError
	loads  map[*occurrence][]moistheat.Detail // why each is doubted
	count  map[*occurrence]int                // loads by calibration
}

func sensorDoubtsOf(errors []sensorError, loads []*occurrence) sensorDoubts {
	d := sensorDoubts{errors, map[*occurrence][]moistheat.Detail{}, map[*occurrence]int{}}
	if len(errors) == 0 {
		return d
	}
	for _, e := range loads {
		first, last, open := e.started()
		i, to := 0, len(errors)
		if !open {
			i = sort.Search(to, func(i int) bool { return errors[i].to.IsZero() || !errors[i].to.Before(first) })
			to = max(i, sort.Search(to, func(i int) bool { return !errors[i].from.Before(last) }))
		}
		for ; i < to && len(d.loads[e]) < mostReasons; i++ {
			if s := &errors[i]; s.hits(e) {
				d.count[s.of]++
				if !slices.Contains(d.loads[e], s.why) {
					d.loads[e] = append(d.loads[e], s.why)
				}
			}
		}
	}
	return d
}

// triggers returns the errors as what casts doubt.
func (d *sensorDoubts) triggers(site string) (out []trigger) {
	for i := range d.errors {
		s := &d.errors[i]
		out = append(out, trigger{of: s.of, rule: rules.RecallSensor, window: s.window, sensor: s, site: site})
	}
	return out
}
