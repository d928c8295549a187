package history

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"time"

	"example.com/moistheat"
)

// packKey tells packs apart.
type packKey struct{ record, sterilizer, load, pack string }

func (k packKey) compare(o packKey) int {
	return cmp.Or(cmp.Compare(k.record, o.record), cmp.Compare(k.sterilizer, o.sterilizer), cmp.Compare(k.load, o.load),
		cmp.Compare(k.pack, o.pack))
}

// storedVersion is what one line says of a pack.
type storedVersion struct {
	*StoredPack
	line  digest
	takes []string // by amendments
	open  []string // ... of which no line says what is right
	blind bool     // when it was used and for whom was left out
}

func (v storedVersion) tookBack(member string) bool {
	return slices.ContainsFunc(v.takes, func(p string) bool { return covers(p, member) })
}

// shelvedPack is what all lines say of a pack: the version that says most, and what no
// other may hide.
type shelvedPack struct {
	*StoredPack
	said    []storedVersion // by line
	left    []storedVersion // what amendments leave
	implant moistheat.Answer
	asked   bool // a line may say whether it holds one
}

// packs returns the keys of the packs, sorted.
func (h *History) packs() []packKey {
	return slices.SortedFunc(maps.Keys(h.stored()), packKey.compare)
}

// AddStored takes in what is known of a pack in store or used, and returns what
// [StoredPack.Validate] says of it: one that no document could hold is taken in as it is. Every line about a pack
// counts: each use that one of them says, an implant that one of them says. For the rest
// the one that was used counts, then the one used first, then the one that says more.
func (h *History) AddStored(s *StoredPack) error {
	h.addStored(s)
	return s.Validate()
}

func (h *History) addStored(s *StoredPack) {
	if h == nil || s == nil {
		return
	}
	own := *s
	use := ""
	if s.Use != nil {
		u := *s.Use
		own.Use, use = &u, fmt.Sprintf("%+v", u)
	}
	h.putStored(storedVersion{StoredPack: &own, line: digestOf(own, func() string {
		plain := own
		plain.Use = nil
		return fmt.Sprintf("%+v%s", plain, use)
	})})
}

func (h *History) putStored(v storedVersion) {
	if h.shelf == nil {
		h.shelf = map[packKey]*shelvedPack{}
	}
	key := packKey{v.Record, v.Sterilizer, v.Load, v.Pack}
	t := h.deliveries[key]
	if t == nil {
		t = &delivery{all: cmp.Or(h.shelf[key], &shelvedPack{}).said}
		if h.unread = true; h.deliveries == nil {
			h.deliveries = map[packKey]*delivery{}
		}
		h.deliveries[key] = t
	}
	t.add(v)
}

// delivery are the lines about a pack of which more came than were put together, as
// [incoming] has those about a load.
type delivery struct{ all, more []storedVersion }

func (t *delivery) add(v storedVersion) {
	if t.more = append(t.more, v); len(t.more) > 16+len(t.all) {
		t.all, t.more = t.sorted(), nil
	}
}

// sorted returns the lines in order, each once: the one that leaves nothing out.
func (t *delivery) sorted() []storedVersion {
	same := func(a, b storedVersion) int { return bytes.Compare(a.line[:], b.line[:]) }
	all := slices.SortedStableFunc(slices.Values(slices.Concat(t.all, t.more)), func(a, b storedVersion) int {
		if c := same(a, b); c != 0 || a.blind == b.blind {
			return c
		} else if a.blind {
			return 1
		}
		return -1
	})
	return slices.CompactFunc(all, func(a, b storedVersion) bool { return same(a, b) == 0 })
}

// shelve returns what lines about one pack come to together.
func (h *History) shelve(all []storedVersion) *shelvedPack {
	out := &shelvedPack{said: all, left: h.amended.leaveStored(all)}
	for _, v := range out.left {
		out.take(v)
	}
	if out.StoredPack == nil { // all that was said of it was taken back
		first := all[0]
		out.StoredPack = &StoredPack{
			Record: first.Record, Sterilizer: first.Sterilizer, Load: first.Load, Pack: first.Pack,
		}
	}
	return out
}

