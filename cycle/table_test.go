package cycle

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/units"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	temp     = units.MustParse[units.TemperatureUnit]
	kelvins  = units.MustParse[units.TemperatureDifferenceUnit]
	duration = units.MustParse[units.DurationUnit]
	absolute = units.MustParse[units.AbsolutePressureUnit]
	gauge    = units.MustParse[units.GaugePressureUnit]
)

const (
	gravity = moistheat.GravityDisplacement
	dynamic = moistheat.DynamicAirRemoval
	pulse   = moistheat.SteamFlushPressurePulse
)

func table(t testing.TB, id string) *Table {
	t.Helper()
	tab, err := TableFor(id)
	require.NoError(t, err)
	return tab
}

func TestTables(t *testing.T) {
	files, err := filepath.Glob("tables/*.json")
	require.NoError(t, err)
	names := Tables()
	assert.Len(t, names, len(files))
	assert.True(t, slices.IsSorted(names))
	for _, id := range names {
		tab := table(t, id)
		assert.Equal(t, id, tab.Info().ID)
		assert.NotEmpty(t, tab.Info().Title)
		assert.NotEmpty(t, tab.Info().Document)
		for _, r := range tab.Rows() {
			assert.NotZero(t, r.Source.Basis, "%s %s", id, r.ID)
		}
	}
	_, err = TableFor("cdc-2008-table-9")
	assert.ErrorIs(t, err, moistheat.ErrUnknown)
	assert.ErrorContains(t, err, "cdc-2008-table-7")
}

// CDC, Guideline for Disinfection and Sterilization in Healthcare Facilities, 2008,
// Table 7: every cell of the published table.
func TestCDC2008Table7(t *testing.T) {
	tab := table(t, "cdc-2008-table-7")
	for _, c := range []struct {
		air            moistheat.AirRemoval
		class          LoadClass
		celsius, fahr  string
		hold, dry, max string // minutes; no hold: not applicable
	}{
		{gravity, WrappedInstruments, "121 Cel", "250 [degF]", "30 min", "15 min", "30 min"},
		{gravity, WrappedInstruments, "132 Cel", "270 [degF]", "15 min", "15 min", "30 min"},
		{gravity, TextilePacks, "121 Cel", "250 [degF]", "30 min", "15 min", ""},
		{gravity, TextilePacks, "132 Cel", "270 [degF]", "25 min", "15 min", ""},
		{gravity, WrappedUtensils, "121 Cel", "250 [degF]", "30 min", "15 min", "30 min"},
		{gravity, WrappedUtensils, "132 Cel", "270 [degF]", "15 min", "15 min", "30 min"},
		{dynamic, WrappedInstruments, "121 Cel", "250 [degF]", "", "", ""},
		{dynamic, TextilePacks, "121 Cel", "250 [degF]", "", "", ""},
		{dynamic, WrappedUtensils, "121 Cel", "250 [degF]", "", "", ""},
		{dynamic, WrappedInstruments, "132 Cel", "270 [degF]", "4 min", "20 min", "30 min"},
		{dynamic, TextilePacks, "132 Cel", "270 [degF]", "4 min", "5 min", "20 min"},
		{dynamic, WrappedUtensils, "132 Cel", "270 [degF]", "4 min", "20 min", ""},
	} {
		for _, nominal := range []string{c.celsius, c.fahr} {
			r, ok := tab.Find(c.air, c.class, temp(nominal))
			require.True(t, ok, "%v %v %s", c.air, c.class, nominal)
			want := Requirement{
				Table: "cdc-2008-table-7", Row: r.Row, AirRemoval: c.air, Class: c.class,
				Temperature: temp(c.celsius), AlsoPrinted: temp(c.fahr), Stated: Stated{NotApplicable: c.hold == "", Source: moistheat.Source{
					Document: "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities",
					Edition:  "2008", Locator: "Table 7", Basis: moistheat.Published,
				}},
			}
			for _, f := range []struct {
				to   *units.Duration
				text string
			}{{&want.Hold, c.hold}, {&want.DryingMin, c.dry}, {&want.DryingMax, c.max}} {
				if f.text != "" {
					*f.to = duration(f.text)
				}
			}
			assert.Equal(t, want, r)
		}
	}
	assert.Len(t, tab.Rows(), 12)
	assert.Equal(t, moistheat.Yes, tab.Info().Wrapped)
	_, ok := tab.Find(gravity, UnwrappedNonporous, temp("132 Cel"))
	assert.False(t, ok, "the table is for wrapped items")
	_, ok = tab.Find(gravity, TextilePacks, temp("134 Cel"))
	assert.False(t, ok, "134 °C is not printed")
}

