package water

import (
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

const limitsFormat = "moistheat.water/1"

// Limits are the limits that one edition of one document sets, or one section of
// it. They never change.
type Limits struct {
	doc   *fileDoc // of which the limits may be one section
	info  LimitsInfo
	rows  []row
	every []interval
}

// LimitsInfo is what limits say of themselves as a whole.
type LimitsInfo struct {
	ID           string           // as [LimitsFor] takes it
	Title        string           // what they are for, in words
	Source       moistheat.Source // the document
	Status       Status           // the weight that the document gives to the limits
	StatusSource moistheat.Source // how that is known
	// From is the first day on which the limits apply, Until the first on which they no
	// longer do. An end that is invalid is not stated.
	From, Until moistheat.Date
}

// Row is one limit.
type Row struct {
	ID          string              // section and determinand, such as "feed.conductivity"
	Determinand Determinand         //
	Points      []SamplingPoint     // where it applies; none: wherever it is asked
	Min, Max    units.Value         // either may be absent
	Strict      bool                // a value equal to the limit is outside
	As          units.Species       // what a concentration is expressed as; zero: as itself, or the document does not say
	At          []units.Temperature // what a conductivity refers to; several: the document leaves it open
	Unjudged    string              // why the row cannot be held against a reading
	Note        string
	Source      moistheat.Source
}

// row is a Row made ready for comparison.
type row struct {
	Row
	table, document string           // for findings
	at              moistheat.Detail // the temperatures, for findings
	bounds          bounds
	steps           []step // highest conductivity by temperature, without compensation
	linear          bool   // between steps: a line; otherwise the lower step
	stirred         units.Conductivity
	byPH            []step
	finest          units.Conductivity // resolution that a table of steps asks of the meter
	sediment        bool               // an appearance also asks that nothing settles
}

type step struct {
	at    units.Value // temperature or pH
	max   units.Conductivity
	basis moistheat.Basis
}

type interval struct {
	points       []SamplingPoint
	determinands []Determinand
	every        units.Duration
	source       moistheat.Source
}

// MarshalJSON writes the document that [ParseLimits] reads: that of the limits, which names
// the section where they are one.
func (l Limits) MarshalJSON() ([]byte, error) {
	if l.doc == nil {
		return nil, strictjson.Invalid("", "the limits are of no document")
	}
	doc := *l.doc
	if _, name, one := strings.Cut(l.info.ID, "#"); one {
		doc.Section = name
	} else if len(doc.Sections) > 1 {
		doc.Sections = slices.DeleteFunc(slices.Clone(doc.Sections),
			func(s sectionDoc) bool { return len(s.Points) == 0 })
	}
	return json.Marshal(doc)
}

// UnmarshalJSON is [ParseLimits].
func (l *Limits) UnmarshalJSON(data []byte) error {
	read, err := ParseLimits(data)
	if err == nil && l == nil {
		err = strictjson.Invalid("", "there is nothing to read into: the pointer is nil")
	}
	if err == nil {
		*l = *read
	}
	return err
}

// Info returns what the limits say of themselves, nothing of nil ones.
func (l *Limits) Info() LimitsInfo { return ask.Some(l).info }

// InForce reports whether the limits apply on a day. On a day that nobody recorded
// they do.
func (l *Limits) InForce(on moistheat.Date) bool {
	return l != nil && on.Within(l.info.From, l.info.Until)
}

// Rows returns the limits in the order of the document.
func (l *Limits) Rows() []Row {
	rows := ask.Some(l).rows
	out := make([]Row, len(rows))
	for i, r := range rows {
		out[i] = r.Row
		out[i].Points = slices.Clone(r.Points)
		out[i].At = slices.Clone(r.At)
	}
	return out
}

// The shape of a file.
type (
	fileDoc struct {
		Format   string           `json:"format"`
		ID       string           `json:"id"`
		Title    string           `json:"title"`
		Source   moistheat.Source `json:"source"`
		Status   statusDoc        `json:"status"`
		From     moistheat.Date   `json:"from,omitzero"`
		Until    moistheat.Date   `json:"until,omitzero"`
		Section  string           `json:"section,omitzero"` // the one that is followed, of several without sampling points
		Sections []sectionDoc     `json:"sections"`
	}
	statusDoc struct {
		Is     Status           `json:"is"`
		Source moistheat.Source `json:"source"`
	}
	sectionDoc struct {
		Name      string           `json:"name"`
		Title     string           `json:"title"`
		Points    []SamplingPoint  `json:"points,omitzero"` // absent: the section is chosen by name
		Source    moistheat.Source `json:"source"`
		Rows      []rowDoc         `json:"rows"`
		Intervals []intervalDoc    `json:"intervals,omitzero"`
	}
	rowDoc struct {
		Determinand Determinand         `json:"determinand"`
		Min         amount              `json:"min,omitzero"`
		Max         amount              `json:"max,omitzero"`
		Strict      bool                `json:"strict,omitzero"`
		NoSediment  bool                `json:"noSediment,omitzero"` // of an appearance
		As          units.Species       `json:"as,omitzero"`
		At          []units.Temperature `json:"at,omitzero"`
		Staged      *stagedDoc          `json:"staged,omitzero"`
		Unjudged    string              `json:"unjudged,omitzero"`
		Note        string              `json:"note,omitzero"`
		Basis       moistheat.Basis     `json:"basis"`
		Source      *moistheat.Source   `json:"source,omitzero"` // where it is not the section's
	}
	stagedDoc struct {
		Between    string             `json:"between"` // "lower step" or "line"
		Steps      []temperatureStep  `json:"steps"`
		Resolution units.Conductivity `json:"resolution,omitzero"` // that the document asks of the meter
		Stirred    units.Conductivity `json:"stirred,omitzero"`
		ByPH       []acidityStep      `json:"byPH,omitzero"`
	}
	temperatureStep struct {
		Temperature units.Temperature  `json:"temperature"`
		Max         units.Conductivity `json:"max"`
		Basis       moistheat.Basis    `json:"basis,omitzero"` // where it is not the row's
	}
	acidityStep struct {
		PH    units.PH           `json:"ph"`
		Max   units.Conductivity `json:"max"`
		Basis moistheat.Basis    `json:"basis,omitzero"`
	}
	intervalDoc struct {
		Determinands []Determinand    `json:"determinands"`
		Every        units.Duration   `json:"every"`
		Source       moistheat.Source `json:"source"`
	}
)

// amount is a value whose dimension the determinand decides.
type amount struct{ number, unit string }

// MarshalJSON writes the value as it was read.
func (a amount) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Value json.Number `json:"value"`
		Unit  string      `json:"unit"`
	}{json.Number(a.number), a.unit})
}

