package cleaning_test

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/units"
)

// The good batches that the vectors change. The washer ran at 90 °C for 5 minutes, by hand 3,000.
const (
	washer = `{"format":"moistheat.cleaning/1","id":"W-1","kind":"washer-disinfector","device":"WD","number":"812",
"operator":"MK","started":"2026-03-02T09:00:00Z","ended":"2026-03-02T09:40:00Z","aborted":false,"probes":2,
"carried":[{"id":"SET-1","class":"semicritical","used":"2026-03-02T08:30:00Z","moist":true,"excludes":["ultrasonic"]}],
"printed":{"a0":"3000 1"},
"trace":{"time":{"unit":"min","values":[0,1,2,3,4,5]},"temperatures":[
{"id":"1","place":"chamber","unit":"Cel","accuracy":"0.5 K","values":[90,90,90,90,90,90]},
{"id":"2","place":"load","unit":"Cel","accuracy":"0.5 K","values":[90,90,90,90,90,90]}]}}`
	manual = `{"format":"moistheat.cleaning/1","id":"M-1","kind":"manual","operator":"MK",
"started":"2026-03-02T09:00:00Z","ended":"2026-03-02T09:15:00Z",
"carried":[{"id":"SET-1","class":"critical","used":"2026-03-02T08:30:00Z","moist":true,"excludesAny":false}],
"detergent":{"name":"enzymatic","amount":"25 mL","volume":"5 L","temperature":"40 Cel","contact":"10 min",
"instructions":{"minDose":"0.5 %","maxDose":"1 %","minTemperature":"20 Cel","maxTemperature":"45 Cel","contact":"5 min"}},
"rinsed":true,"waterChanged":true}`
	bath = `{"format":"moistheat.cleaning/1","id":"U-1","kind":"ultrasonic","device":"US","operator":"MK",
"started":"2026-03-02T09:00:00Z","ended":"2026-03-02T09:15:00Z","aborted":false,
"carried":[{"id":"SET-1","class":"critical","used":"2026-03-02T08:30:00Z","moist":true,"excludesAny":false}],
"detergent":{"name":"enzymatic","amount":"10 mL","volume":"2 L","temperature":"40 Cel","contact":"5 min",
"instructions":{"minDose":"5e-3 1","maxDose":"1 %","minTemperature":"20 Cel","maxTemperature":"45 Cel","contact":"5 min"}},
"rinsed":true,"waterChanged":true,"degassed":true,"tested":true,"metalsApart":true}`
)

// unlogged is a washer-disinfector that keeps no log and prints its A0.
var unlogged = strings.Replace(washer[:strings.Index(washer, ",\n\"trace\"")]+"}",
	`"probes":2,`, `"keepsLog":false,`, 1)

// exact is the cleaning by hand with a dose that is the least and the most.
var exact = strings.Replace(manual, `"maxDose":"1 %"`, `"maxDose":"0.5 %"`, 1)

// The limits of a facility that allows 2 hours from use to cleaning, a day from there to the sterilizer, and 45 °C by
// hand.
func limits() cleaning.Limits {
	l := cleaning.DefaultLimits()
	own := moistheat.Source{Document: "procedure of the facility", Basis: moistheat.Facility}
	l.ToCleaning = moistheat.Figure[units.DurationUnit]{Value: units.New(2, 0, units.Hour), Source: own}
	l.HandTemperature = moistheat.Figure[units.TemperatureUnit]{Value: units.New(45, 0, units.Celsius), Source: own}
	l.ToSterilizing = moistheat.Figure[units.DurationUnit]{Value: units.New(24, 0, units.Hour), Source: own}
	return l
}

