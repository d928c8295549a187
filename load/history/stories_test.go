package history

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"github.com/stretchr/testify/require"
)

// storyFormat is the value of a story's "format" member.
const storyFormat = "moistheat.story/1"

// A story is a history with what its documents say of it, written before the code that
// answers. NAME.ndjson holds the lines in the order in which they arrive. Words with a
// bar between them are alternatives: the documents do not choose.
type story struct {
	Format    string             `json:"format"`
	ID        string             `json:"id"`
	Title     string             `json:"title"`
	Story     string             `json:"story"`
	Documents []moistheat.Source `json:"documents"`
	Expect    []storyAnswer      `json:"expect"`
	Why       string             `json:"why"`
}

// A storyAnswer is what is to be said after some lines, under each of some policies. A
// list that is absent is not decided by the documents; the others are as complete as
// their comments say.
type storyAnswer struct {
	Policies     []string       `json:"policies"`
	After        int            `json:"after"` // lines; absent: all
	At           time.Time      `json:"at"`
	OutOfService []storyOutage  `json:"outOfService"` // all times, joined where they touch
	More         bool           `json:"more"`         // further suspects are allowed
	Suspects     []storySuspect `json:"suspects"`     // all of them
	Due          []storyDue     `json:"due"`          // some
	Findings     []storyFinding `json:"findings"`     // some
	Check        []storyCheck   `json:"check"`        // some
	Open         []storyOpening `json:"open"`         // some
	Chains       []storyChain   `json:"chains"`       // all
}

// A storyOpening is whether a pack may be opened, and a rule that is open then.
type storyOpening struct {
	Pack   string `json:"pack"`
	Answer string `json:"answer"`
	Rule   string `json:"rule"` // absent: none is open that holds the pack
}

type storyChain struct {
	Pack  string   `json:"pack"`
	State string   `json:"state"`
	By    []string `json:"by"`
}

type storyOutage struct {
	Sterilizer string    `json:"sterilizer"`
	From       time.Time `json:"from"`
	To         time.Time `json:"to"`    // absent: it lasts
	Cause      string    `json:"cause"` // words that the cause of one time beginning then has
}

type storySuspect struct {
	Record   string   `json:"record"`
	Action   string   `json:"action"`
	Packs    []string `json:"packs"`    // all, in any order; absent: not decided
	Patients []string `json:"patients"` // likewise
}

type storyDue struct {
	Sterilizer string `json:"sterilizer"`
	Device     string `json:"device"` // instead
	Duty       string `json:"duty"`
	State      string `json:"state"` // the most pressing of the duties and kinds of cycle
}

// dueStates are the states of a duty, the most pressing last. A test that runs or is
// incubated is pending.
var dueStates = []string{string(NotDue), string(DueOpen), string(NeverRecorded), string(Pending), string(DueNow), string(Overdue), string(Failed), string(Stopped)}

type storyFinding struct {
	Rule    string `json:"rule"`
	Pointer string `json:"pointer"`
	Outcome string `json:"outcome"` // the worst of this rule at this place; none: nothing is found there

	Packs []string `json:"packs"` // that the finding names, in any order; absent: not decided
}

type storyCheck struct {
	Record string `json:"record"`
	Load   string `json:"load"`
	Rule   string `json:"rule"` // is open; absent: not decided
}

// storyQuestions are what a history is asked beside what it answers under names that
// stand. While one is nil the part of a story that needs it is not compared.
type storyQuestions struct {
	outOfService func(*History) []storyOutage
	check        func(*History, *load.Record) *load.Report
}

var storyAsks = storyQuestions{
	outOfService: func(h *History) (out []storyOutage) {
		for _, o := range h.OutOfService() {
			out = append(out, storyOutage{o.Sterilizer, o.From, o.To, string(o.Cause)})
		}
		return out
	},
	check: (*History).Check,
}

// TestStories fails where an answer is not the one written, but for the stories that
// pending.txt lists, and where a story of that list is right.
func TestStories(t *testing.T) {
	dir := filepath.Join("testdata", "stories")
	list, err := os.ReadFile(filepath.Join(dir, "pending.txt"))
	require.NoError(t, err)
	pending := strings.Fields(string(list))
	require.True(t, slices.IsSorted(pending), "pending.txt is in order")
	files, err := filepath.Glob(filepath.Join(dir, "*.json"))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 12)
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".json")
		waits := slices.Contains(pending, name)
		pending = slices.DeleteFunc(pending, func(p string) bool { return p == name })
		t.Run(name, func(t *testing.T) {
			s, lines := readStory(t, dir, name)
			wrong, compared := s.tell(t, lines)
			if compared == 0 {
				wrong = append(wrong, "nothing of it can be compared yet")
			}
			if waits && len(wrong) == 0 {
				t.Error("the story is right: take it out of pending.txt")
			}
			for _, w := range wrong {
				if waits {
					t.Log("pending: " + w)
				} else {
					t.Error(w)
				}
			}
		})
	}
	require.Empty(t, pending, "pending.txt lists what is no story, or one twice")
}