// UnmarshalJSON keeps number and unit as written. Its limits are those of the
// document around it.
func (a *amount) UnmarshalJSON(data []byte) error {
	number, unit, err := strictjson.Quantity(data)
	if err != nil {
		return err
	}
	a.number, a.unit = string(number), string(unit)
	return nil
}

//go:embed limits/*.json
var limitFiles embed.FS

var builtIn lazy.Value[[]*Limits]

func builtInLimits() []*Limits {
	return builtIn.Get(func() []*Limits {
		all := slices.Concat(strictjson.MustReadAll(limitFiles, "limits/*.json", parseAll)...)
		slices.SortFunc(all, func(a, b *Limits) int { return strings.Compare(a.info.ID, b.info.ID) })
		return all
	})
}

// LimitNames returns the names that [LimitsFor] knows, sorted. A name with # is one
// section of a document whose sections are for different uses, such as
// "aami-tir34-2014#critical".
func LimitNames() []string {
	var ids []string
	for _, l := range builtInLimits() {
		ids = append(ids, l.info.ID)
	}
	return ids
}

// LimitsFor returns the built-in limits of that name. The error for an unknown name
// is [moistheat.ErrUnknown].
func LimitsFor(id string) (*Limits, error) {
	for _, l := range builtInLimits() {
		if l.info.ID == id {
			own := *l
			return &own, nil
		}
	}
	return nil, fmt.Errorf("water: %w limits %.60q; the built-in ones are %s", moistheat.ErrUnknown, id,
		strings.Join(LimitNames(), ", "))
}

