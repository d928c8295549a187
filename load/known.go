package load

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"slices"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/internal/spelling"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// KnownFormat is the value of a [Known]'s "format" member.
const KnownFormat = "moistheat.known/1"

// Known is what was known of one sterilizer at an instant, beside the record of a load:
// package history fills it, and it may be kept or sent elsewhere. The zero Known is
// nothing known.
//
// Tests, and controls that grew, are evidence for a load: with fewer of them no load is
// released that was not. Outages, suspicions, traces, prion cases, controls that did not grow,
// practices that were not kept, cycles of items, qualifications and duties speak against one,
// so whoever leaves them out hides them; the
// report carries the digest of what it was given.
type Known struct {
	Format     string    `json:"format"`     // [KnownFormat]
	Sterilizer string    `json:"sterilizer"` // as the record names it
	At         time.Time `json:"at"`         // what happened or was known later is not in it
	// LastUse is the last day with a load before that of At.
	LastUse moistheat.Date `json:"lastUse,omitzero"`
	Tests   []KnownTest    `json:"tests,omitzero"`   // newest of each kind that counts and was passed
	Pending []KnownTest    `json:"pending,omitzero"` // biological tests that are not read yet
	// Doubtful is the newest biological test that was read and does not count, where it is newer than
	// those of Tests. It shows nothing; a report says why it does not count.
	Doubtful []KnownTest `json:"doubtful,omitzero"`
	// Outages are times out of service that had begun when the cycle of the load ended.
	Outages []KnownOutage `json:"outages,omitzero"`
	// Suspicions are those of the load that later failures cast doubt on, whenever they
	// came to light: what is known now, and not only what was at At.
	Suspicions []KnownSuspicion `json:"suspicions,omitzero"`
	Traces     []KnownTrace     `json:"traces,omitzero"` // of other loads, any sterilizer's
	// Controls are those that tests of other loads carry, of the day of the load and whenever
	// they were read.
	Controls []KnownControl `json:"controls,omitzero"`
	// Prions are the packs of suspected prion cases that this load holds or that met what is in
	// it, whenever that became known.
	Prions []KnownPrion `json:"prions,omitzero"`
	// Practices are habits that were not kept at a load, on any sterilizer. What rests on one
	// that was not signed anew since then is no evidence.
	Practices []KnownPractice `json:"practices,omitzero"`
	// Items are those of this load whose instructions limit how often they are sterilized.
	Items []KnownItem `json:"items,omitzero"`
	// Batches are those of cleaning that items of this load name, or that took one out, carried one
	// that names none, or claim the run of a machine that such a batch claims.
	Batches []KnownBatch `json:"batches,omitzero"`
	// Qualified are the performance qualifications since the sterilizer was installed.
	Qualified []KnownQualification `json:"qualified,omitzero"`
	// Duties are those of upkeep, of the sterilizer and of devices that packs name.
	Duties []KnownDuty `json:"duties,omitzero"`
	// KeepsBatches are the kinds of batches of cleaning that were on record before this load: one
	// that an item names and that is not among them is on no record, and an item that was cleaned
	// so names one.
	KeepsBatches []packaging.CleaningMethod `json:"keepsBatches,omitzero"`
}

// KnownQualification is a performance qualification of the sterilizer that was passed and counts.
type KnownQualification struct {
	Time     time.Time `json:"time"`
	Event    string    `json:"event,omitzero"`                  // its id
	Programs []string  `json:"programs,omitzero" maxItems:"64"` // that it covers; none: it does not say which
	Patterns []string  `json:"patterns,omitzero" maxItems:"64"` // load patterns, likewise
}

// KnownDuty is a duty of upkeep, of the sterilizer or of a device that the load names.
type KnownDuty struct {
	Test   calendar.EventKind `json:"test"`
	Device string             `json:"device,omitzero"` // absent: the sterilizer
	Due    moistheat.Date     `json:"due,omitzero"`    // the last day in time; zero: not on record
}

// KnownItem is an item that was sterilized before this load, by its mark. What was before the
// first record is not in the count, which is the least that it can be.
type KnownItem struct {
	ID     string `json:"id" minLength:"1"`
	Cycles int    `json:"cycles" min:"1"` // loads that it was in, those that were rejected too
}

// KnownPractice is a habit that a load was found to contradict.
type KnownPractice struct {
	Habit  Habit          `json:"habit"`
	Since  moistheat.Date `json:"since,omitzero"` // day of the load; zero: not known, so that no signature is later
	Record string         `json:"record" minLength:"1"`
}

