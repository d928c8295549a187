package proof_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/load/proof"
)

// noon is the time at which the tests keep documents.
var noon = time.Date(2026, 11, 2, 12, 0, 0, 0, time.UTC)

// kept returns a log of documents, one a minute.
func kept(t testing.TB, documents ...string) []byte {
	t.Helper()
	var file memory
	var log proof.Log
	for i, d := range documents {
		require.NoError(t, log.Append(&file, noon.Add(time.Duration(i)*time.Minute), []byte(d)))
	}
	return file.data
}

// problems reads a log and returns what is wrong with it.
func problems(file []byte) (out []string) {
	var log proof.Log
	for _, err := range log.Read(bytes.NewReader(file)) {
		if err != nil {
			out = append(out, err.Error())
		}
	}
	return out
}

func document(i int) string { return fmt.Sprintf(`{"format": "invented/1", "n": %d}`, i) }

// What was kept comes back byte for byte, and the sums are those that the documentation
// states: SHA-256, by another hand.
func TestLogHoldsWhatItWasGiven(t *testing.T) {
	given := []string{"{\n  \"format\": \"a/1\",\t\"x\": \"<é\\u2028 >\"\n}\n", `{"format":"b/1"}`}
	file := kept(t, given...)
	var log proof.Log
	var lines []proof.Line
	for line, err := range log.Read(bytes.NewReader(file)) {
		require.NoError(t, err)
		lines = append(lines, line)
	}
	require.Len(t, lines, 2)
	for i, l := range lines {
		assert.Equal(t, given[i], l.Document)
		assert.Equal(t, i+1, l.N)
	}
	// printf '{"format":"b/1"}' | sha256sum
	assert.Equal(t, "3c14166ee92fff2855adf90c82b9c9b6", lines[1].Digest[:32])
	assert.Equal(t, lines[0].Sum, lines[1].Before)
	assert.Equal(t, strings.Join([]string{"moistheat.log/1", "2", lines[0].Sum, "2026-11-02T12:01:00Z", lines[1].Digest}, "\n"),
		lines[1].Seal())
	assert.Equal(t, 2, log.Lines)
	assert.Equal(t, lines[1].Sum, log.Sum)
}

// Every change of a file shows: a byte, a line that is lost, moved, said twice or put in.
func TestEveryChangeShows(t *testing.T) {
	file := kept(t, document(1), document(2), document(3), document(4))
	require.Empty(t, problems(file))
	lines := bytes.SplitAfter(file, []byte("\n"))
	join := func(order ...int) (out []byte) {
		for _, i := range order {
			out = append(out, lines[i]...)
		}
		return out
	}
	for name, changed := range map[string][]byte{
		"lost": join(0, 2, 3), "first lost": join(1, 2, 3), "moved": join(0, 2, 1, 3), "twice": join(0, 1, 1, 2, 3),
		"put in": append(join(0, 1), append(kept(t, document(9)), join(2, 3)...)...),
	} {
		assert.NotEmpty(t, problems(changed), name)
	}
	for i := range file {
		changed := bytes.Clone(file)
		if changed[i] ^= 1; changed[i] == '\n' || file[i] == '\n' {
			continue // two lines become one, or one two: the parts cannot be read
		}
		assert.NotEmpty(t, problems(changed), "byte %d: %q", i, changed[max(0, i-20):min(len(changed), i+20)])
	}
	// The end alone does not show: whoever noted the last sum sees it.
	var log proof.Log
	for _, err := range log.Read(bytes.NewReader(join(0, 1, 2))) {
		require.NoError(t, err)
	}
	assert.Equal(t, 3, log.Lines)
}

// A log that was cut at any byte loses that line alone, and goes on.
func TestLogCutAtEveryByte(t *testing.T) {
	first, whole := kept(t, document(1)), kept(t, document(1), document(2))
	for at := len(first); at < len(whole); at++ {
		var log proof.Log
		n := 0
		for _, err := range log.Read(bytes.NewReader(whole[:at])) {
			if err == nil {
				n++
			}
		}
		file := &memory{data: bytes.Clone(whole[:at])}
		require.NoError(t, log.Append(file, noon, []byte(document(3))))
		var documents []string
		for line, err := range log.Read(bytes.NewReader(file.data)) {
			if err == nil {
				documents = append(documents, line.Document)
			}
		}
		require.Len(t, documents, n+1, "cut at %d", at)
		assert.Equal(t, document(3), documents[n])
	}
}

func TestAppendAgainAfterAnError(t *testing.T) {
	var log proof.Log
	file := memory{room: 3}
	require.Error(t, log.Append(&file, noon, []byte(document(1))))
	assert.Equal(t, 0, log.Lines)
	assert.Len(t, file.data, 3)
	file.room = 0
	require.NoError(t, log.Append(&file, noon, []byte(document(1))))
	require.NoError(t, log.Append(&file, noon, []byte(document(2))))
	assert.Len(t, problems(file.data), 1)
	assert.Equal(t, 2, log.Lines)
}

