package load_test

import (
	"encoding/json"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// The policies of which a clinic's log must be enough.
var mainPolicies = []string{"us-cdc-2003", "us-cdc-2008", "en-13060", "germany", "england", "australia"}

// clinic returns the catalogue of the clinic and a log as it writes one between two
// patients: load number, date, three pouches, printout, indicators, what it saw of all packs,
// the tests of the day and who released.
func clinic(t testing.TB) (*load.Catalogue, *load.Record) {
	t.Helper()
	data, err := os.ReadFile("../examples/checkload/clinic/catalogue.json")
	require.NoError(t, err)
	c, err := load.DecodeCatalogue(data)
	require.NoError(t, err)
	data, err = os.ReadFile("../examples/checkload/clinic/log.json")
	require.NoError(t, err)
	r, err := load.Decode(data)
	require.NoError(t, err)
	return c, r
}

func facts(t testing.TB, c *load.Catalogue) *load.Facts {
	t.Helper()
	f, err := c.Facts()
	require.NoError(t, err)
	return f
}

func named(t testing.TB, name string) *load.Policy {
	t.Helper()
	p, err := load.PolicyFor(name)
	require.NoError(t, err)
	return p
}

func TestLogOfAClinic(t *testing.T) {
	c, r := clinic(t)
	f := facts(t, c)
	for _, name := range mainPolicies {
		t.Run(name, func(t *testing.T) {
			p := named(t, name)
			report := load.Check(f.Resolve(r, p), p)
			for _, x := range report.Findings {
				if x.Blocks {
					t.Errorf("%s %s: %s", x.Rule, x.Pointer, report.Message(x))
				}
			}
			assert.True(t, report.Released())
			assert.LessOrEqual(t, len(report.Questions()), 5)
			require.NotNil(t, report.Catalogue)
			assert.Equal(t, c.ID, report.Catalogue.ID)
			assert.NotZero(t, report.Catalogue.Members, "something rests on practice, and that is said")
			without := load.Check(r, p)
			assert.False(t, without.Released(), "without its catalogue the log says too little")
			assert.LessOrEqual(t, len(without.Questions()), 10)
			if found := load.Check(f.Resolve(r, nil), p).Catalogue; assert.NotNil(t, found) {
				assert.Zero(t, found.Members, "no policy, no practice")
			}
		})
	}
}

// The rules about references and the catalogue itself, of which a record written out has none.
var ofReferences = []string{"load.staff.unlisted", "load.catalogue.contradicted", "load.catalogue.unknown", "load.practice.refused",
	"load.practice.unsigned", "load.statement.unknown"}

// A record with references and the same record written out give equal outcomes.
func TestWrittenOut(t *testing.T) {
	c, r := clinic(t)
	f := facts(t, c)
	before, err := json.Marshal(r)
	require.NoError(t, err)
	for _, name := range mainPolicies {
		p := named(t, name)
		resolved := f.Resolve(r, p)
		require.NoError(t, resolved.Validate())
		data, err := json.Marshal(resolved)
		require.NoError(t, err)
		written, err := load.Decode(data)
		require.NoError(t, err)
		a, b := load.Explain(resolved, p), load.Explain(written, p)
		assert.Equal(t, a.Verdict, b.Verdict)
		assert.Equal(t, a.Packs, b.Packs)
		outcomes := func(r *load.Report) (out [][3]string) {
			for _, f := range r.Findings {
				if !slices.Contains(ofReferences, f.Rule) {
					out = append(out, [3]string{f.Pointer, f.Rule, f.Outcome.String()})
				}
			}
			return out
		}
		assert.Equal(t, outcomes(a), outcomes(b), name)
	}
	after, err := json.Marshal(r)
	require.NoError(t, err)
	assert.JSONEq(t, string(before), string(after), "the record is the caller's")
}

// no says what of a catalogue that is worse must not do: enlarge what may be released.
func notMore(t *testing.T, what string, with, without *load.Report) {
	t.Helper()
	assert.False(t, without.Released() && !with.Released(), what)
	for i := range with.Packs {
		assert.False(t, without.Packs[i].MayRelease && !with.Packs[i].MayRelease, "%s: pack %d", what, i)
	}
}

// variants returns the log as it is, and as logs that must not be released with the catalogue.
func variants(r *load.Record) []*load.Record {
	hot := *r
	hot.ID = "set to a temperature that the items do not stand"
	hot.Packs = slices.Clone(r.Packs)
	hot.Packs[0].Items = []packaging.Item{{Name: "lens", Type: "lens"}}
	return []*load.Record{r, &hot}
}

func TestLessCatalogueReleasesNoMore(t *testing.T) {
	c, r := clinic(t)
	lens := c.Items[0]
	lens.ID, lens.HeatTolerant = "lens", moistheat.No
	c.Items = append(c.Items, lens)
	whole := facts(t, c)
	edit := func(what string, change func(*load.Catalogue)) {
		data, err := json.Marshal(c)
		require.NoError(t, err)
		less, err := load.DecodeCatalogue(data)
		require.NoError(t, err)
		change(less)
		f, err := less.Facts()
		if err != nil {
			return // a set of something that is not there is refused
		}
		for _, name := range []string{"us-cdc-2003", "germany", "australia"} {
			p := named(t, name)
			for _, r := range variants(r) {
				notMore(t, name+", "+what+", "+r.ID, load.Check(whole.Resolve(r, p), p), load.Check(f.Resolve(r, p), p))
			}
		}
	}
	ended := moistheat.NewDate(2026, 1, 3)
	for i := range c.Items {
		edit("without item "+c.Items[i].ID, func(c *load.Catalogue) { c.Items = slices.Delete(c.Items, i, i+1) })
		edit("ended item "+c.Items[i].ID, func(c *load.Catalogue) { c.Items[i].Until = ended })
	}
	edit("ended set", func(c *load.Catalogue) { c.Sets[0].Until = ended })
	edit("no pack type", func(c *load.Catalogue) { c.Packs = nil })
	edit("ended pack type", func(c *load.Catalogue) { c.Packs[0].Until = ended })
	edit("no sterilizer", func(c *load.Catalogue) { c.Sterilizers = nil })
	edit("no program", func(c *load.Catalogue) { c.Sterilizers[0].Programs = nil })
	edit("no sealer", func(c *load.Catalogue) { c.Sealers = nil })
	edit("no lots", func(c *load.Catalogue) { c.Lots = nil })
	edit("ended lots", func(c *load.Catalogue) { c.Lots[0].Until, c.Lots[1].Until = ended, ended })
	edit("no supply", func(c *load.Catalogue) { c.Supplies = nil })
	edit("no staff", func(c *load.Catalogue) { c.Staff = nil })
	edit("ended staff", func(c *load.Catalogue) { c.Staff[0].Until = ended })
	edit("no duty", func(c *load.Catalogue) { c.Staff[0].Duties = []load.Duty{load.DutyRun} })
	for i := range c.Practices {
		id := c.Practices[i].ID
		edit("without practice "+id, func(c *load.Catalogue) { c.Practices = slices.Delete(c.Practices, i, i+1) })
		edit("old practice "+id, func(c *load.Catalogue) { c.Practices[i].From = moistheat.NewDate(2025, 3, 9) })
	}
}

// One pack that was found otherwise suspends the practice for all packs of the load.
func TestContradictedPractice(t *testing.T) {
	c, r := clinic(t)
	p := named(t, "us-cdc-2003")
	r.Packs[1].AirExpelled = moistheat.No
	resolved := facts(t, c).Resolve(r, p)
	assert.Equal(t, moistheat.NotRecorded, resolved.Packs[0].AirExpelled)
	assert.Equal(t, moistheat.No, resolved.Packs[1].AirExpelled)
	assert.Equal(t, []string{"air"}, load.Check(resolved, p).Catalogue.Suspended)
}

// A practice is in force for a year from the day on which it was signed.
func TestPracticeEnds(t *testing.T) {
	c, r := clinic(t)
	p := named(t, "us-cdc-2003")
	for _, tt := range []struct {
		from, until moistheat.Date
		want        moistheat.Answer
	}{
		{moistheat.NewDate(2025, 3, 10), moistheat.Date{}, moistheat.Yes}, // the last day of the year
		{moistheat.NewDate(2025, 3, 9), moistheat.Date{}, moistheat.NotRecorded},
		{moistheat.NewDate(2026, 3, 9), moistheat.Date{}, moistheat.Yes},
		{moistheat.NewDate(2026, 3, 10), moistheat.Date{}, moistheat.NotRecorded},
		{moistheat.NewDate(2025, 3, 9), moistheat.NewDate(2027, 3, 9), moistheat.NotRecorded}, // no longer than a year
		{moistheat.NewDate(2026, 1, 2), moistheat.NewDate(2026, 3, 9), moistheat.NotRecorded},
		{moistheat.NewDate(2026, 1, 2), moistheat.NewDate(2026, 3, 10), moistheat.Yes},
	} {
		c.Practices[7].From, c.Practices[7].Until = tt.from, tt.until
		assert.Equal(t, tt.want, facts(t, c).Resolve(r, p).Packs[0].AirExpelled, "%v until %v", tt.from, tt.until)
	}
	r.Load.Date = moistheat.Date{}
	c.Practices[7].From, c.Practices[7].Until = moistheat.NewDate(2026, 1, 2), moistheat.Date{}
	assert.Equal(t, moistheat.NotRecorded, facts(t, c).Resolve(r, p).Packs[0].AirExpelled, "no day, no entry")
	assert.NotEmpty(t, facts(t, c).Resolve(r, p).Packs[0].Set, "what refers to it stays open")
}

// An exception is of its pack alone, and one that names no pack takes the whole statement
// back.
func TestAllPacks(t *testing.T) {
	c, r := clinic(t)
	p := named(t, "us-cdc-2003")
	f := facts(t, c)
	r.AllPacks.Except = []string{"P2"}
	report := load.Check(f.Resolve(r, p), p)
	assert.Equal(t, []moistheat.Disposition{moistheat.Release, moistheat.Quarantine, moistheat.Release},
		[]moistheat.Disposition{report.Packs[0].Disposition, report.Packs[1].Disposition, report.Packs[2].Disposition})
	r.AllPacks.Except = []string{"p2"}
	report = load.Check(f.Resolve(r, p), p)
	assert.Equal(t, moistheat.Quarantine, report.Verdict.Load)
	r.AllPacks.Except = nil
	r.Packs[1].Condition.Dry = moistheat.No
	report = load.Check(f.Resolve(r, p), p)
	assert.Equal(t, moistheat.Reject, report.Packs[1].Disposition, "what a pack states itself stays")
	r.AllPacks.By = ""
	assert.Equal(t, moistheat.Quarantine, load.Check(f.Resolve(r, p), p).Verdict.Load, "nobody saw it")
}

// Which indicator lay in the pack is known by its lot, and only else by the type of pack.
func TestLotBeforePackType(t *testing.T) {
	c, r := clinic(t)
	f := facts(t, c)
	r.AllPacks.Internal.Lot = "E-31" // of process indicators
	resolved := f.Resolve(r, nil)
	assert.Equal(t, 1, resolved.Packs[0].Indicators[1].Type)
	assert.Equal(t, moistheat.Yes, resolved.Packs[0].Indicators[1].Visible, "the pack is as its type says")
	r.AllPacks.Internal.Lot = "unknown"
	assert.Equal(t, 5, f.Resolve(r, nil).Packs[0].Indicators[1].Type)
}

// What a sealer was found to do counts before what packs of a type should be closed with.
func TestSealerBeforePackType(t *testing.T) {
	c, r := clinic(t)
	c.Sealers[0].Width = units.New(4, 0, units.Millimetre)
	assert.Equal(t, units.New(4, 0, units.Millimetre), facts(t, c).Resolve(r, nil).Packs[0].Seal.Width)
	for _, name := range []string{"en-13060", "germany", "england", "australia"} { // 6 mm, EN 868-5
		p := named(t, name)
		assert.False(t, load.Check(facts(t, c).Resolve(r, p), p).Released(), name)
	}
	r.AllPacks.Seal.Sealer = ""
	assert.Equal(t, units.New(9, 0, units.Millimetre), facts(t, c).Resolve(r, nil).Packs[0].Seal.Width)
}

// Nobody may release a load on his own word whom the list of the staff does not name for it.
func TestAuthorisedByList(t *testing.T) {
	c, r := clinic(t)
	r.Release.Authorised = moistheat.Yes
	resolve := func() moistheat.Answer { return facts(t, c).Resolve(r, nil).Release.Authorised }
	assert.Equal(t, moistheat.Yes, resolve())
	c.Staff[0].Duties = []load.Duty{load.DutyRun}
	assert.Equal(t, moistheat.No, resolve())
	for _, name := range mainPolicies {
		p := named(t, name)
		assert.False(t, load.Check(facts(t, c).Resolve(r, p), p).Released(), name)
	}
	c.Staff = nil
	assert.Equal(t, moistheat.Yes, resolve(), "there is no list, and the record stands alone")
	c, r = clinic(t)
	r.Release.Authorised = moistheat.No
	assert.Equal(t, moistheat.No, resolve())
}

// A finding leads to the document that a person must edit.
func TestOrigin(t *testing.T) {
	c, r := clinic(t)
	p := named(t, "us-cdc-2003")
	c.Items[1].HasLumens = moistheat.NotRecorded
	c.Items[1].HeatTolerant = moistheat.No
	report := load.Check(facts(t, c).Resolve(r, p), p)
	want := moistheat.Origin{Format: load.CatalogueFormat, ID: c.ID, Pointer: "/items/1/heatTolerant"}
	n := 0
	for _, x := range report.Findings {
		if x.Rule == "packaging.item.heat" || x.Origin == want {
			assert.Equal(t, want, x.Origin)
			n++
		}
	}
	assert.Equal(t, 3, n, "one in each pack")
}

func TestCatalogueFaults(t *testing.T) {
	for _, tt := range []struct{ change, at string }{
		{`"sets":[{"id":"a","from":"2026-01-02","contents":[{"item":"x","count":1}]}]`, "/sets/0/contents/0/item"},
		{`"sets":[{"id":"a","from":"2026-01-02","contents":[{"set":"x","count":1}]}]`, "/sets/0/contents/0/set"},
		{`"sets":[{"id":"a","from":"2026-01-02","contents":[{"count":1}]}]`, "/sets/0/contents/0"},
		{`"sets":[{"id":"a","from":"2026-01-02","contents":[{"set":"a","count":1}]}]`, "/sets/0/contents"},
		{`"sets":[{"id":"a","from":"2026-01-02","contents":[{"set":"b","count":1}]},
			{"id":"b","from":"2026-01-02","contents":[{"set":"a","count":1}]}]`, "/sets/0/contents"},
		{`"items":[{"id":"a","from":"2026-01-02"},{"id":"a","from":"2026-03-01"}]`, "/items/1"},
		{`"items":[{"id":"a","from":"2026-01-02","until":"2026-01-02"}]`, "/items/0/until"},
		{`"items":[{"id":"","from":"2026-01-02"}]`, "/items/0/id"},
		{`"packs":[{"id":"a","from":"2026-01-02","wrap":{"washed":true}}]`, "/packs/0/wrap/washed"},
		{`"packs":[{"id":"a","from":"2026-01-02","double":{"facing":true}}]`, "/packs/0/double/facing"},
		{`"packs":[{"id":"a","from":"2026-01-02","double":{"folded":false}}]`, "/packs/0/double/folded"},
		{`"sterilizers":[{"id":"a","from":"2026-01-02","site":{"barometer":{"value":965,"unit":"hPa"}}}]`,
			"/sterilizers/0/site/barometer"},
		{`"practices":[{"id":"a","from":"2026-01-02","habit":"packs are dry","by":"C. Dorn"}]`, "/practices/0/habit"},
	} {
		data := `{"format":"moistheat.catalogue/1","id":"c",` + tt.change + `}`
		c, err := load.DecodeCatalogue([]byte(data))
		if err == nil {
			err = c.Validate()
		}
		var e *moistheat.DocumentError
		if assert.ErrorAs(t, err, &e, data) {
			assert.Equal(t, tt.at, e.Pointer, data)
		}
	}
	// One that follows another is none.
	c, err := load.DecodeCatalogue([]byte(`{"format":"moistheat.catalogue/1","id":"c","items":[
		{"id":"a","from":"2026-01-02","until":"2026-03-01"},{"id":"a","from":"2026-03-01"}]}`))
	require.NoError(t, err)
	assert.NoError(t, c.Validate())
}

func TestResolveNothing(t *testing.T) {
	c, r := clinic(t)
	f := facts(t, c)
	assert.Nil(t, f.Resolve(nil, nil))
	assert.Same(t, r, (*load.Facts)(nil).Resolve(r, nil))
	assert.Nil(t, r.Origins())
	assert.Nil(t, (*load.Record)(nil).Origins())
	assert.Error(t, (&load.Catalogue{}).Validate())
	_, err := (*load.Catalogue)(nil).Facts()
	assert.Error(t, err)
	assert.Same(t, r, new(load.Facts).Resolve(r, nil))
}

// What was found at an earlier load, or at this one, suspends a practice until it is signed
// anew on a later day.
func TestSuspendedPractice(t *testing.T) {
	p := named(t, "us-cdc-2003")
	since := func(y int, m time.Month, d int) load.KnownPractice {
		return load.KnownPractice{Habit: load.AirPressedOut, Since: moistheat.NewDate(y, m, d), Record: "5"}
	}
	for _, tt := range []struct {
		name  string
		known load.KnownPractice
		anew  moistheat.Date
		want  moistheat.Disposition
	}{
		{"another one, signed since", load.KnownPractice{Habit: load.HingesOpened, Since: moistheat.NewDate(2025, 12, 31),
			Record: "5"}, moistheat.Date{}, moistheat.Release},
		{"a week ago", since(2026, 3, 2), moistheat.Date{}, moistheat.Quarantine},
		{"on the day on which it was signed", since(2026, 1, 2), moistheat.Date{}, moistheat.Quarantine},
		{"before it was signed", since(2026, 1, 1), moistheat.Date{}, moistheat.Release},
		{"on the same day", since(2026, 3, 9), moistheat.Date{}, moistheat.Quarantine},
		{"a day later", since(2026, 3, 10), moistheat.Date{}, moistheat.Release},
		{"nobody knows when", load.KnownPractice{Habit: load.AirPressedOut, Record: "5"}, moistheat.NewDate(2026, 3, 9),
			moistheat.Quarantine},
		{"and signed anew", since(2026, 3, 2), moistheat.NewDate(2026, 3, 3), moistheat.Release},
		{"and signed anew on that day", since(2026, 3, 2), moistheat.NewDate(2026, 3, 2), moistheat.Quarantine},
		{"and signed anew from tomorrow", since(2026, 3, 2), moistheat.NewDate(2026, 3, 10), moistheat.Quarantine},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, r := clinic(t)
			if tt.anew.IsValid() {
				entry := load.Entry{ID: "anew", From: tt.anew}
				c.Practices = append(c.Practices, load.Practice{Entry: entry, Habit: load.AirPressedOut, By: "C. Dorn"})
			}
			k := load.Known{Format: load.KnownFormat, Sterilizer: "S1", At: r.Cycle.Started,
				Practices: []load.KnownPractice{tt.known}}
			resolved := facts(t, c).Resolve(r, p)
			report := load.CheckKnowing(resolved, p, k)
			assert.Equal(t, tt.want, report.Verdict.Load)
			assert.Equal(t, tt.want == moistheat.Quarantine, slices.Contains(report.Catalogue.Suspended, "air"))
			assert.Empty(t, load.Check(resolved, p).Catalogue.Suspended, "of that report alone")
			r.Packs[0].AirExpelled, r.Packs[1].AirExpelled, r.Packs[2].AirExpelled = moistheat.Yes, moistheat.Yes, moistheat.Yes
			report = load.CheckKnowing(facts(t, c).Resolve(r, p), p, k)
			assert.Equal(t, moistheat.Release, report.Verdict.Load, "each pack of the load was seen")
		})
	}
}