// KnownPrion is a pack of a suspected prion case: one of this load or, with the washer load or
// the lubricant container that an item of it shared, of any.
type KnownPrion struct {
	Pack       string `json:"pack" minLength:"1"`
	WasherLoad string `json:"washerLoad,omitzero"`
	Lubricant  string `json:"lubricant,omitzero"`
}

// KnownControl is the control of a biological test beside the load. One that grew serves
// every test of its lot and day that was kept at its temperature and has none of its own; one
// that did not voids all of its lot and day.
type KnownControl struct {
	Lot         string            `json:"lot" minLength:"1"`
	Date        moistheat.Date    `json:"date"`                 // of the load or test that it was incubated with
	Temperature units.Temperature `json:"temperature,omitzero"` // of the incubator
	Result      Growth            `json:"result"`
}

// KnownTest is a test that the record of a load need not mention.
type KnownTest struct {
	Test        calendar.EventKind   `json:"test"`
	AirRemoval  moistheat.AirRemoval `json:"airRemoval,omitzero"`  // of its cycle
	Temperature units.Temperature    `json:"temperature,omitzero"` // of its cycle
	Time        time.Time            `json:"time"`                 // its end
	Ran         units.Duration       `json:"ran,omitzero"`         // how long the sterilizer has run since, until At
	Why         moistheat.Detail     `json:"why,omitzero"`         // it does not count, for a person
}

// KnownOutage is a time in which no patient load may be run.
type KnownOutage struct {
	From  time.Time      `json:"from"`           // when its cause was known
	To    time.Time      `json:"to,omitzero"`    // when evidence ended it; zero: it lasts
	Cause calendar.Cause `json:"cause"`          //
	Event string         `json:"event,omitzero"` // id of the event or record that shows the cause
}

// KnownSuspicion is a time whose loads a failure casts doubt on: from the last good test
// before it to the evidence that ends it. One without an event is of the load itself: another
// record of it shows a failure that this one does not.
type KnownSuspicion struct {
	After time.Time          `json:"after,omitzero"` // loads that began later; zero: any
	UpTo  time.Time          `json:"upTo,omitzero"`  // and not later than that; zero: any
	Event calendar.EventKind `json:"event,omitzero"` // the test that failed, or the wrong setting
	ID    string             `json:"id,omitzero"`    // of the event or record that shows it
}

// KnownTrace is the trace of a load, by its digest.
type KnownTrace struct {
	Digest string `json:"digest" minLength:"1"` // [cycle.Trace.Digest]
	Record string `json:"record" minLength:"1"` // id of the record that carries it
}

// KnownName says what a report rests on beside the record: on nothing, or on the [Known]
// with a digest, as of an instant.
type KnownName struct {
	Alone  bool      `json:"alone,omitzero"`
	Digest string    `json:"digest,omitzero"` // [Known.Digest]
	At     time.Time `json:"at,omitzero"`
}

// CheckKnowing is [Check] with what was known of the sterilizer: its tests count for the
// duties of the policy, a load run while it was out of service is not released, and the
// trace of another load is found.
func CheckKnowing(r *Record, p *Policy, k Known) *Report { return report(r, p, k, false) }

// ExplainKnowing is [CheckKnowing] with every finding in the report.
func ExplainKnowing(r *Record, p *Policy, k Known) *Report { return report(r, p, k, true) }

// DecodeKnown reads what is known, as strictly as [Decode] reads a record.
func DecodeKnown(data []byte) (Known, error) {
	k, err := strictjson.Read[Known](data, strictjson.Default(), KnownFormat)
	if err != nil {
		return Known{}, err
	}
	return *k, nil
}

// Validate is to [DecodeKnown] what [Record.Validate] is to [Decode]. The zero Known is
// no document.
func (k Known) Validate() error { return strictjson.Validate(&k, strictjson.Default(), KnownFormat) }

