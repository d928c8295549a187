package cycle

import (
	"cmp"
	"embed"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// TableFormat is the value of the member "format" of a cycle table.
const TableFormat = "moistheat.cycle-table/1"

// LoadClass says what a cycle has to sterilize, as far as the published tables tell
// loads apart. The zero LoadClass is invalid.
type LoadClass string

const (
	// UnwrappedNonporous: unwrapped, solid, without lumens.
	UnwrappedNonporous LoadClass = "unwrapped nonporous"
	// UnwrappedMixed: unwrapped, porous or with lumens, alone or among others.
	UnwrappedMixed LoadClass = "unwrapped mixed"
	// WrappedInstruments: instruments in packs.
	WrappedInstruments LoadClass = "wrapped instruments"
	// WrappedUtensils: bowls, basins and the like in packs.
	WrappedUtensils LoadClass = "wrapped utensils"
	// TextilePacks: packs of textiles.
	TextilePacks LoadClass = "textile packs"
)

// Row is one line of a table as its document prints it.
type Row struct {
	ID string `json:"id"`
	// AirRemoval and Classes say what the row is for; absent, it is for any.
	AirRemoval moistheat.AirRemoval `json:"airRemoval,omitzero"`
	Classes    []LoadClass          `json:"classes,omitzero"`
	// Temperatures are the printed temperatures, one or two, the one to cite first.
	// Two are of different units and printed as equals, such as 121 °C and 250 °F.
	Temperatures []units.Temperature `json:"temperatures"`
	Stated
	// The pressure stated with the row; a range where there is a maximum.
	AbsolutePressure units.AbsolutePressure `json:"absolutePressure,omitzero"`
	GaugePressure    units.GaugePressure    `json:"gaugePressure,omitzero"`
	GaugePressureMax units.GaugePressure    `json:"gaugePressureMax,omitzero"`
	Note             string                 `json:"note,omitzero"`
}

// Stated is what a row states of its cycle. What it does not state is invalid.
type Stated struct {
	// Hold is the minimum time at temperature; absent in a row that says that there
	// is no such cycle.
	Hold          units.Duration `json:"hold,omitzero"`
	NotApplicable bool           `json:"notApplicable,omitzero"`
	// DryingMin and DryingMax bound the drying time. A single printed time is the
	// minimum.
	DryingMin units.Duration `json:"dryingMin,omitzero"`
	DryingMax units.Duration `json:"dryingMax,omitzero"`
	// Band is how far above the sterilization temperature the load may be.
	// BandSource is its source where that is not the row's.
	Band       units.TemperatureDifference `json:"band,omitzero"`
	BandSource moistheat.Source            `json:"bandSource,omitzero"`
	// Equilibration is how long the last point may lag behind the reference point,
	// EquilibrationMax how long in those sterilizers to which the document allows
	// more, as EN 285 does above 800 L of usable space. EquilibrationSource is their
	// source where that is not the row's.
	Equilibration       units.Duration   `json:"equilibration,omitzero"`
	EquilibrationMax    units.Duration   `json:"equilibrationMax,omitzero"`
	EquilibrationSource moistheat.Source `json:"equilibrationSource,omitzero"`

	Source moistheat.Source `json:"source"`
}

// clone returns a row that shares nothing with r.
func (r Row) clone() Row {
	r.Classes = slices.Clone(r.Classes)
	r.Temperatures = slices.Clone(r.Temperatures)
	return r
}

// TableInfo is what a table says of itself as a whole.
type TableInfo struct {
	ID       string `json:"id"`               // its name, such as "cdc-2008-table-7"
	Title    string `json:"title"`            // what it states
	Document string `json:"document"`         // where it comes from
	Edition  string `json:"edition,omitzero"` // year or edition of the document, "" where it is not known
	// From is the first day on which the table applies, Until the first on which it no
	// longer does. The zero Date stands for an end that is not stated.
	From  moistheat.Date `json:"from,omitzero"`
	Until moistheat.Date `json:"until,omitzero"`
	// Wrapped says whether the table is for wrapped items only or for unwrapped items
	// only; it is not recorded where the table does not say.
	Wrapped moistheat.Answer `json:"wrapped,omitzero"`
	// Prion says that the table is for items that a prion may have reached, and for no
	// routine load. Such a cycle is one step of a procedure; the notes of the rows say
	// what else it takes.
	Prion moistheat.Answer `json:"prion,omitzero"`
	Note  string           `json:"note,omitzero"` // on the table as a whole
}

// file is the JSON form of a table.
type file struct {
	Format string `json:"format"`
	TableInfo
	Rows []Row `json:"rows"`
}

// Table holds the minimum cycle times of one edition of one document. It is
// immutable and safe for concurrent use. A nil *Table is one without a name and rows.
type Table struct{ f file }

// MarshalJSON writes the document that [ParseTable] reads.
func (t Table) MarshalJSON() ([]byte, error) { return json.Marshal(t.f) }

// UnmarshalJSON is [ParseTable].
func (t *Table) UnmarshalJSON(data []byte) error {
	read, err := ParseTable(data)
	if err == nil && t == nil {
		err = strictjson.Invalid("", "there is nothing to read into: the pointer is nil")
	}
	if err == nil {
		*t = *read
	}
	return err
}

// file returns what the table states, nothing of a nil one.
func (t *Table) file() *file {
	if t == nil {
		return new(file)
	}
	return &t.f
}

// Info returns what the table says of itself.
func (t *Table) Info() TableInfo { return t.file().TableInfo }

// InForce reports whether the table applies on a day.
func (t *Table) InForce(on moistheat.Date) bool { return on.Within(t.file().From, t.file().Until) }

// Rows returns the rows in the order of the file. The caller owns the result.
func (t *Table) Rows() []Row {
	out := make([]Row, len(t.file().Rows))
	for i, r := range t.file().Rows {
		out[i] = r.clone()
	}
	return out
}

//go:embed tables/*.json
var tableFiles embed.FS

var builtinValue lazy.Value[[]*Table]

// builtin returns the tables that the library carries, sorted by name.
func builtin() []*Table {
	return builtinValue.Get(func() []*Table { return strictjson.MustReadAll(tableFiles, "tables/*.json", ParseTable) })
}

// Tables returns the names of the tables that the library carries, sorted.
func Tables() []string {
	var names []string
	for _, t := range builtin() {
		names = append(names, t.f.ID)
	}
	slices.Sort(names)
	return names
}

// TableFor returns a table that the library carries. The error is
// [moistheat.ErrUnknown].
func TableFor(name string) (*Table, error) {
	for _, t := range builtin() {
		if t.f.ID == name {
			own := *t
			return &own, nil
		}
	}
	return nil, fmt.Errorf("cycle: %w table %.40q; there are %s", moistheat.ErrUnknown, name, strings.Join(Tables(), ", "))
}

// The bounds of a table.
const (
	maxTableBytes = 1 << 20
	maxRows       = 1000
)

// ParseTable reads a table in the format [TableFormat]. It refuses what it does not
// know and what cannot be meant: a temperature outside 100 °C to 160 °C, a hold
// outside 30 s to 24 h, two printed temperatures more than 1 K apart. Every error
// is a [*moistheat.DocumentError].
func ParseTable(data []byte) (*Table, error) {
	lim := strictjson.Default()
	lim.Size = maxTableBytes
	f, err := strictjson.Read[file](data, lim, TableFormat)
	if err != nil {
		return nil, err
	}
	if pointer, problem := f.problem(); problem != "" {
		return nil, strictjson.In(TableFormat, strictjson.Invalid(pointer, "%s", problem))
	}
	return &Table{*f}, nil
}

func (f *file) problem() (pointer, problem string) {
	switch {
	case !strictjson.IsName(f.ID):
		return "/id", strictjson.WantName
	case f.Title == "":
		return "/title", "is empty"
	case f.Document == "":
		return "/document", "is empty"
	case f.From.IsValid() && f.Until.IsValid() && f.From.Compare(f.Until) >= 0:
		return "/until", "is not after the first day; it is the first day on which the table no longer applies"
	case len(f.Rows) == 0:
		return "/rows", "there are none"
	case len(f.Rows) > maxRows:
		return "/rows", fmt.Sprintf("more than %d", maxRows)
	}
	seen := make(map[string]bool, len(f.Rows))
	for i := range f.Rows {
		r := &f.Rows[i]
		p := "/rows/" + strconv.Itoa(i)
		if seen[r.ID] {
			return p + "/id", "is the name of an earlier row"
		}
		seen[r.ID] = true
		if at, problem := r.problem(); problem != "" {
			return p + at, problem
		}
	}
	return "", ""
}

func (r *Row) problem() (pointer, problem string) {
	if !strictjson.IsName(r.ID) {
		return "/id", strictjson.WantName
	}
	if r.Classes != nil && len(r.Classes) == 0 {
		return "/classes", "is empty; leave it out where the row is for any"
	}
	for i, c := range r.Classes {
		if slices.Contains(r.Classes[:i], c) {
			return "/classes/" + strconv.Itoa(i), "is there twice"
		}
	}
	if at, problem := r.temperatureProblem(); problem != "" {
		return at, problem
	}
	switch {
	case r.GaugePressureMax.IsValid() && !r.GaugePressure.IsValid():
		return "/gaugePressure", "is missing beside the maximum"
	case r.GaugePressureMax.IsValid() && r.GaugePressure.Compare(r.GaugePressureMax) > 0:
		return "/gaugePressureMax", "is less than the minimum"
	}
	return r.Stated.problem()
}

// temperatureProblem looks at the printed temperatures.
func (r *Row) temperatureProblem() (pointer, problem string) {
	switch n := len(r.Temperatures); {
	case n == 0 || n > 2:
		return "/temperatures", "want one or two"
	case n == 2 && r.Temperatures[0].Unit() == r.Temperatures[1].Unit():
		return "/temperatures/1", "has the unit of the first"
	}
	for i, t := range r.Temperatures {
		if c := t.Float64(units.Celsius); !(c >= 100 && c <= 160) {
			return "/temperatures/" + strconv.Itoa(i), "is outside 100 °C to 160 °C; check its unit"
		}
	}
	if n := len(r.Temperatures); n == 2 {
		if d := r.Temperatures[0].Float64(units.Kelvin) - r.Temperatures[1].Float64(units.Kelvin); d > 1 || d < -1 {
			return "/temperatures/1", "is more than 1 K from the first, so they are not one printed temperature"
		}
	}
	return "", ""
}

// problem looks at the times, the band and the sources.
func (r *Stated) problem() (pointer, problem string) {
	for _, d := range []struct {
		at            string
		v             units.Duration
		least, most   float64 // seconds
		outside       string
		minimum       units.Duration
		below, beside string // where the minimum is larger, or missing
	}{
		{at: "/hold", v: r.Hold, least: 30, most: 86400, outside: "30 s to 24 h"},
		{at: "/dryingMin", v: r.DryingMin, least: 30, most: 86400, outside: "30 s to 24 h"},
		{"/dryingMax", r.DryingMax, 30, 86400, "30 s to 24 h", r.DryingMin, "is less than the minimum", "/dryingMin"},
		{at: "/equilibration", v: r.Equilibration, least: 1, most: 300, outside: "1 s to 5 min"},
		{"/equilibrationMax", r.EquilibrationMax, 1, 300, "1 s to 5 min", r.Equilibration,
			"is less than what every sterilizer is allowed", "/equilibration"},
	} {
		switch s := d.v.Float64(units.Second); {
		case !d.v.IsValid():
		case !(s >= d.least && s <= d.most):
			return d.at, "is outside " + d.outside + "; check its unit"
		case d.beside != "" && !d.minimum.IsValid():
			return d.beside, "is missing beside the maximum"
		case d.beside != "" && d.minimum.Compare(d.v) > 0:
			return d.at, d.below
		}
	}
	if at, problem := r.sourceProblem(); problem != "" {
		return at, problem
	}
	switch k := r.Band.Float64(units.KelvinDifference); {
	case r.NotApplicable && r.Hold.IsValid():
		return "/hold", "stands in a row that is not applicable"
	case !r.NotApplicable && !r.Hold.IsValid():
		return "/hold", "is missing; only a row with notApplicable has none"
	case r.Band.IsValid() && !(k > 0 && k <= 20):
		return "/band", "is outside 0 K to 20 K"
	case r.Source.Document == "":
		return "/source/document", "is empty"
	}
	return "", ""
}

// sourceProblem looks at the sources of single figures.
func (r *Stated) sourceProblem() (pointer, problem string) {
	for _, f := range []struct {
		at, what string
		source   moistheat.Source
		there    bool
	}{
		{"/bandSource", "a band", r.BandSource, r.Band.IsValid()},
		{"/equilibrationSource", "an equilibration time", r.EquilibrationSource, r.Equilibration.IsValid()},
	} {
		switch {
		case f.source == moistheat.Source{}:
		case !f.there:
			return f.at, "stands without " + f.what
		case f.source.Document == "":
			return f.at + "/document", "is empty"
		}
	}
	return "", ""
}

// Requirement is what one row of a table asks of one cycle. It is comparable; its
// zero value is invalid and asks nothing that could be met.
type Requirement struct {
	Table string `json:"table"` // the ID of its [TableInfo]
	Row   string `json:"row"`   // [Row].ID

	// Prion says that the row belongs to a table against prions; see [TableInfo].
	Prion moistheat.Answer `json:"prion,omitzero"`

	// AirRemoval and Class are what was asked for, zero where it was not known.
	AirRemoval moistheat.AirRemoval `json:"airRemoval,omitzero"`
	Class      LoadClass            `json:"class,omitzero"`

	Temperature units.Temperature `json:"temperature,omitzero"` // the one to cite
	AlsoPrinted units.Temperature `json:"alsoPrinted,omitzero"` // the same, as the row prints it in another unit
	Stated                        // by the row; the band and the equilibration have their source filled in

	// Atmosphere is the pressure of the air at the site, by barometer or altitude:
	// gauge readings mean nothing without it. No table states it; whoever knows the
	// site fills it in.
	Atmosphere units.AbsolutePressure `json:"atmosphere,omitzero"`
}

// MarshalJSON leaves out the source where there is none, as in what asks nothing.
func (r Requirement) MarshalJSON() ([]byte, error) {
	type plain Requirement
	return json.Marshal(struct {
		plain
		Source moistheat.Source `json:"source,omitzero"` // hides that of the row
	}{plain(r), r.Source})
}

// IsValid reports whether r is the requirement of a row.
func (r Requirement) IsValid() bool { return r.Temperature.IsValid() }

// TemperatureIn returns the sterilization temperature for a record in unit u. That
// is the temperature that the row prints in this unit, if it does: a row that
// prints 121 °C and 250 °F is satisfied by 121.0 °C recorded in Celsius and by
// 250 °F recorded in Fahrenheit, although 250 °F is 121.1 °C. Otherwise it is the
// first printed temperature, converted exactly, or rounded upwards to a
// ten-thousandth where it has no finite decimal.
func (r Requirement) TemperatureIn(u units.TemperatureUnit) units.Temperature {
	switch u {
	case r.Temperature.Unit():
		return r.Temperature
	case r.AlsoPrinted.Unit():
		return r.AlsoPrinted
	}
	return convertUp(r.Temperature, u)
}

// UpperIn returns the sterilization temperature in unit u plus the band, rounded
// downwards where it must be. The result is invalid if either is.
func (r Requirement) UpperIn(u units.TemperatureUnit, band units.TemperatureDifference) units.Temperature {
	scale := units.KelvinDifference
	if u == units.Fahrenheit {
		scale = units.FahrenheitDifference
	}
	d, ok := band.Exactly(scale)
	if !ok {
		d = band.Convert(scale, 4, units.Down)
	}
	t := r.TemperatureIn(u)
	if !t.IsValid() || !d.IsValid() {
		return units.Temperature{}
	}
	upper, err := units.FromDecimal(t.Decimal().Add(d.Decimal()), u)
	if err != nil {
		return units.Temperature{}
	}
	return upper
}

func convertUp(t units.Temperature, u units.TemperatureUnit) units.Temperature {
	if q, ok := t.Exactly(u); ok {
		return q
	}
	return t.Convert(u, 4, units.Up)
}

// String returns table and row as findings name them: "cdc-2008-table-7#dynamic-132-textiles".
func (r Requirement) String() string {
	if !r.IsValid() {
		return ""
	}
	return r.Table + "#" + r.Row
}

// Lookup returns what the table asks of a cycle with these settings: the row with the
// temperature that was set, among the rows for this air removal and class. Where no row
// has it, the next row below stands for it only if the cycle was set to no less than the
// row's time, for a row states minima, and to no more than its band above its
// temperature. Temperatures are compared in the unit of the set one, as
// [Requirement.TemperatureIn] says. If the row says that there is no such cycle, the
// result has NotApplicable set; a lower row does not stand in for it.
//
// Where two rows of one temperature fit, the one that names more of what was asked
// wins, then the longer hold. A row that names an air removal or a class does not
// fit an unknown (zero) one. ok is false if no row fits; [Table.Near] has the nearest.
func (t *Table) Lookup(set Settings, class LoadClass) (Requirement, bool) {
	r, ok := t.find(set.AirRemoval, class, set.Temperature, atMost)
	if !ok || r.NotApplicable {
		return r, ok
	}
	at := set.Temperature
	if c := r.TemperatureIn(at.Unit()).Compare(at); c < 0 {
		upper := r.UpperIn(at.Unit(), r.Band)
		if !set.Hold.IsValid() || set.Hold.Compare(r.Hold) < 0 || upper.IsValid() && at.Compare(upper) > 0 {
			return Requirement{}, false
		}
	}
	return r, true
}

// Near returns the rows for this air removal and class next to the temperature that was
// set: the one at or below it, and the one above it, as far as there are any.
func (t *Table) Near(set Settings, class LoadClass) (out []Requirement) {
	if r, ok := t.find(set.AirRemoval, class, set.Temperature, atMost); ok {
		out = append(out, r)
	}
	var above units.Temperature
	for _, row := range t.file().Rows {
		at := t.require(&row, set.AirRemoval, class).TemperatureIn(set.Temperature.Unit())
		if at.Compare(set.Temperature) > 0 && (!above.IsValid() || at.Compare(above) < 0) {
			if _, ok := t.Find(set.AirRemoval, class, at); ok {
				above = at
			}
		}
	}
	if r, ok := t.Find(set.AirRemoval, class, above); ok {
		out = append(out, r)
	}
	return out
}

func atMost(c int) bool { return c <= 0 }

// Find returns what the table asks at one of its own temperatures, such as 121 °C
// or 250 °F; ok is false if no row for this air removal and class prints it. Use
// [Table.Lookup] for the temperature that a sterilizer was set to.
func (t *Table) Find(air moistheat.AirRemoval, class LoadClass, nominal units.Temperature) (Requirement, bool) {
	return t.find(air, class, nominal, func(c int) bool { return c == 0 })
}

func (t *Table) find(air moistheat.AirRemoval, class LoadClass, set units.Temperature, fits func(int) bool) (
	best Requirement, ok bool,
) {
	if !set.IsValid() {
		return Requirement{}, false
	}
	bestRank, rows := 0, t.file().Rows
	for i := range rows {
		row := &rows[i]
		rank := 0 // of two for one temperature: what the row names, then that there is no such cycle
		if row.AirRemoval != "" {
			if row.AirRemoval != air {
				continue
			}
			rank += 2
		}
		if row.Classes != nil {
			if !slices.Contains(row.Classes, class) {
				continue
			}
			rank += 2
		}
		if row.NotApplicable {
			rank++
		}
		r := t.require(row, air, class)
		at := r.TemperatureIn(set.Unit())
		if !fits(at.Compare(set)) {
			continue
		}
		if ok && cmp.Or(at.Compare(best.TemperatureIn(set.Unit())), rank-bestRank, r.Hold.Compare(best.Hold)) <= 0 {
			continue
		}
		best, bestRank, ok = r, rank, true
	}
	return best, ok
}

func (t *Table) require(row *Row, air moistheat.AirRemoval, class LoadClass) Requirement {
	r := Requirement{
		Table: t.file().ID, Row: row.ID, Prion: t.file().Prion, AirRemoval: air, Class: class, Temperature: row.Temperatures[0], Stated: row.Stated,
	}
	if len(row.Temperatures) > 1 {
		r.AlsoPrinted = row.Temperatures[1]
	}
	if r.Band.IsValid() && r.BandSource == (moistheat.Source{}) {
		r.BandSource = r.Source
	}
	if r.Equilibration.IsValid() && r.EquilibrationSource == (moistheat.Source{}) {
		r.EquilibrationSource = r.Source
	}
	return r
}
