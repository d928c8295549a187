package vocabulary

import (
	"encoding"
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestComparePointers(t *testing.T) {
	// RFC 6901 pointers in the order a reader expects: the whole before its parts,
	// index 2 before index 10, an index before a name.
	sorted := []string{"", "/cycle", "/cycle/trace", "/cycle/trace/temperatures/0", "/load", "/packs", "/packs/0",
		"/packs/0/after", "/packs/2", "/packs/2/items/9", "/packs/2/items/10", "/packs/10", "/packs/10/after",
		"/packs/x", "/packs-a", "/packs~1a"}
	for i, a := range sorted {
		for j, b := range sorted {
			got := moistheat.ComparePointers(a, b)
			switch {
			case i < j:
				assert.Negative(t, got, "%q %q", a, b)
			case i > j:
				assert.Positive(t, got, "%q %q", a, b)
			default:
				assert.Zero(t, got)
			}
		}
	}
}

// A second, slower comparison: split, then compare segment by segment.
func slowly(a, b string) int {
	x, y := strings.Split(a, "/")[1:], strings.Split(b, "/")[1:]
	if a == "" {
		x = nil
	}
	if b == "" {
		y = nil
	}
	for i := 0; i < len(x) && i < len(y); i++ {
		if x[i] == y[i] {
			continue
		}
		m, errM := strconv.Atoi(x[i])
		n, errN := strconv.Atoi(y[i])
		switch {
		case errM == nil && errN == nil:
			return m - n
		case errM == nil:
			return -1
		case errN == nil:
			return 1
		}
		return strings.Compare(x[i], y[i])
	}
	return len(x) - len(y)
}

func TestComparePointersAgainstTheSlowWay(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	words := []string{"0", "1", "2", "10", "19", "100", "a", "ab", "b", "packs"}
	random := func() string {
		var b strings.Builder
		for range rng.IntN(4) {
			b.WriteString("/" + words[rng.IntN(len(words))])
		}
		return b.String()
	}
	sign := func(n int) int { return min(1, max(-1, n)) }
	for range 100_000 {
		a, b := random(), random()
		require.Equal(t, sign(slowly(a, b)), sign(moistheat.ComparePointers(a, b)), "%q %q", a, b)
		require.Equal(t, -sign(moistheat.ComparePointers(a, b)), sign(moistheat.ComparePointers(b, a)))
	}
}

func TestEffectWorst(t *testing.T) {
	a := moistheat.Effect{Pack: moistheat.Reject, Load: moistheat.Release, Recall: true}
	b := moistheat.Effect{Pack: moistheat.Quarantine, Load: moistheat.Quarantine, Sterilizer: moistheat.OutOfService}
	want := moistheat.Effect{Pack: moistheat.Reject, Load: moistheat.Quarantine, Sterilizer: moistheat.OutOfService, Recall: true}
	assert.Equal(t, want, a.Worst(b))
	assert.Equal(t, want, b.Worst(a))
	assert.Equal(t, a, a.Worst(moistheat.Effect{}))
}

func TestSeverityAndOutcomeOrder(t *testing.T) {
	assert.Less(t, moistheat.Note, moistheat.Minor)
	assert.Less(t, moistheat.Minor, moistheat.Fault)
	assert.Less(t, moistheat.Release, moistheat.Quarantine)
	assert.Less(t, moistheat.Quarantine, moistheat.Reject)
	assert.Less(t, moistheat.Met, moistheat.Undetermined)
	assert.Less(t, moistheat.Undetermined, moistheat.Broken)
	assert.Less(t, moistheat.Broken, moistheat.Internal)
	assert.Zero(t, moistheat.Disposition(0), "the zero disposition is no release")
}

func TestOpen(t *testing.T) {
	for o, open := range map[moistheat.Outcome]bool{
		moistheat.NotApplicable: false, moistheat.NotInForce: false, moistheat.Met: false,
		moistheat.Undetermined: true, moistheat.Broken: true, moistheat.Internal: true,
	} {
		assert.Equal(t, open, moistheat.Finding{Outcome: o}.Open())
		assert.False(t, moistheat.Finding{Outcome: o, Waiver: &moistheat.Waiver{}}.Open())
	}
}

func TestMessage(t *testing.T) {
	r := moistheat.Rule{ID: "a.b", Title: "The pot is hot.", BrokenText: "{who} says {measured}, not {limit}.", UndeterminedText: "Is {who} hot?"}
	f := moistheat.Finding{
		Outcome: moistheat.Broken, Measured: units.New(220, 0, units.Second).Value(), Limit: units.New(240, 0, units.Second).Value(),
		Params: []moistheat.Param{moistheat.ParamOf("who", "{limit}")},
	}
	assert.Equal(t, "{limit} says 3 min 40 s, not 4 min.", r.Message(f), "a value that looks like a name is not filled in again")
	f.Outcome = moistheat.Undetermined
	assert.Equal(t, "Is {limit} hot?", r.Message(f))
	r.UndeterminedText, f.Reason = "", moistheat.Unrecorded
	assert.Equal(t, "Not recorded, so it cannot be judged: The pot is hot.", r.Message(f))
	f.Reason = moistheat.Contradictory
	assert.Equal(t, "It cannot be judged (contradictory): The pot is hot.", r.Message(f))
	f.Reason, r.UndeterminedText = moistheat.BasisNotAccepted, "Is {who} hot?"
	assert.NotContains(t, r.Message(f), "recorded", "it was recorded")
	f.Outcome = moistheat.Met
	assert.Equal(t, "The pot is hot.", r.Message(f))
	f.Outcome = moistheat.Internal
	assert.Contains(t, r.Message(f), "treat it as not met")
	f.Outcome, f.Measured = moistheat.Broken, units.Value{}
	assert.Contains(t, r.Message(f), "not recorded")
	assert.NotPanics(t, func() {
		moistheat.Rule{}.Message(f)
		moistheat.Rule{}.Message(moistheat.Finding{Outcome: moistheat.Undetermined})
	})
}

func TestSourceString(t *testing.T) {
	s := moistheat.Source{Document: "EN 868-5", Edition: "2009", Locator: "4.3.2", Basis: moistheat.Published}
	assert.Equal(t, "EN 868-5 2009, 4.3.2 (published)", s.String())
	assert.Equal(t, "EN 285 (recalled)", moistheat.Source{Document: "EN 285", Basis: moistheat.Recalled}.String())
}

func TestAnswer(t *testing.T) {
	type box struct {
		A moistheat.Answer `json:"a,omitzero"`
	}
	for text, want := range map[string]moistheat.Answer{`{"a":true}`: moistheat.Yes, `{"a":false}`: moistheat.No, `{}`: moistheat.NotRecorded} {
		var b box
		require.NoError(t, json.Unmarshal([]byte(text), &b))
		assert.Equal(t, want, b.A)
		out, err := json.Marshal(b)
		require.NoError(t, err)
		assert.Equal(t, text, string(out))
	}
	var a moistheat.Answer
	for _, bad := range []string{`null`, `"true"`, `1`, ``} {
		assert.Error(t, a.UnmarshalJSON([]byte(bad)), bad)
	}
	assert.Equal(t, []string{"not recorded", "yes", "no"}, []string{moistheat.NotRecorded.String(), moistheat.Yes.String(), moistheat.No.String()})
}

// word is an enumeration of the word list.
type word interface {
	comparable
	encoding.TextMarshaler
	String() string
}

func roundTrip[E word, P interface {
	*E
	encoding.TextUnmarshaler
}](t *testing.T, first E, next func(E) E, count int) {
	t.Helper()
	var seen []string
	e := first
	for range count {
		text, err := e.MarshalText()
		require.NoError(t, err)
		assert.NotEmpty(t, text)
		assert.Equal(t, string(text), e.String())
		assert.False(t, slices.Contains(seen, string(text)))
		seen = append(seen, string(text))
		var back E
		require.NoError(t, P(&back).UnmarshalText(text))
		assert.Equal(t, e, back)
		assert.Error(t, P(&back).UnmarshalText([]byte(strings.ToUpper(string(text))+" ")))
		e = next(e)
	}
	_, err := e.MarshalText()
	assert.Error(t, err, "one past the last")
	var zero E
	assert.Error(t, P(&zero).UnmarshalText(nil), "the zero value has no word to read")
	assert.Contains(t, zero.String(), "invalid")
}

func TestWords(t *testing.T) {
	roundTrip(t, moistheat.Published, func(e moistheat.Basis) moistheat.Basis { return e + 1 }, 6)
	roundTrip(t, moistheat.NotApplicable, func(e moistheat.Outcome) moistheat.Outcome { return e + 1 }, 6)
	roundTrip(t, moistheat.Note, func(e moistheat.Severity) moistheat.Severity { return e + 1 }, 3)
	roundTrip(t, moistheat.Release, func(e moistheat.Disposition) moistheat.Disposition { return e + 1 }, 3)
	roundTrip(t, moistheat.InService, func(e moistheat.Service) moistheat.Service { return e + 1 }, 2)
}

// A list has nothing of what it was made of, so that nobody changes it afterwards.
func TestListIsItsOwn(t *testing.T) {
	given := []moistheat.Source{{Document: "EN 285", Basis: moistheat.Recalled}}
	list := moistheat.SourcesOf(given...)
	given[0].Document = "changed"
	assert.Equal(t, "EN 285", list.At(0).Document)
}
