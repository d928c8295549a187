package load

import (
	"fmt"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"example.com/moistheat/water"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const decided = `"decision":{"by":"Dr Y","date":"2026-01-02","reason":"x"}`

// facility returns a facility's policy with settings of rules.
func facility(t testing.TB, base, rules string) *Policy {
	p, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"` + base + `","rules":[` + rules + `]}`))
	require.NoError(t, err)
	return p
}

// ownFigures are rules on figures of the facility, which no built-in policy has in force.
var ownFigures = []string{"load.wall.close", "load.chamber.full", "load.arrangement.gap", "load.arrangement.film",
	"load.arrangement.facing", "load.arrangement.heavy", "load.tray.gap", "load.drape.flat", "load.rack.shared",
	"load.tray.above", "load.tray.bare", "load.tray.foreign", "load.tray.overhang"}

// ownLimits are figures of a facility for the rules that need one.
const ownLimits = `{
	"wallGap": {"value": {"value": 1, "unit": "[in_i]"}, "source": {"document": "our own rules", "basis": "facility"}},
	"packGap": {"value": {"value": 0.25, "unit": "[in_i]"}, "source": {"document": "our own rules", "basis": "facility"}},
	"trayGap": {"value": {"value": 25, "unit": "mm"}, "source": {"document": "our own rules", "basis": "facility"}},
	"chamberFill": {"value": {"value": 80, "unit": "%"}, "source": {"document": "our own rules", "basis": "facility"}}
}`

// withOwnFigures returns a facility's policy that has them in force.
func withOwnFigures(t testing.TB, base string) *Policy {
	var rules []string
	for _, id := range ownFigures {
		rules = append(rules, `{"id":"`+id+`","inForce":true}`)
	}
	p, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"` + base +
		`","limits":` + ownLimits + `,"rules":[` + strings.Join(rules, ",") + `]}`))
	require.NoError(t, err)
	return p
}

// A rule counts from its first day to the day before its last, by the date of
// sterilization. A record without one is judged as if it counted.
func TestRuleDates(t *testing.T) {
	p := facility(t, "us-cdc-2003", `{"id":"load.pack.dropped","from":"2026-03-09","until":"2026-03-12",`+decided+`}`)
	dropped := func(d moistheat.Date) *Record {
		r := good()
		r.Load.Date, r.Packs[0].Condition.Dropped = d, yes
		return r
	}
	for _, tt := range []struct {
		on   moistheat.Date
		want moistheat.Outcome
	}{
		{day(2026, 3, 8), notInForce},
		{day(2026, 3, 9), broken},
		{day(2026, 3, 11), broken},
		{day(2026, 3, 12), notInForce},
		{moistheat.Date{}, broken},
	} {
		r := dropped(tt.on)
		assert.Equal(t, tt.want, outcome(Explain(r, p), "load.pack.dropped", "/packs/0/condition"), tt.on)
		_, in := p.On(tt.on).Rule("load.pack.dropped")
		assert.Equal(t, tt.want == broken, in, tt.on)
	}
	from, until := p.Dates("load.pack.dropped")
	assert.Equal(t, [2]moistheat.Date{day(2026, 3, 9), day(2026, 3, 12)}, [2]moistheat.Date{from, until})
	from, until = p.Dates("load.pack.wet")
	assert.Equal(t, [2]moistheat.Date{}, [2]moistheat.Date{from, until})
	from, until = p.Dates("no.such.rule")
	assert.Equal(t, [2]moistheat.Date{}, [2]moistheat.Date{from, until})

	q, err := parsePolicy([]byte(`{"format":"moistheat.policy/1","name":"new","title":"as the library ships it",
		"rules":[{"id":"load.pack.dropped","from":"2026-03-10","why":"starts then"}]}`), true)
	require.NoError(t, err)
	assert.Equal(t, notInForce, outcome(Explain(dropped(day(2026, 3, 9)), q), "load.pack.dropped", "/packs/0/condition"))
	assert.Equal(t, broken, outcome(Explain(dropped(day(2026, 3, 10)), q), "load.pack.dropped", "/packs/0/condition"))
}

