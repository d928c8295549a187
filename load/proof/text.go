package proof

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load"
)

// In returns a copy of the proof that says in another language what [Proof.Text] says. Its
// documents stay as they are.
func (p *Proof) In(l moistheat.Language) *Proof {
	if p == nil {
		return nil
	}
	out := *p
	out.in = l
	return &out
}

// Text returns the proof for a person: what it is about, what is missing, and the report of
// each load.
func (p *Proof) Text() string {
	if p == nil {
		return ""
	}
	in := p.in
	var b strings.Builder
	say := func(text lang.Text, pairs ...string) {
		params := make([]moistheat.Param, 0, len(pairs)/2)
		for i := 0; i+1 < len(pairs); i += 2 {
			params = append(params, moistheat.ParamOf(pairs[i], pairs[i+1]))
		}
		b.WriteString(in.Wrap("", "  ", in.Text(string(text), params...)))
	}
	number := strconv.Itoa
	switch s := p.Subject; {
	case s.Record != "":
		say("What was kept about the load with the record {1}", "1", prose.Name(s.Record))
	case s.Item != "":
		say("What was kept about the item {1}", "1", prose.Name(s.Item))
	default:
		say("What was kept about a patient, here number {1}", "1", numberOf(s.Patient))
	}
	say("As of {1:date}. Judged by {2}, version {3}.", "1", p.At.Format(time.RFC3339),
		"2", prose.Name(p.Policy.Name), "3", p.Library)
	say("Lines of the log: {1:number}; shown: {2:number}; loads: {3:number}. Sum of the last line: {4}",
		"1", number(p.Log.Lines), "2", number(len(p.Lines)), "3", number(len(p.Loads)), "4", p.Log.Sum)
	for _, l := range p.together() {
		p.sayVerdict(say, l)
	}
	for _, g := range p.Gaps {
		switch {
		case g.Pack != "":
			say("Missing: pack {1}: {2:proof.Missing}.", "1", prose.Name(g.Pack), "2", string(g.What))
		case g.Line != 0:
			say("Missing: line {1:number}: {2:proof.Missing}.", "1", number(g.Line), "2", string(g.What))
		case g.Row == 0:
			say("Missing: {1:proof.Missing}.", "1", string(g.What))
		default:
			say("Missing: row {1:number} of the file: {2:proof.Missing}.", "1", number(g.Row), "2", string(g.What))
		}
	}
	for _, l := range p.Lines {
		if s := open(l).Stored; s != nil && s.Use != nil {
			say("Line {1:number}: pack {2} was used on patient {3}, {4:date}", "1", number(l.N),
				"2", prose.Name(s.Pack), "3", numberOf(s.Use.Patient), "4", s.Use.Time.Format(time.RFC3339))
		}
	}
	for _, j := range p.Loads {
		b.WriteString("\n")
		say("Line {1:number} of the log", "1", number(j.Line))
		if len(j.Packs) > 0 {
			names := make([]string, len(j.Packs))
			for i, id := range j.Packs {
				names[i] = prose.Name(id)
			}
			say("Packs in question: {1}", "1", strings.Join(names, ", "))
		}
		var r load.Report
		if r.UnmarshalJSON([]byte(j.Report)) != nil {
			say("Its report cannot be read.")
			continue
		}
		b.WriteString(r.In(in).Text())
	}
	return b.String()
}

// sayVerdict says what the lines about a load come to together.
func (p *Proof) sayVerdict(say func(lang.Text, ...string), l together) {
	verdict := strings.ToUpper(p.in.Word("moistheat.Disposition", l.verdict().String()))
	say("Load {1}: {2}, by all its lines.", "1", prose.Name(l.record), "2", verdict)
	var back []string
	for _, id := range slices.Sorted(maps.Keys(l.packs)) {
		if l.verdict() == moistheat.Release && l.packs[id].verdict() != moistheat.Release {
			back = append(back, prose.Name(id))
		}
	}
	if len(back) > 0 {
		say("Packs not released: {1}", "1", strings.Join(back, ", "))
	}
	if len(l.amended) > 0 {
		say("Amended by lines of the log: {1}. What they take back still counts here.", "1",
			strings.Join(l.amended, ", "))
	}
}

// numberOf returns the number that stands for the key of a patient.
func numberOf(patient string) string { return prose.Name(strings.TrimPrefix(patient, numbered)) }
