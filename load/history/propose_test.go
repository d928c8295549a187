package history_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

var since = moistheat.NewDate(2020, 1, 1)

// copies returns records of many loads: each of those given, several times, with new IDs.
func copies(t *testing.T, times int, of ...*load.Record) (out []*load.Record) {
	t.Helper()
	for i := range times {
		for _, r := range of {
			c := copyOf(t, r)
			c.ID = fmt.Sprintf("%s-%d", r.ID, i)
			out = append(out, c)
		}
	}
	return out
}

func copyOf(t *testing.T, r *load.Record) *load.Record {
	t.Helper()
	data, err := json.Marshal(r)
	require.NoError(t, err)
	c, err := load.Decode(data)
	require.NoError(t, err)
	return c
}

func propose(t *testing.T, records ...*load.Record) *history.Proposal {
	t.Helper()
	p, err := history.Propose(slices.Values(records), since, nil)
	require.NoError(t, err)
	return p
}

// demonstration returns the records of the demonstration clinic.
func demonstration(t *testing.T) (out []*load.Record) {
	t.Helper()
	files, err := filepath.Glob("../../examples/checkload/demo/*.json")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		r, err := load.Decode(data)
		require.NoError(t, err)
		out = append(out, r)
	}
	return out
}

// A record that refers to the proposal and leaves out what that supplies says the same as
// one that states everything.
func TestReducedByProposal(t *testing.T) {
	groups := [][]*load.Record{demonstration(t)}
	for _, build := range []func(...func(*load.Record)) *load.Record{loadtest.Pouches, loadtest.Container, loadtest.Textiles,
		loadtest.Implant, loadtest.Handpiece, loadtest.Trays, loadtest.Unwrapped} {
		groups = append(groups, []*load.Record{build()})
	}
	removed := 0
	for _, of := range groups {
		p := propose(t, copies(t, 5, of...)...)
		f, err := p.Catalogue.Facts()
		require.NoError(t, err)
		for _, r := range of {
			referring, reduced := copyOf(t, r), copyOf(t, r)
			removed += refer(referring, p.Catalogue, false) + refer(reduced, p.Catalogue, true)
			for _, name := range []string{"us-cdc-2003", "en-13060", "germany"} {
				policy, err := load.PolicyFor(name)
				require.NoError(t, err)
				a, b := load.Explain(f.Resolve(referring, policy), policy), load.Explain(f.Resolve(reduced, policy), policy)
				assert.Equal(t, outcomes(a), outcomes(b), "%s under %s", r.ID, name)
				assert.Equal(t, a.Packs, b.Packs)
				if len(of) == 1 { // every load states the same, and nothing is added
					assert.Equal(t, outcomes(load.Explain(r, policy)), outcomes(b), "%s under %s, as written", r.ID, name)
				}
			}
		}
	}
	assert.Greater(t, removed, 100, "members that the proposals supply")
}

// ofReferences are rules of what a record refers to.
var ofReferences = []string{"load.staff.unlisted", "load.catalogue.contradicted", "load.catalogue.unknown",
	"load.practice.refused", "load.practice.unsigned", "load.statement.unknown"}

// outcomes are those of the rules, by place, but for the rules of references, which a record
// that refers to nothing is not asked.
func outcomes(r *load.Report) (out []string) {
	for _, f := range r.Findings {
		if !slices.Contains(ofReferences, f.Rule) {
			out = append(out, fmt.Sprint(f.Pointer, " ", f.Rule, " ", f.Outcome))
		}
	}
	return out
}