// The packing bench and the plan follow the date too.
func TestRuleDatesBeforeTheCycle(t *testing.T) {
	p := facility(t, "en-13060", `{"id":"load.arrangement.wall","from":"2026-03-10",`+decided+`},{"id":"load.fit.packed","until":"2026-03-10",`+decided+`}`)
	for _, tt := range []struct {
		on         moistheat.Date
		wall, pack bool
	}{{day(2026, 3, 9), false, true}, {day(2026, 3, 10), true, false}, {moistheat.Date{}, true, true}} {
		r := good()
		r.Load.Date, r.Packs[0].Placement.TouchesWall = tt.on, yes
		has := func(found []moistheat.Finding, rule string) bool {
			for _, f := range found {
				if f.Rule == rule && f.Outcome == broken {
					return true
				}
			}
			return false
		}
		assert.Equal(t, tt.wall, has(CheckPacking(r, p), "load.arrangement.wall"), tt.on)
		gravity := cycle.Settings{AirRemoval: moistheat.GravityDisplacement, Temperature: celsius(121), Hold: duration("30 min"), Drying: duration("30 min")}
		assert.Equal(t, tt.pack, has(CycleObjections(r, p, gravity, TypeN), "load.fit.packed"), tt.on)
		for _, c := range CycleOptions(r, p) {
			if c.Type == TypeN {
				assert.Equal(t, tt.pack, has(c.Objections, "load.fit.packed"), tt.on)
			}
		}
	}
}

func TestDatesOfPolicies(t *testing.T) {
	for _, tt := range []struct{ name, rule, problem string }{
		{"a start is less than always", `{"id":"load.pack.dropped","from":"2026-01-01"}`, "/rules/0"},
		{"an end is less than always", `{"id":"load.pack.dropped","until":"2026-01-01"}`, "/rules/0"},
		{"a start, decided", `{"id":"load.pack.dropped","from":"2026-01-01",` + decided + `}`, ""},
		{"what may not be left out, not for a time either", `{"id":"load.physical.missing","from":"2026-01-01",` + decided + `}`, "/rules/0"},
		{"an end before the start", `{"id":"load.pack.dropped","from":"2026-01-02","until":"2026-01-01",` + decided + `}`, "/rules/0/until"},
		{"an end on the start", `{"id":"load.pack.dropped","from":"2026-01-02","until":"2026-01-02",` + decided + `}`, "/rules/0/until"},
		{"one day", `{"id":"load.pack.dropped","from":"2026-01-02","until":"2026-01-03",` + decided + `}`, ""},
		{"more than the base, for a time", `{"id":"packaging.indicator.implant","inForce":true,"from":"2026-01-02"}`, ""},
		{"no such day", `{"id":"load.pack.dropped","from":"2026-02-30"}`, "/rules/0/from"},
		{"wider again", `{"id":"load.pack.dropped","from":"2026-01-02",` + decided + `},{"id":"load.pack.dropped","from":"2026-01-01"}`, ""},
		{"longer", `{"id":"load.pack.dropped","until":"2026-06-01",` + decided + `},{"id":"load.pack.dropped","until":"2026-06-02"}`, ""},
		{"as long", `{"id":"load.pack.dropped","until":"2026-06-01",` + decided + `},{"id":"load.pack.dropped","until":"2026-06-01"}`, ""},
		{"shorter", `{"id":"load.pack.dropped","until":"2026-06-01",` + decided + `},{"id":"load.pack.dropped","until":"2026-05-31"}`, "/rules/1"},
		{"narrower again", `{"id":"load.pack.dropped","from":"2026-01-02",` + decided + `},{"id":"load.pack.dropped","from":"2026-01-03"}`, "/rules/1"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"us-cdc-2003","rules":[` + tt.rule + `]}`))
			if tt.problem == "" {
				assert.NoError(t, err)
			} else {
				assert.ErrorContains(t, err, tt.problem)
			}
		})
	}
}

// A facility may ask for less overlap without a word; for more a decision must be recorded.
// For gaps and fill there is no figure but its own: to state one puts its rule in force, and
// a rule in force without one is open.
func TestLimitsOfArrangement(t *testing.T) {
	const head = `{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"us-cdc-2003"`
	limits := func(limit, value string) string {
		return head + `,"limits":{"` + limit + `":{"value":` + value + `,"source":{"document":"x","basis":"facility"}}}`
	}
	_, err := ParsePolicy([]byte(limits("overlap", `{"value":0,"unit":"%"}`) + "}"))
	assert.NoError(t, err)
	_, err = ParsePolicy([]byte(limits("overlap", `{"value":0.1,"unit":"%"}`) + "}"))
	assert.ErrorContains(t, err, "/limits/overlap")
	_, err = ParsePolicy([]byte(limits("overlap", `{"value":0.1,"unit":"%"}`) + "," + decided + "}"))
	assert.NoError(t, err)
	for limit, rule := range map[string]string{"chamberFill": "load.chamber.full", "packGap": "load.arrangement.gap",
		"wallGap": "load.wall.close", "trayGap": "load.tray.gap"} {
		value := `{"value":1,"unit":"mm"}`
		if limit == "chamberFill" {
			value = `{"value":1,"unit":"%"}`
		}
		_, inForce := policy(t, "us-cdc-2003").Rule(rule)
		assert.False(t, inForce, rule)
		p, err := ParsePolicy([]byte(limits(limit, value) + "}"))
		require.NoError(t, err)
		_, inForce = p.Rule(rule)
		assert.True(t, inForce, rule)
		report := Explain(laid(), facility(t, "us-cdc-2003", `{"id":"`+rule+`","inForce":true}`))
		none := 0
		for _, f := range report.Findings {
			if f.Rule == rule {
				none++
				assert.Equal(t, moistheat.NoLimit, f.Reason, rule)
			}
		}
		assert.Positive(t, none, rule)
	}
	r := laid() // 10 mm apart
	wide, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"us-cdc-2003","limits":{"packGap":{"value":{"value":10.1,"unit":"mm"},"source":{"document":"x","basis":"facility"}}}}`))
	require.NoError(t, err)
	assert.Equal(t, broken, outcome(Explain(r, wide), "load.arrangement.gap", "/packs/0/placement/spot"))
}

