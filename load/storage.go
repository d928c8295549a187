package load

import (
	"cmp"
	"fmt"
	"strconv"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/check"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// StoredFormat is the value of a stored pack's "format" member.
const StoredFormat = "moistheat.stored/1"

// Stored is what is known of one pack after its load: where it is kept, what
// happened to it, and whether it was used. A member with the omitzero option may be
// absent; the zero value means that nobody recorded it.
type Stored struct {
	Format     string            `json:"format"`              // [StoredFormat]
	Pack       string            `json:"pack"`                // id of the pack
	Record     string            `json:"record,omitzero"`     // id of the load's record
	Sterilizer string            `json:"sterilizer,omitzero"` // where the record is not known
	Load       string            `json:"load,omitzero"`       // number on the label, where the record is not known
	Sterilized packaging.Date    `json:"sterilized,omitzero"`
	Expires    packaging.Date    `json:"expires,omitzero"` // last day of use, as the label says
	Wrapped    moistheat.Answer  `json:"wrapped,omitzero"`
	Layers     int               `json:"layers,omitzero"` // barriers, one inside the other
	Category   string            `json:"category,omitzero"`
	Vacuum     moistheat.Answer  `json:"vacuum,omitzero"`   // from a cycle that draws the air out
	Contents   string            `json:"contents,omitzero"` // as the store calls them: packs of one name replace each other
	Barrier    packaging.Barrier `json:"barrier,omitzero"`
	Checked    packaging.Date    `json:"checked,omitzero"` // last day on which somebody looked at it in store

	Place          StoragePlace      `json:"place,omitzero"`
	Temperature    units.Temperature `json:"temperature,omitzero"` // of the store
	Humidity       units.Ratio       `json:"humidity,omitzero"`    // of the store, relative
	AboveFloor     units.Length      `json:"aboveFloor,omitzero"`
	UnderSprinkler units.Length      `json:"underSprinkler,omitzero"` // room below a sprinkler; absent: there is none, or not recorded
	AtSink         moistheat.Answer  `json:"atSink,omitzero"`
	OverSterilizer moistheat.Answer  `json:"overSterilizer,omitzero"`
	InSun          moistheat.Answer  `json:"inSun,omitzero"`

	Dry     moistheat.Answer `json:"dry,omitzero"`
	Intact  moistheat.Answer `json:"intact,omitzero"` // not torn or punctured, seal closed
	Dropped moistheat.Answer `json:"dropped,omitzero"`
	LaidOut moistheat.Answer `json:"laidOut,omitzero"` // opened for a patient and not used

	Carried       moistheat.Answer `json:"carried,omitzero"`       // from one site to another
	Proof         moistheat.Answer `json:"proof,omitzero"`         // what shows that its load was released went with it
	WithUnsterile moistheat.Answer `json:"withUnsterile,omitzero"` // it shared a transport box with goods that are not sterile

	Implant moistheat.Answer `json:"implant,omitzero"` // it holds something that stays in the patient

	Issue *Issue `json:"issue,omitzero"` // nil: still in store
}

// Issue is the use of a pack.
type Issue struct {
	Time          time.Time        `json:"time"`
	Patient       string           `json:"patient,omitzero"`       // the facility's key
	IndicatorRead moistheat.Answer `json:"indicatorRead,omitzero"` // the inside indicator was read and at its end point
	LoadNoted     moistheat.Answer `json:"loadNoted,omitzero"`     // sterilizer, date and number of the load are in the patient's record
	By            string           `json:"by,omitzero"`
}

var storedDecoder lazy.Value[*strictjson.Decoder[Stored]]

// DecodeStored reads one stored pack, as strictly as [Decode] reads a record.
func DecodeStored(data []byte) (*Stored, error) {
	s, err := storedDecoder.Get(strictjson.NewDecoder).Decode(data, strictjson.Default())
	if err != nil {
		return nil, decodeError(err)
	}
	if s.Format != StoredFormat {
		return nil, &DecodeError{Pointer: "/format", Err: ErrShape,
			Problem: fmt.Sprintf("the format is %.40q, want %q", s.Format, StoredFormat)}
	}
	return s, nil
}

// CheckStored says whether a pack may be used on a day, by what happened to it and
// by the policy's limits of time, climate and place. Whether its load may be used is
// for [Check] and [History]. A pack that was issued is judged on that day. Of a nil pack
// nothing is recorded.
func CheckStored(s *Stored, p *Policy, on packaging.Date) []moistheat.Finding {
	s = cmp.Or(s, &Stored{})
	c := &storeChecker{s: s, p: p, on: on}
	if s.Issue != nil && !s.Issue.Time.IsZero() {
		c.on = packaging.DateOf(s.Issue.Time)
	}
	c.p = p.On(c.on)
	c.event()
	c.expiry()
	c.climate()
	c.place()
	c.transit()
	c.looked()
	c.issue()
	return c.p.inForce(c.Findings)
}

// inForce applies the policy's severities to findings and leaves out rules that are
// not in force.
func (p *Policy) inForce(in []moistheat.Finding) []moistheat.Finding {
	out := in[:0]
	for _, f := range in {
		rule, ok := p.Rule(f.Rule)
		if !ok {
			f.Outcome = moistheat.NotInForce
		}
		f.Severity = rule.Severity
		if f.Outcome == moistheat.Met && !p.carries(f.Sources) {
			f.Outcome = moistheat.Undetermined
		}
		out = append(out, f)
	}
	return out
}

type storeChecker struct {
	s  *Stored
	p  *Policy
	on packaging.Date
	check.List
}

func (c *storeChecker) event() {
	s := c.s
	for _, e := range []struct {
		got, want moistheat.Answer
		at, what  string
	}{{s.Dry, moistheat.Yes, "/dry", "wet"}, {s.Intact, moistheat.Yes, "/intact", "torn or open"}, {s.Dropped, moistheat.No, "/dropped", "dropped"}} {
		at := section(e.got != moistheat.NotRecorded, e.at)
		check.With(c.Answer(&storageEvent, e.got, e.want, at), "what", e.what)
	}
}

// expiry compares the age of the pack with the label and with the policy.
func (c *storeChecker) expiry() {
	s := c.s
	if _, ok := c.p.Rule(storageUnlabelled.ID); ok {
		c.Add(&storageUnlabelled, check.If(!s.Expires.IsValid()), moistheat.Missing, section(s.Expires.IsValid(), "/expires"))
	} else {
		c.Skip(&storageUnlabelled, "")
	}
	asked := false
	if s.Expires.IsValid() {
		asked = true
		f := c.Add(&storageExpired, check.If(c.on.Compare(s.Expires) > 0), moistheat.Limit, "/expires")
		check.With(check.With(f, "last", s.Expires.String()), "by", "its label")
	}
	for _, l := range c.p.doc.ShelfLife {
		fits, missing := l.fits(s)
		if fits == moistheat.No {
			continue
		}
		asked = true
		last := l.Keep.after(s.Sterilized)
		late := c.on.Compare(last) > 0
		// What is in time by a line is so whether the line applies or not.
		if !s.Sterilized.IsValid() || fits == moistheat.NotRecorded && late {
			if !s.Sterilized.IsValid() {
				missing = "the date of sterilization"
			}
			f := c.Add(&storageExpired, moistheat.Undetermined, moistheat.Missing, "")
			f.Sources = []moistheat.Source{l.Source}
			check.With(f, "missing", missing)
			continue
		}
		f := c.Add(&storageExpired, check.If(late), moistheat.Limit, "/sterilized")
		f.Sources = []moistheat.Source{l.Source}
		check.With(check.With(f, "last", last.String()), "by", l.Keep.Words()+" after sterilization")
	}
	if !asked {
		c.Skip(&storageExpired, "")
	}
}

// fits says whether a line is about this pack, and if that can not be said, what is
// missing.
func (l *ShelfLife) fits(s *Stored) (moistheat.Answer, string) {
	missing := ""
	if l.Wrapped != moistheat.NotRecorded {
		switch s.Wrapped {
		case moistheat.NotRecorded:
			missing = "whether it is wrapped"
		case l.Wrapped:
		default:
			return moistheat.No, ""
		}
	}
	if l.Vacuum != moistheat.NotRecorded {
		switch s.Vacuum {
		case moistheat.NotRecorded:
			missing = "whether the cycle drew the air out"
		case l.Vacuum:
		default:
			return moistheat.No, ""
		}
	}
	if l.MinLayers > 0 || l.MaxLayers > 0 {
		switch {
		case s.Layers == 0:
			missing = "the number of layers"
		case s.Layers < l.MinLayers || l.MaxLayers > 0 && s.Layers > l.MaxLayers:
			return moistheat.No, ""
		}
	}
	if l.Place != 0 {
		switch s.Place {
		case 0:
			missing = "where it is kept"
		case l.Place:
		default:
			return moistheat.No, ""
		}
	}
	if l.Category != "" {
		switch s.Category {
		case "":
			missing = "the category of the item"
		case l.Category:
		default:
			return moistheat.No, ""
		}
	}
	if missing != "" {
		return moistheat.NotRecorded, missing
	}
	return moistheat.Yes, ""
}

func (c *storeChecker) climate() {
	cl := c.p.doc.Climate
	if cl == nil {
		c.Skip(&storageClimate, "")
		return
	}
	s := c.s
	one := func(low, high, got units.Value, known, under, over bool, at string) {
		if !low.IsValid() && !high.IsValid() {
			return
		}
		o := moistheat.Undetermined
		if known {
			o = check.If(under || over)
		}
		f := c.Add(&storageClimate, o, moistheat.Limit, section(known, at))
		f.Sources = []moistheat.Source{cl.Source}
		f.Measured, f.Limit = got, high
		if under || !high.IsValid() {
			f.Limit = low
		}
		after := ""
		if cl.Keep.IsValid() && o == moistheat.Broken {
			after = " Reprocess what is older than " + cl.Keep.Words() + "."
			if s.Sterilized.IsValid() && c.on.Compare(cl.Keep.after(s.Sterilized)) > 0 {
				g := c.Add(&storageExpired, moistheat.Broken, moistheat.Limit, "/sterilized")
				g.Sources = []moistheat.Source{cl.Source}
				check.With(check.With(g, "last", cl.Keep.after(s.Sterilized).String()), "by", cl.Keep.Words()+" in a store outside its limits")
				f = &c.Findings[len(c.Findings)-2]
			}
		}
		check.With(f, "after", after)
	}
	t, h := s.Temperature, s.Humidity
	one(cl.Low.Value(), cl.High.Value(), t.Value(), t.IsValid(),
		t.IsValid() && cl.Low.IsValid() && t.Compare(cl.Low) < 0, t.IsValid() && cl.High.IsValid() && t.Compare(cl.High) > 0, "/temperature")
	one(cl.Dry.Value(), cl.Damp.Value(), h.Value(), h.IsValid(),
		h.IsValid() && cl.Dry.IsValid() && h.Compare(cl.Dry) < 0, h.IsValid() && cl.Damp.IsValid() && h.Compare(cl.Damp) > 0, "/humidity")
}

func (c *storeChecker) place() {
	s := c.s
	for _, e := range []struct {
		got      moistheat.Answer
		at, what string
	}{{s.AtSink, "/atSink", "by or under a sink"}, {s.OverSterilizer, "/overSterilizer", "above the sterilizer"}, {s.InSun, "/inSun", "in the sun"}} {
		check.With(c.Answer(&storagePlace, e.got, moistheat.No, section(e.got != moistheat.NotRecorded, e.at)), "what", e.what)
	}
	c.Answer(&storageLaidOut, s.LaidOut, moistheat.No, section(s.LaidOut != moistheat.NotRecorded, "/laidOut"))
	o := check.If(s.Place != ProtectedPlace)
	if s.Place == 0 {
		o = moistheat.Undetermined
	}
	c.Add(&storageOpen, o, moistheat.Choice, section(s.Place != 0, "/place"))
	fig := historyFigures()
	if s.AboveFloor.IsValid() {
		f := c.Add(&storageFloor, check.If(s.AboveFloor.Compare(fig.Floor.Value) < 0), moistheat.Limit, "/aboveFloor")
		f.Measured, f.Limit, f.Sources = s.AboveFloor.Value(), fig.Floor.Value.Value(), []moistheat.Source{fig.Floor.Source}
	} else {
		c.Add(&storageFloor, moistheat.Undetermined, moistheat.Missing, "")
	}
	if s.UnderSprinkler.IsValid() {
		f := c.Add(&storageSprinkler, check.If(s.UnderSprinkler.Compare(fig.Sprinkler.Value) < 0), moistheat.Limit, "/underSprinkler")
		f.Measured, f.Limit, f.Sources = s.UnderSprinkler.Value(), fig.Sprinkler.Value.Value(), []moistheat.Source{fig.Sprinkler.Source}
	} else {
		c.Skip(&storageSprinkler, "")
	}
}

// transit judges packs that came from another site.
func (c *storeChecker) transit() {
	s := c.s
	if s.Carried != moistheat.Yes {
		c.Skip(&transitUnproven, "")
		if s.WithUnsterile != moistheat.Yes { // a box that was shared was a journey
			c.Skip(&transitMixed, "")
			return
		}
	} else {
		c.Answer(&transitUnproven, s.Proof, moistheat.Yes, section(s.Proof != moistheat.NotRecorded, "/proof"))
	}
	c.Answer(&transitMixed, s.WithUnsterile, moistheat.No, section(s.WithUnsterile != moistheat.NotRecorded, "/withUnsterile"))
}

// looked asks whether somebody looks at pouches that stay in store.
func (c *storeChecker) looked() {
	s := c.s
	if s.Issue != nil || s.Barrier != 0 && s.Barrier != packaging.PaperFilmPouch {
		c.Skip(&storageUnchecked, "")
		return
	}
	fig := historyFigures().Laminate
	seen := s.Checked
	if s.Sterilized.Compare(seen) > 0 {
		seen = s.Sterilized
	}
	if !seen.IsValid() || s.Barrier == 0 && c.on.Compare(fig.Every.after(seen)) > 0 {
		c.Add(&storageUnchecked, moistheat.Undetermined, moistheat.Missing, "").Sources = []moistheat.Source{fig.Source}
		return
	}
	f := c.Add(&storageUnchecked, check.If(c.on.Compare(fig.Every.after(seen)) > 0), moistheat.Limit, section(s.Checked.IsValid(), "/checked"))
	f.Sources = []moistheat.Source{fig.Source}
	check.With(check.With(f, "seen", seen.String()), "every", fig.Every.Words())
}

func (c *storeChecker) issue() {
	if c.s.Issue == nil {
		c.Skip(&storageUnread, "")
		c.Skip(&implantUntraced, "")
		return
	}
	got := c.s.Issue.IndicatorRead
	c.Answer(&storageUnread, got, moistheat.Yes, section(true, "/issue"))
	c.traced()
}

// traced asks whether the load of an implant that was used can be found from the
// patient's record.
func (c *storeChecker) traced() {
	noted := c.s.Issue.LoadNoted
	at := "/issue" + section(noted != moistheat.NotRecorded, "/loadNoted")
	switch {
	case c.s.Implant == moistheat.No:
		c.Skip(&implantUntraced, "")
	case c.s.Implant == moistheat.NotRecorded && noted != moistheat.Yes:
		check.With(c.Add(&implantUntraced, moistheat.Undetermined, moistheat.Missing, at), "what", "whether the pack held an implant")
	default:
		check.With(c.Answer(&implantUntraced, noted, moistheat.Yes, at), "what", "whether the load is in the patient's record")
	}
}

// escape writes a name as a segment of an RFC 6901 pointer.
func escape(s string) string {
	out := make([]byte, 0, len(s))
	for i := range len(s) {
		switch s[i] {
		case '~':
			out = append(out, "~0"...)
		case '/':
			out = append(out, "~1"...)
		default:
			out = append(out, s[i])
		}
	}
	return string(out)
}

func count(n int) string { return strconv.Itoa(n) }

// Storage and issue.
var (
	storageEvent = moistheat.Rule{
		ID: "load.storage.event", Since: "0.1.0",
		Title:    "Nothing happened to the pack in store: it is dry, whole and was not dropped.",
		Why:      "Events end the sterility of a pack, not time.",
		Do:       "Reprocess the pack.",
		Says:     "The pack is {what}.",
		Asks:     "It is not recorded whether the pack is {what}. Look at it before use.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack, NoWaiver: true,
		Sources: []moistheat.Source{{Document: docCDCLabel, Edition: "2016", Locator: "storage and use", Basis: moistheat.Published}},
	}
	storageExpired = moistheat.Rule{
		ID: "load.storage.expired", Since: "0.1.0",
		Title:    "The pack is used within its time.",
		Why:      "Some documents limit how long a pack counts as sterile.",
		Do:       "Reprocess the pack.",
		Says:     "The last day of use was {last}, by {by}.",
		Asks:     "It can not be said whether the pack is in time: {missing} is not recorded.",
		Severity: moistheat.Caution, Broken: rejectPack, Undetermined: holdPack,
		Sources: []moistheat.Source{
			{Document: docCDC2008, Edition: "2008", Locator: "recommendation 18f", Basis: moistheat.Recalled},
			{Document: docHTM0105, Locator: "shelf life, in a question and answer text", Basis: moistheat.Quoted},
		},
	}
	storageUnlabelled = moistheat.Rule{
		ID: "load.storage.unlabelled", Since: "0.1.0",
		Title:    "The pack carries a last day of use.",
		Why:      "Some rules ask for one on every item.",
		Do:       "Hold the pack until its last day of use is on the label.",
		Says:     "The pack carries no last day of use.",
		Severity: moistheat.Fault, Broken: holdPack, Undetermined: none,
		Sources: []moistheat.Source{{Document: "22 CCR 75064", Basis: moistheat.Published}},
	}
	storageClimate = moistheat.Rule{
		ID: "load.storage.climate", Since: "0.1.0",
		Title:    "The store is neither too warm nor too damp.",
		Why:      "Damp air carries germs into paper and opens seals. The evidence is thin.",
		Do:       "Bring the store back within its limits, or move the packs to a better one.{after}",
		Says:     "The store has {measured}; the limit is {limit}.{after}",
		Asks:     "Temperature or humidity of the store is not recorded.",
		Severity: moistheat.Note, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: "ASHRAE 170", Edition: "2017", Locator: "table 7.1", Basis: moistheat.Quoted}},
	}
	storagePlace = moistheat.Rule{
		ID: "load.storage.place", Since: "0.1.0",
		Title:    "Packs are kept away from sinks, steam and sun.",
		Why:      "Splashes, steam and sunlight damage packs.",
		Do:       "Move the packs to a dry place without sun, away from sinks and steam. Look whether they are dry and whole.",
		Says:     "The pack is kept {what}.",
		Asks:     "It is not recorded whether the pack is kept {what}.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: docRACGP, Locator: "storing sterilised equipment", Basis: moistheat.Published},
			{Document: docCDCLabel, Edition: "2016", Locator: "storage", Basis: moistheat.Published},
		},
	}
	storageOpen = moistheat.Rule{
		ID: "load.storage.open", Since: "0.1.0",
		Title:    "Packs are kept in a closed cupboard, drawer or room.",
		Why:      "Dust and splashes settle on what lies open.",
		Do:       "Move the pack into a closed cupboard, drawer or room.",
		Says:     "The pack is not kept in a closed place.",
		Asks:     "It is not recorded where the pack is kept.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: docRACGP, Locator: "storing sterilised equipment", Basis: moistheat.Published}},
	}
	storageLaidOut = moistheat.Rule{
		ID: "load.storage.laidout", Since: "0.1.0",
		Title:    "What was opened for a patient and not used counts as used.",
		Why:      "Spray and hands reach everything that lies open beside a patient.",
		Do:       "Reprocess it as if it had been used.",
		Says:     "The pack was opened for a patient and not used.",
		Asks:     "It is not recorded whether the pack was opened for a patient.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{{Document: docHTM0105, Edition: "2013", Locator: "opened and unused instruments, as summarised", Basis: moistheat.Quoted}},
	}
	storageUnchecked = moistheat.Rule{
		ID: "load.storage.unchecked", Since: "0.1.0",
		Title:    "Pouches in store are looked at regularly.",
		Why:      "Seals open and film tears with time.",
		Do:       "Look at the seal and the film of the pouch and record the day.",
		Says:     "Nobody has looked at the pouch since {seen}; it is to be looked at every {every}.",
		Asks:     "It is not recorded when somebody last looked at the pack, or whether it is a pouch.",
		Severity: moistheat.Note, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: docRACGP, Locator: "storing sterilised equipment", Basis: moistheat.Published}},
	}
	storageRotation = moistheat.Rule{
		ID: "load.storage.rotation", Since: "0.1.0",
		Title:    "Of packs with the same contents the oldest is used first.",
		Why:      "A pack that always lies at the back is found wet, torn or out of date one day.",
		Do:       "Put newer packs behind older ones.",
		Says:     "The pack {pack} was used while the older pack {older} lay in store.",
		Asks:     "It can not be said whether the pack {pack} was the oldest of its kind: contents, date or time of use are not recorded.",
		Severity: moistheat.Note, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{
			{Document: "Queensland oral health procedure", Basis: moistheat.Published},
			{Document: docRACGP, Locator: "storing sterilised equipment", Basis: moistheat.Published},
		},
	}
	transitUnproven = moistheat.Rule{
		ID: "load.transit.unproven", Since: "0.1.0",
		Title:    "Packs from another site come with proof that their load was released.",
		Why:      "A load that travelled between two sites was used without having been sterilized at either.",
		Do:       "Hold the pack and ask the other site for the record of the load.",
		Says:     "The pack came from another site without proof that its load was released.",
		Asks:     "It is not recorded whether proof of release came with the pack.",
		Severity: moistheat.Fault, Broken: holdPack, Undetermined: holdPack,
		Sources: []moistheat.Source{{Document: "news report of a dental clinic in Hawaii", Edition: "2014", Basis: moistheat.Quoted}},
	}
	transitMixed = moistheat.Rule{
		ID: "load.transit.mixed", Since: "0.1.0",
		Title:    "Sterile packs travel apart from what is not sterile.",
		Why:      "What leaks from used instruments reaches the packs beside them.",
		Do:       "Reprocess the packs; carry sterile packs in a box of their own.",
		Says:     "The pack shared a transport box with goods that are not sterile.",
		Asks:     "It is not recorded what else was in the transport box.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: none,
		Sources: []moistheat.Source{{Document: docRACGP, Locator: "reprocessing off site", Basis: moistheat.Published}},
	}
	storageFloor = moistheat.Rule{
		ID: "load.storage.floor", Since: "0.1.0",
		Title:    "Packs are kept well above the floor.",
		Why:      "Mops and feet wet and hit what lies low.",
		Do:       "Use a higher shelf.",
		Says:     "The pack lies {measured} above the floor; at least {limit} is asked.",
		Asks:     "It is not recorded how high above the floor the pack lies.",
		Severity: moistheat.Note, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: "Queensland oral health procedure; Malaysia Ministry of Health", Basis: moistheat.Published}},
	}
	storageSprinkler = moistheat.Rule{
		ID: "load.storage.sprinkler", Since: "0.1.0",
		Title:    "There is room under a sprinkler.",
		Why:      "A fire rule: goods too close keep the water from spreading.",
		Do:       "Lower the shelf, or take the top packs away.",
		Says:     "There is {measured} under the sprinkler; at least {limit} is asked.",
		Severity: moistheat.Caution, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: "a note on NFPA rules", Basis: moistheat.Quoted}},
	}
	storageUnread = moistheat.Rule{
		ID: "load.storage.unread", Since: "0.1.0",
		Title:    "The indicator inside the pack was read, at its end point, before the pack was used.",
		Why:      "Seventy-two patients were treated from containers whose indicators had not changed and nobody had looked.",
		Do:       "Tell the person responsible; treat the pack as not sterile.",
		Says:     "The pack was used although its inside indicator had not reached its end point or was not read.",
		Asks:     "It is not recorded that the indicator inside the pack was read before use.",
		Severity: moistheat.Fault, Broken: rejectPack, Undetermined: holdPack,
		Sources: []moistheat.Source{{Document: docOhioCase, Edition: "2014", Basis: moistheat.Published}},
	}
	implantUntraced = moistheat.Rule{
		ID: "load.implant.untraced", Since: "0.1.0",
		Title:    "The load in which an implant was sterilized is in the patient's record.",
		Why:      "An implant stays in the patient. If its load proves bad later, the patient must be found at once.",
		Do:       "Enter the sterilizer, the date and the load number from the label in the patient's record.",
		Says:     "The pack held an implant and its load is not in the patient's record.",
		Asks:     "It is not recorded {what}.",
		Severity: moistheat.Fault, Broken: none, Undetermined: none,
		Sources: []moistheat.Source{{Document: docAlberta, Locator: "load data of implants", Basis: moistheat.Quoted}},
	}
	storageUnreleased = moistheat.Rule{
		ID: "load.storage.unreleased", Since: "0.1.0",
		Title:    "Only packs that were released, with their load, are used.",
		Why:      "A held or rejected pack, or one from such a load, may not be sterile.",
		Do:       "Tell the person responsible; find the patient; recall the rest of the load.",
		Says:     "The pack {pack} was used although it stands {state}.",
		Asks:     "The pack {pack} was used and no record of its load is in the history.",
		Severity: moistheat.Fault, Broken: recallOnly, Undetermined: none, NoWaiver: true,
		Sources: []moistheat.Source{{Document: "reports of loads used unprocessed", Locator: "Singapore 2017, Oregon, Hawaii 2014, New York 2011", Basis: moistheat.Published}},
	}
)
