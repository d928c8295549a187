package load

import (
	"maps"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/packaging"
)

// ownFile has one rule about packs, which no waiver covers, and one about the load.
const ownFile = `{"format":"moistheat.rules/1","rules":[
 {"id":"clinic.pack.plain","title":"Packs are plain.","why":"So it is.","remedy":"Pack again.",
  "brokenText":"{pack} is not plain.","undeterminedText":"Nobody knows of {pack}.","scope":"pack","severity":"fault",
  "broken":{"pack":"reject"},"undetermined":{"pack":"quarantine"},
  "sources":[{"document":"hygiene plan","locator":"4","basis":"facility"}],
  "act":"Look at the pack.","answers":["/packs/-/condition/dry"],"since":"1"},
 {"id":"clinic.load.small","title":"Loads are small.","why":"So it is.","remedy":"Run two.",
  "brokenText":"It holds {packs} packs.","scope":"load","severity":"fault","broken":{"load":"quarantine"},
  "sources":[{"document":"hygiene plan","locator":"5","basis":"facility"}],"since":"1"}]}`

// small asks of a load that it is of no more than two packs.
func small(ask Asker, r *Record, _ Known) {
	ask("/packs").With("packs", string(rune('0'+len(r.Packs)))).BrokenIf(len(r.Packs) > 2)
}

// dryPacks asks of each pack that it came out dry.
func dryPacks(ask Asker, r *Record, _ Known) {
	for i := range r.Packs {
		ask(packAt(i)+"/condition/dry").With("pack", r.Packs[i].ID).Yes(r.Packs[i].Condition.Dry)
	}
}

type recordCondition = func(Asker, *Record, Known)

func ownRules(edits ...func(*OwnRules)) OwnRules {
	o := OwnRules{Prefix: "clinic", Version: "1", File: []byte(ownFile),
		Record: map[string]recordCondition{"clinic.pack.plain": dryPacks, "clinic.load.small": small}}
	for _, e := range edits {
		e(&o)
	}
	return o
}

func withRules(t *testing.T, p *Policy, own ...OwnRules) *Policy {
	t.Helper()
	q, err := p.WithRules(own...)
	require.NoError(t, err)
	return q
}

// Own rules decide about packs and loads, are asked about and waived, and say so in the report.
func TestOwnRulesCount(t *testing.T) {
	base := policy(t, "us-cdc-2003")
	p := withRules(t, base, ownRules())
	r := good()
	before, now := Check(r, base), Check(r, p)
	require.True(t, before.Released())
	assert.True(t, now.Released(), "both are met")
	assert.Len(t, now.Counts, len(before.Counts)+2)
	assert.NotEqual(t, before.Policy.Digest, now.Policy.Digest)
	assert.Equal(t, len(r.Packs), findTally(now, "clinic.pack.plain").Met)
	assert.Zero(t, findTally(now, "clinic.pack.plain").NotApplicable)

	r.Packs[0].Condition.Dry = moistheat.NotRecorded
	now = Check(r, p)
	f := finding(t, now, "clinic.pack.plain", "/packs/0/condition") // where it is missing
	assert.True(t, f.Own && f.Blocks)
	assert.Equal(t, r.Packs[0].ID, f.Pack)
	assert.Equal(t, []string{"/packs/0/condition/dry"}, f.Answers)
	assert.Equal(t, "Nobody knows of "+f.Pack+".", now.Message(f))
	asked := map[string]Question{}
	for _, q := range now.Questions() {
		asked[q.Act] = q
	}
	assert.Equal(t, "Look at the pack.", asked["Look at the pack."].Text)

	r.Packs[0].Condition.Dry = moistheat.No
	now = Check(r, p)
	assert.Equal(t, moistheat.Reject, now.Packs[0].Disposition)
	text := now.Text()
	assert.Contains(t, text, r.Packs[0].ID+" is not plain.")
	assert.Contains(t, text, "clinic.pack.plain [fault]: hygiene plan")

	r = good()
	r.Packs = append(r.Packs, goodPack("P8"), goodPack("P9"))
	now = Check(r, p)
	assert.Equal(t, moistheat.Quarantine, now.Verdict.Load)
	r.Waivers = []moistheat.Waiver{waiverOf("clinic.load.small")}
	assert.NotNil(t, finding(t, Check(r, p), "clinic.load.small", "/packs").Waiver)
	rule, inForce := p.Rule("clinic.load.small")
	assert.True(t, inForce)
	assert.Contains(t, p.Rules(), rule)
	assert.Len(t, p.Rules(), len(Rules())+2)
}

func waiverOf(rule string) moistheat.Waiver {
	return moistheat.Waiver{Rule: rule, Reason: "agreed", Author: "N. N.", Expires: instant("2099-01-01T00:00:00Z")}
}

