package load

import (
	"cmp"
	"slices"
	"strconv"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
)

// In returns a copy of a report, which is in English as [Check] makes it, in another
// language: its texts, what it prints and the messages in its JSON form. Names, codes and
// pointers are the same in all languages, as are the titles of documents.
func (r *Report) In(l moistheat.Language) *Report {
	if r == nil {
		return nil
	}
	out := *r
	out.Language = l
	out.Rules, out.Warnings, out.Rows = slices.Clone(r.Rules), slices.Clone(r.Warnings), slices.Clone(r.Rows)
	translate(l, out.Rules, out.Warnings)
	for i := range out.Rows {
		out.Rows[i].Condition = l.Text(r.Rows[i].Condition)
	}
	p := &out.Policy
	p.Title, p.GeneralPractice = l.Text(p.Title), l.Text(p.GeneralPractice)
	p.AsksLess, p.LeavesOpen = slices.Clone(p.AsksLess), slices.Clone(p.LeavesOpen)
	for _, list := range [][]string{p.AsksLess, p.LeavesOpen} {
		for i := range list {
			list[i] = l.Text(list[i])
		}
	}
	out.Disclaimer = l.Text(r.Disclaimer)
	return &out
}

// In returns a copy of a policy that judges the same, and says in another language what
// [Policy.Text] and [Policy.Reasons] say of findings.
func (p *Policy) In(l moistheat.Language) *Policy {
	out := *cmp.Or(p, &noPolicy)
	out.in = l
	return &out
}

// translate puts the texts of rules and warnings in a language.
func translate(l moistheat.Language, rules []NamedRule, warnings []Warning) {
	for i := range rules {
		n := &rules[i]
		for _, text := range []*string{&n.Title, &n.Why, &n.Remedy, &n.FindOut, &n.BrokenText, &n.UndeterminedText} {
			*text = l.Text(*text)
		}
	}
	for i := range warnings {
		warnings[i].Sentence = l.Text(warnings[i].Sentence)
	}
}

// say returns a text in a language. The values of its parameters follow their names.
func say(l moistheat.Language, text lang.Text, pairs ...string) string {
	params := make([]moistheat.Param, 0, len(pairs)/2)
	for i := 0; i+1 < len(pairs); i += 2 {
		params = append(params, moistheat.Param{Name: pairs[i], Value: pairs[i+1]})
	}
	return l.Text(string(text), params...)
}

// plural returns the text for one thing or that for n, its parameter.
func plural(l moistheat.Language, n int, one, more lang.Text) string {
	if n == 1 {
		return say(l, one)
	}
	return say(l, more, "n", strconv.Itoa(n))
}
