package loadtest_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/cycle/drawing"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/packaging"
	"example.com/moistheat/schema"
	"example.com/moistheat/water"
)

// What a report in JSON may take, in bytes: a finding and a named rule of the corpus, on
// average and at most. The longest say in words why something is open, twice, in the
// message and in the parameter that it is rendered from, since a reader in another
// language takes the one and a translation the other. A rule names documents by their place
// in the report, and says what to find out only where something is not recorded.
const (
	mostFindingBytes, longestFinding = 300, 650
	mostRuleBytes, longestRule       = 650, 1000
)

// equal compares everything that a value holds; of the answers of a history what they say, as they say
// it in no other language once they were read.
var equal = cmp.Options{
	cmp.Exporter(func(t reflect.Type) bool { return !answers[t] }),
	cmpopts.IgnoreUnexported(history.Procedure{}, history.Step{}, history.Due{}, history.SuspectLoad{}, history.Status{},
		history.Task{}, history.Opening{}),
}

var answers = map[reflect.Type]bool{
	reflect.TypeFor[history.Procedure](): true, reflect.TypeFor[history.Step](): true,
	reflect.TypeFor[history.Due](): true, reflect.TypeFor[history.SuspectLoad](): true,
	reflect.TypeFor[history.Status](): true, reflect.TypeFor[history.Task](): true,
	reflect.TypeFor[history.Opening](): true,
}

// kinds are the published schemas of what is written.
var kinds = map[reflect.Type]schema.Kind{
	reflect.TypeFor[load.Report](): schema.Report, reflect.TypeFor[load.Known](): schema.Known,
	reflect.TypeFor[moistheat.Finding](): schema.Finding, reflect.TypeFor[load.CycleOption](): schema.Choice,
	reflect.TypeFor[history.Due](): schema.Due, reflect.TypeFor[history.SuspectLoad](): schema.Suspect,
	reflect.TypeFor[history.Status](): schema.Status, reflect.TypeFor[history.Procedure](): schema.Procedure,
	reflect.TypeFor[history.Drift](): schema.Drift, reflect.TypeFor[history.Task](): schema.Task, reflect.TypeFor[cycle.Table](): schema.CycleTable,
	reflect.TypeFor[water.Limits](): schema.WaterLimits, reflect.TypeFor[history.Opening](): schema.Opening,
}

// back writes a value and a pointer to it in JSON and reads both back.
func back[T any](t *testing.T, name string, v T) T {
	t.Helper()
	data, err := json.Marshal(v)
	require.NoError(t, err, name)
	byPointer, err := json.Marshal(&v)
	require.NoError(t, err, name)
	require.Equal(t, string(data), string(byPointer), name)
	var read T
	require.NoError(t, json.Unmarshal(data, &read), name)
	return read
}

func bothWays[T any](t *testing.T, name string, v T) {
	t.Helper()
	if kind, has := kinds[reflect.TypeFor[T]()]; has {
		data, err := json.Marshal(v)
		require.NoError(t, err, name)
		faults, err := schema.Validate(kind, data)
		require.NoError(t, err, name)
		require.Empty(t, faults, name)
	}
	if diff := cmp.Diff(v, back(t, name, v), equal); diff != "" {
		t.Errorf("%s: %T: %s", name, v, diff)
	}
}

// eachJudged calls f with the vectors of a subject and what the library finds in them.
func eachJudged(t *testing.T, subject loadtest.Subject, f func(v *loadtest.Vector, doc []byte, j *loadtest.Judgement)) {
	t.Helper()
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	n, step := 0, 12 // more passes of each are a minute for all
	if !full() {
		step = 128
	}
	if subject == loadtest.SubjectHistory { // of which there are few
		step /= 6
	}
	of := -1
	for _, v := range c.Vectors() {
		if v.Subject == subject {
			of++
		}
		if v.Subject != subject || of%step != 0 {
			continue
		}
		doc, err := v.Document()
		require.NoError(t, err, v.ID)
		j, err := v.Judge(doc, nil)
		require.NoError(t, err, v.ID)
		f(v, doc, j)
		n++
	}
	require.NotZero(t, n)
}

