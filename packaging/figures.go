package packaging

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// Limit says what a [Figure] limits. The zero Limit is invalid.
type Limit string

const (
	// LeastSealWidth: a length; the overall width of a heat seal.
	LeastSealWidth Limit = "least seal width"
	// GreatestFill: a ratio; the share of a pouch or bag that contents may take up.
	GreatestFill Limit = "greatest fill"
	// LeastFreeSpace: a length; from the contents to the closing seal.
	LeastFreeSpace Limit = "least free space"
	// GreatestSetMass: a mass; an instrument set with its wrap or container.
	GreatestSetMass Limit = "greatest set mass with packaging"
	// GreatestSetNetMass: a mass; an instrument set without its packaging.
	GreatestSetNetMass Limit = "greatest set mass without packaging"
	// GreatestTrayMass: a mass; an instrument set in a wrap.
	GreatestTrayMass Limit = "greatest wrapped tray mass"
	// GreatestContainerMass: a mass; a rigid container with its contents.
	GreatestContainerMass Limit = "greatest rigid container mass"
	// GreatestTextileMass: a mass; a pack of textiles only.
	GreatestTextileMass Limit = "greatest textile pack mass"
	// GreatestMuslinMass: a mass; a pack of textiles only in a textile wrap.
	GreatestMuslinMass Limit = "greatest muslin pack mass"
	// LeastOverhang: a length; of a pouch beyond its seal, where it is opened.
	LeastOverhang Limit = "least overhang"
	// GreatestMuslinWidth: a length; of the middle side of such a pack, and so of
	// the shortest too.
	GreatestMuslinWidth Limit = "greatest muslin pack width"
	// GreatestMuslinLength: a length; of the longest side of such a pack.
	GreatestMuslinLength Limit = "greatest muslin pack length"
	// GreatestMuslinDensity: a density; mass over volume of such a pack.
	GreatestMuslinDensity Limit = "greatest muslin pack density"
	// LeastSealStrength: a force per width; of a test seal after steam.
	LeastSealStrength Limit = "least seal strength"
	// LeastIndicatorArea: an area; of one indicator printed on a pack.
	LeastIndicatorArea Limit = "least indicator area"
	// GreatestSealTestAge: calendar months; of the sealer's newest test seal.
	GreatestSealTestAge Limit = "greatest seal test age"

	// The limits below define the lumen classes; see [LumenFigures].

	// LeastHollowRatio: length over bore from which a lumen is hollow.
	LeastHollowRatio Limit = "least hollow ratio"
	// GreatestHollowARatio: length over bore up to which a lumen is hollow A.
	GreatestHollowARatio Limit = "greatest hollow A ratio"
	// GreatestHollowALength: a length; up to which a lumen is hollow A.
	GreatestHollowALength Limit = "greatest hollow A length"
	// GreatestHollowBRatio: length over bore up to which a lumen is hollow B.
	GreatestHollowBRatio Limit = "greatest hollow B ratio"
	// LeastHollowBBore: a length; the bore from which a lumen can be hollow B.
	LeastHollowBBore Limit = "least hollow B bore"
)

// kind is what sort of figure a limit has; its words say so but for the dimension.
type kind struct {
	dimension    units.Dimension
	least, lumen bool // a lower limit; one that defines the lumen classes
}

func (l Limit) kind() kind {
	name := string(l)
	k := kind{units.DimMass, strings.HasPrefix(name, "least "), strings.Contains(name, " hollow ")}
	switch l {
	case LeastSealWidth, LeastFreeSpace, LeastOverhang, GreatestMuslinWidth, GreatestMuslinLength, LeastHollowBBore,
		GreatestHollowALength:
		k.dimension = units.DimLength
	case LeastHollowRatio, GreatestHollowARatio, GreatestHollowBRatio, GreatestFill:
		k.dimension = units.DimRatio
	case GreatestMuslinDensity:
		k.dimension = units.DimDensity
	case LeastSealStrength:
		k.dimension = units.DimForcePerWidth
	case LeastIndicatorArea:
		k.dimension = units.DimArea
	}
	return k
}