// take takes up what a line says.
func (s *shelvedPack) take(v storedVersion) {
	if s.StoredPack == nil || supersedes(v.StoredPack, s.StoredPack) {
		s.StoredPack = v.StoredPack
	}
	if !v.tookBack("/implant") || v.Implant == moistheat.Yes {
		if !s.asked {
			s.asked, s.implant = true, v.Implant
		}
		s.implant = anyYesOrUnknown(s.implant, v.Implant)
	}
}

// uses returns those that lines say, by time and patient.
func (s *shelvedPack) uses() []*Use {
	var out []*Use
	for _, v := range s.left {
		if v.Use != nil {
			out = append(out, v.Use)
		}
	}
	return distinct(out)
}

// used reports whether any line says that the pack was.
func (s *shelvedPack) used() bool {
	return slices.ContainsFunc(s.left, func(v storedVersion) bool { return v.Use != nil })
}

func compareUses(a, b *Use) int {
	return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(a.Patient, b.Patient), compareTimes(a.Time, b.Time))
}

// distinct returns uses by time and patient, each once, without those of which another says
// all that they do of time and patient, and more: they may be one.
func distinct(uses []*Use) []*Use {
	if len(uses) < 2 {
		return uses
	}
	uses = slices.SortedFunc(slices.Values(uses), compareUses)
	uses = slices.CompactFunc(uses, func(a, b *Use) bool { return a.Time.Equal(b.Time) && a.Patient == b.Patient })
	of := map[string]int{} // uses for each patient
	for _, u := range uses {
		of[u.Patient]++
	}
	return slices.DeleteFunc(slices.Clone(uses), func(u *Use) bool {
		i, _ := slices.BinarySearchFunc(uses, u, compareUses)
		switch timed := !u.Time.IsZero(); {
		case timed && u.Patient != "":
			return false
		case timed: // without a patient it is the first of its time
			return i+1 < len(uses) && uses[i+1].Time.Equal(u.Time)
		case u.Patient != "":
			return of[u.Patient] > 1
		}
		return len(uses) > 1
	})
}

// sterilized returns the days that labels give; open: one of them gives none.
func (s *shelvedPack) sterilized() (days []moistheat.Date, open bool) {
	asked := false
	for _, v := range s.left {
		switch {
		case v.tookBack("/sterilized"):
			continue
		case v.Sterilized.IsValid():
			days = append(days, v.Sterilized)
		default:
			open = true
		}
		asked = true
	}
	return days, open || !asked
}

// contradictory returns the names of what lines about the pack contradict each other
// about. Where it is kept and what was seen of it may change.
func (s *shelvedPack) contradictory() []string {
	var all [][]fact
	for _, v := range s.left {
		all = append(all, v.facts())
	}
	if len(all) < 2 {
		return nil
	}
	out := differing(all)
	if len(s.uses()) > 1 {
		out = append(out, "use")
	}
	return out
}

// facts returns what a line says of a pack, as far as two of them can contradict each
// other.
func (v storedVersion) facts() []fact {
	answer := func(a moistheat.Answer) string {
		if a == moistheat.NotRecorded {
			return ""
		}
		return a.String()
	}
	date := func(d moistheat.Date) string {
		if !d.IsValid() {
			return ""
		}
		return d.String()
	}
	return []fact{
		{"fact: day of sterilization", date(v.Sterilized)}, {"fact: expiry", date(v.Expires)}, {"fact: contents", v.Contents},
		{"fact: category", v.Category}, {"fact: barrier", string(v.Barrier)}, {"fact: wrapped", answer(v.Wrapped)},
		{"fact: implant", answer(v.Implant)}, {"fact: suspected prion case", answer(v.PrionSuspected)},
		{"fact: fate", string(v.Fate)},
	}
}

