package water

import (
	"reflect"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/internal/words"
	"example.com/moistheat/units"
)

const (
	yes     = moistheat.Yes
	no      = moistheat.No
	unknown = moistheat.NotRecorded
)

// BDA advice: drain at the end of each day, clean and dry. HTM 01-05: no topping up,
// empty overnight.
func TestCheckReservoir(t *testing.T) {
	zone := time.FixedZone("", 3600)
	cycle := time.Date(2026, 3, 9, 0, 30, 0, 0, zone) // still 8 March in UTC
	today := time.Date(2026, 3, 9, 0, 5, 0, 0, zone)
	yesterday := today.Add(-6 * time.Minute)
	for _, tt := range []struct {
		name    string
		r       Reservoir
		want    moistheat.Outcome
		pointer string
	}{
		{"drained and refilled", Reservoir{Drained: yes, Refilled: yes}, moistheat.Met, "/refilled"},
		{"filled today", Reservoir{Drained: yes, LastFilled: today}, moistheat.Met, "/refilled"},
		{"filled today in UTC", Reservoir{Drained: yes, LastFilled: today.UTC()}, moistheat.Met, "/refilled"},
		{"drained on Friday, filled today", Reservoir{LastDrained: today.AddDate(0, 0, -3), LastFilled: today}, moistheat.Met, "/refilled"},
		{"filled six minutes earlier, yesterday", Reservoir{Drained: yes, Refilled: yes, LastFilled: yesterday}, moistheat.Broken, "/lastFilled"},
		{"not drained", Reservoir{Drained: no, Refilled: yes}, moistheat.Broken, "/drained"},
		{"not refilled", Reservoir{Drained: yes, Refilled: no}, moistheat.Broken, "/refilled"},
		{"not drained, whatever the times say", Reservoir{Drained: no, LastFilled: today}, moistheat.Broken, "/drained"},
		{"nothing recorded", Reservoir{}, moistheat.Undetermined, ""},
		{"refilled only", Reservoir{Refilled: yes}, moistheat.Undetermined, ""},
		{"drained only", Reservoir{Drained: yes}, moistheat.Undetermined, ""},
		{"filled after the cycle", Reservoir{Drained: yes, Refilled: yes, LastFilled: cycle.Add(time.Second)}, moistheat.Undetermined, "/lastFilled"},
		{"drained after it was filled", Reservoir{Drained: yes, Refilled: yes, LastFilled: today, LastDrained: today.Add(time.Minute)}, moistheat.Undetermined, "/lastDrained"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := findingOf(upkeep(&tt.r, cycle), "water.reservoir.stale")
			assert.Equal(t, tt.want.String(), f.Outcome.String())
			assert.Equal(t, tt.pointer, f.Pointer)
		})
	}
	f := findingOf(upkeep(&Reservoir{Drained: yes, LastFilled: today}, time.Time{}), "water.reservoir.stale")
	assert.Equal(t, moistheat.Undetermined, f.Outcome, "no cycle time, no day to compare with")
}

func TestReservoirAnswers(t *testing.T) {
	for _, tt := range []struct {
		rule string
		of   func(moistheat.Answer) Reservoir
		good moistheat.Answer
	}{
		{"water.reservoir.uncleaned", func(a moistheat.Answer) Reservoir { return Reservoir{Cleaned: a} }, yes},
		{"water.reservoir.toppedup", func(a moistheat.Answer) Reservoir { return Reservoir{ToppedUp: a} }, no},
		{"water.reservoir.overnight", func(a moistheat.Answer) Reservoir { return Reservoir{EmptyNight: a} }, yes},
	} {
		for _, a := range []moistheat.Answer{yes, no, unknown} {
			want := moistheat.Broken
			switch a {
			case tt.good:
				want = moistheat.Met
			case unknown:
				want = moistheat.Undetermined
			}
			r := tt.of(a)
			assert.Equal(t, want, findingOf(upkeep(&r, noon), tt.rule).Outcome, "%s %s", tt.rule, a)
		}
	}
	assert.Empty(t, upkeep(nil, noon), "a sterilizer fed from a pipe")
}