// Principles of Medical Device Decontamination, Central Sterilising Club 2025,
// Table 10.2.
func TestMRCPairs(t *testing.T) {
	tab := table(t, "mrc")
	for nominal, hold := range map[string]string{
		"134 Cel": "3 min", "132 Cel": "4 min", "126 Cel": "10 min", "121 Cel": "15 min", "115 Cel": "30 min",
	} {
		r, ok := tab.Find("", "", temp(nominal))
		require.True(t, ok, nominal)
		assert.Equal(t, duration(hold), r.Hold, nominal)
		assert.Equal(t, moistheat.Published, r.Source.Basis)
		again, ok := tab.Find(dynamic, TextilePacks, temp(nominal))
		require.True(t, ok, nominal)
		assert.Equal(t, r.Row, again.Row)
	}
}

// Figures that carry less than a published basis must say so.
func TestBasis(t *testing.T) {
	for id, want := range map[string]moistheat.Basis{
		"cdc-2008-table-7": moistheat.Published, "cdc-2008-text": moistheat.Published, "mrc": moistheat.Published,
		"ippf-1991": moistheat.Published, "en-285-2015": moistheat.Quoted, "dgkh-2009-practice": moistheat.Quoted,
		"ch-practice": moistheat.Quoted, "cdc-2008-table-8": moistheat.Recalled, "en-13060": moistheat.Recalled,
		"htm-2010": moistheat.Recalled, "htm-01-05": moistheat.Recalled, "mda-db-2002-06": moistheat.Recalled, "who-lbm-2004": moistheat.Recalled,
		"aami-st79": moistheat.Recalled, "as-nzs-4815-2006": moistheat.Recalled, "ws-310-2-2016": moistheat.Recalled,
	} {
		for _, r := range table(t, id).Rows() {
			assert.Equal(t, want, r.Source.Basis, "%s %s", id, r.ID)
		}
	}
	assert.Len(t, Tables(), 16+2, "a new table needs its basis here; the two prion tables have a test of their own")
}

func TestBands(t *testing.T) {
	// EN 285 and ISO/TS 17665-2 state 3 K above, EN 13060 is recalled with 4 K.
	r, ok := table(t, "en-285-2015").Find(dynamic, WrappedInstruments, temp("134 Cel"))
	require.True(t, ok)
	assert.Equal(t, kelvins("3 K"), r.Band)
	assert.Equal(t, moistheat.Quoted, r.BandSource.Basis)
	r, ok = table(t, "en-13060").Find(dynamic, WrappedInstruments, temp("134 Cel"))
	require.True(t, ok)
	assert.Equal(t, kelvins("4 K"), r.Band)
	assert.Equal(t, moistheat.Recalled, r.BandSource.Basis)
	// HTM 2010: 134-137, 126-129 and 121-124 °C; the band has the row's own source.
	for nominal, upper := range map[string]string{"134 Cel": "137 Cel", "126 Cel": "129 Cel", "121 Cel": "124 Cel"} {
		r, ok = table(t, "htm-2010").Find(gravity, UnwrappedMixed, temp(nominal))
		require.True(t, ok)
		assert.Equal(t, 0, r.UpperIn(units.Celsius, r.Band).Compare(temp(upper)))
		assert.Equal(t, r.Source, r.BandSource)
	}
	assert.False(t, r.UpperIn(units.Celsius, units.TemperatureDifference{}).IsValid())
	assert.False(t, Requirement{}.UpperIn(units.Celsius, kelvins("3 K")).IsValid())
}

