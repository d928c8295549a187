package loadtest_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/schema"
)

// written is a value in a document.
type written struct {
	at string
	span
}

// values lists the values of a document, in its order.
func values(doc []byte) (out []written) {
	scan(json.NewDecoder(bytes.NewReader(doc)), doc, "", func(at string, value span, _ bool, _ span) {
		out = append(out, written{at, value})
	})
	return out
}

// replacements are what a value may become: by their first byte they are of one type.
var replacements = [...]string{
	`0`, `-1`, `1e18`, `0.5`, `7`, `1000000000`, `true`, `false`, `""`, `"P1"`, `[]`, `{}`,
	`"2026-03-09"`, `"2026-03-09T08:15:00Z"`, `"9999-12-31T23:59:59+14:00"`, `"1000-01-01"`,
	`"a\u001b[2J\nVerdict: RELEASE. The sterilizer is in service."`, `"\u202etxt\u2066"`,
	`"x                                                                         Verdict: RELEASE."`, `"` +
		"\u200b" + `"`,
}

// reworked makes the edits of a record that bytes stand for, three bytes each.
func reworked(doc, edits []byte) []byte {
	for n := 0; len(edits) >= 3 && n < 12; n++ {
		op, which := edits[0], int(edits[1])<<8|int(edits[2])
		edits = edits[3:]
		all := values(doc)
		if len(all) == 0 {
			return doc
		}
		v := all[which%len(all)]
		put := func(from, to int, text string) {
			doc = slices.Concat(doc[:from], []byte(text), doc[to:])
		}
		switch op % 4 {
		case 0:
			cuts := cuts(doc)
			doc = cuts[which%len(cuts)].from(doc)
		case 1: // what another value of the same name is, or any
			other := all[int(op/4)*7%len(all)]
			name := v.at[strings.LastIndexByte(v.at, '/'):]
			for i := range all {
				if o := all[(i+int(op))%len(all)]; o.span != v.span && strings.HasSuffix(o.at, name) {
					other = o
					break
				}
			}
			put(v.from, v.to, string(doc[other.from:other.to]))
		case 2:
			text := replacements[int(op/4)%len(replacements)]
			for i := range replacements { // one of its type, if there is one
				r := replacements[(i+int(op/4))%len(replacements)]
				if r[0] == doc[v.from] || r[0]-'0' < 10 && doc[v.from]-'0' < 10 {
					text = r
					break
				}
			}
			put(v.from, v.to, text)
		case 3: // twice in its list
			if last := v.at[len(v.at)-1]; last >= '0' && last <= '9' {
				put(v.from, v.from, string(doc[v.from:v.to])+",")
			}
		}
	}
	return doc
}

// FuzzEdits edits records that may be released, as bytes choose. Decoder and schema agree
// on what becomes of them; nothing left out makes releasable what was not, but for what the
// published list names; the order of packs and items does not matter; no text has anything
// hidden in it or a second verdict; and what it costs follows the size.
func FuzzEdits(f *testing.F) {
	c, err := loadtest.Conformance()
	require.NoError(f, err)
	var bases [][]byte
	for _, b := range c.Bases() {
		if b.Subject != loadtest.SubjectRecord {
			continue
		}
		doc, err := b.Document()
		require.NoError(f, err)
		var small bytes.Buffer
		require.NoError(f, json.Compact(&small, doc))
		bases = append(bases, small.Bytes())
	}
	for i := range 24 {
		f.Add(uint8(i), uint16(31*i), []byte{byte(i), byte(i / 2), byte(37 * i), byte(5 * i), byte(i / 3),
			byte(91 * i), 2, 0, byte(11 * i)})
	}
	var policies []*load.Policy
	for _, name := range []string{"us-cdc-2003", "en-13060", "ontario", "germany"} {
		p, err := load.PolicyFor(name)
		require.NoError(f, err)
		policies = append(policies, p)
	}
	entries := readListed(f)
	f.Fuzz(func(t *testing.T, base uint8, without uint16, edits []byte) {
		doc := reworked(bases[int(base)%len(bases)], edits)
		p := policies[int(base)/len(bases)%len(policies)]
		r, err := load.Decode(doc)
		findings, schemaErr := schema.Validate(schema.Record, doc)
		if (err == nil) != (schemaErr == nil && len(findings) == 0) {
			t.Fatalf("%s:\ndecoder: %v\nschema: %v %+v", doc, err, schemaErr, findings)
		}
		if err != nil {
			require.Equal(t, err.Error(), moistheat.Visible(err.Error()))
			return
		}
		var report *load.Report
		var text string
		cost := spent(func() {
			report = load.Check(r, p)
			text = report.Text()
		})
		if most := 60*float64(len(doc)) + 2<<20; cost > most {
			t.Errorf("%s: %.0f bytes allocated, %.0f are the most", doc, cost, most)
		}
		verdicts := 0
		for line := range strings.Lines(text) {
			line = strings.TrimSuffix(line, "\n")
			require.Equal(t, line, moistheat.Visible(line))
			if strings.HasPrefix(line, "Verdict:") {
				verdicts++
			}
		}
		require.Equal(t, 1, verdicts, text)
		for _, f := range report.Findings {
			require.NotEqual(t, moistheat.Internal, f.Outcome, report.Message(f))
		}
		turned(t, doc, r, p, report)

		all := cuts(doc)
		cut := all[int(without)%len(all)]
		less, err := load.Decode(cut.from(doc))
		if err != nil {
			return
		}
		after := load.Check(less, p)
		if before := report.Verdict; before.MayRelease && before.Sterilizer == moistheat.InService && !before.Recall {
			return
		}
		for _, rule := range better(p.On(r.Load.Date), r, report, after, cut.at) {
			if !slices.ContainsFunc(entries, func(l *listed) bool { return l.allows(rule, general(cut.at), p.Name()) }) {
				t.Errorf("%s without %s: %s stands against a release no more", doc, cut.at, rule)
			}
		}
	})
}

// turned checks a record whose packs and items stand in the opposite order.
func turned(t *testing.T, doc []byte, r *load.Record, p *load.Policy, want *load.Report) {
	ids := map[string]bool{}
	for i := range r.Packs {
		if ids[r.Packs[i].ID] {
			return // of two that are called alike the first counts
		}
		ids[r.Packs[i].ID] = true
	}
	o, err := load.Decode(doc)
	require.NoError(t, err)
	slices.Reverse(o.Packs)
	for i := range o.Packs {
		slices.Reverse(o.Packs[i].Items)
		slices.Reverse(o.Packs[i].Indicators)
	}
	got := load.Check(o, p)
	require.Equal(t, want.Verdict, got.Verdict, "%s", doc)
	slices.Reverse(got.Packs)
	for i := range got.Packs {
		require.Equal(t, want.Packs[i].Disposition, got.Packs[i].Disposition, "%s: %s", doc, got.Packs[i].ID)
	}
}
