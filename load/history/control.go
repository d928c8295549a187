package history

import (
	"cmp"
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load"
	"example.com/moistheat/units"
)

// lotDay is what the tests share that one control may serve.
type lotDay struct {
	lot string
	day moistheat.Date
}

// vial is what a biological test says to others of its lot and day, and asks of them.
type vial struct {
	lotDay
	temperature units.Temperature // of the incubator
	grew        moistheat.Answer  // its control, of the same lot
	wants       bool              // a control, and it lacks nothing else
}

// vialOf returns that of a test of a day.
func vialOf(b *load.Biological, day moistheat.Date) vial {
	if ctl := b.Control; day.IsValid() && ctl != nil && ctl.Result == load.Negative &&
		ctl.Lot != "" && ctl.Lot != b.Lot {
		return vial{lotDay: lotDay{ctl.Lot, day}, grew: moistheat.No} // of another lot, it is dead all the same
	}
	v := vial{lotDay: lotDay{b.Lot, day}, temperature: CycleSetting{Temperature: b.Temperature}.normal().Temperature}
	if b.Lot == "" || !day.IsValid() {
		return vial{}
	}
	switch {
	case b.Control == nil:
		with := *b
		with.Control = &load.Control{Lot: b.Lot, Result: load.Positive}
		counts, _ := with.Counts(day)
		v.wants = counts == moistheat.Yes && b.Result == load.Negative
	case b.Control.Lot != b.Lot:
	case b.Control.Result == load.Positive:
		v.grew = moistheat.Yes
	case b.Control.Result == load.Negative:
		v.grew = moistheat.No
	}
	return v
}

// speechless returns what is left of it where a part of its record was taken back: what
// speaks against the lot.
func (v vial) speechless() vial {
	if v.wants = false; v.grew == moistheat.Yes {
		v.grew = moistheat.NotRecorded
	}
	return v
}

func speechless(tests []bioClaim) []bioClaim {
	tests = slices.Clone(tests)
	for i := range tests {
		tests[i].vial = tests[i].vial.speechless()
	}
	return tests
}

// lotsOf returns the lots and days of the tests of some versions, each once.
func lotsOf(all []*occurrence) (out []lotDay) {
	var seen map[lotDay]bool
	for _, v := range all {
		for _, b := range v.bios {
			if b.lot != "" && !seen[b.lotDay] {
				if seen == nil {
					seen = map[lotDay]bool{}
				}
				seen[b.lotDay], out = true, append(out, b.lotDay)
			}
		}
	}
	return out
}

// A control is that of a biological test: where it was incubated and what it showed. One
// that grew is carried by a negative test that counts, and no line differs about when that was.
type control struct {
	site        string
	temperature units.Temperature
	grew        bool
}

// lotTests are the happenings with tests of one lot and day.
type lotTests struct {
	controls map[occurrenceKey][]control
	wants    map[occurrenceKey]bool // one of others
	tally
}

// tally counts controls: those that grew by site and temperature, the others by site.
type tally struct {
	of   map[control]int
	dead int
}

func (t *tally) add(controls []control, n int) {
	if t.of == nil {
		t.of = map[control]int{}
	}
	for _, c := range controls {
		if !c.grew {
			c.temperature = units.Temperature{}
			t.dead += n
		}
		if t.of[c] += n; t.of[c] == 0 {
			delete(t.of, c)
		}
	}
}

// died returns how many of a site did not grow. One of no site may be of any.
func (t tally) died(site string) int {
	if site == "" {
		return t.dead
	}
	return t.of[control{site: site}] + t.of[control{}]
}

func (u *unitHistory) lot(of lotDay) *lotTests {
	if u.lots == nil {
		u.lots = map[lotDay]*lotTests{}
	}
	if u.lots[of] == nil {
		u.lots[of] = &lotTests{controls: map[occurrenceKey][]control{}, wants: map[occurrenceKey]bool{}}
	}
	return u.lots[of]
}

func dead(c control) bool { return !c.grew }

// put enters what a happening has, and reports whether that is anything new to the others
// that want a control, and, with one that did not grow, to every other.
func (t *lotTests) put(k occurrenceKey, all []*occurrence, has []control) (changed, every bool) {
	old, found := t.controls[k]
	t.controls[k] = has
	for _, v := range all {
		if slices.ContainsFunc(v.bios, func(b bioClaim) bool { return b.wants }) {
			t.wants[k] = true
		}
	}
	if found && slices.Equal(old, has) {
		return false, false
	}
	t.add(old, -1)
	t.add(has, 1)
	return true, slices.ContainsFunc(old, dead) || slices.ContainsFunc(has, dead)
}