// Tap water corrodes chamber and instruments (BDJ); softening leaves chloride and
// salts and is not for steam.
func TestKind(t *testing.T) {
	for kind, want := range map[Treatment]moistheat.Outcome{
		Distilled: moistheat.Met, Deionised: moistheat.Met, ReverseOsmosis: moistheat.Met, Sterile: moistheat.Met,
		Untreated: moistheat.Broken, Softened: moistheat.Broken,
		OtherTreatment: moistheat.Undetermined, "": moistheat.Undetermined,
	} {
		f := findingOf(upkeep(&Reservoir{Water: kind}, noon), "water.kind.unfit")
		assert.Equal(t, want, f.Outcome, kind)
		if kind != "" { // else it points to what should have it
			assert.Equal(t, "/water", f.Pointer)
		}
		f = findingOf(check(&Sample{Point: TreatedFeed, Treatment: kind}), "water.kind.unfit")
		assert.Equal(t, want, f.Outcome, kind)
		f = findingOf(check(&Sample{Point: Mains, Treatment: kind}), "water.kind.unfit")
		assert.Equal(t, moistheat.NotApplicable, f.Outcome, kind)
	}
}

// ST108 as summarised: critical water monthly, its conductivity daily.
func TestCheckAge(t *testing.T) {
	critical := limitsFor(t, "ansi-aami-st108-2023#critical")
	s := decode(t, `"point":"treated feed","conductivity":{"value":{"value":5,"unit":"uS/cm"}}`)
	for _, tt := range []struct {
		name string
		age  time.Duration
		want moistheat.Outcome
	}{
		{"at a day", 24 * time.Hour, moistheat.Met},
		{"just inside", 24*time.Hour - time.Second, moistheat.Met},
		{"just outside", 24*time.Hour + time.Second, moistheat.Broken},
		{"taken later", -time.Second, moistheat.Undetermined},
	} {
		t.Run(tt.name, func(t *testing.T) {
			found := aged(s, critical, s.Time.Add(tt.age))
			require.Len(t, found, 1)
			assert.Equal(t, tt.want, found[0].Outcome)
			assert.Equal(t, units.MustParse[units.DurationUnit]("1 d").Value(), found[0].Limit)
			assert.Equal(t, moistheat.Quoted, found[0].Sources.At(0).Basis)
			if tt.want == moistheat.Broken { // never shown equal to the limit that it breaks
				assert.Equal(t, units.MustParse[units.DurationUnit]("1.1 d").Value(), found[0].Measured)
			}
		})
	}
	s = decode(t, `"point":"treated feed","conductivity":{"value":{"value":5,"unit":"uS/cm"}},"ph":{"value":{"value":6,"unit":"[pH]"}}`)
	found := aged(s, critical, s.Time.AddDate(0, 0, 20))
	require.Len(t, found, 2)
	assert.Equal(t, moistheat.Broken, found[0].Outcome, "conductivity")
	assert.Equal(t, moistheat.Met, found[1].Outcome, "the monthly panel")
	assert.Equal(t, "ph", found[1].Param("determinands"))
	for _, at := range []time.Time{noon.AddDate(0, 0, 31), noon.AddDate(0, 0, 31).Add(time.Second)} {
		f := aged(s, critical, at)[1]
		assert.Equal(t, at.After(noon.AddDate(0, 0, 31)), f.Outcome == moistheat.Broken)
	}
	assert.Equal(t, moistheat.Undetermined, aged(s, critical, time.Time{})[0].Outcome)
	found = aged(s, limitsFor(t, "en-13060"), s.Time.AddDate(9, 0, 0))
	assert.Empty(t, found, "EN 13060 sets no interval here")
}