// ParseLimits reads limits in the format of the built-in files, such as a
// facility's own. Where the file has sections for different uses, give only the one
// that is followed, or name it in the member "section". Every error is a [*moistheat.DocumentError].
func ParseLimits(data []byte) (*Limits, error) {
	all, err := parseAll(data)
	if err != nil {
		return nil, err
	}
	if name := all[0].doc.Section; name != "" {
		for _, l := range all {
			if _, section, _ := strings.Cut(l.info.ID, "#"); section == name {
				return l, nil
			}
		}
		return nil, strictjson.In(limitsFormat, strictjson.Invalid("/section",
			"there is no section %.40q beside others without sampling points", name))
	}
	if len(all) != 1 {
		return nil, strictjson.In(limitsFormat, strictjson.Invalid("/sections",
			"several sections without sampling points; keep the one that is followed, or name it in /section"))
	}
	return all[0], nil
}

// parseAll returns the sections with sampling points as one, and each other section
// by itself.
func parseAll(data []byte) ([]*Limits, error) {
	doc, err := strictjson.Read[fileDoc](data, strictjson.Default(), limitsFormat)
	if err != nil {
		return nil, err
	}
	all, err := doc.limits()
	return all, strictjson.In(limitsFormat, err)
}

func (doc *fileDoc) limits() ([]*Limits, error) {
	if !strictjson.IsName(doc.ID) {
		return nil, strictjson.Invalid("/id", strictjson.WantName)
	}
	if doc.From.IsValid() && doc.Until.IsValid() && doc.From.Compare(doc.Until) >= 0 {
		return nil, strictjson.Invalid("/until",
			"is not after the first day; it is the first day on which the limits no longer apply")
	}
	if err := checkSource("/source", doc.Source); err != nil {
		return nil, err
	}
	if err := checkSource("/status/source", doc.Status.Source); err != nil {
		return nil, err
	}
	var out []*Limits
	var pointed *Limits
	names, rows := map[string]bool{}, map[string]bool{} // each once; a row's has that of its section
	start := func(id, title string) *Limits {
		return &Limits{doc: doc, info: LimitsInfo{
			ID: id, Title: title, Source: doc.Source, Status: doc.Status.Is, StatusSource: doc.Status.Source,
			From: doc.From, Until: doc.Until,
		}}
	}
	for i, s := range doc.Sections {
		at := fmt.Sprintf("/sections/%d", i)
		if !strictjson.IsName(s.Name) || names[s.Name] {
			return nil, strictjson.Invalid(at+"/name", "%.40q; use a lower-case name of its own", s.Name)
		}
		names[s.Name] = true
		if err := checkSource(at+"/source", s.Source); err != nil {
			return nil, err
		}
		l := pointed
		switch {
		case len(s.Points) == 0 && len(doc.Sections) > 1:
			l = start(doc.ID+"#"+s.Name, doc.Title+": "+s.Title)
			out = append(out, l)
		case l == nil:
			pointed = start(doc.ID, doc.Title)
			l = pointed
			out = append(out, l)
		}
		if err := l.add(&s, doc.ID, at, rows); err != nil {
			return nil, err
		}
	}
	if len(out) == 0 {
		return nil, strictjson.Invalid("/sections", "is empty")
	}
	return out, nil
}

