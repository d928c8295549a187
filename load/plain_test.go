package load

import (
	"bytes"
	"encoding/json"
	"math/big"
	"math/rand/v2"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load/internal/plane"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The tray above one is that which comparing it with every other finds: the lowest
// that is higher and covers it, and the first of two.
func TestAboveAgainstAllTrays(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 10))
	mm := func(n int) units.Length {
		if random.IntN(12) == 0 {
			return units.Length{}
		}
		return units.New(int64(10*random.IntN(n)+10), 0, units.Millimetre)
	}
	found := 0
	for range 300 {
		trays := make([]Tray, 10)
		for i := range trays {
			trays[i] = Tray{ID: string(rune('a' + i)), Up: mm(6), Across: mm(30), Back: mm(30), Width: mm(20), Depth: mm(20)}
		}
		l := newLayout(&Record{Arrangement: &Arrangement{Trays: trays}})
		extent := func(i int) *plane.Extent {
			e := plane.NewExtent(trays[i].Across, trays[i].Width, trays[i].Back, trays[i].Depth)
			return &e
		}
		for i := range trays {
			other, rise, known := l.above(i)
			if !trays[i].Up.IsValid() {
				assert.False(t, known)
				continue
			}
			want, all := -1, true
			for j := range trays {
				switch {
				case !trays[j].Up.IsValid():
					all = false
				case trays[j].Up.Compare(trays[i].Up) > 0 && extent(i).Meets(extent(j)) &&
					(want < 0 || trays[j].Up.Compare(trays[want].Up) < 0):
					want = j
				}
			}
			require.Equal(t, want, other)
			require.Equal(t, all, known)
			if want >= 0 {
				found++
				require.Zero(t, rise.Cmp(new(big.Rat).Sub(trays[want].Up.Rat(), trays[i].Up.Rat())))
			}
		}
	}
	assert.Greater(t, found, 500)
}

// A source of which the report has no document is refused where it stands.
func TestReportWithoutDocument(t *testing.T) {
	data, err := json.Marshal(Check(laid(), policy(t, "us-cdc-2003")))
	require.NoError(t, err)
	for _, place := range []string{"-1", "1000"} {
		err := new(Report).UnmarshalJSON(bytes.Replace(data, []byte(`{"document":0,`), []byte(`{"document":`+place+`,`), 1))
		var fault *moistheat.DocumentError
		require.ErrorAs(t, err, &fault)
		assert.Equal(t, "/rules/0/sources/0/document", fault.Pointer)
	}
}

// A report is written in one pass as it would be piece by piece: the same members, and
// each finding with its message.
func TestReportJSONAgainstItsPieces(t *testing.T) {
	r := laid()
	r.Packs[0].ID = "<&\u2028>"
	rep := Explain(r, policy(t, "us-cdc-2003"))
	whole, err := rep.JSON()
	require.NoError(t, err)

	type plain Report
	pieces, err := json.Marshal((*plain)(rep)) // without the report's methods
	require.NoError(t, err)
	var want map[string]any
	require.NoError(t, json.Unmarshal(pieces, &want))
	findings := make([]any, len(rep.Findings))
	for i, f := range rep.Findings {
		one, err := json.Marshal(f)
		require.NoError(t, err)
		var m map[string]any
		require.NoError(t, json.Unmarshal(one, &m))
		n := rep.named(f.Rule)
		if m["message"] = rep.Message(f); m["message"] == n.text(f.Outcome) {
			delete(m, "message")
		}
		delete(m, "severity")
		delete(m, "own")
		delete(m, "sources")
		var places []any
		for s := range f.Sources.All() {
			places = append(places, float64(n.cites(s)))
		}
		if len(places) != len(n.Sources) {
			m["sources"] = places
		}
		findings[i] = m
	}
	want["findings"] = findings
	questions, err := json.Marshal(rep.Questions())
	require.NoError(t, err)
	var asked any
	require.NoError(t, json.Unmarshal(questions, &asked))
	want["questions"] = asked
	var got map[string]any
	require.NoError(t, json.Unmarshal(whole, &got))
	documents, cited := got["documents"].([]any), map[float64]bool{}
	delete(got, "documents")
	for _, n := range got["rules"].([]any) {
		for _, s := range n.(map[string]any)["sources"].([]any) {
			s := s.(map[string]any)
			at := s["document"].(float64)
			about := documents[int(at)].(map[string]any)
			if s["document"], cited[at] = about["title"], true; about["edition"] != nil {
				s["edition"] = about["edition"]
			}
		}
	}
	assert.Len(t, cited, len(documents), "each is cited")
	assert.Equal(t, want, got)
	assert.True(t, bytes.HasPrefix(whole, []byte("{\n  ")))

	compact, err := json.Marshal(rep)
	require.NoError(t, err)
	var indented bytes.Buffer
	require.NoError(t, json.Indent(&indented, compact, "", "  "))
	assert.Equal(t, indented.String(), string(whole))
}