// readStory reads a story and its lines and refuses what could never be compared.
func readStory(t *testing.T, dir, name string) (*story, [][]byte) {
	data, err := os.ReadFile(filepath.Join(dir, name+".json"))
	require.NoError(t, err)
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	s := new(story)
	require.NoError(t, d.Decode(s))
	require.Equal(t, []string{storyFormat, name}, []string{s.Format, s.ID})
	require.NotEmpty(t, s.Title)
	require.NotEmpty(t, s.Story)
	require.NotEmpty(t, s.Why)
	require.NotEmpty(t, s.Documents)
	for _, source := range s.Documents {
		require.NotZero(t, source.Basis, source.Document)
		require.NotEmpty(t, source.Locator, source.Document)
	}
	data, err = os.ReadFile(filepath.Join(dir, name+".ndjson"))
	require.NoError(t, err)
	lines := bytes.SplitAfter(bytes.TrimSuffix(data, []byte("\n")), []byte("\n"))
	policies := map[string]bool{}
	for i, a := range s.Expect {
		for _, p := range a.Policies {
			policies[p] = true
		}
		require.False(t, a.At.IsZero(), "expectation %d", i)
		require.True(t, a.After >= 0 && a.After <= len(lines), "expectation %d", i)
		for _, w := range a.Suspects {
			among(t, w.Action, Trace.String(), Quarantine.String(), Recall.String())
		}
		for _, w := range a.Due {
			among(t, w.State, dueStates...)
		}
		for _, w := range a.Findings {
			among(t, w.Outcome, "none", met.String(), broken.String(), undetermined.String())
			knownRule(t, w.Rule)
		}
		for _, w := range a.Open {
			among(t, w.Answer, string(MayOpen), string(AskFirst), string(MayNotOpen))
			if w.Rule != "" {
				knownRule(t, w.Rule)
			}
		}
		for _, w := range a.Chains {
			among(t, w.State, string(ChainOpen), string(ChainUnderWay), string(ChainClosed), string(ChainUsed))
		}
		for _, w := range a.Check {
			among(t, w.Load, moistheat.Release.String(), moistheat.Quarantine.String(), moistheat.Reject.String())
			if w.Rule != "" {
				knownRule(t, w.Rule)
			}
		}
	}
	require.GreaterOrEqual(t, len(policies), 3, "policies")
	return s, lines
}

func among(t *testing.T, words string, known ...string) {
	for w := range strings.SplitSeq(words, "|") {
		require.Contains(t, known, w)
	}
}

func knownRule(t *testing.T, id string) {
	_, ok := load.Rule(id)
	require.True(t, ok, "there is no rule %s", id)
}

// tell returns what a story is answered wrongly, and how many parts of it were compared.
func (s *story) tell(t *testing.T, lines [][]byte) (wrong []string, compared int) {
	for i, a := range s.Expect {
		n := len(lines)
		if a.After > 0 {
			n = a.After
		}
		for _, name := range a.Policies {
			c := storyTeller{storyQuestions: storyAsks, records: map[string]*load.Record{}}
			c.at = fmt.Sprintf("expectation %d, %s: ", i+1, name)
			h := New(policy(t, name))
			for e, err := range Entries(bytes.NewReader(bytes.Join(lines[:n], nil))) {
				if err != nil {
					c.wrongly("%v", err)
					continue
				}
				if e.Record != nil {
					c.records[e.Record.ID] = e.Record
				}
				h.AddEntry(e)
			}
			c.outages(h, a.OutOfService)
			c.suspects(h, &a)
			c.due(h, &a)
			c.findings(h, &a)
			c.checks(h, a.Check)
			c.openings(h, &a)
			c.chains(h, &a)
			wrong, compared = append(wrong, c.wrong...), compared+c.compared
		}
	}
	return wrong, compared
}

// A storyTeller compares the answers of one history.
type storyTeller struct {
	storyQuestions
	at       string
	records  map[string]*load.Record // newest version
	wrong    []string
	compared int
}

func (c *storyTeller) wrongly(format string, args ...any) {
	c.wrong = append(c.wrong, c.at+fmt.Sprintf(format, args...))
}

// wordOf reports whether a word is one of several with bars between them.
func wordOf(words, word string) bool { return slices.Contains(strings.Split(words, "|"), word) }

