package load_test

import (
	"slices"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/packaging"
	"github.com/stretchr/testify/require"
)

// staffOf is a catalogue with people and a set of two mirrors and a probe.
func staffOf(t *testing.T, people ...load.Person) *load.Facts {
	from := moistheat.NewDate(2025, 1, 1)
	entry := func(id string) load.Entry { return load.Entry{ID: id, From: from} }
	c := &load.Catalogue{Format: load.CatalogueFormat, ID: "ours", Staff: people,
		Items: []load.ItemType{{Entry: entry("mirror")}, {Entry: entry("probe")}},
		Sets:  []load.Set{{Entry: entry("exam"), Contents: []load.Content{{Item: "mirror", Count: 2}, {Item: "probe", Count: 1}}}}}
	f, err := c.Facts()
	require.NoError(t, err)
	return f
}

func person(id string, until moistheat.Date, duties ...load.Duty) load.Person {
	return load.Person{Entry: load.Entry{ID: id, From: moistheat.NewDate(2025, 1, 1), Until: until}, Duties: duties}
}

// foundAt returns the outcomes of a rule by pointer.
func foundAt(r *load.Report, rule string) map[string]moistheat.Outcome {
	out := map[string]moistheat.Outcome{}
	for _, f := range r.Findings {
		if f.Rule == rule {
			out[f.Pointer] = max(out[f.Pointer], f.Outcome)
		}
	}
	return out
}

// Each person is asked about by the list of that day, for what they did; no person is asked about of a
// record that was resolved with no catalogue or names no person.
func TestPeople(t *testing.T) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	r := loadtest.Pouches()
	name, day := r.Packs[0].Label.Packer, r.Load.Date
	r.Cycle.Operator, r.Monitors.ReadBy = "B. Ost", "B. Ost"
	for i := range r.Packs {
		r.Packs[i].Label.Packer = name
	}
	r.Load.PreparedBy, r.Release.By = name, "R. Lind"
	const met, broken = moistheat.Met, moistheat.Broken
	all := []load.Duty{load.DutyPrepare, load.DutyRun, load.DutyRead}
	for what, c := range map[string]struct {
		staff             []load.Person
		packed, ran, read moistheat.Outcome
	}{
		"all trained": {[]load.Person{person(name, moistheat.Date{}, all...), person("B. Ost", moistheat.Date{}, all...)}, met, met, met},
		"another duty": {[]load.Person{person(name, moistheat.Date{}, load.DutyRead),
			person("B. Ost", moistheat.Date{}, load.DutyRead)}, broken, broken, met},
		"training ended":     {[]load.Person{person(name, day, all...), person("B. Ost", day.AddDays(1), all...)}, broken, met, met},
		"not on the list":    {[]load.Person{person("Z", moistheat.Date{}, all...)}, broken, broken, broken},
		"one is not on it":   {[]load.Person{person(name, moistheat.Date{}, all...)}, met, broken, broken},
		"of days before now": {[]load.Person{person("B. Ost", moistheat.NewDate(2025, 2, 1), all...)}, broken, broken, broken},
	} {
		// Whoever releases is on the list.
		staff := append(slices.Clone(c.staff), person("R. Lind", moistheat.Date{}, load.DutyRelease))
		report := load.Explain(staffOf(t, staff...).Resolve(r, p), p)
		got := foundAt(report, "load.staff.unlisted")
		require.Equal(t, map[string]moistheat.Outcome{"/load/preparedBy": c.packed, "/cycle/operator": c.ran,
			"/monitors/readBy": c.read}, got, what)
		require.Equal(t, load.Check(r, p).Verdict.Load, report.Verdict.Load, "%s: by harm it is minor", what)
	}
	require.Empty(t, foundAt(load.Explain(staffOf(t).Resolve(r, p), p), "load.staff.unlisted"), "there is no list")
	require.Empty(t, foundAt(load.Explain(r, p), "load.staff.unlisted"))
}

// A pack is counted against the list of its set, where it says both.
func TestSetList(t *testing.T) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	item := func(kind string, n int) packaging.Item { return packaging.Item{Name: kind, Type: kind, Count: n} }
	const met, broken, open = moistheat.Met, moistheat.Broken, moistheat.Undetermined
	for what, c := range map[string]struct {
		items []packaging.Item
		want  moistheat.Outcome
		names []string
	}{
		"complete":      {[]packaging.Item{item("probe", 1), item("mirror", 2)}, met, []string{"0", "0"}},
		"one by one":    {[]packaging.Item{item("mirror", 1), item("probe", 1), item("mirror", 1)}, met, []string{"0", "0"}},
		"a mirror gone": {[]packaging.Item{item("mirror", 1), item("probe", 1)}, broken, []string{"1 mirror", "0"}},
		"one too many":  {[]packaging.Item{item("mirror", 2), item("probe", 2)}, broken, []string{"0", "1 probe"}},
		"not counted":   {[]packaging.Item{item("mirror", 0), item("probe", 1)}, open, nil},
		"not named":     {[]packaging.Item{{Name: "mirrors", Count: 2}, item("probe", 1)}, open, nil},
	} {
		r := loadtest.Pouches()
		r.Packs[0].Set, r.Packs[0].Items = "exam", c.items
		report := load.Explain(staffOf(t).Resolve(r, p), p)
		i := slices.IndexFunc(report.Findings, func(f moistheat.Finding) bool {
			return f.Rule == "load.set.differs" && f.Outcome != moistheat.NotApplicable
		})
		require.GreaterOrEqual(t, i, 0, what)
		f := report.Findings[i]
		require.Equal(t, c.want, f.Outcome, what)
		if c.names != nil {
			missing, foreign := "", ""
			for _, p := range f.Params {
				switch p.Name {
				case "missing":
					missing = p.Value.String()
				case "foreign":
					foreign = p.Value.String()
				}
			}
			require.Equal(t, c.names, []string{missing, foreign}, what)
		}
	}
}