func TestTemperatureIn(t *testing.T) {
	cdc, ok := table(t, "cdc-2008-table-7").Find(gravity, TextilePacks, temp("121 Cel"))
	require.True(t, ok)
	mrc, ok := table(t, "mrc").Find("", "", temp("134 Cel"))
	require.True(t, ok)
	for _, c := range []struct {
		r    Requirement
		u    units.TemperatureUnit
		want string
	}{
		{cdc, units.Celsius, "121 Cel"},
		{cdc, units.Fahrenheit, "250 [degF]"},
		{cdc, units.Kelvin, "394.15 K"},
		{mrc, units.Celsius, "134 Cel"},
		{mrc, units.Fahrenheit, "273.2 [degF]"}, // 134 × 9/5 + 32
		{mrc, units.Kelvin, "407.15 K"},
		// 250 °F is 121.111… °C: rounded upwards, never in the cycle's favour.
		{Requirement{Temperature: temp("250 [degF]")}, units.Celsius, "121.1112 Cel"},
	} {
		assert.Equal(t, 0, c.r.TemperatureIn(c.u).Compare(temp(c.want)), "%s", c.want)
	}
	assert.Equal(t, -1, temp("273 [degF]").Compare(mrc.TemperatureIn(units.Fahrenheit)), "273 °F does not reach 134 °C")
	assert.Equal(t, 0, mrc.UpperIn(units.Fahrenheit, kelvins("3 K")).Compare(temp("278.6 [degF]"))) // 273.2 + 5.4
	assert.Equal(t, 0, cdc.UpperIn(units.Fahrenheit, kelvins("3 K")).Compare(temp("255.4 [degF]")))
	assert.False(t, Requirement{}.TemperatureIn(units.Celsius).IsValid())
}

func TestLookup(t *testing.T) {
	for _, c := range []struct {
		table string
		air   moistheat.AirRemoval
		class LoadClass
		set   string
		row   string // "" for none
	}{
		// The highest row that is not above the set temperature.
		{"cdc-2008-table-7", dynamic, TextilePacks, "134 Cel", "dynamic-132-textiles"},
		{"cdc-2008-table-7", dynamic, TextilePacks, "132 Cel", "dynamic-132-textiles"},
		{"cdc-2008-table-7", dynamic, TextilePacks, "131.9 Cel", "dynamic-121-textiles"}, // not applicable
		{"cdc-2008-table-7", gravity, TextilePacks, "131.9 Cel", "gravity-121-textiles"},
		{"cdc-2008-table-7", gravity, TextilePacks, "120.9 Cel", ""},
		// Judged in the unit of the setting: 250 °F and 270 °F are what is printed.
		{"cdc-2008-table-7", gravity, WrappedUtensils, "250 [degF]", "gravity-121-utensils"},
		{"cdc-2008-table-7", gravity, WrappedUtensils, "249.9 [degF]", ""},
		{"cdc-2008-table-7", gravity, WrappedUtensils, "270 [degF]", "gravity-132-utensils"},
		{"cdc-2008-table-7", gravity, WrappedUtensils, "269.9 [degF]", "gravity-121-utensils"},
		{"mrc", dynamic, TextilePacks, "273 [degF]", "132"},
		{"mrc", dynamic, TextilePacks, "273.2 [degF]", "134"},
		// A row that names what it is for does not fit the unknown.
		{"cdc-2008-table-7", "", TextilePacks, "134 Cel", ""},
		{"cdc-2008-table-7", dynamic, "", "134 Cel", ""},
		{"mrc", "", "", "134 Cel", "134"},
		// Not for this air removal at all.
		{"cdc-2008-table-7", pulse, WrappedInstruments, "132 Cel", ""},
		{"cdc-2008-table-8", pulse, UnwrappedMixed, "132 Cel", "pulse-132"},
	} {
		r, ok := table(t, c.table).Lookup(chosen(c.air, c.set), c.class)
		assert.Equal(t, c.row != "", ok, "%+v", c)
		assert.Equal(t, c.row, r.Row, "%+v", c)
		assert.Equal(t, strings.Contains(c.row, "dynamic-121"), r.NotApplicable, "%+v", c)
	}
	_, ok := table(t, "mrc").Lookup(Settings{AirRemoval: dynamic}, TextilePacks)
	assert.False(t, ok)
	// CDC 2008 Table 7: 4 min at 132 °C for dynamic air removal also serves 134 °C.
	r, _ := table(t, "cdc-2008-table-7").Lookup(chosen(dynamic, "134 Cel"), TextilePacks)
	assert.Equal(t, duration("4 min"), r.Hold)
	assert.Equal(t, "cdc-2008-table-7#dynamic-132-textiles", r.String())
	assert.Equal(t, "", Requirement{}.String())
}