// Figure is one limit as one document states it. Exactly one of Length, Ratio,
// Mass, Density, Strength, Area and Months is set, the one that suits the limit.
type Figure struct {
	Row      string              `json:"row"` // short name, unique in its file
	Limit    Limit               `json:"limit"`
	OpenEnds int                 `json:"openEnds,omitzero" max:"2"` // of a lumen limit: 1 or 2
	Length   units.Length        `json:"length,omitzero"`
	Ratio    units.Ratio         `json:"ratio,omitzero"`
	Mass     units.Mass          `json:"mass,omitzero"`
	Density  units.Density       `json:"density,omitzero"`
	Strength units.ForcePerWidth `json:"strength,omitzero"`
	Area     units.Area          `json:"area,omitzero"`
	Months   int                 `json:"months,omitzero" max:"1200"` // of the calendar
	// From is the first day on which the figure applies and Until the first on which
	// it no longer does. An end that is invalid is not stated.
	From   moistheat.Date   `json:"from,omitzero"`
	Until  moistheat.Date   `json:"until,omitzero"`
	Note   string           `json:"note,omitzero"`
	Source moistheat.Source `json:"source"`

	// Table is the ID of the file and the row, as findings cite it:
	// "din-58953-7#fill".
	Table string `json:"-"`
}

// Value returns the number that the figure states. It is invalid for months, which
// are no unit of time, and for a nil figure.
func (f *Figure) Value() units.Value {
	if f == nil {
		return units.Value{}
	}
	for _, v := range f.values() {
		if v.IsValid() {
			return v
		}
	}
	return units.Value{}
}

func (f *Figure) values() [6]units.Value {
	return [...]units.Value{f.Length.Value(), f.Ratio.Value(), f.Mass.Value(), f.Density.Value(),
		f.Strength.Value(), f.Area.Value()}
}

// Figures are the limits of the documents that somebody chose to follow. Where two
// of them limit the same thing, both are asked. A nil *Figures holds none.
//
// Figures are immutable and safe to share between goroutines.
type Figures struct {
	ids  []string
	docs []figuresFile // of which they are
	rows []Figure
}

// MarshalJSON writes the document that [ParseFigures] reads, or a list of such where the
// figures are of none or several.
func (f Figures) MarshalJSON() ([]byte, error) {
	if len(f.docs) == 1 {
		return json.Marshal(f.docs[0])
	}
	return json.Marshal(append([]figuresFile{}, f.docs...))
}

// UnmarshalJSON reads a document as [ParseFigures] does, or a list of them.
func (f *Figures) UnmarshalJSON(data []byte) error {
	if f == nil {
		return strictjson.Invalid("", "there is nothing to read into: the pointer is nil")
	}
	each := []json.RawMessage{data}
	if at := bytes.TrimLeft(data, " \t\r\n"); len(at) > 0 && at[0] == '[' {
		if err := strictjson.Check(data, strictjson.Default()); err != nil {
			return err
		}
		if err := json.Unmarshal(data, &each); err != nil {
			return err
		}
	}
	all := &Figures{}
	for _, doc := range each {
		read, err := ParseFigures(doc)
		if err == nil {
			all, err = all.With(read)
		}
		if err != nil {
			return err
		}
	}
	*f = *all
	return nil
}

// IDs returns the IDs of the documents, in the order in which they were chosen.
func (f *Figures) IDs() []string {
	if f == nil {
		return nil
	}
	return slices.Clone(f.ids)
}

// All returns a copy of every figure, document by document.
func (f *Figures) All() []Figure {
	if f == nil {
		return nil
	}
	return slices.Clone(f.rows)
}

// With returns the figures of f and more together. A document that is in both is an
// error.
func (f *Figures) With(more *Figures) (*Figures, error) {
	sum := &Figures{ids: f.IDs(), rows: f.All()}
	if f != nil {
		sum.docs = slices.Clone(f.docs)
	}
	if more == nil {
		return sum, nil
	}
	for _, id := range more.ids {
		if slices.Contains(sum.ids, id) {
			return nil, fmt.Errorf("packaging: the figures of %q are given twice", id)
		}
	}
	sum.ids = append(sum.ids, more.ids...)
	sum.docs = append(sum.docs, more.docs...)
	sum.rows = append(sum.rows, more.rows...)
	return sum, nil
}

//go:embed figures/*.json figures/lumen/*.json
var files embed.FS

// FigureNames returns the IDs of the documents whose figures come with the library,
// in alphabetical order.
func FigureNames() []string {
	entries, err := files.ReadDir("figures")
	if err != nil {
		return nil // embedded; a test reads it
	}
	var ids []string
	for _, e := range entries {
		if id, ok := strings.CutSuffix(e.Name(), ".json"); ok {
			ids = append(ids, id)
		}
	}
	return ids
}