func TestCheckSampling(t *testing.T) {
	const (
		germs    = `"point":"treated feed","bacteria":{"value":{"value":5,"unit":"[CFU]/mL"}}`
		silica   = `"point":"treated feed","silicate":{"value":{"value":0.1,"unit":"mg/L"},"as":"SiO2"}`
		toxin    = `"point":"treated feed","endotoxin":{"value":{"value":0.1,"unit":"{EU}/mL"}}`
		pure     = `"point":"treated feed","conductivity":{"value":{"value":0.99,"unit":"uS/cm"}}`
		plain    = `"point":"treated feed","conductivity":{"value":{"value":1.00,"unit":"uS/cm"}}`
		steam    = `"point":"condensate"`
		sampling = `,"sampling":`
	)
	for _, tt := range []struct {
		name, sample, rule string
		want               moistheat.Outcome
	}{
		{"silica in plastic", silica + sampling + `{"bottle":"plastic"}`, "water.sample.bottle", moistheat.Met},
		{"silica in glass", silica + sampling + `{"bottle":"glass"}`, "water.sample.bottle", moistheat.Broken},
		{"silica in what", silica, "water.sample.bottle", moistheat.Undetermined},
		{"endotoxin in glass", toxin + sampling + `{"bottle":"glass"}`, "water.sample.bottle", moistheat.Broken},
		{"endotoxin in clean glass", toxin + sampling + `{"bottle":"depyrogenated glass"}`, "water.sample.bottle", moistheat.Met},
		{"germs in anything", germs, "water.sample.bottle", moistheat.NotApplicable},
		{"germs, rinsed", germs + sampling + `{"rinsed":true}`, "water.sample.rinsed", moistheat.Broken},
		{"germs, not rinsed", germs + sampling + `{"rinsed":false}`, "water.sample.rinsed", moistheat.Met},
		{"germs, who knows", germs, "water.sample.rinsed", moistheat.Undetermined},
		{"chemistry, rinsed", plain + sampling + `{"rinsed":true}`, "water.sample.rinsed", moistheat.Met},
		{"chemistry, not rinsed", plain + sampling + `{"rinsed":false}`, "water.sample.rinsed", moistheat.Broken},
		{"one bottle for both", germs + `,"ph":{"value":{"value":6,"unit":"[pH]"}}` + sampling + `{"rinsed":true}`, "water.sample.rinsed", moistheat.Undetermined},
		{"nothing measured", steam, "water.sample.rinsed", moistheat.NotApplicable},
		{"pure water in a full bottle", pure + sampling + `{"full":true}`, "water.sample.air", moistheat.Met},
		{"pure water with air", pure + sampling + `{"full":false}`, "water.sample.air", moistheat.Broken},
		{"pure water, who knows", pure, "water.sample.air", moistheat.Undetermined},
		{"1 µS/cm and more", plain, "water.sample.air", moistheat.NotApplicable},
		{"steam ran", steam + sampling + `{"flushed":true}`, "water.sample.flushed", moistheat.Met},
		{"steam did not run", steam + sampling + `{"flushed":false}`, "water.sample.flushed", moistheat.Broken},
		{"steam, who knows", steam, "water.sample.flushed", moistheat.Undetermined},
		{"no germs, no steam", plain, "water.sample.flushed", moistheat.NotApplicable},
		{"tested at 2 h", germs + sampling + `{"tested":"2026-03-09T14:00:00Z","chilled":false}`, "water.sample.late", moistheat.Met},
		{"tested just after 2 h", germs + sampling + `{"tested":"2026-03-09T14:00:01Z","chilled":false}`, "water.sample.late", moistheat.Broken},
		{"tested at 24 h, cold", germs + sampling + `{"tested":"2026-03-10T12:00:00Z","chilled":true}`, "water.sample.late", moistheat.Met},
		{"tested just after 24 h, cold", germs + sampling + `{"tested":"2026-03-10T12:00:01Z","chilled":true}`, "water.sample.late", moistheat.Broken},
		{"tested at 5 h, cold or not", germs + sampling + `{"tested":"2026-03-09T17:00:00Z"}`, "water.sample.late", moistheat.Undetermined},
		{"tested at 25 h, cold or not", germs + sampling + `{"tested":"2026-03-10T13:00:00Z"}`, "water.sample.late", moistheat.Broken},
		{"tested before it was taken", germs + sampling + `{"tested":"2026-03-09T11:00:00Z"}`, "water.sample.late", moistheat.Undetermined},
		{"tested when", germs, "water.sample.late", moistheat.Undetermined},
		{"no germs", plain, "water.sample.late", moistheat.NotApplicable},
		{"meter never checked", `"point":"mains","ph":{"value":{"value":6.1,"unit":"[pH]"},"method":"meter"}`, "water.meter.unchecked", moistheat.Undetermined},
		{"meter checked before", `"point":"mains","ph":{"value":{"value":6.1,"unit":"[pH]"},"meter":{"lastCheck":"2026-03-09T12:00:00Z"}}`, "water.meter.unchecked", moistheat.Met},
		{"meter checked after", `"point":"mains","ph":{"value":{"value":6.1,"unit":"[pH]"},"meter":{"lastCheck":"2026-03-09T12:00:01Z"}}`, "water.meter.unchecked", moistheat.Broken},
		{"a laboratory's", `"point":"mains","ph":{"value":{"value":6.1,"unit":"[pH]"},"method":"laboratory"}`, "water.meter.unchecked", moistheat.NotApplicable},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := findingOf(check(decode(t, tt.sample)), tt.rule)
			assert.Equal(t, tt.want.String(), f.Outcome.String())
		})
	}
}

