package history

import (
	"slices"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle/equipment"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCycleKinds(t *testing.T) {
	const dynamic, gravity = moistheat.DynamicAirRemoval, moistheat.GravityDisplacement
	for _, tt := range []struct {
		a, b    CycleSetting
		differs bool
		known   bool // of a
	}{
		{CycleSetting{dynamic, celsius(134)}, CycleSetting{dynamic, celsius(134)}, false, true},
		{CycleSetting{dynamic, celsius(134)}, CycleSetting{gravity, celsius(134)}, true, true},
		{CycleSetting{dynamic, celsius(134)}, CycleSetting{dynamic, celsius(121)}, true, true},
		{CycleSetting{"", celsius(134)}, CycleSetting{dynamic, celsius(134)}, false, false},
		{CycleSetting{"", celsius(134)}, CycleSetting{dynamic, celsius(121)}, true, false},
		{CycleSetting{AirRemoval: dynamic}, CycleSetting{dynamic, celsius(134)}, false, false},
		{CycleSetting{AirRemoval: dynamic}, CycleSetting{gravity, celsius(134)}, true, false},
		{CycleSetting{}, CycleSetting{gravity, celsius(134)}, false, false},
	} {
		assert.Equal(t, tt.differs, tt.a.differs(tt.b), "%s, %s", tt.a, tt.b)
		assert.Equal(t, tt.differs, tt.b.differs(tt.a), "%s, %s", tt.b, tt.a)
		assert.Equal(t, tt.known, tt.a.known(), tt.a)
	}
}

// Equal temperatures have one form, whatever they were written in: whole degrees
// where that is the same to a tenth.
func TestNormalKinds(t *testing.T) {
	temperature := func(s string) units.Temperature { return units.MustParse[units.TemperatureUnit](s) }
	for text, want := range map[string]units.Temperature{
		"134 Cel": celsius(134), "134.0 Cel": celsius(134), "134.04 Cel": celsius(134), "407.15 K": celsius(134),
		"270 [degF]": temperature("132.2 Cel"), "134.1 Cel": temperature("134.1 Cel"), "133.96 Cel": celsius(134), "133.94 Cel": temperature("133.9 Cel"),
	} {
		assert.Equal(t, CycleSetting{Temperature: want}, CycleSetting{Temperature: temperature(text)}.normal(), text)
	}
	assert.Equal(t, CycleSetting{}, CycleSetting{}.normal())
}

func TestHappeningNames(t *testing.T) {
	end := local("2026-03-09 09:00")
	for want, h := range map[string]*occurrence{
		"load 7":  {id: "r1", load: "5", number: "7"},
		"load 5":  {id: "r1", load: "5"},
		"load r1": {id: "r1"},
		"biological indicator test of 9 March 2026 09:00":    {kind: calendar.BiologicalTestEvent, number: "7", end: end},
		"biological indicator test B1 of 9 March 2026 09:00": {kind: calendar.BiologicalTestEvent, id: "B1", end: end},
		"leak test of 9 March 2026 09:00":                    {kind: calendar.LeakEvent, number: "7", end: end},
		"out of use of 9 March 2026 09:00":                   {kind: calendar.OutOfUseEvent, end: end},
		"calibration of 9 March 2026 09:00":                  {kind: calendar.CalibrationEvent, end: end},
	} {
		assert.Equal(t, want, h.name(nil).String())
	}
}