// Digest returns the SHA-256, in hexadecimal, of the JSON form. Of nothing known it is "".
func (k Known) Digest() string {
	if k.nothing() {
		return ""
	}
	data, err := json.Marshal(k)
	if err != nil { // it holds what no document can: it is not what any document says
		data = []byte(err.Error())
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// MarshalJSON writes what is known. The zero Known is no document, and is refused: what was written of it
// would count as a history of the sterilizer in which nothing happened.
func (k Known) MarshalJSON() ([]byte, error) {
	if k.nothing() {
		return nil, &moistheat.DocumentError{Kind: moistheat.ErrInvalid, Format: KnownFormat, Offset: -1,
			Problem: "nothing is known of the sterilizer, which no document says; check the record without one"}
	}
	type plain Known
	return json.Marshal(plain(k))
}

// nothing reports whether k is the zero Known.
func (k *Known) nothing() bool {
	return k.Format == "" && k.Sterilizer == "" && k.At.IsZero() && !k.LastUse.IsValid() &&
		k.Tests == nil && k.Pending == nil && k.Outages == nil && k.Suspicions == nil && k.Traces == nil &&
		k.Controls == nil && k.Prions == nil && k.Practices == nil && k.Items == nil && k.Batches == nil &&
		k.Qualified == nil && k.Duties == nil && k.KeepsBatches == nil && k.Doubtful == nil
}

// name returns what a report says of it.
func (k *Known) name() KnownName {
	if k.nothing() {
		return KnownName{Alone: true}
	}
	return KnownName{Digest: k.Digest(), At: k.At}
}

// --- the rules ---

// knowing asks what is known beside the record, and whether it can be meant of it. What
// cannot is as good as nothing known.
func (c *checker) knowing() {
	if c.known.nothing() {
		c.Ask(knownInvalid, "").When(false)
		c.Ask(knownMissing, "").Open(moistheat.Unrecorded)
		return
	}
	problem := c.known.problem(c.r)
	c.Ask(knownInvalid, "").Say("problem", problem).BrokenIf(problem.IsValid())
	c.Ask(knownMissing, "").When(!problem.IsValid()).Met()
	if problem.IsValid() {
		c.known = Known{}
	}
}

// problem says why what is known cannot be meant of a record, or nothing.
func (k *Known) problem(r *Record) moistheat.Detail {
	if err := k.Validate(); err != nil {
		return lang.Data(err.(interface{ Unwrap() []error }).Unwrap()[0].Error())
	}
	if k.Sterilizer != r.Sterilizer.ID {
		return lang.With("known-of-another: it is of sterilizer {1}, the load of {2}",
			orUnnamed(k.Sterilizer), orUnnamed(r.Sterilizer.ID))
	}
	for _, o := range k.Outages {
		if !o.To.IsZero() && o.To.Before(o.From) {
			return lang.Say("outage-backwards: a time out of service ends before it begins")
		}
	}
	for _, s := range k.Suspicions {
		if !s.UpTo.IsZero() && s.UpTo.Before(s.After) {
			return lang.Say("suspicion-backwards: a time whose loads are suspect ends before it begins")
		}
	}
	return moistheat.Detail{}
}

func orUnnamed(id string) moistheat.Detail {
	if id == "" {
		return lang.Say("no-name: without a name")
	}
	return lang.Data(id)
}

// testName returns what a test or a duty of a kind is called.
func testName(kind calendar.EventKind) moistheat.Detail {
	switch name := kind.String(); {
	case kind == calendar.BiologicalTestEvent:
		return lang.Say("test-biological: biological indicator test")
	case prose.Test(name) != name:
		return lang.Say("test-kind: {1:calendar.EventKind} test", name)
	default:
		return lang.Say("event-kind: {1:calendar.EventKind}", name)
	}
}

// outOfService asks whether any of the load's cycle was run while no patient load might be. One
// that had ended before the cause was known is suspect, which is for a recall.
func (c *checker) outOfService() {
	began, at := c.started(), "/cycle/started"
	if began.IsZero() {
		at = c.cycleAt()
	}
	q := c.Ask(sterilizerOutofservice, at).When(!c.known.nothing())
	open, ended := false, time.Time{}
	if c.r.Cycle != nil {
		ended = c.r.Cycle.Ended
	}
	for _, o := range c.known.Outages {
		switch {
		case began.IsZero():
			open = true
		case o.From.After(began) && ended.IsZero() && o.From.Sub(began) < 24*time.Hour: // no cycle takes a day
			open = true
		case !began.Before(o.From) && (o.To.IsZero() || began.Before(o.To)), o.From.After(began) && o.From.Before(ended):
			q.With("since", o.From.Format(time.RFC3339)).With("cause", string(o.Cause)).Say("event",
				orUnnamed(o.Event)).Broken()
			return
		}
	}
	q.OpenWhen(open, moistheat.Unrecorded).Met()
}

// suspect asks whether a failure that became known later casts doubt on the load. That is
// no violation: nobody knew.
func (c *checker) suspect() {
	began, at := c.started(), "/cycle/started"
	if began.IsZero() {
		at = c.cycleAt()
	}
	q := c.Ask(sterilizerSuspect, at).When(!c.known.nothing())
	open := false
	for _, s := range c.known.Suspicions {
		what := lang.With("doubt-failed: a failed {1:text}", testName(s.Event))
		switch s.Event {
		case 0:
			what = lang.Say("doubt-other-record: a failure that another record of it shows")
		case calendar.WrongSettingEvent:
			what = lang.Say("doubt-setting: a wrong setting")
		case calendar.BiologicalTestEvent:
			what = lang.Say("doubt-positive: a positive biological indicator test")
		}
		about := func() ask.Question { return q.Say("what", what).Say("event", orUnnamed(s.ID)) }
		timed := !s.After.IsZero() || !s.UpTo.IsZero()
		switch {
		case began.IsZero() && timed && !open:
			open = true
			about()
		case began.IsZero() && timed:
		case !timed, began.After(s.After) && (s.UpTo.IsZero() || !began.After(s.UpTo)):
			if !open {
				about()
			}
			q.Broken()
			return
		}
	}
	q.OpenWhen(open, moistheat.Unrecorded).Met()
}

// reused asks whether the trace is that of another load.
func (c *checker) reused() {
	cy := c.r.Cycle
	q := c.Ask(traceReused, "/cycle/trace").When(!c.known.nothing() && cy != nil && cy.Trace != nil)
	if q.Answered() {
		return
	}
	digest := cy.Trace.Digest()
	for _, t := range c.known.Traces {
		if t.Digest == digest && t.Record != c.r.ID {
			q.With("record", t.Record).Broken()
			return
		}
	}
	q.Met()
}

// upkept asks of what is known whether the load is within what was qualified, and whether duties
// of upkeep were kept.
func (c *checker) upkept() {
	var programs, patterns [][]string
	for _, q := range c.known.Qualified {
		programs, patterns = append(programs, q.Programs), append(patterns, q.Patterns)
	}
	asked := c.given // a record that was resolved no longer names what it referred to
	if asked.source != nil {
		asked = asked.source.raw
	}
	pattern, program := ask.Some(c.r.Arrangement).Pattern, ask.Some(asked.Cycle).Program
	c.qualified(under(section(c.r.Arrangement != nil, "/arrangement"), "/pattern", pattern != ""),
		lang.Say("qualified-pattern: load pattern"), pattern, patterns)
	c.qualified(under(c.cycleAt(), "/program", ask.Some(c.r.Cycle).Program != ""),
		lang.Say("qualified-program: sterilizing program"), program, programs)
	for _, d := range c.known.Duties {
		began := c.began()
		id, at := c.r.Sterilizer.ID, "/sterilizer"
		if d.Device != "" {
			id, at = d.Device, c.sealedBy(asked, d.Device)
		}
		c.Ask(upkeepLapsed, at).Say("device", orUnnamed(id)).Say("test", testName(d.Test)).
			On("due", d.Due).Given(d.Due.IsValid() && !began.IsZero()).
			BrokenIf(moistheat.DateOf(began).Compare(d.Due) > 0)
	}
	if len(c.known.Duties) == 0 {
		c.Ask(upkeepLapsed, "").When(false)
	}
}

// qualified asks whether what the record names is among what qualifications name, where any does.
// Of one that names nothing it is not known what it covers, nor whether another spelling is
// another name.
func (c *checker) qualified(at string, what moistheat.Detail, name string, lists [][]string) {
	covered := slices.Concat(lists...)
	slices.Sort(covered)
	covered = slices.Compact(covered)
	silent := slices.ContainsFunc(lists, func(l []string) bool { return len(l) == 0 })
	alike := slices.ContainsFunc(covered, func(s string) bool { return spelling.Alike(s, name) })
	c.Ask(qualificationOutside, at).When(len(covered) > 0).
		Say("what", what).With("name", name).With("covered", strings.Join(covered, ", ")).
		Given(name != "").MetWhen(slices.Contains(covered, name)).
		OpenWhen(alike, moistheat.Contradictory).OpenWhen(silent, moistheat.Unrecorded).Broken()
}

// sealedBy returns the place where a pack names a sealer, or else the whole record.
func (c *checker) sealedBy(asked *Record, device string) string {
	i := slices.IndexFunc(asked.Packs, func(p Pack) bool { return ask.Some(p.Seal).Sealer == device })
	if i < 0 || i >= len(c.r.Packs) || c.r.Packs[i].Seal == nil {
		return ""
	}
	return under(packAt(i)+"/seal", "/sealer", c.r.Packs[i].Seal.Sealer != "")
}
