package load

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
)

// known is what a history knows before the good record's load: last used on Friday, with
// a biological test on that day in the load's kind of cycle, and the tests of this Monday.
func known() Known {
	return Known{
		Format: KnownFormat, Sterilizer: "S1", At: instant("2026-03-09T09:00:00+01:00"), LastUse: day(2026, 3, 6),
		Tests: []KnownTest{
			{Test: calendar.BiologicalTestEvent, AirRemoval: moistheat.DynamicAirRemoval, Temperature: celsius(134),
				Time: instant("2026-03-06T12:00:00+01:00"), Ran: duration("3 h")},
			{Test: calendar.AirRemovalEvent, Time: instant("2026-03-09T07:30:00+01:00")},
			{Test: calendar.LeakEvent, Time: instant("2026-03-09T07:40:00+01:00")},
		},
	}
}

// untold is the good record without what its history knows.
func untold(r *Record) { r.Monitors = Monitors{} }

// What the record does not mention and the history knows counts for the duties of the
// policy, and nothing else does.
func TestKnownTests(t *testing.T) {
	const bio, air, leak = "load.biological.overdue", "load.daily.penetration", "load.daily.leak"
	at := func(i int, when string) func(*Known) { return func(k *Known) { k.Tests[i].Time = instant(when) } }
	for _, tt := range []struct {
		name, policy, rule, pointer string
		want                        moistheat.Outcome
		edit                        func(*Known)
	}{
		{"weekly", "us-cdc-2003", bio, "", met, func(k *Known) {}},
		{"weekly, day 7", "us-cdc-2003", bio, "", met, at(0, "2026-03-02T00:00:00+01:00")},
		{"weekly, day 8", "us-cdc-2003", bio, "", broken, at(0, "2026-03-01T23:59:59+01:00")},
		{"weekly, none", "us-cdc-2003", bio, "", undetermined, func(k *Known) { k.Tests = k.Tests[1:] }},
		{"weekly, after the load", "us-cdc-2003", bio, "", undetermined, at(0, "2026-03-09T09:50:01+01:00")},
		{"weekly, day 8, one incubating", "us-cdc-2003", bio, "", undetermined, func(k *Known) {
			at(0, "2026-03-01T23:59:59+01:00")(k)
			k.Pending = []KnownTest{{Test: calendar.BiologicalTestEvent, Time: instant("2026-03-09T08:00:00+01:00")}}
		}},
		// ST79 asks for it in each kind of cycle that is used.
		{"this kind of cycle", "us-st79", bio, "", met, func(k *Known) {}},
		{"another kind of cycle", "us-st79", bio, "", undetermined, func(k *Known) { k.Tests[0].Temperature = celsius(121) }},
		{"a kind of cycle not recorded", "us-st79", bio, "", undetermined, func(k *Known) { k.Tests[0].AirRemoval = "" }},
		// Alberta: each day of use. The day of the load is not over.
		{"the last day of use", "alberta", bio, "", met, func(k *Known) {}},
		{"a day of use later", "alberta", bio, "", broken, func(k *Known) { k.LastUse = day(2026, 3, 7) }},
		{"the days of use not known", "alberta", bio, "", undetermined, func(k *Known) { k.LastUse = moistheat.Date{} }},
		{"known too long ago", "alberta", bio, "", undetermined, func(k *Known) { k.At = instant("2026-03-09T08:59:59+01:00") }},
		{"a day of use later, of whatever kind", "ontario", bio, "", undetermined,
			func(k *Known) { k.LastUse = day(2026, 3, 7) }},
		// Florida, older text: 40 hours of use or 30 days.
		{"39 hours and 59 minutes", "hours of use", bio, "", met, func(k *Known) { k.Tests[0].Ran = duration("2399 min") }},
		{"40 hours", "hours of use", bio, "", broken, func(k *Known) { k.Tests[0].Ran = duration("40 h") }},
		{"hours not known", "hours of use", bio, "", undetermined, func(k *Known) { k.Tests[0].Ran = units.Duration{} }},
		{"today's", "en-13060", air, "/cycle", met, func(k *Known) {}},
		{"at the start", "en-13060", air, "/cycle", met, at(1, "2026-03-09T09:00:00+01:00")},
		{"after the start", "en-13060", air, "/cycle", undetermined, at(1, "2026-03-09T09:00:01+01:00")},
		{"yesterday's, though the sterilizer stood still since", "en-13060", air, "/cycle", undetermined, func(k *Known) {
			at(1, "2026-03-08T23:59:59+01:00")(k)
			k.LastUse = day(2026, 3, 8)
		}},
		{"seven days", "en-13060", leak, "/cycle", met, at(2, "2026-03-02T00:00:00+01:00")},
		{"eight days", "en-13060", leak, "/cycle", undetermined, at(2, "2026-03-01T23:59:59+01:00")},
	} {
		r, k := good(), known()
		untold(r)
		tt.edit(&k)
		report := ExplainKnowing(r, named(t, tt.policy, tt.rule), k)
		assert.Equal(t, tt.want, outcome(report, tt.rule, tt.pointer), "%s: %s", tt.policy, tt.name)
		assertSound(t, r, report)
	}
}