// Two editions of a facility's table succeed each other: 5 minutes, then 6.
func TestTableDates(t *testing.T) {
	edition := func(id, dates string, minutes int) *cycle.Table {
		table, err := cycle.ParseTable(fmt.Appendf(nil, `{"format":"moistheat.cycle-table/1","id":"%s","title":"manufacturer's instructions",
			"document":"instructions for use",%s"rows":[{"id":"134","temperatures":[{"value":134,"unit":"Cel"}],"hold":{"value":%d,"unit":"min"},
			"source":{"document":"instructions for use","basis":"facility"}}]}`, id, dates, minutes))
		require.NoError(t, err)
		return table
	}
	p := policy(t, "us-cdc-2003").WithTables(edition("old", `"until":"2026-03-09",`, 5), edition("new", `"from":"2026-03-09","until":"2026-06-01",`, 6))
	for _, tt := range []struct {
		on     moistheat.Date
		want   moistheat.Outcome // of 310 s
		needed string
	}{
		{day(2026, 3, 8), met, "5 min"},
		{day(2026, 3, 9), broken, "6 min"},
		{day(2026, 5, 31), broken, "6 min"},
		{day(2026, 6, 1), met, "4 min"}, // CDC 2008, table 7: neither edition applies
		{moistheat.Date{}, broken, "6 min"},
	} {
		r := good()
		r.Load.Date = tt.on
		assert.Equal(t, tt.want, outcome(Explain(r, p), "cycle.setting.short", "/cycle/settings"), tt.on)
		for _, c := range CycleOptions(r, p) {
			if c.AirRemoval == moistheat.DynamicAirRemoval && c.Temperature.Compare(celsius(134)) == 0 {
				assert.Zero(t, c.Hold.MinTime.Compare(duration(tt.needed)), "%s: %s", tt.on, c.Hold.MinTime)
			}
		}
	}
}