// controlsOf returns those that a happening has, by lot and day.
func (u *unitHistory) controlsOf(k occurrenceKey, all []*occurrence, ids namesakes) map[lotDay][]control {
	left, _, _ := u.amended.leave(all, ids.others(u.amended, k, all))
	if len(left) == 0 {
		return nil
	}
	whole := left[0]
	if len(left) > 1 {
		whole = join(all, left)
	}
	good := whole.bio == bioGood && whole.exact() &&
		!slices.ContainsFunc(left, func(v *occurrence) bool { return v.doubted || v.site != left[0].site })
	type entry struct {
		lotDay
		control
	}
	out, seen := map[lotDay][]control{}, map[entry]bool{}
	for _, v := range left {
		for _, b := range v.bios {
			c := control{v.site, b.temperature, b.grew == moistheat.Yes}
			e := entry{b.lotDay, c}
			if (b.grew == moistheat.No || c.grew && good && b.state == bioGood) && !seen[e] {
				seen[e], out[b.lotDay] = true, append(out[b.lotDay], c)
			}
		}
	}
	return out
}

// beside says what the controls of other happenings are to a test: whether one that serves
// it grew, and whether one did not. own are the controls of its own happening.
func (t *lotTests) beside(own tally, site string, b *bioClaim) (grew, died bool) {
	same := control{site, b.temperature, true}
	return b.temperature.IsValid() && t.of[same] > own.of[same], t.died(site) > own.died(site)
}

// served returns versions of a happening with what the controls beside their tests make
// of them, and whether that is anything else. A test that has no control of its own is
// served by one of another happening that grew; one that did not grow voids every test of
// its lot and day.
func (u *unitHistory) served(k occurrenceKey, left []*occurrence) ([]*occurrence, bool) {
	changed := false
	died := map[lotDay]bool{} // a control of one of them did
	lent := map[lotDay]tally{}
	for _, v := range left {
		for _, b := range v.bios {
			if b.grew == moistheat.No {
				died[b.lotDay] = true
			}
		}
	}
	for i, v := range left {
		if len(v.bios) == 0 {
			continue
		}
		own := *v
		own.bios = slices.Clone(v.bios)
		for j := range own.bios {
			b := &own.bios[j]
			if b.lot == "" {
				continue
			}
			t := u.lot(b.lotDay)
			own, counted := lent[b.lotDay]
			if !counted {
				own.add(t.controls[k], 1)
				lent[b.lotDay] = own
			}
			grew, void := t.beside(own, v.site, b)
			void = void || died[b.lotDay]
			switch {
			case void && (b.state == bioGood || b.state == bioOpen):
				b.state, b.why = bioVoid, lang.Say("control-of-lot-negative: a control of its lot and day is negative")
			case !void && grew && b.wants && b.state == bioVoid:
				b.state, b.why = bioGood, moistheat.Detail{}
			}
		}
		if slices.Equal(own.bios, v.bios) {
			continue
		}
		if own.bio, own.why = comeTo(own.bios); v.bio == bioGood && own.bio != bioGood && v.implants != moistheat.No {
			own.packs = slices.Clone(v.packs)
			own.doubt()
		}
		if !changed {
			changed, left = true, slices.Clone(left)
		}
		left[i] = &own
	}
	return left, changed
}

// knownControls returns the controls that other happenings have of the lots of a load.
func (u *unitHistory) knownControls(own *occurrence) (out []load.KnownControl) {
	seen := map[load.KnownControl]bool{}
	for _, lot := range lotsOf([]*occurrence{own}) {
		for k, all := range cmp.Or(u.lots[lot], &lotTests{}).controls {
			for _, c := range all {
				known := load.KnownControl{Lot: lot.lot, Date: lot.day, Temperature: c.temperature, Result: load.Positive}
				if !c.grew {
					known.Result = load.Negative
				}
				if k != own.key() && (c.site == own.site || !c.grew && (c.site == "" || own.site == "")) &&
					!seen[known] {
					seen[known], out = true, append(out, known)
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b load.KnownControl) int {
		return cmp.Or(strings.Compare(a.Lot, b.Lot), strings.Compare(string(a.Result), string(b.Result)),
			strings.Compare(a.Temperature.String(), b.Temperature.String()))
	})
	return out
}