// What two versions of one load say is joined to the same, in either order: the later
// day and end, the earlier start, the larger or worse of two, and yes before no where
// yes is the careful answer.
func TestJoin(t *testing.T) {
	early, late := local("2026-03-09 09:00"), local("2026-03-09 10:00")
	rate := func(s string) units.PressureRate { return units.MustParse[units.PressureRateUnit](s) }
	hot, cool := CycleSetting{moistheat.DynamicAirRemoval, celsius(134)}, CycleSetting{moistheat.DynamicAirRemoval, celsius(121)}
	for _, tt := range []struct {
		name       string
		a, b, want occurrence
	}{
		{"day", occurrence{date: day(2026, 3, 9)}, occurrence{date: day(2026, 3, 10)}, occurrence{date: day(2026, 3, 10)}},
		{"no day", occurrence{}, occurrence{date: day(2026, 3, 10)}, occurrence{date: day(2026, 3, 10)}},
		{"times", occurrence{start: early, end: late}, occurrence{start: late, end: early}, occurrence{start: early, end: late}},
		{"kinds of cycle agree where they do", occurrence{cycle: hot}, occurrence{cycle: cool},
			occurrence{cycle: CycleSetting{AirRemoval: moistheat.DynamicAirRemoval}}},
		{"no kind of cycle", occurrence{cycle: hot}, occurrence{}, occurrence{cycle: hot}},
		{"hold", occurrence{hold: duration("300 s")}, occurrence{hold: duration("4 min")}, occurrence{hold: duration("300 s")}},
		{"no hold", occurrence{hold: duration("300 s")}, occurrence{}, occurrence{hold: duration("300 s")}},
		{"one leak in two units", occurrence{leak: rate("0.14 kPa/min")}, occurrence{leak: rate("1.4 mbar/min")}, occurrence{leak: rate("1.4 mbar/min")}},
		{"leak", occurrence{leak: rate("0.13 kPa/min")}, occurrence{leak: rate("1.4 mbar/min")}, occurrence{leak: rate("1.4 mbar/min")}},
		{"spores", occurrence{bio: bioGood, why: lang.Data("z")}, occurrence{bio: bioVoid, why: lang.Data("a")},
			occurrence{bio: bioVoid, why: lang.Data("a")}},
		{"spores alike", occurrence{bio: bioVoid, why: lang.Data("z")}, occurrence{bio: bioVoid, why: lang.Data("a")},
			occurrence{bio: bioVoid, why: lang.Data("z")}},
		{"against the evidence", occurrence{contrary: true}, occurrence{}, occurrence{contrary: true}},
		{"stops", occurrence{stops: true}, occurrence{}, occurrence{stops: true}},
		{"urgent", occurrence{urgent: true, readBy: early}, occurrence{urgent: true, readBy: late}, occurrence{urgent: true, readBy: late}},
		{"urgent in one", occurrence{urgent: true}, occurrence{}, occurrence{urgent: true}},
		{"newest record", occurrence{newest: day(2026, 3, 9)}, occurrence{newest: day(2026, 3, 10)}, occurrence{newest: day(2026, 3, 10)}},
		{"passed", occurrence{passed: yes}, occurrence{passed: no}, occurrence{passed: no}},
		{"implants", occurrence{implants: yes}, occurrence{implants: no}, occurrence{implants: yes}},
		{"implants in one", occurrence{implants: unknown}, occurrence{implants: no}, occurrence{}},
		{"packs", occurrence{packs: []packTrace{{id: "1", implant: no, state: loadGood}, {id: "3", implant: no,
			state: loadGood}}}, occurrence{packs: []packTrace{{id: "2", implant: yes, state: loadOpen}, {id: "3", implant: yes,
			state: loadBad}}},
			occurrence{packs: []packTrace{{id: "1", implant: no, state: loadGood}, {id: "2", implant: yes, state: loadOpen},
				{id: "3", implant: yes, state: loadBad, at: -1}}}},
		{"a first pack", occurrence{packs: []packTrace{{id: "1", implant: no, state: loadGood}}},
			occurrence{packs: []packTrace{{id: "1", implant: yes, state: loadBad}}}, occurrence{packs: []packTrace{{id: "1",
				implant: yes, state: loadBad, at: -1}}}},
	} {
		for _, pair := range [][2]occurrence{{tt.a, tt.b}, {tt.b, tt.a}} {
			a, b := pair[0], pair[1]
			got := join(nil, []*occurrence{&a, &b})
			got.versions = versions{}
			assert.Equal(t, &tt.want, got, tt.name)
		}
	}
}