// refer lets a record refer to a catalogue, and leaves out what that says alike. It returns
// how many members it left out.
func refer(r *load.Record, c *load.Catalogue, leaveOut bool) (n int) {
	less := func(to, from any) {
		if leaveOut {
			n += drop(reflect.ValueOf(to).Elem(), reflect.ValueOf(from).Elem())
		}
	}
	for i := range r.Packs {
		p := &r.Packs[i].Pack
		bare := []load.Content{}
		for j := range p.Items {
			it := &p.Items[j]
			for k := range c.Items {
				if c.Items[k].ID == it.Name {
					it.Type = it.Name
					less(it, &c.Items[k])
				}
			}
			if reflect.DeepEqual(*it, packaging.Item{Name: it.Name, Type: it.Name, Count: it.Count}) {
				bare = append(bare, load.Content{Item: it.Name, Count: it.Count})
			}
		}
		for _, s := range c.Sets {
			if leaveOut && len(bare) == len(p.Items) && reflect.DeepEqual(bare, s.Contents) {
				p.Set, p.Items = s.ID, nil
				n++
			}
		}
		for k := range c.Packs {
			if kind := &c.Packs[k]; kind.Barrier == p.Barrier && kind.Layers == p.Layers && kind.Size == p.Size &&
				len(kind.Indicators) == len(p.Indicators) && reflect.DeepEqual(kind.Wrap, p.Wrap) && p.Type == "" {
				p.Type = kind.ID
				less(p, kind)
			}
		}
	}
	for k := range c.Sterilizers {
		s := &c.Sterilizers[k]
		if s.ID != r.Sterilizer.ID {
			continue
		}
		less(&r.Sterilizer, s)
		if r.Arrangement != nil {
			less(r.Arrangement, s)
		}
		for i := range s.Programs {
			if r.Cycle != nil && r.Cycle.Program == "" && r.Cycle.Settings == s.Programs[i].Settings {
				r.Cycle.Program = s.Programs[i].ID
				less(r.Cycle, &s.Programs[i])
			}
		}
	}
	return n
}

// drop takes away the members that say what those of an entry do.
func drop(to, from reflect.Value) (n int) {
	for i := range from.NumField() {
		field := from.Type().Field(i)
		in := to.FieldByName(field.Name)
		switch {
		case field.Name == "Entry" || field.Name == "ID" || !in.IsValid() || from.Field(i).IsZero():
		case in.Type() == from.Field(i).Type():
			if reflect.DeepEqual(in.Interface(), from.Field(i).Interface()) {
				in.SetZero()
				n++
			}
		case in.Kind() == reflect.Pointer && !in.IsNil() && from.Field(i).Kind() == reflect.Pointer:
			n += drop(in.Elem(), from.Field(i).Elem())
		}
	}
	return n
}

// Four loads are too few, and one that states otherwise takes a member back.
func TestProposeAsksForEnough(t *testing.T) {
	r := loadtest.Pouches()
	assert.Empty(t, propose(t, copies(t, 4, r)...).Catalogue.Items)
	five := copies(t, 5, r)
	p := propose(t, five...)
	require.NotEmpty(t, p.Catalogue.Items)
	name, class := p.Catalogue.Items[0].ID, p.Catalogue.Items[0].Class
	require.NotEmpty(t, class)
	assert.Empty(t, propose(t, five[0], five[0], five[1], five[2], five[3], five[3]).Catalogue.Items, "versions of one")

	other := copyOf(t, r)
	for i := range other.Packs {
		for j := range other.Packs[i].Items {
			if it := &other.Packs[i].Items[j]; it.Name == name {
				it.Class = packaging.Noncritical
			}
		}
	}
	p = propose(t, append(five, other)...)
	assert.Equal(t, name, p.Catalogue.Items[0].ID)
	assert.Empty(t, p.Catalogue.Items[0].Class, "the loads contradict each other")
	backwards := slices.Concat(five, []*load.Record{other})
	slices.Reverse(backwards)
	assert.Equal(t, p, propose(t, backwards...), "whatever their order")
	assert.Equal(t, class, propose(t, five...).Catalogue.Items[0].Class)
}

// A habit that was kept at enough loads is shown with the loads at which it was not, and is
// in no catalogue, as none is signed.
func TestProposeHabits(t *testing.T) {
	five := copies(t, 5, loadtest.Pouches(func(r *load.Record) {
		for i := range r.Packs {
			r.Packs[i].AirExpelled = moistheat.Yes
		}
	}))
	air := func(p *history.Proposal) *history.Observed {
		assert.Empty(t, p.Catalogue.Practices)
		for i := range p.Habits {
			if p.Habits[i].Habit == load.AirPressedOut {
				return &p.Habits[i]
			}
		}
		return nil
	}
	assert.Equal(t, &history.Observed{Habit: load.AirPressedOut, Kept: 5}, air(propose(t, five...)))
	assert.Nil(t, air(propose(t, five[:4]...)))
	five[2].Packs[0].AirExpelled = moistheat.No
	assert.Nil(t, air(propose(t, five...)), "it was kept at four")
	sixth := copyOf(t, five[0])
	sixth.ID = "sixth"
	assert.Equal(t, &history.Observed{Habit: load.AirPressedOut, Kept: 5, Contradicted: []string{five[2].ID}},
		air(propose(t, append(five, sixth)...)))
}

