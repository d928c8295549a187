package history

import (
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// StoredFormat is the value of a stored pack's "format" member.
const StoredFormat = "moistheat.stored/1"

// Stored is what is known of one pack after its load: where it is kept, what
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

	Carried       moistheat.Answer `json:"carried,omitzero"`       // from one site to another
	Proof         moistheat.Answer `json:"proof,omitzero"`         // what shows that its load was released went with it
	WithUnsterile moistheat.Answer `json:"withUnsterile,omitzero"` // it shared a transport box with goods that are not sterile

	Implant moistheat.Answer `json:"implant,omitzero"` // it holds something that stays in the patient

	Use *Use `json:"use,omitzero"` // nil: still in store
}

// Issue is the use of a pack.
type Use struct {
	Time          time.Time        `json:"time"`
	Patient       string           `json:"patient,omitzero"`       // the facility's key
	IndicatorRead moistheat.Answer `json:"indicatorRead,omitzero"` // the inside indicator was read and at its end point
	LoadNoted     moistheat.Answer `json:"loadNoted,omitzero"`     // sterilizer, date and number of the load are in the patient's record
	By            string           `json:"by,omitzero"`
}

// DecodeStored reads one stored pack, as strictly as [Decode] reads a record.
func DecodeStoredPack(data []byte) (*StoredPack, error) {
	return strictjson.Read[StoredPack](data, strictjson.Default(), StoredFormat)
}

// Validate is to [DecodeStoredPack] what [load.Record.Validate] is to [load.Decode].
func (s *StoredPack) Validate() error {
	return strictjson.Validate(s, strictjson.Default(), StoredFormat)
}

// CheckStored says whether a pack may be used on a day, by what happened to it and
// by the policy's limits of time, climate and place. Whether its load may be used is
// for [Check] and [History]. A pack that was issued is judged on that day.
func CheckStored(s *StoredPack, p *load.Policy, on moistheat.Date) []moistheat.Finding {
	c := &storeChecker{List: rules.Book.List(nil), s: s, p: p, on: on}
	if s.Use != nil && !s.Use.Time.IsZero() {
		c.on = moistheat.DateOf(s.Use.Time)
	}
	c.p = p.On(c.on)
	c.event()
	c.expiry()
	c.climate()
	c.place()
	c.transit()
	c.looked()
	c.issue()
	for i := range c.Findings {
		c.p.Apply(&c.Findings[i])
	}
	return c.Findings
}

type storeChecker struct {
	s  *StoredPack
	p  *load.Policy
	on moistheat.Date
	ask.List
}

func (c *storeChecker) event() {
	s := c.s
	for _, e := range []struct {
		got, want moistheat.Answer
		at, what  string
	}{{s.Dry, moistheat.Yes, "/dry", "wet"}, {s.Intact, moistheat.Yes, "/intact", "torn or open"}, {s.Dropped, moistheat.No, "/dropped", "dropped"}} {
		at := spot(e.got != moistheat.NotRecorded, e.at)
		ask.With(c.Answer(rules.StorageEvent, e.got, e.want, at), "what", e.what)
	}
}

// expiry compares the age of the pack with the label and with the policy.
func (c *storeChecker) expiry() {
	s := c.s
	if _, ok := c.p.Rule(rules.Book.Name(rules.StorageUnlabelled)); ok {
		c.Add(rules.StorageUnlabelled, ask.If(!s.Expires.IsValid()), spot(s.Expires.IsValid(), "/expires"))
	} else {
		c.Skip(rules.StorageUnlabelled, "")
	}
	asked := false
	if s.Expires.IsValid() {
		asked = true
		f := c.Add(rules.StorageExpired, ask.If(c.on.Compare(s.Expires) > 0), "/expires")
		ask.With(ask.With(f, "last", s.Expires.String()), "by", "its label")
	}
	for _, l := range c.p.ShelfLife() {
		fits, missing := fits(&l, s)
		if fits == moistheat.No {
			continue
		}
		asked = true
		last := l.Keep.AfterDate(s.Sterilized)
		late := c.on.Compare(last) > 0
		// What is in time by a line is so whether the line applies or not.
		if !s.Sterilized.IsValid() || fits == moistheat.NotRecorded && late {
			if !s.Sterilized.IsValid() {
				missing = "the date of sterilization"
			}
			f := c.Add(rules.StorageExpired, moistheat.Undetermined, "")
			f.Sources = moistheat.SourcesOf(l.Source)
			ask.With(f, "missing", missing)
			continue
		}
		f := c.Add(rules.StorageExpired, ask.If(late), "/sterilized")
		f.Sources = moistheat.SourcesOf(l.Source)
		ask.With(ask.With(f, "last", last.String()), "by", l.Keep.Words()+" after sterilization")
	}
	if !asked {
		c.Skip(rules.StorageExpired, "")
	}
}

