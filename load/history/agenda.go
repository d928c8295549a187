package history

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
)

// Part is a part of the order of the day. The zero Part is invalid.
type Part string

// The parts, in their order.
const (
	BeforeFirstLoad Part = "before the first load"
	Today           Part = "today"
	ThisWeek        Part = "this week"
	Closing         Part = "at the end of the day"
)

// Task is one thing of the order of the day.
type Task struct {
	Part       Part               `json:"part"`
	Sterilizer string             `json:"sterilizer,omitempty"`
	Device     string             `json:"device,omitempty"` // instead
	What       string             `json:"what"`             // to be done
	State      DueState           `json:"state"`
	By         time.Time          `json:"by,omitzero"` // in time before it
	Why        string             `json:"why"`
	Hazards    []moistheat.Hazard `json:"hazards,omitempty"` // what doing it can do to a person
	Source     moistheat.Source   `json:"source"`

	what, why moistheat.Detail // which What and Why say in the language
	in        moistheat.Language
}

// String returns the task for a person: what protects from its hazards first.
func (t Task) String() string {
	var out []string
	for _, w := range load.WarningsOf(t.Hazards...) {
		out = append(out, warning(t.in, w))
	}
	text := lang.Text("{part:history.Part}, {machine}: {what} ({state:history.DueState}): {why}.")
	if t.Sterilizer+t.Device == "" {
		text = "{part:history.Part}: {what} ({state:history.DueState}): {why}."
	}
	out = append(out, prose.Capital(say(t.in, text, "part", string(t.Part), "machine", prose.Name(cmp.Or(t.Sterilizer,
		t.Device)), "what", t.What, "state", string(t.State), "why", t.Why)))
	return moistheat.Visible(strings.Join(out, " "))
}

func warning(l moistheat.Language, w load.Warning) string {
	return say(l, "WARNING: {hazard:moistheat.Hazard}. {sentence}", "hazard", string(w.Hazard), "sentence", l.Text(w.Sentence))
}

// Agenda is the order of a day.
type Agenda []Task

// Text returns the order for a person, in lines of at most 80 columns: by part of the day and by
// machine, what protects from the hazards of a part before its tasks.
func (a Agenda) Text() string {
	var b strings.Builder
	var part Part
	machine := ""
	for i, t := range a {
		if first := i == 0 || t.Part != part; first {
			if i > 0 {
				b.WriteByte('\n')
			}
			b.WriteString(prose.Capital(say(t.in, "{part:history.Part}:", "part", string(t.Part))) + "\n")
			a[i:].warn(&b, t)
			part, machine = t.Part, ""
		}
		if is := cmp.Or(t.Sterilizer, t.Device); is != machine && is != "" {
			b.WriteString("  " + prose.Name(is) + "\n")
			machine = is
		}
		b.WriteString(t.in.Wrap("  - ", "    ", say(t.in, "{what} ({state:history.DueState}): {why}.",
			"what", t.What, "state", string(t.State), "why", t.Why)))
	}
	return b.String()
}

// warn writes the warnings of all tasks of the part of one, each once.
func (a Agenda) warn(b *strings.Builder, of Task) {
	var hazards []moistheat.Hazard
	for _, t := range a {
		if t.Part == of.Part {
			hazards = append(hazards, t.Hazards...)
		}
	}
	for _, w := range load.WarningsOf(hazards...) {
		b.WriteString(of.in.Wrap("  ", "  ", warning(of.in, w)))
	}
}

// Agenda returns the order of the day at an instant, on the calendar of its zone: what comes
// before the first load, in order, what is due today and this week, and what is left at the
// end of the day. A test is in it by a duty of the policy, whose source it gives; the order of
// the tests and the handling beside them are common practice, and so marked. What is done is
// in it as done. It asks nothing that [History.Due] does not, but to look, to read and to put
// away.
func (h *History) Agenda(at time.Time) Agenda {
	h, _ = h.asOf(at)
	h = cmp.Or(h, &History{})
	var out Agenda
	all, doubts := h.due(at)
	for _, id := range h.Sterilizers() {
		u := h.units()[id]
		if u.retired(at) {
			continue
		}
		out = append(out, h.handling(id, u, at, slices.ContainsFunc(all, func(d Due) bool {
			return d.Sterilizer == id && d.Duty.Test == calendar.AirRemovalEvent
		}))...)
	}
	for i, d := range all {
		if t, in := taskOf(d, at); in {
			if doubts[i].IsValid() {
				t.why = lang.Join(". ", t.why, doubts[i])
			}
			out = append(out, t)
		}
	}
	out = append(out, h.awaited(at)...)
	out = append(out, append(h.left(at), h.lent(at)...)...)
	for i := range out {
		t := &out[i]
		t.What, t.Why = t.what.String(), strings.TrimSuffix(t.why.String(), ".")
	}
	slices.SortStableFunc(out, func(a, b Task) int {
		return cmp.Or(cmp.Compare(a.place(), b.place()), cmp.Compare(a.Sterilizer, b.Sterilizer),
			cmp.Compare(a.Device, b.Device), cmp.Compare(a.step(), b.step()))
	})
	return out
}

