package loadtest_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"hash/fnv"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// removalsListed is the published list of what may be left out, which RULES.md prints;
// removalsPending lists what still improves a verdict when it is left out and should not,
// a line each: rule, a space, member. Both are exact.
const (
	removalsListed  = "testdata/removals.json"
	removalsPending = "testdata/removals-pending.txt"
)

// listed is an entry of the published list: members without which some rules find
// nothing any more, and why that is let pass.
type listed struct {
	Members  []string `json:"members"`
	Rules    []string `json:"rules"`    // "*": whatever was said of a thing that is not there; "decision": a person's
	Policies []string `json:"policies"` // built-in ones under which one of the rules holds something back; "*": all
	Class    string   `json:"class"`
	Incident string   `json:"incident"`
	Why      string   `json:"why"`

	seen map[string]bool // rules and members that were needed
}

type listedDoc struct {
	Format string    `json:"format"`
	Listed []*listed `json:"listed"`
}

func readListed(t testing.TB) []*listed {
	data, err := os.ReadFile(removalsListed)
	require.NoError(t, err)
	doc, err := strictjson.Read[listedDoc](data, strictjson.Default(), "moistheat.removals/1")
	require.NoError(t, err)
	for _, l := range doc.Listed {
		l.seen = map[string]bool{}
	}
	return doc.Listed
}

// allows reports whether an entry is about a rule and a member under a policy: the member
// itself, an element of it, or what it is a part of. Of two that are left out together one is
// enough. A facility may put a rule in force itself.
func (l *listed) allows(rule, cut, policy string) bool {
	ok := false
	if !slices.Contains(l.Policies, "*") && !slices.Contains(l.Policies, policy) && slices.Contains(load.Policies(), policy) {
		return false
	}
	for at := range strings.SplitSeq(cut, "+") {
		for _, m := range l.Members {
			if slices.Contains(l.Rules, rule) && (at == m || at == m+"/-" || strings.HasPrefix(m, at+"/")) {
				l.seen[rule], l.seen[m], ok = true, true, true
			}
		}
	}
	return ok
}

// physical matches the rules of exposure temperature, time and pressure.
var physical = regexp.MustCompile(
	`^cycle\.(band|duration|equilibration|hold|printed|saturation|setting|spread|steam)\.`)

// never matches the rules that no entry may stand on.
var never = regexp.MustCompile(`^cycle\.(requirement|record)\.|^packaging\.(indicator\.(in|ex)ternal|seal\.damaged)|` +
	`^load\.(pack\.(wet|damaged)|identity|release)`)

// concerned returns the built-in policies under which one of an entry's rules holds something
// back, or "*" for all.
func (l *listed) concerned(t *testing.T) (names []string) {
	for _, name := range load.Policies() {
		p, err := load.PolicyFor(name)
		require.NoError(t, err)
		if slices.ContainsFunc(l.Rules, func(id string) bool {
			r, inForce := p.Rule(id)
			return id == "*" || id == "decision" || inForce && r.Broken.Worst(r.Undetermined) != (moistheat.Effect{})
		}) {
			names = append(names, name)
		}
	}
	if len(names) == len(load.Policies()) {
		return []string{"*"}
	}
	return names
}

// classes are those of the published list.
var classes = []string{
	"presence", "corroboration", "the facility's own limit", "asked by no document of the policy",
}

// The published list is short, each entry has its incident, and none stands on what a
// load is released by.
func TestRemovalsListed(t *testing.T) {
	all := readListed(t)
	assert.LessOrEqual(t, len(all), 60)
	for _, l := range all {
		assert.FileExists(t, "corpus/incidents/"+l.Incident+".json")
		assert.Contains(t, classes, l.Class)
		assert.NotEmpty(t, l.Why, l.Members)
		assert.Equal(t, l.concerned(t), l.Policies, l.Members)
		if slices.Contains(l.Rules, "decision") { // a person's refusal, never what shows a release
			assert.Equal(t, "presence", l.Class, l.Members)
			assert.NotContains(t, strings.Join(l.Members, " "), "/release")
		}
		for _, rule := range l.Rules {
			_, known := load.Rule(rule)
			assert.True(t, known || rule == "*" || rule == "decision", rule)
			assert.NotRegexp(t, never, rule)
			if physical.MatchString(rule) {
				assert.Equal(t, "corroboration", l.Class, rule)
			}
		}
	}
}