// A pack that holds something else than the others of its name is named.
func TestProposeDeviations(t *testing.T) {
	r := loadtest.Pouches(func(r *load.Record) {
		r.Packs = r.Packs[:1]
		r.Packs[0].Label.Contents = "nail set"
		it := r.Packs[0].Items[0]
		it.Name, it.Count = "nipper", 1
		more := it
		more.Name, more.Count = "curette", 2
		r.Packs[0].Items = []packaging.Item{it, more}
	})
	many := copies(t, 9, r)
	short := copyOf(t, r)
	short.ID = "short"
	short.Packs[0].Items[1].Count = 1
	p := propose(t, append(many, short)...)
	want := load.Set{Entry: load.Entry{ID: "nail set", From: since},
		Contents: []load.Content{{Item: "curette", Count: 2}, {Item: "nipper", Count: 1}}}
	assert.Equal(t, []load.Set{want}, p.Catalogue.Sets)
	assert.Equal(t, []history.Deviation{{Record: "short", Pack: r.Packs[0].ID, Set: "nail set",
		Holds: []load.Content{{Item: "curette", Count: 1}, {Item: "nipper", Count: 1}}}}, p.Deviations)
	p = propose(t, append(many[:8], short)...)
	assert.Empty(t, p.Catalogue.Sets, "more than one in ten deviates, so that it is not clear what the set is")
	assert.Empty(t, p.Deviations)
}

// Nothing that only a load shows is proposed, and nothing that came from a catalogue is
// learned again.
func TestProposeOnlyWhatIsAlwaysSo(t *testing.T) {
	data, err := os.ReadFile("../../examples/checkload/clinic/catalogue.json")
	require.NoError(t, err)
	c, err := load.DecodeCatalogue(data)
	require.NoError(t, err)
	f, err := c.Facts()
	require.NoError(t, err)
	data, err = os.ReadFile("../../examples/checkload/clinic/log.json")
	require.NoError(t, err)
	log, err := load.Decode(data)
	require.NoError(t, err)
	policy, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	logs := copies(t, 6, log)
	for _, r := range logs {
		if p := propose(t, logs...); assert.Empty(t, p.Catalogue.Items) {
			assert.Empty(t, p.Catalogue.Packs, r.ID)
			break
		}
	}
	for i := range logs {
		logs[i] = f.Resolve(logs[i], policy)
	}
	assert.Equal(t, &history.Proposal{Catalogue: &load.Catalogue{Format: load.CatalogueFormat, ID: "proposal"}},
		propose(t, logs...))
	assert.Equal(t, propose(t), propose(t, nil, nil))
	_, err = history.Propose(slices.Values(copies(t, 5, loadtest.Pouches())), moistheat.Date{}, nil)
	var e *moistheat.DocumentError
	assert.ErrorAs(t, err, &e, "entries need a day")
}

// clinicLogs returns the catalogue of the clinic and six loads that refer to it.
func clinicLogs(t *testing.T) (*load.Catalogue, []*load.Record) {
	t.Helper()
	data, err := os.ReadFile("../../examples/checkload/clinic/catalogue.json")
	require.NoError(t, err)
	c, err := load.DecodeCatalogue(data)
	require.NoError(t, err)
	data, err = os.ReadFile("../../examples/checkload/clinic/log.json")
	require.NoError(t, err)
	log, err := load.Decode(data)
	require.NoError(t, err)
	return c, copies(t, 6, log)
}

func beyond(t *testing.T, c *load.Catalogue, records []*load.Record) *history.Proposal {
	t.Helper()
	p, err := history.Propose(slices.Values(records), moistheat.NewDate(2026, 4, 1), c)
	require.NoError(t, err)
	return p
}

// each calls do for every pack of every record.
func each(records []*load.Record, do func(r *load.Record, p *load.Pack)) {
	for _, r := range records {
		for i := range r.Packs {
			do(r, &r.Packs[i])
		}
	}
}

