package load_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
)

// A catalogue as a document, of which a test changes one member.
type entryDoc = map[string]any

// leaves calls do for every member of an entry that is one value, a quantity being one, with a
// function that sets it; nil takes it away.
func leaves(at string, v any, do func(at string, value any, set func(any))) {
	switch v := v.(type) {
	case map[string]any:
		for _, name := range slices.Sorted(maps.Keys(v)) {
			set := func(value any) {
				if v[name] = value; value == nil {
					delete(v, name)
				}
			}
			if q, ok := v[name].(map[string]any); ok && q["unit"] != nil {
				do(at+"/"+name, q, set)
			} else if _, part := v[name].(map[string]any); part {
				leaves(at+"/"+name, v[name], do)
			} else if list, ok := v[name].([]any); ok && len(list) > 0 && entryLike(list[0]) {
				for _, e := range list {
					leaves(at+"/"+name+"/-", e, do)
				}
			} else if name != "id" && name != "from" {
				do(at+"/"+name, v[name], set)
			}
		}
	}
}

func entryLike(v any) bool { _, is := v.(map[string]any); return is }

// others are values that a member could have instead.
func others(v any) []any {
	switch v := v.(type) {
	case bool:
		return []any{!v}
	case float64:
		return []any{v + 1}
	case map[string]any:
		n, ok := v["value"].(float64)
		if !ok {
			return nil
		}
		return []any{map[string]any{"value": n / 4, "unit": v["unit"]}, map[string]any{"value": n * 4, "unit": v["unit"]}}
	case string:
		if regexp.MustCompile(`^\d{4}-\d\d-\d\d$`).MatchString(v) {
			return []any{"2025-01-01"}
		}
		for _, words := range [][]string{
			{"critical", "noncritical"}, {"dynamic-air-removal", "gravity-displacement"}, {"B", "N"},
			{"load", "unwrapped load"}, {"distilled", "tap"}, {"heat", "tape"}, {"margin", "paper"}, {"later", "immediate"},
			{"paper-film pouch", "paper bag"}} {
			if v == words[0] {
				return []any{words[1]}
			}
		}
	case []any:
		if len(v) > 0 && v[0] == "dynamic-air-removal" {
			return []any{[]any{"gravity-displacement"}}
		}
		if len(v) > 0 && v[0] == "B" {
			return []any{[]any{"N"}}
		}
		if slices.Contains(v, "sharp") {
			return []any{append(slices.Clone(v), "textile", "porous")}
		}
		if slices.Contains(v, "release") {
			return []any{[]any{"run"}}
		}
	}
	return nil
}

// silenceAllowed returns the rules of the published list of what a record may leave out: where one
// of them alone holds a load back, the entry of a catalogue may leave it out, too.
func silenceAllowed(t *testing.T, policy string) map[string]bool {
	t.Helper()
	data, err := os.ReadFile("loadtest/testdata/removals.json")
	require.NoError(t, err)
	var doc struct {
		Listed []struct{ Rules, Policies []string } `json:"listed"`
	}
	require.NoError(t, json.Unmarshal(data, &doc))
	out := map[string]bool{}
	for _, l := range doc.Listed {
		for _, rule := range l.Rules {
			out[rule] = out[rule] || slices.Contains(l.Policies, "*") || slices.Contains(l.Policies, policy)
		}
	}
	require.NotEmpty(t, out)
	return out
}

// states returns the log with what the catalogue says of it stated by the record, too, which
// refers to the same entries.
func states(t *testing.T, c *load.Catalogue, r *load.Record, p *load.Policy) *load.Record {
	t.Helper()
	data, err := json.Marshal(facts(t, c).Resolve(r, p))
	require.NoError(t, err)
	out, err := load.Decode(data)
	require.NoError(t, err)
	out.Cycle.Program, out.Water.Reservoir.Supply = r.Cycle.Program, r.Water.Reservoir.Supply
	for i := range out.Packs {
		out.Packs[i].Type, out.Packs[i].Seal.Sealer = r.Packs[i].Type, r.AllPacks.Seal.Sealer
		for j, content := range c.Sets[0].Contents {
			out.Packs[i].Items[j].Type = content.Item
		}
	}
	return out
}

// ofThisLoad are members of which the record's word counts, and why that asks no less.
var ofThisLoad = map[string]string{
	"/lots/type":                            "the lower type counts, which claims less",
	"/packs/use":                            "what a pack is meant for is decided when it is packed",
	"/sterilizers/programs/-/settings/hold": "the longer of two times counts, and the physical record must show it",
	"/sterilizers/programs/-/settings/temperature": "the higher temperature counts, and the physical record must show it",
}

