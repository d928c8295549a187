package history

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
)

// machine is a device, or a sterilizer as one, with what it was used for.
type machine struct {
	id     string
	device bool // else a sterilizer
	kind   calendar.Device
	line   []*occurrence // its events
	loads  []*occurrence // that it was used for, by time; of a sterilizer those that were run in it

	since, until moistheat.Date // by the catalogue
	open         bool           // an entry of the catalogue has no end
}

func (m *machine) pointer() string {
	if m.device {
		return "/devices/" + guard.Escape(m.id)
	}
	return "/sterilizers/" + guard.Escape(m.id)
}

// everyUnit yields sterilizers and devices, each with the pointer to it.
func (h *History) everyUnit(yield func(*unitHistory, string) bool) {
	for _, id := range h.Sterilizers() {
		if !yield(h.units()[id], "/sterilizers/"+guard.Escape(id)) {
			return
		}
	}
	if h == nil || h.devices == nil {
		return
	}
	for _, id := range h.devices.Sterilizers() {
		if !yield(h.devices.units()[id], "/devices/"+guard.Escape(id)) {
			return
		}
	}
}

// machines returns sterilizers, then devices, by name: those of events and those that packs
// name.
func (h *History) allMachines() []*machine {
	var out []*machine
	devices := map[string]*machine{}
	get := func(id string) *machine {
		m := devices[id]
		if m == nil {
			m = &machine{id: id, device: true}
			devices[id] = m
		}
		return m
	}
	for _, id := range h.Sterilizers() {
		m := &machine{id: id, line: h.units()[id].timeline()}
		for _, e := range append(h.units()[id].undated(), m.line...) {
			if e.kind != 0 {
				continue
			}
			m.loads = append(m.loads, e)
			for i := range e.packs {
				p := &e.packs[i]
				for _, k := range p.marks {
					if k.sealer() {
						get(k.id).kind = calendar.Sealer
					}
				}
				for _, id := range h.devicesOf(p) {
					d := get(id)
					if n := len(d.loads); n == 0 || d.loads[n-1] != e {
						d.loads = append(d.loads, e)
					}
				}
			}
		}
		out = append(out, m)
	}
	if h != nil && h.devices != nil {
		for _, id := range h.devices.Sterilizers() {
			u, m := h.devices.units()[id], get(id)
			m.line = u.timeline()
			if k := u.kindOf(); k != "" {
				m.kind = k
			}
		}
	}
	for id, listed := range cmp.Or(h, &History{}).listed {
		if slices.ContainsFunc(listed, func(d load.DeviceEntry) bool { return d.Commissioned.IsValid() }) {
			get(id).take(listed)
		}
	}
	n := len(out)
	for _, m := range devices {
		out = append(out, m)
	}
	slices.SortFunc(out[n:], func(a, b *machine) int { return strings.Compare(a.id, b.id) })
	for _, m := range out[n:] {
		slices.SortStableFunc(m.loads, before)
	}
	return out
}

// sealer reports whether what a pack bears is the name of its sealer.
func (k mark) sealer() bool { return k.what == markedDevice && strings.HasSuffix(k.at, "/seal/sealer") }

// sealedBy reports whether a pack names a device as its sealer.
func (p *packTrace) sealedBy(id string) bool {
	return slices.ContainsFunc(p.marks, func(k mark) bool { return k.id == id && k.sealer() })
}

// asked reports whether a duty is of the machine.
func (m *machine) asked(d calendar.Duty) bool {
	return d.Device == m.kind && m.device == (d.Device != "")
}

// done returns what was done for a duty by an instant, in order of time, and the newest that
// failed.
func (m *machine) done(test calendar.EventKind, at time.Time) (good []*occurrence, failed *occurrence) {
	for _, e := range m.line {
		if !fulfils(e.kind, test) || e.start.After(at) {
			continue
		}
		switch {
		case e.passed == moistheat.No:
			failed = e
		case e.upheld() && e.exact():
			good = append(good, e)
		}
	}
	return good, failed
}