// A log to which a document is added follows the last line that is in its file, whoever wrote it
// and whether it was read before.
func TestAppendFollowsWhatIsInTheFile(t *testing.T) {
	file := memory{data: kept(t, document(1), document(2))}
	var first, second proof.Log
	require.NoError(t, first.Append(&file, noon, []byte(document(3))), "not read before")
	require.NoError(t, second.Append(&file, noon, []byte(document(4))), "not read before")
	require.NoError(t, first.Append(&file, noon, []byte(document(5))), "another one wrote a line")
	assert.Empty(t, problems(file.data))
	assert.Equal(t, 5, first.Lines)

	var half proof.Log
	for range half.Read(bytes.NewReader(file.data)) {
		break
	}
	require.NoError(t, half.Append(&file, noon, []byte(document(6))), "a part was read")
	assert.Empty(t, problems(file.data))
	var shorter memory
	_, err := proof.Erase(&shorter, bytes.NewReader(file.data), func(l proof.Line) bool { return l.N == 2 })
	require.NoError(t, err)
	require.NoError(t, half.Append(&shorter, noon, []byte(document(7))), "after a line was erased")
	assert.Empty(t, problems(shorter.data))

	// What is wrong stays to be seen, and does not keep the clinic from going on.
	wrong := memory{data: bytes.Replace(bytes.Clone(shorter.data), []byte("12:01"), []byte("12:03"), 1)}
	was := problems(wrong.data)
	require.NotEmpty(t, was)
	var log proof.Log
	require.NoError(t, log.Append(&wrong, noon, []byte(document(8))))
	assert.Equal(t, was, problems(wrong.data))

	broken := memory{data: bytes.Clone(file.data), deaf: true}
	assert.Error(t, new(proof.Log).Append(&broken, noon, []byte(document(9))), "it cannot be read")
	assert.Equal(t, file.data, broken.data, "nothing is written where it is not known what there is")
}

func TestAppendRefuses(t *testing.T) {
	for name, document := range map[string]string{
		"nothing": "", "no JSON": "{", "two names": `{"a":1,"a":2}`, "not UTF-8": "{\"a\":\"\xff\"}",
		"too large": `{"a":"` + strings.Repeat(`\"`, 4<<20) + `"}`,
	} {
		var log proof.Log
		var file memory
		err := log.Append(&file, noon, []byte(document))
		var want *moistheat.DocumentError
		assert.ErrorAs(t, err, &want, name)
		assert.Empty(t, file.data, name)
		assert.Equal(t, proof.Log{}, log, name)
	}
	var log proof.Log
	assert.Error(t, log.Append(nil, noon, []byte(document(1))), "no file")
	assert.Error(t, log.Append(&memory{}, time.Time{}.AddDate(-1, 0, 0), []byte(document(1))), "no year")
}

// An erased document is gone, and the log holds.
func TestErase(t *testing.T) {
	file := kept(t, document(1), document(2), document(3))
	var out bytes.Buffer
	n, err := proof.Erase(&out, bytes.NewReader(file), func(l proof.Line) bool { return l.N == 2 })
	require.NoError(t, err)
	assert.Equal(t, 1, n)
	assert.Empty(t, problems(out.Bytes()))
	assert.NotContains(t, out.String(), `\"n\": 2`)
	assert.Contains(t, out.String(), `\"n\": 3`)
	_, err = proof.Erase(io.Discard, bytes.NewReader(file[1:]), func(proof.Line) bool { return false })
	assert.Error(t, err, "a log with which something is wrong")
}

// The clinic of the proofs: a load with two packs, one used on a patient whose key is in two
// notes too.
const key = "HS-2207"

func clinic(t testing.TB) []byte {
	t.Helper()
	r := loadtest.Pouches()
	r.ID = "load-1"
	r.Packs[0].Items[0].ID = "forceps-7"
	r.Packs[0].Items[0].UsedOn, r.Packs[0].Items[0].MeantFor = key, key
	text := func(v any) string {
		data, err := json.MarshalIndent(v, "", "  ")
		require.NoError(t, err)
		return string(data)
	}
	other := loadtest.Pouches()
	other.ID = "load-2"
	return kept(t,
		fmt.Sprintf(`{"format":"moistheat.stored/1","pack":%q,"record":"load-1","use":{"time":"2026-03-10T09:00:00Z","patient":%q}}`,
			r.Packs[0].ID, key),
		`{"format":"moistheat.stored/1","pack":"P-77","record":"lost","use":{"time":"2026-03-11T09:00:00Z","patient":"`+key+`"}}`,
		fmt.Sprintf(`{"format":"moistheat.stored/1","pack":%q,"record":"load-2","use":{"time":"2026-03-11T09:00:00Z","patient":"HS-9999"}}`,
			other.Packs[0].ID),
		text(r), text(other),
		`{"format":"invented/1","note":"not ours"}`)
}