// Every rule with each outcome that it can have: what is changed, in text, in a good batch.
var vectors = []struct {
	rule, batch, old, new string
	want                  moistheat.Outcome
}{
	{"cleaning.agent.dose", manual, "", "", moistheat.Met},                  // 25 mL in 5 L: 0.5 %
	{"cleaning.agent.dose", manual, `"25 mL"`, `"20 mL"`, moistheat.Broken}, // 0.4 %
	{"cleaning.agent.dose", manual, `"25 mL"`, `"55 mL"`, moistheat.Broken}, // 1.1 %
	{"cleaning.agent.dose", manual, `"25 mL"`, `"50 mL"`, moistheat.Met},    // 1 %
	{"cleaning.agent.dose", manual, `"5 L"`, `"5000 mL"`, moistheat.Met},    // the same
	// One dose is both the least and the most: 20 mL in 5 L are 0.4 %.
	{"cleaning.agent.dose", exact, "", "", moistheat.Met},
	{"cleaning.agent.dose", exact, `"25 mL"`, `"20 mL"`, moistheat.Broken},
	{"cleaning.agent.dose", exact, `"25 mL"`, `"30 mL"`, moistheat.Broken},
	// What is too little is not stated, and what is too much is.
	{"cleaning.agent.dose", manual, `"minDose":"0.5 %",`, "", moistheat.Undetermined},
	{"cleaning.agent.dose", strings.Replace(manual, `"25 mL"`,
		`"55 mL"`, 1), `"minDose":"0.5 %",`, "", moistheat.Broken},
	// A washer that disinfects with an agent has to show its dose and how long it worked.
	{"cleaning.agent.dose", washer, `"printed"`, `"disinfectant":{},"printed"`, moistheat.Undetermined},
	{"cleaning.agent.short", washer, `"printed"`, `"disinfectant":{},"printed"`, moistheat.Undetermined},
	{"cleaning.time.order", washer, "T08:30", "T09:30", moistheat.Broken}, // used while it was washed
	// A log that cannot be of the run shows no A0: of another day, longer than the run (7 minutes more than 2), or of two
	// readings of which nothing is known between. A minute either way is how times are written.
	{"cleaning.disinfection.short", washer, `"trace":{`,
		`"trace":{"start":"2026-03-01T09:20:00Z",`, moistheat.Undetermined},
	{"cleaning.disinfection.short", washer, `"trace":{`, `"trace":{"start":"2026-03-02T09:20:00Z",`, moistheat.Met},
	{"cleaning.disinfection.short", washer, `"trace":{`, `"trace":{"start":"2026-03-02T09:36:00Z",`, moistheat.Met},
	{"cleaning.disinfection.short", washer, `"trace":{`,
		`"trace":{"start":"2026-03-02T09:36:01Z",`, moistheat.Undetermined},
	{"cleaning.disinfection.short", washer, `T09:40`, `T09:04`, moistheat.Met},
	{"cleaning.disinfection.short", washer, `T09:40`, `T09:03`, moistheat.Undetermined},
	{"cleaning.printed.contradicted", washer, `T09:40`, `T09:03`, moistheat.Undetermined},
	{"cleaning.disinfection.short", strings.NewReplacer(`[0,1,2,3,4,5]`,
		`[0,10]`, `[90,90,90,90,90,90]`, `[90,90]`).Replace(washer),
		"", "", moistheat.Undetermined},
	{"cleaning.agent.dose", manual, `"5 L"`, `"5 [gal_us]"`, moistheat.Broken},     // 25 mL in 18.9 L: 0.13 %
	{"cleaning.agent.dose", manual, `"volume":"5 L",`, "", moistheat.Undetermined}, //
	{"cleaning.agent.dose", manual, `"5 L"`, `"0 L"`, moistheat.Undetermined},      // no bath
	{"cleaning.agent.dose", washer, "", "", moistheat.NotApplicable},               // the machine doses
	{"cleaning.agent.short", manual, "", "", moistheat.Met},                        //
	{"cleaning.agent.short", manual, `"10 min"`, `"4.9 min"`, moistheat.Broken},    //
	{"cleaning.agent.short", manual, `"contact":"10 min",`, "", moistheat.Undetermined},
	{"cleaning.agent.short", washer, "", "", moistheat.NotApplicable},
	{"cleaning.agent.temperature", manual, "", "", moistheat.Met},
	{"cleaning.agent.temperature", manual, `"40 Cel"`, `"45.1 Cel"`, moistheat.Broken},
	{"cleaning.agent.temperature", manual, `"40 Cel"`, `"19 Cel"`, moistheat.Broken},
	{"cleaning.agent.temperature", manual, `"temperature":"40 Cel",`, "", moistheat.Undetermined},
	{"cleaning.agent.temperature", washer, "", "", moistheat.NotApplicable},
	{"cleaning.bath.gassed", bath, "", "", moistheat.Met},
	{"cleaning.bath.gassed", bath, `"degassed":true`, `"degassed":false`, moistheat.Broken},
	{"cleaning.bath.gassed", bath, `"degassed":true,`, "", moistheat.Undetermined},
	{"cleaning.bath.gassed", manual, "", "", moistheat.NotApplicable},
	{"cleaning.bath.untested", bath, "", "", moistheat.Met},
	{"cleaning.bath.untested", bath, `"tested":true`, `"tested":false`, moistheat.Broken},
	{"cleaning.bath.untested", bath, `"tested":true,`, "", moistheat.Undetermined},
	{"cleaning.bath.untested", manual, "", "", moistheat.NotApplicable},
	{"cleaning.care.dry", manual, "", "", moistheat.Met},
	{"cleaning.care.dry", manual, `"moist":true`, `"moist":false`, moistheat.Broken},
	{"cleaning.care.dry", manual, `"moist":true,`, "", moistheat.Undetermined},
	{"cleaning.care.late", manual, "", "", moistheat.Met},                      // 30 min
	{"cleaning.care.late", manual, `T08:30`, `T07:00`, moistheat.Met},          // 2 h
	{"cleaning.care.late", manual, `T08:30`, `T06:59`, moistheat.Broken},       // 121 min
	{"cleaning.care.late", manual, `T08:30`, `T09:01`, moistheat.Undetermined}, // used after it began
	{"cleaning.care.late", manual, `"used":"2026-03-02T08:30:00Z",`, "", moistheat.Undetermined},
	{"cleaning.cycle.aborted", washer, "", "", moistheat.Met},
	{"cleaning.cycle.aborted", washer, `"aborted":false`, `"aborted":true`, moistheat.Broken},
	{"cleaning.cycle.aborted", washer, `"aborted":false,`, "", moistheat.Undetermined},
	{"cleaning.cycle.aborted", manual, "", "", moistheat.NotApplicable},
	{"cleaning.disinfection.short", washer, "", "", moistheat.Met},
	{"cleaning.disinfection.short", washer, "[90,90,90,90,90,90]}]", "[90,64,64,64,64,64]}]", moistheat.Undetermined},
	{"cleaning.disinfection.short", washer, "[90,90,90,90,90,90]}]", "[80,80,80,80,80,80]}]", moistheat.Broken}, // 300
	{"cleaning.disinfection.short", washer, `"semicritical"`, `"critical"`, moistheat.Met},
	{"cleaning.disinfection.short", washer, "\"trace\":{", "\"x\":1,\"trace\":{", 0},
	{"cleaning.disinfection.short", manual, "", "", moistheat.NotApplicable},
	{"cleaning.disinfection.short", unlogged, "", "", moistheat.Undetermined}, // neither log nor policy
	{"cleaning.disinfection.short", unlogged, "3000 1", "599 1", moistheat.Broken},
	{"cleaning.item.kept", manual, `"rinsed"`,
		`"takenOut":[{"item":"I-1","reason":"retained soil","then":"cleaned again"}],"rinsed"`, moistheat.Met},
	{"cleaning.item.kept", manual, `"rinsed"`,
		`"takenOut":[{"item":"I-1","reason":"retained soil","then":"repair"}],"rinsed"`, moistheat.Broken},
	{"cleaning.item.kept", manual, `"rinsed"`,
		`"takenOut":[{"item":"I-1","reason":"function","then":"cleaned again"}],"rinsed"`, moistheat.Broken},
	{"cleaning.item.kept", manual, `"rinsed"`,
		`"takenOut":[{"item":"I-1","reason":"corrosion"}],"rinsed"`, moistheat.Undetermined},
	{"cleaning.item.kept", manual, "", "", moistheat.NotApplicable},
	// 0.5 K off at 90 °C leaves 3000 · 10^-0.05 = 2673.8, enough for 600 and too little for 3,000.
	{"cleaning.margin.thin", washer, "", "", moistheat.Met},
	{"cleaning.margin.thin", washer, `"semicritical"`, `"critical"`, moistheat.Broken},
	{"cleaning.margin.thin", washer, `"accuracy":"0.5 K",`, "", moistheat.Undetermined},
	{"cleaning.margin.thin", manual, "", "", moistheat.NotApplicable},
	{"cleaning.metals.mixed", bath, "", "", moistheat.Met},
	{"cleaning.metals.mixed", bath, `"metalsApart":true`, `"metalsApart":false`, moistheat.Broken},
	{"cleaning.metals.mixed", bath, `,"metalsApart":true`, "", moistheat.Undetermined},
	{"cleaning.metals.mixed", manual, "", "", moistheat.NotApplicable},
	{"cleaning.method.excluded", washer, "", "", moistheat.Met},
	{"cleaning.method.excluded", washer, `["ultrasonic"]`, `["washer-disinfector"]`, moistheat.Broken},
	{"cleaning.method.excluded", washer, `,"excludes":["ultrasonic"]`, "", moistheat.Undetermined},
	{"cleaning.printed.contradicted", washer, "", "", moistheat.Met},
	{"cleaning.printed.contradicted", washer, "[90,90,90,90,90,90]}]", "[80,80,80,80,80,80]}]", moistheat.Broken}, // 300
	{"cleaning.printed.contradicted", washer, `[0,1,2,3,4,5]`, `[0,1,2,3,3,5]`, moistheat.Undetermined},
	{"cleaning.printed.contradicted", washer, `"printed":{"a0":"3000 1"},`, "", moistheat.NotApplicable},
	{"cleaning.probes.few", washer, "", "", moistheat.Met},
	{"cleaning.probes.few", washer, `"probes":2`, `"probes":3`, moistheat.Broken},
	{"cleaning.probes.few", washer, `"probes":2,`, "", moistheat.Undetermined},
	{"cleaning.probes.few", manual, "", "", moistheat.NotApplicable},
	{"cleaning.rinse.missing", manual, "", "", moistheat.Met},
	{"cleaning.rinse.missing", manual, `"rinsed":true`, `"rinsed":false`, moistheat.Broken},
	{"cleaning.rinse.missing", manual, `"rinsed":true,`, "", moistheat.Undetermined},
	{"cleaning.rinse.missing", washer, "", "", moistheat.NotApplicable},
	{"cleaning.time.order", manual, "", "", moistheat.Met},
	{"cleaning.time.order", manual, `T09:15`, `T08:59`, moistheat.Broken},
	{"cleaning.time.order", manual, `"ended":"2026-03-02T09:15:00Z",`, "", moistheat.Undetermined},
	{"cleaning.water.reused", manual, "", "", moistheat.Met},
	{"cleaning.water.reused", manual, `"waterChanged":true`, `"waterChanged":false`, moistheat.Broken},
	{"cleaning.water.reused", manual, `,"waterChanged":true`, "", moistheat.Undetermined},
	{"cleaning.water.reused", washer, "", "", moistheat.NotApplicable},
}

