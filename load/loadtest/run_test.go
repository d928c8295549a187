package loadtest_test

import (
	"encoding/json"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/units"
)

func conformance(t *testing.T) *loadtest.Corpus {
	t.Helper()
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	return c
}

// vector returns a vector of the corpus with a change to it.
func vector(t *testing.T, id string, change func(*loadtest.Vector)) *loadtest.Vector {
	t.Helper()
	for _, v := range conformance(t).Vectors() {
		if v.ID == id {
			if change != nil {
				change(v)
			}
			return v
		}
	}
	t.Fatalf("there is no vector %q", id)
	return nil
}

const (
	wet           = "load.pack.wet: broken"
	fits          = "load.fit.container: met"
	storage       = "load.storage.event: broken, dropped"
	numberMissing = "load.history.gap: broken"
)

// What a vector expects must be something that its judge can show.
func TestVectorsThatProveNothing(t *testing.T) {
	expect := func(rule string, o moistheat.Outcome, pointer string) func(*loadtest.Vector) {
		return func(v *loadtest.Vector) {
			v.Rule, v.Patch, v.Expect = rule, nil, loadtest.Expected{Outcome: o, Pointer: pointer}
		}
	}
	warn := func(hazards ...moistheat.Hazard) func(*loadtest.Vector) {
		return func(v *loadtest.Vector) { v.Expect.Hazards = hazards }
	}
	for _, test := range []struct {
		name, id string
		change   func(*loadtest.Vector)
		want     string // "": it holds
	}{
		{"a rule that does not exist, of a plan", fits, expect("no.such.rule", moistheat.NotInForce, ""), `there is no rule "no.such.rule"`},
		{"a rule that does not exist, of a stored pack", storage, expect("no.such.rule", moistheat.NotInForce, ""), `there is no rule "no.such.rule"`},
		{"a rule that does not exist, of a history", numberMissing, expect("no.such.rule", moistheat.NotInForce, ""), `there is no rule "no.such.rule"`},
		{"a rule of records, of a stored pack", storage, expect("load.pack.wet", moistheat.NotApplicable, ""), `one of "record"`},
		{"a rule of records, of a history", numberMissing, expect("load.pack.wet", moistheat.NotApplicable, ""), `one of "record"`},
		{"a rule of histories, of a stored pack", storage, expect("load.history.gap", moistheat.NotApplicable, ""), `one of "history"`},
		{"a rule of stored packs, of a record", wet, expect("load.storage.event", moistheat.NotApplicable, ""), `one of "stored"`},
		{"met, of a rule that no plan evaluates", fits, expect("load.pack.wet", moistheat.Met, ""), "want load.pack.wet"},
		{"met, at a place that is not there", fits, expect("load.pack.wet", moistheat.Met, "/nonsense/77"), "want load.pack.wet"},
		{"fit, at a place that is not there", fits, expect("load.fit.container", moistheat.Met, "/nonsense/77"), "want load.fit.container"},
		{"fit, though it does not apply", fits, func(v *loadtest.Vector) { v.Base = "pouches" }, "want load.fit.container"},
		{"fit of a record that names no cycle", fits, func(v *loadtest.Vector) {
			v.Patch = []loadtest.Op{{Op: "remove", Path: "/cycle"}}
		}, "want load.fit.container"},
		{"not applicable, of a plan", fits, expect("load.fit.container", moistheat.NotApplicable, ""), "ask the record"},
		{"not in force though it is", storage, expect("load.storage.event", moistheat.NotInForce, ""), "want load.storage.event not in force"},
		{"a pointer of what does not apply", wet, expect("load.implant.void", moistheat.NotApplicable, "/packs/0"), "has no pointer"},
		{"a hazard of which nothing warns", wet, warn("burn"), `want load.pack.wet to warn of "burn"`},
		{"a hazard of another rule", wet, func(v *loadtest.Vector) {
			v.Patch = append(v.Patch, loadtest.Op{Op: "replace", Path: "/cycle/aborted", Value: json.RawMessage("true")})
			v.Expect = loadtest.Expected{Outcome: moistheat.Broken, Pointer: v.Expect.Pointer,
				Hazards: []moistheat.Hazard{"sharp", "pressure"}}
		}, `want load.pack.wet to warn of "pressure"`},
		{"a hazard of a stored pack", storage, warn("prion"), `want load.storage.event to warn of "prion"`},
		{"a hazard of what is met", fits, warn("sharp"), "leave the hazards out"},
		{"no outcome", wet, func(v *loadtest.Vector) { v.Expect.Outcome = 0 }, "want load.pack.wet"},

		{"hazards of a record", wet, warn("sharp", "biological"), ""},
		{"hazards of a stored pack", storage, warn("sharp"), ""},
		{"met, by a plan that does not list it", fits, nil, ""},
		{"not listed by a history", "load.history.undated: not applicable", nil, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			err := vector(t, test.id, test.change).Run(nil)
			if test.want == "" {
				assert.NoError(t, err)
				return
			}
			assert.ErrorContains(t, err, test.want)
		})
	}
}

