package history

import (
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// StoredFormat is the value of a stored pack's "format" member.
const StoredFormat = "moistheat.stored/1"

// StoredPack is what is known of one pack after its load: where it is kept, what
// happened to it, and whether it was used. A member with the omitzero option may be
// absent; the zero value means that nobody recorded it.
type StoredPack struct {
	Format     string            `json:"format"`              // [StoredFormat]
	Pack       string            `json:"pack" minLength:"1"`  // id of the pack
	Record     string            `json:"record,omitzero"`     // id of the load's record
	Sterilizer string            `json:"sterilizer,omitzero"` // where the record is not known
	Load       string            `json:"load,omitzero"`       // number on the label, where the record is not known
	Sterilized moistheat.Date    `json:"sterilized,omitzero"`
	Expires    moistheat.Date    `json:"expires,omitzero"` // last day of use, as the label says
	Wrapped    moistheat.Answer  `json:"wrapped,omitzero"`
	Layers     int               `json:"layers,omitzero" min:"1"` // barriers, one inside the other
	Category   string            `json:"category,omitzero"`
	Vacuum     moistheat.Answer  `json:"vacuum,omitzero"`   // from a cycle that draws the air out
	Contents   string            `json:"contents,omitzero"` // as the store calls them: packs of one name replace each other
	Barrier    packaging.Barrier `json:"barrier,omitzero"`
	Checked    moistheat.Date    `json:"checked,omitzero"` // last day on which somebody looked at it in store

	Place          calendar.StoragePlace `json:"place,omitzero"`
	Temperature    units.Temperature     `json:"temperature,omitzero"` // of the store
	Humidity       units.Ratio           `json:"humidity,omitzero"`    // of the store, relative
	AboveFloor     units.Length          `json:"aboveFloor,omitzero"`
	UnderSprinkler units.Length          `json:"underSprinkler,omitzero"` // room below a sprinkler; absent: there is none, or not recorded
	AtSink         moistheat.Answer      `json:"atSink,omitzero"`
	OverSterilizer moistheat.Answer      `json:"overSterilizer,omitzero"`
	InSun          moistheat.Answer      `json:"inSun,omitzero"`

	Dry     moistheat.Answer `json:"dry,omitzero"`
	Intact  moistheat.Answer `json:"intact,omitzero"` // not torn or punctured, seal closed
	Dropped moistheat.Answer `json:"dropped,omitzero"`
	LaidOut moistheat.Answer `json:"laidOut,omitzero"` // opened for a patient and not used

	Carried moistheat.Answer `json:"carried,omitzero"` // from one site to another
	Proof   moistheat.Answer `json:"proof,omitzero"`   // what shows that its load was released went with it
	// it shared a transport box with items that are not sterile
	WithUnsterile moistheat.Answer `json:"withUnsterile,omitzero"`

	Implant moistheat.Answer `json:"implant,omitzero"` // it holds something that stays in the patient

	// PrionSuspected: before it was packed for its load, the set was used on a person who may
	// have a prion disease.
	PrionSuspected moistheat.Answer `json:"prionSuspected,omitzero"`

	Use *Use `json:"use,omitzero"` // nil: still in store
	// Fate is what became of a pack that was not used; absent: not recorded, or nothing.
	Fate Fate `json:"fate,omitzero"`
}

// Fate is what became of a pack that was not used. The zero Fate means not recorded.
type Fate string

// What can become of a pack beside its use, and beside what a later pack says that it replaces.
const (
	Discarded Fate = "discarded" // it was thrown away
	SentBack  Fate = "sent back" // to whom it belongs, or to whom it was bought from
)

// Use is the use of a pack.
type Use struct {
	Time          time.Time        `json:"time"`
	Patient       string           `json:"patient,omitzero"`       // the facility's key
	IndicatorRead moistheat.Answer `json:"indicatorRead,omitzero"` // the inside indicator was read and at its end point
	LoadNoted     moistheat.Answer `json:"loadNoted,omitzero"`     // sterilizer, date and number of the load are in the patient's record
	By            string           `json:"by,omitzero"`

	// PrionSuspected: the patient may have a prion disease, known then or later.
	PrionSuspected moistheat.Answer `json:"prionSuspected,omitzero"`
}

// DecodeStoredPack reads one stored pack, as strictly as [load.Decode] reads a record.
func DecodeStoredPack(data []byte) (*StoredPack, error) {
	return strictjson.Read[StoredPack](data, strictjson.Default(), StoredFormat)
}

// Validate is to [DecodeStoredPack] what [load.Record.Validate] is to [load.Decode].
func (s *StoredPack) Validate() error {
	return strictjson.Validate(s, strictjson.Default(), StoredFormat)
}

// CheckStored says whether a pack may be used on a day, by what happened to it and
// by the policy's limits of time, climate and place. Whether its load may be used is
// for [load.Check] and [History]. A pack that was used is judged on that day. Of a nil
// pack nothing is recorded; without a policy nothing can be judged, which is an internal
// fault and no pass.
func CheckStored(s *StoredPack, p *load.Policy, on moistheat.Date) []moistheat.Finding {
	if p == nil {
		rule, _ := load.Rule("load.internal.failure")
		return []moistheat.Finding{{
			Rule: rule.ID, Outcome: moistheat.Internal, Severity: rule.Severity, Sources: rule.Sources,
			Params: []moistheat.Param{moistheat.ParamOf("error", "no policy was given")},
		}}
	}
	if s == nil {
		s = &StoredPack{}
	}
	c := &storeChecker{List: rules.Book.List(nil), s: s, p: p, on: on}
	if s.Use != nil && !s.Use.Time.IsZero() {
		c.on = moistheat.DateOf(s.Use.Time)
	}
	c.p = p.On(c.on)
	c.invalid()
	c.event()
	c.expiry()
	c.climate()
	c.place()
	c.transit()
	c.looked()
	c.use()
	for i := range c.Findings { // before what is missing gives way to what is there
		if f := &c.Findings[i]; f.Outcome == moistheat.Undetermined && f.Pointer != "" {
			f.Answers = []string{f.Pointer}
		}
	}
	c.Settle(s)
	for i := range c.Findings {
		f := &c.Findings[i]
		if f.Outcome == moistheat.NotApplicable {
			f.Pointer = "" // what does not apply is not there to be pointed at
		}
		c.p.Apply(f)
	}
	return c.Findings
}

type storeChecker struct {
	s  *StoredPack
	p  *load.Policy
	on moistheat.Date
	ask.List
}

// invalid enters what keeps the pack from being a document: a word of no list hides a
// rule. A format that a program did not fill in hides nothing.
func (c *storeChecker) invalid() {
	rule, _ := load.Rule("load.record.invalid")
	for _, err := range problems(c.s.Validate()) {
		if e, ok := err.(*moistheat.DocumentError); ok && e.Pointer != "/format" {
			c.AskOther(rule, e.Pointer).With("place", prose.Place(StoredFormat, e.Pointer)).With("problem", e.Problem).Broken()
		}
	}
}

// problems returns what an error joins.
func problems(err error) []error {
	if all, ok := err.(interface{ Unwrap() []error }); ok {
		return all.Unwrap()
	}
	return nil
}

func (c *storeChecker) event() {
	c.Ask(rules.StorageEvent, "/dry").With("what", lang.Term("stored: wet")).Yes(c.s.Dry)
	c.Ask(rules.StorageEvent, "/intact").With("what", lang.Term("stored: torn or open")).Yes(c.s.Intact)
	c.Ask(rules.StorageEvent, "/dropped").With("what", lang.Term("stored: dropped")).No(c.s.Dropped)
}

// expiry compares the age of the pack with the label and with the policy.
func (c *storeChecker) expiry() {
	s, labelled, before := c.s, c.s.Expires.IsValid(), len(c.Findings)
	at := ""
	if labelled {
		at = "/expires"
		c.Ask(rules.StorageExpired, at).With("last", s.Expires.String()).Say("by", lang.Say("stored-label: its label")).
			BrokenIf(c.on.Compare(s.Expires) > 0)
	}
	for _, l := range c.p.ShelfLife() {
		fits, missing, member := fits(&l, s)
		if fits == moistheat.No {
			continue
		}
		last := l.Keep.AfterDate(s.Sterilized)
		late := c.on.Compare(last) > 0
		rule := rules.StorageExpired
		if l.Guide == moistheat.Yes {
			rule = rules.StorageGuide
		}
		q := c.Ask(rule, "/sterilized").By(l.Source)
		switch {
		case !s.Sterilized.IsValid():
			q.Say("missing", lang.Say("lacks-date: the date of sterilization")).Open(moistheat.Unrecorded)
		case fits == moistheat.NotRecorded && late: // what is in time is so whether the line applies or not
			q.At(member).Say("missing", missing).Open(moistheat.Unrecorded)
		default:
			by := lang.With("stored-after-sterilization: {1:text} after sterilization", l.Keep.Words())
			q.With("last", last.String()).Say("by", by).BrokenIf(late)
		}
	}
	if len(c.Findings) == before {
		c.Ask(rules.StorageExpired, "").When(false)
	}
	_, asked := c.p.Rule(rules.Book.Name(rules.StorageUnlabelled))
	c.Ask(rules.StorageUnlabelled, at).When(asked).BrokenIf(!labelled)
}

// fits says whether a line is about this pack, and if that cannot be said, what is
// missing, and the member that says it.
func fits(l *calendar.ShelfLife, s *StoredPack) (answer moistheat.Answer, missing moistheat.Detail, member string) {
	if l.Wrapped != moistheat.NotRecorded {
		switch s.Wrapped {
		case moistheat.NotRecorded:
			missing, member = lang.Say("stored-wrap-unrecorded: whether it is wrapped"), "/wrapped"
		case l.Wrapped:
		default:
			return moistheat.No, missing, ""
		}
	}
	if l.Vacuum != moistheat.NotRecorded {
		switch s.Vacuum {
		case moistheat.NotRecorded:
			missing, member = lang.Say("stored-vacuum-unrecorded: whether the cycle drew the air out"), "/vacuum"
		case l.Vacuum:
		default:
			return moistheat.No, missing, ""
		}
	}
	if l.MinLayers > 0 || l.MaxLayers > 0 {
		switch {
		case s.Layers == 0:
			missing, member = lang.Say("stored-layers-unrecorded: the number of layers"), "/layers"
		case s.Layers < l.MinLayers || l.MaxLayers > 0 && s.Layers > l.MaxLayers:
			return moistheat.No, missing, ""
		}
	}
	if l.Place != "" {
		switch s.Place {
		case "":
			missing, member = lang.Say("stored-place-unrecorded: where it is kept"), "/place"
		case l.Place:
		default:
			return moistheat.No, missing, ""
		}
	}
	if l.Category != "" {
		switch s.Category {
		case "":
			missing, member = lang.Say("stored-category-unrecorded: the category of the item"), "/category"
		case l.Category:
		default:
			return moistheat.No, missing, ""
		}
	}
	if missing.IsValid() {
		return moistheat.NotRecorded, missing, member
	}
	return moistheat.Yes, missing, ""
}

func (c *storeChecker) climate() {
	cl, ok := c.p.Climate()
	if !ok {
		c.Ask(rules.StorageClimate, "").When(false)
		return
	}
	within(c, cl, c.s.Temperature, cl.Low, cl.High, "/temperature")
	within(c, cl, c.s.Humidity, cl.Dry, cl.Damp, "/humidity")
}

// within asks whether one quantity of the store lies between the limits that there are.
// Where it does not, the pack may be too old for such a store.
func within[U units.Unit](c *storeChecker, cl calendar.Climate, got, low, high units.Quantity[U], at string) {
	if !low.IsValid() && !high.IsValid() {
		return
	}
	under := got.IsValid() && low.IsValid() && got.Compare(low) < 0
	over := got.IsValid() && high.IsValid() && got.Compare(high) > 0
	limit := high
	if under || !high.IsValid() {
		limit = low
	}
	var after moistheat.Detail
	if cl.Keep.IsValid() && (under || over) {
		after = lang.With("stored-reprocess:  Reprocess what is older than {1:text}.", cl.Keep.Words())
		if last := cl.Keep.AfterDate(c.s.Sterilized); last.IsValid() && c.on.Compare(last) > 0 {
			c.Ask(rules.StorageExpired, "/sterilized").By(cl.Source).With("last", last.String()).
				Say("by", lang.With("stored-outside-limits: {1:text} in a store outside its limits",
					cl.Keep.Words())).Broken()
		}
	}
	c.Ask(rules.StorageClimate, at).By(cl.Source).Of(got.Value(), limit.Value()).Say("after", after).
		OpenWhen(!got.IsValid(), moistheat.Unrecorded).BrokenIf(under || over)
}

func (c *storeChecker) place() {
	s, fig := c.s, historyFigures()
	c.Ask(rules.StoragePlace, "/atSink").Say("what", lang.Say("stored-at-sink: by or under a sink")).No(s.AtSink)
	c.Ask(rules.StoragePlace, "/overSterilizer").
		Say("what", lang.Say("stored-above-sterilizer: above the sterilizer")).No(s.OverSterilizer)
	c.Ask(rules.StoragePlace, "/inSun").Say("what", lang.Say("stored-in-sun: in the sun")).No(s.InSun)
	c.Ask(rules.StorageLaidout, "/laidOut").No(s.LaidOut)
	c.Ask(rules.StorageOpen, "/place").OpenWhen(s.Place == "", moistheat.Unrecorded).
		BrokenIf(s.Place != calendar.ProtectedPlace)
	ask.AtLeast(ask.Limit(c.Ask(rules.StorageFloor, "/aboveFloor"), fig.Floor), s.AboveFloor, fig.Floor.Value)
	ask.AtLeast(ask.Limit(c.Ask(rules.StorageSprinkler, "/underSprinkler").When(s.UnderSprinkler.IsValid()), fig.Sprinkler),
		s.UnderSprinkler, fig.Sprinkler.Value)
}

// transit judges packs that came from another site. A box that was shared was a journey.
func (c *storeChecker) transit() {
	carried, mixed := c.s.Carried == moistheat.Yes, c.s.WithUnsterile
	c.Ask(rules.TransitUnproven, "/proof").When(carried).Yes(c.s.Proof)
	c.Ask(rules.TransitMixed, "/withUnsterile").When(carried || mixed == moistheat.Yes).No(mixed)
}

// looked asks whether somebody looks at pouches that stay in store.
func (c *storeChecker) looked() {
	s := c.s
	q := c.Ask(rules.StorageUnchecked, "").When(s.Use == nil && (s.Barrier == "" || s.Barrier == packaging.PaperFilmPouch))
	if q.Answered() {
		return
	}
	fig := historyFigures().Laminate
	q.By(fig.Source)
	seen := s.Checked
	if s.Sterilized.Compare(seen) > 0 {
		seen = s.Sterilized
	}
	late := c.on.Compare(fig.Every.AfterDate(seen)) > 0
	if !seen.IsValid() || s.Barrier == "" && late {
		q.Open(moistheat.Unrecorded)
		return
	}
	if s.Checked.IsValid() {
		q.At("/checked")
	}
	q.With("seen", seen.String()).Say("every", fig.Every.Words()).BrokenIf(late)
}

// use asks what was read when the pack was opened, and whether the load of an implant
// can be found from the patient's record.
func (c *storeChecker) use() {
	use := c.s.Use
	if use == nil {
		use = &Use{}
	}
	c.Ask(rules.StorageUnread, "/use").When(c.s.Use != nil).Yes(use.IndicatorRead)
	q := c.Ask(rules.ImplantUntraced, "/use/loadNoted").When(c.s.Use != nil && c.s.Implant != moistheat.No)
	switch {
	case q.Answered():
	case c.s.Implant == moistheat.NotRecorded && use.LoadNoted != moistheat.Yes:
		q.Say("what", lang.Say("stored-implant-unrecorded: whether the pack held an implant")).Open(moistheat.Unrecorded)
	default:
		q.Say("what", lang.Say("stored-load-noted: whether the load is in the patient's record")).Yes(use.LoadNoted)
	}
}
