package load

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// finding returns the one finding of a rule that begins with a pointer.
func finding(t *testing.T, r *Report, rule, pointer string) moistheat.Finding {
	t.Helper()
	var found []moistheat.Finding
	for _, f := range r.Findings {
		if f.Rule == rule && f.Pointer == pointer {
			found = append(found, f)
		}
	}
	require.Len(t, found, 1, "%s at %s", rule, pointer)
	return found[0]
}

// What a finding names follows from the sentence that the rule says or asks with it.
func TestBoundsParams(t *testing.T) {
	for _, tt := range []struct {
		name, rule, pointer string
		outcome             moistheat.Outcome
		param, want         string
		edit                func(*Record)
	}{
		{"the cycle has no number to find its load by", "load.physical.mismatch", "/cycle", undetermined, "what", "load",
			func(r *Record) { r.Cycle.Number = "" }},
		{"the number fits and the sterilizer is open", "load.physical.mismatch", "/cycle", undetermined, "what", "sterilizer",
			func(r *Record) { r.Cycle.Sterilizer = "" }},
		{"who was not authorised", "load.releaser.unauthorised", "/release", broken, "by", "CD",
			func(r *Record) { r.Release.Authorised = no }},
		{"somebody was not authorised", "load.releaser.unauthorised", "/release", broken, "by", "The person who releases",
			func(r *Record) { r.Release.By, r.Release.Authorised = "", no }},

		// HL7 version 2, table 0702: these codes are no cycles for a load, whatever the
		// record says that the cycle was for; where it says so itself, it is what is wrong.
		{"a test by its code, not by the record", "load.purpose.unsuited", "/cycle/code", broken, "purpose",
			string(ForAirRemovalTest),
			func(r *Record) { r.Cycle.Code = CodeBWD }},
		{"a test by its code, bare by the record", "load.purpose.unsuited", "/cycle/code", broken, "purpose",
			string(ForAirRemovalTest),
			func(r *Record) { r.Cycle.Code, r.Cycle.Purpose = CodeBWD, ForUnwrappedLoad }},
		{"a test by both", "load.purpose.unsuited", "/cycle/purpose", broken, "purpose", string(ForLeakTest),
			func(r *Record) { r.Cycle.Code, r.Cycle.Purpose = CodeBWD, ForLeakTest }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := good()
			tt.edit(r)
			f := finding(t, Explain(r, policy(t, "us-cdc-2003")), tt.rule, tt.pointer)
			assert.Equal(t, tt.outcome, f.Outcome)
			assert.Equal(t, tt.want, f.Param(tt.param))
		})
	}
}

// HL7 version 2, table 0702: FLS is for a load without a pack, EXP for packed ones. One
// pack whose barrier is not recorded leaves open whether there are packed items, and
// leaves nothing open beside one that is packed.
func TestBoundsCode(t *testing.T) {
	const pouch, bare, open = packaging.PaperFilmPouch, packaging.Unwrapped, packaging.Barrier("")
	const code, packs = "/cycle/code", "/packs"
	for _, tt := range []struct {
		code          CycleCode
		first, second packaging.Barrier
		pointer       string
		want          moistheat.Outcome
	}{
		{CodeEXP, pouch, pouch, code, met},
		{CodeEXP, pouch, open, code, met},
		{CodeEXP, bare, open, packs, undetermined},
		{CodeEXP, bare, bare, code, broken},
		{CodeFLS, pouch, pouch, code, broken},
		{CodeFLS, pouch, open, code, broken},
		{CodeFLS, bare, open, packs, undetermined},
		{CodeFLS, bare, bare, code, met},
		{CodePRV, pouch, open, code, met},
		{CodePRV, bare, open, code, met},
	} {
		r := good()
		r.Cycle.Code = tt.code
		r.Packs[0].Barrier, r.Packs[1].Barrier = tt.first, tt.second
		f := finding(t, Explain(r, policy(t, "us-cdc-2003")), "load.code.mismatch", tt.pointer)
		assert.Equal(t, tt.want, f.Outcome, "%s, %s and %s", tt.code, tt.first, tt.second)
	}
}