// A vector or a judgement made from nothing gets an error that says what to do.
func TestHandMade(t *testing.T) {
	alone := &loadtest.Vector{ID: "alone", Rule: "load.pack.wet", Subject: loadtest.SubjectRecord, Policy: json.RawMessage(`"us-cdc-2003"`), Base: "pouches"}
	assert.ErrorContains(t, alone.Run(nil), "belongs to no corpus")
	_, err := alone.Judge([]byte(`{}`), nil)
	assert.ErrorContains(t, err, "belongs to no corpus")
	_, err = alone.Document()
	assert.ErrorContains(t, err, "belongs to no corpus")
	_, err = alone.Judge(nil, nil)
	assert.ErrorContains(t, err, "belongs to no corpus")
	_, err = (&loadtest.Base{Name: "own"}).Document()
	assert.ErrorContains(t, err, `base "own" holds no document`)

	assert.ErrorContains(t, vector(t, wet, nil).Compare(nil), "there is no judgement")
	for _, v := range conformance(t).Vectors() {
		assert.Error(t, v.Compare(&loadtest.Judgement{}), "%s: an empty judgement shows nothing", v.ID)
	}
}

// Each rule has one judge, and what the judges find says the same.
func TestEveryRuleHasItsJudge(t *testing.T) {
	by := map[loadtest.Subject]map[string]bool{}
	for i, v := range conformance(t).Vectors() {
		if by[v.Subject] == nil {
			by[v.Subject] = map[string]bool{}
		}
		by[v.Subject][v.Rule] = true
		if v.Subject == loadtest.SubjectPlan || !full() && (testing.Short() || i%32 != 0) {
			continue
		}
		j, err := v.Judge(nil, nil)
		require.NoError(t, err, v.ID)
		for _, f := range j.Findings {
			by[v.Subject][f.Rule] = true
		}
	}
	for _, r := range load.Rules() {
		var judges []string
		for _, kind := range []loadtest.Subject{loadtest.SubjectRecord, loadtest.SubjectHistory, loadtest.SubjectStored} {
			if by[kind][r.ID] {
				judges = append(judges, string(kind))
			}
		}
		if r.ID == "load.internal.failure" || strings.HasPrefix(r.ID, "load.open.") {
			continue // no document can bring it about; it answers a question
		}
		require.Len(t, judges, 1, r.ID)
		for _, kind := range []loadtest.Subject{loadtest.SubjectRecord, loadtest.SubjectHistory, loadtest.SubjectStored} {
			v := &loadtest.Vector{Rule: r.ID, Subject: kind}
			err := v.Compare(&loadtest.Judgement{})
			if string(kind) == judges[0] {
				assert.NotContains(t, err.Error(), "is no rule of", r.ID)
			} else {
				assert.ErrorContains(t, err, `it is one of "`+judges[0]+`"`)
			}
		}
	}
}

// edited returns software that keeps records and changes something on the way.
func edited(edit func(*load.Record)) func([]byte) ([]byte, error) {
	return func(doc []byte) ([]byte, error) {
		r, err := load.Decode(doc)
		if err != nil {
			return nil, err
		}
		edit(r)
		return json.Marshal(r)
	}
}

