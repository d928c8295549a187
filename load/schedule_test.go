package load

import (
	"fmt"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load/calendar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Retention, by document. Dates are the last day on which the record must be there.
func TestKeepUntil(t *testing.T) {
	for _, tt := range []struct {
		policy        string
		kind          calendar.RecordKind
		made, retired moistheat.Date
		want          moistheat.Date
		found         bool
	}{
		// Oregon: the current and two preceding calendar years (OAR 818-012-0040).
		{"us-or", calendar.BiologicalRecords, day(2026, 1, 1), moistheat.Date{}, day(2028, 12, 31), true},
		{"us-or", calendar.BiologicalRecords, day(2026, 12, 31), moistheat.Date{}, day(2028, 12, 31), true},
		{"us-or", calendar.BiologicalRecords, day(2027, 1, 1), moistheat.Date{}, day(2029, 12, 31), true},
		{"us-or", calendar.CycleRecords, day(2026, 1, 1), moistheat.Date{}, moistheat.Date{}, false},
		{"us-ca", calendar.BiologicalRecords, day(2026, 3, 9), moistheat.Date{}, day(2027, 3, 9), true},   // 12 months
		{"us-oh", calendar.BiologicalRecords, day(2026, 3, 9), moistheat.Date{}, day(2028, 3, 9), true},   // 2 years
		{"us-wa", calendar.BiologicalRecords, day(2026, 3, 9), moistheat.Date{}, day(2031, 3, 9), true},   // 5 years
		{"us-fl", calendar.BiologicalRecords, day(2026, 3, 9), moistheat.Date{}, moistheat.Date{}, false}, // none stated
		{"us-ar", calendar.BiologicalRecords, day(2026, 3, 9), moistheat.Date{}, day(2029, 3, 9), true},   // 3 years
		{"us-cdc-2003", calendar.BiologicalRecords, day(2026, 3, 9), moistheat.Date{}, moistheat.Date{}, false},
		{"england", calendar.CycleRecords, day(2026, 3, 9), moistheat.Date{}, day(2028, 3, 9), true},   // 2 years
		{"australia", calendar.CycleRecords, day(2026, 3, 9), moistheat.Date{}, day(2033, 3, 9), true}, // 7 years
		{"austria", calendar.CycleRecords, day(2026, 3, 9), moistheat.Date{}, day(2033, 3, 9), true},   // 7 years
		{"germany", calendar.CycleRecords, day(2026, 3, 9), moistheat.Date{}, day(2031, 3, 9), true},   // 5 years
		{"ontario", calendar.CycleRecords, day(2026, 3, 9), moistheat.Date{}, day(2036, 3, 9), true},   // 10 years
		// Scotland: the life of the equipment and 25 years.
		{"scotland", calendar.EquipmentRecords, day(2026, 3, 9), moistheat.Date{}, moistheat.Date{}, true},
		{"scotland", calendar.EquipmentRecords, day(2026, 3, 9), day(2030, 6, 1), day(2055, 6, 1), true},
	} {
		last, by, found := policy(t, tt.policy).KeepUntil(tt.kind, tt.made, tt.retired)
		assert.Equal(t, tt.found, found, "%s %s", tt.policy, tt.kind)
		assert.Equal(t, tt.want, last, "%s %s", tt.policy, tt.kind)
		assert.Equal(t, found, by.Source.Document != "", "%s: no source", tt.policy)
	}
	// A facility keeps longer without a word: the longer line counts.
	p, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-ca",
		"retention":[{"records":"biological tests","keep":"P3Y","source":{"document":"instruction 4","basis":"facility"}}]}`))
	require.NoError(t, err)
	last, _, _ := p.KeepUntil(calendar.BiologicalRecords, day(2026, 3, 9), moistheat.Date{})
	assert.Equal(t, day(2029, 3, 9), last)
	// A shorter line does not loosen it without a decision.
	p, err = ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-ca",
		"retention":[{"records":"biological tests","keep":"P3M","source":{"document":"instruction 4","basis":"facility"}}]}`))
	require.NoError(t, err)
	last, _, _ = p.KeepUntil(calendar.BiologicalRecords, day(2026, 3, 9), moistheat.Date{})
	assert.Equal(t, day(2027, 3, 9), last)
}

