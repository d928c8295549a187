package history

import (
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
)

// kept is a stored pack against which no rule has anything.
func kept() *StoredPack {
	return &StoredPack{
		Format: StoredFormat, Pack: "P1", Sterilized: day(2026, 3, 9), Wrapped: yes, Layers: 1, Place: calendar.ProtectedPlace, Category: "B",
		Expires:     day(2028, 1, 1),
		Temperature: celsius(20), Humidity: units.New(50, 0, units.Percent), AboveFloor: length("250 mm"),
		UnderSprinkler: length("18 [in_i]"),
		Barrier:        packaging.PaperFilmPouch, LaidOut: no,
		AtSink: no, OverSterilizer: no, InSun: no, Dry: yes, Intact: yes, Dropped: no,
	}
}

func TestStorage(t *testing.T) {
	issued := func(read moistheat.Answer) func(*StoredPack) {
		return func(s *StoredPack) { s.Use = &Use{Time: local("2026-03-10 09:00"), IndicatorRead: read} }
	}
	placed := func(implant, noted moistheat.Answer) func(*StoredPack) {
		return func(s *StoredPack) {
			s.Implant = implant
			s.Use = &Use{Time: local("2026-03-10 09:00"), IndicatorRead: yes, LoadNoted: noted}
		}
	}
	for _, tt := range []struct {
		policy, rule string
		on           moistheat.Date
		edit         func(*StoredPack)
		want         moistheat.Outcome
	}{
		{"us-cdc-2003", "load.storage.event", day(2026, 3, 10), nil, met},
		{"us-cdc-2003", "load.storage.event", day(2026, 3, 10), func(s *StoredPack) { s.Dry = no }, broken},
		{"us-cdc-2003", "load.storage.event", day(2026, 3, 10), func(s *StoredPack) { s.Intact = no }, broken},
		{"us-cdc-2003", "load.storage.event", day(2026, 3, 10), func(s *StoredPack) { s.Dropped = yes }, broken},
		{"us-cdc-2003", "load.storage.event", day(2026, 3, 10), func(s *StoredPack) { s.Intact = unknown },
			undetermined},
		// N02: the date on the label.
		{"us-cdc-2003", "load.storage.expired", day(2028, 1, 1), nil, met},
		{"us-cdc-2003", "load.storage.expired", day(2028, 1, 2), nil, broken},
		// N03: event-related: any age.
		{"us-cdc-2003", "load.storage.expired", day(2040, 1, 1), func(s *StoredPack) { s.Expires = moistheat.Date{} },
			notAsked},
		{"australia", "load.storage.expired", day(2040, 1, 1), func(s *StoredPack) { s.Expires = moistheat.Date{} }, notAsked},
		// N04: England, wrapped, 365 days.
		{"england", "load.storage.expired", day(2027, 3, 9), nil, met},
		{"england", "load.storage.expired", day(2027, 3, 10), nil, broken},
		{"england", "load.storage.expired", day(2026, 3, 10), func(s *StoredPack) { s.Wrapped, s.Place = no, calendar.ClinicalArea }, met},
		{"england", "load.storage.expired", day(2026, 3, 11), func(s *StoredPack) { s.Wrapped, s.Place = no, calendar.ClinicalArea }, broken},
		{"england", "load.storage.expired", day(2026, 3, 16), func(s *StoredPack) { s.Wrapped = no }, met},
		{"england", "load.storage.expired", day(2026, 3, 17), func(s *StoredPack) { s.Wrapped = no }, broken},
		{"england", "load.storage.expired", day(2026, 3, 17), func(s *StoredPack) { s.Wrapped = unknown }, undetermined},
		{"england", "load.storage.expired", day(2026, 3, 17), func(s *StoredPack) { s.Sterilized = moistheat.Date{} }, undetermined},
		// Wales: wrapped, 1 year; from a cycle without vacuum, 1 month.
		{"wales", "load.storage.expired", day(2027, 3, 9), func(s *StoredPack) { s.Vacuum = yes }, met},
		{"wales", "load.storage.expired", day(2027, 3, 10), func(s *StoredPack) { s.Vacuum = yes }, broken},
		{"wales", "load.storage.expired", day(2026, 4, 9), func(s *StoredPack) { s.Vacuum = no }, met},
		{"wales", "load.storage.expired", day(2026, 4, 10), func(s *StoredPack) { s.Vacuum = no }, broken},
		{"wales", "load.storage.expired", day(2026, 4, 9), nil, met},
		{"wales", "load.storage.expired", day(2026, 4, 10), nil, undetermined}, // nobody wrote down how
		// N05: Germany, 48 h unprotected, 6 months protected, 5 years double.
		{"germany", "load.storage.guide", day(2026, 3, 11), func(s *StoredPack) { s.Place = calendar.UnprotectedPlace }, met},
		{"germany", "load.storage.guide", day(2026, 3, 12), func(s *StoredPack) { s.Place = calendar.UnprotectedPlace }, broken},
		{"germany", "load.storage.guide", day(2026, 3, 12), func(s *StoredPack) { s.Place = "" }, undetermined},
		{"germany", "load.storage.guide", day(2026, 9, 9), nil, met},
		{"germany", "load.storage.guide", day(2026, 9, 10), nil, broken},
		{"germany", "load.storage.guide", day(2026, 9, 10), func(s *StoredPack) { s.Layers = 0 }, undetermined},
		{"germany", "load.storage.guide", day(2031, 3, 9), func(s *StoredPack) { s.Layers, s.Expires = 2, moistheat.Date{} }, met},
		{"germany", "load.storage.guide", day(2031, 3, 10), func(s *StoredPack) { s.Layers, s.Expires = 2, moistheat.Date{} }, broken},
		// N06: Austria, category D, 6 months.
		{"austria", "load.storage.expired", day(2026, 9, 10), func(s *StoredPack) { s.Category = "D" }, broken},
		{"austria", "load.storage.expired", day(2026, 9, 9), func(s *StoredPack) { s.Category = "D" }, met},
		{"austria", "load.storage.expired", day(2026, 9, 10), nil, met},
		// N07: Queensland, outside 18-22 °C and 35-68 %, older than 3 months.
		{"queensland", "load.storage.climate", day(2026, 3, 10), func(s *StoredPack) { s.Temperature = celsius(18) }, met},
		{"queensland", "load.storage.climate", day(2026, 3, 10), func(s *StoredPack) { s.Temperature = celsius(22) }, met},
		{"queensland", "load.storage.climate", day(2026, 3, 10), func(s *StoredPack) { s.Temperature = units.New(179, -1, units.Celsius) }, broken},
		{"queensland", "load.storage.climate", day(2026, 3, 10), func(s *StoredPack) { s.Temperature = units.New(221, -1, units.Celsius) }, broken},
		{"queensland", "load.storage.climate", day(2026, 3, 10), func(s *StoredPack) { s.Humidity = units.New(34, 0, units.Percent) }, broken},
		{"queensland", "load.storage.climate", day(2026, 3, 10), func(s *StoredPack) { s.Humidity = units.New(69, 0, units.Percent) }, broken},
		{"queensland", "load.storage.climate", day(2026, 3, 10), func(s *StoredPack) { s.Humidity = units.Ratio{} }, undetermined},
		{"queensland", "load.storage.expired", day(2026, 6, 9), func(s *StoredPack) { s.Temperature = celsius(30) }, met},
		{"queensland", "load.storage.expired", day(2026, 6, 10), func(s *StoredPack) { s.Temperature = celsius(30) }, broken},
		{"queensland", "load.storage.expired", day(2026, 6, 10), nil, met},
		// N08: US, 24 °C and 60 %.
		{"us-cdc-2003", "load.storage.climate", day(2026, 3, 10), func(s *StoredPack) { s.Temperature = celsius(24) },
			met},
		{"us-cdc-2003", "load.storage.climate", day(2026, 3, 10), func(s *StoredPack) { s.Temperature = units.New(241, -1, units.Celsius) }, broken},
		{"us-cdc-2003", "load.storage.climate", day(2026, 3, 10), func(s *StoredPack) { s.Humidity = units.New(61, 0, units.Percent) }, broken},
		{"germany", "load.storage.climate", day(2026, 3, 10), nil, notAsked},
		// N09.
		{"us-cdc-2003", "load.storage.place", day(2026, 3, 10), nil, met},
		{"us-cdc-2003", "load.storage.place", day(2026, 3, 10), func(s *StoredPack) { s.AtSink = yes }, broken},
		{"us-cdc-2003", "load.storage.place", day(2026, 3, 10), func(s *StoredPack) { s.OverSterilizer = yes }, broken},
		{"us-cdc-2003", "load.storage.place", day(2026, 3, 10), func(s *StoredPack) { s.InSun = yes }, broken},
		{"us-cdc-2003", "load.storage.place", day(2026, 3, 10), func(s *StoredPack) { s.InSun = unknown },
			undetermined},
		// N09: no open shelf in Australia.
		{"australia", "load.storage.open", day(2026, 3, 10), nil, met},
		{"australia", "load.storage.open", day(2026, 3, 10), func(s *StoredPack) { s.Place = calendar.UnprotectedPlace }, broken},
		{"queensland", "load.storage.open", day(2026, 3, 10), func(s *StoredPack) { s.Place = calendar.ClinicalArea }, broken},
		{"australia", "load.storage.open", day(2026, 3, 10), func(s *StoredPack) { s.Place = "" }, undetermined},
		{"en-13060", "load.storage.open", day(2026, 3, 10), func(s *StoredPack) { s.Place = calendar.UnprotectedPlace }, notInForce},
		// N13: pouches are looked at every three months (RACGP).
		{"australia", "load.storage.unchecked", day(2026, 6, 9), nil, met},
		{"australia", "load.storage.unchecked", day(2026, 6, 10), nil, broken},
		{"australia", "load.storage.unchecked", day(2026, 9, 1), func(s *StoredPack) { s.Checked = day(2026, 6, 1) }, met},
		{"australia", "load.storage.unchecked", day(2026, 9, 2), func(s *StoredPack) { s.Checked = day(2026, 6, 1) }, broken},
		{"australia", "load.storage.unchecked", day(2026, 6, 10), func(s *StoredPack) { s.Barrier = "" }, undetermined},
		{"australia", "load.storage.unchecked", day(2026, 6, 9), func(s *StoredPack) { s.Barrier = "" }, met},
		{"australia", "load.storage.unchecked", day(2026, 6, 9), func(s *StoredPack) { s.Sterilized = moistheat.Date{} }, undetermined},
		{"australia", "load.storage.unchecked", day(2026, 6, 10), func(s *StoredPack) { s.Barrier = packaging.RigidContainer }, notAsked},
		{"australia", "load.storage.unchecked", day(2026, 6, 10), issued(yes), notAsked},
		{"england", "load.storage.unchecked", day(2026, 6, 10), nil, notInForce},
		// N17: opened for a patient and not used (HTM 01-05, as summarised).
		{"england", "load.storage.laidout", day(2026, 3, 10), nil, met},
		{"england", "load.storage.laidout", day(2026, 3, 10), func(s *StoredPack) { s.LaidOut = yes }, broken},
		{"england", "load.storage.laidout", day(2026, 3, 10), func(s *StoredPack) { s.LaidOut = unknown }, undetermined},
		// M04 and M05: packs that travelled.
		{"us-cdc-2003", "load.transit.unproven", day(2026, 3, 10), nil, notAsked},
		{"us-cdc-2003", "load.transit.unproven", day(2026, 3, 10), func(s *StoredPack) {
			s.Carried, s.Proof = yes,
				yes
		}, met},
		{"us-cdc-2003", "load.transit.unproven", day(2026, 3, 10), func(s *StoredPack) {
			s.Carried, s.Proof = yes,
				no
		}, broken},
		{"us-cdc-2003", "load.transit.unproven", day(2026, 3, 10), func(s *StoredPack) { s.Carried = yes },
			undetermined},
		{"australia", "load.transit.mixed", day(2026, 3, 10), nil, notAsked},
		{"australia", "load.transit.mixed", day(2026, 3, 10), func(s *StoredPack) { s.Carried, s.WithUnsterile = yes, no }, met},
		{"australia", "load.transit.mixed", day(2026, 3, 10), func(s *StoredPack) { s.Carried, s.WithUnsterile = yes, yes }, broken},
		{"australia", "load.transit.mixed", day(2026, 3, 10), func(s *StoredPack) { s.WithUnsterile = yes }, broken}, // that it travelled goes without saying
		{"australia", "load.transit.mixed", day(2026, 3, 10), func(s *StoredPack) { s.Carried = yes }, undetermined},
		// N10: 250 mm above the floor.
		{"australia", "load.storage.floor", day(2026, 3, 10), nil, met},
		{"australia", "load.storage.floor", day(2026, 3, 10), func(s *StoredPack) { s.AboveFloor = length("249 mm") }, broken},
		{"australia", "load.storage.floor", day(2026, 3, 10), func(s *StoredPack) { s.AboveFloor = units.Length{} }, undetermined},
		// N11: 18 in under a sprinkler.
		{"us-cdc-2003", "load.storage.sprinkler", day(2026, 3, 10), nil, met},
		{"us-cdc-2003", "load.storage.sprinkler", day(2026, 3, 10), func(s *StoredPack) { s.UnderSprinkler = length("457 mm") }, broken}, // 18 in is 457.2 mm
		{"us-cdc-2003", "load.storage.sprinkler", day(2026, 3, 10), func(s *StoredPack) { s.UnderSprinkler = units.Length{} }, notAsked},
		// N14: California clinics ask for a last day of use on every item.
		{"us-ca-clinics", "load.storage.unlabelled", day(2026, 3, 10), nil, met},
		{"us-ca-clinics", "load.storage.unlabelled", day(2026, 3, 10), func(s *StoredPack) { s.Expires = moistheat.Date{} }, broken},
		{"us-ca", "load.storage.unlabelled", day(2026, 3, 10), func(s *StoredPack) { s.Expires = moistheat.Date{} }, notInForce},
		// N15: the indicator inside is read before use.
		{"us-cdc-2003", "load.storage.unread", day(2026, 3, 10), nil, notAsked},
		{"us-cdc-2003", "load.storage.unread", day(2026, 3, 10), issued(yes), met},
		{"us-cdc-2003", "load.storage.unread", day(2026, 3, 10), issued(no), broken},
		{"us-cdc-2003", "load.storage.unread", day(2026, 3, 10), issued(unknown), undetermined},
		// H14: Alberta asks for the load of an implant in the patient's record.
		{"alberta", "load.implant.untraced", day(2026, 3, 10), nil, notAsked},
		{"alberta", "load.implant.untraced", day(2026, 3, 10), func(s *StoredPack) { s.Implant = yes }, notAsked}, // still in store
		{"alberta", "load.implant.untraced", day(2026, 3, 10), placed(no, unknown), notAsked},
		{"alberta", "load.implant.untraced", day(2026, 3, 10), placed(no, no), notAsked},
		{"alberta", "load.implant.untraced", day(2026, 3, 10), placed(yes, yes), met},
		{"alberta", "load.implant.untraced", day(2026, 3, 10), placed(unknown, yes), met},
		{"alberta", "load.implant.untraced", day(2026, 3, 10), placed(yes, no), broken},
		{"alberta", "load.implant.untraced", day(2026, 3, 10), placed(yes, unknown), undetermined},
		{"alberta", "load.implant.untraced", day(2026, 3, 10), placed(unknown, no), undetermined},
		{"alberta", "load.implant.untraced", day(2026, 3, 10), placed(unknown, unknown), undetermined},
		{"ontario", "load.implant.untraced", day(2026, 3, 10), placed(yes, no), notInForce},
		{"en-13060", "load.implant.untraced", day(2026, 3, 10), placed(yes, no), notInForce},
		// A pack that was used is judged on that day.
		{"us-cdc-2003", "load.storage.expired", day(2030, 1, 1), issued(yes), met},
	} {
		s := kept()
		if tt.edit != nil {
			tt.edit(s)
		}
		got := moistheat.Outcome(0)
		for _, f := range CheckStored(s, policy(t, tt.policy), tt.on) {
			if f.Rule == tt.rule {
				got = max(got, f.Outcome)
			}
			if f.Outcome > met {
				rule, _ := policy(t, tt.policy).Rule(f.Rule)
				assert.NotContains(t, rule.Message(f), "{", f.Rule)
			}
		}
		assert.Equal(t, tt.want, got, "%s %s on %s", tt.policy, tt.rule, tt.on)
	}
}

