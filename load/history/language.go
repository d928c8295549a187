package history

import (
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
)

// The answers of this package in another language than English, in which they come. In
// returns a copy whose sentences, and what it prints, are in a language. Codes, names and
// times are the same in all languages.

// sentence returns a sentence of this package in a language.
func sentence(l moistheat.Language, said string) string {
	if l == (moistheat.Language{}) {
		return said
	}
	return l.Text("{said:text}", moistheat.ParamOf("said", said))
}

// inEnglish returns the texts of details.
func inEnglish(details []moistheat.Detail) []string {
	var out []string
	for _, d := range details {
		out = append(out, d.String())
	}
	return out
}

func sentences(l moistheat.Language, said []string) []string {
	out := slices.Clone(said)
	for i := range out {
		out[i] = sentence(l, out[i])
	}
	return out
}

// say returns a text in a language. The values of its parameters follow their names.
func say(l moistheat.Language, text lang.Text, pairs ...string) string {
	params := make([]moistheat.Param, 0, len(pairs)/2)
	for i := 0; i+1 < len(pairs); i += 2 {
		params = append(params, moistheat.ParamOf(pairs[i], pairs[i+1]))
	}
	return l.Text(string(text), params...)
}

// In returns the order in another language.
func (a Agenda) In(l moistheat.Language) Agenda {
	out := slices.Clone(a)
	for i := range out {
		out[i] = out[i].In(l)
	}
	return out
}

// In returns the task in another language.
func (t Task) In(l moistheat.Language) Task {
	t.in, t.What, t.Why = l, sentence(l, t.What), sentence(l, t.Why)
	return t
}

// In returns where the duty stands in another language.
func (d Due) In(l moistheat.Language) Due {
	d.in, d.Why = l, sentence(l, d.Why)
	return d
}

// In returns where the measure stands in another language.
func (d Drift) In(l moistheat.Language) Drift {
	d.in = l
	return d
}

// In returns the suspect load in another language.
func (s SuspectLoad) In(l moistheat.Language) SuspectLoad {
	s.in, s.Because, s.Amended = l, sentences(l, s.Because), sentences(l, s.Amended)
	return s
}

// In returns the time out of service in another language.
func (o Outage) In(l moistheat.Language) Outage {
	o.in, o.next = l, sentence(l, o.next)
	return o
}

// In returns the state of the sterilizer in another language.
func (s Status) In(l moistheat.Language) Status {
	s.Because, s.Amended = sentences(l, s.Because), sentences(l, s.Amended)
	return s
}

// In returns the procedure in another language.
func (p Procedure) In(l moistheat.Language) Procedure {
	p.in, p.Cause, p.Steps = l, sentence(l, p.Cause), slices.Clone(p.Steps)
	for i := range p.Steps {
		s := &p.Steps[i]
		s.What, s.Then = l.Text("{said:step}", moistheat.ParamOf("said", s.What)), sentence(l, s.Then)
	}
	return p
}

// In returns the answer in another language.
func (o Opening) In(l moistheat.Language) Opening {
	o.in, o.Look = l, sentences(l, o.Look)
	return o
}

// In returns the line in another language.
func (l Line) In(in moistheat.Language) Line {
	l.What = sentence(in, l.What)
	return l
}