// What the catalogue holds is not proposed again: loads that say nothing else leave nothing to add.
func TestProposeNothingBeyond(t *testing.T) {
	c, logs := clinicLogs(t)
	p := beyond(t, c, logs)
	assert.Equal(t, &history.Proposal{Catalogue: &load.Catalogue{Format: load.CatalogueFormat, ID: "proposal"}}, p)
	assert.Empty(t, p.Text())
	// Nor where a record writes out what an entry says.
	each(logs, func(r *load.Record, p *load.Pack) {
		p.Set, p.Items = "", []packaging.Item{
			{Name: "nail nipper", Count: 1, Class: packaging.Critical, HeatTolerant: moistheat.Yes},
			{Name: "curette", Count: 2, HasTraits: moistheat.Yes, Materials: c.Items[1].Materials},
		}
		r.Cycle.Program, r.Cycle.Settings, r.Cycle.Type = "", c.Sterilizers[0].Programs[0].Settings, load.TypeB
		r.Cycle.Purpose = c.Sterilizers[0].Programs[0].Purpose
		r.Sterilizer.CycleTypes = c.Sterilizers[0].CycleTypes
	})
	p = beyond(t, c, logs)
	assert.Equal(t, &history.Proposal{Catalogue: &load.Catalogue{Format: load.CatalogueFormat, ID: "proposal"}}, p)
}

// A set, an item and a program that records refer to and the catalogue does not have are proposed
// under the names that the records use, once five loads agree on them.
func TestProposeWhatIsMissing(t *testing.T) {
	c, logs := clinicLogs(t)
	each(logs, func(_ *load.Record, p *load.Pack) {
		p.Set, p.Items = "toe set", []packaging.Item{
			{Name: "nipper", Type: "nipper", Count: 1},
			{Name: "probe", Type: "probe", Count: 1, Class: packaging.Critical, HasLumens: moistheat.No},
		}
	})
	for _, r := range logs {
		r.Cycle.Program, r.Cycle.Settings = "", c.Sterilizers[0].Programs[0].Settings
		r.Cycle.Settings.Drying = units.New(30, 0, units.Minute)
	}
	p := beyond(t, c, logs)
	from := moistheat.NewDate(2026, 4, 1)
	assert.Equal(t, []load.ItemType{{Entry: load.Entry{ID: "probe", From: from}, Class: packaging.Critical,
		HasLumens: moistheat.No}}, p.Catalogue.Items)
	assert.Equal(t, []load.Set{{Entry: load.Entry{ID: "toe set", From: from}, Contents: []load.Content{
		{Item: "nipper", Count: 1}, {Item: "probe", Count: 1}}}}, p.Catalogue.Sets)
	if assert.Len(t, p.Catalogue.Sterilizers, 1) {
		s := p.Catalogue.Sterilizers[0]
		assert.Equal(t, load.Entry{ID: "S1", From: from}, s.Entry)
		assert.Equal(t, c.Sterilizers[0].Capacity, s.Capacity, "what the entry said it still says")
		if assert.Len(t, s.Programs, 2) {
			assert.Equal(t, c.Sterilizers[0].Programs[0], s.Programs[0])
			assert.Equal(t, logs[0].Cycle.Settings, s.Programs[1].Settings)
		}
	}
	assert.Empty(t, p.Catalogue.Packs)
	assert.Empty(t, p.Deviations)
	assert.Empty(t, p.Contradictions)
	four := beyond(t, c, logs[:4])
	assert.Empty(t, four.Catalogue.Sets, "four loads are too few")
	assert.Empty(t, four.Catalogue.Items)
	assert.Empty(t, four.Catalogue.Sterilizers)
}

// What an entry leaves open and five loads state is proposed as the whole entry, in force from the
// day; what one load states otherwise is not, and is named whoever is right.
func TestProposeMoreOfAnEntry(t *testing.T) {
	c, logs := clinicLogs(t)
	c.Items[0].HeatTolerant, c.Items[1].HeatTolerant = moistheat.NotRecorded, moistheat.NotRecorded
	c.Items[0].Instructions.Hold = units.Duration{}
	three := units.New(3, 0, units.Minute)
	each(logs, func(_ *load.Record, p *load.Pack) {
		p.Set, p.Items = "", []packaging.Item{
			{Name: "nipper", Type: "nipper", Count: 1, HeatTolerant: moistheat.Yes,
				Instructions: &packaging.Instructions{Hold: three}},
			{Name: "curette", Type: "curette", Count: 2, HeatTolerant: moistheat.Yes},
		}
	})
	logs[5].Packs[0].Items[1].HeatTolerant = moistheat.No
	logs[3].Packs[1].Items[0].Class = packaging.Noncritical
	logs[4].Sterilizer.AirDetector = moistheat.No
	p := beyond(t, c, logs)
	want := c.Items[0]
	want.From, want.HeatTolerant = moistheat.NewDate(2026, 4, 1), moistheat.Yes
	in := *want.Instructions
	in.Hold, want.Instructions = three, &in
	assert.Equal(t, []load.ItemType{want}, p.Catalogue.Items, "of the curette the loads contradict each other")
	assert.False(t, c.Items[0].Instructions.Hold.IsValid(), "the catalogue is the caller's")
	assert.Equal(t, []history.Contradiction{
		{Pointer: "/items/0/class", Entry: "nipper", Records: []string{logs[3].ID}},
		{Pointer: "/sterilizers/0/airDetector", Entry: "S1", Records: []string{logs[4].ID}},
	}, p.Contradictions)
	assert.Contains(t, p.Text(),
		"contradicts the catalogue: /items/0/class of the entry nipper (records:\n  2026-0309-7-3)")
}