// Reports of the corpus are documents of their schema, small, and say and draw the same when
// they are read back.
func TestReportsBothWays(t *testing.T) {
	t.Parallel()
	var findings, findingBytes, rules, ruleBytes, drawn int
	eachJudged(t, loadtest.SubjectRecord, func(v *loadtest.Vector, doc []byte, j *loadtest.Judgement) {
		r := j.Report
		bothWays(t, v.ID, *r)
		read := back(t, v.ID, *r)
		require.Equal(t, r.Text(), read.Text(), v.ID)
		require.Empty(t, cmp.Diff(r.Questions(), read.Questions()), v.ID)
		data, err := json.Marshal(r)
		require.NoError(t, err)
		faults, err := schema.Validate(schema.Report, data)
		require.NoError(t, err)
		require.Empty(t, faults, v.ID)
		record, err := load.Decode(doc)
		require.NoError(t, err)
		var known load.Known
		if v.Known != nil {
			known = *v.Known
		}
		open, err := json.Marshal(load.CheckKnowing(record, j.Policy, known))
		require.NoError(t, err)
		var parts struct{ Findings, Rules []json.RawMessage }
		require.NoError(t, json.Unmarshal(open, &parts))
		for _, f := range parts.Findings {
			findings, findingBytes = findings+1, findingBytes+len(f)
			assert.LessOrEqual(t, len(f), longestFinding, "%s: %s", v.ID, f)
		}
		for _, r := range parts.Rules {
			rules, ruleBytes = rules+1, ruleBytes+len(r)
			assert.LessOrEqual(t, len(r), longestRule, "%s: %s", v.ID, r)
		}
		for _, f := range r.Findings {
			bothWays(t, v.ID, f)
		}
		if read.Analysis != nil && drawn < 20 {
			var was, is writer
			if drawing.SVG(&was, record.Cycle.Trace, r.Analysis) == nil {
				require.NoError(t, drawing.SVG(&is, record.Cycle.Trace, read.Analysis))
				require.Equal(t, was, is, v.ID)
				drawn++
			}
		}
		if v.Known != nil {
			bothWays(t, v.ID, *v.Known)
		}
	})
	assert.NotZero(t, drawn)
	t.Logf("%d findings of %d bytes, %d rules of %d bytes", findings, findingBytes/findings, rules, ruleBytes/rules)
	if full() { // the average of a small sample says little
		assert.LessOrEqual(t, findingBytes/findings, mostFindingBytes)
		assert.LessOrEqual(t, ruleBytes/rules, mostRuleBytes)
	}
}

type writer []byte

func (w *writer) Write(p []byte) (int, error) { *w = append(*w, p...); return len(p), nil }

// What decided is what decides: it reaches the disposition, and nothing else about a pack
// that is held does.
func TestWhatDecided(t *testing.T) {
	eachJudged(t, loadtest.SubjectRecord, func(v *loadtest.Vector, _ []byte, j *loadtest.Judgement) {
		r := j.Report
		for _, i := range r.Decided.Load {
			f := r.Findings[i]
			assert.True(t, f.Blocks, v.ID)
			assert.Equal(t, r.Verdict.Load, max(f.Effect.Load, f.Effect.Pack), v.ID)
		}
		for _, p := range r.Packs {
			held := p.Disposition != moistheat.Release
			assert.Equal(t, held, len(p.DecidedBy) > 0 || p.ByLoad || p.ByContainer != "", "%s: %s", v.ID, p.ID)
			for _, i := range p.DecidedBy {
				assert.True(t, r.Findings[i].Blocks, v.ID)
				assert.Equal(t, p.Disposition, r.Findings[i].Effect.Pack, v.ID)
			}
		}
		assert.Equal(t, r.Verdict.Load != moistheat.Release, len(r.Decided.Load) > 0 || r.Decided.Packs, v.ID)
		assert.Equal(t, r.Verdict.Sterilizer == moistheat.OutOfService, len(r.Decided.Sterilizer) > 0, v.ID)
		assert.Equal(t, r.Verdict.Recall, len(r.Decided.Recall) > 0, v.ID)
	})
}