// Evidence left out never improves a verdict: whatever optional member or element of a
// list is taken out of a record, or emptied, nothing becomes releasable that was not, and
// nothing is released any more where the sterilizer was out of service or a recall was
// due. What may be left out all the same stands on a published list. A run in CI takes
// every vector of the corpus but the derived ones, and every incident; with
// MOISTHEAT_REMOVALS=all it takes the derived ones and every policy, too.
func TestRemovals(t *testing.T) {
	pending := map[string]bool{}
	data, err := os.ReadFile(removalsPending)
	require.NoError(t, err)
	for line := range strings.Lines(string(data)) {
		pending[strings.TrimSpace(line)] = true
	}
	all := os.Getenv("MOISTHEAT_REMOVALS") == "all"
	short := !full() && !all
	var mu sync.Mutex
	var wg sync.WaitGroup
	type under struct{ key, policy string } // rule and member
	found, removals, judged := map[under]string{}, 0, 0
	work := make(chan removalCase)
	for range 2 {
		wg.Go(func() {
			for c := range work {
				improved, n := c.improvements(all, short)
				mu.Lock()
				removals += n
				judged++
				for key, where := range improved {
					u := under{key, c.policy.Name()}
					if old, there := found[u]; !there || where < old {
						found[u] = where
					}
				}
				mu.Unlock()
			}
		})
	}
	for c := range removalCases(t, all, short) {
		work <- c
	}
	close(work)
	wg.Wait()
	entries := readListed(t)
	still := map[string]bool{} // improve a verdict, and stand on no entry
	for u, where := range found {
		rule, member, _ := strings.Cut(u.key, " ")
		allowed := false
		for _, l := range entries {
			allowed = l.allows(rule, member, u.policy) || allowed
		}
		if still[u.key] = still[u.key] || !allowed; !allowed && !pending[u.key] {
			t.Errorf("left out, it improves a verdict: %s\n\t%s", u.key, where)
		}
	}
	maps.DeleteFunc(still, func(_ string, open bool) bool { return !open })
	for _, l := range entries {
		for _, name := range slices.Concat(l.Rules, l.Members) {
			if !short && !l.seen[name] {
				t.Errorf("listed, and improves no verdict: %s of %s", name, l.Members)
			}
		}
	}
	for key := range pending {
		if !short && !still[key] {
			t.Errorf("pending, and improves no verdict any more: %s", key)
		}
	}
	t.Logf("%d removals from %d records and policies; %d kinds under a policy improve a verdict, %d listed lines allow all but %d",
		removals, judged, len(found), len(entries), len(still))
}

// removalCase is a record with the policy that it is judged under.
type removalCase struct {
	id     string
	doc    []byte
	policy *load.Policy
	known  load.Known
}

// removalCases yields the records of the corpus and of the incidents.
func removalCases(t *testing.T, all, short bool) func(yield func(removalCase) bool) {
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	names := load.Policies()
	return func(yield func(removalCase) bool) {
		under := func(id string, doc []byte, k load.Known, p *load.Policy) bool {
			return yield(removalCase{id + " under " + p.Name(), doc, p, k})
		}
		others := func(id string, doc []byte, k load.Known) bool { // sampled
			for i, name := range names {
				if !all && uint32(8*i) != pick(id)%uint32(8*len(names)) {
					continue
				}
				p, err := load.PolicyFor(name)
				require.NoError(t, err)
				if !under(id, doc, k, p) {
					return false
				}
			}
			return true
		}
		files := c.Files()
		for _, name := range slices.Sorted(maps.Keys(files)) {
			for _, v := range files[name].Vectors {
				if v.Subject != loadtest.SubjectRecord || !all && strings.HasPrefix(name, "derived") ||
					short && pick(v.ID)%24 > 0 {
					continue
				}
				doc, err := v.Document()
				require.NoError(t, err, v.ID)
				k := *cmp.Or(v.Known, &load.Known{})
				if !under(v.ID, doc, k, policyOf(t, c, v.Policy)) || !short && !others(v.ID, doc, k) {
					return
				}
			}
		}
		files2, err := filepath.Glob("corpus/incidents/*.json")
		require.NoError(t, err)
		bases := map[string]*loadtest.Base{}
		for _, b := range c.Bases() {
			bases[b.Name] = b
		}
		for _, file := range files2 {
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			in, err := strictjson.Read[incident](data, strictjson.Default(), "moistheat.incident/1")
			require.NoError(t, err, file)
			doc := []byte(in.Record)
			if b := bases[in.Base]; b != nil {
				if b.Subject != loadtest.SubjectRecord {
					continue
				}
				doc, err = b.Document(in.Patch...)
				require.NoError(t, err, file)
			}
			if short && pick(in.ID)%16 > 0 {
				continue
			}
			for _, e := range in.Expect {
				for _, name := range e.Policies {
					p, err := load.PolicyFor(name)
					if err == nil && !under(in.ID, doc, load.Known{}, p) {
						return
					}
				}
			}
			if !short && !others(in.ID, doc, load.Known{}) {
				return
			}
		}
	}
}

