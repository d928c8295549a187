package loadtest_test

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"reflect"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/tools/corpus"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// The same document in other words, or with something added that nobody asked about,
// gets the same verdict.
func TestSameInOtherWords(t *testing.T) {
	t.Parallel()
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(13060, 17665))
	all := c.Vectors()
	// How many of each sort; which ones are left out differs with every new vector.
	most := map[loadtest.Subject]int{loadtest.SubjectRecord: 300, loadtest.SubjectPlan: 50, loadtest.SubjectStored: 50, loadtest.SubjectHistory: 30}
	rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	if !full() {
		for judges, n := range most {
			most[judges] = n / 10
		}
	}
	ran := map[string]int{}
	for _, v := range all {
		// A list that a record has empty, and a value that it has in another unit, are taken over what
		// a catalogue says: of these vectors the words count.
		if v.Catalogue != "" {
			continue
		}
		if most[v.Subject]--; most[v.Subject] < 0 {
			continue
		}
		doc, err := v.Document()
		require.NoError(t, err, v.ID)
		for _, way := range ways() {
			other, changed := way.change(t, rng, v, doc)
			if !changed {
				continue
			}
			ran[way.name]++
			w := *v
			if way.adds {
				w.Expect.Packs = nil
			}
			j, err := w.Judge(other, nil)
			if err == nil {
				err = w.Compare(j)
			}
			if err != nil {
				t.Errorf("%s: %s: %v", way.name, w.ID, err)
			}
		}
	}
	for _, way := range ways() {
		if ran[way.name] == 0 {
			t.Errorf("%s: was not tried", way.name)
		}
	}
	t.Log(ran)
}

type way struct {
	name   string
	adds   bool // packs
	change func(t *testing.T, rng *rand.Rand, v *loadtest.Vector, doc []byte) ([]byte, bool)
}

// amended reports whether a document names lines by their digests, which follow their words.
func amended(doc []byte) bool { return bytes.Contains(doc, []byte("moistheat.amendment/1")) }

func ways() []way {
	return []way{
		{"members in another order", false, func(t *testing.T, rng *rand.Rand, _ *loadtest.Vector, doc []byte) ([]byte, bool) {
			return shuffled(t, rng, doc), true
		}},
		{"white space", false, func(_ *testing.T, rng *rand.Rand, v *loadtest.Vector, doc []byte) ([]byte, bool) {
			return spaced(rng, doc), true
		}},
		{"quantities in other units", false, func(t *testing.T, _ *rand.Rand, v *loadtest.Vector, doc []byte) ([]byte, bool) {
			if v.Rule == "cycle.trace.implausible" || v.Known != nil || amended(doc) {
				return nil, false // it judges the number, or the digest of the recording or the line, as it was written
			}
			out, n, err := corpus.Respell(doc, v.Subject, corpus.Respelling{Quantities: func(string) bool { return true }})
			require.NoError(t, err, v.ID)
			return out, n > 0
		}},
		{"instants in another zone", false, func(t *testing.T, rng *rand.Rand, v *loadtest.Vector, doc []byte) ([]byte, bool) {
			if bytes.Contains(doc, []byte(`:00Z"`)) || v.Known != nil || amended(doc) {
				return nil, false // it has two zones, and its days are those of one of them; or it names lines by digest
			}
			for _, hours := range rng.Perm(24) {
				zone := time.FixedZone("", (hours-11)*3600)
				out, n, err := corpus.Respell(doc, v.Subject, corpus.Respelling{Zone: zone})
				require.NoError(t, err, v.ID)
				if n > 0 && hours != 12 { // the documents are written an hour east of Greenwich
					return out, true
				}
			}
			return nil, false
		}},
		{"lines in another order, and some twice", false, func(t *testing.T, rng *rand.Rand, v *loadtest.Vector, doc []byte) ([]byte, bool) {
			if v.Subject != loadtest.SubjectHistory {
				return nil, false
			}
			var lines []json.RawMessage
			require.NoError(t, json.Unmarshal(doc, &lines))
			if len(lines) == 0 {
				return nil, false
			}
			for range 5 {
				lines = append(lines, lines[rng.IntN(len(lines))])
			}
			rng.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
			out, err := json.Marshal(lines)
			require.NoError(t, err)
			return out, true
		}},
		{"a row of another rack", false, func(t *testing.T, _ *rand.Rand, v *loadtest.Vector, doc []byte) ([]byte, bool) {
			if v.Subject != loadtest.SubjectRecord {
				return nil, false
			}
			r, err := load.Decode(doc)
			require.NoError(t, err, v.ID)
			r.Sterilizer.Capacity = append(r.Sterilizer.Capacity, load.Capacity{Accessory: "another rack", Mass: loadtest.Pouches().Packs[0].Mass, Authority: load.ByManufacturer})
			out, err := json.Marshal(r)
			require.NoError(t, err)
			return out, true
		}},
		{"empty lists dropped", false, func(t *testing.T, _ *rand.Rand, v *loadtest.Vector, doc []byte) ([]byte, bool) {
			return withLists(t, v, doc, func(list reflect.Value) {
				if list.Len() == 0 {
					list.SetZero()
				}
			})
		}},
		{"absent lists written", false, func(t *testing.T, _ *rand.Rand, v *loadtest.Vector, doc []byte) ([]byte, bool) {
			return withLists(t, v, doc, func(list reflect.Value) {
				if list.IsNil() {
					list.Set(reflect.MakeSlice(list.Type(), 0, 0))
				}
			})
		}},
		{"another clean pack", true, func(t *testing.T, _ *rand.Rand, v *loadtest.Vector, doc []byte) ([]byte, bool) {
			// What one pack is made of is judged pack by pack.
			if v.Subject != loadtest.SubjectRecord || v.Base != "pouches" || !strings.HasPrefix(v.Rule, "packaging.") {
				return nil, false
			}
			for _, op := range v.Patch {
				if !strings.HasPrefix(op.Path, "/packs/") {
					return nil, false // it is about the new pack, too
				}
			}
			r, err := load.Decode(doc)
			require.NoError(t, err, v.ID)
			clean := loadtest.Pouches().Packs[0]
			clean.ID = "another"
			r.Packs = append(r.Packs, clean)
			out, err := json.Marshal(r)
			require.NoError(t, err)
			return out, true
		}},
	}
}