// A test that failed is not made good by an older one that the history knows, but by a
// newer one.
func TestKnownTestsAfterAFailure(t *testing.T) {
	for when, want := range map[string]moistheat.Outcome{
		"2026-03-09T07:00:00+01:00": broken, "2026-03-09T07:29:59+01:00": broken, "2026-03-09T07:30:00+01:00": broken,
		"2026-03-09T07:30:01+01:00": met,
	} {
		r, k := good(), known()
		r.Monitors.Tests[0].Passed = no // of 07:30
		k.Tests[1].Time = instant(when)
		report := ExplainKnowing(r, policy(t, "en-13060"), k)
		pointer := "/monitors/tests/0"
		if want == met {
			pointer = "/cycle"
		}
		assert.Equal(t, want, outcome(report, "load.daily.penetration", pointer), when)
	}
}

// CDC 2003, F.8: from the positive result the sterilizer is out of service until evidence
// ends it. The good load ran from 09:00 to 09:50: what is taken out of service with a load in it
// holds that load. After the end of the cycle a failure makes it suspect, and no more.
func TestOutOfService(t *testing.T) {
	const rule, at = "load.sterilizer.outofservice", "/cycle/started"
	for _, tt := range []struct {
		name, from, to string
		want           moistheat.Outcome
	}{
		{"since Friday", "2026-03-06T12:00:00+01:00", "", broken},
		{"from the start", "2026-03-09T09:00:00+01:00", "", broken},
		{"known a second after the start", "2026-03-09T09:00:01+01:00", "", broken},
		{"known a second before the end", "2026-03-09T09:49:59+01:00", "", broken},
		{"known while it ran, and ended", "2026-03-09T09:10:00+01:00", "2026-03-09T09:20:00+01:00", broken},
		{"known at the end", "2026-03-09T09:50:00+01:00", "", met},
		{"ended at the start", "2026-03-06T12:00:00+01:00", "2026-03-09T09:00:00+01:00", met},
		{"ended a second later", "2026-03-06T12:00:00+01:00", "2026-03-09T09:00:01+01:00", broken},
		{"ended before", "2026-03-06T12:00:00+01:00", "2026-03-08T09:00:00+01:00", met},
	} {
		k := known()
		k.Outages = []KnownOutage{{From: instant(tt.from), Cause: calendar.PositiveTest, Event: "e-17"}}
		if tt.to != "" {
			k.Outages[0].To = instant(tt.to)
		}
		for _, name := range Policies() {
			report := ExplainKnowing(good(), policy(t, name), k)
			assert.Equal(t, tt.want, outcome(report, rule, at), "%s: %s", name, tt.name)
			assert.Equal(t, tt.want == met && name != "switzerland", report.Released(), "%s: %s", name, tt.name) // asks for 18 min
			if tt.want == broken {
				assert.Contains(t, report.Text(), "positive test (e-17)")
			}
		}
	}
	// Without the time of the load nobody can say that it was run before.
	r, k := good(), known()
	k.Outages = []KnownOutage{{From: instant("2026-03-06T12:00:00+01:00"), To: instant("2026-03-06T14:00:00+01:00"),
		Cause: calendar.Repaired}}
	r.Cycle.Started = time.Time{}
	report := ExplainKnowing(r, policy(t, "us-cdc-2003"), k)
	assert.Equal(t, undetermined, outcome(report, rule, "/cycle"))
	assert.Equal(t, moistheat.Quarantine, report.Verdict.Load)
	// Nobody waives it.
	r, k = good(), known()
	k.Outages = []KnownOutage{{From: instant("2026-03-06T12:00:00+01:00"), Cause: calendar.PositiveTest}}
	r.Waivers = []moistheat.Waiver{{Rule: rule, Reason: "we need it", Author: "Dr Y",
		Expires: instant("2027-01-01T00:00:00Z")}}
	assert.Equal(t, moistheat.Quarantine, CheckKnowing(r, policy(t, "us-cdc-2003"), k).Verdict.Load)
}