// What an entry of any kind says against a load stands: the same catalogue without the member that
// says it, without the entry, with one that is over or not yet in force, releases no pack that it
// did not. Nor does a record that states the member otherwise.
func TestNoEntryLessReleasesMore(t *testing.T) {
	c, r := clinic(t)
	c.Incubators = nil
	data, err := json.Marshal(c)
	require.NoError(t, err)
	read := func() (doc entryDoc) {
		require.NoError(t, json.Unmarshal(data, &doc))
		return doc
	}
	judge := func(doc entryDoc, p *load.Policy, r *load.Record) *load.Report {
		data, err := json.Marshal(doc)
		require.NoError(t, err)
		c, err := load.DecodeCatalogue(data)
		if err != nil {
			return nil
		}
		f, err := c.Facts()
		if err != nil {
			return nil
		}
		return load.Check(f.Resolve(r, p), p)
	}
	more := func(before, after *load.Report) bool {
		return before != nil && after != nil && slices.ContainsFunc(after.Packs, func(p load.PackVerdict) bool {
			return p.MayRelease && !slices.ContainsFunc(before.Packs, func(q load.PackVerdict) bool {
				return q.ID == p.ID && q.MayRelease
			})
		})
	}
	day, next := r.Load.Date.String(), r.Load.Date.AddDays(1).String()
	worse, tried, kinds := 0, 0, map[string]bool{}
	found := map[string][]string{}
	for _, name := range []string{"us-cdc-2003", "germany"} {
		p, allowed := named(t, name), silenceAllowed(t, name)
		var lists []string
		for list, entries := range read() {
			if _, is := entries.([]any); is {
				lists = append(lists, list)
			}
		}
		slices.Sort(lists)
		for _, list := range lists {
			for i := range read()[list].([]any) {
				var at []string
				leaves("/"+list, read()[list].([]any)[i], func(pointer string, _ any, _ func(any)) { at = append(at, pointer) })
				for n, pointer := range at {
					nth := func(doc entryDoc, do func(value any, set func(any))) entryDoc {
						k := 0
						leaves("/"+list, doc[list].([]any)[i], func(_ string, value any, set func(any)) {
							if k == n {
								do(value, set)
							}
							k++
						})
						return doc
					}
					var values []any
					nth(read(), func(value any, _ func(any)) { values = others(value) })
					for _, value := range values {
						bad := func() entryDoc { return nth(read(), func(_ any, set func(any)) { set(value) }) }
						before := judge(bad(), p, r)
						if before == nil || before.Released() {
							continue
						}
						worse++
						kinds[list] = true
						if ofThisLoad[pointer] == "" && more(before, judge(bad(), p, states(t, c, r, p))) {
							where := fmt.Sprintf("%s = %v, the record states otherwise", pointer, value)
							found[where] = append(found[where], name)
						}
						for what, change := range map[string]func(doc entryDoc) entryDoc{
							"without the member": func(doc entryDoc) entryDoc {
								return nth(doc, func(_ any, set func(any)) { set(nil) })
							},
							"without the entry": func(doc entryDoc) entryDoc {
								doc[list] = slices.Delete(doc[list].([]any), i, i+1)
								return doc
							},
							"over": func(doc entryDoc) entryDoc {
								doc[list].([]any)[i].(entryDoc)["until"] = day
								return doc
							},
							"not yet in force": func(doc entryDoc) entryDoc {
								doc[list].([]any)[i].(entryDoc)["from"] = next
								return doc
							},
						} {
							tried++
							silent := strings.HasPrefix(what, "without") && !slices.ContainsFunc(before.Findings,
								func(x moistheat.Finding) bool { return x.Blocks && !allowed[x.Rule] })
							if !silent && more(before, judge(change(bad()), p, r)) {
								where := fmt.Sprintf("%s = %v, %s", pointer, value, what)
								found[where] = append(found[where], name)
							}
						}
					}
				}
			}
		}
	}
	for _, where := range slices.Sorted(maps.Keys(found)) {
		t.Errorf("more is released: %s, under %v", where, found[where])
	}
	t.Logf("%d catalogues that hold the load back, of %v; %d with less", worse, slices.Sorted(maps.Keys(kinds)), tried)
	assert.Greater(t, tried, 100)
}