// Each open undetermined finding is in one question, and says which members answer it.
func TestQuestionsAskForEverything(t *testing.T) {
	unnamed := map[string]bool{}
	eachJudged(t, loadtest.SubjectRecord, func(v *loadtest.Vector, _ []byte, j *loadtest.Judgement) {
		r := j.Report
		asked := map[int]bool{}
		last := [2]int{1 << 30, 1 << 30}
		for _, q := range r.Questions() {
			rank := [2]int{q.Frees, q.Holds}
			assert.False(t, rank[0] > last[0] || rank[0] == last[0] && rank[1] > last[1], "%s: out of order", v.ID)
			last = rank
			assert.LessOrEqual(t, q.Frees, q.Holds, v.ID)
			assert.LessOrEqual(t, q.Holds, len(r.Packs), v.ID)
			assert.NotEmpty(t, q.Text, v.ID)
			blocks := false
			for _, i := range q.Findings {
				assert.False(t, asked[i], v.ID)
				asked[i] = true
				blocks = blocks || r.Findings[i].Blocks
			}
			rejected := slices.ContainsFunc(r.Packs, func(p load.PackVerdict) bool { return p.Disposition == moistheat.Reject })
			assert.True(t, blocks || q.Holds == 0, "%s: %s", v.ID, q.Act)
			assert.True(t, q.Holds > 0 || !blocks || len(r.Packs) == 0 || rejected, "%s: %s", v.ID, q.Act)
		}
		for i, f := range r.Findings {
			assert.Equal(t, f.Outcome == moistheat.Undetermined && f.Waiver == nil, asked[i], v.ID)
			if f.Outcome == moistheat.Undetermined && f.Reason == moistheat.Unrecorded && len(f.Answers) == 0 {
				unnamed[f.Rule] = true
			}
		}
	})
	assert.Empty(t, unnamed, "rules that do not say which members answer them")
}

// What a history answers, both ways.
func TestHistoriesBothWays(t *testing.T) {
	t.Parallel()
	n := map[string]int{}
	policy, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	german, err := moistheat.LanguageFor("de")
	require.NoError(t, err)
	judge := func(name string, entries []history.Entry, at time.Time) {
		h := history.New(policy)
		packs := []string{"none such"}
		for _, e := range entries {
			h.AddEntry(e)
			if r := e.Record; r != nil && len(r.Packs) > 0 && len(packs) < 4 {
				packs = append(packs, r.Packs[0].ID)
			}
		}
		for _, pack := range packs {
			for _, in := range []moistheat.Language{{}, german} {
				o := h.MayOpen(pack, at).In(in)
				each(t, n, name, []history.Opening{o})
				require.Equal(t, o.Text(), back(t, name, o).Text(), name)
			}
		}
		each(t, n, name, h.Due(at))
		each(t, n, name, h.Recall())
		each(t, n, name, h.Status())
		each(t, n, name, h.Procedures())
		each(t, n, name, h.Drift())
		each(t, n, name, h.Agenda(at))
		each(t, n, name, h.Findings(at))
	}
	judge("a fortnight", loadtest.Fortnight(), time.Date(2026, 3, 20, 12, 0, 0, 0, time.UTC))
	eachJudged(t, loadtest.SubjectHistory, func(v *loadtest.Vector, doc []byte, _ *loadtest.Judgement) {
		var lines []json.RawMessage
		require.NoError(t, json.Unmarshal(doc, &lines))
		var all bytes.Buffer
		for _, line := range lines {
			require.NoError(t, json.Compact(&all, line))
			all.WriteByte('\n')
		}
		var entries []history.Entry
		for e, err := range history.Entries(&all) {
			require.NoError(t, err)
			entries = append(entries, e)
		}
		judge(v.ID, entries, v.At)
	})
	for _, kind := range []string{"history.Due", "history.SuspectLoad", "history.Status", "history.Procedure", "history.Drift", "history.Task",
		"history.Opening"} {
		assert.NotZero(t, n[kind], kind)
	}
}

func each[T any](t *testing.T, n map[string]int, name string, all []T) {
	for _, v := range all {
		bothWays(t, name, v)
		n[fmt.Sprintf("%T", v)]++
	}
}

// Documents that the library carries, and choices of a cycle, both ways.
func TestDocumentsBothWays(t *testing.T) {
	for _, id := range cycle.Tables() {
		table, err := cycle.TableFor(id)
		require.NoError(t, err)
		bothWays(t, id, *table)
	}
	for _, id := range water.LimitNames() {
		limits, err := water.LimitsFor(id)
		require.NoError(t, err)
		read := back(t, id, *limits)
		assert.Equal(t, limits.Info(), read.Info())
		assert.Empty(t, cmp.Diff(limits.Rows(), read.Rows(), equal))
	}
	both, err := packaging.FiguresFor(packaging.FigureNames()...)
	require.NoError(t, err)
	bothWays(t, "all figures", *both)
	for _, id := range packaging.FigureNames() {
		figures, err := packaging.FiguresFor(id)
		require.NoError(t, err)
		bothWays(t, id, *figures)
	}
	for _, name := range load.Policies() {
		p, err := load.PolicyFor(name)
		require.NoError(t, err)
		read := back(t, name, *p)
		assert.Equal(t, p.Digest(), read.Digest(), name)
		assert.Equal(t, p.Title(), read.Title(), name)
		_, err = json.Marshal(p.Accepting(moistheat.Published))
		require.ErrorIs(t, err, moistheat.ErrInvalid, "it is of no document")
		for _, option := range load.CycleOptions(loadtest.Handpiece(), p) {
			bothWays(t, name, option)
		}
	}
	const ours = `{"format":"moistheat.policy/1","name":"ours","title":"our clinic","base":"us-cdc-2003"}`
	p, err := load.ParsePolicy([]byte(ours))
	require.NoError(t, err)
	read := back(t, "ours", *p)
	assert.Equal(t, p.Digest(), read.Digest())
	bad := []byte(`{"format":"moistheat.policy/1","name":"us-cdc-2003","title":"ours"}`)
	assert.Error(t, json.Unmarshal(bad, new(load.Policy)), "that is not what the library carries")
}

