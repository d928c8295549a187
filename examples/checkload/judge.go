package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/words"
	"example.com/moistheat/load"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/proof"
	"example.com/moistheat/schema"
)

// demonstrate checks the day of the demonstration. Some of its loads are bad on purpose.
func (p *program) demonstrate() int {
	files, err := demo.ReadDir("demo")
	if err != nil {
		return p.refuse(err)
	}
	for _, f := range files {
		data, err := demo.ReadFile("demo/" + f.Name())
		if err != nil {
			return p.refuse(err)
		}
		record, err := load.Decode(data)
		if err != nil {
			return p.refuse(err)
		}
		if err := p.check(history.Entry{Record: record}); err != nil {
			return p.refuse(err)
		}
	}
	if p.wroteError != nil {
		return p.refuse(p.wroteError)
	}
	return good
}

// check judges a load.
func (p *program) check(e history.Entry) error {
	if e.Record == nil {
		return wrongKind(e)
	}
	check := load.CheckKnowing
	if p.all {
		check = load.ExplainKnowing
	}
	report := check(p.facts.Resolve(e.Record, p.policy), p.policy, p.known).In(p.language)
	if !report.Released() {
		p.code = max(p.code, open)
	}
	if p.json {
		p.write(report)
	} else {
		p.print(report.Text() + "\n")
	}
	return nil
}

// opening says whether a pack may be opened.
func (p *program) opening(o history.Opening, at time.Time) {
	if o.Answer != history.MayOpen {
		p.code = max(p.code, open)
	}
	o = o.In(p.language)
	if p.json {
		p.write(o)
		return
	}
	p.print(p.heading(at.Format(time.RFC3339)) + o.Text())
}

// heading says whose documents decide what follows, and as of when.
func (p *program) heading(when string) string { return p.policy.In(p.language).Heading(when) }

// stored judges a pack in store.
func (p *program) stored(e history.Entry, on moistheat.Date) error {
	if e.Stored == nil {
		return wrongKind(e)
	}
	p.findings(answer{ID: e.Stored.Pack, On: on.String()}, history.CheckStored(e.Stored, p.policy, on))
	return nil
}

// plan judges a load before its cycle is run.
func (p *program) plan(e history.Entry) error {
	if e.Record == nil {
		return wrongKind(e)
	}
	r := p.facts.Resolve(e.Record, p.policy)
	out := load.CheckPacking(r, p.policy)
	if c := r.Cycle; c != nil {
		out = append(out, load.CycleObjections(r, p.policy, c.Settings, c.Type)...)
	}
	p.findings(answer{ID: r.ID}, out)
	return nil
}

// kinds are the documents that have a schema, by the member "format".
var kinds = map[string]schema.Kind{
	load.Format:             schema.Record,
	history.EventFormat:     schema.Event,
	history.StoredFormat:    schema.Stored,
	cleaning.Format:         schema.Cleaning,
	history.AmendmentFormat: schema.Amendment,
	"moistheat.report/1":    schema.Report,
	"moistheat.policy/1":    schema.Policy,
	"moistheat.known/1":     schema.Known,
	load.CatalogueFormat:    schema.Catalogue,
	"moistheat.rules/1":     schema.RuleList,
	findingsFormat:          schema.Findings,
	agendaFormat:            schema.Agenda,
	proof.LogFormat:         schema.Log,
	proof.Format:            schema.Proof,
	"moistheat.language/1":  schema.Language,
}

