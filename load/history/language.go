package history

import (
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
)

// The answers of this package in another language than English, in which they come. In
// returns a copy whose sentences, and what it prints, are in a language. Codes, names and
// times are the same in all languages.
//
// A sentence is a string of an answer, for programs and JSON, and beside it the answer has the
// detail that says the same in any language. What has no detail, as in an answer that was read
// from JSON, and what a program wrote in place of a sentence, stays as it is.

// spoken returns in a language the text that a detail says in another one, with or without the full
// stop at its end.
func spoken(text string, d moistheat.Detail, from, to moistheat.Language) string {
	switch was, is := from.Detail(d), to.Detail(d); {
	case !d.IsValid():
	case text == was:
		return is
	case text+"." == was:
		return strings.TrimSuffix(is, ".")
	}
	return text
}

// sayAll is [spoken] of several texts.
func sayAll(texts []string, details []moistheat.Detail, from, to moistheat.Language) []string {
	out := slices.Clone(texts)
	for i := range out {
		d := moistheat.Detail{}
		if i < len(details) {
			d = details[i]
		}
		out[i] = spoken(out[i], d, from, to)
	}
	return out
}

// inEnglish returns the texts of details.
func inEnglish(details []moistheat.Detail) []string {
	var out []string
	for _, d := range details {
		out = append(out, d.String())
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

// In returns the order in another language, as [Task.In] does.
func (a Agenda) In(l moistheat.Language) Agenda {
	out := slices.Clone(a)
	for i := range out {
		out[i] = out[i].In(l)
	}
	return out
}

// In returns the task in another language. One that was read from JSON keeps the sentences that
// were written.
func (t Task) In(l moistheat.Language) Task {
	t.What, t.Why = spoken(t.What, t.what, t.in, l), spoken(t.Why, t.why, t.in, l)
	t.in = l
	return t
}

// In returns where the duty stands in another language. What was read from JSON keeps the
// sentences that were written.
func (d Due) In(l moistheat.Language) Due {
	d.Why = spoken(d.Why, d.why, d.in, l)
	d.in = l
	return d
}

// In returns where the measure stands in another language.
func (d Drift) In(l moistheat.Language) Drift {
	d.in = l
	return d
}

// In returns the suspect load in another language. One that was read from JSON keeps the
// sentences that were written.
func (s SuspectLoad) In(l moistheat.Language) SuspectLoad {
	s.Because, s.Amended = sayAll(s.Because, s.because, s.in, l), sayAll(s.Amended, s.amended, s.in, l)
	s.in = l
	return s
}

// In returns the time out of service in another language.
func (o Outage) In(l moistheat.Language) Outage {
	o.in = l
	return o
}

// In returns the state of the sterilizer in another language. One that was read from JSON keeps the
// sentences that were written.
func (s Status) In(l moistheat.Language) Status {
	s.Because, s.Amended = sayAll(s.Because, s.because, s.in, l), sayAll(s.Amended, s.amended, s.in, l)
	s.in = l
	return s
}

// In returns the procedure in another language. One that was read from JSON keeps the sentences
// that were written.
func (p Procedure) In(l moistheat.Language) Procedure {
	p.Cause, p.Steps = spoken(p.Cause, p.opener, p.in, l), slices.Clone(p.Steps)
	for i := range p.Steps {
		s := &p.Steps[i]
		s.What, s.Then = spoken(s.What, s.what, p.in, l), spoken(s.Then, s.then, p.in, l)
	}
	p.in = l
	return p
}

// In returns the answer in another language. One that was read from JSON keeps what it says to inspect
// as it was written, and what was not written in English.
func (o Opening) In(l moistheat.Language) Opening {
	o.Look = sayAll(o.Look, o.looks, o.Language, l)
	if o.Reasons = o.Reasons.In(l); o.policy != nil {
		o.Reasons = o.policy.In(l).Reasons(o.Findings)
	}
	return o
}

// In returns the line in another language.
func (l Line) In(in moistheat.Language) Line {
	l.What = spoken(l.What, l.what, l.in, in)
	l.in = in
	return l
}