func (c *storyTeller) outages(h *History, want []storyOutage) {
	if want == nil || c.outOfService == nil {
		return
	}
	c.compared++
	all := c.outOfService(h)
	got := joinOutages(all)
	if !slices.EqualFunc(got, want, func(a, b storyOutage) bool {
		return a.Sterilizer == b.Sterilizer && a.From.Equal(b.From) && a.To.Equal(b.To)
	}) {
		c.wrongly("out of service: want %v, got %v", want, got)
	}
	for _, w := range want {
		if !slices.ContainsFunc(all, func(o storyOutage) bool {
			return o.Sterilizer == w.Sterilizer && o.From.Equal(w.From) && strings.Contains(strings.ToLower(o.Cause), w.Cause)
		}) {
			c.wrongly("out of service: no time from %s because of %q in %v", w.From.Format(time.RFC3339), w.Cause, all)
		}
	}
}

// joinOutages returns times out of service by sterilizer and beginning, those that touch as one.
func joinOutages(all []storyOutage) []storyOutage {
	all = slices.Clone(all)
	slices.SortFunc(all, func(a, b storyOutage) int {
		if c := strings.Compare(a.Sterilizer, b.Sterilizer); c != 0 {
			return c
		}
		return a.From.Compare(b.From)
	})
	var out []storyOutage
	for _, o := range all {
		last := len(out) - 1
		if last < 0 || out[last].Sterilizer != o.Sterilizer || !out[last].To.IsZero() && o.From.After(out[last].To) {
			out = append(out, o)
			continue
		}
		if to := out[last].To; o.To.IsZero() || !to.IsZero() && o.To.After(to) {
			out[last].To = o.To
		}
	}
	return out
}

func (c *storyTeller) suspects(h *History, a *storyAnswer) {
	if a.Suspects == nil {
		return
	}
	c.compared++
	got := slices.DeleteFunc(h.Recall(), func(s SuspectLoad) bool { return s.Action == Lifted })
	for _, w := range a.Suspects {
		i := slices.IndexFunc(got, func(s SuspectLoad) bool { return s.Record == w.Record })
		if i < 0 {
			c.wrongly("load %s is not suspect, want %s", w.Record, w.Action)
			continue
		}
		s := got[i]
		got = slices.Delete(got, i, i+1)
		if !wordOf(w.Action, s.Action.String()) {
			c.wrongly("load %s: want %s, got %s", w.Record, w.Action, s.Action)
		}
		var packs, patients []string
		for _, p := range s.Packs {
			packs = append(packs, p.ID)
			if p.Patient != "" {
				patients = append(patients, p.Patient)
			}
		}
		c.same("packs of load "+w.Record, w.Packs, packs)
		c.same("patients of load "+w.Record, w.Patients, patients)
	}
	for _, s := range got {
		if !a.More {
			c.wrongly("load %s is suspect (%s): %s", s.Record, s.Action, strings.Join(s.Because, " "))
		}
	}
}

// same compares two sets of names; what is not decided is the same as any.
func (c *storyTeller) same(what string, want, got []string) {
	slices.Sort(got)
	if got = slices.Compact(got); want != nil && !slices.Equal(slices.Sorted(slices.Values(want)), got) {
		c.wrongly("%s: want %q, got %q", what, want, got)
	}
}

func (c *storyTeller) due(h *History, a *storyAnswer) {
	all := h.Due(a.At)
	for _, w := range a.Due {
		c.compared++
		var worst Due
		for _, d := range all {
			if d.Sterilizer == w.Sterilizer && d.Device == w.Device && d.Duty.Test.String() == w.Duty &&
				slices.Index(dueStates, string(d.State)) >= slices.Index(dueStates, string(worst.State)) {
				worst = d
			}
		}
		if !wordOf(w.State, string(worst.State)) {
			c.wrongly("%s test of %s: want %s, got %s", w.Duty, w.Sterilizer, w.State, worst)
		}
	}
}

func (c *storyTeller) findings(h *History, a *storyAnswer) {
	all := h.Findings(a.At)
	for _, w := range a.Findings {
		c.compared++
		var worst moistheat.Outcome
		var packs []string
		for _, f := range all {
			if f.Rule != w.Rule || f.Pointer != w.Pointer {
				continue
			}
			worst = max(worst, f.Outcome)
			for _, p := range f.Params {
				if p.Name == "packs" {
					packs = append(packs, strings.Split(p.Value.String(), ", ")...)
				}
			}
		}
		got := "none"
		if worst != 0 {
			got = worst.String()
		}
		if !wordOf(w.Outcome, got) {
			c.wrongly("%s at %s: want %s, got %s", w.Rule, w.Pointer, w.Outcome, got)
		}
		c.same("packs of "+w.Rule+" at "+w.Pointer, w.Packs, packs)
	}
}