func made(t testing.TB, file []byte, s proof.Subject) *proof.Proof {
	t.Helper()
	policy, err := load.PolicyFor("en-13060")
	require.NoError(t, err)
	p, err := proof.Make(bytes.NewReader(file), policy, s, noon.Add(time.Hour))
	require.NoError(t, err)
	return p
}

func TestProof(t *testing.T) {
	file := clinic(t)
	for name, s := range map[string]proof.Subject{
		"load": {Record: "load-1"}, "item": {Item: "forceps-7"}, "patient": {Patient: key},
	} {
		p := made(t, file, s)
		require.NoError(t, p.Verify(nil), name)
		require.Len(t, p.Loads, 1, name)
		data, err := json.Marshal(p)
		require.NoError(t, err)
		assert.NotContains(t, string(data), key, name)
		assert.NotContains(t, string(data), "HS-9999", name)
		assert.NotContains(t, p.Text(), key, name)
		again, err := proof.Decode(data)
		require.NoError(t, err, name)
		assert.Equal(t, p, again, name)
		require.NoError(t, again.Verify(nil), name)
	}
	p := made(t, file, proof.Subject{Patient: key})
	assert.Equal(t, "patient 1", p.Subject.Patient)
	assert.Contains(t, p.Gaps, proof.Gap{Pack: "P-77", What: proof.NoLoad})
	assert.Contains(t, p.Gaps, proof.Gap{Line: 6, What: proof.Unknown})
	assert.Equal(t, []string{loadtest.Pouches().Packs[0].ID}, p.Loads[0].Packs)
}

// The report in a proof is the one that the history gives.
func TestProofSaysWhatTheHistorySays(t *testing.T) {
	file := clinic(t)
	policy, err := load.PolicyFor("en-13060")
	require.NoError(t, err)
	h := history.New(policy)
	var record *load.Record
	var log proof.Log
	for line, err := range log.Read(bytes.NewReader(file)) {
		require.NoError(t, err)
		if r, err := load.Decode([]byte(line.Document)); err == nil {
			h.Add(r)
			if r.ID == "load-1" {
				record = r
			}
		}
	}
	want, err := h.Check(record).JSON()
	require.NoError(t, err)
	assert.JSONEq(t, string(want), made(t, file, proof.Subject{Record: "load-1"}).Loads[0].Report)
}

// Whatever is changed in a proof, Verify says so.
func TestVerifyNotices(t *testing.T) {
	file := clinic(t)
	for name, change := range map[string]func(p *proof.Proof){
		"document": func(p *proof.Proof) { p.Lines[1].Document += " " },
		"sum":      func(p *proof.Proof) { p.Lines[0].Sum = p.Lines[0].Digest },
		"time":     func(p *proof.Proof) { p.Lines[0].Kept = p.Lines[0].Kept.Add(time.Second) },
		"order":    func(p *proof.Proof) { p.Lines[0], p.Lines[1] = p.Lines[1], p.Lines[0] },
		"log":      func(p *proof.Proof) { p.Log.Lines = 1 },
		"report": func(p *proof.Proof) {
			p.Loads[0].Report = strings.Replace(p.Loads[0].Report, "quarantine", "release", 1)
		},
		"known":           func(p *proof.Proof) { p.Loads[0].Known = `{"format":"moistheat.known/1"}` },
		"line":            func(p *proof.Proof) { p.Loads[0].Line = 1 },
		"no line":         func(p *proof.Proof) { p.Loads[0].Line = 99 },
		"no catalogue":    func(p *proof.Proof) { p.Loads[0].Catalogue = 1 },
		"pack":            func(p *proof.Proof) { p.Loads[0].Packs = []string{"P-0"} },
		"policy":          func(p *proof.Proof) { p.Policy.Name = "australia" },
		"digest":          func(p *proof.Proof) { p.Policy.Digest = "" },
		"older":           func(p *proof.Proof) { p.Library = "0.0.1"; p.Loads[0].Report = "{}" },
		"no number":       func(p *proof.Proof) { p.Lines[0].N = 0 },
		"policy's file":   func(p *proof.Proof) { p.Policy.File = "{}" },
		"unknown policy":  func(p *proof.Proof) { p.Policy.Name = "none" },
		"hidden":          func(p *proof.Proof) { p.Lines[1].Hidden, p.Lines[1].Document = true, p.Lines[1].Document+" " },
		"more than there": func(p *proof.Proof) { p.Lines[0].N = 77 },
	} {
		p := made(t, file, proof.Subject{Record: "load-2"})
		require.Greater(t, len(p.Lines), 1)
		change(p)
		assert.Error(t, p.Verify(nil), name)
	}
	var none *proof.Proof
	assert.Error(t, none.Verify(nil))
	assert.Error(t, new(proof.Proof).Verify(nil))
	assert.Empty(t, none.Text())
}