// A row states minima: a hotter cycle that is set to its time has it, one that is set to
// less has no row at all, and a band is that of its own row.
func TestLookupBetweenRows(t *testing.T) {
	for _, c := range []struct {
		table     string
		air       moistheat.AirRemoval
		set, hold string
		row, near string
	}{
		{"cdc-2008-table-7", dynamic, "134 Cel", "4 min", "dynamic-132-instruments", "dynamic-132-instruments"},
		{"cdc-2008-table-7", dynamic, "134 Cel", "239 s", "", "dynamic-132-instruments"},
		{"cdc-2008-table-7", dynamic, "132 Cel", "239 s", "dynamic-132-instruments", "dynamic-132-instruments"},
		{"cdc-2008-table-7", dynamic, "134 Cel", "", "", "dynamic-132-instruments"},
		{"cdc-2008-table-7", dynamic, "132 Cel", "", "dynamic-132-instruments", "dynamic-132-instruments"},
		{"aami-st79", dynamic, "134 Cel", "3 min", "", "dynamic-132-instruments dynamic-135-instruments"},
		{"aami-st79", gravity, "135 Cel", "10 min", "gravity-135-instruments", "gravity-135-instruments"},
		{"en-13060", dynamic, "130 Cel", "10 min", "126", "126 134"},
		{"en-13060", dynamic, "130.1 Cel", "1 h", "", "126 134"},
		{"en-13060", dynamic, "138 Cel", "3 min", "134", "134"},
		{"en-13060", dynamic, "138.1 Cel", "3 min", "", "134"},
		{"en-13060", dynamic, "120 Cel", "1 h", "", "121"},
	} {
		set := Settings{AirRemoval: c.air, Temperature: temp(c.set)}
		if c.hold != "" {
			set.Hold = duration(c.hold)
		}
		r, ok := table(t, c.table).Lookup(set, WrappedInstruments)
		assert.Equal(t, c.row != "", ok, "%+v", c)
		assert.Equal(t, c.row, r.Row, "%+v", c)
		var near []string
		for _, n := range table(t, c.table).Near(set, WrappedInstruments) {
			near = append(near, n.Row)
		}
		assert.Equal(t, c.near, strings.Join(near, " "), "%+v", c)
	}
}

const own = `{
	"format": "moistheat.cycle-table/1", "id": "own", "title": "Our instructions", "document": "Manual", "edition": "7",
	"from": "2025-01-01", "until": "2026-01-01",
	"rows": [
		{"id": "any", "temperatures": [{"value": 134, "unit": "Cel"}], "hold": {"value": 210, "unit": "s"}, "source": {"document": "Manual", "basis": "facility"}},
		{"id": "b", "airRemoval": "dynamic-air-removal", "classes": ["wrapped instruments"], "temperatures": [{"value": 134, "unit": "Cel"}], "hold": {"value": 5, "unit": "min"}, "source": {"document": "Manual", "basis": "facility"}},
		{"id": "c", "airRemoval": "dynamic-air-removal", "temperatures": [{"value": 134, "unit": "Cel"}], "hold": {"value": 18, "unit": "min"}, "source": {"document": "Manual", "basis": "facility"}},
		{"id": "d", "airRemoval": "dynamic-air-removal", "temperatures": [{"value": 134, "unit": "Cel"}], "hold": {"value": 6, "unit": "min"}, "source": {"document": "Manual", "basis": "facility"}}
	]
}`