// document writes quantities such as "25 mL" as documents do.
func document(text string) []byte {
	quantity := regexp.MustCompile(`"([0-9.e-]+) ([^"]+)"`)
	return []byte(quantity.ReplaceAllString(text, `{"value":$1,"unit":"$2"}`))
}

func TestVectors(t *testing.T) {
	seen := map[string]map[moistheat.Outcome]bool{}
	for i, v := range vectors {
		t.Run(fmt.Sprintf("%s %d", v.rule, i), func(t *testing.T) {
			require.Contains(t, v.batch, v.old)
			b, err := cleaning.Decode(document(strings.Replace(v.batch, v.old, v.new, 1)))
			if v.want == 0 {
				require.Error(t, err)
				return
			}
			require.NoError(t, err)
			worst := moistheat.Outcome(0)
			for _, f := range cleaning.Check(b, limits()) {
				if f.Rule == v.rule {
					worst = max(worst, f.Outcome)
				}
			}
			assert.Equal(t, v.want, worst)
		})
		if seen[v.rule] == nil {
			seen[v.rule] = map[moistheat.Outcome]bool{}
		}
		seen[v.rule][v.want] = true
	}
	for _, r := range cleaning.Rules() {
		if strings.HasPrefix(r.ID, "cleaning.batch.") || r.ID == "cleaning.item.taken" ||
			r.ID == "cleaning.item.elsewhere" || r.ID == "cleaning.log.shared" {
			continue // the stories
		}
		for _, o := range []moistheat.Outcome{moistheat.Met, moistheat.Broken, moistheat.Undetermined} {
			assert.True(t, seen[r.ID][o], "%s: no vector is %s", r.ID, o)
		}
	}
}

