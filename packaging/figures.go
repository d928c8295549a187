package packaging

import (
	"bytes"
	"cmp"
	"embed"
	"errors"
	"fmt"
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/enum"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// Limit says what a [Figure] limits. The zero Limit is invalid.
type Limit uint8

const (
	// LeastSealWidth: a length; the overall width of a heat seal.
	LeastSealWidth Limit = iota + 1
	// GreatestFill: a ratio; the share of a pouch or bag that contents may take up.
	GreatestFill
	// LeastFreeSpace: a length; from the contents to the closing seal.
	LeastFreeSpace
	// GreatestSetMass: a mass; an instrument set with its wrap or container.
	GreatestSetMass
	// GreatestSetNetMass: a mass; an instrument set without its packaging.
	GreatestSetNetMass
	// GreatestTrayMass: a mass; an instrument set in a wrap.
	GreatestTrayMass
	// GreatestContainerMass: a mass; a rigid container with its contents.
	GreatestContainerMass
	// GreatestTextileMass: a mass; a pack of textiles only.
	GreatestTextileMass
	// GreatestMuslinMass: a mass; a pack of textiles only in a textile wrap.
	GreatestMuslinMass
	// LeastOverhang: a length; of a pouch beyond its seal, where it is opened.
	LeastOverhang
	// GreatestMuslinWidth: a length; of the middle side of such a pack, and so of
	// the shortest too.
	GreatestMuslinWidth
	// GreatestMuslinLength: a length; of the longest side of such a pack.
	GreatestMuslinLength
	// GreatestMuslinDensity: a density; mass over volume of such a pack.
	GreatestMuslinDensity
	// LeastSealStrength: a force per width; of a test seal after steam.
	LeastSealStrength
	// LeastIndicatorArea: an area; of one indicator printed on a pack.
	LeastIndicatorArea
	// GreatestSealTestAge: calendar months; of the sealer's newest test seal.
	GreatestSealTestAge

	// The limits below define the lumen classes; see [LumenFigures].

	// LeastHollowRatio: length over bore from which a lumen is hollow.
	LeastHollowRatio
	// GreatestHollowARatio: length over bore up to which a lumen is hollow A.
	GreatestHollowARatio
	// GreatestHollowALength: a length; up to which a lumen is hollow A.
	GreatestHollowALength
	// GreatestHollowBRatio: length over bore up to which a lumen is hollow B.
	GreatestHollowBRatio
	// LeastHollowBBore: a length; the bore from which a lumen can be hollow B.
	LeastHollowBBore
)

var limitNames = [...]string{"", "least seal width", "greatest fill", "least free space",
	"greatest set mass with packaging", "greatest set mass without packaging", "greatest wrapped tray mass",
	"greatest rigid container mass", "greatest textile pack mass", "greatest muslin pack mass",
	"least overhang", "greatest muslin pack width", "greatest muslin pack length", "greatest muslin pack density",
	"least seal strength", "least indicator area", "greatest seal test age",
	"least hollow ratio", "greatest hollow A ratio", "greatest hollow A length", "greatest hollow B ratio",
	"least hollow B bore"}

// String returns the limit as it is written in JSON, such as "least seal width".
func (l Limit) String() string { return enum.String(limitNames[:], l) }

// MarshalText implements [encoding.TextMarshaler].
func (l Limit) MarshalText() ([]byte, error) { return enum.Marshal(limitNames[:], l) }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (l *Limit) UnmarshalText(text []byte) error { return enum.Unmarshal(limitNames[:], l, text) }

func (l Limit) dimension() units.Dimension {
	switch l {
	case LeastSealWidth, LeastFreeSpace, LeastOverhang, GreatestMuslinWidth, GreatestMuslinLength,
		GreatestHollowALength, LeastHollowBBore:
		return units.DimLength
	case GreatestFill, LeastHollowRatio, GreatestHollowARatio, GreatestHollowBRatio:
		return units.DimRatio
	case GreatestMuslinDensity:
		return units.DimDensity
	case LeastSealStrength:
		return units.DimForcePerWidth
	case LeastIndicatorArea:
		return units.DimArea
	}
	return units.DimMass
}

// least reports whether the figure is a lower limit.
func (l Limit) least() bool {
	switch l {
	case LeastSealWidth, LeastFreeSpace, LeastOverhang, LeastSealStrength, LeastIndicatorArea, LeastHollowRatio, LeastHollowBBore:
		return true
	}
	return false
}

// Figure is one limit as one document states it. Exactly one of Length, Ratio,
// Mass, Density, Strength, Area and Months is set, the one that suits the limit.
type Figure struct {
	Row      string              `json:"row"` // short name, unique in its file
	Limit    Limit               `json:"limit"`
	OpenEnds int                 `json:"openEnds,omitzero"` // of a lumen limit: 1 or 2
	Length   units.Length        `json:"length,omitzero"`
	Ratio    units.Ratio         `json:"ratio,omitzero"`
	Mass     units.Mass          `json:"mass,omitzero"`
	Density  units.Density       `json:"density,omitzero"`
	Strength units.ForcePerWidth `json:"strength,omitzero"`
	Area     units.Area          `json:"area,omitzero"`
	Months   int                 `json:"months,omitzero"` // of the calendar
	// From is the first day on which the figure applies and Until the first on which
	// it no longer does. An end that is invalid is not stated.
	From   Date             `json:"from,omitzero"`
	Until  Date             `json:"until,omitzero"`
	Note   string           `json:"note,omitzero"`
	Source moistheat.Source `json:"source"`

	// Table is the ID of the file and the row, as findings cite it:
	// "din-58953-7#fill".
	Table string `json:"-"`
}

// Value returns the number that the figure states. It is invalid for months, which
// are no unit of time.
func (f *Figure) Value() units.Value {
	if f == nil || f.Limit == GreatestSealTestAge {
		return units.Value{}
	}
	switch f.Limit.dimension() {
	case units.DimLength:
		return f.Length.Value()
	case units.DimRatio:
		return f.Ratio.Value()
	case units.DimDensity:
		return f.Density.Value()
	case units.DimForcePerWidth:
		return f.Strength.Value()
	case units.DimArea:
		return f.Area.Value()
	}
	return f.Mass.Value()
}

// Figures are the limits of the documents that somebody chose to follow. Where two
// of them limit the same thing, both are asked. A nil *Figures holds none.
//
// Figures are immutable and safe to share between goroutines.
type Figures struct {
	ids  []string
	rows []Figure
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

// InForce reports whether the figure applies on a day. On a day that nobody
// recorded every figure applies.
func (f *Figure) InForce(on Date) bool { return f != nil && on.Within(f.From, f.Until) }

// With returns the figures of f and more together. A document that is in both is an
// error.
func (f *Figures) With(more *Figures) (*Figures, error) {
	sum := &Figures{ids: f.IDs(), rows: f.All()}
	if more == nil {
		return sum, nil
	}
	for _, id := range more.ids {
		if slices.Contains(sum.ids, id) {
			return nil, fmt.Errorf("packaging: the figures of %q are given twice", id)
		}
	}
	sum.ids = append(sum.ids, more.ids...)
	sum.rows = append(sum.rows, more.rows...)
	return sum, nil
}

//go:embed figures/*.json figures/lumen/*.json
var files embed.FS

// FigureFiles returns the IDs of the documents whose figures come with the library,
// in alphabetical order.
func FigureFiles() []string {
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

// ErrUnknownFigures says that no document of that ID comes with the library.
const ErrUnknownFigures strictjson.Sort = "unknown figures"

// FiguresFor returns the figures of the documents with these IDs. Without an ID it
// returns Figures that hold none. The error for an unknown ID is [ErrUnknownFigures].
func FiguresFor(ids ...string) (*Figures, error) {
	all := &Figures{}
	for _, id := range ids {
		if !slug(id) {
			return nil, unknownFile(id)
		}
		data, err := files.ReadFile("figures/" + id + ".json")
		if err != nil {
			return nil, unknownFile(id)
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

func unknownFile(id string) error {
	return fmt.Errorf("packaging: %w %.40q; there are %s", ErrUnknownFigures, id, strings.Join(FigureFiles(), ", "))
}

const figuresFormat = "moistheat.packaging-figures/1"

type figuresFile struct {
	Format  string   `json:"format"`
	ID      string   `json:"id"`
	Title   string   `json:"title"`
	Figures []Figure `json:"figures"`
}

var figuresDecoder lazy.Value[*strictjson.Decoder[figuresFile]]

// FiguresError says what is wrong with a document of figures and where.
type FiguresError struct {
	Pointer string // RFC 6901 pointer to the value in question
	Offset  int64  // of its first byte, or -1 where the document reads but can not be meant
	Problem string
	Err     error // one of those that a record's or a policy's error unwraps to
}

// Unwrap returns the sort of error.
func (e *FiguresError) Unwrap() error { return cmp.Or(e, &FiguresError{}).Err }

func (e *FiguresError) Error() string {
	e = cmp.Or(e, &FiguresError{})
	where := e.Pointer
	if where == "" {
		where = "the figures"
	}
	return "packaging: " + where + ": " + e.Problem
}

func meaningless(pointer, format string, args ...any) error {
	return &FiguresError{pointer, -1, fmt.Sprintf(format, args...), strictjson.ErrMeaning}
}

// ParseFigures reads the figures of one document, such as a facility's own, in the
// format "moistheat.packaging-figures/1". The limits that define lumen classes are
// refused: they are not a facility's to choose. Every error is a [*FiguresError].
func ParseFigures(data []byte) (*Figures, error) {
	f, err := parseFigures(data)
	if err != nil {
		return nil, err
	}
	for i := range f.rows {
		if f.rows[i].Limit >= LeastHollowRatio {
			return nil, meaningless(fmt.Sprintf("/figures/%d", i), "the lumen classes are fixed; leave out %q", f.rows[i].Limit)
		}
	}
	return f, nil
}

func parseFigures(data []byte) (*Figures, error) {
	lim := strictjson.Default()
	lim.Size = 1 << 20
	doc, err := figuresDecoder.Get(strictjson.NewDecoder[figuresFile]).Decode(data, lim)
	if err != nil {
		var e *strictjson.Error
		if errors.As(err, &e) {
			return nil, &FiguresError{e.Pointer, e.Offset, e.Problem, e.Err}
		}
		return nil, meaningless("", "%v", err)
	}
	switch {
	case doc.Format != figuresFormat:
		return nil, &FiguresError{"/format", 0, fmt.Sprintf("want %q", figuresFormat), strictjson.ErrShape}
	case !slug(doc.ID):
		return nil, meaningless("/id", "want small letters, digits and hyphens")
	case doc.Title == "":
		return nil, meaningless("/title", "name the document")
	case len(doc.Figures) == 0:
		return nil, meaningless("/figures", "there is none")
	}
	rows := make(map[string]bool, len(doc.Figures))
	for i := range doc.Figures {
		f := &doc.Figures[i]
		if member, problem := f.problem(); problem != "" {
			return nil, meaningless(fmt.Sprintf("/figures/%d%s", i, member), "%s", problem)
		}
		if rows[f.Row] {
			return nil, meaningless(fmt.Sprintf("/figures/%d/row", i), "%q is there twice", f.Row)
		}
		rows[f.Row] = true
		f.Table = doc.ID + "#" + f.Row
	}
	return &Figures{ids: []string{doc.ID}, rows: doc.Figures}, nil
}

// problem says what is wrong with a figure that decoded well, if anything, and with
// which of its members.
func (f *Figure) problem() (member, problem string) {
	lumen := f.Limit >= LeastHollowRatio
	given := 0
	for _, v := range [...]units.Value{f.Length.Value(), f.Ratio.Value(), f.Mass.Value(), f.Density.Value(), f.Strength.Value(), f.Area.Value()} {
		if v.IsValid() {
			given++
		}
	}
	switch v := f.Value(); {
	case !slug(f.Row):
		return "/row", "want small letters, digits and hyphens"
	case f.Months < 0 || f.Months > 1200:
		return "/months", "want 1 to 1200"
	case (f.Limit == GreatestSealTestAge) != (f.Months > 0):
		return "/months", fmt.Sprintf("they belong to %q, and only there", GreatestSealTestAge)
	case f.Months > 0 && given > 0:
		return "/months", "give no other value beside them"
	case f.Months > 0:
		return f.origin()
	case given != 1 || !v.IsValid():
		return "", fmt.Sprintf("%s is a %s; give that and no other value", f.Limit, f.Limit.dimension())
	case !positive(v):
		return "", "the value must be above zero"
	case lumen != (f.OpenEnds == 1 || f.OpenEnds == 2) || !lumen && f.OpenEnds != 0:
		return "/openEnds", "want 1 or 2 for a lumen limit and nothing for others"
	case lumen && (f.From.IsValid() || f.Until.IsValid()):
		return "/from", "the lumen classes have no dates"
	}
	return f.origin()
}

// origin says what is wrong with the dates and the source, if anything.
func (f *Figure) origin() (member, problem string) {
	switch {
	case f.From.IsValid() && f.Until.IsValid() && f.From.Compare(f.Until) >= 0:
		return "/until", "want a day after the first; it is the first day on which the figure no longer applies"
	case f.Source.Document == "":
		return "/source", "name the document"
	}
	return "", ""
}

// slug reports whether s is a short name of small letters, digits and hyphens.
func slug(s string) bool {
	for i := range len(s) {
		if c := s[i]; (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
			return false
		}
	}
	return s != "" && len(s) <= 64
}

// positive reports whether v is a number above zero.
func positive(v units.Value) bool {
	var digits [32]byte
	number, _, _ := bytes.Cut(v.AppendNumber(digits[:0]), []byte{'e'})
	return v.IsValid() && number[0] != '-' && bytes.ContainsAny(number, "123456789")
}

// zero reports whether v is nought.
func zero(v units.Value) bool {
	var digits [32]byte
	number, _, _ := bytes.Cut(v.AppendNumber(digits[:0]), []byte{'e'})
	return v.IsValid() && !bytes.ContainsAny(number, "123456789")
}