// add adds the rows and intervals of a section, which a pointer leads to.
func (l *Limits) add(s *sectionDoc, document, at string, seen map[string]bool) error {
	for j, d := range s.Rows {
		r, err := d.row(s)
		if err != nil {
			err.Pointer = fmt.Sprintf("%s/rows/%d%s", at, j, err.Pointer)
			return err
		}
		if seen[r.ID] {
			return strictjson.Invalid(fmt.Sprintf("%s/rows/%d", at, j), "a second row for %s", r.ID)
		}
		seen[r.ID] = true
		r.prepare(document)
		l.rows = append(l.rows, r)
	}
	for j, d := range s.Intervals {
		if d.Every.Compare(units.New(0, 0, units.Second)) <= 0 {
			return strictjson.Invalid(fmt.Sprintf("%s/intervals/%d/every", at, j), "is not a time")
		}
		if err := checkSource(fmt.Sprintf("%s/intervals/%d/source", at, j), d.Source); err != nil {
			return err
		}
		l.every = append(l.every, interval{s.Points, d.Determinands, d.Every, d.Source})
	}
	return nil
}

func checkSource(pointer string, s moistheat.Source) error {
	if s.Document == "" {
		return strictjson.Invalid(pointer+"/document", "is empty; every figure names where it comes from")
	}
	return nil
}

// row makes a row ready. The pointer of an error starts at the row.
func (d *rowDoc) row(s *sectionDoc) (row, *moistheat.DocumentError) {
	r := row{Row: Row{
		ID: s.Name + "." + d.Determinand.String(), Determinand: d.Determinand, Points: s.Points, Strict: d.Strict,
		As: d.As, At: d.At, Unjudged: d.Unjudged, Note: d.Note, Source: s.Source,
	}}
	if d.Source != nil {
		if d.Source.Document == "" {
			return r, strictjson.Invalid("/source/document", "is empty")
		}
		r.Source = *d.Source
	}
	r.Source.Basis = d.Basis
	stated := d.Min != amount{} || d.Max != amount{} || d.Staged != nil
	switch {
	case d.Determinand == Appearance:
		if stated || d.Unjudged != "" {
			return r, strictjson.Invalid("", "appearance is clear, colourless and without sediment; it takes no figure")
		}
		r.sediment = d.NoSediment
		return r, nil
	case d.Unjudged != "":
		if stated {
			return r, strictjson.Invalid("/unjudged", "a row with a figure is judged")
		}
		return r, nil
	case !stated:
		return r, strictjson.Invalid("", "want min, max, staged or unjudged")
	case d.Staged != nil:
		if d.Determinand != Conductivity || d.Min != (amount{}) || d.Max != (amount{}) || d.Strict {
			return r, strictjson.Invalid("/staged", "a table of steps is for conductivity, by itself")
		}
		err := d.Staged.fill(&r)
		return r, err
	}
	err := d.bounds(&r)
	return r, err
}

// bounds makes the lowest and the highest value of a row ready.
func (d *rowDoc) bounds(r *row) *moistheat.DocumentError {
	var err error
	if r.Min, err = d.Min.value(d.Determinand); err != nil {
		return strictjson.Invalid("/min", "%v", err)
	}
	if r.Max, err = d.Max.value(d.Determinand); err != nil {
		return strictjson.Invalid("/max", "%v", err)
	}
	if r.Min.IsValid() && r.Max.IsValid() && order(r.Min, r.Max) >= 0 {
		return strictjson.Invalid("/max", "is not above min")
	}
	electric := d.Determinand == Conductivity || d.Determinand == Resistivity
	if electric != (len(d.At) > 0) {
		return strictjson.Invalid("/at",
			"a limit of conductivity or resistivity, and no other, states the temperature it refers to, or each that it may refer to")
	}
	for _, t := range d.At {
		if c := t.Float64(units.Celsius); c < 0 || c > maxCelsius {
			return strictjson.Invalid("/at", "%s is outside %g to %g °C", t, 0.0, maxCelsius)
		}
	}
	if d.Determinand == Resistivity && (!r.Min.IsValid() || r.Max.IsValid()) {
		return strictjson.Invalid("", "resistivity has a lowest value and no highest")
	}
	if r.bounds, err = boundsOf(r.Min, r.Max, d.Strict); err != nil {
		return strictjson.Invalid("/min", "%v", err)
	}
	if d.As != 0 && !slices.Contains(speciesOf[d.Determinand], d.As) {
		return strictjson.Invalid("/as", "%s is not expressed as %s", d.Determinand, d.As)
	}
	return nil
}