// validate lists what is wrong with the form of a document.
func (p *program) validate(line int, data []byte) error {
	if p.spans {
		line = 0
	}
	var head struct {
		Format string `json:"format"`
	}
	_ = json.Unmarshal(data, &head) // Validate says what is wrong with the bytes
	kind, known := kinds[head.Format]
	if !known && head.Format != "" {
		known := slices.Sorted(maps.Keys(kinds))
		if near := words.Nearest(known, head.Format); near != "" {
			return fmt.Errorf("the format is %.40q; did you mean %q?", head.Format, near)
		}
		return fmt.Errorf("the format is %.40q; known are %s", head.Format, strings.Join(known, ", "))
	}
	if !known {
		kind = schema.Record
	}
	found, err := schema.Validate(kind, data)
	if err != nil {
		return err
	}
	rules := schema.Rules()
	text := ""
	said := make([]finding, 0, len(found))
	for _, f := range found {
		at := slices.IndexFunc(rules, func(r moistheat.Rule) bool { return r.ID == f.Rule })
		message := p.language.Message(rules[at], f)
		said = append(said, finding{f, message})
		text += p.line("- ", "  ", moistheat.Visible(cmp.Or(f.Pointer, p.language.Text(string(lang.WholeDocument))))+": "+message)
		p.code = max(p.code, open)
	}
	if p.json {
		p.write(struct {
			File     string    `json:"file"`
			Line     int       `json:"line,omitempty"`
			Format   string    `json:"format"`
			Findings []finding `json:"findings"`
		}{p.name, line, head.Format, said})
		return nil
	}
	if text == "" {
		text = p.line("- ", "  ", p.language.Text(string(lang.GoodForm)))
	}
	name := moistheat.Visible(p.name)
	if line > 0 {
		name = p.language.Text(string(lang.LineOfFile), moistheat.ParamOf("file", name),
			moistheat.ParamOf("line", strconv.Itoa(line)))
	}
	p.print(name + "\n" + text)
	return nil
}

// rules lists all rules, as the policy has them if there is one.
func (p *program) rules() {
	type listed struct {
		moistheat.Rule
		InForce bool `json:"inForce,omitempty"`
	}
	all, text := []listed{}, ""
	for _, r := range load.Rules() {
		l := listed{Rule: r}
		if p.policy != nil {
			l.Rule, l.InForce = p.policy.Rule(r.ID)
		}
		for _, says := range []*string{&l.Title, &l.Why, &l.Remedy, &l.BrokenText, &l.UndeterminedText} {
			*says = p.language.Text(*says)
		}
		all = append(all, l)
		text += p.line("", "  ", r.ID+": "+l.Title)
	}
	if !p.json {
		p.print(text)
		return
	}
	p.write(struct {
		Format   string             `json:"format"`
		Library  string             `json:"library"`
		Language moistheat.Language `json:"language,omitzero"`
		Policy   string             `json:"policy,omitempty"`
		Rules    []listed           `json:"rules"`
	}{"moistheat.rules/1", moistheat.Version, p.language, p.policy.Name(), all})
}

// wrongKind says what a document is, where something else was asked about, and what
// takes it.
func wrongKind(e history.Entry) error {
	switch {
	case e.Event != nil:
		return errors.New(elsewhere(history.EventFormat))
	case e.Stored != nil:
		return errors.New(elsewhere(history.StoredFormat))
	case e.Cleaning != nil:
		return errors.New(elsewhere(cleaning.Format))
	case e.Amendment != nil:
		return errors.New(elsewhere(history.AmendmentFormat))
	}
	return errors.New(elsewhere(load.Format))
}

// elsewhere says what a document of a format is, where something else was asked about.
func elsewhere(format string) string {
	switch format {
	case history.EventFormat:
		return "this is an event of a sterilizer; use -history"
	case history.StoredFormat:
		return "this is a pack in store; use -stored or -history"
	case cleaning.Format:
		return "this is a batch of cleaning; use -history"
	case history.AmendmentFormat:
		return "this is an amendment; use -history"
	}
	return "this is a load record; leave -stored out"
}

// findingsFormat names the form of what findings writes.
const findingsFormat = "moistheat.findings/1"

// answer is what findings writes: what was found, and why, of what was asked about.
type answer struct {
	Format     string             `json:"format"`
	Library    string             `json:"library"`
	Language   moistheat.Language `json:"language,omitzero"`
	ID         string             `json:"id,omitempty"`
	At         string             `json:"at,omitempty"` // as of an instant
	On         string             `json:"on,omitempty"` // or of a day
	Policy     policyName         `json:"policy"`
	Findings   []finding          `json:"findings"`
	Rules      []load.NamedRule   `json:"rules"`
	Warnings   []load.Warning     `json:"warnings"`
	Disclaimer string             `json:"disclaimer"`
}