// What a record states of a habit, it states whether it was resolved or not.
func TestContradicted(t *testing.T) {
	c, r := clinic(t)
	f, p := facts(t, c), named(t, "us-cdc-2003")
	assert.Empty(t, r.Contradicted())
	assert.Empty(t, f.Resolve(r, p).Contradicted())
	r.Packs[1].AirExpelled, r.Unloading.HandledWarm = moistheat.No, moistheat.Yes
	r.Packs[2].Placement.TouchesWall = moistheat.Yes
	r.AllPacks.Label.Before = moistheat.No
	want := []load.Habit{load.AirPressedOut, load.OnEdgeApart, load.LabelledBefore, load.CooledOutside}
	assert.Equal(t, want, r.Contradicted())
	assert.Equal(t, want, f.Resolve(r, p).Contradicted())
	c.Packs[0].Barrier = packaging.RigidContainer
	assert.NotContains(t, facts(t, c).Resolve(r, p).Contradicted(), load.OnEdgeApart, "a container is no pouch")
	assert.Nil(t, (*load.Record)(nil).Contradicted())
}

// Sets of sets that double at each step, a set of very many items and a very large count are
// answered at once, and what is too much stays open.
func TestResolveIsBounded(t *testing.T) {
	c, r := clinic(t)
	p := named(t, "us-cdc-2003")
	from := moistheat.NewDate(2026, 1, 2)
	for i := range 900 {
		id := strconv.Itoa(i)
		c.Sets = append(c.Sets, load.Set{Entry: load.Entry{ID: id, From: from}, Contents: []load.Content{
			{Set: strconv.Itoa(i + 1), Count: 2}, {Set: strconv.Itoa(i + 1), Count: 2}}})
	}
	c.Sets = append(c.Sets, load.Set{Entry: load.Entry{ID: "900", From: from}, Contents: []load.Content{}},
		load.Set{Entry: load.Entry{ID: "many", From: from}, Contents: []load.Content{{Item: "nipper", Count: 1_000_000_000}}})
	f := facts(t, c)
	for _, set := range []string{"0", "many"} {
		r.Packs[0].Set = set
		resolved := f.Resolve(r, p)
		assert.Equal(t, set, resolved.Packs[0].Set)
		assert.False(t, load.Check(resolved, p).Packs[0].MayRelease)
	}
	many := &load.Catalogue{Format: load.CatalogueFormat, ID: "many"}
	for range 1000 {
		many.Sets = append(many.Sets, load.Set{Entry: load.Entry{ID: "a", From: from}, Contents: []load.Content{{Set: "a",
			Count: 1}}})
	}
	assert.Len(t, many.Validate().(interface{ Unwrap() []error }).Unwrap(), 25)
}