// upkeepDue says where the duties of upkeep stand.
func (h *History) upkeepDue(at time.Time) (out []Due) {
	duties := h.Policy().Upkeep()
	if len(duties) == 0 {
		return nil
	}
	for _, m := range h.allMachines() {
		for _, d := range duties {
			if !m.asked(d) || m.gone(at) || !m.device && h.units()[m.id].retired(at) {
				continue
			}
			due := m.due(d, at)
			due.Why = due.why.String()
			if due.Duty = d; m.device {
				due.Device = m.id
			} else {
				due.Sterilizer = m.id
			}
			out = append(out, due)
		}
	}
	return out
}

// due says where a duty of a machine stands at an instant.
func (m *machine) due(d calendar.Duty, at time.Time) Due {
	good, failed := m.done(d.Test, at)
	var out Due
	var own moistheat.Date
	if n := len(good); n > 0 {
		out.Last, own = good[n-1].end, good[n-1].dueBy()
	}
	begun := out.Last // from when the next one is counted
	if begun.IsZero() && d.Every.IsValid() {
		begun = m.commissioned(at.Location())
	}
	today := moistheat.DateOf(at)
	last := moistheat.DateOf(out.Last.In(at.Location()))
	used := slices.ContainsFunc(m.loads, func(e *occurrence) bool {
		return !e.start.IsZero() && !e.start.After(at) && moistheat.DateOf(e.start.In(at.Location())) == today
	})
	switch {
	case failed != nil && failed.end.After(out.Last):
		out.State = Failed
		out.why = lang.Say("upkeep-failed: it failed on {1:date}: find the cause, and repeat it before the device is used",
			failed.end.Format(time.RFC3339))
		return out
	case d.Cadence == calendar.ByManufacturer && !d.Every.IsValid() && !own.IsValid():
		out.State, out.why = DueOpen, lang.Say("upkeep-in-instructions: the schedule is in the instructions of the device")
	case d.Cadence == calendar.ByDayOfUse && !out.Last.IsZero() && last == today:
		out.State, out.why = NotDue, lang.Say("done-today: done today")
	case d.Cadence == calendar.ByDayOfUse && used:
		out.State, out.why = Overdue, lang.Say("upkeep-used-without: it was used today without it")
	case d.Cadence == calendar.ByDayOfUse:
		out.State, out.why = DueNow, lang.Say("upkeep-before-use: before it is used today")
	case out.Last.IsZero() && d.Weekly():
		out.State, out.why = DueNow, lang.Say("upkeep-none-on-record: none is on record")
	case begun.IsZero() && m.never(d, at):
		out.State, out.why = NeverRecorded, lang.Say("upkeep-none-on-record: none is on record")
	case begun.IsZero() && !m.device:
		out.State, out.why = DueOpen, lang.Say("upkeep-none-on-record: none is on record")
	case begun.IsZero():
		out.State, out.why = Overdue, lang.Say("upkeep-none-on-record: none is on record")
	default:
		out.By = d.Every.Deadline(begun.In(at.Location()))
		if d.Weekly() {
			out.By = d.Week.Begins.Start(out.Last.In(at.Location())).AddDate(0, 0, 14) // of the week after it
		}
		y, mo, day := own.Date()
		by := time.Date(y, mo, day+1, 0, 0, 0, 0, at.Location())
		if own.IsValid() && (!d.Every.IsValid() || by.Before(out.By)) {
			out.By = by
		}
		final := out.By.Add(-1)
		out.State, out.why = NotDue, lang.Say("upkeep-next-by: next by the end of {1:date}", final.Format(time.DateOnly))
		switch {
		case !at.Before(out.By):
			out.State = Overdue
			out.why = lang.Say("upkeep-was-due: it was due by the end of {1:date}", final.Format(time.DateOnly))
		case moistheat.DateOf(final) == today || d.Weekly() && d.Week.Begins.Of(today) != d.Week.Begins.Of(last):
			out.State = DueNow
		}
	}
	return out
}