// The A0 that a washer-disinfector prints is evidence where the policy takes it and the machine is
// recorded to keep no log: leaving out the log and its sensors does not say so. One that is too low is
// against it everywhere, and a log counts before it.
func TestPrintedA0(t *testing.T) {
	by := &moistheat.Source{Document: "procedure of the facility", Basis: moistheat.Facility}
	const open = moistheat.Undetermined
	skin := strings.NewReplacer("3000 1", "60 1", "semicritical", "noncritical")
	low := strings.Replace(washer, "[90,90,90,90,90,90]", "[80,80,80,80,80,80]", 1) // 300
	for name, c := range map[string]struct {
		text string
		by   *moistheat.Source
		want moistheat.Outcome
	}{
		"taken":                     {unlogged, by, moistheat.Met},
		"not taken":                 {unlogged, nil, open},
		"too low, taken":            {strings.Replace(unlogged, "3000 1", "2999 1", 1), by, moistheat.Broken},
		"too low, not taken":        {strings.Replace(unlogged, "3000 1", "2999 1", 1), nil, moistheat.Broken},
		"a machine that logs":       {strings.Replace(unlogged, `"keepsLog":false,`, `"keepsLog":true,`, 1), by, open},
		"it is not said":            {strings.Replace(unlogged, `"keepsLog":false,`, "", 1), by, open},
		"one sensor, not said":      {strings.Replace(unlogged, `"keepsLog":false,`, `"probes":1,`, 1), by, open},
		"two sensors, not said":     {strings.Replace(unlogged, `"keepsLog":false,`, `"probes":2,`, 1), by, open},
		"sensors and no log":        {strings.Replace(unlogged, `"printed"`, `"probes":2,"printed"`, 1), by, open},
		"a log that is against it":  {low, by, moistheat.Broken},
		"nothing printed":           {strings.Replace(unlogged, `{"a0":"3000 1"}`, "{}", 1), by, open},
		"for what touches the skin": {skin.Replace(unlogged), by, moistheat.Met},
	} {
		b, err := cleaning.Decode(document(c.text))
		require.NoError(t, err, name)
		l := cleaning.DefaultLimits()
		l.PrintedA0 = c.by
		l.Semicritical = l.Critical
		got := moistheat.Outcome(0)
		for _, f := range cleaning.Check(b, l) {
			if f.Rule == "cleaning.disinfection.short" {
				got = f.Outcome
			}
		}
		assert.Equal(t, c.want, got, name)
	}
}