// CDC 2003, F.9: what was processed since the last negative test is suspect until evidence ends
// that; nobody knew, so that the sterilizer stays as it is. The good load began at 09:00.
func TestSuspect(t *testing.T) {
	const rule, at = "load.sterilizer.suspect", "/cycle/started"
	when := func(s string) time.Time {
		if s == "" {
			return time.Time{}
		}
		return instant("2026-03-" + s + "+01:00")
	}
	for _, tt := range []struct {
		name, after, upTo string
		want              moistheat.Outcome
	}{
		{"since Friday", "06T12:00:00", "", broken},
		{"from the first load on", "", "10T12:00:00", broken},
		{"always", "", "", broken},
		{"the last good test ended as it began", "09T09:00:00", "", met},
		{"a second before", "09T08:59:59", "", broken},
		{"ended as it began", "06T12:00:00", "09T09:00:00", broken},
		{"a second before, too", "06T12:00:00", "09T08:59:59", met},
	} {
		k := known()
		k.Suspicions = []KnownSuspicion{{After: when(tt.after), UpTo: when(tt.upTo),
			Event: calendar.BiologicalTestEvent, ID: "e-17"}}
		for _, name := range Policies() {
			report := ExplainKnowing(good(), policy(t, name), k)
			assert.Equal(t, tt.want, outcome(report, rule, at), "%s: %s", name, tt.name)
			assert.Equal(t, tt.want == met && name != "switzerland", report.Released(), "%s: %s", name,
				tt.name) // asks for 18 min
			assert.Equal(t, moistheat.InService, report.Verdict.Sterilizer, name)
			assert.False(t, report.Verdict.Recall, name)
		}
	}
	r, k := good(), known()
	k.Suspicions = []KnownSuspicion{{After: when("06T12:00:00"), Event: calendar.LeakEvent}}
	r.Cycle.Started = time.Time{}
	r.Waivers = []moistheat.Waiver{{Rule: rule, Reason: "we need it", Author: "Dr Y",
		Expires: instant("2027-01-01T00:00:00Z")}}
	report := ExplainKnowing(r, policy(t, "us-cdc-2003"), k)
	assert.Equal(t, undetermined, outcome(report, rule, "/cycle"))
	assert.Equal(t, moistheat.Quarantine, report.Verdict.Load, "and nobody waives it")
	k.Suspicions = []KnownSuspicion{{Event: calendar.WrongSettingEvent}} // whenever the load was run
	assert.Equal(t, broken, outcome(ExplainKnowing(r, policy(t, "us-cdc-2003"), k), rule, "/cycle"))
}