func TestParseTable(t *testing.T) {
	tab, err := ParseTable([]byte(own))
	require.NoError(t, err)
	// Half open: the first day counts, the last does not. The day is the one on the
	// wall, wherever the clock hangs.
	east := time.FixedZone("", 13*3600)
	for _, c := range []struct {
		on   time.Time
		want bool
	}{
		{time.Date(2024, 12, 31, 23, 59, 59, 0, time.UTC), false},
		{time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC), true},
		{time.Date(2025, 1, 1, 0, 0, 0, 0, east), true},
		{time.Date(2025, 12, 31, 23, 59, 59, 0, east), true},
		{time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), false},
	} {
		assert.Equal(t, c.want, tab.InForce(moistheat.DateOf(c.on)), "%v", c.on)
	}
	assert.True(t, table(t, "mrc").InForce(moistheat.Date{}), "no dates stated")

	// The row that names more wins, then the longer hold; order does not matter.
	for _, c := range []struct {
		air   moistheat.AirRemoval
		class LoadClass
		row   string
	}{{gravity, TextilePacks, "any"}, {dynamic, WrappedInstruments, "b"}, {dynamic, TextilePacks, "c"}, {"", "", "any"}} {
		r, ok := tab.Lookup(chosen(c.air, "134 Cel"), c.class)
		require.True(t, ok)
		assert.Equal(t, c.row, r.Row)
	}

	// The caller owns what Rows returns.
	rows := tab.Rows()
	rows[1].Classes[0] = TextilePacks
	rows[0].Temperatures[0] = temp("100 Cel")
	r, ok := tab.Lookup(chosen(dynamic, "134 Cel"), WrappedInstruments)
	require.True(t, ok)
	assert.Equal(t, "b", r.Row)
	assert.Empty(t, cmp.Diff(tab.Rows(), tab.Rows(), cmpopts.EquateComparable(
		units.Temperature{}, units.Duration{}, units.TemperatureDifference{}, units.AbsolutePressure{}, units.GaugePressure{})))
}

// EN 285 (recalled): 15 s up to 800 l usable space, 30 s above; EN 13060 (recalled):
// 15 s or 30 s.
func TestEquilibrationTimes(t *testing.T) {
	for _, id := range []string{"en-285-2015", "en-13060"} {
		for _, at := range []string{"134 Cel", "126 Cel", "121 Cel"} {
			r, ok := table(t, id).Find("", "", temp(at))
			require.True(t, ok)
			assert.Equal(t, duration("15 s"), r.Equilibration)
			assert.Equal(t, duration("30 s"), r.EquilibrationMax)
			assert.Equal(t, moistheat.Recalled, r.EquilibrationSource.Basis)
		}
	}
	// Without a source of its own the time has the row's.
	tab, err := ParseTable([]byte(strings.Replace(own, `"hold": {"value": 5`, `"equilibration": {"value": 15, "unit": "s"}, "hold": {"value": 5`, 1)))
	require.NoError(t, err)
	r, ok := tab.Lookup(chosen(dynamic, "134 Cel"), WrappedInstruments)
	require.True(t, ok)
	assert.Equal(t, r.Source, r.EquilibrationSource)
}

// CDC 2008 (recalled): 134 °C for 18 min with dynamic air removal, 132 °C for 1 h by
// gravity. WHO/CDS/CSR/APH/2000.3, Annex III (quoted): 121 °C for 30 min or 1 h by
// gravity, 134 °C for 1 h as a porous load; 134 °C for 18 min (recalled).
func TestPrionTablesAreMarked(t *testing.T) {
	for _, id := range Tables() {
		assert.Equal(t, strings.HasPrefix(id, "prion-"), table(t, id).Info().Prion == moistheat.Yes, id)
	}
	for _, c := range []struct {
		table string
		air   moistheat.AirRemoval
		at    string
		hold  string
		basis moistheat.Basis
	}{
		{"prion-cdc-2008", dynamic, "134 Cel", "18 min", moistheat.Recalled},
		{"prion-cdc-2008", gravity, "132 Cel", "1 h", moistheat.Recalled},
		{"prion-who-2000", gravity, "121 Cel", "1 h", moistheat.Quoted},
		{"prion-who-2000", dynamic, "134 Cel", "1 h", moistheat.Quoted},
	} {
		r, ok := table(t, c.table).Find(c.air, "", temp(c.at))
		require.True(t, ok)
		assert.Equal(t, duration(c.hold), r.Hold)
		assert.Equal(t, c.basis, r.Source.Basis)
	}
}