// On a day that is known the first table in force that has a row decides. Without one
// a table with dates may not be the one: the hardest of it and those that follow, up
// to the first that always applies, counts.
func TestTablesWithoutADay(t *testing.T) {
	table := func(id, dates, row string) *cycle.Table {
		table, err := cycle.ParseTable(fmt.Appendf(nil, `{"format":"moistheat.cycle-table/1","id":"%s","title":"manufacturer's instructions",
			"document":"instructions for use",%s"rows":[{"id":"134","temperatures":[{"value":134,"unit":"Cel"}],%s,
			"source":{"document":"instructions for use","basis":"facility"}}]}`, id, dates, row))
		require.NoError(t, err)
		return table
	}
	const from, until, ended = `"from":"2026-01-01",`, `"until":"2027-01-01",`, `"until":"2026-01-01",`
	hold := func(minutes int) string { return fmt.Sprintf(`"hold":{"value":%d,"unit":"min"}`, minutes) }
	const never = `"notApplicable":true`
	set := cycle.Settings{AirRemoval: moistheat.DynamicAirRemoval, Temperature: celsius(134)}
	on := day(2026, 3, 9)
	for _, tt := range []struct {
		name   string
		on     moistheat.Date
		tables []*cycle.Table
		want   string
	}{
		{"the first that always applies", moistheat.Date{}, []*cycle.Table{table("a", "", hold(4)), table("b", "", hold(9))}, "a"},
		{"begun, no day", moistheat.Date{}, []*cycle.Table{table("a", from, hold(4)), table("b", "", hold(9))}, "b"},
		{"to end, no day", moistheat.Date{}, []*cycle.Table{table("a", until, hold(4)), table("b", "", hold(9))}, "b"},
		{"begun", on, []*cycle.Table{table("a", from, hold(4)), table("b", "", hold(9))}, "a"},
		{"to end", on, []*cycle.Table{table("a", until, hold(4)), table("b", "", hold(9))}, "a"},
		{"ended", on, []*cycle.Table{table("a", ended, hold(9)), table("b", "", hold(4))}, "b"},
		{"longer, no day", moistheat.Date{}, []*cycle.Table{table("a", from, hold(9)), table("b", "", hold(4))}, "a"},
		{"as long, no day", moistheat.Date{}, []*cycle.Table{table("a", from, hold(4)), table("b", "", hold(4))}, "a"},
		{"no such cycle by the second, no day", moistheat.Date{}, []*cycle.Table{table("a", from, hold(9)), table("b", "", never)}, "b"},
		{"no such cycle by the first, no day", moistheat.Date{}, []*cycle.Table{table("a", from, never), table("b", "", hold(9))}, "a"},
		{"behind one that always applies", moistheat.Date{}, []*cycle.Table{table("a", from, hold(4)), table("b", "", hold(5)), table("c", "", hold(9))}, "b"},
	} {
		p := policy(t, "us-cdc-2003").WithTables(tt.tables...).On(tt.on)
		assert.Equal(t, tt.want, p.lookup(set, cycle.WrappedInstruments).Table, tt.name)
	}
}

// Figures of packs and limits of water are chosen by date too.
func TestFigureDates(t *testing.T) {
	own, err := packaging.ParseFigures([]byte(`{"format":"moistheat.packaging-figures/1","id":"own","title":"our rule","figures":[
		{"row":"seal","limit":"least seal width","length":{"value":9,"unit":"mm"},"from":"2026-03-09","until":"2026-03-12",
		"source":{"document":"our rule","basis":"facility"}}]}`))
	require.NoError(t, err)
	p, err := policy(t, "us-cdc-2003").WithFigures(own)
	require.NoError(t, err)
	_, err = p.WithFigures(own)
	assert.ErrorContains(t, err, "twice")
	limits, err := water.ParseLimits([]byte(`{"format":"moistheat.water/1","id":"own","title":"our rule","from":"2026-03-09","until":"2026-03-12",
		"source":{"document":"our rule","basis":"facility"},"status":{"is":"facility","source":{"document":"our rule","basis":"facility"}},
		"sections":[{"name":"feed","title":"feed","points":["reservoir"],"source":{"document":"our rule","basis":"facility"},
		"rows":[{"determinand":"ph","max":{"value":7,"unit":"[pH]"},"basis":"facility"}]}]}`))
	require.NoError(t, err)
	p = p.WithWater(limits)
	for _, tt := range []struct {
		on   moistheat.Date
		want bool
	}{{day(2026, 3, 8), false}, {day(2026, 3, 9), true}, {day(2026, 3, 11), true}, {day(2026, 3, 12), false}, {moistheat.Date{}, true}} {
		r := good()
		r.Load.Date = tt.on
		r.Water.Sample = &water.Sample{Point: water.ReservoirWater, PH: &water.Reading[units.PHUnit]{Value: units.MustParse[units.PHUnit]("7.5 [pH]")}}
		narrow, asked := false, false
		for _, f := range Explain(r, p).Findings {
			narrow = narrow || f.Table == "own#seal" && f.Outcome == broken
			asked = asked || f.Table == "own#feed.ph"
		}
		assert.Equal(t, tt.want, narrow, tt.on)
		assert.Equal(t, tt.want, asked, tt.on)
	}
}