// Only cloth that steam must get through makes a textile pack: a textile in it, or a
// textile wrap around something porous.
func TestBoundsClasses(t *testing.T) {
	for _, tt := range []struct {
		name    string
		barrier packaging.Barrier
		trait   packaging.Trait
		want    cycle.LoadClass
	}{
		{"a textile in a pouch", packaging.PaperFilmPouch, packaging.Textile, cycle.TextilePacks},
		{"a textile in a textile wrap", packaging.TextileWrap, packaging.Textile, cycle.TextilePacks},
		{"something porous in a textile wrap", packaging.TextileWrap, packaging.Porous, cycle.TextilePacks},
		{"something porous in a pouch", packaging.PaperFilmPouch, packaging.Porous, cycle.WrappedInstruments},
		{"metal in a textile wrap", packaging.TextileWrap, packaging.Hinged, cycle.WrappedInstruments},
		{"metal in a pouch", packaging.PaperFilmPouch, packaging.Hinged, cycle.WrappedInstruments},
	} {
		r := good()
		r.Packs = r.Packs[:1]
		r.Packs[0].Barrier, r.Packs[0].Items[0].Traits = tt.barrier, []packaging.Trait{tt.trait}
		assert.Equal(t, []cycle.LoadClass{tt.want}, (&checker{r: r}).classes(), tt.name)
	}
}

// A load of two classes needs the longer of their holds, whichever class comes first,
// and of two equally long ones cites the one asked first.
func TestBoundsRequirement(t *testing.T) {
	for _, tt := range []struct {
		instruments, textiles, hold, row string
	}{
		{"4", "6", "6 min", "textiles"},
		{"6", "4", "6 min", "instruments"},
		{"5", "5", "5 min", "instruments"},
	} {
		row := func(id, class, minutes string) string {
			return `{"id":"` + id + `","classes":["` + class + `"],"temperatures":[{"value":134,"unit":"Cel"}],"hold":{"value":` + minutes + `,"unit":"min"},
				"source":{"document":"instructions for use","basis":"facility"}}`
		}
		table, err := cycle.ParseTable([]byte(`{"format":"moistheat.cycle-table/1","id":"manufacturer","title":"its instructions","document":"instructions for use",
			"rows":[` + row("instruments", "wrapped instruments", tt.instruments) + "," + row("textiles", "textile packs", tt.textiles) + `]}`))
		require.NoError(t, err)
		r := good()
		r.Packs[0].Items[0].Traits = []packaging.Trait{packaging.Textile}
		got := (&checker{r: r, p: policy(t, "us-cdc-2003").WithTables(table)}).requirement().Requirement
		assert.Zero(t, got.Hold.Compare(duration(tt.hold)), "%s and %s: %s", tt.instruments, tt.textiles, got.Hold)
		assert.Equal(t, tt.row, got.Row, "%s and %s", tt.instruments, tt.textiles)
	}
}

// The good load weighs 1 kg. Of the rows of a capacity table that apply, the smallest
// mass counts; of equal ones, the first is cited. A row for any air removal applies
// where that of the cycle is not recorded; one for a certain air removal only may.
func TestBoundsCapacity(t *testing.T) {
	row := func(air moistheat.AirRemoval, m string) Capacity {
		return Capacity{AirRemoval: air, Mass: mass(m), Authority: ByManufacturer}
	}
	const dynamic, gravity = moistheat.DynamicAirRemoval, moistheat.GravityDisplacement
	for _, tt := range []struct {
		name    string
		rows    []Capacity
		pointer string
		want    moistheat.Outcome
		limit   string
	}{
		{"too heavy for any cycle", []Capacity{row("", "0.9 kg")}, "/sterilizer/capacity/0", broken, "0.9 kg"},
		{"too heavy for a certain cycle", []Capacity{row(dynamic, "0.9 kg")}, "/sterilizer/capacity/0", undetermined, "0.9 kg"},
		{"the smaller one last", []Capacity{row(dynamic, "0.9 kg"), row(gravity, "0.8 kg")}, "/sterilizer/capacity/1", undetermined, "0.8 kg"},
		{"the smaller one first", []Capacity{row(dynamic, "0.8 kg"), row(gravity, "0.9 kg")}, "/sterilizer/capacity/0", undetermined, "0.8 kg"},
		{"equal ones", []Capacity{row(dynamic, "0.8 kg"), row(gravity, "0.8 kg")}, "/sterilizer/capacity/0", undetermined, "0.8 kg"},
		{"only the smaller one is too small", []Capacity{row(gravity, "2 kg"), row(dynamic, "0.9 kg")}, "/sterilizer/capacity/1", undetermined, "0.9 kg"},
		{"heavy enough for a certain cycle, not for any", []Capacity{row(dynamic, "0.8 kg"), row("", "0.9 kg")}, "/sterilizer/capacity/1", broken, "0.9 kg"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := good()
			r.Cycle.Settings.AirRemoval, r.Sterilizer.Capacity = "", tt.rows
			f := finding(t, Explain(r, policy(t, "us-cdc-2003")), "load.capacity.over", tt.pointer)
			assert.Equal(t, tt.want, f.Outcome)
			assert.Equal(t, mass(tt.limit).Value(), f.Limit)
		})
	}
}