// never reports whether nothing of a duty is on record, of a machine that is on record no
// longer than the duty lets pass between two: what was done before is not here. The duties
// of a day or a week of use are asked from the first one on.
func (m *machine) never(d calendar.Duty, at time.Time) bool {
	if d.Cadence != calendar.ByInterval && d.Cadence != calendar.ByManufacturer ||
		slices.ContainsFunc(m.line, func(e *occurrence) bool { return fulfils(e.kind, d.Test) && !e.start.After(at) }) {
		return false
	}
	var first time.Time
	if m.since.IsValid() {
		first = m.commissioned(at.Location())
	}
	for _, e := range slices.Concat(m.line, m.loads) {
		if !e.start.After(at) {
			first = earlier(first, e.start)
		}
	}
	return first.IsZero() || !d.Every.IsValid() || at.Before(d.Every.Deadline(first.In(at.Location())))
}

// covered says whether a duty was done in time for a load that a machine was used for.
func (m *machine) covered(d calendar.Duty, good []*occurrence, e *occurrence) moistheat.Answer {
	at, _, open := e.started()
	if open {
		return moistheat.NotRecorded
	}
	i, _ := slices.BinarySearchFunc(good, at, func(g *occurrence, t time.Time) int { return compareEnd(g.end, t) })
	if i == 0 {
		if d.Cadence == calendar.ByDayOfUse && m.kind == calendar.Sealer {
			return moistheat.No
		}
		if from := m.commissioned(at.Location()); !from.IsZero() && d.Every.IsValid() {
			return ask.AnswerOf(at.Before(d.Every.Deadline(from)))
		}
		return moistheat.NotRecorded // what was done before the first line is not here
	}
	last := good[i-1]
	own := last.dueBy()
	if own.IsValid() && moistheat.DateOf(at).Compare(own) > 0 {
		return moistheat.No
	}
	switch a := d.Covers(last.end, at); {
	case a != moistheat.NotRecorded:
		return a
	case d.Cadence == calendar.ByDayOfUse && m.kind != calendar.Sealer:
		return moistheat.NotRecorded // when the items were cleaned is not on record
	case d.Cadence == calendar.ByManufacturer:
		if !d.Every.IsValid() {
			return ask.AnswerOf(own.IsValid())
		}
		return ask.AnswerOf(at.Before(d.Every.Deadline(last.end.In(at.Location()))))
	}
	return moistheat.No
}

func compareEnd(end, t time.Time) int {
	if end.After(t) {
		return 1
	}
	return -1
}

// upkeepFindings judges every use of every machine against the duties of its upkeep, what
// says itself when it is due again, and the tests that failed.
func (h *History) upkeepFindings(c *ask.List, at time.Time) {
	from := len(c.Findings)
	duties := h.Policy().Upkeep()
	all := h.allMachines()
	for _, m := range all {
		for _, d := range duties {
			if m.asked(d) && !m.gone(at) {
				m.overdue(c, d, at)
			}
		}
		m.ownDue(c, at)
	}
	rest(c, from, "", false, rules.UpkeepOverdue, rules.UpkeepDue)
	h.unlisted(c, all)
	h.alike(c, all)
	from = len(c.Findings)
	for id, d := range h.machineDoubts().by {
		for _, t := range d.triggers {
			where := t.of.pointerOr("/devices/" + guard.Escape(id))
			c.Ask(rules.RecallDevice, where).Say("what", t.of.name(nil)).With("device", id).
				With("count", strconv.Itoa(d.count(t))).Broken()
		}
	}
	rest(c, from, "", false, rules.RecallDevice)
}