// A proof of a load holds the batch of cleaning that an item names, as it was kept, and what it came
// to is worked out again from it; neither can be changed, not even together with the report.
func TestProofOfACleaning(t *testing.T) {
	r := loadtest.Pouches()
	r.ID = "load-3"
	r.Packs[0].Items[0].ID, r.Packs[0].Items[0].Preparation.WasherLoad = "forceps-7", "M-1"
	record, err := json.Marshal(r)
	require.NoError(t, err)
	const batch = `{"format":"moistheat.cleaning/1","id":"M-1","kind":"manual","rinsed":false,"carried":[{"id":"forceps-7"}]}`
	file := kept(t, string(record), `{"format":"moistheat.cleaning/1","id":"M-9","kind":"manual"}`, batch)
	fresh := func() *proof.Proof { return made(t, file, proof.Subject{Record: "load-3"}) }
	p := fresh()
	require.NoError(t, p.Verify(nil))
	require.Len(t, p.Lines, 2, "the record and its batch, and not the other")
	require.Equal(t, batch, p.Lines[1].Document)
	require.Contains(t, p.Loads[0].Report, "cleaning.rinse.missing")
	policy, err := load.PolicyFor("en-13060")
	require.NoError(t, err)
	rinsed := func(s string) string { return strings.Replace(s, `"rinsed":false`, `"rinsed":true`, 1) }
	for name, change := range map[string]func(p *proof.Proof){
		"the batch":  func(p *proof.Proof) { p.Lines[1].Document = rinsed(p.Lines[1].Document) },
		"no batch":   func(p *proof.Proof) { p.Lines = p.Lines[:1] },
		"what known": func(p *proof.Proof) { p.Loads[0].Known = rinsed(p.Loads[0].Known) },
		"what known, and the report": func(p *proof.Proof) {
			p.Loads[0].Known = rinsed(p.Loads[0].Known)
			known, err := load.DecodeKnown([]byte(p.Loads[0].Known))
			require.NoError(t, err)
			report, err := load.CheckKnowing(r, policy, known).JSON()
			require.NoError(t, err)
			require.NotEqual(t, p.Loads[0].Report, string(report))
			p.Loads[0].Report = string(report)
		},
	} {
		p := fresh()
		change(p)
		assert.Error(t, p.Verify(nil), name)
	}
}

// A log of which a line was changed or cannot be read gives a proof that says so.
func TestGapsAreSaid(t *testing.T) {
	file := clinic(t)
	lines := bytes.SplitAfter(file, []byte("\n"))
	lines[1] = []byte("{\n")
	lines[4] = bytes.Replace(lines[4], []byte("12:04"), []byte("12:03"), 1)
	var erased bytes.Buffer
	_, err := proof.Erase(&erased, bytes.NewReader(file), func(l proof.Line) bool { return l.N == 1 })
	require.NoError(t, err)
	p := made(t, bytes.Join(lines, nil), proof.Subject{Record: "load-1"})
	assert.Equal(t, []proof.Gap{{Row: 2, What: proof.Unreadable}, {Row: 3, Line: 3, What: proof.Tampered},
		{Row: 5, Line: 5, What: proof.Tampered}}, p.Gaps[1:])
	assert.Contains(t, made(t, erased.Bytes(), proof.Subject{Record: "load-1"}).Gaps, proof.Gap{Line: 1, What: proof.Erased})
}

func TestMakeRefuses(t *testing.T) {
	policy, err := load.PolicyFor("en-13060")
	require.NoError(t, err)
	for _, s := range []proof.Subject{{}, {Record: "a", Item: "b"}, {Item: "a", Patient: "b"}} {
		_, err := proof.Make(bytes.NewReader(nil), policy, s, noon)
		assert.ErrorIs(t, err, moistheat.ErrInvalid)
	}
	_, err = proof.Make(bytes.NewReader(nil), nil, proof.Subject{Record: "a"}, noon)
	assert.Error(t, err, "a policy of no document cannot be shown")
	p, err := proof.Make(bytes.NewReader(clinic(t)), policy, proof.Subject{Record: "load-1"}, noon.Add(-time.Second))
	require.NoError(t, err)
	assert.Empty(t, p.Lines, "nothing was kept by then")
}

// What is kept later is not in a proof as of before, and one made again is the same.
func TestProofIsTheSameAgain(t *testing.T) {
	file := clinic(t)
	s := proof.Subject{Patient: key}
	assert.Equal(t, made(t, file, s), made(t, file, s))
}