// leaveStored returns what is left of versions of a pack.
func (as *amendments) leaveStored(all []storedVersion) []storedVersion {
	if as.none() {
		return all
	}
	takes, open := map[int][]string{}, map[int][]string{}
	for _, t := range as.takings(claimsOfStored(all)) {
		if t.counts() {
			takes[t.version] = append(takes[t.version], t.pointer)
		}
		if t.fate == unanswered {
			open[t.version] = append(open[t.version], t.pointer)
		}
	}
	var left []storedVersion
	for i, v := range all {
		v.takes, v.open = once(takes[i]), once(open[i])
		if v, ok := v.amended(); ok {
			left = append(left, v)
		}
	}
	return left
}

// claimsOfStored returns versions of a pack.
func claimsOfStored(all []storedVersion) claims {
	c := claims{kind: reflect.TypeFor[StoredPack](), others: len(all)}
	for _, v := range all {
		c.lines = append(c.lines, []said{{line: v.line}})
	}
	c.signed = func(i int, pointer string) time.Time {
		switch v := all[i]; {
		case v.Use != nil && !v.Use.Time.IsZero() && pointer != "/use/time":
			return v.Use.Time
		case v.Sterilized.IsValid() && pointer != "/sterilized":
			return v.Sterilized.Time()
		}
		return time.Time{}
	}
	said := map[int]map[string]string{}
	members := func(i int) map[string]string {
		if said[i] == nil {
			said[i] = all[i].members()
		}
		return said[i]
	}
	c.differ = func(i, j int, pointer string) bool {
		a, b := members(i), members(j)
		for member, text := range a {
			if other := b[member]; covers(pointer, member) && text != other && other != "" {
				return true
			}
		}
		return false
	}
	c.right = func(i, j int, pointer string) bool {
		a, b := members(i), members(j)
		for member := range a {
			if covers(pointer, member) && (member == "/implant" || member == "/use/patient" || member == "/use/time" ||
				pointer != "") && b[member] == "" {
				return false
			}
		}
		return all[i].Use == nil || !covers(pointer, "/use") || all[j].Use != nil
	}
	return c
}

// members returns the members of a pack, of its use too, as JSON by their pointers.
func (v storedVersion) members() map[string]string {
	var top map[string]json.RawMessage
	data, _ := json.Marshal(v.StoredPack) // of one that is no document nothing is known
	_ = json.Unmarshal(data, &top)
	out := map[string]string{}
	for name, value := range top {
		var use map[string]json.RawMessage
		if name == "use" && json.Unmarshal(value, &use) == nil {
			for name, value := range use {
				out["/use/"+name] = string(value)
			}
			continue
		}
		out["/"+name] = string(value)
	}
	return out
}

// amended returns a version without what is taken back, and whether anything is left.
func (v storedVersion) amended() (storedVersion, bool) {
	waits := func(member string) bool { // for the line that says what is right
		return slices.ContainsFunc(v.open, func(p string) bool { return covers(p, member) })
	}
	if v.tookBack("") && !waits("") {
		return v, false
	}
	if len(v.takes) == 0 {
		return v, true
	}
	own := *v.StoredPack
	if v.tookBack("/use") && !waits("/use") {
		own.Use = nil
	} else if own.Use != nil {
		use := *own.Use
		if v.tookBack("/use/patient") && !waits("/use/patient") {
			use.Patient = ""
		}
		if v.tookBack("/use/time") && !waits("/use/time") {
			use.Time = time.Time{}
		}
		if v.tookBack("/use/prionSuspected") && !waits("/use/prionSuspected") {
			use.PrionSuspected = moistheat.NotRecorded
		}
		own.Use = &use
	}
	if v.tookBack("/implant") && (!waits("/implant") || own.Implant == moistheat.No) {
		own.Implant = moistheat.NotRecorded
	}
	if v.tookBack("/prionSuspected") && !waits("/prionSuspected") {
		own.PrionSuspected = moistheat.NotRecorded
	}
	if v.tookBack("/sterilized") {
		own.Sterilized = moistheat.Date{}
	}
	if v.tookBack("/expires") {
		own.Expires = moistheat.Date{}
	}
	if v.tookBack("/contents") {
		own.Contents = ""
	}
	if v.tookBack("/fate") && !waits("/fate") {
		own.Fate = ""
	}
	v.StoredPack = &own
	return v, true
}