// policyOf returns the policy that a vector names or holds.
func policyOf(t *testing.T, c *loadtest.Corpus, named json.RawMessage) *load.Policy {
	doc := named
	if named[0] == '"' {
		var name string
		require.NoError(t, json.Unmarshal(named, &name))
		if doc = c.Policies()[name]; doc == nil {
			p, err := load.PolicyFor(name)
			require.NoError(t, err)
			return p
		}
	}
	p, err := load.ParsePolicy(doc)
	require.NoError(t, err)
	return p
}

// pick returns a number that is always the same for a text, to sample by.
func pick(text string) uint32 {
	h := fnv.New32a()
	h.Write([]byte(text))
	return h.Sum32()
}

// improvements takes things out of a record and returns what improved a verdict: rule
// and member, with where that was. n is how many removals gave a record that decodes.
func (c *removalCase) improvements(all, short bool) (improved map[string]string, n int) {
	r, err := load.Decode(c.doc)
	if err != nil {
		return nil, 0
	}
	before := load.CheckKnowing(r, c.policy, c.known)
	if before.Verdict.MayRelease && before.Verdict.Sterilizer == moistheat.InService && !before.Verdict.Recall {
		return nil, 0 // nothing can improve
	}
	improved = map[string]string{}
	near := map[string]bool{} // the sections of what stands against a release
	for _, f := range before.Findings {
		near[first(f.Pointer)] = true
	}
	for _, cut := range cuts(c.doc) {
		one, of := pick(c.id+cut.at), uint32(12)
		switch {
		case all || near[first(cut.at)] && !short, strings.HasSuffix(cut.at, "/decision"): // which has no finding
			of = 1
		case near[first(cut.at)]:
			of = 2
		case short:
			of = 24
		}
		if one%of > 0 {
			continue
		}
		left, err := load.Decode(cut.from(c.doc))
		if err != nil {
			continue
		}
		n++
		after := load.CheckKnowing(left, c.policy, c.known)
		for _, rule := range better(c.policy.On(r.Load.Date), r, before, after, cut.at) {
			key := rule + " " + general(cut.at)
			if where := c.id + " " + cut.at; improved[key] == "" {
				improved[key] = where
			}
		}
	}
	return improved, n
}

// better returns the rules that stood against a release which nothing stands against
// after a removal.
func better(p *load.Policy, r *load.Record, before, after *load.Report, cut string) []string {
	status := before.Verdict.Sterilizer == moistheat.OutOfService && after.Verdict.Sterilizer == moistheat.InService ||
		before.Verdict.Recall && !after.Verdict.Recall
	// Beside a load in quarantine a status says nothing.
	whole := after.Verdict.MayRelease && (!before.Verdict.MayRelease || status)
	was := map[string]load.PackVerdict{}
	for _, v := range before.Packs {
		was[v.ID] = v
	}
	improved := map[int]bool{}
	for _, v := range after.Packs {
		if b, there := was[v.ID]; there && v.MayRelease && !b.MayRelease {
			i, _ := strconv.Atoi(strings.TrimPrefix(b.Pointer, "/packs/"))
			improved[i] = true
			for inside := r.Packs[i].Inside; inside != ""; { // it shares the fate of what it lies in
				j := slices.IndexFunc(r.Packs, func(o load.Pack) bool { return o.ID == inside })
				if j < 0 || improved[j] {
					break
				}
				improved[j], inside = true, r.Packs[j].Inside
			}
		}
	}
	if !whole && len(improved) == 0 {
		return nil
	}
	rules := map[string]bool{}
	for _, f := range before.Findings {
		rule, _ := p.Rule(f.Rule)
		e := rule.Effect(f.Outcome)
		if !f.Open() || e == (moistheat.Effect{}) {
			continue
		}
		i := packIndex(f.Pointer)
		stops := e.Load > moistheat.Release || e.Pack > moistheat.Release && (whole || i < 0 || improved[i]) ||
			whole && (e.Sterilizer == moistheat.OutOfService || e.Recall)
		if stops {
			rules[f.Rule] = true
		}
	}
	if delete(rules, "load.release.contradicted"); len(rules) == 0 { // which follows from the others
		rules["decision"] = true
	}
	if thing.MatchString(cut) {
		return []string{"*"} // whatever was said of it
	}
	return slices.Sorted(maps.Keys(rules))
}