// fits says whether a line is about this pack, and if that can not be said, what is
// missing.
func fits(l *calendar.ShelfLife, s *StoredPack) (moistheat.Answer, string) {
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
	if l.Place != "" {
		switch s.Place {
		case "":
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
	cl, ok := c.p.Climate()
	if !ok {
		c.Skip(rules.StorageClimate, "")
		return
	}
	s := c.s
	one := func(low, high, got units.Value, known, under, over bool, at string) {
		if !low.IsValid() && !high.IsValid() {
			return
		}
		o := moistheat.Undetermined
		if known {
			o = ask.If(under || over)
		}
		f := c.Add(rules.StorageClimate, o, spot(known, at))
		f.Sources = moistheat.SourcesOf(cl.Source)
		f.Measured, f.Limit = got, high
		if under || !high.IsValid() {
			f.Limit = low
		}
		after := ""
		if cl.Keep.IsValid() && o == moistheat.Broken {
			after = " Reprocess what is older than " + cl.Keep.Words() + "."
			if s.Sterilized.IsValid() && c.on.Compare(cl.Keep.AfterDate(s.Sterilized)) > 0 {
				g := c.Add(rules.StorageExpired, moistheat.Broken, "/sterilized")
				g.Sources = moistheat.SourcesOf(cl.Source)
				ask.With(ask.With(g, "last", cl.Keep.AfterDate(s.Sterilized).String()), "by", cl.Keep.Words()+" in a store outside its limits")
				f = &c.Findings[len(c.Findings)-2]
			}
		}
		ask.With(f, "after", after)
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
		ask.With(c.Answer(rules.StoragePlace, e.got, moistheat.No, spot(e.got != moistheat.NotRecorded, e.at)), "what", e.what)
	}
	c.Answer(rules.StorageLaidout, s.LaidOut, moistheat.No, spot(s.LaidOut != moistheat.NotRecorded, "/laidOut"))
	o := ask.If(s.Place != calendar.ProtectedPlace)
	if s.Place == "" {
		o = moistheat.Undetermined
	}
	c.Add(rules.StorageOpen, o, spot(s.Place != "", "/place"))
	fig := historyFigures()
	if s.AboveFloor.IsValid() {
		f := c.Add(rules.StorageFloor, ask.If(s.AboveFloor.Compare(fig.Floor.Value) < 0), "/aboveFloor")
		f.Measured, f.Limit, f.Sources = s.AboveFloor.Value(), fig.Floor.Value.Value(), moistheat.SourcesOf(fig.Floor.Source)
	} else {
		c.Add(rules.StorageFloor, moistheat.Undetermined, "")
	}
	if s.UnderSprinkler.IsValid() {
		f := c.Add(rules.StorageSprinkler, ask.If(s.UnderSprinkler.Compare(fig.Sprinkler.Value) < 0), "/underSprinkler")
		f.Measured, f.Limit, f.Sources = s.UnderSprinkler.Value(), fig.Sprinkler.Value.Value(), moistheat.SourcesOf(fig.Sprinkler.Source)
	} else {
		c.Skip(rules.StorageSprinkler, "")
	}
}

// transit judges packs that came from another site.
func (c *storeChecker) transit() {
	s := c.s
	if s.Carried != moistheat.Yes {
		c.Skip(rules.TransitUnproven, "")
		if s.WithUnsterile != moistheat.Yes { // a box that was shared was a journey
			c.Skip(rules.TransitMixed, "")
			return
		}
	} else {
		c.Answer(rules.TransitUnproven, s.Proof, moistheat.Yes, spot(s.Proof != moistheat.NotRecorded, "/proof"))
	}
	c.Answer(rules.TransitMixed, s.WithUnsterile, moistheat.No, spot(s.WithUnsterile != moistheat.NotRecorded, "/withUnsterile"))
}

// looked asks whether somebody looks at pouches that stay in store.
func (c *storeChecker) looked() {
	s := c.s
	if s.Use != nil || s.Barrier != "" && s.Barrier != packaging.PaperFilmPouch {
		c.Skip(rules.StorageUnchecked, "")
		return
	}
	fig := historyFigures().Laminate
	seen := s.Checked
	if s.Sterilized.Compare(seen) > 0 {
		seen = s.Sterilized
	}
	if !seen.IsValid() || s.Barrier == "" && c.on.Compare(fig.Every.AfterDate(seen)) > 0 {
		c.Add(rules.StorageUnchecked, moistheat.Undetermined, "").Sources = moistheat.SourcesOf(fig.Source)
		return
	}
	f := c.Add(rules.StorageUnchecked, ask.If(c.on.Compare(fig.Every.AfterDate(seen)) > 0), spot(s.Checked.IsValid(), "/checked"))
	f.Sources = moistheat.SourcesOf(fig.Source)
	ask.With(ask.With(f, "seen", seen.String()), "every", fig.Every.Words())
}

func (c *storeChecker) issue() {
	if c.s.Use == nil {
		c.Skip(rules.StorageUnread, "")
		c.Skip(rules.ImplantUntraced, "")
		return
	}
	got := c.s.Use.IndicatorRead
	c.Answer(rules.StorageUnread, got, moistheat.Yes, spot(true, "/use"))
	c.traced()
}

// traced asks whether the load of an implant that was used can be found from the
// patient's record.
func (c *storeChecker) traced() {
	noted := c.s.Use.LoadNoted
	at := "/use" + spot(noted != moistheat.NotRecorded, "/loadNoted")
	switch {
	case c.s.Implant == moistheat.No:
		c.Skip(rules.ImplantUntraced, "")
	case c.s.Implant == moistheat.NotRecorded && noted != moistheat.Yes:
		ask.With(c.Add(rules.ImplantUntraced, moistheat.Undetermined, at), "what", "whether the pack held an implant")
	default:
		ask.With(c.Answer(rules.ImplantUntraced, noted, moistheat.Yes, at), "what", "whether the load is in the patient's record")
	}
}

// spot returns the pointer of an optional part of the document, or that of the
// record itself where the part is absent.
func spot(present bool, pointer string) string {
	if present {
		return pointer
	}
	return ""
}
