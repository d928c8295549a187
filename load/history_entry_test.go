package load

import (
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCycleKinds(t *testing.T) {
	const dynamic, gravity = moistheat.DynamicAirRemoval, moistheat.GravityDisplacement
	for _, tt := range []struct {
		a, b    CycleKind
		differs bool
		known   bool // of a
	}{
		{CycleKind{dynamic, celsius(134)}, CycleKind{dynamic, celsius(134)}, false, true},
		{CycleKind{dynamic, celsius(134)}, CycleKind{gravity, celsius(134)}, true, true},
		{CycleKind{dynamic, celsius(134)}, CycleKind{dynamic, celsius(121)}, true, true},
		{CycleKind{"", celsius(134)}, CycleKind{dynamic, celsius(134)}, false, false},
		{CycleKind{"", celsius(134)}, CycleKind{dynamic, celsius(121)}, true, false},
		{CycleKind{AirRemoval: dynamic}, CycleKind{dynamic, celsius(134)}, false, false},
		{CycleKind{AirRemoval: dynamic}, CycleKind{gravity, celsius(134)}, true, false},
		{CycleKind{}, CycleKind{gravity, celsius(134)}, false, false},
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
		assert.Equal(t, CycleKind{Temperature: want}, CycleKind{Temperature: temperature(text)}.normal(), text)
	}
	assert.Equal(t, CycleKind{}, CycleKind{}.normal())
}

func TestHappeningNames(t *testing.T) {
	end := local("2026-03-09 09:00")
	for want, h := range map[string]*happening{
		"load 7":                                 {id: "r1", load: "5", number: "7"},
		"load 5":                                 {id: "r1", load: "5"},
		"load r1":                                {id: "r1"},
		"test run of 9 March 2026 09:00":         {kind: BiologicalTestEvent, number: "7", end: end},
		"leak test of 9 March 2026 09:00":        {kind: LeakEvent, number: "7", end: end},
		"out of use of 9 March 2026 09:00":       {kind: OutOfUseEvent, end: end},
		"calibration test of 9 March 2026 09:00": {kind: CalibrationEvent, end: end},
	} {
		assert.Equal(t, want, h.name())
	}
}

// What two versions of one load say is joined to the same, in either order: the later
// day and end, the earlier start, the larger or worse of two, and yes before no where
// yes is the careful answer.
func TestJoin(t *testing.T) {
	early, late := local("2026-03-09 09:00"), local("2026-03-09 10:00")
	rate := func(s string) units.PressureRate { return units.MustParse[units.PressureRateUnit](s) }
	hot, cool := CycleKind{moistheat.DynamicAirRemoval, celsius(134)}, CycleKind{moistheat.DynamicAirRemoval, celsius(121)}
	for _, tt := range []struct {
		name       string
		a, b, want happening
	}{
		{"day", happening{date: day(2026, 3, 9)}, happening{date: day(2026, 3, 10)}, happening{date: day(2026, 3, 10)}},
		{"no day", happening{}, happening{date: day(2026, 3, 10)}, happening{date: day(2026, 3, 10)}},
		{"times", happening{start: early, end: late}, happening{start: late, end: early}, happening{start: early, end: late}},
		{"kind of cycle", happening{cycle: hot}, happening{cycle: cool}, happening{cycle: hot}},
		{"hold", happening{hold: duration("300 s")}, happening{hold: duration("4 min")}, happening{hold: duration("300 s")}},
		{"no hold", happening{hold: duration("300 s")}, happening{}, happening{hold: duration("300 s")}},
		{"one leak in two units", happening{leak: rate("0.14 kPa/min")}, happening{leak: rate("1.4 mbar/min")}, happening{leak: rate("1.4 mbar/min")}},
		{"leak", happening{leak: rate("0.13 kPa/min")}, happening{leak: rate("1.4 mbar/min")}, happening{leak: rate("1.4 mbar/min")}},
		{"spores", happening{bio: bioGood, why: "z"}, happening{bio: bioVoid, why: "a"}, happening{bio: bioVoid, why: "a"}},
		{"spores alike", happening{bio: bioVoid, why: "z"}, happening{bio: bioVoid, why: "a"}, happening{bio: bioVoid, why: "z"}},
		{"against the evidence", happening{contrary: true}, happening{}, happening{contrary: true}},
		{"stops", happening{stops: true}, happening{}, happening{stops: true}},
		{"urgent", happening{urgent: true, readBy: early}, happening{urgent: true, readBy: late}, happening{urgent: true, readBy: late}},
		{"urgent in one", happening{urgent: true}, happening{}, happening{urgent: true}},
		{"newest record", happening{newest: day(2026, 3, 9)}, happening{newest: day(2026, 3, 10)}, happening{newest: day(2026, 3, 10)}},
		{"passed", happening{passed: yes}, happening{passed: no}, happening{passed: no}},
		{"implants", happening{implants: yes}, happening{implants: no}, happening{implants: yes}},
		{"packs", happening{packs: []packTrace{{"1", no, loadGood}, {"3", no, loadGood}}}, happening{packs: []packTrace{{"2", yes, loadOpen}, {"3", yes, loadBad}}},
			happening{packs: []packTrace{{"1", no, loadGood}, {"2", yes, loadOpen}, {"3", yes, loadBad}}}},
		{"a first pack", happening{packs: []packTrace{{"1", no, loadGood}}}, happening{packs: []packTrace{{"1", yes, loadBad}}}, happening{packs: []packTrace{{"1", yes, loadBad}}}},
	} {
		clone := func(h happening) *happening { h.packs = append([]packTrace(nil), h.packs...); return &h }
		one, other := clone(tt.a), clone(tt.b)
		one.join(clone(tt.b))
		other.join(clone(tt.a))
		assert.Equal(t, &tt.want, one, tt.name)
		assert.Equal(t, &tt.want, other, "%s, the other way round", tt.name)
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
			r.Release.Emergency = &Emergency{}
		}
		assert.Equal(t, tt.want, ofRecord(r, Check(r, policy(t, "us-cdc"))).urgent, tt.name)
	}
}