// withLists writes a record after a change to each of its optional lists.
func withLists(t *testing.T, v *loadtest.Vector, doc []byte, change func(list reflect.Value)) ([]byte, bool) {
	if v.Subject != loadtest.SubjectRecord && v.Subject != loadtest.SubjectPlan {
		return nil, false
	}
	r, err := load.Decode(doc)
	require.NoError(t, err, v.ID)
	lists(reflect.ValueOf(r).Elem(), change)
	out, err := json.Marshal(r)
	require.NoError(t, err, v.ID)
	return out, true
}

// lists calls f for each list that JSON may leave out.
func lists(v reflect.Value, f func(list reflect.Value)) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			lists(v.Elem(), f)
		}
	case reflect.Slice:
		for i := range v.Len() {
			lists(v.Index(i), f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			field := v.Type().Field(i)
			if !field.IsExported() || field.Tag.Get("json") == "-" {
				continue
			}
			lists(v.Field(i), f)
			if field.Type.Kind() == reflect.Slice && strings.HasSuffix(field.Tag.Get("json"), ",omitzero") {
				f(v.Field(i))
			}
		}
	}
}

// shuffled writes JSON with the members of every object in a random order.
func shuffled(t *testing.T, rng *rand.Rand, doc []byte) []byte {
	d := json.NewDecoder(bytes.NewReader(doc))
	d.UseNumber()
	var v any
	require.NoError(t, d.Decode(&v))
	var b bytes.Buffer
	shuffle(&b, rng, v)
	return b.Bytes()
}

func shuffle(b *bytes.Buffer, rng *rand.Rand, v any) {
	switch v := v.(type) {
	case map[string]any:
		var names []string
		for name := range v {
			names = append(names, name)
		}
		sort.Strings(names)
		rng.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
		b.WriteByte('{')
		for i, name := range names {
			if i > 0 {
				b.WriteByte(',')
			}
			data, _ := json.Marshal(name)
			b.Write(data)
			b.WriteByte(':')
			shuffle(b, rng, v[name])
		}
		b.WriteByte('}')
	case []any:
		b.WriteByte('[')
		for i, e := range v {
			if i > 0 {
				b.WriteByte(',')
			}
			shuffle(b, rng, e)
		}
		b.WriteByte(']')
	default:
		data, _ := json.Marshal(v)
		b.Write(data)
	}
}

// spaced writes JSON with white space of all sorts between tokens.
func spaced(rng *rand.Rand, doc []byte) []byte {
	var b bytes.Buffer
	quoted, escaped := false, false
	for _, c := range doc {
		structural := !quoted && strings.IndexByte("{}[],:", c) >= 0
		if structural && rng.IntN(3) == 0 {
			b.WriteByte(" \t\n\r"[rng.IntN(4)])
		}
		b.WriteByte(c)
		if structural && rng.IntN(3) == 0 {
			b.WriteByte(" \t\n\r"[rng.IntN(4)])
		}
		switch {
		case escaped:
			escaped = false
		case quoted && c == '\\':
			escaped = true
		case c == '"':
			quoted = !quoted
		}
	}
	return b.Bytes()
}
