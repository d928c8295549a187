package history

import (
	"cmp"
	"encoding/json"
	"maps"
	"slices"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/spelling"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/units"
)

// upkeep is what an event says of a machine beside what tests of sterilizers say.
type upkeep struct {
	kind     calendar.Device
	asFound  units.TemperatureDifference // what the sensor showed above the reference
	due      moistheat.Date
	document string
	covers   [2]string // programs, patterns: the list as JSON, sorted; "": none is said
}

type savedUpkeep struct {
	Kind     calendar.Device             `json:"kind,omitzero"`
	AsFound  units.TemperatureDifference `json:"asFound,omitzero"`
	Due      moistheat.Date              `json:"due,omitzero"`
	Document string                      `json:"document,omitzero"`
	Programs []string                    `json:"programs,omitzero"`
	Patterns []string                    `json:"patterns,omitzero"`
}

// listText returns a list as one comparable value; "": it is empty.
func listText(names []string) string {
	if len(names) == 0 {
		return ""
	}
	names = slices.Clone(names)
	slices.Sort(names)
	text, err := json.Marshal(slices.Compact(names))
	if err != nil {
		return "" // strings have a JSON form
	}
	return string(text)
}

// names returns the list that [listText] wrote.
func names(list string) (out []string) {
	if list != "" && json.Unmarshal([]byte(list), &out) != nil {
		return nil
	}
	return out
}

func upkeepOf(e *Event) *upkeep {
	u := upkeep{cmp.Or(e.DeviceKind, calendar.DeviceOf(e.Kind)), e.AsFound, e.Due, e.Document,
		[2]string{listText(e.Programs), listText(e.Patterns)}}
	if e.Device == "" {
		u.kind = ""
	}
	if u == (upkeep{}) {
		return nil
	}
	return &u
}

// found returns the error that a calibration found, as a fact; empty: none is on record.
func (u *upkeep) found() string {
	if u == nil || !u.asFound.IsValid() {
		return ""
	}
	return u.asFound.String()
}

// dueDay is the day up to which the next one is in time, as a fact.
func (u *upkeep) dueDay() string {
	if u == nil || !u.due.IsValid() {
		return ""
	}
	return u.due.String()
}

// coverage returns the programs or the patterns that a qualification covers, as a fact.
func (u *upkeep) coverage(which int) string {
	if u == nil {
		return ""
	}
	return u.covers[which]
}

// without returns what is left of it when an amendment takes members back.
func (u *upkeep) without(gone func(string) bool) *upkeep {
	if u == nil {
		return nil
	}
	own := *u
	if gone("/asFound") {
		own.asFound = units.TemperatureDifference{}
	}
	if gone("/due") {
		own.due = moistheat.Date{}
	}
	if gone("/document") {
		own.document = ""
	}
	if gone("/programs") {
		own.covers[0] = ""
	}
	if gone("/patterns") {
		own.covers[1] = ""
	}
	return &own
}

// machines returns the history of the other machines, to take something in about one.
func (h *History) machines() *History {
	if h.devices == nil {
		h.devices = New(h.policy)
		if h.amended != nil {
			h.devices.amend(h.amended.sorted()...)
		}
	}
	return h.devices
}

// list takes in machines of a catalogue.
func (h *History) list(all ...load.DeviceEntry) {
	for _, d := range all {
		if h.listed == nil {
			h.listed = map[string][]load.DeviceEntry{}
		}
		if !slices.Contains(h.listed[d.ID], d) {
			h.listed[d.ID] = append(h.listed[d.ID], d)
		}
	}
}

// take takes over what catalogues say of the machine: its kind, the day from which its duties run,
// and the first day on which it is no longer there.
func (m *machine) take(listed []load.DeviceEntry) {
	for _, d := range listed {
		if d.Kind == "" || !d.Commissioned.IsValid() {
			continue
		}
		m.kind = d.Kind
		if !m.since.IsValid() || d.Commissioned.Compare(m.since) < 0 {
			m.since = d.Commissioned
		}
		switch {
		case m.open: // another entry of it goes on
		case !d.Until.IsValid():
			m.open, m.until = true, moistheat.Date{}
		case d.Until.Compare(m.until) > 0:
			m.until = d.Until
		}
	}
}

// gone reports whether the machine is not there yet, or no longer, by the catalogue.
func (m *machine) gone(at time.Time) bool {
	day := moistheat.DateOf(at)
	return m.since.IsValid() && day.Compare(m.since) < 0 || m.until.IsValid() && day.Compare(m.until) >= 0
}

// commissioned returns when duties begin to run, in a zone; zero: no catalogue says it.
func (m *machine) commissioned(zone *time.Location) time.Time {
	if !m.since.IsValid() {
		return time.Time{}
	}
	y, mo, d := m.since.Date()
	return time.Date(y, mo, d, 0, 0, 0, 0, zone)
}