func (c *storyTeller) checks(h *History, want []storyCheck) {
	if c.check == nil {
		return
	}
	for _, w := range want {
		c.compared++
		r := c.records[w.Record]
		if r == nil {
			c.wrongly("there is no record %s", w.Record)
			continue
		}
		report := c.check(h, r)
		if got := report.Verdict.Load.String(); !wordOf(w.Load, got) {
			c.wrongly("check of %s: want %s, got %s", w.Record, w.Load, got)
		}
		open := func(f moistheat.Finding) bool { return f.Rule == w.Rule && f.Open() }
		if w.Rule != "" && !slices.ContainsFunc(report.Findings, open) {
			c.wrongly("check of %s: %s is not open", w.Record, w.Rule)
		}
	}
}

func (c *storyTeller) openings(h *History, a *storyAnswer) {
	for _, w := range a.Open {
		c.compared++
		got := h.MayOpen(w.Pack, a.At)
		if !wordOf(w.Answer, string(got.Answer)) {
			c.wrongly("open %s: want %s, got %s", w.Pack, w.Answer, got.Text())
		}
		open := func(f moistheat.Finding) bool { return f.Rule == w.Rule && f.Open() }
		if w.Rule != "" && !slices.ContainsFunc(got.Findings, open) {
			c.wrongly("open %s: %s is not open: %v", w.Pack, w.Rule, got.Findings)
		}
	}
}

func (c *storyTeller) chains(h *History, a *storyAnswer) {
	if a.Chains == nil {
		return
	}
	c.compared++
	got := h.Chains(a.At)
	for _, w := range a.Chains {
		i := slices.IndexFunc(got, func(s Chain) bool { return s.Pack == w.Pack })
		if i < 0 {
			c.wrongly("pack %s has no chain in %v", w.Pack, got)
			continue
		}
		if string(got[i].State) != w.State {
			c.wrongly("chain of %s: want %s, got %v", w.Pack, w.State, got[i])
		}
		c.same("packs that replace "+w.Pack, w.By, got[i].By)
		got = slices.Delete(got, i, i+1)
	}
	if len(got) > 0 {
		c.wrongly("further chains: %v", got)
	}
}

// The parts that wait for an answer are compared as the others are.
func TestStoryTeller(t *testing.T) {
	day := func(n int) time.Time { return local(fmt.Sprintf("2026-03-%02d 09:00", n)) }
	want := []storyOutage{{"S1", day(2), day(4), "repair"}, {"S1", day(6), time.Time{}, "positive"}}
	right := []storyOutage{
		{"S1", day(3), day(4), "out of use"}, {"S1", day(2), day(3), "Repaired on Monday: repair"},
		{"S1", day(6), time.Time{}, "a positive test"}, {"S1", day(7), day(8), "out of use"},
	}
	edited := func(i int, edit func(*storyOutage)) []storyOutage {
		out := slices.Clone(right)
		edit(&out[i])
		return out
	}
	for name, got := range map[string][]storyOutage{
		"":                   right,
		"none":               nil,
		"another cause":      edited(1, func(o *storyOutage) { o.Cause = "abort" }),
		"an hour late":       edited(1, func(o *storyOutage) { o.From = o.From.Add(time.Hour) }),
		"a gap":              edited(1, func(o *storyOutage) { o.To = o.To.Add(-time.Hour) }),
		"over":               edited(2, func(o *storyOutage) { o.To = day(9) }),
		"another sterilizer": edited(3, func(o *storyOutage) { o.Sterilizer = "S2" }),
	} {
		c := storyTeller{storyQuestions: storyQuestions{outOfService: func(*History) []storyOutage { return got }}}
		c.outages(nil, want)
		require.Equal(t, 1, c.compared)
		require.Equal(t, name == "", len(c.wrong) == 0, "%s: %q", name, c.wrong)
	}
	alone := func(h *History, r *load.Record) *load.Report { return load.Check(r, h.Policy()) }
	h, grew := New(policy(t, "us-cdc-2003")), ran("1", "2026-03-09 09:00", bio(load.Positive))
	for want, right := range map[storyCheck]bool{
		{"1", "quarantine|reject", ""}:               true,
		{"1", "reject", "load.biological.positive"}:  true,
		{"1", "release", "load.biological.positive"}: false,
		{"1", "reject", "load.biological.void"}:      false,
		{"2", "reject", ""}:                          false,
	} {
		c := storyTeller{storyQuestions: storyQuestions{check: alone}, records: map[string]*load.Record{"1": grew}}
		c.checks(h, []storyCheck{want})
		require.Equal(t, right, len(c.wrong) == 0, "%v: %q", want, c.wrong)
	}
}