// overdue asks of each load that a machine was used for whether a duty had been done.
func (m *machine) overdue(c *ask.List, d calendar.Duty, at time.Time) {
	if !m.since.IsValid() && m.never(d, at) {
		return // Due says so
	}
	good, _ := m.done(d.Test, at)
	n, open, asked := 0, 0, 0
	var first, last moistheat.Date
	for _, e := range m.loads {
		if e.start.After(at) {
			break
		}
		asked++
		switch m.covered(d, good, e) {
		case moistheat.No:
			if n++; n == 1 {
				first = e.day()
			}
			last = e.day()
		case moistheat.NotRecorded:
			open++
		}
	}
	if len(m.loads) == 0 && m.device { // nothing on record says when it was used
		asked = 1
		switch due := m.due(d, at); due.State {
		case Overdue, Failed:
			n, first, last = 1, moistheat.DateOf(at), moistheat.DateOf(at)
		case DueOpen:
			open = 1
		}
	}
	c.Ask(rules.UpkeepOverdue, m.pointer()).When(asked > 0).By(d.Source).With("device", m.id).
		Say("test", testName(d.Test)).Say("duty", d.Words()).With("count", strconv.Itoa(n)).
		With("first", first.String()).With("last", last.String()).BrokenWhen(n > 0).
		OpenWhen(open > 0, moistheat.Unrecorded).Met()
}

// ownDue asks of what says itself when it is due again whether the machine was used later.
func (m *machine) ownDue(c *ask.List, at time.Time) {
	newest := map[calendar.EventKind]*occurrence{}
	for _, e := range m.line {
		if e.kind != 0 && !e.start.After(at) && e.passed != moistheat.No {
			newest[e.kind] = e
		}
	}
	now := moistheat.DateOf(at)
	if n := len(m.loads); n > 0 {
		now = m.loads[n-1].day()
	}
	for k := calendar.RequalificationEvent; k <= calendar.PerformanceQualificationEvent; k++ {
		e := newest[k]
		if e == nil || !e.dueBy().IsValid() {
			continue
		}
		c.Ask(rules.UpkeepDue, m.pointer()).With("device", m.id).Say("what", e.name(nil)).
			With("due", e.dueBy().String()).BrokenIf(now.Compare(e.dueBy()) > 0)
	}
}

// doubtsOfMachines are those that failed tests of devices, and duties that lapsed, cast on packs.
type doubtsOfMachines struct {
	h      *History
	by     map[string]*doubts
	lapsed map[string]map[*occurrence]moistheat.Detail
}

// machineDoubts works them out. When a pack was sealed, or its items were cleaned, is not on
// record but by the load that it is in: the doubt lasts to the end of the day of the good test.
func (h *History) machineDoubts() doubtsOfMachines {
	out := doubtsOfMachines{h, map[string]*doubts{}, map[string]map[*occurrence]moistheat.Detail{}}
	for _, m := range h.allMachines() {
		if !m.device {
			continue
		}
		zone := zoneOf(m.line)
		var all []trigger
		for k := calendar.AutomaticControlTestEvent; k <= calendar.PerformanceQualificationEvent; k++ {
			if castsDoubt(k) {
				all = append(all, ofAir(m.line, k, rules.RecallDevice)...)
			}
		}
		for i := range all {
			if t := &all[i]; !t.to.IsZero() {
				y, mo, d := t.to.Date()
				t.to = time.Date(y, mo, d+1, 0, 0, 0, 0, t.to.Location()).Add(-1)
			}
		}
		if len(all) > 0 {
			d := doubtsOf(all, m.loads, func(first trigger, n int) moistheat.Detail {
				return together(lang.With("machine-test-failed: The {1:text} of {2:name} failed; "+
					"packs of this load were made with it, {3:text}.",
					first.of.name(zone), lang.Data(prose.Name(m.id)), since(first.last, first.of.kind, zone)), firstOf(n))
			})
			out.by[m.id] = &d
		}
		out.lapse(m, h.Policy())
	}
	return out
}

