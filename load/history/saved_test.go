package history

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func saved(t testing.TB, h *History) []byte {
	var b bytes.Buffer
	require.NoError(t, h.Save(&b))
	return b.Bytes()
}

func loaded(t testing.TB, data []byte, p *load.Policy) (*History, *Saved) {
	h, s, err := Load(bytes.NewReader(data), p)
	require.NoError(t, err)
	return h, s
}

// What is kept and read again answers as before, in parts and merged too.
func TestSavedHistoryAnswersAsBefore(t *testing.T) {
	names := load.Policies()
	for seed := range seeds(t, runs(t)/20) {
		w := &world{Rand: rand.New(rand.NewPCG(seed, 13))}
		p := policy(t, names[seed%uint64(len(names))])
		what := w.lines(6 + w.IntN(12))
		h, first := New(p), New(p)
		for i, l := range what {
			put(h, l)
			if i < len(what)/2 {
				put(first, l)
			}
		}
		var file bytes.Buffer
		kept, err := first.Append(&file, nil)
		require.NoError(t, err)
		kept, err = h.Append(&file, kept)
		require.NoError(t, err)
		size := file.Len()
		_, err = h.Append(&file, kept)
		require.NoError(t, err)
		require.Equal(t, size, file.Len(), "nothing new")
		again, s := loaded(t, file.Bytes(), p)
		require.Empty(t, s.Problems, "seed %d", seed)
		require.Equal(t, answers(h), answers(again), "seed %d", seed)
		require.Empty(t, again.Stale())
		require.NoError(t, again.Merge(h))
		require.Equal(t, answers(h), answers(again), "seed %d: and merged", seed)
	}
}

// A file that is cut anywhere in its last lines has lost what was not written in full and
// nothing before it, says so, and goes on from there.
func TestKilledWriter(t *testing.T) {
	w := &world{Rand: rand.New(rand.NewPCG(7, 13))}
	p := policy(t, "us-cdc-2003")
	h := history(t, "us-cdc-2003", w.lines(12)...)
	file := saved(t, h)
	lines := bytes.SplitAfter(bytes.TrimSuffix(file, []byte("\n")), []byte("\n"))
	want := answers(h)
	from := len(file) - len(bytes.Join(lines[len(lines)-3:], nil)) - 1
	for cut := from; cut <= len(file); cut++ {
		if cut%11 > 0 && !bytes.Contains(file[cut-3:min(cut+3, len(file))], []byte("\n")) {
			continue // each place about the end of a line, and some within
		}
		part := slices.Clone(file[:cut])
		again, s := loaded(t, part, p)
		whole := bytes.Count(part, []byte("\n"))
		tail := part[bytes.LastIndexByte(part, '\n')+1:]
		if json.Valid(tail) { // only its end of line was lost
			whole++
			tail = nil
		}
		require.Equal(t, whole, s.Lines, "cut at %d", cut)
		require.Equal(t, len(tail) > 0, len(s.Problems) == 1, "cut at %d: %v", cut, s.Problems)
		b := bytes.NewBuffer(part)
		require.NoError(t, again.Merge(h))
		_, err := again.Append(b, s)
		require.NoError(t, err)
		again, s = loaded(t, b.Bytes(), p)
		require.Equal(t, want, answers(again), "cut at %d", cut)
		require.Equal(t, len(tail) > 0, len(s.Problems) == 1, "cut at %d: the broken line is still there: %v", cut,
			s.Problems)
		require.Equal(t, len(lines), s.Lines)
	}
}

// A small file that is cut at any byte loses the line that was cut and no other, says so, and
// goes on: every line before it is there, and after it is added again everything is.
func TestCutAtEveryByte(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	grew := runWithSpores("2026-03-09 08:00", load.Positive)
	h := history(t, "us-cdc-2003", grew, event(calendar.OutOfUseEvent, "2026-03-09 09:00"), amend(grew,
		"/biological/result"),
		&StoredPack{Format: StoredFormat, Pack: "1-1", Record: "1", Use: &Use{Time: local("2026-03-12 09:00"),
			Patient: "p7"}})
	file, want := saved(t, h), answers(h)
	whole := bytes.Count(file, []byte("\n"))
	for cut := range file {
		if !testrun.Full() && cut%11 > 0 && !bytes.Contains(file[max(0, cut-3):min(cut+3, len(file))], []byte("\n")) {
			continue
		}
		again, s := loaded(t, file[:cut], p)
		lines := bytes.Count(file[:cut], []byte("\n"))
		tail := file[bytes.LastIndexByte(file[:cut], '\n')+1 : cut]
		if json.Valid(tail) { // only its end of line was lost
			lines, tail = lines+1, nil
		}
		require.Equal(t, lines, s.Lines, "cut at %d", cut)
		require.Equal(t, len(tail) > 0, len(s.Problems) == 1, "cut at %d: %v", cut, s.Problems)
		b := bytes.NewBuffer(slices.Clone(file[:cut]))
		require.NoError(t, again.Merge(h))
		_, err := again.Append(b, s)
		require.NoError(t, err)
		again, s = loaded(t, b.Bytes(), p)
		require.Equal(t, want, answers(again), "cut at %d", cut)
		require.Equal(t, whole, s.Lines, "cut at %d", cut)
	}
}