// A pack of a load that is released stands as itself, one of any other load not
// better than the load.
func TestStands(t *testing.T) {
	for _, tt := range []struct{ load, pack, want loadState }{
		{loadGood, loadGood, loadGood}, {loadGood, loadOpen, loadOpen}, {loadGood, loadHeld, loadHeld}, {loadGood, loadBad, loadBad},
		{loadHeld, loadGood, loadHeld}, {loadHeld, loadBad, loadBad}, {loadBad, loadGood, loadBad}, {loadBad, loadHeld, loadBad},
	} {
		h := &happening{state: tt.load, packs: []packTrace{{"1", no, tt.pack}}}
		assert.Equal(t, tt.want, h.stands("1"), "%s, %s", tt.load, tt.pack)
		assert.Equal(t, tt.load, h.stands("2"), "a pack that is not of it")
	}
	for state, want := range map[loadState]bool{loadOpen: false, loadGood: false, loadHeld: true, loadBad: true} {
		assert.Equal(t, want, (&happening{released: yes, state: state}).reopened(), state)
		assert.False(t, (&happening{released: no, state: state}).reopened(), state)
		assert.True(t, (&happening{contrary: true, state: state}).reopened(), state)
	}
}

// Growth counts before all; a test that counts makes up for one beside it that does
// not; of the others the worst counts, and of two alike the first is told.
func TestSeveralBiologicalTests(t *testing.T) {
	fine := spores()
	grew, reading, void, open, open2 := fine, fine, fine, fine, fine
	grew.Result = Grew
	reading.Result = Incubating
	void.Control = nil
	open.Lot, open2.Temperature = "", units.Temperature{}
	for _, tt := range []struct {
		name  string
		tests []Biological
		want  bioState
		why   string
	}{
		{"none", nil, bioNone, ""},
		{"good", []Biological{fine}, bioGood, ""},
		{"good and void", []Biological{fine, void}, bioGood, ""},
		{"void and good", []Biological{void, fine}, bioGood, ""},
		{"not read and void", []Biological{reading, void}, bioVoid, "no control was incubated"},
		{"void and not read", []Biological{void, reading}, bioVoid, "no control was incubated"},
		{"open twice", []Biological{open, open2}, bioOpen, "the lot of the indicator or of its control is not recorded"},
		{"open twice, the other way round", []Biological{open2, open}, bioOpen, "the incubator's temperature is not recorded"},
		{"good and grown", []Biological{fine, grew}, bioPositive, ""},
		{"grown and good", []Biological{grew, fine}, bioPositive, ""},
	} {
		got, why := ofBiologicals(tt.tests, day(2026, 3, 9))
		assert.Equal(t, tt.want, got, tt.name)
		assert.Equal(t, tt.why, why, tt.name)
	}
	for why, want := range map[string]string{"": "it has not been read yet", "its lot is not recorded": "its lot is not recorded"} {
		ok, got := (&happening{bio: bioOpen, why: why}).good()
		assert.Equal(t, moistheat.NotRecorded, ok)
		assert.Equal(t, want, got)
	}
}