// thing matches the pointer of a thing that is sterilized.
var thing = regexp.MustCompile(`^/packs/\d+(/items/\d+)?$`)

// packIndex returns the index of the pack that a pointer leads into, or -1.
func packIndex(pointer string) int {
	rest, ok := strings.CutPrefix(pointer, "/packs/")
	n, _, _ := strings.Cut(rest, "/")
	if i, err := strconv.Atoi(n); ok && err == nil {
		return i
	}
	return -1
}

var index = regexp.MustCompile(`/\d+`)

// general writes a pointer without the places in lists.
func general(pointer string) string {
	var b strings.Builder
	for i := 0; i < len(pointer); i++ {
		b.WriteByte(pointer[i])
		if pointer[i] != '/' || i+1 == len(pointer) || pointer[i+1] < '0' || pointer[i+1] > '9' {
			continue
		}
		for b.WriteByte('-'); i+1 < len(pointer) && pointer[i+1] >= '0' && pointer[i+1] <= '9'; {
			i++
		}
	}
	return b.String()
}

// first returns the section of a record that a pointer leads into.
func first(pointer string) string {
	name, _, _ := strings.Cut(strings.TrimPrefix(pointer, "/"), "/")
	return name
}

// cut is what is taken out of a document: spans of its bytes, in order.
type cut struct {
	at    string // JSON Pointers (RFC 6901), joined by "+"
	spans []span
	empty bool // a list is emptied and not taken out
}

type span struct{ from, to int }

// from returns the document without what is cut.
func (c cut) from(doc []byte) []byte {
	out := make([]byte, 0, len(doc)+2)
	at := 0
	for _, s := range c.spans {
		out = append(out, doc[at:s.from]...)
		at = s.to
		if last := doc[at] == '}' || doc[at] == ']'; last && out[len(out)-1] == ',' {
			out = out[:len(out)-1]
		}
	}
	if c.empty {
		out = append(out, "[]"...)
	}
	return append(out, doc[at:]...)
}

// together are members that say the same, or without each other nothing.
var together = [...][2]string{
	{"/site/altitude", "/site/barometer"}, {"/cycle/started", "/cycle/ended"}, {"/cycle/ended", "/unloading/time"},
	{"/cycle/type", "/cycle/settings/airRemoval"}, {"/cycle/type", "/sterilizer/declaredFor"},
	{"/cycle/aborted", "/cycle/alarms"}, {"/cycle/trace", "/cycle/printed"}, {"/cycle/trace", "/cycle/printed/holdTime"},
	{"/cycle/trace", "/cycle/printed/minimumTemperature"}, {"/cycle/trace", "/cycle/printed/maximumTemperature"},
	{"/cycle/settings/hold", "/cycle/printed/holdTime"}, {"/cycle/settings/drying", "/cycle/printed/dryingTime"},
	{"/cycle/printed/minimumTemperature", "/cycle/printed/maximumTemperature"},
	{"/cycle/printed/minimumAbsolutePressure", "/cycle/printed/maximumAbsolutePressure"},
	{"/cycle/printed/minimumGaugePressure", "/cycle/printed/maximumGaugePressure"},
	{"/load/number", "/cycle/number"}, {"/load/date", "/cycle/started"}, {"/sterilizer/id", "/cycle/sterilizer"},
	{"/monitors/biologicals", "/monitors/lastValidBiological"}, {"/monitors/biologicals", "/monitors/challenge"},
	{"/release/time", "/unloading/time"}, {"/release/time", "/cycle/ended"},
	{"/packs/-/layers", "/packs/-/double"}, {"/packs/-/wrap/sheets", "/packs/-/wrap/bonded"},
	{"/packs/-/mass", "/packs/-/netMass"}, {"/packs/-/placement/spot", "/packs/-/placement/gap"},
	{"/packs/-/placement/tray", "/packs/-/placement/spot"}, {"/packs/-/use", "/packs/-/reason"},
	{"/packs/-/indicators", "/monitors/challenge"}, {"/packs/-/seal/width", "/packs/-/seal/strength"},
	{"/packs/-/items/-/traits", "/packs/-/items/-/lumens"}, {"/packs/-/items/-/traits", "/packs/-/items/-/kind"},
}