// unlisted asks of every machine that is named whether a catalogue has it, where one lists any of its
// kind: a clinic may list its sealers and no washer.
func (h *History) unlisted(c *ask.List, all []*machine) {
	from := len(c.Findings)
	names := map[calendar.Device][]string{} // by kind, "" of sterilizers
	var devices []string
	for id, list := range h.listed {
		for _, d := range list {
			names[d.Kind] = append(names[d.Kind], id)
			if d.Kind != "" {
				devices = append(devices, id)
			}
		}
	}
	for _, m := range all {
		listed := names[m.kind]
		if m.device && m.kind == "" {
			listed = devices
		}
		if len(listed) == 0 {
			continue
		}
		slices.Sort(listed)
		near := lang.Say("device-none-like: there is none like it")
		if id := spelling.Nearest(m.id, listed); id != "" {
			near = lang.Data(id)
		}
		c.Ask(rules.DeviceUnlisted, m.pointer()).With("device", m.id).Say("nearest", near).
			BrokenIf(!slices.Contains(listed, m.id))
	}
	rest(c, from, "", false, rules.DeviceUnlisted)
}

// alike asks of every machine whether another one, or one of a catalogue, has its name in another
// spelling.
func (h *History) alike(c *ask.List, all []*machine) {
	from := len(c.Findings)
	type name struct {
		device bool
		fold   string
	}
	spelt, several := map[name][]string{}, map[bool]int{}
	add := func(device bool, id string) {
		n := name{device, spelling.Fold(id)}
		if !slices.Contains(spelt[n], id) {
			several[device]++
			spelt[n] = append(spelt[n], id)
		}
	}
	for _, m := range all {
		add(m.device, m.id)
	}
	for _, id := range slices.Sorted(maps.Keys(h.listed)) {
		for _, d := range h.listed[id] {
			add(d.Kind != "", id)
		}
	}
	for _, m := range all {
		other := ""
		for _, id := range spelt[name{m.device, spelling.Fold(m.id)}] {
			if spelling.Alike(id, m.id) {
				other = id
				break
			}
		}
		c.Ask(rules.NameAlike, m.pointer()).When(several[m.device] > 1).With("device", m.id).With("other", other).
			BrokenIf(other != "")
	}
	rest(c, from, "", false, rules.NameAlike)
}

// spellings returns the other sterilizers whose names are that of one in another spelling.
func (h *History) spellings(id string) (out []string) {
	for other := range h.units() {
		if spelling.Alike(other, id) {
			out = append(out, other)
		}
	}
	slices.Sort(out)
	return out
}

// kindOf returns the kind of a device that its lines say, the first by name where they differ;
// "": none does.
func (u *unitHistory) kindOf() calendar.Device {
	var out calendar.Device
	for _, e := range u.all {
		for _, v := range e.counting() {
			if k := v.upkeep; k != nil && k.kind != "" && (out == "" || k.kind < out) {
				out = k.kind
			}
		}
	}
	return out
}

// errorFound returns the largest error that any version of a calibration gives.
func (h *occurrence) errorFound() (most units.TemperatureDifference) {
	for _, v := range h.counting() {
		if v.upkeep != nil && v.upkeep.asFound.IsValid() && (!most.IsValid() || v.upkeep.asFound.Compare(most) > 0) {
			most = v.upkeep.asFound
		}
	}
	return most
}

// dueBy returns the earliest day that any version gives for the next one.
func (h *occurrence) dueBy() (first moistheat.Date) {
	for _, v := range h.counting() {
		if v.upkeep != nil && v.upkeep.due.IsValid() && (!first.IsValid() || v.upkeep.due.Compare(first) < 0) {
			first = v.upkeep.due
		}
	}
	return first
}

// counts reports whether upkeep counts as done: a test that was passed, an examination or
// the change of a part that is not recorded as failed.
func (h *occurrence) upheld() bool {
	switch h.kind {
	case calendar.BathChangeEvent, calendar.GasketEvent, calendar.FilterEvent, calendar.ServiceEvent:
		return h.passed != moistheat.No
	}
	return h.result().passed == moistheat.Yes
}

// devicesOf returns the devices that closed a pack or cleaned its items, each once, sorted: those
// that it names, and those of the batches that it names.
func (h *History) devicesOf(p *packTrace) (out []string) {
	for _, m := range p.marks {
		switch m.what {
		case markedDevice:
			out = append(out, m.id)
		case markedWash:
			for _, b := range h.batchesOf(m.id) {
				if b.Device != "" {
					out = append(out, b.Device)
				}
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