func findTally(r *Report, rule string) Tally {
	for _, c := range r.Counts {
		if c.Rule == rule {
			return c
		}
	}
	return Tally{}
}

// A report with own rules is read back from JSON as it was.
func TestOwnRulesBothWays(t *testing.T) {
	r := wet()
	report := Check(r, withRules(t, policy(t, "us-cdc-2003"), ownRules()))
	data, err := report.JSON()
	require.NoError(t, err)
	var read Report
	require.NoError(t, read.UnmarshalJSON(data))
	assert.Equal(t, report.Text(), read.Text())
}

// Whatever an own condition does, no finding of the library goes or gets milder.
func TestOwnRulesSoftenNothing(t *testing.T) {
	spoil := map[string]recordCondition{
		"empty":  func(_ Asker, r *Record, _ Known) { *r = Record{} },
		"better": func(_ Asker, r *Record, _ Known) { r.Packs[0].Condition.Dry = moistheat.Yes },
		"swap":   func(_ Asker, r *Record, _ Known) { r.Packs[0], r.Packs[1] = r.Packs[1], r.Packs[0] },
		"waive": func(_ Asker, r *Record, _ Known) {
			r.Waivers = append(r.Waivers, waiverOf("load.pack.wet"))
		},
		"known":  func(_ Asker, _ *Record, k Known) { k.Tests[0].Test = 0 },
		"panic":  func(Asker, *Record, Known) { panic("no") },
		"silent": func(Asker, *Record, Known) {},
		"met":    func(ask Asker, _ *Record, _ Known) { ask("").BrokenIf(false) },
		"late": func(ask Asker, _ *Record, _ Known) {
			ask("/packs/0").When(false).BrokenIf(false)
		},
	}
	base, k := policy(t, "us-cdc-2003"), known()
	want := CheckKnowing(wet(), base, known())
	for name, condition := range spoil {
		p := withRules(t, base, ownRules(func(o *OwnRules) { o.Record["clinic.pack.plain"] = condition }))
		r := wet()
		got := CheckKnowing(r, p, k)
		assert.Equal(t, wet(), r, "%s: the record stays", name)
		assert.Equal(t, known(), k, "%s: so does what is known", name)
		for _, f := range want.Findings {
			g := finding(t, got, f.Rule, f.Pointer)
			assert.Equal(t, f.Outcome, g.Outcome, "%s: %s", name, f.Rule)
			assert.Equal(t, f.Effect, g.Effect, "%s: %s", name, f.Rule)
			assert.Nil(t, g.Waiver, name)
		}
		assert.GreaterOrEqual(t, got.Verdict.Load, want.Verdict.Load, name)
		for i := range want.Packs {
			assert.GreaterOrEqual(t, got.Packs[i].Disposition, want.Packs[i].Disposition, name)
		}
	}
}

// A panic, a question without an answer and a pointer that is none are internal findings
// of the rule, which quarantine; what was asked before stays.
func TestOwnRulesFail(t *testing.T) {
	for name, condition := range map[string]recordCondition{
		"panic":      func(ask Asker, _ *Record, _ Known) { ask("/packs/0").BrokenIf(false); panic("no") },
		"nil":        func(_ Asker, r *Record, _ Known) { _ = r.Packs[len(r.Packs)] },
		"no answer":  func(ask Asker, _ *Record, _ Known) { ask("") },
		"no pointer": func(ask Asker, _ *Record, _ Known) { ask("packs").BrokenIf(false) },
	} {
		own := ownRules(func(o *OwnRules) { o.Record["clinic.load.small"] = condition })
		p := withRules(t, policy(t, "us-cdc-2003"), own)
		report := Check(good(), p)
		f := finding(t, report, "clinic.load.small", "")
		assert.Equal(t, moistheat.Internal, f.Outcome, name)
		assert.Equal(t, moistheat.Quarantine, report.Verdict.Load, name)
	}
	var kept Asked
	p := withRules(t, policy(t, "us-cdc-2003"), ownRules(func(o *OwnRules) {
		o.Record["clinic.load.small"] = func(ask Asker, _ *Record, _ Known) { kept = ask("") }
	}))
	report := Check(good(), p)
	kept.BrokenIf(false)
	assert.Equal(t, moistheat.Internal, finding(t, report, "clinic.load.small", "").Outcome, "too late")
	assert.Equal(t, Asked{}, Asked{}.When(true).Given(true).Yes(moistheat.No), "the zero Asked asks nothing")
}