func TestParseTableRefuses(t *testing.T) {
	for _, c := range []struct{ name, old, new, pointer string }{
		{"another format", "cycle-table/1", "cycle-table/2", "/format"},
		{"a name with spaces", `"id": "own"`, `"id": "our own"`, "/id"},
		{"a long name", `"id": "own"`, `"id": "` + strings.Repeat("a", 65) + `"`, "/id"},
		{"no title", `"Our instructions"`, `""`, "/title"},
		{"no document", `"document": "Manual", "edition"`, `"document": "", "edition"`, "/document"},
		{"days the wrong way", "2026-01-01", "2025-01-01", "/until"},
		{"no such day", "2026-01-01", "2026-02-29", "/until"},
		{"an unknown member", `"edition"`, `"editions"`, "/editions"},
		{"a row name twice", `"id": "b"`, `"id": "any"`, "/rows/1/id"},
		{"a row without a name", `"id": "b"`, `"id": ""`, "/rows/1/id"},
		{"a class twice", `["wrapped instruments"]`, `["wrapped instruments", "wrapped instruments"]`, "/rows/1/classes/1"},
		{"no class", `["wrapped instruments"]`, `[]`, "/rows/1/classes"},
		{"an unknown class", `"wrapped instruments"`, `"wrapped things"`, "/rows/1/classes/0"},
		{"a slip of the unit", `{"value": 134, "unit": "Cel"}`, `{"value": 134, "unit": "[degF]"}`, "/rows/0/temperatures/0"},
		{"no temperature", `[{"value": 134, "unit": "Cel"}]`, `[]`, "/rows/0/temperatures"},
		{"one unit twice", `[{"value": 134, "unit": "Cel"}]`, `[{"value": 134, "unit": "Cel"}, {"value": 134, "unit": "Cel"}]`, "/rows/0/temperatures/1"},
		{"two that differ", `[{"value": 134, "unit": "Cel"}]`, `[{"value": 134, "unit": "Cel"}, {"value": 270, "unit": "[degF]"}]`, "/rows/0/temperatures/1"},
		{"seconds for minutes", `{"value": 5, "unit": "min"}`, `{"value": 5, "unit": "s"}`, "/rows/1/hold"},
		{"days", `{"value": 5, "unit": "min"}`, `{"value": 5, "unit": "d"}`, "/rows/1/hold"},
		{"no hold", `"hold": {"value": 5, "unit": "min"}, `, ``, "/rows/1/hold"},
		{"a hold that is not applicable", `"hold": {"value": 5`, `"notApplicable": true, "hold": {"value": 5`, "/rows/1/hold"},
		{"drying upside down", `"hold": {"value": 5`, `"dryingMin": {"value": 5, "unit": "min"}, "dryingMax": {"value": 4, "unit": "min"}, "hold": {"value": 5`, "/rows/1/dryingMax"},
		{"drying without a minimum", `"hold": {"value": 5`, `"dryingMax": {"value": 4, "unit": "min"}, "hold": {"value": 5`, "/rows/1/dryingMin"},
		{"a wide band", `"hold": {"value": 5`, `"band": {"value": 21, "unit": "K"}, "hold": {"value": 5`, "/rows/1/band"},
		{"no band", `"hold": {"value": 5`, `"band": {"value": 0, "unit": "K"}, "hold": {"value": 5`, "/rows/1/band"},
		{"a source of no band", `"hold": {"value": 5`, `"bandSource": {"document": "x", "basis": "recalled"}, "hold": {"value": 5`, "/rows/1/bandSource"},
		{"a long lag", `"hold": {"value": 5`, `"equilibration": {"value": 15, "unit": "min"}, "hold": {"value": 5`, "/rows/1/equilibration"},
		{"a longer lag", `"hold": {"value": 5`, `"equilibration": {"value": 15, "unit": "s"}, "equilibrationMax": {"value": 30, "unit": "min"}, "hold": {"value": 5`, "/rows/1/equilibrationMax"},
		{"lags upside down", `"hold": {"value": 5`, `"equilibration": {"value": 30, "unit": "s"}, "equilibrationMax": {"value": 15, "unit": "s"}, "hold": {"value": 5`, "/rows/1/equilibrationMax"},
		{"a longest lag alone", `"hold": {"value": 5`, `"equilibrationMax": {"value": 15, "unit": "s"}, "hold": {"value": 5`, "/rows/1/equilibration"},
		{"a source of no lag", `"hold": {"value": 5`, `"equilibrationSource": {"document": "x", "basis": "recalled"}, "hold": {"value": 5`, "/rows/1/equilibrationSource"},
		{"a lag from nowhere", `"hold": {"value": 5`, `"equilibration": {"value": 15, "unit": "s"}, "equilibrationSource": {"document": "", "basis": "recalled"}, "hold": {"value": 5`, "/rows/1/equilibrationSource/document"},
		{"pressures upside down", `"hold": {"value": 5`, `"gaugePressure": {"value": 2, "unit": "bar"}, "gaugePressureMax": {"value": 1, "unit": "bar"}, "hold": {"value": 5`, "/rows/1/gaugePressureMax"},
		{"a maximum alone", `"hold": {"value": 5`, `"gaugePressureMax": {"value": 1, "unit": "bar"}, "hold": {"value": 5`, "/rows/1/gaugePressure"},
		{"a source without a document", `"source": {"document": "Manual"`, `"source": {"document": ""`, "/rows/0/source/document"},
		{"a source without a basis", `"basis": "facility"`, `"locator": "x"`, "/rows/0/source"},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Contains(t, own, c.old)
			_, err := ParseTable([]byte(strings.Replace(own, c.old, c.new, 1)))
			var e *moistheat.DocumentError
			require.ErrorAs(t, err, &e)
			assert.Equal(t, c.pointer, e.Pointer, "%v", err)
		})
	}
	for _, data := range []string{"", "null", "[]", "{}", own + own, own[:len(own)/2], strings.Repeat("[", 1<<20)} {
		_, err := ParseTable([]byte(data))
		var e *moistheat.DocumentError
		assert.ErrorAs(t, err, &e)
	}
	i, j := strings.Index(own, `"rows"`), strings.LastIndex(own, "}")
	_, err := ParseTable([]byte(own[:i] + `"rows": []` + own[j:]))
	assert.ErrorContains(t, err, "/rows")
}