// Only an implant that was released in an emergency is owed a reading.
func TestUrgent(t *testing.T) {
	for _, tt := range []struct {
		name              string
		implant, released bool
		emergency, want   bool
	}{
		{"all", true, true, true, true},
		{"no implant", false, true, true, false},
		{"held", true, false, true, false},
		{"no emergency", true, true, false, false},
	} {
		r := good()
		if tt.implant {
			implant(r)
		}
		if !tt.released {
			r.Release.Decision = moistheat.Quarantine
		}
		if tt.emergency {
			r.Release.Emergency = &load.Emergency{}
		}
		assert.Equal(t, tt.want, ofRecord(r, load.Check(r, policy(t, "us-cdc-2003"))).urgent, tt.name)
	}
}

// A pack of a load that is released stands as itself, one of any other load not
// better than the load.
func TestStands(t *testing.T) {
	for _, tt := range []struct{ load, pack, want loadState }{
		{loadGood, loadGood, loadGood}, {loadGood, loadOpen, loadOpen}, {loadGood, loadHeld, loadHeld}, {loadGood, loadBad, loadBad},
		{loadHeld, loadGood, loadHeld}, {loadHeld, loadBad, loadBad}, {loadBad, loadGood, loadBad}, {loadBad, loadHeld, loadBad},
	} {
		h := &occurrence{state: tt.load, packs: []packTrace{{id: "1", implant: no, state: tt.pack}}}
		assert.Equal(t, tt.want, h.stands("1", false), "%s, %s", tt.load, tt.pack)
		assert.Equal(t, tt.load, h.stands("2", false), "a pack that is not of it")
	}
	for state, want := range map[loadState]bool{loadOpen: false, loadGood: false, loadHeld: true, loadBad: true} {
		assert.Equal(t, want, (&occurrence{released: yes, state: state}).reopened(), state)
		assert.False(t, (&occurrence{released: no, state: state}).reopened(), state)
		assert.True(t, (&occurrence{contrary: true, state: state}).reopened(), state)
	}
}

// Growth counts before all; a test that counts makes up for one beside it that does
// not; of the others the worst counts, and of two alike the first is told.
func TestSeveralBiologicalTests(t *testing.T) {
	fine := spores()
	grew, reading, void, open, open2 := fine, fine, fine, fine, fine
	grew.Result = load.Positive
	reading.Result = load.Pending
	void.Control = nil
	open.Lot, open2.Temperature = "", units.Temperature{}
	for _, tt := range []struct {
		name  string
		tests []load.Biological
		want  bioState
		why   string
	}{
		{"none", nil, bioNone, ""},
		{"good", []load.Biological{fine}, bioGood, ""},
		{"good and void", []load.Biological{fine, void}, bioGood, ""},
		{"void and good", []load.Biological{void, fine}, bioGood, ""},
		{"not read and void", []load.Biological{reading, void}, bioVoid, "no control was incubated"},
		{"void and not read", []load.Biological{void, reading}, bioVoid, "no control was incubated"},
		{"open twice", []load.Biological{open, open2}, bioOpen, "the lot of the indicator or of its control is not recorded"},
		{"open twice, the other way round", []load.Biological{open2, open}, bioOpen, "the incubator's temperature is not recorded"},
		{"good and grown", []load.Biological{fine, grew}, bioPositive, ""},
		{"grown and good", []load.Biological{grew, fine}, bioPositive, ""},
	} {
		got, why := comeTo(ofBiologicals(tt.tests, day(2026, 3, 9)))
		assert.Equal(t, tt.want, got, tt.name)
		assert.Equal(t, tt.why, why.String(), tt.name)
	}
	for why, want := range map[string]string{"": "it has not been read yet", "its lot is not recorded": "its lot is not recorded"} {
		r := (&occurrence{bio: bioOpen, why: lang.Data(why)}).result()
		assert.Equal(t, moistheat.NotRecorded, r.passed)
		assert.Equal(t, want, r.words().String())
	}
}