type policyName struct {
	Name   string `json:"name"`
	Title  string `json:"title"`
	Digest string `json:"digest"`
}

// finding is a finding with its words.
type finding struct {
	moistheat.Finding
	Message string `json:"message"`
}

// findings prints what was found: what is open and, as JSON, where it was asked for, all.
func (p *program) findings(of answer, found []moistheat.Finding) {
	if slices.ContainsFunc(found, moistheat.Finding.Open) {
		p.code = max(p.code, open)
	}
	in := p.policy.In(p.language)
	if !p.json {
		text := p.heading(cmp.Or(of.At, of.On)) + "\n" + in.Text(found)
		if of.ID != "" {
			text = moistheat.Visible(of.ID) + "\n" + text
		}
		p.print(text + "\n")
		return
	}
	of.Format, of.Library, of.Language = findingsFormat, moistheat.Version, p.language
	of.Policy = p.named()
	of.Findings = []finding{}
	for _, f := range found {
		if p.all || f.Outcome >= moistheat.Undetermined {
			rule, _ := p.policy.Rule(f.Rule)
			of.Findings = append(of.Findings, finding{f, p.language.Message(rule, f)})
		}
	}
	listed := make([]moistheat.Finding, len(of.Findings))
	for i, f := range of.Findings {
		listed[i] = f.Finding
	}
	why := in.Reasons(listed)
	of.Rules, of.Warnings, of.Disclaimer = why.Rules, why.Warnings, why.Disclaimer
	p.write(of)
}

// agendaFormat names the form of what agenda writes.
const agendaFormat = "moistheat.agenda/1"

// agenda prints the order of the day.
func (p *program) agenda(tasks history.Agenda, at time.Time) {
	var hazards []moistheat.Hazard
	for _, t := range tasks {
		hazards = append(hazards, t.Hazards...)
		if t.State == history.Stopped {
			p.code = max(p.code, open)
		}
	}
	tasks, warnings := append(history.Agenda{}, tasks.In(p.language)...), load.WarningsOf(hazards...)
	if !p.json {
		p.print(p.heading(at.Format(time.RFC3339)) + "\n" + tasks.Text() + "\n" +
			p.policy.In(p.language).Closing(warnings...))
		return
	}
	for i := range warnings {
		warnings[i].Sentence = p.language.Text(warnings[i].Sentence)
	}
	p.write(struct {
		Format     string             `json:"format"`
		Library    string             `json:"library"`
		Language   moistheat.Language `json:"language,omitzero"`
		At         time.Time          `json:"at"`
		Policy     policyName         `json:"policy"`
		Tasks      history.Agenda     `json:"tasks"`
		Warnings   []load.Warning     `json:"warnings"`
		Disclaimer string             `json:"disclaimer"`
	}{agendaFormat, moistheat.Version, p.language, at, p.named(), tasks, warnings, p.language.Text(moistheat.Disclaimer)})
}

// named returns the policy as answers name it.
func (p *program) named() policyName {
	return policyName{p.policy.Name(), p.language.Text(p.policy.Title()), p.policy.Digest()}
}

// write prints a value as one line of JSON.
func (p *program) write(v any) {
	line, err := json.Marshal(v)
	if err != nil {
		p.wroteError = err
		return
	}
	p.print(escaped(line) + "\n")
}

// escaped returns JSON that says the same and has no character that steers a terminal, where
// encoding/json leaves some.
func escaped(line []byte) string {
	if text := string(line); moistheat.Visible(text) == text {
		return text
	}
	var b strings.Builder
	for _, r := range string(line) {
		switch {
		case moistheat.Visible(string(r)) == string(r):
			b.WriteRune(r)
		case r > 0xffff:
			high, low := utf16.EncodeRune(r)
			fmt.Fprintf(&b, `\u%04x\u%04x`, high, low)
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
	}
	return b.String()
}

// print prints in one piece. The first error is kept: it ends the run.
func (p *program) print(text string) {
	if p.colour {
		text = colour(text)
	}
	if _, err := p.stdout.Write([]byte(text)); err != nil && p.wroteError == nil {
		p.wroteError = err
	}
}