// A pack that holds something else than its set is named, though it be one: the list of the set is
// known, and needs no five loads.
func TestProposeDeviatesFromSet(t *testing.T) {
	c, logs := clinicLogs(t)
	short := &logs[2].Packs[1]
	short.Items = []packaging.Item{
		{Name: "nipper", Type: "nipper", Count: 1}, {Name: "curette", Type: "curette", Count: 1}}
	labelled := &logs[4].Packs[2]
	labelled.Set, labelled.Items = "", []packaging.Item{{Name: "bone curette", Count: 3}}
	p := beyond(t, c, logs)
	assert.Equal(t, []history.Deviation{
		{Record: logs[2].ID, Pack: "P2", Set: "nail set",
			Holds: []load.Content{{Item: "curette", Count: 1}, {Item: "nipper", Count: 1}}},
		{Record: logs[4].ID, Pack: "P3", Set: "nail set", Holds: []load.Content{{Item: "curette", Count: 3}}},
	}, p.Deviations)
	assert.Empty(t, p.Catalogue.Sets)
	// In a set of sets the items count that it comes to.
	c.Sets = append(c.Sets, load.Set{Entry: load.Entry{ID: "double", From: c.Sets[0].From},
		Contents: []load.Content{{Set: "nail set", Count: 2}}})
	short.Set, short.Items[0].Count, short.Items[1].Count = "double", 2, 4
	p = beyond(t, c, logs)
	assert.Len(t, p.Deviations, 1)
}

// A habit for which a practice is signed is proposed no more, but is named if a load contradicts it.
func TestProposeHabitsBeyond(t *testing.T) {
	c, logs := clinicLogs(t)
	each(logs, func(_ *load.Record, p *load.Pack) { p.AirExpelled, p.Reused = moistheat.Yes, moistheat.No })
	assert.Empty(t, beyond(t, c, logs).Habits)
	c.Practices = slices.DeleteFunc(c.Practices, func(p load.Practice) bool { return p.Habit == load.BarriersNew })
	assert.Equal(t, []history.Observed{{Habit: load.BarriersNew, Kept: 6}}, beyond(t, c, logs).Habits)
	logs[0].Packs[0].AirExpelled = moistheat.No
	assert.Equal(t, []history.Observed{{Habit: load.AirPressedOut, Kept: 5, Contradicted: []string{logs[0].ID}},
		{Habit: load.BarriersNew, Kept: 6}}, beyond(t, c, logs).Habits)
	// One contradiction is named, however few loads kept the habit.
	assert.Len(t, beyond(t, c, logs[:2]).Habits, 1)
	// A practice that is over on the day is proposed again.
	assert.Empty(t, beyond(t, c, logs[1:]).Habits[1:])
	for i := range c.Practices {
		c.Practices[i].Until = moistheat.NewDate(2026, 4, 1)
	}
	assert.Len(t, beyond(t, c, logs[1:]).Habits, 2)
}

// A catalogue that is wrong cannot be proposed to.
func TestProposeBeyondWrongCatalogue(t *testing.T) {
	c, logs := clinicLogs(t)
	c.Sets[0].Contents[0].Item = "no such item"
	_, err := history.Propose(slices.Values(logs), since, c)
	var e *moistheat.DocumentError
	assert.ErrorAs(t, err, &e)
	assert.Equal(t, "/sets/0/contents/0/item", e.Pointer)
}