// A trace that another record carries, too, is no physical record of this load.
func TestReusedTrace(t *testing.T) {
	const rule, at = "load.trace.reused", "/cycle/trace"
	r := good()
	r.Cycle.Trace = &cycle.Trace{Time: cycle.TimeBase{Unit: units.Second, Values: []float64{0, 1}},
		Temperatures: []cycle.TemperatureChannel{{ID: "T", Place: cycle.Drain, Unit: units.Celsius,
			Values: []float64{134, 134}}}}
	for _, tt := range []struct {
		name, digest, record string
		want                 moistheat.Outcome
	}{
		{"of another load", r.Cycle.Trace.Digest(), "r2", broken},
		{"of this load, which was checked before", r.Cycle.Trace.Digest(), "r1", met},
		{"another trace", strings.Repeat("a", 64), "r2", met},
	} {
		k := known()
		k.Traces = []KnownTrace{{tt.digest, tt.record}}
		report := ExplainKnowing(r, policy(t, "us-cdc-2003"), k)
		assert.Equal(t, tt.want, outcome(report, rule, at), tt.name)
		if tt.want == broken {
			assert.GreaterOrEqual(t, report.Verdict.Load, moistheat.Quarantine)
			assert.Contains(t, report.Text(), "also that of record r2")
		}
	}
	assert.Equal(t, notAsked, outcome(ExplainKnowing(good(), policy(t, "us-cdc-2003"), known()), rule, ""), "no trace")
	assert.Equal(t, notAsked, outcome(Explain(r, policy(t, "us-cdc-2003")), rule, ""), "nothing known")
}

// What cannot be meant of the record counts for nothing, and is said.
func TestKnownInvalid(t *testing.T) {
	for name, edit := range map[string]func(*Known){
		"another sterilizer": func(k *Known) { k.Sterilizer = "S2" },
		"no sterilizer":      func(k *Known) { k.Sterilizer = "" },
		"no format":          func(k *Known) { k.Format = "" },
		"no instant":         func(k *Known) { k.At = time.Time{} },
		"a word in no list":  func(k *Known) { k.Outages = []KnownOutage{{From: k.At, Cause: "tired"}} },
		"suspect backwards": func(k *Known) {
			k.Suspicions = []KnownSuspicion{{After: k.At, UpTo: k.At.Add(-1), Event: calendar.LeakEvent}}
		},
		"backwards": func(k *Known) {
			k.Outages = []KnownOutage{{From: k.At, To: k.At.Add(-1),
				Cause: calendar.Repaired}}
		},
	} {
		r, k := good(), known()
		untold(r)
		edit(&k)
		report := ExplainKnowing(r, policy(t, "us-cdc-2003"), k)
		assert.Equal(t, broken, outcome(report, "load.known.invalid", ""), name)
		assert.Equal(t, undetermined, outcome(report, "load.biological.overdue", ""), "%s: its tests do not count", name)
		assert.Equal(t, moistheat.Quarantine, report.Verdict.Load, name)
		assert.False(t, report.Known.Alone, name)
		assertSound(t, r, report)
	}
}

// A report says what it rests on. A policy may ask for more than the record.
func TestReportSaysWhatIsKnown(t *testing.T) {
	alone, knowing := Check(good(), policy(t, "us-cdc-2003")), CheckKnowing(good(), policy(t, "us-cdc-2003"), known())
	assert.Equal(t, KnownName{Alone: true}, alone.Known)
	assert.Contains(t, alone.Text(), "on this record alone")
	assert.Equal(t, KnownName{Digest: known().Digest(), At: known().At}, knowing.Known)
	assert.NotContains(t, knowing.Text(), "alone")
	assert.Contains(t, knowing.Text(), known().Digest()[:12])
	assert.Equal(t, alone.Verdict, CheckKnowing(good(), policy(t, "us-cdc-2003"), Known{}).Verdict)
	assert.True(t, Check(nil, nil).Known.Alone)

	asks := facility(t, "us-cdc-2003", `{"id": "load.known.missing", "inForce": true}`)
	assert.Equal(t, undetermined, outcome(Check(good(), asks), "load.known.missing", ""))
	assert.Equal(t, moistheat.Quarantine, Check(good(), asks).Verdict.Load)
	assert.True(t, CheckKnowing(good(), asks, known()).Released())
}