func (t *Task) place() int {
	return slices.Index([]Part{BeforeFirstLoad, Today, ThisWeek, Closing}, t.Part)
}

// The steps of an opening, in their order: a leak test is of a cold and dry chamber, an air
// removal test of one that is warm.
const (
	lookStep lang.Text = "day-look: check that the chamber is clean and dry and the door seal whole, " +
		"and fill the reservoir with fresh water"
	leakStep  lang.Text = "day-leak-test: leak test, in the cold and dry chamber"
	warmStep  lang.Text = "day-warm-up: run a cycle without a load to warm the chamber"
	drainStep lang.Text = "day-drain: drain the reservoir when it has cooled, clean and dry it, and leave the door ajar"
	stopStep  lang.Text = "day-no-load: run no load for patients"
)

// step is the place of a task in its part of the day of one machine.
func (t *Task) step() int {
	order := []moistheat.Detail{lang.Say(stopStep), lang.Say(lookStep), lang.Say(leakStep), lang.Say(warmStep),
		testName(calendar.AirRemovalEvent), testName(calendar.AutomaticControlTestEvent),
		testName(calendar.BiologicalTestEvent)}
	if i := slices.Index(order, t.what); i >= 0 {
		return i
	}
	return len(order)
}

// practice is the source of what no document of the policy says.
func practice(locator string) moistheat.Source {
	return moistheat.Source{Document: "practice of the trade", Locator: locator, Basis: moistheat.CommonPractice}
}

// handling returns what is done with a sterilizer beside its tests.
func (h *History) handling(id string, u *unitHistory, at time.Time, warm bool) (out []Task) {
	today := moistheat.DateOf(at)
	var last *occurrence
	ran := false
	for _, e := range u.timeline() {
		if e.start.After(at) {
			break
		}
		if e.kind == 0 || e.end.After(e.start) {
			last = e
			ran = ran || moistheat.DateOf(e.start.In(at.Location())) == today && e.kind != calendar.LeakEvent
		}
	}
	add := func(p Part, what lang.Text, s DueState, why moistheat.Detail, locator string, hazards ...moistheat.Hazard) {
		out = append(out, Task{Part: p, Sterilizer: id, what: lang.Say(what), State: s, why: why, Hazards: hazards,
			Source: practice(locator)})
	}
	if steps := u.steps(h.course(), at); len(steps) > 0 {
		add(BeforeFirstLoad, stopStep, Stopped, lang.Join(" ", steps...), "only evidence ends it")
	}
	why := lang.Say("agenda-not-used: no use of it is on record")
	if last != nil {
		why = lang.Say("agenda-last-used: it was last used on {1:date}",
			in(last.end, at.Location()).Format(time.DateOnly))
	}
	if !ran { // a load that was run is no evidence that this came before it
		add(BeforeFirstLoad, lookStep, DueNow, why, "the sterilizer at the beginning of the day", moistheat.BurnHazard)
	}
	if warm && !ran {
		add(BeforeFirstLoad, warmStep, DueNow, why, "a warm-up before the air removal test", moistheat.BurnHazard)
	}
	if ran {
		add(Closing, drainStep, DueNow, why, "the sterilizer at the end of the day", moistheat.BurnHazard,
			moistheat.PressureHazard)
	}
	return out
}

// taskOf returns where in the day a duty stands; one that is not due within a week is not in it.
func taskOf(d Due, at time.Time) (Task, bool) {
	t := Task{Part: ThisWeek, Sterilizer: d.Sterilizer, Device: d.Device,
		what: testName(d.Duty.Test), State: d.State, By: d.By,
		why: d.Duty.Words(), Source: d.Duty.Source}
	y, m, day := at.Date()
	tomorrow := time.Date(y, m, day+1, 0, 0, 0, 0, at.Location())
	switch d.Duty.Test {
	case calendar.LeakEvent:
		t.what = lang.Say(leakStep)
	case calendar.BiologicalTestEvent:
		t.Hazards = []moistheat.Hazard{moistheat.BiologicalHazard}
	case calendar.AirRemovalEvent, calendar.AutomaticControlTestEvent:
		t.Hazards = []moistheat.Hazard{moistheat.BurnHazard}
	case calendar.SealCheckEvent, calendar.PeelEvent:
		t.Hazards = []moistheat.Hazard{moistheat.BurnHazard}
	case calendar.SoilEvent, calendar.ProteinEvent, calendar.InspectionEvent:
		t.Hazards = []moistheat.Hazard{moistheat.SharpHazard, moistheat.ChemicalHazard}
	case calendar.ActivityEvent, calendar.BathChangeEvent:
		t.Hazards = []moistheat.Hazard{moistheat.ChemicalHazard}
	}
	pressing := d.State == DueNow && (d.By.IsZero() || !d.By.After(tomorrow)) || d.State == Overdue ||
		d.State == Failed || d.State == Stopped
	switch {
	case d.State == Pending:
		return t, false // the indicator is in it
	case d.Duty.Cadence == calendar.ByDayOfUse || beforeUse(d.Duty.Test) && pressing:
		t.Part = BeforeFirstLoad
	case pressing && d.By.IsZero() || d.State == Overdue || d.State == Failed:
		t.Part = BeforeFirstLoad
	case pressing:
		t.Part = Today
	case d.State == NotDue && (d.By.IsZero() || d.By.After(tomorrow.AddDate(0, 0, 7))):
		return t, false
	}
	return t, true
}