// lapse finds the loads for which a duty had lapsed whose policy holds packs for that.
func (d *doubtsOfMachines) lapse(m *machine, p *load.Policy) {
	for _, duty := range p.Upkeep() {
		if duty.Lapse == "" || !m.asked(duty) {
			continue
		}
		good, _ := m.done(duty.Test, time.Unix(1<<40, 0))
		for _, e := range m.loads {
			if m.covered(duty, good, e) == moistheat.Yes {
				continue
			}
			if d.lapsed[m.id] == nil {
				d.lapsed[m.id] = map[*occurrence]moistheat.Detail{}
			}
			d.lapsed[m.id][e] = lang.With("machine-duty-lapsed: The {1:text} of {2:name} was not done in time: {3:text}.",
				testName(duty.Test), lang.Data(prose.Name(m.id)),
				duty.Words())
		}
	}
}

// packs returns the packs of a load that a device casts doubt on, sorted, and why.
func (d *doubtsOfMachines) packs(e *occurrence) (packs []string, because []moistheat.Detail) {
	if len(d.by)+len(d.lapsed) == 0 {
		return nil, nil
	}
	for i := range e.packs {
		p := &e.packs[i]
		for _, id := range d.h.devicesOf(p) {
			why := d.lapsed[id][e]
			if in := d.by[id]; in != nil && in.hits(e) {
				from, to := in.of(e)
				because = in.say(because, from, to)
				packs = append(packs, p.id)
			}
			if why.IsValid() {
				packs = append(packs, p.id)
				if !slices.Contains(because, why) {
					because = append(because, why)
				}
			}
		}
	}
	slices.Sort(packs)
	return slices.Compact(packs), because
}

// packDoubts are those that fall on single packs of a load: by the devices and by the batches that
// they went through.
type packDoubts struct {
	machines doubtsOfMachines
	batches  *doubtsOfBatches
}

func (h *History) packDoubts() *packDoubts { return &packDoubts{h.machineDoubts(), h.batchDoubts()} }

// packs returns what is asked of each pack of a load that there is a doubt about, and why.
func (d *packDoubts) packs(e *occurrence) (map[string]RecallAction, []moistheat.Detail) {
	packs, because := d.batches.packs(e)
	made, why := d.machines.packs(e)
	if packs == nil && len(made) > 0 {
		packs = map[string]RecallAction{}
	}
	for _, id := range made {
		packs[id] = max(packs[id], Quarantine)
	}
	return packs, append(why, because...)
}