func supersedes(a, b *StoredPack) bool {
	switch {
	case (a.Use == nil) != (b.Use == nil):
		return a.Use != nil
	case a.Use != nil && !a.Use.Time.Equal(b.Use.Time):
		return earlier(a.Use.Time, b.Use.Time).Equal(a.Use.Time)
	case a.Use != nil && a.Use.Patient != b.Use.Patient:
		return a.Use.Patient > b.Use.Patient
	}
	// The one that leaves nothing out of the other has the longer text. Otherwise any
	// order that does not depend on arrival.
	x, _ := json.Marshal(a)
	y, _ := json.Marshal(b)
	return cmp.Or(cmp.Compare(len(x), len(y)), bytes.Compare(x, y)) > 0
}

// A saying is what a line says of a pack, completed, with the day of the look as that line itself gives it.
type saying struct {
	StoredPack
	looked moistheat.Date
}

// completed returns what lines say of the pack before its use, each with what it leaves out and
// the others agree on; of what is seen of a pack those that are not of an earlier look, and of a
// journey those of the same day.
func (s *shelvedPack) completed() []saying {
	var out []saying
	for _, v := range s.left {
		if v.Use == nil {
			out = append(out, saying{*v.StoredPack, v.Checked})
		}
	}
	latest := make([]*saying, len(out))
	for i := range out {
		latest[i] = &out[i]
	}
	slices.SortStableFunc(latest, func(a, b *saying) int { return b.looked.Compare(a.looked) })
	kind := reflect.TypeFor[StoredPack]()
	for i := range kind.NumField() {
		name, _, _ := strings.Cut(kind.Field(i).Tag.Get("json"), ",")
		look, journey := ofLook("/"+name), ofJourney("/"+name)
		if !look && !journey {
			complete(latest, i, reflect.Value{})
			continue
		}
		var agreed reflect.Value
		for rest := latest; len(rest) > 0; {
			n := 1
			for n < len(rest) && rest[n].looked == rest[0].looked {
				n++
			}
			if journey {
				agreed = reflect.Value{}
			}
			agreed = complete(rest[:n], i, agreed)
			rest = rest[n:]
		}
	}
	return out
}

// complete gives lines that leave out a field what they and later ones agree on, and returns it: the
// zero Value where none says anything, a zero of the field where they do not agree.
func complete(lines []*saying, field int, agreed reflect.Value) reflect.Value {
	for _, l := range lines {
		switch got := reflect.ValueOf(&l.StoredPack).Elem().Field(field); {
		case got.IsZero():
		case !agreed.IsValid():
			agreed = got
		case !reflect.DeepEqual(agreed.Interface(), got.Interface()):
			agreed = reflect.Zero(got.Type())
		}
	}
	if !agreed.IsValid() || agreed.IsZero() {
		return agreed
	}
	for _, l := range lines {
		reflect.ValueOf(&l.StoredPack).Elem().Field(field).Set(agreed)
	}
	return agreed
}

// ofLook reports whether a member of a stored pack is what a person sees of it.
func ofLook(member string) bool {
	return member == "/dry" || member == "/intact" || member == "/dropped" || member == "/laidOut"
}

// ofJourney reports whether a member of a stored pack is of its way from one site to another.
func ofJourney(member string) bool {
	return member == "/carried" || member == "/proof" || member == "/withUnsterile"
}

// speaksFor reports whether what one look shows answers what a finding of another leaves open: not
// what an earlier one saw, and not what another journey was.
func (o saying) speaksFor(f moistheat.Finding, met moistheat.Date) bool {
	for _, member := range append([]string{f.Pointer}, f.Answers...) {
		if ofLook(member) && met.Compare(o.looked) < 0 || ofJourney(member) && met != o.looked {
			return false
		}
	}
	return true
}