// Of several lines about a record the one that keeps it longest counts, in whatever
// order they stand; "as long as the sterilizer" is longer than any.
func TestKeepUntilLongest(t *testing.T) {
	const source = `"source":{"document":"instruction 4","basis":"facility"}}`
	short, long := `{"records":"biological tests","keep":"P1Y",`+source, `{"records":"biological tests","keep":"P3Y",`+source
	all, other := `{"records":"all","keep":"P2Y",`+source, `{"records":"cycles","keep":"P9Y",`+source
	standing := `{"records":"biological tests","afterEquipment":"P1Y",` + source
	for _, tt := range []struct {
		name    string
		lines   []string
		retired moistheat.Date
		want    moistheat.Date
		by      string
	}{
		{"one", []string{short}, moistheat.Date{}, day(2027, 3, 9), "P1Y"},
		{"the longer first", []string{long, short}, moistheat.Date{}, day(2029, 3, 9), "P3Y"},
		{"the longer last", []string{short, long}, moistheat.Date{}, day(2029, 3, 9), "P3Y"},
		{"that of all records", []string{all, short}, moistheat.Date{}, day(2028, 3, 9), "P2Y"},
		{"that of others is none", []string{short, other}, moistheat.Date{}, day(2027, 3, 9), "P1Y"},
		{"as long as the sterilizer, first", []string{standing, long}, moistheat.Date{}, moistheat.Date{}, ""},
		{"as long as the sterilizer, last", []string{long, standing}, moistheat.Date{}, moistheat.Date{}, ""},
		{"a year after the sterilizer", []string{standing, short}, day(2026, 6, 1), day(2027, 6, 1), ""},
		{"a year after the sterilizer is less", []string{standing, long}, day(2026, 6, 1), day(2029, 3, 9), "P3Y"},
	} {
		p, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-cdc-2003","retention":[` + strings.Join(tt.lines, ",") + `]}`))
		require.NoError(t, err)
		last, by, found := p.KeepUntil(calendar.BiologicalRecords, day(2026, 3, 9), tt.retired)
		assert.True(t, found, tt.name)
		assert.Equal(t, tt.want, last, tt.name)
		if tt.by == "" {
			assert.Equal(t, "P1Y", by.AfterEquipment.String(), tt.name)
		} else {
			assert.Equal(t, tt.by, by.Keep.String(), tt.name)
		}
	}
	// Of two lines of one length the first is named.
	first := strings.Replace(short, "instruction 4", "instruction 3", 1)
	p, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-cdc-2003","retention":[` + first + `,` + short + `]}`))
	require.NoError(t, err)
	_, by, _ := p.KeepUntil(calendar.BiologicalRecords, day(2026, 3, 9), moistheat.Date{})
	assert.Equal(t, "instruction 3", by.Source.Document)
	// With a decision a line takes the place of the base's about the same records only.
	p, err = ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-ca","retention":[` + other + `],
		"decision":{"by":"hygiene officer","date":"2026-01-12","reason":"own instruction"}}`))
	require.NoError(t, err)
	last, _, found := p.KeepUntil(calendar.BiologicalRecords, day(2026, 3, 9), moistheat.Date{})
	assert.True(t, found)
	assert.Equal(t, day(2027, 3, 9), last, "California: 12 months")
}

// A facility may ask for more without a word and for less only with a decision.
func TestFacilityCalendar(t *testing.T) {
	own := func(body string) error {
		_, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-cdc-2008",` + body + `}`))
		return err
	}
	source := `"source":{"document":"instruction 4","basis":"facility"}`
	decision := `,"decision":{"by":"hygiene officer","date":"2026-01-12","reason":"tested by the hospital next door"}`
	positive := func(repeats, out, recall, after int, chamber string) string {
		return fmt.Sprintf(`"positive":{"repeats":%d,"outOfServiceAfter":%d,"recallAfter":%d,"afterRepair":%d,"airRemovalTests":3,"perCycleKind":true,"chamber":%q,"sources":[]}`, repeats, out, recall, after, chamber)
	}
	climate := func(high int) string {
		return fmt.Sprintf(`"climate":{"high":{"value":%d,"unit":"Cel"},"damp":{"value":60,"unit":"%%"},%s}`, high, source)
	}
	assert.NoError(t, own(positive(3, 1, 2, 3, "empty")))
	assert.NoError(t, own(positive(4, 1, 1, 5, "empty")))
	fewer := strings.Replace(positive(3, 1, 2, 3, "empty"), `"perCycleKind":true,`, "", 1)
	for _, softer := range []string{fewer, positive(2, 1, 2, 3, "empty"), positive(3, 2, 2, 3, "empty"), positive(3, 1, 2, 3, "full"), climate(25)} {
		assert.ErrorContains(t, own(softer), "record who decided", softer)
		assert.NoError(t, own(softer+decision), softer)
	}
	assert.NoError(t, own(climate(24)))
	assert.NoError(t, own(climate(20)))
	for text, narrower := range map[string]bool{
		`"low":{"value":10,"unit":"Cel"},"high":{"value":24,"unit":"Cel"},"damp":{"value":60,"unit":"%"}`: true, // a limit more
		`"high":{"value":24,"unit":"Cel"},"damp":{"value":60,"unit":"%"},"keep":"P3M"`:                    true,
		`"high":{"value":24,"unit":"Cel"},"damp":{"value":61,"unit":"%"}`:                                 false,
		`"high":{"value":24,"unit":"Cel"}`:                                                                false, // a limit less
		`"damp":{"value":60,"unit":"%"}`:                                                                  false,
	} {
		err := own(`"climate":{` + text + `,` + source + `}`)
		assert.Equal(t, narrower, err == nil, "%s: %v", text, err)
	}
	// Queensland: 18 to 22 °C, 35 to 68 %, and three months outside them.
	for text, narrower := range map[string]bool{
		`"low":{"value":18,"unit":"Cel"},"high":{"value":22,"unit":"Cel"},"dry":{"value":35,"unit":"%"},"damp":{"value":68,"unit":"%"},"keep":"P3M"`:  true,
		`"low":{"value":19,"unit":"Cel"},"high":{"value":21,"unit":"Cel"},"dry":{"value":36,"unit":"%"},"damp":{"value":67,"unit":"%"},"keep":"P83D"`: true,
		`"low":{"value":17,"unit":"Cel"},"high":{"value":22,"unit":"Cel"},"dry":{"value":35,"unit":"%"},"damp":{"value":68,"unit":"%"},"keep":"P3M"`:  false,
		`"high":{"value":22,"unit":"Cel"},"dry":{"value":35,"unit":"%"},"damp":{"value":68,"unit":"%"},"keep":"P3M"`:                                  false,
		`"low":{"value":18,"unit":"Cel"},"high":{"value":22,"unit":"Cel"},"dry":{"value":34,"unit":"%"},"damp":{"value":68,"unit":"%"},"keep":"P3M"`:  false,
		`"low":{"value":18,"unit":"Cel"},"high":{"value":22,"unit":"Cel"},"dry":{"value":35,"unit":"%"},"damp":{"value":68,"unit":"%"},"keep":"P4M"`:  false,
		`"low":{"value":18,"unit":"Cel"},"high":{"value":22,"unit":"Cel"},"dry":{"value":35,"unit":"%"},"damp":{"value":68,"unit":"%"}`:               false,
	} {
		_, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"queensland","climate":{` + text + `,` + source + `}}`))
		assert.Equal(t, narrower, err == nil, "%s: %v", text, err)
	}
	// Where the base leaves the procedure open, a facility's own is none that asks less.
	_, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"england",` + positive(1, 2, 2, 1, "full") + `}`))
	assert.NoError(t, err)
	for _, most := range []string{
		positive(3, 1, 2, 20, "empty"),
		`"positive":{"repeats":3,"outOfServiceAfter":1,"recallAfter":2,"afterRepair":3,"airRemovalTests":20,"perCycleKind":true,"chamber":"empty","sources":[]}`,
		`"retention":[{"records":"all","calendarYears":200,` + source + `}]`,
	} {
		assert.NoError(t, own(most), most)
	}
	for _, bad := range []string{
		positive(3, 3, 2, 3, "empty"), positive(3, 1, 0, 3, "empty"), positive(0, 1, 2, 3, "empty"), positive(3, 1, 2, 2, "empty"), positive(3, 1, 2, 21, "empty"),
		`"schedule":[{"test":"repaired","cadence":"interval","every":"P1D",` + source + `}]`,
		`"returns":[{"after":"installed","tests":1,` + source + `}]`,
		`"returns":[{"after":"failed test","tests":21,` + source + `}]`,
		`"returns":[{"after":"failed test","tests":-1,` + source + `}]`,
		`"returns":[{"after":"taken out","requalified":true,` + source + `}]`,
		`"returns":[{"after":"a gasket","requalified":true,` + source + `}]`,
		`"schedule":[{"test":"leak","cadence":"interval",` + source + `}]`,
		`"schedule":[{"test":"leak","cadence":"day of use","every":"P1D",` + source + `}]`,
		`"schedule":[{"test":"leak","cadence":"hours of use","every":"P1D",` + source + `}]`,
		`"schedule":[{"test":"leak","cadence":"calendar week",` + source + `}]`,
		`"schedule":[{"test":"leak","cadence":"day of use","week":{"begins":"monday",` + source + `},` + source + `}]`,
		`"schedule":[{"test":"leak","cadence":"calendar week","week":{"begins":"tuesday",` + source + `},` + source + `}]`,
		`"positive":{"repeats":3,"outOfServiceAfter":1,"recallAfter":2,"afterRepair":3,"airRemovalTests":-1,"sources":[]}`,
		`"positive":{"repeats":3,"outOfServiceAfter":1,"recallAfter":2,"afterRepair":3,"airRemovalTests":21,"sources":[]}`,
		`"schedule":[{"test":"leak","cadence":"hours of use","every":"P1D","hoursOfUse":{"value":0,"unit":"h"},` + source + `}]`,
		`"retention":[{"records":"all",` + source + `}]`,
		`"retention":[{"records":"all","keep":"P1Y","calendarYears":1,` + source + `}]`,
		`"retention":[{"records":"all","calendarYears":201,` + source + `}]`,
	} {
		assert.Error(t, own(bad), bad)
		assert.Error(t, own(bad+decision), "%s, whoever decided it", bad)
	}
	// Air removal tests after a repair: ST79 asks for three.
	_, err = ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-st79",` +
		`"positive":{"repeats":3,"outOfServiceAfter":1,"recallAfter":2,"afterRepair":3,"airRemovalTests":2,"chamber":"full","sources":[]}}`))
	assert.ErrorContains(t, err, "record who decided")
	// Lines come on top of the base's, or with a decision in their place.
	daily := `"schedule":[{"test":"biological","cadence":"day of use",` + source + `}]`
	for _, tt := range []struct {
		extra string
		want  int
	}{{"", 2}, {decision, 1}} {
		p, err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"own","title":"ours","base":"us-cdc-2008",` + daily + tt.extra + `}`))
		require.NoError(t, err)
		assert.Len(t, p.Schedule(), tt.want)
	}
}