// machineSuspicions adds the failures of devices that cast doubt on a load: on all of it, as
// [load.Known] knows no packs. Of a load that is in the history, entered is what is.
func (h *History) machineSuspicions(own, entered *occurrence, out []load.KnownSuspicion) []load.KnownSuspicion {
	const enough = 100
	var ids []string
	for _, e := range []*occurrence{own, entered} {
		for i := range cmp.Or(e, &occurrence{}).packs {
			ids = append(ids, h.devicesOf(&e.packs[i])...)
		}
	}
	slices.Sort(ids)
	ids = slices.Compact(ids)
	if len(ids) == 0 {
		return out
	}
	d := h.machineDoubts()
	for _, id := range ids {
		in := d.by[id]
		if in == nil {
			continue
		}
		for _, t := range in.triggers {
			s := load.KnownSuspicion{After: t.from, UpTo: t.to, Event: t.of.kind, ID: t.of.id}
			if len(out) < enough && (t.window.hits(own) || entered != nil && t.window.hits(entered)) &&
				!slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// castsDoubt reports whether a failed test of a device casts doubt on what was made with it
// since the last good one.
func castsDoubt(k calendar.EventKind) bool {
	switch k {
	case calendar.SealCheckEvent, calendar.PeelEvent, calendar.SoilEvent,
		calendar.ProteinEvent, calendar.ActivityEvent, calendar.AutomaticControlTestEvent:
		return true
	}
	return false
}

// knownDuties returns until when the duties of upkeep were kept of the sterilizer and the devices of
// a load, by what was on record when it began, and what says itself when it is due again. Of what
// is not on record nothing is said: [History.Findings] asks for it.
func (h *History) knownDuties(sterilizer string, own *occurrence) (out []load.KnownDuty) {
	if own.start.IsZero() {
		return nil
	}
	duties := slices.DeleteFunc(append(h.Policy().Schedule(), h.Policy().Upkeep()...), func(d calendar.Duty) bool {
		return d.Test == calendar.BiologicalTestEvent || d.Test == calendar.AirRemovalEvent ||
			d.Test == calendar.LeakEvent
	})
	take := func(m *machine, device string) {
		for k, due := range m.keptUntil(duties, own.start) {
			out = append(out, load.KnownDuty{Test: k, Device: device, Due: due})
		}
	}
	if u := h.units()[sterilizer]; u != nil {
		take(&machine{id: sterilizer, line: u.timeline()}, "")
	}
	taken := map[string]bool{}
	for i := range own.packs {
		if h.devices == nil {
			break
		}
		for _, id := range h.devicesOf(&own.packs[i]) {
			u := h.devices.units()[id]
			if u == nil || taken[id] {
				continue
			}
			taken[id] = true
			m := &machine{id: id, device: true, kind: u.kindOf(), line: u.timeline()}
			if m.kind == "" && own.packs[i].sealedBy(id) {
				m.kind = calendar.Sealer
			}
			take(m, id)
		}
	}
	slices.SortFunc(out, func(a, b load.KnownDuty) int {
		return cmp.Or(strings.Compare(a.Device, b.Device), cmp.Compare(a.Test, b.Test))
	})
	return out
}

// keptUntil returns the last day in time of each duty that was done by an instant, the earliest
// where several ask. What failed since was in time until the day before.
func (m *machine) keptUntil(duties []calendar.Duty, at time.Time) map[calendar.EventKind]moistheat.Date {
	out := map[calendar.EventKind]moistheat.Date{}
	until := func(k calendar.EventKind, d moistheat.Date) {
		if first, found := out[k]; d.IsValid() && (!found || d.Compare(first) < 0) {
			out[k] = d
		}
	}
	for _, d := range duties {
		if !m.asked(d) {
			continue
		}
		good, failed := m.done(d.Test, at)
		if failed != nil && (len(good) == 0 || failed.end.After(good[len(good)-1].end)) {
			until(d.Test, dayBefore(failed, at))
		}
		if len(good) == 0 {
			continue
		}
		last := good[len(good)-1]
		day := moistheat.DateOf(last.end.In(at.Location()))
		switch {
		case d.Every.IsValid() && d.Cadence != calendar.ByHoursOfUse:
			until(d.Test, d.Every.AfterDate(day))
		case d.Cadence == calendar.ByDayOfUse && (m.kind == calendar.Sealer || !m.device):
			until(d.Test, day) // when items were cleaned is not on record
		}
		until(d.Test, last.dueBy())
	}
	newest, passed := map[calendar.EventKind]*occurrence{}, map[calendar.EventKind]*occurrence{}
	for _, e := range m.line {
		if e.kind == 0 || e.start.After(at) {
			continue
		}
		if newest[e.kind] = e; e.passed != moistheat.No {
			passed[e.kind] = e
		}
	}
	for k, e := range passed {
		until(k, e.dueBy())
	}
	for k, e := range newest {
		said := passed[k] != nil && passed[k].dueBy().IsValid()
		if e.passed == moistheat.No && (said || k == calendar.CalibrationEvent || k == calendar.PressureVesselEvent) {
			until(k, dayBefore(e, at))
		}
	}
	return out
}

// dayBefore returns the last day on which what failed was still in time, in the zone of an instant.
func dayBefore(failed *occurrence, at time.Time) moistheat.Date {
	return moistheat.DateOf(failed.end.In(at.Location()).AddDate(0, 0, -1))
}