// FiguresFor returns the figures of the documents with these IDs. Without an ID it
// returns Figures that hold none. The error for an unknown ID is
// [moistheat.ErrUnknown].
func FiguresFor(ids ...string) (*Figures, error) {
	all := &Figures{}
	for _, id := range ids {
		data, err := files.ReadFile("figures/" + id + ".json")
		if err != nil || !strictjson.IsName(id) {
			return nil, fmt.Errorf("packaging: %w figures %.40q; there are %s", moistheat.ErrUnknown, id,
				strings.Join(FigureNames(), ", "))
		}
		f, err := parseFigures(data)
		if err != nil {
			return nil, err
		}
		if all, err = all.With(f); err != nil {
			return nil, err
		}
	}
	return all, nil
}

const figuresFormat = "moistheat.packaging-figures/1"

type figuresFile struct {
	Format  string   `json:"format"`
	ID      string   `json:"id"`
	Title   string   `json:"title"`
	Figures []Figure `json:"figures"`
}

// ParseFigures reads the figures of one document, such as a facility's own, in the
// format "moistheat.packaging-figures/1". The limits that define lumen classes are
// refused: they are not a facility's to choose. Every error is a
// [*moistheat.DocumentError].
func ParseFigures(data []byte) (*Figures, error) {
	f, err := parseFigures(data)
	if err != nil {
		return nil, err
	}
	for i := range f.rows {
		if f.rows[i].Limit.kind().lumen {
			return nil, strictjson.Invalid(fmt.Sprintf("/figures/%d", i),
				"the lumen classes are fixed; leave out %q", f.rows[i].Limit)
		}
	}
	return f, nil
}

func parseFigures(data []byte) (*Figures, error) {
	lim := strictjson.Default()
	lim.Size = 1 << 20
	doc, err := strictjson.Read[figuresFile](data, lim, figuresFormat)
	if err != nil {
		return nil, err
	}
	f, err := doc.figures()
	return f, strictjson.In(figuresFormat, err)
}

func (doc *figuresFile) figures() (*Figures, error) {
	switch {
	case !strictjson.IsName(doc.ID):
		return nil, strictjson.Invalid("/id", strictjson.WantName)
	case doc.Title == "":
		return nil, strictjson.Invalid("/title", "name the document")
	case len(doc.Figures) == 0:
		return nil, strictjson.Invalid("/figures", "there is none")
	}
	rows := make(map[string]bool, len(doc.Figures))
	for i := range doc.Figures {
		f := &doc.Figures[i]
		if member, problem := f.problem(); problem != "" {
			return nil, strictjson.Invalid(fmt.Sprintf("/figures/%d%s", i, member), "%s", problem)
		}
		if rows[f.Row] {
			return nil, strictjson.Invalid(fmt.Sprintf("/figures/%d/row", i), "%q is there twice", f.Row)
		}
		rows[f.Row] = true
		f.Table = doc.ID + "#" + f.Row
	}
	return &Figures{ids: []string{doc.ID}, docs: []figuresFile{*doc}, rows: doc.Figures}, nil
}

// problem says what is wrong with a figure that decoded well, if anything, and with
// which of its members.
func (f *Figure) problem() (member, problem string) {
	v, kind, given := f.Value(), f.Limit.kind(), 0
	for _, v := range f.values() {
		if v.IsValid() {
			given++
		}
	}
	switch months := f.Limit == GreatestSealTestAge; {
	case !strictjson.IsName(f.Row):
		return "/row", strictjson.WantName
	case f.Months < 0 || f.Months > 1200:
		return "/months", "want 1 to 1200"
	case months != (f.Months > 0):
		return "/months", fmt.Sprintf("they belong to %q, and only there", GreatestSealTestAge)
	case months && given > 0:
		return "/months", "give no other value beside them"
	case !months && (given != 1 || v.Dimension() != kind.dimension):
		return "", fmt.Sprintf("%s is a %s; give that and no other value", f.Limit, kind.dimension)
	case !months && !positive(v):
		return "", "the value must be above zero"
	}
	return f.origin()
}

// origin says what is wrong with the ends, the dates and the source, if anything.
func (f *Figure) origin() (member, problem string) {
	ends, lumen := f.OpenEnds == 1 || f.OpenEnds == 2, f.Limit.kind().lumen
	switch {
	case lumen && !ends, !lumen && f.OpenEnds != 0:
		return "/openEnds", "want 1 or 2 for a lumen limit and nothing for others"
	case lumen && (f.From.IsValid() || f.Until.IsValid()):
		return "/from", "the lumen classes have no dates"
	case f.From.IsValid() && f.Until.IsValid() && f.From.Compare(f.Until) >= 0:
		return "/until", "want a day after the first; it is the first day on which the figure no longer applies"
	case f.Source.Document == "":
		return "/source", "name the document"
	}
	return "", ""
}

// positive reports whether v is a number above zero.
func positive(v units.Value) bool { return v.IsValid() && v.Decimal().Sign() > 0 }