func TestKnownDocument(t *testing.T) {
	k := known()
	k.Outages = []KnownOutage{{From: k.At, Cause: calendar.FailedTest, Event: "e1"}}
	k.Pending, k.Traces = k.Tests[:1], []KnownTrace{{"ab", "r2"}}
	k.Suspicions = []KnownSuspicion{{After: k.At, Event: calendar.LeakEvent, ID: "e2"}}
	data, err := json.Marshal(k)
	require.NoError(t, err)
	back, err := DecodeKnown(data)
	require.NoError(t, err)
	require.NoError(t, back.Validate())
	assert.Equal(t, k.Digest(), back.Digest())
	assert.Len(t, k.Digest(), 64)
	for i, edit := range []func(*Known){
		func(k *Known) { k.At = k.At.Add(time.Second) },
		func(k *Known) { k.Tests = k.Tests[1:] },
		func(k *Known) { k.Outages = nil },
		func(k *Known) { k.Suspicions = nil },
		func(k *Known) { k.LastUse = moistheat.Date{} },
	} {
		other := k
		edit(&other)
		assert.NotEqual(t, k.Digest(), other.Digest(), i)
	}
	assert.Empty(t, Known{}.Digest())
	assert.Error(t, Known{}.Validate())
	_, err = DecodeKnown([]byte(`{"format":"moistheat.known/1","sterilizer":"S1","at":"2026-03-09T09:00:00Z","tets":[]}`))
	assert.ErrorIs(t, err, moistheat.ErrShape)
}

// Whoever leaves a test out of what is known, or knows nothing, never has a load released
// that was not. Outages and traces speak against a load and are left out of this.
func TestKnowingLessReleasesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 9))
	when := func() time.Time {
		return instant("2026-03-09T09:00:00+01:00").Add(-time.Duration(rng.IntN(10*24*4)-4) * 15 * time.Minute)
	}
	maybe := func(f func()) {
		if rng.IntN(2) == 0 {
			f()
		}
	}
	tests := func(n int, kinds ...calendar.EventKind) (out []KnownTest) {
		for range rng.IntN(n) {
			k := KnownTest{Test: kinds[rng.IntN(len(kinds))], Time: when(), AirRemoval: moistheat.DynamicAirRemoval}
			maybe(func() { k.Temperature = celsius(134 - int64(rng.IntN(2))*13) })
			maybe(func() { k.Ran = units.New(int64(rng.IntN(50)), 0, units.Hour) })
			out = append(out, k)
		}
		return out
	}
	released, n := 0, testrun.Sample(4000, 4)
	for range n {
		r, k := good(), known()
		maybe(func() { untold(r) })
		maybe(func() { r.Monitors.LastValidBiological = when() })
		maybe(func() { r.Monitors.Biologicals = []Biological{spores()} })
		maybe(func() { r.Monitors.Biologicals = append(r.Monitors.Biologicals, Biological{Result: Pending}) })
		k.Tests = tests(6, calendar.BiologicalTestEvent, calendar.AirRemovalEvent, calendar.LeakEvent)
		k.Pending = tests(2, calendar.BiologicalTestEvent)
		maybe(func() { k.LastUse = moistheat.DateOf(when()) })
		less := k
		less.Tests = slices.DeleteFunc(slices.Clone(k.Tests), func(KnownTest) bool { return rng.IntN(2) == 0 })
		less.Pending = slices.DeleteFunc(slices.Clone(k.Pending), func(KnownTest) bool { return rng.IntN(2) == 0 })
		maybe(func() { less.LastUse = moistheat.Date{} })
		p := policy(t, Policies()[rng.IntN(len(Policies()))])
		if CheckKnowing(r, p, k).Released() {
			released++
			continue
		}
		require.False(t, CheckKnowing(r, p, less).Released(), "%s: known %+v, less %+v", p.Name(), k, less)
		require.False(t, Check(r, p).Released(), "%s: known %+v", p.Name(), k)
	}
	assert.Greater(t, released, n/10, "loads that are released")
	assert.Less(t, released, n-n/10, "loads that are not")
}

// Whatever decided about a test of the sterilizer is named, also where the policy has no
// duty about it.
func TestDutiesAreNamed(t *testing.T) {
	r := good()
	r.Monitors.Tests = nil
	for _, name := range Policies() {
		for _, f := range Explain(r, policy(t, name)).Findings {
			assert.NotEmpty(t, f.Sources.At(0).Document, "%s: %s", name, f.Rule)
		}
	}
}