// Where the print decides, nothing is asked of a log that the machine does not keep; elsewhere it is.
func TestNoLogIsAskedForWhereThePrintDecides(t *testing.T) {
	by := &moistheat.Source{Document: "procedure of the facility", Basis: moistheat.Facility}
	for text, want := range map[string]moistheat.Outcome{unlogged: moistheat.NotApplicable,
		strings.Replace(unlogged, `"keepsLog":false,`, "", 1): moistheat.Undetermined} {
		b, err := cleaning.Decode(document(text))
		require.NoError(t, err)
		l := limits()
		l.PrintedA0 = by
		for _, rule := range []string{"cleaning.margin.thin", "cleaning.printed.contradicted", "cleaning.probes.few"} {
			assert.Equal(t, want, worst(cleaning.Check(b, l), rule), "%s %v", rule, b.KeepsLog)
		}
	}
}

// Nothing but the good batches as they stand: no rule is broken or open.
func TestGoodBatches(t *testing.T) {
	for _, text := range []string{washer, manual, bath} {
		b, err := cleaning.Decode(document(text))
		require.NoError(t, err)
		for _, f := range cleaning.Check(b, limits()) {
			assert.LessOrEqual(t, f.Outcome, moistheat.Met, "%s of %s", f.Rule, b.ID)
		}
	}
}

// Published pairs of ISO 15883-1 and the end of the scale: 10 K less are worth a tenth.
func TestA0(t *testing.T) {
	for _, v := range []struct {
		celsius, minutes float64
		want             string
	}{
		{80, 10, "600"}, {90, 1, "600"}, {90, 5, "3000"}, {70, 100, "600"}, {80, 1, "60"},
		{65, 60, "113.8"}, // 3600 · 10^-1.5 = 3600 · 0.0316228
		{64.9, 60, "0"},
	} {
		b := &cleaning.Batch{}
		doc := fmt.Sprintf(`{"time":{"unit":"min","values":[0,%v,%v]},"temperatures":[{"id":"1","place":"load","unit":"Cel",
"values":[%v,%v,%v]}]}`, v.minutes/2, v.minutes, v.celsius, v.celsius, v.celsius)
		require.NoError(t, json.Unmarshal([]byte(doc), &b.Trace))
		got, ok := cleaning.A0(b.Trace)
		assert.True(t, ok)
		assert.Equal(t, v.want, fmt.Sprint(got.Float64(units.One)), "%v °C for %v min", v.celsius, v.minutes)
	}
}