// A finding about an implant leads to what is in the record, and says what is missing.
func TestImplantTraced(t *testing.T) {
	p := policy(t, "alberta")
	for _, tt := range []struct {
		implant, noted moistheat.Answer
		pointer, says  string
	}{
		{yes, no, "/use/loadNoted", "The pack held an implant and its load is not in the patient's record."},
		{yes, unknown, "/use", "Not recorded: whether the load is in the patient's record."},
		{unknown, no, "/use/loadNoted", "Not recorded: whether the pack held an implant."},
		{unknown, unknown, "/use", "Not recorded: whether the pack held an implant."},
	} {
		s := kept()
		s.Implant, s.Use = tt.implant, &Use{Time: local("2026-03-10 09:00"), IndicatorRead: yes, LoadNoted: tt.noted}
		for _, f := range CheckStored(s, p, day(2026, 3, 10)) {
			if f.Rule == "load.implant.untraced" {
				rule, _ := p.Rule(f.Rule)
				assert.Equal(t, tt.pointer, f.Pointer, tt.says)
				assert.Equal(t, tt.says, rule.Message(f))
			}
		}
	}
}

// A finding about the climate names the limit that counts: the lower one below it,
// else the upper one, where there is one.
func TestClimateNamesTheLimit(t *testing.T) {
	onlyLow := `{"format":"moistheat.policy/1","name":"own","title":"a clinic","base":"en-13060",
		"climate":{"low":{"value":18,"unit":"Cel"},"source":{"document":"the clinic's own","basis":"facility"}}}`
	own, err := load.ParsePolicy([]byte(onlyLow))
	assert.NoError(t, err)
	onlyDry, err := load.ParsePolicy([]byte(strings.Replace(onlyLow, `"low":{"value":18,"unit":"Cel"}`, `"dry":{"value":35,"unit":"%"}`, 1)))
	assert.NoError(t, err)
	queensland, err := load.PolicyFor("queensland")
	assert.NoError(t, err)
	percent := func(n int64) units.Value { return units.New(n, 0, units.Percent).Value() }
	for _, tt := range []struct {
		name  string
		p     *load.Policy
		edit  func(*StoredPack)
		at    string
		limit units.Value
		want  moistheat.Outcome
	}{
		{"too cold", queensland, func(s *StoredPack) { s.Temperature = celsius(17) }, "/temperature", celsius(18).Value(), broken},
		{"too warm", queensland, func(s *StoredPack) { s.Temperature = celsius(23) }, "/temperature", celsius(22).Value(), broken},
		{"within", queensland, func(s *StoredPack) {}, "/temperature", celsius(22).Value(), met},
		{"not recorded", queensland, func(s *StoredPack) { s.Temperature = units.Temperature{} }, "", celsius(22).Value(), undetermined},
		{"too dry", queensland, func(s *StoredPack) { s.Humidity = units.New(34, 0, units.Percent) }, "/humidity", units.New(35, 0, units.Percent).Value(), broken},
		{"too damp", queensland, func(s *StoredPack) { s.Humidity = units.New(69, 0, units.Percent) }, "/humidity", units.New(68, 0, units.Percent).Value(), broken},
		{"no upper limit", own, func(s *StoredPack) {}, "/temperature", celsius(18).Value(), met},
		{"humidity not recorded", queensland, func(s *StoredPack) { s.Humidity = units.Ratio{} }, "", percent(68), undetermined},
		{"no limit of damp", onlyDry, func(s *StoredPack) { s.Humidity = units.New(99, 0, units.Percent) }, "/humidity", percent(35), met},
	} {
		s := kept()
		tt.edit(s)
		found := false
		for _, f := range CheckStored(s, tt.p, day(2026, 3, 10)) {
			if f.Rule == "load.storage.climate" && f.Pointer == tt.at && (tt.at != "" || f.Outcome == undetermined) {
				found = true
				assert.Equal(t, tt.want, f.Outcome, tt.name)
				assert.Equal(t, tt.limit, f.Limit, tt.name)
			}
		}
		assert.True(t, found, tt.name)
	}
}

// A pack that is judged by its label or a line has no finding that says otherwise,
// and one without a day is told what is missing.
func TestShelfLifeFindings(t *testing.T) {
	england, err := load.PolicyFor("england")
	assert.NoError(t, err)
	of := func(s *StoredPack) (outcomes []moistheat.Outcome, missing []string) {
		for _, f := range CheckStored(s, england, day(2026, 3, 20)) {
			if f.Rule == "load.storage.expired" {
				outcomes = append(outcomes, f.Outcome)
				missing = append(missing, f.Param("missing"))
			}
		}
		return outcomes, missing
	}
	outcomes, _ := of(kept())
	assert.Equal(t, []moistheat.Outcome{met, met}, outcomes, "by its label and by the line of the policy")
	s := kept()
	s.Sterilized, s.Wrapped = moistheat.Date{}, unknown
	_, missing := of(s)
	assert.Equal(t, []string{"", "the date of sterilization", "the date of sterilization"}, missing)
	s.Sterilized = day(2025, 1, 1)
	_, missing = of(s)
	assert.Equal(t, []string{"", "whether it is wrapped", "whether it is wrapped"}, missing)
}