func FuzzReport(f *testing.F) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(f, err)
	for _, r := range []*load.Record{loadtest.Pouches(), loadtest.Handpiece(), {}} {
		report := load.Check(r, p)
		report.Counts, report.Rows, report.Policy.LeavesOpen = nil, nil, nil // small, so that many are tried
		report.Findings = report.Findings[:min(3, len(report.Findings))]
		report.Rules = slices.DeleteFunc(report.Rules, func(n load.NamedRule) bool {
			return !slices.ContainsFunc(report.Findings, func(f moistheat.Finding) bool { return f.Rule == n.ID })
		})
		report.Decided = load.Decided{}
		data, err := json.Marshal(report)
		require.NoError(f, err)
		f.Add(data)
	}
	f.Add([]byte(`{"format":"moistheat.report/1","findings":[],"rules":[]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var r load.Report
		if json.Unmarshal(data, &r) != nil {
			return
		}
		_, _ = r.Text(), r.Questions()
		again, err := json.Marshal(r)
		if err != nil {
			return // what no report holds, such as a word that is none
		}
		var read load.Report
		if json.Unmarshal(again, &read) != nil {
			return // a word is missing that each report has, such as the severity of a rule
		}
		require.Equal(t, r.Text(), read.Text())
	})
}

// A report that a program put together is a document too, or is refused where it is written and not
// only where it is read.
func TestHandMadeReports(t *testing.T) {
	policy, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	r := load.Check(loadtest.Pouches(func(r *load.Record) { r.Packs[0].Condition.Dry = moistheat.No }), policy)
	bare := *r
	bare.Packs, bare.Rows, bare.Findings, bare.Rules, bare.Warnings, bare.Counts = nil, nil, nil, nil, nil, nil
	bare.Decided = load.Decided{}
	data, err := json.Marshal(bare)
	require.NoError(t, err)
	assert.NotContains(t, string(data), "null")
	faults, err := schema.Validate(schema.Report, data)
	require.NoError(t, err)
	assert.Empty(t, faults)
	var read load.Report
	require.NoError(t, json.Unmarshal(data, &read))
	assert.Equal(t, bare.Text(), read.Text())
	again, err := json.Marshal(read)
	require.NoError(t, err)
	assert.Equal(t, string(data), string(again))

	require.NotEmpty(t, r.Findings)
	named := *r
	named.Rules = nil
	elsewhere := *r
	elsewhere.Findings = slices.Clone(r.Findings)
	elsewhere.Findings[0].Sources = moistheat.SourcesOf(moistheat.Source{Document: "x", Basis: moistheat.Recalled})
	for pointer, bad := range map[string]load.Report{"/findings/0/rule": named, "/findings/0/sources": elsewhere} {
		_, err := json.Marshal(bad)
		e := (*moistheat.DocumentError)(nil)
		require.ErrorAs(t, err, &e)
		assert.Equal(t, pointer, e.Pointer)
		assert.ErrorIs(t, err, moistheat.ErrInvalid)
		_, err = bad.JSON()
		assert.ErrorAs(t, err, &e)
		assert.NotEmpty(t, bad.Text(), "for a person it is what it was")
	}
}

// Of a sterilizer that the history does not know nothing is known. No document says so: one that did
// would be a history in which nothing happened.
func TestNothingKnownIsNoDocument(t *testing.T) {
	policy, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	r := loadtest.Pouches()
	known := history.New(policy).Known(r)
	_, err = json.Marshal(known)
	e := (*moistheat.DocumentError)(nil)
	require.ErrorAs(t, err, &e)
	assert.ErrorIs(t, err, moistheat.ErrInvalid)
	assert.Contains(t, e.Problem, "check the record without one")
	assert.True(t, load.CheckKnowing(r, policy, known).Known.Alone)
}
