package load

import (
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// packIndicators judges the chemical indicators of one pack. That they are there
// is judged by package packaging.
func (c *checker) packIndicators(p *Pack) {
	outside, inside := false, false
	for i := range p.Indicators {
		ind := &p.Indicators[i]
		at := "/indicators/" + strconv.Itoa(i)
		rule := indicatorExternal
		if ind.Place == packaging.Internal {
			// An indicator that can only be seen by opening the pack is read at use.
			if ind.Result == "" && ind.Visible != moistheat.Yes {
				continue
			}
			rule, inside = indicatorInternal, true
		} else {
			outside = true
		}
		if ind.Result == "" {
			c.Add(rule, moistheat.Undetermined, at)
		} else {
			c.Add(rule, ask.If(ind.Result != packaging.Reached), at)
		}
	}
	if !outside {
		c.Skip(indicatorExternal, "")
	}
	if !inside {
		c.Skip(indicatorInternal, "")
	}
}

// indicators judges the load's chemical indicators together, and its wet packs.
func (c *checker) indicators() {
	read, unchanged, failed, wet := 0, 0, 0, 0
	for i := range c.r.Packs {
		p := &c.r.Packs[i]
		if p.After.Dry == moistheat.No {
			wet++
		}
		bad := false
		for j := range p.Indicators {
			switch ind := &p.Indicators[j]; {
			case ind.Place == packaging.External && ind.Result != "":
				read++
				if ind.Result == packaging.NotReached {
					unchanged++
				}
			case ind.Place == packaging.Internal && ind.Result == packaging.NotReached:
				bad = true
			}
		}
		if bad {
			failed++
		}
	}
	if read == 0 {
		c.Skip(indicatorNoneexternal, "/packs")
	} else {
		c.Add(indicatorNoneexternal, ask.If(unchanged == read), "/packs")
	}
	c.count(indicatorManyinternal, failed)
	c.count(packWetload, wet)
	ch := c.r.Monitors.Challenge
	switch {
	case ch == nil:
		c.Skip(challengeFailed, "")
	case ch.Result == "":
		c.Add(challengeFailed, moistheat.Undetermined, "/monitors/challenge")
	default:
		c.Add(challengeFailed, ask.If(ch.Result != packaging.Reached), "/monitors/challenge")
	}
}

// count adds a rule that two or more packs of a kind break.
func (c *checker) count(r ask.ID, n int) {
	ask.With(c.Add(r, ask.If(n > 1), "/packs"), "count", strconv.Itoa(n))
}

func (c *checker) biologicals() {
	valid := false
	for i := range c.r.Monitors.Biologicals {
		b := &c.r.Monitors.Biologicals[i]
		at := "/monitors/biologicals/" + strconv.Itoa(i)
		switch b.Result {
		case "":
			c.Add(biologicalPositive, moistheat.Undetermined, at)
		case Incubating:
			c.Skip(biologicalPositive, at)
		default:
			c.Add(biologicalPositive, ask.If(b.Result == Grew), at)
		}
		if b.Result == "" || b.Result == Incubating {
			c.Add(biologicalPending, moistheat.Undetermined, at)
		} else {
			c.Add(biologicalPending, moistheat.Met, at)
		}
		counts, why := b.Counts(c.r.Load.Date)
		if b.Result == Incubating && counts == moistheat.NotRecorded {
			c.Skip(biologicalVoid, at) // there is no result yet to be void
		} else {
			ask.With(c.Answer(biologicalVoid, counts, moistheat.Yes, at), "why", why)
		}
		c.early(b, at)
		if c.wrapped {
			c.Answer(biologicalBare, b.Enclosed, moistheat.Yes, at)
		} else {
			c.Skip(biologicalBare, at)
		}
		c.Answer(biologicalPartload, b.FullLoad, moistheat.Yes, at)
		valid = valid || counts == moistheat.Yes && b.Result == NoGrowth
	}
	if len(c.r.Monitors.Biologicals) == 0 {
		for _, r := range []ask.ID{biologicalPositive, biologicalPending, biologicalVoid, biologicalEarly, biologicalBare, biologicalPartload} {
			c.Skip(r, "")
		}
	}
	c.overdue(valid)
}

// Counts says whether a biological test of a load of that day counts as a test, and if not or if that is
// unknown, why.
func (b *Biological) Counts(day moistheat.Date) (moistheat.Answer, string) {
	var void, open []string
	bad := func(why string) { void = append(void, why) }
	ask := func(why string) { open = append(open, why) }
	read := b.Result == NoGrowth || b.Result == Grew
	switch ctl := b.Control; {
	case ctl == nil:
		bad("no control was incubated")
	default:
		switch {
		case ctl.Result == NoGrowth:
			bad("its control did not grow")
		case ctl.Result != Grew:
			ask("the control's result is not recorded")
		}
		switch {
		case b.Lot == "" || ctl.Lot == "":
			ask("the lot of the indicator or of its control is not recorded")
		case b.Lot != ctl.Lot:
			bad("the control is of lot " + ctl.Lot + ", the indicator of lot " + b.Lot)
		}
	}
	switch {
	case !b.Expires.IsValid() || !day.IsValid():
		ask("the indicator's expiry or the load's date is not recorded")
	case day.Compare(b.Expires) > 0:
		bad("the indicator expired on " + b.Expires.String())
	}
	low, high := figures().IncubatorLow.Value, figures().IncubatorHigh.Value
	switch {
	case !b.Temperature.IsValid():
		ask("the incubator's temperature is not recorded")
	case b.Temperature.Compare(low) < 0 || b.Temperature.Compare(high) > 0:
		bad("it was incubated at " + b.Temperature.String() + ", not between " + low.String() + " and " + high.String())
	}
	switch b.Suited {
	case moistheat.NotRecorded:
		ask("whether it is made for this process, and was read as its maker says, is not recorded")
	case moistheat.No:
		bad("it is not made for this process or was not read as its maker says")
	}
	if read {
		switch {
		case !b.Incubated.IsValid() || !b.Readout.IsValid():
			ask("the incubation or the maker's reading time is not recorded")
		case b.Result == NoGrowth && b.Incubated.Compare(b.Readout) < 0:
			bad("it was read after " + b.Incubated.String() + " and not after " + b.Readout.String())
		}
	}
	switch {
	case len(void) > 0:
		return moistheat.No, strings.Join(void, "; ")
	case b.Result == Incubating:
		return moistheat.NotRecorded, "it is still incubating"
	case !read:
		return moistheat.NotRecorded, "its result is not recorded"
	case len(open) > 0:
		return moistheat.NotRecorded, strings.Join(open, "; ")
	}
	return moistheat.Yes, ""
}

func (c *checker) early(b *Biological, at string) {
	switch {
	case b.Result != NoGrowth:
		c.Skip(biologicalEarly, at)
	case !b.Incubated.IsValid() || !b.Readout.IsValid():
		c.Add(biologicalEarly, moistheat.Undetermined, at)
	default:
		f := c.Add(biologicalEarly, ask.If(b.Incubated.Compare(b.Readout) < 0), at)
		f.Measured, f.Limit = b.Incubated.Value(), b.Readout.Value()
	}
}

// overdue asks how old the last valid biological test is when this load ends. A
// valid negative test in this load makes it none.
func (c *checker) overdue(valid bool) {
	lim := c.p.doc.Limits.BiologicalInterval
	if lim == nil {
		c.Skip(biologicalOverdue, "")
		return
	}
	var now time.Time
	if cy := c.r.Cycle; cy != nil {
		if now = cy.Ended; now.IsZero() {
			now = cy.Started
		}
	}
	last := c.r.Monitors.LastValidBiological
	at := section(!last.IsZero(), "/monitors/lastValidBiological")
	var f *moistheat.Finding
	switch {
	case valid:
		f = c.Add(biologicalOverdue, moistheat.Met, "/monitors/biologicals")
	case last.IsZero() || now.IsZero():
		f = c.Add(biologicalOverdue, moistheat.Undetermined, at)
	default:
		age := elapsed(last, now)
		f = c.Add(biologicalOverdue, ask.If(age.Compare(lim.Value) > 0), at)
		f.Measured = age.Convert(units.Day, 1, units.Up).Value()
	}
	f.Limit, f.Sources = lim.Value.Value(), moistheat.SourcesOf(lim.Source)
}

func (c *checker) implants() {
	var packs []int
	open := false
	for i := range c.r.Packs {
		switch c.r.Packs[i].Has(packaging.Implant) {
		case moistheat.Yes:
			packs = append(packs, i)
		case moistheat.NotRecorded:
			open = true
		}
	}
	tests := c.r.Monitors.Biologicals
	for _, i := range packs {
		c.Add(implantUntested, ask.If(len(tests) == 0), "/packs/"+strconv.Itoa(i))
	}
	if len(packs) == 0 {
		if open && len(tests) == 0 {
			c.Add(implantUntested, moistheat.Undetermined, "/packs")
		} else {
			c.Skip(implantUntested, "")
		}
	}
	if len(packs) == 0 || len(tests) == 0 {
		c.Skip(implantPending, "")
		c.Skip(implantVoid, "")
		return
	}
	const at = "/monitors/biologicals"
	grew, read, counts := false, false, moistheat.No
	for i := range tests {
		grew = grew || tests[i].Result == Grew
		if tests[i].Result != NoGrowth {
			continue
		}
		read = true
		switch ok, _ := tests[i].Counts(c.r.Load.Date); {
		case ok == moistheat.Yes:
			counts = ok
		case ok == moistheat.NotRecorded && counts == moistheat.No:
			counts = ok
		}
	}
	if grew || read {
		c.Add(implantPending, ask.If(grew), at)
	} else {
		f := c.Add(implantPending, moistheat.Undetermined, at)
		f.Waiver = c.emergency(packs)
	}
	if !read {
		c.Skip(implantVoid, at)
		return
	}
	c.Answer(implantVoid, counts, moistheat.Yes, at)
}

// emergency returns the documented early release of an implant, if there is one:
// reason and name recorded, and an integrating indicator (type 5) or a stricter one
// at its end point in the challenge device or in every pack with an implant.
func (c *checker) emergency(packs []int) *moistheat.Waiver {
	if c.r.Release == nil || c.r.Release.Emergency == nil {
		return nil
	}
	e := c.r.Release.Emergency
	if e.Reason == "" || e.ApprovedBy == "" {
		return nil
	}
	ch := c.r.Monitors.Challenge
	passed := ch != nil && ch.IndicatorType >= 5 && ch.Result == packaging.Reached
	if !passed {
		passed = true
		for _, i := range packs {
			in := false
			for j := range c.r.Packs[i].Indicators {
				ind := &c.r.Packs[i].Indicators[j]
				in = in || ind.Place == packaging.Internal && ind.Type >= 5 && ind.Result == packaging.Reached
			}
			passed = passed && in
		}
	}
	if !passed {
		return nil
	}
	return &moistheat.Waiver{
		Rule: book.Name(implantPending), Pointer: "/monitors/biologicals", Author: e.ApprovedBy,
		Reason: "documented emergency, the biological result must still be entered: " + e.Reason,
	}
}
