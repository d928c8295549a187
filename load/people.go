package load

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// peoplePolicy says which two people a policy wants apart.
type peoplePolicy struct {
	PackerApart  moistheat.Answer `json:"packerApart,omitzero"`  // a load is not released by who packed it
	SecondReader moistheat.Answer `json:"secondReader,omitzero"` // two people read each biological indicator
	Source       moistheat.Source `json:"source"`
}

// inheritPeople takes from the base what the document leaves open, and asks for a decision
// where it asks less.
func (d *policyDoc) inheritPeople(b *policyDoc, undecided func(pointer, what string) error) error {
	switch {
	case b.People == nil:
		return nil
	case d.People == nil:
		d.People = b.People
		return nil
	}
	own := *d.People
	for _, m := range [...]struct {
		own       *moistheat.Answer
		base      moistheat.Answer
		at, means string
	}{
		{&own.PackerApart, b.People.PackerApart, "/people/packerApart", "lets a person release what they packed"},
		{&own.SecondReader, b.People.SecondReader, "/people/secondReader", "does without a second reader"},
	} {
		switch {
		case *m.own == moistheat.NotRecorded:
			*m.own = m.base
		case m.base == moistheat.Yes && *m.own == moistheat.No:
			if err := undecided(m.at, m.means); err != nil {
				return err
			}
		}
	}
	d.People = &own
	return nil
}

// people asks who prepared, ran and read a load, and which of them were to be two. Who
// released it is asked with the release. Whether a person was there that day is not asked.
func (c *checker) people() {
	c.unlisted()
	c.apart()
	c.secondReaders()
}

// unlisted asks whether those whom the record names are on the list of the staff on that
// day, for what they did. Each person is asked about once for each duty. Where there is no
// list no person is asked about.
func (c *checker) unlisted() {
	s := c.r.source
	if s == nil || len(s.facts.c.Staff) == 0 {
		c.Ask(staffUnlisted, "").When(false)
		return
	}
	type act struct {
		name string
		duty Duty
	}
	asked, before := map[act]bool{}, len(c.Findings)
	did := func(name string, duty Duty, day moistheat.Date, at string) {
		if name == "" || asked[act{name, duty}] {
			return
		}
		asked[act{name, duty}] = true
		c.Ask(staffUnlisted, at).With("by", name).Say("duty", duty.text()).
			Given(day.IsValid()).BrokenIf(!s.facts.may(name, duty, day))
	}
	day, ended := c.r.Load.Date, ask.Some(c.r.Cycle).Ended
	did(c.r.Load.PreparedBy, DutyPrepare, day, "/load/preparedBy")
	for i := range c.r.Packs {
		did(ask.Some(c.r.Packs[i].Label).Packer, DutyPrepare, day, packAt(i)+"/label/packer")
	}
	did(ask.Some(c.r.Cycle).Operator, DutyRun, day, "/cycle/operator")
	did(c.r.Monitors.ReadBy, DutyRead, day, "/monitors/readBy")
	for i := range c.r.Monitors.Biologicals {
		b, at := &c.r.Monitors.Biologicals[i], "/monitors/biologicals/"+strconv.Itoa(i)
		read := day
		if hours := b.Incubated.Float64(units.Hour); b.Incubated.IsValid() && hours < 24*365 && !ended.IsZero() {
			read = moistheat.DateOf(ended.Add(time.Duration(hours * float64(time.Hour))))
		}
		did(b.ReadBy, DutyRead, read, at+"/readBy")
		did(b.SecondReader, DutyRead, read, at+"/secondReader")
	}
	if len(c.Findings) == before {
		c.Ask(staffUnlisted, "").When(false)
	}
}

// text says what a duty is, after "to".
func (d Duty) text() moistheat.Detail {
	switch d {
	case DutyPrepare:
		return lang.Say("staff-prepare: prepare packs")
	case DutyRun:
		return lang.Say("staff-run: run the sterilizer")
	case DutyRead:
		return lang.Say("staff-read: read indicators")
	}
	return lang.Say("staff-release: release loads")
}

// apart asks, where the policy does, that a load is not released by who packed it.
func (c *checker) apart() {
	r, p := c.r.Release, ask.Some(c.p.doc.People)
	q := c.Ask(staffApart, "/release/by").By(p.Source).
		When(p.PackerApart == moistheat.Yes && r != nil && r.Decision == moistheat.Release)
	if q.Answered() {
		return
	}
	by, known := spelt(r.By), true
	for i := range c.r.Packs {
		packer := spelt(ask.Some(c.r.Packs[i].Label).Packer)
		if packer == "" {
			packer = spelt(c.r.Load.PreparedBy)
		}
		known = known && packer != ""
		if packer != "" && strings.EqualFold(packer, by) {
			q.With("by", by).With("pack", c.r.Packs[i].ID).Broken()
			return
		}
	}
	q.Known(known && by != "")
}

// spelt returns a name with one space between its parts: so, and in either case of letters, it
// is one name.
func spelt(name string) string { return strings.Join(strings.Fields(name), " ") }

// secondReaders asks, where the policy does, that two people read each biological indicator
// without growth.
func (c *checker) secondReaders() {
	p := ask.Some(c.p.doc.People)
	asked := false
	for i := range c.r.Monitors.Biologicals {
		b := &c.r.Monitors.Biologicals[i]
		if p.SecondReader != moistheat.Yes || b.Result != Negative {
			continue
		}
		asked = true
		first, second := spelt(b.ReadBy), spelt(b.SecondReader)
		c.Ask(biologicalSecond, "/monitors/biologicals/"+strconv.Itoa(i)).By(p.Source).
			Given(first != "" && second != "").BrokenIf(strings.EqualFold(first, second)).Detail("by", first)
	}
	if !asked {
		c.Ask(biologicalSecond, "").When(false)
	}
}

// may reports whether a person was on the list of the staff on a day, for a duty.
func (f *Facts) may(name string, duty Duty, day moistheat.Date) bool {
	i := f.find("staff", name, day, func(i int) Entry { return f.c.Staff[i].Entry })
	return i >= 0 && slices.Contains(f.c.Staff[i].Duties, duty)
}