// Software that loses something on the way is told what, though no verdict changes.
func TestRunTellsWhatIsLost(t *testing.T) {
	const id = "packaging.seal.narrow: broken"
	for _, test := range []struct {
		name string
		edit func(*load.Record)
		want string
	}{
		{"the air detector", func(r *load.Record) { r.Sterilizer.AirDetector = moistheat.NotRecorded }, `"/sterilizer/airDetector": was `},
		{"the packer", func(r *load.Record) { r.Packs[1].Label.Packer = "" }, `"/packs/1/label/packer": was "`},
		{"the record's id", func(r *load.Record) { r.ID = "1" }, `"/id": was "`},
		{"the start of the trace", func(r *load.Record) { r.Cycle.Trace.Start = r.Cycle.Trace.Start.Add(time.Second) }, `"/cycle/trace/start": was "`},
		{"the site", func(r *load.Record) { r.Site = load.Site{} }, `"/site": was {`},
		{"a reading", func(r *load.Record) { r.Cycle.Trace.Temperatures[0].Values[3] += 0.1 }, `"/cycle/trace/temperatures/0/values/3": was `},
		{"the name of a sensor", func(r *load.Record) { r.Cycle.Trace.Temperatures[0].ID = "T9" }, `"/cycle/trace/temperatures/0/id": was "`},
		{"a hundredth of a mass", func(r *load.Record) {
			r.Packs[1].Mass = units.MustParse[units.MassUnit]("1234.56 g")
		}, `"/packs/1/mass": was `},
		{"the day of an instant", func(r *load.Record) {
			r.Unloading.Time = r.Unloading.Time.In(time.FixedZone("", -14*3600))
		}, `"/unloading/time": was "`},
	} {
		t.Run(test.name, func(t *testing.T) {
			err := vector(t, id, nil).Run(edited(func(r *load.Record) {
				before, _ := json.Marshal(r)
				test.edit(r)
				after, _ := json.Marshal(r)
				require.NotEqual(t, string(before), string(after), "the base has nothing to lose")
			}))
			require.ErrorContains(t, err, "says something else")
			assert.ErrorContains(t, err, test.want)
		})
	}
	assert.NoError(t, vector(t, id, nil).Run(edited(func(*load.Record) {})))
	empty := func(r *load.Record) { r.Waivers = []moistheat.Waiver{} } // says no more than an absent one
	assert.NoError(t, vector(t, id, nil).Run(edited(empty)))
	assert.NoError(t, vector(t, id, nil).Run(nil))
	err := vector(t, id, nil).Run(func([]byte) ([]byte, error) { return nil, io.ErrUnexpectedEOF })
	assert.ErrorIs(t, err, io.ErrUnexpectedEOF)
	err = vector(t, id, nil).Run(func([]byte) ([]byte, error) { return nil, loadtest.ErrDeclined })
	assert.ErrorIs(t, err, loadtest.ErrDeclined)
}

func TestDiffDocuments(t *testing.T) {
	lines := func(list ...string) string { return "[" + strings.Join(list, ",") + "]" }
	const (
		a    = `{"format": "moistheat.event/1", "id": "a", "sterilizer": "S", "kind": "leak", "time": "2026-03-09T08:00:00+01:00", "leakRate": {"value": 1.3, "unit": "mbar/min"}}`
		same = `{"id": "a", "format": "moistheat.event/1", "sterilizer": "S", "kind": "leak", "time": "2026-03-09T07:00:00Z", "leakRate": {"value": 0.130, "unit": "kPa/min"}}`
		not  = `{"format": "moistheat.event/1", "id": "a", "sterilizer": "S", "kind": "leak", "time": "2026-03-09T08:00:00+01:00", "leakRate": {"value": 1.4, "unit": "mbar/min"}}`
		b    = `{"format": "moistheat.event/1", "id": "b", "sterilizer": "S", "kind": "repaired", "time": "2026-03-09T09:00:00+01:00"}`
		pack = `{"format": "moistheat.stored/1", "pack": "P1"}`
		aged = `{"format": "moistheat.stored/1", "pack": "P1", "layers": 2}`
	)
	for _, test := range []struct {
		name    string
		kind    loadtest.Subject
		was, is string
		want    string
	}{
		{"a stored pack", loadtest.SubjectStored, pack, pack, ""},
		{"a member more", loadtest.SubjectStored, pack, aged, "\"/layers\": was absent, is 2\n"},
		{"a member less", loadtest.SubjectStored, aged, pack, "\"/layers\": was 2, is absent\n"},
		{"another unit, zone and order of members", loadtest.SubjectHistory, lines(a), lines(same), ""},
		{"lines in another order and twice", loadtest.SubjectHistory, lines(a, b, pack), lines(pack, same, b, a, b), ""},
		{"a line of which the first has two", loadtest.SubjectHistory, lines(a, not), lines(not, a), ""},
		{"a line less", loadtest.SubjectHistory, lines(a, b), lines(a), "\"/1\": event \"b\" is missing\n"},
		{"a line more", loadtest.SubjectHistory, lines(a), lines(a, b), "\"\": line 1 of the second document, event \"b\", is not in the first\n"},
		{"another line of one id more", loadtest.SubjectHistory, lines(a), lines(a, not), "\"\": line 1 of the second document, event \"a\", is not in the first\n"},
		{"a line that says something else", loadtest.SubjectHistory, lines(b, a), lines(b, not),
			"\"/1/leakRate\": was {\"value\":1.3,\"unit\":\"mbar/min\"}, is {\"value\":1.4,\"unit\":\"mbar/min\"}\n"},
	} {
		t.Run(test.name, func(t *testing.T) {
			got, err := loadtest.DiffDocuments(test.kind, []byte(test.was), []byte(test.is))
			require.NoError(t, err)
			assert.Equal(t, test.want, got)
		})
	}
	_, err := loadtest.DiffDocuments(loadtest.SubjectStored, []byte(pack), []byte(a))
	assert.ErrorContains(t, err, "the second document")
	assert.ErrorIs(t, err, moistheat.ErrShape)
	_, err = loadtest.DiffDocuments("", []byte(pack), []byte(pack))
	assert.ErrorContains(t, err, "it is not said what judges it")
}