func (d *stagedDoc) fill(r *row) *moistheat.DocumentError {
	if d.Between != "lower step" && d.Between != "line" {
		return strictjson.Invalid("/staged/between", `want "lower step" or "line"`)
	}
	r.linear = d.Between == "line"
	for _, s := range d.Steps {
		r.steps = append(r.steps, step{s.Temperature.Value(), s.Max, max(s.Basis, r.Source.Basis)})
	}
	for _, s := range d.ByPH {
		r.byPH = append(r.byPH, step{s.PH.Value(), s.Max, max(s.Basis, r.Source.Basis)})
	}
	for _, list := range [][]step{r.steps, r.byPH} {
		if !slices.IsSortedFunc(list, func(a, b step) int { return order(a.at, b.at) }) {
			return strictjson.Invalid("/staged", "steps out of order")
		}
	}
	if len(r.steps) < 2 || len(r.byPH) > 0 && !d.Stirred.IsValid() {
		return strictjson.Invalid("/staged", "a table has two steps or more, and one by pH comes after a stirred limit")
	}
	r.stirred, r.finest = d.Stirred, d.Resolution
	return nil
}

// value parses a in the dimension of the determinand.
func (a amount) value(d Determinand) (units.Value, error) {
	if a == (amount{}) {
		return units.Value{}, nil
	}
	switch text := a.number + " " + a.unit; d {
	case Conductivity:
		return parseAs[units.ConductivityUnit](text)
	case Resistivity:
		return parseAs[units.ResistivityUnit](text)
	case PH:
		return parseAs[units.PHUnit](text)
	case Hardness:
		return parseAs[units.HardnessUnit](text)
	case Bacteria:
		return parseAs[units.ColonyCountUnit](text)
	case Endotoxin:
		return parseAs[units.EndotoxinUnit](text)
	case Turbidity:
		return parseAs[units.TurbidityUnit](text)
	default:
		return parseAs[units.MassConcentrationUnit](text)
	}
}

func parseAs[U units.Unit](text string) (units.Value, error) {
	q, err := units.Parse[U](text)
	if err == nil && q.Compare(units.New(0, 0, q.Unit())) <= 0 {
		err = errors.New("a limit of nothing cannot be shown")
	}
	if err != nil {
		return units.Value{}, err
	}
	return q.Value(), nil
}

// boundsOf makes limits ready for comparison. Those of a resistivity become those of
// the conductivity, rounded inwards.
func boundsOf(low, high units.Value, strict bool) (bounds, error) {
	if rho, ok := units.Of[units.ResistivityUnit](low); ok {
		k, err := units.ConductivityOf(rho, units.MicrosiemensPerCentimetre, reciprocalPlaces, units.Down)
		if err != nil {
			return bounds{}, err
		}
		low, high = units.Value{}, k.Value()
	}
	b := bounds{low: low, high: high, width: high, strict: strict}
	if !high.IsValid() {
		b.width = low
	}
	lowest, _ := units.Of[units.PHUnit](low)
	highest, _ := units.Of[units.PHUnit](high)
	if width, ok := plus(highest, lowest, -1); ok {
		b.width = width.Value()
	}
	return b, nil
}

// speciesOf has what a determinand can be expressed as. A reading that does not say is
// held against a limit as each of them; one species alone goes without saying.
var speciesOf = [...][]units.Species{
	Silicate:   {units.AsSiO2, units.AsSi},
	Phosphate:  {units.AsP2O5, units.AsPO4, units.AsP},
	Nitrate:    {units.AsNO3, units.AsN},
	Ammonium:   {units.AsNH4, units.AsN},
	Alkalinity: {units.AsCaCO3, units.AsHCO3},
	Chloride:   {units.AsCl, units.AsNaCl},
	Appearance: nil,
}