// cuts lists what can be taken out of a document, one member or element at a time, and
// then pairs.
func cuts(doc []byte) []cut {
	var out []cut
	scan(json.NewDecoder(bytes.NewReader(doc)), doc, "", func(at string, s span, list bool, whole span) {
		out = append(out, cut{at: at, spans: []span{whole}})
		if list && s.to-s.from > 2 {
			out = append(out, cut{at: at, spans: []span{s}, empty: true})
		}
	})
	var pairs []cut
	for _, a := range out {
		for _, p := range together {
			if a.empty || general(a.at) != p[0] {
				continue
			}
			other := strings.Replace(p[1], "/-", index.FindString(a.at), 1)
			if parts := index.FindAllString(a.at, 2); len(parts) == 2 {
				other = strings.Replace(other, "/-", parts[1], 1)
			}
			for _, b := range out {
				if b.at == other && !b.empty {
					pairs = append(pairs, pair(a, b))
				}
			}
		}
	}
	return append(out, pairs...)
}

// pair takes two things out that do not overlap.
func pair(a, b cut) cut {
	if b.spans[0].from < a.spans[0].from {
		a, b = b, a
	}
	first, second := a.spans[0], b.spans[0]
	if second.from <= first.to { // neighbours
		return cut{at: a.at + "+" + b.at, spans: []span{{first.from, second.to}}}
	}
	return cut{at: a.at + "+" + b.at, spans: []span{first, second}}
}

// scan walks through a JSON value and tells of each member and element where it lies:
// the value, and what has to be cut to take it out. Of a column of numbers it takes the
// first, the middle and the last.
func scan(d *json.Decoder, doc []byte, at string, tell func(at string, value span, list bool, whole span)) {
	token, err := d.Token()
	if err != nil {
		panic(err) // the corpus is JSON
	}
	delim, nested := token.(json.Delim)
	if !nested {
		return
	}
	type element struct {
		at          string
		name, value span
		list        bool
		number      bool
	}
	var all []element
	for i := 0; d.More(); i++ {
		e := element{at: at + "/" + strconv.Itoa(i)}
		e.name.from = skip(doc, int(d.InputOffset()))
		if delim == '{' {
			name, _ := d.Token()
			e.at = at + "/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(name.(string))
		}
		e.value.from = skip(doc, int(d.InputOffset()))
		e.list, e.number = doc[e.value.from] == '[', strings.IndexByte("-0123456789", doc[e.value.from]) >= 0
		scan(d, doc, e.at, tell)
		e.value.to = int(d.InputOffset())
		all = append(all, e)
	}
	_, _ = d.Token() // the end of the list
	for i, e := range all {
		if delim == '[' && e.number && i > 0 && i != len(all)/2 && i < len(all)-1 {
			continue
		}
		whole := span{e.name.from, e.value.to}
		if i+1 < len(all) {
			whole.to = all[i+1].name.from
		}
		tell(e.at, e.value, e.list, whole)
	}
}

// skip returns where the next token begins.
func skip(doc []byte, at int) int {
	for at < len(doc) && strings.IndexByte(" \t\r\n,:", doc[at]) >= 0 {
		at++
	}
	return at
}

// What is cut is what a JSON Patch would take out.
func TestCutsArePatches(t *testing.T) {
	c, err := loadtest.Conformance()
	require.NoError(t, err)
	for _, b := range c.Bases() {
		if b.Subject != loadtest.SubjectRecord {
			continue
		}
		doc, err := b.Document()
		require.NoError(t, err)
		n := 0
		for i, cut := range cuts(doc) {
			if i%17 != 0 {
				continue
			}
			n++
			ops := []loadtest.Op{}
			parts := strings.Split(cut.at, "+")
			slices.Reverse(parts)
			for _, at := range parts {
				op := loadtest.Op{Op: "remove", Path: at}
				if cut.empty {
					op = loadtest.Op{Op: "replace", Path: at, Value: json.RawMessage("[]")}
				}
				ops = append(ops, op)
			}
			want, err := loadtest.Patch(doc, ops...)
			require.NoError(t, err, cut.at)
			got, err := loadtest.Patch(cut.from(doc))
			require.NoError(t, err, cut.at)
			require.True(t, bytes.Equal(want, got), cut.at)
		}
		assert.Positive(t, n, b.Name)
	}
}