// What rows of the release table show together: no where one fires because something
// is broken, not recorded where one fires for want of evidence.
func TestShown(t *testing.T) {
	const met, undetermined, broken, internal = moistheat.Met, moistheat.Undetermined, moistheat.Broken, moistheat.Internal
	for _, tt := range []struct {
		rows []Row
		want moistheat.Answer
	}{
		{[]Row{{Outcome: met}, {Outcome: met}}, yes},
		{[]Row{{Outcome: broken}, {Outcome: met}}, yes}, // it does not stand against a release
		{[]Row{{Outcome: met}, {Outcome: broken, Fires: true}}, no},
		{[]Row{{Outcome: met}, {Outcome: internal, Fires: true}}, no},
		{[]Row{{Outcome: undetermined, Fires: true}, {Outcome: met}}, unknown},
		{[]Row{{Outcome: undetermined, Fires: true}, {Outcome: broken, Fires: true}}, no},
		{[]Row{{Outcome: met}}, unknown}, // the second row is not there
	} {
		assert.Equal(t, tt.want, shown(&Report{Rows: tt.rows}, 1, 2), tt.rows)
	}
}

// A load or pack is held where something broken holds it, and open where only
// evidence is missing.
func TestStatesOfFindings(t *testing.T) {
	const rule = "load.pack.dropped"
	effects := func(broken, undetermined string) *Policy {
		return facility(t, "us-cdc", `{"id":"`+rule+`","broken":`+broken+`,"undetermined":`+undetermined+`,`+decided+`}`)
	}
	none, hold, out := effects(`{}`, `{}`), effects(`{"load":"quarantine","pack":"quarantine"}`, `{"load":"quarantine","pack":"quarantine"}`),
		effects(`{"sterilizer":"out of service"}`, `{"sterilizer":"out of service"}`)
	reject := effects(`{"load":"reject","pack":"reject"}`, `{}`)
	for _, tt := range []struct {
		name       string
		p          *Policy
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
		for _, at := range []string{"/packs/0", "/packs/0/after"} {
			f := moistheat.Finding{Rule: rule, Outcome: tt.outcome, Pointer: at}
			if tt.waived {
				f.Waiver = &moistheat.Waiver{}
			}
			report := &Report{
				policy: tt.p, Verdict: Verdict{Load: moistheat.Quarantine}, Findings: []moistheat.Finding{f},
				Packs: []PackVerdict{{Pointer: "/packs/0", Disposition: moistheat.Quarantine}, {Pointer: "/packs/00", Disposition: moistheat.Quarantine}},
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
	r := ran("1", "2026-03-09 09:00", func(r *Record) { r.Monitors.Tests = []Test{{Kind: "soaking", Time: local("2026-03-09 07:00")}} })
	u := summary(policy(t, "us-cdc"), r).Usage()
	require.Len(t, u, 1)
	assert.Equal(t, 1, u[0].Loads)
	assert.Len(t, history(t, "us-cdc", r).units["S1"].all, 1)
	r.Monitors.Tests[0].Kind = LeakTest
	assert.Len(t, history(t, "us-cdc", r).units["S1"].all, 2)
}