// A long list of differences is cut.
func TestDiffDocumentsIsShort(t *testing.T) {
	was, err := json.Marshal(loadtest.Pouches(func(r *load.Record) { r.Packs = nil }))
	require.NoError(t, err)
	is, err := json.Marshal(loadtest.Pouches(func(r *load.Record) {
		for len(r.Packs) < 30 {
			r.Packs = append(r.Packs, r.Packs[0])
		}
	}))
	require.NoError(t, err)
	got, err := loadtest.DiffDocuments(loadtest.SubjectRecord, was, is)
	require.NoError(t, err)
	assert.Len(t, strings.Split(strings.TrimSpace(got), "\n"), 21)
	assert.Contains(t, got, "and 10 more")
}

// The corpus stays as it is, whatever becomes of what it returned.
func TestCorpusStaysAsItIs(t *testing.T) {
	c := conformance(t)
	picture := func() string {
		data, err := json.Marshal(struct {
			Files map[string]*loadtest.File
			All   []*loadtest.Vector
			Bases []*loadtest.Base
		}{c.Files(), c.Vectors(), c.Bases()})
		require.NoError(t, err)
		return string(data)
	}
	before := picture()
	spoil := func(v *loadtest.Vector) {
		copy(v.Policy, "xxxx")
		for i := range v.Patch {
			copy(v.Patch[i].Value, "xxxx")
			v.Patch[i].Path = "/x"
		}
		for i := range v.Expect.Also {
			v.Expect.Also[i].Rule = "x"
		}
		for i := range v.Expect.Packs {
			v.Expect.Packs[i] = 0
		}
		v.ID, v.Rule, v.Base = "x", "x", "x"
	}
	for _, f := range c.Files() {
		for i, v := range f.Vectors {
			spoil(v)
			f.Vectors[i] = nil
		}
		for i := range f.Exempt {
			f.Exempt[i].Rule = "x"
		}
		f.About = "x"
	}
	for _, v := range c.Vectors() {
		spoil(v)
	}
	for _, b := range c.Bases() {
		b.Name, b.Subject = "x", ""
		for i := range b.Clean {
			b.Clean[i] = "x"
		}
	}
	for _, doc := range c.Policies() {
		copy(doc, "xxxx")
	}
	assert.True(t, before == picture(), "the corpus has changed")
	assert.NoError(t, vector(t, wet, nil).Run(nil))
}

func TestPoliciesOfTheCorpus(t *testing.T) {
	c := conformance(t)
	assert.Contains(t, c.Policies(), "daily-tests")
	for name, doc := range c.Policies() {
		assert.NotContains(t, load.Policies(), name)
		_, err := load.ParsePolicy(doc)
		assert.NoError(t, err)
	}
}