// A load or pack is held where something broken holds it, and open where only
// evidence is missing.
func TestStatesOfFindings(t *testing.T) {
	const rule = "load.pack.dropped"
	effects := func(broken, undetermined string) *load.Policy {
		return facility(t, "us-cdc-2003", `{"id":"`+rule+`","broken":`+broken+`,"undetermined":`+undetermined+`,`+decided+`}`)
	}
	none, hold, out := effects(`{}`, `{}`), effects(`{"load":"quarantine","pack":"quarantine"}`, `{"load":"quarantine","pack":"quarantine"}`),
		effects(`{"sterilizer":"out of service"}`, `{"sterilizer":"out of service"}`)
	reject := effects(`{"load":"reject","pack":"reject"}`, `{}`)
	for _, tt := range []struct {
		name       string
		p          *load.Policy
		outcome    moistheat.Outcome
		waived     bool
		load, pack loadState // where nothing else is against them but that they are not released
		stops      bool
	}{
		{"broken, holds", hold, moistheat.Broken, false, loadHeld, loadHeld, false},
		{"broken, rejects", reject, moistheat.Broken, false, loadHeld, loadHeld, false},
		{"broken, no effect", none, moistheat.Broken, false, loadOpen, loadOpen, false},
		{"broken, stops", out, moistheat.Broken, false, loadOpen, loadOpen, true},
		{"undetermined, holds", hold, moistheat.Undetermined, false, loadOpen, loadOpen, false},
		{"undetermined, stops", out, moistheat.Undetermined, false, loadOpen, loadOpen, false},
		{"met", out, moistheat.Met, false, loadOpen, loadOpen, false},
		{"waived, holds", hold, moistheat.Broken, true, loadOpen, loadOpen, false},
		{"waived, stops", out, moistheat.Broken, true, loadOpen, loadOpen, false},
	} {
		for _, at := range []string{"/packs/0", "/packs/0/condition"} {
			f := moistheat.Finding{Rule: rule, Outcome: tt.outcome, Pointer: at}
			if tt.waived {
				f.Waiver = &moistheat.Waiver{}
			}
			tt.p.Apply(&f)
			report := load.Check(&load.Record{}, tt.p)
			report.Verdict, report.Findings = load.Verdict{Load: moistheat.Quarantine}, []moistheat.Finding{f}
			report.Packs = []load.PackVerdict{
				{Pointer: "/packs/0", Disposition: moistheat.Quarantine}, {Pointer: "/packs/00", Disposition: moistheat.Quarantine},
			}
			name := tt.name + " at " + at
			assert.Equal(t, tt.load, stateOf(report), name)
			assert.Equal(t, tt.stops, stops(report), name)
			assert.Equal(t, tt.pack, packState(report, 0, loadOpen), name)
			assert.Equal(t, loadOpen, packState(report, 1, loadOpen), "%s, another pack", name)
			assert.Equal(t, loadOpen, packState(report, 1, loadGood), "%s, another pack of a released load", name)
			assert.Equal(t, loadHeld, packState(report, 1, loadHeld), "%s, another pack of a held load", name)
		}
	}
}

func TestCycleNumber(t *testing.T) {
	for _, tt := range []struct {
		text, series string
		n            int64
		ok           bool
	}{
		{"S1-0412", "S1-", 412, true},
		{"7", "", 7, true},
		{"A", "", 0, false},
		{"", "", 0, false},
		{"A123456789012345", "A", 123456789012345, true},
		{"A1234567890123456", "", 0, false},
	} {
		series, n, ok := cycleNumber(tt.text)
		assert.Equal(t, tt.ok, ok, tt.text)
		if ok {
			assert.Equal(t, tt.series, series, tt.text)
			assert.Equal(t, tt.n, n, tt.text)
		}
	}
}

// Of two instants alike but for their zone the choice does not depend on the order.
func TestEarlierAndLater(t *testing.T) {
	a, b := local("2026-03-09 09:00"), local("2026-03-09 09:00").UTC()
	require.True(t, a.Equal(b))
	assert.Equal(t, earlier(a, b), earlier(b, a))
	assert.Equal(t, later(a, b), later(b, a))
	assert.Equal(t, a, earlier(a, time.Time{}))
	assert.Equal(t, a, earlier(time.Time{}, a))
	assert.Equal(t, a, later(time.Time{}, a))
	assert.Equal(t, moistheat.NewDate(2026, 3, 9), moistheat.DateOf(earlier(a, a.Add(time.Second))))
	assert.Equal(t, a.Add(time.Second), later(a, a.Add(time.Second)))
}