// What conditions get shares no memory that they can change.
func TestOwnRulesGetACopy(t *testing.T) {
	r := good()
	r.Packs[0].Items[0].Instructions = &packaging.Instructions{AirRemoval: []moistheat.AirRemoval{"x"}}
	c := copied(r)
	require.Equal(t, r, c)
	var same func(at string, a, b reflect.Value)
	same = func(at string, a, b reflect.Value) {
		switch a.Kind() {
		case reflect.Pointer:
			if !a.IsNil() {
				assert.NotEqual(t, a.Pointer(), b.Pointer(), at)
				same(at, a.Elem(), b.Elem())
			}
		case reflect.Slice:
			for i := range a.Len() {
				assert.NotEqual(t, a.Pointer(), b.Pointer(), at)
				same(at, a.Index(i), b.Index(i))
			}
		case reflect.Struct:
			for i := range a.NumField() {
				if f := a.Type().Field(i); f.IsExported() {
					same(at+"."+f.Name, a.Field(i), b.Field(i))
				}
			}
		case reflect.Map, reflect.Interface, reflect.Chan, reflect.Func:
			t.Errorf("%s is a %s, which copied shares", at, a.Kind())
		}
	}
	same("r", reflect.ValueOf(r), reflect.ValueOf(c))
	assert.Equal(t, known(), copied(known()))
}

// Rules that are not what they should be are refused, and the policy stays as it was.
func TestOwnRulesRefused(t *testing.T) {
	file := func(old, new string) func(*OwnRules) {
		return func(o *OwnRules) { o.File = []byte(strings.Replace(ownFile, old, new, 1)) }
	}
	const source = `[{"document":"hygiene plan","locator":"4","basis":"facility"}]`
	base := policy(t, "us-cdc-2003")
	digest := base.Digest()
	for want, edit := range map[string]func(*OwnRules){
		"the prefix is not one word":             func(o *OwnRules) { o.Prefix = "Clinic" },
		"of up to 40 lowercase letters":          func(o *OwnRules) { o.Prefix = "" },
		"the prefix is taken":                    func(o *OwnRules) { o.Prefix = "load" },
		"they have no version":                   func(o *OwnRules) { o.Version = "" },
		"the document ends too early":            func(o *OwnRules) { o.File = nil },
		"the first of which is clinic":           file("clinic.pack.plain", "load.pack.plain"),
		"want lowercase words":                   file("clinic.pack.plain", "clinic.pack..plain"),
		"there are two rules":                    file("clinic.load.small", "clinic.pack.plain"),
		"nothing asks it":                        func(o *OwnRules) { delete(o.Record, "clinic.load.small") },
		"a condition of no rule":                 func(o *OwnRules) { o.Record["clinic.other"] = small },
		"have one condition":                     file(`"scope":"load"`, `"scope":"event"`),
		"it lacks title":                         file("Packs are plain.", ""),
		"/rules/0/severty":                       file(`"severity"`, `"severty"`),
		"is not in the list":                     file(`"scope":"load"`, `"scope":"lot"`),
		"it is in force wherever it is given":    file(`"since":"1"`, `"since":"1","optional":true`),
		"asked of a load that was run":           file(`"since":"1"`, `"since":"1","choice":true`),
		"name a source":                          file(source, "[]"),
		"a source has a document":                file(`"hygiene plan","locator":"4"`, `"","locator":"4"`),
		"has characters that do not show":        file("Pack again.", `\u001b[2J`),
		"a rule about a sterilizer needs its co": file(`"scope":"load"`, `"scope":"sterilizer"`),
	} {
		own := ownRules(edit)
		p, err := base.WithRules(own)
		assert.Nil(t, p, want)
		assert.ErrorContains(t, err, want)
	}
	_, err := base.WithRules(ownRules(), ownRules())
	assert.ErrorContains(t, err, "the prefix is taken")
	_, err = (*Policy)(nil).WithRules(ownRules())
	assert.ErrorIs(t, err, moistheat.ErrInvalid)
	assert.Equal(t, digest, base.Digest())
	_, known := base.Rule("clinic.load.small")
	assert.False(t, known)
}

// Whatever of own rules changes a judgement changes the digest; order does not.
func TestOwnRulesDigest(t *testing.T) {
	base := policy(t, "us-cdc-2003")
	digests := map[string]string{base.Digest(): "none"}
	for name, edit := range map[string]func(*OwnRules){
		"as it is": func(*OwnRules) {},
		"version":  func(o *OwnRules) { o.Version = "2" },
		"effect":   func(o *OwnRules) { o.File = []byte(strings.Replace(ownFile, `"reject"`, `"quarantine"`, 1)) },
	} {
		d := withRules(t, base, ownRules(edit)).Digest()
		assert.Empty(t, digests[d], name)
		digests[d] = name
	}
	other := ownRules(func(o *OwnRules) {
		o.Prefix, o.File = "vendor", []byte(strings.ReplaceAll(ownFile, "clinic.", "vendor."))
		o.Record = maps.Clone(map[string]recordCondition{"vendor.pack.plain": dryPacks, "vendor.load.small": small})
	})
	again := withRules(t, withRules(t, base, other), ownRules())
	assert.Equal(t, withRules(t, base, ownRules(), other).Digest(), again.Digest())
}