// Two programs that take turns to write to one file lose nothing, and it shows whichever
// wrote what.
func TestTwoWriters(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	for turns := range 1 << 6 {
		var file bytes.Buffer
		all, of := New(p), [2]*History{New(p), New(p)}
		var kept [2]*Saved
		for i := range 6 {
			who := turns >> i & 1
			e := event(calendar.LeakEvent, fmt.Sprintf("2026-03-%02d 09:00", 2+i), passed(yes))
			all.AddEvent(e)
			of[who].AddEvent(e)
			var err error
			kept[who], err = of[who].Append(&file, kept[who])
			require.NoError(t, err)
		}
		again, s := loaded(t, file.Bytes(), p)
		require.Equal(t, answers(all), answers(again), "turns %06b", turns)
		one := turns == 0 || turns == 1<<6-1
		require.Equal(t, one, len(s.Problems) == 0, "turns %06b: %v", turns, s.Problems)
	}
}

// A line that was changed is lost, and said; a line that is missing is said, and no other
// is lost; two programs that write to one file show.
func TestChangedFile(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	h := history(t, "us-cdc-2003", ran("1", "2026-03-09 09:00"), ran("2", "2026-03-09 11:00"), ran("3",
		"2026-03-09 13:00"))
	lines := bytes.SplitAfter(saved(t, h), []byte("\n"))
	ids := func(h *History) (out []string) {
		for k := range h.units()["S1"].all {
			out = append(out, k.id)
		}
		slices.Sort(out)
		return out
	}
	changed := bytes.Replace(bytes.Join(lines, nil), []byte(`"id":"2"`), []byte(`"id":"9"`), 1)
	again, s := loaded(t, changed, p)
	assert.Equal(t, []string{"1", "3"}, ids(again))
	require.Len(t, s.Problems, 2)
	assert.ErrorContains(t, s.Problems[0], "line 2")
	assert.ErrorContains(t, s.Problems[0], "the line was changed")
	assert.ErrorContains(t, s.Problems[1], "number 3 does not follow number 1")

	again, s = loaded(t, slices.Concat(lines[0], lines[2]), p)
	assert.Equal(t, []string{"1", "3"}, ids(again))
	require.Len(t, s.Problems, 1)
	assert.ErrorContains(t, s.Problems[0], "two programs write to the file")

	_, base := loaded(t, lines[0], p)
	file := bytes.NewBuffer(slices.Clone(lines[0]))
	for _, r := range []*load.Record{ran("4", "2026-03-10 09:00"), ran("5", "2026-03-10 11:00")} {
		_, err := history(t, "us-cdc-2003", r).Append(file, base)
		require.NoError(t, err)
	}
	again, s = loaded(t, file.Bytes(), p)
	assert.Equal(t, []string{"1", "4", "5"}, ids(again), "nothing is lost")
	require.Len(t, s.Problems, 1)
	assert.ErrorContains(t, s.Problems[0], "number 2 does not follow number 2")
}

// What another policy found good is not so before the record is added again; what it
// found bad stays until then.
func TestStaleTraces(t *testing.T) {
	good, bad := ran("1", "2026-03-09 09:00", bio(load.Negative)), ran("2", "2026-03-09 11:00",
		func(r *load.Record) { r.Cycle.Aborted = yes })
	use := &Use{Time: local("2026-03-12 09:00"), Patient: "p7"}
	file := saved(t, history(t, "us-cdc-2008", good, bad, &StoredPack{Format: StoredFormat, Pack: "1-1", Record: "1",
		Use: use}))
	p := policy(t, "us-cdc-2003")
	h, s := loaded(t, file, p)
	require.Empty(t, s.Problems)
	assert.Equal(t, []string{"1", "2"}, h.Stale())
	assert.Equal(t, map[string]RecallAction{"1": Recall, "2": Recall}, actions(h), "used, and not shown to be good")
	require.NoError(t, h.AddReport(good, load.Check(good, p)))
	assert.Equal(t, []string{"2"}, h.Stale())
	assert.Equal(t, map[string]RecallAction{"2": Recall}, actions(h))
	again, _ := loaded(t, file, p)
	require.NoError(t, again.Merge(h))
	assert.Equal(t, []string{"2"}, again.Stale(), "whichever came first")
	assert.Error(t, New(p).Merge(history(t, "us-cdc-2008", good)))
}