// How long a sample for germs may wait: 2 h, or 24 h if it was kept cold. Where that is
// not recorded, the finding shows the limit that decides.
func TestLateLimitShown(t *testing.T) {
	at := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	for _, tt := range []struct {
		chilled moistheat.Answer
		waited  time.Duration
		want    moistheat.Outcome
		limit   string
	}{
		{moistheat.No, time.Hour, moistheat.Met, "2 h"},
		{moistheat.No, 25 * time.Hour, moistheat.Broken, "2 h"},
		{moistheat.Yes, time.Hour, moistheat.Met, "24 h"},
		{moistheat.Yes, 25 * time.Hour, moistheat.Broken, "24 h"},
		{moistheat.NotRecorded, time.Hour, moistheat.Met, "2 h"},
		{moistheat.NotRecorded, 25 * time.Hour, moistheat.Broken, "24 h"},
	} {
		s := &Sample{Point: ReservoirWater, Time: at, Sampling: &Sampling{Chilled: tt.chilled, Tested: at.Add(tt.waited)}, Bacteria: &Reading[units.ColonyCountUnit]{}}
		f := findingOf(check(s), "water.sample.late")
		assert.Equal(t, tt.want, f.Outcome, "%s after %s", tt.chilled, tt.waited)
		assert.Equal(t, tt.limit, f.Limit.String(), "%s after %s", tt.chilled, tt.waited)
	}
}

// Without the time of the cycle the age is not known, which is not the same as a
// sample of later.
func TestAgeWithoutATime(t *testing.T) {
	s := &Sample{Point: ReservoirWater, Time: time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC), PH: &Reading[units.PHUnit]{}}
	f := findingOf(aged(s, limitsFor(t, "ansi-aami-st108-2023#critical"), time.Time{}), "water.sample.old")
	assert.Equal(t, moistheat.Undetermined, f.Outcome)
	f = findingOf(aged(s, limitsFor(t, "ansi-aami-st108-2023#critical"), s.Time.Add(-time.Second)), "water.sample.old")
	assert.Equal(t, moistheat.Undetermined, f.Outcome)
}

func TestReservoirJSON(t *testing.T) {
	r, err := strictjson.NewDecoder[Reservoir]().Decode([]byte(`{"water":"distilled","drained":true,"emptyNight":false,"lastFilled":"2026-03-09T07:30:00+01:00"}`), strictjson.Default())
	require.NoError(t, err)
	assert.Equal(t, Distilled, r.Water)
	assert.Equal(t, no, r.EmptyNight)
	_, err = strictjson.NewDecoder[Reservoir]().Decode([]byte(`{"water":"boiled"}`), strictjson.Default())
	assert.ErrorContains(t, err, "reverse osmosis", "the error lists the words")
}

// The signs of the instrument-care texts; every sign has a cause
// with a source.
func TestHints(t *testing.T) {
	for _, word := range words.Of(reflect.TypeFor[Stain]()) {
		sign := Stain(word)
		hints := Hints(sign)
		assert.NotEmpty(t, hints, sign)
		for _, h := range hints {
			assert.NotEmpty(t, h.Cause)
			assert.NotEmpty(t, h.Source.Document)
			assert.NotZero(t, h.Source.Basis)
		}
	}
	assert.Empty(t, Hints(""))
	assert.Len(t, Hints(Rainbow), 3)
	assert.Equal(t, moistheat.Published, Hints(YellowToViolet)[0].Source.Basis)
	assert.Contains(t, Hints(Pits)[0].Cause, "chloride")
}