// A test of a kind that does not exist, which only a Go value can have, is not taken
// for a load.
func TestNoSuchTest(t *testing.T) {
	r := ran("1", "2026-03-09 09:00", func(r *load.Record) {
		r.Monitors.Tests = []load.Test{{Kind: "soaking", Time: local("2026-03-09 07:00")}}
	})
	u := summary(policy(t, "us-cdc-2003"), r).Usage()
	require.Len(t, u, 1)
	assert.Equal(t, 1, u[0].Loads)
	assert.Len(t, history(t, "us-cdc-2003", r).units()["S1"].all, 1)
	r.Monitors.Tests[0].Kind = load.LeakTest
	assert.Len(t, history(t, "us-cdc-2003", r).units()["S1"].all, 2)
}

// A test of the sterilizer comes to the same verdict in a history and in a check of its
// own: 3.5 min and 5 s are the most that ISO 11140-5 allows, which the policies after EN 13060
// follow, 4 min that instructions do, 0.13 kPa/min that EN 285 does.
func TestEquipmentAgrees(t *testing.T) {
	outcome := func(findings []moistheat.Finding, rule string) moistheat.Outcome {
		i := slices.IndexFunc(findings, func(f moistheat.Finding) bool { return f.Rule == rule })
		require.NotEqual(t, -1, i, rule)
		return findings[i].Outcome
	}
	for name, longest := range map[string]int64{
		"en-13060": 215, "germany": 215, "austria": 215, "england": 215, "switzerland": 215, "denmark": 215,
		"us-cdc-2003": 240, "us-st79": 240, "ontario": 240, "australia": 240, "queensland": 240,
	} {
		for off := range int64(3) {
			hold := units.New(longest-1+off, 0, units.Second)
			want := met
			if off == 2 {
				want = broken
			}
			got := equipment.CheckAirRemoval(&equipment.AirRemovalTest{Hold: hold}, TestFigures(policy(t, name)))
			assert.Equal(t, want, outcome(got, "equipment.exposure.time"), "%s: %s", name, hold)
			e := &occurrence{kind: calendar.AirRemovalEvent, hold: hold, passed: yes}
			e.limit(policy(t, name))
			assert.Equal(t, want == broken, e.result().void, "%s: %s", name, hold)
		}
	}
	for rate, want := range map[string]moistheat.Answer{"0.13 kPa/min": yes, "0.131 kPa/min": no} {
		e := &occurrence{kind: calendar.LeakEvent, leak: units.MustParse[units.PressureRateUnit](rate), passed: yes}
		assert.Equal(t, want, e.result().passed, rate)
	}
}

// Where grounds are taken back, a load and its packs stand as the grounds that are left say:
// a pack by its own and by the load's, and a pack of no certain place by those of any pack.
func TestGroundsThatAreLeft(t *testing.T) {
	held := ground{pointer: "/monitors/challenge", effect: moistheat.Effect{Load: moistheat.Quarantine}}
	wet := ground{pointer: "/packs/1/condition", effect: moistheat.Effect{Pack: moistheat.Reject}}
	gone := ground{pointer: "/cycle", effect: moistheat.Effect{Load: moistheat.Reject}}
	for _, tt := range []struct {
		name  string
		left  []ground
		load  loadState
		packs [3]loadState // the first, the second, and one of no certain place
	}{
		{"none", nil, loadOpen, [3]loadState{loadOpen, loadOpen, loadOpen}},
		{"one that holds the load", []ground{held}, loadHeld, [3]loadState{loadHeld, loadHeld, loadHeld}},
		{"one against a pack", []ground{wet}, loadHeld, [3]loadState{loadHeld, loadBad, loadBad}},
	} {
		h := &occurrence{packs: []packTrace{{id: "a"}, {id: "b", at: 1}, {id: "c", at: -1}}}
		h.grounds = append(tt.left, gone)
		h.takeBackGrounds(func(pointer string) bool { return pointer == "/cycle" })
		assert.Equal(t, tt.load, h.state, tt.name)
		for i, want := range tt.packs {
			assert.Equal(t, want, h.packs[i].state, "%s, pack %d", tt.name, i)
		}
	}
}