// KRINKO/BfArM 2012 releases by what is documented of each step of the preparation of this
// batch (recalled): that items are always cleaned is no such documentation. A statement about
// all packs is.
func TestPreparationInGermany(t *testing.T) {
	c, r := clinic(t)
	f := facts(t, c)
	r.AllPacks.Preparation = packaging.Preparation{}
	germany, cdc := named(t, "germany"), named(t, "us-cdc-2003")
	assert.Equal(t, moistheat.Quarantine, load.Check(f.Resolve(r, germany), germany).Verdict.Load)
	assert.True(t, load.Check(f.Resolve(r, cdc), cdc).Released())
	report := load.Check(f.Resolve(r, nil), germany)
	assert.Equal(t, moistheat.Quarantine, report.Verdict.Load)
	report = load.Check(f.Resolve(r, cdc), germany)
	assert.Equal(t, moistheat.Quarantine, report.Verdict.Load, "resolved with what another policy takes")
	_, r = clinic(t)
	assert.True(t, load.Check(f.Resolve(r, germany), germany).Released())
}

// A record cannot say of an item that it has no lumen where its type has one: the two
// contradict each other, and the pack waits.
func TestLumenOfTypeDenied(t *testing.T) {
	c, r := clinic(t)
	lumens := []packaging.Lumen{{Length: units.New(300, 0, units.Millimetre), Bore: units.New(1, 0, units.Millimetre)}}
	r.Packs[0].Set = ""
	r.Packs[0].Items = []packaging.Item{{Name: "curette", Type: "curette", Count: 1, HasLumens: moistheat.No}}
	for _, known := range [][]packaging.Lumen{lumens, nil} {
		c.Items[1].HasLumens, c.Items[1].Lumens = moistheat.NotRecorded, known
		if known == nil {
			c.Items[1].HasLumens = moistheat.Yes
		}
		f := facts(t, c)
		for _, name := range mainPolicies {
			p := named(t, name)
			assert.False(t, load.Check(f.Resolve(r, p), p).Packs[0].MayRelease, name)
		}
	}
}