// awaited returns the indicators that are to be read, each with the time at which it is ready.
func (h *History) awaited(at time.Time) (out []Task) {
	y, m, day := at.Date()
	tomorrow := time.Date(y, m, day+1, 0, 0, 0, 0, at.Location())
	for _, id := range h.Sterilizers() {
		for _, e := range h.units()[id].timeline() {
			if e.bio != bioPending || e.start.After(at) {
				continue
			}
			t := Task{Part: Today, Sterilizer: id, State: Pending, By: in(e.read, at.Location()),
				what: lang.With("agenda-read: read the {1:text}", e.tested(at.Location())),
				why: lang.Say("agenda-ready: it is ready on {1:date}; until it is read it shows nothing",
					e.read.Format(time.RFC3339)),
				Hazards: []moistheat.Hazard{moistheat.BiologicalHazard},
				Source:  practice("the time that the indicator's instructions ask for"),
			}
			switch {
			case !e.read.After(at):
				t.State = Overdue
			case !e.read.Before(tomorrow.AddDate(0, 0, 1)):
				t.Part = ThisWeek
			case !e.read.Before(tomorrow):
				t.Part = Closing // tonight, or first tomorrow
			}
			out = append(out, t)
		}
	}
	return out
}

// left returns what is left at the end of the day: loads without a decision, those of earlier days
// too, and packs that may be used and are not put away, where the history has packs in store.
func (h *History) left(at time.Time) (out []Task) {
	today := moistheat.DateOf(at)
	shelf, shown := h.shelved(), h.shown()
	type packAt struct{ sterilizer, record, pack string }
	held := map[packAt]bool{}
	for _, s := range h.allSuspects() {
		for _, p := range s.Packs {
			held[packAt{s.Sterilizer, s.Record, p.ID}] = true
		}
	}
	undecided, older, lying := 0, 0, 0
	for _, id := range h.Sterilizers() {
		u := h.units()[id]
		outages := u.outages(u.timeline(), h.course())
		for _, e := range u.timeline() {
			if e.kind != 0 || e.start.After(at) || len(e.packs) == 0 { // a test cycle
				continue
			}
			of := moistheat.DateOf(e.start.In(at.Location())) == today
			switch {
			case e.released == moistheat.NotRecorded && of:
				undecided++
			case e.released == moistheat.NotRecorded:
				older++
			case of && len(h.stored()) > 0 && !slices.ContainsFunc(outages, func(o Outage) bool {
				return !e.start.Before(o.From) && (o.To.IsZero() || e.start.Before(o.To))
			}):
				stored := map[string]bool{}
				for _, s := range shelf[e] {
					stored[s.Pack] = true
				}
				for _, p := range e.packs {
					if !stored[p.id] && !held[packAt{id, e.id, p.id}] && e.stands(p.id, shown[e]) == loadGood &&
						cmp.Or(p.released, e.released) == moistheat.Yes {
						lying++
					}
				}
			}
		}
	}
	add := func(n int, part Part, what, why lang.Text, locator string) {
		if n > 0 {
			out = append(out, Task{Part: part, what: lang.Say(what, strconv.Itoa(n)), State: DueNow,
				why: lang.Say(why), Source: practice(locator)})
		}
	}
	const decide = "day-decide: decide on the loads without a decision: {1:number}"
	const room = "no load leaves the room without a decision"
	add(older, Today, decide, "day-earlier-loads: of loads of earlier days", room)
	add(undecided, Closing, decide, "day-todays-loads: of today's loads", room)
	add(lying, Closing, "day-put-away: put away the packs that are not in store: {1:number}",
		"day-todays-loads: of today's loads", "sterile packs in closed or covered cupboards")
	return out
}