// A report of another record or policy is refused, and one whose findings do what the policy
// does not let them do; one that was read back from a file is as good as it was.
func TestAddReport(t *testing.T) {
	p, r := policy(t, "us-cdc-2003"), ran("1", "2026-03-09 09:00")
	h := New(p)
	report := load.Check(r, p)
	require.NoError(t, h.AddReport(r, report))
	assert.Equal(t, answers(history(t, "us-cdc-2003", r)), answers(h))
	assert.Error(t, h.AddReport(r, load.Check(r, policy(t, "us-ca"))))
	assert.Error(t, h.AddReport(ran("2", "2026-03-09 09:00"), report))
	var read load.Report
	data, err := json.Marshal(report)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, &read))
	assert.NoError(t, h.AddReport(r, &read), "it is the same report")
	require.NotEmpty(t, read.Findings)
	read.Findings[0].Effect.Load = moistheat.Reject
	assert.Error(t, h.AddReport(r, &read), "the policy lets no such finding do that")
	assert.NoError(t, h.AddReport(nil, nil))
}

// A file names keys and no persons, and without patients not even their keys: the answers
// say that.
func TestSavedNames(t *testing.T) {
	wet := ran("1", "2026-03-09 09:00", func(r *load.Record) { r.Packs[0].Condition.Dry = no })
	out := event(calendar.OutOfUseEvent, "2026-03-10 09:00", func(e *Event) {
		e.By, e.Note = "Nurse Name",
			"Nurse Name said so"
	})
	used := &StoredPack{Format: StoredFormat, Pack: "1-1", Record: "1", Use: &Use{Time: local("2026-03-12 09:00"),
		Patient: "key-4711", By: "Nurse Name"}}
	h := history(t, "us-cdc-2003", wet, out, used)
	file := string(saved(t, h))
	assert.NotContains(t, file, "Nurse Name")
	assert.Contains(t, file, "key-4711")
	blind := h.WithoutPatients()
	file = string(saved(t, blind))
	assert.NotContains(t, file, "key-4711")
	assert.NotContains(t, file, "2026-03-12")
	again, _ := loaded(t, []byte(file), policy(t, "us-cdc-2003"))
	for _, h := range []*History{blind, again} {
		list := h.Recall()
		require.Len(t, list, 1)
		assert.Equal(t, []SuspectPack{{ID: "1-1", Implant: no, Where: Used}}, list[0].Packs)
		assert.Contains(t, strings.Join(list[0].Because, " "), "Not recorded here: when and for whom packs were used.")
	}
	require.NoError(t, again.Merge(h))
	assert.Equal(t, "key-4711", again.Recall()[0].Packs[0].Patient, "a history that knows the patients")
	assert.Equal(t, "key-4711", h.Recall()[0].Packs[0].Patient, "and stays as it was")
}

// What no document can hold is left out and said; the rest is kept.
func TestSaveRefuses(t *testing.T) {
	h := history(t, "us-cdc-2003", ran("1", "2026-03-09 09:00"))
	h.AddStored(&StoredPack{Pack: ""})
	var b bytes.Buffer
	assert.ErrorIs(t, h.Save(&b), errNoDocument)
	again, s := loaded(t, b.Bytes(), policy(t, "us-cdc-2003"))
	assert.Empty(t, s.Problems)
	assert.Len(t, again.units()["S1"].all, 1)
}

// A saved file is untrusted input.
func FuzzLoad(f *testing.F) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(f, err)
	w := &world{Rand: rand.New(rand.NewPCG(3, 13))}
	f.Add(saved(f, history(f, "us-cdc-2003", w.lines(8)...)))
	f.Add([]byte(`{"format":"moistheat.trace/1","n":1,"sum":""}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		h, s, err := Load(bytes.NewReader(data), p)
		require.NoError(t, err)
		answers(h)
		var b bytes.Buffer
		_, err = h.Append(&b, s)
		require.NoError(t, err)
	})
}