func FuzzParseTable(f *testing.F) {
	files, err := filepath.Glob("tables/*.json")
	require.NoError(f, err)
	for _, name := range files {
		data, err := os.ReadFile(name)
		require.NoError(f, err)
		f.Add(data)
	}
	f.Add([]byte(own))
	f.Fuzz(func(t *testing.T, data []byte) {
		tab, err := ParseTable(data)
		if err != nil {
			if _, ok := err.(*moistheat.DocumentError); !ok {
				t.Fatalf("%T: %v", err, err)
			}
			return
		}
		// Each row's own temperature finds a row of that temperature.
		for _, row := range tab.Rows() {
			var class LoadClass
			if row.Classes != nil {
				class = row.Classes[0]
			}
			r, ok := tab.Lookup(Settings{AirRemoval: row.AirRemoval, Temperature: row.Temperatures[0]}, class)
			if !ok || r.TemperatureIn(row.Temperatures[0].Unit()).Compare(row.Temperatures[0]) > 0 {
				t.Fatalf("row %s does not find itself", row.ID)
			}
			if !r.NotApplicable && !r.Hold.IsValid() {
				t.Fatalf("row %s asks for no hold", r.Row)
			}
		}
	})
}

// chosen is a cycle set to a temperature for a day: longer than any row.
func chosen(air moistheat.AirRemoval, at string) Settings {
	return Settings{AirRemoval: air, Temperature: temp(at), Hold: units.New(1, 0, units.Day)}
}