// A set that is always packed in one type of pack says so once: a record that names the set need
// not name the type, and says of its packs what it says with it.
func TestPackTypeOfSet(t *testing.T) {
	c, r := clinic(t)
	bare := *r
	bare.Packs = slices.Clone(r.Packs)
	for i := range bare.Packs {
		bare.Packs[i].Type = ""
	}
	said := *c
	said.Sets = slices.Clone(c.Sets)
	c.Sets[0].Pack = ""
	require.Equal(t, "small pouch", said.Sets[0].Pack)
	f, before := facts(t, &said), facts(t, c)
	for _, name := range mainPolicies {
		p := named(t, name)
		assert.False(t, load.Check(before.Resolve(&bare, p), p).Released(), "nothing says how it is packed")
		a, b := load.Explain(before.Resolve(r, p), p), load.Explain(f.Resolve(&bare, p), p)
		assert.True(t, b.Released(), name)
		a.Catalogue, b.Catalogue = nil, nil // whose digests differ
		assert.Equal(t, a.Text(), b.Text())
	}
	p := named(t, "us-cdc-2003")

	// What the record says of its own packaging is not mixed with that of another pack.
	wrapped := bare
	wrapped.Packs = slices.Clone(bare.Packs)
	wrapped.Packs[0].Barrier = packaging.PaperBag
	resolved := f.Resolve(&wrapped, p)
	assert.False(t, resolved.Packs[0].Size.Length.IsValid())
	assert.True(t, resolved.Packs[1].Size.Length.IsValid())
	assert.False(t, load.Check(resolved, p).Packs[0].MayRelease)

	// The type that a record names counts.
	said.Packs = append(slices.Clone(c.Packs), load.PackType{Entry: load.Entry{ID: "bag", From: c.Packs[0].From},
		Barrier: packaging.PaperBag})
	wrapped.Packs[0].Barrier, wrapped.Packs[0].Type = "", "bag"
	assert.Equal(t, packaging.PaperBag, facts(t, &said).Resolve(&wrapped, p).Packs[0].Barrier)

	// On a day on which the type is not in force nothing is known of the pack.
	said.Packs = slices.Clone(c.Packs)
	said.Packs[0].Until = bare.Load.Date
	report := load.Check(facts(t, &said).Resolve(&bare, p), p)
	assert.False(t, report.Released())
	assert.True(t, slices.ContainsFunc(report.Findings, func(f moistheat.Finding) bool {
		return f.Rule == "load.catalogue.unknown" && f.Pointer == "/packs/0/type" && f.Blocks
	}))

	said.Packs, said.Sets[0].Pack = c.Packs, "no such pack"
	_, err := said.Facts()
	var e *moistheat.DocumentError
	require.ErrorAs(t, err, &e)
	assert.Equal(t, "/sets/0/pack", e.Pointer)
}