// What the sterilizer printed about drying counts before what it was set to, and of
// two rows that ask for the same drying the first is cited.
func TestBoundsDrying(t *testing.T) {
	for _, tt := range []struct {
		printed, set string
		want         moistheat.Outcome
	}{
		{"10 min", "20 min", broken},
		{"20 min", "10 min", met},
		{"", "20 min", met},
		{"", "10 min", broken},
		{"20 min", "", met},
		{"", "", undetermined},
	} {
		r := good()
		var printed, set units.Duration
		if tt.printed != "" {
			printed = duration(tt.printed)
		}
		if tt.set != "" {
			set = duration(tt.set)
		}
		r.Cycle.Printed.DryingTime, r.Cycle.Settings.Drying = printed, set
		r.Sterilizer.Capacity = []Capacity{
			{Mass: mass("5 kg"), Drying: duration("15 min"), Authority: ByManufacturer},
			{Mass: mass("4 kg"), Drying: duration("15 min"), Authority: ByManufacturer},
		}
		f := finding(t, Explain(r, policy(t, "us-cdc-2003")), "load.drying.short", "/sterilizer/capacity/0")
		assert.Equal(t, tt.want, f.Outcome, "printed %q, set to %q", tt.printed, tt.set)
	}
}

// Where the places of all packs are measured, the share of a pack that another covers
// follows from them, not from a glance that found no more than is allowed. Of the
// 100 mm of each pouch the other covers 10 mm.
func TestBoundsOverlap(t *testing.T) {
	p,
		err := ParsePolicy([]byte(`{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"us-cdc-2003",
		"limits":{"overlap":{"value":{"value":30,"unit":"%"},"source":{"document":"our rule","basis":"facility"}}},
		"decision":{"by":"AB","date":"2026-01-01","reason":"measured"}}`))
	require.NoError(t, err)
	const at = "/packs/0/placement"
	for _, tt := range []struct {
		name, pointer string
		measured      units.Ratio
		edit          func(*Record)
	}{
		{"measured and seen", at + "/spot", percent(10, 0), func(r *Record) {}},
		{"only seen", at + "/overlap", percent(20, 0), func(r *Record) { r.Packs[0].Placement.Spot = nil }},
		{"the other one's place is open", at + "/overlap", percent(20, 0), func(r *Record) { r.Packs[1].Placement.Spot = nil }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := laid()
			// From 10 mm to 110 mm, and from 100 mm to 200 mm.
			r.Packs[1].Placement.Spot.X, r.Packs[0].Placement.Overlap = length("100 mm"), percent(20, 0)
			tt.edit(r)
			f := finding(t, Explain(r, p), "load.arrangement.overlap", tt.pointer)
			assert.Equal(t, met, f.Outcome)
			got, ok := units.Of[units.RatioUnit](f.Measured)
			require.True(t, ok)
			assert.Zero(t, got.Compare(tt.measured), "%s", got)
		})
	}
}
